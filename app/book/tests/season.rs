//! The season ahead and the seasons behind, on the Alder Lane season.

mod common;

use book::acts::{AnimalEventNoted, SupplySet};
use book::views::*;
use book::words::AnimalEventWhat;
use book::{Book, Kind, PlaceId, SnoozeId, Thing};
use chrono::{NaiveDate, NaiveDateTime};
use common::{Device, cc};
use std::borrow::Cow;
use trade::forecast::Event;

fn day(text: &str) -> NaiveDate {
    text.parse().expect(text)
}

fn now() -> NaiveDateTime {
    day("2026-06-09").and_hms_opt(13, 20, 0).expect("a time")
}

fn alder_lane() -> Book {
    common::alder_lane("2026-06-09")
}

fn whole(drawn: &Drawn) -> f64 {
    drawn.season.whole(Event::Out).mean
}

fn group(drawn: &Drawn, name: &str) -> usize {
    drawn.by.iter().position(|source| source.name == name).expect(name)
}

/// The mean week in which a group's babies come out.
fn middle_week(drawn: &Drawn, name: &str) -> f64 {
    let group = group(drawn, name);
    let (mut sum, mut weight) = (0.0, 0.0);
    for week in 0..drawn.season.weeks {
        let makers = drawn.season.makers(Event::Out, week);
        let mean = makers.iter().find(|maker| maker.group == group).map_or(0.0, |maker| maker.mean);
        (sum, weight) = (sum + mean * week as f64, weight + mean);
    }
    sum / weight
}

#[test]
fn parts_of_the_barn_add_up_to_the_whole() {
    let book = alder_lane();
    let gathered = gather(&book, now(), &WhatIf::default());
    let all = gathered.draw(&Scope::All);
    let choices = gathered.choices(&book);
    let sum = |scopes: Vec<Scope>| scopes.iter().map(|scope| whole(&gathered.draw(scope).laid)).sum::<f64>();
    let close = |a: f64, b: f64| (a - b).abs() < 0.02 * b;
    assert!(close(sum(choices.species.iter().map(|s| Scope::Species(s.0.clone())).collect()), whole(&all.laid)));
    assert!(close(sum(choices.parents.iter().map(|p| Scope::Parents(p.clone())).collect()), whole(&all.laid)));
    assert!(whole(&all.laid) > 100.0 && whole(&all.paired) > 10.0);
    assert!(close(whole(&gathered.both(&Scope::All)), whole(&all.laid) + whole(&all.paired)));
    // Of pairs apart, both are what is laid, and nothing is drawn again.
    let (mut alone, mut paired) = (0, 0);
    for scope in choices.parents.iter().map(|p| Scope::Parents(p.clone())) {
        let (season, both) = (gathered.draw(&scope), gathered.both(&scope));
        let beside = gathered.both_beside(&season, &scope);
        assert_eq!(format!("{:?}", *beside), format!("{both:?}"));
        *if season.paired.by.is_empty() { &mut alone } else { &mut paired } += 1;
        assert_eq!(matches!(beside, Cow::Borrowed(_)), season.paired.by.is_empty());
    }
    assert!(alone > 0 && paired > 0, "{alone} laid only, {paired} not");
    let names: Vec<&str> = all.paired.by.iter().map(|source| source.name.as_str()).collect();
    assert!(names.contains(&"Yarrow × Flint") && names.contains(&"Vesper × Ember"), "{names:?}");
    assert!(all.laid.by.iter().any(|source| source.name == "26-19"), "found and not pulled, it counts all the same");
}

#[test]
fn the_same_records_give_the_same_season() {
    let book = alder_lane();
    let ahead = |book: &Book| gather(book, now(), &WhatIf::default()).draw(&Scope::All);
    let (a, b) = (ahead(&book), ahead(&alder_lane()));
    for week in 0..a.laid.season.weeks {
        for event in Event::ALL {
            assert_eq!(a.laid.season.week(event, week), b.laid.season.week(event, week));
        }
    }
}

