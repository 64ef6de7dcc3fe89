//! What to heed about a box.

use super::boxes::{BoxView, BoxWarning};
use super::parts::TrayEgg;
use crate::book::Book;
use crate::ids::Thing;
use crate::words::*;
use chrono::NaiveDateTime;
use trade::species::Profile;
use trade::success::{FALLS_OFF, published};
use trade::window::{Stage, Window};

/// The share of shelled eggs dead or gone bad from which a box is called a bad one (common practice, no source).
const BAD_SHARE: f64 = 1.0 / 3.0;
/// A lay date open by this many days or more is told (common practice, no source).
const LAID_OPEN_DAYS: f64 = 4.0;
/// Look again 48 hours after a pip (common practice).
pub(super) const PIP_HOURS: i64 = 48;

pub(super) fn warnings(book: &Book, view: &BoxView, now: NaiveDateTime) -> Vec<BoxWarning> {
    let mut warnings = Vec::new();
    if view.emptied.is_some() {
        return warnings;
    }
    for part in &view.parts {
        let sum = super::sum::sum_of(book, &part.clutch);
        if let Some(counted) = sum.counted.filter(|_| !sum.agrees()) {
            warnings.push(BoxWarning::SumOff { number: part.number.clone(), counted, in_book: sum.in_book });
        }
        if book.doubled_numbers().iter().any(|group| group.iter().any(|clutch| clutch.id == part.clutch)) {
            warnings.push(BoxWarning::NumberTwice { number: part.number.clone() });
        }
        if let Ok(window) = &part.window
            && part.eggs > 0
        {
            if let Some((_, celsius)) = window.why.not_tolerated {
                let (low, high) = part.species.tolerated;
                warnings.push(BoxWarning::NotTolerated { celsius, low, high });
            }
            warnings.extend(hatch_rate(&part.species, window));
            if window.why.lay_days >= LAID_OPEN_DAYS {
                warnings.push(BoxWarning::LaidOpen { days: window.why.lay_days.round() as u32 });
            }
            if window.stage == Stage::Passed {
                warnings.push(BoxWarning::WindowPassed);
            }
        }
    }
    let mut things: Vec<Thing> = view.tray.iter().map(|egg| egg.id.thing()).collect();
    things.push(view.id.thing());
    things.extend(view.parts.iter().map(|part| part.clutch.thing()));
    things.retain(|thing| book.clashes_in(thing));
    if !things.is_empty() {
        warnings.push(BoxWarning::Clash { things });
    }
    let is_nest = view.nest.is_some();
    if view.place.is_none() {
        warnings.push(if is_nest { BoxWarning::NoNest } else { BoxWarning::NoShelf });
    }
    match view.water.fill_to {
        None if view.water.mix != Mix::None && !is_nest => warnings.push(BoxWarning::NeverWeighed),
        Some(fill_to) if fill_to.unweighed > 0 => warnings.push(BoxWarning::Unweighed { times: fill_to.unweighed }),
        _ => {}
    }
    let shelled: Vec<&TrayEgg> = view.tray.iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug)).collect();
    let bad = shelled.iter().filter(|egg| is_bad(egg)).count();
    if !shelled.is_empty() && bad as f64 > shelled.len() as f64 * BAD_SHARE {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        warnings.push(BoxWarning::Dying { bad: count(bad), of: count(shelled.len()) });
    }
    let long: Vec<(&TrayEgg, i64)> = view
        .tray
        .iter()
        .filter(|egg| egg.is_in)
        .filter_map(|egg| Some((egg, (now - egg.pipped.or(egg.cut)?.earliest()).num_hours())))
        .filter(|(_, hours)| *hours >= PIP_HOURS)
        .collect();
    if let Some(hours) = long.iter().map(|(_, hours)| *hours).max() {
        let letters = long.into_iter().map(|(egg, _)| egg.letter.clone()).collect();
        warnings.push(BoxWarning::PippedLong { letters, hours });
    }
    warnings
}

/// By the mean of what was read and, for the rest of the way, what is assumed.
fn hatch_rate(species: &Profile, window: &Window) -> Option<BoxWarning> {
    let why = &window.why;
    let whole = why.days_since_lay / window.developed.max(0.02);
    let read = why.mean_read_c.map_or(0.0, |mean| mean * why.days_read);
    let celsius = (read + why.ahead_c * (whole - why.days_read).max(0.0)) / whole.max(why.days_read).max(0.1);
    let short = published(species.kin)?.shortfall(celsius)?;
    (short > FALLS_OFF).then_some(BoxWarning::HatchRateFalls { celsius, percent: (short * 100.0).round() as u32 })
}

fn is_bad(egg: &TrayEgg) -> bool {
    matches!(egg.fate, Some(Fate::Died | Fate::FullTermDead | Fate::Removed))
        || egg.is_in && matches!(egg.seen, Some(Seen::Dead | Seen::Mouldy))
}
