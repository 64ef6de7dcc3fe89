//! Days as spreadsheets have them.

use chrono::NaiveDate;

/// Only what can be read one way: `2026-06-09`, `9 Jun 2026`, or figures of which one cannot be a month. A year of two
/// figures is of this century, and only stands last: `5/3/26`.
pub(super) fn day(text: &str) -> Result<Option<NaiveDate>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let no_day = || format!("“{text}” is no day. Write it as 2026-06-09.");
    let parts: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
    let [first, second, third] = parts[..] else { return Err(no_day()) };
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.len() <= 2);
    let on = |year: Option<i32>, month: Option<u32>, day: Option<u32>| NaiveDate::from_ymd_opt(year?, month?, day?);
    let mut found: Vec<NaiveDate> = Vec::new();
    if first.len() == 4 {
        found.extend(on(year(first), number(second).or_else(|| month(second)), number(third)));
    } else if let Some(named) = month(second) {
        found.extend(on(year(third), Some(named), number(first)));
    } else if let Some(named) = month(first) {
        found.extend(on(year(third), Some(named), number(second)));
    } else {
        found.extend(on(year(third), number(second), number(first)));
        // Points are written by those who put the day first.
        if !text.contains('.') {
            found.extend(on(year(third), number(first), number(second)));
        }
        // Hyphens are for years that come first, be they of two figures.
        if text.contains('-') {
            found.extend(on(year(first), number(second), number(third)));
        }
        found.dedup();
    }
    match found.as_slice() {
        [day] => Ok(Some(*day)),
        [] => Err(no_day()),
        [a, b, ..] => {
            let said = |day: &NaiveDate| day.format("%-d %b %Y").to_string();
            Err(format!("“{text}” can be two different days, {} or {}. Write it as 2026-06-09.", said(a), said(b)))
        }
    }
}

/// Of four figures, or of two in this century.
fn year(text: &str) -> Option<i32> {
    let year = text.parse::<i32>().ok().filter(|_| text.bytes().all(|byte| byte.is_ascii_digit()))?;
    match text.len() {
        2 => Some(2000 + year),
        4 => Some(year).filter(|year| (1900..2200).contains(year)),
        _ => None,
    }
}

/// By its English name or the first three letters of it.
fn month(text: &str) -> Option<u32> {
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let text = crate::lower::lower(text);
    let named = |month: &&str| {
        text.len() >= 3 && (month.starts_with(text.as_str()) || (text == "sept" && month.starts_with("sep")))
    };
    (1..).zip(MONTHS.iter()).find(|(_, month)| named(month)).map(|(number, _)| number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_one_way_or_not_at_all() {
        let on = |y, m, d| NaiveDate::from_ymd_opt(y, m, d);
        for (text, expected) in [
            ("", Ok(None)),
            ("2026-06-09", Ok(on(2026, 6, 9))),
            ("9 Jun 2026", Ok(on(2026, 6, 9))),
            ("9 June 2026", Ok(on(2026, 6, 9))),
            ("25/06/2026", Ok(on(2026, 6, 25))),
            ("06/25/2026", Ok(on(2026, 6, 25))),
            ("25.06.2026", Ok(on(2026, 6, 25))),
            ("06/06/2026", Ok(on(2026, 6, 6))),
            ("09/06/2026", Err("two different days")),
            ("9.6.2026", Ok(on(2026, 6, 9))),
            ("5/3/26", Err("5 Mar 2026 or 3 May 2026")),
            ("25/3/26", Ok(on(2026, 3, 25))),
            ("3/25/26", Ok(on(2026, 3, 25))),
            ("25.3.26", Ok(on(2026, 3, 25))),
            ("5 Mar 26", Ok(on(2026, 3, 5))),
            ("Mar 5, 2026", Ok(on(2026, 3, 5))),
            ("9 Sept 2026", Ok(on(2026, 9, 9))),
            ("2026/06/09", Ok(on(2026, 6, 9))),
            ("2026 June 9", Ok(on(2026, 6, 9))),
            ("26-03-05", Err("two different days")),
            ("5/3/0026", Err("is no day")),
            ("5/3/5", Err("is no day")),
            ("5/3", Err("is no day")),
            ("٢٥/3/26", Err("is no day")),
            ("yesterday", Err("is no day")),
            ("31/02/2026", Err("is no day")),
        ] {
            match (day(text), expected) {
                (Ok(read), Ok(expected)) => assert_eq!(read, expected, "{text}"),
                (Err(said), Err(part)) => assert!(said.contains(part), "{text}: {said}"),
                (read, expected) => panic!("{text}: {read:?}, not {expected:?}"),
            }
        }
    }
}
