//! Reading the book: by id, in sensible order, and along what belongs to what.

use crate::book::Book;
use crate::ids::*;
use crate::index::Link;
use crate::memo::{Read, note};
use crate::order::{Order, set_of};
use crate::records::*;
use crate::tables::{Row as Kept, typed};
use crate::words::{LaidAs, PlaceWhat, Seen, Step};
use chrono::NaiveDateTime;
use std::collections::{BTreeMap, BTreeSet};
use trade::when::When;

/// The one record of rules.
pub(crate) const BARN: &str = "barn";

impl Book {
    /// What a link gives for a key, newest first.
    pub(crate) fn linked<'a, T: 'static>(&'a self, link: Link, key: &str) -> impl Iterator<Item = &'a T> + use<'a, T> {
        let rows = self.ix.rows(link, key).rev();
        rows.filter_map(|(_, row)| typed::<T>(row)).map(|kept| &kept.record)
    }

    pub(crate) fn row(&self, thing: &Thing) -> Option<&dyn Kept> {
        note(|| Read::record(thing.kind, &thing.id));
        self.t.rows(thing.kind).get(&thing.id)
    }

    /// All records of a kind, by id.
    pub(crate) fn rows(&self, kind: Kind) -> impl Iterator<Item = (&str, &dyn Kept)> {
        note(|| Read::all(kind));
        self.t.rows(kind).all()
    }

    /// What an observation or the like is about; none of what stands for itself.
    pub fn about(&self, thing: &Thing) -> Option<Thing> {
        self.row(thing)?.about()
    }

    /// When an observation or the like was made.
    pub fn happened(&self, thing: &Thing) -> Option<When> {
        self.row(thing)?.at()
    }

    /// Whether a thing is there and still in use: a box not emptied, an animal in the barn.
    pub fn is_live(&self, thing: &Thing) -> bool {
        self.row(thing).is_some_and(Kept::is_live)
    }

    /// People who log, by name.
    pub fn people(&self) -> Vec<&Person> {
        sorted(self.t.people.values().map(|kept| &kept.record), |p| (&p.name, &p.id))
    }

    /// Animals in the barn, by code, then name.
    pub fn animals(&self) -> Vec<&Animal> {
        let here = self.t.animals.values().map(|kept| &kept.record).filter(|animal| animal.is_here());
        sorted(here, |a| (a.code.is_none(), &a.code, &a.name, &a.id))
    }

    /// Every treatment ever ordered, by id.
    pub fn all_treatments(&self) -> impl Iterator<Item = &Treatment> {
        self.t.treatments.values().map(|kept| &kept.record)
    }

    /// Every quarantine there ever was, by id.
    pub fn all_quarantines(&self) -> impl Iterator<Item = &Quarantine> {
        self.t.quarantines.values().map(|kept| &kept.record)
    }

    /// Whether a thing is this one, or is in it: an animal in the room it is kept in, a tub in its rack.
    pub fn is_within(&self, thing: &Thing, outer: &Thing) -> bool {
        let place =
            if thing.kind == Kind::Place { self.place(&thing.id.as_str().into()) } else { self.place_of(thing) };
        thing == outer || place.is_some_and(|place| self.path(&place.id).iter().any(|place| place.id.thing() == *outer))
    }

    /// The quarantine that a thing is in: its own, or that of a place it is in. It goes on until somebody ends it. Two devices
    /// may each have set it apart: then the one that goes on longest.
    pub fn apart(&self, thing: &Thing) -> Option<&Quarantine> {
        let until = |quarantine: &&Quarantine| (quarantine.until.is_none(), quarantine.until);
        let own = self.quarantines(thing).filter(|quarantine| crate::views::is_open(self, quarantine));
        let around = |quarantine: &&Quarantine| quarantine.of.as_ref().is_some_and(|of| self.is_within(thing, of));
        own.max_by_key(until).or_else(|| crate::views::open_quarantines(self).filter(around).max_by_key(until))
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
        sorted(self.t.species.values().map(|kept| &kept.record), |s| (&s.name, &s.id))
    }

    /// The barn's own traits and its word on shipped ones, by name.
    pub fn own_traits(&self) -> Vec<&Trait> {
        sorted(self.t.traits.values().map(|kept| &kept.record), |t| (&t.name, &t.id))
    }

