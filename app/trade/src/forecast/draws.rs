//! Seeded draws: the same on every machine.

use crate::gauss::quantile;

/// SplitMix64 (Steele, Lea & Flood 2014): a counter and a mix of its bits.
pub(crate) struct Draws(u64);

impl Draws {
    /// The stream of a name under a seed.
    pub fn named(seed: u64, name: &str) -> Self {
        // FNV-1a over the name; the mix below spreads it.
        let hash =
            name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100_0000_01b3));
        let mut draws = Self(seed ^ hash);
        draws.next();
        draws
    }

    #[inline(always)]
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}

/// Bits of a draw that choose one of [`Normals`].
pub(crate) const BITS: u32 = 11;
const SIZE: usize = 1 << BITS;

/// A standard normal in equally likely steps: eleven bits of a draw are one value. Small enough to stay in the cache.
pub(crate) struct Normals(Box<[f32; SIZE]>);

impl Normals {
    pub fn new() -> Self {
        // Middles of the steps, stretched to a variance of exactly 1.
        let mut steps: Vec<f64> = (0..SIZE).map(|i| quantile((i as f64 + 0.5) / SIZE as f64)).collect();
        let sd = (steps.iter().map(|z| z * z).sum::<f64>() / SIZE as f64).sqrt();
        steps.iter_mut().for_each(|z| *z /= sd);
        let mut normals = Box::new([0.0; SIZE]);
        normals.iter_mut().zip(steps).for_each(|(normal, z)| *normal = z as f32);
        Self(normals)
    }

    /// By the lowest bits of `r`.
    #[inline(always)]
    pub fn at(&self, r: u64) -> f64 {
        f64::from(self.0[r as usize & (SIZE - 1)])
    }

    /// The same, given that it is above `floor`. Beyond the last step it is the last step.
    pub fn above(&self, floor: f64, r: u64) -> f64 {
        let gone = self.0.partition_point(|z| f64::from(*z) <= floor);
        let at = gone + (((r as usize & (SIZE - 1)) * (SIZE - gone)) >> BITS);
        f64::from(self.0[at.min(SIZE - 1)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_stream() {
        // First values of SplitMix64 from state 1234567, as Vigna's reference code gives them.
        let mut d = Draws(1234567);
        let first: Vec<u64> = (0..3).map(|_| d.next()).collect();
        assert_eq!(first, [6457827717110365317, 3203168211198807973, 9817491932198370423]);
    }

    #[test]
    fn normals_have_no_bias() {
        let n = Normals::new();
        let mean = n.0.iter().map(|z| f64::from(*z)).sum::<f64>() / SIZE as f64;
        assert!(mean.abs() < 1e-6);
        assert!((n.0[SIZE / 10] + 1.2816).abs() < 0.01);
        for (floor, r) in [(-9.0, 0u64), (0.5, 1), (1.0, 2047), (9.0, 17)] {
            let z = n.above(floor, r);
            assert!(z > floor || floor > 4.0, "{floor} {z}");
        }
        let above: f64 = (0..SIZE as u64).map(|r| n.above(0.0, r)).sum::<f64>() / SIZE as f64;
        assert!((above - 0.798).abs() < 0.002, "half a normal's mean: {above}");
    }
}
