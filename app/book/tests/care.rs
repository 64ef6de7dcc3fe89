//! What a veterinarian ordered: due on Rounds, given, missed, asked about when it is given twice. Who is set apart: done
//! last, asked about before it is moved.

mod common;

use book::acts::*;
use book::views::*;
use book::*;
use common::*;

fn animal(d: &mut Device, name: &str) -> AnimalId {
    let card = AnimalCard { name: name.into(), ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn card(every_hours: u32, until: &str) -> TreatmentCard {
    TreatmentCard {
        what: "Drops".into(),
        dose: "one, left eye".into(),
        by: "The practice".into(),
        from: Some(when("2026-06-09T08:00")),
        every_hours,
        until: until.parse().ok(),
        ..TreatmentCard::default()
    }
}

fn ordered(d: &mut Device, animals: &[&AnimalId], card: TreatmentCard) -> Vec<TreatmentId> {
    let act = TreatmentOrdered { animals: animals.iter().map(|id| (*id).clone()).collect(), card };
    d.all(Kind::Treatment, &act).into_iter().map(|thing| TreatmentId::new(thing.id)).collect()
}

fn given(treatment: &TreatmentId, at: &str) -> DoseNoted {
    DoseNoted { treatment: treatment.clone(), when: when(at), left_out: false, note: String::new() }
}

/// Of each dose due: the animal's name, what, and how many before were missed.
fn due(d: &Device) -> Vec<(String, String, u32)> {
    let doses = rounds(&d.book, d.now).into_iter().filter(|due| due.kind == DueKind::Dose);
    let said = |due: Due| match due.fact {
        Fact::Dose { what, missed, .. } => (due.name, what, missed),
        other => panic!("{other:?}"),
    };
    doses.map(said).collect()
}

#[test]
fn a_dose_is_due_until_it_is_ticked_off_and_missed_after_that() {
    let mut d = Device::new(1);
    let (bel, moss) = (animal(&mut d, "Bel"), animal(&mut d, "Moss"));
    let treatments = ordered(&mut d, &[&bel, &moss], card(24, "2026-06-12"));
    let row = |name: &str, missed| (name.to_owned(), "Drops".to_owned(), missed);
    assert_eq!(due(&d), [row("Bel", 0), row("Moss", 0)]);
    // From the row itself.
    d.act(&given(&treatments[0], "2026-06-09T20:00"));
    assert_eq!(due(&d), [row("Moss", 0)]);
    d.undo_last();
    assert_eq!(due(&d).len(), 2, "undone, it is due again");
    d.act(&given(&treatments[0], "2026-06-09T20:00"));
    d.now = at("2026-06-11T07:00");
    assert_eq!(due(&d), [row("Bel", 1), row("Moss", 2)]);
    // Left out on purpose is not missed.
    let out = DoseNoted { left_out: true, note: "He shed.".into(), ..given(&treatments[1], "2026-06-11T07:00") };
    d.act(&out);
    assert_eq!(due(&d), [row("Bel", 1)]);
    let view = treatment_view(&d.book, &treatments[1], d.now).expect("there");
    assert_eq!((view.row.given, view.row.left_out, view.row.standing.missed), (0, 1, 2));
    assert_eq!(view.missed, [at("2026-06-10T00:00"), at("2026-06-09T00:00")]);
    assert_eq!(view.row.of, Some(4));
    d.now = at("2026-06-13T07:00");
    assert_eq!(due(&d), [], "nothing is due after the last day");
    assert!(treatment_view(&d.book, &treatments[0], d.now).is_some_and(|view| view.row.standing.over));
}

#[test]
fn the_same_dose_twice_is_asked_about() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(12, "2026-06-12")).try_into().expect("one");
    let doubts = |d: &Device, dose: &DoseNoted| dose.doubts(&d.book, d.now);
    let evening = given(&drops, "2026-06-09T19:50");
    assert_eq!(doubts(&d, &evening), []);
    d.act(&evening);
    let again = given(&drops, "2026-06-09T20:00");
    let asked = doubts(&d, &again);
    assert_eq!(asked, [Doubt::DosedAlready { what: "Bel: Drops".into(), last: when("2026-06-09T19:50") }]);
    assert_eq!(asked[0].to_string(), "Bel: Drops: given already on 9 Jun, 19:50. Note another dose all the same?");
    assert_eq!(doubts(&d, &DoseNoted { left_out: true, ..again }), [], "nothing was given");
    d.now = at("2026-06-13T09:00");
    assert_eq!(doubts(&d, &given(&drops, "2026-06-13T08:00")), [Doubt::DosedLate { what: "Bel: Drops".into() }]);
    // One dose and no more.
    let [once] = ordered(&mut d, &[&bel], card(0, "")).try_into().expect("one");
    d.act(&given(&once, "2026-06-09T19:50"));
    assert_eq!(doubts(&d, &given(&once, "2026-06-13T08:00")).len(), 1);
}

