//! Animals, what happens to them, and who was put with whom.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalEventId, AnimalId, ContactId, EggId, LockSeenId, MealId, PairingId, PhotoId};
use crate::index::{Add, Link};
use crate::lower::lower;
use crate::words::{AnimalEventWhat, Came, LookedAs, MealOutcome, Sex, ShedAs, Side, Went};
use trade::money::Money;
use trade::units::Mass;
use trade::when::When;

/// What is noted of grown animals is looked for on Rounds for as long as one may be gravid; the rest is for their pages,
/// and so are their meals.
const GROWN_DAYS: u64 = 120;
const GROWN_MEAL_DAYS: u64 = 30;

record! {
    /// An animal, from hatchling to parent.
    Animal AnimalId {
        /// The barn's short code for it.
        code: Option<String> = "code",
        name: Option<String> = "name",
        /// A species record's id or a shipped profile's key.
        species: Option<String> = "species",
        sex: Option<Sex> = "sex",
        /// How the sex was told.
        sex_how: Option<String> = "sex_how" => "word on its sex" long,
        /// How sure that is.
        sex_sure: Option<String> = "sex_sure" => "word on its sex",
        /// As seen.
        morph: Option<String> = "morph" => "look" long,
        line: Option<String> = "line",
        locality: Option<String> = "locality",
        /// What it is a hybrid of.
        hybrid: Option<String> = "hybrid",
        born: Option<When> = "born",
        came: Option<Came> = "came",
        /// The egg it came from, or the eggs of which it was one.
        from_eggs: Vec<EggId> = "from_eggs",
        dam: Option<AnimalId> = "dam",
        sire: Option<AnimalId> = "sire",
        /// For sale, at this price.
        asked: Option<Money> = "asked" => "price asked",
        went: Option<Went> = "went",
        went_when: Option<When> = "went_when",
        went_why: Option<String> = "went_why" => "reason" long,
        /// Whom it went to.
        went_to: Option<ContactId> = "went_to",
        /// As agreed, with its currency.
        went_price: Option<String> = "went_price" => "price",
        /// Seen at hatching and since: a kink, one eye.
        faults: Option<String> = "faults" long,
        note: Option<String> = "note" long,
        /// The photo it is known by, where another than the newest was chosen.
        face: Option<PhotoId> = "face" => "photo in lists",
    }
    over Over::Never;
    found by id, code, name;
    link Young { from_eggs by born }
        /// Animals out of an egg.
        young_of(EggId);
    link Offspring { dam, sire by born }
        /// Animals by dam or sire, youngest first.
        offspring(AnimalId);
    link Code { code };
    link WentTo { went_to by went_when }
        /// Animals that went to someone, the latest first.
        went_to(ContactId);
    also {
        fn called(&self, _book: &Book) -> Option<String> {
            self.name.clone().or_else(|| self.code.clone())
        }

        fn is_live(&self) -> bool {
            self.is_here()
        }
    }
}

impl Animal {
    /// Whether it is in the barn, or has come back to it.
    pub fn is_here(&self) -> bool {
        matches!(self.went, None | Some(Went::Returned))
    }
}

record! {
    /// Something that happened to an animal.
    AnimalEvent AnimalEventId {
        animal: Option<AnimalId> = "animal",
        what: Option<AnimalEventWhat> = "what",
        when: Option<When> = "when",
        mass: Option<Mass> = "mass_mg",
        /// Of a shed, how the skin came off.
        shed: Option<ShedAs> = "shed" => "way of shedding",
        /// Of follicles, how they were looked for.
        looked: Option<LookedAs> = "looked" => "way of looking",
        /// Of follicles, the side meant; none: both, or nobody said.
        side: Option<Side> = "side",
        /// Across the largest follicle, in micrometres.
        follicle_um: Option<i64> = "follicle_um" => "largest follicle",
        /// Follicles counted; 0: looked for, and none there.
        follicles: Option<u32> = "follicles" => "number of follicles",
        note: Option<String> = "note" long,
    }
    over Over::OfGrown(GROWN_DAYS, |book, id| book.animal_event(&id.into())?.animal.clone());
    seen animal at when;
    link Events { animal by when }
        /// Newest first.
        animal_events(AnimalId);
    link LayEvents {}
        /// What tells when a female lays, newest first: follicles, ovulation, pre-lay shed, lay box, straining.
        lay_events(AnimalId);
    also {
        fn more_links(&self, add: &mut Add<'_>) {
            let tells = self.what.is_some_and(AnimalEventWhat::tells_laying);
            if let Some(animal) = self.animal.as_ref().filter(|_| tells) {
                add(Link::LayEvents, animal.as_str(), self.when);
            }
        }
    }
}

record! {
    /// A meal offered, and later what became of it.
    Meal MealId {
        animal: Option<AnimalId> = "animal",
        offered: Option<When> = "offered",
        outcome: Option<MealOutcome> = "outcome",
        outcome_when: Option<When> = "outcome_when",
        prey: Option<String> = "prey",
        size: Option<String> = "size",
        /// Live, frozen, scented, assisted…
        how: Option<String> = "how",
        /// Given to a whole rack: taken, unless somebody says otherwise. `false` once somebody has.
        assumed: Option<bool> = "assumed",
        note: Option<String> = "note" long,
    }
    over Over::OfGrown(GROWN_MEAL_DAYS, |book, id| book.meal(&id.into())?.animal.clone());
    seen animal at offered;
    link Meals { animal by offered }
        /// Newest first.
        meals(AnimalId);
}

impl Meal {
    /// Given to a whole rack, and nobody has said yet what became of it: taken.
    pub fn is_assumed(&self) -> bool {
        self.assumed == Some(true)
    }

    /// Given to a whole rack, whatever has been said of it since.
    pub fn with_all(&self) -> bool {
        self.assumed.is_some()
    }

    /// Taken, and without help: a meal that was put into the mouth says nothing of an appetite.
    pub fn taken_unaided(&self) -> bool {
        self.outcome == Some(MealOutcome::Eaten) && self.unaided()
    }

    /// Nobody helped it along, as far as the words say.
    pub fn unaided(&self) -> bool {
        self.how.as_ref().is_none_or(|how| {
            let how = lower(how);
            !["assist", "force", "tube"].iter().any(|word| how.contains(word))
        })
    }
}

record! {
    /// Candidate dams put with candidate sires.
    Pairing PairingId {
        dams: Vec<AnimalId> = "dams",
        sires: Vec<AnimalId> = "sires",
        /// Introduced.
        when: Option<When> = "when",
        /// Separated.
        ended: Option<When> = "ended",
        note: Option<String> = "note" long,
    }
    over Over::Never;
    link Pairings { dams, sires by when }
        /// As dam or sire, newest first.
        pairings_of(AnimalId);
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let names = |animals: &[AnimalId]| book.animal_names(animals).join(" / ");
            Some(format!("{} × {}", names(&self.dams), names(&self.sires)))
        }
    }
}

record! {
    /// Copulation seen.
    LockSeen LockSeenId {
        pairing: Option<PairingId> = "pairing",
        when: Option<When> = "when",
    }
    over Over::Noted;
    seen pairing at when;
    link Locks { pairing by when }
        /// Newest first.
        locks(PairingId);
}
