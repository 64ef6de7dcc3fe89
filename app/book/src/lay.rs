//! Where the book asks `trade` when females lay: what was seen of them, and the barn's own intervals.

pub use before::{Awaited, Leg, OwnLeg};

use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::read::BARN;
use crate::records::*;
use crate::words::{AnimalEventWhat, ClutchCame};
use chrono::{NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::again::{Rule, USUAL};
use trade::lay::{LayModel, LayWindow, Sign, lays_in_series, usual_days};
use trade::when::When;

mod before;

/// When eggs are expected of a female, and on the strength of what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    pub sign: Sign,
    /// When that was seen.
    pub seen: When,
    pub window: LayWindow,
}

impl Outlook {
    /// The days in which eggs come have passed without any, after a sign that does not show that she is gravid: they
    /// are not waited for any more. (After one that does she is overdue.)
    pub fn has_closed(&self, now: NaiveDateTime) -> bool {
        !self.sign.is_gravid() && self.window.overdue(now).is_some()
    }
}

#[derive(Debug, PartialEq)]
struct Interval {
    dam: AnimalId,
    sign: Sign,
    seen: When,
    laid: When,
}

/// The barn's own intervals, by the species a record holds.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Intervals;

impl Question for Intervals {
    type Answer = BTreeMap<String, Vec<Interval>>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        same_or(before, intervals(book))
    }
}

/// When females of a species lay after a sign; none where nothing is known of that.
#[derive(Clone, PartialEq, Eq, Hash)]
struct LaysAfter {
    species: String,
    sign: Sign,
}

impl Question for LaysAfter {
    type Answer = Option<LayModel>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let species = Some(&*self.species).filter(|species| !species.is_empty());
        let mut model = LayModel::of(&book.species_of(species), self.sign);
        if let Some(model) = &mut model {
            let own = book.derived(&Intervals);
            for interval in own.get(&self.species).into_iter().flatten().filter(|own| own.sign == self.sign) {
                model.learn(interval.seen, interval.laid);
            }
        }
        Rc::new(model)
    }
}

/// When a female of a species that lays in series lays again: what others of the barn tell of the species, then her own.
#[derive(Clone, PartialEq, Eq, Hash)]
struct SheLaysAgain(AnimalId);

impl Question for SheLaysAgain {
    type Answer = Option<LayModel>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let species = book.dam_species(&self.0);
        let own = book.derived(&Intervals);
        let again = || own.get(&species).into_iter().flatten().filter(|own| own.sign == Sign::Laid);
        let mut model = LayModel::of(&book.species_of(Some(&*species)), Sign::Laid);
        if let Some(model) = &mut model {
            let learn = |model: &mut LayModel, hers: bool| {
                for own in again().filter(|own| (own.dam == self.0) == hers) {
                    model.learn(own.seen, own.laid);
                }
            };
            learn(model, false);
            *model = model.of_one();
            learn(model, true);
        }
        Rc::new(model)
    }
}

/// A clutch of a series, and the days since the one before it.
#[derive(Clone, Debug, PartialEq)]
pub struct InSeries {
    pub clutch: ClutchId,
    pub laid: When,
    pub days: Option<i64>,
}

/// Every clutch of one known dam teaches one interval a sign; oldest first, the same on every device.
fn intervals(book: &Book) -> BTreeMap<String, Vec<Interval>> {
    let mut clutches: Vec<(NaiveDateTime, &Clutch, When, bool)> = Vec::new();
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        let first = joined.first().is_none_or(|first| first.id == clutch.id);
        let known = joined.iter().any(|clutch| clutch.laid.is_some());
        let laid = book.clutch_laid(&clutch.id);
        if let (true, Some(laid), false) = (first, laid, clutch.came == Some(ClutchCame::Bought)) {
            clutches.push((laid.latest(), clutch, laid, known));
        }
    }
    crate::order::sort(&mut clutches, |c| (c.0, c.1.id.clone()));
    let mut by_species: BTreeMap<String, Vec<Interval>> = BTreeMap::new();
    for (_, clutch, laid, known) in clutches {
        let [dam] = clutch.dams.as_slice() else { continue };
        let species = book.dam_species(dam);
        let before = book.laid_before(dam, laid.earliest());
        let own = by_species.entry(species.clone()).or_default();
        // From one clutch to the next it does not matter much that both were only found.
        for sign in Sign::ALL.into_iter().filter(|sign| known || *sign == Sign::Laid) {
            let seen = book.sign_of(dam, sign, before, laid.earliest(), &species);
            own.extend(seen.map(|seen| Interval { dam: dam.clone(), sign, seen, laid }));
        }
    }
    by_species
}

impl Book {
    fn dam_species(&self, dam: &AnimalId) -> String {
        self.animal(dam).and_then(|animal| animal.species.clone()).unwrap_or_default()
    }

    /// When a female laid last before a moment.
    fn laid_before(&self, dam: &AnimalId, before: NaiveDateTime) -> Option<When> {
        let hers = self.clutches_of(dam).filter(|clutch| clutch.dams.contains(dam));
        let laid = hers.filter_map(|clutch| self.clutch_laid(&clutch.id)).filter(|laid| laid.latest() < before);
        laid.max_by_key(|laid| laid.latest())
    }

