//! The paper, by its millimetres: rolls of one label a page, sheets of many, and what a printer does to
//! them.

use std::fmt;

/// Width and height as the label is read, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    pub w: f64,
    pub h: f64,
}

/// Smallest and largest side of a label, mm.
pub const LABEL_MM: std::ops::RangeInclusive<f64> = 10.0..=300.0;
/// Smallest and largest side of a page, mm.
pub const PAGE_MM: std::ops::RangeInclusive<f64> = 10.0..=500.0;

/// A label printer's dots per inch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dpi {
    D203,
    D300,
}

impl Dpi {
    /// Dots in one millimetre. A "203 dpi" head has 8 dots a millimetre (203.2 an inch), a "300 dpi" head
    /// 300 an inch.
    pub fn per_mm(self) -> f64 {
        match self {
            Self::D203 => 8.0,
            Self::D300 => 300.0 / 25.4,
        }
    }
}

/// What labels are printed on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stock {
    /// One label a page, for label printers; with the printer's dots the drawing keeps to them.
    Roll {
        label: Size,
        dots: Option<Dpi>,
    },
    Sheet(Sheet),
}

/// A sheet of labels in a grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    pub page: Size,
    pub label: Size,
    /// From the page's left and upper edge to the first label, mm.
    pub left: f64,
    pub top: f64,
    /// From one label's left edge to the next one's, and from upper edge to upper edge, mm.
    pub pitch_x: f64,
    pub pitch_y: f64,
    pub columns: usize,
    pub rows: usize,
    /// Draw small ticks at the corners, for plain paper that is cut by hand.
    pub cut_marks: bool,
}

/// Why a stock cannot be printed on; `Display` says what to change.
#[derive(Clone, Debug, PartialEq)]
pub enum BadStock {
    LabelSize(Size),
    PageSize(Size),
    /// No labels, or more than 40 a way.
    Count,
    /// The pitch is smaller than the label: they would overlap.
    Overlap,
    /// The last column or row ends beyond the page, by so many mm.
    OffPage {
        right: f64,
        below: f64,
    },
    /// A first position the sheet does not have; how many it has.
    NoSuchPosition(usize),
    /// An offset beyond 20 mm or a scale beyond 0.8–1.25.
    Calibration,
}

impl fmt::Display for BadStock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LabelSize(s) => write!(
                f,
                "a label of {} × {} mm cannot be drawn: give each side between {} and {} mm",
                s.w,
                s.h,
                LABEL_MM.start(),
                LABEL_MM.end()
            ),
            Self::PageSize(s) => write!(
                f,
                "a page of {} × {} mm cannot be printed: give each side between {} and {} mm",
                s.w,
                s.h,
                PAGE_MM.start(),
                PAGE_MM.end()
            ),
            Self::Count => write!(f, "give between 1 and 40 columns and rows"),
            Self::Overlap => write!(
                f,
                "the labels would overlap: the step from one label to the next must be at least the label's own width and height"
            ),
            Self::OffPage { right, below } => write!(
                f,
                "the labels do not fit on the page: they end {right:.1} mm beyond its right and {below:.1} mm beyond its lower edge"
            ),
            Self::NoSuchPosition(n) => write!(f, "this sheet has positions 1 to {n}"),
            Self::Calibration => write!(
                f,
                "a correction can move by up to 20 mm and stretch by 0.8 to 1.25: measure the ruler page again"
            ),
        }
    }
}

impl std::error::Error for BadStock {}

impl Sheet {
    /// A grid in the middle of the page, with gaps in mm.
    pub fn centred(page: Size, label: Size, columns: usize, rows: usize, gap_x: f64, gap_y: f64) -> Self {
        let span = |n: usize, side: f64, gap: f64| n as f64 * side + n.saturating_sub(1) as f64 * gap;
        Self {
            page,
            label,
            left: (page.w - span(columns, label.w, gap_x)) / 2.0,
            top: (page.h - span(rows, label.h, gap_y)) / 2.0,
            pitch_x: label.w + gap_x,
            pitch_y: label.h + gap_y,
            columns,
            rows,
            cut_marks: false,
        }
    }

    /// Labels on one sheet.
    pub fn positions(&self) -> usize {
        self.columns * self.rows
    }

    /// Left and upper edge of a position counted from 0 along the rows, mm.
    pub fn corner(&self, position: usize) -> (f64, f64) {
        let columns = self.columns.max(1);
        let (row, column) = (position / columns, position % columns);
        (self.left + column as f64 * self.pitch_x, self.top + row as f64 * self.pitch_y)
    }
}

impl Stock {
    pub fn label(&self) -> Size {
        match self {
            Self::Roll { label, .. } => *label,
            Self::Sheet(s) => s.label,
        }
    }