#[test]
fn what_if_moves_what_it_names_and_leaves_no_trace() {
    let book = alder_lane();
    let digest = book.journal().digest();
    let plain = gather(&book, now(), &WhatIf::default()).draw(&Scope::All);
    let clutch = book.clutches_numbered("26-10").next().expect("there").id.clone();
    let shelf = book.place_of(&book.fillings_of(&clutch)[0].id.thing()).expect("on a shelf").id.clone();
    let pairing = book.pairings().find(|p| book.short_name(&p.id.thing()) == "Yarrow × Flint").expect("there");
    let what_if = WhatIf { set: vec![(shelf, cc(2550))], later: vec![(pairing.id.clone(), 28)] };
    let changed = gather(&book, now(), &what_if).draw(&Scope::All);
    assert!(middle_week(&changed.laid, "26-10") > middle_week(&plain.laid, "26-10") + 0.5, "cooler is later");
    assert_eq!(middle_week(&changed.laid, "26-08"), middle_week(&plain.laid, "26-08"), "another shelf stays");
    let minna = "Wilhelmina of the Upper Orchard, called Minna × Pepper";
    assert_eq!(middle_week(&changed.paired, minna), middle_week(&plain.paired, minna));
    assert!(middle_week(&changed.paired, "Yarrow × Flint") > middle_week(&plain.paired, "Yarrow × Flint") + 2.0);
    let again = gather(&book, now(), &WhatIf::default()).draw(&Scope::All);
    assert_eq!(middle_week(&again.laid, "26-10"), middle_week(&plain.laid, "26-10"));
    assert_eq!(book.journal().digest(), digest);
}

#[test]
fn what_is_seen_of_a_female_moves_her_eggs_as_it_does_on_rounds() {
    let mut device = Device::new(9);
    device.book = alder_lane();
    device.identity.book = device.book.journal().book();
    device.now = now();
    let name = "Wilhelmina of the Upper Orchard, called Minna × Pepper";
    let dam = device
        .book
        .pairings()
        .find(|pairing| device.book.short_name(&pairing.id.thing()) == name)
        .expect("paired")
        .dams[0]
        .clone();
    let seen = |book: &Book| {
        let drawn = gather(book, now(), &WhatIf::default()).draw(&Scope::All).paired;
        (drawn.by[group(&drawn, name)].chance, middle_week(&drawn, name))
    };
    let (chance, week) = seen(&device.book);
    assert!(chance < 0.95);
    // Ovulation four days ago and then the shed today: each makes eggs all but sure, and the later sign counts.
    let mut note = |what, on: &str| {
        let when = common::when(on);
        device.act(&AnimalEventNoted { shed: None, animal: dam.clone(), what, when, mass: None, note: String::new() });
        let outlook = device.book.outlook(&dam, now()).expect("something was seen");
        (seen(&device.book), outlook.window.eggs.median)
    };
    let ((after_ovulation, ovulated), first) = note(AnimalEventWhat::Ovulation, "2026-06-05");
    let ((after_shed, shed), second) = note(AnimalEventWhat::PreLayShed, "2026-06-09");
    assert_eq!((after_ovulation, after_shed), (0.95, 0.95));
    assert_ne!(ovulated, week);
    let moved = (second - first).num_hours() as f64 / 168.0;
    assert!((shed - ovulated - moved).abs() < 0.5, "weeks: {ovulated} to {shed}, her window by {moved}");
}

#[test]
fn what_there_is_is_as_the_keeper_says() {
    let mut device = Device::new(1);
    let place = |n: u32| PlaceId::new(format!("SHELF{n:03}"));
    for (what, have) in [(NeedWhat::Tubs.key(), 40), (shelf_key(&place(1)), 6), (NeedWhat::Tubs.key(), 44)] {
        device.act(&SupplySet { what, have: Some(have) });
    }
    let have = |device: &Device, what: &str| device.book.supply(what).and_then(|supply| supply.have);
    assert_eq!(have(&device, "tub"), Some(44));
    assert_eq!(have(&device, &shelf_key(&place(1))), Some(6));
    assert_eq!(have(&device, &shelf_key(&place(2))), None);
    device.act(&SupplySet { what: "tub".to_owned(), have: None });
    assert_eq!(have(&device, "tub"), None);
    let refused = device.draft(&SupplySet { what: " ".to_owned(), have: Some(1) }).expect_err("of nothing");
    assert!(!refused.to_string().is_empty());
}

