//! What lines name and do not hold, beside them in the store: pictures and people's details, where the keeper wants them
//! there. Each is one object, named by a keyed hash, so a store cannot tell which is which.

use crate::error::Unfit;
use crate::key::Safe;
use crate::piece::hex;
use crate::place::Place;
use journal::{Hash, bundle};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// What lies beside the lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Beside {
    /// A picture, by the hash of its bytes.
    Photo,
    /// Somebody's details, by their digest: a [`bundle::Person`] as JSON.
    Person,
}

impl Beside {
    pub const ALL: [Beside; 2] = [Beside::Photo, Beside::Person];

    /// Whether `bytes` are what `name` names, and such as may be kept: by the rules of a bundle.
    fn fits(self, name: &Hash, bytes: &[u8]) -> bool {
        match self {
            Beside::Photo => bundle::check_photo(bytes, name).is_ok(),
            Beside::Person => bytes.len() as u64 <= bundle::MAX_PERSON && bundle::Person::check(bytes, name).is_ok(),
        }
    }

    fn called(self, safe: &dyn Safe, name: &Hash) -> String {
        let purpose = match self {
            Beside::Photo => "photo",
            Beside::Person => "person",
        };
        format!("{}.age", hex(&safe.name(purpose, &name.0)))
    }
}

impl Place {
    /// The folder of all pictures, or of all details, without a slash at its end.
    pub fn all_beside(&self, of: Beside) -> String {
        let folder = match of {
            Beside::Photo => "photos",
            Beside::Person => "people",
        };
        format!("{}/{folder}", self.folder())
    }

    /// Where one of them lies.
    pub fn beside(&self, of: Beside, safe: &dyn Safe, name: &Hash) -> String {
        format!("{}/{}", self.all_beside(of), of.called(safe, name))
    }
}

/// What a device has of one sort, and what it lacks of what its records name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Wanted {
    pub of: Beside,
    pub here: BTreeSet<Hash>,
    pub lacking: BTreeSet<Hash>,
    /// What was erased for good.
    pub gone: BTreeSet<Hash>,
}

/// One thing to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Errand {
    Drop(Hash),
    Put(Hash),
    Get(Hash),
}

/// What came of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Carried {
    /// What the records name and neither this device nor the store has.
    pub nowhere: u32,
    /// The store did not take, give or list something, or it was not what its name says.
    pub failed: bool,
}

impl Wanted {
    /// What is to be done where the store holds these names: first what was erased goes, then what others wait for is put
    /// there, then what is lacking here is fetched. Also how many are nowhere.
    pub fn errands(&self, safe: &dyn Safe, listed: &BTreeSet<String>) -> (Vec<Errand>, u32) {
        let there = |name: &&Hash| listed.contains(&self.of.called(safe, name));
        let gone = self.gone.iter().filter(there).map(|name| Errand::Drop(*name));
        let kept = |name: &&Hash| !self.gone.contains(*name);
        let put = self.here.iter().filter(kept).filter(|name| !there(name)).map(|name| Errand::Put(*name));
        let get = self.lacking.iter().filter(kept).filter(there).map(|name| Errand::Get(*name));
        let nowhere = self.lacking.iter().filter(kept).filter(|name| !there(name)).count();
        (gone.chain(put).chain(get).collect(), u32::try_from(nowhere).unwrap_or(u32::MAX))
    }

    /// What was sealed under a name, if it is that.
    ///
    /// # Errors
    /// [`Unfit`]: the store gave something else.
    pub fn open(&self, safe: &dyn Safe, name: &Hash, sealed: &[u8]) -> Result<Vec<u8>, Unfit> {
        let bytes = safe.open(sealed)?;
        if self.of.fits(name, &bytes) { Ok(bytes) } else { Err(Unfit::Swapped) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::BarnKey;

    fn hashes(texts: &[&str]) -> BTreeSet<Hash> {
        texts.iter().map(|text| Hash::of(text.as_bytes())).collect()
    }

    #[test]
    fn what_one_has_and_the_store_lacks_goes_there_and_the_other_way_round() {
        let key = BarnKey::fresh();
        let of = Beside::Photo;
        let listed: BTreeSet<String> = hashes(&["both", "theirs", "erased"])
            .iter()
            .map(|name| of.called(&key, name))
            .chain(["left by a program.tmp".to_owned()])
            .collect();
        let wanted = Wanted {
            of,
            here: hashes(&["both", "mine", "erased", "erased here"]),
            lacking: hashes(&["theirs", "nobody's"]),
            gone: hashes(&["erased", "erased here"]),
        };
        let [mine, theirs, erased] = ["mine", "theirs", "erased"].map(|text| Hash::of(text.as_bytes()));
        let expected = vec![Errand::Drop(erased), Errand::Put(mine), Errand::Get(theirs)];
        assert_eq!(wanted.errands(&key, &listed), (expected, 1));
    }

    #[test]
    fn only_what_the_name_says_is_opened() {
        let key = BarnKey::fresh();
        let person = bundle::Person::new([7; 16], "{\"name\":\"R. Marsh\"}".to_owned());
        let bytes = serde_json::to_vec(&person).expect("writes");
        let digest = person.digest().expect("salted");
        let sealed = key.close(&bytes).expect("closes");
        let wanted =
            Wanted { of: Beside::Person, here: BTreeSet::new(), lacking: BTreeSet::new(), gone: BTreeSet::new() };
        assert_eq!(wanted.open(&key, &digest, &sealed).as_deref(), Ok(&bytes[..]));
        assert_eq!(wanted.open(&key, &Hash::of(b"somebody else"), &sealed), Err(Unfit::Swapped));
        assert_eq!(wanted.open(&BarnKey::fresh(), &digest, &sealed), Err(Unfit::Locked));
        let photos = Wanted { of: Beside::Photo, ..wanted };
        let text = key.close(b"no picture").expect("closes");
        assert_eq!(photos.open(&key, &Hash::of(b"no picture"), &text), Err(Unfit::Swapped));
    }
}
