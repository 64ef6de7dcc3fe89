//! What an invented veterinarian ordered: a course that goes on, with an evening forgotten, and one that is over. A tub
//! set apart since the mites, and let out again; a newcomer that is still apart.

use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{DoseNoted, QuarantineCard, QuarantineEdited, SetApart, TreatmentCard, TreatmentOrdered};
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

/// Animals set apart, why, days ago since when and of the last day (less than 0: to come), and of the day it was ended.
const APART: &[(&str, &str, i64, i64, Option<i64>)] = &[
    ("XX1", "Mites.", 21, 5, Some(4)),
    ("Larkspur", "Not eating; looked at by the practice before she goes back among the others.", 6, -14, None),
];

pub(super) fn plan(plan: &mut Plan) {
    for &(animal, why, first, last, ended) in APART {
        let (from, until) = (plan.day(first), plan.today - TimeDelta::days(last));
        let card = QuarantineCard { from: Some(When::day(from)), until: Some(until), why: why.to_owned(), ended: None };
        let began = card.clone();
        plan.add(Ines, Ago(first, 19, 40), move |season: &mut Season| {
            let act = SetApart { things: vec![season.animal(animal)?.thing()], card: began };
            season.make(Kind::Quarantine, animal, &act)
        });
        if let Some(ended) = ended {
            plan.add(Tobin, Ago(ended, 18, 30), move |season: &mut Season| {
                let card = QuarantineCard { ended: Some(season.when()), ..card };
                let quarantine = season.named(Kind::Quarantine, animal)?;
                season.write(&QuarantineEdited { quarantine, card }).map(drop)
            });
        }
    }
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
