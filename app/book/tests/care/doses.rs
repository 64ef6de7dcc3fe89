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
    assert!(dose_rows(&d).iter().all(|due| due.act == DueAct::Open), "nothing is due after the last day");
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
    assert_eq!(asked[0].to_string(), "Bel: Drops: given already on 9 Jun, 19:50. Note another dose anyway?");
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
    assert_eq!((view.row.standing.over, view.row.standing.missed, view.row.of), (true, 1, None));
    for (wrong, said) in [
        (TreatmentCard { what: " ".into(), ..stands.clone() }, "what was ordered"),
        (TreatmentCard { from: None, ..stands.clone() }, "the day of the first dose"),
        (TreatmentCard { until: "2026-06-08".parse().ok(), ..stands.clone() }, "last day"),
        (
            TreatmentCard { until: "2126-06-08".parse().ok(), ..stands.clone() },
            "The last day is more than three years after the first dose.",
        ),
        (
            TreatmentCard { from: Some(when("2126-06-08")), until: None, ..stands.clone() },
            "The first dose is more than three years after today.",
        ),
        (
            TreatmentCard { every_hours: 9_000, ..stands.clone() },
            "The next dose is more than a year after the one before.",
        ),
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
fn a_dose_is_asked_about_where_it_would_fill_none() {
    let dose = |d: &Device, to: &TreatmentId, at: &str| {
        let doubts = given(to, at).doubts(&d.book, d.now);
        doubts.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let already = |on: &str| vec![format!("Bel: Drops: given already on {on}. Note another dose anyway?")];
    let over = vec!["Bel: Drops: the treatment was over by then. Note a dose anyway?".to_owned()];
    let early = "Bel: Drops: the first dose is due on 9 Jun, and this would not count as it. Note it anyway?";
    for (every, noted, then, expected) in [
        // A day has one dose, whatever the hours between two of them.
        (24, &["2026-06-09T07:00"][..], "2026-06-09T19:30", already("9 Jun, 07:00")),
        (24, &["2026-06-09T21:00"], "2026-06-10T07:00", vec![]),
        (24, &["2026-06-09T21:00", "2026-06-10T07:00"], "2026-06-10T06:00", already("10 Jun, 07:00")),
        (24, &[], "2026-06-08T23:00", vec![early.to_owned()]),
        (24, &[], "2026-06-13T00:10", over.clone()),
        (12, &["2026-06-09T08:00"], "2026-06-09T15:00", vec![]),
        (12, &["2026-06-09T08:00"], "2026-06-09T13:00", already("9 Jun, 08:00")),
        (72, &["2026-06-09T08:00"], "2026-06-10T08:00", already("9 Jun, 08:00")),
        (72, &["2026-06-09T08:00"], "2026-06-11T08:00", vec![]),
    ] {
        let mut d = Device::new(1);
        let bel = animal(&mut d, "Bel");
        let [drops] = ordered(&mut d, &[&bel], card(every, "2026-06-12")).try_into().expect("one");
        d.now = at("2026-06-20T08:00");
        noted.iter().for_each(|at| _ = d.act(&given(&drops, at)));
        assert_eq!(dose(&d, &drops, then), expected, "every {every} h, {noted:?}, then {then}");
        // Asked exactly where the doses that count do not become more.
        let (before, _) = stands(&d, &drops);
        d.act(&given(&drops, then));
        let (after, _) = stands(&d, &drops);
        assert_eq!(after[0] == before[0], !expected.is_empty(), "every {every} h, {noted:?}, then {then}");
        assert_eq!(after.iter().sum::<u32>() - after[2], u32::try_from(noted.len() + 1).expect("few"));
    }
}

#[test]
fn one_dose_given_on_two_devices_is_told_once_they_agree() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    let bel = animal(&mut ines, "Bel");
    let [drops] = ordered(&mut ines, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    tobin.hear(&ines.lines);
    (ines.now, tobin.now) = (at("2026-06-09T19:00"), at("2026-06-09T19:00"));
    ines.act(&given(&drops, "2026-06-09T18:00"));
    tobin.act(&given(&drops, "2026-06-09T18:40"));
    let (his, hers) = (tobin.lines.clone(), ines.lines.clone());
    ines.hear(&his);
    tobin.hear(&hers);
    for d in [&mut ines, &mut tobin] {
        assert_eq!(stands(d, &drops), ([1, 0, 0, 1, 0, 0], Some(4)));
        let papers = papers(&d.book, &bel, d.now).expect("there");
        assert_eq!(papers.ordered[0].twice, 1);
        let told = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Dose).expect("told");
        let Fact::DosedTwice { last, .. } = told(d).fact else { panic!("{:?}", told(d)) };
        assert_eq!((last, told(d).act), (when("2026-06-09T18:40"), DueAct::Open));
        // On the next day it stands beside what is due.
        d.now = at("2026-06-10T08:00");
        assert!(matches!(told(d).fact, Fact::Dose { twice: 1, missed: 0, .. }), "{:?}", told(d));
    }
}

#[test]
fn an_animal_that_left_misses_no_dose() {
    for (went, ended) in [(Some("2026-06-11T10:00"), None), (None, None), (None, Some("2026-06-11T10:00"))] {
        let mut d = Device::new(1);
        let bel = animal(&mut d, "Bel");
        let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-30")).try_into().expect("one");
        d.now = at("2026-06-11T10:00");
        for day in ["2026-06-09T18:00", "2026-06-11T08:00"] {
            d.act(&given(&drops, day));
        }
        if let Some(ended) = ended {
            let card = TreatmentCard { ended: Some(when(ended)), ..TreatmentCard::of(&d.book, &drops).expect("there") };
            d.act(&TreatmentEdited { treatment: drops.clone(), card });
        } else {
            let card = AnimalCard::of(&d.book, &bel).expect("there");
            let card = AnimalCard { went: Some(words::Went::Sold), went_when: went.map(when), ..card };
            d.act(&AnimalEdited { animal: bel.clone(), card });
        }
        // On that evening and a month after: the dose of that day counts for that day, and the one forgotten stays so.
        for now in ["2026-06-11T20:00", "2026-07-11T20:00"] {
            d.now = at(now);
            assert_eq!(stands(&d, &drops), ([2, 0, 1, 0, 0, 0], None), "{went:?} {ended:?} at {now}");
            let papers = papers(&d.book, &bel, d.now).expect("there");
            assert_eq!((papers.ordered[0].given, papers.ordered[0].standing.missed), (2, 1));
            assert!(papers.ordered[0].standing.over);
        }
    }
}

#[test]
fn an_order_is_called_off_before_its_first_dose() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let later = TreatmentCard { from: Some(when("2026-06-15T08:00")), ..card(24, "2026-06-30") };
    let [drops] = ordered(&mut d, &[&bel], later).try_into().expect("one");
    let end = |d: &Device, ended: &str| {
        let card = TreatmentCard { ended: Some(when(ended)), ..TreatmentCard::of(&d.book, &drops).expect("there") };
        TreatmentEdited { treatment: drops.clone(), card }
    };
    d.act(&end(&d, "2026-06-09T12:00"));
    d.now = at("2026-06-20T08:00");
    assert_eq!((stands(&d, &drops), due(&d)), (([0; 6], None), vec![]));
    // One that was given had begun.
    d.undo_last();
    d.act(&given(&drops, "2026-06-15T09:00"));
    assert!(matches!(d.draft(&end(&d, "2026-06-10T12:00")), Err(Refusal::OutOfOrder { .. })));
}

