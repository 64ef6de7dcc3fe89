//! Setting one row to a width: smaller first, then on more lines, then shortened, each within what can
//! still be read.

use super::lines::{Measured, SMALLEST, fit, shorten};
use super::rows::{Content, Row};
use crate::Code;
use crate::font::{self, Weight};
use crate::text::{Fact, Lack, Part};

/// A piece of a set line.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub dx: f64,
    pub text: String,
    pub weight: Weight,
    pub size: f64,
    pub part: Part,
}

#[derive(Clone, Debug, Default)]
pub(super) struct SetLine {
    pub pieces: Vec<Piece>,
    /// Room above and below the baseline.
    pub rise: f64,
    pub depth: f64,
    /// Where a line to write on begins.
    pub rule_from: Option<f64>,
}

/// A set row.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    pub lines: Vec<SetLine>,
    pub lacks: Vec<(Part, Lack)>,
    /// Size of its first piece, mm.
    pub size: f64,
}

/// Sets `row` in plain type of `plain` mm to `width` mm.
pub(super) fn set(row: &Row, code: Code, plain: f64, width: f64) -> Block {
    let size = row.size * plain;
    match &row.content {
        Content::Title(text) => title(text, size, width),
        Content::Species { name, morph, short, lines } => {
            species(name, morph.as_deref(), short.as_deref(), *lines, size, width)
        }
        Content::Parents(pairs) => all_parents(pairs, size, width),
        Content::Words { text, strong, part } => words(text, weight(*strong), *part, size, width, 3, Lack::Shortened),
        Content::Facts(facts) => facts_row(facts, size, width),
        Content::Pencil { word, part } => pencil(word, *part, size, width),
        Content::Code => code_row(code, size, width),
    }
}

fn weight(strong: bool) -> Weight {
    if strong { Weight::Bold } else { Weight::Regular }
}

fn line(pieces: Vec<Piece>) -> SetLine {
    let mut out = SetLine { pieces, ..SetLine::default() };
    for p in &out.pieces {
        let (rise, depth) = font::extent(&p.text, p.weight);
        out.rise = out.rise.max(rise.max(font::CAP) * p.size);
        out.depth = out.depth.max(depth.max(font::DESCENT) * p.size);
    }
    out
}

fn single(text: &str, weight: Weight, size: f64, part: Part) -> SetLine {
    line(vec![Piece { dx: 0.0, text: text.to_owned(), weight, size, part }])
}

/// A paragraph: on one line if little smaller, on more if need be, shortened if nothing helps.
fn words(text: &str, weight: Weight, part: Part, size: f64, width: f64, most: usize, lack: Lack) -> Block {
    let found = (1..=most).find_map(|n| fit(text, weight, size, width, n, if n == 1 { 0.82 } else { 0.72 }));
    let (size, lines, cut) = match found {
        Some((size, lines)) => (size, lines, false),
        None => {
            let size = (size * 0.72).max(SMALLEST);
            let room = width / size;
            let mut lines = Measured::new(text, weight).lines(room);
            let cut = lines.len() > most;
            if cut {
                let rest = lines.drain(most - 1..).collect::<Vec<_>>().join(" ");
                lines.push(shorten(&(rest + "…"), weight, room));
            }
            (size, lines, cut)
        }
    };
    Block {
        lines: lines.iter().map(|l| single(l, weight, size, part)).collect(),
        lacks: if cut { vec![(part, lack)] } else { Vec::new() },
        size,
    }
}

fn title(text: &str, size: f64, width: f64) -> Block {
    let natural = font::width(text, Weight::Bold).max(0.1);
    let one = (width / natural).min(size);
    let mut block = if one >= (size * 0.34).max(2.0) {
        Block { lines: vec![single(text, Weight::Bold, one, Part::Title)], lacks: Vec::new(), size: one }
    } else {
        let larger = (size * 0.5).max(2.2);
        match (2..=3).find_map(|n| fit(text, Weight::Bold, larger, width, n, 0.7)) {
            Some((size, lines)) => Block {
                lines: lines.iter().map(|l| single(l, Weight::Bold, size, Part::Title)).collect(),
                lacks: Vec::new(),
                size,
            },
            None => words(text, Weight::Bold, Part::Title, larger.min(size * 0.4).max(1.7), width, 3, Lack::Shortened),
        }
    };
    // Figures and capitals hang nothing below the line: the rows beneath may come closer.
    for l in &mut block.lines {
        l.depth = l.pieces.iter().map(|p| font::extent(&p.text, p.weight).1.max(0.05) * p.size).fold(0.0, f64::max);
    }
    block
}

