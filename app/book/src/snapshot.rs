//! The book as text beside its lines, so that opening it need not add all of them up.
//!
//! What is over ([`Over`]) and more than [`LIVE_DAYS`] old stands in *parts* that are written once, and so do meals and
//! weights of the grown, earlier; the snapshot proper holds the rest and says how many parts there are. With the snapshot alone, what wants looking at now is there; with the
//! parts, everything.

use crate::book::Book;
use crate::ids::*;
use crate::records::{Clutch, Over};
use crate::views::is_young;
use chrono::DateTime;
use journal::{BadSnapshot, Fold, Key, Record, Ref};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What was last written in longer ago than this is of a season before the present one.
pub const LIVE_DAYS: u64 = 400;
const DAY_MS: u64 = 86_400_000;
/// Records of one part: few enough that reading it holds up nothing that a hand notices.
pub const PART: usize = 1000;
/// Parts written in one go: a barn brought in whole is put aside over several seals.
const AT_ONCE: usize = 8;

/// Stands on a line of its own after the fold's text, which has no line ends: a text within a text would be read twice.
#[derive(Default, Serialize, Deserialize)]
struct Shot {
    people: Vec<String>,
    /// Who wrote each of the fold's list of entries: place in `people`, none where that is not known.
    by: Vec<Option<usize>>,
    /// How many parts there are besides.
    #[serde(default)]
    parts: u32,
}

/// What storage is to keep, all or none of it.
pub struct Shots {
    pub snapshot: String,
    /// New parts by number; those that are there already stay as they are.
    pub parts: Vec<(u32, String)>,
    aside: Vec<Key>,
}

/// What of a book stands in parts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Aside {
    parts: u32,
    /// Unchanged since they were put there.
    keys: Keys,
}

impl Aside {
    /// A record written in stands in the snapshot again, and there it is the newer.
    pub(crate) fn changed(&mut self, key: &Key) {
        if let Some(ids) = self.keys.0.get_mut(&key.kind) {
            ids.remove(&key.id);
        }
    }
}

/// Ids by kind, looked up without making a text.
#[derive(Clone, Debug, Default)]
struct Keys(BTreeMap<Arc<str>, BTreeSet<Arc<str>>>);

impl Keys {
    fn of(keys: &[Key]) -> Keys {
        let mut all = Keys::default();
        all.add(keys);
        all
    }

    fn add(&mut self, keys: &[Key]) {
        for key in keys {
            self.0.entry(key.kind.clone()).or_default().insert(key.id.clone());
        }
    }

    fn has(&self, kind: &str, id: &str) -> bool {
        self.0.get(kind).is_some_and(|ids| ids.contains(id))
    }
}

impl Book {
    /// A shortcut to the present state, to be kept beside the lines and never instead of them: all in one text.
    pub fn snapshot(&self) -> String {
        self.shot(0, |_, _| true)
    }

    /// The same in parts, of which only new ones are written, a few at a time. `now_ms`: milliseconds since 1970
    /// (UTC); `live_days` and `part`, records of one part, are [`LIVE_DAYS`] and [`PART`] but in tests. If they do not get
    /// into storage, say so by [`Book::not_kept`].
    pub fn shots(&mut self, now_ms: u64, live_days: u64, part: usize) -> Shots {
        let mut past = self.past(now_ms, live_days);
        // The last ones wait until there are enough for a part.
        past.truncate((past.len() / part).min(AT_ONCE) * part);
        let parts = (self.aside.parts..).zip(past.chunks(part)).map(|(n, keys)| {
            let keys = Keys::of(keys);
            (n, self.shot(0, |kind, id| keys.has(kind, id)))
        });
        let parts: Vec<(u32, String)> = parts.collect();
        self.aside.parts += u32::try_from(parts.len()).unwrap_or(0);
        self.aside.keys.add(&past);
        let snapshot = self.shot(self.aside.parts, |kind, id| !self.aside.keys.has(kind, id));
        Shots { snapshot, parts, aside: past }
    }

    /// The shots are not in storage.
    pub fn not_kept(&mut self, shots: &Shots) {
        self.aside.parts -= u32::try_from(shots.parts.len()).unwrap_or(0);
        shots.aside.iter().for_each(|key| self.aside.changed(key));
    }

    fn shot(&self, parts: u32, holds: impl Fn(&str, &str) -> bool) -> String {
        let (fold, listed) = self.journal().snapshot_of(holds);
        let mut shot = Shot { parts, ..Shot::default() };
        for reference in &listed {
            let person = self.writer(reference).map(|name| place_of(&mut shot.people, name));
            shot.by.push(person);
        }
        fold + "\n" + &serde_json::to_string(&shot).unwrap_or_default()
    }

