//! People outside the barn, who would like what, what is held for whom, and the barn's own rules.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalId, BreedingRuleId, ContactId, DetailsErasedId, HoldId, RulesId, SnoozeId, WishId};
use crate::words::Sex;
use chrono::NaiveDate;
use trade::money::Money;
use trade::units::Mass;
use trade::when::When;

record! {
    /// Someone outside the barn, by a mark that says nothing to a stranger. Who it is lies beside the journal.
    Contact ContactId {
        /// What the records call them, such as `P-007`.
        mark: Option<String> = "mark",
        /// Digest of (random salt ‖ details), 64 hex digits: what the chain vouches for.
        digest: Option<String> = "digest" => "details",
    }
    over Over::Never;
    also {
        fn called(&self, _book: &Book) -> Option<String> {
            self.mark.clone()
        }
    }
}

record! {
    /// One version of somebody's details, erased for good wherever this record comes to. Its id is the digest of the
    /// details. It counts once it is there, also when it is taken back: ask [`crate::Book::is_erased`].
    DetailsErased DetailsErasedId {
        /// Whose they were.
        contact: Option<ContactId> = "contact",
    }
    over Over::Never;
    about contact;
}

record! {
    /// Somebody would like an animal that is not there, or not ready, yet.
    Wish WishId {
        contact: Option<ContactId> = "contact",
        /// A species record's id or a shipped profile's key.
        species: Option<String> = "species",
        sex: Option<Sex> = "sex",
        /// In the keeper's words: a morph, a pairing.
        what: Option<String> = "what" => "description" long,
        count: Option<u32> = "count",
        when: Option<When> = "when",
        /// Fulfilled or dropped.
        closed: Option<When> = "closed",
    }
    over Over::Never;
    about contact at when;
    link Wishes { contact by when }
        /// Newest first, closed ones included.
        wishes_of(ContactId);
}

record! {
    /// An animal that is promised, or that the barn keeps back for itself.
    Hold HoldId {
        animal: Option<AnimalId> = "animal",
        /// None: kept back.
        contact: Option<ContactId> = "contact",
        wish: Option<WishId> = "wish",
        when: Option<When> = "when",
        /// When it is to be fetched, or until when it is held.
        until: Option<NaiveDate> = "until",
        /// As agreed, with its currency.
        price: Option<String> = "price",
        /// Paid ahead.
        deposit: Option<Money> = "deposit",
        note: Option<String> = "note" long,
        /// Placed, or let go again.
        ended: Option<When> = "ended",
    }
    over Over::Never;
    about animal at when;
    link Holds { animal by when }
        /// Newest first, ended ones included.
        holds_of(AnimalId);
    link HeldFor { contact by when }
        /// What is or was held for someone, newest first.
        held_for(ContactId);
    link WishHolds { wish by when }
        /// What is or was held for a wish, newest first.
        holds_for(WishId);
}

record! {
    /// The barn's own rules for its young. There is one such record, `barn`.
    BarnRules RulesId {
        sheds: Option<u32> = "sheds",
        meals: Option<u32> = "meals",
        /// Percent of an animal's mass.
        prey_low: Option<u32> = "prey_low_pct",
        prey_high: Option<u32> = "prey_high_pct",
        feed_days: Option<u32> = "feed_days",
        /// Before a female goes again: days of rest after laying, days after which the season for it has passed, percent of
        /// her weight before laying, meals taken since.
        again_rest_days: Option<u32> = "again_rest_days",
        again_until_days: Option<u32> = "again_until_days",
        again_weight_pct: Option<u32> = "again_weight_pct",
        again_meals: Option<u32> = "again_meals",
        /// After cooling, before an animal is paired: days in the warm, meals and sheds since.
        cooled_days: Option<u32> = "cooled_days",
        cooled_meals: Option<u32> = "cooled_meals",
        cooled_sheds: Option<u32> = "cooled_sheds",
        /// The code of what new amounts are in, by ISO 4217; none: the barn writes no amounts down, and pages ask for none.
        currency: Option<String> = "currency",
    }
    over Over::Never;
}

record! {
    /// The barn's own rule for who may breed, of one species and sex. Its id names both ([`BreedingRule::id_of`]), so that two
    /// devices write one rule.
    BreedingRule BreedingRuleId {
        /// A species record's id or a shipped profile's key.
        species: Option<String> = "species",
        sex: Option<Sex> = "sex",
        age_months: Option<u32> = "age_months" => "months of age",
        mass: Option<Mass> = "mass_mg" => "least weight",
        /// In a row, unassisted.
        meals: Option<u32> = "meals",
        /// Cooled first.
        cooled: bool = "cooled" => "cooling before",
    }
    over Over::Never;
}

impl BreedingRule {
    /// The one record of a species and sex.
    pub fn id_of(species: &str, sex: Sex) -> BreedingRuleId {
        BreedingRuleId::new([species, ".", sex.word()].concat())
    }

    pub fn rule(&self) -> trade::breeders::Rule {
        trade::breeders::Rule { age_months: self.age_months, mass: self.mass, meals: self.meals, cooled: self.cooled }
    }
}

record! {
    /// A row of Rounds put off. Its id is the row's: what is due, of which thing.
    Snooze SnoozeId {
        /// The first day on which it is shown again.
        until: Option<NaiveDate> = "until",
    }
    over Over::Never;
}
