//! What a pairing can give.

use super::{loci_of, locus_name, look_words};
use crate::book::Book;
use crate::genes::{Conflict, Family, Genotype, Told, TraitTold};
use crate::ids::AnimalId;
use crate::views::parts::{NO_MALE, Parents};
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
    let of = apart_groups(&family, &cross, apart, &mut all.loci);
    let spread = Spread::of(&family, &cross, &of, all.eggs)?;
    (all.rows, all.more, all.more_share, all.unviable) = (spread.rows, spread.more, spread.more_share, spread.unviable);
    Ok(())
}

/// The groups in which young can differ and that are told apart; each is listed with whether it is.
fn apart_groups(
    family: &Family,
    cross: &Cross<'_>,
    apart: Option<&[String]>,
    loci: &mut Vec<(String, bool)>,
) -> Vec<usize> {
    let mut of = Vec::new();
    for group in 0..family.groups.len() {
        if cross.looks_at(group) > 1 || cross.genotypes(group).iter().skip(1).any(|share| *share > 0.0) {
            let name = loci_of(family, group).into_iter().map(locus_name).collect::<Vec<_>>().join(" + ");
            let chosen = apart.is_none_or(|apart| apart.contains(&name));
            loci.push((name, chosen));
            if chosen {
                of.push(group);
            }
        }
    }
    of
}

/// Looks with their shares.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spread {
    /// The commonest first.
    pub rows: Vec<OutcomeRow>,
    /// Rows left out, and their share of all eggs.
    pub more: usize,
    pub more_share: f64,
    /// Share of eggs whose young do not live.
    pub unviable: f64,
}

impl Spread {
    fn of(family: &Family, cross: &Cross<'_>, of: &[usize], eggs: u32) -> Result<Spread, Refusal> {
        let looks = cross.looks(of)?;
        let rows = looks.rows.iter().take(ROWS).map(|row| outcome_row(family, cross, of, row, eggs));
        Ok(Spread {
            rows: rows.collect::<Result<_, _>>()?,
            more: looks.rows.len().saturating_sub(ROWS),
            more_share: looks.rows.iter().skip(ROWS).map(|row| row.share).sum(),
            unviable: looks.unviable,
        })
    }
}

/// What eggs can give over everybody who may be their parents, before any of the young was looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Mixed {
    /// What is mixed, each in words; all count alike (our choice).
    pub of: Vec<String>,
    /// An unknown male is possible too. Nothing can be told of his young, so he is left out.
    pub without_unknown: bool,
    pub eggs: u32,
    pub spread: Spread,
    pub conflicts: Vec<Conflict>,
}

/// `None` where fewer than two possibilities can be told, or nothing is entered of anybody.
pub(super) fn mixed(book: &Book, parents: &Parents, eggs: u32) -> Result<Option<Mixed>, Refusal> {
    let ids: Vec<AnimalId> = parents.dams.iter().chain(&parents.sires).map(|(id, _)| id.clone()).collect();
    let family = Family::of(book, &ids, &[])?;
    let numbered = |(id, name): &(AnimalId, String)| Some((family.number(id)?, name.clone()));
    let dams: Vec<(usize, String)> = parents.dams.iter().filter_map(numbered).collect();
    let sires: Vec<(usize, String)> = parents.sires.iter().filter_map(numbered).collect();
    let mut pairs: Vec<((usize, usize), String)> = Vec::new();
    for (dam, her) in &dams {
        let called = |his: &str| if dams.len() > 1 { format!("{her} × {his}") } else { his.to_owned() };
        pairs.extend(sires.iter().filter(|(sire, _)| sire != dam).map(|(sire, his)| ((*dam, *sire), called(his))));
        // The dam twice: she alone.
        pairs.extend(parents.no_male.then(|| ((*dam, *dam), called(NO_MALE))));
    }
    if pairs.len() < 2 || family.says_nothing() {
        return Ok(None);
    }
    let share = 1.0 / pairs.len() as f64;
    let (mut cases, mut conflicts) = (Vec::new(), Vec::new());
    for (pair, _) in &pairs {
        let found = family.weigh(&[], Some(*pair))?;
        conflicts.extend(family.conflicts(book, &found));
        cases.extend(found.pair.into_iter().map(|(chance, joints)| (chance * share, joints)));
    }
    let eggs = eggs.clamp(1, 200);
    let spread = if conflicts.is_empty() {
        let cross = Cross::new(&family.groups, cases);
        let of = apart_groups(&family, &cross, None, &mut Vec::new());
        Spread::of(&family, &cross, &of, eggs)?
    } else {
        Spread::default()
    };
    let of = pairs.into_iter().map(|(_, called)| called).collect();
    Ok(Some(Mixed { of, without_unknown: parents.unknown_male, eggs, spread, conflicts }))
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
            let ([dam, sire], several) = book.certain_parents(animal);
            unsure[at] = several;
            let numbered = |of: Option<AnimalId>| of.and_then(|id| number.get(&id).copied());
            (numbered(dam), numbered(sire))
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
