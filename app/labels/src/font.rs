//! The bundled typeface, DejaVu Sans Condensed in two weights, as outlines. Licence and how the files are
//! made: `fonts/`. It holds Latin with Latin-1 and Extended-A, and the signs labels use; any other
//! character is drawn as a box, and accents written apart from their letter are left off. No kerning.

use std::sync::OnceLock;
use ttf_parser::{GlyphId, OutlineBuilder, RawFace, Tag, cmap, glyf, head, hhea, hmtx, loca, maxp};

/// Weight of the type.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Weight {
    Regular,
    Bold,
}

static REGULAR: &[u8] = include_bytes!("../fonts/condensed.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/condensed-bold.ttf");

/// Height of capitals and figures, and depth of descenders, as shares of the type size.
pub const CAP: f64 = 0.729;
pub const DESCENT: f64 = 0.21;

/// One step of an outline, in mm on the drawing (y down).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    Move(f64, f64),
    Line(f64, f64),
    /// Control point, end point.
    Quad(f64, f64, f64, f64),
    Close,
}

/// The tables that outlines need. The library's whole `Face` would bring the readers of every other kind
/// of font into the download.
struct Face {
    characters: cmap::Table<'static>,
    outlines: glyf::Table<'static>,
    advances: hmtx::Table<'static>,
    units_per_em: f64,
}

impl Face {
    fn parse(data: &'static [u8]) -> Option<Self> {
        let raw = RawFace::parse(data, 0).ok()?;
        let table = |tag: &[u8; 4]| raw.table(Tag::from_bytes(tag));
        let head = head::Table::parse(table(b"head")?)?;
        let glyphs = maxp::Table::parse(table(b"maxp")?)?.number_of_glyphs;
        let places = loca::Table::parse(glyphs, head.index_to_location_format, table(b"loca")?)?;
        let metrics = hhea::Table::parse(table(b"hhea")?)?.number_of_metrics;
        Some(Self {
            characters: cmap::Table::parse(table(b"cmap")?)?,
            outlines: glyf::Table::parse(places, table(b"glyf")?)?,
            advances: hmtx::Table::parse(metrics, glyphs, table(b"hmtx")?)?,
            units_per_em: f64::from(head.units_per_em),
        })
    }

    fn glyph_index(&self, c: char) -> Option<GlyphId> {
        let tables = self.characters.subtables.into_iter();
        tables.filter(cmap::Subtable::is_unicode).find_map(|t| t.glyph_index(c.into()))
    }

    fn advance(&self, glyph: GlyphId) -> f64 {
        f64::from(self.advances.advance(glyph).unwrap_or(0)) / self.units_per_em
    }
}

fn face(weight: Weight) -> Option<&'static Face> {
    static FACES: [OnceLock<Option<Face>>; 2] = [OnceLock::new(), OnceLock::new()];
    let (at, data) = match weight {
        Weight::Regular => (0, REGULAR),
        Weight::Bold => (1, BOLD),
    };
    FACES[at].get_or_init(|| Face::parse(data)).as_ref()
}

/// Characters that take no room: controls, joiners, marks of direction, accents apart from their letter.
fn is_silent(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{300}'..='\u{36f}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e01ef}')
}

fn glyphs(text: &str, weight: Weight) -> impl Iterator<Item = (&'static Face, GlyphId)> {
    let face = face(weight);
    text.chars().filter(|&c| !is_silent(c)).filter_map(move |c| {
        let c = if c.is_whitespace() { ' ' } else { c };
        face.map(|f| (f, f.glyph_index(c).unwrap_or(GlyphId(0))))
    })
}

/// Advance of a text at size 1, mm for mm.
pub fn width(text: &str, weight: Weight) -> f64 {
    text.chars().map(|c| measure(c, weight).advance).sum()
}

/// Height above and depth below the baseline of a text at size 1; both at least 0.
pub fn extent(text: &str, weight: Weight) -> (f64, f64) {
    text.chars()
        .map(|c| measure(c, weight))
        .fold((0.0, 0.0), |(rise, depth): (f64, f64), m| (rise.max(m.rise), depth.max(m.depth)))
}

#[derive(Clone, Copy, Default)]
struct Measure {
    advance: f64,
    rise: f64,
    depth: f64,
}

/// The layout measures the same letters many thousand times: those of the Latin blocks are kept.
fn measure(c: char, weight: Weight) -> Measure {
    const KEPT: u32 = 0x180;
    static TABLES: [OnceLock<Vec<Measure>>; 2] = [OnceLock::new(), OnceLock::new()];
    let table = TABLES[weight as usize].get_or_init(|| {
        (0..KEPT).map(|c| char::from_u32(c).map_or_else(Measure::default, |c| measure_glyph(c, weight))).collect()
    });
    table.get(c as usize).copied().unwrap_or_else(|| measure_glyph(c, weight))
}

