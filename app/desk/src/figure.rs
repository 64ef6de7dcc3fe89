//! One reader for every figure that is typed: units of either system, decimal comma and point, digits of other scripts.

use crate::measure::{Ask, Measure, Unit, Units, unit_typed};
use crate::money;
use crate::say;

/// What a typed text comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// Nothing but spaces.
    Empty,
    /// In small units; `how` says how it was read, where that is not plain.
    Value { value: i64, how: Option<String> },
    /// The sentence names the field and says what to do.
    Unreadable(String),
}

/// What a figure may mean, and whether that has to be said.
struct Meant {
    /// In small units, not rounded.
    value: f64,
    /// Written in another way than this device shows it.
    say: bool,
}

/// More is no figure.
const LONGEST: usize = 60;

/// Reads what was typed for a field.
pub fn read(typed: &str, ask: &Ask, units: Units) -> Reading {
    let (mut text, mut foreign) = plain(typed);
    if text.is_empty() {
        return Reading::Empty;
    }
    let mut own = None;
    let ask = if let Measure::Money(barns) = ask.measure {
        let (number, currency) = money::apart(&text, barns);
        (text, foreign) = (number, foreign || currency != barns);
        &*own.insert(Ask { measure: Measure::Money(currency), ..ask.clone() })
    } else {
        ask
    };
    let unreadable = || Reading::Unreadable(say::not_a(ask, typed, units));
    if text.len() > LONGEST || ask.measure == Measure::Money(None) {
        return unreadable();
    }
    let (minus, rest) = match text.strip_prefix(['-', '+']) {
        Some(rest) => (text.starts_with('-'), rest.trim_start()),
        None => (false, text.as_str()),
    };
    let Some(parts) = parts(rest) else { return unreadable() };
    let meant = match meanings(&parts, ask.measure, units, minus) {
        Ok(meant) => meant,
        Err(Some(other)) => return Reading::Unreadable(say::other_measure(ask, typed, other, units)),
        Err(None) => return unreadable(),
    };
    choose(&meant, foreign, parts.iter().any(|(_, word)| !word.is_empty()), typed, ask, units)
}

/// Of one or two meanings the likely one; asked where both are, refused where neither can be.
fn choose(meant: &[Meant], foreign: bool, has_unit: bool, typed: &str, ask: &Ask, units: Units) -> Reading {
    let within = |bounds: (i64, i64)| {
        let fits = move |m: &&Meant| {
            let value = m.value.round();
            value >= bounds.0 as f64 && value <= bounds.1 as f64
        };
        meant.iter().filter(fits).collect::<Vec<_>>()
    };
    let can_be = within(ask.bounds);
    let mut left = if meant.len() > 1 { within(ask.likely) } else { Vec::new() };
    // Scales seldom show thousandths. So 1,234 is the small figure only where the large one cannot be, or where an
    // earlier weighing says so; what such things are like is no reason to be sure.
    let small = matches!(left.as_slice(), [one] if meant.iter().any(|other| other.value.abs() > one.value.abs()));
    if left.is_empty() || small && !ask.weighed {
        left = can_be;
    }
    match left.as_slice() {
        [one] => {
            let value = one.value.round() as i64;
            // Less is only the sum's own rounding.
            let rounded = (one.value - value as f64).abs() > 5e-4;
            if value % ask.grain != 0
                || rounded && (ask.grain > 1 || ask.measure == Measure::Count || ask.measure.is_money())
            {
                return Reading::Unreadable(say::not_whole(ask, typed));
            }
            // A scale's last digits are kept; of a percentage or of days more may be typed than is kept.
            let cut = rounded && matches!(ask.measure, Measure::Percent | Measure::Days);
            let said = foreign || one.say || meant.len() > 1 || cut;
            Reading::Value { value, how: said.then(|| say::read_as(ask, value, units)) }
        }
        [a, b, ..] => {
            Reading::Unreadable(say::two_ways(ask, typed, [a.value, b.value].map(|v| v.round() as i64), units))
        }
        [] => {
            let value = meant.first().map_or(0.0, |m| m.value);
            Reading::Unreadable(say::outside(ask, typed, value, has_unit, units))
        }
    }
}

/// Without spaces around, with plain digits and signs; and whether digits of another script were read.
pub(crate) fn plain(typed: &str) -> (String, bool) {
    // Where ten digits in a row begin: Arabic, Persian, Devanagari, Bengali, Thai, full width.
    const ZEROS: [u32; 6] = [0x660, 0x6F0, 0x966, 0x9E6, 0xE50, 0xFF10];
    let mut foreign = false;
    let mut digit = |c: char| {
        let zero = ZEROS.iter().find(|zero| (**zero..**zero + 10).contains(&(c as u32)))?;
        foreign = true;
        char::from_digit(c as u32 - zero, 10)
    };
    let text: String = typed
        .chars()
        .map(|c| match c {
            '−' | '–' | '‐' | '‑' | '﹣' | '－' => '-',
            '٫' | '．' => '.',
            '،' | '，' => ',',
            c if c.is_whitespace() => ' ',
            c => digit(c).unwrap_or(c),
        })
        .collect();
    (text.trim().to_owned(), foreign)
}

