//! The bar, and all sections at the side of a wide screen.

use desk::keys::Act;
use desk::page::{Group, Section};

pub const LABEL: &str = "Pages";
pub const ROUNDS: &str = "Rounds";
pub const SCAN: &str = "Scan";
pub const MORE: &str = "More";
pub const KEYS: &str = "Keys";
pub const KEYS_HOW: &str = "They work while no field waits for typing.";
pub const ENTER: (&str, &str) = ("Enter", "open the row");

/// As short as a bar has room for.
pub fn section(section: Section) -> &'static str {
    match section {
        Section::Rounds => ROUNDS,
        Section::Ahead => "Days ahead",
        Section::Scan => SCAN,
        Section::Boxes => "Boxes",
        Section::Pairings => "Pairings",
        Section::Animals => "Animals",
        Section::Young => "Hatchlings",
        Section::Care => super::care::TITLE,
        Section::Cooling => super::cooling::TITLE,
        Section::Wishes => "Waiting list and holds",
        Section::Season => "Season",
        Section::LookBack => "Look back",
        Section::Places => "Places",
        Section::WhatIsWhere => "What is where",
        Section::Daybook => "Daybook",
        Section::Species => "Species",
        Section::Traits => "Traits",
        Section::Labels => "Labels",
        Section::Bundles => "Backup and sharing",
        Section::Settings => "Settings",
        Section::More => MORE,
    }
}

pub fn group(group: Group) -> &'static str {
    match group {
        Group::Now => "Now",
        Group::Eggs => "Eggs",
        Group::Animals => "Animals and hatchlings",
        Group::Season => "Season",
        Group::Barn => "Barn",
    }
}

pub fn key(act: Act) -> &'static str {
    match act {
        Act::Find => "find an animal, clutch, box or place",
        Act::Next => "next row of the list",
        Act::Before => "row before",
        Act::Keys => "these keys",
    }
}
