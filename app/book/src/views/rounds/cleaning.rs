//! Tubs to be cleaned by the barn's own rule, one row a rack.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::order::set_of;
use crate::views::NextCleaning;
use crate::views::cleaning::{next_cleaning, rack_of, tub_of};
use chrono::{NaiveDate, NaiveTime};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Tubs with somebody in them. Asked only where there is a rule.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Tubs;

impl Question for Tubs {
    type Answer = BTreeSet<Thing>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let here = book.all_animals().filter(|animal| animal.is_here());
        same_or(before, set_of(here.map(|animal| tub_of(book, &animal.id))))
    }
}

/// The rack of a tub, and when it is to be cleaned.
#[derive(Clone, PartialEq, Eq, Hash)]
struct OfTub(Thing);

impl Question for OfTub {
    type Answer = (Thing, NextCleaning);

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        same_or(before, (rack_of(book, &self.0), next_cleaning(book, &self.0)))
    }
}

/// How many tubs of a rack, and the first day on which one was due.
type Due = (u32, Option<NaiveDate>);

pub(super) fn dues(dues: &mut Dues<'_>) {
    let (book, today) = (dues.book, dues.now.date());
    if book.all_cleaning_rules().all(|rule| rule.days.is_none()) {
        return;
    }
    let mut racks: BTreeMap<Thing, Due> = BTreeMap::new();
    for tub in book.derived(&Tubs).iter() {
        let stands = book.derived(&OfTub(tub.clone()));
        let (rack, next) = &*stands;
        if !next.is_due(today) {
            continue;
        }
        let day = if let NextCleaning::On(day) = next { Some(*day) } else { None };
        let (tubs, since) = racks.entry(rack.clone()).or_default();
        *tubs += 1;
        *since = [*since, day].into_iter().flatten().min();
    }
    for (rack, (tubs, since)) in racks {
        let fact = Fact::Cleaning { tubs, since };
        dues.add(DueKind::Cleaning, rack, DueAct::Clean, since.map(|day| day.and_time(NaiveTime::MIN)), fact);
    }
}
