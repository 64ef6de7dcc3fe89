//! What a barn has of something it needs.

use super::Record;
use crate::fields::Fields;
use crate::ids::{Kind, SupplyId};

/// How many there are of something, as the keeper said.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    pub id: SupplyId,
    /// Of what: `tub`, `slot`, `feeder:…`, `minutes` a week, `shelf:ID` (boxes it takes).
    pub what: Option<String>,
    pub have: Option<u32>,
}

impl Record for Supply {
    const KIND: Kind = Kind::Supply;
    fn read(f: &mut Fields<'_>) -> Self {
        Supply { id: f.id(), what: f.text("what"), have: f.count("have") }
    }
}
