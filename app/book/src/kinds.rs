//! The kinds of record: one line each. What a kind holds is declared once, in [`crate::records`].
//!
//! A line gives the kind and its id's type, the word the journal keeps, the struct of its declaration, what one of them is
//! asked of the book by, and its table. Each line expands to a variant of [`Kind`], a newtype of the id, a field of
//! [`Tables`], an arm in each `match` below, and `Book::one(&id) -> Option<&Record>`.

use crate::book::Book;
use crate::ids::{Thing, ids};
use crate::records::*;
use crate::tables::{Reader, Rows, Table, reader};
use serde::{Deserialize, Serialize};

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident $id:ident = $word:literal: $record:ident, $one:ident in $table:ident;)*) => {
        /// The kinds of record this version knows. Records of other kinds are kept by the journal, untouched.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum Kind { $($(#[$doc])* $kind,)* }

        impl Kind {
            /// All of them.
            pub const ALL: &[Kind] = &[$(Kind::$kind,)*];

            /// The word the journal uses.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$kind => $word,)* }
            }

            /// The kind of this word, if this version knows it.
            pub fn of(word: &str) -> Option<Kind> {
                match word { $($word => Some(Kind::$kind),)* _ => None }
            }

            /// What is declared of it.
            pub(crate) fn declared(self) -> &'static Declared {
                match self { $(Kind::$kind => const { &Declared::of::<$record>() },)* }
            }
        }

        $(
            ids! { $id, $kind, $word }

            impl Listed for $record {
                const KIND: Kind = Kind::$kind;

                fn find<'a>(book: &'a Book, id: &str) -> Option<&'a $record> {
                    book.$one(&id.into())
                }
            }

            impl Book {
                #[doc = concat!("The `", $word, "` record of this id, if it is there.")]
                pub fn $one(&self, id: &$id) -> Option<&$record> {
                    self.t.$table.get(id).map(|kept| &kept.record)
                }
            }
        )*

        /// Shows the fields of a record as it is read.
        #[cfg(test)]
        pub(crate) fn each_of(book: &Book, kind: Kind, id: &str, see: &mut dyn FnMut(&'static str, &mut dyn Holds)) {
            match kind { $(Kind::$kind => book.$one(&id.into()).cloned().expect(id).each(see),)* }
        }

        /// All typed records.
        #[derive(Clone, Debug, Default)]
        pub(crate) struct Tables { $(pub(crate) $table: Table<$id, $record>,)* }

        impl Tables {
            /// The table of a kind, and what reads a record into it.
            pub(crate) fn of(&mut self, kind: Kind) -> (&mut Rows, Reader) {
                match kind { $(Kind::$kind => (&mut self.$table.rows, reader::<$record>),)* }
            }

            /// The records of a kind, whatever they are.
            pub(crate) fn rows(&self, kind: Kind) -> &Rows {
                match kind { $(Kind::$kind => &self.$table.rows,)* }
            }
        }
    };
}

impl Kind {
    /// What its records hold, as declared.
    pub fn fields(self) -> &'static [Field] {
        self.declared().fields
    }

    /// Whether it is something seen or done of another record, such as a weight or a candling.
    pub fn is_seen(self) -> bool {
        self.declared().seen
    }
}

kinds! {
    Person PersonId = "person": Person, person in people;
    Place PlaceId = "place": Place, place in places;
    /// A species record of the barn's own. For names and figures see [`Book::species_of`].
    Species SpeciesId = "species": Species, own_species in species;
    Animal AnimalId = "animal": Animal, animal in animals;
    AnimalEvent AnimalEventId = "animal_event": AnimalEvent, animal_event in events;
    Meal MealId = "meal": Meal, meal in meals;
    Pairing PairingId = "pairing": Pairing, pairing in pairings;
    LockSeen LockSeenId = "lock_seen": LockSeen, lock in locks;
    Clutch ClutchId = "clutch": Clutch, clutch in clutches;
    Egg EggId = "egg": Egg, egg in eggs;
    /// The physical box, reused.
    Box BoxId = "box": BoxThing, container in boxes;
    /// What is in a box from–to. Its id is what an egg box's label carries.
    Filling FillingId = "filling": Filling, filling in fillings;
    Move MoveId = "move": Move, move_of in moves;
    Candling CandlingId = "candling": Candling, candling in candlings;
    Water WaterId = "water": WaterCheck, water_check in waters;
    TakenOut TakenOutId = "taken_out": TakenOut, taking in taken;
    Reading ReadingId = "reading": Reading, reading in readings;
    Incident IncidentId = "incident": Incident, incident in incidents;
    /// A place set to another temperature.
    SetPoint SetPointId = "set_point": SetPoint, set_point in set_points;
    /// A logger's readings, brought in together.
    ReadingLog ReadingLogId = "reading_log": ReadingLog, reading_log in logs;
    Hatching HatchingId = "hatching": Hatching, hatching in hatchings;
    /// A walk that looked which boxes are there.
    StockTaking StockTakingId = "stock_taking": StockTaking, stock_taking in stock_takings;
    Note NoteId = "note": Note, note in notes;
    Photo PhotoId = "photo": Photo, photo in photos;
    LabelPrint LabelPrintId = "label_print": LabelPrint, label_print in prints;
    /// A label printed ahead, its id minted before there is a record for it.
    Label LabelId = "label": BlankLabel, label in labels;
    /// Someone outside the barn.
    Contact ContactId = "contact": Contact, contact in contacts;
    /// Details of somebody, erased for good ([`journal::bundle::DETAILS_ERASED`]). Its id is their digest.
    DetailsErased DetailsErasedId = "details_erased": DetailsErased, details_erased in erased;
    Wish WishId = "wish": Wish, wish in wishes;
    Hold HoldId = "hold": Hold, hold in holds;
    Rules RulesId = "rules": BarnRules, barn_rules in rules;
    Snooze SnoozeId = "snooze": Snooze, snooze in snoozes;
    Trait TraitId = "trait": Trait, own_trait in traits;
    /// What is known, seen or possible of one trait in one animal.
    Genotype GenotypeId = "genotype": Genotype, said_of in genotypes;
    /// What the barn has of something.
    Supply SupplyId = "supply": Supply, one_supply in supplies;
    /// What a veterinarian ordered for an animal.
    Treatment TreatmentId = "treatment": Treatment, treatment in treatments;
    Dose DoseId = "dose": Dose, dose in doses;
    /// An animal or a place set apart from the others.
    Quarantine QuarantineId = "quarantine": Quarantine, quarantine in quarantines;
    /// Who may breed, of one species and sex.
    BreedingRule BreedingRuleId = "breeding_rule": BreedingRule, breeding_rule in breeding_rules;
    /// An animal kept cool for some weeks.
    Cooling CoolingId = "cooling": Cooling, cooling in coolings;
    Cleaning CleaningId = "cleaning": Cleaning, cleaning in cleanings;
    /// After how many days tubs are cleaned again, of one species or of all.
    Cost CostId = "cost": Cost, cost in costs;
    CleaningRule CleaningRuleId = "cleaning_rule": CleaningRule, cleaning_rule in cleaning_rules;
}
