//! A label in a label printer's own dots: 1 bit, black on white, whole dots a module, for the printer's
//! app. The file is written here: it is four chunks around what the PDF's deflater makes, and the general
//! encoder would cost 37 kB of download (measured, brotli).

use crate::drawing::{Drawing, Mark, Square};
use crate::font::{self, Step};
use crate::stock::Dpi;
use ab_glyph_rasterizer::{Point, Rasterizer, point};
use miniz_oxide::deflate::compress_to_vec_zlib;

/// Rows of dots, true where black.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bitmap {
    pub width: usize,
    pub height: usize,
    pub black: Vec<bool>,
}

/// A dot is black when the outline covers this much of it; less than half, since thin type breaks
/// before it clogs.
const COVERED: f32 = 0.45;

/// Draws a label in dots. Letters begin at whole dots, so that equal letters look equal; a module is the
/// most whole dots that fit in its millimetres, at least one, the code in the middle of its place.
pub fn bitmap(drawing: &Drawing, dpi: Dpi) -> Bitmap {
    let per_mm = dpi.per_mm();
    let dots = |mm: f64| (mm * per_mm).round().max(1.0) as usize;
    let mut out = Bitmap { width: dots(drawing.size.w), height: dots(drawing.size.h), black: Vec::new() };
    out.black = vec![false; out.width * out.height];
    let snap = |mm: f64| (mm * per_mm).round() / per_mm;
    for mark in &drawing.marks {
        match mark {
            Mark::Text(t) => {
                out.outline(&font::outline(&t.text, t.weight, t.size, t.x, t.y, snap), per_mm);
            }
            Mark::Rect(r) => {
                let (x, y) = ((r.x * per_mm).round(), (r.y * per_mm).round());
                out.fill(x, y, (r.w * per_mm).round().max(1.0), (r.h * per_mm).round().max(1.0));
            }
            Mark::Square(s) => out.square(s, per_mm),
        }
    }
    out
}

impl Bitmap {
    fn fill(&mut self, x: f64, y: f64, w: f64, h: f64) {
        let clip = |v: f64, most: usize| v.clamp(0.0, most as f64) as usize;
        let (left, right) = (clip(x, self.width), clip(x + w, self.width));
        for row in clip(y, self.height)..clip(y + h, self.height) {
            self.black[row * self.width + left..row * self.width + right].fill(true);
        }
    }

    fn square(&mut self, s: &Square, per_mm: f64) {
        let module = (s.module * per_mm + 0.01).floor().max(1.0);
        let side = s.matrix.side as f64;
        let inset = side * (s.module * per_mm - module) / 2.0;
        let (x, y) = ((s.x * per_mm + inset).round(), (s.y * per_mm + inset).round());
        for (column, row, length) in s.matrix.runs() {
            self.fill(x + column as f64 * module, y + row as f64 * module, length as f64 * module, module);
        }
    }

    fn outline(&mut self, steps: &[Step], per_mm: f64) {
        let (mut left, mut top, mut right, mut bottom) = (f64::MAX, f64::MAX, f64::MIN, f64::MIN);
        let mut grow = |x: f64, y: f64| {
            (left, right) = (left.min(x), right.max(x));
            (top, bottom) = (top.min(y), bottom.max(y));
        };
        for step in steps {
            match *step {
                Step::Move(x, y) | Step::Line(x, y) => grow(x, y),
                Step::Quad(x1, y1, x, y) => {
                    grow(x1, y1);
                    grow(x, y);
                }
                Step::Close => {}
            }
        }
        if left > right {
            return;
        }
        let (left, top) = ((left * per_mm).floor().max(0.0), (top * per_mm).floor().max(0.0));
        let right = (right * per_mm).ceil().min(self.width as f64);
        let bottom = (bottom * per_mm).ceil().min(self.height as f64);
        if right <= left || bottom <= top {
            return;
        }
        let (w, h) = ((right - left) as usize + 1, (bottom - top) as usize + 1);
        let mut raster = Rasterizer::new(w, h);
        let at = |x: f64, y: f64| point((x * per_mm - left) as f32, (y * per_mm - top) as f32);
        trace(steps, at, &mut raster);
        raster.for_each_pixel_2d(|x, y, covered| {
            let (x, y) = (left as usize + x as usize, top as usize + y as usize);
            if covered >= COVERED && x < self.width && y < self.height {
                self.black[y * self.width + x] = true;
            }
        });
    }

