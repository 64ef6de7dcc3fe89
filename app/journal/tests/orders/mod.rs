//! The same lines brought in several orders and splits, and the fewest of them that do not come to one state.

#![allow(dead_code, reason = "shared by a test and an example")]

use journal::{Fold, Id, Taken};

/// One way for lines to arrive.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Numbers of lines; one may come twice.
    pub order: Vec<usize>,
    /// The state is written down and read back before the line at this place of the order.
    pub cut: Option<usize>,
}

/// Two ways that should come to one state and do not.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    pub one: Way,
    pub other: Way,
}

/// What the lines of a way come to, as a text to compare; none where that way cannot be gone.
pub type Comes<'a> = &'a dyn Fn(&Way) -> Option<String>;

/// Shuffled orders tried besides the plain ones.
const SHUFFLES: u64 = 12;

/// The ways tried for lines that came in `files` of these lengths: as they are, files and lines backwards, shuffled,
/// everything twice; each also with the state written down half-way.
pub fn ways(files: &[usize]) -> Vec<Way> {
    let total = files.iter().sum();
    let plain: Vec<usize> = (0..total).collect();
    let mut starts = Vec::new();
    files.iter().fold(0, |start, length| {
        starts.push(start..start + length);
        start + length
    });
    let mut orders = vec![
        plain.clone(),
        starts.iter().rev().cloned().flatten().collect(),
        plain.iter().rev().copied().collect(),
        plain.iter().flat_map(|line| [*line, *line]).collect(),
    ];
    orders.extend((1..=SHUFFLES).map(|seed| shuffled(&plain, seed)));
    let cuts = |order: Vec<usize>| [None, Some(order.len() / 2)].map(|cut| Way { order: order.clone(), cut });
    orders.into_iter().flat_map(cuts).collect()
}

fn shuffled(plain: &[usize], seed: u64) -> Vec<usize> {
    let mut keyed: Vec<(u64, usize)> = plain
        .iter()
        .map(|&line| {
            let mixed = (line as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(seed as u32 * 5 % 64);
            ((mixed ^ seed).wrapping_mul(0xbf58_476d_1ce4_e5b9), line)
        })
        .collect();
    keyed.sort_unstable();
    keyed.into_iter().map(|(_, line)| line).collect()
}

/// The first two of the ways that come to different states.
pub fn apart(ways: &[Way], comes: Comes<'_>) -> Option<Apart> {
    let mut known = ways.iter().filter_map(|way| Some((way, comes(way)?)));
    let (one, state) = known.next()?;
    let (other, _) = known.find(|(_, other)| *other != state)?;
    Some(Apart { one: one.clone(), other: other.clone() })
}

impl Apart {
    fn stands(&self, comes: Comes<'_>) -> bool {
        match (comes(&self.one), comes(&self.other)) {
            (Some(one), Some(other)) => one != other,
            _ => false,
        }
    }

    /// Both ways with those lines only that `keep` keeps.
    fn of(&self, keep: &dyn Fn(usize) -> bool) -> Apart {
        let of = |way: &Way| Way {
            order: way.order.iter().copied().filter(|line| keep(*line)).collect(),
            cut: way.cut.map(|cut| way.order[..cut].iter().filter(|line| keep(**line)).count()),
        };
        Apart { one: of(&self.one), other: of(&self.other) }
    }

    /// Numbers of the lines left, in the first way's order.
    pub fn lines(&self) -> Vec<usize> {
        let mut lines = Vec::new();
        for line in self.one.order.iter().chain(&self.other.order) {
            if !lines.contains(line) {
                lines.push(*line);
            }
        }
        lines
    }

    /// As few lines as still come apart, and a second way as like the first as still does: taking away any one line,
    /// or undoing any one swap, brings the two together.
    pub fn shrunk(self, comes: Comes<'_>) -> Apart {
        let mut case = self;
        loop {
            let before = case.clone();
            // A second way more like the first may need fewer lines.
            case = case.fewer(comes).liker(comes);
            if case == before {
                return case;
            }
        }
    }

    /// Takes away halves, then quarters, down to single lines, for as long as that helps.
    fn fewer(self, comes: Comes<'_>) -> Apart {
        let mut case = self;
        let mut size = case.lines().len().div_ceil(2);
        while size > 0 {
            let lines = case.lines();
            let helped = lines.chunks(size).find_map(|chunk| {
                let less = case.of(&|line| !chunk.contains(&line));
                less.stands(comes).then_some(less)
            });
            match helped {
                Some(less) => {
                    case = less;
                    size = size.min(case.lines().len().div_ceil(2).max(1));
                }
                None if size == 1 => break,
                None => size = size.div_ceil(2),
            }
        }
        case
    }

    fn liker(self, comes: Comes<'_>) -> Apart {
        let mut case = self;
        loop {
            let steps = case.steps();
            match steps.into_iter().find(|step| step.stands(comes)) {
                Some(step) => case = step,
                None => return case,
            }
        }
    }

    /// Each simpler by one: a repetition gone, a split gone, two neighbours in the first way's order.
    fn steps(&self) -> Vec<Apart> {
        let mut steps = Vec::new();
        for (way, put) in [(&self.one, true), (&self.other, false)] {
            let mut simpler = Vec::new();
            if way.cut.is_some() {
                simpler.push(Way { cut: None, ..way.clone() });
            }
            for at in 0..way.order.len() {
                if way.order[..at].contains(&way.order[at]) {
                    let mut order = way.order.clone();
                    order.remove(at);
                    simpler.push(Way { order, cut: way.cut.map(|cut| if cut > at { cut - 1 } else { cut }) });
                }
            }
            let place = |line: usize| self.one.order.iter().position(|other| *other == line);
            for at in 1..way.order.len() {
                if !put && place(way.order[at]) < place(way.order[at - 1]) {
                    let mut order = way.order.clone();
                    order.swap(at - 1, at);
                    simpler.push(Way { order, ..*way });
                }
            }
            steps.extend(simpler.into_iter().map(|way| match put {
                true => Apart { one: way, other: self.other.clone() },
                false => Apart { one: self.one.clone(), other: way },
            }));
        }
        steps
    }
}

/// What lines come to in the journal: every state worth comparing. None where a second branch of a device comes to a
/// state that was written down without its history, which the app answers by reading everything anew.
pub fn real(lines: &[String], way: &Way, book: Id, joined: &[Id]) -> Option<String> {
    let mut fold = Fold::new(book);
    joined.iter().for_each(|book| fold.join(*book));
    let mut waiting = Vec::new();
    for (at, line) in way.order.iter().map(|line| &lines[*line]).enumerate() {
        if way.cut == Some(at) {
            fold = Fold::restore(&fold.snapshot()).ok()?;
            // The app keeps these lines beside the state.
            for line in std::mem::take(&mut waiting) {
                take(&mut fold, line, &mut waiting)?;
            }
        }
        take(&mut fold, line, &mut waiting)?;
    }
    let clashes: Vec<String> = fold.clashes().map(|clash| format!("{clash:?}")).collect();
    let chains: Vec<String> = fold.chains().map(|chain| format!("{chain:?}")).collect();
    Some(format!("{} {} {clashes:?} {chains:?}", fold.digest(), fold.entry_set()))
}

fn take<'a>(fold: &mut Fold, line: &'a str, waiting: &mut Vec<&'a str>) -> Option<()> {
    match fold.take(line) {
        Ok(Taken::NeedsHistory) => None,
        Ok(Taken::Held) => {
            waiting.push(line);
            Some(())
        }
        // A line refused is refused in any order.
        _ => Some(()),
    }
}
