//! What a temperature logger wrote: a text with one row a reading, in whatever shape its maker thought of.
//!
//! Told without asking: what divides the columns, decimal commas, lines before the first reading, where date, time and
//! temperatures stand, several probes, °C or °F, the order of day and month. Only what the file leaves open is asked
//! ([`Layout::asks`]). Rows that are no reading are listed with the reason ([`Bad`]); the others are kept.
//!
//! Guarantees: no text makes it panic; the same text gives the same readings, one a minute at most, in order of time.
//! Absent by design: binary formats. Relative humidity is taken along where a column is named so; nothing is asked about it.

mod cells;
mod layout;
pub mod packed;
mod stamp;

pub use layout::{Ask, Layout, Probe, layout};
pub use stamp::Order;

use crate::path::Reading;
use crate::units::{Humidity, Temp};
pub use cells::Decimal;
use cells::{cells, number, percent};
use chrono::{NaiveDateTime, TimeDelta};
use std::fmt;

/// In which unit a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    Celsius,
    Fahrenheit,
}

/// What the keeper has said about a file; `None`: find out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// column of the probe, as in [`Probe::column`]
    pub probe: Option<usize>,
    pub unit: Option<Unit>,
    pub order: Option<Order>,
}

/// A row that is no reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Bad {
    /// line in the file, the first being 1
    pub line: usize,
    /// the row, shortened
    pub row: String,
    pub why: Why,
}

/// Why a row is no reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    TooFewColumns {
        has: usize,
        needs: usize,
    },
    NoTime(String),
    NoTemperature(String),
    /// no shelf is so cold or hot: the probe or its cable
    Fault {
        celsius: f64,
    },
    AfterNow(NaiveDateTime),
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewColumns { has, needs } => write!(f, "has {has} columns where {needs} are needed"),
            Self::NoTime(text) if text.is_empty() => f.write_str("has no date or time"),
            Self::NoTime(text) => write!(f, "“{text}” is no date and time"),
            Self::NoTemperature(text) if text.is_empty() => f.write_str("has no temperature"),
            Self::NoTemperature(text) => write!(f, "“{text}” is no temperature"),
            Self::Fault { celsius } => write!(f, "{celsius:.1} °C is no shelf's temperature: a fault of the probe"),
            Self::AfterNow(t) => write!(f, "{} is after now: is the logger's clock right?", t.format("%Y-%m-%d %H:%M")),
        }
    }
}

/// Why a text gives no reading at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLog {
    Empty,
    /// no line holds a date and a number
    NoRows,
}

impl fmt::Display for NoLog {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Empty => "the file is empty",
            Self::NoRows => {
                "no line of the file holds a date and a temperature; save the logger's readings as text or CSV"
            }
        })
    }
}

impl std::error::Error for NoLog {}

/// °C outside which a reading is a fault: loggers write −127 or 999 for a probe that is off.
const REAL_C: (f64, f64) = (-30.0, 70.0);
/// Bad rows kept for the list; the rest are counted.
const BAD_LISTED: usize = 200;
/// A phone's clock and a logger's differ by minutes.
const CLOCKS_MIN: i64 = 30;

/// Minute since 1970, sum of what was read in it, how many.
type Minute = (i64, i64, i64);

/// One more figure; of several in one minute that follow each other one row is kept.
fn tally(minutes: &mut Vec<Minute>, (minute, sum, n): Minute) {
    match minutes.last_mut() {
        Some(last) if last.0 == minute => (last.1, last.2) = (last.1 + sum, last.2 + n),
        _ => minutes.push((minute, sum, n)),
    }
}

/// In order of time, each minute once: when, and the mean.
fn means(mut minutes: Vec<Minute>) -> impl Iterator<Item = (NaiveDateTime, i64)> {
    minutes.sort_by_key(|m| m.0);
    let mut once: Vec<Minute> = Vec::with_capacity(minutes.len());
    minutes.into_iter().for_each(|minute| tally(&mut once, minute));
    once.into_iter().filter_map(|(minute, sum, n)| {
        let at = chrono::DateTime::from_timestamp(minute * 60, 0)?.naive_utc();
        Some((at, (sum as f64 / n as f64).round() as i64))
    })
}

/// A file on its way in, some lines at a time, so that a page can show how far it is.
#[derive(Clone, Debug)]
pub struct Intake {
    text: String,
    layout: Layout,
    /// minutes east of UTC where the barn is, for times that are told with a zone
    zone_min: i32,
    now: NaiveDateTime,
    at: usize,
    line: usize,
    /// in 0.01 °C
    minutes: Vec<Minute>,
    /// in 0.1 %
    humid: Vec<Minute>,
    humid_bad: usize,
    bad: Vec<Bad>,
    bad_count: usize,
}

/// A file read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// in order of time; of several in one minute their mean
    pub readings: Vec<Reading>,
    /// the first of the rows that are no reading
    pub bad: Vec<Bad>,
    /// all of those
    pub bad_count: usize,
    /// relative humidity where it was read, as [`Log::readings`]
    pub humidity: Vec<(NaiveDateTime, Humidity)>,
    /// rows with a humidity that none can be, and whose temperature is kept
    pub humid_bad: usize,
}