    /// Clutches, newest first by when they were laid or found.
    pub fn clutches(&self) -> Vec<&Clutch> {
        let mut all = sorted(self.t.clutches.values(), |kept| {
            (kept.written.dated(kept.record.laid.or(kept.record.found)), &kept.record.id)
        });
        all.reverse();
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// All clutches ever, by id.
    pub fn all_clutches(&self) -> impl Iterator<Item = &Clutch> {
        self.t.clutches.values().map(|kept| &kept.record)
    }

    /// Where a clutch stands among all: by when it was laid or found.
    pub(crate) fn clutch_order<'a>(&self, clutch: &'a Clutch) -> Option<(Order, &'a ClutchId)> {
        let kept = self.t.clutches.get(&clutch.id)?;
        Some((kept.written.dated(clutch.laid.or(clutch.found)), &clutch.id))
    }

    /// Whether a clutch record has an egg of its own.
    pub(crate) fn has_eggs(&self, clutch: &ClutchId) -> bool {
        self.ix.of(Link::Eggs, clutch.as_str()).next().is_some()
    }

    /// Eggs that are in no box.
    pub(crate) fn loose_eggs(&self) -> impl Iterator<Item = &Egg> {
        let eggs = self.ix.unboxed().filter(|thing| thing.kind == Kind::Egg);
        eggs.filter_map(|thing| self.egg(&thing.id.as_str().into()))
    }

