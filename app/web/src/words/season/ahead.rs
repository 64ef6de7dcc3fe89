//! The weeks ahead, wishes and what if, in words.

use super::{event, expected, number, percent};
use crate::prefs::Prefs;
use crate::words::{count, dates, units};
use book::views::WeighedWish;
use book::words::Sex;
use chrono::NaiveDate;
use trade::forecast::{Cause, Count, Event};
use trade::units::Temp;

pub const SCOPE: &str = "Of";
pub const ALL: &str = "the whole barn";
pub const BY_SPECIES: &str = "a species";
pub const BY_ROOM: &str = "a room";
pub const BY_PAIR: &str = "a pairing";
pub const NOTHING: &str = "Nothing to count yet: no eggs are in, and no pair is expected to lay.";
pub const ALL_LAID: &str = "of all that is laid";
pub const ALL_PAIRED: &str = "of pairs that have not laid";

pub fn none_of(event_: Event) -> String {
    format!("{}: none expected.", event(event_))
}

pub const PAIRED: &str = "Pairs that have not laid";
pub const PAIRED_SAID: &str =
    "Counted apart: whether, when and how much they lay is as unsure as the rest. Not in the numbers above.";
pub const LEFT_OUT: &str = "Left out";
pub const RANGE: &str = "The bar is what is expected; the whisker is the range it lies in four times of five.";
pub const WISHES: &str = "Waiting list";
pub const WHAT_IF: &str = "What if…";
pub const WHAT_IF_SAID: &str = "Just to try. Nothing is saved; leave and it is gone.";
pub const SHELF: &str = "A shelf or incubator";
pub const PAIRING: &str = "A pairing that has not laid";
pub const CHOOSE: &str = "choose";
/// `0.5 °C cooler`.
pub fn cooler(step: &str) -> String {
    format!("{step} cooler")
}

pub fn warmer(step: &str) -> String {
    format!("{step} warmer")
}
pub const EARLIER: &str = "A week earlier";
pub const LATER_WEEK: &str = "A week later";
pub const LEAVE: &str = "Leave the what-if";
pub const MOVED: &str = "What it moves";
pub const NOTHING_MOVED: &str = "Nothing moves by a day or more.";
pub const STRIP: &str = "The season with this change";

pub fn week_of(day: NaiveDate, today: NaiveDate) -> String {
    format!("Week of {}", dates::day(day, today))
}

pub fn chart_label(event_: Event, whose: &str) -> String {
    format!(
        "{}, week by week, {whose}: bars for what is expected, whiskers for the likely range. The list below says the same.",
        event(event_)
    )
}

/// `4.4 expected; some with 92 %`.
pub fn maker(mean: f64, some: f64) -> String {
    format!("{} expected; at least one: {}", number(mean), percent(some))
}

pub fn whole(c: Count, clutches: usize, mostly_: Option<Cause>) -> String {
    let whole = format!("{} babies in all, from {}.", expected(c), count(clutches, "clutch", "clutches"));
    [Some(whole), mostly(mostly_)].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// What makes a range as wide as it is, more than anything else.
pub fn mostly(cause: Option<Cause>) -> Option<String> {
    let what = match cause? {
        Cause::Rates => "how well eggs of these species hatch here, which is not known yet",
        Cause::Dams => "how the dams and pairs differ",
        Cause::Shelves => "how the shelves do",
        Cause::Season => "what kind of season it is",
        Cause::Fails => "whether a clutch fails whole",
        Cause::Clutches => "how one clutch differs from the next",
        Cause::Eggs => "each egg's own luck",
        Cause::Laying => "whether pairs lay",
        Cause::Dates => "when the clutches begin",
    };
    Some(format!("What makes it unsure is mostly {what}."))
}

pub fn pair(laid: f64, c: Count) -> String {
    format!("lays with {}; {} babies", percent(laid), expected(c))
}

/// `3 wanted, 2.1 expected, 64 % chance of at least 3`.
pub fn wish(w: &WeighedWish) -> String {
    match w.likely {
        Some(likely) => format!(
            "{} wanted, {} expected, {} chance of at least {}",
            w.wanted,
            number(likely.expected),
            percent(likely.chance),
            w.wanted
        ),
        None => format!("{} wanted; add a species to see the chance", w.wanted),
    }
}

pub fn wish_title(w: &WeighedWish) -> String {
    let sex = w.wish.sex.and_then(|sex| match sex {
        Sex::Female => Some("female"),
        Sex::Male => Some("male"),
        Sex::Unknown => None,
    });
    let parts = [w.mark.clone(), w.species.clone(), sex.map(str::to_owned), w.wish.what.clone()];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn wish_from(n: usize) -> String {
    format!(
        "worked out from {} of this species, laid or expected; each entry of the waiting list as if it came first",
        count(n, "clutch", "clutches")
    )
}

pub fn set_to(place: &str, temp: Temp, prefs: &Prefs) -> String {
    format!("{place} at {}", units::temp(temp, prefs))
}

pub fn paired_later(pair: &str, days: i64) -> String {
    let by = count(usize::try_from(days.abs()).unwrap_or(0), "day", "days");
    format!("{pair} {by} {}", if days < 0 { "earlier" } else { "later" })
}

pub fn moved(name: &str, from: (NaiveDate, NaiveDate), to: (NaiveDate, NaiveDate), today: NaiveDate) -> String {
    format!("{name}: first pip {} instead of {}", dates::range(to.0, to.1, today), dates::range(from.0, from.1, today))
}

pub fn whole_changed(was: Count, is: Count) -> String {
    format!("Babies in all: {} instead of {}.", expected(is), expected(was))
}
