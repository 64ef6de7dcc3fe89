//! An act of every kind there is, about whatever a book holds.

use crate::common::*;
use book::acts::*;
use book::records::{Counts, Species};
use book::words::*;
use book::*;
use chrono::{NaiveDate, TimeDelta};
use serde_json::json;
use std::collections::BTreeMap;
use trade::money::{Currency, Money};
use trade::path::Reading;
use trade::when::When;

/// One thing to try: what, on which device, and numbers to choose by.
pub type Try = (usize, bool, u32, u32, u32);

const SPECIES: [&str; 3] = ["pantherophis-guttatus", "python-regius", "lampropeltis-getula"];

fn pick<T: Clone>(items: &[T], by: u32) -> Option<T> {
    (!items.is_empty()).then(|| items[by as usize % items.len()].clone())
}

/// Ids of what a book holds, and one of nothing, for acts about what is not there.
struct There {
    animals: Vec<AnimalId>,
    places: Vec<PlaceId>,
    clutches: Vec<ClutchId>,
    fillings: Vec<FillingId>,
    eggs: Vec<EggId>,
}

fn there(book: &Book) -> There {
    let clutches: Vec<ClutchId> = book.clutches().into_iter().map(|c| c.id.clone()).collect();
    let eggs = clutches.iter().flat_map(|id| book.eggs_of(id)).map(|egg| egg.id.clone()).collect();
    There {
        animals: book.all_animals().map(|a| a.id.clone()).chain([AnimalId::from("N0NE0000")]).collect(),
        places: book.places().into_iter().map(|p| p.id.clone()).chain([PlaceId::from("N0NE0000")]).collect(),
        fillings: book.fillings().map(|f| f.id.clone()).chain([FillingId::from("N0NE0000")]).collect(),
        clutches,
        eggs,
    }
}

/// A record of a kind, whichever.
fn any_of<I: for<'a> From<&'a str>>(book: &Book, kind: Kind, by: u32) -> Option<I> {
    let all: Vec<&str> = book.journal().records(kind.word()).map(|(id, _)| id).collect();
    pick(&all, by).map(I::from)
}

/// A record of any kind.
fn anything(book: &Book, kind: u32, which: u32) -> Option<Thing> {
    let any = |kind: &Kind| book.journal().records(kind.word()).next().is_some();
    let kinds: Vec<Kind> = Kind::ALL.iter().copied().filter(any).collect();
    let kind = pick(&kinds, kind)?;
    let all: Vec<&str> = book.journal().records(kind.word()).map(|(id, _)| id).collect();
    pick(&all, which).map(|id| Thing::new(kind, id))
}

fn treatment_card(from: When, until: NaiveDate, (a, b): (u32, u32)) -> TreatmentCard {
    TreatmentCard {
        what: format!("W{}", a % 3),
        from: Some(from),
        every_hours: [0, 8, 12, 24, 72][a as usize % 5],
        until: (b % 3 != 0).then_some(until),
        ..TreatmentCard::default()
    }
}

/// An act that is of the kind it was asked for.
fn of<A: Act + 'static>(kind: ActKind, act: A) -> Option<Box<dyn Act>> {
    assert_eq!(A::kind(), kind);
    Some(Box::new(act))
}

