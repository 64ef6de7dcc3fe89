//! Where date, time and temperature stand in a file, and what of it cannot be told.

use super::cells::{Decimal, cells, is_humidity, not_a_temperature, number, percent, unit_of_name};
use super::stamp::{self, Order, Parts};
use super::{NoLog, Told, Unit};
use chrono::{NaiveDateTime, TimeDelta};

/// A column of temperatures.
#[derive(Clone, Debug, PartialEq)]
pub struct Probe {
    pub column: usize,
    /// as the file names it; may be empty
    pub name: String,
    /// the first number in it, as written
    pub sample: String,
}

/// What only the keeper can say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// which of several probes hangs at this shelf
    Probe,
    /// °C or °F
    Unit,
    /// whether 5/6 is in May or in June
    Order,
}

/// A file's shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    pub divider: char,
    pub decimal: Decimal,
    /// lines before the first row
    pub head: Vec<String>,
    pub probes: Vec<Probe>,
    /// column of the probe to read
    pub probe: usize,
    /// the column of relative humidity beside it, by its name
    pub humidity: Option<Probe>,
    /// `None`: cannot be told
    pub unit: Option<Unit>,
    pub order: Option<Order>,
    /// the first date in the file, as written
    pub first_date: String,
    /// still to be said; empty when the file can be read
    pub asks: Vec<Ask>,
    pub(super) date: usize,
    pub(super) time: Option<usize>,
    pub(super) first_byte: usize,
    /// lines before it
    pub(super) first_line: usize,
}

/// Lines looked at to find the shape, and rows to find the order of dates.
const LOOKED_AT: usize = 400;

/// Finds a file's shape, taking the keeper's word where there is one. `now`: dates after it speak against an order.
pub fn layout(text: &str, told: &Told, now: NaiveDateTime) -> Result<Layout, NoLog> {
    if text.trim().is_empty() {
        return Err(NoLog::Empty);
    }
    let lines: Vec<&str> = text.lines().take(LOOKED_AT).collect();
    let best = [';', '\t', ',', '|']
        .into_iter()
        .filter_map(|divider| columns(&lines, divider))
        .max_by_key(|found| (found.rows.len(), found.probes.len()));
    let found = best.ok_or(NoLog::NoRows)?;
    let first_line = found.rows.first().map_or(0, |(line, _)| *line);
    let first_byte = lines.get(first_line).map_or(0, |line| line.as_ptr() as usize - text.as_ptr() as usize);
    let head: Vec<String> = lines[..first_line].iter().map(|l| l.chars().take(120).collect()).collect();
    let mut asks = Vec::new();
    let several = found.probes.len() > 1;
    let known = told.probe.filter(|c| found.probes.iter().any(|p| p.column == *c));
    if several && known.is_none() {
        asks.push(Ask::Probe);
    }
    let probe = known.or(found.probes.first().map(|p| p.column)).unwrap_or(0);
    let unit = told.unit.or_else(|| unit_of(&found, probe));
    if unit.is_none() {
        asks.push(Ask::Unit);
    }
    let order = told.order.or_else(|| order_of(text, &found, now));
    if order.is_none() {
        asks.push(Ask::Order);
    }
    let first_date = found.rows.first().and_then(|(_, row)| row.get(found.date)).cloned().unwrap_or_default();
    Ok(Layout {
        divider: found.divider,
        decimal: found.decimal,
        head,
        humidity: humid_beside(found.humid, probe),
        probes: found.probes,
        probe,
        unit,
        order,
        first_date,
        asks,
        date: found.date,
        time: found.time,
        first_byte,
        first_line,
    })
}

/// A file's columns under one divider.
struct Columns {
    divider: char,
    decimal: Decimal,
    date: usize,
    time: Option<usize>,
    probes: Vec<Probe>,
    /// those of relative humidity
    humid: Vec<Probe>,
    /// line and cells of what holds a date
    rows: Vec<(usize, Vec<String>)>,
}

fn columns(lines: &[&str], divider: char) -> Option<Columns> {
    let split: Vec<Vec<String>> = lines.iter().map(|l| cells(l, divider)).collect();
    let widest = split.iter().map(Vec::len).max()?;
    // The date's column is the one that holds the most dates; where no clock is in it, the clock has its own.
    let dated =
        |c: usize| split.iter().filter(|row| row.get(c).is_some_and(|x| stamp::looks_like(x).is_some())).count();
    let date = (0..widest.min(40)).max_by_key(|&c| (dated(c), std::cmp::Reverse(c))).filter(|&c| dated(c) > 0)?;
    let rows: Vec<(usize, Vec<String>)> = split
        .into_iter()
        .enumerate()
        .filter(|(_, row)| row.get(date).is_some_and(|x| stamp::looks_like(x).is_some()))
        .collect();
    let has_clock = rows.iter().filter_map(|(_, r)| stamp::looks_like(&r[date])).any(|(_, clock)| clock);
    let clocks = |c: usize| {
        rows.iter().filter(|(_, r)| r.get(c).is_some_and(|x| stamp::clock(x).is_some() && x.contains(':'))).count()
    };
    let time = if has_clock {
        None
    } else {
        Some((0..widest.min(40)).filter(|&c| c != date).max_by_key(|&c| clocks(c)).filter(|&c| clocks(c) > 0)?)
    };
    let names = rows.first().and_then(|(line, _)| line.checked_sub(1)).and_then(|at| lines.get(at));
    let names = names.map(|l| cells(l, divider)).unwrap_or_default();
    let others = (0..widest.min(40)).filter(|&c| c != date && Some(c) != time);
    let texts = |c: usize| rows.iter().filter_map(move |(_, r)| r.get(c)).map(|x| x.trim());
    let comma = others.clone().any(|c| texts(c).any(is_decimal_comma));
    let point = others.clone().any(|c| texts(c).any(|x| x.contains('.') && number(x, Decimal::Point).is_some()));
    let decimal = if comma && !point { Decimal::Comma } else { Decimal::Point };
    let name_of = |column: usize| names.get(column).map(|n| n.trim().to_owned()).unwrap_or_default();
    let humid = others.clone().filter_map(|column| {
        let name = name_of(column);
        let sample = texts(column).find(|x| percent(x, decimal).is_some())?.to_owned();
        is_humidity(&name).then_some(Probe { column, name, sample })
    });
    let humid: Vec<Probe> = humid.collect();
    let probes: Vec<Probe> = others
        .filter_map(|column| {
            let name = name_of(column);
            let values: Vec<f64> = texts(column).filter_map(|x| number(x, decimal)).map(|n| n.0).collect();
            let mostly = values.len() * 2 > rows.len();
            // A running number is no probe.
            let counts = values.len() > 2 && values.windows(2).all(|w| w[1] - w[0] == 1.0);
            let sample = texts(column).find(|x| number(x, decimal).is_some()).unwrap_or("").to_owned();
            (mostly && !counts && !not_a_temperature(&name)).then_some(Probe { column, name, sample })
        })
        .collect();
    (!probes.is_empty()).then_some(Columns { divider, decimal, date, time, probes, humid, rows })
}

