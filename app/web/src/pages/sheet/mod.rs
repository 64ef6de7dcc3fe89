//! A spreadsheet brought in: choose it, say what its columns are, answer what it does not tell, put right what cannot be
//! read, see what comes of each row, bring the good ones in.

mod columns;
mod questions;
mod rows;
mod unclear;

use crate::clock;
use crate::prefs::{folder, prefs};
use crate::route::{Go, Page};
use crate::store::{Running, barn, cancel, mint};
use crate::ui::Head;
use crate::ui::forms::Choice;
use crate::words::{bundles, sheets as words};
use book::acts::Act;
use columns::Columns;
use desk::sheet::{Remembered, SheetForm, SheetFound, SheetOf};
use gloo_storage::{LocalStorage, Storage};
use js_sys::ArrayBuffer;
use leptos::prelude::*;
use leptos::task::spawn_local;
use questions::Questions;
use rows::Rows;
use std::sync::Arc;
use unclear::Cells;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::HtmlInputElement;

/// A sheet as the page has it, and what comes of it now.
#[derive(Clone, Copy)]
struct Held {
    form: RwSignal<SheetForm>,
    found: Memo<Arc<SheetFound>>,
}

/// Where this device keeps what headings were said to be.
fn key() -> String {
    format!("candlemark:{}headings", folder())
}

fn remembered() -> Remembered {
    LocalStorage::get(key()).unwrap_or_default()
}

fn remember(said: Remembered) {
    let mut all = remembered();
    all.extend(said);
    // Full or switched-off local storage loses a convenience, never a record.
    let _ = LocalStorage::set(key(), &all);
}

#[component]
pub fn Sheet() -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    on_cleanup(move || cancel(running));
    let form = RwSignal::new(None::<SheetForm>);
    let reading = RwSignal::new(false);
    let failed = RwSignal::new(None::<String>);
    // What is answered is of this file alone.
    let named = RwSignal::new(String::new());
    let picked = move |ev: leptos::ev::Event| {
        let input: HtmlInputElement = event_target(&ev);
        let Some(file) = input.files().and_then(|files| files.get(0)) else { return };
        input.set_value("");
        failed.set(None);
        named.set(file.name());
        form.set(None);
        reading.set(true);
        spawn_local(async move {
            let bytes = JsFuture::from(file.array_buffer()).await.ok().and_then(|b| b.dyn_into::<ArrayBuffer>().ok());
            let read = match bytes {
                Some(bytes) => barn.read_table(bytes, running).await.map_err(|why| bundles::failed(&why)),
                None => Err(Some(words::UNREADABLE.to_owned())),
            };
            let _ = reading.try_set(false);
            match read {
                Ok(rows) => {
                    let (units, today) = (crate::prefs::units(), clock::now().date());
                    let read = barn.peek(|book| SheetForm::new(rows, &remembered(), book, units, today, &mut mint));
                    let _ = form.try_set(Some(read));
                }
                Err(why) => {
                    let _ = failed.try_set(why);
                }
            }
        });
    };
    let choose = move || form.with(|form| if form.is_some() { words::CHOOSE_ANOTHER } else { words::CHOOSE });
    view! {
        <div class="page">
            <Head title=words::IN_TITLE.to_string() back=(Page::Bundles, bundles::TITLE.to_owned()) />
            <p class="sub">{words::IN_SAID}</p>
            <label class="act photo-pick">{choose}
                <input class="unseen" type="file" accept=".csv,.tsv,.txt,text/csv,text/plain" aria-label=choose on:change=picked />
            </label>
            {move || reading.get().then(|| view! { <p role="status">{words::READING}</p> })}
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
            {move || form.get().map(|form| view! { <div data-of=named><Read form /></div> })}
        </div>
    }
}

/// The sheet, from its columns to its rows.
#[component]
fn Read(form: SheetForm) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let (what, above) = (RwSignal::new(form.what), form.above);
    let form = RwSignal::new(form);
    let found = Memo::new(move |_| {
        let units = prefs.with(|prefs| prefs.units());
        Arc::new(barn.read(|book| form.with(|form| form.read(book, units, clock::now()))))
    });
    let held = Held { form, found };
    Effect::new(move |before: Option<SheetOf>| {
        let now = what.get();
        if before.is_some_and(|before| before != now) {
            form.update(|form| form.is_of(now, &remembered()));
        }
        now
    });
    let bring = move |_| {
        let found = found.get_untracked();
        let said = words::brought_in(found.counts().0);
        let acts = form.try_update_untracked(|form| barn.peek(|book| form.acts(&found, book, &mut mint)));
        let acts = acts.unwrap_or_default().into_iter().map(|part| Box::new(part) as Box<dyn Act>).collect();
        remember(form.with_untracked(SheetForm::said));
        let to = if what.get_untracked() == SheetOf::Animals { Page::Animals } else { Page::Boxes };
        barn.save_as_one(acts, said, move |_| to.replace());
    };
    let kinds = vec![(SheetOf::Animals, words::ANIMALS.to_owned()), (SheetOf::Clutches, words::CLUTCHES.to_owned())];
    let counts = move || found.with(|found| found.counts());
    view! {
        {(above > 0).then(|| view! { <p class="aside">{words::above(above)}</p> })}
        <Choice label=words::WHAT options=kinds value=what />
        {move || {
            what.track();
            view! { <Columns held /> }
        }}
        <Questions held />
        <Cells held />
        <p role="status">{move || { let (good, bad) = counts(); words::found(good, bad) }}</p>
        <div class="acts">
            <button type="button" class="act main" disabled=move || counts().0 == 0 on:click=bring>
                {move || words::bring(counts().0)}
            </button>
        </div>
        <Rows held />
    }
}
