//! People, places, and species as a barn sees them.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{PersonId, PlaceId, SpeciesId};
use crate::index::{Add, Link};
use crate::words::PlaceWhat;
use trade::species::{Changes, Profile};
use trade::units::Temp;

record! {
    /// Someone who logs: a keeper or helper, by the name they go by.
    Person PersonId {
        name: Option<String> = "name",
    }
    over Over::Never;
    also {
        fn called(&self, _book: &Book) -> Option<String> {
            self.name.clone()
        }
    }
}

record! {
    /// A room, rack, slot, tub, incubator or shelf.
    Place PlaceId {
        what: Option<PlaceWhat> = "what",
        name: Option<String> = "name",
        /// The place it is in. May dangle or go round in circles after a merge; [`crate::Book::path`] bears both.
        within: Option<PlaceId> = "in",
        /// Set temperature, before any [`super::SetPoint`].
        set: Option<Temp> = "set_cc",
        /// What to add to its readings to get the truth (a thermometer that is known to be off).
        offset: Option<Temp> = "offset_cc",
        /// Walking order among its neighbours.
        order: Option<i64> = "order",
        /// No longer in use.
        closed: bool = "closed",
        /// Who looks after it and all in it, but for places in it that somebody else does.
        keeper: Option<PersonId> = "keeper",
    }
    over Over::Never;
    found by id, name;
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let path = book.path_names(&self.id);
            (!path.is_empty()).then(|| path.join(" · "))
        }

        fn more_links(&self, add: &mut Add<'_>) {
            add(Link::Inside, self.within.as_ref().map_or("", PlaceId::as_str), None);
        }
    }
}

/// What a place is sorted by among its neighbours.
pub(crate) type Turn<'a> = (bool, i64, Option<&'a str>, &'a PlaceId);

impl Place {
    /// Its turn among its neighbours; closed ones come last.
    pub(crate) fn among(&self) -> Turn<'_> {
        (self.closed, self.order.unwrap_or(i64::MAX), self.name.as_deref(), &self.id)
    }
}

record! {
    /// The barn's own species, or its own word on a shipped one.
    Species SpeciesId {
        name: Option<String> = "name",
        latin: Option<String> = "latin",
        /// At most three characters, for where there is little room.
        short: Option<String> = "short",
        /// The key of the shipped profile it overrides or borrows from.
        profile: Option<String> = "profile",
        /// Reference duration from lay to pip, in tenths of a day.
        ref_days_x10: Option<i64> = "ref_days_x10",
        /// The temperature of the reference duration.
        ref_temp: Option<Temp> = "ref_cc",
        /// Spread of the reference duration: one standard deviation, percent.
        spread_pct: Option<i64> = "spread_pct",
        /// The coolest and warmest temperature it is kept at.
        low: Option<Temp> = "low_cc",
        high: Option<Temp> = "high_cc",
        /// Where the figures are from.
        source: Option<String> = "source" long,
    }
    over Over::Never;
}

impl Species {
    /// Nothing of its own yet: the barn's word on a shipped species is kept under that one's key.
    pub fn overriding(key: &str) -> Species {
        Species { id: SpeciesId::from(key), profile: Some(key.to_owned()), ..Species::default() }
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
