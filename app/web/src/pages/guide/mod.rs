//! The guide: a page for each part, with the way to what it tells of.

use crate::route::{GuidePart, Page};
use crate::ui::Head;
use crate::words::{guide as words, settings};
use leptos::prelude::*;

#[component]
pub fn Guide() -> impl IntoView {
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() back=(Page::More, settings::MORE.to_owned()) />
            <div class="more-rows">{GuidePart::ALL.iter().copied().map(part_row).collect_view()}</div>
        </div>
    }
}

fn part_row(part: GuidePart) -> impl IntoView {
    view! {
        <a class="row" href=Page::GuidePart(part).href()>
            <span class="text">
                <span class="title">{words::title(part)}</span>
                <span class="aside">{words::said(part)}</span>
            </span>
        </a>
    }
}

#[component]
pub fn GuidePartPage(part: GuidePart) -> impl IntoView {
    let next = GuidePart::ALL.iter().copied().skip_while(|one| *one != part).nth(1);
    view! {
        <div class="page">
            <Head title=words::title(part).to_string() aside=words::said(part).to_string() back=(Page::Guide, words::TITLE.to_owned()) />
            <ol class="guide" role="list">{words::steps(part).into_iter().map(step).collect_view()}</ol>
            {next.map(|next| view! { <h2>{words::NEXT}</h2>{part_row(next)} })}
        </div>
    }
}

fn step(step: words::Step) -> impl IntoView {
    view! {
        <li class="card">
            <h3>{step.what}</h3>
            <p>{step.how}</p>
            {step.at.map(|(page, name)| view! { <a class="reach" href=page.href()>{name}</a> })}
        </li>
    }
}
