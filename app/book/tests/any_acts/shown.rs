//! Everything that is derived of a book, as text: two books that show the same are the same.

use book::views::*;
use book::*;
use chrono::NaiveDateTime;
use std::fmt::Debug;

/// What can be asked of a book without naming a record: each by itself, so that any may be asked at any time.
pub const WHOLE: &[fn(&Book, NaiveDateTime) -> String] = &[
    |book, now| text(&walk(book, now)),
    |book, now| text(&ahead(book, now, 5)),
    |book, now| text(&calendar_rows(book, now)),
    |book, now| text(&box_rows(book, now)),
    |book, now| text(&(baby_rows(book, now), wish_rows(book, &baby_rows(book, now)), hold_rows(book, now))),
    |book, now| text(&(pairing_rows(book, now), may_go_again(book, now), breeders(book, now))),
    |book, _| text(&(doubled(book), bays(book), place_rows(book, None))),
    |book, _| text(&["a", "26", "c", "i", "sh"].map(|typed| search(book, typed, 50))),
    |book, _| text(&(species_rows(book), days_lines(book), losses(book))),
    |book, _| {
        let keys = book.all_species().into_iter().map(|(key, _)| key);
        text(&keys.map(|key| (book.model(&key), book.own_hatches(&key))).collect::<Vec<_>>())
    },
    |book, now| text(&(treatment_rows(book, now), quarantine_rows(book, now), cooling_groups(book, now))),
    |book, now| text(&(lying_labels(book, now), wall(book, now))),
    |book, now| text(&(book.suggest_number(now.date()), book.suggest_setup(), book.suggest_shelves(None).len())),
    |book, _| text(&book.oddities().collect::<Vec<_>>()),
    |book, _| {
        let twice = book.doubled_numbers();
        text(&twice.iter().map(|group| group.iter().map(|c| &c.id).collect::<Vec<_>>()).collect::<Vec<_>>())
    },
];

fn text(shown: &dyn Debug) -> String {
    format!("{shown:?}\n")
}

/// All of it, and the page of every record.
pub fn shown(book: &Book, now: NaiveDateTime) -> String {
    let mut out: String = WHOLE.iter().map(|ask| ask(book, now)).collect();
    let mut say = |what: &dyn Debug| out.push_str(&text(what));
    for filling in book.fillings() {
        say(&(box_view(book, &filling.id, now), box_plot(book, &filling.id, now)));
        say(&book.water_events(&filling.id));
    }
    for clutch in book.clutches() {
        say(&(clutch_view(book, &clutch.id, now), measures(book, &clutch.id)));
        say(&(clutch_looks(book, &clutch.id, &[]), her_males(book, &clutch.dams, now)));
    }
    for animal in book.all_animals() {
        say(&(animal_view(book, &animal.id, now), animal_genes(book, &animal.id)));
        say(&cleaning_view(book, &animal.id.thing(), now));
    }
    for place in book.places() {
        say(&(place_view(book, &place.id, now), shelf_plot(book, &place.id, now), feeding(book, &place.id, now)));
        say(&cleaning_view(book, &place.id.thing(), now));
    }
    for treatment in book.all_treatments() {
        say(&treatment_view(book, &treatment.id, now));
    }
    for cooling in book.all_coolings() {
        say(&cooling_view(book, &cooling.id, now));
    }
    for pairing in book.pairings() {
        say(&pairing_view(book, &pairing.id, now));
    }
    out
}
