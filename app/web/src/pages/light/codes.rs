//! What is shown: a code that stands, and codes that move.

use super::steps::{Offer, Walk};
use crate::words::light as words;
use labels::qr::{Matrix, QUIET};
use leptos::html::Canvas;
use leptos::prelude::*;
use light::{Pace, Sender, version};
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

#[component]
pub fn Resting(code: Rc<Matrix>) -> impl IntoView {
    let canvas = NodeRef::<Canvas>::new();
    let code = StoredValue::new_local(code);
    Effect::new(move |_| {
        if let Some(canvas) = canvas.get() {
            code.with_value(|code| draw(&canvas, code));
        }
    });
    view! { <canvas class="code" node_ref=canvas role="img" aria-label=words::CODE></canvas> }
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
        let mut index = 0;
        let mut next = move || {
            let bytes = sender.frame(index);
            if let Some(code) = version(bytes.len()).and_then(|version| Matrix::of_bytes(&bytes, version)) {
                draw(&canvas, &code);
            }
            index = index.wrapping_add(1);
        };
        next();
        let timer = set_interval_with_handle_mut(next, pace);
        on_cleanup(move || {
            if let Some(timer) = timer {
                timer.clear();
            }
        });
    });
    view! { <canvas class="code" node_ref=canvas role="img" aria-label=words::MOVING></canvas> }
}

fn set_interval_with_handle_mut(
    next: impl FnMut() + 'static,
    pace: Pace,
) -> Option<leptos::leptos_dom::helpers::IntervalHandle> {
    let next = std::cell::RefCell::new(next);
    let every = Duration::from_millis(1000 / u64::from(pace.rate()));
    set_interval_with_handle(move || (next.borrow_mut())(), every).ok()
}

fn sender(offer: &Offer, pace: Pace) -> Option<Sender> {
    Sender::new(offer.content.to_vec(), offer.book, offer.answers, offer.gap.give, pace.capacity()).ok()
}
