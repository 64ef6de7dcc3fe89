//! Water in a closed egg box, by mass: how much to mix, what to bring the box back to, when to weigh again.
//!
//! A hygrometer cannot tell wet from dry in here ([`humidity_percent`]): weighing can.

use crate::order;
use crate::units::Mass;
use crate::when::When;
use chrono::{NaiveDateTime, TimeDelta};
use std::borrow::Cow;
use std::fmt;

/// A medium's calibration: how tightly it holds its water at a given wetness.
#[derive(Clone, Debug, PartialEq)]
pub struct Medium {
    pub key: Cow<'static, str>,
    pub name: Cow<'static, str>,
    /// (g water per g dry medium, kPa) with rising ratio above 0 and rising, negative potential.
    points: Cow<'static, [(f64, f64)]>,
    pub source: Cow<'static, str>,
}

/// Vermiculite: the default calibration. Products differ: 1:1 runs from about −135 to −220 kPa between studies,
/// so a keeper with a better table of the product in hand replaces it.
pub const VERMICULITE: Medium = Medium {
    key: Cow::Borrowed("vermiculite"),
    name: Cow::Borrowed("vermiculite"),
    points: Cow::Borrowed(&[(0.25, -920.0), (0.5, -300.0), (0.9, -142.0), (1.0, -135.0), (1.2, -85.0), (3.0, -2.0)]),
    source: Cow::Borrowed(
        "Brown 2004 and 2006 (ratios 0.25, 0.5, 1, 3) and Wei 2021 (0.5, 0.9, 1.2), as compiled in the data of the \
         moisture meta-analysis, J. Exp. Biol., doi 10.1242/jeb.249960",
    ),
};

/// Why a sum about water cannot be done; the message says what to do.
#[derive(Clone, Debug, PartialEq)]
pub enum WaterRefusal {
    /// The ratio lies outside the calibrated points.
    RatioOutside { ratio: f64, low: f64, high: f64 },
    /// The potential lies outside the calibrated points.
    PotentialOutside { kpa: f64, driest: f64, wettest: f64 },
    /// The dry mass is not above 0.
    NoDryMass,
    /// The calibration is not at least two points rising in both columns.
    BadCalibration,
    /// The box was never weighed closed.
    NeverWeighed,
}

impl fmt::Display for WaterRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RatioOutside { ratio, low, high } => write!(
                f,
                "{ratio:.2} g of water per g of dry medium is outside what was measured ({low:.2} to {high:.2}); choose a ratio inside it or enter your product's own table"
            ),
            Self::PotentialOutside { kpa, driest, wettest } => {
                write!(f, "{kpa:.0} kPa is outside what was measured ({driest:.0} to {wettest:.0} kPa)")
            }
            Self::NoDryMass => f.write_str("weigh the dry medium first: its mass must be above 0"),
            Self::BadCalibration => f.write_str(
                "a medium's table needs at least two rows, with rising ratios above 0 and rising potentials below 0 kPa",
            ),
            Self::NeverWeighed => f.write_str("weigh the box closed once: what to fill it to is not known yet"),
        }
    }
}

impl std::error::Error for WaterRefusal {}

impl Medium {
    /// A keeper's own table of (g water per g dry, kPa).
    pub fn new(key: &str, name: &str, points: &[(f64, f64)], source: &str) -> Result<Self, WaterRefusal> {
        let rising = points.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 < w[1].1);
        let sane = points.iter().all(|&(r, k)| r > 0.0 && k < 0.0 && r.is_finite() && k.is_finite());
        if points.len() < 2 || !rising || !sane {
            return Err(WaterRefusal::BadCalibration);
        }
        let own = |s: &str| Cow::Owned(s.to_owned());
        Ok(Self { key: own(key), name: own(name), points: Cow::Owned(points.to_vec()), source: own(source) })
    }

    /// The ratios the table covers, g water per g dry.
    pub fn ratios(&self) -> (f64, f64) {
        (self.points.first().map_or(0.0, |p| p.0), self.points.last().map_or(0.0, |p| p.0))
    }

    /// Water potential in kPa (below 0; nearer 0 is wetter) at `ratio` g of water per g dry.
    ///
    /// Log-log between the measured points; outside them it refuses.
    pub fn potential_kpa(&self, ratio: f64) -> Result<f64, WaterRefusal> {
        let (low, high) = self.ratios();
        between(self.points.iter().map(|&(r, k)| (r.ln(), (-k).ln())), ratio.ln())
            .map(|ln_k| -ln_k.exp())
            .ok_or(WaterRefusal::RatioOutside { ratio, low, high })
    }

    /// The ratio, g water per g dry, that gives `kpa`; the way back of [`Self::potential_kpa`].
    pub fn ratio_for(&self, kpa: f64) -> Result<f64, WaterRefusal> {
        let (driest, wettest) = (self.points.first().map_or(0.0, |p| p.1), self.points.last().map_or(0.0, |p| p.1));
        between(self.points.iter().rev().map(|&(r, k)| ((-k).ln(), r.ln())), (-kpa).ln())
            .map(f64::exp)
            .ok_or(WaterRefusal::PotentialOutside { kpa, driest, wettest })
    }
}

