//! What is done to many animals at once, as one act.

use super::animals::{all_once, born_by, far_doubts, gone_doubts};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, real_mass};
use crate::book::Book;
use crate::ids::*;
use crate::records::AnimalEvent;
use crate::words::{AnimalEventWhat, ShedAs};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::units::Mass;
use trade::when::When;

/// Animals put on the scale one after the other.
#[derive(Clone, Debug)]
pub struct AnimalsWeighed {
    pub weights: Vec<(AnimalId, Mass)>,
    pub when: When,
}

impl Act for AnimalsWeighed {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("weighing", self.when, now)?;
        let animals: Vec<AnimalId> = self.weights.iter().map(|(animal, _)| animal.clone()).collect();
        all_once(book, &animals)?;
        let mut sets = Vec::with_capacity(self.weights.len());
        for (animal, mass) in &self.weights {
            real_mass("A weight", *mass)?;
            born_by(book, animal, "the weighing", self.when)?;
            sets.push(event(animal, AnimalEventWhat::Weight, self.when).with(AnimalEvent::mass, *mass));
        }
        draft("AnimalsWeighed", sets.into_iter().map(|row| row.observe()).collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = gone_doubts(book, self.weights.iter().map(|(animal, _)| animal), Some(self.when));
        for (animal, mass) in &self.weights {
            // Which of them is meant must be said where several are weighed.
            let far = far_doubts(book, animal, Some(*mass)).into_iter().next();
            doubts.extend(far.map(|_| Doubt::WeightFar { name: book.animal_name(animal), now: *mass }));
        }
        doubts
    }
}

/// The same seen of several animals: most often a shed.
#[derive(Clone, Debug)]
pub struct AnimalsSeen {
    pub animals: Vec<AnimalId>,
    pub what: AnimalEventWhat,
    pub when: When,
    /// Of sheds only, and the same of all; `None`: nobody looked.
    pub shed: Option<ShedAs>,
    pub note: String,
}

impl Act for AnimalsSeen {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("event", self.when, now)?;
        all_once(book, &self.animals)?;
        if self.what == AnimalEventWhat::Weight {
            return Err(Refusal::Missing { what: "each animal's weight" });
        }
        self.animals.iter().try_for_each(|animal| born_by(book, animal, "the event", self.when))?;
        let shed = self.shed.filter(|_| self.what.is_shed());
        let rows = self.animals.iter().map(|animal| {
            let row = event(animal, self.what, self.when).with(AnimalEvent::shed, shed);
            row.with(AnimalEvent::note, &self.note)
        });
        draft("AnimalsSeen", rows.map(|row| row.observe()).collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        gone_doubts(book, self.animals.iter(), Some(self.when))
    }
}

fn event(animal: &AnimalId, what: AnimalEventWhat, when: When) -> Row<AnimalEvent> {
    Row::new().with(AnimalEvent::animal, animal).with(AnimalEvent::what, what).with(AnimalEvent::when, when)
}