impl Intake {
    /// Nothing is read yet. What [`Layout::asks`] must have been answered; where it was not, day comes before month,
    /// °C is taken, and the first probe.
    pub fn new(text: String, layout: Layout, zone_min: i32, now: NaiveDateTime) -> Self {
        let (at, line) = (layout.first_byte, layout.first_line);
        Self {
            text,
            layout,
            zone_min,
            now,
            at,
            line,
            minutes: Vec::new(),
            humid: Vec::new(),
            humid_bad: 0,
            bad: Vec::new(),
            bad_count: 0,
        }
    }

    /// Reads up to `lines` more; the share of the file that is read, 1 at the end.
    pub fn step(&mut self, lines: usize) -> f64 {
        let text = std::mem::take(&mut self.text);
        for _ in 0..lines {
            let Some(rest) = text.get(self.at..).filter(|rest| !rest.is_empty()) else { break };
            let end = rest.find('\n').map_or(rest.len(), |i| i + 1);
            let row = rest[..end].trim_end_matches(['\n', '\r']);
            self.at += end;
            self.line += 1;
            if row.trim().is_empty() {
                continue;
            }
            match self.row(row) {
                Ok((at, temp)) => {
                    let minute = at.and_utc().timestamp().div_euclid(60);
                    tally(&mut self.minutes, (minute, i64::from(temp.0), 1));
                    match self.humidity(row) {
                        Ok(Some(humidity)) => tally(&mut self.humid, (minute, i64::from(humidity.0), 1)),
                        Ok(None) => {}
                        Err(()) => self.humid_bad += 1,
                    }
                }
                Err(why) => {
                    self.bad_count += 1;
                    if self.bad.len() < BAD_LISTED {
                        self.bad.push(Bad { line: self.line, row: row.chars().take(60).collect(), why });
                    }
                }
            }
        }
        let share = if text.is_empty() { 1.0 } else { self.at as f64 / text.len() as f64 };
        self.text = text;
        share
    }

    fn row(&self, row: &str) -> Result<(NaiveDateTime, Temp), Why> {
        let l = &self.layout;
        let cells = cells(row, l.divider);
        let needs = l.date.max(l.time.unwrap_or(0)).max(l.probe) + 1;
        if cells.len() < needs {
            return Err(Why::TooFewColumns { has: cells.len(), needs });
        }
        let cell = |c: usize| cells.get(c).map_or("", |c| c.trim());
        let clock = l.time.map(cell);
        let stamp = stamp::read(cell(l.date), clock, l.order.unwrap_or(Order::DayFirst), self.zone_min);
        let at = stamp.ok_or_else(|| Why::NoTime(format!("{} {}", cell(l.date), clock.unwrap_or("")).trim().into()))?;
        let typed = cell(l.probe);
        let (value, own) = number(typed, l.decimal).ok_or_else(|| Why::NoTemperature(short(typed)))?;
        let temp = match own.or(l.unit).unwrap_or(Unit::Celsius) {
            Unit::Celsius => Temp::from_celsius(value),
            Unit::Fahrenheit => Temp::from_fahrenheit(value),
        };
        let temp =
            temp.filter(|t| (REAL_C.0..=REAL_C.1).contains(&t.celsius())).ok_or(Why::Fault { celsius: value })?;
        if at > self.now + TimeDelta::minutes(CLOCKS_MIN) {
            return Err(Why::AfterNow(at));
        }
        Ok((at, temp))
    }

    /// The humidity beside a reading; none where nothing stands there. `Err`: no air is so dry or damp.
    fn humidity(&self, row: &str) -> Result<Option<Humidity>, ()> {
        let Some(column) = self.layout.humidity.as_ref().map(|probe| probe.column) else { return Ok(None) };
        let cells = cells(row, self.layout.divider);
        let cell = cells.get(column).map_or("", |cell| cell.trim());
        if cell.is_empty() {
            return Ok(None);
        }
        percent(cell, self.layout.decimal).and_then(Humidity::from_percent).map(Some).ok_or(())
    }

    /// What was read.
    pub fn finish(self) -> Log {
        let readings =
            means(self.minutes).filter_map(|(at, cc)| Some(Reading { at, temp: Temp(i32::try_from(cc).ok()?) }));
        let humidity = means(self.humid).filter_map(|(at, tenths)| Some((at, Humidity::from_tenths(tenths)?)));
        Log {
            readings: readings.collect(),
            humidity: humidity.collect(),
            humid_bad: self.humid_bad,
            bad: self.bad,
            bad_count: self.bad_count,
        }
    }
}

fn short(text: &str) -> String {
    text.chars().take(30).collect()
}

/// The text of a file's bytes: UTF-8, UTF-16 with its mark, or Latin-1 (loggers' degree signs).
pub fn text_of(bytes: &[u8]) -> String {
    let wide = |from: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes[2..].chunks_exact(2).map(|b| from([b[0], b[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    match bytes {
        [0xFF, 0xFE, ..] => wide(u16::from_le_bytes),
        [0xFE, 0xFF, ..] => wide(u16::from_be_bytes),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
            Err(_) => bytes.iter().map(|&b| char::from(b)).collect(),
        },
    }
}

#[cfg(test)]
mod tests;
