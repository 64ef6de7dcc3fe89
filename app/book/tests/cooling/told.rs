//! What is told of a cooling: on its last day for a meal, in the days ahead, on two devices, years later, and of who left.

use super::*;

#[test]
fn a_last_meal_cannot_wait_on_its_last_day() {
    let mut d = Device::new(1);
    d.now = at("2026-11-01T20:00");
    let all = animals(&mut d, &["Ann"]);
    cooled(&mut d, &all, card("2026-12-01", "2027-02-15"));
    let row = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| matches!(due.fact, Fact::Cooling { .. }));
    d.now = at("2026-11-16T20:00");
    let due = row(&d).expect("the day before");
    assert!(due.kind.can_wait());
    d.act(&Snoozed { row: due.row(), until: Some(day("2026-11-18")) });
    assert_eq!(row(&d), None);
    d.now = at("2026-11-17T07:00");
    let last = row(&d).expect("too late tomorrow, whatever was put off");
    assert!(!last.kind.can_wait());
    assert_eq!(due.row(), last.row(), "one row all the same");
    // What was refused, or came up again, is no meal.
    for outcome in [MealOutcome::Refused, MealOutcome::Regurgitated] {
        d.act(&MealOffered { outcome: Some(outcome), ..fed(&all, "2026-11-17") });
        assert!(row(&d).is_some(), "{outcome:?}");
    }
    d.act(&fed(&all, "2026-11-17"));
    assert_eq!(row(&d), None);
}

#[test]
fn a_last_meal_cannot_wait_either_where_the_cold_begins_tomorrow() {
    let mut d = Device::new(1);
    d.now = at("2026-11-01T20:00");
    let all = animals(&mut d, &["Ann"]);
    cooled(&mut d, &all, CoolingCard { fast_days: Some(0), ..card("2026-12-01", "2027-02-15") });
    let row = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| matches!(due.fact, Fact::Cooling { .. }));
    for (today, waits) in [("2026-11-29", true), ("2026-11-30", false), ("2026-12-01", true)] {
        d.now = at(&format!("{today}T20:00"));
        assert_eq!(row(&d).map(|due| due.kind.can_wait()), Some(waits), "{today}");
    }
}

#[test]
fn each_step_of_a_cooling_is_a_row_of_its_own() {
    let mut d = Device::new(1);
    d.now = at("2026-12-01T20:00");
    let all = animals(&mut d, &["Ann"]);
    let plan = CoolingCard { began: None, ..card("2026-12-02", "2026-12-03") };
    let coolings = cooled(&mut d, &all, plan);
    let row = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Cooling).expect("due");
    d.now = at("2026-12-03T20:00");
    let begins = row(&d);
    d.act(&edited(&d, &coolings, |card| card.began = Some(when("2026-12-02T08:00"))));
    let ends = row(&d);
    assert_eq!(begins.thing, ends.thing);
    assert!(!begins.is(&ends) && begins.row() != ends.row());
}

#[test]
fn the_days_ahead_tell_each_step_on_its_day() {
    let mut d = Device::new(1);
    d.now = at("2026-11-01T20:00");
    let all = animals(&mut d, &["Ann"]);
    cooled(&mut d, &all, CoolingCard { fast_days: Some(3), ..card("2026-11-20", "2027-02-15") });
    let told = |d: &Device| {
        let of = |coming: Coming| {
            let steps = coming.dues.into_iter().filter_map(|due| match due.fact {
                Fact::Cooling { step, .. } => Some(step),
                _ => None,
            });
            steps.map(|step| (coming.day.to_string(), step)).collect::<Vec<_>>()
        };
        ahead(&d.book, d.now, 30).into_iter().flat_map(of).collect::<Vec<_>>()
    };
    let begins = ("2026-11-20".to_owned(), CoolingStep::Begin);
    assert_eq!(told(&d), [("2026-11-11".to_owned(), CoolingStep::LastMeal), begins.clone()]);
    // The last meal stands on Rounds by now.
    d.now = at("2026-11-15T20:00");
    assert_eq!(told(&d), [begins]);
}

