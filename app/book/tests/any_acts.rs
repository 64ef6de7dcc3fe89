//! Whatever is done, on two phones that meet now and then: the sums hold, nothing panics, and the book is the same
//! whichever way its lines came.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::cell::Cell;
use std::collections::BTreeMap;
use trade::when::When;

/// One thing to try: what, on which device, and numbers to choose by.
type Try = (u8, bool, u32, u32, u32);

fn pick<T: Clone>(items: &[T], by: u32) -> Option<T> {
    (!items.is_empty()).then(|| items[by as usize % items.len()].clone())
}

/// Ids of what a book holds, and one of nothing, for acts about what is not there.
struct Held {
    animals: Vec<AnimalId>,
    places: Vec<PlaceId>,
    clutches: Vec<ClutchId>,
    fillings: Vec<FillingId>,
    eggs: Vec<EggId>,
}

fn held(book: &Book) -> Held {
    let clutches: Vec<ClutchId> = book.clutches().into_iter().map(|c| c.id.clone()).collect();
    let eggs = clutches.iter().flat_map(|id| book.eggs_of(id)).map(|egg| egg.id.clone()).collect();
    Held {
        animals: book.all_animals().map(|a| a.id.clone()).chain([AnimalId::from("N0NE0000")]).collect(),
        places: book.places().into_iter().map(|p| p.id.clone()).chain([PlaceId::from("N0NE0000")]).collect(),
        fillings: book.fillings().map(|f| f.id.clone()).chain([FillingId::from("N0NE0000")]).collect(),
        clutches,
        eggs,
    }
}

/// Something that was seen or read: what is corrected or taken back most.
fn noted(book: &Book, kind: u32, which: u32) -> Option<Thing> {
    let kinds = [
        Kind::Candling,
        Kind::Water,
        Kind::Reading,
        Kind::SetPoint,
        Kind::Meal,
        Kind::AnimalEvent,
        Kind::Hatching,
        Kind::Move,
    ];
    let kind = pick(&kinds, kind)?;
    let all: Vec<Thing> = book.journal().records(kind.word()).map(|(id, _)| Thing::new(kind, id)).collect();
    pick(&all, which)
}

/// Every text and list of a draft has an end; the app packs readings itself.
fn bounded(draft: &journal::Draft) -> bool {
    fn texts(value: &serde_json::Value, most: usize) -> bool {
        match value {
            serde_json::Value::String(text) => text.chars().count() <= most,
            serde_json::Value::Array(list) => list.len() <= MOST_ITEMS && list.iter().all(|item| texts(item, most)),
            serde_json::Value::Object(map) => {
                map.len() <= MOST_ITEMS
                    && map.iter().all(|(key, item)| key.chars().count() <= most && texts(item, most))
            }
            _ => true,
        }
    }
    let mut fields = draft.sets.iter().flat_map(|set| &set.fields).filter(|(field, _)| *field != "packed");
    fields.all(|(field, value)| texts(value, if field.contains("name") { MOST_NAME } else { MOST_TEXT }))
}

