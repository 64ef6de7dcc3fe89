//! One group in one family, all parentages chosen or mixed: exact chances.

use super::{Family, Joint, Solved, UNKNOWN_MALE};
use crate::genetics::pedigree::{Parentage, Sex, Sire};
use crate::genetics::tables::{Beliefs, Table, beliefs};
use crate::genetics::{Group, Refusal, What};

impl Family<'_> {
    /// `None` when nothing fits. Young of which nothing is said, and their young, are left out and asked for one by one
    /// where the whole family at once is too much.
    pub(super) fn solve(
        &self,
        g: usize,
        members: &[usize],
        asked: &[usize],
        pair: Option<(usize, usize)>,
        chosen: &[(usize, usize)],
        rare: f64,
    ) -> Result<Option<Solved>, Refusal> {
        match self.solve_among(g, members, asked, pair, chosen, rare) {
            Err(Refusal::TooTangled) => {}
            done => return done,
        }
        let of_interest = |also: &[usize]| -> Vec<usize> {
            let marked =
                self.with_ancestors(members.iter().copied().filter(|&m| self.live[m]).chain(also.iter().copied()));
            members.iter().copied().filter(|&m| marked[m]).collect()
        };
        let both: Vec<usize> = pair.into_iter().flat_map(|(a, b)| [a, b]).collect();
        let Some(mut core) = self.solve_among(g, &of_interest(&both), &both, pair, chosen, rare)? else {
            return Ok(None);
        };
        core.chances.clear();
        for &animal in asked {
            let Some(one) = self.solve_among(g, &of_interest(&[animal]), &[animal], None, chosen, rare)? else {
                return Ok(None);
            };
            core.chances.extend(one.chances);
        }
        Ok(Some(core))
    }

    fn solve_among(
        &self,
        g: usize,
        members: &[usize],
        asked: &[usize],
        pair: Option<(usize, usize)>,
        chosen: &[(usize, usize)],
        rare: f64,
    ) -> Result<Option<Solved>, Refusal> {
        let group = &self.groups[g];
        let said = self.said(g, members, chosen, rare);
        let Some(domains) = self.domains(group, members, &said) else { return Ok(None) };
        // Only what is not settled takes part in the sums.
        let mut number = vec![usize::MAX; self.count()];
        let mut sizes = Vec::new();
        for &m in members.iter().filter(|&&m| domains[m].len() > 1) {
            number[m] = sizes.len();
            sizes.push(domains[m].len());
        }
        let mut tables = Vec::with_capacity(members.len());
        for &m in members {
            let ways = said.ways(m);
            let table = if ways.is_empty() {
                let cells = domains[m].iter().map(|&state| said.weights[m][usize::from(state)]).collect();
                table(&[m], &number, &domains, cells)
            } else {
                self.young_table(group, m, ways, &number, &domains)?
            };
            tables.push(table);
        }
        let both = pair.map(|(a, b)| (number[a], number[b]));
        let open = both.filter(|(a, b)| *a != usize::MAX && *b != usize::MAX);
        let Some(found) = beliefs(&sizes, tables, open)? else { return Ok(None) };
        let of = |animal: usize| -> Vec<f64> {
            let mut chances = vec![0.0; group.states().len()];
            for (at, &state) in domains[animal].iter().enumerate() {
                chances[usize::from(state)] = found.each.get(number[animal]).map_or(1.0, |each| each[at]);
            }
            chances
        };
        let carries = |animal: usize| of(animal).iter().skip(1).sum::<f64>() - self.bare_normal(group, &of(animal));
        let carry = if rare > 0.0 { said.unsaid.iter().map(|&a| (a, carries(a))).collect() } else { Vec::new() };
        Ok(Some(Solved {
            log: found.log,
            chances: asked.iter().map(|&a| (a, of(a))).collect(),
            carry,
            pair: pair.map(|pair| joint(pair, &found, open.is_some(), &domains, &of)).unwrap_or_default(),
        }))
    }

    /// The chance of the normal genotype of the sex with one copy.
    fn bare_normal(&self, group: &Group, chances: &[f64]) -> f64 {
        let normal = |s: &&(usize, &f64)| group.states()[s.0].b.is_none() && group.states()[s.0].a == [0, 0];
        chances.iter().enumerate().skip(1).filter(|s| normal(&s)).map(|(_, chance)| chance).sum()
    }

    /// What each animal's own entries leave of its genotypes.
    fn said<'f>(&'f self, g: usize, members: &[usize], chosen: &[(usize, usize)], rare: f64) -> Said<'f> {
        let group = &self.groups[g];
        let mut said = Said {
            weights: vec![Vec::new(); self.count()],
            ways: members.iter().fold(vec![&[][..]; self.count()], |mut ways, &m| {
                ways[m] = self.ways(m, chosen);
                ways
            }),
            unsaid: Vec::new(),
        };
        // Carrying is said of somebody further up: then what a seller said of the young is not needed.
        let mut carried_above = vec![false; self.count()];
        let mut needed: Vec<usize> = Vec::new();
        let mut masks: Vec<Vec<bool>> = vec![Vec::new(); self.count()];
        for &m in members {
            let mask: Vec<bool> = (0..group.states().len() as u16).map(|s| self.fits(group, g, m, s)).collect();
            let normal = mask
                .iter()
                .zip(group.states())
                .any(|(fits, s)| *fits && s.a == [0, 0] && s.b.is_none_or(|b| b == [0, 0]));
            let possible = self.known(m).iter().any(|k| k.group == g && matches!(k.what, What::Possible(_)));
            // Of all possible parents, or a parentage would be the likelier for saying nothing.
            let above = self.parents_of(m).any(|p| carried_above[p]);
            if !normal {
                needed.push(m);
            }
            if possible && !above {
                said.ways[m] = &[];
            }
            carried_above[m] = above || !normal || possible;
            masks[m] = mask;
        }
        let may_carry = if rare > 0.0 { self.with_ancestors(needed.into_iter()) } else { vec![false; self.count()] };
        for &m in members {
            let mask = std::mem::take(&mut masks[m]);
            said.weights[m] = if said.ways(m).is_empty() {
                let anybody = self.may_be_anybody(m);
                let rare = if may_carry[m] { rare } else { 0.0 };
                let (weights, unsaid) = self.prior(g, m, &mask, if anybody { UNKNOWN_MALE } else { rare });
                if unsaid && may_carry[m] && !anybody {
                    said.unsaid.push(m);
                }
                weights
            } else {
                mask.iter().map(|&fits| f64::from(u8::from(fits))).collect()
            };
        }
        said
    }

    /// Whether a genotype agrees with everything said and seen of an animal, and with its being alive.
    fn fits(&self, group: &Group, g: usize, animal: usize, state: u16) -> bool {
        let sex = group.state(state).sex;
        let right_sex = sex.is_none() || self.sex(animal).is_none_or(|own| Some(own) == sex);
        right_sex
            && group.lives(state)
            && self.known(animal).iter().filter(|known| known.group == g).all(|known| {
                let (copies, most) = group.copies(state, known.locus, known.allele);
                match known.what {
                    What::Looks(shows) => group.shows(state, known.locus, known.allele) == shows,
                    What::Not => copies == 0,
                    What::Carries => copies > 0,
                    What::Het => copies == 1,
                    What::Homozygous => copies == most,
                    What::Possible(_) => copies <= 1,
                }
            })
    }

    /// The chances of an animal's genotypes before its young have their say, where its parents say nothing; and whether
    /// nothing was said of it that would make it a carrier.
    fn prior(&self, g: usize, animal: usize, mask: &[bool], rare: f64) -> (Vec<f64>, bool) {
        let group = &self.groups[g];
        let mut weights: Vec<f64> = mask.iter().map(|&fits| f64::from(u8::from(fits))).collect();
        let mut unsaid = true;
        for (l, locus) in group.loci.iter().enumerate() {
            let possible = self.known(animal).iter().find_map(|known| match known.what {
                What::Possible(p) if (known.group, known.locus) == (g, l) => Some((known.allele, p)),
                _ => None,
            });
            for sex in [None, Some(Sex::Female), Some(Sex::Male)] {
                let of_sex: Vec<usize> = (0..mask.len()).filter(|&s| group.states()[s].sex == sex && mask[s]).collect();
                let genotype = |s: usize| (group.states()[s].a[l], group.states()[s].b.map(|b| b[l]));
                let mut fitting: Vec<(u8, u8)> = Vec::new();
                for &s in &of_sex {
                    let (a, b) = genotype(s);
                    let pair = (a.min(b.unwrap_or(a)), a.max(b.unwrap_or(a)));
                    if !fitting.contains(&pair) {
                        fitting.push(pair);
                    }
                }
                let normal = fitting.contains(&(0, 0));
                unsaid &= of_sex.is_empty() || normal && possible.is_none();
                let share = |allele: u8| if allele == 0 { 1.0 - rare * (locus.alleles() - 1) as f64 } else { rare };
                for &s in &of_sex {
                    let (a, b) = genotype(s);
                    weights[s] *= match (normal, possible) {
                        (true, Some((allele, p))) => match (a, b) {
                            (0, None | Some(0)) => 1.0 - p,
                            (x, None) if x == allele => p,
                            (x, Some(y)) if x.min(y) == 0 && x.max(y) == allele => p,
                            _ => 0.0,
                        },
                        (true, None) => {
                            let two_ways = if b.is_some_and(|b| b != a) { 2.0 } else { 1.0 };
                            two_ways * share(a) * b.map_or(1.0, share)
                        }
                        // It carries something; nothing says what beyond what fits.
                        (false, _) => 1.0 / fitting.len() as f64,
                    };
                }
            }
        }
        // Two loci, heterozygous at both: either phase.
        for (s, state) in group.states().iter().enumerate() {
            if let (2, Some(b)) = (group.loci.len(), state.b)
                && state.a[0] != b[0]
                && state.a[1] != b[1]
            {
                weights[s] *= 0.5;
            }
        }
        (weights, unsaid)
    }

    /// The genotypes each animal can have, given those of its parents and young. `None` when one has none left.
    fn domains(&self, group: &Group, members: &[usize], said: &Said<'_>) -> Option<Vec<Vec<u16>>> {
        let mut domains: Vec<Vec<u16>> = vec![Vec::new(); self.count()];
        for &m in members {
            domains[m] = (0..group.states().len() as u16).filter(|&s| said.weights[m][usize::from(s)] > 0.0).collect();
        }
        let role = |state: u16, sex: Sex| group.state(state).sex.is_none_or(|own| own == sex);
        let gametes = |domains: &[Vec<u16>], animal: Option<usize>, sex: Sex| -> u128 {
            let states = animal.into_iter().flat_map(|a| &domains[a]).filter(|&&s| role(s, sex));
            states.fold(0, |set, &state| set | group.gamete_set(state))
        };
        let has = |set: u128, hap: usize| set >> hap & 1 == 1;
        let of_dam = |dam: u16| group.alone(dam).into_iter().map(|(young, _)| young);
        loop {
            let mut changed = false;
            for &m in members {
                let ways = said.ways(m);
                if !ways.is_empty() {
                    let sets: Vec<(u128, u128)> = ways
                        .iter()
                        .map(|p| (gametes(&domains, p.dam, Sex::Female), gametes(&domains, p.sire.known(), Sex::Male)))
                        .collect();
                    let alone = ways.iter().filter(|p| p.sire == Sire::NoMale).filter_map(|p| p.dam);
                    let alone: Vec<u16> = alone.flat_map(|dam| &domains[dam]).flat_map(|&dam| of_dam(dam)).collect();
                    let before = domains[m].len();
                    domains[m].retain(|&state| {
                        alone.contains(&state)
                            || group
                                .halves(state)
                                .iter()
                                .any(|&(d, s)| sets.iter().any(|set| has(set.0, d) && has(set.1, s)))
                    });
                    changed |= domains[m].len() < before;
                }
                if domains[m].is_empty() {
                    return None;
                }
            }
            for &m in members.iter().rev() {
                // With several possible parents none of them can be told by one of the young alone.
                let [only] = said.ways(m) else { continue };
                let Some(dam) = only.dam else { continue };
                let Some(sire) = only.sire.known() else {
                    let (before, young) = (domains[dam].len(), domains[m].clone());
                    domains[dam].retain(|&state| of_dam(state).any(|one| young.contains(&one)));
                    if domains[dam].is_empty() {
                        return None;
                    }
                    changed |= domains[dam].len() < before;
                    continue;
                };
                let halves: Vec<(usize, usize)> = domains[m].iter().flat_map(|&state| group.halves(state)).collect();
                let from_sire = gametes(&domains, Some(sire), Sex::Male);
                let before = domains[dam].len() + domains[sire].len();
                domains[dam].retain(|&state| {
                    let own = group.gamete_set(state);
                    role(state, Sex::Female) && halves.iter().any(|&(d, s)| has(own, d) && has(from_sire, s))
                });
                let from_dam = gametes(&domains, Some(dam), Sex::Female);
                domains[sire].retain(|&state| {
                    let own = group.gamete_set(state);
                    role(state, Sex::Male) && halves.iter().any(|&(d, s)| has(own, s) && has(from_dam, d))
                });
                if domains[dam].is_empty() || domains[sire].is_empty() {
                    return None;
                }
                changed |= domains[dam].len() + domains[sire].len() < before;
            }
            if !changed {
                return Some(domains);
            }
        }
    }

    /// The chance of an animal's genotype given those of all who may be its parents, among young that live.
    fn young_table(
        &self,
        group: &Group,
        animal: usize,
        ways: &[Parentage],
        number: &[usize],
        domains: &[Vec<u16>],
    ) -> Result<Table, Refusal> {
        let all: f64 = ways.iter().map(|p| p.weight).sum();
        let mut who = vec![animal];
        for parent in ways.iter().flat_map(Parentage::known) {
            if !who.contains(&parent) {
                who.push(parent);
            }
        }
        let size = |a: usize| domains[a].len();
        let cells = who.iter().try_fold(1usize, |n, &a| n.checked_mul(size(a)));
        let cells = cells.filter(|&n| n <= crate::genetics::MOST_CELLS).ok_or(Refusal::TooTangled)?;
        let mut values = vec![0.0; cells];
        // The animal itself changes slowest, its possible parents after it in order.
        let step = |at: usize| who[at + 1..].iter().map(|&a| size(a)).product::<usize>();
        let steps: Vec<usize> = (0..who.len()).map(step).collect();
        let others = cells / size(animal);
        for rest in 0..others {
            let state = |parent: usize| {
                let at = who.iter().position(|&w| w == parent).unwrap_or(0);
                domains[parent][rest / steps[at] % size(parent)]
            };
            for way in ways {
                let Some(dam) = way.dam else { continue };
                let young = group.young_of(state(dam), way.sire.known().map(state));
                let living: f64 = young.iter().filter(|(s, _)| group.lives(*s)).map(|(_, share)| share).sum();
                for (young, share) in young {
                    if let Ok(at) = domains[animal].binary_search(&young)
                        && living > 0.0
                    {
                        values[at * steps[0] + rest] += way.weight / all * share / living;
                    }
                }
            }
        }
        Ok(table(&who, number, domains, values))
    }
}

