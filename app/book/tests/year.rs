//! The grown animals' year: paired, gravid, laid, measured, swapped, merged.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use chrono::NaiveDate;
use common::*;
use trade::again::{Rule, Wants};
use trade::lay::Sign;
use trade::measures::Fertility;
use trade::when::When;

const KING: &str = "lampropeltis-californiae";

fn animal(d: &mut Device, name: &str, sex: Sex) -> AnimalId {
    let card = AnimalCard {
        code: name.to_ascii_uppercase(),
        name: name.to_owned(),
        species: Some(KING.to_owned()),
        sex: Some(sex),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn note(d: &mut Device, animal: &AnimalId, what: AnimalEventWhat, when: &str, grams: Option<i64>) {
    let (animal, when, mass) = (animal.clone(), common::when(when), grams.map(g));
    d.act(&AnimalEventNoted { shed: None, animal, what, when, mass, note: String::new() });
}

fn pair(d: &mut Device, dam: &AnimalId, sires: &[&AnimalId], when: &str) -> PairingId {
    let sires = sires.iter().map(|id| (*id).clone()).collect();
    let act = Paired { dams: vec![dam.clone()], sires, when: common::when(when), note: String::new() };
    d.make(Kind::Pairing, &act, PairingId::new)
}

fn laid(d: &mut Device, dam: &AnimalId, day: &str, good: u32) -> ClutchId {
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.laid = Some(when(day));
    act.card.counts = Some(Counts { good, dud: 0, slug: 0 });
    act.boxes.clear();
    d.make(Kind::Clutch, &act, ClutchId::new)
}

fn device(now: &str) -> Device {
    let mut d = Device::new(1);
    d.now = at(now);
    d
}

#[test]
fn from_the_pairing_to_the_eggs() {
    let mut d = device("2026-05-30T20:00");
    let (bel, moss, ash) =
        (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male), animal(&mut d, "Ash", Sex::Male));
    let first = pair(&mut d, &bel, &[&moss, &ash], "2026-04-10");
    let row = |d: &Device| pairing_rows(&d.book, d.now).remove(0);
    assert_eq!((row(&d).ended, row(&d).locks, row(&d).next), (None, 0, vec![]));
    d.act(&LockNoted { pairing: first.clone(), when: when("2026-04-12T21:00") });
    d.act(&LockNoted { pairing: first.clone(), when: when("2026-04-14") });
    d.act(&PairingEnded { pairing: first.clone(), when: when("2026-04-20") });
    let sign = |d: &Device| match row(d).next.as_slice() {
        [(_, NextStep::EggsDue { sign, own: 0, .. })] => *sign,
        other => panic!("{other:?}"),
    };
    assert_eq!((row(&d).locks, row(&d).last_lock), (2, Some(when("2026-04-14"))));
    assert_eq!(sign(&d), Sign::Lock);
    note(&mut d, &bel, AnimalEventWhat::Ovulation, "2026-05-08", None);
    assert_eq!(sign(&d), Sign::Ovulation);
    note(&mut d, &bel, AnimalEventWhat::PreLayShed, "2026-05-21", None);
    assert_eq!(sign(&d), Sign::PreLayShed);

    // Common practice, 7 to 14 days: likely from the 29th to the 3rd, seen on the 30th.
    let view = pairing_view(&d.book, &first, d.now).expect("there");
    let hers = view.dams.first().expect("a dam");
    assert!(matches!(hers.next, Some(NextStep::EggsDue { open: true, .. })), "{:?}", hers.next);
    assert_eq!(
        hers.seen,
        [(AnimalEventWhat::PreLayShed, when("2026-05-21")), (AnimalEventWhat::Ovulation, when("2026-05-08"))]
    );
    let due = |d: &Device| -> Vec<(DueKind, String)> {
        rounds(&d.book, d.now).into_iter().map(|due| (due.kind, due.name)).collect()
    };
    assert_eq!(due(&d), [(DueKind::LayBox, "Bel".to_owned())]);
    note(&mut d, &bel, AnimalEventWhat::LayBox, "2026-05-30", None);
    assert_eq!(due(&d), [(DueKind::LayDue, "Bel".to_owned())]);
    d.now = at("2026-06-06T20:00");
    assert_eq!(due(&d), [(DueKind::Female, "Bel".to_owned())], "overdue");
    assert!(matches!(row(&d).next.as_slice(), [(_, NextStep::Overdue { sign: Sign::PreLayShed, .. })]));

    let clutch = laid(&mut d, &bel, "2026-06-06", 8);
    assert_eq!(row(&d).clutches, [(clutch.clone(), "26-001".to_owned(), Some(when("2026-06-06")))]);
    assert_eq!(row(&d).next, vec![]);
    let animal = animal_view(&d.book, &bel, d.now).expect("there");
    use SeasonStep::*;
    let season = animal.breeding.expect("a female").season;
    let steps: Vec<SeasonStep> = season.seen.into_iter().map(|seen| seen.step).collect();
    assert_eq!(steps, [Introduced, Lock, Separated, Ovulation, PreLayShed, LayBox, Laid], "until the next begins");
    assert_eq!(season.ahead, []);
    assert_eq!((animal.past.clutches, animal.past.shelled), (1, 8));

    // Her interval of 16 days is the barn's first; the next shed's window leans towards it.
    let wren = self::animal(&mut d, "Wren", Sex::Female);
    note(&mut d, &wren, AnimalEventWhat::PreLayShed, "2026-06-05", None);
    let outlook = d.book.outlook(&wren, d.now).expect("gravid");
    assert_eq!((outlook.sign, outlook.window.own), (Sign::PreLayShed, 1));
    let middle = (outlook.window.unlooked.median - at("2026-06-05T12:00")).num_hours();
    assert!((10 * 24..16 * 24).contains(&middle), "{middle} h");
}

#[test]
fn a_pairing_is_corrected_and_its_dates_stay_in_order() {
    let mut d = device("2026-05-30T20:00");
    let (bel, moss) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male));
    let pairing = pair(&mut d, &bel, &[&moss], "2026-04-10");
    d.act(&LockNoted { pairing: pairing.clone(), when: when("2026-04-14") });
    let card = |d: &Device| PairingCard::of(&d.book, &pairing).expect("there");
    let edit = |card: PairingCard| PairingEdited { pairing: pairing.clone(), card };
    let refused = |d: &mut Device, card: PairingCard| d.draft(&edit(card)).expect_err("refused").to_string();
    let base = card(&d);
    for (change, sentence) in [
        (PairingCard { when: Some(when("2026-04-20")), ..base.clone() }, "A lock cannot come before the introduction"),
        (PairingCard { ended: Some(when("2026-04-12")), ..base.clone() }, "The separation cannot come before a lock"),
        (PairingCard { sires: vec![bel.clone()], ..base.clone() }, "Bel is entered as dam and as sire"),
        (PairingCard { dams: vec![], ..base.clone() }, "Enter the female first"),
        (base.clone(), "Nothing changed"),
    ] {
        let told = refused(&mut d, change);
        assert!(told.contains(sentence), "{told}");
    }
    d.act(&edit(PairingCard { ended: Some(when("2026-04-16")), note: "calm".to_owned(), ..base }));
    assert_eq!(card(&d).note, "calm");
    let late =
        d.draft(&LockNoted { pairing: pairing.clone(), when: when("2026-04-18") }).expect_err("refused").to_string();
    assert!(late.contains("separation cannot come before the lock"), "{late}");
    d.act(&edit(PairingCard { ended: None, ..card(&d) }));
    assert_eq!(d.book.pairing(&pairing).and_then(|p| p.ended), None, "together again");
    let again = Paired { dams: vec![bel], sires: vec![moss], when: when("2026-05-30"), note: String::new() };
    let told: Vec<String> = again.doubts(&d.book, d.now).iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].contains("with him already"), "{told:?}");
    let lock = pairing_view(&d.book, &pairing, d.now).expect("there").locks[0].id.clone();
    d.act(&Redated { thing: lock.thing(), when: when("2026-04-12T22:10") });
    assert_eq!(d.book.lock(&lock).and_then(|lock| lock.when), Some(when("2026-04-12T22:10")));
    d.act(&Withdrawn { thing: lock.thing() });
    assert_eq!(pairing_view(&d.book, &pairing, d.now).expect("there").locks, vec![]);
}

