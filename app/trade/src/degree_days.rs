//! The degree-day line, `1/D = (T − T0)/K`: the usual way published durations are joined.
//!
//! A window is never given by it (it bends wrong above about 30 °C); it is here to be compared with, and to show
//! a keeper what a paper's two numbers mean.

/// A degree-day line with the temperatures it was drawn through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// °C at which development would stop
    pub t0: f64,
    /// degree-days from lay to pip
    pub k: f64,
    /// share of the variance of 1/D it explains
    pub r2: f64,
    /// °C it was drawn within
    pub data: (f64, f64),
}

/// Days by a line, and whether the temperature lies where it was drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Days {
    pub days: f64,
    /// outside the line's own data: not to be planned by
    pub outside_data: bool,
}

impl Line {
    /// Least squares on 1/D over (°C, days). `None` for fewer than two temperatures, for durations not above 0, or when
    /// warmer was not faster.
    pub fn fit(points: &[(f64, f64)]) -> Option<Self> {
        let n = points.len() as f64;
        if points.len() < 2 || points.iter().any(|p| !(p.0.is_finite() && p.1.is_finite() && p.1 > 0.0)) {
            return None;
        }
        let (mx, my) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| 1.0 / p.1).sum::<f64>() / n);
        let sum = |f: &dyn Fn(f64, f64) -> f64| points.iter().map(|p| f(p.0 - mx, 1.0 / p.1 - my)).sum::<f64>();
        let (xx, xy, yy) = (sum(&|x, _| x * x), sum(&|x, y| x * y), sum(&|_, y| y * y));
        let slope = xy / xx;
        if !(slope > 0.0 && slope.is_finite()) {
            return None;
        }
        let data = points.iter().fold((f64::MAX, f64::MIN), |(lo, hi), p| (lo.min(p.0), hi.max(p.0)));
        Some(Self { t0: mx - my / slope, k: 1.0 / slope, r2: xy * xy / (xx * yy), data })
    }

    /// Days at a steady temperature; `None` at or below T0.
    pub fn days_at(&self, celsius: f64) -> Option<Days> {
        (celsius > self.t0).then(|| Days {
            days: self.k / (celsius - self.t0),
            outside_data: !(self.data.0..=self.data.1).contains(&celsius),
        })
    }
}
