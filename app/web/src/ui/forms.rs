//! Ways to enter things: figures by the right keypad, counts by steppers, one of a few by chips.

use crate::prefs::prefs;
use crate::store::{Barn, barn};
use crate::words;
use book::Book;
use desk::{Entry, FieldError, Units, Wrong};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// What a list is narrowed by.
#[component]
pub fn SearchField(label: &'static str, value: RwSignal<String>) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="search" autocomplete="off" autocapitalize="none" spellcheck="false" prop:value=value
                on:input=move |ev| value.set(event_target_value(&ev)) />
        </label>
    }
}

/// A labelled line of text.
#[component]
pub fn TextField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional, into)] hint: String,
    /// Names offered while typing.
    #[prop(optional)]
    offers: Vec<String>,
    #[prop(optional)] faults: Option<Faults>,
) -> impl IntoView {
    let own = label.clone();
    let bad = Signal::derive(move || faults.and_then(|faults| faults.at(&own)));
    let (own, name) = (label.clone(), label.clone());
    let typed = move |ev: leptos::ev::Event| {
        value.set(event_target_value(&ev));
        if let Some(faults) = faults {
            faults.typed(&own);
        }
    };
    let list = (!offers.is_empty()).then(|| format!("offers-{}", label.to_lowercase().replace(' ', "-")));
    let list_id = list.clone();
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" autocomplete="off" list=list prop:value=value data-field=name aria-invalid=move || bad.get().is_some().to_string() on:input=typed />
            {(!hint.is_empty()).then(|| view! { <span class="hint">{hint}</span> })}
            {move || bad.get().map(|bad| view! { <span class="hint bad" role="alert">{bad}</span> })}
            {list_id.map(|id| view! {
                <datalist id=id>{offers.into_iter().map(|o| view! { <option value=o></option> }).collect_view()}</datalist>
            })}
        </label>
    }
}

/// What the last *Save* found wrong beyond what a field says by itself; each field shows its own.
#[derive(Clone, Copy)]
pub struct Faults {
    wrong: RwSignal<Vec<FieldError>>,
    barn: Barn,
}

impl Faults {
    pub fn new() -> Self {
        Self { wrong: RwSignal::new(Vec::new()), barn: barn() }
    }

    /// What a form comes to; where something is wrong with it, that is shown at its field and `None` comes back.
    pub fn pass<T>(&self, built: Result<T, Wrong>) -> Option<T> {
        match built {
            Ok(built) => {
                self.wrong.set(Vec::new());
                Some(built)
            }
            Err(wrong) => {
                self.show(wrong);
                None
            }
        }
    }

    /// Says at the fields what is wrong; the cursor stays where it is.
    pub fn mark(&self, wrong: Wrong) {
        let _ = self.wrong.try_set(wrong.0);
    }

    fn show(&self, wrong: Wrong) {
        let told = wrong.0.clone();
        let _ = self.wrong.try_set(wrong.0);
        let barn = self.barn;
        // Once the fields have drawn it.
        request_animation_frame(move || {
            let unseen: Vec<String> = to_fields(told).into_iter().map(|error| error.sentence).collect();
            if !unseen.is_empty() {
                barn.amiss(unseen.join(" "));
            }
        });
    }

    /// What is wrong with a field.
    pub fn at(&self, field: &str) -> Option<String> {
        self.wrong.with(|wrong| wrong.iter().find(|e| e.field == field).map(|e| e.sentence.clone()))
    }

    /// Somebody types in it: what was said of it may be true no longer.
    pub fn typed(&self, field: &str) {
        if self.wrong.with_untracked(|wrong| wrong.iter().any(|e| e.field == field)) {
            self.wrong.update(|wrong| wrong.retain(|e| e.field != field));
        }
    }
}

/// Counts of the barn's own rules, on a page that stays once they are saved: each field follows what stands, or nobody could
/// put back what was just saved.
pub fn rule_fields<const N: usize>(stands: fn(&Book) -> [Entry; N]) -> [RwSignal<Entry>; N] {
    let barn = barn();
    let fields = barn.peek(stands).map(RwSignal::new);
    Effect::new(move |_| {
        for (field, now) in fields.into_iter().zip(barn.read(stands)) {
            if field.with_untracked(|field| field.stands() != now.stands()) {
                field.update(|field| field.follow(now.stands(), Units::default()));
            }
        }
    });
    fields
}

/// Where a page finds the field of a name.
pub const FIELD: &str = "data-field";

