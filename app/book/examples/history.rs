//! A barn with a long past, for measuring: the Alder Lane season as it stands, and before it as many years of the
//! same barn as it takes to reach a number of entries. What is live does not grow with that number; history does.
//!
//! `cargo run --release -p book --example history -- ENTRIES TODAY FOLDER` writes `lines.ndjson` into FOLDER, and
//! says what the folded state weighs.

use book::acts::{
    Act, AnimalAdded, AnimalCard, AnimalEventNoted, BoxCandled, BoxEmptied, BoxSetup, ClutchCard, ClutchPulled,
    EggsOut, EggsPipped, MealOffered, WaterChecked, made,
};
use book::records::Counts;
use book::words::{AnimalEventWhat, MealOutcome, Mix, Seen};
use book::{AnimalId, Book, FillingId, Kind, PlaceId, demo};
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use journal::{Draft, Entry, Id, Identity, Keypair, Tip, Wall, seal};
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use trade::units::Mass;
use trade::when::When;

/// Animals besides the season's, at least; a longer past is that of a larger barn, or it would begin before 1970.
const TUBS: usize = 60;
const ENTRIES_A_TUB: usize = 1_700;
/// Clutches a year; each is candled three times, weighed four times, and hatches whole.
const CLUTCHES: i64 = 20;
const EGGS: u32 = 8;

struct Past {
    book: Book,
    lines: Vec<String>,
    identity: Identity,
    tip: Tip,
    minted: u32,
    most: usize,
    /// Here from the first day to the last.
    animals: Vec<AnimalId>,
}

impl Past {
    fn full(&self) -> bool {
        self.lines.len() >= self.most
    }

    fn write(&mut self, now: NaiveDateTime, act: &dyn Act) -> Result<Draft, Box<dyn Error>> {
        let minted = &mut self.minted;
        let draft = act
            .draft(&self.book, now, &mut || {
                *minted += 1;
                let [a, b, c, d] = minted.wrapping_mul(0x9E37_79B1).to_be_bytes();
                Id::mint([0x5E, a, b, c, d])
            })
            .map_err(|why| format!("{now}: {why}"))?;
        let ms = u64::try_from(now.and_utc().timestamp_millis())?;
        let wall = Wall { ms, text: format!("{}+00:00", now.format("%Y-%m-%dT%H:%M")) };
        let sealed = seal(draft.clone(), &self.identity, &self.tip, &wall).map_err(|why| why.to_string())?;
        self.tip = sealed.tip;
        self.book.take(&sealed.line).map_err(|why| why.to_string())?;
        self.lines.push(sealed.line);
        Ok(draft)
    }

    /// One week of walking along the tubs.
    fn week(&mut self, monday: NaiveDateTime, weigh: bool, animals: &[AnimalId]) -> Result<(), Box<dyn Error>> {
        for (at, animal) in (0..).map(|i| monday + TimeDelta::minutes(i)).zip(animals) {
            if self.full() {
                return Ok(());
            }
            let meal = MealOffered {
                animals: vec![animal.clone()],
                offered: When::time(at),
                outcome: Some(MealOutcome::Eaten),
                prey: "mouse".to_owned(),
                size: "adult".to_owned(),
                how: "thawed".to_owned(),
            };
            self.write(at, &meal)?;
            if weigh {
                let weight = AnimalEventNoted {
                    shed: None,
                    animal: animal.clone(),
                    what: AnimalEventWhat::Weight,
                    when: When::time(at),
                    mass: Some(Mass(612_000)),
                    note: String::new(),
                };
                self.write(at, &weight)?;
            }
        }
        Ok(())
    }

    /// One clutch from the pull to the empty box.
    fn clutch(
        &mut self,
        number: String,
        laid: NaiveDateTime,
        dam: &AnimalId,
        shelf: &PlaceId,
    ) -> Result<(), Box<dyn Error>> {
        let card = ClutchCard {
            number,
            dams: vec![dam.clone()],
            laid: Some(When::day(laid.date())),
            counts: Some(Counts { good: EGGS, dud: 0, slug: 0 }),
            ..ClutchCard::default()
        };
        let setup = BoxSetup {
            shelf: Some(shelf.clone()),
            mix: Some(Mix::Mass),
            dry: Some(Mass(200_000)),
            water: Some(Mass(200_000)),
            closed: Some(Mass(1_486_000)),
            ..BoxSetup::default()
        };
        let pulled = self.write(laid, &ClutchPulled { card, boxes: vec![setup], ..ClutchPulled::default() })?;
        let filling = made(&pulled, Kind::Filling).ok_or("no box was made")?;
        let filling = FillingId::from(filling.id.as_str());
        let eggs: Vec<_> = self.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
        let note = String::new;
        for day in [8, 20, 40] {
            let at = laid + TimeDelta::days(day);
            let changes = eggs.iter().map(|egg| (egg.clone(), Seen::Veins)).collect();
            self.write(at, &BoxCandled { filling: filling.clone(), when: When::time(at), changes, note: note() })?;
        }
        for day in [14, 28, 42, 49] {
            let at = laid + TimeDelta::days(day);
            let (mass, added) = (Mass(1_470_000), Some(Mass(16_000)));
            let check = WaterChecked { filling: filling.clone(), when: When::time(at), mass, added, note: note() };
            self.write(at, &check)?;
        }
        for (hour, egg) in (0..).zip(&eggs) {
            let pip = laid + TimeDelta::days(60) + TimeDelta::hours(hour);
            let out = pip + TimeDelta::days(1);
            self.write(pip, &EggsPipped { eggs: vec![egg.clone()], when: Some(When::time(pip)) })?;
            let masses = [(egg.clone(), Mass(9_000))].into();
            self.write(out, &EggsOut { eggs: vec![egg.clone()], when: Some(When::time(out)), masses })?;
        }
        let at = laid + TimeDelta::days(63);
        self.write(at, &BoxEmptied { filling, when: When::time(at) })?;
        Ok(())
    }

