//! From the last meal to the first weight afterwards, and what a plan may hold.

use super::*;
use book::words::PlaceWhat;
use trade::cooling::{Loss, USUAL, Wants};

#[test]
fn each_step_stands_on_rounds_once_for_all_who_are_cooled_together() {
    let mut d = Device::new(1);
    d.now = at("2026-11-01T20:00");
    let all = animals(&mut d, &["Ann", "Bel", "Cid"]);
    let coolings = cooled(&mut d, &all, card("2026-12-01", "2027-02-15"));
    assert_eq!(due(&d), []);
    // The last meal is on 17 November at the latest; asked for a week before, of those who were not fed since.
    d.now = at("2026-11-10T20:00");
    assert_eq!(due(&d), []);
    d.now = at("2026-11-11T20:00");
    let last = |n| vec![(CoolingStep::LastMeal, n, "2026-11-17".to_owned())];
    assert_eq!(due(&d), last(3));
    d.act(&fed(&all[..2], "2026-11-11T19:00"));
    assert_eq!(due(&d), last(1));
    d.now = at("2026-11-18T20:00");
    assert_eq!(due(&d), [], "too late for a meal");
    d.now = at("2026-12-01T07:00");
    assert_eq!(due(&d), [(CoolingStep::Begin, 3, "2026-12-01".to_owned())]);
    // Two go; one is to wait.
    let begun = edited(&d, &coolings[..2], |card| card.began = Some(when("2026-12-01T07:00")));
    d.act(&begun);
    assert_eq!(due(&d), [(CoolingStep::Begin, 1, "2026-12-01".to_owned())]);
    d.undo_last();
    assert_eq!(due(&d)[0].1, 3, "undone, none has begun");
    d.act(&begun);
    let off = edited(&d, &coolings[2..], |card| card.ended = Some(when("2026-12-01T07:00")));
    d.act(&off);
    assert_eq!(due(&d), []);
    d.now = at("2027-02-15T07:00");
    assert_eq!(due(&d), [(CoolingStep::End, 2, "2027-02-15".to_owned())]);
    let view = cooling_view(&d.book, &coolings[1], d.now).expect("there");
    let stages: Vec<CoolingStage> = view.rows.iter().map(|row| row.stage).collect();
    assert_eq!(stages, [CoolingStage::Cool, CoolingStage::Cool, CoolingStage::CalledOff]);
    assert_eq!((view.group.cool, view.group.called_off, view.group.due), (2, 1, Some(CoolingStep::End)));
    // One stays in longer: a plan of its own, with its own day.
    d.act(&edited(&d, &coolings[1..2], |card| card.until = "2027-03-01".parse().ok()));
    d.act(&edited(&d, &coolings[..1], |card| card.ended = Some(when("2027-02-15T07:00"))));
    assert_eq!(due(&d), []);
    let groups: Vec<_> = cooling_groups(&d.book, d.now).into_iter().map(|g| (g.name, g.cool, g.over)).collect();
    assert_eq!(groups, [("Bel".to_owned(), 1, 0), ("Ann, Cid".to_owned(), 0, 1)]);
    // Who left the barn is not waited for.
    d.now = at("2027-03-02T07:00");
    assert_eq!(due(&d).len(), 1);
    let card = AnimalCard { went: Some(words::Went::Died), ..AnimalCard::of(&d.book, &all[1]).expect("there") };
    d.act(&AnimalEdited { animal: all[1].clone(), card });
    assert_eq!(due(&d), []);
    assert!(cooling_groups(&d.book, d.now).iter().all(|group| group.cool + group.planned == 0 && group.due.is_none()));
}

#[test]
fn a_row_says_only_where_all_of_them_are() {
    let mut d = Device::new(1);
    let place = |d: &mut Device, what, name: &str, within: Option<&PlaceId>| {
        let card = PlaceCard { within: within.cloned(), ..PlaceCard::new(what, name) };
        d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new)
    };
    let room = place(&mut d, PlaceWhat::Room, "Long room", None);
    let all = animals(&mut d, &["Ann", "Bel"]);
    for (animal, rack) in all.iter().zip(["Rack A", "Rack B"]) {
        let rack = place(&mut d, PlaceWhat::Rack, rack, Some(&room));
        d.act(&Moved::to_place(vec![animal.thing()], rack, when("2026-06-08")));
    }
    cooled(&mut d, &all, card("2026-06-12", ""));
    d.now = at("2026-06-12T07:00");
    let row = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Cooling);
    let told = |due: Due| (due.name, due.path.join(", "));
    assert_eq!(row(&d).map(told), Some(("Ann, Bel".to_owned(), "Long room".to_owned())));
    let more = animals(&mut d, &["Cid"]);
    cooled(&mut d, &more, CoolingCard { began: None, ..card("2026-06-12", "") });
    let begun: Vec<CoolingId> = d.book.all_coolings().map(|cooling| cooling.id.clone()).collect();
    d.act(&edited(&d, &begun[2..], |card| card.began = None));
    assert_eq!(row(&d).map(told), Some(("Ann, Bel + 1".to_owned(), String::new())));
}

