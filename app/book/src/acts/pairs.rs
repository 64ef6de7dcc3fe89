//! Who was put with whom.

use super::animals::{gone_doubts, sex_doubts};
use super::cooling::warm_doubts;
use super::quarantine::apart_doubts;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, all_there, draft, fresh, in_order, not_future, real_mass_if};
use crate::book::Book;
use crate::ids::*;
use crate::read::BARN;
use crate::records::{BarnRules, BreedingRule, LockSeen, Pairing};
use crate::views::{being_treated, breeder};
use crate::words::Sex;
use chrono::NaiveDateTime;
use journal::Draft;
use trade::again::Rule;
use trade::breeders::Lack;
use trade::when::When;

/// Candidate dams introduced to candidate sires.
#[derive(Clone, Debug)]
pub struct Paired {
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    pub when: When,
    pub note: String,
}

impl Act for Paired {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        parents(book, &self.dams, &self.sires)?;
        if self.dams.is_empty() {
            return Err(Refusal::Missing { what: "the female" });
        }
        not_future("pairing", self.when, now)?;
        let row = Row::new()
            .with(Pairing::dams, &self.dams)
            .with(Pairing::sires, &self.sires)
            .with(Pairing::when, self.when)
            .with(Pairing::note, &self.note);
        draft("Paired", vec![row.create(book, &fresh(book, mint))])
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = parent_doubts(book, &self.dams, &self.sires);
        doubts.extend(gone_doubts(book, self.dams.iter().chain(&self.sires), Some(self.when)));
        doubts.extend(young_doubts(book, self.dams.iter().chain(&self.sires), Some(self.when)));
        let both: Vec<Thing> = self.dams.iter().chain(&self.sires).map(AnimalId::thing).collect();
        doubts.extend(apart_doubts(book, both.iter(), None, self.when));
        doubts.extend(warm_doubts(book, self.dams.iter().chain(&self.sires), self.when));
        doubts.extend(ready_doubts(book, self.dams.iter().chain(&self.sires), self.when, now));
        let together =
            |other: &&Pairing| other.ended.is_none() && self.sires.iter().any(|sire| other.sires.contains(sire));
        let already =
            self.dams.iter().find(|dam| book.pairings_of(dam).filter(|p| p.dams.contains(dam)).any(|p| together(&p)));
        doubts.extend(already.map(|dam| Doubt::TogetherAlready { name: book.animal_name(dam) }));
        doubts
    }
}

/// They are there, and none is on both sides.
pub(super) fn parents(book: &Book, dams: &[AnimalId], sires: &[AnimalId]) -> Result<(), Refusal> {
    all_there(book, dams)?;
    all_there(book, sires)?;
    for ids in [dams, sires] {
        if let Some((_, id)) = ids.iter().enumerate().find(|(i, id)| ids[..*i].contains(id)) {
            return Err(Refusal::Twice { what: book.animal_name(id) });
        }
    }
    match sires.iter().find(|sire| dams.contains(sire)) {
        Some(both) => Err(Refusal::SireIsDam { name: book.animal_name(both) }),
        None => Ok(()),
    }
}

pub(super) fn parent_doubts(book: &Book, dams: &[AnimalId], sires: &[AnimalId]) -> Vec<Doubt> {
    let mut doubts = sex_doubts(book, dams, sires);
    let mut species = dams.iter().chain(sires).filter_map(|id| book.animal(id)?.species.as_ref());
    if let Some(first) = species.next()
        && species.any(|other| other != first)
    {
        doubts.push(Doubt::SpeciesDiffer);
    }
    doubts
}

/// Younger than this, in days, no reptile here breeds (common practice, no source): a slip in a date or a name.
const BREEDS_AT_DAYS: i64 = 180;

/// Asks about parents that hatched shortly before `when`.
pub(super) fn young_doubts<'a>(
    book: &Book,
    parents: impl Iterator<Item = &'a AnimalId>,
    when: Option<When>,
) -> Vec<Doubt> {
    let Some(when) = when else { return Vec::new() };
    let young = parents.filter_map(|id| {
        let days = (when.date() - book.animal(id)?.born?.date()).num_days();
        (0..BREEDS_AT_DAYS).contains(&days).then(|| Doubt::TooYoung { name: book.animal_name(id), days })
    });
    young.collect()
}

