//! The grown animals of Alder Lane, each in its tub.

use super::places::RACKS;
use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{AnimalAdded, AnimalCard, AnimalEdited};
use crate::ids::Kind;
use crate::words::Sex::{self, Female as F, Male as M, Unknown as U};
use crate::words::{Came, Went};
use chrono::{Datelike, NaiveDate};
use trade::when::When;

const EASTERN: &str = "lampropeltis-getula";
const CALIFORNIA: &str = "lampropeltis-californiae";
const FLORIDA: &str = "lampropeltis-floridana";
const BLACK: &str = "lampropeltis-nigrita";
const GRAY: &str = "lampropeltis-alterna";
const CORN: &str = "pantherophis-guttatus";
const RAT: &str = "pantherophis-obsoletus";
const BAIRD: &str = "pantherophis-bairdi";
const PLAINS: &str = "pantherophis-emoryi";
const PUEBLAN: &str = "lampropeltis-campbelli";
const HONDURAN: &str = "lampropeltis-hondurensis";
const HOGNOSE: &str = "heterodon-nasicus";
const BALL: &str = "python-regius";
const GECKO: &str = "eublepharis-macularius";

/// Code, name, species, sex, morph, line or locality, years old.
type Row = (&'static str, &'static str, &'static str, Sex, &'static str, &'static str, i32);

const ANIMALS: &[Row] = &[
    ("EK1", "Bel", EASTERN, F, "", "Mill Pond", 6),
    ("EK2", "Moss", EASTERN, M, "", "Mill Pond", 7),
    ("EK3", "Bryony", EASTERN, F, "chocolate", "", 5),
    ("EK4", "Alder", EASTERN, M, "het. albino", "", 4),
    ("CK1", "Slate", CALIFORNIA, F, "banded", "coastal", 5),
    ("CK2", "Ember", CALIFORNIA, M, "striped, het. lavender", "", 6),
    ("CK3", "Vesper", CALIFORNIA, F, "aberrant, high white", "", 3),
    ("FK1", "Sorrel", FLORIDA, F, "hypomelanistic", "", 6),
    ("FK2", "Tansy", FLORIDA, M, "", "", 5),
    ("BK1", "Nettle", BLACK, F, "", "", 4),
    ("BK2", "Soot", BLACK, M, "", "", 6),
    ("GB1", "Larkspur", GRAY, F, "light phase, wide orange bands", "Dry Fork", 8),
    ("GB2", "Cobble", GRAY, M, "dark phase", "Dry Fork", 7),
    ("CS1", "Marigold", CORN, F, "amelanistic", "", 6),
    ("CS2", "Rusk", CORN, M, "het. amelanistic, het. anerythristic", "", 5),
    ("CS3", "Juniper", CORN, F, "anerythristic motley", "", 5),
    ("CS4", "Bramble", CORN, M, "het. motley", "", 4),
    ("CS5", "Hazel", CORN, F, "", "Upper Orchard", 7),
    (
        "CS6",
        "Wilhelmina of the Upper Orchard, called Minna",
        CORN,
        F,
        "hypomelanistic lavender motley, het. anerythristic, possible het. amelanistic 66 %",
        "Upper Orchard, third generation, by way of the north rack",
        2,
    ),
    ("CS7", "Pepper", CORN, M, "anerythristic", "", 3),
    ("CS8", "Quince", CORN, F, "striped", "", 1),
    ("CS9", "Tallow", CORN, M, "lavender", "", 1),
    ("BR1", "Thornapple", RAT, F, "", "Ridge", 8),
    ("BR2", "Ash", RAT, M, "", "Ridge", 9),
    ("BR3", "Flint", RAT, M, "leucistic", "", 5),
    ("BR4", "Yarrow", RAT, F, "brindle", "", 3),
    ("BA1", "Fern", BAIRD, F, "", "", 6),
    ("BA2", "Teasel", BAIRD, M, "", "", 6),
    ("GP1", "Plover", PLAINS, F, "", "", 5),
    ("GP2", "Dunnock", PLAINS, M, "", "", 4),
    ("PM1", "Clementine", PUEBLAN, F, "apricot", "", 5),
    ("PM2", "Figaro", PUEBLAN, M, "", "", 5),
    ("PM3", "Candytuft", PUEBLAN, F, "apricot, het. albino", "", 2),
    ("HM1", "Wren", HONDURAN, F, "tangerine", "", 7),
    ("HM2", "Saxifrage", HONDURAN, M, "tangerine, het. hypomelanistic, het. anerythristic (double het.)", "", 6),
    ("HM3", "Peony", HONDURAN, F, "hypomelanistic", "", 2),
    ("WH1", "Dumpling", HOGNOSE, F, "", "", 4),
    ("WH2", "Button", HOGNOSE, M, "arctic", "", 3),
    ("WH3", "Biscuit", HOGNOSE, F, "albino", "", 4),
    ("WH4", "Truffle", HOGNOSE, F, "toffee", "", 1),
    ("WH5", "Scone", HOGNOSE, M, "het. albino", "", 2),
    ("BP1", "Magpie", BALL, F, "pastel", "", 7),
    ("BP2", "Cricket", BALL, M, "pinstripe", "", 3),
    ("BP3", "Domino", BALL, F, "pied", "", 4),
    ("LG1", "Saffron", GECKO, F, "tangerine", "", 3),
    ("LG2", "Dapple", GECKO, M, "", "", 4),
    ("LG3", "Pebble", GECKO, F, "snow", "", 2),
    ("XX1", "", CORN, U, "found in the feed store, tail tip missing", "", 1),
];

/// The species of an animal in the table.
pub(super) fn species_of(name: &str) -> Option<&'static str> {
    ANIMALS.iter().find(|row| row.1 == name).map(|row| row.2)
}

