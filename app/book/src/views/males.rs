//! Males a female was with: who may be the sire of her eggs besides those of this season, and since when there was none.

use super::pairing::MOST_DAYS;
use crate::book::Book;
use crate::ids::AnimalId;
use crate::records::Pairing;
use chrono::NaiveDateTime;
use trade::when::When;

/// A male that was with a female.
#[derive(Clone, Debug, PartialEq)]
pub struct HerMale {
    pub id: AnimalId,
    pub name: String,
    /// The last that is recorded of the two together: separated, a lock, or introduced. `None`: without a day.
    pub last: Option<When>,
    /// Nobody recorded that they were separated.
    pub together: bool,
    /// Longer ago than the eggs of a pairing take.
    pub earlier: bool,
}

/// Whom a female was with last, longer ago than the eggs of a pairing take.
#[derive(Clone, Debug, PartialEq)]
pub struct NoMaleSince {
    pub males: Vec<String>,
    pub when: When,
    /// Days from then to the eggs, or to now.
    pub days: i64,
}

/// The last that is recorded of a pairing by a moment, and whether the two had not been separated by then.
fn contact(book: &Book, pairing: &Pairing, by: NaiveDateTime) -> (Option<When>, bool) {
    let ended = pairing.ended.filter(|ended| ended.earliest() <= by);
    let locks = book.locks(&pairing.id).filter_map(|lock| lock.when);
    let seen = locks.chain(pairing.when).filter(|when| when.earliest() <= by);
    (seen.chain(ended).max_by_key(|when| when.latest()), ended.is_none())
}

/// Days as a calendar counts them.
fn days(from: When, to: NaiveDateTime) -> i64 {
    (to.date() - from.days().1).num_days()
}

/// The males that may have sired eggs of these dams by a moment, as far as pairings say: the latest first.
pub fn her_males(book: &Book, dams: &[AnimalId], by: NaiveDateTime) -> Vec<HerMale> {
    let mut males: Vec<HerMale> = Vec::new();
    for dam in dams {
        let begun = |pairing: &&Pairing| pairing.when.is_none_or(|when| when.earliest() <= by);
        for pairing in book.pairings_of(dam).filter(|pairing| pairing.dams.contains(dam)).filter(begun) {
            let (last, together) = contact(book, pairing, by);
            for id in &pairing.sires {
                let latest = |when: Option<When>| when.map(When::latest);
                match males.iter_mut().find(|male| male.id == *id) {
                    Some(male) => {
                        male.together |= together;
                        male.last = if latest(last) > latest(male.last) { last } else { male.last };
                    }
                    None => {
                        let name = book.animal_name(id);
                        males.push(HerMale { id: id.clone(), name, last, together, earlier: false });
                    }
                }
            }
        }
    }
    for male in &mut males {
        male.earlier = !male.together && male.last.is_none_or(|last| days(last, by) > MOST_DAYS);
    }
    crate::order::sort(&mut males, |male| (std::cmp::Reverse(male.last.map(When::latest)), male.name.clone()));
    males
}

/// That no male was with her for longer than the eggs of a pairing take. `None` when one was, when it may be that nobody
/// noted the end, or when none is recorded at all.
pub fn no_male_since(book: &Book, dam: &AnimalId, by: NaiveDateTime) -> Option<NoMaleSince> {
    let males = her_males(book, std::slice::from_ref(dam), by);
    let when = males.first()?.last?;
    if !males.iter().all(|male| male.earlier) {
        return None;
    }
    let last = males.iter().filter(|male| male.last.is_some_and(|last| last.latest() == when.latest()));
    let males = last.map(|male| male.name.clone()).collect();
    Some(NoMaleSince { males, when, days: days(when, by) })
}
