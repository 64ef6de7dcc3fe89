//! Many readings as one short text, for one record a file instead of one a reading.
//!
//! Each reading is a number of two parts: by how much 0.01 °C changed, and whether the minutes to the one before
//! changed too, which then follow. A logger that keeps time and drifts slowly costs a letter a reading. Letters are
//! printable ASCII that JSON needs not escape.

use crate::path::Reading;
use crate::units::{Humidity, Temp};
use chrono::{NaiveDateTime, TimeDelta};

/// The most readings in one text.
pub const MOST: usize = 60_000;

/// Letters 0–63 end a number, 64–90 go on.
const ENDS: u64 = 64;
const GOES_ON: u64 = 27;

fn letter(digit: u64) -> char {
    // From # on, without the backslash.
    let at = b'#' + digit as u8;
    char::from(if at >= b'\\' { at + 1 } else { at })
}

fn digit(letter: u8) -> Option<u64> {
    match letter {
        b'#'..=b'[' => Some(u64::from(letter - b'#')),
        b']'..=b'~' => Some(u64::from(letter - b'#' - 1)),
        _ => None,
    }
}

fn put(out: &mut String, mut n: u64) {
    while n >= ENDS {
        out.push(letter(ENDS + (n - ENDS) % GOES_ON));
        n = (n - ENDS) / GOES_ON;
    }
    out.push(letter(n));
}

fn take(letters: &mut impl Iterator<Item = u8>) -> Option<u64> {
    let mut scale: u64 = 1;
    let mut n: u64 = 0;
    loop {
        let d = digit(letters.next()?)?;
        if d < ENDS {
            return n.checked_add(d.checked_mul(scale)?);
        }
        n = n.checked_add(d.checked_mul(scale)?)?;
        scale = scale.checked_mul(GOES_ON)?;
    }
}

fn zigzag(change: i64) -> u64 {
    ((change << 1) ^ (change >> 63)) as u64
}

fn unzigzag(n: u64) -> Option<i64> {
    Some(i64::try_from(n >> 1).ok()? ^ -i64::try_from(n & 1).ok()?)
}

/// Packs the humidity beside each of a log's readings: by how much its tenths changed, where none is one below 0.
pub fn pack_humidity(beside: &[Option<Humidity>]) -> String {
    let mut out = String::with_capacity(beside.len() * 2);
    let mut last = 0;
    for humidity in beside {
        let now = humidity.map_or(-1, |humidity| i64::from(humidity.0));
        put(&mut out, zigzag(now - last));
        last = now;
    }
    out
}

/// What [`pack_humidity`] packed. `None` for any other text.
pub fn unpack_humidity(text: &str) -> Option<Vec<Option<Humidity>>> {
    let mut letters = text.bytes().peekable();
    let (mut beside, mut now) = (Vec::with_capacity(text.len().min(MOST)), 0i64);
    while letters.peek().is_some() {
        now = now.checked_add(unzigzag(take(&mut letters)?)?)?;
        beside.push(if now == -1 { None } else { Some(Humidity::from_tenths(now)?) });
        if beside.len() > MOST {
            return None;
        }
    }
    Some(beside)
}

fn minutes(from: NaiveDateTime, to: NaiveDateTime) -> u64 {
    u64::try_from((to - from).num_minutes()).unwrap_or(0)
}

/// Packs readings that are in order of time, no two in one minute.
pub fn pack(readings: &[Reading]) -> String {
    let mut out = String::with_capacity(readings.len() * 2);
    let Some(first) = readings.first() else { return out };
    let (mut at, mut step, mut temp) = (first.at, 0, 0i64);
    for r in readings {
        let (now, cc) = (minutes(at, r.at), i64::from(r.temp.0));
        let change = cc - temp;
        put(&mut out, zigzag(change) * 2 + u64::from(now != step));
        if now != step {
            put(&mut out, now);
        }
        (at, step, temp) = (r.at, now, cc);
    }
    out
}

/// The readings of a text that [`pack`] made; `from` is the moment of the first. `None` for any other text.
pub fn unpack(from: NaiveDateTime, text: &str) -> Option<Vec<Reading>> {
    let mut letters = text.bytes().peekable();
    let mut readings = Vec::with_capacity(text.len().min(MOST));
    let (mut at, mut step, mut temp) = (from, 0i64, 0i64);
    while letters.peek().is_some() {
        let n = take(&mut letters)?;
        if n & 1 == 1 {
            step = i64::try_from(take(&mut letters)?).ok().filter(|s| *s <= 60_000_000)?;
        }
        temp = temp.checked_add(unzigzag(n >> 1)?)?;
        if !readings.is_empty() {
            at = at.checked_add_signed(TimeDelta::try_minutes(step)?)?;
        }
        readings.push(Reading { at, temp: Temp(i32::try_from(temp).ok()?) });
        if readings.len() > MOST {
            return None;
        }
    }
    Some(readings)
}
