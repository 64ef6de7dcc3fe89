//! Every sentence of the desk: it names the field, and says what to do, in the unit this device shows.

use crate::measure::{Ask, Measure, Unit, Units};

/// What was typed, short enough for a sentence.
fn quoted(typed: &str) -> String {
    let typed = typed.trim();
    let short: String = typed.chars().take(24).collect();
    if short.len() < typed.len() { format!("“{short}…”") } else { format!("“{short}”") }
}

fn noun(measure: Measure) -> &'static str {
    match measure {
        Measure::Mass => "a weight",
        Measure::Water => "an amount of water",
        Measure::Length => "a length",
        Measure::Temp => "a temperature",
        Measure::Step => "a difference in temperature",
        Measure::Count => "a whole number",
        Measure::Percent => "a percentage",
        Measure::Days => "a number of days",
        Measure::Money(Some(_)) => "an amount of money",
        Measure::Money(None) => "an amount with its currency",
    }
}

fn example(measure: Measure, units: Units) -> &'static str {
    match measure {
        Measure::Mass if units.ounces => "8.5 oz, 1 lb 3 oz or 240 g",
        Measure::Mass => "312 g, 1.2 kg or 8 oz",
        Measure::Water if units.ounces => "8.5 oz or 240 ml",
        Measure::Water => "250 g, 250 ml or 8 oz",
        Measure::Length => "31.5 mm, 4 cm or 1.5 in",
        Measure::Temp if units.fahrenheit => "82.4 or 28 °C",
        Measure::Temp => "27.8 or 82 °F",
        Measure::Step if units.fahrenheit => "0.5 or −0.4",
        Measure::Step => "0.3 or −0.2",
        Measure::Count => "12",
        Measure::Percent => "66 or 12.5 %",
        Measure::Days => "60 or 8 weeks",
        Measure::Money(Some(_)) => "80, 80.50 or 80 USD",
        Measure::Money(None) => "80 EUR or 80.50 USD",
    }
}

pub(crate) fn not_a(ask: &Ask, typed: &str, units: Units) -> String {
    let (what, example) = (noun(ask.measure), example(ask.measure, units));
    format!("{}: {} is not {what}. Type it like {example}.", ask.name(), quoted(typed))
}

pub(crate) fn other_measure(ask: &Ask, typed: &str, unit: Unit, units: Units) -> String {
    let (asked, example) = (noun(ask.measure), example(ask.measure, units));
    format!(
        "{}: {} is {}, and this asks for {asked}. Type it like {example}.",
        ask.name(),
        quoted(typed),
        noun(unit.of)
    )
}

pub(crate) fn not_whole(ask: &Ask, typed: &str) -> String {
    if let Measure::Money(Some(currency)) = ask.measure {
        let (name, code) = (ask.name(), currency.code());
        let most = match currency.decimals() {
            0 => "without decimals".to_owned(),
            n => format!("with at most {n} decimals"),
        };
        return format!("{name}: {} is finer than {code} goes. Type it {most}.", quoted(typed));
    }
    let parts = if ask.measure == Measure::Percent { "a whole number of percent" } else { "a whole number" };
    format!("{}: {} is not {parts}. Type it without decimals.", ask.name(), quoted(typed))
}

pub(crate) fn read_as(ask: &Ask, value: i64, units: Units) -> String {
    format!("Read as {}.", ask.measure.exactly(value, units))
}

pub(crate) fn two_ways(ask: &Ask, typed: &str, ways: [i64; 2], units: Units) -> String {
    let [small, large] = ways.map(|way| ask.measure.exactly(way, units));
    // A zero behind leaves no doubt about what the comma or point is.
    let plain = typed.trim().trim_end_matches(|c: char| !c.is_ascii_digit());
    format!(
        "{}: {} may be {small} or {large}. Type {plain}0 for the first, or leave out the comma or point for the second.",
        ask.name(),
        quoted(typed)
    )
}

pub(crate) fn outside(ask: &Ask, typed: &str, value: f64, has_unit: bool, units: Units) -> String {
    let (low, high) = ask.bounds;
    let (name, most) = (ask.name(), ask.measure.bound(high, units));
    let small = value < low as f64;
    let shown = if value.abs() < 1e15 { ask.measure.exactly(value.round() as i64, units) } else { quoted(typed) };
    // On a scale of the other system it may be just right.
    let other =
        if units.fahrenheit { ((value / 100.0) * 1.8 + 32.0) * 100.0 } else { (value / 100.0 - 32.0) / 1.8 * 100.0 };
    let meant = ask.measure == Measure::Temp && !has_unit && other >= low as f64 && other <= high as f64;
    let hint = match (meant, units.fahrenheit) {
        (false, _) => String::new(),
        (true, false) => format!(" For degrees Fahrenheit type {} F.", typed.trim()),
        (true, true) => format!(" For degrees Celsius type {} C.", typed.trim()),
    };
    match (small, low) {
        (true, 0) if ask.measure != Measure::Temp => format!("{name}: {shown} is less than zero. Type 0 or more."),
        (true, 1) if ask.measure == Measure::Mass => format!("{name}: can't be {shown}. Type more than 0."),
        (true, _) => format!("{name}: {shown} is too little. The least is {}.{hint}", ask.measure.bound(low, units)),
        (false, _) => format!("{name}: {shown} is too much. The most is {most}.{hint}"),
    }
}

pub(crate) fn wanted(ask: &Ask, units: Units) -> String {
    format!("{}: type {}, like {}.", ask.name(), noun(ask.measure), example(ask.measure, units))
}

pub(crate) fn no_day(name: &str) -> String {
    format!("{name}: choose a day.")
}

pub(crate) fn unfinished_day(name: &str) -> String {
    format!("{name}: the day is not finished. Choose day, month and year, or clear it.")
}

pub(crate) fn no_such_year(name: &str, year: i32) -> String {
    format!("{name}: there is no year {year} here. Type all four digits of it.")
}

pub(crate) fn day_to_come(name: &str) -> String {
    format!("{name}: this day is in the future. Choose today or an earlier one.")
}

pub(crate) fn unfinished_time(name: &str) -> String {
    format!("{name}: the time is not finished. Type hours and minutes, or clear it.")
}

pub(crate) fn no_text(name: &str) -> String {
    format!("{name}: type it first.")
}
