//! Traits by key: shipped ones, the barn's word on them, and its own.

use crate::acts::TraitCard;
use crate::book::Book;
use crate::ids::TraitId;
use crate::records::Trait;
use crate::words::{Together, TraitMode, TraitOn};
use trade::genetics::starter::{self, TRAITS};
use trade::genetics::{Mode, On};
use trade::species::{Kin, Profile};

/// A trait as it holds in this barn.
#[derive(Clone, Debug, PartialEq)]
pub struct TraitFacts {
    /// What records name it by: a trait record's id or a shipped trait's key.
    pub key: String,
    /// Everything of it.
    pub card: TraitCard,
    /// How it is inherited.
    pub mode: Mode,
    /// Whether a shipped trait stands behind it.
    pub shipped: bool,
    /// The barn's own record of it.
    pub record: Option<TraitId>,
}

impl TraitFacts {
    /// Where its locus lies.
    pub fn on(&self) -> On {
        match self.card.on {
            Some(TraitOn::Z) => On::Z,
            Some(TraitOn::X) => On::X,
            Some(TraitOn::Autosome) | None => On::Autosome,
        }
    }

    /// What animals with two copies of an incomplete dominant are called.
    pub fn two_name(&self) -> String {
        if self.card.two.trim().is_empty() { format!("super {}", self.card.name) } else { self.card.two.clone() }
    }

    fn shipped(shipped: &starter::Trait) -> TraitFacts {
        let (together, both) = match shipped.locus_of {
            Some((_, starter::Together::Called(name))) => (Some(Together::Both), name),
            Some((_, starter::Together::AsFirst)) => (Some(Together::First), ""),
            None => (None, ""),
        };
        let card = TraitCard {
            species: shipped.species.to_owned(),
            name: shipped.name.to_owned(),
            mode: Some(match shipped.mode {
                Mode::Recessive => TraitMode::Recessive,
                Mode::IncompleteDominant => TraitMode::IncompleteDominant,
                Mode::Dominant => TraitMode::Dominant,
            }),
            two: shipped.two.to_owned(),
            unviable: shipped.unviable,
            on: Some(match shipped.on {
                On::Autosome => TraitOn::Autosome,
                On::Z => TraitOn::Z,
                On::X => TraitOn::X,
            }),
            locus_of: shipped.locus_of.map(|(first, _)| first.to_owned()),
            together,
            both: both.to_owned(),
            source: shipped.source.to_owned(),
            ..TraitCard::default()
        };
        TraitFacts { key: shipped.key.to_owned(), card, mode: shipped.mode, shipped: true, record: None }
    }

    fn own(own: &Trait) -> TraitFacts {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        let card = TraitCard {
            species: text(&own.species),
            name: own.name.clone().unwrap_or_else(|| own.id.to_string()),
            mode: own.mode,
            two: text(&own.two),
            unviable: own.unviable,
            on: own.on,
            locus_of: own.locus_of.clone(),
            together: own.together,
            both: text(&own.both),
            linked_to: own.linked_to.clone(),
            recombination_pm: own.recombination_pm.map(|share| share.min(500)),
            source: text(&own.source),
            unused: own.unused,
        };
        let mode = match own.mode {
            Some(TraitMode::Dominant) => Mode::Dominant,
            Some(TraitMode::IncompleteDominant) => Mode::IncompleteDominant,
            Some(TraitMode::Recessive) | None => Mode::Recessive,
        };
        let key = own.of.clone().unwrap_or_else(|| own.id.to_string());
        let shipped = own.of.as_deref().and_then(starter::Trait::find).is_some();
        TraitFacts { key, card, mode, shipped, record: Some(own.id.clone()) }
    }
}

impl Book {
    /// The trait of a key: the barn's word on it where there is one.
    pub fn trait_facts(&self, key: &str) -> Option<TraitFacts> {
        let over = self.own_traits().into_iter().find(|own| own.of.as_deref() == Some(key));
        let own = over.or_else(|| self.own_trait(&key.into()));
        own.map(TraitFacts::own).or_else(|| starter::Trait::find(key).map(TraitFacts::shipped))
    }

    /// Every trait of a species, and of the species it was made from, by name; those not used in this barn among them.
    pub fn traits_of(&self, species: &str) -> Vec<TraitFacts> {
        let base = self.own_species(&species.into()).and_then(|own| own.profile.clone());
        let wanted = |of: &str| of == species || Some(of) == base.as_deref();
        let own = self.own_traits();
        let over = |key: &str| own.iter().any(|own| own.of.as_deref() == Some(key));
        let shipped = TRAITS.iter().filter(|shipped| !over(shipped.key)).map(TraitFacts::shipped);
        let mut all: Vec<TraitFacts> = shipped.chain(own.iter().map(|own| TraitFacts::own(own))).collect();
        all.retain(|facts| wanted(&facts.card.species));
        // Two phones may both have changed one shipped trait, its name too: the first stands, as for `trait_facts`.
        crate::order::keep_first(&mut all, |facts| facts.key.clone());
        all.sort_by(|a, b| (&a.card.name, &a.key).cmp(&(&b.card.name, &b.key)));
        all
    }

    /// The sex chromosome of a species' kin: colubrids are ZW, pythons XY (Gamble et al. 2017, Current Biology 27:2148).
    pub fn sex_chromosome(&self, species: &str) -> TraitOn {
        let profile: Profile = self.species_of(Some(species));
        if profile.kin == Kin::Python { TraitOn::X } else { TraitOn::Z }
    }
}
