//! One clutch from the lay box to the last hatchling, as a keeper goes through it.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use std::collections::BTreeMap;
use trade::window::Stage;

struct Barn {
    d: Device,
    bel: AnimalId,
    moss: AnimalId,
    shelves: Vec<PlaceId>,
}

fn animal(d: &mut Device, name: &str, sex: Sex) -> AnimalId {
    let card = AnimalCard {
        name: name.to_owned(),
        species: Some("lampropeltis-californiae".to_owned()),
        sex: Some(sex),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn barn() -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-04-10T19:00");
    let bel = animal(&mut d, "Bel", Sex::Female);
    let moss = animal(&mut d, "Moss", Sex::Male);
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 3, "Shelf", cc(2780)));
    let shelves = places.into_iter().skip(1).map(|thing| PlaceId::new(thing.id)).collect();
    Barn { d, bel, moss, shelves }
}

fn pulled(barn: &Barn, good: u32, closed: i64) -> ClutchPulled {
    let mut act = ClutchPulled::start(&barn.d.book, None, std::slice::from_ref(&barn.bel), barn.d.now);
    act.card.sires = vec![barn.moss.clone()];
    act.card.counts = Some(Counts { good, dud: 0, slug: 0 });
    act.boxes[0].shelf = Some(barn.shelves[0].clone());
    act.boxes[0].medium = "vermiculite".to_owned();
    act.boxes[0].dry = Some(g(200));
    act.boxes[0].water = Some(g(200));
    act.boxes[0].closed = Some(g(closed));
    act
}

fn set_box(barn: &mut Barn, good: u32, closed: i64) -> FillingId {
    let act = pulled(barn, good, closed);
    barn.d.make(Kind::Filling, &act, FillingId::new)
}

#[test]
fn eggs_found_then_pulled_is_one_clutch() {
    let mut b = barn();
    let found = EggsFound::under(&b.d.book, &b.bel, b.d.now);
    let clutch = b.d.make(Kind::Clutch, &found, ClutchId::new);
    assert_eq!(b.d.book.clutch(&clutch).and_then(|c| c.number.clone()).as_deref(), Some("26-001"));
    let due = rounds(&b.d.book, b.d.now);
    assert_eq!(due.iter().map(|due| due.kind).collect::<Vec<_>>(), [DueKind::ToBox]);

    b.d.later(2);
    let mut act = ClutchPulled::start(&b.d.book, Some(&clutch), &[], b.d.now);
    act.card.counts = Some(Counts { good: 6, dud: 1, slug: 2 });
    // The day of finding is offered. Nobody saw it laid, and boxing it is no answer to when that was.
    assert_eq!(act.card.laid, Some(found.found));
    act.card.laid = None;
    act.clumps = vec![vec![0, 1]];
    let filling = b.d.make(Kind::Filling, &act, FillingId::new);
    assert_eq!(b.d.book.clutches().len(), 1);
    let card = b.d.book.clutch(&clutch).expect("there");
    assert_eq!((card.laid, card.found), (None, Some(found.found)));
    assert!(box_view(&b.d.book, &filling, b.d.now).expect("there").parts[0].laid_is_found);
    let view = clutch_view(&b.d.book, &clutch, b.d.now).expect("there");
    // Slugs that go in no box are thrown away, and the sum says so.
    assert_eq!((view.sum.in_book, view.sum.still_in, view.sum.removed), (9, 7, 2));
    assert!(view.sum.agrees());
    assert_eq!(view.warnings, []);
    let tray = box_view(&b.d.book, &filling, b.d.now).expect("there").tray;
    let letters: Vec<(&str, Option<i64>)> = tray.iter().map(|egg| (egg.letter.as_str(), egg.clump)).collect();
    assert_eq!(&letters[..3], [("A", Some(1)), ("B", Some(1)), ("C", None)]);
    assert!(rounds(&b.d.book, b.d.now).is_empty());
}

