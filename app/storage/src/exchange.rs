//! What this device keeps about other devices, beside the lines: one JSON text in `meta`.

use crate::layout::Kept;
use journal::bundle::{Heads, Signed};
use journal::{DeviceId, Digest, Fold, Id};
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

    /// Devices, and how many of each one's entries follow the last end that it signed: who brought them may have written them.
    pub fn unverified(&self, fold: &Fold) -> Vec<(DeviceId, u32)> {
        let signed = |dev: DeviceId| {
            let end = self.signed.get(&dev).filter(|end| fold.holds(dev, end.count, &end.head));
            end.map_or(0, |end| end.count)
        };
        let left = fold.chains().map(|chain| (chain.dev, chain.seq.saturating_sub(signed(chain.dev))));
        left.filter(|(_, entries)| *entries > 0).collect()
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
    use journal::{ChainHead, Draft, Identity, Keypair, Tip, Wall, seal};

    #[test]
    fn what_follows_the_signed_end_is_not_verified() {
        let (book, dev) = (Id::mint(*b"barn!"), Id::mint(*b"phone"));
        let key = Keypair::from_secret(&[7; 32]);
        let identity = Identity { book, dev, by: "Keeper".to_owned(), app: "test".to_owned(), key: key.public() };
        let wall = Wall { ms: 1_780_000_000_000, text: "2026-05-28T20:26+00:00".to_owned() };
        let (mut fold, mut tip, mut ends) = (Fold::new(book), Tip::default(), Vec::new());
        for _ in 0..3 {
            let id = format!("A{}", tip.seq);
            let name = serde_json::Map::from_iter([("name".to_owned(), "Fern".into())]);
            let draft =
                Draft { act: "Noted".to_owned(), sets: vec![fold.set("animal", &id, name)], ..Draft::default() };
            let sealed = seal(draft, &identity, &tip, &wall).expect("it seals");
            fold.take(&sealed.line).expect("it reads");
            (tip, ends) = (sealed.tip, [ends, vec![sealed.reference]].concat());
        }
        let signed = |n: usize, head| {
            let signature = key.sign(&ChainHead { book, dev, seq: ends[n].seq, hash: head });
            let signed = Signed { count: ends[n].seq, head, signature };
            Exchange { signed: [(dev, signed)].into(), ..Exchange::default() }.unverified(&fold)
        };
        assert_eq!(Exchange::default().unverified(&fold), [(dev, 3)]);
        assert_eq!(signed(1, ends[1].hash), [(dev, 1)]);
        assert_eq!(signed(2, ends[2].hash), []);
        assert_eq!(signed(2, ends[0].hash), [(dev, 3)], "an end that is not here vouches for nothing");
    }

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