    pub fn page(&self) -> Size {
        match self {
            Self::Roll { label, .. } => *label,
            Self::Sheet(s) => s.page,
        }
    }

    /// The printer's dots, where the drawing is to keep to them.
    pub fn dots(&self) -> Option<Dpi> {
        match self {
            Self::Roll { dots, .. } => *dots,
            Self::Sheet(_) => None,
        }
    }

    /// # Errors
    /// [`BadStock`]: sides out of range or not numbers, labels overlapping or beyond the page.
    pub fn check(&self) -> Result<(), BadStock> {
        let label = self.label();
        if !(LABEL_MM.contains(&label.w) && LABEL_MM.contains(&label.h)) {
            return Err(BadStock::LabelSize(label));
        }
        let Self::Sheet(s) = self else { return Ok(()) };
        if !(PAGE_MM.contains(&s.page.w) && PAGE_MM.contains(&s.page.h)) {
            return Err(BadStock::PageSize(s.page));
        }
        if !((1..=40).contains(&s.columns) && (1..=40).contains(&s.rows)) {
            return Err(BadStock::Count);
        }
        let apart = |n: usize, pitch: f64, side: f64| pitch.is_finite() && (n == 1 || pitch > side - SLACK);
        if !(apart(s.columns, s.pitch_x, label.w) && apart(s.rows, s.pitch_y, label.h)) {
            return Err(BadStock::Overlap);
        }
        let (x, y) = s.corner(s.positions() - 1);
        let (right, below) = (x + label.w - s.page.w, y + label.h - s.page.h);
        if !(right <= SLACK && below <= SLACK && s.left >= -SLACK && s.top >= -SLACK) {
            let beyond = |end: f64, begin: f64| end.max(-begin).max(0.0);
            return Err(BadStock::OffPage { right: beyond(right, s.left), below: beyond(below, s.top) });
        }
        Ok(())
    }
}

/// Rounding of inch sizes that does not count, mm.
const SLACK: f64 = 0.05;

/// What a printer adds, measured on the ruler page and undone in print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// Moves the print to the right and down, mm (−20 to 20).
    pub right: f64,
    pub down: f64,
    /// Stretches it from the page's upper left corner (0.8 to 1.25).
    pub scale_x: f64,
    pub scale_y: f64,
}

impl Default for Calibration {
    fn default() -> Self {
        Self { right: 0.0, down: 0.0, scale_x: 1.0, scale_y: 1.0 }
    }
}

impl Calibration {
    /// From what was measured on the ruler page: the printed length of each ruler against its nominal
    /// length (mm), and the distance of the corner cross from the paper's left and upper edge against
    /// its nominal one.
    ///
    /// # Errors
    /// [`BadStock::Calibration`] when that asks for more than a printer can be off by.
    pub fn measured(ruler: &Ruler, across: f64, down: f64, from_left: f64, from_top: f64) -> Result<Self, BadStock> {
        // The printer stretches from the paper's corner and then moves; to undo it, move back and shrink.
        let (scale_x, scale_y) = (ruler.across / across, ruler.down / down);
        let undone =
            Self { right: ruler.cross - from_left * scale_x, down: ruler.cross - from_top * scale_y, scale_x, scale_y };
        undone.check()?;
        Ok(undone)
    }

    /// # Errors
    /// [`BadStock::Calibration`] when out of range or not numbers.
    pub fn check(&self) -> Result<(), BadStock> {
        let moved = |v: f64| (-20.0..=20.0).contains(&v);
        let scaled = |v: f64| (0.8..=1.25).contains(&v);
        if moved(self.right) && moved(self.down) && scaled(self.scale_x) && scaled(self.scale_y) {
            Ok(())
        } else {
            Err(BadStock::Calibration)
        }
    }
}

/// The ruler page's own lengths, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ruler {
    pub across: f64,
    pub down: f64,
    /// The corner cross stands so far from the left and the upper edge.
    pub cross: f64,
}

impl Ruler {
    /// The longest rulers in whole tens of millimetres that fit on a page.
    pub fn of(page: Size) -> Self {
        let cross = if page.w.min(page.h) < 60.0 { 5.0 } else { 15.0 };
        let longest = |side: f64| (((side - 2.0 * cross) / 10.0).floor() * 10.0).clamp(5.0, 150.0);
        Self { across: longest(page.w), down: longest(page.h), cross }
    }
}

const A4: Size = Size { w: 210.0, h: 297.0 };
const LETTER: Size = Size { w: 215.9, h: 279.4 };

/// Common rolls, mm. (From memory; a size not here is typed in.)
pub const ROLLS: [(f64, f64); 11] = [
    (25.0, 15.0),
    (40.0, 30.0),
    (50.0, 30.0),
    (57.0, 32.0),
    (62.0, 29.0),
    (62.0, 40.0),
    (62.0, 100.0),
    (70.0, 50.0),
    (89.0, 36.0),
    (100.0, 50.0),
    (100.0, 60.0),
];

