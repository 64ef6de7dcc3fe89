use super::*;
use proptest::prelude::*;
use std::collections::BTreeMap;

fn at(text: &str) -> NaiveDateTime {
    text.parse().expect(text)
}

fn course(from: &str, every_hours: u32, last: Option<&str>) -> Course {
    let until = last.map(|day| day.parse().expect(day));
    Course { from: at(from), every_hours, until, ended: None }
}

fn given(at: NaiveDateTime) -> Noted {
    Noted { at, day_only: false, left_out: false }
}

fn filled(course: &Course, times: &[&str]) -> Filled {
    course.fill(&times.iter().map(|time| given(at(time))).collect::<Vec<_>>())
}

/// What is due (day and hour), the next, and how many were missed.
fn stands(course: &Course, times: &[&str], now: &str) -> (Option<String>, Option<String>, u32) {
    let said = |when: Option<NaiveDateTime>| when.map(|when| when.format("%dT%H").to_string());
    let standing = course.standing(&filled(course, times), at(now));
    (said(standing.due), said(standing.next), standing.missed)
}

fn want(due: &str, next: &str, missed: u32) -> (Option<String>, Option<String>, u32) {
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    (some(due), some(next), missed)
}

#[test]
fn once_a_day_goes_by_the_calendar() {
    // Ordered at noon: due all of each day, whatever the hour it is given at.
    let daily = course("2026-06-01T12:00:00", 24, Some("2026-06-10"));
    assert_eq!(daily.of(), Some(10));
    for (times, now, expected) in [
        (&[][..], "2026-06-01T07:00:00", want("01T00", "02T00", 0)),
        (&["2026-06-01T21:00:00"], "2026-06-01T21:01:00", want("", "02T00", 0)),
        (&["2026-06-01T21:00:00"], "2026-06-02T06:00:00", want("02T00", "03T00", 0)),
        (&["2026-06-01T21:00:00"], "2026-06-04T06:00:00", want("04T00", "05T00", 2)),
        (&["2026-06-01T21:00:00", "2026-06-04T23:00:00"], "2026-06-05T06:00:00", want("05T00", "06T00", 2)),
        // Over: none is due, and those that were not given stay missed.
        (&["2026-06-01T21:00:00"], "2026-06-11T06:00:00", want("", "", 9)),
        // The day after the last is not a late dose of the last.
        (&["2026-06-11T00:30:00"], "2026-06-11T06:00:00", want("", "", 10)),
    ] {
        assert_eq!(stands(&daily, times, now), expected, "{times:?} at {now}");
    }
}

#[test]
fn every_third_day_bears_a_day_late_and_stays_as_ordered() {
    let third = course("2026-06-01T08:00:00", 72, None);
    assert_eq!(third.of(), None);
    let late = ["2026-06-01T08:00:00", "2026-06-05T09:00:00"];
    assert_eq!(stands(&third, &late, "2026-06-05T10:00:00"), want("", "07T00", 0));
    assert_eq!(stands(&third, &late, "2026-06-07T10:00:00"), want("07T00", "10T00", 0));
    // A day early, when the one before was given: it counts for the next.
    let early = ["2026-06-01T08:00:00", "2026-06-03T09:00:00"];
    assert_eq!(stands(&third, &early, "2026-06-04T10:00:00"), want("", "07T00", 0));
}

#[test]
fn twice_a_day_goes_by_the_clock() {
    let twice = course("2026-06-01T08:00:00", 12, Some("2026-06-05"));
    assert_eq!(twice.of(), Some(10));
    assert_eq!(stands(&twice, &[], "2026-06-01T04:00:00"), want("", "01T08", 0));
    // Shown three hours before.
    assert_eq!(stands(&twice, &[], "2026-06-01T05:00:00"), want("01T08", "01T20", 0));
    let morning = ["2026-06-01T09:30:00"];
    assert_eq!(stands(&twice, &morning, "2026-06-01T16:00:00"), want("", "01T20", 0));
    assert_eq!(stands(&twice, &morning, "2026-06-01T19:00:00"), want("01T20", "02T08", 0));
    // What was forgotten all day is missed once the evening's is near, and is not given on top of it.
    assert_eq!(stands(&twice, &[], "2026-06-01T16:59:00"), want("01T08", "01T20", 0));
    assert_eq!(stands(&twice, &[], "2026-06-01T17:00:00"), want("01T20", "02T08", 1));
    assert_eq!(stands(&twice, &["2026-06-01T19:55:00"], "2026-06-01T20:00:00"), want("", "02T08", 1));
    // The last evening's dose, after midnight: late, not lost.
    assert_eq!(filled(&twice, &["2026-06-06T00:30:00"]).fills, [Fills::Dose(9)]);
    assert_eq!(filled(&twice, &["2026-06-06T08:00:00"]).fills, [Fills::After]);
}