    /// The state of a snapshot, without its [parts](Book::parts).
    ///
    /// # Errors
    /// Then take all lines instead; nothing is lost.
    pub fn restore(snapshot: &str) -> Result<Book, BadSnapshot> {
        let (fold, shot) = read(snapshot)?;
        let (fold, listed) = Fold::restore_listed(fold)?;
        let mut book = Book::over(fold);
        book.aside.parts = shot.parts;
        book.note_writers(&shot, &listed)?;
        book.read_all();
        Ok(book)
    }

    fn note_writers(&mut self, shot: &Shot, listed: &[Ref]) -> Result<(), BadSnapshot> {
        let lost = || BadSnapshot::Damaged { why: "an entry of nobody".to_owned() };
        if shot.by.len() != listed.len() {
            return Err(lost());
        }
        for (entry, person) in listed.iter().zip(&shot.by) {
            if let Some(person) = *person {
                self.note_writer(*entry, shot.people.get(person).ok_or_else(lost)?);
            }
        }
        Ok(())
    }

    /// How many parts belong to it, numbered from 0. Take them from the last to the first, and lines after that.
    pub fn parts(&self) -> u32 {
        self.aside.parts
    }

    /// Takes one of the parts.
    ///
    /// # Errors
    /// Then take all lines instead; nothing is lost.
    pub fn take_part(&mut self, part: &str) -> Result<(), BadSnapshot> {
        let (fold, shot) = read(part)?;
        let (came, listed) = self.take_part_of_fold(fold)?;
        self.note_writers(&shot, &listed)?;
        self.refresh(came.iter().filter_map(|key| Some((Kind::of(&key.kind)?, key.id.to_string()))));
        self.aside.keys.add(&came);
        Ok(())
    }

    /// Records that are over, last written in more than `live_days` before `now_ms` (milliseconds since 1970, UTC), or
    /// noted of the grown and past their own days; and in no part yet.
    fn past(&self, now_ms: u64, live_days: u64) -> Vec<Key> {
        let today = i64::try_from(now_ms).ok().and_then(DateTime::from_timestamp_millis);
        let today = today.unwrap_or_default().date_naive();
        let older = |record: &Record, days: u64| {
            record.last().is_some_and(|head| head.at.ms() < now_ms.saturating_sub(days * DAY_MS))
        };
        let old = |record: &Record| older(record, live_days);
        let is_old = |kind: Kind, id: &str| self.journal().record(kind.word(), id).is_some_and(old);
        let clutches: BTreeSet<&ClutchId> = self
            .clutches()
            .into_iter()
            .filter(|clutch| self.is_over(clutch, &is_old))
            .map(|clutch| &clutch.id)
            .collect();
        let grown = |animal: Option<AnimalId>| {
            let animal = animal.as_ref().and_then(|id| self.animal(id));
            animal.is_none_or(|animal| !animal.is_here() || !is_young(animal, today))
        };
        let is_past = |kind: Kind, id: &str, record: &Record| match kind.declared().over {
            Over::Never => false,
            Over::Noted => old(record),
            Over::OfGrown(days, animal) => old(record) || older(record, days) && grown(animal(self, id)),
            Over::With(of) => {
                let of = of(self, id);
                old(record) && !of.is_empty() && of.iter().all(|clutch| clutches.contains(clutch))
            }
        };
        let mut past = Vec::new();
        for &kind in Kind::ALL.iter() {
            for (id, record) in self.journal().records(kind.word()) {
                // What clashes is shown from the first.
                if is_past(kind, id, record) && !record.is_disputed() && !self.aside.keys.has(kind.word(), id) {
                    past.push(Key { kind: kind.word().into(), id: id.into() });
                }
            }
        }
        past
    }

    /// Every egg's story has ended, every box of it is empty, and all of that is `old`; of joined clutches, of all.
    fn is_over(&self, clutch: &Clutch, old: &impl Fn(Kind, &str) -> bool) -> bool {
        self.same_clutch(&clutch.id).iter().all(|clutch| {
            let eggs = self.eggs_of(&clutch.id);
            let boxes = self.fillings_of(&clutch.id);
            !eggs.is_empty()
                && old(Kind::Clutch, clutch.id.as_str())
                && eggs.iter().all(|egg| egg.fate.is_some() && old(Kind::Egg, egg.id.as_str()))
                && boxes.iter().all(|filling| filling.to.is_some() && old(Kind::Filling, filling.id.as_str()))
        })
    }
}

/// Where it stands in a list of few, and from now on does.
fn place_of(all: &mut Vec<String>, one: &str) -> usize {
    all.iter().position(|known| known == one).unwrap_or_else(|| {
        all.push(one.to_owned());
        all.len() - 1
    })
}

