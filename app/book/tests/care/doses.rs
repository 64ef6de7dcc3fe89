//! Which doses are due, which count, and what is asked.

use super::*;

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
