//! Tubs: when each was cleaned, and when it is to be again by the barn's own rule.

use crate::book::{Book, Written};
use crate::ids::*;
use crate::records::{Cleaning, CleaningRule, Place};
use crate::views::babies::animals_under;
use crate::words::PlaceWhat;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::when::When;

impl Book {
    /// After how many days the tub of an animal of this species is cleaned again; none where the barn has no rule. There is
    /// no usual one: no figure would be right for all that are kept.
    pub fn cleaning_days(&self, species: Option<&str>) -> Option<u32> {
        let own = species.and_then(|species| self.cleaning_rule(&CleaningRule::id_of(Some(species)))?.days);
        own.or_else(|| self.cleaning_rule(&CleaningRule::id_of(None))?.days)
    }

    /// The barn's own rules for cleaning, by species; the one for all among them.
    pub fn all_cleaning_rules(&self) -> impl Iterator<Item = &CleaningRule> {
        self.t.cleaning_rules.values().map(|kept| &kept.record)
    }
}

fn is_tub(place: &Place) -> bool {
    matches!(place.what, Some(PlaceWhat::Tub | PlaceWhat::Slot))
}

/// What is cleaned for an animal: the tub or slot it is in. Who is in none, such as somebody in a room, stands for its own.
pub fn tub_of(book: &Book, animal: &AnimalId) -> Thing {
    let thing = animal.thing();
    book.place_of(&thing).filter(|place| is_tub(place)).map_or(thing, |place| place.id.thing())
}

/// Where the round through tubs goes on: the rack a tub is in, or the tub itself.
pub(super) fn rack_of(book: &Book, tub: &Thing) -> Thing {
    let place = book.place(&tub.id.as_str().into()).filter(|_| tub.kind == Kind::Place);
    let rack = place.map_or_else(|| book.place_of(tub).map(|place| &place.id), |place| place.within.as_ref());
    rack.filter(|rack| book.place(rack).is_some()).map_or_else(|| tub.clone(), PlaceId::thing)
}

/// When a tub is to be cleaned next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NextCleaning {
    /// No rule asks for it, or nobody is in it.
    Never,
    /// A rule asks for it, and nothing is noted to count from: now.
    Unknown,
    On(NaiveDate),
}

impl NextCleaning {
    pub fn is_due(self, today: NaiveDate) -> bool {
        match self {
            NextCleaning::Never => false,
            NextCleaning::Unknown => true,
            NextCleaning::On(day) => day <= today,
        }
    }
}

fn inmates(book: &Book, tub: &Thing) -> Vec<AnimalId> {
    if tub.kind == Kind::Animal {
        return vec![AnimalId::new(tub.id.as_str())];
    }
    let all = book.things_at(&tub.id.as_str().into()).into_iter();
    all.filter(|thing| thing.kind == Kind::Animal).map(|thing| AnimalId::new(thing.id)).collect()
}

/// Counted from the last whole cleaning, or from when the first of those in it came, who come into a clean tub; after the
/// shortest time that is asked for any of them.
pub(super) fn next_cleaning(book: &Book, tub: &Thing) -> NextCleaning {
    let animals = inmates(book, tub);
    let species = animals.iter().map(|id| book.animal(id).and_then(|animal| animal.species.as_deref()));
    let Some(days) = species.filter_map(|species| book.cleaning_days(species)).min() else {
        return NextCleaning::Never;
    };
    let cleaned = book.cleanings(tub).filter(|cleaning| !cleaning.spot).find_map(|cleaning| cleaning.when);
    let came = animals.iter().filter_map(|id| book.moves(&id.thing()).next()?.when).map(When::date).min();
    let since = cleaned.map(When::date).into_iter().chain(came).max();
    match since.and_then(|since| since.checked_add_signed(TimeDelta::days(i64::from(days)))) {
        Some(day) => NextCleaning::On(day),
        None => NextCleaning::Unknown,
    }
}

/// One cleaning.
#[derive(Clone, Debug, PartialEq)]
pub struct CleaningLine {
    pub id: CleaningId,
    pub when: Option<When>,
    pub spot: bool,
    pub note: Option<String>,
    pub written: Option<Written>,
}