/// Copulation seen.
#[derive(Clone, Debug)]
pub struct LockNoted {
    pub pairing: PairingId,
    pub when: When,
}

impl Act for LockNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let pairing = book.pairing(&self.pairing).ok_or_else(|| Refusal::NoSuch { thing: self.pairing.thing() })?;
        not_future("lock", self.when, now)?;
        in_order(("the introduction", pairing.when), ("the lock", Some(self.when)))?;
        in_order(("the lock", Some(self.when)), ("the separation", pairing.ended))?;
        let row = Row::new().with(LockSeen::pairing, &self.pairing).with(LockSeen::when, self.when);
        draft("LockSeen", vec![row.observe()])
    }
}

/// Separated.
#[derive(Clone, Debug)]
pub struct PairingEnded {
    pub pairing: PairingId,
    pub when: When,
}

impl Act for PairingEnded {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let pairing = book.pairing(&self.pairing).ok_or_else(|| Refusal::NoSuch { thing: self.pairing.thing() })?;
        not_future("separation", self.when, now)?;
        in_order(("the introduction", pairing.when), ("the separation", Some(self.when)))?;
        locks_before(book, &self.pairing, Some(self.when))?;
        let change = Row::new().with(Pairing::ended, self.when).change(book, self.pairing.as_str());
        draft("PairingEnded", change.into_iter().collect())
    }
}

fn locks_before(book: &Book, pairing: &PairingId, ended: Option<When>) -> Result<(), Refusal> {
    book.locks(pairing).try_for_each(|lock| in_order(("a lock", lock.when), ("the separation", ended)))
}

/// The barn's own rule for a second clutch.
#[derive(Clone, Copy, Debug)]
pub struct AgainRuleSet {
    pub rule: Rule,
}

impl Act for AgainRuleSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let Rule { rest_days, until_days, weight_pct, meals } = self.rule;
        if rest_days > until_days || until_days > 365 {
            return Err(Refusal::Missing { what: "days of rest that end before the last day, at most 365" });
        }
        if weight_pct > 100 || meals > 50 {
            return Err(Refusal::Missing { what: "at most 100 percent and at most 50 meals" });
        }
        let now = book.again_rule();
        let row = Row::new()
            .changed(BarnRules::again_rest_days, rest_days, now.rest_days)
            .changed(BarnRules::again_until_days, until_days, now.until_days)
            .changed(BarnRules::again_weight_pct, weight_pct, now.weight_pct)
            .changed(BarnRules::again_meals, meals, now.meals);
        draft("AgainRuleSet", row.change(book, BARN).into_iter().collect())
    }
}

/// Refuses a species that is neither shipped nor the barn's own.
pub(super) fn known_species(book: &Book, species: &str) -> Result<(), Refusal> {
    let known = book.all_species().iter().any(|(key, _)| key == species);
    if known { Ok(()) } else { Err(Refusal::Missing { what: "the species" }) }
}

/// The barn's own rule for who may breed, of one species and sex.
#[derive(Clone, Debug)]
pub struct BreedingRuleSet {
    /// A species record's id or a shipped profile's key.
    pub species: String,
    pub sex: Sex,
    pub rule: trade::breeders::Rule,
}

impl Act for BreedingRuleSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        known_species(book, &self.species)?;
        if self.sex == Sex::Unknown {
            return Err(Refusal::Missing { what: "for which sex it is" });
        }
        let trade::breeders::Rule { age_months, mass, meals, cooled } = self.rule;
        if age_months.is_some_and(|months| months > 600) || meals.is_some_and(|meals| meals > 50) {
            return Err(Refusal::Missing { what: "at most 600 months and at most 50 meals" });
        }
        real_mass_if("The least weight", mass)?;
        let row = Row::new()
            .with(BreedingRule::species, self.species.as_str())
            .with(BreedingRule::sex, self.sex)
            .with(BreedingRule::age_months, age_months)
            .with(BreedingRule::mass, mass)
            .with(BreedingRule::meals, meals)
            .with(BreedingRule::cooled, cooled);
        let id = BreedingRule::id_of(&self.species, self.sex);
        let stands = book.breeding_rule(&id).is_some();
        // A rule that asks nothing is none, as long as there was none.
        let change = row.change(book, id.as_str()).filter(|_| stands || self.rule.asks());
        draft("BreedingRuleSet", change.into_iter().collect())
    }
}

