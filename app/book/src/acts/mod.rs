//! Acts: what a keeper does, one struct each, checked and turned into a draft of one journal entry.
//!
//! An act is data until [`Act::draft`]; that may refuse with a sentence. [`Act::doubts`] lists what is unlikely
//! but possible: the page asks once and then drafts all the same.

mod animals;
mod bounds;
mod box_edited;
mod boxes;
mod care;
mod cleaning;
mod clutches;
mod cooling;
mod correct;
mod edited;
mod edits;
mod erase;
mod follicles;
mod genetics;
mod hatch;
mod hatch_out;
mod heat;
mod joins;
mod kinds;
mod many;
mod money;
mod moves;
mod pairs;
mod paper;
mod photos;
mod places;
mod placing;
mod promises;
mod pull;
mod quarantine;
mod raise;
mod refusal;
mod row;
mod sheet;
mod supplies;
mod swap;
mod wanting;
mod watch;
mod young_follow;

pub use animals::{AnimalAdded, AnimalCard, AnimalEdited, AnimalEventNoted, MealOffered, MealOutcomeSeen};
pub use bounds::{MOST_ITEMS, MOST_NAME, MOST_TEXT};
pub use box_edited::BoxEdited;
pub use boxes::{BaselineReset, BoxEmptied, BoxSet, BoxSetup, TakenOut, WaterChecked};
pub use care::{DoseEdited, DoseNoted, TreatmentCard, TreatmentEdited, TreatmentOrdered};
pub use cleaning::{CleaningEdited, CleaningRuleSet, TubsCleaned};
pub(crate) use clutches::SAME_CLUTCH_DAYS;
pub use clutches::{ClutchCard, ClutchEdited, EggCard, EggEdited, EggMeasure, EggsFound, EggsMeasured, MOST_EGGS};
pub use cooling::{CoolingCard, CoolingEdited, CoolingRuleSet, CoolingSet};
pub use correct::{AnimalEventEdited, CandlingEdited, MealEdited, Redated, may_redate};
pub use edited::{IncidentEdited, NoteEdited, ReadingEdited, SetPointEdited, TakenOutEdited, WaterEdited};
pub use edits::{ClashSettled, Withdrawn};
pub use erase::{PersonErased, is_final};
pub use follicles::{FOLLICLE_UM, FolliclesNoted, MOST_FOLLICLES};
pub use genetics::{GenotypeLine, GenotypesNoted, TraitCard, TraitSet};
pub use hatch::{EggFate, EggsCut, EggsOut, EggsPipped, OpeningEdited};
pub use hatch_out::{HatchedOut, NewBaby};
pub use heat::{ReadingsImported, SetPointChanged};
pub(crate) use joins::far_apart;
pub use joins::{ClutchesJoined, ClutchesParted, RecordsWithdrawn};
pub use kinds::{ActKind, Kinded};
pub use many::{AnimalsSeen, AnimalsWeighed};
pub use money::{CostCard, CostEdited, CostNoted, CurrencySet, PriceAsked};
pub(crate) use moves::EGGS;
pub use moves::Moved;
pub use pairs::{AgainRuleSet, BreedingRuleSet, LockNoted, Paired, PairingCard, PairingEdited, PairingEnded};
pub use paper::{BlankLabelsMade, LabelPrinted, LabelsPrinted, Noted, PersonNamed};
pub use photos::{FaceChosen, PhotoEdited, PhotoTaken};
pub use places::{
    IncidentNoted, IncubatorAdded, PlaceAdded, PlaceCard, PlaceEdited, RackAdded, ReadingTaken, SpeciesSet,
};
pub use placing::{AnimalsPlaced, ContactKept};
pub use promises::{Held, HoldEdited, HoldEnded, WishClosed, WishEdited, WishNoted};
pub use pull::{ClutchPulled, EggsAdded};
pub use quarantine::{QuarantineCard, QuarantineEdited, SetApart};
pub use raise::{RackFed, RulesSet, Snoozed};
pub use refusal::{Doubt, Refusal, Shown};
pub use sheet::{SheetAnimal, SheetBroughtIn, SheetRow};
pub use supplies::SupplySet;
pub use swap::Unswapped;
pub use wanting::{lacking, still_wants};
pub use watch::{BoxCandled, StockTaken};

use crate::book::Book;
use crate::ids::{Kind, Thing};
use crate::records::BlankLabel;
use chrono::NaiveDateTime;
use journal::{Draft, DraftId, DraftSet};
use trade::units::Mass;
use trade::when::When;

/// Gives ids for new things; the caller has the randomness.
pub type Mint<'a> = dyn FnMut() -> journal::Id + 'a;

/// Something a keeper does. `now` is the barn's own wall clock.
pub trait Act: Kinded {
    /// The entry to seal.
    ///
    /// # Errors
    /// A sentence that says what to do; nothing has changed.
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal>;

