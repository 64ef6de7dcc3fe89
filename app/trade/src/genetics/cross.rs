//! What two animals can give: by group, and multiplied out into looks when asked.

use super::pedigree::Sex;
use super::wish::{Chances, Wish, merge};
use super::{Group, Joint, Look, MOST_LOOKS, On, Refusal};

/// A pairing, its genotypes as far as they are known.
#[derive(Clone, Debug)]
pub struct Cross<'a> {
    groups: &'a [Group],
    /// Cases with their chances; in each, by group, what the parents can be.
    cases: Vec<(f64, Vec<Joint>)>,
    /// By group, the different looks and which one each genotype has.
    looks: Vec<(Vec<GroupLook>, Vec<u16>)>,
}

/// What is seen of one group.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupLook {
    /// Of a sex-linked group.
    pub sex: Option<Sex>,
    /// By locus.
    pub loci: Vec<Look>,
}

/// One look of the young, all groups together.
#[derive(Clone, Debug, PartialEq)]
pub struct LookRow {
    /// Its share of all eggs, 0–1.
    pub share: f64,
    /// By group asked for, the number of its look; see [`Cross::look`].
    pub looks: Vec<u16>,
}

/// The looks of a cross, the commonest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Looks {
    pub rows: Vec<LookRow>,
    /// Share of eggs whose young do not live.
    pub unviable: f64,
}

impl<'a> Cross<'a> {
    /// `cases` as [`super::Findings::pair`] has them: dam first, sire second, if there is one. Of several pairings that are
    /// all possible, the cases of each, with their chances.
    pub fn new(groups: &'a [Group], cases: Vec<(f64, Vec<Joint>)>) -> Self {
        let looks = groups.iter().map(looks_of).collect();
        Cross { groups, cases, looks }
    }

    /// Of genotypes known for certain, by group.
    pub fn known(groups: &'a [Group], dam: &[u16], sire: &[u16]) -> Self {
        let joints = dam.iter().zip(sire).map(|(&dam, &sire)| vec![(dam, Some(sire), 1.0)]).collect();
        Self::new(groups, vec![(1.0, joints)])
    }

    /// What the numbered look of a group is.
    pub fn look(&self, group: usize, look: u16) -> Option<&GroupLook> {
        self.looks.get(group)?.0.get(usize::from(look))
    }

    /// By case, the shares of a group's genotypes among eggs.
    fn young(&self, joint: &Joint, group: usize) -> Vec<f64> {
        let mut shares = vec![0.0; self.groups[group].states().len()];
        for &(dam, sire, chance) in joint {
            for (young, share) in self.groups[group].young_of(dam, sire) {
                shares[usize::from(young)] += chance * share;
            }
        }
        shares
    }

    /// The shares of a group's genotypes among all eggs, those that do not live among them.
    pub fn genotypes(&self, group: usize) -> Vec<f64> {
        let mut all = vec![0.0; self.groups[group].states().len()];
        for (chance, joints) in &self.cases {
            for (sum, share) in all.iter_mut().zip(self.young(&joints[group], group)) {
                *sum += chance * share;
            }
        }
        all
    }

    /// How many looks a group's young can have.
    pub fn looks_at(&self, group: usize) -> usize {
        let mut seen: Vec<u16> = Vec::new();
        for (state, share) in self.genotypes(group).into_iter().enumerate() {
            let look = self.looks[group].1[state];
            if share > 0.0 && self.groups[group].lives(state as u16) && !seen.contains(&look) {
                seen.push(look);
            }
        }
        seen.len()
    }

    /// All looks in the groups asked for, whatever the others are.
    ///
    /// # Errors
    /// [`Refusal::TooManyLooks`]: ask for fewer groups.
    pub fn looks(&self, of: &[usize]) -> Result<Looks, Refusal> {
        let many = of.iter().try_fold(1usize, |n, &g| n.checked_mul(self.looks_at(g).max(1)));
        if many.is_none_or(|n| n > MOST_LOOKS) {
            return Err(Refusal::TooManyLooks);
        }
        let mut rows: Vec<LookRow> = vec![];
        let mut lives = 0.0;
        for (chance, joints) in &self.cases {
            let mut case = vec![LookRow { share: *chance, looks: Vec::with_capacity(of.len()) }];
            for (g, joint) in joints.iter().enumerate() {
                let shares = self.by_look(g, &self.young(joint, g));
                if of.contains(&g) {
                    continue;
                }
                let living: f64 = shares.iter().sum();
                case.iter_mut().for_each(|row| row.share *= living);
            }
            for &g in of {
                let shares = self.by_look(g, &self.young(&joints[g], g));
                let seen: Vec<(u16, f64)> = (0..).zip(shares).filter(|(_, share)| *share > 0.0).collect();
                let mut next = Vec::with_capacity(case.len() * seen.len());
                for row in case {
                    for &(look, share) in &seen {
                        let mut looks = Vec::with_capacity(of.len());
                        looks.extend(&row.looks);
                        looks.push(look);
                        next.push(LookRow { share: row.share * share, looks });
                    }
                }
                case = next;
            }
            lives += case.iter().map(|row| row.share).sum::<f64>();
            rows.extend(case);
        }
        if self.cases.len() > 1 {
            rows.sort_unstable_by(|a, b| a.looks.cmp(&b.looks));
            rows.dedup_by(|more, kept| {
                let same = more.looks == kept.looks;
                kept.share += if same { more.share } else { 0.0 };
                same
            });
        }
        rows.sort_by(|a, b| b.share.total_cmp(&a.share).then_with(|| a.looks.cmp(&b.looks)));
        Ok(Looks { rows, unviable: (1.0 - lives).max(0.0) })
    }

