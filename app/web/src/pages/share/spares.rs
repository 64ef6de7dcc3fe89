//! Spare copies: whether they are made, which there are, and getting one back.

use crate::store::barn;
use crate::ui::files::give_parts;
use crate::words::share as words;
use js_sys::Array;
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn SpareCopies() -> impl IntoView {
    let barn = barn();
    let wanted = RwSignal::new(barn.spares_wanted());
    let want = move |ev| {
        wanted.set(event_target_checked(&ev));
        barn.want_spares(wanted.get_untracked());
    };
    let open = move |ev: leptos::ev::Event| {
        let details: web_sys::Element = event_target(&ev);
        if details.has_attribute("open") {
            barn.ask_spares();
        }
    };
    view! {
        <details class="card" on:toggle=open>
            <summary>{words::SPARES}</summary>
            <p>{words::SPARES_SAID}</p>
            <p>{words::SPARES_KEY}</p>
            // It counts at once.
            <label class="gap tick" data-now="">
                <input type="checkbox" prop:checked=wanted on:change=want />
                <span>{words::SPARES_WANTED}</span>
            </label>
            <h3>{words::SPARES_SEE}</h3>
            {move || match barn.spare_days() {
                None => ().into_any(),
                Some(days) if days.is_empty() => view! { <p>{words::SPARES_NONE}</p> }.into_any(),
                Some(days) => {
                    let copies = days.into_iter().rev().map(|day| view! { <li><Copy day /></li> });
                    view! { <ul class="lines">{copies.collect_view()}</ul> }.into_any()
                }
            }}
        </details>
    }
}

#[component]
fn Copy(day: String) -> impl IntoView {
    let barn = barn();
    let busy = RwSignal::new(false);
    let label = words::save_copy(&day);
    let save = move |_| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        let day = day.clone();
        spawn_local(async move {
            match barn.spare(day.clone()).await {
                Some(file) => {
                    let saved = give_parts(&Array::of1(&file), &format!("barn-{day}.zip"), "application/zip").await;
                    match saved {
                        Ok(()) => barn.say(words::SPARE_OPEN.to_owned(), None),
                        Err(_) => barn.amiss(words::SPARE_FAILED.to_owned()),
                    }
                }
                None => barn.amiss(words::SPARE_FAILED.to_owned()),
            }
            let _ = busy.try_set(false);
        });
    };
    view! { <button type="button" class="act small" disabled=busy on:click=save>{label}</button> }
}
