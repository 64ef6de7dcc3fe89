//! An animal promised, kept back, or placed: to whom, when, and for what if anybody wants that written down.

use super::contact::{named, nobody};
use super::wishes::people;
use crate::clock;
use crate::pages::boxes::Lines;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{DateField, Seen, WhenFold};
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::ui::{Caution, Head};
use crate::words::{animals as animal_words, babies as said, dates, money as money_words, names, promises, settings};
use book::acts::HoldEnded;
use book::words::Went;
use book::{AnimalId, Book, ContactId, WishId};
use desk::forms::{PlacingForm, money};
use leptos::prelude::*;

const WAYS: [Went; 4] = [Went::Sold, Went::Given, Went::Traded, Went::Loaned];

#[component]
pub fn Leave(id: String) -> impl IntoView {
    let barn = barn();
    let animal = AnimalId::new(id.clone());
    let Some(record) = barn.peek(|book| book.animal(&animal).cloned()) else {
        return nobody(animal_words::NO_SUCH, Page::Animals, animal_words::TO_LIST);
    };
    let name = barn.peek(|book| names::animal(book, &animal));
    let looked = animal.clone();
    let hold = Memo::new(move |_| barn.read(|book| book.hold_on(&looked).cloned()));
    let known = hold.get_untracked();
    let to = RwSignal::new(known.as_ref().and_then(|h| h.contact.as_ref()).map(|c| c.to_string()).unwrap_or_default());
    let currency = barn.peek(Book::currency);
    // As promised, else as it is offered.
    let asked = || record.asked.map(|asked| asked.to_string());
    let agreed = known.as_ref().and_then(|h| h.price.clone()).or_else(asked).unwrap_or_default();
    let price = RwSignal::new(money::price(&agreed, currency));
    let deposit = RwSignal::new(money::deposit(None, currency));
    let (until, note) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (how, faults) = (RwSignal::new(Went::Sold), Faults::new());
    let day = RwSignal::new(clock::today().to_string());
    // When what is held is let go.
    let seen = Seen::now();
    let kept = animal.clone();
    let before = move || barn.read(|book| promises::holds(book, book.holds_of(&kept), clock::today()));
    let contact = move || Some(to.get_untracked()).filter(|id| !id.is_empty()).map(ContactId::new);
    // Of the wishes of whom it is for, the oldest that its species answers.
    let wish = {
        let species = record.species.clone();
        move |contact: &Option<ContactId>| -> Option<WishId> {
            let contact = contact.as_ref()?;
            barn.peek(|book| book.wish_answered(contact, species.as_ref()))
        }
    };
    let form = {
        let animal = animal.clone();
        move |contact: Option<ContactId>| PlacingForm {
            animal: animal.clone(),
            agreed: agreed.clone(),
            contact,
            until: until.get_untracked(),
            price: price.get_untracked(),
            deposit: deposit.get_untracked(),
            note: note.get_untracked(),
        }
    };
    let held = {
        let form = form.clone();
        move |keep: bool| {
            let contact = if keep { None } else { contact() };
            if !keep && contact.is_none() {
                return barn.amiss(said::NO_ONE_CHOSEN.into());
            }
            let wish = wish(&contact);
            let Some(act) = faults.pass(form(contact).held(said::HELD_UNTIL, wish)) else { return };
            barn.save(act, if keep { said::KEPT_BACK_SAVED } else { said::HELD_SAVED }, |_| {});
        }
    };
    let hold_it = held.clone();
    let place = {
        let animal = animal.clone();
        move |_| {
            let left = day.get_untracked();
            let built = form(contact()).placed((said::LEFT_ON, &left), how.get_untracked(), clock::today());
            let Some(act) = faults.pass(built) else { return };
            let page = Page::Papers(animal.to_string());
            barn.save(act, said::PLACED, move |_| page.replace());
        }
    };
    let here = record.is_here();
    let ways = WAYS.iter().map(|&way| (way, animal_words::capital(animal_words::went(way)))).collect();
    let back = Page::Animal(id.clone());
    view! {
        <div class="page with-acts">
            <Head title=said::leave_title(&name) back=(back, name) />
            {move || hold.get().map(|held| {
                let id = held.id.clone();
                let who = held.contact.as_ref().map(named);
                let until = held.until.map(|day| dates::near(day, clock::today()));
                let paid = held.deposit.map(|paid| view! { <p class="aside">{money_words::capital_deposit(paid)}</p> });
                let fix = Page::Correct("hold".into(), id.to_string()).href();
                let end = move |_| {
                    let Some(when) = seen.get() else { return };
                    barn.save(HoldEnded { hold: id.clone(), when }, said::HOLD_ENDED, |_| {});
                };
                view! {
                    <div class="banner">
                        <p>{move || who.map_or_else(|| said::KEPT_BACK.to_owned(), |who| said::held_for(&who.get(), until.as_deref()))}</p>
                        {paid}
                        <button type="button" class="act small" on:click=end>{said::LET_GO}</button>
                        <a class="reach aside" href=fix>{animal_words::CORRECT}</a>
                        <WhenFold seen />
                    </div>
                }
            })}
            {move || {
                let rows = before();
                (!rows.is_empty()).then(|| view! { <details><summary>{promises::HELD_BEFORE}</summary><Lines rows none="" /></details> })
            }}
            {if here { view! {
                <Pick label=said::TO_WHOM options=Signal::derive(people) value=to />
                <p class="aside"><a class="reach" href=Page::Wishes.href()>{said::ADD_CONTACT}</a></p>
                <Quantity entry=price hint=said::PRICE_HOW faults />
                <TextField label=said::NOTE value=note />
                {move || hold.with(Option::is_none).then(|| {
                    let (hold_it, keep_it) = (hold_it.clone(), held.clone());
                    view! {
                        <h2>{said::PROMISE}</h2>
                        <DateField label=said::HELD_UNTIL value=until faults />
                        {currency.map(|_| view! { <Quantity entry=deposit faults /> })}
                        <div class="gap">
                            <button type="button" class="act" on:click=move |_| hold_it(false)>{said::HOLD_IT}</button>
                            <button type="button" class="act" on:click=move |_| keep_it(true)>{said::KEEP_BACK}</button>
                        </div>
                    }
                })}
                <h2>{said::LEAVES}</h2>
                <Choice label=said::HOW_LEFT options=ways value=how />
                <DateField label=said::LEFT_ON value=day faults />
                <Caution text=settings::CAUTION_PERMITS />
                <div class="acts">
                    <button type="button" class="act main" on:click=place>{said::PLACE}</button>
                    <a class="act" href=Page::Papers(id.clone()).href()>{said::PAPERS}</a>
                </div>
            }.into_any() } else { view! {
                <p class="card">{said::HAS_LEFT}</p>
                <div class="acts"><a class="act main" href=Page::Papers(id.clone()).href()>{said::PAPERS}</a></div>
            }.into_any() }}
        </div>
    }
    .into_any()
}
