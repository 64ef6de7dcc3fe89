//! Days as spreadsheets have them. What a cell cannot tell, whether a month or a day comes first, its column often does;
//! where that does not either, it is asked once for the column.

use book::lower;
use chrono::{Datelike, NaiveDate};
use trade::when::{Point, When, YEARS};

/// In which order the figures of a day stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DayOrder {
    /// 25/3/2026
    DayFirst,
    /// 3/25/2026
    MonthFirst,
    /// 26-03-25
    YearFirst,
}

use DayOrder::*;

const ORDERS: [DayOrder; 3] = [DayFirst, MonthFirst, YearFirst];

/// What somebody said of the days of a column.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DayWay {
    pub order: Option<DayOrder>,
    /// Of days written without a year.
    pub year: Option<i32>,
}

/// What the cells of a column tell about its days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayColumn {
    /// The order that is used; none while it has to be asked.
    pub order: Option<DayOrder>,
    /// The first cell that can be read in several ways, and what each order makes of it.
    pub open: Option<(String, Vec<(DayOrder, NaiveDate)>)>,
    /// The first cell that settled the order for the others.
    pub settled_by: Option<String>,
    /// The first cell without a year.
    pub no_year: Option<String>,
}

/// What a cell may say.
enum Cell<'a> {
    Empty,
    Settled(When),
    /// Three numbers, of which the year is not plain, and whether points or hyphens part them.
    Figures([&'a str; 3], Marks),
    /// Month and day.
    NoYear(u32, u32),
    None,
}

#[derive(Clone, Copy, PartialEq)]
enum Marks {
    Points,
    Hyphens,
    Other,
}

/// A day that needs no column beside it to be read.
pub(super) fn plain(text: &str, today: NaiveDate) -> Option<When> {
    match cell(text, today) {
        Cell::Settled(when) => Some(when),
        _ => None,
    }
}

impl DayColumn {
    /// Looks at all cells of a column. No day of a sheet is after `today`.
    pub fn of<'a>(cells: impl Iterator<Item = &'a str>, way: DayWay, today: NaiveDate) -> DayColumn {
        let mut read: Vec<(&str, Vec<(DayOrder, NaiveDate)>)> = Vec::new();
        let mut column = DayColumn::default();
        for text in cells {
            match cell(text, today) {
                Cell::Figures(figures, marks) => read.push((text, ways(figures, marks, today))),
                Cell::NoYear(..) if column.no_year.is_none() => column.no_year = Some(text.trim().to_owned()),
                _ => {}
            }
        }
        let reads =
            |order: DayOrder| read.iter().filter(|(_, ways)| ways.iter().any(|(other, _)| *other == order)).count();
        let most = ORDERS.map(reads).into_iter().max().unwrap_or(0);
        let fit: Vec<DayOrder> = ORDERS.into_iter().filter(|order| most > 0 && reads(*order) == most).collect();
        // Several orders that come to the same days in every cell are one.
        let open = read.iter().find(|(_, ways)| {
            let mut days = ways.iter().filter(|(order, _)| fit.contains(order)).map(|(_, day)| *day);
            let first = days.next();
            days.any(|day| Some(day) != first)
        });
        column.open = open.map(|(text, ways)| {
            (text.trim().to_owned(), ways.iter().filter(|(order, _)| fit.contains(order)).copied().collect())
        });
        column.order = match (way.order, fit.as_slice()) {
            (Some(order), fit) if fit.contains(&order) => Some(order),
            (_, [one, ..]) if column.open.is_none() => Some(*one),
            _ => None,
        };
        // Told only where a cell beside it could have been read otherwise.
        let doubtful = read.iter().any(|(_, ways)| ways.iter().any(|(_, day)| *day != ways[0].1));
        if column.open.is_none() && doubtful {
            let only =
                read.iter().find(|(_, ways)| matches!(ways.as_slice(), [(order, _)] if Some(*order) == column.order));
            column.settled_by = only.map(|(text, _)| text.trim().to_owned());
        }
        column
    }

    /// What a cell of the column says. `Ok(None)`: nothing.
    ///
    /// # Errors
    /// A sentence; `None` where it is what the column has to be asked first.
    pub fn read(&self, text: &str, way: DayWay, today: NaiveDate) -> Result<Option<When>, Option<String>> {
        let no_day = || Some(format!("“{}” is not a date. Write it as 2026-06-09.", text.trim()));
        match cell(text, today) {
            Cell::Empty => Ok(None),
            Cell::Settled(when) => Ok(Some(when)),
            Cell::Figures(figures, marks) => {
                let ways = ways(figures, marks, today);
                if let [(_, day), rest @ ..] = ways.as_slice()
                    && rest.iter().all(|(_, other)| other == day)
                {
                    return Ok(Some(When::day(*day)));
                }
                if ways.is_empty() {
                    return Err(no_day());
                }
                let order = self.order.ok_or(None)?;
                let found = ways.iter().find(|(other, _)| *other == order);
                found.map(|(_, day)| Some(When::day(*day))).ok_or_else(no_day)
            }
            Cell::NoYear(month, day) => {
                let year = way.year.ok_or(None)?;
                NaiveDate::from_ymd_opt(year, month, day).map(|day| Some(When::day(day))).ok_or_else(no_day)
            }
            Cell::None => Err(no_day()),
        }
    }
}

