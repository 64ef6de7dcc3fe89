//! What somebody would like.

use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::ContactId;
use book::acts::WishNoted;
use book::words::Sex;

/// The wish on a person's page; it is saved with the person, or by itself.
#[derive(Clone, Debug)]
pub struct WishForm {
    pub contact: ContactId,
    pub species: Option<String>,
    pub what: String,
    pub sex: Option<Sex>,
    pub count: Entry,
}

impl WishForm {
    /// The name of the field in words.
    pub const WHAT: &str = "What they would like, in words";

    /// How many are wished for.
    pub fn count() -> Entry {
        Entry::of_count(Ask::count("How many", 1, 100), 1)
    }

    /// Nothing of it was filled in.
    pub fn untouched(&self) -> bool {
        self.species.is_none() && self.what.trim().is_empty() && self.sex.is_none() && self.count.untouched()
    }

    /// # Errors
    /// What cannot be read; neither a species nor words.
    pub fn act(&self) -> Result<WishNoted, Wrong> {
        let mut gather = Gather::new(Units::default());
        let count = gather.count(&self.count);
        if self.species.is_none() && self.what.trim().is_empty() {
            gather.note(WishForm::WHAT, "What they would like, in words: type it, or choose a species.");
        }
        let act = WishNoted {
            wish: None,
            contact: Some(self.contact.clone()),
            species: self.species.clone(),
            sex: self.sex,
            what: self.what.clone(),
            count,
            when: None,
        };
        gather.done(act)
    }

    /// As [`WishForm::act`], when something of it was filled in.
    ///
    /// # Errors
    /// As [`WishForm::act`].
    pub fn act_if_any(&self) -> Result<Option<WishNoted>, Wrong> {
        if self.untouched() { Ok(None) } else { self.act().map(Some) }
    }
}
