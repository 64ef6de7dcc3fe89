//! The square code itself (ISO/IEC 18004): the `qrcode` crate's encoder, fed with the cheapest split
//! into its modes.
//!
//! The split is ours because the crate's own is greedy: on our links it falls into byte mode at the `#`
//! and stays there, which costs a whole version (found on links of 43 to 55 characters).

use qrcode::bits::Bits;
use qrcode::canvas::{Canvas, MaskPattern};
use qrcode::ec::construct_codewords;
use qrcode::optimize::Segment;
use qrcode::types::Mode;
use qrcode::{Color, EcLevel, QrCode, Version};

/// A square code: rows of modules, without the white around it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Matrix {
    /// Modules a side.
    pub side: usize,
    /// Row by row, true where dark.
    pub dark: Vec<bool>,
    /// 1–40; `side` is `17 + 4 × version`.
    pub version: i16,
    pub level: EcLevel,
}

/// Modules of white that the standard asks for on every side.
pub const QUIET: usize = 4;

const MODES: [Mode; 3] = [Mode::Numeric, Mode::Alphanumeric, Mode::Byte];

fn takes(mode: Mode, b: u8) -> bool {
    match mode {
        Mode::Numeric => b.is_ascii_digit(),
        Mode::Alphanumeric => b.is_ascii_digit() || b.is_ascii_uppercase() || b" $%*+-./:".contains(&b),
        Mode::Byte | Mode::Kanji => true,
    }
}

/// Sixths of a bit for one character.
fn cost(mode: Mode) -> usize {
    match mode {
        Mode::Numeric => 20,
        Mode::Alphanumeric => 33,
        Mode::Byte | Mode::Kanji => 48,
    }
}

/// The split into modes that needs the fewest bits at `version`: each character's cheapest way here from
/// each mode before it.
fn split(data: &[u8], version: Version) -> Vec<Segment> {
    let head = |m: Mode| 6 * (version.mode_bits_count() + m.length_bits_count(version));
    let mut best = MODES.map(head);
    let mut came_from: Vec<[usize; 3]> = Vec::with_capacity(data.len());
    for (i, &b) in data.iter().enumerate() {
        let before = best;
        let mut from = [0, 1, 2];
        for (m, &mode) in MODES.iter().enumerate() {
            let switched =
                |p: usize| if p == m || i == 0 { before[p] } else { round_up(before[p]).saturating_add(head(mode)) };
            if i > 0 {
                from[m] = (0..3).min_by_key(|&p| switched(p)).unwrap_or(m);
            }
            best[m] = if takes(mode, b) { switched(from[m]).saturating_add(cost(mode)) } else { usize::MAX };
        }
        came_from.push(from);
    }
    let mut mode = (0..3).min_by_key(|&m| best[m]).unwrap_or(2);
    let mut modes = vec![mode; data.len()];
    for i in (0..data.len()).rev() {
        modes[i] = mode;
        mode = came_from[i][mode];
    }
    let mut out: Vec<Segment> = Vec::new();
    for (i, &m) in modes.iter().enumerate() {
        match out.last_mut() {
            Some(last) if last.mode == MODES[m] => last.end = i + 1,
            _ => out.push(Segment { mode: MODES[m], begin: i, end: i + 1 }),
        }
    }
    out
}

/// Sixths up to the whole bit: a segment never ends within one.
fn round_up(sixths: usize) -> usize {
    sixths.checked_next_multiple_of(6).unwrap_or(usize::MAX)
}

fn bits(data: &[u8], version: i16, level: EcLevel) -> Option<Bits> {
    let version = Version::Normal(version);
    let mut bits = Bits::new(version);
    bits.push_segments(data, split(data, version).into_iter()).ok()?;
    bits.push_terminator(level).ok()?;
    Some(bits)
}

/// The smallest version that holds `text` at level M, and the highest level that version has room for.
pub(crate) fn smallest(text: &str) -> Option<(i16, EcLevel)> {
    let data = text.as_bytes();
    let version = (1..=40).find(|&v| bits(data, v, EcLevel::M).is_some())?;
    let level = [EcLevel::H, EcLevel::Q].into_iter().find(|&l| bits(data, version, l).is_some());
    Some((version, level.unwrap_or(EcLevel::M)))
}