#[test]
fn the_weight_before_and_after_tells_what_was_lost() {
    let mut d = Device::new(1);
    d.now = at("2026-11-30T20:00");
    let all = animals(&mut d, &["Ann", "Bel"]);
    weighed(&mut d, &all, &[1260, 400], "2026-11-01");
    weighed(&mut d, &all, &[1240, 405], "2026-11-30T19:00");
    // From today on: it has begun.
    let coolings = cooled(&mut d, &all, card("2026-11-30", "2027-02-15"));
    let rows = |d: &Device| cooling_view(&d.book, &coolings[0], d.now).expect("there").rows;
    let told = |d: &Device| {
        let told = |row: CoolingRow| (row.before.map(|(mass, _)| mass), row.after.map(|(mass, _)| mass), row.loss);
        rows(d).into_iter().map(told).collect::<Vec<_>>()
    };
    assert_eq!(rows(&d)[0].stage, CoolingStage::Cool);
    assert_eq!(told(&d), [(Some(g(1240)), None, None), (Some(g(405)), None, None)]);
    d.now = at("2027-01-10T20:00");
    weighed(&mut d, &all[..1], &[1190], "2027-01-10");
    let loss = |mass, permille, large| Some(Loss { mass: g(mass), permille, large });
    assert_eq!(told(&d)[0], (Some(g(1240)), Some(g(1190)), loss(50, 40, false)));
    d.now = at("2027-02-15T20:00");
    d.act(&edited(&d, &coolings, |card| card.ended = Some(when("2027-02-15"))));
    assert_eq!(told(&d)[0].1, Some(g(1190)), "the last one in the cold, until it is weighed again");
    // 138 of 1,240 g is 11.1 %, by hand.
    weighed(&mut d, &all, &[1102, 397], "2027-02-15T20:00");
    assert_eq!(told(&d)[0], (Some(g(1240)), Some(g(1102)), loss(138, 111, true)));
    assert_eq!(told(&d)[1].2, loss(8, 20, false));
    // Later weights tell of meals.
    d.now = at("2027-03-20T20:00");
    weighed(&mut d, &all, &[1300, 420], "2027-03-20");
    assert_eq!(told(&d)[0].1, Some(g(1102)));
}

#[test]
fn who_is_cool_is_not_fed_unasked() {
    let mut d = Device::new(1);
    d.now = at("2026-11-10T20:00");
    let all = animals(&mut d, &["Ann", "Bel"]);
    cooled(&mut d, &all, card("2026-12-01", "2027-02-15"));
    let asked = |d: &Device, at: &str| fed(&all, at).doubts(&d.book, d.now);
    assert_eq!(asked(&d, "2026-11-10"), []);
    d.now = at("2026-11-20T20:00");
    let doubt = [Doubt::NoFood { names: "Ann, Bel".into() }];
    assert_eq!(asked(&d, "2026-11-17"), [], "noted later, of the last day for it");
    assert_eq!(asked(&d, "2026-11-20"), doubt);
    assert!(doubt[0].to_string().starts_with("Kept cool, or soon to be: Ann, Bel."));
    let other_way = [all[1].clone(), all[0].clone()];
    assert_eq!(fed(&other_way, "2026-11-20").doubts(&d.book, d.now), doubt, "by name, however they were ticked");
    let rack = RackFed {
        animals: all.clone(),
        offered: when("2026-11-20"),
        prey: String::new(),
        size: String::new(),
        how: String::new(),
    };
    assert_eq!(rack.doubts(&d.book, d.now), doubt);
    // On the feeding list they wait.
    let card = PlaceCard::new(PlaceWhat::Rack, "Rack A");
    let rack = d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new);
    d.act(&Moved::to_place(vec![all[0].thing()], rack.clone(), when("2026-11-20")));
    let line = |d: &Device| {
        let feeding = feeding(&d.book, &rack, d.now).expect("a rack");
        (feeding.animals[0].waits, feeding.animals[0].cold)
    };
    assert_eq!(line(&d), (true, Some(Cold::Fasting)));
    let ids: Vec<CoolingId> = d.book.all_coolings().map(|cooling| cooling.id.clone()).collect();
    d.now = at("2026-12-01T20:00");
    d.act(&edited(&d, &ids, |card| card.began = Some(when("2026-12-01"))));
    assert_eq!(line(&d), (true, Some(Cold::Cool)));
    d.now = at("2027-02-15T20:00");
    d.act(&edited(&d, &ids, |card| card.ended = Some(when("2027-02-15T08:00"))));
    assert_eq!((line(&d), asked(&d, "2027-02-15T20:00")), ((false, None), vec![]));
    assert_eq!(asked(&d, "2027-02-14"), doubt, "a meal noted of a day in the cold");
}

