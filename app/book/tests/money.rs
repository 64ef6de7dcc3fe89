//! Prices, deposits and costs: what is for sale, what is still open, sums by kind and year; in which currency, and how it is
//! put right.

mod common;

use book::acts::*;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use trade::money::{Currency, Money};

fn money(text: &str) -> Money {
    text.parse().expect(text)
}

fn animal(d: &mut Device, name: &str) -> AnimalId {
    let card = AnimalCard { name: name.to_owned(), sex: Some(Sex::Female), ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn asked(animal: &AnimalId, price: &str) -> PriceAsked {
    PriceAsked { animal: animal.clone(), asked: Some(money(price)) }
}

fn spent(day: &str, what: &str, amount: &str) -> CostNoted {
    let (when, what, note) = (when(day), what.to_owned(), String::new());
    CostNoted { card: CostCard { when, what, amount: Some(money(amount)), note } }
}

fn sold(d: &Device) -> Vec<(String, String, bool)> {
    for_sale(&d.book).into_iter().map(|row| (row.name, row.asked.to_string(), row.held)).collect()
}

fn row(name: &str, price: &str, held: bool) -> (String, String, bool) {
    (name.to_owned(), price.to_owned(), held)
}

#[test]
fn a_first_price_turns_it_on_and_undoing_it_turns_it_off() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel");
    assert_eq!((d.book.currency(), sold(&d)), (None, vec![]));
    d.act(&asked(&bel, "1200 JPY"));
    assert_eq!(d.book.currency(), Currency::of("JPY"));
    assert_eq!(sold(&d), [row("Bel", "1200 JPY", false)]);
    d.undo_last();
    assert_eq!((d.book.currency(), sold(&d)), (None, vec![]));
    // A first cost, deposit or agreed price does too; words do not.
    d.act(&Held { animals: vec![bel.clone()], price: "a young one of hers".to_owned(), ..Held::default() });
    assert_eq!(d.book.currency(), None);
    d.undo_last();
    d.act(&Held { animals: vec![bel.clone()], deposit: Some(money("20.00 CHF")), ..Held::default() });
    assert_eq!(d.book.currency(), Currency::of("CHF"));
    d.undo_last();
    d.act(&spent("2026-06-01", "Feed", "12.50 GBP"));
    assert_eq!(d.book.currency(), Currency::of("GBP"));
    // What the barn has chosen stays, whatever one amount is in; and what is written stays in its own.
    d.act(&asked(&bel, "80.00 EUR"));
    assert_eq!(d.book.currency(), Currency::of("GBP"));
    d.act(&CurrencySet { currency: Currency::of("USD") });
    assert_eq!(sold(&d), [row("Bel", "80.00 EUR", false)]);
    assert_eq!(d.draft(&CurrencySet { currency: Currency::of("USD") }), Err(Refusal::NothingChanged));
}

#[test]
fn what_is_for_sale_is_here_and_not_kept_back() {
    let mut d = Device::new(1);
    let [bel, moss, ash, wren] = ["Bel", "Moss", "Ash", "Wren"].map(|name| animal(&mut d, name));
    for id in [&bel, &moss, &ash] {
        d.act(&asked(id, "80.00 EUR"));
    }
    assert!(d.draft(&PriceAsked { animal: wren, asked: None }).is_err());
    let contact = d.make(Kind::Contact, &ContactKept::default(), ContactId::new);
    d.act(&Held { animals: vec![moss.clone()], contact: Some(contact), ..Held::default() });
    d.act(&Held { animals: vec![ash], ..Held::default() });
    assert_eq!(sold(&d), [row("Bel", "80.00 EUR", false), row("Moss", "80.00 EUR", true)]);
    d.act(&PriceAsked { animal: bel.clone(), asked: Some(money("90.00 EUR")) });
    d.act(&PriceAsked { animal: bel.clone(), asked: None });
    assert_eq!(sold(&d), [row("Moss", "80.00 EUR", true)]);
    d.undo_last();
    assert_eq!(sold(&d).first(), Some(&row("Bel", "90.00 EUR", false)));
    let (how, price) = (Went::Sold, "85.00 EUR".to_owned());
    let animals = vec![bel.clone()];
    d.act(&AnimalsPlaced { animals, how, to: None, when: when("2026-06-09"), price, note: String::new() });
    assert_eq!(sold(&d), [row("Moss", "80.00 EUR", true)]);
    assert!(matches!(d.draft(&asked(&bel, "70.00 EUR")), Err(Refusal::NotHere { .. })));
    // What it went for is put right on its own page.
    let card = AnimalCard::of(&d.book, &bel).expect("there");
    assert_eq!(card.price, "85.00 EUR");
    d.act(&AnimalEdited { animal: bel.clone(), card: AnimalCard { price: "75.00 EUR".to_owned(), ..card } });
    assert_eq!(d.book.animal(&bel).and_then(|bel| bel.went_price.clone()), Some("75.00 EUR".to_owned()));
    for bad in [0, -1, trade::money::MOST_MINOR + 1] {
        let amount = Money { minor: bad, ..money("1.00 EUR") };
        assert!(d.draft(&PriceAsked { animal: moss.clone(), asked: Some(amount) }).is_err(), "{bad}");
    }
}

#[test]
fn what_is_still_open_is_the_price_without_the_deposit_each_currency_by_itself() {
    let mut d = Device::new(1);
    let contact = d.make(Kind::Contact, &ContactKept::default(), ContactId::new);
    let mut held = |name: &str, price: &str, deposit: Option<&str>| {
        let animals = vec![animal(&mut d, name)];
        let (contact, price, deposit) = (Some(contact.clone()), price.to_owned(), deposit.map(money));
        d.later(1);
        d.make(Kind::Hold, &Held { animals, contact, price, deposit, ..Held::default() }, HoldId::new)
    };
    held("Bel", "80 EUR", Some("20.00 EUR"));
    let paid = held("Moss", "50.00 EUR", Some("60.00 EUR"));
    held("Ash", "1200 JPY", None);
    held("Wren", "a young one of hers", Some("5.00 EUR"));
    held("Fern", "80.00 EUR", Some("10.00 USD"));
    held("Rue", "for nothing", None);
    let told = |d: &Device| {
        let (rows, open) = owed_by(&d.book, &contact);
        let rows: Vec<_> = rows.into_iter().map(|row| (row.animal, row.open.map(|open| open.to_string()))).collect();
        (rows, open.into_iter().map(|open| open.to_string()).collect::<Vec<_>>())
    };
    let is = |name: &str, open: Option<&str>| (name.to_owned(), open.map(str::to_owned));
    let expected = [
        is("Bel", Some("60.00 EUR")),
        is("Moss", Some("0.00 EUR")),
        is("Ash", Some("1200 JPY")),
        is("Wren", None),
        is("Fern", None),
    ];
    assert_eq!(told(&d), (expected.to_vec(), vec!["60.00 EUR".to_owned(), "1200 JPY".to_owned()]));
    // Put right, undone, let go.
    let edit = HoldEdited::of(&d.book, &paid, when("2026-06-01")).expect("there");
    d.act(&HoldEdited { deposit: Some(money("10.00 EUR")), ..edit });
    assert_eq!(told(&d).1, ["100.00 EUR", "1200 JPY"]);
    d.undo_last();
    d.act(&HoldEnded { hold: paid, when: trade::when::When::time(d.now) });
    assert_eq!(told(&d).0.len(), 4);
}

#[test]
fn costs_are_summed_by_year_and_kind_each_currency_by_itself() {
    let mut d = Device::new(1);
    d.act(&spent("2025-12-31", "Feed", "10.10 EUR"));
    d.act(&spent("2026-01-01", "feed", "20.20 EUR"));
    d.act(&spent("2026-03-01", "Medium", "38.50 EUR"));
    d.act(&spent("2026-04-01", "Feed ", "30.30 EUR"));
    d.act(&spent("2026-05-01", "Feed", "7.00 USD"));
    let told = |d: &Device| -> Vec<(Option<i32>, String, Vec<String>)> {
        let kinds = |year: &YearOfCosts| year.kinds.iter().map(|(what, sum)| format!("{what} {sum}")).collect();
        years_of(costs(&d.book)).iter().map(|year| (year.year, year.all.to_string(), kinds(year))).collect()
    };
    let all = told(&d);
    let of = |year, code: &str| all.iter().find(|row| row.0 == Some(year) && row.1.ends_with(code)).cloned();
    let is = |year, all: &str, kinds: &[&str]| {
        Some((Some(year), all.to_owned(), kinds.iter().map(|kind| (*kind).to_owned()).collect::<Vec<_>>()))
    };
    assert_eq!(all.iter().map(|row| row.0).collect::<Vec<_>>(), [Some(2026), Some(2026), Some(2025)]);
    assert_eq!(of(2026, "EUR"), is(2026, "89.00 EUR", &["Feed 50.50 EUR", "Medium 38.50 EUR"]));
    assert_eq!(of(2026, "USD"), is(2026, "7.00 USD", &["Feed 7.00 USD"]));
    assert_eq!(of(2025, "EUR"), is(2025, "10.10 EUR", &["Feed 10.10 EUR"]));
    assert_eq!(kinds_of_cost(&d.book), ["Feed", "Medium"]);

    let last = costs(&d.book)[0].id.clone();
    let edit = CostEdited::of(&d.book, &last, when("2026-06-01")).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    let card = CostCard { amount: Some(money("8.00 USD")), ..edit.card.clone() };
    d.act(&CostEdited { card, ..edit.clone() });
    assert_eq!(costs(&d.book)[0].amount, Some(money("8.00 USD")));
    d.undo_last();
    for bad in [
        CostCard { amount: None, ..edit.card.clone() },
        CostCard { what: "  ".to_owned(), ..edit.card.clone() },
        CostCard { when: when("2031-01-01"), ..edit.card.clone() },
    ] {
        assert!(d.draft(&CostEdited { card: bad.clone(), ..edit.clone() }).is_err(), "{bad:?}");
        assert!(d.draft(&CostNoted { card: bad.clone() }).is_err(), "{bad:?}");
    }
    d.act(&Withdrawn { thing: last.thing() });
    assert_eq!(costs(&d.book).len(), 4);
}

#[test]
fn an_amount_that_a_newer_program_wrote_stays() {
    let mut d = Device::new(1);
    d.act(&spent("2026-05-01", "Feed", "7.00 USD"));
    let id = costs(&d.book)[0].id.clone();
    let fields = serde_json::Map::from_iter([("amount".to_owned(), "7.0000 NEW".into())]);
    let set = d.book.journal().set("cost", id.as_str(), fields);
    let line = d.seal(journal::Draft { act: "Newer".to_owned(), sets: vec![set], ..journal::Draft::default() });
    assert!(line.contains("7.0000 NEW"));
    assert_eq!((costs(&d.book)[0].amount, years_of(costs(&d.book)).len()), (None, 0));
    let edit = CostEdited::of(&d.book, &id, when("2026-06-01")).expect("there");
    d.act(&CostEdited { card: CostCard { note: "later".to_owned(), ..edit.card.clone() }, ..edit });
    let stands = d.book.journal().record("cost", id.as_str()).expect("there");
    assert_eq!(stands.heads("amount").last().map(|head| head.value.clone()), Some("7.0000 NEW".into()));
}
