//! What is in the printer: rolls and sheets by their millimetres, sizes of the keeper's own, where the sheet is free.

use crate::paper::{Grid, Kept};
use crate::prefs::prefs;
use crate::store::barn;
use crate::ui::forms::{Choice, Stepper};
use crate::words::{self, labels as said};
use labels::stock::Dpi;
use leptos::prelude::*;

fn name(kept: &Kept) -> String {
    match kept.grid {
        None => said::size(kept.w, kept.h),
        Some(g) => said::on_sheet(g.columns, g.rows, g.page, (kept.w, kept.h)),
    }
}

const ANOTHER: &str = "another";

/// The stock, from those offered or one described by hand.
#[component]
pub fn StockChoice() -> impl IntoView {
    let prefs = prefs();
    let another = RwSignal::new(false);
    let chosen = move |ev: leptos::ev::Event| {
        let value = event_target_value(&ev);
        another.set(value == ANOTHER);
        prefs.update(|p| {
            if let Some(kept) = value.parse().ok().and_then(|i: usize| p.paper.offered().get(i).copied()) {
                p.paper.stock = kept;
                p.paper.first = 1;
            }
        });
    };
    let forget = move |_| {
        prefs.update(|p| {
            let gone = p.paper.stock;
            p.paper.own.retain(|own| *own != gone);
            p.paper.stock = crate::paper::Paper::default().stock;
        });
    };
    view! {
        <label class="field">
            <span>{said::PRINTED_ON}</span>
            <select on:change=chosen>
                {move || prefs.with(|p| p.paper.offered().iter().enumerate().map(|(i, kept)| {
                    let selected = *kept == p.paper.stock && !another.get();
                    view! { <option value=i.to_string() prop:selected=selected>{name(kept)}</option> }
                }).collect_view())}
                <option value=ANOTHER prop:selected=move || another.get()>{said::ANOTHER_SIZE}</option>
            </select>
        </label>
        {move || another.get().then(|| view! { <OwnSize done=Callback::new(move |()| another.set(false)) /> })}
        {move || prefs.with(|p| p.paper.own.contains(&p.paper.stock)).then(|| view! {
            <button type="button" class="act small" on:click=forget>{said::FORGET_SIZE}</button>
        })}
    }
}

/// A number of millimetres as typed.
#[component]
pub fn Millimetres(label: String, value: RwSignal<String>) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" inputmode="decimal" autocomplete="off" prop:value=value
                on:input=move |ev| value.set(event_target_value(&ev)) />
        </label>
    }
}

pub fn typed(value: RwSignal<String>) -> f64 {
    // What is no number is refused with everything else that is out of range.
    words::units::number(&value.get_untracked()).unwrap_or(f64::NAN)
}

