//! Spare copies: whole bundles beside the lines, one a day, fewer of the older ones.

use crate::place::Place;
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// All of the last week, one a week for two months, then one a month.
const DAYS: i32 = 7;
const WEEKS: i32 = 63;
/// So many never go.
const NEWEST: usize = 6;

/// A day as it stands in a name: `2026-11-30`. None for what is none.
fn day(text: &str) -> Option<NaiveDate> {
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let day = NaiveDate::from_ymd_opt(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)?;
    // Written once more, it has to be the same: no sign, no blank, no digit left out.
    (parts.next().is_none() && day.to_string() == text).then_some(day)
}

impl Place {
    /// The folder of spare copies, without a slash at its end.
    pub fn spares(&self) -> String {
        format!("{}/spare", self.folder())
    }

    /// The copy of a day, such as `2026-11-30`.
    pub fn spare(&self, day: &str) -> String {
        format!("{}/{day}.age", self.spares())
    }
}

/// The day of a copy that is so called, its folder left out.
pub fn day_of(name: &str) -> Option<&str> {
    name.strip_suffix(".age").filter(|name| day(name).is_some())
}

/// Which copies go today: of each span the oldest stays, so that what stays today stays tomorrow. What lies ahead of today, by a
/// clock that is wrong, stays; and so do the newest, for it may be this device's own clock that is.
pub fn to_go<'a>(days: &[&'a str], today: &str) -> Vec<&'a str> {
    let Some(now) = day(today) else { return Vec::new() };
    let mut spans: BTreeMap<(u8, i32, u32), Vec<&str>> = BTreeMap::new();
    let mut past: Vec<&str> = Vec::new();
    for name in days {
        let Some(day) = day(name) else { continue };
        let number = day.num_days_from_ce();
        let span = match now.num_days_from_ce() - number {
            ..DAYS => (0, number, 0),
            DAYS..WEEKS => (1, number.div_euclid(7), 0),
            _ => (2, day.year(), day.month()),
        };
        spans.entry(span).or_default().push(name);
        if *name != today {
            past.push(name);
        }
    }
    // Names of days are in the order of the days.
    past.sort_unstable();
    let newest = past.split_off(past.len().saturating_sub(NEWEST));
    let mut go = Vec::new();
    for mut copies in spans.into_values() {
        copies.sort_unstable();
        go.extend(copies.into_iter().skip(1).filter(|name| !newest.contains(name)));
    }
    go
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_are_names_of_copies() {
        assert_eq!(day_of("2026-11-30.age"), Some("2026-11-30"));
        assert_eq!(day_of("2028-02-29.age"), Some("2028-02-29"));
        for other in [
            "2026-11-30",
            "2026-11-30.half",
            "2026-13-01.age",
            "2026-02-29.age",
            "2026-1-1.age",
            "+2026-11-30.age",
            "hello.age",
            "2026-11-30 (2).age",
            "2026-11-30-1.age",
        ] {
            assert_eq!(day_of(other), None, "{other}");
        }
    }

    /// A copy a day for four years, thinned every day as a device does: what stays covers all of the past.
    #[test]
    fn what_stays_covers_the_past_ever_more_coarsely() {
        let begin = day("2022-11-30").expect("a day");
        let mut kept: Vec<String> = Vec::new();
        for (n, today) in (0..1461).zip(begin.iter_days()) {
            kept.push(today.to_string());
            let days: Vec<&str> = kept.iter().map(String::as_str).collect();
            let go: Vec<String> = to_go(&days, &today.to_string()).into_iter().map(str::to_owned).collect();
            kept.retain(|day| !go.contains(day));
            if n % 97 == 0 {
                let ages: Vec<i64> = kept.iter().filter_map(|name| Some((today - day(name)?).num_days())).collect();
                let gap = |from: i64, to: i64, most: i64| {
                    let within: Vec<i64> = ages.iter().copied().filter(|age| (from..to).contains(age)).collect();
                    assert!(within.windows(2).all(|two| two[0] - two[1] <= most), "{within:?}");
                };
                let has = (n + 1).min(7);
                assert_eq!(ages.iter().filter(|age| **age < 7).count(), has, "every day of the last week");
                gap(7, 63, 8);
                gap(63, 1461, 38);
            }
        }
        // 7 days, 9 weeks at most, 47 months.
        assert!((50..=66).contains(&kept.len()), "{}", kept.len());
    }

    /// A phone whose clock is a year ahead thins what another one has put there this week.
    #[test]
    fn a_clock_far_ahead_leaves_the_newest() {
        let days: Vec<String> =
            (1..=20).map(|day| format!("2026-11-{day:02}")).chain(["2027-11-20".to_owned()]).collect();
        let days: Vec<&str> = days.iter().map(String::as_str).collect();
        let go = to_go(&days, "2027-11-20");
        assert!(!go.is_empty() && go.iter().all(|day| *day < "2026-11-15" && *day != "2026-11-01"), "{go:?}");
    }

    #[test]
    fn a_clock_ahead_takes_nothing_away() {
        assert!(to_go(&["2027-01-01", "2027-01-02"], "2026-11-30").is_empty());
        assert!(to_go(&["2026-11-01", "2026-11-02"], "no day").is_empty());
    }
}
