//! Looking back: rates and means with their intervals, whether they differ, losses, days on temperature; every number
//! opens to its clutches.

use super::weeks::href;
use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::charts::{Span, points, spans};
use crate::ui::picture::save_buttons;
use crate::ui::{Head, Turns, shared};
use crate::words::{heat, season as said};
use book::views::{Behind, BehindRow, By, DaysLine, Figure, LookBack, LossRow, Of, days_lines, losses};
use book::{Book, ClutchId};
use leptos::prelude::*;

/// Groups drawn at most; all of them stand in the list.
const DRAWN: usize = 24;

#[component]
pub fn BackPage() -> impl IntoView {
    let barn = barn();
    let (of, by) = (RwSignal::new(Of::Hatched), RwSignal::new(By::Shelf));
    let (prefs, turns) = (prefs(), Turns::here());
    let back = shared(move || barn.read(|book| LookBack::of(book, clock::now())));
    let body = move || {
        let (of, by) = (of.get(), by.get());
        let found = back.with(|back| back.behind(of, by));
        barn.read(|book| compared(book, &found, of, by, &prefs.get()))
    };
    let lost = move || {
        barn.read(|book| {
            let (lost, ended) = losses(book);
            losses_card(book, lost, ended)
        })
    };
    let days = move || days_cards(barn.read(days_lines), &prefs.get());
    let pick_of = move |ev: leptos::ev::Event| {
        of.set(
            event_target_value(&ev).parse().ok().and_then(|at: usize| Of::ALL.get(at).copied()).unwrap_or(Of::Hatched),
        );
    };
    let pick_by = move |ev: leptos::ev::Event| {
        by.set(
            event_target_value(&ev).parse().ok().and_then(|at: usize| By::ALL.get(at).copied()).unwrap_or(By::Shelf),
        );
    };
    let of_options = Of::ALL.into_iter().enumerate().map(|(i, which)| {
        view! { <option value=i.to_string() selected=which == Of::Hatched>{said::of(which)}</option> }
    });
    let by_options = By::ALL.into_iter().enumerate().map(|(i, which)| {
        view! { <option value=i.to_string() selected=which == By::Shelf>{said::by(which)}</option> }
    });
    view! {
        <div class="page">
            <Head title=said::BACK.to_string() back=(Page::Season, said::TITLE.to_string()) />
            <div class="pair">
                <label class="field"><span>{said::OF}</span><select on:change=pick_of>{of_options.collect_view()}</select></label>
                <label class="field"><span>{said::BY}</span><select on:change=pick_by>{by_options.collect_view()}</select></label>
            </div>
            {turns.piece(body)}
            {turns.piece(lost)}
            {turns.piece(days)}
            {turns.said(said::LOOKING)}
        </div>
    }
}

pub(super) fn middle(figure: Figure) -> (f64, Option<(f64, f64)>) {
    match figure {
        Figure::Rate(rate) => rate.share.map_or((0.0, None), |s| (s.at, Some((s.low, s.high)))),
        Figure::Mean(mean) => (mean.mean, mean.interval),
    }
}

/// A comparison: chart, verdict, and the list that opens.
pub(super) fn compared(book: &Book, found: &Behind, of: Of, by: By, prefs: &Prefs) -> AnyView {
    if found.rows.is_empty() {
        return view! { <p class="aside inset">{said::of_said(of)}</p><p class="card quiet">{said::NO_FIGURES}</p> }
            .into_any();
    }
    let drawn: Vec<Span> = found
        .rows
        .iter()
        .take(DRAWN)
        .map(|row| {
            let (at, ends) = middle(row.figure);
            Span { name: row.name.clone(), at, ends }
        })
        .collect();
    let shown = match of {
        Of::Days => |v: f64| format!("{v:.0} d"),
        Of::BabyMass if prefs.ounces => |v: f64| in_units(v, true),
        Of::BabyMass => |v: f64| in_units(v, false),
        _ => |v: f64| format!("{:.0} %", v * 100.0),
    };
    let all = found.all.map(|figure| {
        let (at, ends) = middle(figure);
        let line = format!("{} ({})", said::value(of, at, prefs), said::interval(of, ends, prefs));
        view! { <p>{said::TOGETHER}": "<b>{line}</b>", "{said::behind_n(of, figure, found.unjudged, &said::whose(found.whose))}</p> }
    });
    let rows: Vec<AnyView> = found.rows.iter().map(|row| back_row(book, row, of, by, prefs)).collect();
    view! {
        <p class="aside inset">{said::of_said(of)}</p>
        <section class="card">
            {spans("back-chart", said::spans_label(of, by), drawn, found.all.map(|figure| middle(figure).0), shown)}
            {all}
            <p data-verdict="" class="why">{said::verdict(found, of, by)}</p>
            {save_buttons("back-chart", "look-back")}
        </section>
        <section class="weeks">{rows}</section>
    }
    .into_any()
}

