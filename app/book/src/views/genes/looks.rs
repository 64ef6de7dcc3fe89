//! The babies of a clutch: what each looks like, and what that says of everybody.

use super::outcomes::{Mixed, mixed};
use super::{loci_of, locus_name, look_words};
use crate::acts::GenotypeLine;
use crate::book::Book;
use crate::genes::{Conflict, Family, Genotype, TraitTold};
use crate::ids::{AnimalId, ClutchId};
use crate::records::Counts;
use crate::views::parts::{NO_MALE, Parents, UNKNOWN_MALE, parents};
use crate::words::TraitSeen;
use trade::genetics::{Cross, Evidence, Findings, Look, Parentage, Refusal, Shows, Sire, What, Who, fair};

/// A clutch's babies with their looks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClutchLooks {
    pub number: String,
    pub dams: Vec<(AnimalId, String)>,
    pub sires: Vec<(AnimalId, String)>,
    /// How several possibilities are weighed; `None` where there is one.
    pub several: Option<Several>,
    /// Of eggs of which no baby has a record yet: what they can be over all possibilities.
    pub mixed: Option<Mixed>,
    pub babies: Vec<Baby>,
    /// What can be told apart.
    pub loci: Vec<LookLocus>,
    /// Other traits of the species, by key and name.
    pub other: Vec<(String, String)>,
    pub says: Vec<Says>,
    pub trouble: Option<String>,
}

/// What is to be known of a clutch of which several may be the sire.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Several {
    pub unknown_male: bool,
    pub no_male: bool,
    /// Possible parents of whom nothing is entered: they count as carrying nothing.
    pub silent: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Baby {
    pub animal: AnimalId,
    pub name: String,
    /// By locus the number of the look ticked.
    pub looks: Vec<Option<usize>>,
    /// Its probable genotype.
    pub text: String,
}

/// A locus to look at.
#[derive(Clone, Debug, PartialEq)]
pub struct LookLocus {
    pub name: String,
    pub choices: Vec<LookChoice>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct LookChoice {
    /// Empty: normal.
    pub words: String,
    /// What a tick of it says of each trait.
    pub seen: Vec<(String, TraitSeen)>,
}

/// What the babies say back.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// Of a possible parent: from, to; proved when now certain.
    Changed {
        name: String,
        of_trait: String,
        from: f64,
        to: f64,
        proved: bool,
    },
    /// Each possible sire (or dam) with its chance before and now.
    Parent {
        names: Vec<(String, f64, f64)>,
        dams: bool,
    },
    Fit(Fit),
    Impossible(Conflict),
    /// It carries what nobody entered.
    Surprise {
        name: String,
        traits: String,
    },
}

/// Counts against expected shares.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    pub locus: String,
    /// Look, counted, expected.
    pub looks: Vec<(String, u32, f64)>,
    pub p: f64,
    /// Whether so few could have told anything at all.
    pub telling: bool,
}

/// A clutch's babies; `also` are traits to tell apart whatever the parents carry.
pub fn clutch_looks(book: &Book, id: &ClutchId, also: &[String]) -> Option<ClutchLooks> {
    book.clutch(id)?;
    let both = parents(book, id);
    let mut all = ClutchLooks {
        number: book.clutch_number(id),
        several: (both.sire_names().len() > 1).then(|| several(book, &both)),
        dams: both.dams.clone(),
        sires: both.sires.clone(),
        ..ClutchLooks::default()
    };
    let told = told(book, id, also, &mut all).and_then(|()| {
        if all.babies.is_empty() {
            all.mixed = mixed(book, &both, eggs_of(book, id))?;
        }
        Ok(())
    });
    all.trouble = told.err().map(|why| why.to_string());
    Some(all)
}

fn several(book: &Book, both: &Parents) -> Several {
    let silent =
        |(id, name): &(AnimalId, String)| (book.genotype_said(id) == Genotype::NotEntered).then(|| name.clone());
    let silent = both.dams.iter().chain(&both.sires).filter_map(silent).collect();
    Several { unknown_male: both.unknown_male, no_male: both.no_male, silent }
}

/// The eggs that may hatch, as counted; else as many as are usual.
fn eggs_of(book: &Book, id: &ClutchId) -> u32 {
    let counted = book.same_clutch(id).into_iter().find_map(|clutch| clutch.counts()).map(Counts::shelled);
    let usual = || book.clutch(id).map_or(1, |clutch| book.clutch_profile(clutch).usual_eggs());
    counted.filter(|n| *n > 0).unwrap_or_else(usual)
}

/// The looks that a locus' genotypes can have, normal first.
fn choices(family: &Family, group: usize, at: usize) -> Vec<Look> {
    let mut looks: Vec<Look> = Vec::new();
    for state in 0..family.groups[group].states().len() as u16 {
        let look = family.groups[group].look(state)[at].clone();
        if family.groups[group].lives(state) && !looks.contains(&look) {
            looks.push(look);
        }
    }
    looks.sort_by_key(|look| (!look.is_empty(), look.len()));
    looks
}

