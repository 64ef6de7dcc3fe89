//! Where the book asks `trade`: species, stays, water. It hands over what is recorded and sums up nothing itself.

use crate::acts::EGGS;
use crate::book::Book;
use crate::heat::Stay;
use crate::ids::*;
use crate::order::Order;
use crate::records::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::species::{Changes, Profile};
use trade::units::Mass;
use trade::water::{BoxEvent, FillTo, Noted};
use trade::when::When;

/// What a keeper's scale shows: steps of 1 g (common practice).
pub const SCALE: Mass = Mass(1000);

impl Book {
    /// The profile of a species by a species record's id or a shipped key; of an unlisted snake when neither fits.
    pub fn species_of(&self, key: Option<&str>) -> Profile {
        let Some(key) = key else { return Profile::unlisted() };
        let Some(own) = self.own_species(&key.into()) else {
            return Profile::find(key).unwrap_or_else(Profile::unlisted);
        };
        let base = own.base();
        let names = Changes { name: own.name.clone(), latin: own.latin.clone(), ..Changes::default() };
        // Figures that make no sense leave the base's standing; its names are the barn's all the same.
        let named = || base.clone().with(key, &names).unwrap_or_else(|_| base.clone());
        base.clone().with(key, &own.changes()).unwrap_or_else(|_| named())
    }

    /// Every species a form offers: the barn's own first, then the shipped ones. (What a record holds, its profile.)
    pub fn all_species(&self) -> Vec<(String, Profile)> {
        // The barn's own word on a shipped one has that one's key, and stands where it stood.
        let lines = self.own_species_all().into_iter().filter(|s| Profile::find(s.id.as_str()).is_none());
        let own = lines.map(|s| s.id.to_string());
        let shipped = trade::species::built_in().map(|profile| profile.key.into_owned());
        own.chain(shipped)
            .map(|key| {
                let profile = self.species_of(Some(&key));
                (key, profile)
            })
            .collect()
    }

    /// Where an egg has stood: the shelves of its boxes, one after another.
    pub fn stays(&self, egg: &Egg) -> Vec<Stay> {
        let mut boxes: Vec<(Option<NaiveDateTime>, FillingId)> =
            egg.filling.iter().map(|filling| (None, filling.clone())).collect();
        let mut moved: Vec<&Move> = self.moves(&egg.id.thing()).collect();
        moved.reverse();
        for mv in moved {
            if let Some(Where::Filling(id)) = &mv.to {
                boxes.push((mv.when.map(When::earliest), id.clone()));
            }
        }
        let mut stays = Vec::new();
        for (i, (from, filling)) in boxes.iter().enumerate() {
            let until = boxes.get(i + 1).and_then(|next| next.0);
            let mut here = self.box_stays(filling);
            here.retain(|stay| until.is_none_or(|until| stay.from < until));
            if let Some(from) = from {
                // The last shelf the box was brought to before the egg came is where the egg came to.
                let first = here.iter().rposition(|stay| stay.from <= *from).unwrap_or(0);
                here.drain(..first);
                if let Some(first) = here.first_mut() {
                    first.from = first.from.max(*from);
                }
            }
            stays.extend(here);
        }
        stays
    }

    /// Where a box has stood, oldest first.
    pub fn box_stays(&self, filling: &FillingId) -> Vec<Stay> {
        let nest = self.is_nest(filling);
        let mut stays: Vec<Stay> = self
            .moves(&filling.thing())
            .filter_map(|mv| match &mv.to {
                Some(Where::Place(place)) => {
                    let from = mv.when.map_or(NaiveDateTime::MIN, When::earliest);
                    Some(Stay { from, place: place.clone(), nest })
                }
                _ => None,
            })
            .collect();
        stays.reverse();
        stays
    }

