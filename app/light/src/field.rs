//! GF(256) by a table of products: a pass over a block looks up one byte for each.

/// All products, by factor.
pub struct Field {
    rows: Box<[[u8; 256]]>,
    inverse: [u8; 256],
}

impl Default for Field {
    /// Modulo x⁸+x⁴+x³+x²+1.
    fn default() -> Field {
        let double = |v: u8| v << 1 ^ if v & 0x80 == 0 { 0 } else { 0x1d };
        let mut rows = vec![[0_u8; 256]; 256].into_boxed_slice();
        let mut inverse = [0; 256];
        for (factor, row) in (0..=255_u8).zip(rows.iter_mut()) {
            for (value, out) in (0..=255_u8).zip(row.iter_mut()) {
                let (mut left, mut shifted) = (factor, value);
                while left != 0 {
                    if left & 1 == 1 {
                        *out ^= shifted;
                    }
                    shifted = double(shifted);
                    left >>= 1;
                }
                if *out == 1 {
                    inverse[usize::from(factor)] = value;
                }
            }
        }
        Field { rows, inverse }
    }
}

impl Field {
    /// One over `value`; 0 for 0.
    pub fn inverse(&self, value: u8) -> u8 {
        self.inverse[usize::from(value)]
    }

    /// Adds `factor` times `from` to `into`, as far as both reach.
    pub fn add(&self, into: &mut [u8], from: &[u8], factor: u8) {
        match factor {
            0 => {}
            1 => into.iter_mut().zip(from).for_each(|(to, &value)| *to ^= value),
            _ => {
                let row = &self.rows[usize::from(factor)];
                into.iter_mut().zip(from).for_each(|(to, &value)| *to ^= row[usize::from(value)]);
            }
        }
    }

    pub fn scale(&self, values: &mut [u8], factor: u8) {
        if factor != 1 {
            let row = &self.rows[usize::from(factor)];
            values.iter_mut().for_each(|value| *value = row[usize::from(*value)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_but_nought_has_an_inverse_and_products_share_out() {
        let field = Field::default();
        for a in 0..=255_u8 {
            let mut one = [a];
            field.scale(&mut one, field.inverse(a));
            assert_eq!(one[0], u8::from(a != 0));
            for b in 0..=255_u8 {
                // a × (b + 87) = a × b + a × 87
                let (mut whole, mut parts) = ([0], [0]);
                field.add(&mut whole, &[b ^ 87], a);
                field.add(&mut parts, &[b], a);
                field.add(&mut parts, &[87], a);
                assert_eq!(whole, parts);
            }
        }
    }
}
