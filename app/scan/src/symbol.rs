//! What a QR symbol of a given version looks like (ISO/IEC 18004): which modules are fixed, where the data runs, how
//! it is split into blocks. Versions 1 to 25.

/// Largest version read: 117 × 117 modules.
pub const MAX_VERSION: usize = 25;
/// Largest version a label can carry: 57 × 57 modules.
pub const MAX_LABEL: usize = 10;
/// The versions that another device's screen shows: see `light::Pace`.
pub const ON_SCREENS: [usize; 4] = [10, 15, 20, 25];

/// Marks that tell roughly how a pose fits.
const FEW: usize = 144;

/// Data + error-correction codewords, by version.
const CODEWORDS: [usize; MAX_VERSION] = [
    26, 44, 70, 100, 134, 172, 196, 242, 292, 346, 404, 466, 532, 581, 655, 733, 815, 901, 991, 1085, 1156, 1258, 1364,
    1474, 1588,
];

/// Error-correction codewords per block, by level (L, M, Q, H) and version.
const EC_PER_BLOCK: [[usize; MAX_VERSION]; 4] = [
    [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26],
    [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26, 26, 28, 28, 28, 28],
    [13, 22, 18, 26, 18, 24, 18, 22, 20, 24, 28, 26, 24, 20, 30, 24, 28, 28, 26, 30, 28, 30, 30, 30, 30],
    [17, 28, 22, 16, 22, 28, 26, 26, 24, 28, 24, 28, 22, 24, 24, 30, 28, 28, 26, 28, 30, 24, 30, 30, 30],
];

/// Number of blocks, by level (L, M, Q, H) and version.
const BLOCKS: [[usize; MAX_VERSION]; 4] = [
    [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12],
    [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16, 17, 17, 18, 20, 21],
    [1, 1, 2, 2, 4, 4, 6, 6, 8, 8, 8, 10, 12, 16, 12, 17, 16, 18, 21, 20, 23, 23, 25, 27, 29],
    [1, 1, 2, 4, 4, 4, 5, 6, 8, 8, 11, 11, 16, 16, 18, 16, 19, 21, 25, 25, 25, 34, 30, 32, 35],
];

/// Alignment pattern centres other than 6, by version.
const ALIGNMENT: [&[usize]; MAX_VERSION] = [
    &[],
    &[18],
    &[22],
    &[26],
    &[30],
    &[34],
    &[22, 38],
    &[24, 42],
    &[26, 46],
    &[28, 50],
    &[30, 54],
    &[32, 58],
    &[34, 62],
    &[26, 46, 66],
    &[26, 48, 70],
    &[26, 50, 74],
    &[30, 54, 78],
    &[30, 56, 82],
    &[30, 58, 86],
    &[34, 62, 90],
    &[28, 50, 72, 94],
    &[26, 50, 74, 98],
    &[30, 54, 78, 102],
    &[28, 54, 80, 106],
    &[32, 58, 84, 110],
];

/// One fixed module: its centre in modules from the top left corner, and what it must be.
#[derive(Clone, Copy)]
pub struct Mark {
    pub x: f32,
    pub y: f32,
    /// Its weight where it is dark, less than nothing where it is light.
    pub pull: f32,
    /// How much it tells about the pose: timing and alignment modules lie far from the finders and tell more.
    pub weight: f32,
}

/// The layout of one version.
pub struct Layout {
    pub version: usize,
    /// Modules a side.
    pub n: usize,
    /// Fixed colour of each module, row by row; `None` for data and format modules.
    pub fixed: Vec<Option<bool>>,
    /// The fixed modules, and one white module outside each finder edge.
    pub marks: Vec<Mark>,
    /// Their weights together.
    pub mark_weight: f32,
    /// The first so many marks are from everywhere; their weights together.
    pub few: usize,
    pub few_weight: f32,
    /// For each codeword its eight modules, most significant bit first.
    pub codewords: Vec<[usize; 8]>,
    /// The two copies of the 15 format bits, least significant first.
    pub format: [[usize; 15]; 2],
}

