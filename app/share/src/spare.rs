//! Spare copies: whole bundles beside the lines, one a day, fewer of the older ones.

use crate::place::Place;
use std::collections::BTreeMap;

/// All of the last week, one a week for two months, then one a month.
const DAYS: i64 = 7;
const WEEKS: i64 = 63;
/// So many never go.
const NEWEST: usize = 6;

/// A day as it stands in a name: `2026-11-30`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// None for what is no day's name.
    pub fn read(text: &str) -> Option<Day> {
        let plain = text.len() == 10 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
        let mut parts = text.split('-').filter(|_| plain);
        let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
        let day = Day { year: year.parse().ok()?, month: month.parse().ok()?, day: day.parse().ok()? };
        (parts.next().is_none() && (1..=12).contains(&day.month) && (1..=31).contains(&day.day)).then_some(day)
    }

    /// Days since 1 March of the year 0, which is what leap years end before.
    fn number(self) -> i64 {
        let (year, month) = match self.month {
            1 | 2 => (i64::from(self.year) - 1, i64::from(self.month) + 9),
            _ => (i64::from(self.year), i64::from(self.month) - 3),
        };
        365 * year + year.div_euclid(4) - year.div_euclid(100)
            + year.div_euclid(400)
            + (153 * month + 2) / 5
            + i64::from(self.day)
            - 1
    }
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
    let day = name.strip_suffix(".age")?;
    Day::read(day).map(|_| day)
}

/// Which copies go today: of each span the oldest stays, so that what stays today stays tomorrow. What lies ahead of today, by a
/// clock that is wrong, stays; and so do the newest, for it may be this device's own clock that is.
pub fn to_go<'a>(days: &[&'a str], today: &str) -> Vec<&'a str> {
    let Some(now) = Day::read(today) else { return Vec::new() };
    let mut spans: BTreeMap<(u8, i64, i64), Vec<(Day, &'a str)>> = BTreeMap::new();
    for name in days {
        let Some(day) = Day::read(name) else { continue };
        let span = match now.number() - day.number() {
            ..DAYS => (0, day.number(), 0),
            DAYS..WEEKS => (1, day.number().div_euclid(7), 0),
            _ => (2, i64::from(day.year), i64::from(day.month)),
        };
        spans.entry(span).or_default().push((day, name));
    }
    let mut newest: Vec<&str> = days.iter().copied().filter(|day| *day != today && Day::read(day).is_some()).collect();
    newest.sort_unstable();
    let newest = newest.split_off(newest.len().saturating_sub(NEWEST));
    let mut go = Vec::new();
    for mut copies in spans.into_values() {
        copies.sort_unstable();
        go.extend(copies.into_iter().skip(1).map(|(_, name)| name));
    }
    go.retain(|day| !newest.contains(day));
    go
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The name of the day of this number, found by counting day after day.
    fn name(number: i64) -> String {
        let mut day = Day { year: 2020, month: 1, day: 1 };
        let mut at = day.number();
        while at < number {
            let leap = day.year.is_multiple_of(4) && (!day.year.is_multiple_of(100) || day.year.is_multiple_of(400));
            let last = match day.month {
                2 => 28 + u8::from(leap),
                4 | 6 | 9 | 11 => 30,
                _ => 31,
            };
            day = match (day.day == last, day.month) {
                (false, _) => Day { day: day.day + 1, ..day },
                (true, 12) => Day { year: day.year + 1, month: 1, day: 1 },
                (true, month) => Day { month: month + 1, day: 1, ..day },
            };
            at += 1;
            assert_eq!(day.number(), at, "the days are numbered in a row");
        }
        format!("{:04}-{:02}-{:02}", day.year, day.month, day.day)
    }

    #[test]
    fn only_days_are_names_of_copies() {
        assert_eq!(day_of("2026-11-30.age"), Some("2026-11-30"));
        for other in
            ["2026-11-30", "2026-11-30.half", "2026-13-01.age", "2026-1-1.age", "hello.age", "2026-11-30 (2).age"]
        {
            assert_eq!(day_of(other), None, "{other}");
        }
    }

    /// A copy a day for four years, thinned every day as a device does: what stays covers all of the past.
    #[test]
    fn what_stays_covers_the_past_ever_more_coarsely() {
        let begin = Day { year: 2022, month: 11, day: 30 }.number();
        let mut kept: Vec<String> = Vec::new();
        for today in begin..begin + 1461 {
            kept.push(name(today));
            let days: Vec<&str> = kept.iter().map(String::as_str).collect();
            let go: Vec<String> = to_go(&days, &name(today)).into_iter().map(str::to_owned).collect();
            kept.retain(|day| !go.contains(day));
            if today % 97 == 0 {
                let ages: Vec<i64> = kept.iter().filter_map(|day| Some(today - Day::read(day)?.number())).collect();
                let gap = |from: i64, to: i64, most: i64| {
                    let within: Vec<i64> = ages.iter().copied().filter(|age| (from..to).contains(age)).collect();
                    assert!(within.windows(2).all(|two| two[0] - two[1] <= most), "{within:?}");
                };
                let has = (today - begin + 1).min(7);
                assert_eq!(ages.iter().filter(|age| **age < 7).count() as i64, has, "every day of the last week");
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
