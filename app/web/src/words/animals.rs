//! Animals: the list, one animal, the form.

use crate::words::{count, dates};
use book::records::Animal;
use book::views::PastRecord;
use book::words::{AnimalEventWhat, Came, MealOutcome, Sex, ShedAs, Went};
use chrono::NaiveDate;
use trade::raising::Spacing;

pub const TITLE: &str = "Animals";
pub const EMPTY: &str = "No animals yet. Add a female, then a male.";
pub const NONE_LEFT: &str = "Nobody has left the barn.";
pub const ADD: &str = "Add an animal";
pub const SEARCH: &str = "Find by code, name or morph";
pub const SHOW: &str = "Show";
pub const ALL: &str = "All";
pub const FEMALES: &str = "Females";
pub const MALES: &str = "Males";
pub const LEFT: &str = "Gone";
pub const NOBODY: &str = "No animal matches. Check the spelling, or show all.";
pub const CLEAR: &str = "Show all";
pub const CHOOSE: &str = "Choose an animal from the list.";
pub const NOW_A_MALE: &str = "Now add a male, so clutches can have a sire.";
pub const NOW_A_FEMALE: &str = "Now add a female for him.";

pub const NO_SUCH: &str =
    "This animal is not on this device. Open a bundle from the device that has it, or look in the list.";
pub const TO_LIST: &str = "All animals";

pub const EGGS_FOUND: &str = "Eggs found";
pub const WEIGH: &str = "Weigh";
pub const HAPPENED: &str = "Seen";
pub const NOTE: &str = "Note";
pub const MEAL: &str = "Meal";
pub const MEAL_NOW: &str = "A meal offered now";
pub const MEAL_WAITING: &str = "The meal offered last";
pub const MEAL_WHAT: &str = "What you offer, if not the same as last time";
pub const PREY: &str = "Prey";
pub const PREY_SIZE: &str = "Size";
pub const PREY_HOW: &str = "How";
pub const PREY_HOW_HINT: &str = "Live, thawed, scented, assisted.";
pub const MOVE: &str = "Move";
pub const EDIT: &str = "Edit";
pub const PRINT: &str = "Label";
pub const MORE_ACTS: &str = "More for this animal";

pub const NEXT: &str = "Next";
pub const CLUTCHES: &str = "Clutches";
pub const NO_CLUTCHES: &str = "No clutch yet.";
pub const STORY: &str = "What happened";
pub const NO_STORY: &str = "Nothing noted yet.";
pub const NOTES: &str = "About";
pub const WEIGHT: &str = "Weight";
pub const NOT_WEIGHED: &str = "Not weighed yet";
pub const WHERE: &str = "Where";
pub const WEIGHTS_TABLE: &str = "Weights as a table";
pub const MEALS: &str = "Last meals";
pub const NO_MEAL: &str = "No meal noted yet";
pub const SHED: &str = "Last shed";
pub const NO_SHED: &str = "None noted yet";
pub const ALL_SHEDS: &str = "All sheds";
pub const SHED_HOW: &str = "How it shed";
pub const SHED_UNSEEN: &str = "Nobody saw how";
/// Where it most often stays is common practice, no source.
pub const SHED_HINT: &str =
    "Look at the old skin, the tip of the tail and the eyes: skin that stays is most often found there.";
pub const SEASON: &str = "Her season";
pub const NO_SEASON: &str = "Nothing noted this season.";
pub const TO_PAIRING: &str = "Her pairing";
pub const SWAPPED: &str = "Swapped";
pub const CORRECT: &str = "Correct";
pub const FROM_CLUTCH: &str = "Out of clutch";
pub const FROM_EGGS: &str = "Out of egg";
pub const FROM_EGGS_HINT: &str = "Tap one egg, or all of which it may be one.";
pub const NO_PLACE: &str = "no place given";

pub const VET_STRAINING: &str = "Straining seen: call a reptile vet today.";
pub const VET_OVERDUE: &str = "Overdue: call a reptile vet today.";
pub const STRAINING_HINT: &str =
    "Straining, swollen or overdue: call a reptile vet today. Medicines only as the vet says.";

