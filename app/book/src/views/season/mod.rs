//! The season ahead as its page shows it: what each clutch and each pairing may give, drawn together by
//! [`trade::forecast`].

mod expected;
mod groups;
mod learned;
mod needs;
mod wishes;

pub(super) use learned::first_meal;
pub use needs::{Frees, NeedRow, NeedWhat, Needs, Pace, ShelfRow, needs, shelf_key};
pub use wishes::{WeighedWish, weighed_wishes};

use crate::book::Book;
use crate::ids::*;
use crate::views::since::Since;
use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta};
use learned::Learned;
use std::borrow::Cow;
use trade::forecast::{Eggs, Group, season};
use trade::luck::Luck;
use trade::units::Temp;
use trade::window::{Range, Refusal};

/// Weeks looked ahead: from a pairing of today to the first meals of its young.
pub const WEEKS: usize = 26;
/// The seed of every season: the same answer on every device.
const SEED: u64 = 20;

/// What a group of eggs comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    pub of: Thing,
    /// A clutch's number, or the pair's names.
    pub name: String,
    /// A species record's id or a shipped key, and its name.
    pub species: String,
    pub species_name: String,
    /// The room its shelf is in, or the outermost place.
    pub room: Option<PlaceId>,
    /// `Bel × Moss`; empty when neither parent is known.
    pub parents: String,
    /// When it was laid or found, of what is.
    pub since: Option<Since>,
    /// Chance that there are eggs at all: 1 for what is laid.
    pub chance: f64,
}

/// Which part of the barn.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Scope {
    #[default]
    All,
    Species(String),
    Room(PlaceId),
    Parents(String),
}

impl Scope {
    fn holds(&self, source: &Source) -> bool {
        match self {
            Scope::All => true,
            Scope::Species(key) => source.species == *key,
            Scope::Room(room) => source.room.as_ref() == Some(room),
            Scope::Parents(parents) => source.parents == *parents,
        }
    }
}

/// Changes in thought only; nothing of it is written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WhatIf {
    /// Places put to another temperature from now on.
    pub set: Vec<(PlaceId, Temp)>,
    /// Pairings begun so many days later (earlier: negative).
    pub later: Vec<(PairingId, i64)>,
}

impl WhatIf {
    pub fn is_empty(&self) -> bool {
        self.set.is_empty() && self.later.is_empty()
    }
}

/// A season drawn, and what makes it: the season's group numbers are places in `by`.
#[derive(Clone, Debug)]
pub struct Drawn {
    pub season: trade::forecast::Season,
    pub by: Vec<Source>,
}

/// The season ahead.
#[derive(Clone, Debug)]
pub struct Season {
    pub now: NaiveDateTime,
    /// Eggs that are laid, and babies that are out.
    pub laid: Drawn,
    /// Pairs that have not laid yet.
    pub paired: Drawn,
    /// Left out, and what would bring them in.
    pub left: Vec<(Source, Refusal)>,
}

/// When a clutch is likely to begin.
#[derive(Clone, Debug, PartialEq)]
pub struct Begins {
    pub name: String,
    pub since: Since,
    pub first: Range,
    /// Days with the chance of each.
    pub days: Vec<(NaiveDate, f64)>,
}

/// What a page can choose from: all species (key, name), rooms and pairs that take part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choices {
    pub species: Vec<(String, String)>,
    pub rooms: Vec<(PlaceId, String)>,
    pub parents: Vec<String>,
}

/// All groups of the barn, before they are drawn. Kept by a page that asks for several scopes.
#[derive(Clone, Debug)]
pub struct Gathered {
    now: NaiveDateTime,
    laid: Vec<(Source, Group)>,
    paired: Vec<(Source, Group)>,
    left: Vec<(Source, Refusal)>,
    luck: Luck,
}

/// Gathers what may come.
pub fn gather(book: &Book, now: NaiveDateTime, what_if: &WhatIf) -> Gathered {
    let learned = Learned::of(book, now);
    let (laid, mut left) = groups::laid(book, now, &learned, what_if);
    let (paired, more) = expected::paired(book, now, &learned, what_if);
    left.extend(more);
    Gathered { now, laid, paired, left, luck: learned.luck().clone() }
}

