//! Notes, labels, and who is writing.

use super::row::Row;
use super::{Act, Mint, Refusal, draft, fresh, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{BlankLabel, LabelPrint, Note, Person};
use chrono::{NaiveDate, NaiveDateTime};
use journal::{Draft, DraftSet};
use trade::units::Mass;
use trade::when::When;

/// Something written about a thing.
#[derive(Clone, Debug)]
pub struct Noted {
    pub about: Thing,
    pub when: When,
    /// Up to 4000 characters.
    pub text: String,
}

impl Act for Noted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.about.clone())?;
        not_future("note", self.when, now)?;
        if self.text.trim().is_empty() {
            return Err(Refusal::Missing { what: "the note" });
        }
        if self.text.chars().count() > 4000 {
            return Err(Refusal::TooMany { what: "characters in one note", most: 4000 });
        }
        let row = Row::new().with(Note::about, &self.about).with(Note::when, self.when).with(Note::text, &self.text);
        draft("Noted", vec![row.observe()])
    }
}

/// A label printed: what the paper says, so that it is known when it no longer holds.
#[derive(Clone, Debug)]
pub struct LabelPrinted {
    pub thing: Thing,
    pub when: When,
    /// The text in the QR code.
    pub payload: String,
    pub look_from: Option<NaiveDate>,
    pub likely_from: Option<NaiveDate>,
    pub likely_to: Option<NaiveDate>,
    pub fill_to: Option<Mass>,
}

impl LabelPrinted {
    fn set(&self, book: &Book, now: NaiveDateTime) -> Result<DraftSet, Refusal> {
        there(book, self.thing.clone())?;
        not_future("print", self.when, now)?;
        real_mass_if("A target weight", self.fill_to)?;
        let row = Row::new()
            .with(LabelPrint::thing, &self.thing)
            .with(LabelPrint::when, self.when)
            .with(LabelPrint::payload, &self.payload)
            .with(LabelPrint::look_from, self.look_from)
            .with(LabelPrint::likely_from, self.likely_from)
            .with(LabelPrint::likely_to, self.likely_to)
            .with(LabelPrint::fill_to, self.fill_to);
        Ok(row.observe())
    }
}

impl Act for LabelPrinted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        draft("LabelPrinted", vec![self.set(book, now)?])
    }
}

/// Labels printed in one go. 1 to 500.
#[derive(Clone, Debug)]
pub struct LabelsPrinted {
    pub prints: Vec<LabelPrinted>,
}

impl Act for LabelsPrinted {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        match self.prints.as_slice() {
            [] => Err(Refusal::Missing { what: "which labels" }),
            [one] => one.draft(book, now, mint),
            many if many.len() > 500 => Err(Refusal::TooMany { what: "labels at once", most: 500 }),
            many => draft("LabelsPrinted", many.iter().map(|one| one.set(book, now)).collect::<Result<_, _>>()?),
        }
    }
}

/// Blank labels to print ahead. Their ids are in the draft, see [`super::all_made`].
#[derive(Clone, Debug)]
pub struct BlankLabelsMade {
    /// 1 to 500.
    pub count: u32,
}

impl Act for BlankLabelsMade {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.count == 0 {
            return Err(Refusal::Missing { what: "how many labels" });
        }
        if self.count > 500 {
            return Err(Refusal::TooMany { what: "labels at once", most: 500 });
        }
        let mut sets: Vec<DraftSet> = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        // Ends even when a mint repeats itself; then there are fewer labels, each of its own.
        for _ in 0..self.count.saturating_mul(2) {
            if seen.len() >= self.count as usize {
                break;
            }
            let id = fresh(book, mint);
            if seen.insert(id.clone()) {
                sets.push(Row::new().with(BlankLabel::made, When::time(now)).create(book, &id));
            }
        }
        draft("BlankLabelsMade", sets)
    }
}

/// A person who logs, new or under another name.
#[derive(Clone, Debug)]
pub struct PersonNamed {
    pub person: Option<PersonId>,
    /// One line of at most 64 bytes, which is what an entry can carry.
    pub name: String,
}

impl Act for PersonNamed {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let name = self.name.trim();
        if name.is_empty() || name.chars().any(char::is_control) {
            return Err(Refusal::Missing { what: "a name" });
        }
        if name.len() > journal::MAX_NAME {
            return Err(Refusal::TooMany { what: "letters in a name", most: 64 });
        }
        let taken =
            book.people().into_iter().any(|p| p.name.as_deref() == Some(name) && Some(&p.id) != self.person.as_ref());
        if taken {
            return Err(Refusal::Twice { what: name.to_owned() });
        }
        let row = Row::new().with(Person::name, name);
        let set = match &self.person {
            Some(id) => {
                there(book, id.clone())?;
                row.change(book, id.as_str())
            }
            None => Some(row.create(book, &fresh(book, mint))),
        };
        draft("PersonNamed", set.into_iter().collect())
    }
}
