//! What a place was set to from when on, and what a logger wrote there.

use super::Record;
use crate::fields::Fields;
use crate::ids::{Kind, PlaceId, ReadingLogId, SetPointId};
use trade::logger::packed;
use trade::units::Temp;
use trade::when::{Point, When};

/// A place set to another temperature from a moment on. Before the first of these its [`super::Place::set`] counts.
#[derive(Clone, Debug, PartialEq)]
pub struct SetPoint {
    pub id: SetPointId,
    pub place: Option<PlaceId>,
    pub when: Option<When>,
    pub temp: Option<Temp>,
}

impl Record for SetPoint {
    const KIND: Kind = Kind::SetPoint;
    fn read(f: &mut Fields<'_>) -> Self {
        SetPoint { id: f.id(), place: f.link("place"), when: f.when("when"), temp: f.temp("cc") }
    }
}

/// Readings of one thermometer that came in together: one record a file, not one a reading.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingLog {
    pub id: ReadingLogId,
    pub place: Option<PlaceId>,
    /// The logger's or the file's name.
    pub source: Option<String>,
    /// The first and the last reading's moment.
    pub when: Option<When>,
    /// In order of time, one a minute at most. Empty when the packed text cannot be read.
    pub readings: Vec<trade::path::Reading>,
}

impl Record for ReadingLog {
    const KIND: Kind = Kind::ReadingLog;
    fn read(f: &mut Fields<'_>) -> Self {
        let when = f.when("when");
        let first = match when {
            Some(When::At(Point::Time(from)) | When::Span(Point::Time(from), _)) => Some(from),
            _ => None,
        };
        ReadingLog {
            id: f.id(),
            place: f.link("place"),
            source: f.text("source"),
            when,
            readings: f.read_text("packed", |text| packed::unpack(first?, text)).unwrap_or_default(),
        }
    }
}
