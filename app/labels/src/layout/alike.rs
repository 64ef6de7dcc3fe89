//! Labels printed together look alike: one arrangement for all of a kind.

use super::{Page, Plan};
use crate::drawing::Drawing;
use crate::stock::{BadStock, Stock};
use crate::text::{Face, LabelText};
use std::mem::{Discriminant, discriminant};

/// The arrangement of each kind of label on a stock.
#[derive(Debug)]
pub struct Alike {
    stock: Stock,
    plans: Vec<(Discriminant<Face>, Plan)>,
}

impl Alike {
    /// Chooses by some of the labels: for each kind the arrangement that suits those best together. Costs about as much as
    /// drawing each of them once.
    ///
    /// # Errors
    /// [`BadStock`] when the stock cannot be printed on.
    pub fn of(some: &[LabelText], stock: &Stock) -> Result<Self, BadStock> {
        stock.check()?;
        let mut plans: Vec<(Discriminant<Face>, Plan)> = Vec::new();
        for text in some {
            let kind = discriminant(&text.face);
            if plans.iter().any(|(known, _)| *known == kind) {
                continue;
            }
            let of_kind = some.iter().filter(|text| discriminant(&text.face) == kind);
            let pages: Vec<Page<'_>> = of_kind.map(|text| Page::new(text, stock)).collect();
            plans.extend(together(&pages).map(|plan| (kind, plan)));
        }
        Ok(Self { stock: *stock, plans })
    }

    /// Draws a label as its kind is arranged; by itself if something it says would be lost by that.
    pub fn layout(&self, text: &LabelText) -> Drawing {
        let page = Page::new(text, &self.stock);
        let plan = self.plans.iter().find(|(kind, _)| *kind == discriminant(&text.face)).map(|(_, plan)| *plan);
        let alike = plan.and_then(|plan| page.attempt_at_sizes(plan)).map(|(drawing, _)| page.told(drawing));
        match alike {
            Some(alike) if alike.lacks.is_empty() => alike,
            Some(alike) => {
                let own = page.best();
                if own.lacks.len() < alike.lacks.len() { own } else { alike }
            }
            None => page.best(),
        }
    }
}

/// At most so many of some things, evenly spread.
pub fn spread<T>(all: &[T], most: usize) -> impl Iterator<Item = &T> {
    let n = all.len().min(most);
    (0..n).filter_map(move |i| all.get(i * all.len() / n))
}

/// The plan whose drawings are best together, of those by which every label can be drawn.
fn together(pages: &[Page<'_>]) -> Option<Plan> {
    let first = pages.first()?;
    let sum = |plan: &Plan| pages.iter().map(|page| page.at_most(plan)).sum::<f64>();
    let mut plans: Vec<(f64, Plan)> = first.plans().into_iter().map(|plan| (sum(&plan), plan)).collect();
    plans.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut best: Option<(f64, Plan)> = None;
    for (at_most, plan) in plans {
        if best.is_some_and(|(score, _)| score >= at_most) {
            break;
        }
        let score: Option<f64> = pages.iter().map(|page| Some(page.attempt_at_sizes(plan)?.1)).sum();
        if let Some(score) = score
            && best.is_none_or(|(least, _)| least < score)
        {
            best = Some((score, plan));
        }
    }
    best.map(|(_, plan)| plan)
}

#[cfg(test)]
mod tests;
