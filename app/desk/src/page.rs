//! Addresses: every page there is, its address written and read. One table says both.
//!
//! The address is the state: fragment routes, so that any static host in any folder works and a printed link never
//! leads nowhere.

use book::{Kind, Thing};
use std::collections::BTreeSet;
use std::fmt;

mod section;
#[cfg(test)]
mod table;

pub use section::{Beside, Group, Section};

/// Every page there is. `Display` writes its address, [`Page::read`] reads it.
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
    /// Its photos over time, and which one it is known by.
    Photos(String),
    /// Swapped with another, found late.
    Swap(String),
    Pairings,
    Pairing(String),
    PairingEdit(String),
    /// Who is ready to breed.
    Breeders,
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
    /// What veterinarians ordered, for all animals.
    Care,
    /// A treatment ordered for this animal.
    Treat(String),
    Treatment(String),
    TreatmentEdit(String),
    /// An animal or a place to be set apart: its kind and id.
    Apart(String, String),
    Quarantine(String),
    /// The tubs of a place, or of an animal, cleaned: its kind and id.
    Clean(String, String),
    /// Who is cooled; by one plan, that of this record, or all.
    Cooling(Option<String>),
    /// The young; of one clutch, or all.
    Babies(Option<String>),
    /// A rack fed, or who refused.
    Feed(String),
    /// Who would like what, what is held, and the people.
    Wishes,
    /// Animals with a price, also on paper.
    ForSale,
    /// What was spent.
    Costs,
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
    /// Devices kept in step through a store that they share.
    Share,
    /// Entries from screen to camera, with nothing in between.
    Light,
    /// What another device's code says of that store.
    Join(String),
    /// A spreadsheet to bring in.
    Sheet,
    More,
    /// How to work with the app: what there is to read, and one part of it.
    Guide,
    GuidePart(GuidePart),
    Settings,
    /// What a printed label's link holds, unread.
    FromLabel(String),
    /// No such page.
    Lost(String),
}

impl Page {
    /// The page of a thing; none for what stands on another's.
    pub fn of(thing: &Thing) -> Option<Page> {
        let id = thing.id.clone();
        Some(match thing.kind {
            Kind::Animal => Page::Animal(id),
            Kind::Clutch => Page::Clutch(id),
            Kind::Place => Page::Place(id),
            Kind::Egg => Page::Egg(id),
            Kind::Filling => Page::Box(id),
            Kind::Pairing => Page::Pairing(id),
            Kind::Contact => Page::Contact(id),
            Kind::Species => Page::Species(id),
            Kind::Trait => Page::Trait(id),
            Kind::Label => Page::Pull(PullFrom::Blank(id)),
            Kind::Wish => Page::Wishes,
            Kind::Treatment => Page::Treatment(id),
            Kind::Quarantine => Page::Quarantine(id),
            Kind::BreedingRule => Page::Breeders,
            Kind::CleaningRule => Page::Care,
            Kind::Cooling => Page::Cooling(Some(id)),
            Kind::Cost => Page::Costs,
            Kind::Person
            | Kind::AnimalEvent
            | Kind::Meal
            | Kind::LockSeen
            | Kind::Box
            | Kind::Move
            | Kind::Candling
            | Kind::Water
            | Kind::TakenOut
            | Kind::Reading
            | Kind::Incident
            | Kind::SetPoint
            | Kind::ReadingLog
            | Kind::Hatching
            | Kind::StockTaking
            | Kind::Note
            | Kind::Photo
            | Kind::LabelPrint
            | Kind::DetailsErased
            | Kind::Hold
            | Kind::Rules
            | Kind::Snooze
            | Kind::Genotype
            | Kind::Supply
            | Kind::Dose
            | Kind::Cleaning => return None,
        })
    }
}

/// What is done at a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
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
pub enum SeasonPart {
    Weeks,
    Needs,
    Back,
    Report,
    BarnBook,
}

/// A part of the guide.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GuidePart {
    Begin,
    Season,
    Young,
    Labels,
    Install,
    Copies,
    Together,
}

/// What a walk is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Walking {
    Water,
    Candle,
    Meals,
    Move,
    Stock,
}

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

/// What stands for a gap in an address: an id, or one of a few words.
trait Part: Sized {
    /// All words it may be; none for ids.
    const WORDS: &'static [&'static str];
    fn read(text: &str) -> Option<Self>;
    fn text(&self) -> &str;
}

impl Part for String {
    const WORDS: &'static [&'static str] = &[];

    fn read(text: &str) -> Option<Self> {
        Some(text.to_owned())
    }

    fn text(&self) -> &str {
        self
    }
}