#[test]
fn other_times_are_asked_about_once_doses_are_noted() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-30")).try_into().expect("one");
    let asked = |d: &Device, card: TreatmentCard| {
        TreatmentEdited { treatment: drops.clone(), card }.doubts(&d.book, d.now).len()
    };
    let stands = TreatmentCard::of(&d.book, &drops).expect("there");
    let twice_a_day = TreatmentCard { every_hours: 12, ..stands.clone() };
    assert_eq!(asked(&d, twice_a_day.clone()), 0);
    d.act(&given(&drops, "2026-06-09T09:00"));
    assert_eq!(asked(&d, twice_a_day), 1);
    assert_eq!(asked(&d, TreatmentCard { from: Some(when("2026-06-07")), ..stands.clone() }), 1);
    // Of a course by days the hour is nothing; nor do a last day and a note change which doses there are by now.
    assert_eq!(asked(&d, TreatmentCard { from: Some(when("2026-06-09T20:00")), ..stands.clone() }), 0);
    assert_eq!(asked(&d, TreatmentCard { until: None, note: "With food.".into(), ..stands }), 0);
}

#[test]
fn the_days_ahead_hold_each_dose_and_miss_none() {
    for (every, a_day) in [(12, 2), (24, 1)] {
        let mut d = Device::new(1);
        let bel = animal(&mut d, "Bel");
        let [drops] = ordered(&mut d, &[&bel], card(every, "2026-06-12")).try_into().expect("one");
        d.now = at("2026-06-09T21:00");
        for at in ["2026-06-09T08:00", "2026-06-09T20:00"].iter().take(a_day) {
            d.act(&given(&drops, at));
        }
        let told = |d: &Device| {
            let coming = ahead(&d.book, d.now, 6);
            let of_day =
                |dues: &[Due]| dues.iter().filter(|due| due.kind == DueKind::Dose).cloned().collect::<Vec<_>>();
            coming.iter().map(|coming| (coming.day, of_day(&coming.dues))).collect::<Vec<_>>()
        };
        for (coming, dues) in told(&d) {
            let expected = if ("2026-06-10".."2026-06-13").contains(&coming.to_string().as_str()) { a_day } else { 0 };
            assert_eq!(dues.len(), expected, "every {every} h on {coming}");
            assert!(dues.iter().all(|due| matches!(due.fact, Fact::Dose { missed: 0, .. })), "{dues:?}");
        }
        // One that is due now stands on Rounds and says what is missed by now; those of the next days do not say it once more.
        d.now = at("2026-06-11T07:00");
        let rows = told(&d);
        assert_eq!(due(&d).len(), 1);
        assert_eq!(rows.iter().map(|(_, dues)| dues.len()).sum::<usize>(), 2 * a_day - 1);
        let missed = u32::try_from(a_day).expect("few");
        let counts = |due: &Due, of: u32| matches!(due.fact, Fact::Dose { missed: n, .. } if n == of);
        let [now] = &due(&d)[..] else { panic!("one is due") };
        assert_eq!(now.2, missed, "{now:?}");
        assert!(rows.iter().flat_map(|(_, dues)| dues).all(|due| counts(due, 0)), "{rows:?}");
    }
}

