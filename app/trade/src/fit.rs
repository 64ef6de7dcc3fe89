//! Fitting how durations run with temperature to published studies: what `examples/priors.rs` writes into the app.
//!
//! Four things differ and are kept apart: families in their mean slopes, species of a family about those, studies of
//! one species about its level (keepers, thermometers, populations), and rows about their study's curve. Rows
//! have heavy tails, so that an odd one does not widen every range (Student's t by weights: Lange, Little & Taylor
//! 1989). All by expectation–maximisation (Dempster, Laird & Rubin 1977), whose inner step is this crate's own exact
//! update. The forecasts made from it are checked by another's hand in `tests/checks/durations.py`.

use crate::gauss::{Gaussian, quantile};
use crate::published::{Row, kin_of, misleading};
use crate::response::{Slopes, basis};
use crate::species::Kin;
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::BTreeMap;

/// How ln D runs with temperature: what is the same for all, and three weights.
#[derive(Clone, Copy, Debug)]
pub struct Shape {
    pub name: &'static str,
    /// the part nothing is fitted to
    pub known: fn(f64) -> f64,
    /// what (a, b, c) are multiplied by
    pub basis: fn(f64) -> [f64; 3],
    /// (b, c) to begin with
    pub start: [f64; 2],
    /// by how much species may well differ in them; a weak opinion
    pub spread: [f64; 2],
}

/// The shape in use.
pub const BEND: Shape =
    Shape { name: "bend about 32 °C (in use)", known: |_| 0.0, basis, start: [-0.02, 0.006], spread: [0.010, 0.002] };

/// One study of one species: (°C, mean ln days) at each constant temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Study {
    pub species: String,
    pub study: String,
    pub points: Vec<(f64, f64)>,
}

/// Gathers the usable constant rows by study; rows of one study and temperature become one, by their eggs.
pub fn studies<'a>(rows: impl Iterator<Item = &'a Row>, limits: (f64, f64)) -> Vec<Study> {
    let mut by: BTreeMap<(String, String), BTreeMap<i64, (f64, f64)>> = BTreeMap::new();
    for r in rows.filter(|r| r.constant && (limits.0..=limits.1).contains(&r.celsius) && misleading(r).is_none()) {
        let point = by
            .entry((r.species.clone(), r.study.clone()))
            .or_default()
            .entry((r.celsius * 100.0).round() as i64)
            .or_default();
        let n = r.n.unwrap_or(10.0);
        *point = (point.0 + n * r.days.ln(), point.1 + n);
    }
    by.into_iter()
        .map(|((species, study), points)| Study {
            species,
            study,
            points: points.into_iter().map(|(t, (sum, n))| (t as f64 / 100.0, sum / n)).collect(),
        })
        .collect()
}

type Pair = [f64; 2];
type Square = [[f64; 2]; 2];

/// A belief of (b, c).
#[derive(Clone, Copy, Debug)]
struct Lean {
    mean: Pair,
    cov: Square,
}

fn each(f: impl Fn(usize, usize) -> f64) -> Square {
    [[f(0, 0), f(0, 1)], [f(1, 0), f(1, 1)]]
}

fn inverse(m: &Square) -> Square {
    let det = (m[0][0] * m[1][1] - m[0][1] * m[1][0]).max(1e-300);
    [[m[1][1] / det, -m[0][1] / det], [-m[1][0] / det, m[0][0] / det]]
}

fn times(m: &Square, v: &Pair) -> Pair {
    [m[0][0] * v[0] + m[0][1] * v[1], m[1][0] * v[0] + m[1][1] * v[1]]
}

impl Lean {
    /// Inverse covariance, and that times the mean: what beliefs add up in.
    fn weight(&self) -> (Square, Pair) {
        let w = inverse(&self.cov);
        (w, times(&w, &self.mean))
    }

    fn of_weight((w, v): &(Square, Pair)) -> Self {
        let cov = inverse(w);
        Self { mean: times(&cov, v), cov }
    }
}

fn add(a: &(Square, Pair), b: &(Square, Pair), sign: f64) -> (Square, Pair) {
    (each(|i, j| a.0[i][j] + sign * b.0[i][j]), [a.1[0] + sign * b.1[0], a.1[1] + sign * b.1[1]])
}