fn measure_glyph(c: char, weight: Weight) -> Measure {
    let mut buffer = [0; 4];
    glyphs(c.encode_utf8(&mut buffer), weight).next().map_or_else(Measure::default, |(f, g)| {
        let (top, bottom) = f.outlines.bbox(g).map_or((0, 0), |b| (b.y_max, b.y_min));
        let share = |units: i16| f64::from(units) / f.units_per_em;
        Measure { advance: f.advance(g), rise: share(top), depth: -share(bottom) }
    })
}

/// Whether every character of a text has a shape of its own.
pub fn can_write(text: &str) -> bool {
    glyphs(text, Weight::Regular).all(|(_, g)| g != GlyphId(0))
}

/// The outlines of a text set at `size` mm from `x` on the baseline `y`. `snap` moves each letter's origin
/// (a printer's whole dots; the identity elsewhere).
pub fn outline(text: &str, weight: Weight, size: f64, x: f64, y: f64, snap: impl Fn(f64) -> f64) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut pen = x;
    for (face, glyph) in glyphs(text, weight) {
        let scale = size / face.units_per_em;
        let mut tracer = Tracer { steps: &mut steps, x: snap(pen), y: snap(y), scale };
        face.outlines.outline(glyph, &mut tracer);
        pen += face.advance(glyph) * size;
    }
    steps
}

/// The characters of a text set at `size` mm from `x`, each with where it begins; those that take no room
/// are left off.
pub fn letters(text: &str, weight: Weight, size: f64, x: f64) -> impl Iterator<Item = (char, f64)> {
    text.chars().filter(|&c| !is_silent(c)).scan(x, move |pen, c| {
        let at = *pen;
        *pen += measure(c, weight).advance * size;
        Some((c, at))
    })
}

struct Tracer<'a> {
    steps: &'a mut Vec<Step>,
    x: f64,
    y: f64,
    scale: f64,
}

impl Tracer<'_> {
    fn at(&self, x: f32, y: f32) -> (f64, f64) {
        (self.x + f64::from(x) * self.scale, self.y - f64::from(y) * self.scale)
    }
}

impl OutlineBuilder for Tracer<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.steps.push(Step::Move(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.steps.push(Step::Line(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.at(x1, y1), self.at(x, y));
        self.steps.push(Step::Quad(x1, y1, x, y));
    }

    fn curve_to(&mut self, _: f32, _: f32, x2: f32, y2: f32, x: f32, y: f32) {
        // The bundled files are TrueType: quadratic only. A cubic would be drawn by its second control.
        self.quad_to(x2, y2, x, y);
    }

    fn close(&mut self) {
        self.steps.push(Step::Close);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_weights_are_there_and_small() {
        assert!(REGULAR.len() + BOLD.len() <= 60_000);
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight).expect("a font");
            for c in (' '..='~').chain('\u{a1}'..='\u{17f}').chain("♀♂×±°–—·’‘“”„≈≤≥…€−→•".chars())
            {
                assert!(c == '\u{ad}' || face.glyph_index(c).is_some(), "{c:?} in {weight:?}");
            }
            let height = face.outlines.bbox(face.glyph_index('H').expect("H")).expect("a box").y_max;
            assert!((f64::from(height) / face.units_per_em - CAP).abs() < 0.001);
        }
    }

    #[test]
    fn figures_are_tabular() {
        for weight in [Weight::Regular, Weight::Bold] {
            let widths: Vec<_> = ('0'..='9').map(|c| width(&c.to_string(), weight)).collect();
            assert!(widths.iter().all(|&w| w == widths[0]));
        }
    }

    #[test]
    fn unknown_characters_are_boxes_and_silent_ones_nothing() {
        let same = |a: &str, b: &str| {
            assert_eq!(outline(a, Weight::Bold, 3.0, 0.0, 0.0, |v| v), outline(b, Weight::Bold, 3.0, 0.0, 0.0, |v| v));
        };
        same("蛇", "ก");
        same("a\u{202e}b\u{0}\u{200d}", "ab");
        same("e\u{301}", "e");
        same("a\u{a0}b", "a b");
        assert!(!outline("蛇", Weight::Bold, 3.0, 0.0, 0.0, |v| v).is_empty());
        assert!(can_write("Žluťák ♀ ±1 · “x”"));
        assert!(!can_write("蛇"));
    }
}
