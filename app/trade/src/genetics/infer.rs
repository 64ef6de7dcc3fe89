//! What a family's looks and statements say of each of its animals.
//!
//! An animal of which nothing is said, and whose parents are not known, is taken to carry nothing. Only when that makes
//! what was seen impossible are such animals allowed to carry after all, and are then named as [`Findings::surprises`].

mod solve;

use super::pedigree::{Parentage, Pedigree, Sex, Sire};
use super::{Group, MOST_PARENTAGES, On, Refusal};

/// How rare an allele is held to be in animals of which nothing is said, once one of them must carry it: so rare that
/// the fewest carriers are the likeliest.
const RARE: f64 = 1e-6;
/// How often a copy of an unknown male has each allele but the normal one, where he is one of several who may be the sire
/// (our choice, no source). Taken to carry nothing, he would be ruled out by the first of the young that shows anything.
pub const UNKNOWN_MALE: f64 = 0.05;
/// A chance to carry above which an animal of which nothing was said is named.
const NAMED: f64 = 0.01;

/// What was found. Lists are by group, then by animal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// The chances of each genotype of the group. `None`: not asked, or nothing in its family fits.
    pub chances: Vec<Vec<Option<Vec<f64>>>>,
    /// By brood, the chance of each parentage.
    pub parentages: Vec<Vec<f64>>,
    pub surprises: Vec<Surprise>,
    pub conflicts: Vec<Conflict>,
    /// Of the two asked for together: cases with their chances, and in each by group the chances of pairs of genotypes.
    pub pair: Vec<(f64, Vec<Joint>)>,
}

/// Chances of pairs of genotypes: the dam's, the sire's. No sire: she had no male.
pub type Joint = Vec<(u16, Option<u16>, f64)>;

/// An animal that carries something which nothing entered would say.
#[derive(Clone, Debug, PartialEq)]
pub struct Surprise {
    pub group: usize,
    pub who: Who,
    /// That it carries any allele but the normal ones.
    pub chance: f64,
}

/// An animal, or the unknown parent of a brood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    Animal(usize),
    Dam(usize),
    Sire(usize),
}

/// What cannot be: a wrong parent, mode, statement or look.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// `None`: each trait by itself fits some parents, but not all the same ones.
    pub group: Option<usize>,
    /// Animals each of which, if nothing were said of it, would take the conflict away.
    pub any_of: Vec<usize>,
    /// Broods of more than one possible parentage that are in it.
    pub broods: Vec<usize>,
}

/// The pedigree with unknown parents as animals of their own, and what is needed of it at every step.
struct Family<'a> {
    groups: &'a [Group],
    pedigree: &'a Pedigree,
    order: Vec<usize>,
    /// By animal, the parentages to choose from.
    parents: Vec<Vec<Parentage>>,
    /// Unknown parents, numbered on from the animals.
    unknown: Vec<Who>,
    /// With something said, or with young of which there is.
    live: Vec<bool>,
}

/// Weighs everything that is known; answers for the `asked`, and for two of them together: a dam and a sire, or a dam
/// twice for what she is without a male.
///
/// # Errors
/// A pedigree that is none, or one past the bounds of this module.
pub fn infer(
    groups: &[Group],
    pedigree: &Pedigree,
    asked: &[usize],
    pair: Option<(usize, usize)>,
) -> Result<Findings, Refusal> {
    if groups.iter().filter(|group| group.on != On::Autosome).count() > 1 {
        return Err(Refusal::SexLinked);
    }
    let n = pedigree.animals.len();
    if let Some(&stranger) = asked.iter().chain(pair.iter().flat_map(|(a, b)| [a, b])).find(|&&a| a >= n) {
        return Err(Refusal::Animals(stranger));
    }
    let family = Family::new(groups, pedigree)?;
    let mut findings = Findings {
        chances: vec![vec![None; n]; groups.len()],
        parentages: pedigree
            .broods
            .iter()
            .map(|brood| {
                let all: f64 = brood.parentages.iter().map(|p| p.weight).sum();
                brood.parentages.iter().map(|p| p.weight / all).collect()
            })
            .collect(),
        ..Findings::default()
    };
    let asked: Vec<usize> = asked.iter().copied().chain(pair.into_iter().flat_map(|(a, b)| [a, b])).collect();
    for members in family.components(&asked, pair) {
        family.weigh(&members, &asked, pair, &mut findings)?;
    }
    Ok(findings)
}

