//! What stands on a label, as rows in order of reading, each with its size and how dearly it is kept.

use crate::text::{Clutch, Face, Fact, LabelText, Line, Part};

/// One row before it is set to a width.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub content: Content,
    /// Type size at full scale, as a multiple of the label's plain type.
    pub size: f64,
    /// 0 is never left out; of the others the highest goes first.
    pub rank: u32,
}

#[derive(Clone, Debug)]
pub(super) enum Content {
    Title(String),
    /// Name, morph, the name's short form, and the most lines they may take.
    Species {
        name: String,
        morph: Option<String>,
        short: Option<String>,
        lines: usize,
    },
    /// Dam and sire of each clutch.
    Parents(Vec<(String, String)>),
    Words {
        text: String,
        strong: bool,
        part: Part,
    },
    /// One fact, or two that share a row if they can.
    Facts(Vec<(Part, Fact)>),
    /// A word and a line to write on.
    Pencil {
        word: String,
        part: Part,
    },
    Code,
}

impl Row {
    /// The rank of what goes first of this row; 0 when nothing may.
    pub fn next_rank(&self) -> u32 {
        match &self.content {
            Content::Species { morph: Some(_), .. } => MORPH_RANK,
            Content::Species { lines: 3.., .. } => LONG_NAME_RANK,
            Content::Species { lines: 2, .. } => NAME_RANK,
            _ => self.rank,
        }
    }
}

/// Parents go before the morph, fill-to next, then all but two lines of a long name; the laying date, all
/// but one line, and last the look-from date.
const MORPH_RANK: u32 = 40;
const LONG_NAME_RANK: u32 = 25;
const NAME_RANK: u32 = 15;

/// The most characters of a text that are set at all: more than fit three lines of the smallest type on the largest
/// label.
const MOST_CHARS: usize = 400;

/// Lines that a species with its morph may take where there is room.
const SPECIES_LINES: usize = 4;

impl Content {
    fn says_nothing(&self) -> bool {
        match self {
            Self::Title(t) | Self::Words { text: t, .. } => t.trim().is_empty(),
            Self::Species { name, morph, .. } => name.trim().is_empty() && morph.is_none(),
            Self::Parents(_) | Self::Facts(_) | Self::Pencil { .. } | Self::Code => false,
        }
    }

    /// Cuts off what no label has room for, so that the many rooms tried are tried on short texts; the parts cut.
    pub fn clip(&mut self) -> Vec<Part> {
        let mut cut = Vec::new();
        let mut clip = |text: &mut String, part: Part| {
            if let Some((end, _)) = text.char_indices().nth(MOST_CHARS) {
                text.truncate(end);
                text.push('…');
                cut.push(part);
            }
        };
        match self {
            Self::Title(text) => clip(text, Part::Title),
            Self::Species { name, morph, short, .. } => {
                clip(name, Part::Species);
                morph.iter_mut().for_each(|morph| clip(morph, Part::Morph));
                short.iter_mut().for_each(|short| clip(short, Part::Species));
            }
            Self::Parents(pairs) => {
                for (dam, sire) in pairs {
                    clip(dam, Part::Parents);
                    clip(sire, Part::Parents);
                }
            }
            Self::Words { text, part, .. } | Self::Pencil { word: text, part } => clip(text, *part),
            Self::Facts(facts) => {
                for (part, Fact { word, value, aside }) in facts {
                    for text in [word, value, aside] {
                        clip(text, *part);
                    }
                }
            }
            Self::Code => {}
        }
        cut
    }

    pub fn parts(&self) -> Vec<Part> {
        match self {
            Self::Title(_) => vec![Part::Title],
            Self::Species { morph, .. } => {
                let mut parts = vec![Part::Species];
                parts.extend(morph.as_ref().map(|_| Part::Morph));
                parts
            }
            Self::Parents(_) => vec![Part::Parents],
            Self::Words { part, .. } | Self::Pencil { part, .. } => vec![*part],
            Self::Facts(facts) => facts.iter().map(|&(part, _)| part).collect(),
            Self::Code => vec![Part::Code],
        }
    }
}

const TITLE: f64 = 3.2;

/// The rows of a label, without its code.
pub(super) fn rows(text: &LabelText) -> Vec<Row> {
    let mut rows = all_rows(text);
    rows.retain(|r| !r.content.says_nothing());
    rows
}

fn all_rows(text: &LabelText) -> Vec<Row> {
    match &text.face {
        Face::Clutch(c) => clutch(c),
        Face::Titled { title, lines } => {
            let mut rows = vec![Row { content: Content::Title(title.clone()), size: TITLE, rank: 0 }];
            rows.extend(lines.iter().enumerate().map(|(i, line)| titled_line(i, line)));
            rows
        }
        Face::Blank { pencil } => pencil
            .iter()
            .enumerate()
            .map(|(i, word)| {
                let content = Content::Pencil { word: word.clone(), part: Part::Line(i) };
                Row { content, size: 1.0, rank: 10 + i as u32 }
            })
            .collect(),
    }
}

fn titled_line(i: usize, line: &Line) -> Row {
    let part = Part::Line(i);
    let rank = 10 + i as u32;
    match line {
        Line::Strong(t) => Row { content: Content::Words { text: t.clone(), strong: true, part }, size: 1.3, rank },
        Line::Plain(t) => Row { content: Content::Words { text: t.clone(), strong: false, part }, size: 1.05, rank },
        Line::Fact(f) => Row { content: Content::Facts(vec![(part, f.clone())]), size: 1.0, rank },
    }
}

fn clutch(c: &Clutch) -> Vec<Row> {
    let mut rows = vec![
        Row { content: Content::Title(c.number.clone()), size: TITLE, rank: 0 },
        Row {
            content: Content::Species {
                name: c.species.clone(),
                morph: c.morph.clone().filter(|m| !m.trim().is_empty()),
                short: c.species_short.clone().filter(|s| !s.trim().is_empty()),
                lines: SPECIES_LINES,
            },
            size: 1.3,
            rank: 0,
        },
    ];
    if c.parents.iter().any(|of| of.dam.is_some() || of.sire.is_some()) {
        let or_unknown = |name: &Option<String>| name.clone().unwrap_or_else(|| "?".into());
        let pairs = c.parents.iter().map(|of| (or_unknown(&of.dam), or_unknown(&of.sire))).collect();
        rows.push(Row { content: Content::Parents(pairs), size: 1.05, rank: 50 });
    }
    let fact = |part, f: &Option<Fact>| f.clone().map(|f| (part, f));
    let mut facts = |facts: Vec<Option<(Part, Fact)>>, size, rank| {
        let facts: Vec<_> = facts.into_iter().flatten().collect();
        if !facts.is_empty() {
            rows.push(Row { content: Content::Facts(facts), size, rank });
        }
    };
    facts(vec![fact(Part::Laid, &c.laid), fact(Part::Eggs, &c.eggs)], 1.0, 20);
    facts(vec![fact(Part::LookFrom, &c.look_from)], 1.15, 10);
    facts(vec![fact(Part::FillTo, &c.fill_to)], 1.0, 30);
    rows
}
