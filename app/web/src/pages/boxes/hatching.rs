//! Pipped and out: each tap on an egg is saved at once. When it happened lies between the last look into the
//! box and now, and is kept as that.

use super::draw;
use crate::clock;
use crate::route::{BoxAct, Page};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, TextField};
use crate::ui::{Head, Tray};
use crate::words::{self, babies, boxes as said, mother, names};
use book::acts::{EggsCut, EggsOut, EggsPipped};
use book::records::Egg;
use book::views::box_view;
use book::words::{Fate, OpenedAs, Step};
use book::{Book, EggId, FillingId};
use leptos::prelude::*;
use trade::when::When;

/// An egg of the box hatched whose baby is not in the book.
pub fn nameless(book: &Book, filling: &FillingId) -> bool {
    let out = |egg: &&Egg| egg.fate == Some(Fate::Hatched) && book.young_of(&egg.id).next().is_none();
    book.tray(filling).iter().any(out)
}

#[component]
pub fn Hatching(id: FillingId, out: bool) -> impl IntoView {
    let barn = barn();
    let tray_id = id.clone();
    let seen = Seen::now();
    let cut = RwSignal::new(false);
    let opened = RwSignal::new(None::<OpenedAs>);
    let (why, found) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let step = move || match (out, cut.get()) {
        (true, _) => Step::Out,
        (false, true) => Step::Cut,
        (false, false) => Step::Pip,
    };
    let tray = Signal::derive(move || {
        let step = step();
        barn.read(|book| draw::hatching(book, &tray_id, step))
    });
    let on_egg = Callback::new(move |egg: String| {
        // Just now means: between the last look into the box and now.
        let Some(when) = seen.unless_now() else { return };
        let eggs = vec![EggId::from(egg.as_str())];
        let letter = tray.get_untracked().into_iter().find(|e| e.id == egg).map(|e| e.letter).unwrap_or_default();
        if cut.get_untracked() {
            let when = when.unwrap_or_else(|| When::time(clock::now()));
            let (opened, why, seen) = (opened.get_untracked(), why.get_untracked(), found.get_untracked());
            barn.save(EggsCut { eggs, when, opened, why, found: seen }, said::cut(&letter), move |_| {
                // What was seen in one egg says nothing of the next.
                found.try_set(String::new());
            });
        } else if out {
            barn.save(EggsOut { eggs, when, masses: Default::default() }, said::out(&letter), |_| {});
        } else {
            barn.save(EggsPipped { eggs, when }, said::pipped(&letter), |_| {});
        }
    });
    // Which of them pipped can be said once they have letters.
    let uncounted = barn.peek(|book| box_view(book, &id, clock::now())?.nest.filter(|nest| !nest.counted));
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let hatch = Page::BoxAct(id.to_string(), BoxAct::Hatch).href();
    let is_nest = barn.peek(|book| book.is_nest(&id));
    let weigh = Memo::new(move |_| out && barn.read(|book| nameless(book, &id)));
    view! {
        <div class="page alone">
            <Head title=(if out { said::OUT_TITLE } else { said::PIPPED_TITLE }).to_string() back=(back.clone(), name) />
            <p>{if out { said::OUT_HOW } else { said::PIPPED_HOW }}</p>
            {match uncounted {
                Some(nest) => view! {
                    <p class="card">{mother::NOT_COUNTED_LONG}</p>
                    <a class="act main" href=super::taking(&nest).href()>{mother::COUNT}</a>
                }.into_any(),
                None => (move || tray.with(|eggs| eggs.iter().all(|egg| egg.still)).then(|| view! { <p class="card">{if is_nest { mother::NO_EGG_WAITS } else { said::NO_EGG_WAITS }}</p> })).into_any(),
            }}
            <div class="card"><Tray eggs=tray on_egg /></div>
            <WhenFold seen />
            {(!out).then(|| view! {
                <details>
                    <summary>{said::CUT_MORE}</summary>
                    <label class="gap tick"><input type="checkbox" prop:checked=cut on:change=move |ev| cut.set(event_target_checked(&ev)) />{said::CUT_BY_HAND}</label>
                    {move || cut.get().then(|| view! {
                        <Choice label=said::OPENED_HOW options=said::opened_choices() value=opened />
                        <TextField label=said::OPENED_WHY value=why />
                        <TextField label=said::OPENED_FOUND value=found />
                    })}
                </details>
            })}
            <p class="aside">{if out { said::OUT_CARE } else { said::PIP_CARE }}</p>
            {move || weigh.get().then(|| view! { <a class="act" href=hatch.clone()>{babies::HATCH_OUT_LONG}</a> })}
            <div class="acts"><a class="act" href=back.href()>{words::DONE}</a></div>
        </div>
    }
}
