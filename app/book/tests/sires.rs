//! Who may be the sire of a clutch: males of earlier seasons, one nobody knows, none; and what the babies say of it.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use std::collections::BTreeMap;
use trade::when::When;

const CORN: &str = "pantherophis-guttatus";
const AMEL: &str = "corn-amelanistic";

fn animal(d: &mut Device, name: &str, sex: Sex) -> AnimalId {
    let card =
        AnimalCard { name: name.to_owned(), species: Some(CORN.to_owned()), sex: Some(sex), ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn paired(d: &mut Device, dam: &AnimalId, sire: &AnimalId, from: &str, to: Option<&str>) -> PairingId {
    let act = Paired { dams: vec![dam.clone()], sires: vec![sire.clone()], when: when(from), note: String::new() };
    let pairing = d.make(Kind::Pairing, &act, PairingId::new);
    if let Some(to) = to {
        d.act(&PairingEnded { pairing: pairing.clone(), when: when(to) });
    }
    pairing
}

fn note(d: &mut Device, lines: &[(&AnimalId, Option<TraitSeen>, Option<TraitKnown>)]) {
    let line = |&(animal, seen, known): &(&AnimalId, Option<TraitSeen>, Option<TraitKnown>)| GenotypeLine {
        animal: Some(animal.clone()),
        of_trait: AMEL.to_owned(),
        seen,
        known,
        ..GenotypeLine::default()
    };
    let act = GenotypesNoted { lines: lines.iter().map(line).collect(), when: When::time(d.now) };
    d.act(&act);
}

/// A clutch of six, with everything that may have sired it.
fn pulled(d: &mut Device, dam: &AnimalId, sires: &[&AnimalId], unknown_male: bool, no_male: bool) -> ClutchId {
    d.act(&IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(2780)));
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.laid = Some(When::time(d.now));
    act.card.sires = sires.iter().map(|id| (*id).clone()).collect();
    (act.card.unknown_male, act.card.no_male) = (unknown_male, no_male);
    act.card.counts = Some(Counts { good: 6, dud: 0, slug: 0 });
    act.boxes[0].closed = Some(g(1500));
    d.make(Kind::Clutch, &act, ClutchId::new)
}

/// Its babies, as the box's page writes them.
fn hatched(d: &mut Device, clutch: &ClutchId) -> Vec<AnimalId> {
    d.later(60 * 24);
    let eggs: Vec<EggId> = d.book.eggs_of(clutch).iter().map(|egg| egg.id.clone()).collect();
    let filling = d.book.fillings_of(clutch)[0].id.clone();
    let babies = eggs.iter().zip(1..).map(|(egg, n)| NewBaby {
        eggs: vec![egg.clone()],
        code: format!("baby {n}"),
        ..NewBaby::default()
    });
    let act = HatchedOut { filling, babies: babies.collect(), others: BTreeMap::new(), when: None };
    d.all(Kind::Animal, &act).into_iter().map(|thing| AnimalId::new(thing.id)).collect()
}

/// Of her last pairing.
fn paired_clutches(d: &Device, dam: &AnimalId) -> usize {
    let pairing = d.book.pairings_of(dam).next().expect("paired").id.clone();
    pairing_view(&d.book, &pairing, d.now).expect("there").row.clutches.len()
}

fn weighed(d: &Device, clutch: &ClutchId) -> Vec<(String, f64)> {
    let looks = clutch_looks(&d.book, clutch, &[]).expect("there");
    let of = looks.says.iter().find_map(|says| match says {
        Says::Parent { names, dams: false } => Some(names.iter().map(|(name, _, now)| (name.clone(), *now)).collect()),
        _ => None,
    });
    of.unwrap_or_else(|| panic!("{:?} {:?}", looks.says, looks.trouble))
}

#[test]
fn males_of_earlier_seasons_are_told_with_when_each_was_last_with_her() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel", Sex::Female);
    let [ash, flint, moss] = ["Ash", "Flint", "Moss"].map(|name| animal(&mut d, name, Sex::Male));
    let of = |d: &Device, by: &str| -> Vec<(String, Option<String>, bool, bool)> {
        let males = her_males(&d.book, std::slice::from_ref(&bel), at(by)).into_iter();
        males.map(|m| (m.name, m.last.map(|last| last.to_string()), m.together, m.earlier)).collect()
    };
    let since = |d: &Device, by: &str| no_male_since(&d.book, &bel, at(by));
    assert_eq!((of(&d, "2026-06-09T20:00"), since(&d, "2026-06-09T20:00")), (vec![], None));

    let first = paired(&mut d, &bel, &ash, "2025-03-01", None);
    d.act(&LockNoted { pairing: first.clone(), when: when("2025-03-04T21:00") });
    // Nobody noted the end: they may still be together, and then nothing is said.
    assert_eq!(of(&d, "2026-06-09T20:00"), [("Ash".to_owned(), Some("2025-03-04T21:00".to_owned()), true, false)]);
    assert_eq!(since(&d, "2026-06-09T20:00"), None);
    d.act(&PairingEnded { pairing: first, when: when("2025-03-10") });
    assert_eq!(of(&d, "2026-06-09T20:00"), [("Ash".to_owned(), Some("2025-03-10".to_owned()), false, true)]);
    let told = since(&d, "2026-06-09T20:00").expect("long ago");
    assert_eq!((told.males, told.when, told.days), (vec!["Ash".to_owned()], when("2025-03-10"), 456));
    // A season is what the eggs of a pairing take at most, 270 days.
    assert_eq!(since(&d, "2025-12-05T12:00"), None);
    assert!(since(&d, "2025-12-06T12:00").is_some());
    // By a day before he was with her he was not, and before the end was noted they were together.
    assert_eq!(of(&d, "2025-02-01T00:00"), []);
    assert_eq!(of(&d, "2025-03-05T00:00"), [("Ash".to_owned(), Some("2025-03-04T21:00".to_owned()), true, false)]);

    paired(&mut d, &bel, &flint, "2025-04-01", Some("2025-04-02"));
    paired(&mut d, &bel, &moss, "2026-04-20", Some("2026-04-24"));
    let names: Vec<(String, bool)> = of(&d, "2026-06-09T20:00").into_iter().map(|m| (m.0, m.3)).collect();
    assert_eq!(names, [("Moss".to_owned(), false), ("Flint".to_owned(), true), ("Ash".to_owned(), true)]);
    assert_eq!(since(&d, "2026-06-09T20:00"), None);
    assert_eq!(since(&d, "2026-03-01T00:00").map(|told| told.males), Some(vec!["Flint".to_owned()]));
    // Offered as before: those of this season.
    assert_eq!(d.book.suggest_sires(std::slice::from_ref(&bel), d.now), [moss]);
    // The clutch's page looks back from when it was laid, hers from now.
    let clutch = pulled(&mut d, &bel, &[], false, false);
    assert_eq!(clutch_view(&d.book, &clutch, d.now).expect("there").no_male, None);
    // Eggs of which she may be the only parent are no pairing's, until one of its males is named.
    let of_moss = paired_clutches(&d, &bel);
    pulled(&mut d, &bel, &[], false, true);
    assert_eq!((of_moss, paired_clutches(&d, &bel)), (1, 1));
    d.later(24 * 300);
    assert!(breeding(&d.book, &bel, d.now).no_male.is_some());
    assert_eq!(clutch_view(&d.book, &clutch, d.now).expect("there").no_male, None);
}

