//! The bar.

pub const LABEL: &str = "Pages";
pub const ROUNDS: &str = "Rounds";
pub const BOXES: &str = "Boxes";
pub const SCAN: &str = "Scan";
pub const ANIMALS: &str = "Animals";
pub const MORE: &str = "More";
