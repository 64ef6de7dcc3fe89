//! The keeper's own clutches: what can be learned from each, and how the windows of the past fared.

use super::Stay;
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::records::*;
use crate::words::{Fate, LaidAs, Seen, Step};
use chrono::{NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::journey::Leg;
use trade::learn::{Doubt, Fell, Hatched, Learner, Lesson, NotLearned, Pip, fell};
use trade::path::Track;
use trade::response::Model;
use trade::when::{Point, When};
use trade::window::{Question as Asking, Range, window};

/// One clutch, or those of its eggs that were laid together, as far as it came to a pip.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Own {
    species: String,
    laid: When,
    /// Nobody saw the laying: `laid` is when they were found.
    found: bool,
    stays: Vec<Stay>,
    pip: Pip,
    /// that pipped
    eggs: u32,
    last_pip: Option<When>,
}

impl Own {
    /// When it was known.
    fn known(&self) -> NaiveDateTime {
        match self.pip {
            Pip::Between(when) => when.latest(),
            Pip::NotBefore(at) => at,
        }
    }
}

/// A clutch as it was learned from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Taught {
    clutch: ClutchId,
    own: Own,
}

/// What one clutch can teach, of all its records; nothing for another record of it than the first.
#[derive(Clone, PartialEq, Eq, Hash)]
struct OwnOf(ClutchId);

impl Question for OwnOf {
    type Answer = Vec<Own>;

    fn answer(&self, book: &Book, before: Option<&Rc<Vec<Own>>>) -> Rc<Vec<Own>> {
        let joined = book.same_clutch(&self.0);
        let first = joined.first().is_some_and(|first| first.id == self.0);
        same_or(before, if first { book.own_of(&joined) } else { Vec::new() })
    }
}

/// What all clutches can teach, by species, each species' in the order it was known.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Lessons;

impl Question for Lessons {
    type Answer = BTreeMap<String, Vec<Taught>>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let mut all: BTreeMap<String, Vec<Taught>> = BTreeMap::new();
        for clutch in book.all_clutches() {
            for own in book.derived(&OwnOf(clutch.id.clone())).iter().filter(|own| !own.species.is_empty()) {
                let taught = Taught { clutch: clutch.id.clone(), own: own.clone() };
                all.entry(own.species.clone()).or_default().push(taught);
            }
        }
        all.values_mut().for_each(|taught| crate::order::sort(taught, |t| (t.own.known(), t.clutch.clone())));
        same_or(before, all)
    }
}

/// The clutches a species is learned from, in the order they pipped.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct LessonsOf(pub(super) String);

impl Question for LessonsOf {
    type Answer = Vec<Taught>;

    fn answer(&self, book: &Book, before: Option<&Rc<Vec<Taught>>>) -> Rc<Vec<Taught>> {
        same_or(before, book.derived(&Lessons).get(&self.0).cloned().unwrap_or_default())
    }
}

/// A past clutch against the window that was given for it.
#[derive(Clone, Debug, PartialEq)]
pub struct PastClutch {
    pub clutch: ClutchId,
    pub number: String,
    pub laid: When,
    /// `None` when its eggs were cut or sold before any pipped
    pub pip: Option<When>,
    /// As foretold from what was known [`FORETOLD_DAYS`] days after laying; `None` when no window could be given, or nobody
    /// saw the laying: a window that goes by the day of finding says nothing of the figures.
    pub foretold: Option<Range>,
    pub fell: Option<Fell>,
    /// What it taught, or why it does not count.
    pub lesson: Result<Lesson, NotLearned>,
    /// Set when it does not fit the others: most likely its lay date is wrong by so many days.
    pub doubt: Option<Doubt>,
}

/// All past clutches of a species, in the order they pipped, and what they came to.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnHatches {
    pub clutches: Vec<PastClutch>,
    /// What is believed now.
    pub model: Rc<Model>,
    /// What was believed before any of them.
    pub bare: Rc<Model>,
    /// Thermometers that seem to be far off, and °C to add to what they show.
    pub astray: Vec<(String, f64)>,
}

