//! Pairings: who is with whom, what was seen, and when eggs are to be expected.

use super::animal::{NextStep, lay_step};
use super::breeding::first_of;
use crate::book::{Book, Written};
use crate::ids::*;
use crate::records::*;
use crate::words::{AnimalEventWhat, Sex};
use chrono::{NaiveDateTime, TimeDelta};
use std::cmp::Reverse;
use trade::lay::Sign;
use trade::when::When;

/// A pairing in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct PairingRow {
    pub id: PairingId,
    /// Dams, then sires, by name.
    pub dams: Vec<(AnimalId, String)>,
    pub sires: Vec<(AnimalId, String)>,
    pub when: Option<When>,
    pub ended: Option<When>,
    pub locks: usize,
    pub last_lock: Option<When>,
    /// What is expected of its dams, most urgent first; empty once the eggs are there.
    pub next: Vec<(AnimalId, NextStep)>,
    /// Clutches that came of it, newest first: laid after it, by a dam and (where known) a sire of it.
    pub clutches: Vec<(ClutchId, String, Option<When>)>,
}

impl PairingRow {
    /// Eggs are still to be expected of it.
    pub fn waits(&self) -> bool {
        self.next.iter().any(|(_, next)| !matches!(next, NextStep::NoEggs { .. }))
    }
}

/// Everything a pairing's page shows.
#[derive(Clone, Debug, PartialEq)]
pub struct PairingView {
    pub row: PairingRow,
    pub dams: Vec<DamLine>,
    /// Newest first.
    pub locks: Vec<LockLine>,
    pub note: Option<String>,
    pub clashing: bool,
}

/// A dam of a pairing.
#[derive(Clone, Debug, PartialEq)]
pub struct DamLine {
    pub id: AnimalId,
    pub name: String,
    pub next: Option<NextStep>,
    /// Ovulation, pre-lay shed and lay box seen since she was introduced, newest first.
    pub seen: Vec<(AnimalEventWhat, When)>,
}

/// Females whose eggs are due by now, the longest expected first: of a clutch just found, the likeliest dams.
pub fn due_dams(book: &Book, now: NaiveDateTime) -> Vec<AnimalId> {
    let due = |animal: &Animal| {
        let outlook = book.outlook(&animal.id, now)?;
        let (sign, since) = match lay_step(&outlook, now) {
            NextStep::Overdue { sign, due, .. } => (sign, due),
            NextStep::EggsDue { sign, from, open: true, .. } => (sign, from),
            NextStep::EggsDue { .. }
            | NextStep::Straining { .. }
            | NextStep::NoEggs { .. }
            | NextStep::EggsToBox { .. }
            | NextStep::Gone { .. } => return None,
        };
        (sign.is_gravid() || sign == Sign::Laid).then(|| (since, animal.id.clone()))
    };
    let hers = book.animals().into_iter().filter(|animal| animal.is_here() && animal.sex == Some(Sex::Female));
    let mut dams: Vec<_> = hers.filter_map(due).collect();
    dams.sort();
    dams.into_iter().map(|(_, id)| id).collect()
}

/// Copulation seen.
#[derive(Clone, Debug, PartialEq)]
pub struct LockLine {
    pub id: LockSeenId,
    pub when: Option<When>,
    pub written: Option<Written>,
}

/// All pairings: those together now, then those whose eggs are waited for, then the others; each newest first.
pub fn pairing_rows(book: &Book, now: NaiveDateTime) -> Vec<PairingRow> {
    let mut rows: Vec<PairingRow> = book.pairings().map(|pairing| row(book, pairing, now)).collect();
    rows.sort_by_cached_key(|row| {
        let order = match (row.clutches.is_empty(), row.ended.is_none(), row.waits()) {
            (true, true, _) => 0,
            (true, false, true) => 1,
            _ => 2,
        };
        (order, Reverse(row.when.map(When::earliest)), row.id.clone())
    });
    rows
}

