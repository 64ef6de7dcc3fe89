//! What shelves' temperatures and the keeper's own hatches come to: summed up once, and kept until something they
//! stand on changes.
//!
//! Always true: what is kept equals what would be summed anew. A new reading sums its own shelf anew and asks only
//! the boxes that stood there; [`Work`] counts. Absent by design: any sum (those are `trade`'s) and any record.

mod ahead;
mod own;

pub use own::{FORETOLD_DAYS, OwnHatches, PastClutch};

use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::views::ReadLine;
use crate::words::PlaceWhat;
use chrono::NaiveDateTime;
use own::Own;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use trade::journey::Leg;
use trade::path::{NoTemperature, Path, SetTo, Track};
use trade::response::Model;
use trade::units::Temp;
use trade::when::When;
use trade::window::{Question, Refusal, Window, window};

/// How often something was really summed up, since the book was opened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    pub shelves: u64,
    pub windows: u64,
    pub models: u64,
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Heat {
    tracks: BTreeMap<(PlaceId, String), Shelf>,
    bare: BTreeMap<String, Rc<Model>>,
    models: BTreeMap<String, Figures>,
    windows: BTreeMap<(EggId, usize), (Asked, Result<Window, Refusal>)>,
    /// of each clutch's first record, what can be learned from it
    own: BTreeMap<ClutchId, Vec<Own>>,
    /// clutches whose records changed
    dirty: BTreeSet<ClutchId>,
    looked: bool,
    /// counts changes: what was made at this turn is good
    turn: u64,
    next: u64,
    work: Work,
}

/// A shelf summed up under one species.
#[derive(Clone, Debug)]
struct Shelf {
    /// the places whose records it stands on
    on: Vec<PlaceId>,
    thermometer: PlaceId,
    track: Option<Rc<Track>>,
    version: u64,
    stale: bool,
}

/// What is believed of one species.
#[derive(Clone, Debug)]
struct Figures {
    model: Rc<Model>,
    version: u64,
    turn: u64,
    taught: Vec<Taught>,
}

/// A clutch as it was learned from.
#[derive(Clone, Debug, PartialEq)]
struct Taught {
    clutch: ClutchId,
    own: Own,
    /// of its shelves' sums
    versions: Vec<u64>,
}

/// Everything a window depends on.
#[derive(Clone, Debug, PartialEq)]
struct Asked {
    laid: When,
    legs: Vec<(NaiveDateTime, PlaceId, u64)>,
    eggs: u32,
    none_by: Option<NaiveDateTime>,
    first_pip: Option<When>,
    now: NaiveDateTime,
    model: u64,
}

impl Asked {
    fn question<'a>(&self, legs: &'a [Leg<'a>]) -> Question<'a> {
        let Asked { laid, eggs, none_by, first_pip, now, .. } = *self;
        Question { laid, legs, eggs, none_by, first_pip, now }
    }
}

/// A question about some eggs, but for the moment it is asked at.
#[derive(Debug)]
pub(crate) struct Ask {
    egg: EggId,
    /// How many eggs it is about, to keep its answer under.
    count: usize,
    species: String,
    model: Rc<Model>,
    legs: Legs,
    /// Of a clutch without a pip, when somebody looked into the box.
    looks: Vec<NaiveDateTime>,
    asked: Asked,
}

impl Ask {
    fn at(&self, now: NaiveDateTime) -> Asked {
        let looks = self.looks.iter().copied().filter(|&at| at <= now && at > self.asked.laid.latest());
        Asked { none_by: looks.max(), now, ..self.asked.clone() }
    }
}

/// What a change of records touches.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Touch {
    Nothing,
    Place(PlaceId),
    Places,
    Species,
    Clutches(Vec<ClutchId>),
}

impl Heat {
    /// Whether anything is kept.
    pub(crate) fn is_warm(&self) -> bool {
        self.looked || !self.bare.is_empty() || !self.tracks.is_empty()
    }

    pub(crate) fn touched(&mut self, touch: Touch) {
        match touch {
            Touch::Nothing => return,
            Touch::Place(place) => {
                self.tracks.values_mut().filter(|s| s.on.contains(&place)).for_each(|s| s.stale = true)
            }
            Touch::Places => self.tracks.values_mut().for_each(|s| s.stale = true),
            Touch::Species => {
                // Limits and first beliefs are inside the sums.
                (self.tracks, self.bare, self.models) = Default::default();
                self.looked = false;
            }
            Touch::Clutches(clutches) => self.dirty.extend(clutches),
        }
        self.turn += 1;
    }
}

impl Book {
    /// What stands on these sums is good for as long as this stays the same. `None` where nothing is summed up.
    pub(crate) fn heat_turn(&self) -> Option<u64> {
        let heat = self.heat.borrow();
        heat.is_warm().then_some(heat.turn)
    }

