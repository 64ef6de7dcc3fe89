use super::*;
use proptest::prelude::*;

fn one(mode: Mode) -> Group {
    Group::single(Locus::simple(mode), On::Autosome)
}

/// The number of the genotype with these alleles of a group of one locus; `None`: the sex with one copy.
fn genotype(group: &Group, a: u8, b: Option<u8>) -> u16 {
    let at = group.states().iter().position(|s| (s.a[0], s.b.map(|b| b[0])) == (a, b));
    at.expect("such a genotype") as u16
}

fn evidence(what: What) -> Evidence {
    Evidence { group: 0, locus: 0, allele: 1, what }
}

/// Animals as (sex, brood, what is known of the one allele).
fn family(animals: &[(Option<Sex>, Option<usize>, &[What])], broods: &[Brood]) -> Pedigree {
    let animal = |(sex, brood, known): &(Option<Sex>, Option<usize>, &[What])| Individual {
        sex: *sex,
        brood: *brood,
        known: known.iter().map(|what| evidence(*what)).collect(),
    };
    Pedigree { animals: animals.iter().map(animal).collect(), broods: broods.to_vec() }
}

fn het(group: &Group, findings: &Findings, animal: usize) -> f64 {
    let chances = findings.chances[0][animal].as_ref().expect("told");
    (0..).zip(chances).filter(|(s, _)| group.copies(*s, 0, 1).0 == 1).map(|(_, chance)| chance).sum()
}

fn close(seen: f64, expected: f64) {
    assert!((seen - expected).abs() < 1e-9, "{seen}, expected {expected}");
}

const F: Option<Sex> = Some(Sex::Female);
const M: Option<Sex> = Some(Sex::Male);

#[test]
fn looks_follow_the_modes() {
    use Shows::{One, Two};
    let locus = |modes: &[Mode], between: Vec<(u8, u8, Between)>| {
        Locus::new(modes.iter().map(|m| Allele::new(*m)).collect(), between).expect("a locus")
    };
    let (rec, inc, dom) = (Mode::Recessive, Mode::IncompleteDominant, Mode::Dominant);
    let check = |modes: &[Mode], between: Vec<(u8, u8, Between)>, a: u8, b: Option<u8>, expected: Look| {
        assert_eq!(locus(modes, between).look(a, b), expected, "{modes:?} {a} {b:?}");
    };
    check(&[rec], vec![], 0, Some(1), vec![]);
    check(&[rec], vec![], 1, Some(1), vec![(1, One)]);
    check(&[rec], vec![], 1, None, vec![(1, One)]);
    check(&[rec], vec![], 0, None, vec![]);
    check(&[inc], vec![], 0, Some(1), vec![(1, One)]);
    check(&[inc], vec![], 1, Some(1), vec![(1, Two)]);
    check(&[dom], vec![], 0, Some(1), vec![(1, One)]);
    check(&[dom], vec![], 1, Some(1), vec![(1, One)]);
    check(&[rec, rec], vec![], 1, Some(2), vec![(1, One), (2, One)]);
    check(&[rec, rec], vec![(1, 2, Between::First)], 2, Some(1), vec![(1, One)]);
    check(&[rec, rec], vec![(2, 1, Between::First)], 1, Some(2), vec![(2, One)]);
    check(&[rec, inc], vec![], 1, Some(2), vec![(2, One)]);
    check(&[inc, inc], vec![], 2, Some(1), vec![(1, One), (2, One)]);
}

