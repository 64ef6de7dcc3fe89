//! What is refused, and what is asked, each as a row.

mod common;

use book::acts::*;
use book::records::Counts;
use book::words::*;
use book::*;
use common::*;
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

struct Barn {
    d: Device,
    bel: AnimalId,
    moss: AnimalId,
    shelf: PlaceId,
    closed_shelf: PlaceId,
    tub: PlaceId,
    filling: FillingId,
    clutch: ClutchId,
    eggs: Vec<EggId>,
    emptied: FillingId,
    container: BoxId,
}

/// A box of five eggs, A and B stuck together, E removed; and an emptied one.
fn barn() -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-05-01T19:00");
    let animal = |d: &mut Device, name: &str, sex| {
        let species = Some("lampropeltis-californiae".to_owned());
        let card = AnimalCard {
            code: name.to_ascii_uppercase(),
            name: name.to_owned(),
            species,
            sex: Some(sex),
            ..AnimalCard::default()
        };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    let (bel, moss) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male));
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 2, "Shelf", cc(2780)));
    let place = |i: usize| PlaceId::new(places[i].id.as_str());
    let closed = PlaceCard { closed: true, ..PlaceCard::of(&d.book, &place(2)).expect("there") };
    d.act(&PlaceEdited { place: place(2), card: closed });
    let tub =
        d.make(Kind::Place, &PlaceAdded { id: None, card: PlaceCard::new(PlaceWhat::Tub, "Tub 7") }, PlaceId::new);
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(&bel), d.now);
    act.card.sires = vec![moss.clone()];
    act.card.counts = Some(Counts { good: 5, dud: 0, slug: 0 });
    act.clumps = vec![vec![0, 1]];
    act.boxes[0] = BoxSetup {
        shelf: Some(place(1)),
        dry: Some(g(200)),
        water: Some(g(200)),
        closed: Some(g(1500)),
        ..BoxSetup::default()
    };
    let first = d.act(&act);
    let id = |kind| made(&first, kind).expect("made").id;
    let (filling, clutch) = (FillingId::new(id(Kind::Filling)), ClutchId::new(id(Kind::Clutch)));
    let eggs: Vec<EggId> = d.book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
    let mut second = ClutchPulled::start(&d.book, None, &[], d.now);
    second.card.counts = Some(Counts { good: 1, dud: 0, slug: 0 });
    let emptied = d.make(Kind::Filling, &second, FillingId::new);
    d.now = at("2026-06-09T20:00");
    let when = When::time(d.now);
    d.act(&EggFate {
        eggs: vec![eggs[4].clone()],
        fate: Fate::Removed,
        when,
        why: "mould".to_owned(),
        masses: BTreeMap::new(),
    });
    d.act(&BoxEmptied { filling: emptied.clone(), when });
    let container = BoxId::from("NOSUCHBX");
    Barn { d, bel, moss, shelf: place(1), closed_shelf: place(2), tub, filling, clutch, eggs, emptied, container }
}

fn pull(b: &Barn, change: impl FnOnce(&mut ClutchPulled)) -> Box<dyn Act> {
    let mut act = ClutchPulled::start(&b.d.book, None, std::slice::from_ref(&b.bel), b.d.now);
    act.card.counts = Some(Counts { good: 4, dud: 0, slug: 0 });
    act.boxes = vec![BoxSetup { shelf: Some(b.shelf.clone()), ..BoxSetup::default() }];
    change(&mut act);
    Box::new(act)
}

fn weigh(b: &Barn, grams: i64, added: Option<Mass>) -> Box<dyn Act> {
    let when = When::time(b.d.now);
    Box::new(WaterChecked { filling: b.filling.clone(), when, mass: g(grams), added, note: String::new() })
}

fn candle(filling: &FillingId, when: &str, changes: &[(&EggId, Seen)]) -> Box<dyn Act> {
    let changes = changes.iter().map(|(egg, seen)| ((*egg).clone(), *seen)).collect();
    Box::new(BoxCandled { filling: filling.clone(), when: common::when(when), changes, note: String::new() })
}

