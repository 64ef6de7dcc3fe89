//! The season's clutches: who was put with whom, what was laid when, and which boxes the eggs were set in.

use super::animals::species_of;
use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{
    AnimalEventNoted, BoxSetup, ClutchCard, ClutchPulled, EggsFound, FolliclesNoted, LabelPrinted, LockNoted, Moved,
    Paired, PairingEnded, all_made,
};
use crate::ids::{FillingId, Kind, Thing, Where};
use crate::records::Counts;
use crate::words::{AnimalEventWhat, LookedAs};
use Who::{Ines, Tobin};
use chrono::{Datelike, TimeDelta};
use trade::units::Mass;
use trade::when::{Point, When};
use trade::window::Window;

/// One clutch.
pub(super) struct Row {
    /// What follows the year in its number, and its name in these tables.
    pub(super) key: &'static str,
    /// Days since it was laid.
    pub(super) age: i64,
    /// How uncertain the day is, in days; 0 is between two looks.
    about: u32,
    /// Who found it, and at what time.
    pub(super) by: Who,
    time: (u32, u32),
    dam: &'static str,
    sires: &'static [&'static str],
    /// The female before and after, in grams.
    gravid: i64,
    spent: i64,
    /// Good, dud, slug.
    counts: [u32; 3],
    /// Eggs stuck together, from–to, counted from 0.
    clumps: &'static [(usize, usize)],
    /// One egg, in grams.
    egg_g: i64,
    pub(super) boxes: &'static [Set],
    note: &'static str,
}

/// One box of a clutch.
pub(super) struct Set {
    pub(super) key: &'static str,
    shelf: &'static str,
    /// From–to, counted from 0; `None`: all shelled eggs.
    eggs: Option<(usize, usize)>,
    medium: &'static str,
    /// Dry medium and water, in grams; 0 where it was mixed by feel.
    dry: i64,
    water: i64,
}

const fn set(key: &'static str, shelf: &'static str, dry: i64, water: i64) -> Set {
    Set { key, shelf, eggs: None, medium: "vermiculite", dry, water }
}

const PLAIN: Row = Row {
    key: "",
    age: 0,
    about: 0,
    by: Ines,
    time: (6, 40),
    dam: "",
    sires: &[],
    gravid: 0,
    spent: 0,
    counts: [0; 3],
    clumps: &[],
    egg_g: 10,
    boxes: &[],
    note: "",
};

/// An empty box with its lid, in grams.
const BOX_G: i64 = 186;

