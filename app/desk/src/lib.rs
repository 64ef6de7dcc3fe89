//! What pages decide, without how they look: typed fields, and one form a page: fields in, act out.
//!
//! What a keeper types is kept, converted or refused with a sentence that names the field; it is never dropped. An act
//! cannot be had while a field is unreadable: a form gives `Result<Act, Wrong>`. A field nobody touched gives back
//! exactly what stood there, however it was rounded for the eye.
//!
//! Pages hold an [`Entry`] for each figure, draw it, and hand it to the form when *Save* is tapped.

pub mod axis;
pub mod correct;
pub mod day;
pub mod daybook;
mod entry;
mod figure;
pub mod forms;
pub mod keys;
pub mod lists;
pub mod measure;
mod money;
pub mod page;
mod say;
pub mod sheet;
pub mod trail;

pub use entry::{Entry, Field, FieldError, Gather, Wrong};
pub use figure::{Reading, read};
pub use measure::{Ask, Measure, Units};
