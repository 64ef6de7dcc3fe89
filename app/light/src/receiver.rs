//! Frames put together again.

use crate::field::Field;
use crate::fountain::{Carries, Cut, Solver};
use crate::frame::{Frame, Header};
use crate::sum;

/// So many frames of one other content in a row, and that one is meant: the other device began anew.
const TURN_TO: u32 = 4;

/// What a frame did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Took {
    /// It was here already, or is of another content.
    Nothing,
    More,
    /// The content, to the byte.
    Whole(Vec<u8>),
    /// All of it is here and it is not what its first frame promised. It begins anew.
    Broken,
}

/// How far it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    pub have: usize,
    pub need: usize,
    pub entries: u32,
}

struct Going {
    header: Header,
    cut: Cut,
    generations: Vec<Solver>,
    last: Option<u32>,
}

impl Going {
    fn begin(header: Header) -> Going {
        let cut = Cut::of(header.total as usize, usize::from(header.block));
        let generations = (0..cut.generations).map(|generation| Solver::new(cut.size(generation))).collect();
        Going { header, cut, generations, last: None }
    }

    fn whole(self, field: &Field) -> Option<Vec<u8>> {
        let block = usize::from(self.header.block);
        let mut out = vec![0; self.cut.blocks * block];
        for (generation, solver) in self.generations.into_iter().enumerate() {
            for (at, data) in solver.solved(field)?.into_iter().enumerate() {
                let from = self.cut.place(generation, at) * block;
                out.get_mut(from..from + block)?.copy_from_slice(&data);
            }
        }
        out.truncate(self.header.total as usize);
        (sum(&out) == self.header.content).then_some(out)
    }
}

/// Puts one content together. Who is to be heard at all is for the caller to say.
#[derive(Default)]
pub struct Receiver {
    field: Field,
    going: Option<Going>,
    /// Another content that is seen instead, and how often.
    other: Option<(Header, u32)>,
}

impl Receiver {
    pub fn new() -> Receiver {
        Receiver::default()
    }

    pub fn progress(&self) -> Option<Progress> {
        let going = self.going.as_ref()?;
        let have = going.generations.iter().map(Solver::known).sum();
        Some(Progress { have, need: going.cut.blocks, entries: going.header.entries })
    }

    /// Lets go of what there is.
    pub fn forget(&mut self) {
        (self.going, self.other) = (None, None);
    }

    pub fn take(&mut self, frame: &Frame<'_>) -> Took {
        if !frame.header.is_sound() || frame.data.len() != usize::from(frame.header.block) {
            return Took::Nothing;
        }
        if self.going.as_ref().is_some_and(|going| going.header != frame.header) {
            let seen = self.other.filter(|(header, _)| *header == frame.header).map_or(0, |(_, seen)| seen) + 1;
            self.other = Some((frame.header, seen));
            if seen < TURN_TO {
                return Took::Nothing;
            }
            self.going = None;
        }
        self.other = None;
        let going = self.going.get_or_insert_with(|| Going::begin(frame.header));
        if going.last.replace(frame.index) == Some(frame.index) {
            return Took::Nothing;
        }
        let (generation, carries) = going.cut.frame(frame.index);
        let Some(solver) = going.generations.get_mut(generation) else { return Took::Nothing };
        debug_assert!(!matches!(carries, Carries::Block(at) if at >= going.cut.size(generation)));
        if !solver.take(&self.field, carries, frame.data) {
            return Took::Nothing;
        }
        if !going.generations.iter().all(Solver::is_whole) {
            return Took::More;
        }
        self.going.take().and_then(|going| going.whole(&self.field)).map_or(Took::Broken, Took::Whole)
    }
}