#[rustfmt::skip]
pub(super) const CLUTCHES: &[Row] = &[
    Row { key: "01", age: 69, dam: "Marigold", sires: &["Rusk"], gravid: 712, spent: 548, counts: [11, 1, 1],
        egg_g: 9, boxes: &[set("01", "N1", 280, 280)], ..PLAIN },
    Row { key: "02", age: 67, by: Tobin, dam: "Wren", sires: &["Saxifrage"], gravid: 890, spent: 702, counts: [8, 0, 2],
        egg_g: 14, boxes: &[set("02", "N2", 300, 300)], ..PLAIN },
    Row { key: "03", age: 62, dam: "Bel", sires: &["Moss"], gravid: 1120, spent: 874, counts: [12, 0, 1],
        egg_g: 13, boxes: &[set("03", "N1", 320, 320)], note: "Her best clutch so far.", ..PLAIN },
    Row { key: "04", age: 60, by: Tobin, dam: "Juniper", sires: &["Bramble"], gravid: 655, spent: 486, counts: [14, 1, 0],
        egg_g: 9, boxes: &[set("04", "N1", 300, 300)], ..PLAIN },
    Row { key: "05", age: 57, dam: "Sorrel", sires: &["Tansy"], gravid: 1040, spent: 806, counts: [13, 0, 0],
        egg_g: 14, boxes: &[set("05", "N2", 320, 320)], ..PLAIN },
    Row { key: "06", age: 46, by: Tobin, dam: "Dumpling", sires: &["Button"], gravid: 402, spent: 298, counts: [9, 0, 2],
        egg_g: 8, boxes: &[set("06", "N3", 300, 290)], ..PLAIN },
    Row { key: "07", age: 44, by: Tobin, dam: "Biscuit", sires: &["Button"], gravid: 365, spent: 291, counts: [6, 1, 0],
        egg_g: 8, note: "Small clutch; shares a box with the one before, top marks in another colour.", ..PLAIN },
    Row { key: "08", age: 40, dam: "Hazel", sires: &["Rusk"], gravid: 980, spent: 690, counts: [21, 1, 0], egg_g: 10,
        boxes: &[
            Set { eggs: Some((0, 12)), ..set("08a", "N2", 260, 260) },
            Set { eggs: Some((12, 22)), ..set("08b", "N3", 260, 260) },
        ], ..PLAIN },
    Row { key: "09", age: 34, by: Tobin, dam: "Clementine", sires: &["Figaro"], gravid: 610, spent: 478, counts: [11, 1, 0],
        egg_g: 9, boxes: &[set("09", "N5", 280, 224)], ..PLAIN },
    Row { key: "10", age: 30, dam: "Slate", sires: &["Ember"], gravid: 870, spent: 688, counts: [10, 0, 0],
        clumps: &[(0, 6), (7, 9)], egg_g: 14, boxes: &[set("10", "N4", 300, 300)],
        note: "Six stuck in one clump and two in another: set as they lay.", ..PLAIN },
    Row { key: "11", age: 26, about: 2, dam: "Thornapple", sires: &["Ash", "Flint"], gravid: 1480, spent: 1105,
        counts: [15, 0, 1], egg_g: 19, boxes: &[set("11", "N3", 360, 360)],
        note: "Found under the water bowl after the long weekend.", ..PLAIN },
    Row { key: "12", age: 22, by: Tobin, dam: "Magpie", gravid: 2310, spent: 1720, counts: [6, 0, 0], clumps: &[(0, 6)],
        egg_g: 88, boxes: &[Set { medium: "perlite", ..set("12", "S1", 500, 400) }],
        note: "Bought gravid; nobody knows the male.", ..PLAIN },
    Row { key: "13", age: 19, by: Tobin, dam: "Saffron", sires: &["Dapple"], gravid: 72, spent: 64, counts: [2, 0, 0],
        egg_g: 3, boxes: &[set("13", "S3", 120, 100)], ..PLAIN },
    Row { key: "14", age: 16, dam: "Nettle", sires: &["Soot"], gravid: 790, spent: 640, counts: [8, 1, 0],
        egg_g: 14, boxes: &[set("14", "N4", 300, 300)], ..PLAIN },
    Row { key: "15", age: 10, by: Tobin, dam: "Fern", sires: &["Teasel"], gravid: 925, spent: 730, counts: [8, 0, 0],
        egg_g: 18, boxes: &[set("15", "N5", 300, 300)], ..PLAIN },
    Row { key: "16", age: 6, dam: "Plover", sires: &["Dunnock"], gravid: 760, spent: 560, counts: [12, 0, 2], egg_g: 12,
        boxes: &[Set { medium: "the brown mix", ..set("16", "N4", 0, 0) }], ..PLAIN },
    Row { key: "17", age: 3, dam: "Marigold", sires: &["Rusk"], gravid: 668, spent: 531, counts: [8, 2, 1],
        egg_g: 9, boxes: &[set("17", "N2", 280, 280)], note: "Her second this year, 66 days after the first.", ..PLAIN },
    Row { key: "18", age: 1, dam: "Bryony", sires: &["Alder"], gravid: 1010, spent: 821, counts: [9, 1, 1],
        egg_g: 13, boxes: &[set("18", "N3", 300, 300)], ..PLAIN },
    Row { key: "19", age: 1, by: Tobin, time: (21, 40), dam: "Larkspur", sires: &["Cobble"], ..PLAIN },
];

/// The clutch that goes into another's box, and that box.
const SHARED: (&str, &str) = ("07", "06");
/// The box set under a label printed ahead.
const FROM_BLANK: &str = "16";

/// How the clutch is called in the barn.
pub(super) fn number(plan: &Plan, key: &str) -> String {
    let first = CLUTCHES.iter().map(|row| row.age).max().unwrap_or(0);
    format!("{:02}-{key}", plan.day(first).year() % 100)
}

pub(super) fn plan(plan: &mut Plan) {
    for row in CLUTCHES {
        // The second clutch of the year comes of the first pairing.
        if !row.sires.is_empty() && !CLUTCHES.iter().any(|other| other.dam == row.dam && other.age > row.age) {
            pair(plan, row.key, row.by, row.dam, row.sires, row.age + 48);
        }
        signs(plan, row);
        found(plan, row);
        if row.counts != [0; 3] {
            pulled(plan, row);
        }
        for set in row.boxes {
            labelled(plan, row, set);
        }
    }
    share(plan);
}

