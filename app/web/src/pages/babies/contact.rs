//! Somebody outside the barn. The records hold a mark and a digest; the details stay on this device unless sent.

use super::wishes::{Wish, WishFields};
use crate::clock;
use crate::pages::boxes::Lines;
use crate::route::Page;
use crate::store::{Details, Kept, barn};
use crate::trail;
use crate::ui::forms::{Faults, TextField};
use crate::ui::{Empty, Head, Unlock};
use crate::words::{self, babies as said, dates, lost, money, people, promises};
use book::ContactId;
use book::acts::{Act, ContactKept};
use book::views::owed_by;
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
        // Again when they are locked or unlocked.
        Effect::new(move |_| {
            barn.shut.track();
            let digest = digest.clone();
            spawn_local(async move {
                name.try_set(barn.person(&digest).await.unwrap_or_default().name);
            });
        });
    }
    Signal::derive(move || people::contact(&barn.read(|book| book.contact_mark(&id)), &name.get()))
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
    // What there is to say where no details are shown though the records name some.
    let lacking = RwSignal::new(None::<&'static str>);
    // They are here and locked: nothing can be typed in place of what cannot be seen.
    let hidden = RwSignal::new(false);
    // Not kept as a draft before the details stand in the fields, or under a passphrase (`public/draft.js`).
    let locked = RwSignal::new(true);
    let erasable = RwSignal::new(false);
    let asked = RwSignal::new(false);
    // As saved, whatever is being typed.
    let saved_name = RwSignal::new(String::new());
    let saved = RwSignal::new(Details::default());
    let (wish, faults) = (Wish::new(contact.clone()), Faults::new());
    let mark = RwSignal::new(String::new());
    let stands = {
        let contact = contact.clone();
        Memo::new(move |_| {
            barn.read(|book| {
                let record = book.contact(&contact);
                let digest = record.and_then(|record| record.digest.clone());
                let erased = digest.as_ref().is_some_and(|digest| book.is_erased(digest));
                (record.and_then(|record| record.mark.clone()).unwrap_or_default(), digest, erased)
            })
        })
    };
    let look_back = {
        let contact = contact.clone();
        move || {
            let contact = contact.clone();
            spawn_local(async move {
                let versions = barn.versions(&contact).await;
                let _ = erasable.try_set(versions.is_ok_and(|versions| !versions.is_empty()));
            });
        }
    };
    // Again after a save, an undo, an erasing, and when details are locked or unlocked: only then, so that nothing typed meanwhile is lost.
    Effect::new({
        let look_back = look_back.clone();
        move |before: Option<(String, Option<String>, bool)>| {
            let now = stands.get();
            barn.shut.track();
            let (stands_mark, digest, erased) = now.clone();
            if digest.is_none() && before.as_ref() == Some(&now) {
                return now;
            }
            mark.set(stands_mark);
            look_back();
            spawn_local(async move {
                let details = match &digest {
                    Some(digest) => barn.person(digest).await,
                    None => Some(Details::default()),
                };
                let said = match (erased, barn.shut.try_get_untracked()) {
                    (true, _) => Some(people::DETAILS_ERASED),
                    // A card of its own says so.
                    (false, Some(true)) => None,
                    (false, _) => Some(people::DETAILS_ELSEWHERE),
                };
                let _ = lacking.try_set(said.filter(|_| details.is_none()));
                let _ = hidden.try_set(details.is_none() && said.is_none());
                let details = details.unwrap_or_default();
                saved_name.try_set(details.name.clone());
                saved.try_set(details.clone());
                name.try_set(details.name);
                reach.try_set(details.reach);
                note.try_set(details.note);
                let plain = matches!(barn.people_kept().await, Ok(Kept::Plain));
                let _ = locked.try_set(!plain);
            });
            now
        }
    });
    let save = {
        let contact = contact.clone();
        move |_| {
            let details =
                Details { name: name.get_untracked(), reach: reach.get_untracked(), note: note.get_untracked() };
            let (contact, mark) = (contact.clone(), mark.get_untracked());
            let (mark_before, before, _) = stands.get_untracked();
            // What is typed as a wish is saved with the person, and alone where nothing else was typed.
            let Some(wished) = faults.pass(wish.get().act_if_any()) else { return };
            let same = mark == mark_before && saved.with_untracked(|saved| *saved == details);
            let wished = match wished {
                Some(act) if same => return barn.save(act, said::WISH_SAVED, move |_| wish.clear()),
                wished => wished,
            };
            spawn_local(async move {
                match barn.keep_person(&details, before).await {
                    // What stood before stays here, so that undo brings it back.
                    Ok(digest) => {
                        let kept = ContactKept { contact: Some(contact), mark, digest };
                        match wished {
                            None => barn.save(kept, said::CONTACT_SAVED, |_| ()),
                            Some(act) => {
                                let both: Vec<Box<dyn Act>> = vec![Box::new(kept), Box::new(act)];
                                barn.save_as_one(both, said::BOTH_SAVED, move |_| wish.clear());
                            }
                        }
                    }
                    Err(trouble) => barn.amiss(words::trouble::saving(&trouble)),
                }
            });
        }
    };
    let erase = {
        let contact = contact.clone();
        move || {
            asked.set(false);
            let (contact, look_back) = (contact.clone(), look_back.clone());
            spawn_local(async move {
                let told = barn.erase_for_good(&contact).await;
                trail::erased();
                barn.say(told.map_or_else(|why| why, |()| people::ERASED.to_owned()), None);
                look_back();
            });
        }
    };
    let who = move || people::erase_sure(&people::contact(&stands.get().0, &saved_name.get()));
    let today = clock::today();
    let went = barn.peek(|book| {
        let gone = book.went_to(&contact).take(60).map(|animal| {
            let when = animal.went_when.map(|when| dates::when(when, today)).unwrap_or_default();
            let told = [Some(said::left(animal.went, &when)), animal.went_price.clone()].into_iter().flatten();
            (animal.id.to_string(), book.animal_name(&animal.id), told.collect::<Vec<_>>().join(" · "))
        });
        gone.collect::<Vec<_>>()
    });
    let promised = contact.clone();
    let owed = Memo::new(move |_| barn.read(|book| owed_by(book, &promised)));
    let wished = contact.clone();
    let before = move || {
        barn.read(|book| {
            let wishes = promises::wishes(book, book.wishes_of(&wished), today);
            (wishes, promises::holds(book, book.held_for(&wished), today))
        })
    };
    view! {
        <div class="page with-acts">
            <Head title=people::contact(&record.mark.unwrap_or_default(), "") back=(Page::Wishes, said::WISHES.to_owned()) />
            {move || lacking.get().map(|said| view! { <p class="card">{said}</p> })}
            <TextField label=said::MARK value=mark hint=said::MARK_HOW />
            <Unlock said=lost::SHUT_SAID />
            {move || (!hidden.get()).then(|| view! {
                <div data-person=move || if locked.get() { "locked" } else { "" }>
                    <TextField label=said::NAME value=name />
                    <TextField label=said::REACH value=reach />
                    <TextField label=said::NOTE value=note />
                </div>
            })}
            <p class="aside">{people::DETAILS_HOW}</p>
            {move || erasable.get().then(|| {
                let erase = erase.clone();
                match asked.get() {
                    true => view! {
                        <div class="card stack" role="group" aria-label=people::ERASE>
                            <p class="warn">{who()}</p>
                            <button type="button" class="act small bad" on:click=move |_| erase()>{people::ERASE_NOW}</button>
                            <button type="button" class="act small" on:click=move |_| asked.set(false)>{people::ERASE_NOT}</button>
                        </div>
                    }.into_any(),
                    false => view! {
                        <div class="gap"><button type="button" class="act small bad" on:click=move |_| asked.set(true)>{people::ERASE}</button></div>
                    }.into_any(),
                }
            })}
            {move || {
                let (rows, open) = owed.get();
                (!rows.is_empty()).then(|| view! {
                    <h2>{money::OWED}</h2>
                    <Lines rows=rows.iter().map(|row| (money::owed(row), String::new(), row.hold.thing())).collect() none="" />
                    {(!open.is_empty()).then(|| view! { <p class="card"><b>{money::open(&open)}</b></p> })}
                })
            }}
            <h2>{said::A_WISH}</h2>
            <WishFields wish faults />
            {move || {
                let (wishes, holds) = before();
                view! {
                    {(!wishes.is_empty()).then(|| view! { <h2>{promises::WISHES_BEFORE}</h2><Lines rows=wishes none="" /> })}
                    {(!holds.is_empty()).then(|| view! { <h2>{promises::HELD_BEFORE}</h2><Lines rows=holds none="" /> })}
                }
            }}
            {(!went.is_empty()).then(|| view! { <h2>{said::WENT_TO}</h2> })}
            {went.into_iter().map(|(id, name, when)| view! {
                <a class="row" href=Page::Animal(id).href()><span class="text"><span class="title">{name}</span><span class="aside">{when}</span></span></a>
            }).collect_view()}
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
    .into_any()
}
