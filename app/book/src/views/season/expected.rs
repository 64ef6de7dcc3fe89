//! Pairs that have not laid yet: whether, when and how much they may lay, with all of that unsure.

use super::groups::after;
use super::learned::{Learned, PAIR_DAYS, laid_after, parents};
use super::{Source, WhatIf, cross, day_number, room_of};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use trade::forecast::{Eggs, Group, Timing};
use trade::lay::Sign;
use trade::luck::{Of, Start};
use trade::species::{Profile, Span};
use trade::when::When;
use trade::window::Refusal;

/// Ovulation or a shed before laying makes eggs all but sure (common practice, no source).
const LAYS_WHEN_GRAVID: f64 = 0.95;

type Found = (Vec<(Source, Group)>, Vec<(Source, Refusal)>);

pub(super) fn paired(book: &Book, now: NaiveDateTime, learned: &Learned, what_if: &WhatIf) -> Found {
    let (mut groups, mut left) = (Vec::new(), Vec::new());
    for (dam, pairing) in open_pairs(book, now) {
        let Some(animal) = book.animal(&dam) else { continue };
        let species = animal.species.clone().unwrap_or_default();
        let profile = book.species_of(animal.species.as_deref());
        let shelf = shelf_for(book, &species, &profile);
        let name = cross(&[book.animal_name(&dam)], &book.animal_names(&pairing.sires));
        let Some(from) = pairing.when else { continue };
        let later = what_if.later.iter().find(|(id, _)| *id == pairing.id).map_or(0, |(_, days)| *days);
        let (lay, chance) = lay_span(book, &dam, from, later, now, learned);
        let source = Source {
            of: pairing.id.thing(),
            parents: name.clone(),
            name,
            species_name: profile.name.to_string(),
            since: None,
            chance,
            room: shelf.as_ref().and_then(|shelf| room_of(book, shelf)),
            species: species.clone(),
        };
        let set = shelf.as_ref().and_then(|shelf| book.set_if(shelf, &what_if.set).or_else(|| book.set_temp(shelf)));
        let celsius = set.map_or(profile.shelf_c, |temp| temp.celsius());
        match Timing::expected(&book.model(&species), lay, celsius) {
            Err(why) => left.push((source, why)),
            Ok(timing) => groups.push((
                source,
                Group {
                    key: format!("{} {dam}", pairing.id),
                    of: Of {
                        start: Start::at(profile.kin, celsius),
                        species: species.clone(),
                        shelf: shelf.map(|shelf| shelf.to_string()).unwrap_or_default(),
                        // The middle of the days it may be laid on.
                        season: year_of(0.5 * (lay.0 + lay.1)).to_string(),
                        ..parents(std::slice::from_ref(&dam), &pairing.sires)
                    },
                    boxes: 1,
                    laid: chance,
                    eggs: Eggs::Usual((f64::from(profile.clutch.0), f64::from(profile.clutch.1))),
                    timing,
                    after: after(&profile, learned, &species),
                    pipped: Vec::new(),
                    young: Vec::new(),
                },
            )),
        }
    }
    (groups, left)
}

/// The year of a day counted from 1970.
fn year_of(day: f64) -> i32 {
    chrono::DateTime::from_timestamp((day * 86_400.0) as i64, 0).map_or(1970, |at| at.year())
}

/// Each female's latest pairing of this season that no eggs have come of.
fn open_pairs(book: &Book, now: NaiveDateTime) -> BTreeMap<AnimalId, &Pairing> {
    let mut open: BTreeMap<AnimalId, &Pairing> = BTreeMap::new();
    for pairing in book.pairings() {
        let Some(from) = pairing.when.filter(|from| from.earliest() <= now) else { continue };
        if now - from.latest() > TimeDelta::days(PAIR_DAYS) {
            continue;
        }
        for dam in &pairing.dams {
            let here = book.animal(dam).is_some_and(Animal::is_here);
            let newer = open.get(dam).and_then(|known| known.when).is_some_and(|known| known.latest() > from.latest());
            if here && !newer && laid_after(book, dam, from).is_none() {
                open.insert(dam.clone(), pairing);
            }
        }
    }
    open
}

/// The span of lay days, in days since 1970, and the chance that she lays at all: by what was seen of her since her last
/// clutch, as Rounds and her own page say it; else by the introduction, which came after her last clutch. What of the span
/// has passed speaks against it.
fn lay_span(book: &Book, dam: &AnimalId, from: When, later: i64, now: NaiveDateTime, learned: &Learned) -> (Span, f64) {
    let (low, high, chance) = match book.outlook(dam, now).filter(|outlook| outlook.sign != Sign::Laid) {
        Some(outlook) => {
            let (low, high) = outlook.window.unlooked.likely;
            let chance = if outlook.sign.is_gravid() { LAYS_WHEN_GRAVID } else { learned.lays() };
            (day_number(low), day_number(high), chance)
        }
        None => {
            let (start, span) = (day_number(from.middle()), learned.lay_days());
            (start + span.0, start + span.1, learned.lays())
        }
    };
    let (low, high) = (low + later as f64, high + later as f64);
    let today = day_number(now);
    // Past the span a tail is left: late layers, one in ten.
    let left = ((high - today) / (high - low).max(1.0)).clamp(0.1, 1.0);
    let chance = if today > low { chance * left / (chance * left + 1.0 - chance) } else { chance };
    let low = low.max(today);
    ((low, high.max(low + 7.0)), chance)
}

/// The shelf a species' eggs mostly stand on now; else the one set nearest to what is usual for it.
fn shelf_for(book: &Book, species: &str, profile: &Profile) -> Option<PlaceId> {
    let mut used: BTreeMap<PlaceId, usize> = BTreeMap::new();
    for filling in book.open_boxes() {
        let same = book.clutches_in(&filling.id).iter().any(|c| book.clutch_species(c).as_deref() == Some(species));
        if let (true, Some(place)) = (same, book.place_of(&filling.id.thing())) {
            *used.entry(place.id.clone()).or_default() += 1;
        }
    }
    if let Some((place, _)) = used.into_iter().max_by_key(|(_, boxes)| *boxes) {
        return Some(place);
    }
    let shelves = book.shelves().into_iter().filter_map(|shelf| Some((shelf, book.set_temp(&shelf.id)?)));
    let far = |celsius: f64| (celsius - profile.shelf_c).abs();
    let nearest = shelves.min_by(|a, b| far(a.1.celsius()).total_cmp(&far(b.1.celsius())));
    nearest.map(|(shelf, _)| shelf.id.clone())
}
