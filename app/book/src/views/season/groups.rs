//! Clutches that are laid, as the forecast takes them.

use super::learned::{Learned, first_meal, first_shed, parents as luck_of};
use super::{Source, WhatIf, cross, day_number, room_of};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::views::parts::parents;
use crate::views::since::Since;
use crate::words::*;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use std::collections::BTreeSet;
use trade::forecast::{After, Eggs, Group, MEAL_DAYS, Timing, Young};
use trade::luck::{Of, Start};
use trade::species::Profile;
use trade::success;
use trade::when::When;
use trade::window::Refusal;

/// Young are followed for so many days: then their first meal is no longer news.
const FOLLOWED_DAYS: i64 = 150;
/// Dark and clear eggs say nothing in the last days before the window.
const LATE_DAYS: i64 = 14;

type Found = (Vec<(Source, Group)>, Vec<(Source, Refusal)>);

pub(super) fn laid(book: &Book, now: NaiveDateTime, learned: &Learned, what_if: &WhatIf) -> Found {
    let (mut groups, mut left) = (Vec::new(), Vec::new());
    let mut counted: BTreeSet<FillingId> = BTreeSet::new();
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        if joined.first().is_some_and(|first| first.id != clutch.id) {
            continue;
        }
        let eggs: Vec<&Egg> = joined.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
        let open: Vec<&Egg> = eggs.iter().copied().filter(|egg| egg.fate.is_none()).collect();
        let young = young_of(book, &eggs, now);
        if open.is_empty() && young.is_empty() && !eggs.is_empty() {
            continue;
        }
        let source = source_of(book, clutch, &open);
        let boxes = open.iter().filter_map(|egg| match book.whereabouts(&egg.id.thing()) {
            Some(Where::Filling(filling)) if !book.is_nest(filling) => Some(filling.clone()),
            _ => None,
        });
        let boxes = boxes.filter(|filling| counted.insert(filling.clone())).count() as u32;
        let work = Work { book, now, learned, what_if, clutch, source: &source };
        match work.group(&open, young, boxes) {
            Ok(group) => groups.push((source, group)),
            Err(why) => left.push((source, why)),
        }
    }
    (groups, left)
}

/// One clutch at a time.
struct Work<'a> {
    book: &'a Book,
    now: NaiveDateTime,
    learned: &'a Learned,
    what_if: &'a WhatIf,
    clutch: &'a Clutch,
    source: &'a Source,
}

impl Work<'_> {
    fn group(&self, open: &[&Egg], young: Vec<Young>, boxes: u32) -> Result<Group, Refusal> {
        let Work { book, clutch, source, .. } = *self;
        let profile = book.clutch_profile(clutch);
        let did = |egg: &Egg, step| book.did(&egg.id, step).and_then(|h| h.when);
        let is_out = |egg: &Egg| book.did(&egg.id, Step::Out).is_some();
        let broken: Vec<&Egg> = open
            .iter()
            .copied()
            .filter(|egg| !is_out(egg) && (did(egg, Step::Pip).is_some() || did(egg, Step::Cut).is_some()))
            .collect();
        let pipped = broken.iter().filter_map(|egg| did(egg, Step::Pip).or(did(egg, Step::Cut)));
        let pipped: Vec<NaiveDateTime> = pipped.map(When::middle).collect();
        let whole: Vec<&Egg> = open
            .iter()
            .copied()
            .filter(|egg| book.may_hatch(egg) && !is_out(egg) && !broken.iter().any(|b| b.id == egg.id))
            .collect();
        let after = after(&profile, self.learned, &source.species);
        let (timing, eggs, celsius) = self.timing(&profile, open, &whole, pipped.is_empty() && young.is_empty())?;
        let shelf = open.first().and_then(|egg| book.place_of(&egg.id.thing())).map(|place| place.id.to_string());
        Ok(Group {
            key: clutch.id.to_string(),
            of: Of {
                start: Start::at(profile.kin, celsius),
                species: source.species.clone(),
                shelf: shelf.unwrap_or_default(),
                season: source.since.map_or(self.now.year(), |since| since.when.date().year()).to_string(),
                ..luck_of(&clutch.dams, clutch.only_of())
            },
            boxes,
            laid: 1.0,
            eggs,
            timing,
            after,
            pipped,
            young,
        })
    }

    /// When, how many, and at which mean temperature. A clutch that only has young left needs no dates.
    fn timing(
        &self,
        profile: &Profile,
        open: &[&Egg],
        whole: &[&Egg],
        needed: bool,
    ) -> Result<(Timing, Eggs, f64), Refusal> {
        let Work { book, now, clutch, source, .. } = *self;
        let none = || {
            let eggs = Eggs::Seen { eggs: Vec::new(), late: false };
            (Timing::steady(day_number(now), profile.ref_days, (0.0, 0.0, 0.01), 1.0), eggs, profile.shelf_c)
        };
        if open.is_empty() && !needed {
            return Ok(none());
        }
        if open.is_empty() {
            // Found and not pulled: nobody has counted or boxed them yet.
            let laid = book.clutch_laid(&clutch.id).ok_or(Refusal::NoPlace)?;
            let lay = (day_number(laid.earliest()), day_number(laid.latest()));
            let timing = Timing::expected(&book.model(&source.species), lay, profile.shelf_c)?;
            let eggs = match clutch.counts() {
                Some(counts) => Eggs::Seen { eggs: vec![success::Seen::NotYet; counts.good as usize], late: false },
                None => Eggs::Usual((f64::from(profile.clutch.0), f64::from(profile.clutch.1))),
            };
            return Ok((timing, eggs, profile.shelf_c));
        }
        let found = book.window_of(open, now).and_then(|window| {
            let timing = book.timing_of(open, now, &self.what_if.set)?;
            Ok((window, timing))
        });
        let (window, timing) = match found {
            Ok(found) => found,
            // What has pipped or is out comes without a window.
            Err(_) if !needed => return Ok(none()),
            Err(why) => return Err(why),
        };
        let late = now + TimeDelta::days(LATE_DAYS) >= window.first.median;
        let seen = whole.iter().map(|egg| seen_as(book.last_seen(&egg.id).map(|(seen, _)| seen))).collect();
        let why = &window.why;
        let (read, since) = (why.days_read.min(why.days_since_lay), why.days_since_lay);
        let so_far = match why.mean_read_c {
            Some(mean) if since > 0.0 => (mean * read + why.ahead_c * (since - read)) / since,
            _ => why.ahead_c,
        };
        let place = whole.first().or(open.first()).and_then(|egg| book.place_of(&egg.id.thing()));
        let set = place.and_then(|place| book.set_if(&place.id, &self.what_if.set));
        let ahead = set.map_or(why.ahead_c, |temp| temp.celsius());
        let developed = window.developed.clamp(0.0, 1.0);
        Ok((timing, Eggs::Seen { eggs: seen, late }, so_far * developed + ahead * (1.0 - developed)))
    }
}

