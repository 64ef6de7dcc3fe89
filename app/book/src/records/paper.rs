//! Notes, photos and labels.

use super::{Over, record};
use crate::ids::{LabelId, LabelPrintId, NoteId, PhotoId, Thing};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

record! {
    /// Something written about a thing.
    Note NoteId {
        about: Option<Thing> = "about",
        when: Option<When> = "when",
        text: Option<String> = "text" long,
    }
    over Over::Noted;
    seen about at when;
    link Notes { about by when }
        /// Newest first.
        notes(Thing);
}

record! {
    /// A photo of a thing. The picture travels beside the journal, or does not.
    Photo PhotoId {
        about: Option<Thing> = "about",
        when: Option<When> = "when",
        /// Name of the picture's file: the SHA-256 of its bytes, hex.
        sha256: Option<String> = "sha256",
        /// What the chain vouches for: a digest of salt and content.
        digest: Option<String> = "digest",
        /// Pixels.
        width: Option<u32> = "w",
        height: Option<u32> = "h",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen about at when;
    link Photos { about by when }
        /// Newest first.
        photos(Thing);
}

record! {
    /// A label as printed: what the paper on the lid says.
    LabelPrint LabelPrintId {
        thing: Option<Thing> = "thing",
        when: Option<When> = "when",
        /// The text in the QR code.
        payload: Option<String> = "payload" long,
        look_from: Option<NaiveDate> = "look_from",
        likely_from: Option<NaiveDate> = "likely_from",
        likely_to: Option<NaiveDate> = "likely_to",
        fill_to: Option<Mass> = "fill_to_mg",
    }
    over Over::Noted;
    about thing at when;
    link Prints { thing by when }
        /// Newest first.
        label_prints(Thing);
}

record! {
    /// A label printed ahead. Scanning it begins a record of the same id.
    BlankLabel LabelId {
        made: Option<When> = "made",
        /// What it became the label of.
        used: Option<Thing> = "used",
    }
    over Over::Never;
    found by id;
}