fn back_row(book: &Book, row: &BehindRow, of: Of, by: By, prefs: &Prefs) -> AnyView {
    let (at, ends) = middle(row.figure);
    let line = format!("{} ({})", said::value(of, at, prefs), said::interval(of, ends, prefs));
    let own = row.thing.as_ref().map(|thing| view! { <a class="reach" href=href(thing)>{row.name.clone()}</a> });
    view! {
        <details class="card week">
            <summary><span class="title">{row.name.clone()}</span><span>{line}<br /><span class="aside">{said::behind_n(of, row.figure, row.unjudged, &said::row_whose(by, row.whose))}</span></span></summary>
            {own}
            <p class="aside">{said::CLUTCHES_BEHIND}</p>
            {clutch_links(book, &row.clutches)}
        </details>
    }
    .into_any()
}

fn clutch_links(book: &Book, clutches: &[ClutchId]) -> AnyView {
    let links: Vec<AnyView> = clutches
        .iter()
        .map(|id| {
            let href = Page::Clutch(id.to_string()).href();
            view! { <a class="act small" href=href>{book.clutch_number(id)}</a> }.into_any()
        })
        .collect();
    view! { <div class="gap">{links}</div> }.into_any()
}

pub(super) fn losses_card(book: &Book, lost: Vec<LossRow>, ended: u32) -> AnyView {
    if lost.is_empty() {
        return view! { <h2>{said::LOSSES}</h2><p class="card quiet">{said::NO_LOSSES}</p> }.into_any();
    }
    let all = lost.iter().map(|row| row.eggs).sum();
    let rows: Vec<AnyView> = lost
        .iter()
        .map(|row| {
            view! {
                <details class="card week">
                    <summary><span class="title">{said::loss(row.fate, &row.why)}</span><span>{crate::words::count(row.eggs as usize, "egg", "eggs")}</span></summary>
                    {clutch_links(book, &row.clutches)}
                </details>
            }
            .into_any()
        })
        .collect();
    view! { <h2>{said::LOSSES}</h2><p class="aside inset">{said::losses_of(all, ended)}</p><section class="weeks">{rows}</section> }.into_any()
}

/// One picture a species, the species with most clutches first; those of one clutch in words only.
pub(super) fn days_cards(lines: Vec<DaysLine>, prefs: &Prefs) -> AnyView {
    const IDS: [&str; 3] = ["days-1", "days-2", "days-3"];
    if lines.is_empty() {
        return view! { <h2>{said::DAYS_ON_TEMPERATURE}</h2><p class="card quiet">{said::NO_DAYS}</p> }.into_any();
    }
    let asked = lines.iter().find_map(|line| said::days_asked(line.against?.asked));
    let cards: Vec<AnyView> = lines
        .into_iter()
        .enumerate()
        .map(|(i, line)| {
            let words = line.against.as_ref().map(|against| said::against(against, line.whose, prefs));
            let table: Vec<AnyView> = line
                .points
                .iter()
                .map(|point| {
                    let href = Page::Clutch(point.clutch.to_string()).href();
                    view! {
                        <tr><td><a class="reach" href=href>{point.number.clone()}</a></td>
                            <td>{heat::degrees(point.celsius, prefs)}</td><td>{format!("{:.1}", point.days)}</td></tr>
                    }
                    .into_any()
                })
                .collect();
            let picture = IDS.get(i).filter(|_| line.points.len() > 1).map(|id| {
                let dots = line.points.iter().map(|p| (p.celsius, p.days)).collect();
                let shown: (fn(f64) -> String, fn(f64) -> String) = if prefs.fahrenheit {
                    (|c| format!("{:.0} °F", c * 1.8 + 32.0), |d| format!("{d:.0} d"))
                } else {
                    (|c| format!("{c:.0} °C"), |d| format!("{d:.0} d"))
                };
                view! {
                    {points(id, said::points_label(&line.name), line.curve.clone(), dots, shown)}
                    {save_buttons(id, "days-on-temperature")}
                }
            });
            view! {
                <section class="card">
                    <h3>{line.name.clone()}</h3>
                    {picture}
                    <p>{words}</p>
                    <details>
                        <summary>{said::AS_TABLE}</summary>
                        <table class="table">
                            <thead><tr><th>{said::CLUTCH}</th><th>{said::TEMPERATURE}</th><th>{said::DAYS}</th></tr></thead>
                            <tbody>{table}</tbody>
                        </table>
                    </details>
                </section>
            }
            .into_any()
        })
        .collect();
    let asked = asked.map(|asked| view! { <p class="aside inset">{asked}</p> });
    view! { <h2>{said::DAYS_ON_TEMPERATURE}</h2>{asked}{cards} }.into_any()
}

/// A mean mass on an axis, in grams.
fn in_units(grams: f64, ounces: bool) -> String {
    let units = desk::Units { ounces, ..desk::Units::default() };
    trade::units::Mass::from_grams(grams).map_or_else(String::new, |mass| units.mass(mass))
}
