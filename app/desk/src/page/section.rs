//! The sections of the app: what stands at the side of a wide screen, and which of them a page belongs to.

use super::{Page, SeasonPart};

/// A section; it has a page of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Section {
    Rounds,
    Ahead,
    Scan,
    Boxes,
    Pairings,
    Animals,
    Young,
    Care,
    Cooling,
    Wishes,
    Season,
    LookBack,
    Places,
    WhatIsWhere,
    Daybook,
    Species,
    Traits,
    Labels,
    Bundles,
    Settings,
    More,
}

/// What a group of sections is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    Now,
    Eggs,
    Animals,
    Season,
    Barn,
}

impl Section {
    /// All of them but Scan, which stands above, in their order.
    pub const GROUPS: [(Group, &'static [Section]); 5] = [
        (Group::Now, &[Self::Rounds, Self::Ahead]),
        (Group::Eggs, &[Self::Boxes, Self::Pairings]),
        (Group::Animals, &[Self::Animals, Self::Young, Self::Care, Self::Cooling, Self::Wishes]),
        (Group::Season, &[Self::Season, Self::LookBack]),
        (
            Group::Barn,
            &[
                Self::Places,
                Self::WhatIsWhere,
                Self::Daybook,
                Self::Species,
                Self::Traits,
                Self::Labels,
                Self::Bundles,
                Self::Settings,
                Self::More,
            ],
        ),
    ];

    /// The bar of a small screen has room for these.
    pub const BAR: [Section; 5] = [Self::Rounds, Self::Boxes, Self::Scan, Self::Animals, Self::More];

    /// Its own page.
    pub fn page(self) -> Page {
        match self {
            Self::Rounds => Page::Rounds,
            Self::Ahead => Page::Ahead,
            Self::Scan => Page::Scan,
            Self::Boxes => Page::Boxes,
            Self::Pairings => Page::Pairings,
            Self::Animals => Page::Animals,
            Self::Young => Page::Babies(None),
            Self::Care => Page::Care,
            Self::Cooling => Page::Cooling(None),
            Self::Wishes => Page::Wishes,
            Self::Season => Page::Season,
            Self::LookBack => Page::SeasonPart(SeasonPart::Back),
            Self::Places => Page::Places,
            Self::WhatIsWhere => Page::WhereIs,
            Self::Daybook => Page::Daybook,
            Self::Species => Page::SpeciesAll,
            Self::Traits => Page::Traits(None),
            Self::Labels => Page::PrintLabels,
            Self::Bundles => Page::Bundles,
            Self::Settings => Page::Settings,
            Self::More => Page::More,
        }
    }

    /// The one of the bar's that leads to it.
    pub fn on_bar(self) -> Self {
        match self {
            Self::Rounds | Self::Ahead => Self::Rounds,
            Self::Scan => Self::Scan,
            Self::Boxes => Self::Boxes,
            Self::Animals | Self::Pairings => Self::Animals,
            Self::Care | Self::Cooling => Self::More,
            Self::Young | Self::Wishes | Self::Season | Self::LookBack | Self::Places | Self::WhatIsWhere => Self::More,
            Self::Daybook
            | Self::Species
            | Self::Traits
            | Self::Labels
            | Self::Bundles
            | Self::Settings
            | Self::More => Self::More,
        }
    }
}

/// A list that stays beside the records it leads to, where there is room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    Boxes,
    Animals,
}

impl Page {
    /// The section it belongs to; none of a page that nobody made.
    pub fn section(&self) -> Option<Section> {
        Some(match self {
            Self::Rounds | Self::Doubles => Section::Rounds,
            Self::Ahead => Section::Ahead,
            Self::Scan | Self::Walks | Self::Walk(_) | Self::FromLabel(_) => Section::Scan,
            Self::Boxes | Self::Box(_) | Self::BoxAct(..) | Self::Pull(_) | Self::Found(_) => Section::Boxes,
            Self::Clutch(_) | Self::ClutchEdit(_) | Self::EggsLater(_) | Self::Measure(_) | Self::Egg(_) => {
                Section::Boxes
            }
            Self::Pairings | Self::Pairing(_) | Self::PairingEdit(_) | Self::PairingNew(_) => Section::Pairings,
            Self::Breeders | Self::Outcomes(..) | Self::Plan(_) => Section::Pairings,
            Self::Animals | Self::Many | Self::Animal(_) | Self::AnimalNew | Self::AnimalEdit(_) | Self::Swap(_) => {
                Section::Animals
            }
            Self::Meal(_) | Self::Leave(_) | Self::Papers(_) | Self::Genes(_) => Section::Animals,
            Self::Babies(_) | Self::Looks(_) => Section::Young,
            Self::Care | Self::Treat(_) | Self::Treatment(_) | Self::TreatmentEdit(_) => Section::Care,
            Self::Apart(..) | Self::Quarantine(_) => Section::Care,
            Self::Cooling(_) => Section::Cooling,
            Self::Wishes | Self::Contact(_) => Section::Wishes,
            Self::Season => Section::Season,
            Self::SeasonPart(SeasonPart::Back) => Section::LookBack,
            Self::SeasonPart(SeasonPart::Weeks | SeasonPart::Needs | SeasonPart::Report | SeasonPart::BarnBook) => {
                Section::Season
            }
            Self::Places | Self::Place(_) | Self::PlaceNew | Self::PlaceLog(_) | Self::Feed(_) => Section::Places,
            Self::WhereIs | Self::BarnSheet => Section::WhatIsWhere,
            Self::Daybook | Self::Correct(..) => Section::Daybook,
            Self::SpeciesAll | Self::Species(_) => Section::Species,
            Self::Traits(_) | Self::Trait(_) | Self::TraitNew(_) => Section::Traits,
            Self::Label(..) | Self::PrintLabels | Self::Labels(_) | Self::Printer | Self::BlankLabels => {
                Section::Labels
            }
            Self::Bundles | Self::BundleShared | Self::Sheet => Section::Bundles,
            Self::Settings => Section::Settings,
            Self::More => Section::More,
            Self::Lost(_) => return None,
        })
    }

    /// The list that stays beside it on a wide screen.
    pub fn beside(&self) -> Option<Beside> {
        match self {
            Self::Boxes | Self::Box(_) => Some(Beside::Boxes),
            Self::Animals | Self::Animal(_) => Some(Beside::Animals),
            _ => None,
        }
    }
}
