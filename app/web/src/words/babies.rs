//! The hatchlings: hatching out, feeding, the waiting list, placing, papers; single eggs.

use super::{count, units};
use crate::prefs::Prefs;
use book::views::{BabyRow, BabyState, Concern, FedLine, TrayEgg, TrayState, WishRow};
use book::words::{Fate, LaidAs, MealOutcome, Went};
use trade::raising::Rules;

pub const TITLE: &str = "Hatchlings";
pub const EMPTY: &str =
    "No hatchlings yet. When babies are out, open their box and tap Hatch out: you weigh and code them there.";
pub const TO_BOXES: &str = "See the boxes";
pub const SEARCH: &str = "Find by code, clutch or looks";
pub const SHOW: &str = "Show";
pub const ALL_HERE: &str = "All here";
pub const NOBODY: &str = "No hatchling matches.";
pub const WISHES: &str = "Waiting list and holds";
pub const FEED_BY_PLACE: &str = "Feed a rack";

pub fn of_clutch(number: &str) -> String {
    format!("Hatchlings of {number}")
}

pub fn counted(what: &str, n: usize) -> String {
    format!("{what} {n}")
}

pub fn state(state: BabyState) -> &'static str {
    match state {
        BabyState::FirstShed => "Before first shed",
        BabyState::FirstMeal => "Before first meal",
        BabyState::Feeding => "Feeding",
        BabyState::Ready => "Ready",
        BabyState::Held => "Held",
        BabyState::KeptBack => "Kept back",
        BabyState::Left => "Gone",
    }
}