/// One way of choosing the uncertain parentages of a component.
struct Case {
    chosen: Vec<(usize, usize)>,
    weight: f64,
    /// By group; `None` where nothing fits.
    solved: Vec<Option<Solved>>,
}

struct Solved {
    log: f64,
    /// By animal asked for.
    chances: Vec<(usize, Vec<f64>)>,
    /// Of unknown parents and other founders of which nothing is said: that they carry.
    carry: Vec<(usize, f64)>,
    pair: Joint,
}

impl<'a> Family<'a> {
    fn new(groups: &'a [Group], pedigree: &'a Pedigree) -> Result<Self, Refusal> {
        let n = pedigree.animals.len();
        let mut order = pedigree.ordered(groups)?;
        let mut unknown = Vec::new();
        let mut broods: Vec<Vec<Parentage>> = Vec::new();
        for (b, brood) in pedigree.broods.iter().enumerate() {
            let mut stand_in = |who: Who, wanted: bool| {
                wanted.then(|| {
                    unknown.push(who);
                    n + unknown.len() - 1
                })
            };
            let dam = stand_in(Who::Dam(b), brood.parentages.iter().any(|p| p.dam.is_none()));
            let sire = stand_in(Who::Sire(b), brood.parentages.iter().any(|p| p.sire == Sire::Unknown));
            let sired = |by: Sire| if by == Sire::Unknown { sire.into() } else { by };
            let known = |p: &Parentage| Parentage { dam: p.dam.or(dam), sire: sired(p.sire), weight: p.weight };
            broods.push(brood.parentages.iter().map(known).collect());
        }
        order.splice(0..0, n..n + unknown.len());
        let mut parents: Vec<Vec<Parentage>> =
            pedigree.animals.iter().map(|a| a.brood.map_or_else(Vec::new, |b| broods[b].clone())).collect();
        parents.extend(unknown.iter().map(|_| Vec::new()));
        // Where one sex dies of it, who lived tells something.
        let sex_tells =
            groups.iter().any(|g| g.on != On::Autosome && (0..g.states().len()).any(|s| !g.lives(s as u16)));
        let mut family = Family { groups, pedigree, order, parents, unknown, live: Vec::new() };
        let said = (0..n).filter(|&a| {
            let animal = &pedigree.animals[a];
            !animal.known.is_empty() || sex_tells && animal.sex.is_some() && animal.brood.is_some()
        });
        family.live = family.with_ancestors(said);
        Ok(family)
    }

    fn count(&self) -> usize {
        self.parents.len()
    }

    fn parents_of(&self, animal: usize) -> impl Iterator<Item = usize> {
        self.parents[animal].iter().flat_map(Parentage::known)
    }

    fn with_ancestors(&self, from: impl Iterator<Item = usize>) -> Vec<bool> {
        let mut marked = vec![false; self.count()];
        from.for_each(|animal| marked[animal] = true);
        for &animal in self.order.iter().rev() {
            if marked[animal] {
                self.parents_of(animal).for_each(|parent| marked[parent] = true);
            }
        }
        marked
    }

    fn sex(&self, animal: usize) -> Option<Sex> {
        match animal.checked_sub(self.pedigree.animals.len()) {
            None => self.pedigree.animals[animal].sex,
            Some(stand_in) => match self.unknown[stand_in] {
                Who::Dam(_) => Some(Sex::Female),
                _ => Some(Sex::Male),
            },
        }
    }

    /// Whether it stands for an unknown male who is one of several possibilities.
    fn may_be_anybody(&self, animal: usize) -> bool {
        let unknown = animal.checked_sub(self.pedigree.animals.len()).map(|at| self.unknown[at]);
        let others = |brood: usize| self.pedigree.broods[brood].parentages.iter().any(|p| p.sire != Sire::Unknown);
        matches!(unknown, Some(Who::Sire(brood)) if others(brood))
    }

