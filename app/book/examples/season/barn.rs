//! A seeded season of any size, done by acts as a keeper would: animals in their tubs, clutches laid, boxes hatched
//! out, racks fed. The same size and seed give the same lines.

use book::acts::*;
use book::records::Counts;
use book::words::{AnimalEventWhat, Fate, MealOutcome, PlaceWhat, Sex};
use book::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use journal::{Id, Identity, Keypair, Tip, Wall, seal};
use std::collections::BTreeMap;
use trade::units::{Mass, Temp};
use trade::when::When;

/// How much of everything.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    pub animals: usize,
    /// Hatched out by today, and those still in their boxes.
    pub hatched: usize,
    pub boxes: usize,
    /// Babies of a hatched clutch.
    pub babies: usize,
    /// Meals of each animal, at most.
    pub meals: usize,
}

/// The writing device.
pub struct Barn {
    pub book: Book,
    pub lines: Vec<String>,
    pub now: NaiveDateTime,
    identity: Identity,
    tip: Tip,
    state: u64,
}

impl Barn {
    fn new() -> Barn {
        let id = Id::mint(*b"large");
        Barn {
            book: Book::new(id),
            lines: Vec::new(),
            now: NaiveDateTime::default(),
            identity: Identity {
                book: id,
                dev: Id::mint(*b"phone"),
                by: "Ines Harrow".to_owned(),
                app: "generated".to_owned(),
                key: Keypair::from_secret(&[7; 32]).public(),
            },
            tip: Tip::default(),
            state: 5,
        }
    }

    /// SplitMix64.
    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.state ^ (self.state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: u64) -> u64 {
        self.next() % n.max(1)
    }

    pub fn act(&mut self, act: &dyn Act) -> Result<journal::Draft, String> {
        let mut minted = self.next();
        let draft = act
            .draft(&self.book, self.now, &mut || {
                minted = minted.wrapping_mul(0x5851_F42D_4C95_7F2D).wrapping_add(0x1405_7B7E_F767_814F);
                let [a, b, c, d, e, ..] = (minted ^ (minted >> 29)).to_be_bytes();
                Id::mint([a, b, c, d, e])
            })
            .map_err(|why| why.to_string())?;
        let ms = u64::try_from(self.now.and_utc().timestamp_millis()).map_err(|why| why.to_string())?;
        let wall = Wall { ms, text: format!("{}+00:00", self.now.format("%Y-%m-%dT%H:%M")) };
        let sealed = seal(draft.clone(), &self.identity, &self.tip, &wall).map_err(|why| why.to_string())?;
        self.tip = sealed.tip;
        self.book.take(&sealed.line).map_err(|why| why.to_string())?;
        self.lines.push(sealed.line);
        Ok(draft)
    }

    fn make(&mut self, kind: Kind, act: &dyn Act) -> Result<String, String> {
        let draft = self.act(act)?;
        made(&draft, kind).map(|thing| thing.id).ok_or_else(|| "made nothing".to_owned())
    }

    fn place(&mut self, what: PlaceWhat, name: String, within: Option<PlaceId>) -> Result<PlaceId, String> {
        let act = PlaceAdded { id: None, card: PlaceCard { within, ..PlaceCard::new(what, name) } };
        self.make(Kind::Place, &act).map(PlaceId::new)
    }
}

/// The day on which it stands.
fn today() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 8, 20).and_then(|day| day.and_hms_opt(20, 0, 0)).unwrap_or_default()
}

const SPECIES: [&str; 4] =
    ["lampropeltis-getula", "pantherophis-guttatus", "lampropeltis-californiae", "heterodon-nasicus"];
const TUBS: usize = 60;
/// Boxes on a shelf.
const ON_SHELF: usize = 8;

