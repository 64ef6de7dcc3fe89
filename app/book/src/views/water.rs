//! A box's water: what it should weigh, what was last done, when to weigh again.

use crate::book::{Book, Written};
use crate::ids::*;
use crate::records::{Egg, Filling};
use crate::sums::SCALE;
use crate::words::{Fate, Mix};
use chrono::NaiveDateTime;
use trade::units::Mass;
use trade::water::{
    BoxEvent, FillTo, Medium, MediumNow, VERMICULITE, carried_off, level, loss_per_day, medium_now, next_check,
};
use trade::when::When;
use trade::window::Window;

/// A box's water as its page shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterView {
    /// `None`: never weighed closed.
    pub fill_to: Option<FillTo>,
    pub last: Option<CheckLine>,
    /// Newest first, `last` included.
    pub checks: Vec<CheckLine>,
    /// When to weigh again; `None` when there is nothing to prompt for.
    pub next: Option<NaiveDateTime>,
    /// In the last days before the window, and after: dents and sweat are normal, and nothing is prompted.
    pub quiet: bool,
    pub loss_per_day: Option<Mass>,
    pub medium: Option<String>,
    pub mix: Mix,
    pub dry: Option<Mass>,
    pub water: Option<Mass>,
    /// At set-up.
    pub closed: Option<Mass>,
    /// How wet the medium itself is likely now; only where both masses and the eggs' are known and the medium has a
    /// table.
    pub medium_now: Option<MediumNow>,
}

/// A water check as recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckLine {
    pub id: WaterId,
    pub when: Option<When>,
    pub mass: Option<Mass>,
    pub added: Option<Mass>,
    pub baseline: bool,
    pub note: Option<String>,
    pub written: Option<Written>,
}

/// When to weigh a box again, given what happened to its mass and the window of its eggs if it has one; `None` when there
/// is nothing to prompt for.
pub(super) fn next_water(
    filling: &Filling,
    events: &[(NaiveDateTime, BoxEvent)],
    window: Option<&Window>,
    now: NaiveDateTime,
) -> Option<NaiveDateTime> {
    let has_medium = filling.mix != Some(Mix::None) && !filling.is_nest();
    let look_from = window.map(|w| w.unlooked.likely.0);
    (has_medium && !is_quiet(window, now) && filling.to.is_none())
        .then(|| next_check(events, filling.water, SCALE, look_from))
        .flatten()
}

/// In the last days before the window, and after.
fn is_quiet(window: Option<&Window>, now: NaiveDateTime) -> bool {
    window.is_some_and(|w| now >= w.unlooked.likely.0 - chrono::TimeDelta::days(trade::water::QUIET_DAYS))
}

/// The water of a box, given the window of its eggs if it has one.
pub fn water_view(book: &Book, filling: &FillingId, window: Option<&Window>, now: NaiveDateTime) -> Option<WaterView> {
    let record = book.filling(filling)?;
    let events = book.water_events(filling);
    let next = next_water(record, &events, window, now).filter(|_| !book.eggs_in(filling).is_empty());
    let checks: Vec<CheckLine> = book
        .water_checks(filling)
        .map(|check| CheckLine {
            id: check.id.clone(),
            when: check.when,
            mass: check.mass,
            added: check.added,
            baseline: check.baseline,
            note: check.note.clone(),
            written: book.written(&check.id.thing()),
        })
        .collect();
    let fill_to = trade::water::fill_to(&events).ok();
    let short = match (fill_to, level(&events)) {
        (Some(fill_to), Some((_, mass))) => Mass((fill_to.mass - mass).0.max(0)),
        _ => Mass::ZERO,
    };
    Some(WaterView {
        fill_to,
        last: checks.first().cloned(),
        checks,
        next,
        quiet: is_quiet(window, now),
        loss_per_day: loss_per_day(&events),
        medium: record.medium.clone(),
        mix: record.mix.unwrap_or(Mix::Unknown),
        dry: record.dry,
        water: record.water,
        closed: record.closed,
        medium_now: window.and_then(|window| estimate(book, filling, short, window.developed, now)),
    })
}

fn estimate(book: &Book, filling: &FillingId, short: Mass, developed: f64, now: NaiveDateTime) -> Option<MediumNow> {
    let record = book.filling(filling)?;
    let (dry, water) = (record.dry?, record.water?);
    let medium: &Medium = record.medium.as_deref().filter(|key| *key == VERMICULITE.key).map(|_| &VERMICULITE)?;
    let inside = book.eggs_in(filling);
    let eggs: Vec<Option<Mass>> = inside.iter().map(|egg| egg.mass).collect();
    let eggs: Mass = eggs.into_iter().collect::<Option<Vec<Mass>>>()?.into_iter().sum();
    let left = book.eggs_ever_in(filling).into_iter().filter(|egg| !inside.iter().any(|known| known.id == egg.id));
    let carried = left.map(|egg| carried(egg, record.from, now, developed));
    let carried: Mass = carried.collect::<Option<Vec<Mass>>>()?.into_iter().sum();
    medium_now(medium, dry, water, short, eggs, developed, carried).ok()
}

/// What an egg that left the box took of its water. What is weighed when a baby is out is the baby.
fn carried(egg: &Egg, from: Option<When>, now: NaiveDateTime, developed: f64) -> Option<Mass> {
    let laid = egg.mass?;
    if matches!(egg.fate, Some(Fate::Hatched | Fate::FullTermDead)) {
        return Some(carried_off(laid, None, 1.0));
    }
    // One that left earlier had drunk less: as much less as its time in the box was shorter.
    let days = |a: NaiveDateTime, b: NaiveDateTime| (b - a).num_hours().max(1) as f64;
    let part = match (from, egg.fate_when) {
        (Some(from), Some(left)) => days(from.earliest(), left.middle()) / days(from.earliest(), now),
        _ => 1.0,
    };
    Some(carried_off(laid, egg.fate_mass, developed * part.min(1.0)))
}
