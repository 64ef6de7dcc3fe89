//! A place's temperature over time, from its readings and its set point, and the development it gives.

use crate::journey::ASSUMED_C;
use crate::response::{Model, basis, basis_slope};
use crate::species::Profile;
use crate::units::Temp;
use chrono::{NaiveDateTime, TimeDelta};

/// One reading, as the thermometer showed it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    pub at: NaiveDateTime,
    pub temp: Temp,
}

/// Between two readings further apart than this the set point is assumed; nearer ones are joined by a line (our choice, no
/// source).
pub const GAP_HOURS: i64 = 36;
/// How long a reading stands for its shelf where none is near (our choice, no source).
pub const HOLD_HOURS: i64 = 12;

/// A reading is odd when it lies further than this, °C, from the middle of those around it, and further than these
/// themselves lie apart, times [`ODD_TIMES`] (our choice, no source). It may be a slip, or a short truth: half of what it
/// stands out by counts, the other half is not known.
pub const ODD_C: f64 = 1.5;
const ODD_TIMES: f64 = 3.0;

/// What each reading stands out by from up to two on either side, °C; 0 for those that fit. Two that stand out alike
/// next to each other bear each other out: neither is odd.
fn standing_out(sorted: &[(NaiveDateTime, f64)]) -> Vec<f64> {
    let joined = |i: usize| sorted[i].0 - sorted[i - 1].0 <= TimeDelta::hours(GAP_HOURS);
    let one = |i: usize| {
        let before = (1..=2).take_while(|k| *k <= i && joined(i + 1 - k)).map(|k| i - k);
        let after = (1..=2).take_while(|k| i + k < sorted.len() && joined(i + k)).map(|k| i + k);
        let (mut around, mut n) = ([0.0; 4], 0);
        for k in before.chain(after) {
            around[n] = sorted[k].1;
            n += 1;
        }
        if n < 2 {
            return 0.0;
        }
        let around = &mut around[..n];
        // Four at most: the library's sort would be more code than all of this.
        for last in 1..n {
            let mut at = last;
            while at > 0 && around[at - 1] > around[at] {
                around.swap(at - 1, at);
                at -= 1;
            }
        }
        let middle = 0.5 * (around[(n - 1) / 2] + around[n / 2]);
        let off = sorted[i].1 - middle;
        if off.abs() > ODD_C.max(ODD_TIMES * (around[n - 1] - around[0])) { off } else { 0.0 }
    };
    (0..sorted.len()).map(one).collect()
}

const EPOCH: NaiveDateTime = chrono::DateTime::UNIX_EPOCH.naive_utc();

/// Days since 1970-01-01, the clock of all sums here.
pub(crate) fn days(t: NaiveDateTime) -> f64 {
    (t - EPOCH).num_milliseconds() as f64 / 86_400_000.0
}

/// The way back, to the nearest minute.
pub(crate) fn moment(days: f64) -> NaiveDateTime {
    let minutes = (days.clamp(-1e6, 1e6) * 1440.0).round() as i64;
    EPOCH + TimeDelta::minutes(minutes)
}

/// A stretch of time over which the temperature runs in a line. Temperatures in °C, times in days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub from: f64,
    pub to: f64,
    pub c0: f64,
    pub c1: f64,
    /// what is taken off each end before it counts: half of what an odd reading stands out by
    pub off: (f64, f64),
    /// the set point stood in for readings
    pub assumed: bool,
}

impl Piece {
    /// °C that count at a share of its way.
    fn counted(&self, share: f64) -> f64 {
        let (c0, c1) = (self.c0 - self.off.0, self.c1 - self.off.1);
        c0 + (c1 - c0) * share
    }
}

/// A place's temperature: in the past as read, in gaps and in the future as set.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    pub(crate) pieces: Vec<Piece>,
    /// °C before the first piece and after the last
    pub(crate) before: f64,
    pub(crate) rest: f64,
    /// readings that do not fit those around them, in order of time
    odd: Vec<Reading>,
    /// how many times [`crate::journey::ASSUMED_C`] what is assumed may lie off
    vague: f64,
}

