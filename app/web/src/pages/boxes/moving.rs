//! Move a box to another shelf.

use crate::prefs::prefs;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::carried::ScanPlace;
use crate::ui::day::{Seen, WhenFold};
use crate::words::{boxes as said, names};
use book::FillingId;
use book::acts::Moved;
use leptos::prelude::*;

#[component]
pub fn MoveBox(id: FillingId) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let nest = barn.peek(|book| book.is_nest(&id));
    let rows_id = id.clone();
    let rows = move || {
        barn.read(|book| {
            let here = book.place_of(&rows_id.thing()).map(|p| p.id.clone());
            // She and her eggs may lie anywhere.
            let places = if nest { book.places().into_iter().filter(|p| !p.closed).collect() } else { book.shelves() };
            let shelves = places.into_iter().map(|shelf| {
                let aside = names::shelf_aside(book, &shelf.id, &prefs.get());
                (shelf.id.clone(), names::place(book, &shelf.id), aside, here.as_ref() == Some(&shelf.id))
            });
            shelves.collect::<Vec<_>>()
        })
    };
    let thing = id.thing();
    let seen = Seen::now();
    let save = move |place: book::PlaceId, path: String| {
        let Some(when) = seen.get() else { return };
        let act = Moved::to_place(vec![id.thing()], place, when);
        let back = Page::Box(id.to_string());
        barn.save(act, said::moved(&path), move |_| back.replace());
    };
    view! {
        <div class="page">
            <Head title=said::MOVE_TITLE.to_string() back=(back, name) />
            <ScanPlace thing />
            <WhenFold seen />
            {move || rows().into_iter().map(|(place, path, aside, here)| {
                let save = save.clone();
                let to = path.clone();
                view! {
                    <button type="button" class="row row-button" disabled=here on:click=move |_| save(place.clone(), to.clone())>
                        <span class="text"><span class="title">{path}</span><span class="aside">{if here { said::IT_IS_HERE.into() } else { aside }}</span></span>
                    </button>
                }
            }).collect_view()}
            {move || (!nest && barn.read(|b| b.shelves().is_empty())).then(|| view! { <p class="card">{said::NO_SHELF} " " <a href=Page::PlaceNew.href()>{said::ADD_INCUBATOR}</a></p> })}
        </div>
    }
}