pub const WHEN_FOLD: &str = "Not just now?";
pub const WHEN: &str = "When";
pub const TODAY: &str = "Now";
pub const YESTERDAY: &str = "Yesterday";
pub const OTHER_DAY: &str = "Another day";
pub const DAY: &str = "Day";
pub const WHAT_SEEN: &str = "Tap what you saw; it saves at once";
pub const ADD_NOTE: &str = "Add a note, if you like";
pub const NOTE_TEXT: &str = "Note";
pub const TO_PLACE: &str = "Where to";
pub const NO_PLACES: &str = "There is no place yet. Add a rack or a tub first.";
pub const NO_TARGET: &str = "Choose a place first.";

pub const NEW: &str = "New animal";
pub const CODE: &str = "Code";
pub const NAME: &str = "Name";
pub const SPECIES: &str = "Species";
pub const SEX: &str = "Sex";
pub const MORPH: &str = "Morph, as seen";
pub const PLACE: &str = "Place";
pub const REST: &str = "More: line, birth, parents, how it came";
pub const SEX_HOW: &str = "Sexed by";
pub const SEX_HOW_OFFERS: [&str; 4] = ["probed", "popped", "by shed", "laid eggs"];
pub const SEX_CAUTION: &str = "Probing and popping: only by or with someone trained.";
pub const SEX_SURE: &str = "How sure";
pub const SEX_SURE_OFFERS: [&str; 3] = ["sure", "likely", "a guess"];
pub const LINE: &str = "Line";
pub const LOCALITY: &str = "Locality";
pub const HYBRID: &str = "Hybrid of";
pub const CAME: &str = "Came from";
pub const DAM: &str = "Dam";
pub const SIRE: &str = "Sire";
pub const NOTE_ABOUT: &str = "Note about it";
pub const WENT: &str = "Left the barn";
pub const WENT_WHY: &str = "Why, or to whom";
pub const HERE: &str = "is here";
pub const SAVE_AND_NEXT: &str = "Save, add another";

pub const SAVED_WEIGHT: &str = "Weight saved.";
pub const SAVED_MOVE: &str = "Moved.";
pub const SAVED: &str = "Saved.";

pub fn saved_event(what: AnimalEventWhat, shed: Option<ShedAs>) -> String {
    match shed {
        None => format!("{} saved.", event_button(what)),
        Some(_) => format!("{}: saved.", event_seen(what, shed)),
    }
}

pub fn edit_title(name: &str) -> String {
    format!("Edit {name}")
}

pub fn weigh_title(name: &str) -> String {
    format!("Weigh {name}")
}

pub fn seen_title(name: &str) -> String {
    format!("{name}: seen")
}

pub fn note_title(name: &str) -> String {
    format!("{name}: note")
}

pub fn meal_title(name: &str) -> String {
    format!("Feed {name}")
}

pub fn saved_meal(outcome: MealOutcome) -> String {
    format!("{}: saved.", meal(Some(outcome)))
}

pub fn move_title(name: &str) -> String {
    format!("Move {name}")
}

pub fn here(n: usize) -> String {
    format!("{n} here")
}

pub fn more(left: usize) -> String {
    format!("Show more ({left} left)")
}

/// `female · Anerythristic`, as far as known.
pub fn aside(species: Option<String>, animal: &Animal) -> String {
    let parts = [species, animal.sex.map(|s| sex(s).to_owned()), animal.morph.clone()];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn sex(sex: Sex) -> &'static str {
    match sex {
        Sex::Female => "female",
        Sex::Male => "male",
        Sex::Unknown => "sex unknown",
    }
}

pub fn sex_choice(sex: Sex) -> &'static str {
    match sex {
        Sex::Female => "Female",
        Sex::Male => "Male",
        Sex::Unknown => "Unknown",
    }
}