#[test]
fn one_dose_and_no_more_waits_until_it_is_seen_to() {
    let once = course("2026-06-01T08:00:00", 0, None);
    assert_eq!(stands(&once, &[], "2026-05-31T20:00:00"), want("", "01T00", 0));
    assert_eq!(stands(&once, &[], "2026-06-09T20:00:00"), want("01T00", "", 0));
    let standing = once.standing(&filled(&once, &["2026-06-02T08:00:00"]), at("2026-06-09T20:00:00"));
    assert_eq!((standing.due, standing.missed, standing.over), (None, 0, true));
    let both = filled(&once, &["2026-06-02T08:00:00", "2026-06-20T08:00:00"]);
    assert_eq!(both.fills, [Fills::Dose(0), Fills::Twice(0)]);
}

#[test]
fn what_fills_no_dose_says_why() {
    let daily = course("2026-06-02T12:00:00", 24, Some("2026-06-10"));
    use Fills::{After, Before, Dose, Twice};
    for (times, expected) in [
        (&["2026-06-01T23:59:00", "2026-06-02T07:00:00"][..], [Before, Dose(0)]),
        (&["2026-06-02T08:00:00", "2026-06-02T20:00:00"], [Dose(0), Twice(0)]),
        (&["2026-06-10T20:00:00", "2026-06-11T00:10:00"], [Dose(8), After]),
        // A late evening and the next morning are two days' doses.
        (&["2026-06-03T07:00:00", "2026-06-02T21:00:00"], [Dose(1), Dose(0)]),
    ] {
        assert_eq!(filled(&daily, times).fills, expected, "{times:?}");
    }
    // An order whose last day is before its first holds no dose.
    let none = course("2026-06-05T12:00:00", 12, Some("2026-06-04"));
    assert_eq!((none.of(), stands(&none, &[], "2026-06-05T12:00:00")), (Some(0), want("", "", 0)));
    assert_eq!(filled(&none, &["2026-06-05T12:00:00"]).fills, [After]);
}

#[test]
fn who_ends_it_neither_misses_nor_moves_a_dose() {
    let ended = |day: &str| Course { ended: Some(at(day)), ..course("2026-06-01T12:00:00", 24, None) };
    let three = ["2026-06-01T20:00:00", "2026-06-02T20:00:00", "2026-06-03T08:00:00"];
    for (course, times, missed, filled_now) in [
        // Three given, ended on the third day after its dose; on the first day; the second forgotten.
        (ended("2026-06-03T09:00:00"), &three[..], 0, vec![0, 1, 2]),
        (ended("2026-06-01T21:00:00"), &three[..1], 0, vec![0]),
        (ended("2026-06-03T09:00:00"), &[three[0], three[2]], 1, vec![0, 2]),
        // Of the day it was ended on, nothing is wanting; before the first, nothing at all.
        (ended("2026-06-03T00:00:00"), &three[..2], 0, vec![0, 1]),
        (ended("2026-05-30T00:00:00"), &[], 0, vec![]),
    ] {
        let filled = filled(&course, times);
        assert_eq!(filled.given.iter().copied().collect::<Vec<_>>(), filled_now, "{course:?}");
        for now in ["2026-06-03T09:01:00", "2026-06-20T08:00:00"] {
            let standing = course.standing(&filled, at(now));
            let expected = Standing { due: None, next: None, missed, over: true };
            assert_eq!(standing, expected, "{course:?} at {now}");
        }
    }
}

