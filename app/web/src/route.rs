//! The address is the state: fragment routes, so that any static host in any folder works and a printed
//! link never 404s.

use crate::pages::walk::Walking;
use book::Thing;
use leptos::prelude::*;
use std::fmt;

mod about;
#[cfg(test)]
mod table;

/// Every page there is. `Display` writes the fragment, [`Page::read`] reads it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(test, derive(strum::EnumDiscriminants), strum_discriminants(name(Variant), derive(strum::EnumIter)))]
pub enum Page {
    Rounds,
    Scan,
    /// The walks with the camera open, and one of them.
    Walks,
    Walk(Walking),
    Boxes,
    /// An egg box: the filling with this id.
    Box(String),
    BoxAct(String, BoxAct),
    /// A clutch to pull; what is known of it already.
    Pull(PullFrom),
    Clutch(String),
    ClutchEdit(String),
    /// Eggs of a clutch that came later, or go in another box.
    EggsLater(String),
    /// The eggs of a clutch under the caliper and on the scale.
    Measure(String),
    Animals,
    /// Several animals ticked, then one act.
    Many,
    Animal(String),
    AnimalNew,
    AnimalEdit(String),
    /// Swapped with another, found late.
    Swap(String),
    Pairings,
    Pairing(String),
    PairingEdit(String),
    /// A new pairing, of this animal or of nobody yet.
    PairingNew(Option<String>),
    /// An observation to put right: its kind and id.
    Correct(String, String),
    /// What two devices made of one thing.
    Doubles,
    /// A meal offered to one animal.
    Meal(String),
    /// An animal held, kept back or placed.
    Leave(String),
    /// What goes with an animal that leaves.
    Papers(String),
    /// The young; of one clutch, or all.
    Babies(Option<String>),
    /// A rack fed, or who refused.
    Feed(String),
    /// Who would like what, what is held, and the people.
    Wishes,
    Contact(String),
    /// The days ahead.
    Ahead,
    /// One egg.
    Egg(String),
    /// Eggs found under this dam (or a dam unknown).
    Found(Option<String>),
    Places,
    WhereIs,
    /// The same on paper.
    BarnSheet,
    Place(String),
    PlaceNew,
    /// A logger's file for this place.
    PlaceLog(String),
    SpeciesAll,
    /// A species record's id or a shipped key.
    Species(String),
    Season,
    SeasonPart(SeasonPart),
    /// Print the label of a thing: its kind and id.
    Label(String, String),
    /// Choose what to print labels of.
    PrintLabels,
    /// Print the labels of these things, in this order: see [`Page::labels_of`].
    Labels(String),
    /// The ruler page and what it showed of a printer.
    Printer,
    BlankLabels,
    /// What is known of an animal's traits.
    Genes(String),
    /// What a dam and a sire can give.
    Outcomes(String, String),
    /// What the babies of a clutch look like.
    Looks(String),
    /// Which pairing for a wish: a species.
    Plan(String),
    /// The traits of a species, or of the one most kept.
    Traits(Option<String>),
    /// A trait by its key.
    Trait(String),
    /// A new trait of a species.
    TraitNew(String),
    Daybook,
    /// Records to and from other devices.
    Bundles,
    /// The same, with a file that was shared with the app.
    BundleShared,
    /// A spreadsheet to bring in.
    Sheet,
    More,
    Settings,
    /// What a printed label's link holds, unread.
    FromLabel(String),
    /// No such page.
    Lost(String),
}

/// What is done at a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(test, derive(strum::EnumIter))]
pub enum BoxAct {
    Candle,
    Water,
    Pipped,
    Out,
    /// Babies weighed and coded, the other eggs accounted for.
    Hatch,
    Move,
    Note,
    Eggs,
    /// How it was set, put right.
    Setup,
    /// Something but water and eggs taken out or put in.
    Taken,
}

/// A part of the season's pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(test, derive(strum::EnumIter))]
pub enum SeasonPart {
    Weeks,
    Needs,
    Back,
    Report,
    BarnBook,
}

