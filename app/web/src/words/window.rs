//! The hatch window in words.

use super::{count, dates, units};
use crate::prefs::Prefs;
use book::views::{Since, SinceWhat};
use chrono::NaiveDate;
use trade::response::Basis;
use trade::species::Source;
use trade::told::{LEARNED, Mark, Told};
use trade::units::Temp;
use trade::window::{Cause, Refusal, Side, Stage, Window};

pub const LOOK_FROM: &str = "Look from";
pub const HATCHING: &str = "Hatching";

pub fn likely(a: NaiveDate, b: NaiveDate, today: NaiveDate) -> String {
    format!("likely {}", dates::range(a, b, today))
}

pub fn outer(a: NaiveDate, b: NaiveDate, today: NaiveDate) -> String {
    format!("possible {}", dates::range(a, b, today))
}

/// `laid 12 Oct`, `laid about 12 Oct`, `found 12 Oct`: what the days count from.
pub fn since(since: Since, today: NaiveDate) -> String {
    let day = dates::day(since.when.date(), today);
    match since.what {
        SinceWhat::LaidAbout => format!("laid about {day}"),
        SinceWhat::Laid | SinceWhat::Found => laid(&day, since.what == SinceWhat::Found),
    }
}

/// The same under a heading that says `Laid`.
pub fn since_cell(of: Since, today: NaiveDate) -> String {
    let day = dates::day(of.when.date(), today);
    match of.what {
        SinceWhat::Laid => day,
        SinceWhat::LaidAbout => format!("about {day}"),
        SinceWhat::Found => laid(&day, true),
    }
}

/// `found` where the laying itself was not seen.
pub fn laid(day: &str, only_found: bool) -> String {
    format!("{} {day}", if only_found { "found" } else { "laid" })
}

/// When it was laid as candling tells it, and by what; an experiment until enough clutches taught it.
pub fn told(told: &Told, today: NaiveDate) -> String {
    let (from, to) = told.laid.days();
    let marks: Vec<&str> = told.marks.iter().copied().map(mark).collect();
    let learned = if told.is_learned() {
        String::new()
    } else {
        format!(" This is an experiment until {LEARNED} have taught it.")
    };
    format!(
        "Nobody saw it laid. Going by when {} showed, it was most likely laid {}, judged by {} of yours with a known lay date. The window follows.{learned}",
        marks.join(" and "),
        dates::range(from, to, today),
        count(told.clutches as usize, "clutch", "clutches"),
    )
}

fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Veins => "veins",
        Mark::Dark => "dark eggs",
    }
}

/// `66 % developed`.
pub fn developed(share: f64) -> String {
    format!("{} developed", percent(share))
}

pub fn percent(share: f64) -> String {
    format!("{:.0}\u{a0}%", (share * 100.0).clamp(0.0, 100.0))
}

/// What the stage asks for; nothing while it is early.
pub fn stage(w: &Window, today: NaiveDate) -> Option<String> {
    match w.stage {
        Stage::Before => None,
        Stage::Open => Some("Check every evening.".into()),
        Stage::Passed => Some("The window has passed without a pip. Check the lay date and the shelf's temperature; candle once. Late eggs go dark.".into()),
        Stage::Hatching => Some(format!("The last is likely by {}.", dates::near(w.last.likely.1.date(), today))),
    }
}

pub fn no_window(why: Refusal) -> String {
    format!("No hatch window: {why}.")
}

fn degrees(celsius: f64, prefs: &Prefs) -> String {
    Temp::from_celsius(celsius).map_or_else(|| "an odd temperature".into(), |t| units::temp(t, prefs))
}

fn source(source: &Source) -> String {
    match source {
        Source::Published(citation) => format!("published, {citation}"),
        Source::CommonPractice => "common practice".into(),
        Source::Surrogate(from) => format!("borrowed, {from}"),
        Source::Keeper(words) if words.is_empty() => "your own".into(),
        Source::Keeper(words) => format!("your own, {words}"),
    }
}

/// In one line: temperatures so far, what is assumed ahead, whose figures, what would narrow it.
pub fn why(w: &Window, prefs: &Prefs) -> String {
    let why = &w.why;
    let so_far = match why.mean_read_c {
        Some(mean) => format!("{} over {:.0} d of readings", degrees(mean, prefs), why.days_read),
        None => "no readings yet".into(),
    };
    let figures = match &why.basis {
        Basis::Profile(from) => format!("figures: {}", source(from)),
        Basis::Own { clutches: 1 } => "figures: 1 of your clutches".into(),
        Basis::Own { clutches } => format!("figures: {clutches} of your clutches"),
    };
    let narrow = match why.causes.first() {
        Some((Cause::Figures, _)) => "your own hatches will narrow it",
        Some((Cause::Clutch, _)) => "clutches differ by about this much",
        Some((Cause::Thermometer, _)) => "a checked thermometer would narrow it",
        Some((Cause::Assumed, _)) => "readings would narrow it",
        Some((Cause::LayDate, _)) => "a closer lay date would narrow it",
        Some((Cause::OutsideLimits, _)) => "time outside the known range widens it",
        None => "",
    };
    let warned = match why.not_tolerated {
        Some((Side::Hot, c)) => format!(" {} is warmer than this species is kept.", degrees(c, prefs)),
        Some((Side::Cold, c)) => format!(" {} is colder than this species is kept.", degrees(c, prefs)),
        None => String::new(),
    };
    let narrow = if narrow.is_empty() { String::new() } else { format!("; {narrow}") };
    let odd = why.odd.last().map_or_else(String::new, |r| {
        let (temp, day) = (units::temp(r.temp, prefs), dates::day(r.at.date(), r.at.date()));
        format!(" The reading of {temp} on {day} does not fit those around it: a slip? It counts half.")
    });
    format!("{so_far}, {} ahead; {figures}{narrow}.{warned}{odd}", degrees(why.ahead_c, prefs))
}

pub const FIGURES: &str = "These figures and past windows";
pub const NO_WINDOW: &str = "no window";

/// `likely 6–10 Jun`, or that it hatches.
pub fn short(w: &Window, today: NaiveDate) -> String {
    match w.stage {
        Stage::Hatching => "hatching".into(),
        Stage::Passed => "window passed".into(),
        Stage::Before | Stage::Open => likely(w.first.likely.0.date(), w.first.likely.1.date(), today),
    }
}
