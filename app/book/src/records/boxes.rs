//! Boxes, what was in them from–to, and moves.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{BoxId, ClutchId, FillingId, MoveId, Thing, Where};
use crate::index::{Add, Link};
use crate::words::Mix;
use trade::units::Mass;
use trade::when::When;

record! {
    /// A physical box, reused.
    BoxThing BoxId {
        name: Option<String> = "name",
        note: Option<String> = "note" long,
    }
    over Over::Never;
    found by id, name;
    also {
        fn called(&self, _book: &Book) -> Option<String> {
            self.name.clone()
        }
    }
}

record! {
    /// One use of a box. What keepers call "the box" while eggs are in it; its label carries this id. Or a nest: eggs left
    /// with their mother, who lies round them; it has no box, no water and no label, and stands where she did.
    Filling FillingId {
        /// The physical box, where the barn tells its boxes apart.
        container: Option<BoxId> = "box",
        /// A medium's key, or its name.
        medium: Option<String> = "medium",
        mix: Option<Mix> = "mix",
        /// Dry medium.
        dry: Option<Mass> = "dry_mg",
        /// Water mixed in.
        water: Option<Mass> = "water_mg",
        /// Closed mass at set-up, eggs in and lid on.
        closed: Option<Mass> = "closed_mg" => "closed mass",
        /// Set.
        from: Option<When> = "from",
        /// Emptied.
        to: Option<When> = "to",
        note: Option<String> = "note" long,
        /// Of a nest: the clutch that was left, counted or not.
        brooded: Option<ClutchId> = "brooded" => "left with the mother",
    }
    over Over::With(|book, id| book.clutches_in(&id.into()).iter().map(|clutch| clutch.id.clone()).collect());
    found by id;
    link Fillings { container by from }
        /// Uses of a physical box, newest first.
        fillings_of_box(BoxId);
    link Nests { brooded by from }
        /// Nests of a clutch record, newest first.
        nests_of(ClutchId);
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let clutches = book.clutches_in(&self.id);
            let numbers: Vec<String> = clutches.into_iter().map(|clutch| book.clutch_number(&clutch.id)).collect();
            let numbers = (!numbers.is_empty()).then(|| numbers.join(" + "))?;
            Some(if self.is_nest() { format!("{numbers} with {}", book.mothers_of(self)) } else { numbers })
        }

        fn is_live(&self) -> bool {
            self.to.is_none()
        }
    }
}

impl Filling {
    /// Eggs left with their mother, in no box.
    pub fn is_nest(&self) -> bool {
        self.brooded.is_some()
    }
}

record! {
    /// Things brought somewhere. Where a thing is follows from its moves by when they happened.
    Move MoveId {
        things: Vec<Thing> = "things",
        to: Option<Where> = "to",
        when: Option<When> = "when",
        note: Option<String> = "note" long,
    }
    over Over::Never;
    seen things at when;
    link Moves { things by when }
        /// Newest first.
        moves(Thing);
    also {
        fn more_links(&self, add: &mut Add<'_>) {
            if let Some(Where::Filling(filling)) = &self.to {
                add(Link::MovedIn, filling.as_str(), self.when);
            }
        }

        fn brings(&self) -> Vec<Thing> {
            self.things.clone()
        }
    }
}
