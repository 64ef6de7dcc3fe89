//! Where the modules of a code lie in the picture: a perspective, and for labels on round tubs a bend. Found by
//! moving the pose until the fixed modules (finders, timing, alignment) look as they must.

use crate::finder::Triple;
use crate::grey::View;
use crate::symbol::{Layout, Mark};
use std::cell::Cell;

/// A copy of the picture at some size, looked at in pixels of the whole picture.
#[derive(Clone, Copy)]
pub struct Eye<'a> {
    pub view: View<'a>,
    /// Pixels of the copy per whole-picture pixel.
    pub shrink: f32,
}

impl Eye<'_> {
    #[inline(always)]
    pub fn at(&self, x: f32, y: f32) -> f32 {
        self.view.at(x * self.shrink, y * self.shrink)
    }
}

/// What one frame may cost, in modules looked at: a count, not a clock, so that a frame reads the same on every machine.
pub struct Budget(Cell<usize>);

impl Budget {
    pub fn new(modules: usize) -> Budget {
        Budget(Cell::new(modules))
    }

    pub fn spend(&self, modules: usize) {
        self.0.set(self.0.get().saturating_sub(modules));
    }

    pub fn is_spent(&self) -> bool {
        self.0.get() == 0
    }
}

/// Direction in which a label is wound round a tub.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bend {
    Flat,
    Across,
    Down,
}

/// Places of the four corner finder centres (the fourth is where one would be) as x, y pairs: top left, top right,
/// bottom right, bottom left; then how far the middle between them bulges in x and y; then how much the modules
/// crowd towards the edges.
type Params = [f32; 11];

/// Gain of a score for which a pose is moved.
const WORTH: f32 = 2e-4;
/// How far a score by few marks may be below the one by all.
const ROUGH: f32 = 0.12;

/// Where a code's modules lie.
#[derive(Clone, Copy, Debug)]
pub struct Pose {
    params: Params,
    bend: Bend,
    n: usize,
    /// How well the fixed modules fit, 1 = perfectly.
    pub score: f32,
}

/// A pose made ready for looking up many points: from modules off the code's middle to pixels.
pub struct Map {
    /// Of a perspective, row by row.
    m: [f32; 9],
    bend: Bend,
    bulge: (f32, f32),
    crowd: f32,
    middle: f32,
    /// One over half a side between the finders' centres.
    inner: f32,
}

impl Map {
    fn new(p: &Params, bend: Bend, n: usize) -> Map {
        let [x0, y0, x1, y1, x2, y2, x3, y3, qx, qy, crowd] = *p;
        let (dx1, dx2, sx) = (x1 - x2, x3 - x2, x0 - x1 + x2 - x3);
        let (dy1, dy2, sy) = (y1 - y2, y3 - y2, y0 - y1 + y2 - y3);
        let den = dx1 * dy2 - dx2 * dy1;
        let den = if den.abs() < 1e-6 { 1e-6 } else { den };
        let g = (sx * dy2 - dx2 * sy) / den;
        let h = (dx1 * sy - sx * dy1) / den;
        // Of a square from 0 to 1, then of modules off its middle: half a side is one over twice `inner`.
        let rows = [[x1 - x0 + g * x1, x3 - x0 + h * x3, x0], [y1 - y0 + g * y1, y3 - y0 + h * y3, y0], [g, h, 1.0]];
        let inner = 1.0 / (n as f32 / 2.0 - 3.5);
        let mut m = [0.0; 9];
        for (k, [a, b, c]) in rows.into_iter().enumerate() {
            m[3 * k] = a * inner / 2.0;
            m[3 * k + 1] = b * inner / 2.0;
            m[3 * k + 2] = c + (a + b) / 2.0;
        }
        Map { m, bend, bulge: (qx, qy), crowd, middle: n as f32 / 2.0, inner }
    }

