//! An animal as its page shows it: how is she, and what is next.

use super::box_lines::notes_of;
use super::boxes::NoteLine;
use super::breeding::{Breeding, PastRecord, breeding, past_record};
use super::parts::parents;
use super::since::Since;
use super::sum::{Sum, sum_of};
use crate::book::{Book, Written};
use crate::ids::*;
use crate::lay::Outlook;
use crate::records::*;
use crate::words::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::lay::Sign;
use trade::raising::{Spacing, spacing};
use trade::species::Profile;
use trade::units::Mass;
use trade::when::When;

/// Everything an animal's page shows.
#[derive(Clone, Debug, PartialEq)]
pub struct AnimalView {
    pub animal: Animal,
    pub name: String,
    pub species: Profile,
    pub place: Option<PlaceId>,
    pub path: Vec<String>,
    pub dam: Option<(AnimalId, String)>,
    pub sire: Option<(AnimalId, String)>,
    /// The newest weight, by when it happened.
    pub weight: Option<(Mass, Option<When>)>,
    /// All weights ([`Book::weights`]), those of her clutches (gravid, spent) included; oldest first.
    pub weights: Vec<(Mass, Option<When>)>,
    /// Newest first.
    pub events: Vec<EventLine>,
    /// Newest first.
    pub meals: Vec<MealLine>,
    /// Meals refused since the last one eaten.
    pub refused_in_a_row: u32,
    /// Newest first, pre-lay sheds among them.
    pub sheds: Vec<EventLine>,
    /// How far they lie apart.
    pub shed_spacing: Option<Spacing>,
    /// Of a female, or of one whose sex nobody has told that has a pairing or a clutch as dam.
    pub breeding: Option<Breeding>,
    /// Of all its clutches.
    pub past: PastRecord,
    /// Newest first.
    pub pairings: Vec<PairingLine>,
    /// As dam or sire, newest first.
    pub clutches: Vec<ClutchLine>,
    /// What is to be expected or done, soonest first.
    pub next: Vec<NextStep>,
    pub notes: Vec<NoteLine>,
    /// Other animals with the same code.
    pub code_twice: Vec<AnimalId>,
    pub clashing: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct EventLine {
    pub id: AnimalEventId,
    pub what: Option<AnimalEventWhat>,
    pub when: Option<When>,
    pub mass: Option<Mass>,
    pub shed: Option<ShedAs>,
    pub note: Option<String>,
    pub written: Option<Written>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct MealLine {
    pub id: MealId,
    pub offered: Option<When>,
    pub outcome: Option<MealOutcome>,
    pub prey: Option<String>,
    pub size: Option<String>,
    pub how: Option<String>,
    pub written: Option<Written>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PairingLine {
    pub id: PairingId,
    /// The other side.
    pub with: Vec<(AnimalId, String)>,
    pub when: Option<When>,
    pub ended: Option<When>,
    /// Newest first.
    pub locks: Vec<When>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ClutchLine {
    pub id: ClutchId,
    pub number: String,
    pub since: Option<Since>,
    /// The other side's candidates.
    pub with: Vec<String>,
    pub counts: Option<Counts>,
    pub sum: Sum,
    /// The boxes it is in.
    pub boxes: Vec<FillingId>,
}

/// What is to be expected of an animal.
#[derive(Clone, Debug, PartialEq)]
pub enum NextStep {
    /// Straining was noted and no eggs since: a reptile veterinarian, today.
    Straining { since: When },
    /// Eggs expected after what was seen of her, likely between these days.
    EggsDue {
        sign: Sign,
        seen: When,
        from: NaiveDate,
        to: NaiveDate,
        /// The barn's own intervals it stands on.
        own: u32,
        /// The likely days have begun.
        open: bool,
    },
    /// The same, and the last likely day has passed without eggs: call a veterinarian.
    Overdue { sign: Sign, due: NaiveDate, days: i64 },
    /// The days in which eggs come after such a sign have passed without any; the sign did not show that she was gravid.
    NoEggs { sign: Sign, seen: When, by: NaiveDate },
    /// Eggs were found and are in no box yet.
    EggsToBox { clutch: ClutchId, found: Option<When> },
    /// Gone: there is nothing next.
    Gone { went: Went, when: Option<When> },
}

/// The page of an animal. `None` when there is no such animal.
pub fn animal_view(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<AnimalView> {
    let animal = book.animal(id)?;
    let named = |id: &AnimalId| (id.clone(), book.animal_name(id));
    let place = book.place_of(&id.thing());
    let events: Vec<EventLine> = book.animal_events(id).map(|e| event_line(book, e)).collect();
    let meals: Vec<MealLine> = book.meals(id).map(|m| meal_line(book, m)).collect();
    let known = meals.iter().filter(|meal| meal.outcome.is_some());
    let refused = known.take_while(|meal| meal.outcome != Some(MealOutcome::Eaten)).count();
    let shed = |event: &&EventLine| event.what.is_some_and(AnimalEventWhat::is_shed);
    let sheds: Vec<EventLine> = events.iter().filter(shed).cloned().collect();
    let days: Vec<NaiveDate> = sheds.iter().filter_map(|shed| shed.when).map(When::date).collect();
    let weights = book.weights(id);
    let was_dam = || book.pairings_of(id).any(|pairing| pairing.dams.contains(id)) || !as_dam(book, id).is_empty();
    let breeds = animal.sex == Some(Sex::Female) || (animal.sex != Some(Sex::Male) && was_dam());
    let code_twice = animal.code.iter().flat_map(|code| book.animals_coded(code)).filter(|other| other.id != *id);
    Some(AnimalView {
        name: book.animal_name(id),
        species: book.species_of(animal.species.as_deref()),
        place: place.map(|place| place.id.clone()),
        path: place.map(|place| book.path_names(&place.id)).unwrap_or_default(),
        dam: animal.dam.as_ref().map(named),
        sire: animal.sire.as_ref().map(named),
        shed_spacing: spacing(&days),
        sheds,
        breeding: breeds.then(|| breeding(book, id, now)),
        past: past_record(book, id),
        weight: weights.last().copied(),
        weights,
        events,
        refused_in_a_row: u32::try_from(refused).unwrap_or(u32::MAX),
        meals,
        pairings: book.pairings_of(id).map(|pairing| pairing_line(book, id, pairing)).collect(),
        clutches: clutch_lines(book, id),
        next: next_steps(book, id, now),
        notes: notes_of(book, std::iter::once(id.thing())),
        code_twice: code_twice.map(|other| other.id.clone()).collect(),
        clashing: book.clashes_in(&id.thing()),
        animal: animal.clone(),
    })
}

fn event_line(book: &Book, event: &AnimalEvent) -> EventLine {
    EventLine {
        id: event.id.clone(),
        what: event.what,
        when: event.when,
        mass: event.mass,
        shed: event.shed,
        note: event.note.clone(),
        written: book.written(&event.id.thing()),
    }
}

fn meal_line(book: &Book, meal: &Meal) -> MealLine {
    MealLine {
        id: meal.id.clone(),
        offered: meal.offered,
        outcome: meal.outcome,
        prey: meal.prey.clone(),
        size: meal.size.clone(),
        how: meal.how.clone(),
        written: book.written(&meal.id.thing()),
    }
}

fn pairing_line(book: &Book, id: &AnimalId, pairing: &Pairing) -> PairingLine {
    let other = if pairing.dams.contains(id) { &pairing.sires } else { &pairing.dams };
    PairingLine {
        id: pairing.id.clone(),
        with: other.iter().map(|id| (id.clone(), book.animal_name(id))).collect(),
        when: pairing.when,
        ended: pairing.ended,
        locks: book.locks(&pairing.id).filter_map(|lock| lock.when).collect(),
    }
}

fn clutch_lines(book: &Book, id: &AnimalId) -> Vec<ClutchLine> {
    let mut seen: Vec<ClutchId> = Vec::new();
    let mut lines = Vec::new();
    for clutch in book.clutches_of(id) {
        let first = book.same_clutch(&clutch.id).first().map_or_else(|| clutch.id.clone(), |first| first.id.clone());
        if seen.contains(&first) {
            continue;
        }
        seen.push(first);
        let both = parents(book, &clutch.id);
        lines.push(ClutchLine {
            id: clutch.id.clone(),
            number: book.clutch_number(&clutch.id),
            since: Since::of_clutch(book, &clutch.id),
            with: if clutch.dams.contains(id) { both.sire_names() } else { both.dam_names() },
            counts: clutch.counts(),
            sum: sum_of(book, &clutch.id),
            boxes: book.fillings_of(&clutch.id).into_iter().map(|filling| filling.id.clone()).collect(),
        });
    }
    lines
}

/// Straining longer ago than this is of another season (our choice, no source).
const SEASON_DAYS: i64 = 75;

/// What is to be expected of an animal, most urgent first.
pub fn next_steps(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Vec<NextStep> {
    let Some(animal) = book.animal(id) else { return Vec::new() };
    if let Some(went) = animal.went.filter(|_| !animal.is_here()) {
        return vec![NextStep::Gone { went, when: animal.went_when }];
    }
    let mut next = laying_steps(book, id, now);
    for clutch in as_dam(book, id) {
        let joined = book.same_clutch(&clutch.id);
        let pulled = joined.iter().any(|clutch| !book.eggs_of(&clutch.id).is_empty());
        if !pulled && book.nest(&clutch.id).is_none() {
            next.push(NextStep::EggsToBox { clutch: clutch.id.clone(), found: clutch.found.or(clutch.laid) });
        }
    }
    next
}

fn as_dam<'a>(book: &'a Book, id: &AnimalId) -> Vec<&'a Clutch> {
    book.clutches_of(id).filter(|clutch| clutch.dams.contains(id)).collect()
}

/// What is to be expected of a female before her eggs come, most urgent first.
pub(super) fn laying_steps(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Vec<NextStep> {
    let straining = straining(book, id, now).map(|since| NextStep::Straining { since });
    straining.into_iter().chain(book.outlook(id, now).map(|outlook| lay_step(&outlook, now))).collect()
}

/// Straining seen of late, and no eggs since.
fn straining(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<When> {
    let strained = |event: &&AnimalEvent| event.what == Some(AnimalEventWhat::Straining);
    let when = book.lay_events(id).filter(strained).find_map(|event| event.when)?;
    let fresh = when.earliest() <= now && now - when.latest() < TimeDelta::days(SEASON_DAYS);
    let last_laid = as_dam(book, id).iter().filter_map(|c| book.clutch_laid(&c.id)).map(When::latest).max();
    (fresh && last_laid.is_none_or(|laid| laid < when.earliest())).then_some(when)
}

pub(super) fn lay_step(outlook: &Outlook, now: NaiveDateTime) -> NextStep {
    let Outlook { sign, seen, window } = *outlook;
    match window.overdue(now) {
        Some(due) if sign.is_gravid() => {
            let days = (now.date() - due.date()).num_days();
            NextStep::Overdue { sign, due: due.date(), days }
        }
        Some(by) => NextStep::NoEggs { sign, seen, by: by.date() },
        None => {
            let (from, to) = (window.eggs.likely.0.date(), window.eggs.likely.1.date());
            NextStep::EggsDue { sign, seen, from, to, own: window.own, open: window.is_open(now) }
        }
    }
}
