//! What veterinarians ordered; who is set apart.

use super::{count, dates};
use book::views::{QuarantineRow, TreatmentRow};
use chrono::{NaiveDate, NaiveDateTime};
use trade::doses::Fills;
use trade::when::When;

pub const TITLE: &str = "Treatments and quarantine";
pub const TITLE_SAID: &str = "What a veterinarian ordered, dose by dose; who is set apart; how often tubs are cleaned";
pub const TREATMENTS: &str = "Treatments";
pub const NEW: &str = "New treatment";
pub const TREAT: &str = "Treatment";
pub const EDIT: &str = "Edit";
pub const EDIT_TITLE: &str = "Edit the treatment";
pub const EMPTY: &str = "No treatment is noted. When a veterinarian orders one, note it on the animal's page: its doses then show on Rounds.";
pub const TO_ANIMALS: &str = "See the animals";
pub const NO_SUCH: &str = "This treatment is not on this device.";
pub const TO_LIST: &str = "All treatments";
pub const OVER: &str = "Over";
/// The help sentence of the page.
pub const HOW: &str = "Type what the veterinarian ordered, in their words. Each dose then shows on Rounds until you tick it off; one whose time has passed counts as missed.";
pub const CAUTION: &str = "Candlemark knows no medicine and checks no dose. Medicines only as a reptile veterinarian ordered them for this animal; call them about a dose missed or given twice, and when the animal gets worse.";
pub const DOSE: &str = "How much, and how";
pub const DOSE_HINT: &str = "As ordered, word for word";
pub const BY: &str = "Ordered by";
pub const HOW_OFTEN: &str = "How often";
pub const ONCE: &str = "one dose";
pub const IN_DAYS: &str = "every so many days";
pub const IN_HOURS: &str = "every so many hours";
pub const UNTIL_HINT: &str = "Empty: until the veterinarian says so";
pub const NOTE: &str = "Note";
pub const SAVED: &str = "Treatment saved.";
pub const GIVEN: &str = "Given";
pub const GIVE: &str = "Dose given";
pub const LEAVE_OUT: &str = "Left out on purpose";
pub const LEFT_OUT: &str = "Left out";
pub const GIVEN_SAVED: &str = "Dose saved.";
pub const LEFT_OUT_SAVED: &str = "Left out: saved.";
pub const GIVEN_ON: &str = "On";
pub const GIVEN_ON_HINT: &str = "Empty: now.";
pub const WHY: &str = "Note, or why it was left out";
pub const END: &str = "End it";
pub const END_SAVED: &str = "Treatment ended.";
pub const ENDED: &str = "Ended";
pub const FIRST: &str = "First dose";
pub const UNTIL: &str = "Until";
pub const OPEN_END: &str = "until the veterinarian says so";
pub const DOSES: &str = "Doses";
pub const NO_DOSE: &str = "None given yet.";
pub const MISSED: &str = "Missed";
pub const CLASHING: &str = "Two devices wrote different things about this treatment. You see the later one.";
/// Of two treatments that order the same.
const NOTED_TWICE: &str = "noted twice: end one of the two";
pub const NO_ANIMAL: &str = "an animal not on this device";

/// `one dose`, `every 12 hours`, `once a day`, `every 3 days`.
pub fn often(every_hours: u32) -> String {
    match every_hours {
        0 => ONCE.to_owned(),
        24 => "once a day".to_owned(),
        days if days.is_multiple_of(24) => format!("every {} days", days / 24),
        hours => format!("every {}", count(hours as usize, "hour", "hours")),
    }
}

/// `Paste · as written on the tube`.
pub fn what(what: &str, dose: Option<&str>) -> String {
    [Some(what), dose].into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

/// When a dose is due: the hour only where it was ordered by the hour.
fn moment(at: NaiveDateTime, hourly: bool, today: NaiveDate) -> String {
    if hourly { dates::moment(at, today) } else { dates::near(at.date(), today) }
}

fn missed(n: u32) -> String {
    format!("{} missed", count(n as usize, "dose", "doses"))
}

/// `1 given twice`.
fn twice(n: u32) -> String {
    format!("{n} given twice")
}

/// Why a dose that was given counts for none of those ordered.
pub fn counts_for_none(fills: Fills) -> Option<&'static str> {
    match fills {
        Fills::Dose(_) | Fills::Idle => None,
        Fills::Twice(_) => Some("This one was already given"),
        Fills::Before => Some("Before the first dose was due"),
        Fills::After => Some("After the last day"),
    }
}

/// On Rounds, when two people gave one dose: `Paste: given twice, last today, 18:40`.
pub fn dosed_twice((what, dose): (&str, Option<&str>), last: When, today: NaiveDate) -> String {
    format!("{}: given twice, last {}. Ask the veterinarian", self::what(what, dose), dates::when(last, today))
}

/// On Rounds, when the last dose was missed: `Paste: over, 2 doses missed`.
pub fn over_missed((what, dose): (&str, Option<&str>), n: u32, given_twice: u32) -> String {
    let twice = if given_twice > 0 { format!(", {}", twice(given_twice)) } else { String::new() };
    format!("{}: over, {}{twice}. Ask the veterinarian", self::what(what, dose), missed(n))
}

/// On Rounds: `Paste · as written on the tube: due today; 1 dose missed before`.
pub fn due(
    (what, dose): (&str, Option<&str>),
    (at, hourly): (NaiveDateTime, bool),
    (missed_before, twice_before): (u32, u32),
    doubled: bool,
    today: NaiveDate,
) -> String {
    let missed = (missed_before > 0).then(|| missed(missed_before));
    let twice = (twice_before > 0).then(|| twice(twice_before));
    let before = missed.into_iter().chain(twice).collect::<Vec<_>>().join(", ");
    let before = if before.is_empty() { before } else { format!("; {before} before") };
    let doubled = if doubled { format!("; {NOTED_TWICE}") } else { String::new() };
    format!("{}: due {}{before}{doubled}", self::what(what, dose), moment(at, hourly, today))
}

