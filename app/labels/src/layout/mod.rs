//! From what a label says and the paper's size to its drawing.
//!
//! Several arrangements are tried (square at the right or below; the code under it, beside it or among the
//! rows; the pencil strip here, there or not), each with every size of module, and the one is taken that
//! leaves out least and reads best.

mod alike;
mod fill;
mod lines;
mod rows;
mod score;
mod set;

pub use alike::{Alike, spread};

use crate::drawing::{Drawing, Mark, Rect, Square, Text};
use crate::font::{self, Weight};
use crate::qr::{Matrix, QUIET};
use crate::stock::{BadStock, Dpi, Size, Stock};
use crate::text::{Face, LabelText, Lack, Part};
use fill::{Filled, LEAD, fill, inner_lead};
use rows::{Content, Row, rows};
use score::Reads;
use set::Block;

/// Sides of a module tried, mm, where no printer's dots are given: the whole dots of a 203 dpi head.
const MODULES_MM: [f64; 6] = [0.375, 0.5, 0.625, 0.75, 0.875, 1.0];
/// Finest and coarsest module in printer's dots, mm. Below a third of a millimetre phones fail.
const FINEST_MM: f64 = 0.33;
const COARSEST_MM: f64 = 1.01;
/// Lowest strip that can be written in, and thickness of its rule, mm.
const STRIP_MM: f64 = 5.0;
const RULE_MM: f64 = 0.25;
/// Least width for rows beside the square and least height above it, mm.
const COLUMN_MM: f64 = 6.0;
const ROWS_MM: f64 = 4.0;
/// Between the square's white and the code under it, mm.
const UNDER_MM: f64 = 0.3;

