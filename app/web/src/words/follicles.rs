//! Follicles, and a female's season on one line.

use super::animals::capital;
use super::{count, dates};
use crate::prefs::Prefs;
use book::views::{After, Basis, ExpectedStep, Finding, HerSeason, SeasonStep, SeenStep};
use book::words::{LookedAs, Side};
use book::{Leg, OwnLeg};
use chrono::NaiveDate;
use trade::lay::{SETTLED, Sign};

pub const LOOKED: &str = "How";
pub const SIDE: &str = "Side";
pub const SAVED: &str = "Follicles saved.";
/// The help sentence of the step.
pub const HOW: &str = "Enter what you felt or saw; leave the rest empty. 0 means there were none. After three of your seasons, her page says when follicles of this size come to ovulation.";
pub const LEGS: &str = "How long it took before";

fn looked_as(looked: LookedAs) -> &'static str {
    match looked {
        LookedAs::Palpated => "palpated",
        LookedAs::Ultrasound => "ultrasound",
    }
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

pub fn looked_choices() -> Vec<(Option<LookedAs>, String)> {
    let ways = LookedAs::ALL.iter().map(|way| (Some(*way), capital(looked_as(*way))));
    ways.chain([(None, "Not said".to_owned())]).collect()
}

pub fn side_choices() -> Vec<(Option<Side>, String)> {
    let sides = Side::ALL.iter().map(|one| (Some(*one), capital(side(*one))));
    sides.chain([(None, "Both".to_owned())]).collect()
}

/// `Follicles: 31 mm, 6, left, ultrasound`.
pub fn finding(found: &Finding, prefs: &Prefs) -> String {
    if found.count == Some(0) {
        let rest = [found.side.map(side), found.looked.map(looked_as)].into_iter().flatten().map(str::to_owned);
        return std::iter::once("No follicles".to_owned()).chain(rest).collect::<Vec<_>>().join(", ");
    }
    let parts = [
        found.um.map(|um| prefs.units().length(um)),
        found.count.map(|n| n.to_string()),
        found.side.map(|one| side(one).to_owned()),
        found.looked.map(|way| looked_as(way).to_owned()),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "Follicles".to_owned() } else { format!("Follicles: {}", parts.join(", ")) }
}

/// Under the line: one word, or the size. None for what only the list says.
pub fn mark(step: SeasonStep, found: Option<&Finding>, prefs: &Prefs) -> Option<String> {
    let word = match step {
        SeasonStep::Laid => "laid",
        SeasonStep::Found => "found",
        SeasonStep::Cooling => "cooled",
        SeasonStep::Warm => "warm",
        SeasonStep::Introduced => "paired",
        SeasonStep::Lock => "lock",
        SeasonStep::Separated | SeasonStep::LayBox => return None,
        SeasonStep::Follicles => match found?.um {
            Some(um) => return Some(prefs.units().length(um)),
            None => "follicles",
        },
        SeasonStep::Ovulation => "ovulation",
        SeasonStep::PreLayShed => "shed",
    };
    Some(word.to_owned())
}

/// Under the line, of what is expected.
pub fn mark_ahead(step: SeasonStep) -> Option<String> {
    match step {
        SeasonStep::Laid => Some("eggs?".to_owned()),
        SeasonStep::Cooling => Some("cool".to_owned()),
        SeasonStep::Ovulation => Some("ovulation?".to_owned()),
        SeasonStep::PreLayShed => Some("shed?".to_owned()),
        SeasonStep::Warm => Some("warm".to_owned()),
        SeasonStep::Found
        | SeasonStep::Introduced
        | SeasonStep::Lock
        | SeasonStep::Separated
        | SeasonStep::Follicles
        | SeasonStep::LayBox => None,
    }
}

fn step(step: SeasonStep) -> &'static str {
    match step {
        SeasonStep::Laid => "Laid",
        SeasonStep::Found => "Eggs found",
        SeasonStep::Cooling => "Cooling",
        SeasonStep::Warm => "Warm again",
        SeasonStep::Introduced => "Introduced",
        SeasonStep::Lock => "Lock seen",
        SeasonStep::Separated => "Separated",
        SeasonStep::Follicles => "Follicles",
        SeasonStep::Ovulation => "Ovulation",
        SeasonStep::PreLayShed => "Pre-lay shed",
        SeasonStep::LayBox => "Lay box in",
    }
}

