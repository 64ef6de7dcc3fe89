//! Tubs cleaned, and after how many days again.

use super::{care, count, dates};
use book::views::{CleaningLine, NextCleaning, TubLine};
use chrono::NaiveDate;

pub const TITLE: &str = "Cleaning";
pub const CLEAN: &str = "Clean";
pub const LAST: &str = "Tub last cleaned";
/// The help sentence of the page.
pub const HOW: &str = "One tap saves all these tubs as cleaned. Then tap those that were not.";
/// Of one tub.
pub const HOW_ONE: &str = "One tap saves it as cleaned, all of it, just now.";
pub const SPOT_HOW: &str = "Taking out only what was soiled does not move the due day.";
pub const WHAT: &str = "How, when it was not all of it";
pub const HOW_MUCH: &str = "Cleaned";
pub const WHOLE: &str = "all of it";
pub const SPOT: &str = "only what was soiled";
pub const NOTE: &str = "Note";
pub const LOOK: &str = "Tub by tub";
pub const NOT_CLEANED: &str = "Which not";
pub const NOT_THIS: &str = "Not cleaned";
pub const NOBODY: &str = "Nobody is kept here.";
pub const NO_SUCH: &str = "This is not on this device.";
pub const PAST: &str = "Cleaned before";
pub const NEVER: &str = "No cleaning is noted yet.";
pub const RULES: &str = "How often";
/// The help sentence of the rules.
pub const RULES_HOW: &str = "Set after how many days tubs are cleaned again, for all or for one species. Rounds then has a row for each rack when some are due. Days count from the last cleaning, or from when the animal came into its tub.";
/// No figure is offered: it depends on who is kept, on what, and how.
pub const RULES_SOURCE: &str = "Soiled spots are taken out as they are seen, whatever the rule (common practice, no source). Leave the days empty for no rule.";
pub const NO_RULE: &str = "No rule is set, so Rounds does not ask.";
pub const RULE_SET: &str = "Set how often";
pub const RULE_OF: &str = "For";
pub const ALL: &str = "all species";
pub const RULE_SAVED: &str = "Rule saved.";

/// `Cleaning of Rack A`.
pub fn title(name: &str) -> String {
    format!("{TITLE} of {name}")
}

pub fn all(n: usize) -> String {
    format!("Cleaned: all {n}")
}

/// Of the one tub there is.
pub fn one(n: usize) -> String {
    if n == 1 { "Cleaned".to_owned() } else { all(n) }
}

pub fn saved(n: usize) -> String {
    if n == 1 { "Cleaning saved.".to_owned() } else { format!("{n} tubs cleaned. Tap those that were not.") }
}

/// `Cleaned today, 10:30. Tap those that were not.`
pub fn cleaned(when: &str, spot: bool) -> String {
    let what = if spot { "Soiled spots cleaned" } else { "Cleaned" };
    format!("{what} {when}. Tap those that were not.")
}

pub fn not_this_of(name: &str) -> String {
    format!("{name} not cleaned")
}

pub fn marked(name: &str, cleaned: bool) -> String {
    format!("{name}: {}.", if cleaned { "cleaned" } else { "not cleaned" })
}

/// `in quarantine: last · cleaned 24 May · due 23 Jun`.
pub fn tub(line: &TubLine, today: NaiveDate) -> String {
    let apart = line.apart.then(|| care::APART_LAST.to_owned());
    let last = line.last.map(|when| format!("cleaned {}", dates::near(when.date(), today)));
    let next = match line.next {
        NextCleaning::Never => None,
        NextCleaning::Unknown => Some("due".to_owned()),
        NextCleaning::On(day) => Some(format!("due {}", dates::near(day, today))),
    };
    [apart, last, next].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// `all of it`, `only what was soiled: New paper.`
pub fn line(line: &CleaningLine) -> String {
    let what = if line.spot { SPOT } else { WHOLE };
    match line.note.as_deref() {
        Some(note) => format!("{what}: {note}"),
        None => what.to_owned(),
    }
}

/// `Corn snake: every 14 days`.
pub fn rule(species: &str, days: u32) -> String {
    format!("{species}: every {}", count(days as usize, "day", "days"))
}

/// On Rounds: `3 tubs to clean, the first due Thu 9 Jul`.
pub fn due(tubs: u32, since: Option<NaiveDate>, today: NaiveDate) -> String {
    let since = since.filter(|day| *day < today).map(|day| format!(", the first due {}", dates::near(day, today)));
    format!("{} to clean{}", count(tubs as usize, "tub", "tubs"), since.unwrap_or_default())
}