/// Everything fitted: variances of ln D and covariances of (b, c).
#[derive(Clone, Debug)]
pub struct Fit {
    overall: Lean,
    /// between species of one family
    species: Square,
    /// a row about its study's curve, a study about its species' level
    scatter2: f64,
    study2: f64,
    /// of each family, what is believed of its mean
    families: Vec<(Kin, Lean)>,
    told: BTreeMap<&'static str, (usize, usize)>,
    geckos: Option<(Lean, Square)>,
}

/// Barns keep pythons at 31–32 °C where they keep colubrids near 28 °C (common practice).
pub const PYTHONS_WARMER_C: f64 = 3.5;
/// How far pythons are trusted to follow colubrids: this many times their spread (our choice, no source).
const PYTHONS_WIDER: f64 = 3.0;
/// Three species of geckos were found, one far steeper and two far flatter than other lizards: their steepness spreads
/// this many times as wide, their bend no wider (our choice, no source).
const GECKOS_WIDER: f64 = 3.0;
/// How many observations the weak opinions count as. Their sizes: `Shape::spread`, rows 3 % off, studies 5 %.
const WEAK: f64 = 2.0;
const WEAK_SCATTER: f64 = 0.03;
const WEAK_STUDY: f64 = 0.05;
const STEPS: usize = 150;
/// Degrees of freedom of rows: tails heavier than a normal's, a variance all the same (our choice).
const TAILS: f64 = 8.0;

/// Species' level before anything is known, ln days: about 55 days, give or take so much that it says nothing.
const LEVEL: (f64, f64) = (4.0, 2.0);

/// A study as it is fitted: its points (°C, ln days) and how much each counts.
#[derive(Clone, Debug)]
struct Kept {
    points: Vec<(f64, f64)>,
    weights: Vec<f64>,
}

/// The studies of one species.
type Species = Vec<Kept>;

/// How much an observation counts whose square is this many variances.
fn weight_of(squares: f64) -> f64 {
    (TAILS + 1.0) / (TAILS + squares)
}

fn grouped(rows: &[Row], kin: Kin, but: &str) -> Vec<Species> {
    let of = |r: &&Row| kin_of(&r.family).is_some_and(|k| k.0 == kin) && r.species != but;
    let Some(limits) = rows.iter().filter(of).find_map(|r| kin_of(&r.family)).map(|k| k.1) else { return Vec::new() };
    let mut by: BTreeMap<String, Species> = BTreeMap::new();
    for study in studies(rows.iter().filter(of), limits) {
        let weights = vec![1.0; study.points.len()];
        by.entry(study.species).or_default().push(Kept { points: study.points, weights });
    }
    by.into_values().collect()
}

/// What is believed of (family's b, c; the species' level; its own b, c; each study's level) after its rows.
fn posterior(species: &Species, family: &Lean, own: &Square, fit: &Fit, shape: &Shape) -> Gaussian {
    let n = 5 + species.len();
    let mut g = Gaussian { mean: vec![0.0; n], cov: vec![0.0; n * n] };
    g.mean[..2].copy_from_slice(&family.mean);
    g.mean[2] = LEVEL.0;
    g.cov[2 * n + 2] = LEVEL.1 * LEVEL.1;
    for (at, square) in [(0, &family.cov), (3, own)] {
        for (i, row) in square.iter().enumerate() {
            g.cov[(at + i) * n + at..][..2].copy_from_slice(row);
        }
    }
    for (k, study) in species.iter().enumerate() {
        g.cov[(5 + k) * n + 5 + k] = fit.study2;
        for (&(c, ln), weight) in study.points.iter().zip(&study.weights) {
            let s = (shape.basis)(c);
            let mut h = vec![s[1], s[2], 1.0, s[1], s[2]];
            h.resize(n, 0.0);
            h[5 + k] = 1.0;
            let y = ln - (shape.known)(c);
            g.observe(&h, (y, y), fit.scatter2 / weight);
        }
    }
    g
}

