//! One typed figure, and what it is worth when a form is saved.

use crate::figure::{Reading, read};
use crate::measure::{Ask, Measure, Units};
use crate::money;
use crate::say;
use trade::money::Money;
use trade::units::{Mass, Temp};

/// What stands in a field.
#[derive(Clone, Debug, PartialEq)]
pub enum Field<T> {
    /// Nobody typed: exactly what stands, if anything does.
    Untouched(Option<T>),
    /// Nothing but spaces where something stood, or spaces typed.
    Empty,
    /// `how`: said where it is not plain how it was read.
    Value {
        value: T,
        how: Option<String>,
    },
    Unreadable(FieldError),
}

/// Why a field cannot be read; the sentence names the field.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldError {
    /// The field's name, by which a page finds where to show it.
    pub field: String,
    pub sentence: String,
}

/// All that is wrong in a form, in the order of its fields; never empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong(pub Vec<FieldError>);

impl Wrong {
    /// One field's fault.
    pub fn one(field: impl Into<String>, sentence: impl Into<String>) -> Wrong {
        Wrong(vec![FieldError { field: field.into(), sentence: sentence.into() }])
    }

    /// The sentence to say first.
    pub fn first(&self) -> &str {
        self.0.first().map_or("", |error| error.sentence.as_str())
    }
}

/// A figure's box: what it asks for, what stands, and what was typed over it.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub ask: Ask,
    /// In small units.
    stands: Option<i64>,
    /// What was put into the box for it, rounded for the eye.
    shown: String,
    pub typed: String,
}

impl Entry {
    /// With what stands, in small units.
    pub fn new(ask: Ask, stands: Option<i64>, units: Units) -> Entry {
        let shown = stands.map(|value| ask.measure.digits(value, units)).unwrap_or_default();
        Entry { ask, stands, typed: shown.clone(), shown }
    }

    /// Nothing in it yet.
    pub fn blank(ask: Ask) -> Entry {
        Entry::new(ask, None, Units::default())
    }

    pub fn of_mass(ask: Ask, stands: Option<Mass>, units: Units) -> Entry {
        Entry::new(ask, stands.map(|mass| mass.0), units)
    }

    pub fn of_temp(ask: Ask, stands: Option<Temp>, units: Units) -> Entry {
        Entry::new(ask, stands.map(|temp| i64::from(temp.0)), units)
    }

    /// Something in it that is no figure of this kind, such as a price in words: it stays as long as nobody types over it.
    pub fn worded(ask: Ask, words: &str) -> Entry {
        let shown = words.trim().to_owned();
        Entry { ask, stands: None, typed: shown.clone(), shown }
    }

    /// A counter that stands at `stands`.
    pub fn of_count(ask: Ask, stands: u32) -> Entry {
        Entry::new(ask, Some(i64::from(stands)), Units::default())
    }

    pub fn read(&self, units: Units) -> Field<i64> {
        if self.typed.trim() == self.shown {
            return Field::Untouched(self.stands);
        }
        match read(&self.typed, &self.ask, units) {
            Reading::Empty => Field::Empty,
            Reading::Value { value, how } => Field::Value { value, how },
            Reading::Unreadable(sentence) => Field::Unreadable(FieldError { field: self.ask.name(), sentence }),
        }
    }

    /// What is wrong with it as it stands.
    pub fn wrong(&self, units: Units) -> Option<String> {
        match self.read(units) {
            Field::Unreadable(error) => Some(error.sentence),
            _ => None,
        }
    }

    /// How it was read, where that has to be said.
    pub fn how(&self, units: Units) -> Option<String> {
        match self.read(units) {
            Field::Value { how, .. } => how,
            _ => None,
        }
    }

    /// For what a page shows meanwhile; an act takes its figures from a [`Gather`].
    pub fn glance(&self, units: Units) -> Option<i64> {
        match self.read(units) {
            Field::Untouched(stands) => stands,
            Field::Value { value, .. } => Some(value),
            Field::Empty | Field::Unreadable(_) => None,
        }
    }

    /// How many, meanwhile; 0 while it cannot be read.
    pub fn count(&self) -> u32 {
        self.glance(Units::default()).and_then(|n| u32::try_from(n).ok()).unwrap_or(0)
    }

    /// One more or less, within bounds. What cannot be read stays, with its sentence.
    pub fn step(&mut self, by: i64) {
        let (low, high) = self.ask.bounds;
        let now = match self.read(Units::default()) {
            Field::Unreadable(_) => return,
            Field::Empty => 0,
            Field::Untouched(stands) => stands.unwrap_or(0),
            Field::Value { value, .. } => value,
        };
        self.typed = (now + by).clamp(low, high).to_string();
    }

    /// What stood there when the page was opened, in small units.
    pub fn stands(&self) -> Option<i64> {
        self.stands
    }

    /// Nobody typed into it.
    pub fn untouched(&self) -> bool {
        self.typed.trim() == self.shown
    }

