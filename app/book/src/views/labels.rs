//! Printed labels: what they say that is no longer so, and what has none yet.

use super::boxes::{first_window, parts_of};
use crate::book::Book;
use crate::ids::*;
use crate::records::LabelPrint;
use crate::sums::SCALE;
use chrono::{NaiveDate, NaiveDateTime};
use trade::units::Mass;
use trade::when::When;
use trade::window::Window;

/// Something a printed label says that is no longer so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelChange {
    /// The look-from day: as printed, and as it is. `None` where there is no window.
    LookFrom { printed: Option<NaiveDate>, now: Option<NaiveDate> },
    /// The fill-to mass, likewise; it has moved by more than a scale shows.
    FillTo { printed: Option<Mass>, now: Option<Mass> },
}

/// A label on a box in use that tells a wrong window.
#[derive(Clone, Debug, PartialEq)]
pub struct LyingLabel {
    pub filling: FillingId,
    /// The clutches in the box, by number.
    pub numbers: Vec<String>,
    /// Where it stands, outermost first.
    pub path: Vec<String>,
    pub printed: Option<When>,
    pub change: LabelChange,
}

/// Days a look-from day may drift before the label is called wrong. A window breathes with every reading of the
/// shelf; a day either way changes nobody's round.
const DRIFT_DAYS: i64 = 1;

/// What the label printed last says that is no longer so, against a window and a fill-to mass of today. Empty when it
/// still holds or none was printed.
pub(super) fn changes(print: &LabelPrint, window: Option<&Window>, fill_to: Option<Mass>) -> Vec<LabelChange> {
    let mut out = Vec::new();
    let look_from = window.map(Window::look_from);
    let moved = match (print.look_from, look_from) {
        (Some(was), Some(is)) => (is - was).num_days().abs() > DRIFT_DAYS,
        (was, is) => was.is_some() != is.is_some(),
    };
    if moved {
        out.push(LabelChange::LookFrom { printed: print.look_from, now: look_from });
    }
    let refilled = match (print.fill_to, fill_to) {
        (Some(was), Some(is)) => (is - was).0.abs() > SCALE.0,
        (was, is) => was.is_some() != is.is_some(),
    };
    if refilled {
        out.push(LabelChange::FillTo { printed: print.fill_to, now: fill_to });
    }
    out
}

/// Boxes in use whose printed window no longer agrees with the present one, in walking order of their shelves. A box
/// that was emptied has retired its label, and a blank label told no window.
pub fn lying_labels(book: &Book, now: NaiveDateTime) -> Vec<LyingLabel> {
    let walk: Vec<&PlaceId> = book.places().into_iter().map(|place| &place.id).collect();
    let mut out: Vec<(usize, LyingLabel)> = Vec::new();
    for filling in book.open_boxes() {
        let Some(print) = book.label_prints(&filling.id.thing()).next() else { continue };
        let parts = parts_of(book, &filling.id, now);
        let Some(part) = first_window(&parts).filter(|part| part.eggs > 0) else { continue };
        let change = changes(print, part.window.as_ref().ok(), print.fill_to).into_iter().next();
        let place = book.place_of(&filling.id.thing());
        out.extend(change.map(|change| {
            let order = place.and_then(|place| walk.iter().position(|id| **id == place.id)).unwrap_or(usize::MAX);
            let lying = LyingLabel {
                filling: filling.id.clone(),
                numbers: parts.iter().map(|part| part.number.clone()).collect(),
                path: place.map(|place| book.path_names(&place.id)).unwrap_or_default(),
                printed: print.when,
                change,
            };
            (order, lying)
        }));
    }
    crate::order::sort(&mut out, |(order, _)| *order);
    out.into_iter().map(|(_, lying)| lying).collect()
}

/// Whether a label for the thing was printed, or it was begun from a blank one.
pub fn has_label(book: &Book, thing: &Thing) -> bool {
    book.label_prints(thing).next().is_some() || book.label(&LabelId::from(thing.id.as_str())).is_some()
}