#[test]
fn left_out_and_given_after_all_is_given_once() {
    let daily = course("2026-06-01T12:00:00", 24, None);
    let out = |time: &str| Noted { left_out: true, ..given(at(time)) };
    let (early, late) = ("2026-06-01T08:00:00", "2026-06-01T20:00:00");
    assert_eq!(daily.fill(&[given(at(late)), out(early)]).fills, [Fills::Dose(0), Fills::Idle]);
    assert_eq!(daily.fill(&[given(at(early)), out(late)]).fills, [Fills::Dose(0), Fills::Idle]);
    assert_eq!(daily.fill(&[out(early), out(late)]).fills, [Fills::Dose(0), Fills::Idle]);
}

#[test]
fn a_dose_whose_hour_nobody_said_is_one_of_that_day() {
    let twice = course("2026-06-01T08:00:00", 12, None);
    let some_time = Noted { day_only: true, ..given(at("2026-06-01T12:00:00")) };
    assert_eq!(twice.fill(&[some_time; 3]).fills, [Fills::Dose(0), Fills::Dose(1), Fills::Twice(0)]);
    let morning = given(at("2026-06-01T08:10:00"));
    assert_eq!(twice.fill(&[some_time, morning]).fills, [Fills::Dose(1), Fills::Dose(0)]);
}

// The rule once more, read slowly: every dose is written down with the stretch of time in which it is due, and every one
// noted looks through all of them.

struct Stretch {
    time: NaiveDateTime,
    from: NaiveDateTime,
    /// Not included.
    to: NaiveDateTime,
}

/// Later than anything that is tried.
fn horizon() -> NaiveDateTime {
    at("2027-01-01T00:00:00")
}

fn written_down(course: &Course) -> Vec<Stretch> {
    let days = course.every_hours.is_multiple_of(24);
    let early = match course.every_hours {
        hours if days => TimeDelta::days(i64::from(hours / 24 / 4)),
        hours => TimeDelta::hours(i64::from(hours / 4)),
    };
    let step = TimeDelta::hours(i64::from(course.every_hours));
    let mut time = if days { course.from.date().and_time(NaiveTime::MIN) } else { course.from };
    let mut all: Vec<Stretch> = Vec::new();
    while time < horizon() && course.until.is_none_or(|last| time.date() <= last) {
        if let Some(before) = all.last_mut() {
            before.to = time - early;
        }
        let to = if course.every_hours == 0 { horizon() } else { time + step };
        all.push(Stretch { time, from: time - early, to });
        if course.every_hours == 0 {
            break;
        }
        time += step;
    }
    all
}

fn counted_by_hand(course: &Course, noted: &[Noted]) -> Vec<Fills> {
    let all = written_down(course);
    let days = course.every_hours.is_multiple_of(24);
    let mut in_time: Vec<usize> = (0..noted.len()).collect();
    in_time.sort_by_key(|i| (noted[*i].at, noted[*i].left_out));
    let mut fills = vec![Fills::Idle; noted.len()];
    // Of each dose, who saw to it.
    let mut by: BTreeMap<usize, usize> = BTreeMap::new();
    for i in in_time {
        let at = noted[i].at;
        let Some(due) = all.iter().position(|one| one.from <= at && at < one.to) else {
            fills[i] = if all.first().is_some_and(|first| at < first.from) { Fills::Before } else { Fills::After };
            continue;
        };
        let measured = if days { midnight(at) } else { at };
        let next_is_nearer = all.get(due + 1).is_some_and(|next| next.time - measured < measured - all[due].time);
        let n = |due: usize| u32::try_from(due).expect("few");
        match by.get(&due).copied() {
            None => {
                by.insert(due, i);
                fills[i] = Fills::Dose(n(due));
            }
            Some(_) if next_is_nearer && !by.contains_key(&(due + 1)) => {
                by.insert(due + 1, i);
                fills[i] = Fills::Dose(n(due + 1));
            }
            Some(_) if noted[i].left_out => {}
            Some(who) if noted[who].left_out => {
                by.insert(due, i);
                (fills[who], fills[i]) = (Fills::Idle, Fills::Dose(n(due)));
            }
            Some(_) => fills[i] = Fills::Twice(n(due)),
        }
    }
    fills
}

/// Hours after the start of June.
fn hour(hours: i64) -> NaiveDateTime {
    at("2026-06-01T00:00:00") + TimeDelta::hours(hours)
}

