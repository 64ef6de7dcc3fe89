//! All pairings: together now, waited for, earlier; and the females that may go again.

use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Faults, Stepper, rule_fields};
use crate::ui::signs::act_link;
use crate::ui::{Empty, Head, Paged};
use crate::words::{dates, names, pairings as words, units};
use book::Book;
use book::views::{Again, NextStep, PairingRow, may_go_again, pairing_rows};
use chrono::NaiveDate;
use desk::forms::counts;
use leptos::prelude::*;

struct Row {
    page: Page,
    title: String,
    lines: Vec<String>,
    urgent: bool,
}

#[component]
pub fn Pairings() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let body = move || {
        let now = clock::now();
        let today = now.date();
        let (rows, may, not_yet) = barn.read(|book| {
            let (may, not_yet): (Vec<_>, Vec<_>) =
                may_go_again(book, now).into_iter().partition(|(_, again)| again.wants.is_empty());
            let row = |(id, again): (book::AnimalId, Again)| Row {
                page: Page::PairingNew(Some(id.to_string())),
                title: names::animal(book, &id),
                lines: vec![
                    words::again(&again, |mass| units::mass(mass, &prefs.get()), today),
                    words::laid_ago(again.since, today),
                ],
                urgent: false,
            };
            let may: Vec<Row> = may.into_iter().map(row).collect();
            (pairing_rows(book, now), may, not_yet.into_iter().map(row).collect::<Vec<_>>())
        });
        if rows.is_empty() && may.is_empty() && not_yet.is_empty() {
            return view! {
                <Empty text=words::EMPTY><a class="act main" href=Page::PairingNew(None).href()>{words::NEW}</a></Empty>
            }
            .into_any();
        }
        let rule = words::rule(&barn.peek(Book::again_rule));
        let mut groups: [Vec<Row>; 3] = Default::default();
        for pairing in &rows {
            let which = match (pairing.clutches.is_empty(), pairing.ended.is_none(), pairing.waits()) {
                (true, true, _) => 0,
                (true, false, true) => 1,
                _ => 2,
            };
            groups[which].push(barn.peek(|book| row(book, pairing, today)));
        }
        let [together, waited, earlier] = groups;
        let under = |title: &'static str, rows: Vec<Row>| rows.into_iter().map(move |row| (title, row));
        let before = under(words::TOGETHER, together).chain(under(words::WAITED, waited));
        let before: Vec<(&'static str, Row)> = before.chain(under(words::AGAIN, may)).collect();
        let earlier: Vec<(&'static str, Row)> = under(words::EARLIER, earlier).collect();
        view! { {paged(before, rule.clone())} {folded(not_yet)} {paged(earlier, rule)} }.into_any()
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() back=(Page::More, crate::words::settings::MORE.to_owned()) />
            {body}
            <Rule />
            <div class="acts">
                <a class="act" href=Page::Breeders.href()>{words::READY}</a>
                {act_link(&Page::PairingNew(None), "act main", words::NEW)}
            </div>
        </div>
    }
}

/// A list of rows, each under its heading; what the barn's `rule` is stands under the heading of those that may go again.
fn paged(rows: Vec<(&'static str, Row)>, rule: String) -> AnyView {
    let total = rows.len();
    let name = rows.first().map(|(title, _)| *title).unwrap_or_default();
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let mut said = None;
        let rows = rows.get(from..to).unwrap_or_default().iter().map(|(title, row)| {
            let head = (said != Some(*title)).then(|| {
                let aside = (*title == words::AGAIN).then(|| view! { <p class="aside inset">{rule.clone()}</p> });
                view! { <h2>{*title}</h2> {aside} }
            });
            said = Some(*title);
            view! { {head} {row_view(row)} }.into_any()
        });
        rows.collect_view().into_any()
    });
    view! { <Paged name total=Signal::stored(total) show /> }.into_any()
}

fn row_view(row: &Row) -> AnyView {
    let lines = row.lines.iter().enumerate().map(|(i, line)| {
        view! { <span class:aside=i != 0 class:warn=row.urgent && i == 0>{line.clone()}</span> }
    });
    view! {
        <a class="row" class:urgent=row.urgent href=row.page.href()>
            <span class="text"><span class="title">{row.title.clone()}</span>{lines.collect_view()}</span>
        </a>
    }
    .into_any()
}

/// Females that want something first.
fn folded(rows: Vec<Row>) -> AnyView {
    if rows.is_empty() {
        return ().into_any();
    }
    let total = rows.len();
    let show = Callback::new(move |(from, to): (usize, usize)| {
        rows.get(from..to).unwrap_or_default().iter().map(row_view).collect_view().into_any()
    });
    view! {
        <details>
            <summary>{words::not_yet(total)}</summary>
            <Paged name="not yet" total=Signal::stored(total) show />
        </details>
    }
    .into_any()
}

fn row(book: &Book, pairing: &PairingRow, today: NaiveDate) -> Row {
    let said = |when: Option<trade::when::When>| when.map(|when| dates::laid(when, today));
    let history = words::line(said(pairing.when), pairing.locks, said(pairing.last_lock), said(pairing.ended));
    let clutches = pairing
        .clutches
        .iter()
        .map(|(_, number, laid)| words::laid(number, &laid.map(|laid| dates::laid(laid, today)).unwrap_or_default()));
    let next = pairing.next.iter().map(|(_, next)| words::next(next, today));
    Row {
        page: Page::Pairing(pairing.id.to_string()),
        title: title(book, &pairing.id),
        lines: next.chain(clutches).chain([history]).collect(),
        urgent: pairing.next.iter().any(|(_, next)| matches!(next, NextStep::Overdue { .. })),
    }
}

/// `Bel × Moss or Ash`.
pub fn title(book: &Book, id: &book::PairingId) -> String {
    let Some(pairing) = book.pairing(id) else { return String::new() };
    let named = |ids: &[book::AnimalId]| ids.iter().map(|id| (id.clone(), book.animal_name(id))).collect();
    names::pair(&book::views::Parents {
        dams: named(&pairing.dams),
        sires: named(&pairing.sires),
        ..Default::default()
    })
}

/// The barn's own rule for a second clutch.
#[component]
fn Rule() -> impl IntoView {
    let barn = barn();
    let fields = rule_fields(|book| counts::again(book.again_rule()));
    let faults = Faults::new();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let typed = fields.map(|field| field.get_untracked());
        let Some(act) = faults.pass(counts::again_set(&typed, barn.peek(Book::again_rule))) else { return };
        barn.save(act, words::RULE_SAVED, |_| {});
    };
    view! {
        <details>
            <summary>{words::RULE}</summary>
            <form novalidate on:submit=save>
                {fields.map(|entry| view! { <Stepper entry faults /> }).collect_view()}
                <button type="submit" class="act">{crate::words::SAVE}</button>
            </form>
        </details>
    }
}
