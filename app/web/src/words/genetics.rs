//! Traits, genotypes, outcomes: the field's words.

use super::count;
use book::genes::{Conflict, Genotype, TraitFacts};
use book::views::{OutcomeRow, Says, Want, Why};
use book::words::{Together, TraitKnown, TraitMode, TraitOn, TraitSeen};
use trade::genetics::Sex;

pub const TITLE: &str = "Genetics";
pub const TRAITS: &str = "Traits";
pub const TRAITS_SAID: &str = "How each is inherited; which pairing gives what you want.";
pub const OUTCOMES: &str = "What the babies can be";
pub const LOOKS: &str = "What the babies look like";
pub const LOOKS_SEVERAL: &str = "And what they can be, all possible sires together";
pub const PLAN: &str = "Plan a pairing";
pub const NOTHING_SAID: &str = "No traits entered yet, for it or its family.";
pub const NORMAL: &str = "normal";
pub const NOT_ENTERED: &str = "not entered";
pub const NONE_ENTERED: &str =
    "No genetics are entered for either, so nothing can be said of their babies. Enter what you know of one of them.";
pub const TYPED: &str = "Typed as looks, not entered as traits";
pub const NO_ANIMAL: &str = "This animal is not on this device.";
pub const TO_ANIMALS: &str = "All animals";

pub fn of(name: &str) -> String {
    format!("Genetics of {name}")
}

/// What is told of an animal, in a line.
pub fn genotype(said: &Genotype) -> String {
    match said {
        Genotype::NotEntered => NOT_ENTERED.to_owned(),
        Genotype::Normal => NORMAL.to_owned(),
        Genotype::Carries(line) => line.clone(),
        Genotype::Unclear(why) => why.clone(),
    }
}

/// `het anery: enter it`.
pub fn enter_typed(words: &str) -> String {
    format!("{words}: enter it")
}

pub fn counted_without(name: &str) -> String {
    format!("No traits entered for {name}: taken to carry none of these.")
}

/// `25 %`, `66 %` of two thirds as the trade has it, `6.2 %`; what is possible is never 0 %, what is not certain never
/// 100 %.
pub fn percent(chance: f64) -> String {
    let tenths = (chance * 1000.0 + 1e-6).floor();
    match tenths {
        _ if chance <= 0.0 => "0 %".into(),
        t if t < 10.0 => "under 1 %".into(),
        t if t > 990.0 && chance < 1.0 - 1e-9 => "over 99 %".into(),
        t if t < 200.0 && t % 10.0 != 0.0 => format!("{:.1} %", t / 10.0),
        t => format!("{:.0} %", (t / 10.0).floor()),
    }
}

// An animal.
pub const ENTER: &str = "Enter what is known";
pub const TRAIT: &str = "Trait";
pub const LOOKS_LIKE: &str = "How it looks";
pub const KNOWN: &str = "Known hets";
pub const FROM: &str = "Known from";
pub const FROM_OFFERS: [&str; 4] = ["bought as such", "its parents", "a test cross", "own babies"];
pub const SAVED: &str = "Saved.";
pub const NO_TRAITS: &str = "No trait is known for this species here yet. Add one, then enter it for this animal.";
pub const NO_SPECIES: &str = "Enter its species first: traits belong to a species.";
pub const TO_EDIT: &str = "Edit the animal";
pub const WITH: &str = "See what it can give with";
pub const CHOOSE: &str = "choose an animal";

pub fn seen(facts: &TraitFacts, seen: Option<TraitSeen>) -> String {
    match seen {
        None => "not said".into(),
        Some(TraitSeen::No) => format!("not {}", facts.card.name),
        Some(TraitSeen::Shows) => facts.card.name.clone(),
        Some(TraitSeen::Two) => facts.two_name(),
    }
}

pub fn known(known: Option<TraitKnown>) -> &'static str {
    match known {
        None => "nothing",
        Some(TraitKnown::Het) => "het (one copy)",
        Some(TraitKnown::Possible) => "possible het",
        Some(TraitKnown::Homozygous) => "homozygous",
        Some(TraitKnown::Carries) => "carries it",
        Some(TraitKnown::Not) => "does not carry it",
    }
}

