//! Animals, what happens to them, and who was put with whom.

use super::Record;
use crate::fields::Fields;
use crate::ids::{AnimalEventId, AnimalId, ContactId, EggId, Kind, LockSeenId, MealId, PairingId};
use crate::lower::lower;
use crate::words::{AnimalEventWhat, Came, MealOutcome, Sex, Went};
use trade::units::Mass;
use trade::when::When;

/// An animal, from hatchling to parent.
#[derive(Clone, Debug, PartialEq)]
pub struct Animal {
    pub id: AnimalId,
    /// The barn's short code for it.
    pub code: Option<String>,
    pub name: Option<String>,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub sex: Option<Sex>,
    /// How the sex was told.
    pub sex_how: Option<String>,
    /// How sure that is.
    pub sex_sure: Option<String>,
    /// As seen.
    pub morph: Option<String>,
    pub line: Option<String>,
    pub locality: Option<String>,
    /// What it is a hybrid of.
    pub hybrid: Option<String>,
    pub born: Option<When>,
    pub came: Option<Came>,
    /// The egg it came from, or the eggs of which it was one.
    pub from_eggs: Vec<EggId>,
    pub dam: Option<AnimalId>,
    pub sire: Option<AnimalId>,
    pub went: Option<Went>,
    pub went_when: Option<When>,
    pub went_why: Option<String>,
    /// Whom it went to.
    pub went_to: Option<ContactId>,
    /// As agreed, with its currency.
    pub went_price: Option<String>,
    /// Seen at hatching and since: a kink, one eye.
    pub faults: Option<String>,
    pub note: Option<String>,
}

impl Record for Animal {
    const KIND: Kind = Kind::Animal;
    fn read(f: &mut Fields<'_>) -> Self {
        Animal {
            id: f.id(),
            code: f.text("code"),
            name: f.text("name"),
            species: f.text("species"),
            sex: f.word("sex"),
            sex_how: f.text("sex_how"),
            sex_sure: f.text("sex_sure"),
            morph: f.text("morph"),
            line: f.text("line"),
            locality: f.text("locality"),
            hybrid: f.text("hybrid"),
            born: f.when("born"),
            came: f.word("came"),
            from_eggs: f.links("from_eggs"),
            dam: f.link("dam"),
            sire: f.link("sire"),
            went: f.word("went"),
            went_when: f.when("went_when"),
            went_why: f.text("went_why"),
            went_to: f.link("went_to"),
            went_price: f.text("went_price"),
            faults: f.text("faults"),
            note: f.text("note"),
        }
    }
}

impl Animal {
    /// Whether it is in the barn, or has come back to it.
    pub fn is_here(&self) -> bool {
        matches!(self.went, None | Some(Went::Returned))
    }
}

/// Something that happened to an animal.
#[derive(Clone, Debug, PartialEq)]
pub struct AnimalEvent {
    pub id: AnimalEventId,
    pub animal: Option<AnimalId>,
    pub what: Option<AnimalEventWhat>,
    pub when: Option<When>,
    pub mass: Option<Mass>,
    pub note: Option<String>,
}

impl Record for AnimalEvent {
    const KIND: Kind = Kind::AnimalEvent;
    fn read(f: &mut Fields<'_>) -> Self {
        AnimalEvent {
            id: f.id(),
            animal: f.link("animal"),
            what: f.word("what"),
            when: f.when("when"),
            mass: f.mass("mass_mg"),
            note: f.text("note"),
        }
    }
}

/// A meal offered, and later what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Meal {
    pub id: MealId,
    pub animal: Option<AnimalId>,
    pub offered: Option<When>,
    pub outcome: Option<MealOutcome>,
    pub outcome_when: Option<When>,
    pub prey: Option<String>,
    pub size: Option<String>,
    /// Live, frozen, scented, assisted…
    pub how: Option<String>,
    /// Given to a whole rack: taken, unless somebody says otherwise.
    pub assumed: bool,
    /// Given to a whole rack, whatever has been said of it since.
    pub with_all: bool,
    pub note: Option<String>,
}

impl Record for Meal {
    const KIND: Kind = Kind::Meal;
    fn read(f: &mut Fields<'_>) -> Self {
        let (assumed, with_all) = (f.flag("assumed"), f.has("assumed"));
        Meal {
            id: f.id(),
            animal: f.link("animal"),
            offered: f.when("offered"),
            outcome: f.word("outcome"),
            outcome_when: f.when("outcome_when"),
            prey: f.text("prey"),
            size: f.text("size"),
            how: f.text("how"),
            assumed,
            with_all,
            note: f.text("note"),
        }
    }
}

impl Meal {
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

/// Candidate dams put with candidate sires.
#[derive(Clone, Debug, PartialEq)]
pub struct Pairing {
    pub id: PairingId,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    /// Introduced.
    pub when: Option<When>,
    /// Separated.
    pub ended: Option<When>,
    pub note: Option<String>,
}

impl Record for Pairing {
    const KIND: Kind = Kind::Pairing;
    fn read(f: &mut Fields<'_>) -> Self {
        Pairing {
            id: f.id(),
            dams: f.links("dams"),
            sires: f.links("sires"),
            when: f.when("when"),
            ended: f.when("ended"),
            note: f.text("note"),
        }
    }
}

/// Copulation seen.
#[derive(Clone, Debug, PartialEq)]
pub struct LockSeen {
    pub id: LockSeenId,
    pub pairing: Option<PairingId>,
    pub when: Option<When>,
}

impl Record for LockSeen {
    const KIND: Kind = Kind::LockSeen;
    fn read(f: &mut Fields<'_>) -> Self {
        LockSeen { id: f.id(), pairing: f.link("pairing"), when: f.when("when") }
    }
}
