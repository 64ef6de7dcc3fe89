//! Animals cooled for some weeks: planned, begun, ended and put right, for many at once.

use super::animals::{all_once, born_by, gone_doubts};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, not_future};
use crate::book::Book;
use crate::ids::*;
use crate::read::BARN;
use crate::records::{BarnRules, Cooling};
use crate::views::{Cold, cold_at, warming};
use chrono::{NaiveDate, NaiveDateTime};
use journal::Draft;
use trade::cooling::{LIKELY, Rule};
use trade::units::Temp;
use trade::when::When;

/// A plan longer than this, or further to come, is a slip of the keyboard: three years.
const MOST_DAYS: i64 = 3 * 366;
/// The longest time without food before: three months.
const MOST_FAST: u32 = 92;

/// All of one animal's cooling that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CoolingCard {
    /// The first day; it may be to come.
    pub from: Option<When>,
    /// The last day.
    pub until: Option<NaiveDate>,
    pub temp: Option<Temp>,
    /// Days from the last meal to the first day; `None`: as usual.
    pub fast_days: Option<u32>,
    pub began: Option<When>,
    /// Ended; without having begun, called off.
    pub ended: Option<When>,
    pub note: String,
}

impl CoolingCard {
    /// As it stands in the book.
    pub fn of(book: &Book, cooling: &CoolingId) -> Option<CoolingCard> {
        book.cooling(cooling).map(|c| CoolingCard {
            from: c.from,
            until: c.until,
            temp: c.temp,
            fast_days: c.fast_days,
            began: c.began,
            ended: c.ended,
            note: c.note.clone().unwrap_or_default(),
        })
    }

    fn row(&self) -> Row<Cooling> {
        Row::new()
            .with(Cooling::from, self.from)
            .with(Cooling::until, self.until)
            .with(Cooling::temp, self.temp)
            .with(Cooling::fast_days, self.fast_days)
            .with(Cooling::began, self.began)
            .with(Cooling::ended, self.ended)
            .with(Cooling::note, &self.note)
    }

    fn check(&self, book: &Book, now: NaiveDateTime, animal: Option<&AnimalId>) -> Result<(), Refusal> {
        let Some(from) = self.from else { return Err(Refusal::Missing { what: "the first day of the cooling" }) };
        if (from.date() - now.date()).num_days() > MOST_DAYS {
            return Err(Refusal::TooFar { what: "first cool day", most: "three years", after: "today" });
        }
        if self.until.is_some_and(|until| until < from.date()) {
            return Err(Refusal::OutOfOrder { first: "the last day", then: "the first day" });
        }
        if self.until.is_some_and(|until| (until - from.date()).num_days() > MOST_DAYS) {
            return Err(Refusal::TooFar { what: "last cool day", most: "three years", after: "the first" });
        }
        if self.fast_days.is_some_and(|days| days > MOST_FAST) {
            return Err(Refusal::Missing { what: "at most 92 days without food before" });
        }
        if let Some(temp) = self.temp.filter(|temp| !(0..=6_000).contains(&temp.0)) {
            return Err(Refusal::BadTemp { temp });
        }
        for (what, when) in [("beginning", self.began), ("end", self.ended)] {
            when.map_or(Ok(()), |when| not_future(what, when, now))?;
        }
        in_order(("the beginning", self.began), ("the end", self.ended))?;
        let first = self.began.unwrap_or(from);
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the cooling", first))
    }

    fn temp_doubt(&self) -> Option<Doubt> {
        let odd = |temp: &Temp| *temp < LIKELY.0 || *temp > LIKELY.1;
        self.temp.filter(odd).map(|temp| Doubt::OddCool { temp })
    }
}

/// Several cooled together, or one: each gets a record of its own. A first day that has come is the day it began.
#[derive(Clone, Debug)]
pub struct CoolingSet {
    pub animals: Vec<AnimalId>,
    pub card: CoolingCard,
}

impl Act for CoolingSet {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_once(book, &self.animals)?;
        let came = self.card.from.filter(|from| from.earliest() <= now);
        let card = CoolingCard { began: self.card.began.or(came), ..self.card.clone() };
        let mut sets = Vec::with_capacity(self.animals.len());
        for animal in &self.animals {
            card.check(book, now, Some(animal))?;
            if book.coolings(animal).any(|other| other.ended.is_none()) {
                return Err(Refusal::CooledAlready { name: book.animal_name(animal) });
            }
            sets.push(card.row().with(Cooling::animal, animal).create(book, &fresh(book, mint)));
        }
        draft("CoolingSet", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = gone_doubts(book, self.animals.iter(), self.card.from);
        doubts.extend(self.card.temp_doubt());
        doubts
    }
}

/// Begun, ended, called off or put right, for one or several; only what differs is written.
#[derive(Clone, Debug)]
pub struct CoolingEdited {
    pub cards: Vec<(CoolingId, CoolingCard)>,
}

