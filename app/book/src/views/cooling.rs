//! Who is cooled: planned, cool or over; what each weighed before and after; what each wants before it is paired.

use crate::book::Book;
use crate::ids::*;
use crate::read::BARN;
use crate::records::{Animal, AnimalEvent, BarnRules, Cooling, Meal};
use crate::views::rounds::CoolingStep;
use crate::words::MealOutcome;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use trade::cooling::{FAST_DAYS, Loss, Rule, SEASON_DAYS, Since, USUAL, Wants, last_meal_by};
use trade::units::{Mass, Temp};
use trade::when::When;

/// Meals are mostly offered once a week: so long before its last day the last meal is asked for (our choice).
const FEED_DAYS: i64 = 7;
/// A weight so many days after the end still tells what the cooling took; later ones tell of meals (our choice).
const AFTER_DAYS: i64 = 14;

impl Book {
    /// Every cooling there ever was, by id.
    pub fn all_coolings(&self) -> impl Iterator<Item = &Cooling> {
        self.t.coolings.values().map(|kept| &kept.record)
    }

    /// The barn's rule for what comes between cooling and pairing; what it does not say is as usual.
    pub fn cooling_rule(&self) -> Rule {
        let own = self.t.rules.get(&BARN.into()).map(|kept| &kept.record);
        let set = |of: fn(&BarnRules) -> Option<u32>, usual: u32| own.and_then(of).unwrap_or(usual);
        Rule {
            days: set(|r| r.cooled_days, USUAL.days),
            meals: set(|r| r.cooled_meals, USUAL.meals),
            sheds: set(|r| r.cooled_sheds, USUAL.sheds),
        }
    }
}

/// How a cooling stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoolingStage {
    Planned,
    Cool,
    Over,
    /// Ended without having begun.
    CalledOff,
}

impl CoolingStage {
    /// For an animal that left the barn it is over.
    fn of(book: &Book, cooling: &Cooling) -> CoolingStage {
        match (cooling.began.is_some(), cooling.ended.is_some() || !is_here(book, cooling)) {
            (false, false) => CoolingStage::Planned,
            (true, false) => CoolingStage::Cool,
            (true, true) => CoolingStage::Over,
            (false, true) => CoolingStage::CalledOff,
        }
    }

    /// Whether it is planned, or goes on.
    pub fn is_open(self) -> bool {
        matches!(self, CoolingStage::Planned | CoolingStage::Cool)
    }
}

/// Why an animal is not fed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cold {
    Cool,
    /// To be cool before a meal is digested.
    Fasting,
}

/// Whether an animal was cool at a moment, or was to be soon.
pub fn cold_at(book: &Book, animal: &AnimalId, at: When) -> Option<Cold> {
    let cold = |cooling: &Cooling| {
        if cooling.ended.is_some_and(|ended| cooling.began.is_none() || at.earliest() >= ended.earliest()) {
            return None;
        }
        if cooling.began.is_some_and(|began| at.latest() > began.earliest()) {
            return Some(Cold::Cool);
        }
        (at.date() > last_meal(cooling)?).then_some(Cold::Fasting)
    };
    book.coolings(animal).find_map(cold)
}

/// The last day on which it is fed before.
fn last_meal(cooling: &Cooling) -> Option<NaiveDate> {
    Some(last_meal_by(cooling.from?.date(), cooling.fast_days.unwrap_or(FAST_DAYS)))
}

fn is_here(book: &Book, cooling: &Cooling) -> bool {
    cooling.animal.as_ref().and_then(|id| book.animal(id)).is_some_and(Animal::is_here)
}

/// What is due of a cooling, and the day it was planned for.
fn step(book: &Book, cooling: &Cooling, today: NaiveDate) -> Option<(CoolingStep, NaiveDate)> {
    match CoolingStage::of(book, cooling) {
        CoolingStage::Planned => {
            let from = cooling.from?.date();
            if from <= today {
                return Some((CoolingStep::Begin, from));
            }
            let (last, animal) = (last_meal(cooling)?, cooling.animal.as_ref()?);
            let since = last - TimeDelta::days(FEED_DAYS);
            // What was refused or came up again is no meal before the cold.
            let kept = |meal: &Meal| !matches!(meal.outcome, Some(MealOutcome::Refused | MealOutcome::Regurgitated));
            let fed = || book.meals(animal).any(|m| m.offered.is_some_and(|day| day.date() > since) && kept(m));
            (since < today && today <= last && !fed()).then_some((CoolingStep::LastMeal, last))
        }
        CoolingStage::Cool => cooling.until.filter(|until| *until <= today).map(|until| (CoolingStep::End, until)),
        CoolingStage::Over | CoolingStage::CalledOff => None,
    }
}

/// What is due of those cooled together.
pub(super) struct Step<'a> {
    pub(super) step: CoolingStep,
    pub(super) day: NaiveDate,
    /// By id.
    pub(super) coolings: Vec<&'a Cooling>,
}