/// A past window is scored as it was foretold this long after laying, or the day before the pip: from the
/// readings, the set point and the clutches known by then.
pub const FORETOLD_DAYS: i64 = 14;

impl Book {
    /// What one clutch, of all its records, can teach. Eggs with a lay date of their own count by themselves.
    fn own_of(&self, joined: &[&Clutch]) -> Vec<Own> {
        let Some(species) = joined.first().and_then(|clutch| self.clutch_species(clutch)) else { return Vec::new() };
        let eggs: Vec<&Egg> = joined.iter().flat_map(|clutch| self.eggs_of(&clutch.id)).collect();
        let mut laid: Vec<When> = Vec::new();
        for when in eggs.iter().filter_map(|egg| self.laid(egg)) {
            if !laid.contains(&when) {
                laid.push(when);
            }
        }
        let own = laid.into_iter().filter_map(|laid| {
            let together: Vec<&Egg> = eggs.iter().copied().filter(|egg| self.laid(egg) == Some(laid)).collect();
            self.own_together(&species, laid, &together)
        });
        own.collect()
    }

    fn own_together(&self, species: &str, laid: When, eggs: &[&Egg]) -> Option<Own> {
        let pips: Vec<(&Egg, When)> = eggs.iter().filter_map(|egg| Some((*egg, self.pip_of(egg)?))).collect();
        let first = pips.iter().min_by_key(|(egg, when)| (when.latest(), &egg.id));
        let gone = |egg: &Egg| {
            let cut = self.did(&egg.id, Step::Cut).and_then(|cut| cut.when);
            let sold = egg.fate_when.filter(|_| egg.fate == Some(Fate::Sold) && self.pip_of(egg).is_none());
            cut.or(sold).map(When::earliest)
        };
        let gone = eggs.iter().filter_map(|egg| Some((*egg, gone(egg)?))).min_by_key(|(_, at)| *at);
        let censored = |(egg, at): (&Egg, NaiveDateTime)| (egg.id.clone(), Pip::NotBefore(at));
        // Where eggs were cut before the first pipped, nobody knows when the first would have.
        let (egg, pip) = match (first, gone) {
            (Some((_, when)), Some(gone)) if gone.1 < when.earliest() => censored(gone),
            (Some((egg, when)), _) => (egg.id.clone(), Pip::Between(*when)),
            (None, Some(gone)) => censored(gone),
            (None, None) => return None,
        };
        let open = eggs.iter().any(|egg| egg.fate.is_none() && self.pip_of(egg).is_none() && self.may_hatch(egg));
        Some(Own {
            species: species.to_owned(),
            laid,
            found: eggs.iter().all(|egg| self.laid_known(egg).is_none()),
            stays: self.stays(self.egg(&egg)?),
            pip,
            eggs: u32::try_from(pips.len()).unwrap_or(u32::MAX),
            last_pip: pips.iter().map(|(_, when)| *when).max_by_key(|when| when.latest()).filter(|_| !open),
        })
    }

    /// The species' figures after all its clutches, weighed against each other; `each` is told what one taught, and the
    /// figures as they stood when it had just been added.
    pub(super) fn learn(
        &self,
        species: &str,
        taught: &[Taught],
        mut each: impl FnMut(Result<Lesson, NotLearned>, &Model),
    ) -> Learner {
        let mut learner = Learner::new(Model::clone(&self.bare(species)));
        for Taught { own, .. } in taught {
            let legs = self.legs(&own.stays, species);
            let hatched =
                Hatched { laid: own.laid, legs: &legs.as_legs(), pip: own.pip, eggs: own.eggs, last_pip: own.last_pip };
            let lesson = if own.found { Err(NotLearned::OnlyFound) } else { learner.add(&hatched) };
            each(lesson, learner.model());
        }
        learner.settle();
        learner
    }

