//! What the keeper's own records say beforehand: hatch rates, how soon young shed and eat, how soon and how often pairs
//! lay. Only stories that have ended are counted.

use super::{SEED, days_between};
use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use crate::memo::{Question, same_or};
use crate::records::*;
use crate::words::*;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::luck::{Ended, Luck, Of, Start};
use trade::rates::Belief;
use trade::species::Span;
use trade::when::When;

/// The clutches whose story has ended, and what came of them.
#[derive(Clone, PartialEq, Eq, Hash)]
struct AllEnded;

impl Question for AllEnded {
    type Answer = Vec<Ended>;

    fn answer(&self, book: &Book, before: Option<&Rc<Vec<Ended>>>) -> Rc<Vec<Ended>> {
        same_or(before, book.clutches().into_iter().filter_map(|clutch| ended(book, clutch)).collect())
    }
}

/// What they tell of hatch rates: thousands of draws, so only when one of them says otherwise.
#[derive(Clone, PartialEq, Eq, Hash)]
struct LuckOfAll;

impl Question for LuckOfAll {
    type Answer = Luck;

    fn answer(&self, book: &Book, _: Option<&Rc<Luck>>) -> Rc<Luck> {
        Rc::new(Luck::learned(&book.derived(&AllEnded), SEED))
    }
}

pub(super) struct Learned {
    luck: Rc<Luck>,
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
        let mut learned = Self {
            luck: book.derived(&LuckOfAll),
            shed: BTreeMap::new(),
            meal: BTreeMap::new(),
            lay: Vec::new(),
            laid: (0, 0),
        };
        for animal in book.all_animals() {
            learned.young(book, animal, now);
        }
        for pairing in book.pairings() {
            learned.pairing(book, pairing, now);
        }
        learned
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

    pub(super) fn luck(&self) -> &Luck {
        &self.luck
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

/// What came of a clutch's good eggs, once all of its eggs' stories have ended: while some are still in, the dead are
/// known and the living are not.
fn ended(book: &Book, clutch: &Clutch) -> Option<Ended> {
    let eggs: Vec<&Egg> = book.eggs_of(&clutch.id);
    if eggs.is_empty() || eggs.iter().any(|egg| egg.fate.is_none()) {
        return None;
    }
    let good = eggs.iter().filter(|egg| !matches!(egg.laid_as, Some(LaidAs::Slug | LaidAs::Dud)));
    let told = good.filter(|egg| {
        matches!(egg.fate, Some(Fate::Hatched | Fate::Died | Fate::FullTermDead | Fate::Removed | Fate::Unknown))
    });
    let (mut hatched, mut all) = (0, 0);
    for egg in told {
        (hatched, all) = (hatched + u32::from(egg.fate == Some(Fate::Hatched)), all + 1);
    }
    let filling = eggs.iter().find_map(|egg| egg.filling.as_ref());
    let shelf = filling.and_then(|filling| book.box_stays(filling).into_iter().next()).map(|stay| stay.place);
    let profile = book.clutch_profile(clutch);
    let set = shelf.as_ref().and_then(|shelf| book.set_temp(shelf));
    let year = book.clutch_laid(&clutch.id).map(|laid| laid.date().year());
    let of = Of {
        start: Start::at(profile.kin, set.map_or(profile.shelf_c, |temp| temp.celsius())),
        species: book.clutch_species(clutch).unwrap_or_default(),
        shelf: shelf.map(|shelf| shelf.to_string()).unwrap_or_default(),
        season: year.map(|year| year.to_string()).unwrap_or_default(),
        ..parents(&clutch.dams, clutch.only_of())
    };
    Some(Ended { of, hatched, eggs: all })
}

/// Whose luck a clutch shares by its parents; nobody's by a side of which more may be the one, or none is known.
pub(super) fn parents(dams: &[AnimalId], sires: &[AnimalId]) -> Of {
    let one = |side: &[AnimalId]| match side {
        [one] => Some(one.to_string()),
        _ => None,
    };
    let pair = one(dams).zip(one(sires)).map(|(dam, sire)| format!("{dam} {sire}"));
    Of { dam: one(dams).unwrap_or_default(), pair: pair.unwrap_or_default(), ..Of::default() }
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
    let alone = |meal: &&Meal| !meal.how.as_deref().is_some_and(|how| lower(how).contains("assist"));
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
