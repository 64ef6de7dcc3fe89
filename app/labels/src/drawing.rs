//! The one drawing of a label, in mm from its upper left corner; what every output draws.

use crate::font::{self, Weight};
use crate::qr::{Matrix, QUIET};
use crate::stock::Size;
use crate::text::{Lack, Part};

/// A drawn label.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    pub size: Size,
    pub marks: Vec<Mark>,
    /// What there was no room for, in the label's order.
    pub lacks: Vec<(Part, Lack)>,
}

/// One thing drawn, black unless said otherwise.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    Text(Text),
    /// A filled rectangle.
    Rect(Rect),
    Square(Square),
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Left end of the baseline.
    pub x: f64,
    pub y: f64,
    /// Type size (em).
    pub size: f64,
    pub weight: Weight,
    pub text: String,
    /// What it says, for those who check a layout; a part may be several texts.
    pub part: Part,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
}

/// A square code with its white.
#[derive(Clone, Debug, PartialEq)]
pub struct Square {
    /// Upper left corner of the first module; the white reaches [`QUIET`] modules further.
    pub x: f64,
    pub y: f64,
    /// Side of a module.
    pub module: f64,
    pub matrix: Matrix,
}

impl Rect {
    pub fn right(&self) -> f64 {
        self.x + self.w
    }

    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// Whether two rectangles share more than an edge.
    pub fn meets(&self, other: &Self) -> bool {
        const TOUCH: f64 = 1e-6;
        self.x < other.right() - TOUCH
            && other.x < self.right() - TOUCH
            && self.y < other.bottom() - TOUCH
            && other.y < self.bottom() - TOUCH
    }
}

impl Text {
    pub fn width(&self) -> f64 {
        font::width(&self.text, self.weight) * self.size
    }

    /// The advance across, the outlines' own height and depth.
    pub fn bounds(&self) -> Rect {
        let (rise, depth) = font::extent(&self.text, self.weight);
        Rect { x: self.x, y: self.y - rise * self.size, w: self.width(), h: (rise + depth) * self.size }
    }
}

impl Square {
    /// The code with its white.
    pub fn bounds(&self) -> Rect {
        let quiet = QUIET as f64 * self.module;
        let side = self.matrix.with_quiet() as f64 * self.module;
        Rect { x: self.x - quiet, y: self.y - quiet, w: side, h: side }
    }
}

impl Mark {
    /// The rectangle it fills.
    pub fn bounds(&self) -> Rect {
        match self {
            Self::Text(t) => t.bounds(),
            Self::Rect(r) => *r,
            Self::Square(s) => s.bounds(),
        }
    }
}

impl Drawing {
    /// Whether a part was printed whole.
    pub fn has_whole(&self, part: Part) -> bool {
        !self.lacks.iter().any(|&(p, _)| p == part)
    }

    pub fn square(&self) -> Option<&Square> {
        self.marks.iter().find_map(|m| match m {
            Mark::Square(s) => Some(s),
            Mark::Text(_) | Mark::Rect(_) => None,
        })
    }

    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.marks.iter().filter_map(|m| match m {
            Mark::Text(t) => Some(t),
            Mark::Rect(_) | Mark::Square(_) => None,
        })
    }
}
