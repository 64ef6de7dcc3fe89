//! The range of n equal draws: how long after the first egg of a clutch the last one pips.

use crate::gauss::{below, density};

/// Clutches larger than this are taken as this large: the range hardly grows beyond.
const MOST: usize = 64;

/// Where the lowest draw may lie, with its density and the chance of a draw below it: the same for every range asked for.
struct Lowest(Vec<(f64, f64, f64)>);

const FROM: f64 = -6.0;
const STEPS: u32 = 96;
const STEP: f64 = 12.0 / STEPS as f64;

impl Lowest {
    fn anywhere() -> Self {
        let at = |i| FROM + f64::from(i) * STEP;
        Self((0..=STEPS).map(at).map(|x| (x, density(x), below(x))).collect())
    }

    /// F(r) = n ∫ φ(x) [Φ(x + r) − Φ(x)]^(n−1) dx, x the lowest draw.
    fn below_range(&self, n: u32, r: f64) -> f64 {
        if r <= 0.0 {
            return 0.0;
        }
        let n = n.clamp(2, MOST as u32);
        let parts =
            self.0.iter().map(|&(x, density, under)| density * (below(x + r) - under).max(0.0).powi(n as i32 - 1));
        (f64::from(n) * parts.sum::<f64>() * STEP).clamp(0.0, 1.0)
    }
}

/// Chance that the range of `n` standard normals is at most `r`.
pub(crate) fn below_range(n: u32, r: f64) -> f64 {
    Lowest::anywhere().below_range(n, r)
}

/// The range not exceeded with chance `p`, given that it is more than `over`.
pub(crate) fn range_quantile(n: u32, p: f64, over: f64) -> f64 {
    let lowest = Lowest::anywhere();
    let gone = lowest.below_range(n, over);
    let aim = gone + p * (1.0 - gone);
    // Regula falsi in its Illinois form: the weight of an end that stays twice is halved.
    let (mut lo, mut hi) = (over.max(0.0), over.max(0.0) + 12.0);
    let (mut under, mut above) = (gone - aim, 1.0 - aim);
    let mut was_under = None;
    for _ in 0..60 {
        if hi - lo < 1e-10 || above <= under {
            break;
        }
        let r = lo - (hi - lo) * under / (above - under);
        let off = lowest.below_range(n, r) - aim;
        if off.abs() < 1e-13 {
            return r;
        }
        let is_under = off < 0.0;
        let twice = was_under == Some(is_under);
        if is_under {
            (lo, under) = (r, off);
            above *= if twice { 0.5 } else { 1.0 };
        } else {
            (hi, above) = (r, off);
            under *= if twice { 0.5 } else { 1.0 };
        }
        was_under = Some(is_under);
    }
    0.5 * (lo + hi)
}

/// Mean and standard deviation of the range of `n` standard normals; 0 for fewer than two.
pub(crate) fn range_moments(n: u32) -> (f64, f64) {
    let parts = |ten_millionths: u32| f64::from(ten_millionths) / 1e7;
    match n {
        0 | 1 => (0.0, 0.0),
        n => {
            let (mean, sd) = MOMENTS[(n as usize).min(MOST) - 2];
            (parts(mean), parts(sd))
        }
    }
}

