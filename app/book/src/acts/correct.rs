//! What was noted corrected: what it was, and when it happened (never when it was typed).

use super::animals::born_by;
use super::follicles::sane_finding;
use super::row::Row;
use super::{Act, Mint, Refusal, all_there, draft, in_order, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{AnimalEvent, Candling, Meal};
use crate::words::{AnimalEventWhat, LookedAs, MealOutcome, Seen, ShedAs, Side};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use serde_json::Map;
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

/// A weight, shed or the like as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct AnimalEventEdited {
    pub event: AnimalEventId,
    pub what: AnimalEventWhat,
    pub when: When,
    pub mass: Option<Mass>,
    /// Of a shed only.
    pub shed: Option<ShedAs>,
    /// Of follicles only, as the three below.
    pub looked: Option<LookedAs>,
    pub side: Option<Side>,
    /// Across the largest, in micrometres.
    pub follicle_um: Option<i64>,
    pub follicles: Option<u32>,
    pub note: String,
}

/// What an event is shown as that a newer program calls by another word.
const UNREAD: AnimalEventWhat = AnimalEventWhat::Note;

impl AnimalEventEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, event: &AnimalEventId, otherwise: When) -> Option<AnimalEventEdited> {
        book.animal_event(event).map(|e| AnimalEventEdited {
            event: event.clone(),
            what: e.what.unwrap_or(UNREAD),
            when: e.when.unwrap_or(otherwise),
            mass: e.mass,
            shed: e.shed,
            looked: e.looked,
            side: e.side,
            follicle_um: e.follicle_um,
            follicles: e.follicles,
            note: e.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for AnimalEventEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let event = book.animal_event(&self.event).ok_or_else(|| Refusal::NoSuch { thing: self.event.thing() })?;
        not_future("event", self.when, now)?;
        real_mass_if("A weight", self.mass)?;
        if self.what == AnimalEventWhat::Weight && self.mass.is_none() {
            return Err(Refusal::Missing { what: "the weight" });
        }
        event.animal.as_ref().map_or(Ok(()), |animal| born_by(book, animal, "the event", self.when))?;
        // What is no shed was shed in no way, and what is no look at follicles found none.
        let shed = self.shed.filter(|_| self.what.is_shed() || event.what.is_none());
        let follicles = self.what == AnimalEventWhat::Follicles || event.what.is_none();
        let (um, count) = (self.follicle_um.filter(|_| follicles), self.follicles.filter(|_| follicles));
        sane_finding(um, count)?;
        let row = Row::new()
            .shown(AnimalEvent::what, self.what, event.what, UNREAD)
            .with(AnimalEvent::when, self.when)
            .with(AnimalEvent::mass, self.mass)
            .with(AnimalEvent::shed, shed)
            .with(AnimalEvent::looked, self.looked.filter(|_| follicles))
            .with(AnimalEvent::side, self.side.filter(|_| follicles))
            .with(AnimalEvent::follicle_um, um)
            .with(AnimalEvent::follicles, count)
            .with(AnimalEvent::note, &self.note);
        draft("AnimalEventEdited", row.change(book, self.event.as_str()).into_iter().collect())
    }
}

/// A meal as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct MealEdited {
    pub meal: MealId,
    pub offered: When,
    pub outcome: Option<MealOutcome>,
    /// When the outcome was seen.
    pub outcome_when: Option<When>,
    pub prey: String,
    pub size: String,
    pub how: String,
    pub note: String,
}

impl MealEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, meal: &MealId, otherwise: When) -> Option<MealEdited> {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        book.meal(meal).map(|m| MealEdited {
            meal: meal.clone(),
            offered: m.offered.unwrap_or(otherwise),
            outcome: m.outcome,
            outcome_when: m.outcome_when,
            prey: text(&m.prey),
            size: text(&m.size),
            how: text(&m.how),
            note: text(&m.note),
        })
    }
}

impl Act for MealEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let meal = book.meal(&self.meal).ok_or_else(|| Refusal::NoSuch { thing: self.meal.thing() })?;
        not_future("meal", self.offered, now)?;
        // An outcome seen with the offer moves with it.
        let with_it = self.outcome_when == meal.outcome_when && meal.outcome_when == meal.offered;
        let seen = if with_it { Some(self.offered) } else { self.outcome_when };
        // Only an outcome taken away takes its moment along: one that a newer program wrote reads as none here.
        let seen = seen.filter(|_| self.outcome.is_some() || meal.outcome.is_none());
        seen.map_or(Ok(()), |seen| not_future("outcome", seen, now))?;
        in_order(("the offer", Some(self.offered)), ("its outcome", seen))?;
        meal.animal.as_ref().map_or(Ok(()), |animal| born_by(book, animal, "the meal", self.offered))?;
        let row = Row::new()
            .with(Meal::offered, self.offered)
            .with(Meal::outcome, self.outcome)
            .with(Meal::outcome_when, seen.or(self.outcome.map(|_| self.offered)))
            // Whoever says another outcome has looked: it is no longer what a rack's feeding took for granted.
            .with(Meal::assumed, if self.outcome == meal.outcome { meal.assumed } else { said_of(meal) })
            .with(Meal::prey, &self.prey)
            .with(Meal::size, &self.size)
            .with(Meal::how, &self.how)
            .with(Meal::note, &self.note);
        draft("MealEdited", row.change(book, self.meal.as_str()).into_iter().collect())
    }
}