fn species(name: &str, morph: Option<&str>, short: Option<&str>, most: usize, size: f64, width: f64) -> Block {
    let whole = morph.map_or(name.to_owned(), |m| format!("{name}, {m}"));
    let block = words(&whole, Weight::Bold, Part::Species, size, width, most, Lack::Shortened);
    if block.lacks.is_empty() {
        return block;
    }
    let small = (size * 0.72).max(SMALLEST);
    let room = width / small;
    let named = |lines: Vec<String>, part| lines.into_iter().map(move |l| single(&l, Weight::Bold, small, part));
    let measured = Measured::new(name, Weight::Bold);
    let (names, mut lacks) = if measured.breaks(room).len() <= most.min(2) && !measured.cuts_a_word(room) {
        (measured.lines(room), Vec::new())
    } else if let Some(short) = short.filter(|s| font::width(s, Weight::Bold) <= room) {
        (vec![short.to_owned()], vec![(Part::Species, Lack::Shortened)])
    } else {
        (vec![shorten(name, Weight::Bold, room)], vec![(Part::Species, Lack::Shortened)])
    };
    let left = most.saturating_sub(names.len());
    let mut lines: Vec<_> = named(names, Part::Species).collect();
    match morph {
        Some(m) if left > 0 => {
            let rest = words(m, Weight::Bold, Part::Morph, small, width, left, Lack::Shortened);
            lacks.extend(rest.lacks);
            lines.extend(rest.lines);
        }
        Some(_) => lacks.push((Part::Morph, Lack::LeftOut)),
        None => {}
    }
    Block { lines, lacks, size: small }
}

/// Of each clutch, all as small as the longest has to be.
fn all_parents(pairs: &[(String, String)], size: f64, width: f64) -> Block {
    let each = |size: f64| pairs.iter().map(move |(dam, sire)| parents(dam, sire, size, width));
    let size = each(size).map(|block| block.size).fold(size, f64::min);
    let mut all = Block { lines: Vec::new(), lacks: Vec::new(), size };
    for block in each(size) {
        all.lines.extend(block.lines);
        all.lacks.extend(block.lacks);
    }
    all
}

fn parents(dam: &str, sire: &str, size: f64, width: f64) -> Block {
    let whole = format!("{dam} × {sire}");
    let (weight, part) = (Weight::Regular, Part::Parents);
    let found = fit(&whole, weight, size, width, 1, 0.82).or_else(|| {
        // Dam and sire on a line each rather than broken anywhere.
        [1.0, 0.9, 0.82, 0.75, 0.68, 0.62].into_iter().map(|s| size * s).filter(|&s| s >= SMALLEST).find_map(|size| {
            let lines = vec![format!("{dam} ×"), sire.to_owned()];
            lines.iter().all(|l| font::width(l, weight) * size <= width).then_some((size, lines))
        })
    });
    let (size, lines, lacks) = match found {
        Some((size, lines)) => (size, lines, Vec::new()),
        None => {
            let size = (size * 0.62).max(SMALLEST);
            let room = width / size;
            let dam = shorten(dam, weight, room - font::width(" ×", weight)) + " ×";
            (size, vec![dam, shorten(sire, weight, room)], vec![(part, Lack::Shortened)])
        }
    };
    Block { lines: lines.iter().map(|l| single(l, weight, size, part)).collect(), lacks, size }
}

const WORD: f64 = 0.84;
const VALUE: f64 = 1.5;
const ASIDE: f64 = 0.95;

fn fact_pieces(part: Part, fact: &Fact, from: f64, with_word: bool, with_aside: bool) -> (Vec<Piece>, f64) {
    let mut pieces = Vec::new();
    let mut dx = from;
    let mut put = |text: &str, weight, size: f64| {
        if !text.is_empty() {
            pieces.push(Piece { dx, text: text.to_owned(), weight, size, part });
            dx += font::width(text, weight) * size + 0.32;
        }
    };
    if with_word {
        put(&fact.word, Weight::Regular, WORD);
    }
    put(&fact.value, Weight::Bold, VALUE);
    if with_aside {
        put(&fact.aside, Weight::Regular, ASIDE);
    }
    (pieces, dx - 0.32)
}