/// How one stands: `due today · 3 of 10 given · 1 dose missed`.
pub fn stands(row: &TreatmentRow, today: NaiveDate) -> String {
    let hourly = !row.every_hours.is_multiple_of(24);
    let when = match (row.standing.due, row.standing.next) {
        (Some(at), _) => format!("due {}", moment(at, hourly, today)),
        (None, Some(at)) => format!("next {}", moment(at, hourly, today)),
        (None, None) => OVER.to_lowercase(),
    };
    let doubled = row.doubled.then(|| NOTED_TWICE.to_owned());
    std::iter::once(when).chain(counted(row)).chain(doubled).collect::<Vec<_>>().join(" · ")
}

/// `3 of 10 given`, `1 left out`, `1 dose missed`, and what was given beside that.
fn counted(row: &TreatmentRow) -> Vec<String> {
    let given = match row.of {
        Some(of) => format!("{} of {of} given", row.given),
        None => format!("{} given", row.given),
    };
    let left_out = (row.left_out > 0).then(|| format!("{} left out", row.left_out));
    let missed = (row.standing.missed > 0).then(|| missed(row.standing.missed));
    let twice = (row.twice > 0).then(|| twice(row.twice));
    let before = (row.before > 0).then(|| format!("{} before the first", row.before));
    let after = (row.after > 0).then(|| format!("{} after the last day", row.after));
    [Some(given), left_out, missed, twice, before, after].into_iter().flatten().collect()
}

pub fn missed_on(at: NaiveDateTime, every_hours: u32, today: NaiveDate) -> String {
    moment(at, !every_hours.is_multiple_of(24), today)
}

pub fn more(n: u32) -> String {
    format!("and {n} before")
}

/// `Given: Cricket`.
pub fn given_to(name: &str) -> String {
    format!("{GIVEN}: {name}")
}

pub fn of(name: &str) -> String {
    format!("{NEW}: {name}")
}

/// Heads those of an animal that are over.
pub fn past(n: usize) -> String {
    count(n, "treatment that is over", "treatments that are over")
}

/// On the papers that go with an animal: `9 Jun: Paste · as written on the tube, 9 of 10 given, 1 dose missed`.
pub fn on_paper(row: &TreatmentRow) -> String {
    let since = row.first.map(|first| format!("{}: ", dates::full(first))).unwrap_or_default();
    format!("{since}{}, {}", what(&row.what, row.dose.as_deref()), counted(row).join(", "))
}

pub const APART: &str = "Quarantine";
pub const APART_SET: &str = "Set apart";
/// The help sentence of the page.
pub const APART_HOW: &str = "What is set apart comes last on Rounds and when a rack is fed, and moving it out asks first. On its last day Rounds asks whether to end it.";
pub const APART_WHY: &str = "Why";
pub const APART_UNTIL_HINT: &str = "Newcomers are often set apart for 30 to 90 days (common practice, no source). Ask a reptile veterinarian how long, and what to test meanwhile.";
pub const APART_CAUTION: &str = "Use separate tongs, bowls and towels for what is set apart, and wash hands before and after (common practice, no source).";
pub const APART_SAVED: &str = "Quarantine saved.";
pub const APART_END: &str = "Let it out";
pub const APART_ENDED: &str = "Quarantine ended.";
pub const APART_NO_SUCH: &str = "This quarantine is not on this device.";
/// Beside a row that is done after its like.
pub const APART_LAST: &str = "in quarantine: last";
pub const NOBODY_APART: &str = "Nobody is set apart.";

/// `Quarantine: Bel`.
pub fn apart_of(name: &str) -> String {
    format!("{APART}: {name}")
}

/// How one stands: `until Thu 9 Jul`, `ended yesterday`, `left the barn yesterday`.
pub fn apart_stands(row: &QuarantineRow, today: NaiveDate) -> String {
    let over = row.over.map(|over| dates::when(over, today));
    match (row.open, row.quarantine.ended, over) {
        (true, ..) => apart_until(row.quarantine.until, today),
        (false, None, Some(left)) => format!("left the barn {left}"),
        (false, None, None) => "in the barn no longer".to_owned(),
        (false, Some(_), over) => format!("ended {}", over.unwrap_or_default()),
    }
}

fn apart_until(until: Option<NaiveDate>, today: NaiveDate) -> String {
    match until {
        Some(until) => format!("until {}", dates::near(until, today)),
        None => "until you end it".to_owned(),
    }
}

/// `Quarantine until Thu 9 Jul`, on the page of who is in it.
pub fn in_quarantine(until: Option<NaiveDate>, today: NaiveDate) -> String {
    format!("{APART} {}", apart_until(until, today))
}

/// `until Thu 9 Jul · 12 days by now · 3 animals · Mites.`
pub fn apart_line(row: &QuarantineRow, today: NaiveDate) -> String {
    let quarantine = &row.quarantine;
    let days = row.days.map(|days| count(days.max(0) as usize, "day", "days"));
    let days = days.map(|days| if row.open { format!("{days} by now") } else { days });
    let animals = (row.animals != 1).then(|| count(row.animals, "animal", "animals"));
    let stands = apart_stands(row, today);
    [Some(stands), days, animals, quarantine.why.clone()].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// On Rounds, on its last day and after.
pub fn apart_due(until: NaiveDate, today: NaiveDate) -> String {
    format!("{APART}: due to end {}. Let it out, or keep going?", dates::near(until, today))
}