    /// The same onto a smaller copy of the picture, its pixels counted from the first one's centre.
    fn in_eye(mut self, eye: Eye<'_>) -> Map {
        for k in 0..6 {
            self.m[k] = self.m[k] * eye.shrink - 0.5 * self.m[6 + k % 3];
        }
        self.bulge = (self.bulge.0 * eye.shrink, self.bulge.1 * eye.shrink);
        self
    }

    /// The pixel of a point given in modules from the code's top left corner.
    #[inline(always)]
    pub fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let (mut x, mut y) = (x - self.middle, y - self.middle);
        let mut out = 0.0;
        match self.bend {
            Bend::Flat => {}
            Bend::Across => {
                out = 1.0 - (x * self.inner) * (x * self.inner);
                x += self.crowd * x * out;
            }
            Bend::Down => {
                out = 1.0 - (y * self.inner) * (y * self.inner);
                y += self.crowd * y * out;
            }
        }
        let m = &self.m;
        let w = m[6] * x + m[7] * y + m[8];
        let w = 1.0 / if w.abs() < 0.05 { 0.05 } else { w };
        ((m[0] * x + m[1] * y + m[2]) * w + self.bulge.0 * out, (m[3] * x + m[4] * y + m[5]) * w + self.bulge.1 * out)
    }
}

/// Light over the code as a plane: middle grey and half the contrast at the three finders.
struct Light {
    middle: [f32; 3],
    half: f32,
}

impl Light {
    /// By the grey of each finder's middle and of the ring around it.
    fn read(eye: Eye<'_>, map: &Map, n: usize, triple: &Triple) -> Light {
        let far = n as f32 - 3.5;
        let (mut middle, mut half) = ([0.0; 3], 0.0_f32);
        let seen = |k: usize| triple.guessed != Some(k);
        for (k, (cx, cy)) in [(3.5, 3.5), (far, 3.5), (3.5, far)].into_iter().enumerate() {
            let (mut inner, mut ring) = (0.0, 0.0);
            for (dx, dy) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
                let (x, y) = map.at(cx + 0.7 * dx, cy + 0.7 * dy);
                inner += eye.at(x, y) / 4.0;
                let (x, y) = map.at(cx + 2.0 * dx, cy + 2.0 * dy);
                ring += eye.at(x, y) / 4.0;
            }
            middle[k] = (inner + ring) / 2.0;
            if seen(k) {
                half += if triple.top_left.dark { ring - inner } else { inner - ring };
            }
        }
        if let Some(k) = triple.guessed {
            middle[k] = (middle[(k + 1) % 3] + middle[(k + 2) % 3]) / 2.0;
        }
        let corners = if triple.guessed.is_some() { 2.0 } else { 3.0 };
        Light { middle, half: (half / corners / 2.0).max(2.0) }
    }
}

/// Looks at one candidate code: three finders taken for a given version.
pub struct Fitter<'a> {
    eye: Eye<'a>,
    budget: &'a Budget,
    layout: &'a Layout,
    light: Light,
    sign: f32,
    /// Length of a module in pixels, roughly.
    pub module: f32,
    start: Params,
}

