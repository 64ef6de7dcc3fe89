//! Places: a reading, a set temperature, a thermometer's correction, and new places.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};
use book::acts::{IncidentNoted, IncubatorAdded, PlaceAdded, PlaceCard, PlaceEdited, RackAdded, ReadingTaken};
use book::words::PlaceWhat;
use book::{PersonId, PlaceId};
use trade::units::{Humidity, Temp};
use trade::when::When;

/// What a second thermometer shows; anything it can show.
pub fn reading() -> Entry {
    Entry::blank(Ask::temp("Thermometer reading").likely(1_000, 4_500))
}

/// Relative humidity beside it.
pub fn humidity(stands: Option<Humidity>) -> Entry {
    let ask = Ask::new("Humidity, if it shows that", Measure::Percent, (0, 1_000));
    Entry::new(ask, stands.map(|humidity| i64::from(humidity.0)), Units::default())
}

/// What stands in a field of [`humidity`].
pub(super) fn humid(gather: &mut Gather, entry: &Entry) -> Option<Humidity> {
    gather.take(entry).and_then(Humidity::from_tenths)
}

/// `fields`: the temperature and the humidity.
///
/// # Errors
/// No temperature, or a figure that cannot be read.
pub fn read_now(place: PlaceId, fields: (&Entry, &Entry), when: When, units: Units) -> Result<ReadingTaken, Wrong> {
    let mut gather = Gather::new(units);
    let (temp, humidity) = (gather.need_temp(fields.0), humid(&mut gather, fields.1));
    gather.done(ReadingTaken { place, when, temp, humidity, source: String::new() })
}

/// The name of the field for what an incident was.
pub const INCIDENT: &str = "What happened";

/// A power cut or the like at a place, still going on where it has no end.
///
/// # Errors
/// It is not said what happened.
pub fn incident(
    place: PlaceId,
    (from, to): (When, Option<When>),
    what: &str,
    note: String,
) -> Result<IncidentNoted, Wrong> {
    let mut gather = Gather::new(Units::default());
    let what = gather.need_text(INCIDENT, what);
    gather.done(IncidentNoted { places: vec![place], from, to, what, note })
}

/// Another set temperature.
pub fn set_to() -> Entry {
    Entry::blank(Ask::temp("Set to"))
}

/// # Errors
/// No temperature, or one that cannot be read.
pub fn set_anew(entry: &Entry, units: Units) -> Result<Temp, Wrong> {
    let mut gather = Gather::new(units);
    let temp = gather.need_temp(entry);
    gather.done(temp)
}

/// What is added to every reading of a thermometer that is known to be off.
pub fn offset(stands: Option<Temp>, units: Units) -> Entry {
    Entry::of_temp(Ask::new("Thermometer correction", Measure::Step, (-2_000, 2_000)), stands, units)
}

/// A place's own settings.
#[derive(Clone, Debug)]
pub struct PlaceEditForm {
    /// As it stood when the page was opened.
    pub before: PlaceCard,
    pub name: String,
    /// The id of the place around it; empty for none.
    pub within: String,
    pub offset: Entry,
    pub closed: bool,
    /// The id of who looks after it; empty for nobody.
    pub keeper: String,
}

impl PlaceEditForm {
    pub fn new(before: PlaceCard, units: Units) -> PlaceEditForm {
        PlaceEditForm {
            name: before.name.clone(),
            within: before.within.as_ref().map(ToString::to_string).unwrap_or_default(),
            offset: offset(before.offset, units),
            closed: before.closed,
            keeper: before.keeper.as_ref().map(ToString::to_string).unwrap_or_default(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// A correction that cannot be read.
    pub fn act(&self, place: PlaceId, now: &PlaceCard, units: Units) -> Result<PlaceEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = PlaceCard {
            name: self.name.clone(),
            within: Some(self.within.as_str()).filter(|id| !id.is_empty()).map(PlaceId::from),
            offset: gather.temp(&self.offset),
            closed: self.closed,
            keeper: Some(self.keeper.as_str()).filter(|id| !id.is_empty()).map(PersonId::from),
            ..self.before.clone()
        };
        let card = kept!(PlaceCard { what, name, within, set, offset, order, closed, keeper }: typed, self.before, now);
        gather.done(PlaceEdited { place, card })
    }
}

/// What a new place comes to.
#[derive(Clone, Debug)]
pub enum NewPlace {
    Incubator(IncubatorAdded),
    Rack(RackAdded),
    Place(PlaceAdded),
}

/// All that the page of a new place asks.
#[derive(Clone, Debug)]
pub struct PlaceForm {
    pub what: PlaceWhat,
    pub name: String,
    pub within: Option<PlaceId>,
    /// Shelves of an incubator.
    pub shelves: Entry,
    /// Tubs of a rack.
    pub tubs: Entry,
    pub prefix: String,
    /// Of the shelf, or of every shelf of the incubator.
    pub set: Entry,
    /// Of each shelf, where it differs.
    pub each: Vec<Entry>,
}

/// The name of shelf `n`, from 1 on.
pub fn shelf(n: usize) -> String {
    format!("Shelf {n}")
}

impl PlaceForm {
    /// `usual`: what most shelves are set to.
    pub fn new(usual: Option<Temp>, units: Units) -> PlaceForm {
        PlaceForm {
            what: PlaceWhat::Incubator,
            name: String::new(),
            within: None,
            shelves: Entry::of_count(Ask::count("Shelves, top to bottom", 1, IncubatorAdded::MOST as u32), 4),
            tubs: Entry::of_count(Ask::count("Tubs in it", 0, RackAdded::MOST as u32), 20),
            prefix: String::new(),
            set: Entry::of_temp(Ask::temp("Set temperature"), usual, units),
            each: (1..=IncubatorAdded::MOST).map(|n| Entry::blank(Ask::temp(shelf(n)))).collect(),
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units) -> Result<NewPlace, Wrong> {
        let mut gather = Gather::new(units);
        let (name, within) = (self.name.clone(), self.within.clone());
        if self.what == PlaceWhat::Incubator {
            gather.count(&self.shelves);
            // While it cannot be told how many, what is wrong with any of them is told too.
            let n = self.shelves.glance(units).and_then(|n| usize::try_from(n).ok()).unwrap_or(self.each.len());
            let all = gather.temp(&self.set);
            let temps: Vec<_> = self.each.iter().take(n).map(|own| gather.temp(own).or(all)).collect();
            let shelves = (1..).map(shelf).zip(temps).collect();
            return gather.done(NewPlace::Incubator(IncubatorAdded { name, within, shelves }));
        }
        if self.what == PlaceWhat::Rack {
            let n = gather.count(&self.tubs) as usize;
            if n > 0 {
                let act = RackAdded { within, ..RackAdded::with_tubs(name, n, &self.prefix) };
                return gather.done(NewPlace::Rack(act));
            }
        }
        let set = if self.what == PlaceWhat::Shelf { gather.temp(&self.set) } else { None };
        let card = PlaceCard { within, set, ..PlaceCard::new(self.what, name) };
        gather.done(NewPlace::Place(PlaceAdded { id: None, card }))
    }
}
