//! A season drawn many times over, and what is read from the draws.

use super::draws::{BITS, Draws, Normals};
use super::survival::Survival;
use super::timing::{STRAGGLE_DAYS, span};
use super::{Group, Timing};
use crate::path::days;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;

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
}

/// Chance that an egg that has pipped comes out (common practice, no source).
const PIPPED_OUT: f64 = 0.95;
/// Draws at least and at most; between them as many as `ALL` group-draws allow.
const DRAWS: (usize, usize) = (500, 4000);
const ALL: usize = 200_000;

/// Draws a season of `weeks` (1–60) weeks from the Monday before `now`.
///
/// Cost: grows with eggs and draws; draws are fewer where groups are many.
pub fn season(groups: &[Group], now: NaiveDateTime, weeks: usize, seed: u64) -> Season {
    let draws = (ALL / groups.len().max(1)).clamp(DRAWS.0, DRAWS.1);
    season_of(groups, now, weeks, draws, seed)
}

pub(super) fn season_of(groups: &[Group], now: NaiveDateTime, weeks: usize, draws: usize, seed: u64) -> Season {
    let weeks = weeks.clamp(1, 60);
    let from = now.date() - TimeDelta::days(i64::from(chrono::Datelike::weekday(&now.date()).num_days_from_monday()));
    let buckets = weeks + 1;
    let mut drawn = Drawn {
        normals: Normals::new(),
        now: days(now),
        from: days(from.and_time(chrono::NaiveTime::MIN)),
        buckets,
        draws,
        counts: vec![0; 4 * buckets * draws],
        parts: vec![(0, 0); groups.len() * 4 * buckets],
        out: vec![0; groups.len() * draws],
        shared: BTreeMap::new(),
    };
    for (i, group) in groups.iter().enumerate() {
        drawn.group(i, group, seed);
    }
    Season { from, weeks, draws, seed, counts: drawn.counts, parts: drawn.parts, out: drawn.out }
}

struct Drawn {
    normals: Normals,
    /// days since 1970
    now: f64,
    from: f64,
    buckets: usize,
    draws: usize,
    counts: Vec<u16>,
    parts: Vec<(u32, u32)>,
    out: Vec<u16>,
    /// a species' or shelf's luck in each draw
    shared: BTreeMap<String, Rc<[f64]>>,
}

/// Days after a pip, drawn.
#[derive(Clone, Copy)]
struct Delay {
    mean: f64,
    sd: f64,
}

impl Delay {
    fn of((mean, sd): (f64, f64)) -> Self {
        Self { mean, sd: sd.max(1e-6) }
    }

    #[inline(always)]
    fn draw(self, normals: &Normals, r: u64) -> f64 {
        (self.mean + self.sd * normals.at(r)).max(0.0)
    }

    /// Given that it has lasted `so_far` and has not come.
    fn more_than(self, so_far: f64, normals: &Normals, r: u64) -> f64 {
        (self.mean + self.sd * normals.above((so_far - self.mean) / self.sd, r)).max(so_far)
    }
}

/// Where one group's events of one draw are counted.
struct Tally<'a> {
    now: f64,
    from: f64,
    buckets: usize,
    /// this draw's row of the whole barn's counts
    row: &'a mut [u16],
    /// the group's sums over draws, and draws with at least one
    parts: &'a mut [(u32, u32)],
    /// the last draw that had one
    last: &'a mut [u32],
    draw: u32,
    out: &'a mut u16,
}

impl Tally<'_> {
    /// Counts an event at a moment; the last week holds all that is later.
    #[inline(always)]
    fn add(&mut self, event: Event, t: f64) {
        let week = ((t.max(self.now) - self.from) * (1.0 / 7.0)) as usize;
        let cell = event as usize * self.buckets + week.min(self.buckets - 1);
        self.row[cell] = self.row[cell].saturating_add(1);
        self.parts[cell].0 += 1;
        if self.last[cell] != self.draw {
            self.last[cell] = self.draw;
            self.parts[cell].1 += 1;
        }
    }

    /// A baby out, and what follows; `r` holds 33 fresh bits.
    #[inline(always)]
    fn out(&mut self, at: f64, after: &Delays, normals: &Normals, r: u64) {
        *self.out += 1;
        self.add(Event::Out, at);
        self.add(Event::Shed, at + after.shed.draw(normals, r));
        self.add(Event::Meal, at + after.meal.draw(normals, r >> BITS));
    }
}

struct Delays {
    out: Delay,
    shed: Delay,
    meal: Delay,
}

impl Drawn {
    fn luck(&mut self, kind: &str, name: &str, seed: u64) -> Rc<[f64]> {
        let key = format!("{kind}:{name}");
        let (normals, n) = (&self.normals, self.draws);
        let drawn = self.shared.entry(key).or_insert_with_key(|key| {
            let mut draws = Draws::named(seed, key);
            (0..n).map(|_| normals.at(draws.next())).collect()
        });
        drawn.clone()
    }

