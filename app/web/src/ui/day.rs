//! A day: now, yesterday, or another; and a plain date to fill in.

use crate::clock;
use crate::ui::forms::{Choice, Faults};
use crate::words::animals as words;
use chrono::NaiveDate;
use leptos::prelude::*;
use trade::when::When;

/// A date, by the device's own calendar.
#[component]
pub fn DateField(
    #[prop(into)] label: String,
    value: RwSignal<String>,
    #[prop(optional)] faults: Option<Faults>,
) -> impl IntoView {
    let today = clock::today().to_string();
    let own = label.clone();
    let bad = Signal::derive(move || faults.and_then(|faults| faults.at(&own)));
    let own = label.clone();
    let typed = move |ev: leptos::ev::Event| {
        value.set(event_target_value(&ev));
        if let Some(faults) = faults {
            faults.typed(&own);
        }
    };
    view! {
        <label class="field"><span>{label}</span>
            <input type="date" max=today prop:value=value aria-invalid=move || bad.get().is_some().to_string() on:input=typed />
            {move || bad.get().map(|bad| view! { <span class="hint bad" role="alert">{bad}</span> })}
        </label>
    }
}

/// What stands in a [`DateField`]: as it was when untouched, so that a span or a time is not flattened to a day.
pub fn dated(value: RwSignal<String>, before: Option<When>) -> Option<When> {
    let typed = value.get_untracked();
    if before.is_some_and(|b| b.date().to_string() == typed) {
        before
    } else {
        typed.parse::<NaiveDate>().ok().map(When::day)
    }
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
}

impl Seen {
    pub fn now() -> Self {
        Self { how: RwSignal::new(How::Now), day: RwSignal::new(clock::today().to_string()) }
    }

    /// Of something longer ago than yesterday, most often.
    pub fn day() -> Self {
        Self { how: RwSignal::new(How::Day), ..Self::now() }
    }

    /// `None` when another day is meant and none is chosen.
    pub fn get(&self) -> Option<When> {
        match self.how.get_untracked() {
            How::Now => Some(When::time(clock::now())),
            How::Yesterday => clock::today().pred_opt().map(When::day),
            How::Day => self.day.get_untracked().parse().ok().map(When::day),
        }
    }
}

#[component]
pub fn SeenField(seen: Seen) -> impl IntoView {
    let options = [(How::Now, words::TODAY), (How::Yesterday, words::YESTERDAY), (How::Day, words::OTHER_DAY)];
    let options = options.into_iter().map(|(how, said)| (how, said.to_owned())).collect();
    view! {
        <Choice label=words::WHEN options value=seen.how />
        {move || (seen.how.get() == How::Day).then(|| view! { <DateField label=words::DAY value=seen.day /> })}
    }
}