/// What the entries say, by animal.
struct Said<'a> {
    /// Of each genotype; 0 where it does not fit.
    weights: Vec<Vec<f64>>,
    /// Parentages that count for this group.
    ways: Vec<&'a [Parentage]>,
    /// Founders of which nothing is said.
    unsaid: Vec<usize>,
}

impl<'a> Said<'a> {
    fn ways(&self, animal: usize) -> &'a [Parentage] {
        self.ways[animal]
    }
}

/// A table over those of `who` that are not settled: a settled one has a single row, which drops out.
fn table(who: &[usize], number: &[usize], domains: &[Vec<u16>], cells: Vec<f64>) -> Table {
    let open: Vec<usize> = who.iter().copied().filter(|&a| number[a] != usize::MAX).collect();
    Table {
        vars: open.iter().map(|&a| number[a]).collect(),
        dims: open.iter().map(|&a| domains[a].len()).collect(),
        cells,
    }
}

fn joint(
    (a, b): (usize, usize),
    found: &Beliefs,
    open: bool,
    domains: &[Vec<u16>],
    of: &dyn Fn(usize) -> Vec<f64>,
) -> Joint {
    let mut all = Vec::new();
    match &found.pair {
        // The same animal: a dam without a male.
        _ if a == b => all.extend(domains[a].iter().map(|&state| (state, None, of(a)[usize::from(state)]))),
        Some(table) if open => {
            for (i, &first) in domains[a].iter().enumerate() {
                for (j, &second) in domains[b].iter().enumerate() {
                    all.push((first, Some(second), table.cells[i * domains[b].len() + j]));
                }
            }
        }
        // One of them is settled, so they do not depend on each other.
        _ => {
            let (of_a, of_b) = (of(a), of(b));
            for &first in &domains[a] {
                for &second in &domains[b] {
                    all.push((first, Some(second), of_a[usize::from(first)] * of_b[usize::from(second)]));
                }
            }
        }
    }
    all.retain(|(_, _, chance)| *chance > 0.0);
    all
}