    fn group(&mut self, i: usize, g: &Group, seed: u64) {
        let species = self.luck("species", &g.species, seed);
        let shelf = self.luck("shelf", &g.shelf, seed);
        let begun = g.timing.begun;
        let survival = Survival::new(g.rate, &g.eggs, begun.map_or(1.0, |b| b.left));
        let kept = (kept(g, &survival) * f64::from(1 << 24)) as u64;
        let out_days = (g.after.out_h.0 / 24.0, g.after.out_h.1 / 24.0);
        let after = Delays {
            out: Delay::of(span(out_days)),
            shed: Delay::of(span(g.after.shed_days)),
            meal: Delay::of(span(g.after.meal_days)),
        };
        let since = |t: NaiveDateTime| (self.now - days(t)).max(0.0);
        let pipped: Vec<f64> = g.pipped.iter().map(|t| since(*t)).collect();
        let young: Vec<(f64, bool, bool)> = g.young.iter().map(|y| (since(y.out), y.shed, y.fed)).collect();
        let [a, b, c] = g.timing.shares;
        let (now, normals, cells) = (self.now, &self.normals, 4 * self.buckets);
        let parts = &mut self.parts[i * cells..(i + 1) * cells];
        let mut last = vec![u32::MAX; cells];
        let mut draws = Draws::named(seed, &g.key);
        let mut eggs: Vec<(f64, u64)> = Vec::new();
        let outs = &mut self.out[i * self.draws..(i + 1) * self.draws];
        for (draw, (row, out)) in self.counts.chunks_exact_mut(cells).zip(outs).enumerate() {
            let (from, buckets, number) = (self.from, self.buckets, draw as u32);
            let mut tally = Tally { now, from, buckets, row, parts, last: &mut last, draw: number, out };
            let r = draws.next();
            let z = a * species[draw] + b * shelf[draw] + c * normals.at(r);
            eggs.clear();
            let mut least = f64::INFINITY;
            survival.each(survival.bin(r >> BITS), normals.at(r >> (BITS + 16)), &mut draws, |r| {
                let e = match begun {
                    None => normals.at(r),
                    Some(b) => since_first(&g.timing, b.floor, b.since, normals, r),
                };
                least = least.min(e);
                eggs.push((e, r >> BITS));
            });
            if !eggs.is_empty() && draws.next() >> 40 < kept {
                // Once begun, an egg's own number is days from now; before, deviations between the eggs.
                let (first, each) = match begun {
                    None => (g.timing.first_at(z) - g.timing.within * least, g.timing.within),
                    Some(_) => (now, 1.0),
                };
                if begun.is_none() {
                    (0..g.boxes).for_each(|_| tally.add(Event::Pip, first + each * least));
                }
                for &(e, r) in &eggs {
                    let pip = (first + each * e).max(now);
                    tally.out(pip + after.out.draw(normals, r), &after, normals, r >> BITS);
                }
            }
            for &so_far in &pipped {
                let r = draws.next();
                if ((r & 0xffff) as f64) < PIPPED_OUT * 65_536.0 {
                    let at = now - so_far + after.out.more_than(so_far, normals, r >> 16);
                    tally.out(at, &after, normals, r >> (16 + BITS));
                }
            }
            for &(so_far, has_shed, fed) in &young {
                let r = draws.next();
                if !has_shed {
                    tally.add(Event::Shed, now - so_far + after.shed.more_than(so_far, normals, r));
                }
                if !fed {
                    tally.add(Event::Meal, now - so_far + after.meal.more_than(so_far, normals, r >> BITS));
                }
            }
        }
    }
}

/// Days from now to the pip of an egg of a clutch that has begun.
fn since_first(timing: &Timing, floor: f64, since: f64, normals: &Normals, r: u64) -> f64 {
    let z = normals.above(floor, r);
    if z > floor {
        return ((z - floor) * timing.within).max(0.0);
    }
    // Where next to none is: a straggler, any day of the week they come in.
    let share = (r & ((1 << BITS) - 1)) as f64 / f64::from(1 << BITS);
    share * (STRAGGLE_DAYS - since).max(0.0)
}

/// Chance that draws with a hatchling stand: there are eggs, and that none has been seen to pip by now speaks for a
/// clutch in which none ever will.
fn kept(g: &Group, survival: &Survival) -> f64 {
    if g.timing.begun.is_some() || g.timing.unseen >= 1.0 {
        return g.laid;
    }
    let none = survival.none();
    let some = (1.0 - none) * g.timing.unseen;
    if some <= 0.0 { 0.0 } else { g.laid * some / (some + none) / (1.0 - none) }
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

    fn out_of(&self, group: usize) -> &[u16] {
        self.out.get(group * self.draws..(group + 1) * self.draws).unwrap_or_default()
    }

    fn drawn(&self, event: Event, week: usize) -> impl Iterator<Item = u16> {
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
mod calibration;
#[cfg(test)]
mod tests;
