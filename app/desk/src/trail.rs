//! What is kept of each step that one may come back to, so that it is found again as it was left.
//!
//! The browser's history numbers the steps; what belongs to a number is here.

/// Steps kept; who goes back further finds the page from its top.
const KEPT: usize = 60;
/// Lists of one step, turned or filtered ones each for itself.
const LISTS: usize = 12;

/// One step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    number: u32,
    /// How far down the page was, in pixels.
    pub scroll: i32,
    /// The address that it was left for: the row that was opened.
    pub opened: String,
    /// The first row shown of each list that was turned.
    lists: Vec<(String, usize)>,
}

/// All steps kept, and the one that is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trail {
    steps: Vec<Step>,
    here: u32,
    last: u32,
}

impl Trail {
    /// Comes to the step of this number, or to a new one; gives its number, for the browser's history to hold.
    pub fn enter(&mut self, number: Option<u32>) -> u32 {
        self.here = number.unwrap_or(self.last.wrapping_add(1));
        self.last = self.last.max(self.here);
        self.here
    }

    /// The step that is shown is about to be left for the page with this address.
    pub fn leave(&mut self, scroll: i32, opened: &str) {
        let step = self.own();
        step.scroll = scroll;
        step.opened = opened.to_owned();
    }

    /// A list of the page was turned: its first row is `from` now.
    pub fn turned(&mut self, list: &str, from: usize) {
        let list = plain(list);
        let lists = &mut self.own().lists;
        lists.retain(|(known, _)| *known != list);
        lists.push((list, from));
        if lists.len() > LISTS {
            lists.remove(0);
        }
    }

    /// The first row of a list that was turned when this step was shown last.
    pub fn turned_to(&self, list: &str) -> Option<usize> {
        let list = plain(list);
        self.here()?.lists.iter().find(|(known, _)| *known == list).map(|(_, from)| *from)
    }

    /// What is known of the step that is shown.
    pub fn here(&self) -> Option<&Step> {
        self.steps.iter().find(|step| step.number == self.here)
    }

    fn own(&mut self) -> &mut Step {
        let at = self.steps.iter().position(|step| step.number == self.here).unwrap_or_else(|| {
            if self.steps.len() >= KEPT {
                self.steps.remove(0);
            }
            self.steps.push(Step { number: self.here, ..Step::default() });
            self.steps.len() - 1
        });
        &mut self.steps[at]
    }

    /// As a text that a browser keeps for one tab: a line a step.
    pub fn written(&self) -> String {
        let mut text = String::new();
        for Step { number, scroll, opened, lists } in &self.steps {
            text.push_str(&format!("{number}\t{scroll}\t{}", plain(opened)));
            for (list, from) in lists {
                text.push_str(&format!("\t{list}\t{from}"));
            }
            text.push('\n');
        }
        text
    }

    /// Reads [`Trail::written`]; a line that is not one is left out.
    pub fn read(text: &str) -> Self {
        let steps: Vec<Step> = text.lines().filter_map(step).take(KEPT).collect();
        let last = steps.iter().map(|step| step.number).max().unwrap_or(0);
        Self { steps, here: 0, last }
    }
}

fn step(line: &str) -> Option<Step> {
    let mut parts = line.split('\t');
    let (number, scroll, opened) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.to_owned());
    let mut lists = Vec::new();
    while let (Some(list), Some(from)) = (parts.next(), parts.next()) {
        lists.push((list.to_owned(), from.parse().ok()?));
    }
    Some(Step { number, scroll, opened, lists })
}

/// What divides the written form is no part of a name.
fn plain(name: &str) -> String {
    name.replace(['\t', '\n', '\r'], " ")
}
