//! Prices, deposits and costs, each an amount in a currency.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};
use book::AnimalId;
use book::acts::{CostCard, CostEdited, CostNoted, PriceAsked};
use trade::money::{Currency, MOST_MINOR, Money};
use trade::when::When;

const AMOUNT: &str = "Amount";
const ASKED: &str = "Price asked";
const PRICE: &str = "Price, if you like";
const DEPOSIT: &str = "Deposit";
/// The name of the field of a cost's kind.
pub const WHAT: &str = "Kind of cost";

/// `barns`: what an amount is in where no currency is typed.
fn entry(label: &str, stands: Option<Money>, barns: Option<Currency>) -> Entry {
    let currency = stands.map(|money| money.currency).or(barns);
    let ask = Ask::new(label, Measure::Money(currency), (1, MOST_MINOR));
    Entry::new(ask, stands.map(|money| money.minor), Units::default())
}

/// What an animal is offered for.
pub fn asked(stands: Option<Money>, barns: Option<Currency>) -> Entry {
    entry(ASKED, stands, barns)
}

/// Paid ahead.
pub fn deposit(stands: Option<Money>, barns: Option<Currency>) -> Entry {
    entry(DEPOSIT, stands, barns)
}

/// A price agreed on, as records keep it: an amount, or the words of somebody who wrote it down before there were amounts.
pub fn price(stands: &str, barns: Option<Currency>) -> Entry {
    match stands.parse::<Money>() {
        Ok(money) => entry(PRICE, Some(money), barns),
        Err(_) => Entry::worded(entry(PRICE, None, barns).ask, stands),
    }
}

/// An animal's price as typed; empty: it is not for sale.
///
/// # Errors
/// What cannot be read.
pub fn price_asked(animal: AnimalId, typed: &Entry) -> Result<PriceAsked, Wrong> {
    let mut gather = Gather::new(Units::default());
    let asked = gather.money(typed);
    gather.done(PriceAsked { animal, asked })
}

/// A cost, new or put right.
#[derive(Clone, Debug)]
pub struct CostForm {
    pub what: String,
    pub amount: Entry,
    pub note: String,
}

impl CostForm {
    pub fn blank(barns: Option<Currency>) -> CostForm {
        CostForm { what: String::new(), amount: entry(AMOUNT, None, barns), note: String::new() }
    }

    pub fn new(before: &CostCard, barns: Option<Currency>) -> CostForm {
        let (what, note) = (before.what.clone(), before.note.clone());
        CostForm { what, amount: entry(AMOUNT, before.amount, barns), note }
    }

    /// # Errors
    /// What cannot be read, or is missing.
    pub fn act(&self, when: When) -> Result<CostNoted, Wrong> {
        let mut gather = Gather::new(Units::default());
        let (what, amount) = (gather.need_text(WHAT, &self.what), gather.need_money(&self.amount));
        gather.done(CostNoted { card: CostCard { when, what, amount, note: self.note.clone() } })
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What cannot be read, or is missing.
    pub fn edit(&self, before: &CostEdited, when: When, now: &CostEdited) -> Result<CostEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let what = gather.need_text(WHAT, &self.what);
        // What a newer program wrote may be read by nobody here, and stays.
        let unread = before.card.amount.is_none();
        let amount = if unread { gather.money(&self.amount) } else { gather.need_money(&self.amount) };
        let typed = CostCard { when, what, amount, note: self.note.clone() };
        let card = kept!(CostCard { when, what, amount, note }: typed, before.card, &now.card);
        gather.done(CostEdited { cost: before.cost.clone(), card })
    }
}
