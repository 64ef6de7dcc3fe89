//! A clutch.

use book::views::{ClutchWarning, Sum};

pub const WHAT_BECAME: &str = "What became of the eggs";
pub const PULL_AND_BOX: &str = "Pull and box it";
pub const LATER: &str = "Eggs that came later, another box";
pub const LATER_TITLE: &str = "Eggs that came later";
pub const LATER_LAID: &str = "Laid on, if on another day than the others";
pub const LATER_SAVED: &str = "Eggs added.";
pub const IN_NO_BOX: &str = "in no box yet";
pub const ADD_THEM: &str = "Add them";
pub const ANOTHER: &str = "Set a box";
pub const ANOTHER_HOW: &str = "Tap the eggs that go in it.";
pub const ANOTHER_SAVED: &str = "Box set.";
pub const SET_IT: &str = "Set the box";
pub const NO_EGG_LEFT: &str = "No egg of this clutch is left to be set.";
pub const LAID: &str = "Laid";
pub const FOUND: &str = "Found";
pub const COUNTED: &str = "Counted";
pub const WINDOW: &str = "Window";
pub const GRAVID: &str = "Dam before";
pub const SPENT: &str = "Dam after";
pub const NOTE: &str = "Note";

/// Joined with other records of the same clutch.
pub fn also(numbers: &[String]) -> String {
    format!("Also recorded as {}, on another device; both labels still work.", numbers.join(", "))
}

pub fn counts(good: u32, dud: u32, slug: u32) -> String {
    let parts = [(good, "good", "good"), (dud, "bad egg", "bad eggs"), (slug, "slug", "slugs")];
    let said: Vec<String> =
        parts.iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| super::count(*n as usize, one, many)).collect();
    if said.is_empty() { "no egg".into() } else { said.join(", ") }
}

/// `9 laid: 2 hatched · 1 died · 6 still in`, and whether it adds up.
pub fn sum(sum: &Sum) -> String {
    let parts = [
        (sum.hatched, "hatched"),
        (sum.died, "died"),
        (sum.full_term_dead, "dead in egg, full term"),
        (sum.removed, "removed"),
        (sum.sold, "sold"),
        (sum.lost, "lost"),
        (sum.eaten, "eaten"),
        (sum.unknown, "unknown"),
        (sum.still_in, "still in"),
    ];
    let said: Vec<String> = parts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    let fertile = super::measures::fertile_said(sum.fertility);
    format!("{}: {}.{fertile}", super::count(sum.in_book as usize, "egg", "eggs"), said.join(" · "))
}

pub fn warning(warning: &ClutchWarning) -> String {
    match warning {
        ClutchWarning::SumOff { counted, in_book } => {
            format!("{counted} eggs were counted, the records hold {in_book}. Correct the count or the eggs.")
        }
        ClutchWarning::NumberTwice { .. } => {
            "Another clutch carries the same number. If it is the same clutch made on two phones, they can be joined."
                .into()
        }
        ClutchWarning::Clash { .. } => "Two people wrote different things here. Rounds shows both; choose one.".into(),
        ClutchWarning::NotBoxed { eggs } => {
            format!("{} in no box.", super::count(*eggs as usize, "egg is", "eggs are"))
        }
        ClutchWarning::NotPulled => "Found, not pulled yet.".into(),
    }
}
