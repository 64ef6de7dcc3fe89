//! Everything that may happen to devices and to the store.

use crate::chance::Chance;
use crate::device::Seat;
use crate::store::Faults;
use crate::world::World;
use journal::Hash;
use share::Event;

impl World {
    pub fn play(&mut self) -> Result<(), String> {
        for seat in 0..self.seats.len() {
            if self.chance.below(4) > 0 {
                self.open(seat);
            }
        }
        for step in 0..self.size.steps {
            let most = 1 + 2 * self.size.acts / self.size.steps;
            if self.acts < self.size.acts {
                self.some_acts(most);
            }
            if self.chance.below(3) == 0 {
                self.happens();
            }
            let pause = match self.chance.below(4) {
                0 => self.chance.below(2_000),
                1 | 2 => self.chance.below(60_000),
                _ => self.chance.below(1_800_000),
            };
            self.until(self.now + pause)?;
            if step % 16 == 0 {
                self.check_saved()?;
            }
        }
        while self.acts < self.size.acts {
            self.some_acts(1 + self.size.acts / 20);
            let pause = self.chance.below(120_000);
            self.until(self.now + pause)?;
        }
        self.calm()
    }

    fn seat(&mut self) -> usize {
        let there: Vec<usize> = (0..self.seats.len()).filter(|seat| !self.seats[*seat].lost).collect();
        self.chance.pick(&there).copied().unwrap_or(0)
    }

    fn some_acts(&mut self, most: u64) {
        let seat = self.seat();
        let count = 1 + self.chance.below(most.max(1));
        for _ in 0..count.min(self.size.acts - self.acts) {
            self.acts += 1;
            let (n, now) = (self.acts, self.now);
            let line = self.seats[seat].act(n, now);
            let hash = Hash::of(line.as_bytes());
            self.known.insert(hash, line);
            self.saved.insert(hash);
        }
        let (dev, end) = (self.seats[seat].disk.dev, self.seats[seat].disk.tip.seq);
        self.note(|| format!("device {seat} ({dev}): {count} acts, now {end}"));
        self.changed(seat);
    }

    fn happens(&mut self) {
        let seat = self.seat();
        match self.chance.below(24) {
            0..=2 => {
                let rate = |chance: &mut Chance, most: u64| if chance.below(2) == 0 { 0 } else { chance.below(most) };
                let chance = &mut self.chance;
                self.store.faults = Faults {
                    lost: rate(chance, 300),
                    broken: rate(chance, 300),
                    cut: rate(chance, 150),
                    late: rate(chance, 150),
                    twice: rate(chance, 200),
                    there: rate(chance, 200),
                };
                let faults = self.store.faults;
                self.note(|| format!("{faults:?}"));
            }
            3 => self.store.faults = Faults::default(),
            4 => {
                self.store.lag_ms = if self.store.lag_ms > 0 { 0 } else { self.chance.below(600_000) };
                let lag = self.store.lag_ms;
                self.note(|| format!("the list lags {lag} ms"));
            }
            5 => {
                self.store.denies = !self.store.denies;
                let denies = self.store.denies;
                self.note(|| format!("the store denies: {denies}"));
            }
            6 => {
                self.store.full = !self.store.full;
                let full = self.store.full;
                self.note(|| format!("the store is full: {full}"));
            }
            7 => self.store.note_yesterday(),
            8 => {
                if self.store.roll_back() {
                    self.note(|| "the store is set back".to_owned());
                }
            }
            9 | 10 => {
                if let Some(path) = self.store.harm(&mut self.chance) {
                    self.note(|| format!("harmed: {path}"));
                }
            }
            11..=13 => {
                self.note(|| format!("device {seat} is killed"));
                self.seats[seat].kill();
            }
            14 | 15 => self.open(seat),
            16 => {
                let online = !self.seats[seat].online;
                self.seats[seat].online = online;
                self.note(|| format!("device {seat} online: {online}"));
                self.tell(seat, Event::Network(online));
            }
            17 => {
                let jump = self.chance.below(200_000_000) as i64 - 100_000_000;
                self.seats[seat].skew = jump;
                self.note(|| format!("device {seat}: its clock jumps"));
                self.tell(seat, Event::Tick);
            }
            18 => self.seats[seat].older = Some(self.seats[seat].disk.clone()),
            19 => self.restore(seat),
            20 => self.copy(seat),
            21 => self.by_hand(seat),
            22 => self.tell(seat, Event::ByHand),
            _ => self.lose(seat),
        }
    }

    fn restore(&mut self, seat: usize) {
        let Some(older) = self.seats[seat].older.take() else { return };
        self.note(|| format!("device {seat} is restored from an older state"));
        self.seats[seat].kill();
        self.seats[seat].disk = older;
        self.seats[seat].fold = self.seats[seat].disk.fold();
        self.open(seat);
    }

    fn copy(&mut self, seat: usize) {
        if self.seats.len() as u64 >= self.size.devices + 2 {
            return;
        }
        let new = self.seats.len();
        self.note(|| format!("device {seat} is copied: device {new}"));
        let chance = Chance::new(self.chance.next());
        let mut copy = Seat::new(self.seats[seat].disk.clone(), self.seats[seat].key, chance);
        copy.fold = self.seats[seat].fold.clone();
        self.seats.push(copy);
        self.open(new);
    }

    /// A file from one device to another, beside the store.
    fn by_hand(&mut self, from: usize) {
        let to = self.seat();
        let lines: Vec<_> = self.seats[from].disk.lines.values().map(|(line, _)| line.clone()).collect();
        if to == from || lines.is_empty() {
            return;
        }
        self.note(|| format!("a file from device {from} to device {to}"));
        let own = self.seats[to].disk.dev;
        let end = |seat: &Seat| seat.fold.chain(own).map(|chain| (chain.seq, chain.held));
        let forks = |seat: &Seat| seat.fold.forks().any(|fork| fork.dev == own);
        let before = (end(&self.seats[to]), forks(&self.seats[to]));
        lines.into_iter().for_each(|line| self.seats[to].add(line));
        if (end(&self.seats[to]), forks(&self.seats[to])) != before {
            self.seats[to].rename();
            let (dev, key) = (self.seats[to].disk.dev, self.seats[to].disk.keypair().public());
            self.tell(to, Event::Renamed { dev, key });
        }
        self.changed(to);
    }

    /// A phone is lost: a new key, which the others are told one by one.
    fn lose(&mut self, seat: usize) {
        let there = self.seats.iter().filter(|seat| !seat.lost).count();
        if there < 3 {
            return;
        }
        self.note(|| format!("device {seat} is lost"));
        self.seats[seat].kill();
        self.seats[seat].lost = true;
        self.key += 1;
        for other in 0..self.seats.len() {
            if !self.seats[other].lost && self.chance.below(2) == 0 {
                self.new_key(other);
            }
        }
    }

    pub fn new_key(&mut self, seat: usize) {
        if self.seats[seat].key == self.key {
            return;
        }
        self.note(|| format!("device {seat} has the new key"));
        self.seats[seat].kill();
        self.seats[seat].key = self.key;
        self.open(seat);
    }
}
