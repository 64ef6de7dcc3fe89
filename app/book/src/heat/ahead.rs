//! Dates for the season's forecast: the same questions as the windows', and the same with shelves set otherwise.

use super::Legs;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use chrono::NaiveDateTime;
use std::rc::Rc;
use trade::forecast::Timing;
use trade::path::{Path, SetTo, Track};
use trade::response::Model;
use trade::units::Temp;
use trade::window::Refusal;

impl Book {
    /// When some eggs of one clutch that share a box pip. `set` are places put to other temperatures from `now` on, in
    /// thought only.
    ///
    /// # Errors
    /// Where there is no window.
    pub(crate) fn timing_of(
        &self,
        eggs: &[&Egg],
        now: NaiveDateTime,
        set: &[(PlaceId, Temp)],
    ) -> Result<Timing, Refusal> {
        let ask = self.ask(eggs)?;
        let asked = ask.at(now);
        let legs = match set {
            [] => asked.legs.clone(),
            set => self.legs_if(&ask.egg, &ask.species, now, set),
        };
        Timing::of(&asked.model, &asked.question(&legs.as_legs()))
    }

    /// What the figures of a species say before any hatch of the keeper's own.
    pub(crate) fn unlearned(&self, species: &str) -> Rc<Model> {
        self.bare(species)
    }

    fn legs_if(&self, egg: &EggId, species: &str, now: NaiveDateTime, set: &[(PlaceId, Temp)]) -> Legs {
        let stays = self.egg(egg).map(|egg| self.stays(egg)).unwrap_or_default();
        let found = stays.iter().filter_map(|stay| {
            let shelf = self.shelf(stay, species);
            let track = match self.set_if(&stay.place, set) {
                None => shelf.track.clone()?,
                Some(temp) => {
                    Rc::new(Track::new(self.path_if(&stay.place, &shelf.thermometer, now, temp)?, &shelf.bare))
                }
            };
            Some((stay.from, shelf.thermometer.clone(), track))
        });
        Legs(found.collect())
    }

    /// The temperature a place would be set to: its own, or that of the nearest it is in.
    pub(crate) fn set_if(&self, place: &PlaceId, set: &[(PlaceId, Temp)]) -> Option<Temp> {
        let mut path = self.path(place);
        path.reverse();
        path.iter().find_map(|p| set.iter().find(|(id, _)| *id == p.id).map(|(_, temp)| *temp))
    }

    fn path_if(&self, place: &PlaceId, thermometer: &PlaceId, now: NaiveDateTime, temp: Temp) -> Option<Path> {
        let (first, mut then) = self.set_temps(place);
        then.retain(|change| change.0 < now);
        then.push((now, temp));
        let mut readings = self.readings_at(thermometer);
        readings.retain(|r| r.at <= now);
        Path::dated(&readings, SetTo { first, then: &then }, self.offset(thermometer)).ok()
    }
}
