//! Labels printed ahead.

use super::stock::{First, FirstFree, StockChoice};
use super::work::{Work, Working};
use super::{draw, out, text};
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::forms::{Faults, Stepper, count};
use crate::words::{self, labels as said};
use book::Kind;
use book::acts::{BlankLabelsMade, all_made};
use desk::forms::counts;
use desk::{Ask, Entry};
use draw::Job;
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn BlankLabels() -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let (entry, faults) = (RwSignal::new(Entry::of_count(Ask::count(said::HOW_MANY, 1, 500), 12)), Faults::new());
    let (work, first) = (Work::new(), First::new());
    let make = move |_| {
        let now = prefs.get_untracked();
        let paper = now.paper.clone();
        let Some(count) = faults.pass(entry.with_untracked(counts::one)).filter(|_| first.is_read(faults)) else {
            return;
        };
        barn.save(BlankLabelsMade { count }, said::MADE, move |draft| {
            let texts: Result<Vec<_>, String> =
                all_made(draft, Kind::Label).map(|thing| text::blank(&thing.id, &now)).collect();
            let texts = match texts {
                Ok(texts) => texts,
                Err(why) => return barn.amiss(words::scan::sentence(&why)),
            };
            let made = texts.len();
            let Some(run) = work.begin(made) else { return };
            let (stock, first) = (paper.stock.stock(paper.dpi()), paper.first.max(1) as usize);
            let first = if paper.stock.grid.is_some() { first } else { 1 };
            let some = texts.iter().take(1).cloned().collect();
            let job = Job { title: said::BLANK_TITLE.to_owned(), texts, some, stock, first };
            spawn_local(async move {
                match draw::pdf(&job, &paper.calibration(), &run).await {
                    Ok(Some(bytes)) => {
                        if out::give(&bytes, "blank-labels.pdf", "application/pdf").await.is_err() {
                            barn.say(said::NOT_GIVEN.into(), None);
                        }
                        prefs.update(|p| p.paper.used(made));
                    }
                    Ok(None) => barn.say(said::STOPPED.into(), None),
                    Err(why) => barn.amiss(words::scan::sentence(&why)),
                }
            });
        });
    };
    view! {
        <div class="page alone">
            <Head title=said::BLANK_TITLE.to_string() back=(Page::More, words::nav::MORE.to_string()) />
            <p class="card">{said::BLANK_HOW}</p>
            <Stepper entry faults />
            <StockChoice />
            <FirstFree first faults labels=Signal::derive(move || count(entry) as usize) />
            <Working work />
            <div class="acts" class:unseen=move || work.is_on()><button type="button" class="act main" on:click=make>{said::MAKE}</button></div>
        </div>
    }
}