#[test]
fn a_clutch_pulled_that_nobody_saw_laid_was_found_when_it_was_pulled() {
    let mut b = barn();
    let mut act = ClutchPulled::start(&b.d.book, None, std::slice::from_ref(&b.bel), b.d.now);
    assert_eq!(act.card.laid, Some(trade::when::When::day(b.d.now.date())), "offered, mostly true");
    (act.card.laid, act.card.counts) = (None, Some(Counts { good: 6, dud: 0, slug: 0 }));
    let clutch = b.d.make(Kind::Clutch, &act, ClutchId::new);
    let card = b.d.book.clutch(&clutch).expect("there");
    assert_eq!((card.laid, card.found), (None, Some(trade::when::When::time(b.d.now))));
}

#[test]
fn fill_to_follows_what_leaves_the_box() {
    // A closed box of 1500 g: −20, +20, −10 g, then two 12 g eggs taken out.
    let mut b = barn();
    let filling = set_box(&mut b, 6, 1500);
    let weigh = |b: &mut Barn, mass, added| {
        b.d.later(72);
        let when = trade::when::When::time(b.d.now);
        b.d.act(&WaterChecked { filling: filling.clone(), when, mass: g(mass), added, note: String::new() });
    };
    weigh(&mut b, 1480, Some(g(20)));
    weigh(&mut b, 1490, None);
    assert_eq!(b.d.book.to_add(&filling, g(1490)), Some(trade::water::ToAdd::Add(g(10))));
    let two: Vec<EggId> = b.d.book.eggs_in(&filling).into_iter().take(2).map(|egg| egg.id.clone()).collect();
    b.d.later(1);
    let masses: BTreeMap<EggId, _> = two.iter().map(|egg| (egg.clone(), g(12))).collect();
    let when = trade::when::When::time(b.d.now);
    b.d.act(&EggFate { eggs: two, fate: Fate::Removed, when, why: "mould".to_owned(), masses });
    assert_eq!(b.d.book.fill_to(&filling).map(|f| (f.mass, f.unweighed)), Some((g(1476), 0)));
    let view = box_view(&b.d.book, &filling, b.d.now).expect("there");
    assert_eq!(view.counts.gone, 2);
    assert_eq!(view.water.checks.len(), 2);

    // One egg to another box, weighed: both fill-to masses follow.
    let one = [b.d.book.eggs_in(&filling)[0].id.clone()];
    let other = set_box(&mut b, 2, 1300);
    b.d.later(1);
    let to = Where::Filling(other.clone());
    let things = one.iter().map(EggId::thing).collect();
    let when = trade::when::When::time(b.d.now);
    b.d.act(&Moved { things, to, when, mass: Some(g(13)), note: String::new() });
    let fills = |b: &Barn| [&filling, &other].map(|id| b.d.book.fill_to(id).map(|f| (f.mass, f.unweighed)));
    assert_eq!(fills(&b), [Some((g(1463), 0)), Some((g(1313), 0))]);
    assert_eq!(b.d.book.eggs_in(&other).len(), 3);

    // Taken out in the very minute the box was set: the set-up's weighing came first.
    let newest = set_box(&mut b, 2, 1250);
    let when = trade::when::When::time(b.d.now);
    b.d.act(&TakenOut { filling: newest.clone(), when, mass: g(30), what: "a stone".to_owned() });
    assert_eq!(b.d.book.fill_to(&newest).map(|f| f.mass), Some(g(1220)));
    b.d.act(&BaselineReset { filling: newest.clone(), when, mass: g(1231), note: "new lid".to_owned() });
    assert_eq!(b.d.book.fill_to(&newest).map(|f| f.mass), Some(g(1231)));

    // Another unweighed: the page can say that the figure is off; undone it holds again.
    b.d.later(1);
    let things = vec![b.d.book.eggs_in(&filling)[0].id.thing()];
    let when = trade::when::When::time(b.d.now);
    b.d.act(&Moved { things, to: Where::Filling(other.clone()), when, mass: None, note: String::new() });
    assert_eq!(fills(&b), [Some((g(1463), 1)), Some((g(1313), 1))]);
    b.d.undo_last();
    assert_eq!(fills(&b), [Some((g(1463), 0)), Some((g(1313), 0))]);
}

