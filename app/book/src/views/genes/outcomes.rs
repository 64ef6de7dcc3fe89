//! What a pairing can give.

use super::{loci_of, locus_name, look_words};
use crate::book::Book;
use crate::genes::{Conflict, Family, Genotype, Told, TraitTold};
use crate::ids::AnimalId;
use std::collections::BTreeMap;
use trade::genetics::{Cross, GroupLook, LookRow, Refusal, Sex, kinship};

/// Every outcome of a pairing.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcomes {
    pub dam: String,
    pub sire: String,
    /// What is told of each.
    pub dam_said: Genotype,
    pub sire_said: Genotype,
    pub eggs: u32,
    /// The commonest first.
    pub rows: Vec<OutcomeRow>,
    /// Rows left out, and their share of all eggs.
    pub more: usize,
    pub more_share: f64,
    /// Share of eggs whose young do not live.
    pub unviable: f64,
    /// The loci at which the young can differ, by their traits' names, and whether each is told apart.
    pub loci: Vec<(String, bool)>,
    pub conflicts: Vec<Conflict>,
    pub kin: KinView,
    /// What keeps it from being told.
    pub trouble: Option<String>,
}

impl Outcomes {
    /// Nothing was entered of either.
    pub fn not_entered(&self) -> bool {
        [&self.dam_said, &self.sire_said].iter().all(|said| **said == Genotype::NotEntered)
    }
}

/// One look with what lies under it.
#[derive(Clone, Debug, PartialEq)]
pub struct OutcomeRow {
    /// What shows; empty when it looks normal.
    pub look: String,
    /// Where sex decides.
    pub sex: Option<Sex>,
    /// Share of all eggs, 0–1.
    pub share: f64,
    /// How many of the eggs, nine times in ten.
    pub count: (u32, u32),
    /// What is carried unseen, in the trade's words.
    pub under: Vec<String>,
    /// The chance of at least one among the eggs.
    pub at_least_one: f64,
    /// The eggs it takes for one with 90 %; `None`: no number of eggs, since the parents may not carry it.
    pub eggs_for_90: Option<u32>,
}

/// How the parents are related.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KinView {
    /// The inbreeding coefficient of their young, 0–1.
    pub inbreeding: f64,
    /// Common ancestors, the weightiest first: what each adds, and generations down to dam and sire.
    pub ancestors: Vec<(AnimalId, String, f64, (u32, u32))>,
    /// Ancestors whose own parents are not known for certain and count as unrelated.
    pub unsure: u32,
    /// A circle in the records keeps it from being told.
    pub trouble: Option<String>,
}

/// Rows of which spread and genotypes are told.
const ROWS: usize = 24;

/// What `dam` and `sire` can give in so many eggs; `apart` names the loci to tell apart, `None` all of them.
pub fn outcomes(book: &Book, dam: &AnimalId, sire: &AnimalId, eggs: u32, apart: Option<&[String]>) -> Option<Outcomes> {
    book.animal(dam)?;
    book.animal(sire)?;
    let start = Outcomes {
        dam: book.animal_name(dam),
        sire: book.animal_name(sire),
        dam_said: book.genotype_said(dam),
        sire_said: book.genotype_said(sire),
        eggs: eggs.clamp(1, 200),
        kin: kin_view(book, dam, sire),
        rows: Vec::new(),
        more: 0,
        more_share: 0.0,
        unviable: 0.0,
        loci: Vec::new(),
        conflicts: Vec::new(),
        trouble: None,
    };
    // Of two animals nothing is known of, no outcome can be told: that is not "all normal".
    if start.not_entered() {
        return Some(start);
    }
    let mut all = start.clone();
    match told(book, dam, sire, apart, &mut all) {
        Ok(()) => Some(all),
        Err(why) => Some(Outcomes { trouble: Some(why.to_string()), loci: all.loci, ..start }),
    }
}

fn told(
    book: &Book,
    dam: &AnimalId,
    sire: &AnimalId,
    apart: Option<&[String]>,
    all: &mut Outcomes,
) -> Result<(), Refusal> {
    let family = Family::of(book, &[dam.clone(), sire.clone()], &[])?;
    let pair = family.number(dam).zip(family.number(sire)).filter(|(d, s)| d != s);
    let found = family.weigh(&[], pair)?;
    all.conflicts = family.conflicts(book, &found);
    if found.pair.is_empty() {
        return Ok(());
    }
    let cross = Cross::new(&family.groups, found.pair);
    let mut of = Vec::new();
    for group in 0..family.groups.len() {
        if cross.looks_at(group) > 1 || cross.genotypes(group).iter().skip(1).any(|share| *share > 0.0) {
            let name = loci_of(&family, group).into_iter().map(locus_name).collect::<Vec<_>>().join(" + ");
            let chosen = apart.is_none_or(|apart| apart.contains(&name));
            all.loci.push((name, chosen));
            if chosen {
                of.push(group);
            }
        }
    }
    let looks = cross.looks(&of)?;
    all.unviable = looks.unviable;
    all.more = looks.rows.len().saturating_sub(ROWS);
    all.more_share = looks.rows.iter().skip(ROWS).map(|row| row.share).sum();
    for row in looks.rows.iter().take(ROWS) {
        all.rows.push(outcome_row(&family, &cross, &of, row, all.eggs)?);
    }
    Ok(())
}

