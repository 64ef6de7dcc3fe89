//! Shares of a count, never without their spread.

use statrs::distribution::{Beta, ContinuousCDF, Normal};

/// A share with a lower and an upper bound, all in 0..=1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    pub at: f64,
    pub low: f64,
    pub high: f64,
}

/// Why a share cannot be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoShare {
    /// Of no trials, no share.
    NothingCounted,
    /// More successes than trials.
    MoreThanAll,
    /// The confidence asked for is not strictly between 0 and 1.
    BadConfidence,
    /// A prior count or a chance is not a number in its range.
    BadNumber,
}

impl std::fmt::Display for NoShare {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::NothingCounted => "nothing was counted yet: a share needs at least one",
            Self::MoreThanAll => "more successes than were counted in all: check both counts",
            Self::BadConfidence => "the confidence must lie between 0 and 1, such as 0.95",
            Self::BadNumber => "prior counts must be above 0 and chances within 0 to 1",
        })
    }
}

impl std::error::Error for NoShare {}

fn counted(k: u32, n: u32, confidence: f64) -> Result<(f64, f64), NoShare> {
    match () {
        () if n == 0 => Err(NoShare::NothingCounted),
        () if k > n => Err(NoShare::MoreThanAll),
        () if !(confidence > 0.0 && confidence < 1.0) => Err(NoShare::BadConfidence),
        () => Ok((f64::from(k), f64::from(n))),
    }
}

/// Wilson's score interval for `k` of `n`: the one pages show, right for small counts and at 0 and n.
///
/// `confidence` such as 0.95, strictly between 0 and 1. Newcombe 1998, method 3.
pub fn wilson(k: u32, n: u32, confidence: f64) -> Result<Share, NoShare> {
    wilson_clustered(k, n, 1.0, confidence)
}

/// The same for eggs that come in clutches: `design` is how many times more counts vary between clutches than those of
/// independent eggs would (at least 1), and the interval is of so many times fewer eggs.
pub fn wilson_clustered(k: u32, n: u32, design: f64, confidence: f64) -> Result<Share, NoShare> {
    let (k, n) = counted(k, n, confidence)?;
    let design = if design.is_finite() { design.max(1.0) } else { 1.0 };
    Ok(wilson_of(k / n, n / design, confidence))
}

/// The same for a published share `p` of `n` animals, whose count was rounded away. All in their ranges.
pub(crate) fn wilson_of(p: f64, n: f64, confidence: f64) -> Share {
    let z = Normal::standard().inverse_cdf(0.5 + confidence / 2.0);
    let z2 = z * z;
    let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = z / (1.0 + z2 / n) * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
    // At 0 and n the bound is 0 or 1 exactly; rounding must not leave a −1e-17.
    let low = if p == 0.0 { 0.0 } else { (middle - half).max(0.0) };
    let high = if p == 1.0 { 1.0 } else { (middle + half).min(1.0) };
    Share { at: p, low, high }
}

/// The exact (Clopper–Pearson) interval for `k` of `n`: never holds less than it says, so it is wider.
///
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1.
pub fn exact(k: u32, n: u32, confidence: f64) -> Result<Share, NoShare> {
    let (kf, nf) = counted(k, n, confidence)?;
    let tail = (1.0 - confidence) / 2.0;
    let beta = |a: f64, b: f64, p: f64| Beta::new(a, b).map(|d| d.inverse_cdf(p)).map_err(|_| NoShare::BadNumber);
    let low = if k == 0 { 0.0 } else { beta(kf, nf - kf + 1.0, tail)? };
    let high = if k == n { 1.0 } else { beta(kf + 1.0, nf - kf, 1.0 - tail)? };
    Ok(Share { at: kf / nf, low, high })
}

/// What is believed of a share: as if `yes` and `no` had been counted already (they need not be whole).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    pub yes: f64,
    pub no: f64,
}

impl Belief {
    /// Both counts above 0 and finite.
    pub fn new(yes: f64, no: f64) -> Result<Self, NoShare> {
        let good = |v: f64| v.is_finite() && v > 0.0;
        if good(yes) && good(no) { Ok(Self { yes, no }) } else { Err(NoShare::BadNumber) }
    }

    /// As if `weight` had been counted, with the given mean strictly between 0 and 1.
    pub fn around(mean: f64, weight: f64) -> Result<Self, NoShare> {
        Self::new(mean * weight, (1.0 - mean) * weight)
    }

    /// After `k` of `n` more were seen: the beta prior's exact update. Gelman et al., Bayesian Data Analysis.
    pub fn seen(self, k: u32, n: u32) -> Result<Self, NoShare> {
        if k > n {
            return Err(NoShare::MoreThanAll);
        }
        Self::new(self.yes + f64::from(k), self.no + f64::from(n - k))
    }

    /// The expected share.
    pub fn mean(self) -> f64 {
        self.yes / (self.yes + self.no)
    }

    /// The standard deviation of the share.
    pub fn sd(self) -> f64 {
        let n = self.yes + self.no;
        (self.yes * self.no / (n * n * (n + 1.0))).sqrt()
    }

