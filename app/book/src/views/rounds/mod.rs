//! Rounds: what wants looking at now, most urgent first, in walking order within a kind.
//!
//! What stands in the book is derived once, and then asked at a moment, or at several: Rounds asks every minute, the days
//! ahead ask evening after evening.

mod boxes;
mod care;
mod cleaning;
mod cooling;
mod grown;
mod rest;
mod round;
mod young;

pub(super) use boxes::{told_in, window_in};
pub(super) use round::{Ahead, rows};
pub use round::{rounds, walk};

use super::Since;
use crate::ids::*;
use chrono::{NaiveDate, NaiveDateTime};
use trade::lay::Sign;
use trade::units::{Mass, Temp};
use trade::when::When;
use trade::window::{Stage, Window};

/// Why something wants looking at, in order of urgency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DueKind {
    PippedNotOut,
    /// A female straining, or overdue.
    Female,
    Temperature,
    /// A dose of what a veterinarian ordered.
    Dose,
    /// Eggs found and in no box yet.
    ToBox,
    /// A gravid female whose eggs may come any day.
    LayDue,
    LookTonight,
    Water,
    Candle,
    /// A pre-lay shed was seen and no lay box put in since.
    LayBox,
    /// The last day for a meal before animals are cooled; on the days before it is a [`DueKind::Cooling`].
    LastMeal,
    Feeding,
    /// A baby that has eaten nothing for long, or lost weight.
    NotEating,
    /// A rack was fed; who refused has not been marked.
    Refusers,
    FeedRack,
    FirstShed,
    /// Somebody's animal is to be fetched, or its hold runs out.
    Hold,
    /// Tubs of a rack are to be cleaned by the barn's own rule.
    Cleaning,
    /// Young that may leave by the barn's own rule.
    Ready,
    /// A wish that a ready animal could answer.
    Wish,
    /// The last day of a quarantine has come.
    Quarantine,
    /// A last meal before animals are cooled, or their cooling is to begin or to end.
    Cooling,
    Clash,
    /// After a merge: one thing recorded twice, or in two places.
    Doubled,
    /// Acts known to exist that are not here.
    MissingActs,
}

impl DueKind {
    /// The word a put-off row is kept under, and a calendar's entry; frozen.
    fn word(self) -> &'static str {
        match self {
            DueKind::PippedNotOut => "pipped",
            DueKind::Female => "female",
            DueKind::Temperature => "temperature",
            DueKind::Dose => "dose",
            DueKind::ToBox => "to_box",
            DueKind::LayDue => "lay_due",
            DueKind::LookTonight => "look",
            DueKind::Water => "water",
            DueKind::Candle => "candle",
            DueKind::LayBox => "lay_box",
            DueKind::LastMeal => "last_meal",
            DueKind::Feeding => "feeding",
            DueKind::NotEating => "not_eating",
            DueKind::Refusers => "refusers",
            DueKind::FeedRack => "feed_rack",
            DueKind::FirstShed => "first_shed",
            DueKind::Hold => "hold",
            DueKind::Cleaning => "cleaning",
            DueKind::Ready => "ready",
            DueKind::Wish => "wish",
            DueKind::Quarantine => "quarantine",
            DueKind::Cooling => "cooling",
            DueKind::Clash => "clash",
            DueKind::Doubled => "doubled",
            DueKind::MissingActs => "missing",
        }
    }

    /// What a row of this kind is put off under, of a thing.
    fn row(self, thing: &Thing) -> SnoozeId {
        SnoozeId::new(format!("{}.{thing}", self.word()))
    }

    /// What may cost a life, what is too late tomorrow, and what says that the records themselves are not whole.
    const CANNOT_WAIT: [DueKind; 7] = [
        DueKind::PippedNotOut,
        DueKind::Female,
        DueKind::Temperature,
        DueKind::Dose,
        DueKind::LastMeal,
        DueKind::Clash,
        DueKind::MissingActs,
    ];

    /// Whether a row of this kind may be put off.
    pub fn can_wait(self) -> bool {
        !DueKind::CANNOT_WAIT.contains(&self)
    }

    /// Whether what a row is put off under is of a kind that may be. A last meal may on the days before its last, under the
    /// same word.
    pub(crate) fn may_put_off(row: &SnoozeId) -> bool {
        let word = row.as_str().split_once('.').map_or("", |(word, _)| word);
        DueKind::CANNOT_WAIT.iter().all(|kind| kind.word() != word || *kind == DueKind::LastMeal)
    }
}

/// One row of Rounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    pub kind: DueKind,
    /// What to open.
    pub thing: Thing,
    /// What it is called.
    pub name: String,
    /// Species' short form and parents, where there are some.
    pub about: String,
    /// Where it is, outermost first.
    pub path: Vec<String>,
    /// Who looks after the place it is in: of the places it is in, the innermost that somebody looks after.
    pub keeper: Option<PersonId>,
    /// In quarantine: of its kind, it is done last.
    pub apart: bool,
    /// Since when it is due; for sorting and "2 days late".
    pub since: Option<NaiveDateTime>,
    pub fact: Fact,
    /// The act one tap away.
    pub act: DueAct,
    /// Of a box: what its taper needs, and from when on its days count.
    pub window: Option<Window>,
    pub counts: Option<Since>,
}

