//! Derived values that remember what they read.
//!
//! A derived value is the answer to a [`Question`]: a pure function over the book's records. It is asked for, never
//! kept fresh. While it is worked out, every door to the records notes what was read ([`Read`]); when a record
//! changes, the book says which of these changed ([`Memo::touch`]), and only answers that read one of them are worked
//! out again, once somebody asks. An answer that asked other questions remembers those instead of what they read: if
//! they come to the same answer as before, it stands.
//!
//! Always true: an answer equals that of a book opened anew. Absent by design: what a question means. The book knows
//! of no view; each question is declared beside the code that asks it.
//!
//! A read is noted as a hash. Two reads that collide are invalidated together: an answer is then worked out too
//! often, never too seldom.

use crate::book::Book;
use crate::ids::{Kind, Thing, Where};
use crate::index::{ByHash, Fnv, Link};
use std::any::{Any, TypeId};
use std::cell::{Cell, RefCell};
use std::hash::{Hash, Hasher};
use std::rc::Rc;

/// Something that can be worked out from the book's records alone: no clock, nothing from outside but the question.
pub(crate) trait Question: Any + Clone + Eq + Hash {
    type Answer: Any;

    /// Never fails, also for records that are not there. `before` is the last answer, for those that can go on from
    /// it; handing back that same one says that nothing changed, and spares whoever stands on it.
    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer>;
}

/// The last answer again where the new one is equal.
pub(crate) fn same_or<T: PartialEq>(before: Option<&Rc<T>>, new: T) -> Rc<T> {
    match before {
        Some(before) if **before == new => before.clone(),
        _ => Rc::new(new),
    }
}

/// One thing that can be read of a book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Read(u64);

/// Reads of answers have this bit, those of records have it not.
const ANSWER: u64 = 1 << 63;

impl Read {
    fn of(what: u8, about: u8, id: &str) -> Read {
        let mut hash = Fnv::default();
        hash.write(&[what, about]);
        hash.write(id.as_bytes());
        Read(hash.finish() & !ANSWER)
    }

    /// A record, also one that is not there.
    pub(crate) fn record(kind: Kind, id: &str) -> Read {
        Read::of(0, kind as u8, id)
    }

    /// All records of a kind.
    pub(crate) fn all(kind: Kind) -> Read {
        Read::of(1, kind as u8, "")
    }

    /// What belongs to a key in the index.
    pub(crate) fn link(link: Link, key: &str) -> Read {
        Read::of(2, link as u8, key)
    }

    /// Which keys a link has at all.
    pub(crate) fn keys(link: Link) -> Read {
        Read::of(3, link as u8, "")
    }

    /// Where a thing is.
    pub(crate) fn place_of(thing: &Thing) -> Read {
        Read::of(4, thing.kind as u8, &thing.id)
    }

    /// What is at a place, in a box, or nowhere.
    pub(crate) fn held(at: &Where) -> Read {
        match at {
            Where::Place(id) => Read::of(5, 0, id.as_str()),
            Where::Filling(id) => Read::of(5, 1, id.as_str()),
            Where::Dam => Read::of(5, 2, ""),
            Where::Unknown => Read::of(5, 3, ""),
        }
    }

    /// What is in no egg box.
    pub(crate) fn unboxed() -> Read {
        Read::of(6, 0, "")
    }

    /// Which fields of which records clash.
    pub(crate) fn clashes() -> Read {
        Read::of(7, 0, "")
    }

    /// How many acts are known to exist and are not here.
    pub(crate) fn missing() -> Read {
        Read::of(8, 0, "")
    }

    /// Anything else of the journal: every line taken changes it.
    pub(crate) fn journal() -> Read {
        Read::of(9, 0, "")
    }

    fn answer(node: u32) -> Read {
        Read(ANSWER | u64::from(node))
    }

    fn node(self) -> Option<u32> {
        (self.0 & ANSWER != 0).then_some(self.0 as u32)
    }
}

