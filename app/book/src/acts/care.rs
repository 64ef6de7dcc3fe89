//! What a veterinarian ordered, noted and put right, and each dose of it.

use super::animals::{all_once, born_by, gone_doubts};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Dose, Treatment};
use crate::views::{as_noted, filled, goes_on, noted, ordered, same_order};
use chrono::{NaiveDate, NaiveDateTime};
use journal::Draft;
use trade::doses::{Course, Fills, Noted};
use trade::when::When;

/// An order longer than this is a slip of the keyboard: three years.
const MOST_DAYS: i64 = 3 * 366;
/// The longest time from dose to dose: a year.
const MOST_HOURS: u32 = 366 * 24;

/// All of a treatment that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TreatmentCard {
    pub what: String,
    pub dose: String,
    pub by: String,
    /// The first dose; it may be to come.
    pub from: Option<When>,
    /// 0: one dose.
    pub every_hours: u32,
    /// The last day.
    pub until: Option<NaiveDate>,
    /// Ended before that.
    pub ended: Option<When>,
    pub note: String,
}

impl TreatmentCard {
    /// As it stands in the book.
    pub fn of(book: &Book, treatment: &TreatmentId) -> Option<TreatmentCard> {
        let t = book.treatment(treatment)?;
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        Some(TreatmentCard {
            what: text(&t.what),
            dose: text(&t.dose),
            by: text(&t.by),
            from: t.from,
            every_hours: t.every_hours.unwrap_or(0),
            until: t.until,
            ended: t.ended,
            note: text(&t.note),
        })
    }

    fn row(&self) -> Row<Treatment> {
        Row::new()
            .with(Treatment::what, &self.what)
            .with(Treatment::dose, &self.dose)
            .with(Treatment::by, &self.by)
            .with(Treatment::from, self.from)
            .with(Treatment::every_hours, (self.every_hours > 0).then_some(self.every_hours))
            .with(Treatment::until, self.until)
            .with(Treatment::ended, self.ended)
            .with(Treatment::note, &self.note)
    }

    fn check(&self, book: &Book, now: NaiveDateTime, animal: Option<&AnimalId>) -> Result<(), Refusal> {
        if self.what.trim().is_empty() {
            return Err(Refusal::Missing { what: "what was ordered" });
        }
        let Some(from) = self.from else { return Err(Refusal::Missing { what: "the day of the first dose" }) };
        if self.every_hours > MOST_HOURS {
            return Err(Refusal::TooFar { what: "next dose", most: "a year", after: "the one before" });
        }
        if self.until.is_some_and(|until| until < from.earliest().date()) {
            return Err(Refusal::OutOfOrder { first: "the last day", then: "the first dose" });
        }
        if (from.date() - now.date()).num_days() > MOST_DAYS {
            return Err(Refusal::TooFar { what: "first dose", most: "three years", after: "today" });
        }
        if self.until.is_some_and(|last| (last - from.date()).num_days() > MOST_DAYS) {
            return Err(Refusal::TooFar { what: "last day", most: "three years", after: "the first dose" });
        }
        if let Some(ended) = self.ended {
            not_future("end", ended, now)?;
        }
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the first dose", from))
    }
}

/// What a veterinarian ordered, for one animal or the same for several.
#[derive(Clone, Debug)]
pub struct TreatmentOrdered {
    pub animals: Vec<AnimalId>,
    pub card: TreatmentCard,
}

impl Act for TreatmentOrdered {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_once(book, &self.animals)?;
        let mut sets = Vec::with_capacity(self.animals.len());
        for animal in &self.animals {
            self.card.check(book, now, Some(animal))?;
            sets.push(self.card.row().with(Treatment::animal, animal).create(book, &fresh(book, mint)));
        }
        draft("TreatmentOrdered", sets)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = gone_doubts(book, self.animals.iter(), self.card.from);
        let again = self.animals.iter().filter(|animal| goes_on(book, animal, &self.card.what, now).next().is_some());
        let again: Vec<&AnimalId> = again.collect();
        let what = match again.as_slice() {
            [one] if self.animals.len() == 1 => format!("{}: {}", book.animal_name(one), self.card.what.trim()),
            _ => self.card.what.trim().to_owned(),
        };
        doubts.extend((!again.is_empty()).then_some(Doubt::OrderedAlready { what, of: again.len() }));
        doubts
    }
}

/// Anything of a treatment corrected, or its end noted; only what differs is written.
#[derive(Clone, Debug)]
pub struct TreatmentEdited {
    pub treatment: TreatmentId,
    pub card: TreatmentCard,
}

impl Act for TreatmentEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let treatment = book.treatment(&self.treatment);
        let treatment = treatment.ok_or_else(|| Refusal::NoSuch { thing: self.treatment.thing() })?;
        self.card.check(book, now, treatment.animal.as_ref())?;
        // One whose first dose is to come can be called off; once one was given, it had begun, and not before: a first dose
        // may be given some hours early.
        in_order(("the first dose", first_given(book, treatment)), ("the end", self.card.ended))?;
        let change = self.card.row().change(book, self.treatment.as_str());
        draft("TreatmentEdited", change.into_iter().collect())
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let Some(stood) = book.treatment(&self.treatment) else { return Vec::new() };
        let what = book.short_name(&self.treatment.thing());
        // What was given by the old times would be counted by the new ones.
        let doses = noted(book, &self.treatment).len();
        let stands =
            Treatment { from: self.card.from, every_hours: Some(self.card.every_hours), ..Treatment::default() };
        let times = ordered(stood).filter(|_| doses > 0).zip(ordered(&stands));
        let moved = times.is_some_and(|(stood, stands)| !stood.same_times(&stands));
        let moved = moved.then(|| Doubt::TimesMoved { what: what.clone(), doses });
        moved.into_iter().chain(self.again(book, stood, now)).collect()
    }
}

