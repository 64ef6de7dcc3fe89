//! The season ahead: how many boxes pip, babies come out, shed and eat in each week, always with a range.
//!
//! A clutch's eggs share their luck twice: one hatch rate and one shift of dates. Clutches share more: of one species,
//! what is not known of its durations; of one shelf, its thermometer; and of their hatch rates what [`crate::luck`] says.
//! So a season is drawn as a whole, many times over, from a seed ([`season`]), and every number is read from the same
//! draws: weeks, sums over weeks, chances of enough, and what a range mostly comes from ([`why`]). What is drawn:
//! [`survival`] (how many), [`timing`] (when). Needs stand on it ([`needs`]).
//!
//! Guarantees: the same groups, moment and seed give the same season; a group's luck hangs on its key, the seed and its
//! species' and shelf's luck only, so a part of the barn adds up with the rest, and a changed clutch moves no other.
//! Absent by design: deaths and sales of babies after they are out, and any clutch nobody has paired for.

mod drawing;
pub(crate) mod draws;
pub mod needs;
pub mod season;
pub mod survival;
pub mod timing;
pub mod why;

pub use season::{Count, Event, Maker, Season, season};
pub use survival::Eggs;
pub use timing::Timing;
pub use why::Cause;

use crate::luck::Of;
use crate::species::Span;
use chrono::NaiveDateTime;

/// Usual times after a pip, each as the span that four of five fall in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct After {
    /// hours from pip to out
    pub out_h: Span,
    /// days from out to the first shed
    pub shed_days: Span,
    /// days from out to the first meal eaten unassisted
    pub meal_days: Span,
}

/// First meals come within this many days of hatching, four times of five (common practice; published: about half of
/// *Pituophis melanoleucus* from 27 and 31 °C had fed by day 30, Burger 1991).
pub const MEAL_DAYS: Span = (12.0, 50.0);

/// A baby that is out already.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Young {
    pub out: NaiveDateTime,
    pub shed: bool,
    pub fed: bool,
}

/// A clutch, laid or only expected, as the forecast takes it.
#[derive(Clone, Debug)]
pub struct Group {
    /// stable text, such as the clutch's id: its own luck is drawn by it
    pub key: String,
    /// whose luck it shares: of one species what is not known of its durations, of one shelf its thermometer, of both
    /// and of the others hatch rates
    pub of: Of,
    /// boxes its eggs lie in; of a box shared by two clutches one of them counts it
    pub boxes: u32,
    /// chance that there are eggs at all: 1 for what is laid
    pub laid: f64,
    pub eggs: Eggs,
    pub timing: Timing,
    pub after: After,
    /// eggs pipped and not out: when each pipped
    pub pipped: Vec<NaiveDateTime>,
    pub young: Vec<Young>,
}
