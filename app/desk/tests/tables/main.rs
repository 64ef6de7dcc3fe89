//! The desk's tables: what is typed → the act, or the sentence at its field.

mod acts;
mod addresses;
mod cells;
mod common;
mod figures;
mod follow;
mod forms;
mod lists;
mod sheet;
mod untouched;
mod wide;
