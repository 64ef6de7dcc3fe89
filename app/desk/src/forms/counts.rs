//! The barn's own rules, and how many there are of something.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{AgainRuleSet, BreedingRuleSet, CleaningRuleSet, CoolingRuleSet, RulesSet, SupplySet};
use book::words::Sex;
use trade::again::Rule;
use trade::breeders::Rule as BreedingRule;
use trade::cooling::Rule as CoolingRule;
use trade::raising::Rules;

/// The fields of the rules for young: sheds, meals, days between meals, prey from, prey to.
pub fn rules(now: Rules) -> [Entry; 5] {
    let count = |label, least, most, n| Entry::of_count(Ask::count(label, least, most), n);
    [
        count("Sheds before it may leave", 0, 50, now.sheds),
        count("Meals in a row, unassisted", 0, 50, now.meals),
        count("Days between meals", 1, 365, now.feed_days),
        count("Prey from, % of its weight", 1, 100, now.prey_pct.0),
        count("Prey to, % of its weight", 1, 100, now.prey_pct.1),
    ]
}

/// A count that nobody touched is as it stands by now.
fn count_or(gather: &mut Gather, field: &Entry, now: u32) -> u32 {
    if field.untouched() { now } else { gather.count(field) }
}

/// `now`: as they stand when *Save* is tapped.
///
/// # Errors
/// What cannot be read, and a smaller prey that is the larger one.
pub fn rules_set(fields: &[Entry; 5], now: Rules) -> Result<RulesSet, Wrong> {
    let mut gather = Gather::new(Units::default());
    let stands = [now.sheds, now.meals, now.feed_days, now.prey_pct.0, now.prey_pct.1];
    let mut stands = stands.into_iter();
    let [sheds, meals, feed_days, low, high] =
        fields.each_ref().map(|field| count_or(&mut gather, field, stands.next().unwrap_or(0)));
    let rules = Rules { sheds, meals, prey_pct: (low, high), feed_days };
    let name = fields[4].ask.name();
    let act = gather.done(RulesSet { rules })?;
    match high < low {
        true => Err(Wrong::one(name.clone(), format!("{name}: {high} is less than where it begins, {low}."))),
        false => Ok(act),
    }
}

/// The fields of the rule for a second clutch: rest, last day, weight, meals.
pub fn again(now: Rule) -> [Entry; 4] {
    let count = |label, most, n| Entry::of_count(Ask::count(label, 0, most), n);
    [
        count("Days of rest after laying", 365, now.rest_days),
        count("Not later than days after laying", 365, now.until_days),
        count("Percent of her weight before laying", 100, now.weight_pct),
        count("Meals taken since", 50, now.meals),
    ]
}

/// `now`: as it stands when *Save* is tapped.
///
/// # Errors
/// What cannot be read, and a rest beyond the last day.
pub fn again_set(fields: &[Entry; 4], now: Rule) -> Result<AgainRuleSet, Wrong> {
    let mut gather = Gather::new(Units::default());
    let mut stands = [now.rest_days, now.until_days, now.weight_pct, now.meals].into_iter();
    let [rest_days, until_days, weight_pct, meals] =
        fields.each_ref().map(|field| count_or(&mut gather, field, stands.next().unwrap_or(0)));
    let act = gather.done(AgainRuleSet { rule: Rule { rest_days, until_days, weight_pct, meals } })?;
    let name = fields[1].ask.name();
    match rest_days > until_days {
        true => Err(Wrong::one(name.clone(), format!("{name}: {until_days} is less than her rest, {rest_days} days."))),
        false => Ok(act),
    }
}

/// The fields of the rule for what comes between cooling and pairing: days, meals, sheds.
pub fn cooling(now: CoolingRule) -> [Entry; 3] {
    let count = |label, most, n| Entry::of_count(Ask::count(label, 0, most), n);
    [
        count("Days in the warm after cooling", 120, now.days),
        count("Meals taken after cooling", 50, now.meals),
        count("Sheds after cooling", 10, now.sheds),
    ]
}

