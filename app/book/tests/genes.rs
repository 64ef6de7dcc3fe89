//! What is known of animals, what their babies look like, and what that says of everybody.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use chrono::NaiveDate;
use common::*;
use std::collections::BTreeMap;
use trade::when::When;

const CORN: &str = "pantherophis-guttatus";
const AMEL: &str = "corn-amelanistic";
const ANERY: &str = "corn-anerythristic";

fn animal(d: &mut Device, name: &str, sex: Sex) -> AnimalId {
    young(d, name, sex, None, None)
}

fn young(d: &mut Device, name: &str, sex: Sex, dam: Option<&AnimalId>, sire: Option<&AnimalId>) -> AnimalId {
    let card = AnimalCard {
        name: name.to_owned(),
        species: Some(CORN.to_owned()),
        sex: Some(sex),
        dam: dam.cloned(),
        sire: sire.cloned(),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn line(
    animal: &AnimalId,
    of_trait: &str,
    seen: Option<TraitSeen>,
    known: Option<TraitKnown>,
    pm: u32,
) -> GenotypeLine {
    GenotypeLine {
        animal: Some(animal.clone()),
        of_trait: of_trait.to_owned(),
        seen,
        known,
        chance_pm: (pm > 0).then_some(pm),
        why: String::new(),
    }
}

fn note(d: &mut Device, lines: Vec<GenotypeLine>) {
    let when = When::time(d.now);
    d.act(&GenotypesNoted { lines, when });
}

fn text(d: &Device, animal: &AnimalId) -> String {
    d.book.genotype_text(animal).unwrap_or_default()
}

/// A clutch of this pair hatched out: a dam and possible sires, and this many babies.
fn hatched(d: &mut Device, dam: &AnimalId, sires: &[&AnimalId], babies: u32) -> (ClutchId, Vec<AnimalId>) {
    d.act(&IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(2780)));
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.laid = Some(When::time(d.now));
    act.card.sires = sires.iter().map(|id| (*id).clone()).collect();
    act.card.counts = Some(Counts { good: babies, dud: 0, slug: 0 });
    act.boxes[0].closed = Some(g(1500));
    let clutch = d.make(Kind::Clutch, &act, ClutchId::new);
    d.later(60 * 24);
    let eggs: Vec<EggId> = d.book.eggs_of(&clutch).iter().map(|egg| egg.id.clone()).collect();
    d.act(&EggsOut { eggs: eggs.clone(), when: Some(When::time(d.now)), masses: BTreeMap::new() });
    let young = eggs.into_iter().map(|egg| {
        let card = AnimalCard {
            code: format!("baby {}", d.book.egg(&egg).and_then(|e| e.letter.clone()).unwrap_or_default()),
            species: Some(CORN.to_owned()),
            came: Some(Came::Egg),
            dam: Some(dam.clone()),
            from_eggs: vec![egg],
            ..AnimalCard::default()
        };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    });
    (clutch, young.collect())
}

#[test]
fn a_genotype_is_told_in_the_trades_words() {
    use TraitKnown::{Het, Homozygous, Possible};
    use TraitSeen::{No, Shows, Two};
    let check = |lines: &[(&str, Option<TraitSeen>, Option<TraitKnown>, u32)], expected: &str| {
        let mut d = Device::new(1);
        let moss = animal(&mut d, "Moss", Sex::Male);
        let lines = lines.iter().map(|&(of_trait, seen, known, pm)| line(&moss, of_trait, seen, known, pm));
        let lines: Vec<_> = lines.collect();
        note(&mut d, lines);
        assert_eq!(text(&d, &moss), expected);
    };
    check(&[(AMEL, Some(Shows), None, 0)], "amelanistic");
    check(&[(AMEL, Some(No), None, 0)], "");
    check(&[(AMEL, Some(No), Some(Het), 0), (ANERY, Some(Shows), None, 0)], "anerythristic, het amelanistic");
    check(&[(AMEL, None, Some(Possible), 660)], "poss het amelanistic 66 %");
    check(
        &[(AMEL, None, Some(Possible), 667), (ANERY, None, Some(Het), 0)],
        "het anerythristic, poss het amelanistic 66 %",
    );
    check(&[("corn-amelanistic", Some(Shows), None, 0), ("corn-ultra", Some(Shows), None, 0)], "amelanistic, ultra");
    check(&[("corn-striped", Some(No), Some(Het), 0), ("corn-motley", Some(Shows), None, 0)], "motley, het striped");
    check(&[("corn-tessera", Some(Shows), None, 0)], "tessera (poss homozygous 50 %)");
    check(&[("corn-tessera", Some(Shows), Some(Homozygous), 0)], "homozygous tessera");
    check(&[("corn-tessera", Some(Shows), Some(Het), 0)], "tessera");
    check(&[("hognose-arctic", Some(Shows), None, 0)], "arctic");
    check(&[("hognose-arctic", Some(Two), None, 0)], "super arctic");
}

#[test]
fn parents_sibs_and_young_imply_what_nobody_entered() {
    let mut d = Device::new(1);
    let (bel, moss) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male));
    let fern = young(&mut d, "Fern", Sex::Female, Some(&bel), Some(&moss));
    let ash = young(&mut d, "Ash", Sex::Male, Some(&bel), Some(&moss));
    note(
        &mut d,
        vec![line(&fern, AMEL, Some(TraitSeen::Shows), None, 0), line(&ash, AMEL, Some(TraitSeen::No), None, 0)],
    );
    // A visual young of two of which nothing was said: both are het, and its plain sib possibly.
    for parent in [&bel, &moss] {
        assert_eq!(text(&d, parent), "het amelanistic");
        let genes = animal_genes(&d.book, parent).expect("there");
        assert_eq!(genes.lines[0].why.last(), Some(&Why::MustCarry));
    }
    assert_eq!(text(&d, &ash), "poss het amelanistic 66 %");
    let why = animal_genes(&d.book, &ash).expect("there").lines.remove(0).why;
    let Some(Why::Parents { chance, .. }) = why.iter().find(|why| matches!(why, Why::Parents { .. })) else {
        panic!("{why:?}")
    };
    assert!((chance - 0.75).abs() < 1e-5, "{chance}");
    assert!(why.iter().any(|why| matches!(why, Why::Own { to, .. } if (to - 2.0 / 3.0).abs() < 1e-5)), "{why:?}");

    // Mated to his visual sister, three plain young: from 66 % to 1 in 5.
    for n in 0..3 {
        let baby = young(&mut d, &format!("Baby {n}"), Sex::Unknown, Some(&fern), Some(&ash));
        note(&mut d, vec![line(&baby, AMEL, Some(TraitSeen::No), None, 0)]);
        assert_eq!(text(&d, &baby), "het amelanistic");
    }
    assert_eq!(text(&d, &ash), "poss het amelanistic 20 %");
    let why = animal_genes(&d.book, &ash).expect("there").lines.remove(0).why;
    let told = why.iter().any(|why| matches!(why, Why::Young { looked_at: 3, to, .. } if (to - 0.2).abs() < 1e-5));
    assert!(told, "{why:?}");
}