fn seen(look: &Look, allele: u8) -> TraitSeen {
    match look.iter().find(|(shown, _)| *shown == allele) {
        Some((_, Shows::Two)) => TraitSeen::Two,
        Some(_) => TraitSeen::Shows,
        None => TraitSeen::No,
    }
}

fn told(book: &Book, id: &ClutchId, also: &[String], all: &mut ClutchLooks) -> Result<(), Refusal> {
    let records = book.same_clutch(id);
    let first = records.first().map_or(id, |clutch| &clutch.id).clone();
    let mut of: Vec<AnimalId> = all.dams.iter().chain(&all.sires).map(|(id, _)| id.clone()).collect();
    let mut young: Vec<AnimalId> = Vec::new();
    for egg in records.iter().flat_map(|clutch| book.eggs_of(&clutch.id)) {
        young.extend(book.young_of(&egg.id).map(|animal| animal.id.clone()));
    }
    of.extend(young.iter().cloned());
    let species = book.clutch(id).and_then(|clutch| book.clutch_species(clutch)).unwrap_or_default();
    let family = Family::of(book, &of, also)?;
    let babies: Vec<usize> = young.iter().filter_map(|id| family.number(id)).collect();
    let parents: Vec<usize> = all.dams.iter().chain(&all.sires).filter_map(|(id, _)| family.number(id)).collect();
    let asked: Vec<usize> = babies.iter().chain(&parents).copied().collect();
    let mut silent = std::collections::BTreeSet::from_iter(babies.iter().copied());
    for &baby in &babies {
        silent.extend(family.descendants(baby));
    }
    let before_family = family.without(|at| silent.contains(&at));
    let found = family.weigh(&asked, None)?;
    let before = before_family.weigh(&asked, None)?;

    // Where the young can be other than normal, or one was ticked, or somebody asked.
    let about = |group: usize, at: usize| {
        let ticked =
            |baby: &usize| family.pedigree.animals[*baby].known.iter().any(|k| (k.group, k.locus) == (group, at));
        let open = |baby: &usize| {
            let chances = before.chances[group][*baby].as_deref().unwrap_or_default();
            chances.iter().enumerate().any(|(s, c)| *c > 0.0 && !family.groups[group].look(s as u16)[at].is_empty())
        };
        babies.iter().any(|baby| ticked(baby) || open(baby))
    };
    for locus in &family.loci {
        let asked = locus.traits.iter().any(|facts| also.contains(&facts.key));
        if !asked && !about(locus.group, locus.at) {
            continue;
        }
        let choices = choices(&family, locus.group, locus.at).into_iter().map(|look| LookChoice {
            words: look_words(&locus.traits, &look),
            seen: (1u8..).zip(&locus.traits).map(|(allele, f)| (f.key.clone(), seen(&look, allele))).collect(),
        });
        all.loci.push(LookLocus { name: locus_name(&locus.traits), choices: choices.collect() });
    }
    for (id, &number) in young.iter().zip(&babies) {
        let told = family.told(|group| found.chances[group][number].as_deref());
        let looks = all.loci.iter().map(|locus| locus.choices.iter().position(|choice| ticked(book, id, choice)));
        all.babies.push(Baby {
            animal: id.clone(),
            name: book.animal_name(id),
            looks: looks.collect(),
            text: crate::genes::line(&told),
        });
    }
    let shown: Vec<&String> =
        all.loci.iter().flat_map(|l| &l.choices).flat_map(|c| &c.seen).map(|(key, _)| key).collect();
    let mut other = book.traits_of(&species);
    other.retain(|facts| !facts.card.unused && !shown.contains(&&facts.key));
    all.other = other.into_iter().map(|facts| (facts.key, facts.card.name)).collect();
    all.says = says(book, &family, &first, &babies, &parents, (&before, &found))?;
    Ok(())
}

fn ticked(book: &Book, animal: &AnimalId, choice: &LookChoice) -> bool {
    choice.seen.iter().all(|(key, seen)| GenotypeLine::of(book, animal, key).seen == Some(*seen))
}