#[test]
fn what_is_past_a_bound_is_refused() {
    let many = vec![Allele::new(Mode::Recessive); MOST_ALLELES];
    assert_eq!(Locus::new(many, vec![]).err(), Some(Refusal::Alleles(MOST_ALLELES + 1)));
    let locus = || Locus::simple(Mode::Recessive);
    assert_eq!(Group::new(vec![], On::Z, 0.0).err(), Some(Refusal::Loci(0)));
    assert_eq!(Group::new(vec![locus(), locus(), locus()], On::Autosome, 0.1).err(), Some(Refusal::Loci(3)));
    assert_eq!(Group::new(vec![locus(), locus()], On::Autosome, 0.6).err(), Some(Refusal::Recombination(0.6)));
    let z = Group::single(locus(), On::Z);
    let alone = family(&[(F, None, &[])], &[]);
    assert_eq!(infer(&[z.clone(), z], &alone, &[0], None).err(), Some(Refusal::SexLinked));
    let groups = [one(Mode::Recessive)];
    assert_eq!(infer(&groups, &alone, &[3], None).err(), Some(Refusal::Animals(3)));
    let circle = family(&[(F, Some(0), &[]), (M, Some(1), &[])], &[Brood::of(None, Some(1)), Brood::of(Some(0), None)]);
    assert!(matches!(infer(&groups, &circle, &[0], None), Err(Refusal::OwnAncestor(_))));
    let sure = family(&[(F, None, &[What::Possible(1.5)])], &[]);
    assert_eq!(infer(&groups, &sure, &[0], None).err(), Some(Refusal::Chance(1.5)));
    // Nine clutches with two possible sires each, and young of each that tell.
    let mut animals: Vec<(Option<Sex>, Option<usize>, &[What])> =
        vec![(F, None, &[]), (M, None, &[What::Het]), (M, None, &[])];
    let two = |weight| Parentage { dam: Some(0), sire: Sire::Known(1), weight };
    let broods = vec![Brood { parentages: vec![two(1.0), Parentage { sire: Sire::Known(2), ..two(1.0) }] }; 9];
    (0..9).for_each(|b| animals.push((None, Some(b), &[What::Looks(Shows::No)])));
    assert_eq!(infer(&groups, &family(&animals, &broods), &[0], None).err(), Some(Refusal::Parentages));
    let ten: Vec<Group> = (0..10).map(|_| one(Mode::IncompleteDominant)).collect();
    let double: Vec<Group> = ten.iter().chain(&ten).cloned().collect();
    let hets = vec![1; 20];
    let all: Vec<usize> = (0..20).collect();
    assert_eq!(Cross::known(&double, &hets, &hets).looks(&all).err(), Some(Refusal::TooManyLooks));
}

#[test]
fn a_surprise_is_named_and_an_impossible_baby_flagged() {
    let group = one(Mode::Recessive);
    let groups = [group.clone()];
    // Two plain parents and a visual baby: both carry it, though nothing was said of either.
    let broods = [Brood::of(Some(0), Some(1))];
    let plain = family(&[(F, None, &[]), (M, None, &[]), (None, Some(0), &[What::Looks(Shows::One)])], &broods);
    let found = infer(&groups, &plain, &[0, 1], None).expect("within bounds");
    assert_eq!(found.surprises.iter().map(|s| s.who).collect::<Vec<_>>(), [Who::Animal(0), Who::Animal(1)]);
    assert!(het(&group, &found, 0) > 0.999 && het(&group, &found, 1) > 0.999);
    assert!(found.conflicts.is_empty());
    // The dam is known not to carry it: one of the two entries is wrong.
    let known =
        family(&[(F, None, &[What::Not]), (M, None, &[]), (None, Some(0), &[What::Looks(Shows::One)])], &broods);
    let found = infer(&groups, &known, &[0, 1], None).expect("within bounds");
    assert_eq!(found.conflicts, [Conflict { group: Some(0), any_of: vec![0, 2], broods: vec![] }]);
    assert_eq!(found.chances[0][1], None, "nothing can be told");
    // Of an unknown sire all that is known is that he carried it.
    let alone =
        family(&[(F, None, &[What::Het]), (None, Some(0), &[What::Looks(Shows::One)])], &[Brood::of(Some(0), None)]);
    let found = infer(&groups, &alone, &[0], None).expect("within bounds");
    assert_eq!(found.surprises.iter().map(|s| s.who).collect::<Vec<_>>(), [Who::Sire(0)]);
}

