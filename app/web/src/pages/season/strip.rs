//! Every box of the season from laying to its hatch window, soonest first.

use crate::clock;
use crate::pages::boxes::strip;
use crate::store::barn;
use crate::ui::Strip;
use crate::words::heat as said;
use book::views::box_rows;
use leptos::prelude::*;

/// Rows drawn; a barn with more boxes looks at the soonest.
const MOST: usize = 120;

#[component]
pub fn SeasonStrip() -> impl IntoView {
    let barn = barn();
    move || {
        let rows = barn.read(|book| strip(&box_rows(book, clock::now()), MOST));
        view! {
            <h2>{said::STRIP_TITLE}</h2>
            {if rows.is_empty() {
                view! { <p class="card quiet">{said::NO_STRIP}</p> }.into_any()
            } else {
                view! { <section class="card"><Strip rows today=clock::today() /></section> }.into_any()
            }}
        }
    }
}
