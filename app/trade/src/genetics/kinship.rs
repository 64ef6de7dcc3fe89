//! How closely two animals are related, and by whom: Wright's coefficients over recorded parents.
//!
//! The inbreeding coefficient of their young is the chance that both copies at a locus come from one copy in a common
//! ancestor (Wright 1922, American Naturalist 56:330; the tabular method, Emik & Terrill 1949, J. Heredity 40:51).
//! Animals without recorded parents are taken as unrelated: a coefficient is never too high, and only as complete as
//! the records.

use super::Refusal;

/// How two animals are related.
#[derive(Clone, Debug, PartialEq)]
pub struct Kin {
    /// Inbreeding coefficient of young of the two, 0–1: their coefficient of kinship.
    pub inbreeding: f64,
    /// The inbreeding of the two themselves.
    pub own: (f64, f64),
    /// Those through whom they are related, the weightiest first; one of the two may be the other's ancestor.
    pub ancestors: Vec<Ancestor>,
    /// Whether all lines of descent were followed; past a bound on their number only the coefficient is whole.
    pub complete: bool,
}

/// A common ancestor.
#[derive(Clone, Debug, PartialEq)]
pub struct Ancestor {
    pub animal: usize,
    /// What it adds to the inbreeding of the young.
    pub adds: f64,
    /// The shortest way down to each of the two, in generations; 0: it is that one.
    pub down: (u32, u32),
}

/// Lines of descent followed from one ancestor.
const MOST_LINES: usize = 4096;

/// `parents`: by animal, its dam and sire as far as recorded.
///
/// # Errors
/// A number that names nobody, or an animal among its own ancestors.
pub fn kinship(parents: &[(Option<usize>, Option<usize>)], dam: usize, sire: usize) -> Result<Kin, Refusal> {
    let n = parents.len();
    let all = parents.iter().flat_map(|(d, s)| d.iter().chain(s)).chain([&dam, &sire]);
    if let Some(&stranger) = all.clone().find(|a| **a >= n) {
        return Err(Refusal::Animals(stranger));
    }
    let order = ancestors_first(parents, [dam, sire])?;
    let place = |animal: usize| order.iter().position(|&a| a == animal).unwrap_or(0);
    let rows: Vec<(Option<usize>, Option<usize>)> =
        order.iter().map(|&a| (parents[a].0.map(place), parents[a].1.map(place))).collect();
    // Numerator relationships, the tabular method: with the elder ones by halves of the parents'.
    let m = order.len();
    let mut a = vec![0.0; m * m];
    for i in 0..m {
        let (d, s) = rows[i];
        for j in 0..i {
            let half = 0.5 * (d.map_or(0.0, |d| a[j * m + d]) + s.map_or(0.0, |s| a[j * m + s]));
            a[i * m + j] = half;
            a[j * m + i] = half;
        }
        a[i * m + i] = 1.0 + d.zip(s).map_or(0.0, |(d, s)| 0.5 * a[d * m + s]);
    }
    let inbred = |i: usize| a[i * m + i] - 1.0;
    let (d, s) = (place(dam), place(sire));
    let inbreeding = 0.5 * a[d * m + s];
    let mut young: Vec<Vec<usize>> = vec![Vec::new(); m];
    for (i, (mother, father)) in rows.iter().enumerate() {
        mother.iter().chain(father).for_each(|&p| young[p].push(i));
    }
    let (to_dam, to_sire) = (lead_to(&rows, d), lead_to(&rows, s));
    let mut ancestors = Vec::new();
    let mut complete = true;
    for c in (0..m).filter(|&c| to_dam[c] && to_sire[c]) {
        let (Some(one), Some(other)) = (lines(c, d, &young, &to_dam), lines(c, s, &young, &to_sire)) else {
            complete = false;
            continue;
        };
        let mut adds = 0.0;
        let mut down: Option<(u32, u32)> = None;
        for x in &one {
            for y in &other {
                if x[1..].iter().any(|step| y[1..].contains(step)) {
                    continue;
                }
                let (up, then) = (x.len() as u32 - 1, y.len() as u32 - 1);
                adds += 0.5f64.powi((up + then + 1) as i32) * (1.0 + inbred(c));
                let shortest = |(a, b): (u32, u32)| if a + b <= up + then { (a, b) } else { (up, then) };
                down = Some(down.map_or((up, then), shortest));
            }
        }
        if let Some(down) = down {
            ancestors.push(Ancestor { animal: order[c], adds, down });
        }
    }
    ancestors.sort_by(|x, y| y.adds.total_cmp(&x.adds).then(x.animal.cmp(&y.animal)));
    Ok(Kin { inbreeding, own: (inbred(d), inbred(s)), ancestors, complete })
}

/// The two and all their ancestors, parents before young.
fn ancestors_first(parents: &[(Option<usize>, Option<usize>)], of: [usize; 2]) -> Result<Vec<usize>, Refusal> {
    let mut order = Vec::new();
    // 0: not met; 1: its parents are being listed; 2: listed
    let mut met = vec![0u8; parents.len()];
    let mut stack: Vec<usize> = of.to_vec();
    while let Some(&animal) = stack.last() {
        let up = parents[animal].0.into_iter().chain(parents[animal].1);
        match met[animal] {
            0 => {
                met[animal] = 1;
                for parent in up {
                    match met[parent] {
                        0 => stack.push(parent),
                        1 => return Err(Refusal::OwnAncestor(parent)),
                        _ => {}
                    }
                }
            }
            1 => {
                met[animal] = 2;
                order.push(animal);
                stack.pop();
            }
            _ => {
                stack.pop();
            }
        }
    }
    Ok(order)
}

/// Which animals are the one itself or its ancestors.
fn lead_to(rows: &[(Option<usize>, Option<usize>)], to: usize) -> Vec<bool> {
    let mut leads = vec![false; rows.len()];
    leads[to] = true;
    for i in (0..rows.len()).rev() {
        if leads[i] {
            rows[i].0.iter().chain(&rows[i].1).for_each(|&p| leads[p] = true);
        }
    }
    leads
}

/// All lines of descent, both ends in them; `None` when there are too many.
fn lines(from: usize, to: usize, young: &[Vec<usize>], leads: &[bool]) -> Option<Vec<Vec<usize>>> {
    let (mut done, mut open) = (Vec::new(), vec![vec![from]]);
    while let Some(line) = open.pop() {
        let end = line.last().copied().unwrap_or(from);
        if end == to {
            done.push(line);
            if done.len() > MOST_LINES {
                return None;
            }
            continue;
        }
        let mut next: Vec<usize> = young[end].iter().copied().filter(|&child| leads[child]).collect();
        next.dedup();
        for child in next {
            let mut longer = line.clone();
            longer.push(child);
            open.push(longer);
        }
        if open.len() > MOST_LINES {
            return None;
        }
    }
    Some(done)
}
