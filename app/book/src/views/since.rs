//! From when on eggs count their days: one answer for all that shows a day.

use crate::book::Book;
use crate::heat::is_close;
use crate::ids::ClutchId;
use crate::records::Egg;
use chrono::NaiveDateTime;
use trade::told::Told;
use trade::when::When;

/// What a count of days begins with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SinceWhat {
    Laid,
    /// Laid about then: known only to some days, or told by candling.
    LaidAbout,
    /// Nobody saw the laying and nothing tells it: how long before they were laid is not known.
    Found,
}

impl SinceWhat {
    fn laid(closely: bool) -> Self {
        if closely { Self::Laid } else { Self::LaidAbout }
    }
}

/// The day that counts as 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Since {
    pub when: When,
    pub what: SinceWhat,
}

impl Since {
    /// As it was noted.
    pub(super) fn noted(book: &Book, eggs: &[&Egg]) -> Option<Self> {
        let (egg, when) = eggs.iter().find_map(|egg| Some((egg, book.laid(egg)?)))?;
        let what = match (book.laid_known(egg), book.laid_closely(egg)) {
            (None, _) => SinceWhat::Found,
            (Some(_), close) => SinceWhat::laid(close.is_some()),
        };
        Some(Self { when, what })
    }

    /// As it was noted of a clutch, eggs or not.
    pub fn of_clutch(book: &Book, clutch: &ClutchId) -> Option<Self> {
        let all = book.same_clutch(clutch);
        let found = || all.iter().find_map(|clutch| clutch.found).map(|when| Self { when, what: SinceWhat::Found });
        let laid = all.iter().find_map(|clutch| clutch.laid);
        laid.map(|when| Self { when, what: SinceWhat::laid(is_close(when)) }).or_else(found)
    }

    /// As it was noted of an egg.
    pub fn of_egg(book: &Book, egg: &Egg) -> Option<Self> {
        Self::noted(book, &[egg])
    }

    /// As candling tells it, where it tells: the window goes by that too.
    pub(super) fn of(book: &Book, eggs: &[&Egg], told: Option<&Told>) -> Option<Self> {
        let told = told.map(|told| Self { when: told.laid, what: SinceWhat::LaidAbout });
        told.or_else(|| Self::noted(book, eggs))
    }

    /// The lay date as far as anything is known of it.
    pub fn laid(self) -> Option<When> {
        (self.what != SinceWhat::Found).then_some(self.when)
    }

    pub fn days(self, now: NaiveDateTime) -> i64 {
        (now.date() - self.when.date()).num_days()
    }
}