pub fn not(name: &str) -> String {
    format!("not known to carry {name}")
}

pub fn why(why: &Why, facts: &TraitFacts, from: &str) -> String {
    let name = &facts.card.name;
    let question = if facts.mode == trade::genetics::Mode::Recessive {
        format!("to carry {name}")
    } else {
        format!("to be homozygous {name}")
    };
    match why {
        Why::Seen(s) => format!("Its look: {}.", seen(facts, Some(*s))),
        Why::Known(k) => {
            let from = if from.trim().is_empty() { String::new() } else { format!(" ({})", from.trim()) };
            format!("Entered: {}{from}.", known(Some(*k)))
        }
        Why::Parents { parents, chance } => {
            let each = parents.iter().map(|(parent, words)| {
                let words = if words.is_empty() { not(name) } else { words.clone() };
                format!("{parent}: {words}")
            });
            format!("Its parents: {}. That makes {} {question}.", each.collect::<Vec<_>>().join("; "), percent(*chance))
        }
        Why::Own { from, to } => format!("Its own look and entries: from {} to {}.", percent(*from), percent(*to)),
        Why::Young { looked_at, from, to } => {
            let young = count(*looked_at as usize, "baby looked at", "babies looked at");
            let proved = if *to > 0.995 { " Proved out." } else { "" };
            format!("{young}: from {} to {}.{proved}", percent(*from), percent(*to))
        }
        Why::MustCarry => "Not entered, but its family can't be as it is without it.".into(),
    }
}

pub fn conflict(conflict: &Conflict) -> String {
    let names: Vec<&str> = conflict.any_of.iter().map(|(_, name)| name.as_str()).collect();
    let look = match names.as_slice() {
        [] => "Look at the parents entered".to_owned(),
        [one] => format!("Look at what is entered of {one}, at the parents, and at how the trait is inherited"),
        many => {
            format!("Look at what is entered of {}, at the parents, and at how the trait is inherited", many.join(", "))
        }
    };
    if conflict.traits.is_empty() {
        return format!(
            "Each trait fits one of the possible parents, but no pair of parents fits them all: two sires, or a wrong tick. {look}."
        );
    }
    format!(
        "This can't be ({}): a wrong parent, a wrong tick, or another mode of inheritance. {look}.",
        conflict.traits.join(" / ")
    )
}

// Outcomes.
pub const EGGS: &str = "Eggs";
pub const APART: &str = "Visible traits";
pub const COMMON: &str = "Common ancestors";
pub const SAME_SEX: &str = "These two cannot be dam and sire. Choose a female and a male.";
pub const CANNOT: &str = "Fix this to see what the babies can be.";
pub const ALL_NORMAL: &str = "By what is entered, all babies are normal.";

pub fn look(row: &OutcomeRow) -> String {
    let look = if row.look.is_empty() { NORMAL } else { &row.look };
    match row.sex {
        None => look.to_owned(),
        Some(Sex::Female) => format!("{look}, female"),
        Some(Sex::Male) => format!("{look}, male"),
    }
}

/// `4 of 16 eggs, likely 1 to 7`.
pub fn of_eggs(row: &OutcomeRow, eggs: u32) -> String {
    let mean = row.share * f64::from(eggs);
    let mean = if mean < 9.95 { format!("{mean:.1}") } else { format!("{mean:.0}") };
    let mean = mean.strip_suffix(".0").unwrap_or(&mean).to_owned();
    let (low, high) = row.count;
    let range = if low == high { format!("likely {low}") } else { format!("likely {low} to {high}") };
    format!("{mean} of {eggs} eggs, {range}")
}

pub fn at_least(row: &OutcomeRow, eggs: u32) -> String {
    let one = format!("at least one in {}: {}", count(eggs as usize, "egg", "eggs"), percent(row.at_least_one));
    match row.eggs_for_90 {
        Some(n) => format!("{one}; {} for 90 %", count(n as usize, "egg", "eggs")),
        None => format!("{one}; no number of eggs gives 90 %, as the parents may not carry it"),
    }
}

