//! Finder patterns in a black-and-white picture, and which three of them may belong to one code.

use crate::grey::View;

/// The three-square mark in a code's corner, as found.
#[derive(Clone, Copy, Debug)]
pub struct Finder {
    /// Centre, in pixels of the whole image.
    pub x: f32,
    pub y: f32,
    /// Width over seven modules, the mean of across and down, in pixels.
    pub size: f32,
    /// Dark on light; the other way round in an inverted code.
    pub dark: bool,
    /// How many scan lines met it.
    pub hits: u32,
    /// Grey value half way between its dark and its light.
    pub mid: f32,
}

/// Finders kept of one picture, those met by most lines for their size first.
const KEEP: usize = 36;
/// Crossings looked at in one picture: a picture of nothing but stripes has a hundred thousand.
const CROSSINGS: usize = 20_000;

/// Whether five runs are as 1:1:3:1:1, within what blur and tilt do.
fn ratio(runs: &[f32; 5]) -> bool {
    let module = runs.iter().sum::<f32>() / 7.0;
    if module < 0.9 {
        return false;
    }
    let slack = 0.5 * module + 0.5;
    let near = |run: f32, modules: f32| (run - modules * module).abs() < slack * modules.sqrt();
    near(runs[0], 1.0)
        && near(runs[1], 1.0)
        && near(runs[2], 3.0)
        && near(runs[3], 1.0)
        && near(runs[4], 1.0)
        && runs[2] > runs[1].max(runs[3])
}

struct Picture<'a> {
    black: &'a [u8],
    w: usize,
    h: usize,
}

impl Picture<'_> {
    /// The five runs through a point along (`dx`, `dy`), and the middle of the third relative to the point.
    fn cross(&self, x: usize, y: usize, dx: isize, dy: isize, dark: bool, limit: usize) -> Option<([f32; 5], f32)> {
        let colour = u8::from(dark);
        let at = |x: isize, y: isize| {
            (x >= 0 && y >= 0 && x < self.w as isize && y < self.h as isize)
                .then(|| self.black[y as usize * self.w + x as usize])
        };
        let (px, py) = (x as isize, y as isize);
        if at(px, py)? != colour {
            return None;
        }
        let arm = |sign: isize| -> Option<[usize; 3]> {
            let mut runs = [0; 3];
            let mut step = 1;
            for (k, run) in runs.iter_mut().enumerate() {
                let want = if k == 1 { 1 - colour } else { colour };
                while at(px + sign * dx * step, py + sign * dy * step) == Some(want) {
                    *run += 1;
                    step += 1;
                    if *run > limit {
                        return None;
                    }
                }
                if *run == 0 && k > 0 {
                    return None;
                }
            }
            Some(runs)
        };
        let (back, ahead) = (arm(-1)?, arm(1)?);
        let runs = [back[2], back[1], back[0] + 1 + ahead[0], ahead[1], ahead[2]].map(|r| r as f32);
        Some((runs, (ahead[0] as f32 - back[0] as f32) / 2.0))
    }

    /// The finder around a crossing, if lines across and down agree.
    fn confirm(&self, x: f32, y: usize, across: f32, dark: bool) -> Option<(f32, f32, f32)> {
        let limit = (across * 1.6) as usize + 2;
        let column = (x as usize).min(self.w - 1);
        let (runs, shift) = self.cross(column, y, 0, 1, dark, limit)?;
        let down = runs.iter().sum::<f32>();
        if !ratio(&runs) || down > 3.0 * across || across > 3.0 * down {
            return None;
        }
        let cy = y as f32 + 0.5 + shift;
        let row = (cy as usize).min(self.h - 1);
        let (runs, shift) = self.cross(column, row, 1, 0, dark, limit)?;
        if !ratio(&runs) {
            return None;
        }
        let across = runs.iter().sum::<f32>();
        Some((column as f32 + 0.5 + shift, cy, (across + down) / 2.0))
    }
}