/// The words of a part that is one of a few.
macro_rules! words {
    ($part:ident: $($word:literal $variant:ident),+) => {
        impl $part {
            pub const ALL: &[Self] = &[$(Self::$variant),+];
        }

        impl Part for $part {
            const WORDS: &'static [&'static str] = &[$($word),+];

            fn read(text: &str) -> Option<Self> {
                Self::WORDS.iter().position(|word| *word == text).map(|at| Self::ALL[at])
            }

            fn text(&self) -> &str {
                match self {
                    $(Self::$variant => $word,)+
                }
            }
        }
    };
}

words!(Walking: "water" Water, "candle" Candle, "meals" Meals, "move" Move, "stock" Stock);
words!(SeasonPart: "weeks" Weeks, "needs" Needs, "back" Back, "report" Report, "book" BarnBook);
words!(GuidePart: "begin" Begin, "season" Season, "young" Young, "labels" Labels, "install" Install, "copies" Copies,
    "together" Together);
words!(BoxAct: "candle" Candle, "water" Water, "pipped" Pipped, "out" Out, "hatch" Hatch, "move" Move, "note" Note,
    "eggs" Eggs, "setup" Setup, "taken" Taken);

/// The record that a page is about, by its gaps.
macro_rules! about {
    ([] [$($gap:ident)*]) => {
        None
    };
    ([named] [$kind:ident $id:ident]) => {
        Some(Thing::new(Kind::of($kind)?, $id.as_str()))
    };
    ([$of:ident] [$id:ident $($rest:ident)*]) => {
        Some(Thing::new(Kind::$of, $id.as_str()))
    };
}

/// From one row of a page come reading, writing, the list of all there are, its section, and which record it is about: an
/// address with `*` for each gap, what fills the gaps, and the page; `in` the section it belongs to, `of` the kind that its
/// first gap is the id of (`named`: the first gap names the kind, the second is the id). Rows are tried in their order. A
/// page without a row does not compile.
macro_rules! pages {
    ($($address:literal [$($gap:ident)*] ($($page:tt)+) in $section:ident $(of $of:ident)?;)+) => {
        const ADDRESSES: &[&str] = &[$($address),+];

        fn known(words: &[&str]) -> Option<Page> {
            $(
                let like_this = || {
                    let [$($gap),*] = gaps($address, words)?;
                    $(let $gap = Part::read(&$gap)?;)*
                    Some($($page)+)
                };
                if let Some(page) = like_this() {
                    return Some(page);
                }
            )+
            None
        }

        #[allow(unused_variables)]
        impl Page {
            /// The section it belongs to; none of a page that nobody made.
            pub fn section(&self) -> Option<Section> {
                match self {
                    $($($page)+ => Some(Section::$section),)+
                    Page::FromLabel(_) => Some(Section::Scan),
                    Page::Lost(_) => None,
                }
            }

            /// The one record it is about, if it is about one: without that, all it can do is say so.
            pub fn about(&self) -> Option<Thing> {
                match self {
                    $($($page)+ => about!([$($of)?] [$($gap)*]),)+
                    Page::FromLabel(_) | Page::Lost(_) => None,
                }
            }
        }

        impl fmt::Display for Page {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match self {
                    $($($page)+ => write(f, $address, &[$(Part::text($gap)),*]),)+
                    Page::FromLabel(raw) | Page::Lost(raw) => f.write_str(raw),
                }
            }
        }
    };
}