/// `None` where the book holds nothing for such an act to be about. A new act does not compile before it is tried here.
pub fn act_of(d: &Device, (what, _, a, b, c): Try) -> Option<Box<dyn Act>> {
    let kind = ActKind::ALL[what % ActKind::ALL.len()];
    // Small enough to be added.
    let [a, b, c] = [a, b, c].map(|n| n % 1_000_003);
    let (book, h) = (&d.book, there(&d.book));
    // Now and then somebody pastes a book into a field.
    let text = |start: &str| if c % 13 == 5 { start.repeat(5_000) } else { start.to_owned() };
    let note = || if c % 13 == 5 { text("n") } else { String::new() };
    // Mostly now, at times another day, at times tomorrow.
    let when = When::time(d.now - TimeDelta::hours(i64::from(c % 60) - 3));
    let day = |by: u32| d.now.date() + TimeDelta::days(i64::from(by % 40) - 20);
    let humidity = (b % 3 != 0).then_some(trade::units::Humidity((c % 1_050) as u16));
    let some_eggs = |n: u32| -> Vec<EggId> { (0..n % 4).filter_map(|i| pick(&h.eggs, a + i)).collect() };
    let masses = || -> BTreeMap<EggId, _> { some_eggs(b).into_iter().map(|egg| (egg, g(i64::from(c % 30)))).collect() };
    let some_animals =
        || -> Vec<AnimalId> { (0..1 + b % 3).filter_map(|i| pick(&h.animals, a.wrapping_add(i))).collect() };
    // At times nothing or less, which is refused.
    let amount = |by: u32| {
        let currency = ["EUR", "JPY", "KWD"][by as usize % 3];
        Money { minor: i64::from(by % 90_000) - 3, currency: Currency::of(currency).expect("a currency") }
    };
    let species = |by: u32| pick(&SPECIES, by).map(str::to_owned);
    let temp = cc(2400 + (c % 900) as i32);
    let animal_card = || AnimalCard {
        name: text(&format!("A{a}")),
        code: if c % 3 == 0 { format!("C{}", b % 9) } else { String::new() },
        sex: pick(Sex::ALL, a),
        dam: pick(&h.animals, b).filter(|_| b % 2 == 0),
        sire: pick(&h.animals, c).filter(|_| b % 2 == 0),
        species: species(c).filter(|_| a % 3 != 0),
        from_eggs: some_eggs(u32::from(a % 5 == 0)),
        born: (a % 2 == 0).then_some(when),
        came: pick(Came::ALL, b),
        ..AnimalCard::default()
    };
    let counts = Counts { good: b % 7, dud: c % 3, slug: a % 3 };
    let label = |by: u32| {
        Some(LabelPrinted {
            thing: anything(book, by, b)?,
            when,
            payload: "HTTPS://EXAMPLE/1".to_owned(),
            look_from: Some(day(a)),
            likely_from: Some(day(b)),
            likely_to: Some(day(c)),
            fill_to: (c % 2 == 0).then(|| g(1400)),
        })
    };
    match kind {
        ActKind::AnimalAdded => {
            of(kind, AnimalAdded { id: None, card: animal_card(), place: pick(&h.places, c).filter(|_| a % 2 == 0) })
        }
        ActKind::AnimalEdited => {
            let animal = pick(&h.animals, a)?;
            let card = AnimalCard::of(book, &animal)?;
            let went = pick(Went::ALL, c).filter(|_| b % 3 == 0);
            let card = match b % 2 {
                0 => AnimalCard { went, went_when: went.map(|_| when), ..card },
                _ => animal_card(),
            };
            of(kind, AnimalEdited { animal, card })
        }
        ActKind::AnimalEventNoted => of(
            kind,
            AnimalEventNoted {
                shed: pick(ShedAs::ALL, a),
                animal: pick(&h.animals, a)?,
                what: pick(AnimalEventWhat::ALL, b)?,
                when,
                mass: (c % 2 == 0).then(|| g(i64::from(c % 900))),
                note: note(),
            },
        ),
        ActKind::FolliclesNoted => of(
            kind,
            FolliclesNoted {
                animal: pick(&h.animals, a)?,
                when,
                looked: pick(LookedAs::ALL, b),
                side: pick(Side::ALL, c).filter(|_| a % 2 == 0),
                follicle_um: (c % 3 != 0).then(|| 1_000 * i64::from(c % 60)),
                follicles: (b % 2 == 0).then_some(c % 9),
                note: note(),
            },
        ),
        ActKind::AnimalEventEdited => {
            let event = AnimalEventEdited::of(book, &any_of(book, Kind::AnimalEvent, a)?, when)?;
            of(
                kind,
                AnimalEventEdited {
                    what: pick(AnimalEventWhat::ALL, b)?,
                    shed: pick(ShedAs::ALL, c),
                    follicle_um: pick(&[None, Some(18_500), Some(31_000)], a)?,
                    when,
                    ..event
                },
            )
        }
        ActKind::AnimalsSeen => of(
            kind,
            AnimalsSeen {
                shed: pick(ShedAs::ALL, b),
                animals: some_animals(),
                what: pick(AnimalEventWhat::ALL, c)?,
                when,
                note: note(),
            },
        ),
        ActKind::AnimalsWeighed => {
            let weights = some_animals().into_iter().map(|id| (id, g(i64::from(c % 2000)))).collect();
            of(kind, AnimalsWeighed { weights, when })
        }
        ActKind::AnimalsPlaced => of(
            kind,
            AnimalsPlaced {
                animals: some_animals(),
                how: pick(Went::ALL, b)?,
                to: any_of(book, Kind::Contact, c),
                when,
                price: note(),
                note: note(),
            },
        ),
        ActKind::Unswapped => {
            let (one, other) = (pick(&h.animals, a)?, pick(&h.animals, b)?);
            of(kind, Unswapped { one, other, from: when, back: c % 2 == 0 })
        }
        ActKind::MealOffered => of(
            kind,
            MealOffered {
                animals: some_animals(),
                offered: when,
                outcome: pick(MealOutcome::ALL, b).filter(|_| c % 4 != 0),
                prey: "mouse".to_owned(),
                size: String::new(),
                how: note(),
            },
        ),
        ActKind::MealOutcomeSeen => {
            of(kind, MealOutcomeSeen { meal: any_of(book, Kind::Meal, a)?, outcome: pick(MealOutcome::ALL, b)?, when })
        }
        ActKind::MealEdited => {
            let meal = MealEdited::of(book, &any_of(book, Kind::Meal, a)?, when)?;
            of(kind, MealEdited { offered: when, outcome: pick(MealOutcome::ALL, b), note: note(), ..meal })
        }
        ActKind::RackFed => {
            let (prey, size, how) = ("mouse".to_owned(), note(), String::new());
            of(kind, RackFed { animals: some_animals(), offered: when, prey, size, how })
        }
        ActKind::RulesSet => {
            let rules = book.rules();
            of(
                kind,
                RulesSet { rules: trade::raising::Rules { sheds: a % 3, meals: b % 5, feed_days: c % 9, ..rules } },
            )
        }
        ActKind::AgainRuleSet => {
            let rule = book.again_rule();
            of(kind, AgainRuleSet { rule: trade::again::Rule { rest_days: a % 60, meals: b % 5, ..rule } })
        }
        ActKind::BreedingRuleSet => {
            let rule = trade::breeders::Rule {
                age_months: (a % 3 != 0).then_some(b % 40),
                mass: (b % 3 == 0).then(|| g(i64::from(c % 90))),
                meals: (c % 2 == 0).then_some(a % 5),
                cooled: b % 2 == 0,
            };
            of(kind, BreedingRuleSet { species: species(a).unwrap_or_default(), sex: pick(Sex::ALL, b)?, rule })
        }
        ActKind::Snoozed => {
            let all: Vec<SnoozeId> = views::rounds(book, d.now).iter().map(views::Due::row).collect();
            of(kind, Snoozed { row: pick(&all, a)?, until: (c % 4 != 0).then(|| day(b)) })
        }
        ActKind::Paired => {
            let side = |by| pick(&h.animals, by).into_iter().collect();
            of(kind, Paired { dams: side(a), sires: side(b), when, note: note() })
        }
        ActKind::LockNoted => of(kind, LockNoted { pairing: any_of(book, Kind::Pairing, a)?, when }),
        ActKind::PairingEnded => of(kind, PairingEnded { pairing: any_of(book, Kind::Pairing, a)?, when }),
        ActKind::PairingEdited => {
            let pairing: PairingId = any_of(book, Kind::Pairing, a)?;
            let card = PairingCard { when: Some(when), note: note(), ..PairingCard::of(book, &pairing)? };
            of(kind, PairingEdited { pairing, card })
        }
        ActKind::EggsFound => of(kind, EggsFound::under(book, &pick(&h.animals, a)?, d.now)),
        ActKind::ClutchPulled => {
            let mut act = ClutchPulled::start(book, pick(&h.clutches, a).filter(|_| b % 3 == 0).as_ref(), &[], d.now);
            act.card.counts = Some(counts);
            act.card.laid = Some(when);
            act.card.dams = pick(&h.animals, b).into_iter().collect();
            act.card.species = species(c).filter(|_| a % 2 == 0);
            act.boxes[0].closed = (c % 2 == 0).then(|| g(1500));
            if c % 5 == 0 {
                act.boxes.clear();
            }
            // Left with her, counted or not; or taken from her.
            act.left = c % 3 == 1;
            if act.left && a % 2 == 0 {
                act.card.counts = None;
            }
            of(kind, act)
        }
        ActKind::ClutchEdited => {
            let clutch = pick(&h.clutches, a)?;
            let mut card = ClutchCard::of(book, &clutch)?;
            card.dams = pick(&h.animals, b).into_iter().collect();
            card.counts = Some(Counts { good: c % 9, dud: 0, slug: 0 });
            (card.unknown_male, card.no_male) = (c % 3 == 0, c % 2 == 0);
            of(kind, ClutchEdited { clutch, card })
        }
        ActKind::ClutchesJoined => {
            of(kind, ClutchesJoined { clutch: pick(&h.clutches, a)?, same_as: pick(&h.clutches, b)? })
        }
        ActKind::ClutchesParted => of(kind, ClutchesParted { clutch: pick(&h.clutches, a)? }),
        ActKind::EggsAdded => of(
            kind,
            EggsAdded {
                clutch: pick(&h.clutches, a)?,
                counts: Counts { good: b % 3, dud: 0, slug: c % 2 },
                laid: (b % 4 == 0).then_some(when),
                when,
                filling: pick(&h.fillings, b).filter(|_| c % 2 == 0),
                mass: (a % 2 == 0).then(|| g(12)),
            },
        ),
        ActKind::EggEdited => {
            let egg = pick(&h.eggs, a)?;
            let card = EggCard::of(book, &egg)?;
            let fate = pick(Fate::ALL, b).filter(|_| c % 2 == 0);
            of(kind, EggEdited { egg, card: EggCard { fate, fate_when: fate.map(|_| when), ..card } })
        }
        ActKind::EggsMeasured => {
            let wid_um = Some(i64::from(c * 97 % 40_000));
            let measure = |egg| EggMeasure { egg, len_um: Some(30_000), wid_um, mass: None };
            of(kind, EggsMeasured { eggs: some_eggs(b).into_iter().map(measure).collect() })
        }
        ActKind::EggFate => {
            of(kind, EggFate { eggs: some_eggs(b), fate: pick(Fate::ALL, c)?, when, why: note(), masses: masses() })
        }
        ActKind::EggsPipped => of(kind, EggsPipped { eggs: some_eggs(b), when: (c % 2 == 0).then_some(when) }),
        ActKind::OpeningEdited => {
            let opening = OpeningEdited::of(book, &any_of(book, Kind::Hatching, a)?, when)?;
            of(kind, OpeningEdited { when, opened: pick(OpenedAs::ALL, b), why: note(), ..opening })
        }
        ActKind::EggsCut => {
            of(kind, EggsCut { eggs: some_eggs(b), when, opened: pick(OpenedAs::ALL, c), why: note(), found: note() })
        }
        ActKind::EggsOut => {
            of(kind, EggsOut { eggs: some_eggs(b), when: (c % 2 == 0).then_some(when), masses: masses() })
        }
        ActKind::HatchedOut => {
            let filling = pick(&h.fillings, a)?;
            let inside: Vec<EggId> = book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
            let out = inside.len().min((b % 4) as usize);
            let baby = |egg: &EggId| NewBaby {
                eggs: vec![egg.clone()],
                code: format!("B{}-{egg}", c % 9),
                mass: (c % 2 == 0).then(|| g(8)),
                place: pick(&h.places, c).filter(|_| a % 2 == 0),
                ..NewBaby::default()
            };
            let rest = inside[out..].iter().filter(|_| b % 2 == 0);
            let others = rest.filter_map(|egg| Some((egg.clone(), (pick(Fate::ALL, c)?, note())))).collect();
            let babies = inside[..out].iter().map(baby).collect();
            of(kind, HatchedOut { filling, when: (c % 2 == 0).then_some(when), babies, others })
        }
        ActKind::BoxSet => {
            let setup = BoxSetup { closed: Some(g(1400)), ..book.suggest_setup() };
            of(kind, BoxSet { eggs: some_eggs(b), setup, when, mass: None })
        }
        ActKind::BoxEdited => {
            let act = BoxEdited::of(book, &pick(&h.fillings, a)?)?;
            let setup = BoxSetup { closed: Some(g(i64::from(c % 3000))), ..act.setup };
            of(kind, BoxEdited { name: format!("Box {}", b % 5), setup, ..act })
        }
        ActKind::BoxCandled => {
            let filling = pick(&h.fillings, a)?;
            let inside: Vec<EggId> = book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
            let changes = (0..b % 3).filter_map(|i| Some((pick(&inside, c + i)?, pick(Seen::ALL, b + i)?))).collect();
            of(kind, BoxCandled { filling, when, changes, note: note() })
        }
        ActKind::CandlingEdited => {
            let candling = CandlingEdited::of(book, &any_of(book, Kind::Candling, a)?, when)?;
            let seen = some_eggs(b).into_iter().filter_map(|egg| Some((egg, pick(Seen::ALL, c)?))).collect();
            of(kind, CandlingEdited { when, seen, ..candling })
        }
        ActKind::WaterChecked => {
            let (mass, added) = (g(i64::from(b % 3000) - 5), Some(g(i64::from(c % 50))));
            of(kind, WaterChecked { filling: pick(&h.fillings, a)?, when, mass, added, note: note() })
        }
        ActKind::BaselineReset => {
            let filling = pick(&h.fillings, a)?;
            of(kind, BaselineReset { filling, when, mass: g(i64::from(b % 3000)), note: note() })
        }
        ActKind::TakenOut => {
            let filling = pick(&h.fillings, a)?;
            of(kind, TakenOut { filling, when, mass: g(i64::from(b % 300)), what: "medium".to_owned() })
        }
        ActKind::BoxEmptied => of(kind, BoxEmptied { filling: pick(&h.fillings, a)?, when }),
        ActKind::Moved => {
            let mut things: Vec<Thing> = match a % 3 {
                0 => some_eggs(b).into_iter().map(Thing::from).collect(),
                1 => some_animals().into_iter().map(Thing::from).collect(),
                _ => Vec::new(),
            };
            if things.is_empty() {
                things.extend(pick(&h.fillings, a).map(Thing::from));
            }
            let to = if c % 2 == 0 { Where::Place(pick(&h.places, c)?) } else { Where::Filling(pick(&h.fillings, c)?) };
            of(kind, Moved { things, to, when, mass: (a % 2 == 0).then(|| g(11)), note: note() })
        }
        ActKind::PlaceAdded => {
            let within = pick(&h.places, b).filter(|_| a % 2 == 0);
            let card = PlaceCard { within, ..PlaceCard::new(pick(PlaceWhat::ALL, c)?, text(&format!("P{a}"))) };
            of(kind, PlaceAdded { id: None, card })
        }
        ActKind::PlaceEdited => {
            let place = pick(&h.places, a)?;
            let mut card = PlaceCard::of(book, &place)?;
            // Two phones may each put one place into the other: a circle that no act by itself would make.
            card.within = pick(&h.places, b);
            card.set = (c % 3 == 0).then_some(temp);
            card.offset = (c % 5 == 0).then(|| cc(30));
            card.closed = c % 7 == 0;
            card.keeper = any_of(book, Kind::Person, c);
            of(kind, PlaceEdited { place, card })
        }
        ActKind::IncubatorAdded => {
            of(kind, IncubatorAdded::with_shelves(text(&format!("I{a}")), (b % 4) as usize, "Shelf", temp))
        }
        ActKind::RackAdded => {
            let names = (0..b % 4).map(|n| format!("{a}.{n}")).collect();
            let (name, within) = (text(&format!("R{a}")), pick(&h.places, c).filter(|_| a % 2 == 0));
            of(kind, RackAdded { name, within, what: PlaceWhat::Tub, names })
        }
        ActKind::ReadingEdited => {
            let reading = ReadingEdited::of(book, &any_of(book, Kind::Reading, a)?, when)?;
            of(kind, ReadingEdited { when, temp, humidity, ..reading })
        }
        ActKind::SetPointEdited => {
            let set = SetPointEdited::of(book, &any_of(book, Kind::SetPoint, a)?, when)?;
            of(kind, SetPointEdited { from: when, temp, ..set })
        }
        ActKind::IncidentEdited => {
            let incident = IncidentEdited::of(book, &any_of(book, Kind::Incident, a)?, when)?;
            of(kind, IncidentEdited { from: when, to: (c % 2 == 0).then_some(when), ..incident })
        }
        ActKind::WaterEdited => {
            let check = WaterEdited::of(book, &any_of(book, Kind::Water, a)?, when)?;
            of(kind, WaterEdited { when, mass: g(i64::from(b % 3000) - 5), note: note(), ..check })
        }
        ActKind::TakenOutEdited => {
            let taken = TakenOutEdited::of(book, &any_of(book, Kind::TakenOut, a)?, when)?;
            of(kind, TakenOutEdited { when, mass: g(i64::from(b % 300)), ..taken })
        }
        ActKind::NoteEdited => {
            let edited = NoteEdited::of(book, &any_of(book, Kind::Note, a)?, when)?;
            of(kind, NoteEdited { when, text: text("put right"), ..edited })
        }
        ActKind::ReadingTaken => {
            of(kind, ReadingTaken { place: pick(&h.places, a)?, when, temp, humidity, source: note() })
        }
        ActKind::ReadingsImported => {
            let at = |n: u32| d.now - TimeDelta::hours(i64::from(n + c % 9));
            let readings: Vec<Reading> =
                (0..b % 20).rev().map(|n| Reading { at: at(n), temp: cc(2600 + (a % 300) as i32) }).collect();
            let humidity = readings.iter().filter_map(|r| Some((r.at, humidity?))).collect();
            of(kind, ReadingsImported { place: pick(&h.places, a)?, source: note(), readings, humidity })
        }
        ActKind::SetPointChanged => of(kind, SetPointChanged { place: pick(&h.places, a)?, from: when, temp }),
        ActKind::IncidentNoted => {
            let places = (0..b % 3).filter_map(|i| pick(&h.places, a + i)).collect();
            let to = (c % 2 == 0).then_some(when);
            of(kind, IncidentNoted { places, from: when, to, what: "power".to_owned(), note: note() })
        }
        ActKind::SpeciesSet => {
            let key = species(a)?;
            let ref_days_x10 = Some(500 + i64::from(c % 200));
            let species = Species { name: Some(text("Corn")), ref_days_x10, ..Species::overriding(&key) };
            of(kind, SpeciesSet { id: (b % 3 != 0).then(|| key.as_str().into()), species })
        }
        ActKind::StockTaken => {
            let all: Vec<FillingId> = book.fillings().map(|filling| filling.id.clone()).collect();
            let (seen, missing) = all.split_at(all.len().min((b % 4) as usize));
            let place = pick(&h.places, a).filter(|_| c % 2 == 0);
            of(kind, StockTaken { place, when, seen: seen.to_vec(), missing: missing.to_vec() })
        }
        ActKind::Noted => of(kind, Noted { about: anything(book, a, b)?, when, text: text("noted") }),
        ActKind::PhotoTaken => {
            let (sha256, digest) = (format!("{a:064x}"), format!("{b:064x}"));
            let (about, note) = (anything(book, a, b)?, text("basking"));
            of(kind, PhotoTaken { about, when, sha256, digest, width: 40, height: 30, note })
        }
        ActKind::PhotoEdited => {
            let photo = any_of(book, Kind::Photo, a)?;
            of(kind, PhotoEdited { photo, when, note: if b % 2 == 0 { text("in shed") } else { String::new() } })
        }
        ActKind::FaceChosen => {
            // Mostly one of its own photos, else the newest again.
            let photo = any_of::<PhotoId>(book, Kind::Photo, a).filter(|_| b % 3 != 0);
            let of_photo = photo.as_ref().and_then(|id| book.photo(id)?.about.clone());
            let own = of_photo.filter(|about| about.kind == Kind::Animal).map(|about| AnimalId::new(about.id));
            of(kind, FaceChosen { animal: own.or_else(|| pick(&h.animals, c))?, photo })
        }
        ActKind::LabelPrinted => of(kind, label(a)?),
        ActKind::LabelsPrinted => {
            of(kind, LabelsPrinted { prints: (0..1 + b % 3).filter_map(|i| label(a.wrapping_add(i))).collect() })
        }
        ActKind::BlankLabelsMade => of(kind, BlankLabelsMade { count: a % 4 }),
        ActKind::PersonNamed => {
            of(kind, PersonNamed { person: any_of(book, Kind::Person, a).filter(|_| b % 2 == 0), name: text("Ines") })
        }
        ActKind::ContactKept => {
            let contact = any_of(book, Kind::Contact, a).filter(|_| b % 2 == 0);
            let digest = (c % 2 == 0).then(|| format!("{b:064x}"));
            of(kind, ContactKept { contact, mark: text(&format!("P-{}", a % 20)), digest })
        }
        ActKind::PersonErased => {
            let contact: ContactId = any_of(book, Kind::Contact, a)?;
            let digests = book.details_of(&contact).into_iter().collect();
            of(kind, PersonErased { contact, digests })
        }
        ActKind::WishNoted => of(
            kind,
            WishNoted {
                contact: any_of(book, Kind::Contact, b),
                species: species(c),
                sex: pick(Sex::ALL, a),
                what: text("amel"),
                count: c % 3,
                when: Some(when),
            },
        ),
        ActKind::WishClosed => of(kind, WishClosed { wish: any_of(book, Kind::Wish, a)?, when }),
        ActKind::WishEdited => {
            let wish = WishEdited::of(book, &any_of(book, Kind::Wish, a)?, when)?;
            of(kind, WishEdited { what: note(), count: b % 4, closed: (c % 2 == 0).then_some(when), ..wish })
        }
        ActKind::Held => of(
            kind,
            Held {
                animals: some_animals(),
                contact: any_of(book, Kind::Contact, b),
                wish: any_of(book, Kind::Wish, c).filter(|_| a % 2 == 0),
                until: (c % 2 == 0).then(|| day(a)),
                price: if b % 3 == 0 { amount(c).to_string() } else { note() },
                deposit: (b % 2 == 0).then(|| amount(a)),
                note: note(),
            },
        ),
        ActKind::CurrencySet => of(kind, CurrencySet { currency: (c % 3 != 0).then(|| amount(a).currency) }),
        ActKind::PriceAsked => {
            of(kind, PriceAsked { animal: pick(&h.animals, a)?, asked: (c % 4 != 0).then(|| amount(b)) })
        }
        ActKind::CostNoted => {
            let card = CostCard { when, what: text("feed"), amount: (a % 5 != 0).then(|| amount(b)), note: note() };
            of(kind, CostNoted { card })
        }
        ActKind::CostEdited => {
            let CostEdited { cost, card } = CostEdited::of(book, &any_of(book, Kind::Cost, a)?, when)?;
            of(kind, CostEdited { cost, card: CostCard { when, amount: Some(amount(b)), note: note(), ..card } })
        }
        ActKind::HoldEnded => of(kind, HoldEnded { hold: any_of(book, Kind::Hold, a)?, when }),
        ActKind::HoldEdited => {
            let hold = HoldEdited::of(book, &any_of(book, Kind::Hold, a)?, when)?;
            let contact = any_of(book, Kind::Contact, b).filter(|_| c % 3 != 0);
            of(kind, HoldEdited { contact, note: note(), ended: (c % 2 == 0).then_some(when), ..hold })
        }
        ActKind::CoolingSet => {
            let card = CoolingCard {
                from: Some(When::day(day(c))),
                until: (b % 3 != 0).then(|| day(c) + TimeDelta::days(i64::from(a % 90))),
                temp: Some(cc((c % 30) as i32 * 100)),
                fast_days: (a % 2 == 0).then_some(b % 20),
                note: note(),
                ..CoolingCard::default()
            };
            of(kind, CoolingSet { animals: some_animals(), card })
        }
        ActKind::CoolingEdited => {
            let one = |by: u32| -> Option<(CoolingId, CoolingCard)> {
                let id: CoolingId = any_of(book, Kind::Cooling, by)?;
                let card = CoolingCard::of(book, &id)?;
                let (began, ended) = ((b % 4 != 0).then_some(when), (c % 3 == 0).then_some(when));
                Some((id, CoolingCard { began: began.or(card.began), ended, ..card }))
            };
            of(kind, CoolingEdited { cards: (0..1 + b % 2).filter_map(|i| one(a + i)).collect() })
        }
        ActKind::CoolingRuleSet => {
            of(kind, CoolingRuleSet { rule: trade::cooling::Rule { days: a % 150, meals: b % 4, sheds: c % 3 } })
        }
        ActKind::SetApart => {
            let places = h.places.iter().map(PlaceId::thing);
            let both: Vec<Thing> = h.animals.iter().map(AnimalId::thing).chain(places).collect();
            let card = QuarantineCard { from: Some(when), until: Some(day(c)), ended: None, why: note() };
            of(kind, SetApart { things: (0..1 + b % 2).filter_map(|i| pick(&both, a + i)).collect(), card })
        }
        ActKind::QuarantineEdited => {
            let quarantine: QuarantineId = any_of(book, Kind::Quarantine, a)?;
            let card = QuarantineCard::of(book, &quarantine)?;
            let card = QuarantineCard { until: Some(day(c)), ended: (b % 2 == 0).then_some(when), ..card };
            of(kind, QuarantineEdited { quarantine, card })
        }
        ActKind::TreatmentOrdered => {
            let card = treatment_card(when, day(c), (a, b));
            of(kind, TreatmentOrdered { animals: some_animals(), card })
        }
        ActKind::TreatmentEdited => {
            let treatment: TreatmentId = any_of(book, Kind::Treatment, a)?;
            let stands = TreatmentCard::of(book, &treatment)?;
            let ended = (b % 3 == 0).then_some(when);
            let card =
                if c % 2 == 0 { treatment_card(when, day(c), (a, b)) } else { TreatmentCard { ended, ..stands } };
            of(kind, TreatmentEdited { treatment, card })
        }
        ActKind::DoseEdited => {
            let dose: DoseId = any_of(book, Kind::Dose, a)?;
            of(kind, DoseEdited { dose, when, left_out: b % 3 == 0, note: note() })
        }
        ActKind::DoseNoted => of(
            kind,
            DoseNoted { treatment: any_of(book, Kind::Treatment, a)?, when, left_out: b % 4 == 0, note: note() },
        ),
        ActKind::TubsCleaned => {
            let places = h.places.iter().map(PlaceId::thing);
            let both: Vec<Thing> = h.animals.iter().map(|id| views::tub_of(book, id)).chain(places).collect();
            let tubs = (0..1 + b % 3).filter_map(|i| pick(&both, a + i)).collect();
            of(kind, TubsCleaned { of: tubs, when, spot: c % 4 == 0, note: note() })
        }
        ActKind::CleaningEdited => {
            let cleaning: CleaningId = any_of(book, Kind::Cleaning, a)?;
            of(kind, CleaningEdited { cleaning, when, spot: b % 3 == 0, note: note() })
        }
        ActKind::CleaningRuleSet => {
            let species = if a % 2 == 0 { None } else { species(b) };
            of(kind, CleaningRuleSet { species, days: (c % 5 != 0).then_some(b % 400) })
        }
        ActKind::SupplySet => of(kind, SupplySet { what: "mouse".to_owned(), have: (c % 3 != 0).then_some(b % 90) }),
        ActKind::TraitSet => {
            let card = TraitCard { species: species(a)?, name: text("Amel"), ..TraitCard::default() };
            let key = any_of::<TraitId>(book, Kind::Trait, b).filter(|_| c % 2 == 0).map(|id| id.to_string());
            of(kind, TraitSet { key, card: TraitCard { mode: pick(TraitMode::ALL, b), ..card } })
        }
        ActKind::GenotypesNoted => {
            let traits: Vec<String> = book.traits_of(&species(b)?).into_iter().map(|facts| facts.key).collect();
            let key = pick(&traits, c)?;
            let line = GenotypeLine::of(book, &pick(&h.animals, a)?, &key);
            let lines = vec![GenotypeLine {
                seen: pick(TraitSeen::ALL, b),
                known: pick(TraitKnown::ALL, c),
                chance_pm: Some(500),
                ..line
            }];
            of(kind, GenotypesNoted { lines, when })
        }
        ActKind::SheetBroughtIn => {
            let place = PlaceId::from(format!("SHP{:05}", a % 7).as_str());
            let made = SheetRow::Place(place.clone(), PlaceCard::new(PlaceWhat::Tub, format!("S{}", a % 7)));
            let parent = SheetAnimal {
                id: AnimalId::from(format!("SHA{:05}", b % 5).as_str()),
                card: animal_card(),
                place: pick(&h.places, b),
                weight: (c % 2 == 0).then_some((g(i64::from(c % 900)), when)),
                asked: None,
            };
            let young = SheetAnimal {
                id: AnimalId::from(format!("SHY{:05}", c % 5).as_str()),
                card: AnimalCard { dam: Some(parent.id.clone()), ..animal_card() },
                place: Some(place),
                ..parent.clone()
            };
            let laid = Some(When::day(NaiveDate::from_ymd_opt(2026, 1 + c % 6, 1).expect("a day")));
            let number = format!("S{}", a % 9);
            let card = ClutchCard { number, laid, counts: Some(counts), species: species(c), ..ClutchCard::default() };
            let id = ClutchId::from(format!("SHC{:05}", a % 9).as_str());
            let clutch = SheetRow::Clutch(id, Box::new(card), (b % 2 == 0).then_some(b % 7));
            let animals = [parent, young].map(|animal| SheetRow::Animal(Box::new(animal)));
            of(kind, SheetBroughtIn { rows: [made].into_iter().chain(animals).chain([clutch]).collect() })
        }
        ActKind::ClashSettled => {
            let clash = book.journal().clashes().map(|clash| {
                let value = clash.heads.first().map_or(json!("x"), |head| head.value.clone());
                (clash.key.kind.to_string(), clash.key.id.to_string(), clash.field.to_owned(), value)
            });
            let (of_kind, id, field, value) = pick(&clash.collect::<Vec<_>>(), a)?;
            of(kind, ClashSettled { thing: Thing::new(Kind::of(&of_kind)?, id), field, value })
        }
        ActKind::Withdrawn => of(kind, Withdrawn { thing: anything(book, a, b)? }),
        ActKind::RecordsWithdrawn => {
            of(kind, RecordsWithdrawn { things: (0..b % 3).filter_map(|i| anything(book, a + i, c)).collect() })
        }
        ActKind::Redated => of(kind, Redated { thing: anything(book, a, b)?, when }),
    }
}