fn act_of(d: &Device, (what, _, a, b, c): Try) -> Option<Box<dyn Act>> {
    let book = &d.book;
    // Now and then somebody pastes a book into a field.
    let text = |start: &str| if c % 13 == 5 { start.repeat(5_000) } else { start.to_owned() };
    let note = || if c % 13 == 5 { text("n") } else { String::new() };
    let h = held(book);
    // Mostly now, at times another day, at times tomorrow.
    let when = When::time(d.now - chrono::TimeDelta::hours(i64::from(c % 60) - 3));
    let some_eggs = |n: u32| -> Vec<EggId> { (0..n % 4).filter_map(|i| pick(&h.eggs, a + i)).collect() };
    let masses = || -> BTreeMap<EggId, _> { some_eggs(b).into_iter().map(|egg| (egg, g(i64::from(c % 30)))).collect() };
    Some(match what % 32 {
        0 => {
            let sex = pick(Sex::ALL, a);
            let card = AnimalCard {
                name: text(&format!("A{a}")),
                sex,
                dam: pick(&h.animals, b),
                sire: pick(&h.animals, c),
                species: (a % 3 != 0)
                    .then(|| if c % 4 == 0 { "python-regius" } else { "pantherophis-guttatus" }.to_owned()),
                ..AnimalCard::default()
            };
            Box::new(AnimalAdded {
                id: None,
                card: if b % 2 == 0 { card } else { AnimalCard { dam: None, sire: None, ..card } },
                place: None,
            })
        }
        1 => Box::new(IncubatorAdded::with_shelves(
            text(&format!("I{a}")),
            (b % 4) as usize,
            "Shelf",
            cc(2500 + (c % 800) as i32),
        )),
        2 => Box::new(EggsFound::under(book, &pick(&h.animals, a)?, d.now)),
        3 | 4 => {
            let mut act = ClutchPulled::start(book, pick(&h.clutches, a).filter(|_| b % 3 == 0).as_ref(), &[], d.now);
            act.card.counts = Some(Counts { good: b % 7, dud: c % 3, slug: a % 3 });
            act.card.laid = Some(when);
            act.boxes[0].closed = (c % 2 == 0).then(|| g(1500));
            if c % 5 == 0 {
                act.boxes.clear();
            }
            Box::new(act)
        }
        5 => Box::new(EggsAdded {
            clutch: pick(&h.clutches, a)?,
            counts: Counts { good: b % 3, dud: 0, slug: c % 2 },
            laid: None,
            when,
            filling: pick(&h.fillings, b).filter(|_| c % 2 == 0),
            mass: (a % 2 == 0).then(|| g(12)),
        }),
        6 => Box::new(BoxSet {
            eggs: some_eggs(b),
            setup: BoxSetup { closed: Some(g(1400)), ..book.suggest_setup() },
            when,
            mass: None,
        }),
        7 | 8 => {
            let filling = pick(&h.fillings, a)?;
            let inside: Vec<EggId> = book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
            let changes = (0..b % 3).filter_map(|i| Some((pick(&inside, c + i)?, pick(Seen::ALL, b + i)?))).collect();
            Box::new(BoxCandled { filling, when, changes, note: note() })
        }
        9 => Box::new(WaterChecked {
            filling: pick(&h.fillings, a)?,
            when,
            mass: g(i64::from(b % 3000) - 5),
            added: Some(g(i64::from(c % 50))),
            note: note(),
        }),
        10 => {
            Box::new(BaselineReset { filling: pick(&h.fillings, a)?, when, mass: g(i64::from(b % 3000)), note: note() })
        }
        11 => Box::new(EggsPipped { eggs: some_eggs(b), when: (c % 2 == 0).then_some(when) }),
        12 => Box::new(EggsOut { eggs: some_eggs(b), when: (c % 2 == 0).then_some(when), masses: masses() }),
        13 => Box::new(EggFate { eggs: some_eggs(b), fate: pick(Fate::ALL, c)?, when, why: note(), masses: masses() }),
        14 => {
            let mut things: Vec<Thing> = some_eggs(b).into_iter().map(Thing::from).collect();
            if things.is_empty() {
                things.extend(pick(&h.fillings, a).map(Thing::from));
            }
            let to = if c % 2 == 0 { Where::Place(pick(&h.places, c)?) } else { Where::Filling(pick(&h.fillings, c)?) };
            Box::new(Moved { things, to, when, mass: (a % 2 == 0).then(|| g(11)), note: note() })
        }
        15 => Box::new(BoxEmptied { filling: pick(&h.fillings, a)?, when }),
        16 => Box::new(ClutchesJoined { clutch: pick(&h.clutches, a)?, same_as: pick(&h.clutches, b)? }),
        17 => {
            let place = pick(&h.places, a)?;
            let mut card = PlaceCard::of(book, &place)?;
            // Two phones may each put one place into the other: a circle that no act by itself would make.
            card.within = pick(&h.places, b);
            Box::new(PlaceEdited { place, card })
        }
        18 => {
            let thing = pick(
                &[
                    pick(&h.clutches, a).map(Thing::from),
                    pick(&h.eggs, b).map(Thing::from),
                    pick(&h.fillings, c).map(Thing::from),
                ],
                c,
            )??;
            Box::new(Withdrawn { thing })
        }
        19 => Box::new(Paired {
            dams: pick(&h.animals, a).into_iter().collect(),
            sires: pick(&h.animals, b).into_iter().collect(),
            when,
            note: note(),
        }),
        20 => {
            let pairings: Vec<PairingId> = book.pairings().map(|p| p.id.clone()).collect();
            Box::new(LockNoted { pairing: pick(&pairings, a)?, when })
        }
        21 => Box::new(AnimalsSeen {
            animals: (0..1 + b % 3).filter_map(|i| pick(&h.animals, a + i)).collect(),
            what: pick(AnimalEventWhat::ALL, c)?,
            when,
            note: note(),
        }),
        22 => Box::new(Moved {
            things: vec![pick(&h.animals, a)?.thing()],
            to: Where::Place(pick(&h.places, b)?),
            when,
            mass: None,
            note: note(),
        }),
        23 => {
            Box::new(Unswapped { one: pick(&h.animals, a)?, other: pick(&h.animals, b)?, from: when, back: c % 2 == 0 })
        }
        24 => Box::new(EggsMeasured {
            eggs: some_eggs(b)
                .into_iter()
                .map(|egg| EggMeasure { egg, len_um: Some(30_000), wid_um: Some(i64::from(c % 40_000)), mass: None })
                .collect(),
        }),
        25 => Box::new(ClutchesParted { clutch: pick(&h.clutches, a)? }),
        26 => Box::new(ReadingTaken {
            place: pick(&h.places, a)?,
            when,
            temp: cc(2400 + (c % 900) as i32),
            source: note(),
        }),
        27 => Box::new(SetPointChanged { place: pick(&h.places, a)?, from: when, temp: cc(2400 + (c % 900) as i32) }),
        28 => Box::new(MealOffered {
            animals: vec![pick(&h.animals, a)?],
            offered: when,
            outcome: pick(MealOutcome::ALL, b),
            prey: "mouse".to_owned(),
            size: String::new(),
            how: String::new(),
        }),
        29 => Box::new(Withdrawn { thing: noted(book, a, b)? }),
        30 => Box::new(Redated { thing: noted(book, a, b)?, when }),
        _ => {
            let clutch = pick(&h.clutches, a)?;
            let mut card = ClutchCard::of(book, &clutch)?;
            card.dams = pick(&h.animals, b).into_iter().collect();
            card.counts = Some(Counts { good: c % 9, dud: 0, slug: 0 });
            Box::new(ClutchEdited { clutch, card })
        }
    })
}

