//! What was seen by candling and what was weighed, box by box, and the eggs that were lost.

use super::clutches::CLUTCHES;
use super::{Ago, Plan, Who};
use crate::acts::{BoxCandled, EggFate, WaterChecked};
use crate::ids::EggId;
use crate::words::Fate::{self, Died, Removed};
use crate::words::LaidAs;
use crate::words::Seen::{self, Clear, Dark, Dead, Dented, Mouldy, Unsure, Veins};
use Who::{Ines, Tobin};
use std::collections::BTreeMap;
use trade::units::Mass;

/// How a box is looked after; days since its clutch was laid.
struct Care {
    key: &'static str,
    candled: &'static [i64],
    weighed: &'static [i64],
    /// Water lost in ten days, in grams.
    loss: i64,
}

const fn care(key: &'static str, candled: &'static [i64], weighed: &'static [i64], loss: i64) -> Care {
    Care { key, candled, weighed, loss }
}

#[rustfmt::skip]
const CARE: &[Care] = &[
    care("01", &[9, 24, 45], &[7, 19, 32, 43], 9),
    care("02", &[10, 30], &[8, 21, 34, 45], 8),
    care("03", &[10, 26, 48], &[7, 20, 33, 45], 8),
    care("04", &[9, 30], &[8, 21, 34, 46], 9),
    care("05", &[10, 27, 44], &[7, 19, 31, 44], 7),
    care("06", &[10, 25, 40], &[7, 18, 30, 41], 9),
    care("08a", &[9, 27], &[8, 20, 33], 8),
    care("08b", &[9, 27], &[8, 20, 33], 11),
    care("09", &[9, 16, 23, 28, 32], &[7, 14, 21, 27, 32], 17),
    care("10", &[10, 22], &[7, 15], 8),
    care("11", &[11, 20], &[8, 19], 8),
    care("12", &[8, 20], &[7, 17], 12),
    care("13", &[12], &[7, 17], 5),
    care("14", &[10], &[8, 14], 8),
    care("15", &[], &[7], 8),
];