#[test]
fn a_clutch_says_all_that_is_possible_and_its_babies_have_no_certain_sire() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel", Sex::Female);
    let moss = animal(&mut d, "Moss", Sex::Male);
    let clutch = pulled(&mut d, &bel, &[&moss], false, true);
    let said = |d: &Device| parents(&d.book, &clutch).sire_names();
    assert_eq!(said(&d), ["Moss", "no male"]);
    assert_eq!(search(&d.book, "26-001", 5)[0].detail, "Bel × Moss / no male");

    let before = ClutchCard::of(&d.book, &clutch).expect("there");
    let card = ClutchCard { unknown_male: true, no_male: false, ..before };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    assert_eq!(said(&d), ["Moss", "unknown male"]);
    d.undo_last();
    assert_eq!(said(&d), ["Moss", "no male"]);

    let babies = hatched(&mut d, &clutch);
    assert_eq!(babies.len(), 6);
    for baby in &babies {
        let baby = d.book.animal(baby).expect("there");
        assert_eq!((baby.dam.as_ref(), baby.sire.as_ref()), (Some(&bel), None));
    }
    // He counts as unrelated to them, and it is said that this is not certain.
    let kin = kin_view(&d.book, &babies[0], &moss);
    assert_eq!((kin.inbreeding, kin.unsure), (0.0, 1));
    let kin = kin_view(&d.book, &babies[0], &babies[1]);
    assert_eq!((kin.inbreeding, kin.unsure), (0.125, 2), "half sibs by their dam at the least");
    // Whom the keeper names of one baby is its sire, whatever is put right of the clutch.
    let card = AnimalCard { sire: Some(moss.clone()), ..AnimalCard::of(&d.book, &babies[0]).expect("there") };
    d.act(&AnimalEdited { animal: babies[0].clone(), card });
    assert_eq!(kin_view(&d.book, &babies[0], &moss).inbreeding, 0.25);

    // What the young got by hatching follows the clutch.
    let wren = animal(&mut d, "Wren", Sex::Female);
    let edit = |d: &mut Device, dam: &AnimalId, no_male| {
        let card = ClutchCard { dams: vec![dam.clone()], no_male, ..ClutchCard::of(&d.book, &clutch).expect("there") };
        d.act(&ClutchEdited { clutch: clutch.clone(), card });
    };
    let of = |d: &Device, n: usize| d.book.animal(&babies[n]).map(|baby| (baby.dam.clone(), baby.sire.clone()));
    edit(&mut d, &bel, false);
    assert_eq!(of(&d, 1), Some((Some(bel.clone()), Some(moss.clone()))));
    edit(&mut d, &wren, true);
    assert_eq!(of(&d, 1), Some((Some(wren.clone()), None)));
    assert_eq!(of(&d, 0), Some((Some(wren), Some(moss.clone()))), "the one of which it was entered");
    d.undo_last();
    assert_eq!(of(&d, 1), Some((Some(bel), Some(moss))));
}