    fn known(&self, animal: usize) -> &[super::Evidence] {
        self.pedigree.animals.get(animal).map_or(&[], |a| &a.known)
    }

    /// Those who matter for what is asked, family by family, parents first.
    fn components(&self, asked: &[usize], pair: Option<(usize, usize)>) -> Vec<Vec<usize>> {
        let wanted = self.with_ancestors((0..self.count()).filter(|&a| self.live[a]).chain(asked.iter().copied()));
        let mut root: Vec<usize> = (0..self.count()).collect();
        fn find(root: &mut [usize], mut a: usize) -> usize {
            while root[a] != a {
                root[a] = root[root[a]];
                a = root[a];
            }
            a
        }
        for &animal in self.order.iter().filter(|&&a| wanted[a]) {
            for parent in self.parents_of(animal).collect::<Vec<_>>() {
                let (a, b) = (find(&mut root, animal), find(&mut root, parent));
                root[a] = b;
            }
        }
        if let Some((a, b)) = pair {
            let (a, b) = (find(&mut root, a), find(&mut root, b));
            root[a] = b;
        }
        let mut by_root: Vec<Vec<usize>> = vec![Vec::new(); self.count()];
        for &animal in self.order.iter().filter(|&&a| wanted[a]) {
            by_root[find(&mut root, animal)].push(animal);
        }
        by_root.retain(|members| !members.is_empty());
        // A family in which nobody asked is of no interest.
        by_root.retain(|members| members.iter().any(|m| asked.contains(m)));
        by_root
    }

    fn weigh(
        &self,
        members: &[usize],
        asked: &[usize],
        pair: Option<(usize, usize)>,
        findings: &mut Findings,
    ) -> Result<(), Refusal> {
        let asked: Vec<usize> = members.iter().copied().filter(|m| asked.contains(m)).collect();
        let pair = pair.filter(|(a, _)| members.contains(a));
        let mut uncertain: Vec<usize> = members
            .iter()
            .filter(|&&m| self.live[m] && self.parents[m].len() > 1)
            .filter_map(|&m| self.pedigree.animals[m].brood)
            .collect();
        uncertain.sort_unstable();
        uncertain.dedup();
        let mut cases = self.cases(&uncertain)?;
        for rare in [0.0, RARE] {
            for case in &mut cases {
                case.solved = (0..self.groups.len())
                    .map(|g| self.solve(g, members, &asked, pair, &case.chosen, rare))
                    .collect::<Result<_, _>>()?;
            }
            if cases.iter().any(|case| case.solved.iter().all(Option::is_some)) {
                break;
            }
        }
        let mut ignored = vec![false; self.groups.len()];
        if !cases.iter().any(|case| case.solved.iter().all(Option::is_some)) {
            for (g, ignored) in ignored.iter_mut().enumerate() {
                *ignored = cases.iter().all(|case| case.solved[g].is_none());
                if *ignored {
                    let any_of = self.culprits(g, members, &cases)?;
                    findings.conflicts.push(Conflict { group: Some(g), any_of, broods: uncertain.clone() });
                }
            }
            let fits = |case: &Case| case.solved.iter().zip(&ignored).all(|(s, ignored)| *ignored || s.is_some());
            if !cases.iter().any(fits) {
                findings.conflicts.push(Conflict { group: None, any_of: Vec::new(), broods: uncertain });
                return Ok(());
            }
        }
        self.gather(&cases, &ignored, &asked, pair, findings);
        Ok(())
    }

    fn cases(&self, uncertain: &[usize]) -> Result<Vec<Case>, Refusal> {
        let mut cases = vec![Case { chosen: Vec::new(), weight: 1.0, solved: Vec::new() }];
        for &brood in uncertain {
            let ways = &self.pedigree.broods[brood].parentages;
            if cases.len() * ways.len() > MOST_PARENTAGES {
                return Err(Refusal::Parentages);
            }
            let more = cases.iter().flat_map(|case| {
                ways.iter().enumerate().map(|(way, p)| {
                    let mut chosen = case.chosen.clone();
                    chosen.push((brood, way));
                    Case { chosen, weight: case.weight * p.weight, solved: Vec::new() }
                })
            });
            cases = more.collect();
        }
        Ok(cases)
    }