/// A family's mean, and each species' own posterior in the light of all of the family.
fn together(all: &[Species], prior: &Lean, own: &Square, fit: &Fit, shape: &Shape) -> (Lean, Vec<Gaussian>) {
    let before = prior.weight();
    let said: Vec<(Square, Pair)> = all
        .iter()
        .map(|s| {
            let g = posterior(s, prior, own, fit, shape);
            let n = g.len();
            let after = Lean { mean: [g.mean[0], g.mean[1]], cov: each(|i, j| g.cov[i * n + j]) };
            add(&after.weight(), &before, -1.0)
        })
        .collect();
    let total = said.iter().fold(before, |sum, one| add(&sum, one, 1.0));
    let posts = all
        .iter()
        .zip(&said)
        .map(|(s, one)| posterior(s, &Lean::of_weight(&add(&total, one, -1.0)), own, fit, shape))
        .collect();
    (Lean::of_weight(&total), posts)
}

/// Squares of what was believed of two unknowns from `at` on, summed over beliefs.
fn squares(posts: &[Gaussian], at: usize) -> Square {
    each(|i, j| posts.iter().map(|g| g.mean[at + i] * g.mean[at + j] + g.cov[(at + i) * g.len() + at + j]).sum::<f64>())
}

fn diagonal(spread: &Pair, by: f64) -> Square {
    [[spread[0] * spread[0] * by, 0.0], [0.0, spread[1] * spread[1] * by]]
}

fn shared(sum: &Square, weak: &Square, n: f64) -> Square {
    each(|i, j| (sum[i][j] + WEAK * weak[i][j]) / (n + WEAK))
}

impl Fit {
    /// Fits a table without the species `but` (empty: all of it). `None` for fewer than three species of snakes or of
    /// lizards. Geckos take what the others found, with a spread of their own.
    pub fn of(rows: &[Row], but: &str, shape: &Shape) -> Option<Self> {
        Self::from(rows, but, shape, None)
    }

    /// The same, starting from a fit to nearly the same rows: fewer steps.
    pub fn from(rows: &[Row], but: &str, shape: &Shape, near: Option<&Self>) -> Option<Self> {
        let kins = [Kin::Snake, Kin::Lizard];
        let mut groups = kins.map(|kin| grouped(rows, kin, but));
        if groups.iter().any(|g| g.len() < 3) {
            return None;
        }
        let fresh = Self {
            overall: Lean { mean: shape.start, cov: diagonal(&shape.spread, 9.0) },
            species: diagonal(&shape.spread, 4.0),
            scatter2: 0.04 * 0.04,
            study2: WEAK_STUDY * WEAK_STUDY,
            families: Vec::new(),
            told: BTreeMap::new(),
            geckos: None,
        };
        let mut fit = near.cloned().unwrap_or(fresh);
        for _ in 0..if near.is_some() { STEPS / 4 } else { STEPS } {
            fit.step(&kins, &mut groups, shape);
        }
        let gecko = grouped(rows, Kin::Gecko, but);
        fit.geckos = Some(fit.geckos(&gecko, shape));
        let counted = |groups: &[Species]| {
            let studies = groups.iter().flatten();
            (studies.clone().count(), studies.map(|s| s.points.len()).sum())
        };
        fit.told = BTreeMap::from([
            ("snakes", counted(&groups[0])),
            ("lizards", counted(&groups[1])),
            ("geckos", counted(&gecko)),
        ]);
        Some(fit)
    }