    /// How often something was summed up: for tests and benches.
    pub fn work(&self) -> Work {
        self.heat.borrow().work
    }

    /// What a record has a say in, as it stands.
    pub(crate) fn touch_of(&self, kind: Kind, id: &str) -> Touch {
        let place = |place: Option<&PlaceId>| place.map_or(Touch::Nothing, |p| Touch::Place(p.clone()));
        let clutches = |ids: Vec<ClutchId>| if ids.is_empty() { Touch::Nothing } else { Touch::Clutches(ids) };
        match kind {
            Kind::Reading => place(self.t.readings.get(&id.into()).and_then(|r| r.record.place.as_ref())),
            Kind::ReadingLog => place(self.t.logs.get(&id.into()).and_then(|l| l.record.place.as_ref())),
            Kind::SetPoint => place(self.t.set_points.get(&id.into()).and_then(|s| s.record.place.as_ref())),
            Kind::Place => Touch::Places,
            Kind::Species => Touch::Species,
            // Boxes stand on their eggs, those of no clutch included: an empty list is a turn all the same.
            Kind::Egg => Touch::Clutches(self.egg(&id.into()).and_then(|egg| egg.clutch.clone()).into_iter().collect()),
            // An egg seen dead no longer counts, in whichever box it lies since.
            Kind::Candling => {
                let seen = self.candling(&id.into()).into_iter().flat_map(|candling| candling.seen.keys());
                clutches(seen.filter_map(|egg| self.egg(egg)?.clutch.clone()).collect())
            }
            Kind::Hatching => {
                let egg = self.t.hatchings.get(&id.into()).and_then(|h| self.egg(h.record.egg.as_ref()?));
                clutches(egg.and_then(|egg| egg.clutch.clone()).into_iter().collect())
            }
            Kind::Clutch => {
                let mut ids: Vec<ClutchId> = self.same_clutch(&id.into()).iter().map(|c| c.id.clone()).collect();
                ids.push(id.into());
                clutches(ids)
            }
            Kind::Animal => clutches(self.clutches_of(&id.into()).map(|clutch| clutch.id.clone()).collect()),
            _ => Touch::Nothing,
        }
    }

    /// The clutches whose stays a thing's moves have a say in.
    pub(crate) fn touch_of_move(&self, thing: &Thing) -> Touch {
        let ids: Vec<ClutchId> = match thing.kind {
            Kind::Egg => self.egg(&thing.id.as_str().into()).and_then(|egg| egg.clutch.clone()).into_iter().collect(),
            Kind::Filling => self.clutches_in(&thing.id.as_str().into()).iter().map(|c| c.id.clone()).collect(),
            _ => Vec::new(),
        };
        if ids.is_empty() && thing.kind != Kind::Egg { Touch::Nothing } else { Touch::Clutches(ids) }
    }

    /// All that was read at a place, in order of time: single readings after logged ones of the same minute.
    pub fn readings_at(&self, place: &PlaceId) -> Vec<trade::path::Reading> {
        let mut all: Vec<trade::path::Reading> =
            self.reading_logs(place).flat_map(|log| log.readings.iter().copied()).collect();
        let single = self.readings(place);
        all.extend(single.filter_map(|r| Some(trade::path::Reading { at: r.when?.middle(), temp: r.temp? })));
        // One logger's files follow each other.
        if !all.is_sorted_by_key(|r| r.at) {
            crate::order::sort(&mut all, |r| r.at);
        }
        all
    }

    /// The last `most` readings at a place, newest first.
    pub fn last_readings(&self, place: &PlaceId, most: usize) -> Vec<ReadLine> {
        let line = |at, temp, source: &Option<String>| ReadLine { at, temp, source: source.clone() };
        let single = self.readings(place).filter_map(|r| Some(line(r.when?.middle(), r.temp?, &r.source))).take(most);
        let mut all: Vec<ReadLine> = single.collect();
        for log in self.reading_logs(place) {
            all.extend(log.readings.iter().rev().take(most).map(|r| line(r.at, r.temp, &log.source)));
        }
        crate::order::sort(&mut all, |line| std::cmp::Reverse(line.at));
        all.truncate(most);
        all
    }

    /// Those of some readings that the book does not hold yet, in order of time.
    pub fn new_readings(&self, place: &PlaceId, readings: &[trade::path::Reading]) -> Vec<trade::path::Reading> {
        let held = self.readings_at(place);
        let known = |r: &trade::path::Reading| {
            let from = held.partition_point(|h| h.at < r.at);
            held[from..].iter().take_while(|h| h.at == r.at).any(|h| h.temp == r.temp)
        };
        let mut new: Vec<trade::path::Reading> = readings.iter().copied().filter(|r| !known(r)).collect();
        crate::order::sort(&mut new, |r| r.at);
        new.dedup_by_key(|r| r.at);
        new
    }

