//! Learning from the keeper's own clutches, and keeping score of past windows.
//!
//! Each clutch says: its development had come this far when it pipped. That is one straight sighting of (a, b, c) and of
//! its shelves' thermometer offsets, blurred by what is not known of the clutch (lay date, assumed temperatures), so
//! a vague clutch weighs less by itself. Any of them may be a slip: a lay date noted ten days late, or something else
//! altogether; a shelf's thermometer may be off by more than it says. So no clutch is ruled out and none is taken for
//! granted: whenever one is added, all are weighed anew in each other's light ([`weigh`]). How much clutches differ is
//! learned alongside, by holding several opinions of it and weighing them by how well each foretold what came.

mod weigh;

use self::weigh::{Sight, Site, Way};
use crate::gauss::Gaussian;

use crate::journey::{Journey, Leg, VAGUEST_DAYS};
use crate::path::days;
use crate::range::range_moments;
use crate::response::{ASTRAY, ASTRAY_CHANCE, Model};
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

/// A clutch that may well not fit the others, so that a look at what was noted is worth it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// how likely a slip is: from [`NAMED`] to 1
    pub chance: f64,
    /// days that its incubation, as noted, is longer (shorter: negative) than the others say
    pub off_days: f64,
}

/// Why a clutch teaches nothing; the message says what to look at.
#[derive(Clone, Debug, PartialEq)]
pub enum NotLearned {
    NoPlace,
    /// nobody saw the laying: told by who has the records
    OnlyFound,
    PipBeforeLay,
    LaidTooVaguely {
        days: f64,
    },
    /// spent too long outside the temperatures the figures cover
    OutsideLimits {
        hours: f64,
    },
}

impl std::fmt::Display for NotLearned {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoPlace => f.write_str("not counted: no shelf with a temperature is known for it"),
            Self::OnlyFound => {
                f.write_str("not counted: nobody saw the laying, and only the day they were found is noted")
            }
            Self::PipBeforeLay => {
                f.write_str("not counted: the first pip is before the eggs were laid; correct one of the two")
            }
            Self::LaidTooVaguely { days } => write!(f, "not counted: the lay date is open by {days:.0} days"),
            Self::OutsideLimits { hours } => {
                write!(f, "not counted: {hours:.0} hours outside the temperatures the figures cover")
            }
        }
    }
}

impl std::error::Error for NotLearned {}

/// One clutch in so many has a lay date wrong by about [`SLIP_DAYS`]; one in so many anything else wrong, such as a
/// month, a pip of another clutch, a shelf it never stood on (our choice, no source).
const SLIP: f64 = 0.06;
const ANYTHING: f64 = 0.01;
/// A slip's size, one standard deviation; anything else: in ln D.
const SLIP_DAYS: f64 = 10.0;
const ANYTHING_LN: f64 = 1.0;
/// Log weight below which an opinion of the spread is not worth weighing anew.
const HOPELESS: f64 = -25.0;
/// A clutch is named when a slip is at least this likely (our choice: a look costs little).
pub const NAMED: f64 = 0.25;
/// Thermometers whose offset one species' model follows; further ones are treated as unknown at every clutch.
const MOST_PLACES: usize = 24;

/// A species' figures while they are learned: all its clutches, weighed against each other.
#[derive(Clone, Debug)]
pub struct Learner {
    model: Model,
    /// what was believed before, of the unknowns there are by now
    prior: Gaussian,
    sights: Vec<Sight>,
    /// of each opinion of the spread, what each sighting is taken for
    sites: Vec<Vec<Site>>,
    /// of each clutch learned from: its sighting, and its days as noted
    clutches: Vec<(usize, f64)>,
    /// how likely each opinion of the spread was to begin with
    opinions: Vec<f64>,
}

impl Learner {
    /// Starts from figures that have learned nothing yet.
    pub fn new(model: Model) -> Self {
        Self {
            prior: model.belief.clone(),
            sights: Vec::new(),
            sites: vec![Vec::new(); model.worlds.len()],
            clutches: Vec::new(),
            opinions: model.worlds.iter().map(|w| w.ln_weight).collect(),
            model,
        }
    }

    /// Learns from one clutch, before it is weighed against those already there. Give clutches in the order they pipped, so
    /// that every device comes to the same numbers. Nothing changes when it is refused.
    ///
    /// # Errors
    /// Where it can teach nothing.
    pub fn add(&mut self, clutch: &Hatched) -> Result<Lesson, NotLearned> {
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
        let length = (middle - journey.laid).max(0.5);
        let outside = journey.sums(middle).outside_days;
        if outside > 2.0f64.max(length * 0.1) {
            return Err(NotLearned::OutsideLimits { hours: outside * 24.0 });
        }
        let before = Spread::of(&self.model, &journey, t0);
        let off = if late.is_some() { u(middle) - before.mean } else { (seen.0 - before.mean).max(0.0) };
        let lesson = Lesson { off_days: off * length, off_sd: off / before.sd };

        for place in journey.places() {
            if self.model.places.len() < MOST_PLACES && !self.model.places.iter().any(|p| p == place) {
                self.follow(place);
            }
        }
        let leaning = journey.leaning(middle, &self.model);
        let start: f64 = self.model.start.iter().zip(&leaning.h).map(|(a, b)| a * b).sum();
        let noise = leaning.noise();
        let slip = SLIP_DAYS / length;
        let way = |chance: f64, more: f64| Way { ln: chance.ln(), noise: Some(noise + more * more) };
        self.clutches.push((self.sights.len(), length));
        self.see(Sight {
            h: leaning.h,
            seen: (seen.0 + start, seen.1 + start),
            ways: vec![way(1.0 - SLIP - ANYTHING, 0.0), way(SLIP, slip), way(ANYTHING, ANYTHING_LN)],
            clutch: true,
        });
        if let (Some(last), true) = (clutch.last_pip, clutch.eggs > 1 && late.is_some()) {
            let range = u(days(last.middle())) - u(middle);
            let (mean, sd) = range_moments(clutch.eggs);
            if range >= 0.0 {
                self.model.within.0 += range * range / (mean * mean + sd * sd);
                self.model.within.1 += 1.0;
            }
        }
        self.model.own += 1;
        self.model.summarise();
        Ok(lesson)
    }

