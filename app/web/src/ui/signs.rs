//! A small picture for each act, beside its word. All lie side by side in `public/signs.svg`, in the order given here.

use crate::route::{BoxAct, Page, Walking};
use book::words::MealOutcome;
use leptos::prelude::*;

/// What a picture shows, from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    Candle,
    Weigh,
    Water,
    Pip,
    Out,
    Ate,
    Refused,
    Up,
    Shed,
    Move,
    Pair,
    Eggs,
    Clean,
    Treat,
    Note,
    Look,
}

impl Mark {
    /// What is done on a page, where a picture shows it.
    pub fn on(page: &Page) -> Option<Self> {
        Some(match page {
            Page::BoxAct(_, BoxAct::Candle) | Page::Walk(Walking::Candle) => Self::Candle,
            Page::BoxAct(_, BoxAct::Water) | Page::Walk(Walking::Water) => Self::Water,
            Page::BoxAct(_, BoxAct::Pipped) => Self::Pip,
            Page::BoxAct(_, BoxAct::Out) => Self::Out,
            Page::BoxAct(_, BoxAct::Hatch) => Self::Weigh,
            Page::BoxAct(_, BoxAct::Move) | Page::Walk(Walking::Move) => Self::Move,
            Page::BoxAct(_, BoxAct::Note) => Self::Note,
            Page::BoxAct(_, BoxAct::Eggs) | Page::Pull(_) | Page::Found(_) => Self::Eggs,
            Page::Meal(_) | Page::Walk(Walking::Meals) => Self::Ate,
            Page::Clean(..) => Self::Clean,
            Page::Treat(_) => Self::Treat,
            Page::PairingNew(_) => Self::Pair,
            _ => return None,
        })
    }

    pub fn meal(outcome: MealOutcome) -> Self {
        match outcome {
            MealOutcome::Eaten => Self::Ate,
            MealOutcome::Refused => Self::Refused,
            MealOutcome::Regurgitated => Self::Up,
        }
    }
}

/// Hidden from a screen reader: the word beside it says the same.
pub fn sign(act: Mark) -> impl IntoView {
    view! { <i class="pict" aria-hidden="true" style:--at=(act as u8).to_string()></i> }
}

/// A link to where something is done, with its picture.
pub fn act_link(page: &Page, class: &'static str, said: &'static str) -> AnyView {
    view! { <a class=class href=page.href()>{Mark::on(page).map(sign)}{said}</a> }.into_any()
}

/// A large button, the picture over the word.
pub fn tile(act: Mark, said: String, main: bool, tap: impl Fn() + 'static) -> AnyView {
    view! { <button type="button" class="act tile" class:main=main on:click=move |_| tap()>{sign(act)}{said}</button> }
        .into_any()
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRAWN: &str = include_str!("../../../../public/signs.svg");

    #[test]
    fn each_picture_lies_where_its_act_looks_for_it() {
        let names: Vec<&str> = DRAWN.split("id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let acts = [
            (Mark::Candle, "candle"),
            (Mark::Weigh, "weigh"),
            (Mark::Water, "water"),
            (Mark::Pip, "pip"),
            (Mark::Out, "out"),
            (Mark::Ate, "ate"),
            (Mark::Refused, "refused"),
            (Mark::Up, "up"),
            (Mark::Shed, "shed"),
            (Mark::Move, "move"),
            (Mark::Pair, "pair"),
            (Mark::Eggs, "eggs"),
            (Mark::Clean, "clean"),
            (Mark::Treat, "treat"),
            (Mark::Note, "note"),
            (Mark::Look, "look"),
        ];
        assert_eq!(names.len(), acts.len());
        for (act, name) in acts {
            let at = act as usize;
            assert_eq!(names[at], name, "{act:?}");
            let moved = at == 0 || DRAWN.contains(&format!("id=\"{name}\" transform=\"translate({})\"", 24 * at));
            assert!(moved, "{name} is not at {}", 24 * at);
        }
        assert!(DRAWN.contains(&format!("viewBox=\"0 0 {} 24\"", 24 * acts.len())));
    }
}
