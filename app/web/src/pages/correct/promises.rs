//! A wish, what is held for whom, and a cost, put right.

use super::forms::{At, End, boxed, form, now};
use crate::pages::babies::{either_sex, people};
use crate::pages::money::kinds;
use crate::ui::day::{DateField, MomentField};
use crate::ui::forms::{Choice, Pick, Quantity, Stepper, TextField};
use crate::words::{animals as animal_words, babies as said, money as money_words, names, promises as words};
use book::Book;
use book::acts::{CostEdited, HoldEdited, WishEdited};
use desk::forms::money::{CostForm, WHAT};
use desk::forms::{HoldForm, WishFixForm, WishForm};
use leptos::prelude::*;

pub(super) fn wish(at: &At) -> Option<AnyView> {
    let barn = at.barn;
    let start = WishFixForm::new(barn.peek(|book| WishEdited::of(book, &at.id.as_str().into(), at.today))?);
    let (species, what) = (RwSignal::new(start.species.clone()), RwSignal::new(start.what.clone()));
    let (sex, count) = (RwSignal::new(start.sex), RwSignal::new(start.count.clone()));
    let end = End::new(start.before.closed);
    let fields = view! {
        <Pick label=animal_words::SPECIES options=Signal::derive(move || barn.read(names::species_choices)) value=species />
        <TextField label=WishForm::WHAT value=what faults=at.faults />
        <Choice label=animal_words::SEX options=either_sex() value=sex />
        <Stepper entry=count faults=at.faults />
        <MomentField label=words::NOTED moment=at.moment />
        {end.field(words::CLOSED)}
    };
    form(at, fields.into_any(), move |at, when| {
        let form = WishFixForm {
            species: species.get_untracked(),
            what: what.get_untracked(),
            sex: sex.get_untracked(),
            count: count.get_untracked(),
            ..start.clone()
        };
        let built = form.act((when, end.get()?), &now!(at, WishEdited, start.before));
        boxed(at.faults.pass(built)?)
    })
}

pub(super) fn hold(at: &At) -> Option<AnyView> {
    let currency = at.barn.peek(Book::currency);
    let start = HoldForm::new(at.barn.peek(|book| HoldEdited::of(book, &at.id.as_str().into(), at.today))?, currency);
    let [contact, until, note] = [&start.contact, &start.until, &start.note].map(|text| RwSignal::new(text.clone()));
    let [price, deposit] = [&start.price, &start.deposit].map(|entry| RwSignal::new(entry.clone()));
    let paid = start.before.deposit.map(|_| ()).or(currency.map(|_| ()));
    let end = End::new(start.before.ended);
    let fields = view! {
        <Pick label=words::FOR_WHOM options=Signal::derive(people) value=contact />
        <DateField label=said::HELD_UNTIL value=until faults=at.faults />
        <Quantity entry=price hint=said::PRICE_HOW faults=at.faults />
        {paid.map(|()| view! { <Quantity entry=deposit faults=at.faults /> })}
        <TextField label=said::NOTE value=note />
        <MomentField label=words::NOTED moment=at.moment />
        {end.field(words::ENDED)}
    };
    form(at, fields.into_any(), move |at, when| {
        let form = HoldForm {
            contact: contact.get_untracked(),
            until: until.get_untracked(),
            price: price.get_untracked(),
            deposit: deposit.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        let built = form.act(said::HELD_UNTIL, (when, end.get()?), &now!(at, HoldEdited, start.before));
        boxed(at.faults.pass(built)?)
    })
}

pub(super) fn cost(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| CostEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = CostForm::new(&before.card, at.barn.peek(Book::currency));
    let [what, note] = [&start.what, &start.note].map(|text| RwSignal::new(text.clone()));
    let amount = RwSignal::new(start.amount.clone());
    let fields = view! {
        <TextField label=WHAT value=what offers=at.barn.peek(kinds) faults=at.faults />
        <Quantity entry=amount faults=at.faults />
        <MomentField label=money_words::SPENT_ON moment=at.moment />
        <TextField label=said::NOTE value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = CostForm { what: what.get_untracked(), amount: amount.get_untracked(), note: note.get_untracked() };
        boxed(at.faults.pass(form.edit(&before, when, &now!(at, CostEdited, before)))?)
    })
}
