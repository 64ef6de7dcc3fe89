//! Eggs that leave a box otherwise than by hatching: died, removed, sold… with their mass, so that fill-to stays
//! right.

use super::draw;
use crate::route::Page;
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, MassField, TextField, typed_mass};
use crate::ui::{Head, Tray, TrayEgg};
use crate::words::animals::BAD_DAY;
use crate::words::{self, boxes as said, eggs, names};
use book::acts::EggFate;
use book::words::Fate;
use book::{EggId, FillingId};
use leptos::prelude::*;
use std::collections::BTreeMap;
use trade::units::Mass;

const FATES: [Fate; 7] =
    [Fate::Removed, Fate::Died, Fate::FullTermDead, Fate::Sold, Fate::Lost, Fate::Eaten, Fate::Unknown];

#[component]
pub fn EggsLeave(id: FillingId) -> impl IntoView {
    let barn = barn();
    let chosen = RwSignal::new(Vec::<String>::new());
    let fate = RwSignal::new(Fate::Removed);
    let (mass, why) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let tray_id = id.clone();
    let seen = Seen::now();
    let tray = Signal::derive(move || {
        let chosen = chosen.get();
        let eggs = barn.read(|book| draw::in_places(book, &tray_id, |_| None)).into_iter();
        eggs.map(|e| TrayEgg { changed: chosen.contains(&e.id), ..e }).collect::<Vec<_>>()
    });
    let on_egg = Callback::new(move |egg: String| {
        chosen.update(|list| match list.iter().position(|e| *e == egg) {
            Some(at) => drop(list.remove(at)),
            None => list.push(egg),
        });
    });
    let back = Page::Box(id.to_string());
    let save_back = back.clone();
    let save = move |_| {
        let list: Vec<EggId> = chosen.get_untracked().iter().map(|e| EggId::from(e.as_str())).collect();
        if list.is_empty() {
            return barn.say(said::CHOOSE_EGGS.into(), None);
        }
        let Some(when) = seen.get() else { return barn.say(BAD_DAY.to_owned(), None) };
        // Weighed together, shared evenly: only the sum matters to the box.
        let each = mass.with_untracked(|m| typed_mass(m)).map(|m| Mass(m.0 / list.len() as i64));
        let masses: BTreeMap<EggId, Mass> =
            each.map(|m| list.iter().map(|e| (e.clone(), m)).collect()).unwrap_or_default();
        let told = said::fate_saved(list.len(), eggs::fate(fate.get_untracked()));
        let act = EggFate {
            eggs: list,
            fate: fate.get_untracked(),
            when,
            why: why.get_untracked().trim().to_owned(),
            masses,
        };
        let back = save_back.clone();
        barn.save(act, told, move |_| back.replace());
    };
    let name = barn.peek(|book| names::filling(book, &id));
    view! {
        <div class="page alone">
            <Head title=said::EGGS_TITLE.to_string() back=(back, name) />
            <p>{said::EGGS_HOW}</p>
            <div class="card"><Tray eggs=tray on_egg /></div>
            <Choice label=said::EGGS_TITLE options=FATES.iter().map(|&f| (f, eggs::fate(f).to_string())).collect() value=fate />
            <MassField label=said::WEIGHED value=mass hint=said::WEIGHED_HOW />
            <TextField label=said::WHY value=why />
            <WhenFold seen />
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
}
