//! Eggs under the caliper and on the scale, one row an egg; a few stand for the clutch.

use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::forms::{Cell, Faults};
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, boxes as box_words, measures as words};
use book::records::Egg;
use book::words::LaidAs;
use book::{Book, ClutchId};
use desk::forms::eggs::{MeasureRow, measured};
use desk::{Entry, Measure as Of};
use leptos::prelude::*;

/// One egg's three figures, as they are typed.
struct Row {
    start: MeasureRow,
    letter: String,
    typed: [RwSignal<Entry>; 3],
}

fn rows(book: &Book, id: &ClutchId) -> Vec<Row> {
    let eggs = book.eggs_of(id).into_iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug));
    let row = |egg: &Egg| {
        let start = MeasureRow::new(egg, units());
        let typed = [&start.length, &start.width, &start.mass].map(|entry| RwSignal::new(entry.clone()));
        Row { letter: egg.letter.clone().unwrap_or_else(|| "?".to_owned()), typed, start }
    };
    eggs.map(row).collect()
}

impl Row {
    fn get(&self) -> MeasureRow {
        let [length, width, mass] = self.typed.map(|entry| entry.get_untracked());
        MeasureRow { length, width, mass, ..self.start.clone() }
    }
}

#[component]
pub fn Measure(id: String) -> impl IntoView {
    let (barn, faults) = (barn(), Faults::new());
    let id = ClutchId::from(id.as_str());
    let rows = barn.peek(|book| rows(book, &id));
    if rows.is_empty() {
        return view! {
            <div class="page"><Empty text=words::NO_EGGS><a class="act main" href=Page::Clutch(id.to_string()).href()>{box_words::TITLE}</a></Empty></div>
        }
        .into_any();
    }
    let number = barn.peek(|book| book.clutch_number(&id));
    let back = (Page::Clutch(id.to_string()), number);
    let lines = rows
        .iter()
        .map(|row| {
            let cells = [words::LENGTH, words::WIDTH, words::MASS].into_iter().zip(row.typed).map(|(what, value)| {
                let label = words::cell(&row.letter, what);
                view! { <td><Cell entry=value label faults /></td> }.into_any()
            });
            view! { <tr><th scope="row">{row.letter.clone()}</th>{cells.collect_view()}</tr> }.into_any()
        })
        .collect_view();
    let unit = Of::Mass.sign(units());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let rows: Vec<_> = rows.iter().map(Row::get).collect();
        let Some(act) = faults.pass(measured(&rows, units())) else { return };
        let to = Page::Clutch(id.to_string());
        barn.save(act, words::MEASURED, move |_| to.replace());
    };
    view! {
        <div class="page with-acts">
            <Head title=words::MEASURE.to_string() back />
            <Caution text=words::KEEP_UP />
            <p class="aside inset">{words::SOME_WILL_DO}</p>
            <form novalidate on:submit=save>
                <table class="table sheet">
                    <thead><tr>
                        <th scope="col">{words::EGG}</th>
                        <th scope="col">{words::LENGTH}" mm"</th>
                        <th scope="col">{words::WIDTH}" mm"</th>
                        <th scope="col">{words::MASS}" "{unit}</th>
                    </tr></thead>
                    <tbody>{lines}</tbody>
                </table>
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}
