//! A female's season, what she has done before, and whether she may go again; who is ready to breed.

use super::cooling::cooled_this_season;
use super::her_season::{HerSeason, her_season, last_laid};
use super::males::{NoMaleSince, no_male_since};
use super::meals::{Offered, meal_counts};
use super::sum::sum_of;
use super::{Cold, being_treated, cold_at};
use crate::book::Book;
use crate::ids::*;
use crate::lay::{InSeries, Outlook};
use crate::records::{Animal, BreedingRule, Clutch};
use crate::words::*;
use chrono::NaiveDateTime;
use trade::again::{Since, Wants};
use trade::breeders::{Facts, Lack, Rule, Stand, stand};
use trade::lay::LayWindow;
use trade::measures::Fertility;
use trade::species::Kin;
use trade::when::When;

/// How a female stands in her season.
#[derive(Clone, Debug, PartialEq)]
pub struct Breeding {
    pub season: HerSeason,
    /// The pairing she was last in, if she is still in it or its eggs are waited for.
    pub pairing: Option<PairingId>,
    pub outlook: Option<Outlook>,
    pub again: Option<Again>,
    /// No male was with her for longer than the eggs of a pairing take.
    pub no_male: Option<NoMaleSince>,
    /// Where her species lays in series: this season's clutches, first to last.
    pub series: Vec<InSeries>,
}

/// Whether a female may go again this season.
#[derive(Clone, Debug, PartialEq)]
pub struct Again {
    /// What she still wants; empty when she may.
    pub wants: Vec<Wants>,
    /// When she laid, or her eggs were found.
    pub since: super::since::Since,
    /// When the eggs would come.
    pub eggs: LayWindow,
}

/// What came of an animal's clutches, as dam or sire; joined records counted once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PastRecord {
    pub clutches: u32,
    pub eggs: u32,
    pub slugs: u32,
    pub shelled: u32,
    pub fertility: Fertility,
    pub hatched: u32,
    pub still_in: u32,
}

