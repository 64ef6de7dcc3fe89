//! Where a clutch has been and will be, from lay on, and what is known of its development at any moment.

use crate::path::{Reading, Sums, Track, days};
use crate::response::{Model, bound_to_sd};
use crate::when::When;
use chrono::NaiveDateTime;

/// How far a shelf's true temperature may lie from its set point where nothing was read: ± °C, as a standard
/// deviation, one value for all such stretches of a clutch (common practice, no source).
pub const ASSUMED_C: f64 = 0.5;
/// Lay dates vaguer than this give no window (our choice, no source).
pub const VAGUEST_DAYS: f64 = 45.0;

/// A stay of a box: from a moment on, until the next leg begins.
#[derive(Clone, Copy, Debug)]
pub struct Leg<'a> {
    pub from: NaiveDateTime,
    /// what the thermometer offset is learned for: one text a thermometer, such as the shelf's id
    pub place: &'a str,
    pub track: &'a Track,
}

/// A stretch of the journey with the sums at its start.
struct Stretch<'a> {
    from: f64,
    place: usize,
    track: &'a Track,
    /// journey's sums at `from` less the track's own
    base: Sums,
}

/// A clutch's way from lay. Time before the first leg counts as spent on the first leg's shelf.
pub(crate) struct Journey<'a> {
    places: Vec<&'a str>,
    stretches: Vec<Stretch<'a>>,
    /// days: middle of the lay span, and its width
    pub laid: f64,
    pub laid_width: f64,
    laid_rate: f64,
}

/// What stands between a development sum and a pip, at one moment: how the sum depends on what is not known.
pub(crate) struct Leaning {
    /// on a, b, c and each place offset the model knows
    pub h: Vec<f64>,
    /// variances of ln development, apart from the model's belief
    pub lay: f64,
    /// set points that stood in for readings, and odd readings
    pub assumed: f64,
    pub outside: f64,
    pub strange_thermometers: f64,
}

impl Leaning {
    /// All variance that is neither belief nor the clutch's own.
    pub fn noise(&self) -> f64 {
        self.lay + self.assumed + self.outside + self.strange_thermometers
    }
}

impl<'a> Journey<'a> {
    /// `legs` in order of time; `None` when there is none.
    pub fn new(laid: When, legs: &[Leg<'a>], latest: NaiveDateTime) -> Option<Self> {
        let (from, to) = (days(laid.earliest()), days(laid.latest().min(latest)));
        let middle = 0.5 * (from + to.max(from));
        let mut journey = Self {
            places: Vec::new(),
            stretches: Vec::with_capacity(legs.len()),
            laid: middle,
            laid_width: (to - from).max(0.0),
            laid_rate: 0.0,
        };
        for (i, leg) in legs.iter().enumerate() {
            // A leg that was over before the eggs were laid is no part of their way.
            if legs.get(i + 1).is_some_and(|next| days(next.from) <= middle) {
                continue;
            }
            let start = if journey.stretches.is_empty() { middle } else { days(leg.from) };
            let so_far = if journey.stretches.is_empty() { Sums::default() } else { journey.sums(start) };
            let place = journey.places.iter().position(|p| *p == leg.place).unwrap_or_else(|| {
                journey.places.push(leg.place);
                journey.places.len() - 1
            });
            let base = so_far - leg.track.until(start);
            journey.stretches.push(Stretch { from: start, place, track: leg.track, base });
        }
        let first = journey.stretches.first()?;
        journey.laid_rate = first.track.until(middle + 0.5).dev - first.track.until(middle - 0.5).dev;
        Some(journey)
    }

    fn stretch(&self, t: f64) -> usize {
        self.stretches.partition_point(|s| s.from <= t).saturating_sub(1)
    }

    /// Sums from lay to `t`.
    pub fn sums(&self, t: f64) -> Sums {
        let s = &self.stretches[self.stretch(t)];
        s.base + s.track.until(t)
    }

    /// °C assumed from `t` on where nothing was read.
    pub fn assumed_after(&self, t: f64) -> impl Iterator<Item = f64> + '_ {
        self.stretches[self.stretch(t)..].iter().map(|s| s.track.path.assumed())
    }

    /// °C at `t` and whether it was read.
    pub fn temperature(&self, t: NaiveDateTime) -> (f64, bool) {
        self.stretches[self.stretch(days(t))].track.path.at(t)
    }

    /// When development reaches `dev`, in days.
    pub fn when_reaches(&self, dev: f64) -> f64 {
        let mut which = 0;
        while let Some(next) = self.stretches.get(which + 1) {
            if next.base.dev + next.track.until(next.from).dev >= dev {
                break;
            }
            which += 1;
        }
        let s = &self.stretches[which];
        let t = s.track.when_reaches(dev - s.base.dev);
        let end = self.stretches.get(which + 1).map_or(f64::INFINITY, |n| n.from);
        t.clamp(s.from.min(end), end)
    }

    /// How the development at `t` leans on what is not known under `model`.
    pub fn leaning(&self, t: f64, model: &Model) -> Leaning {
        let sums = self.sums(t);
        // Early on everything is a share of nearly nothing; a tenth of the way the shares have settled.
        let dev = sums.dev.max(1e-6);
        let mut h = vec![0.0; 3 + model.places.len()];
        (h[0], h[1], h[2]) = (1.0, sums.x / dev, sums.h / dev);
        let mut strange = 0.0;
        for (i, place) in self.places.iter().enumerate() {
            let mut slope = 0.0;
            for (k, s) in self.stretches.iter().enumerate().filter(|(_, s)| s.place == i) {
                let end = self.stretches.get(k + 1).map_or(t, |n| n.from.min(t));
                if end > s.from {
                    slope += s.track.until(end).slope - s.track.until(s.from).slope;
                }
            }
            let share = slope / dev;
            match model.places.iter().position(|p| p == place) {
                Some(k) => h[3 + k] = share,
                None => strange += share * share * model.strange_thermometer(),
            }
        }
        let lay = (self.laid_rate * self.laid_width / dev).powi(2) / 12.0;
        Leaning {
            h,
            lay,
            assumed: (sums.assumed_slope / dev * ASSUMED_C).powi(2) + (sums.odd / dev).powi(2),
            outside: bound_to_sd(sums.outside / dev).powi(2),
            strange_thermometers: strange,
        }
    }

    /// Readings up to `t` that do not fit those around them.
    pub fn odd(&self, t: f64) -> Vec<Reading> {
        let ends = self.stretches.iter().skip(1).map(|s| s.from).chain([f64::INFINITY]);
        let stays = self.stretches.iter().zip(ends);
        let of = stays.flat_map(|(s, end)| {
            let within = move |r: &&Reading| s.from <= days(r.at) && days(r.at) < end.min(t);
            s.track.path.odd().iter().filter(within).copied()
        });
        of.collect()
    }

    /// The places it passed, in order of first stay.
    pub fn places(&self) -> &[&'a str] {
        &self.places
    }
}