    /// All past clutches of a species against the windows given for them. Not kept: for the page that shows it.
    pub fn own_hatches(&self, species: &str) -> OwnHatches {
        let model = self.model(species);
        let bare = self.bare(species);
        let taught = self.derived(&LessonsOf(species.to_owned()));
        let mut lessons = Vec::with_capacity(taught.len());
        let learner = self.learn(species, &taught, |lesson, after| lessons.push((lesson, after.clone())));
        let mut doubts = learner.doubts().into_iter();
        let clutches = taught.iter().zip(&lessons).map(|(Taught { clutch, own, .. }, (lesson, _))| {
            let pip = match own.pip {
                Pip::Between(when) => Some(when),
                Pip::NotBefore(_) => None,
            };
            let as_of = own.laid.middle() + TimeDelta::days(FORETOLD_DAYS);
            let as_of = as_of.min(own.known() - TimeDelta::days(1));
            let before = taught.partition_point(|taught| taught.own.known() <= as_of);
            let known = before.checked_sub(1).map_or(&*bare, |last| &lessons[last].1);
            let foretold = if own.found { None } else { self.foretold(own, known, as_of) };
            PastClutch {
                clutch: clutch.clone(),
                number: self.clutch_number(clutch),
                laid: own.laid,
                pip,
                fell: foretold.as_ref().zip(pip).map(|(range, pip)| fell(range, pip)),
                foretold,
                // Those not learned from are doubted by their refusal.
                doubt: lesson.is_ok().then(|| doubts.next()).flatten().flatten(),
                lesson: lesson.clone(),
            }
        });
        let clutches = clutches.collect();
        let name = |place: &str| self.path(&place.into()).last().and_then(|p| p.name.clone());
        let astray = learner.astray().into_iter().filter_map(|(place, off)| Some((name(&place)?, off))).collect();
        OwnHatches { clutches, model, bare, astray }
    }

    /// The window as it was foretold at a moment: of what was read, set and known by then.
    fn foretold(&self, own: &Own, model: &Model, as_of: NaiveDateTime) -> Option<Range> {
        let from = own.laid.earliest() - TimeDelta::days(2);
        let stays = own.stays.iter().enumerate().filter(|(i, stay)| *i == 0 || stay.from <= as_of);
        let tracks: Vec<(NaiveDateTime, PlaceId, Track)> = stays
            .filter_map(|(_, stay)| {
                let path = self.temperatures(&stay.place, from, as_of).ok()?;
                Some((stay.from, self.thermometer(&stay.place), Track::new(path, model)))
            })
            .collect();
        let legs: Vec<Leg<'_>> =
            tracks.iter().map(|(from, place, track)| Leg { from: *from, place: place.as_str(), track }).collect();
        let question = Asking { laid: own.laid, legs: &legs, eggs: 0, none_by: None, first_pip: None, now: as_of };
        window(model, &question).ok().map(|window| window.unlooked)
    }

    /// When an egg pipped. Of one seen only when out: at most the usual time before that. A cut egg has no pip.
    pub(crate) fn pip_of(&self, egg: &Egg) -> Option<When> {
        let steps = self.steps(&egg.id);
        if let Some(pip) = steps.pip {
            return pip.when;
        }
        if steps.cut.is_some() {
            return None;
        }
        let out = steps.out.and_then(|out| out.when)?;
        let species = egg.clutch.as_ref().and_then(|id| self.clutch(id)).map(|clutch| self.clutch_profile(clutch));
        let hours = species.map_or(48.0, |species| species.pip_out_h.1);
        let from = out.earliest() - TimeDelta::minutes((hours * 60.0) as i64);
        Some(When::span(Point::Time(from), Point::Time(out.latest())))
    }

    /// When the first egg of a clutch pipped, of all its records.
    pub fn first_pip(&self, clutch: &ClutchId) -> Option<When> {
        let eggs = self.same_clutch(clutch).into_iter().flat_map(|clutch| self.eggs_of(&clutch.id));
        eggs.filter_map(|egg| self.pip_of(egg)).min_by_key(|when| when.latest())
    }

    /// Whether an egg counts among those that may hatch or have hatched.
    pub(crate) fn may_hatch(&self, egg: &Egg) -> bool {
        let shelled = !matches!(egg.laid_as, Some(LaidAs::Dud | LaidAs::Slug));
        let open = matches!(egg.fate, None | Some(Fate::Hatched));
        shelled && open && self.last_seen(&egg.id).is_none_or(|(seen, _)| seen != Seen::Dead)
    }
}