/// What three figures may mean, no day after today.
fn ways([a, b, c]: [&str; 3], marks: Marks, today: NaiveDate) -> Vec<(DayOrder, NaiveDate)> {
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.len() <= 2);
    let on = |y: &str, m: &str, d: &str| NaiveDate::from_ymd_opt(year(y, today)?, number(m)?, number(d)?);
    let day = |order: DayOrder| match order {
        DayFirst => on(c, b, a),
        // Points are written by those who put the day first.
        MonthFirst if marks != Marks::Points => on(c, a, b),
        // Hyphens are for years that come first, be they of two figures.
        YearFirst if marks == Marks::Hyphens => on(a, b, c),
        MonthFirst | YearFirst => None,
    };
    ORDERS.into_iter().filter_map(|order| Some((order, day(order).filter(|day| *day <= today)?))).collect()
}

/// Of four figures, or of two: the last such year that has begun.
fn year(text: &str, today: NaiveDate) -> Option<i32> {
    let year = text.parse::<i32>().ok().filter(|_| text.bytes().all(|byte| byte.is_ascii_digit()))?;
    match text.len() {
        2 if 2000 + year <= today.year() => Some(2000 + year),
        2 => Some(1900 + year),
        4 => Some(year).filter(|year| YEARS.contains(year)),
        _ => None,
    }
}

fn cell(text: &str, today: NaiveDate) -> Cell<'_> {
    if let Ok(span @ When::Span(..)) = text.trim().parse::<When>() {
        return if span.days().1 <= today { Cell::Settled(span) } else { Cell::None };
    }
    let text = without_time(text.trim());
    let marks = match text {
        _ if text.contains('.') => Marks::Points,
        _ if text.contains('-') => Marks::Hyphens,
        _ => Marks::Other,
    };
    let words = |c: char| !c.is_alphanumeric();
    let parts: Vec<&str> = text.split(words).map(without_ending).filter(|part| !is_filler(part)).collect();
    let span = |from: Option<NaiveDate>, to: Option<NaiveDate>| match (from, to) {
        (Some(from), Some(to)) if from <= today => {
            Cell::Settled(When::span(Point::Day(from), Point::Day(to.min(today))))
        }
        _ => Cell::None,
    };
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.len() <= 2);
    let full = |part: &str| year(part, today).filter(|_| part.len() == 4);
    let on = |year: Option<i32>, month: Option<u32>, day: Option<u32>| {
        let day = year.zip(month).zip(day).and_then(|((year, month), day)| NaiveDate::from_ymd_opt(year, month, day));
        day.map_or(Cell::None, |day| Cell::Settled(When::day(day)))
    };
    match parts[..] {
        [] if text.is_empty() => Cell::Empty,
        // 20260609
        [all] if all.len() == 8 && all.is_ascii() => on(year(&all[..4], today), number(&all[4..6]), number(&all[6..])),
        [only] => {
            let year = full(only);
            span(
                year.and_then(|y| NaiveDate::from_ymd_opt(y, 1, 1)),
                year.and_then(|y| NaiveDate::from_ymd_opt(y, 12, 31)),
            )
        }
        [a, b] => match (month(a), month(b), full(a), full(b)) {
            (Some(month), _, _, Some(year)) | (_, Some(month), Some(year), _) => of_month(year, month, span),
            // May-24 is a month of 2024 as often as a day; May 3 cannot be 2003 to anybody.
            (Some(_), _, _, None) if marks == Marks::Hyphens => Cell::None,
            (Some(month), _, _, None) => number(b).map_or(Cell::None, |day| Cell::NoYear(month, day)),
            (_, Some(month), None, _) => number(a).map_or(Cell::None, |day| Cell::NoYear(month, day)),
            (None, None, Some(year), None) => number(b).map_or(Cell::None, |month| of_month(year, month, span)),
            (None, None, None, Some(year)) => number(a).map_or(Cell::None, |month| of_month(year, month, span)),
            _ => Cell::None,
        },
        [a, b, c] => {
            if a.len() == 4 && a.bytes().all(|byte| byte.is_ascii_digit()) {
                return on(year(a, today), number(b).or_else(|| month(b)), number(c));
            }
            match (month(a), month(b)) {
                (_, Some(month)) => on(year(c, today), Some(month), number(a)),
                (Some(month), _) => on(year(c, today), Some(month), number(b)),
                _ if [a, b, c].iter().all(|part| part.bytes().all(|byte| byte.is_ascii_digit())) => {
                    Cell::Figures([a, b, c], marks)
                }
                _ => Cell::None,
            }
        }
        _ => Cell::None,
    }
}

