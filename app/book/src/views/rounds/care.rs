//! What is due of what a veterinarian ordered; who is set apart, and whose last day of that has come.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::views::care::{filled, noted, ordered, same_order};
use crate::views::quarantine::open_quarantines;
use chrono::{NaiveDateTime, NaiveTime, TimeDelta};
use std::rc::Rc;
use trade::doses::{Course, Filled, Fills, Standing};
use trade::when::When;

/// For so long a dose given twice stands on Rounds, unless the next is due before, and a last one that was missed: our
/// choice, no source.
const ASTRAY_SHOWN: TimeDelta = TimeDelta::days(3);

/// Treatments that nobody has ended, of animals that are here.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Ordered;

/// One of them, with what was seen to.
#[derive(PartialEq)]
struct Going {
    id: TreatmentId,
    course: Course,
    filled: Filled,
    /// When a dose was given that had been given already, each time.
    twice: Vec<When>,
}

impl Question for Ordered {
    type Answer = Vec<Going>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let open = book.all_treatments().filter(|treatment| treatment.ended.is_none());
        let here = open.filter(|treatment| {
            treatment.animal.as_ref().and_then(|id| book.animal(id)).is_some_and(|animal| animal.is_here())
        });
        let going = here.filter_map(|treatment| {
            let course = ordered(treatment)?;
            let filled = filled(book, &treatment.id, &course);
            let told = filled.fills.iter().zip(noted(book, &treatment.id));
            let twice =
                told.filter(|(fills, _)| matches!(fills, Fills::Twice(_))).filter_map(|(_, (dose, _))| dose.when);
            Some(Going { id: treatment.id.clone(), course, twice: twice.collect(), filled })
        });
        same_or(before, going.collect())
    }
}

/// Who and what is set apart, so that it is done last.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct Apart;

impl Question for Apart {
    type Answer = Vec<Thing>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let open = open_quarantines(book);
        same_or(before, open.filter_map(|quarantine| quarantine.of.clone()).collect())
    }
}

pub(super) fn dues(dues: &mut Dues<'_>) {
    doses(dues);
    quarantines(dues);
}

/// On its last day, and from then on until it is ended or goes on.
fn quarantines(dues: &mut Dues<'_>) {
    let book = dues.book;
    for quarantine in open_quarantines(book) {
        let Some(until) = quarantine.until.filter(|until| *until <= dues.now.date()) else { continue };
        let fact = Fact::Quarantine { from: quarantine.from, until };
        let since = Some(until.and_time(NaiveTime::MIN));
        dues.add(DueKind::Quarantine, quarantine.id.thing(), DueAct::Open, since, fact);
    }
}

/// The dose that is due; where somebody looks ahead, each one of that day. Of one that is over, what went wrong at its end.
fn doses(dues: &mut Dues<'_>) {
    let (book, looked, ahead) = (dues.book, dues.looked(), dues.ahead());
    let all = book.derived(&Ordered);
    let standing: Vec<Standing> = all.iter().map(|going| going.course.standing(&going.filled, looked)).collect();
    for (going, stands) in all.iter().zip(&standing) {
        let Going { id, course, filled, twice } = going;
        let Some(treatment) = book.treatment(id) else { continue };
        let (what, dose) = (treatment.what.clone().unwrap_or_default(), treatment.dose.clone());
        let mut add = |act, at, fact| {
            let animal = treatment.animal.as_ref().and_then(|id| book.animal(id));
            if let Some(due) = dues.add(DueKind::Dose, id.thing(), act, Some(at), fact) {
                due.name = animal.map(|animal| book.animal_name(&animal.id)).unwrap_or_default();
                due.about =
                    animal.map(|a| book.species_of(a.species.as_deref()).short.into_owned()).unwrap_or_default();
            }
        };
        let again = |(other, stands): (&Going, &Standing)| {
            let other = book.treatment(&other.id).filter(|other| !stands.over && other.id != *id);
            other.is_some_and(|other| {
                other.animal == treatment.animal && same_order(other.what.as_deref().unwrap_or_default(), &what)
            })
        };
        let doubled = all.iter().zip(&standing).any(again);
        // Of days ahead nothing is missed yet, and Rounds of today says what was.
        let (missed, given_twice) = match ahead {
            Some(_) => (0, 0),
            None => (stands.missed, u32::try_from(twice.len()).unwrap_or(u32::MAX)),
        };
        let due = |at| Fact::Dose {
            what: what.clone(),
            dose: dose.clone(),
            due: at,
            hourly: !course.by_days(),
            missed,
            twice: given_twice,
            doubled,
        };
        let last = twice.iter().max_by_key(|when| when.middle()).filter(|when| looked - when.middle() < ASTRAY_SHOWN);
        match (ahead, stands.due, last_missed(going, stands, looked), last) {
            (Some(day), ..) => {
                let of_day = course.to_come(filled, looked).map(|(_, at)| at).skip_while(|at| at.date() < day);
                of_day.take_while(|at| at.date() == day).for_each(|at| add(DueAct::Dose, at, due(at)));
            }
            (None, Some(at), ..) => add(DueAct::Dose, at, due(at)),
            (None, None, Some(at), _) => {
                add(DueAct::Open, at, Fact::OverMissed { what, dose, missed, twice: given_twice });
            }
            (None, None, None, Some(at)) => {
                add(DueAct::Open, at.middle(), Fact::DosedTwice { what, dose, last: *at });
            }
            (None, None, None, None) => {}
        }
    }
}

/// When the last dose of a treatment that has lately come to its end was due, if it was missed. Those before it were told
/// while a later one was due.
fn last_missed(going: &Going, stands: &Standing, looked: NaiveDateTime) -> Option<NaiveDateTime> {
    let Going { course, filled, .. } = going;
    let over = course.until.filter(|_| stands.over)?.succ_opt()?.and_time(NaiveTime::MIN);
    let last = course.of()?.checked_sub(1).filter(|last| !filled.seen_to(*last))?;
    course.dose(last).filter(|_| looked - over < ASTRAY_SHOWN)
}
