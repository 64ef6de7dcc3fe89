//! What a place was set to from when on, and what a logger wrote there.

use super::{Holds, Over, Scalar, Shape, Shaped, record};
use crate::fields::Fields;
use crate::ids::{PlaceId, ReadingLogId, SetPointId};
use serde_json::Value;
use trade::logger::packed;
use trade::path::Reading;
use trade::units::{Humidity, Temp};
use trade::when::{Point, When};

record! {
    /// A place set to another temperature from a moment on. Before the first of these its [`super::Place::set`] counts.
    SetPoint SetPointId {
        place: Option<PlaceId> = "place",
        when: Option<When> = "when",
        temp: Option<Temp> = "cc",
    }
    over Over::Never;
    seen place at when;
    link SetPoints { place by when }
        /// Newest first.
        set_points(PlaceId);
}

record! {
    /// Readings of one thermometer that came in together: one record a file, not one a reading.
    ReadingLog ReadingLogId {
        place: Option<PlaceId> = "place",
        /// The logger's or the file's name.
        source: Option<String> = "source" long,
        /// The first and the last reading's moment.
        when: Option<When> = "when",
        /// How many came in with it.
        count: Option<u32> = "count",
        /// In order of time, one a minute at most. Empty when the packed text cannot be read.
        readings: Vec<Reading> = "packed",
        /// Beside each of them; empty where the logger wrote none.
        humidity: Vec<Option<Humidity>> = "humidity_packed",
    }
    over Over::Noted;
    seen place at when;
    link ReadingLogs { place by when }
        /// Newest first by their first reading.
        reading_logs(PlaceId);
}

impl Shaped for Vec<Reading> {
    const SHAPE: Shape = Shape::Packed;
}

/// Packed as minutes since the record's own `when`.
impl Holds for Vec<Reading> {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        let first = match fields.peek("when", When::of) {
            Some(When::At(Point::Time(from)) | When::Span(Point::Time(from), _)) => Some(from),
            Some(When::At(Point::Day(_)) | When::Span(Point::Day(_), _)) | None => None,
        };
        *self = fields.get(name, |text| packed::unpack(first?, text.as_str()?), |_| None).unwrap_or_default();
    }

    fn put(&self) -> Value {
        if self.is_empty() { Value::Null } else { packed::pack(self).into() }
    }
}

impl Shaped for Vec<Option<Humidity>> {
    const SHAPE: Shape = Shape::Packed;
}

impl Holds for Vec<Option<Humidity>> {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        *self = fields.get(name, |text| packed::unpack_humidity(text.as_str()?), |_| None).unwrap_or_default();
    }

    fn put(&self) -> Value {
        if self.is_empty() { Value::Null } else { packed::pack_humidity(self).into() }
    }
}

impl ReadingLog {
    /// Its readings with the humidity beside each.
    pub(crate) fn with_humidity(&self) -> impl DoubleEndedIterator<Item = (Reading, Option<Humidity>)> {
        let beside = |at: usize| self.humidity.get(at).copied().flatten();
        self.readings.iter().enumerate().map(move |(at, reading)| (*reading, beside(at)))
    }
}
