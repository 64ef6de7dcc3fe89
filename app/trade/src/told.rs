//! A lay date told by what candling shows, where nobody saw the laying.
//!
//! Eggs show veins when they have come some share of their way, and are dark late. At which share they are noted so depends
//! on the lamp and the eye too, so it is learned from the keeper's own clutches with a known lay date, and from nothing
//! else: no published stages, no other species. A stage passed between two looks says that it lay between two shares; what
//! is believed of its mean and spread is a sum over a grid, and so is the lay date. A note may be a slip.
//!
//! Always true: without such clutches nothing is told, and a lay date that is known is not moved.

use crate::gauss::below;
use crate::journey::{Journey, Leg, VAGUEST_DAYS};
use crate::path::{days, moment};
use crate::when::{Point, When};
use chrono::NaiveDateTime;

/// What candling shows that comes with development. Neither says whether an egg is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    Veins,
    Dark,
}

impl Mark {
    pub const ALL: [Self; 2] = [Self::Veins, Self::Dark];
}

/// Eggs of one box came to show a mark: not at one look, but at the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Passing {
    pub mark: Mark,
    /// the last look at which they did not; `None` when they did at the first
    pub not_by: Option<NaiveDateTime>,
    pub by: NaiveDateTime,
}

/// Where a clutch's mark lay: ln of the share of development, between two looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noted {
    mark: Mark,
    after: f64,
    by: f64,
}

/// What is known of a laying that nobody saw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Laying {
    /// as likely at any moment of it
    Between(When),
    /// only that they were found then
    Found(When),
}

/// A lay date told by marks.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// a span with the mean and, where the eggs may have been laid in all of it, the spread of what is believed
    pub laid: When,
    /// what told it
    pub marks: Vec<Mark>,
    /// own clutches with a known lay date it was learned from: those of the mark that fewest showed
    pub clutches: u32,
}

impl Told {
    /// Whether enough clutches taught it that it is no experiment any more.
    pub fn is_learned(&self) -> bool {
        self.clutches >= LEARNED
    }
}

/// A lay date open by no more than this is known (our choice, no source).
pub const KNOWN_DAYS: f64 = 2.0;
/// A mark tells something once this many clutches taught it, and is no experiment from this many on (our choice, no source).
pub const LEAST: u32 = 3;
pub const LEARNED: u32 = 10;
/// One passing in so many is a slip, noted late or of the wrong box, and as likely at any time of the way (our choice, no
/// source).
const SLIP: f64 = 0.05;
/// Eggs that were only found were laid so many days before, in the mean; the chance falls off evenly (our choice, no
/// source).
const FOUND_AFTER_DAYS: f64 = 7.0;
/// What tells less than this, in nats, is not worth another date: a span narrowed by a tenth (our choice).
const GAIN: f64 = 0.1;
/// How far clutches may differ in where a mark lies, in ln share; each as likely to begin with (our choice, no source).
const SPREADS: [f64; 6] = [0.04, 0.07, 0.12, 0.2, 0.33, 0.55];
/// Shares of development looked at, as logarithms: 1 % to twice the way, every mean as likely (our choice).
const FIRST: f64 = -4.6;
const STEP: f64 = 0.04;
const STEPS: usize = 133;
/// Lay dates looked at.
const DATES: usize = 96;

/// Where a clutch's marks lay. Nothing of one whose lay date is not known, or of which no shelf is.
pub fn noted(laid: When, legs: &[Leg], passings: &[Passing]) -> Vec<Noted> {
    let share = |passing: &Passing| {
        let journey = Journey::new(laid, legs, passing.by).filter(|journey| journey.laid_width <= KNOWN_DAYS)?;
        let (after, by) = shares(&journey, passing);
        (by > f64::NEG_INFINITY).then_some(Noted { mark: passing.mark, after, by })
    };
    passings.iter().filter_map(share).collect()
}

/// ln shares of development at the two looks.
fn shares(journey: &Journey, passing: &Passing) -> (f64, f64) {
    let at = |t: NaiveDateTime| {
        let t = days(t);
        if t > journey.laid { journey.sums(t).dev.ln() } else { f64::NEG_INFINITY }
    };
    (passing.not_by.map_or(f64::NEG_INFINITY, at), at(passing.by))
}

/// At which share of development a keeper notes each mark, of one species.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marks([Option<Learned>; Mark::ALL.len()]);

#[derive(Clone, Debug, PartialEq)]
struct Learned {
    clutches: u32,
    /// chance that the next clutch shows it by each share of the grid
    by: Vec<f64>,
}

impl Marks {
    /// Learned from clutches with a known lay date, in any order.
    pub fn of(seen: &[Noted]) -> Self {
        Self(Mark::ALL.map(|mark| {
            let own: Vec<&Noted> = seen.iter().filter(|noted| noted.mark == mark).collect();
            let clutches = own.len() as u32;
            (clutches >= LEAST).then(|| Learned { clutches, by: foretell(&own) })
        }))
    }

