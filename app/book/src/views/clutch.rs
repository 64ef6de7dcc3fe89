//! A clutch as its page shows it.

use super::box_lines::notes_of;
use super::boxes::{BoxRow, NoteLine, box_row};
use super::males::{NoMaleSince, no_male_since};
use super::measures::{Measures, measures};
use super::parts::{Parents, TrayEgg, parents, tray_egg};
use super::sum::{Sum, sum_of};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::ClutchCame;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::species::Profile;
use trade::units::Mass;
use trade::when::When;
use trade::window::{Refusal, Window};

/// Everything a clutch's page shows. Clutch records joined as one are shown as one.
#[derive(Clone, Debug, PartialEq)]
pub struct ClutchView {
    pub id: ClutchId,
    pub number: String,
    /// The other records of this clutch, with their numbers.
    pub also: Vec<(ClutchId, String)>,
    pub species: Profile,
    pub parents: Parents,
    /// No male was with its dam for longer than the eggs of a pairing take before it was laid.
    pub no_male: Option<NoMaleSince>,
    pub laid: Option<When>,
    pub found: Option<When>,
    pub came: Option<ClutchCame>,
    pub gravid: Option<(Mass, Option<NaiveDate>)>,
    pub spent: Option<(Mass, Option<NaiveDate>)>,
    pub counts: Option<Counts>,
    pub sum: Sum,
    pub eggs: Vec<EggLine>,
    /// The boxes it is or was in, oldest first.
    pub boxes: Vec<BoxRow>,
    /// Of the eggs still in, all boxes together, those of the first box's shelf.
    pub window: Result<Window, Refusal>,
    pub measures: Measures,
    /// Its record's note, when there is one.
    pub note: Option<String>,
    pub notes: Vec<NoteLine>,
    pub warnings: Vec<ClutchWarning>,
}

/// An egg and where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct EggLine {
    pub egg: TrayEgg,
    pub at: Option<Where>,
    pub mass: Option<Mass>,
    /// Animals that came out of it.
    pub young: Vec<AnimalId>,
}

/// What to heed about a clutch.
#[derive(Clone, Debug, PartialEq)]
pub enum ClutchWarning {
    /// The eggs in the book are not as many as were counted.
    SumOff { counted: u32, in_book: u32 },
    /// Another clutch, not joined to this one, carries the same number.
    NumberTwice { others: Vec<ClutchId> },
    /// Two records clash.
    Clash { things: Vec<Thing> },
    /// Eggs that are in no box.
    NotBoxed { eggs: u32 },
    /// Found and not yet pulled.
    NotPulled,
}

/// The page of a clutch. `None` when there is no such clutch.
pub fn clutch_view(book: &Book, id: &ClutchId, now: NaiveDateTime) -> Option<ClutchView> {
    let own = book.clutch(id)?;
    let mut all: Vec<&Clutch> = book.same_clutch(id);
    // The record asked for speaks first; the others complete it.
    all.sort_by_key(|clutch| clutch.id != *id);
    let eggs: Vec<&Egg> = all.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
    let still_in: Vec<&Egg> = eggs.iter().copied().filter(|egg| egg.fate.is_none()).collect();
    let gravid = all.iter().find_map(|c| Some((c.gravid?, c.gravid_on)));
    let spent = all.iter().find_map(|c| Some((c.spent?, c.spent_on)));
    let mut boxes: Vec<BoxRow> = Vec::new();
    for filling in all.iter().flat_map(|clutch| book.fillings_of(&clutch.id)) {
        if !boxes.iter().any(|row| row.id == filling.id) {
            boxes.push(box_row(book, &filling.id, now));
        }
    }
    let nest = boxes.iter().find(|row| row.nest.as_ref().is_some_and(|nest| !nest.counted));
    let window = match nest {
        Some(nest) => nest.window.clone(),
        None => book.window_of(if still_in.is_empty() { &eggs } else { &still_in }, now),
    };
    let both = parents(book, id);
    let mut view = ClutchView {
        id: id.clone(),
        number: book.clutch_number(id),
        also: all.iter().skip(1).map(|c| (c.id.clone(), book.clutch_number(&c.id))).collect(),
        species: book.clutch_profile(own),
        no_male: no_male(book, &both, id),
        parents: both,
        laid: all.iter().find_map(|c| c.laid),
        found: all.iter().find_map(|c| c.found),
        came: all.iter().find_map(|c| c.came),
        counts: all.iter().find_map(|c| c.counts()),
        sum: sum_of(book, id),
        measures: measures(book, id),
        gravid,
        spent,
        eggs: eggs.iter().map(|egg| egg_line(book, egg)).collect(),
        boxes,
        window,
        note: all.iter().find_map(|c| c.note.clone()),
        notes: notes_of(book, all.iter().map(|c| c.id.thing())),
        warnings: Vec::new(),
    };
    view.warnings = warnings(book, &view);
    Some(view)
}

/// Of one dam only: of two it is not known whose males count.
fn no_male(book: &Book, both: &Parents, id: &ClutchId) -> Option<NoMaleSince> {
    match both.dams.as_slice() {
        [(dam, _)] => no_male_since(book, dam, book.clutch_laid(id)?.latest() - TimeDelta::minutes(1)),
        _ => None,
    }
}

fn egg_line(book: &Book, egg: &Egg) -> EggLine {
    EggLine {
        egg: tray_egg(book, egg),
        at: book.whereabouts(&egg.id.thing()).cloned(),
        mass: egg.mass,
        young: book.young_of(&egg.id).map(|animal| animal.id.clone()).collect(),
    }
}

fn warnings(book: &Book, view: &ClutchView) -> Vec<ClutchWarning> {
    let mut warnings = Vec::new();
    if let Some(counted) = view.sum.counted.filter(|_| !view.sum.agrees()) {
        warnings.push(ClutchWarning::SumOff { counted, in_book: view.sum.in_book });
    }
    let own: Vec<&ClutchId> = std::iter::once(&view.id).chain(view.also.iter().map(|(id, _)| id)).collect();
    let others: Vec<ClutchId> = book
        .clutches_numbered(&view.number)
        .filter(|clutch| !own.contains(&&clutch.id))
        .map(|clutch| clutch.id.clone())
        .collect();
    if !others.is_empty() {
        warnings.push(ClutchWarning::NumberTwice { others });
    }
    let mut things: Vec<Thing> = own.iter().map(|id| id.thing()).collect();
    things.extend(view.eggs.iter().map(|line| line.egg.id.thing()));
    things.retain(|thing| book.clashes_in(thing));
    if !things.is_empty() {
        warnings.push(ClutchWarning::Clash { things });
    }
    if view.eggs.is_empty() && book.nest(&view.id).is_none() {
        warnings.push(ClutchWarning::NotPulled);
    }
    let unboxed = view.eggs.iter().filter(|line| line.egg.is_in && !matches!(line.at, Some(Where::Filling(_)))).count();
    if unboxed > 0 {
        warnings.push(ClutchWarning::NotBoxed { eggs: u32::try_from(unboxed).unwrap_or(u32::MAX) });
    }
    warnings
}