impl Due {
    /// Whether it is this row: the same is due of the same thing.
    pub fn is(&self, other: &Due) -> bool {
        (self.kind, self.step()) == (other.kind, other.step()) && self.thing == other.thing
    }

    /// The step that is due, of a cooling.
    fn step(&self) -> Option<CoolingStep> {
        if let Fact::Cooling { step, .. } = &self.fact { Some(*step) } else { None }
    }

    /// Whether this row stands as `before`, though why it is there may be said otherwise by now: hours pass. What a clash
    /// is about is the row itself.
    pub fn stands(&self, before: &Due) -> bool {
        self.is(before)
            && self.act == before.act
            && self.apart == before.apart
            && (&self.name, &self.about) == (&before.name, &before.about)
            && (&self.path, &self.keeper) == (&before.path, &before.keeper)
            && (self.act != DueAct::Settle || self.fact == before.fact)
    }

    /// What this row is put off under: what is due, and of which thing. Of a cooling each step is a row of its own, or the last
    /// meal would be told instead of all that follows.
    pub fn row(&self) -> SnoozeId {
        match self.step() {
            Some(step) => SnoozeId::new(format!("{}.{}", step.word(), self.thing)),
            None => self.kind.row(&self.thing),
        }
    }
}

/// What there is to say of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Eggs pipped or cut and not out; hours since the first of them.
    PippedNotOut {
        letters: Vec<String>,
        hours: i64,
        long: bool,
    },
    Straining {
        since: When,
    },
    Overdue {
        due: NaiveDate,
        days: i64,
    },
    /// A reading off the set temperature, or beyond what a species in there tolerates.
    Temperature {
        read: Temp,
        set: Option<Temp>,
        /// What the eggs in there tolerate, where it is beyond that.
        tolerated: Option<(Temp, Temp)>,
        at: Option<When>,
    },
    /// A dose is due; so many before it were missed.
    Dose {
        what: String,
        dose: Option<String>,
        due: NaiveDateTime,
        /// Its hour is a part of what was ordered.
        hourly: bool,
        missed: u32,
        /// So many were given twice.
        twice: u32,
        /// The same is noted a second time, and asks for its doses too.
        doubled: bool,
    },
    /// It is over, and its last dose was missed; so many in all.
    OverMissed {
        what: String,
        dose: Option<String>,
        missed: u32,
        /// So many were given twice.
        twice: u32,
    },
    /// A dose was given that had been given already, and no other is due yet.
    DosedTwice {
        what: String,
        dose: Option<String>,
        last: When,
    },
    ToBox {
        found: Option<When>,
        eggs: Option<u32>,
    },
    /// The look-from date has come.
    LookTonight {
        stage: Stage,
        likely: (NaiveDateTime, NaiveDateTime),
    },
    Water {
        due: NaiveDateTime,
        fill_to: Option<Mass>,
        last: Option<When>,
    },
    LayDue {
        sign: Sign,
        from: NaiveDate,
        to: NaiveDate,
        own: u32,
    },
    LayBox {
        shed: When,
        from: NaiveDate,
        to: NaiveDate,
    },
    /// From when on its days count; the first candling or a later one.
    Candle {
        counts: Since,
        first: bool,
    },
    /// Meals refused in a row, and when one was last eaten.
    Feeding {
        refused: u32,
        eaten: Option<When>,
    },
    /// Days since it hatched.
    ShedLate {
        day: i64,
    },
    NoMeal {
        day: i64,
        refused: u32,
    },
    /// Percent of its greatest mass.
    Lost {
        pct: i64,
    },
    /// Young of this rack due a meal.
    FeedRack {
        due: u32,
    },
    Refusers {
        fed: When,
        given: u32,
    },
    Hold {
        until: NaiveDate,
        /// None: the barn's own.
        mark: Option<String>,
    },
    /// So many tubs; the day on which the first of them was due, where it is known of any.
    Cleaning {
        tubs: u32,
        since: Option<NaiveDate>,
    },
    Ready {
        ready: u32,
    },
    /// Ready animals that would fit.
    Wish {
        ready: usize,
    },
    Quarantine {
        from: Option<When>,
        until: NaiveDate,
    },
    /// Of animals cooled together.
    Cooling {
        step: CoolingStep,
        /// How many of them it is due for.
        animals: usize,
        /// The day the step was planned for.
        day: NaiveDate,
        temp: Option<Temp>,
    },
    /// Fields that clash.
    Clash {
        fields: Vec<String>,
    },
    Doubled {
        count: u32,
    },
    MissingActs {
        count: u32,
    },
}

/// What is next in a cooling.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoolingStep {
    /// The last day on which food is still digested.
    LastMeal,
    Begin,
    End,
}

impl CoolingStep {
    /// As [`DueKind::word`]; frozen.
    fn word(self) -> &'static str {
        match self {
            CoolingStep::LastMeal => DueKind::LastMeal.word(),
            CoolingStep::Begin => DueKind::Cooling.word(),
            CoolingStep::End => "cooling_end",
        }
    }
}

/// Where a row leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DueAct {
    Hatch,
    Open,
    Reading,
    /// A dose given.
    Dose,
    Pull,
    /// Eggs found under her.
    Found,
    Candle,
    Water,
    LayBox,
    Feed,
    FeedRack,
    /// A shed seen today.
    Shed,
    /// Tubs cleaned.
    Clean,
    Place,
    Young,
    Wishes,
    Settle,
    Mend,
    Bundles,
}
