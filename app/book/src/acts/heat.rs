//! A logger's file brought in, and a place set to another temperature.

use super::places::{odd_temp, real_temp};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{ReadingLog, SetPoint};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::logger::packed;
use trade::path::Reading;
use trade::units::{Humidity, Temp};
use trade::when::{Point, When};

/// Readings of one logger at one place, in any order. Those the book holds already are left out, so the same file
/// twice adds nothing.
#[derive(Clone, Debug)]
pub struct ReadingsImported {
    pub place: PlaceId,
    /// The logger's or the file's name.
    pub source: String,
    /// At most [`packed::MOST`], no two in one minute.
    pub readings: Vec<Reading>,
    /// Relative humidity at the moments of some of them, in order of time.
    pub humidity: Vec<(NaiveDateTime, Humidity)>,
}

impl Act for ReadingsImported {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.place.clone())?;
        if self.readings.len() > packed::MOST {
            return Err(Refusal::TooMany { what: "readings at once", most: packed::MOST as u32 });
        }
        let new = book.new_readings(&self.place, &self.readings);
        let (Some(first), Some(last)) = (new.first(), new.last()) else { return Err(Refusal::NothingChanged) };
        let when = When::span(Point::Time(first.at), Point::Time(last.at));
        not_future("last reading's", When::time(last.at), now)?;
        let humidity = self.beside(&new);
        let row = Row::new()
            .with(ReadingLog::place, &self.place)
            .with(ReadingLog::humidity, humidity.as_slice())
            .with(ReadingLog::source, &self.source)
            .with(ReadingLog::when, when)
            .with(ReadingLog::count, new.len() as u32)
            .with(ReadingLog::readings, new.as_slice());
        draft("ReadingsImported", vec![row.observe()])
    }
}

impl ReadingsImported {
    /// The humidity beside each of some readings; empty where there is none at all.
    fn beside(&self, readings: &[Reading]) -> Vec<Option<Humidity>> {
        let at = |reading: &Reading| {
            let found = self.humidity.binary_search_by_key(&reading.at, |(at, _)| *at).ok()?;
            self.humidity.get(found).map(|(_, humidity)| *humidity)
        };
        let beside: Vec<Option<Humidity>> = readings.iter().map(at).collect();
        if beside.iter().all(Option::is_none) { Vec::new() } else { beside }
    }
}

/// A place set to another temperature: from a moment on, so that what was before keeps what it was kept at.
#[derive(Clone, Debug)]
pub struct SetPointChanged {
    pub place: PlaceId,
    pub from: When,
    pub temp: Temp,
}

impl Act for SetPointChanged {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.place.clone())?;
        not_future("setting", self.from, now)?;
        real_temp(Some(self.temp))?;
        if book.set_temp(&self.place) == Some(self.temp) {
            return Err(Refusal::NothingChanged);
        }
        let row = Row::new()
            .with(SetPoint::place, &self.place)
            .with(SetPoint::when, self.from)
            .with(SetPoint::temp, self.temp);
        draft("SetPointChanged", vec![row.observe()])
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        odd_temp(Some(self.temp))
    }
}