#[test]
fn a_dose_is_put_right_and_counts_anew() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let [drops] = ordered(&mut d, &[&bel], card(24, "2026-06-12")).try_into().expect("one");
    d.now = at("2026-06-10T20:00");
    d.act(&given(&drops, "2026-06-10T19:00"));
    let dose = d.book.doses(&drops).next().expect("one").id.clone();
    let was = DoseEdited::of(&d.book, &dose, when("2026-06-10")).expect("there");
    assert_eq!(d.draft(&was), Err(Refusal::NothingChanged));
    d.act(&DoseEdited { when: when("2026-06-09T19:00"), left_out: true, note: "She shed.".into(), ..was.clone() });
    assert_eq!((stands(&d, &drops), due(&d).len()), (([0, 1, 0, 0, 0, 0], Some(4)), 1));
    let line = treatment_view(&d.book, &drops, d.now).expect("there").doses.remove(0);
    assert_eq!((line.note.as_deref(), line.left_out), (Some("She shed."), true));
    d.act(&was);
    assert_eq!((stands(&d, &drops), due(&d)), (([1, 0, 1, 0, 0, 0], Some(4)), vec![]));
    assert!(matches!(d.draft(&DoseEdited { when: when("2026-06-12"), ..was }), Err(Refusal::InFuture { .. })));
}

#[test]
fn a_swap_names_the_doses_that_the_other_got() {
    let mut d = Device::new(1);
    let (bel, moss, wren) = (animal(&mut d, "Bel"), animal(&mut d, "Moss"), animal(&mut d, "Wren"));
    let [drops] = ordered(&mut d, &[&moss], card(24, "2026-06-12")).try_into().expect("one");
    d.now = at("2026-06-12T20:00");
    for day in ["2026-06-09T18:00", "2026-06-10T18:00", "2026-06-11T18:00"] {
        d.act(&given(&drops, day));
    }
    d.act(&DoseNoted { left_out: true, ..given(&drops, "2026-06-12T18:00") });
    let asked = |one: &AnimalId, other: &AnimalId| {
        let (one, other, from) = (one.clone(), other.clone(), when("2026-06-10T08:00"));
        Unswapped { one, other, from, back: false }.doubts(&d.book, d.now)
    };
    assert_eq!(asked(&bel, &moss), [Doubt::DosesStay { doses: 2 }]);
    assert_eq!(asked(&moss, &bel), [Doubt::DosesStay { doses: 2 }]);
    assert_eq!(asked(&bel, &wren), []);
}

#[test]
fn an_order_is_kept_word_for_word() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    let dose =
        "0.1 ml for each 100 g, under the skin of the front third, on the left and the right in turn, ".repeat(3);
    let long = TreatmentCard { dose: dose.trim().to_owned(), ..card(24, "2026-06-12") };
    let [drops] = ordered(&mut d, &[&bel], long.clone()).try_into().expect("one");
    assert_eq!(TreatmentCard::of(&d.book, &drops), Some(long));
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