pub fn unviable(share: f64) -> String {
    format!("{} of the eggs will not live: two copies of a lethal trait.", percent(share))
}

pub fn more_rows(n: usize, share: f64) -> String {
    format!(
        "{} more, {} of the eggs together. Choose fewer visible traits to see them.",
        count(n, "look", "looks"),
        percent(share)
    )
}

pub fn inbreeding(coefficient: f64) -> String {
    if coefficient <= 0.0 {
        return "Inbreeding of the babies: 0 %. The records show no common ancestor.".into();
    }
    let plain = match coefficient {
        c if c >= 0.25 - 1e-9 => "as of brother and sister, or closer",
        c if c >= 0.125 - 1e-9 => "as of half sibs, or closer",
        c if c >= 0.0625 - 1e-9 => "as of first cousins, or closer",
        _ => "less than of first cousins",
    };
    format!("Inbreeding of the babies: {:.1} % ({plain}).", coefficient * 100.0)
}

pub fn unsure(n: u32) -> String {
    format!("For {} the parents are not certain; they count as unrelated.", count(n as usize, "ancestor", "ancestors"))
}

pub fn ancestor(name: &str, adds: f64, (dam, sire): (u32, u32)) -> String {
    format!("{name}: {:.1} %, {dam} and {sire} generations up", adds * 100.0)
}

// Looks.
pub const NO_CLUTCH: &str = "This clutch is not on this device.";
pub const NO_BABIES: &str =
    "No baby of this clutch has a record of its own yet. Hatch them out first; then tick what each looks like.";
pub const NO_LOCI: &str =
    "By what is entered of the parents, all babies look alike. Enter the parents' traits, or add a trait that shows.";
pub const OTHER_TRAIT: &str = "Another trait shows";
pub const CHOOSE_TRAIT: &str = "choose a trait";
pub const SAYS: &str = "What they say";
pub const SAYS_NOTHING: &str = "Nothing yet: tick what the babies look like.";
pub const TICKED: &str = "Looks saved.";

pub fn looks_of(number: &str) -> String {
    format!("Looks, clutch {number}")
}

pub fn choice(words: &str, name: &str) -> String {
    if words.is_empty() { format!("not {name}") } else { words.to_owned() }
}

pub fn says(says: &Says) -> String {
    match says {
        Says::Changed { name, of_trait, proved: true, .. } => format!("{name}: {of_trait} proved out."),
        Says::Changed { name, of_trait, from, to, .. } => {
            format!("{name}: {of_trait} now {} likely, before the babies {}.", percent(*to), percent(*from))
        }
        Says::Parent { names, dams } => {
            let role = if *dams { "Dam" } else { "Sire" };
            let each = names
                .iter()
                .map(|(name, before, now)| format!("{name} {} (before {})", percent(*now), percent(*before)));
            format!("{role}: {}.", each.collect::<Vec<_>>().join(", "))
        }
        Says::Fit(fit) => {
            let counted = fit.looks.iter().map(|(look, n, expected)| {
                let look = if look.is_empty() { NORMAL } else { look };
                format!("{n} {look}, {expected:.1} expected")
            });
            let counted = counted.collect::<Vec<_>>().join("; ");
            let verdict = match (fit.telling, fit.p) {
                (false, _) => "so few cannot tell".to_owned(),
                (true, p) if p < 0.01 => format!("that hardly fits (p {p:.3}): look at parents and mode"),
                (true, p) if p < 0.05 => format!("unusual, but chance does that (p {p:.2})"),
                (true, p) => format!("that fits (p {p:.2})"),
            };
            format!("{}: {counted}; {verdict}.", fit.locus)
        }
        Says::Impossible(why) => conflict(why),
        Says::Surprise { name, traits } => format!("{name} must carry {traits}, though that was never entered."),
    }
}

