//! What an animal is to cost, what was spent, and in which currency; for those who write that down.

use super::placing::here;
use super::row::Row;
use super::{Act, Mint, Refusal, draft, not_future};
use crate::book::Book;
use crate::ids::*;
use crate::read::BARN;
use crate::records::{Animal, BarnRules, Cost};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::money::{Currency, MOST_MINOR, Money};
use trade::when::When;

/// What new amounts are in. What was written stays in its own currency.
#[derive(Clone, Debug)]
pub struct CurrencySet {
    /// `None`: pages ask for no amounts, and show those there are only where they are the animal's or person's own.
    pub currency: Option<Currency>,
}

impl Act for CurrencySet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let row = Row::new().with(BarnRules::currency, self.currency.as_ref().map_or("", Currency::code));
        draft("CurrencySet", row.change(book, BARN).into_iter().collect())
    }
}

/// Whoever writes a first amount writes amounts down: its currency is the barn's from then on.
pub(super) fn first_amount(book: &Book, amount: Option<Money>) -> Option<DraftSet> {
    let amount = amount.filter(|_| book.currency().is_none())?;
    Row::new().with(BarnRules::currency, amount.currency.code()).change(book, BARN)
}

/// Refuses nothing and less than nothing, and what is more than anything here.
pub(super) fn real_amount(what: &'static str, amount: Option<Money>) -> Result<(), Refusal> {
    let real = amount.is_none_or(|amount| (1..=MOST_MINOR).contains(&amount.minor));
    if real { Ok(()) } else { Err(Refusal::Missing { what }) }
}

/// An animal is for sale at this price, or (`None`) is not any more.
#[derive(Clone, Debug)]
pub struct PriceAsked {
    pub animal: AnimalId,
    pub asked: Option<Money>,
}

impl Act for PriceAsked {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        here(book, &self.animal)?;
        real_amount("a price above nothing", self.asked)?;
        let row = Row::new().with(Animal::asked, self.asked);
        let mut sets: Vec<DraftSet> = row.change(book, self.animal.as_str()).into_iter().collect();
        if !sets.is_empty() {
            sets.extend(first_amount(book, self.asked));
        }
        draft("PriceAsked", sets)
    }
}

/// All of a cost that a form edits.
#[derive(Clone, Debug, PartialEq)]
pub struct CostCard {
    pub when: When,
    /// Its kind, in the keeper's own word.
    pub what: String,
    /// `None` only of one that cannot be read here.
    pub amount: Option<Money>,
    pub note: String,
}

impl CostCard {
    fn check(&self, stands: Option<&Cost>, now: NaiveDateTime) -> Result<(), Refusal> {
        not_future("cost", self.when, now)?;
        if self.what.trim().is_empty() {
            return Err(Refusal::Missing { what: "what kind of cost it was" });
        }
        let unread = stands.is_some_and(|stands| stands.amount.is_none());
        if self.amount.is_none() && !unread {
            return Err(Refusal::Missing { what: "the amount" });
        }
        real_amount("an amount above nothing", self.amount)
    }

    fn row(&self) -> Row<Cost> {
        Row::new()
            .with(Cost::when, self.when)
            .with(Cost::what, &self.what)
            .with(Cost::amount, self.amount)
            .with(Cost::note, &self.note)
    }
}

/// Money spent.
#[derive(Clone, Debug)]
pub struct CostNoted {
    pub card: CostCard,
}

impl Act for CostNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        self.card.check(None, now)?;
        let first = first_amount(book, self.card.amount);
        draft("CostNoted", std::iter::once(self.card.row().observe()).chain(first).collect())
    }
}

/// A cost as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct CostEdited {
    pub cost: CostId,
    pub card: CostCard,
}

impl CostEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &CostId, otherwise: When) -> Option<CostEdited> {
        book.cost(id).map(|cost| CostEdited {
            cost: id.clone(),
            card: CostCard {
                when: cost.when.unwrap_or(otherwise),
                what: cost.what.clone().unwrap_or_default(),
                amount: cost.amount,
                note: cost.note.clone().unwrap_or_default(),
            },
        })
    }
}

impl Act for CostEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let stands = book.cost(&self.cost).ok_or_else(|| Refusal::NoSuch { thing: self.cost.thing() })?;
        self.card.check(Some(stands), now)?;
        draft("CostEdited", self.card.row().change(book, self.cost.as_str()).into_iter().collect())
    }
}
