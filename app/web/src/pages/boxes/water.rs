//! Check water: fill to so many grams. Weigh closed, type the reading, the page says what to add.

use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{MassField, TextField, typed_mass};
use crate::words::animals::BAD_DAY;
use crate::words::{self, boxes as said, names, units};
use book::acts::{BaselineReset, WaterChecked};
use book::{FillingId, SCALE};
use leptos::prelude::*;
use trade::water::{ToAdd, to_add};

#[component]
pub fn Water(id: FillingId) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let reading = RwSignal::new(String::new());
    let added = RwSignal::new(None::<String>);
    let new_lid = RwSignal::new(false);
    let note = RwSignal::new(String::new());
    let seen = Seen::now();
    let level_id = id.clone();
    let fill_to = Signal::derive(move || barn.read(|book| book.fill_to(&level_id)));

    let advice = Signal::derive(move || {
        let mass = reading.with(|r| typed_mass(r))?;
        let fill_to = fill_to.get()?;
        Some(to_add(fill_to, mass, SCALE))
    });
    let suggested = Signal::derive(move || match advice.get() {
        Some(ToAdd::Add(mass)) => units::mass_digits(mass, &prefs.get()),
        _ => String::from("0"),
    });
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let (save_id, save_back) = (id.clone(), back.clone());
    let save = move |_| {
        let Some(mass) = reading.with_untracked(|r| typed_mass(r)) else {
            return barn.say(said::WEIGH_FIRST.into(), None);
        };
        let Some(when) = seen.get() else { return barn.say(BAD_DAY.to_owned(), None) };
        let (filling, note, back) = (save_id.clone(), note.get_untracked().trim().to_owned(), save_back.clone());
        let shown = units::mass(mass, &prefs.get_untracked());
        if new_lid.get_untracked() || fill_to.get_untracked().is_none() {
            return barn.save(BaselineReset { filling, when, mass, note }, said::new_baseline(&shown), move |_| {
                back.replace()
            });
        }
        let typed = added.get_untracked().unwrap_or_else(|| suggested.get_untracked());
        let Some(water) = typed_mass(if typed.trim().is_empty() { "0" } else { &typed }) else {
            return barn.say(words::NOT_A_NUMBER.into(), None);
        };
        let told = said::water_saved(&shown, (water.0 > 0).then(|| units::mass(water, &prefs.get_untracked())));
        let act = WaterChecked { filling, when, mass, added: (water.0 > 0).then_some(water), note };
        barn.save(act, told, move |_| back.replace());
    };
    let box_for_added = RwSignal::new(String::new());
    Effect::new(move |_| box_for_added.set(suggested.get()));
    Effect::new(move |_| {
        let typed = box_for_added.get();
        added.set((typed != suggested.get_untracked()).then_some(typed));
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
            <MassField label=said::SCALE_SAYS value=reading first=true />
            {move || advice.get().filter(|_| !new_lid.get()).map(|a| view! {
                <p class="card big" role="status">{said::advice(a, |m| units::mass(m, &prefs.get()))}</p>
            })}
            {move || matches!(advice.get(), Some(ToAdd::Add(_))).then(|| view! {
                <MassField label=said::ADDED value=box_for_added hint=said::ADD_HOW />
            })}
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