/// How many pixels from the first on are like it.
fn same_from(row: &[u8]) -> usize {
    let Some(&first) = row.first() else { return 0 };
    let long = row.chunks_exact(8).take_while(|chunk| **chunk == [first; 8]).count() * 8;
    long + row[long..].iter().take_while(|&&pixel| pixel == first).count()
}

/// Adds the finders of a black-and-white picture to those already known; `scale` is whole-image pixels per pixel of
/// the picture, `every` the step between scan lines.
pub fn find(black: &[u8], w: usize, h: usize, scale: f32, every: usize, whole: View<'_>, known: &mut Vec<Finder>) {
    let picture = Picture { black, w, h };
    let mut found: Vec<Finder> = vec![];
    // Those that lines may still meet.
    let mut near: Vec<usize> = vec![];
    let mut crossings = 0;
    for y in (every / 2..h).step_by(every.max(1)) {
        near.retain(|&i| found[i].y + found[i].size > y as f32);
        let row = &black[y * w..(y + 1) * w];
        let mut runs = [0.0_f32; 5];
        let mut start = 0;
        while start < w {
            let x = start + same_from(&row[start..]);
            runs = [runs[1], runs[2], runs[3], runs[4], (x - start) as f32];
            let dark = row[start] == 1;
            start = x;
            if runs[0] == 0.0 || runs[2] <= runs[1] || runs[2] <= runs[3] || !ratio(&runs) {
                continue;
            }
            crossings += 1;
            if crossings > CROSSINGS {
                break;
            }
            let across = runs.iter().sum::<f32>();
            let cx = x as f32 - runs[4] - runs[3] - runs[2] / 2.0;
            let same = |f: &Finder, x: f32, y: f32| {
                f.dark == dark && (f.x - x).abs() < f.size * 0.25 && (f.y - y).abs() < f.size * 0.25
            };
            if let Some(&i) = near.iter().find(|&&i| same(&found[i], cx, y as f32 + 0.5)) {
                found[i].hits += 1;
                continue;
            }
            let Some((fx, fy, size)) = picture.confirm(cx, y, across, dark) else { continue };
            if let Some(&i) = near.iter().find(|&&i| same(&found[i], fx, fy)) {
                found[i].hits += 1;
            } else if found.len() < 400 {
                near.push(found.len());
                found.push(Finder { x: fx, y: fy, size, dark, hits: 1, mid: 0.0 });
            }
        }
    }
    // A real one is met by about three modules' worth of lines; text and stripes by one or two.
    found.sort_by(|a, b| (b.hits as f32 / b.size.sqrt()).total_cmp(&(a.hits as f32 / a.size.sqrt())));
    found.truncate(KEEP);
    for mut f in found {
        (f.x, f.y, f.size) = (f.x * scale, f.y * scale, f.size * scale);
        f.mid = middle_grey(whole, &f);
        if let Some(old) =
            known.iter_mut().find(|k| k.dark == f.dark && (k.x - f.x).hypot(k.y - f.y) < 0.3 * k.size.max(f.size))
        {
            old.hits += f.hits;
        } else if known.len() < 2 * KEEP {
            known.push(f);
        }
    }
}

/// Half way between a finder's middle and the ring around it, as far as blur lets that ring be seen.
fn middle_grey(whole: View<'_>, f: &Finder) -> f32 {
    let sign = if f.dark { 1.0 } else { -1.0 };
    let core = whole.at(f.x, f.y);
    let ring: f32 = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)]
        .iter()
        .map(|(dx, dy)| {
            let along = |i: usize| {
                let d = f.size * (0.16 + 0.04 * i as f32);
                sign * whole.at(f.x + dx * d, f.y + dy * d)
            };
            sign * (0..6).map(along).fold(f32::MIN, f32::max) / 4.0
        })
        .sum();
    (core + ring) / 2.0
}

