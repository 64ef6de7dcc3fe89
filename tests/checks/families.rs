//! Pedigrees against an independent weighing by brute force in Python, and fits against SciPy.
//!
//! Needs a Python with SciPy, named in CANDLEMARK_PYTHON or `python3`; `cargo xtask test checks` fetches it. A run takes
//! some hundred families; CANDLEMARK_FAMILIES asks for more.

use std::path::Path;
use std::process::Command;
use trade::genetics::{
    Allele, Between, Brood, Evidence, Fair, Group, How, Individual, Locus, Mode, On, Parentage, Pedigree, Sex, Shows,
    Sire, What, fair, infer,
};

const FAMILIES: usize = 400;
const FITS: usize = 40;

fn python(args: &[&str]) -> String {
    let program = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("weigh_families.py");
    let out = Command::new(&program).arg(script).args(args).output().unwrap_or_else(|why| {
        panic!("{} could not be started ({why}): run `cargo xtask test checks`, which fetches it", program.display())
    });
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("text")
}

fn number<T: std::str::FromStr>(text: &str) -> T
where
    T::Err: std::fmt::Debug,
{
    text.parse().expect(text)
}

fn known_number(text: &str) -> Option<usize> {
    (text != "?").then(|| number(text))
}

fn mode(letter: char) -> Mode {
    match letter {
        'r' => Mode::Recessive,
        'i' => Mode::IncompleteDominant,
        _ => Mode::Dominant,
    }
}

/// `modes/deadly/between`
fn locus(text: &str) -> Locus {
    let parts: Vec<&str> = text.split('/').collect();
    let alleles = parts[0].chars().zip(parts[1].chars());
    let alleles = alleles.map(|(letter, dies)| Allele { mode: mode(letter), unviable: dies == '1' }).collect();
    let between = match parts[2] {
        "b" => vec![(1, 2, Between::Both)],
        "1" => vec![(1, 2, Between::First)],
        "2" => vec![(1, 2, Between::Second)],
        _ => vec![],
    };
    Locus::new(alleles, between).expect("a locus")
}

fn what(word: &str, p: f64) -> What {
    match word {
        "looks0" => What::Looks(Shows::No),
        "looks1" => What::Looks(Shows::One),
        "looks2" => What::Looks(Shows::Two),
        "not" => What::Not,
        "carries" => What::Carries,
        "het" => What::Het,
        "homozygous" => What::Homozygous,
        "possible" => What::Possible(p),
        other => panic!("{other}"),
    }
}

/// The genotype of these two texts, such as `0.1` and `-`.
fn state(group: &Group, first: &str, second: &str) -> usize {
    let text = |hap: [u8; 2]| hap[..group.loci.len()].iter().map(u8::to_string).collect::<Vec<_>>().join(".");
    let found = group.states().iter().position(|s| {
        let pair = (text(s.a), s.b.map_or("-".to_owned(), text));
        (pair.0 == first && pair.1 == second) || (pair.0 == second && pair.1 == first)
    });
    found.unwrap_or_else(|| panic!("{first} {second}"))
}

#[derive(Default)]
struct Case {
    groups: Vec<Group>,
    pedigree: Pedigree,
    /// Group, animal, the two texts, chance.
    chances: Vec<(usize, usize, String, String, f64)>,
    ways: Vec<(usize, usize, f64)>,
    /// Groups in which nothing fits; empty when only all together do not.
    conflict: Option<Vec<usize>>,
}

fn cases(text: &str) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for line in text.lines() {
        let words: Vec<&str> = line.split(' ').collect();
        if words[0] == "family" {
            cases.push(Case::default());
            continue;
        }
        let case = cases.last_mut().expect("a family first");
        match words[0] {
            "group" => {
                let on = match words[1] {
                    "Z" => On::Z,
                    "X" => On::X,
                    _ => On::Autosome,
                };
                let loci = words[3..].iter().map(|text| locus(text)).collect();
                case.groups.push(Group::new(loci, on, number(words[2])).expect("a group"));
            }
            "brood" => {
                let way = |text: &&str| {
                    let parts: Vec<&str> = text.split(',').collect();
                    let sire = if parts[1] == "-" { Sire::NoMale } else { known_number(parts[1]).into() };
                    Parentage { dam: known_number(parts[0]), sire, weight: number(parts[2]) }
                };
                case.pedigree.broods.push(Brood { parentages: words[1..].iter().map(way).collect() });
            }
            "animal" => {
                let sex = match words[1] {
                    "F" => Some(Sex::Female),
                    "M" => Some(Sex::Male),
                    _ => None,
                };
                case.pedigree.animals.push(Individual { sex, brood: known_number(words[2]), known: vec![] });
            }
            "known" => {
                let evidence = Evidence {
                    group: number(words[1]),
                    locus: number(words[2]),
                    allele: number(words[3]),
                    what: what(words[4], number(words[5])),
                };
                case.pedigree.animals.last_mut().expect("an animal first").known.push(evidence);
            }
            "chance" => {
                let [g, a] = [number(words[1]), number(words[2])];
                case.chances.push((g, a, words[3].to_owned(), words[4].to_owned(), number(words[5])));
            }
            "way" => case.ways.push((number(words[1]), number(words[2]), number(words[3]))),
            "conflict" => case.conflict = Some(words[1..].iter().map(|g| number(g)).collect()),
            other => panic!("{other}"),
        }
    }
    cases
}

