//! What the keepers know of their animals' traits, and how the first babies look.

use super::clutches::number;
use super::season::Season;
use super::{Ago, Plan, Who};
use crate::acts::{GenotypeLine, GenotypesNoted};
use crate::words::TraitKnown::{self, Het, Not, Possible};
use crate::words::TraitSeen::{self, No, Shows};
use Who::{Ines, Tobin};

/// Animal, trait, how it looks, what is known, in thousandths where it is possible, and where that is from.
type Row = (&'static str, &'static str, Option<TraitSeen>, Option<TraitKnown>, u32, &'static str);

#[rustfmt::skip]
const KNOWN: &[Row] = &[
    ("Marigold", "corn-amelanistic", Some(Shows), None, 0, ""),
    ("Marigold", "corn-motley", Some(No), None, 0, ""),
    ("Rusk", "corn-amelanistic", Some(No), Some(Het), 0, "his dam was amelanistic"),
    ("Rusk", "corn-anerythristic", Some(No), Some(Het), 0, "sired one two years ago"),
    ("Juniper", "corn-anerythristic", Some(Shows), None, 0, ""),
    ("Juniper", "corn-motley", Some(Shows), None, 0, ""),
    ("Bramble", "corn-motley", Some(No), Some(Het), 0, "bought as such"),
    ("Bramble", "corn-anerythristic", Some(No), Some(Possible), 500, "bought as such"),
    (MINNA, "corn-hypomelanistic", Some(Shows), None, 0, ""),
    (MINNA, "corn-lavender", Some(Shows), None, 0, ""),
    (MINNA, "corn-motley", Some(Shows), None, 0, ""),
    (MINNA, "corn-anerythristic", Some(No), Some(Het), 0, "both grandsires were"),
    (MINNA, "corn-amelanistic", Some(No), Some(Possible), 660, "plain sib of an amelanistic"),
    ("Pepper", "corn-anerythristic", Some(Shows), None, 0, ""),
    ("Quince", "corn-striped", Some(Shows), None, 0, ""),
    ("Tallow", "corn-lavender", Some(Shows), None, 0, ""),
    ("Thornapple", "rat-leucistic", Some(No), None, 0, ""),
    ("Ash", "rat-leucistic", Some(No), Some(Not), 0, "wild stock from the Ridge"),
    ("Flint", "rat-leucistic", Some(Shows), None, 0, ""),
    ("Yarrow", "rat-brindle", Some(Shows), None, 0, ""),
    ("Alder", "eastern-albino", Some(No), Some(Het), 0, "bought as such"),
    ("Ember", "california-striped", Some(Shows), None, 0, ""),
    ("Ember", "california-lavender", Some(No), Some(Het), 0, "bought as such"),
    ("Slate", "california-striped", Some(No), None, 0, ""),
    ("Sorrel", "florida-hypomelanistic", Some(Shows), None, 0, ""),
    ("Wren", "honduran-hypomelanistic", Some(No), Some(Possible), 660, "plain sib of a hypomelanistic"),
    ("Saxifrage", "honduran-hypomelanistic", Some(No), Some(Het), 0, "bought as such"),
    ("Saxifrage", "honduran-anerythristic", Some(No), Some(Het), 0, "bought as such"),
    ("Peony", "honduran-hypomelanistic", Some(Shows), None, 0, ""),
    ("Candytuft", "pueblan-albino", Some(No), Some(Het), 0, "bought as such"),
    ("Button", "hognose-arctic", Some(Shows), None, 0, ""),
    ("Biscuit", "hognose-albino", Some(Shows), None, 0, ""),
    ("Scone", "hognose-albino", Some(No), Some(Het), 0, "bought as such"),
    ("Truffle", "hognose-toffee", Some(Shows), None, 0, ""),
    ("Magpie", "ball-pastel", Some(Shows), None, 0, ""),
    ("Cricket", "ball-pinstripe", Some(Shows), None, 0, ""),
    ("Domino", "ball-pied", Some(Shows), None, 0, ""),
];

const MINNA: &str = "Wilhelmina of the Upper Orchard, called Minna";

/// Babies looked at: clutch, trait, those in which it shows, those in which it does not.
#[rustfmt::skip]
const SEEN: &[(&str, &str, &str, &str)] = &[
    ("01", "corn-amelanistic", "A C E", "B D F"),
    ("01", "corn-anerythristic", "", "A B C D E F"),
    ("02", "honduran-hypomelanistic", "", "A B C D E G H"),
];

pub(super) fn plan(plan: &mut Plan) {
    plan.add(Tobin, Ago(147, 20, 0), |season| {
        let line = |&(name, of_trait, seen, known, chance, why): &Row| {
            Ok(GenotypeLine {
                animal: Some(season.animal(name)?),
                of_trait: of_trait.to_owned(),
                seen,
                known,
                chance_pm: (chance > 0).then_some(chance),
                why: why.to_owned(),
            })
        };
        let lines = KNOWN.iter().map(line).collect::<Result<_, String>>()?;
        season.write(&GenotypesNoted { lines, when: season.when() }).map(drop)
    });
    for clutch in ["01", "02"] {
        let number = number(plan, clutch);
        plan.add(Ines, Ago(2, 20, 15), move |season| looked_at(season, clutch, &number));
    }
}

/// What was ticked of a clutch's babies in one go.
fn looked_at(season: &mut Season, clutch: &str, number: &str) -> Result<(), String> {
    let mut lines = Vec::new();
    for &(_, of_trait, shows, not) in SEEN.iter().filter(|row| row.0 == clutch) {
        for (letters, seen) in [(shows, Shows), (not, No)] {
            for letter in letters.split_whitespace() {
                lines.push(GenotypeLine {
                    animal: Some(season.animal(&format!("{number}-{letter}"))?),
                    of_trait: of_trait.to_owned(),
                    seen: Some(seen),
                    ..GenotypeLine::default()
                });
            }
        }
    }
    season.write(&GenotypesNoted { lines, when: season.when() }).map(drop)
}
