//! Eggs that are stuck together stay a clump: say which letters.

/// `A-D, G H` → [[0,1,2,3],[6,7]].
///
/// # Errors
/// A sentence about letters beyond `all`, or about what is no letter.
pub(super) fn read(text: &str, all: u32) -> Result<Vec<Vec<usize>>, String> {
    let mut clumps = Vec::new();
    for part in text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
        let mut clump = Vec::new();
        for word in part.split_whitespace() {
            let (from, to) = word.split_once(['-', '–']).unwrap_or((word, word));
            let (Some(from), Some(to)) = (index(from), index(to)) else {
                return Err(format!(
                    "“{word}” is not an egg's letter. Write letters like A-D for a run, or G H, with a comma between clumps."
                ));
            };
            clump.extend(from.min(to)..=from.max(to));
        }
        if clump.iter().any(|egg| *egg >= all as usize) {
            return Err(format!("There are only {all} eggs: give letters of those."));
        }
        clumps.push(clump);
    }
    Ok(clumps)
}

/// `A` → 0, `Z` → 25, `AA` → 26.
fn index(letters: &str) -> Option<usize> {
    let letters = letters.trim().to_ascii_uppercase();
    if letters.is_empty() || letters.len() > 2 || !letters.bytes().all(|b| b.is_ascii_uppercase()) {
        return None;
    }
    Some(letters.bytes().fold(0, |n, b| n * 26 + usize::from(b - b'A') + 1) - 1)
}
