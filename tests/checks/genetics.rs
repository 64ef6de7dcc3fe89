//! Genetics (checks 14–16): textbook crosses, test crosses, linked and sex-linked ones, and kinship of worked pedigrees.

use trade::genetics::{
    Allele, Brood, Cross, Evidence, Group, How, Individual, Locus, Look, Mode, On, Pedigree, Sex, Shows, What, fair,
    infer, kinship,
};

fn close(seen: f64, expected: f64, by: f64, what: &str) {
    assert!((seen - expected).abs() <= by, "{what}: {seen}, expected {expected}");
}

fn recessive() -> Locus {
    Locus::simple(Mode::Recessive)
}

/// The number of a genotype: for each locus the alleles of both copies; `None`: the sex with one copy.
fn genotype(group: &Group, a: &[u8], b: Option<&[u8]>) -> u16 {
    let same = |hap: [u8; 2], wanted: &[u8]| hap[..wanted.len()] == *wanted;
    let at = group.states().iter().position(|s| match (s.b, b) {
        (Some(second), Some(b)) => same(s.a, a) && same(second, b) || same(s.a, b) && same(second, a),
        (None, None) => same(s.a, a),
        _ => false,
    });
    at.expect("such a genotype") as u16
}

/// Shares of looks in one cross, told by sex and by what shows at each locus of each group.
fn shares(groups: &[Group], dam: &[u16], sire: &[u16]) -> Vec<(Option<Sex>, Vec<bool>, f64)> {
    let of: Vec<usize> = (0..groups.len()).collect();
    let cross = Cross::known(groups, dam, sire);
    let looks = cross.looks(&of).expect("few");
    let told = looks.rows.iter().map(|row| {
        let seen: Vec<_> = of.iter().map(|&g| cross.look(g, row.looks[g]).expect("a look")).collect();
        let shows = |look: &Look| !look.is_empty();
        (seen.iter().find_map(|l| l.sex), seen.iter().flat_map(|l| l.loci.iter().map(shows)).collect(), row.share)
    });
    told.collect()
}

fn share(all: &[(Option<Sex>, Vec<bool>, f64)], sex: Option<Sex>, shows: &[bool]) -> f64 {
    all.iter().filter(|(s, seen, _)| *s == sex && seen == shows).map(|(.., share)| share).sum()
}

/// Independent loci, two and three: Mendel's 9:3:3:1 and 27:9:9:9:3:3:3:1, and the test crosses 1:1:1:1 and of three
/// loci 1:1:1:1:1:1:1:1 (any textbook; Griffiths et al., An Introduction to Genetic Analysis, ch. 3).
#[test]
fn independent_loci() {
    for loci in 1..=3u32 {
        let groups: Vec<Group> = (0..loci).map(|_| Group::single(recessive(), On::Autosome)).collect();
        let hets = vec![genotype(&groups[0], &[0], Some(&[1])); loci as usize];
        let homs = vec![genotype(&groups[0], &[1], Some(&[1])); loci as usize];
        let (intercross, test_cross) = (shares(&groups, &hets, &hets), shares(&groups, &hets, &homs));
        assert_eq!((intercross.len(), test_cross.len()), (1 << loci, 1 << loci));
        for mask in 0..1u32 << loci {
            let shows: Vec<bool> = (0..loci).map(|l| mask >> l & 1 == 1).collect();
            let normal = shows.iter().filter(|shows| !**shows).count() as i32;
            close(share(&intercross, None, &shows), 3f64.powi(normal) / 4f64.powi(loci as i32), 1e-12, "intercross");
            close(share(&test_cross, None, &shows), 0.5f64.powi(loci as i32), 1e-12, "test cross");
        }
    }
}