/// `1 lb 3 oz` → [("1", "lb"), ("3", "oz")]. `None` unless it goes number, unit, number, unit.
fn parts(text: &str) -> Option<Vec<(&str, &str)>> {
    let mut parts = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let digits = number_end(rest);
        let (number, after) = rest.split_at(digits);
        let end = after.find(|c: char| c.is_ascii_digit()).unwrap_or(after.len());
        let (word, next) = after.split_at(end);
        if number.is_empty() {
            return None;
        }
        parts.push((number, word.trim()));
        rest = next;
    }
    Some(parts)
}

/// Where a number ends: at what is no digit, comma or point; a space before just three digits belongs to it.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    while let Some(&byte) = bytes.get(end) {
        let group = byte == b' ' && digit(end + 1) && digit(end + 2) && digit(end + 3) && !digit(end + 4);
        if !byte.is_ascii_digit() && byte != b',' && byte != b'.' && !group {
            break;
        }
        end += 1;
    }
    end
}

/// All that the parts together may mean; `Err` with the unit that measures something else, or with nothing.
fn meanings(parts: &[(&str, &str)], measure: Measure, units: Units, minus: bool) -> Result<Vec<Meant>, Option<Unit>> {
    let own = measure.unit(units);
    let sign = if minus { -1.0 } else { 1.0 };
    let mut all: Vec<Meant> = Vec::new();
    let mut smaller = f64::INFINITY;
    for (number, word) in parts {
        let unit = if word.is_empty() { own } else { unit_typed(word).ok_or(None)? };
        let unit = measure.takes(unit).ok_or((parts.len() == 1).then_some(unit))?;
        // Of several parts each has its unit, and a smaller one than the part before: 1 lb 3 oz.
        if parts.len() > 1 && (word.is_empty() || unit.size >= smaller || unit.zero != 0.0) {
            return Err(None);
        }
        smaller = unit.size;
        let thousands = measure.parts_thousands();
        let marked = thousands && number.split([',', '.']).nth(1).is_some_and(|group| group.len() == 3);
        let say = parts.len() > 1 || unit.sign != own.sign || number.contains(' ') || marked;
        let numbers = numbers(number, thousands).ok_or(None)?;
        let values = numbers.into_iter().map(|n| (n * sign - unit.zero) * unit.size);
        if all.is_empty() {
            all = values.map(|value| Meant { value, say }).collect();
        } else {
            let firsts = std::mem::take(&mut all);
            let add = |value: f64| firsts.iter().map(move |first| Meant { value: first.value + value, say: true });
            all = values.flat_map(add).collect();
        }
    }
    Ok(all)
}

/// The one or two numbers that digits with commas and points may be. A comma or point before just three digits may
/// part thousands or decimals; `thousands`: only thousands.
fn numbers(text: &str, thousands: bool) -> Option<Vec<f64>> {
    // 12 500 is a figure, 1486 500 is two.
    let mut groups = text.split([' ', ',', '.']);
    if text.contains(' ') && (groups.next().is_none_or(|first| first.len() > 3)) {
        return None;
    }
    let text: String = text.chars().filter(|c| *c != ' ').collect();
    let marks: Vec<char> = text.chars().filter(|c| !c.is_ascii_digit()).collect();
    let grouped = |text: &str, mark: char| {
        let mut groups = text.split(mark);
        let first = groups.next().unwrap_or_default();
        (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(|group| group.len() == 3)
    };
    let all = match marks.as_slice() {
        [] => vec![decimal(&text, "")?],
        [mark] => {
            let (whole, part) = text.split_once(*mark)?;
            let decimals = decimal(whole, part);
            match grouped(&text, *mark) {
                true if thousands => vec![decimal(&format!("{whole}{part}"), "")?],
                true => vec![decimals?, decimal(&format!("{whole}{part}"), "")?],
                false => vec![decimals?],
            }
        }
        [first, .., last] => {
            let (whole, part) = text.rsplit_once(*last)?;
            // 1,486.5 and 1.486,5; 1,486,000.
            let (groups, part) = if first == last { (text.as_str(), "") } else { (whole, part) };
            let same = marks.iter().filter(|mark| *mark == first).count();
            if !grouped(groups, *first) || first != last && same != marks.len() - 1 {
                return None;
            }
            vec![decimal(&groups.replace(*first, ""), part)?]
        }
    };
    Some(all)
}

/// Exact up to fifteen digits, more than any scale shows; what is larger is only known to be too large.
fn decimal(whole: &str, part: &str) -> Option<f64> {
    if whole.is_empty() && part.is_empty() {
        return None;
    }
    let digit = |n: f64, byte: u8| n * 10.0 + f64::from(byte - b'0');
    let number = whole.bytes().chain(part.bytes().take(12)).fold(0.0, digit);
    Some(number / 10_f64.powi(part.len().min(12) as i32))
}