const SEASON: [(&str, SeasonPart); 5] = [
    ("weeks", SeasonPart::Weeks),
    ("needs", SeasonPart::Needs),
    ("back", SeasonPart::Back),
    ("report", SeasonPart::Report),
    ("book", SeasonPart::BarnBook),
];

/// Where the pulling of a clutch starts from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub enum PullFrom {
    #[default]
    Nothing,
    /// A blank pre-printed label with this id was scanned: it becomes the box's.
    Blank(String),
    /// A clutch that was noted as found and is not boxed yet.
    Clutch(String),
    Dam(String),
}

const ACTS: [(&str, BoxAct); 10] = [
    ("candle", BoxAct::Candle),
    ("water", BoxAct::Water),
    ("pipped", BoxAct::Pipped),
    ("out", BoxAct::Out),
    ("hatch", BoxAct::Hatch),
    ("move", BoxAct::Move),
    ("note", BoxAct::Note),
    ("eggs", BoxAct::Eggs),
    ("setup", BoxAct::Setup),
    ("taken", BoxAct::Taken),
];

impl Page {
    /// From `location.hash`, with or without its `#`. Anything unknown is [`Page::Lost`], never an error.
    pub fn read(hash: &str) -> Self {
        let hash = hash.trim_start_matches('#');
        let parts: Vec<&str> = hash.split('/').filter(|p| !p.is_empty()).collect();
        let own = |s: &&str| (*s).to_owned();
        match parts.as_slice() {
            [] | ["rounds"] => Self::Rounds,
            ["scan"] => Self::Scan,
            ["walk"] => Self::Walks,
            ["walk", what] => match Walking::ALL.into_iter().find(|walk| walk.word() == *what) {
                Some(walk) => Self::Walk(walk),
                None => Self::Lost(hash.to_owned()),
            },
            ["boxes"] => Self::Boxes,
            ["box", id] => Self::Box(own(id)),
            ["box", id, act] => match ACTS.iter().find(|(name, _)| name == act) {
                Some((_, act)) => Self::BoxAct(own(id), *act),
                None => Self::Lost(hash.to_owned()),
            },
            ["pull"] => Self::Pull(PullFrom::Nothing),
            ["pull", "label", id] => Self::Pull(PullFrom::Blank(own(id))),
            ["pull", "clutch", id] => Self::Pull(PullFrom::Clutch(own(id))),
            ["pull", "dam", id] => Self::Pull(PullFrom::Dam(own(id))),
            ["clutch", id] => Self::Clutch(own(id)),
            ["clutch", id, "edit"] => Self::ClutchEdit(own(id)),
            ["clutch", id, "later"] => Self::EggsLater(own(id)),
            ["clutch", id, "measure"] => Self::Measure(own(id)),
            ["animals"] => Self::Animals,
            ["animals", "many"] => Self::Many,
            ["animal", "new"] => Self::AnimalNew,
            ["animal", id] => Self::Animal(own(id)),
            ["animal", id, "edit"] => Self::AnimalEdit(own(id)),
            ["animal", id, "swap"] => Self::Swap(own(id)),
            ["pairings"] => Self::Pairings,
            ["pairing", "new"] => Self::PairingNew(None),
            ["pairing", "new", with] => Self::PairingNew(Some(own(with))),
            ["pairing", id] => Self::Pairing(own(id)),
            ["pairing", id, "edit"] => Self::PairingEdit(own(id)),
            ["correct", kind, id] => Self::Correct(own(kind), own(id)),
            ["doubles"] => Self::Doubles,
            ["animal", id, "meal"] => Self::Meal(own(id)),
            ["animal", id, "leave"] => Self::Leave(own(id)),
            ["animal", id, "papers"] => Self::Papers(own(id)),
            ["babies"] => Self::Babies(None),
            ["babies", clutch] => Self::Babies(Some(own(clutch))),
            ["feed", place] => Self::Feed(own(place)),
            ["wishes"] => Self::Wishes,
            ["contact", id] => Self::Contact(own(id)),
            ["ahead"] => Self::Ahead,
            ["egg", id] => Self::Egg(own(id)),
            ["found"] => Self::Found(None),
            ["found", dam] => Self::Found(Some(own(dam))),
            ["places"] => Self::Places,
            ["where"] => Self::WhereIs,
            ["where", "sheet"] => Self::BarnSheet,
            ["place", "new"] => Self::PlaceNew,
            ["place", id] => Self::Place(own(id)),
            ["place", id, "log"] => Self::PlaceLog(own(id)),
            ["species"] => Self::SpeciesAll,
            ["species", id] => Self::Species(own(id)),
            ["season"] => Self::Season,
            ["season", part] => match SEASON.iter().find(|(name, _)| name == part) {
                Some((_, part)) => Self::SeasonPart(*part),
                None => Self::Lost(hash.to_owned()),
            },
            ["label", kind, id] => Self::Label(own(kind), own(id)),
            ["genes", animal] => Self::Genes(own(animal)),
            ["outcomes", dam, sire] => Self::Outcomes(own(dam), own(sire)),
            ["looks", clutch] => Self::Looks(own(clutch)),
            ["plan", species] => Self::Plan(own(species)),
            ["traits"] => Self::Traits(None),
            ["traits", species] => Self::Traits(Some(own(species))),
            ["trait", key] => Self::Trait(own(key)),
            ["trait", "new", species] => Self::TraitNew(own(species)),
            ["labels"] => Self::PrintLabels,
            ["labels", things] => Self::Labels(own(things)),
            ["printer"] => Self::Printer,
            ["blank-labels"] => Self::BlankLabels,
            ["daybook"] => Self::Daybook,
            ["sheet"] => Self::Sheet,
            ["bundles"] => Self::Bundles,
            ["bundles", "shared"] => Self::BundleShared,
            ["more"] => Self::More,
            ["settings"] => Self::Settings,
            [kind, _, ..] if kind.len() == 1 => Self::FromLabel(hash.to_owned()),
            _ => Self::Lost(hash.to_owned()),
        }
    }