pub fn came(came: Came) -> &'static str {
    match came {
        Came::Egg => "an egg here",
        Came::OneOf => "one of several eggs here",
        Came::Bought => "bought",
        Came::Loan => "on loan",
        Came::Unknown => "unknown",
    }
}

pub fn went(went: Went) -> &'static str {
    match went {
        Went::Died => "died",
        Went::Sold => "sold",
        Went::Given => "given away",
        Went::Traded => "traded",
        Went::Loaned => "loaned out",
        Went::Escaped => "escaped",
        Went::Returned => "returned",
    }
}

/// `Sold 3 May: to a keeper in town`.
pub fn left(how: Went, when: Option<String>, why: Option<&str>) -> String {
    let when = when.map(|w| format!(" {w}")).unwrap_or_default();
    let why = why.map(|w| format!(": {w}")).unwrap_or_default();
    format!("{}{when}{why}", capital(went(how)))
}

pub fn event(what: AnimalEventWhat) -> &'static str {
    match what {
        AnimalEventWhat::Weight => "weight",
        AnimalEventWhat::Shed => "shed",
        AnimalEventWhat::Ovulation => "ovulation",
        AnimalEventWhat::PreLayShed => "pre-lay shed",
        AnimalEventWhat::LayBox => "lay box in",
        AnimalEventWhat::Note => "note",
        AnimalEventWhat::Treatment => "treatment",
        AnimalEventWhat::Straining => "straining",
        AnimalEventWhat::Follicles => "follicles",
    }
}

/// How the skin came off, as it stands behind "shed".
pub fn shed_as(shed: ShedAs) -> &'static str {
    match shed {
        ShedAs::Whole => "in one piece",
        ShedAs::Pieces => "in pieces",
        ShedAs::Stuck => "some of it stuck",
    }
}

/// What can be tapped once it shed; the last says that nobody saw how.
pub fn shed_choices() -> Vec<(Option<ShedAs>, String)> {
    let seen = ShedAs::ALL.iter().map(|shed| (Some(*shed), capital(shed_as(*shed))));
    seen.chain([(None, SHED_UNSEEN.to_owned())]).collect()
}

/// `Shed`, `Shed, in pieces`.
pub fn event_seen(what: AnimalEventWhat, shed: Option<ShedAs>) -> String {
    let how = shed.map(|shed| format!(", {}", shed_as(shed))).unwrap_or_default();
    format!("{}{how}", event_button(what))
}

/// `About every 35 days: 26 to 35, 3 times`.
pub fn shed_spacing(found: &Spacing) -> String {
    let Spacing { middle, shortest, longest, gaps } = found;
    match shortest == longest {
        true => format!("Every {middle} days, {gaps} times"),
        false => format!("About every {middle} days: {shortest} to {longest}, {gaps} times"),
    }
}

/// The label of the button that notes it.
pub fn event_button(what: AnimalEventWhat) -> String {
    capital(event(what))
}

pub fn meal(outcome: Option<MealOutcome>) -> &'static str {
    match outcome {
        None => "Meal offered",
        Some(MealOutcome::Eaten) => "Ate",
        Some(MealOutcome::Refused) => "Refused a meal",
        Some(MealOutcome::Regurgitated) => "Regurgitated",
    }
}

pub fn moved(to: &str) -> String {
    format!("Moved to {to}")
}

pub const MOVED_SOMEWHERE: &str = "Moved, place unknown";

/// `was 1210 g on Tue 3 Mar`.
pub fn weighed_before(mass: &str, when: &str) -> String {
    format!("was {mass} {when}")
}

pub fn straining(when: &str) -> String {
    format!("Straining seen {when}.")
}

pub const EGGS_LIKELY: &str = "eggs likely";

pub fn overdue_since(day: &str, sign: &str) -> String {
    format!("No eggs by {day}, the last likely day after {sign}.")
}

pub fn eggs_likely(range: &str) -> String {
    format!("Eggs likely {range}")
}