/// `26-01-A · CS · anerythristic`.
pub fn row_title(row: &BabyRow) -> String {
    let parts = [Some(row.name.clone()), Some(row.species.clone()), row.looks.clone()];
    parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

/// What is next for it, or what is wrong.
pub fn row_state(row: &BabyRow) -> String {
    match row.concern {
        Some(Concern::ShedLate { day }) => return format!("Day {day}, no shed seen yet"),
        Some(Concern::NoMeal { day }) => return format!("Day {day}, no meal taken yet"),
        Some(Concern::Lost { pct }) => return format!("Lost {pct} % of its best weight"),
        None => {}
    }
    let day = row.day.map(|day| format!(", day {day}")).unwrap_or_default();
    let refused = match row.refused_in_a_row {
        0 => String::new(),
        n => format!(", refused {}", count(n as usize, "time", "times")),
    };
    let faults = row.faults.as_ref().map(|faults| format!(", {faults}")).unwrap_or_default();
    format!("{}{day}{refused}{faults}", state(row.state))
}

/// `8.2 g (6.4 g at hatching) · shed twice · 3 meals in a row`.
pub fn row_facts(row: &BabyRow, prefs: &Prefs) -> String {
    let mass = row.mass.map(|mass| match row.mass_out.filter(|out| *out != mass) {
        Some(out) => format!("{} ({} at hatching)", units::mass(mass, prefs), units::mass(out, prefs)),
        None => units::mass(mass, prefs),
    });
    let sheds = match row.sheds {
        0 => "not shed".to_owned(),
        1 => "shed once".to_owned(),
        n => format!("shed {n} times"),
    };
    let meals = match (row.taken, row.taken_in_a_row) {
        (0, _) => "no meal taken".to_owned(),
        (taken, in_a_row) => format!("{} taken, {in_a_row} in a row", count(taken as usize, "meal", "meals")),
    };
    [mass, Some(sheds), Some(meals)].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// `Prey of 0.9 to 1.3 g: a pinkie`.
pub fn prey(row: &BabyRow, prefs: &Prefs) -> Option<String> {
    let ((low, high), mouse) = row.prey?;
    let mouse = mouse.map(|mouse| format!(", a {mouse} mouse")).unwrap_or_default();
    Some(format!("By its weight: prey of {} to {}{mouse}.", units::mass(low, prefs), units::mass(high, prefs)))
}

pub const HATCH_OUT: &str = "Hatch out";
pub const HATCH_OUT_LONG: &str = "Hatch out: weigh and code the babies";
pub const HOLD_OR_PLACE: &str = "Hold or place";
pub const EGGS: &str = "Eggs, one by one";
pub const YOUNG_OF: &str = "Its hatchlings";
pub const MEAL: &str = "Meal";
pub const HATCH_HOW: &str =
    "Tap each open shell. Then lay the babies on the scale one after the other and type its digits.";
pub const ALL_OUT: &str = "All of them are out";
pub const WEIGH_EACH: &str = "The babies";
pub const NOT_APART: &str = "Not known which baby came from which egg";
pub const FIRST_TUB: &str = "Into tubs, from";
pub const FIRST_TUB_HOW: &str = "One baby a tub, filling the free ones in order.";
pub const NO_TUB: &str = "no tub yet";
pub const ABOUT_BABY: &str = "Looks, faults, twins, escaped";
pub const CODE: &str = "Code";
pub const LOOKS: &str = "Morph, as seen";
pub const FAULTS: &str = "Faults";
pub const FAULTS_OFFERED: [&str; 5] = ["kinked", "small", "yolk not absorbed", "one eye", "weak"];
pub const WHERE_TO: &str = "Where to";
pub const IN_A_TUB: &str = "In a tub";
pub const ESCAPED: &str = "Escaped";
pub const DIED: &str = "Died";
pub const TWIN: &str = "A twin from the same egg";
pub const NOT_A_TWIN: &str = "Take this twin out";
pub const OTHER_EGGS: &str = "The other eggs";
pub const EACH_EGG: &str = "Each one by itself";
pub const STILL_IN: &str = "still in";
pub const SEX_NOT_ASKED: &str = "Sex is not asked at hatching. Probing and popping: only by or with someone trained.";
pub const CLOSED_ITSELF: &str = "Nothing is left in it, so it is closed.";
pub const TUB_LABELS: &str = "Tub labels";

pub fn print_labels(labels: usize) -> String {
    format!("Print {}", count(labels, "label", "labels"))
}

pub const TO_BABIES: &str = "See the hatchlings";
pub const TO_BOX: &str = "Back to its page";

pub fn weight_of(code: &str) -> String {
    format!("Weight of {code}")
}

pub fn all_others(n: usize) -> String {
    format!("All {n} of them")
}

pub fn egg(letter: &str) -> String {
    format!("Egg {letter}")
}

pub fn save_babies(n: usize) -> String {
    if n == 0 {
        return super::SAVE.to_owned();
    }
    format!("Save {}", count(n, "baby", "babies"))
}

pub fn hatched_out(n: usize) -> String {
    if n == 0 {
        return "What became of the eggs: saved.".to_owned();
    }
    format!("{}: saved.", count(n, "baby", "babies"))
}

/// `4 babies out of 4 eggs · 1 ended otherwise · 1 still in`.
pub fn hatch_sum(babies: usize, eggs: usize, ended: usize, left: usize) -> String {
    let mut parts = vec![format!("{} out of {}", count(babies, "baby", "babies"), count(eggs, "egg", "eggs"))];
    if ended > 0 {
        parts.push(format!("{ended} ended otherwise"));
    }
    parts.push(if left == 0 { "none left in: the box closes".to_owned() } else { format!("{left} still in") });
    parts.join(" · ")
}

/// What became of every egg: `10 hatched: A, B, C… · 1 dead in egg, full term: K`.
pub fn box_story(tray: &[TrayEgg]) -> String {
    let groups = [
        Fate::Hatched,
        Fate::FullTermDead,
        Fate::Died,
        Fate::Removed,
        Fate::Sold,
        Fate::Lost,
        Fate::Eaten,
        Fate::Unknown,
    ];
    let letters = |eggs: Vec<&TrayEgg>| eggs.iter().map(|egg| egg.letter.clone()).collect::<Vec<_>>().join(", ");
    let mut parts: Vec<String> = groups
        .into_iter()
        .filter_map(|fate| {
            let eggs: Vec<&TrayEgg> = tray.iter().filter(|egg| egg.fate == Some(fate)).collect();
            (!eggs.is_empty()).then(|| format!("{} {}: {}", eggs.len(), super::eggs::fate(fate), letters(eggs)))
        })
        .collect();
    let left: Vec<&TrayEgg> = tray.iter().filter(|egg| egg.is_in && egg.state != TrayState::Out).collect();
    if !left.is_empty() {
        parts.push(format!("{} still in: {}", left.len(), letters(left)));
    }
    format!("{}: {}.", count(tray.len(), "egg", "eggs"), parts.join(" · "))
}

pub const RULES_SAVED: &str = "Your rule is saved.";
pub const RULES_SOURCE: &str =
    "These figures are common practice; set your own. A hatchling that refuses on day 30 is no alarm.";

pub fn rules(rules: &Rules) -> String {
    format!(
        "Ready after {} and {} in a row; fed every {}; prey {}–{} % of its weight",
        count(rules.sheds as usize, "shed", "sheds"),
        count(rules.meals as usize, "meal", "meals"),
        count(rules.feed_days as usize, "day", "days"),
        rules.prey_pct.0,
        rules.prey_pct.1
    )
}

pub const HATCHLINGS_FAST: &str =
    "Many hatchlings take their first meal only after weeks; a refusal on day 30 is no alarm.";
pub const FEED_HOW: &str = "Everyone here is saved as having eaten. Tomorrow tap only those who refused.";
pub const FEED_WHAT: &str = "What you feed, if not the same as last time";
pub const WAITS_HOW: &str = "Hatchlings before their first shed are left out.";
pub const FEED_LOOK: &str = "Who and what";
pub const MARK_REFUSERS: &str = "Who refused";
pub const LEAVE_OUT: &str = "Leave out";
pub const REFUSED: &str = "Refused";

pub fn feed_title(place: &str) -> String {
    format!("Feed {place}")
}

pub fn feed_all(n: usize) -> String {
    format!("Fed: all {n}")
}

pub fn fed(n: usize) -> String {
    format!("{} fed. Mark who refused.", count(n, "animal", "animals"))
}

pub fn fed_when(when: &str) -> String {
    format!("Fed {when}. Tap those who refused.")
}

pub fn leave_out_of(name: &str) -> String {
    format!("Leave out {name}")
}

pub fn refused_of(name: &str) -> String {
    format!("{name} refused")
}

pub fn marked(name: &str, outcome: MealOutcome) -> String {
    format!("{name}: {}.", if outcome == MealOutcome::Refused { "refused" } else { "ate" })
}

/// `C3 · 26-01-A`.
pub fn tub_title(tub: &str, name: &str) -> String {
    [tub, name].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
}

pub fn fed_facts(line: &FedLine) -> String {
    if let Some(cold) = line.cold {
        return super::cooling::no_food(cold).to_owned();
    }
    if line.waits {
        return "before its first shed".to_owned();
    }
    let prey = line.prey.clone();
    let refused = (line.refused_in_a_row > 0).then(|| {
        format!("refused {} since the last meal taken", count(line.refused_in_a_row as usize, "time", "times"))
    });
    let last = line.apart.then(|| super::care::APART_LAST.to_owned());
    [last, prey, refused].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub const NO_WISHES: &str = "Nobody is on the waiting list. Add who would like an animal; what fits then shows here.";
pub const HELD: &str = "Held and kept back";
pub const PEOPLE: &str = "People";
pub const ADD_CONTACT: &str = "Add somebody";
pub const CONTACT_ADDED: &str = "Added.";
pub const CONTACT_SAVED: &str = "Saved.";
pub const NO_CONTACT: &str = "This person is not on this device.";
pub const MARK: &str = "Reference";
pub const MARK_HOW: &str = "What the records call them. Choose something that tells a stranger nothing.";
pub const NAME: &str = "Name";
pub const REACH: &str = "How to reach them";
pub const NOTE: &str = "Note";
pub const A_WISH: &str = "On the waiting list";
pub const WENT_TO: &str = "What went to them";
pub const EITHER_SEX: &str = "Either";
pub const SAVE_WISH: &str = "Add to the waiting list";
pub const WISH_SAVED: &str = "Added to the waiting list.";
pub const BOTH_SAVED: &str = "Person saved, and added to the waiting list.";
pub const CLOSE_WISH: &str = "Take off the list";
pub const WISH_CLOSED: &str = "Taken off the waiting list.";
pub const HOLD_ENDED: &str = "Hold released.";
pub const KEPT_BACK: &str = "Kept back";
pub const LET_GO: &str = "Release hold";
pub const NOBODY_NAMED: &str = "nobody named";

/// `2 corn snakes, female: one that eats well`.
pub fn wish(row: &WishRow) -> String {
    let sex = row.wish.sex.map(|sex| super::animals::sex(sex).to_owned());
    let what = [row.species.clone(), sex, row.wish.what.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
    match row.wish.count.unwrap_or(1) {
        1 => what,
        n => format!("{n} × {what}"),
    }
}

pub fn wish_fits(fit: usize, held: usize) -> String {
    let held = if held > 0 { format!("{held} held for it · ") } else { String::new() };
    match fit {
        0 => format!("{held}none free that fits"),
        n => format!("{held}{n} free that fit, the ready ones first"),
    }
}

pub fn more_fit(n: usize) -> String {
    format!("{n} more")
}

/// `until 12 Jun · 80.00 EUR · deposit 20.00 EUR · ready`.
pub fn hold_facts(until: Option<&str>, paid: [Option<String>; 2], ready: bool) -> String {
    let ready = if ready { "ready" } else { "not ready yet" };
    let until = until.map(|day| format!("until {day}"));
    let [price, deposit] = paid;
    [until, price, deposit, Some(ready.to_owned())].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn held_for(who: &str, until: Option<&str>) -> String {
    let until = until.map(|day| format!(" until {day}")).unwrap_or_default();
    format!("Held for {who}{until}")
}

pub fn left(how: Option<Went>, when: &str) -> String {
    format!("{} {when}", how.map_or("", super::animals::went)).trim().to_owned()
}

pub const TO_WHOM: &str = "To whom";
pub const PRICE_HOW: &str = "It is kept in the records.";
pub const PROMISE: &str = "Hold it, or keep it back";
pub const HELD_UNTIL: &str = "Held until, or pickup date";
pub const HOLD_IT: &str = "Hold it for them";
pub const KEEP_BACK: &str = "Keep it back";
pub const NO_ONE_CHOSEN: &str = "Choose who it is for first, or keep it back.";
pub const HELD_SAVED: &str = "Held.";
pub const KEPT_BACK_SAVED: &str = "Kept back.";
pub const LEAVES: &str = "It leaves";
pub const HOW_LEFT: &str = "How";
pub const LEFT_ON: &str = "Left on";
pub const PLACE: &str = "Mark as gone";
pub const PLACED: &str = "Saved. Its papers are ready to print.";
pub const PAPERS: &str = "Papers";
pub const HAS_LEFT: &str = "It has left the barn.";

pub fn leave_title(name: &str) -> String {
    format!("{name}: hold or place")
}

pub const CLUTCH: &str = "Clutch";
pub const HATCHED: &str = "Hatched";
pub const MEALS_SO_FAR: &str = "Meals";
pub const SHEDS_SEEN: &str = "Sheds seen";
pub const WEIGHTS: &str = "Weights";
pub const LAST_MEALS: &str = "Last meals";
pub const TREATED: &str = "Treatments";
pub const CARE: &str = "Care notes";
pub const FROM: &str = "Bred by";
pub const ISSUED: &str = "Date of issue";
pub const FROM_NOBODY: &str = "Your name and contact can print here: set them in Settings.";
pub const PRINT: &str = "Print";
pub const CARE_LINES: [&str; 3] = [
    "Leave it in peace for a week in its new place; then offer what it ate last, at the size it ate last.",
    "Fresh water always, a hide it fits into, a warm end and a cool one, measured with a thermometer.",
    "Heat and water near mains: a thermostat with a cut-out, and a second thermometer.",
];
pub const PAPER_VET: &str =
    "Not eating for long, losing weight, or ill: call a reptile vet. Medicines only as the vet says.";

pub fn meals_so_far(taken: u32, refused: u32) -> String {
    format!("{taken} taken, {refused} refused")
}

pub const NO_EGG: &str = "This egg is not on this device.";
pub const EGG_SAVED: &str = "Egg saved.";
pub const CAME_OUT: &str = "came out of it";
pub const MEASURED: &str = "Measured";
pub const CORRECT_FATE: &str = "What became of it";
pub const FATE: &str = "What became of this egg";
pub const NOTHING_YET: &str = "still in";
pub const MOVED_AWAY: &str = "moved out";

pub fn egg_of(number: &str, letter: &str) -> String {
    format!("Egg {letter} of {number}")
}

/// `laid, good`, `found, a slug`.
pub fn laid_as(laid: Option<LaidAs>, only_found: bool) -> String {
    let what = match laid {
        Some(LaidAs::Dud) => "a bad egg",
        Some(LaidAs::Slug) => "a slug",
        _ => "good",
    };
    format!("{}, {what}", if only_found { "found" } else { "laid" })
}

/// In a box, or left where its mother lies round it.
pub fn set_in(name: &str, nest: bool) -> String {
    if nest { format!("left with the mother: {name}") } else { format!("set in box {name}") }
}

pub fn moved_to(name: &str) -> String {
    format!("moved to box {name}")
}
