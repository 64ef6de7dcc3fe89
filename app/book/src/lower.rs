//! Lower case, as the standard library has it.
//!
//! Its own table is one pair for each of 1,400 letters, the largest single thing of a first download. The same as runs
//! (`build.rs` makes them of that table) is a fifth of it.

/// First letter, how far the last lies from it, how far each from the one before, and how far the lower-case letter.
static RUNS: &[(u32, u16, u16, i32)] = include!(concat!(env!("OUT_DIR"), "/lower.rs"));

/// A text in lower case, letter by letter: `Σ` is `σ` at the end of a word too, so that a beginning of a name is found.
pub fn lower(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            // The one letter that becomes two.
            'İ' => out.push_str("i\u{307}"),
            _ => out.push(letter(c)),
        }
    }
    out
}

fn letter(c: char) -> char {
    if c.is_ascii() {
        return c.to_ascii_lowercase();
    }
    let at = u32::from(c);
    let run = RUNS.partition_point(|(first, ..)| *first <= at).checked_sub(1).and_then(|run| RUNS.get(run));
    match run {
        Some(&(first, far, step, by)) if at - first <= u32::from(far) && (at - first) % u32::from(step) == 0 => {
            at.checked_add_signed(by).and_then(char::from_u32).unwrap_or(c)
        }
        _ => c,
    }
}

#[cfg(test)]
mod tests {
    use super::lower;

    #[test]
    fn every_letter_is_what_the_standard_library_makes_of_it() {
        for c in '\0'..=char::MAX {
            assert_eq!(lower(&c.to_string()), c.to_lowercase().to_string(), "U+{:04X}", u32::from(c));
        }
        assert_eq!(lower("Ärger ΟΔΟΣ"), "ärger οδοσ");
    }
}
