//! Outcomes of ten loci on both sides, and a pedigree of 300 animals weighed anew: how long they take.
//!
//! `cargo run --release -p trade --example genes` prints one line of numbers in milliseconds, the best of five.

use std::time::Instant;
use trade::genetics::{
    Brood, Cross, Evidence, Group, Individual, Locus, Mode, On, Pedigree, Refusal, Sex, Shows, What, infer,
};

/// Founders, then each year's young of pairs among those before.
const FOUNDERS: usize = 30;
const ANIMALS: usize = 300;

fn main() -> Result<(), Refusal> {
    let ten = |mode| -> Vec<Group> { (0..10).map(|_| Group::single(Locus::simple(mode), On::Autosome)).collect() };
    let all: Vec<usize> = (0..10).collect();
    let outcomes = |groups: &[Group]| -> Result<(f64, usize), Refusal> {
        let hets = [1; 10];
        let mut rows = 0;
        let ms = best(|| {
            rows = Cross::known(groups, &hets, &hets).looks(&all)?.rows.len();
            Ok(())
        })?;
        Ok((ms, rows))
    };
    let (recessive_ms, recessive_looks) = outcomes(&ten(Mode::Recessive))?;
    let (incomplete_ms, incomplete_looks) = outcomes(&ten(Mode::IncompleteDominant))?;

    let groups = ten(Mode::Recessive);
    let mut told = Vec::new();
    for said in [Said::AsKept, Said::Everything] {
        let pedigree = barn(said);
        let asked: Vec<usize> = (0..ANIMALS).collect();
        let mut sum = 0.0;
        let ms = best(|| {
            let found = infer(&groups, &pedigree, &asked, None)?;
            sum = found.chances.iter().flatten().flatten().map(|chances| chances[1]).sum();
            Ok(())
        })?;
        told.push((ms, sum));
    }
    println!(
        "loci=10 recessive_looks={recessive_looks} recessive_ms={recessive_ms:.2} incomplete_looks={incomplete_looks} incomplete_ms={incomplete_ms:.2} animals={ANIMALS} as_kept_ms={:.2} much_unsure_ms={:.2} check={:.6} {:.6}",
        told[0].0, told[1].0, told[0].1, told[1].1
    );
    Ok(())
}

/// How much is said of the founders.
#[derive(Clone, Copy, PartialEq)]
enum Said {
    /// Some carry, as entered; the others are taken as plain.
    AsKept,
    /// Every founder may carry everything.
    Everything,
}

fn best(mut run: impl FnMut() -> Result<(), Refusal>) -> Result<f64, Refusal> {
    let mut least = f64::INFINITY;
    for _ in 0..5 {
        let clock = Instant::now();
        run()?;
        least = least.min(clock.elapsed().as_secs_f64() * 1e3);
    }
    Ok(least)
}

/// A barn of some years: broods of six, every second baby looked at, the looks made by chance from true genotypes.
fn barn(said: Said) -> Pedigree {
    // The output step of SplitMix64: the same barn every time.
    let mut state = 7u64;
    let mut draw = move |n: usize| -> usize {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    };
    let mut pedigree = Pedigree::default();
    let mut truth: Vec<[u8; 10]> = Vec::new();
    let sex = |i: usize| if i.is_multiple_of(2) { Sex::Female } else { Sex::Male };
    for i in 0..FOUNDERS {
        let mut own = [0u8; 10];
        let mut known = Vec::new();
        for (group, copies) in own.iter_mut().enumerate() {
            *copies = u8::from(draw(4) == 0);
            let what = match (said, *copies) {
                (Said::Everything, _) => Some(What::Possible(0.5)),
                (Said::AsKept, 0) => None,
                (Said::AsKept, _) if draw(2) == 0 => Some(What::Het),
                (Said::AsKept, _) => Some(What::Possible(0.66)),
            };
            known.extend(what.map(|what| Evidence { group, locus: 0, allele: 1, what }));
        }
        truth.push(own);
        pedigree.animals.push(Individual { sex: Some(sex(i)), brood: None, known });
    }
    while pedigree.animals.len() < ANIMALS {
        let n = pedigree.animals.len();
        let (dam, sire) = (draw(n / 2) * 2, draw(n.min(60) / 4) * 2 + 1);
        pedigree.broods.push(Brood::of(Some(dam), Some(sire)));
        for _ in 0..6.min(ANIMALS - n) {
            let mut gamete = |copies: u8| if copies == 1 { draw(2) as u8 } else { copies / 2 };
            let own: [u8; 10] = std::array::from_fn(|l| gamete(truth[dam][l]) + gamete(truth[sire][l]));
            let i = pedigree.animals.len();
            let look = |copies: u8| What::Looks(if copies == 2 { Shows::One } else { Shows::No });
            let known: Vec<Evidence> = if i.is_multiple_of(2) {
                (0..10).map(|group| Evidence { group, locus: 0, allele: 1, what: look(own[group]) }).collect()
            } else {
                Vec::new()
            };
            truth.push(own);
            pedigree.animals.push(Individual { sex: Some(sex(i)), brood: Some(pedigree.broods.len() - 1), known });
        }
    }
    pedigree
}
