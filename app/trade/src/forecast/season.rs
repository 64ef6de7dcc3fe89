//! A season drawn many times over, and what is read from the draws.

use super::Group;
use super::drawing::{Drawn, Fates};
use super::draws::{Draws, Normals};
use crate::luck::Luck;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

/// What is counted in a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Event {
    /// boxes whose first egg pips
    Pip,
    /// babies out
    Out,
    /// first sheds
    Shed,
    /// first meals eaten
    Meal,
}

impl Event {
    pub const ALL: [Self; 4] = [Self::Pip, Self::Out, Self::Shed, Self::Meal];
}

/// A count that is not known yet: expected, and the range it lies in four times of five.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Count {
    pub mean: f64,
    pub low: u32,
    pub high: u32,
}

/// A group's part in a week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Maker {
    /// index of the group
    pub group: usize,
    /// expected number
    pub mean: f64,
    /// chance of at least one
    pub some: f64,
}

/// How likely enough is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enough {
    pub expected: f64,
    pub chance: f64,
}

/// A season as drawn.
#[derive(Clone, Debug)]
pub struct Season {
    /// the first week's first day; weeks follow one another
    pub from: NaiveDate,
    pub weeks: usize,
    /// times it was drawn
    pub draws: usize,
    seed: u64,
    /// by draw, event and week (one more for all that comes later)
    counts: Vec<u16>,
    /// by group, event and week: the sum over draws, and draws with at least one
    parts: Vec<(u32, u32)>,
    /// babies out in all, by group and draw
    out: Vec<u16>,
    fates: Vec<Fates>,
}

/// Draws at least and at most; between them as many as `ALL` group-draws allow.
const DRAWS: (usize, usize) = (500, 4000);
const ALL: usize = 200_000;

/// Draws a season of `weeks` (1–60) weeks from the Monday before `now`, under what is believed of hatch rates.
///
/// Cost: grows with eggs and draws; draws are fewer where groups are many.
pub fn season(groups: &[Group], luck: &Luck, now: NaiveDateTime, weeks: usize, seed: u64) -> Season {
    let draws = (ALL / groups.len().max(1)).clamp(DRAWS.0, DRAWS.1);
    season_of(groups, luck, now, weeks, draws, seed)
}

pub(super) fn season_of(
    groups: &[Group],
    luck: &Luck,
    now: NaiveDateTime,
    weeks: usize,
    draws: usize,
    seed: u64,
) -> Season {
    let weeks = weeks.clamp(1, 60);
    let from = now.date() - TimeDelta::days(i64::from(chrono::Datelike::weekday(&now.date()).num_days_from_monday()));
    let normals = Normals::new();
    let mut drawn = Drawn::new(now, from.and_time(NaiveTime::MIN), weeks, draws, luck, &normals);
    groups.iter().for_each(|group| drawn.group(group, seed));
    let Drawn { counts, parts, out, fates, .. } = drawn;
    Season { from, weeks, draws, seed, counts, parts, out, fates }
}

impl Season {
    /// The first day of a week.
    pub fn week_from(&self, week: usize) -> NaiveDate {
        self.from + TimeDelta::days(7 * week as i64)
    }

    /// Count of an event in a week.
    pub fn week(&self, event: Event, week: usize) -> Count {
        count(self.drawn(event, week).collect())
    }

    /// Count of an event from now to the end of a week.
    pub fn upto(&self, event: Event, week: usize) -> Count {
        count(self.summed(event, week))
    }

    /// Count of an event over the whole season, what comes after its last week included.
    pub fn whole(&self, event: Event) -> Count {
        count(self.summed(event, self.weeks))
    }

    /// Chance that more than `n` of an event come from now to the end of a week.
    pub fn more_than(&self, event: Event, week: usize, n: u32) -> f64 {
        let over = self.summed(event, week).into_iter().filter(|c| u32::from(*c) > n).count();
        over as f64 / self.draws as f64
    }

