//! The seasons behind: what came of clutches, by dam, shelf, medium…, each number with what it stands on.
//!
//! Only what has ended is counted: a clutch with eggs still in has no hatch rate yet. What cannot be told apart is left
//! out, not guessed: of two candidate sires neither gets the clutch.

mod days;
mod whose;

pub use days::{DaysLine, DaysPoint, days_lines};
pub use whose::Whose;

use super::season::first_meal;
use super::sum::fertile;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::*;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use trade::look_back::{Counted, Mean, Measured, Rate, Verdict, could_tell, means, rates, rounding};
use trade::measures::Fertility;
use trade::when::When;

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

/// Part of a clutch that shared a shelf and a box.
struct Part<'a> {
    clutch: &'a Clutch,
    eggs: Vec<&'a Egg>,
    filling: Option<FillingId>,
}

/// What came of a part of a clutch, and all it can be compared by.
struct Came {
    clutch: ClutchId,
    species: String,
    /// where one is known
    dam: Option<AnimalId>,
    keys: [Option<(String, Option<Thing>)>; By::ALL.len()],
    values: [Option<Value>; Of::ALL.len()],
}

impl Came {
    fn of(book: &Book, part: &Part<'_>, now: NaiveDateTime) -> Self {
        Self {
            clutch: part.clutch.id.clone(),
            species: book.clutch_species(part.clutch).unwrap_or_default(),
            dam: dam_of(part.clutch).cloned(),
            keys: By::ALL.map(|by| key(book, by, part)),
            values: Of::ALL.map(|of| value(book, of, part, now)),
        }
    }

    fn unit(&self) -> &str {
        unit(&self.clutch, self.dam.as_ref())
    }

    fn told(&self, of: Of, by: By) -> Option<(&(String, Option<Thing>), Value)> {
        Some((self.keys[by as usize].as_ref()?, self.values[of as usize]?))
    }
}

fn dam_of(clutch: &Clutch) -> Option<&AnimalId> {
    match clutch.dams.as_slice() {
        [dam] => Some(dam),
        _ => None,
    }
}

