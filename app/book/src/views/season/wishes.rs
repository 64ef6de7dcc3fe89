//! Open wishes against what is likely.

use super::{Drawn, Scope};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::Sex;
use trade::forecast::season::Enough;

/// A wish, and how likely the season answers it.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighedWish {
    pub wish: Wish,
    /// The mark of who wishes.
    pub mark: Option<String>,
    pub species: Option<String>,
    /// How many are wanted that are not held yet.
    pub wanted: u32,
    /// Of the groups below, by sex where one was asked for. `None` when no species was named: words tell no chance.
    pub likely: Option<Enough>,
    /// What it was reckoned from.
    pub from: Vec<String>,
}

/// Every open wish against the babies a season may bring; each on its own, as if it came first. Of a sex asked for one
/// baby in two is one, where nothing else is known (common practice).
pub fn weighed_wishes(book: &Book, both: &Drawn) -> Vec<WeighedWish> {
    let weigh = |wish: &Wish| {
        let held = book.holds_for(&wish.id).filter(|hold| hold.ended.is_none()).count();
        let wanted = wish.count.unwrap_or(1).saturating_sub(u32::try_from(held).unwrap_or(u32::MAX));
        let share = if matches!(wish.sex, Some(Sex::Female | Sex::Male)) { 0.5 } else { 1.0 };
        let picks = wish.species.as_ref().map(|species| {
            let scope = Scope::Species(species.clone());
            let all = both.by.iter().enumerate().filter(|(_, source)| scope.holds(source));
            all.map(|(group, _)| (group, share)).collect::<Vec<_>>()
        });
        WeighedWish {
            mark: wish.contact.as_ref().map(|id: &ContactId| book.contact_mark(id)),
            species: wish.species.as_ref().map(|key| book.species_of(Some(key)).name.into_owned()),
            wanted,
            from: picks.iter().flatten().map(|(group, _)| both.by[*group].name.clone()).collect(),
            likely: picks.map(|picks| both.season.enough(&picks, wanted)),
            wish: wish.clone(),
        }
    };
    book.open_wishes().into_iter().map(weigh).collect()
}