/// What is due of all of them, a plan and a step at a time.
pub(super) fn steps(book: &Book, today: NaiveDate) -> Vec<Step<'_>> {
    let mut found: BTreeMap<_, Vec<&Cooling>> = BTreeMap::new();
    for cooling in book.all_coolings() {
        if let Some((step, day)) = step(book, cooling, today) {
            found.entry((step, day, cooling.plan())).or_default().push(cooling);
        }
    }
    found.into_iter().map(|((step, day, _), coolings)| Step { step, day, coolings }).collect()
}

/// `Ann, Bel + 10`.
pub(super) fn named(book: &Book, coolings: &[&Cooling]) -> String {
    const SHOWN: usize = 2;
    let mut names: Vec<String> = coolings.iter().map(|cooling| book.short_name(&cooling.id.thing())).collect();
    crate::order::sort(&mut names, Clone::clone);
    let more = names.len().saturating_sub(SHOWN);
    let first = names.into_iter().take(SHOWN).collect::<Vec<_>>().join(", ");
    if more == 0 { first } else { format!("{first} + {more}") }
}

/// Animals cooled by one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingGroup {
    /// Of one of them: by it the page is asked for.
    pub id: CoolingId,
    pub from: Option<NaiveDate>,
    pub until: Option<NaiveDate>,
    pub temp: Option<Temp>,
    /// The first of them, and how many more: `Ann, Bel + 10`.
    pub name: String,
    pub planned: usize,
    pub cool: usize,
    pub over: usize,
    pub called_off: usize,
    /// What is due of some of them.
    pub due: Option<CoolingStep>,
}

fn group(book: &Book, coolings: &[&Cooling], today: NaiveDate) -> Option<CoolingGroup> {
    let first = coolings.first()?;
    let count = |stage| coolings.iter().filter(|cooling| CoolingStage::of(book, cooling) == stage).count();
    Some(CoolingGroup {
        id: first.id.clone(),
        from: first.from.map(When::date),
        until: first.until,
        temp: first.temp,
        name: named(book, coolings),
        planned: count(CoolingStage::Planned),
        cool: count(CoolingStage::Cool),
        over: count(CoolingStage::Over),
        called_off: count(CoolingStage::CalledOff),
        due: coolings.iter().filter_map(|cooling| step(book, cooling, today)).map(|(step, _)| step).max(),
    })
}

/// All plans: those that go on or are to come first, the soonest before the rest; then those that are over, the latest
/// first.
pub fn cooling_groups(book: &Book, now: NaiveDateTime) -> Vec<CoolingGroup> {
    let mut plans: BTreeMap<_, Vec<&Cooling>> = BTreeMap::new();
    for cooling in book.all_coolings() {
        plans.entry(cooling.plan()).or_default().push(cooling);
    }
    let mut groups: Vec<CoolingGroup> =
        plans.values().filter_map(|coolings| group(book, coolings, now.date())).collect();
    crate::order::sort(&mut groups, |group| {
        let over = group.planned + group.cool == 0;
        let days = group.from.map(|from| (from - NaiveDate::default()).num_days());
        (over, days.map(|days| if over { -days } else { days }), group.id.clone())
    });
    groups
}

/// One animal of those cooled together.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingRow {
    pub cooling: Cooling,
    pub animal: AnimalId,
    pub name: String,
    /// Where it is, outermost first.
    pub path: Vec<String>,
    pub stage: CoolingStage,
    /// The last meal eaten before it began, or so far.
    pub last_meal: Option<When>,
    /// That was later than the last day for it.
    pub fed_late: bool,
    /// Weighed last before it began, or so far.
    pub before: Option<(Mass, When)>,
    /// Weighed after that: while it is cool the last time, afterwards the first time in the two weeks after the end.
    pub after: Option<(Mass, When)>,
    pub loss: Option<Loss>,
    /// What it wants before it is paired; `None` where that is no question.
    pub wants: Option<Vec<Wants>>,
}

/// What is cooled by one plan, and how each of them does.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingView {
    pub group: CoolingGroup,
    /// The last day for a meal before it.
    pub last_meal_by: Option<NaiveDate>,
    /// On the way through the barn.
    pub rows: Vec<CoolingRow>,
}

/// Everything of the plan that a cooling belongs to.
pub fn cooling_view(book: &Book, id: &CoolingId, now: NaiveDateTime) -> Option<CoolingView> {
    let own = book.cooling(id)?;
    let coolings: Vec<&Cooling> = book.all_coolings().filter(|other| other.plan() == own.plan()).collect();
    let way: BTreeMap<&PlaceId, usize> = book.places().into_iter().map(|place| &place.id).zip(0..).collect();
    let mut rows: Vec<(usize, CoolingRow)> = Vec::new();
    for &cooling in &coolings {
        let Some(animal) = &cooling.animal else { continue };
        let place = book.place_of(&animal.thing());
        let at = place.and_then(|place| way.get(&place.id)).copied().unwrap_or(usize::MAX);
        let path = place.map(|place| book.path_names(&place.id)).unwrap_or_default();
        rows.push((at, row(book, cooling, animal, path, now)));
    }
    crate::order::sort(&mut rows, |(at, row)| (*at, row.name.clone(), row.cooling.id.clone()));
    Some(CoolingView {
        group: group(book, &coolings, now.date())?,
        last_meal_by: last_meal(own),
        rows: rows.into_iter().map(|(_, row)| row).collect(),
    })
}

