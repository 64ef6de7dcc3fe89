//! Exact sums over many uncertain things at once: tables of numbers, multiplied and summed out one variable at a time
//! (bucket elimination with messages both ways; Dechter 1999, Lauritzen & Spiegelhalter 1988).

use super::{MOST_CELLS, Refusal};

/// A function of some variables, the last of them changing fastest.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Table {
    pub(super) vars: Vec<usize>,
    pub(super) dims: Vec<usize>,
    pub(super) cells: Vec<f64>,
}

impl Table {
    /// All ones.
    fn ones(vars: Vec<usize>, sizes: &[usize]) -> Result<Table, Refusal> {
        let dims: Vec<usize> = vars.iter().map(|&v| sizes[v]).collect();
        let cells = dims.iter().try_fold(1usize, |n, &d| n.checked_mul(d).filter(|&n| n <= MOST_CELLS));
        let cells = cells.ok_or(Refusal::TooTangled)?;
        Ok(Table { vars, dims, cells: vec![1.0; cells] })
    }

    /// For each own variable, how far a step of it leads in `other`; 0 where `other` has it not.
    fn strides_in(&self, other: &Table) -> Vec<usize> {
        let mut stride = 1;
        let mut of = vec![0; self.vars.len()];
        for (at, &var) in other.vars.iter().enumerate().rev() {
            if let Some(own) = self.vars.iter().position(|&v| v == var) {
                of[own] = stride;
            }
            stride *= other.dims[at];
        }
        of
    }

    /// Multiplied by a table over some of its variables.
    fn times(&mut self, other: &Table) {
        let strides = self.strides_in(other);
        let cells = &mut self.cells;
        walk(&self.dims, &strides, |here, there| cells[here] *= other.cells[there]);
    }

    /// Summed down to some of its variables.
    pub(super) fn onto(&self, vars: &[usize]) -> Table {
        let dims: Vec<usize> = vars.iter().filter_map(|v| self.size(*v)).collect();
        let mut sum = Table { vars: vars.to_vec(), cells: vec![0.0; dims.iter().product()], dims };
        let strides = self.strides_in(&sum);
        walk(&self.dims, &strides, |here, there| sum.cells[there] += self.cells[here]);
        sum
    }

    fn size(&self, var: usize) -> Option<usize> {
        self.vars.iter().position(|&v| v == var).map(|at| self.dims[at])
    }

    fn sum(&self) -> f64 {
        self.cells.iter().sum()
    }

    fn scale(&mut self, by: f64) {
        self.cells.iter_mut().for_each(|cell| *cell *= by);
    }
}

/// Calls with each cell of a table of these dimensions and the cell it belongs to in a table of these strides.
fn walk(dims: &[usize], strides: &[usize], mut each: impl FnMut(usize, usize)) {
    let mut at = vec![0usize; dims.len()];
    let mut there = 0;
    for here in 0..dims.iter().product() {
        each(here, there);
        for k in (0..at.len()).rev() {
            at[k] += 1;
            there += strides[k];
            if at[k] < dims[k] {
                break;
            }
            there -= strides[k] * dims[k];
            at[k] = 0;
        }
    }
}

/// What a product of tables says of each variable.
pub(super) struct Beliefs {
    /// Natural logarithm of the sum over everything.
    pub(super) log: f64,
    /// Each sums to 1.
    pub(super) each: Vec<Vec<f64>>,
    /// Of the two asked for together.
    pub(super) pair: Option<Table>,
}

struct Bucket {
    /// The one summed out here, then those it touches.
    table: Table,
    /// To the bucket of the first of those that is summed out later.
    message: Table,
    to: Option<usize>,
}