    /// What to ask before it is done; empty when nothing is unlikely.
    fn doubts(&self, _book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        Vec::new()
    }
}

/// The first record of a kind that a draft creates or changes under a known id: where to go after saving.
pub fn made(draft: &Draft, kind: Kind) -> Option<Thing> {
    all_made(draft, kind).next()
}

/// All of them, in order.
pub fn all_made(draft: &Draft, kind: Kind) -> impl Iterator<Item = Thing> {
    draft.sets.iter().filter_map(move |set| match &set.id {
        DraftId::Known(id) if set.kind == kind.word() => Some(Thing::new(kind, id.as_str())),
        DraftId::Known(_) | DraftId::Observation => None,
    })
}

/// The one way from what an act sets to its draft.
fn draft(act: &str, sets: Vec<DraftSet>) -> Result<Draft, Refusal> {
    bounds::check(&sets)?;
    unbounded(act, sets)
}

/// For what was entered before and is only chosen: it may be longer than can be entered here.
fn unbounded(act: &str, sets: Vec<DraftSet>) -> Result<Draft, Refusal> {
    if sets.is_empty() {
        return Err(Refusal::NothingChanged);
    }
    Ok(Draft { act: act.to_owned(), sets, ..Draft::default() })
}

/// Refuses a moment that has not come. A day is fine until it is over.
fn not_future(what: &'static str, when: When, now: NaiveDateTime) -> Result<(), Refusal> {
    // Two phones' clocks differ by minutes; that is no slip of the keeper's.
    if when.earliest() > now + chrono::TimeDelta::minutes(15) {
        return Err(Refusal::InFuture { what });
    }
    Ok(())
}

/// Refuses when `then` certainly came before `first`.
fn in_order(
    (first, earlier): (&'static str, Option<When>),
    (then, later): (&'static str, Option<When>),
) -> Result<(), Refusal> {
    match (earlier, later) {
        (Some(earlier), Some(later)) if is_before(later, earlier) => {
            Err(Refusal::OutOfOrder { first: then, then: first })
        }
        _ => Ok(()),
    }
}

/// Whether `first` certainly came before `then`. A day ends with the first moment of the next: what is over by then is
/// before it.
fn is_before(first: When, then: When) -> bool {
    first.latest() <= then.earliest() && first.earliest() < then.earliest()
}

/// 100 kg, in milligrams: more than any box, clutch or animal here.
const MOST_MG: i64 = 100_000_000;

fn real_mass(what: &'static str, mass: Mass) -> Result<(), Refusal> {
    if mass.0 > 0 && mass.0 < MOST_MG { Ok(()) } else { Err(Refusal::BadMass { what, mass }) }
}

fn real_mass_if(what: &'static str, mass: Option<Mass>) -> Result<(), Refusal> {
    mass.map_or(Ok(()), |mass| real_mass(what, mass))
}

fn there(book: &Book, thing: impl Into<Thing>) -> Result<(), Refusal> {
    let thing = thing.into();
    if book.has(&thing) { Ok(()) } else { Err(Refusal::NoSuch { thing }) }
}

fn all_there<T: Clone + Into<Thing>>(book: &Book, things: &[T]) -> Result<(), Refusal> {
    things.iter().try_for_each(|thing| there(book, thing.clone()))
}

/// A fresh id that nothing carries.
pub fn fresh(book: &Book, mint: &mut Mint<'_>) -> String {
    // 40 random bits collide about never; a mint that keeps repeating itself must not hang the page.
    let mut id = mint().to_string();
    for _ in 0..8 {
        if book.is_free(&id) {
            break;
        }
        id = mint().to_string();
    }
    id
}

/// The id to create a record under: the one from a scanned blank label if there is one, else a fresh one.
/// The second value marks the label used.
fn id_or_fresh(
    book: &Book,
    kind: Kind,
    preset: Option<&str>,
    mint: &mut Mint<'_>,
) -> Result<(String, Option<DraftSet>), Refusal> {
    let Some(id) = preset else { return Ok((fresh(book, mint), None)) };
    if book.has(&Thing::new(kind, id)) {
        return Err(Refusal::IdTaken { id: id.to_owned() });
    }
    let label = Thing::new(Kind::Label, id);
    if !book.has(&label) {
        // A blank printed by a device whose acts have not arrived here: its id is still good, if nothing has it.
        return if book.is_free(id) { Ok((id.to_owned(), None)) } else { Err(Refusal::IdTaken { id: id.to_owned() }) };
    }
    if book.label(&id.into()).is_some_and(|label| label.used.is_some()) {
        return Err(Refusal::IdTaken { id: id.to_owned() });
    }
    let used = row::Row::new().with(BlankLabel::used, Thing::new(kind, id)).change(book, id);
    Ok((id.to_owned(), used))
}
