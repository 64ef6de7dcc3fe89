//! Lay dates that nobody saw, told by what candling shows (`trade::told`): gathered here from the records.

use super::{Legs, Stay};
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::records::*;
use crate::words::Seen;
use chrono::NaiveDateTime;
use std::rc::Rc;
use trade::told::{KNOWN_DAYS, Laying, Mark, Marks, Passing, Told, noted};
use trade::when::When;

/// A clutch with a known lay date, and the marks that its eggs came to show.
#[derive(Clone, Debug, PartialEq)]
struct Dated {
    species: String,
    laid: When,
    stays: Vec<Stay>,
    passings: Vec<Passing>,
}

/// What one clutch's candlings teach, of all its records: of its first box that shows any mark, since boxes of one clutch
/// share its pace. Nothing for another record of it than the first.
#[derive(Clone, PartialEq, Eq, Hash)]
struct DatedOf(ClutchId);

impl Question for DatedOf {
    type Answer = Option<Dated>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let joined = book.same_clutch(&self.0);
        let first = joined.first().is_some_and(|first| first.id == self.0);
        same_or(before, first.then(|| book.dated(&joined)).flatten())
    }
}

/// At which share of its development a species' eggs are noted to show each mark.
#[derive(Clone, PartialEq, Eq, Hash)]
struct MarksOf(String);

impl Question for MarksOf {
    type Answer = Marks;

    fn answer(&self, book: &Book, before: Option<&Rc<Marks>>) -> Rc<Marks> {
        let mut seen = Vec::new();
        for clutch in book.all_clutches() {
            let dated = book.derived(&DatedOf(clutch.id.clone()));
            if let Some(dated) = dated.as_ref().as_ref().filter(|dated| dated.species == self.0) {
                let legs = book.legs(&dated.stays, &self.0);
                seen.extend(noted(dated.laid, &legs.as_legs(), &dated.passings));
            }
        }
        same_or(before, Marks::of(&seen))
    }
}

impl Book {
    /// What is known of an egg's laying where nobody saw it. `None` where the lay date is known, or nothing is.
    fn unseen_laying(&self, egg: &Egg) -> Option<Laying> {
        match self.laid_known(egg) {
            Some(laid) => (!is_close(laid)).then_some(Laying::Between(laid)),
            None => self.laid(egg).map(Laying::Found),
        }
    }

    /// When an egg was laid, where somebody knows it to [`KNOWN_DAYS`].
    pub(crate) fn laid_closely(&self, egg: &Egg) -> Option<When> {
        self.laid_known(egg).filter(|laid| is_close(*laid))
    }

    /// When one of some eggs of a clutch that share a box was laid, told by the marks they came to show.
    pub(super) fn lay_told(&self, egg: &Egg, eggs: &[&Egg], species: &str, legs: &Legs) -> Option<Told> {
        let laying = self.unseen_laying(egg)?;
        let passings = self.passings(eggs);
        if species.is_empty() || passings.is_empty() {
            return None;
        }
        self.derived(&MarksOf(species.to_owned())).told(laying, &legs.as_legs(), &passings)
    }

    fn dated(&self, joined: &[&Clutch]) -> Option<Dated> {
        let species = joined.first().and_then(|clutch| self.clutch_species(clutch)).filter(|key| !key.is_empty())?;
        let eggs: Vec<&Egg> = joined.iter().flat_map(|clutch| self.eggs_of(&clutch.id)).collect();
        eggs.iter().find_map(|first| {
            let laid = self.laid_closely(first)?;
            let together = |egg: &&Egg| egg.filling == first.filling && self.laid_closely(egg) == Some(laid);
            let together: Vec<&Egg> = eggs.iter().copied().filter(together).collect();
            let passings = self.passings(&together);
            (!passings.is_empty()).then(|| Dated { species: species.clone(), laid, stays: self.stays(first), passings })
        })
    }

    /// When eggs that share a box came to show each mark: at least half of those that ever showed that they live, or may yet
    /// show it. A mark that nobody noted of them says nothing, since candling notes what changed.
    fn passings(&self, eggs: &[&Egg]) -> Vec<Passing> {
        let mut looks: Vec<(NaiveDateTime, &Candling)> = Vec::new();
        for filling in eggs.iter().flat_map(|egg| self.egg_fillings(&egg.id)) {
            for candling in self.candlings(filling) {
                let known = looks.iter().any(|(_, known)| known.id == candling.id);
                looks.extend(candling.when.filter(|_| !known).map(|when| (when.middle(), candling)));
            }
        }
        crate::order::sort(&mut looks, |(at, candling)| (*at, candling.id.clone()));
        let of = |egg: &Egg| -> Vec<(usize, Seen)> {
            let seen = looks.iter().enumerate();
            seen.filter_map(|(at, (_, candling))| Some((at, *candling.seen.get(&egg.id)?))).collect()
        };
        let lives = |seen: &[(usize, Seen)]| seen.iter().any(|(_, seen)| shows(Mark::Veins, *seen));
        let counted = eggs.iter().map(|egg| (egg, of(egg))).filter(|(egg, seen)| lives(seen) || self.may_yet_show(egg));
        let counted: Vec<Vec<(usize, Seen)>> = counted.map(|(_, seen)| seen).collect();
        let passing = |mark: Mark| {
            let mut not_by = None;
            for (at, (when, _)) in looks.iter().enumerate() {
                let there = counted.iter().filter(|seen| {
                    let now = seen.iter().find(|(look, _)| *look == at);
                    now.is_some_and(|(_, seen)| !matches!(seen, Seen::Dead | Seen::Mouldy))
                });
                let by_now = |seen: &&Vec<(usize, Seen)>| seen.iter().any(|(look, s)| *look <= at && shows(mark, *s));
                let (all, some): (usize, usize) =
                    there.fold((0, 0), |(all, some), seen| (all + 1, some + usize::from(by_now(&seen))));
                if all > 0 && 2 * some >= all {
                    return Some(Passing { mark, not_by, by: *when });
                }
                if all > 0 {
                    not_by = Some(*when);
                }
            }
            None
        };
        Mark::ALL.into_iter().filter_map(passing).collect()
    }

    /// Whether an egg is still in and may come to show that it lives: a box is not told by the first egg that does.
    fn may_yet_show(&self, egg: &Egg) -> bool {
        let mouldy = || self.last_seen(&egg.id).is_some_and(|(seen, _)| seen == Seen::Mouldy);
        egg.fate.is_none() && self.may_hatch(egg) && !mouldy()
    }
}

/// Whether an egg seen so shows a mark: a dark one has had its veins.
fn shows(mark: Mark, seen: Seen) -> bool {
    match mark {
        Mark::Veins => matches!(seen, Seen::Veins | Seen::Dark),
        Mark::Dark => seen == Seen::Dark,
    }
}

pub(crate) fn is_close(laid: When) -> bool {
    (laid.latest() - laid.earliest()).num_minutes() as f64 / 1440.0 <= KNOWN_DAYS
}
