//! Two animals that sat in each other's tubs, put right from the day it happened.

use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, SeenField};
use crate::ui::forms::{Choice, Pick};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, animals as animal_words, names, swap as words};
use book::AnimalId;
use book::acts::Unswapped;
use leptos::prelude::*;

#[component]
pub fn Swap(id: String) -> impl IntoView {
    let barn = barn();
    let one = AnimalId::new(id);
    if barn.peek(|book| book.animal(&one).is_none()) {
        return view! {
            <div class="page"><Empty text=animal_words::NO_SUCH><a class="act main" href=Page::Animals.href()>{animal_words::TO_LIST}</a></Empty></div>
        }
        .into_any();
    }
    let name = barn.peek(|book| names::animal(book, &one));
    let (other, back, since) = (RwSignal::new(String::new()), RwSignal::new(true), Seen::day());
    let others = barn.peek(|book| {
        let same = book.animal(&one).and_then(|animal| animal.species.clone());
        let mut all: Vec<_> = book.animals().into_iter().filter(|animal| animal.id != one).collect();
        all.sort_by_cached_key(|animal| (animal.species != same, book.animal_name(&animal.id)));
        let all = all.into_iter().map(|animal| (animal.id.to_string(), names::animal_long(book, &animal.id)));
        std::iter::once((String::new(), words::CHOOSE.to_owned())).chain(all).collect::<Vec<_>>()
    });
    let home = Page::Animal(one.to_string());
    let to = home.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let chosen = other.get_untracked();
        if chosen.is_empty() {
            return barn.amiss(words::NO_OTHER.to_owned());
        }
        let Some(from) = since.get() else { return };
        let act = Unswapped { one: one.clone(), other: AnimalId::new(chosen), from, back: back.get_untracked() };
        let to = to.clone();
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    let options = vec![(true, words::BACK.to_owned()), (false, words::STAY.to_owned())];
    view! {
        <div class="page with-acts">
            <Head title=words::title(&name) back=(home, name) />
            <p class="card">{words::EXPLAIN}</p>
            <form novalidate on:submit=save>
                <Pick label=words::OTHER options=Signal::stored(others) value=other />
                <SeenField seen=since />
                <Choice label=words::NOW options value=back />
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}