/// Everything that pages derive, as text: two books that show the same are the same.
fn shown(book: &Book, now: chrono::NaiveDateTime) -> String {
    let mut out = String::new();
    let mut say = |what: &dyn std::fmt::Debug| {
        out.push_str(&format!("{what:?}\n"));
    };
    say(&rounds(book, now));
    say(&box_rows(book, now));
    for filling in book.fillings() {
        say(&box_view(book, &filling.id, now));
        say(&book.water_events(&filling.id));
    }
    for clutch in book.clutches() {
        say(&clutch_view(book, &clutch.id, now));
    }
    for animal in book.all_animals() {
        say(&animal_view(book, &animal.id, now));
    }
    for place in book.places() {
        say(&place_view(book, &place.id, now));
    }
    say(&pairing_rows(book, now));
    for pairing in book.pairings() {
        say(&pairing_view(book, &pairing.id, now));
    }
    say(&may_go_again(book, now));
    say(&doubled(book));
    say(&bays(book));
    say(&search(book, "a", 50));
    say(&search(book, "26", 50));
    say(&(book.suggest_number(now.date()), book.suggest_setup(), book.suggest_shelves(None).len()));
    say(&book.oddities().collect::<Vec<_>>());
    say(&book
        .doubled_numbers()
        .iter()
        .map(|group| group.iter().map(|c| &c.id).collect::<Vec<_>>())
        .collect::<Vec<_>>());
    out
}

fn sums_hold(book: &Book) {
    for clutch in book.clutches() {
        let sum = sum_of(book, &clutch.id);
        assert_eq!(sum.total(), sum.in_book);
        let of = sum.fertility;
        assert!(of.fertile <= of.judged && of.judged + of.unjudged == sum.shelled && sum.shelled <= sum.in_book);
    }
    for filling in book.fillings() {
        let inside = book.eggs_in(&filling.id);
        let ever = book.eggs_ever_in(&filling.id);
        assert!(inside.iter().all(|egg| egg.fate.is_none() && ever.iter().any(|other| other.id == egg.id)));
        for egg in inside {
            assert_eq!(book.whereabouts(&egg.id.thing()), Some(&Where::Filling(filling.id.clone())));
        }
    }
}

fn rebuilt(lines: impl Iterator<Item = String>) -> Book {
    let mut book = Book::new(journal::Id::mint(*b"barn!"));
    for line in lines {
        book.take(&line).expect("lines that were sealed");
    }
    book
}

fn runner() -> TestRunner {
    TestRunner::new(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })
}

