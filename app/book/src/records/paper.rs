//! Notes, photos and labels.

use super::Record;
use crate::fields::Fields;
use crate::ids::{Kind, LabelId, LabelPrintId, NoteId, PhotoId, Thing};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// Something written about a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    pub id: NoteId,
    pub about: Option<Thing>,
    pub when: Option<When>,
    pub text: Option<String>,
}

impl Record for Note {
    const KIND: Kind = Kind::Note;
    fn read(f: &mut Fields<'_>) -> Self {
        Note { id: f.id(), about: f.thing("about"), when: f.when("when"), text: f.text("text") }
    }
}

/// A photo of a thing. The picture travels beside the journal, or does not.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    pub id: PhotoId,
    pub about: Option<Thing>,
    pub when: Option<When>,
    /// Name of the picture's file: the SHA-256 of its bytes, hex.
    pub sha256: Option<String>,
    /// What the chain vouches for: a digest of salt and content.
    pub digest: Option<String>,
    /// Pixels.
    pub width: Option<u32>,
    pub height: Option<u32>,
}

impl Record for Photo {
    const KIND: Kind = Kind::Photo;
    fn read(f: &mut Fields<'_>) -> Self {
        Photo {
            id: f.id(),
            about: f.thing("about"),
            when: f.when("when"),
            sha256: f.text("sha256"),
            digest: f.text("digest"),
            width: f.count("w"),
            height: f.count("h"),
        }
    }
}

/// A label as printed: what the paper on the lid says.
#[derive(Clone, Debug, PartialEq)]
pub struct LabelPrint {
    pub id: LabelPrintId,
    pub thing: Option<Thing>,
    pub when: Option<When>,
    /// The text in the QR code.
    pub payload: Option<String>,
    pub look_from: Option<NaiveDate>,
    pub likely_from: Option<NaiveDate>,
    pub likely_to: Option<NaiveDate>,
    pub fill_to: Option<Mass>,
}

impl Record for LabelPrint {
    const KIND: Kind = Kind::LabelPrint;
    fn read(f: &mut Fields<'_>) -> Self {
        LabelPrint {
            id: f.id(),
            thing: f.thing("thing"),
            when: f.when("when"),
            payload: f.text("payload"),
            look_from: f.day("look_from"),
            likely_from: f.day("likely_from"),
            likely_to: f.day("likely_to"),
            fill_to: f.mass("fill_to_mg"),
        }
    }
}

/// A label printed ahead. Scanning it begins a record of the same id.
#[derive(Clone, Debug, PartialEq)]
pub struct BlankLabel {
    pub id: LabelId,
    pub made: Option<When>,
    /// What it became the label of.
    pub used: Option<Thing>,
}

impl Record for BlankLabel {
    const KIND: Kind = Kind::Label;
    fn read(f: &mut Fields<'_>) -> Self {
        BlankLabel { id: f.id(), made: f.when("made"), used: f.thing("used") }
    }
}