impl Layout {
    /// The layout of a version from 1 to [`MAX_VERSION`]; a number outside is brought to the nearest.
    pub fn new(version: usize) -> Layout {
        let version = version.clamp(1, MAX_VERSION);
        let n = 17 + 4 * version;
        let mut fixed: Vec<Option<bool>> = vec![None; n * n];
        let mut function = vec![false; n * n];
        let mut weight = vec![1.0_f32; n * n];
        let mut put = |x: usize, y: usize, dark: Option<bool>, w: f32| {
            fixed[y * n + x] = dark;
            function[y * n + x] = true;
            weight[y * n + x] = w;
        };
        for i in 8..n - 8 {
            put(i, 6, Some(i % 2 == 0), 3.0);
            put(6, i, Some(i % 2 == 0), 3.0);
        }
        for (ox, oy) in [(0, 0), (n - 7, 0), (0, n - 7)] {
            // The finder with its separator, cut off at the symbol's edge.
            for dy in -1..8_i32 {
                for dx in -1..8_i32 {
                    let (x, y) = (ox as i32 + dx, oy as i32 + dy);
                    if x < 0 || y < 0 || x >= n as i32 || y >= n as i32 {
                        continue;
                    }
                    let ring = (dx - 3).abs().max((dy - 3).abs());
                    put(x as usize, y as usize, Some(ring != 2 && ring != 4), 1.0);
                }
            }
        }
        let mut centres = vec![];
        let at: Vec<usize> =
            if version == 1 { vec![] } else { [6].iter().chain(ALIGNMENT[version - 1]).copied().collect() };
        for &cy in &at {
            for &cx in &at {
                // The three that would lie on a finder are left out.
                let (first, last) = ((cx == 6, cy == 6), (cx + 9 > n, cy + 9 > n));
                if first != (true, true) && !(first.0 && last.1) && !(first.1 && last.0) {
                    centres.push((cx, cy));
                }
            }
        }
        for &(cx, cy) in &centres {
            for y in cy - 2..=cy + 2 {
                for x in cx - 2..=cx + 2 {
                    let ring = x.abs_diff(cx).max(y.abs_diff(cy));
                    put(x, y, Some(ring != 1), 3.0);
                }
            }
        }
        let near = |i: usize| match i {
            0..=5 => (8, i),
            6 => (8, 7),
            7 => (8, 8),
            8 => (7, 8),
            _ => (14 - i, 8),
        };
        let far = |i: usize| if i < 8 { (n - 1 - i, 8) } else { (8, n + i - 15) };
        let format = [std::array::from_fn(near), std::array::from_fn(far)].map(|copy: [(usize, usize); 15]| {
            copy.map(|(x, y)| {
                put(x, y, None, 1.0);
                y * n + x
            })
        });
        put(8, n - 8, Some(true), 1.0);
        if version >= 7 {
            let mut rem = version;
            for _ in 0..12 {
                rem = (rem << 1) ^ ((rem >> 11) * 0x1f25);
            }
            let bits = version << 12 | rem;
            for i in 0..18 {
                let (a, b) = (n - 11 + i % 3, i / 3);
                let dark = Some(bits >> i & 1 == 1);
                put(a, b, dark, 1.0);
                put(b, a, dark, 1.0);
            }
        }
        let marks = marks(n, &fixed, &weight);
        let mark_weight = marks.iter().map(|mark| mark.weight).sum();
        let few = marks.len().min(FEW);
        let few_weight = marks[..few].iter().map(|mark| mark.weight).sum();
        let codewords = data_run(n, &function);
        Layout { version, n, fixed, marks, mark_weight, few, few_weight, codewords, format }
    }

    /// The blocks at an error-correction level (0 = L, 1 = M, 2 = Q, 3 = H): for each the codeword numbers in the
    /// order of the block, and how many of them are for correction.
    pub fn blocks(&self, level: usize) -> (Vec<Vec<usize>>, usize) {
        let level = level.min(3);
        let ec = EC_PER_BLOCK[level][self.version - 1];
        let count = BLOCKS[level][self.version - 1];
        let total = CODEWORDS[self.version - 1];
        let short = count - total % count;
        let short_data = total / count - ec;
        let mut blocks: Vec<Vec<usize>> = vec![vec![]; count];
        let mut next = 0;
        for i in 0..=short_data {
            for (k, block) in blocks.iter_mut().enumerate() {
                if i < short_data || k >= short {
                    block.push(next);
                    next += 1;
                }
            }
        }
        for _ in 0..ec {
            for block in &mut blocks {
                block.push(next);
                next += 1;
            }
        }
        (blocks, ec)
    }
}

