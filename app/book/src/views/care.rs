//! Treatments: what is due, what was given, what was missed.

use crate::book::{Book, Written};
use crate::ids::*;
use crate::lower::lower;
use crate::records::{Dose, Treatment};
use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use std::collections::BTreeMap;
use trade::doses::{Course, Filled, Fills, Noted, Standing};
use trade::when::{Point, When};

/// The hour of a first dose of which only the day was said, where the hour matters (our choice, no source).
const MORNING: (u32, u32) = (8, 0);
/// Missed doses listed one by one.
const LISTED: usize = 30;

/// When the doses of a treatment are due, as it was ordered and ended; `None` where nobody said since when.
pub(crate) fn ordered(treatment: &Treatment) -> Option<Course> {
    let from = match treatment.from? {
        When::At(Point::Time(at)) => at,
        day @ (When::At(Point::Day(_)) | When::Span(..)) => {
            day.date().and_time(NaiveTime::from_hms_opt(MORNING.0, MORNING.1, 0).unwrap_or_default())
        }
    };
    let every_hours = treatment.every_hours.unwrap_or(0);
    Some(Course { from, every_hours, until: treatment.until, ended: treatment.ended.map(When::earliest) })
}

/// The same, of an animal that may have left: its going ends the course too. Where nobody said when it went, nothing is
/// wanting after the last dose that was noted.
fn course(book: &Book, treatment: &Treatment) -> Option<Course> {
    let course = ordered(treatment)?;
    let left = treatment.animal.as_ref().and_then(|id| book.animal(id)).filter(|animal| !animal.is_here());
    let went = left.map(|animal| match animal.went_when {
        Some(went) => went.earliest(),
        None => noted(book, &treatment.id).iter().map(|(_, noted)| noted.at).max().unwrap_or(course.from),
    });
    Some(Course { ended: course.ended.into_iter().chain(went).min(), ..course })
}

/// The doses of a treatment that are dated, newest first.
pub(crate) fn noted<'a>(book: &'a Book, treatment: &TreatmentId) -> Vec<(&'a Dose, Noted)> {
    book.doses(treatment).filter_map(|dose| Some((dose, as_noted(dose.when?, dose.left_out)))).collect()
}

/// A dose as its treatment's doses are counted.
pub(crate) fn as_noted(when: When, left_out: bool) -> Noted {
    Noted { at: when.middle(), day_only: !matches!(when, When::At(Point::Time(_))), left_out }
}

/// What each of its doses counts for, in the order of [`noted`].
pub(crate) fn filled(book: &Book, treatment: &TreatmentId, course: &Course) -> Filled {
    course.fill(&noted(book, treatment).into_iter().map(|(_, noted)| noted).collect::<Vec<_>>())
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
    /// Of those ordered.
    pub given: u32,
    /// Of those ordered.
    pub left_out: u32,
    /// How many were ordered, if it was said until when and it was not ended before.
    pub of: Option<u32>,
    /// Given where one had been given already.
    pub twice: u32,
    /// Given before the first was due.
    pub before: u32,
    /// Given when the last was over.
    pub after: u32,
    /// The same is noted a second time, and both go on: each asks for its doses.
    pub doubled: bool,
}

impl TreatmentRow {
    /// Whether a dose was missed, or given beside those ordered, or would be given twice.
    pub fn astray(&self) -> bool {
        self.doubled || [self.standing.missed, self.twice, self.before, self.after].iter().any(|n| *n > 0)
    }
}

