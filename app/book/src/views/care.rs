//! Treatments: what is due, what was given, what was missed.

use crate::book::{Book, Written};
use crate::ids::*;
use crate::records::Treatment;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use std::collections::BTreeSet;
use trade::doses::{Course, Standing};
use trade::when::{Point, When};

/// The hour of a first dose of which only the day was said, where the hour matters (our choice, no source).
const MORNING: (u32, u32) = (8, 0);
/// Missed doses listed one by one.
const LISTED: usize = 30;

/// When the doses of a treatment are due; `None` where nobody said since when.
pub(crate) fn course(treatment: &Treatment) -> Option<Course> {
    let from = match treatment.from? {
        When::At(Point::Time(at)) => at,
        day @ (When::At(Point::Day(_)) | When::Span(..)) => {
            day.date().and_time(NaiveTime::from_hms_opt(MORNING.0, MORNING.1, 0).unwrap_or_default())
        }
    };
    let until = treatment.until.and_then(|last| last.succ_opt()).map(|day| day.and_time(NaiveTime::MIN));
    // Of the day it was ended on, no dose is wanting any more.
    let ended = treatment.ended.map(|ended| ended.earliest().date().and_time(NaiveTime::MIN));
    let end = [until, ended].into_iter().flatten().min();
    Some(Course { from, every_hours: treatment.every_hours.unwrap_or(0), end })
}

/// Which of its doses were seen to.
pub(crate) fn done(book: &Book, treatment: &TreatmentId, course: &Course) -> BTreeSet<u32> {
    course.done(book.doses(treatment).filter_map(|dose| dose.when).map(When::middle))
}

/// One treatment in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct TreatmentRow {
    pub id: TreatmentId,
    pub animal: Option<AnimalId>,
    /// The animal's.
    pub name: String,
    pub what: String,
    pub dose: Option<String>,
    pub every_hours: u32,
    /// The day of the first dose.
    pub first: Option<NaiveDate>,
    pub standing: Standing,
    pub given: u32,
    pub left_out: u32,
    /// How many were ordered, if it was said until when.
    pub of: Option<u32>,
}

/// A dose given or left out.
#[derive(Clone, Debug, PartialEq)]
pub struct DoseLine {
    pub id: DoseId,
    pub when: Option<When>,
    pub left_out: bool,
    pub note: Option<String>,
    pub written: Option<Written>,
}

/// A treatment's page.
#[derive(Clone, Debug, PartialEq)]
pub struct TreatmentView {
    pub row: TreatmentRow,
    pub treatment: Treatment,
    /// Newest first.
    pub doses: Vec<DoseLine>,
    /// When those were due that were missed, the latest first; of very many only the latest.
    pub missed: Vec<NaiveDateTime>,
    /// Two devices disagree.
    pub clashing: bool,
}

fn row(book: &Book, treatment: &Treatment, now: NaiveDateTime) -> TreatmentRow {
    let course = course(treatment);
    let nothing = Standing { due: None, next: None, missed: 0, over: true };
    let standing = course.map_or(nothing, |course| course.standing(&done(book, &treatment.id, &course), now));
    let (mut given, mut left_out) = (0, 0);
    for dose in book.doses(&treatment.id) {
        *if dose.left_out { &mut left_out } else { &mut given } += 1;
    }
    TreatmentRow {
        id: treatment.id.clone(),
        name: treatment.animal.as_ref().map(|id| book.animal_name(id)).unwrap_or_default(),
        animal: treatment.animal.clone(),
        what: treatment.what.clone().unwrap_or_default(),
        dose: treatment.dose.clone(),
        every_hours: treatment.every_hours.unwrap_or(0),
        first: treatment.from.map(When::date),
        standing,
        given,
        left_out,
        of: course.and_then(|course| course.of()).filter(|_| treatment.every_hours.is_some()),
    }
}

/// All treatments of animals that are here: those that go on first, due ones before the rest, then by name.
pub fn treatment_rows(book: &Book, now: NaiveDateTime) -> Vec<TreatmentRow> {
    let here = |treatment: &&Treatment| {
        treatment.animal.as_ref().and_then(|id| book.animal(id)).is_some_and(|animal| animal.is_here())
    };
    let mut rows: Vec<TreatmentRow> = book.all_treatments().filter(here).map(|one| row(book, one, now)).collect();
    crate::order::sort(&mut rows, |row| {
        (row.standing.over, row.standing.due.is_none(), row.standing.due, row.name.clone(), row.id.clone())
    });
    rows
}

/// The treatments of one animal, newest first.
pub fn treatments_of(book: &Book, animal: &AnimalId, now: NaiveDateTime) -> Vec<TreatmentRow> {
    book.treatments(animal).map(|treatment| row(book, treatment, now)).collect()
}

/// Everything of one treatment.
pub fn treatment_view(book: &Book, id: &TreatmentId, now: NaiveDateTime) -> Option<TreatmentView> {
    let treatment = book.treatment(id)?;
    let doses = book.doses(id).map(|dose| DoseLine {
        id: dose.id.clone(),
        when: dose.when,
        left_out: dose.left_out,
        note: dose.note.clone(),
        written: book.written(&dose.id.thing()),
    });
    let missed = course(treatment).map(|course| {
        let done = done(book, id, &course);
        course.missed(&done, now).take(LISTED).collect()
    });
    Some(TreatmentView {
        row: row(book, treatment, now),
        treatment: treatment.clone(),
        doses: doses.collect(),
        missed: missed.unwrap_or_default(),
        clashing: book.journal().clashes_of(Kind::Treatment.word(), id.as_str()).next().is_some(),
    })
}
