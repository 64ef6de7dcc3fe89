//! Paper as this device knows it: the stock in the printer, own sizes, corrections of printers, and what each kind of
//! label shows. Preferences, never records.

use labels::stock::{Calibration, Dpi, ROLLS, Sheet, Size, Stock, sheets};
use serde::{Deserialize, Serialize};

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Paper {
    pub stock: Kept,
    /// Sizes of the keeper's own.
    pub own: Vec<Kept>,
    /// The first free position of the sheet in the printer, counted from 1.
    pub first: u32,
    /// 300 dots an inch instead of 203.
    pub fine: bool,
    pub printers: Vec<Printer>,
    /// Name of the printer in use; none prints uncorrected.
    pub printer: Option<String>,
    /// What is left off, as `kind.part`.
    pub hidden: Vec<String>,
}

/// A stock, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    pub w: f64,
    pub h: f64,
    /// On a sheet; without it a roll.
    pub grid: Option<Grid>,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grid {
    pub page: (f64, f64),
    pub columns: usize,
    pub rows: usize,
    pub left: f64,
    pub top: f64,
    pub pitch: (f64, f64),
    pub cut: bool,
}

/// What the ruler page showed of a printer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Printer {
    pub name: String,
    pub right: f64,
    pub down: f64,
    pub scale: (f64, f64),
}

impl Default for Paper {
    fn default() -> Self {
        Self {
            stock: Kept { w: 62.0, h: 40.0, grid: None },
            own: Vec::new(),
            first: 1,
            fine: false,
            printers: Vec::new(),
            printer: None,
            hidden: Vec::new(),
        }
    }
}

impl Kept {
    /// As it is drawn on: rolls keep to the printer's dots.
    pub fn stock(&self, dpi: Dpi) -> Stock {
        let label = Size { w: self.w, h: self.h };
        match self.grid {
            None => Stock::Roll { label, dots: Some(dpi) },
            Some(g) => Stock::Sheet(Sheet {
                page: Size { w: g.page.0, h: g.page.1 },
                label,
                left: g.left,
                top: g.top,
                pitch_x: g.pitch.0,
                pitch_y: g.pitch.1,
                columns: g.columns,
                rows: g.rows,
                cut_marks: g.cut,
            }),
        }
    }

    fn of_sheet(s: &Sheet) -> Self {
        let grid = Grid {
            page: (s.page.w, s.page.h),
            columns: s.columns,
            rows: s.rows,
            left: s.left,
            top: s.top,
            pitch: (s.pitch_x, s.pitch_y),
            cut: s.cut_marks,
        };
        Self { w: s.label.w, h: s.label.h, grid: Some(grid) }
    }

    /// Labels on one sheet; 1 on a roll.
    pub fn positions(&self) -> usize {
        self.grid.map_or(1, |g| g.columns * g.rows)
    }
}

impl Paper {
    /// The common sizes, then the keeper's own.
    pub fn offered(&self) -> Vec<Kept> {
        let rolls = ROLLS.iter().map(|&(w, h)| Kept { w, h, grid: None });
        let mut all: Vec<Kept> = rolls.chain(sheets().iter().map(Kept::of_sheet)).collect();
        for own in self.own.iter().chain([&self.stock]) {
            if !all.contains(own) {
                all.push(*own);
            }
        }
        all
    }

    /// The first free position moves on by so many labels.
    pub fn used(&mut self, labels: usize) {
        self.first = ((self.first.max(1) as usize - 1 + labels) % self.stock.positions().max(1) + 1) as u32;
    }

    pub fn dpi(&self) -> Dpi {
        if self.fine { Dpi::D300 } else { Dpi::D203 }
    }

    pub fn calibration(&self) -> Calibration {
        let printer = self.printers.iter().find(|p| Some(&p.name) == self.printer.as_ref());
        printer.map_or_else(Calibration::default, |p| Calibration {
            right: p.right,
            down: p.down,
            scale_x: p.scale.0,
            scale_y: p.scale.1,
        })
    }

    pub fn shows(&self, part: &str) -> bool {
        !self.hidden.iter().any(|hidden| hidden == part)
    }

    pub fn set_shown(&mut self, part: &str, shown: bool) {
        self.hidden.retain(|hidden| hidden != part);
        if !shown {
            self.hidden.push(part.to_owned());
        }
    }
}