/// Straight line between neighbouring points of rising x; `None` outside them. A hair of rounding at either end
/// is forgiven, since x has been through a logarithm.
fn between(points: impl Iterator<Item = (f64, f64)>, x: f64) -> Option<f64> {
    let mut before: Option<(f64, f64)> = None;
    for (px, py) in points {
        match before {
            Some((bx, by)) if x <= px + 1e-12 => {
                return (x >= bx - 1e-12).then(|| by + (py - by) * (x - bx) / (px - bx));
            }
            None if x < px - 1e-12 => return None,
            _ => before = Some((px, py)),
        }
    }
    None
}

/// Water for a dry mass at a ratio by mass, to the milligram. The dry mass is above 0 and the ratio within 0–20.
///
/// Hand test after mixing: it clumps, and no drop falls when squeezed (common practice, no source).
pub fn water_for(dry: Mass, ratio: f64) -> Result<Mass, WaterRefusal> {
    if dry <= Mass::ZERO {
        return Err(WaterRefusal::NoDryMass);
    }
    if !(0.0..=20.0).contains(&ratio) {
        return Err(WaterRefusal::RatioOutside { ratio, low: 0.0, high: 20.0 });
    }
    Mass::from_grams(dry.grams() * ratio).ok_or(WaterRefusal::NoDryMass)
}

/// Relative humidity, in percent, of air at rest over a medium of `kpa` at `celsius` (Kelvin's equation, molar
/// volume of water 18.05 cm³/mol). Valid 0–50 °C and to −100 MPa; `None` outside.
pub fn humidity_percent(kpa: f64, celsius: f64) -> Option<f64> {
    const VW: f64 = 18.05e-6;
    const R: f64 = 8.314_462_618;
    let sane = (0.0..=50.0).contains(&celsius) && (-100_000.0..=0.0).contains(&kpa);
    sane.then(|| 100.0 * (kpa * 1000.0 * VW / (R * (celsius + 273.15))).exp())
}

/// One thing that happened to a box's mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoxEvent {
    /// The box as set up, or with a new lid or a new box: this closed mass is what to fill to from here on.
    Baseline { closed: Mass },
    /// Weighed closed (`None` = not weighed), then this much water added (0 = only weighed).
    Water { before: Option<Mass>, added: Mass },
    /// Something other than water came out: eggs, babies, samples; negative when put in. `None` = not weighed.
    TakenOut { mass: Option<Mass> },
}

/// An event as it was written down: perhaps with a day only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noted {
    pub when: When,
    /// its turn among all that was written: a later one is higher
    pub turn: usize,
    pub event: BoxEvent,
}

impl BoxEvent {
    fn is_weighing(self) -> bool {
        !matches!(self, Self::TakenOut { .. })
    }
}

/// Puts what happened to a box in order, oldest first, from its set-up on.
///
/// Times order what has them; a new baseline of the same minute was weighed last, so that everything else of that minute
/// is inside it. What has a day only goes by the order of writing among that day's weighings: who notes an egg after the
/// new lid took it out after it. Nothing leaves a box before it is set up, so of that day all comes after the set-up.
pub fn in_order(from: NaiveDateTime, closed: Option<Mass>, noted: &[Noted]) -> Vec<(NaiveDateTime, BoxEvent)> {
    let mut noted: Vec<&Noted> = noted.iter().collect();
    let timed = |n: &Noted| n.when.earliest() == n.when.latest();
    order::sort(&mut noted, |n| {
        let baseline = matches!(n.event, BoxEvent::Baseline { .. });
        let at = n.when.earliest();
        (!timed(n), timed(n).then_some((at, baseline)), n.turn, baseline)
    });
    // (when, turn, what): the set-up was written before all.
    let mut order: Vec<(NaiveDateTime, Option<usize>, BoxEvent)> =
        closed.map(|closed| (from, None, BoxEvent::Baseline { closed })).into_iter().collect();
    let set_up = order.len();
    for n in noted {
        let (first, last) = (n.when.earliest(), n.when.latest());
        if timed(n) {
            if first >= from {
                order.push((first, Some(n.turn), n.event));
            }
            continue;
        }
        if last <= from {
            continue;
        }
        let before = order
            .iter()
            .rposition(|&(at, turn, event)| event.is_weighing() && (first..last).contains(&at) && turn < Some(n.turn));
        let (at, mut place) = match before {
            Some(place) => (order[place].0, place + 1),
            None => {
                let at = first.max(from);
                (at, set_up + order[set_up..].iter().take_while(|known| known.0 < at).count())
            }
        };
        while order.get(place).is_some_and(|known| known.0 == at && known.1 <= Some(n.turn)) {
            place += 1;
        }
        order.insert(place, (at, Some(n.turn), n.event));
    }
    order.into_iter().map(|(at, _, event)| (at, event)).collect()
}

