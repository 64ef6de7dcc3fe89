//! A spreadsheet brought in: choose it, say what its columns are, see what comes of each row, bring the good ones in.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::{Running, barn, cancel};
use crate::ui::Head;
use crate::ui::forms::{Choice, Pick};
use crate::words::{bundles, sheets as words};
use book::acts::{Act, Column, SheetOf};
use desk::forms::sheet::{SheetForm, SheetFound};
use js_sys::ArrayBuffer;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::HtmlInputElement;

/// Bad rows shown; there may be thousands.
const SHOWN: usize = 50;

#[component]
pub fn Sheet() -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    on_cleanup(move || cancel(running));
    let what = RwSignal::new(SheetOf::Animals);
    let rows = RwSignal::new(Vec::<Vec<String>>::new());
    let failed = RwSignal::new(None::<String>);
    let picked = move |ev: leptos::ev::Event| {
        let input: HtmlInputElement = event_target(&ev);
        let Some(file) = input.files().and_then(|files| files.get(0)) else { return };
        input.set_value("");
        failed.set(None);
        rows.set(Vec::new());
        spawn_local(async move {
            let bytes = JsFuture::from(file.array_buffer()).await.ok().and_then(|b| b.dyn_into::<ArrayBuffer>().ok());
            let Some(bytes) = bytes else { return };
            match barn.read_table(bytes, running).await {
                Ok(read) => {
                    let _ = rows.try_set(read);
                }
                Err(why) => {
                    let _ = failed.try_set(bundles::failed(&why));
                }
            }
        });
    };
    let kinds = vec![(SheetOf::Animals, words::ANIMALS.to_owned()), (SheetOf::Clutches, words::CLUTCHES.to_owned())];
    view! {
        <div class="page">
            <Head title=words::IN_TITLE.to_string() back=(Page::Bundles, bundles::TITLE.to_owned()) />
            <p class="sub">{words::IN_SAID}</p>
            <Choice label=words::WHAT options=kinds value=what />
            <label class="act photo-pick">{words::CHOOSE}
                <input class="unseen" type="file" aria-label=words::CHOOSE on:change=picked />
            </label>
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
            {move || {
                let (rows, what) = (rows.get(), what.get());
                (!rows.is_empty()).then(|| view! { <Match form=SheetForm::new(what, rows) /> })
            }}
        </div>
    }
}

/// Which column is what, and what comes of the rows.
#[component]
fn Match(form: SheetForm) -> impl IntoView {
    let barn = barn();
    let what = form.what;
    let key = |column: Option<Column>| column.map(words::column_key).unwrap_or_default().to_owned();
    let chosen: Vec<RwSignal<String>> = form.columns.iter().map(|guess| RwSignal::new(key(*guess))).collect();
    let heads: Vec<String> =
        form.heads.iter().enumerate().map(|(place, head)| words::heading(head, form.example(place))).collect();
    let columns = chosen.clone();
    let form = StoredValue::new(form);
    let found = Memo::new(move |_| {
        let of = |key: String| Column::of(what).iter().copied().find(|column| words::column_key(*column) == key);
        form.update_value(|form| form.columns = columns.iter().map(|key| of(key.get())).collect());
        barn.read(|book| form.with_value(|form| form.read(book, clock::now())))
    });
    let options: Vec<(String, String)> = std::iter::once((String::new(), words::LEAVE_OUT.to_owned()))
        .chain(
            Column::of(what)
                .iter()
                .map(|column| (words::column_key(*column).to_owned(), words::column(*column).to_owned())),
        )
        .collect();
    let bring = move |_| {
        let found = found.get_untracked();
        let said = words::brought_in(found.good.len());
        let acts = found.acts().into_iter().map(|part| Box::new(part) as Box<dyn Act>).collect();
        let to = if what == SheetOf::Animals { Page::Animals } else { Page::Boxes };
        barn.save_as_one(acts, said, move |_| to.replace());
    };
    view! {
        <h2>{words::COLUMNS}</h2>
        {heads.into_iter().zip(chosen).map(|(label, value)| {
            let options = options.clone();
            view! { <Pick label options=Signal::stored(options) value /> }
        }).collect_view()}
        {move || {
            let SheetFound { good, bad } = found.get();
            let (good, all_bad) = (good.len(), bad.len());
            let more = all_bad.saturating_sub(SHOWN);
            view! {
                <p role="status">{words::found(good, all_bad)}</p>
                <ul class="lines">{bad.into_iter().take(SHOWN).map(|(row, why)| view! {
                    <li class="warn">{words::bad_row(row, &why)}</li>
                }).collect_view()}</ul>
                {(more > 0).then(|| view! { <p class="aside">{words::more(more)}</p> })}
                <div class="acts"><button type="button" class="act main" disabled=good == 0 on:click=bring>{words::bring(good)}</button></div>
            }
        }}
    }
}