    /// The first likely day of an egg's window when `at` is before all of it. Where there is no window, when not half of what is
    /// usual for the species has passed since it was laid (our choice, no source).
    pub(crate) fn early_before(&self, egg: &EggId, at: NaiveDateTime) -> Option<NaiveDate> {
        let egg = self.egg(egg)?;
        if let Ok(window) = self.window_of(&[egg], at) {
            return (at < window.unlooked.outer.0).then(|| window.unlooked.likely.0.date());
        }
        let clutch = self.clutch(egg.clutch.as_ref()?)?;
        let (laid, days) = (clutch.laid.or(clutch.found)?.latest(), self.clutch_profile(clutch).ref_days);
        let hours = |part: f64| TimeDelta::hours((days * 24.0 * part) as i64);
        (at < laid + hours(0.5)).then(|| (laid + hours(1.0)).date())
    }

    /// What happened to a box's mass, oldest first.
    pub fn water_events(&self, filling: &FillingId) -> Vec<(NaiveDateTime, BoxEvent)> {
        let Some(record) = self.filling(filling) else { return Vec::new() };
        let mut noted: Vec<(Order, When, BoxEvent)> = Vec::new();
        for check in self.water_checks(filling) {
            let Some(when) = check.when else { continue };
            let event = match (check.baseline, check.mass) {
                (true, Some(closed)) => BoxEvent::Baseline { closed },
                (true, None) => continue,
                (false, before) => BoxEvent::Water { before, added: check.added.unwrap_or_default() },
            };
            noted.push((self.wrote(&check.id.thing(), "when"), when, event));
        }
        // Eggs moved and weighed stand in the book twice, as the move and as what was taken out with it.
        let mut weighed: Vec<NaiveDateTime> = Vec::new();
        for taken in self.taken_out(filling) {
            let (Some(when), Some(mass)) = (taken.when, taken.mass) else { continue };
            if taken.what.as_deref() == Some(EGGS) {
                weighed.push(when.earliest());
            }
            noted.push((self.wrote(&taken.id.thing(), "when"), when, BoxEvent::TakenOut { mass: Some(mass) }));
        }
        let set = record.from.map(When::earliest);
        for egg in self.eggs_ever_in(filling) {
            noted.extend(self.egg_crossings(egg, filling, set, &weighed));
        }
        crate::order::sort(&mut noted, |row| row.0);
        let turns = noted.into_iter().enumerate();
        let noted: Vec<Noted> = turns.map(|(turn, (_, when, event))| Noted { when, turn, event }).collect();
        trade::water::in_order(record.from.map_or(NaiveDateTime::MIN, When::earliest), record.closed, &noted)
    }

    /// When an egg came into or left a box after its set-up, as changes of the box's mass. What was put in as it was `set` was
    /// weighed with it.
    fn egg_crossings(
        &self,
        egg: &Egg,
        filling: &FillingId,
        set: Option<NaiveDateTime>,
        weighed: &[NaiveDateTime],
    ) -> Vec<(Order, When, BoxEvent)> {
        let this = Where::Filling(filling.clone());
        let mut inside = egg.filling.as_ref() == Some(filling);
        let mut events = Vec::new();
        let mut moves: Vec<&Move> = self.moves(&egg.id.thing()).collect();
        moves.reverse();
        for mv in moves {
            let now_inside = mv.to.as_ref() == Some(&this);
            if now_inside != inside
                && let Some(when) = mv.when
                && !weighed.contains(&when.earliest())
                && !(now_inside && set.is_some_and(|set| when.earliest() <= set))
            {
                events.push((self.wrote(&mv.id.thing(), "when"), when, BoxEvent::TakenOut { mass: None }));
            }
            inside = now_inside;
        }
        if inside
            && egg.fate.is_some()
            && let Some(when) = egg.fate_when
        {
            let wrote = self.wrote(&egg.id.thing(), "fate_when");
            events.push((wrote, when, BoxEvent::TakenOut { mass: egg.fate_mass }));
        }
        events
    }

    /// What a box should weigh closed. `None` before it was ever weighed.
    pub fn fill_to(&self, filling: &FillingId) -> Option<FillTo> {
        trade::water::fill_to(&self.water_events(filling)).ok()
    }

    /// What to add to a box that weighs `now` closed.
    pub fn to_add(&self, filling: &FillingId, now: Mass) -> Option<trade::water::ToAdd> {
        self.fill_to(filling).map(|fill_to| trade::water::to_add(fill_to, now, SCALE))
    }
}