/// What a box should weigh closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FillTo {
    pub mass: Mass,
    /// Things taken out or put in unweighed since the baseline: the mass is off by theirs.
    pub unweighed: u32,
}

/// Fill-to mass: the latest baseline less everything but water taken out since (eggs at their mass on removal).
/// Water added earlier needs no term. `events` oldest first.
pub fn fill_to(events: &[(NaiveDateTime, BoxEvent)]) -> Result<FillTo, WaterRefusal> {
    let mut now: Option<FillTo> = None;
    for (_, event) in events {
        match (event, &mut now) {
            (BoxEvent::Baseline { closed }, _) => now = Some(FillTo { mass: *closed, unweighed: 0 }),
            (BoxEvent::TakenOut { mass: Some(m) }, Some(f)) => f.mass = f.mass - *m,
            (BoxEvent::TakenOut { mass: None }, Some(f)) => f.unweighed += 1,
            _ => {}
        }
    }
    now.ok_or(WaterRefusal::NeverWeighed)
}

/// What to do with a box that was just weighed closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToAdd {
    /// This much water brings it back.
    Add(Mass),
    /// Within the scale's resolution of what it should be.
    Enough,
    /// Heavier than it can have become by itself, by this much: condensation outside, or an error?
    Heavier(Mass),
}

/// Water to add to a box weighing `now` closed, on a scale that shows steps of `resolution` (not negative).
pub fn to_add(fill_to: FillTo, now: Mass, resolution: Mass) -> ToAdd {
    let short = fill_to.mass - now;
    match short {
        s if s > resolution => ToAdd::Add(s),
        s if s < Mass::ZERO - resolution => ToAdd::Heavier(Mass::ZERO - s),
        _ => ToAdd::Enough,
    }
}

/// The closed mass the box has by the records after the last event that tells it, and when that was.
/// `None` before any weighing, or when the last thing was done without weighing.
pub fn level(events: &[(NaiveDateTime, BoxEvent)]) -> Option<(NaiveDateTime, Mass)> {
    spans(events).1
}

/// Water lost per day by evaporation, from all spans between two closed weighings. `None` without such a span of
/// at least half a day. Never below 0: a box does not gain water by itself.
pub fn loss_per_day(events: &[(NaiveDateTime, BoxEvent)]) -> Option<Mass> {
    let (lost, days) = spans(events).0;
    (days >= 0.5).then(|| Mass((lost.0.max(0) as f64 / days).round() as i64))
}

/// (mass lost over all spans between weighings, days of those spans) and the level now.
#[allow(clippy::type_complexity)]
fn spans(events: &[(NaiveDateTime, BoxEvent)]) -> ((Mass, f64), Option<(NaiveDateTime, Mass)>) {
    let mut known: Option<(NaiveDateTime, Mass)> = None;
    let (mut lost, mut days) = (Mass::ZERO, 0.0);
    for &(at, event) in events {
        match event {
            BoxEvent::Baseline { closed } => known = Some((at, closed)),
            BoxEvent::Water { before: Some(m), added } => {
                if let Some((since, was)) = known {
                    lost = lost + (was - m);
                    days += (at - since).num_seconds() as f64 / 86_400.0;
                }
                known = Some((at, m + added));
            }
            // Added blind: where the level stands is not known until the next weighing.
            BoxEvent::Water { before: None, added } if added != Mass::ZERO => known = None,
            BoxEvent::Water { before: None, .. } => {}
            BoxEvent::TakenOut { mass: Some(m) } => {
                if let Some((_, was)) = &mut known {
                    *was = *was - m;
                }
            }
            BoxEvent::TakenOut { mass: None } => known = None,
        }
    }
    ((lost, days), known)
}