/// What was seen, and when: `Lock seen, 3 times` and `11 Feb, last 19 Feb`.
pub fn seen(seen: &SeenStep, prefs: &Prefs, today: NaiveDate) -> (String, String) {
    let day = dates::laid(seen.when, today);
    let until = seen.until.map(|until| dates::laid(until, today));
    match (seen.step, &seen.finding, until) {
        (SeasonStep::Cooling, _, Some(until)) => (step(seen.step).to_owned(), format!("{day} to {until}")),
        (SeasonStep::Cooling, _, None) => (step(seen.step).to_owned(), format!("since {day}")),
        (_, Some(found), _) => (finding(found, prefs), day),
        (SeasonStep::Lock, _, Some(last)) => {
            (format!("{}, {} times", step(seen.step), seen.times), format!("{day}, last {last}"))
        }
        _ => (step(seen.step).to_owned(), day),
    }
}

/// What is expected, when, and on what it stands.
pub fn ahead(ahead: &ExpectedStep, today: NaiveDate) -> (String, String, String) {
    let days = dates::range(ahead.from, ahead.to, today);
    let what = match (ahead.step, ahead.basis) {
        (SeasonStep::Laid, _) => "Eggs likely".to_owned(),
        (SeasonStep::Cooling, _) => "Cooling begins".to_owned(),
        (_, Basis::Planned) => step(ahead.step).to_owned(),
        (_, Basis::Reckoned { .. }) => format!("{} likely", step(ahead.step)),
    };
    (what, days, basis(ahead.basis))
}

fn basis(basis: Basis) -> String {
    let Basis::Reckoned { after, own } = basis else { return "as planned".to_owned() };
    let after = match after {
        After::Follicles => "follicles of that size",
        After::Sign(Sign::Laid) => "her last clutch",
        After::Sign(Sign::Lock) => "the lock seen",
        After::Sign(Sign::Ovulation) => "her ovulation",
        After::Sign(Sign::PreLayShed) => "her pre-lay shed",
    };
    match own {
        0 => format!("after {after}: common practice, no source"),
        n if n < SETTLED => {
            format!("after {after}, from {} of yours: still an experiment", count(n as usize, "season", "seasons"))
        }
        n => format!("after {after}, from {n} of your seasons"),
    }
}

/// `Ovulation to pre-lay shed: 21 and 19 days; your others 17 to 24 days (6)`.
pub fn leg(own: &OwnLeg) -> String {
    let name = match own.leg {
        Leg::FolliclesToOvulation => "Largest follicle to ovulation",
        Leg::OvulationToShed => "Ovulation to pre-lay shed",
        Leg::OvulationToEggs => "Ovulation to eggs",
        Leg::ShedToEggs => "Pre-lay shed to eggs",
    };
    let hers: Vec<String> = own.hers.iter().map(i64::to_string).collect();
    let hers = (!hers.is_empty()).then(|| format!("hers {} days", hers.join(", ")));
    let others = own.others.iter().min().zip(own.others.iter().max()).map(|(least, most)| {
        let days = if least == most { format!("{least} days") } else { format!("{least} to {most} days") };
        format!("your others {days} ({})", own.others.len())
    });
    format!("{name}: {}", [hers, others].into_iter().flatten().collect::<Vec<_>>().join("; "))
}

/// The picture in words; the list below it has the days.
pub fn line(season: &HerSeason) -> String {
    let seen: Vec<&str> = season.seen.iter().map(|seen| step(seen.step)).collect();
    let ahead: Vec<&str> = season.ahead.iter().map(|ahead| step(ahead.step)).collect();
    let ahead = if ahead.is_empty() { String::new() } else { format!("; expected: {}", ahead.join(", ")) };
    let seen = if seen.is_empty() { "nothing yet".to_owned() } else { seen.join(", ") };
    format!("Her season on one line: {seen}{ahead}. The list below says when.")
}
