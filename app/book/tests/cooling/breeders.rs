//! Who is ready to breed by the barn's own rule.

use super::*;
use book::words::Sex;
use trade::breeders::{Lack, Rule, Stand};

const CORN: &str = "pantherophis-guttatus";

fn breeding_rule(sex: Sex, rule: Rule) -> BreedingRuleSet {
    BreedingRuleSet { species: CORN.into(), sex, rule }
}

#[test]
fn who_is_ready_to_breed_who_nearly_and_who_not_and_why() {
    let mut d = Device::new(1);
    d.now = at("2026-03-01T20:00");
    let one = |d: &mut Device, name: &str, sex, born: &str| {
        let born = Some(when(born));
        let card =
            AnimalCard { name: name.into(), species: Some(CORN.into()), sex: Some(sex), born, ..Default::default() };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    let (ann, bel) = (one(&mut d, "Ann", Sex::Female, "2023-07-01"), one(&mut d, "Bel", Sex::Female, "2023-07-01"));
    let (cid, dot) = (one(&mut d, "Cid", Sex::Male, "2023-07-01"), one(&mut d, "Dot", Sex::Female, "2025-12-01"));
    assert_eq!(breeders(&d.book, d.now).rows, []);
    let none = breeders(&d.book, d.now).no_rule;
    assert_eq!(none, [(CORN.to_owned(), Sex::Female, 3), (CORN.to_owned(), Sex::Male, 1)]);
    let hers = Rule { age_months: Some(30), mass: Some(g(350)), meals: Some(2), cooled: false };
    d.act(&breeding_rule(Sex::Female, hers));
    weighed(&mut d, &[ann.clone(), bel.clone(), dot.clone()], &[352, 330, 40], "2026-02-28");
    for at in ["2026-02-14", "2026-02-21"] {
        d.act(&fed(&[ann.clone(), bel.clone()], at));
    }
    let told = |d: &Device| {
        let rows = breeders(&d.book, d.now).rows;
        rows.into_iter().map(|row| (row.name, row.stand, row.lacks)).collect::<Vec<_>>()
    };
    let light = Lack::Weight { is: g(330), least: g(350) };
    let expected = |first: Vec<Lack>| {
        let young = vec![
            Lack::Age { on: day("2028-06-01") },
            Lack::Weight { is: g(40), least: g(350) },
            Lack::Meals { taken: 0, of: 2 },
        ];
        let stand = if first.is_empty() { Stand::Ready } else { Stand::Not };
        let mut rows = vec![
            ("Ann".to_owned(), stand, first),
            ("Bel".to_owned(), Stand::Nearly, vec![light.clone()]),
            ("Dot".to_owned(), Stand::Not, young),
        ];
        rows.sort_by_key(|(name, stand, _)| (*stand, name.clone()));
        rows
    };
    assert_eq!(told(&d), expected(vec![]));
    // Set apart, she is not, and is again once it is undone.
    let card = QuarantineCard { from: Some(when("2026-03-01")), ..QuarantineCard::default() };
    d.act(&SetApart { things: vec![ann.thing()], card });
    assert_eq!(told(&d), expected(vec![Lack::Apart]));
    d.undo_last();
    assert_eq!(told(&d), expected(vec![]));
    // Who is put together all the same is asked about.
    let asked = |d: &Device, dam: &AnimalId| paired(dam, &cid, "2026-03-01").doubts(&d.book, d.now);
    assert_eq!(asked(&d, &ann), []);
    assert_eq!(asked(&d, &bel), [Doubt::NotToBreed { of: vec![("Bel".into(), vec![light.clone()])] }]);
    let doubt = asked(&d, &bel)[0].to_string();
    assert_eq!(doubt, "Not ready to breed by the barn's own rule: Bel (weighs 330 g of 350 g). Pair anyway?");
    // His rule asks for the cold, and he had none; then he comes out of it.
    let his = Rule { cooled: true, ..Rule::default() };
    d.act(&breeding_rule(Sex::Male, his));
    let his_lacks = |d: &Device| breeder(&d.book, &cid, d.now).map(|row| (row.stand, row.lacks));
    assert_eq!(his_lacks(&d), Some((Stand::Not, vec![Lack::NotCooled])));
    let cooling = cooled(&mut d, std::slice::from_ref(&cid), card_from("2026-01-10"));
    assert_eq!(his_lacks(&d), Some((Stand::Not, vec![Lack::Cool])));
    d.act(&edited(&d, &cooling, |card| card.ended = Some(when("2026-02-25"))));
    assert!(matches!(his_lacks(&d), Some((Stand::Nearly, lacks)) if matches!(lacks.as_slice(), [Lack::Warm(_)])));
}

fn card_from(from: &str) -> CoolingCard {
    card(from, "2026-02-25")
}

#[test]
fn a_breeding_rule_is_one_a_species_and_sex_and_is_the_keepers() {
    let mut d = Device::new(1);
    let rule = Rule { age_months: Some(24), ..Rule::default() };
    for (act, said) in [
        (BreedingRuleSet { species: "no-such".into(), ..breeding_rule(Sex::Female, rule) }, "the species"),
        (breeding_rule(Sex::Unknown, rule), "which sex"),
        (breeding_rule(Sex::Female, Rule { age_months: Some(601), ..rule }), "600 months"),
        (breeding_rule(Sex::Female, Rule { meals: Some(51), ..rule }), "50 meals"),
        (breeding_rule(Sex::Female, Rule { mass: Some(g(0)), ..rule }), "can't be"),
    ] {
        let refused = d.draft(&act).expect_err(said).to_string();
        assert!(refused.contains(said), "{refused}");
    }
    assert_eq!(d.draft(&breeding_rule(Sex::Female, Rule::default())), Err(Refusal::NothingChanged));
    d.act(&breeding_rule(Sex::Female, rule));
    assert_eq!(d.draft(&breeding_rule(Sex::Female, rule)), Err(Refusal::NothingChanged));
    // Set on two devices, it is one record.
    let mut other = Device::new(2);
    other.act(&breeding_rule(Sex::Female, Rule { meals: Some(3), ..rule }));
    d.hear(&other.lines);
    let found: Vec<_> = d.book.all_breeding_rules().map(|rule| (rule.age_months, rule.meals)).collect();
    assert_eq!(found, [(Some(24), Some(3))]);
    // Asked nothing any more, it speaks of nobody.
    d.act(&breeding_rule(Sex::Female, Rule::default()));
    assert!(d.book.all_breeding_rules().all(|rule| rule.age_months.is_none() && rule.meals.is_none()));
}

/// An animal of a species and sex that a rule can speak of.
fn grown(d: &mut Device, name: &str, sex: Sex) -> AnimalId {
    let born = Some(when("2022-07-01"));
    let card =
        AnimalCard { name: name.into(), species: Some(CORN.into()), sex: Some(sex), born, ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

#[test]
fn cooled_too_long_ago_to_ask_is_cooled_all_the_same() {
    let mut d = Device::new(1);
    d.now = at("2026-02-20T20:00");
    let cid = grown(&mut d, "Cid", Sex::Male);
    d.act(&breeding_rule(Sex::Male, Rule { cooled: true, ..Rule::default() }));
    let cooling = cooled(&mut d, std::slice::from_ref(&cid), card("2025-12-01", "2026-02-20"));
    d.act(&edited(&d, &cooling, |card| card.ended = Some(when("2026-02-20"))));
    let lacks = |d: &Device| breeder(&d.book, &cid, d.now).expect("a rule speaks of him").lacks;
    // 120 days after 20 February is 20 June, by a calendar; 240 days after it is 18 October.
    d.now = at("2026-06-20T20:00");
    assert!(matches!(lacks(&d).as_slice(), [Lack::Warm(_)]), "{:?}", lacks(&d));
    for (today, expected) in [("2026-06-21", vec![]), ("2026-10-18", vec![]), ("2026-10-19", vec![Lack::NotCooled])] {
        d.now = at(&format!("{today}T20:00"));
        assert_eq!(lacks(&d), expected, "{today}");
    }
}

#[test]
fn a_pairing_typed_late_is_not_asked_about_by_what_stands_today() {
    let mut d = Device::new(1);
    d.now = at("2026-03-20T20:00");
    let (ann, cid) = (grown(&mut d, "Ann", Sex::Female), grown(&mut d, "Cid", Sex::Male));
    d.act(&breeding_rule(Sex::Female, Rule { mass: Some(g(350)), ..Rule::default() }));
    weighed(&mut d, std::slice::from_ref(&ann), &[330], "2026-03-19");
    let asked = |d: &Device, at: &str| paired(&ann, &cid, at).doubts(&d.book, d.now);
    for (at, expected) in [("2026-03-20", 1), ("2026-03-19", 1), ("2026-03-18", 0)] {
        assert_eq!(asked(&d, at).len(), expected, "{at}: {:?}", asked(&d, at));
    }
    // Nor by a quarantine that began since, nor by meals and sheds since.
    let quarantine = QuarantineCard { from: Some(when("2026-03-15")), ..QuarantineCard::default() };
    d.act(&SetApart { things: vec![cid.thing()], card: quarantine });
    assert_eq!((asked(&d, "2026-03-14"), asked(&d, "2026-03-15").len()), (vec![], 1));
    d.undo_last();
    let cooling = cooled(&mut d, std::slice::from_ref(&cid), card("2025-12-01", "2026-02-20"));
    d.act(&edited(&d, &cooling, |card| card.ended = Some(when("2026-02-20"))));
    d.act(&CoolingRuleSet { rule: trade::cooling::Rule { days: 0, meals: 1, sheds: 0 } });
    d.act(&fed(std::slice::from_ref(&cid), "2026-03-10"));
    assert_eq!((asked(&d, "2026-03-09").len(), asked(&d, "2026-03-10")), (1, vec![]));
}

#[test]
fn who_is_treated_is_asked_about_whatever_the_rules() {
    let mut d = Device::new(1);
    d.now = at("2026-03-20T20:00");
    let (ann, cid) = (grown(&mut d, "Ann", Sex::Female), grown(&mut d, "Cid", Sex::Male));
    let drops = TreatmentCard {
        what: "Drops".into(),
        from: Some(when("2026-03-19")),
        every_hours: 24,
        until: "2026-03-25".parse().ok(),
        ..TreatmentCard::default()
    };
    d.act(&TreatmentOrdered { animals: vec![ann.clone()], card: drops });
    let asked = |d: &Device| paired(&ann, &cid, "2026-03-20").doubts(&d.book, d.now);
    let treated = Doubt::BeingTreated { names: "Ann".into() };
    assert_eq!(asked(&d), std::slice::from_ref(&treated));
    assert_eq!(treated.to_string(), "Being treated: Ann. Pair anyway?");
    // Where a rule speaks of her too, it is asked once.
    d.act(&breeding_rule(Sex::Female, Rule { age_months: Some(60), ..Rule::default() }));
    let young = vec![Lack::Age { on: day("2027-07-01") }];
    assert_eq!(asked(&d), [treated, Doubt::NotToBreed { of: vec![("Ann".into(), young)] }]);
    assert!(asked(&d)[1].to_string().contains("Ann (old enough on 1 Jul 2027)."), "{}", asked(&d)[1]);
}

#[test]
fn whether_there_is_a_rule_is_told_beside_who_is_ready() {
    let mut d = Device::new(1);
    assert!(!breeders(&d.book, d.now).ruled);
    d.act(&breeding_rule(Sex::Male, Rule { age_months: Some(24), ..Rule::default() }));
    grown(&mut d, "Ann", Sex::Female);
    let found = breeders(&d.book, d.now);
    assert_eq!((found.ruled, found.rows.len(), found.no_rule.len()), (true, 0, 1), "a rule, and nobody it speaks of");
    d.act(&breeding_rule(Sex::Male, Rule::default()));
    assert!(!breeders(&d.book, d.now).ruled);
}