/// One locus: 3:1, 1:2:1 of an incomplete dominant (Correns' Mirabilis), 2:1 where homozygotes die (Cuénot's yellow
/// mice), and three alleles in order of dominance.
#[test]
fn one_locus() {
    let check = |allele: Allele, expected: &[f64], unviable: f64| {
        let groups = [Group::single(Locus::new(vec![allele], vec![]).expect("a locus"), On::Autosome)];
        let het = genotype(&groups[0], &[0], Some(&[1]));
        let looks = Cross::known(&groups, &[het], &[het]).looks(&[0]).expect("few");
        let seen: Vec<f64> = looks.rows.iter().map(|row| row.share).collect();
        assert_eq!(seen, expected, "{allele:?}");
        close(looks.unviable, unviable, 1e-12, "unviable");
    };
    check(Allele::new(Mode::Recessive), &[0.75, 0.25], 0.0);
    check(Allele::new(Mode::Dominant), &[0.75, 0.25], 0.0);
    check(Allele::new(Mode::IncompleteDominant), &[0.5, 0.25, 0.25], 0.0);
    check(Allele { mode: Mode::Dominant, unviable: true }, &[0.5, 0.25], 0.25);
    // c / c^h of rabbits: both recessive to full colour; himalayan × albino carriers give 2:1:1.
    let two = Locus::new(vec![Allele::new(Mode::Recessive); 2], vec![(1, 2, trade::genetics::Between::First)]);
    let groups = [Group::single(two.expect("a locus"), On::Autosome)];
    let (himalayan, albino) = (genotype(&groups[0], &[0], Some(&[1])), genotype(&groups[0], &[0], Some(&[2])));
    let mixed = genotype(&groups[0], &[1], Some(&[2]));
    let cross = Cross::known(&groups, &[himalayan], &[mixed]);
    let looks = cross.looks(&[0]).expect("few");
    let told: Vec<(Look, f64)> = looks
        .rows
        .iter()
        .map(|row| (cross.look(0, row.looks[0]).expect("a look").loci[0].clone(), row.share))
        .collect();
    // C/c^h × c^h/c: C/c^h and C/c full colour, c^h/c^h and c^h/c himalayan.
    assert_eq!(told, [(vec![], 0.5), (vec![(1, Shows::One)], 0.5)]);
    assert_eq!(Cross::known(&groups, &[albino], &[mixed]).looks(&[0]).expect("few").rows.len(), 3);
}

/// Linked loci. Morgan's flies, purple and vestigial in coupling, tested: 1339 : 1195 : 151 : 154 of 2839 (Griffiths et
/// al., An Introduction to Genetic Analysis, ch. 4); black and vestigial, 415 : 405 : 92 : 88 of 1000. The shares follow
/// from the recombination share alone; an intercross in coupling gives (1 − r)²/4 of the double recessive.
#[test]
fn linked_loci() {
    for (parental, recombinant) in [([1339, 1195], [151, 154]), ([415, 405], [92, 88])] {
        let n: i32 = parental.iter().chain(&recombinant).sum();
        let r = f64::from(recombinant.iter().sum::<i32>()) / f64::from(n);
        let groups = [Group::new(vec![recessive(), recessive()], On::Autosome, r).expect("linked")];
        let coupled = genotype(&groups[0], &[0, 0], Some(&[1, 1]));
        let repelled = genotype(&groups[0], &[0, 1], Some(&[1, 0]));
        let tester = genotype(&groups[0], &[1, 1], Some(&[1, 1]));
        let (tested, other) = (shares(&groups, &[coupled], &[tester]), shares(&groups, &[repelled], &[tester]));
        for (shows, coupled, repelled) in [
            ([false, false], (1.0 - r) / 2.0, r / 2.0),
            ([true, true], (1.0 - r) / 2.0, r / 2.0),
            ([true, false], r / 2.0, (1.0 - r) / 2.0),
            ([false, true], r / 2.0, (1.0 - r) / 2.0),
        ] {
            close(share(&tested, None, &shows), coupled, 1e-12, "coupling");
            close(share(&other, None, &shows), repelled, 1e-12, "repulsion");
        }
        let intercross = shares(&groups, &[coupled], &[coupled]);
        close(share(&intercross, None, &[true, true]), (1.0 - r).powi(2) / 4.0, 1e-12, "coupled intercross");
        let intercross = shares(&groups, &[repelled], &[repelled]);
        close(share(&intercross, None, &[true, true]), r * r / 4.0, 1e-12, "repelled intercross");
    }
}

