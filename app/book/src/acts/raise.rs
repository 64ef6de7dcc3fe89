//! A whole rack fed, the barn's rules for its young, and a row of Rounds put off.

use super::animals::{all_once, born_by, gone_doubts};
use super::cooling::food_doubts;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future};
use crate::book::Book;
use crate::ids::*;
use crate::read::BARN;
use crate::records::{BarnRules, Meal, Snooze};
use crate::views::DueKind;
use crate::words::MealOutcome;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use journal::{Draft, DraftSet};
use trade::raising::Rules;
use trade::when::When;

/// Everybody of a rack fed at once: all are taken to have eaten, until the refusers are marked.
#[derive(Clone, Debug)]
pub struct RackFed {
    pub animals: Vec<AnimalId>,
    pub offered: When,
    /// Empty: to each what it was offered last.
    pub prey: String,
    pub size: String,
    pub how: String,
}

impl Act for RackFed {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("meal", self.offered, now)?;
        all_once(book, &self.animals)?;
        self.animals.iter().try_for_each(|animal| born_by(book, animal, "the meal", self.offered))?;
        let meals = self.animals.iter().map(|animal| -> DraftSet {
            let last = book.meals(animal).next();
            let or_last = |given: &str, of: fn(&crate::records::Meal) -> &Option<String>| match given.trim() {
                "" => last.and_then(|meal| of(meal).clone()).unwrap_or_default(),
                given => given.to_owned(),
            };
            // What was put into its mouth last time is offered this time.
            let how = or_last(&self.how, |meal| &meal.how);
            let how = if self.how.trim().is_empty() && last.is_some_and(|meal| !meal.unaided()) {
                String::new()
            } else {
                how
            };
            Row::new()
                .with(Meal::animal, animal)
                .with(Meal::offered, self.offered)
                .with(Meal::outcome, MealOutcome::Eaten)
                .with(Meal::outcome_when, self.offered)
                .with(Meal::assumed, true)
                .with(Meal::prey, or_last(&self.prey, |meal| &meal.prey))
                .with(Meal::size, or_last(&self.size, |meal| &meal.size))
                .with(Meal::how, how)
                .observe()
        });
        draft("RackFed", meals.collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let lately = |animal: &&AnimalId| {
            let last = book.meals(animal).next().and_then(|meal| meal.offered);
            last.is_some_and(|last| just_before(last, self.offered))
        };
        let mut doubts = gone_doubts(book, self.animals.iter(), Some(self.offered));
        doubts.extend(food_doubts(book, &self.animals, self.offered));
        let count = self.animals.iter().filter(lately).count();
        doubts.extend((count > 0).then_some(Doubt::FedAlready { count }));
        doubts
    }
}

/// Whether something done to a rack had been done to this one already, so that it is most likely a second tap.
pub(super) fn just_before(last: When, this: When) -> bool {
    (this.latest() - last.earliest()).abs() < TimeDelta::hours(12)
}

/// The barn's own rules for its young.
#[derive(Clone, Copy, Debug)]
pub struct RulesSet {
    pub rules: Rules,
}

impl Act for RulesSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let Rules { sheds, meals, prey_pct: (low, high), feed_days } = self.rules;
        if low == 0 || high < low || high > 100 {
            return Err(Refusal::Missing { what: "a prey mass from 1 to 100 percent, the smaller one first" });
        }
        if feed_days == 0 || feed_days > 365 || sheds > 50 || meals > 50 {
            return Err(Refusal::Missing { what: "1 to 365 days between meals, and at most 50 sheds and 50 meals" });
        }
        // What nobody ever set is common practice, and stays so: only what is another figure by now is written.
        let now = book.rules();
        let row = Row::new()
            .changed(BarnRules::sheds, sheds, now.sheds)
            .changed(BarnRules::meals, meals, now.meals)
            .changed(BarnRules::prey_low, low, now.prey_pct.0)
            .changed(BarnRules::prey_high, high, now.prey_pct.1)
            .changed(BarnRules::feed_days, feed_days, now.feed_days);
        draft("RulesSet", row.change(book, BARN).into_iter().collect())
    }
}

/// A row of Rounds put off until a day, or (`None`) shown again at once.
#[derive(Clone, Debug)]
pub struct Snoozed {
    /// See [`crate::views::Due::row`].
    pub row: SnoozeId,
    pub until: Option<NaiveDate>,
}

/// A row is put off for at most this many days: what is put off for longer is forgotten.
const MOST_DAYS: i64 = 60;

impl Act for Snoozed {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if let Some(until) = self.until {
            if !DueKind::may_put_off(&self.row) {
                return Err(Refusal::CannotWait);
            }
            let days = (until - now.date()).num_days();
            if !(1..=MOST_DAYS).contains(&days) {
                return Err(Refusal::Missing { what: "a day from tomorrow to 60 days from now" });
            }
        }
        let row = Row::new().with(Snooze::until, self.until);
        draft("Snoozed", row.change(book, self.row.as_str()).into_iter().collect())
    }
}
