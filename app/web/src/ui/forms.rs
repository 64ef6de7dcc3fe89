//! Ways to enter things: figures by the right keypad, counts by steppers, one of a few by chips.

use crate::prefs::prefs;
use crate::words::{self, units};
use leptos::prelude::*;
use trade::units::{Mass, Temp};

/// A labelled line of text.
#[component]
pub fn TextField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional, into)] hint: String,
    /// Names offered while typing.
    #[prop(optional)]
    offers: Vec<String>,
) -> impl IntoView {
    let list = (!offers.is_empty()).then(|| format!("offers-{}", label.to_lowercase().replace(' ', "-")));
    let list_id = list.clone();
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" autocomplete="off" list=list prop:value=value on:input=move |ev| value.set(event_target_value(&ev)) />
            {(!hint.is_empty()).then(|| view! { <span class="hint">{hint}</span> })}
            {list_id.map(|id| view! {
                <datalist id=id>{offers.into_iter().map(|o| view! { <option value=o></option> }).collect_view()}</datalist>
            })}
        </label>
    }
}

/// Digits of a scale or a thermometer, with the unit beside them; `bad` says what will not do.
#[component]
fn Digits(
    label: String,
    value: RwSignal<String>,
    unit: Signal<&'static str>,
    bad: Signal<Option<String>>,
    hint: String,
    #[prop(optional)] first: bool,
) -> impl IntoView {
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
                <input node_ref=input type="text" inputmode="decimal" autocomplete="off" prop:value=value
                    aria-invalid=move || bad.get().is_some().to_string()
                    on:input=move |ev| value.set(event_target_value(&ev)) />
                <i>{unit}</i>
            </span>
            {(!hint.is_empty()).then(|| view! { <span class="hint">{hint}</span> })}
            {move || bad.get().map(|b| view! { <span class="hint bad" role="alert">{b}</span> })}
        </label>
    }
}

/// A mass as typed, in this device's unit. Empty is fine.
#[component]
pub fn MassField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional, into)] hint: String,
    /// What the page is opened for: the cursor is in it, and digits can be typed at once.
    #[prop(optional)]
    first: bool,
) -> impl IntoView {
    let prefs = prefs();
    let unit = Signal::derive(move || units::mass_unit(&prefs.get()));
    let bad = Signal::derive(move || {
        value.with(|v| (!v.trim().is_empty() && typed_mass(v).is_none()).then(|| words::NOT_A_NUMBER.to_owned()))
    });
    view! { <Digits label value unit bad hint first /> }
}

/// A temperature as typed, in this device's unit.
#[component]
pub fn TempField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional, into)] hint: String,
) -> impl IntoView {
    let prefs = prefs();
    let unit = Signal::derive(move || units::temp_unit(&prefs.get()));
    let bad = Signal::derive(move || {
        value.with(|v| (!v.trim().is_empty() && typed_temp(v).is_none()).then(|| words::NOT_A_NUMBER.to_owned()))
    });
    view! { <Digits label value unit bad hint /> }
}

/// What stands in a [`MassField`].
pub fn typed_mass(typed: &str) -> Option<Mass> {
    units::read_mass(typed, &prefs().get_untracked())
}

/// What stands in a [`TempField`].
pub fn typed_temp(typed: &str) -> Option<Temp> {
    units::read_temp(typed, &prefs().get_untracked())
}

/// A count with − and +.
#[component]
pub fn Stepper(#[prop(into)] label: String, value: RwSignal<u32>) -> impl IntoView {
    let less = words::less(&label);
    let more = words::more(&label);
    // A tap on the figure is to replace it.
    let select = |ev: leptos::ev::FocusEvent| event_target::<web_sys::HtmlInputElement>(&ev).select();
    view! {
        <div class="field">
            <span>{label.clone()}</span>
            <div class="step">
                <button type="button" aria-label=less on:click=move |_| value.update(|v| *v = v.saturating_sub(1))>"−"</button>
                <input type="text" inputmode="numeric" aria-label=label prop:value=move || value.get().to_string()
                    on:focus=select
                    on:input=move |ev| value.set(event_target_value(&ev).trim().parse().unwrap_or(0).min(500)) />
                <button type="button" aria-label=more on:click=move |_| value.update(|v| *v = (*v + 1).min(500))>"+"</button>
            </div>
        </div>
    }
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
