//! The data bits of a symbol as what they say.

struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Bits<'_> {
    fn left(&self) -> usize {
        self.bytes.len() * 8 - self.at
    }

    fn take(&mut self, count: usize) -> Option<usize> {
        if count > self.left() {
            return None;
        }
        let mut value = 0;
        for _ in 0..count {
            value = value << 1 | usize::from(self.bytes[self.at / 8] >> (7 - self.at % 8) & 1);
            self.at += 1;
        }
        Some(value)
    }
}

const ALPHANUMERIC: &[u8; 45] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

/// What the data codewords of a symbol up to version 26 say (`long_counts` from version 10 on), and whether the padding
/// after it is as the standard has it. `None` when a segment breaks off, a mode is one we do not read, or nothing is said
/// at all.
pub fn said(bytes: &[u8], long_counts: bool) -> Option<(Vec<u8>, bool)> {
    let mut bits = Bits { bytes, at: 0 };
    let mut out: Vec<u8> = vec![];
    while bits.left() >= 4 {
        match bits.take(4)? {
            0 => break,
            1 => {
                let mut left = bits.take(if long_counts { 12 } else { 10 })?;
                while left > 0 {
                    let digits = left.min(3);
                    let value = bits.take([0, 4, 7, 10][digits])?;
                    let digit = |power: usize| (value / power % 10) as u8 + b'0';
                    if value >= [1, 10, 100, 1000][digits] {
                        return None;
                    }
                    out.extend([digit(100), digit(10), digit(1)].iter().skip(3 - digits));
                    left -= digits;
                }
            }
            2 => {
                let mut left = bits.take(if long_counts { 11 } else { 9 })?;
                while left > 1 {
                    let pair = bits.take(11)?;
                    out.push(*ALPHANUMERIC.get(pair / 45)?);
                    out.push(ALPHANUMERIC[pair % 45]);
                    left -= 2;
                }
                if left == 1 {
                    out.push(*ALPHANUMERIC.get(bits.take(6)?)?);
                }
            }
            4 => {
                let count = bits.take(if long_counts { 16 } else { 8 })?;
                for _ in 0..count {
                    out.push(bits.take(8)? as u8);
                }
            }
            // The character set's number: what follows is tried as UTF-8 either way.
            7 => {
                let first = bits.take(8)?;
                if first & 0x80 != 0 {
                    bits.take(if first & 0x40 != 0 { 16 } else { 8 })?;
                }
            }
            _ => return None,
        }
    }
    if out.is_empty() {
        return None;
    }
    let mut padded = true;
    let tail = bits.at % 8;
    if tail != 0 {
        padded &= bits.take(8 - tail)? == 0;
    }
    for (i, &byte) in bytes[bits.at / 8..].iter().enumerate() {
        padded &= byte == [0xec, 0x11][i % 2];
    }
    Some((out, padded))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use qrcode::{EcLevel, Version, bits};

    #[test]
    fn texts_come_back() {
        for text_in in ["7K3QX2M9", "HTTPS://BARN.EXAMPLE/#/B/7K3QX2M9.260609", "0123456789012", "Moss äöü", "a", "12"]
        {
            for version in [4, 10, 25] {
                let mut coded = bits::Bits::new(Version::Normal(version));
                coded.push_optimal_data(text_in.as_bytes()).expect("fits");
                coded.push_terminator(EcLevel::L).expect("fits");
                let got = said(&coded.into_bytes(), version >= 10);
                assert_eq!(got, Some((text_in.as_bytes().to_vec(), true)), "{text_in} in version {version}");
            }
        }
    }

    proptest! {
        #[test]
        fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..300), long in any::<bool>()) {
            if let Some((said, _)) = said(&bytes, long) {
                prop_assert!(!said.is_empty());
            }
        }
    }
}
