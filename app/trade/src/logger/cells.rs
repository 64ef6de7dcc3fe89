//! A row's cells, and the numbers in them.

use super::Unit;

/// What stands before the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    Point,
    Comma,
}

/// Splits a row. A cell in quotes may hold the divider; a doubled quote in it is one.
pub(super) fn cells(row: &str, divider: char) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut chars = row.chars().peekable();
    while let Some(c) = chars.next() {
        let cell = match cells.last_mut() {
            Some(cell) => cell,
            None => break,
        };
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' if quoted || cell.trim().is_empty() => {
                quoted = !quoted;
            }
            c if c == divider && !quoted => cells.push(String::new()),
            c => cell.push(c),
        }
    }
    cells
}

/// A number, and the unit written behind it.
pub(super) fn number(cell: &str, decimal: Decimal) -> Option<(f64, Option<Unit>)> {
    let cell = cell.trim();
    let digits = cell.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let unit = unit_of_suffix(cell.get(digits.len()..)?)?;
    let digits = digits.trim().trim_start_matches('+');
    // Minus signs as typesetters write them.
    let digits = digits.replace('−', "-");
    let plain: String = match decimal {
        Decimal::Point => digits.replace(',', ""),
        Decimal::Comma => digits.replace('.', "").replace(',', "."),
    };
    if !plain.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-')) {
        return None;
    }
    plain.parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| (v, unit))
}

/// A percentage, with or without its sign behind it.
pub(super) fn percent(cell: &str, decimal: Decimal) -> Option<f64> {
    let cell = cell.trim();
    let digits = cell.trim_end_matches(|c: char| !c.is_ascii_digit());
    let behind: String = cell.get(digits.len()..)?.chars().filter(|c| c.is_alphabetic()).collect();
    let of_air = ["", "rh", "rf", "hr"].contains(&behind.to_lowercase().as_str());
    number(digits, decimal).filter(|_| of_air).map(|(value, _)| value)
}

/// `Some(None)` where nothing is written; `None` where what is written is no unit of temperature.
fn unit_of_suffix(text: &str) -> Option<Option<Unit>> {
    let text: String = text.chars().filter(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect();
    match text.as_str() {
        "" => Some(None),
        "c" | "degc" | "celsius" | "ºc" => Some(Some(Unit::Celsius)),
        "f" | "degf" | "fahrenheit" | "ºf" => Some(Some(Unit::Fahrenheit)),
        _ => None,
    }
}

/// The unit a column's name tells.
pub(super) fn unit_of_name(name: &str) -> Option<Unit> {
    let lower = name.to_lowercase();
    let word = |w: &str| lower.split(|c: char| !c.is_alphanumeric()).any(|part| part == w);
    if lower.contains("°c") || lower.contains("ºc") || lower.contains("celsius") || word("c") || word("degc") {
        Some(Unit::Celsius)
    } else if lower.contains("°f") || lower.contains("ºf") || lower.contains("fahrenheit") || word("f") || word("degf")
    {
        Some(Unit::Fahrenheit)
    } else {
        None
    }
}

/// Whether a column's name says that it is a relative humidity.
pub(super) fn is_humidity(name: &str) -> bool {
    let lower = name.to_lowercase();
    let word = |w: &str| lower.split(|c: char| !c.is_alphanumeric()).any(|part| part == w);
    ["humid", "humed", "feucht"].iter().any(|p| lower.contains(p)) || ["rh", "hr", "rf"].iter().any(|w| word(w))
}

/// Whether a column's name says that it is something else than a temperature.
pub(super) fn not_a_temperature(name: &str) -> bool {
    let lower = name.to_lowercase();
    let word = |w: &str| lower.split(|c: char| !c.is_alphanumeric()).any(|part| part == w);
    let parts = ["%", "dew", "taupunkt", "volt", "batter", "press", "druck", "lux", "light"];
    let words = ["id", "no", "nr", "index", "record", "sample", "hpa", "co2", "bat", "dp", "signal", "rssi"];
    is_humidity(name) || parts.iter().any(|p| lower.contains(p)) || words.iter().any(|w| word(w)) || lower.trim() == "#"
}