impl Matrix {
    /// The code for a text: the smallest version at level M or better. `None` when it is longer than any
    /// square code holds (about 2300 bytes).
    pub fn of(text: &str) -> Option<Self> {
        let (version, level) = smallest(text)?;
        let code = QrCode::with_bits(bits(text.as_bytes(), version, level)?, level).ok()?;
        let dark = code.to_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Self { side: code.width(), dark, version, level })
    }

    /// The code of this version (1 to 40) for bytes of any value, at the lowest level of correction: a screen has no dirt.
    /// `None` when they do not fit.
    pub fn of_bytes(bytes: &[u8], version: i16) -> Option<Self> {
        let mut bits = Bits::new(Version::Normal(version));
        // One segment: a split by what bytes happen to look like may need more room than there is.
        bits.push_byte_data(bytes).and_then(|()| bits.push_terminator(EcLevel::L)).ok()?;
        let padding = bits.max_len(EcLevel::L).ok()?.saturating_sub(8 * bytes.len());
        let (data, correction) = construct_codewords(&bits.into_bytes(), Version::Normal(version), EcLevel::L).ok()?;
        let mut code = Canvas::new(Version::Normal(version), EcLevel::L);
        code.draw_all_functional_patterns();
        code.draw_data(&data, &correction);
        // What fills a code is packed, and looks like chance under any mask. Padding does not: there the best is found,
        // which takes ten times as long.
        match padding < 100 * 8 {
            true => code.apply_mask(MaskPattern::Checkerboard),
            false => code = code.apply_best_mask(),
        }
        let dark = code.into_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Self { side: 17 + 4 * usize::try_from(version).ok()?, dark, version, level: EcLevel::L })
    }

    /// Whether a module is dark; outside the code all is white.
    pub fn is_dark(&self, column: usize, row: usize) -> bool {
        column < self.side && self.dark.get(row * self.side + column).copied().unwrap_or(false)
    }

    /// Horizontal runs of dark modules: column, row, length.
    pub fn runs(&self) -> impl Iterator<Item = (usize, usize, usize)> + '_ {
        (0..self.side).flat_map(move |row| {
            let mut column = 0;
            std::iter::from_fn(move || {
                while column < self.side && !self.is_dark(column, row) {
                    column += 1;
                }
                let begin = column;
                while self.is_dark(column, row) {
                    column += 1;
                }
                (column > begin).then_some((begin, row, column - begin))
            })
        })
    }

    /// Modules a side with the white around.
    pub fn with_quiet(&self) -> usize {
        self.side + 2 * QUIET
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(text: &str, version: i16, level: EcLevel) {
        let m = Matrix::of(text).expect("fits");
        assert_eq!((m.version, m.level, m.side), (version, level, 17 + 4 * version as usize), "{text}");
    }

    // Capacities: ISO/IEC 18004 table 7 (3-M: 61 alphanumeric, 42 bytes; 3-Q: 47; 2-M: 38; 4-Q: 67, 46).
    #[test]
    fn sizes() {
        check(&"A".repeat(61), 3, EcLevel::M);
        check(&"A".repeat(62), 4, EcLevel::Q);
        check(&"A".repeat(47), 3, EcLevel::Q);
        check(&"A".repeat(38), 2, EcLevel::M);
        check(&"a".repeat(42), 3, EcLevel::M);
        check(&"a".repeat(43), 4, EcLevel::Q);
        check("HTTPS://ALDERLANE.EXAMPLE/#/B/7K3QX2M9.27P1.29A46.9.KNG", 3, EcLevel::M);
        assert_eq!(Matrix::of(&"a".repeat(3000)), None);
        check("", 1, EcLevel::H);
    }

    proptest! {
        #[test]
        fn segments_cover_the_text_in_modes_that_take_it(s in "[A-Za-z0-9#./]{0,80}") {
            let mut at = 0;
            for segment in split(s.as_bytes(), Version::Normal(5)) {
                prop_assert_eq!(segment.begin, at);
                prop_assert!(s.as_bytes()[segment.begin..segment.end].iter().all(|&b| takes(segment.mode, b)));
                at = segment.end;
            }
            prop_assert_eq!(at, s.len());
        }

        #[test]
        fn never_larger_than_the_encoders_own_split(s in "[A-Za-z0-9#./]{0,80}") {
            let theirs = QrCode::with_error_correction_level(&s, EcLevel::M).expect("fits");
            prop_assert!(Matrix::of(&s).expect("fits").side <= theirs.width());
        }

        #[test]
        fn runs_are_the_dark_modules(s in "[A-Z0-9]{0,40}") {
            let m = Matrix::of(&s).expect("fits");
            let mut again = vec![false; m.side * m.side];
            for (column, row, length) in m.runs() {
                again[row * m.side + column..][..length].fill(true);
            }
            prop_assert_eq!(again, m.dark);
        }
    }

    // Capacities: ISO/IEC 18004 table 7.
    #[test]
    fn bytes_of_any_value_fill_a_code_to_the_last() {
        for (version, most) in [(10, 271), (15, 520), (20, 858), (25, 1273)] {
            let bytes: Vec<u8> = (0..most + 1).map(|i| (i * 7) as u8).collect();
            let code = Matrix::of_bytes(&bytes[..most], version).expect("fits");
            assert_eq!((code.version, code.side), (version, 17 + 4 * version as usize));
            assert_eq!(Matrix::of_bytes(&bytes, version), None);
            // Digits alone would fit in less, and are not split off.
            assert!(Matrix::of_bytes(&vec![b'1'; most], version).is_some());
        }
    }
}
