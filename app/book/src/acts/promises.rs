//! Who would like what, and what is held for whom; each put right later.

use super::money::{first_amount, real_amount};
use super::placing::here;
use super::row::Row;
use super::{Act, Mint, Refusal, all_there, draft, fresh, in_order, not_future};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Hold, Wish};
use crate::words::Sex;
use chrono::{NaiveDate, NaiveDateTime};
use journal::{Draft, DraftSet};
use trade::money::Money;
use trade::when::When;

/// Somebody would like an animal.
#[derive(Clone, Debug, Default)]
pub struct WishNoted {
    pub contact: Option<ContactId>,
    pub species: Option<String>,
    pub sex: Option<Sex>,
    pub what: String,
    /// How many.
    pub count: u32,
    pub when: Option<When>,
}

/// Refuses what no animal could answer.
fn wished(species: Option<&String>, what: &str, count: u32) -> Result<(), Refusal> {
    if species.is_none() && what.trim().is_empty() {
        return Err(Refusal::Missing { what: "a species, or what is wished for in words" });
    }
    if count == 0 || count > 100 {
        return Err(Refusal::Missing { what: "how many, from 1 to 100" });
    }
    Ok(())
}

impl Act for WishNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_there(book, self.contact.as_slice())?;
        wished(self.species.as_ref(), &self.what, self.count)?;
        let when = self.when.unwrap_or_else(|| When::day(now.date()));
        not_future("wish", when, now)?;
        let row = Row::new()
            .with(Wish::contact, self.contact.as_ref())
            .with(Wish::species, self.species.as_ref())
            .with(Wish::sex, self.sex)
            .with(Wish::what, &self.what)
            .with(Wish::count, self.count)
            .with(Wish::when, when);
        draft("WishNoted", vec![row.create(book, &fresh(book, mint))])
    }
}

/// A wish fulfilled or dropped.
#[derive(Clone, Debug)]
pub struct WishClosed {
    pub wish: WishId,
    pub when: When,
}

impl Act for WishClosed {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let wish = book.wish(&self.wish).ok_or_else(|| Refusal::NoSuch { thing: self.wish.thing() })?;
        if wish.closed.is_some() {
            return Err(Refusal::NothingChanged);
        }
        not_future("closing", self.when, now)?;
        in_order(("the wish", wish.when), ("its end", Some(self.when)))?;
        let row = Row::new().with(Wish::closed, self.when);
        draft("WishClosed", row.change(book, self.wish.as_str()).into_iter().collect())
    }
}

/// A wish as it should have been noted; whose it is stays.
#[derive(Clone, Debug, PartialEq)]
pub struct WishEdited {
    pub wish: WishId,
    pub species: Option<String>,
    pub sex: Option<Sex>,
    pub what: String,
    pub count: u32,
    pub when: When,
    /// Fulfilled or dropped; `None`: open, or again.
    pub closed: Option<When>,
}

/// How many are wished for where nobody said.
const ONE: u32 = 1;

impl WishEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &WishId, otherwise: When) -> Option<WishEdited> {
        let wish = book.wish(id)?;
        Some(WishEdited {
            wish: id.clone(),
            species: wish.species.clone(),
            sex: wish.sex,
            what: wish.what.clone().unwrap_or_default(),
            count: wish.count.unwrap_or(ONE),
            when: wish.when.unwrap_or(otherwise),
            closed: wish.closed,
        })
    }
}

impl Act for WishEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let wish = book.wish(&self.wish).ok_or_else(|| Refusal::NoSuch { thing: self.wish.thing() })?;
        wished(self.species.as_ref(), &self.what, self.count)?;
        for (what, when) in [("wish", Some(self.when)), ("closing", self.closed)] {
            when.map_or(Ok(()), |when| not_future(what, when, now))?;
        }
        in_order(("the wish", Some(self.when)), ("its end", self.closed))?;
        let row = Row::new()
            .with(Wish::species, self.species.as_ref())
            .with(Wish::sex, self.sex)
            .with(Wish::what, &self.what)
            .shown(Wish::count, self.count, wish.count, ONE)
            .with(Wish::when, self.when)
            .with(Wish::closed, self.closed);
        draft("WishEdited", row.change(book, self.wish.as_str()).into_iter().collect())
    }
}

/// Said where a deposit is no amount.
const DEPOSIT: &str = "a deposit above nothing";

/// Animals held for somebody, or (`contact` absent) kept back by the barn.
#[derive(Clone, Debug, Default)]
pub struct Held {
    pub animals: Vec<AnimalId>,
    pub contact: Option<ContactId>,
    /// The wish it answers.
    pub wish: Option<WishId>,
    pub until: Option<NaiveDate>,
    /// As agreed, with its currency.
    pub price: String,
    /// Paid ahead.
    pub deposit: Option<Money>,
    pub note: String,
}

