//! What Rounds asks for the young: sheds and meals that are late, racks to feed, who may leave, who waits for one.

use super::babies::{BabyRow, BabyState, Concern, Looking, is_young};
use super::placing::wish_rows;
use super::rounds::{Due, DueAct, DueKind, Fact, row};
use crate::book::Book;
use crate::ids::*;
use crate::words::MealOutcome;
use chrono::{NaiveDateTime, NaiveTime, TimeDelta};
use std::collections::BTreeMap;
use trade::raising::first_shed_late;
use trade::when::When;

pub(super) fn young_dues(book: &Book, now: NaiveDateTime, dues: &mut Vec<Due>) {
    let young = book.all_animals().filter(|animal| animal.is_here() && is_young(animal, now.date()));
    let mut looking = Looking::new(book, now);
    let most = Some(looking.rules.meals);
    let young: Vec<BabyRow> = young.filter_map(|animal| looking.row(&animal.id, most)).collect();
    late(book, &young, &mut looking, dues);
    feed(book, &young, now, dues);
    leave(book, &young, dues);
    for hold in book.open_holds() {
        let (Some(until), Some(animal)) = (hold.until, &hold.animal) else { continue };
        if until <= now.date() {
            let mark = hold.contact.as_ref().map(|id| book.contact_mark(id));
            let since = Some(until.and_time(NaiveTime::MIN));
            let fact = Fact::Hold { until, mark };
            dues.push(Due { since, ..row(book, DueKind::Hold, animal.thing(), DueAct::Place, fact) });
        }
    }
    for wish in wish_rows(book, &young) {
        let ready = wish.fit.iter().filter(|row| row.ready).count();
        if ready > 0 && wish.held < wish.wish.count.unwrap_or(1) as usize {
            let name = wish.mark.clone().unwrap_or_default();
            let about = [wish.species.clone(), wish.wish.what.clone()].into_iter().flatten().collect::<Vec<_>>();
            let since = wish.wish.when.map(When::earliest);
            let due = row(book, DueKind::Wish, wish.wish.id.thing(), DueAct::Wishes, Fact::Wish { ready });
            dues.push(Due { name, about: about.join(", "), since, ..due });
        }
    }
}

/// One row a baby: these are few.
fn late<'a>(book: &'a Book, young: &[BabyRow], looking: &mut Looking<'a>, dues: &mut Vec<Due>) {
    for baby in young {
        let fact = match baby.concern {
            Some(Concern::ShedLate { day }) => (DueKind::FirstShed, DueAct::Shed, Fact::ShedLate { day }),
            Some(Concern::NoMeal { day }) => {
                (DueKind::NotEating, DueAct::Feed, Fact::NoMeal { day, refused: baby.refused_in_a_row })
            }
            Some(Concern::Lost { pct }) => (DueKind::NotEating, DueAct::Open, Fact::Lost { pct }),
            None => continue,
        };
        let (kind, act, fact) = fact;
        let profile = looking.profile(book.animal(&baby.id).and_then(|animal| animal.species.as_deref()));
        let since = baby.hatched.filter(|_| kind == DueKind::FirstShed).map(|born| first_shed_late(born, &profile));
        dues.push(Due { since, about: baby.species.clone(), ..row(book, kind, baby.id.thing(), act, fact) });
    }
}

/// One row a rack: who is due a meal, and, the day after, who left it.
fn feed(book: &Book, young: &[BabyRow], now: NaiveDateTime, dues: &mut Vec<Due>) {
    let every = TimeDelta::days(i64::from(book.rules().feed_days));
    // By days: whoever ate at nine is due in the morning of the fifth day.
    let again = |last: When| (last.date() + every).and_time(NaiveTime::MIN);
    #[derive(Default)]
    struct Rack {
        due: u32,
        since: Option<NaiveDateTime>,
        fed: Option<When>,
        given: u32,
        marked: bool,
    }
    let mut racks: BTreeMap<PlaceId, Rack> = BTreeMap::new();
    for baby in young {
        let Some(place) = &baby.place else { continue };
        let within = book.place(place).and_then(|place| place.within.clone());
        let rack = racks.entry(within.unwrap_or_else(|| place.clone())).or_default();
        // Nothing is offered before the first shed; whoever has eaten has shed, seen or not.
        let from = baby.last_offered.map(again).or(baby.first_shed.map(When::latest));
        if let Some(from) = from.filter(|from| *from <= now && baby.state != BabyState::FirstShed) {
            rack.due += 1;
            rack.since = Some(rack.since.map_or(from, |since| since.min(from)));
        }
        let Some(last) = book.meals(&baby.id).next() else { continue };
        let Some(offered) = last.offered else { continue };
        let hours = (now - offered.earliest()).num_hours();
        if (12..60).contains(&hours) && last.with_all {
            rack.given += 1;
            rack.fed = Some(offered);
            rack.marked |= !last.assumed && last.outcome != Some(MealOutcome::Eaten);
        }
    }
    for (place, rack) in racks {
        if rack.due > 0 {
            let fact = Fact::FeedRack { due: rack.due };
            dues.push(Due { since: rack.since, ..row(book, DueKind::FeedRack, place.thing(), DueAct::FeedRack, fact) });
        }
        if let Some(fed) = rack.fed.filter(|_| !rack.marked) {
            let fact = Fact::Refusers { fed, given: rack.given };
            let since = Some(fed.earliest());
            dues.push(Due { since, ..row(book, DueKind::Refusers, place.thing(), DueAct::FeedRack, fact) });
        }
    }
}

/// One row a clutch (a baby without one has its own): who may leave and is promised to nobody.
fn leave(book: &Book, young: &[BabyRow], dues: &mut Vec<Due>) {
    let mut groups: BTreeMap<Thing, u32> = BTreeMap::new();
    for baby in young.iter().filter(|baby| baby.state == BabyState::Ready) {
        let thing = baby.clutch.as_ref().map_or_else(|| baby.id.thing(), |(clutch, _)| clutch.thing());
        *groups.entry(thing).or_default() += 1;
    }
    for (thing, ready) in groups {
        dues.push(row(book, DueKind::Ready, thing, DueAct::Young, Fact::Ready { ready }));
    }
}