    /// When eggs were laid, by the marks they came to show. `None` where that is known better, or nothing is told.
    pub fn told(&self, laying: Laying, legs: &[Leg], passings: &[Passing]) -> Option<Told> {
        let used: Vec<(&Passing, &Learned)> =
            passings.iter().filter_map(|p| Some((p, self.0[p.mark as usize].as_ref()?))).collect();
        let clutches = used.iter().map(|(_, learned)| learned.clutches).min()?;
        let (from, to) = match laying {
            Laying::Between(span) => (days(span.earliest()), days(span.latest())),
            Laying::Found(found) => (days(found.latest()) - VAGUEST_DAYS, days(found.latest())),
        };
        if to - from <= KNOWN_DAYS {
            return None;
        }
        // The eggs were there when they were looked at.
        let looks = passings.iter().map(|passing| days(passing.not_by.unwrap_or(passing.by)));
        let to_look = looks.fold(f64::INFINITY, f64::min);
        let date = |i: usize| {
            let laid = from + (to - from) * (i as f64 + 0.5) / DATES as f64;
            let before = match laying {
                Laying::Between(_) => 1.0,
                Laying::Found(_) => ((laid - to) / FOUND_AFTER_DAYS).exp(),
            };
            let at = moment(laid);
            let journey = Journey::new(When::At(Point::Time(at)), legs, at)?;
            let chances = used.iter().map(|(passing, learned)| learned.chance(shares(&journey, passing)));
            let after = if laid < to_look { before * chances.product::<f64>() } else { 0.0 };
            Some(Date { laid, before, after })
        };
        let dates: Vec<Date> = (0..DATES).map(date).collect::<Option<_>>()?;
        let (mean, sd) = enough(&dates)?;
        // A span of the same spread; the keeper's own ends hold, and so does the first look.
        let half = 3f64.sqrt() * sd;
        let end = |t: f64| Point::Time(moment(t.min(to_look).clamp(from, to)));
        let laid = When::span(end(mean - half), end(mean + half));
        Some(Told { laid, marks: used.iter().map(|(passing, _)| passing.mark).collect(), clutches })
    }
}

/// One lay date, with what was believed of it before and after looking, in proportion.
struct Date {
    laid: f64,
    before: f64,
    after: f64,
}

/// Mean and standard deviation of what is believed after looking, where that is worth another date.
fn enough(dates: &[Date]) -> Option<(f64, f64)> {
    let sum = |of: &dyn Fn(&Date) -> f64| dates.iter().map(of).sum::<f64>();
    let (before, after) = (sum(&|d| d.before), sum(&|d| d.after));
    if after <= 0.0 {
        return None;
    }
    let mean = sum(&|d| d.laid * d.after) / after;
    let variance = sum(&|d| (d.laid - mean).powi(2) * d.after) / after;
    let told = |d: &Date| if d.after > 0.0 { (d.after * before / (d.before * after)).ln() } else { 0.0 };
    let gain = sum(&|d| d.after * told(d)) / after;
    (gain >= GAIN).then(|| (mean, variance.sqrt()))
}

impl Learned {
    /// Chance of a passing between two ln shares.
    fn chance(&self, (after, by): (f64, f64)) -> f64 {
        or_slip((self.below(by) - self.below(after)).max(0.0), (after, by))
    }

    /// Chance that a mark shows by a ln share, in straight lines between those of the grid.
    fn below(&self, share: f64) -> f64 {
        let x = (share - FIRST) / STEP;
        if x <= 0.0 {
            return 0.0;
        }
        let at = (x as usize).min(STEPS - 2);
        let (a, b) = (self.by[at], self.by[at + 1]);
        (a + (b - a) * (x - at as f64)).min(1.0)
    }
}

fn or_slip(chance: f64, (after, by): (f64, f64)) -> f64 {
    (1.0 - SLIP) * chance + SLIP * (by.exp() - after.exp()).clamp(1e-9, 1.0)
}

/// The chance that the next clutch shows a mark by each share of the grid: every mean and spread as far as it foretells what
/// was seen.
fn foretell(seen: &[&Noted]) -> Vec<f64> {
    let share = |i: usize| FIRST + STEP * i as f64;
    let mut all = Vec::with_capacity(STEPS * SPREADS.len());
    for mean in (0..STEPS).map(share) {
        for sd in SPREADS {
            let within = |noted: &&Noted| below((noted.by - mean) / sd) - below((noted.after - mean) / sd);
            let chance = |noted: &&Noted| or_slip(within(noted), (noted.after, noted.by));
            all.push((mean, sd, seen.iter().map(|noted| chance(noted).ln()).sum::<f64>()));
        }
    }
    let top = all.iter().map(|a| a.2).fold(f64::NEG_INFINITY, f64::max);
    all.iter_mut().for_each(|a| a.2 = (a.2 - top).exp());
    all.retain(|a| a.2 > 1e-6);
    let total: f64 = all.iter().map(|a| a.2).sum();
    let by =
        |share: f64| all.iter().map(|&(mean, sd, weight)| weight * below((share - mean) / sd)).sum::<f64>() / total;
    (0..STEPS).map(share).map(by).collect()
}

#[cfg(test)]
mod tests;
