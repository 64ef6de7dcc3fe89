//! A spreadsheet brought in: choose it, say what its columns are, see what comes of each row, bring the good ones in.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::{Running, barn, cancel, mint};
use crate::ui::Head;
use crate::ui::forms::{Choice, Pick};
use crate::words::{bundles, sheets as words};
use book::acts::{Act, Column, SheetBroughtIn, SheetOf, SheetRow, read_sheet};
use journal::{Draft, Ref};
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
                (!rows.is_empty()).then(|| view! { <Match rows what /> })
            }}
        </div>
    }
}

/// Which column is what, and what comes of the rows.
#[component]
fn Match(rows: Vec<Vec<String>>, what: SheetOf) -> impl IntoView {
    let barn = barn();
    let mut rows = rows.into_iter();
    let heads = rows.next().unwrap_or_default();
    let rows = StoredValue::new(rows.collect::<Vec<_>>());
    let guessed: Vec<RwSignal<String>> = heads
        .iter()
        .map(|head| RwSignal::new(Column::guess(what, head).map(words::column_key).unwrap_or_default().to_owned()))
        .collect();
    let chosen = guessed.clone();
    let columns = move || -> Vec<Option<Column>> {
        let of = |key: String| Column::of(what).iter().copied().find(|column| words::column_key(*column) == key);
        chosen.iter().map(|key| of(key.get())).collect()
    };
    let columns = StoredValue::new(columns);
    let read = Memo::new(move |_| {
        let columns = columns.with_value(|columns| columns());
        let now = clock::now();
        barn.read(|book| rows.with_value(|rows| read_sheet(book, what, &columns, rows, now)))
    });
    let options: Vec<(String, String)> = std::iter::once((String::new(), words::LEAVE_OUT.to_owned()))
        .chain(
            Column::of(what)
                .iter()
                .map(|column| (words::column_key(*column).to_owned(), words::column(*column).to_owned())),
        )
        .collect();
    let bring = move |_| {
        let good: Vec<SheetRow> = read.get_untracked().into_iter().flatten().collect();
        spawn_local(async move {
            let total = good.len();
            match barn.save_each(SheetBroughtIn::parts(good)).await {
                Ok(first) => {
                    barn.say(words::brought_in(total), first);
                    let to = if what == SheetOf::Animals { Page::Animals } else { Page::Boxes };
                    to.replace();
                }
                // What is in already stays, and can be undone in one go.
                Err((said, first)) => barn.say(said, first),
            }
        });
    };
    let first = rows.with_value(|rows| rows.first().cloned().unwrap_or_default());
    view! {
        <h2>{words::COLUMNS}</h2>
        {heads.into_iter().zip(guessed).enumerate().map(|(place, (head, value))| {
            let example = first.get(place).cloned().unwrap_or_default();
            let options = options.clone();
            view! { <Pick label=words::heading(&head, &example) options=Signal::stored(options) value /> }
        }).collect_view()}
        {move || {
            let read = read.get();
            let good = read.iter().filter(|row| row.is_ok()).count();
            let bad: Vec<(usize, String)> = read
                .into_iter()
                .enumerate()
                // Counted as the spreadsheet does, the headings being row 1.
                .filter_map(|(place, row)| row.err().map(|why| (place + 2, why)))
                .collect();
            let more = bad.len().saturating_sub(SHOWN);
            view! {
                <p role="status">{words::found(good, bad.len())}</p>
                <ul class="lines">{bad.into_iter().take(SHOWN).map(|(row, why)| view! {
                    <li class="warn">{words::bad_row(row, &why)}</li>
                }).collect_view()}</ul>
                {(more > 0).then(|| view! { <p class="aside">{words::more(more)}</p> })}
                <div class="acts"><button type="button" class="act main" disabled=good == 0 on:click=bring>{words::bring(good)}</button></div>
            }
        }}
    }
}

impl crate::store::Barn {
    /// Saves several acts one after another as one deed, which one undo takes back; stops at the first that fails. Gives
    /// the first one's reference.
    async fn save_each(&self, acts: Vec<SheetBroughtIn>) -> Result<Option<Ref>, (String, Option<Ref>)> {
        let mut first = None;
        for act in acts {
            let draft = self
                .peek(|book| act.draft(book, clock::now(), &mut mint))
                .map_err(|refusal| (refusal.told(&crate::prefs::units()), first))?;
            let saved = self.append(Draft { with: first, ..draft }).await;
            let saved = saved.map_err(|why| (crate::words::trouble::saving(&why), first))?;
            first.get_or_insert(saved);
        }
        Ok(first)
    }
}
