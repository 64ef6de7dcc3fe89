//! A temperature over time with what grew under it, for a plot and its table; and what it means for sex.

use super::boxes::{first_window, parts_of};
use crate::book::Book;
use crate::heat::Stay;
use crate::ids::*;
use crate::records::Egg;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use trade::path::Stroke;
use trade::response::THERMOMETER_C;
use trade::sex::{Males, NoSexShare, males_at};
use trade::species::{Profile, SexBy};
use trade::units::Humidity;
use trade::when::When;
use trade::window::{Range, Window};

/// A plot of temperatures, all °C.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatPlot {
    pub from: NaiveDateTime,
    pub to: NaiveDateTime,
    pub now: NaiveDateTime,
    /// Without a gap; after `now` what is assumed.
    pub strokes: Vec<Stroke>,
    pub days: Vec<HeatDay>,
    /// Power cuts and the like: from, to, what.
    pub incidents: Vec<(NaiveDateTime, NaiveDateTime, String)>,
    /// When a box came to another shelf, and where to.
    pub moves: Vec<(NaiveDateTime, String)>,
    /// Of a box: development, 0–1, rising; 1 is the median pip.
    pub grown: Vec<(NaiveDateTime, f64)>,
    pub window: Option<Range>,
    /// What the species tolerates.
    pub tolerated: Option<(f64, f64)>,
}

/// One day of a plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatDay {
    pub day: NaiveDate,
    pub low: f64,
    pub high: f64,
    pub read: bool,
    pub grown: Option<f64>,
    /// Of a place, where humidity was read on that day: the least and the most.
    pub humidity: Option<(Humidity, Humidity)>,
}

/// Strokes and points across a plot: about one a pixel column of a phone's half.
const STROKES: usize = 180;
const POINTS: usize = 48;
/// Days a shelf's plot goes back at most.
pub const SHELF_DAYS: i64 = 90;

/// A place's temperature of late. `None` where nothing was ever read.
pub fn shelf_plot(book: &Book, place: &PlaceId, now: NaiveDateTime) -> Option<HeatPlot> {
    let readings = book.readings_at(&book.thermometer(place));
    let oldest = now - TimeDelta::days(SHELF_DAYS);
    let first = readings.iter().map(|r| r.at).find(|&at| at >= oldest && at <= now)?;
    let from = (first - TimeDelta::hours(12)).min(now - TimeDelta::days(2));
    let mut plot = plot(book, &[Stay { from: NaiveDateTime::MIN, place: place.clone(), nest: false }], from, now, now)?;
    let humid = book.humid_days(&book.thermometer(place));
    plot.days.iter_mut().for_each(|day| day.humidity = humid.get(&day.day).copied());
    Some(plot)
}

/// What the eggs of a box went through since they were laid, and what is assumed until they hatch. Of the clutch whose
/// window comes first. `None` where no temperature is known.
pub fn box_plot(book: &Book, filling: &FillingId, now: NaiveDateTime) -> Option<HeatPlot> {
    let parts = parts_of(book, filling, now);
    let part = first_window(&parts)?;
    let tray = book.tray(filling);
    let eggs = if tray.is_empty() { book.eggs_ever_in(filling) } else { tray };
    let egg = eggs.into_iter().find(|egg| egg.clutch.as_ref() == Some(&part.clutch))?;
    let laid = part.laid?.middle();
    let window = part.window.as_ref().ok();
    let to = window.map_or(now, |w| w.first.outer.1.max(now)).max(laid + TimeDelta::days(2));
    let stays = book.stays(egg);
    let mut plot = plot(book, &stays, laid, to, now)?;
    if let Some(window) = window {
        plot.grown = grown(book, egg, &stays, laid, to, window);
        for day in &mut plot.days {
            let end = day.day.and_time(NaiveTime::MIN) + TimeDelta::days(1);
            day.grown = plot.grown.iter().take_while(|point| point.0 <= end).last().map(|point| point.1);
        }
        plot.window = Some(window.first);
    }
    plot.tolerated = Some(part.species.tolerated);
    Some(plot)
}

