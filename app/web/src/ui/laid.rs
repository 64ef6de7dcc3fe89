//! Laid when: today, yesterday, another day, between two days, or nobody saw it.

use crate::ui::day::DateField;
use crate::ui::forms::{Choice, Faults};
use crate::words::pull as said;
use chrono::NaiveDate;
use desk::forms::{How, LAID_FROM, LAID_ON, LAID_TO, Laid};
use leptos::prelude::*;
use trade::when::When;

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
        let Laid { how, from, to, .. } = Laid::new(laid, today);
        Self { today, how: RwSignal::new(how), from: RwSignal::new(from), to: RwSignal::new(to) }
    }

    /// As it stands.
    pub fn get(&self) -> Laid {
        let (how, from, to) = (self.how.get_untracked(), self.from.get_untracked(), self.to.get_untracked());
        Laid { today: self.today, how, from, to }
    }
}

#[component]
pub fn LaidField(laid: LaidWhen, faults: Faults) -> impl IntoView {
    let options = vec![
        (How::Today, said::TODAY.to_string()),
        (How::Yesterday, said::YESTERDAY.to_string()),
        (How::Day, said::ANOTHER_DAY.to_string()),
        (How::Span, said::BETWEEN.to_string()),
        (How::Unseen, said::UNSEEN.to_string()),
    ];
    let day = move |label: &'static str, value| view! { <DateField label value faults /> };
    view! {
        <Choice label=said::LAID options value=laid.how />
        {move || match laid.how.get() {
            How::Day => day(LAID_ON, laid.from).into_any(),
            How::Span => view! { <div class="pair">{day(LAID_FROM, laid.from)}{day(LAID_TO, laid.to)}</div> }.into_any(),
            How::Unseen => view! { <p class="aside">{said::UNSEEN_HINT}</p> }.into_any(),
            How::Today | How::Yesterday => ().into_any(),
        }}
    }
}
