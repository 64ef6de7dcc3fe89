//! Photos: one taken, put right, and which of an animal's photos it is known by.

use super::animals::born_by;
use super::row::Row;
use super::{Act, Mint, Refusal, draft, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Animal, Photo};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::when::When;

/// A photo of a thing, whose picture is stored beside the journal.
#[derive(Clone, Debug)]
pub struct PhotoTaken {
    pub about: Thing,
    pub when: When,
    /// SHA-256 of the picture's bytes, 64 hex digits.
    pub sha256: String,
    /// Digest of (random salt ‖ content), 64 hex digits.
    pub digest: String,
    /// Pixels.
    pub width: u32,
    pub height: u32,
    pub note: String,
}

impl Act for PhotoTaken {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.about.clone())?;
        dated(book, Some(&self.about), self.when, now)?;
        let hex = |text: &str| text.len() == 64 && text.bytes().all(|b| b.is_ascii_hexdigit());
        if !hex(&self.sha256) || !hex(&self.digest) || self.width == 0 || self.height == 0 {
            return Err(Refusal::Missing { what: "a whole picture" });
        }
        let row = Row::new()
            .with(Photo::about, &self.about)
            .with(Photo::when, self.when)
            .with(Photo::sha256, &self.sha256)
            .with(Photo::digest, &self.digest)
            .with(Photo::width, self.width)
            .with(Photo::height, self.height)
            .with(Photo::note, &self.note);
        draft("PhotoTaken", vec![row.observe()])
    }
}

/// Not after now; of an animal, not before its birth.
fn dated(book: &Book, about: Option<&Thing>, when: When, now: NaiveDateTime) -> Result<(), Refusal> {
    not_future("photo", when, now)?;
    match about.filter(|about| about.kind == Kind::Animal) {
        Some(animal) => born_by(book, &AnimalId::new(animal.id.as_str()), "the photo", when),
        None => Ok(()),
    }
}

/// What is said of a photo, as it should have been noted. The picture stays.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoEdited {
    pub photo: PhotoId,
    pub when: When,
    pub note: String,
}

impl PhotoEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, id: &PhotoId, otherwise: When) -> Option<PhotoEdited> {
        book.photo(id).map(|photo| PhotoEdited {
            photo: id.clone(),
            when: photo.when.unwrap_or(otherwise),
            note: photo.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for PhotoEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let stands = book.photo(&self.photo).ok_or_else(|| Refusal::NoSuch { thing: self.photo.thing() })?;
        dated(book, stands.about.as_ref(), self.when, now)?;
        let row = Row::new().with(Photo::when, self.when).with(Photo::note, &self.note);
        draft("PhotoEdited", row.change(book, self.photo.as_str()).into_iter().collect())
    }
}

/// The photo that an animal is known by in lists and on its papers.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceChosen {
    pub animal: AnimalId,
    /// `None`: whichever is the newest.
    pub photo: Option<PhotoId>,
}

impl Act for FaceChosen {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.animal.clone())?;
        if let Some(id) = &self.photo {
            let photo = book.photo(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            if photo.about.as_ref() != Some(&self.animal.thing()) {
                return Err(Refusal::Missing { what: "a photo of this animal" });
            }
        }
        let row = Row::new().with(Animal::face, self.photo.as_ref());
        draft("FaceChosen", row.change(book, self.animal.as_str()).into_iter().collect())
    }
}
