//! What wants looking at now, and in which order.
//!
//! Each rule is handed plain facts and answers whether something is due; [`order`] sorts what is due by urgency and,
//! within a kind, by the way one walks.

use crate::species::Profile;
use crate::units::Temp;
use crate::when::When;
use crate::window::{Side, Stage, Window};
use chrono::{NaiveDateTime, TimeDelta};

/// The kinds of due thing, most urgent first: the order they are declared in is the order of Rounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// pipped and not out
    PippedNotOut,
    /// a female straining: a reptile veterinarian, today
    Straining,
    /// a female overdue
    LayOverdue,
    TemperatureFault,
    /// an egg box in its window
    LookTonight,
    Water,
    Candling,
    Feeding,
    /// two devices set the same thing differently
    Clash,
    /// acts of another device that have not arrived
    MissingActs,
    BundleTooOld,
}

/// Where something stands on the way through the barn: the order numbers from the room down to the slot.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Walk(pub Vec<i64>);

/// One due thing. `T` is whatever the caller knows it by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due<T> {
    pub kind: Kind,
    /// since when it is due; the longest waiting comes first where the place is the same
    pub since: NaiveDateTime,
    pub walk: Walk,
    pub thing: T,
}

/// Sorts by urgency, then walking order, then the longest due, then as given.
pub fn order<T>(due: &mut [Due<T>]) {
    due.sort_by(|a, b| (a.kind, &a.walk, a.since).cmp(&(b.kind, &b.walk, b.since)));
}

/// A pip that is not out yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PipClock {
    /// hours since the pip can first have happened and since it was seen at the latest
    pub hours: (i64, i64),
    pub stage: PipStage,
    /// when to look again
    pub look: NaiveDateTime,
}

/// How a pipped egg stands; none of these advises pulling or cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PipStage {
    /// within the usual hours
    Usual,
    /// 48 hours or more: look again
    LookAgain,
    /// past the usual hours and past 48: stragglers take up to a week
    Straggling,
}

/// The hour at which a pipped egg is looked at again (common practice).
pub const LOOK_AGAIN_HOURS: i64 = 48;

/// How long an egg has been pipped and not out. `None` when the pip lies wholly after `now`.
pub fn pip_clock(pipped: When, profile: &Profile, now: NaiveDateTime) -> Option<PipClock> {
    let hours = (now - pipped.earliest()).num_hours();
    if now < pipped.earliest() {
        return None;
    }
    let sure = (now - pipped.latest().min(now)).num_hours();
    // Counted from the earlier look: a slit missed last evening is already old.
    let usual = profile.pip_out_h.1 as i64;
    let stage = match hours {
        h if h >= LOOK_AGAIN_HOURS.max(usual + 1) => PipStage::Straggling,
        h if h >= LOOK_AGAIN_HOURS => PipStage::LookAgain,
        _ => PipStage::Usual,
    };
    let at_48 = pipped.earliest() + TimeDelta::hours(LOOK_AGAIN_HOURS);
    let look = if at_48 > now { at_48 } else { now };
    Some(PipClock { hours: (sure, hours), stage, look })
}

/// Why a shelf's temperature wants looking at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TemperatureFault {
    /// outside what a species on it tolerates, by this many °C
    NotTolerated { side: Side, by: f64 },
    /// off its set point by this many °C
    OffSet { side: Side, by: f64 },
}

/// A shelf further than this from its set point wants looking at (common practice).
pub const OFF_SET_C: f64 = 1.5;

/// Judges a shelf's latest temperature (reading plus known offset) against its set point and against the narrowest
/// range tolerated on it.
pub fn temperature_fault(read: Temp, set: Option<Temp>, tolerated: Option<(f64, f64)>) -> Option<TemperatureFault> {
    let c = read.celsius();
    if let Some((lo, hi)) = tolerated {
        if c < lo {
            return Some(TemperatureFault::NotTolerated { side: Side::Cold, by: lo - c });
        }
        if c > hi {
            return Some(TemperatureFault::NotTolerated { side: Side::Hot, by: c - hi });
        }
    }
    let off = c - set?.celsius();
    let side = if off < 0.0 { Side::Cold } else { Side::Hot };
    (off.abs() > OFF_SET_C).then_some(TemperatureFault::OffSet { side, by: off.abs() })
}

