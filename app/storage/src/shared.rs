//! What devices that share a store need of the records: lines taken in one by one, lines to be sent, names and signatures.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Value};
use crate::exchange::{Exchange, Import};
use crate::identity::{Me, Signer};
use crate::intake::{Intake, Successor};
use crate::layout::{BlockInfo, COVER, Cover, DIRECTORY, Kept, ME, arrived_key};
use crate::lines::whose;
use crate::look_up::signer_on;
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, part};
use journal::{DeviceId, Entry, Hash, Id, Ref};
use std::collections::{BTreeMap, BTreeSet};

/// More lines than these come in as blocks, as a bundle's do.
const MOST_ROWS: usize = 400;
/// How often it is tried when other tabs come first each time.
const TRIES: u32 = 20;
/// Lines looked at before the page may draw again.
const AT_ONCE: usize = 2000;

/// Lines of one branch of a device, in order, each with its number.
pub type Branch = Vec<(u32, String)>;

/// A line that is new here.
struct New<'a> {
    act: Ref,
    line: &'a str,
}

impl Tab {
    /// Takes in lines that others wrote, of books this device has joined; comes back when they are durable and shown.
    /// Lines that are here are passed over.
    ///
    /// Few lines become rows, beside one's own acts; many come in as a bundle's do. Where others write under this
    /// device's own name, it goes on under a new one.
    ///
    /// # Errors
    /// Nothing of it is stored then. [`Trouble::Act`] for a line that is no entry.
    pub async fn arrive(&self, lines: &[String]) -> Result<(), Trouble> {
        let mut tries = 0;
        loop {
            tries += 1;
            match self.arrive_once(lines).await {
                Err(Trouble::Overtaken) if tries < TRIES => {}
                done => return done,
            }
        }
    }

    async fn arrive_once(&self, lines: &[String]) -> Result<(), Trouble> {
        // What another tab did last may be among the lines: of a device that was copied, they are its own.
        self.catch_up().await?;
        let (me, epoch, gaps) = {
            let now = &self.inner.borrow().now;
            (now.me.clone().ok_or(Trouble::Removed)?, now.epoch, !now.gaps.is_empty())
        };
        let mut new = Vec::with_capacity(lines.len());
        for line in lines {
            let entry = Entry::read(line).map_err(|why| Trouble::Act(why.to_string()))?;
            new.push(New { act: entry.reference, line });
        }
        let acts: Vec<Ref> = new.iter().map(|new| new.act).collect();
        let mut stored = self.stored(&acts).await?.into_iter();
        new.retain(|_| stored.next() == Some(false) || planted(Fault::ArriveTwice));
        let own_elsewhere = new.iter().any(|new| new.act.dev == me.dev);
        // What was passed over may be there after all: then everything is folded anew.
        if !own_elsewhere && !gaps && new.len() <= MOST_ROWS {
            return self.arrive_as_rows(&new, epoch).await;
        }
        let successor = match own_elsewhere {
            true => Successor::Renamed { book: me.book, dev: me.dev },
            false => Successor::Same { book: me.book },
        };
        let text: String = new.iter().flat_map(|new| [new.line, "\n"]).collect();
        let (at_ms, acts) = (self.disk.wall().ms, new.len());
        let import = |exchange: &mut Exchange, n: u32| {
            if let Some(first) = new.first() {
                let import = Import { n, from: first.act.dev, made: String::new(), at_ms, acts, aside: false };
                exchange.imports.push(import);
            }
        };
        self.take_in(&intake(&text, epoch, successor), import, |_| {}).await
    }

    /// `epoch`: of what they were compared with.
    async fn arrive_as_rows(&self, new: &[New<'_>], epoch: u64) -> Result<(), Trouble> {
        let _turn = self.whole_turn().await?;
        self.healed(async || self.with_db(async |db| self.arrive_on(db, new, epoch).await).await).await?;
        self.disk.tell_tabs();
        self.catch_up_here().await?;
        Ok(())
    }

    async fn arrive_on(&self, db: &Attempt<'_>, new: &[New<'_>], epoch: u64) -> Result<(), Trouble> {
        let tx = db.begin(&[Store::Meta, Store::Rows], true)?;
        let (me, covered) = (part::<Me>(&*tx, ME), part::<Cover>(&*tx, COVER));
        let (Some(me), Some(mut after)) = (me.await?, covered.await?) else { return Err(Trouble::Removed) };
        let level = {
            let now = &self.inner.borrow().now;
            after.epoch == epoch && now.epoch == epoch && now.me.as_ref().is_some_and(|own| own.dev == me.dev)
        };
        // What is sealed here must be known, or a line could be stored twice.
        if !level {
            return Err(Trouble::Overtaken);
        }
        for New { act, line } in new {
            let key = arrived_key(act);
            if tx.get(Store::Rows, &key).await?.is_some() {
                continue;
            }
            after.rows += LineSet::one(&act.hash);
            after.row_heads.add(&act.hash);
            tx.add(Store::Rows, &key, (*line).into())?;
        }
        tx.put(Store::Meta, COVER, after.text().into())?;
        db.commit(tx).await
    }