fn plot(book: &Book, stays: &[Stay], from: NaiveDateTime, to: NaiveDateTime, now: NaiveDateTime) -> Option<HeatPlot> {
    let whole = (to - from).num_minutes().max(1) as f64;
    let mut plot = HeatPlot {
        from,
        to,
        now,
        strokes: Vec::new(),
        days: Vec::new(),
        incidents: Vec::new(),
        moves: Vec::new(),
        grown: Vec::new(),
        window: None,
        tolerated: None,
    };
    for (i, stay) in stays.iter().enumerate() {
        // Time before the first stay counts as spent there, as it does for the window.
        let start = if i == 0 { from } else { stay.from.max(from) };
        let end = stays.get(i + 1).map_or(to, |next| next.from.min(to));
        if start >= end {
            continue;
        }
        let Ok(path) = book.temperatures(&stay.place, start - TimeDelta::days(3), end) else { continue };
        let share = ((end - start).num_minutes() as f64 / whole * STROKES as f64).ceil().max(1.0);
        plot.strokes.extend(path.sketch(start, end, share as usize));
        let (first, last) = (start.date(), (end - TimeDelta::minutes(1)).date());
        let days = usize::try_from((last - first).num_days() + 1).unwrap_or(0);
        let midnight = |day: NaiveDate| day.and_time(NaiveTime::MIN);
        for stroke in path.sketch(midnight(first), midnight(last) + TimeDelta::days(1), days) {
            let day = (stroke.from + TimeDelta::hours(12)).date();
            match plot.days.last_mut() {
                // The day of a move has both shelves in it.
                Some(known) if known.day == day => {
                    (known.low, known.high) = (known.low.min(stroke.low), known.high.max(stroke.high));
                }
                _ => plot.days.push(HeatDay {
                    day,
                    low: stroke.low,
                    high: stroke.high,
                    read: stroke.read,
                    grown: None,
                    humidity: None,
                }),
            }
        }
        if i > 0 {
            plot.moves.push((start, book.short_name(&stay.place.thing())));
        }
        for incident in book.path(&stay.place).into_iter().flat_map(|place| book.incidents(&place.id)) {
            let Some(began) = incident.from.map(When::earliest) else { continue };
            let over = incident.to.map_or(began, When::latest);
            if over >= start && began <= end {
                let what = incident.what.clone().unwrap_or_default();
                let seen = (began.max(start), over.min(end), what);
                if !plot.incidents.contains(&seen) {
                    plot.incidents.push(seen);
                }
            }
        }
    }
    plot.incidents.sort();
    (!plot.strokes.is_empty()).then_some(plot)
}

/// Development at moments across the plot: 1 at the median pip.
fn grown(
    book: &Book,
    egg: &Egg,
    stays: &[Stay],
    laid: NaiveDateTime,
    to: NaiveDateTime,
    window: &Window,
) -> Vec<(NaiveDateTime, f64)> {
    let tracks = book.tracks(egg, stays);
    let until = |t: NaiveDateTime| {
        let stay = |(i, (from, track)): (usize, &(NaiveDateTime, std::rc::Rc<trade::path::Track>))| {
            let start = if i == 0 { laid } else { (*from).max(laid) };
            let end = tracks.get(i + 1).map_or(t, |next| next.0.min(t));
            if end > start { track.development(start, end) } else { 0.0 }
        };
        tracks.iter().enumerate().map(stay).sum::<f64>()
    };
    let whole = until(window.unlooked.median);
    if whole <= 0.0 {
        return Vec::new();
    }
    let step = (to - laid) / POINTS as i32;
    (0..=POINTS as i32).map(|i| laid + step * i).map(|t| (t, (until(t) / whole).min(1.0))).collect()
}

/// For a species whose sex depends on temperature: the mean °C of the middle third of incubation, as read and as
/// assumed, and the expected share of males. `None` for the others, and where no window is known.
pub fn males_of_box(book: &Book, filling: &FillingId, now: NaiveDateTime) -> Option<(f64, Result<Males, NoSexShare>)> {
    let parts = parts_of(book, filling, now);
    let part = first_window(&parts)?;
    if part.species.sex_by != SexBy::Temperature {
        return None;
    }
    let egg = book.eggs_ever_in(filling).into_iter().find(|egg| egg.clutch.as_ref() == Some(&part.clutch))?;
    let (laid, pip) = (part.laid?.middle(), part.window.as_ref().ok()?.unlooked.median);
    let stays = book.stays(egg);
    let tracks = book.tracks(egg, &stays);
    let third = (pip - laid) / 3;
    const STEPS: i32 = 120;
    let at = |t: NaiveDateTime| {
        let i = tracks.partition_point(|(from, _)| *from <= t).saturating_sub(1);
        tracks.get(i).map(|(_, track)| track.path().at(t).0)
    };
    let sum: f64 = (0..STEPS).filter_map(|i| at(laid + third + third * i / STEPS)).sum();
    let mean = sum / f64::from(STEPS);
    Some((mean, males_at(&part.species, mean, THERMOMETER_C)))
}

/// Species that the barn keeps clutches of, with how many of its own they are learned from; then those it has its own
/// word on; then the rest as shipped. What a record holds, its profile, own clutches.
pub fn species_rows(book: &Book) -> Vec<(String, Profile, u32)> {
    let kept: std::collections::BTreeSet<String> =
        book.clutches().into_iter().filter_map(|clutch| book.clutch_species(clutch)).collect();
    let mut rows: Vec<(u8, String, Profile, u32)> = book
        .all_species()
        .into_iter()
        .map(|(key, profile)| {
            let own = book.model(&key).own_clutches();
            let rank = match (kept.contains(&key), book.own_species(&key.as_str().into()).is_some()) {
                (true, _) => 0,
                (false, true) => 1,
                _ => 2,
            };
            (rank, key, profile, own)
        })
        .collect();
    rows.sort_by_key(|row| (row.0, std::cmp::Reverse(row.3)));
    rows.into_iter().map(|(_, key, profile, own)| (key, profile, own)).collect()
}