/// Introduced, lock seen, separated.
pub(super) fn pair(
    plan: &mut Plan,
    key: &'static str,
    who: Who,
    dam: &'static str,
    sires: &'static [&'static str],
    ago: i64,
) {
    plan.add(who, Ago(ago, 19, 10), move |season| {
        let act = Paired {
            dams: season.animals(&[dam])?,
            sires: season.animals(sires)?,
            when: season.when(),
            note: String::new(),
        };
        season.make(Kind::Pairing, key, &act)
    });
    plan.add(who, Ago(ago - 2, 20, 30), move |season| {
        let act = LockNoted { pairing: season.named(Kind::Pairing, key)?, when: season.when() };
        season.write(&act).map(drop)
    });
    if ago > 20 {
        plan.add(who, Ago(ago - 9, 8, 0), move |season| {
            let act = PairingEnded { pairing: season.named(Kind::Pairing, key)?, when: season.when() };
            season.write(&act).map(drop)
        });
    }
}

/// What a female shows before she lays.
fn signs(plan: &mut Plan, row: &Row) {
    // No two females are alike: a day or two either way.
    let odd = row.age % 4;
    let (shed, ovulation) = match species_of(row.dam) {
        Some("python-regius") => (27 + odd, 44 + odd),
        Some("eublepharis-macularius") => return,
        _ => (8 + odd, 25 + 2 * odd),
    };
    let (who, dam, gravid) = (row.by, row.dam, row.gravid);
    // Looked for where the barn does: days before ovulation, and 0.1 mm across the largest.
    let looks: &[(i64, i64)] = match species_of(row.dam) {
        Some("pantherophis-guttatus") => &[(9, 164)],
        Some("python-regius") => &[(46, 212), (11, 368)],
        _ => &[],
    };
    for &(before, tenths) in looks {
        follicles(plan, who, Ago(row.age + ovulation + before + odd, 18, 40), dam, tenths + 3 * odd);
    }
    event(plan, who, Ago(row.age + ovulation, 18, 10), dam, AnimalEventWhat::Ovulation, 0, "");
    event(plan, who, Ago(row.age + shed, 18, 20), dam, AnimalEventWhat::PreLayShed, 0, "");
    event(plan, who, Ago(row.age + 5, 18, 30), dam, AnimalEventWhat::LayBox, 0, "");
    if gravid > 0 {
        event(plan, who, Ago(row.age + 4, 18, 30), dam, AnimalEventWhat::Weight, gravid, "");
    }
}

/// A look by ultrasound; 0.1 mm across the largest.
pub(super) fn follicles(plan: &mut Plan, who: Who, ago: Ago, animal: &'static str, tenths: i64) {
    plan.add(who, ago, move |season| {
        let act = FolliclesNoted {
            animal: season.animal(animal)?,
            when: season.when(),
            looked: Some(LookedAs::Ultrasound),
            side: None,
            follicle_um: Some(tenths * 100),
            follicles: None,
            note: String::new(),
        };
        season.write(&act).map(drop)
    });
}

pub(super) fn event(
    plan: &mut Plan,
    who: Who,
    ago: Ago,
    animal: &'static str,
    what: AnimalEventWhat,
    grams: i64,
    note: &'static str,
) {
    plan.add(who, ago, move |season| {
        let act = AnimalEventNoted {
            shed: None,
            animal: season.animal(animal)?,
            what,
            when: season.when(),
            mass: (grams > 0).then_some(Mass(grams * 1000)),
            note: note.to_owned(),
        };
        season.write(&act).map(drop)
    });
}

fn found(plan: &mut Plan, row: &'static Row) {
    let at = Ago(row.age - i64::from(row.about), row.time.0, row.time.1);
    let found = plan.moment(at);
    let laid = match row.about {
        // The lay boxes were looked into nine hours before.
        0 => When::span(Point::Time(found - TimeDelta::hours(9)), Point::Time(found)),
        days => When::about(plan.day(row.age), days),
    };
    let number = Some(number(plan, row.key));
    plan.add(row.by, at, move |season| {
        let act = EggsFound {
            dams: season.animals(&[row.dam])?,
            sires: season.animals(row.sires)?,
            found: season.when(),
            laid: Some(laid),
            number,
        };
        season.make(Kind::Clutch, row.key, &act)
    });
}

