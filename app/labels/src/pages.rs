//! Labels on pages: one a page on a roll, in a grid on a sheet, and the page that measures a printer.

use crate::drawing::{Drawing, Mark, Rect, Text};
use crate::font::{self, Weight};
use crate::stock::{BadStock, Ruler, Sheet, Size, Stock};
use crate::text::Part;
use std::borrow::Cow;

/// A page with labels on it, mm from its upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Page<'a> {
    pub size: Size,
    pub placed: Vec<Placed<'a>>,
    /// Black, like cut marks.
    pub marks: Vec<Rect>,
}

/// A label and where its upper left corner is.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<'a> {
    pub x: f64,
    pub y: f64,
    pub drawing: Cow<'a, Drawing>,
}

/// Places labels on as many pages as they need. `first` is the first free position of a sheet that was
/// used before, counted from 1 along the rows; rolls ignore it.
///
/// # Errors
/// [`BadStock`] when the stock cannot be printed on or has no such position.
pub fn pages<'a>(drawings: &'a [Drawing], stock: &Stock, first: usize) -> Result<Vec<Page<'a>>, BadStock> {
    stock.check()?;
    let placed = |x, y, drawing| Placed { x, y, drawing: Cow::Borrowed(drawing) };
    let size = stock.page();
    let sheet = match stock {
        Stock::Roll { .. } => {
            let one = |d| Page { size, placed: vec![placed(0.0, 0.0, d)], marks: Vec::new() };
            return Ok(drawings.iter().map(one).collect());
        }
        Stock::Sheet(sheet) => sheet,
    };
    let positions = sheet.positions();
    if !(1..=positions).contains(&first) {
        return Err(BadStock::NoSuchPosition(positions));
    }
    let mut out: Vec<Page> = Vec::new();
    for (i, drawing) in drawings.iter().enumerate() {
        let position = (i + first - 1) % positions;
        if i == 0 || position == 0 {
            out.push(Page { size, placed: Vec::new(), marks: cut_marks(sheet) });
        }
        let (x, y) = sheet.corner(position);
        if let Some(page) = out.last_mut() {
            page.placed.push(placed(x, y, drawing));
        }
    }
    Ok(out)
}

/// A tick of 2 mm at each corner along each edge, a quarter outside the label where there is a gap.
fn cut_marks(sheet: &Sheet) -> Vec<Rect> {
    const LONG: f64 = 2.0;
    const THIN: f64 = 0.1;
    if !sheet.cut_marks {
        return Vec::new();
    }
    let mut out = Vec::new();
    for position in 0..sheet.positions() {
        let (left, top) = sheet.corner(position);
        for x in [left, left + sheet.label.w] {
            for y in [top, top + sheet.label.h] {
                out.push(Rect { x: x - LONG / 2.0, y: y - THIN / 2.0, w: LONG, h: THIN });
                out.push(Rect { x: x - THIN / 2.0, y: y - LONG / 2.0, w: THIN, h: LONG });
            }
        }
    }
    out
}

/// The page to lay a ruler on: a cross near the upper left corner and two rulers from it, as long as
/// [`Ruler::of`] says. What is measured on it goes into [`crate::stock::Calibration::measured`].
pub fn ruler(size: Size) -> Page<'static> {
    let Ruler { across, down, cross } = Ruler::of(size);
    let mut marks = Vec::new();
    let rect = |x, y, w, h| Mark::Rect(Rect { x, y, w, h });
    let thin = 0.15;
    marks.push(rect(cross - 3.0, cross - thin / 2.0, across + 3.0, thin));
    marks.push(rect(cross - thin / 2.0, cross - 3.0, thin, down + 3.0));
    let text = |x: f64, y: f64, size: f64, text: String| {
        Mark::Text(Text { x, y, size, weight: Weight::Regular, text, part: Part::Line(0) })
    };
    for mm in 1..=across.max(down) as u32 {
        let long = match mm % 10 {
            0 => 4.0,
            5 => 2.5,
            _ => 1.5,
        };
        let at = f64::from(mm);
        let number = (mm % 10 == 0).then(|| mm.to_string());
        if at <= across {
            marks.push(rect(cross + at - thin / 2.0, cross, thin, long));
            marks.extend(number.clone().map(|n| {
                let half = font::width(&n, Weight::Regular) * 2.4 / 2.0;
                text(cross + at - half, cross + 6.2, 2.4, n)
            }));
        }
        if at <= down {
            marks.push(rect(cross, cross + at - thin / 2.0, long, thin));
            marks.extend(number.map(|n| text(cross + 4.6, cross + at + 0.85, 2.4, n)));
        }
    }
    let name = format!("{} × {} mm", size.w, size.h);
    let type_size = (size.w / 12.0).clamp(2.0, 5.0);
    marks.push(text(cross + 12.0, cross + 8.0 + type_size, type_size, name));
    let drawing = Cow::Owned(Drawing { size, marks, lacks: Vec::new() });
    Page { size, placed: vec![Placed { x: 0.0, y: 0.0, drawing }], marks: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::{ROLLS, sheets};

    fn blank(size: Size) -> Drawing {
        Drawing { size, marks: Vec::new(), lacks: Vec::new() }
    }

    #[test]
    fn half_used_sheets_are_filled_up() {
        let sheet = sheets()[2];
        let stock = Stock::Sheet(sheet);
        // labels, first free position → labels on each page
        let rows: [(usize, usize, &[usize]); 6] =
            [(0, 1, &[]), (1, 1, &[1]), (21, 1, &[21]), (22, 1, &[21, 1]), (5, 20, &[2, 3]), (1, 21, &[1])];
        for (n, first, expected) in rows {
            let drawings = vec![blank(sheet.label); n];
            let pages = pages(&drawings, &stock, first).expect("a sheet");
            assert_eq!(pages.iter().map(|p| p.placed.len()).collect::<Vec<_>>(), expected);
            if let Some(placed) = pages.first().and_then(|p| p.placed.first()) {
                assert_eq!((placed.x, placed.y), sheet.corner(first - 1));
            }
        }
        for first in [0, 22] {
            assert_eq!(pages(&[], &stock, first), Err(BadStock::NoSuchPosition(21)));
        }
        let roll = Stock::Roll { label: sheet.label, dots: None };
        assert_eq!(pages(&vec![blank(sheet.label); 3], &roll, 0).expect("a roll").len(), 3);
    }

    #[test]
    fn the_ruler_page_stays_on_the_page() {
        let sizes = ROLLS.iter().map(|&(w, h)| Size { w, h }).chain(sheets().into_iter().map(|s| s.page));
        for size in sizes.filter(|s| s.w.min(s.h) >= 25.0) {
            for mark in &ruler(size).placed[0].drawing.marks {
                let b = mark.bounds();
                assert!(
                    b.x >= 0.0 && b.y >= 0.0 && b.right() <= size.w && b.bottom() <= size.h,
                    "{mark:?} on {size:?}"
                );
            }
        }
    }
}
