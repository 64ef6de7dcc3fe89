//! What is in the printer: rolls and sheets by their millimetres, sizes of the keeper's own, where the sheet is free.

use crate::paper::{Grid, Kept};
use crate::prefs::prefs;
use crate::store::barn;
use crate::trail;
use crate::ui::forms::{Choice, Faults, Quantity, Stepper};
use crate::words::{self, labels as said};
use desk::forms::{counts, millimetres, mm};
use desk::{Ask, Entry};
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
        <label class="field" data-now="">
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

/// A size described by hand.
#[component]
fn OwnSize(done: Callback<()>) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let sheet = RwSignal::new(false);
    let count = |label, start| RwSignal::new(Entry::of_count(Ask::count(label, 1, 40), start));
    let (columns, rows, cut) = (count(said::COLUMNS, 3), count(said::ROWS, 8), RwSignal::new(false));
    let faults = Faults::new();
    let mm = |label, um| RwSignal::new(mm(label, Some(um)));
    let (w, h) = (mm(said::WIDTH, 62_000), mm(said::HEIGHT, 40_000));
    let page = [mm(said::PAGE_WIDTH, 210_000), mm(said::PAGE_HEIGHT, 297_000)];
    let edges = [mm(said::LEFT, 7_000), mm(said::TOP, 15_000)];
    let gaps = [mm(said::GAP_X, 2_500), mm(said::GAP_Y, 0)];
    let read = move |fields: [RwSignal<Entry>; 2]| {
        let [a, b] = fields.map(|field| field.get_untracked());
        faults.pass(millimetres([&a, &b]))
    };
    let keep = move |_| {
        let Some([w, h]) = read([w, h]) else { return };
        let grid = if sheet.get_untracked() {
            let counted = |entry: RwSignal<Entry>| faults.pass(entry.with_untracked(counts::one));
            let (Some(page), Some(columns), Some(rows)) = (read(page), counted(columns), counted(rows)) else { return };
            let (Some([left, top]), Some([gap_x, gap_y])) = (read(edges), read(gaps)) else { return };
            Some(Grid {
                page: (page[0], page[1]),
                columns: columns as usize,
                rows: rows as usize,
                left,
                top,
                pitch: (w + gap_x, h + gap_y),
                cut: cut.get_untracked(),
            })
        } else {
            None
        };
        let kept = Kept { w, h, grid };
        if let Err(bad) = kept.stock(Dpi::D203).check() {
            return barn.amiss(words::scan::sentence(&bad.to_string()));
        }
        prefs.update(|p| {
            if !p.paper.offered().contains(&kept) {
                p.paper.own.push(kept);
            }
            p.paper.stock = kept;
            p.paper.first = 1;
        });
        trail::saved();
        barn.say(said::SIZE_KEPT.into(), None);
        done.run(());
    };
    let pair = move |[a, b]: [RwSignal<Entry>; 2]| view! { <div class="pair"><Quantity entry=a faults /><Quantity entry=b faults /></div> };
    view! {
        <div class="card">
            <Choice label=said::OWN_KIND value=sheet
                options=vec![(false, said::OWN_ROLL.to_string()), (true, said::OWN_SHEET.to_string())] />
            {pair([w, h])}
            {move || sheet.get().then(|| view! {
                {pair(page)}
                <Stepper entry=columns faults />
                <Stepper entry=rows faults />
                {pair(edges)}
                {pair(gaps)}
                <label class="gap tick"><input type="checkbox" prop:checked=cut on:change=move |ev| cut.set(event_target_checked(&ev)) />{said::CUT_MARKS}</label>
            })}
            <button type="button" class="act" on:click=keep>{said::KEEP_SIZE}</button>
        </div>
    }
}

/// The first free position of the sheet, as it is typed.
#[derive(Clone, Copy)]
pub struct First(RwSignal<Entry>);

impl First {
    pub fn new() -> Self {
        let prefs = prefs();
        let most = move || prefs.with(|p| p.paper.stock.positions()).max(1) as u32;
        let entry = move |first: u32| Entry::of_count(Ask::count(said::FIRST_FREE, 1, most()), first);
        let typed = RwSignal::new(entry(prefs.with_untracked(|p| p.paper.first.max(1))));
        // Printing moves it on, and another stock has other positions.
        Effect::new(move |_| {
            let (kept, most) = (prefs.with(|p| p.paper.first), most());
            let same = |t: &Entry| t.count() == kept && t.ask.bounds.1 == i64::from(most);
            // What cannot be read stays where it was typed, and says so there.
            if typed.with_untracked(|t| !t.untouched() && t.count() == 0) {
                typed.update(|t| t.ask = Ask::count(said::FIRST_FREE, 1, most));
            } else if !typed.with_untracked(same) {
                typed.set(entry(kept.clamp(1, most)));
            }
        });
        Effect::new(move |before: Option<()>| {
            let first = typed.with(Entry::count);
            if before.is_some() && first > 0 && prefs.with_untracked(|p| p.paper.first != first) {
                prefs.update(|p| p.paper.first = first);
            }
        });
        Self(typed)
    }

    /// What is kept is what is typed; otherwise that is said at the field, and nothing is printed.
    pub fn is_read(self, faults: Faults) -> bool {
        let asked = prefs().with_untracked(|p| p.paper.stock.grid.is_some());
        !asked || faults.pass(self.0.with_untracked(counts::one)).is_some()
    }
}

/// Where a sheet that was used before is free, with a picture of it.
#[component]
pub fn FirstFree(first: First, labels: Signal<usize>, faults: Faults) -> impl IntoView {
    let prefs = prefs();
    let typed = first.0;
    let first = move || prefs.with(|p| p.paper.first);
    let grid = Memo::new(move |_| prefs.with(|p| p.paper.stock.grid.map(|g| (g, (p.paper.stock.w, p.paper.stock.h)))));
    move || {
        grid.get().map(|(g, label)| {
            let cells = move || {
                let from = first().max(1) as usize - 1;
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
                <div data-now=""><Stepper entry=typed faults /></div>
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
        <div data-now="">
            <Choice label=said::RESOLUTION value=fine
                options=vec![(false, said::dpi(false).to_string()), (true, said::dpi(true).to_string())] />
        </div>
    }
}
