//! The demonstration season: Alder Lane, an invented barn with two keepers, as it would stand on a given day.
//!
//! Guarantees: the same day gives the same lines; every line was drafted by an act, checked against the book as
//! it stood on the writing device, and taken by the book of the other device.
//!
//! Absent by design: the clock and randomness. The day is an argument; ids and keys are counted from it.

mod animals;
mod care;
mod clutches;
mod faces;
mod genetics;
mod hatching;
mod heat;
mod incubation;
mod last_year;
mod money;
mod mother;
mod places;
mod season;
mod story;
mod young;

#[cfg(test)]
mod tests;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use season::Season;

pub use faces::PICTURES;

/// The season's book id: its own, so that it never mixes with a real barn's.
pub const BOOK: [u8; 5] = [0xA1, 0xDE, 0x12, 0x1A, 0x4E];

/// The season's journal as it stands when `today` begins, oldest line first: one book, two devices, two
/// keepers. A pure function of the day.
///
/// Nothing in it happens on `today` itself. There is no season before 1971 (the journal's clock begins
/// in 1970) and none in the last year of the calendar.
pub fn season(today: NaiveDate) -> Vec<String> {
    play(today).lines
}

/// The season as a book.
#[cfg(test)]
pub(crate) fn book(today: NaiveDate) -> crate::Book {
    let mut book = crate::Book::new(journal::Id::mint(BOOK));
    season(today).iter().for_each(|line| drop(book.take(line).expect("a line of the season")));
    book
}

fn play(today: NaiveDate) -> Season {
    let mut season = Season::new(today);
    let first = NaiveDate::from_ymd_opt(1971, 1, 1);
    if first.is_none_or(|first| today < first) || today.checked_add_signed(TimeDelta::days(366)).is_none() {
        return season;
    }
    let mut plan = Plan { today, deeds: Vec::new() };
    places::plan(&mut plan);
    animals::plan(&mut plan);
    clutches::plan(&mut plan);
    incubation::plan(&mut plan);
    hatching::plan(&mut plan);
    genetics::plan(&mut plan);
    heat::plan(&mut plan);
    last_year::plan(&mut plan);
    story::plan(&mut plan);
    young::plan(&mut plan);
    care::plan(&mut plan);
    faces::plan(&mut plan);
    money::plan(&mut plan);
    mother::plan(&mut plan);
    // Stable: what is planned for one minute happens in the order of planning.
    plan.deeds.sort_by_key(|deed| deed.at);
    for deed in plan.deeds {
        season.at(deed.who, deed.at);
        if let Err(why) = (deed.what)(&mut season) {
            season.refused.push(format!("{}: {why}", deed.at));
        }
    }
    season.meet();
    season
}

/// The two keepers, each with a phone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Who {
    Ines,
    Tobin,
}

impl Who {
    const ALL: [Who; 2] = [Who::Ines, Who::Tobin];

    fn name(self) -> &'static str {
        match self {
            Who::Ines => "Ines Harrow",
            Who::Tobin => "Tobin Vale",
        }
    }
}

/// Days before today, and the time of that day.
#[derive(Clone, Copy, Debug)]
struct Ago(i64, u32, u32);

type What = Box<dyn FnOnce(&mut Season) -> Result<(), String>>;

struct Deed {
    at: NaiveDateTime,
    who: Who,
    what: What,
}

/// What is going to be done, in no order yet.
struct Plan {
    today: NaiveDate,
    deeds: Vec<Deed>,
}

impl Plan {
    fn day(&self, ago: i64) -> NaiveDate {
        self.today - TimeDelta::days(ago)
    }

    fn moment(&self, Ago(days, hour, minute): Ago) -> NaiveDateTime {
        let time = NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default();
        self.day(days).and_time(time)
    }

    /// Something to do; it may refuse with a sentence.
    fn add(&mut self, who: Who, ago: Ago, what: impl FnOnce(&mut Season) -> Result<(), String> + 'static) {
        self.deeds.push(Deed { at: self.moment(ago), who, what: Box::new(what) });
    }
}
