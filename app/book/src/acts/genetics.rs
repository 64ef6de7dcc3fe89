//! Traits, and what is said and seen of them in animals.

use super::row::Row;
use super::{Act, Mint, Refusal, draft, fresh, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Genotype, Trait};
use crate::words::{Together, TraitKnown, TraitMode, TraitOn, TraitSeen};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::when::When;

/// All of a trait that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TraitCard {
    pub species: String,
    pub name: String,
    pub mode: Option<TraitMode>,
    pub two: String,
    pub unviable: bool,
    pub on: Option<TraitOn>,
    pub locus_of: Option<String>,
    pub together: Option<Together>,
    pub both: String,
    pub linked_to: Option<String>,
    /// 0 to 500
    pub recombination_pm: Option<u32>,
    pub source: String,
    pub unused: bool,
}

/// A trait added, or changed: its own, or the barn's word on a shipped one.
#[derive(Clone, Debug)]
pub struct TraitSet {
    /// A trait record's id or a shipped trait's key; `None`: a new one.
    pub key: Option<String>,
    pub card: TraitCard,
}

impl Act for TraitSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let card = &self.card;
        if card.name.trim().is_empty() {
            return Err(Refusal::Missing { what: "the trait's name" });
        }
        if card.species.is_empty() {
            return Err(Refusal::Missing { what: "the species" });
        }
        let known = self.key.as_deref().and_then(|key| book.trait_facts(key));
        // A mode that a newer program wrote reads as none, and stays.
        let unread = known.as_ref().is_some_and(|known| known.card.mode.is_none());
        if card.mode.is_none() && !unread {
            return Err(Refusal::Missing { what: "how the trait is inherited" });
        }
        if card.recombination_pm.is_some_and(|share| share > 500) {
            return Err(Refusal::BadShare { what: "The recombination share", most: 50 });
        }
        for other in card.locus_of.iter().chain(&card.linked_to) {
            if Some(other) == self.key.as_ref() {
                return Err(Refusal::InItself { name: card.name.clone() });
            }
            if book.trait_facts(other).is_none() {
                return Err(Refusal::NoSuch { thing: Thing::new(Kind::Trait, other.as_str()) });
            }
        }
        if card.locus_of.is_some() && card.locus_of == card.linked_to {
            return Err(Refusal::Twice { what: "The other trait".to_owned() });
        }
        if self.key.is_some() && known.is_none() {
            let key = self.key.as_deref().unwrap_or_default();
            return Err(Refusal::NoSuch { thing: Thing::new(Kind::Trait, key) });
        }
        if known.as_ref().is_some_and(|known| known.card == *card) {
            return Err(Refusal::NothingChanged);
        }
        let row = Row::new()
            .with(Trait::species, &card.species)
            .with(Trait::name, &card.name)
            .with(Trait::mode, card.mode)
            .with(Trait::two, &card.two)
            .with(Trait::unviable, card.unviable)
            .with(Trait::on, card.on)
            .with(Trait::locus_of, card.locus_of.as_ref())
            .with(Trait::together, card.together.filter(|_| card.locus_of.is_some()))
            .with(Trait::both, &card.both)
            .with(Trait::linked_to, card.linked_to.as_ref())
            .with(Trait::recombination_pm, card.recombination_pm.filter(|_| card.linked_to.is_some()))
            .with(Trait::source, &card.source)
            .with(Trait::unused, card.unused);
        let own = known.as_ref().and_then(|known| known.record.clone());
        let set = match own {
            Some(id) => row.change(book, id.as_str()),
            None => {
                let row = row.with(Trait::of, self.key.as_ref());
                Some(row.create(book, &fresh(book, mint)))
            }
        };
        draft("TraitSet", set.into_iter().collect())
    }
}

/// What is said of one trait in one animal, whole: what is not said is taken back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GenotypeLine {
    pub animal: Option<AnimalId>,
    /// A trait record's id or a shipped trait's key.
    pub of_trait: String,
    pub seen: Option<TraitSeen>,
    pub known: Option<TraitKnown>,
    /// Of what is possible, in thousandths: 1 to 999.
    pub chance_pm: Option<u32>,
    /// Where it is known from, in the keeper's words.
    pub why: String,
}

impl GenotypeLine {
    /// As it stands in the book. Two devices may each have made a record; of each entry the newest holds.
    pub fn of(book: &Book, animal: &AnimalId, of_trait: &str) -> GenotypeLine {
        let all = || book.genotypes_of(animal).filter(|g| g.of_trait.as_deref() == Some(of_trait));
        let known = all().find(|g| g.known.is_some());
        GenotypeLine {
            animal: Some(animal.clone()),
            of_trait: of_trait.to_owned(),
            seen: all().find_map(|g| g.seen),
            known: known.and_then(|g| g.known),
            chance_pm: known.and_then(|g| g.chance_pm),
            why: known.and_then(|g| g.why.clone()).or_else(|| all().find_map(|g| g.why.clone())).unwrap_or_default(),
        }
    }

    /// Whether anything is said.
    pub fn says(&self) -> bool {
        self.seen.is_some() || self.known.is_some()
    }
}

/// Looks ticked and genotypes entered, of one animal or of a whole clutch's babies.
#[derive(Clone, Debug)]
pub struct GenotypesNoted {
    pub lines: Vec<GenotypeLine>,
    pub when: When,
}

impl Act for GenotypesNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        super::not_future("look", self.when, now)?;
        let mut sets: Vec<DraftSet> = Vec::new();
        for line in &self.lines {
            let animal = line.animal.as_ref().ok_or(Refusal::Missing { what: "the animal" })?;
            there(book, animal.clone())?;
            if book.trait_facts(&line.of_trait).is_none() {
                return Err(Refusal::NoSuch { thing: Thing::new(Kind::Trait, line.of_trait.as_str()) });
            }
            let possible = line.known == Some(TraitKnown::Possible);
            if possible && line.chance_pm.is_none_or(|chance| chance == 0 || chance >= 1000) {
                return Err(Refusal::BadShare { what: "The chance of a possible het", most: 99 });
            }
            let row = Row::new()
                .with(Genotype::seen, line.seen)
                .with(Genotype::known, line.known)
                .with(Genotype::chance_pm, line.chance_pm.filter(|_| possible))
                .with(Genotype::why, &line.why);
            let mut stand = book.genotypes_of(animal).filter(|g| g.of_trait.as_deref() == Some(&line.of_trait));
            let before = stand.next();
            // What another device made beside it is settled by this.
            let silent =
                || Row::new().with(Genotype::seen, None::<TraitSeen>).with(Genotype::known, None::<TraitKnown>);
            sets.extend(stand.filter_map(|other| silent().change(book, other.id.as_str())));
            match before {
                Some(before) => {
                    let change = row.change(book, before.id.as_str());
                    sets.extend(change);
                }
                None if !line.says() => {}
                None => {
                    let row = row
                        .with(Genotype::animal, animal)
                        .with(Genotype::of_trait, &line.of_trait)
                        .with(Genotype::when, self.when);
                    sets.push(row.create(book, &fresh(book, mint)));
                }
            }
        }
        draft("GenotypesNoted", sets)
    }
}
