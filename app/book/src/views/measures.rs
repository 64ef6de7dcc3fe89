//! A clutch measured: its mass against the female's, its eggs' size, its fertility; beside it her other clutches and
//! the barn's others of the species.

use super::breeding::first_of;
use super::sum::sum_of;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use chrono::NaiveDate;
use trade::measures::{EggVolume, Fertility, RelativeClutchMass, egg_volume};
use trade::units::Mass;
use trade::when::When;

/// The measures of a clutch; absent what was not measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Measures {
    pub weighed: Option<Weighed>,
    pub relative: Option<RelativeClutchMass>,
    /// Both of the female's weights stand behind it; otherwise the other one is taken as hers less or more the clutch.
    pub both_weights: bool,
    /// Of one egg, on average.
    pub egg_mass: Option<Mass>,
    pub size: Option<EggSize>,
    /// Of the shelled eggs; nothing of it before one was judged.
    pub fertility: Fertility,
    /// Eggs counted, slugs included.
    pub eggs: Option<u32>,
    /// Eggs in a clutch of this species: common practice, no source.
    pub usual_eggs: (u32, u32),
    /// The dam's other clutches, when she is known, and the barn's others of the species.
    pub hers: Option<Others>,
    pub barn: Option<Others>,
}

/// A clutch on the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    pub mass: Mass,
    /// As one; otherwise the sum of its eggs, each weighed.
    pub whole: bool,
    /// Days between laying and weighing, where both are known: eggs drink, and weigh more each day.
    pub days_after: Option<i64>,
}

/// Averages over the eggs measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EggSize {
    pub measured: u32,
    /// Millimetres.
    pub length: f64,
    pub width: f64,
    pub volume: EggVolume,
}

/// Other clutches to compare with. Averages over those that have the figure.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Others {
    pub clutches: u32,
    pub eggs: Option<f64>,
    pub of_gravid: Option<f64>,
    pub egg_mass: Option<Mass>,
    /// All their eggs together.
    pub fertility: Fertility,
}

/// The measures of a clutch, all its records taken together.
pub fn measures(book: &Book, id: &ClutchId) -> Measures {
    let own = one(book, id);
    let dams: Vec<&AnimalId> = book.same_clutch(id).into_iter().flat_map(|clutch| &clutch.dams).collect();
    let species = book.clutch(id).and_then(|clutch| book.clutch_species(clutch));
    let this = book.same_clutch(id).first().map(|clutch| clutch.id.clone());
    let (mut hers, mut barn) = (Vec::new(), Vec::new());
    for clutch in book.clutches() {
        let first = first_of(book, clutch);
        if first != clutch.id || Some(&first) == this.as_ref() {
            continue;
        }
        let same_dam = matches!((dams.as_slice(), clutch.dams.as_slice()), ([a], [b]) if *a == b);
        let same_species = species.is_some() && book.clutch_species(clutch) == species;
        if same_dam || same_species {
            let other = one(book, &first);
            if same_dam {
                hers.push(other.clone());
            }
            if same_species {
                barn.push(other);
            }
        }
    }
    let profile = book.species_of(species.as_deref());
    Measures {
        usual_eggs: profile.clutch,
        hers: others(&hers),
        barn: others(&barn),
        weighed: own.weighed,
        relative: own.relative,
        both_weights: own.both_weights,
        egg_mass: own.egg_mass,
        size: own.size,
        fertility: own.fertility,
        eggs: own.eggs,
    }
}

#[derive(Clone)]
struct One {
    weighed: Option<Weighed>,
    relative: Option<RelativeClutchMass>,
    both_weights: bool,
    egg_mass: Option<Mass>,
    size: Option<EggSize>,
    fertility: Fertility,
    eggs: Option<u32>,
}

