//! Prices, deposits and costs, for those who write them down.

use super::{animals, dates, units};
use crate::prefs::Prefs;
use book::views::{Owed, SaleRow};
use trade::money::Money;

pub const FOR_SALE: &str = "For sale";
pub const FOR_SALE_SAID: &str = "Animals with a price, as a list and on paper";
pub const COSTS: &str = "Costs";
pub const COSTS_SAID: &str = "What was spent, by kind and year";

pub const CURRENCY: &str = "Prices and costs";
pub const CURRENCY_NONE: &str = "not written down";
pub const CURRENCY_HOW: &str = "Choose a currency. Animals then get a price, and More leads to what is for sale and to costs. All devices of the barn share this. Amounts are kept in the records and go along in every bundle.";
pub const CURRENCY_SAVED: &str = "Currency saved.";

pub const ASKED_HOW: &str = "Empty: not for sale.";
pub const PRICE_SAVED: &str = "Price saved.";
pub const NOT_FOR_SALE: &str = "Not for sale any more.";
pub const NOTHING_FOR_SALE: &str = "Nothing is for sale. Open an animal and give it a price.";
pub const SEARCH: &str = "Find by name, species or looks";
pub const NONE_FIT: &str = "Nothing for sale matches.";
pub const SALE_HOW: &str = "Animals kept back are not listed. Paper shows what the list shows.";
pub const HELD: &str = "held";
pub const PRICE: &str = "Price";
pub const OWED: &str = "Promised, and what is open";

pub const KINDS: [&str; 6] = ["Feed", "Medium", "Veterinarian", "Equipment", "Electricity", "Animals"];
pub const COST_SAVED: &str = "Cost saved.";
pub const NO_COSTS: &str = "No costs noted yet.";
pub const COSTS_HOW: &str = "Sums cover what is noted here, each currency by itself. They are not accounts.";
pub const ALL: &str = "All";
pub const SPENT_ON: &str = "Spent on";

/// `For sale: 80.00 EUR`, `Set a price`.
pub fn asked(asked: Option<Money>) -> String {
    asked.map_or_else(|| "Set a price".to_owned(), |asked| format!("{FOR_SALE}: {asked}"))
}

pub fn price_title(name: &str) -> String {
    format!("Price of {name}")
}

pub fn as_of(day: &str) -> String {
    format!("On {day}")
}

/// `Corn snake, amel`.
pub fn sale_looks(row: &SaleRow) -> String {
    [Some(row.species.clone()), row.looks.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// `female · hatched 12 Jun 2026 · 14 g`.
pub fn sale_facts(row: &SaleRow, prefs: &Prefs) -> String {
    let sex = row.sex.map(|sex| animals::sex(sex).to_owned());
    let hatched = row.hatched.map(|when| format!("hatched {}", dates::full_when(when)));
    let mass = row.mass.map(|mass| units::mass(mass, prefs));
    [sex, hatched, mass].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// `26-22-B: price 80.00 EUR, deposit 20.00 EUR, still open 60.00 EUR`.
pub fn owed(row: &Owed) -> String {
    let price = row.price.map(|price| format!("price {price}"));
    let deposit = row.deposit.map(|paid| format!("deposit {paid}"));
    let open = row.open.map(|open| format!("still open {open}"));
    format!("{}: {}", row.animal, [price, deposit, open].into_iter().flatten().collect::<Vec<_>>().join(", "))
}

/// Each currency by itself.
pub fn open(sums: &[Money]) -> String {
    let sums: Vec<String> = sums.iter().map(ToString::to_string).collect();
    format!("Still open: {}", sums.join(" and "))
}

pub fn deposit(paid: Money) -> String {
    format!("deposit {paid}")
}

pub fn capital_deposit(paid: Money) -> String {
    animals::capital(&deposit(paid))
}

/// `Cost: Feed, 14.20 EUR`.
pub fn cost(what: &str, amount: &str) -> String {
    format!("Cost: {what}, {amount}")
}

pub fn year(year: Option<i32>) -> String {
    year.map_or_else(|| "No day noted".to_owned(), |year| year.to_string())
}