fn says(
    book: &Book,
    family: &Family,
    clutch: &ClutchId,
    babies: &[usize],
    parents: &[usize],
    (before, now): (&Findings, &Findings),
) -> Result<Vec<Says>, Refusal> {
    let name = |at: usize| book.animal_name(&family.animals[at]);
    let mut says: Vec<Says> = family.conflicts(book, now).into_iter().map(Says::Impossible).collect();
    for surprise in &now.surprises {
        if let Who::Animal(at) = surprise.who {
            let traits = loci_of(family, surprise.group).into_iter().map(locus_name).collect::<Vec<_>>().join(" + ");
            says.push(Says::Surprise { name: name(at), traits });
        }
    }
    let told = |findings: &Findings, at: usize| family.told(|group| findings.chances[group][at].as_deref());
    for &parent in parents {
        for new in told(now, parent) {
            let old = told(before, parent).into_iter().find(|old| old.facts.key == new.facts.key);
            let Some(from) = old.as_ref().map(TraitTold::in_question) else { continue };
            let to = new.in_question();
            if (from - to).abs() > 0.005 {
                let proved = to > 0.995 && from <= 0.995;
                says.push(Says::Changed {
                    name: name(parent),
                    of_trait: new.facts.card.name.clone(),
                    from,
                    to,
                    proved,
                });
            }
        }
    }
    for brood in family.broods_of(clutch) {
        let ways = &family.pedigree.broods[brood].parentages;
        for dams in [true, false] {
            let parent = |way: usize| if dams { ways[way].dam.into() } else { ways[way].sire };
            let mut weighed: Vec<(Sire, f64, f64)> = Vec::new();
            for way in 0..ways.len() {
                let (old, new) = (before.parentages[brood][way], now.parentages[brood][way]);
                match weighed.iter_mut().find(|(known, ..)| *known == parent(way)) {
                    Some((_, a, b)) => (*a, *b) = (*a + old, *b + new),
                    None => weighed.push((parent(way), old, new)),
                }
            }
            let called = |one: Sire| match one {
                Sire::Known(at) => name(at),
                Sire::Unknown => UNKNOWN_MALE.to_owned(),
                Sire::NoMale => NO_MALE.to_owned(),
            };
            if weighed.len() > 1 {
                let names = weighed.into_iter().map(|(one, old, new)| (called(one), old, new)).collect();
                says.push(Says::Parent { names, dams });
            }
        }
        let members: Vec<usize> =
            babies.iter().copied().filter(|&b| family.pedigree.animals[b].brood == Some(brood)).collect();
        let sure = (0..ways.len()).find(|&way| now.parentages[brood][way] > 0.995);
        // The dam twice: she alone.
        let of = |way: &Parentage| match way.sire {
            Sire::NoMale => way.dam.zip(way.dam),
            Sire::Known(_) | Sire::Unknown => way.dam.zip(way.sire.known()),
        };
        if let Some(pair) = sure.and_then(|way| of(&ways[way])) {
            says.extend(fits(family, &members, pair)?.into_iter().map(Says::Fit));
        }
    }
    Ok(says)
}

/// Of loci at which both parents are known for certain: whether the young fall as they should.
fn fits(family: &Family, babies: &[usize], pair: (usize, usize)) -> Result<Vec<Fit>, Refusal> {
    let found = family.weigh(&[], Some(pair))?;
    if found.pair.is_empty() {
        return Ok(Vec::new());
    }
    let cross = Cross::new(&family.groups, found.pair.clone());
    let mut fits = Vec::new();
    for locus in &family.loci {
        let sure = |(_, joints): &(f64, Vec<trade::genetics::Joint>)| {
            joints[locus.group].iter().any(|(_, _, chance)| *chance > 0.995)
        };
        if !found.pair.iter().all(sure) {
            continue;
        }
        let mut looks: Vec<(Look, u32, f64)> = Vec::new();
        let mut add = |look: Look, count: u32, share: f64| match looks.iter_mut().find(|(known, ..)| *known == look) {
            Some(known) => (known.1, known.2) = (known.1 + count, known.2 + share),
            None => looks.push((look, count, share)),
        };
        for (state, share) in (0..).zip(cross.genotypes(locus.group)) {
            if share > 1e-9 && family.groups[locus.group].lives(state) {
                add(family.groups[locus.group].look(state)[locus.at].clone(), 0, share);
            }
        }
        for &baby in babies {
            if let Some(look) = look_of(&family.pedigree.animals[baby].known, locus.group, locus.at, locus.traits.len())
            {
                add(look, 1, 0.0);
            }
        }
        let counts: Vec<u32> = looks.iter().map(|(_, count, _)| *count).collect();
        let shares: Vec<f64> = looks.iter().map(|(.., share)| *share).collect();
        let n: u32 = counts.iter().sum();
        let all: f64 = shares.iter().sum();
        if n == 0 || looks.len() < 2 {
            continue;
        }
        let fit = fair(&shares, &counts)?;
        fits.push(Fit {
            locus: locus_name(&locus.traits),
            looks: looks
                .iter()
                .map(|(look, count, share)| (look_words(&locus.traits, look), *count, f64::from(n) * share / all))
                .collect(),
            p: fit.p,
            telling: fit.least <= 0.05,
        });
    }
    Ok(fits)
}

/// The look ticked of a baby; `None` unless each allele of the locus was.
fn look_of(known: &[Evidence], group: usize, at: usize, alleles: usize) -> Option<Look> {
    let mut look = Look::new();
    for allele in 1..=u8::try_from(alleles).ok()? {
        let about = known.iter().filter(|k| (k.group, k.locus, k.allele) == (group, at, allele));
        let shows = about.into_iter().find_map(|k| if let What::Looks(shows) = k.what { Some(shows) } else { None })?;
        if shows != Shows::No {
            look.push((allele, shows));
        }
    }
    Some(look)
}
