//! Laid when: today, yesterday, another day, or between two days.

use crate::ui::forms::Choice;
use crate::words::pull as said;
use chrono::NaiveDate;
use leptos::prelude::*;
use trade::when::{Point, When};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    Today,
    Yesterday,
    Day,
    Span,
}

/// What stands in the field.
#[derive(Clone, Copy)]
pub struct LaidWhen {
    today: NaiveDate,
    how: RwSignal<How>,
    from: RwSignal<String>,
    to: RwSignal<String>,
}

impl LaidWhen {
    pub fn new(laid: Option<When>, today: NaiveDate) -> Self {
        let text = |d: NaiveDate| d.to_string();
        let (how, from, to) = match laid {
            None => (How::Today, today, today),
            Some(When::Span(a, b)) if a.date() != b.date() => (How::Span, a.date(), b.date()),
            Some(w) if w.date() == today => (How::Today, today, today),
            Some(w) if today.pred_opt() == Some(w.date()) => (How::Yesterday, w.date(), today),
            Some(w) => (How::Day, w.date(), today),
        };
        Self { today, how: RwSignal::new(how), from: RwSignal::new(text(from)), to: RwSignal::new(text(to)) }
    }

    /// What is chosen, or a sentence that says what to change.
    pub fn get(&self) -> Result<When, String> {
        let read = |text: RwSignal<String>| {
            text.with_untracked(|t| t.parse::<NaiveDate>()).map_err(|_| said::NO_DAY.to_string())
        };
        match self.how.get_untracked() {
            How::Today => Ok(When::day(self.today)),
            How::Yesterday => Ok(When::day(self.today.pred_opt().unwrap_or(self.today))),
            How::Day => Ok(When::day(read(self.from)?)),
            How::Span => Ok(When::span(Point::Day(read(self.from)?), Point::Day(read(self.to)?))),
        }
    }
}

#[component]
pub fn LaidField(laid: LaidWhen) -> impl IntoView {
    let options = vec![
        (How::Today, said::TODAY.to_string()),
        (How::Yesterday, said::YESTERDAY.to_string()),
        (How::Day, said::ANOTHER_DAY.to_string()),
        (How::Span, said::BETWEEN.to_string()),
    ];
    let day = move |label: &'static str, value: RwSignal<String>| {
        view! {
            <label class="field"><span>{label}</span>
                <input type="date" max=laid.today.to_string() prop:value=value on:input=move |ev| value.set(event_target_value(&ev)) />
            </label>
        }
    };
    view! {
        <Choice label=said::LAID options value=laid.how />
        {move || match laid.how.get() {
            How::Day => day(said::LAID_ON, laid.from).into_any(),
            How::Span => view! { <div class="pair">{day(said::LAID_FROM, laid.from)}{day(said::LAID_TO, laid.to)}</div> }.into_any(),
            _ => ().into_any(),
        }}
    }
}