pages! {
    "/" [] (Page::Rounds) in Rounds;
    "/scan" [] (Page::Scan) in Scan;
    "/walk" [] (Page::Walks) in Scan;
    "/walk/*" [what] (Page::Walk(what)) in Scan;
    "/boxes" [] (Page::Boxes) in Boxes;
    "/box/*" [id] (Page::Box(id)) in Boxes of Filling;
    "/box/*/*" [id act] (Page::BoxAct(id, act)) in Boxes of Filling;
    "/pull" [] (Page::Pull(PullFrom::Nothing)) in Boxes;
    "/pull/label/*" [id] (Page::Pull(PullFrom::Blank(id))) in Boxes;
    "/pull/clutch/*" [id] (Page::Pull(PullFrom::Clutch(id))) in Boxes of Clutch;
    "/pull/dam/*" [id] (Page::Pull(PullFrom::Dam(id))) in Boxes of Animal;
    "/clutch/*" [id] (Page::Clutch(id)) in Boxes of Clutch;
    "/clutch/*/edit" [id] (Page::ClutchEdit(id)) in Boxes of Clutch;
    "/clutch/*/later" [id] (Page::EggsLater(id)) in Boxes of Clutch;
    "/clutch/*/measure" [id] (Page::Measure(id)) in Boxes of Clutch;
    "/animals" [] (Page::Animals) in Animals;
    "/animals/many" [] (Page::Many) in Animals;
    "/animal/new" [] (Page::AnimalNew) in Animals;
    "/animal/*" [id] (Page::Animal(id)) in Animals of Animal;
    "/animal/*/edit" [id] (Page::AnimalEdit(id)) in Animals of Animal;
    "/animal/*/photos" [id] (Page::Photos(id)) in Animals of Animal;
    "/animal/*/swap" [id] (Page::Swap(id)) in Animals of Animal;
    "/pairings" [] (Page::Pairings) in Pairings;
    "/breeders" [] (Page::Breeders) in Pairings;
    "/pairing/new" [] (Page::PairingNew(None)) in Pairings;
    "/pairing/new/*" [with] (Page::PairingNew(Some(with))) in Pairings of Animal;
    "/pairing/*" [id] (Page::Pairing(id)) in Pairings of Pairing;
    "/pairing/*/edit" [id] (Page::PairingEdit(id)) in Pairings of Pairing;
    "/correct/*/*" [kind id] (Page::Correct(kind, id)) in Daybook of named;
    "/doubles" [] (Page::Doubles) in Rounds;
    "/animal/*/meal" [id] (Page::Meal(id)) in Animals of Animal;
    "/animal/*/leave" [id] (Page::Leave(id)) in Animals of Animal;
    "/animal/*/papers" [id] (Page::Papers(id)) in Animals of Animal;
    "/care" [] (Page::Care) in Care;
    "/animal/*/treat" [id] (Page::Treat(id)) in Care of Animal;
    "/treatment/*" [id] (Page::Treatment(id)) in Care of Treatment;
    "/treatment/*/edit" [id] (Page::TreatmentEdit(id)) in Care of Treatment;
    "/apart/*/*" [kind id] (Page::Apart(kind, id)) in Care of named;
    "/quarantine/*" [id] (Page::Quarantine(id)) in Care of Quarantine;
    "/clean/*/*" [kind id] (Page::Clean(kind, id)) in Care of named;
    "/cooling" [] (Page::Cooling(None)) in Cooling;
    "/cooling/*" [id] (Page::Cooling(Some(id))) in Cooling of Cooling;
    "/babies" [] (Page::Babies(None)) in Young;
    "/babies/*" [clutch] (Page::Babies(Some(clutch))) in Young of Clutch;
    "/feed/*" [place] (Page::Feed(place)) in Places of Place;
    "/wishes" [] (Page::Wishes) in Wishes;
    "/sale" [] (Page::ForSale) in Young;
    "/costs" [] (Page::Costs) in More;
    "/contact/*" [id] (Page::Contact(id)) in Wishes of Contact;
    "/ahead" [] (Page::Ahead) in Ahead;
    "/egg/*" [id] (Page::Egg(id)) in Boxes of Egg;
    "/found" [] (Page::Found(None)) in Boxes;
    "/found/*" [dam] (Page::Found(Some(dam))) in Boxes of Animal;
    "/places" [] (Page::Places) in Places;
    "/where" [] (Page::WhereIs) in WhatIsWhere;
    "/where/sheet" [] (Page::BarnSheet) in WhatIsWhere;
    "/place/new" [] (Page::PlaceNew) in Places;
    "/place/*" [id] (Page::Place(id)) in Places of Place;
    "/place/*/log" [id] (Page::PlaceLog(id)) in Places of Place;
    "/species" [] (Page::SpeciesAll) in Species;
    "/species/*" [id] (Page::Species(id)) in Species;
    "/season" [] (Page::Season) in Season;
    "/season/back" [] (Page::SeasonPart(SeasonPart::Back)) in LookBack;
    "/season/*" [part] (Page::SeasonPart(part)) in Season;
    "/label/*/*" [kind id] (Page::Label(kind, id)) in Labels of named;
    "/genes/*" [animal] (Page::Genes(animal)) in Animals of Animal;
    "/outcomes/*/*" [dam sire] (Page::Outcomes(dam, sire)) in Pairings;
    "/looks/*" [clutch] (Page::Looks(clutch)) in Young of Clutch;
    "/plan/*" [species] (Page::Plan(species)) in Pairings;
    "/traits" [] (Page::Traits(None)) in Traits;
    "/traits/*" [species] (Page::Traits(Some(species))) in Traits;
    "/trait/*" [key] (Page::Trait(key)) in Traits of Trait;
    "/trait/new/*" [species] (Page::TraitNew(species)) in Traits;
    "/labels" [] (Page::PrintLabels) in Labels;
    "/labels/*" [things] (Page::Labels(things)) in Labels;
    "/printer" [] (Page::Printer) in Labels;
    "/blank-labels" [] (Page::BlankLabels) in Labels;
    "/daybook" [] (Page::Daybook) in Daybook;
    "/sheet" [] (Page::Sheet) in Bundles;
    "/bundles" [] (Page::Bundles) in Bundles;
    "/bundles/shared" [] (Page::BundleShared) in Bundles;
    "/share" [] (Page::Share) in Bundles;
    "/light" [] (Page::Light) in Bundles;
    "/join/*" [text] (Page::Join(text)) in Bundles;
    "/more" [] (Page::More) in More;
    "/guide" [] (Page::Guide) in More;
    "/guide/*" [part] (Page::GuidePart(part)) in More;
    "/settings" [] (Page::Settings) in Settings;
}