/// The folds around every field that says what is wrong open, and the cursor goes to the first of them. Gives back what
/// no field says.
fn to_fields(mut told: Vec<FieldError>) -> Vec<FieldError> {
    let document = web_sys::window().and_then(|window| window.document());
    let bad = document.and_then(|document| document.query_selector_all("[aria-invalid=true]").ok());
    let bad = (0..bad.as_ref().map_or(0, web_sys::NodeList::length))
        .filter_map(|at| bad.as_ref()?.get(at)?.dyn_into::<web_sys::HtmlElement>().ok());
    let mut first = true;
    for field in bad {
        let name = field.get_attribute(FIELD).unwrap_or_default();
        let before = told.len();
        told.retain(|error| error.field != name);
        if told.len() == before {
            // Of another form on this page.
            continue;
        }
        let mut outer = field.closest("details").ok().flatten();
        while let Some(fold) = outer {
            let _ = fold.set_attribute("open", "");
            outer = fold.parent_element().and_then(|above| above.closest("details").ok()?);
        }
        if std::mem::take(&mut first) {
            let _ = field.focus();
        }
    }
    told
}

/// What is wrong with a figure: what cannot be read, else what *Save* found.
fn wrong_with(entry: RwSignal<Entry>, faults: Faults) -> Signal<Option<String>> {
    let prefs = prefs();
    Signal::derive(move || {
        let entry = entry.get();
        entry.wrong(prefs.get().units()).or_else(|| faults.at(&entry.ask.name()))
    })
}

fn type_over(entry: RwSignal<Entry>, faults: Faults, ev: &leptos::ev::Event) {
    let typed = event_target_value(ev);
    entry.update(|entry| entry.typed = typed);
    faults.typed(&name_of(entry));
}

fn name_of(entry: RwSignal<Entry>) -> String {
    entry.with_untracked(|entry| entry.ask.name())
}

/// How a figure was read, and what is wrong with it, below its box.
fn told(entry: RwSignal<Entry>, bad: Signal<Option<String>>) -> AnyView {
    let prefs = prefs();
    (move || match bad.get() {
        Some(bad) => view! { <span class="hint bad" role="alert">{bad}</span> }.into_any(),
        None => entry
            .with(|entry| entry.how(prefs.get().units()))
            .map(|how| view! { <span class="hint">{how}</span> })
            .into_any(),
    })
    .into_any()
}

/// A figure in a box, with its unit beside it. Any unit can be typed; empty is fine unless the form says otherwise.
#[component]
pub fn Quantity(
    entry: RwSignal<Entry>,
    #[prop(optional, into)] hint: String,
    /// What the page is opened for: the cursor is in it, and digits can be typed at once.
    #[prop(optional)]
    first: bool,
    faults: Faults,
) -> impl IntoView {
    let prefs = prefs();
    let (label, measure) = entry.with_untracked(|entry| (entry.ask.label.clone(), entry.ask.measure));
    let bad = wrong_with(entry, faults);
    let input = NodeRef::<leptos::html::Input>::new();
    Effect::new(move |_| {
        if let Some(input) = input.get().filter(|_| first) {
            // Where a browser gives no focus unasked, the field waits for a tap.
            let _ = input.focus();
        }
    });
    view! {
        <label class="field">
            <span>{label}</span>
            <span class="unit-box">
                <input node_ref=input type="text" inputmode="decimal" autocomplete="off" data-field=move || entry.with(|entry| entry.ask.name())
                    prop:value=move || entry.with(|entry| entry.typed.clone())
                    aria-invalid=move || bad.get().is_some().to_string()
                    on:input=move |ev| type_over(entry, faults, &ev) />
                <i>{move || measure.beside(prefs.get().units())}</i>
            </span>
            {(!hint.is_empty()).then(|| view! { <span class="hint">{hint}</span> })}
            {told(entry, bad)}
        </label>
    }
    .into_any()
}

/// A figure in a row of a table: only its box, and below it what is wrong.
#[component]
pub fn Cell(
    entry: RwSignal<Entry>,
    #[prop(into)] label: Signal<String>,
    faults: Faults,
    /// *Enter* goes on from here.
    #[prop(optional)]
    on_enter: Option<Callback<leptos::ev::KeyboardEvent>>,
) -> impl IntoView {
    let bad = wrong_with(entry, faults);
    let key = move |ev: leptos::ev::KeyboardEvent| {
        if let Some(on_enter) = on_enter.filter(|_| ev.key() == "Enter") {
            on_enter.run(ev);
        }
    };
    view! {
        <input type="text" inputmode="decimal" autocomplete="off" enterkeyhint=on_enter.map(|_| "next") aria-label=label
            data-field=move || entry.with(|entry| entry.ask.name())
            prop:value=move || entry.with(|entry| entry.typed.clone())
            aria-invalid=move || bad.get().is_some().to_string()
            on:input=move |ev| type_over(entry, faults, &ev) on:keydown=key />
        {told(entry, bad)}
    }
    .into_any()
}

