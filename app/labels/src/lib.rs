//! Labels: what stands on an egg box, an enclosure, a baby tub or a shelf, so that a phone or a person
//! finds the record by it, drawn true to the millimetre.
//!
//! - [`code`]: the eight characters a label is known by, with their check symbol, read forgivingly.
//! - [`payload`]: the link inside the square code, and what a scanned text turns out to be.
//! - [`qr`]: that link as a square of modules.
//! - [`text`]: what one label says. The words are the caller's; their order and weight are ours.
//! - [`stock`]: rolls and sheets by their millimetres; pages, first free position, printer calibration.
//! - [`layout()`]: text on stock → one [`drawing::Drawing`], which says what it left out; [`Alike`]: the same for labels
//!   printed together.
//! - [`pages`]: labels placed on rolls and sheets, and the ruler page.
//! - [`svg`], [`pdf`], [`png`]: the same drawing on a screen, on paper, and in a label printer's dots.
//! - [`commands`]: those dots in the languages of label printers.
//! - [`mod@zip`]: several bitmaps in one file.
//! - [`font`]: the bundled typeface, drawn as outlines so that all three agree.
//!
//! Guaranteed: reading never panics and never trusts; nothing printed collides; from 25 × 15 mm up a
//! label's number, species and look-from date stay on it and its code on any size, and what else had no
//! room is named; a square code always has four modules of white around it; a bitmap's modules are whole
//! printer dots; a PDF's millimetres are paper's millimetres.
//!
//! Absent by design: the browser, the clock, randomness (ids are minted elsewhere), records (a
//! [`text::LabelText`] is handed in), wording and languages (errors have an English sentence; their variants are for other
//! languages), makers' article numbers, colour, text
//! shaping and right-to-left scripts (an unknown character is drawn as a box).

pub mod code;
pub mod commands;
pub mod drawing;
pub mod font;
pub mod layout;
pub mod pages;
pub mod payload;
pub mod pdf;
pub mod png;
pub mod qr;
pub mod stock;
pub mod svg;
pub mod text;
pub mod zip;

pub use code::Code;
pub use layout::{Alike, layout, spread};
