//! The same drawing as SVG: for the preview and for the browser's own print. No styles, no scripts, no
//! fonts: attributes and outlines only.

use crate::drawing::{Drawing, Mark};
use crate::font::{self, Step};
use crate::pages::{Page, Placed};
use std::borrow::Cow;
use std::fmt::Write;

/// One label, its millimetres as its size, with what it says as its name for those who listen.
pub fn label(drawing: &Drawing) -> String {
    let placed = vec![Placed { x: 0.0, y: 0.0, drawing: Cow::Borrowed(drawing) }];
    page(&Page { size: drawing.size, placed, marks: Vec::new() })
}

/// A whole page.
pub fn page(page: &Page) -> String {
    let (w, h) = (page.size.w, page.size.h);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" role=\"img\"><title>"
    );
    let texts: Vec<_> = page.placed.iter().flat_map(|p| p.drawing.texts()).map(|t| escaped(&t.text)).collect();
    out.push_str(&texts.join(" "));
    let _ = write!(out, "</title><rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>");
    for r in &page.marks {
        let _ = write!(out, "<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{:.3}\" height=\"{:.3}\"/>", r.x, r.y, r.w, r.h);
    }
    for placed in &page.placed {
        let _ = write!(out, "<g transform=\"translate({:.3} {:.3})\">", placed.x, placed.y);
        for mark in &placed.drawing.marks {
            draw(&mut out, mark);
        }
        out.push_str("</g>");
    }
    out.push_str("</svg>");
    out
}

// Writing to a String cannot fail, so its results are not looked at.
fn draw(out: &mut String, mark: &Mark) {
    match mark {
        Mark::Text(t) => {
            out.push_str("<path d=\"");
            for step in font::outline(&t.text, t.weight, t.size, t.x, t.y, |v| v) {
                let _ = match step {
                    Step::Move(x, y) => write!(out, "M{x:.3} {y:.3}"),
                    Step::Line(x, y) => write!(out, "L{x:.3} {y:.3}"),
                    Step::Quad(x1, y1, x, y) => write!(out, "Q{x1:.3} {y1:.3} {x:.3} {y:.3}"),
                    Step::Close => write!(out, "Z"),
                };
            }
            out.push_str("\"/>");
        }
        Mark::Rect(r) => {
            let _ = write!(out, "<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{:.3}\" height=\"{:.3}\"/>", r.x, r.y, r.w, r.h);
        }
        Mark::Square(s) => {
            out.push_str("<path shape-rendering=\"crispEdges\" d=\"");
            for (column, row, length) in s.matrix.runs() {
                let (x, y) = (s.x + column as f64 * s.module, s.y + row as f64 * s.module);
                let (w, h) = (length as f64 * s.module, s.module);
                let _ = write!(out, "M{x:.4} {y:.4}h{w:.4}v{h:.4}h-{w:.4}z");
            }
            out.push_str("\"/>");
        }
    }
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Text;
    use crate::font::Weight;
    use crate::stock::Size;
    use crate::text::Part;

    #[test]
    fn names_are_escaped_and_nothing_but_attributes_is_used() {
        let text = "<script>&\u{0}\"x".to_owned();
        let mark = Mark::Text(Text { x: 1.0, y: 5.0, size: 3.0, weight: Weight::Bold, text, part: Part::Title });
        let svg = label(&Drawing { size: Size { w: 62.0, h: 40.0 }, marks: vec![mark], lacks: Vec::new() });
        assert!(svg.starts_with(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"62mm\" height=\"40mm\" viewBox=\"0 0 62 40\""
        ));
        assert!(svg.contains("<title>&lt;script&gt;&amp; \"x</title>"));
        assert!(!svg.contains("style") && !svg.contains("<script") && !svg.contains("<text"));
    }
}
