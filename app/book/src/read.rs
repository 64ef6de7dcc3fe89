//! Reading the book: by id, in sensible order, and along what belongs to what.

use crate::book::Book;
use crate::ids::*;
use crate::index::Link;
use crate::records::*;
use crate::words::{LaidAs, PlaceWhat, Seen, Step};
use chrono::NaiveDateTime;
use std::collections::{BTreeMap, BTreeSet};

macro_rules! by_id {
    ($($(#[$doc:meta])* $name:ident($id:ident) -> $record:ident in $table:ident;)*) => {
        impl Book { $(
            $(#[$doc])*
            pub fn $name(&self, id: &$id) -> Option<&$record> {
                self.t.$table.get(id).map(|kept| &kept.record)
            }
        )* }
    };
}

by_id! {
    person(PersonId) -> Person in people;
    place(PlaceId) -> Place in places;
    /// A species record of the barn's own. For names and figures see [`Book::species_of`].
    own_species(SpeciesId) -> Species in species;
    animal(AnimalId) -> Animal in animals;
    animal_event(AnimalEventId) -> AnimalEvent in events;
    meal(MealId) -> Meal in meals;
    pairing(PairingId) -> Pairing in pairings;
    move_of(MoveId) -> Move in moves;
    note(NoteId) -> Note in notes;
    photo(PhotoId) -> Photo in photos;
    lock(LockSeenId) -> LockSeen in locks;
    clutch(ClutchId) -> Clutch in clutches;
    egg(EggId) -> Egg in eggs;
    container(BoxId) -> BoxThing in boxes;
    filling(FillingId) -> Filling in fillings;
    candling(CandlingId) -> Candling in candlings;
    water_check(WaterId) -> WaterCheck in waters;
    hatching(HatchingId) -> Hatching in hatchings;
    label(LabelId) -> BlankLabel in labels;
    contact(ContactId) -> Contact in contacts;
    wish(WishId) -> Wish in wishes;
    hold(HoldId) -> Hold in holds;
    own_trait(TraitId) -> Trait in traits;
    said_of(GenotypeId) -> Genotype in genotypes;
}

macro_rules! linked {
    ($($(#[$doc:meta])* $name:ident($id:ty) -> $link:ident $record:ident in $table:ident;)*) => {
        impl Book { $(
            $(#[$doc])*
            pub fn $name<'a>(&'a self, of: &$id) -> impl Iterator<Item = &'a $record> + use<'a> {
                let ids = self.ix.of(Link::$link, &key(of)).rev();
                ids.filter_map(|id| self.t.$table.get(&id.into()).map(|kept| &kept.record))
            }
        )* }
    };
}

/// The one record of rules.
pub(crate) const BARN: &str = "barn";

/// The key a thing has in the index.
fn key<T: Keyed>(of: &T) -> String {
    of.key()
}

trait Keyed {
    fn key(&self) -> String;
}

impl Keyed for Thing {
    fn key(&self) -> String {
        self.to_string()
    }
}

macro_rules! keyed {
    ($($id:ident)*) => { $(impl Keyed for $id { fn key(&self) -> String { self.as_str().to_owned() } })* };
}
keyed! { AnimalId FillingId EggId PlaceId BoxId PairingId ContactId WishId }

linked! {
    /// Newest first.
    candlings(FillingId) -> Candlings Candling in candlings;
    /// Newest first, baselines included.
    water_checks(FillingId) -> Waters WaterCheck in waters;
    /// Newest first.
    taken_out(FillingId) -> Taken TakenOut in taken;
    /// Newest first.
    hatchings(EggId) -> Hatchings Hatching in hatchings;
    /// Newest first.
    notes(Thing) -> Notes Note in notes;
    /// Newest first.
    photos(Thing) -> Photos Photo in photos;
    /// Newest first.
    label_prints(Thing) -> Prints LabelPrint in prints;
    /// Newest first.
    moves(Thing) -> Moves Move in moves;
    /// Newest first.
    readings(PlaceId) -> Readings Reading in readings;
    /// Newest first by their first reading.
    reading_logs(PlaceId) -> ReadingLogs ReadingLog in logs;
    /// Newest first.
    set_points(PlaceId) -> SetPoints SetPoint in set_points;
    /// Newest first.
    incidents(PlaceId) -> Incidents Incident in incidents;
    /// Newest first.
    animal_events(AnimalId) -> Events AnimalEvent in events;
    /// Newest first.
    meals(AnimalId) -> Meals Meal in meals;
    /// As dam or sire, newest first.
    pairings_of(AnimalId) -> Pairings Pairing in pairings;
    /// Newest first.
    locks(PairingId) -> Locks LockSeen in locks;
    /// As dam or sire, newest first.
    clutches_of(AnimalId) -> Clutches Clutch in clutches;
    /// What is said of its traits, newest first.
    genotypes_of(AnimalId) -> Genotypes Genotype in genotypes;
    /// Animals out of an egg.
    young_of(EggId) -> Young Animal in animals;
    /// Animals by dam or sire, youngest first.
    offspring(AnimalId) -> Offspring Animal in animals;
    /// Uses of a physical box, newest first.
    fillings_of_box(BoxId) -> Fillings Filling in fillings;
    /// Newest first, ended ones included.
    holds_of(AnimalId) -> Holds Hold in holds;
    /// What is or was held for someone, newest first.
    held_for(ContactId) -> HeldFor Hold in holds;
    /// What is or was held for a wish, newest first.
    holds_for(WishId) -> WishHolds Hold in holds;
    /// Newest first, closed ones included.
    wishes_of(ContactId) -> Wishes Wish in wishes;
    /// Animals that went to someone, the latest first.
    went_to(ContactId) -> WentTo Animal in animals;
}

impl Book {
    /// People who log, by name.
    pub fn people(&self) -> Vec<&Person> {
        sorted(self.t.people.values().map(|kept| &kept.record), |p| (p.name.clone(), p.id.clone()))
    }

    /// Animals in the barn, by code, then name.
    pub fn animals(&self) -> Vec<&Animal> {
        let here = self.t.animals.values().map(|kept| &kept.record).filter(|animal| animal.is_here());
        sorted(here, |a| (a.code.is_none(), a.code.clone(), a.name.clone(), a.id.clone()))
    }

    /// Every photo recorded, whether its picture is here or not.
    pub fn all_photos(&self) -> impl Iterator<Item = &Photo> {
        self.t.photos.values().map(|kept| &kept.record)
    }

    /// All animals ever, by id.
    pub fn all_animals(&self) -> impl Iterator<Item = &Animal> {
        self.t.animals.values().map(|kept| &kept.record)
    }

    /// The barn's own species records, by name.
    pub fn own_species_all(&self) -> Vec<&Species> {
        sorted(self.t.species.values().map(|kept| &kept.record), |s| (s.name.clone(), s.id.clone()))
    }

    /// The barn's own traits and its word on shipped ones, by name.
    pub fn own_traits(&self) -> Vec<&Trait> {
        sorted(self.t.traits.values().map(|kept| &kept.record), |t| (t.name.clone(), t.id.clone()))
    }

    /// Clutches, newest first by when they were laid or found.
    pub fn clutches(&self) -> Vec<&Clutch> {
        let mut all = sorted(self.t.clutches.values(), |kept| {
            (kept.written.dated(kept.record.laid.or(kept.record.found)), kept.record.id.clone())
        });
        all.reverse();
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// Fillings that have not been emptied, newest first.
    pub fn open_fillings(&self) -> Vec<&Filling> {
        let open = self.t.fillings.values().filter(|kept| kept.record.to.is_none());
        let mut all = sorted(open, |kept| (kept.written.dated(kept.record.from), kept.record.id.clone()));
        all.reverse();
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// All fillings ever, by id.
    pub fn fillings(&self) -> impl Iterator<Item = &Filling> {
        self.t.fillings.values().map(|kept| &kept.record)
    }

    /// Physical boxes, by name.
    pub fn boxes(&self) -> Vec<&BoxThing> {
        sorted(self.t.boxes.values().map(|kept| &kept.record), |b| (b.name.clone(), b.id.clone()))
    }

    /// Pairings, by id.
    pub fn pairings(&self) -> impl Iterator<Item = &Pairing> {
        self.t.pairings.values().map(|kept| &kept.record)
    }

    /// What the barn has of something; of two records of one thing, the one written last.
    pub fn supply(&self, what: &str) -> Option<&Supply> {
        let all = self.t.supplies.values().filter(|kept| kept.record.what.as_deref() == Some(what));
        all.max_by_key(|kept| kept.written).map(|kept| &kept.record)
    }

    /// Blank labels, by id.
    pub fn labels(&self) -> impl Iterator<Item = &BlankLabel> {
        self.t.labels.values().map(|kept| &kept.record)
    }

    /// People outside the barn, by their mark.
    pub fn contacts(&self) -> Vec<&Contact> {
        sorted(self.t.contacts.values().map(|kept| &kept.record), |c| (c.mark.clone(), c.id.clone()))
    }

    /// Wishes still open, oldest first.
    pub fn open_wishes(&self) -> Vec<&Wish> {
        let open = self.t.wishes.values().filter(|kept| kept.record.closed.is_none());
        let all = sorted(open, |kept| (kept.written.dated(kept.record.when), kept.record.id.clone()));
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// Holds that have not ended, oldest first.
    pub fn open_holds(&self) -> Vec<&Hold> {
        let open = self.t.holds.values().filter(|kept| kept.record.ended.is_none());
        let all = sorted(open, |kept| (kept.written.dated(kept.record.when), kept.record.id.clone()));
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// What an animal is held for now.
    pub fn hold_on(&self, animal: &AnimalId) -> Option<&Hold> {
        self.holds_of(animal).find(|hold| hold.ended.is_none())
    }

    /// The barn's rules for its young; what it has not set is the usual.
    pub fn rules(&self) -> trade::raising::Rules {
        let usual = trade::raising::Rules::default();
        let Some(own) = self.t.rules.get(&RulesId::from(BARN)).map(|kept| &kept.record) else { return usual };
        let low = own.prey_low.unwrap_or(usual.prey_pct.0);
        trade::raising::Rules {
            sheds: own.sheds.unwrap_or(usual.sheds),
            meals: own.meals.unwrap_or(usual.meals),
            prey_pct: (low, own.prey_high.unwrap_or(usual.prey_pct.1).max(low)),
            feed_days: own.feed_days.filter(|&days| days > 0).unwrap_or(usual.feed_days),
        }
    }

    /// Whether any row of Rounds is put off beyond a day.
    pub(crate) fn snoozes_after(&self, day: chrono::NaiveDate) -> bool {
        self.t.snoozes.values().any(|kept| kept.record.until.is_some_and(|until| until > day))
    }

    /// The first day on which a row of Rounds that was put off is shown again.
    pub fn snoozed(&self, row: &SnoozeId) -> Option<chrono::NaiveDate> {
        self.t.snoozes.get(row)?.record.until
    }

    /// Eggs of one clutch record, in order of their letters.
    pub fn eggs_of(&self, clutch: &ClutchId) -> Vec<&Egg> {
        let eggs = self.ix.of(Link::Eggs, clutch.as_str()).filter_map(|id| self.egg(&EggId::from(id)));
        sorted(eggs, |egg| (egg.letter_key().0, egg.letter.clone(), egg.id.clone()))
    }

    /// Where something is. `None` for what never was anywhere.
    pub fn whereabouts(&self, thing: &Thing) -> Option<&Where> {
        self.ix.whereabouts(thing)
    }

    /// Where a thing was brought last by a moment. `None` for what never was anywhere by then.
    pub fn place_at(&self, thing: &Thing, at: NaiveDateTime) -> Option<Where> {
        let by_then = |mv: &&Move| mv.when.is_none_or(|when| when.earliest() <= at);
        self.moves(thing).filter(by_then).find_map(|mv| mv.to.clone())
    }

    /// Eggs in a filling now: brought there last, and without a fate. By clutch number, then letter.
    pub fn eggs_in(&self, filling: &FillingId) -> Vec<&Egg> {
        self.tray(filling).into_iter().filter(|egg| egg.fate.is_none()).collect()
    }

    /// Eggs last set in a filling, those whose story has ended there included. By clutch number, then letter.
    pub fn tray(&self, filling: &FillingId) -> Vec<&Egg> {
        let held = self.ix.held(&Where::Filling(filling.clone()));
        let eggs = held.filter(|t| t.kind == Kind::Egg).filter_map(|t| self.egg(&EggId::new(t.id.as_str())));
        self.in_tray_order(eggs)
    }

    /// Eggs that are or ever were in a filling. By clutch number, then letter.
    pub fn eggs_ever_in(&self, filling: &FillingId) -> Vec<&Egg> {
        let first = self.ix.of(Link::FirstEggs, filling.as_str()).map(EggId::from);
        let moved = self.ix.of(Link::MovedIn, filling.as_str());
        let moved = moved.filter_map(|id| self.t.moves.get(&MoveId::from(id))).flat_map(|kept| &kept.record.things);
        let moved = moved.filter(|thing| thing.kind == Kind::Egg).map(|thing| EggId::new(thing.id.as_str()));
        let ids: BTreeSet<EggId> = first.chain(moved).collect();
        self.in_tray_order(ids.iter().filter_map(|id| self.egg(id)))
    }

    fn in_tray_order<'a>(&'a self, eggs: impl Iterator<Item = &'a Egg>) -> Vec<&'a Egg> {
        sorted(eggs, |egg| {
            let number = egg.clutch.as_ref().and_then(|id| self.clutch(id)).and_then(|clutch| clutch.number.clone());
            (number, egg.clutch.clone(), egg.letter_key().0, egg.letter.clone(), egg.id.clone())
        })
    }

    /// Fillings that hold or ever held an egg of a clutch, oldest first.
    pub fn fillings_of(&self, clutch: &ClutchId) -> Vec<&Filling> {
        let mut ids = BTreeSet::new();
        for egg in self.eggs_of(clutch) {
            ids.extend(egg.filling.clone());
            for mv in self.moves(&egg.id.thing()) {
                if let Some(Where::Filling(id)) = &mv.to {
                    ids.insert(id.clone());
                }
            }
        }
        // Boxes set in one act are told apart by their first eggs: the box of egg A is box 1.
        let first_egg = |id: &FillingId| {
            let eggs = self.eggs_of(clutch);
            eggs.iter().position(|egg| egg.filling.as_ref() == Some(id)).unwrap_or(usize::MAX)
        };
        let kept = ids.iter().filter_map(|id| self.t.fillings.get(id));
        let kept = sorted(kept, |kept| {
            let id = kept.record.id.clone();
            (kept.written.dated(kept.record.from), first_egg(&id), id)
        });
        kept.into_iter().map(|kept| &kept.record).collect()
    }

    /// The clutches with an egg on the tray of a filling, by number.
    pub fn clutches_in(&self, filling: &FillingId) -> Vec<&Clutch> {
        let mut seen = Vec::new();
        for egg in self.eggs_ever_in(filling) {
            if let Some(clutch) = egg.clutch.as_ref().and_then(|id| self.clutch(id))
                && !seen.iter().any(|known: &&Clutch| known.id == clutch.id)
            {
                seen.push(clutch);
            }
        }
        seen
    }

    /// The shelf or other place a filling stands at.
    pub fn place_of(&self, thing: &Thing) -> Option<&Place> {
        match self.whereabouts(thing)? {
            Where::Place(id) => self.place(id),
            Where::Filling(id) if thing.kind == Kind::Egg => self.place_of(&id.thing()),
            _ => None,
        }
    }

    /// Things standing at a place now: boxes in use and animals in the barn.
    pub fn things_at(&self, place: &PlaceId) -> Vec<Thing> {
        let held = self.ix.held(&Where::Place(place.clone()));
        let now = held.filter(|thing| match thing.kind {
            Kind::Filling => self.filling(&FillingId::new(thing.id.as_str())).is_some_and(|f| f.to.is_none()),
            Kind::Animal => self.animal(&AnimalId::new(thing.id.as_str())).is_some_and(Animal::is_here),
            _ => self.has(thing),
        });
        now.cloned().collect()
    }

    /// Places inside a place, or (`None`) in no other, in walking order; closed ones last.
    pub fn places_in(&self, within: Option<&PlaceId>) -> Vec<&Place> {
        let inside = self.ix.of(Link::Inside, within.map_or("", PlaceId::as_str));
        let places = inside.filter_map(|id| self.place(&PlaceId::from(id)));
        sorted(places, |p| (p.closed, p.order.unwrap_or(i64::MAX), p.name.clone(), p.id.clone()))
    }

    /// All places in walking order, each after the place it is in. Places caught in a circle, or in a place that
    /// is not there, come last.
    pub fn places(&self) -> Vec<&Place> {
        let mut all: Vec<&Place> = Vec::new();
        let mut seen = BTreeSet::new();
        let mut next: Vec<&Place> = self.places_in(None);
        next.reverse();
        while let Some(place) = next.pop() {
            if seen.insert(&place.id) {
                all.push(place);
                next.extend(self.places_in(Some(&place.id)).into_iter().rev());
            }
        }
        all.extend(self.t.places.values().map(|kept| &kept.record).filter(|place| !seen.contains(&place.id)));
        all
    }

    /// Shelves in use, in walking order.
    pub fn shelves(&self) -> Vec<&Place> {
        let shelf = |place: &&Place| place.what == Some(PlaceWhat::Shelf) && !place.closed;
        self.places().into_iter().filter(shelf).collect()
    }

    /// A place and what it is in, outermost first. Ends where a link dangles or goes round.
    pub fn path(&self, place: &PlaceId) -> Vec<&Place> {
        let mut path: Vec<&Place> = Vec::new();
        let mut next = self.place(place);
        while let Some(place) = next {
            if path.iter().any(|known| known.id == place.id) {
                break;
            }
            path.push(place);
            next = place.within.as_ref().and_then(|id| self.place(id));
        }
        path.reverse();
        path
    }

    /// All records of the clutch this is a record of: itself and those joined to it, the smallest id first.
    pub fn same_clutch(&self, clutch: &ClutchId) -> Vec<&Clutch> {
        let mut seen: BTreeSet<ClutchId> = BTreeSet::from([clutch.clone()]);
        let mut next = vec![clutch.clone()];
        while let Some(id) = next.pop() {
            let forward = self.clutch(&id).and_then(|clutch| clutch.same_as.clone());
            let backward: Vec<ClutchId> = self.ix.of(Link::Same, id.as_str()).map(ClutchId::from).collect();
            for other in forward.into_iter().chain(backward) {
                if seen.insert(other.clone()) {
                    next.push(other);
                }
            }
        }
        seen.iter().filter_map(|id| self.clutch(id)).collect()
    }

    /// Numbers that more than one clutch carries, clutches joined as one not counted.
    pub fn doubled_numbers(&self) -> Vec<Vec<&Clutch>> {
        let keys: Vec<&str> = self.ix.doubled(Link::Number).map(|(key, _)| key).collect();
        let groups = keys.into_iter().map(|key| {
            let mut firsts: Vec<&Clutch> = Vec::new();
            for clutch in self.clutches_numbered(key) {
                let first = self.same_clutch(&clutch.id).into_iter().next().unwrap_or(clutch);
                if !firsts.iter().any(|known| known.id == first.id) {
                    firsts.push(first);
                }
            }
            firsts
        });
        groups.filter(|group| group.len() > 1).collect()
    }

    /// What an egg was last seen as, and in which candling.
    pub fn last_seen(&self, egg: &EggId) -> Option<(Seen, &Candling)> {
        let fillings = self.egg_fillings(egg);
        let rows = fillings.iter().flat_map(|id| self.ix.ordered(Link::Candlings, id.as_str()));
        let seen = rows.filter_map(|(order, id)| {
            let candling = self.candling(&CandlingId::from(id))?;
            Some((order, *candling.seen.get(egg)?, candling))
        });
        seen.max_by_key(|(order, ..)| *order).map(|(_, seen, candling)| (seen, candling))
    }

    /// Whether an egg was ever seen so in a candling.
    pub fn ever_seen(&self, egg: &EggId, seen: Seen) -> bool {
        self.egg_fillings(egg).iter().any(|id| self.candlings(id).any(|c| c.seen.get(egg) == Some(&seen)))
    }

    /// The fillings an egg was ever in.
    fn egg_fillings(&self, egg: &EggId) -> BTreeSet<FillingId> {
        let mut fillings: BTreeSet<FillingId> = BTreeSet::new();
        fillings.extend(self.egg(egg).and_then(|egg| egg.filling.clone()));
        for mv in self.moves(&egg.thing()) {
            if let Some(Where::Filling(id)) = &mv.to {
                fillings.insert(id.clone());
            }
        }
        fillings
    }

    /// Whether an egg was seen to do a step of hatching.
    pub fn did(&self, egg: &EggId, step: Step) -> Option<&Hatching> {
        self.hatchings(egg).filter(|h| h.step == Some(step)).last()
    }

    /// For the first look of a candling: each egg in the box with what it was last seen as.
    pub fn candling_start(&self, filling: &FillingId) -> BTreeMap<EggId, Option<Seen>> {
        let eggs = self.eggs_in(filling).into_iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug));
        eggs.map(|egg| (egg.id.clone(), self.last_seen(&egg.id).map(|(seen, _)| seen))).collect()
    }

    /// When somebody last looked into a box before `now`: a candling, a water check or a hatching seen.
    pub fn last_look(&self, filling: &FillingId, now: NaiveDateTime) -> Option<NaiveDateTime> {
        let candled = self.candlings(filling).filter_map(|c| c.when);
        let weighed = self.water_checks(filling).filter_map(|w| w.when);
        let eggs = self.tray(filling);
        let hatched = eggs.iter().flat_map(|egg| self.hatchings(&egg.id)).filter_map(|h| h.when);
        candled.chain(weighed).chain(hatched).map(trade::when::When::latest).filter(|&at| at <= now).max()
    }
}

fn sorted<'a, T: 'a, K: Ord>(items: impl Iterator<Item = &'a T>, key: impl Fn(&T) -> K) -> Vec<&'a T> {
    let mut items: Vec<&T> = items.collect();
    crate::order::sort(&mut items, |item| key(item));
    items
}
