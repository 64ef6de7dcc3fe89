//! What shelves' temperatures and the keeper's own hatches come to: derived values, each declared here with its
//! question ([`crate::memo`]) and worked out again only when something it read changed.
//!
//! A new reading sums its own shelf anew and asks only the boxes that stood there; [`Work`] counts. Absent by design:
//! any sum (those are `trade`'s) and any record.

mod ahead;
mod own;
mod told;

pub(crate) use told::is_close;

pub use own::{FORETOLD_DAYS, OwnHatches, PastClutch};

use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::records::*;
use crate::views::ReadLine;
use crate::words::PlaceWhat;
use chrono::{NaiveDate, NaiveDateTime};
use own::LessonsOf;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::journey::Leg;
use trade::path::{NoTemperature, Path, SetTo, Track};
use trade::response::Model;
use trade::told::Told;
use trade::units::{Humidity, Temp};
use trade::when::When;
use trade::window::{Question as Asking, Refusal, Window, window};

/// How often something was really summed up, since the book was opened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    pub shelves: u64,
    pub windows: u64,
    pub models: u64,
}

/// What is believed of a species before any hatch of the keeper's own.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Bare(String);

impl Question for Bare {
    type Answer = Model;

    fn answer(&self, book: &Book, before: Option<&Rc<Model>>) -> Rc<Model> {
        let key = Some(&*self.0).filter(|species| !species.is_empty());
        same_or(before, Model::of(&book.species_of(key)))
    }
}

/// What is believed of a species after the keeper's own hatches.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Learned(String);

impl Question for Learned {
    type Answer = Model;

    fn answer(&self, book: &Book, before: Option<&Rc<Model>>) -> Rc<Model> {
        let taught = book.derived(&LessonsOf(self.0.clone()));
        // The same numbers: nobody who asked before needs to ask again.
        same_or(before, book.learn(&self.0, &taught, |_, _| ()).into_model())
    }
}

/// A shelf summed up under one species.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Summed {
    place: PlaceId,
    species: String,
    /// Eggs lay there with their mother: where nothing was read and nothing set, at what the species is kept at.
    nest: bool,
}

/// A shelf's sums.
#[derive(Debug)]
struct Shelf {
    /// The limits and first beliefs that are inside the sums.
    bare: Rc<Model>,
    thermometer: PlaceId,
    /// `None` where nothing was read and nothing set.
    track: Option<Rc<Track>>,
}

impl Question for Summed {
    type Answer = Shelf;

    fn answer(&self, book: &Book, before: Option<&Rc<Shelf>>) -> Rc<Shelf> {
        let bare = book.bare(&self.species);
        let thermometer = book.thermometer(&self.place);
        let kept = || self.nest.then(|| Path::as_kept(&book.species_of(Some(&self.species)))).flatten();
        let path = book.temperatures(&self.place, NaiveDateTime::MIN, NaiveDateTime::MAX).ok().or_else(kept);
        let before = before.filter(|before| Rc::ptr_eq(&before.bare, &bare));
        if let Some(before) = before
            && before.thermometer == thermometer
            && before.track.as_ref().map(|track| track.path()) == path.as_ref()
        {
            return before.clone();
        }
        let track = path.map(|path| match before.and_then(|before| before.track.as_deref()) {
            None => Rc::new(Track::new(path, &bare)),
            Some(old) => {
                let mut track = old.clone();
                track.extend(path);
                Rc::new(track)
            }
        });
        Rc::new(Shelf { bare, thermometer, track })
    }
}

/// Everything a window depends on.
#[derive(Clone, Debug)]
struct Asked {
    laid: When,
    legs: Legs,
    eggs: u32,
    none_by: Option<NaiveDateTime>,
    first_pip: Option<When>,
    now: NaiveDateTime,
    model: Rc<Model>,
}

