//! Two people wrote different things: both shown, with who and when; one tap keeps one.

use crate::clock;
use crate::prefs::prefs;
use crate::store::barn;
use crate::words::{dates, names, record, rounds as said};
use book::acts::ClashSettled;
use book::views::Due;
use book::{Book, Thing};
use chrono::NaiveDate;
use journal::Head;
use leptos::prelude::*;
use serde_json::Value;

/// One value of a clashing field.
#[derive(Clone)]
struct Side {
    value: Value,
    shown: String,
    who: String,
}

fn sides(book: &Book, thing: &Thing) -> Vec<(String, Vec<Side>)> {
    let (today, prefs) = (clock::today(), prefs().get_untracked());
    if let Some(both) = withdrawn(book, thing, today) {
        return vec![both];
    }
    let clashes = book.journal().clashes_of(thing.kind.word(), &thing.id);
    let rows = clashes.map(|clash| {
        let mut sides: Vec<Side> = Vec::new();
        for head in clash.heads {
            if sides.iter().any(|s| s.value == head.value) {
                continue;
            }
            sides.push(Side {
                value: head.value.clone(),
                shown: record::value(book, clash.field, &head.value, &prefs, today),
                who: who(book, head, today),
            });
        }
        (clash.field.to_string(), sides)
    });
    rows.collect()
}

/// Somebody took the whole record back while somebody else wrote in it: kept or taken back, all at once.
fn withdrawn(book: &Book, thing: &Thing, today: NaiveDate) -> Option<(String, Vec<Side>)> {
    let clashes = || book.journal().clashes_of(thing.kind.word(), &thing.id);
    let gone = clashes().find_map(|clash| clash.withdrawn)?;
    let kept = clashes().filter_map(|clash| clash.heads.last()).max_by_key(|head| head.at)?;
    let side = |value, shown: &str, head| Side { value, shown: shown.to_owned(), who: who(book, head, today) };
    let sides = vec![side(Value::Null, said::KEEP_RECORD, kept), side(Value::Bool(true), said::TAKE_RECORD_BACK, gone)];
    Some((journal::WITHDRAWN.to_owned(), sides))
}

fn who(book: &Book, head: &Head, today: NaiveDate) -> String {
    let day = clock::day_at(head.at.ms()).map(|day| dates::near(day, today));
    let who = book.writer(&head.reference).map(|by| names::person(book, by)).unwrap_or_default();
    said::who(&who, &day.unwrap_or_default())
}

#[component]
pub fn ClashRow(due: Due) -> impl IntoView {
    let barn = barn();
    let thing = due.thing.clone();
    let fields = barn.peek(|book| sides(book, &thing));
    view! {
        <section class="card">
            <h3>{said::clash_title(&due.name)}</h3>
            {fields.into_iter().map(|(field, sides)| {
                let name = record::field(Some(thing.kind), &field);
                view! {
                    <p class="aside">{name.clone()}</p>
                    <div class="gap">
                        {sides.into_iter().map(|side| {
                            let act = ClashSettled { thing: thing.clone(), field: field.clone(), value: side.value };
                            let told = said::settled(&name, &side.shown);
                            view! {
                                <button type="button" class="act small" on:click=move |_| barn.save(act.clone(), told.clone(), |_| {})>
                                    {side.shown.clone()} <span class="aside">{side.who}</span>
                                </button>
                            }
                        }).collect_view()}
                    </div>
                }
            }).collect_view()}
        </section>
    }
}