    /// Fillings that have not been emptied, newest first.
    pub fn open_fillings(&self) -> Vec<&Filling> {
        let open = self.t.fillings.values().filter(|kept| kept.record.to.is_none());
        let mut all = sorted(open, |kept| (kept.written.dated(kept.record.from), &kept.record.id));
        all.reverse();
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// Boxes in use: fillings that have not been emptied, nests not counted, newest first.
    pub fn open_boxes(&self) -> Vec<&Filling> {
        self.open_fillings().into_iter().filter(|filling| !filling.is_nest()).collect()
    }

    /// Whether eggs in a filling lie with their mother, in no box.
    pub fn is_nest(&self, filling: &FillingId) -> bool {
        self.filling(filling).is_some_and(Filling::is_nest)
    }

    /// Where a clutch lies with its mother now, of all its records.
    pub fn nest(&self, clutch: &ClutchId) -> Option<&Filling> {
        let nests = self.same_clutch(clutch).into_iter().flat_map(|clutch| self.nests_of(&clutch.id));
        nests.into_iter().find(|nest| nest.to.is_none())
    }

    /// The clutch of a nest in use whose eggs nobody has counted.
    pub(crate) fn uncounted(&self, nest: &Filling) -> Option<&Clutch> {
        let clutch = nest.brooded.as_ref().filter(|_| nest.to.is_none())?;
        let counted = self.same_clutch(clutch).iter().any(|clutch| self.has_eggs(&clutch.id));
        self.clutch(clutch).filter(|_| !counted)
    }

    /// All fillings ever, by id.
    pub fn fillings(&self) -> impl Iterator<Item = &Filling> {
        self.t.fillings.values().map(|kept| &kept.record)
    }

    /// Physical boxes, by name.
    pub fn boxes(&self) -> Vec<&BoxThing> {
        sorted(self.t.boxes.values().map(|kept| &kept.record), |b| (&b.name, &b.id))
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

    /// The stock-taking of this place, or of the whole barn, that happened last.
    pub fn last_stock_taking(&self, place: Option<&PlaceId>) -> Option<&StockTaking> {
        let all = self.t.stock_takings.values().filter(|kept| kept.record.place.as_ref() == place);
        all.max_by_key(|kept| kept.written.dated(kept.record.when)).map(|kept| &kept.record)
    }

    /// Blank labels, by id.
    pub fn labels(&self) -> impl Iterator<Item = &BlankLabel> {
        self.t.labels.values().map(|kept| &kept.record)
    }

    /// People outside the barn, by their mark.
    pub fn contacts(&self) -> Vec<&Contact> {
        sorted(self.t.contacts.values().map(|kept| &kept.record), |c| (&c.mark, &c.id))
    }

    /// Wishes still open, oldest first.
    pub fn open_wishes(&self) -> Vec<&Wish> {
        let open = self.t.wishes.values().filter(|kept| kept.record.closed.is_none());
        let all = sorted(open, |kept| (kept.written.dated(kept.record.when), &kept.record.id));
        all.into_iter().map(|kept| &kept.record).collect()
    }

    /// Of the open wishes of this person, the oldest that an animal of this species answers.
    pub fn wish_answered(&self, contact: &ContactId, species: Option<&String>) -> Option<WishId> {
        let fits = |wish: &&&Wish| {
            wish.contact.as_ref() == Some(contact) && (wish.species.is_none() || wish.species.as_ref() == species)
        };
        self.open_wishes().iter().find(fits).map(|wish| wish.id.clone())
    }

    /// Holds that have not ended, oldest first.
    pub fn open_holds(&self) -> Vec<&Hold> {
        let open = self.t.holds.values().filter(|kept| kept.record.ended.is_none());
        let all = sorted(open, |kept| (kept.written.dated(kept.record.when), &kept.record.id));
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
        sorted(eggs, |egg| (egg.letter_key(), &egg.id))
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
        self.in_tray_order(self.held_eggs(filling))
    }

    fn held_eggs<'a>(&'a self, filling: &FillingId) -> impl Iterator<Item = &'a Egg> + use<'a> {
        let held = self.ix.held(&Where::Filling(filling.clone()));
        held.filter(|t| t.kind == Kind::Egg).filter_map(|t| self.egg(&EggId::new(t.id.as_str())))
    }

    /// Eggs that are or ever were in a filling. By clutch number, then letter.
    pub fn eggs_ever_in(&self, filling: &FillingId) -> Vec<&Egg> {
        let first = self.ix.rows(Link::FirstEggs, filling.as_str());
        let first = first.filter_map(|(_, row)| typed::<Egg>(row)).map(|kept| &kept.record);
        let moved = self.ix.rows(Link::MovedIn, filling.as_str()).filter_map(|(_, row)| typed::<Move>(row));
        let moved = moved.flat_map(|kept| &kept.record.things).filter(|thing| thing.kind == Kind::Egg);
        let mut eggs = self.in_tray_order(first.chain(moved.filter_map(|thing| self.egg(&thing.id.as_str().into()))));
        // One that came back stands there twice.
        crate::order::keep_first(&mut eggs, |egg| egg.id.clone());
        eggs
    }

    fn in_tray_order<'a>(&'a self, eggs: impl Iterator<Item = &'a Egg>) -> Vec<&'a Egg> {
        sorted(eggs, |egg| {
            let number = egg.clutch.as_ref().and_then(|id| self.clutch(id)).and_then(|clutch| clutch.number.as_ref());
            (number, &egg.clutch, egg.letter_key(), &egg.id)
        })
    }

    /// Fillings that hold or ever held an egg of a clutch, oldest first.
    pub fn fillings_of(&self, clutch: &ClutchId) -> Vec<&Filling> {
        let mut ids: BTreeSet<FillingId> = self.nests_of(clutch).map(|nest| nest.id.clone()).collect();
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
            let id = &kept.record.id;
            (kept.written.dated(kept.record.from), first_egg(id), id)
        });
        kept.into_iter().map(|kept| &kept.record).collect()
    }

    /// The clutches with an egg on the tray of a filling, by number; of a nest its own, counted or not.
    pub fn clutches_in(&self, filling: &FillingId) -> Vec<&Clutch> {
        let brooded = self.filling(filling).and_then(|filling| self.clutch(filling.brooded.as_ref()?));
        let mut seen: Vec<&Clutch> = brooded.into_iter().collect();
        for egg in self.eggs_ever_in(filling) {
            if let Some(clutch) = egg.clutch.as_ref().and_then(|id| self.clutch(id))
                && !seen.iter().any(|known| known.id == clutch.id)
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
            Where::Filling(_) | Where::Dam | Where::Unknown => None,
        }
    }

    /// Things standing at a place now: boxes in use and animals in the barn.
    pub fn things_at(&self, place: &PlaceId) -> Vec<Thing> {
        let held = self.ix.held(&Where::Place(place.clone()));
        held.filter(|thing| self.is_live(thing)).cloned().collect()
    }

    /// Places inside a place, or (`None`) in no other, in walking order; closed ones last.
    pub fn places_in(&self, within: Option<&PlaceId>) -> Vec<&Place> {
        let inside = self.ix.of(Link::Inside, within.map_or("", PlaceId::as_str));
        let places = inside.filter_map(|id| self.place(&PlaceId::from(id)));
        sorted(places, Place::among)
    }

    /// All places in walking order, each after the place it is in. Places caught in a circle, or in a place that
    /// is not there, come last.
    pub fn places(&self) -> Vec<&Place> {
        let mut all: Vec<&Place> = Vec::new();
        let mut next: Vec<&Place> = self.places_in(None);
        next.reverse();
        // Each is in one other at most: on the way down from the outermost none is met twice.
        while let Some(place) = next.pop() {
            all.push(place);
            next.extend(self.places_in(Some(&place.id)).into_iter().rev());
        }
        if all.len() < self.all_places().count() {
            let met = set_of(all.iter().map(|place| &place.id));
            all.extend(self.all_places().filter(|place| !met.contains(&place.id)));
        }
        all
    }

    /// All places, by id.
    pub fn all_places(&self) -> impl Iterator<Item = &Place> {
        self.t.places.values().map(|kept| &kept.record)
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
        let own = self.clutch(clutch);
        let alone = own.is_none_or(|own| own.same_as.is_none());
        if alone && self.ix.of(Link::Same, clutch.as_str()).next().is_none() {
            return own.into_iter().collect();
        }
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
        let mut keys: Vec<&str> = self.ix.doubled(Link::Number).collect();
        crate::order::sort(&mut keys, |key| *key);
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
        let mut last: Option<(Order, Seen, &Candling)> = None;
        for filling in self.egg_fillings(egg) {
            for ((order, _), row) in self.ix.rows(Link::Candlings, filling.as_str()).rev() {
                let Some(candling) = typed::<Candling>(row).map(|kept| &kept.record) else { continue };
                let Some(&seen) = candling.seen.get(egg) else { continue };
                if last.is_none_or(|(known, ..)| known <= *order) {
                    last = Some((*order, seen, candling));
                }
                break;
            }
        }
        last.map(|(_, seen, candling)| (seen, candling))
    }

    /// Whether an egg was ever seen so in a candling.
    pub fn ever_seen(&self, egg: &EggId, seen: Seen) -> bool {
        self.egg_fillings(egg).iter().any(|id| self.candlings(id).any(|c| c.seen.get(egg) == Some(&seen)))
    }

    /// The fillings an egg was ever in; one it came back to is named twice.
    pub(crate) fn egg_fillings(&self, egg: &EggId) -> Vec<&FillingId> {
        let mut fillings: Vec<&FillingId> = self.egg(egg).and_then(|egg| egg.filling.as_ref()).into_iter().collect();
        for mv in self.moves(&egg.thing()) {
            if let Some(Where::Filling(id)) = &mv.to {
                fillings.push(id);
            }
        }
        fillings
    }

    /// The steps of an egg's hatching, each as it was noted first.
    pub(crate) fn steps(&self, egg: &EggId) -> Steps<'_> {
        let mut steps = Steps::default();
        // Newest first: the one noted first is left standing.
        for hatching in self.hatchings(egg) {
            match hatching.step {
                Some(Step::Pip) => steps.pip = Some(hatching),
                Some(Step::Cut) => steps.cut = Some(hatching),
                Some(Step::Out) => steps.out = Some(hatching),
                None => {}
            }
        }
        steps
    }

    /// Whether an egg was seen to do a step of hatching.
    pub fn did(&self, egg: &EggId, step: Step) -> Option<&Hatching> {
        self.hatchings(egg).filter(|h| h.step == Some(step)).last()
    }

    /// What the eggs in a box count as in a candling that names none of them: as last time; never looked at before,
    /// unsure, for somebody looked and did not say. A slug is not candled.
    pub fn untouched(&self, filling: &FillingId) -> BTreeMap<EggId, Seen> {
        let eggs = self.eggs_in(filling).into_iter().filter_map(|egg| {
            let last = self.last_seen(&egg.id).map(|(seen, _)| seen);
            let shelled = egg.laid_as != Some(LaidAs::Slug);
            Some((egg.id.clone(), last.or(shelled.then_some(Seen::Unsure))?))
        });
        eggs.collect()
    }

    /// Whether an egg in a box that can be candled has not been looked at yet.
    pub fn never_candled(&self, filling: &FillingId) -> bool {
        let mut eggs = self.eggs_in(filling).into_iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug));
        eggs.any(|egg| self.last_seen(&egg.id).is_none())
    }

    /// When somebody last looked into a box before `now`: a candling, a water check or a hatching seen.
    pub fn last_look(&self, filling: &FillingId, now: NaiveDateTime) -> Option<NaiveDateTime> {
        self.looks(filling).into_iter().filter(|&at| at <= now).max()
    }

    /// When somebody looked into a box.
    pub(crate) fn looks(&self, filling: &FillingId) -> Vec<NaiveDateTime> {
        let candled = self.candlings(filling).filter_map(|c| c.when);
        let weighed = self.water_checks(filling).filter_map(|w| w.when);
        let eggs = self.held_eggs(filling);
        let hatched = eggs.flat_map(|egg| self.hatchings(&egg.id)).filter_map(|h| h.when);
        candled.chain(weighed).chain(hatched).map(When::latest).collect()
    }
}

/// What was seen of an egg's hatching.
#[derive(Clone, Copy, Default)]
pub(crate) struct Steps<'a> {
    pub(crate) pip: Option<&'a Hatching>,
    pub(crate) cut: Option<&'a Hatching>,
    pub(crate) out: Option<&'a Hatching>,
}

fn sorted<'a, T: 'a, K: Ord>(items: impl Iterator<Item = &'a T>, key: impl Fn(&'a T) -> K) -> Vec<&'a T> {
    let mut items: Vec<&T> = items.collect();
    crate::order::sort(&mut items, |item| key(item));
    items
}