thread_local! {
    /// What is read by each question being answered, the innermost last. One thread works out one thing at a time, so
    /// the tables and the index need not know of a book's memo.
    static READING: RefCell<Vec<Vec<Read>>> = const { RefCell::new(Vec::new()) };
    /// How many those are. Every look-up asks this, and most are made for no question.
    static DEPTH: Cell<usize> = const { Cell::new(0) };
}

/// Notes a read for the question being answered; does nothing where none is.
pub(crate) fn note(read: impl FnOnce() -> Read) {
    if DEPTH.get() == 0 {
        return;
    }
    READING.with_borrow_mut(|reading| {
        if let Some(reads) = reading.last_mut() {
            let read = read();
            if reads.last() != Some(&read) {
                reads.push(read);
            }
        }
    });
}

/// Runs `look` and tells what it read, in order and each once.
fn reading<T>(look: impl FnOnce() -> T) -> (T, Rc<[Read]>) {
    let open = Open::begin();
    let found = look();
    (found, open.end())
}

/// Closes what was begun, also when `look` panics. It is compiled once, not for each answer's type.
struct Open;

impl Open {
    #[inline(never)]
    fn begin() -> Open {
        DEPTH.set(DEPTH.get() + 1);
        READING.with_borrow_mut(|reading| reading.push(Vec::new()));
        Open
    }

    #[inline(never)]
    fn end(self) -> Rc<[Read]> {
        let mut reads = READING.with_borrow_mut(|reading| reading.last_mut().map(std::mem::take)).unwrap_or_default();
        drop(self);
        reads.sort_unstable();
        reads.dedup();
        reads.into()
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        DEPTH.set(DEPTH.get() - 1);
        READING.with_borrow_mut(|reading| reading.pop());
    }
}

/// A question of any type. What follows is compiled once, not for each of them.
trait AnyQuestion {
    fn answer(&self, book: &Book, before: Option<Rc<dyn Any>>) -> Rc<dyn Any>;
    fn as_any(&self) -> &dyn Any;
}

impl<Q: Question> AnyQuestion for Q {
    fn answer(&self, book: &Book, before: Option<Rc<dyn Any>>) -> Rc<dyn Any> {
        let before = before.and_then(|before| before.downcast().ok());
        Question::answer(self, book, before.as_ref())
    }

    fn as_any(&self) -> &dyn Any {
        self
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Fresh,
    /// An answer that it read may have changed.
    Unsure,
    Stale,
}

struct Node {
    /// None of a [`Watch`].
    question: Option<Rc<dyn AnyQuestion>>,
    answer: Option<Rc<dyn Any>>,
    read: Rc<[Read]>,
    state: State,
    /// Answers it read that may have changed: of all it read, only these are asked again.
    doubts: Vec<u32>,
}

impl Node {
    /// This answer may have changed. An answer that changes again and again while this node is not asked for is
    /// noted again each time; more notes than reads hold some twice.
    fn doubt(&mut self, read: Read) {
        self.doubts.extend(read.node());
        if self.doubts.len() > self.read.len() {
            self.doubts.sort_unstable();
            self.doubts.dedup();
        }
    }
}

/// The nodes that read one thing. Mostly one: a vector of its own for each would be most of what a memo weighs.
#[derive(Default)]
struct Readers {
    first: Option<u32>,
    more: Vec<u32>,
}

impl Readers {
    fn add(&mut self, node: u32) {
        match self.first {
            None => self.first = Some(node),
            Some(_) => self.more.push(node),
        }
    }

    fn remove(&mut self, node: u32) {
        if self.first == Some(node) {
            self.first = self.more.pop();
        } else if let Some(at) = self.more.iter().position(|&reader| reader == node) {
            self.more.swap_remove(at);
        }
    }
}

#[derive(Default)]
struct Graph {
    nodes: Vec<Node>,
    /// Of watches let go of.
    free: Vec<u32>,
    /// Questions by hash; one whose place is taken has the next.
    asked: ByHash<u64, u32>,
    readers: ByHash<Read, Readers>,
    /// How often questions of a type were answered.
    worked: Vec<(TypeId, u64)>,
}

impl Hash for Read {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u64(self.0);
    }
}

