//! What this device keeps about other devices, beside the lines: one JSON text in `meta`.

use crate::layout::Kept;
use journal::bundle::{Heads, Signed};
use journal::{DeviceId, Digest, Id};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Fields of a newer version are lost by an older one that writes: all of it is found out again from the next bundles.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Exchange {
    /// Books whose records are this barn's too.
    pub joined: Vec<Id>,
    /// The last heads devices signed.
    pub signed: BTreeMap<DeviceId, Signed>,
    /// What each device's last bundle told.
    pub heard: BTreeMap<DeviceId, Heard>,
    /// Bundles taken in, oldest first.
    pub imports: Vec<Import>,
    /// When this device last handed a bundle out; milliseconds since 1970 (UTC).
    pub made_ms: Option<u64>,
}

/// What a device's last bundle told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// Local time and offset there.
    pub made: String,
    /// When it was taken in here; milliseconds since 1970 (UTC).
    pub at_ms: u64,
    pub heads: Heads,
    /// Of its whole state; none where its bundle did not say.
    #[serde(default)]
    pub digest: Option<Digest>,
}

/// A bundle that was taken in. Before it is a restore point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Import {
    /// Names its blocks.
    pub n: u32,
    pub from: DeviceId,
    /// Local time and offset there; empty when that is no longer known.
    pub made: String,
    pub at_ms: u64,
    pub acts: usize,
    /// Set aside again: stored, not folded.
    pub aside: bool,
}

impl Exchange {
    /// The last bundle taken in that is not set aside.
    pub fn last_import(&self) -> Option<&Import> {
        self.imports.iter().rev().find(|import| !import.aside)
    }
}

/// What is known of other devices, read when it is first asked for: a start needs none of it, and reading it would weigh on
/// the first download.
pub(crate) struct Known {
    text: String,
    read: Option<Exchange>,
}

impl Known {
    pub fn of(exchange: Exchange) -> Known {
        Known { text: String::new(), read: Some(exchange) }
    }

    /// Nothing where the text is none of ours at first sight.
    pub fn text(text: Option<String>) -> Option<Known> {
        match text {
            None => Some(Known::of(Exchange::default())),
            Some(text) => (text.starts_with('{') && text.ends_with('}')).then_some(Known { text, read: None }),
        }
    }

    pub fn get(&mut self) -> &Exchange {
        let text = &self.text;
        self.read.get_or_insert_with(|| Exchange::read(text).unwrap_or_default())
    }

    /// When this device last handed a bundle out, told without reading the rest.
    pub fn made_ms(&self) -> Option<u64> {
        match &self.read {
            Some(exchange) => exchange.made_ms,
            None => {
                let (_, after) = self.text.rsplit_once("\"made_ms\":")?;
                after.split(|sign: char| !sign.is_ascii_digit()).next()?.parse().ok()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_bundle_is_told_with_and_without_reading() {
        for made_ms in [None, Some(0), Some(1_780_000_000_123)] {
            let exchange = Exchange { made_ms, ..Exchange::default() };
            let mut known = Known::text(Some(exchange.text())).expect("one of ours");
            assert_eq!(known.made_ms(), made_ms);
            assert_eq!(known.get(), &exchange);
            assert_eq!(known.made_ms(), made_ms);
        }
        assert!(Known::text(Some("not JSON".to_owned())).is_none());
    }
}
