//! A day: now, yesterday, or another; and a plain date to fill in.

use crate::clock;
use crate::ui::forms::{Choice, Faults};
use crate::words::animals as words;
use desk::day::{UNFINISHED, seen_on};
use leptos::prelude::*;
use trade::when::When;

/// A date, by the device's own calendar.
#[component]
pub fn DateField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional)] faults: Option<Faults>,
) -> impl IntoView {
    view! { <Dated label value faults kind="date" /> }
}

/// A time of the day.
#[component]
pub fn TimeField(#[prop(into)] label: String, value: RwSignal<String>, faults: Faults) -> impl IntoView {
    view! { <Dated label value faults=Some(faults) kind="time" /> }
}

#[component]
fn Dated(label: String, value: RwSignal<String>, faults: Option<Faults>, kind: &'static str) -> impl IntoView {
    let own = label.clone();
    let bad = Signal::derive(move || faults.and_then(|faults| faults.at(&own)));
    let own = label.clone();
    let input = move |ev: leptos::ev::Event| {
        // A browser says that a field is empty while only a part of it is typed.
        let begun = event_target::<web_sys::HtmlInputElement>(&ev).validity().bad_input();
        value.set(if begun { UNFINISHED.to_owned() } else { event_target_value(&ev) });
        if let Some(faults) = faults {
            faults.typed(&own);
        }
    };
    // What is half typed is left to the browser.
    let drawn = Memo::new(move |before: Option<&String>| match value.get() {
        begun if begun == UNFINISHED => before.cloned().unwrap_or_default(),
        whole => whole,
    });
    view! {
        <label class="field"><span>{label}</span>
            // Four digits of a year, not six: the field is narrower.
            <input type=kind max=(kind == "date").then_some("9999-12-31") prop:value=drawn aria-invalid=move || bad.get().is_some().to_string() on:input=input />
            {move || bad.get().map(|bad| view! { <span class="hint bad" role="alert">{bad}</span> })}
        </label>
    }
    .into_any()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    Now,
    Yesterday,
    Day,
}

/// When something was seen.
#[derive(Clone, Copy)]
pub struct Seen {
    how: RwSignal<How>,
    day: RwSignal<String>,
    faults: Faults,
}

impl Seen {
    pub fn now() -> Self {
        Self { how: RwSignal::new(How::Now), day: RwSignal::new(clock::today().to_string()), faults: Faults::new() }
    }

    /// Of something longer ago than yesterday, most often.
    pub fn day() -> Self {
        Self { how: RwSignal::new(How::Day), ..Self::now() }
    }

    /// `None` when another day is meant and none is chosen, which is said at the field.
    pub fn get(&self) -> Option<When> {
        match self.how.get_untracked() {
            How::Now => Some(When::time(clock::now())),
            How::Yesterday => clock::today().pred_opt().map(When::day),
            How::Day => self.faults.pass(seen_on(words::DAY, &self.day.get_untracked(), clock::today())),
        }
    }
}

#[component]
pub fn SeenField(seen: Seen) -> impl IntoView {
    let options = [(How::Now, words::TODAY), (How::Yesterday, words::YESTERDAY), (How::Day, words::OTHER_DAY)];
    let options = options.into_iter().map(|(how, said)| (how, said.to_owned())).collect();
    view! {
        <Choice label=words::WHEN options value=seen.how />
        {move || (seen.how.get() == How::Day).then(|| view! { <DateField label=words::DAY value=seen.day faults=seen.faults /> })}
    }
}
