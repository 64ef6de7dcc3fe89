//! One clutch after another, drawn many times.

use super::draws::{BITS, Draws, Normals};
use super::season::Event;
use super::survival::{Chances, FULL, Survival};
use super::timing::{STRAGGLE_DAYS, span};
use super::{Group, Timing};
use crate::luck::{Luck, Shared, Shares};
use crate::path::days;
use chrono::NaiveDateTime;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Chance that an egg that has pipped comes out (common practice, no source).
const PIPPED_OUT: f64 = 0.95;
/// A rate so low that no egg hatches.
const NONE: i32 = -1_000_000;

pub(super) struct Drawn<'a> {
    normals: &'a Normals,
    /// days since 1970
    now: f64,
    from: f64,
    buckets: usize,
    draws: usize,
    /// by draw, event and week
    pub counts: Vec<u16>,
    /// by group, event and week: the sum over draws, and draws with at least one
    pub parts: Vec<(u32, u32)>,
    /// by group and draw
    pub out: Vec<u16>,
    pub fates: Vec<Fates>,
    /// a species' or shelf's luck in each draw
    shared: BTreeMap<String, Rc<[f64]>>,
    shares: Shares<'a>,
    chances: Chances,
}

/// What became of one clutch as a whole in each draw: what ranges are explained by.
#[derive(Clone, Debug)]
pub(super) struct Fates {
    pub shared: Shared,
    /// its own luck, in sixteenths of a logit; or one of the two below
    pub own: Vec<i16>,
    /// eggs that may hatch, as expected
    pub eggs: f64,
}

pub(super) const FAILED: i16 = i16::MIN;
pub(super) const NEVER_LAID: i16 = i16::MAX;

/// The later of two moments. `f64::max` also looks for NaN, which no moment here is, and is a function call for each egg.
#[inline(always)]
fn later(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
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
        later(self.mean + self.sd * normals.at(r), 0.0)
    }

    /// Given that it has lasted `so_far` and has not come.
    fn more_than(self, so_far: f64, normals: &Normals, r: u64) -> f64 {
        (self.mean + self.sd * normals.above((so_far - self.mean) / self.sd, r)).max(so_far)
    }
}

/// A group's events of a kind in a week, over all draws; how many draws had one, and which was the last.
#[derive(Clone, Copy)]
struct Cell {
    events: u32,
    draws: u32,
    last: u32,
}

/// Where one group's events of one draw are counted.
struct Tally<'a> {
    now: f64,
    from: f64,
    buckets: usize,
    /// this draw's row of the whole barn's counts
    row: &'a mut [u16],
    /// the group's, over all draws
    parts: &'a mut [Cell],
    draw: u32,
    out: &'a mut u16,
}