fn shift(b: &Barn, things: Vec<Thing>, to: Where) -> Box<dyn Act> {
    Box::new(Moved { things, to, when: When::time(b.d.now), mass: None, note: String::new() })
}

#[test]
fn refused_with_what_to_do() {
    let mut b = barn();
    let pip = |eggs: &[&EggId], when: &str| -> Box<dyn Act> {
        Box::new(EggsPipped { eggs: eggs.iter().map(|egg| (*egg).clone()).collect(), when: Some(common::when(when)) })
    };
    let egg = |i: usize| &b.eggs[i];
    let edit = |change: fn(&mut AnimalCard)| -> Box<dyn Act> {
        let mut card = AnimalCard::of(&b.d.book, &b.bel).expect("there");
        change(&mut card);
        Box::new(AnimalEdited { animal: b.bel.clone(), card })
    };
    let own_dam = {
        let mut card = AnimalCard::of(&b.d.book, &b.bel).expect("there");
        card.dam = Some(b.bel.clone());
        Box::new(AnimalEdited { animal: b.bel.clone(), card })
    };
    let stock = |seen: Vec<FillingId>, missing: Vec<FillingId>| -> Box<dyn Act> {
        Box::new(StockTaken { place: None, when: when("2026-06-01"), seen, missing })
    };
    // name of the row, the act, a piece of the sentence
    let rows: Vec<(&str, Box<dyn Act>, &str)> = vec![
        ("laid tomorrow", pull(&b, |a| a.card.laid = Some(when("2026-06-10"))), "in the future"),
        ("laid today at a later hour", pull(&b, |a| a.card.laid = Some(when("2026-06-09T21:00"))), "in the future"),
        ("stock-taking that saw nothing", stock(vec![], vec![b.filling.clone()]), "at least one box"),
        ("a box seen and not seen", stock(vec![b.filling.clone()], vec![b.filling.clone()]), "is entered twice"),
        ("found after it was pulled", pull(&b, |a| a.card.found = Some(when("2026-06-11"))), "in the future"),
        ("found before laid", pull(&b, |a| a.card.found = Some(when("2026-06-01"))), "cannot come before"),
        ("sire that is the dam", pull(&b, |a| a.card.sires = vec![b.bel.clone()]), "Bel is entered as dam and as sire"),
        ("a dam twice", pull(&b, |a| a.card.dams.push(b.bel.clone())), "Bel is entered twice"),
        ("no eggs", pull(&b, |a| a.card.counts = None), "No egg is chosen"),
        (
            "a digit too many",
            pull(&b, |a| a.card.counts = Some(Counts { good: 121, ..Counts::default() })),
            "at most 120",
        ),
        ("gravid weight of nothing", pull(&b, |a| a.card.gravid = Some(g(0))), "above 0"),
        ("a clump of one", pull(&b, |a| a.clumps = vec![vec![0]]), "two eggs for a clump"),
        ("an egg in two clumps", pull(&b, |a| a.clumps = vec![vec![0, 1], vec![1, 2]]), "Egg B is entered twice"),
        ("a clump past the last egg", pull(&b, |a| a.clumps = vec![vec![3, 4]]), "at most 4"),
        (
            "an egg in two boxes",
            pull(&b, |a| {
                a.boxes[0].eggs = Some(vec![0]);
                a.boxes.push(a.boxes[0].clone())
            }),
            "Egg A is entered twice",
        ),
        ("a box with nothing in it", pull(&b, |a| a.boxes.push(a.boxes[0].clone())), "No egg is chosen"),
        (
            "lighter than filled",
            pull(&b, |a| {
                a.boxes[0].dry = Some(g(200));
                a.boxes[0].closed = Some(g(150))
            }),
            "cannot weigh less",
        ),
        ("a shelf out of use", pull(&b, |a| a.boxes[0].shelf = Some(b.closed_shelf.clone())), "not in use"),
        (
            "a shelf that is not there",
            pull(&b, |a| a.boxes[0].shelf = Some("NOSHELF0".into())),
            "The place you chose is not on",
        ),
        (
            "a physical box that is not there",
            pull(&b, |a| a.boxes[0].container = Some(b.container.clone())),
            "The box you chose is not on",
        ),
        (
            "a label that is another box's",
            pull(&b, |a| a.boxes[0].filling = Some(b.filling.clone())),
            "already belongs",
        ),
        (
            "a label that is an animal's",
            pull(&b, |a| a.boxes[0].filling = Some(b.bel.as_str().into())),
            "already belongs",
        ),
        ("pulled twice", pull(&b, |a| a.clutch = Some(b.clutch.clone())), "already pulled"),
        ("weighed below nothing", weigh(&b, -3, None), "above 0"),
        ("a box of a tonne", weigh(&b, 1_000_000, None), "below 100000 g"),
        ("water below nothing", weigh(&b, 1490, Some(g(-5))), "above 0"),
        ("an emptied box candled", candle(&b.emptied, "2026-06-09", &[]), "label retired"),
        ("candled tomorrow", candle(&b.filling, "2026-06-10", &[(egg(0), Seen::Veins)]), "in the future"),
        ("candled before it was set", candle(&b.filling, "2026-04-01", &[(egg(0), Seen::Veins)]), "cannot come before"),
        ("an egg that is gone candled", candle(&b.filling, "2026-06-09", &[(egg(4), Seen::Veins)]), "no longer in"),
        (
            "an egg nobody knows candled",
            candle(&b.filling, "2026-06-09", &[(&"NOSUCHEG".into(), Seen::Veins)]),
            "The egg you chose is not on",
        ),
        ("pipped before laid", pip(&[egg(0)], "2026-04-20"), "cannot come before"),
        ("pipped though gone", pip(&[egg(4)], "2026-06-09"), "Egg E is no longer in"),
        ("pipped twice in one act", pip(&[egg(0), egg(0)], "2026-06-09"), "Egg A is entered twice"),
        ("nothing pipped", pip(&[], "2026-06-09"), "No egg is chosen"),
        ("moved to where it is", shift(&b, vec![b.filling.thing()], Where::Place(b.shelf.clone())), "Nothing changed"),
        ("a box put under the dam", shift(&b, vec![b.filling.thing()], Where::Dam), "cannot be brought there"),
        (
            "an animal put into a box",
            shift(&b, vec![b.bel.thing()], Where::Filling(b.filling.clone())),
            "cannot be brought there",
        ),
        (
            "an egg put into an emptied box",
            shift(&b, vec![egg(0).thing()], Where::Filling(b.emptied.clone())),
            "label retired",
        ),
        ("moved twice", shift(&b, vec![b.filling.thing(), b.filling.thing()], Where::Unknown), "entered twice"),
        (
            "a note of nothing",
            Box::new(Noted { about: b.bel.thing(), when: when("2026-06-09"), text: " ".to_owned() }),
            "Enter the note",
        ),
        (
            "a note about nothing",
            Box::new(Noted { about: Thing::new(Kind::Egg, "X"), when: when("2026-06-09"), text: "a".to_owned() }),
            "The egg you chose is not on",
        ),
        (
            "an animal without a name",
            edit(|card| {
                card.name.clear();
                card.code.clear()
            }),
            "a code or a name",
        ),
        (
            "an animal left before born",
            edit(|card| {
                card.born = Some(when("2026-01-01"));
                card.went_when = Some(when("2025-01-01"))
            }),
            "cannot come before",
        ),
        ("her own dam", own_dam, "come from itself"),
        ("nothing edited", edit(|_| ()), "Nothing changed"),
        (
            "an incubator without shelves",
            Box::new(IncubatorAdded { name: "B".to_owned(), within: None, shelves: vec![] }),
            "at least one shelf",
        ),
        (
            "an incubator at 82 °C",
            Box::new(IncubatorAdded::with_shelves("B", 2, "Shelf", cc(8200))),
            "between 0.0 °C and 60.0 °C",
        ),
        (
            "a place inside itself",
            Box::new(PlaceEdited {
                place: b.tub.clone(),
                card: PlaceCard { within: Some(b.tub.clone()), ..PlaceCard::new(PlaceWhat::Tub, "Tub 7") },
            }),
            "inside",
        ),
        ("a hundred thousand labels", Box::new(BlankLabelsMade { count: 100_000 }), "at most 500"),
        ("a nameless keeper", Box::new(PersonNamed { person: None, name: "\n".to_owned() }), "Enter a name"),
        (
            "a clash that is none",
            Box::new(ClashSettled { thing: b.bel.thing(), field: "name".to_owned(), value: "Bel".into() }),
            "nothing to settle",
        ),
    ];
    let (now, mut minted) = (b.d.now, 0u8);
    for (name, act, sentence) in rows {
        let drafted = act.draft(&b.d.book, now, &mut || {
            minted = minted.wrapping_add(1);
            journal::Id::mint([9, 9, 9, 9, minted])
        });
        let told = drafted.expect_err(name).to_string();
        assert!(told.contains(sentence), "{name}: {told}");
        assert!(!["NOSHELF", "NOSUCH"].iter().any(|id| told.contains(id)), "an id: {told}");
        assert!(told.ends_with('.') && told.chars().next().is_some_and(|c| !c.is_lowercase()), "{name}: {told}");
    }
    // None of them left a trace: the plain act still goes through.
    let plain = pull(&b, |_| ());
    b.d.act(&*plain);
}