    /// Makes this device, which has written nothing, one of `book`, to which the books `joined` belong too.
    ///
    /// # Errors
    /// [`Trouble::Overtaken`] where acts were written in a book of its own.
    pub async fn begin_in(&self, book: Id, joined: &[Id]) -> Result<(), Trouble> {
        self.go_on_as(Successor::Same { book }, |exchange| join(exchange, book, joined)).await
    }

    /// Takes these books' records as this barn's too.
    pub async fn join_books(&self, books: &[Id]) -> Result<(), Trouble> {
        let me = self.inner.borrow().now.me.clone().ok_or(Trouble::Removed)?;
        let known = self.exchange().joined;
        if books.iter().all(|book| *book == me.book || known.contains(book)) {
            return Ok(());
        }
        self.go_on_as(Successor::Same { book: me.book }, |exchange| join(exchange, me.book, books)).await
    }

    /// Goes on under a new name, which continues the old one: somebody else writes under this device's.
    pub async fn new_name(&self) -> Result<(), Trouble> {
        let me = self.inner.borrow().now.me.clone().ok_or(Trouble::Removed)?;
        self.go_on_as(Successor::Renamed { book: me.book, dev: me.dev }, |_| {}).await
    }

    async fn go_on_as(&self, successor: Successor, note: impl Fn(&mut Exchange)) -> Result<(), Trouble> {
        self.until_whole().await?;
        let epoch = self.inner.borrow().now.epoch;
        self.take_in(&intake("", epoch, successor), |exchange, _| note(exchange), |_| {}).await
    }

