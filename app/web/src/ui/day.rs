//! A day: now, yesterday, or another; and a plain date to fill in.

use crate::clock;
use crate::ui::forms::Choice;
use crate::words::animals as words;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use leptos::prelude::*;
use trade::when::{Point, When};

/// A date, by the device's own calendar.
#[component]
pub fn DateField(#[prop(into)] label: String, value: RwSignal<String>) -> impl IntoView {
    let today = clock::today().to_string();
    view! {
        <label class="field"><span>{label}</span>
            <input type="date" max=today prop:value=value on:input=move |ev| value.set(event_target_value(&ev)) />
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

/// A day and, where it is known, the time of it.
#[derive(Clone, Copy)]
pub struct Moment {
    day: RwSignal<String>,
    time: RwSignal<String>,
    before: Option<When>,
}

impl Moment {
    /// As it was; what was never dated is of today.
    pub fn new(before: Option<When>) -> Self {
        let point = before.map(|when| match when {
            When::At(point) => point,
            When::Span(..) => Point::Day(when.date()),
        });
        let day = point.map_or_else(clock::today, Point::date).to_string();
        let time = match point {
            Some(Point::Time(at)) => at.format("%H:%M").to_string(),
            _ => String::new(),
        };
        Self { day: RwSignal::new(day), time: RwSignal::new(time), before }
    }

    fn read(&self) -> Option<When> {
        let day: NaiveDate = self.day.get_untracked().parse().ok()?;
        let time = self.time.get_untracked();
        if time.trim().is_empty() {
            return Some(When::day(day));
        }
        let time = NaiveTime::parse_from_str(time.trim(), "%H:%M").ok()?;
        Some(When::time(NaiveDateTime::new(day, time)))
    }

    /// `None` for what is no day. As it was when untouched, so that a span is not flattened to a day.
    pub fn get(&self) -> Option<When> {
        match self.before {
            Some(before) if Moment::new(Some(before)).read() == self.read() => Some(before),
            _ => self.read(),
        }
    }
}

#[component]
pub fn MomentField(#[prop(into)] label: String, moment: Moment) -> impl IntoView {
    view! {
        <div class="pair">
            <DateField label value=moment.day />
            <label class="field"><span>{crate::words::correct::AT}</span>
                <input type="time" prop:value=moment.time on:input=move |ev| moment.time.set(event_target_value(&ev)) />
            </label>
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
}

impl Seen {
    pub fn now() -> Self {
        Self { how: RwSignal::new(How::Now), day: RwSignal::new(clock::today().to_string()) }
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

/// The same for what is most often noted at once; paper that is typed late says so behind the fold.
#[component]
pub fn WhenFold(seen: Seen) -> impl IntoView {
    view! { <details><summary>{words::WHEN_FOLD}</summary><SeenField seen /></details> }
}
