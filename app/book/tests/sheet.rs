//! What a spreadsheet's rows make: places, animals with parents of the same sheet, weights, clutches with their eggs.

mod common;

use book::acts::{AnimalCard, ClutchCard, PlaceCard, SheetAnimal, SheetBroughtIn, SheetRow};
use book::records::Counts;
use book::words::{Fate, PlaceWhat, Sex};
use book::{AnimalId, ClutchId, PlaceId};
use common::*;
use trade::money::{Currency, Money};

fn animal(id: &str, name: &str) -> SheetAnimal {
    let card = AnimalCard { name: name.to_owned(), ..AnimalCard::default() };
    SheetAnimal { id: AnimalId::from(id), card, place: None, weight: None, asked: None }
}

fn row(animal: SheetAnimal) -> SheetRow {
    SheetRow::Animal(Box::new(animal))
}

#[test]
fn parents_places_weights_and_prices_come_in_with_their_animals() {
    let mut barn = Device::new(1);
    let (rack, tub) = (PlaceId::from("RACK0001"), PlaceId::from("TVB00001"));
    let card = PlaceCard { within: Some(rack.clone()), ..PlaceCard::new(PlaceWhat::Tub, "3") };
    let bel = SheetAnimal {
        place: Some(tub.clone()),
        weight: Some((g(1240), when("2026-06-01"))),
        asked: Currency::of("EUR").map(|currency| Money { minor: 8_000, currency }),
        card: AnimalCard { sex: Some(Sex::Female), born: Some(when("2021-07-01")), ..animal("", "Bel").card },
        ..animal("BEL00001", "Bel")
    };
    let child = AnimalCard { dam: Some(bel.id.clone()), born: Some(when("2024-07-01")), ..animal("", "Ash").card };
    let rows = vec![
        SheetRow::Place(rack.clone(), PlaceCard::new(PlaceWhat::Rack, "Rack 1")),
        SheetRow::Place(tub.clone(), card),
        row(bel.clone()),
        row(SheetAnimal { card: child, ..animal("ASH00001", "Ash") }),
    ];
    barn.act(&SheetBroughtIn { rows });
    let book = &barn.book;
    assert_eq!(
        book.place_of(&bel.id.thing()).map(|place| book.path_names(&place.id).join(" · ")),
        Some("Rack 1 · 3".into())
    );
    assert_eq!(book.weights(&bel.id), [(g(1240), Some(when("2026-06-01")))]);
    assert_eq!(book.animal(&bel.id).and_then(|animal| animal.asked).map(Money::text), Some("80.00 EUR".into()));
    assert_eq!(book.currency(), Currency::of("EUR"), "whoever writes a first amount writes amounts down");
    assert_eq!(book.animal(&AnimalId::from("ASH00001")).and_then(|ash| ash.dam.clone()), Some(bel.id.clone()));

    // Brought in again with another name it is changed, and what the card does not say is not taken away.
    let again = AnimalCard { name: "Bella".into(), ..AnimalCard::of(book, &bel.id).expect("Bel") };
    barn.act(&SheetBroughtIn { rows: vec![row(SheetAnimal { card: again, ..animal("BEL00001", "") })] });
    let stands = barn.book.animal(&bel.id).expect("Bel");
    assert_eq!((stands.name.as_deref(), stands.sex), (Some("Bella"), Some(Sex::Female)));
    assert!(stands.asked.is_some());
}

#[test]
fn what_cannot_be_is_refused_among_rows_too() {
    let mut barn = Device::new(1);
    let dam = SheetAnimal {
        card: AnimalCard { born: Some(when("2025-07-01")), ..animal("", "Bel").card },
        ..animal("BEL00001", "Bel")
    };
    let with = |card: AnimalCard| {
        row(SheetAnimal { card: AnimalCard { name: "Ash".into(), ..card }, ..animal("ASH00001", "") })
    };
    let by = |dam: &str, sire: Option<&str>, born: Option<&str>| AnimalCard {
        dam: Some(AnimalId::from(dam)),
        sire: sire.map(AnimalId::from),
        born: born.map(when),
        ..AnimalCard::default()
    };
    for (card, part) in [
        (by("BEL00001", None, Some("2024-07-01")), "birth"),
        (by("BEL00001", Some("BEL00001"), None), "Bel"),
        (by("ASH00001", None, None), "is not on this device"),
        (by("N0NE0000", None, None), "is not on this device"),
    ] {
        let rows = vec![row(dam.clone()), with(card.clone())];
        let said = barn.draft(&SheetBroughtIn { rows }).expect_err("refused").to_string();
        assert!(said.contains(part), "{card:?}: {said}");
    }
    let nowhere = SheetAnimal { place: Some(PlaceId::from("N0NE0000")), ..animal("ASH00001", "Ash") };
    let light = SheetAnimal { weight: Some((g(0), when("2026-06-01"))), ..animal("ASH00001", "Ash") };
    let to_come = SheetAnimal { weight: Some((g(9), when("2026-07-01"))), ..animal("ASH00001", "Ash") };
    for bad in [nowhere, light, to_come] {
        assert!(barn.draft(&SheetBroughtIn { rows: vec![row(bad.clone())] }).is_err(), "{bad:?}");
    }
}

#[test]
fn a_clutch_of_long_ago_has_its_eggs() {
    let mut barn = Device::new(1);
    let bel = animal("BEL00001", "Bel");
    barn.act(&SheetBroughtIn { rows: vec![row(bel.clone())] });
    let card = ClutchCard {
        number: "24-001".into(),
        dams: vec![bel.id],
        laid: Some(when("2024-05-02")),
        counts: Some(Counts { good: 8, dud: 0, slug: 1 }),
        ..ClutchCard::default()
    };
    let id = ClutchId::from("CL000001");
    let clutch = SheetRow::Clutch(id.clone(), Box::new(card), Some(6));
    assert_eq!(clutch.records(), 10);
    barn.act(&SheetBroughtIn { rows: vec![clutch] });
    let fates: Vec<Option<Fate>> = barn.book.eggs_of(&id).iter().map(|egg| egg.fate).collect();
    let of = |fate| fates.iter().filter(|egg| **egg == Some(fate)).count();
    assert_eq!((of(Fate::Hatched), of(Fate::Unknown), of(Fate::Removed)), (6, 2, 1));
}
