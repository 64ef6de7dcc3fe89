//! From an open shell to the animal that leaves: hatched out, fed, held, placed; every count agrees at the end.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use std::collections::BTreeMap;
use trade::raising::Rules;
use trade::when::When;

struct Barn {
    d: Device,
    filling: FillingId,
    clutch: ClutchId,
    eggs: Vec<EggId>,
    rack: PlaceId,
    tubs: Vec<PlaceId>,
}

/// A clutch of `good` eggs in its box, two months old, and a rack of six tubs.
fn barn(good: u32) -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-04-10T19:00");
    let species = Some("lampropeltis-californiae".to_owned());
    let mut animal = |name: &str, sex| {
        let card = AnimalCard { name: name.to_owned(), species: species.clone(), sex: Some(sex), ..Default::default() };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    let (bel, moss) = (animal("Bel", Sex::Female), animal("Moss", Sex::Male));
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(2780)));
    let place = |d: &mut Device, what, name: &str, within: Option<PlaceId>| {
        let card = PlaceCard { within, ..PlaceCard::new(what, name.to_owned()) };
        d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new)
    };
    let rack = place(&mut d, PlaceWhat::Rack, "Rack C", None);
    let tubs = (1..=6).map(|n| place(&mut d, PlaceWhat::Tub, &format!("C{n}"), Some(rack.clone()))).collect();
    let mut act = ClutchPulled::start(&d.book, None, &[bel], d.now);
    act.card.sires = vec![moss];
    act.card.counts = Some(Counts { good, dud: 0, slug: 0 });
    act.boxes[0].shelf = Some(PlaceId::new(places[1].id.clone()));
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let clutch = d.book.clutches()[0].id.clone();
    let eggs = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
    d.now = at("2026-06-09T20:00");
    Barn { d, filling, clutch, eggs, rack, tubs }
}

impl Barn {
    /// One baby an egg, coded, weighed at 8 g, in a tub each.
    fn babies(&self, eggs: &[usize]) -> Vec<NewBaby> {
        let named: Vec<Vec<EggId>> = eggs.iter().map(|&i| vec![self.eggs[i].clone()]).collect();
        let codes = self.d.book.suggest_codes(&named, self.d.now.date());
        let tubs = self.tubs.iter().cloned().map(Some).chain(std::iter::repeat(None));
        let baby = |((eggs, code), place)| NewBaby { eggs, code, mass: Some(g(8)), place, ..NewBaby::default() };
        named.into_iter().zip(codes).zip(tubs).map(baby).collect()
    }

    fn hatch(&self, babies: Vec<NewBaby>, others: &[(usize, Fate)]) -> HatchedOut {
        let others = others.iter().map(|&(i, fate)| (self.eggs[i].clone(), (fate, String::new())));
        HatchedOut { filling: self.filling.clone(), when: None, babies, others: others.collect() }
    }

    fn young(&self) -> Vec<BabyRow> {
        baby_rows(&self.d.book, self.d.now)
    }

    /// What Rounds says, which is what a book opened anew would say.
    fn kinds(&self) -> Vec<DueKind> {
        let dues = rounds(&self.d.book, self.d.now);
        let anew = Book::restore(&self.d.book.snapshot()).expect("own snapshot");
        assert_eq!(dues, rounds(&anew, self.d.now));
        dues.into_iter().map(|due| due.kind).collect()
    }

    fn seen(&mut self, animal: &AnimalId, what: AnimalEventWhat, grams: Option<i64>) {
        let when = When::time(self.d.now);
        let act = AnimalEventNoted {
            shed: None,
            animal: animal.clone(),
            what,
            when,
            mass: grams.map(g),
            note: String::new(),
        };
        self.d.act(&act);
    }

    fn feed(&mut self) {
        let animals = feeding(&self.d.book, &self.rack, self.d.now).expect("a rack").animals;
        let act = RackFed {
            animals: animals.into_iter().map(|line| line.id).collect(),
            offered: When::time(self.d.now),
            prey: "pinkie".to_owned(),
            size: String::new(),
            how: String::new(),
        };
        self.d.act(&act);
    }
}

