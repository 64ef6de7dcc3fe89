//! What is asked once for a column, since its cells do not tell it.

use super::Held;
use crate::clock;
use crate::ui::day::DateField;
use crate::ui::forms::{Choice, Faults, Pick};
use crate::words::{dates, sheets as words};
use chrono::Datelike;
use desk::sheet::{ColumnWay, DayOrder, Question};
use leptos::prelude::*;
use trade::money::Currency;

/// How far back years are offered.
const YEARS: i32 = 30;

#[component]
pub fn Questions(held: Held) -> impl IntoView {
    // Answered ones stay, so that the answer can be changed; one is drawn anew only when it is another.
    let all = Memo::new(move |_| held.found.with(|found| found.questions.clone()));
    let settled = move || {
        held.found
            .with(|found| found.settled.clone())
            .into_iter()
            .map(|(place, cell, how)| {
                let said = held.form.with(|form| words::settled(&form.heads[place], &cell, how));
                view! { <p class="aside">{said}</p> }
            })
            .collect_view()
    };
    view! {
        {move || all.with(|all| !all.is_empty()).then(|| view! { <h2>{words::QUESTIONS}</h2> })}
        <For each=move || all.get() key=|(place, question)| (*place, format!("{question:?}")) let((place, question))>
            <Asked held place question />
        </For>
        {settled}
    }
}

/// One question, and the answer that stands.
#[component]
fn Asked(held: Held, place: usize, question: Question) -> impl IntoView {
    let form = held.form;
    let label = form.with_untracked(|form| words::question(&form.heads[place], &question));
    let stands = form.with_untracked(|form| form.ways.get(&place).copied().unwrap_or_default());
    match question {
        Question::Order(_, ways) => {
            let options = ways.into_iter().map(|(order, day)| (Some(order), dates::full(day))).collect();
            answered(
                held,
                label,
                options,
                stands.day.order,
                move |order: Option<DayOrder>, way: &mut ColumnWay| way.day.order = order,
                place,
            )
        }
        Question::Mark(cell) => {
            let options = ['.', ','].map(|mark| (Some(mark), words::marked(&cell, mark))).to_vec();
            answered(held, label, options, stands.mark, move |mark, way: &mut ColumnWay| way.mark = mark, place)
        }
        Question::Year(_) => {
            let year = RwSignal::new(stands.day.year.map(|year| year.to_string()).unwrap_or_default());
            follow(year, move |year| {
                form.update(|form| form.ways.entry(place).or_default().day.year = year.parse().ok())
            });
            let this = clock::now().date().year();
            let years = (this - YEARS..=this).rev().map(|year| (year.to_string(), year.to_string()));
            let options: Vec<(String, String)> =
                std::iter::once((String::new(), words::CHOOSE_ONE.to_owned())).chain(years).collect();
            view! { <Pick label options=Signal::stored(options) value=year /> }.into_any()
        }
        Question::WeighedOn => {
            let day = RwSignal::new(form.with_untracked(|form| form.weighed_on.clone()));
            follow(day, move |day| form.update(|form| form.weighed_on = day));
            view! { <DateField label value=day faults=Faults::new() /> }.into_any()
        }
        Question::Unit => {
            let unit = RwSignal::new(form.with_untracked(|form| form.unit.clone()));
            follow(unit, move |unit| form.update(|form| form.unit = unit));
            let options = ["g", "kg", "oz", "lb"].map(|unit| (unit.to_owned(), unit.to_owned())).to_vec();
            view! { <Choice label options value=unit /> }.into_any()
        }
        Question::Currency => {
            let code =
                form.with_untracked(|form| form.currency).map(|known| known.code().to_owned()).unwrap_or_default();
            let code = RwSignal::new(code);
            follow(code, move |code| form.update(|form| form.currency = Currency::of(&code)));
            let all = Currency::all().map(|known| (known.code().to_owned(), known.code().to_owned()));
            let options: Vec<(String, String)> =
                std::iter::once((String::new(), words::CHOOSE_ONE.to_owned())).chain(all).collect();
            view! { <Pick label options=Signal::stored(options) value=code /> }.into_any()
        }
        Question::Places(..) => {
            let make = RwSignal::new(form.with_untracked(|form| form.make_places));
            follow(make, move |make| form.update(|form| form.make_places = make));
            let options = vec![(true, words::PLACES_MADE.to_owned()), (false, words::PLACES_NOT.to_owned())];
            view! { <Choice label options value=make /> }.into_any()
        }
    }
}

/// A choice of how a column is read.
fn answered<T: Copy + PartialEq + Send + Sync + 'static>(
    held: Held,
    label: String,
    options: Vec<(T, String)>,
    stands: T,
    put: impl Fn(T, &mut ColumnWay) + 'static,
    place: usize,
) -> AnyView {
    let value = RwSignal::new(stands);
    follow(value, move |now| held.form.update(|form| put(now, form.ways.entry(place).or_default())));
    view! { <Choice label options value /> }.into_any()
}

/// Hands on what is chosen, once it is another.
fn follow<T: Clone + PartialEq + Send + Sync + 'static>(value: RwSignal<T>, then: impl Fn(T) + 'static) {
    Effect::new(move |before: Option<T>| {
        let now = value.get();
        if before.is_some_and(|before| before != now) {
            then(now.clone());
        }
        now
    });
}
