//! What this device prefers: theme, units, last choices. Records never go here (local storage is small and
//! is the first thing a phone clears).

use crate::paper::Paper;
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::*;
use serde::{Deserialize, Serialize};
use std::cell::Cell;

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Theme {
    /// As the phone is set.
    #[default]
    System,
    Paper,
    Barn,
    Night,
}

/// Everything kept; fields of an older or newer version are left alone or filled with their defaults.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prefs {
    pub theme: Theme,
    pub fahrenheit: bool,
    pub ounces: bool,
    pub sound: bool,
    /// The demonstration season is open instead of the keeper's own book.
    pub demo: bool,
    /// The address printed on labels; empty = where the app is open now.
    pub label_address: String,
    /// Who breeds here and how to reach them, for the papers that go with an animal.
    pub breeder: String,
    /// What labels are printed on and how.
    pub paper: Paper,
    pub lens: Option<String>,
    /// A stock-taking that has begun and is not written down yet: the place it is of, and the boxes seen.
    pub stock: Option<(String, Vec<String>)>,
}

impl Prefs {
    /// The units shown, as the desk takes them.
    pub fn units(&self) -> desk::Units {
        desk::Units { ounces: self.ounces, fahrenheit: self.fahrenheit }
    }
}

/// Where people read temperatures in °F (Unicode CLDR's measurement systems by territory, from memory).
const FAHRENHEIT: [&str; 6] = ["US", "BS", "BZ", "KY", "PR", "PW"];

impl Prefs {
    /// Before anybody chose: as the region of the browser's language has it, such as `US` of `en-US`.
    fn of_region() -> Self {
        let language = web_sys::window().and_then(|window| window.navigator().language()).unwrap_or_default();
        let fahrenheit = language.split('-').skip(1).any(|part| FAHRENHEIT.contains(&part));
        Self { fahrenheit, ..Self::default() }
    }
}

thread_local! {
    static SHOWN: Cell<desk::Units> = const { Cell::new(desk::Units { ounces: false, fahrenheit: false }) };
}

/// The units this device shows now; also where no page is near, such as while something is being saved.
pub fn units() -> desk::Units {
    SHOWN.get()
}

impl Default for Prefs {
    fn default() -> Self {
        Self {
            theme: Theme::System,
            fahrenheit: false,
            ounces: false,
            sound: true,
            demo: false,
            label_address: String::new(),
            breeder: String::new(),
            paper: Paper::default(),
            lens: None,
            stock: None,
        }
    }
}

/// The folder this app is served from; sub-folders of one host share an origin, so every name carries it.
pub fn folder() -> String {
    let path = web_sys::window().and_then(|w| w.location().pathname().ok()).unwrap_or_default();
    path.rsplit_once('/').map_or(String::from("/"), |(dir, _)| format!("{dir}/"))
}

fn key() -> String {
    format!("candlemark:{}", folder())
}

/// Reads what is kept, keeps every change, and puts the theme on the page.
pub fn provide() -> RwSignal<Prefs> {
    let prefs = RwSignal::new(LocalStorage::get::<Prefs>(key()).unwrap_or_else(|_| Prefs::of_region()));
    SHOWN.set(prefs.with_untracked(Prefs::units));
    Effect::new(move |before: Option<()>| {
        let now = prefs.get();
        SHOWN.set(now.units());
        show_theme(now.theme);
        if before.is_some() {
            // Full or switched-off local storage loses a preference, never a record.
            let _ = LocalStorage::set(key(), &now);
        }
    });
    provide_context(prefs);
    prefs
}

pub fn prefs() -> RwSignal<Prefs> {
    expect_context::<RwSignal<Prefs>>()
}

fn show_theme(theme: Theme) {
    let Some(root) = web_sys::window().and_then(|w| w.document()).and_then(|d| d.document_element()) else { return };
    let _ = match theme {
        Theme::System => root.remove_attribute("data-theme"),
        Theme::Paper => root.set_attribute("data-theme", "paper"),
        Theme::Barn => root.set_attribute("data-theme", "barn"),
        Theme::Night => root.set_attribute("data-theme", "night"),
    };
}
