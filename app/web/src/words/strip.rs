//! The hatch strip.

pub const LABEL: &str = "Each clutch from laying to its hatch window, weeks across, the likelier a day the darker; the line is today. The table below says the same.";
pub const AS_TABLE: &str = "As a table";
pub const BOX: &str = "Clutch";
pub const LAID: &str = "Laid";
pub const LIKELY: &str = "Likely";
