//! What an invented veterinarian ordered: a course that goes on, with an evening forgotten, and one that is over. A tub
//! set apart since the mites, and let out again; a newcomer that is still apart. Some males cooled last winter, one of
//! whom lost much, and to be cooled again in the next. Rules for who may breed. Tubs cleaned rack by rack, one left out.

use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{
    AnimalsWeighed, BreedingRuleSet, CleaningRuleSet, CoolingCard, CoolingEdited, CoolingSet, DoseNoted,
    QuarantineCard, QuarantineEdited, SetApart, TreatmentCard, TreatmentOrdered, TubsCleaned, Withdrawn,
};
use crate::ids::{AnimalId, CoolingId, Kind, TreatmentId};
use crate::views::{cleaning_view, tub_of};
use crate::words::Sex;
use Who::{Ines, Tobin};
use chrono::TimeDelta;
use trade::breeders::Rule;
use trade::units::{Mass, Temp};
use trade::when::When;

/// An animal's code or name, what was ordered and how, hours between doses, days ago of the first and of the last (less
/// than 0: to come), and days ago on which a dose was given.
type Order = (&'static str, &'static str, &'static str, u32, i64, i64, &'static [i64]);

const ORDERED: &[Order] = &[
    ("Cricket", "Paste from the practice", "as written on the tube", 24, 4, -5, &[4, 3, 1]),
    ("XX1", "Spray from the practice", "as written on the bottle", 72, 20, 5, &[20, 17, 14, 11, 8, 5]),
];

/// Days ago on which a rack's tubs were cleaned, in one tap.
const RACKS_CLEANED: &[(&str, i64)] = &[("A", 41), ("B", 40), ("C", 38), ("A", 12), ("B", 11), ("C", 9)];

/// Who was left out the last time, and days ago: in shed.
const NOT_CLEANED: (&str, i64) = ("Bryony", 12);

/// Whose tub was cleaned besides while it was apart, and days ago.
const CLEANED: (&str, &[i64]) = ("XX1", &[20, 17, 14, 8, 5]);

/// Animals set apart, why, days ago since when and of the last day (less than 0: to come), and of the day it was ended.
const APART: &[(&str, &str, i64, i64, Option<i64>)] = &[
    ("XX1", "Mites.", 21, 5, Some(4)),
    ("Larkspur", "Not eating; looked at by the practice before she goes back among the others.", 6, -14, None),
];

/// Males cooled last winter: grams before and after.
const COOLED: &[(&str, i64, i64)] =
    &[("Bramble", 412, 396), ("Pepper", 310, 274), ("Ash", 1480, 1431), ("Teasel", 655, 628)];

/// Days ago on which it began and ended, and days until it begins and ends again.
const WINTER: (i64, i64) = (147, 112);
const NEXT_WINTER: (i64, i64) = (190, 260);

fn cooled_ones(season: &Season) -> Result<Vec<AnimalId>, String> {
    COOLED.iter().map(|(name, ..)| season.animal(name)).collect()
}