    /// The parentages of an animal in a case.
    fn ways(&self, animal: usize, chosen: &[(usize, usize)]) -> &[Parentage] {
        let all = &self.parents[animal];
        let brood = self.pedigree.animals.get(animal).and_then(|a| a.brood);
        match chosen.iter().find(|(b, _)| Some(*b) == brood) {
            Some((_, way)) => std::slice::from_ref(&all[*way]),
            None => all,
        }
    }

    /// Animals whose own entries, set aside, let the group fit again.
    fn culprits(&self, g: usize, members: &[usize], cases: &[Case]) -> Result<Vec<usize>, Refusal> {
        let mut any_of = Vec::new();
        let said = |m: &&usize| self.known(**m).iter().any(|known| known.group == g);
        for &suspect in members.iter().filter(said) {
            let mut pedigree = self.pedigree.clone();
            pedigree.animals[suspect].known.retain(|known| known.group != g);
            let without = Family::new(self.groups, &pedigree)?;
            for case in cases {
                if without.solve(g, members, &[], None, &case.chosen, RARE)?.is_some() {
                    any_of.push(suspect);
                    break;
                }
            }
        }
        Ok(any_of)
    }

    fn gather(
        &self,
        cases: &[Case],
        ignored: &[bool],
        asked: &[usize],
        pair: Option<(usize, usize)>,
        findings: &mut Findings,
    ) {
        let logs: Vec<Option<f64>> = cases
            .iter()
            .map(|case| {
                let used = case.solved.iter().zip(ignored).filter(|(_, ignored)| !**ignored);
                used.map(|(s, _)| s.as_ref().map(|s| s.log)).try_fold(case.weight.ln(), |sum, log| Some(sum + log?))
            })
            .collect();
        let most = logs.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logs.iter().map(|log| log.map_or(0.0, |log| (log - most).exp())).collect();
        let all: f64 = weights.iter().sum();
        let weighed = || cases.iter().zip(weights.iter().map(|w| w / all)).filter(|(_, w)| *w > 0.0);

        for brood in cases.iter().flat_map(|case| case.chosen.iter().map(|(brood, _)| *brood)) {
            findings.parentages[brood].iter_mut().for_each(|chance| *chance = 0.0);
        }
        for (case, weight) in weighed() {
            for &(brood, way) in &case.chosen {
                findings.parentages[brood][way] += weight;
            }
        }
        for g in (0..self.groups.len()).filter(|&g| !ignored[g]) {
            for (at, &animal) in asked.iter().enumerate() {
                let mut chances = vec![0.0; self.groups[g].states().len()];
                for (case, weight) in weighed() {
                    let said = case.solved[g].as_ref().and_then(|s| s.chances.get(at));
                    for (sum, chance) in chances.iter_mut().zip(said.iter().flat_map(|(_, chances)| chances)) {
                        *sum += weight * chance;
                    }
                }
                findings.chances[g][animal] = Some(chances);
            }
            let mut carry: Vec<(usize, f64)> = Vec::new();
            for (case, weight) in weighed() {
                for &(animal, chance) in case.solved[g].iter().flat_map(|s| &s.carry) {
                    match carry.iter_mut().find(|(known, _)| *known == animal) {
                        Some((_, sum)) => *sum += weight * chance,
                        None => carry.push((animal, weight * chance)),
                    }
                }
            }
            for (animal, chance) in carry.into_iter().filter(|(_, chance)| *chance > NAMED) {
                let who = animal.checked_sub(self.pedigree.animals.len()).map(|at| self.unknown[at]);
                findings.surprises.push(Surprise { group: g, who: who.unwrap_or(Who::Animal(animal)), chance });
            }
        }
        if pair.is_some() && ignored.iter().all(|ignored| !ignored) {
            let of = |case: &Case| case.solved.iter().flatten().map(|s| s.pair.clone()).collect();
            findings.pair.extend(weighed().map(|(case, weight)| (weight, of(case))));
        }
    }
}