/// Of a meal given to a whole rack, that somebody has said by now what became of it; of others nothing.
pub(super) fn said_of(meal: &Meal) -> Option<bool> {
    meal.with_all().then_some(false)
}

/// A candling as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct CandlingEdited {
    pub candling: CandlingId,
    pub when: When,
    /// Of all its eggs.
    pub seen: BTreeMap<EggId, Seen>,
    pub note: String,
}

impl CandlingEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, candling: &CandlingId, otherwise: When) -> Option<CandlingEdited> {
        book.candling(candling).map(|c| CandlingEdited {
            candling: candling.clone(),
            when: c.when.unwrap_or(otherwise),
            seen: c.seen.clone(),
            note: c.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for CandlingEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let candling = book.candling(&self.candling).ok_or_else(|| Refusal::NoSuch { thing: self.candling.thing() })?;
        not_future("candling", self.when, now)?;
        since_set(book, candling.filling.as_ref(), "the candling", self.when)?;
        if self.seen.is_empty() {
            return Err(Refusal::Missing { what: "what the light showed, at least of one egg" });
        }
        all_there(book, &self.seen.keys().cloned().collect::<Vec<_>>())?;
        let row = Row::new()
            .with(Candling::when, self.when)
            .with(Candling::seen, &self.seen)
            .with(Candling::note, &self.note);
        draft("CandlingEdited", row.change(book, self.candling.as_str()).into_iter().collect())
    }
}

/// Not before the box was set.
pub(super) fn since_set(
    book: &Book,
    filling: Option<&FillingId>,
    what: &'static str,
    when: When,
) -> Result<(), Refusal> {
    let set = filling.and_then(|id| book.filling(id)).and_then(|filling| filling.from);
    in_order(("setting the box", set), (what, Some(when)))
}

/// What is seen and has a form of its own, which checks its date.
const OWN_FORM: &[Kind] = &[
    Kind::AnimalEvent,
    Kind::Meal,
    Kind::Incident,
    Kind::SetPoint,
    Kind::ReadingLog,
    Kind::Dose,
    Kind::Cleaning,
    Kind::Photo,
];

/// Records whose date is put right by [`Redated`]: what was seen. All else has a page of its own for it.
pub fn may_redate(kind: Kind) -> bool {
    kind.is_seen() && !OWN_FORM.contains(&kind)
}

/// When something happened, put right: a move, a lock, a note, a candling, a pip…
#[derive(Clone, Debug)]
pub struct Redated {
    pub thing: Thing,
    pub when: When,
}

impl Act for Redated {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let id = self.thing.id.as_str();
        there(book, self.thing.clone())?;
        not_future("corrected", self.when, now)?;
        let kind = self.thing.kind;
        if !may_redate(kind) {
            return Err(Refusal::Missing { what: "it on its own page, where its date can be corrected" });
        }
        if kind == Kind::LockSeen {
            let pairing = book.lock(&id.into()).and_then(|lock| book.pairing(lock.pairing.as_ref()?));
            in_order(("the introduction", pairing.and_then(|p| p.when)), ("the lock", Some(self.when)))?;
            in_order(("the lock", Some(self.when)), ("the separation", pairing.and_then(|p| p.ended)))?;
        }
        if kind == Kind::Hatching {
            let egg = book.hatching(&id.into()).and_then(|hatching| book.egg(hatching.egg.as_ref()?));
            in_order(("laying", egg.and_then(|egg| book.laid(egg))), ("the pip", Some(self.when)))?;
        }
        for (of, what) in [(Kind::Candling, "the candling"), (Kind::Water, "the water check")] {
            let filling = book.about(&self.thing).filter(|_| kind == of).map(|filling| FillingId::new(filling.id));
            since_set(book, filling.as_ref(), what, self.when)?;
        }
        draft("Redated", redated(book, &self.thing, self.when).into_iter().collect())
    }
}

/// The field that says when it happened, written anew.
fn redated(book: &Book, thing: &Thing, when: When) -> Option<DraftSet> {
    let at = thing.kind.declared().at.filter(|_| book.happened(thing) != Some(when))?;
    Some(book.set(thing.kind, &thing.id, Map::from_iter([(at.to_owned(), when.to_string().into())])))
}