fn one(book: &Book, id: &ClutchId) -> One {
    let all = book.same_clutch(id);
    let eggs: Vec<&Egg> = all.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
    let sum = sum_of(book, id);
    let weighed = weighed(book, id, &all, &eggs);
    let gravid = all.iter().find_map(|clutch| clutch.gravid);
    let spent = all.iter().find_map(|clutch| clutch.spent);
    let relative = weighed.and_then(|Weighed { mass, .. }| match (gravid, spent) {
        (Some(gravid), Some(spent)) => RelativeClutchMass::of(mass, gravid, spent),
        (Some(gravid), None) => RelativeClutchMass::from_gravid(mass, gravid),
        (None, Some(spent)) => RelativeClutchMass::from_spent(mass, spent),
        (None, None) => None,
    });
    let masses: Vec<Mass> = eggs.iter().filter_map(|egg| egg.mass).collect();
    let count = sum.counted.unwrap_or(0).max(sum.in_book);
    // A slug or two weighs as much as an egg here; who wants it exact weighs the eggs one by one.
    let egg_mass = if masses.is_empty() { weighed.map(|w| (w.mass, count)) } else { Some(total(&masses)) };
    One {
        relative,
        both_weights: gravid.is_some() && spent.is_some(),
        egg_mass: egg_mass.filter(|(_, n)| *n > 0).map(|(mass, n)| Mass(mass.0 / i64::from(n))),
        size: size(&eggs),
        fertility: sum.fertility,
        eggs: (count > 0).then_some(count),
        weighed,
    }
}

fn total(masses: &[Mass]) -> (Mass, u32) {
    (masses.iter().copied().sum(), u32::try_from(masses.len()).unwrap_or(u32::MAX))
}

fn weighed(book: &Book, id: &ClutchId, all: &[&Clutch], eggs: &[&Egg]) -> Option<Weighed> {
    let laid = book.clutch_laid(id).map(When::date);
    let after = |on: Option<NaiveDate>| Some((on? - laid?).num_days());
    if let Some(clutch) = all.iter().find(|clutch| clutch.mass.is_some()) {
        return Some(Weighed { mass: clutch.mass?, whole: true, days_after: after(clutch.mass_on) });
    }
    let masses: Option<Vec<Mass>> = eggs.iter().map(|egg| egg.mass).collect();
    let masses = masses.filter(|masses| !masses.is_empty())?;
    Some(Weighed { mass: masses.into_iter().sum(), whole: false, days_after: None })
}

fn size(eggs: &[&Egg]) -> Option<EggSize> {
    let mm = |um: i64| um as f64 / 1000.0;
    let found: Vec<(f64, f64, EggVolume)> = eggs
        .iter()
        .filter_map(|egg| {
            let (length, width) = (mm(egg.len_um?), mm(egg.wid_um?));
            Some((length, width, egg_volume(length, width)?))
        })
        .collect();
    let measured = u32::try_from(found.len()).ok().filter(|n| *n > 0)?;
    let mean = |of: fn(&(f64, f64, EggVolume)) -> f64| found.iter().map(of).sum::<f64>() / f64::from(measured);
    Some(EggSize {
        measured,
        length: mean(|e| e.0),
        width: mean(|e| e.1),
        volume: EggVolume {
            bicone_cm3: mean(|e| e.2.bicone_cm3),
            ellipsoid_cm3: mean(|e| e.2.ellipsoid_cm3),
            cylinder_cm3: mean(|e| e.2.cylinder_cm3),
        },
    })
}

fn others(found: &[One]) -> Option<Others> {
    let clutches = u32::try_from(found.len()).ok().filter(|n| *n > 0)?;
    let mean = |values: Vec<f64>| (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
    Some(Others {
        clutches,
        eggs: mean(found.iter().filter_map(|one| one.eggs).map(f64::from).collect()),
        of_gravid: mean(found.iter().filter_map(|one| one.relative).map(|relative| relative.of_gravid).collect()),
        egg_mass: mean(found.iter().filter_map(|one| one.egg_mass).map(|mass| mass.0 as f64).collect())
            .map(|mg| Mass(mg.round() as i64)),
        fertility: found.iter().map(|one| one.fertility).fold(Fertility::default(), Fertility::and),
    })
}
