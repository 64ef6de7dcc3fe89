//! What was noted and can be put right or taken back: when it happened, and whose page it stands on.

use crate::page::Page;
use book::{AnimalId, Book, FillingId, Kind, PlaceId, Thing};
use trade::when::When;

/// When an observation happened, and the page it stands on. `None`: it is not here, or it is put right on a page of its
/// own.
pub fn about(book: &Book, thing: &Thing) -> Option<(Option<When>, Page)> {
    let id = thing.id.as_str();
    let animal = |id: &Option<AnimalId>| id.as_ref().map_or(Page::Animals, |id| Page::Animal(id.to_string()));
    let in_box = |id: &Option<FillingId>| id.as_ref().map_or(Page::Boxes, |id| Page::Box(id.to_string()));
    let place = |id: Option<&PlaceId>| id.map_or(Page::Places, |id| Page::Place(id.to_string()));
    use Kind::*;
    match thing.kind {
        AnimalEvent => book.animal_event(&id.into()).map(|event| (event.when, animal(&event.animal))),
        Meal => book.meal(&id.into()).map(|meal| (meal.offered, animal(&meal.animal))),
        Move => book.move_of(&id.into()).map(|mv| (mv.when, page_of(mv.things.first()))),
        Note => book.note(&id.into()).map(|note| (note.when, page_of(note.about.as_ref()))),
        Photo => book.photo(&id.into()).map(|photo| (photo.when, page_of(photo.about.as_ref()))),
        Candling => book.candling(&id.into()).map(|candling| (candling.when, in_box(&candling.filling))),
        Water => book.water_check(&id.into()).map(|water| (water.when, in_box(&water.filling))),
        TakenOut => book.taking(&id.into()).map(|taken| (taken.when, in_box(&taken.filling))),
        Hatching => {
            let hatching = book.hatching(&id.into())?;
            Some((hatching.when, hatching.egg.as_ref().map_or(Page::Boxes, |id| Page::Egg(id.to_string()))))
        }
        LockSeen => {
            let lock = book.lock(&id.into())?;
            Some((lock.when, lock.pairing.as_ref().map_or(Page::Pairings, |id| Page::Pairing(id.to_string()))))
        }
        Reading => book.reading(&id.into()).map(|reading| (reading.when, place(reading.place.as_ref()))),
        ReadingLog => book.reading_log(&id.into()).map(|log| (log.when, place(log.place.as_ref()))),
        SetPoint => book.set_point(&id.into()).map(|set| (set.when, place(set.place.as_ref()))),
        Incident => book.incident(&id.into()).map(|incident| (incident.from, place(incident.places.first()))),
        StockTaking => {
            let taken = book.stock_taking(&id.into())?;
            Some((taken.when, Page::Walk(crate::page::Walking::Stock)))
        }
        Person | Place | Species | Animal | Pairing | Clutch | Egg | Box | Filling | LabelPrint | Label | Contact
        | DetailsErased | Wish | Hold | Rules | Snooze | Trait | Genotype | Supply => None,
    }
}

/// The page of a thing that something was noted of.
pub fn page_of(thing: Option<&Thing>) -> Page {
    let Some(Thing { kind, id }) = thing else { return Page::Daybook };
    let id = id.clone();
    use Kind::*;
    match kind {
        Animal => Page::Animal(id),
        Clutch => Page::Clutch(id),
        Place => Page::Place(id),
        Egg => Page::Egg(id),
        Filling => Page::Box(id),
        Pairing => Page::Pairing(id),
        Contact => Page::Contact(id),
        Species => Page::Species(id),
        Trait => Page::Trait(id),
        Person | AnimalEvent | Meal | LockSeen | Box | Move | Candling | Water | TakenOut | Reading | Incident
        | SetPoint | ReadingLog | Hatching | StockTaking | Note | Photo | LabelPrint | Label | DetailsErased | Wish
        | Hold | Rules | Snooze | Genotype | Supply => Page::Daybook,
    }
}
