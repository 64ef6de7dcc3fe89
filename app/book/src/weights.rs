//! What an animal weighed, wherever it was noted, by when it happened.

use crate::book::Book;
use crate::ids::AnimalId;
use chrono::NaiveDateTime;
use trade::units::Mass;
use trade::when::When;

impl Book {
    /// All weights of an animal, oldest first: its own, and as only known dam those noted with its clutches (gravid,
    /// spent). What has no date comes first.
    pub fn weights(&self, id: &AnimalId) -> Vec<(Mass, Option<When>)> {
        let mut found: Vec<(Option<NaiveDateTime>, Mass, Option<When>)> = Vec::new();
        for event in self.animal_events(id) {
            if let Some(mass) = event.mass {
                found.push((event.when.map(When::middle), mass, event.when));
            }
        }
        // Told newest first; of one moment the one written later stays the later one.
        found.reverse();
        for clutch in self.clutches_of(id).filter(|clutch| clutch.dams == std::slice::from_ref(id)) {
            // Both are days only, and on the day of laying one came before the eggs and the other after.
            let (gravid, spent) = (clutch.gravid_on.map(When::day), clutch.spent_on.map(When::day));
            let noted =
                [(clutch.gravid, gravid, gravid.map(When::earliest)), (clutch.spent, spent, spent.map(When::latest))];
            for (mass, when, at) in noted {
                let (Some(mass), Some(day)) = (mass, when) else { continue };
                // The same weighing most often stands among her own events.
                let same = |(_, other, when): &(Option<NaiveDateTime>, Mass, Option<When>)| {
                    *other == mass && when.is_some_and(|when| when.date() == day.date())
                };
                if !found.iter().any(same) {
                    found.push((at, mass, when));
                }
            }
        }
        crate::order::sort(&mut found, |(at, ..)| *at);
        found.into_iter().map(|(_, mass, when)| (mass, when)).collect()
    }

    /// What an animal weighed last, and when.
    pub fn weight(&self, id: &AnimalId) -> Option<(Mass, Option<When>)> {
        self.weights(id).pop()
    }
}
