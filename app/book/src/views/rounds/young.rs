//! What Rounds asks for the young: sheds and meals that are late, racks to feed, who may leave, who waits for one.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::index::ByHash;
use crate::records::Animal;
use crate::views::babies::{BabyState, Concern, Looking, Standing, Young, born_lately, from_here};
use crate::views::placing::{answers, held_for};
use crate::words::MealOutcome;
use chrono::{NaiveDateTime, NaiveTime, TimeDelta};
use trade::raising::first_shed_late;
use trade::when::When;

type Stands<'a> = [(&'a Young, Standing)];

/// What has to be known of an animal that hatched here and is in the barn.
pub(super) fn young(book: &Book, animal: &Animal) -> Option<Young> {
    (animal.is_here() && from_here(animal)).then(|| Looking::young(book, animal, Some(book.rules().meals)))
}

pub(super) fn dues<'a>(young: impl Iterator<Item = &'a Young>, dues: &mut Dues<'_>) {
    let mut looking = Looking::new(dues.book);
    let (now, most) = (dues.now, Some(looking.rules.meals));
    let young = young.filter(|young| born_lately(young.born, now.date()));
    let stands: Vec<_> = young.map(|young| (young, looking.standing(young, now, most))).collect();
    late(&stands, &mut looking, dues);
    feed(&stands, looking.rules.feed_days, dues);
    let ready = stands.iter().filter(|(_, standing)| standing.state == BabyState::Ready);
    let ready: Vec<&Young> = ready.map(|(young, _)| *young).collect();
    leave(&ready, dues);
    holds(dues);
    wishes(&ready, dues);
}

/// One row a baby: these are few.
fn late(stands: &Stands<'_>, looking: &mut Looking<'_>, dues: &mut Dues<'_>) {
    for (young, standing) in stands {
        let (kind, act, fact) = match standing.concern {
            Some(Concern::ShedLate { day }) => (DueKind::FirstShed, DueAct::Shed, Fact::ShedLate { day }),
            Some(Concern::NoMeal { day }) => {
                let refused = standing.meals.refused_in_a_row;
                (DueKind::NotEating, DueAct::Feed, Fact::NoMeal { day, refused })
            }
            Some(Concern::Lost { pct }) => (DueKind::NotEating, DueAct::Open, Fact::Lost { pct }),
            None => continue,
        };
        let profile = looking.profile(young.species.as_deref());
        let since = young.born.filter(|_| kind == DueKind::FirstShed).map(|born| first_shed_late(born, &profile));
        if let Some(due) = dues.add(kind, young.id.thing(), act, since, fact) {
            due.about = profile.short.to_string();
        }
    }
}

#[derive(Default)]
struct Rack {
    due: u32,
    since: Option<NaiveDateTime>,
    fed: Option<When>,
    given: u32,
    marked: bool,
}

/// One row a rack: who is due a meal, and, the day after, who left it.
fn feed(stands: &Stands<'_>, every_days: u32, dues: &mut Dues<'_>) {
    let now = dues.now;
    let every = TimeDelta::days(i64::from(every_days));
    // By days: whoever ate at nine is due in the morning of the fifth day.
    let again = |last: When| (last.date() + every).and_time(NaiveTime::MIN);
    let mut racks: ByHash<&PlaceId, Rack> = ByHash::default();
    for (young, standing) in stands {
        let Some(place) = &young.rack else { continue };
        let rack = racks.entry(place).or_default();
        // Nothing is offered before the first shed; whoever has eaten has shed, seen or not.
        let from = standing.meals.last_offered.map(again).or(young.first_shed.map(When::latest));
        if let Some(from) = from.filter(|from| *from <= now && standing.state != BabyState::FirstShed) {
            rack.due += 1;
            rack.since = Some(rack.since.map_or(from, |since| since.min(from)));
        }
        let Some((last, offered)) = standing.last_meal.and_then(|last| Some((last, last.when?))) else { continue };
        let hours = (now - offered.earliest()).num_hours();
        // Asked for two days; whoever put it off to today is asked today, or would never be.
        let put_off = || dues.book.snoozed(&DueKind::Refusers.row(&place.thing())) == Some(now.date());
        if last.with_all && hours >= 12 && (hours < 60 || put_off()) {
            rack.given += 1;
            rack.fed = Some(offered);
            rack.marked |= !last.assumed && last.outcome != Some(MealOutcome::Eaten);
        }
    }
    for (place, rack) in racks {
        if rack.due > 0 {
            let fact = Fact::FeedRack { due: rack.due };
            dues.add(DueKind::FeedRack, place.thing(), DueAct::FeedRack, rack.since, fact);
        }
        if let Some(fed) = rack.fed.filter(|_| !rack.marked) {
            let fact = Fact::Refusers { fed, given: rack.given };
            dues.add(DueKind::Refusers, place.thing(), DueAct::FeedRack, Some(fed.earliest()), fact);
        }
    }
}

/// One row a clutch (a baby without one has its own): who may leave and is promised to nobody.
fn leave(ready: &[&Young], dues: &mut Dues<'_>) {
    let thing = |young: &&Young| young.clutch.as_ref().map_or_else(|| young.id.thing(), ClutchId::thing);
    let mut things: Vec<Thing> = ready.iter().map(thing).collect();
    crate::order::sort(&mut things, Thing::clone);
    for group in things.chunk_by(Thing::eq) {
        let fact = Fact::Ready { ready: u32::try_from(group.len()).unwrap_or(u32::MAX) };
        dues.add(DueKind::Ready, group[0].clone(), DueAct::Young, None, fact);
    }
}

fn holds(dues: &mut Dues<'_>) {
    let (book, now) = (dues.book, dues.now);
    for hold in book.open_holds() {
        let (Some(until), Some(animal)) = (hold.until, &hold.animal) else { continue };
        if until <= now.date() {
            let mark = hold.contact.as_ref().map(|id| book.contact_mark(id));
            let fact = Fact::Hold { until, mark };
            dues.add(DueKind::Hold, animal.thing(), DueAct::Place, Some(until.and_time(NaiveTime::MIN)), fact);
        }
    }
}

/// One row a wish that animals ready and promised to nobody would answer.
fn wishes(ready: &[&Young], dues: &mut Dues<'_>) {
    let book = dues.book;
    let open = book.open_wishes();
    // Animals are looked up only where somebody waits for one.
    let ready: Vec<&Animal> = match open.is_empty() {
        true => Vec::new(),
        false => ready.iter().filter_map(|young| book.animal(&young.id)).collect(),
    };
    for wish in open {
        let ready = ready.iter().filter(|animal| answers(wish, animal)).count();
        if ready == 0 || held_for(book, wish) >= wish.count.unwrap_or(1) as usize {
            continue;
        }
        let since = wish.when.map(When::earliest);
        if let Some(due) = dues.add(DueKind::Wish, wish.id.thing(), DueAct::Wishes, since, Fact::Wish { ready }) {
            due.name = wish.contact.as_ref().map(|id| book.contact_mark(id)).unwrap_or_default();
            let species = wish.species.as_ref().map(|key| book.species_of(Some(key)).name.into_owned());
            due.about = [species, wish.what.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
        }
    }
}