    /// One more thermometer, most likely as good as it says; now and then far off.
    fn follow(&mut self, place: &str) {
        let sd = self.model.thermometer_sd;
        self.model.places.push(place.to_owned());
        for belief in self.model.worlds.iter_mut().map(|w| &mut w.belief).chain([&mut self.prior]) {
            belief.push(0.0, ASTRAY * sd);
        }
        if sd <= 0.0 {
            return;
        }
        // Narrowed from the wide prior to the narrow one, as if it had been seen at 0: a good thermometer's density at 0 is
        // ASTRAY times as high.
        let noise = sd * sd / (1.0 - 1.0 / (ASTRAY * ASTRAY));
        let good = (1.0 - ASTRAY_CHANCE) * ASTRAY * (std::f64::consts::TAU * noise).sqrt();
        let mut h = vec![0.0; self.prior.len()];
        h[self.prior.len() - 1] = 1.0;
        let ways = vec![Way { ln: good.ln(), noise: Some(noise) }, Way { ln: ASTRAY_CHANCE.ln(), noise: None }];
        self.see(Sight { h, seen: (0.0, 0.0), ways, clutch: false });
    }

    fn see(&mut self, sight: Sight) {
        for (world, sites) in self.model.worlds.iter_mut().zip(&mut self.sites) {
            let mut site = Site::default();
            world.ln_weight += weigh::revise(world, &sight, &mut site, false);
            sites.push(site);
        }
        self.sights.push(sight);
    }

    /// Weighs all clutches against each other.
    pub fn settle(&mut self) {
        let worlds = self.model.worlds.iter_mut().zip(&mut self.sites).zip(&self.opinions);
        let mut best = f64::NEG_INFINITY;
        let mut hopeless = Vec::new();
        for ((world, sites), &opinion) in worlds {
            if world.ln_weight < HOPELESS {
                hopeless.push(world);
            } else {
                weigh::settle(world, &self.prior, &self.sights, sites, opinion);
                best = best.max(world.ln_weight);
            }
        }
        hopeless.into_iter().for_each(|world| world.ln_weight += best);
        self.model.summarise();
    }

    /// Log evidence of everything seen, of the first opinion of the spread.
    #[cfg(test)]
    fn evidence(&mut self) -> f64 {
        let mut world = self.model.worlds[0].clone();
        weigh::settle(&mut world, &self.prior, &self.sights, &mut self.sites[0].clone(), self.opinions[0]);
        world.ln_weight
    }

    /// What is believed now.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// The same, when no clutch is to come.
    pub fn into_model(self) -> Model {
        self.model
    }

    /// Of each clutch learned from, in the order given, whether it does not fit the others.
    pub fn doubts(&self) -> Vec<Option<Doubt>> {
        self.clutches.iter().map(|&(at, length)| self.doubt(at, length)).collect()
    }

    fn doubt(&self, at: usize, length: f64) -> Option<Doubt> {
        let sight = &self.sights[at];
        let (mut noted, mut expected) = (0.0, 0.0);
        for (world, sites) in self.model.worlds.iter().zip(&self.sites) {
            let p = world.ln_weight.exp();
            let (as_noted, mean) = weigh::alone(world, sight, &sites[at]);
            noted += p * as_noted;
            expected += p * mean;
        }
        let (lo, hi) = sight.seen;
        let seen = if hi.is_finite() { 0.5 * (lo + hi) } else { lo.max(expected) };
        // The days that the others say, less those noted.
        let off_days = length * (1.0 - (expected - seen).clamp(-3.0, 3.0).exp());
        (noted < 1.0 - NAMED).then_some(Doubt { chance: 1.0 - noted, off_days })
    }

    /// Thermometers that are likelier far off than as good as they say: place, °C to add to its readings.
    pub fn astray(&self) -> Vec<(String, f64)> {
        let shelves = self.sights.iter().enumerate().filter(|(_, sight)| !sight.clutch);
        let places = self.model.places.iter().zip(shelves);
        let found = places.filter_map(|(place, (at, sight))| {
            let worlds = self.model.worlds.iter().zip(&self.sites);
            let good: f64 = worlds.map(|(w, sites)| w.ln_weight.exp() * weigh::alone(w, sight, &sites[at]).0).sum();
            (good < 0.5).then(|| self.model.offset_of(place).map(|(c, _)| (place.clone(), c)))?
        });
        found.collect()
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