impl Asked {
    fn question<'a>(&self, legs: &'a [Leg<'a>]) -> Asking<'a> {
        let Asked { laid, eggs, none_by, first_pip, now, .. } = *self;
        Asking { laid, legs, eggs, none_by, first_pip, now }
    }
}

/// A question about some eggs, but for the moment it is asked at.
#[derive(Debug)]
pub(crate) struct Ask {
    egg: EggId,
    species: String,
    /// Where nobody saw the laying: the lay date it goes by, as far as candling tells one.
    pub(crate) told: Option<Told>,
    /// Of a clutch without a pip, when somebody looked into the box.
    looks: Vec<NaiveDateTime>,
    asked: Asked,
    /// The window it came to last, for who asks again at that moment. It goes when the eggs' records change, and the
    /// question with it.
    last: RefCell<Option<(NaiveDateTime, Result<Window, Refusal>)>>,
}

impl Ask {
    fn at(&self, now: NaiveDateTime) -> Asked {
        let looks = self.looks.iter().copied().filter(|&at| at <= now && at > self.asked.laid.latest());
        Asked { none_by: looks.max(), now, ..self.asked.clone() }
    }
}

impl Book {
    /// How often something was summed up: for tests and benches.
    pub fn work(&self) -> Work {
        Work {
            shelves: self.memo.worked::<Summed>(),
            windows: self.memo.worked::<Window>(),
            models: self.memo.worked::<Learned>(),
        }
    }

    /// All that was read at a place, in order of time; of one minute logged ones first, and the one written last at the
    /// end: that one counts.
    pub fn readings_at(&self, place: &PlaceId) -> Vec<trade::path::Reading> {
        let mut logs: Vec<&ReadingLog> = self.reading_logs(place).collect();
        logs.reverse();
        let mut all: Vec<trade::path::Reading> = logs.iter().flat_map(|log| log.readings.iter().copied()).collect();
        let logged = all.len();
        let single = self.readings(place);
        all.extend(single.filter_map(|r| Some(trade::path::Reading { at: r.when?.middle(), temp: r.temp? })));
        all[logged..].reverse();
        // One logger's files follow each other.
        if !all.is_sorted_by_key(|r| r.at) {
            crate::order::sort(&mut all, |r| r.at);
        }
        all
    }

    /// The last `most` readings at a place, newest first.
    pub fn last_readings(&self, place: &PlaceId, most: usize) -> Vec<ReadLine> {
        let line =
            |when, temp, humidity, source: &Option<String>| ReadLine { when, temp, humidity, source: source.clone() };
        let read = |r: &crate::records::Reading| Some(line(r.when?, r.temp?, r.humidity, &r.source));
        let single = self.readings(place).filter_map(read).take(most);
        let mut all: Vec<ReadLine> = single.collect();
        for log in self.reading_logs(place) {
            all.extend(
                log.with_humidity()
                    .rev()
                    .take(most)
                    .map(|(r, humid)| line(When::time(r.at), r.temp, humid, &log.source)),
            );
        }
        crate::order::sort(&mut all, |line| std::cmp::Reverse(line.when.middle()));
        all.truncate(most);
        all
    }

    /// The least and the most humidity that was read at a place on each day.
    pub fn humid_days(&self, place: &PlaceId) -> BTreeMap<NaiveDate, (Humidity, Humidity)> {
        let logged = self.reading_logs(place).flat_map(ReadingLog::with_humidity).map(|(r, humid)| (r.at, humid));
        let single = self.readings(place).filter_map(|r| Some((r.when?.middle(), r.humidity)));
        let mut days: BTreeMap<NaiveDate, (Humidity, Humidity)> = BTreeMap::new();
        for (at, humid) in logged.chain(single) {
            let Some(humid) = humid else { continue };
            let (low, high) = days.entry(at.date()).or_insert((humid, humid));
            (*low, *high) = ((*low).min(humid), (*high).max(humid));
        }
        days
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
        self.derived(&Bare(species.to_owned()))
    }

    fn shelf(&self, stay: &Stay, species: &str) -> Rc<Shelf> {
        self.derived(&Summed { place: stay.place.clone(), species: species.to_owned(), nest: stay.nest })
    }

    /// The stays as legs that hold on to their sums.
    fn legs(&self, stays: &[Stay], species: &str) -> Legs {
        let found = stays.iter().filter_map(|stay| {
            let shelf = self.shelf(stay, species);
            Some((stay.from, shelf.thermometer.clone(), shelf.track.clone()?))
        });
        Legs(found.collect())
    }