fn of_month<'a>(year: i32, month: u32, span: impl Fn(Option<NaiveDate>, Option<NaiveDate>) -> Cell<'a>) -> Cell<'a> {
    let first = NaiveDate::from_ymd_opt(year, month, 1);
    let next =
        if month == 12 { NaiveDate::from_ymd_opt(year + 1, 1, 1) } else { NaiveDate::from_ymd_opt(year, month + 1, 1) };
    span(first, next.and_then(|next| next.pred_opt()))
}

/// A date-time's day: a spreadsheet adds midnight to days by itself.
fn without_time(text: &str) -> &str {
    let colon = text.find(':').unwrap_or(text.len());
    if colon == text.len() {
        return text;
    }
    let digits = text[..colon].trim_end_matches(|c: char| c.is_ascii_digit());
    digits.trim_end_matches(['T', 't', ',']).trim()
}

/// 3rd
fn without_ending(part: &str) -> &str {
    let digits = part.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let ending = &part[digits.len()..];
    let known = ["st", "nd", "rd", "th"].iter().any(|known| known.eq_ignore_ascii_case(ending));
    if !digits.is_empty() && known { digits } else { part }
}

/// 3 de mayo de 2024; the 3rd of May.
fn is_filler(part: &str) -> bool {
    part.is_empty()
        || ["de", "del", "of", "the", "el", "den", "am"].iter().any(|filler| filler.eq_ignore_ascii_case(part))
}