/// A dose given or left out.
#[derive(Clone, Debug, PartialEq)]
pub struct DoseLine {
    pub id: DoseId,
    pub when: Option<When>,
    pub left_out: bool,
    /// What it counts for; `None` where nobody said when.
    pub fills: Option<Fills>,
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

/// How a treatment stands; one that nobody said the first day of is over.
fn standing(book: &Book, treatment: &Treatment, now: NaiveDateTime) -> Standing {
    let nothing = Standing { due: None, next: None, missed: 0, over: true };
    course(book, treatment).map_or(nothing, |course| course.standing(&filled(book, &treatment.id, &course), now))
}

/// Whether both order the same, however it was typed.
pub(crate) fn same_order(one: &str, other: &str) -> bool {
    lower(one.trim()) == lower(other.trim())
}

/// The treatments of an animal that order the same and go on, or are to begin.
pub(crate) fn goes_on<'a>(
    book: &'a Book,
    animal: &AnimalId,
    what: &str,
    now: NaiveDateTime,
) -> impl Iterator<Item = &'a Treatment> {
    let same = book.treatments(animal).filter(move |other| same_order(other.what.as_deref().unwrap_or_default(), what));
    same.filter(move |other| !standing(book, other, now).over)
}

fn row(book: &Book, treatment: &Treatment, now: NaiveDateTime) -> TreatmentRow {
    let course = course(book, treatment);
    let noted = noted(book, &treatment.id);
    let doses: Vec<Noted> = noted.iter().map(|(_, noted)| *noted).collect();
    let filled = course.map(|course| course.fill(&doses)).unwrap_or_default();
    let standing = standing(book, treatment, now);
    let what = treatment.what.clone().unwrap_or_default();
    let again = |animal: &AnimalId| goes_on(book, animal, &what, now).any(|other| other.id != treatment.id);
    let doubled = !standing.over && treatment.animal.as_ref().is_some_and(again);
    let told = |of: fn(&Fills) -> bool| {
        count(doses.iter().zip(&filled.fills).filter(|(dose, fills)| !dose.left_out && of(fills)).count())
    };
    // Of an order that was ended before its last day, nobody wants to know how many it would have been.
    let whole = |course: &Course| course.ended.is_none_or(|ended| course.until.is_some_and(|last| last < ended.date()));
    let of = course.filter(|course| course.every_hours > 0 && whole(course)).and_then(|course| course.of());
    TreatmentRow {
        id: treatment.id.clone(),
        name: treatment.animal.as_ref().map(|id| book.animal_name(id)).unwrap_or_default(),
        animal: treatment.animal.clone(),
        what,
        doubled,
        dose: treatment.dose.clone(),
        every_hours: treatment.every_hours.unwrap_or(0),
        first: treatment.from.map(When::date),
        standing,
        given: count(filled.given.len()),
        left_out: count(filled.left_out.len()),
        of,
        twice: told(|fills| matches!(fills, Fills::Twice(_))),
        before: told(|fills| *fills == Fills::Before),
        after: told(|fills| *fills == Fills::After),
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
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

/// Whether an order for an animal goes on, or is to begin.
pub(crate) fn being_treated(book: &Book, animal: &AnimalId, now: NaiveDateTime) -> bool {
    book.treatments(animal).any(|treatment| !standing(book, treatment, now).over)
}

/// Everything of one treatment.
pub fn treatment_view(book: &Book, id: &TreatmentId, now: NaiveDateTime) -> Option<TreatmentView> {
    let treatment = book.treatment(id)?;
    let course = course(book, treatment);
    let filled = course.map(|course| filled(book, id, &course)).unwrap_or_default();
    let counts: BTreeMap<&DoseId, Fills> =
        noted(book, id).into_iter().map(|(dose, _)| &dose.id).zip(filled.fills.iter().copied()).collect();
    let doses = book.doses(id).map(|dose| DoseLine {
        id: dose.id.clone(),
        when: dose.when,
        left_out: dose.left_out,
        fills: counts.get(&dose.id).copied(),
        note: dose.note.clone(),
        written: book.written(&dose.id.thing()),
    });
    let missed = course.map(|course| course.missed(&filled, now).take(LISTED).collect());
    Some(TreatmentView {
        row: row(book, treatment, now),
        treatment: treatment.clone(),
        doses: doses.collect(),
        missed: missed.unwrap_or_default(),
        clashing: book.journal().clashes_of(Kind::Treatment.word(), id.as_str()).next().is_some(),
    })
}
