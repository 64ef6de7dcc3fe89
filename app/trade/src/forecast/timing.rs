//! When the eggs of a clutch pip: the window, as draws are taken from it.
//!
//! The first pip falls as the clutch's own window says, no wider and no narrower; what clutches share only ties their
//! draws together. The other eggs follow by the spread within the clutch.

use crate::gauss::{below, quantile};
use crate::path::{days, moment};
use crate::range::range_moments;
use crate::response::Model;
use crate::species::Span;
use crate::window::{Cause, Question, Range, Refusal, ready};
use chrono::NaiveDate;

/// First pips are kept at this many deviations, from −4 to 4.
const GRID: usize = 33;
const EDGE: f64 = 4.0;
/// Nineteen of twenty, in standard deviations.
const OUTER: f64 = 1.959_963_984_540_054;
const DAY_STEPS: u32 = 200;
/// Standard deviations between the ends of a span that four of five fall in.
const FOUR_OF_FIVE: f64 = 2.0 * 1.281_551_565_544_600_4;
/// After the first pip a clutch's stragglers come within a week (common practice), one egg of twenty (no source).
pub(super) const STRAGGLE_DAYS: f64 = 7.0;
pub(super) const STRAGGLE: f64 = 0.05;

/// Mean and standard deviation of a normal of which four of five fall in a span.
pub(super) fn span((low, high): Span) -> (f64, f64) {
    (0.5 * (low + high), (high - low).max(0.0) / FOUR_OF_FIVE)
}

/// When a clutch's eggs pip.
#[derive(Clone, Debug, PartialEq)]
pub struct Timing {
    /// the first pip at each deviation of the grid, days since 1970
    first: [f64; GRID],
    /// standard deviation between the eggs, days
    pub(super) within: f64,
    /// how the first pip's deviation is made up: of the species' luck, the shelf's, its own; squares sum to 1
    pub(super) shares: [f64; 3],
    /// share of first pips that would not have been seen by now
    pub(super) unseen: f64,
    /// the first pip has come: deviations below which no egg is left, days since it, share of eggs still to come
    pub(super) begun: Option<Begun>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Begun {
    pub floor: f64,
    pub since: f64,
    pub left: f64,
}

impl Timing {
    /// Of eggs that are laid, under what is believed of their species.
    ///
    /// # Errors
    /// As [`crate::window::window`]: where there is no window there is no forecast.
    pub fn of(model: &Model, q: &Question) -> Result<Self, Refusal> {
        let ready = ready(model, q)?;
        let (journey, spread, now) = (&ready.journey, &ready.spread, ready.now);
        let median = journey.when_reaches(spread.mean.exp());
        // A deviation in ln development is one in days by the pace there.
        let pace = |t: f64| {
            let sums = journey.sums(t);
            let daily = journey.sums(t + 0.5).dev - journey.sums(t - 0.5).dev;
            if daily > 1e-9 { sums.dev / daily } else { t - journey.laid }
        };
        if let Some(pip) = q.first_pip {
            let (early, late) = (days(pip.earliest()), days(pip.latest().min(q.now).max(pip.earliest())));
            if late <= journey.laid - 0.5 * journey.laid_width {
                return Err(Refusal::PipBeforeLay);
            }
            let first = grid(|z| early + (late - early) * below(z));
            let since = (now - 0.5 * (early + late)).max(0.0);
            let within = model.within_sd() * pace(late);
            let floor = since / within - range_moments(q.eggs.max(2)).0 / 2.0;
            let straggling = STRAGGLE * (1.0 - since / STRAGGLE_DAYS).max(0.0);
            let left = (1.0 - STRAGGLE) * below(-floor) + straggling;
            let begun = Some(Begun { floor, since, left });
            return Ok(Self { first, within, shares: [0.0, 0.0, 1.0], unseen: 1.0, begun });
        }
        let seen = q.none_by.map(|t| journey.sums(days(t.min(q.now)).max(journey.laid)).dev.max(1e-12).ln());
        let floor = seen.map_or(f64::NEG_INFINITY, |u| (u - spread.mean) / spread.sd);
        let unseen = below(-floor.min(9.0));
        let first = grid(|z| {
            // Given that it has not come, the chance that is left is shared out anew.
            let z = if unseen > 1.0 - 1e-12 { z } else { -quantile(below(-z) * unseen) };
            journey.when_reaches((spread.mean + spread.sd * z).exp())
        });
        let part = |cause: Cause| spread.parts.iter().filter(|p| p.0 == cause).map(|p| p.1).sum::<f64>();
        let shelf = part(Cause::Thermometer) + part(Cause::Assumed);
        let own = part(Cause::Clutch) + part(Cause::LayDate) + part(Cause::OutsideLimits);
        let within = model.within_sd() * pace(median.max(journey.laid + 1.0));
        Ok(Self { first, within, shares: shares(part(Cause::Figures), shelf, own), unseen, begun: None })
    }