/// Since when a box is to be looked at every evening: from the look-from date until its eggs are all accounted for.
/// A pipped box has its own, more urgent, kind ([`Kind::PippedNotOut`]).
pub fn look_tonight(window: &Window, now: NaiveDateTime) -> Option<NaiveDateTime> {
    let from = window.look_from().and_time(chrono::NaiveTime::MIN);
    let open = matches!(window.stage, Stage::Open | Stage::Passed) || (window.stage == Stage::Before && now >= from);
    open.then_some(from)
}

/// After the first one, a candling is due this long after the last (common practice: rarely).
pub const CANDLE_AGAIN_DAYS: i64 = 28;
/// No candling is asked for this many days before the look-from date: eggs go dark and no veins is normal then.
pub const CANDLE_QUIET_DAYS: i64 = 14;

/// Since when a candling is due. `last` is the latest candling, at pull or later.
///
/// The first counts from the day veins tell ([`Profile::candle_days`]); one at pull does not stand for it. Later ones
/// every [`CANDLE_AGAIN_DAYS`]. None late in incubation.
pub fn candling_due(
    laid: When,
    last: Option<NaiveDateTime>,
    look_from: Option<NaiveDateTime>,
    profile: &Profile,
    now: NaiveDateTime,
) -> Option<NaiveDateTime> {
    let tells = laid.middle() + TimeDelta::minutes((profile.candle_days.0 * 1440.0) as i64);
    let due = match last {
        Some(t) if t >= tells => t + TimeDelta::days(CANDLE_AGAIN_DAYS),
        _ => tells,
    };
    let quiet = look_from.is_some_and(|l| now >= l - TimeDelta::days(CANDLE_QUIET_DAYS));
    (due <= now && !quiet).then_some(due)
}

/// Since when a meal is due, `every` days after the last one offered (or since `from`, when none was).
pub fn feeding_due(
    last_offered: Option<NaiveDateTime>,
    from: NaiveDateTime,
    every_days: u32,
    now: NaiveDateTime,
) -> Option<NaiveDateTime> {
    let due = last_offered.map_or(from, |t| t + TimeDelta::days(i64::from(every_days)));
    (due <= now).then_some(due)
}

/// A bundle older than this is too old: a lost phone would lose a week.
pub const BUNDLE_DAYS: i64 = 7;