#[test]
fn a_box_hatched_out_closes_itself_and_its_sum_agrees() {
    let mut b = barn(6);
    let act = b.hatch(b.babies(&[0, 1, 2, 3]), &[(4, Fate::FullTermDead), (5, Fate::Removed)]);
    assert_eq!(act.doubts(&b.d.book, b.d.now), []);
    let lines = b.d.lines.len();
    b.d.act(&act);
    assert_eq!(b.d.lines.len(), lines + 1, "one act is one entry");
    let sum = sum_of(&b.d.book, &b.clutch);
    assert_eq!((sum.in_book, sum.hatched, sum.full_term_dead, sum.removed, sum.still_in), (6, 4, 1, 1, 0));
    assert!(sum.agrees());
    assert!(b.d.book.filling(&b.filling).is_some_and(|filling| filling.to.is_some()), "the box closed itself");
    let young = b.young();
    let codes: Vec<&str> = young.iter().map(|row| row.name.as_str()).collect();
    assert_eq!(codes, ["26-001-A", "26-001-B", "26-001-C", "26-001-D"]);
    assert!(young.iter().all(|row| row.mass == Some(g(8)) && row.place.is_some() && row.state == BabyState::FirstShed));
    let first = b.d.book.animal(&young[0].id).expect("a baby");
    assert_eq!((first.sex, first.came), (Some(Sex::Unknown), Some(Came::Egg)));
    assert_eq!(first.dam.as_ref().map(|dam| b.d.book.animal_name(dam)).as_deref(), Some("Bel"));
    // Undone as one: no baby, no fate, the box open.
    b.d.undo_last();
    assert_eq!((b.young().len(), sum_of(&b.d.book, &b.clutch).still_in), (0, 6));
    assert!(b.d.book.filling(&b.filling).is_some_and(|filling| filling.to.is_none()));
}

#[test]
fn what_does_not_add_up_is_asked_about_or_refused() {
    let mut b = barn(4);
    let all: Vec<EggId> = b.eggs.clone();
    let one_of = |codes: &[&str]| -> Vec<NewBaby> {
        let baby = |code: &&str| NewBaby { eggs: all.clone(), code: (*code).to_owned(), ..NewBaby::default() };
        codes.iter().map(baby).collect()
    };
    let doubts = |b: &Barn, babies: Vec<NewBaby>| b.hatch(babies, &[]).doubts(&b.d.book, b.d.now);
    assert_eq!(doubts(&b, one_of(&["1", "2", "3"])), [Doubt::BabiesOff { babies: 3, eggs: 4 }]);
    assert_eq!(doubts(&b, one_of(&["1", "2", "3", "4"])), []);
    // The third of three weighs ten times the others: a slipped digit.
    let mut babies = b.babies(&[0, 1, 2]);
    babies[2].mass = Some(g(80));
    assert_eq!(doubts(&b, babies), [Doubt::BabyFar { mass: g(80), others: g(8) }]);
    // Of two the heavier is told.
    let mut babies = b.babies(&[0, 1]);
    babies[1].mass = Some(g(80));
    assert_eq!(doubts(&b, babies), [Doubt::BabyFar { mass: g(80), others: g(8) }]);
    let mut babies = b.babies(&[0, 1]);
    babies[1].place = babies[0].place.clone();
    b.d.act(&b.hatch(vec![babies[0].clone()], &[]));
    let occupied = Doubt::Occupied { name: "Rack C · C1".to_owned() };
    assert_eq!(doubts(&b, vec![babies[1].clone()]), std::slice::from_ref(&occupied));
    // One alone is told beside its sibling that is out already.
    babies[1].mass = Some(g(80));
    assert_eq!(doubts(&b, vec![babies[1].clone()]), [Doubt::BabyFar { mass: g(80), others: g(8) }, occupied]);

    let refused = |b: &mut Barn, act: HatchedOut| b.d.draft(&act).expect_err("refused");
    let twin = |code: &str| NewBaby { code: code.to_owned(), ..b.babies(&[1])[0].clone() };
    let three: Vec<NewBaby> = ["x", "y", "z"].map(twin).into();
    let act = b.hatch(three.clone(), &[]);
    assert_eq!(refused(&mut b, act), Refusal::TooManyOfOne { letter: "B".to_owned() });
    let act = b.hatch(vec![three[0].clone(), three[0].clone()], &[]);
    assert_eq!(refused(&mut b, act), Refusal::Twice { what: "x".to_owned() });
    let act = b.hatch(b.babies(&[1]), &[(1, Fate::Died)]);
    assert_eq!(refused(&mut b, act), Refusal::EggGone { letter: "B".to_owned() });
    let act = b.hatch(Vec::new(), &[]);
    assert_eq!(refused(&mut b, act), Refusal::NoEggs);
    let act = HatchedOut { when: Some(when("2026-04-01")), ..b.hatch(b.babies(&[1]), &[]) };
    assert!(refused(&mut b, act).to_string().contains("cannot come before"));
}

