//! Pages on paper, by the browser's own print. What is left off there, and the number of each page, is in `paper.css`.

use leptos::prelude::*;

/// The browser's own print.
pub fn print() {
    if let Some(window) = web_sys::window() {
        // Where a browser cannot print, its own menu says so.
        let _ = window.print();
    }
}

/// What stands at the foot of each printed sheet while this page is open, so that sheets that were parted are known again.
pub fn foot(said: &str) {
    set_foot(Some(said));
    on_cleanup(|| set_foot(None));
}

/// The style sheet's `@page` can only be told by a property of the whole document.
fn set_foot(said: Option<&str>) {
    let Some(root) = document().document_element() else { return };
    let style = wasm_bindgen::JsCast::unchecked_into::<web_sys::HtmlElement>(root).style();
    // A browser that does not take it prints the sheet without it.
    let _ = match said {
        Some(said) => style.set_property("--foot", &quoted(said)),
        None => style.remove_property("--foot").map(drop),
    };
}

/// As a style sheet holds a text.
fn quoted(said: &str) -> String {
    let mut out = String::from('"');
    for letter in said.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if letter.is_control() => out.push(' '),
            letter => out.push(letter),
        }
    }
    out + "\""
}
