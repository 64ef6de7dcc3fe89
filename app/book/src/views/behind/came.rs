//! What came of each clutch, and all it can be compared by.

use super::{By, MEAL_WITHIN, Of};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::views::season::first_meal;
use crate::views::sum::fertile;
use crate::words::*;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::sync::Arc;
use trade::look_back::rounding;
use trade::measures::Fertility;
use trade::when::When;

/// Part of a clutch that shared a shelf and a box.
pub(super) struct Part<'a> {
    pub(super) clutch: &'a Clutch,
    pub(super) eggs: Vec<&'a Egg>,
    filling: Option<FillingId>,
}

/// What came of a part of a clutch, and all it can be compared by.
#[derive(Debug, PartialEq)]
pub(super) struct Came {
    pub(super) clutch: ClutchId,
    pub(super) species: String,
    /// where one is known
    pub(super) dam: Option<AnimalId>,
    pub(super) keys: [Option<(String, Option<Thing>)>; By::ALL.len()],
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

    pub(super) fn unit(&self) -> &str {
        unit(&self.clutch, self.dam.as_ref())
    }

    pub(super) fn told(&self, of: Of, by: By) -> Option<(&(String, Option<Thing>), Value)> {
        Some((self.keys[by as usize].as_ref()?, self.values[of as usize]?))
    }
}

pub(super) fn dam_of(clutch: &Clutch) -> Option<&AnimalId> {
    match clutch.dams.as_slice() {
        [dam] => Some(dam),
        _ => None,
    }
}

/// What shares its luck: the dam; where she is not known, the clutch.
pub(super) fn unit<'a>(clutch: &'a ClutchId, dam: Option<&'a AnimalId>) -> &'a str {
    dam.map_or(clutch.as_str(), AnimalId::as_str)
}

/// Clutches with their eggs, each once however many records it has.
pub(super) fn parts(book: &Book) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        if joined.first().is_some_and(|first| first.id != clutch.id) {
            continue;
        }
        let eggs: Vec<&Egg> = joined.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
        let filling = eggs.iter().find_map(|egg| egg.filling.clone());
        parts.push(Part { clutch, eggs, filling });
    }
    parts
}

impl<'a> Part<'a> {
    /// A clutch by the boxes it was set in.
    fn apart(&self) -> Vec<Part<'a>> {
        let mut boxes: BTreeMap<Option<FillingId>, Vec<&Egg>> = BTreeMap::new();
        self.eggs.iter().for_each(|egg| boxes.entry(egg.filling.clone()).or_default().push(egg));
        boxes.into_iter().map(|(filling, eggs)| Part { clutch: self.clutch, eggs, filling }).collect()
    }
}

/// What came of all clutches, whole, and box by box. A clutch in one box is the same either way, and looked at once.
pub(super) fn came(book: &Book, now: NaiveDateTime) -> (Vec<Arc<Came>>, Vec<Arc<Came>>) {
    let (mut whole, mut apart) = (Vec::new(), Vec::new());
    for part in parts(book) {
        let came = Arc::new(Came::of(book, &part, now));
        match part.apart().as_slice() {
            [_] => apart.push(came.clone()),
            several => apart.extend(several.iter().map(|part| Arc::new(Came::of(book, part, now)))),
        }
        whole.push(came);
    }
    (whole, apart)
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

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Value {
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
pub(super) fn dates(book: &Book, part: &Part<'_>) -> Option<(When, When)> {
    let (egg, pip) =
        part.eggs.iter().filter_map(|egg| Some((egg, book.pip_of(egg)?))).min_by_key(|(_, pip)| pip.latest())?;
    Some((book.laid_closely(egg)?, pip))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use chrono::NaiveDate;

    #[test]
    fn a_clutch_in_one_box_is_the_same_whole_and_apart() {
        let today = NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day");
        let book = demo::book(today);
        let now = today.and_hms_opt(12, 0, 0).expect("noon");
        let (whole, apart) = came(&book, now);
        let anew: Vec<Came> =
            parts(&book).iter().flat_map(Part::apart).map(|part| Came::of(&book, &part, now)).collect();
        assert!(apart.iter().map(|came| &**came).eq(&anew));
        assert!(
            whole
                .iter()
                .map(|came| &**came)
                .eq(&parts(&book).iter().map(|part| Came::of(&book, part, now)).collect::<Vec<_>>())
        );
        let shared = apart.iter().filter(|came| whole.iter().any(|whole| Arc::ptr_eq(whole, came))).count();
        assert!(shared > 10 && shared < apart.len(), "{shared} of {}", apart.len());
    }
}