/// A pairing so many days ago is asked about by what stands today; of an older one that says nothing.
const ASKED_FOR_DAYS: i64 = 1;

/// Asks about who is being treated, and who is not ready by the barn's own rule. Quarantine, cooling and eggs to come are
/// asked about, or not, by themselves.
fn ready_doubts<'a>(
    book: &Book,
    animals: impl Iterator<Item = &'a AnimalId> + Clone,
    when: When,
    now: NaiveDateTime,
) -> Vec<Doubt> {
    if (now.date() - when.date()).num_days() > ASKED_FOR_DAYS {
        return Vec::new();
    }
    let asked = |lack: &Lack| match lack {
        Lack::Age { .. } | Lack::Born | Lack::Weight { .. } | Lack::Weighing { .. } | Lack::Meals { .. } => true,
        Lack::NotCooled => true,
        Lack::Cool | Lack::Warm(_) | Lack::Apart | Lack::Treated | Lack::Gravid => false,
    };
    let treated = animals.clone().filter(|id| being_treated(book, id, now));
    let mut names: Vec<String> = treated.map(|id| book.animal_name(id)).collect();
    crate::order::sort(&mut names, Clone::clone);
    let not_yet = animals.filter_map(|id| {
        let row = breeder(book, id, now)?;
        let lacks: Vec<Lack> = row.lacks.into_iter().filter(asked).collect();
        (!lacks.is_empty()).then_some((row.name, lacks))
    });
    let mut of: Vec<(String, Vec<Lack>)> = not_yet.collect();
    crate::order::sort(&mut of, |(name, _)| name.clone());
    let treated = (!names.is_empty()).then(|| Doubt::BeingTreated { names: names.join(", ") });
    let not_yet = (!of.is_empty()).then_some(Doubt::NotToBreed { of });
    treated.into_iter().chain(not_yet).collect()
}

/// All of a pairing that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PairingCard {
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    /// Introduced.
    pub when: Option<When>,
    /// Separated.
    pub ended: Option<When>,
    pub note: String,
}

impl PairingCard {
    /// As it stands in the book.
    pub fn of(book: &Book, pairing: &PairingId) -> Option<PairingCard> {
        book.pairing(pairing).map(|p| PairingCard {
            dams: p.dams.clone(),
            sires: p.sires.clone(),
            when: p.when,
            ended: p.ended,
            note: p.note.clone().unwrap_or_default(),
        })
    }
}

/// Anything of a pairing corrected, separated or put together again; only what differs is written.
#[derive(Clone, Debug)]
pub struct PairingEdited {
    pub pairing: PairingId,
    pub card: PairingCard,
}

impl Act for PairingEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let card = &self.card;
        super::there(book, self.pairing.clone())?;
        parents(book, &card.dams, &card.sires)?;
        if card.dams.is_empty() {
            return Err(Refusal::Missing { what: "the female" });
        }
        for (what, when) in [("pairing", card.when), ("separation", card.ended)] {
            when.map_or(Ok(()), |when| not_future(what, when, now))?;
        }
        in_order(("the introduction", card.when), ("the separation", card.ended))?;
        for lock in book.locks(&self.pairing) {
            in_order(("the introduction", card.when), ("a lock", lock.when))?;
        }
        locks_before(book, &self.pairing, card.ended)?;
        let row = Row::new()
            .with(Pairing::dams, &card.dams)
            .with(Pairing::sires, &card.sires)
            .with(Pairing::when, card.when)
            .with(Pairing::ended, card.ended)
            .with(Pairing::note, &card.note);
        draft("PairingEdited", row.change(book, self.pairing.as_str()).into_iter().collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let PairingCard { dams, sires, when, .. } = &self.card;
        let mut doubts = parent_doubts(book, dams, sires);
        doubts.extend(young_doubts(book, dams.iter().chain(sires), *when));
        doubts
    }
}