pub fn season(size: Size) -> Result<Barn, String> {
    let mut barn = Barn::new();
    let start = today() - TimeDelta::days(150);
    barn.now = start;
    let room = barn.place(PlaceWhat::Room, "Long room".to_owned(), None)?;
    let mut racks = Vec::new();
    let mut tubs = Vec::new();
    let mouths = size.animals + size.hatched * size.babies;
    for rack in 0..mouths.div_ceil(TUBS) {
        let id = barn.place(PlaceWhat::Rack, format!("Rack {}", rack + 1), Some(room.clone()))?;
        for tub in 0..TUBS {
            tubs.push(barn.place(PlaceWhat::Tub, format!("{}.{}", rack + 1, tub + 1), Some(id.clone()))?);
        }
        racks.push(id);
    }
    let mut shelves = Vec::new();
    for n in 0..(size.hatched + size.boxes).div_ceil(ON_SHELF * 6) {
        let act = IncubatorAdded::with_shelves(format!("Cabinet {}", n + 1), 6, "Shelf", Temp(2780));
        let draft = barn.act(&act)?;
        shelves.extend(all_made(&draft, Kind::Place).skip(1).map(|thing| PlaceId::new(thing.id)));
    }
    let mut females: Vec<Vec<AnimalId>> = vec![Vec::new(); SPECIES.len()];
    let mut males = females.clone();
    let mut free = tubs.iter();
    for n in 0..size.animals {
        let kind = n % SPECIES.len();
        let female = !(n / SPECIES.len()).is_multiple_of(3);
        let card = AnimalCard {
            code: format!("A{n:04}"),
            species: Some(SPECIES[kind].to_owned()),
            sex: Some(if female { Sex::Female } else { Sex::Male }),
            ..AnimalCard::default()
        };
        let place = free.next().cloned();
        let id = AnimalId::new(barn.make(Kind::Animal, &AnimalAdded { id: None, card, place })?);
        (if female { &mut females } else { &mut males })[kind].push(id);
    }
    let clutches = size.hatched + size.boxes;
    let mut boxes: Vec<(NaiveDateTime, FillingId)> = Vec::new();
    let mut usual: Option<ClutchPulled> = None;
    for n in 0..clutches {
        // The hatched ones were laid first; those in boxes over the last two months.
        let days = if n < size.hatched { 100 } else { 60 * (clutches - n) / size.boxes.max(1) };
        barn.now = today() - TimeDelta::days(i64::try_from(days).unwrap_or(60));
        let kind = n % SPECIES.len();
        let pick = |of: &[AnimalId], n: usize| of.get(n % of.len().max(1)).cloned();
        let dam = pick(&females[kind], n / SPECIES.len()).ok_or("no female")?;
        // What a form would offer is worked out once: it looks through the whole barn each time.
        let usual = usual.get_or_insert_with(|| ClutchPulled::start(&barn.book, None, &[], barn.now));
        let mut act = usual.clone();
        act.card.dams = vec![dam];
        act.card.laid = Some(When::day(barn.now.date()));
        act.card.number = format!("26-{:04}", n + 1);
        act.card.sires = pick(&males[kind], n).into_iter().collect();
        act.card.counts = Some(Counts { good: u32::try_from(size.babies).unwrap_or(10), dud: 1, slug: 0 });
        act.boxes[0].shelf = Some(shelves[n / ON_SHELF % shelves.len()].clone());
        act.boxes[0].closed = Some(Mass(1_400_000));
        act.boxes[0].dry = Some(Mass(200_000));
        act.boxes[0].water = Some(Mass(200_000));
        let id = FillingId::new(barn.make(Kind::Filling, &act)?);
        boxes.push((barn.now, id));
    }
    for (n, (laid, filling)) in boxes.iter().take(size.hatched).enumerate() {
        barn.now = *laid + TimeDelta::days(60) + TimeDelta::minutes(i64::try_from(n).unwrap_or(0));
        let eggs: Vec<EggId> = barn.book.eggs_in(filling).iter().map(|egg| egg.id.clone()).collect();
        let mut babies = Vec::new();
        for (n, egg) in eggs.iter().take(size.babies).enumerate() {
            let mass = Some(Mass(7_000 + i64::try_from(barn.below(3000)).unwrap_or(0)));
            babies.push(NewBaby {
                eggs: vec![egg.clone()],
                code: format!("{}-{}", barn.book.short_name(&filling.thing()), n + 1),
                mass,
                place: free.next().cloned(),
                ..NewBaby::default()
            });
        }
        let others: BTreeMap<EggId, (Fate, String)> =
            eggs.iter().skip(size.babies).map(|egg| (egg.clone(), (Fate::Removed, String::new()))).collect();
        barn.act(&HatchedOut { filling: filling.clone(), when: None, babies, others })?;
    }
    barn.now = today() - TimeDelta::days(32);
    let young: Vec<AnimalId> = barn.book.all_animals().filter(|a| a.born.is_some()).map(|a| a.id.clone()).collect();
    for id in young {
        let when = When::time(barn.now);
        let note = String::new();
        barn.act(&AnimalEventNoted { shed: None, animal: id, what: AnimalEventWhat::Shed, when, mass: None, note })?;
    }
    feed(&mut barn, &racks, size.meals)?;
    barn.now = today();
    Ok(barn)
}

/// Every rack so often, evenly over the last month; a twentieth refuses and is marked next morning.
fn feed(barn: &mut Barn, racks: &[PlaceId], times: usize) -> Result<(), String> {
    for time in 0..times {
        let back = 30 * 24 * (times - time) / times;
        for rack in racks {
            barn.now = today() - TimeDelta::hours(i64::try_from(back).unwrap_or(0));
            let Some(feeding) = book::views::feeding(&barn.book, rack, barn.now) else { continue };
            let animals: Vec<AnimalId> = feeding.animals.into_iter().map(|line| line.id).collect();
            if animals.is_empty() {
                continue;
            }
            let (offered, prey) = (When::time(barn.now), "mouse".to_owned());
            barn.act(&RackFed {
                animals: animals.clone(),
                offered,
                prey,
                size: "pinkie".to_owned(),
                how: String::new(),
            })?;
            barn.now += TimeDelta::hours(10);
            for id in animals {
                if barn.below(20) != 0 {
                    continue;
                }
                let Some(meal) = barn.book.meals(&id).next().map(|meal| meal.id.clone()) else { continue };
                let when = When::time(barn.now);
                barn.act(&MealOutcomeSeen { meal, outcome: MealOutcome::Refused, when })?;
            }
        }
    }
    Ok(())
}
