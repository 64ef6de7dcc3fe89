//! The hatch window: when the first and the last egg of a clutch are likely to pip.
//!
//! Development is the sum of rates over the clutch's temperatures; a pip comes where it reaches 1. The logarithm of
//! that sum leans in a straight line on everything that is not known (the species' numbers, this clutch, the
//! thermometer, the days ahead, the lay date), so its spread is a sum of variances and each share has a name.

use crate::gauss::{below, quantile, truncated};
use crate::journey::{Journey, Leaning, Leg, VAGUEST_DAYS};
use crate::path::{Reading, Sums, days, moment};
use crate::range::{below_range, range_moments, range_quantile};
use crate::response::{Basis, Model};
use crate::when::When;
use chrono::{NaiveDate, NaiveDateTime};

/// What a window is asked for: one clutch, or one egg of a species that lays them one by one.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// when the eggs were laid; a day or a span widens the window by what it leaves open
    pub laid: When,
    /// where they have been since, in order of time; the last goes on
    pub legs: &'a [Leg<'a>],
    /// eggs that may still hatch; 0 takes the species' usual clutch
    pub eggs: u32,
    /// the latest look at which no egg had pipped
    pub none_by: Option<NaiveDateTime>,
    /// the first pip, as the span between two looks
    pub first_pip: Option<When>,
    pub now: NaiveDateTime,
}

/// Moments between which something is likely, and very likely, to happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range {
    /// as likely before as after
    pub median: NaiveDateTime,
    /// four times of five in here
    pub likely: (NaiveDateTime, NaiveDateTime),
    /// nineteen times of twenty in here
    pub outer: (NaiveDateTime, NaiveDateTime),
}

/// Where a clutch stands against its window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// the look-from date is not yet here
    Before,
    /// look every evening
    Open,
    /// a pip should have come: 97.5 % of the window as it was without looking has passed
    Passed,
    /// the first has pipped
    Hatching,
}

/// What a window's spread is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// the figures for this species or line
    Figures,
    /// clutches differ
    Clutch,
    /// the shelf's thermometer may be off
    Thermometer,
    /// set point assumed in gaps and for the days ahead; odd readings
    Assumed,
    /// when the eggs were laid
    LayDate,
    /// time spent outside the temperatures the figures cover
    OutsideLimits,
}

/// Which side of a range a temperature is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Cold,
    Hot,
}

/// Why the window is what it is: facts for the page to put in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    pub basis: Basis,
    /// days since lay, and how much of them the temperature was read rather than assumed
    pub days_since_lay: f64,
    pub days_read: f64,
    /// mean °C over what was read; `None` when nothing was
    pub mean_read_c: Option<f64>,
    /// °C assumed for the days ahead, give or take [`crate::journey::ASSUMED_C`]
    pub ahead_c: f64,
    /// the lay date is open by this many days in all
    pub lay_days: f64,
    /// hours since lay outside the temperatures the figures cover
    pub outside_hours: f64,
    /// readings since lay that do not fit those around them, as shown: worth a look
    pub odd: Vec<Reading>,
    /// the temperature now, or assumed now, is outside what the species tolerates
    pub not_tolerated: Option<(Side, f64)>,
    /// standard deviation, in days, that each cause alone would leave; widest first. The first says what would
    /// narrow the window most.
    pub causes: Vec<(Cause, f64)>,
}

/// A hatch window.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// first pip, given what was seen so far
    pub first: Range,
    /// last pip of the clutch
    pub last: Range,
    /// first pip as it stood without any look: what a label printed early says, and what scores are kept of
    pub unlooked: Range,
    pub stage: Stage,
    /// share of development done now, 0–1: median, and its likely range
    pub developed: f64,
    pub developed_likely: (f64, f64),
    pub why: Why,
}

impl Window {
    /// The day to look from: the start of the likely days as they stood without looking.
    pub fn look_from(&self) -> NaiveDate {
        self.unlooked.likely.0.date()
    }
}

