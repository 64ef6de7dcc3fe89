//! Printing labels: one, the chosen, or all without one yet; a true preview, then PDF, PNG or the browser's print.

mod blank;
mod changed;
mod choose;
mod device;
mod draw;
mod lying;
mod out;
mod print;
mod printer;
mod stock;
mod tag;
mod text;
mod work;

pub use blank::BlankLabels;
pub use choose::PrintLabels;
pub use lying::Lying;
pub use print::print_page;
pub use printer::PrinterPage;
