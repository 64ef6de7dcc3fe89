//! What is said is what happened: places that stay, questions that are asked, the newest weight, eggs that do not come.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use trade::when::When;

const KING: &str = "lampropeltis-californiae";

fn barn(now: &str) -> Device {
    let mut d = Device::new(1);
    d.now = at(now);
    d
}

fn animal(d: &mut Device, name: &str, sex: Sex, born: Option<&str>) -> AnimalId {
    let card = AnimalCard {
        name: name.to_owned(),
        species: Some(KING.to_owned()),
        sex: Some(sex),
        born: born.map(when),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn tub(d: &mut Device, name: &str) -> PlaceId {
    d.make(Kind::Place, &PlaceAdded { id: None, card: PlaceCard::new(PlaceWhat::Tub, name) }, PlaceId::new)
}

fn pulled(d: &Device, dam: &AnimalId, counts: Counts) -> ClutchPulled {
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.counts = Some(counts);
    act
}

fn counted(good: u32, slug: u32) -> Counts {
    Counts { good, dud: 0, slug }
}

fn asked(d: &Device, act: &dyn Act) -> Vec<String> {
    act.doubts(&d.book, d.now).iter().map(ToString::to_string).collect()
}

#[test]
fn eggs_keep_their_places_while_they_are_told_to_pip() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(6, 1));
    act.boxes[0].eggs = Some((0..7).collect());
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let tray = |d: &Device, step| -> String {
        let eggs = hatching_tray(&d.book, &filling, step);
        eggs.iter().map(|(egg, waits)| if *waits { egg.letter.clone() } else { egg.letter.to_lowercase() }).collect()
    };
    let egg = |d: &Device, i: usize| hatching_tray(&d.book, &filling, Step::Pip)[i].0.id.clone();
    assert_eq!(tray(&d, Step::Pip), "ABCDEFg", "a slug does not wait");
    d.now = at("2026-08-09T20:00");
    for i in [0, 2] {
        d.act(&EggsPipped { eggs: vec![egg(&d, i)], when: None });
    }
    assert_eq!(tray(&d, Step::Pip), "aBcDEFg");
    d.act(&EggsOut { eggs: vec![egg(&d, 0)], when: None, masses: Default::default() });
    let dead = vec![egg(&d, 3)];
    d.act(&EggFate {
        eggs: dead,
        fate: Fate::Died,
        when: When::time(d.now),
        why: String::new(),
        masses: Default::default(),
    });
    assert_eq!((tray(&d, Step::Pip), tray(&d, Step::Out)), ("aBcdEFg".into(), "aBCdEFg".into()));
}

#[test]
fn what_is_unlikely_of_tubs_dams_and_days_is_asked() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, Some("2022-07-01"));
    let ash = animal(&mut d, "Ash", Sex::Male, None);
    let fay = animal(&mut d, "Fay", Sex::Female, Some("2026-02-19"));
    let (one, two) = (tub(&mut d, "C1"), tub(&mut d, "C2"));
    let to = |things: Vec<Thing>, place: &PlaceId, d: &Device| {
        asked(d, &Moved::to_place(things, place.clone(), When::time(d.now)))
    };
    assert_eq!(to(vec![bel.thing()], &one, &d), Vec::<String>::new());
    d.act(&Moved::to_place(vec![bel.thing()], one.clone(), When::time(d.now)));
    let crowded = ["C1 would hold more than one animal. Put them together?"];
    assert_eq!(to(vec![ash.thing()], &one, &d), crowded);
    assert_eq!(to(vec![bel.thing(), ash.thing()], &two, &d).len(), 1, "two at once");
    assert_eq!(to(vec![bel.thing()], &one, &d), Vec::<String>::new(), "its own tub");
    let card = AnimalCard { name: "Ivy".into(), ..AnimalCard::default() };
    assert_eq!(asked(&d, &AnimalAdded { id: None, card, place: Some(one) }), crowded);

    let first = pulled(&d, &bel, counted(6, 0));
    assert_eq!(asked(&d, &first), Vec::<String>::new());
    let clutch = d.make(Kind::Clutch, &first, ClutchId::new);
    let second = pulled(&d, &bel, counted(4, 0));
    let again = asked(&d, &second);
    assert!(again.len() == 1 && again[0].contains("Eggs of Bel were found just before these"), "{again:?}");
    let mut later = second.clone();
    later.card.laid = Some(when("2026-04-20"));
    assert_eq!(asked(&d, &later), Vec::<String>::new(), "seven weeks between");
    // Only corrected in something else, it is not asked about again.
    d.act(&second);
    let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
    card.note = "counted twice".into();
    assert_eq!(asked(&d, &ClutchEdited { clutch, card }), Vec::<String>::new());

    let young = ["Fay was 110 days old then, which is too young to breed. Is that right?"];
    assert_eq!(asked(&d, &pulled(&d, &fay, counted(4, 0))), young);
    assert_eq!(asked(&d, &EggsFound::under(&d.book, &fay, d.now)), young);
    let (dams, sires) = (vec![fay], vec![ash]);
    assert_eq!(asked(&d, &Paired { dams, sires, when: When::time(d.now), note: String::new() }), young);
}

