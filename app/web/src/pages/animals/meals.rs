//! Its meals at a glance: the last one in words, those before it as marks in a row.

use crate::words::{animals as words, dates};
use book::views::AnimalView;
use book::words::MealOutcome;
use chrono::NaiveDate;
use leptos::prelude::*;

/// Marks in the row.
const MOST: usize = 14;
const APART: usize = 11;
const TALL: usize = 12;

/// What the card of its meals says.
pub struct MealsCard {
    /// Oldest first.
    marks: Vec<Option<MealOutcome>>,
    counted: String,
    last: String,
    run: Option<String>,
}

impl MealsCard {
    /// None of one that was never offered a meal.
    pub fn new(view: &AnimalView, today: NaiveDate) -> Option<MealsCard> {
        let last = view.meals.first()?;
        let day = last.offered.map(|when| dates::near(when.date(), today)).unwrap_or_default();
        let marks: Vec<_> = view.meals.iter().take(MOST).rev().map(|meal| meal.outcome).collect();
        let since = view.meals.iter().take(MOST).next_back().and_then(|meal| meal.offered);
        let since = since.map(|when| dates::day(when.date(), today));
        Some(MealsCard {
            counted: words::meals_counted(&marks, since),
            last: words::meal_line(last.outcome, &day, [&last.size, &last.prey]),
            run: (view.refused_in_a_row > 1).then(|| words::refused_run(view.refused_in_a_row)),
            marks,
        })
    }
}

pub fn meals(card: Option<MealsCard>) -> AnyView {
    let Some(MealsCard { marks, counted, last, run }) = card else {
        return view! { <p>{words::NO_MEAL}</p> }.into_any();
    };
    let row = (marks.len() > 1).then(|| {
        let wide = APART * marks.len();
        let marks = marks.into_iter().enumerate().map(|(nth, outcome)| mark(APART * nth + APART / 2, outcome));
        view! {
            <svg class="meals" viewBox=format!("0 0 {wide} {TALL}") width=wide height=TALL aria-hidden="true">{marks.collect_view()}</svg>
            <p class="aside">{counted}</p>
        }
    });
    view! {
        {run.map(|run| view! { <p>{run}</p> })}
        <p>{last}</p>
        {row}
    }
    .into_any()
}

/// Eaten is full, refused empty, brought up again crossed out; of one whose outcome nobody noted, a point.
fn mark(x: usize, outcome: Option<MealOutcome>) -> AnyView {
    let y = TALL / 2;
    match outcome {
        Some(MealOutcome::Eaten) => view! { <circle cx=x cy=y r="4" class="eaten" /> }.into_any(),
        Some(MealOutcome::Refused) => view! { <circle cx=x cy=y r="4" /> }.into_any(),
        Some(MealOutcome::Regurgitated) => {
            let (left, right, top, bottom) = (x - 4, x + 4, y - 4, y + 4);
            view! { <path d=format!("M{left} {top}L{right} {bottom}M{left} {bottom}L{right} {top}") /> }.into_any()
        }
        None => view! { <circle cx=x cy=y r="1.5" class="eaten" /> }.into_any(),
    }
}