/// Of several, the first behind the probe: a logger of many writes them in pairs.
fn humid_beside(humid: Vec<Probe>, probe: usize) -> Option<Probe> {
    let behind = humid.iter().find(|other| other.column > probe).cloned();
    behind.or_else(|| humid.into_iter().next())
}

/// In a file divided by commas only a quoted cell can hold one.
fn is_decimal_comma(cell: &str) -> bool {
    cell.matches(',').count() == 1 && number(cell, Decimal::Comma).is_some()
}

/// By the column's name, by what is written behind the numbers, by a column that says it, or by the numbers themselves.
fn unit_of(found: &Columns, probe: usize) -> Option<Unit> {
    let name = found.probes.iter().find(|p| p.column == probe).map_or("", |p| p.name.as_str());
    if let Some(unit) = unit_of_name(name) {
        return Some(unit);
    }
    let texts = || found.rows.iter().filter_map(|(_, r)| r.get(probe));
    if let Some(unit) = texts().find_map(|x| number(x, found.decimal)?.1) {
        return Some(unit);
    }
    let beside = found.rows.first().and_then(|(_, r)| r.get(probe + 1)).and_then(|x| unit_of_name(x));
    if beside.is_some() {
        return beside;
    }
    let mut values: Vec<f64> = texts().filter_map(|x| number(x, found.decimal)).map(|n| n.0).collect();
    values.sort_by(f64::total_cmp);
    // No shelf with eggs on it is at 42 °C or at 42 °F.
    match values.get(values.len() / 2)? {
        v if *v <= 42.0 => Some(Unit::Celsius),
        v if *v >= 50.0 => Some(Unit::Fahrenheit),
        _ => None,
    }
}

/// The order of day and month: by the year first, a day above 12, dots, dates after now, or the order in which rows
/// run on without jumping from month to month.
fn order_of(text: &str, found: &Columns, now: NaiveDateTime) -> Option<Order> {
    let dates: Vec<Option<Parts>> = spread(text, found).collect();
    let open: Vec<Parts> = dates.into_iter().flatten().filter(|p| p.order.is_none()).collect();
    let Some(first) = open.first() else { return Some(Order::YearFirst) };
    if first.dots {
        return Some(Order::DayFirst);
    }
    let fits = |order: Order| {
        open.iter().filter(|p| p.date(order).is_some_and(|d| d <= (now + TimeDelta::days(1)).date())).count()
    };
    let (day, month) = (fits(Order::DayFirst), fits(Order::MonthFirst));
    if day != month {
        return Some(if day > month { Order::DayFirst } else { Order::MonthFirst });
    }
    let jump = |order: Order| {
        let days: Vec<i64> = open
            .iter()
            .filter_map(|p| p.date(order))
            .map(|d| d.and_time(chrono::NaiveTime::MIN).and_utc().timestamp() / 86_400)
            .collect();
        days.windows(2).map(|w| (w[1] - w[0]).abs()).max().unwrap_or(0)
    };
    match (jump(Order::DayFirst), jump(Order::MonthFirst)) {
        (a, b) if a * 4 < b => Some(Order::DayFirst),
        (a, b) if b * 4 < a => Some(Order::MonthFirst),
        _ => None,
    }
}

/// Dates from all over the file: the first rows may all be of one day.
fn spread<'a>(text: &'a str, found: &'a Columns) -> impl Iterator<Item = Option<Parts>> + 'a {
    // Every hundredth part of a long file, whole lines.
    let step = (text.len() / 2000).max(1);
    let mut at = 0;
    let sampled = std::iter::from_fn(move || {
        let from = (at..=text.len()).find(|i| text.is_char_boundary(*i))?;
        let rest = text.get(from..).filter(|r| !r.is_empty())?;
        let begin = if from == 0 { 0 } else { rest.find('\n')? + 1 };
        let line = rest.get(begin..)?.lines().next()?;
        at = from + begin + line.len().max(step);
        Some(line)
    });
    sampled.filter_map(|line| {
        let row = cells(line, found.divider);
        stamp::looks_like(row.get(found.date)?).map(|(parts, _)| parts)
    })
}