#[test]
fn possible_sires_are_weighed_by_their_young() {
    let group = one(Mode::Recessive);
    let way = |sire| Parentage { dam: Some(0), sire: Sire::Known(sire), weight: 1.0 };
    let broods = [Brood { parentages: vec![way(1), way(2)] }];
    let check = |young: &[Shows], expected: f64| {
        let looks: Vec<[What; 1]> = young.iter().map(|shows| [What::Looks(*shows)]).collect();
        let mut animals: Vec<(Option<Sex>, Option<usize>, &[What])> =
            vec![(F, None, &[What::Homozygous]), (M, None, &[What::Het]), (M, None, &[What::Not])];
        animals.extend(looks.iter().map(|look| (None, Some(0), &look[..])));
        let found = infer(std::slice::from_ref(&group), &family(&animals, &broods), &[0], None).expect("within bounds");
        close(found.parentages[0][0], expected);
    };
    check(&[], 0.5);
    check(&[Shows::No], 1.0 / 3.0);
    check(&[Shows::No; 3], 1.0 / 9.0);
    check(&[Shows::No, Shows::One], 1.0);
    // Young unlike either sire's: no parentage fits, whoever carries what.
    let animals: &[(Option<Sex>, Option<usize>, &[What])] = &[
        (F, None, &[What::Homozygous]),
        (M, None, &[What::Homozygous]),
        (M, None, &[What::Homozygous]),
        (None, Some(0), &[What::Looks(Shows::No)]),
    ];
    let found = infer(std::slice::from_ref(&group), &family(animals, &broods), &[0], None).expect("within bounds");
    assert_eq!(found.conflicts.len(), 1);
    assert_eq!(found.conflicts[0].any_of, [0, 1, 2, 3], "any one entry can be the wrong one");
}

/// Eggs of a dam alone, written out: her gametes, each doubled, of both sexes alike where a locus is sex-linked.
#[test]
fn young_without_a_male_have_two_of_one_gamete() {
    let rec = || Locus::simple(Mode::Recessive);
    let share = |group: &Group, dam: u16, young: u16| -> f64 {
        group.alone(dam).iter().filter(|(state, _)| *state == young).map(|(_, share)| share).sum()
    };
    let group = one(Mode::Recessive);
    let of = |a, b| genotype(&group, a, Some(b));
    for (dam, normal, het, two) in [(of(0, 0), 1.0, 0.0, 0.0), (of(0, 1), 0.5, 0.0, 0.5), (of(1, 1), 0.0, 0.0, 1.0)] {
        close(share(&group, dam, of(0, 0)), normal);
        close(share(&group, dam, of(0, 1)), het);
        close(share(&group, dam, of(1, 1)), two);
    }
    // Linked, in coupling, 1 in 10 recombined: 45 of 100 each as she has them, 5 each of the others.
    let linked = Group::new(vec![rec(), rec()], On::Autosome, 0.1).expect("linked");
    let at = |a: Hap, b: Hap| linked.states().iter().position(|s| (s.a, s.b) == (a, Some(b))).expect("such") as u16;
    let dam = at([0, 0], [1, 1]);
    for (hap, expected) in [([0, 0], 0.45), ([1, 1], 0.45), ([0, 1], 0.05), ([1, 0], 0.05)] {
        close(share(&linked, dam, at(hap, hap)), expected);
    }
    for (on, dam) in [(On::Z, None), (On::X, Some(1))] {
        let group = Group::single(rec(), on);
        let dam = genotype(&group, if dam.is_some() { 0 } else { 1 }, dam);
        let all = group.alone(dam);
        close(all.iter().map(|(_, share)| share).sum(), 1.0);
        let of_sex = |sex| all.iter().filter(|(s, _)| group.state(*s).sex == sex).map(|(_, share)| share).sum::<f64>();
        close(of_sex(F), 0.5);
        close(of_sex(M), 0.5);
        close(share(&group, dam, genotype(&group, 1, Some(1))), if on == On::Z { 0.5 } else { 0.25 });
        let male = genotype(&group, 0, if on == On::Z { Some(0) } else { None });
        assert!(group.alone(male).is_empty(), "a male is no dam");
    }
}