#[test]
fn no_baby_is_left_without_a_tub_unasked() {
    let mut d = barn("2026-04-10T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let filling = d.make(Kind::Filling, &pulled(&d, &bel, counted(4, 0)), FillingId::new);
    let (one, two) = (tub(&mut d, "C1"), tub(&mut d, "C2"));
    d.now = at("2026-06-15T20:00");
    let eggs: Vec<EggId> = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
    let out = |tubs: [Option<&PlaceId>; 4]| {
        let baby = |(i, tub): (usize, Option<&PlaceId>)| NewBaby {
            eggs: vec![eggs[i].clone()],
            code: format!("K{i}"),
            place: tub.cloned(),
            ..NewBaby::default()
        };
        let babies = tubs.into_iter().enumerate().map(baby).collect();
        HatchedOut { filling: filling.clone(), when: None, babies, others: Default::default() }
    };
    let short = asked(&d, &out([Some(&one), Some(&two), None, None]));
    assert_eq!(short, ["No tub is free for 2 of the babies, so they would be in none: K2, K3. Save all the same?"]);
    assert_eq!(asked(&d, &out([None; 4])), Vec::<String>::new(), "no tub was chosen at all");
    let shared = asked(&d, &out([Some(&one), Some(&one), Some(&two), Some(&two)]));
    assert_eq!(shared.len(), 2, "{shared:?}");
    let mut escaped = out([Some(&one), Some(&two), None, None]);
    escaped.babies[2].went = Some(Went::Escaped);
    escaped.babies[3].went = Some(Went::Died);
    assert_eq!(asked(&d, &escaped), Vec::<String>::new());
}

#[test]
fn the_current_weight_is_the_one_weighed_last() {
    let mut d = barn("2026-11-29T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(6, 0));
    act.card.laid = Some(when("2026-11-05"));
    (act.card.gravid, act.card.gravid_on) = (Some(g(2310)), Some(day("2026-11-02")));
    let clutch = d.make(Kind::Clutch, &act, ClutchId::new);
    let weight = |d: &Device| animal_view(&d.book, &bel, d.now).expect("there").weight;
    assert_eq!(weight(&d), Some((g(2310), Some(when("2026-11-02")))), "weighed, if only with her clutch");
    let event = |day: &str, grams| AnimalEventNoted {
        animal: bel.clone(),
        what: AnimalEventWhat::Weight,
        when: when(day),
        mass: Some(g(grams)),
        note: String::new(),
    };
    d.act(&event("2026-11-02", 2310));
    let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
    (card.spent, card.spent_on) = (Some(g(1720)), Some(day("2026-11-06")));
    d.act(&ClutchEdited { clutch: clutch.clone(), card: card.clone() });
    let view = animal_view(&d.book, &bel, d.now).expect("there");
    assert_eq!(view.weight, Some((g(1720), Some(when("2026-11-06")))));
    assert_eq!(view.weights.len(), 2, "one weighing noted twice is one: {:?}", view.weights);
    // Both on the day of laying: after the eggs she weighs less.
    (card.gravid_on, card.spent_on) = (Some(day("2026-11-05")), Some(day("2026-11-05")));
    d.act(&ClutchEdited { clutch, card });
    assert_eq!(weight(&d).map(|(mass, _)| mass), Some(g(1720)));
    // Written last, weighed first.
    d.act(&event("2026-10-01", 1900));
    assert_eq!(weight(&d).map(|(mass, _)| mass), Some(g(1720)));
    assert_eq!(asked(&d, &event("2026-11-29", 1800)), Vec::<String>::new());
}

#[test]
fn an_untouched_candling_says_unsure_and_leaves_slugs_out() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(2, 1));
    act.boxes[0].eggs = Some(vec![0, 1, 2]);
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let candled = |d: &mut Device, changes: &[(usize, Seen)]| {
        let eggs: Vec<EggId> = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
        let changes = changes.iter().map(|(i, seen)| (eggs[*i].clone(), *seen)).collect();
        d.later(24);
        d.act(&BoxCandled { filling: filling.clone(), when: When::time(d.now), changes, note: String::new() });
        eggs.iter().map(|egg| d.book.last_seen(egg).map(|(seen, _)| seen)).collect::<Vec<_>>()
    };
    assert!(d.book.never_candled(&filling));
    assert_eq!(candled(&mut d, &[]), [Some(Seen::Unsure), Some(Seen::Unsure), None]);
    assert!(!d.book.never_candled(&filling));
    assert_eq!(candled(&mut d, &[(0, Seen::Veins)]), [Some(Seen::Veins), Some(Seen::Unsure), None]);
    assert_eq!(candled(&mut d, &[]), [Some(Seen::Veins), Some(Seen::Unsure), None]);
}

#[test]
fn eggs_that_never_come_are_waited_for_no_more() {
    let mut d = barn("2026-08-20T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let moss = animal(&mut d, "Moss", Sex::Male, None);
    let act = Paired { dams: vec![bel.clone()], sires: vec![moss], when: when("2026-08-18"), note: String::new() };
    let pairing = d.make(Kind::Pairing, &act, PairingId::new);
    d.act(&LockNoted { pairing: pairing.clone(), when: when("2026-08-20") });
    d.act(&PairingEnded { pairing, when: when("2026-08-20") });
    let next = |d: &Device| animal_view(&d.book, &bel, d.now).expect("there").next;
    let waits = |d: &Device| pairing_rows(&d.book, d.now).remove(0).waits();
    d.now = at("2026-10-20T20:00");
    assert!(matches!(next(&d).as_slice(), [NextStep::EggsDue { .. }]), "{:?}", next(&d));
    assert!(waits(&d));
    // 28 to 70 days after a lock: on the 29th of October it closes, and it says so.
    for now in ["2026-10-31T20:00", "2026-11-29T20:00"] {
        d.now = at(now);
        let [NextStep::NoEggs { by, .. }] = next(&d)[..] else { panic!("{now}: {:?}", next(&d)) };
        assert_eq!(by, day("2026-10-29"), "{now}");
        assert!(!waits(&d), "{now}");
    }
    d.now = at("2027-01-20T20:00");
    assert_eq!(next(&d), [], "another season");
}
