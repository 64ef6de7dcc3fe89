//! What was undone can be done again. A record whose id names what it is about comes back under the same id, and must not
//! stay taken back while the keeper is told that it is saved.

mod common;

use book::acts::*;
use book::words::Sex;
use book::*;
use common::*;
use trade::money::Currency;

const CORN: &str = "pantherophis-guttatus";

/// With the id of a label that was printed ahead.
fn card() -> AnimalCard {
    AnimalCard { name: "Bel".to_owned(), ..AnimalCard::default() }
}

/// Acts that write a record of a known id in a barn that has none of it yet, each with its kind.
fn acts(d: &mut Device) -> Vec<(Kind, Box<dyn Act>)> {
    let labels = d.act(&BlankLabelsMade { count: 1 });
    let label = made(&labels, Kind::Label).map(|label| AnimalId::new(label.id));
    let book = &d.book;
    let rules = trade::raising::Rules { meals: 9, ..book.rules() };
    let again = trade::again::Rule { meals: 9, ..book.again_rule() };
    let cooled = trade::cooling::Rule { meals: 9, ..book.cooling_rule() };
    let breed = trade::breeders::Rule { age_months: Some(30), ..trade::breeders::Rule::default() };
    let row = SnoozeId::from("water.AAAAAAAA");
    let tomorrow = d.now.date() + chrono::TimeDelta::days(1);
    vec![
        (Kind::Rules, Box::new(CurrencySet { currency: Currency::of("EUR") })),
        (Kind::Rules, Box::new(RulesSet { rules })),
        (Kind::Rules, Box::new(AgainRuleSet { rule: again })),
        (Kind::Rules, Box::new(CoolingRuleSet { rule: cooled })),
        (Kind::Snooze, Box::new(Snoozed { row, until: Some(tomorrow) })),
        (Kind::BreedingRule, Box::new(BreedingRuleSet { species: CORN.to_owned(), sex: Sex::Female, rule: breed })),
        (Kind::CleaningRule, Box::new(CleaningRuleSet { species: None, days: Some(14) })),
        (Kind::Animal, Box::new(AnimalAdded { id: label, card: card(), place: None })),
        (Kind::Supply, Box::new(SupplySet { what: "tub".to_owned(), have: Some(40) })),
    ]
}

/// What stands of a kind: each record's fields.
fn stands(book: &Book, kind: Kind) -> Vec<Vec<(String, String)>> {
    let fields = |record: &journal::Record| -> Vec<(String, String)> {
        record.fields().map(|(name, value)| (name.to_owned(), value.to_string())).collect()
    };
    book.journal().records(kind.word()).map(|(_, record)| fields(record)).collect()
}

#[test]
fn what_was_undone_can_be_done_again_and_undone_again() {
    let n = acts(&mut Device::new(1)).len();
    for at in 0..n {
        let mut d = Device::new(1);
        let (kind, act) = acts(&mut d).swap_remove(at);
        for round in 0..3 {
            assert_eq!(stands(&d.book, kind), Vec::<Vec<_>>::new(), "{kind:?} {at}, round {round}");
            let lines = d.act(act.as_ref());
            let now = stands(&d.book, kind);
            assert_eq!(now.len(), 1, "{kind:?} {at}, round {round}: {lines:?}");
            assert!(d.book.journal().clashes().next().is_none(), "{kind:?} {at}, round {round}");
            d.undo_last();
        }
    }
}
