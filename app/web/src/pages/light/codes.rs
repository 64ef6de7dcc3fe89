//! What is shown: a code that stands, and codes that move.

use super::steps::{Offer, Walk};
use crate::words::light as words;
use labels::qr::{Matrix, QUIET};
use leptos::html::Canvas;
use leptos::prelude::*;
use light::{Pace, Sender, version};
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::{Clamped, JsCast};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, ImageData};

/// Black on white in each theme, or no camera reads it.
fn draw(canvas: &HtmlCanvasElement, code: &Matrix) -> Option<()> {
    let side = code.with_quiet();
    let mut pixels = vec![255_u8; side * side * 4];
    for (column, row, length) in code.runs() {
        let from = ((row + QUIET) * side + column + QUIET) * 4;
        pixels[from..from + 4 * length].chunks_exact_mut(4).for_each(|pixel| pixel[..3].fill(0));
    }
    if canvas.width() as usize != side {
        canvas.set_width(side as u32);
        canvas.set_height(side as u32);
    }
    let context: CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
    let image = ImageData::new_with_u8_clamped_array(Clamped(&pixels), side as u32).ok()?;
    context.put_image_data(&image, 0.0, 0.0).ok()
}

/// As large as the page is wide and high; styled here, since a style sheet is fetched with the first page.
#[component]
fn Shown(canvas: NodeRef<Canvas>, label: &'static str) -> impl IntoView {
    view! {
        <canvas class="code" node_ref=canvas role="img" aria-label=label style:width="min(100%, 76dvh)" style:margin="0 auto"
            style:image-rendering="pixelated"></canvas>
    }
}

#[component]
pub fn Resting(code: Rc<Matrix>) -> impl IntoView {
    let canvas = NodeRef::<Canvas>::new();
    let code = StoredValue::new_local(code);
    Effect::new(move |_| {
        if let Some(canvas) = canvas.get() {
            code.with_value(|code| draw(&canvas, code));
        }
    });
    view! { <Shown canvas label=words::CODE /> }
}

#[component]
pub fn Moving(walk: Walk, offer: Offer) -> impl IntoView {
    let canvas = NodeRef::<Canvas>::new();
    let offer = StoredValue::new_local(offer);
    // Another pace is another cut of the same, and begins anew.
    Effect::new(move |_| {
        let Some(canvas) = canvas.get() else { return };
        let pace = walk.pace.get();
        let sender = offer.with_value(|offer| sender(offer, pace));
        let Some(sender) = sender else { return };
        walk.shows(sender.header().stamp());
        let index = Cell::new(0_u32);
        let next = move || {
            let bytes = sender.frame(index.get());
            if let Some(code) = version(bytes.len()).and_then(|version| Matrix::of_bytes(&bytes, version)) {
                draw(&canvas, &code);
            }
            index.set(index.get().wrapping_add(1));
        };
        next();
        let timer = set_interval_with_handle(next, Duration::from_millis(1000 / u64::from(pace.rate())));
        on_cleanup(move || {
            if let Ok(timer) = timer {
                timer.clear();
            }
        });
    });
    view! { <Shown canvas label=words::MOVING /> }
}

fn sender(offer: &Offer, pace: Pace) -> Option<Sender> {
    Sender::new(offer.content.to_vec(), offer.book, offer.answers, offer.gap.give, pace.capacity()).ok()
}
