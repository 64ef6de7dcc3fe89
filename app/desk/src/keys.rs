//! Keys pressed while no field waits for typing: a hand's, or those of a reader that types like a keyboard.

/// Longest pause between two keys of one label, ms. A quick typist needs about twice that.
pub const FAST_MS: f64 = 80.0;
/// Fewest keys that are a label: a code without its dashes.
const FEWEST: usize = 8;
/// Bytes of a label kept; a payload is far shorter.
const MOST: usize = 2000;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// To the search field.
    Find,
    /// To the next row of the list.
    Next,
    /// To the row before.
    Before,
    /// Which keys there are.
    Keys,
}

impl Act {
    /// Every key that asks for something, as it is typed. Enter is the browser's own: it opens the row one has come to.
    pub const KEYS: [(&'static str, Self); 4] =
        [("/", Self::Find), ("j", Self::Next), ("k", Self::Before), ("?", Self::Keys)];

    fn of(key: &str) -> Option<Self> {
        Self::KEYS.iter().find(|(known, _)| *known == key).map(|(_, act)| *act)
    }

    /// A label may begin with this key too, and the rest of it would go astray.
    fn waits(self) -> bool {
        matches!(self, Self::Find | Self::Keys)
    }
}

/// What was heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    Nothing,
    /// A label's text, ended by Enter: the key is the reader's, not the page's.
    Label(String),
    Act(Act),
    /// Only if no other key follows: ask [`Keyboard::alone`] after [`FAST_MS`].
    Alone(Act, u32),
}

/// Tells readers from hands: a reader's keys follow each other faster than anybody types.
#[derive(Clone, Debug, Default)]
pub struct Keyboard {
    text: String,
    /// Of the last key, and of the last that types something, ms.
    at: f64,
    typed: f64,
    presses: u32,
}

impl Keyboard {
    /// A key pressed at `at` (ms, rising); `held`: it repeats since it is held down.
    pub fn hear(&mut self, key: &str, at: f64, held: bool) -> Heard {
        if held || at - self.at > FAST_MS {
            self.text.clear();
        }
        self.at = at;
        self.presses = self.presses.wrapping_add(1);
        if key == "Enter" {
            let text = std::mem::take(&mut self.text);
            return if text.chars().count() < FEWEST { Heard::Nothing } else { Heard::Label(text) };
        }
        // Names of keys (Shift, F5) are longer than what they type.
        if key.chars().count() != 1 {
            return Heard::Nothing;
        }
        let first = at - self.typed > FAST_MS;
        self.typed = at;
        if !held && self.text.len() < MOST {
            self.text.push_str(key);
        }
        match Act::of(key) {
            Some(act) if act.waits() && first && !held => Heard::Alone(act, self.presses),
            Some(act) if !act.waits() && (first || held) => Heard::Act(act),
            _ => Heard::Nothing,
        }
    }

    /// Whether no key followed this press.
    pub fn alone(&self, press: u32) -> bool {
        self.presses == press
    }
}

/// Where an arrow, Home or End leads among `n` things in a row, down and right being onwards; `None`: another key, or
/// nothing there. The first arrow comes to the first of them.
pub fn along(key: &str, at: Option<usize>, n: usize) -> Option<usize> {
    let last = n.checked_sub(1)?;
    Some(match (key, at) {
        ("Home", _) => 0,
        ("End", _) => last,
        ("ArrowRight" | "ArrowDown", None) => 0,
        ("ArrowLeft" | "ArrowUp", None) => last,
        ("ArrowRight" | "ArrowDown", Some(at)) => at.saturating_add(1).min(last),
        ("ArrowLeft" | "ArrowUp", Some(at)) => at.saturating_sub(1).min(last),
        _ => return None,
    })
}
