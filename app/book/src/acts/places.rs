//! Places, what is read there, and the barn's own species figures.

use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, all_there, draft, fresh, id_or_fresh, in_order, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Incident, Place, Reading, Species};
use crate::words::PlaceWhat;
use chrono::NaiveDateTime;
use journal::Draft;
use trade::species::Profile;
use trade::units::{Humidity, Temp};
use trade::when::When;

/// All of a place that a form edits.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceCard {
    pub what: PlaceWhat,
    pub name: String,
    pub within: Option<PlaceId>,
    pub set: Option<Temp>,
    pub offset: Option<Temp>,
    pub order: Option<i64>,
    pub closed: bool,
    /// Who looks after it.
    pub keeper: Option<PersonId>,
}

/// What a place is shown as that a newer program calls by another word.
const UNREAD: PlaceWhat = PlaceWhat::Room;

impl PlaceCard {
    /// An open place with a name.
    pub fn new(what: PlaceWhat, name: impl Into<String>) -> PlaceCard {
        PlaceCard {
            what,
            name: name.into(),
            within: None,
            set: None,
            offset: None,
            order: None,
            closed: false,
            keeper: None,
        }
    }

    /// As it stands in the book.
    pub fn of(book: &Book, place: &PlaceId) -> Option<PlaceCard> {
        let p = book.place(place)?;
        Some(PlaceCard {
            what: p.what.unwrap_or(UNREAD),
            name: p.name.clone().unwrap_or_default(),
            within: p.within.clone(),
            set: p.set,
            offset: p.offset,
            order: p.order,
            closed: p.closed,
            keeper: p.keeper.clone(),
        })
    }

    pub(super) fn row(&self) -> Row<Place> {
        Row::new()
            .with(Place::what, self.what)
            .with(Place::name, &self.name)
            .with(Place::within, self.within.as_ref())
            .with(Place::set, self.set)
            .with(Place::offset, self.offset)
            .with(Place::order, self.order)
            .with(Place::closed, self.closed)
            .with(Place::keeper, self.keeper.as_ref())
    }

    pub(super) fn check(&self, book: &Book, own: Option<&PlaceId>) -> Result<(), Refusal> {
        if self.name.trim().is_empty() {
            return Err(Refusal::Missing { what: "a name for the place" });
        }
        real_temp(self.set)?;
        if let Some(keeper) = &self.keeper {
            there(book, keeper.clone())?;
        }
        if let Some(within) = &self.within {
            there(book, within.clone())?;
            if own.is_some_and(|own| book.path(within).iter().any(|place| &place.id == own)) {
                return Err(Refusal::InItself { name: self.name.clone() });
            }
        }
        Ok(())
    }

    fn doubts(&self) -> Vec<Doubt> {
        let incubates = matches!(self.what, PlaceWhat::Incubator | PlaceWhat::Shelf);
        if incubates { odd_temp(self.set) } else { Vec::new() }
    }
}

pub(super) fn real_temp(temp: Option<Temp>) -> Result<(), Refusal> {
    match temp {
        Some(temp) if !(0..=6000).contains(&temp.0) => Err(Refusal::BadTemp { temp }),
        _ => Ok(()),
    }
}

/// Refuses what no air has; a record of it could not be read either.
pub(super) fn real_humidity(humidity: Option<Humidity>) -> Result<(), Refusal> {
    match humidity {
        Some(Humidity(tenths)) if tenths > 1000 => Err(Refusal::Missing { what: "a humidity from 0 to 100 %" }),
        _ => Ok(()),
    }
}

/// No snake or gecko eggs here are kept below 18 or above 35 °C (common practice, no source).
pub(super) fn odd_temp(temp: Option<Temp>) -> Vec<Doubt> {
    let odd = temp.filter(|temp| !(1800..=3500).contains(&temp.0));
    odd.map(|temp| Doubt::OddTemp { temp }).into_iter().collect()
}

/// A new place.
#[derive(Clone, Debug)]
pub struct PlaceAdded {
    /// From a scanned blank label.
    pub id: Option<PlaceId>,
    pub card: PlaceCard,
}

impl Act for PlaceAdded {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        self.card.check(book, None)?;
        let preset = self.id.as_ref().map(PlaceId::as_str);
        let (id, used) = id_or_fresh(book, Kind::Place, preset, mint)?;
        let order = self.card.order.or_else(|| Some(next_order(book, self.card.within.as_ref())));
        let card = PlaceCard { order, ..self.card.clone() };
        let mut sets = vec![card.row().create(book, &id)];
        sets.extend(used);
        draft("PlaceAdded", sets)
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        self.card.doubts()
    }
}

