//! Which ends that came with lines are truly signed by their devices.

use crate::machine::Held;
use journal::bundle::{Bundle, Signed};
use journal::{ChainHead, DeviceId, Entry, PublicKey};
use std::collections::BTreeMap;

/// Those whose signature is right for the key in the device's first line, here or among the lines that came. The key that
/// was known first stays the one believed.
pub fn vouched(bundle: &Bundle, held: &Held) -> BTreeMap<DeviceId, Signed> {
    let first = |line: &String| {
        let entry = Entry::read(line).ok().filter(|entry| entry.seq() == 1)?;
        Some((entry.dev(), entry.key?))
    };
    let mut keys: BTreeMap<DeviceId, PublicKey> = bundle.lines.iter().filter_map(first).collect();
    keys.extend(held.keys.iter().map(|(dev, key)| (*dev, *key)));
    let mut vouched = BTreeMap::new();
    for (dev, device) in &bundle.manifest.devices {
        let (Some(signed), Some(key)) = (device.signed, keys.get(dev)) else { continue };
        let right = bundle.manifest.books().any(|book| {
            let head = ChainHead { book, dev: *dev, seq: signed.count, hash: signed.head };
            key.verifies(&head, &signed.signature)
        });
        if right {
            vouched.insert(*dev, signed);
        }
    }
    vouched
}