impl Graph {
    fn add(&mut self, question: Option<Rc<dyn AnyQuestion>>, read: Rc<[Read]>, state: State) -> u32 {
        let node = Node { question, answer: None, read: Rc::new([]), state, doubts: Vec::new() };
        let at = match self.free.pop() {
            Some(at) => {
                self.nodes[at as usize] = node;
                at
            }
            None => {
                self.nodes.push(node);
                (self.nodes.len() - 1) as u32
            }
        };
        self.now_reads(at, read);
        at
    }

    fn node_of<Q: Question>(&mut self, question: &Q) -> u32 {
        let mut hash = Fnv::default();
        TypeId::of::<Q>().hash(&mut hash);
        question.hash(&mut hash);
        let mut place = hash.finish();
        while let Some(&at) = self.asked.get(&place) {
            let known = self.nodes[at as usize].question.as_ref().and_then(|known| {
                let known: &dyn AnyQuestion = &**known;
                known.as_any().downcast_ref::<Q>()
            });
            if known == Some(question) {
                return at;
            }
            place = place.wrapping_add(1);
        }
        let at = self.add(Some(Rc::new(question.clone())), Rc::new([]), State::Stale);
        self.asked.insert(place, at);
        at
    }

    fn now_reads(&mut self, at: u32, read: Rc<[Read]>) {
        let before = std::mem::replace(&mut self.nodes[at as usize].read, read.clone());
        if before == read {
            return;
        }
        for gone in before.iter().filter(|one| read.binary_search(one).is_err()) {
            if let Some(readers) = self.readers.get_mut(gone) {
                readers.remove(at);
                if readers.first.is_none() {
                    self.readers.remove(gone);
                }
            }
        }
        for new in read.iter().filter(|one| before.binary_search(one).is_err()) {
            self.readers.entry(*new).or_default().add(at);
        }
    }

    /// Whoever read this is stale, and whoever stands on them unsure.
    fn touch(&mut self, read: Read) {
        let mut next = vec![(read, State::Stale)];
        while let Some((read, state)) = next.pop() {
            let Some(readers) = self.readers.get(&read) else { continue };
            for &at in readers.first.iter().chain(&readers.more) {
                let node = &mut self.nodes[at as usize];
                if node.state == State::Fresh {
                    next.push((Read::answer(at), State::Unsure));
                }
                if node.state != State::Stale {
                    node.state = state;
                    node.doubt(read);
                }
            }
        }
    }

    fn state(&self, at: u32) -> State {
        self.nodes[at as usize].state
    }
}

/// What was worked out of one book, and what it stands on. A copy of a book begins with an empty one.
#[derive(Default)]
pub(crate) struct Memo(Rc<RefCell<Graph>>);

impl Clone for Memo {
    fn clone(&self) -> Memo {
        Memo::default()
    }
}

impl std::fmt::Debug for Memo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Memo({})", self.0.borrow().nodes.len())
    }
}

impl Memo {
    /// Whether anything stands on a read; where nothing does, the book need not find out whether it changed.
    pub(crate) fn is_read(&self, read: Read) -> bool {
        self.0.borrow().readers.contains_key(&read)
    }

