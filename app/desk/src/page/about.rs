//! Which record a page is about.

use super::{Page, PullFrom};
use book::{Kind, Thing};

impl Page {
    /// The one record it is about, if it is about one: without that, all it can do is say so.
    pub fn about(&self) -> Option<Thing> {
        let (kind, id) = match self {
            Self::Box(id) | Self::BoxAct(id, _) => (Kind::Filling, id),
            Self::Clutch(id) | Self::ClutchEdit(id) | Self::EggsLater(id) | Self::Measure(id) | Self::Looks(id) => {
                (Kind::Clutch, id)
            }
            Self::Animal(id) | Self::AnimalEdit(id) | Self::Swap(id) => (Kind::Animal, id),
            Self::Meal(id) | Self::Leave(id) | Self::Papers(id) | Self::Genes(id) => (Kind::Animal, id),
            Self::Found(Some(id)) | Self::PairingNew(Some(id)) | Self::Pull(PullFrom::Dam(id)) => (Kind::Animal, id),
            Self::Pull(PullFrom::Clutch(id)) | Self::Babies(Some(id)) => (Kind::Clutch, id),
            Self::Treat(id) => (Kind::Animal, id),
            Self::Treatment(id) | Self::TreatmentEdit(id) => (Kind::Treatment, id),
            Self::Pairing(id) | Self::PairingEdit(id) => (Kind::Pairing, id),
            Self::Contact(id) => (Kind::Contact, id),
            Self::Egg(id) => (Kind::Egg, id),
            Self::Place(id) | Self::PlaceLog(id) | Self::Feed(id) => (Kind::Place, id),
            Self::Trait(id) => (Kind::Trait, id),
            Self::Quarantine(id) => (Kind::Quarantine, id),
            Self::Cooling(Some(id)) => (Kind::Cooling, id),
            Self::Correct(kind, id) | Self::Label(kind, id) | Self::Apart(kind, id) => (Kind::of(kind)?, id),
            Self::Rounds | Self::Scan | Self::Walks | Self::Walk(_) | Self::Boxes => return None,
            Self::Pull(PullFrom::Nothing | PullFrom::Blank(_)) | Self::Found(None) => return None,
            Self::Animals | Self::Many | Self::AnimalNew | Self::Pairings | Self::PairingNew(None) | Self::Doubles => {
                return None;
            }
            Self::Breeders
            | Self::Care
            | Self::Cooling(None)
            | Self::Babies(None)
            | Self::Wishes
            | Self::Ahead
            | Self::Places => {
                return None;
            }
            Self::WhereIs | Self::BarnSheet => {
                return None;
            }
            Self::PlaceNew | Self::SpeciesAll | Self::Species(_) | Self::Season | Self::SeasonPart(_) => return None,
            Self::PrintLabels | Self::Labels(_) | Self::Printer | Self::BlankLabels => return None,
            Self::Outcomes(..) | Self::Plan(_) | Self::Traits(_) | Self::TraitNew(_) => return None,
            Self::Daybook | Self::Bundles | Self::BundleShared | Self::Sheet | Self::More | Self::Settings => {
                return None;
            }
            Self::FromLabel(_) | Self::Lost(_) => return None,
        };
        Some(Thing::new(kind, id.as_str()))
    }
}