    /// The sums of an egg's stays that have any, each with its beginning.
    pub(crate) fn tracks(&self, egg: &Egg, stays: &[Stay]) -> Vec<(NaiveDateTime, Rc<Track>)> {
        let clutch = egg.clutch.as_ref().and_then(|id| self.clutch(id));
        let species = clutch.and_then(|clutch| self.clutch_species(clutch)).unwrap_or_default();
        self.legs(stays, &species).0.into_iter().map(|(from, _, track)| (from, track)).collect()
    }

    /// What is believed of a species: its profile, and what the keeper's own hatches taught since.
    pub fn model(&self, species: &str) -> Rc<Model> {
        self.derived(&Learned(species.to_owned()))
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
        let (model, legs) = (self.model(&species), self.legs(&self.stays(egg), &species));
        let told = self.lay_told(egg, eggs, &species, &legs);
        let laid = told.as_ref().map(|told| told.laid).or_else(|| self.laid(egg)).ok_or(Refusal::NoPlace)?;
        let first_pip = eggs.iter().filter_map(|egg| self.pip_of(egg)).min_by_key(|when| when.latest());
        let looks = match (first_pip, self.whereabouts(&egg.id.thing())) {
            (None, Some(Where::Filling(filling))) => self.looks(filling),
            _ => Vec::new(),
        };
        let may_hatch = eggs.iter().filter(|egg| self.may_hatch(egg)).count();
        let asked = Asked {
            laid,
            legs,
            eggs: u32::try_from(may_hatch).unwrap_or(u32::MAX),
            none_by: None,
            first_pip,
            now: NaiveDateTime::MIN,
            model,
        };
        Ok(Ask { egg: egg.id.clone(), species, told, looks, asked, last: RefCell::default() })
    }

    /// The question about a clutch left with its mother that nobody counted: as many eggs as its species usually lays.
    ///
    /// # Errors
    /// Where there can be no window at any moment.
    pub(crate) fn ask_uncounted(&self, nest: &Filling) -> Result<Ask, Refusal> {
        let clutch = nest.brooded.as_ref().and_then(|id| self.clutch(id)).ok_or(Refusal::NoPlace)?;
        let species = self.clutch_species(clutch).unwrap_or_default();
        let laid = self.clutch_laid(&clutch.id).ok_or(Refusal::NoPlace)?;
        let (model, legs) = (self.model(&species), self.legs(&self.box_stays(&nest.id), &species));
        let now = NaiveDateTime::MIN;
        let asked = Asked { laid, legs, eggs: 0, none_by: None, first_pip: None, now, model };
        Ok(Ask { egg: EggId::default(), species, told: None, looks: Vec::new(), asked, last: RefCell::default() })
    }

    /// The hatch window of some eggs of one clutch that share a box, most often all of them.
    ///
    /// # Errors
    /// Why there is none, with what would give one.
    pub fn window_of(&self, eggs: &[&Egg], now: NaiveDateTime) -> Result<Window, Refusal> {
        self.window_at(&self.ask(eggs)?, now)
    }

    pub(crate) fn window_at(&self, ask: &Ask, now: NaiveDateTime) -> Result<Window, Refusal> {
        if let Some((then, answer)) = &*ask.last.borrow()
            && *then == now
        {
            return answer.clone();
        }
        let asked = ask.at(now);
        let answer = window(&asked.model, &asked.question(&asked.legs.as_legs()));
        self.memo.count::<Window>();
        ask.last.replace(Some((now, answer.clone())));
        answer
    }
}

/// Where eggs stood from a moment on.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    pub from: NaiveDateTime,
    pub place: PlaceId,
    /// With their mother, in no box.
    pub nest: bool,
}

/// Stays with their shelves' sums: from when, whose thermometer, and the sums.
#[derive(Clone, Debug)]
struct Legs(Vec<(NaiveDateTime, PlaceId, Rc<Track>)>);

impl Legs {
    fn as_legs(&self) -> Vec<Leg<'_>> {
        self.0.iter().map(|(from, place, track)| Leg { from: *from, place: place.as_str(), track }).collect()
    }
}
