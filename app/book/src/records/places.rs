//! People, places, and species as a barn sees them.

use super::Record;
use crate::fields::Fields;
use crate::ids::{Kind, PersonId, PlaceId, SpeciesId};
use crate::words::PlaceWhat;
use trade::species::{Changes, Profile};
use trade::units::Temp;

/// Someone who logs: a keeper or helper, by the name they go by.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    pub id: PersonId,
    pub name: Option<String>,
}

/// A room, rack, slot, tub, incubator or shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    pub id: PlaceId,
    pub what: Option<PlaceWhat>,
    pub name: Option<String>,
    /// The place it is in. May dangle or go round in circles after a merge; [`crate::Book::path`] bears both.
    pub within: Option<PlaceId>,
    /// Set temperature, before any [`super::SetPoint`].
    pub set: Option<Temp>,
    /// What to add to its readings to get the truth (a thermometer that is known to be off).
    pub offset: Option<Temp>,
    /// Walking order among its neighbours.
    pub order: Option<i64>,
    /// No longer in use.
    pub closed: bool,
    /// Who looks after it and all in it, but for places in it that somebody else does.
    pub keeper: Option<PersonId>,
}

impl Record for Place {
    const KIND: Kind = Kind::Place;
    fn read(f: &mut Fields<'_>) -> Self {
        Place {
            id: f.id(),
            what: f.word("what"),
            name: f.text("name"),
            within: f.link("in"),
            set: f.temp("set_cc"),
            offset: f.temp("offset_cc"),
            order: f.whole("order"),
            closed: f.flag("closed"),
            keeper: f.link("keeper"),
        }
    }
}

impl Place {
    /// Its turn among its neighbours; closed ones come last.
    pub(crate) fn among(&self) -> (bool, i64, Option<&str>, &PlaceId) {
        (self.closed, self.order.unwrap_or(i64::MAX), self.name.as_deref(), &self.id)
    }
}

impl Record for Person {
    const KIND: Kind = Kind::Person;
    fn read(f: &mut Fields<'_>) -> Self {
        Person { id: f.id(), name: f.text("name") }
    }
}

/// The barn's own species, or its own word on a shipped one.
#[derive(Clone, Debug, PartialEq)]
pub struct Species {
    pub id: SpeciesId,
    pub name: Option<String>,
    pub latin: Option<String>,
    /// At most three characters, for where there is little room.
    pub short: Option<String>,
    /// The key of the shipped profile it overrides or borrows from.
    pub profile: Option<String>,
    /// Reference duration from lay to pip, in tenths of a day.
    pub ref_days_x10: Option<i64>,
    /// The temperature of the reference duration.
    pub ref_temp: Option<Temp>,
    /// Spread of the reference duration: one standard deviation, percent.
    pub spread_pct: Option<i64>,
    /// The coolest and warmest temperature it is kept at.
    pub low: Option<Temp>,
    pub high: Option<Temp>,
    /// Where the figures are from.
    pub source: Option<String>,
}

impl Species {
    /// Nothing of its own yet: the barn's word on a shipped species is kept under that one's key.
    pub fn overriding(key: &str) -> Species {
        Species {
            id: SpeciesId::from(key),
            name: None,
            latin: None,
            short: None,
            profile: Some(key.to_owned()),
            ref_days_x10: None,
            ref_temp: None,
            spread_pct: None,
            low: None,
            high: None,
            source: None,
        }
    }

    /// The profile it overrides or borrows from.
    pub fn base(&self) -> Profile {
        let shipped = || Profile::find(self.id.as_str());
        self.profile.as_deref().and_then(Profile::find).or_else(shipped).unwrap_or_else(Profile::unlisted)
    }

    /// What it says otherwise than its base.
    pub fn changes(&self) -> Changes {
        let celsius = |temp: Option<Temp>| temp.map(Temp::celsius);
        Changes {
            name: self.name.clone(),
            latin: self.latin.clone(),
            short: self.short.clone(),
            ref_days: self.ref_days_x10.map(|days| days as f64 / 10.0),
            ref_c: celsius(self.ref_temp),
            spread_pct: self.spread_pct.map(|pct| pct as f64),
            low_c: celsius(self.low),
            high_c: celsius(self.high),
            source: self.source.clone(),
        }
    }
}

impl Record for Species {
    const KIND: Kind = Kind::Species;
    fn read(f: &mut Fields<'_>) -> Self {
        Species {
            id: f.id(),
            name: f.text("name"),
            latin: f.text("latin"),
            short: f.text("short"),
            profile: f.text("profile"),
            ref_days_x10: f.whole("ref_days_x10"),
            ref_temp: f.temp("ref_cc"),
            spread_pct: f.whole("spread_pct"),
            low: f.temp("low_cc"),
            high: f.temp("high_cc"),
            source: f.text("source"),
        }
    }
}