impl Act for Held {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.animals.is_empty() {
            return Err(Refusal::Missing { what: "the animal" });
        }
        all_there(book, self.contact.as_slice())?;
        all_there(book, self.wish.as_slice())?;
        real_amount(DEPOSIT, self.deposit)?;
        let mut sets: Vec<DraftSet> = Vec::new();
        for (i, id) in self.animals.iter().enumerate() {
            here(book, id)?;
            if self.animals[..i].contains(id) {
                return Err(Refusal::Twice { what: book.animal_name(id) });
            }
            if book.hold_on(id).is_some() {
                return Err(Refusal::HeldAlready { name: book.animal_name(id) });
            }
            let row = Row::new()
                .with(Hold::animal, id)
                .with(Hold::contact, self.contact.as_ref())
                .with(Hold::wish, self.wish.as_ref())
                .with(Hold::when, When::time(now))
                .with(Hold::until, self.until)
                .with(Hold::price, &self.price)
                .with(Hold::deposit, self.deposit)
                .with(Hold::note, &self.note);
            sets.push(row.create(book, &fresh(book, mint)));
        }
        sets.extend(first_amount(book, self.price.parse().ok().or(self.deposit)));
        draft("Held", sets)
    }
}

/// An animal is free again.
#[derive(Clone, Debug)]
pub struct HoldEnded {
    pub hold: HoldId,
    pub when: When,
}

impl Act for HoldEnded {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let hold = book.hold(&self.hold).ok_or_else(|| Refusal::NoSuch { thing: self.hold.thing() })?;
        if hold.ended.is_some() {
            return Err(Refusal::NothingChanged);
        }
        not_future("letting go", self.when, now)?;
        in_order(("the promise", hold.when), ("letting go", Some(self.when)))?;
        let row = Row::new().with(Hold::ended, self.when);
        draft("HoldEnded", row.change(book, self.hold.as_str()).into_iter().collect())
    }
}

/// What is or was held, as it should have been noted; the animal stays.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldEdited {
    pub hold: HoldId,
    /// None: kept back.
    pub contact: Option<ContactId>,
    pub until: Option<NaiveDate>,
    pub price: String,
    pub deposit: Option<Money>,
    pub note: String,
    pub when: When,
    /// Let go, or placed; `None`: held, or again.
    pub ended: Option<When>,
}

impl HoldEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &HoldId, otherwise: When) -> Option<HoldEdited> {
        let hold = book.hold(id)?;
        Some(HoldEdited {
            hold: id.clone(),
            contact: hold.contact.clone(),
            until: hold.until,
            price: hold.price.clone().unwrap_or_default(),
            deposit: hold.deposit,
            note: hold.note.clone().unwrap_or_default(),
            when: hold.when.unwrap_or(otherwise),
            ended: hold.ended,
        })
    }
}

impl Act for HoldEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let hold = book.hold(&self.hold).ok_or_else(|| Refusal::NoSuch { thing: self.hold.thing() })?;
        real_amount(DEPOSIT, self.deposit)?;
        if self.contact != hold.contact {
            all_there(book, self.contact.as_slice())?;
        }
        for (what, when) in [("promise", Some(self.when)), ("letting go", self.ended)] {
            when.map_or(Ok(()), |when| not_future(what, when, now))?;
        }
        in_order(("the promise", Some(self.when)), ("letting go", self.ended))?;
        if let (Some(animal), Some(_), None) = (&hold.animal, hold.ended, self.ended) {
            here(book, animal)?;
            if book.hold_on(animal).is_some() {
                return Err(Refusal::HeldAlready { name: book.animal_name(animal) });
            }
        }
        let mut row = Row::new()
            .with(Hold::contact, self.contact.as_ref())
            .with(Hold::until, self.until)
            .with(Hold::price, &self.price)
            .with(Hold::deposit, self.deposit)
            .with(Hold::note, &self.note)
            .with(Hold::when, self.when)
            .with(Hold::ended, self.ended);
        // The wish it answered was somebody's: held for another, it answers one of theirs. What is over answers none.
        if self.contact != hold.contact {
            let species = hold.animal.as_ref().and_then(|id| book.animal(id)?.species.as_ref());
            let held_for = self.contact.as_ref().filter(|_| self.ended.is_none());
            let wish = held_for.and_then(|contact| book.wish_answered(contact, species));
            row = row.with(Hold::wish, wish.as_ref());
        }
        let mut sets: Vec<DraftSet> = row.change(book, self.hold.as_str()).into_iter().collect();
        if !sets.is_empty() {
            sets.extend(first_amount(book, self.price.parse().ok().or(self.deposit)));
        }
        draft("HoldEdited", sets)
    }
}
