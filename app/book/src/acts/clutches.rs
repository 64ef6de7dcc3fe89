//! Eggs found, and clutches and eggs corrected.

use super::pairs::{parent_doubts, parents, young_doubts};
use super::row::Row;
use super::young_follow::young_follow;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Clutch, Counts, Egg};
use crate::words::{ClutchCame, Fate, LaidAs};
use chrono::{NaiveDate, NaiveDateTime};
use journal::Draft;
use trade::units::Mass;
use trade::when::When;

/// The most eggs of one kind in a clutch: more than any snake here lays, so a digit too many is caught.
pub const MOST_EGGS: u32 = 120;

/// Eggs seen in a lay box: a clutch begins, to be pulled now or later.
#[derive(Clone, Debug)]
pub struct EggsFound {
    /// Candidates; empty when not known.
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    /// When they were seen.
    pub found: When,
    /// When they were laid, if that is known better.
    pub laid: Option<When>,
    /// `None` takes the next in the barn's own style.
    pub number: Option<String>,
}

impl EggsFound {
    /// The two-tap form: this dam, just now, sires from her pairings.
    pub fn under(book: &Book, dam: &AnimalId, now: NaiveDateTime) -> EggsFound {
        let dams = vec![dam.clone()];
        EggsFound { sires: book.suggest_sires(&dams, now), dams, found: When::time(now), laid: None, number: None }
    }
}

impl Act for EggsFound {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        parents(book, &self.dams, &self.sires)?;
        not_future("found", self.found, now)?;
        if let Some(laid) = self.laid {
            not_future("laid", laid, now)?;
        }
        in_order(("laying", self.laid), ("finding", Some(self.found)))?;
        for dam in self.dams.iter().filter_map(|id| book.animal(id)) {
            in_order(("the dam's birth", dam.born), ("laying", self.laid.or(Some(self.found))))?;
        }
        let number = match self.number.as_deref().map(str::trim) {
            Some(number) if !number.is_empty() => number.to_owned(),
            _ => book.suggest_number(now.date()),
        };
        let row = Row::new()
            .with(Clutch::number, number)
            .with(Clutch::dams, &self.dams)
            .with(Clutch::sires, &self.sires)
            .with(Clutch::species, book.suggest_species(&self.dams, &self.sires))
            .with(Clutch::found, self.found)
            .with(Clutch::laid, self.laid)
            .with(Clutch::came, ClutchCame::Laid);
        draft("EggsFound", vec![row.create(book, &fresh(book, mint))])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = parent_doubts(book, &self.dams, &self.sires);
        doubts.extend(self.number.as_deref().and_then(|number| number_taken(book, number, None)));
        if let [dam] = self.dams.as_slice() {
            doubts.extend(found_already(book, dam, self.laid.unwrap_or(self.found), None));
        }
        let parents = self.dams.iter().chain(&self.sires);
        doubts.extend(young_doubts(book, parents, Some(self.laid.unwrap_or(self.found))));
        doubts
    }
}

/// Two clutches of one female nearer than this are most likely one (the shortest interval here, a gecko's, is two
/// weeks: common practice, no source).
pub(crate) const SAME_CLUTCH_DAYS: i64 = 10;

fn found_already(book: &Book, dam: &AnimalId, laid: When, own: Option<&ClutchId>) -> Option<Doubt> {
    let own: Vec<&ClutchId> =
        own.map_or_else(Vec::new, |own| book.same_clutch(own).into_iter().map(|c| &c.id).collect());
    let hers = book.clutches_of(dam).filter(|clutch| clutch.dams == std::slice::from_ref(dam));
    let near = hers.filter(|clutch| !own.contains(&&clutch.id)).find(|clutch| {
        let other = book.clutch_laid(&clutch.id).map(When::date);
        other.is_some_and(|other| (laid.date() - other).num_days().abs() < SAME_CLUTCH_DAYS)
    })?;
    Some(Doubt::FoundAlready { name: book.animal_name(dam), number: book.clutch_number(&near.id) })
}