/// What shares its luck: the dam; where she is not known, the clutch.
fn unit<'a>(clutch: &'a ClutchId, dam: Option<&'a AnimalId>) -> &'a str {
    dam.map_or(clutch.as_str(), AnimalId::as_str)
}

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
fn laid_out(all: &[Came], of: Of, by: By) -> Vec<(usize, usize, usize)> {
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

fn is_apart(by: By) -> bool {
    matches!(by, By::Shelf | By::Medium | By::Mix)
}

/// Compares what came of all clutches.
pub fn behind(book: &Book, of: Of, by: By, now: NaiveDateTime) -> Behind {
    let came = |apart| -> Vec<Came> { parts(book, apart).iter().map(|part| Came::of(book, part, now)).collect() };
    let (whole, apart) = (came(false), came(true));
    let all = |by| if is_apart(by) { &apart } else { &whole };
    let questions = Of::ALL.into_iter().flat_map(|of| By::ALL.map(|by| (of, by)));
    let asked = questions.filter(|&(of, by)| could_tell(&laid_out(all(by), of, by))).count();

    let told: Vec<(&Came, Value, (usize, usize, usize))> = {
        let told = all(by).iter().filter_map(|came| Some((came, came.told(of, by)?.1)));
        told.zip(laid_out(all(by), of, by)).map(|((came, value), at)| (came, value, at)).collect()
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

/// Clutches with their eggs, each once however many records it has; `apart`: by the box they were set in.
fn parts(book: &Book, apart: bool) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        if joined.first().is_some_and(|first| first.id != clutch.id) {
            continue;
        }
        let eggs: Vec<&Egg> = joined.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
        if !apart {
            let filling = eggs.iter().find_map(|egg| egg.filling.clone());
            parts.push(Part { clutch, eggs, filling });
            continue;
        }
        let mut boxes: BTreeMap<Option<FillingId>, Vec<&Egg>> = BTreeMap::new();
        eggs.into_iter().for_each(|egg| boxes.entry(egg.filling.clone()).or_default().push(egg));
        parts.extend(boxes.into_iter().map(|(filling, eggs)| Part { clutch, eggs, filling }));
    }
    parts
}

/// What a part is compared by; `None` when it is not known or not one.
fn key(book: &Book, by: By, part: &Part<'_>) -> Option<(String, Option<Thing>)> {
    let animal = |ids: &[AnimalId]| match ids {
        [one] => Some((book.animal_name(one), Some(one.thing()))),
        _ => None,
    };
    let filling = part.filling.as_ref().and_then(|id| book.filling(id));
    match by {
        By::Dam => animal(&part.clutch.dams),
        By::Sire => animal(part.clutch.only_of()),
        By::Pairing => {
            let (dam, sire) = (animal(&part.clutch.dams)?, animal(part.clutch.only_of())?);
            Some((format!("{} × {}", dam.0, sire.0), None))
        }
        By::Species => {
            let key = book.clutch_species(part.clutch)?;
            Some((book.species_of(Some(&key)).name.into_owned(), None))
        }
        By::Shelf => {
            let stay = book.box_stays(part.filling.as_ref()?).into_iter().next()?;
            Some((book.short_name(&stay.place.thing()), Some(stay.place.thing())))
        }
        By::Medium => Some((filling?.medium.clone().filter(|medium| !medium.is_empty())?, None)),
        By::Mix => {
            let filling = filling?;
            let (dry, water) = (filling.dry?.0, filling.water?.0);
            (dry > 0).then(|| (format!("{:.1} : 1", water as f64 / dry as f64), None))
        }
        By::Year => Some((book.clutch_laid(&part.clutch.id)?.date().year().to_string(), None)),
    }
}

#[derive(Clone, Copy)]
enum Value {
    Share { k: u32, n: u32, unjudged: u32 },
    Number { value: f64, rounding: f64 },
}

fn value(book: &Book, of: Of, part: &Part<'_>, now: NaiveDateTime) -> Option<Value> {
    let ended = !part.eggs.is_empty() && part.eggs.iter().all(|egg| egg.fate.is_some());
    let shelled = || part.eggs.iter().filter(|egg| egg.laid_as != Some(LaidAs::Slug));
    let share = |k: usize, n: usize| (n > 0).then_some(Value::Share { k: k as u32, n: n as u32, unjudged: 0 });
    match of {
        Of::Fertility => {
            let mut found = Fertility::default();
            shelled().for_each(|egg| found.add(fertile(book, egg)));
            let Fertility { fertile: k, judged: n, unjudged } = found;
            (n > 0).then_some(Value::Share { k, n, unjudged })
        }
        Of::Hatched => {
            if !ended {
                return None;
            }
            // Sold or lost eggs say nothing of hatching.
            let good = || {
                let good = shelled().filter(|egg| egg.laid_as != Some(LaidAs::Dud));
                good.filter(|egg| !matches!(egg.fate, Some(Fate::Sold | Fate::Lost)))
            };
            share(good().filter(|egg| egg.fate == Some(Fate::Hatched)).count(), good().count())
        }
        Of::Days => {
            let (laid, pip) = dates(book, part)?;
            let value = (pip.middle() - laid.middle()).num_minutes() as f64 / 1440.0;
            Some(Value::Number { value, rounding: rounding(laid, pip) })
        }
        Of::BabyMass => {
            let hatched = part.eggs.iter().filter(|egg| egg.fate == Some(Fate::Hatched));
            let grams: Vec<f64> = hatched.filter_map(|egg| Some(egg.fate_mass?.0 as f64 / 1000.0)).collect();
            let value = grams.iter().sum::<f64>() / grams.len() as f64;
            (!grams.is_empty()).then_some(Value::Number { value, rounding: 0.0 })
        }
        Of::FirstMeal => {
            let within = TimeDelta::days(MEAL_WITHIN);
            let young = part.eggs.iter().flat_map(|egg| book.young_of(&egg.id));
            // Young that nobody logged a meal for were not followed.
            let followed: Vec<(When, &Animal)> = young
                .filter(|animal| book.meals(&animal.id).next().is_some())
                .filter_map(|animal| Some((animal.born?, animal)))
                .filter(|(born, _)| now - born.middle() > within)
                .collect();
            let ate = followed.iter().filter(|(born, animal)| {
                first_meal(book, &animal.id).is_some_and(|meal| meal.middle() - born.middle() <= within)
            });
            share(ate.count(), followed.len())
        }
    }
}

/// When it was laid and first pipped. None where the laying is not known closely: a day of finding is no lay date, and the
/// middle of some weeks is none either.
fn dates(book: &Book, part: &Part<'_>) -> Option<(When, When)> {
    let (egg, pip) =
        part.eggs.iter().filter_map(|egg| Some((egg, book.pip_of(egg)?))).min_by_key(|(_, pip)| pip.latest())?;
    Some((book.laid_closely(egg)?, pip))
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
    for part in parts(book, false) {
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