/// Sex-linked. Barred and unbarred fowl, ZW: barred hen × unbarred cock gives barred sons and unbarred daughters, the
/// other way round all are barred; their young among each other (Bateson & Punnett; any textbook of poultry). Row 16 of
/// the checks: carrier male × normal female, half the daughters. White-eyed flies, XY (Morgan 1910): the same with the
/// sexes changed.
#[test]
fn sex_linked() {
    use Sex::{Female, Male};
    for (on, one, two) in [(On::Z, Female, Male), (On::X, Male, Female)] {
        let group = Group::single(recessive(), on);
        let single = |a: u8| genotype(&group, &[a], None);
        let double = |a: u8, b: u8| genotype(&group, &[a], Some(&[b]));
        let groups = [group.clone()];
        // The one copy comes from the parent of the other sex; `one` has one.
        let cross = |of_one: u16, of_two: u16| match on {
            On::Z => shares(&groups, &[of_one], &[of_two]),
            _ => shares(&groups, &[of_two], &[of_one]),
        };
        let check = |seen: Vec<(Option<Sex>, Vec<bool>, f64)>, expected: [(Sex, f64); 2], what: &str| {
            for (sex, showing) in expected {
                close(share(&seen, Some(sex), &[true]), showing / 2.0, 1e-12, what);
                close(share(&seen, Some(sex), &[false]), (1.0 - showing) / 2.0, 1e-12, what);
            }
        };
        check(cross(single(0), double(0, 1)), [(one, 0.5), (two, 0.0)], "carrier × normal");
        check(cross(single(0), double(1, 1)), [(one, 1.0), (two, 0.0)], "crisscross");
        check(cross(single(1), double(0, 0)), [(one, 0.0), (two, 0.0)], "reciprocal");
        check(cross(single(1), double(0, 1)), [(one, 0.5), (two, 0.5)], "F2 of the crisscross");
    }
}

/// Check 14. Mendel's peas, 556 seeds; any textbook.
#[test]
fn mendels_peas() {
    let fit = fair(&[9.0, 3.0, 3.0, 1.0], &[315, 108, 101, 32]).expect("counted");
    let How::ChiSquare { statistic, df } = fit.how else { panic!("556 are enough for chi-square: {fit:?}") };
    close(statistic, 0.470, 5e-4, "chi-square");
    assert_eq!(df, 3);
    close(fit.p, 0.9254, 5e-5, "p");
}

fn het(group: &Group, chances: &[f64]) -> f64 {
    (0..).zip(chances).filter(|(s, _)| group.copies(*s, 0, 1).0 == 1).map(|(_, chance)| chance).sum()
}

/// Check 15. The normal sib of het × het is het with 2/3, and after n normal young from a recessive mate with
/// 2⁻ⁿ·2 / (1 + 2⁻ⁿ·2): 1/2, 1/3, 1/5, 1/9 … (any textbook of genetic counselling).
#[test]
fn a_possible_het_and_its_young() {
    let group = Group::single(recessive(), On::Autosome);
    let know = |what| vec![Evidence { group: 0, locus: 0, allele: 1, what }];
    let animal = |sex, brood, known| Individual { sex, brood, known };
    for (young, expected) in [(0, 2.0 / 3.0), (1, 0.5), (2, 1.0 / 3.0), (3, 0.2), (4, 1.0 / 9.0), (10, 1.0 / 513.0)] {
        let mut animals = vec![
            animal(Some(Sex::Female), None, know(What::Het)),
            animal(Some(Sex::Male), None, know(What::Het)),
            animal(Some(Sex::Male), Some(0), know(What::Looks(Shows::No))),
            animal(Some(Sex::Female), None, know(What::Looks(Shows::One))),
        ];
        animals.extend((0..young).map(|_| animal(None, Some(1), know(What::Looks(Shows::No)))));
        let broods = vec![Brood::of(Some(0), Some(1)), Brood::of(Some(3), Some(2))];
        let found = infer(std::slice::from_ref(&group), &Pedigree { animals, broods }, &[2], None).expect("small");
        close(het(&group, found.chances[0][2].as_ref().expect("told")), expected, 1e-12, "het");
    }
}

