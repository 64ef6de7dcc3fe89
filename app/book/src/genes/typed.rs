//! Words typed as looks, read as traits to be offered. Nothing of it counts before a keeper says so: what was typed may
//! name a look, a line or a hope.

use super::TraitFacts;
use crate::acts::GenotypeLine;
use crate::book::Book;
use crate::ids::AnimalId;
use crate::lower::lower;
use crate::words::{TraitKnown, TraitSeen};
use trade::genetics::Mode;

/// A trait that a keeper's words seem to name.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedTrait {
    /// As it was typed: `het anery`.
    pub words: String,
    pub facts: TraitFacts,
    /// What entering it would say.
    pub line: GenotypeLine,
}

/// The shortest beginning of a trait's name that is taken for it, in letters: "lav" for lavender.
const SHORTEST: usize = 3;
/// The chance of a possible het of which none is given, in thousandths.
const EVEN_PM: u32 = 500;

/// How what follows is carried; it holds for all names that follow, as the trade writes it.
#[derive(Clone, Copy, PartialEq)]
enum Carried {
    Shown,
    Het,
    Possible,
}

impl Book {
    /// The traits that an animal's looks, as typed, seem to name, and of which nothing is entered of it.
    pub fn typed_traits(&self, animal: &AnimalId) -> Vec<TypedTrait> {
        let Some(record) = self.animal(animal) else { return Vec::new() };
        let (Some(morph), Some(species)) = (&record.morph, &record.species) else { return Vec::new() };
        let mut traits = self.traits_of(species);
        traits.retain(|facts| !facts.card.unused);
        let mut found = read(morph, &traits);
        found.retain(|one| !GenotypeLine::of(self, animal, &one.facts.key).says());
        for one in &mut found {
            one.line.animal = Some(animal.clone());
        }
        found
    }
}

fn read(text: &str, traits: &[TraitFacts]) -> Vec<TypedTrait> {
    let lower = lower(text).replace('%', " % ");
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric() && c != '%').filter(|word| !word.is_empty()).collect();
    let mut found: Vec<TypedTrait> = Vec::new();
    let (mut carried, mut chance) = (Carried::Shown, None);
    let mut at = 0;
    while at < words.len() {
        let rest = &words[at..];
        match rest[0] {
            "het" | "hets" | "heterozygous" | "dh" | "th" => {
                // "66 % het" and "poss het" have said already that it is not certain.
                if chance.is_none() && !(carried == Carried::Possible && at > 0 && is_possible(words[at - 1])) {
                    carried = Carried::Het;
                }
                at += 1;
            }
            word if is_possible(word) => {
                carried = Carried::Possible;
                at += 1;
            }
            number if rest.get(1) == Some(&"%") => {
                chance = number.parse().ok().and_then(thousandths);
                carried = Carried::Possible;
                at += 2;
            }
            _ => match named(rest, traits) {
                Some((facts, length, two)) => {
                    if !found.iter().any(|one| one.facts.key == facts.key) {
                        found.push(typed(facts, &rest[..length].join(" "), two, carried, chance));
                    }
                    at += length;
                }
                None => at += 1,
            },
        }
    }
    found
}

fn is_possible(word: &str) -> bool {
    matches!(word, "poss" | "possible" | "pos" | "ph" | "maybe")
}

/// As the trade has it: 66 % are two thirds.
fn thousandths(percent: u32) -> Option<u32> {
    match percent {
        33 => Some(333),
        66 | 67 => Some(667),
        1..100 => Some(percent * 10),
        _ => None,
    }
}

/// The trait that words begin with, how many of them name it, and whether they name the look of two copies.
fn named<'a>(words: &[&str], traits: &'a [TraitFacts]) -> Option<(&'a TraitFacts, usize, bool)> {
    let begins = |name: &str| -> Option<usize> {
        let name = lower(name);
        let parts: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
        (!parts.is_empty() && words.starts_with(&parts)).then_some(parts.len())
    };
    let whole = traits.iter().filter_map(|facts| Some((facts, begins(&facts.card.name)?, false)));
    let doubled = traits.iter().filter(|facts| facts.mode == Mode::IncompleteDominant);
    let doubled = doubled.filter_map(|facts| Some((facts, begins(&facts.two_name())?, true)));
    if let Some(best) = whole.chain(doubled).max_by_key(|(_, length, _)| *length) {
        return Some(best);
    }
    let first = words.first().filter(|word| word.chars().count() >= SHORTEST)?;
    let mut short = traits.iter().filter(|facts| lower(&facts.card.name).starts_with(first));
    // A beginning that fits two names says neither.
    match (short.next(), short.next()) {
        (Some(only), None) => Some((only, 1, false)),
        _ => None,
    }
}

fn typed(facts: &TraitFacts, name: &str, two: bool, carried: Carried, chance: Option<u32>) -> TypedTrait {
    let mut line = GenotypeLine { of_trait: facts.key.clone(), ..GenotypeLine::default() };
    let words = match carried {
        Carried::Shown => {
            line.seen = Some(if two { TraitSeen::Two } else { TraitSeen::Shows });
            name.to_owned()
        }
        Carried::Het => {
            line.known = Some(TraitKnown::Het);
            format!("het {name}")
        }
        Carried::Possible => {
            let pm = chance.unwrap_or(EVEN_PM);
            (line.known, line.chance_pm) = (Some(TraitKnown::Possible), Some(pm));
            format!("poss het {name} {} %", pm / 10)
        }
    };
    TypedTrait { words, facts: facts.clone(), line }
}
