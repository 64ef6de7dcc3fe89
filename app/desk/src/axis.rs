//! What an axis says: round numbers, more than two of them; and where names stand under a line.

/// Round numbers from `low` to `high`, some `about` of them and never fewer than three; where there is nothing between
/// the two, that number alone. Each is 1, 2 or 5 times a power of ten apart, and at least `finest`, as far as three of
/// them fit.
pub fn ticks(low: f64, high: f64, about: usize, finest: f64) -> Vec<f64> {
    // Also where one is no number.
    if !(high - low > 0.0 && (high - low).is_finite()) {
        return if low.is_finite() { vec![low] } else { Vec::new() };
    }
    let wanted = ((high - low) / about.max(2) as f64).max(finest);
    let mut step = Step::about(wanted);
    loop {
        let found = step.between(low, high);
        if found.len() >= 3 {
            return found;
        }
        step = step.finer();
    }
}

/// 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy)]
struct Step {
    times: i64,
    power: i32,
}

impl Step {
    /// The smallest that is not below `least`.
    fn about(least: f64) -> Self {
        let power = least.log10().floor() as i32;
        let fits =
            [1, 2, 5].into_iter().map(|times| Self { times, power }).find(|step| step.size() >= least * (1.0 - 1e-9));
        fits.unwrap_or(Self { times: 1, power: power + 1 })
    }

    fn size(self) -> f64 {
        self.times as f64 * 10f64.powi(self.power)
    }

    fn finer(self) -> Self {
        match self.times {
            5 => Self { times: 2, ..self },
            2 => Self { times: 1, ..self },
            _ => Self { times: 5, power: self.power - 1 },
        }
    }

    fn between(self, low: f64, high: f64) -> Vec<f64> {
        let size = self.size();
        let (from, to) = ((low / size - 1e-9).ceil() as i64, (high / size + 1e-9).floor() as i64);
        // Counted, not added up: a sum of tenths is not round.
        let at =
            |i: i64| if self.power < 0 { (i * self.times) as f64 / 10f64.powi(-self.power) } else { i as f64 * size };
        (from..=to).map(at).collect()
    }
}

/// Where names stand under a line: the middle of each and its row, none where there is no room. `names`: where each belongs
/// and how wide it is, the most telling first. Each stays within `0..wide`, above or below what it belongs to, and
/// touches no other.
pub fn stand(names: &[(i64, i64)], wide: i64, rows: usize) -> Vec<Option<(i64, usize)>> {
    let mut taken: Vec<(i64, i64, usize)> = Vec::new();
    let place = |&(at, long): &(i64, i64)| {
        let half = (long + 1) / 2;
        if long > wide || at < 0 || at > wide {
            return None;
        }
        let middle = at.clamp(half, (wide - half).max(half));
        let (from, to) = (middle - half, middle + half);
        let free = |row: &usize| taken.iter().all(|(a, b, used)| used != row || to < *a || *b < from);
        let row = (0..rows).find(free)?;
        taken.push((from, to, row));
        Some((middle, row))
    };
    names.iter().map(place).collect()
}
