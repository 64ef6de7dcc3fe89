//! What is kept of each step that one may come back to, so that it is found again as it was left.
//!
//! The browser's history numbers the steps; what belongs to a number is here.

/// Steps kept; who goes back further finds the page from its top.
const KEPT: usize = 60;
/// Values of one step.
const VALUES: usize = 16;

/// One step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    number: u32,
    /// How far down the page was, in pixels.
    pub scroll: i32,
    /// The address that it was left for: the row that was opened.
    pub opened: String,
    /// What the page keeps, by name: the first row shown of a list that was turned, what was looked for.
    values: Vec<(String, String)>,
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

    /// Keeps a value of the page under a name.
    pub fn keep(&mut self, name: &str, value: &str) {
        let name = plain(name);
        let values = &mut self.own().values;
        values.retain(|(known, _)| *known != name);
        values.push((name, plain(value)));
        if values.len() > VALUES {
            values.remove(0);
        }
    }

    /// What was kept under a name when this step was shown last.
    pub fn kept(&self, name: &str) -> Option<&str> {
        let name = plain(name);
        self.here()?.values.iter().find(|(known, _)| *known == name).map(|(_, value)| value.as_str())
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
        for Step { number, scroll, opened, values } in &self.steps {
            text.push_str(&format!("{number}\t{scroll}\t{}", plain(opened)));
            for (name, value) in values {
                text.push_str(&format!("\t{name}\t{value}"));
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
    let mut values = Vec::new();
    while let (Some(name), Some(value)) = (parts.next(), parts.next()) {
        values.push((name.to_owned(), value.to_owned()));
    }
    Some(Step { number, scroll, opened, values })
}

/// What divides the written form is no part of what is kept.
fn plain(text: &str) -> String {
    text.replace(['\t', '\n', '\r'], " ")
}