#[test]
fn an_order_is_put_right_ended_and_bounded() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-30")).try_into().expect("one");
    let edit = |card: TreatmentCard| TreatmentEdited { treatment: drops.clone(), card };
    let stands = TreatmentCard::of(&d.book, &drops).expect("there");
    assert_eq!(stands, card(24, "2026-06-30"));
    assert_eq!(d.draft(&edit(stands.clone())), Err(Refusal::NothingChanged));
    // The veterinarian ended it: that day's dose is not wanting any more.
    d.now = at("2026-06-10T09:00");
    d.act(&edit(TreatmentCard { ended: Some(when("2026-06-10T09:00")), ..stands.clone() }));
    assert_eq!(due(&d), []);
    let view = treatment_view(&d.book, &drops, d.now).expect("there");
    assert_eq!((view.row.standing.over, view.row.standing.missed, view.row.of), (true, 1, Some(1)));
    for (wrong, said) in [
        (TreatmentCard { what: " ".into(), ..stands.clone() }, "what was ordered"),
        (TreatmentCard { from: None, ..stands.clone() }, "the day of the first dose"),
        (TreatmentCard { until: "2026-06-08".parse().ok(), ..stands.clone() }, "last day"),
        (TreatmentCard { until: "2126-06-08".parse().ok(), ..stands.clone() }, "three years"),
        (TreatmentCard { every_hours: 9_000, ..stands.clone() }, "a year"),
        (TreatmentCard { ended: Some(when("2026-06-01")), ..stands.clone() }, "first dose"),
        (TreatmentCard { ended: Some(when("2026-06-20")), ..stands.clone() }, "end"),
    ] {
        let why = d.draft(&edit(wrong)).expect_err(said).to_string();
        assert!(why.contains(said), "{why}");
    }
    // Whoever has left is asked nothing of.
    d.act(&edit(TreatmentCard { ended: None, ..stands }));
    assert_eq!(due(&d).len(), 1);
    let card = AnimalCard { went: Some(words::Went::Sold), ..AnimalCard::of(&d.book, &bel).expect("there") };
    d.act(&AnimalEdited { animal: bel, card });
    assert_eq!((due(&d).len(), treatment_rows(&d.book, d.now).len()), (0, 0));
}

#[test]
fn a_row_of_a_treatment_is_where_its_animal_is() {
    let mut d = Device::new(1);
    let room = PlaceAdded { id: None, card: PlaceCard::new(words::PlaceWhat::Room, "Long room") };
    let room = d.make(Kind::Place, &room, PlaceId::new);
    let bel = animal(&mut d, "Bel");
    ordered(&mut d, &[&bel], card(24, ""));
    d.act(&Moved::to_place(vec![bel.thing()], room, when("2026-06-09T12:00")));
    let row = rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Dose).expect("due");
    assert_eq!(row.path, ["Long room"]);
}

#[test]
fn the_season_has_one_that_goes_on_and_one_that_is_over() {
    let book = alder_lane("2026-06-09");
    let rows = treatment_rows(&book, at("2026-06-09T07:00"));
    let told: Vec<_> =
        rows.iter().map(|row| (row.name.as_str(), row.given, row.of, row.standing.missed, row.standing.over)).collect();
    assert_eq!(told, [("Cricket", 3, Some(10), 1, false), ("XX1", 6, Some(6), 0, true)]);
    assert_eq!(rows[0].standing.due, Some(at("2026-06-09T00:00")));
}

fn place(d: &mut Device, what: words::PlaceWhat, name: &str, within: Option<&PlaceId>) -> PlaceId {
    let card = PlaceCard { within: within.cloned(), ..PlaceCard::new(what, name) };
    d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new)
}

fn apart(d: &mut Device, of: Thing, until: &str) -> QuarantineId {
    let card =
        QuarantineCard { from: Some(when("2026-06-09")), until: until.parse().ok(), ..QuarantineCard::default() };
    d.make(Kind::Quarantine, &SetApart { things: vec![of], card }, QuarantineId::new)
}