    /// The share below which it lies with chance `p`, strictly between 0 and 1.
    pub fn quantile(self, p: f64) -> Result<f64, NoShare> {
        if !(p > 0.0 && p < 1.0) {
            return Err(NoShare::BadConfidence);
        }
        Beta::new(self.yes, self.no).map(|d| d.inverse_cdf(p)).map_err(|_| NoShare::BadNumber)
    }

    /// The share with its central range, e.g. `confidence` 0.8.
    pub fn range(self, confidence: f64) -> Result<Share, NoShare> {
        if !(confidence > 0.0 && confidence < 1.0) {
            return Err(NoShare::BadConfidence);
        }
        let tail = (1.0 - confidence) / 2.0;
        Ok(Share { at: self.mean(), low: self.quantile(tail)?, high: self.quantile(1.0 - tail)? })
    }
}

/// Chance of exactly 0, 1, … n successes among independent trials each with its own chance.
///
/// Chances within 0..=1. The answer has one entry more than there are chances and sums to 1. Eggs of one clutch
/// share their luck, so for a clutch whose chance is itself uncertain this is too narrow: use [`count_given`].
pub fn poisson_binomial(chances: &[f64]) -> Result<Vec<f64>, NoShare> {
    let mut out = vec![1.0];
    for &p in chances {
        if !(0.0..=1.0).contains(&p) {
            return Err(NoShare::BadNumber);
        }
        out.push(0.0);
        for i in (0..out.len()).rev() {
            let before = if i == 0 { 0.0 } else { out[i - 1] };
            out[i] = out[i] * (1.0 - p) + before * p;
        }
    }
    Ok(out)
}

/// Chance of exactly 0…n successes of `n` whose common chance is only believed (beta-binomial).
pub fn count_given(n: u32, belief: Belief) -> Vec<f64> {
    use statrs::function::gamma::ln_gamma;
    let ln_beta = |a: f64, b: f64| ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b);
    let nf = f64::from(n);
    (0..=n)
        .map(|k| {
            let k = f64::from(k);
            let ln_choose = ln_gamma(nf + 1.0) - ln_gamma(k + 1.0) - ln_gamma(nf - k + 1.0);
            (ln_choose + ln_beta(belief.yes + k, belief.no + nf - k) - ln_beta(belief.yes, belief.no)).exp()
        })
        .collect()
}

/// The chances of the sum of two independent counts (two clutches, two weeks).
pub fn sum_of(a: &[f64], b: &[f64]) -> Vec<f64> {
    if a.is_empty() || b.is_empty() {
        return [a, b].concat();
    }
    let mut out = vec![0.0; a.len() + b.len() - 1];
    for (i, x) in a.iter().enumerate() {
        for (j, y) in b.iter().enumerate() {
            out[i + j] += x * y;
        }
    }
    out
}

/// The central range of a count from its chances: the smallest and largest count left when at most half of
/// `1 − confidence` is cut from each end.
pub fn count_range(chances: &[f64], confidence: f64) -> Option<(usize, usize)> {
    if chances.is_empty() || !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0 + 1e-12;
    let edge = |it: &mut dyn Iterator<Item = (usize, &f64)>| {
        let mut cut = 0.0;
        for (i, p) in it {
            cut += p;
            if cut > tail {
                return Some(i);
            }
        }
        None
    };
    Some((edge(&mut chances.iter().enumerate())?, edge(&mut chances.iter().enumerate().rev())?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_cannot_be_counted_is_refused() {
        assert_eq!(wilson(0, 0, 0.95), Err(NoShare::NothingCounted));
        assert_eq!(exact(3, 2, 0.95), Err(NoShare::MoreThanAll));
        assert_eq!(wilson(1, 2, 1.0), Err(NoShare::BadConfidence));
        assert_eq!(Belief::new(0.0, 1.0), Err(NoShare::BadNumber));
        assert_eq!(poisson_binomial(&[0.5, 1.2]), Err(NoShare::BadNumber));
    }

    #[test]
    fn a_flat_belief_counts_evenly() {
        for p in count_given(4, Belief { yes: 1.0, no: 1.0 }) {
            assert!((p - 0.2).abs() < 1e-12);
        }
    }

    proptest! {
        #[test]
        fn intervals_hold_the_share_and_mirror(k in 0u32..60, more in 0u32..60) {
            let n = (k + more).max(1);
            let k = k.min(n);
            for f in [wilson, exact] {
                let s = f(k, n, 0.9).expect("counts are sane");
                prop_assert!(0.0 <= s.low && s.low <= s.at && s.at <= s.high && s.high <= 1.0);
                let m = f(n - k, n, 0.9).expect("counts are sane");
                prop_assert!((m.low - (1.0 - s.high)).abs() < 1e-7 && (m.high - (1.0 - s.low)).abs() < 1e-7);
            }
        }

        #[test]
        fn chances_sum_to_one(ps in proptest::collection::vec(0.0f64..=1.0, 0..30)) {
            let all = poisson_binomial(&ps).expect("chances");
            prop_assert!((all.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            let mean: f64 = all.iter().enumerate().map(|(i, p)| i as f64 * p).sum();
            prop_assert!((mean - ps.iter().sum::<f64>()).abs() < 1e-9);
            let (lo, hi) = count_range(&all, 0.8).expect("not empty");
            prop_assert!(lo <= hi && all[lo..=hi].iter().sum::<f64>() >= 0.8 - 1e-9);
        }
    }
}