fn row(book: &Book, cooling: &Cooling, animal: &AnimalId, path: Vec<String>, now: NaiveDateTime) -> CoolingRow {
    let began = cooling.began.map(When::date);
    let eaten = |meal: &&Meal| meal.outcome == Some(MealOutcome::Eaten);
    let by = |when: When| began.is_none_or(|began| when.date() <= began);
    let last = book.meals(animal).filter(eaten).filter_map(|meal| meal.offered).find(|offered| by(*offered));
    let weights = book.weights(animal);
    let dated = || weights.iter().filter_map(|(mass, when)| Some((*mass, (*when)?)));
    let before = dated().rfind(|(_, when)| by(*when));
    let after = began.and_then(|began| {
        let mut cool = dated().filter(|(_, when)| when.date() > began);
        let Some(ended) = cooling.ended.map(When::date) else { return cool.next_back() };
        let near = |when: &When| (0..=AFTER_DAYS).contains(&(when.date() - ended).num_days());
        let mut then = dated().filter(|(_, when)| when.date() > began && near(when));
        then.next().or_else(|| cool.rfind(|(_, when)| when.date() < ended))
    });
    CoolingRow {
        cooling: cooling.clone(),
        animal: animal.clone(),
        name: book.animal_name(animal),
        path,
        stage: CoolingStage::of(book, cooling),
        last_meal: last,
        fed_late: last.zip(last_meal(cooling)).is_some_and(|(last, by)| last.date() > by),
        loss: before.zip(after).and_then(|((before, _), (after, _))| Loss::of(before, after)),
        before,
        after,
        wants: cooling.ended.filter(|_| began.is_some()).and_then(|ended| wants(book, animal, ended, now.date())),
    }
}

/// What it wants on a day; what came after that day is nothing to it.
fn wants(book: &Book, animal: &AnimalId, ended: When, day: NaiveDate) -> Option<Vec<Wants>> {
    let since = |when: Option<When>| {
        when.is_some_and(|when| when.earliest() >= ended.earliest() && when.earliest().date() <= day)
    };
    let meals = book.meals(animal).filter(|m| m.outcome == Some(MealOutcome::Eaten) && since(m.offered)).count();
    let shed = |event: &&AnimalEvent| event.what.is_some_and(|what| what.is_shed()) && since(event.when);
    let sheds = book.animal_events(animal).filter(shed).count();
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    book.cooling_rule().wants(&Since { ended, meals: count(meals), sheds: count(sheds) }, day)
}

/// When an animal's last cooling before a day ended.
fn last_over(book: &Book, animal: &AnimalId, day: NaiveDate) -> Option<When> {
    let over = book.coolings(animal).filter(|cooling| cooling.began.is_some()).filter_map(|cooling| cooling.ended);
    over.filter(|ended| ended.date() <= day).max_by_key(|ended| ended.latest())
}

/// When an animal's last cooling ended, and what it wants since then before it is paired. `None` while none is over, or when
/// it is too long ago to ask.
pub fn warming(book: &Book, animal: &AnimalId, day: NaiveDate) -> Option<(When, Vec<Wants>)> {
    let ended = last_over(book, animal, day)?;
    Some((ended, wants(book, animal, ended, day)?))
}

/// What an animal wants that was cooled this season, nothing when nobody asks any more; `None`: it was not cooled.
pub(super) fn cooled_this_season(book: &Book, animal: &AnimalId, day: NaiveDate) -> Option<Vec<Wants>> {
    let ended = last_over(book, animal, day).filter(|ended| (day - ended.date()).num_days() <= SEASON_DAYS)?;
    Some(wants(book, animal, ended, day).unwrap_or_default())
}

/// What the page of an animal says of its cooling.
#[derive(Clone, Debug, PartialEq)]
pub enum CoolingTold {
    /// It is cool, or to be.
    Open { cooling: Box<Cooling>, cool: bool },
    /// It came out of it, and wants something before it is paired.
    Warming { cooling: CoolingId, ended: When, wants: Vec<Wants> },
}

/// What there is to say of an animal that is here: its cooling that is open, else what it wants after the last.
pub fn cooling_told(book: &Book, animal: &AnimalId, today: NaiveDate) -> Option<CoolingTold> {
    book.animal(animal).filter(|animal| animal.is_here())?;
    if let Some(open) = book.coolings(animal).find(|cooling| CoolingStage::of(book, cooling).is_open()) {
        return Some(CoolingTold::Open { cool: open.began.is_some(), cooling: Box::new(open.clone()) });
    }
    let (ended, wants) = warming(book, animal, today).filter(|(_, wants)| !wants.is_empty())?;
    let over = book.coolings(animal).find(|cooling| cooling.ended == Some(ended))?;
    Some(CoolingTold::Warming { cooling: over.id.clone(), ended, wants })
}
