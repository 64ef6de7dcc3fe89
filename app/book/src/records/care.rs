//! What a veterinarian ordered, and each dose of it.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalId, DoseId, TreatmentId};
use chrono::NaiveDate;
use trade::when::When;

record! {
    /// What a veterinarian ordered for an animal, in the keeper's words. The program knows no medicine and no dose.
    Treatment TreatmentId {
        animal: Option<AnimalId> = "animal",
        /// The medicine, or what is to be done.
        what: Option<String> = "what" => "medicine or measure",
        /// How much, and how.
        dose: Option<String> = "dose",
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
