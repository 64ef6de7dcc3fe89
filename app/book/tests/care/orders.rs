//! What is told when an order comes to its end, is noted a second time, or is ended early.

use super::*;

#[test]
fn a_last_dose_that_was_missed_is_told_once_it_is_over() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    for day in ["2026-06-09", "2026-06-11"] {
        d.now = at(&format!("{day}T20:00"));
        d.act(&given(&drops, day));
    }
    let told = |d: &Device| dose_rows(d).into_iter().map(|due| (due.act, due.fact)).collect::<Vec<_>>();
    let over = Fact::OverMissed { what: "Drops".into(), dose: Some("one, left eye".into()), missed: 2, twice: 0 };
    // For three days after the last one.
    for now in ["2026-06-13T00:00", "2026-06-15T23:59"] {
        d.now = at(now);
        assert_eq!(told(&d), [(DueAct::Open, over.clone())], "{now}");
    }
    d.now = at("2026-06-16T00:00");
    assert_eq!(told(&d), []);
    // Given, or ended, there is nothing to say.
    d.now = at("2026-06-13T08:00");
    d.act(&given(&drops, "2026-06-12"));
    assert_eq!(told(&d), []);
    d.undo_last();
    assert_eq!(told(&d).len(), 1);
    let card = TreatmentCard { ended: Some(when("2026-06-13")), ..TreatmentCard::of(&d.book, &drops).expect("there") };
    d.act(&TreatmentEdited { treatment: drops, card });
    assert_eq!(told(&d), []);
}

#[test]
fn a_dose_given_twice_is_told_by_its_day_where_nobody_said_when() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    d.now = at("2026-06-09T20:00");
    for _ in 0..2 {
        d.act(&given(&drops, "2026-06-09"));
    }
    let facts: Vec<Fact> = dose_rows(&d).into_iter().map(|due| due.fact).collect();
    assert!(matches!(facts.as_slice(), [Fact::DosedTwice { last, .. }] if *last == when("2026-06-09")), "{facts:?}");
}

#[test]
fn the_same_order_noted_twice_is_asked_about_and_told() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    let (bel, moss) = (animal(&mut ines, "Bel"), animal(&mut ines, "Moss"));
    tobin.hear(&ines.lines);
    let [hers] = ordered(&mut ines, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    let again = |animals: &[&AnimalId], what: &str| TreatmentOrdered {
        animals: animals.iter().map(|id| (*id).clone()).collect(),
        card: TreatmentCard { what: what.into(), ..card(12, "2026-06-20") },
    };
    let asked = |d: &Device, act: TreatmentOrdered| act.doubts(&d.book, d.now);
    let doubt = |what: &str, of| vec![Doubt::OrderedAlready { what: what.into(), of }];
    assert_eq!(asked(&ines, again(&[&bel], " drops")), doubt("Bel: drops", 1));
    assert_eq!(asked(&ines, again(&[&bel, &moss], "Drops")), doubt("Drops", 1));
    assert_eq!(asked(&ines, again(&[&moss], "Drops")), []);
    assert_eq!(asked(&ines, again(&[&bel], "Ointment")), []);
    // Noted on two devices, both ask for their doses, and both say so.
    let [his] = ordered(&mut tobin, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    ines.hear(&tobin.lines.clone());
    let doubled = |d: &Device| {
        let rows = treatment_rows(&d.book, d.now);
        let told = dose_rows(d).into_iter().map(|due| matches!(due.fact, Fact::Dose { doubled: true, .. }));
        (rows.into_iter().map(|row| row.doubled).collect::<Vec<_>>(), told.collect::<Vec<_>>())
    };
    assert_eq!(doubled(&ines), (vec![true, true], vec![true, true]));
    let out =
        TreatmentCard { ended: Some(when("2026-06-09T12:00")), ..TreatmentCard::of(&ines.book, &his).expect("there") };
    ines.act(&TreatmentEdited { treatment: his.clone(), card: out });
    assert_eq!(doubled(&ines).1, [false]);
    assert!(!treatment_view(&ines.book, &hers, ines.now).expect("there").row.doubled);
    // Put right so that it comes to the same, or taken up again: asked too.
    let [other] = ordered(&mut ines, &[&bel], TreatmentCard { what: "Ointment".into(), ..card(24, "2026-06-12") })
        .try_into()
        .expect("one");
    let edit = |d: &Device, of: &TreatmentId, change: fn(&mut TreatmentCard)| {
        let mut card = TreatmentCard::of(&d.book, of).expect("there");
        change(&mut card);
        TreatmentEdited { treatment: of.clone(), card }.doubts(&d.book, d.now)
    };
    assert_eq!(edit(&ines, &other, |card| card.what = "DROPS".into()), doubt("Bel: DROPS", 1));
    assert_eq!(edit(&ines, &his, |card| card.ended = None), doubt("Bel: Drops", 1));
    assert_eq!(edit(&ines, &hers, |card| card.note = "With food.".into()), []);
    // Over by itself, the same may be ordered anew.
    ines.now = at("2026-06-20T08:00");
    assert_eq!(asked(&ines, again(&[&bel], "Drops")), []);
}

#[test]
fn an_order_can_be_ended_where_its_first_dose_was_given_early() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    d.now = at("2026-06-09T06:30");
    let twice_a_day = TreatmentCard { from: Some(when("2026-06-09T08:00")), ..card(12, "2026-06-12") };
    let [drops] = ordered(&mut d, &[&bel], twice_a_day).try_into().expect("one");
    // Within a quarter of the twelve hours it counts as the first.
    d.act(&given(&drops, "2026-06-09T06:00"));
    assert_eq!(stands(&d, &drops).0[0], 1);
    let end = |d: &Device, ended: &str| {
        let card = TreatmentCard { ended: Some(when(ended)), ..TreatmentCard::of(&d.book, &drops).expect("there") };
        TreatmentEdited { treatment: drops.clone(), card }
    };
    assert!(matches!(d.draft(&end(&d, "2026-06-09T05:00")), Err(Refusal::OutOfOrder { .. })));
    d.act(&end(&d, "2026-06-09T06:30"));
    assert_eq!(due(&d), []);
}