    fn step(&mut self, kins: &[Kin], groups: &mut [Vec<Species>], shape: &Shape) {
        let found: Vec<(Lean, Vec<Gaussian>)> =
            groups.iter().map(|g| together(g, &self.overall, &self.species, self, shape)).collect();
        let k = groups.len() as f64;
        let mean = [0, 1].map(|i| found.iter().map(|f| f.0.mean[i]).sum::<f64>() / k);
        let across = each(|i, j| {
            found.iter().map(|f| (f.0.mean[i] - mean[i]) * (f.0.mean[j] - mean[j]) + f.0.cov[i][j]).sum::<f64>()
        });
        let posts: Vec<Gaussian> = found.iter().flat_map(|f| f.1.iter().cloned()).collect();
        let (mut off, mut rows, mut level, mut several) = (0.0, 0.0, 0.0, 0.0);
        for (species, g) in groups.iter_mut().flatten().zip(&posts) {
            let several_studies = species.len() > 1;
            for (i, study) in species.iter_mut().enumerate() {
                let at = 5 + i;
                // The level of an only study cannot be told from its species'.
                if several_studies {
                    level += g.mean[at] * g.mean[at] + g.cov[at * g.len() + at];
                    several += 1.0;
                }
                for (&(c, ln), weight) in study.points.iter().zip(&mut study.weights) {
                    let s = (shape.basis)(c);
                    let mut h = vec![s[1], s[2], 1.0, s[1], s[2]];
                    h.resize(g.len(), 0.0);
                    h[at] = 1.0;
                    let square = (ln - (shape.known)(c) - g.mean_of(&h)).powi(2) + g.variance_of(&h);
                    *weight = weight_of(square / self.scatter2);
                    off += square * *weight;
                    rows += 1.0;
                }
            }
        }
        // Families may well differ by three times what species do.
        self.overall = Lean { mean, cov: shared(&across, &diagonal(&shape.spread, 9.0), k) };
        self.species = shared(&squares(&posts, 3), &diagonal(&shape.spread, 1.0), posts.len() as f64);
        self.scatter2 = (off + WEAK * WEAK_SCATTER * WEAK_SCATTER) / (rows + WEAK);
        self.study2 = (level + WEAK * WEAK_STUDY * WEAK_STUDY) / (several + WEAK);
        self.families = kins.iter().copied().zip(found.iter().map(|f| f.0)).collect();
    }

    /// Geckos' mean, and how their species differ.
    fn geckos(&self, group: &[Species], shape: &Shape) -> (Lean, Square) {
        let mut own = self.species;
        own[0][0] *= GECKOS_WIDER * GECKOS_WIDER;
        (together(group, &self.overall, &own, self, shape).0, own)
    }

    /// The slopes of a species of this kin that was not among them.
    pub fn slopes(&self, kin: Kin) -> Option<Slopes> {
        let of = |kin: Kin| self.families.iter().find(|f| f.0 == kin).map(|f| f.1);
        let (mut lean, own) = match kin {
            Kin::Snake | Kin::Lizard => (of(kin)?, self.species),
            Kin::Python => (of(Kin::Snake)?, self.species),
            Kin::Gecko => self.geckos?,
        };
        let mut cov = each(|i, j| lean.cov[i][j] + own[i][j]);
        if kin == Kin::Python {
            // The bend is nearly a square about its middle, and moving a square adds to its slope.
            lean.mean[0] -= 2.0 * PYTHONS_WARMER_C * lean.mean[1];
            cov = each(|i, j| cov[i][j] * PYTHONS_WIDER * PYTHONS_WIDER);
        }
        // The fitted t is replaced by a normal with the same 90 % interval, since the forecast is one.
        let nine_of_ten = StudentsT::new(0.0, 1.0, TAILS).ok()?.inverse_cdf(0.95) / quantile(0.95);
        Some(Slopes { mean: lean.mean, cov, scatter: self.scatter2.sqrt() * nine_of_ten, study: self.study2.sqrt() })
    }

    /// What a kin's slopes stand on.
    pub fn stands_on(&self, kin: Kin) -> String {
        let told = |what: &str| {
            let (studies, points) = self.told.get(what).copied().unwrap_or_default();
            format!("{studies} studies, {points} temperatures")
        };
        match kin {
            Kin::Snake => format!("colubrids and elapids: {}", told("snakes")),
            Kin::Python => format!(
                "colubrids and elapids moved up by {PYTHONS_WARMER_C} °C, with {PYTHONS_WIDER:.0} times their spread: {}",
                told("snakes")
            ),
            Kin::Lizard => format!("agamids, chameleons, iguanas, lacertids and skinks: {}", told("lizards")),
            Kin::Gecko => format!(
                "geckos, on top of what snakes and lizards share, with {GECKOS_WIDER:.0} times the spread in steepness: {}",
                told("geckos")
            ),
        }
    }
}