/// Draws a label.
///
/// # Errors
/// [`BadStock`] when the stock cannot be printed on.
pub fn layout(text: &LabelText, stock: &Stock) -> Result<Drawing, BadStock> {
    stock.check()?;
    Ok(Page::new(text, stock).best())
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Where {
    Right,
    Below,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum CodeAt {
    UnderSquare,
    BesideSquare,
    AmongRows,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Strip {
    None,
    /// Along the whole lower edge, or, with the square below, between it and the rows.
    Across,
    /// Beside the square only.
    Beside,
}

#[derive(Clone, Copy, Debug)]
struct Plan {
    square: Option<(Where, f64)>,
    code: CodeAt,
    strip: Strip,
}

struct Page<'a> {
    text: &'a LabelText,
    size: Size,
    dots: Option<Dpi>,
    margin: f64,
    matrix: Option<Matrix>,
    rows: Vec<Row>,
    /// What was too long to be tried at all.
    clipped: Vec<Part>,
    /// Plain type that suits the label's size, mm.
    suits: f64,
}

impl<'a> Page<'a> {
    fn new(text: &'a LabelText, stock: &Stock) -> Self {
        let size = stock.label();
        let mut rows = rows(text);
        let clipped = rows.iter_mut().flat_map(|row| row.content.clip()).collect();
        Self {
            text,
            size,
            dots: stock.dots(),
            margin: (size.w.min(size.h) * 0.045).clamp(0.8, 2.5),
            matrix: Matrix::of(&text.link),
            rows,
            clipped,
            suits: ((size.w * size.h).sqrt() * 0.065).clamp(2.2, 6.0),
        }
    }

    /// To the printer's dots, where they are known.
    fn snap(&self, v: f64) -> f64 {
        self.dots.map_or(v, |d| (v * d.per_mm()).round() / d.per_mm())
    }

    fn modules(&self) -> Vec<f64> {
        match self.dots {
            None => MODULES_MM.to_vec(),
            Some(d) => {
                (1..=12).map(|n| f64::from(n) / d.per_mm()).filter(|m| (FINEST_MM..=COARSEST_MM).contains(m)).collect()
            }
        }
    }

    fn plans(&self) -> Vec<Plan> {
        let strips = if self.text.notes.is_some() {
            &[Strip::None, Strip::Across, Strip::Beside][..]
        } else {
            &[Strip::None][..]
        };
        let mut out = Vec::new();
        let without = strips.iter().filter(|&&s| s != Strip::Beside);
        out.extend(without.map(|&strip| Plan { square: None, code: CodeAt::AmongRows, strip }));
        if let Some(matrix) = &self.matrix {
            for module in self.modules() {
                let side = matrix.with_quiet() as f64 * module;
                for (at, fits) in [
                    (Where::Right, side + COLUMN_MM <= self.size.w && side <= self.size.h),
                    (
                        Where::Below,
                        side + ROWS_MM <= self.size.h && side <= self.size.w && self.size.h > 0.7 * self.size.w,
                    ),
                ] {
                    if !fits {
                        continue;
                    }
                    for code in [CodeAt::UnderSquare, CodeAt::BesideSquare, CodeAt::AmongRows] {
                        let sensible = !(at == Where::Right && code == CodeAt::BesideSquare);
                        out.extend(strips.iter().filter(|_| sensible).map(|&strip| Plan {
                            square: Some((at, module)),
                            code,
                            strip,
                        }));
                    }
                }
            }
        }
        out
    }

    /// Its best drawing.
    fn best(&self) -> Drawing {
        // The most promising first, until none left could do better than the best so far.
        let mut plans: Vec<_> = self.plans().into_iter().map(|plan| (self.at_most(&plan), plan)).collect();
        plans.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<(Drawing, f64)> = None;
        for (at_most, plan) in plans {
            if best.as_ref().is_some_and(|(_, score)| *score >= at_most) {
                break;
            }
            let found = self.attempt_at_sizes(plan);
            if found.as_ref().map(|f| f.1) > best.as_ref().map(|b| b.1) {
                best = found;
            }
        }
        self.told(best.map_or_else(|| self.bare(), |(drawing, _)| drawing))
    }

    /// With what was too long to be tried at all.
    fn told(&self, mut drawing: Drawing) -> Drawing {
        for &part in &self.clipped {
            if !drawing.lacks.iter().any(|&(other, _)| other == part) {
                drawing.lacks.push((part, Lack::Shortened));
            }
        }
        drawing
    }

    /// The square with its white for a module size: (x, y) of the white's corner and its side.
    fn square_box(&self, at: Where, module: f64, code_height: f64) -> Option<Rect> {
        let matrix = self.matrix.as_ref()?;
        let side = matrix.with_quiet() as f64 * module;
        // The label's own margin counts as white.
        let in_margin = (self.margin - QUIET as f64 * module).max(0.0);
        let x = self.size.w - in_margin - side;
        let y = match at {
            Where::Right => in_margin,
            Where::Below => self.size.h - code_height.max(in_margin) - side,
        };
        let whole = |v: f64| self.dots.map_or(v, |d| (v * d.per_mm() + 1e-6).floor() / d.per_mm());
        (x >= 0.0 && y >= 0.0).then_some(Rect { x: whole(x), y: whole(y), w: side, h: side })
    }

    /// With type of good size; smaller only if that would leave something out.
    fn attempt_at_sizes(&self, plan: Plan) -> Option<(Drawing, f64)> {
        let mut best: Option<(Drawing, f64)> = None;
        for least in [2.3, 1.6, 1.2, 0.9] {
            let Some(found) = self.attempt(&plan, least) else { continue };
            let whole = found.0.lacks.iter().all(|&(part, _)| matches!(part, Part::Notes | Part::Square));
            if best.as_ref().is_none_or(|b| b.1 < found.1) {
                best = Some(found);
            }
            if whole {
                break;
            }
        }
        best
    }

    /// Draws a plan with plain type of at least `least` mm, and how good it is.
    fn attempt(&self, plan: &Plan, least: f64) -> Option<(Drawing, f64)> {
        let (Size { w, h }, m) = (self.size, self.margin);
        let mut area = Rect { x: m, y: m, w: w - 2.0 * m, h: h - 2.0 * m };
        let mut marks = Vec::new();
        let mut rows = self.rows.clone();
        let mut strip = None;
        let mut code_size = 0.0;
        let gap = 0.6;
        let strip_below = |area: &mut Rect, bottom: f64| {
            area.h = bottom - STRIP_MM - gap - area.y;
            Some(Rect { x: m, y: 0.0, w: w - 2.0 * m, h: bottom })
        };
        if let Some((at, module)) = plan.square {
            let matrix = self.matrix.as_ref()?;
            let dark = matrix.side as f64 * module;
            let under = (plan.code == CodeAt::UnderSquare).then(|| set::code_row(self.text.code, 4.2, dark.max(12.0)));
            let under_height = under.as_ref().map_or(0.0, |b| UNDER_MM + fill::height(std::slice::from_ref(b), b.size));
            let foot = if under.is_some() { under_height + m } else { 0.0 };
            let square = self.square_box(at, module, foot)?;
            let code_bottom = square.bottom() + under_height;
            match at {
                Where::Right => {
                    area.w = square.x - area.x;
                    match plan.strip {
                        Strip::None if under.is_some() && code_bottom > h - m * 0.5 => return None,
                        Strip::None => {}
                        Strip::Across => {
                            strip = strip_below(&mut area, h - m * 0.5);
                            if code_bottom.max(square.bottom()) > h - m * 0.5 - STRIP_MM - gap * 0.5 {
                                return None;
                            }
                        }
                        Strip::Beside => {
                            strip = strip_below(&mut area, h - m * 0.5);
                            strip = strip.map(|s| Rect { w: square.x - m, ..s });
                            if under.is_some() && code_bottom > h - m * 0.5 {
                                return None;
                            }
                        }
                    }
                }
                Where::Below => {
                    area.h = square.y - area.y;
                    let beside = square.x - m;
                    match plan.strip {
                        Strip::None => {}
                        Strip::Across => strip = strip_below(&mut area, square.y),
                        Strip::Beside => {
                            if beside < 15.0 {
                                return None;
                            }
                            let bottom = if plan.code == CodeAt::BesideSquare { h - m - 6.0 } else { h - m * 0.5 };
                            strip = Some(Rect { x: m, y: square.y, w: beside, h: bottom });
                        }
                    }
                    if plan.code == CodeAt::BesideSquare {
                        if beside < 12.0 {
                            return None;
                        }
                        let block = set::code_row(self.text.code, 4.2, beside);
                        let y = h - m - fill::height(std::slice::from_ref(&block), block.size);
                        code_size = block.size;
                        self.put_block(&mut marks, &block, m, y, block.size, None);
                    }
                }
            }
            let quiet = QUIET as f64 * module;
            let (x, y) = (square.x + quiet, square.y + quiet);
            marks.push(Mark::Square(Square { x, y, module, matrix: matrix.clone() }));
            if let Some(block) = under {
                code_size = block.size;
                self.put_block(&mut marks, &block, square.x, square.bottom() + UNDER_MM, block.size, Some(square.w));
            }
        } else if plan.strip == Strip::Across {
            strip = strip_below(&mut area, h - m * 0.5);
        }
        if plan.code == CodeAt::AmongRows {
            let heading = matches!(self.text.face, Face::Blank { .. });
            let row = Row { content: Content::Code, size: if heading { 1.9 } else { 1.15 }, rank: 0 };
            if heading { rows.insert(0, row) } else { rows.push(row) }
        }
        if area.h <= 0.0 || area.w < COLUMN_MM.min(w - 2.0 * m) {
            return None;
        }
        let most = (self.suits * 1.12).max(least);
        let filled = fill(&rows, self.text.code, area.w, area.h, least, most)?;
        Some(self.finish(plan, marks, &filled, area, strip, code_size))
    }

    fn finish(
        &self,
        plan: &Plan,
        mut marks: Vec<Mark>,
        filled: &Filled,
        area: Rect,
        strip: Option<Rect>,
        code_size: f64,
    ) -> (Drawing, f64) {
        let plain = filled.plain;
        let gaps = filled.blocks.len().saturating_sub(1).max(1) as f64;
        let spare = (area.h - filled.height).max(0.0);
        let spread = (spare / gaps * 0.6).min(plain * 0.45);
        let mut y = area.y;
        for block in &filled.blocks {
            y = self.put_block(&mut marks, block, area.x, y, plain, None);
            self.put_rules(&mut marks, block, area, y, plain);
            y += LEAD * plain + spread;
        }
        let end = (y - LEAD * plain - spread).max(area.y);
        let mut lacks = filled.lacks.clone();
        let mut written = (0.0, 0.0);
        match (strip, &self.text.notes) {
            (Some(strip), Some(word)) => {
                let square_end = marks
                    .iter()
                    .filter(|m| m.bounds().right() > strip.x && m.bounds().x < strip.right())
                    .map(|m| m.bounds().bottom())
                    .filter(|&b| b <= strip.h - STRIP_MM)
                    .fold(end, f64::max);
                let beside_below = matches!((plan.square, plan.strip), (Some((Where::Below, _)), Strip::Beside));
                let lowest = strip.h - STRIP_MM;
                let top = if beside_below {
                    strip.y.max(end + 0.5)
                } else {
                    square_end + (lowest - square_end).clamp(0.4, 1.2)
                };
                written = (strip.h - top, strip.w);
                marks.push(Mark::Rect(self.rect(strip.x, top, strip.w, RULE_MM)));
                let size = (plain * 0.86).clamp(1.6, 3.0);
                let y = top + RULE_MM + 0.5 + font::CAP * size;
                let text = word.clone();
                marks.push(Mark::Text(Text { x: strip.x, y, size, weight: Weight::Regular, text, part: Part::Notes }));
            }
            (None, Some(_)) => lacks.push((Part::Notes, Lack::LeftOut)),
            (_, None) => {}
        }
        if plan.square.is_none() {
            lacks.push((Part::Square, Lack::LeftOut));
        }
        lacks.sort_unstable_by_key(|&(part, _)| part);
        lacks.dedup_by_key(|&mut (part, _)| part);
        let title = filled.blocks.first().map_or(0.0, |b| b.size);
        let reads = Reads { plain, title, code: code_size, strip: written };
        let score = self.score(plan, area.w, &reads, &lacks);
        (Drawing { size: self.size, marks, lacks }, score)
    }

    fn rect(&self, x: f64, y: f64, w: f64, h: f64) -> Rect {
        let dot = self.dots.map_or(0.0, |d| 1.0 / d.per_mm());
        Rect { x: self.snap(x), y: self.snap(y), w: self.snap(w).max(dot), h: self.snap(h).max(dot) }
    }

    /// Puts a block's lines from `y` down, in the middle of `centred` mm if given; where it ends.
    fn put_block(&self, marks: &mut Vec<Mark>, block: &Block, x: f64, y: f64, plain: f64, centred: Option<f64>) -> f64 {
        let mut y = y;
        for (i, line) in block.lines.iter().enumerate() {
            if i > 0 {
                y += inner_lead(plain);
            }
            y += line.rise;
            let end = line.pieces.last().map_or(0.0, |p| p.dx + font::width(&p.text, p.weight) * p.size);
            let shift = centred.map_or(0.0, |width| (width - end) / 2.0);
            marks.extend(line.pieces.iter().map(|p| {
                let text = p.text.clone();
                Mark::Text(Text { x: x + shift + p.dx, y, size: p.size, weight: p.weight, text, part: p.part })
            }));
            y += line.depth;
        }
        y
    }

    fn put_rules(&self, marks: &mut Vec<Mark>, block: &Block, area: Rect, end: f64, plain: f64) {
        let mut y = end;
        for line in block.lines.iter().rev() {
            if let Some(from) = line.rule_from {
                let at = y - line.depth;
                marks.push(Mark::Rect(self.rect(area.x + from, at, area.w - from, RULE_MM * 0.6)));
            }
            y -= line.rise + line.depth + inner_lead(plain);
        }
    }

    /// When nothing else fits (a link too long and a label too small): the code in what type fits.
    fn bare(&self) -> Drawing {
        let mut marks = Vec::new();
        let block = set::code_row(self.text.code, 3.0, self.size.w - 2.0 * self.margin);
        self.put_block(&mut marks, &block, self.margin, self.margin, block.size, None);
        let mut lacks: Vec<_> = self.rows.iter().flat_map(|r| r.content.parts()).map(|p| (p, Lack::LeftOut)).collect();
        lacks.push((Part::Square, Lack::LeftOut));
        lacks.extend(self.text.notes.as_ref().map(|_| (Part::Notes, Lack::LeftOut)));
        lacks.sort_unstable_by_key(|&(part, _)| part);
        Drawing { size: self.size, marks, lacks }
    }
}

#[cfg(test)]
mod tests;