#[test]
fn twins_the_escaped_and_the_not_told_apart_have_their_place() {
    let mut b = barn(5);
    let mut babies = b.babies(&[0, 0, 1]);
    assert_eq!(babies.iter().map(|baby| baby.code.as_str()).collect::<Vec<_>>(), ["26-001-A", "26-001-A2", "26-001-B"]);
    babies[2].went = Some(Went::Escaped);
    b.d.act(&b.hatch(babies, &[]));
    assert_eq!(b.d.book.young_of(&b.eggs[0]).count(), 2);
    assert_eq!(b.d.book.animals_coded("26-001-B").next().and_then(|a| a.went), Some(Went::Escaped));
    assert_eq!(b.d.book.eggs_in(&b.filling).len(), 3, "the box stays open");
    let left: Vec<EggId> = b.eggs[2..].to_vec();
    let codes = b.d.book.suggest_codes(&[left.clone(), left.clone(), left.clone()], b.d.now.date());
    assert_eq!(codes, ["26-001-1", "26-001-2", "26-001-3"]);
    let baby = |code: String| NewBaby { eggs: left.clone(), code, mass: Some(g(7)), ..NewBaby::default() };
    b.d.act(&b.hatch(codes.into_iter().map(baby).collect(), &[]));
    let one = b.d.book.animals_coded("26-001-2").next().expect("there");
    assert_eq!((one.came, one.from_eggs.len(), one.dam.is_some()), (Some(Came::OneOf), 3, true));
    assert_eq!(b.d.book.egg(&b.eggs[2]).and_then(|egg| egg.fate_mass), Some(g(7)), "an even share");
    assert!(b.d.book.filling(&b.filling).is_some_and(|filling| filling.to.is_some()));
}

#[test]
fn babies_of_eggs_already_seen_out_can_be_entered_later() {
    let mut b = barn(2);
    let out = EggsOut { eggs: b.eggs.clone(), when: None, masses: BTreeMap::new() };
    b.d.act(&out);
    b.d.act(&BoxEmptied { filling: b.filling.clone(), when: When::time(b.d.now) });
    b.d.later(30);
    b.d.act(&b.hatch(b.babies(&[0, 1]), &[]));
    assert_eq!(b.young().len(), 2);
    assert_eq!(sum_of(&b.d.book, &b.clutch).hatched, 2);
    let again = b.hatch(b.babies(&[0]), &[]);
    assert_eq!(again.doubts(&b.d.book, b.d.now)[0], Doubt::Twin { letter: "A".to_owned() });
}

#[test]
fn codes_go_on_in_the_barns_own_style() {
    for (first, expected) in [
        ("26-001-A", ["26-001-B", "26-001-C"]),
        ("26-001/A", ["26-001/B", "26-001/C"]),
        ("26-001.1", ["26-001.2", "26-001.3"]),
        ("H112", ["H113", "H114"]),
        ("25-098", ["26-001", "26-002"]),
        ("odd", ["26-001-B", "26-001-C"]),
    ] {
        let mut b = barn(3);
        let baby = NewBaby { code: first.to_owned(), ..b.babies(&[0])[0].clone() };
        b.d.act(&b.hatch(vec![baby], &[]));
        let next: Vec<String> = b.babies(&[1, 2]).into_iter().map(|baby| baby.code).collect();
        assert_eq!(next, expected, "after {first}");
    }
}