    /// Who writes here, and what signs for them; none before the first act.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] where the key is not there.
    pub async fn signer(&self) -> Result<Option<(Me, Signer)>, Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta], false)?;
            let Some(me) = part::<Me>(&*tx, ME).await? else { return Ok(None) };
            let signer = signer_on(&*tx, &me).await?;
            Ok(Some((me, signer)))
        })
        .await
    }

    /// Whether each of these acts is folded here with all before it, or set aside by the keeper and not to come back by
    /// itself.
    pub async fn holds(&self, acts: &[Ref]) -> Result<Vec<bool>, Trouble> {
        self.until_whole().await?;
        let stored = self.stored(acts).await?;
        let held: Vec<bool> = {
            let now = &self.inner.borrow().now;
            let waiting: BTreeSet<Ref> = now.book.journal().waiting().collect();
            let lost = |act: &Ref| now.gaps.iter().any(|(dev, from, _)| *dev == act.dev && *from <= act.seq);
            let whole = |(act, stored): (&Ref, bool)| stored && !waiting.contains(act) && !lost(act);
            acts.iter().zip(stored).map(whole).collect()
        };
        let aside = self.exchange().imports.iter().any(|import| import.aside);
        if !aside || held.iter().all(|held| *held) {
            return Ok(held);
        }
        let texts = self.all_beside(Store::Aside).await?.into_iter().filter_map(|(_, value)| value.text());
        let hashes: BTreeSet<Hash> =
            texts.flat_map(|text| text.lines().map(|line| Hash::of(line.as_bytes())).collect::<Vec<_>>()).collect();
        Ok(acts.iter().zip(held).map(|(act, held)| held || hashes.contains(&act.hash)).collect())
    }

    /// Whether each of these acts is stored here. What is folded tells it of the last acts; of older ones the lines do.
    async fn stored(&self, acts: &[Ref]) -> Result<Vec<bool>, Trouble> {
        let (known, ends): (Vec<bool>, BTreeMap<DeviceId, u32>) = {
            let book = self.book();
            let fold = book.journal();
            let waiting: BTreeSet<Ref> = fold.waiting().collect();
            let here = |act: &Ref| fold.holds(act.dev, act.seq, &act.hash) || waiting.contains(act);
            let known = acts.iter().map(here).collect();
            (known, fold.chains().map(|chain| (chain.dev, chain.seq)).collect())
        };
        // Beyond what is here of a device there is nothing to be looked up.
        let mut asked: BTreeMap<(DeviceId, u32), Vec<Ref>> = BTreeMap::new();
        for (act, _) in acts.iter().zip(&known).filter(|(_, known)| !**known) {
            if ends.get(&act.dev).is_some_and(|end| act.seq <= *end) {
                asked.entry((act.dev, act.seq)).or_default().push(*act);
            }
        }
        let mut found: BTreeSet<Ref> = BTreeSet::new();
        if !asked.is_empty() {
            let spans: Vec<Span> = asked.keys().map(|(dev, seq)| (*dev, *seq, *seq)).collect();
            let texts = self.with_db(async |db| texts_of(db, &spans).await).await?;
            // One look at each line, however many are asked for.
            self.each_line(&texts, |line| {
                let named = whose(line).and_then(|of| asked.get(&of));
                if let Some(named) = named {
                    let hash = Hash::of(line.as_bytes());
                    found.extend(named.iter().filter(|act| act.hash == hash));
                }
            })
            .await;
        }
        Ok(acts.iter().zip(known).map(|(act, known)| known || found.contains(act)).collect())
    }

    /// Looks at lines, a while at a time, so that the page may draw.
    async fn each_line<'a>(&self, texts: &'a [String], mut look: impl FnMut(&'a str)) {
        for (n, line) in texts.iter().flat_map(|text| text.lines()).enumerate() {
            if n % AT_ONCE == AT_ONCE - 1 {
                self.disk.pause(0).await;
            }
            look(line);
        }
    }

    /// The lines of the branch that ends with `to`, back to the newest of `after` on it, or to the device's first where none
    /// is; none where not all of them are here.
    pub async fn branch(&self, to: Ref, after: &[Ref]) -> Result<Option<Branch>, Trouble> {
        let own = after.iter().filter(|act| act.dev == to.dev && act.seq <= to.seq).map(|act| act.seq);
        // Mostly the newest of them is on this branch; else it is a longer way back.
        let newest = own.clone().max().unwrap_or(0);
        match self.branch_from(to, after, newest).await? {
            None if own.min().is_some_and(|oldest| oldest < newest) => self.branch_from(to, after, 0).await,
            lines => Ok(lines),
        }
    }

    async fn branch_from(&self, to: Ref, after: &[Ref], from: u32) -> Result<Option<Branch>, Trouble> {
        let texts = self.with_db(async |db| texts_of(db, &[(to.dev, from, to.seq)]).await).await?;
        let mut found: BTreeMap<Ref, (&str, Option<Hash>)> = BTreeMap::new();
        self.each_line(&texts, |line| {
            let wanted = whose(line).is_some_and(|(dev, seq)| dev == to.dev && (from..=to.seq).contains(&seq));
            if let Some(entry) = wanted.then(|| Entry::read(line).ok()).flatten() {
                found.insert(entry.reference, (line, entry.prev));
            }
        })
        .await;
        let mut lines = Vec::new();
        let mut at = Some(to);
        while let Some(act) = at.filter(|act| !after.contains(act)) {
            let Some((line, prev)) = found.remove(&act) else { return Ok(None) };
            lines.push((act.seq, line.to_owned()));
            at = prev.and_then(|hash| Some(Ref { dev: to.dev, seq: act.seq.checked_sub(1)?, hash }));
        }
        lines.reverse();
        Ok(Some(lines))
    }
}

fn join(exchange: &mut Exchange, book: Id, joined: &[Id]) {
    let new = joined.iter().filter(|other| **other != book && !exchange.joined.contains(*other));
    let new: Vec<Id> = new.copied().collect();
    exchange.joined.extend(new);
}

fn intake(lines: &str, epoch: u64, successor: Successor) -> Intake<'_> {
    Intake { lines, photos: &[], people: &[], people_lock: None, erased: &[], epoch, successor }
}

/// A device, the lowest and the highest number.
type Span = (DeviceId, u32, u32);

/// The rows, and the blocks that may hold lines of these spans.
async fn texts_of(db: &Attempt<'_>, spans: &[Span]) -> Result<Vec<String>, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
    let (directory, rows) = (part::<Vec<BlockInfo>>(&*tx, DIRECTORY), tx.all(Store::Rows));
    let directory = directory.await.ok().flatten();
    let mut texts: Vec<String> = rows.await?.into_iter().filter_map(|(_, value)| value.text()).collect();
    // Without a list, all blocks may.
    let Some(directory) = directory else {
        texts.extend(tx.all(Store::Blocks).await?.into_iter().filter_map(|(_, value)| value.text()));
        return Ok(texts);
    };
    let meets = |(of, low, high): &Span| spans.iter().any(|(dev, from, to)| of == dev && low <= to && high >= from);
    let holds = |block: &&BlockInfo| block.spans.iter().any(meets);
    let blocks: Vec<_> = directory.iter().filter(holds).map(|block| tx.get(Store::Blocks, &block.key)).collect();
    for block in blocks {
        texts.extend(block.await?.and_then(Value::text));
    }
    Ok(texts)
}