    /// The place whose thermometer tells a place's temperature: itself, or the nearest it is in, up to the incubator,
    /// where something was read. Itself when nothing was.
    pub fn thermometer(&self, place: &PlaceId) -> PlaceId {
        let mut path = self.path(place);
        path.reverse();
        let shelf = path.iter().take_while(|p| p.what != Some(PlaceWhat::Room));
        let mut read =
            shelf.filter(|p| self.readings(&p.id).next().is_some() || self.reading_logs(&p.id).next().is_some());
        read.next().map_or_else(|| place.clone(), |p| p.id.clone())
    }

    /// What to add to what a place's thermometer shows.
    pub fn offset(&self, place: &PlaceId) -> Temp {
        self.path(place).into_iter().rev().find_map(|place| place.offset).unwrap_or(Temp(0))
    }

    /// What a place was set to: before any change, and from each change on. Its own, or that of what it is in.
    pub fn set_temps(&self, place: &PlaceId) -> (Option<Temp>, Vec<(NaiveDateTime, Temp)>) {
        for place in self.path(place).into_iter().rev() {
            let changes = self.set_points(&place.id).filter_map(|s| Some((s.when?.earliest(), s.temp?)));
            let mut changes: Vec<(NaiveDateTime, Temp)> = changes.collect();
            changes.reverse();
            if place.set.is_some() || !changes.is_empty() {
                return (place.set, changes);
            }
        }
        (None, Vec::new())
    }

    /// The temperature a place is set to now: its own, or that of what it is in.
    pub fn set_temp(&self, place: &PlaceId) -> Option<Temp> {
        let (first, then) = self.set_temps(place);
        then.last().map(|change| change.1).or(first)
    }

    /// A place's temperature over time, from what was read between two moments and set by the later one.
    ///
    /// # Errors
    /// Nothing is read there and nothing set.
    pub fn temperatures(&self, place: &PlaceId, from: NaiveDateTime, to: NaiveDateTime) -> Result<Path, NoTemperature> {
        let thermometer = self.thermometer(place);
        let mut readings = self.readings_at(&thermometer);
        readings.retain(|r| (from..=to).contains(&r.at));
        let (first, mut then) = self.set_temps(place);
        then.retain(|change| change.0 <= to);
        Path::dated(&readings, SetTo { first, then: &then }, self.offset(&thermometer))
    }

    fn bare(&self, species: &str) -> Rc<Model> {
        if let Some(known) = self.heat.borrow().bare.get(species) {
            return known.clone();
        }
        let key = Some(species).filter(|species| !species.is_empty());
        let model = Rc::new(Model::of(&self.species_of(key)));
        self.heat.borrow_mut().bare.insert(species.to_owned(), model.clone());
        model
    }

    fn shelf(&self, place: &PlaceId, species: &str) -> (Option<Rc<Track>>, PlaceId, u64) {
        let key = (place.clone(), species.to_owned());
        let held = self.heat.borrow_mut().tracks.remove(&key);
        let old = match held {
            Some(shelf) if !shelf.stale => {
                let found = (shelf.track.clone(), shelf.thermometer.clone(), shelf.version);
                return self.keep(key, shelf, found);
            }
            old => old.and_then(|shelf| shelf.track),
        };
        let track = match (self.temperatures(place, NaiveDateTime::MIN, NaiveDateTime::MAX), old) {
            (Err(NoTemperature), _) => None,
            (Ok(path), None) => Some(Rc::new(Track::new(path, &self.bare(species)))),
            (Ok(path), Some(old)) => {
                let mut track = Rc::unwrap_or_clone(old);
                track.extend(path);
                Some(Rc::new(track))
            }
        };
        let thermometer = self.thermometer(place);
        let version = self.version();
        self.heat.borrow_mut().work.shelves += 1;
        // Readings may be left of a place whose own record is gone.
        let on = self.path(place).iter().map(|place| place.id.clone()).chain([thermometer.clone()]).collect();
        let shelf = Shelf { on, thermometer: thermometer.clone(), track: track.clone(), version, stale: false };
        self.keep(key, shelf, (track, thermometer, version))
    }

    fn keep<T>(&self, key: (PlaceId, String), shelf: Shelf, found: T) -> T {
        self.heat.borrow_mut().tracks.insert(key, shelf);
        found
    }

    fn version(&self) -> u64 {
        let mut heat = self.heat.borrow_mut();
        heat.next += 1;
        heat.next
    }

    /// The stays as legs that hold on to their sums.
    fn legs(&self, stays: &[Stay], species: &str) -> Legs {
        let found = stays.iter().filter_map(|stay| {
            let (track, thermometer, version) = self.shelf(&stay.place, species);
            Some((stay.from, thermometer, track?, version))
        });
        Legs(found.collect())
    }

