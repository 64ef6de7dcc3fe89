//! The next codes of young, and the next mark of somebody outside, in the barn's own style.

use crate::book::Book;
use crate::ids::*;
use crate::index::{Link, normal};
use crate::names::Style;
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeSet;

/// How the young were called so far.
enum Calling {
    /// The clutch's number, what stands between, and the egg's letter: `26-01-A`.
    ByEgg(String),
    /// The clutch's number, what stands between, and a count within the clutch: `26-01/3`.
    InClutch(String),
    /// Counted up over all of them: `H112`.
    All(Style),
}

impl Book {
    /// A code for each baby, given the eggs it came from: in the style of the young coded last, none twice.
    pub fn suggest_codes(&self, babies: &[Vec<EggId>], today: NaiveDate) -> Vec<String> {
        let calling = self.calling(today);
        let mut used: BTreeSet<String> = BTreeSet::new();
        let mut count = 0;
        let mut codes = Vec::with_capacity(babies.len());
        for eggs in babies {
            let free = |code: &str, used: &BTreeSet<String>| {
                !used.contains(&normal(code)) && self.ix.of(Link::Code, &normal(code)).next().is_none()
            };
            let egg = eggs.first().and_then(|egg| self.egg(egg));
            let number = egg.and_then(|egg| egg.clutch.as_ref()).map(|clutch| self.clutch_number(clutch));
            let stem = number.unwrap_or_default();
            let letter = egg.and_then(|egg| egg.letter.clone()).filter(|_| eggs.len() == 1);
            let mut candidates: Box<dyn Iterator<Item = String>> = match (&calling, letter) {
                (Calling::All(style), _) => {
                    let (style, from) = (style.clone(), count);
                    Box::new((from + 1..).map(move |by| style.plus(by)))
                }
                (Calling::ByEgg(between), Some(letter)) => {
                    let own = format!("{stem}{between}{letter}");
                    let twins = own.clone();
                    Box::new(std::iter::once(own).chain((2u64..).map(move |n| format!("{twins}{n}"))))
                }
                (Calling::ByEgg(between) | Calling::InClutch(between), _) => {
                    let begin = format!("{stem}{between}");
                    Box::new((1u64..).map(move |n| format!("{begin}{n}")))
                }
            };
            // Somebody would have to hold ten thousand codes for none to be free.
            let code = candidates.by_ref().take(10_000).find(|code| free(code, &used)).unwrap_or_default();
            if let Calling::All(style) = &calling {
                count = Style::of(&code).map_or(count, |found| found.count.saturating_sub(style.count));
            }
            used.insert(normal(&code));
            codes.push(code);
        }
        codes
    }

    /// By the young coded last whose egg is known.
    fn calling(&self, today: NaiveDate) -> Calling {
        let usual = || Calling::ByEgg("-".to_owned());
        let coded = self.t.animals.values().filter(|kept| {
            kept.record.code.is_some() && kept.record.from_eggs.first().is_some_and(|egg| self.egg(egg).is_some())
        });
        let Some(last) = coded.max_by_key(|kept| kept.written) else { return usual() };
        let (Some(code), Some(egg)) = (&last.record.code, last.record.from_eggs.first().and_then(|egg| self.egg(egg)))
        else {
            return usual();
        };
        let number = egg.clutch.as_ref().map(|clutch| self.clutch_number(clutch)).unwrap_or_default();
        if let Some(rest) = code.strip_prefix(number.as_str()).filter(|_| !number.is_empty()) {
            let between: String = rest.chars().take_while(|c| !c.is_alphanumeric()).collect();
            let counted = rest[between.len()..].chars().all(|c| c.is_ascii_digit());
            // Of young not told apart the count says nothing about how the others are called.
            return match (between.is_empty(), counted && last.record.from_eggs.len() == 1) {
                (true, _) => usual(),
                (_, true) => Calling::InClutch(between),
                (_, false) => Calling::ByEgg(between),
            };
        }
        Style::of(code).map_or_else(usual, |style| Calling::All(style.in_year(today.year())))
    }

    /// A mark for somebody outside the barn: `P-001` and up.
    pub fn suggest_mark(&self) -> String {
        let numbers = self.contacts().into_iter().filter_map(|c| Style::of(c.mark.as_deref()?));
        let most = numbers.filter(|style| style.prefix == "P-").map(|style| style.count).max().unwrap_or(0);
        format!("P-{:03}", most.saturating_add(1))
    }
}
