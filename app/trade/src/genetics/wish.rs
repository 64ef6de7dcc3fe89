//! How many eggs a wish takes. Eggs of parents that are not known for certain are not independent of each other: if
//! she does not carry it, none of a thousand eggs will. So the chances are kept apart by what the parents may be.

/// What a baby should be: genotypes that will do, by group; any will do in groups not named.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    groups: Vec<(usize, Vec<bool>)>,
}

impl Wish {
    /// Also in this group only these genotypes, in the order of [`super::Group::states`].
    pub fn with(mut self, group: usize, wanted: Vec<bool>) -> Self {
        match self.groups.iter_mut().find(|(g, _)| *g == group) {
            Some((_, known)) => known.iter_mut().zip(wanted).for_each(|(known, also)| *known &= also),
            None => self.groups.push((group, wanted)),
        }
        self
    }

    /// The groups named, each with the genotypes that will do.
    pub fn groups(&self) -> &[(usize, Vec<bool>)] {
        &self.groups
    }

    pub(super) fn wants(&self, group: usize, state: u16) -> bool {
        let of = self.groups.iter().find(|(g, _)| *g == group);
        of.is_none_or(|(_, wanted)| wanted.get(usize::from(state)).copied().unwrap_or(false))
    }
}

/// The chance that an egg gives what is wished for.
#[derive(Clone, Debug, PartialEq)]
pub struct Chances {
    /// How likely it is that the parents are such, and the chance of each egg if they are.
    pub parts: Vec<(f64, f64)>,
}

/// More eggs than this for one wish is never.
const MOST_EGGS: u32 = 10_000;

impl Chances {
    /// Of one egg.
    pub fn of_one(&self) -> f64 {
        self.parts.iter().map(|(weight, p)| weight * p).sum()
    }

    /// That at least one of `eggs` is such.
    pub fn at_least_one(&self, eggs: u32) -> f64 {
        self.parts.iter().map(|(weight, p)| weight * (1.0 - (1.0 - p).powi(eggs as i32))).sum()
    }

    /// What the chance of at least one comes to with any number of eggs: that the parents can give it at all.
    pub fn ever(&self) -> f64 {
        self.parts.iter().filter(|(_, p)| *p > 0.0).map(|(weight, _)| weight).sum()
    }

    /// The fewest eggs with at least this chance of one such; `None` where no number of eggs has it.
    pub fn eggs_for(&self, chance: f64) -> Option<u32> {
        let (mut few, mut enough) = (0, 1);
        while self.at_least_one(enough) < chance {
            few = enough;
            enough *= 2;
            if enough > MOST_EGGS {
                return None;
            }
        }
        while enough - few > 1 {
            let middle = (few + enough) / 2;
            if self.at_least_one(middle) < chance { few = middle } else { enough = middle }
        }
        Some(enough)
    }

    /// How many of `eggs` are such: between these with at least the chance `within`, as little as possible cut off at
    /// each end.
    pub fn count(&self, eggs: u32, within: f64) -> (u32, u32) {
        let tail = (1.0 - within) / 2.0;
        let mut chances = vec![0.0; eggs as usize + 1];
        for &(weight, p) in &self.parts {
            for (sum, chance) in chances.iter_mut().zip(binomial(eggs, p)) {
                *sum += weight * chance;
            }
        }
        let mut below = 0.0;
        let mut low = 0;
        let mut high = eggs;
        let mut found_low = false;
        for (count, chance) in (0..).zip(&chances) {
            below += chance;
            if !found_low && below > tail {
                (low, found_low) = (count, true);
            }
            if below >= 1.0 - tail {
                high = count;
                break;
            }
        }
        (low, high.max(low))
    }
}

/// The chances of 0 … n successes.
pub(super) fn binomial(n: u32, p: f64) -> Vec<f64> {
    let p = p.clamp(0.0, 1.0);
    if p == 0.0 || p == 1.0 {
        let sure = if p == 0.0 { 0 } else { n };
        return (0..=n).map(|k| f64::from(u8::from(k == sure))).collect();
    }
    let (log_p, log_q) = (p.ln(), (-p).ln_1p());
    let mut log_ways = 0.0;
    (0..=n)
        .map(|k| {
            if k > 0 {
                log_ways += f64::from(n - k + 1).ln() - f64::from(k).ln();
            }
            (log_ways + f64::from(k) * log_p + f64::from(n - k) * log_q).exp()
        })
        .collect()
}

/// The same chances together.
pub(super) fn merge(mut parts: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    parts.sort_unstable_by(|a, b| a.1.total_cmp(&b.1));
    parts.dedup_by(|more, kept| {
        let same = (more.1 - kept.1).abs() < 1e-14;
        kept.0 += if same { more.0 } else { 0.0 };
        same
    });
    parts
}