/// Weights by hand: every genotype that may be is written out beside its expected chance.
#[test]
fn no_male_and_an_unknown_male_are_weighed_by_the_young() {
    let known = |sire| Parentage { dam: Some(0), sire, weight: 1.0 };
    let check = |mode, dam: What, sire: What, young: &[Shows], expected: [f64; 3]| {
        let group = one(mode);
        let broods = [Brood { parentages: [Sire::Known(1), Sire::NoMale, Sire::Unknown].map(known).to_vec() }];
        let looks: Vec<[What; 1]> = young.iter().map(|shows| [What::Looks(*shows)]).collect();
        let (dam, sire) = ([dam], [sire]);
        let mut animals: Vec<(Option<Sex>, Option<usize>, &[What])> = vec![(F, None, &dam), (M, None, &sire)];
        animals.extend(looks.iter().map(|look| (None, Some(0), &look[..])));
        let found = infer(std::slice::from_ref(&group), &family(&animals, &broods), &[0, 1], None).expect("small");
        assert!(found.conflicts.is_empty() && found.surprises.is_empty(), "{found:?}");
        let all: f64 = expected.iter().sum();
        for (seen, expected) in found.parentages[0].iter().zip(expected) {
            close(*seen, expected / all);
        }
    };
    let (rec, inc) = (Mode::Recessive, Mode::IncompleteDominant);
    let q = UNKNOWN_MALE;
    let (none, het, two) = ((1.0 - q) * (1.0 - q), 2.0 * q * (1.0 - q), q * q);
    check(rec, What::Het, What::Not, &[], [1.0, 1.0, 1.0]);
    // Three plain: 1 of a male without it, 1/8 of her alone, ¾ and ½ each of a male with one or two copies.
    let anybody = none + het * 0.75f64.powi(3) + two * 0.5f64.powi(3);
    check(rec, What::Het, What::Not, &[Shows::No; 3], [1.0, 0.125, anybody]);
    // One that shows: not of him.
    check(rec, What::Het, What::Not, &[Shows::One], [0.0, 0.5, het * 0.25 + two * 0.5]);
    check(rec, What::Het, What::Het, &[Shows::One], [0.25, 0.5, het * 0.25 + two * 0.5]);
    // One copy is never hers alone.
    let anybody = none * 0.5 + het * 0.5 + two * 0.5;
    check(inc, What::Het, What::Not, &[Shows::One], [0.5, 0.0, anybody]);
    check(inc, What::Het, What::Not, &[Shows::Two], [0.0, 0.5, het * 0.25 + two * 0.5]);
}

#[test]
fn without_a_male_she_and_what_cannot_be_are_told() {
    let group = one(Mode::Recessive);
    let groups = [group.clone()];
    let alone = [Brood { parentages: vec![Parentage { dam: Some(0), sire: Sire::NoMale, weight: 1.0 }] }];
    // A plain baby of a dam of whom nothing but a showing one tells: she has one copy of each.
    let animals: &[(Option<Sex>, Option<usize>, &[What])] =
        &[(F, None, &[]), (None, Some(0), &[What::Looks(Shows::One)]), (None, Some(0), &[What::Looks(Shows::No)])];
    let found = infer(&groups, &family(animals, &alone), &[0, 2], None).expect("small");
    close(het(&group, &found, 0), 1.0);
    close(het(&group, &found, 2), 0.0);
    assert_eq!(found.surprises.iter().map(|s| s.who).collect::<Vec<_>>(), [Who::Animal(0)]);
    // A baby known to be het is not hers alone.
    let animals: &[(Option<Sex>, Option<usize>, &[What])] = &[(F, None, &[What::Het]), (None, Some(0), &[What::Het])];
    let found = infer(&groups, &family(animals, &alone), &[0], None).expect("small");
    assert_eq!(found.conflicts.iter().map(|c| c.any_of.clone()).collect::<Vec<_>>(), [vec![1]]);
    // What she can give by herself, mixed half and half with what she can give with a male who shows it.
    let animals: &[(Option<Sex>, Option<usize>, &[What])] =
        &[(F, None, &[What::Possible(0.5)]), (M, None, &[What::Homozygous])];
    let pair = |with| infer(&groups, &family(animals, &[]), &[], Some((0, with))).expect("small").pair;
    let cases = pair(0).into_iter().chain(pair(1)).map(|(chance, joints)| (chance / 2.0, joints)).collect();
    let shares = Cross::new(&groups, cases).genotypes(0);
    // Alone ½·0 + ½·½ = ¼ show it; with him the same.
    let seen: Vec<f64> =
        [(0, 0), (0, 1), (1, 1)].map(|(a, b)| shares[usize::from(genotype(&group, a, Some(b)))]).to_vec();
    for (seen, expected) in seen.iter().zip([0.375, 0.375, 0.25]) {
        close(*seen, expected);
    }
}

