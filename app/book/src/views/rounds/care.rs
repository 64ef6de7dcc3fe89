//! What is due of what a veterinarian ordered; who is set apart, and whose last day of that has come.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::views::care::{course, done};
use crate::views::quarantine::open_quarantines;
use chrono::NaiveTime;
use std::collections::BTreeSet;
use std::rc::Rc;
use trade::doses::Course;

/// Treatments that nobody has ended, of animals that are here, each with its doses seen to.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Ordered;

impl Question for Ordered {
    type Answer = Vec<(TreatmentId, Course, BTreeSet<u32>)>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let open = book.all_treatments().filter(|treatment| treatment.ended.is_none());
        let here = open.filter(|treatment| {
            treatment.animal.as_ref().and_then(|id| book.animal(id)).is_some_and(|animal| animal.is_here())
        });
        let ordered = here.filter_map(|treatment| {
            let course = course(treatment)?;
            let done = done(book, &treatment.id, &course);
            Some((treatment.id.clone(), course, done))
        });
        same_or(before, ordered.collect())
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

fn doses(dues: &mut Dues<'_>) {
    let book = dues.book;
    for (id, course, done) in book.derived(&Ordered).iter() {
        let standing = course.standing(done, dues.now);
        let (Some(at), Some(treatment)) = (standing.due, book.treatment(id)) else { continue };
        let fact = Fact::Dose {
            what: treatment.what.clone().unwrap_or_default(),
            dose: treatment.dose.clone(),
            due: at,
            hourly: !course.every_hours.is_multiple_of(24),
            missed: standing.missed,
        };
        let animal = treatment.animal.as_ref().and_then(|id| book.animal(id));
        if let Some(due) = dues.add(DueKind::Dose, id.thing(), DueAct::Dose, Some(at), fact) {
            due.name = animal.map(|animal| book.animal_name(&animal.id)).unwrap_or_default();
            due.about = animal.map(|a| book.species_of(a.species.as_deref()).short.into_owned()).unwrap_or_default();
        }
    }
}
