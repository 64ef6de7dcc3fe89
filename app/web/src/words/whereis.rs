//! What is where.

pub const TITLE: &str = "What is where";
pub const FREE_ONLY: &str = "Free ones only";
pub const FREE: &str = "free";
pub const NONE: &str = "No tub or shelf to show. Add a rack or an incubator, or show all of them.";
pub const ELSEWHERE: &str = "In no rack";

pub fn free(n: usize) -> String {
    format!("{n} free")
}

pub fn and_more(name: &str, more: usize) -> String {
    format!("{name} +{more}")
}
