//! The young: how far each has come, what it may eat, and whether it may leave.

use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::views::meals::{Meals, Offered, counted_meals, meal_counts, newest};
use crate::views::{Cold, cold_at};
use crate::words::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::raising::{NO_MEAL_DAYS, Rules, first_shed_late, lost_pct, mouse_for};
use trade::species::Profile;
use trade::units::Mass;
use trade::when::When;

/// Older than this it is no longer listed among the young.
const YOUNG_DAYS: i64 = 400;

/// How far a baby has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BabyState {
    /// Not shed yet.
    FirstShed,
    /// Shed, and no meal taken yet.
    FirstMeal,
    Feeding,
    /// By the barn's own rule it may leave.
    Ready,
    /// Promised to somebody.
    Held,
    /// The barn keeps it.
    KeptBack,
    Left,
}

impl BabyState {
    pub const ALL: [BabyState; 7] = [
        BabyState::FirstShed,
        BabyState::FirstMeal,
        BabyState::Feeding,
        BabyState::Ready,
        BabyState::Held,
        BabyState::KeptBack,
        BabyState::Left,
    ];
}

/// Why a baby wants looking at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Concern {
    /// No shed seen by now.
    ShedLate { day: i64 },
    /// Nothing taken by now.
    NoMeal { day: i64 },
    /// Percent of its greatest mass lost.
    Lost { pct: i64 },
}

/// A baby in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct BabyRow {
    pub id: AnimalId,
    pub name: String,
    /// The species' short form.
    pub species: String,
    pub looks: Option<String>,
    pub faults: Option<String>,
    pub clutch: Option<(ClutchId, String)>,
    pub hatched: Option<When>,
    /// Days since.
    pub day: Option<i64>,
    pub place: Option<PlaceId>,
    pub state: BabyState,
    pub first_shed: Option<When>,
    pub sheds: u32,
    /// Meals taken, all of them.
    pub taken: u32,
    /// Meals taken in a row, unassisted, up to the last.
    pub taken_in_a_row: u32,
    /// Refused since the last one taken.
    pub refused_in_a_row: u32,
    pub last_offered: Option<When>,
    pub mass: Option<Mass>,
    /// Weighed first.
    pub mass_out: Option<Mass>,
    /// What prey may weigh by the barn's rule, and the mouse that fits.
    pub prey: Option<((Mass, Mass), Option<&'static str>)>,
    pub ready: bool,
    pub hold: Option<HoldId>,
    pub concern: Option<Concern>,
}

/// Whether an animal hatched here and not long ago.
pub fn is_young(animal: &Animal, today: NaiveDate) -> bool {
    from_here(animal) && born_lately(animal.born, today)
}

/// Whether an animal hatched here.
pub(super) fn from_here(animal: &Animal) -> bool {
    matches!(animal.came, Some(Came::Egg | Came::OneOf)) || !animal.from_eggs.is_empty()
}

/// Of one that hatched here: whether it still counts as young.
pub(super) fn born_lately(born: Option<When>, today: NaiveDate) -> bool {
    born.is_none_or(|born| (today - born.date()).num_days() <= YOUNG_DAYS)
}

/// One baby. `None` for an animal that is none.
pub fn baby_row(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<BabyRow> {
    Looking::new(book).row(book.animal(id)?, now)
}

/// What is the same for all young, looked up once for a whole list of them.
pub(super) struct Looking<'a> {
    pub(super) book: &'a Book,
    pub(super) rules: Rules,
    profiles: BTreeMap<String, Rc<Profile>>,
}

/// What stands in the book of a young animal, whoever asks when.
#[derive(Debug)]
pub(super) struct Young {
    pub(super) id: AnimalId,
    pub(super) born: Option<When>,
    here: bool,
    pub(super) species: Option<String>,
    place: Option<PlaceId>,
    /// What its place is in, or the place itself.
    pub(super) rack: Option<PlaceId>,
    pub(super) first_shed: Option<When>,
    sheds: u32,
    mass: Option<Mass>,
    mass_out: Option<Mass>,
    lost: Option<i64>,
    hold: Option<HoldId>,
    /// The hold is for somebody, not for the barn.
    promised: bool,
    /// Of the egg it came from.
    pub(super) clutch: Option<ClutchId>,
    /// Newest first, as far back as they are counted at the newest meal or later.
    meals: Vec<Offered>,
}

/// How it stands at a moment.
pub(super) struct Standing {
    pub(super) state: BabyState,
    pub(super) concern: Option<Concern>,
    pub(super) meals: Meals,
    /// The newest meal, whatever became of it.
    pub(super) last_meal: Option<Offered>,
    ready: bool,
    day: Option<i64>,
}