/// By its name or the beginning of it, three letters or more: English, German, Spanish.
fn month(text: &str) -> Option<u32> {
    const MONTHS: [&[&str]; 12] = [
        &["january", "januar", "jänner", "enero"],
        &["february", "februar", "feber", "febrero"],
        &["march", "märz", "maerz", "mrz", "marzo"],
        &["april", "abril"],
        &["may", "mai", "mayo"],
        &["june", "juni", "junio"],
        &["july", "juli", "julio"],
        &["august", "agosto"],
        &["september", "sept", "septiembre", "setiembre"],
        &["october", "oktober", "octubre"],
        &["november", "noviembre"],
        &["december", "dezember", "diciembre"],
    ];
    let text = lower(text);
    let named = |names: &&[&str]| text.chars().count() >= 3 && names.iter().any(|name| name.starts_with(text.as_str()));
    (1..).zip(MONTHS.iter()).find(|(_, names)| named(names)).map(|(number, _)| number)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).expect("a day")
    }

    const TODAY: (i32, u32, u32) = (2026, 11, 30);

    fn read(cells: &[&str], way: DayWay) -> (DayColumn, Vec<Result<Option<String>, Option<String>>>) {
        let today = on(TODAY.0, TODAY.1, TODAY.2);
        let column = DayColumn::of(cells.iter().copied(), way, today);
        let read = |text: &&str| column.read(text, way, today).map(|when| when.map(|when| when.to_string()));
        let all = cells.iter().map(read).collect();
        (column, all)
    }

    #[test]
    fn what_a_cell_says_by_itself() {
        for (text, expected) in [
            ("", ""),
            ("2026-06-09", "2026-06-09"),
            ("2026/06/09", "2026-06-09"),
            ("20260609", "2026-06-09"),
            ("2026-06-09T00:00:00Z", "2026-06-09"),
            ("2026-06-09 14:30", "2026-06-09"),
            ("6/25/2026 2:30 PM", "2026-06-25"),
            ("9 Jun 2026", "2026-06-09"),
            ("9-Jun-26", "2026-06-09"),
            ("June 9th, 2026", "2026-06-09"),
            ("9. Juni 2026", "2026-06-09"),
            ("9 de junio de 2026", "2026-06-09"),
            ("3. März 2024", "2024-03-03"),
            ("9 Sept 2026", "2026-09-09"),
            ("2026 June 9", "2026-06-09"),
            ("9.6.2026", "2026-06-09"),
            ("25/06/2026", "2026-06-25"),
            ("06/25/2026", "2026-06-25"),
            ("06/06/2026", "2026-06-06"),
            ("25.3.26", "2026-03-25"),
            ("25/3/98", "1998-03-25"),
            ("25/3/27", "1927-03-25"),
            ("2024-01-01/2024-12-31", "2024-01-01/2024-12-31"),
            ("2024", "2024-01-01/2024-12-31"),
            ("2026", "2026-01-01/2026-11-30"),
            ("Jun 2024", "2024-06-01/2024-06-30"),
            ("2024-02", "2024-02-01/2024-02-29"),
            ("12/2024", "2024-12-01/2024-12-31"),
        ] {
            let expected = Some(expected.to_owned()).filter(|text| !text.is_empty());
            assert_eq!(read(&[text], DayWay::default()).1, [Ok(expected)], "{text}");
        }
    }

    #[test]
    fn what_is_no_day_is_said() {
        for text in [
            "5/3/0026",
            "5/3/5",
            "5/3",
            "٢٥/3/26",
            "yesterday",
            "31/02/2026",
            "May-24",
            "2031",
            "45123",
            "1/2/3/4",
            "2024-13",
        ] {
            let (_, read) = read(&[text], DayWay::default());
            assert!(matches!(&read[0], Err(Some(said)) if said.contains("is not a date")), "{text}: {read:?}");
        }
    }

    #[test]
    fn a_column_is_asked_once_and_only_where_it_does_not_tell() {
        let (column, all) = read(&["5/3/26", "4/1/25"], DayWay::default());
        let open = vec![(DayFirst, on(2026, 3, 5)), (MonthFirst, on(2026, 5, 3))];
        assert_eq!(column.open, Some(("5/3/26".to_owned(), open)));
        assert_eq!(all, [Err(None), Err(None)]);
        let day = |text: &str| Ok(Some(text.to_owned()));
        let said = DayWay { order: Some(MonthFirst), year: None };
        assert_eq!(read(&["5/3/26", "4/1/25"], said).1, [day("2026-05-03"), day("2025-04-01")]);
        // Another cell tells.
        let (column, all) = read(&["5/3/26", "25/3/26"], DayWay::default());
        assert_eq!(column.settled_by.as_deref(), Some("25/3/26"));
        assert_eq!(all, [day("2026-03-05"), day("2026-03-25")]);
        // So does a day that is still to come: nothing here is.
        assert_eq!(read(&["12/11/26"], DayWay::default()).1, [day("2026-11-12")]);
        // Points tell by themselves.
        assert_eq!(read(&["5.3.26"], DayWay::default()).1, [day("2026-03-05")]);
        // Years of two figures before hyphens.
        let (column, _) = read(&["26-03-05"], DayWay::default());
        assert_eq!(column.open.expect("asked").1.len(), 2);
        assert_eq!(read(&["26-03-05", "99-03-31"], DayWay::default()).1[0], day("2026-03-05"));
        // What does not fit the others is told, and does not turn them.
        let (column, all) = read(&["25/3/26", "26/3/26", "3/28/26"], DayWay::default());
        assert_eq!(column.order, Some(DayFirst));
        assert_eq!(all[2], day("2026-03-28"), "it can be read in one way only");
    }

    #[test]
    fn a_day_without_a_year_asks_for_it() {
        let (column, all) = read(&["3-May", "May 4"], DayWay::default());
        assert_eq!(column.no_year.as_deref(), Some("3-May"));
        assert_eq!(all, [Err(None), Err(None)]);
        let (_, all) = read(&["3-May", "29 Feb"], DayWay { order: None, year: Some(2025) });
        assert_eq!(all[0], Ok(Some("2025-05-03".to_owned())));
        assert!(matches!(&all[1], Err(Some(said)) if said.contains("is not a date")));
    }
}