/// `now`: as it stands when *Save* is tapped.
///
/// # Errors
/// What cannot be read.
pub fn cooling_set(fields: &[Entry; 3], now: CoolingRule) -> Result<CoolingRuleSet, Wrong> {
    let mut gather = Gather::new(Units::default());
    let mut stands = [now.days, now.meals, now.sheds].into_iter();
    let [days, meals, sheds] = fields.each_ref().map(|field| count_or(&mut gather, field, stands.next().unwrap_or(0)));
    gather.done(CoolingRuleSet { rule: CoolingRule { days, meals, sheds } })
}

/// The barn's own rule for who may breed, of one species and sex. Nothing in a field: it is not asked.
#[derive(Clone, Debug)]
pub struct BreedingForm {
    /// As it stood when it was shown.
    pub before: BreedingRule,
    pub age: Entry,
    pub mass: Entry,
    pub meals: Entry,
    pub cooled: bool,
}

impl BreedingForm {
    pub fn new(before: BreedingRule, units: Units) -> BreedingForm {
        let count = |ask, n: Option<u32>| Entry::new(ask, n.map(i64::from), units);
        BreedingForm {
            age: count(Ask::count("Months of age at least", 0, 600), before.age_months),
            mass: Entry::of_mass(Ask::mass("Weight at least", (5, 30_000)), before.mass, units),
            meals: count(Ask::count("Meals in a row at least", 0, 50), before.meals),
            cooled: before.cooled,
            before,
        }
    }

    /// Another rule stands: it was saved, or it is asked of another species or sex. What was typed and not saved stays.
    pub fn follow(&mut self, stands: BreedingRule, units: Units) {
        let now = BreedingForm::new(stands, units);
        self.age.follow(now.age.stands(), units);
        self.mass.follow(now.mass.stands(), units);
        self.meals.follow(now.meals.stands(), units);
        if self.cooled == self.before.cooled {
            self.cooled = now.cooled;
        }
        self.before = stands;
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, of: (String, Sex), now: &BreedingRule, units: Units) -> Result<BreedingRuleSet, Wrong> {
        let mut gather = Gather::new(units);
        let mut count = |entry: &Entry| gather.take(entry).and_then(|n| u32::try_from(n).ok());
        let (age_months, meals) = (count(&self.age), count(&self.meals));
        let typed = BreedingRule { age_months, mass: gather.mass(&self.mass), meals, cooled: self.cooled };
        let rule = kept!(BreedingRule { age_months, mass, meals, cooled }: typed, self.before, now);
        gather.done(BreedingRuleSet { species: of.0, sex: of.1, rule })
    }
}

/// The barn's own rule for cleaning, of one species or of all. Nothing in the field: no rule.
pub fn cleaning(days: Option<u32>) -> Entry {
    Entry::new(Ask::count("Days between cleanings", 1, 365), days.map(i64::from), Units::default())
}

/// `now`: the days as they stand when *Save* is tapped.
///
/// # Errors
/// A figure that cannot be read.
pub fn cleaning_set(species: Option<String>, field: &Entry, now: Option<u32>) -> Result<CleaningRuleSet, Wrong> {
    let mut gather = Gather::new(Units::default());
    let days = gather.take_or(field, now.map(i64::from)).and_then(|n| u32::try_from(n).ok());
    gather.done(CleaningRuleSet { species, days })
}

/// How many there are; empty: as the barn's places tell. `of`: whose, where several fields look alike.
pub fn have(label: &str, of: &str, have: Option<u32>) -> Entry {
    Entry::new(Ask::count(label, 0, 100_000).of(of), have.map(i64::from), Units::default())
}

/// # Errors
/// A figure that cannot be read.
pub fn supply(what: String, entry: &Entry) -> Result<SupplySet, Wrong> {
    let mut gather = Gather::new(Units::default());
    let have = gather.take(entry).and_then(|n| u32::try_from(n).ok());
    gather.done(SupplySet { what, have })
}

/// A count by itself, such as copies of a label.
///
/// # Errors
/// A figure that cannot be read.
pub fn one(entry: &Entry) -> Result<u32, Wrong> {
    let mut gather = Gather::new(Units::default());
    let n = gather.count(entry);
    gather.done(n)
}
