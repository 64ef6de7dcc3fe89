//! A place's own settings, folded away at the foot of its page.

use crate::prefs::units;
use crate::store::barn;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::words::{self as all_words, names, places as words};
use book::acts::PlaceCard;
use book::words::PlaceWhat;
use book::{Book, PlaceId};
use desk::forms::places::PlaceEditForm;
use leptos::prelude::*;

/// Where a place of this kind can be.
pub(super) fn outer_options(book: &Book, own: Option<&PlaceId>) -> Vec<(String, String)> {
    let fit = book.places().into_iter().filter(|place| {
        let holds = matches!(place.what, Some(PlaceWhat::Room | PlaceWhat::Rack | PlaceWhat::Incubator));
        let in_own = own.is_some_and(|own| book.path(&place.id).iter().any(|outer| outer.id == *own));
        holds && !place.closed && !in_own
    });
    let fit = fit.map(|place| (place.id.to_string(), words::path(&book.path(&place.id))));
    std::iter::once((String::new(), words::NOWHERE.to_owned())).chain(fit).collect()
}

/// Who may look after a place; the first choice is nobody.
fn keepers(book: &Book) -> Vec<(String, String)> {
    let nobody = (String::new(), words::NOBODYS.to_owned());
    let named = book.people().into_iter().filter(|person| person.name.is_some());
    let named = named.map(|person| (person.id.to_string(), names::person(book, person.id.as_str())));
    std::iter::once(nobody).chain(named).collect()
}

#[component]
pub fn Edit(id: PlaceId) -> impl IntoView {
    let barn = barn();
    let Some(card) = barn.peek(|book| PlaceCard::of(book, &id)) else { return ().into_any() };
    let heats = matches!(card.what, PlaceWhat::Incubator | PlaceWhat::Shelf | PlaceWhat::Room);
    let start = PlaceEditForm::new(card, units());
    let (name, closed) = (RwSignal::new(start.name.clone()), RwSignal::new(start.closed));
    let (within, keeper) = (RwSignal::new(start.within.clone()), RwSignal::new(start.keeper.clone()));
    let (offset, faults) = (RwSignal::new(start.offset.clone()), Faults::new());
    let keepers = barn.peek(keepers);
    let own = id.clone();
    let options = Signal::derive(move || barn.read(|book| outer_options(book, Some(&own))));
    let start = RwSignal::new(start);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let form = PlaceEditForm {
            name: name.get_untracked(),
            within: within.get_untracked(),
            offset: offset.get_untracked(),
            closed: closed.get_untracked(),
            keeper: keeper.get_untracked(),
            ..start.get_untracked()
        };
        // As it stands by now: the page's other forms, and other devices, write the same record.
        let Some(now) = barn.peek(|book| PlaceCard::of(book, &id)) else { return };
        let Some(act) = faults.pass(form.act(id.clone(), &now, units())) else { return };
        let stands = PlaceEditForm { before: act.card.clone(), ..form };
        barn.save(act, words::SAVED, move |_| {
            let offset_stands = PlaceEditForm::new(stands.before.clone(), units()).offset;
            let _ = (offset.try_set(offset_stands), start.try_set(stands));
        });
    };
    let use_options = vec![(false, words::IN_USE.to_owned()), (true, words::NO_LONGER.to_owned())];
    view! {
        <details>
            <summary>{words::EDIT}</summary>
            <form novalidate on:submit=save>
                <TextField label=words::NAME value=name />
                <Pick label=words::WITHIN options value=within />
                {heats.then(|| view! { <Quantity entry=offset hint=words::OFFSET_HINT faults /> })}
                {(keepers.len() > 1).then(|| view! { <Pick label=words::KEEPER options=Signal::stored(keepers) value=keeper /> })}
                <Choice label=words::NOT_IN_USE options=use_options value=closed />
                <button type="submit" class="act main">{all_words::SAVE}</button>
            </form>
        </details>
    }
    .into_any()
}
