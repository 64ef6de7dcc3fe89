//! Last year's clutches, typed in from the old book on two spring evenings: all of them are over.

use super::Who::Ines;
use super::clutches::CLUTCHES;
use super::{Ago, Plan};
use crate::acts::{
    BoxEmptied, BoxSetup, ClutchCard, ClutchPulled, EggFate, EggsOut, EggsPipped, Paired, PairingEnded, made,
};
use crate::ids::{ClutchId, EggId, FillingId, Kind};
use crate::records::Counts;
use crate::words::{ClutchCame, Fate};
use chrono::Datelike;
use trade::units::Mass;
use trade::when::When;

struct Row {
    /// What follows the year in its number.
    key: &'static str,
    /// Empty where the old book names none.
    dam: &'static str,
    sire: &'static str,
    shelf: &'static str,
    /// Days since it was laid, and from then to the first pip.
    age: i64,
    days: i64,
    /// Good, dud, slug.
    counts: [u32; 3],
    medium: &'static str,
    /// Dry medium and water, in grams; 0 where the old book has none.
    mix: (i64, i64),
    /// Eggs that never took, and young that were fully formed and never came out.
    never: &'static str,
    full_term: &'static str,
    /// One baby, in milligrams; 0 where none was weighed.
    baby_mg: i64,
}

const CORN: Row = Row {
    key: "",
    dam: "",
    sire: "",
    shelf: "N1",
    age: 0,
    days: 0,
    counts: [0; 3],
    medium: "",
    mix: (0, 0),
    never: "",
    full_term: "",
    baby_mg: 0,
};
const MIXED: Row = Row { medium: "vermiculite", mix: (300, 300), ..CORN };
const DRIER: Row = Row { medium: "perlite", mix: (300, 240), ..CORN };

#[rustfmt::skip]
const ROWS: &[Row] = &[
    Row { key: "03", age: 431, days: 58, counts: [12, 0, 0], ..CORN },
    Row { key: "05", age: 427, days: 60, counts: [9, 0, 0], ..CORN },
    Row { key: "06", age: 424, days: 59, counts: [14, 0, 0], ..CORN },
    Row { key: "09", age: 419, days: 61, counts: [11, 0, 0], ..CORN },
    Row { key: "11", age: 410, days: 58, counts: [10, 0, 0], ..CORN },
    Row { key: "14", age: 402, days: 60, counts: [13, 0, 0], ..CORN },
    Row { key: "16", age: 395, days: 59, counts: [8, 0, 0], ..CORN },
    Row { key: "01", dam: "Wren", sire: "Saxifrage", shelf: "N2", age: 436, days: 60, counts: [8, 1, 0],
        never: "I", full_term: "C", baby_mg: 9_500, ..MIXED },
    Row { key: "02", dam: "Bryony", sire: "Alder", shelf: "N2", age: 434, days: 59, counts: [10, 0, 1],
        never: "D", baby_mg: 8_600, ..MIXED },
    Row { key: "04", dam: "Slate", sire: "Ember", shelf: "N3", age: 429, days: 58, counts: [9, 0, 0],
        full_term: "E", baby_mg: 7_900, ..MIXED },
    Row { key: "07", dam: "Thornapple", sire: "Ash", shelf: "N3", age: 422, days: 62, counts: [13, 1, 0],
        never: "B N", baby_mg: 13_200, ..MIXED },
    Row { key: "08", dam: "Dumpling", sire: "Button", shelf: "N4", age: 420, days: 55, counts: [11, 0, 2],
        never: "A F", full_term: "K", baby_mg: 6_100, ..MIXED },
    Row { key: "10", dam: "Clementine", sire: "Figaro", shelf: "N5", age: 415, days: 58, counts: [9, 0, 0],
        never: "C D H", full_term: "A B", baby_mg: 6_800, ..DRIER },
    Row { key: "12", dam: "Fern", sire: "Teasel", shelf: "N5", age: 408, days: 67, counts: [8, 0, 0],
        never: "G", full_term: "H", baby_mg: 12_400, ..DRIER },
    Row { key: "13", dam: "Biscuit", sire: "Button", shelf: "N4", age: 406, days: 56, counts: [8, 1, 0],
        never: "B C I", full_term: "D", baby_mg: 5_800, ..DRIER },
    Row { key: "15", dam: "Plover", sire: "Dunnock", shelf: "N3", age: 399, days: 60, counts: [11, 0, 0],
        full_term: "J", baby_mg: 10_300, ..MIXED },
    Row { key: "17", dam: "Nettle", sire: "Soot", shelf: "N2", age: 392, days: 59, counts: [7, 0, 1],
        never: "F", baby_mg: 9_000, ..MIXED },
    Row { key: "18", dam: "Wren", sire: "Saxifrage", shelf: "N4", age: 374, days: 61, counts: [6, 1, 0],
        never: "C G", baby_mg: 9_200, ..MIXED },
    Row { key: "19", dam: "Dumpling", sire: "Button", shelf: "N5", age: 366, days: 57, counts: [7, 0, 1],
        never: "E", full_term: "A G", baby_mg: 5_900, ..DRIER },
];

