//! How a box was set, put right later; what came about with its setting goes along.

use super::boxes::BoxSetup;
use super::row::Row;
use super::{Act, EGGS, Mint, Refusal, draft, fresh, in_order, not_future};
use crate::book::Book;
use crate::ids::*;
use crate::order::Order;
use crate::records::{BoxThing, Egg, Filling, Move, TakenOut};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::when::When;

/// How a box was set, corrected: medium, mix, masses, physical box, note; only what differs is written.
#[derive(Clone, Debug)]
pub struct BoxEdited {
    pub filling: FillingId,
    /// Its `filling`, `shelf` and `eggs` are not looked at: those are moves. Nor is its `container`: see `name`.
    pub setup: BoxSetup,
    /// The name of the physical box: of one that is known, or of a new one. Empty where the barn does not tell them apart.
    pub name: String,
    /// When it was set. It stood on its first shelf from then on, with the eggs that were brought into it then.
    pub from: Option<When>,
    /// When it was emptied; `None`: it is in use, or again.
    pub to: Option<When>,
}

impl BoxEdited {
    /// As it stands in the book.
    pub fn of(book: &Book, filling: &FillingId) -> Option<BoxEdited> {
        let f = book.filling(filling)?;
        let name = f.container.as_ref().and_then(|id| book.container(id)?.name.clone()).unwrap_or_default();
        let setup = BoxSetup {
            medium: f.medium.clone().unwrap_or_default(),
            mix: f.mix,
            dry: f.dry,
            water: f.water,
            closed: f.closed,
            note: f.note.clone().unwrap_or_default(),
            ..BoxSetup::default()
        };
        Some(BoxEdited { filling: filling.clone(), setup, name, from: f.from, to: f.to })
    }
}

impl Act for BoxEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let filling = book.filling(&self.filling).ok_or_else(|| Refusal::NoSuch { thing: self.filling.thing() })?;
        for (what, when) in [("setting the box", self.from), ("emptying", self.to)] {
            when.map_or(Ok(()), |when| not_future(what, when, now))?;
        }
        in_order(("setting the box", self.from), ("emptying", self.to))?;
        let name = self.name.trim();
        let known = book.boxes().into_iter().find(|other| other.name.as_deref() == Some(name)).map(|other| &other.id);
        let mut sets = Vec::new();
        let container = match known {
            _ if name.is_empty() => None,
            Some(id) => Some(id.clone()),
            None => {
                let id = fresh(book, mint);
                sets.push(Row::new().with(BoxThing::name, name).create(book, &id));
                Some(BoxId::new(id))
            }
        };
        // Its own eggs do not stand in the way of the box it is in already, nor anybody's of a new one.
        let again = filling.to.is_some() && self.to.is_none();
        let other = container.clone().filter(|id| known.is_some() && (again || filling.container.as_ref() != Some(id)));
        BoxSetup { shelf: None, container: other, ..self.setup.clone() }.check(book)?;
        let row = BoxSetup { container, ..self.setup.clone() }
            .row()
            .with(Filling::from, self.from)
            .with(Filling::to, self.to);
        sets.extend(row.change(book, self.filling.as_str()));
        if self.from != filling.from {
            // A box came into the book on the day it was set: a barn that knew the day does not forget it.
            let from = self.from.ok_or(Refusal::Missing { what: "the day it was set" })?;
            let with_it = SetTogether::of(book, filling);
            with_it.check(book, filling, from)?;
            sets.extend(with_it.redated(book, from));
        }
        draft("BoxEdited", sets)
    }
}

/// What one act wrote with a box's setting, and has happened when that has: the box brought to its first shelf, eggs of other
/// boxes brought into it, and their weight booked out of those. What was noted at the same moment by another act stays.
struct SetTogether<'a> {
    moves: Vec<&'a Move>,
    taken: Vec<&'a TakenOut>,
    /// Those first set in it, and those brought.
    eggs: Vec<&'a Egg>,
}

impl<'a> SetTogether<'a> {
    fn of(book: &'a Book, filling: &'a Filling) -> SetTogether<'a> {
        let set = book.wrote(&filling.id.thing(), "from");
        let same = |when: Option<When>, wrote: Order| when == filling.from && wrote == set;
        let with_it = |mv: &&Move| same(mv.when, book.wrote(&mv.id.thing(), "when"));
        let mut all = SetTogether {
            moves: book.moves(&filling.id.thing()).filter(with_it).collect(),
            taken: vec![],
            eggs: vec![],
        };
        let here = Some(Where::Filling(filling.id.clone()));
        for egg in book.eggs_ever_in(&filling.id) {
            let brought = book.moves(&egg.id.thing()).filter(with_it).find(|mv| mv.to == here);
            if brought.is_some() || egg.filling.as_ref() == Some(&filling.id) {
                all.eggs.push(egg);
            }
            all.moves.extend(brought.filter(|mv| all.moves.iter().all(|other| other.id != mv.id)));
            let stood = book.moves(&egg.id.thing()).filter_map(|mv| match &mv.to {
                Some(Where::Filling(other)) => Some(other),
                _ => None,
            });
            for other in stood.chain(&egg.filling) {
                let out = book.taken_out(other).filter(|taken| {
                    taken.what.as_deref() == Some(EGGS) && same(taken.when, book.wrote(&taken.id.thing(), "when"))
                });
                all.taken
                    .extend(out.filter(|taken| all.taken.iter().all(|other| other.id != taken.id)).collect::<Vec<_>>());
            }
        }
        all
    }

    /// Refuses a day before its eggs were laid, or on the other side of another move of the box or of those eggs: they
    /// would stand elsewhere today. What was out of order before is not this edit's to refuse.
    fn check(&self, book: &Book, filling: &Filling, from: When) -> Result<(), Refusal> {
        for egg in &self.eggs {
            let laid = ("laying", book.laid(egg));
            if in_order(laid, ("setting the box", filling.from)).is_ok() {
                in_order(laid, ("setting the box", Some(from)))?;
            }
        }
        // What was first set in this box came by no move: it was here until its first one.
        for egg in self.eggs.iter().filter(|egg| egg.filling.as_ref() == Some(&filling.id)) {
            // Moves come newest first.
            let left = book.moves(&egg.id.thing()).last().and_then(|mv| mv.when);
            if left.is_some_and(|left| left.earliest() <= from.earliest()) {
                return Err(Refusal::OutOfOrder { first: "a later move", then: "setting the box" });
            }
        }
        for mv in &self.moves {
            for thing in &mv.things {
                let mut later = true;
                for other in book.moves(thing) {
                    if other.id == mv.id {
                        later = false;
                        continue;
                    }
                    let Some(when) = other.when else { continue };
                    // Of two at one moment, the one written last counts, and this one is written anew.
                    if later && when.earliest() <= from.earliest() {
                        return Err(Refusal::OutOfOrder { first: "a later move", then: "setting the box" });
                    }
                    if !later && when.earliest() > from.earliest() {
                        return Err(Refusal::OutOfOrder { first: "setting the box", then: "an earlier move" });
                    }
                }
            }
        }
        Ok(())
    }

    fn redated(&self, book: &Book, from: When) -> Vec<DraftSet> {
        let moved = |mv: &&Move| Row::new().with(Move::when, from).change(book, mv.id.as_str());
        let taken = |taken: &&TakenOut| Row::new().with(TakenOut::when, from).change(book, taken.id.as_str());
        self.moves.iter().filter_map(moved).chain(self.taken.iter().filter_map(taken)).collect()
    }
}
