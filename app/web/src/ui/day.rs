//! A day: now, yesterday, or another; and a plain date to fill in.

use crate::clock;
use crate::ui::forms::{Choice, Faults};
use crate::words::animals as words;
use desk::day::{Moment as TypedMoment, UNFINISHED, seen_on};
use leptos::prelude::*;
use trade::when::When;

/// A date, by the device's own calendar.
#[component]
pub fn DateField(#[prop(into)] label: String, value: RwSignal<String>, faults: Faults) -> impl IntoView {
    view! { <Dated label of=None value faults kind="date" /> }
}

/// A time of the day. `of`: what is read aloud as its name.
#[component]
fn TimeField(#[prop(into)] label: String, of: String, value: RwSignal<String>, faults: Faults) -> impl IntoView {
    view! { <Dated label of=Some(of) value faults kind="time" /> }
}

#[component]
fn Dated(
    label: String,
    of: Option<String>,
    value: RwSignal<String>,
    faults: Faults,
    kind: &'static str,
) -> impl IntoView {
    let own = label.clone();
    let bad = Signal::derive(move || faults.at(&own));
    let (own, name) = (label.clone(), label.clone());
    let input = move |ev: leptos::ev::Event| {
        // A browser says that a field is empty while only a part of it is typed.
        let begun = event_target::<web_sys::HtmlInputElement>(&ev).validity().bad_input();
        value.set(if begun { UNFINISHED.to_owned() } else { event_target_value(&ev) });
        faults.typed(&own);
    };
    // What is half typed is left to the browser.
    let drawn = Memo::new(move |before: Option<&String>| match value.get() {
        begun if begun == UNFINISHED => before.cloned().unwrap_or_default(),
        whole => whole,
    });
    view! {
        <label class="field"><span>{label}</span>
            // Four digits of a year, not six: the field is narrower.
            <input type=kind max=(kind == "date").then_some("9999-12-31") prop:value=drawn data-field=name aria-label=of aria-invalid=move || bad.get().is_some().to_string() on:input=input />
            {move || bad.get().map(|bad| view! { <span class="hint bad" role="alert">{bad}</span> })}
        </label>
    }
    .into_any()
}

/// A day and, where it is known, the time of it.
#[derive(Clone, Copy)]
pub struct Moment {
    day: RwSignal<String>,
    time: RwSignal<String>,
    /// The name of its day's field, once it is drawn.
    label: StoredValue<String>,
    before: Option<When>,
    /// It may be of a day to come.
    to_come: bool,
    /// Where nothing is typed, it is the moment of the tap.
    at_tap: bool,
    faults: Faults,
}

impl Moment {
    /// Of something that may be still to come.
    pub fn to_come(before: Option<When>) -> Self {
        Self { to_come: true, ..Self::new(before) }
    }

    /// Of what is noted as it happens: however long the page stood open, it is of the tap unless somebody types otherwise.
    pub fn at_tap() -> Self {
        Self { at_tap: true, ..Self::typed(TypedMoment::at_tap(), None) }
    }

    /// As it was; what was never dated is of today.
    pub fn new(before: Option<When>) -> Self {
        Self::typed(TypedMoment::new(before, clock::today()), before)
    }

    fn typed(typed: TypedMoment, before: Option<When>) -> Self {
        let (day, time) = (RwSignal::new(typed.day), RwSignal::new(typed.time));
        Self {
            day,
            time,
            label: StoredValue::new(words::DAY.to_owned()),
            before,
            to_come: false,
            at_tap: false,
            faults: Faults::new(),
        }
    }

    /// `None` for what is no day, which is said at its field. As it was when untouched, so that a span is not flattened
    /// to a day.
    pub fn get(&self) -> Option<When> {
        let typed = TypedMoment { day: self.day.get_untracked(), time: self.time.get_untracked() };
        let names = (&*self.label.get_value(), crate::words::correct::AT);
        let today = clock::today();
        if self.at_tap {
            return self.faults.pass(typed.get_at_tap(names, clock::now()));
        }
        self.faults.pass(typed.get_by(names, self.before, today, (!self.to_come).then_some(today)))
    }
}

impl Moment {
    /// Of the next tap: what was typed of the last one is done with.
    pub fn clear(&self) {
        let TypedMoment { day, time } = TypedMoment::at_tap();
        let _ = self.day.try_set(day);
        let _ = self.time.try_set(time);
    }
}

#[component]
pub fn MomentField(#[prop(into)] label: String, moment: Moment) -> impl IntoView {
    moment.label.set_value(label.clone());
    // A page may have several, and a time's own label does not say of what it is.
    let of = crate::words::correct::at_of(&label);
    view! {
        <div class="pair">
            <DateField label value=moment.day faults=moment.faults />
            <TimeField label=crate::words::correct::AT of value=moment.time faults=moment.faults />
        </div>
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

    /// For acts that know better than the minute when "just now" was: `Some(None)` when nobody said otherwise, `None` when
    /// another day is meant and none is chosen.
    pub fn unless_now(&self) -> Option<Option<When>> {
        match self.how.get_untracked() {
            How::Now => Some(None),
            _ => self.get().map(Some),
        }
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

/// The same for what is most often noted at once; paper that is typed late says so behind the fold.
#[component]
pub fn WhenFold(seen: Seen) -> impl IntoView {
    view! { <details><summary>{words::WHEN_FOLD}</summary><SeenField seen /></details> }
}
