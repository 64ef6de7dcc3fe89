//! How dark each module is, evened out for light and blur, and what the modules say.

use crate::content;
use crate::correct::Field;
use crate::pose::{Eye, Map};
use crate::symbol::{self, Layout};

/// Darkness of every module of a code, row by row, with a border of one module: +1 = surely dark, −1 = surely light.
#[derive(Clone)]
pub struct Modules {
    pub n: usize,
    pub dark: Vec<f32>,
}

/// How far around a module the light is taken, in modules.
const REACH: usize = 3;

impl Modules {
    /// Looks at every module at nine points.
    pub fn look(eye: Eye<'_>, map: &Map, layout: &Layout, dark: bool) -> Modules {
        let n = layout.n;
        let mut grey = Vec::with_capacity((n + 2) * (n + 2));
        for y in 0..n + 2 {
            for x in 0..n + 2 {
                let (cx, cy) = (x as f32 - 0.5, y as f32 - 0.5);
                let mut sum = 0.0;
                for dy in [-0.22, 0.0, 0.22] {
                    for dx in [-0.22, 0.0, 0.22] {
                        let (px, py) = map.at(cx + dx, cy + dy);
                        sum += eye.at(px, py);
                    }
                }
                grey.push(sum / 9.0);
            }
        }
        Modules::even(layout, &grey, dark)
    }

    /// Darkness relative to the dark and the light modules around.
    fn even(layout: &Layout, grey: &[f32], dark: bool) -> Modules {
        let (n, m) = (layout.n, layout.n + 2);
        let sign = if dark { 1.0 } else { -1.0 };
        let value: Vec<f32> = grey.iter().map(|g| -sign * g).collect();
        let fixed = |i: usize| -> Option<bool> {
            let (x, y) = (i % m, i / m);
            if x == 0 || y == 0 || x > n || y > n { None } else { layout.fixed[(y - 1) * n + x - 1] }
        };
        let (mut lights, mut darks) = ((0.0, 0.0_f32), (0.0, 0.0_f32));
        for (i, v) in value.iter().enumerate() {
            match fixed(i) {
                Some(true) => darks = (darks.0 + v, darks.1 + 1.0),
                Some(false) => lights = (lights.0 + v, lights.1 + 1.0),
                None => {}
            }
        }
        let (light, shade) = (lights.0 / lights.1.max(1.0), darks.0 / darks.1.max(1.0));
        let contrast = (shade - light).max(4.0);
        let mut is_dark: Vec<bool> = Around::new(m, &value, |_| true)
            .each()
            .zip(&value)
            .enumerate()
            .map(|(i, ((sum, count), v))| fixed(i).unwrap_or(*v > sum / count))
            .collect();
        let mut out = vec![0.0; m * m];
        for _ in 0..3 {
            let (darks, all) = (Around::new(m, &value, |i| is_dark[i]), Around::new(m, &value, |_| true));
            for (i, (d, a)) in darks.each().zip(all.each()).enumerate() {
                let l = (light * 0.5 + a.0 - d.0) / (0.5 + a.1 - d.1);
                let d = (shade * 0.5 + d.0) / (0.5 + d.1);
                let half = ((d - l) / 2.0).max(contrast * 0.08);
                out[i] = ((value[i] - (l + d) / 2.0) / half).clamp(-1.6, 1.6);
            }
            for (i, side) in is_dark.iter_mut().enumerate() {
                *side = fixed(i).unwrap_or(out[i] > 0.0);
            }
        }
        // Where everything is blinded, nothing is known.
        if dark && -light < 238.0 {
            for (o, g) in out.iter_mut().zip(grey) {
                if *g > 250.0 {
                    *o *= 0.1;
                }
            }
        }
        Modules { n, dark: out }
    }