pub fn to_pull(number: &str) -> String {
    format!("Clutch {number}: eggs found, not boxed yet")
}

pub const NOT_BOXED: &str = "Eggs found, not boxed yet";
pub const CODE_TWICE: &str = "Another animal has the same code. Change one of them.";
pub const CLASHING: &str = "Two devices wrote different things about this animal. You see the later one.";

pub const PULL: &str = "Pull it";

pub const NOTHING_NEXT: &str = "Nothing due.";

/// `× Moss · 9 eggs, laid 13 Apr`.
pub fn clutch_line(with: &[String], eggs: Option<u32>, since: Option<String>) -> String {
    let with = if with.is_empty() { "× ?".to_owned() } else { format!("× {}", with.join(" or ")) };
    let eggs = eggs.map_or_else(|| "eggs not counted".to_owned(), |n| count(n as usize, "egg", "eggs"));
    let since = since.map(|since| format!(", {since}")).unwrap_or_default();
    format!("{with} · {eggs}{since}")
}

/// When the sign was seen: `seen 3 days ago`.
pub fn seen_ago(day: NaiveDate, today: NaiveDate) -> String {
    format!("seen {}", dates::away(day, today))
}

/// `Ate Sun 7 Jun · small mouse`.
pub fn meal_line(outcome: Option<MealOutcome>, day: &str, what: [&Option<String>; 2]) -> String {
    let what = what.into_iter().flatten().cloned().collect::<Vec<_>>().join(" ");
    let what = if what.is_empty() { String::new() } else { format!(" · {what}") };
    format!("{} {day}{what}", meal(outcome))
}

/// `12 meals since 5 Sep: 10 eaten, 2 refused`.
pub fn meals_counted(meals: &[Option<MealOutcome>], since: Option<String>) -> String {
    let each =
        [(MealOutcome::Eaten, "eaten"), (MealOutcome::Refused, "refused"), (MealOutcome::Regurgitated, "regurgitated")];
    let each = each.into_iter().filter_map(|(outcome, said)| {
        let n = meals.iter().filter(|meal| **meal == Some(outcome)).count();
        (n > 0).then(|| format!("{n} {said}"))
    });
    let each: Vec<String> = each.collect();
    let since = since.map(|day| format!(" since {day}")).unwrap_or_default();
    let each = if each.is_empty() { String::new() } else { format!(": {}", each.join(", ")) };
    format!("{}{since}{each}", count(meals.len(), "meal", "meals"))
}

pub fn refused_run(n: u32) -> String {
    format!("Refused {n} in a row")
}

/// `3 clutches: 31 eggs, 2 slugs. 27 of 28 fertile; 1 not judged. 22 hatched, 4 still in.`
pub fn past(past: &PastRecord) -> String {
    let slugs =
        if past.slugs > 0 { format!(", {}", count(past.slugs as usize, "slug", "slugs")) } else { String::new() };
    let still = if past.still_in > 0 { format!(", {} still in", past.still_in) } else { String::new() };
    let veins = if past.shelled > 0 {
        format!("{} {} hatched{still}.", super::measures::fertile_said(past.fertility), past.hatched)
    } else {
        String::new()
    };
    let clutches = count(past.clutches as usize, "clutch", "clutches");
    if past.eggs == 0 && past.slugs == 0 {
        return format!("{clutches}, eggs not counted.");
    }
    format!("{clutches}: {}{slugs}.{veins}", count(past.eggs as usize, "egg", "eggs"))
}

pub fn clutch_came(hatched: u32, still_in: u32) -> String {
    match (hatched, still_in) {
        (0, still) => format!("{still} still in"),
        (hatched, 0) => format!("{hatched} hatched"),
        (hatched, still) => format!("{hatched} hatched, {still} still in"),
    }
}

pub fn weights_from_to(low: &str, high: &str, days: &str) -> String {
    format!("{low} to {high}, {days}")
}

pub fn correct_of(what: &str, when: &str) -> String {
    format!("{CORRECT}: {what}, {when}")
}

/// First letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