// Plan.
pub const WISH: &str = "Wanted trait";
pub const HOW: &str = "How";
pub const ADD_WISH: &str = "Add this trait";
pub const CLEAR: &str = "Begin again";
pub const NO_WISH: &str =
    "Choose what a baby should be; the pairings of this barn that can give it follow, the likeliest first.";
pub const NO_PAIR: &str = "No pair in the barn can give this, by what is entered.";

pub fn want(want: Want) -> &'static str {
    match want {
        Want::Shows => "shows it",
        Want::Homozygous => "two copies",
        Want::Carries => "carries it",
    }
}

pub fn plan_line(of_one: f64, clutch: u32, in_a_clutch: f64) -> String {
    format!("{} of each egg; at least one in {clutch} eggs: {}", percent(of_one), percent(in_a_clutch))
}

pub fn plan_eggs(eggs: Option<u32>, ever: f64, inbreeding: f64) -> String {
    let eggs = match eggs {
        Some(n) => format!("{} for 90 %", count(n as usize, "egg", "eggs")),
        None => format!("{} with any number of eggs, as the parents may not carry it", percent(ever)),
    };
    if inbreeding > 0.0 { format!("{eggs}; inbreeding {:.1} %", inbreeding * 100.0) } else { eggs }
}

// Traits.
pub const ADD_TRAIT: &str = "Add a trait";
pub const EDIT_TRAIT: &str = "Edit the trait";
pub const NEW_TRAIT: &str = "New trait";
pub const SPECIES: &str = "Species";
pub const NO_TRAITS_YET: &str = "No trait is known for this species yet.";
pub const NAME: &str = "Name";
pub const MODE: &str = "Inherited as";
pub const TWO: &str = "Name of the look with two copies";
pub const UNVIABLE: &str = "Two copies";
pub const ON: &str = "Lies on";
pub const LOCUS_OF: &str = "Same locus as";
pub const TOGETHER: &str = "Both together look like";
pub const BOTH: &str = "Name of that look";
pub const LINKED: &str = "Linked with";
pub const SOURCE: &str = "Source";
pub const USED: &str = "Offered in this barn";
pub const NONE: &str = "none";
pub const TRAIT_SAVED: &str = "Trait saved.";
pub const NO_SUCH_TRAIT: &str = "This trait is not on this device.";
pub const UNUSED: &str = "not offered";

pub fn mode(mode: TraitMode) -> &'static str {
    match mode {
        TraitMode::Recessive => "recessive",
        TraitMode::IncompleteDominant => "incomplete dominant",
        TraitMode::Dominant => "dominant",
    }
}

pub fn on(on: TraitOn) -> &'static str {
    match on {
        TraitOn::Autosome => "an autosome",
        TraitOn::Z => "Z (females ZW)",
        TraitOn::X => "X (males XY)",
    }
}

pub fn together(together: Together) -> &'static str {
    match together {
        Together::Both => "a look of their own",
        Together::First => "the other one",
        Together::This => "this one",
    }
}

pub fn unviable_choice(unviable: bool) -> &'static str {
    if unviable { "do not live" } else { "live" }
}

pub fn used(unused: bool) -> &'static str {
    if unused { "no" } else { "yes" }
}

/// `recessive · same locus as amelanistic`
pub fn trait_line(facts: &TraitFacts, locus_of: Option<&str>, linked: Option<&str>) -> String {
    let mut said = vec![facts.card.mode.map_or("recessive", mode).to_owned()];
    if let Some(on @ (TraitOn::Z | TraitOn::X)) = facts.card.on {
        said.push(format!("on {}", self::on(on)));
    }
    if facts.card.unviable {
        said.push("two copies do not live".into());
    }
    said.extend(locus_of.map(|other| format!("same locus as {other}")));
    said.extend(linked.map(|other| format!("linked with {other}")));
    if facts.card.unused {
        said.push(UNUSED.into());
    }
    said.join(" · ")
}

pub fn source(source: &str) -> String {
    if source.trim().is_empty() { "common practice, no source".into() } else { source.to_owned() }
}