/// What stands in the gaps of an address like this one; `None` when it is not like it.
fn gaps<const N: usize>(like: &str, words: &[&str]) -> Option<[String; N]> {
    let wanted = || like.split('/').filter(|word| !word.is_empty());
    let fits = |(wanted, word): (&str, &&str)| wanted == "*" || wanted == *word;
    if wanted().count() != words.len() || !wanted().zip(words).all(fits) {
        return None;
    }
    let filled: Vec<String> =
        wanted().zip(words).filter(|(wanted, _)| *wanted == "*").map(|(_, word)| decoded(word)).collect();
    filled.try_into().ok()
}

fn write(f: &mut fmt::Formatter<'_>, address: &str, gaps: &[&str]) -> fmt::Result {
    let mut gaps = gaps.iter();
    for (at, piece) in address.split('*').enumerate() {
        if at > 0 {
            encoded(gaps.next().unwrap_or(&""), f)?;
        }
        f.write_str(piece)?;
    }
    Ok(())
}

/// What a browser leaves as it is between two slashes of an address; all else is written as bytes (`%2F`).
fn stays(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || b"-_.~,:;@!$&'()*+=".contains(&byte)
}

fn encoded(text: &str, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    text.bytes().try_for_each(|byte| match stays(byte) {
        true => write!(f, "{}", byte as char),
        false => write!(f, "%{byte:02X}"),
    })
}

/// What is not written as [`encoded`] does is taken as it stands.
fn decoded(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let [first, after @ ..] = rest {
        let hex = |at: usize| after.get(at).and_then(|byte| (*byte as char).to_digit(16));
        match (first, hex(0), hex(1)) {
            (b'%', Some(high), Some(low)) => {
                bytes.push((high * 16 + low) as u8);
                rest = &after[2..];
            }
            _ => {
                bytes.push(*first);
                rest = after;
            }
        }
    }
    String::from_utf8(bytes).unwrap_or_else(|_| text.to_owned())
}

impl Page {
    /// From `location.hash`, with or without its `#`. Anything unknown is [`Page::Lost`], never an error.
    pub fn read(hash: &str) -> Self {
        let hash = hash.trim_start_matches('#');
        let words: Vec<&str> = hash.split('/').filter(|word| !word.is_empty()).collect();
        match (known(&words), words.as_slice()) {
            (Some(page), _) => page,
            (None, ["rounds"]) => Self::Rounds,
            (None, [kind, _, ..]) if kind.len() == 1 => Self::FromLabel(hash.to_owned()),
            _ => Self::Lost(hash.to_owned()),
        }
    }

    /// The address of every page there is: `/box/*`, `/box/*/candle`; a `*` stands for an id.
    pub fn addresses() -> Vec<String> {
        let words = [Walking::WORDS, SeasonPart::WORDS, GuidePart::WORDS, BoxAct::WORDS].concat();
        let mut all = BTreeSet::new();
        for address in ADDRESSES {
            match (Page::read(address), address.strip_suffix('*')) {
                // What takes no id there takes some of the words.
                (Page::Lost(_), Some(start)) => {
                    let filled = words.iter().map(|word| format!("{start}{word}"));
                    all.extend(filled.filter(|address| !matches!(Page::read(address), Page::Lost(_))));
                }
                _ => {
                    all.insert((*address).to_owned());
                }
            }
        }
        all.into_iter().collect()
    }

    /// The page that prints labels of these things: fillings, animals, places.
    pub fn labels_of(things: &[book::Thing]) -> Self {
        let things: Vec<String> = things.iter().map(ToString::to_string).collect();
        Self::Labels(things.join(","))
    }

    /// What labels are asked for by such an address, `kind:ID` with commas between, and what of it names no thing.
    pub fn asked_for(things: &str) -> (Vec<book::Thing>, Vec<String>) {
        let (mut asked, mut unread) = (Vec::new(), Vec::new());
        for text in things.split(',').map(str::trim).filter(|text| !text.is_empty()) {
            match text.parse() {
                Ok(thing) => asked.push(thing),
                Err(_) => unread.push(text.to_owned()),
            }
        }
        (asked, unread)
    }

    /// As the address holds it, with the `#`.
    pub fn href(&self) -> String {
        format!("#{self}")
    }
}