#[test]
fn candling_carries_on_what_was_not_touched() {
    let mut b = barn();
    let filling = set_box(&mut b, 3, 1400);
    let ids: Vec<EggId> = b.d.book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
    let candle = |b: &mut Barn, changes: &[(usize, Seen)]| {
        b.d.later(200);
        let when = trade::when::When::time(b.d.now);
        let changes = changes.iter().map(|(i, seen)| (ids[*i].clone(), *seen)).collect();
        b.d.act(&BoxCandled { filling: filling.clone(), when, changes, note: String::new() });
    };
    // An egg nobody spoke of at its first look is unsure.
    assert!(b.d.book.never_candled(&filling));
    candle(&mut b, &[(0, Seen::Veins), (1, Seen::Unsure)]);
    assert_eq!(b.d.book.last_seen(&ids[2]).map(|(seen, _)| seen), Some(Seen::Unsure));
    assert!(!b.d.book.never_candled(&filling));
    candle(&mut b, &[(1, Seen::Dead), (2, Seen::Veins)]);
    candle(&mut b, &[]);
    let view = box_view(&b.d.book, &filling, b.d.now).expect("there");
    let changed: Vec<Vec<&str>> =
        view.candlings.iter().map(|c| c.changes.iter().map(|change| change.letter.as_str()).collect()).collect();
    assert_eq!(changed, [vec![], vec!["B", "C"], vec!["A", "B", "C"]]);
    assert_eq!(view.candlings[0].written.as_ref().map(|w| w.by.as_str()), Some("Keeper 1"));
    assert_eq!((view.counts.live, view.counts.dead), (2, 1));
    let clutch = view.parts[0].clutch.clone();
    // Veins in two; the third was unsure, then dead: nobody can tell whether it was fertile.
    let fertility = sum_of(&b.d.book, &clutch).fertility;
    assert_eq!((fertility.fertile, fertility.judged, fertility.unjudged), (2, 2, 1));
}

#[test]
fn a_box_goes_through_its_window() {
    let mut b = barn();
    let filling = set_box(&mut b, 4, 1400);
    let look =
        |b: &Barn| box_view(&b.d.book, &filling, b.d.now).expect("there").parts[0].window.clone().expect("a window");
    assert_eq!(look(&b).stage, Stage::Before);
    b.d.now = look(&b).unlooked.likely.0 + chrono::TimeDelta::hours(12);
    assert_eq!(look(&b).stage, Stage::Open);
    let kinds = |b: &Barn| rounds(&b.d.book, b.d.now).into_iter().map(|due| due.kind).collect::<Vec<_>>();
    // Neither water nor candling is asked for so late.
    assert_eq!(kinds(&b), [DueKind::LookTonight]);
    let ids: Vec<EggId> = b.d.book.eggs_in(&filling).into_iter().map(|egg| egg.id.clone()).collect();
    b.d.act(&EggsPipped { eggs: ids[..2].to_vec(), when: None });
    assert_eq!(look(&b).stage, Stage::Hatching);
    b.d.later(50);
    let due = rounds(&b.d.book, b.d.now);
    assert_eq!(due.iter().map(|due| due.kind).collect::<Vec<_>>(), [DueKind::PippedNotOut]);
    let Fact::PippedNotOut { letters, hours, long } = &due[0].fact else { panic!("{:?}", due[0].fact) };
    assert_eq!((letters.as_slice(), *hours, *long), (&["A".to_owned(), "B".to_owned()][..], 50, true));

    b.d.act(&EggsOut { eggs: ids[..2].to_vec(), when: None, masses: BTreeMap::new() });
    // The two still shut are looked for on their own.
    assert_eq!(kinds(&b), [DueKind::LookTonight]);
    b.d.later(24);
    b.d.act(&EggsOut { eggs: ids[2..].to_vec(), when: None, masses: BTreeMap::new() });
    assert_eq!(kinds(&b), []);
    let view = box_view(&b.d.book, &filling, b.d.now).expect("there");
    assert_eq!((view.counts.hatched, view.counts.still_in), (4, 0));
    b.d.act(&BoxEmptied { filling: filling.clone(), when: trade::when::When::time(b.d.now) });
    assert!(b.d.book.things_at(&b.shelves[0]).is_empty());
}