#[test]
fn babies_weigh_every_possibility() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel", Sex::Female);
    let [ash, moss] = ["Ash", "Moss"].map(|name| animal(&mut d, name, Sex::Male));
    use {TraitKnown::*, TraitSeen::*};
    note(&mut d, &[(&bel, Some(No), Some(Het)), (&moss, None, Some(Not))]);
    let clutch = pulled(&mut d, &bel, &[&moss], true, true);
    let babies = hatched(&mut d, &clutch);
    let several = clutch_looks(&d.book, &clutch, &[]).expect("there").several;
    assert_eq!(several, Some(Several { unknown_male: true, no_male: true, silent: vec![] }));
    let third = 1.0 / 3.0;
    let close = |seen: &[(String, f64)], expected: &[(&str, f64)]| {
        let all: f64 = expected.iter().map(|(_, weight)| weight).sum();
        let fits = seen.iter().zip(expected).all(|(s, e)| s.0 == e.0 && (s.1 - e.1 / all).abs() < 1e-9);
        assert!(fits && seen.len() == expected.len(), "{seen:?} {expected:?}");
    };
    close(&weighed(&d, &clutch), &[("Moss", third), ("unknown male", third), ("no male", third)]);
    // Two plain ones, counted out by hand: each copy of an unknown male is amelanistic in 5 of 100.
    note(&mut d, &[(&babies[0], Some(No), None), (&babies[1], Some(No), None)]);
    let unknown = 0.95 * 0.95 + 2.0 * 0.05 * 0.95 * 0.75 * 0.75 + 0.05 * 0.05 * 0.25;
    close(&weighed(&d, &clutch), &[("Moss", 1.0), ("unknown male", unknown), ("no male", 0.25)]);
    // One that shows it is not of him.
    note(&mut d, &[(&babies[2], Some(Shows), None)]);
    let unknown = 2.0 * 0.05 * 0.95 * 0.75 * 0.75 * 0.25 + 0.05 * 0.05 * 0.125;
    close(&weighed(&d, &clutch), &[("Moss", 0.0), ("unknown male", unknown), ("no male", 0.125)]);

    // Without an unknown male only she alone is left, and plain babies then carry nothing.
    let card = ClutchCard { unknown_male: false, ..ClutchCard::of(&d.book, &clutch).expect("there") };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    close(&weighed(&d, &clutch), &[("Moss", 0.0), ("no male", 1.0)]);
    assert_eq!(d.book.genotype_text(&babies[0]), None);
    let looks = clutch_looks(&d.book, &clutch, &[]).expect("there");
    let fit = looks.says.iter().find_map(|says| if let Says::Fit(fit) = says { Some(fit) } else { None });
    let counted: Vec<(u32, f64)> = fit.expect("told").looks.iter().map(|(_, n, expected)| (*n, *expected)).collect();
    assert_eq!(counted, [(2, 1.5), (1, 1.5)], "half and half of three");
    // A male of whom nothing is entered counts as carrying nothing, which is said.
    let card = ClutchCard { sires: vec![moss, ash], ..ClutchCard::of(&d.book, &clutch).expect("there") };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    let several = clutch_looks(&d.book, &clutch, &[]).expect("there").several.expect("several");
    assert_eq!(several.silent, ["Ash"]);
}