/// Three finders that may belong to one code.
#[derive(Clone, Copy, Debug)]
pub struct Triple {
    pub top_left: Finder,
    pub top_right: Finder,
    pub bottom_left: Finder,
    /// Modules a side, at least and at most, as the distances have it two ways; not yet sizes that exist.
    pub modules: (f32, f32),
    /// Lower is likelier.
    pub doubt: f32,
    /// The one that was not seen but guessed from the other two: 0 = top left, 1 = top right, 2 = bottom left.
    pub guessed: Option<usize>,
}

impl Triple {
    /// Length of a module in pixels, roughly.
    pub fn module(&self) -> f32 {
        (self.top_left.size + self.top_right.size + self.bottom_left.size) / 21.0
    }

    /// How far the code's middle is from a point, in pixels.
    pub fn distance(&self, x: f32, y: f32) -> f32 {
        let (a, b) = (&self.top_right, &self.bottom_left);
        ((a.x + b.x) / 2.0 - x).hypot((a.y + b.y) / 2.0 - y)
    }
}

/// Length of a module seen from a finder along a direction: to its outer edges both ways.
fn module_along(whole: View<'_>, f: &Finder, dx: f32, dy: f32) -> f32 {
    let arm = |sign: f32| -> Option<f32> {
        let (limit, step) = (f.size, (f.size / 40.0).max(0.4));
        let (mut edges, mut before, mut at) = (0, f32::NAN, 0.0);
        let mut inside = true;
        while at < limit {
            let v = whole.at(f.x + sign * dx * at, f.y + sign * dy * at);
            let now = (v < f.mid) == f.dark;
            if at > 0.0 && now != inside {
                edges += 1;
                if edges == 3 {
                    let share = if v == before { 0.0 } else { (f.mid - before) / (v - before) };
                    return Some(at - step + step * share);
                }
            }
            inside = now;
            before = v;
            at += step;
        }
        None
    };
    match (arm(1.0), arm(-1.0)) {
        (Some(a), Some(b)) => (a + b) / 7.0,
        (Some(a), None) | (None, Some(a)) => a / 3.5,
        (None, None) => f.size / 7.0,
    }
}

/// Length of a module along a code's side, taken from the width across and down.
fn module_across(f: &Finder, dx: f32, dy: f32) -> f32 {
    f.size / 7.0 * dx.abs().max(dy.abs())
}

/// Doubt from which three finders are not taken for a code.
const DOUBT: f32 = 1.9;

