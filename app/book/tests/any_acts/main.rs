//! Whatever is done, on two phones that meet now and then: the sums hold, nothing panics, and the book is the same
//! whichever way its lines came.

#[path = "../common/mod.rs"]
mod common;
mod shown;
mod tries;

use book::acts::*;
use book::records::Counts;
use book::words::{PlaceWhat, Sex};
use book::*;
use common::*;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use shown::{WHOLE, shown};
use std::cell::Cell;
use trade::when::When;
use tries::{Try, act_of};

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

fn sums_hold(book: &Book) {
    for clutch in book.clutches() {
        let sum = views::sum_of(book, &clutch.id);
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

/// 100 histories; `CANDLEMARK_HISTORIES=10000 cargo test --release -p book --test any_acts` tries more.
fn runner() -> TestRunner {
    let told = std::env::var("CANDLEMARK_HISTORIES").ok().and_then(|many| many.parse().ok());
    let cases = told.unwrap_or(100);
    TestRunner::new(ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() })
}

/// A barn to act in, known to both devices.
fn begin(devices: &mut [Device; 2]) {
    let [one, other] = devices;
    one.act(&IncubatorAdded::with_shelves("Cabinet", 2, "Shelf", cc(2780)));
    one.act(&RackAdded { name: "Rack".to_owned(), within: None, what: PlaceWhat::Tub, names: vec!["1".to_owned()] });
    let [dam, sire] = [("Wren", Sex::Female), ("Ash", Sex::Male)].map(|(name, sex)| {
        let card = AnimalCard { name: name.to_owned(), sex: Some(sex), ..AnimalCard::default() };
        one.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    });
    let (when, note) = (When::time(one.now - chrono::TimeDelta::days(90)), String::new());
    one.act(&Paired { dams: vec![dam], sires: vec![sire.clone()], when, note: note.clone() });
    let digest = Some("0".repeat(64));
    let contact = ContactKept { contact: None, mark: "P-001".to_owned(), digest };
    let contact = Some(one.make(Kind::Contact, &contact, ContactId::new));
    one.act(&Held { animals: vec![sire], contact, wish: None, until: None, price: note.clone(), deposit: None, note });
    let mut pulled = ClutchPulled::start(&one.book, None, &[], one.now);
    pulled.card.counts = Some(Counts { good: 4, dud: 0, slug: 1 });
    pulled.card.laid = Some(When::time(one.now - chrono::TimeDelta::days(50)));
    pulled.card.species = Some("pantherophis-guttatus".to_owned());
    one.act(&pulled);
    other.hear(&one.lines);
}

#[test]
fn whatever_is_done() {
    // Over all histories together: one short history may well hold only acts about what is not there.
    let (tried, done, long) = (Cell::new(0usize), Cell::new(0usize), Cell::new(0usize));
    let histories = (prop::collection::vec(any::<Try>(), 1..60), any::<u64>());
    let checked = runner().run(&histories, |(tries, seed)| {
        let mut devices = [Device::new(1), Device::new(2)];
        begin(&mut devices);
        let mut heard = [devices[0].lines.len(), 0];
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
                // Whatever was asked before, in whatever order, the answers are those of a book opened anew.
                let ask = WHOLE[attempt.2 as usize % WHOLE.len()];
                let known = ask(&d.book, d.now);
                if i % 5 == 4 {
                    let anew = Book::restore(&d.book.snapshot()).expect("own snapshot");
                    prop_assert_eq!(&known, &ask(&anew, d.now));
                }
                if i % 20 == 19 {
                    let anew = Book::restore(&d.book.snapshot()).expect("own snapshot");
                    prop_assert_eq!(&shown(&d.book, d.now), &shown(&anew, d.now));
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

/// A barn in the middle of its season, and one act of every kind there is: after each, every answer is that of a book
/// opened anew. All were asked before the first.
#[test]
fn one_act_of_every_kind() {
    let mut d = Device::new(9);
    d.now = at("2026-06-09T20:00");
    d.book = alder_lane("2026-06-09");
    d.identity.book = d.book.journal().book();
    shown(&d.book, d.now);
    for (what, kind) in ActKind::ALL.iter().enumerate() {
        let tries = (0..2_000u32).map(|n| (what, false, n, n.wrapping_mul(2_654_435_761) >> 12, n / 7));
        let draft = tries.filter_map(|attempt| d.draft(&*act_of(&d, attempt)?).ok()).next();
        d.later(1);
        d.seal(draft.unwrap_or_else(|| panic!("{kind:?} never went through")));
        let anew = Book::restore(&d.book.snapshot()).expect("own snapshot");
        for ask in [WHOLE[0], WHOLE[what % WHOLE.len()]] {
            assert_eq!(ask(&d.book, d.now), ask(&anew, d.now), "after {kind:?}");
        }
        if what % 12 == 11 {
            assert_eq!(shown(&d.book, d.now), shown(&anew, d.now), "after {kind:?}");
        }
    }
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