    /// The sums of an egg's stays that have any, each with its beginning.
    pub(crate) fn tracks(&self, egg: &Egg, stays: &[Stay]) -> Vec<(NaiveDateTime, Rc<Track>)> {
        let clutch = egg.clutch.as_ref().and_then(|id| self.clutch(id));
        let species = clutch.and_then(|clutch| self.clutch_species(clutch)).unwrap_or_default();
        self.legs(stays, &species).0.into_iter().map(|(from, _, track, _)| (from, track)).collect()
    }

    /// What is believed of a species: its profile, and what the keeper's own hatches taught since.
    pub fn model(&self, species: &str) -> Rc<Model> {
        self.figures(species).0
    }

    fn figures(&self, species: &str) -> (Rc<Model>, u64) {
        self.look_at_own();
        let turn = {
            let heat = self.heat.borrow();
            match heat.models.get(species) {
                Some(figures) if figures.turn == heat.turn => return (figures.model.clone(), figures.version),
                _ => heat.turn,
            }
        };
        let taught = self.lessons_of(species);
        let old = self.heat.borrow_mut().models.remove(species);
        let figures = match old {
            Some(old) if old.taught == taught => Figures { turn, ..old },
            old => {
                let model = self.learn(species, &taught, |_, _| ()).into_model();
                self.heat.borrow_mut().work.models += 1;
                match old {
                    // The same numbers: nobody who asked before needs to ask again.
                    Some(old) if *old.model == model => Figures { turn, taught, ..old },
                    _ => Figures { model: Rc::new(model), version: self.version(), turn, taught },
                }
            }
        };
        let found = (figures.model.clone(), figures.version);
        self.heat.borrow_mut().models.insert(species.to_owned(), figures);
        found
    }

    /// The question about some eggs of one clutch that share a box.
    ///
    /// # Errors
    /// Where there can be no window at any moment.
    pub(crate) fn ask(&self, eggs: &[&Egg]) -> Result<Ask, Refusal> {
        let Some(&egg) = eggs.iter().find(|egg| egg.fate.is_none()).or(eggs.first()) else {
            return Err(Refusal::NoPlace);
        };
        let clutch = egg.clutch.as_ref().and_then(|id| self.clutch(id));
        let species = clutch.and_then(|clutch| self.clutch_species(clutch)).unwrap_or_default();
        let laid = self.laid(egg).ok_or(Refusal::NoPlace)?;
        let (model, version) = self.figures(&species);
        let legs = self.legs(&self.stays(egg), &species);
        let first_pip = eggs.iter().filter_map(|egg| self.pip_of(egg)).min_by_key(|when| when.latest());
        let looks = match (first_pip, self.whereabouts(&egg.id.thing())) {
            (None, Some(Where::Filling(filling))) => self.looks(filling),
            _ => Vec::new(),
        };
        let may_hatch = eggs.iter().filter(|egg| self.may_hatch(egg)).count();
        let asked = Asked {
            laid,
            legs: legs.0.iter().map(|(from, place, _, version)| (*from, place.clone(), *version)).collect(),
            eggs: u32::try_from(may_hatch).unwrap_or(u32::MAX),
            none_by: None,
            first_pip,
            now: NaiveDateTime::MIN,
            model: version,
        };
        Ok(Ask { egg: egg.id.clone(), count: eggs.len(), species, model, legs, looks, asked })
    }

    /// The hatch window of some eggs of one clutch that share a box, most often all of them.
    ///
    /// # Errors
    /// Why there is none, with what would give one.
    pub fn window_of(&self, eggs: &[&Egg], now: NaiveDateTime) -> Result<Window, Refusal> {
        self.window_at(&self.ask(eggs)?, now)
    }

    pub(crate) fn window_at(&self, ask: &Ask, now: NaiveDateTime) -> Result<Window, Refusal> {
        let asked = ask.at(now);
        let key = (ask.egg.clone(), ask.count);
        if let Some((known, answer)) = self.heat.borrow().windows.get(&key)
            && *known == asked
        {
            return answer.clone();
        }
        let answer = window(&ask.model, &asked.question(&ask.legs.as_legs()));
        let mut heat = self.heat.borrow_mut();
        heat.work.windows += 1;
        heat.windows.insert(key, (asked, answer.clone()));
        answer
    }
}

/// Where eggs stood from a moment on.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    pub from: NaiveDateTime,
    pub place: PlaceId,
}

/// Stays with their shelves' sums: from when, whose thermometer, the sums and their version.
#[derive(Debug)]
struct Legs(Vec<(NaiveDateTime, PlaceId, Rc<Track>, u64)>);

impl Legs {
    fn as_legs(&self) -> Vec<Leg<'_>> {
        self.0.iter().map(|(from, place, track, _)| Leg { from: *from, place: place.as_str(), track }).collect()
    }
}