#[test]
fn traits_that_fit_different_sires_are_a_conflict_of_parentage() {
    let groups = [one(Mode::Recessive), one(Mode::Recessive)];
    let say = |group, what| Evidence { group, locus: 0, allele: 1, what };
    let animal = |sex, brood, known: Vec<Evidence>| Individual { sex, brood, known };
    let way = |sire| Parentage { dam: Some(0), sire: Sire::Known(sire), weight: 1.0 };
    let seen = What::Looks(Shows::One);
    let pedigree = Pedigree {
        animals: vec![
            animal(F, None, vec![say(0, What::Homozygous), say(1, What::Homozygous)]),
            animal(M, None, vec![say(0, What::Het), say(1, What::Not)]),
            animal(M, None, vec![say(0, What::Not), say(1, What::Het)]),
            animal(None, Some(0), vec![say(0, seen)]),
            animal(None, Some(0), vec![say(1, seen)]),
        ],
        broods: vec![Brood { parentages: vec![way(1), way(2)] }],
    };
    let found = infer(&groups, &pedigree, &[0], None).expect("within bounds");
    assert_eq!(found.conflicts, [Conflict { group: None, any_of: vec![], broods: vec![0] }]);
}

#[test]
fn a_sellers_word_counts_until_the_parents_are_known() {
    let group = one(Mode::Recessive);
    let check = |sire: &[What], expected: f64| {
        let animals: &[(Option<Sex>, Option<usize>, &[What])] =
            &[(F, None, &[]), (M, None, sire), (None, Some(0), &[What::Possible(0.66), What::Looks(Shows::No)])];
        let pedigree = family(animals, &[Brood::of(Some(0), Some(1))]);
        let found = infer(std::slice::from_ref(&group), &pedigree, &[2], None).expect("within bounds");
        close(het(&group, &found, 2), expected);
    };
    check(&[], 0.66);
    check(&[What::Het], 0.5);
    check(&[What::Homozygous], 1.0);
}

#[test]
fn a_dominant_parent_proves_out() {
    let group = one(Mode::Dominant);
    let shown = [What::Looks(Shows::One)];
    // Het or homozygous, nothing says which; each showing young from a plain mate halves the first.
    let check = |young: &[Shows], expected: f64| {
        let looks: Vec<[What; 1]> = young.iter().map(|shows| [What::Looks(*shows)]).collect();
        let mut animals: Vec<(Option<Sex>, Option<usize>, &[What])> = vec![(F, None, &[What::Not]), (M, None, &shown)];
        animals.extend(looks.iter().map(|look| (None, Some(0), &look[..])));
        let pedigree = family(&animals, &[Brood::of(Some(0), Some(1))]);
        let found = infer(std::slice::from_ref(&group), &pedigree, &[1], None).expect("within bounds");
        close(het(&group, &found, 1), expected);
    };
    check(&[], 0.5);
    check(&[Shows::One; 3], 1.0 / 9.0);
    check(&[Shows::One, Shows::No], 1.0);
}

#[test]
fn young_that_would_not_live_are_not_among_those_that_do() {
    let spider = Locus::new(vec![Allele { mode: Mode::Dominant, unviable: true }], vec![]).expect("a locus");
    let groups = [Group::single(spider, On::Autosome)];
    let cross = Cross::known(&groups, &[1], &[1]);
    let looks = cross.looks(&[0]).expect("few");
    close(looks.unviable, 0.25);
    let shares: Vec<f64> = looks.rows.iter().map(|row| row.share).collect();
    assert_eq!(shares, [0.5, 0.25]);
    // A living showing baby of two is het for certain.
    let animals: &[(Option<Sex>, Option<usize>, &[What])] =
        &[(F, None, &[What::Het]), (M, None, &[What::Het]), (None, Some(0), &[What::Looks(Shows::One)])];
    let found = infer(&groups, &family(animals, &[Brood::of(Some(0), Some(1))]), &[2], None).expect("within bounds");
    close(het(&groups[0], &found, 2), 1.0);
}

#[test]
fn eggs_of_unsure_parents_are_not_independent() {
    let group = one(Mode::Recessive);
    let groups = [group.clone()];
    let animals: &[(Option<Sex>, Option<usize>, &[What])] =
        &[(F, None, &[What::Possible(0.66)]), (M, None, &[What::Homozygous])];
    let found = infer(&groups, &family(animals, &[]), &[], Some((0, 1))).expect("within bounds");
    let cross = Cross::new(&groups, found.pair);
    let visual = (0..3).map(|s| group.shows(s, 0, 1) == Shows::One).collect();
    let chances = cross.chances(&Wish::default().with(0, visual)).expect("few");
    close(chances.of_one(), 0.33);
    close(chances.at_least_one(2), 0.66 * 0.75);
    close(chances.ever(), 0.66);
    assert_eq!(chances.eggs_for(0.6), Some(4), "0.66 × (1 − 2⁻⁴) is 0.619");
    assert_eq!(chances.eggs_for(0.9), None);
    let known = Cross::known(&groups, &[1], &[2]);
    let visual = (0..3).map(|s| group.shows(s, 0, 1) == Shows::One).collect();
    let sure = known.chances(&Wish::default().with(0, visual)).expect("few");
    assert_eq!(sure.eggs_for(0.9), Some(4), "1 − 2⁻⁴ is 0.9375");
    assert_eq!(sure.count(8, 0.9), (2, 6));
    assert_eq!(chances.count(8, 0.9), (0, 6));
}