/// Sums the product of `tables` over variables of these sizes; `None` when the product is nought everywhere.
///
/// # Errors
/// [`Refusal::TooTangled`] when a table would be too large.
pub(super) fn beliefs(
    sizes: &[usize],
    tables: Vec<Table>,
    pair: Option<(usize, usize)>,
) -> Result<Option<Beliefs>, Refusal> {
    let n = sizes.len();
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); n];
    let mut link = |a: usize, b: usize| {
        if a != b && !near[a].contains(&b) {
            near[a].push(b);
            near[b].push(a);
        }
    };
    for table in &tables {
        for (i, &a) in table.vars.iter().enumerate() {
            table.vars[..i].iter().for_each(|&b| link(a, b));
        }
    }
    if let Some((a, b)) = pair {
        link(a, b);
    }
    let (order, cliques) = order(sizes, near);
    let mut place = vec![0; n];
    order.iter().enumerate().for_each(|(at, &var)| place[var] = at);
    let first = |vars: &[usize]| vars.iter().map(|&v| place[v]).min();

    let mut held: Vec<Vec<Table>> = vec![Vec::new(); n];
    let mut log = 0.0;
    for table in tables {
        match first(&table.vars) {
            Some(at) => held[at].push(table),
            None => {
                let value = table.sum();
                if value <= 0.0 {
                    return Ok(None);
                }
                log += value.ln();
            }
        }
    }
    let mut buckets: Vec<Bucket> = Vec::with_capacity(n);
    let mut cells = 0;
    for (at, clique) in cliques.into_iter().enumerate() {
        let mut table = Table::ones(clique, sizes)?;
        cells += table.cells.len();
        if cells > 4 * MOST_CELLS {
            return Err(Refusal::TooTangled);
        }
        for part in std::mem::take(&mut held[at]) {
            table.times(&part);
        }
        let mut message = table.onto(&table.vars[1..]);
        let sum = message.sum();
        if sum.is_nan() || sum <= 0.0 {
            return Ok(None);
        }
        message.scale(1.0 / sum);
        table.scale(1.0 / sum);
        log += sum.ln();
        let to = first(&message.vars);
        if let Some(to) = to {
            held[to].push(message.clone());
        }
        buckets.push(Bucket { table, message, to });
    }

    // Back again: each bucket's table becomes what all tables together say of its variables.
    for at in (0..n).rev() {
        let Some(to) = buckets[at].to else { continue };
        let mut says = buckets[to].table.onto(&buckets[at].message.vars);
        for (cell, sent) in says.cells.iter_mut().zip(&buckets[at].message.cells) {
            *cell = if *sent > 0.0 { *cell / sent } else { 0.0 };
        }
        buckets[at].table.times(&says);
        let sum = buckets[at].table.sum();
        if sum > 0.0 {
            buckets[at].table.scale(1.0 / sum);
        }
    }
    let mut each = vec![Vec::new(); n];
    for (at, &var) in order.iter().enumerate() {
        each[var] = buckets[at].table.onto(&[var]).cells;
    }
    let pair = pair.filter(|(a, b)| a != b).map(|(a, b)| buckets[place[a].min(place[b])].table.onto(&[a, b]));
    Ok(Some(Beliefs { log, each, pair }))
}

/// Which variable to sum out when: always the one whose table is smallest. With each, the variables of its table,
/// itself first.
fn order(sizes: &[usize], mut near: Vec<Vec<usize>>) -> (Vec<usize>, Vec<Vec<usize>>) {
    let n = sizes.len();
    let weight = |v: usize, near: &[Vec<usize>]| {
        near[v].iter().fold(sizes[v] as f64, |product, &other| product * sizes[other] as f64)
    };
    let mut weights: Vec<f64> = (0..n).map(|v| weight(v, &near)).collect();
    let mut gone = vec![false; n];
    let (mut order, mut cliques) = (Vec::with_capacity(n), Vec::with_capacity(n));
    for _ in 0..n {
        let next = (0..n).filter(|&v| !gone[v]).min_by(|&a, &b| weights[a].total_cmp(&weights[b]));
        let Some(var) = next else { break };
        gone[var] = true;
        let touched = std::mem::take(&mut near[var]);
        for (i, &a) in touched.iter().enumerate() {
            near[a].retain(|&v| v != var);
            for &b in &touched[..i] {
                if !near[a].contains(&b) {
                    near[a].push(b);
                    near[b].push(a);
                }
            }
        }
        touched.iter().for_each(|&a| weights[a] = weight(a, &near));
        let mut clique = vec![var];
        clique.extend(touched);
        order.push(var);
        cliques.push(clique);
    }
    (order, cliques)
}