/// Behind its neighbours, in walking order.
pub(super) fn next_order(book: &Book, within: Option<&PlaceId>) -> i64 {
    book.places_in(within).iter().filter_map(|place| place.order).max().unwrap_or(0).saturating_add(1)
}

/// Anything of a place changed, its set temperature included; only what differs is written.
#[derive(Clone, Debug)]
pub struct PlaceEdited {
    pub place: PlaceId,
    pub card: PlaceCard,
}

impl Act for PlaceEdited {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let place = book.place(&self.place).ok_or_else(|| Refusal::NoSuch { thing: self.place.thing() })?;
        self.card.check(book, Some(&self.place))?;
        let row = self.card.row().shown(Place::what, self.card.what, place.what, UNREAD);
        let change = row.change(book, self.place.as_str());
        draft("PlaceEdited", change.into_iter().collect())
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        self.card.doubts()
    }
}

/// An incubator with its shelves, top to bottom, in one act.
#[derive(Clone, Debug)]
pub struct IncubatorAdded {
    pub name: String,
    pub within: Option<PlaceId>,
    /// Each shelf's name and set temperature.
    pub shelves: Vec<(String, Option<Temp>)>,
}

impl IncubatorAdded {
    /// The most shelves in one act.
    pub const MOST: usize = 40;

    /// `n` shelves, all set to one temperature, named by a word and a number: "Shelf 1", "Shelf 2"…
    pub fn with_shelves(name: impl Into<String>, n: usize, word: &str, set: Temp) -> IncubatorAdded {
        let shelves = (1..=n).map(|i| (format!("{word} {i}"), Some(set))).collect();
        IncubatorAdded { name: name.into(), within: None, shelves }
    }
}

impl Act for IncubatorAdded {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.shelves.is_empty() {
            return Err(Refusal::Missing { what: "at least one shelf" });
        }
        if self.shelves.len() > IncubatorAdded::MOST {
            return Err(Refusal::TooMany { what: "shelves", most: 40 });
        }
        let incubator = PlaceCard {
            within: self.within.clone(),
            order: Some(next_order(book, self.within.as_ref())),
            ..PlaceCard::new(PlaceWhat::Incubator, &*self.name)
        };
        incubator.check(book, None)?;
        let id = fresh(book, mint);
        let mut sets = vec![incubator.row().create(book, &id)];
        for (order, (name, set)) in (1..).zip(&self.shelves) {
            let shelf = PlaceCard { set: *set, order: Some(order), ..PlaceCard::new(PlaceWhat::Shelf, &**name) };
            shelf.check(book, None)?;
            if self.shelves.iter().filter(|(other, _)| other.trim() == name.trim()).count() > 1 {
                return Err(Refusal::Twice { what: format!("Shelf {name}") });
            }
            let row = PlaceCard { within: Some(PlaceId::new(id.as_str())), ..shelf }.row();
            sets.push(row.create(book, &fresh(book, mint)));
        }
        draft("IncubatorAdded", sets)
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let set: Vec<Option<Temp>> = self.shelves.iter().map(|(_, set)| *set).collect();
        crate::order::set_of(set).into_iter().flat_map(odd_temp).collect()
    }
}

/// A rack with its tubs or slots, in walking order, in one act.
#[derive(Clone, Debug)]
pub struct RackAdded {
    pub name: String,
    pub within: Option<PlaceId>,
    /// Tubs or slots.
    pub what: PlaceWhat,
    pub names: Vec<String>,
}

impl RackAdded {
    /// The most tubs in one act.
    pub const MOST: usize = 200;

    /// `n` tubs called by a word or letter and a number: "A1", "A2"…
    pub fn with_tubs(name: impl Into<String>, n: usize, prefix: &str) -> RackAdded {
        let names = (1..=n).map(|i| format!("{prefix}{i}")).collect();
        RackAdded { name: name.into(), within: None, what: PlaceWhat::Tub, names }
    }
}