#[test]
fn many_at_once_is_one_act() {
    let mut d = device("2026-05-30T20:00");
    let all: Vec<AnimalId> =
        ["Bel", "Moss", "Ash"].into_iter().map(|name| animal(&mut d, name, Sex::Unknown)).collect();
    let now = When::time(d.now);
    let before = d.lines.len();
    d.act(&AnimalsWeighed { weights: vec![(all[0].clone(), g(800)), (all[1].clone(), g(640))], when: now });
    d.act(&AnimalsSeen {
        shed: None,
        animals: all.clone(),
        what: AnimalEventWhat::Shed,
        when: when("2026-05-29"),
        note: String::new(),
    });
    assert_eq!(d.lines.len() - before, 2);
    let view = |d: &Device, id: &AnimalId| animal_view(&d.book, id, d.now).expect("there");
    assert_eq!(view(&d, &all[1]).weight.map(|w| w.0), Some(g(640)));
    assert_eq!(view(&d, &all[2]).sheds.first().and_then(|shed| shed.when), Some(when("2026-05-29")));
    let far = AnimalsWeighed { weights: vec![(all[0].clone(), g(810)), (all[1].clone(), g(64))], when: now };
    let told: Vec<String> = far.doubts(&d.book, d.now).iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].starts_with("Moss at 64 g"), "{told:?}");
    let none = AnimalsWeighed { weights: vec![], when: now };
    assert_eq!(d.draft(&none), Err(Refusal::Missing { what: "the animal" }));
    let twice = AnimalsSeen {
        shed: None,
        animals: vec![all[0].clone(), all[0].clone()],
        what: AnimalEventWhat::Shed,
        when: now,
        note: String::new(),
    };
    assert_eq!(d.draft(&twice), Err(Refusal::Twice { what: "Bel".to_owned() }));
    let event = d.book.animal_events(&all[0]).next().expect("noted").id.clone();
    let edited = AnimalEventEdited::of(&d.book, &event, now).expect("there");
    d.act(&AnimalEventEdited { when: when("2026-05-28"), note: "in one piece".to_owned(), ..edited });
    let event = d.book.animal_event(&event).expect("there");
    assert_eq!((event.when, event.note.as_deref()), (Some(when("2026-05-28")), Some("in one piece")));
}

