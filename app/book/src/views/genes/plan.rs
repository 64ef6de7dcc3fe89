//! Which pairing among the barn's own gives the best chance for a wish.

use super::outcomes::kin_view;
use crate::book::Book;
use crate::genes::Family;
use crate::ids::AnimalId;
use crate::words::Sex;
use trade::genetics::{Cross, Group, Mode, Refusal, Shows, Wish};

/// What a baby should be, of one trait.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Want {
    /// It shows.
    Shows,
    /// As many copies as there can be.
    Homozygous,
    /// It carries it, seen or not.
    Carries,
}

/// One pairing for a wish.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanRow {
    pub dam: (AnimalId, String),
    pub sire: (AnimalId, String),
    /// The chance of each egg, 0–1, whatever the parents turn out to be.
    pub of_one: f64,
    /// Of at least one in the species' usual clutch.
    pub in_a_clutch: f64,
    pub clutch: u32,
    /// Eggs for 90 %; `None`: with no number of eggs, since the parents may not carry it.
    pub eggs_for_90: Option<u32>,
    /// That the parents can give it at all.
    pub ever: f64,
    /// The inbreeding coefficient of the young.
    pub inbreeding: f64,
}

/// Pairings that are looked at closely.
const ROWS: usize = 12;

/// The best pairings among the grown animals of a species in the barn, the likeliest first.
///
/// # Errors
/// Why it cannot be told, in a sentence.
pub fn plan(book: &Book, species: &str, wants: &[(String, Want)]) -> Result<Vec<PlanRow>, String> {
    told(book, species, wants).map_err(|why| why.to_string())
}

fn told(book: &Book, species: &str, wants: &[(String, Want)]) -> Result<Vec<PlanRow>, Refusal> {
    // Whoever hatched here this season is no parent of the next.
    let grown = book.animals().into_iter().filter(|animal| {
        animal.species.as_deref() == Some(species)
            && (animal.from_eggs.is_empty() || book.clutches_of(&animal.id).next().is_some())
    });
    let grown: Vec<(AnimalId, Option<Sex>)> = grown.map(|animal| (animal.id.clone(), animal.sex)).collect();
    let ids: Vec<AnimalId> = grown.iter().map(|(id, _)| id.clone()).collect();
    let also: Vec<String> = wants.iter().map(|(key, _)| key.clone()).collect();
    let family = Family::of(book, &ids, &also)?;
    let wish = wish(&family, wants);
    let numbers: Vec<usize> = ids.iter().filter_map(|id| family.number(id)).collect();
    let found = family.weigh(&numbers, None)?;
    let of_sex = |sex: Sex| grown.iter().filter(move |(_, own)| *own == Some(sex)).map(|(id, _)| id);
    let mut pairs: Vec<(f64, &AnimalId, &AnimalId)> = Vec::new();
    for dam in of_sex(Sex::Female) {
        for sire in of_sex(Sex::Male) {
            let chance = wish.groups().iter().fold(1.0, |product, (group, wanted)| {
                let of = |id: &AnimalId| family.number(id).and_then(|at| found.chances[*group][at].as_deref());
                product * of(dam).zip(of(sire)).map_or(0.0, |(d, s)| egg(&family.groups[*group], d, s, wanted))
            });
            if chance > 0.0 {
                pairs.push((chance, dam, sire));
            }
        }
    }
    // As if the two were unrelated, to find the ones worth a close look.
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| (a.1, a.2).cmp(&(b.1, b.2))));
    let clutch = book.species_of(Some(species)).usual_eggs().max(1);
    let mut rows = Vec::new();
    for (_, dam, sire) in pairs.into_iter().take(ROWS) {
        let pair = family.number(dam).zip(family.number(sire));
        let cross = Cross::new(&family.groups, family.weigh(&[], pair)?.pair);
        let chances = cross.chances(&wish)?;
        rows.push(PlanRow {
            dam: (dam.clone(), book.animal_name(dam)),
            sire: (sire.clone(), book.animal_name(sire)),
            of_one: chances.of_one(),
            in_a_clutch: chances.at_least_one(clutch),
            clutch,
            eggs_for_90: chances.eggs_for(0.9),
            ever: chances.ever(),
            inbreeding: kin_view(book, dam, sire).inbreeding,
        });
    }
    rows.sort_by(|a, b| b.of_one.total_cmp(&a.of_one).then_with(|| a.inbreeding.total_cmp(&b.inbreeding)));
    Ok(rows)
}

/// The chance of an egg to be as wanted in one group.
fn egg(group: &Group, dam: &[f64], sire: &[f64], wanted: &[bool]) -> f64 {
    let some =
        |chances: &[f64]| -> Vec<(u16, f64)> { (0..).zip(chances.iter().copied()).filter(|(_, c)| *c > 0.0).collect() };
    let (dams, sires) = (some(dam), some(sire));
    let pairs = dams.iter().flat_map(|d| sires.iter().map(move |s| (d, s)));
    pairs
        .map(|((d, p), (s, q))| {
            let good =
                group.young(*d, *s).into_iter().filter(|(young, _)| group.lives(*young) && wanted[usize::from(*young)]);
            p * q * good.map(|(_, share)| share).sum::<f64>()
        })
        .sum()
}

fn wish(family: &Family, wants: &[(String, Want)]) -> Wish {
    let mut wish = Wish::default();
    for (key, want) in wants {
        for locus in &family.loci {
            for (allele, facts) in (1u8..).zip(&locus.traits).filter(|(_, facts)| facts.key == *key) {
                let group = &family.groups[locus.group];
                let good = |state: u16| {
                    let (copies, most) = group.copies(state, locus.at, allele);
                    match want {
                        Want::Shows => group.shows(state, locus.at, allele) != Shows::No,
                        Want::Homozygous if facts.mode == Mode::IncompleteDominant => {
                            group.shows(state, locus.at, allele) == Shows::Two
                        }
                        Want::Homozygous => copies == most,
                        Want::Carries => copies > 0,
                    }
                };
                wish = wish.with(locus.group, (0..group.states().len() as u16).map(good).collect());
            }
        }
    }
    wish
}