    /// Undoes blur: the 3 × 3 weights that bring the known modules nearest to what they must be, by least squares
    /// held near "no change". `sure`: also learn from modules this dark or light already.
    pub fn sharpened(&self, layout: &Layout, sure: Option<f32>) -> Modules {
        let (n, m) = (self.n, self.n + 2);
        let window = |i: usize| -> [f32; 10] {
            let d = |k: usize| self.dark[k];
            [d(i - m - 1), d(i - m), d(i - m + 1), d(i - 1), d(i), d(i + 1), d(i + m - 1), d(i + m), d(i + m + 1), 1.0]
        };
        let mut a = [[0.0_f64; 11]; 10];
        for y in 0..n {
            for x in 0..n {
                let i = (y + 1) * m + x + 1;
                let want = match (layout.fixed[y * n + x], sure) {
                    (Some(dark), _) => {
                        if dark {
                            1.0
                        } else {
                            -1.0
                        }
                    }
                    (None, Some(limit)) if self.dark[i].abs() > limit => self.dark[i].signum(),
                    _ => continue,
                };
                let w = window(i);
                let miss = want - w[4];
                if miss.abs() > 1.5 {
                    continue;
                }
                for r in 0..10 {
                    for c in 0..10 {
                        a[r][c] += f64::from(w[r] * w[c]);
                    }
                    a[r][10] += f64::from(w[r] * miss);
                }
            }
        }
        for (r, row) in a.iter_mut().enumerate() {
            row[r] += 6.0;
        }
        let Some(change) = solve(&mut a) else { return self.clone() };
        let mut out = self.clone();
        for y in 1..=n {
            for x in 1..=n {
                let i = y * m + x;
                let w = window(i);
                let add: f32 = (0..10).map(|k| w[k] * change[k]).sum();
                out.dark[i] = (self.dark[i] + add).clamp(-1.6, 1.6);
            }
        }
        out
    }

    /// How alike two looks at codes of one size are in their data modules: 1 = the same, 0 = unrelated.
    pub fn likeness(&self, other: &Modules, layout: &Layout) -> f32 {
        let data = layout.fixed.iter().enumerate().filter(|(_, fixed)| fixed.is_none()).map(|(i, _)| i);
        let (mut both, mut one, mut two) = (0.0, 1e-3, 1e-3);
        for (a, b) in data.map(|i| (self.at(i), other.at(i))) {
            both += a * b;
            one += a * a;
            two += b * b;
        }
        both / (one * two).sqrt()
    }

    fn at(&self, index: usize) -> f32 {
        self.dark[(index / self.n + 1) * (self.n + 2) + index % self.n + 1]
    }
}

/// Sums of some values of a square around each place.
struct Around {
    m: usize,
    /// Sum and count of all above and left of a place.
    corner: Vec<(f32, f32)>,
}

impl Around {
    fn new(m: usize, value: &[f32], some: impl Fn(usize) -> bool) -> Around {
        let mut corner = vec![(0.0, 0.0); (m + 1) * (m + 1)];
        for y in 0..m {
            let mut row = (0.0, 0.0);
            for x in 0..m {
                let i = y * m + x;
                if some(i) {
                    row = (row.0 + value[i], row.1 + 1.0);
                }
                let above = corner[y * (m + 1) + x + 1];
                corner[(y + 1) * (m + 1) + x + 1] = (above.0 + row.0, above.1 + row.1);
            }
        }
        Around { m, corner }
    }

    /// Sum and count within reach of each place, row by row.
    fn each(&self) -> impl Iterator<Item = (f32, f32)> {
        let m = self.m;
        (0..m * m).map(move |i| {
            let (x, y) = (i % m, i / m);
            let (x0, x1) = (x.saturating_sub(REACH), (x + REACH + 1).min(m));
            let (y0, y1) = (y.saturating_sub(REACH) * (m + 1), (y + REACH + 1).min(m) * (m + 1));
            let c = |at: usize| self.corner[at];
            let (a, b, d, e) = (c(y0 + x0), c(y0 + x1), c(y1 + x0), c(y1 + x1));
            (e.0 - d.0 - b.0 + a.0, e.1 - d.1 - b.1 + a.1)
        })
    }
}

