//! `bundle.json`: what a bundle says about itself, and the heads its maker holds.

use super::error::BadBundle;
use crate::digest::Digest;
use crate::id::{DeviceId, Hash, Id, MAX_SEQ};
use crate::json;
use crate::keys::Signature;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// What every bundle calls itself.
pub const FORMAT: &str = "candlemark-bundle";
/// The form written here; forms up to it are read for ever. In form 1 the digest is made of shorter references
/// ([`Manifest::digest`]).
pub const BUNDLE_VERSION: i64 = 2;

/// What a bundle says about itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// [`FORMAT`].
    pub format: String,
    /// 1 to [`BUNDLE_VERSION`].
    pub version: i64,
    pub book: Id,
    /// Other books whose records somebody said are this barn's too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub joined: Vec<Id>,
    /// Local time and offset of the maker: `2026-06-09T21:40+02:00`.
    pub made: String,
    /// The device that made it.
    pub by: DeviceId,
    /// The version of the app that made it.
    pub app: String,
    /// Whether it holds all the maker has, or only a part: what another device lacked, or what of harmed records could
    /// be read.
    pub whole: bool,
    /// How far the maker knows each device's acts; what it can be told to leave out next time.
    pub devices: BTreeMap<DeviceId, Device>,
    /// Of the maker's whole state. That of a bundle of form 1 equals no [`Fold::digest`](crate::Fold::digest) of today,
    /// whether or not the states are the same. Absent where the maker did not add its lines up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub digest: Option<Digest>,
    /// Each file of lines by name, with the SHA-256 of its bytes.
    pub files: BTreeMap<String, Hash>,
}

/// One device's acts as the maker of a bundle knows them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Device {
    /// The number of the last act folded, of the longest branch. 0 when all it has is waiting for earlier ones.
    pub count: u32,
    /// That act's hash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Hash>,
    /// The last head the device itself signed, as far as the maker knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
    /// How many lines here do not follow one that is here, beside the first: gaps and branches.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub breaks: u32,
}

fn is_zero(n: &u32) -> bool {
    *n == 0
}

/// A head with the signature of the device it belongs to (see [`crate::ChainHead`]).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Signed {
    pub count: u32,
    pub head: Hash,
    pub signature: Signature,
}

impl Manifest {
    /// # Errors
    /// [`BadBundle::Manifest`] and [`BadBundle::Newer`].
    pub(crate) fn parse(text: &str) -> Result<Manifest, BadBundle> {
        let parts = json::object(text).map_err(|why| BadBundle::Manifest { why })?;
        if parts.get("format").and_then(Value::as_str) != Some(FORMAT) {
            return Err(BadBundle::NotABundle);
        }
        // A newer form may have any other shape: say so before looking further.
        match parts.get("version").and_then(Value::as_i64) {
            Some(1..=BUNDLE_VERSION) => {}
            Some(version) if version > BUNDLE_VERSION => return Err(BadBundle::Newer { version }),
            _ => return Err(BadBundle::Manifest { why: "no version".to_owned() }),
        }
        let manifest: Manifest = serde_json::from_value(Value::Object(parts))
            .map_err(|error| BadBundle::Manifest { why: error.to_string() })?;
        let sound = |count: u32| count <= MAX_SEQ;
        let devices = manifest.devices.values();
        if !devices.clone().all(|device| sound(device.count) && (device.count > 0) == device.head.is_some()) {
            return Err(BadBundle::Manifest { why: "a count without its head".to_owned() });
        }
        if manifest.made.len() > 64 || manifest.app.len() > 64 {
            return Err(BadBundle::Manifest { why: "a text too long".to_owned() });
        }
        Ok(manifest)
    }

    /// Every book it holds records of.
    pub fn books(&self) -> impl Iterator<Item = Id> {
        std::iter::once(self.book).chain(self.joined.iter().copied())
    }
}
