//! Everything else of the season: meals and the one who takes none, readings and a warm night, notes, females
//! still to lay, and the morning two people counted the same eggs.

use super::clutches::{event, follicles, pair};
use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{
    AnimalsWeighed, BlankLabelsMade, ClutchCard, ClutchEdited, EggMeasure, EggsMeasured, IncidentNoted, MealOffered,
    Noted, ReadingTaken, made,
};
use crate::ids::{AnimalId, Kind, Thing};
use crate::records::Counts;
use crate::words::AnimalEventWhat::{LayBox, Note, Ovulation, PreLayShed, Treatment, Weight};
use crate::words::MealOutcome::{self, Eaten, Refused, Regurgitated};
use crate::words::{AnimalEventWhat, Came};
use Who::{Ines, Tobin};
use trade::units::{Humidity, Mass, Temp};
use trade::when::When;

/// Feeding days, oldest first, and who did not eat then.
const FED: [(i64, &[(&str, MealOutcome)]); 4] = [
    (23, &[("Cricket", Refused), ("Nettle", Refused), ("Dapple", Refused)]),
    (16, &[("Cricket", Refused), ("Fern", Refused), ("Scone", Regurgitated)]),
    (9, &[("Cricket", Refused), ("Plover", Refused), ("Larkspur", Refused), ("Bryony", Refused)]),
    (2, &[("Cricket", Refused), ("Larkspur", Refused), ("Yarrow", Refused), ("Bryony", Refused)]),
];

/// Days ago on which only the one who does not eat was offered something, what came of it, and what it was.
const TRIED: [(i64, MealOutcome, &str, &str); 5] = [
    (72, Eaten, "mouse", "thawed"),
    (58, Refused, "mouse", "thawed"),
    (44, Refused, "mouse", "thawed, scented with gerbil bedding"),
    (37, Refused, "rat", "thawed, warmed, offered at night"),
    (30, Refused, "chick", "thawed"),
];

/// Weights and other events of animals: who wrote it, when, grams (0 = none), a note.
#[rustfmt::skip]
const EVENTS: &[(&str, Who, Ago, AnimalEventWhat, i64, &str)] = &[
    ("Cricket", Tobin, Ago(100, 18, 0), Weight, 634, ""),
    ("Cricket", Tobin, Ago(58, 18, 0), Weight, 612, ""),
    ("Cricket", Ines, Ago(30, 18, 0), Weight, 587, ""),
    ("Cricket", Ines, Ago(9, 18, 40), Weight, 566, "Down a tenth since spring. The veterinarian looks at him next week."),
    ("Scone", Tobin, Ago(15, 7, 30), Note, 0, "Brought up a whole pinkie. Nothing for ten days, then half a meal."),
    ("Yarrow", Ines, Ago(38, 19, 0), Ovulation, 0, ""),
    ("Yarrow", Ines, Ago(17, 19, 0), PreLayShed, 0, "All in one piece."),
    ("Yarrow", Tobin, Ago(14, 19, 0), LayBox, 0, ""),
    ("Yarrow", Tobin, Ago(14, 19, 5), Weight, 1390, ""),
    ("Vesper", Tobin, Ago(25, 19, 30), Ovulation, 0, ""),
    ("Vesper", Tobin, Ago(1, 18, 50), PreLayShed, 0, "Lay box still to go in."),
    ("Moss", Ines, Ago(12, 18, 10), Weight, 845, ""),
    ("Bel", Ines, Ago(12, 18, 15), Weight, 1012, "Filling out again."),
    ("Marigold", Ines, Ago(33, 18, 0), Weight, 604, "Feeling eggs again."),
    ("XX1", Tobin, Ago(21, 17, 0), Treatment, 0, "Mites: new bedding, tub apart from the others, checked daily."),
];

/// Breeders put on the scale one after the other, days ago: grams.
#[rustfmt::skip]
const WEIGHED: &[(i64, &[(&str, i64)])] = &[
    (145, &[("Bel", 905), ("Marigold", 580), ("Wren", 760), ("Juniper", 540), ("Hazel", 815), ("Thornapple", 1240), ("Slate", 720), ("Moss", 820)]),
    (118, &[("Bel", 960), ("Marigold", 612), ("Wren", 795), ("Juniper", 566), ("Hazel", 850), ("Thornapple", 1295), ("Slate", 748), ("Moss", 835)]),
    (90, &[("Bel", 1045), ("Marigold", 655), ("Wren", 842), ("Juniper", 604), ("Hazel", 905), ("Thornapple", 1380), ("Slate", 795), ("Moss", 848)]),
    (40, &[("Bel", 925), ("Marigold", 590), ("Wren", 748), ("Juniper", 528), ("Moss", 840)]),
];

