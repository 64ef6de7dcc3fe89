//! Walking mode: the camera stays open; scan, tap the outcome, next. The last act can be undone from the same screen.

mod acts;
mod stock;

use crate::pages::scan::{Finder, Meant, hit, meant, miss, take_keys};
use crate::route::{Page, Walking};
use crate::store::{Barn, barn};
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::signs::{Mark, sign};
use crate::words::{self, nav, walk as said};
use acts::{Candling, Feeding, Moving, Watering};
use book::Thing;
use book::acts::Act;
use leptos::prelude::*;
use stock::Stock;
use trade::when::When;

/// The walks there are.
#[component]
pub fn Walks() -> impl IntoView {
    view! {
        <div class="page walks">
            <Head title=said::TITLE.to_string() back=(Page::Scan, nav::SCAN.to_string()) />
            <p class="aside">{said::HOW}</p>
            {Walking::ALL.iter().map(|&walk| {
                let (title, aside) = said::what(walk);
                view! {
                    <a class="row" href=Page::Walk(walk).href()>
                        {Mark::on(&Page::Walk(walk)).map(sign)}
                        <span class="text"><span class="title">{title}</span><span class="aside">{aside}</span></span>
                    </a>
                }
            }).collect_view()}
        </div>
    }
}

/// What the panels of a walk share.
#[derive(Clone, Copy)]
pub struct Round {
    barn: Barn,
    /// The thing before the keeper; a new scan replaces it.
    at: RwSignal<Option<Thing>>,
    said: RwSignal<String>,
    /// What the last act said, and the act.
    last: RwSignal<Option<(String, Option<journal::Ref>)>>,
    done: RwSignal<usize>,
    /// When all of it was seen: now, unless paper is typed late.
    seen: Seen,
}

impl Round {
    /// When what is saved now was seen; `None` when another day is meant and none is chosen, which is said at its field.
    fn when(&self) -> Option<When> {
        self.seen.get()
    }

    /// Saves, and is ready for the next scan.
    fn save(&self, act: impl Act + 'static, told: String) {
        self.save_then(act, told, || ());
    }

    /// The same; `then` once it is stored.
    fn save_then(&self, act: impl Act + 'static, told: String, then: impl FnOnce() + 'static) {
        let round = *self;
        let shown = told.clone();
        let before = self.at.get_untracked();
        self.barn.save(act, told, move |_| {
            then();
            // Only now: whoever is asked and looks again finds the box and the reading as they were.
            if round.at.try_get_untracked().is_some_and(|at| at == before) {
                round.at.try_set(None);
                round.said.try_set(said::SCAN_NEXT.into());
            }
            // Told on this screen, beside the camera, with its own undo.
            let undo = round.barn.toast.with_untracked(|t| t.as_ref().and_then(|t| t.undo));
            round.barn.toast.set(None);
            round.last.try_set(Some((shown, undo)));
            round.done.try_update(|n| *n += 1);
        });
    }

    fn known(&self, thing: Thing) {
        hit();
        self.said.set(String::new());
        // The label still before the camera is the same stop: what is typed there stays.
        if self.at.with_untracked(|at| at.as_ref() != Some(&thing)) {
            self.at.set(Some(thing));
        }
    }

    fn refuse(&self, why: impl Into<String>) {
        miss();
        self.said.set(why.into());
    }
}

#[component]
pub fn Walk(what: Walking) -> impl IntoView {
    let barn = barn();
    let round = Round {
        barn,
        at: RwSignal::new(None),
        // The others say themselves how to begin.
        said: RwSignal::new(match what {
            Walking::Move | Walking::Stock => String::new(),
            _ => said::SCAN_FIRST.to_owned(),
        }),
        last: RwSignal::new(None),
        done: RwSignal::new(0),
        seen: Seen::now(),
    };
    let scanned = RwSignal::new(None::<Thing>);
    let on_text = Callback::new(move |text: String| match meant(barn, &text) {
        Err(why) => round.refuse(why),
        Ok(Meant::Elsewhere(_)) => round.refuse(said::NOT_HERE),
        Ok(Meant::Known(thing)) => scanned.set(Some(thing)),
    });
    take_keys(on_text);
    // Stock-taking counts what was seen, not acts.
    let aside = Signal::derive(move || match what {
        Walking::Stock => String::new(),
        _ => said::done(round.done.get()),
    });
    let (title, _) = said::what(what);
    view! {
        <div class="page scan walk">
            <Head title=title.to_string() aside back=(Page::Walks, said::TITLE.to_string()) />
            {match what {
                Walking::Water => view! { <Watering round scanned /> }.into_any(),
                Walking::Candle => view! { <Candling round scanned /> }.into_any(),
                Walking::Meals => view! { <Feeding round scanned /> }.into_any(),
                Walking::Move => view! { <Moving round scanned /> }.into_any(),
                Walking::Stock => view! { <Stock round scanned /> }.into_any(),
            }}
            {move || round.last.get().map(|(told, undo)| view! {
                <div class="card spread last" role="status">
                    <span>{said::last(&told)}</span>
                    {undo.map(|undo| view! {
                        <button type="button" class="act small" on:click=move |_| {
                            barn.undo(undo);
                            round.last.set(None);
                            round.done.update(|n| *n = n.saturating_sub(1));
                        }>{words::UNDO}</button>
                    })}
                </div>
            })}
            <Finder on_text said=round.said />
            <WhenFold seen=round.seen />
        </div>
    }
}