/// Their tubs, in walking order; the tubs left over wait for the young.
pub(super) fn tubs() -> impl Iterator<Item = String> {
    RACKS.into_iter().flat_map(|(rack, tubs)| (1..=tubs).map(move |tub| format!("{rack}{tub}")))
}

/// The first tub that no grown animal is in.
pub(super) fn young_tub(nth: usize) -> Option<String> {
    tubs().nth(ANIMALS.len() + nth)
}

/// A summer, give or take: nobody wrote down the day.
fn born(today: NaiveDate, years: i32) -> Option<When> {
    NaiveDate::from_ymd_opt(today.year() - years - 1, 8, 1).map(|day| When::about(day, 20))
}

pub(super) fn plan(plan: &mut Plan) {
    for (tub, &(code, name, species, sex, morph, line, years)) in tubs().zip(ANIMALS) {
        let text = str::to_owned;
        let card = AnimalCard {
            code: text(code),
            name: text(name),
            species: Some(text(species)),
            sex: Some(sex),
            morph: text(morph),
            line: text(line),
            born: born(plan.today, years),
            came: Some(if years > 3 { Came::Bought } else { Came::Unknown }),
            ..AnimalCard::default()
        };
        plan.add(Who::Tobin, Ago(148, 10, 0), move |season| {
            let place = Some(season.place(&tub)?);
            let called = if card.name.is_empty() { card.code.clone() } else { card.name.clone() };
            season.make(Kind::Animal, &called, &AnimalAdded { id: None, card, place })
        });
    }
    left(plan, "Tallow", Ago(40, 18, 0), Went::Sold, "to a school terrarium");
    left(plan, "Domino", Ago(95, 7, 30), Went::Died, "egg-bound; the veterinarian came too late");
}

fn left(plan: &mut Plan, name: &'static str, ago: Ago, went: Went, why: &'static str) {
    plan.add(Who::Ines, ago, move |season: &mut Season| {
        let animal = season.animal(name)?;
        let card = AnimalCard::of(season.book(), &animal).ok_or("no such animal")?;
        let card = AnimalCard { went: Some(went), went_when: Some(season.when()), went_why: why.to_owned(), ..card };
        season.write(&AnimalEdited { animal, card }).map(drop)
    });
}