fn read(text: &str) -> Result<(&str, Shot), BadSnapshot> {
    let damaged = |why: String| BadSnapshot::Damaged { why };
    let (fold, shot) = text.rsplit_once('\n').ok_or_else(|| damaged("of one line only".to_owned()))?;
    Ok((fold, serde_json::from_str(shot).map_err(|error| damaged(error.to_string()))?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::acts::{Act, Withdrawn};
    use crate::demo;
    use crate::views::rounds;
    use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
    use journal::{Identity, Keypair, Tip, Wall, seal};

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day")
    }

    fn ms(days_ago: i64) -> u64 {
        let then = today().and_time(NaiveTime::MIN) - TimeDelta::days(days_ago);
        u64::try_from(then.and_utc().timestamp_millis()).expect("after 1970")
    }

    fn season() -> Book {
        demo::book(today())
    }

    fn with_parts(first: &str, parts: &[(u32, String)]) -> Book {
        let mut book = Book::restore(first).expect("a snapshot just made");
        assert_eq!(book.parts() as usize, parts.len());
        for (_, part) in parts.iter().rev() {
            book.take_part(part).expect("a part just made");
        }
        book
    }

    /// Puts aside all it can.
    fn all_shots(book: &mut Book, days_ago: u64, size: usize) -> (String, Vec<(u32, String)>) {
        let mut parts = Vec::new();
        loop {
            let shots = book.shots(ms(0), days_ago, size);
            if shots.parts.is_empty() {
                return (shots.snapshot, parts);
            }
            parts.extend(shots.parts);
        }
    }

    #[test]
    fn with_its_parts_a_snapshot_is_the_whole() {
        let book = season();
        for (days_ago, size, least) in [(0, 10, 20), (0, 1, 200), (40, 10, 2), (4000, 1, 0)] {
            let (snapshot, parts) = all_shots(&mut book.clone(), days_ago, size);
            assert!(parts.len() >= least, "{} parts at {days_ago} days", parts.len());
            assert!(parts.is_empty() || snapshot.len() < book.snapshot().len());
            let whole = with_parts(&snapshot, &parts);
            assert_eq!(whole.snapshot(), book.snapshot());
            assert_eq!(whole.journal().digest(), book.journal().digest());
            let now = today().and_time(NaiveTime::MIN);
            assert_eq!(rounds(&whole, now), rounds(&book, now));
        }
    }

    #[test]
    fn what_wants_looking_at_is_there_without_the_parts() {
        let book = season();
        let now: NaiveDateTime = today().and_time(NaiveTime::MIN) + TimeDelta::hours(20);
        // As it is kept, only what was noted of the grown stands in parts.
        for (days, least) in [(75, 20), (LIVE_DAYS, 5)] {
            let (snapshot, parts) = all_shots(&mut book.clone(), days, 1);
            assert!(parts.len() > least, "{} parts at {days} days", parts.len());
            let first = Book::restore(&snapshot).expect("a snapshot just made");
            let (seen, all) = (rounds(&first, now), rounds(&book, now));
            assert!(all.len() > 10);
            let short =
                |due: &[crate::views::Due]| due.iter().map(|due| (due.kind, due.thing.clone())).collect::<Vec<_>>();
            assert_eq!(short(&seen), short(&all));
        }
    }

    #[test]
    fn what_is_not_kept_is_put_aside_again() {
        let mut book = season();
        let first = book.shots(ms(0), 0, 10);
        book.not_kept(&first);
        let again = book.shots(ms(0), 0, 10);
        assert!(!first.parts.is_empty());
        assert_eq!((&again.snapshot, &again.parts), (&first.snapshot, &first.parts));
    }

    #[test]
    fn a_record_written_in_again_leaves_its_part() {
        let mut book = season();
        let (_, parts) = all_shots(&mut book, 0, 10);
        assert!(book.shots(ms(0), 0, 10).parts.is_empty(), "nothing is put aside twice");
        let meals = book.aside.keys.0.get(Kind::Meal.word()).expect("old meals");
        let act = Withdrawn { thing: Thing::new(Kind::Meal, &**meals.first().expect("a meal")) };
        let draft =
            act.draft(&book, today().and_time(NaiveTime::MIN), &mut || journal::Id::mint([9; 5])).expect("allowed");
        let identity = Identity {
            book: book.journal().book(),
            dev: journal::Id::mint([9; 5]),
            by: "Ines Harrow".to_owned(),
            app: "test".to_owned(),
            key: Keypair::from_secret(&[9; 32]).public(),
        };
        let wall = Wall { ms: ms(0), text: "2026-06-09T00:00+00:00".to_owned() };
        let sealed = seal(draft, &identity, &Tip::default(), &wall).expect("a sound draft");
        book.take(&sealed.line).expect("an own line");
        let whole = with_parts(&book.shots(ms(0), 0, 1000).snapshot, &parts);
        assert!(!whole.has(&act.thing));
        assert_eq!(whole.snapshot(), book.snapshot());
    }

    #[test]
    fn a_part_that_is_cut_short_is_told() {
        let (snapshot, parts) = all_shots(&mut season(), 0, 50);
        let mut book = Book::restore(&snapshot).expect("a snapshot just made");
        let before = book.snapshot();
        let (_, part) = parts.first().expect("a part");
        assert!(book.take_part(&part[..part.len() / 2]).is_err());
        assert_eq!(book.snapshot(), before);
    }
}
