//! What happens to devices and tabs without anybody's doing.

use super::chance::Chance;
use super::compare::hashes;
use super::harm::{self, Of};
use super::storage::Device;
use super::world::{Done, START, Seat, World};
use journal::Hash;
use std::collections::BTreeSet;

impl World {
    pub(super) fn happen(&mut self, chance: &mut Chance) -> Result<(), String> {
        let device = chance.below(self.seats.len() as u64) as usize;
        let here: Vec<usize> = self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        match chance.below(25) {
            0..=3 if here.len() < 3 => self.open_page(device),
            4..=6 => {
                let Some(&number) = chance.pick(&here) else { return Ok(()) };
                self.note(format!("page {number} is killed"));
                self.kill(number);
            }
            7..=11 => {
                let Some(&number) = chance.pick(&here) else { return Ok(()) };
                let Some(page) = self.pages.get_mut(&number) else { return Ok(()) };
                page.hidden = !page.hidden;
                let (hidden, tab) = (page.hidden, page.tab.clone());
                self.note(format!("page {number} is {}", if hidden { "hidden" } else { "shown" }));
                if !hidden {
                    self.job(
                        number,
                        "catch up",
                        async move { Done::Other("catch up", tab.catch_up().await.map(drop)) },
                    );
                }
            }
            12 => {
                self.note(format!("device {device}: the browser closes the database"));
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.closed = storage.handle;
            }
            13 => {
                self.note(format!("device {device}: storage does not answer"));
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.stalled = Some(storage.handle);
            }
            14 => {
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.full = !storage.full;
                let full = storage.full;
                drop(storage);
                self.note(format!("device {device}: full: {full}"));
            }
            15 => {
                self.note(format!("device {device}: the clock jumps"));
                let by = chance.below(800 * 86_400_000);
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.wall_ms = START + by;
            }
            16 => {
                self.settle(device)?;
                let bits = self.seats[device].storage.borrow().bits.clone();
                self.note(format!("device {device}: a copy of storage is kept"));
                self.seats[device].older = Some(bits);
            }
            17 => self.restore(device)?,
            18 => self.copy(device, chance)?,
            19 | 20 => self.harm(device, chance)?,
            21 => {
                self.seats[device].storage.borrow_mut().misread = 1 + chance.below(3);
                self.note(format!("device {device}: a few reads go wrong"));
            }
            _ => self.tell(),
        }
        Ok(())
    }

    pub(super) fn kill(&mut self, number: usize) {
        self.jobs.retain(|job| job.tab != number);
        self.pages.remove(&number);
    }

    pub(super) fn kill_all(&mut self, device: usize) {
        let here: Vec<usize> = self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        here.into_iter().for_each(|number| self.kill(number));
    }

    pub(super) fn restore(&mut self, device: usize) -> Result<(), String> {
        let Some(older) = self.seats[device].older.take() else { return Ok(()) };
        self.kill_all(device);
        self.note(format!("device {device}: storage goes back to an older state"));
        let before: BTreeSet<Hash> = hashes(&self.seats[device].storage.borrow().bits);
        self.seats[device].storage.borrow_mut().bits = older;
        let after: BTreeSet<Hash> = hashes(&self.seats[device].storage.borrow().bits);
        let seat = &mut self.seats[device];
        seat.lost.extend(before.difference(&after));
        seat.excused = seat.saved.len();
        seat.to_tell = false;
        self.open_page(device);
        Ok(())
    }

    pub(super) fn copy(&mut self, device: usize, chance: &mut Chance) -> Result<(), String> {
        if self.seats.len() >= 10 {
            return Ok(());
        }
        self.settle(device)?;
        let bits = self.seats[device].storage.borrow().bits.clone();
        let mut seat = Seat::new(Device::new(bits, START, Chance::new(chance.next())));
        (seat.harmed, seat.ever_harmed) = (self.seats[device].harmed, self.seats[device].ever_harmed);
        seat.ever_aside = self.seats[device].ever_aside;
        seat.harmed_twice = self.seats[device].harmed_twice;
        self.seats.push(seat);
        let new = self.seats.len() - 1;
        self.note(format!("device {device} is copied: device {new}"));
        self.open_page(new);
        Ok(())
    }

    pub(super) fn harm(&mut self, device: usize, chance: &mut Chance) -> Result<(), String> {
        self.settle(device)?;
        let before = hashes(&self.seats[device].storage.borrow().bits);
        let Some((what, of)) = harm::harm(&mut self.seats[device].storage.borrow_mut().bits, chance) else {
            return Ok(());
        };
        self.note(format!("device {device}: harmed: {what}"));
        let after = hashes(&self.seats[device].storage.borrow().bits);
        let seat = &mut self.seats[device];
        if of == Of::Shortcut {
            // Only a start reads it.
            self.kill_all(device);
            self.open_page(device);
            return Ok(());
        }
        seat.to_tell |= of == Of::Lines && before.difference(&after).next().is_some();
        seat.lost.extend(before.difference(&after));
        seat.harmed_twice |= seat.harmed;
        (seat.harmed, seat.ever_harmed) = (true, true);
        Ok(())
    }

    /// Visible pages hear what other tabs tell.
    pub(super) fn tell(&mut self) {
        let mut told = Vec::new();
        for (number, page) in &mut self.pages {
            let tellings = self.seats[page.device].storage.borrow().told;
            if !page.hidden && page.heard < tellings {
                page.heard = tellings;
                told.push((*number, page.tab.clone()));
            }
        }
        for (number, tab) in told {
            self.job(number, "catch up", async move { Done::Other("catch up", tab.catch_up().await.map(drop)) });
        }
    }
}