/// Solves ten equations by elimination with pivots.
fn solve(a: &mut [[f64; 11]; 10]) -> Option<[f32; 10]> {
    for k in 0..10 {
        let pivot = (k..10).max_by(|&p, &q| a[p][k].abs().total_cmp(&a[q][k].abs()))?;
        a.swap(k, pivot);
        if a[k][k].abs() < 1e-9 {
            return None;
        }
        for r in 0..10 {
            if r != k {
                let f = a[r][k] / a[k][k];
                let row = a[k];
                for (v, p) in a[r].iter_mut().zip(row) {
                    *v -= f * p;
                }
            }
        }
    }
    let mut out = [0.0; 10];
    for (k, o) in out.iter_mut().enumerate() {
        *o = (a[k][10] / a[k][k]) as f32;
    }
    Some(out)
}

/// Level and mask by the format bits, likeliest first, with how well they agree (1 = perfectly).
fn formats(modules: &Modules, layout: &Layout) -> Vec<(f32, usize, usize)> {
    let bits: Vec<f32> = (0..15).map(|i| modules.at(layout.format[0][i]) + modules.at(layout.format[1][i])).collect();
    let all: f32 = bits.iter().map(|b| b.abs()).sum::<f32>().max(1e-3);
    let mut out: Vec<(f32, usize, usize)> = (0..32)
        .map(|k| {
            let (level, mask) = (k / 8, k % 8);
            let code = symbol::format_bits(level, mask);
            let sum: f32 = bits.iter().enumerate().map(|(i, b)| if code >> i & 1 == 1 { *b } else { -b }).sum();
            (sum / all, level, mask)
        })
        .collect();
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out
}

/// Correction power that is never spent on doubtful places, so that nothing wrong can pass: with eight codewords
/// kept, a random block is taken for a good one about once in 20 000 times, before the other checks.
const KEPT: usize = 8;

/// What the modules say, if it can be told with certainty.
pub fn said(modules: &Modules, layout: &Layout, field: &Field) -> Option<Vec<u8>> {
    let ranked = formats(modules, layout);
    let best = ranked.first()?.0;
    ranked
        .iter()
        .take(2)
        .filter(|(agreement, ..)| *agreement > 0.4 && *agreement > best - 0.25)
        .find_map(|&(_, level, mask)| said_with(modules, layout, field, level, mask))
}

fn said_with(modules: &Modules, layout: &Layout, field: &Field, level: usize, mask: usize) -> Option<Vec<u8>> {
    let n = layout.n;
    let mut bytes = Vec::with_capacity(layout.codewords.len());
    let mut surety = Vec::with_capacity(layout.codewords.len());
    let mut bits = Vec::with_capacity(layout.codewords.len() * 8);
    for places in &layout.codewords {
        let (mut byte, mut least) = (0_u8, f32::MAX);
        for &place in places {
            let flip = symbol::masked(mask, place % n, place / n);
            let dark = if flip { -modules.at(place) } else { modules.at(place) };
            byte = byte << 1 | u8::from(dark > 0.0);
            least = least.min(dark.abs());
            bits.push(dark);
        }
        bytes.push(byte);
        surety.push(least);
    }
    let (blocks, ec) = layout.blocks(level);
    let mut data = vec![];
    let (mut against, mut all) = (0.0_f32, 1e-3_f32);
    for block in &blocks {
        let sent: Vec<u8> = block.iter().map(|&k| *bytes.get(k).unwrap_or(&0)).collect();
        let mut doubtful: Vec<usize> = (0..block.len()).collect();
        let sure = |p: usize| surety.get(block[p]).copied().unwrap_or(0.0);
        doubtful.sort_by(|&a, &b| sure(a).total_cmp(&sure(b)));
        let most = ec.saturating_sub(KEPT);
        let fixed = (0..=most).step_by(2).find_map(|count| {
            let mut word = sent.clone();
            field.correct(&mut word, ec, &doubtful[..count]).map(|_| word)
        })?;
        for (p, (&is, &was)) in fixed.iter().zip(&sent).enumerate() {
            for b in 0..8 {
                let weight = bits.get(block[p] * 8 + b).copied().unwrap_or(0.0).abs();
                all += weight;
                if (is ^ was) >> (7 - b) & 1 == 1 {
                    against += weight;
                }
            }
        }
        data.extend_from_slice(&fixed[..fixed.len() - ec]);
    }
    let (said, padded) = content::said(&data, layout.version >= 10)?;
    let limit = if padded { 0.22 } else { 0.10 };
    (against / all < limit).then_some(said)
}
