//! Lines of other devices come to one: in a bundle, or out of a store that they share.

use super::chance::Chance;
use super::compare::stored_lines;
use super::world::{Done, World};
use crate::Tab;
use crate::exchange::Exchange;
use crate::intake::{Intake, Successor};
use book::Book;
use journal::{Entry, Hash, Ref};
use std::collections::BTreeSet;
use std::rc::Rc;
use std::task::Poll;

impl World {
    /// Another device's lines as they are now, the first of them, and the tab they come to.
    fn theirs(&mut self, number: usize, device: usize, chance: &mut Chance) -> Option<(Vec<String>, Entry, Rc<Tab>)> {
        let others: Vec<usize> = (0..self.seats.len()).filter(|other| *other != device).collect();
        let from = *chance.pick(&others)?;
        let theirs = stored_lines(&self.seats[from].storage.borrow().bits);
        // Sometimes only a part arrives: what was lacking by then.
        let theirs: Vec<String> = match chance.below(3) {
            0 => theirs.into_iter().skip(chance.below(3) as usize).collect(),
            _ => theirs,
        };
        let first = theirs.iter().find_map(|line| Entry::read(line).ok())?;
        Some((theirs, first, self.pages.get(&number)?.tab.clone()))
    }

    /// Lines arrive by themselves, a few at a time. What the keeper has set aside does not come back.
    pub(super) fn arrive(&mut self, number: usize, device: usize, chance: &mut Chance) {
        let Some((theirs, first, tab)) = self.theirs(number, device, chance) else { return };
        let (from, most) = (chance.below(theirs.len() as u64) as usize, 1 + chance.below(8) as usize);
        self.note(format!("page {number}: at most {most} of {} lines arrive", theirs.len()));
        self.job(number, "arrive", async move {
            if let Err(trouble) = tab.until_whole().await {
                return Done::Taken(Err(trouble), Vec::new());
            }
            if tab.device().is_none()
                && let Err(trouble) = tab.begin_in(first.book, &[]).await
            {
                return Done::Taken(Err(trouble), Vec::new());
            }
            if tab.book().journal().book() != first.book {
                return Done::Other("lines of another book", Ok(()));
            }
            let acts: Vec<(Ref, String)> = theirs
                .into_iter()
                .skip(from)
                .take(most)
                .filter_map(|line| Some((Entry::read(&line).ok()?.reference, line)))
                .collect();
            let named: Vec<Ref> = acts.iter().map(|(act, _)| *act).collect();
            let held = match tab.holds(&named).await {
                Ok(held) => held,
                Err(trouble) => return Done::Taken(Err(trouble), Vec::new()),
            };
            let new: Vec<String> =
                acts.into_iter().zip(held).filter(|(_, held)| !held).map(|((_, line), _)| line).collect();
            let hashes: Vec<Hash> = new.iter().map(|line| Hash::of(line.as_bytes())).collect();
            Done::Taken(tab.arrive(&new).await, hashes)
        });
    }

    /// Another device's lines, as they are now, come to this one.
    pub(super) fn bundle(&mut self, number: usize, device: usize, chance: &mut Chance) {
        let Some((theirs, first, tab)) = self.theirs(number, device, chance) else { return };
        let looks = chance.below(60);
        self.note(format!("page {number}: bundle of {} lines", theirs.len()));
        let ticks = self.ticks.clone();
        self.job(number, "bundle", async move {
            let had = match tab.everything().await {
                Ok(had) => had,
                Err(trouble) => return Done::Taken(Err(trouble), Vec::new()),
            };
            let known: BTreeSet<Hash> = had.lines.lines().map(|line| Hash::of(line.as_bytes())).collect();
            let book = had.me.as_ref().map(|me| me.book).filter(|_| !had.lines.is_empty()).unwrap_or(first.book);
            if book != first.book {
                return Done::Other("bundle of another book", Ok(()));
            }
            let new: Vec<String> =
                theirs.into_iter().filter(|line| !known.contains(&Hash::of(line.as_bytes()))).collect();
            let hashes: Vec<Hash> = new.iter().map(|line| Hash::of(line.as_bytes())).collect();
            let text: String = new.iter().map(|line| format!("{line}\n")).collect();
            let own = had.me.as_ref().map(|me| me.dev);
            let elsewhere = own.is_some_and(|own| {
                let end = |lines: &mut dyn Iterator<Item = &str>| {
                    let mut book = Book::new(book);
                    lines.for_each(|line| drop(book.take(line)));
                    let fork = book.journal().forks().any(|fork| fork.dev == own);
                    (book.journal().chain(own).map(|chain| (chain.seq, chain.held)), fork)
                };
                end(&mut had.lines.lines()) != end(&mut had.lines.lines().chain(text.lines()))
            });
            let successor = match own {
                Some(dev) if elsewhere => Successor::Renamed { book, dev },
                _ => Successor::Same { book },
            };
            // The keeper reads what it would change.
            let until = ticks.get() + looks;
            std::future::poll_fn(|_| if ticks.get() >= until { Poll::Ready(()) } else { Poll::Pending }).await;
            let intake = Intake {
                lines: &text,
                photos: &[],
                people: &[],
                people_lock: None,
                erased: &[],
                epoch: had.covered.epoch,
                successor,
            };
            let from = first.dev();
            let acts = new.len();
            let note = |exchange: &mut Exchange, n| {
                if acts > 0 {
                    let import = crate::Import { n, from, made: String::new(), at_ms: 0, acts, aside: false };
                    exchange.imports.push(import);
                }
            };
            Done::Taken(tab.take_in(&intake, note, |_| {}).await, hashes)
        });
    }
}