/// What a place is set to over time.
#[derive(Clone, Copy, Debug, Default)]
pub struct SetTo<'a> {
    /// before the first change; `None` when that is not known: then the first change counts for the time before it
    pub first: Option<Temp>,
    /// changes, in order of time
    pub then: &'a [(NaiveDateTime, Temp)],
}

impl SetTo<'_> {
    /// °C set at `t` (days).
    fn at(&self, t: f64) -> Option<f64> {
        let changed = self.then.iter().rev().find(|c| days(c.0) <= t);
        let set = changed.map(|c| c.1).or(self.first).or(self.then.first().map(|c| c.1));
        set.map(Temp::celsius)
    }
}

/// A stretch of a plot: the lowest and highest °C in it, and whether anything in it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    pub from: NaiveDateTime,
    pub to: NaiveDateTime,
    pub low: f64,
    pub high: f64,
    /// false: the set point, assumed
    pub read: bool,
}

/// Why no path can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoTemperature;

impl std::fmt::Display for NoTemperature {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("nothing is known of this place's temperature: enter its set point or one reading")
    }
}

impl std::error::Error for NoTemperature {}

impl Path {
    /// A place that keeps one temperature, of which no reading is known.
    pub fn steady(set: Temp) -> Self {
        Self { pieces: Vec::new(), before: set.celsius(), rest: set.celsius(), odd: Vec::new(), vague: 1.0 }
    }

    /// Eggs of which nothing is known but their species: at what it is kept at, off by half the width of what it tolerates,
    /// as a standard deviation (our choice, no source). `None` where the figures are no temperatures.
    pub fn as_kept(species: &Profile) -> Option<Self> {
        let vague = off_as_kept(species) / ASSUMED_C;
        Some(Self { vague, ..Self::steady(Temp::from_celsius(species.shelf_c)?) })
    }

    /// As [`Path::dated`], for a place whose set point never changed.
    pub fn new(readings: &[Reading], set: Option<Temp>, offset: Temp) -> Result<Self, NoTemperature> {
        Self::dated(readings, SetTo { first: set, then: &[] }, offset)
    }

    /// From a place's readings (any order; of two at one moment the later given counts), its set points and the
    /// known `offset` of its thermometer, which is added to every reading (not to the set point).
    ///
    /// Gaps and the future take what the place was set to at the time. Without any set point the mean of the last
    /// three days read stands for them.
    pub fn dated(readings: &[Reading], set: SetTo, offset: Temp) -> Result<Self, NoTemperature> {
        let mut sorted: Vec<(NaiveDateTime, f64)> =
            readings.iter().map(|r| (r.at, f64::from(r.temp.0.saturating_add(offset.0)) / 100.0)).collect();
        crate::order::sort(&mut sorted, |r| r.0);
        sorted.reverse();
        sorted.dedup_by_key(|r| r.0);
        sorted.reverse();
        let off = standing_out(&sorted);
        let recent = |last: (NaiveDateTime, f64)| {
            let near = sorted.iter().zip(&off).filter(|(r, off)| r.0 > last.0 - TimeDelta::days(3) && **off == 0.0);
            let near: Vec<f64> = near.map(|(r, _)| r.1).collect();
            if near.is_empty() { last.1 } else { near.iter().sum::<f64>() / near.len() as f64 }
        };
        let usual = match (set.at(f64::INFINITY), sorted.last()) {
            (Some(c), _) => c,
            (None, Some(last)) => recent(*last),
            (None, None) => return Err(NoTemperature),
        };
        let before = set.at(f64::NEG_INFINITY).unwrap_or(usual);
        let odd = sorted.iter().zip(&off).filter(|(_, off)| **off != 0.0);
        let shown = |c: f64| Temp((c * 100.0).round() as i32 - offset.0);
        let odd = odd.map(|(r, _)| Reading { at: r.0, temp: shown(r.1) }).collect();
        let mut path = Self { pieces: Vec::with_capacity(sorted.len() + 2), before, rest: usual, odd, vague: 1.0 };
        let fill = Fill { set, usual };
        let hold = HOLD_HOURS as f64 / 24.0;
        for (i, &(at, c)) in sorted.iter().enumerate() {
            let t = days(at);
            let near = i > 0 && at - sorted[i - 1].0 <= TimeDelta::hours(GAP_HOURS);
            if near {
                path.push(t, sorted[i - 1].1, c, false);
                if let Some(last) = path.pieces.last_mut() {
                    last.off = (0.5 * off[i - 1], 0.5 * off[i]);
                }
            } else {
                path.fill(t - hold, &fill);
                path.push(t, c, c, false);
            }
            let alone = sorted.get(i + 1).is_none_or(|next| next.0 - at > TimeDelta::hours(GAP_HOURS));
            if alone {
                path.push(t + hold, c, c, false);
            }
        }
        // A change after the last reading is still to come on the path.
        if let Some(last) = set.then.last() {
            path.fill(days(last.0), &fill);
        }
        Ok(path)
    }