fn any_course() -> impl Strategy<Value = Course> {
    let every = prop::sample::select(vec![0, 1, 4, 6, 8, 12, 18, 24, 36, 48, 72, 96, 168]);
    let (until, ended) = (prop::option::of(-2i64..12), prop::option::of(-48i64..300));
    (0i64..72, every, until, ended).prop_map(|(from, every_hours, until, ended)| {
        let day = |days: i64| hour(from).date() + TimeDelta::days(days);
        Course { from: hour(from), every_hours, until: until.map(day), ended: ended.map(|at| hour(from + at)) }
    })
}

fn any_noted() -> impl Strategy<Value = Vec<Noted>> {
    let one = (-40i64..400, 0u8..4).prop_map(|(at, of)| Noted { at: hour(at), day_only: false, left_out: of == 0 });
    prop::collection::vec(one, 0..24)
}

proptest! {
    #[test]
    fn each_dose_counts_for_what_the_rule_says(course in any_course(), noted in any_noted()) {
        let filled = course.fill(&noted);
        prop_assert_eq!(&filled.fills, &counted_by_hand(&course, &noted));
        // Every dose given is told of once, and no dose ordered is filled twice.
        let told = |of: fn(&Fills) -> bool| noted.iter().zip(&filled.fills).filter(|(noted, fills)| !noted.left_out && of(fills)).count();
        let none = told(|fills| matches!(fills, Fills::Twice(_) | Fills::Before | Fills::After));
        prop_assert_eq!(told(|_| true), filled.given.len() + none);
        prop_assert!(filled.given.is_disjoint(&filled.left_out));
        for n in filled.given.iter().chain(&filled.left_out) {
            prop_assert!(course.dose(*n).is_some());
            prop_assert_eq!(filled.fills.iter().filter(|fills| **fills == Fills::Dose(*n)).count(), 1);
        }
        // Ended or not, it counts for the same; in another order too.
        prop_assert_eq!(&Course { ended: None, ..course }.fill(&noted), &filled);
        let turned: Vec<Noted> = noted.iter().rev().copied().collect();
        let turned = course.fill(&turned);
        prop_assert_eq!((&turned.given, &turned.left_out), (&filled.given, &filled.left_out));
    }

    #[test]
    fn how_it_stands_follows_from_what_is_written_down(course in any_course(), noted in any_noted(), now in -60i64..420) {
        let (filled, now) = (course.fill(&noted), hour(now));
        let standing = course.standing(&filled, now);
        let all = written_down(&course);
        let left = course.until.is_some_and(|last| now.date() > last);
        let stopped = course.ended.is_some_and(|ended| ended.date() <= now.date());
        let looked = course.ended.map_or(now, |ended| ended.min(now));
        let passed = course.until.is_some_and(|last| looked.date() > last);
        let open = |n: usize| !filled.seen_to(u32::try_from(n).expect("few"));
        let of = |keep: &dyn Fn(usize, &Stretch) -> bool| -> Vec<NaiveDateTime> {
            let kept = all.iter().enumerate().filter(|(n, one)| open(*n) && keep(*n, one));
            kept.map(|(_, one)| one.time).collect()
        };
        let mut missed = of(&|n, one| passed || (n + 1 < all.len() && one.to <= looked));
        missed.reverse();
        prop_assert_eq!(course.missed(&filled, now).collect::<Vec<_>>(), missed.clone());
        prop_assert_eq!(standing.missed as usize, missed.len());
        let over = left || stopped;
        let due = of(&|_, one| !over && one.from <= now && now < one.to);
        prop_assert_eq!(standing.due, due.first().copied());
        let next = of(&|_, one| !over && now < one.from);
        prop_assert_eq!(standing.next, next.first().copied().filter(|next| *next < horizon()));
        prop_assert_eq!(standing.over, over || (course.every_hours == 0 && !all.is_empty() && !open(0)));
        // Of what was ordered, given, left out and missed are never more.
        if let Some(of) = course.of() {
            prop_assert_eq!(of as usize, all.len());
            prop_assert!(filled.given.len() + filled.left_out.len() + missed.len() <= all.len());
        }
    }
}
