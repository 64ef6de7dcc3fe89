//! What a label will say otherwise than the one printed before.

use super::text::Ready;
use crate::prefs::Prefs;
use crate::words::{dates, labels as said, units};
use book::Book;
use chrono::NaiveDate;
use labels::payload::{Known, Reading, read};

/// A sentence, or nothing when none was printed before.
pub fn changed(book: &Book, ready: &Ready, today: NaiveDate, prefs: &Prefs) -> Option<String> {
    let last = book.label_prints(&ready.printed.thing).next()?;
    let mut changes = Vec::new();
    match (last.look_from, ready.printed.look_from) {
        (Some(was), Some(is)) if was != is => {
            let days = (is - was).num_days();
            changes.push(said::window_moved(days, &dates::day(was, today), &dates::day(is, today)));
        }
        (None, Some(is)) => changes.push(said::window_new(&dates::day(is, today))),
        (Some(_), None) => changes.push(said::WINDOW_GONE.to_owned()),
        _ => {}
    }
    if let (Some(was), Some(is)) = (last.fill_to, ready.printed.fill_to)
        && units::mass(was, prefs) != units::mass(is, prefs)
    {
        changes.push(said::fill_to_moved(&units::mass(was, prefs), &units::mass(is, prefs)));
    }
    let payload = last.payload.as_deref().unwrap_or_default();
    if let Reading::Label(label) = read(payload) {
        changes.extend(told(&label.known, &ready.known));
    }
    let address = |text: &str| text.split('#').next().unwrap_or_default().to_ascii_uppercase();
    if !payload.is_empty() && address(payload) != address(&ready.text.link) {
        changes.push(said::ADDRESS_MOVED.to_owned());
    }
    let day = last.when.map(|when| dates::when(when, today));
    Some(said::since(day.as_deref(), &changes))
}

/// What both codes tell, and tell otherwise.
fn told(was: &Known, is: &Known) -> Vec<String> {
    let mut out = Vec::new();
    if let (Some(was), Some(is)) = (was.eggs, is.eggs)
        && was != is
    {
        out.push(said::eggs_moved(was, is));
    }
    if let (Some(was), Some(is)) = (&was.number, &is.number)
        && !was.eq_ignore_ascii_case(is)
    {
        out.push(said::name_moved(was, is));
    }
    out
}