    /// What stands is another by now, as it is after a save: what was typed stays, unless it comes to just that.
    pub fn follow(&mut self, stands: Option<i64>, units: Units) {
        let saved = match self.read(units) {
            Field::Untouched(_) => true,
            Field::Empty => stands.is_none(),
            Field::Value { value, .. } => stands == Some(value),
            Field::Unreadable(_) => false,
        };
        if saved {
            *self = Entry::new(self.ask.clone(), stands, units);
        } else {
            self.offer(stands, units);
        }
    }

    /// Another figure is offered: what was typed stays.
    pub fn offer(&mut self, stands: Option<i64>, units: Units) {
        let untouched = self.untouched();
        let offered = Entry::new(self.ask.clone(), stands, units);
        *self = if untouched { offered } else { Entry { typed: std::mem::take(&mut self.typed), ..offered } };
    }
}

fn in_currency(entry: &Entry, minor: i64) -> Option<Money> {
    let Measure::Money(own) = entry.ask.measure else { return None };
    let currency = if entry.untouched() { own } else { money::of(&entry.typed, own) };
    currency.map(|currency| Money { minor, currency })
}

/// Takes the figures of a form, and notes what is wrong with each. What is built from them is given only when nothing
/// is ([`Gather::done`]).
pub struct Gather {
    units: Units,
    wrong: Vec<FieldError>,
}

impl Gather {
    pub fn new(units: Units) -> Gather {
        Gather { units, wrong: Vec::new() }
    }

    /// In small units; `None` when empty, or when it is noted as wrong.
    pub fn take(&mut self, entry: &Entry) -> Option<i64> {
        match entry.read(self.units) {
            Field::Untouched(stands) => stands,
            Field::Empty => None,
            Field::Value { value, .. } => Some(value),
            Field::Unreadable(error) => {
                self.wrong.push(error);
                None
            }
        }
    }

    /// As [`Gather::take`]; what nobody touched is as it stands by now.
    pub fn take_or(&mut self, entry: &Entry, now: Option<i64>) -> Option<i64> {
        if entry.untouched() { now } else { self.take(entry) }
    }

    /// As [`Gather::take`], but empty is wrong too.
    pub fn need(&mut self, entry: &Entry) -> i64 {
        let before = self.wrong.len();
        match self.take(entry) {
            Some(value) => value,
            None => {
                if self.wrong.len() == before {
                    self.note(entry.ask.name(), say::wanted(&entry.ask, self.units));
                }
                0
            }
        }
    }

    pub fn mass(&mut self, entry: &Entry) -> Option<Mass> {
        self.take(entry).map(Mass)
    }

    pub fn need_mass(&mut self, entry: &Entry) -> Mass {
        Mass(self.need(entry))
    }

    /// An amount in the currency typed with it, else in the one that stands beside the box.
    pub fn money(&mut self, entry: &Entry) -> Option<Money> {
        self.take(entry).and_then(|minor| in_currency(entry, minor))
    }

    /// As [`Gather::money`], but empty is wrong too.
    pub fn need_money(&mut self, entry: &Entry) -> Option<Money> {
        let minor = self.need(entry);
        in_currency(entry, minor)
    }

    /// An agreed price as records keep it; what nobody touched stays as it stands, words and all.
    pub fn price(&mut self, entry: &Entry, stands: &str) -> String {
        if entry.untouched() {
            return stands.to_owned();
        }
        self.money(entry).map(|money| money.to_string()).unwrap_or_default()
    }

    pub fn temp(&mut self, entry: &Entry) -> Option<Temp> {
        self.take(entry).and_then(|value| i32::try_from(value).ok()).map(Temp)
    }

    pub fn need_temp(&mut self, entry: &Entry) -> Temp {
        Temp(i32::try_from(self.need(entry)).unwrap_or(0))
    }

    /// A counter left empty counts nothing, where nothing is within its bounds.
    pub fn count(&mut self, entry: &Entry) -> u32 {
        let value = if entry.ask.bounds.0 > 0 { self.need(entry) } else { self.take(entry).unwrap_or(0) };
        u32::try_from(value).unwrap_or(0)
    }

    /// Text that must be there.
    pub fn need_text(&mut self, name: &str, typed: &str) -> String {
        let typed = typed.trim();
        if typed.is_empty() {
            self.note(name, say::no_text(name));
        }
        typed.to_owned()
    }

    /// Something else that is wrong.
    pub fn note(&mut self, field: impl Into<String>, sentence: impl Into<String>) {
        self.wrong.push(FieldError { field: field.into(), sentence: sentence.into() });
    }

    /// What the form comes to.
    ///
    /// # Errors
    /// Everything that was noted; what was built is not given out.
    pub fn done<T>(self, built: T) -> Result<T, Wrong> {
        if self.wrong.is_empty() { Ok(built) } else { Err(Wrong(self.wrong)) }
    }
}
