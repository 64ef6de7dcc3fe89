//! Bringing things somewhere.

use super::quarantine::apart_doubts;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Filling, Move, Place, TakenOut};
use crate::words::PlaceWhat;
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use std::collections::BTreeSet;
use trade::units::Mass;
use trade::when::When;

/// What a `taken_out` record says when it stands for eggs that were moved, so that they are not counted twice.
pub(crate) const EGGS: &str = "eggs";

/// Boxes, eggs or animals brought to a place or into a box.
#[derive(Clone, Debug)]
pub struct Moved {
    pub things: Vec<Thing>,
    pub to: Where,
    pub when: When,
    /// Of eggs moved between boxes: what they weigh together, so that both fill-to masses stay right.
    pub mass: Option<Mass>,
    pub note: String,
}

impl Moved {
    /// Brought to a place, nothing weighed and nothing noted.
    pub fn to_place(things: Vec<Thing>, place: PlaceId, when: When) -> Self {
        Self { things, to: Where::Place(place), when, mass: None, note: String::new() }
    }
}

impl Act for Moved {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.things.is_empty() {
            return Err(Refusal::Missing { what: "what is moved" });
        }
        not_future("move", self.when, now)?;
        real_mass_if("A mass", self.mass)?;
        can_hold(book, &self.to)?;
        for (i, thing) in self.things.iter().enumerate() {
            there(book, thing.clone())?;
            if self.things[..i].contains(thing) {
                return Err(Refusal::Twice { what: book.short_name(thing) });
            }
            movable(book, thing, &self.to)?;
        }
        if self.things.iter().all(|thing| book.whereabouts(thing) == Some(&self.to)) {
            return Err(Refusal::NothingChanged);
        }
        let eggs: Vec<EggId> = eggs_among(&self.things);
        let mut sets = vec![row_noted(&self.things, &self.to, self.when, &self.note)];
        sets.extend(weighed_across(book, &eggs, &self.to, self.when, self.mass));
        sets.extend(nests_left(book, &eggs, self.when));
        draft("Moved", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = clumps_split(book, &eggs_among(&self.things));
        let is_box = |thing: &Thing| thing.kind == Kind::Filling && !book.is_nest(&thing.id.as_str().into());
        if self.things.iter().any(is_box) {
            doubts.extend(not_a_shelf(book, &self.to));
        }
        if let Where::Place(place) = &self.to {
            let animals: Vec<&Thing> = self.things.iter().filter(|thing| thing.kind == Kind::Animal).collect();
            doubts.extend(crowded(book, &animals, place));
            // Her nest may go with her.
            let stays = |nest: &Filling| !self.things.contains(&nest.id.thing());
            doubts.extend(animals.iter().filter_map(|thing| with_her_eggs(book, &thing.id.as_str().into(), stays)));
        }
        let to = if let Where::Place(place) = &self.to { Some(place) } else { None };
        doubts.extend(apart_doubts(book, self.things.iter().filter(|thing| thing.kind != Kind::Egg), to, self.when));
        doubts
    }
}

fn eggs_among(things: &[Thing]) -> Vec<EggId> {
    things.iter().filter(|thing| thing.kind == Kind::Egg).map(|thing| EggId::new(thing.id.as_str())).collect()
}

pub(super) fn not_a_shelf(book: &Book, to: &Where) -> Option<Doubt> {
    let Where::Place(id) = to else { return None };
    let place = book.place(id)?;
    let fine = matches!(place.what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator));
    (!fine).then(|| Doubt::NotAShelf { name: place.name.clone().unwrap_or_default() })
}

/// Asks about a female that would go from eggs left with her.
pub(super) fn with_her_eggs(book: &Book, animal: &AnimalId, stays: impl Fn(&Filling) -> bool) -> Option<Doubt> {
    let mut hers = book.clutches_of(animal).filter(|clutch| clutch.dams.contains(animal));
    let lies = hers.any(|clutch| book.nest(&clutch.id).is_some_and(&stays));
    lies.then(|| Doubt::WithHerEggs { name: book.animal_name(animal) })
}

/// Asks when animals that come to a tub would not be alone in it. Rooms and racks hold many.
pub(super) fn crowded(book: &Book, coming: &[&Thing], to: &PlaceId) -> Option<Doubt> {
    let place = book.place(to).filter(|place| matches!(place.what, Some(PlaceWhat::Tub | PlaceWhat::Slot)))?;
    let there = book.things_at(to);
    let others = there.iter().filter(|thing| thing.kind == Kind::Animal && !coming.contains(thing)).count();
    let crowd = !coming.is_empty() && others + coming.len() > 1;
    crowd.then(|| occupied(book, place))
}

/// Many racks have a tub 3: its path says which.
pub(super) fn occupied(book: &Book, place: &Place) -> Doubt {
    Doubt::Occupied { name: book.path_names(&place.id).join(" · ") }
}

