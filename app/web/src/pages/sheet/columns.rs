//! What each column of the sheet is.

use super::Held;
use crate::ui::forms::Pick;
use crate::words::sheets as words;
use desk::sheet::Column;
use leptos::prelude::*;

#[component]
pub fn Columns(held: Held) -> impl IntoView {
    let form = held.form;
    let (what, chosen, labels) = form.with_untracked(|form| {
        let key = |column: Option<Column>| column.map(Column::key).unwrap_or_default().to_owned();
        let chosen: Vec<RwSignal<String>> = form.columns.iter().map(|guess| RwSignal::new(key(*guess))).collect();
        let label = |(place, head): (usize, &String)| words::heading(head, form.example(place));
        (form.what, chosen, form.heads.iter().enumerate().map(label).collect::<Vec<String>>())
    });
    let all = Column::of(what);
    let named = all.iter().map(|column| (column.key().to_owned(), words::column(*column).to_owned()));
    let options: Vec<(String, String)> =
        std::iter::once((String::new(), words::LEAVE_OUT.to_owned())).chain(named).collect();
    let columns = chosen.clone();
    Effect::new(move |before: Option<Vec<Option<Column>>>| {
        let of = |key: String| all.iter().copied().find(|column| column.key() == key);
        let now: Vec<Option<Column>> = columns.iter().map(|key| of(key.get())).collect();
        if before.is_some_and(|before| before != now) {
            form.update(|form| form.columns.clone_from(&now));
        }
        now
    });
    // Looked at only where something is not known: on a phone they fill a screen or two.
    let known = form.with_untracked(|form| form.columns.iter().all(Option::is_some));
    let summary = move || form.with(|form| words::columns(form.columns.iter().flatten().count(), form.columns.len()));
    view! {
        <details open=!known>
            <summary>{summary}</summary>
            <div class="columns">
                {labels.into_iter().zip(chosen).map(|(label, value)| {
                    view! { <Pick label options=Signal::stored(options.clone()) value /> }
                }).collect_view()}
            </div>
            <p class="aside">{words::COLUMNS_HOW}</p>
        </details>
    }
}
