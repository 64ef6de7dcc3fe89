//! The ruler page: what a printer adds, measured and remembered by the printer's name.

use super::stock::StockChoice;
use super::{draw, out};
use crate::paper::Printer;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::trail;
use crate::ui::Head;
use crate::ui::forms::{Faults, Quantity, TextField};
use crate::words::{self, labels as said};
use desk::forms::{millimetres, mm};
use labels::stock::{Calibration, Ruler};
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn PrinterPage() -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let page = move || prefs.with(|p| p.paper.stock.stock(p.paper.dpi()).page());
    let ruler = Memo::new(move |_| Ruler::of(page()));
    let name = RwSignal::new(String::new());
    let faults = Faults::new();
    let blank = |label: String| RwSignal::new(mm(label, None));
    let (left, top) = (blank(said::FROM_LEFT.to_owned()), blank(said::FROM_TOP.to_owned()));
    let named = move |r: &Ruler| [said::ruler_across(r.across), said::ruler_down(r.down)];
    let [across, down] = named(&ruler.get_untracked()).map(blank);
    // Another paper has other rulers; what was typed stays.
    Effect::new(move |_| {
        for (field, label) in [across, down].into_iter().zip(named(&ruler.get())) {
            field.update(|field| field.ask.label = label);
        }
    });
    let give = move |_| {
        let made = draw::ruler(said::PRINTER_TITLE, page());
        spawn_local(async move {
            let given = match made {
                Ok(bytes) => {
                    out::give(&bytes, "ruler-page.pdf", "application/pdf").await.map_err(|_| said::NOT_GIVEN.into())
                }
                Err(why) => Err(why),
            };
            if let Err(why) = given {
                barn.amiss(words::scan::sentence(&why));
            }
        });
    };
    let keep = move |_| {
        let name = name.get_untracked().trim().to_owned();
        if name.is_empty() {
            return barn.amiss(said::NAME_PRINTER.into());
        }
        let typed = [across, down, left, top].map(|field| field.get_untracked());
        let Some([across, down, left, top]) = faults.pass(millimetres(typed.each_ref())) else { return };
        match Calibration::measured(&ruler.get_untracked(), across, down, left, top) {
            Err(bad) => barn.amiss(words::scan::sentence(&bad.to_string())),
            Ok(c) => {
                prefs.update(|p| {
                    p.paper.printers.retain(|p| p.name != name);
                    let scale = (c.scale_x, c.scale_y);
                    p.paper.printers.push(Printer { name: name.clone(), right: c.right, down: c.down, scale });
                    p.paper.printer = Some(name);
                });
                trail::saved();
                barn.say(said::PRINTER_KEPT.into(), None);
            }
        }
    };
    view! {
        <div class="page alone ruler-page">
            <Head title=said::PRINTER_TITLE.to_string() back=(Page::PrintLabels, said::CHOOSE_TITLE.to_string()) />
            <p class="card">{said::PRINTER_HOW}</p>
            <StockChoice />
            <button type="button" class="act" on:click=give>{said::GET_RULER}</button>
            <TextField label=said::PRINTER_NAME value=name />
            {move || {
                ruler.track();
                view! { <Quantity entry=across faults /><Quantity entry=down faults /> }
            }}
            <Quantity entry=left faults />
            <Quantity entry=top faults />
            {move || prefs.with(|p| (!p.paper.printers.is_empty()).then(|| view! {
                <h2>{said::PRINTERS}</h2>
                {p.paper.printers.iter().map(|printer| {
                    let name = printer.name.clone();
                    view! {
                        <div class="row">
                            <span class="text"><span class="title">{printer.name.clone()}</span>
                                <span class="aside">{said::correction(printer.right, printer.down, printer.scale)}</span></span>
                            <button type="button" class="act small" on:click=move |_| prefs.update(|p| {
                                p.paper.printers.retain(|p| p.name != name);
                                if p.paper.printer.as_ref() == Some(&name) { p.paper.printer = None; }
                            })>{said::FORGET_PRINTER}</button>
                        </div>
                    }
                }).collect_view()}
            }))}
            <div class="acts"><button type="button" class="act main" on:click=keep>{said::KEEP_PRINTER}</button></div>
        </div>
    }
}
