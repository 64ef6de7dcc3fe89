//! Everything as spreadsheets, and pictures to be dropped, season by season.

use crate::clock;
use crate::route::Page;
use crate::store::{Running, barn, cancel};
use crate::ui::files;
use crate::words::rounds::act_label;
use crate::words::{bundles as words, sheets as said, trouble};
use book::views::PhotoSeason;
use js_sys::Array;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Takes everything out as CSV, and leads to bringing a sheet in.
#[component]
pub fn Sheets() -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    on_cleanup(move || cancel(running));
    let busy = RwSignal::new(false);
    let out = move |_| {
        busy.set(true);
        spawn_local(async move {
            let made = barn.make_sheets(running).await;
            let _ = busy.try_set(false);
            match made {
                Ok(file) => {
                    let name = said::file_name(clock::today());
                    if files::give_parts(&Array::of1(&file), &name, "application/zip").await.is_err() {
                        barn.say(words::NOT_GIVEN.to_owned(), None);
                    }
                }
                Err(why) => {
                    if let Some(text) = words::failed(&why) {
                        barn.say(text, None);
                    }
                }
            }
        });
    };
    view! {
        <section class="card stack" aria-label=said::TITLE>
            <p>{said::SAID}</p>
            <div class="gap">
                <button type="button" class="act" disabled=busy on:click=out>{said::OUT}</button>
                <a class="act" href=Page::Sheet.href()>{said::IN}</a>
            </div>
        </section>
    }
}

/// Pictures held here by season, each season with a way to free its room.
#[component]
pub fn Pictures() -> impl IntoView {
    let barn = barn();
    let seasons = RwSignal::new(Vec::<(PhotoSeason, Vec<String>)>::new());
    let asked = RwSignal::new(None::<PhotoSeason>);
    let look = move || {
        spawn_local(async move {
            if let Ok(found) = barn.photo_seasons().await {
                let _ = seasons.try_set(found.into_iter().collect());
            }
        });
    };
    look();
    let drop_all = move |hashes: Vec<String>| {
        spawn_local(async move {
            match barn.drop_photos(&hashes).await {
                Ok(()) => barn.say(said::dropped(hashes.len()), None),
                Err(why) => barn.amiss(trouble::saving(&why)),
            }
            let _ = asked.try_set(None);
            look();
        });
    };
    move || {
        let seasons = seasons.get();
        (!seasons.is_empty()).then(|| {
            view! {
                <h2>{said::PICTURES}</h2>
                {seasons.into_iter().map(|(season, hashes)| view! {
                    <div class="row">
                        <span class="text">{said::pictures(season, hashes.len())}</span>
                        {move || if asked.get() == Some(season) {
                            let hashes = hashes.clone();
                            view! {
                                <span class="aside">{said::DROP_SURE}</span>
                                <button type="button" class="act small bad" on:click=move |_| drop_all(hashes.clone())>{said::DROP_NOW}</button>
                            }.into_any()
                        } else {
                            let label = act_label(said::DROP, &said::pictures(season, hashes.len()));
                            view! { <button type="button" class="act small" aria-label=label on:click=move |_| asked.set(Some(season))>{said::DROP}</button> }.into_any()
                        }}
                    </div>
                }).collect_view()}
            }
        })
    }
}
