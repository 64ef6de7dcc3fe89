//! What was spent: day, kind, amount and a note; sums by kind and year.

use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::day::{Seen, SeenField};
use crate::ui::forms::{Faults, Quantity, TextField};
use crate::ui::{Empty, Head, Paged};
use crate::words::{self as all_words, animals as animal_words, dates, money as said, nav};
use book::records::Cost;
use book::views::{YearOfCosts, costs, kinds_of_cost, years_of};
use book::{Book, Kind};
use desk::forms::money::{CostForm, WHAT};
use leptos::prelude::*;

/// Kinds offered while one is typed: the barn's own first.
pub fn kinds(book: &Book) -> Vec<String> {
    let mut kinds = kinds_of_cost(book);
    let usual = said::KINDS.iter().filter(|kind| !kinds.iter().any(|own| own.eq_ignore_ascii_case(kind)));
    let usual: Vec<String> = usual.map(|kind| (*kind).to_owned()).collect();
    kinds.extend(usual);
    kinds
}

#[component]
pub fn Costs() -> impl IntoView {
    let barn = barn();
    let all = Memo::new(move |_| barn.read(|book| costs(book).into_iter().cloned().collect::<Vec<Cost>>()));
    let years = Memo::new(move |_| all.with(|all| years_of(all)));
    let (form, faults) = (CostForm::blank(barn.peek(Book::currency)), Faults::new());
    let (what, amount, note) =
        (RwSignal::new(form.what.clone()), RwSignal::new(form.amount.clone()), RwSignal::new(form.note.clone()));
    let seen = Seen::now();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let typed = CostForm { what: what.get_untracked(), amount: amount.get_untracked(), note: note.get_untracked() };
        let Some(act) = faults.pass(typed.act(when)) else { return };
        barn.save(act, said::COST_SAVED, move |_| {
            let blank = CostForm::blank(barn.peek(Book::currency));
            let _ = (what.try_set(blank.what), amount.try_set(blank.amount), note.try_set(blank.note));
        });
    };
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = all.with(|all| all.get(from..to).map(<[Cost]>::to_vec).unwrap_or_default());
        rows.into_iter().map(cost_row).collect_view().into_any()
    });
    view! {
        <div class="page with-acts">
            <Head title=said::COSTS.to_string() back=(Page::More, nav::MORE.to_owned()) />
            <form novalidate on:submit=save>
                <TextField label=WHAT value=what offers=barn.peek(kinds) faults />
                <Quantity entry=amount faults />
                <TextField label=animal_words::NOTE_TEXT value=note />
                <SeenField seen />
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
            {move || all.with(Vec::is_empty).then(|| view! { <Empty text=said::NO_COSTS /> })}
            {move || years.get().into_iter().map(year).collect_view()}
            <Paged name="costs" total=Signal::derive(move || all.with(Vec::len)) show />
            <p class="aside inset">{said::COSTS_HOW}</p>
        </div>
    }
}

fn year(year: YearOfCosts) -> AnyView {
    view! {
        <table class="table card costs">
            <caption>{said::year(year.year)}</caption>
            <tbody>{year.kinds.into_iter().map(|(what, sum)| view! {
                <tr><th scope="row">{what}</th><td class="nowrap">{sum.to_string()}</td></tr>
            }).collect_view()}</tbody>
            <tfoot><tr><th scope="row">{said::ALL}</th><td class="nowrap"><b>{year.all.to_string()}</b></td></tr></tfoot>
        </table>
    }
    .into_any()
}

fn cost_row(cost: Cost) -> AnyView {
    let fix = Page::Correct(Kind::Cost.word().into(), cost.id.to_string()).href();
    let day = cost.when.map(|when| dates::when(when, clock::today())).unwrap_or_default();
    let amount = cost.amount.map(|amount| amount.to_string());
    let what = cost.what.unwrap_or_default();
    let which = animal_words::correct_of(&what, &day);
    view! {
        <div class="row">
            <span class="text">
                <span class="title">{what}</span>
                <span class="aside">{day}{cost.note.map(|note| format!(" · {note}"))}</span>
            </span>
            <b class="nowrap">{amount}</b>
            <a class="reach aside" aria-label=which href=fix>{animal_words::CORRECT}</a>
        </div>
    }
    .into_any()
}
