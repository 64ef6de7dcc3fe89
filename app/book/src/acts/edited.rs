//! What was read, weighed or written down, put right: each as it should have been noted, and when it happened.

use super::places::{odd_temp, real_temp};
use super::row::Row;
use super::{Act, Doubt, MOST_MG, Mint, Refusal, draft, in_order, not_future, real_mass};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Incident, Note, Reading, SetPoint, TakenOut, WaterCheck};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::units::{Humidity, Mass, Temp};
use trade::when::When;

/// A thermometer's reading.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingEdited {
    pub reading: ReadingId,
    pub when: When,
    pub temp: Temp,
    pub humidity: Option<Humidity>,
    /// Which thermometer.
    pub source: String,
}

impl ReadingEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &ReadingId, otherwise: When) -> Option<ReadingEdited> {
        let reading = book.reading(id)?;
        Some(ReadingEdited {
            reading: id.clone(),
            when: reading.when.unwrap_or(otherwise),
            temp: reading.temp?,
            humidity: reading.humidity,
            source: reading.source.clone().unwrap_or_default(),
        })
    }
}

impl Act for ReadingEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        super::there(book, self.reading.clone())?;
        not_future("reading", self.when, now)?;
        real_temp(Some(self.temp))?;
        super::places::real_humidity(self.humidity)?;
        let row = Row::new()
            .with(Reading::when, self.when)
            .with(Reading::temp, self.temp)
            .with(Reading::humidity, self.humidity)
            .with(Reading::source, &self.source);
        draft("ReadingEdited", row.change(book, self.reading.as_str()).into_iter().collect())
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        odd_temp(Some(self.temp))
    }
}

/// A place set to another temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct SetPointEdited {
    pub set_point: SetPointId,
    pub from: When,
    pub temp: Temp,
}

impl SetPointEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &SetPointId, otherwise: When) -> Option<SetPointEdited> {
        let set = book.set_point(id)?;
        Some(SetPointEdited { set_point: id.clone(), from: set.when.unwrap_or(otherwise), temp: set.temp? })
    }
}

impl Act for SetPointEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        super::there(book, self.set_point.clone())?;
        not_future("set temperature", self.from, now)?;
        real_temp(Some(self.temp))?;
        let row = Row::new().with(SetPoint::when, self.from).with(SetPoint::temp, self.temp);
        draft("SetPointEdited", row.change(book, self.set_point.as_str()).into_iter().collect())
    }

    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        odd_temp(Some(self.temp))
    }
}

/// A power cut or the like; its end is noted so once it is over.
#[derive(Clone, Debug, PartialEq)]
pub struct IncidentEdited {
    pub incident: IncidentId,
    pub from: When,
    pub to: Option<When>,
    pub what: String,
    pub note: String,
}

impl IncidentEdited {
    /// As it stands in the book; without a beginning, of the day given.
    pub fn of(book: &Book, id: &IncidentId, otherwise: When) -> Option<IncidentEdited> {
        let incident = book.incident(id)?;
        Some(IncidentEdited {
            incident: id.clone(),
            from: incident.from.unwrap_or(otherwise),
            to: incident.to,
            what: incident.what.clone().unwrap_or_default(),
            note: incident.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for IncidentEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        super::there(book, self.incident.clone())?;
        if self.what.trim().is_empty() {
            return Err(Refusal::Missing { what: "what happened" });
        }
        not_future("incident", self.from, now)?;
        in_order(("the beginning", Some(self.from)), ("the end", self.to))?;
        let row = Row::new()
            .with(Incident::from, self.from)
            .with(Incident::to, self.to)
            .with(Incident::what, &self.what)
            .with(Incident::note, &self.note);
        draft("IncidentEdited", row.change(book, self.incident.as_str()).into_iter().collect())
    }
}

/// A box weighed closed: a water check, or a new closed mass.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterEdited {
    pub water: WaterId,
    pub when: When,
    /// Closed, before anything was added.
    pub mass: Mass,
    pub added: Option<Mass>,
    pub note: String,
}

impl WaterEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &WaterId, otherwise: When) -> Option<WaterEdited> {
        let check = book.water_check(id)?;
        Some(WaterEdited {
            water: id.clone(),
            when: check.when.unwrap_or(otherwise),
            mass: check.mass?,
            added: check.added,
            note: check.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for WaterEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let check = book.water_check(&self.water).ok_or_else(|| Refusal::NoSuch { thing: self.water.thing() })?;
        not_future("water check", self.when, now)?;
        super::correct::since_set(book, check.filling.as_ref(), "the water check", self.when)?;
        real_mass("A box weight, lid on,", self.mass)?;
        let added = self.added.filter(|&added| added != Mass::ZERO);
        added.map_or(Ok(()), |added| real_mass("Water added", added))?;
        let row = Row::new()
            .with(WaterCheck::when, self.when)
            .with(WaterCheck::mass, self.mass)
            .with(WaterCheck::added, added)
            .with(WaterCheck::note, &self.note);
        draft("WaterEdited", row.change(book, self.water.as_str()).into_iter().collect())
    }
}

/// What was taken out of a box, or put in.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenOutEdited {
    pub taken: TakenOutId,
    pub when: When,
    /// Not 0; negative when put in.
    pub mass: Mass,
    pub what: String,
}

impl TakenOutEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &TakenOutId, otherwise: When) -> Option<TakenOutEdited> {
        let taken = book.taking(id)?;
        Some(TakenOutEdited {
            taken: id.clone(),
            when: taken.when.unwrap_or(otherwise),
            mass: taken.mass?,
            what: taken.what.clone().unwrap_or_default(),
        })
    }
}

impl Act for TakenOutEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let taken = book.taking(&self.taken).ok_or_else(|| Refusal::NoSuch { thing: self.taken.thing() })?;
        not_future("taking something out", self.when, now)?;
        super::correct::since_set(book, taken.filling.as_ref(), "taking something out", self.when)?;
        if self.mass == Mass::ZERO || self.mass.0.unsigned_abs() >= MOST_MG.unsigned_abs() {
            return Err(Refusal::BadMass { what: "What was taken out", mass: self.mass });
        }
        let row =
            Row::new().with(TakenOut::when, self.when).with(TakenOut::mass, self.mass).with(TakenOut::what, &self.what);
        draft("TakenOutEdited", row.change(book, self.taken.as_str()).into_iter().collect())
    }
}

/// Something written about a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct NoteEdited {
    pub note: NoteId,
    pub when: When,
    pub text: String,
}

impl NoteEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &NoteId, otherwise: When) -> Option<NoteEdited> {
        let note = book.note(id)?;
        Some(NoteEdited {
            note: id.clone(),
            when: note.when.unwrap_or(otherwise),
            text: note.text.clone().unwrap_or_default(),
        })
    }
}

impl Act for NoteEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        super::there(book, self.note.clone())?;
        not_future("note", self.when, now)?;
        if self.text.trim().is_empty() {
            return Err(Refusal::Missing { what: "the note" });
        }
        let row = Row::new().with(Note::when, self.when).with(Note::text, &self.text);
        draft("NoteEdited", row.change(book, self.note.as_str()).into_iter().collect())
    }
}