/// A tub among those that are cleaned on one walk.
#[derive(Clone, Debug, PartialEq)]
pub struct TubLine {
    /// What a cleaning of it is noted of.
    pub of: Thing,
    /// The tub's name; empty for who is in none.
    pub tub: String,
    /// Who is in it.
    pub names: Vec<String>,
    /// When it was last cleaned whole.
    pub last: Option<When>,
    pub next: NextCleaning,
    /// A cleaning of the last day, whole or not.
    pub lately: Option<CleaningId>,
    /// In quarantine: done last.
    pub apart: bool,
}

/// A rack, room or tub as it is cleaned.
#[derive(Clone, Debug, PartialEq)]
pub struct CleaningView {
    /// With somebody in it, in walking order; those in quarantine last.
    pub tubs: Vec<TubLine>,
    /// When any of them was cleaned last, if within the last day, and whether it was only what was soiled.
    pub cleaned: Option<(When, bool)>,
    /// Those noted of the one tub it is, newest first.
    pub past: Vec<CleaningLine>,
}

/// Marking which tub was left out is for the day of the cleaning.
const MARK_DAYS: i64 = 1;

/// What the cleaning of a place, or of an animal's tub, needs. `None` where there is no such thing.
pub fn cleaning_view(book: &Book, of: &Thing, now: NaiveDateTime) -> Option<CleaningView> {
    let (tubs, past) = tubs(book, of)?;
    let lately = |cleaning: &Cleaning| cleaning.when.filter(|at| now - at.latest() < TimeDelta::days(MARK_DAYS));
    let line = |tub: Thing| {
        let newest = book.cleanings(&tub).find(|cleaning| lately(cleaning).is_some());
        let inmates = inmates(book, &tub);
        TubLine {
            tub: book.place(&tub.id.as_str().into()).and_then(|place| place.name.clone()).unwrap_or_default(),
            names: inmates.iter().map(|id| book.animal_name(id)).collect(),
            last: book.cleanings(&tub).filter(|cleaning| !cleaning.spot).find_map(|cleaning| cleaning.when),
            next: next_cleaning(book, &tub),
            lately: newest.map(|cleaning| cleaning.id.clone()),
            // Who is apart is so in its tub.
            apart: inmates.iter().map(AnimalId::thing).chain([tub.clone()]).any(|of| book.apart(&of).is_some()),
            of: tub,
        }
    };
    let mut tubs: Vec<TubLine> = tubs.into_iter().map(line).collect();
    crate::order::sort(&mut tubs, |line| line.apart);
    let cleaned = tubs.iter().filter_map(|line| {
        let cleaning = book.cleaning(line.lately.as_ref()?)?;
        Some((cleaning.when?, cleaning.spot))
    });
    let past = past.iter().flat_map(|tub| book.cleanings(tub)).map(|cleaning| CleaningLine {
        id: cleaning.id.clone(),
        when: cleaning.when,
        spot: cleaning.spot,
        note: cleaning.note.clone(),
        written: book.written(&cleaning.id.thing()),
    });
    Some(CleaningView { cleaned: cleaned.max_by_key(|(when, _)| when.latest()), past: past.collect(), tubs })
}

/// The tubs that are cleaned with a thing, and those whose cleanings are listed with it.
fn tubs(book: &Book, of: &Thing) -> Option<(Vec<Thing>, Vec<Thing>)> {
    if of.kind == Kind::Animal {
        let animal = AnimalId::new(of.id.as_str());
        if !book.animal(&animal)?.is_here() {
            return Some((Vec::new(), vec![of.clone()]));
        }
        let tub = tub_of(book, &animal);
        // Before it had a tub in the records, its cleanings were noted of itself.
        let past = if tub == *of { vec![tub.clone()] } else { vec![tub.clone(), of.clone()] };
        return Some((vec![tub], past));
    }
    let id = PlaceId::new(of.id.as_str());
    let place = book.place(&id).filter(|_| of.kind == Kind::Place)?;
    let mut all: Vec<Thing> = animals_under(book, &id).iter().map(|(animal, _)| tub_of(book, animal)).collect();
    // Several in one tub are cleaned once; an empty one is cleaned by itself.
    crate::order::keep_first(&mut all, Clone::clone);
    if all.is_empty() && is_tub(place) {
        all.push(of.clone());
    }
    Some((all, vec![of.clone()]))
}