    /// As a PNG file of one bit a dot that says its dots per metre (ISO/IEC 15948).
    pub fn png(&self, dpi: Dpi) -> Vec<u8> {
        let stride = self.width.div_ceil(8) + 1;
        // Each row begins with its filter, 0 for none; then eight dots a byte, white being 1.
        let mut rows = vec![0xff; stride * self.height];
        rows.iter_mut().step_by(stride).for_each(|filter| *filter = 0);
        for (i, _) in self.black.iter().enumerate().filter(|&(_, &black)| black) {
            let (x, y) = (i % self.width, i / self.width);
            rows[y * stride + 1 + x / 8] &= !(0x80 >> (x % 8));
        }
        let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).to_be_bytes();
        let per_metre = ((dpi.per_mm() * 1000.0).round() as u32).to_be_bytes();
        const ONE_BIT_GREY: [u8; 5] = [1, 0, 0, 0, 0];
        const PER_METRE: [u8; 1] = [1];
        let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
        chunk(&mut out, b"IHDR", &[&side(self.width)[..], &side(self.height), &ONE_BIT_GREY].concat());
        chunk(&mut out, b"pHYs", &[&per_metre[..], &per_metre, &PER_METRE].concat());
        chunk(&mut out, b"IDAT", &compress_to_vec_zlib(&rows, 9));
        chunk(&mut out, b"IEND", &[]);
        out
    }
}

fn chunk(out: &mut Vec<u8>, name: &[u8; 4], data: &[u8]) {
    let length = u32::try_from(data.len()).unwrap_or(u32::MAX);
    out.extend_from_slice(&length.to_be_bytes());
    let named = [&name[..], data].concat();
    out.extend_from_slice(&named);
    out.extend_from_slice(&crc(&named).to_be_bytes());
}

/// The CRC of ISO/IEC 15948, annex D, bit by bit: a label is a few kB, and the usual tables cost more
/// download than they save time.
pub(crate) fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum, &byte| {
        (0..8).fold(sum ^ u32::from(byte), |sum: u32, _| (sum >> 1) ^ (0xedb8_8320 & (sum & 1).wrapping_neg()))
    })
}

fn trace(steps: &[Step], at: impl Fn(f64, f64) -> Point, raster: &mut Rasterizer) {
    let (mut begin, mut last) = (point(0.0, 0.0), point(0.0, 0.0));
    for step in steps {
        match *step {
            Step::Move(x, y) => {
                begin = at(x, y);
                last = begin;
            }
            Step::Line(x, y) => {
                let to = at(x, y);
                raster.draw_line(last, to);
                last = to;
            }
            Step::Quad(x1, y1, x, y) => {
                let to = at(x, y);
                raster.draw_quad(last, at(x1, y1), to);
                last = to;
            }
            Step::Close => {
                raster.draw_line(last, begin);
                last = begin;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Rect;
    use crate::stock::Size;

    #[test]
    fn a_decoder_gives_the_dots_back() {
        let mark = |x, y, w, h| Mark::Rect(Rect { x, y, w, h });
        let marks = vec![mark(1.0, 1.0, 3.0, 0.01), mark(9.0, 4.0, 5.0, 5.0), mark(-3.0, 5.0, 4.0, 1.0)];
        let drawing = Drawing { size: Size { w: 12.3, h: 10.0 }, marks, lacks: Vec::new() };
        for dpi in [Dpi::D203, Dpi::D300] {
            let bitmap = bitmap(&drawing, dpi);
            let file = bitmap.png(dpi);
            let mut reader = ::png::Decoder::new(std::io::Cursor::new(&file)).read_info().expect("a PNG");
            let per_metre = reader.info().pixel_dims.expect("dots per metre");
            assert!(
                (f64::from(per_metre.xppu) / 1000.0 - dpi.per_mm()).abs() < 0.001 && per_metre.xppu == per_metre.yppu
            );
            let mut rows = vec![0; reader.output_buffer_size().expect("a size")];
            let frame = reader.next_frame(&mut rows).expect("its picture");
            assert_eq!((frame.width as usize, frame.height as usize), (bitmap.width, bitmap.height));
            for (i, &black) in bitmap.black.iter().enumerate() {
                let (x, y) = (i % bitmap.width, i / bitmap.width);
                assert_eq!(rows[y * frame.line_size + x / 8] & (0x80 >> (x % 8)) == 0, black, "{x} {y}");
            }
        }
    }

    #[test]
    fn a_thin_line_is_a_dot_thick() {
        let marks = vec![Mark::Rect(Rect { x: 1.0, y: 1.0, w: 3.0, h: 0.01 })];
        let b = bitmap(&Drawing { size: Size { w: 10.0, h: 10.0 }, marks, lacks: Vec::new() }, Dpi::D203);
        assert_eq!(b.black.iter().filter(|&&black| black).count(), 24);
    }
}