/// Common sheets, their grids in the middle of the page. (Sizes from memory; margins follow from them:
/// hold a trial print against the sheet.)
pub fn sheets() -> Vec<Sheet> {
    let inch = 25.4;
    let on =
        |page, w: f64, h: f64, columns, rows, gap_x| Sheet::centred(page, Size { w, h }, columns, rows, gap_x, 0.0);
    vec![
        on(A4, 38.1, 21.2, 5, 13, 2.5),
        on(A4, 48.5, 25.4, 4, 11, 0.0),
        on(A4, 63.5, 38.1, 3, 7, 2.5),
        on(A4, 63.5, 46.6, 3, 6, 2.5),
        on(A4, 70.0, 37.0, 3, 8, 0.0),
        on(A4, 99.1, 38.1, 2, 7, 2.5),
        on(A4, 105.0, 74.0, 2, 4, 0.0),
        on(LETTER, 2.625 * inch, inch, 3, 10, 0.125 * inch),
        on(LETTER, 4.0 * inch, 2.0 * inch, 2, 5, 0.1875 * inch),
        on(LETTER, 4.0 * inch, 10.0 / 3.0 * inch, 2, 3, 0.1875 * inch),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet() -> Sheet {
        Sheet::centred(A4, Size { w: 63.5, h: 38.1 }, 3, 7, 2.5, 0.0)
    }

    fn check(change: impl Fn(&mut Sheet), expected: Result<(), BadStock>) {
        let mut s = sheet();
        change(&mut s);
        assert_eq!(Stock::Sheet(s).check(), expected, "{s:?}");
    }

    #[test]
    fn offered_stock_can_be_printed_on() {
        for s in sheets() {
            assert_eq!(Stock::Sheet(s).check(), Ok(()), "{s:?}");
        }
        for (w, h) in ROLLS {
            assert_eq!(Stock::Roll { label: Size { w, h }, dots: None }.check(), Ok(()));
        }
    }

    #[test]
    fn bad_stock_is_refused_with_what_to_change() {
        check(|_| {}, Ok(()));
        check(|s| s.label.h = 5.0, Err(BadStock::LabelSize(Size { w: 63.5, h: 5.0 })));
        check(|s| s.page.w = 900.0, Err(BadStock::PageSize(Size { w: 900.0, h: 297.0 })));
        check(|s| s.columns = 0, Err(BadStock::Count));
        check(|s| s.rows = 41, Err(BadStock::Count));
        check(|s| s.pitch_x = 60.0, Err(BadStock::Overlap));
        check(|s| s.pitch_y = f64::NAN, Err(BadStock::Overlap));
        for (left, top) in [(20.0, 15.0), (7.0, 40.0), (-3.0, 15.0), (f64::NAN, 15.0)] {
            let refused = Stock::Sheet(Sheet { left, top, ..sheet() }).check();
            assert!(matches!(refused, Err(BadStock::OffPage { .. })), "{left} {top}: {refused:?}");
        }
        for w in [f64::NAN, f64::INFINITY, -1.0, 0.0, 9.9, 300.1] {
            let refused = Stock::Roll { label: Size { w, h: 40.0 }, dots: None }.check();
            assert!(matches!(refused, Err(BadStock::LabelSize(_))), "{w}: {refused:?}");
        }
    }

    #[test]
    fn a_measured_printer_is_put_right() {
        // A printer that stretches by sx, sy and then moves by dx, dy.
        let ruler = Ruler::of(A4);
        for (sx, sy, dx, dy) in [(1.0, 1.0, 0.0, 0.0), (0.98, 1.01, 1.5, -2.0), (1.04, 0.96, -3.0, 4.0)] {
            let printed = |x: f64, y: f64| (x * sx + dx, y * sy + dy);
            let (left, top) = printed(ruler.cross, ruler.cross);
            let c = Calibration::measured(&ruler, ruler.across * sx, ruler.down * sy, left, top).expect("in range");
            for (x, y) in [(0.0, 0.0), (100.0, 50.0), (210.0, 297.0)] {
                let (px, py) = printed(x * c.scale_x + c.right, y * c.scale_y + c.down);
                assert!((px - x).abs() < 1e-9 && (py - y).abs() < 1e-9, "{x} {y} lands on {px} {py}");
            }
        }
        for (across, left) in [(0.0, 15.0), (f64::NAN, 15.0), (150.0, 90.0), (300.0, 15.0)] {
            assert_eq!(Calibration::measured(&ruler, across, ruler.down, left, 15.0), Err(BadStock::Calibration));
        }
    }
}