    /// Of eggs not laid yet.
    ///
    /// `lay`: days since 1970, the span that four of five lay days fall in; kept at a steady `celsius` from then on.
    ///
    /// # Errors
    /// When durations at this temperature are not known for the species.
    pub fn expected(model: &Model, lay: Span, celsius: f64) -> Result<Self, Refusal> {
        let length = model.days_at(celsius).ok_or(Refusal::AheadOutside { celsius, limits: model.limits() })?;
        let (figures, shelf) = model.spread_at(celsius);
        let clutch = model.spreads().0.powi(2);
        let (lay, lay_sd) = span(lay);
        Ok(Self::steady(lay, length, (figures, shelf, clutch + (lay_sd / length).powi(2)), model.within_sd() * length))
    }

    /// Of eggs laid at `laid` (days since 1970) that need `length` days in the median.
    ///
    /// `variances` of ln duration: the species', the shelf's, the clutch's own. `within`: days between its eggs, one
    /// standard deviation.
    pub fn steady(laid: f64, length: f64, variances: (f64, f64, f64), within: f64) -> Self {
        let (figures, shelf, own) = variances;
        let sd = (figures + shelf + own).sqrt();
        let first = grid(|z| laid + length * (sd * z).exp());
        Self { first, within, shares: shares(figures, shelf, own), unseen: 1.0, begun: None }
    }

    /// The first pip: as likely before as after, and its ranges.
    pub fn first_pip(&self) -> Range {
        let at = |z: f64| moment(self.first_at(z));
        let likely = FOUR_OF_FIVE / 2.0;
        Range { median: at(0.0), likely: (at(-likely), at(likely)), outer: (at(-OUTER), at(OUTER)) }
    }

    /// Days with the chance of each being the day of the first pip.
    pub fn days(&self) -> Vec<(NaiveDate, f64)> {
        let mut days: Vec<(NaiveDate, f64)> = Vec::new();
        for i in 0..DAY_STEPS {
            let p = (f64::from(i) + 0.5) / f64::from(DAY_STEPS);
            let day = moment(self.first_at(quantile(p))).date();
            match days.last_mut() {
                Some(last) if last.0 == day => last.1 += 1.0 / f64::from(DAY_STEPS),
                _ => days.push((day, 1.0 / f64::from(DAY_STEPS))),
            }
        }
        days
    }

    /// The first pip at a deviation, days since 1970.
    #[inline(always)]
    pub(super) fn first_at(&self, z: f64) -> f64 {
        let x = (z.clamp(-EDGE, EDGE) + EDGE) * (GRID - 1) as f64 / (2.0 * EDGE);
        let i = (x as usize).min(GRID - 2);
        self.first[i] + (self.first[i + 1] - self.first[i]) * (x - i as f64)
    }
}

fn grid(at: impl Fn(f64) -> f64) -> [f64; GRID] {
    std::array::from_fn(|i| at(-EDGE + 2.0 * EDGE * i as f64 / (GRID - 1) as f64))
}

fn shares(figures: f64, shelf: f64, own: f64) -> [f64; 3] {
    let all = (figures + shelf + own).max(1e-12);
    [figures, shelf, own.max(1e-12)].map(|v| (v / all).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journey::Leg;
    use crate::path::{Path, Track};
    use crate::species::Profile;
    use crate::units::Temp;
    use crate::when::When;
    use crate::window::window;
    use chrono::{NaiveDateTime, TimeDelta};

    fn at(days: i64) -> NaiveDateTime {
        "2026-06-01T00:00:00".parse::<NaiveDateTime>().expect("a fixture") + TimeDelta::days(days)
    }

    #[test]
    fn the_first_pip_falls_as_the_window_says() {
        let model = Model::of(&Profile::find("lampropeltis-getula").expect("built in"));
        let track = Track::new(Path::steady(Temp(2800)), &model);
        let legs = [Leg { from: at(0), place: "N1", track: &track }];
        for now in [10, 58, 62] {
            let none_by = Some(at(now));
            let q = Question { laid: When::time(at(0)), legs: &legs, eggs: 9, none_by, first_pip: None, now: at(now) };
            let (w, t) = (window(&model, &q).expect("a window"), Timing::of(&model, &q).expect("a window"));
            for (z, expected) in [(-1.281_55, w.first.likely.0), (0.0, w.first.median), (1.281_55, w.first.likely.1)] {
                let off = (moment(t.first_at(z)) - expected).num_minutes().abs();
                assert!(off < 90, "day {now}, {z}: {} and {expected}", moment(t.first_at(z)));
            }
            assert!((t.shares.iter().map(|s| s * s).sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn once_begun_few_are_left_after_some_days() {
        let model = Model::of(&Profile::find("lampropeltis-getula").expect("built in"));
        let track = Track::new(Path::steady(Temp(2800)), &model);
        let legs = [Leg { from: at(0), place: "N1", track: &track }];
        let left = |now: i64| {
            let first_pip = Some(When::time(at(60)));
            let q = Question { laid: When::time(at(0)), legs: &legs, eggs: 9, none_by: None, first_pip, now: at(now) };
            Timing::of(&model, &q).expect("a window").begun.expect("begun").left
        };
        assert!(left(60) > 0.85 && left(61) < 0.8 && left(63) < 0.05 && left(68) < 1e-6);
    }

    #[test]
    fn where_no_duration_is_known_nothing_is_expected() {
        let model = Model::of(&Profile::find("lampropeltis-getula").expect("built in"));
        assert!(Timing::expected(&model, (0.0, 10.0), 28.0).is_ok());
        assert!(Timing::expected(&model, (0.0, 10.0), 38.0).is_err());
    }
}