#[test]
fn a_physical_box_stands_in_one_place() {
    let mut b = barn();
    let filling = b.filling.clone();
    let mut edit = BoxEdited::of(&b.d.book, &filling).expect("there");
    assert_eq!(b.d.draft(&edit), Err(Refusal::NothingChanged));
    edit.name = " Blue 3 ".to_owned();
    let blue = b.d.make(Kind::Box, &edit, BoxId::new);
    assert_eq!(b.d.draft(&edit), Err(Refusal::NothingChanged), "it is known now");
    let into = |b: &Barn| pull(b, |a| a.boxes[0].container = Some(blue.clone()));
    let again = into(&b);
    assert_eq!(b.d.draft(&*again), Err(Refusal::BoxInUse { name: "Blue 3".to_owned() }));
    let plain = pull(&b, |_| ());
    let other = b.d.make(Kind::Filling, &*plain, FillingId::new);
    let mut same = BoxEdited::of(&b.d.book, &other).expect("there");
    same.name = "Blue 3".to_owned();
    assert_eq!(b.d.draft(&same), Err(Refusal::BoxInUse { name: "Blue 3".to_owned() }));
    edit.setup.medium = "perlite".to_owned();
    b.d.act(&edit);
    assert_eq!(b.d.book.filling(&filling).and_then(|f| f.medium.clone()).as_deref(), Some("perlite"));
    b.d.act(&BoxEmptied { filling, when: When::time(b.d.now) });
    let again = into(&b);
    assert!(b.d.draft(&*again).is_ok());
}

