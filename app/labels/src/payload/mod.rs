//! The link inside the square code: `HTTPS://HOST/PATH#/B/7K3QX2M9.<fields>`.
//!
//! Upper case as far as the host allows, so that the encoder stays in its alphanumeric mode: scheme and
//! host are the same in any case, a path is not, so a path keeps its own. Everything after `#` is ours
//! and never reaches a server.
//!
//! Fields follow the id, each after a dot, in the order that [`Slot`]s have for the kind; an empty field
//! is one the label does not know; empty ones at the end are left off. Days are counted from 1 January
//! 2020 in Crockford's symbols. This is version 1 and says nothing of it; a later version begins its
//! fields with `*2`, and older readers then take kind and id alone. What a field means is frozen.
//!
//! A label's fields are what was true when it was printed: good enough on a phone that holds no
//! records, never better than the records.

mod build;
mod foreign;
mod read;

pub use build::{BadBase, Base, Link};
pub use foreign::Foreign;
pub use read::{Damaged, Label, Reading, read, read_bytes};

use chrono::NaiveDate;

/// What the label stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A filling of an egg box (the id is the filling's).
    EggBox,
    /// An animal, at its enclosure.
    Animal,
    /// A hatchling's tub.
    Tub,
    /// A room, rack, shelf, incubator or slot.
    Place,
    /// Printed ahead: nothing is known yet, scanning it begins a record.
    Blank,
}

impl Kind {
    pub const ALL: [Self; 5] = [Self::EggBox, Self::Animal, Self::Tub, Self::Place, Self::Blank];

    /// The letter in the link: B, A, T, P, and N for a new, blank one.
    pub fn letter(self) -> char {
        match self {
            Self::EggBox => 'B',
            Self::Animal => 'A',
            Self::Tub => 'T',
            Self::Place => 'P',
            Self::Blank => 'N',
        }
    }

    /// The kind of a letter in either case.
    pub fn of(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.letter() == letter.to_ascii_uppercase())
    }

    /// Its fields in the order written, the most useful first: the last are dropped first when the
    /// code would grow too fine.
    fn slots(self) -> &'static [Slot] {
        use Slot::{Day, Eggs, FillTo, Number, Species, Window};
        match self {
            Self::EggBox => &[Day, Window, Eggs, Species, FillTo, Number],
            Self::Animal => &[Number, Species],
            Self::Tub => &[Day, Number, Species],
            Self::Place => &[Number],
            Self::Blank => &[],
        }
    }
}

/// One field after the id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Slot {
    /// Three symbols of day, and one more, 1–31, when it is unsure by so many days.
    Day,
    /// Look-from day in three symbols, then days to the start of the likely range and from there to its
    /// end, one symbol each, or two each where one is too few.
    Window,
    /// A decimal count.
    Eggs,
    /// Up to three letters or digits.
    Species,
    /// Tenths of a gram, in symbols.
    FillTo,
    /// The clutch's number, the animal's code or the place's name, as far as capitals, digits and
    /// dashes write it.
    Number,
}

/// A day, and by how many days it may be off either way (0–31).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Day {
    pub day: NaiveDate,
    pub unsure_days: u8,
}

/// When to look, and when hatching is likely. In order: `look_from ≤ likely_from ≤ likely_to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Window {
    pub look_from: NaiveDate,
    pub likely_from: NaiveDate,
    pub likely_to: NaiveDate,
}

/// What a label knows of its own. All of it optional; a kind ignores what it has no slot for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Laid, on an egg box; hatched, on a baby tub. 2020-01-01 to 2109-09-17.
    pub day: Option<Day>,
    pub window: Option<Window>,
    /// Eggs in the box, 0–999.
    pub eggs: Option<u16>,
    /// The species' short form, at most three letters or digits.
    pub species: Option<String>,
    /// The closed mass to bring the box back to, mg, 0 to 99 999 900; a label knows tenths of a gram.
    pub fill_to_mg: Option<i64>,
    /// Clutch number, animal code or place name, at most [`NUMBER_MAX`] characters.
    pub number: Option<String>,
}

/// Longest number a link carries, characters.
pub const NUMBER_MAX: usize = 12;

const DAY_MAX: i64 = 1 << 15;

fn epoch() -> NaiveDate {
    NaiveDate::from_ymd_opt(2020, 1, 1).unwrap_or_default()
}

fn digits(mut n: u64, width: usize) -> String {
    let mut out = vec!['0'; width];
    for place in out.iter_mut().rev() {
        *place = crate::code::symbol(n);
        n >>= 5;
    }
    out.into_iter().collect()
}