impl Act for RackAdded {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.names.is_empty() {
            return Err(Refusal::Missing { what: "at least one tub" });
        }
        if self.names.len() > RackAdded::MOST {
            return Err(Refusal::TooMany { what: "tubs", most: 200 });
        }
        let rack = PlaceCard {
            within: self.within.clone(),
            order: Some(next_order(book, self.within.as_ref())),
            ..PlaceCard::new(PlaceWhat::Rack, &*self.name)
        };
        rack.check(book, None)?;
        let id = fresh(book, mint);
        let mut sets = vec![rack.row().create(book, &id)];
        for (i, name) in self.names.iter().enumerate() {
            let order = i64::try_from(i).unwrap_or(i64::MAX).saturating_add(1);
            let tub = PlaceCard { order: Some(order), ..PlaceCard::new(self.what, &**name) };
            tub.check(book, None)?;
            if self.names[..i].iter().any(|other| other.trim() == name.trim()) {
                return Err(Refusal::Twice { what: format!("Tub {name}") });
            }
            let row = PlaceCard { within: Some(PlaceId::new(id.as_str())), ..tub }.row();
            sets.push(row.create(book, &fresh(book, mint)));
        }
        draft("RackAdded", sets)
    }
}

/// A thermometer read.
#[derive(Clone, Debug)]
pub struct ReadingTaken {
    pub place: PlaceId,
    pub when: When,
    pub temp: Temp,
    /// Where the thermometer shows that too.
    pub humidity: Option<Humidity>,
    /// Which thermometer.
    pub source: String,
}

impl Act for ReadingTaken {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.place.clone())?;
        not_future("reading", self.when, now)?;
        real_temp(Some(self.temp))?;
        real_humidity(self.humidity)?;
        let row = Row::new()
            .with(Reading::place, &self.place)
            .with(Reading::when, self.when)
            .with(Reading::temp, self.temp)
            .with(Reading::humidity, self.humidity)
            .with(Reading::source, &self.source);
        draft("ReadingTaken", vec![row.observe()])
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        odd_temp(Some(self.temp))
    }
}

/// A power cut or the like: one event on everything in these places.
#[derive(Clone, Debug)]
pub struct IncidentNoted {
    pub places: Vec<PlaceId>,
    pub from: When,
    pub to: Option<When>,
    pub what: String,
    pub note: String,
}

impl Act for IncidentNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_there(book, &self.places)?;
        if self.places.is_empty() {
            return Err(Refusal::Missing { what: "the places it happened to" });
        }
        if self.what.trim().is_empty() {
            return Err(Refusal::Missing { what: "what happened" });
        }
        not_future("incident", self.from, now)?;
        in_order(("the beginning", Some(self.from)), ("the end", self.to))?;
        let row = Row::new()
            .with(Incident::places, &self.places)
            .with(Incident::from, self.from)
            .with(Incident::to, self.to)
            .with(Incident::what, &self.what)
            .with(Incident::note, &self.note);
        draft("IncidentNoted", vec![row.observe()])
    }
}

/// The barn's own species, or its own word on a shipped one. Every field as it shall be.
#[derive(Clone, Debug)]
pub struct SpeciesSet {
    /// `None` for a new one; a shipped one's key for the barn's own word on that.
    pub id: Option<SpeciesId>,
    /// The id in it is not looked at.
    pub species: Species,
}

impl Act for SpeciesSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let s = &self.species;
        let shipped = self.id.as_ref().is_some_and(|id| Profile::find(id.as_str()).is_some());
        if !shipped && s.name.as_deref().unwrap_or("").trim().is_empty() {
            return Err(Refusal::Missing { what: "a name for the species" });
        }
        s.base().with("", &s.changes()).map_err(Refusal::BadFigures)?;
        let own = self.id.as_ref().filter(|id| shipped && book.own_species(id).is_none());
        if own.is_some_and(|id| Species { id: id.clone(), ..s.clone() } == Species::overriding(id.as_str())) {
            return Err(Refusal::NothingChanged);
        }
        let row = Row::new()
            .with(Species::name, s.name.as_ref())
            .with(Species::latin, s.latin.as_ref())
            .with(Species::short, s.short.as_ref())
            .with(Species::profile, s.profile.as_ref())
            .with(Species::ref_days_x10, s.ref_days_x10)
            .with(Species::ref_temp, s.ref_temp)
            .with(Species::spread_pct, s.spread_pct)
            .with(Species::low, s.low)
            .with(Species::high, s.high)
            .with(Species::source, s.source.as_ref());
        let set = match &self.id {
            Some(id) => {
                if !shipped {
                    there(book, id.clone())?;
                }
                row.change(book, id.as_str())
            }
            None => Some(row.create(book, &fresh(book, mint))),
        };
        draft("SpeciesSet", set.into_iter().collect())
    }
}