/// At a candling, what was other than the time before (at the first: other than veins), and a note.
type Look = (&'static str, i64, &'static [(Seen, &'static str)], &'static str);

#[rustfmt::skip]
const LOOKS: &[Look] = &[
    ("01", 9, &[(Clear, "L"), (Unsure, "C")], ""),
    ("01", 24, &[(Veins, "C"), (Mouldy, "L")], "C was only late."),
    ("01", 45, &[(Dark, "A B C D E F G H I J K")], "All dark, as they should be by now."),
    ("02", 10, &[(Unsure, "F")], ""),
    ("02", 30, &[(Dead, "F")], "F has a ring and no veins; taken out."),
    ("03", 10, &[(Unsure, "G")], "Veins like a road map in all but one."),
    ("03", 26, &[(Veins, "G")], ""),
    ("03", 48, &[(Dark, "A B C D E F G H I J K L")], ""),
    ("04", 9, &[(Clear, "O")], ""),
    ("05", 10, &[], "Every egg good. Sorrel is back on food."),
    ("05", 44, &[(Dark, "A B C D E F G H I J K L M")], ""),
    ("08a", 9, &[(Unsure, "E L")], ""),
    ("08a", 27, &[(Veins, "E"), (Clear, "L")], "L stays in: it is not going off."),
    ("08b", 9, &[(Clear, "V")], ""),
    ("09", 9, &[(Unsure, "C F"), (Clear, "L")], "Shells feel thin."),
    ("09", 16, &[(Dented, "C F"), (Mouldy, "L")], "Two dented. Mixed drier than the others: 0.8 to 1."),
    ("09", 23, &[(Dead, "C F"), (Unsure, "G")], "Smells. C and F out."),
    ("09", 28, &[(Mouldy, "G"), (Dented, "A D")], "The shelf ran warm last night, see its readings."),
    ("09", 32, &[(Mouldy, "D"), (Dead, "J"), (Unsure, "B")], "Losing more. B, E, H, I and K still have veins or might."),
    ("10", 10, &[], "Could not see the underside of the clump."),
    ("11", 11, &[(Unsure, "N O")], ""),
    ("11", 20, &[(Veins, "N"), (Clear, "O")], ""),
    ("12", 8, &[], "One clump, all six with veins where the light reaches."),
    ("14", 10, &[(Clear, "I"), (Unsure, "H")], ""),
];

/// Eggs taken out: box, day, fate, letters, why, what one weighed in grams.
type Loss = (&'static str, i64, Fate, &'static str, &'static str, i64);

const LOSSES: &[Loss] = &[
    ("01", 24, Removed, "L", "dud, mouldy", 7),
    ("02", 30, Died, "F", "blood ring", 12),
    ("09", 16, Removed, "L", "dud, mouldy", 6),
    ("09", 23, Died, "C F", "dented, then grey and soft", 7),
    ("09", 28, Died, "G", "mould all over", 7),
];

pub(super) fn plan(plan: &mut Plan) {
    for care in CARE {
        let Some(row) = CLUTCHES.iter().find(|row| row.boxes.iter().any(|set| set.key == care.key)) else { continue };
        for (n, &day) in care.candled.iter().enumerate() {
            // The keepers take turns at the lamp.
            let who = if n % 2 == 0 { Ines } else { Tobin };
            candle(plan, who, Ago(row.age - day, 21, 5), row.key, care.key, day);
        }
        let mut last = 0;
        for (n, &day) in care.weighed.iter().enumerate() {
            let who = if n % 2 == 0 { Tobin } else { Ines };
            weigh(plan, who, Ago(row.age - day, 20, 15), care.key, (care.loss * (day - last) + 5) / 10);
            last = day;
        }
        for &loss in LOSSES.iter().filter(|loss| loss.0 == care.key) {
            lose(plan, Ago(row.age - loss.1, 21, 20), row.key, loss);
        }
    }
}

fn candle(plan: &mut Plan, who: Who, ago: Ago, clutch: &'static str, key: &'static str, day: i64) {
    let look = LOOKS.iter().find(|look| look.0 == key && look.1 == day);
    let (changed, note) = look.map_or((&[] as &[_], ""), |look| (look.2, look.3));
    plan.add(who, ago, move |season| {
        let filling = season.filling(key)?;
        // At the first look this keeper says of every egg what it shows.
        let book = season.book();
        let never = book.eggs_in(&filling).into_iter().filter(|egg| book.last_seen(&egg.id).is_none());
        let never = never.filter(|egg| egg.laid_as != Some(LaidAs::Slug));
        let mut changes: BTreeMap<EggId, Seen> = never.map(|egg| (egg.id.clone(), Veins)).collect();
        for &(seen, letters) in changed {
            changes.extend(season.eggs(clutch, letters)?.into_iter().map(|egg| (egg, seen)));
        }
        let act = BoxCandled { filling, when: season.when(), changes, note: note.to_owned() };
        season.write(&act).map(drop)
    });
}

/// Weighed closed, and filled up again.
fn weigh(plan: &mut Plan, who: Who, ago: Ago, key: &'static str, lost: i64) {
    plan.add(who, ago, move |season| {
        let filling = season.filling(key)?;
        let fill_to = season.book().fill_to(&filling).ok_or("the box was never weighed")?;
        let lost = Mass(lost * 1000);
        let act = WaterChecked {
            filling,
            when: season.when(),
            mass: fill_to.mass - lost,
            added: Some(lost),
            note: String::new(),
        };
        season.write(&act).map(drop)
    });
}

fn lose(plan: &mut Plan, ago: Ago, clutch: &'static str, (_, _, fate, letters, why, grams): Loss) {
    plan.add(Ines, ago, move |season| {
        let eggs = season.eggs(clutch, letters)?;
        let masses = eggs.iter().map(|egg| (egg.clone(), Mass(grams * 1000))).collect();
        let act = EggFate { eggs, fate, when: season.when(), why: why.to_owned(), masses };
        season.write(&act).map(drop)
    });
}