/// The page of a pairing. `None` when there is no such pairing.
pub fn pairing_view(book: &Book, id: &PairingId, now: NaiveDateTime) -> Option<PairingView> {
    let pairing = book.pairing(id)?;
    let row = row(book, pairing, now);
    let since = |when: &When| pairing.when.is_none_or(|from| when.latest() >= from.earliest());
    let dams = pairing.dams.iter().map(|dam| {
        let events = book.animal_events(dam).filter_map(|event| Some((event.what?, event.when?)));
        let hers = |what: AnimalEventWhat| {
            matches!(what, AnimalEventWhat::Ovulation | AnimalEventWhat::PreLayShed | AnimalEventWhat::LayBox)
        };
        DamLine {
            id: dam.clone(),
            name: book.animal_name(dam),
            next: row.next.iter().find(|(id, _)| id == dam).map(|(_, next)| next.clone()),
            seen: events.filter(|(what, when)| hers(*what) && since(when)).collect(),
        }
    });
    let locks = book.locks(id).map(|lock| LockLine {
        id: lock.id.clone(),
        when: lock.when,
        written: book.written(&lock.id.thing()),
    });
    Some(PairingView {
        dams: dams.collect(),
        locks: locks.collect(),
        note: pairing.note.clone(),
        clashing: book.clashes_in(&id.thing()),
        row,
    })
}

fn row(book: &Book, pairing: &Pairing, now: NaiveDateTime) -> PairingRow {
    let named = |ids: &[AnimalId]| ids.iter().map(|id| (id.clone(), book.animal_name(id))).collect();
    let clutches = clutches_of(book, pairing);
    let latest = |dam: &AnimalId| {
        let newer = |other: &Pairing| {
            other.dams.contains(dam) && other.when.map(When::earliest) > pairing.when.map(When::earliest)
        };
        !book.pairings_of(dam).any(newer)
    };
    let mut next = Vec::new();
    // Once she has laid, or was put with another, what is expected of her is told there.
    for dam in pairing.dams.iter().filter(|dam| clutches.is_empty() && latest(dam)) {
        // Eggs that follow on a clutch of before are not of this pairing.
        let outlook = book.outlook(dam, now).filter(|outlook| outlook.sign != Sign::Laid);
        next.extend(outlook.map(|outlook| (dam.clone(), lay_step(&outlook, now))));
    }
    PairingRow {
        id: pairing.id.clone(),
        dams: named(&pairing.dams),
        sires: named(&pairing.sires),
        when: pairing.when,
        ended: pairing.ended,
        locks: book.locks(&pairing.id).count(),
        last_lock: book.locks(&pairing.id).find_map(|lock| lock.when),
        next,
        clutches: clutches.into_iter().map(|id| (id.clone(), book.clutch_number(&id), book.clutch_laid(&id))).collect(),
    }
}

/// Longer than a pairing's sperm and eggs take in any species here (common practice, no source).
pub(super) const MOST_DAYS: i64 = 270;

fn clutches_of(book: &Book, pairing: &Pairing) -> Vec<ClutchId> {
    let Some(from) = pairing.when.map(When::earliest) else { return Vec::new() };
    let mut found: Vec<ClutchId> = Vec::new();
    for dam in &pairing.dams {
        for clutch in book.clutches_of(dam).filter(|clutch| clutch.dams.contains(dam)) {
            let laid = book.clutch_laid(&clutch.id).map(When::latest);
            let in_time = laid.is_some_and(|laid| laid > from && laid - from < TimeDelta::days(MOST_DAYS));
            let nobodys = clutch.sires.is_empty() && !clutch.no_male;
            let his = nobodys || clutch.sires.iter().any(|sire| pairing.sires.contains(sire));
            let first = first_of(book, clutch);
            if in_time && his && !found.contains(&first) {
                found.push(first);
            }
        }
    }
    found
}
