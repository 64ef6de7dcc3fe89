//! What is seen and done while eggs incubate.

use super::Record;
use crate::fields::Fields;
use crate::ids::*;
use crate::words::{Seen, Step};
use std::collections::BTreeMap;
use trade::units::{Mass, Temp};
use trade::when::When;

/// A light through the shells of one box.
#[derive(Clone, Debug, PartialEq)]
pub struct Candling {
    pub id: CandlingId,
    pub filling: Option<FillingId>,
    pub when: Option<When>,
    /// Every egg in the box that has ever been looked at, as last time unless changed.
    pub seen: BTreeMap<EggId, Seen>,
    pub note: Option<String>,
}

impl Record for Candling {
    const KIND: Kind = Kind::Candling;
    fn read(f: &mut Fields<'_>) -> Self {
        Candling {
            id: f.id(),
            filling: f.link("filling"),
            when: f.when("when"),
            seen: f.word_map("seen"),
            note: f.text("note"),
        }
    }
}

/// A box weighed closed, and what was added. Or, with `baseline`, a new closed mass to go by.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterCheck {
    pub id: WaterId,
    pub filling: Option<FillingId>,
    pub when: Option<When>,
    /// Closed, before anything was added.
    pub mass: Option<Mass>,
    pub added: Option<Mass>,
    /// A new lid or box: `mass` is the new fill-to.
    pub baseline: bool,
    pub note: Option<String>,
}

impl Record for WaterCheck {
    const KIND: Kind = Kind::Water;
    fn read(f: &mut Fields<'_>) -> Self {
        WaterCheck {
            id: f.id(),
            filling: f.link("filling"),
            when: f.when("when"),
            mass: f.mass("mass_mg"),
            added: f.mass("added_mg"),
            baseline: f.flag("baseline"),
            note: f.text("note"),
        }
    }
}

/// Anything but water taken out of a box, or (negative) put in: it changes the fill-to mass.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenOut {
    pub id: TakenOutId,
    pub filling: Option<FillingId>,
    pub when: Option<When>,
    pub mass: Option<Mass>,
    pub what: Option<String>,
}

impl Record for TakenOut {
    const KIND: Kind = Kind::TakenOut;
    fn read(f: &mut Fields<'_>) -> Self {
        TakenOut {
            id: f.id(),
            filling: f.link("filling"),
            when: f.when("when"),
            mass: f.mass("mass_mg"),
            what: f.text("what"),
        }
    }
}

/// A thermometer read.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub id: ReadingId,
    pub place: Option<PlaceId>,
    pub when: Option<When>,
    pub temp: Option<Temp>,
    /// Which thermometer or logger.
    pub source: Option<String>,
}

impl Record for Reading {
    const KIND: Kind = Kind::Reading;
    fn read(f: &mut Fields<'_>) -> Self {
        Reading {
            id: f.id(),
            place: f.link("place"),
            when: f.when("when"),
            temp: f.temp("cc"),
            source: f.text("source"),
        }
    }
}

/// A power cut or the like: one event on everything in the places named.
#[derive(Clone, Debug, PartialEq)]
pub struct Incident {
    pub id: IncidentId,
    pub places: Vec<PlaceId>,
    pub from: Option<When>,
    pub to: Option<When>,
    pub what: Option<String>,
    pub note: Option<String>,
}

impl Record for Incident {
    const KIND: Kind = Kind::Incident;
    fn read(f: &mut Fields<'_>) -> Self {
        Incident {
            id: f.id(),
            places: f.links("places"),
            from: f.when("from"),
            to: f.when("to"),
            what: f.text("what"),
            note: f.text("note"),
        }
    }
}

/// A step of one egg's hatching, seen between two looks.
#[derive(Clone, Debug, PartialEq)]
pub struct Hatching {
    pub id: HatchingId,
    pub egg: Option<EggId>,
    pub step: Option<Step>,
    pub when: Option<When>,
}

impl Record for Hatching {
    const KIND: Kind = Kind::Hatching;
    fn read(f: &mut Fields<'_>) -> Self {
        Hatching { id: f.id(), egg: f.link("egg"), step: f.word("step"), when: f.when("when") }
    }
}

/// A walk that looked which boxes are there: all of them, or those of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct StockTaking {
    pub id: StockTakingId,
    pub place: Option<PlaceId>,
    pub when: Option<When>,
    pub seen: Vec<FillingId>,
    /// Expected there, and not seen.
    pub missing: Vec<FillingId>,
}

impl Record for StockTaking {
    const KIND: Kind = Kind::StockTaking;
    fn read(f: &mut Fields<'_>) -> Self {
        StockTaking {
            id: f.id(),
            place: f.link("place"),
            when: f.when("when"),
            seen: f.links("seen"),
            missing: f.links("missing"),
        }
    }
}
