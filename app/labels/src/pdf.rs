//! Pages as a PDF whose millimetres are paper's, asking the viewer not to scale. Type is drawn as
//! outlines, as everywhere; each letter's outline is kept once and placed where it stands.

use crate::drawing::{Mark, Rect, Square, Text};
use crate::font::{self, Step, Weight};
use crate::pages::Page;
use crate::stock::{BadStock, Calibration};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::writers::Resources;
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Ref, TextStr};
use std::collections::BTreeMap;

/// Points in a millimetre (72 to the inch).
const POINTS: f64 = 72.0 / 25.4;
const CATALOG: i32 = 1;
const TREE: i32 = 2;
const INFO: i32 = 3;
const RESOURCES: i32 = 4;
/// Type size at which letters are kept: their outlines' numbers are then near whole.
const KEPT_AT: f64 = 1000.0;

/// A document to which pages are added one by one, so that a long run can show how far it is and be
/// broken off.
pub struct Document {
    pdf: Pdf,
    pages: Vec<Ref>,
    /// Letters used so far, by the name they are placed by.
    letters: BTreeMap<String, Ref>,
    next: i32,
    calibration: Calibration,
}

impl Document {
    /// An empty document with a title, for a printer with this calibration.
    ///
    /// # Errors
    /// [`BadStock::Calibration`] when it is out of range.
    pub fn new(title: &str, calibration: &Calibration) -> Result<Self, BadStock> {
        calibration.check()?;
        let mut pdf = Pdf::new();
        pdf.document_info(Ref::new(INFO)).title(TextStr(title));
        let (pages, letters) = (Vec::new(), BTreeMap::new());
        Ok(Self { pdf, pages, letters, next: RESOURCES + 1, calibration: *calibration })
    }

    fn reference(&mut self) -> Ref {
        self.next += 1;
        Ref::new(self.next - 1)
    }

    pub fn add(&mut self, page: &Page) {
        let (id, content_id) = (self.reference(), self.reference());
        let content = self.draw(page);
        let packed = compress_to_vec_zlib(&content, 6);
        self.pdf.stream(content_id, &packed).filter(Filter::FlateDecode);
        let (w, h) = ((page.size.w * POINTS) as f32, (page.size.h * POINTS) as f32);
        let mut dict = self.pdf.page(id);
        dict.media_box(pdf_writer::Rect::new(0.0, 0.0, w, h)).parent(Ref::new(TREE)).contents(content_id);
        dict.pair(Name(b"Resources"), Ref::new(RESOURCES));
        dict.finish();
        self.pages.push(id);
    }

    /// The file's bytes.
    pub fn finish(mut self) -> Vec<u8> {
        let mut catalog = self.pdf.catalog(Ref::new(CATALOG));
        catalog.pages(Ref::new(TREE));
        catalog.viewer_preferences().pair(Name(b"PrintScaling"), Name(b"None"));
        catalog.finish();
        let count = i32::try_from(self.pages.len()).unwrap_or(i32::MAX);
        self.pdf.pages(Ref::new(TREE)).kids(self.pages.iter().copied()).count(count);
        let mut resources = self.pdf.indirect(Ref::new(RESOURCES)).start::<Resources>();
        let mut objects = resources.x_objects();
        for (name, &id) in &self.letters {
            objects.pair(Name(name.as_bytes()), id);
        }
        objects.finish();
        resources.finish();
        self.pdf.finish()
    }

    /// In mm with y down, from the page's upper left corner, as everything here is.
    fn draw(&mut self, page: &Page) -> Vec<u8> {
        let c = self.calibration;
        let mut content = Content::new();
        let height = page.size.h * POINTS;
        content.transform([
            (POINTS * c.scale_x) as f32,
            0.0,
            0.0,
            (-POINTS * c.scale_y) as f32,
            (POINTS * c.right) as f32,
            (height - POINTS * c.down) as f32,
        ]);
        for &r in &page.marks {
            rect(&mut content, r);
            content.fill_nonzero();
        }
        for placed in &page.placed {
            content.save_state();
            content.transform([1.0, 0.0, 0.0, 1.0, um(placed.x), um(placed.y)]);
            for mark in &placed.drawing.marks {
                match mark {
                    Mark::Text(t) => self.text(&mut content, t),
                    Mark::Rect(r) => {
                        rect(&mut content, *r);
                        content.fill_nonzero();
                    }
                    Mark::Square(s) => {
                        square(&mut content, s);
                        content.fill_nonzero();
                    }
                }
            }
            content.restore_state();
        }
        content.finish().to_vec()
    }

    fn text(&mut self, content: &mut Content, t: &Text) {
        let scale = (t.size / KEPT_AT) as f32;
        for (letter, x) in font::letters(&t.text, t.weight, t.size, t.x).filter(|(c, _)| !c.is_whitespace()) {
            let name = self.letter(letter, t.weight);
            content.save_state();
            content.transform([scale, 0.0, 0.0, scale, um(x), um(t.y)]);
            content.x_object(Name(name.as_bytes()));
            content.restore_state();
        }
    }

    /// The name a letter is placed by; its outline is written at its first use.
    fn letter(&mut self, letter: char, weight: Weight) -> String {
        let initial = match weight {
            Weight::Regular => 'R',
            Weight::Bold => 'B',
        };
        let name = format!("{initial}{:X}", u32::from(letter));
        if !self.letters.contains_key(&name) {
            let id = self.reference();
            let mut content = Content::new();
            let mut buffer = [0; 4];
            outline(&mut content, &font::outline(letter.encode_utf8(&mut buffer), weight, KEPT_AT, 0.0, 0.0, |v| v));
            content.fill_nonzero();
            let packed = compress_to_vec_zlib(&content.finish(), 6);
            let mut object = self.pdf.form_xobject(id, &packed);
            object.filter(Filter::FlateDecode);
            let far = (KEPT_AT * 2.0) as f32;
            object.bbox(pdf_writer::Rect::new(-far, -far, far, far));
            object.finish();
            self.letters.insert(name.clone(), id);
        }
        name
    }
}

/// Whole micrometres: finer than any printer, and short to write.
fn um(mm: f64) -> f32 {
    ((mm * 1000.0).round() / 1000.0) as f32
}

fn rect(content: &mut Content, r: Rect) {
    content.rect(um(r.x), um(r.y), um(r.w), um(r.h));
}

/// One path, so that no viewer shows seams between modules.
fn square(content: &mut Content, s: &Square) {
    for (column, row, length) in s.matrix.runs() {
        let (x, y) = (s.x + column as f64 * s.module, s.y + row as f64 * s.module);
        rect(content, Rect { x, y, w: length as f64 * s.module, h: s.module });
    }
}

fn outline(content: &mut Content, steps: &[Step]) {
    let (mut px, mut py) = (0.0, 0.0);
    for step in steps {
        match *step {
            Step::Move(x, y) => {
                content.move_to(um(x), um(y));
                (px, py) = (x, y);
            }
            Step::Line(x, y) => {
                content.line_to(um(x), um(y));
                (px, py) = (x, y);
            }
            Step::Quad(cx, cy, x, y) => {
                // PDF has cubic curves only: the same curve, raised by a degree.
                let two_thirds = |from: f64, c: f64| um(from + (c - from) * 2.0 / 3.0);
                content.cubic_to(
                    two_thirds(px, cx),
                    two_thirds(py, cy),
                    two_thirds(x, cx),
                    two_thirds(y, cy),
                    um(x),
                    um(y),
                );
                (px, py) = (x, y);
            }
            Step::Close => {
                content.close_path();
            }
        }
    }
}
