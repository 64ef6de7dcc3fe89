//! What was noted put right, one form a kind. `when` comes from the page's date and time fields, which give back exactly
//! what stood there when nobody touched them.

use super::kept::kept;
use super::places::{humid, humidity};
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{
    CandlingEdited, CleaningEdited, DoseEdited, IncidentEdited, MealEdited, NoteEdited, OpeningEdited, PhotoEdited,
    ReadingEdited, SetPointEdited, TakenOutEdited, WaterEdited,
};
use book::words::{MealOutcome, OpenedAs, Seen};
use book::{Book, EggId};
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

/// A meal put right.
#[derive(Clone, Debug)]
pub struct MealForm {
    pub before: MealEdited,
    /// A word of [`MealOutcome`]; empty where nobody looked.
    pub outcome: String,
    pub prey: String,
    pub size: String,
    pub how: String,
    pub note: String,
}

impl MealForm {
    pub fn new(before: MealEdited) -> MealForm {
        MealForm {
            outcome: before.outcome.map(|outcome| outcome.word().to_owned()).unwrap_or_default(),
            prey: before.prey.clone(),
            size: before.size.clone(),
            how: before.how.clone(),
            note: before.note.clone(),
            before,
        }
    }

    fn take(&self, when: When) -> MealEdited {
        MealEdited {
            meal: self.before.meal.clone(),
            offered: when,
            outcome: MealOutcome::of(&self.outcome),
            outcome_when: self.before.outcome_when,
            prey: self.prey.clone(),
            size: self.size.clone(),
            how: self.how.clone(),
            note: self.note.clone(),
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &MealEdited) -> MealEdited {
        let opened = MealForm::new(self.before.clone()).take(self.before.offered);
        kept!(MealEdited { meal, offered, outcome, outcome_when, prey, size, how, note }: self.take(when), opened, now)
    }
}

/// A dose put right.
#[derive(Clone, Debug)]
pub struct DoseForm {
    pub before: DoseEdited,
    pub left_out: bool,
    pub note: String,
}

impl DoseForm {
    pub fn new(before: DoseEdited) -> DoseForm {
        DoseForm { left_out: before.left_out, note: before.note.clone(), before }
    }

    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &DoseEdited) -> DoseEdited {
        let dose = self.before.dose.clone();
        let typed = DoseEdited { dose, when, left_out: self.left_out, note: self.note.clone() };
        kept!(DoseEdited { dose, when, left_out, note }: typed, self.before, now)
    }
}

/// The cleaning of a tub put right.
#[derive(Clone, Debug)]
pub struct CleaningForm {
    pub before: CleaningEdited,
    pub spot: bool,
    pub note: String,
}

impl CleaningForm {
    pub fn new(before: CleaningEdited) -> CleaningForm {
        CleaningForm { spot: before.spot, note: before.note.clone(), before }
    }

    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &CleaningEdited) -> CleaningEdited {
        let cleaning = self.before.cleaning.clone();
        let typed = CleaningEdited { cleaning, when, spot: self.spot, note: self.note.clone() };
        kept!(CleaningEdited { cleaning, when, spot, note }: typed, self.before, now)
    }
}

/// A candling put right, egg by egg.
#[derive(Clone, Debug)]
pub struct CandlingForm {
    pub before: CandlingEdited,
    /// Each egg with its letter and a word of [`Seen`], by letter.
    pub eggs: Vec<(EggId, String, String)>,
    pub note: String,
}

impl CandlingForm {
    pub fn new(before: CandlingEdited, book: &Book) -> CandlingForm {
        let egg = |(id, seen): (&EggId, &Seen)| (id.clone(), book.short_name(&id.thing()), seen.word().to_owned());
        let mut eggs: Vec<_> = before.seen.iter().map(egg).collect();
        eggs.sort_by(|a, b| (a.1.len(), &a.1).cmp(&(b.1.len(), &b.1)));
        CandlingForm { eggs, note: before.note.clone(), before }
    }

