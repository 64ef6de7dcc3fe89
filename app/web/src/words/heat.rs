//! Temperatures, loggers' files, species' figures and past windows, in words.

use super::{count, dates, units};
use crate::prefs::Prefs;
use chrono::{NaiveDate, NaiveDateTime};
use trade::learn::Fell;
use trade::logger::{Decimal, Layout, Log, Order, Unit};
use trade::sex::{Males, NoSexShare};
use trade::species::{Profile, Source};
use trade::units::{Humidity, Temp};

pub const TEMPERATURE_TITLE: &str = "Temperature";
pub const AS_TABLE: &str = "As a table";
pub const DAY: &str = "Day";
pub const TEMPERATURE: &str = "Temperature";
pub const HOW: &str = "From";
pub const DEVELOPED: &str = "Developed";
pub const HUMIDITY: &str = "Humidity";
pub const IS_READ: &str = "readings";
pub const IS_ASSUMED: &str = "no reading";
pub const NO_PLOT: &str = "No reading yet. Type what the thermometer shows, or import logger data: the hatch windows of the boxes here follow it.";

pub fn degrees(celsius: f64, prefs: &Prefs) -> String {
    Temp::from_celsius(celsius).map_or_else(|| super::UNKNOWN.to_owned(), |t| units::temp(t, prefs))
}

/// `28°`: for an axis.
pub fn degrees_short(celsius: f64, prefs: &Prefs) -> String {
    let shown = if prefs.fahrenheit { celsius * 1.8 + 32.0 } else { celsius };
    format!("{shown:.0}°")
}

/// `27.4–28.1 °C`.
pub fn from_to(low: f64, high: f64, prefs: &Prefs) -> String {
    let (a, b) = (degrees(low, prefs), degrees(high, prefs));
    if a == b { a } else { format!("{}–{b}", a.split(' ').next().unwrap_or_default()) }
}

pub fn span(from: NaiveDateTime, to: NaiveDateTime, today: NaiveDate) -> String {
    if from.date() == to.date() {
        format!("{}–{}", dates::moment(from, today), dates::time(to))
    } else {
        format!("{} to {}", dates::moment(from, today), dates::moment(to, today))
    }
}

pub fn plot_label(grows: bool) -> &'static str {
    if grows {
        "Temperature since laying, and development under it up to the hatch window; the upright line is now. The table below says the same."
    } else {
        "Temperature over time; the upright line is now. The table below says the same."
    }
}

pub fn legend(gaps: bool, cuts: bool, kept: bool, moves: usize) -> String {
    let parts = [
        Some("line: read"),
        Some(if gaps {
            "dashes: set point, where nothing was read and for the days ahead"
        } else {
            "dashes: set point"
        }),
        kept.then_some("band: tolerated"),
        cuts.then_some("bar: incident"),
        (moves > 0).then_some("dotted upright: another shelf"),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn moved_to(place: &str) -> String {
    format!("moved to {place}")
}

// Set points.
pub const SET_ANEW: &str = "Change the set temperature";
pub const FROM_WHEN: &str = "Since when";
pub const FROM_NOW: &str = "from now on";
pub const ALWAYS: &str = "always";
pub const FROM_HINT: &str = "From now on: past days keep what was set then. Always: corrects a figure entered wrong.";
pub const SET_SAVED: &str = "Saved. Hatch windows here follow.";

pub fn was_set(temp: &str, since: Option<&str>) -> String {
    match since {
        Some(since) => format!("{temp} since {since}"),
        None => format!("{temp} at first"),
    }
}

// A logger's file.
pub const BRING_IN: &str = "Import logger data";
pub const LOG_TITLE: &str = "Logger data";
pub const LOG_HINT: &str = "Save the logger's readings as CSV or text, then choose the file. You see how it was read before anything is saved.";
pub const CHOOSE: &str = "Choose the file";
pub const WHICH_PROBE: &str = "Which probe hangs here?";
pub const WHICH_UNIT: &str = "In which unit are the readings?";
pub const READ_AS: &str = "Read it another way";
pub const READING_FILE: &str = "Reading the file…";
pub const STOP: &str = "Stop";
pub const BRING_THEM: &str = "Save these readings";
pub const UNREADABLE_FILE: &str = "The browser could not read this file. Choose it again.";
pub const NOTHING_NEW: &str = "All of these readings are here already.";
pub const SET_CHANGES: &str = "Set to something else";
pub const LOGS: &str = "Files imported";

pub fn which_order(date: &str) -> String {
    format!("Which day is “{date}”?")
}

/// The first date of the file under an order.
pub fn order(order: Order) -> &'static str {
    match order {
        Order::YearFirst => "year, month, day",
        Order::DayFirst => "day before month",
        Order::MonthFirst => "month before day",
    }
}

pub fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Celsius => "°C",
        Unit::Fahrenheit => "°F",
    }
}

