//! A last meal before animals are cooled; their cooling to begin, and to end.

use super::round::Dues;
use super::{CoolingStep, DueAct, DueKind, Fact};
use crate::views::cooling::{named, steps};
use chrono::NaiveTime;

/// One row for all of a plan: they are done on one walk.
pub(super) fn dues(dues: &mut Dues<'_>) {
    let book = dues.book;
    for found in steps(book, dues.now.date()) {
        let Some(first) = found.coolings.first() else { continue };
        let fact = Fact::Cooling { step: found.step, animals: found.coolings.len(), day: found.day, temp: first.temp };
        // A last meal is asked for before its day; from that day on it is late.
        let since = (found.step != CoolingStep::LastMeal).then(|| found.day.and_time(NaiveTime::MIN));
        // Tomorrow it is too late, or the cold begins.
        let tomorrow = dues.now.date().succ_opt();
        let begins = first.from.map(|from| from.date()).zip(tomorrow).is_some_and(|(from, tomorrow)| from <= tomorrow);
        let last = found.step == CoolingStep::LastMeal && (found.day <= dues.now.date() || begins);
        let kind = if last { DueKind::LastMeal } else { DueKind::Cooling };
        let Some(due) = dues.add(kind, first.id.thing(), DueAct::Open, since, fact) else { continue };
        due.name = named(book, &found.coolings);
        // Only as far as they all are in one place.
        for other in found.coolings.iter().skip(1).filter_map(|cooling| cooling.animal.as_ref()) {
            let path = book.place_of(&other.thing()).map(|place| book.path_names(&place.id)).unwrap_or_default();
            let same = due.path.iter().zip(&path).take_while(|(one, other)| one == other).count();
            if same < due.path.len() {
                due.path.truncate(same);
                due.keeper = None;
            }
        }
    }
}
