//! Eggs that leave a box otherwise than by hatching: died, removed, sold… with their mass, so that fill-to stays
//! right.

use super::draw;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, Faults, Quantity, TextField};
use crate::ui::{Head, Tray, TrayEgg};
use crate::words::{self, boxes as said, eggs, names};
use book::words::Fate;
use book::{EggId, FillingId};
use desk::forms::eggs::LeaveForm;
use leptos::prelude::*;

const FATES: [Fate; 7] =
    [Fate::Removed, Fate::Died, Fate::FullTermDead, Fate::Sold, Fate::Lost, Fate::Eaten, Fate::Unknown];

#[component]
pub fn EggsLeave(id: FillingId) -> impl IntoView {
    let barn = barn();
    let chosen = RwSignal::new(Vec::<String>::new());
    let fate = RwSignal::new(Fate::Removed);
    let (mass, why) = (RwSignal::new(LeaveForm::mass()), RwSignal::new(String::new()));
    let faults = Faults::new();
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
            return barn.amiss(said::CHOOSE_EGGS.into());
        }
        let Some(when) = seen.get() else { return };
        let form =
            LeaveForm { eggs: list, fate: fate.get_untracked(), mass: mass.get_untracked(), why: why.get_untracked() };
        let Some(act) = faults.pass(form.act(units(), when)) else { return };
        let told = said::fate_saved(act.eggs.len(), eggs::fate(act.fate));
        let back = save_back.clone();
        barn.save(act, told, move |_| back.replace());
    };
    // With her nothing is weighed that it could change.
    let weighed = if barn.peek(|book| book.is_nest(&id)) { "" } else { said::WEIGHED_HOW };
    let name = barn.peek(|book| names::filling(book, &id));
    view! {
        <div class="page alone">
            <Head title=said::EGGS_TITLE.to_string() back=(back, name) />
            <p>{said::EGGS_HOW}</p>
            <div class="card"><Tray eggs=tray on_egg /></div>
            <Choice label=said::EGGS_TITLE options=FATES.iter().map(|&f| (f, eggs::fate(f).to_string())).collect() value=fate />
            <Quantity entry=mass hint=weighed faults />
            <TextField label=said::WHY value=why />
            <WhenFold seen />
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
}