pub(super) fn after(profile: &Profile, learned: &Learned, species: &str) -> After {
    After {
        out_h: profile.pip_out_h,
        shed_days: learned.shed_days(species, profile.first_shed_days),
        meal_days: learned.meal_days(species, MEAL_DAYS),
    }
}

/// Babies out of some eggs that are still followed: those with a record of their own, and those without yet.
fn young_of(book: &Book, eggs: &[&Egg], now: NaiveDateTime) -> Vec<Young> {
    let mut young = Vec::new();
    for egg in eggs.iter().filter(|egg| egg.fate == Some(Fate::Hatched)) {
        let out = book.did(&egg.id, Step::Out).and_then(|h| h.when).or(egg.fate_when);
        let Some(out) = out.map(When::middle).filter(|out| now - *out < TimeDelta::days(FOLLOWED_DAYS)) else {
            continue;
        };
        let animals: Vec<&Animal> = book.young_of(&egg.id).collect();
        if animals.is_empty() {
            young.push(Young { out, shed: false, fed: false });
        }
        for animal in animals.into_iter().filter(|animal| animal.is_here()) {
            let (shed, fed) = (first_shed(book, &animal.id).is_some(), first_meal(book, &animal.id).is_some());
            if !(shed && fed) {
                young.push(Young { out, shed, fed });
            }
        }
    }
    young
}

fn source_of(book: &Book, clutch: &Clutch, open: &[&Egg]) -> Source {
    let place = open.first().and_then(|egg| book.place_of(&egg.id.thing()));
    let names = parents(book, &clutch.id);
    Source {
        of: clutch.id.thing(),
        name: book.clutch_number(&clutch.id),
        species: book.clutch_species(clutch).unwrap_or_default(),
        species_name: book.clutch_profile(clutch).name.into_owned(),
        room: place.and_then(|place| room_of(book, &place.id)),
        parents: cross(&names.dam_names(), &names.sire_names()),
        since: Since::of_clutch(book, &clutch.id),
        chance: 1.0,
    }
}

fn seen_as(seen: Option<Seen>) -> success::Seen {
    match seen {
        None => success::Seen::NotYet,
        Some(Seen::Veins) => success::Seen::Veins,
        Some(Seen::Unsure) => success::Seen::Unsure,
        Some(Seen::Clear) => success::Seen::Clear,
        Some(Seen::Dented) => success::Seen::Dented,
        Some(Seen::Mouldy) => success::Seen::Mouldy,
        Some(Seen::Dark) => success::Seen::Dark,
        Some(Seen::Dead) => success::Seen::Dead,
    }
}