/// Why there is no window; the message says what would give one.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// no leg: nothing is known of where the eggs are
    NoPlace,
    /// laid after now
    NotLaidYet,
    /// the lay date is open by more than [`VAGUEST_DAYS`]
    LaidTooVaguely { days: f64 },
    /// the days ahead are assumed at a temperature the figures do not cover
    AheadOutside { celsius: f64, limits: (f64, f64) },
    /// too much of the time so far was outside what the figures cover
    SoFarOutside { hours: f64, limits: (f64, f64) },
    /// the first pip is put before lay
    PipBeforeLay,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoPlace => f.write_str(
                "put the box on a shelf with a set point or a reading: without a temperature there is no window",
            ),
            Self::NotLaidYet => f.write_str("the lay date is after now: correct one of the two"),
            Self::LaidTooVaguely { days } => {
                write!(
                    f,
                    "the lay date is open by {days:.0} days: narrow it to {VAGUEST_DAYS:.0} or fewer for a window"
                )
            }
            Self::AheadOutside { celsius, limits: (lo, hi) } => write!(
                f,
                "{celsius:.1} °C lies outside {lo:.1}–{hi:.1} °C, where durations are known for this species: no window rather than a guess"
            ),
            Self::SoFarOutside { hours, limits: (lo, hi) } => write!(
                f,
                "{hours:.0} hours since lay were outside {lo:.1}–{hi:.1} °C, where durations are known for this species: no window rather than a guess"
            ),
            Self::PipBeforeLay => f.write_str("the first pip is before the eggs were laid: correct one of the two"),
        }
    }
}

impl std::error::Error for Refusal {}

const MEDIAN: f64 = 0.5;
const LIKELY: f64 = 0.1;
const OUTER: f64 = 0.025;
/// The same in standard deviations of a normal.
const LIKELY_Z: f64 = 1.281_551_565_544_600_4;
const OUTER_Z: f64 = 1.959_963_984_540_054;
/// Outside hours are forgiven up to a tenth of the time since lay, and never below this (our choice, no source).
const FORGIVEN_HOURS: f64 = 48.0;

/// The hatch window of one clutch under what is believed of its species.
///
/// Cost: a few look-ups in each leg's sums, none over its readings.
pub fn window(model: &Model, q: &Question) -> Result<Window, Refusal> {
    let Ready { journey, spread, so_far, since, now } = ready(model, q)?;
    let outside_hours = so_far.outside_days * 24.0;
    let eggs = if q.eggs == 0 { model.usual_eggs } else { q.eggs };
    let at = |u: f64| moment(journey.when_reaches(u.exp()));
    let unlooked = Range::from_normal(|z| at(spread.mean + spread.sd * z));
    let (first, last, stage);
    match q.first_pip {
        Some(pip) => {
            let (early, late) = (days(pip.earliest()), days(pip.latest().min(q.now).max(pip.earliest())));
            if late <= journey.laid - 0.5 * journey.laid_width {
                return Err(Refusal::PipBeforeLay);
            }
            first = Range::from(|p| moment(early + (late - early) * p));
            last = rest_of_clutch(&journey, model.within_sd(), eggs, (early, late), now, first);
            stage = Stage::Hatching;
        }
        None => {
            let seen = q.none_by.map(|t| journey.sums(days(t.min(q.now)).max(journey.laid)).dev.max(1e-12).ln());
            let floor = seen.map_or(f64::NEG_INFINITY, |u| (u - spread.mean) / spread.sd);
            // Beyond nine deviations the tail is noise; the stage says by then that something is wrong.
            let left = below(-floor.min(9.0));
            // With all of the spread still ahead there is nothing to take away.
            first = if left > 1.0 - 1e-12 {
                unlooked
            } else {
                Range::from(|p| at(spread.mean - spread.sd * quantile((1.0 - p) * left)))
            };
            let (m, v, _) = truncated(floor.min(9.0), f64::INFINITY);
            let (gap, gap_sd) = range_moments(eggs);
            let within = model.within_sd();
            let mean = spread.mean + spread.sd * m + within * gap;
            let sd = (spread.sd * spread.sd * v + (within * gap_sd).powi(2)).sqrt();
            last = if eggs < 2 { first } else { Range::from_normal(|z| at(mean + sd * z)).not_before(first) };
            let gone = below((so_far.dev.max(1e-12).ln() - spread.mean) / spread.sd);
            stage = if gone >= 1.0 - OUTER {
                Stage::Passed
            } else if q.now.date() >= unlooked.likely.0.date() {
                Stage::Open
            } else {
                Stage::Before
            };
        }
    }

    let share = |u: f64| (so_far.dev / u.exp()).clamp(0.0, 1.0);
    let (developed, developed_likely) = if stage == Stage::Hatching {
        (1.0, (1.0, 1.0))
    } else {
        let z = LIKELY_Z * spread.sd;
        (share(spread.mean), (share(spread.mean + z), share(spread.mean - z)))
    };
    let (c_now, is_read) = journey.temperature(q.now);
    let not_tolerated = match model.tolerated {
        (lo, _) if c_now < lo => Some((Side::Cold, c_now)),
        (_, hi) if c_now > hi => Some((Side::Hot, c_now)),
        _ => None,
    };
    let why = Why {
        basis: model.basis(),
        days_since_lay: since,
        days_read: so_far.read_days,
        // A reading taken as the eggs came has lasted no time yet, and was taken all the same.
        mean_read_c: if so_far.read_days > 0.01 {
            Some(so_far.read_degrees / so_far.read_days)
        } else {
            is_read.then_some(c_now)
        },
        ahead_c: journey.assumed_after(now).next().unwrap_or(c_now),
        lay_days: journey.laid_width,
        outside_hours,
        odd: journey.odd(now),
        not_tolerated,
        causes: spread.causes(days(unlooked.median) - journey.laid),
    };
    Ok(Window { first, last, unlooked, stage, developed, developed_likely, why })
}

