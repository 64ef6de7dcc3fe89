//! What is for sale, what somebody still has to pay, and what was spent: sums by kind and year, and no more than that.

use crate::book::Book;
use crate::ids::*;
use crate::index::normal;
use crate::order::sort;
use crate::read::BARN;
use crate::records::{Animal, Cost, Hold};
use crate::words::Sex;
use chrono::Datelike;
use std::collections::BTreeMap;
use trade::money::{Currency, Money};
use trade::units::Mass;
use trade::when::When;

impl Book {
    /// What new amounts are in; none: the barn writes none down.
    pub fn currency(&self) -> Option<Currency> {
        Currency::of(self.barn_rules(&RulesId::from(BARN))?.currency.as_deref()?)
    }
}

/// An animal for sale.
#[derive(Clone, Debug, PartialEq)]
pub struct SaleRow {
    pub id: AnimalId,
    pub name: String,
    /// The species' name.
    pub species: String,
    pub sex: Option<Sex>,
    pub looks: Option<String>,
    pub hatched: Option<When>,
    /// As weighed last.
    pub mass: Option<Mass>,
    pub asked: Money,
    /// Promised to somebody.
    pub held: bool,
}

/// Animals in the barn with a price, but for those it keeps back; by species, then by name.
pub fn for_sale(book: &Book) -> Vec<SaleRow> {
    let row = |animal: &Animal| {
        let hold = book.hold_on(&animal.id);
        let kept_back = hold.is_some_and(|hold| hold.contact.is_none());
        let asked = animal.asked.filter(|_| !kept_back)?;
        Some(SaleRow {
            id: animal.id.clone(),
            name: book.animal_name(&animal.id),
            species: book.species_of(animal.species.as_deref()).name.into_owned(),
            sex: animal.sex,
            looks: animal.morph.clone(),
            hatched: animal.born,
            mass: book.weight(&animal.id).map(|(mass, _)| mass),
            asked,
            held: hold.is_some(),
        })
    };
    let mut rows: Vec<SaleRow> = book.animals().into_iter().filter_map(row).collect();
    sort(&mut rows, |row| (row.species.clone(), row.name.clone()));
    rows
}

/// What is promised to somebody, and what of its price is paid.
#[derive(Clone, Debug, PartialEq)]
pub struct Owed {
    pub hold: HoldId,
    pub animal: String,
    pub price: Option<Money>,
    pub deposit: Option<Money>,
    /// Of the price, where both are known and in one currency; a price that is words counts as not known.
    pub open: Option<Money>,
}

/// What is held for somebody now and has a price or a deposit, oldest first; and what is still open of all of it, by currency.
pub fn owed_by(book: &Book, contact: &ContactId) -> (Vec<Owed>, Vec<Money>) {
    let mut rows: Vec<Owed> =
        book.held_for(contact).filter(|hold| hold.ended.is_none()).filter_map(|hold| owed(book, hold)).collect();
    rows.reverse();
    let open = sums(rows.iter().filter_map(|row| row.open));
    (rows, open)
}

fn owed(book: &Book, hold: &Hold) -> Option<Owed> {
    let price = hold.price.as_deref().and_then(|price| price.parse::<Money>().ok());
    let deposit = hold.deposit;
    if price.is_none() && deposit.is_none() {
        return None;
    }
    let open = price.and_then(|price| match deposit {
        None => Some(price),
        Some(paid) if paid.currency == price.currency => {
            Some(Money { minor: (price.minor - paid.minor).max(0), ..price })
        }
        Some(_) => None,
    });
    let animal = hold.animal.as_ref().map(|id| book.animal_name(id)).unwrap_or_default();
    Some(Owed { hold: hold.id.clone(), animal, price, deposit, open })
}

/// Each currency by itself.
fn sums(amounts: impl Iterator<Item = Money>) -> Vec<Money> {
    let mut sums: BTreeMap<Currency, i64> = BTreeMap::new();
    for Money { minor, currency } in amounts {
        let sum = sums.entry(currency).or_default();
        *sum = sum.saturating_add(minor);
    }
    sums.into_iter().map(|(currency, minor)| Money { minor, currency }).collect()
}

/// What was spent in a year, in one currency.
#[derive(Clone, Debug, PartialEq)]
pub struct YearOfCosts {
    /// None: nobody said when.
    pub year: Option<i32>,
    pub all: Money,
    /// Each kind as it was written last, the dearest first.
    pub kinds: Vec<(String, Money)>,
}

/// Sums in minor units by kind, each with the word it was written in last.
type Kinds = BTreeMap<String, (String, i64)>;

/// All costs, newest first.
pub fn costs(book: &Book) -> Vec<&Cost> {
    let mut all: Vec<_> = book.t.costs.values().collect();
    sort(&mut all, |kept| (kept.written.dated(kept.record.when), kept.record.id.clone()));
    all.into_iter().rev().map(|kept| &kept.record).collect()
}

/// Sums of costs that are listed newest first: by year, the latest first, and by currency.
pub fn years_of<'a>(costs: impl IntoIterator<Item = &'a Cost>) -> Vec<YearOfCosts> {
    let mut years: BTreeMap<(Option<i32>, Currency), Kinds> = BTreeMap::new();
    for cost in costs {
        let (Some(amount), Some(what)) = (cost.amount, cost.what.as_deref()) else { continue };
        let year = cost.when.map(|when| when.date().year());
        let kinds = years.entry((year, amount.currency)).or_default();
        // Case and spaces make no other kind.
        let sum = &mut kinds.entry(normal(what)).or_insert_with(|| (what.to_owned(), 0)).1;
        *sum = sum.saturating_add(amount.minor);
    }
    let year = |((year, currency), kinds): ((Option<i32>, Currency), Kinds)| {
        let money = |minor| Money { minor, currency };
        let all = kinds.values().fold(0_i64, |sum, (_, minor)| sum.saturating_add(*minor));
        let mut kinds: Vec<(String, Money)> = kinds.into_values().map(|(what, minor)| (what, money(minor))).collect();
        sort(&mut kinds, |(what, sum)| (-sum.minor, what.clone()));
        YearOfCosts { year, all: money(all), kinds }
    };
    years.into_iter().rev().map(year).collect()
}

/// Kinds of cost that were ever written, newest first, each once.
pub fn kinds_of_cost(book: &Book) -> Vec<String> {
    let mut kinds: Vec<String> = Vec::new();
    for what in costs(book).into_iter().filter_map(|cost| cost.what.as_deref()) {
        if !kinds.iter().any(|known| normal(known) == normal(what)) {
            kinds.push(what.to_owned());
        }
    }
    kinds
}
