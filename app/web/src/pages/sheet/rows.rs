//! What comes of each row, before anything is saved: what does not come in first.

use super::Held;
use crate::prefs::prefs;
use crate::store::barn;
use crate::ui::Paged;
use crate::words::sheets as words;
use desk::sheet::{Comes, RowFound, SheetFound};
use leptos::prelude::*;

#[component]
pub fn Rows(held: Held) -> impl IntoView {
    view! {
        <Lot held title=words::BAD_ROWS name="bad-rows" of=|row| matches!(row.comes, Comes::Bad(_)) bad=true />
        <Lot held title=words::GOOD_ROWS name="good-rows" of=|row| matches!(row.comes, Comes::New(_) | Comes::Changes(..)) bad=false />
        <Lot held title=words::OTHER_ROWS name="other-rows" of=|row| matches!(row.comes, Comes::Here | Comes::LeftOut) bad=false />
    }
}

/// Rows of one lot, by their turn in the sheet.
#[component]
fn Lot(held: Held, title: &'static str, name: &'static str, of: fn(&RowFound) -> bool, bad: bool) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let turns = Memo::new(move |_| {
        let all =
            |found: &SheetFound| (0..found.rows.len()).filter(|turn| of(&found.rows[*turn])).collect::<Vec<usize>>();
        held.found.with(|found| all(found))
    });
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = held.found.with(|found| {
            let row = |turn: &usize| {
                let row = &found.rows[*turn];
                let said = barn.peek(|book| words::comes(row, &found.rows, book, &prefs.get()));
                view! { <li class:warn=bad><b>{words::row(row)}</b>" "{said}</li> }
            };
            turns.with(|turns| turns.get(from..to).unwrap_or_default().iter().map(row).collect_view())
        });
        view! { <ul class="lines">{rows}</ul> }.into_any()
    });
    let total = Signal::derive(move || turns.with(Vec::len));
    move || {
        (total.get() > 0).then(|| {
            view! {
                <h2>{title}</h2>
                <Paged name total show />
            }
        })
    }
}