/// What a window is read from, once the question makes sense.
pub(crate) struct Ready<'a> {
    pub journey: Journey<'a>,
    pub spread: Spread,
    pub so_far: Sums,
    /// days since lay
    pub since: f64,
    pub now: f64,
}

pub(crate) fn ready<'a>(model: &Model, q: &Question<'a>) -> Result<Ready<'a>, Refusal> {
    if q.laid.earliest() > q.now {
        return Err(Refusal::NotLaidYet);
    }
    let journey = Journey::new(q.laid, q.legs, q.now).ok_or(Refusal::NoPlace)?;
    if journey.laid_width > VAGUEST_DAYS {
        return Err(Refusal::LaidTooVaguely { days: journey.laid_width });
    }
    let now = days(q.now);
    let so_far = journey.sums(now.max(journey.laid));
    let since = (now - journey.laid).max(0.0);
    let outside_hours = so_far.outside_days * 24.0;
    if outside_hours > FORGIVEN_HOURS.max(since * 2.4) {
        return Err(Refusal::SoFarOutside { hours: outside_hours, limits: model.limits });
    }

    let spread = Spread::of(model, &journey, now);
    let needed_ahead = q.first_pip.is_none() && so_far.dev.max(1e-9).ln() < spread.mean + 2.0 * spread.sd;
    if needed_ahead && let Some(celsius) = journey.assumed_after(now).find(|c| !model.inside(*c)) {
        return Err(Refusal::AheadOutside { celsius, limits: model.limits });
    }
    Ok(Ready { journey, spread, so_far, since, now })
}

impl Range {
    /// From the moment below which it lies with a chance.
    fn from(at: impl Fn(f64) -> NaiveDateTime) -> Self {
        Self { median: at(MEDIAN), likely: (at(LIKELY), at(1.0 - LIKELY)), outer: (at(OUTER), at(1.0 - OUTER)) }
    }

    /// The same for a normal spread, from the moment at so many standard deviations.
    fn from_normal(at: impl Fn(f64) -> NaiveDateTime) -> Self {
        let (likely, outer) = (LIKELY_Z, OUTER_Z);
        Self { median: at(0.0), likely: (at(-likely), at(likely)), outer: (at(-outer), at(outer)) }
    }

    /// The chance that it has come by `t`, 0–1: in straight lines between what the range holds, nothing beyond its outer
    /// ends. For shading, not for sums.
    pub fn chance_by(&self, t: NaiveDateTime) -> f64 {
        let marks = [
            (self.outer.0, 0.0),
            (self.likely.0, LIKELY),
            (self.median, MEDIAN),
            (self.likely.1, 1.0 - LIKELY),
            (self.outer.1, 1.0),
        ];
        let i = marks.partition_point(|mark| mark.0 <= t);
        match (i.checked_sub(1).map(|i| marks[i]), marks.get(i)) {
            (None, _) => 0.0,
            (_, None) => 1.0,
            (Some(a), Some(b)) => {
                let whole = (b.0 - a.0).num_seconds().max(1) as f64;
                a.1 + (b.1 - a.1) * (t - a.0).num_seconds() as f64 / whole
            }
        }
    }

