//! Grey images: smaller copies, sharpening, local thresholds, and looking at a point between pixels.

/// Turns RGBA bytes into grey ones (weights of ITU-R BT.601, in 256ths) in a buffer that is reused. Bytes over a whole
/// number of pixels are left out.
pub fn luma(rgba: &[u8], grey: &mut Vec<u8>) {
    grey.clear();
    grey.extend(
        rgba.chunks_exact(4)
            .map(|p| ((77 * u32::from(p[0]) + 150 * u32::from(p[1]) + 29 * u32::from(p[2])) >> 8) as u8),
    );
}

/// A grey image, row by row, 0 = black.
#[derive(Clone, Copy)]
pub struct View<'a> {
    pub px: &'a [u8],
    pub w: usize,
    pub h: usize,
}

/// An image with its own memory, reused from frame to frame.
#[derive(Default)]
pub struct Plane {
    px: Vec<u8>,
    w: usize,
    h: usize,
}

impl Plane {
    pub fn view(&self) -> View<'_> {
        View { px: &self.px, w: self.w, h: self.h }
    }

    /// Half the size, each pixel the mean of four. An odd last row or column is left out.
    pub fn halve(&mut self, from: View<'_>) {
        (self.w, self.h) = (from.w / 2, from.h / 2);
        self.px.clear();
        for y in 0..self.h {
            let top = &from.px[2 * y * from.w..(2 * y + 1) * from.w];
            let low = &from.px[(2 * y + 1) * from.w..(2 * y + 2) * from.w];
            self.px.extend(
                top.chunks_exact(2).zip(low.chunks_exact(2)).map(|(a, b)| {
                    ((u16::from(a[0]) + u16::from(a[1]) + u16::from(b[0]) + u16::from(b[1]) + 2) / 4) as u8
                }),
            );
        }
    }

    /// The same size with edges raised: three times the pixel less half of each of its four neighbours.
    pub fn sharpen(&mut self, from: View<'_>) {
        (self.w, self.h) = (from.w, from.h);
        self.px.clear();
        self.px.extend_from_slice(from.px);
        for y in 1..from.h.saturating_sub(1) {
            let row = |r: usize| &from.px[r * from.w..(r + 1) * from.w];
            let (up, here, down) = (row(y - 1), row(y), row(y + 1));
            let out = &mut self.px[y * from.w..(y + 1) * from.w];
            for x in 1..from.w.saturating_sub(1) {
                let around = i32::from(up[x]) + i32::from(down[x]) + i32::from(here[x - 1]) + i32::from(here[x + 1]);
                out[x] = (3 * i32::from(here[x]) - around / 2).clamp(0, 255) as u8;
            }
        }
    }
}

impl View<'_> {
    /// The grey value at a point (pixel centres at .5), between the pixels by bilinear weights; outside the image the
    /// nearest edge. The image is at least two pixels a side.
    #[inline(always)]
    pub fn at(&self, x: f32, y: f32) -> f32 {
        self.at_centre(x - 0.5, y - 0.5)
    }

    /// As [`View::at`], counted from the first pixel's centre.
    #[inline(always)]
    pub fn at_centre(&self, x: f32, y: f32) -> f32 {
        // Just short of the last centre, so that the pixel to the right and below always exists.
        let xf = x.clamp(0.0, self.w as f32 - 1.001);
        let yf = y.clamp(0.0, self.h as f32 - 1.001);
        let (x0, y0) = (xf as i32 as usize, yf as i32 as usize);
        let (fx, fy) = (xf - x0 as f32, yf - y0 as f32);
        let i = y0 * self.w + x0;
        let (Some(&[a, b]), Some(&[c, d])) = (
            self.px.get(i..i + 2).and_then(|s| s.first_chunk()),
            self.px.get(i + self.w..i + self.w + 2).and_then(|s| s.first_chunk()),
        ) else {
            return 0.0;
        };
        let (a, b, c, d) = (f32::from(a), f32::from(b), f32::from(c), f32::from(d));
        let top = a + (b - a) * fx;
        let low = c + (d - c) * fx;
        top + (low - top) * fy
    }
}

/// Black and white by a threshold that follows the light, block by block.
#[derive(Default)]
pub struct Threshold {
    /// 1 = black, row by row.
    pub black: Vec<u8>,
    blocks: Vec<u8>,
    /// The darkest pixel of each block.
    lows: Vec<u8>,
}

/// Side of a block in pixels.
const BLOCK: usize = 8;
/// Difference of light in a block below which it holds no edge.
const FLAT: u8 = 24;

impl Threshold {
    /// Each block's threshold is the mean of the blocks up to `reach` around it. A block without edges counts as
    /// white unless its neighbours say otherwise (the well-known hybrid rule of ZXing). Of its rows one in `every` is
    /// looked at.
    pub fn apply(&mut self, image: View<'_>, reach: usize, every: usize) {
        let (w, h) = (image.w, image.h);
        let (bw, bh) = (w.div_ceil(BLOCK), h.div_ceil(BLOCK));
        self.blocks.clear();
        self.lows.clear();
        for by in 0..bh {
            let y0 = (by * BLOCK).min(h.saturating_sub(BLOCK));
            for bx in 0..bw {
                let x0 = (bx * BLOCK).min(w.saturating_sub(BLOCK));
                let (mut sum, mut low, mut high, mut count) = (0_u32, 255_u8, 0_u8, 0_u32);
                for y in (y0..(y0 + BLOCK).min(h)).step_by(every) {
                    for &p in &image.px[y * w + x0..y * w + (x0 + BLOCK).min(w)] {
                        sum += u32::from(p);
                        low = low.min(p);
                        high = high.max(p);
                        count += 1;
                    }
                }
                let mut mean = (sum / count.max(1)) as u8;
                if high - low <= FLAT {
                    mean = low / 2;
                    if bx > 0 && by > 0 {
                        let at = |x: usize, y: usize| u32::from(self.blocks[y * bw + x]);
                        let near = (at(bx, by - 1) + 2 * at(bx - 1, by) + at(bx - 1, by - 1)) / 4;
                        if u32::from(low) < near {
                            mean = near as u8;
                        }
                    }
                }
                self.blocks.push(mean);
                self.lows.push(low);
            }
        }
        self.black.clear();
        self.black.resize(w * h, 0);
        for by in 0..bh {
            let rows = by.saturating_sub(reach)..(by + reach + 1).min(bh);
            for bx in 0..bw {
                let columns = bx.saturating_sub(reach)..(bx + reach + 1).min(bw);
                let mut sum = 0_u32;
                for y in rows.clone() {
                    sum += self.blocks[y * bw + columns.start..y * bw + columns.end]
                        .iter()
                        .map(|&b| u32::from(b))
                        .sum::<u32>();
                }
                let limit = (sum / (rows.len() * columns.len()).max(1) as u32) as u8;
                if self.lows[by * bw + bx] > limit {
                    continue;
                }
                let (x0, x1) = (bx * BLOCK, ((bx + 1) * BLOCK).min(w));
                for y in by * BLOCK..((by + 1) * BLOCK).min(h) {
                    let out = &mut self.black[y * w + x0..y * w + x1];
                    for (o, &p) in out.iter_mut().zip(&image.px[y * w + x0..y * w + x1]) {
                        *o = u8::from(p <= limit);
                    }
                }
            }
        }
    }
}
