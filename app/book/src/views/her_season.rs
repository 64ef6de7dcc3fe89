//! A female's season on one line: what was seen of her from cooling to laying, and what is expected next.

use super::since::{Since, SinceWhat};
use crate::book::Book;
use crate::ids::*;
use crate::lay::{Awaited, Outlook, OwnLeg};
use crate::records::AnimalEvent;
use crate::words::{AnimalEventWhat, LookedAs, Side};
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::lay::Sign;
use trade::when::When;

/// A step of the season. Of one moment the earlier comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SeasonStep {
    Laid,
    /// Eggs whose laying nobody saw.
    Found,
    Cooling,
    /// Only ahead: the planned end of a cooling that goes on.
    Warm,
    Introduced,
    Lock,
    Separated,
    Follicles,
    Ovulation,
    PreLayShed,
    LayBox,
}

impl SeasonStep {
    /// Whether it is of a season to come when it follows on eggs; what ended only then is of theirs.
    fn begins(self) -> bool {
        !matches!(self, SeasonStep::Separated | SeasonStep::LayBox)
    }
}

/// What a look for follicles found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finding {
    pub looked: Option<LookedAs>,
    pub side: Option<Side>,
    /// Across the largest, in micrometres.
    pub um: Option<i64>,
    pub count: Option<u32>,
}

impl Finding {
    pub fn of(event: &AnimalEvent) -> Option<Finding> {
        let AnimalEvent { looked, side, follicle_um: um, follicles: count, .. } = *event;
        (event.what == Some(AnimalEventWhat::Follicles)).then_some(Finding { looked, side, um, count })
    }
}

/// What was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenStep {
    pub step: SeasonStep,
    pub when: When,
    /// Of a cooling its end, of locks the last.
    pub until: Option<When>,
    /// How many locks.
    pub times: usize,
    pub finding: Option<Finding>,
}

/// On the strength of what something is expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The keeper planned it.
    Planned,
    /// From something seen, learned from so many of the keeper's own seasons.
    Reckoned { after: After, own: u32 },
}

/// What days are reckoned from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    Follicles,
    Sign(Sign),
}

/// What is expected next, likely between these days.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpectedStep {
    pub step: SeasonStep,
    pub from: NaiveDate,
    pub to: NaiveDate,
    pub basis: Basis,
}

/// A female's season: the one that goes on, or, until something is seen of the next, the one that ended with her eggs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HerSeason {
    /// Oldest first.
    pub seen: Vec<SeenStep>,
    /// In the order they come.
    pub ahead: Vec<ExpectedStep>,
    /// How long each leg took before.
    pub legs: Vec<OwnLeg>,
}

/// A clutch longer ago is of no season that is shown, and a female's first begins no longer ago than the other (our choice).
const LAST_DAYS: i64 = 400;
const FIRST_DAYS: i64 = 300;

/// A cooling planned for later than this would leave the line no room for what is near (our choice).
const SOON_DAYS: i64 = 60;

/// Her season; `outlook`: when her eggs are expected ([`Book::outlook`]).
pub(super) fn her_season(book: &Book, id: &AnimalId, outlook: Option<Outlook>, now: NaiveDateTime) -> HerSeason {
    let laid = last_laid(book, id, now);
    let recent = laid.filter(|laid| (now - laid.when.latest()).num_days() < LAST_DAYS);
    let step = |eggs: Since| {
        let step = if eggs.what == SinceWhat::Found { SeasonStep::Found } else { SeasonStep::Laid };
        SeenStep { step, when: eggs.when, until: None, times: 1, finding: None }
    };
    let mut seen = seen_of(book, id, recent.map_or(now - TimeDelta::days(FIRST_DAYS), |laid| laid.when.latest()), now);
    match recent {
        // Nothing of a next season: the one that ended with these eggs. Where clutches follow on each other, each begins
        // the wait for the next.
        Some(laid) if !seen.iter().any(|seen| seen.step.begins()) && !book.lays_in_series(id) => {
            let (begun, ended) = (laid.when.earliest(), laid.when.latest());
            let earliest = ended - TimeDelta::days(FIRST_DAYS);
            let from = last_laid(book, id, begun).map_or(earliest, |before| before.when.latest().max(earliest));
            seen = seen_of(book, id, from, ended);
            seen.push(step(laid));
        }
        Some(laid) => {
            seen.drain(..seen.iter().position(|seen| seen.step.begins()).unwrap_or(0));
            // A cooling begins a season of its own.
            if seen.first().is_none_or(|first| first.step != SeasonStep::Cooling) {
                seen.insert(0, step(laid));
            }
        }
        None => {}
    }
    let here = book.animal(id).is_some_and(crate::records::Animal::is_here);
    let ahead = if here { expected(book, id, outlook, now) } else { Vec::new() };
    HerSeason { seen, ahead, legs: book.own_legs(id) }
}

