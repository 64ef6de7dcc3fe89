//! The egg tray: the box from above, eggs as ovals, clumps joined, state by drawing and not by colour alone.

use leptos::ev::PointerEvent;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// How an egg is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Not looked at yet.
    Plain,
    Veins,
    Unsure,
    Clear,
    Dented,
    Mouldy,
    Dark,
    Dead,
    Slug,
    Pipped,
    Out,
}

impl Sign {
    fn class(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Veins => "veins",
            Self::Unsure => "unsure",
            Self::Clear => "clear",
            Self::Dented => "dented",
            Self::Mouldy => "mouldy",
            Self::Dark => "dark",
            Self::Dead => "dead",
            Self::Slug => "slug",
            Self::Pipped => "pipped",
            Self::Out => "out",
        }
    }

    /// Strokes about the egg's middle; the egg is 44 × 54.
    fn strokes(self) -> &'static str {
        match self {
            Self::Plain | Self::Unsure | Self::Clear => "",
            Self::Veins => "M-2 -16 Q3 -6 -1 2 Q-3 9 2 17 M0 -4 L9 -11 M-1 3 L-10 10 M0 7 L10 14 M-1 -9 L-8 -14",
            Self::Dented => "M-13 -9 Q0 8 13 -9",
            Self::Mouldy => "M-9 -8 h.1 M-3 -2 h.1 M6 -9 h.1 M9 3 h.1 M-8 8 h.1 M2 11 h.1 M-1 -14 h.1",
            Self::Dark => "M-13 -12 L12 -15 M-17 -3 L17 -7 M-17 6 L17 2 M-14 14 L14 11 M-8 21 L8 19",
            Self::Dead => "M-13 -14 L13 14 M13 -14 L-13 14",
            Self::Slug => "M-12 0 L12 0",
            Self::Pipped => "M-13 3 L-4 -9 L3 2 L13 -10",
            Self::Out => "M-22 -2 L-13 7 L-5 -3 L4 6 L12 -4 L22 3",
        }
    }
}

/// One egg as the tray shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrayEgg {
    pub id: String,
    pub letter: String,
    pub sign: Sign,
    /// In words, for who cannot see the drawing: `egg A, veins`.
    pub said: String,
    /// Eggs of one clump carry one number.
    pub clump: Option<i64>,
    /// No longer in the box.
    pub gone: bool,
    pub changed: bool,
    /// Nothing can be told of it here: it keeps its place, and a tap on it does nothing.
    pub still: bool,
}

const COLUMNS: usize = 5;
const STEP_X: f64 = 68.0;
const STEP_Y: f64 = 84.0;

/// Rows shift against each other like eggs in a box do.
fn spot(i: usize) -> (f64, f64) {
    let (row, column) = (i / COLUMNS, i % COLUMNS);
    let shift = if row % 2 == 0 { 0.0 } else { 14.0 };
    let wave = [0.0, -4.0, 2.0, -3.0, 3.0][column];
    (38.0 + STEP_X * column as f64 + shift, 42.0 + STEP_Y * row as f64 + wave)
}

fn joints(eggs: &[TrayEgg]) -> Vec<(usize, usize)> {
    let mut last: Vec<(i64, usize)> = Vec::new();
    let mut lines = Vec::new();
    for (i, egg) in eggs.iter().enumerate() {
        let Some(clump) = egg.clump else { continue };
        match last.iter_mut().find(|(c, _)| *c == clump) {
            Some((_, before)) => {
                lines.push((*before, i));
                *before = i;
            }
            None => last.push((clump, i)),
        }
    }
    lines
}

fn egg_under(ev: &PointerEvent) -> Option<String> {
    let document = web_sys::window()?.document()?;
    let element = document.element_from_point(ev.client_x() as f32, ev.client_y() as f32)?;
    element.closest("[data-egg][role=button]").ok()??.get_attribute("data-egg")
}

/// The tray. With `on_egg` it can be tapped, driven by keys, and (with `paint`) drawn across.
#[component]
pub fn Tray(
    #[prop(into)] eggs: Signal<Vec<TrayEgg>>,
    #[prop(optional, into)] on_egg: Option<Callback<String>>,
    /// A long run: the finger draws over eggs and each is told once.
    #[prop(optional, into)]
    paint: Signal<bool>,
    #[prop(optional, into)] chosen: Signal<Option<String>>,
) -> impl IntoView {
    let live = on_egg.is_some();
    let last = StoredValue::new(None::<String>);
    let tell = move |id: String| {
        if let Some(on_egg) = on_egg {
            on_egg.run(id);
        }
    };
    let drawn_over = move |ev: PointerEvent| {
        if !live || !paint.get_untracked() || ev.buttons() == 0 {
            return;
        }
        let Some(id) = egg_under(&ev) else { return };
        if last.with_value(|l| l.as_ref() != Some(&id)) {
            last.set_value(Some(id.clone()));
            tell(id);
        }
    };
    let down = move |ev: PointerEvent| {
        last.set_value(None);
        if paint.get_untracked() {
            // Touch keeps sending its moves to the first egg otherwise.
            if let Some(target) = ev.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok()) {
                let _ = target.release_pointer_capture(ev.pointer_id());
            }
            drawn_over(ev);
        }
    };
    move || {
        let eggs = eggs.get();
        let rows = eggs.len().div_ceil(COLUMNS).max(1);
        let lines: Vec<_> = joints(&eggs)
            .into_iter()
            .map(|(a, b)| {
                let ((x1, y1), (x2, y2)) = (spot(a), spot(b));
                view! { <line class="joint" x1=x1 y1=y1 x2=x2 y2=y2 /> }
            })
            .collect();
        let ovals: Vec<_> = eggs
            .into_iter()
            .enumerate()
            .map(|(i, egg)| {
                let (x, y) = spot(i);
                let (id, key_id, chosen_id) = (egg.id.clone(), egg.id.clone(), egg.id.clone());
                let class = format!(
                    "egg {}{}{}",
                    egg.sign.class(),
                    if egg.gone { " gone" } else { "" },
                    if egg.changed { " changed" } else { "" },
                );
                let live = live && !egg.still;
                let click = move |_| {
                    // While drawing, the pointer events have told it already.
                    if live && !paint.get_untracked() {
                        tell(id.clone());
                    }
                };
                let keyed = move |ev: leptos::ev::KeyboardEvent| {
                    if live && matches!(ev.key().as_str(), "Enter" | " ") {
                        ev.prevent_default();
                        tell(key_id.clone());
                    }
                };
                let tilt = [-6, 4, -3, 7, -5][i % 5];
                view! {
                    <g class=class class:chosen=move || chosen.get().as_deref() == Some(chosen_id.as_str())
                        data-egg=egg.id role=if live { "button" } else { "img" } tabindex=live.then_some("0")
                        aria-label=egg.said on:click=click on:keydown=keyed
                        transform=format!("translate({x} {y}) rotate({tilt})")>
                        <ellipse class="shell" rx="24" ry="30" />
                        <circle class="mark" cy="-22" r="3" />
                        <path class="sign" d=egg.sign.strokes() />
                        <text class="letter" y="47" transform=format!("rotate({})", -tilt)>{egg.letter}</text>
                    </g>
                }
            })
            .collect();
        view! {
            <svg class="tray" class:live=live class:painting=move || paint.get()
                viewBox=format!("0 0 364 {}", 12.0 + STEP_Y * rows as f64)
                role="group" aria-label=crate::words::TRAY on:pointerdown=down on:pointermove=drawn_over>
                {lines}
                {ovals}
            </svg>
        }
    }
}