    /// The page that prints labels of these things: fillings, animals, places.
    pub fn labels_of(things: &[Thing]) -> Self {
        let things: Vec<String> = things.iter().map(ToString::to_string).collect();
        Self::Labels(things.join(","))
    }

    /// As the address holds it, with the `#`.
    pub fn href(&self) -> String {
        format!("#{self}")
    }

    /// Goes there.
    pub fn go(&self) {
        if let Some(window) = web_sys::window() {
            // Fails only where scripts may not set the address, and there nothing else works either.
            let _ = window.location().set_hash(&self.to_string());
        }
    }

    /// Goes there without leaving a step to come back to: a finished form is not a place to return to.
    pub fn replace(&self) {
        if let Some(window) = web_sys::window() {
            let _ = window.location().replace(&self.href());
        }
    }
}

impl fmt::Display for Page {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rounds => f.write_str("/"),
            Self::Scan => f.write_str("/scan"),
            Self::Walks => f.write_str("/walk"),
            Self::Walk(what) => write!(f, "/walk/{}", what.word()),
            Self::Boxes => f.write_str("/boxes"),
            Self::Box(id) => write!(f, "/box/{id}"),
            Self::BoxAct(id, act) => {
                let name = ACTS.iter().find(|(_, a)| a == act).map_or("", |(name, _)| name);
                write!(f, "/box/{id}/{name}")
            }
            Self::Pull(PullFrom::Nothing) => f.write_str("/pull"),
            Self::Pull(PullFrom::Blank(id)) => write!(f, "/pull/label/{id}"),
            Self::Pull(PullFrom::Clutch(id)) => write!(f, "/pull/clutch/{id}"),
            Self::Pull(PullFrom::Dam(id)) => write!(f, "/pull/dam/{id}"),
            Self::Clutch(id) => write!(f, "/clutch/{id}"),
            Self::ClutchEdit(id) => write!(f, "/clutch/{id}/edit"),
            Self::EggsLater(id) => write!(f, "/clutch/{id}/later"),
            Self::Measure(id) => write!(f, "/clutch/{id}/measure"),
            Self::Many => f.write_str("/animals/many"),
            Self::Animals => f.write_str("/animals"),
            Self::Animal(id) => write!(f, "/animal/{id}"),
            Self::AnimalNew => f.write_str("/animal/new"),
            Self::AnimalEdit(id) => write!(f, "/animal/{id}/edit"),
            Self::Swap(id) => write!(f, "/animal/{id}/swap"),
            Self::Pairings => f.write_str("/pairings"),
            Self::Pairing(id) => write!(f, "/pairing/{id}"),
            Self::PairingEdit(id) => write!(f, "/pairing/{id}/edit"),
            Self::PairingNew(None) => f.write_str("/pairing/new"),
            Self::PairingNew(Some(with)) => write!(f, "/pairing/new/{with}"),
            Self::Correct(kind, id) => write!(f, "/correct/{kind}/{id}"),
            Self::Doubles => f.write_str("/doubles"),
            Self::Meal(id) => write!(f, "/animal/{id}/meal"),
            Self::Leave(id) => write!(f, "/animal/{id}/leave"),
            Self::Papers(id) => write!(f, "/animal/{id}/papers"),
            Self::Babies(None) => f.write_str("/babies"),
            Self::Babies(Some(clutch)) => write!(f, "/babies/{clutch}"),
            Self::Feed(place) => write!(f, "/feed/{place}"),
            Self::Wishes => f.write_str("/wishes"),
            Self::Contact(id) => write!(f, "/contact/{id}"),
            Self::Ahead => f.write_str("/ahead"),
            Self::Egg(id) => write!(f, "/egg/{id}"),
            Self::Found(None) => f.write_str("/found"),
            Self::Found(Some(dam)) => write!(f, "/found/{dam}"),
            Self::Places => f.write_str("/places"),
            Self::WhereIs => f.write_str("/where"),
            Self::BarnSheet => f.write_str("/where/sheet"),
            Self::Place(id) => write!(f, "/place/{id}"),
            Self::PlaceNew => f.write_str("/place/new"),
            Self::PlaceLog(id) => write!(f, "/place/{id}/log"),
            Self::SpeciesAll => f.write_str("/species"),
            Self::Species(id) => write!(f, "/species/{id}"),
            Self::Season => f.write_str("/season"),
            Self::SeasonPart(part) => {
                let name = SEASON.iter().find(|(_, p)| p == part).map_or("", |(name, _)| name);
                write!(f, "/season/{name}")
            }
            Self::Label(kind, id) => write!(f, "/label/{kind}/{id}"),
            Self::Genes(animal) => write!(f, "/genes/{animal}"),
            Self::Outcomes(dam, sire) => write!(f, "/outcomes/{dam}/{sire}"),
            Self::Looks(clutch) => write!(f, "/looks/{clutch}"),
            Self::Plan(species) => write!(f, "/plan/{species}"),
            Self::Traits(None) => f.write_str("/traits"),
            Self::Traits(Some(species)) => write!(f, "/traits/{species}"),
            Self::Trait(key) => write!(f, "/trait/{key}"),
            Self::TraitNew(species) => write!(f, "/trait/new/{species}"),
            Self::PrintLabels => f.write_str("/labels"),
            Self::Labels(things) => write!(f, "/labels/{things}"),
            Self::Printer => f.write_str("/printer"),
            Self::BlankLabels => f.write_str("/blank-labels"),
            Self::Daybook => f.write_str("/daybook"),
            Self::Sheet => f.write_str("/sheet"),
            Self::Bundles => f.write_str("/bundles"),
            Self::BundleShared => f.write_str("/bundles/shared"),
            Self::More => f.write_str("/more"),
            Self::Settings => f.write_str("/settings"),
            Self::FromLabel(raw) | Self::Lost(raw) => f.write_str(raw),
        }
    }
}

fn current() -> Page {
    let hash = web_sys::window().and_then(|w| w.location().hash().ok()).unwrap_or_default();
    Page::read(&hash)
}

/// The page the address asks for, followed as it changes.
pub fn follow() -> ReadSignal<Page> {
    let (page, set_page) = signal(current());
    let handle = window_event_listener(leptos::ev::hashchange, move |_| {
        set_page.set(current());
        if let Some(window) = web_sys::window() {
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
    on_cleanup(move || handle.remove());
    page
}