#[test]
fn a_rack_is_fed_at_once_and_only_refusers_are_marked() {
    let mut b = barn(4);
    b.d.act(&b.hatch(b.babies(&[0, 1, 2, 3]), &[]));
    let ids: Vec<AnimalId> = b.young().into_iter().map(|row| row.id).collect();
    // Nothing is offered before the first shed, which is late only three weeks on.
    assert_eq!(b.kinds(), []);
    b.d.later(24 * 22);
    assert_eq!(b.kinds(), [DueKind::FirstShed; 4]);
    for id in &ids {
        b.seen(id, AnimalEventWhat::Shed, None);
    }
    assert_eq!(b.kinds(), [DueKind::FeedRack]);
    for round in 0..3 {
        let lines = b.d.lines.len();
        b.feed();
        assert_eq!(b.d.lines.len(), lines + 1);
        b.d.later(20);
        assert_eq!(b.kinds(), [DueKind::Refusers], "round {round}");
        let line = feeding(&b.d.book, &b.rack, b.d.now).expect("a rack").animals.remove(0);
        let (meal, outcome) = line.meal.expect("fed yesterday");
        assert_eq!(outcome, Some(MealOutcome::Eaten));
        b.d.act(&MealOutcomeSeen { meal, outcome: MealOutcome::Refused, when: When::time(b.d.now) });
        assert_eq!(b.kinds(), []);
        let line = feeding(&b.d.book, &b.rack, b.d.now).expect("a rack").animals.remove(0);
        assert_eq!((line.refused_in_a_row, line.meal.and_then(|meal| meal.1)), (round + 1, Some(MealOutcome::Refused)));
        b.d.later(24 * 5 - 20);
        let expected: &[DueKind] = if round < 2 { &[DueKind::FeedRack] } else { &[DueKind::FeedRack, DueKind::Ready] };
        assert_eq!(b.kinds(), expected, "round {round}");
    }
    let states: Vec<BabyState> = b.young().iter().map(|row| row.state).collect();
    assert_eq!(states, [BabyState::FirstMeal, BabyState::Ready, BabyState::Ready, BabyState::Ready]);
    // Three refusals of a hatchling this young are no alarm; nothing taken after two months is worth a look.
    b.d.later(24 * 24);
    assert!(b.kinds().contains(&DueKind::NotEating));
    // Its own rule asks for a fourth meal: nobody is ready.
    b.d.act(&RulesSet { rules: Rules { meals: 4, ..Rules::default() } });
    assert!(b.young().iter().all(|row| !row.ready));
    for (meals, ready) in [(2, true), (4, true), (5, false)] {
        b.d.act(&RulesSet { rules: Rules { meals, ..Rules::default() } });
        assert_eq!(b.kinds().contains(&DueKind::Ready), ready, "a rule of {meals} meals");
        if meals == 2 {
            b.feed();
            b.d.later(48);
            b.kinds();
        }
    }
}

#[test]
fn an_assisted_meal_says_nothing_of_an_appetite() {
    let mut b = barn(1);
    b.d.act(&b.hatch(b.babies(&[0]), &[]));
    let id = b.young()[0].id.clone();
    b.seen(&id, AnimalEventWhat::Shed, Some(9));
    for how in ["", "", "assisted, a tail"] {
        b.d.later(24 * 5);
        let act = MealOffered {
            animals: vec![id.clone()],
            offered: When::time(b.d.now),
            outcome: Some(MealOutcome::Eaten),
            prey: "pinkie".to_owned(),
            size: String::new(),
            how: how.to_owned(),
        };
        b.d.act(&act);
    }
    let row = b.young().remove(0);
    assert_eq!((row.taken, row.taken_in_a_row, row.ready), (3, 0, false));
    // Prey goes by the last weight: 10 to 15 % of 9 g.
    assert_eq!(row.prey, Some(((trade::units::Mass(900), trade::units::Mass(1350)), Some("pinkie"))));
    b.seen(&id, AnimalEventWhat::Weight, Some(7));
    assert_eq!(b.young()[0].concern, Some(Concern::Lost { pct: 22 }));
    // What was put into its mouth last time is not so this time, unless said.
    b.d.later(24 * 5);
    b.feed();
    assert_eq!(b.d.book.meals(&id).next().and_then(|meal| meal.how.clone()), None);
}

