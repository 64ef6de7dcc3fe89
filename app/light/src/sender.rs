//! A content as frames without end.

use crate::field::Field;
use crate::fountain::{Carries, Cut, factors};
use crate::frame::{Frame, HEADER, Header, MAX_BLOCK, MAX_CONTENT, Stamp};
use crate::sum;
use journal::Id;

/// The content is empty, or too large to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLarge;

/// Makes the frames of one content.
pub struct Sender {
    field: Field,
    header: Header,
    cut: Cut,
    /// Filled up to whole blocks.
    content: Vec<u8>,
}

impl Sender {
    /// `capacity` is what one code holds, in bytes; `entries` is only told.
    ///
    /// # Errors
    /// [`TooLarge`].
    pub fn new(
        mut content: Vec<u8>,
        book: Id,
        answers: Stamp,
        entries: u32,
        capacity: usize,
    ) -> Result<Sender, TooLarge> {
        let total = u32::try_from(content.len()).map_err(|_| TooLarge)?;
        let most = capacity.saturating_sub(HEADER).min(MAX_BLOCK);
        // No larger than it has to be: the last block is filled up.
        let least = content.len().div_ceil(content.len().div_ceil(most.max(1)).max(1));
        let block = u16::try_from(least.max(16)).map_err(|_| TooLarge)?;
        let header = Header { book, answers, content: sum(&content), total, entries, block };
        if !header.is_sound() || content.len() > MAX_CONTENT || usize::from(block) + HEADER > capacity {
            return Err(TooLarge);
        }
        let cut = Cut::of(content.len(), usize::from(block));
        content.resize(cut.blocks * usize::from(block), 0);
        Ok(Sender { field: Field::default(), header, cut, content })
    }

    pub fn header(&self) -> &Header {
        &self.header
    }

    /// How many frames a receiver needs that misses none.
    pub fn least(&self) -> usize {
        self.cut.blocks
    }

    fn block(&self, generation: usize, block: usize) -> &[u8] {
        let size = usize::from(self.header.block);
        let from = self.cut.place(generation, block) * size;
        self.content.get(from..from + size).unwrap_or_default()
    }

    /// The bytes of frame `index`: first each block as it is, then sums for as long as somebody looks.
    pub fn frame(&self, index: u32) -> Vec<u8> {
        let (generation, carries) = self.cut.frame(index);
        let data = match carries {
            Carries::Block(block) => self.block(generation, block).to_vec(),
            Carries::Sum(index) => {
                let mut data = vec![0; usize::from(self.header.block)];
                for (block, factor) in factors(index, self.cut.size(generation)).into_iter().enumerate() {
                    self.field.add(&mut data, self.block(generation, block), factor);
                }
                data
            }
        };
        Frame { header: self.header, index, data: &data }.bytes()
    }
}
