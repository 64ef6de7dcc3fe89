//! What grown animals ask for: females near their eggs, and meals refused.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::views::animal::{NextStep, laying_steps};
use crate::views::is_young;
use crate::words::*;
use chrono::{NaiveDateTime, NaiveTime, TimeDelta};
use trade::lay::Sign;
use trade::when::When;

/// A run of meals refused.
#[derive(Debug)]
pub(super) struct Refusing {
    refused: usize,
    /// The last meal eaten before it, and when that was.
    eaten: Option<Option<When>>,
    first: Option<When>,
    last: Option<When>,
}

/// Refused this often since the last meal eaten, an animal is shown (common practice, no source).
const REFUSED: usize = 3;

/// Whether an animal was seen paired as a dam, or with a sign of eggs; where clutches follow on each other, with eggs.
pub(super) fn may_lay(book: &Book, id: &AnimalId) -> bool {
    book.lay_events(id).next().is_some()
        || book.pairings_of(id).any(|pairing| pairing.dams.contains(id))
        || book.lays_in_series(id) && book.clutches_of(id).any(|clutch| clutch.dams.contains(id))
}

/// Whoever hatched this year does not lay.
pub(super) fn lay(animal: &Animal, dues: &mut Dues<'_>) {
    let (book, now) = (dues.book, dues.now);
    if !is_young(animal, now.date()) {
        for step in laying_steps(book, &animal.id, now) {
            laying(animal, step, dues);
        }
    }
}

fn laying(animal: &Animal, step: NextStep, dues: &mut Dues<'_>) {
    let book = dues.book;
    let (kind, act, since, fact) = match step {
        NextStep::Straining { since } => (DueKind::Female, DueAct::Open, since.earliest(), Fact::Straining { since }),
        NextStep::Overdue { due, days, .. } => {
            (DueKind::Female, DueAct::Open, due.and_time(NaiveTime::MIN), Fact::Overdue { due, days })
        }
        NextStep::EggsDue { sign: Sign::PreLayShed, seen: shed, from, to, .. }
            if !lay_box_in(book, &animal.id, shed) =>
        {
            (DueKind::LayBox, DueAct::LayBox, shed.earliest(), Fact::LayBox { shed, from, to })
        }
        NextStep::EggsDue { sign, from, to, own, open: true, .. } if sign.is_gravid() || sign == Sign::Laid => {
            (DueKind::LayDue, DueAct::Found, from.and_time(NaiveTime::MIN), Fact::LayDue { sign, from, to, own })
        }
        NextStep::EggsDue { .. } | NextStep::NoEggs { .. } | NextStep::EggsToBox { .. } | NextStep::Gone { .. } => {
            return;
        }
    };
    add(animal, kind, act, Some(since), fact, dues);
}

fn add(animal: &Animal, kind: DueKind, act: DueAct, since: Option<NaiveDateTime>, fact: Fact, dues: &mut Dues<'_>) {
    let book = dues.book;
    if let Some(due) = dues.add(kind, animal.id.thing(), act, since, fact) {
        due.about = book.species_of(animal.species.as_deref()).short.into_owned();
    }
}

fn lay_box_in(book: &Book, id: &AnimalId, shed: When) -> bool {
    let mut boxes = book.lay_events(id).filter(|event| event.what == Some(AnimalEventWhat::LayBox));
    // The box may have gone in some days before the shed was seen (two weeks: common practice, no source).
    boxes.any(|event| event.when.is_some_and(|when| when.latest() >= shed.earliest() - TimeDelta::days(14)))
}

impl Refusing {
    /// `None` below what is shown. Looks back to the last meal eaten and no further: an animal has hundreds behind it.
    pub(super) fn of(book: &Book, id: &AnimalId) -> Option<Refusing> {
        let mut run = Refusing { refused: 0, eaten: None, first: None, last: None };
        for meal in book.meals(id).filter(|meal| meal.outcome.is_some()) {
            if meal.outcome == Some(MealOutcome::Eaten) {
                run.eaten = Some(meal.offered);
                break;
            }
            run.last = if run.refused == 0 { meal.offered } else { run.last };
            run.first = meal.offered;
            run.refused += 1;
        }
        (run.refused >= REFUSED).then_some(run)
    }

    pub(super) fn due(&self, animal: &Animal, dues: &mut Dues<'_>) {
        let now = dues.now;
        // The season's pause of a gravid or brumating animal is no alarm; a run of refusals of late is worth a look
        // (three weeks: common practice, no source).
        let lately = self.last.is_some_and(|at| now - at.latest() < TimeDelta::days(21));
        // A hatchling may take its time; a row of its own says when it is too long.
        let hatchling = self.eaten.is_none() && is_young(animal, now.date());
        if lately && !hatchling {
            let refused = u32::try_from(self.refused).unwrap_or(u32::MAX);
            let fact = Fact::Feeding { refused, eaten: self.eaten.flatten() };
            add(animal, DueKind::Feeding, DueAct::Feed, self.first.map(When::earliest), fact, dues);
        }
    }
}
