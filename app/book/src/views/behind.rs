//! The seasons behind: what came of clutches, by dam, shelf, medium…, each number with what it stands on.
//!
//! Only what has ended is counted: a clutch with eggs still in has no hatch rate yet. What cannot be told apart is left
//! out, not guessed: of two candidate sires neither gets the clutch.

mod came;
mod days;
mod whose;

pub use days::{DaysLine, DaysPoint, days_lines};
pub use whose::Whose;

use crate::book::Book;
use crate::ids::*;
use crate::words::*;
use came::{Came, Value, parts};
use chrono::NaiveDateTime;
use std::collections::BTreeMap;
use std::sync::Arc;
use trade::look_back::{Counted, Mean, Measured, Rate, Verdict, could_tell, means, rates};

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Of {
    /// Eggs that were fertile, of those judged.
    Fertility,
    /// Eggs hatched, of good ones.
    Hatched,
    /// Days from lay to first pip.
    Days,
    /// Grams of a baby, mean of a clutch.
    BabyMass,
    /// Babies that ate by themselves within [`MEAL_WITHIN`] days, of those followed as long.
    FirstMeal,
}

impl Of {
    pub const ALL: [Self; 5] = [Self::Fertility, Self::Hatched, Self::Days, Self::BabyMass, Self::FirstMeal];
}

/// By what it is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum By {
    Dam,
    Sire,
    Pairing,
    Species,
    Shelf,
    Medium,
    Mix,
    Year,
}

impl By {
    pub const ALL: [Self; 8] =
        [Self::Dam, Self::Sire, Self::Pairing, Self::Species, Self::Shelf, Self::Medium, Self::Mix, Self::Year];
}

/// A first meal within so many days of hatching counts as a start that went well.
pub const MEAL_WITHIN: i64 = 45;

/// A rate or a mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    Rate(Rate),
    Mean(Mean),
}

/// One dam, shelf, year….
#[derive(Clone, Debug, PartialEq)]
pub struct BehindRow {
    pub name: String,
    pub thing: Option<Thing>,
    pub figure: Figure,
    /// The clutches behind the number.
    pub clutches: Vec<ClutchId>,
    pub whose: Whose,
    /// Of fertility: shelled eggs that nobody judged, beside those that were counted.
    pub unjudged: u32,
}

/// A comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Behind {
    /// Best first where the data can carry a ranking, else by name.
    pub rows: Vec<BehindRow>,
    /// Everything together, by dams; `None` when there is nothing.
    pub all: Option<Figure>,
    pub whose: Whose,
    pub unjudged: u32,
    pub verdict: Verdict,
    /// How many such comparisons the records could answer: the level is shared out among them.
    pub asked: usize,
}

/// The same shuffles everywhere.
const SEED: u64 = 21;

/// Numbers names as they come.
#[derive(Default)]
struct Numbers(BTreeMap<String, usize>);

impl Numbers {
    fn of(&mut self, name: &str) -> usize {
        let next = self.0.len();
        *self.0.entry(name.to_owned()).or_insert(next)
    }
}

/// What is compared with what: (group, stratum, unit) of what has a value.
fn laid_out(all: &[Arc<Came>], of: Of, by: By) -> Vec<(usize, usize, usize)> {
    let (mut groups, mut species, mut units) = (Numbers::default(), Numbers::default(), Numbers::default());
    let told = all.iter().filter_map(|came| Some((came, came.told(of, by)?)));
    told.map(|(came, ((name, thing), _))| {
        let thing = thing.as_ref().map(|thing| thing.id.to_string()).unwrap_or_default();
        let group = groups.of(&format!("{name}\n{thing}"));
        // Species are compared with each other, all else within one.
        let stratum = if by == By::Species { 0 } else { species.of(&came.species) };
        // A dam, and a pair, is what is asked about; all else a dam was put to, with all of her clutches' luck.
        let unit = if matches!(by, By::Dam | By::Pairing) { came.clutch.as_str() } else { came.unit() };
        (group, stratum, units.of(unit))
    })
    .collect()
}

/// What came of all clutches, looked at once for all that is asked of it.
pub struct LookBack {
    whole: Vec<Arc<Came>>,
    /// by the box they were set in
    apart: Vec<Arc<Came>>,
    asked: usize,
}

impl LookBack {
    pub fn of(book: &Book, now: NaiveDateTime) -> Self {
        let (whole, apart) = came::came(book, now);
        let mut all = Self { whole, apart, asked: 0 };
        let questions = Of::ALL.into_iter().flat_map(|of| By::ALL.map(|by| (of, by)));
        all.asked = questions.filter(|&(of, by)| could_tell(&laid_out(all.by(by), of, by))).count();
        all
    }

    fn by(&self, by: By) -> &[Arc<Came>] {
        if matches!(by, By::Shelf | By::Medium | By::Mix) { &self.apart } else { &self.whole }
    }