#[test]
fn what_is_set_apart_is_asked_about_before_it_goes_anywhere() {
    use words::PlaceWhat::{Rack, Room, Tub};
    let mut d = Device::new(1);
    let (room, other) = (place(&mut d, Room, "Far room", None), place(&mut d, Room, "Long room", None));
    let rack = place(&mut d, Rack, "Rack A", Some(&room));
    let (one, two) = (place(&mut d, Tub, "A1", Some(&rack)), place(&mut d, Tub, "A2", Some(&rack)));
    let (bel, moss, wren) = (animal(&mut d, "Bel"), animal(&mut d, "Moss"), animal(&mut d, "Wren"));
    for (animal, to) in [(&bel, &one), (&moss, &other), (&wren, &other)] {
        d.act(&Moved::to_place(vec![animal.thing()], to.clone(), when("2026-06-08")));
    }
    let asked = |d: &Device, animal: &AnimalId, to: &PlaceId| {
        let act = Moved::to_place(vec![animal.thing()], to.clone(), when("2026-06-09T19:00"));
        act.doubts(&d.book, d.now).iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(asked(&d, &bel, &other), [""; 0]);
    let far = apart(&mut d, room.thing(), "2026-07-09");
    // Out of the room: asked. Within it: not. Into it: asked, of whoever was not in it.
    assert_eq!(asked(&d, &bel, &other), ["Bel is in quarantine until 9 Jul. Do it all the same?"]);
    assert_eq!(asked(&d, &bel, &two), [""; 0]);
    assert_eq!(asked(&d, &moss, &two), ["Far room is in quarantine. Bring it in all the same?"]);
    // An animal by itself: wherever it goes, and with whom.
    apart(&mut d, wren.thing(), "");
    assert_eq!(asked(&d, &wren, &other).len(), 1);
    let paired = Paired { dams: vec![wren.clone()], sires: vec![moss], when: when("2026-06-09"), note: String::new() };
    assert_eq!(paired.doubts(&d.book, d.now), [Doubt::InQuarantine { name: "Wren".into(), until: None }]);
    let sold = AnimalsPlaced {
        animals: vec![bel.clone()],
        how: words::Went::Sold,
        to: None,
        when: when("2026-06-09"),
        price: String::new(),
        note: String::new(),
    };
    assert!(matches!(sold.doubts(&d.book, d.now).as_slice(), [Doubt::InQuarantine { .. }]));
    // Twice is refused; ended before its day is asked about; once ended, nothing is asked any more.
    let again = SetApart { things: vec![wren.thing()], card: QuarantineCard::of(&d.book, &far).expect("there") };
    assert_eq!(d.draft(&again), Err(Refusal::ApartAlready { name: "Wren".into() }));
    let card =
        QuarantineCard { ended: Some(when("2026-06-09T19:00")), ..QuarantineCard::of(&d.book, &far).expect("there") };
    let end = QuarantineEdited { quarantine: far, card };
    assert_eq!(end.doubts(&d.book, d.now).len(), 1);
    d.act(&end);
    assert_eq!(asked(&d, &bel, &other), [""; 0]);
    d.undo_last();
    assert_eq!(asked(&d, &bel, &other).len(), 1, "undone, it is apart again");
}

#[test]
fn what_is_set_apart_is_done_last_and_its_last_day_stands_on_rounds() {
    use words::PlaceWhat::{Rack, Tub};
    let mut d = Device::new(1);
    let rack = place(&mut d, Rack, "Rack A", None);
    let names = ["Ann", "Bel", "Cid"];
    let animals = names.map(|name| animal(&mut d, name));
    for (n, animal) in animals.iter().enumerate() {
        let tub = place(&mut d, Tub, &format!("A{n}"), Some(&rack));
        d.act(&Moved::to_place(vec![animal.thing()], tub, when("2026-06-08")));
    }
    let all: Vec<&AnimalId> = animals.iter().collect();
    ordered(&mut d, &all, card(24, ""));
    let order = |d: &Device| due(d).into_iter().map(|(name, ..)| name).collect::<Vec<_>>();
    let fed = |d: &Device| {
        let feeding = feeding(&d.book, &rack, d.now).expect("a rack");
        feeding.animals.into_iter().map(|line| (line.name, line.apart)).collect::<Vec<_>>()
    };
    assert_eq!(order(&d), names);
    let quarantine = apart(&mut d, animals[0].thing(), "2026-06-12");
    assert_eq!(order(&d), ["Bel", "Cid", "Ann"], "in walking order, and she last");
    assert_eq!(fed(&d), [("Bel".into(), false), ("Cid".into(), false), ("Ann".into(), true)]);
    let ends = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Quarantine);
    assert_eq!(ends(&d), None);
    d.now = at("2026-06-12T07:00");
    let row = ends(&d).expect("its last day");
    assert_eq!((row.name.as_str(), row.path.as_slice()), ("Ann", &["Rack A".to_owned(), "A0".to_owned()][..]));
    let rows = quarantine_rows(&d.book, d.now);
    assert_eq!((rows[0].due, rows[0].days, rows[0].animals), (true, Some(3), 1));
    // It goes on, or ends; until somebody says so it is apart.
    let stands = QuarantineCard::of(&d.book, &quarantine).expect("there");
    d.act(&QuarantineEdited {
        quarantine: quarantine.clone(),
        card: QuarantineCard { until: "2026-07-01".parse().ok(), ..stands.clone() },
    });
    assert_eq!(ends(&d), None);
    d.act(&QuarantineEdited { quarantine, card: QuarantineCard { ended: Some(when("2026-06-12")), ..stands } });
    assert_eq!((ends(&d), order(&d)), (None, names.map(str::to_owned).to_vec()));
}