fn pulled(plan: &mut Plan, row: &'static Row) {
    let ago = row.age - i64::from(row.about);
    let (day, weighed) = (plan.day(ago), plan.day(row.age + 4));
    plan.add(row.by, Ago(ago, 7, 25), move |season| {
        let clutch = season.clutch(row.key)?;
        let [good, dud, slug] = row.counts;
        let card = ClutchCard::of(season.book(), &clutch).ok_or("no such clutch")?;
        let card = ClutchCard {
            gravid: Some(Mass(row.gravid * 1000)),
            gravid_on: Some(weighed),
            spent: Some(Mass(row.spent * 1000)),
            spent_on: Some(day),
            mass: Some(Mass((i64::from(good + dud) * row.egg_g + i64::from(slug) * row.egg_g / 3) * 1000)),
            mass_on: Some(day),
            counts: Some(Counts { good, dud, slug }),
            note: row.note.to_owned(),
            ..card
        };
        let boxes = row.boxes.iter().map(|set| setup(season, row, set)).collect::<Result<_, _>>()?;
        let clumps = row.clumps.iter().map(|&(from, to)| (from..to).collect()).collect();
        let drafted =
            season.write(&ClutchPulled { clutch: Some(clutch), card, clumps, boxes, left: false, when: None })?;
        for (set, filling) in row.boxes.iter().zip(all_made(&drafted, Kind::Filling)) {
            season.remember(filling, set.key);
        }
        Ok(())
    });
}

fn setup(season: &Season, row: &Row, set: &Set) -> Result<BoxSetup, String> {
    let eggs = set.eggs.map(|(from, to)| (from..to).collect::<Vec<_>>());
    let n = eggs.as_ref().map_or(i64::from(row.counts[0] + row.counts[1]), |eggs| eggs.len() as i64);
    // The brown mix comes damp, about as heavy as the others.
    let inside = if set.dry > 0 { set.dry + set.water } else { 590 };
    let grams = |g: i64| (g > 0).then_some(Mass(g * 1000));
    Ok(BoxSetup {
        filling: if set.key == FROM_BLANK { Some(season.named(Kind::Label, "blank")?) } else { None },
        shelf: Some(season.place(set.shelf)?),
        medium: set.medium.to_owned(),
        mix: (set.dry == 0).then_some(crate::words::Mix::Premix),
        dry: grams(set.dry),
        water: grams(set.water),
        closed: grams(BOX_G + inside + n * row.egg_g),
        eggs,
        ..BoxSetup::default()
    })
}

fn labelled(plan: &mut Plan, row: &Row, set: &'static Set) {
    plan.add(row.by, Ago(row.age - i64::from(row.about), 7, 40), move |season| {
        let filling = season.filling(set.key)?;
        let act = label(season, &filling);
        season.write(&act).map(drop)
    });
}

/// What the paper says on the day it is printed.
fn label(season: &Season, filling: &FillingId) -> LabelPrinted {
    let book = season.book();
    let window = book.window_of(&book.eggs_in(filling), season.now).ok();
    let likely = window.as_ref().map(|window| window.unlooked.likely);
    LabelPrinted {
        thing: filling.thing(),
        when: season.when(),
        payload: format!("HTTPS://ALDERLANE.EXAMPLE/#/B/{filling}"),
        look_from: window.as_ref().map(Window::look_from),
        likely_from: likely.map(|(from, _)| from.date()),
        likely_to: likely.map(|(_, to)| to.date()),
        fill_to: book.fill_to(filling).map(|fill_to| fill_to.mass),
    }
}

/// A small clutch goes into the box of the one laid two days before.
fn share(plan: &mut Plan) {
    let (key, into) = SHARED;
    let Some(row) = CLUTCHES.iter().find(|row| row.key == key) else { return };
    plan.add(row.by, Ago(row.age, 7, 30), move |season| {
        let shelled = (row.counts[0] + row.counts[1]) as usize;
        let eggs = season.book().eggs_of(&season.clutch(key)?);
        let things: Vec<Thing> = eggs.iter().take(shelled).map(|egg| egg.id.thing()).collect();
        let act = Moved {
            mass: Some(Mass(shelled as i64 * row.egg_g * 1000)),
            things,
            to: Where::Filling(season.filling(into)?),
            when: season.when(),
            note: String::new(),
        };
        season.write(&act)?;
        let anew = label(season, &season.filling(into)?);
        season.write(&anew).map(drop)
    });
}
