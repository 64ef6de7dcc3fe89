//! What an invented veterinarian ordered: a course that goes on, with an evening forgotten, and one that is over.

use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{DoseNoted, TreatmentCard, TreatmentOrdered};
use crate::ids::{Kind, TreatmentId};
use Who::{Ines, Tobin};
use chrono::TimeDelta;
use trade::when::When;

/// An animal's code or name, what was ordered and how, hours between doses, days ago of the first and of the last (less
/// than 0: to come), and days ago on which a dose was given.
type Order = (&'static str, &'static str, &'static str, u32, i64, i64, &'static [i64]);

const ORDERED: &[Order] = &[
    ("Cricket", "Paste from the practice", "as written on the tube", 24, 4, -5, &[4, 3, 1]),
    ("XX1", "Tub washed out, new paper", "all of it, also the water bowl", 72, 20, 5, &[20, 17, 14, 11, 8, 5]),
];

pub(super) fn plan(plan: &mut Plan) {
    for &(animal, what, dose, every_hours, first, last, given) in ORDERED {
        let (from, until) = (plan.day(first), plan.today - TimeDelta::days(last));
        plan.add(Ines, Ago(first, 17, 30), move |season: &mut Season| {
            let card = TreatmentCard {
                what: what.to_owned(),
                dose: dose.to_owned(),
                by: "The practice in Alder Lane".to_owned(),
                from: Some(When::day(from)),
                every_hours,
                until: Some(until),
                ..TreatmentCard::default()
            };
            let act = TreatmentOrdered { animals: season.animals(&[animal])?, card };
            season.make(Kind::Treatment, animal, &act)
        });
        for &ago in given {
            plan.add(Tobin, Ago(ago, 18, 20), move |season: &mut Season| {
                let treatment: TreatmentId = season.named(Kind::Treatment, animal)?;
                let when = season.when();
                season.write(&DoseNoted { treatment, when, left_out: false, note: String::new() }).map(drop)
            });
        }
    }
}