    /// Which groups make a week, most first; those below a chance of one in a hundred are left out.
    pub fn makers(&self, event: Event, week: usize) -> Vec<Maker> {
        let cells = 4 * (self.weeks + 1);
        let cell = event as usize * (self.weeks + 1) + week;
        let share = |n: u32| f64::from(n) / self.draws as f64;
        let parts = self.parts.chunks_exact(cells).map(|part| part[cell]).enumerate();
        let mut makers: Vec<Maker> = parts
            .map(|(group, (sum, some))| Maker { group, mean: share(sum), some: share(some) })
            .filter(|maker| maker.some >= 0.01)
            .collect();
        makers.sort_by(|a, b| b.mean.total_cmp(&a.mean));
        makers
    }

    /// Babies out of one group, all weeks together.
    pub fn of_group(&self, group: usize) -> Count {
        count(self.out_of(group).to_vec())
    }

    /// How likely at least `wanted` babies are from some groups, when each baby of a group is of the wanted kind with
    /// the chance given beside it.
    pub fn enough(&self, picks: &[(usize, f64)], wanted: u32) -> Enough {
        let mut sums = vec![0u32; self.draws];
        let mut draws = Draws::named(self.seed, "wanted");
        for &(group, chance) in picks {
            for (sum, &n) in sums.iter_mut().zip(self.out_of(group)) {
                for _ in 0..n {
                    let luck = (draws.next() >> 11) as f64 / (1u64 << 53) as f64;
                    *sum += u32::from(luck < chance);
                }
            }
        }
        let all = self.draws as f64;
        Enough {
            expected: sums.iter().map(|&n| f64::from(n)).sum::<f64>() / all,
            chance: sums.iter().filter(|&&n| n >= wanted).count() as f64 / all,
        }
    }

    pub(super) fn groups(&self) -> usize {
        self.fates.len()
    }

    pub(super) fn fate(&self, group: usize) -> &Fates {
        &self.fates[group]
    }

    /// A group's expected count in a week, or in all.
    pub(super) fn mean_of(&self, group: usize, event: Event, week: Option<usize>) -> f64 {
        let buckets = self.weeks + 1;
        let start = (group * 4 + event as usize) * buckets;
        let cells = match week {
            Some(week) => start + week.min(self.weeks)..start + week.min(self.weeks) + 1,
            None => start..start + buckets,
        };
        self.parts[cells].iter().map(|part| f64::from(part.0)).sum::<f64>() / self.draws as f64
    }

    fn out_of(&self, group: usize) -> &[u16] {
        self.out.get(group * self.draws..(group + 1) * self.draws).unwrap_or_default()
    }

    pub(super) fn drawn(&self, event: Event, week: usize) -> impl Iterator<Item = u16> {
        let cell = event as usize * (self.weeks + 1) + week.min(self.weeks);
        self.counts.iter().skip(cell).step_by(4 * (self.weeks + 1)).copied()
    }

    pub(super) fn summed(&self, event: Event, week: usize) -> Vec<u16> {
        let start = event as usize * (self.weeks + 1);
        let rows = self.counts.chunks_exact(4 * (self.weeks + 1));
        rows.map(|row| row[start..=start + week.min(self.weeks)].iter().fold(0u16, |sum, n| sum.saturating_add(*n)))
            .collect()
    }
}

/// Mean and central four fifths of drawn counts.
pub(super) fn count(mut drawn: Vec<u16>) -> Count {
    if drawn.is_empty() {
        return Count { mean: 0.0, low: 0, high: 0 };
    }
    let mean = drawn.iter().map(|&n| f64::from(n)).sum::<f64>() / drawn.len() as f64;
    let cut = drawn.len() / 10;
    let last = drawn.len() - 1 - cut;
    let low = u32::from(*drawn.select_nth_unstable(cut).1);
    let high = u32::from(*drawn.select_nth_unstable(last).1);
    Count { mean, low, high }
}

#[cfg(test)]
mod table;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod worlds;