impl<'a> Fitter<'a> {
    /// `slant` is where the fourth corner is expected, by [`Pose::slant`].
    pub fn new(eye: Eye<'a>, budget: &'a Budget, layout: &'a Layout, triple: &Triple, slant: (f32, f32)) -> Fitter<'a> {
        let (a, b, c) = (triple.top_left, triple.top_right, triple.bottom_left);
        let mut start = [a.x, a.y, b.x, b.y, b.x + c.x - a.x, b.y + c.y - a.y, c.x, c.y, 0.0, 0.0, 0.0];
        start[4] += slant.0 * (b.x - a.x) + slant.1 * (c.x - a.x);
        start[5] += slant.0 * (b.y - a.y) + slant.1 * (c.y - a.y);
        let span = layout.n as f32 - 7.0;
        let module = ((b.x - a.x).hypot(b.y - a.y) + (c.x - a.x).hypot(c.y - a.y)) / 2.0 / span;
        let light = Light::read(eye, &Map::new(&start, Bend::Flat, layout.n), layout.n, triple);
        Fitter { eye, budget, layout, light, sign: if a.dark { 1.0 } else { -1.0 }, module, start }
    }

    /// How well the fixed modules fit, if better than `floor`: what has lost too much already is not looked at to its end.
    fn score_over(&self, floor: f32, params: &Params, bend: Bend) -> Option<f32> {
        self.score_of(&self.layout.marks, self.layout.mark_weight, floor, params, bend)
    }

    /// The same by a few marks from everywhere, for choosing among many poses.
    fn rough_over(&self, floor: f32, params: &Params, bend: Bend) -> Option<f32> {
        let few = self.layout.few;
        self.score_of(&self.layout.marks[..few], self.layout.few_weight, floor, params, bend)
    }

    fn score_of(&self, marks: &[Mark], weight: f32, floor: f32, params: &Params, bend: Bend) -> Option<f32> {
        let map = Map::new(params, bend, self.layout.n).in_eye(self.eye);
        let span = self.layout.n as f32 - 7.0;
        let [m0, m1, m2] = self.light.middle;
        let (mx, my) = ((m1 - m0) / span, (m2 - m0) / span);
        let m0 = m0 - 3.5 * (mx + my);
        let gain = self.sign / self.light.half;
        let most = (1.0 - floor) * weight;
        let mut lost = 0.0;
        for some in marks.chunks(16) {
            self.budget.spend(some.len());
            for mark in some {
                let (x, y) = map.at(mark.x, mark.y);
                let middle = m0 + mx * mark.x + my * mark.y;
                let dark = ((middle - self.eye.view.at_centre(x, y)) * gain).clamp(-1.0, 1.0);
                lost += mark.weight - mark.pull * dark;
            }
            if lost >= most {
                return None;
            }
        }
        Some(1.0 - lost / weight)
    }

    fn pose(&self, params: Params, bend: Bend, score: f32) -> Pose {
        Pose { params, bend, n: self.layout.n, score }
    }

    /// How well the three finders fit as they are, seen straight on; nothing where that is surely below `floor`.
    pub fn first(&self, floor: f32) -> Option<Pose> {
        self.rough_over(floor - ROUGH, &self.start, Bend::Flat)?;
        let score = self.score_over(floor, &self.start, Bend::Flat)?;
        Some(self.pose(self.start, Bend::Flat, score))
    }

    /// A pose with its score by all marks.
    fn scored(&self, pose: Pose) -> Pose {
        let score = self.score_over(-1.0, &pose.params, pose.bend).unwrap_or(-1.0);
        Pose { score, ..pose }
    }

    /// The best of a grid of places for the fourth corner, or for a guessed one (the fourth moving along).
    /// `far`: it may lie many modules off, as in a large code seen at a slant.
    pub fn coarse(&self, guessed: Option<usize>, far: bool) -> Pose {
        let span = self.layout.n as f32 - 7.0;
        let p = &self.start;
        let (ax, ay) = ((p[2] - p[0]) / span, (p[3] - p[1]) / span);
        let (dx, dy) = ((p[6] - p[0]) / span, (p[7] - p[1]) / span);
        let mut best = self.pose(self.start, Bend::Flat, -1.0);
        let grids = match (guessed, far) {
            (Some(_), _) => [(4, 1.0), (1, 0.5)],
            (None, false) => [(2, 2.4), (1, 1.2)],
            (None, true) => [(12, 1.2), (2, 0.4)],
        };
        for (reach, step) in grids {
            let from = best.params;
            for i in -reach..=reach {
                for j in -reach..=reach {
                    let (u, v) = (i as f32 * step, j as f32 * step);
                    let (x, y) = (ax * u + dx * v, ay * u + dy * v);
                    let mut params = from;
                    params[4] += x;
                    params[5] += y;
                    // The fourth corner is top right + bottom left − top left.
                    match guessed {
                        Some(0) => {
                            params[0] -= x;
                            params[1] -= y;
                        }
                        Some(1) => {
                            params[2] += x;
                            params[3] += y;
                        }
                        Some(_) => {
                            params[6] += x;
                            params[7] += y;
                        }
                        None => {}
                    }
                    if let Some(score) = self.rough_over(best.score, &params, Bend::Flat) {
                        best = self.pose(params, Bend::Flat, score);
                    }
                }
            }
        }
        self.scored(best)
    }

    /// Moves one number of the pose at a time, in ever smaller steps, while it helps. At most `rounds` rounds.
    pub fn refine(&self, from: Pose, first: f32, rounds: usize) -> Pose {
        let mut best = from;
        let mut step = first;
        let count = if from.bend == Bend::Flat { 8 } else { 11 };
        // A number that has moved one way will rather go on than come back.
        let mut way = [1.0; 11];
        for _ in 0..rounds {
            if self.budget.is_spent() {
                break;
            }
            let mut moved = false;
            for k in 0..count {
                let size = if k == 10 { 0.03 * step } else { step * self.module };
                for sign in [way[k], -way[k]] {
                    let mut params = best.params;
                    params[k] += sign * size;
                    if let Some(score) = self.score_over(best.score + WORTH, &params, best.bend) {
                        best = self.pose(params, best.bend, score);
                        way[k] = sign;
                        moved = true;
                        break;
                    }
                }
            }
            if !moved {
                step /= 2.0;
                if step < 0.04 {
                    break;
                }
            }
        }
        best
    }

    /// The best bent pose started from a flat one, for each way of winding, the better way first.
    pub fn bent(&self, from: Pose) -> [Pose; 2] {
        let mut both = [Bend::Across, Bend::Down].map(|bend| {
            let mut best = self.pose(from.params, bend, -1.0);
            for base in [&self.start, &from.params] {
                for i in -3..=3 {
                    for j in -3..=3 {
                        let mut params = *base;
                        params[8] = i as f32 * 0.9 * self.module;
                        params[9] = j as f32 * 0.9 * self.module;
                        params[10] = 0.015;
                        if let Some(score) = self.rough_over(best.score, &params, bend) {
                            best = self.pose(params, bend, score);
                        }
                    }
                }
            }
            self.scored(best)
        });
        both.sort_by(|a, b| b.score.total_cmp(&a.score));
        both
    }
}

impl Pose {
    pub fn map(&self) -> Map {
        Map::new(&self.params, self.bend, self.n)
    }

