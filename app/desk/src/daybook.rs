//! The daybook: everything done, newest first, what of it stands undone, and which of it is shown.
//!
//! A line is looked at by its own text, and read whole only when it is shown.

use crate::entry::{Gather, Wrong};
use crate::measure::Units;
use book::Book;
use book::views::undone;
use journal::Named;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Things a typed name may mean, at most.
const HITS: usize = 20;

/// The little that ordering all lines needs.
#[derive(Deserialize)]
struct Glance {
    at: String,
    dev: String,
    seq: u32,
    #[serde(default)]
    undoes: Option<String>,
}

/// A device and the number of one of its entries.
pub type Numbered = (String, u32);

/// All lines, newest first, and what stands undone.
#[derive(Clone)]
pub struct Lines {
    pub newest: Arc<Vec<String>>,
    pub undone: Arc<BTreeSet<Numbered>>,
}

impl Lines {
    /// In whatever order they come. One that cannot be read has no place in time; it comes last.
    pub fn of(lines: Vec<String>) -> Self {
        let glance = |line: &String| serde_json::from_str::<Glance>(line).ok();
        let mut dated: Vec<(Option<Glance>, String)> = lines.into_iter().map(|line| (glance(&line), line)).collect();
        dated.sort_by(|(a, _), (b, _)| b.as_ref().map(|g| &g.at).cmp(&a.as_ref().map(|g| &g.at)));
        let acts: Vec<(Numbered, Option<Numbered>)> = dated
            .iter()
            .filter_map(|(glance, _)| glance.as_ref())
            .map(|glance| {
                let of = glance.undoes.as_ref().and_then(|text| text.parse::<Named>().ok());
                ((glance.dev.clone(), glance.seq), of.map(|of| (of.dev().to_string(), of.seq())))
            })
            .collect();
        let undone = undone(&acts);
        let newest = dated.into_iter().map(|(_, line)| line).collect();
        Self { newest: Arc::new(newest), undone: Arc::new(undone) }
    }

    /// Places of the lines that fit.
    pub fn fitting(&self, wanted: &Found) -> Vec<usize> {
        let fits = self.newest.iter().enumerate().filter(|(_, line)| wanted.fits(line));
        fits.map(|(at, _)| at).collect()
    }
}

/// Which acts are asked for, as typed and chosen; empty: any.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// A box, an animal, a clutch or a place, by its name or code.
    pub thing: String,
    /// A person's id.
    pub person: String,
    /// `2026-06-09`.
    pub day: String,
}

/// The same, looked up in the book.
pub struct Found {
    /// Ids of what was typed; none: anything.
    ids: Option<Vec<String>>,
    person: String,
    day: String,
}

/// What of a line is asked here.
#[derive(Deserialize)]
struct Said {
    by: String,
    wall: String,
}

impl Wanted {
    /// Whether a day is one, or none; `name`: what its field is called.
    ///
    /// # Errors
    /// A day that is not finished.
    pub fn whole(day: &str, name: &str) -> Result<(), Wrong> {
        let mut gather = Gather::new(Units::default());
        gather.day(name, day, None);
        gather.done(())
    }

    pub fn find(&self, book: &Book) -> Found {
        let typed = self.thing.trim();
        let ids = (!typed.is_empty())
            .then(|| book::views::search(book, typed, HITS).into_iter().map(|hit| hit.thing.id).collect::<Vec<_>>());
        Found { ids, person: self.person.clone(), day: self.day.clone() }
    }
}

impl Found {
    /// By the line's own text: an act is about a thing when it names its id.
    pub fn fits(&self, line: &str) -> bool {
        if let Some(ids) = &self.ids
            && !ids.iter().any(|id| line.contains(id.as_str()))
        {
            return false;
        }
        if self.person.is_empty() && self.day.is_empty() {
            return true;
        }
        let Ok(said) = serde_json::from_str::<Said>(line) else { return false };
        (self.person.is_empty() || said.by == self.person) && said.wall.starts_with(&self.day)
    }
}
