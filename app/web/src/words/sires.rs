//! Possible sires of a clutch, and since when no male was with a female. Booth & Schuett 2011 and 2016 (Biological Journal of the
//! Linnean Society) are cited from memory.

use super::dates;
use book::views::{HerMale, Mixed, NoMaleSince, Several};
use chrono::NaiveDate;

pub const OTHERS: &str = "Other possible sires";
pub const UNKNOWN_MALE: &str = "Unknown male";
pub const NO_MALE: &str = "No male";
/// The help sentence of the choice.
pub const HOW: &str = "Choose every possible sire; the babies' looks then say how likely each is. Snakes can keep sperm from an earlier season, and some have young without a male (parthenogenesis).";

/// `Ash, last with her 3 May 2025`.
pub fn last_with(male: &HerMale, last: Option<String>) -> String {
    match last {
        _ if male.together => format!("{}, with her", male.name),
        Some(day) => format!("{}, last with her {day}", male.name),
        None => format!("{}, with her once, day not noted", male.name),
    }
}

fn since(since: &NoMaleSince, what: &str, today: NaiveDate) -> String {
    let months = since.days * 12 / 365;
    format!(
        "No male since {}, {} days ({months} months) {what}: {} was the last with her.",
        dates::day(since.when.date(), today),
        since.days,
        since.males.join(" / ")
    )
}

/// Of a female.
pub fn no_male(of: &NoMaleSince, today: NaiveDate) -> String {
    format!("{} {BOTH}", since(of, "ago", today))
}

const BOTH: &str = "Snakes can keep sperm from an earlier season, and some have young without a male; both are published (Booth & Schuett 2011 and 2016).";

/// Of a clutch.
pub fn no_male_before(of: &NoMaleSince, today: NaiveDate) -> String {
    format!("{} {BOTH} Which it was, the records cannot say.", since(of, "before these eggs", today))
}

/// How several possibilities are weighed.
pub fn weighed(several: &Several) -> Vec<String> {
    let mut said = vec!["Before any baby was looked at, each possibility counts alike.".to_owned()];
    said.extend(several.silent.iter().map(|name| super::genetics::counted_without(name)));
    if several.unknown_male {
        said.push(format!(
            "An unknown male may carry anything: each copy of his is held to be another than the normal one in {} of 100 (our choice, no source).",
            (trade::genetics::UNKNOWN_MALE * 100.0).round()
        ));
    }
    if several.no_male {
        said.push("Without a male each baby is taken to have two equal copies: where she carries one copy, half of the babies have two and half have none (terminal fusion without recombination; Booth & Schuett 2016). So a baby with one copy rules it out here. The babies' sex is not counted. Looks alone prove nothing; a laboratory's test of relationship can.".to_owned());
    }
    said
}

pub const MIXED: &str = "What they can be, all possible sires together";

/// `Ash, Flint or no male, each counted alike.`
pub fn mixed(mixed: &Mixed) -> String {
    let unknown =
        if mixed.without_unknown { " An unknown male is left out: nothing is known of his babies." } else { "" };
    let of = match mixed.of.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        all => all.join(", "),
    };
    format!("{of}, each counted alike.{unknown}")
}