/// A box is weighed again at the latest after this many days, whatever it loses: lids crack (common practice).
pub const LONGEST_DAYS: i64 = 14;
/// The first weighing after set-up, while nothing is known of the box's loss (common practice).
pub const FIRST_DAYS: i64 = 7;
/// No water prompts this many days before the look-from date: dents and sweat are normal then (common practice).
pub const QUIET_DAYS: i64 = 10;
/// The share of the box's water that may go before it is weighed again (common practice, no source).
pub const LOSS_SHARE: f64 = 0.05;

/// When to weigh the box again. `None` in the last [`QUIET_DAYS`] before `look_from`, and before any baseline.
///
/// Due when the predicted loss reaches [`LOSS_SHARE`] of `water` (what was mixed in; `None` when unknown) or the
/// scale's `resolution`, whichever is more; sooner after [`FIRST_DAYS`] while the loss is unknown; never later than
/// [`LONGEST_DAYS`].
pub fn next_check(
    events: &[(NaiveDateTime, BoxEvent)],
    water: Option<Mass>,
    resolution: Mass,
    look_from: Option<NaiveDateTime>,
) -> Option<NaiveDateTime> {
    let last = events.iter().rev().find_map(|&(at, e)| match e {
        BoxEvent::Baseline { .. } | BoxEvent::Water { .. } => Some(at),
        BoxEvent::TakenOut { .. } => None,
    })?;
    let days = match (loss_per_day(events), water) {
        (Some(rate), Some(water)) if rate > Mass::ZERO => {
            // What is already short counts: a box left 4 % down reaches 5 % soon.
            let short = match (fill_to(events), level(events)) {
                (Ok(f), Some((_, m))) => (f.mass - m).grams().max(0.0),
                _ => 0.0,
            };
            let may_go = (water.grams() * LOSS_SHARE).max(resolution.grams());
            ((may_go - short).max(0.0) / rate.grams()).clamp(1.0, LONGEST_DAYS as f64)
        }
        (Some(_), _) => LONGEST_DAYS as f64,
        (None, _) => FIRST_DAYS as f64,
    };
    let due = last + TimeDelta::seconds((days * 86_400.0) as i64);
    match look_from {
        Some(l) if due > l - TimeDelta::days(QUIET_DAYS) => None,
        _ => Some(due),
    }
}

/// How wet the medium itself is now: an estimate, since the eggs drink too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MediumNow {
    /// g water per g dry
    pub ratio: f64,
    /// kPa, when the ratio is inside the medium's table
    pub kpa: Option<f64>,
    /// water that has gone into the eggs that are in
    pub in_eggs: Mass,
    /// water that eggs took with them when they left
    pub carried_off: Mass,
}

/// Water that an egg took out of the medium when it left, `developed` (0–1) on its way: what it had gained where it was
/// weighed both times, else its share of [`EGG_GAIN`].
pub fn carried_off(laid: Mass, left: Option<Mass>, developed: f64) -> Mass {
    match left {
        Some(left) => Mass((left - laid).0.max(0)),
        None => drunk(laid, developed),
    }
}

fn drunk(laid: Mass, developed: f64) -> Mass {
    Mass((laid.0.max(0) as f64 * EGG_GAIN * developed.clamp(0.0, 1.0)).round() as i64)
}

/// What eggs gain by hatching as a share of their mass at laying. A round figure for parchment-shelled eggs
/// (common practice, no source); it only feeds the estimate of the medium.
pub const EGG_GAIN: f64 = 0.30;

/// Estimate of the medium of a box mixed from `dry` and `water`, now `short` of its fill-to mass (0 when just
/// filled), with eggs of `eggs` at laying that are `developed` (0–1) on their way, drinking evenly, and with what eggs
/// that left carried off: the fill-to mass is lower by all of such an egg, so that water is not put back.
///
/// Ten 12 g eggs gaining 30 % take 36 g: out of 200 g at 1:1 that leaves .82 g per g at fill-to.
pub fn medium_now(
    medium: &Medium,
    dry: Mass,
    water: Mass,
    short: Mass,
    eggs: Mass,
    developed: f64,
    carried_off: Mass,
) -> Result<MediumNow, WaterRefusal> {
    if dry <= Mass::ZERO {
        return Err(WaterRefusal::NoDryMass);
    }
    let in_eggs = drunk(eggs, developed);
    let ratio = ((water - in_eggs - carried_off - short).grams() / dry.grams()).max(0.0);
    Ok(MediumNow { ratio, kpa: medium.potential_kpa(ratio).ok(), in_eggs, carried_off })
}

#[cfg(test)]
mod tests;