#[test]
fn families_are_weighed_as_by_brute_force() {
    let wanted = std::env::var("CANDLEMARK_FAMILIES").map_or(FAMILIES, |text| number(&text));
    let text = python(&["families", "20260609", &wanted.to_string()]);
    let (mut impossible, mut surprised, mut weighed, mut alone, mut anybody) = (0, 0, 0, 0, 0);
    for (at, case) in cases(&text).iter().enumerate() {
        let asked: Vec<usize> = (0..case.pedigree.animals.len()).collect();
        let found = infer(&case.groups, &case.pedigree, &asked, None).expect("small");
        if let Some(groups) = &case.conflict {
            let told: Vec<usize> = found.conflicts.iter().filter_map(|c| c.group).collect();
            assert!(!found.conflicts.is_empty(), "family {at}: nothing fits");
            assert_eq!(&told, groups, "family {at}");
            impossible += 1;
            continue;
        }
        assert!(found.conflicts.is_empty(), "family {at}: {:?}", found.conflicts);
        let mut sums = vec![vec![0.0; case.pedigree.animals.len()]; case.groups.len()];
        for (g, a, first, second, expected) in &case.chances {
            let own = found.chances[*g][*a].as_ref().unwrap_or_else(|| panic!("family {at}: animal {a}"));
            let seen = own[state(&case.groups[*g], first, second)];
            assert!((seen - expected).abs() < 1e-9, "family {at} animal {a} {first} {second}: {seen}, {expected}");
            sums[*g][*a] += seen;
        }
        // What the other did not list has no chance here either.
        assert!(sums.iter().flatten().all(|sum| (sum - 1.0).abs() < 1e-9), "family {at}");
        for &(brood, way, expected) in &case.ways {
            let seen = found.parentages[brood][way];
            assert!((seen - expected).abs() < 1e-9, "family {at} brood {brood}: {seen}, {expected}");
        }
        surprised += usize::from(!found.surprises.is_empty());
        let some = |is: &dyn Fn(&Brood) -> bool| usize::from(case.pedigree.broods.iter().any(is));
        let by = |brood: &Brood, sire: Sire| brood.parentages.iter().any(|way| way.sire == sire);
        weighed += some(&|brood| brood.parentages.len() > 1);
        alone += some(&|brood| by(brood, Sire::NoMale));
        anybody += some(&|brood| brood.parentages.len() > 1 && by(brood, Sire::Unknown));
    }
    println!(
        "families={wanted} impossible={impossible} surprised={surprised} unsure_sires={weighed} no_male={alone} unknown_male={anybody}"
    );
    let each = [impossible, surprised, weighed, alone, anybody];
    assert!(each.iter().all(|n| *n > 0), "{each:?}");
}

#[test]
fn fits_are_scipys() {
    let text = python(&["fits", "14", &FITS.to_string()]);
    let (mut exact, mut chi) = (0, 0);
    for line in text.lines() {
        let (how, rest) = line.split_once(' ').expect("a method");
        let parts: Vec<Vec<f64>> = rest.split(':').map(|part| part.split_whitespace().map(number).collect()).collect();
        let counts: Vec<u32> = parts[1].iter().map(|count| *count as u32).collect();
        let Fair { how: used, p, .. } = fair(&parts[0], &counts).expect("counted");
        assert!((p - parts[2][1]).abs() < 1e-7, "{line}: {p}");
        match used {
            How::Exact => exact += usize::from(how == "exact"),
            How::ChiSquare { statistic, .. } => {
                assert!((statistic - parts[2][0]).abs() < 1e-7, "{line}: {statistic}");
                chi += usize::from(how == "chisquare");
            }
        }
    }
    assert!(exact > 0 && chi > 0 && exact + chi == text.lines().count(), "{exact} {chi}");
}