fn winter(plan: &mut Plan) {
    let weigh = |grams: fn(&(&'static str, i64, i64)) -> i64| {
        move |season: &mut Season| {
            let weights = COOLED.iter().map(|row| Ok((season.animal(row.0)?, Mass(grams(row) * 1000))));
            let act = AnimalsWeighed { weights: weights.collect::<Result<_, String>>()?, when: season.when() };
            season.write(&act).map(drop)
        }
    };
    let cool = |from, until, note: &str| CoolingCard {
        from: Some(When::day(from)),
        until: Some(until),
        temp: Some(Temp(1200)),
        fast_days: Some(trade::cooling::FAST_DAYS),
        note: note.to_owned(),
        ..CoolingCard::default()
    };
    let (first, last) = WINTER;
    plan.add(Ines, Ago(first, 18, 0), weigh(|row| row.1));
    let card = cool(plan.day(first), plan.day(last), "In the cellar, dark, water always there.");
    plan.add(Ines, Ago(first, 18, 10), move |season: &mut Season| {
        season.write(&CoolingSet { animals: cooled_ones(season)?, card }).map(drop)
    });
    plan.add(Tobin, Ago(last, 18, 0), move |season: &mut Season| {
        let book = season.book();
        let coolings = cooled_ones(season)?.into_iter().flat_map(|id| book.coolings(&id).collect::<Vec<_>>());
        let ids: Vec<CoolingId> = coolings.map(|cooling| cooling.id.clone()).collect();
        let cards = ids.into_iter().filter_map(|id| {
            let card = CoolingCard { ended: Some(season.when()), ..CoolingCard::of(book, &id)? };
            Some((id, card))
        });
        let act = CoolingEdited { cards: cards.collect() };
        season.write(&act).map(drop)
    });
    plan.add(Tobin, Ago(last, 18, 20), weigh(|row| row.2));
    let (from, until) = (plan.day(-NEXT_WINTER.0), plan.day(-NEXT_WINTER.1));
    let card = cool(from, until, "As last winter; Pepper only if he is heavier by then.");
    plan.add(Ines, Ago(3, 20, 50), move |season: &mut Season| {
        season.write(&CoolingSet { animals: cooled_ones(season)?, card }).map(drop)
    });
}

/// The species of this animal, its sex, and what is asked: months, grams, meals in a row, cooled first.
type Breeds = (&'static str, Sex, u32, Option<i64>, Option<u32>, bool);

/// The barn's own rules for who may breed.
const BREEDS: &[Breeds] = &[
    ("Marigold", Sex::Female, 36, Some(350), Some(3), false),
    ("Bramble", Sex::Male, 18, None, Some(2), true),
    ("Bel", Sex::Female, 36, Some(800), None, false),
];

fn breeding_rules(plan: &mut Plan) {
    for &(like, sex, months, grams, meals, cooled) in BREEDS {
        let Some(species) = super::animals::species_of(like) else { continue };
        let rule = Rule { age_months: Some(months), mass: grams.map(|grams| Mass(grams * 1000)), meals, cooled };
        plan.add(Ines, Ago(146, 20, 0), move |season: &mut Season| {
            season.write(&BreedingRuleSet { species: species.to_owned(), sex, rule }).map(drop)
        });
    }
}

fn cleanings(plan: &mut Plan) {
    for (species, days) in [(None, 30), (super::animals::species_of("Dumpling"), 21)] {
        plan.add(Ines, Ago(146, 20, 10), move |season: &mut Season| {
            let act = CleaningRuleSet { species: species.map(str::to_owned), days: Some(days) };
            season.write(&act).map(drop)
        });
    }
    for &(rack, ago) in RACKS_CLEANED {
        plan.add(Tobin, Ago(ago, 10, 30), move |season: &mut Season| {
            let rack = season.place(rack)?.thing();
            let tubs = cleaning_view(season.book(), &rack, season.now).map(|view| view.tubs).unwrap_or_default();
            let of = tubs.into_iter().map(|tub| tub.of).collect();
            season.write(&TubsCleaned { of, when: season.when(), spot: false, note: String::new() }).map(drop)
        });
    }
    let (left_out, ago) = NOT_CLEANED;
    plan.add(Tobin, Ago(ago, 10, 50), move |season: &mut Season| {
        let tub = tub_of(season.book(), &season.animal(left_out)?);
        let cleaning = season.book().cleanings(&tub).next().map(|cleaning| cleaning.id.thing());
        season.write(&Withdrawn { thing: cleaning.ok_or("no cleaning")? }).map(drop)
    });
    let (apart, all) = CLEANED;
    for &ago in all {
        plan.add(Tobin, Ago(ago, 18, 25), move |season: &mut Season| {
            let of = vec![tub_of(season.book(), &season.animal(apart)?)];
            let note = "New paper, the water bowl too.".to_owned();
            season.write(&TubsCleaned { of, when: season.when(), spot: false, note }).map(drop)
        });
    }
}

pub(super) fn plan(plan: &mut Plan) {
    winter(plan);
    breeding_rules(plan);
    cleanings(plan);
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
