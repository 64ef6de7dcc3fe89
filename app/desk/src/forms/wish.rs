//! What somebody would like, and what is held for whom; both put right later.

use super::kept::kept;
use super::money;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{AnimalsPlaced, Held, HoldEdited, WishEdited, WishNoted};
use book::words::{Sex, Went};
use book::{AnimalId, ContactId, WishId};
use chrono::NaiveDate;
use trade::money::Currency;
use trade::when::When;

/// The wish on a person's page; it is saved with the person, or by itself.
#[derive(Clone, Debug)]
pub struct WishForm {
    pub contact: ContactId,
    pub species: Option<String>,
    pub what: String,
    pub sex: Option<Sex>,
    pub count: Entry,
}

impl WishForm {
    /// The name of the field in words.
    pub const WHAT: &str = "What they would like, in words";

    /// How many are wished for.
    pub fn count() -> Entry {
        Entry::of_count(Ask::count("How many", 1, 100), 1)
    }

    /// Nothing of it was filled in.
    pub fn untouched(&self) -> bool {
        self.species.is_none() && self.what.trim().is_empty() && self.sex.is_none() && self.count.untouched()
    }

    /// # Errors
    /// What cannot be read; neither a species nor words.
    pub fn act(&self) -> Result<WishNoted, Wrong> {
        let mut gather = Gather::new(Units::default());
        let count = gather.count(&self.count);
        wished(&mut gather, self.species.as_ref(), &self.what);
        let act = WishNoted {
            contact: Some(self.contact.clone()),
            species: self.species.clone(),
            sex: self.sex,
            what: self.what.clone(),
            count,
            when: None,
        };
        gather.done(act)
    }

    /// As [`WishForm::act`], when something of it was filled in.
    ///
    /// # Errors
    /// As [`WishForm::act`].
    pub fn act_if_any(&self) -> Result<Option<WishNoted>, Wrong> {
        if self.untouched() { Ok(None) } else { self.act().map(Some) }
    }
}

fn wished(gather: &mut Gather, species: Option<&String>, what: &str) {
    if species.is_none() && what.trim().is_empty() {
        gather.note(WishForm::WHAT, "What they would like, in words: type it, or choose a species.");
    }
}

/// A wish put right, closed, or opened again.
#[derive(Clone, Debug)]
pub struct WishFixForm {
    pub before: WishEdited,
    /// Its key; empty: any.
    pub species: String,
    pub what: String,
    pub sex: Option<Sex>,
    pub count: Entry,
}

impl WishFixForm {
    pub fn new(before: WishEdited) -> WishFixForm {
        WishFixForm {
            species: before.species.clone().unwrap_or_default(),
            what: before.what.clone(),
            sex: before.sex,
            count: Entry::of_count(WishForm::count().ask, before.count),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What cannot be read; neither a species nor words.
    pub fn act(&self, (when, closed): (When, Option<When>), now: &WishEdited) -> Result<WishEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let species = Some(self.species.clone()).filter(|key| !key.is_empty());
        wished(&mut gather, species.as_ref(), &self.what);
        let (wish, what, count) = (self.before.wish.clone(), self.what.clone(), gather.count(&self.count));
        let typed = WishEdited { wish, species, sex: self.sex, what, count, when, closed };
        gather.done(kept!(WishEdited { wish, species, sex, what, count, when, closed }: typed, self.before, now))
    }
}

/// What is held put right, let go, or held again.
#[derive(Clone, Debug)]
pub struct HoldForm {
    pub before: HoldEdited,
    /// An id; empty: kept back.
    pub contact: String,
    /// As a date field gives it.
    pub until: String,
    pub price: Entry,
    pub deposit: Entry,
    pub note: String,
}

impl HoldForm {
    /// `currency`: the barn's own, if it writes amounts down.
    pub fn new(before: HoldEdited, currency: Option<Currency>) -> HoldForm {
        HoldForm {
            contact: before.contact.as_ref().map(ToString::to_string).unwrap_or_default(),
            until: before.until.map(|day| day.to_string()).unwrap_or_default(),
            price: money::price(&before.price, currency),
            deposit: money::deposit(before.deposit, currency),
            note: before.note.clone(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped; `until`: the name of the field of that day.
    ///
    /// # Errors
    /// What cannot be read; a day that is not finished.
    pub fn act(&self, until: &str, (when, ended): (When, Option<When>), now: &HoldEdited) -> Result<HoldEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = HoldEdited {
            hold: self.before.hold.clone(),
            contact: Some(self.contact.as_str()).filter(|id| !id.is_empty()).map(ContactId::from),
            until: gather.day(until, &self.until, None),
            price: gather.price(&self.price, &self.before.price),
            deposit: gather.money(&self.deposit),
            note: self.note.clone(),
            when,
            ended,
        };
        gather.done(
            kept!(HoldEdited { hold, contact, until, price, deposit, note, when, ended }: typed, self.before, now),
        )
    }
}

/// An animal promised, kept back, or placed.
#[derive(Clone, Debug)]
pub struct PlacingForm {
    pub animal: AnimalId,
    /// The price agreed on when the page was opened.
    pub agreed: String,
    pub contact: Option<ContactId>,
    /// As a date field gives it.
    pub until: String,
    pub price: Entry,
    pub deposit: Entry,
    pub note: String,
}

impl PlacingForm {
    /// `until`: the name of the field of that day.
    ///
    /// # Errors
    /// What cannot be read; a day that is not finished.
    pub fn held(&self, until: &str, wish: Option<WishId>) -> Result<Held, Wrong> {
        let mut gather = Gather::new(Units::default());
        let held = Held {
            animals: vec![self.animal.clone()],
            contact: self.contact.clone(),
            wish,
            until: gather.day(until, &self.until, None),
            price: gather.price(&self.price, &self.agreed),
            deposit: gather.money(&self.deposit),
            note: self.note.clone(),
        };
        gather.done(held)
    }

    /// `day`: the name of the field of that day, and what is in it.
    ///
    /// # Errors
    /// What cannot be read; a day that is not finished or has not come.
    pub fn placed(&self, day: (&str, &str), how: Went, today: NaiveDate) -> Result<AnimalsPlaced, Wrong> {
        let mut gather = Gather::new(Units::default());
        let price = gather.price(&self.price, &self.agreed);
        let when = When::day(gather.need_day(day.0, day.1, Some(today)).unwrap_or(today));
        let (animals, to, note) = (vec![self.animal.clone()], self.contact.clone(), self.note.clone());
        gather.done(AnimalsPlaced { animals, how, to, when, price, note })
    }
}
