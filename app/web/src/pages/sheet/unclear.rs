//! Cells that cannot be read: equal ones are put right together.

use super::Held;
use crate::store::barn;
use crate::ui::forms::{Pick, TextField};
use crate::words::{animals, names, sheets as words};
use book::words::{Sex, Went};
use desk::sheet::{Column, Fix, Unclear};
use leptos::prelude::*;

/// Shown at once; there may be thousands where a column was taken for another.
const SHOWN: usize = 20;

#[component]
pub fn Cells(held: Held) -> impl IntoView {
    let all = Memo::new(move |_| held.found.with(|found| found.unclear.clone()));
    let shown = move || all.with(|all| all.iter().take(SHOWN).cloned().collect::<Vec<Unclear>>());
    let more = move || all.with(|all| all.len().saturating_sub(SHOWN));
    view! {
        {move || all.with(|all| !all.is_empty()).then(|| view! {
            <h2>{words::UNCLEAR}</h2>
            <p class="aside">{words::UNCLEAR_HOW}</p>
        })}
        <For each=shown key=|cells| (cells.place, cells.column, cells.cell.clone()) let(cells)>
            <Equal held cells />
        </For>
        {move || (more() > 0).then(|| view! { <p class="aside">{words::more_cells(more())}</p> })}
    }
}

/// Equal cells, why they will not do, and what is done with them.
#[component]
fn Equal(held: Held, cells: Unclear) -> impl IntoView {
    let Held { form, found } = held;
    let key = (cells.place, cells.cell.clone());
    let head = form.with_untracked(|form| form.heads[cells.place].clone());
    let own = key.clone();
    let fix = Memo::new(move |_| form.with(|form| form.fixes.get(&own).cloned()));
    let own = key.clone();
    let why = Memo::new(move |_| {
        let same = |cells: &&Unclear| (cells.place, &cells.cell) == (own.0, &own.1);
        found.with(|found| found.unclear.iter().find(same).and_then(|cells| cells.why.clone()))
    });
    let put = move |fix: Option<Fix>| {
        form.update(|form| match fix {
            Some(fix) => drop(form.fixes.insert(key.clone(), fix)),
            None => drop(form.fixes.remove(&key)),
        });
    };
    let put = StoredValue::new(put);
    let typed =
        RwSignal::new(match form.with_untracked(|form| form.fixes.get(&(cells.place, cells.cell.clone())).cloned()) {
            Some(Fix::As(said)) => said,
            _ => String::new(),
        });
    Effect::new(move |before: Option<String>| {
        let now = typed.get();
        // Emptied by a chip, it says nothing by itself.
        let typed_before = fix.with_untracked(|fix| matches!(fix, Some(Fix::As(said)) if !said.is_empty()));
        if before.is_some_and(|before| before != now) && (!now.is_empty() || typed_before) {
            put.with_value(|put| put(Some(now.clone()).filter(|now| !now.is_empty()).map(Fix::As)));
        }
        now
    });
    let to = move |fix: Option<Fix>| {
        move |_| {
            put.with_value(|put| put(fix.clone()));
            typed.set(String::new());
        }
    };
    let empty = move || fix.with(|fix| *fix == Some(Fix::As(String::new())));
    let out = move || fix.with(|fix| *fix == Some(Fix::LeaveOut));
    view! {
        <div class="card">
            <h3>{words::unclear(&cells)}</h3>
            {move || match why.get() {
                Some(why) => view! { <p class="warn" role="alert">{why}</p> }.into_any(),
                None if out() => view! { <p class="aside">{words::LEFT_OUT}</p> }.into_any(),
                None if empty() => view! { <p class="aside">{words::LEFT_EMPTY}</p> }.into_any(),
                None => ().into_any(),
            }}
            <Instead column=cells.column label=words::read_as(&head, &cells.cell) typed />
            <div class="chips">
                <button type="button" class="chip" aria-pressed=move || empty().to_string() on:click=to(Some(Fix::As(String::new())))>{words::LEAVE_EMPTY}</button>
                <button type="button" class="chip" aria-pressed=move || out().to_string() on:click=to(Some(Fix::LeaveOut))>{words::ROWS_OUT}</button>
                {move || fix.with(Option::is_some).then(|| view! {
                    <button type="button" class="chip" on:click=to(None)>{words::TAKE_BACK}</button>
                })}
            </div>
        </div>
    }
}

/// What they are read as instead: chosen where there are few, else typed.
#[component]
fn Instead(column: Column, label: String, typed: RwSignal<String>) -> impl IntoView {
    let barn = barn();
    let options = match column {
        Column::Species => barn.peek(names::species_choices),
        Column::Sex => [("f", Sex::Female), ("m", Sex::Male), ("u", Sex::Unknown)]
            .map(|(key, sex)| (key.to_owned(), animals::sex_choice(sex).to_owned()))
            .to_vec(),
        Column::Status => [
            ("sold", Went::Sold),
            ("died", Went::Died),
            ("given", Went::Given),
            ("traded", Went::Traded),
            ("loaned", Went::Loaned),
            ("escaped", Went::Escaped),
        ]
        .into_iter()
        .map(|(key, went)| (key.to_owned(), animals::went(went).to_owned()))
        .chain([("here".to_owned(), words::HERE.to_owned())])
        .collect(),
        _ => return view! { <TextField label value=typed /> }.into_any(),
    };
    let named = options.into_iter().filter(|(key, _)| !key.is_empty());
    let options: Vec<(String, String)> =
        std::iter::once((String::new(), words::CHOOSE_ONE.to_owned())).chain(named).collect();
    view! { <Pick label options=Signal::stored(options) value=typed /> }.into_any()
}