impl Act for CoolingEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.cards.is_empty() {
            return Err(Refusal::Missing { what: "which animals are meant" });
        }
        let mut sets = Vec::with_capacity(self.cards.len());
        for (i, (id, card)) in self.cards.iter().enumerate() {
            if self.cards[..i].iter().any(|(other, _)| other == id) {
                return Err(Refusal::Twice { what: book.short_name(&id.thing()) });
            }
            let cooling = book.cooling(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            card.check(book, now, cooling.animal.as_ref())?;
            // Taken back into the cold, while another one goes on.
            let other = |other: &Cooling| other.id != *id && other.ended.is_none();
            let again = cooling.ended.is_some() && card.ended.is_none();
            if let Some(animal) = cooling.animal.as_ref().filter(|animal| again && book.coolings(animal).any(other)) {
                return Err(Refusal::CooledAlready { name: book.animal_name(animal) });
            }
            sets.extend(card.row().change(book, id.as_str()));
            let others = others_with(book, cooling, card);
            let others = others.filter(|(other, _)| self.cards.iter().all(|(id, _)| *other != id));
            sets.extend(others.filter_map(|(other, row)| row.change(book, other.as_str())));
        }
        draft("CoolingEdited", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let changed = |(id, card): &&(CoolingId, CoolingCard)| book.cooling(id).is_some_and(|c| c.temp != card.temp);
        self.cards.iter().filter(changed).find_map(|(_, card)| card.temp_doubt()).into_iter().collect()
    }
}

/// What becomes of the other coolings of its animal: two devices may each have written one, and it is cooled once, whichever is
/// looked at. Begun, the other has begun too; ended, it is over, and called off where it had not begun. One that is called off
/// says nothing of the other, by which the animal may still be cooled.
fn others_with<'a>(
    book: &'a Book,
    stood: &'a Cooling,
    card: &CoolingCard,
) -> impl Iterator<Item = (&'a CoolingId, Row<Cooling>)> + use<'a> {
    let began = card.began.filter(|_| stood.began.is_none() && card.ended.is_none());
    let ended = card.ended.filter(|_| stood.ended.is_none() && card.began.is_some());
    let last = card.until;
    let open = stood.animal.iter().flat_map(|animal| book.coolings(animal));
    let open = open.filter(|other| other.id != stood.id && other.ended.is_none());
    open.filter_map(move |other| {
        // A plan that begins after the last day of this one is another one.
        let same = other.from.zip(last).is_none_or(|(from, last)| from.date() <= last);
        let row = match (other.began.is_some(), began, ended) {
            (true, _, Some(ended)) if in_order(("", other.began), ("", Some(ended))).is_ok() => {
                Row::new().with(Cooling::ended, Some(ended))
            }
            (false, Some(began), _) if same => Row::new().with(Cooling::began, Some(began)),
            (false, None, Some(ended)) if same => Row::new().with(Cooling::ended, Some(ended)),
            _ => return None,
        };
        Some((&other.id, row))
    })
}

/// The barn's own rule for what comes between cooling and pairing.
#[derive(Clone, Copy, Debug)]
pub struct CoolingRuleSet {
    pub rule: Rule,
}

impl Act for CoolingRuleSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let Rule { days, meals, sheds } = self.rule;
        if days > 120 || meals > 50 || sheds > 10 {
            return Err(Refusal::Missing { what: "at most 120 days, 50 meals and 10 sheds" });
        }
        let now = book.cooling_rule();
        let row = Row::new()
            .changed(BarnRules::cooled_days, days, now.days)
            .changed(BarnRules::cooled_meals, meals, now.meals)
            .changed(BarnRules::cooled_sheds, sheds, now.sheds);
        draft("CoolingRuleSet", row.change(book, BARN).into_iter().collect())
    }
}

/// Asks about food for who is cool, or will be before it is digested.
pub(super) fn food_doubts(book: &Book, animals: &[AnimalId], when: When) -> Option<Doubt> {
    let cold = animals.iter().filter(|animal| cold_at(book, animal, when).is_some());
    let mut names: Vec<String> = cold.map(|animal| book.animal_name(animal)).collect();
    // Animals come in the order they were ticked or stand in; a list of names is read by name.
    crate::order::sort(&mut names, Clone::clone);
    (!names.is_empty()).then(|| Doubt::NoFood { names: names.join(", ") })
}

/// Asks about pairing who is cool, or not long enough out of it.
pub(super) fn warm_doubts<'a>(book: &Book, animals: impl Iterator<Item = &'a AnimalId>, when: When) -> Vec<Doubt> {
    let asked = |animal: &AnimalId| {
        let name = book.animal_name(animal);
        if cold_at(book, animal, when) == Some(Cold::Cool) {
            return Some(Doubt::StillCool { name });
        }
        let (_, wants) = warming(book, animal, when.date())?;
        (!wants.is_empty()).then_some(Doubt::NotWarm { name, wants })
    };
    animals.filter_map(asked).collect()
}
