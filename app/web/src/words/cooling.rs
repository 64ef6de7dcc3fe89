//! Animals kept cool for some weeks, and what comes before they are paired.

use super::{count, dates, units};
use crate::prefs::Prefs;
use book::views::{Cold, CoolingGroup, CoolingRow, CoolingStage, CoolingStep, CoolingView};
use chrono::NaiveDate;
use trade::cooling::{FAST_DAYS, LOOK_PCT, Loss, Rule, Wants};
use trade::units::{Mass, Temp};
use trade::when::When;

pub const TITLE: &str = "Cooling";
pub const TITLE_SAID: &str = "Who is kept cool, from when to when; what each lost; who may be paired after it";
pub const COOL: &str = "Cool";
pub const NEW: &str = "Choose animals";
pub const EMPTY: &str = "No animal is cooling. Choose animals, a room or a whole kind, then set the days.";
/// The help sentence of the list.
pub const HOW: &str = "Several animals at once: tick them under Animals, Several at once, and tap Cool. Rounds then says when the last meal is due, when it begins, and when it ends.";
pub const CAUTION: &str = "Cool only grown animals that are healthy and well fed, and always leave them water (common practice, no source). Ask a reptile veterinarian about one that is thin, ill or losing weight.";
pub const SINCE_TODAY: &str = "A first day up to today means it has begun; a later one is a plan.";
pub use desk::forms::cooling::NOTE;
pub const SAVED: &str = "Cooling saved.";
pub const RULE_SAVED: &str = "Rule saved.";
pub const RULE_SOURCE: &str = "Two weeks in the warm, two meals and the shed that follows are common practice, no source; change it to your own. Pairing asks by this rule, and never refuses.";
pub const NO_SUCH: &str = "This cooling is not on this device.";
pub const TO_LIST: &str = "All coolings";
pub const BEGIN: &str = "Begin";
pub const END: &str = "End";
pub const WEIGH: &str = "Weigh";
pub const FIX: &str = "Put right";
pub const CALL_OFF: &str = "Call off";
pub const CALLED_OFF: &str = "Called off.";
/// The help sentence of one plan's page.
pub const TICKED_HOW: &str = "What you tap is done for the ticked ones.";

/// Above the fields of several, of those that begin empty.
pub fn differ(fields: &[&str]) -> String {
    let note = if fields.contains(&NOTE) { " A note typed here is put after each one’s own." } else { "" };
    format!("Not the same for all: {}. Left empty, each keeps its own.{note}", fields.join(", "))
}

/// `differ`: of several, who do not have the same.
pub fn fast_hint(differ: bool) -> String {
    let why = "So that what was eaten is digested: many keepers wait two weeks (common practice, no source).";
    if differ { why.to_owned() } else { format!("{why} Empty: {FAST_DAYS} days.") }
}

/// Where some lost much.
pub fn look() -> String {
    format!(
        "Many keepers look closer once {LOOK_PCT} % is lost (common practice, no source). A reptile veterinarian decides."
    )
}

fn animals(n: usize) -> String {
    count(n, "animal", "animals")
}

/// `Cooling: 4 animals`.
pub fn of(n: usize) -> String {
    format!("{TITLE}: {}", animals(n))
}

pub fn begun(n: usize) -> String {
    format!("Begun: {}.", animals(n))
}

pub fn ended(n: usize) -> String {
    format!("Ended: {}. Weigh {} now.", animals(n), if n == 1 { "it" } else { "them" })
}

/// The first and the last day.
type Days = (Option<NaiveDate>, Option<NaiveDate>);

