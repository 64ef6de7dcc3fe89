//! Pips, babies out, and boxes emptied.

use super::animals::young_tub;
use super::clutches::{CLUTCHES, number};
use super::{Ago, Plan, Who};
use crate::acts::{AnimalAdded, AnimalCard, AnimalEventNoted, BoxEmptied, EggFate, EggsOut, EggsPipped};
use crate::words::{AnimalEventWhat, Came, Fate, Sex, ShedAs};
use Who::{Ines, Tobin};
use trade::units::Mass;

enum Step {
    Pip,
    /// The mass of one baby in milligrams; they differ by a little.
    Out(i64),
    FullTermDead,
    Emptied,
}
use Step::{Emptied, FullTermDead, Out, Pip};

/// What was seen: clutch (and its box), who, when, which eggs.
#[rustfmt::skip]
const SEEN: &[(&str, Who, Ago, Step, &str)] = &[
    ("01", Tobin, Ago(10, 21, 30), Pip, "A B D"),
    ("01", Ines, Ago(9, 7, 10), Pip, "C E F"),
    ("01", Tobin, Ago(8, 6, 50), Out(6_300), "A B D"),
    ("01", Tobin, Ago(8, 6, 55), Pip, "G H J"),
    ("01", Ines, Ago(8, 21, 0), Out(6_100), "C E F"),
    ("01", Ines, Ago(7, 6, 50), Pip, "I"),
    ("01", Tobin, Ago(7, 20, 40), Out(6_400), "G H I J"),
    ("01", Tobin, Ago(5, 19, 30), FullTermDead, "K"),
    ("01", Tobin, Ago(5, 19, 40), Emptied, ""),
    ("02", Ines, Ago(7, 7, 0), Pip, "A C"),
    ("02", Tobin, Ago(7, 21, 10), Pip, "B D E"),
    ("02", Ines, Ago(6, 6, 45), Pip, "G H"),
    ("02", Ines, Ago(6, 20, 50), Out(9_600), "A B C"),
    ("02", Tobin, Ago(5, 7, 0), Out(9_900), "D E G H"),
    ("02", Ines, Ago(4, 18, 0), Emptied, ""),
    ("03", Ines, Ago(3, 21, 15), Pip, "A C"),
    ("03", Tobin, Ago(2, 6, 50), Pip, "B D H"),
    ("03", Ines, Ago(2, 21, 0), Out(9_100), "A C"),
    ("03", Ines, Ago(2, 21, 5), Pip, "E F"),
    ("03", Tobin, Ago(1, 20, 50), Out(8_800), "B D E H F"),
    ("03", Tobin, Ago(1, 20, 55), Pip, "J K"),
    ("04", Ines, Ago(1, 6, 20), Pip, "C F"),
];

/// The clutches whose young have tubs of their own already: species line, days ago they moved in.
const RAISED: [(&str, i64); 2] = [("01", 5), ("02", 4)];

pub(super) fn plan(plan: &mut Plan) {
    for (key, who, ago, step, letters) in SEEN {
        plan.add(*who, *ago, move |season| {
            let eggs = season.eggs(key, letters)?;
            let when = Some(season.when());
            let drafted = match step {
                Pip => season.write(&EggsPipped { eggs, when }),
                Out(mg) => {
                    let masses = (0..).zip(&eggs).map(|(n, egg)| (egg.clone(), baby(*mg, n))).collect();
                    season.write(&EggsOut { eggs, when, masses })
                }
                FullTermDead => season.write(&EggFate {
                    eggs,
                    fate: Fate::FullTermDead,
                    when: season.when(),
                    why: "fully formed, never pipped".to_owned(),
                    masses: [].into(),
                }),
                Emptied => season.write(&BoxEmptied { filling: season.filling(key)?, when: season.when() }),
            };
            drafted.map(drop)
        });
    }
    let mut nth = 0;
    for (key, ago) in RAISED {
        let hatched = SEEN.iter().filter(|row| row.0 == key && matches!(row.3, Out(_)));
        let mut letters: Vec<&str> = hatched.flat_map(|row| row.4.split_whitespace()).collect();
        letters.sort_unstable();
        for letter in letters {
            raise(plan, key, letter, ago, nth);
            nth += 1;
        }
    }
}

fn baby(mg: i64, nth: i64) -> Mass {
    Mass(mg + (nth * 7 % 5 - 2) * 300)
}

/// A baby gets its own tub; those of the first clutch have shed since.
fn raise(plan: &mut Plan, key: &'static str, letter: &'static str, ago: i64, nth: usize) {
    let code = format!("{}-{letter}", number(plan, key));
    let Some(row) = CLUTCHES.iter().find(|row| row.key == key) else { return };
    let name = code.clone();
    plan.add(row.by, Ago(ago, 20, 0), move |season| {
        let eggs = season.eggs(key, letter)?;
        let egg = eggs.first().and_then(|egg| season.book().egg(egg)).ok_or("no such egg")?;
        let clutch = season.book().clutch(&season.clutch(key)?).ok_or("no such clutch")?;
        let card = AnimalCard {
            code: name.clone(),
            species: clutch.species.clone(),
            sex: Some(Sex::Unknown),
            born: egg.fate_when,
            came: Some(Came::Egg),
            dam: clutch.dams.first().cloned(),
            sire: clutch.sires.first().cloned(),
            from_eggs: eggs,
            ..AnimalCard::default()
        };
        let place = young_tub(nth).map(|tub| season.place(&tub)).transpose()?;
        season.make(crate::ids::Kind::Animal, &name, &AnimalAdded { id: None, card, place })
    });
    if ago == 5 && nth < 4 {
        plan.add(Tobin, Ago(1, 21, 50), move |season| {
            let act = AnimalEventNoted {
                animal: season.animal(&code)?,
                what: AnimalEventWhat::Shed,
                when: season.when(),
                mass: None,
                shed: Some(ShedAs::Whole),
                note: "first shed".to_owned(),
            };
            season.write(&act).map(drop)
        });
    }
}