#[test]
fn unlikely_is_asked_and_likely_is_not() {
    let b = barn();
    let female_sire = pull(&b, |a| {
        a.card.dams.clear();
        a.card.sires = vec![b.bel.clone()]
    });
    let number = b.d.book.clutch(&b.clutch).and_then(|c| c.number.clone()).expect("numbered");
    let coded =
        AnimalAdded { id: None, card: AnimalCard { code: "bel".to_owned(), ..AnimalCard::default() }, place: None };
    let pip: Box<dyn Act> = Box::new(EggsPipped { eggs: vec![b.eggs[0].clone()], when: Some(When::time(b.d.now)) });
    let warm = |set| -> Box<dyn Act> { Box::new(IncubatorAdded::with_shelves("B", 2, "Shelf", cc(set))) };
    let rows: Vec<(&str, Box<dyn Act>, Vec<&str>)> = vec![
        ("all plain", pull(&b, |_| ()), vec![]),
        ("a female as sire", female_sire, vec!["Bel is recorded as the other sex"]),
        ("a male as dam", pull(&b, |a| a.card.dams = vec![b.moss.clone()]), vec!["Moss is recorded as the other sex"]),
        ("a number taken", pull(&b, |a| a.card.number = format!(" {number} ")), vec!["already"]),
        ("seventy eggs", pull(&b, |a| a.card.counts = Some(Counts { good: 70, ..Counts::default() })), vec!["unusual"]),
        ("laid in winter", pull(&b, |a| a.card.laid = Some(when("2025-12-01"))), vec!["190 days ago"]),
        (
            "spent heavier than gravid",
            pull(&b, |a| {
                a.card.gravid = Some(g(500));
                a.card.spent = Some(g(600))
            }),
            vec!["spent weight is 600 g"],
        ),
        ("a box in a tub", pull(&b, |a| a.boxes[0].shelf = Some(b.tub.clone())), vec!["not a shelf"]),
        ("a box of twenty kilos", pull(&b, |a| a.boxes[0].closed = Some(g(20_000))), vec!["closed box is 20000 g"]),
        ("a little water lost", weigh(&b, 1490, Some(g(10))), vec![]),
        ("a third lost", weigh(&b, 1000, None), vec!["1000 g, and was 1500 g"]),
        ("a slipped digit", weigh(&b, 14_900, None), vec!["14900 g"]),
        ("drowned", weigh(&b, 1490, Some(g(500))), vec!["with the water added is 1990 g"]),
        ("a code taken", Box::new(coded), vec!["animal bel already"]),
        ("half a clump", shift(&b, vec![b.eggs[0].thing()], Where::Unknown), vec!["Stuck together with B"]),
        ("a whole clump", shift(&b, vec![b.eggs[0].thing(), b.eggs[1].thing()], Where::Unknown), vec![]),
        ("a box to a tub", shift(&b, vec![b.filling.thing()], Where::Place(b.tub.clone())), vec!["not a shelf"]),
        ("pipped on day 39", pip, vec!["early"]),
        ("an incubator at 28 °C", warm(2800), vec![]),
        ("an incubator at 40 °C", warm(4000), vec!["40.0 °C is outside"]),
        (
            "emptied with eggs in",
            Box::new(BoxEmptied { filling: b.filling.clone(), when: When::time(b.d.now) }),
            vec!["4 eggs in this box"],
        ),
    ];
    for (name, act, expected) in rows {
        let told: Vec<String> = act.doubts(&b.d.book, b.d.now).iter().map(ToString::to_string).collect();
        assert_eq!(told.len(), expected.len(), "{name}: {told:?}");
        for (told, expected) in told.iter().zip(expected) {
            assert!(told.contains(expected) && told.ends_with('?'), "{name}: {told}");
        }
    }
}

#[test]
fn a_form_offers_what_the_barn_used_last() {
    let b = barn();
    assert_eq!(b.d.book.suggest_sires(std::slice::from_ref(&b.bel), b.d.now), Vec::<AnimalId>::new());
    let mut b = b;
    b.d.act(&Paired {
        dams: vec![b.bel.clone()],
        sires: vec![b.moss.clone()],
        when: when("2026-05-20"),
        note: String::new(),
    });
    let start = ClutchPulled::start(&b.d.book, None, std::slice::from_ref(&b.bel), b.d.now);
    assert_eq!((start.card.number.as_str(), start.card.sires.as_slice()), ("26-003", std::slice::from_ref(&b.moss)));
    assert_eq!(start.card.species.as_deref(), Some("lampropeltis-californiae"));
    assert_eq!(start.boxes[0].shelf, Some(b.shelf.clone()));
    let counts = b.d.book.suggest_counts(Some("lampropeltis-californiae"));
    assert!(counts.len() == 6 && counts.contains(&5) && counts.is_sorted(), "{counts:?}");
}