    /// Compares it.
    pub fn behind(&self, of: Of, by: By) -> Behind {
        let (all, asked) = (self.by(by), self.asked);
        let told: Vec<(&Came, Value, (usize, usize, usize))> = {
            let told = all.iter().filter_map(|came| Some((&**came, came.told(of, by)?.1)));
            told.zip(laid_out(all, of, by)).map(|((came, value), at)| (came, value, at)).collect()
        };
        let (counted, measured) = by_kind(told.iter().map(|&(_, value, at)| (value, at)));
        let groups = told.iter().map(|(_, _, at)| at.0 + 1).max().unwrap_or(0);
        let (figures, verdict) = if matches!(of, Of::Days | Of::BabyMass) {
            let (found, verdict) = means(groups, &measured, asked, SEED);
            (found.into_iter().map(Figure::Mean).collect::<Vec<_>>(), verdict)
        } else {
            let (found, verdict) = rates(groups, &counted, asked, SEED);
            (found.into_iter().map(Figure::Rate).collect(), verdict)
        };
        let mut rows: Vec<BehindRow> =
            figures.into_iter().enumerate().filter_map(|(group, figure)| row(&told, by, group, figure)).collect();
        rows.sort_by(|a, b| a.name.cmp(&b.name));
        if verdict.ranks() {
            rows.sort_by(|a, b| middle(b.figure).total_cmp(&middle(a.figure)));
        }
        let unjudged = rows.iter().map(|row| row.unjudged).sum();
        let whose = Whose::of(told.iter().map(|(came, ..)| (&came.clutch, came.dam.as_ref())));
        Behind { rows, all: together(&told), whose, unjudged, verdict, asked }
    }
}

/// One group, of all that has a value.
fn row(told: &[(&Came, Value, (usize, usize, usize))], by: By, group: usize, figure: Figure) -> Option<BehindRow> {
    let own = || told.iter().filter(|(_, _, at)| at.0 == group);
    let (name, thing) = own().next()?.0.keys[by as usize].clone()?;
    let mut clutches: Vec<ClutchId> = own().map(|(came, ..)| came.clutch.clone()).collect();
    crate::order::keep_first(&mut clutches, Clone::clone);
    let unjudged = |value: Value| if let Value::Share { unjudged, .. } = value { unjudged } else { 0 };
    let unjudged = own().map(|(_, value, _)| unjudged(*value)).sum();
    let whose = Whose::of(own().map(|(came, ..)| (&came.clutch, came.dam.as_ref())));
    Some(BehindRow { name, thing, figure, clutches, whose, unjudged })
}

fn position<T>(known: &mut Vec<T>, is: impl Fn(&T) -> bool, new: impl FnOnce() -> T) -> usize {
    known.iter().position(is).unwrap_or_else(|| {
        known.push(new());
        known.len() - 1
    })
}

fn middle(figure: Figure) -> f64 {
    match figure {
        Figure::Rate(rate) => rate.share.map_or(0.0, |share| share.at),
        Figure::Mean(mean) => mean.mean,
    }
}

/// Shares and numbers, each with its group, stratum and unit.
fn by_kind(told: impl Iterator<Item = (Value, (usize, usize, usize))>) -> (Vec<Counted>, Vec<Measured>) {
    let (mut counted, mut measured) = (Vec::new(), Vec::new());
    for (value, (group, stratum, unit)) in told {
        match value {
            Value::Share { k, n, .. } => counted.push(Counted { group, stratum, unit, k, n }),
            Value::Number { value, rounding } => measured.push(Measured { group, stratum, unit, value, rounding }),
        }
    }
    (counted, measured)
}

/// All in one, by dams whatever it is compared by: of the same clutches the same is said.
fn together(told: &[(&Came, Value, (usize, usize, usize))]) -> Option<Figure> {
    let mut dams = Numbers::default();
    let (counted, measured) = by_kind(told.iter().map(|(came, value, _)| (*value, (0, 0, dams.of(came.unit())))));
    if !counted.is_empty() {
        return rates(1, &counted, 1, SEED).0.first().map(|rate| Figure::Rate(*rate));
    }
    (!measured.is_empty()).then(|| Figure::Mean(trade::look_back::mean(&measured)))
}

/// Eggs lost, by what became of them and why as it was noted.
#[derive(Clone, Debug, PartialEq)]
pub struct LossRow {
    pub fate: Fate,
    pub why: String,
    pub eggs: u32,
    pub clutches: Vec<ClutchId>,
}

/// Shelled eggs that did not hatch, most first, and how many shelled eggs' stories have ended.
pub fn losses(book: &Book) -> (Vec<LossRow>, u32) {
    let mut rows: Vec<LossRow> = Vec::new();
    let mut all = 0;
    for part in parts(book) {
        for egg in part.eggs.iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug)) {
            let Some(fate) = egg.fate else { continue };
            all += 1;
            if fate == Fate::Hatched {
                continue;
            }
            let why = egg.fate_why.clone().unwrap_or_default();
            let at = position(
                &mut rows,
                |row| row.fate == fate && row.why == why,
                || LossRow { fate, why: why.clone(), eggs: 0, clutches: Vec::new() },
            );
            let row = &mut rows[at];
            row.eggs += 1;
            if !row.clutches.contains(&part.clutch.id) {
                row.clutches.push(part.clutch.id.clone());
            }
        }
    }
    rows.sort_by(|a, b| b.eggs.cmp(&a.eggs).then_with(|| a.why.cmp(&b.why)));
    (rows, all)
}
