//! Whose clutches a number stands on.

use crate::ids::{AnimalId, ClutchId};
use std::collections::BTreeSet;

/// The clutches behind a number, each once, and how many dams they are of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Whose {
    pub clutches: u32,
    pub dams: u32,
    /// Of the clutches, those whose dam is not known, or not which of several: they may be of one dam or of many.
    pub unknown: u32,
}

impl Whose {
    pub(super) fn of<'a>(all: impl Iterator<Item = (&'a ClutchId, Option<&'a AnimalId>)>) -> Self {
        let (mut clutches, mut dams, mut unknown) = (BTreeSet::new(), BTreeSet::new(), 0);
        for (clutch, dam) in all {
            if clutches.insert(clutch) && dam.is_none() {
                unknown += 1;
            }
            dams.extend(dam);
        }
        Self { clutches: clutches.len() as u32, dams: dams.len() as u32, unknown }
    }
}
