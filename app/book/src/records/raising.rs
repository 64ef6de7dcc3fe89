//! People outside the barn, who would like what, what is held for whom, and the barn's own rules.

use super::Record;
use crate::fields::Fields;
use crate::ids::{AnimalId, ContactId, DetailsErasedId, HoldId, Kind, RulesId, SnoozeId, WishId};
use crate::words::Sex;
use chrono::NaiveDate;
use trade::when::When;

/// Someone outside the barn, by a mark that says nothing to a stranger. Who it is lies beside the journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    pub id: ContactId,
    /// What the records call them, such as `P-007`.
    pub mark: Option<String>,
    /// Digest of (random salt ‖ details), 64 hex digits: what the chain vouches for.
    pub digest: Option<String>,
}

impl Record for Contact {
    const KIND: Kind = Kind::Contact;
    fn read(f: &mut Fields<'_>) -> Self {
        Contact { id: f.id(), mark: f.text("mark"), digest: f.text("digest") }
    }
}

/// One version of somebody's details, erased for good wherever this record comes to. It counts once it is there, also when
/// it is taken back: ask [`crate::Book::is_erased`].
#[derive(Clone, Debug, PartialEq)]
pub struct DetailsErased {
    /// The digest of the details.
    pub id: DetailsErasedId,
    /// Whose they were.
    pub contact: Option<ContactId>,
}

impl Record for DetailsErased {
    const KIND: Kind = Kind::DetailsErased;
    fn read(f: &mut Fields<'_>) -> Self {
        DetailsErased { id: f.id(), contact: f.link("contact") }
    }
}

/// Somebody would like an animal that is not there, or not ready, yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    pub id: WishId,
    pub contact: Option<ContactId>,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub sex: Option<Sex>,
    /// In the keeper's words: a morph, a pairing.
    pub what: Option<String>,
    pub count: Option<u32>,
    pub when: Option<When>,
    /// Fulfilled or dropped.
    pub closed: Option<When>,
}

impl Record for Wish {
    const KIND: Kind = Kind::Wish;
    fn read(f: &mut Fields<'_>) -> Self {
        Wish {
            id: f.id(),
            contact: f.link("contact"),
            species: f.text("species"),
            sex: f.word("sex"),
            what: f.text("what"),
            count: f.count("count"),
            when: f.when("when"),
            closed: f.when("closed"),
        }
    }
}

/// An animal that is promised, or that the barn keeps back for itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    pub id: HoldId,
    pub animal: Option<AnimalId>,
    /// None: kept back.
    pub contact: Option<ContactId>,
    pub wish: Option<WishId>,
    pub when: Option<When>,
    /// When it is to be fetched, or until when it is held.
    pub until: Option<NaiveDate>,
    /// As agreed, with its currency.
    pub price: Option<String>,
    pub note: Option<String>,
    /// Placed, or let go again.
    pub ended: Option<When>,
}

impl Record for Hold {
    const KIND: Kind = Kind::Hold;
    fn read(f: &mut Fields<'_>) -> Self {
        Hold {
            id: f.id(),
            animal: f.link("animal"),
            contact: f.link("contact"),
            wish: f.link("wish"),
            when: f.when("when"),
            until: f.day("until"),
            price: f.text("price"),
            note: f.text("note"),
            ended: f.when("ended"),
        }
    }
}

/// The barn's own rules for its young. There is one such record, `barn`.
#[derive(Clone, Debug, PartialEq)]
pub struct BarnRules {
    pub id: RulesId,
    pub sheds: Option<u32>,
    pub meals: Option<u32>,
    /// Percent of an animal's mass.
    pub prey_low: Option<u32>,
    pub prey_high: Option<u32>,
    pub feed_days: Option<u32>,
    /// Before a female goes again: days of rest after laying, days after which the season for it has passed, percent of
    /// her weight before laying, meals taken since.
    pub again_rest_days: Option<u32>,
    pub again_until_days: Option<u32>,
    pub again_weight_pct: Option<u32>,
    pub again_meals: Option<u32>,
}

impl Record for BarnRules {
    const KIND: Kind = Kind::Rules;
    fn read(f: &mut Fields<'_>) -> Self {
        BarnRules {
            id: f.id(),
            sheds: f.count("sheds"),
            meals: f.count("meals"),
            prey_low: f.count("prey_low_pct"),
            prey_high: f.count("prey_high_pct"),
            feed_days: f.count("feed_days"),
            again_rest_days: f.count("again_rest_days"),
            again_until_days: f.count("again_until_days"),
            again_weight_pct: f.count("again_weight_pct"),
            again_meals: f.count("again_meals"),
        }
    }
}

/// A row of Rounds put off. Its id is the row's: what is due, of which thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Snooze {
    pub id: SnoozeId,
    /// The first day on which it is shown again.
    pub until: Option<NaiveDate>,
}

impl Record for Snooze {
    const KIND: Kind = Kind::Snooze;
    fn read(f: &mut Fields<'_>) -> Self {
        Snooze { id: f.id(), until: f.day("until") }
    }
}