/// Inbreeding of worked pedigrees, animals from 1, 0 unknown.
#[test]
fn inbreeding() {
    // Lange, Mathematical and Statistical Methods for Genetic Analysis, table 5.1: kinship of common relationships.
    // 1 and 2 are founders and so are the mates who come in.
    let check = |pedigree: &[(usize, usize)], pairs: &[(usize, usize, f64)], source: &str| {
        let known = |id: usize| id.checked_sub(1);
        let parents: Vec<_> = pedigree.iter().map(|(sire, dam)| (known(*dam), known(*sire))).collect();
        for &(a, b, expected) in pairs {
            let kin = kinship(&parents, a - 1, b - 1).expect("a pedigree");
            close(kin.inbreeding, expected, 5e-6, &format!("{source}, young of {a} and {b}"));
            let sum: f64 = kin.ancestors.iter().map(|ancestor| ancestor.adds).sum();
            close(sum, expected, 5e-6, &format!("{source}, ancestors of {a} and {b}"));
        }
    };
    let relations = [
        (0, 0),   // 1
        (0, 0),   // 2
        (0, 0),   // 3, another mate of 1
        (1, 2),   // 4
        (1, 2),   // 5, full sib of 4
        (1, 3),   // 6, half sib of both
        (0, 0),   // 7
        (0, 0),   // 8
        (4, 7),   // 9
        (5, 8),   // 10, first cousin of 9
        (0, 0),   // 11
        (0, 0),   // 12
        (9, 11),  // 13
        (10, 12), // 14, second cousin of 13
        (7, 8),   // 15
        (7, 8),   // 16
        (4, 15),  // 17
        (5, 16),  // 18, double first cousin of 17
    ];
    let table = [
        (1, 4, 0.25),
        (4, 6, 0.125),
        (4, 5, 0.25),
        (9, 10, 0.0625),
        (17, 18, 0.125),
        (13, 14, 0.015625),
        (9, 5, 0.125),
        (1, 2, 0.0),
    ];
    check(&relations, &table, "Lange, table 5.1");
    // Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1: animals 5 and 6 have F = 0.125.
    let mrode = [(0, 0), (0, 0), (1, 2), (1, 0), (4, 3), (5, 2)];
    check(&mrode, &[(4, 3, 0.125), (5, 2, 0.125)], "Mrode, table 2.1");
    // Christensen, Population genetics (KVL), chapter 4.4: F of 5, 6 and 7.
    let christensen = [(0, 0), (1, 0), (1, 0), (1, 0), (2, 3), (4, 3), (5, 6)];
    check(&christensen, &[(2, 3, 0.125), (4, 3, 0.125), (5, 6, 0.21875)], "KVL, 4.4");
    // Repeated full-sib mating: .25, .375, .5, .59375 (Falconer & Mackay, Introduction to Quantitative Genetics, ch. 5).
    let sibs = [(0, 0), (0, 0), (1, 2), (1, 2), (3, 4), (3, 4), (5, 6), (5, 6), (7, 8), (7, 8)];
    check(&sibs, &[(3, 4, 0.25), (5, 6, 0.375), (7, 8, 0.5), (9, 10, 0.59375)], "full sibs");
    // Backcrossed again and again to one sire: .25, .375, .4375.
    let back = [(0, 0), (0, 0), (1, 2), (1, 3), (1, 4)];
    check(&back, &[(1, 3, 0.25), (1, 4, 0.375), (1, 5, 0.4375)], "backcross");
}
