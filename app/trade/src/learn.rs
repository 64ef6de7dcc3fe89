//! Learning from the keeper's own clutches, and keeping score of past windows.
//!
//! Each clutch says: its development had come this far when it pipped. That is one straight sighting of (a, b, c) and of
//! its shelves' thermometer offsets, blurred by what is not known of the clutch (lay date, assumed temperatures), so
//! a vague clutch weighs less by itself. The update is exact for a pip seen to the minute; a span keeps the exact first
//! two moments. How much clutches differ is learned alongside, by holding several opinions of it and
//! weighing them by how well each foretold what came.

use crate::journey::{Journey, Leg, VAGUEST_DAYS};
use crate::path::days;
use crate::range::range_moments;
use crate::response::Model;
use crate::when::When;
use crate::window::{Range, Spread};
use chrono::NaiveDateTime;

/// When a clutch first pipped, as far as it was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pip {
    /// between two looks (a day, a time, or a span)
    Between(When),
    /// no pip had come by then, and it can no longer be told when one would have: the eggs were cut, sold or moved
    NotBefore(NaiveDateTime),
}

/// One of the keeper's own clutches, to learn from.
#[derive(Clone, Copy, Debug)]
pub struct Hatched<'a> {
    pub laid: When,
    pub legs: &'a [Leg<'a>],
    pub pip: Pip,
    /// eggs that pipped, for the spread within the clutch
    pub eggs: u32,
    pub last_pip: Option<When>,
}

/// What one clutch taught.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lesson {
    /// days later (earlier: negative) than the median foretold just before
    pub off_days: f64,
    /// how far off that is in standard deviations of the forecast
    pub off_sd: f64,
}

/// Why a clutch teaches nothing; the message says what to look at.
#[derive(Clone, Debug, PartialEq)]
pub enum NotLearned {
    NoPlace,
    PipBeforeLay,
    LaidTooVaguely {
        days: f64,
    },
    /// spent too long outside the temperatures the figures cover
    OutsideLimits {
        hours: f64,
    },
    /// so far from everything believed that a slip is likelier than the clutch
    TooFar {
        off_days: f64,
    },
}

impl std::fmt::Display for NotLearned {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoPlace => f.write_str("not counted: no shelf with a temperature is known for it"),
            Self::PipBeforeLay => {
                f.write_str("not counted: the first pip is before the eggs were laid; correct one of the two")
            }
            Self::LaidTooVaguely { days } => write!(f, "not counted: the lay date is open by {days:.0} days"),
            Self::OutsideLimits { hours } => {
                write!(f, "not counted: {hours:.0} hours outside the temperatures the figures cover")
            }
            Self::TooFar { off_days } => {
                write!(f, "not counted: {off_days:+.0} days from what was likely; check its lay date, pip and shelf")
            }
        }
    }
}

impl std::error::Error for NotLearned {}

/// Further off than this many standard deviations a clutch is taken for a slip of the pen.
const SLIP_SD: f64 = 5.0;
/// Thermometers whose offset one species' model follows; those beyond count as strange each time.
const MOST_PLACES: usize = 24;

impl Model {
    /// Learns from one clutch. Give clutches in the order they pipped, so that every device comes to the same numbers.
    /// Nothing changes when it is refused.
    pub fn learn(&mut self, clutch: &Hatched) -> Result<Lesson, NotLearned> {
        let (early, late) = match clutch.pip {
            Pip::Between(w) => (w.earliest(), Some(w.latest())),
            Pip::NotBefore(t) => (t, None),
        };
        let journey = Journey::new(clutch.laid, clutch.legs, late.unwrap_or(early)).ok_or(NotLearned::NoPlace)?;
        if journey.laid_width > VAGUEST_DAYS {
            return Err(NotLearned::LaidTooVaguely { days: journey.laid_width });
        }
        let (t0, t1) = (days(early), late.map(days));
        if t1.unwrap_or(t0) <= journey.laid {
            return Err(NotLearned::PipBeforeLay);
        }
        let u = |t: f64| journey.sums(t).dev.max(1e-12).ln();
        let seen = (u(t0.max(journey.laid)), t1.map_or(f64::INFINITY, u));
        let middle = t1.map_or(t0, |t1| 0.5 * (t0 + t1));
        let sums = journey.sums(middle);
        let outside = sums.outside_days;
        if outside > 2.0f64.max((middle - journey.laid) * 0.1) {
            return Err(NotLearned::OutsideLimits { hours: outside * 24.0 });
        }
        let before = Spread::of(self, &journey, t0);
        let off = if late.is_some() { u(middle) - before.mean } else { (seen.0 - before.mean).max(0.0) };
        let lesson = Lesson { off_days: off * (middle - journey.laid), off_sd: off / before.sd };
        if lesson.off_sd.abs() > SLIP_SD {
            return Err(NotLearned::TooFar { off_days: lesson.off_days });
        }

        for place in journey.places() {
            if self.places.len() < MOST_PLACES && !self.places.iter().any(|p| p == place) {
                self.places.push((*place).to_owned());
                for w in &mut self.worlds {
                    w.belief.push(0.0, self.thermometer_sd);
                }
            }
        }
        let leaning = journey.leaning(middle, self);
        let h = &leaning.h;
        let start: f64 = self.start.iter().zip(h).map(|(a, b)| a * b).sum();
        for w in &mut self.worlds {
            let noise = w.between * w.between + leaning.noise();
            w.ln_weight += w.belief.observe(h, (seen.0 + start, seen.1 + start), noise);
        }
        if let (Some(last), true) = (clutch.last_pip, clutch.eggs > 1 && late.is_some()) {
            let range = u(days(last.middle())) - u(middle);
            let (mean, sd) = range_moments(clutch.eggs);
            if range >= 0.0 {
                self.within.0 += range * range / (mean * mean + sd * sd);
                self.within.1 += 1.0;
            }
        }
        self.own += 1;
        self.summarise();
        Ok(lesson)
    }
}

/// Where a first pip fell against a window foretold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fell {
    TooEarly,
    /// inside the outer days, before the likely ones
    Early,
    Likely,
    Late,
    TooLate,
}

/// Scores one past window. A pip seen only between two looks is put at the middle of them.
pub fn fell(foretold: &Range, pip: When) -> Fell {
    let t = pip.middle();
    match () {
        () if t < foretold.outer.0 => Fell::TooEarly,
        () if t < foretold.likely.0 => Fell::Early,
        () if t <= foretold.likely.1 => Fell::Likely,
        () if t <= foretold.outer.1 => Fell::Late,
        () => Fell::TooLate,
    }
}

#[cfg(test)]
mod tests;