fn number(symbols: &str) -> Option<u64> {
    if symbols.is_empty() || symbols.len() > 8 {
        return None;
    }
    symbols.chars().try_fold(0, |n, c| Some(n << 5 | u64::from(crate::code::value(c)?)))
}

fn day_number(day: NaiveDate) -> Option<u64> {
    let n = day.signed_duration_since(epoch()).num_days();
    (0..DAY_MAX).contains(&n).then_some(n as u64)
}

fn day_of(symbols: &str) -> Option<NaiveDate> {
    epoch().checked_add_days(chrono::Days::new(number(symbols)?))
}

impl Slot {
    /// The field's text; `None` when there is nothing to say or it cannot be said in this form.
    fn write(self, known: &Known) -> Option<String> {
        match self {
            Self::Day => {
                let Day { day, unsure_days } = known.day?;
                let sure = digits(day_number(day)?, 3);
                Some(if unsure_days == 0 { sure } else { format!("{sure}{}", digits(unsure_days.min(31).into(), 1)) })
            }
            Self::Window => {
                let Window { look_from, likely_from, likely_to } = known.window?;
                let ahead = u64::try_from((likely_from - look_from).num_days()).ok()?;
                let wide = u64::try_from((likely_to - likely_from).num_days()).ok()?;
                let width = match ahead.max(wide) {
                    0..32 => 1,
                    32..1024 => 2,
                    _ => return None,
                };
                Some(digits(day_number(look_from)?, 3) + &digits(ahead, width) + &digits(wide, width))
            }
            Self::Eggs => known.eggs.filter(|&n| n <= 999).map(|n| n.to_string()),
            Self::Species => {
                let short = known.species.as_deref()?.to_ascii_uppercase();
                let fits = (1..=3).contains(&short.len()) && short.bytes().all(|b| b.is_ascii_alphanumeric());
                fits.then_some(short)
            }
            Self::FillTo => {
                let tenths = u64::try_from(known.fill_to_mg?).ok()?.saturating_add(50) / 100;
                let symbols = digits(tenths, 4);
                (tenths < 1 << 20).then(|| symbols.strip_prefix('0').unwrap_or(&symbols).to_owned())
            }
            Self::Number => {
                let n = known.number.as_deref()?.to_ascii_uppercase();
                let fits = (1..=NUMBER_MAX).contains(&n.len())
                    && n.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'-');
                fits.then_some(n)
            }
        }
    }

    /// Puts the field's text into `known`; says whether it could be understood.
    fn take(self, field: &str, known: &mut Known) -> bool {
        if field.is_empty() {
            return true;
        }
        let upper = field.to_ascii_uppercase();
        if !upper.is_ascii() {
            return false;
        }
        match self {
            Self::Day => {
                let read = match upper.len() {
                    3 => day_of(&upper).map(|day| Day { day, unsure_days: 0 }),
                    4 => day_of(&upper[..3]).zip(number(&upper[3..])).map(|(day, n)| Day { day, unsure_days: n as u8 }),
                    _ => None,
                };
                known.day = read;
            }
            Self::Window => {
                let width = match upper.len() {
                    5 => 1,
                    7 => 2,
                    _ => return false,
                };
                known.window = window_of(&upper, width);
                return known.window.is_some();
            }
            Self::Eggs => known.eggs = upper.parse().ok().filter(|&n| n <= 999),
            Self::Species => {
                known.species = (upper.len() <= 3 && upper.bytes().all(|b| b.is_ascii_alphanumeric())).then_some(upper);
                return known.species.is_some();
            }
            Self::FillTo => {
                let tenths = if upper.len() <= 4 { number(&upper) } else { None };
                known.fill_to_mg = tenths.and_then(|n| i64::try_from(n * 100).ok());
            }
            Self::Number => {
                let fits = upper.len() <= NUMBER_MAX && upper.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
                known.number = fits.then_some(upper);
            }
        }
        match self {
            Self::Day => known.day.is_some(),
            Self::Eggs => known.eggs.is_some(),
            Self::FillTo => known.fill_to_mg.is_some(),
            Self::Number => known.number.is_some(),
            Self::Window | Self::Species => true,
        }
    }
}

fn window_of(symbols: &str, width: usize) -> Option<Window> {
    let look_from = day_of(&symbols[..3])?;
    let ahead = number(&symbols[3..3 + width])?;
    let wide = number(&symbols[3 + width..])?;
    let likely_from = look_from.checked_add_days(chrono::Days::new(ahead))?;
    Some(Window { look_from, likely_from, likely_to: likely_from.checked_add_days(chrono::Days::new(wide))? })
}

#[cfg(test)]
mod tests;