    /// Shares of eggs by look; of young that live.
    fn by_look(&self, group: usize, young: &[f64]) -> Vec<f64> {
        let (looks, of) = &self.looks[group];
        let mut shares = vec![0.0; looks.len()];
        for (state, share) in young.iter().enumerate().filter(|(state, _)| self.groups[group].lives(*state as u16)) {
            shares[usize::from(of[state])] += share;
        }
        shares
    }

    /// The genotypes under a look, by group asked for: each with its chance in a baby of that look.
    pub fn under(&self, of: &[usize], row: &LookRow) -> Vec<Vec<(u16, f64)>> {
        let mut sums: Vec<Vec<f64>> = of.iter().map(|&g| vec![0.0; self.groups[g].states().len()]).collect();
        for (chance, joints) in &self.cases {
            let young: Vec<Vec<f64>> = of.iter().map(|&g| self.young(&joints[g], g)).collect();
            let shown = |at: usize| self.by_look(of[at], &young[at])[usize::from(row.looks[at])];
            let all = (0..of.len()).fold(*chance, |product, at| product * shown(at));
            if all <= 0.0 {
                continue;
            }
            for at in 0..of.len() {
                let g = of[at];
                for (state, share) in young[at].iter().enumerate() {
                    if self.looks[g].1[state] == row.looks[at] && self.groups[g].lives(state as u16) {
                        sums[at][state] += all * share / shown(at);
                    }
                }
            }
        }
        let chances = |sum: Vec<f64>| {
            let all: f64 = sum.iter().sum();
            (0..).zip(sum).filter(|(_, s)| *s > 0.0).map(|(state, s)| (state, s / all)).collect()
        };
        sums.into_iter().map(chances).collect()
    }

    /// How likely an egg is to give what is wished for, told apart by what the parents may turn out to be.
    ///
    /// # Errors
    /// [`Refusal::TooManyLooks`] when too many things are unsure at once.
    pub fn chances(&self, wish: &Wish) -> Result<Chances, Refusal> {
        let mut all: Vec<(f64, f64)> = Vec::new();
        for (chance, joints) in &self.cases {
            let mut parts = vec![(*chance, 1.0)];
            for (g, joint) in joints.iter().enumerate() {
                let group = &self.groups[g];
                let good = |state: u16| group.lives(state) && wish.wants(g, state);
                let share = |dam: u16, sire: Option<u16>| -> f64 {
                    group.young_of(dam, sire).iter().filter(|(young, _)| good(*young)).map(|(_, share)| share).sum()
                };
                let own = merge(joint.iter().map(|&(dam, sire, chance)| (chance, share(dam, sire))).collect());
                if parts.len() * own.len() > MOST_LOOKS {
                    return Err(Refusal::TooManyLooks);
                }
                let product = parts.iter().flat_map(|(w, p)| own.iter().map(move |(v, q)| (w * v, p * q)));
                parts = merge(product.collect());
            }
            all.extend(parts);
        }
        Ok(Chances { parts: merge(all) })
    }

    /// Everything that looks like a row does, as a wish.
    pub fn wish_for(&self, of: &[usize], row: &LookRow) -> Wish {
        let mut wish = Wish::default();
        for (at, &g) in of.iter().enumerate() {
            let looks = &self.looks[g].1;
            wish = wish.with(g, looks.iter().map(|look| *look == row.looks[at]).collect());
        }
        wish
    }

    /// Whether a sex-linked group is among those asked for: then the young are told by sex.
    pub fn by_sex(&self, of: &[usize]) -> bool {
        of.iter().any(|&g| self.groups[g].on != On::Autosome)
    }
}

fn looks_of(group: &Group) -> (Vec<GroupLook>, Vec<u16>) {
    let mut looks: Vec<GroupLook> = Vec::new();
    let of = (0..group.states().len() as u16).map(|state| {
        let look = GroupLook { sex: group.state(state).sex, loci: group.look(state) };
        let at = looks.iter().position(|known| *known == look).unwrap_or_else(|| {
            looks.push(look);
            looks.len() - 1
        });
        at as u16
    });
    let of = of.collect();
    (looks, of)
}