#[test]
fn a_meal_is_corrected_with_its_outcome() {
    let mut d = device("2026-05-30T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female);
    let offered = when("2026-05-29T19:00");
    let outcome = Some(MealOutcome::Refused);
    let act = MealOffered {
        animals: vec![bel.clone()],
        offered,
        outcome,
        prey: "mouse".into(),
        size: "".into(),
        how: "".into(),
    };
    d.act(&act);
    let meal = d.book.meals(&bel).next().expect("offered").id.clone();
    let edit = MealEdited::of(&d.book, &meal, offered).expect("there");
    d.act(&MealEdited { offered: when("2026-05-27T19:00"), outcome: Some(MealOutcome::Eaten), ..edit.clone() });
    let stands = d.book.meal(&meal).expect("there");
    assert_eq!((stands.offered, stands.outcome_when), (Some(when("2026-05-27T19:00")), Some(when("2026-05-27T19:00"))));
    let early = MealEdited { outcome_when: Some(when("2026-05-01")), ..edit };
    assert!(d.draft(&early).expect_err("refused").to_string().contains("outcome cannot come before the offer"));
}

/// Bel and Wren sat in each other's tubs from the 20th on.
#[test]
fn a_swap_found_late_is_put_right_from_its_day() {
    for back in [false, true] {
        let mut d = device("2026-05-01T08:00");
        let rack = d.all(Kind::Place, &RackAdded::with_tubs("Rack A", 5, "A"));
        assert_eq!(rack.len(), 6);
        let tub = |n: usize| Where::Place(PlaceId::new(rack[n].id.as_str()));
        let (bel, wren) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Wren", Sex::Female));
        let put = |d: &mut Device, animal: &AnimalId, to: Where, when: &str| {
            let things = vec![animal.thing()];
            d.act(&Moved { things, to, when: common::when(when), mass: None, note: String::new() });
        };
        d.now = at("2026-05-30T20:00");
        put(&mut d, &bel, tub(1), "2026-05-02");
        put(&mut d, &wren, tub(2), "2026-05-02");
        note(&mut d, &bel, AnimalEventWhat::Weight, "2026-05-15", Some(900));
        note(&mut d, &bel, AnimalEventWhat::Weight, "2026-05-25", Some(610));
        note(&mut d, &wren, AnimalEventWhat::Shed, "2026-05-22", None);
        put(&mut d, &wren, tub(3), "2026-05-24");
        d.act(&Unswapped { one: bel.clone(), other: wren.clone(), from: when("2026-05-20"), back });
        let weights = |id: &AnimalId| d.book.animal_events(id).filter_map(|e| e.mass).collect::<Vec<_>>();
        assert_eq!((weights(&bel), weights(&wren)), (vec![g(900)], vec![g(610)]));
        assert_eq!(d.book.animal_events(&bel).filter_map(|e| e.what).next(), Some(AnimalEventWhat::Shed));
        let was = |id: &AnimalId, when: &str| d.book.place_at(&id.thing(), at(when));
        assert_eq!((was(&bel, "2026-05-19T12:00"), was(&wren, "2026-05-19T12:00")), (Some(tub(1)), Some(tub(2))));
        assert_eq!((was(&bel, "2026-05-21T12:00"), was(&wren, "2026-05-21T12:00")), (Some(tub(2)), Some(tub(1))));
        assert_eq!((was(&bel, "2026-05-26T12:00"), was(&wren, "2026-05-26T12:00")), (Some(tub(3)), Some(tub(1))));
        let now = |id: &AnimalId| d.book.whereabouts(&id.thing()).cloned();
        let expected = if back { (tub(1), tub(3)) } else { (tub(3), tub(1)) };
        assert_eq!((now(&bel), now(&wren)), (Some(expected.0), Some(expected.1)), "back: {back}");
        d.undo_last();
        assert_eq!(d.book.animal_events(&bel).filter_map(|e| e.mass).count(), 2, "undone whole");
    }
}

#[test]
fn what_is_where_and_what_is_free() {
    let mut d = device("2026-05-30T20:00");
    let rack = d.all(Kind::Place, &RackAdded::with_tubs("Rack A", 3, "A"));
    d.all(Kind::Place, &IncubatorAdded::with_shelves("Cabinet", 2, "Shelf", cc(2780)));
    let bel = animal(&mut d, "Bel", Sex::Female);
    let to = Where::Place(PlaceId::new(rack[2].id.as_str()));
    d.act(&Moved { things: vec![bel.thing()], to, when: When::time(d.now), mass: None, note: String::new() });
    let found = bays(&d.book);
    let said: Vec<(String, usize, usize)> =
        found.iter().map(|bay| (bay.path.join(" · "), bay.spots.len(), bay.free())).collect();
    assert_eq!(said, [("Rack A".to_owned(), 3, 2), ("Cabinet".to_owned(), 2, 2)]);
    assert_eq!(found[0].spots[1].held, [(bel.thing(), "Bel".to_owned())]);
    let check = |d: &mut Device, act: RackAdded, sentence: &str| {
        let told = d.draft(&act).expect_err("refused").to_string();
        assert!(told.contains(sentence), "{told}");
    };
    check(&mut d, RackAdded::with_tubs("Rack B", 0, "B"), "at least one tub");
    check(&mut d, RackAdded::with_tubs("Rack B", 201, "B"), "at most 200");
    check(&mut d, RackAdded::with_tubs(" ", 3, "B"), "a name for the place");
    let twice = RackAdded { names: vec!["B1".into(), "B1 ".into()], ..RackAdded::with_tubs("Rack B", 2, "B") };
    check(&mut d, twice, "Tub B1");
}

#[test]
fn a_clutch_is_measured_against_her_past_and_the_barns() {
    let mut d = device("2026-06-30T20:00");
    let (bel, wren) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Wren", Sex::Female));
    let weigh = |d: &mut Device, clutch: &ClutchId, gravid: Option<i64>, spent: Option<i64>, mass: i64, on: &str| {
        let card = ClutchCard::of(&d.book, clutch).expect("there");
        let card = ClutchCard {
            gravid: gravid.map(g),
            spent: spent.map(g),
            mass: Some(g(mass)),
            mass_on: Some(day(on)),
            ..card
        };
        d.act(&ClutchEdited { clutch: clutch.clone(), card });
    };
    let first = laid(&mut d, &bel, "2026-04-20", 10);
    weigh(&mut d, &first, Some(1000), None, 300, "2026-04-21");
    let others = laid(&mut d, &wren, "2026-05-01", 6);
    weigh(&mut d, &others, Some(800), None, 160, "2026-05-01");
    let second = laid(&mut d, &bel, "2026-06-20", 8);
    weigh(&mut d, &second, Some(1000), Some(600), 370, "2026-06-25");
    let measured = |d: &Device, id: &ClutchId| clutch_view(&d.book, id, d.now).expect("there").measures;
    let m = measured(&d, &second);
    let relative = m.relative.expect("weighed");
    assert!((relative.of_gravid - 0.37).abs() < 1e-9 && (relative.of_spent - 370.0 / 600.0).abs() < 1e-9);
    assert_eq!((m.weighed, m.both_weights), (Some(Weighed { mass: g(370), whole: true, days_after: Some(5) }), true));
    assert_eq!((m.egg_mass, m.eggs, m.usual_eggs), (Some(trade::units::Mass(46_250)), Some(8), (4, 14)));
    let hers = m.hers.expect("another clutch of hers");
    assert_eq!((hers.clutches, hers.eggs, hers.egg_mass), (1, Some(10.0), Some(g(30))));
    assert!((hers.of_gravid.expect("weighed") - 0.3).abs() < 1e-9);
    let barn = m.barn.expect("others of the species");
    assert_eq!((barn.clutches, barn.eggs), (2, Some(8.0)));
    let judged = |fertile, judged, unjudged| Fertility { fertile, judged, unjudged };
    assert_eq!((m.size, m.fertility), (None, judged(0, 0, 8)), "not measured, not looked at");

    let eggs: Vec<EggId> = d.book.eggs_of(&second).into_iter().map(|egg| egg.id.clone()).collect();
    let egg = |i: usize, len: i64, wid: i64| EggMeasure {
        egg: eggs[i].clone(),
        len_um: Some(len),
        wid_um: Some(wid),
        mass: None,
    };
    d.act(&EggsMeasured { eggs: vec![egg(0, 29_600, 17_000), egg(1, 31_600, 17_000)] });
    let size = measured(&d, &second).size.expect("measured");
    // 29.6 × 17.0 mm is 4.479 cm³ (Preston 1974; Iverson 2019); the other in proportion to its length.
    assert_eq!((size.measured, size.length, size.width), (2, 30.6, 17.0));
    assert!((size.volume.ellipsoid_cm3 - 4.479 * 30.6 / 29.6).abs() < 0.002, "{size:?}");
    let swapped = d.draft(&EggsMeasured { eggs: vec![egg(2, 17_000, 29_600)] }).expect_err("refused").to_string();
    assert!(swapped.contains("longer side as the length"), "{swapped}");
    d.act(&EggsPipped { eggs: vec![eggs[0].clone()], when: Some(When::time(d.now)) });
    assert_eq!(measured(&d, &second).fertility, judged(1, 1, 7), "a pip tells of one egg, not of its neighbours");
}

#[test]
fn who_may_go_again() {
    let mut d = device("2026-06-01T20:00");
    let (bel, wren, iris) =
        (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Wren", Sex::Female), animal(&mut d, "Iris", Sex::Female));
    for (dam, day) in [(&bel, "2026-05-01"), (&wren, "2026-05-25"), (&iris, "2026-02-01")] {
        let clutch = laid(&mut d, dam, day, 8);
        let card = ClutchCard { gravid: Some(g(1000)), ..ClutchCard::of(&d.book, &clutch).expect("there") };
        d.act(&ClutchEdited { clutch, card });
    }
    note(&mut d, &bel, AnimalEventWhat::Weight, "2026-05-30", Some(870));
    for day in ["2026-05-10", "2026-05-17", "2026-05-24"] {
        let outcome = Some(MealOutcome::Eaten);
        let (prey, size, how) = (String::new(), String::new(), String::new());
        d.act(&MealOffered { animals: vec![bel.clone()], offered: when(day), outcome, prey, size, how });
    }
    let found: Vec<(AnimalId, Vec<Wants>)> =
        may_go_again(&d.book, d.now).into_iter().map(|(id, again)| (id, again.wants)).collect();
    let until: NaiveDate = day("2026-06-08");
    let wants = vec![Wants::Rest { until }, Wants::Weighing, Wants::Meals { taken: 0, of: 3 }];
    assert_eq!(found, [(bel.clone(), vec![]), (wren, wants)]);
    // The barn's own rule is asked once it has said one.
    let rule = Rule { rest_days: 5, until_days: 365, weight_pct: 80, meals: 0 };
    d.act(&AgainRuleSet { rule });
    let wants = |d: &Device| may_go_again(&d.book, d.now).into_iter().map(|(_, again)| again.wants).collect::<Vec<_>>();
    assert_eq!(wants(&d), [vec![], vec![Wants::Weighing], vec![Wants::Weighing]]);
    for rule in [Rule { rest_days: 366, ..rule }, Rule { weight_pct: 101, ..rule }, Rule { until_days: 400, ..rule }] {
        assert!(d.draft(&AgainRuleSet { rule }).is_err(), "{rule:?}");
    }
    d.act(&AgainRuleSet { rule: trade::again::USUAL });
    // Put with a male and seen locked, she is on her way: no longer asked.
    let moss = animal(&mut d, "Moss", Sex::Male);
    let pairing = pair(&mut d, &bel, &[&moss], "2026-05-31");
    d.act(&LockNoted { pairing, when: when("2026-06-01") });
    assert_eq!(may_go_again(&d.book, d.now).len(), 1);
}

#[test]
fn two_phones_made_one_clutch() {
    let (mut a, mut b) = (Device::new(1), Device::new(2));
    let bel = animal(&mut a, "Bel", Sex::Female);
    let lines = a.lines.clone();
    b.hear(&lines);
    let one = laid(&mut a, &bel, "2026-06-08", 8);
    let other = laid(&mut b, &bel, "2026-06-09", 8);
    let heard = b.lines.clone();
    a.hear(&heard);
    let kinds = |d: &Device| -> Vec<&'static str> {
        let name = |doubled: &Doubled| match doubled {
            Doubled::Number { .. } => "number",
            Doubled::Clutch { .. } => "clutch",
            Doubled::Eggs { .. } => "eggs",
            Doubled::Code { .. } => "code",
            Doubled::TwoPlaces { .. } => "places",
            Doubled::BoxTwice { .. } => "box",
        };
        doubled(&d.book).iter().map(name).collect()
    };
    assert_eq!(kinds(&a), ["number"], "both took 26-001");
    assert!(rounds(&a.book, a.now).iter().any(|due| due.kind == DueKind::Doubled));
    let card = ClutchCard { number: "26-002".to_owned(), ..ClutchCard::of(&a.book, &other).expect("there") };
    a.act(&ClutchEdited { clutch: other.clone(), card });
    assert_eq!(kinds(&a), ["clutch"], "renumbered, but one dam a day apart");
    a.act(&ClutchesJoined { clutch: other.clone(), same_as: one.clone() });
    assert_eq!(kinds(&a), ["eggs"], "eight counted, sixteen in the book");
    let eggs = a.book.eggs_of(&other).into_iter().map(|egg| egg.id.thing()).collect();
    a.act(&RecordsWithdrawn { things: eggs });
    assert_eq!(kinds(&a), Vec::<&str>::new());
    assert_eq!(clutch_view(&a.book, &other, a.now).expect("both numbers live on").sum.in_book, 8);
    a.act(&ClutchesParted { clutch: one.clone() });
    assert_eq!(kinds(&a), ["clutch"]);
    let iris = animal(&mut a, "Iris", Sex::Female);
    let third = laid(&mut a, &iris, "2026-05-01", 3);
    let doubts: Vec<String> =
        ClutchesJoined { clutch: third, same_as: one }.doubts(&a.book, a.now).iter().map(ToString::to_string).collect();
    assert!(
        doubts.len() == 2 && doubts[0].contains("different dams") && doubts[1].contains("different lay dates"),
        "{doubts:?}"
    );
}

#[test]
fn two_phones_put_one_box_on_two_shelves_and_two_animals_under_one_code() {
    let (mut a, mut b) = (Device::new(1), Device::new(2));
    let shelves = a.all(Kind::Place, &IncubatorAdded::with_shelves("Cabinet", 3, "Shelf", cc(2780)));
    let shelf = |n: usize| Where::Place(PlaceId::new(shelves[n].id.as_str()));
    let bel = animal(&mut a, "Bel", Sex::Female);
    let mut pull = ClutchPulled::start(&a.book, None, &[bel], a.now);
    pull.card.counts = Some(Counts { good: 4, dud: 0, slug: 0 });
    let filling = a.make(Kind::Filling, &pull, FillingId::new);
    let lines = a.lines.clone();
    b.hear(&lines);
    (a.now, b.now) = (at("2026-06-10T09:00"), at("2026-06-10T10:00"));
    let to = |to: Where| Moved {
        things: vec![filling.thing()],
        to,
        when: when("2026-06-10"),
        mass: None,
        note: String::new(),
    };
    a.act(&to(shelf(2)));
    b.act(&to(shelf(3)));
    animal(&mut a, "Moss", Sex::Male);
    animal(&mut b, "Moss", Sex::Male);
    let heard = b.lines.clone();
    a.hear(&heard);
    match doubled(&a.book).as_slice() {
        [Doubled::Code { code, animals }, Doubled::TwoPlaces { thing, moves, .. }] => {
            assert_eq!((code.as_str(), animals.len()), ("MOSS", 2));
            assert_eq!((thing, moves.len()), (&filling.thing(), 2));
            let second = moves[0].0.thing();
            a.act(&Withdrawn { thing: second });
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(a.book.whereabouts(&filling.thing()), Some(&shelf(2)));
    assert_eq!(doubled(&a.book).len(), 1, "only the code is left");
}

#[test]
fn dates_that_cannot_be_are_refused() {
    let mut d = device("2026-06-30T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female);
    let clutch = laid(&mut d, &bel, "2026-04-20", 3);
    let egg = d.book.eggs_of(&clutch)[0].id.clone();
    d.act(&EggsPipped { eggs: vec![egg.clone()], when: Some(when("2026-06-20")) });
    let born = |born: &str| {
        let card = AnimalCard {
            name: "Kit".into(),
            from_eggs: vec![egg.clone()],
            born: Some(when(born)),
            ..AnimalCard::default()
        };
        AnimalAdded { id: None, card, place: None }
    };
    let later = ClutchEdited {
        clutch: clutch.clone(),
        card: ClutchCard { laid: Some(when("2026-06-25")), ..ClutchCard::of(&d.book, &clutch).expect("there") },
    };
    let told = d.draft(&later).expect_err("refused").to_string();
    assert_eq!(told, "The first pip cannot come before laying. Correct one of the two dates.");
    let told = d.draft(&born("2026-04-01")).expect_err("refused").to_string();
    assert_eq!(told, "Hatching cannot come before laying. Correct one of the two dates.");
    assert!(d.draft(&born("2026-06-21")).is_ok());
    let card = AnimalCard { born: Some(when("2026-05-01")), ..AnimalCard::of(&d.book, &bel).expect("there") };
    d.act(&AnimalEdited { animal: bel.clone(), card });
    let shed = AnimalEventNoted {
        shed: None,
        animal: bel.clone(),
        what: AnimalEventWhat::Shed,
        when: when("2026-04-29"),
        mass: None,
        note: String::new(),
    };
    assert_eq!(
        d.draft(&shed).expect_err("refused").to_string(),
        "The event cannot come before birth. Correct one of the two dates."
    );
    let young = AnimalCard {
        name: "Kit".into(),
        dam: Some(bel.clone()),
        born: Some(when("2026-01-01")),
        ..AnimalCard::default()
    };
    let told = d.draft(&AnimalAdded { id: None, card: young, place: None }).expect_err("refused").to_string();
    assert_eq!(told, "Birth cannot come before a parent's birth. Correct one of the two dates.");
    let gone = AnimalCard {
        went: Some(Went::Sold),
        went_when: Some(when("2026-06-01")),
        ..AnimalCard::of(&d.book, &bel).expect("there")
    };
    d.act(&AnimalEdited { animal: bel.clone(), card: gone });
    let after = AnimalEventNoted {
        shed: None,
        animal: bel,
        what: AnimalEventWhat::Shed,
        when: when("2026-06-10"),
        mass: None,
        note: String::new(),
    };
    let told: Vec<String> = after.doubts(&d.book, d.now).iter().map(ToString::to_string).collect();
    assert!(told.len() == 1 && told[0].contains("left the barn by then"), "{told:?}");
}

#[test]
fn of_eggs_just_found_the_likely_dam_is_whose_eggs_are_due() {
    let mut d = device("2026-05-30T20:00");
    let names = ["Bel", "Sorrel", "Wren"];
    let [bel, sorrel, wren] = names.map(|name| animal(&mut d, name, Sex::Female));
    assert_eq!(due_dams(&d.book, d.now), []);
    // A pre-lay shed: eggs about a week to two weeks after it.
    note(&mut d, &sorrel, AnimalEventWhat::PreLayShed, "2026-05-18", None);
    note(&mut d, &bel, AnimalEventWhat::PreLayShed, "2026-05-20", None);
    note(&mut d, &wren, AnimalEventWhat::PreLayShed, "2026-05-30", None);
    assert_eq!(due_dams(&d.book, d.now), [sorrel.clone(), bel.clone()]);
    laid(&mut d, &sorrel, "2026-05-30", 6);
    assert_eq!(due_dams(&d.book, d.now), [bel]);
}