/// The moments from two to [`MOST`], in ten millionths: integrating [`below_range`] for them would hold up the first
/// window of a start by more than everything else in it. A test integrates anew.
#[rustfmt::skip]
const MOMENTS: [(u32, u32); MOST - 1] = [
    (11_278_501, 8_543_005), (16_925_688, 8_894_239), (20_587_512, 8_808_721), (23_259_290, 8_651_663),
    (25_344_127, 8_491_445), (27_043_568, 8_343_298), (28_472_006, 8_209_743), (29_700_263, 8_089_940),
    (30_775_055, 7_982_261), (31_728_727, 7_885_045), (32_584_553, 7_796_817), (33_359_804, 7_716_322),
    (34_067_631, 7_642_508), (34_718_269, 7_574_502), (35_319_828, 7_511_572), (35_878_840, 7_453_107),
    (36_400_638, 7_398_591), (36_889_630, 7_347_586), (37_349_501, 7_299_718), (37_783_358, 7_254_668),
    (38_193_846, 7_212_159), (38_583_234, 7_171_951), (38_953_482, 7_133_835), (39_306_292, 7_097_629),
    (39_643_157, 7_063_169), (39_965_386, 7_030_314), (40_274_138, 6_998_936), (40_570_443, 6_968_922),
    (40_855_217, 6_940_172), (41_129_282, 6_912_594), (41_393_377, 6_886_107), (41_648_167, 6_860_636),
    (41_894_255, 6_836_115), (42_132_189, 6_812_483), (42_362_466, 6_789_683), (42_585_540, 6_767_666),
    (42_801_829, 6_746_386), (43_011_713, 6_725_798), (43_215_543, 6_705_866), (43_413_644, 6_686_551),
    (43_606_312, 6_667_822), (43_793_825, 6_649_647), (43_976_439, 6_631_998), (44_154_391, 6_614_848),
    (44_327_903, 6_598_173), (44_497_181, 6_581_949), (44_662_417, 6_566_156), (44_823_792, 6_550_774),
    (44_981_472, 6_535_783), (45_135_617, 6_521_167), (45_286_374, 6_506_909), (45_433_881, 6_492_994),
    (45_578_271, 6_479_407), (45_719_666, 6_466_135), (45_858_182, 6_453_164), (45_993_929, 6_440_484),
    (46_127_010, 6_428_081), (46_257_524, 6_415_947), (46_385_564, 6_404_070), (46_511_216, 6_392_442),
    (46_634_566, 6_381_052), (46_755_692, 6_369_892), (46_874_669, 6_358_954),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_the_integral() {
        for n in 2..=MOST as u32 {
            let (steps, step) = (60, 0.15);
            let (mut mean, mut square) = (0.0, 0.0);
            for i in 0..steps {
                let r = (f64::from(i) + 0.5) * step;
                let more = 1.0 - below_range(n, r);
                mean += more * step;
                square += 2.0 * r * more * step;
            }
            let sd = (square - mean * mean).max(0.0).sqrt();
            let (told, told_sd) = range_moments(n);
            assert!((told - mean).abs() < 1e-6 && (told_sd - sd).abs() < 1e-6, "{n}: {mean} {sd}");
        }
        assert_eq!(range_moments(500), range_moments(MOST as u32));
    }

    #[test]
    fn the_range_of_a_few_is_the_published_one() {
        // d2 and d3 of the control-chart tables (ASTM E2587; Montgomery, appendix VI).
        for (n, d2, d3) in
            [(2, 1.128, 0.853), (3, 1.693, 0.888), (5, 2.326, 0.864), (10, 3.078, 0.797), (25, 3.931, 0.708)]
        {
            let (mean, sd) = range_moments(n);
            assert!((mean - d2).abs() < 2e-3 && (sd - d3).abs() < 2e-3, "{n}: {mean} {sd}");
        }
    }

    #[test]
    fn a_pair_is_half_normal() {
        for p in [0.1, 0.5, 0.9] {
            let expected = 2f64.sqrt() * crate::gauss::quantile(0.5 + p / 2.0);
            assert!((range_quantile(2, p, 0.0) - expected).abs() < 1e-4, "{p}");
        }
        assert!(range_quantile(8, 0.5, 6.0) > 6.0);
    }

    #[test]
    fn the_quantile_undoes_the_chance() {
        for n in [2, 3, 8, 20, 64] {
            for over in [0.0, 0.4, 2.0, 4.5] {
                let gone = below_range(n, over);
                for p in [0.025, 0.1, 0.5, 0.9, 0.975] {
                    let r = range_quantile(n, p, over);
                    let told = (below_range(n, r) - gone) / (1.0 - gone);
                    assert!(r > over && (told - p).abs() < 1e-6, "{n} eggs, over {over}: {told} for {p}");
                }
            }
        }
    }
}
