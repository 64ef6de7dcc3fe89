//! Eggs that are stuck together stay a clump: say which letters.

use crate::ui::forms::TextField;
use crate::words::pull as said;
use leptos::prelude::*;

/// `A-D, G H` → [[0,1,2,3],[6,7]]. Letters beyond `all` or nonsense: a sentence.
pub fn read(text: &str, all: u32) -> Result<Vec<Vec<usize>>, String> {
    let mut clumps = Vec::new();
    for part in text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        let mut clump = Vec::new();
        for word in part.split_whitespace() {
            let (from, to) = word.split_once(['-', '–']).unwrap_or((word, word));
            let (Some(from), Some(to)) = (index(from), index(to)) else { return Err(said::bad_letter(word)) };
            clump.extend(from.min(to)..=from.max(to));
        }
        if clump.iter().any(|i| *i >= all as usize) {
            return Err(said::beyond(all));
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

#[component]
pub fn Clumps(clumps: RwSignal<Vec<Vec<usize>>>, all: Signal<u32>) -> impl IntoView {
    let text = RwSignal::new(String::new());
    let bad = RwSignal::new(None::<String>);
    Effect::new(move |_| match read(&text.get(), all.get()) {
        Ok(read) => {
            clumps.set(read);
            bad.set(None);
        }
        Err(why) => bad.set(Some(why)),
    });
    view! {
        <TextField label=said::CLUMPS value=text hint=said::CLUMPS_HOW />
        {move || bad.get().map(|why| view! { <p class="warn" role="alert">{why}</p> })}
    }
}
