//! Reed–Solomon correction over GF(256) with the field and roots of ISO/IEC 18004, errors and erasures together
//! (Berlekamp–Massey started from the erasure locator, Forney for the values; Blahut, *Algebraic Codes for Data
//! Transmission*, 2003, ch. 7).

/// Logarithms and powers of the generator 2 modulo x⁸+x⁴+x³+x²+1.
pub struct Field {
    exp: [u8; 510],
    log: [u8; 256],
}

impl Default for Field {
    fn default() -> Field {
        let (mut exp, mut log) = ([0; 510], [0; 256]);
        let mut x = 1_usize;
        for i in 0..255 {
            exp[i] = x as u8;
            exp[i + 255] = x as u8;
            log[x] = i as u8;
            x <<= 1;
            if x > 255 {
                x ^= 0x11d;
            }
        }
        Field { exp, log }
    }
}

impl Field {
    fn mul(&self, a: u8, b: u8) -> u8 {
        if a == 0 || b == 0 {
            0
        } else {
            self.exp[usize::from(self.log[usize::from(a)]) + usize::from(self.log[usize::from(b)])]
        }
    }

    fn div(&self, a: u8, b: u8) -> u8 {
        if a == 0 || b == 0 {
            0
        } else {
            self.exp[usize::from(self.log[usize::from(a)]) + 255 - usize::from(self.log[usize::from(b)])]
        }
    }

    fn eval(&self, poly: &[u8], x: u8) -> u8 {
        poly.iter().rev().fold(0, |sum, &c| self.mul(sum, x) ^ c)
    }

    fn syndromes(&self, block: &[u8], ec: usize) -> Vec<u8> {
        (0..ec).map(|j| block.iter().fold(0, |sum, &c| self.mul(sum, self.exp[j]) ^ c)).collect()
    }

    /// Corrects a block of at most 255 codewords, the last `ec` of them for correction, given the places known to be
    /// doubtful. Gives how many errors there were outside those places, or `None` (block unchanged) when it cannot be
    /// corrected within `2 × errors + erasures ≤ ec`.
    pub fn correct(&self, block: &mut [u8], ec: usize, erasures: &[usize]) -> Option<usize> {
        let len = block.len();
        let doubtful = erasures.len();
        if len > 255 || ec >= len || doubtful > ec || erasures.iter().any(|&p| p >= len) {
            return None;
        }
        let s = self.syndromes(block, ec);
        if s.iter().all(|&v| v == 0) {
            return Some(0);
        }
        let mut lambda = vec![0_u8; ec + 2];
        lambda[0] = 1;
        for (k, &p) in erasures.iter().enumerate() {
            let x = self.exp[len - 1 - p];
            for i in (1..=k + 1).rev() {
                lambda[i] ^= self.mul(lambda[i - 1], x);
            }
        }
        let mut b = lambda.clone();
        let mut degree = doubtful;
        for r in doubtful + 1..=ec {
            let delta = (0..=degree.min(r - 1)).fold(0, |sum, j| sum ^ self.mul(lambda[j], s[r - 1 - j]));
            b.rotate_right(1);
            b[0] = 0;
            if delta == 0 {
                continue;
            }
            let next: Vec<u8> = lambda.iter().zip(&b).map(|(&l, &v)| l ^ self.mul(delta, v)).collect();
            if 2 * degree < r + doubtful {
                degree = r + doubtful - degree;
                b = lambda.iter().map(|&l| self.div(l, delta)).collect();
            }
            lambda = next;
        }
        if degree > ec || 2 * degree > ec + doubtful || lambda[degree + 1..].iter().any(|&c| c != 0) {
            return None;
        }
        let omega: Vec<u8> = (0..ec).map(|i| (0..=i).fold(0, |sum, j| sum ^ self.mul(s[i - j], lambda[j]))).collect();
        let mut fixed = block.to_vec();
        let mut roots = 0;
        for (p, value) in fixed.iter_mut().enumerate() {
            let x = self.exp[len - 1 - p];
            let inverse = self.div(1, x);
            if self.eval(&lambda, inverse) != 0 {
                continue;
            }
            roots += 1;
            let square = self.mul(inverse, inverse);
            let slope = lambda.iter().skip(1).step_by(2).rev().fold(0, |sum, &c| self.mul(sum, square) ^ c);
            if slope == 0 {
                return None;
            }
            *value ^= self.mul(x, self.div(self.eval(&omega, inverse), slope));
        }
        if roots != degree || self.syndromes(&fixed, ec).iter().any(|&v| v != 0) {
            return None;
        }
        block.copy_from_slice(&fixed);
        Some(degree - doubtful)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The code word of some data: the remainder by the generator polynomial, long division.
    fn encode(f: &Field, data: &[u8], ec: usize) -> Vec<u8> {
        let mut generator = vec![1_u8];
        for i in 0..ec {
            let mut next = generator.clone();
            next.push(0);
            for (k, &g) in generator.iter().enumerate() {
                next[k + 1] ^= f.mul(g, f.exp[i]);
            }
            generator = next;
        }
        let mut rest = data.to_vec();
        rest.resize(data.len() + ec, 0);
        for i in 0..data.len() {
            let c = rest[i];
            for (k, &g) in generator.iter().enumerate() {
                rest[i + k] ^= f.mul(g, c);
            }
        }
        [data, &rest[data.len()..]].concat()
    }

    proptest! {
        #[test]
        fn errors_and_erasures_up_to_the_bound_are_corrected(
            data in prop::collection::vec(any::<u8>(), 8..60),
            ec in 7_usize..30,
            places in prop::collection::vec((any::<prop::sample::Index>(), 1_u8..=255), 30),
            share in 0.0_f64..1.0,
        ) {
            let f = Field::default();
            let sent = encode(&f, &data, ec);
            let doubtful = (share * ec as f64) as usize;
            let errors = (ec - doubtful) / 2;
            let mut got = sent.clone();
            let mut hit: Vec<usize> = vec![];
            for (index, flip) in places {
                let p = index.index(got.len());
                if hit.len() < doubtful + errors && !hit.contains(&p) {
                    got[p] ^= flip;
                    hit.push(p);
                }
            }
            let erasures: Vec<usize> = hit.iter().copied().take(doubtful).collect();
            prop_assert_eq!(f.correct(&mut got, ec, &erasures), Some(hit.len() - erasures.len()));
            prop_assert_eq!(got, sent);
        }

        #[test]
        fn any_bytes_are_answered(mut block in prop::collection::vec(any::<u8>(), 0..260), ec in 0_usize..40,
                                  erasures in prop::collection::vec(0_usize..300, 0..40)) {
            let before = block.clone();
            if Field::default().correct(&mut block, ec, &erasures).is_none() {
                prop_assert_eq!(block, before);
            }
        }
    }
}