    /// `now`: as it stands when *Save* is tapped; an egg nobody touched here is as it is there.
    pub fn act(&self, when: When, now: &CandlingEdited) -> CandlingEdited {
        let touched = |(id, _, word): &(EggId, String, String)| {
            let seen = Seen::of(word)?;
            (self.before.seen.get(id) != Some(&seen)).then(|| (id.clone(), seen))
        };
        let mut seen: BTreeMap<EggId, Seen> = now.seen.clone();
        seen.extend(self.eggs.iter().filter_map(touched));
        let typed = CandlingEdited { candling: self.before.candling.clone(), when, seen, note: self.note.clone() };
        // The eggs are settled one by one.
        let opened = CandlingEdited { seen: now.seen.clone(), ..self.before.clone() };
        kept!(CandlingEdited { candling, when, seen, note }: typed, opened, now)
    }
}

/// A thermometer's reading put right.
#[derive(Clone, Debug)]
pub struct ReadingForm {
    pub before: ReadingEdited,
    pub temp: Entry,
    pub humidity: Entry,
    pub source: String,
}

impl ReadingForm {
    pub fn new(before: ReadingEdited, units: Units) -> ReadingForm {
        let ask = Ask::temp("What it showed").likely(1_000, 4_500);
        ReadingForm {
            temp: Entry::of_temp(ask, Some(before.temp), units),
            humidity: humidity(before.humidity),
            source: before.source.clone(),
            before,
        }
    }

    /// # Errors
    /// No temperature, or one that cannot be read.
    pub fn act(&self, when: When, now: &ReadingEdited, units: Units) -> Result<ReadingEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = ReadingEdited {
            reading: self.before.reading.clone(),
            when,
            temp: gather.need_temp(&self.temp),
            humidity: humid(&mut gather, &self.humidity),
            source: self.source.clone(),
        };
        gather.done(kept!(ReadingEdited { reading, when, temp, humidity, source }: typed, self.before, now))
    }
}

/// A set temperature put right.
#[derive(Clone, Debug)]
pub struct SetPointForm {
    pub before: SetPointEdited,
    pub temp: Entry,
}

impl SetPointForm {
    pub fn new(before: SetPointEdited, units: Units) -> SetPointForm {
        SetPointForm { temp: Entry::of_temp(Ask::temp("Set to"), Some(before.temp), units), before }
    }

    /// # Errors
    /// No temperature, or one that cannot be read.
    pub fn act(&self, from: When, now: &SetPointEdited, units: Units) -> Result<SetPointEdited, Wrong> {
        let mut gather = Gather::new(units);
        let temp = gather.need_temp(&self.temp);
        let typed = SetPointEdited { set_point: self.before.set_point.clone(), from, temp };
        gather.done(kept!(SetPointEdited { set_point, from, temp }: typed, self.before, now))
    }
}

/// An incident put right, or its end noted.
#[derive(Clone, Debug)]
pub struct IncidentForm {
    pub before: IncidentEdited,
    pub what: String,
    pub note: String,
}

impl IncidentForm {
    pub fn new(before: IncidentEdited) -> IncidentForm {
        IncidentForm { what: before.what.clone(), note: before.note.clone(), before }
    }

    /// # Errors
    /// It is not said what happened.
    pub fn act(&self, (from, to): (When, Option<When>), now: &IncidentEdited) -> Result<IncidentEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let what = if self.what == self.before.what {
            self.what.clone()
        } else {
            gather.need_text(super::places::INCIDENT, &self.what)
        };
        let typed = IncidentEdited { incident: self.before.incident.clone(), from, to, what, note: self.note.clone() };
        gather.done(kept!(IncidentEdited { incident, from, to, what, note }: typed, self.before, now))
    }
}

/// A water check or a closed mass put right.
#[derive(Clone, Debug)]
pub struct WaterFixForm {
    pub before: WaterEdited,
    pub mass: Entry,
    pub added: Entry,
    pub note: String,
}