pub fn probe(name: &str, column: usize, sample: &str) -> String {
    if name.is_empty() { format!("column {} ({sample})", column + 1) } else { format!("{name} ({sample})") }
}

/// How a file was understood: `columns by semicolons, decimal comma, day before month, °C, probe “inside”`.
pub fn understood(layout: &Layout) -> String {
    let divider = match layout.divider {
        ';' => "columns by semicolons",
        '\t' => "columns by tabs",
        '|' => "columns by bars",
        _ => "columns by commas",
    };
    let name = layout.probes.iter().find(|p| p.column == layout.probe).map(|p| p.name.as_str()).unwrap_or_default();
    let parts = [
        Some(divider.to_owned()),
        (layout.decimal == Decimal::Comma).then(|| "decimal comma".to_owned()),
        layout.order.map(|o| order(o).to_owned()),
        layout.unit.map(|u| unit(u).to_owned()),
        (!name.is_empty()).then(|| format!("“{name}”")),
        layout.humidity.as_ref().map(|humid| format!("humidity from “{}”", humid.name)),
    ];
    format!("Read as: {}.", parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
}

/// `1,200 readings, 1 Jun 00:00 to 20 Jun 06:00, 26.9–31.2 °C`.
pub fn found(log: &Log, prefs: &Prefs, today: NaiveDate) -> String {
    let (Some(first), Some(last)) = (log.readings.first(), log.readings.last()) else {
        return "No reading was found in it.".into();
    };
    let humid = humidity(log.humidity.iter().map(|(_, humid)| *humid)).map(|humid| format!(", {humid} humidity"));
    let temps = || log.readings.iter().map(|r| r.temp.celsius());
    let (low, high) = (temps().fold(f64::MAX, f64::min), temps().fold(f64::MIN, f64::max));
    let temps = from_to(low, high, prefs);
    format!(
        "{}, {}, {temps}{}",
        readings(log.readings.len()),
        span(first.at, last.at, today),
        humid.unwrap_or_default()
    )
}

/// `41–58.5 %`, `45 %`.
pub fn humidity(all: impl Iterator<Item = Humidity> + Clone) -> Option<String> {
    let (low, high) = (all.clone().min()?, all.max()?);
    let said = |humid| desk::Units::default().humidity(humid);
    let low_digits = said(low).trim_end_matches(" %").to_owned();
    Some(if low == high { said(low) } else { format!("{low_digits}–{}", said(high)) })
}

/// Rows of a logger's file with a humidity that none can be.
pub fn humid_bad(n: usize) -> String {
    format!("In {} the humidity was left out: it was not from 0 to 100 %.", count(n, "row", "rows"))
}

pub fn readings(n: usize) -> String {
    count(n, "reading", "readings")
}

pub fn new_ones(new: usize, all: usize) -> String {
    match (new, all) {
        (0, _) => NOTHING_NEW.to_owned(),
        (n, all) if n == all => "All of them are new.".to_owned(),
        (n, all) => format!("{n} are new; {} are here already.", all - n),
    }
}

pub fn bad_rows(n: usize) -> String {
    format!("{} left out", count(n, "row", "rows"))
}

pub fn bad_row(line: usize, why: &str, row: &str) -> String {
    format!("Line {line} {why}: {row}")
}

pub fn brought(n: usize) -> String {
    format!("{} saved.", readings(n))
}

pub fn no_log(why: &str) -> String {
    format!("Nothing was saved: {why}.")
}

// Species.
pub const SPECIES: &str = "Species and their figures";
pub const SPECIES_SAID: &str = "Days by temperature, your own hatches, past windows";
pub const NO_SPECIES: &str = "There is no such species here. Another device may have it.";
pub const AT: &str = "At";
pub const BEFORE: &str = "To begin with";
pub const NOW: &str = "Now";
pub const OWN: &str = "Your own clutches";
pub const NO_OWN: &str = "None of yours has pipped yet. From the first pip on these figures follow your own shelves.";
pub const CHANGE: &str = "Change these figures";
pub const CHANGE_HINT: &str = "Leave empty to keep the shipped figure.";
pub const SOURCE: &str = "Where these figures are from";
pub const SAVED: &str = "Saved. Hatch windows follow.";
pub const BACK_TO_SHIPPED: &str = "Back to the shipped figures";
pub const LINE: &str = "A line of its own";
pub const LINE_HINT: &str =
    "For a line or locality that hatches differently: name it, then choose it as the species of its animals.";
pub const LINE_NAME: &str = "Name of the line";
pub const LINE_SAVE: &str = "Add the line";
pub const LINE_SAVED: &str = "Added. Change its figures here.";
pub const SCORE_LABEL: &str = "Each past clutch against its window, the forecast day in the middle: bar the likely days, thin line the possible days, dot the first pip. The table below says the same.";
pub const CLUTCH: &str = "Clutch";
pub const FORETOLD: &str = "Forecast";
pub const SEEN: &str = "First pip";
pub const SEX_TITLE: &str = "Sex by temperature";

pub const ODD: &str = "Worth a look";
pub const ODD_HINT: &str = "What does not fit the others counts for little, and is judged again with every clutch.";

/// A clutch that does not fit the others: what to look at.
pub fn odd_clutch(number: &str, off_days: f64) -> String {
    let days = count(off_days.abs().round().max(1.0) as usize, "day", "days");
    let how = if off_days > 0.0 { "longer" } else { "less" };
    format!("{number} took {days} {how} than your other clutches say. Is its lay date right?")
}

/// A thermometer that seems far off.
pub fn odd_shelf(place: &str, off: f64, prefs: &Prefs) -> String {
    let (by, what) = (units::degrees_between(off.abs(), prefs), if off > 0.0 { "little" } else { "much" });
    format!("{place}: its thermometer seems to show about {by} too {what}. Hold another beside it.")
}

/// Whose figures a species goes by.
pub fn whose(own: u32, source: &Source) -> String {
    match own {
        0 => source_of(source),
        1 => "1 of your clutches".into(),
        n => format!("{n} of your clutches"),
    }
}

pub fn source_of(source: &Source) -> String {
    match source {
        Source::Published(citation) => format!("published: {citation}"),
        Source::CommonPractice => "common practice, no source".into(),
        Source::Surrogate(from) => format!("borrowed: {from}"),
        Source::Keeper(words) if words.is_empty() => "your own".into(),
        Source::Keeper(words) => format!("your own: {words}"),
    }
}

/// `60 days at 27.8 °C, give or take 6 %`.
pub fn reference(profile: &Profile, prefs: &Prefs) -> String {
    format!(
        "{} days at {}, give or take {:.0} %",
        trim(profile.ref_days),
        degrees(profile.ref_c, prefs),
        profile.spread_pct
    )
}

fn trim(days: f64) -> String {
    let text = format!("{days:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

pub fn days(days: Option<f64>) -> String {
    days.map_or_else(|| "–".into(), |d| format!("{d:.1} d"))
}

pub fn tolerated(profile: &Profile, prefs: &Prefs) -> String {
    format!(
        "Kept at {}; hatch windows are given within {}.",
        from_to(profile.tolerated.0, profile.tolerated.1, prefs),
        from_to(profile.limits.0, profile.limits.1, prefs)
    )
}

/// How much clutches and eggs differ, in days of so long an incubation.
pub fn spreads(between: f64, within: f64, days: f64) -> String {
    format!(
        "Clutches kept alike differ by about ± {:.1} days, eggs of one clutch by about ± {:.1}.",
        between * days,
        within * days
    )
}

/// `Of 23 clutches, 21 pipped inside the likely window (about 18 expected).`
pub fn score(inside: usize, outer: usize, of: usize) -> String {
    format!(
        "Of {}, {inside} pipped inside the likely window ({:.0} would be usual), {outer} inside the possible days.",
        count(of, "clutch", "clutches"),
        of as f64 * 0.8
    )
}

pub const SCORED_AS: &str =
    "Each window as forecast two weeks after laying, from the readings and the clutches known by then.";

pub fn fell(fell: Fell) -> &'static str {
    match fell {
        Fell::TooEarly => "before the possible days",
        Fell::Early => "early",
        Fell::Likely => "inside",
        Fell::Late => "late",
        Fell::TooLate => "after the possible days",
    }
}

pub fn off(days: f64) -> String {
    match days.round() as i64 {
        0 => "on the day".into(),
        n if n > 0 => format!("{} later", count(n as usize, "day", "days")),
        n => format!("{} earlier", count(n.unsigned_abs() as usize, "day", "days")),
    }
}

pub const WAS_CUT: &str = "cut or sold before a pip";

/// `7–61 % males, four times of five: 29.5 °C …`.
pub fn males(celsius: f64, males: &Result<Males, NoSexShare>, prefs: &Prefs) -> String {
    match males {
        Ok(m) => {
            let (low, high) = (m.low * 100.0, m.high * 100.0);
            let share = if (high - low).abs() < 1.0 {
                format!("{:.0}\u{a0}%", m.at * 100.0)
            } else {
                format!("{low:.0}–{high:.0}\u{a0}%")
            };
            format!(
                "{share} males, four times of five: {} over the middle third of incubation, give or take {}. Few animals stand behind it (Viets 1993), and studies differ.",
                degrees(celsius, prefs),
                prefs.units().step(GIVE_OR_TAKE)
            )
        }
        Err(why) => format!("No sex share: {why}."),
    }
}

pub const MALES: &str = "Males";

pub fn males_row(males: &Males) -> String {
    let (low, high) = (males.low * 100.0, males.high * 100.0);
    if (high - low).abs() < 1.0 {
        format!("{:.0}\u{a0}%", males.at * 100.0)
    } else {
        format!("{low:.0}–{high:.0}\u{a0}%")
    }
}

/// Half a degree Celsius of the thermometer, in hundredths.
const GIVE_OR_TAKE: i64 = 50;

pub fn sex_hint(prefs: &Prefs) -> String {
    format!(
        "Share of males among hatchlings by the mean temperature of the middle third, give or take {} of the thermometer (Viets 1993). Published without counts: each figure is taken as of five animals. At {} another study had half as many males.",
        prefs.units().step(GIVE_OR_TAKE),
        prefs.units().temp(OTHER_STUDY)
    )
}

/// Where another study had other shares.
const OTHER_STUDY: Temp = Temp(3250);

/// `Usually out 12–48 h after the pip: Tue 9 Jun 08:00 to Wed 10 Jun 20:00.`
pub fn out_by(hours: (f64, f64), from: NaiveDateTime, to: NaiveDateTime, today: NaiveDate) -> String {
    format!(
        "Pipped eggs are usually out {:.0}–{:.0} h after the pip: {} to {}. Leave them to it.",
        hours.0,
        hours.1,
        dates::moment(from, today),
        dates::moment(to, today)
    )
}

// Season.
pub const SEASON: &str = "Season";
pub const SEASON_SAID: &str = "Hatch windows of all boxes on one strip";
pub const STRIP_TITLE: &str = "Hatch strip";
pub const NO_STRIP: &str = "No box has a hatch window yet. Set a box on a shelf, and its days appear here.";
