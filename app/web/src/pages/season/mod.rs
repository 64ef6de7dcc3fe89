//! The season: when boxes are likely to hatch, the weeks ahead, what they need, the seasons behind, and their prints.

mod back;
mod barn_book;
mod desk;
mod needs;
mod report;
mod strip;
mod weeks;
mod what_if;

use crate::route::{Page, SeasonPart};
use crate::ui::{DESK, Head, wide};
use crate::words::{heat as said, season as words, settings as settings_words};
use leptos::prelude::*;
use strip::SeasonStrip;

#[component]
pub fn Season() -> impl IntoView {
    let wide = wide(DESK);
    let links = [
        (SeasonPart::Weeks, words::WEEKS, words::WEEKS_SAID),
        (SeasonPart::Needs, words::NEEDS, words::NEEDS_SAID),
        (SeasonPart::Back, words::BACK, words::BACK_SAID),
        (SeasonPart::Report, words::REPORT, words::REPORT_SAID),
        (SeasonPart::BarnBook, words::BARN_BOOK, words::BARN_BOOK_SAID),
    ];
    view! {
        {move || if wide.get() {
            view! {
                <div class="page season-desk">
                    <Head title=said::SEASON.to_string() />
                    <div class="gap">{links.map(|(part, title, _)| view! {
                        <a class="act small" href=Page::SeasonPart(part).href()>{title}</a>
                    }).collect_view()}</div>
                    <desk::SeasonDesk />
                </div>
            }.into_any()
        } else {
            view! {
                <div class="page">
                    <Head title=said::SEASON.to_string() back=(Page::More, settings_words::MORE.to_string()) />
                    {links.map(|(part, title, said)| view! {
                        <a class="row" href=Page::SeasonPart(part).href()>
                            <span class="text"><span class="title">{title}</span><span class="aside">{said}</span></span>
                        </a>
                    }).collect_view()}
                    <SeasonStrip />
                </div>
            }.into_any()
        }}
    }
}

/// A part of it.
pub fn part(part: SeasonPart) -> AnyView {
    match part {
        SeasonPart::Weeks => view! { <weeks::Weeks /> }.into_any(),
        SeasonPart::Needs => view! { <needs::NeedsPage /> }.into_any(),
        SeasonPart::Back => view! { <back::BackPage /> }.into_any(),
        SeasonPart::Report => view! { <report::Report /> }.into_any(),
        SeasonPart::BarnBook => view! { <barn_book::BarnBook /> }.into_any(),
    }
}