/// *Enter* in a figure of a list: the cursor goes on to the next one.
pub fn next_field(ev: &leptos::ev::KeyboardEvent) {
    use wasm_bindgen::JsCast;
    ev.prevent_default();
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
    let Ok(fields) = document.query_selector_all("input[enterkeyhint=next]") else { return };
    let own = ev.target();
    let fields: Vec<web_sys::HtmlElement> =
        (0..fields.length()).filter_map(|i| fields.item(i)?.dyn_into().ok()).collect();
    let at = fields.iter().position(|field| own.as_ref() == Some(field.as_ref()));
    if let Some(next) = at.and_then(|at| fields.get(at + 1)) {
        let _ = next.focus();
    }
}

/// A count with − and +.
#[component]
pub fn Stepper(entry: RwSignal<Entry>, faults: Faults) -> impl IntoView {
    let label = entry.with_untracked(|entry| entry.ask.label.clone());
    let (less, more) = (words::less(&label), words::more(&label));
    let bad = wrong_with(entry, faults);
    // A tap on the figure is to replace it.
    let select = |ev: leptos::ev::FocusEvent| event_target::<web_sys::HtmlInputElement>(&ev).select();
    view! {
        <div class="field">
            <span>{label.clone()}</span>
            <div class="step">
                <button type="button" aria-label=less on:click=move |_| entry.update(|entry| entry.step(-1))>"−"</button>
                <input type="text" inputmode="numeric" aria-label=label data-field=move || entry.with(|entry| entry.ask.name()) prop:value=move || entry.with(|entry| entry.typed.clone())
                    aria-invalid=move || bad.get().is_some().to_string()
                    on:focus=select
                    on:input=move |ev| type_over(entry, faults, &ev) />
                <button type="button" aria-label=more on:click=move |_| entry.update(|entry| entry.step(1))>"+"</button>
            </div>
            {told(entry, bad)}
        </div>
    }
    .into_any()
}

/// How many a counter stands at; 0 while it cannot be read.
pub fn count(entry: RwSignal<Entry>) -> u32 {
    entry.with(Entry::count)
}

/// One of a few, as chips.
#[component]
pub fn Choice<T>(#[prop(into)] label: String, options: Vec<(T, String)>, value: RwSignal<T>) -> impl IntoView
where
    T: Clone + PartialEq + Send + Sync + 'static,
{
    view! {
        <fieldset class="field">
            <legend>{label}</legend>
            <div class="chips">
                {options.into_iter().map(|(option, said)| {
                    let mine = option.clone();
                    view! {
                        <button type="button" class="chip" aria-pressed=move || (value.get() == mine).to_string()
                            on:click=move |_| value.set(option.clone())>{said}</button>
                    }
                }).collect_view()}
            </div>
        </fieldset>
    }
}

/// One of many, as the phone's own list.
#[component]
pub fn Pick(
    #[prop(into)] label: String,
    #[prop(into)] options: Signal<Vec<(String, String)>>,
    value: RwSignal<String>,
) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <select on:change=move |ev| value.set(event_target_value(&ev)) prop:value=value>
                {move || options.get().into_iter().map(|(key, said)| {
                    let chosen = key == value.get_untracked();
                    view! { <option value=key selected=chosen>{said}</option> }
                }).collect_view()}
            </select>
        </label>
    }
}

/// The end of a form: the way out, and what saves. `leave`: none where the way back stands above. `save`: not where a tap
/// in the form saves.
#[component]
pub fn Ends(leave: Option<Callback<()>>, #[prop(default = true)] save: bool) -> impl IntoView {
    view! {
        <div class="acts">
            {leave.map(|leave| view! { <button type="button" class="act" data-leave="" on:click=move |_| leave.run(())>{words::LEAVE}</button> })}
            {save.then(|| view! { <button type="submit" class="act main">{words::SAVE}</button> })}
        </div>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
        entries.flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] }).collect()
    }

    /// A browser that checks a form by itself keeps it from being sent, and says so at a field that may be in a section
    /// that is shut: then *Save* does nothing and says nothing.
    #[test]
    fn no_form_is_checked_by_the_browser() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        // Put together here, or this file would hold one.
        let (begins, mut forms) = (["<", "form "].concat(), 0);
        for path in sources(&folder) {
            let text = std::fs::read_to_string(&path).expect("a source");
            for form in text.split(&begins).skip(1) {
                let tag = form.split('>').next().unwrap_or_default();
                assert!(tag.contains("novalidate"), "{}: {tag}", path.display());
                forms += 1;
            }
        }
        assert!(forms > 20, "{forms} forms");
    }
}