pub(super) fn plan(plan: &mut Plan) {
    let this_year = CLUTCHES.iter().map(|row| row.age).max().unwrap_or(0);
    let year = (plan.day(this_year).year() - 1) % 100;
    for (n, row) in (0..).zip(ROWS) {
        typed_in(plan, Ago(96 - n / 10, 20, (n % 10 * 5) as u32), row, format!("{year:02}-{}", row.key));
    }
    paired(plan);
}

/// The only pairing that the old book names: no eggs came of it, and she has not been with a male since.
fn paired(plan: &mut Plan) {
    let [introduced, separated] = [470, 452].map(|ago| When::day(plan.day(ago)));
    plan.add(Ines, Ago(94, 20, 30), move |season| {
        let (dams, sires) = (season.animals(&["Peony"])?, season.animals(&["Saxifrage"])?);
        let act = Paired { dams, sires, when: introduced, note: "From last year's book.".to_owned() };
        season.make(Kind::Pairing, "Peony", &act)?;
        let act = PairingEnded { pairing: season.named(Kind::Pairing, "Peony")?, when: separated };
        season.write(&act).map(drop)
    });
}

fn typed_in(plan: &mut Plan, at: Ago, row: &'static Row, number: String) {
    let after = |days: i64| When::day(plan.day(row.age - days));
    let (laid, pipped, out) = (after(0), after(row.days), after(row.days + 2));
    let ends = [
        (row.never, Fate::Removed, after(35), "never took"),
        (row.full_term, Fate::FullTermDead, after(row.days + 6), "fully formed, never pipped"),
    ];
    let over = after(row.days + 6);
    plan.add(Ines, at, move |season| {
        let named = |names: &'static str| if names.is_empty() { Ok(Vec::new()) } else { season.animals(&[names]) };
        let [good, dud, slug] = row.counts;
        let card = ClutchCard {
            number,
            dams: named(row.dam)?,
            sires: named(row.sire)?,
            species: row.dam.is_empty().then(|| "pantherophis-guttatus".to_owned()),
            laid: Some(laid),
            counts: Some(Counts { good, dud, slug }),
            came: Some(ClutchCame::Laid),
            note: "From last year's book.".to_owned(),
            ..ClutchCard::default()
        };
        let grams = |g: i64| (g > 0).then_some(Mass(g * 1000));
        let setup = BoxSetup {
            shelf: Some(season.place(row.shelf)?),
            medium: row.medium.to_owned(),
            dry: grams(row.mix.0),
            water: grams(row.mix.1),
            ..BoxSetup::default()
        };
        let pulled =
            ClutchPulled { clutch: None, card, clumps: Vec::new(), boxes: vec![setup], left: false, when: Some(laid) };
        let drafted = season.write(&pulled)?;
        let clutch = made(&drafted, Kind::Clutch).map(|thing| ClutchId::new(thing.id)).ok_or("made no clutch")?;
        let filling = made(&drafted, Kind::Filling).map(|thing| FillingId::new(thing.id)).ok_or("made no box")?;
        let lettered = |letters: &str| -> Vec<EggId> {
            let eggs = season.book().eggs_of(&clutch).into_iter();
            let has =
                |letter: &Option<String>| letter.as_deref().is_some_and(|l| letters.split(' ').any(|one| one == l));
            eggs.filter(|egg| has(&egg.letter)).map(|egg| egg.id.clone()).collect()
        };
        let lost = ends.map(|(letters, fate, when, why)| (lettered(letters), fate, when, why));
        let hatched = season
            .book()
            .eggs_of(&clutch)
            .into_iter()
            .filter(|egg| egg.fate.is_none() && lost.iter().all(|(eggs, ..)| !eggs.contains(&egg.id)));
        let eggs: Vec<EggId> = hatched.map(|egg| egg.id.clone()).collect();
        let masses = (0..).zip(&eggs).filter(|_| row.baby_mg > 0);
        let masses =
            masses.map(|(n, egg): (i64, _)| (egg.clone(), Mass(row.baby_mg + (n * 5 % 7 - 3) * 200))).collect();
        season.write(&EggsPipped { eggs: eggs.clone(), when: Some(pipped) })?;
        season.write(&EggsOut { eggs, when: Some(out), masses })?;
        for (eggs, fate, when, why) in lost.into_iter().filter(|lost| !lost.0.is_empty()) {
            season.write(&EggFate { eggs, fate, when, why: why.to_owned(), masses: [].into() })?;
        }
        season.write(&BoxEmptied { filling, when: over }).map(drop)
    });
}
