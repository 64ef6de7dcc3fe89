//! Follicles and ovulation: what was found, what is learned from it, and her season on one line.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use trade::lay::Sign;

const PYTHON: &str = "python-regius";

fn female(d: &mut Device, name: &str) -> AnimalId {
    let card = AnimalCard {
        name: name.to_owned(),
        species: Some(PYTHON.to_owned()),
        sex: Some(Sex::Female),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn looked(animal: &AnimalId, day: &str, mm: Option<i64>) -> FolliclesNoted {
    FolliclesNoted {
        animal: animal.clone(),
        when: when(day),
        looked: Some(LookedAs::Ultrasound),
        side: None,
        follicle_um: mm.map(|mm| mm * 1_000),
        follicles: None,
        note: String::new(),
    }
}

fn note(d: &mut Device, animal: &AnimalId, what: AnimalEventWhat, day: &str) {
    let (animal, when) = (animal.clone(), when(day));
    d.act(&AnimalEventNoted { shed: None, animal, what, when, mass: None, note: String::new() });
}

fn laid(d: &mut Device, dam: &AnimalId, day: &str) {
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.laid = Some(when(day));
    act.card.counts = Some(Counts { good: 6, dud: 0, slug: 0 });
    act.boxes.clear();
    d.act(&act);
}

/// A season gone by: a look at follicles of 30 mm, ovulation so many days later, her shed and her eggs.
fn season(d: &mut Device, dam: &AnimalId, year: i32, to_ovulation: i64, to_shed: i64) {
    let looked_on = chrono::NaiveDate::from_ymd_opt(year, 2, 1).expect("a day");
    let after = |days: i64| (looked_on + chrono::TimeDelta::days(days)).to_string();
    d.act(&looked(dam, &after(0), Some(30)));
    note(d, dam, AnimalEventWhat::Ovulation, &after(to_ovulation));
    note(d, dam, AnimalEventWhat::PreLayShed, &after(to_ovulation + to_shed));
    laid(d, dam, &after(to_ovulation + to_shed + 28));
}

fn her(d: &Device, id: &AnimalId) -> HerSeason {
    animal_view(&d.book, id, d.now).expect("there").breeding.expect("a female").season
}

fn steps(season: &HerSeason) -> Vec<SeasonStep> {
    season.seen.iter().map(|seen| seen.step).collect()
}

/// The day that lies in the middle of what is expected, and on what it stands.
fn awaited(season: &HerSeason, step: SeasonStep) -> Option<(i64, i64, Basis)> {
    let ahead = season.ahead.iter().find(|ahead| ahead.step == step)?;
    let day = |day: chrono::NaiveDate| day.signed_duration_since("2026-01-01".parse().expect("a day")).num_days();
    Some((day(ahead.from), day(ahead.to), ahead.basis))
}

fn device(now: &str) -> Device {
    let mut d = Device::new(1);
    d.now = at(now);
    d
}

#[test]
fn a_finding_is_noted_put_right_and_taken_back() {
    let mut d = device("2026-02-01T20:00");
    let bel = female(&mut d, "Bel");
    let mut act = looked(&bel, "2026-02-01", Some(18));
    (act.side, act.follicles) = (Some(Side::Left), Some(5));
    d.act(&act);
    let event = d.book.animal_events(&bel).next().expect("noted").id.clone();
    let found = |d: &Device| her(d, &bel).seen.first().and_then(|seen| seen.finding);
    let at_first =
        Finding { looked: Some(LookedAs::Ultrasound), side: Some(Side::Left), um: Some(18_000), count: Some(5) };
    assert_eq!(found(&d), Some(at_first));
    assert_eq!(steps(&her(&d, &bel)), [SeasonStep::Follicles]);

    let edit = |d: &Device| AnimalEventEdited::of(&d.book, &event, when("2026-02-01")).expect("there");
    let wider = AnimalEventEdited { follicle_um: Some(18_500), side: None, ..edit(&d) };
    d.act(&wider);
    assert_eq!(found(&d), Some(Finding { um: Some(18_500), side: None, ..at_first }));
    // What turns out to have been an ovulation has no size, and no side.
    let other = AnimalEventEdited { what: AnimalEventWhat::Ovulation, ..edit(&d) };
    d.act(&other);
    let stands = d.book.animal_event(&event).expect("there").clone();
    assert_eq!((stands.follicle_um, stands.follicles, stands.looked), (None, None, None));
    assert_eq!(steps(&her(&d, &bel)), [SeasonStep::Ovulation]);

    d.act(&Withdrawn { thing: event.thing() });
    assert_eq!(her(&d, &bel).seen, []);
}

#[test]
fn a_finding_that_cannot_be_is_refused() {
    let mut d = device("2026-02-01T20:00");
    let bel = female(&mut d, "Bel");
    let refused = |d: &mut Device, act: FolliclesNoted| d.draft(&act).expect_err("refused").to_string();
    let base = looked(&bel, "2026-01-31", None);
    for (act, sentence) in [
        (looked(&bel, "2026-01-31", Some(0)), "between 1 and 150 mm"),
        (looked(&bel, "2026-01-31", Some(151)), "between 1 and 150 mm"),
        (FolliclesNoted { follicles: Some(201), ..base.clone() }, "up to 200"),
        (FolliclesNoted { follicles: Some(0), ..looked(&bel, "2026-01-31", Some(9)) }, "none"),
        (looked(&bel, "2026-02-03", Some(9)), "future"),
        (FolliclesNoted { animal: "nobody".into(), ..base.clone() }, "is not on this device"),
    ] {
        let said = refused(&mut d, act.clone());
        assert!(said.contains(sentence), "{act:?}: {said}");
    }
    d.act(&FolliclesNoted { follicles: Some(0), ..base });
    assert_eq!(her(&d, &bel).seen.len(), 1, "none there is a finding");
}

#[test]
fn her_line_goes_from_cooling_to_laying_and_begins_anew() {
    use SeasonStep::*;
    let mut d = device("2026-01-20T20:00");
    let (bel, moss) = (female(&mut d, "Bel"), female(&mut d, "Moss"));
    let card = CoolingCard {
        from: Some(when("2025-11-15")),
        until: "2026-01-25".parse().ok(),
        began: Some(when("2025-11-15")),
        ..CoolingCard::default()
    };
    d.act(&CoolingSet { animals: vec![bel.clone()], card });
    let planned = ExpectedStep {
        step: Warm,
        from: "2026-01-25".parse().expect("a day"),
        to: "2026-01-25".parse().expect("a day"),
        basis: Basis::Planned,
    };
    assert_eq!((steps(&her(&d, &bel)), her(&d, &bel).ahead), (vec![Cooling], vec![planned]));

    d.now = at("2026-03-20T20:00");
    let cooling = d.book.coolings(&bel).next().expect("one").id.clone();
    let card = CoolingCard { ended: Some(when("2026-01-25")), ..CoolingCard::of(&d.book, &cooling).expect("there") };
    d.act(&CoolingEdited { cards: vec![(cooling, card)] });
    let act =
        Paired { dams: vec![bel.clone()], sires: vec![moss.clone()], when: when("2026-02-10"), note: String::new() };
    let pairing = d.make(Kind::Pairing, &act, PairingId::new);
    for day in ["2026-02-11", "2026-02-14", "2026-02-19"] {
        d.act(&LockNoted { pairing: pairing.clone(), when: when(day) });
    }
    d.act(&looked(&bel, "2026-02-12", Some(18)));
    d.act(&looked(&bel, "2026-03-10", Some(31)));
    let season = her(&d, &bel);
    assert_eq!(steps(&season), [Cooling, Introduced, Lock, Follicles, Follicles]);
    let lock = season.seen.iter().find(|seen| seen.step == Lock).expect("seen");
    assert_eq!((lock.when, lock.until, lock.times), (when("2026-02-11"), Some(when("2026-02-19")), 3));
    assert_eq!(season.seen.first().and_then(|seen| seen.until), Some(when("2026-01-25")));
    let sizes: Vec<_> = season.seen.iter().filter_map(|seen| seen.finding?.um).collect();
    assert_eq!(sizes, [18_000, 31_000]);
    assert_eq!(season.ahead.iter().map(|a| a.step).collect::<Vec<_>>(), [Laid], "nothing is known of follicles yet");

    note(&mut d, &bel, AnimalEventWhat::Ovulation, "2026-03-15");
    let season = her(&d, &bel);
    // Common practice: the shed 14 to 26 days after, four of five within a narrower range.
    let (from, to, basis) = awaited(&season, PreLayShed).expect("waited for");
    assert_eq!(basis, Basis::Reckoned { after: After::Sign(Sign::Ovulation), own: 0 });
    assert!(73 + 14 <= from && from < to && to <= 73 + 26, "{from} to {to}");
    assert_eq!(
        season.ahead.last().map(|a| (a.step, a.basis)),
        Some((Laid, Basis::Reckoned { after: After::Sign(Sign::Ovulation), own: 0 }))
    );

    d.now = at("2026-06-01T20:00");
    assert_eq!(awaited(&her(&d, &bel), PreLayShed), None, "its days are over");
    note(&mut d, &bel, AnimalEventWhat::PreLayShed, "2026-04-05");
    laid(&mut d, &bel, "2026-05-04");
    let all = [Cooling, Introduced, Lock, Follicles, Follicles, Ovulation, PreLayShed, Laid];
    assert_eq!((steps(&her(&d, &bel)), her(&d, &bel).ahead.len()), (all.to_vec(), 0));
    d.act(&PairingEnded { pairing, when: when("2026-05-20") });
    assert_eq!(steps(&her(&d, &bel)), all, "what only ended is of the season before");
    // Nobody saw it laid.
    let clutch = d.book.clutches_of(&bel).next().expect("one").id.clone();
    let as_laid = ClutchCard::of(&d.book, &clutch).expect("there");
    let card = ClutchCard { found: as_laid.laid, laid: None, ..as_laid.clone() };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    let now = steps(&her(&d, &bel));
    assert_eq!((now.last(), now.len()), (Some(&Found), all.len()));
    d.act(&ClutchEdited { clutch, card: as_laid });
    d.now = at("2026-12-05T20:00");
    d.act(&looked(&bel, "2026-12-01", Some(8)));
    assert_eq!(steps(&her(&d, &bel)), [Laid, Follicles], "the next");
    let card = CoolingCard {
        from: Some(when("2026-11-15")),
        began: Some(when("2026-11-15")),
        ended: Some(when("2026-11-30")),
        ..CoolingCard::default()
    };
    d.act(&CoolingSet { animals: vec![bel.clone()], card });
    assert_eq!(steps(&her(&d, &bel)), [Cooling, Follicles], "a cooling begins a season of its own");
}

#[test]
fn follicles_foretell_ovulation_once_three_seasons_tell() {
    let mut d = device("2026-03-03T20:00");
    let (bel, ivy) = (female(&mut d, "Bel"), female(&mut d, "Ivy"));
    let now = |d: &mut Device, mm| {
        let dam = female(d, "New");
        d.act(&looked(&dam, "2026-03-01", Some(mm)));
        awaited(&her(d, &dam), SeasonStep::Ovulation)
    };
    season(&mut d, &bel, 2024, 19, 20);
    season(&mut d, &bel, 2025, 21, 21);
    assert_eq!(now(&mut d, 30), None, "two seasons are not enough");
    season(&mut d, &ivy, 2025, 20, 19);
    let (from, to, basis) = now(&mut d, 30).expect("three are");
    assert_eq!(basis, Basis::Reckoned { after: After::Follicles, own: 3 });
    // The first of March is day 59; some twenty days later.
    assert!(from <= 59 + 20 && 59 + 20 <= to && to - from < 30, "{from} to {to}");
    assert_eq!(now(&mut d, 20), None, "of smaller ones nothing is known");
    assert!(now(&mut d, 33).is_some(), "alike");

    // Looked at every few days, a season still counts once.
    for day in ["2025-02-03", "2025-02-05", "2025-02-07"] {
        d.act(&looked(&ivy, day, Some(31)));
    }
    assert_eq!(now(&mut d, 30).map(|(.., basis)| basis), Some(basis));
    // None there any more: nothing is waited for.
    let dam = female(&mut d, "Fern");
    d.act(&looked(&dam, "2026-03-01", Some(30)));
    assert!(awaited(&her(&d, &dam), SeasonStep::Ovulation).is_some());
    d.act(&FolliclesNoted { follicles: Some(0), ..looked(&dam, "2026-03-02", None) });
    assert_eq!(awaited(&her(&d, &dam), SeasonStep::Ovulation), None);
}

#[test]
fn sheds_are_foretold_from_the_barns_own_and_her_intervals_are_listed() {
    let mut d = device("2026-03-03T20:00");
    let (bel, ivy) = (female(&mut d, "Bel"), female(&mut d, "Ivy"));
    note(&mut d, &bel, AnimalEventWhat::Ovulation, "2026-03-01");
    let middle = |d: &Device| {
        let (from, to, basis) = awaited(&her(d, &bel), SeasonStep::PreLayShed).expect("waited for");
        (from + to, basis)
    };
    let (before, basis) = middle(&d);
    assert_eq!(basis, Basis::Reckoned { after: After::Sign(Sign::Ovulation), own: 0 });
    assert_eq!(her(&d, &bel).legs, []);
    for (year, shed) in [(2023, 25), (2024, 26), (2025, 27)] {
        season(&mut d, &ivy, year, 20, shed);
    }
    season(&mut d, &bel, 2025, 22, 26);
    let (later, basis) = middle(&d);
    assert_eq!(basis, Basis::Reckoned { after: After::Sign(Sign::Ovulation), own: 4 });
    assert!(later > before + 2, "{before} and {later}: this barn's come later");
    let of = |leg, hers: &[i64], others: &[i64]| OwnLeg { leg, hers: hers.to_vec(), others: others.to_vec() };
    assert_eq!(
        her(&d, &bel).legs,
        [
            of(Leg::FolliclesToOvulation, &[22], &[20, 20, 20]),
            of(Leg::OvulationToShed, &[26], &[25, 26, 27]),
            of(Leg::OvulationToEggs, &[54], &[53, 54, 55]),
            of(Leg::ShedToEggs, &[28], &[28, 28, 28]),
        ]
    );
    // A shed noted twice of one ovulation teaches once.
    note(&mut d, &bel, AnimalEventWhat::PreLayShed, "2025-03-28");
    assert_eq!(middle(&d), (later, basis));
}

#[test]
fn what_is_taken_back_is_unlearned() {
    let mut d = device("2026-03-03T20:00");
    let ivy = female(&mut d, "Ivy");
    season(&mut d, &ivy, 2025, 20, 20);
    let event =
        d.book.animal_events(&ivy).find(|e| e.what == Some(AnimalEventWhat::Ovulation)).expect("one").id.clone();
    assert_eq!(her(&d, &ivy).legs.len(), 4);
    d.act(&Withdrawn { thing: event.thing() });
    assert_eq!(her(&d, &ivy).legs.iter().map(|leg| leg.leg).collect::<Vec<_>>(), [Leg::ShedToEggs]);
}
