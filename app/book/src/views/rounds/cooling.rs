//! A last meal before animals are cooled; their cooling to begin, and to end.

use super::round::Dues;
use super::{CoolingStep, DueAct, DueKind, Fact};
use crate::book::Book;
use crate::records::Cooling;
use crate::views::cooling::steps;
use chrono::NaiveTime;

/// One row for all of a plan: they are done on one walk.
pub(super) fn dues(dues: &mut Dues<'_>) {
    let book = dues.book;
    for found in steps(book, dues.now.date()) {
        let Some(first) = found.coolings.first() else { continue };
        let fact = Fact::Cooling { step: found.step, animals: found.coolings.len(), day: found.day, temp: first.temp };
        // A last meal is asked for before its day; from that day on it is late.
        let since = (found.step != CoolingStep::LastMeal).then(|| found.day.and_time(NaiveTime::MIN));
        let Some(due) = dues.add(DueKind::Cooling, first.id.thing(), DueAct::Open, since, fact) else { continue };
        due.name = named(book, &found.coolings);
        // Only as far as they all are in one place.
        for other in found.coolings.iter().filter_map(|cooling| cooling.animal.as_ref()).skip(1) {
            let path = book.place_of(&other.thing()).map(|place| book.path_names(&place.id)).unwrap_or_default();
            let same = due.path.iter().zip(&path).take_while(|(one, other)| one == other).count();
            if same < due.path.len() {
                due.path.truncate(same);
                due.keeper = None;
            }
        }
    }
}

/// `Ann, Bel + 10`.
fn named(book: &Book, coolings: &[&Cooling]) -> String {
    const SHOWN: usize = 2;
    let mut names: Vec<String> = coolings.iter().map(|cooling| book.short_name(&cooling.id.thing())).collect();
    crate::order::sort(&mut names, Clone::clone);
    let more = names.len().saturating_sub(SHOWN);
    let first = names.into_iter().take(SHOWN).collect::<Vec<_>>().join(", ");
    if more == 0 { first } else { format!("{first} + {more}") }
}
