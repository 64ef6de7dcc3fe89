//! All pairings: together now, waited for, earlier; and the females that may go again.

use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::Stepper;
use crate::ui::{Empty, Head};
use crate::words::{animals as animal_words, dates, names, pairings as words, units};
use book::Book;
use book::acts::AgainRuleSet;
use book::views::{Again, NextStep, PairingRow, may_go_again, pairing_rows};
use chrono::NaiveDate;
use leptos::prelude::*;

/// Rows shown at first, and how many more at a time.
const STEP: usize = 60;

struct Row {
    page: Page,
    title: String,
    lines: Vec<String>,
    urgent: bool,
}

#[component]
pub fn Pairings() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let most = RwSignal::new(STEP);
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
                    words::laid_ago(again.laid.date(), today),
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
        let total = rows.len();
        let rule = words::rule(&barn.peek(Book::again_rule));
        let mut groups: [Vec<Row>; 3] = Default::default();
        for pairing in rows.iter().take(most.get()) {
            let which = match (pairing.clutches.is_empty(), pairing.ended.is_none(), pairing.next.is_empty()) {
                (true, true, _) => 0,
                (true, false, false) => 1,
                _ => 2,
            };
            groups[which].push(barn.peek(|book| row(book, pairing, today)));
        }
        let [together, waited, earlier] = groups;
        let left = total.saturating_sub(most.get());
        view! {
            {group(words::TOGETHER, together, None)}
            {group(words::WAITED, waited, None)}
            {group(words::AGAIN, may, Some(rule))}
            {folded(not_yet)}
            {group(words::EARLIER, earlier, None)}
            {(left > 0).then(|| view! {
                <button type="button" class="act small" on:click=move |_| most.update(|m| *m += STEP)>{animal_words::more(left)}</button>
            })}
        }
        .into_any()
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() back=(Page::More, crate::words::settings::MORE.to_owned()) />
            {body}
            <Rule />
            <div class="acts"><a class="act main" href=Page::PairingNew(None).href()>{words::NEW}</a></div>
        </div>
    }
}

fn group(title: &'static str, rows: Vec<Row>, aside: Option<String>) -> AnyView {
    if rows.is_empty() {
        return ().into_any();
    }
    view! {
        <h2>{title}</h2>
        {rows_view(rows)}
        {aside.map(|aside| view! { <p class="aside inset">{aside}</p> })}
    }
    .into_any()
}

fn rows_view(rows: Vec<Row>) -> AnyView {
    let rows = rows.into_iter().map(|row| {
        view! {
            <a class="row" class:urgent=row.urgent href=row.page.href()>
                <span class="text">
                    <span class="title">{row.title}</span>
                    {row.lines.into_iter().enumerate().map(|(i, line)| view! {
                        <span class:aside=i != 0 class:warn=row.urgent && i == 0>{line}</span>
                    }).collect_view()}
                </span>
            </a>
        }
        .into_any()
    });
    rows.collect_view().into_any()
}

/// Females that want something first.
fn folded(rows: Vec<Row>) -> AnyView {
    if rows.is_empty() {
        return ().into_any();
    }
    view! {
        <details>
            <summary>{words::not_yet(rows.len())}</summary>
            {rows_view(rows)}
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
    names::pair(&book::views::Parents { dams: named(&pairing.dams), sires: named(&pairing.sires) })
}

/// The barn's own rule for a second clutch.
#[component]
fn Rule() -> impl IntoView {
    let barn = barn();
    let rule = barn.peek(Book::again_rule);
    let fields = [rule.rest_days, rule.until_days, rule.weight_pct, rule.meals].map(RwSignal::new);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let [rest_days, until_days, weight_pct, meals] = fields.map(|field| field.get_untracked());
        let rule = trade::again::Rule { rest_days, until_days, weight_pct, meals };
        barn.save(AgainRuleSet { rule }, words::RULE_SAVED, |_| {});
    };
    let labels = [words::RULE_REST, words::RULE_UNTIL, words::RULE_WEIGHT, words::RULE_MEALS];
    view! {
        <details>
            <summary>{words::RULE}</summary>
            <form on:submit=save>
                {labels.into_iter().zip(fields).map(|(label, value)| view! { <Stepper label value /> }.into_any()).collect_view()}
                <button type="submit" class="act">{crate::words::SAVE}</button>
            </form>
        </details>
    }
}
