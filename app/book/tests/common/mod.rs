//! Devices that act, for the tests.

// Each test file uses its own part of this.
#![allow(dead_code)]

use book::acts::{Act, Refusal, all_made, made};
use book::{Book, Kind, Thing};
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use journal::{Draft, Entry, Id, Identity, Keypair, Tip, Wall, seal};

pub fn at(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").expect(text)
}

pub fn day(text: &str) -> NaiveDate {
    text.parse().expect(text)
}

pub fn when(text: &str) -> trade::when::When {
    text.parse().expect(text)
}

pub fn g(grams: i64) -> trade::units::Mass {
    trade::units::Mass(grams * 1000)
}

pub fn cc(hundredths: i32) -> trade::units::Temp {
    trade::units::Temp(hundredths)
}

/// The invented season as it stands on a day.
pub fn alder_lane(today: &str) -> Book {
    let lines = book::demo::season(day(today));
    let first = Entry::read(&lines[0]).expect("readable");
    let mut book = Book::new(first.book);
    lines.iter().for_each(|line| {
        book.take(line).expect(line);
    });
    book
}

/// A device: its book, its chain, and all lines it has seen.
pub struct Device {
    pub book: Book,
    pub identity: Identity,
    tip: Tip,
    minted: u64,
    pub lines: Vec<String>,
    pub now: NaiveDateTime,
}

impl Device {
    pub fn new(number: u8) -> Device {
        let book = Id::mint(*b"barn!");
        Device {
            book: Book::new(book),
            identity: Identity {
                book,
                dev: Id::mint([number, 2, 3, 4, 5]),
                by: format!("Keeper {number}"),
                app: "test".to_owned(),
                key: Keypair::from_secret(&[number; 32]).public(),
            },
            tip: Tip::default(),
            minted: u64::from(number) << 32,
            lines: Vec::new(),
            now: at("2026-06-09T20:00"),
        }
    }

    pub fn draft(&mut self, act: &dyn Act) -> Result<Draft, Refusal> {
        let minted = &mut self.minted;
        act.draft(&self.book, self.now, &mut || {
            *minted += 1;
            let [_, _, _, a, b, c, d, e] = minted.to_be_bytes();
            Id::mint([a, b, c, d, e])
        })
    }

    pub fn seal(&mut self, draft: Draft) -> String {
        let ms = u64::try_from(self.now.and_utc().timestamp_millis()).expect("after 1970");
        let wall = Wall { ms, text: format!("{}+00:00", self.now.format("%Y-%m-%dT%H:%M")) };
        let sealed = seal(draft, &self.identity, &self.tip, &wall).expect("every draft seals");
        self.tip = sealed.tip;
        self.book.take(&sealed.line).expect("own lines fold");
        self.lines.push(sealed.line.clone());
        sealed.line
    }

    /// Does an act that must be accepted.
    pub fn act(&mut self, act: &dyn Act) -> Draft {
        let draft = self.draft(act).unwrap_or_else(|why| panic!("{why}"));
        self.seal(draft.clone());
        draft
    }

    pub fn make<I>(&mut self, kind: Kind, act: &dyn Act, wrap: fn(String) -> I) -> I {
        let draft = self.act(act);
        wrap(made(&draft, kind).expect("made one").id)
    }

    pub fn all(&mut self, kind: Kind, act: &dyn Act) -> Vec<Thing> {
        let draft = self.act(act);
        all_made(&draft, kind).collect()
    }

    pub fn hear(&mut self, lines: &[String]) {
        for line in lines {
            self.book.take(line).expect("lines of the other device");
        }
    }

    pub fn later(&mut self, hours: i64) {
        self.now += TimeDelta::hours(hours);
    }

    /// Undoes the last own act, as the daybook does.
    pub fn undo_last(&mut self) {
        let entry = Entry::read(self.lines.last().expect("something to undo")).expect("own line");
        let lines = self.lines.clone();
        let lookup = |named: &journal::Named| {
            let entries = lines.iter().filter_map(|line| Entry::read(line).ok());
            entries.filter(|entry| named.means(&entry.reference)).collect()
        };
        let plan = self.book.journal().undo(&entry, lookup);
        if let Some(draft) = plan.draft {
            self.seal(draft);
        }
    }
}