pub(super) fn can_hold(book: &Book, to: &Where) -> Result<(), Refusal> {
    match to {
        Where::Place(id) => {
            let place = book.place(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            if place.closed {
                return Err(Refusal::CannotHold { name: place.name.clone().unwrap_or_default() });
            }
            Ok(())
        }
        Where::Filling(id) => match book.filling(id) {
            None => Err(Refusal::NoSuch { thing: id.thing() }),
            Some(filling) if filling.to.is_some() => Err(Refusal::BoxClosed),
            Some(_) => Ok(()),
        },
        Where::Dam | Where::Unknown => Ok(()),
    }
}

fn movable(book: &Book, thing: &Thing, to: &Where) -> Result<(), Refusal> {
    let refused = || Err(Refusal::CannotMove { what: book.short_name(thing) });
    if thing.kind == Kind::Egg {
        let gone = book.egg(&EggId::new(thing.id.as_str())).filter(|egg| egg.fate.is_some());
        return gone.map_or(Ok(()), |egg| Err(Refusal::EggGone { letter: egg.letter.clone().unwrap_or_default() }));
    }
    let to_place = matches!(to, Where::Place(_) | Where::Unknown);
    if !to_place || !matches!(thing.kind, Kind::Filling | Kind::Animal | Kind::Box) {
        return refused();
    }
    let emptied =
        thing.kind == Kind::Filling && book.filling(&FillingId::new(thing.id.as_str())).is_some_and(|f| f.to.is_some());
    if emptied { Err(Refusal::BoxClosed) } else { Ok(()) }
}

/// A stuck clump stays whole: asks when some but not all of one are taken along.
pub(super) fn clumps_split(book: &Book, eggs: &[EggId]) -> Vec<Doubt> {
    let mut letters = BTreeSet::new();
    for id in eggs {
        let Some(egg) = book.egg(id) else { continue };
        let (Some(clutch), Some(clump)) = (&egg.clutch, egg.clump) else { continue };
        let left = book.eggs_of(clutch).into_iter().filter(|other| {
            other.clump == Some(clump)
                && other.fate.is_none()
                && !eggs.contains(&other.id)
                && book.whereabouts(&other.id.thing()) == book.whereabouts(&id.thing())
        });
        letters.extend(left.filter_map(|other| other.letter.clone()));
    }
    if letters.is_empty() {
        return Vec::new();
    }
    vec![Doubt::ClumpSplit { letters: letters.into_iter().collect::<Vec<_>>().join(", ") }]
}

pub(super) fn row(things: &[Thing], to: &Where, when: When) -> DraftSet {
    row_noted(things, to, when, "")
}

fn row_noted(things: &[Thing], to: &Where, when: When, note: &str) -> DraftSet {
    Row::new().with(Move::things, things).with(Move::to, to).with(Move::when, when).with(Move::note, note).observe()
}

/// What weighed eggs change in the fill-to of the box they leave and of the one they come to. A mass can only be
/// booked when all come from one box; otherwise both boxes have eggs moved unweighed, which the fill-to says.
pub(super) fn weighed_across(book: &Book, eggs: &[EggId], to: &Where, when: When, mass: Option<Mass>) -> Vec<DraftSet> {
    let Some(mass) = mass else { return Vec::new() };
    let from: BTreeSet<Option<&Where>> = eggs.iter().map(|egg| book.whereabouts(&egg.thing())).collect();
    let mut sets = Vec::new();
    // With their mother nothing is weighed.
    if let [Some(Where::Filling(from))] = from.into_iter().collect::<Vec<_>>().as_slice()
        && !book.is_nest(from)
    {
        sets.push(taken(from, when, mass));
    }
    if let Where::Filling(to) = to
        && !book.is_nest(to)
    {
        sets.push(taken(to, when, Mass::ZERO - mass));
    }
    sets
}

/// Ends the nests whose last eggs are taken from their mother.
pub(super) fn nests_left(book: &Book, eggs: &[EggId], when: When) -> Vec<DraftSet> {
    let from: BTreeSet<&FillingId> = eggs
        .iter()
        .filter_map(|egg| match book.whereabouts(&egg.thing()) {
            Some(Where::Filling(id)) if book.is_nest(id) => Some(id),
            _ => None,
        })
        .collect();
    let left = from.into_iter().filter(|id| book.eggs_in(id).iter().all(|egg| eggs.contains(&egg.id)));
    left.filter_map(|id| Row::new().with(Filling::to, when).change(book, id.as_str())).collect()
}

fn taken(filling: &FillingId, when: When, mass: Mass) -> DraftSet {
    Row::new()
        .with(TakenOut::filling, filling)
        .with(TakenOut::when, when)
        .with(TakenOut::mass, mass)
        .with(TakenOut::what, EGGS)
        .observe()
}