#[test]
fn related_parents_are_weighed_together() {
    // Brother and sister of het × normal: each is het with 1/2, and their eggs are visual with 1/16.
    let group = one(Mode::Recessive);
    let groups = [group.clone()];
    let broods = [Brood::of(Some(0), Some(1))];
    let animals: &[(Option<Sex>, Option<usize>, &[What])] =
        &[(F, None, &[What::Possible(0.5)]), (M, None, &[What::Not]), (F, Some(0), &[]), (M, Some(0), &[])];
    let found = infer(&groups, &family(animals, &broods), &[], Some((2, 3))).expect("within bounds");
    let cross = Cross::new(&groups, found.pair);
    // The dam is het with 1/2: then both young are het with 1/4. Were they unrelated it would be 1/16.
    let looks = cross.genotypes(0);
    close(looks[usize::from(genotype(&group, 1, Some(1)))], 0.5 * 0.25 * 0.25);
}

#[test]
fn tests_of_fit_say_when_nothing_can_be_told() {
    let few = fair(&[0.75, 0.25], &[3, 0]).expect("counted");
    assert_eq!(few.how, How::Exact);
    close(few.p, 1.0);
    close(few.least, 0.25f64.powi(3));
    let two = fair(&[0.5, 0.5], &[2, 0]).expect("counted");
    assert!(two.least > 0.05, "two babies tell nothing of halves");
    close(fair(&[1.0, 0.0], &[3, 1]).expect("counted").p, 0.0);
    close(fair(&[1.0, 0.0], &[3, 0]).expect("counted").p, 1.0);
    for (shares, counts) in
        [(&[0.5, 0.5][..], &[1][..]), (&[1.0], &[4]), (&[0.5, 0.5], &[0, 0]), (&[0.5, f64::NAN], &[1, 1])]
    {
        assert_eq!(fair(shares, counts).err(), Some(Refusal::Counts));
    }
}

#[test]
fn shipped_traits_are_sane() {
    use std::collections::BTreeSet;
    let keys: BTreeSet<&str> = starter::TRAITS.iter().map(|t| t.key).collect();
    assert_eq!(keys.len(), starter::TRAITS.len(), "a key twice");
    let names: BTreeSet<(&str, &str)> = starter::TRAITS.iter().map(|t| (t.species, t.name)).collect();
    assert_eq!(names.len(), starter::TRAITS.len(), "a name twice in one species");
    for shipped in starter::TRAITS {
        let key = shipped.key;
        assert!(crate::species::Profile::find(shipped.species).is_some(), "{key}");
        assert_eq!(shipped.two.is_empty(), shipped.mode != Mode::IncompleteDominant, "{key}");
        if let Some((first, _)) = shipped.locus_of {
            let first = starter::Trait::find(first).expect(key);
            assert_eq!((first.species, first.on, first.locus_of), (shipped.species, shipped.on, None), "{key}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// Wright's sum over lines of descent is the tabular method's coefficient, however interbred.
    #[test]
    fn the_ancestors_add_up_to_the_coefficient(ups in proptest::collection::vec((0usize..64, 0usize..64), 2..14)) {
        let parents: Vec<(Option<usize>, Option<usize>)> = ups
            .iter()
            .enumerate()
            .map(|(i, (d, s))| if i < 2 { (None, None) } else { (Some(d % i), (d % i != s % i).then_some(s % i)) })
            .collect();
        let n = parents.len();
        let kin = kinship(&parents, n - 1, n - 2).expect("no circle");
        prop_assert!(kin.complete);
        let sum: f64 = kin.ancestors.iter().map(|a| a.adds).sum();
        prop_assert!((sum - kin.inbreeding).abs() < 1e-12, "{} {}", sum, kin.inbreeding);
    }
}