#[test]
fn outcomes_are_told_with_what_lies_under_them() {
    let mut d = Device::new(1);
    let (bel, moss) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male));
    let het = Some(TraitKnown::Het);
    let lines = [&bel, &moss].into_iter().flat_map(|id| [line(id, AMEL, None, het, 0), line(id, ANERY, None, het, 0)]);
    let lines: Vec<_> = lines.collect();
    note(&mut d, lines);
    let all = outcomes(&d.book, &bel, &moss, 16, None).expect("there");
    let seen: Vec<(&str, f64)> = all.rows.iter().map(|row| (row.look.as_str(), row.share * 16.0)).collect();
    assert_eq!(seen, [("", 9.0), ("anerythristic", 3.0), ("amelanistic", 3.0), ("amelanistic anerythristic", 1.0)]);
    assert_eq!(all.rows[0].under, ["poss het amelanistic 66 %", "poss het anerythristic 66 %"]);
    assert_eq!(all.rows[3].eggs_for_90, Some(36), "1 − (15/16)³⁶ is 0.902");
    assert_eq!((all.more, all.loci.len()), (0, 2));
    let one = outcomes(&d.book, &bel, &moss, 16, Some(&["amelanistic".to_owned()])).expect("there");
    assert_eq!(one.rows.len(), 2);
    assert_eq!(one.kin.inbreeding, 0.0);
    let sibs = (
        young(&mut d, "Fern", Sex::Female, Some(&bel), Some(&moss)),
        young(&mut d, "Ash", Sex::Male, Some(&bel), Some(&moss)),
    );
    let kin = kin_view(&d.book, &sibs.0, &sibs.1);
    assert_eq!(kin.inbreeding, 0.25);
    assert_eq!(kin.ancestors.iter().map(|a| a.1.as_str()).collect::<Vec<_>>(), ["Bel", "Moss"]);
}

