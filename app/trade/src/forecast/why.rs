//! What a range mostly comes from.
//!
//! What shares, fails and differs is known in every draw. How far a count goes along with each, as a share of how far it
//! goes in all (a covariance by the variance), says which matters most. What is left after single eggs' luck is dates.

use super::drawing::{FAILED, NEVER_LAID};
use super::season::{Event, Season};
use crate::luck::{Kind, LOGIT};

/// What makes a count unsure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// how eggs hatch here, and of these species, is not known yet
    Rates,
    /// dams, and pairs, differ
    Dams,
    /// shelves differ, or one fails
    Shelves,
    /// seasons differ
    Season,
    /// a clutch may fail whole
    Fails,
    /// clutches differ
    Clutches,
    /// each egg has its own luck
    Eggs,
    /// pairs may not lay
    Laying,
    /// a week's count: when it comes
    Dates,
}

impl Cause {
    const DRAWN: [Self; 7] =
        [Self::Rates, Self::Dams, Self::Shelves, Self::Season, Self::Fails, Self::Clutches, Self::Laying];
}

impl Season {
    /// What the count of an event in a week mostly comes from; `None`: in the whole season. Nothing where the count does
    /// not vary.
    pub fn mostly(&self, event: Event, week: Option<usize>) -> Option<Cause> {
        let shares = self.causes(event, week);
        shares.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(cause, _)| cause)
    }

    /// Shares of the variance of a count.
    pub fn causes(&self, event: Event, week: Option<usize>) -> Vec<(Cause, f64)> {
        let count: Vec<f64> = match week {
            Some(week) => self.drawn(event, week).map(f64::from).collect(),
            None => self.summed(event, self.weeks).into_iter().map(f64::from).collect(),
        };
        let all = covariance(&count, &count);
        if all <= 0.0 {
            return Vec::new();
        }
        let mut sums = vec![vec![0.0; self.draws]; Cause::DRAWN.len()];
        let mut eggs = 0.0;
        for group in 0..self.groups() {
            let mean = self.mean_of(group, event, week);
            if mean <= 0.0 {
                continue;
            }
            eggs += mean * (1.0 - (mean / self.fate(group).eggs.max(mean)).min(1.0));
            self.add(&mut sums, group, mean);
        }
        let mut shares: Vec<(Cause, f64)> =
            Cause::DRAWN.iter().zip(&sums).map(|(cause, sum)| (*cause, covariance(sum, &count) / all)).collect();
        shares.push((Cause::Eggs, eggs / all));
        let told: f64 = shares.iter().map(|share| share.1).sum();
        if week.is_some() {
            shares.push((Cause::Dates, 1.0 - told));
        }
        shares
    }

    /// Adds how far each cause moves a group's `mean` in each draw, to the first order.
    fn add(&self, sums: &mut [Vec<f64>], group: usize, mean: f64) {
        let fate = self.fate(group);
        // A rate near 1 moves little with its logit.
        let moves = 1.0 - (self.mean_of(group, Event::Out, None) / fate.eggs.max(1.0)).clamp(0.02, 0.98);
        let by_logit = mean * moves / f64::from(LOGIT);
        let share = |is: &dyn Fn(usize) -> bool| (0..self.draws).filter(|d| is(*d)).count() as f64 / self.draws as f64;
        let failed = |d: usize| fate.own[d] == FAILED;
        let unlaid = |d: usize| fate.own[d] == NEVER_LAID;
        let shelf = |d: usize| fate.shared.shelf_fails(d);
        let lost = [&failed as &dyn Fn(usize) -> bool, &unlaid, &shelf].map(|is| mean / (1.0 - share(is)).max(0.02));
        for (draw, &own) in fate.own.iter().enumerate() {
            let of = |kind| f64::from(fate.shared.effect(kind, draw)) * by_logit;
            sums[0][draw] += of(Kind::Keeper) + of(Kind::Species);
            sums[1][draw] += of(Kind::Dam) + of(Kind::Pair);
            sums[2][draw] += of(Kind::Shelf) - if shelf(draw) { lost[2] } else { 0.0 };
            sums[3][draw] += of(Kind::Season);
            match own {
                FAILED => sums[4][draw] -= lost[0],
                NEVER_LAID => sums[6][draw] -= lost[1],
                own => sums[5][draw] += f64::from(own) * by_logit,
            }
        }
    }
}

/// Covariance of two series of one length.
fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().max(1) as f64;
    let mean = |s: &[f64]| s.iter().sum::<f64>() / n;
    let (ma, mb) = (mean(a), mean(b));
    a.iter().zip(b).map(|(a, b)| (a - ma) * (b - mb)).sum::<f64>() / n
}
