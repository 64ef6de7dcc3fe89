//! What a label says. Every string comes worded, in the keeper's language and units; what is typed here is
//! which part of the label it is, since that decides its size, its place, and what goes first when there
//! is no room.

use crate::Code;

/// Everything to print on one label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LabelText {
    pub face: Face,
    /// The text of the square code ([`crate::payload::Link::text`]).
    pub link: String,
    /// Printed beside it, to be typed where no camera reads.
    pub code: Code,
    /// The word at the head of the pencil strip ("notes:"); `None` for no strip.
    pub notes: Option<String>,
}

/// The label's writing, by what it stands on.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::large_enum_variant, reason = "few are alive at a time, and the large one is the usual one")]
pub enum Face {
    /// An egg box.
    Clutch(Clutch),
    /// An enclosure, a baby tub or a place: its name large, then lines in order of weight.
    Titled { title: String, lines: Vec<Line> },
    /// Printed ahead: words with a line to write on after each ("no.", "laid", "eggs").
    Blank { pencil: Vec<String> },
}

impl Face {
    /// What a [`Part::Line`] says.
    pub fn line(&self, number: usize) -> Option<&str> {
        match self {
            Self::Clutch(_) => None,
            Self::Titled { lines, .. } => lines.get(number).map(|line| match line {
                Line::Strong(text) | Line::Plain(text) => text.as_str(),
                Line::Fact(fact) => fact.value.as_str(),
            }),
            Self::Blank { pencil } => pencil.get(number).map(String::as_str),
        }
    }
}

/// The egg box's label, in the order printed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Clutch {
    pub number: String,
    pub species: String,
    /// Printed instead of `species` where not even a shortened name would be legible.
    pub species_short: Option<String>,
    pub morph: Option<String>,
    /// Of each clutch in the box.
    pub parents: Vec<Parents>,
    pub laid: Option<Fact>,
    pub eggs: Option<Fact>,
    pub look_from: Option<Fact>,
    pub fill_to: Option<Fact>,
}

/// A clutch's dam and sire: "Bel", or several who may be it, joined by the caller.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Parents {
    pub dam: Option<String>,
    pub sire: Option<String>,
}

/// A word, what it says, and an aside: "LAID" "13 Apr" "±1 d".
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fact {
    pub word: String,
    pub value: String,
    pub aside: String,
}

impl Fact {
    pub fn new(word: &str, value: &str, aside: &str) -> Self {
        Self { word: word.into(), value: value.into(), aside: aside.into() }
    }
}

/// A line under a title.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// In bold: the species and morph of an animal.
    Strong(String),
    Plain(String),
    Fact(Fact),
}

/// A part of a label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The clutch number or the title.
    Title,
    Species,
    Morph,
    Parents,
    Laid,
    Eggs,
    LookFrom,
    FillTo,
    /// A line of a titled label or a pencil line of a blank one, counted from 0.
    Line(usize),
    Notes,
    Square,
    Code,
}

/// What happened to a part for which there was no room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lack {
    /// Not on the label.
    LeftOut,
    /// Cut short with "…", or the short form in its place.
    Shortened,
}