impl Gathered {
    /// Draws a part of the barn. What comes of a part is the same in every scope that holds it.
    pub fn draw(&self, scope: &Scope) -> Season {
        let left = self.left.iter().filter(|(source, _)| scope.holds(source)).cloned().collect();
        let (laid, paired) = (self.drawn(self.laid.iter(), scope), self.drawn(self.paired.iter(), scope));
        Season { now: self.now, laid, paired, left }
    }

    /// Draws what is laid and what may be laid as one: for sums, needs and wishes.
    pub fn both(&self, scope: &Scope) -> Drawn {
        self.drawn(self.laid.iter().chain(&self.paired), scope)
    }

    /// The same where that season is drawn already: of what is only laid it is that.
    pub fn both_beside<'a>(&self, season: &'a Season, scope: &Scope) -> Cow<'a, Drawn> {
        if season.paired.by.is_empty() { Cow::Borrowed(&season.laid) } else { Cow::Owned(self.both(scope)) }
    }

    fn drawn<'a>(&self, part: impl Iterator<Item = &'a (Source, Group)>, scope: &Scope) -> Drawn {
        let (by, groups): (Vec<Source>, Vec<Group>) = part.filter(|(source, _)| scope.holds(source)).cloned().unzip();
        Drawn { season: season(&groups, &self.luck, self.now, WEEKS, SEED), by }
    }

    /// Pairings that no eggs have come of, with the pair's names.
    pub fn pairings(&self) -> Vec<(PairingId, String)> {
        let sources = self.paired.iter().map(|(source, _)| source).filter(|source| source.of.kind == Kind::Pairing);
        sources.map(|source| (PairingId::new(&*source.of.id), source.name.clone())).collect()
    }

    /// The Monday that the first week begins with.
    pub fn monday(&self) -> NaiveDate {
        let today = self.now.date();
        today - TimeDelta::days(i64::from(today.weekday().num_days_from_monday()))
    }

    /// When each laid clutch that still has eggs to pip is likely to begin, soonest first: the season's strip.
    pub fn strip(&self, scope: &Scope) -> Vec<Begins> {
        let has_eggs = |group: &Group| !matches!(&group.eggs, Eggs::Seen { eggs, .. } if eggs.is_empty());
        let mut rows: Vec<Begins> = self
            .laid
            .iter()
            .filter(|(source, group)| scope.holds(source) && has_eggs(group) && group.pipped.is_empty())
            .filter_map(|(source, group)| {
                let (first, days) = (group.timing.first_pip(), group.timing.days());
                Some(Begins { name: source.name.clone(), since: source.since?, first, days })
            })
            .collect();
        rows.sort_by_key(|row| row.first.median);
        rows
    }

    /// What can be chosen.
    pub fn choices(&self, book: &Book) -> Choices {
        let mut choices = Choices::default();
        let sources = self.laid.iter().chain(&self.paired).map(|(source, _)| source);
        for source in sources.chain(self.left.iter().map(|(source, _)| source)) {
            let species = (source.species.clone(), source.species_name.clone());
            if !choices.species.contains(&species) {
                choices.species.push(species);
            }
            if let Some(room) = &source.room
                && !choices.rooms.iter().any(|(known, _)| known == room)
            {
                choices.rooms.push((room.clone(), book.short_name(&room.thing())));
            }
            if !source.parents.is_empty() && !choices.parents.contains(&source.parents) {
                choices.parents.push(source.parents.clone());
            }
        }
        choices.species.sort_by(|a, b| a.1.cmp(&b.1));
        choices.rooms.sort_by(|a, b| a.1.cmp(&b.1));
        choices.parents.sort();
        choices
    }
}

/// `Bel × Moss`, with what is not known left out.
fn cross(dams: &[String], sires: &[String]) -> String {
    let side = |names: &[String]| if names.is_empty() { "?".to_owned() } else { names.join(" / ") };
    if dams.is_empty() && sires.is_empty() { String::new() } else { format!("{} × {}", side(dams), side(sires)) }
}

/// The room a place is in, else its outermost place.
fn room_of(book: &Book, place: &PlaceId) -> Option<PlaceId> {
    book.path(place).first().map(|place| place.id.clone())
}

/// Days since 1970.
fn day_number(at: NaiveDateTime) -> f64 {
    at.and_utc().timestamp() as f64 / 86_400.0
}

fn days_between(from: NaiveDateTime, to: NaiveDateTime) -> f64 {
    (to - from).num_minutes() as f64 / TimeDelta::days(1).num_minutes() as f64
}
