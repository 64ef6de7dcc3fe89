//! Boxes, what was in them from–to, and moves.

use super::Record;
use crate::fields::Fields;
use crate::ids::{BoxId, FillingId, Kind, MoveId, Thing, Where};
use crate::words::Mix;
use trade::units::Mass;
use trade::when::When;

/// A physical box, reused.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxThing {
    pub id: BoxId,
    pub name: Option<String>,
    pub note: Option<String>,
}

impl Record for BoxThing {
    const KIND: Kind = Kind::Box;
    fn read(f: &mut Fields<'_>) -> Self {
        BoxThing { id: f.id(), name: f.text("name"), note: f.text("note") }
    }
}

/// One use of a box. What keepers call "the box" while eggs are in it; its label carries this id.
#[derive(Clone, Debug, PartialEq)]
pub struct Filling {
    pub id: FillingId,
    /// The physical box, where the barn tells its boxes apart.
    pub container: Option<BoxId>,
    /// A medium's key, or its name.
    pub medium: Option<String>,
    pub mix: Option<Mix>,
    /// Dry medium.
    pub dry: Option<Mass>,
    /// Water mixed in.
    pub water: Option<Mass>,
    /// Closed mass at set-up, eggs in and lid on.
    pub closed: Option<Mass>,
    /// Set.
    pub from: Option<When>,
    /// Emptied.
    pub to: Option<When>,
    pub note: Option<String>,
}

impl Record for Filling {
    const KIND: Kind = Kind::Filling;
    fn read(f: &mut Fields<'_>) -> Self {
        Filling {
            id: f.id(),
            container: f.link("box"),
            medium: f.text("medium"),
            mix: f.word("mix"),
            dry: f.mass("dry_mg"),
            water: f.mass("water_mg"),
            closed: f.mass("closed_mg"),
            from: f.when("from"),
            to: f.when("to"),
            note: f.text("note"),
        }
    }
}

/// Things brought somewhere. Where a thing is follows from its moves by when they happened.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    pub id: MoveId,
    pub things: Vec<Thing>,
    pub to: Option<Where>,
    pub when: Option<When>,
    pub note: Option<String>,
}

impl Record for Move {
    const KIND: Kind = Kind::Move;
    fn read(f: &mut Fields<'_>) -> Self {
        Move { id: f.id(), things: f.things("things"), to: f.place("to"), when: f.when("when"), note: f.text("note") }
    }
}