    /// Each day of the outer range with the chance of its being the day; the chances sum to 1.
    pub fn days(&self) -> Vec<(NaiveDate, f64)> {
        let first = self.outer.0.date();
        let last = self.outer.1.date();
        let midnight = |day: NaiveDate| day.and_time(chrono::NaiveTime::MIN);
        let days = first.iter_days().take_while(|day| *day <= last && (*day - first).num_days() < 400);
        days.map(|day| {
            let next = day.succ_opt().unwrap_or(day);
            (day, self.chance_by(midnight(next)) - self.chance_by(midnight(day)))
        })
        .collect()
    }

    fn not_before(self, o: Self) -> Self {
        let later = |a: (NaiveDateTime, NaiveDateTime), b: (NaiveDateTime, NaiveDateTime)| (a.0.max(b.0), a.1.max(b.1));
        Self {
            median: self.median.max(o.median),
            likely: later(self.likely, o.likely),
            outer: later(self.outer, o.outer),
        }
    }
}

/// The last pip once the first was seen between `early` and `late` (days): by the spread within a clutch.
fn rest_of_clutch(
    journey: &Journey,
    within: f64,
    eggs: u32,
    (early, late): (f64, f64),
    now: f64,
    first: Range,
) -> Range {
    if eggs < 2 {
        return first;
    }
    let u = |t: f64| journey.sums(t).dev.max(1e-12).ln();
    // The earlier end of the range from the earlier look, the later from the later: wider, never too narrow.
    let at = |p: f64| {
        let from = u(early + (late - early) * p);
        let over = ((u(now) - from) / within).max(0.0);
        // A clutch still unfinished where next to none is: the stragglers' tail is not modelled, show "now".
        if below_range(eggs, over) > 1.0 - 1e-6 {
            return moment(now);
        }
        moment(journey.when_reaches((from + within * range_quantile(eggs, p, over)).exp()))
    };
    Range::from(at).not_before(first)
}

/// ln development at the first pip: its mean and spread, and what the spread is made of.
pub(crate) struct Spread {
    pub mean: f64,
    pub sd: f64,
    pub parts: [(Cause, f64); 6],
}

impl Spread {
    /// Taken at the median pip, or now when that is past: the parts hardly change within a window.
    pub fn of(model: &Model, journey: &Journey, now: f64) -> Self {
        let shift = |l: &Leaning| {
            model.belief.mean_of(&l.h) - l.h[0] * model.start[0] - l.h[1] * model.start[1] - l.h[2] * model.start[2]
        };
        let first_guess = journey.leaning(journey.when_reaches(1.0).max(now), model);
        let t = journey.when_reaches(shift(&first_guess).exp()).max(now);
        let l = journey.leaning(t, model);
        let figures = model.belief.variance_of(&l.h[..3]);
        let places = (model.belief.variance_of(&l.h) - figures).max(0.0);
        let parts = [
            (Cause::Figures, figures),
            (Cause::Clutch, model.between_var),
            (Cause::Thermometer, places + l.strange_thermometers),
            (Cause::Assumed, l.assumed),
            (Cause::LayDate, l.lay),
            (Cause::OutsideLimits, l.outside),
        ];
        // The belief's own variance of the whole sum, not the parts': learned offsets and figures lean on each other.
        let variance = model.belief.variance_of(&l.h) + model.between_var + l.noise();
        Self { mean: shift(&l), sd: variance.sqrt().max(1e-4), parts }
    }

    fn causes(&self, length_days: f64) -> Vec<(Cause, f64)> {
        let mut causes: Vec<(Cause, f64)> =
            self.parts.iter().filter(|p| p.1 > 0.0).map(|&(c, v)| (c, v.sqrt() * length_days.max(0.0))).collect();
        crate::order::sort_by(&mut causes, |a, b| b.1.total_cmp(&a.1));
        causes
    }
}

#[cfg(test)]
mod tests;
