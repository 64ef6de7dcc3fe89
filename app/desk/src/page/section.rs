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
    /// The list that stays beside it on a wide screen.
    pub fn beside(&self) -> Option<Beside> {
        match self {
            Self::Boxes | Self::Box(_) => Some(Beside::Boxes),
            Self::Animals | Self::Animal(_) => Some(Beside::Animals),
            _ => None,
        }
    }
}