/// Pieces laid out at size 1 with their end, scaled to the width if that is at least `least`.
fn scaled((pieces, end): (Vec<Piece>, f64), size: f64, width: f64, least: f64) -> Option<(SetLine, f64)> {
    let scale = (width / (end * size).max(0.01)).min(1.0);
    let size = size * scale;
    let legible = pieces.iter().all(|p| p.size * size >= SMALLEST);
    (scale >= least && legible).then(|| {
        let placed = pieces.into_iter().map(|p| Piece { dx: p.dx * size, size: p.size * size, ..p }).collect();
        (line(placed), size)
    })
}

fn facts_row(facts: &[(Part, Fact)], size: f64, width: f64) -> Block {
    if let [(first_part, first), (second_part, second)] = facts {
        let (mut pieces, end) = fact_pieces(*first_part, first, 0.0, true, true);
        let dot = Piece { dx: end + 0.3, text: "·".into(), weight: Weight::Bold, size: ASIDE, part: *second_part };
        let after = end + 0.6 + font::width("·", Weight::Bold) * ASIDE;
        let (more, end) = fact_pieces(*second_part, second, after, true, true);
        pieces.push(dot);
        pieces.extend(more);
        if let Some((line, size)) = scaled((pieces, end), size, width, 0.78) {
            return Block { lines: vec![line], lacks: Vec::new(), size };
        }
    }
    let mut out = Block { size, ..Block::default() };
    for (part, fact) in facts {
        let block = one_fact(*part, fact, size, width);
        out.size = out.size.min(block.size);
        out.lines.extend(block.lines);
        out.lacks.extend(block.lacks);
    }
    out
}

fn one_fact(part: Part, fact: &Fact, size: f64, width: f64) -> Block {
    let whole = |lines: Vec<SetLine>, size| Block { lines, lacks: Vec::new(), size };
    if let Some((line, size)) = scaled(fact_pieces(part, fact, 0.0, true, true), size, width, 0.72) {
        return whole(vec![line], size);
    }
    if let Some((line, size)) = scaled(fact_pieces(part, fact, 0.0, true, false), size, width, 0.72) {
        return Block { lines: vec![line], lacks: vec![(part, Lack::Shortened)], size };
    }
    // The word on a line of its own, above its value.
    let word = words(&fact.word, Weight::Regular, part, (WORD * size).max(SMALLEST), width, 1, Lack::Shortened);
    for (with_aside, least) in [(true, 0.72), (false, 0.4)] {
        if let Some((line, size)) = scaled(fact_pieces(part, fact, 0.0, false, with_aside), size, width, least) {
            let mut lines = word.lines.clone();
            lines.push(line);
            let mut lacks = word.lacks.clone();
            if !with_aside && !fact.aside.is_empty() && lacks.is_empty() {
                lacks.push((part, Lack::Shortened));
            }
            return Block { lines, lacks, size };
        }
    }
    let small = (size * VALUE * 0.5).max(SMALLEST);
    let mut lines = word.lines;
    lines.push(single(&shorten(&fact.value, Weight::Bold, width / small), Weight::Bold, small, part));
    Block { lines, lacks: vec![(part, Lack::Shortened)], size: small }
}

/// Room for handwriting with a marker, mm.
pub(super) const PENCIL: f64 = 6.0;

fn pencil(word: &str, part: Part, size: f64, width: f64) -> Block {
    let size = size.max(SMALLEST);
    let kept = shorten(word, Weight::Regular, width * 0.5 / size);
    let lacks = if kept == word { Vec::new() } else { vec![(part, Lack::Shortened)] };
    let from = font::width(&kept, Weight::Regular) * size + size * 0.4;
    let mut set = single(&kept, Weight::Regular, size, part);
    set.rise = set.rise.max(PENCIL);
    set.rule_from = Some(from);
    Block { lines: vec![set], lacks, size }
}

/// The typed code on one line, or its halves on two.
pub(super) fn code_row(code: Code, size: f64, width: f64) -> Block {
    let size = size.max(SMALLEST);
    let set = |texts: &[String], size: f64| Block {
        lines: texts.iter().map(|t| single(t, Weight::Bold, size, Part::Code)).collect(),
        lacks: Vec::new(),
        size,
    };
    let widest = |texts: &[String]| texts.iter().map(|t| font::width(t, Weight::Bold)).fold(0.1, f64::max);
    let one = [code.to_string()];
    let fitted = |texts: &[String]| (width / widest(texts)).min(size);
    if fitted(&one) >= (size * 0.5).max(SMALLEST) {
        return set(&one, fitted(&one));
    }
    let halves = code.halves();
    if fitted(&halves) >= SMALLEST {
        set(&halves, fitted(&halves))
    } else {
        Block { lines: Vec::new(), lacks: vec![(Part::Code, Lack::LeftOut)], size }
    }
}
