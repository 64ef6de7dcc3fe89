//! A wish, and what is held for whom, put right.

use super::forms::{At, End, boxed, form, now};
use crate::pages::babies::{either_sex, people};
use crate::ui::day::{DateField, MomentField};
use crate::ui::forms::{Choice, Pick, Stepper, TextField};
use crate::words::{animals as animal_words, babies as said, names, promises as words};
use book::acts::{HoldEdited, WishEdited};
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
    let start = HoldForm::new(at.barn.peek(|book| HoldEdited::of(book, &at.id.as_str().into(), at.today))?);
    let [contact, until, price, note] =
        [&start.contact, &start.until, &start.price, &start.note].map(|text| RwSignal::new(text.clone()));
    let end = End::new(start.before.ended);
    let fields = view! {
        <Pick label=words::FOR_WHOM options=Signal::derive(people) value=contact />
        <DateField label=said::HELD_UNTIL value=until faults=at.faults />
        <TextField label=said::PRICE value=price hint=said::PRICE_HOW />
        <TextField label=said::NOTE value=note />
        <MomentField label=words::NOTED moment=at.moment />
        {end.field(words::ENDED)}
    };
    form(at, fields.into_any(), move |at, when| {
        let form = HoldForm {
            contact: contact.get_untracked(),
            until: until.get_untracked(),
            price: price.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        let built = form.act(said::HELD_UNTIL, (when, end.get()?), &now!(at, HoldEdited, start.before));
        boxed(at.faults.pass(built)?)
    })
}
