//! Many animals at once.

use super::count;

pub const TITLE: &str = "Several at once";
pub const OPEN: &str = "Several at once";
pub const WHERE: &str = "Kept in";
pub const EVERYWHERE: &str = "everywhere";
pub const SHED: &str = "Shed";
pub const OUTCOME: &str = "What came of it";
pub const ANIMAL: &str = "Animal";

pub fn chosen(n: usize) -> String {
    format!("{n} ticked")
}

pub fn all(n: usize) -> String {
    format!("Tick all {n}, or none")
}

pub fn act_title(act: &str, n: usize) -> String {
    format!("{act}: {}", count(n, "animal", "animals"))
}

pub fn saved(n: usize) -> String {
    format!("Saved for {}.", count(n, "animal", "animals"))
}
