//! The name of every act, so that what is decided or said of each can be matched in full.

use super::*;

/// An act without a row here does not compile: [`Act`] asks for its kind. The word beside one is its name in the journal,
/// where that is not the name of its struct; names are frozen once they have landed.
macro_rules! acts {
    (@word $act:ident) => { stringify!($act) };
    (@word $act:ident $word:literal) => { $word };
    ($($act:ident $($word:literal)?),+ $(,)?) => {
        /// What was done.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum ActKind { $($act),+ }

        impl ActKind {
            /// All of them, by name.
            pub const ALL: &[ActKind] = &[$(ActKind::$act),+];

            /// The word the journal uses.
            pub fn word(self) -> &'static str {
                match self { $(ActKind::$act => acts!(@word $act $($word)?)),+ }
            }

            /// The act of this word, if this version knows it.
            pub fn of(word: &str) -> Option<ActKind> {
                ActKind::ALL.iter().copied().find(|act| act.word() == word)
            }
        }

        $(impl Kinded for $act {
            fn kind() -> ActKind { ActKind::$act }
        })+
    };
}

/// Which act a type is.
pub trait Kinded {
    fn kind() -> ActKind
    where
        Self: Sized;
}

acts! {
    AgainRuleSet, AnimalAdded, AnimalEdited, AnimalEventEdited, AnimalEventNoted, AnimalsPlaced, AnimalsSeen,
    AnimalsWeighed, BaselineReset, BlankLabelsMade, BoxCandled, BoxEdited, BoxEmptied, BoxSet, BreedingRuleSet, CandlingEdited,
    ClashSettled, CleaningEdited, CleaningRuleSet, ClutchEdited, ClutchPulled, ClutchesJoined, ClutchesParted, ContactKept, CoolingEdited,
    CoolingRuleSet, CoolingSet, CostEdited, CostNoted, CurrencySet, DoseEdited, DoseNoted, EggEdited,
    EggFate, EggsAdded, EggsCut, EggsFound, EggsMeasured, EggsOut, EggsPipped, FaceChosen, FolliclesNoted, GenotypesNoted,
    HatchedOut, Held,
    HoldEdited, HoldEnded,
    IncidentEdited, IncidentNoted, IncubatorAdded, LabelPrinted, LabelsPrinted, LockNoted "LockSeen", MealEdited,
    MealOffered, MealOutcomeSeen, Moved, NoteEdited, Noted, OpeningEdited, Paired, PairingEdited, PairingEnded,
    PersonErased, PersonNamed, PhotoEdited, PhotoTaken, PlaceAdded, PlaceEdited, PriceAsked, QuarantineEdited, RackAdded, RackFed,
    ReadingEdited, ReadingTaken, ReadingsImported, RecordsWithdrawn, Redated, RulesSet, SetApart, SetPointChanged,
    SetPointEdited, SheetBroughtIn, Snoozed, SpeciesSet, StockTaken, SupplySet, TakenOut, TakenOutEdited, TraitSet,
    TreatmentEdited, TreatmentOrdered, TubsCleaned, Unswapped, WaterChecked, WaterEdited, WishClosed, WishEdited, WishNoted,
    Withdrawn,
}