#[test]
fn eggs_are_foretold_over_all_that_may_be_their_sires() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel", Sex::Female);
    let [ash, moss] = ["Ash", "Moss"].map(|name| animal(&mut d, name, Sex::Male));
    use TraitKnown::{Het, Homozygous, Not};
    note(&mut d, &[(&bel, None, Some(Het)), (&moss, None, Some(Not)), (&ash, None, Some(Homozygous))]);
    let clutch = pulled(&mut d, &bel, &[&moss], true, true);
    let mixed = |d: &Device| clutch_looks(&d.book, &clutch, &[]).expect("there").mixed;
    let two = mixed(&d).expect("two that can be told");
    assert_eq!(
        (two.of.clone(), two.without_unknown, two.eggs),
        (vec!["Moss".to_owned(), "no male".to_owned()], true, 6)
    );
    // Moss gives none, she alone half: a quarter of all. Each egg of one clutch has the same sire.
    let shares: Vec<(&str, f64)> = two.spread.rows.iter().map(|row| (row.look.as_str(), row.share)).collect();
    assert_eq!(shares, [("", 0.75), ("amelanistic", 0.25)]);
    assert!((two.spread.rows[1].at_least_one - 0.5 * (1.0 - 0.5f64.powi(6))).abs() < 1e-12);
    assert_eq!(two.spread.rows[1].eggs_for_90, None, "he may be the sire");
    // Of plain ones: his are half het, hers alone not.
    assert_eq!(two.spread.rows[0].under, ["poss het amelanistic 33 %"]);

    let card =
        ClutchCard { sires: vec![moss, ash], unknown_male: false, ..ClutchCard::of(&d.book, &clutch).expect("there") };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    let three = mixed(&d).expect("three");
    assert_eq!((three.of.len(), three.without_unknown), (3, false));
    let shows = three.spread.rows.iter().find(|row| row.look == "amelanistic").expect("some show it");
    assert!((shows.share - (0.0 + 0.5 + 0.5) / 3.0).abs() < 1e-12);
    // Only one possibility: the pairing's own page tells it.
    let card = ClutchCard { sires: vec![], ..ClutchCard::of(&d.book, &clutch).expect("there") };
    d.act(&ClutchEdited { clutch: clutch.clone(), card });
    assert_eq!(mixed(&d), None);
}

#[test]
fn the_season_has_a_female_without_a_male_since_last_year() {
    let book = alder_lane("2026-06-09");
    let id = |name: &str| book.all_animals().find(|a| a.name.as_deref() == Some(name)).expect(name).id.clone();
    let told = breeding(&book, &id("Peony"), at("2026-06-09T20:00")).no_male.expect("long ago");
    assert_eq!((told.males, told.days), (vec!["Saxifrage".to_owned()], 452));
    assert!(breeding(&book, &id("Bel"), at("2026-06-09T20:00")).no_male.is_none());
}
