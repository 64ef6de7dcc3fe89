//! Last year's late young, some of them still here: one ready, one promised, one kept back, and one that does not eat.

use super::animals::young_tub;
use super::money::{euro, offered};
use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{
    AnimalAdded, AnimalCard, AnimalEventNoted, AnimalsPlaced, ContactKept, Held, MealOutcomeSeen, RackFed, WishNoted,
};
use crate::ids::Kind;
use crate::words::AnimalEventWhat::{Shed, Weight};
use crate::words::ShedAs;
use crate::words::{Came, MealOutcome, Sex, Went};
use Who::{Ines, Tobin};
use chrono::{Datelike, TimeDelta};
use trade::units::Mass;
use trade::when::When;

/// Their codes' letters and weights in milligrams, one a month, oldest first.
const YOUNG: [(&str, [i64; 4]); 5] = [
    ("A", [6_400, 6_900, 9_800, 13_600]),
    ("B", [6_800, 7_400, 10_900, 15_200]),
    ("C", [6_100, 6_700, 9_100, 12_400]),
    ("D", [6_300, 6_200, 5_700, 5_200]),
    ("E", [6_600, 7_100, 10_200, 14_100]),
];
/// The one that does not eat.
const FASTS: &str = "D";
/// Days ago that they hatched.
const HATCHED: i64 = 110;
/// The tub of the first of them, after those of this year's young.
const FIRST_TUB: usize = 17;

fn code(plan: &Plan, letter: &str) -> String {
    format!("{:02}-22-{letter}", (plan.today.year() - 1).rem_euclid(100))
}

pub(super) fn plan(plan: &mut Plan) {
    let codes: Vec<(String, &str, [i64; 4])> =
        YOUNG.iter().map(|&(letter, masses)| (code(plan, letter), letter, masses)).collect();
    for (nth, (code, _, masses)) in codes.iter().enumerate() {
        added(plan, nth, code);
        for (month, &mg) in masses.iter().enumerate() {
            let ago = HATCHED - 1 - 30 * i64::try_from(month).unwrap_or(0);
            event(plan, ago, code, Weight, Some(Mass(mg)));
        }
        event(plan, HATCHED - 9, code, Shed, None);
        event(plan, HATCHED - 60, code, Shed, None);
    }
    for ago in [95, 88, 81, 60, 53, 46, 39, 32, 25, 18, 11, 3] {
        fed(plan, ago, codes.clone());
    }
    let one = |letter: &str| codes.iter().find(|row| row.1 == letter).map(|row| row.0.clone()).unwrap_or_default();
    for who in ["first", "second"] {
        plan.add(Tobin, Ago(50, 19, 0), move |season| season.make(Kind::Contact, who, &ContactKept::default()));
    }
    let (promised, kept, gone) = (one("B"), one("C"), one("E"));
    for (name, minor) in [(one("A"), 9_500), (promised.clone(), 8_000), ("Larkspur".to_owned(), 24_000)] {
        offered(plan, Ago(22, 19, 0), &name, minor);
    }
    plan.add(Tobin, Ago(20, 19, 0), move |season| {
        let act = Held {
            animals: season.animals(&[&promised])?,
            contact: Some(season.named(Kind::Contact, "first")?),
            until: Some(season.now.date() + TimeDelta::days(20)),
            price: euro(8_000).map(|price| price.to_string()).unwrap_or_default(),
            deposit: euro(2_000),
            ..Held::default()
        };
        season.write(&act).map(drop)
    });
    plan.add(Ines, Ago(19, 19, 0), move |season| {
        let note = "For Juniper, in three years.".to_owned();
        let act = Held { animals: season.animals(&[&kept])?, note, ..Held::default() };
        season.write(&act).map(drop)
    });
    plan.add(Ines, Ago(12, 16, 0), move |season| {
        let act = AnimalsPlaced {
            animals: season.animals(&[&gone])?,
            how: Went::Given,
            to: Some(season.named(Kind::Contact, "second")?),
            when: season.when(),
            price: String::new(),
            note: String::new(),
        };
        season.write(&act).map(drop)
    });
    plan.add(Tobin, Ago(8, 12, 0), |season| {
        let act = WishNoted {
            contact: Some(season.named(Kind::Contact, "second")?),
            species: super::animals::species_of("Marigold").map(str::to_owned),
            what: "one that eats well".to_owned(),
            count: 1,
            ..WishNoted::default()
        };
        season.write(&act).map(drop)
    });
}

fn added(plan: &mut Plan, nth: usize, code: &str) {
    let (code, hatched) = (code.to_owned(), plan.day(HATCHED));
    plan.add(Tobin, Ago(HATCHED - 1, 11, 0), move |season| {
        let card = AnimalCard {
            code: code.clone(),
            species: super::animals::species_of("Marigold").map(str::to_owned),
            sex: Some(Sex::Unknown),
            morph: if nth == 2 { "anerythristic".to_owned() } else { String::new() },
            born: Some(When::day(hatched)),
            came: Some(Came::Egg),
            dam: Some(season.animal("Hazel")?),
            sire: Some(season.animal("Rusk")?),
            ..AnimalCard::default()
        };
        let place = young_tub(FIRST_TUB + nth).map(|tub| season.place(&tub)).transpose()?;
        season.make(Kind::Animal, &code, &AnimalAdded { id: None, card, place })
    });
}

fn event(plan: &mut Plan, ago: i64, code: &str, what: crate::words::AnimalEventWhat, mass: Option<Mass>) {
    let code = code.to_owned();
    // Most come off in one piece (common practice).
    let shed = (what == Shed).then_some(if ago % 5 == 3 { ShedAs::Pieces } else { ShedAs::Whole });
    plan.add(Ines, Ago(ago, 17, 0), move |season| {
        let animal = season.animal(&code)?;
        season.write(&AnimalEventNoted { shed, animal, what, when: season.when(), mass, note: String::new() }).map(drop)
    });
}

/// All of them at once; next morning the one that left it is marked.
fn fed(plan: &mut Plan, ago: i64, codes: Vec<(String, &'static str, [i64; 4])>) {
    let here = move |season: &Season| -> Vec<(crate::ids::AnimalId, bool)> {
        let all = codes.iter().filter_map(|(code, letter, _)| Some((season.animal(code).ok()?, *letter == FASTS)));
        let here = |id: &crate::ids::AnimalId| season.book().animal(id).is_some_and(|animal| animal.is_here());
        all.filter(|(id, _)| here(id)).collect()
    };
    let again = here.clone();
    plan.add(Tobin, Ago(ago, 20, 15), move |season| {
        let animals = here(season).into_iter().map(|(id, _)| id).collect();
        let (offered, prey, size) = (season.when(), "mouse".to_owned(), "pinkie".to_owned());
        season.write(&RackFed { animals, offered, prey, size, how: "thawed".to_owned() }).map(drop)
    });
    plan.add(Ines, Ago(ago - 1, 6, 30), move |season| {
        for (id, fasts) in again(season) {
            let meal = season.book().meals(&id).next().map(|meal| meal.id.clone()).ok_or("no meal")?;
            if fasts {
                let act = MealOutcomeSeen { meal, outcome: MealOutcome::Refused, when: season.when() };
                season.write(&act)?;
            }
        }
        Ok(())
    });
}
