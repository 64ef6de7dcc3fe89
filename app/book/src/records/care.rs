//! What a veterinarian ordered, and each dose of it; who or what is set apart; who is kept cool through the
//! winter; which tubs were cleaned.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalId, CleaningId, CleaningRuleId, CoolingId, DoseId, QuarantineId, Thing, TreatmentId};
use crate::read::BARN;
use chrono::NaiveDate;
use trade::units::Temp;
use trade::when::When;

record! {
    /// What a veterinarian ordered for an animal, in the keeper's words. The program knows no medicine and no dose.
    Treatment TreatmentId {
        animal: Option<AnimalId> = "animal",
        /// The medicine, or what is to be done.
        what: Option<String> = "what" => "medicine or measure",
        /// How much, and how.
        dose: Option<String> = "dose" long,
        /// Who ordered it.
        by: Option<String> = "by" => "veterinarian",
        /// The first dose.
        from: Option<When> = "from" => "first dose",
        /// Hours from dose to dose; 0: one dose.
        every_hours: Option<u32> = "every_hours" => "hours between doses",
        /// The last day; none: until the veterinarian says so.
        until: Option<NaiveDate> = "until" => "last day",
        /// Ended before that.
        ended: Option<When> = "ended",
        note: Option<String> = "note" long,
    }
    over Over::Never;
    about animal at from;
    link Treatments { animal by from }
        /// Newest first, ended ones included.
        treatments(AnimalId);
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let name = self.animal.as_ref().map(|animal| book.animal_name(animal));
            Some([name, self.what.clone()].into_iter().flatten().collect::<Vec<_>>().join(": "))
        }

        fn is_live(&self) -> bool {
            self.ended.is_none()
        }
    }
}

record! {
    /// A dose given, or left out.
    Dose DoseId {
        treatment: Option<TreatmentId> = "treatment",
        when: Option<When> = "when",
        /// Not given, and on purpose.
        left_out: bool = "left_out",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen treatment at when;
    link Doses { treatment by when }
        /// Newest first, those left out included.
        doses(TreatmentId);
}

record! {
    /// An animal, or a place with all in it, set apart from the others.
    Quarantine QuarantineId {
        /// An animal or a place.
        of: Option<Thing> = "of" => "who or what is set apart",
        from: Option<When> = "from",
        /// The last day; it goes on until somebody ends it.
        until: Option<NaiveDate> = "until" => "last day",
        ended: Option<When> = "ended",
        why: Option<String> = "why" => "reason" long,
    }
    over Over::Never;
    about of at from;
    link Quarantines { of by from }
        /// Newest first, ended ones included.
        quarantines(Thing);
    also {
        fn called(&self, book: &Book) -> Option<String> {
            self.of.as_ref().map(|of| book.short_name(of))
        }

        fn is_live(&self) -> bool {
            self.ended.is_none()
        }
    }
}

record! {
    /// An animal kept cool for some weeks (brumation). Those cooled together have a record each, with the same days and
    /// temperature: so each may end on its own, on whichever device.
    Cooling CoolingId {
        animal: Option<AnimalId> = "animal",
        /// The first day as planned; it may be to come.
        from: Option<When> = "from" => "first day",
        /// The last day as planned; it goes on until somebody ends it.
        until: Option<NaiveDate> = "until" => "last day",
        /// What is aimed at.
        temp: Option<Temp> = "temp_cc" => "target temperature",
        /// From the last meal to the first day.
        fast_days: Option<u32> = "fast_days" => "days without food before",
        began: Option<When> = "began",
        /// Ended; without having begun, called off.
        ended: Option<When> = "ended",
        note: Option<String> = "note" long,
    }
    over Over::Never;
    about animal at from;
    link Coolings { animal by from }
        /// Newest first, ended ones included.
        coolings(AnimalId);
    also {
        fn called(&self, book: &Book) -> Option<String> {
            self.animal.as_ref().map(|animal| book.animal_name(animal))
        }

        fn is_live(&self) -> bool {
            self.ended.is_none()
        }
    }
}

impl Cooling {
    /// Those of one plan, by which they are shown and put right together.
    pub(crate) fn plan(&self) -> (Option<NaiveDate>, Option<NaiveDate>, Option<Temp>) {
        (self.from.map(When::date), self.until, self.temp)
    }
}

record! {
    /// A tub washed out, or only what was soiled taken out of it.
    Cleaning CleaningId {
        /// A tub or slot; of an animal that is in none, the animal ([`crate::views::tub_of`]).
        of: Option<Thing> = "of" => "what was cleaned",
        when: Option<When> = "when",
        /// Only what was soiled: the next cleaning is due as if it had not been.
        spot: bool = "spot" => "only what was soiled",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen of at when;
    link Cleanings { of by when }
        /// Newest first.
        cleanings(Thing);
}

record! {
    /// After how many days a tub is cleaned again: the barn's own rule, for one species or for all that have none of their
    /// own. Its id names the species ([`CleaningRule::id_of`]), so that two devices write one rule.
    CleaningRule CleaningRuleId {
        /// A species record's id or a shipped profile's key; none: for all.
        species: Option<String> = "species",
        days: Option<u32> = "days" => "days between cleanings",
    }
    over Over::Never;
}

impl CleaningRule {
    /// The one record of a species, or of all.
    pub fn id_of(species: Option<&str>) -> CleaningRuleId {
        CleaningRuleId::new(species.unwrap_or(BARN))
    }
}