impl<'a> Looking<'a> {
    pub(super) fn new(book: &'a Book) -> Looking<'a> {
        Looking { book, rules: book.rules(), profiles: BTreeMap::new() }
    }

    pub(super) fn profile(&mut self, species: Option<&str>) -> Rc<Profile> {
        let key = species.unwrap_or("");
        if let Some(known) = self.profiles.get(key) {
            return known.clone();
        }
        let profile = Rc::new(self.book.species_of(species));
        self.profiles.insert(key.to_owned(), profile.clone());
        profile
    }

    /// With `most`, meals are looked back at only as far as so many in a row need.
    pub(super) fn young(book: &Book, animal: &Animal, most: Option<u32>) -> Young {
        let id = &animal.id;
        let (mut sheds, mut first_shed, mut masses) = (0, None, Vec::new());
        for event in book.animal_events(id) {
            if event.what == Some(AnimalEventWhat::Shed) {
                sheds += 1;
                first_shed = event.when;
            }
            masses.extend(event.mass);
        }
        let (place, hold) = (book.place_of(&id.thing()), book.hold_on(id));
        Young {
            id: id.clone(),
            born: animal.born,
            here: animal.is_here(),
            species: animal.species.clone(),
            rack: place.map(|place| place.within.as_ref().unwrap_or(&place.id).clone()),
            place: place.map(|place| place.id.clone()),
            first_shed,
            sheds,
            mass: masses.first().copied(),
            mass_out: masses.last().copied(),
            lost: lost_pct(masses),
            promised: hold.is_some_and(|hold| hold.contact.is_some()),
            hold: hold.map(|hold| hold.id.clone()),
            clutch: animal.from_eggs.first().and_then(|egg| book.egg(egg)?.clutch.clone()),
            meals: counted_meals(|| book.meals(id).map(Offered::from), most),
        }
    }

    /// With the same `most` as [`Looking::young`].
    pub(super) fn standing(&mut self, young: &Young, now: NaiveDateTime, most: Option<u32>) -> Standing {
        let sheds = young.sheds;
        let last_meal = young.meals.first().copied();
        let meals = if newest(young.meals.iter().copied()).is_some_and(|newest| now < newest) {
            meal_counts(&mut self.book.meals(&young.id).map(Offered::from), now, most)
        } else {
            meal_counts(&mut young.meals.iter().copied(), now, most)
        };
        let ready = self.rules.ready(sheds, meals.taken_in_a_row);
        let state = match &young.hold {
            _ if !young.here => BabyState::Left,
            Some(_) if young.promised => BabyState::Held,
            Some(_) => BabyState::KeptBack,
            None if ready => BabyState::Ready,
            None if sheds == 0 && meals.taken == 0 => BabyState::FirstShed,
            None if meals.taken == 0 => BabyState::FirstMeal,
            None => BabyState::Feeding,
        };
        let day = young.born.map(|born| (now.date() - born.date()).num_days());
        let concern = match (young.lost, day) {
            _ if !young.here => None,
            (Some(pct), _) => Some(Concern::Lost { pct }),
            (None, Some(day)) if meals.taken == 0 && day >= NO_MEAL_DAYS => Some(Concern::NoMeal { day }),
            (None, Some(day)) if sheds == 0 && meals.taken == 0 => {
                let late = young.born.map(|born| first_shed_late(born, &self.profile(young.species.as_deref())));
                late.filter(|late| now > *late).map(|_| Concern::ShedLate { day })
            }
            _ => None,
        };
        Standing { state, concern, meals, last_meal, ready, day }
    }

    fn row(&mut self, animal: &'a Animal, now: NaiveDateTime) -> Option<BabyRow> {
        let book = self.book;
        if !is_young(animal, now.date()) {
            return None;
        }
        let young = Looking::young(book, animal, None);
        let Standing { state, concern, meals, ready, day, .. } = self.standing(&young, now, None);
        let profile = self.profile(animal.species.as_deref());
        let prey = young.mass.and_then(|mass| self.rules.prey_mass(mass, profile.kin));
        Some(BabyRow {
            id: animal.id.clone(),
            name: book.animal_name(&animal.id),
            species: profile.short.to_string(),
            looks: animal.morph.clone(),
            faults: animal.faults.clone(),
            clutch: young.clutch.map(|id| {
                let number = book.clutch_number(&id);
                (id, number)
            }),
            hatched: animal.born,
            day,
            place: young.place,
            state,
            first_shed: young.first_shed,
            sheds: young.sheds,
            taken: meals.taken,
            taken_in_a_row: meals.taken_in_a_row,
            refused_in_a_row: meals.refused_in_a_row,
            last_offered: meals.last_offered,
            mass: young.mass,
            mass_out: young.mass_out,
            prey: prey.map(|prey| (prey, mouse_for(prey))),
            ready,
            hold: young.hold,
            concern,
        })
    }
}

/// All young, those gone included: by species' clutch and code.
pub fn baby_rows(book: &Book, now: NaiveDateTime) -> Vec<BabyRow> {
    let mut looking = Looking::new(book);
    let mut rows: Vec<BabyRow> = book.all_animals().filter_map(|animal| looking.row(animal, now)).collect();
    crate::order::sort(&mut rows, |row| {
        (row.clutch.as_ref().map(|(_, number)| number.clone()), row.name.clone(), row.id.clone())
    });
    rows
}

/// A rack, tub or room as it is fed: who is there, and what was offered last.
#[derive(Clone, Debug, PartialEq)]
pub struct Feeding {
    pub place: PlaceId,
    /// Animals there at any depth, in walking order; those in quarantine last.
    pub animals: Vec<FedLine>,
    /// When all of it was fed last, if within the last three days.
    pub fed: Option<When>,
}

/// One mouth.
#[derive(Clone, Debug, PartialEq)]
pub struct FedLine {
    pub id: AnimalId,
    pub name: String,
    /// The name of the tub it is in.
    pub tub: String,
    /// A meal of the last three days given with all others.
    pub meal: Option<(MealId, Option<MealOutcome>)>,
    /// Refused since the last one taken.
    pub refused_in_a_row: u32,
    /// What was offered last.
    pub prey: Option<String>,
    /// Young that have not shed are not offered anything yet (common practice), nor is who is cool or soon will be.
    pub waits: bool,
    pub cold: Option<Cold>,
    /// In quarantine: fed last.
    pub apart: bool,
}

/// Marking who refused is for the days after a feeding.
const MARK_DAYS: i64 = 3;

/// What a feeding of a place needs. `None` when there is no such place.
pub fn feeding(book: &Book, place: &PlaceId, now: NaiveDateTime) -> Option<Feeding> {
    book.place(place)?;
    let all = animals_under(book, place);
    let mut animals: Vec<FedLine> = all.into_iter().map(|(id, tub)| fed_line(book, id, tub, now)).collect();
    crate::order::sort(&mut animals, |line| line.apart);
    let fed = animals.iter().filter_map(|line| book.meal(&line.meal.as_ref()?.0)?.offered);
    Some(Feeding { place: place.clone(), fed: fed.max_by_key(|when| when.latest()), animals })
}

/// A place and all inside it, in walking order; each once, whatever goes round.
pub(super) fn places_under<'a>(book: &'a Book, place: &PlaceId) -> Vec<&'a Place> {
    let mut all: Vec<&Place> = Vec::new();
    let mut next: Vec<&Place> = book.place(place).into_iter().collect();
    while let Some(place) = next.pop() {
        if !all.iter().any(|known| known.id == place.id) {
            all.push(place);
            next.extend(book.places_in(Some(&place.id)).into_iter().rev());
        }
    }
    all
}