/// Since when a bundle should have been made: [`BUNDLE_DAYS`] after the last one, or after the first act that no
/// bundle holds. `None` while nothing waits to be carried.
pub fn bundle_due(
    last_bundle: Option<NaiveDateTime>,
    first_act_outside: Option<NaiveDateTime>,
    now: NaiveDateTime,
) -> Option<NaiveDateTime> {
    let waiting = first_act_outside?;
    let due = last_bundle.map_or(waiting, |b| b.max(waiting)) + TimeDelta::days(BUNDLE_DAYS);
    (due <= now).then_some(due)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveDate;

    fn at(day: u32, hour: u32) -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2026, 6, day).and_then(|d| d.and_hms_opt(hour, 0, 0)).expect("a fixture")
    }

    fn when(s: &str) -> When {
        s.parse().expect("a fixture")
    }

    fn king() -> Profile {
        Profile::find("lampropeltis-getula").expect("built in")
    }

    #[test]
    fn urgency_then_the_way_one_walks_then_the_longest_waiting() {
        let due = |kind, walk: &[i64], day| Due { kind, since: at(day, 8), walk: Walk(walk.to_vec()), thing: () };
        let sorted = [
            due(Kind::PippedNotOut, &[2, 9], 9),
            due(Kind::Straining, &[1], 9),
            due(Kind::LayOverdue, &[1], 2),
            due(Kind::TemperatureFault, &[1], 9),
            due(Kind::LookTonight, &[1], 9),
            due(Kind::Water, &[1, 2], 9),
            due(Kind::Water, &[1, 10], 4),
            due(Kind::Water, &[1, 10], 5),
            due(Kind::Candling, &[], 9),
            due(Kind::Feeding, &[1], 9),
            due(Kind::Clash, &[1], 9),
            due(Kind::MissingActs, &[1], 9),
            due(Kind::BundleTooOld, &[], 9),
        ];
        let mut mixed = sorted.to_vec();
        mixed.rotate_left(5);
        mixed.reverse();
        order(&mut mixed);
        assert_eq!(mixed, sorted);
    }

    #[test]
    fn a_pip_is_looked_at_again_at_48_hours() {
        for (now, stage) in [
            (at(9, 22), Some(PipStage::Usual)),
            (at(11, 20), Some(PipStage::Usual)),
            (at(11, 21), Some(PipStage::LookAgain)),
            (at(11, 22), Some(PipStage::Straggling)),
            (at(9, 20), None),
        ] {
            let clock = pip_clock(when("2026-06-09T21:00"), &king(), now);
            assert_eq!(clock.map(|c| c.stage), stage, "{now}");
        }
        let python = Profile::find("python-regius").expect("built in");
        let clock = |now| pip_clock(when("2026-06-09T21:00"), &python, now).expect("pipped").stage;
        assert_eq!((clock(at(12, 20)), clock(at(12, 22))), (PipStage::LookAgain, PipStage::Straggling));
        let span = pip_clock(when("2026-06-09T09:00/2026-06-09T21:00"), &king(), at(10, 9)).expect("pipped");
        assert_eq!((span.hours, span.look), ((12, 24), at(11, 9)));
    }

    #[test]
    fn a_shelf_is_judged_by_what_stands_on_it_and_by_its_set_point() {
        let c = |v| Temp::from_celsius(v).expect("a fixture");
        let hot = Side::Hot;
        for (read, set, tolerated, faulty) in [
            (28.0, Some(28.0), Some((23.0, 31.0)), None),
            (29.4, Some(28.0), Some((23.0, 31.0)), None),
            (29.75, Some(28.0), Some((23.0, 31.0)), Some(TemperatureFault::OffSet { side: hot, by: 1.75 })),
            (31.5, Some(31.0), Some((23.0, 31.0)), Some(TemperatureFault::NotTolerated { side: hot, by: 0.5 })),
            (22.0, None, Some((23.0, 31.0)), Some(TemperatureFault::NotTolerated { side: Side::Cold, by: 1.0 })),
            (12.0, None, None, None),
        ] {
            assert_eq!(temperature_fault(c(read), set.map(c), tolerated), faulty, "{read}");
        }
    }

    #[test]
    fn candling_comes_when_veins_tell_then_rarely_and_not_late() {
        let laid = when("2026-06-01T08:00");
        let july = |d: u32| at(1, 8) + TimeDelta::days(i64::from(d) + 29);
        for (last, look_from, now, expected) in [
            (None, None, at(8, 7), None),
            (None, None, at(8, 8), Some(at(8, 8))),
            // One at pull does not tell.
            (Some(at(1, 9)), None, at(9, 8), Some(at(8, 8))),
            (Some(at(9, 8)), None, at(29, 8), None),
            (Some(at(9, 8)), None, july(8), Some(july(7))),
            (Some(at(9, 8)), Some(july(20)), july(8), None),
        ] {
            assert_eq!(candling_due(laid, last, look_from, &king(), now), expected, "{last:?} {now}");
        }
    }

    #[test]
    fn meals_and_bundles_come_round() {
        assert_eq!(feeding_due(Some(at(1, 8)), at(1, 0), 7, at(8, 7)), None);
        assert_eq!(feeding_due(Some(at(1, 8)), at(1, 0), 7, at(8, 8)), Some(at(8, 8)));
        assert_eq!(feeding_due(None, at(3, 8), 7, at(4, 8)), Some(at(3, 8)));
        assert_eq!(bundle_due(None, None, at(30, 8)), None);
        assert_eq!(bundle_due(None, Some(at(1, 8)), at(8, 8)), Some(at(8, 8)));
        assert_eq!(bundle_due(Some(at(4, 8)), Some(at(1, 8)), at(8, 8)), None);
    }
}