    /// Fills with the set point up to `t`, where a run of readings begins.
    fn fill(&mut self, t: f64, fill: &Fill) {
        if self.pieces.is_empty() {
            let from = fill.set.then.first().map_or(t, |c| days(c.0).min(t));
            self.pieces.push(Piece {
                from,
                to: from,
                c0: self.before,
                c1: self.before,
                off: (0.0, 0.0),
                assumed: true,
            });
        }
        let from = self.pieces.last().map_or(t, |p| p.to);
        let changes = fill.set.then.iter().map(|c| days(c.0)).filter(|&c| from < c && c < t);
        for to in changes.chain([t]) {
            let since = self.pieces.last().map_or(to, |p| p.to);
            let c = fill.set.at(since).unwrap_or(fill.usual);
            self.push(to, c, c, true);
        }
    }

    fn push(&mut self, to: f64, c0: f64, c1: f64, assumed: bool) {
        if let Some(last) = self.pieces.last() {
            let from = last.to;
            if to > from {
                self.pieces.push(Piece { from, to, c0, c1, off: (0.0, 0.0), assumed });
            }
        }
    }

    /// The temperature at a moment, °C, and whether it was read (false: assumed from the set point).
    pub fn at(&self, t: NaiveDateTime) -> (f64, bool) {
        let t = days(t);
        let i = self.pieces.partition_point(|p| p.to < t);
        match self.pieces.get(i) {
            Some(p) if t >= p.from && p.to > p.from => {
                (p.c0 + (p.c1 - p.c0) * (t - p.from) / (p.to - p.from), !p.assumed)
            }
            Some(p) if t < p.from => (self.before, false),
            _ => (self.rest, false),
        }
    }

    /// The path from `from` to `to` in at most `most` strokes of one length, for a plot. Nothing a reading showed is
    /// smoothed away: a spike is in the height of its stroke.
    pub fn sketch(&self, from: NaiveDateTime, to: NaiveDateTime, most: usize) -> Vec<Stroke> {
        let (start, end) = (days(from), days(to));
        if end <= start || most == 0 {
            return Vec::new();
        }
        let step = (end - start) / most as f64;
        let mut i = self.pieces.partition_point(|p| p.to <= start);
        let strokes = (0..most).map(|k| {
            let (a, b) = (start + step * k as f64, start + step * (k + 1) as f64);
            let mut seen: [Option<(f64, f64)>; 2] = [None, None];
            let mut add = |read: bool, c: f64| {
                let (low, high) = seen[usize::from(read)].unwrap_or((c, c));
                seen[usize::from(read)] = Some((low.min(c), high.max(c)));
            };
            while let Some(p) = self.pieces.get(i).filter(|p| p.from < b) {
                for t in [p.from.max(a), p.to.min(b)] {
                    let share = if p.to > p.from { (t - p.from) / (p.to - p.from) } else { 0.0 };
                    add(!p.assumed, p.c0 + (p.c1 - p.c0) * share);
                }
                if p.to > b {
                    break;
                }
                i += 1;
            }
            let (low, high, read) = match seen {
                [_, Some((low, high))] => (low, high, true),
                [Some((low, high)), None] => (low, high, false),
                [None, None] => {
                    let c = if self.pieces.first().is_some_and(|p| b <= p.from) { self.before } else { self.rest };
                    (c, c, false)
                }
            };
            Stroke { from: moment(a), to: moment(b), low, high, read }
        });
        strokes.collect()
    }

    /// Readings, as shown, that do not fit those around them: worth a look. Half of what they stand out by counts.
    pub fn odd(&self) -> &[Reading] {
        &self.odd
    }