pub(super) fn number_taken(book: &Book, number: &str, own: Option<&ClutchId>) -> Option<Doubt> {
    let own: Vec<ClutchId> =
        own.map(|own| book.same_clutch(own).into_iter().map(|c| c.id.clone()).collect()).unwrap_or_default();
    let taken = book.clutches_numbered(number).any(|clutch| !own.contains(&clutch.id));
    taken.then(|| Doubt::NumberTaken { number: number.trim().to_owned() })
}

pub(super) fn check_counts(counts: Counts) -> Result<(), Refusal> {
    for (n, what) in [(counts.good, "good eggs"), (counts.dud, "bad eggs"), (counts.slug, "slugs")] {
        if n > MOST_EGGS {
            return Err(Refusal::TooMany { what, most: MOST_EGGS });
        }
    }
    Ok(())
}

/// All of a clutch that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClutchCard {
    pub number: String,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    /// Besides them a male nobody knows may be the sire.
    pub unknown_male: bool,
    /// Besides them it may be that there was no male.
    pub no_male: bool,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub laid: Option<When>,
    pub found: Option<When>,
    pub gravid: Option<Mass>,
    pub gravid_on: Option<NaiveDate>,
    pub spent: Option<Mass>,
    pub spent_on: Option<NaiveDate>,
    /// All its eggs together on the scale.
    pub mass: Option<Mass>,
    pub mass_on: Option<NaiveDate>,
    pub counts: Option<Counts>,
    pub note: String,
    pub came: Option<ClutchCame>,
}

impl ClutchCard {
    /// As it stands in the book.
    pub fn of(book: &Book, clutch: &ClutchId) -> Option<ClutchCard> {
        book.clutch(clutch).map(ClutchCard::from)
    }

    /// Dam and sire, each where nobody else is possible.
    pub(super) fn only_parents(&self) -> (Option<AnimalId>, Option<AnimalId>) {
        let only = |side: &[AnimalId]| match side {
            [one] => Some(one.clone()),
            _ => None,
        };
        (only(&self.dams), only(&self.sires).filter(|_| !self.unknown_male && !self.no_male))
    }

    pub(super) fn row(&self) -> Row<Clutch> {
        let counts = self.counts;
        Row::new()
            .with(Clutch::number, &self.number)
            .with(Clutch::dams, &self.dams)
            .with(Clutch::sires, &self.sires)
            .with(Clutch::unknown_male, self.unknown_male)
            .with(Clutch::no_male, self.no_male)
            .with(Clutch::species, self.species.as_ref())
            .with(Clutch::laid, self.laid)
            .with(Clutch::found, self.found)
            .with(Clutch::gravid, self.gravid)
            .with(Clutch::gravid_on, self.gravid_on)
            .with(Clutch::spent, self.spent)
            .with(Clutch::spent_on, self.spent_on)
            .with(Clutch::mass, self.mass)
            .with(Clutch::mass_on, self.mass_on)
            .with(Clutch::good, counts.map(|c| c.good))
            .with(Clutch::dud, counts.map(|c| c.dud))
            .with(Clutch::slug, counts.map(|c| c.slug))
            .with(Clutch::note, &self.note)
            .with(Clutch::came, self.came)
    }

    pub(super) fn check(&self, book: &Book, now: NaiveDateTime) -> Result<(), Refusal> {
        if self.number.trim().is_empty() {
            return Err(Refusal::Missing { what: "a clutch number" });
        }
        parents(book, &self.dams, &self.sires)?;
        for (what, when) in [("laid", self.laid), ("found", self.found)] {
            if let Some(when) = when {
                not_future(what, when, now)?;
            }
        }
        let weighings =
            [("gravid weight", self.gravid_on), ("spent weight", self.spent_on), ("clutch weight", self.mass_on)];
        for (what, day) in weighings {
            if let Some(day) = day {
                not_future(what, When::day(day), now)?;
            }
        }
        in_order(("laying", self.laid), ("finding", self.found))?;
        in_order(("the gravid weight", self.gravid_on.map(When::day)), ("laying", self.laid))?;
        in_order(("laying", self.laid), ("the spent weight", self.spent_on.map(When::day)))?;
        in_order(("laying", self.laid), ("the clutch's weighing", self.mass_on.map(When::day)))?;
        for dam in self.dams.iter().filter_map(|id| book.animal(id)) {
            in_order(("the dam's birth", dam.born), ("laying", self.laid.or(self.found)))?;
        }
        real_mass_if("A clutch", self.mass)?;
        real_mass_if("A gravid weight", self.gravid)?;
        real_mass_if("A spent weight", self.spent)?;
        self.counts.map_or(Ok(()), check_counts)
    }