#[test]
fn a_box_moved_to_a_warmer_shelf_is_early() {
    let mut b = barn();
    let filling = set_box(&mut b, 4, 1400);
    let median = |b: &Barn| {
        box_view(&b.d.book, &filling, b.d.now).expect("there").parts[0].window.clone().expect("one").first.median
    };
    let before = median(&b);
    let mut card = PlaceCard::of(&b.d.book, &b.shelves[1]).expect("there");
    card.set = Some(cc(3000));
    b.d.act(&PlaceEdited { place: b.shelves[1].clone(), card });
    b.d.later(480);
    let when = trade::when::When::time(b.d.now);
    let to = Where::Place(b.shelves[1].clone());
    b.d.act(&Moved { things: vec![filling.thing()], to, when, mass: None, note: String::new() });
    let after = median(&b);
    // Twenty days at 27.8 °C stand; only the rest goes faster: days, not weeks.
    let days = (before - after).num_days();
    assert!((2..15).contains(&days), "{days}");
    assert_eq!(b.d.book.box_stays(&filling).len(), 2);
}

#[test]
fn of_two_moves_in_one_minute_the_later_written_counts() {
    let mut b = barn();
    let filling = set_box(&mut b, 4, 1400);
    // Past the ninth act, where ids no longer sort as they were written.
    for i in 0..12 {
        let shelf = b.shelves[(i + 1) % 3].clone();
        let when = trade::when::When::time(b.d.now);
        let to = Where::Place(shelf.clone());
        b.d.act(&Moved { things: vec![filling.thing()], to: to.clone(), when, mass: None, note: String::new() });
        assert_eq!(b.d.book.whereabouts(&filling.thing()), Some(&to), "move {i}");
    }
    // Sunday's paper typed on Tuesday does not beat Monday.
    b.d.later(48);
    let here = b.d.book.whereabouts(&filling.thing()).cloned();
    let to = Where::Place(b.shelves[2].clone());
    let when = trade::when::When::time(b.d.now - chrono::TimeDelta::hours(60));
    b.d.act(&Moved { things: vec![filling.thing()], to, when, mass: None, note: String::new() });
    assert_eq!(b.d.book.whereabouts(&filling.thing()).cloned(), here);
}

#[test]
fn a_blank_label_begins_a_box_once() {
    let mut b = barn();
    let labels = b.d.all(Kind::Label, &BlankLabelsMade { count: 3 });
    let id = FillingId::new(labels[0].id.as_str());
    let mut act = pulled(&b, 5, 1400);
    act.boxes[0].filling = Some(id.clone());
    assert_eq!(b.d.make(Kind::Filling, &act, FillingId::new), id);
    assert_eq!(b.d.book.label(&labels[0].id.as_str().into()).and_then(|l| l.used.clone()), Some(id.thing()));
    let mut again = pulled(&b, 5, 1400);
    again.boxes[0].filling = Some(id.clone());
    assert_eq!(b.d.draft(&again), Err(Refusal::IdTaken { id: id.to_string() }));
    // The typed code finds the box, and its clutch by its number.
    let hits = search(&b.d.book, &id.as_str().to_ascii_lowercase(), 5);
    assert_eq!(hits.first().map(|hit| (hit.thing.clone(), hit.exact)), Some((id.thing(), true)));
    let kinds: Vec<Kind> = search(&b.d.book, "26-001", 5).iter().map(|hit| hit.thing.kind).collect();
    assert_eq!(kinds, [Kind::Clutch, Kind::Filling]);
    assert_eq!(search(&b.d.book, "moss", 5).first().map(|hit| hit.title.as_str()), Some("Moss"));
    assert!(search(&b.d.book, "  ", 5).is_empty());
}