/// Where a female stands. `now` bounds what counts as this season.
pub fn breeding(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Breeding {
    let outlook = book.outlook(id, now);
    let laid = last_laid(book, id, NaiveDateTime::MAX);
    // Before a first clutch this season is what happened in the last eight months.
    let from = laid.map(|laid| laid.when.latest()).filter(|laid| (now - *laid).num_days() < 400);
    let from = from.unwrap_or(now - chrono::TimeDelta::days(240));
    let within = |when: Option<When>| when.is_some_and(|when| when.earliest() >= from && when.earliest() <= now);
    let mut pairings = book.pairings_of(id).filter(|pairing| pairing.dams.contains(id));
    let pairing = pairings.find(|pairing| within(pairing.when) || within(pairing.ended));
    Breeding {
        pairing: pairing.map(|pairing| pairing.id.clone()),
        again: if outlook.is_some_and(|outlook| !outlook.has_closed(now)) { None } else { again(book, id, now) },
        season: her_season(book, id, outlook, now),
        no_male: no_male_since(book, id, now),
        outlook,
        series: book.series(id, now),
    }
}

/// Whether a female that laid this season may go again; `None` when it is not a question: nothing laid, too long ago,
/// gone, or of a kind that lays once, or again without being asked.
pub fn again(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<Again> {
    let animal = book.animal(id).filter(|animal| animal.is_here())?;
    let profile = book.species_of(animal.species.as_deref());
    if profile.kin != Kin::Snake {
        return None;
    }
    let (laid, eggs) = book.next_clutch(id, now)?;
    let clutch = book.clutches_of(id).find(|clutch| book.clutch_laid(&clutch.id) == Some(laid))?;
    let before = book.same_clutch(&clutch.id).iter().find_map(|clutch| clutch.gravid);
    let after = |when: Option<When>| when.is_some_and(|when| when.earliest() > laid.latest());
    let weight = book.weights(id).into_iter().rev().find(|(_, when)| after(*when)).map(|(mass, _)| mass);
    let meals = book.meals(id).filter(|meal| after(meal.offered) && meal.outcome == Some(MealOutcome::Eaten)).count();
    let she = Since { laid, before, weight, meals: u32::try_from(meals).unwrap_or(u32::MAX) };
    let wants = book.again_rule().wants(&she, now.date())?;
    Some(Again { wants, since: super::since::Since::of_clutch(book, &clutch.id)?, eggs })
}

/// Females that laid this season and may go again or soon may: those that may first, then by when they laid.
pub fn may_go_again(book: &Book, now: NaiveDateTime) -> Vec<(AnimalId, Again)> {
    let females = book.animals().into_iter().filter(|animal| animal.sex != Some(Sex::Male));
    let mut found: Vec<(AnimalId, Again)> = females
        .filter(|animal| book.clutches_of(&animal.id).next().is_some() && book.lay_sign(&animal.id, now).is_none())
        .filter_map(|animal| Some((animal.id.clone(), again(book, &animal.id, now)?)))
        .collect();
    crate::order::sort(&mut found, |(id, again)| (again.wants.len(), again.since.when.earliest(), id.clone()));
    found
}

/// What came of the clutches of an animal.
pub fn past_record(book: &Book, id: &AnimalId) -> PastRecord {
    let mut past = PastRecord::default();
    let mut seen: Vec<ClutchId> = Vec::new();
    for clutch in book.clutches_of(id) {
        let first = first_of(book, clutch);
        if seen.contains(&first) {
            continue;
        }
        let sum = sum_of(book, &first);
        past.clutches += 1;
        past.eggs += sum.in_book.max(sum.counted.unwrap_or(0));
        past.shelled += sum.shelled;
        past.slugs += sum.in_book - sum.shelled;
        past.fertility = past.fertility.and(sum.fertility);
        past.hatched += sum.hatched;
        past.still_in += sum.still_in;
        seen.push(first);
    }
    past
}

pub(super) fn first_of(book: &Book, clutch: &Clutch) -> ClutchId {
    book.same_clutch(&clutch.id).first().map_or_else(|| clutch.id.clone(), |first| first.id.clone())
}

/// An animal that the barn's rule speaks of.
#[derive(Clone, Debug, PartialEq)]
pub struct BreederRow {
    pub id: AnimalId,
    pub name: String,
    /// A species record's id or a shipped profile's key.
    pub species: String,
    pub sex: Sex,
    pub stand: Stand,
    /// What stands in the way.
    pub lacks: Vec<Lack>,
}

/// Who is ready to breed, nearly, or not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breeders {
    /// Those ready first; then by species, sex and name.
    pub rows: Vec<BreederRow>,
    /// Species and sex of animals here that no rule speaks of, and how many they are.
    pub no_rule: Vec<(String, Sex, usize)>,
    /// Some rule asks for something, whoever it speaks of.
    pub ruled: bool,
}

impl Book {
    /// The barn's own rules for who may breed, by species and sex.
    pub fn all_breeding_rules(&self) -> impl Iterator<Item = &BreedingRule> {
        self.t.breeding_rules.values().map(|kept| &kept.record)
    }
}

/// Who is ready to breed by the barn's own rules, of those that are here.
pub fn breeders(book: &Book, now: NaiveDateTime) -> Breeders {
    let ruled = book.all_breeding_rules().any(|rule| rule.rule().asks());
    let mut found = Breeders { ruled, ..Breeders::default() };
    for animal in book.animals() {
        let Some((species, sex)) = kind_of(animal) else { continue };
        if let Some(row) = breeder(book, &animal.id, now) {
            found.rows.push(row);
        } else if let Some(known) = found.no_rule.iter_mut().find(|(s, x, _)| *s == species && *x == sex) {
            known.2 += 1;
        } else {
            found.no_rule.push((species.to_owned(), sex, 1));
        }
    }
    crate::order::sort(&mut found.rows, |row| (row.stand, row.species.clone(), row.sex, row.name.clone()));
    crate::order::sort(&mut found.no_rule, |(species, sex, _)| (species.clone(), *sex));
    found
}

/// Its species and sex, where both are known.
fn kind_of(animal: &Animal) -> Option<(&str, Sex)> {
    Some((animal.species.as_deref()?, animal.sex.filter(|sex| *sex != Sex::Unknown)?))
}

/// How an animal stands by the rule for its species and sex; `None` where there is none, or it is gone.
pub fn breeder(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<BreederRow> {
    let animal = book.animal(id).filter(|animal| animal.is_here())?;
    let (species, sex) = kind_of(animal)?;
    let rule = book.breeding_rule(&BreedingRule::id_of(species, sex)).map(BreedingRule::rule);
    let rule = rule.filter(Rule::asks)?;
    let lacks = rule.lacks(&facts(book, animal, now), now.date());
    let (name, stand) = (book.animal_name(id), stand(&lacks, now.date()));
    Some(BreederRow { id: id.clone(), name, species: species.to_owned(), sex, stand, lacks })
}

fn facts(book: &Book, animal: &Animal, now: NaiveDateTime) -> Facts {
    let id = &animal.id;
    let last = book.weights(id).into_iter().rev().find_map(|(mass, when)| Some((mass, when?.date())));
    let gravid = animal.sex == Some(Sex::Female) && book.lay_sign(id, now).is_some_and(|(sign, _)| sign.is_gravid());
    Facts {
        born: animal.born.map(|born| born.days().1),
        weighed: last,
        meals_in_a_row: meal_counts(&mut book.meals(id).map(Offered::from), now, None).taken_in_a_row,
        warm: cooled_this_season(book, id, now.date()),
        cool: cold_at(book, id, When::time(now)) == Some(Cold::Cool),
        apart: book.apart(&id.thing()).is_some(),
        treated: being_treated(book, id, now),
        gravid,
    }
}
