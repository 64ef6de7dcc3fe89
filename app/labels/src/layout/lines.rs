//! Breaking a text into lines, and cutting it where it is too long.

use crate::font::{self, Weight};

/// Smallest type ever set, mm: capitals of 1 mm.
pub(super) const SMALLEST: f64 = 1.4;

/// A text's words with their widths in type sizes, measured once for the many rooms tried. A word may
/// also break after a dash or a stroke.
pub(super) struct Measured<'t> {
    words: Vec<Word<'t>>,
    weight: Weight,
}

struct Word<'t> {
    text: &'t str,
    width: f64,
    /// What stands between it and the word before, on the same line.
    before: &'static str,
}

impl<'t> Measured<'t> {
    pub fn new(text: &'t str, weight: Weight) -> Self {
        let words = text.split_whitespace().flat_map(|word| {
            word.split_inclusive(['-', '/']).enumerate().map(|(i, text)| Word {
                text,
                width: font::width(text, weight),
                before: if i == 0 { " " } else { "" },
            })
        });
        Self { words: words.collect(), weight }
    }

    /// The greedy lines of at most `room`: how many words stand on each. A word longer than the room
    /// stands alone.
    pub fn breaks(&self, room: f64) -> Vec<usize> {
        let mut counts: Vec<usize> = Vec::new();
        let mut used = f64::MAX;
        for word in &self.words {
            used += font::width(word.before, self.weight) + word.width;
            match counts.last_mut() {
                Some(n) if used <= room => *n += 1,
                _ => {
                    counts.push(1);
                    used = word.width;
                }
            }
        }
        counts
    }

    pub fn cuts_a_word(&self, room: f64) -> bool {
        self.words.iter().any(|word| word.width > room)
    }

    /// The lines, words longer than `room` cut where they must be. A dot between two things is not needed
    /// where a line ends between them.
    pub fn lines(&self, room: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut words = self.words.as_slice();
        for n in self.breaks(room) {
            let (on_line, rest) = words.split_at(n);
            let mut line = String::new();
            for (i, word) in on_line.iter().enumerate() {
                line.push_str(if i == 0 { "" } else { word.before });
                line.push_str(word.text);
            }
            let line = line.strip_suffix(" ·").filter(|_| !rest.is_empty()).unwrap_or(&line);
            let line = line.strip_prefix("· ").filter(|_| !lines.is_empty()).unwrap_or(line);
            words = rest;
            let fits = |line: &str| font::width(line, self.weight) <= room;
            // A comma at a line's end is not worth cutting its word for.
            let line = line.strip_suffix(',').filter(|short| !fits(line) && fits(short)).unwrap_or(line);
            if fits(line) {
                lines.push(line.to_owned());
            } else {
                lines.extend(cut(line, self.weight, room));
            }
        }
        lines
    }
}

fn cut(word: &str, weight: Weight, room: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0.0;
    for c in word.chars() {
        let mut buffer = [0; 4];
        let w = font::width(c.encode_utf8(&mut buffer), weight);
        if used + w > room && used > 0.0 {
            lines.push(String::new());
            used = 0.0;
        }
        if let Some(line) = lines.last_mut() {
            line.push(c);
        }
        used += w;
    }
    lines
}

/// `text` cut to `room` with "…" at its end.
pub(super) fn shorten(text: &str, weight: Weight, room: f64) -> String {
    if font::width(text, weight) <= room {
        return text.to_owned();
    }
    let mut used = font::width("…", weight);
    let mut out = String::new();
    for c in text.chars() {
        let mut buffer = [0; 4];
        used += font::width(c.encode_utf8(&mut buffer), weight);
        if used > room {
            break;
        }
        out.push(c);
    }
    out.truncate(out.trim_end().len());
    out.push('…');
    out
}

/// The largest size from `size` down to `least` of it, and the lines, at which a text keeps to `most`
/// lines without cutting words.
pub(super) fn fit(
    text: &str,
    weight: Weight,
    size: f64,
    width: f64,
    most: usize,
    least: f64,
) -> Option<(f64, Vec<String>)> {
    let measured = Measured::new(text, weight);
    let mut scale = 1.0;
    while scale >= least && size * scale >= SMALLEST {
        let room = width / (size * scale);
        if !measured.cuts_a_word(room) && measured.breaks(room).len() <= most {
            return Some((size * scale, measured.lines(room)));
        }
        scale *= 0.97;
    }
    None
}