    fn year(&mut self, start: NaiveDateTime) -> Result<(), Box<dyn Error>> {
        let animals = self.animals.clone();
        let shelves: Vec<PlaceId> = self.book.shelves().iter().map(|shelf| shelf.id.clone()).collect();
        for week in 0..52 {
            self.week(start + TimeDelta::weeks(week), week % 4 == 0, &animals)?;
        }
        for n in 0..CLUTCHES {
            if self.full() {
                break;
            }
            let laid = start + TimeDelta::days(60 + n * 5);
            let i = usize::try_from(n)?;
            let (Some(dam), Some(shelf)) = (animals.get(i), shelves.get(i % shelves.len().max(1))) else { break };
            self.clutch(format!("{}-{:02}", laid.format("%Y"), n + 1), laid, dam, shelf)?;
        }
        Ok(())
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [entries, today, folder] = words.as_slice() else { return Err("usage: history ENTRIES TODAY FOLDER".into()) };
    let most: usize = entries.parse()?;
    let today: NaiveDate = today.parse().map_err(|why| format!("{today}: {why}"))?;
    let lines = demo::season(today);
    let first = Entry::read(lines.first().ok_or("there is no season on that day")?).map_err(|why| why.to_string())?;
    let mut book = Book::new(first.book);
    for line in &lines {
        book.take(line).map_err(|why| why.to_string())?;
    }
    let identity = Identity {
        book: first.book,
        dev: Id::mint([0x5E; 5]),
        by: "Ines Harrow".to_owned(),
        app: env!("CARGO_PKG_VERSION").to_owned(),
        key: Keypair::from_secret(&[0x5E; 32]).public(),
    };
    let season = lines.len();
    let mut past = Past { book, lines, identity, tip: Tip::default(), minted: 0, most, animals: Vec::new() };
    // A year is 52 weeks of meals, 13 of weights, and its clutches; the last one breaks off about today.
    let tubs = (most / ENTRIES_A_TUB).max(TUBS);
    let a_year = tubs * 65 + CLUTCHES as usize * (8 + 2 * EGGS as usize);
    let needed = most.saturating_sub(season + tubs);
    let weeks = (needed % a_year * 4).div_ceil(tubs * 5).min(52);
    let mut start = today - TimeDelta::days(i64::try_from(needed / a_year * 365 + (weeks + 1) * 7)?);
    for tub in 1..=tubs {
        let card = AnimalCard { code: format!("T{tub}"), name: format!("Tub {tub}"), ..AnimalCard::default() };
        let added = past.write(start.and_time(NaiveTime::MIN), &AnimalAdded { card, ..AnimalAdded::default() })?;
        let animal = made(&added, Kind::Animal).ok_or("no animal was made")?;
        past.animals.push(AnimalId::from(animal.id.as_str()));
    }
    while !past.full() {
        past.year(start.and_time(NaiveTime::MIN))?;
        start += TimeDelta::days(365);
    }
    let folder = Path::new(folder);
    std::fs::create_dir_all(folder)?;
    std::fs::write(folder.join("lines.ndjson"), past.lines.join("\n") + "\n")?;
    let midnight = u64::try_from(today.and_time(NaiveTime::MIN).and_utc().timestamp_millis())?;
    let mut parts = Vec::new();
    let snapshot = loop {
        let shots = past.book.shots(midnight, book::LIVE_DAYS, book::PART);
        if shots.parts.is_empty() {
            break shots.snapshot;
        }
        parts.extend(shots.parts);
    };
    let bytes: usize = past.lines.iter().map(|line| line.len() + 1).sum();
    let live = past.book.animals().len() + past.book.open_fillings().len();
    println!("{} entries ({season} of the season), {live} animals and boxes live", past.lines.len());
    println!("lines {bytes} bytes, snapshot {} bytes, {} parts", snapshot.len(), parts.len());
    let begun = Instant::now();
    let mut book = Book::restore(&snapshot).map_err(|why| why.to_string())?;
    let first = begun.elapsed();
    for (_, part) in parts.iter().rev() {
        book.take_part(part).map_err(|why| why.to_string())?;
    }
    println!("restored in {first:?}, with all parts in {:?}", begun.elapsed());
    Ok(())
}