/// The likeliest triples, at most `keep`, likeliest first, of finders at most `span` modules apart.
pub fn triples(whole: View<'_>, finders: &[Finder], keep: usize, span: f32) -> Vec<Triple> {
    let n = finders.len();
    // Distance from a to b in modules as seen from a, at [a × n + b]: to its edges, and by its width.
    let mut modules = vec![[0.0_f32; 2]; n * n];
    for a in 0..n {
        for b in 0..n {
            let (f, g) = (&finders[a], &finders[b]);
            let (dx, dy) = (g.x - f.x, g.y - f.y);
            let distance = dx.hypot(dy);
            let alike = a != b && f.dark == g.dark && f.size < 2.4 * g.size && g.size < 2.4 * f.size;
            if alike && distance > f.size * 1.2 && distance < f.size * span * 11.0 / 60.0 {
                let (dx, dy) = (dx / distance, dy / distance);
                modules[a * n + b] =
                    [module_along(whole, f, dx, dy), module_across(f, dx, dy)].map(|m| distance / m.max(0.5));
            }
        }
    }
    let mut out: Vec<Triple> = vec![];
    for a in 0..n {
        for b in 0..n {
            for c in b + 1..n {
                let sides = [(a, b), (b, a), (a, c), (c, a)].map(|(p, q)| modules[p * n + q]);
                if sides.iter().any(|s| s[0] == 0.0) {
                    continue;
                }
                let (mut p, mut q) = (finders[b], finders[c]);
                let t = finders[a];
                let cross = (p.x - t.x) * (q.y - t.y) - (p.y - t.y) * (q.x - t.x);
                let cosine = ((p.x - t.x) * (q.x - t.x) + (p.y - t.y) * (q.y - t.y))
                    / ((p.x - t.x).hypot(p.y - t.y) * (q.x - t.x).hypot(q.y - t.y));
                if cross < 0.0 {
                    std::mem::swap(&mut p, &mut q);
                }
                let (mut low, mut high, mut doubt) = (f32::MAX, 0.0_f32, f32::MAX);
                for way in 0..2 {
                    let s = sides.map(|s| s[way]);
                    let (s1, s2) = ((s[0] + s[1]) / 2.0, (s[2] + s[3]) / 2.0);
                    let uneven = (s1 / s2).ln().abs();
                    let lopsided = (s[0] / s[1]).ln().abs() + (s[2] / s[3]).ln().abs();
                    let mean = (s1 + s2) / 2.0;
                    if (11.0..=span).contains(&mean) && uneven < 0.5 {
                        low = low.min(mean);
                        high = high.max(mean);
                        doubt = doubt.min(2.0 * uneven + lopsided + 0.7 * cosine.abs());
                    }
                }
                if doubt < DOUBT && cosine.abs() < 0.85 {
                    let modules = (low + 7.0, high + 7.0);
                    out.push(Triple { top_left: t, top_right: p, bottom_left: q, modules, doubt, guessed: None });
                }
            }
        }
    }
    out.sort_by(|a, b| a.doubt.total_cmp(&b.doubt));
    out.truncate(keep);
    out
}

/// Pairs of finders taken on for guessing the third, the best-seen first.
const PAIRS: usize = 8;

/// Where the third finder may be when dirt or glare hides it: each pair taken as a side or as the diagonal of a code
/// seen straight on.
pub fn pairs(whole: View<'_>, finders: &[Finder]) -> Vec<Triple> {
    let mut sides: Vec<(f32, Finder, Finder, f32)> = vec![];
    for (i, a) in finders.iter().enumerate() {
        for b in &finders[i + 1..] {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let distance = dx.hypot(dy);
            if a.dark != b.dark || a.size > 1.5 * b.size || b.size > 1.5 * a.size || distance < 1.5 * a.size {
                continue;
            }
            let (ux, uy) = (dx / distance, dy / distance);
            let (from_a, from_b) = (module_along(whole, a, ux, uy), module_along(whole, b, ux, uy));
            let modules = 2.0 * distance / (from_a + from_b).max(1.0);
            if !(12.5..=70.0).contains(&modules) || (from_a / from_b).ln().abs() > 0.35 {
                continue;
            }
            let seen = |f: &Finder| f.hits as f32 / f.size.sqrt();
            sides.push((seen(a).min(seen(b)), *a, *b, modules));
        }
    }
    sides.sort_by(|a, b| b.0.total_cmp(&a.0));
    sides.truncate(PAIRS);
    let mut out = vec![];
    for (_, a, b, modules) in sides {
        let size = (a.size + b.size) / 2.0;
        let ghost = |x: f32, y: f32| Finder { x, y, size, hits: 0, mid: (a.mid + b.mid) / 2.0, ..a };
        for (a, b) in [(a, b), (b, a)] {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let side = |top_left, top_right, bottom_left, modules: f32, guessed| Triple {
                top_left,
                top_right,
                bottom_left,
                modules: (modules + 7.0, modules + 7.0),
                doubt: 1.0,
                guessed: Some(guessed),
            };
            out.push(side(a, b, ghost(a.x - dy, a.y + dx), modules, 2));
            out.push(side(a, ghost(a.x + dy, a.y - dx), b, modules, 1));
            let corner = ghost((a.x + b.x - dy) / 2.0, (a.y + b.y + dx) / 2.0);
            // Along the diagonal both the code and its modules are longer by the same.
            out.push(side(corner, a, b, modules, 0));
        }
    }
    out
}