/// A size described by hand.
#[component]
fn OwnSize(done: Callback<()>) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let sheet = RwSignal::new(false);
    let (columns, rows, cut) = (RwSignal::new(3u32), RwSignal::new(8u32), RwSignal::new(false));
    let mm = |start: &str| RwSignal::new(start.to_owned());
    let (w, h) = (mm("62"), mm("40"));
    let (page_w, page_h, left, top, gap_x, gap_y) = (mm("210"), mm("297"), mm("7"), mm("15"), mm("2.5"), mm("0"));
    let keep = move |_| {
        let (w, h) = (typed(w), typed(h));
        let grid = sheet.get_untracked().then(|| Grid {
            page: (typed(page_w), typed(page_h)),
            columns: columns.get_untracked() as usize,
            rows: rows.get_untracked() as usize,
            left: typed(left),
            top: typed(top),
            pitch: (w + typed(gap_x), h + typed(gap_y)),
            cut: cut.get_untracked(),
        });
        let kept = Kept { w, h, grid };
        if let Err(bad) = kept.stock(Dpi::D203).check() {
            return barn.say(words::scan::sentence(&bad.to_string()), None);
        }
        prefs.update(|p| {
            if !p.paper.offered().contains(&kept) {
                p.paper.own.push(kept);
            }
            p.paper.stock = kept;
            p.paper.first = 1;
        });
        barn.say(said::SIZE_KEPT.into(), None);
        done.run(());
    };
    let field = |label: &str, value| view! { <Millimetres label=label.to_owned() value /> };
    view! {
        <div class="card">
            <Choice label=said::OWN_KIND value=sheet
                options=vec![(false, said::OWN_ROLL.to_string()), (true, said::OWN_SHEET.to_string())] />
            <div class="pair">{field(said::WIDTH, w)}{field(said::HEIGHT, h)}</div>
            {move || sheet.get().then(|| view! {
                <div class="pair">{field(said::PAGE_WIDTH, page_w)}{field(said::PAGE_HEIGHT, page_h)}</div>
                <Stepper label=said::COLUMNS value=columns />
                <Stepper label=said::ROWS value=rows />
                <div class="pair">{field(said::LEFT, left)}{field(said::TOP, top)}</div>
                <div class="pair">{field(said::GAP_X, gap_x)}{field(said::GAP_Y, gap_y)}</div>
                <label class="gap tick"><input type="checkbox" prop:checked=cut on:change=move |ev| cut.set(event_target_checked(&ev)) />{said::CUT_MARKS}</label>
            })}
            <button type="button" class="act" on:click=keep>{said::KEEP_SIZE}</button>
        </div>
    }
}

/// Where a sheet that was used before is free, with a picture of it.
#[component]
pub fn FirstFree(labels: Signal<usize>) -> impl IntoView {
    let prefs = prefs();
    let first = RwSignal::new(prefs.with_untracked(|p| p.paper.first));
    Effect::new(move |_| {
        let kept = prefs.with(|p| p.paper.first);
        if first.get_untracked() != kept {
            first.set(kept);
        }
    });
    Effect::new(move |before: Option<()>| {
        let typed = first.get();
        if before.is_some() {
            let most = prefs.with_untracked(|p| p.paper.stock.positions()) as u32;
            let within = typed.clamp(1, most);
            if within != typed {
                first.set(within);
            }
            if prefs.with_untracked(|p| p.paper.first != within) {
                prefs.update(|p| p.paper.first = within);
            }
        }
    });
    let grid = Memo::new(move |_| prefs.with(|p| p.paper.stock.grid.map(|g| (g, (p.paper.stock.w, p.paper.stock.h)))));
    move || {
        grid.get().map(|(g, label)| {
            let cells = move || {
                let from = first.get().max(1) as usize - 1;
                let to = from + labels.get();
                (0..g.columns * g.rows)
                    .map(|i| {
                        let (x, y) = ((i % g.columns) as f64 * g.pitch.0 + g.left, (i / g.columns) as f64 * g.pitch.1 + g.top);
                        let class = if i < from { "used" } else if i < to { "now" } else { "free" };
                        view! { <rect class=class x=x.to_string() y=y.to_string() width=label.0.to_string() height=label.1.to_string() /> }
                    })
                    .collect_view()
            };
            view! {
                <Stepper label=said::FIRST_FREE value=first />
                <svg class="sheet-picture" viewBox=format!("0 0 {} {}", g.page.0, g.page.1) aria-hidden="true">{cells}</svg>
            }
        })
    }
}

/// The label printer's dots.
#[component]
pub fn DotsChoice() -> impl IntoView {
    let prefs = prefs();
    let fine = RwSignal::new(prefs.with_untracked(|p| p.paper.fine));
    Effect::new(move |before: Option<()>| {
        let now = fine.get();
        if before.is_some() {
            prefs.update(|p| p.paper.fine = now);
        }
    });
    view! {
        <Choice label=said::RESOLUTION value=fine
            options=vec![(false, said::dpi(false).to_string()), (true, said::dpi(true).to_string())] />
    }
}