    /// How far the fourth corner lies off the parallelogram of the others, in sides along the top and down: what a camera's
    /// next frame of the same screen has again.
    pub fn slant(&self) -> (f32, f32) {
        let p = &self.params;
        let ((ax, ay), (dx, dy)) = ((p[2] - p[0], p[3] - p[1]), (p[6] - p[0], p[7] - p[1]));
        let (x, y) = (p[4] - p[0] - ax - dx, p[5] - p[1] - ay - dy);
        let area = ax * dy - ay * dx;
        if area.abs() < 1.0 { (0.0, 0.0) } else { ((x * dy - y * dx) / area, (ax * y - ay * x) / area) }
    }

    /// The code's outer corners: top left, top right, bottom right, bottom left.
    pub fn corners(&self) -> [(f32, f32); 4] {
        let (map, n) = (self.map(), self.n as f32);
        [map.at(0.0, 0.0), map.at(n, 0.0), map.at(n, n), map.at(0.0, n)]
    }

    /// The code's middle and its width at the top, in pixels.
    pub fn extent(&self) -> ((f32, f32), f32) {
        let (map, middle) = (self.map(), self.n as f32 / 2.0);
        let [a, b, ..] = self.corners();
        (map.at(middle, middle), (a.0 - b.0).hypot(a.1 - b.1))
    }
}
