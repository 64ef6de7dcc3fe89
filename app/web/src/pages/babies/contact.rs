//! Somebody outside the barn. The records hold a mark and a digest; the details stay on this device unless sent.

use super::wishes::WishForm;
use crate::clock;
use crate::route::Page;
use crate::store::{Details, barn};
use crate::ui::forms::TextField;
use crate::ui::{Empty, Head};
use crate::words::{self, babies as said, dates};
use book::ContactId;
use book::acts::ContactKept;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A page whose record is not here.
pub fn nobody(text: &'static str, to: Page, told: &'static str) -> AnyView {
    view! { <div class="page"><Empty text=text><a class="act main" href=to.href()>{told}</a></Empty></div> }.into_any()
}

/// The name beside the mark, once it has been looked up: `P-007 · R. Marsh`.
pub fn named(contact: &ContactId) -> Signal<String> {
    let barn = barn();
    let name = RwSignal::new(String::new());
    let id = contact.clone();
    let digest = barn.peek(|book| book.contact(contact).and_then(|c| c.digest.clone()));
    if let Some(digest) = digest {
        spawn_local(async move {
            if let Some(details) = barn.person(&digest).await {
                name.try_set(details.name);
            }
        });
    }
    Signal::derive(move || said::contact(&barn.read(|book| book.contact_mark(&id)), &name.get()))
}

#[component]
pub fn ContactPage(id: String) -> impl IntoView {
    let barn = barn();
    let contact = ContactId::new(id);
    let Some(record) = barn.peek(|book| book.contact(&contact).cloned()) else {
        return nobody(said::NO_CONTACT, Page::Wishes, said::WISHES);
    };
    let (name, reach, note) =
        (RwSignal::new(String::new()), RwSignal::new(String::new()), RwSignal::new(String::new()));
    let missing = RwSignal::new(false);
    let digest = RwSignal::new(record.digest.clone());
    let mark = RwSignal::new(record.mark.clone().unwrap_or_default());
    if let Some(kept) = record.digest.clone() {
        spawn_local(async move {
            match barn.person(&kept).await {
                Some(details) => {
                    name.try_set(details.name);
                    reach.try_set(details.reach);
                    note.try_set(details.note);
                }
                None => drop(missing.try_set(true)),
            }
        });
    }
    let save = {
        let contact = contact.clone();
        move |_| {
            let details =
                Details { name: name.get_untracked(), reach: reach.get_untracked(), note: note.get_untracked() };
            let (contact, mark) = (contact.clone(), mark.get_untracked());
            let before = digest.get_untracked();
            spawn_local(async move {
                match barn.keep_person(&details).await {
                    Ok(kept) => {
                        let act = ContactKept { contact: Some(contact), mark, digest: kept.clone() };
                        barn.save(act, said::CONTACT_SAVED, move |_| {
                            digest.try_set(kept);
                            missing.try_set(false);
                            // What the records no longer name is erased; undo brings back a digest of nothing.
                            if let Some(before) = before {
                                spawn_local(async move { drop(barn.erase_person(&before).await) });
                            }
                        });
                    }
                    Err(trouble) => barn.say(words::trouble::saving(&trouble), None),
                }
            });
        }
    };
    let erase = move |_| {
        let Some(kept) = digest.get_untracked() else { return };
        spawn_local(async move {
            match barn.erase_person(&kept).await {
                Ok(()) => {
                    name.try_set(String::new());
                    reach.try_set(String::new());
                    note.try_set(String::new());
                    missing.try_set(true);
                    barn.say(said::ERASED.into(), None);
                }
                Err(trouble) => barn.say(words::trouble::saving(&trouble), None),
            }
        });
    };
    let today = clock::today();
    let went = barn.peek(|book| {
        let gone = book.went_to(&contact).take(60).map(|animal| {
            let when = animal.went_when.map(|when| dates::when(when, today)).unwrap_or_default();
            (animal.id.to_string(), book.animal_name(&animal.id), said::left(animal.went, &when))
        });
        gone.collect::<Vec<_>>()
    });
    view! {
        <div class="page with-acts">
            <Head title=said::contact(&record.mark.unwrap_or_default(), "") back=(Page::Wishes, said::WISHES.to_owned()) />
            {move || missing.get().then(|| view! { <p class="card">{said::DETAILS_ELSEWHERE}</p> })}
            <TextField label=said::MARK value=mark hint=said::MARK_HOW />
            <TextField label=said::NAME value=name />
            <TextField label=said::REACH value=reach />
            <TextField label=said::NOTE value=note />
            <p class="aside">{said::DETAILS_HOW}</p>
            <div class="gap">{move || digest.get().is_some().then(|| view! {
                <button type="button" class="act small bad" on:click=erase>{said::ERASE}</button>
            })}</div>
            <h2>{said::A_WISH}</h2>
            <WishForm contact=contact.to_string() />
            {(!went.is_empty()).then(|| view! { <h2>{said::WENT_TO}</h2> })}
            {went.into_iter().map(|(id, name, when)| view! {
                <a class="row" href=Page::Animal(id).href()><span class="text"><span class="title">{name}</span><span class="aside">{when}</span></span></a>
            }).collect_view()}
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
    .into_any()
}