    pub(super) fn doubts(&self, book: &Book, now: NaiveDateTime, own: Option<&ClutchId>) -> Vec<Doubt> {
        let mut doubts = parent_doubts(book, &self.dams, &self.sires);
        doubts.extend(number_taken(book, &self.number, own));
        let before = own.and_then(|own| ClutchCard::of(book, own));
        let dated = self.laid.or(self.found);
        // Asked once: a clutch that is only corrected in something else was asked about when it was entered.
        let as_before = before.is_some_and(|before| before.dams == self.dams && before.laid.or(before.found) == dated);
        if let (Some(when), false) = (dated, as_before) {
            if let [dam] = self.dams.as_slice() {
                doubts.extend(found_already(book, dam, when, own));
            }
            doubts.extend(young_doubts(book, self.dams.iter().chain(&self.sires), dated));
        }
        if let (Some(gravid), Some(spent)) = (self.gravid, self.spent)
            && (spent >= gravid || spent.0.saturating_mul(4) < gravid.0)
        {
            doubts.push(Doubt::MassFar { what: "The spent weight", now: spent, before: gravid });
        }
        if let Some(count) = self.counts.map(Counts::all).filter(|&count| count > 60) {
            doubts.push(Doubt::OddCount { count });
        }
        let days = self.laid.map(|laid| (now.date() - laid.date()).num_days());
        // The longest incubation here, a cool gecko's, is under 150 days (common practice).
        if let Some(days) = days.filter(|&days| days > 150) {
            doubts.push(Doubt::LongAgo { what: "laid", days });
        }
        doubts
    }
}

impl From<&Clutch> for ClutchCard {
    fn from(c: &Clutch) -> ClutchCard {
        ClutchCard {
            number: c.number.clone().unwrap_or_default(),
            dams: c.dams.clone(),
            sires: c.sires.clone(),
            unknown_male: c.unknown_male,
            no_male: c.no_male,
            species: c.species.clone(),
            laid: c.laid,
            found: c.found,
            gravid: c.gravid,
            gravid_on: c.gravid_on,
            spent: c.spent,
            spent_on: c.spent_on,
            mass: c.mass,
            mass_on: c.mass_on,
            counts: c.counts(),
            note: c.note.clone().unwrap_or_default(),
            came: c.came,
        }
    }
}

/// Anything of a clutch corrected or completed; only what differs is written.
#[derive(Clone, Debug)]
pub struct ClutchEdited {
    pub clutch: ClutchId,
    pub card: ClutchCard,
}

impl Act for ClutchEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.clutch.clone())?;
        self.card.check(book, now)?;
        for egg in book.eggs_of(&self.clutch).into_iter().filter(|egg| egg.laid.is_none()) {
            let hatched = book.hatchings(&egg.id).filter_map(|hatching| hatching.when).min_by_key(|when| when.latest());
            in_order(("laying", self.card.laid), ("the first pip", hatched))?;
            in_order(("laying", self.card.laid), ("an egg's end", egg.fate_when))?;
        }
        let change = self.card.row().change(book, self.clutch.as_str());
        let young = young_follow(book, &self.clutch, &self.card);
        draft("ClutchEdited", change.into_iter().chain(young).collect())
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = self.card.doubts(book, now, Some(&self.clutch));
        let in_book = u32::try_from(book.eggs_of(&self.clutch).len()).unwrap_or(u32::MAX);
        if let Some(counted) = self.card.counts.map(Counts::all).filter(|&counted| in_book > 0 && counted != in_book) {
            doubts.push(Doubt::SumOff { counted, in_book });
        }
        doubts
    }
}

/// All of an egg that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EggCard {
    pub letter: String,
    pub laid: Option<When>,
    pub clump: Option<i64>,
    pub laid_as: Option<LaidAs>,
    pub fate: Option<Fate>,
    pub fate_when: Option<When>,
    pub fate_why: String,
    pub fate_mass: Option<Mass>,
    /// Micrometres.
    pub len_um: Option<i64>,
    pub wid_um: Option<i64>,
    pub mass: Option<Mass>,
}