fn marks(n: usize, fixed: &[Option<bool>], weight: &[f32]) -> Vec<Mark> {
    let mut marks = vec![];
    for y in 0..n {
        for x in 0..n {
            if let Some(dark) = fixed[y * n + x] {
                let weight = weight[y * n + x];
                let pull = if dark { weight } else { -weight };
                marks.push(Mark { x: x as f32 + 0.5, y: y as f32 + 0.5, pull, weight });
            }
        }
    }
    let far = n as f32 + 0.5;
    let mut white = |x: f32, y: f32| marks.push(Mark { x, y, pull: -1.0, weight: 1.0 });
    for i in 0..7 {
        let (near, end) = (i as f32 + 0.5, (n - 7 + i) as f32 + 0.5);
        for along in [near, end] {
            white(along, -0.5);
            white(-0.5, along);
        }
        white(near, far);
        white(far, near);
    }
    // Mixed by the golden section, so that the first few are from everywhere and a bad fit shows early.
    let mixed = |i: usize| (i as f32 * 0.618_034).fract();
    let mut order: Vec<usize> = (0..marks.len()).collect();
    order.sort_by(|&a, &b| mixed(a).total_cmp(&mixed(b)));
    order.into_iter().map(|i| marks[i]).collect()
}

/// The modules of each codeword, in the zigzag from the bottom right.
fn data_run(n: usize, function: &[bool]) -> Vec<[usize; 8]> {
    let mut bits = vec![];
    let mut right = n as i32 - 1;
    while right >= 1 {
        if right == 6 {
            right = 5;
        }
        for i in 0..n {
            for x in [right as usize, right as usize - 1] {
                let upward = (right + 1) & 2 == 0;
                let y = if upward { n - 1 - i } else { i };
                if !function[y * n + x] {
                    bits.push(y * n + x);
                }
            }
        }
        right -= 2;
    }
    bits.chunks_exact(8).filter_map(|c| c.try_into().ok()).collect()
}

/// Whether a mask pattern (0 to 7) flips the module in column `x`, row `y`.
pub fn masked(mask: usize, x: usize, y: usize) -> bool {
    match mask {
        0 => (x + y).is_multiple_of(2),
        1 => y.is_multiple_of(2),
        2 => x.is_multiple_of(3),
        3 => (x + y).is_multiple_of(3),
        4 => (x / 3 + y / 2).is_multiple_of(2),
        5 => x * y % 2 + x * y % 3 == 0,
        6 => (x * y % 2 + x * y % 3).is_multiple_of(2),
        _ => ((x + y) % 2 + x * y % 3).is_multiple_of(2),
    }
}

/// The 15 format bits of a level (0 = L, 1 = M, 2 = Q, 3 = H) and mask.
pub fn format_bits(level: usize, mask: usize) -> usize {
    let data = [1, 0, 3, 2][level.min(3)] << 3 | mask;
    let mut rem = data;
    for _ in 0..10 {
        rem = (rem << 1) ^ ((rem >> 9) * 0x537);
    }
    (data << 10 | rem) ^ 0x5412
}

#[cfg(test)]
mod tests {
    use super::*;
    use qrcode::{EcLevel, QrCode, Version};

    const LEVELS: [EcLevel; 4] = [EcLevel::L, EcLevel::M, EcLevel::Q, EcLevel::H];

    fn drawn(version: usize, level: usize) -> Vec<bool> {
        QrCode::with_version(b"7K3QX2M9", Version::Normal(version as i16), LEVELS[level])
            .expect("fits")
            .to_colors()
            .iter()
            .map(|c| *c == qrcode::Color::Dark)
            .collect()
    }

    #[test]
    fn fixed_modules_and_format_agree_with_an_independent_encoder() {
        for version in 1..=MAX_VERSION {
            let layout = Layout::new(version);
            assert_eq!(layout.codewords.len(), CODEWORDS[version - 1], "version {version}");
            for level in 0..4 {
                let dark = drawn(version, level);
                for (i, fixed) in layout.fixed.iter().enumerate() {
                    assert!(fixed.is_none_or(|f| f == dark[i]), "version {version}, module {i}");
                }
                let read = |copy: usize| (0..15).fold(0, |b, i| b | usize::from(dark[layout.format[copy][i]]) << i);
                assert_eq!(read(0), read(1));
                assert!((0..8).any(|mask| format_bits(level, mask) == read(0)), "version {version} level {level}");
            }
        }
    }

    #[test]
    fn blocks_use_every_codeword_once() {
        for version in 1..=MAX_VERSION {
            let layout = Layout::new(version);
            for level in 0..4 {
                let (blocks, _) = layout.blocks(level);
                let mut all: Vec<usize> = blocks.concat();
                all.sort_unstable();
                assert_eq!(all, (0..CODEWORDS[version - 1]).collect::<Vec<_>>());
            }
        }
    }
}