/// When she laid last before a moment, or her eggs were found.
pub(super) fn last_laid(book: &Book, id: &AnimalId, before: NaiveDateTime) -> Option<Since> {
    let hers = book.clutches_of(id).filter(|clutch| clutch.dams.contains(id));
    let laid = hers.filter_map(|clutch| Since::of_clutch(book, &clutch.id));
    laid.filter(|laid| laid.when.earliest() < before).max_by_key(|laid| laid.when.latest())
}

/// What was seen of her from one moment to another, oldest first.
fn seen_of(book: &Book, id: &AnimalId, from: NaiveDateTime, to: NaiveDateTime) -> Vec<SeenStep> {
    let within = |when: Option<When>| when.filter(|when| when.earliest() >= from && when.earliest() <= to);
    let mut seen: Vec<SeenStep> = Vec::new();
    let one = |step, when| SeenStep { step, when, until: None, times: 1, finding: None };
    for cooling in book.coolings(id) {
        if let Some(began) = cooling.began.filter(|_| within(cooling.began).or(within(cooling.ended)).is_some()) {
            seen.push(SeenStep { until: cooling.ended, ..one(SeasonStep::Cooling, began) });
        }
    }
    for pairing in book.pairings_of(id).filter(|pairing| pairing.dams.contains(id)) {
        let locks: Vec<When> = book.locks(&pairing.id).filter_map(|lock| within(lock.when)).collect();
        if let (Some(last), Some(first)) = (locks.first(), locks.last()) {
            let until = (locks.len() > 1).then_some(*last);
            seen.push(SeenStep { until, times: locks.len(), ..one(SeasonStep::Lock, *first) });
        }
        seen.extend(within(pairing.when).map(|when| one(SeasonStep::Introduced, when)));
        seen.extend(within(pairing.ended).map(|when| one(SeasonStep::Separated, when)));
    }
    let events = || book.lay_events(id).filter_map(|event| Some((event, within(event.when)?)));
    for (step, what) in [
        (SeasonStep::Ovulation, AnimalEventWhat::Ovulation),
        (SeasonStep::PreLayShed, AnimalEventWhat::PreLayShed),
        (SeasonStep::LayBox, AnimalEventWhat::LayBox),
    ] {
        // Of several the last: it is what the eggs are reckoned from.
        seen.extend(events().find(|(event, _)| event.what == Some(what)).map(|(_, when)| one(step, when)));
    }
    let looks = events().filter_map(|(event, when)| Some((Finding::of(event)?, when)));
    seen.extend(looks.map(|(found, when)| SeenStep { finding: Some(found), ..one(SeasonStep::Follicles, when) }));
    crate::order::sort(&mut seen, |seen| (seen.when.earliest(), seen.step));
    seen
}

fn expected(book: &Book, id: &AnimalId, outlook: Option<Outlook>, now: NaiveDateTime) -> Vec<ExpectedStep> {
    let mut ahead: Vec<ExpectedStep> = Vec::new();
    let planned = |step, day: NaiveDate| ExpectedStep { step, from: day, to: day, basis: Basis::Planned };
    for cooling in book.coolings(id).filter(|cooling| cooling.ended.is_none()) {
        match (cooling.began, cooling.from, cooling.until) {
            (None, Some(from), _) if (from.date() - now.date()).num_days() <= SOON_DAYS => {
                ahead.push(planned(SeasonStep::Cooling, from.date()));
            }
            (Some(_), _, Some(until)) => ahead.push(planned(SeasonStep::Warm, until)),
            (None, ..) | (Some(_), _, None) => {}
        }
    }
    if let Some(next) = book.before_eggs(id, now) {
        let (step, after) = match next.what {
            Awaited::Ovulation => (SeasonStep::Ovulation, After::Follicles),
            Awaited::PreLayShed => (SeasonStep::PreLayShed, After::Sign(Sign::Ovulation)),
        };
        let (from, to) = next.window.eggs.likely;
        let basis = Basis::Reckoned { after, own: next.window.own };
        ahead.push(ExpectedStep { step, from: from.date(), to: to.date(), basis });
    }
    if let Some(Outlook { sign, window, .. }) = outlook.filter(|outlook| outlook.window.overdue(now).is_none()) {
        let (from, to) = window.eggs.likely;
        let basis = Basis::Reckoned { after: After::Sign(sign), own: window.own };
        ahead.push(ExpectedStep { step: SeasonStep::Laid, from: from.date(), to: to.date(), basis });
    }
    ahead
}
