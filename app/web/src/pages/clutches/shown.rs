//! The measures of a clutch as its page shows them, against her other clutches and the barn's.

use crate::prefs::prefs;
use crate::route::Page;
use crate::words::measures as words;
use book::ClutchId;
use book::views::Measures;
use leptos::prelude::*;

#[component]
pub fn Measured(id: ClutchId, measures: Measures, pulled: bool) -> impl IntoView {
    let rows = words::rows(&measures, &prefs().get_untracked());
    let compared = measures.hers.is_some() || measures.barn.is_some();
    let (edit, measure) = (Page::ClutchEdit(id.to_string()), Page::Measure(id.to_string()));
    let cautions = words::cautions(&measures);
    view! {
        <h2>{words::TITLE}</h2>
        {(!rows.is_empty()).then(|| view! {
            <div class="card">
                <table class="table">
                    <thead class:unseen=!compared><tr>
                        <th scope="col">{words::WHAT}</th><th scope="col">{words::THIS}</th>
                        <th scope="col">{words::HERS}</th><th scope="col">{words::BARN}</th>
                    </tr></thead>
                    <tbody>
                        {rows.into_iter().map(|row| view! {
                            <tr><th scope="row">{row.what}</th><td>{row.this}</td><td>{row.hers}</td><td>{row.barn}</td></tr>
                        }.into_any()).collect_view()}
                    </tbody>
                </table>
                {cautions.into_iter().map(|said| view! { <p class="aside">{said}</p> }.into_any()).collect_view()}
            </div>
        })}
        <div class="gap">
            {pulled.then(|| view! { <a class="act small" href=measure.href()>{words::MEASURE}</a> })}
            <a class="act small" href=edit.href()>{words::EDIT}</a>
        </div>
    }
}