impl WaterFixForm {
    pub fn new(before: WaterEdited, units: Units) -> WaterFixForm {
        let mass = Ask::mass("The scale said", (50, 30_000)).near(Some(before.mass));
        WaterFixForm {
            mass: Entry::of_mass(mass, Some(before.mass), units),
            added: Entry::of_mass(Ask::water("Water added", (1, 5_000)), before.added, units),
            note: before.note.clone(),
            before,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, when: When, now: &WaterEdited, units: Units) -> Result<WaterEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = WaterEdited {
            water: self.before.water.clone(),
            when,
            mass: gather.need_mass(&self.mass),
            added: gather.mass(&self.added).filter(|added| self.added.untouched() || *added > Mass::ZERO),
            note: self.note.clone(),
        };
        gather.done(kept!(WaterEdited { water, when, mass, added, note }: typed, self.before, now))
    }
}

/// What was taken out of a box, or put in, put right.
#[derive(Clone, Debug)]
pub struct TakenForm {
    pub before: TakenOutEdited,
    /// Taken out, not put in.
    pub out: bool,
    pub mass: Entry,
    pub what: String,
}

impl TakenForm {
    pub fn new(before: TakenOutEdited, units: Units) -> TakenForm {
        let weighs = Mass(before.mass.0.saturating_abs());
        let ask = super::boxes::taken_mass().ask.near(Some(weighs));
        TakenForm {
            out: before.mass >= Mass::ZERO,
            mass: Entry::of_mass(ask, Some(weighs), units),
            what: before.what.clone(),
            before,
        }
    }

    /// # Errors
    /// No weight, or one that cannot be read.
    pub fn act(&self, when: When, now: &TakenOutEdited, units: Units) -> Result<TakenOutEdited, Wrong> {
        let mut gather = Gather::new(units);
        let mass = gather.need_mass(&self.mass);
        let mass = if self.out { mass } else { Mass::ZERO - mass };
        let typed = TakenOutEdited { taken: self.before.taken.clone(), when, mass, what: self.what.clone() };
        gather.done(kept!(TakenOutEdited { taken, when, mass, what }: typed, self.before, now))
    }
}

/// A note put right.
#[derive(Clone, Debug)]
pub struct NoteForm {
    pub before: NoteEdited,
    pub text: String,
}

impl NoteForm {
    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &NoteEdited) -> NoteEdited {
        let typed = NoteEdited { note: self.before.note.clone(), when, text: self.text.clone() };
        kept!(NoteEdited { note, when, text }: typed, self.before, now)
    }
}

/// A photo put right: its day, and what is said of it.
#[derive(Clone, Debug)]
pub struct PhotoForm {
    pub before: PhotoEdited,
    pub note: String,
}

impl PhotoForm {
    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &PhotoEdited) -> PhotoEdited {
        let typed = PhotoEdited { photo: self.before.photo.clone(), when, note: self.note.clone() };
        kept!(PhotoEdited { photo, when, note }: typed, self.before, now)
    }
}

/// An egg opened by hand, put right.
#[derive(Clone, Debug)]
pub struct OpeningForm {
    pub before: OpeningEdited,
    pub opened: Option<OpenedAs>,
    pub why: String,
    pub found: String,
}

impl OpeningForm {
    pub fn new(before: OpeningEdited) -> OpeningForm {
        OpeningForm { opened: before.opened, why: before.why.clone(), found: before.found.clone(), before }
    }

    /// `now`: as it stands when *Save* is tapped.
    pub fn act(&self, when: When, now: &OpeningEdited) -> OpeningEdited {
        let (hatching, opened) = (self.before.hatching.clone(), self.opened);
        let typed = OpeningEdited { hatching, when, opened, why: self.why.clone(), found: self.found.clone() };
        kept!(OpeningEdited { hatching, when, opened, why, found }: typed, self.before, now)
    }
}