#[test]
fn needs_grow_with_what_comes() {
    let book = alder_lane();
    let gathered = gather(&book, now(), &WhatIf::default());
    let needs = needs(&book, &gathered, &gathered.both(&Scope::All));
    let row = |what: &NeedWhat| needs.rows.iter().find(|row| row.what == *what).expect("a row");
    let tubs = row(&NeedWhat::Tubs);
    assert!(tubs.have.is_some_and(|have| have > 0), "empty tubs are counted");
    assert!(tubs.weeks[20].needed.mean > tubs.weeks[0].needed.mean + 80.0);
    assert!(tubs.short.is_some());
    assert!(row(&NeedWhat::YoungFeeders).weeks[12].needed.mean > 50.0);
    assert!(needs.rows.iter().any(|row| matches!(&row.what, NeedWhat::Feeders(prey) if prey.contains("mouse"))));
    let frees: usize = needs.shelves.iter().map(|shelf| shelf.boxes.len()).sum();
    assert_eq!(frees, book.open_boxes().len());
    assert!(needs.shelves.iter().any(|shelf| !shelf.coming.is_empty()));
}

#[test]
fn looking_back_shows_its_n_and_ranks_nothing_by_chance() {
    let book = alder_lane();
    let back = LookBack::of(&book, now());
    for of in Of::ALL {
        for by in By::ALL {
            let found = back.behind(of, by);
            let named: Vec<&str> = found.rows.iter().map(|row| row.name.as_str()).collect();
            let counted: u32 = found
                .rows
                .iter()
                .map(|row| match row.figure {
                    Figure::Rate(rate) => {
                        assert!(rate.n > 0 && rate.share.is_some());
                        rate.clutches
                    }
                    Figure::Mean(mean) => mean.clutches,
                })
                .sum();
            assert!(found.rows.iter().all(|row| !row.clutches.is_empty()), "{of:?} {by:?}");
            for row in &found.rows {
                let Whose { clutches, dams, unknown } = row.whose;
                assert_eq!(clutches as usize, row.clutches.len(), "a clutch in two boxes is one: {of:?} {by:?}");
                assert!(dams + unknown <= clutches && (dams > 0 || unknown == clutches), "{:?}", row.whose);
                assert!(!matches!(by, By::Dam | By::Pairing) || (dams, unknown) == (1, 0), "{:?}", row.whose);
            }
            assert!(counted as usize >= found.rows.iter().map(|row| row.clutches.len()).sum::<usize>());
            if !found.verdict.ranks() {
                assert!(named.is_sorted(), "{of:?} {by:?}: not ranked, so by name");
            }
        }
    }
    let (losses, ended) = losses(&book);
    assert!(losses.iter().map(|row| row.eggs).sum::<u32>() < ended);
    assert!(losses.windows(2).all(|pair| pair[0].eggs >= pair[1].eggs));
    let lines = days_lines(&book);
    assert!(lines.iter().any(|line| line.against.is_some_and(|a| a.clutches as usize == line.points.len())));
    // Every dam is one unit of her line, and all lines share the level out.
    let asked: Vec<usize> = lines.iter().filter_map(|line| line.against.map(|against| against.asked)).collect();
    let could = lines.iter().filter_map(|line| line.against);
    let could = could.map(|a| usize::from(a.units > 1) + usize::from(a.slope.is_some())).sum::<usize>();
    assert!(could > 0 && asked.iter().all(|&asked| asked == could), "{asked:?} {could}");
    for line in &lines {
        // Where she is not known a clutch stands for itself.
        let whose = line.points.iter().map(|point| {
            let dams = &book.clutch(&point.clutch).expect("there").dams;
            if dams.len() == 1 { dams[0].to_string() } else { point.clutch.to_string() }
        });
        let whose: std::collections::BTreeSet<String> = whose.collect();
        assert!(line.against.is_none_or(|a| a.outside > 0 || a.units as usize == whose.len()), "{line:?}");
    }
}

#[test]
fn nothing_is_called_by_its_id() {
    let book = alder_lane();
    let there = |kind: Kind| book.journal().records(kind.word()).map(|(id, _)| id.to_owned()).collect::<Vec<_>>();
    for &kind in Kind::ALL {
        let nobodys = match kind {
            // A species that is not here is called as it was typed.
            Kind::Species => None,
            _ => Some("7K3QX2M9".to_owned()),
        };
        for id in there(kind).into_iter().chain(nobodys) {
            let name = book.short_name(&Thing::new(kind, id.clone()));
            assert!(!name.is_empty() && !name.contains(&id), "{kind:?} {id}: {name}");
        }
    }
    assert_eq!(book.short_name(&Thing::new(Kind::Filling, "7K3QX2M9")), "box that is not here");
    let of = book.animals()[0];
    let put_off = SnoozeId::new(format!("ready.{}", of.id.thing()));
    assert_eq!(book.short_name(&put_off.thing()), book.animal_name(&of.id));
}
