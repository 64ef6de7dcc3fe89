//! Candle a box: every egg starts as last time; choose what is seen, tap or draw over the eggs it is true of.

use super::draw;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::trail;
use crate::ui::day::{Seen as SeenWhen, WhenFold};
use crate::ui::forms::TextField;
use crate::ui::{Head, Tray};
use crate::words::{boxes as said, eggs, names};
use book::acts::BoxCandled;
use book::words::Seen;
use book::{EggId, FillingId};
use leptos::prelude::*;
use std::collections::BTreeMap;

#[component]
pub fn Candle(id: FillingId) -> impl IntoView {
    let barn = barn();
    // Many taps: they stand again as what is typed does.
    let kept = trail::kept("candled");
    let changes = RwSignal::new(kept.with_untracked(|text| read(text)));
    let brush = RwSignal::new(None::<Seen>);
    let chosen = RwSignal::new(None::<String>);
    let note = RwSignal::new(String::new());
    let note_open = RwSignal::new(false);
    let seen = SeenWhen::now();

    let first =
        barn.peek(|book| book.never_candled(&id) && book.untouched(&id).into_values().all(|seen| seen == Seen::Unsure));

    let tray_id = id.clone();
    let tray = Signal::derive(move || {
        let changes = changes.get();
        barn.read(|book| draw::in_places(book, &tray_id, |egg| changes.get(&egg.id).copied()))
    });
    let set = move |egg: &str, seen: Seen| {
        changes.update(|c| {
            c.insert(EggId::from(egg), seen);
        });
        kept.set(changes.with_untracked(written));
    };
    // Either way round: what is seen first and then its eggs, or one egg first and then what is seen.
    let on_egg = Callback::new(move |egg: String| match brush.get_untracked() {
        Some(seen) => set(&egg, seen),
        None => chosen.update(|c| *c = (c.as_ref() != Some(&egg)).then_some(egg)),
    });
    let on_state = move |seen: Seen| match chosen.get_untracked() {
        Some(egg) => {
            set(&egg, seen);
            chosen.set(None);
        }
        None => brush.update(|b| *b = (*b != Some(seen)).then_some(seen)),
    };
    let back = Page::Box(id.to_string());
    let save_id = id.clone();
    let save_back = back.clone();
    let save = move |_| {
        let Some(when) = seen.get() else { return };
        let told = changes.get_untracked();
        let sentence =
            if first && told.is_empty() { said::CANDLED_UNSURE.to_owned() } else { said::candled(told.len()) };
        let act =
            BoxCandled { filling: save_id.clone(), when, changes: told, note: note.get_untracked().trim().to_owned() };
        let back = save_back.clone();
        barn.save(act, sentence, move |_| {
            let _ = kept.try_set(String::new());
            back.replace();
        });
    };
    let name = barn.peek(|book| names::filling(book, &id));
    view! {
        <div class="page alone">
            <Head title=said::CANDLE_TITLE.to_string() aside=name.clone() back=(back, name) />
            <p class="aside">{if first { said::CANDLE_FIRST_HOW } else { said::CANDLE_HOW }}</p>
            <div class="card"><Tray eggs=tray on_egg paint=Signal::derive(move || brush.get().is_some()) chosen /></div>
            <div class="chips" role="group" aria-label=said::SEEN_AS>
                {Seen::ALL.iter().map(|&seen| view! {
                    <button type="button" class="chip" aria-pressed=move || (brush.get() == Some(seen)).to_string()
                        on:click=move |_| on_state(seen)>{eggs::seen(seen)}</button>
                }).collect_view()}
            </div>
            {move || if note_open.get() {
                view! { <TextField label=said::NOTE value=note /> }.into_any()
            } else {
                view! { <button type="button" class="act small add-note" data-opens="" on:click=move |_| note_open.set(true)>{said::ADD_NOTE}</button> }.into_any()
            }}
            <WhenFold seen />
            <div class="acts">
                <button type="button" class="act main" on:click=save>{move || match changes.with(BTreeMap::len) {
                    0 if first => said::SAVE_UNSURE.to_string(),
                    0 => said::SAVE_AS_LAST_TIME.to_string(),
                    n => said::save_changes(n),
                }}</button>
            </div>
        </div>
    }
}

/// What was seen of eggs, as one text: `K3QX2M97=clear …`.
fn written(changes: &BTreeMap<EggId, Seen>) -> String {
    changes.iter().map(|(egg, seen)| [egg.as_str(), "=", seen.word()].concat()).collect::<Vec<_>>().join(" ")
}

/// Reads [`written`]; what this version does not know is left out.
fn read(text: &str) -> BTreeMap<EggId, Seen> {
    let each = text.split(' ').filter_map(|one| one.split_once('='));
    each.filter_map(|(egg, seen)| Some((EggId::from(egg), Seen::of(seen)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::{read, written};
    use book::EggId;
    use book::words::Seen;

    #[test]
    fn what_was_seen_of_eggs_is_read_as_it_was_written() {
        let all = Seen::ALL.iter().enumerate().map(|(n, &seen)| (EggId::from(format!("K3QX2M9{n}").as_str()), seen));
        let all = all.collect::<std::collections::BTreeMap<_, _>>();
        assert_eq!(read(&written(&all)), all);
        assert_eq!(read("K3QX2M97=purple K3QX2M97 =veins").len(), 1, "only what is known is read");
        assert!(read("").is_empty());
    }
}
