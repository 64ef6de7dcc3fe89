//! Pairings and the wait for eggs.

use super::{count, dates, units, window};
use crate::prefs::Prefs;
use book::InSeries;
use book::views::{Again, NextStep, Since, SinceWhat};
use book::words::AnimalEventWhat;
use chrono::NaiveDate;
use trade::again::Wants;
use trade::breeders::{Lack, Rule, Stand};
use trade::lay::Sign;

pub const TITLE: &str = "Pairings";
pub const EMPTY: &str =
    "No pairing yet. Put a female and a male together: you then see when to expect eggs, and her clutch gets its sire.";
pub const NEW: &str = "New pairing";
pub const PAIR: &str = "Pair";
pub const TOGETHER: &str = "Together now";
pub const WAITED: &str = "Expecting eggs";
pub const EARLIER: &str = "Earlier";
pub const AGAIN: &str = "A second clutch";
pub const RULE: &str = "Rule for a second clutch";
pub const RULE_SAVED: &str = "Rule saved.";
pub const NO_SUCH: &str =
    "This pairing is not on this device. Open a bundle from the device that has it, or look in the list.";
pub const TO_LIST: &str = "All pairings";

pub const READY: &str = "Ready to breed";
pub const READY_EMPTY: &str = "No rule is set yet. Set below what an animal needs before it breeds, by species and sex: age, weight, meals, cooling.";
pub const READY_NOBODY: &str = "No animal here has a species and sex your rules cover.";
pub const READY_NO_KIND: &str =
    "No animal here has both its species and its sex noted. Note them on its page, so that a rule can apply.";
/// The help sentence of the page.
pub const READY_HOW: &str = "By your own rules for each species and sex. Who is in quarantine, treated, kept cool or carrying eggs is never ready. Pairing one that is not ready asks first.";
pub const READY_CAUTION: &str = "A rule sees figures, not the animal. Look at its body, and ask a reptile veterinarian about one you are not sure of.";
pub const READY_RULES: &str = "Your rules";
pub const READY_SOURCE: &str =
    "No figure is offered: lines and sizes differ, and no source here is right for all. An empty field is not checked.";
pub const RULE_SET: &str = "Set a rule";
pub const RULE_OF: &str = "Species";
pub const COOLED_FIRST: &str = "Cooled first";
pub const COOLED_NO: &str = "not asked";
pub const COOLED_YES: &str = "this season, and out of it";

pub const FEMALE: &str = "Female";
pub const MALE: &str = "Male";
pub const OTHERS: &str = "Another";
pub const SEVERAL: &str = "Tap more than one where it is not known which.";
pub const NOBODY_FEMALE: &str = "There is no female here yet. Add her first.";
pub const NOBODY_MALE: &str = "There is no male here yet. Add him first, or save without: the sire is then unknown.";
pub const NOTE: &str = "Note";
pub const SAVED: &str = "Pairing saved.";

pub use desk::forms::pairing::{INTRODUCED, SEPARATED};
pub const NOT_SEPARATED: &str = "still together";
pub const LOCKS: &str = "Locks seen";
pub const NO_LOCK: &str = "No lock seen yet.";
pub const LOCK: &str = "Lock seen";
pub const LOCK_SAVED: &str = "Lock saved.";
pub const SEPARATE: &str = "Separate";
pub const SEPARATE_SAVED: &str = "Separated: saved.";
pub const SEEN_OF_HER: &str = "Tap what was seen of her; it is saved at once";
pub const EGGS_FOUND: &str = "Eggs found";
pub const CLUTCHES: &str = "Clutches";
pub const EDIT: &str = "Edit";
pub const EDIT_TITLE: &str = "Edit the pairing";
pub const CLASHING: &str = "Two devices wrote different things about this pairing. Rounds shows both; choose one.";
pub const UNKNOWN: &str = "unknown";

/// What an event is called on its button.
pub fn event(what: AnimalEventWhat) -> String {
    super::animals::event_button(what)
}

pub fn sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Laid => "her last clutch",
        Sign::Lock => "the lock seen",
        Sign::Ovulation => "her ovulation",
        Sign::PreLayShed => "her pre-lay shed",
    }
}

/// `after her pre-lay shed, common practice`, `after her ovulation, from 7 of your clutches`.
pub fn basis(of: Sign, own: u32) -> String {
    match own {
        0 => format!("after {}, common practice", sign(of)),
        n => format!("after {}, from {} of yours", sign(of), count(n as usize, "clutch", "clutches")),
    }
}

/// `3 clutches this season: 12 Apr, 10 May (28 days), 7 Jun (28 days)`.
pub fn series(series: &[InSeries], today: NaiveDate) -> String {
    let each = series.iter().map(|one| {
        let after = one.days.map(|days| format!(" ({})", count(days.unsigned_abs() as usize, "day", "days")));
        format!("{}{}", dates::laid(one.laid, today), after.unwrap_or_default())
    });
    let each: Vec<String> = each.collect();
    format!("{} this season: {}", count(series.len(), "clutch", "clutches"), each.join(", "))
}

