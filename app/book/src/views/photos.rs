//! The picture an animal is known by; and which season a picture belongs to, so that room can be made season by season.

use crate::book::Book;
use crate::ids::*;
use crate::records::{Over, Photo};
use chrono::{Datelike, NaiveDate, TimeDelta};
use trade::when::When;

/// A photo of a thing.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoLine {
    pub id: PhotoId,
    pub when: Option<When>,
    pub note: Option<String>,
    /// Name of the picture's file.
    pub sha256: String,
    /// Pixels; 0 where nobody wrote them down.
    pub width: u32,
    pub height: u32,
}

/// The photos of a thing, newest first.
pub fn photos_of(book: &Book, thing: &Thing) -> Vec<PhotoLine> {
    let line = |photo: &Photo| {
        Some(PhotoLine {
            id: photo.id.clone(),
            when: photo.when,
            note: photo.note.clone(),
            sha256: photo.sha256.clone()?,
            width: photo.width.unwrap_or(0),
            height: photo.height.unwrap_or(0),
        })
    };
    book.photos(thing).filter_map(line).collect()
}

/// The picture an animal is known by.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    pub photo: PhotoId,
    /// Name of the picture's file.
    pub sha256: String,
    pub when: Option<When>,
    /// Whether somebody chose it; else it is the newest.
    pub chosen: bool,
}

/// Of an animal's photos the one that was chosen, or the newest: also where the chosen one was taken back, or turned out to
/// be of another animal.
pub fn face_of(book: &Book, id: &AnimalId) -> Option<Face> {
    let animal = book.animal(id)?;
    let face = |photo: &Photo, chosen: bool| {
        Some(Face { photo: photo.id.clone(), sha256: photo.sha256.clone()?, when: photo.when, chosen })
    };
    let chosen = animal.face.as_ref().and_then(|id| book.photo(id));
    let chosen = chosen.filter(|photo| photo.about.as_ref() == Some(&animal.id.thing()));
    chosen.and_then(|photo| face(photo, true)).or_else(|| book.photos(&id.thing()).find_map(|photo| face(photo, false)))
}

/// What a picture is kept or dropped with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PhotoSeason {
    /// Of a clutch laid in this year: its eggs, boxes, and its young in their first year.
    Laid(i32),
    /// Of anything else, taken in this year.
    Taken(i32),
    /// Nobody knows when.
    Unknown,
}

/// A young one's pictures belong to its clutch for so long after the eggs were laid; later ones to the animal.
const YOUNG: TimeDelta = TimeDelta::days(365);

pub fn photo_season(book: &Book, photo: &Photo) -> PhotoSeason {
    let taken = photo.when.map(|when| when.date());
    let laid = photo.about.as_ref().and_then(|about| laid_of(book, about));
    let own = photo.about.as_ref().is_some_and(|about| about.kind != Kind::Animal);
    match (laid, taken) {
        (Some(laid), Some(taken)) if own || taken - laid <= YOUNG => PhotoSeason::Laid(laid.year()),
        (Some(laid), None) if own => PhotoSeason::Laid(laid.year()),
        (_, Some(taken)) => PhotoSeason::Taken(taken.year()),
        (_, None) => PhotoSeason::Unknown,
    }
}

/// When the eggs that a thing is, holds or came from were laid.
fn laid_of(book: &Book, about: &Thing) -> Option<NaiveDate> {
    let id = about.id.as_str();
    let of_egg = |egg: &EggId| book.laid(book.egg(egg)?).map(|when| when.date());
    let of_clutch = |clutch: &ClutchId| book.clutch_laid(clutch).map(|when| when.date());
    if about.kind == Kind::Animal {
        return book.animal(&AnimalId::from(id))?.from_eggs.first().and_then(of_egg);
    }
    if about.kind == Kind::Egg {
        return of_egg(&EggId::from(id));
    }
    // A clutch itself, and the first of those in a box.
    match about.kind.declared().over {
        Over::With(clutches) => clutches(book, id).first().and_then(of_clutch),
        Over::Never | Over::Noted | Over::OfGrown(..) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    #[test]
    fn eggs_boxes_and_young_go_with_their_clutch_and_the_rest_with_the_year() {
        let today = NaiveDate::from_ymd_opt(2026, 8, 9).expect("a day");
        let book = demo::book(today);
        let laid = |clutch: &ClutchId| book.clutch_laid(clutch).expect("a lay day").date();
        let young = book.all_animals().find(|animal| !animal.from_eggs.is_empty()).expect("a young one");
        let egg = book.egg(&young.from_eggs[0]).expect("its egg");
        let clutch = egg.clutch.clone().expect("its clutch");
        let filling = egg.filling.clone().expect("its box");
        let old = book.animals().into_iter().find(|animal| animal.from_eggs.is_empty()).expect("an animal bought in");
        let year = laid(&clutch).year();
        let month_after = laid(&clutch) + TimeDelta::days(70);
        let years_after = laid(&clutch) + TimeDelta::days(1000);
        let (season, later) = (PhotoSeason::Laid(year), PhotoSeason::Taken(years_after.year()));
        for (about, taken, expected) in [
            (Some(clutch.thing()), Some(month_after), season),
            (Some(clutch.thing()), None, season),
            (Some(egg.id.thing()), Some(years_after), season),
            (Some(filling.thing()), Some(month_after), season),
            (Some(young.id.thing()), Some(month_after), season),
            (Some(young.id.thing()), Some(years_after), later),
            (Some(old.id.thing()), Some(years_after), later),
            (None, Some(years_after), later),
            (Some(old.id.thing()), None, PhotoSeason::Unknown),
        ] {
            let when = taken.map(When::day);
            let photo = Photo {
                id: PhotoId::from("P"),
                about: about.clone(),
                when,
                sha256: None,
                digest: None,
                width: None,
                height: None,
                note: None,
            };
            assert_eq!(photo_season(&book, &photo), expected, "{about:?} {taken:?}");
        }
    }
}