fn outcome_row(
    family: &Family,
    cross: &Cross<'_>,
    of: &[usize],
    row: &LookRow,
    eggs: u32,
) -> Result<OutcomeRow, Refusal> {
    let looks: Vec<&GroupLook> =
        of.iter().zip(&row.looks).filter_map(|(&group, &look)| cross.look(group, look)).collect();
    let mut shown = Vec::new();
    for (&group, look) in of.iter().zip(&looks) {
        for (traits, look) in loci_of(family, group).into_iter().zip(&look.loci) {
            shown.extend(Some(look_words(traits, look)).filter(|words| !words.is_empty()));
        }
    }
    shown.sort();
    let chances = cross.chances(&cross.wish_for(of, row))?;
    Ok(OutcomeRow {
        look: shown.join(" "),
        sex: looks.iter().find_map(|look| look.sex),
        share: row.share,
        count: chances.count(eggs, 0.9),
        under: under(family, cross, of, row),
        at_least_one: chances.at_least_one(eggs),
        eggs_for_90: chances.eggs_for(0.9),
    })
}

/// What babies of a look carry unseen.
fn under(family: &Family, cross: &Cross<'_>, of: &[usize], row: &LookRow) -> Vec<String> {
    let mut said = Vec::new();
    for (&group, states) in of.iter().zip(cross.under(of, row)) {
        let mut chances = vec![0.0; family.groups[group].states().len()];
        for (state, chance) in states {
            chances[usize::from(state)] = chance;
        }
        for locus in family.loci.iter().filter(|locus| locus.group == group) {
            for (allele, facts) in (1u8..).zip(&locus.traits) {
                let told = TraitTold {
                    facts: facts.clone(),
                    told: Told::of(&family.groups[group], locus.at, allele, &chances),
                };
                let words = told.words();
                // The look says it already.
                let plain = words == facts.card.name || words == facts.two_name();
                if !words.is_empty() && !plain {
                    said.push(words);
                }
            }
        }
    }
    said
}

/// How two animals are related, by recorded parents that are certain.
pub fn kin_view(book: &Book, dam: &AnimalId, sire: &AnimalId) -> KinView {
    let ids: Vec<&AnimalId> = book.all_animals().map(|animal| &animal.id).collect();
    let number: BTreeMap<&AnimalId, usize> = ids.iter().copied().zip(0..).collect();
    let mut unsure = vec![false; ids.len()];
    let parents: Vec<(Option<usize>, Option<usize>)> = book
        .all_animals()
        .enumerate()
        .map(|(at, animal)| {
            let (dams, sires) = book.possible_parents(animal);
            unsure[at] = dams.len() > 1 || sires.len() > 1;
            let only = |of: Vec<AnimalId>| match of.as_slice() {
                [only] => number.get(only).copied(),
                _ => None,
            };
            (only(dams), only(sires))
        })
        .collect();
    let (Some(&d), Some(&s)) = (number.get(dam), number.get(sire)) else { return KinView::default() };
    match kinship(&parents, d, s) {
        Err(why) => KinView { trouble: Some(why.to_string()), ..KinView::default() },
        Ok(kin) => KinView {
            inbreeding: kin.inbreeding,
            ancestors: kin
                .ancestors
                .iter()
                .map(|a| (ids[a.animal].clone(), book.animal_name(ids[a.animal]), a.adds, a.down))
                .collect(),
            unsure: u32::try_from(above(&parents, [d, s]).into_iter().filter(|&at| unsure[at]).count()).unwrap_or(0),
            trouble: None,
        },
    }
}

/// The two and their recorded ancestors.
fn above(parents: &[(Option<usize>, Option<usize>)], of: [usize; 2]) -> Vec<usize> {
    let mut all: Vec<usize> = of.to_vec();
    let mut at = 0;
    while let Some(&animal) = all.get(at) {
        at += 1;
        for parent in parents[animal].0.into_iter().chain(parents[animal].1) {
            if !all.contains(&parent) {
                all.push(parent);
            }
        }
    }
    all
}