    /// Whether anything was worked out at all.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.borrow().nodes.is_empty()
    }

    /// This changed.
    pub(crate) fn touch(&self, read: Read) {
        self.0.borrow_mut().touch(read);
    }

    /// How often questions of a type were answered, or what else was [counted](Memo::count) under a type.
    pub(crate) fn worked<T: 'static>(&self) -> u64 {
        self.0.borrow().worked.iter().find(|(of, _)| *of == TypeId::of::<T>()).map_or(0, |(_, times)| *times)
    }

    /// One more of what is not a question's own answer.
    pub(crate) fn count<T: 'static>(&self) {
        self.count_of(TypeId::of::<T>());
    }

    fn count_of(&self, question: TypeId) {
        let mut graph = self.0.borrow_mut();
        match graph.worked.iter_mut().find(|(of, _)| *of == question) {
            Some((_, times)) => *times += 1,
            None => graph.worked.push((question, 1)),
        }
    }

    /// Makes an answer fresh. Nothing is borrowed while a question is answered: it asks others.
    fn settle(&self, book: &Book, at: u32) {
        if self.0.borrow().state(at) == State::Unsure {
            while let Some(other) = self.doubt(at) {
                self.settle(book, other);
                // It came to another answer.
                if self.0.borrow().state(at) == State::Stale {
                    break;
                }
            }
            let node = &mut self.0.borrow_mut().nodes[at as usize];
            if node.state == State::Unsure {
                node.state = State::Fresh;
            }
        }
        let (question, before) = {
            let graph = self.0.borrow();
            let node = &graph.nodes[at as usize];
            match (&node.question, node.state) {
                (Some(question), State::Stale) => (question.clone(), node.answer.clone()),
                _ => return,
            }
        };
        let question: &dyn AnyQuestion = &*question;
        let (answer, read) = reading(|| question.answer(book, before.clone()));
        self.count_of(question.as_any().type_id());
        let graph = &mut *self.0.borrow_mut();
        if before.is_none_or(|before| !Rc::ptr_eq(&before, &answer)) {
            graph.touch(Read::answer(at));
        }
        graph.now_reads(at, read);
        let node = &mut graph.nodes[at as usize];
        (node.answer, node.state) = (Some(answer), State::Fresh);
        node.doubts.clear();
    }

    /// The next answer that a node doubts.
    fn doubt(&self, at: u32) -> Option<u32> {
        self.0.borrow_mut().nodes[at as usize].doubts.pop()
    }
}

/// What somebody outside read, to be asked later whether any of it changed. Forgotten when it is dropped.
pub struct Watch {
    of: Rc<RefCell<Graph>>,
    node: u32,
}

impl Drop for Watch {
    fn drop(&mut self) {
        let graph = &mut *self.of.borrow_mut();
        graph.now_reads(self.node, Rc::new([]));
        graph.free.push(self.node);
    }
}

impl std::fmt::Debug for Watch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Watch({})", self.node)
    }
}

impl Book {
    /// The answer to a question: the one known, where nothing changed that it stands on.
    pub(crate) fn derived<Q: Question>(&self, question: &Q) -> Rc<Q::Answer> {
        let at = self.memo.0.borrow_mut().node_of(question);
        note(|| Read::answer(at));
        self.memo.settle(self, at);
        let answer = self.memo.0.borrow().nodes[at as usize].answer.clone();
        // A node holds answers of its question's type only; this spares a way to fail.
        let known = answer.and_then(|answer| answer.downcast().ok());
        known.unwrap_or_else(|| Question::answer(question, self, None))
    }

    /// Looks something up, and notes what was read for it.
    pub fn watch<T>(&self, look: impl FnOnce(&Book) -> T) -> (T, Watch) {
        let (found, read) = reading(|| look(self));
        let node = self.memo.0.borrow_mut().add(None, read, State::Fresh);
        (found, Watch { of: self.memo.0.clone(), node })
    }

    /// Whether anything changed since that was looked up. Of what was looked up in another book, or in another copy of
    /// this one, nothing is known: that counts as changed.
    pub fn has_changed(&self, watch: &Watch) -> bool {
        if !Rc::ptr_eq(&self.memo.0, &watch.of) {
            return true;
        }
        self.memo.settle(self, watch.node);
        self.memo.0.borrow().state(watch.node) != State::Fresh
    }
}