    /// °C assumed where nothing was read.
    pub fn assumed(&self) -> f64 {
        self.rest
    }
}

/// °C that eggs may lie off what their species is kept at, where nothing else is known of them.
pub fn off_as_kept(species: &Profile) -> f64 {
    0.5 * (species.tolerated.1 - species.tolerated.0)
}

/// What gaps are filled with.
struct Fill<'a> {
    set: SetTo<'a>,
    /// °C where nothing is set
    usual: f64,
}

/// Sums over time from the track's beginning.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Sums {
    /// development: 1 is a first pip
    pub dev: f64,
    /// development × x and × h(x)
    pub x: f64,
    pub h: f64,
    /// development × d ln D/dT, over all and over what was assumed, there times how vague that is
    pub slope: f64,
    pub assumed_slope: f64,
    /// development × d ln D/dT × °C by which odd readings may be wrong either way
    pub odd: f64,
    /// development counted outside the species' limits
    pub outside: f64,
    /// days outside the limits, days read, degree-days read
    pub outside_days: f64,
    pub read_days: f64,
    pub read_degrees: f64,
}

impl Sums {
    fn times(self, k: f64) -> Self {
        self.zip(self, |a, _| a * k)
    }

    #[inline(always)]
    fn zip(self, o: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            dev: f(self.dev, o.dev),
            x: f(self.x, o.x),
            h: f(self.h, o.h),
            slope: f(self.slope, o.slope),
            assumed_slope: f(self.assumed_slope, o.assumed_slope),
            odd: f(self.odd, o.odd),
            outside: f(self.outside, o.outside),
            outside_days: f(self.outside_days, o.outside_days),
            read_days: f(self.read_days, o.read_days),
            read_degrees: f(self.read_degrees, o.read_degrees),
        }
    }
}

/// Half the distance of Gauss's two points, of a step of 1: 1/(2√3).
const GAUSS: f64 = 0.288_675_134_594_812_9;

impl std::ops::Add for Sums {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        self.zip(o, |a, b| a + b)
    }
}

impl std::ops::Sub for Sums {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        self.zip(o, |a, b| a - b)
    }
}

/// A place's path summed up under one species' response: what every box on that shelf shares.
///
/// Made once per (place, species) and kept; a new reading makes this anew ([`Track::extend`] when it is the
/// newest), never the boxes'. Learning does not touch it.
#[derive(Clone, Debug)]
pub struct Track {
    pub(crate) path: Path,
    start: [f64; 3],
    limits: (f64, f64),
    /// sums at the beginning of each piece, and one more at the end
    sums: Vec<Sums>,
    /// what a day at rest adds, before the first piece and after the last
    before: Sums,
    rest: Sums,
}

impl Track {
    /// Sums a path up. Linear in the number of readings.
    pub fn new(path: Path, model: &Model) -> Self {
        let mut sums = Vec::with_capacity(path.pieces.len() + 1);
        sums.push(Sums::default());
        let mut track = Self {
            path,
            start: model.start,
            limits: model.limits,
            sums,
            before: Sums::default(),
            rest: Sums::default(),
        };
        track.sum_from(0);
        track
    }

    /// The same place after new readings: only what changed is summed again.
    pub fn extend(&mut self, path: Path) {
        let same = self.path.pieces.iter().zip(&path.pieces).take_while(|(a, b)| a == b).count();
        self.path = path;
        self.sums.truncate(same + 1);
        self.sum_from(same);
    }

    /// The path it was summed over.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Development between two moments under the figures as first believed: 1 is the median from lay to first pip.
    pub fn development(&self, from: NaiveDateTime, to: NaiveDateTime) -> f64 {
        self.until(days(to)).dev - self.until(days(from)).dev
    }

    fn sum_from(&mut self, first: usize) {
        self.before = self.rate(self.path.before, true);
        self.rest = self.rate(self.path.rest, true);
        let mut at = self.sums.last().copied().unwrap_or_default();
        for i in first..self.path.pieces.len() {
            let p = self.path.pieces[i];
            at = at + self.along(&p, 1.0);
            self.sums.push(at);
        }
    }