/// `from 1 Dec until 15 Feb, 12.0 °C`.
pub fn plan((from, until): Days, temp: Option<Temp>, prefs: &Prefs, today: NaiveDate) -> String {
    let from = from.map(|from| format!("from {}", dates::near(from, today)));
    let until = until.map_or("until you end it".to_owned(), |until| format!("until {}", dates::near(until, today)));
    let days = [from, Some(until)].into_iter().flatten().collect::<Vec<_>>().join(" ");
    [Some(days), temp.map(|temp| units::temp(temp, prefs))].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// `from 1 Dec until 15 Feb, 12.0 °C · 4 are cool`.
pub fn group(group: &CoolingGroup, prefs: &Prefs, today: NaiveDate) -> String {
    let plan = plan((group.from, group.until), group.temp, prefs, today);
    std::iter::once(plan).chain(counted(group)).collect::<Vec<_>>().join(" · ")
}

/// How many stand how.
pub fn counted(group: &CoolingGroup) -> Vec<String> {
    let said = |n: usize, one: &str, many: &str| (n > 0).then(|| count(n, one, many));
    [
        said(group.planned, "is planned", "are planned"),
        said(group.cool, "is cool", "are cool"),
        said(group.over, "is over", "are over"),
        said(group.called_off, "was called off", "were called off"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What is due of a plan, on its page and in the list.
pub fn next(step: CoolingStep, last_meal_by: Option<NaiveDate>, today: NaiveDate) -> String {
    match step {
        CoolingStep::LastMeal => {
            let by = last_meal_by.map(|day| format!(" by {}", dates::near(day, today))).unwrap_or_default();
            format!("Last meal{by}; then none until it is over.")
        }
        CoolingStep::Begin => "Due to begin. Weigh each, then tap Begin.".to_owned(),
        CoolingStep::End => "The last day has come. Tap End, and weigh each.".to_owned(),
    }
}

/// On Rounds.
pub fn due(step: CoolingStep, n: usize, day: NaiveDate, temp: Option<Temp>, prefs: &Prefs, today: NaiveDate) -> String {
    let planned = if day < today { format!(", planned for {}", dates::near(day, today)) } else { String::new() };
    match step {
        CoolingStep::LastMeal => {
            format!("Last meal before cooling by {}: {} without a meal this week", dates::near(day, today), animals(n))
        }
        CoolingStep::Begin => {
            let to = temp.map(|temp| format!(" to {}", units::temp(temp, prefs))).unwrap_or_default();
            format!("Cooling begins: {}{to}{planned}. Weigh each", animals(n))
        }
        CoolingStep::End => format!("Cooling ends: {}{planned}. Weigh each", animals(n)),
    }
}

/// What a plan's page says above its animals.
pub fn stands(view: &CoolingView, today: NaiveDate) -> Vec<String> {
    let due = view.group.due.map(|step| next(step, view.last_meal_by, today));
    let meal = view.last_meal_by.filter(|by| view.group.planned > 0 && *by >= today && due.is_none());
    let meal = meal.map(|by| format!("Last meal by {}", dates::near(by, today)));
    let own = view.rows.iter().filter_map(|row| row.cooling.note.clone());
    let mut notes: Vec<String> = Vec::new();
    own.for_each(|note| {
        if !notes.contains(&note) {
            notes.push(note);
        }
    });
    [Some(counted(&view.group).join(" · ")), meal, due].into_iter().flatten().chain(notes).collect()
}

pub fn stage(row: &CoolingRow, today: NaiveDate) -> String {
    let on = |when: Option<When>| when.map(|when| dates::when(when, today)).unwrap_or_default();
    if !row.stage.is_open() && row.cooling.ended.is_none() {
        return "left the barn".to_owned();
    }
    match row.stage {
        CoolingStage::Planned => "planned".to_owned(),
        CoolingStage::Cool => format!("cool since {}", on(row.cooling.began)),
        CoolingStage::Over => format!("ended {}", on(row.cooling.ended)),
        CoolingStage::CalledOff => "called off".to_owned(),
    }
}

/// `138 g less (11.1 %)`.
pub fn loss(loss: Loss, prefs: &Prefs) -> String {
    let (mass, permille) = (Mass(loss.mass.0.abs()), loss.permille.abs());
    let share = format!("{}.{} %", permille / 10, permille % 10);
    match loss.mass.0 {
        0 => "the same".to_owned(),
        lost if lost > 0 => format!("{} less ({share})", units::mass(mass, prefs)),
        _ => format!("{} more ({share})", units::mass(mass, prefs)),
    }
}

/// `1240 g on 30 Nov, 1102 g on 15 Feb: 138 g less (11.1 %)`.
pub fn weights(row: &CoolingRow, prefs: &Prefs, today: NaiveDate) -> String {
    let on = |(mass, when): (Mass, When)| format!("{} {}", units::mass(mass, prefs), dates::when(when, today));
    let Some(before) = row.before else { return "not weighed before".to_owned() };
    let after = row.after.map(|after| format!(", {}", on(after))).unwrap_or_default();
    let lost = row.loss.map(|found| format!(": {}", loss(found, prefs))).unwrap_or_default();
    format!("{}{after}{lost}", on(before))
}

/// Its last meal before; while it goes on and before, since afterwards nobody asks.
pub fn meal(row: &CoolingRow, today: NaiveDate) -> Option<String> {
    if !row.stage.is_open() {
        return None;
    }
    Some(match row.last_meal {
        None => "no meal noted before".to_owned(),
        Some(last) if row.fed_late => format!("ate after the last day for it, {}", dates::when(last, today)),
        Some(last) => format!("last meal {}", dates::when(last, today)),
    })
}

/// What it wants before it is paired.
pub fn wants(wants: &[Wants], today: NaiveDate) -> String {
    if wants.is_empty() {
        return "may be paired, by the barn’s rule".to_owned();
    }
    format!("before pairing: {}", book::acts::still_wants(wants, &|day| dates::near(day, today)))
}

/// On the animal's page.
pub fn banner(days: Days, temp: Option<Temp>, cool: bool, prefs: &Prefs, today: NaiveDate) -> String {
    format!("{} {}", if cool { "Kept cool" } else { "To be cooled" }, plan(days, temp, prefs, today))
}

/// On the animal's page, afterwards.
pub fn warming(ended: When, still: &[Wants], today: NaiveDate) -> String {
    format!("Cooling ended {}; {}", dates::when(ended, today), wants(still, today))
}

/// `Before pairing: 14 days in the warm, 2 meals, 1 shed`.
pub fn rule(rule: &Rule) -> String {
    let n = |n: u32, one: &str, many: &str| count(n as usize, one, many);
    format!(
        "Before pairing: {} in the warm, {}, {}",
        n(rule.days, "day", "days"),
        n(rule.meals, "meal", "meals"),
        n(rule.sheds, "shed", "sheds")
    )
}

/// Why one is not fed with the others.
pub fn no_food(cold: Cold) -> &'static str {
    match cold {
        Cold::Cool => "kept cool: no food",
        Cold::Fasting => "no food before cooling",
    }
}