#[test]
fn wished_for_held_and_placed() {
    let mut b = barn(3);
    b.d.act(&b.hatch(b.babies(&[0, 1, 2]), &[]));
    let ids: Vec<AnimalId> = b.young().into_iter().map(|row| row.id).collect();
    let contact = b.d.make(Kind::Contact, &ContactKept::default(), ContactId::new);
    assert_eq!(b.d.book.contact_mark(&contact), "P-001");
    let wish = WishNoted {
        contact: Some(contact.clone()),
        species: Some("lampropeltis-californiae".to_owned()),
        count: 1,
        ..WishNoted::default()
    };
    let wish = b.d.make(Kind::Wish, &wish, WishId::new);
    let rows = wish_rows(&b.d.book, &b.young());
    assert_eq!((rows.len(), rows[0].fit.len(), rows[0].held), (1, 3, 0));
    let hold = Held {
        animals: vec![ids[0].clone()],
        contact: Some(contact.clone()),
        wish: Some(wish.clone()),
        until: Some(day("2026-06-11")),
        price: "80 EUR".to_owned(),
        deposit: None,
        note: String::new(),
    };
    b.d.act(&hold);
    b.d.act(&Held { animals: vec![ids[1].clone()], ..Held::default() });
    let states: Vec<BabyState> = b.young().iter().map(|row| row.state).collect();
    assert_eq!(states, [BabyState::Held, BabyState::KeptBack, BabyState::FirstShed]);
    assert_eq!(b.d.draft(&hold).expect_err("held"), Refusal::HeldAlready { name: "26-001-A".to_owned() });
    assert_eq!(b.kinds(), []);
    b.d.later(48);
    assert_eq!(b.kinds(), [DueKind::Hold]);
    let placed = AnimalsPlaced {
        animals: vec![ids[0].clone()],
        how: Went::Sold,
        to: Some(contact.clone()),
        when: When::day(b.d.now.date()),
        price: "80 EUR".to_owned(),
        note: String::new(),
    };
    assert_eq!(placed.doubts(&b.d.book, b.d.now), [Doubt::NotReady { names: "26-001-A".to_owned() }]);
    b.d.act(&placed);
    assert_eq!(b.kinds(), []);
    assert!(b.d.book.wish(&wish).is_some_and(|wish| wish.closed.is_some()), "the wish is fulfilled");
    assert_eq!(b.d.book.went_to(&contact).count(), 1);
    assert_eq!(b.d.draft(&placed).expect_err("gone"), Refusal::NotHere { name: "26-001-A".to_owned() });
    let papers = papers(&b.d.book, &ids[0], b.d.now).expect("there");
    assert_eq!((papers.clutch.as_deref(), papers.price.as_deref()), (Some("26-001"), Some("80 EUR")));
    assert_eq!(papers.dam.map(|dam| dam.name).as_deref(), Some("Bel"));
    assert_eq!(papers.weights.len(), 1);
    // Undone, it is here and held again, and the wish is open.
    b.d.undo_last();
    assert_eq!(b.young()[0].state, BabyState::Held);
    assert_eq!(b.d.book.open_wishes().len(), 1);
}

#[test]
fn who_refused_is_asked_again_on_the_day_it_was_put_off_to() {
    let mut b = barn(4);
    b.d.act(&b.hatch(b.babies(&[0, 1, 2, 3]), &[]));
    let ids: Vec<AnimalId> = b.young().into_iter().map(|row| row.id).collect();
    b.d.later(24 * 22);
    for id in &ids {
        b.seen(id, AnimalEventWhat::Shed, None);
    }
    b.feed();
    // 44 hours after, and 68: without being put off it stands for 60.
    b.d.later(44);
    let due = rounds(&b.d.book, b.d.now);
    assert_eq!(b.kinds(), [DueKind::Refusers]);
    b.d.act(&Snoozed { row: due[0].row(), until: b.d.now.date().succ_opt() });
    assert_eq!(b.kinds(), []);
    b.d.later(24);
    assert_eq!(b.kinds(), [DueKind::Refusers], "it was put off to today");
    b.d.later(24);
    assert_eq!(b.kinds(), []);
}

