//! Check water: fill to so many grams. Weigh closed, type the reading, the page says what to add.

use crate::prefs::{prefs, units as shown_units};
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Faults, Quantity, TextField};
use crate::words::{self, boxes as said, names, units};
use book::FillingId;
use desk::forms::water::{WaterAct, WaterForm};
use leptos::prelude::*;
use trade::units::Mass;

#[component]
pub fn Water(id: FillingId) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let faults = Faults::new();
    let start = barn.peek(|book| WaterForm::new(id.clone(), book.fill_to(&id)));
    let (reading, added) = (RwSignal::new(start.reading.clone()), RwSignal::new(start.added.clone()));
    let new_lid = RwSignal::new(false);
    let note = RwSignal::new(String::new());
    let seen = Seen::now();
    let level_id = id.clone();
    let fill_to = Signal::derive(move || barn.read(|book| book.fill_to(&level_id)));
    // As it stands, but for what is added and the note.
    let read = Signal::derive(move || WaterForm {
        fill_to: fill_to.get(),
        reading: reading.get(),
        new_lid: new_lid.get(),
        ..start.clone()
    });
    let advice = Signal::derive(move || read.with(|form| form.advice(prefs.get().units())));
    // What is typed as added stays when the reading is put right.
    Effect::new(move |_| {
        let units = prefs.get().units();
        let offered = read.with(|form| form.offered(units));
        added.update(|added| added.offer(offered, units));
    });
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let save_back = back.clone();
    let save = move |_| {
        let Some(when) = seen.get() else { return };
        let form = WaterForm { added: added.get_untracked(), note: note.get_untracked(), ..read.get_untracked() };
        let Some(act) = faults.pass(form.act(shown_units(), when)) else { return };
        let back = save_back.clone();
        let show = |mass: Mass| units::mass(mass, &prefs.get_untracked());
        match act {
            WaterAct::Baseline(act) => {
                let told = said::new_baseline(&show(act.mass));
                barn.save(act, told, move |_| back.replace())
            }
            WaterAct::Checked(act) => {
                let told = said::water_saved(&show(act.mass), act.added.map(show));
                barn.save(act, told, move |_| back.replace())
            }
        }
    };
    let shows_added = Memo::new(move |_| {
        read.with(|form| form.offered(prefs.get().units()).is_some()) || added.with(|a| !a.untouched())
    });
    view! {
        <div class="page alone">
            <Head title=said::WATER_TITLE.to_string() back=(back, name) />
            {move || match fill_to.get() {
                Some(f) if !new_lid.get() => view! {
                    <div class="card"><span class="aside">{said::FILL_TO}</span>
                        <p class="huge">{units::mass(f.mass, &prefs.get())}</p>
                        <p class="aside">{said::CLOSED_WITH_LID}</p>
                    </div>
                }.into_any(),
                _ => view! { <p class="card">{said::NO_BASELINE}</p> }.into_any(),
            }}
            <Quantity entry=reading first=true faults />
            {move || advice.get().map(|a| view! {
                <p class="card big" role="status">{said::advice(a, |m| units::mass(m, &prefs.get()))}</p>
            })}
            {move || shows_added.get().then(|| view! { <Quantity entry=added hint=said::ADD_HOW faults /> })}
            <details>
                <summary>{said::MORE}</summary>
                <label class="gap tick"><input type="checkbox" prop:checked=new_lid on:change=move |ev| new_lid.set(event_target_checked(&ev)) />{said::NEW_LID}</label>
                <TextField label=said::NOTE value=note />
            </details>
            <WhenFold seen />
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
}