    /// When a sign was last seen of a female between her clutch before and a moment, if that is of this season.
    fn sign_of(
        &self,
        dam: &AnimalId,
        sign: Sign,
        after: Option<When>,
        before: NaiveDateTime,
        species: &str,
    ) -> Option<When> {
        let fits = |when: &When| {
            when.earliest() <= before && after.is_none_or(|after| when.latest() > after.latest() || sign == Sign::Laid)
        };
        let event = |what: AnimalEventWhat| {
            self.lay_events(dam).filter(|event| event.what == Some(what)).filter_map(|event| event.when).find(fits)
        };
        let seen = match sign {
            Sign::Laid => after,
            Sign::Lock => {
                let hers = self.pairings_of(dam).filter(|pairing| pairing.dams.contains(dam));
                let locks = hers.flat_map(|pairing| self.locks(&pairing.id)).filter_map(|lock| lock.when).filter(fits);
                locks.max_by_key(|when| when.latest())
            }
            Sign::Ovulation => event(AnimalEventWhat::Ovulation),
            Sign::PreLayShed => event(AnimalEventWhat::PreLayShed),
        }?;
        // Half as long again as ever is usual, and at least ten weeks for what makes a veterinarian's call: longer ago
        // than that is another season's.
        let profile = self.species_of(Some(species).filter(|species| !species.is_empty()));
        let longest = (usual_days(&profile, sign)?.1 * 1.5).max(if sign.is_gravid() { 75.0 } else { 0.0 });
        (before - seen.latest() < TimeDelta::hours((longest * 24.0) as i64)).then_some(seen)
    }

    /// What was last seen of a female since her last clutch, the most telling of it.
    pub fn lay_sign(&self, dam: &AnimalId, now: NaiveDateTime) -> Option<(Sign, When)> {
        let species = self.dam_species(dam);
        let last = self.laid_before(dam, NaiveDateTime::MAX);
        let signs = Sign::ALL.into_iter().rev().filter(|&sign| sign != Sign::Laid);
        signs.into_iter().find_map(|sign| Some((sign, self.sign_of(dam, sign, last, now, &species)?)))
    }

    /// When eggs are expected of a female. `None` when nothing was seen of her that says so.
    pub fn outlook(&self, dam: &AnimalId, now: NaiveDateTime) -> Option<Outlook> {
        let (sign, seen) = self.lay_sign(dam, now).or_else(|| Some((Sign::Laid, self.in_series(dam, now)?)))?;
        let window = self.lay_window(dam, sign, seen, now)?;
        Some(Outlook { sign, seen, window })
    }

    fn lay_window(&self, dam: &AnimalId, sign: Sign, seen: When, now: NaiveDateTime) -> Option<LayWindow> {
        let model = if sign == Sign::Laid && self.lays_in_series(dam) {
            self.derived(&SheLaysAgain(dam.clone()))
        } else {
            self.derived(&LaysAfter { species: self.dam_species(dam), sign })
        };
        Some(model.as_ref().as_ref()?.window(seen, now))
    }

    /// Whether a female is of a species that lays in series.
    pub(crate) fn lays_in_series(&self, dam: &AnimalId) -> bool {
        let species = self.dam_species(dam);
        !species.is_empty() && lays_in_series(&self.species_of(Some(&species)))
    }

    /// When a female that lays in series laid last, if that series may still go on.
    fn in_series(&self, dam: &AnimalId, now: NaiveDateTime) -> Option<When> {
        if !self.lays_in_series(dam) {
            return None;
        }
        let last = self.laid_before(dam, NaiveDateTime::MAX);
        self.sign_of(dam, Sign::Laid, last, now, &self.dam_species(dam))
    }

    /// This season's clutches of a female that lays in series, first to last: as far back as each came within half as long
    /// again as is usual after the one before. None where the last is longer ago than that.
    pub fn series(&self, dam: &AnimalId, now: NaiveDateTime) -> Vec<InSeries> {
        let species = self.dam_species(dam);
        let mut series: Vec<InSeries> = Vec::new();
        let mut last = self.in_series(dam, now);
        while let Some(laid) = last {
            let mut hers = self.clutches_of(dam).filter(|clutch| clutch.dams.contains(dam));
            let Some(clutch) = hers.find(|clutch| self.clutch_laid(&clutch.id) == Some(laid)) else {
                break;
            };
            let before = self.laid_before(dam, laid.earliest());
            last = self.sign_of(dam, Sign::Laid, before, laid.earliest(), &species);
            let days = last.map(|before| (laid.date() - before.date()).num_days());
            series.push(InSeries { clutch: clutch.id.clone(), laid, days });
        }
        series.reverse();
        series
    }

    /// The barn's rule for a second clutch; what it does not say is as usual.
    pub fn again_rule(&self) -> Rule {
        let own = self.t.rules.get(&BARN.into()).map(|kept| &kept.record);
        let set = |of: fn(&BarnRules) -> Option<u32>, usual: u32| own.and_then(of).unwrap_or(usual);
        Rule {
            rest_days: set(|r| r.again_rest_days, USUAL.rest_days),
            until_days: set(|r| r.again_until_days, USUAL.until_days),
            weight_pct: set(|r| r.again_weight_pct, USUAL.weight_pct),
            meals: set(|r| r.again_meals, USUAL.meals),
        }
    }

    /// When the next clutch of a female would come, counted from her last one. `None` where a second is not usual.
    pub fn next_clutch(&self, dam: &AnimalId, now: NaiveDateTime) -> Option<(When, LayWindow)> {
        let laid = self.laid_before(dam, NaiveDateTime::MAX)?;
        Some((laid, self.lay_window(dam, Sign::Laid, laid, now)?))
    }
}