/// What is waited for, in a line.
pub fn next(step: &NextStep, today: NaiveDate) -> String {
    match step {
        NextStep::Straining { .. } => super::animals::VET_STRAINING.to_owned(),
        NextStep::Overdue { due, .. } => {
            format!("{} No eggs by {}.", super::animals::VET_OVERDUE, dates::day(*due, today))
        }
        NextStep::EggsDue { sign, from, to, own, .. } => {
            format!("Eggs likely {}, {}", dates::range(*from, *to, today), basis(*sign, *own))
        }
        NextStep::NoEggs { sign, seen, by } => {
            let (by, seen) = (dates::day(*by, today), dates::when(*seen, today));
            format!("No eggs by {by} after {}, {seen}: none are expected any more.", self::sign(*sign))
        }
        NextStep::EggsToBox { .. } => super::animals::NOT_BOXED.to_owned(),
        NextStep::Gone { .. } => super::animals::NOTHING_NEXT.to_owned(),
    }
}

/// `introduced 12 Apr · 2 locks, last 14 Apr · separated 20 Apr`.
pub fn line(introduced: Option<String>, locks: usize, last: Option<String>, separated: Option<String>) -> String {
    let locks = (locks > 0).then(|| {
        let last = last.map(|last| format!(", last {last}")).unwrap_or_default();
        format!("{}{last}", count(locks, "lock", "locks"))
    });
    let parts = [
        introduced.map(|day| format!("introduced {day}")),
        Some(locks.unwrap_or_else(|| "no lock seen".to_owned())),
        separated.map(|day| format!("separated {day}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn laid(number: &str, day: &str) -> String {
    format!("{number}, laid {day}")
}

/// `may go again`, or what she still wants.
pub fn again(again: &Again, mass: impl Fn(trade::units::Mass) -> String, today: NaiveDate) -> String {
    let wants = |wants: &Wants| match wants {
        Wants::Rest { until } => format!("rest until {}", dates::day(*until, today)),
        Wants::Weighing => "to be weighed".to_owned(),
        Wants::Weight { least } => format!("to weigh {}", mass(*least)),
        Wants::Meals { taken, of } => format!("meals: {taken} of {of} taken"),
    };
    let likely = again.eggs.eggs.likely;
    let eggs = dates::range(likely.0.date(), likely.1.date(), today);
    if again.wants.is_empty() {
        format!("Ready to pair again; eggs then about {eggs}")
    } else {
        format!("Needs {}", again.wants.iter().map(wants).collect::<Vec<_>>().join(", "))
    }
}

pub fn rule(rule: &trade::again::Rule) -> String {
    let basis = if *rule == trade::again::USUAL { "common practice, no source" } else { "your rule" };
    format!(
        "Rested {} days, back at {} % of her weight before laying, {} taken, within {} days of laying: {basis}.",
        rule.rest_days,
        rule.weight_pct,
        count(rule.meals as usize, "meal", "meals"),
        rule.until_days
    )
}

pub fn not_yet(n: usize) -> String {
    format!("{n} not yet: rest, weighing or meals first")
}

pub fn laid_ago(since: Since, today: NaiveDate) -> String {
    window::laid(&dates::away(since.when.date(), today), since.what == SinceWhat::Found)
}

pub fn ready_stand(stand: Stand) -> &'static str {
    match stand {
        Stand::Ready => "Ready",
        Stand::Nearly => "Nearly",
        Stand::Not => "Not yet",
    }
}

/// What stands in the way, most lasting first.
pub fn lacks(lacks: &[Lack], prefs: &Prefs, today: NaiveDate) -> String {
    book::acts::lacking(lacks, &prefs.units(), &|day| dates::day(day, today))
}

/// `Corn snake, female: 36 months, 350 g, 3 meals in a row, cooled first`.
pub fn breeding_rule(species: &str, sex: &str, rule: &Rule, prefs: &Prefs) -> String {
    let asked = [
        rule.age_months.map(|months| count(months as usize, "month", "months")),
        rule.mass.map(|mass| units::mass(mass, prefs)),
        rule.meals.map(|meals| format!("{} in a row", count(meals as usize, "meal", "meals"))),
        rule.cooled.then(|| "cooled first".to_owned()),
    ];
    format!("{species}, {sex}: {}", asked.into_iter().flatten().collect::<Vec<_>>().join(", "))
}

/// `Corn snake, male (4)`.
pub fn no_rule(species: &str, sex: &str, n: usize) -> String {
    format!("{species}, {sex} ({n})")
}

pub fn no_rules(of: &str) -> String {
    format!("No rule yet for: {of}")
}
