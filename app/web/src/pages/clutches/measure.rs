//! Eggs under the caliper and on the scale, one row an egg; a few stand for the clutch.

use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, boxes as box_words, measures as words, units};
use book::acts::{EggMeasure, EggsMeasured};
use book::records::Egg;
use book::words::LaidAs;
use book::{Book, ClutchId, EggId};
use leptos::prelude::*;

/// One egg's three figures, as typed, and as they stood.
struct Row {
    egg: EggId,
    letter: String,
    typed: [RwSignal<String>; 3],
    before: [String; 3],
}

fn rows(book: &Book, id: &ClutchId, prefs: &crate::prefs::Prefs) -> Vec<Row> {
    let eggs = book.eggs_of(id).into_iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug));
    let row = |egg: &Egg| {
        let mm = |um: Option<i64>| um.map(|um| words::mm_digits(um)).unwrap_or_default();
        let before =
            [mm(egg.len_um), mm(egg.wid_um), egg.mass.map(|mass| units::mass_digits(mass, prefs)).unwrap_or_default()];
        Row {
            egg: egg.id.clone(),
            letter: egg.letter.clone().unwrap_or_else(|| "?".to_owned()),
            typed: before.clone().map(RwSignal::new),
            before,
        }
    };
    eggs.map(row).collect()
}

/// What was typed anew; `Err` says of which egg it is no number.
fn measured(row: &Row, prefs: &crate::prefs::Prefs) -> Result<Option<EggMeasure>, String> {
    let typed = row.typed.map(|value| value.get_untracked());
    let changed = |i: usize| typed[i].trim() != row.before[i] && !typed[i].trim().is_empty();
    let bad = || words::bad_figure(&row.letter);
    let mm = |i: usize| match changed(i) {
        true => units::number(&typed[i]).map(|mm| Some((mm * 1000.0).round() as i64)).ok_or_else(bad),
        false => Ok(None),
    };
    let mass = match changed(2) {
        true => Some(units::read_mass(&typed[2], prefs).ok_or_else(bad)?),
        false => None,
    };
    let measure = EggMeasure { egg: row.egg.clone(), len_um: mm(0)?, wid_um: mm(1)?, mass };
    let any = measure.len_um.is_some() || measure.wid_um.is_some() || measure.mass.is_some();
    Ok(any.then_some(measure))
}

#[component]
pub fn Measure(id: String) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let id = ClutchId::from(id.as_str());
    let rows = barn.peek(|book| rows(book, &id, &prefs.get_untracked()));
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
                view! {
                    <td><input type="text" inputmode="decimal" autocomplete="off" aria-label=label prop:value=value
                        on:input=move |ev| value.set(event_target_value(&ev)) /></td>
                }
                .into_any()
            });
            view! { <tr><th scope="row">{row.letter.clone()}</th>{cells.collect_view()}</tr> }.into_any()
        })
        .collect_view();
    let unit = units::mass_unit(&prefs.get_untracked());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let found: Result<Vec<_>, String> = rows.iter().map(|row| measured(row, &prefs.get_untracked())).collect();
        match found {
            Err(why) => barn.say(why, None),
            Ok(found) => {
                let to = Page::Clutch(id.to_string());
                let eggs = found.into_iter().flatten().collect();
                barn.save(EggsMeasured { eggs }, words::MEASURED, move |_| to.replace());
            }
        }
    };
    view! {
        <div class="page with-acts">
            <Head title=words::MEASURE.to_string() back />
            <Caution text=words::KEEP_UP />
            <p class="aside inset">{words::SOME_WILL_DO}</p>
            <form on:submit=save>
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