#[test]
fn two_phones_that_made_one_clutch_twice_are_joined() {
    let mut b = barn();
    let mut other = Device::new(2);
    other.now = b.d.now;
    other.hear(&b.d.lines);
    let here = b.d.make(Kind::Clutch, &EggsFound::under(&b.d.book, &b.bel, b.d.now), ClutchId::new);
    let there = other.make(Kind::Clutch, &EggsFound::under(&other.book, &b.bel, other.now), ClutchId::new);
    b.d.hear(&other.lines);
    assert_eq!(b.d.book.doubled_numbers().len(), 1);
    b.d.act(&ClutchesJoined { clutch: there.clone(), same_as: here.clone() });
    assert_eq!(b.d.book.doubled_numbers().len(), 0);
    for id in [&here, &there] {
        let view = clutch_view(&b.d.book, id, b.d.now).expect("both live on");
        assert_eq!(view.also.len(), 1);
    }
    let back = ClutchesJoined { clutch: here, same_as: there };
    assert_eq!(b.d.draft(&back), Err(Refusal::NothingChanged));
    // One female's one clutch, once on her page and once on Rounds.
    assert_eq!(animal_view(&b.d.book, &b.bel, b.d.now).expect("there").clutches.len(), 1);
    assert_eq!(rounds(&b.d.book, b.d.now).iter().filter(|due| due.kind == DueKind::ToBox).count(), 1);
}

#[test]
fn a_clash_is_shown_and_settled() {
    let mut b = barn();
    let filling = set_box(&mut b, 9, 1400);
    let clutch = b.d.book.clutches()[0].id.clone();
    let mut other = Device::new(2);
    other.now = b.d.now;
    other.hear(&b.d.lines);
    for (d, good) in [(&mut b.d, 8), (&mut other, 10)] {
        d.later(1);
        let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
        card.counts = Some(Counts { good, dud: 0, slug: 0 });
        d.act(&ClutchEdited { clutch: clutch.clone(), card });
    }
    b.d.hear(&other.lines);
    let is_clash = |b: &Barn| rounds(&b.d.book, b.d.now).iter().any(|due| due.kind == DueKind::Clash);
    assert!(is_clash(&b));
    let warned = |b: &Barn| {
        let view = box_view(&b.d.book, &filling, b.d.now).expect("there");
        view.warnings.iter().any(|w| matches!(w, BoxWarning::Clash { things } if things == &[clutch.thing()]))
    };
    assert!(warned(&b));
    let settle = |value: i64| ClashSettled { thing: clutch.thing(), field: "good".to_owned(), value: value.into() };
    assert!(matches!(b.d.draft(&settle(7)), Err(Refusal::Missing { .. })));
    b.d.act(&settle(8));
    assert!(!is_clash(&b) && !warned(&b));
    assert_eq!(b.d.draft(&settle(8)), Err(Refusal::NoClash));
}

#[test]
fn the_daybook_says_what_was_done_to_what() {
    let mut b = barn();
    let filling = set_box(&mut b, 4, 1400);
    b.d.later(30);
    let when = trade::when::When::time(b.d.now);
    b.d.act(&WaterChecked { filling: filling.clone(), when, mass: g(1390), added: Some(g(10)), note: String::new() });
    let line = |b: &Barn, back: usize| {
        let text = &b.d.lines[b.d.lines.len() - 1 - back];
        describe(&b.d.book, &journal::Entry::read(text).expect("own line"))
    };
    let water = line(&b, 0);
    assert_eq!((water.act.as_str(), water.by.as_str()), ("WaterChecked", "Keeper 1"));
    assert_eq!(water.subjects, [(filling.thing(), "26-001".to_owned())]);
    assert_eq!((water.mass, water.added, water.when), (Some(g(1390)), Some(g(10)), Some(when)));
    let pull = line(&b, 1);
    assert_eq!((pull.act.as_str(), pull.eggs), ("ClutchPulled", 4));
    assert!(pull.subjects.iter().all(|(thing, _)| thing.kind != Kind::Egg));
}
