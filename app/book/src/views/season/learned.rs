//! What the keeper's own records say beforehand: hatch rates, how soon young shed and eat, how soon and how often pairs
//! lay. Only stories that have ended are counted.

use super::days_between;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::*;
use chrono::{NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use trade::rates::Belief;
use trade::species::Span;
use trade::when::When;

/// Eggs hatched, of eggs whose story has ended.
type Hatched = (u32, u32);

#[derive(Default)]
pub(super) struct Learned {
    species: BTreeMap<String, Hatched>,
    dams: BTreeMap<AnimalId, Hatched>,
    shed: BTreeMap<String, Vec<f64>>,
    meal: BTreeMap<String, Vec<f64>>,
    /// Days from introduction to eggs, and pairs that laid, of pairs long enough ago.
    lay: Vec<f64>,
    laid: (u32, u32),
}

/// Young older than this have shed and eaten, or it is known that they have not.
const GROWN_DAYS: i64 = 90;
/// A pair that has not laid after so many days will not (common practice, no source).
pub(super) const PAIR_DAYS: i64 = 120;
/// Fewer own figures than this do not replace what is usual.
const ENOUGH: usize = 8;
/// Days from introduction to eggs, four of five (common practice, no source).
const LAY_DAYS: Span = (30.0, 65.0);

impl Learned {
    pub(super) fn of(book: &Book, now: NaiveDateTime) -> Self {
        let mut learned = Self::default();
        for clutch in book.clutches() {
            learned.clutch(book, clutch);
        }
        for animal in book.all_animals() {
            learned.young(book, animal, now);
        }
        for pairing in book.pairings() {
            learned.pairing(book, pairing, now);
        }
        learned
    }

    fn clutch(&mut self, book: &Book, clutch: &Clutch) {
        let eggs: Vec<&Egg> = book.eggs_of(&clutch.id);
        // While some are still in, the dead are known and the living are not.
        if eggs.is_empty() || eggs.iter().any(|egg| egg.fate.is_none()) {
            return;
        }
        let good = eggs.iter().filter(|egg| !matches!(egg.laid_as, Some(LaidAs::Slug | LaidAs::Dud)));
        let ended = good.filter(|egg| {
            matches!(egg.fate, Some(Fate::Hatched | Fate::Died | Fate::FullTermDead | Fate::Removed | Fate::Unknown))
        });
        let (mut k, mut n) = (0, 0);
        for egg in ended {
            (k, n) = (k + u32::from(egg.fate == Some(Fate::Hatched)), n + 1);
        }
        let add = |to: &mut Hatched| *to = (to.0 + k, to.1 + n);
        add(self.species.entry(book.clutch_species(clutch).unwrap_or_default()).or_default());
        if let [dam] = clutch.dams.as_slice() {
            add(self.dams.entry(dam.clone()).or_default());
        }
    }

    fn young(&mut self, book: &Book, animal: &Animal, now: NaiveDateTime) {
        let (Some(born), false) = (animal.born, animal.from_eggs.is_empty()) else { return };
        if now - born.middle() < TimeDelta::days(GROWN_DAYS) {
            return;
        }
        let species = animal.species.clone().unwrap_or_default();
        let days = |when: When| days_between(born.middle(), when.middle()).max(0.0);
        if let Some(shed) = first_shed(book, &animal.id) {
            self.shed.entry(species.clone()).or_default().push(days(shed));
        }
        if let Some(meal) = first_meal(book, &animal.id) {
            self.meal.entry(species).or_default().push(days(meal));
        }
    }

    fn pairing(&mut self, book: &Book, pairing: &Pairing, now: NaiveDateTime) {
        let Some(from) = pairing.when else { return };
        if now - from.latest() < TimeDelta::days(PAIR_DAYS) {
            return;
        }
        for dam in &pairing.dams {
            let laid = laid_after(book, dam, from);
            let soon = laid.map(|laid| days_between(from.middle(), laid.middle())).filter(|d| *d <= PAIR_DAYS as f64);
            self.laid = (self.laid.0 + u32::from(soon.is_some()), self.laid.1 + 1);
            self.lay.extend(soon);
        }
    }

    /// Of the species but for the dam's own eggs, and of the dam.
    pub(super) fn hatched(&self, species: &str, dams: &[AnimalId]) -> (Hatched, Hatched) {
        let all = self.species.get(species).copied().unwrap_or_default();
        let dam = match dams {
            [dam] => self.dams.get(dam).copied().unwrap_or_default(),
            _ => (0, 0),
        };
        ((all.0.saturating_sub(dam.0), all.1.saturating_sub(dam.1)), dam)
    }

    pub(super) fn shed_days(&self, species: &str, usual: Span) -> Span {
        own_span(self.shed.get(species), usual)
    }

    pub(super) fn meal_days(&self, species: &str, usual: Span) -> Span {
        own_span(self.meal.get(species), usual)
    }

    pub(super) fn lay_days(&self) -> Span {
        own_span(Some(&self.lay), LAY_DAYS)
    }

    /// Chance that a pair lays: about seven of ten, worth four pairs (common practice, no source), then the keeper's.
    pub(super) fn lays(&self) -> f64 {
        let start = Belief { yes: 2.8, no: 1.2 };
        start.seen(self.laid.0, self.laid.1).unwrap_or(start).mean()
    }
}

/// The span that four of five of the keeper's own figures fall in; what is usual while they are few.
fn own_span(own: Option<&Vec<f64>>, usual: Span) -> Span {
    let Some(own) = own.filter(|own| own.len() >= ENOUGH) else { return usual };
    let mut sorted = own.clone();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted[((sorted.len() - 1) as f64 * share).round() as usize];
    let (low, high) = (at(0.1), at(0.9));
    (low, high.max(low + 1.0))
}

/// When a young animal shed first.
pub(super) fn first_shed(book: &Book, animal: &AnimalId) -> Option<When> {
    let sheds = book.animal_events(animal).filter(|event| event.what == Some(AnimalEventWhat::Shed));
    sheds.filter_map(|event| event.when).last()
}

/// When a young animal first ate by itself.
pub(in crate::views) fn first_meal(book: &Book, animal: &AnimalId) -> Option<When> {
    let alone = |meal: &&Meal| !meal.how.as_deref().is_some_and(|how| how.to_lowercase().contains("assist"));
    let eaten = book.meals(animal).filter(|meal| meal.outcome == Some(MealOutcome::Eaten)).filter(alone);
    eaten.filter_map(|meal| meal.outcome_when.or(meal.offered)).last()
}

/// The first clutch a female laid from a moment on.
pub(super) fn laid_after(book: &Book, dam: &AnimalId, from: When) -> Option<When> {
    let own = book.clutches_of(dam).filter(|clutch| clutch.dams.contains(dam));
    own.filter_map(|clutch| book.clutch_laid(&clutch.id))
        .filter(|laid| laid.latest() > from.earliest())
        .min_by_key(|l| l.earliest())
}