/// Letter, length and width in hundredths of a millimetre.
type Measured = (&'static str, i64, i64);

/// Eggs of a clutch under the caliper, days ago.
#[rustfmt::skip]
const CALIPER: &[(&str, i64, &[Measured])] = &[
    ("03", 62, &[("A", 3870, 2110), ("B", 3790, 2140), ("C", 3920, 2090)]),
    ("10", 30, &[("A", 3610, 2200), ("G", 3580, 2230)]),
    ("17", 3, &[("A", 3310, 1960), ("B", 3260, 1990)]),
];

/// Temperatures read: shelf, who, when, 0.01 °C.
#[rustfmt::skip]
const READ: &[(&str, Who, Ago, i32)] = &[
    ("N5", Tobin, Ago(28, 20, 0), 2750),
    ("N5", Ines, Ago(21, 20, 0), 2760),
    ("N5", Tobin, Ago(14, 20, 0), 2740),
    ("N5", Tobin, Ago(7, 20, 0), 2760),
    ("N5", Ines, Ago(6, 20, 50), 3320),
    ("N5", Ines, Ago(6, 23, 30), 2830),
    ("N5", Ines, Ago(5, 20, 30), 2750),
    ("N5", Tobin, Ago(1, 20, 35), 3010),
    ("N1", Ines, Ago(14, 20, 2), 2800),
    ("N1", Ines, Ago(5, 20, 32), 2790),
    ("S1", Tobin, Ago(5, 20, 40), 3150),
];

const MESSAGE: &str = "Power was back before the cabinets had cooled by more than a degree.";

/// Notes about clutches and places.
#[rustfmt::skip]
const NOTES: &[(Kind, &str, Who, Ago, &str)] = &[
    (Kind::Clutch, "09", Tobin, Ago(11, 21, 30), "If this is the dry mix, the next Pueblan clutch gets 1 to 1."),
    (Kind::Place, "N5", Ines, Ago(6, 21, 0), "Probe had slipped off the shelf and lay on the floor of the cabinet. Taped down."),
    (Kind::Place, "N5", Tobin, Ago(1, 20, 40), "Warm again. Turned down; read it once more tomorrow."),
    (Kind::Clutch, "11", Ines, Ago(24, 8, 0), "Ash was in with her first, Flint a week later. The babies will tell: Flint's are all het. leucistic."),
    (Kind::Clutch, "03", Tobin, Ago(1, 21, 0), "Seven out and already hissing. Leave the rest in peace tonight."),
    (Kind::Animal, "Larkspur", Tobin, Ago(1, 21, 45), "Coiled round them in the lay box. Leave her until she moves off."),
    (Kind::Filling, "04", Ines, Ago(1, 6, 25), "Two noses. Heads back in when the lid comes off."),
    (Kind::Animal, "Cricket", Ines, Ago(2, 19, 30), "Still nothing. Drinks, sheds, moves about at night."),
];

pub(super) fn plan(plan: &mut Plan) {
    for (ago, not) in FED {
        feed(plan, ago, not);
    }
    for (ago, outcome, prey, how) in TRIED {
        plan.add(Tobin, Ago(ago, 21, 40), move |season| {
            let animals = vec![season.animal("Cricket")?];
            offer(season, animals, outcome, prey, how)
        });
    }
    for &(name, who, ago, what, grams, note) in EVENTS {
        event(plan, who, ago, name, what, grams, note);
    }
    for &(ago, row) in WEIGHED {
        plan.add(Ines, Ago(ago, 17, 30), move |season| {
            let weights = row.iter().map(|&(name, grams)| Ok((season.animal(name)?, Mass(grams * 1000))));
            let act = AnimalsWeighed { weights: weights.collect::<Result<_, String>>()?, when: season.when() };
            season.write(&act).map(drop)
        });
    }
    for &(clutch, ago, row) in CALIPER {
        plan.add(Ines, Ago(ago, 7, 50), move |season| {
            let measured = row.iter().map(|&(letter, len, wid)| {
                let egg = season.eggs(clutch, letter)?.pop().ok_or("no such egg")?;
                Ok(EggMeasure { egg, len_um: Some(len * 10), wid_um: Some(wid * 10), mass: None })
            });
            let act = EggsMeasured { eggs: measured.collect::<Result<_, String>>()? };
            season.write(&act).map(drop)
        });
    }
    for &(shelf, who, ago, cc) in READ {
        plan.add(who, ago, move |season| {
            let source = "probe thermometer".to_owned();
            let act = ReadingTaken {
                place: season.place(shelf)?,
                when: season.when(),
                temp: Temp(cc),
                // What hangs on that shelf shows both.
                humidity: (shelf == "N1").then_some(Humidity(515)),
                source,
            };
            season.write(&act).map(drop)
        });
    }
    for &(kind, name, who, ago, text) in NOTES {
        plan.add(who, ago, move |season| {
            let id: String = season.named(kind, name)?;
            let act = Noted { about: Thing::new(kind, id), when: season.when(), text: text.to_owned() };
            season.write(&act).map(drop)
        });
    }
    let (from, to) = (When::time(plan.moment(Ago(20, 13, 5))), When::time(plan.moment(Ago(20, 15, 50))));
    plan.add(Tobin, Ago(20, 16, 10), move |season| {
        let places = vec![season.place("N")?, season.place("S")?];
        let act = IncidentNoted { places, from, to: Some(to), what: "power cut".to_owned(), note: MESSAGE.to_owned() };
        season.write(&act).map(drop)
    });
    plan.add(Ines, Ago(7, 9, 0), |season| {
        let drafted = season.write(&BlankLabelsMade { count: 12 })?;
        let blank = made(&drafted, Kind::Label).ok_or("made no label")?;
        season.remember(blank, "blank");
        Ok(())
    });
    pair(plan, "Yarrow", Ines, "Yarrow", &["Flint"], 62);
    pair(plan, "Vesper", Tobin, "Vesper", &["Ember"], 47);
    pair(plan, "Minna", Ines, "Wilhelmina of the Upper Orchard, called Minna", &["Pepper"], 6);
    follicles(plan, Ines, Ago(2, 19, 20), "Wilhelmina of the Upper Orchard, called Minna", 166);
    disagree(plan);
}

/// All grown animals; the outcome of those not named is eaten.
fn feed(plan: &mut Plan, ago: i64, not: &'static [(&'static str, MealOutcome)]) {
    plan.add(if ago % 2 == 0 { Tobin } else { Ines }, Ago(ago, 18, 45), move |season| {
        let not = not
            .iter()
            .map(|&(name, outcome)| Ok((season.animal(name)?, outcome)))
            .collect::<Result<Vec<_>, String>>()?;
        let grown = season.book().animals().into_iter().filter(|animal| animal.came != Some(Came::Egg));
        let eating = grown.map(|animal| animal.id.clone()).filter(|id| not.iter().all(|(other, _)| other != id));
        offer(season, eating.collect(), Eaten, "mouse", "thawed")?;
        not.into_iter().try_for_each(|(animal, outcome)| offer(season, vec![animal], outcome, "mouse", "thawed"))
    });
}

fn offer(
    season: &mut Season,
    animals: Vec<AnimalId>,
    outcome: MealOutcome,
    prey: &str,
    how: &str,
) -> Result<(), String> {
    let act = MealOffered {
        animals,
        offered: season.when(),
        outcome: Some(outcome),
        prey: prey.to_owned(),
        size: String::new(),
        how: how.to_owned(),
    };
    season.write(&act).map(drop)
}

/// Yesterday morning the phones were apart while Ines pulled a clutch and counted nine good eggs. Tobin had counted
/// ten under the female, and entered that, neither knowing of the other.
fn disagree(plan: &mut Plan) {
    plan.add(Tobin, Ago(1, 7, 5), |season| {
        season.part();
        Ok(())
    });
    plan.add(Tobin, Ago(1, 7, 35), |season| {
        let clutch = season.clutch("18")?;
        let card = ClutchCard::of(season.book(), &clutch).ok_or("no such clutch")?;
        let card = ClutchCard { counts: Some(Counts { good: 10, dud: 1, slug: 1 }), ..card };
        season.write(&ClutchEdited { clutch, card }).map(drop)
    });
    plan.add(Tobin, Ago(1, 9, 0), |season| {
        season.meet();
        Ok(())
    });
}
