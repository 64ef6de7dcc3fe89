//! What must be true: at any time, and once everything is calm.

use crate::store::Faults;
use crate::world::World;
use journal::Hash;
use share::{Event, Status};
use std::collections::BTreeSet;

/// So long may it take once nothing goes wrong any more, in milliseconds.
const LONGEST: u64 = 12 * 3_600_000;
const LOOK_EVERY: u64 = 600_000;

impl World {
    /// Nobody holds anything that nobody wrote.
    pub fn check_saved(&self) -> Result<(), String> {
        for (n, seat) in self.seats.iter().enumerate() {
            for reference in seat.disk.lines.keys() {
                if !self.saved.contains(&reference.hash) {
                    return Err(format!("device {n} holds {reference}, which nobody wrote"));
                }
            }
        }
        Ok(())
    }

    fn there(&self) -> impl Iterator<Item = (usize, &crate::device::Seat)> {
        self.seats.iter().enumerate().filter(|(_, seat)| !seat.lost)
    }

    /// All faults cease, all devices are opened, and time goes on until they agree.
    pub fn calm(&mut self) -> Result<(), String> {
        self.note(|| "all is calm".to_owned());
        self.store.faults = Faults::default();
        (self.store.denies, self.store.full, self.store.lag_ms) = (false, false, 0);
        // What any of them shows now, all of them must hold then. Acts that wait for earlier ones may wait for ever: those may
        // have been on a lost phone alone.
        let shown = |seat: &crate::device::Seat| {
            let lines = seat.disk.lines.keys().filter(|r| seat.fold.holds(r.dev, r.seq, &r.hash));
            lines.map(|r| r.hash).collect::<Vec<_>>()
        };
        let wanted: BTreeSet<Hash> = self.there().flat_map(|(_, seat)| shown(seat)).collect();
        for seat in 0..self.seats.len() {
            self.seats[seat].online = true;
            self.new_key(seat);
            self.open(seat);
            self.tell(seat, Event::Network(true));
            self.tell(seat, Event::ByHand);
        }
        let end = self.now + LONGEST;
        let mut why = String::new();
        while self.now < end {
            self.until(self.now + LOOK_EVERY)?;
            self.check_saved()?;
            match self.agreed(&wanted) {
                Ok(()) => return self.idle(),
                Err(not_yet) => why = not_yet,
            }
        }
        Err(why)
    }

    fn agreed(&self, wanted: &BTreeSet<Hash>) -> Result<(), String> {
        let mut first = None;
        for (n, seat) in self.there() {
            let machine = seat.machine.as_ref().ok_or(format!("device {n} is not open"))?;
            let status = machine.status();
            if !matches!(status, Status::InStep { .. }) {
                return Err(format!("device {n} is not in step: {status:?}"));
            }
            let held: BTreeSet<Hash> = seat.disk.lines.keys().map(|reference| reference.hash).collect();
            let lacking: Vec<&Hash> = wanted.difference(&held).collect();
            if !lacking.is_empty() {
                let named = |(m, other): (usize, &crate::device::Seat)| {
                    let has = |hash: &&&Hash| other.disk.lines.keys().find(|r| r.hash == ***hash);
                    lacking
                        .iter()
                        .filter_map(|hash| has(&hash))
                        .map(|r| format!("{}.{} on {m}", r.dev, r.seq))
                        .collect::<Vec<_>>()
                };
                let named: Vec<String> = self.there().flat_map(named).collect();
                return Err(format!("device {n} says it is in step and lacks {} acts: {named:?}", lacking.len()));
            }
            let digest = seat.fold.digest();
            let (other, first) = *first.get_or_insert((n, digest));
            if first != digest {
                return Err(format!("devices {other} and {n} differ"));
            }
        }
        Ok(())
    }

    /// In step and nothing to do: at most a request a minute and device.
    fn idle(&mut self) -> Result<(), String> {
        const MINUTES: u64 = 10;
        // What is packed and deleted, and what others had promised to put there, comes to rest first.
        self.until(self.now + LOOK_EVERY)?;
        let before = self.store.requests;
        self.until(self.now + MINUTES * 60_000)?;
        let asked = self.store.requests - before;
        let most = self.there().count() as u64 * (MINUTES + 1);
        if asked > most {
            return Err(format!("{asked} requests in {MINUTES} idle minutes of {} devices", self.there().count()));
        }
        let rebuilt = self.there().take(1).find(|(_, seat)| seat.disk.fold().digest() != seat.fold.digest());
        match rebuilt {
            Some((n, _)) => Err(format!("device {n}: its lines add up to something else")),
            None => Ok(()),
        }
    }

    pub fn numbers(&self) -> String {
        let store = &self.store;
        let bytes = |seat: &crate::device::Seat| seat.disk.lines.values().map(|(line, _)| line.len() as u64 + 1).sum();
        let lines: u64 = self.seats.iter().map(bytes).max().unwrap_or(0);
        format!(
            "{} devices, {} acts ({lines} bytes of lines): {} requests, {} bytes up, {} down; {} objects of {} bytes lie there",
            self.seats.len(),
            self.acts,
            store.requests,
            store.bytes_up,
            store.bytes_down,
            store.names().count(),
            store.bytes()
        )
    }
}
