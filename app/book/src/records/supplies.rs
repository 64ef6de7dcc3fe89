//! What a barn has of something it needs.

use super::{Over, record};
use crate::ids::SupplyId;

record! {
    /// How many there are of something, as the keeper said.
    Supply SupplyId {
        /// Of what: `tub`, `slot`, `feeder:…`, `minutes` a week, `shelf:ID` (boxes it takes).
        what: Option<String> = "what" => "description" long,
        have: Option<u32> = "have",
    }
    over Over::Never;
}