#[test]
fn before_they_are_paired_the_barns_rule_is_asked() {
    let mut d = Device::new(1);
    d.now = at("2027-02-01T20:00");
    let all = animals(&mut d, &["Ann", "Bel"]);
    let coolings = cooled(&mut d, &all[..1], card("2026-12-01", "2027-02-15"));
    let asked = |d: &Device, at: &str| paired(&all[0], &all[1], at).doubts(&d.book, d.now);
    assert_eq!(asked(&d, "2027-02-01"), [Doubt::StillCool { name: "Ann".into() }]);
    d.now = at("2027-02-15T20:00");
    d.act(&edited(&d, &coolings, |card| card.ended = Some(when("2027-02-15"))));
    let (meals, sheds) = (|taken| Wants::Meals { taken, of: 2 }, Wants::Sheds { seen: 0, of: 1 });
    let wants = vec![Wants::Days { until: day("2027-03-01") }, meals(0), sheds];
    let doubt = Doubt::NotWarm { name: "Ann".into(), wants };
    assert_eq!(asked(&d, "2027-02-15"), std::slice::from_ref(&doubt));
    assert_eq!(
        doubt.to_string(),
        "Ann comes out of cooling, and by the barn's own rule still needs warmth until 1 Mar, 2 more meals, one more \
         shed. Pair anyway?"
    );
    d.now = at("2027-03-05T20:00");
    d.act(&fed(&all[..1], "2027-02-20"));
    d.act(&shed(&all[0], "2027-03-02"));
    let row = |d: &Device| cooling_view(&d.book, &coolings[0], d.now).expect("there").rows.remove(0);
    assert_eq!(row(&d).wants, Some(vec![meals(1)]));
    // The rule is the keeper's.
    assert!(d.draft(&CoolingRuleSet { rule: trade::cooling::Rule { days: 200, ..USUAL } }).is_err());
    d.act(&CoolingRuleSet { rule: trade::cooling::Rule { meals: 1, ..USUAL } });
    assert_eq!((row(&d).wants, asked(&d, "2027-03-05")), (Some(vec![]), vec![]));
    d.act(&CoolingRuleSet { rule: USUAL });
    assert_eq!(asked(&d, "2027-03-05").len(), 1);
    d.now = at("2027-06-30T20:00");
    assert_eq!((row(&d).wants, asked(&d, "2027-06-30")), (None, vec![]), "too long ago to ask");
}

#[test]
fn a_plan_is_put_right_and_bounded() {
    let mut d = Device::new(1);
    d.now = at("2026-11-10T20:00");
    let all = animals(&mut d, &["Ann", "Bel"]);
    let plan = card("2026-12-01", "2027-02-15");
    let coolings = cooled(&mut d, &all, plan.clone());
    assert_eq!(CoolingCard::of(&d.book, &coolings[1]), Some(plan.clone()));
    let again = CoolingSet { animals: all[..1].to_vec(), card: plan.clone() };
    assert_eq!(d.draft(&again), Err(Refusal::CooledAlready { name: "Ann".into() }));
    let untouched = edited(&d, &coolings, |_| {});
    assert_eq!(d.draft(&untouched), Err(Refusal::NothingChanged));
    assert!(d.draft(&CoolingEdited { cards: Vec::new() }).is_err());
    let twice = [coolings[0].clone(), coolings[0].clone()];
    let twice = edited(&d, &twice, |card| card.temp = None);
    assert_eq!(d.draft(&twice), Err(Refusal::Twice { what: "Ann".into() }));
    // Only what differs is written, of whom it differs.
    let warmer = edited(&d, &coolings[..1], |card| card.temp = Some(cc(1400)));
    assert_eq!(d.act(&warmer).sets.len(), 1);
    type Wrong = (fn(&mut CoolingCard), &'static str);
    let wrongs: &[Wrong] = &[
        (|card| card.from = None, "first day"),
        (|card| card.from = Some(when("2036-12-01")), "three years"),
        (|card| card.until = Some(day("2026-11-30")), "last day"),
        (|card| card.until = Some(day("2036-11-30")), "three years"),
        (|card| card.temp = Some(cc(-500)), "can't be"),
        (|card| card.fast_days = Some(93), "92 days"),
        (|card| card.began = Some(when("2026-11-12")), "future"),
        (|card| card.ended = Some(when("2026-11-12")), "future"),
        (|card| (card.began, card.ended) = (Some(when("2026-11-09")), Some(when("2026-11-08"))), "cannot come before"),
    ];
    for (n, (change, said)) in wrongs.iter().enumerate() {
        let wrong = edited(&d, &coolings, change);
        let refused = d.draft(&wrong).expect_err(said).to_string();
        assert!(refused.to_ascii_lowercase().contains(said), "{n}: {refused}");
        let mut new = plan.clone();
        change(&mut new);
        let other = animals(&mut d, &["Cid"]);
        assert!(d.draft(&CoolingSet { animals: other, card: new }).is_err(), "{n}");
    }
    let odd = |hundredths| {
        let card = CoolingCard { temp: Some(cc(hundredths)), ..plan.clone() };
        CoolingSet { animals: all.clone(), card }.doubts(&d.book, d.now)
    };
    assert_eq!((odd(300), odd(2400)), (vec![], vec![]));
    assert_eq!(odd(299), [Doubt::OddCool { temp: cc(299) }]);
    assert_eq!(odd(2401), [Doubt::OddCool { temp: cc(2401) }]);
}