#[test]
fn whatever_is_done() {
    // Over all histories together: one short history may well hold only acts about what is not there.
    let (tried, done, long) = (Cell::new(0usize), Cell::new(0usize), Cell::new(0usize));
    let histories = (prop::collection::vec(any::<Try>(), 1..60), any::<u64>());
    let checked = runner().run(&histories, |(tries, seed)| {
        let mut devices = [Device::new(1), Device::new(2)];
        let mut heard = [0, 0];
        tried.set(tried.get() + tries.len());
        for (i, attempt) in tries.iter().enumerate() {
            let d = &mut devices[usize::from(attempt.1)];
            d.later(i64::from(attempt.2 % 40));
            if let Some(act) = act_of(d, *attempt) {
                let now = d.now;
                let doubts = act.doubts(&d.book, now);
                prop_assert!(doubts.iter().all(|doubt| !doubt.to_string().is_empty()));
                match d.draft(&*act) {
                    Ok(draft) => {
                        prop_assert!(bounded(&draft), "{draft:?}");
                        d.seal(draft);
                        done.set(done.get() + 1);
                    }
                    Err(why) => {
                        prop_assert!(!why.to_string().is_empty());
                        long.set(long.get() + usize::from(matches!(why, Refusal::TooLong { .. })));
                    }
                }
                if attempt.4 % 11 == 0 && !d.lines.is_empty() {
                    d.undo_last();
                }
                // What Rounds keeps from act to act is what it would gather anew.
                let kept = rounds(&d.book, d.now);
                if i % 5 == 4 {
                    let anew = Book::restore(&d.book.snapshot()).expect("own snapshot");
                    prop_assert_eq!(kept, rounds(&anew, d.now));
                }
            }
            if i % 13 == 12 {
                let [a, b] = &mut devices;
                b.hear(&a.lines[heard[0]..]);
                a.hear(&b.lines[heard[1]..]);
                heard = [a.lines.len(), b.lines.len()];
            }
        }
        let [mut a, mut b] = devices;
        b.hear(&a.lines[heard[0]..]);
        a.hear(&b.lines[heard[1]..]);
        let now = a.now.max(b.now);
        sums_hold(&a.book);

        let state = shown(&a.book, now);
        // The other device, which heard it all in another order.
        prop_assert_eq!(&shown(&b.book, now), &state);
        // Anew, by the seed's order; a line that comes too early is held until its turn.
        let mut lines: Vec<String> = a.lines.iter().chain(&b.lines).cloned().collect();
        let mut order = seed;
        for i in (1..lines.len()).rev() {
            order = order.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            lines.swap(i, (order >> 33) as usize % (i + 1));
        }
        prop_assert_eq!(&shown(&rebuilt(lines.into_iter()), now), &state);
        // From a snapshot.
        prop_assert_eq!(&shown(&Book::restore(&a.book.snapshot()).expect("own snapshot"), now), &state);
        Ok(())
    });
    checked.unwrap_or_else(|why| panic!("{why}"));
    assert!(done.get() * 20 > tried.get(), "of {} tries only {} went through", tried.get(), done.get());
    assert!(long.get() > 0, "no text was refused as too long");
}

/// Fields of any type in records of every kind: nothing panics, and what does not fit is listed.
#[test]
fn whatever_a_field_holds() {
    let odd = Cell::new(0usize);
    let fields = prop::collection::vec((0..23usize, 0..9u8, any::<i64>(), ".{0,12}"), 1..40);
    let checked = runner().run(&fields, |values| {
        let mut d = Device::new(1);
        d.act(&IncubatorAdded::with_shelves("A", 1, "Shelf", cc(2780)));
        for (kind, what, number, text) in values {
            let kind = Kind::ALL[kind];
            let id = if number % 2 == 0 { "AAAAAAAA" } else { "BBBBBBBB" };
            let value = match what {
                0 => serde_json::json!(number),
                1 => serde_json::json!(text.replace('\u{1a}', "")),
                2 => serde_json::json!([id, "CCCCCCCC", 3]),
                3 => serde_json::json!({id: "veins", "x": 1}),
                4 => serde_json::json!(true),
                5 => serde_json::json!("AAAAAAAA"),
                6 => serde_json::json!("egg:AAAAAAAA"),
                7 => serde_json::json!("2026-05-01"),
                _ => serde_json::json!("filling:BBBBBBBB"),
            };
            let fields = [
                "in",
                "dams",
                "sires",
                "species",
                "laid",
                "clutch",
                "filling",
                "same_as",
                "things",
                "to",
                "when",
                "seen",
                "fate",
                "mass_mg",
                "egg",
                "set_cc",
                "good",
                "step",
                "animal",
                "closed_mg",
            ];
            let map = fields
                .iter()
                .skip((number.unsigned_abs() % 5) as usize)
                .step_by(2)
                .map(|field| ((*field).to_owned(), value.clone()))
                .collect();
            let set = d.book.journal().set(kind.word(), id, map);
            d.seal(journal::Draft { act: "Any".to_owned(), sets: vec![set], ..journal::Draft::default() });
            odd.set(odd.get() + d.book.oddities().count());
        }
        let state = shown(&d.book, d.now);
        prop_assert_eq!(shown(&rebuilt(d.lines.clone().into_iter()), d.now), state);
        prop_assert!(d.book.oddities().all(|oddity| !oddity.holds.is_empty()));
        Ok(())
    });
    checked.unwrap_or_else(|why| panic!("{why}"));
    assert!(odd.get() > 0, "no field was listed as odd");
}
