//! A passphrase being typed: hidden from who stands behind, shown when asked.

use crate::words::bundles as words;
use leptos::prelude::*;

#[component]
pub fn Phrase(
    value: RwSignal<String>,
    #[prop(optional)] hint: &'static str,
    #[prop(default = words::PASSPHRASE)] label: &'static str,
) -> impl IntoView {
    let shown = RwSignal::new(false);
    view! {
        <div class="field">
            <label class="field">
                <span>{label}</span>
                // A word of another language's spelling, or one capital too many, and nobody opens it again.
                <input type=move || if shown.get() { "text" } else { "password" } autocomplete="off" autocapitalize="none" data-secret=""
                    spellcheck="false" prop:value=value on:input=move |ev| value.set(event_target_value(&ev)) />
                {(!hint.is_empty()).then(|| view! { <span class="hint">{hint}</span> })}
            </label>
            <label class="gap tick">
                <input type="checkbox" prop:checked=shown on:change=move |ev| shown.set(event_target_checked(&ev)) />
                <span>{words::SHOW_PASSPHRASE}</span>
            </label>
        </div>
    }
}