/// Animals at a place at any depth, in walking order, each with the place it is in.
pub(super) fn animals_under<'a>(book: &'a Book, place: &PlaceId) -> Vec<(AnimalId, &'a Place)> {
    let mut all = Vec::new();
    for tub in places_under(book, place) {
        let here = book.things_at(&tub.id).into_iter().filter(|thing| thing.kind == Kind::Animal);
        all.extend(here.map(|thing| (AnimalId::new(thing.id), tub)));
    }
    all
}

fn fed_line(book: &Book, id: AnimalId, tub: &Place, now: NaiveDateTime) -> FedLine {
    let with_all = book.meals(&id).take(4).find(|meal| {
        let lately = meal.offered.is_some_and(|at| now - at.latest() < TimeDelta::days(MARK_DAYS));
        lately && meal.with_all()
    });
    let young = baby_row(book, &id, now);
    let cold = cold_at(book, &id, When::time(now));
    FedLine {
        name: book.animal_name(&id),
        tub: tub.name.clone().unwrap_or_default(),
        meal: with_all.map(|meal| (meal.id.clone(), meal.outcome)),
        refused_in_a_row: meal_counts(&mut book.meals(&id).map(Offered::from), now, Some(1)).refused_in_a_row,
        prey: book.meals(&id).next().and_then(|meal| meal.prey.clone()),
        apart: book.apart(&id.thing()).is_some(),
        waits: cold.is_some() || young.is_some_and(|row| row.state == BabyState::FirstShed),
        cold,
        id,
    }
}