#[test]
fn cooled_on_two_devices_it_is_cooled_once() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    (ines.now, tobin.now) = (at("2026-12-01T20:00"), at("2026-12-01T20:00"));
    let all = animals(&mut ines, &["Ann", "Bel", "Cid"]);
    tobin.hear(&ines.lines);
    let hers = cooled(&mut ines, &all, CoolingCard { began: None, ..card("2026-12-02", "2027-02-15") });
    let his = cooled(&mut tobin, &all[..2], card("2026-12-02", "2027-02-10"));
    ines.hear(&tobin.lines.clone());
    ines.now = at("2026-12-02T20:00");
    let stages = |d: &Device| {
        let of = |cooling: &CoolingId| {
            let view = cooling_view(&d.book, cooling, d.now).expect("there");
            view.rows.iter().find(|row| row.cooling.id == *cooling).map(|row| row.stage).expect("there")
        };
        hers.iter().chain(&his).map(of).collect::<Vec<_>>()
    };
    use CoolingStage::{CalledOff, Cool, Over, Planned};
    assert_eq!(stages(&ines), [Planned; 5]);
    // Called off on one plan, it may still be cooled by the other.
    ines.act(&edited(&ines, &his[1..], |card| card.ended = Some(when("2026-12-02T20:00"))));
    assert_eq!(stages(&ines), [Planned, Planned, Planned, Planned, CalledOff]);
    ines.undo_last();
    // Begun by one, it has begun, whichever is looked at; one tap, one undo.
    let begin = edited(&ines, &hers, |card| card.began = Some(when("2026-12-02T20:00")));
    ines.act(&begin);
    assert_eq!(stages(&ines), [Cool; 5]);
    ines.undo_last();
    assert_eq!(stages(&ines), [Planned; 5]);
    // Both begun, each on its own device: ended by one, it is over.
    tobin.now = at("2026-12-02T20:00");
    tobin.act(&edited(&tobin, &his, |card| card.began = Some(when("2026-12-02T19:00"))));
    ines.act(&begin);
    ines.hear(&tobin.lines.clone());
    assert_eq!(stages(&ines), [Cool; 5]);
    ines.now = at("2027-02-10T20:00");
    ines.act(&edited(&ines, &his[..1], |card| card.ended = Some(when("2027-02-10T20:00"))));
    assert_eq!(stages(&ines), [Over, Cool, Cool, Over, Cool]);
    let doubt = fed(&all[..1], "2027-02-10T20:30").doubts(&ines.book, ines.now);
    assert_eq!(doubt, [], "nobody is asked whether she is fed");
    // Where both are in one plan's act, each gets what it says.
    ines.act(&edited(&ines, &[hers[1].clone(), his[1].clone()], |card| card.ended = Some(when("2027-02-10T20:00"))));
    assert_eq!(stages(&ines), [Over, Over, Cool, Over, Over]);
    // A plan of the other that had not begun goes with it; one for after the last day is another one.
    let (dot, eve) = (animals(&mut ines, &["Dot"]), animals(&mut ines, &["Eve"]));
    tobin.hear(&ines.lines.clone());
    tobin.now = ines.now;
    for (animal, from, stage) in [(dot, "2027-03-01", CalledOff), (eve, "2027-12-01", Planned)] {
        let begun = cooled(&mut ines, &animal, card("2027-02-10", "2027-04-01"));
        let plan = cooled(&mut tobin, &animal, card(from, "2028-02-10"));
        ines.hear(&tobin.lines.clone());
        ines.act(&edited(&ines, &begun, |card| card.ended = Some(when("2027-02-10T20:00"))));
        let view = cooling_view(&ines.book, &plan[0], ines.now).expect("there");
        assert_eq!(view.rows[0].stage, stage, "{from}");
    }
}

#[test]
fn a_cooling_of_long_ago_is_put_right() {
    let mut d = Device::new(1);
    d.now = at("2026-11-10T20:00");
    let all = animals(&mut d, &["Ann"]);
    let old = cooled(&mut d, &all, card("2020-12-01", "2021-02-15"));
    d.act(&edited(&d, &old, |card| card.ended = Some(when("2021-02-15"))));
    d.act(&edited(&d, &old, |card| card.note = "In the cellar.".into()));
    assert_eq!(CoolingCard::of(&d.book, &old[0]).expect("there").note, "In the cellar.");
    type Slip = (fn(&mut CoolingCard), &'static str);
    let slips: [Slip; 2] = [
        (|card| card.from = Some(when("2036-12-01")), "The first cool day is more than three years after today."),
        (|card| card.until = Some(day("2026-02-15")), "The last cool day is more than three years after the first."),
    ];
    for (slip, said) in slips {
        let refused = d.draft(&edited(&d, &old, slip)).expect_err(said).to_string();
        assert!(refused.starts_with(said), "{refused}");
    }
}

#[test]
fn of_who_left_no_cooling_is_told() {
    let mut d = Device::new(1);
    d.now = at("2026-12-01T20:00");
    let all = animals(&mut d, &["Ann", "Bel"]);
    let coolings = cooled(&mut d, &all, card("2026-12-01", "2027-02-15"));
    let told = |d: &Device, n: usize| cooling_told(&d.book, &all[n], d.now.date());
    let is_open = |told: Option<CoolingTold>| matches!(told, Some(CoolingTold::Open { cool: true, .. }));
    assert!(is_open(told(&d, 0)) && is_open(told(&d, 1)));
    d.act(&edited(&d, &coolings[1..], |card| card.ended = Some(when("2026-12-01T20:00"))));
    assert!(matches!(told(&d, 1), Some(CoolingTold::Warming { .. })));
    for animal in &all {
        let card = AnimalCard { went: Some(words::Went::Sold), ..AnimalCard::of(&d.book, animal).expect("there") };
        d.act(&AnimalEdited { animal: animal.clone(), card });
    }
    assert_eq!((told(&d, 0), told(&d, 1)), (None, None));
}