#[test]
fn babies_say_who_carried_and_who_was_the_sire() {
    let mut d = Device::new(1);
    let (bel, moss, ash) =
        (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Moss", Sex::Male), animal(&mut d, "Ash", Sex::Male));
    note(
        &mut d,
        vec![
            line(&bel, AMEL, Some(TraitSeen::Shows), None, 0),
            line(&moss, AMEL, Some(TraitSeen::No), Some(TraitKnown::Possible), 660),
            line(&ash, AMEL, Some(TraitSeen::No), Some(TraitKnown::Not), 0),
        ],
    );
    let (clutch, babies) = hatched(&mut d, &bel, &[&moss, &ash], 4);
    let start = clutch_looks(&d.book, &clutch, &[]).expect("there");
    assert_eq!(start.loci.iter().map(|l| l.name.as_str()).collect::<Vec<_>>(), ["amelanistic"]);
    assert_eq!(start.babies.len(), 4);
    let words: Vec<&str> = start.loci[0].choices.iter().map(|c| c.words.as_str()).collect();
    assert_eq!(words, ["", "amelanistic"]);
    let tick = |baby: &AnimalId, choice: usize| {
        let seen = &start.loci[0].choices[choice].seen[0];
        line(baby, &seen.0, Some(seen.1), None, 0)
    };
    // A plain baby: it could be of either, a little more likely of the one who cannot give another.
    note(&mut d, vec![tick(&babies[0], 0)]);
    let looks = clutch_looks(&d.book, &clutch, &[]).expect("there");
    assert_eq!(looks.babies[0].looks, [Some(0)]);
    let parent = |looks: &ClutchLooks| -> Vec<(String, f64)> {
        let find = looks.says.iter().find_map(|s| {
            let Says::Parent { names, dams: false } = s else { return None };
            Some(names.iter().map(|(n, _, now)| (n.clone(), *now)).collect())
        });
        find.expect("two sires are weighed")
    };
    let weighed = parent(&looks);
    let expected = 0.67 / 1.67;
    assert!((weighed[0].1 - expected).abs() < 1e-9 && weighed[0].0 == "Moss", "{weighed:?}");
    // A visual one: Moss, and he is proved.
    note(&mut d, vec![tick(&babies[1], 1)]);
    let looks = clutch_looks(&d.book, &clutch, &[]).expect("there");
    assert_eq!(parent(&looks), [("Moss".to_owned(), 1.0), ("Ash".to_owned(), 0.0)]);
    let proved = looks.says.iter().any(|s| matches!(s, Says::Changed { name, proved: true, .. } if name == "Moss"));
    assert!(proved, "{:?}", looks.says);
    let fit = looks.says.iter().find_map(|s| if let Says::Fit(fit) = s { Some(fit.clone()) } else { None });
    let fit = fit.expect("both parents are known now");
    assert_eq!(fit.looks, [(String::new(), 1, 1.0), ("amelanistic".to_owned(), 1, 1.0)]);
    assert!(!fit.telling, "two babies are no verdict");
    assert_eq!(text(&d, &babies[0]), "het amelanistic");

    // A baby that shows what no sire could give is flagged, with where to look.
    note(&mut d, vec![line(&moss, AMEL, Some(TraitSeen::No), Some(TraitKnown::Not), 0)]);
    let looks = clutch_looks(&d.book, &clutch, &[]).expect("there");
    let Some(Says::Impossible(conflict)) = looks.says.first() else { panic!("{:?}", looks.says) };
    assert_eq!(conflict.traits, ["amelanistic"]);
    assert!(
        conflict.any_of.iter().any(|(id, _)| *id == babies[1]) && conflict.any_of.iter().any(|(id, _)| *id == moss)
    );
}

#[test]
fn a_plan_ranks_pairings_for_a_wish() {
    let mut d = Device::new(1);
    let (bel, wren) = (animal(&mut d, "Bel", Sex::Female), animal(&mut d, "Wren", Sex::Female));
    let (moss, ash) = (animal(&mut d, "Moss", Sex::Male), animal(&mut d, "Ash", Sex::Male));
    note(
        &mut d,
        vec![
            line(&bel, AMEL, Some(TraitSeen::Shows), None, 0),
            line(&wren, AMEL, None, Some(TraitKnown::Possible), 660),
            line(&moss, AMEL, None, Some(TraitKnown::Het), 0),
            line(&ash, ANERY, Some(TraitSeen::Shows), None, 0),
        ],
    );
    let rows = plan(&d.book, CORN, &[(AMEL.to_owned(), Want::Shows)]).expect("told");
    let told: Vec<(&str, &str, f64)> = rows.iter().map(|r| (r.dam.1.as_str(), r.sire.1.as_str(), r.of_one)).collect();
    assert_eq!(told.len(), 2);
    assert_eq!(told[0], ("Bel", "Moss", 0.5));
    assert!(told[1].0 == "Wren" && (told[1].2 - 0.165).abs() < 1e-9, "{told:?}");
    assert_eq!((rows[0].eggs_for_90, rows[1].eggs_for_90), (Some(4), None));
    let none = plan(&d.book, CORN, &[(AMEL.to_owned(), Want::Shows), (ANERY.to_owned(), Want::Shows)]).expect("told");
    assert!(none.is_empty(), "nobody here gives both");
}

#[test]
fn traits_are_the_keepers_to_change() {
    let mut d = Device::new(1);
    let moss = animal(&mut d, "Moss", Sex::Male);
    let card = TraitCard {
        species: CORN.to_owned(),
        name: "moonlit".to_owned(),
        mode: Some(TraitMode::IncompleteDominant),
        two: "full moon".to_owned(),
        ..TraitCard::default()
    };
    let draft = d.act(&TraitSet { key: None, card: card.clone() });
    let key = made(&draft, Kind::Trait).expect("made").id;
    note(&mut d, vec![line(&moss, &key, Some(TraitSeen::Two), None, 0)]);
    assert_eq!(text(&d, &moss), "full moon");
    // A shipped one renamed and changed keeps its key, so what was said of it stays said.
    note(&mut d, vec![line(&moss, AMEL, Some(TraitSeen::Shows), None, 0)]);
    let mut amel = d.book.trait_facts(AMEL).expect("shipped").card;
    amel.name = "red albino".to_owned();
    d.act(&TraitSet { key: Some(AMEL.to_owned()), card: amel.clone() });
    assert_eq!(text(&d, &moss), "full moon, red albino");
    amel.source = "own matings".to_owned();
    d.act(&TraitSet { key: Some(AMEL.to_owned()), card: amel });
    let all = d.book.traits_of(CORN);
    assert_eq!(all.iter().filter(|facts| facts.key == AMEL).count(), 1);
    assert!(all.iter().any(|facts| facts.key == key && !facts.shipped));

    let refused = |d: &mut Device, act: TraitSet| d.draft(&act).expect_err("refused").to_string();
    let bad = TraitCard { name: " ".to_owned(), ..card.clone() };
    assert_eq!(refused(&mut d, TraitSet { key: None, card: bad }), "Enter the trait's name first.");
    let own = TraitCard { locus_of: Some(key.clone()), ..card.clone() };
    assert!(
        refused(&mut d, TraitSet { key: Some(key.clone()), card: own })
            .contains("cannot be inside or come from itself")
    );
    let far = TraitCard { linked_to: Some(AMEL.to_owned()), recombination_pm: Some(700), ..card.clone() };
    assert!(refused(&mut d, TraitSet { key: None, card: far }).contains("at most 50 %"));
    let lost = TraitCard { locus_of: Some("nothing".to_owned()), ..card };
    assert!(refused(&mut d, TraitSet { key: None, card: lost }).starts_with("The trait you chose is not on"));
    let when = When::time(d.now);
    let all = vec![line(&moss, AMEL, None, Some(TraitKnown::Possible), 0)];
    let sure = d.draft(&GenotypesNoted { lines: all, when }).expect_err("a chance is missing");
    assert!(sure.to_string().contains("at most 99 %"));
}

#[test]
fn a_circle_of_parents_and_lost_links_are_borne() {
    let mut d = Device::new(1);
    let bel = animal(&mut d, "Bel", Sex::Female);
    let fern = young(&mut d, "Fern", Sex::Female, Some(&bel), None);
    let mut card = AnimalCard::of(&d.book, &bel).expect("there");
    card.dam = Some(fern.clone());
    d.act(&AnimalEdited { animal: bel.clone(), card });
    note(&mut d, vec![line(&fern, AMEL, Some(TraitSeen::Shows), None, 0)]);
    assert_eq!(text(&d, &fern), "amelanistic");
    assert!(kin_view(&d.book, &bel, &fern).trouble.is_some());
    // A trait that no record tells of any more is left out; nothing else is lost.
    let undo = d.act(&TraitSet {
        key: None,
        card: TraitCard {
            species: CORN.to_owned(),
            name: "short-lived".to_owned(),
            mode: Some(TraitMode::Recessive),
            ..TraitCard::default()
        },
    });
    let key = made(&undo, Kind::Trait).expect("made");
    note(&mut d, vec![line(&fern, &key.id, Some(TraitSeen::Shows), None, 0)]);
    assert_eq!(text(&d, &fern), "amelanistic, short-lived");
    d.act(&Withdrawn { thing: key });
    assert_eq!(text(&d, &fern), "amelanistic");
}

#[test]
fn two_devices_that_say_different_things_are_both_heard() {
    let mut d = Device::new(1);
    let moss = animal(&mut d, "Moss", Sex::Male);
    let mut other = Device::new(2);
    other.hear(&d.lines);
    other.later(1);
    note(&mut d, vec![line(&moss, AMEL, Some(TraitSeen::No), None, 0)]);
    note(&mut other, vec![line(&moss, AMEL, None, Some(TraitKnown::Het), 0)]);
    let lines = other.lines.clone();
    d.hear(&lines);
    let both = GenotypeLine::of(&d.book, &moss, AMEL);
    assert_eq!((both.seen, both.known), (Some(TraitSeen::No), Some(TraitKnown::Het)));
    assert_eq!(text(&d, &moss), "het amelanistic");
    // The next word on it holds alone.
    d.later(2);
    note(&mut d, vec![line(&moss, AMEL, Some(TraitSeen::Shows), None, 0)]);
    let one = GenotypeLine::of(&d.book, &moss, AMEL);
    assert_eq!((one.seen, one.known), (Some(TraitSeen::Shows), None));
}

#[test]
fn the_season_has_genotypes_to_show() {
    let today: NaiveDate = day("2026-06-09");
    let lines = book::demo::season(today);
    let first = journal::Entry::read(lines.first().expect("lines")).expect("readable");
    let mut book = Book::new(first.book);
    for line in &lines {
        book.take(line).expect("the season's own lines");
    }
    let named = |name: &str| {
        let found = book.all_animals().find(|a| a.name.as_deref() == Some(name) || a.code.as_deref() == Some(name));
        found.expect(name).id.clone()
    };
    let check = |name: &str, expected: &str| {
        assert_eq!(book.genotype_text(&named(name)).unwrap_or_default(), expected, "{name}");
    };
    check("Marigold", "amelanistic");
    check("Rusk", "het amelanistic, het anerythristic");
    check("26-01-A", "amelanistic, poss het anerythristic 50 %");
    check("26-01-B", "het amelanistic, poss het anerythristic 50 %");
    check("Wren", "poss het hypomelanistic 20 %");
    check("Button", "arctic");
    let clutch = |number: &str| book.clutches_numbered(number).next().expect(number).id.clone();
    let looks = clutch_looks(&book, &clutch("26-02"), &[]).expect("there");
    let told = looks.says.iter().any(|s| matches!(s, Says::Changed { name, proved: false, .. } if name == "Wren"));
    assert!(told, "{:?}", looks.says);
    let plan = plan(&book, CORN, &[(AMEL.to_owned(), Want::Shows)]).expect("told");
    assert_eq!((plan[0].dam.1.as_str(), plan[0].sire.1.as_str()), ("Marigold", "Rusk"));
}
