//! The lines of a box's page: counts, candlings, hatchings, notes, its label.

use super::boxes::{BoxCounts, CandlingLine, Change, HatchLine, LabelLine, NoteLine};
use super::parts::{TrayEgg, TrayState};
use super::water::WaterView;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::*;
use std::collections::BTreeMap;
use trade::when::When;
use trade::window::Window;

pub(super) fn nth(book: &Book, id: &FillingId) -> Option<(usize, usize)> {
    let clutches = book.clutches_in(id);
    let [clutch] = clutches.as_slice() else { return None };
    let boxes = book.fillings_of(&clutch.id);
    // Emptied boxes of the same clutch no longer count, or "box 2 of 2" would have no first beside it. Nor does a nest.
    let counts = |filling: &&Filling| !filling.is_nest() && (filling.to.is_none() || filling.id == *id);
    let open: Vec<&Filling> = boxes.into_iter().filter(counts).collect();
    let at = open.iter().position(|filling| filling.id == *id)?;
    (open.len() > 1).then_some((at + 1, open.len()))
}

pub(super) fn counts(tray: &[TrayEgg]) -> BoxCounts {
    let mut counts = BoxCounts::default();
    for egg in tray {
        match egg.fate {
            Some(Fate::Hatched) => counts.hatched += 1,
            Some(_) => counts.gone += 1,
            None => {
                counts.still_in += 1;
                match egg.laid_as {
                    Some(LaidAs::Slug) => counts.slug += 1,
                    Some(LaidAs::Dud) => counts.dud += 1,
                    _ => counts.good += 1,
                }
                match egg.state {
                    TrayState::Pipped | TrayState::Cut | TrayState::Out => counts.pipped += 1,
                    TrayState::Seen(Seen::Veins | Seen::Dark) => counts.live += 1,
                    TrayState::Seen(Seen::Dead) => counts.dead += 1,
                    TrayState::Seen(Seen::Unsure | Seen::Clear | Seen::Dented | Seen::Mouldy) => counts.doubtful += 1,
                    TrayState::Laid(_) | TrayState::Gone(_) => {}
                }
            }
        }
    }
    counts
}

pub(super) fn candling_lines(book: &Book, id: &FillingId) -> Vec<CandlingLine> {
    let all: Vec<&Candling> = book.candlings(id).collect();
    let letter = |egg: &EggId| book.egg(egg).and_then(|egg| egg.letter.clone()).unwrap_or_else(|| "?".to_owned());
    all.iter()
        .enumerate()
        .map(|(i, candling)| {
            let before = all.get(i + 1).map(|older| &older.seen);
            let mut changes = Vec::new();
            let mut seen = BTreeMap::new();
            for (egg, &to) in &candling.seen {
                *seen.entry(to).or_insert(0) += 1;
                let from = before.and_then(|before| before.get(egg)).copied();
                if from != Some(to) {
                    changes.push(Change { letter: letter(egg), from, to });
                }
            }
            changes.sort_by(|a, b| (a.letter.len(), &a.letter).cmp(&(b.letter.len(), &b.letter)));
            CandlingLine {
                id: candling.id.clone(),
                when: candling.when,
                changes,
                seen,
                note: candling.note.clone(),
                written: book.written(&candling.id.thing()),
            }
        })
        .collect()
}

pub(super) fn hatch_lines(book: &Book, id: &FillingId) -> Vec<HatchLine> {
    let mut lines: Vec<HatchLine> = Vec::new();
    for egg in book.eggs_ever_in(id) {
        for hatching in book.hatchings(&egg.id) {
            let Some(step) = hatching.step else { continue };
            lines.push(HatchLine {
                id: hatching.id.clone(),
                egg: egg.id.clone(),
                letter: egg.letter.clone().unwrap_or_else(|| "?".to_owned()),
                step,
                when: hatching.when,
                opened: hatching.opened,
                why: hatching.why.clone(),
                found: hatching.found.clone(),
                written: book.written(&hatching.id.thing()),
            });
        }
    }
    lines.sort_by_key(|line| std::cmp::Reverse((line.when.map(When::earliest), line.step)));
    lines
}

pub(super) fn notes_of(book: &Book, about: impl Iterator<Item = Thing>) -> Vec<NoteLine> {
    let mut lines: Vec<NoteLine> = Vec::new();
    for thing in about {
        lines.extend(book.notes(&thing).map(|note| NoteLine {
            id: note.id.clone(),
            about: thing.clone(),
            when: note.when,
            text: note.text.clone().unwrap_or_default(),
            written: book.written(&note.id.thing()),
        }));
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.when.map(When::earliest)));
    lines
}

pub(super) fn label_line(book: &Book, thing: &Thing, window: Option<&Window>, water: &WaterView) -> Option<LabelLine> {
    let print = book.label_prints(thing).next()?;
    let stale = !super::labels::changes(print, window, water.fill_to.map(|fill_to| fill_to.mass)).is_empty();
    Some(LabelLine { when: print.when, look_from: print.look_from, fill_to: print.fill_to, stale })
}
