//! What is seen and done while eggs incubate.

use super::{Over, record};
use crate::ids::*;
use crate::words::{OpenedAs, Seen, Step};
use std::collections::BTreeMap;
use trade::units::{Humidity, Mass, Temp};
use trade::when::When;

record! {
    /// A light through the shells of one box.
    Candling CandlingId {
        filling: Option<FillingId> = "filling",
        when: Option<When> = "when",
        /// Every egg in the box that has ever been looked at, as last time unless changed.
        seen: BTreeMap<EggId, Seen> = "seen",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen filling at when;
    link Candlings { filling by when }
        /// Newest first.
        candlings(FillingId);
}

record! {
    /// A box weighed closed, and what was added. Or, with `baseline`, a new closed mass to go by.
    WaterCheck WaterId {
        filling: Option<FillingId> = "filling",
        when: Option<When> = "when",
        /// Closed, before anything was added.
        mass: Option<Mass> = "mass_mg",
        added: Option<Mass> = "added_mg",
        /// A new lid or box: `mass` is the new fill-to.
        baseline: bool = "baseline",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen filling at when;
    link Waters { filling by when }
        /// Newest first, baselines included.
        water_checks(FillingId);
}

record! {
    /// Anything but water taken out of a box, or (negative) put in: it changes the fill-to mass.
    TakenOut TakenOutId {
        filling: Option<FillingId> = "filling",
        when: Option<When> = "when",
        mass: Option<Mass> = "mass_mg",
        what: Option<String> = "what" => "description" long,
    }
    over Over::Noted;
    seen filling at when;
    link Taken { filling by when }
        /// Newest first.
        taken_out(FillingId);
}

record! {
    /// A thermometer read.
    Reading ReadingId {
        place: Option<PlaceId> = "place",
        when: Option<When> = "when",
        temp: Option<Temp> = "cc",
        humidity: Option<Humidity> = "humidity_pm",
        /// Which thermometer or logger.
        source: Option<String> = "source" long,
    }
    over Over::Noted;
    seen place at when;
    link Readings { place by when }
        /// Newest first.
        readings(PlaceId);
}

record! {
    /// A power cut or the like: one event on everything in the places named.
    Incident IncidentId {
        places: Vec<PlaceId> = "places",
        from: Option<When> = "from",
        to: Option<When> = "to",
        what: Option<String> = "what" => "description" long,
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen places at from;
    link Incidents { places by from }
        /// Newest first.
        incidents(PlaceId);
}

record! {
    /// A step of one egg's hatching, seen between two looks.
    Hatching HatchingId {
        egg: Option<EggId> = "egg",
        step: Option<Step> = "step",
        when: Option<When> = "when",
        /// Of an egg opened by hand: how, why, and what was seen in it.
        opened: Option<OpenedAs> = "opened" => "way of opening",
        why: Option<String> = "why" => "reason" long,
        found: Option<String> = "found" => "what was seen" long,
    }
    over Over::Noted;
    seen egg at when;
    link Hatchings { egg by when }
        /// Newest first.
        hatchings(EggId);
}

record! {
    /// A walk that looked which boxes are there: all of them, or those of one place.
    StockTaking StockTakingId {
        place: Option<PlaceId> = "place",
        when: Option<When> = "when",
        seen: Vec<FillingId> = "seen",
        /// Expected there, and not seen.
        missing: Vec<FillingId> = "missing",
    }
    over Over::Noted;
    seen place at when;
}
