//! The days ahead: what Rounds will ask for, and what a phone's own calendar should hold.

use super::animal::{NextStep, next_steps};
use super::boxes::{first_window, parts_of};
use super::rounds::{Ahead, Due, DueKind, rows};
use crate::book::Book;
use crate::ids::*;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use std::collections::BTreeSet;

/// What becomes due on a day that is not due yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Coming {
    pub day: NaiveDate,
    pub dues: Vec<Due>,
}

/// Rounds are walked in the evening; by then a day's rows are there.
fn evening(day: NaiveDate) -> NaiveDateTime {
    day.and_time(NaiveTime::from_hms_opt(20, 0, 0).unwrap_or_default())
}

/// Each of the next days with what becomes due on it, by the rules of Rounds, if nothing is done until then. Each
/// thing once, on its first day; of a treatment each dose. The barn is gathered once, and asked each evening.
pub fn ahead(book: &Book, now: NaiveDateTime, days: u16) -> Vec<Coming> {
    let mut told: BTreeSet<SnoozeId> = rows(book, now, None).iter().map(Due::row).collect();
    let mut coming = Vec::new();
    for by in 0..=i64::from(days) {
        let Some(day) = now.date().checked_add_signed(TimeDelta::days(by)) else { break };
        let dues = rows(book, evening(day).max(now), Some(Ahead { looked: now, told: &told }));
        told.extend(dues.iter().map(Due::row));
        coming.push(Coming { day, dues });
    }
    coming
}

/// An entry for a calendar: whole days from–to, the last one included.
#[derive(Clone, Debug, PartialEq)]
pub struct CalendarRow {
    /// The same for the same thing, however often it is given out.
    pub key: String,
    pub from: NaiveDate,
    pub to: NaiveDate,
    pub what: CalendarWhat,
    /// What it is called, and where it is, outermost first.
    pub name: String,
    pub path: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum CalendarWhat {
    /// Hatching is likely on these days.
    Hatch,
    /// Eggs are likely on these days.
    Eggs,
    Due(Box<Due>),
}

/// Hatch windows, eggs expected, and the water, candlings, meals and holds of the next two weeks.
pub fn calendar_rows(book: &Book, now: NaiveDateTime) -> Vec<CalendarRow> {
    let mut rows = Vec::new();
    for filling in book.open_fillings() {
        let parts = parts_of(book, &filling.id, now);
        let Some(window) = first_window(&parts).and_then(|part| part.window.as_ref().ok()) else { continue };
        let thing = filling.id.thing();
        rows.push(CalendarRow {
            from: window.first.likely.0.date(),
            to: window.first.likely.1.date(),
            ..row(book, "hatch", &thing, CalendarWhat::Hatch)
        });
    }
    for animal in book.animals() {
        for step in next_steps(book, &animal.id, now) {
            // A lock alone leaves weeks open; a calendar is for days.
            if let NextStep::EggsDue { sign, from, to, .. } = step
                && sign.is_gravid()
            {
                rows.push(CalendarRow { from, to, ..row(book, "eggs", &animal.id.thing(), CalendarWhat::Eggs) });
            }
        }
    }
    const KINDS: [DueKind; 4] = [DueKind::Water, DueKind::Candle, DueKind::FeedRack, DueKind::Hold];
    for Coming { day, dues } in ahead(book, now, 14) {
        for due in dues.into_iter().filter(|due| KINDS.contains(&due.kind)) {
            let key = due.row().to_string();
            let (name, path) = (due.name.clone(), due.path.clone());
            rows.push(CalendarRow { key, from: day, to: day, what: CalendarWhat::Due(Box::new(due)), name, path });
        }
    }
    rows.sort_by(|a, b| (a.from, a.to, &a.key).cmp(&(b.from, b.to, &b.key)));
    rows
}

fn row(book: &Book, key: &str, thing: &Thing, what: CalendarWhat) -> CalendarRow {
    CalendarRow {
        key: format!("{key}.{thing}"),
        from: NaiveDate::MIN,
        to: NaiveDate::MIN,
        what,
        name: book.short_name(thing),
        path: book.place_of(thing).map(|place| book.path_names(&place.id)).unwrap_or_default(),
    }
}