#[test]
fn a_row_put_off_comes_back_and_the_week_ahead_is_told() {
    let mut b = barn(4);
    let kinds = |rows: &[Due]| rows.iter().map(|due| due.kind).collect::<Vec<_>>();
    // Two months after laying, the window is open or soon will be; then somebody looks.
    b.d.now = at("2026-06-12T21:00");
    let due = rounds(&b.d.book, b.d.now);
    assert_eq!(kinds(&due), [DueKind::LookTonight]);
    b.d.act(&Snoozed { row: due[0].row(), until: Some(day("2026-06-13")) });
    assert_eq!(b.kinds(), []);
    assert_eq!(walk(&b.d.book, b.d.now).1.len(), 1);
    b.d.later(24);
    assert_eq!(b.kinds(), [DueKind::LookTonight]);
    let far = Snoozed { row: due[0].row(), until: Some(day("2027-01-01")) };
    assert!(b.d.draft(&far).is_err());
    // What may cost a life is not put off.
    b.d.act(&EggsPipped { eggs: b.eggs[..1].to_vec(), when: None });
    let pipped = rounds(&b.d.book, b.d.now);
    let cannot = Snoozed { row: pipped[0].row(), until: Some(day("2026-06-14")) };
    assert_eq!(b.d.draft(&cannot), Err(Refusal::CannotWait));
    // Nor a difference between devices, of whatever record: an id of its own may be too long for another one made of it.
    let row = SnoozeId::new(format!("clash.details_erased:{}", "0".repeat(64)));
    assert_eq!(b.d.draft(&Snoozed { row, until: Some(day("2026-06-14")) }), Err(Refusal::CannotWait));
    assert_eq!(b.kinds(), [DueKind::PippedNotOut]);

    b.d.act(&b.hatch(b.babies(&[0, 1, 2, 3]), &[]));
    for id in b.young().into_iter().map(|row| row.id).collect::<Vec<_>>() {
        b.seen(&id, AnimalEventWhat::Shed, None);
    }
    b.feed();
    let coming = ahead(&b.d.book, b.d.now, 7);
    assert_eq!(coming.len(), 8);
    let days: Vec<(i64, DueKind)> = coming
        .iter()
        .flat_map(|coming| coming.dues.iter().map(|due| ((coming.day - b.d.now.date()).num_days(), due.kind)))
        .collect();
    assert_eq!(days, [(1, DueKind::Refusers), (5, DueKind::FeedRack)]);
}

#[test]
fn the_calendar_keeps_its_keys() {
    let mut b = barn(4);
    b.d.now = at("2026-05-01T08:00");
    let rows = calendar_rows(&b.d.book, b.d.now);
    let hatch: Vec<&CalendarRow> = rows.iter().filter(|row| row.what == CalendarWhat::Hatch).collect();
    assert_eq!(hatch.len(), 1);
    assert_eq!(hatch[0].key, format!("hatch.filling:{}", b.filling));
    assert!(hatch[0].from < hatch[0].to && hatch[0].from > b.d.now.date());
    b.d.later(24);
    let again = calendar_rows(&b.d.book, b.d.now);
    assert!(again.iter().any(|row| row.key == hatch[0].key));
    let mut keys: Vec<&String> = again.iter().map(|row| &row.key).collect();
    keys.sort();
    keys.dedup();
    assert_eq!(keys.len(), again.len(), "each thing once");
}

#[test]
fn found_by_any_word_of_a_name() {
    let mut b = barn(3);
    b.d.act(&b.hatch(b.babies(&[0, 1, 2]), &[]));
    let found =
        |b: &Barn, text: &str| -> Vec<String> { search(&b.d.book, text, 9).into_iter().map(|hit| hit.title).collect() };
    assert_eq!(found(&b, "26-001-b"), ["26-001-B"]);
    // The clutch by its number whole, its young behind it; the box has been emptied.
    assert_eq!(found(&b, "26-001")[0], "26-001");
    assert_eq!(found(&b, "001-c"), ["26-001-C"]);
    assert_eq!(found(&b, "incub"), ["Incubator A"]);
    assert_eq!(found(&b, "cubator"), [""; 0]);
    // Under another code it is found by that, and no longer by the old one.
    let id = b.young()[1].id.clone();
    let card = AnimalCard { code: "K-7".to_owned(), ..AnimalCard::of(&b.d.book, &id).expect("there") };
    b.d.act(&AnimalEdited { animal: id, card });
    assert_eq!((found(&b, "26-001-b"), found(&b, "k-7")), (Vec::new(), vec!["K-7".to_owned()]));
}

#[test]
fn the_next_tub_is_the_first_free_one_behind_the_last_baby() {
    let mut b = barn(6);
    assert_eq!(next_tub(&b.d.book), None, "no baby is in a tub yet");
    let mut babies = b.babies(&[0, 1]);
    babies[0].place = Some(b.tubs[3].clone());
    babies[1].place = Some(b.tubs[4].clone());
    b.d.act(&b.hatch(babies, &[]));
    assert_eq!(next_tub(&b.d.book), Some(b.tubs[5].clone()));
    // Behind it nothing is free: the first one of the rack.
    let mut babies = b.babies(&[2]);
    babies[0].place = Some(b.tubs[5].clone());
    b.d.act(&b.hatch(babies, &[]));
    assert_eq!(next_tub(&b.d.book), Some(b.tubs[0].clone()));
    let three = b.babies(&[3, 4, 5]);
    b.d.act(&b.hatch(three, &[]));
    assert_eq!(next_tub(&b.d.book), None, "the rack is full");
}
