//! Animals and places set apart from the others, and let out again.

use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, is_before, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::Quarantine;
use chrono::{NaiveDate, NaiveDateTime};
use journal::Draft;
use trade::when::When;

/// Longer than this is a slip of the keyboard: three years.
const MOST_DAYS: i64 = 3 * 366;

/// All of a quarantine that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct QuarantineCard {
    pub from: Option<When>,
    /// The last day.
    pub until: Option<NaiveDate>,
    pub ended: Option<When>,
    pub why: String,
}

impl QuarantineCard {
    /// As it stands in the book.
    pub fn of(book: &Book, quarantine: &QuarantineId) -> Option<QuarantineCard> {
        let q = book.quarantine(quarantine)?;
        Some(QuarantineCard { from: q.from, until: q.until, ended: q.ended, why: q.why.clone().unwrap_or_default() })
    }

    fn row(&self) -> Row<Quarantine> {
        Row::new()
            .with(Quarantine::from, self.from)
            .with(Quarantine::until, self.until)
            .with(Quarantine::ended, self.ended)
            .with(Quarantine::why, &self.why)
    }

    fn check(&self, now: NaiveDateTime) -> Result<(), Refusal> {
        let Some(from) = self.from else { return Err(Refusal::Missing { what: "since when it is set apart" }) };
        not_future("first", from, now)?;
        if let Some(ended) = self.ended {
            not_future("end", ended, now)?;
        }
        in_order(("the first day", self.from), ("the end", self.ended))?;
        let days = self.until.map_or(0, |until| (until - from.date()).num_days());
        if days < 0 {
            return Err(Refusal::OutOfOrder { first: "the last day", then: "the first day" });
        }
        if days > MOST_DAYS {
            return Err(Refusal::TooFar { what: "last day", most: "three years", after: "the first day" });
        }
        Ok(())
    }
}

/// Animals, or places with all in them, set apart.
#[derive(Clone, Debug)]
pub struct SetApart {
    pub things: Vec<Thing>,
    pub card: QuarantineCard,
}

impl Act for SetApart {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.things.is_empty() {
            return Err(Refusal::Missing { what: "who or what is set apart" });
        }
        self.card.check(now)?;
        let mut sets = Vec::with_capacity(self.things.len());
        for (i, thing) in self.things.iter().enumerate() {
            there(book, thing.clone())?;
            let name = book.short_name(thing);
            if !matches!(thing.kind, Kind::Animal | Kind::Place) {
                return Err(Refusal::Missing { what: "an animal or a place" });
            }
            if self.things[..i].contains(thing) {
                return Err(Refusal::Twice { what: name });
            }
            if book.quarantines(thing).any(|other| other.ended.is_none()) {
                return Err(Refusal::ApartAlready { name });
            }
            sets.push(self.card.row().with(Quarantine::of, thing).create(book, &fresh(book, mint)));
        }
        draft("SetApart", sets)
    }
}

/// The other quarantines of the same thing that nobody has ended.
fn others_open<'a>(book: &'a Book, of: &'a Quarantine) -> impl Iterator<Item = &'a Quarantine> {
    let all = of.of.iter().flat_map(|thing| book.quarantines(thing));
    all.filter(|other| other.id != of.id && other.ended.is_none())
}

/// Those of them that end with it: two devices may each have set it apart. Let out, it is out, whichever is looked at.
fn end_with<'a>(book: &'a Book, stood: &'a Quarantine, ended: When) -> impl Iterator<Item = &'a Quarantine> {
    let begun = move |other: &&Quarantine| in_order(("", other.from), ("", Some(ended))).is_ok();
    others_open(book, stood).filter(move |_| stood.ended.is_none()).filter(begun)
}

/// Anything of a quarantine corrected, or its end noted; only what differs is written.
#[derive(Clone, Debug)]
pub struct QuarantineEdited {
    pub quarantine: QuarantineId,
    pub card: QuarantineCard,
}

impl Act for QuarantineEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let stood = book.quarantine(&self.quarantine);
        let stood = stood.ok_or_else(|| Refusal::NoSuch { thing: self.quarantine.thing() })?;
        self.card.check(now)?;
        if stood.ended.is_some() && self.card.ended.is_none() && others_open(book, stood).next().is_some() {
            return Err(Refusal::ApartAlready { name: book.short_name(&self.quarantine.thing()) });
        }
        let mut change: Vec<_> = self.card.row().change(book, self.quarantine.as_str()).into_iter().collect();
        if let Some(ended) = self.card.ended {
            let row = || Row::<Quarantine>::new().with(Quarantine::ended, Some(ended));
            change.extend(end_with(book, stood, ended).filter_map(|other| row().change(book, other.id.as_str())));
        }
        draft("QuarantineEdited", change)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let stood = book.quarantine(&self.quarantine).filter(|quarantine| quarantine.ended.is_none());
        let Some((stood, ended)) = stood.zip(self.card.ended) else { return Vec::new() };
        // The last of their last days: whoever set it apart longest has to be asked.
        let last = end_with(book, stood, ended).filter_map(|other| other.until).chain(self.card.until).max();
        let name = || book.short_name(&self.quarantine.thing());
        let early = last.filter(|last| now.date() < *last);
        early.map(|until| Doubt::InQuarantine { name: name(), until: Some(until) }).into_iter().collect()
    }
}

/// Asks about what is set apart and leaves it, or is brought to what is set apart; `when`: what was done before that is
/// nothing to it.
pub(super) fn apart_doubts<'a>(
    book: &Book,
    things: impl Iterator<Item = &'a Thing>,
    to: Option<&PlaceId>,
    when: When,
) -> Vec<Doubt> {
    let inside = |of: &Thing| to.is_some_and(|to| book.path(to).iter().any(|place| place.id.thing() == *of));
    let by_then = |quarantine: &&Quarantine| !quarantine.from.is_some_and(|from| is_before(when, from));
    let asked = |thing: &Thing| {
        let apart = book.apart(thing).filter(by_then);
        let leaves = apart.filter(|quarantine| !quarantine.of.as_ref().is_some_and(inside));
        leaves.map(|quarantine| Doubt::InQuarantine { name: book.short_name(thing), until: quarantine.until })
    };
    let things: Vec<&Thing> = things.collect();
    let mut doubts: Vec<Doubt> = things.iter().filter_map(|thing| asked(thing)).collect();
    let into = to.and_then(|to| book.apart(&to.thing())).filter(by_then).and_then(|quarantine| quarantine.of.as_ref());
    let strangers = |of: &&Thing| !things.iter().all(|thing| book.is_within(thing, of));
    doubts.extend(into.filter(strangers).map(|of| Doubt::IntoQuarantine { name: book.short_name(of) }));
    doubts
}