    /// Sums over a share of a piece, from its beginning.
    fn along(&self, p: &Piece, share: f64) -> Sums {
        let mut sums = self.over(p.counted(0.0), p.counted(share), (p.to - p.from) * share, p.assumed);
        if p.off != (0.0, 0.0) {
            let off = p.off.0 + 0.5 * (p.off.1 - p.off.0) * share;
            sums.odd = sums.slope * off.abs();
        }
        sums
    }

    /// Sums over `days` while the temperature runs from `c0` to `c1`.
    fn over(&self, c0: f64, c1: f64, days: f64, assumed: bool) -> Sums {
        let run = c1 - c0;
        // A tenth of a degree bends nothing: the middle is right to seconds in a season.
        if run.abs() <= 0.1 {
            return self.rate(c0 + 0.5 * run, assumed).times(days);
        }
        // Gauss's two points, in steps of at most 1 °C: right to seconds in a season too.
        let steps = run.abs().ceil().min(64.0);
        let mut total = Sums::default();
        for k in 0..steps as u32 {
            for f in [0.5 - GAUSS, 0.5 + GAUSS] {
                total = total + self.rate(c0 + run * (f64::from(k) + f) / steps, assumed);
            }
        }
        total.times(0.5 * days / steps)
    }

    /// What a day at this temperature adds.
    ///
    /// Outside the limits the curve is not known: development is taken as at the nearer limit on the warm side and
    /// along the curve's own slope on the cool side, and all of it is marked as outside.
    fn rate(&self, celsius: f64, assumed: bool) -> Sums {
        let c = celsius.clamp(self.limits.0, self.limits.1);
        let (f, g) = (basis(c), basis_slope(c));
        let slope = self.start[1] * g[1] + self.start[2] * g[2];
        let past = (celsius - c).min(0.0);
        let dev = (-(self.start[0] + self.start[1] * f[1] + self.start[2] * f[2] + slope * past)).exp();
        let (out, read) = (f64::from(c != celsius), f64::from(!assumed));
        Sums {
            dev,
            x: dev * f[1],
            h: dev * f[2],
            slope: dev * slope,
            assumed_slope: dev * slope * (1.0 - read) * self.path.vague,
            odd: 0.0,
            outside: dev * out,
            outside_days: out,
            read_days: read,
            read_degrees: read * celsius,
        }
    }

    /// Sums up to `t` (days). Before the first piece and after the last the place rests at its set point.
    pub(crate) fn until(&self, t: f64) -> Sums {
        let pieces = &self.path.pieces;
        let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else {
            return self.rest.times(t);
        };
        if t <= first.from {
            return self.before.times(t - first.from);
        }
        if t >= last.to {
            return self.sums[pieces.len()] + self.rest.times(t - last.to);
        }
        let i = pieces.partition_point(|p| p.to <= t);
        let p = pieces[i];
        self.sums[i] + self.along(&p, (t - p.from) / (p.to - p.from))
    }

    /// The moment (days, not before `from`) at which development since the track's beginning reaches `dev`.
    pub(crate) fn when_reaches(&self, dev: f64) -> f64 {
        let pieces = &self.path.pieces;
        let rest = self.rest.dev;
        let Some(last) = pieces.last() else { return dev / rest };
        let i = self.sums.partition_point(|s| s.dev < dev);
        if i == 0 {
            return pieces[0].from + (dev - self.sums[0].dev) / self.before.dev;
        }
        if i == self.sums.len() {
            return last.to + (dev - self.sums[i - 1].dev) / rest;
        }
        // Inside one piece: the rate hardly changes over it, so a few false-position steps settle.
        let p = pieces[i - 1];
        let (mut lo, mut hi) = (p.from, p.to);
        let (mut flo, mut fhi) = (self.sums[i - 1].dev - dev, self.sums[i].dev - dev);
        for _ in 0..30 {
            let t = lo - flo * (hi - lo) / (fhi - flo);
            let f = self.until(t).dev - dev;
            if f.abs() < 1e-9 || hi - lo < 1e-6 {
                return t;
            }
            if f < 0.0 {
                (lo, flo, fhi) = (t, f, fhi * 0.5)
            } else {
                (hi, fhi, flo) = (t, f, flo * 0.5)
            }
            if flo == fhi {
                break;
            }
        }
        0.5 * (lo + hi)
    }
}

#[cfg(test)]
mod tests;
