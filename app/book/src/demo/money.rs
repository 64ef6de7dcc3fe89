//! What Alder Lane writes down of money: prices of a few animals, a deposit, what was spent. All amounts are invented.

use super::Who::{Ines, Tobin};
use super::{Ago, Plan, Who};
use crate::acts::{CostCard, CostNoted, CurrencySet, PriceAsked};
use trade::money::{Currency, Money};

/// Days ago on which they began to write amounts down.
const BEGAN: i64 = 150;

/// By whom, when, its kind, cents, a note.
const COSTS: &[(Who, Ago, &str, i64, &str)] = &[
    (Tobin, Ago(148, 18, 0), "Feed", 14_200, "Frozen mice, 400."),
    (Ines, Ago(96, 18, 30), "Medium", 3_850, "Vermiculite, 100 l."),
    (Tobin, Ago(88, 12, 0), "Equipment", 12_990, "A second logger, with humidity."),
    (Ines, Ago(61, 19, 0), "Feed", 9_760, ""),
    (Ines, Ago(20, 17, 45), "Veterinarian", 6_420, "Swab and a look at Cricket."),
    (Tobin, Ago(6, 18, 10), "Feed", 4_500, "Pinkies for the young."),
];

/// Cents of a euro.
pub(super) fn euro(minor: i64) -> Option<Money> {
    Currency::of("EUR").map(|currency| Money { minor, currency })
}

pub(super) fn plan(plan: &mut Plan) {
    plan.add(Tobin, Ago(BEGAN, 18, 0), |season| season.write(&CurrencySet { currency: Currency::of("EUR") }).map(drop));
    for &(who, ago, what, minor, note) in COSTS {
        plan.add(who, ago, move |season| {
            let (what, note) = (what.to_owned(), note.to_owned());
            let card = CostCard { when: season.when(), what, amount: euro(minor), note };
            season.write(&CostNoted { card }).map(drop)
        });
    }
}

/// An animal offered.
pub(super) fn offered(plan: &mut Plan, ago: Ago, name: &str, minor: i64) {
    let name = name.to_owned();
    plan.add(Ines, ago, move |season| {
        season.write(&PriceAsked { animal: season.animal(&name)?, asked: euro(minor) }).map(drop)
    });
}