impl TreatmentEdited {
    /// It comes to the same as another one that goes on, by its new words or by going on again.
    fn again(&self, book: &Book, stood: &Treatment, now: NaiveDateTime) -> Option<Doubt> {
        let words = !same_order(stood.what.as_deref().unwrap_or_default(), &self.card.what);
        let goes_on_again = stood.ended.is_some() && self.card.ended.is_none();
        let animal = stood.animal.as_ref().filter(|_| words || goes_on_again)?;
        let other = goes_on(book, animal, &self.card.what, now).any(|other| other.id != self.treatment);
        let what = || format!("{}: {}", book.animal_name(animal), self.card.what.trim());
        other.then(|| Doubt::OrderedAlready { what: what(), of: 1 })
    }
}

/// When the first dose was given of those that count.
fn first_given(book: &Book, treatment: &Treatment) -> Option<When> {
    let course = ordered(treatment)?;
    let noted = noted(book, &treatment.id).into_iter();
    let told = noted.zip(filled(book, &treatment.id, &course).fills);
    let given = told.filter(|((_, noted), fills)| !noted.left_out && matches!(fills, Fills::Dose(_)));
    given.filter_map(|((dose, _), _)| dose.when).min_by_key(|when| when.earliest())
}

/// A dose given, or left out on purpose.
#[derive(Clone, Debug)]
pub struct DoseNoted {
    pub treatment: TreatmentId,
    pub when: When,
    pub left_out: bool,
    pub note: String,
}

impl Act for DoseNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.treatment.clone())?;
        not_future("dose", self.when, now)?;
        let animal = book.treatment(&self.treatment).and_then(|treatment| treatment.animal.as_ref());
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the dose", self.when))?;
        let row = Row::new()
            .with(Dose::treatment, &self.treatment)
            .with(Dose::when, self.when)
            .with(Dose::left_out, self.left_out)
            .with(Dose::note, &self.note);
        draft("DoseNoted", vec![row.observe()])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let Some(treatment) = book.treatment(&self.treatment) else { return Vec::new() };
        let what = book.short_name(&self.treatment.thing());
        let mut doubts = gone_doubts(book, treatment.animal.iter(), Some(self.when));
        let Some(course) = ordered(treatment) else { return doubts };
        let this = as_noted(self.when, self.left_out);
        let told = Told::of(book, &self.treatment, &course, this);
        // Whoever ended it at some minute may note what was given by then.
        let ended = treatment
            .ended
            .is_some_and(|ended| ended.latest() <= self.when.earliest() && ended.earliest() < self.when.earliest());
        let past = course.until.is_some_and(|last| self.when.earliest().date() > last);
        match course.dose(0).filter(|_| told.fills == Fills::Before) {
            Some(first) => doubts.push(Doubt::DosedEarly { what: what.clone(), first: first.date() }),
            None if told.fills == Fills::After || ended || past => {
                doubts.push(Doubt::DosedLate { what: what.clone() });
            }
            None => {}
        }
        doubts.extend(told.instead_of.map(|last| Doubt::DosedAlready { what, last }));
        doubts
    }
}

/// A dose as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct DoseEdited {
    pub dose: DoseId,
    pub when: When,
    pub left_out: bool,
    pub note: String,
}

impl DoseEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, dose: &DoseId, otherwise: When) -> Option<DoseEdited> {
        book.dose(dose).map(|stands| DoseEdited {
            dose: dose.clone(),
            when: stands.when.unwrap_or(otherwise),
            left_out: stands.left_out,
            note: stands.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for DoseEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let dose = book.dose(&self.dose).ok_or_else(|| Refusal::NoSuch { thing: self.dose.thing() })?;
        not_future("dose", self.when, now)?;
        let treatment = dose.treatment.as_ref().and_then(|id| book.treatment(id));
        let animal = treatment.and_then(|treatment| treatment.animal.as_ref());
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the dose", self.when))?;
        let row =
            Row::new().with(Dose::when, self.when).with(Dose::left_out, self.left_out).with(Dose::note, &self.note);
        draft("DoseEdited", row.change(book, self.dose.as_str()).into_iter().collect())
    }
}

/// What one more dose would come to, among those that were noted.
struct Told {
    fills: Fills,
    /// It makes no more doses given: when the one was given that counts for what it would.
    instead_of: Option<When>,
}

impl Told {
    fn of(book: &Book, treatment: &TreatmentId, course: &Course, this: Noted) -> Told {
        let (doses, mut all): (Vec<&Dose>, Vec<Noted>) = noted(book, treatment).into_iter().unzip();
        let before = course.fill(&all);
        all.push(this);
        let after = course.fill(&all);
        let fills = after.fills.last().copied().unwrap_or(Fills::After);
        let n = match fills {
            Fills::Dose(n) | Fills::Twice(n) if !this.left_out && after.given.len() <= before.given.len() => Some(n),
            Fills::Dose(_) | Fills::Twice(_) | Fills::Idle | Fills::Before | Fills::After => None,
        };
        let counts = |n: u32| before.fills.iter().position(|fills| *fills == Fills::Dose(n));
        Told { fills, instead_of: n.and_then(counts).and_then(|at| doses.get(at)?.when) }
    }
}