impl Tally<'_> {
    /// Counts an event at a moment; the last week holds all that is later.
    #[inline(always)]
    fn add(&mut self, event: Event, t: f64) {
        let week = ((later(t, self.now) - self.from) * (1.0 / 7.0)) as u32;
        let cell = event as usize * self.buckets + (week as usize).min(self.buckets - 1);
        let (Some(all), Some(part)) = (self.row.get_mut(cell), self.parts.get_mut(cell)) else { return };
        *all = all.saturating_add(1);
        part.events += 1;
        if part.last != self.draw {
            part.last = self.draw;
            part.draws += 1;
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

impl<'a> Drawn<'a> {
    /// Nothing yet, of `weeks` weeks and one for all that comes later.
    pub fn new(
        now: NaiveDateTime,
        from: NaiveDateTime,
        weeks: usize,
        draws: usize,
        luck: &Luck,
        normals: &'a Normals,
    ) -> Self {
        Self {
            normals,
            now: days(now),
            from: days(from),
            buckets: weeks + 1,
            draws,
            counts: vec![0; 4 * (weeks + 1) * draws],
            parts: Vec::new(),
            out: Vec::new(),
            fates: Vec::new(),
            shared: BTreeMap::new(),
            shares: Shares::new(luck, draws, normals),
            chances: Chances::new(),
        }
    }

    fn luck(&mut self, kind: &str, name: &str, seed: u64) -> Rc<[f64]> {
        let key = format!("{kind}:{name}");
        let (normals, n) = (&self.normals, self.draws);
        let drawn = self.shared.entry(key).or_insert_with_key(|key| {
            let mut draws = Draws::named(seed, key);
            (0..n).map(|_| normals.at(draws.next())).collect()
        });
        drawn.clone()
    }

    /// What is not known of a species' durations: half of it lies with the keeper (how days are counted, how boxes are
    /// kept) and is the same for all species. No study keeps the two apart.
    fn species_luck(&mut self, species: &str, seed: u64) -> Rc<[f64]> {
        let (keeper, own) = (self.luck("keeper", "", seed), self.luck("species", species, seed));
        keeper.iter().zip(own.iter()).map(|(keeper, own)| (keeper + own) * std::f64::consts::FRAC_1_SQRT_2).collect()
    }

    /// Draws one more clutch.
    pub fn group(&mut self, g: &Group, seed: u64) {
        let species = self.species_luck(&g.of.species, seed);
        let shelf = self.luck("shelf", &g.of.shelf, seed);
        let begun = g.timing.begun;
        let alive = begun.is_some() || !g.pipped.is_empty() || !g.young.is_empty();
        let survival = Survival::new(&g.eggs, begun.map_or(1.0, |b| b.left), alive);
        let shared = self.shares.of(&g.of, &g.key);
        let chances = &self.chances;
        let kept = (kept(g, || self.none(&g.key, &survival, &shared, seed)) * f64::from(1 << 24)) as u64;
        let mut own_luck = Vec::with_capacity(self.draws);
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
        let (now, normals, cells) = (self.now, self.normals, 4 * self.buckets);
        let i = self.fates.len();
        self.out.resize((i + 1) * self.draws, 0);
        let mut parts = vec![Cell { events: 0, draws: 0, last: u32::MAX }; cells];
        let mut draws = Draws::named(seed, &g.key);
        let mut eggs: Vec<(f64, u64)> = Vec::new();
        let outs = &mut self.out[i * self.draws..];
        for (draw, (row, out)) in self.counts.chunks_exact_mut(cells).zip(outs).enumerate() {
            let (from, buckets, number) = (self.from, self.buckets, draw as u32);
            let mut tally = Tally { now, from, buckets, row, parts: &mut parts, draw: number, out };
            let r = draws.next();
            let z = a * species[draw] + b * shelf[draw] + c * normals.at(r);
            eggs.clear();
            let mut least = f64::INFINITY;
            let (rate, own) = shared.rate(draw, normals.at(r >> BITS), alive);
            let failed = survival.fails(shared.fails(draw)) > ((r >> (3 * BITS)) & 0xffff) as u32;
            let stands = draws.next() >> 40 < kept;
            own_luck.push(match () {
                () if !stands => NEVER_LAID,
                () if failed => FAILED,
                () => own as i16,
            });
            let rate = if failed { NONE } else { rate };
            survival.each(chances, rate, normals.at(r >> (2 * BITS)), &mut draws, |r| {
                let e = match begun {
                    None => normals.at(r),
                    Some(b) => since_first(&g.timing, b.floor, b.since, normals, r),
                };
                least = if e < least { e } else { least };
                eggs.push((e, r >> BITS));
            });
            if !eggs.is_empty() && stands {
                // Once begun, an egg's own number is days from now; before, deviations between the eggs.
                let (first, each) = match begun {
                    None => (g.timing.first_at(z) - g.timing.within * least, g.timing.within),
                    Some(_) => (now, 1.0),
                };
                if begun.is_none() {
                    (0..g.boxes).for_each(|_| tally.add(Event::Pip, first + each * least));
                }
                for &(e, r) in &eggs {
                    let pip = later(first + each * e, now);
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
        self.parts.extend(parts.iter().map(|cell| (cell.events, cell.draws)));
        self.fates.push(Fates { shared, own: own_luck, eggs: survival.count() });
    }

    /// Chance that none of a clutch hatches.
    fn none(&self, key: &str, survival: &Survival, shared: &Shared, seed: u64) -> f64 {
        let mut draws = Draws::named(seed, &format!("none:{key}"));
        let of = |draw| {
            let fails = f64::from(survival.fails(shared.fails(draw))) / FULL;
            let (rate, _) = shared.rate(draw, self.normals.at(draws.next()), false);
            fails + (1.0 - fails) * survival.none(&self.chances, rate)
        };
        (0..self.draws).map(of).sum::<f64>() / self.draws as f64
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
fn kept(g: &Group, none: impl FnOnce() -> f64) -> f64 {
    if g.timing.begun.is_some() || g.timing.unseen >= 1.0 {
        return g.laid;
    }
    let none = none();
    let some = (1.0 - none) * g.timing.unseen;
    if some <= 0.0 { 0.0 } else { g.laid * some / (some + none) / (1.0 - none) }
}