impl EggCard {
    /// As it stands in the book.
    pub fn of(book: &Book, egg: &EggId) -> Option<EggCard> {
        book.egg(egg).map(|e: &Egg| EggCard {
            letter: e.letter.clone().unwrap_or_default(),
            laid: e.laid,
            clump: e.clump,
            laid_as: e.laid_as,
            fate: e.fate,
            fate_when: e.fate_when,
            fate_why: e.fate_why.clone().unwrap_or_default(),
            fate_mass: e.fate_mass,
            len_um: e.len_um,
            wid_um: e.wid_um,
            mass: e.mass,
        })
    }
}

/// Anything of an egg corrected or measured; only what differs is written.
#[derive(Clone, Debug)]
pub struct EggEdited {
    pub egg: EggId,
    pub card: EggCard,
}

impl Act for EggEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.egg.clone())?;
        let card = &self.card;
        if card.letter.trim().is_empty() {
            return Err(Refusal::Missing { what: "the egg's letter" });
        }
        for (what, when) in [("laid", card.laid), ("fate", card.fate_when)] {
            if let Some(when) = when {
                not_future(what, when, now)?;
            }
        }
        let laid = card.laid.or_else(|| book.clutch_laid(book.egg(&self.egg)?.clutch.as_ref()?));
        in_order(("laying", laid), ("its end", card.fate_when))?;
        for (what, mass) in [("The egg's mass", card.mass), ("The mass when taken out", card.fate_mass)] {
            real_mass_if(what, mass)?;
        }
        sane_size(card.len_um, card.wid_um)?;
        let row = Row::new()
            .with(Egg::letter, &card.letter)
            .with(Egg::laid, card.laid)
            .with(Egg::clump, card.clump)
            .with(Egg::laid_as, card.laid_as)
            .with(Egg::fate, card.fate)
            .with(Egg::fate_when, card.fate_when)
            .with(Egg::fate_why, &card.fate_why)
            .with(Egg::fate_mass, card.fate_mass)
            .with(Egg::len_um, card.len_um)
            .with(Egg::wid_um, card.wid_um)
            .with(Egg::mass, card.mass);
        draft("EggEdited", row.change(book, self.egg.as_str()).into_iter().collect())
    }
}

/// 1 to 500 mm, as the sums about eggs take them, and longer than wide.
fn sane_size(len_um: Option<i64>, wid_um: Option<i64>) -> Result<(), Refusal> {
    let sane = |um: Option<i64>| um.is_none_or(|um| (1_000..=500_000).contains(&um));
    if !sane(len_um) || !sane(wid_um) {
        return Err(Refusal::Missing { what: "a length and width between 1 and 500 mm" });
    }
    match (len_um, wid_um) {
        (Some(len), Some(wid)) if wid > len => Err(Refusal::Missing { what: "the longer side as the length" }),
        _ => Ok(()),
    }
}

/// One egg under the caliper and on the scale; what was not measured stays as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct EggMeasure {
    pub egg: EggId,
    /// Micrometres.
    pub len_um: Option<i64>,
    pub wid_um: Option<i64>,
    pub mass: Option<Mass>,
}

/// Eggs of a clutch measured, all or some of them.
#[derive(Clone, Debug)]
pub struct EggsMeasured {
    pub eggs: Vec<EggMeasure>,
}

impl Act for EggsMeasured {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let mut sets = Vec::new();
        for (i, measured) in self.eggs.iter().enumerate() {
            let id = &measured.egg;
            let egg = book.egg(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            if self.eggs[..i].iter().any(|other| other.egg == *id) {
                return Err(Refusal::Twice { what: format!("Egg {}", egg.letter.as_deref().unwrap_or("?")) });
            }
            real_mass_if("The egg's mass", measured.mass)?;
            let (len, wid) = (measured.len_um.or(egg.len_um), measured.wid_um.or(egg.wid_um));
            sane_size(len, wid)?;
            let row =
                Row::new().with(Egg::len_um, len).with(Egg::wid_um, wid).with(Egg::mass, measured.mass.or(egg.mass));
            sets.extend(row.change(book, id.as_str()));
        }
        draft("EggsMeasured", sets)
    }
}
