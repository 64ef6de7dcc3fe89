//! People outside the barn, and who left to whom on which day.

use super::money::first_amount;
use super::moves::with_her_eggs;
use super::quarantine::apart_doubts;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, all_there, draft, fresh, in_order, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Animal, Contact, Hold, Wish};
use crate::views::baby_row;
use crate::words::Went;
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::when::When;

/// Someone outside the barn, new or changed. Their details are kept beside the journal, under this digest.
#[derive(Clone, Debug, Default)]
pub struct ContactKept {
    pub contact: Option<ContactId>,
    /// Says nothing to a stranger; left empty it is counted up: `P-001`.
    pub mark: String,
    /// Digest of (random salt ‖ details), 64 hex digits; `None`: none are kept.
    pub digest: Option<String>,
}

impl Act for ContactKept {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if let Some(digest) = &self.digest
            && digest.parse::<journal::Digest>().is_err()
        {
            return Err(Refusal::Missing { what: "details that were kept whole" });
        }
        let mark = match (self.mark.trim(), &self.contact) {
            ("", Some(id)) => book.contact(id).and_then(|c| c.mark.clone()).unwrap_or_default(),
            ("", None) => book.suggest_mark(),
            (mark, _) => mark.to_owned(),
        };
        if mark.len() > journal::MAX_NAME {
            return Err(Refusal::TooMany { what: "letters in a mark", most: 64 });
        }
        let other = |c: &&crate::records::Contact| Some(&c.id) != self.contact.as_ref();
        if book.contacts().into_iter().filter(other).any(|c| c.mark.as_deref() == Some(mark.as_str())) {
            return Err(Refusal::Twice { what: mark });
        }
        let row = Row::new().with(Contact::mark, &mark).with(Contact::digest, self.digest.as_ref());
        let set = match &self.contact {
            Some(id) => {
                there(book, id.clone())?;
                row.change(book, id.as_str())
            }
            None => Some(row.create(book, &fresh(book, mint))),
        };
        draft("ContactKept", set.into_iter().collect())
    }
}

pub(super) fn here<'a>(book: &'a Book, id: &AnimalId) -> Result<&'a Animal, Refusal> {
    let animal = book.animal(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
    if animal.is_here() { Ok(animal) } else { Err(Refusal::NotHere { name: book.animal_name(id) }) }
}

/// Animals that left: sold, given, traded or loaned. Their holds end with it, and the wish that is then fulfilled.
#[derive(Clone, Debug)]
pub struct AnimalsPlaced {
    pub animals: Vec<AnimalId>,
    pub how: Went,
    pub to: Option<ContactId>,
    pub when: When,
    /// With its currency; empty when it is nobody's business.
    pub price: String,
    pub note: String,
}

impl Act for AnimalsPlaced {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.animals.is_empty() {
            return Err(Refusal::Missing { what: "the animal" });
        }
        if !matches!(self.how, Went::Sold | Went::Given | Went::Traded | Went::Loaned) {
            return Err(Refusal::Missing { what: "whether it was sold, given, traded or loaned" });
        }
        not_future("leaving", self.when, now)?;
        all_there(book, self.to.as_slice())?;
        let mut sets: Vec<DraftSet> = Vec::new();
        let mut wishes: Vec<&WishId> = Vec::new();
        for (i, id) in self.animals.iter().enumerate() {
            let animal = here(book, id)?;
            if self.animals[..i].contains(id) {
                return Err(Refusal::Twice { what: book.animal_name(id) });
            }
            in_order(("birth", animal.born), ("leaving", Some(self.when)))?;
            let row = Row::new()
                .with(Animal::went, self.how)
                .with(Animal::went_when, self.when)
                .with(Animal::went_to, self.to.as_ref())
                .with(Animal::went_price, &self.price)
                .with(Animal::went_why, &self.note);
            sets.extend(row.change(book, id.as_str()));
            for hold in book.holds_of(id).filter(|hold| hold.ended.is_none()) {
                sets.extend(Row::new().with(Hold::ended, self.when).change(book, hold.id.as_str()));
                wishes.extend(hold.wish.as_ref().filter(|_| hold.contact == self.to));
            }
        }
        for wish in fulfilled(book, &wishes) {
            sets.extend(Row::new().with(Wish::closed, self.when).change(book, wish.as_str()));
        }
        sets.extend(first_amount(book, self.price.parse().ok()));
        draft("AnimalsPlaced", sets)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let rows: Vec<_> = self.animals.iter().filter_map(|id| baby_row(book, id, now)).collect();
        let unready: Vec<&str> = rows.iter().filter(|row| !row.ready).map(|row| row.name.as_str()).collect();
        let mut doubts = Vec::new();
        if !unready.is_empty() {
            doubts.push(Doubt::NotReady { names: unready.join(", ") });
        }
        for id in &self.animals {
            if book.hold_on(id).is_some_and(|hold| hold.contact.is_some() && hold.contact != self.to) {
                doubts.push(Doubt::HeldForOther { name: book.animal_name(id) });
            }
        }
        doubts.extend(self.animals.iter().filter_map(|id| with_her_eggs(book, id, |_| true)));
        let things: Vec<Thing> = self.animals.iter().map(AnimalId::thing).collect();
        doubts.extend(apart_doubts(book, things.iter(), None, self.when));
        doubts
    }
}

/// Wishes of which as many as were wished for have left by now, those leaving included.
fn fulfilled<'a>(book: &Book, leaving: &[&'a WishId]) -> Vec<&'a WishId> {
    let mut done: Vec<&WishId> = Vec::new();
    for &wish in leaving {
        let Some(record) = book.wish(wish).filter(|record| record.closed.is_none()) else { continue };
        let gone = book.holds_for(wish).filter(|hold| {
            let animal = hold.animal.as_ref().and_then(|id| book.animal(id));
            animal.is_some_and(|animal| !animal.is_here() && animal.went_to == record.contact)
        });
        let now = leaving.iter().filter(|other| **other == wish).count();
        if gone.count() + now >= record.count.unwrap_or(1) as usize && !done.contains(&wish) {
            done.push(wish);
        }
    }
    done
}
