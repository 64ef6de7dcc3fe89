//! The camera's picture, with the code that was read in it outlined.
//!
//! One stream a visit; stopped when the page is hidden or left, opened again when it is shown, told and reopened when
//! the phone takes it away.

use super::camera::{self, NoCamera};
use super::reader::{Read, Reader};
use crate::prefs::prefs;
use crate::words::scan as words;
use leptos::html::{Canvas, Video};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use web_sys::{HtmlCanvasElement, HtmlVideoElement, MediaStream};

/// Long enough for a slow phone to show its first picture.
const PATIENCE: Duration = Duration::from_secs(12);
const FRAME: Duration = Duration::from_millis(40);
/// A screen shows another code many times a second: no picture of the camera's should be missed.
const SCREEN_FRAME: Duration = Duration::from_millis(12);
/// The longer side of what the reader is given, pixels.
const LONGEST: f64 = 1280.0;

/// Where pictures go, and who reads them.
#[derive(Clone, Copy)]
pub struct Eye {
    pub canvas: NodeRef<Canvas>,
    pub reader: StoredValue<Option<Rc<Reader>>, LocalStorage>,
    screen: bool,
}

impl Eye {
    /// For labels, or for what another device's screen shows.
    pub fn new(screen: bool) -> Self {
        Self { canvas: NodeRef::new(), reader: StoredValue::new_local(Reader::start(screen).map(Rc::new)), screen }
    }
}

/// The camera; `heard` is told each code in each picture.
#[component]
pub fn Lens(eye: Eye, heard: Callback<Read>, no_camera: fn(NoCamera) -> &'static str) -> impl IntoView {
    let Eye { canvas, reader, screen } = eye;
    let prefs = prefs();
    let video = NodeRef::<Video>::new();
    let trouble = RwSignal::new(None::<NoCamera>);
    let stream = StoredValue::new_local(None::<MediaStream>);
    let torch = RwSignal::new(None::<bool>);
    let lenses = RwSignal::new(Vec::<String>::new());
    let outline = RwSignal::new(None::<Outline>);
    let read_at = StoredValue::new(0.0_f64);
    let looked_at = StoredValue::new(-1.0_f64);
    let gone = StoredValue::new(false);

    let lost = Callback::new(move |()| {
        stream.set_value(None);
        torch.set(None);
        if !super::hidden() {
            trouble.set(Some(NoCamera::Lost));
        }
    });
    let open = move || {
        spawn_local(async move {
            let Some(video) = video.get_untracked() else { return };
            let lens = prefs.get_untracked().lens;
            match camera::open(&video, lens.as_deref(), lost).await {
                // The page was left, or hidden, while the phone was asking.
                Ok(new) if gone.try_get_value().unwrap_or(true) || super::hidden() => camera::stop(&new),
                Ok(new) => {
                    torch.set(camera::has_torch(&new).then_some(false));
                    if let Some(old) = stream.try_update_value(|s| s.replace(new)).flatten() {
                        camera::stop(&old);
                    }
                    trouble.set(None);
                    lenses.set(camera::lenses().await);
                }
                Err(why) => {
                    trouble.try_set(Some(why));
                }
            }
        });
    };
    let close = move || {
        if let Some(old) = stream.try_update_value(|s| s.take()).flatten() {
            camera::stop(&old);
        }
    };
    Effect::new(move |_| {
        if video.get().is_some() {
            open();
        }
    });
    let patience = set_timeout_with_handle(
        move || {
            let dark = video.get_untracked().is_some_and(|v| v.video_width() == 0);
            if dark && trouble.get_untracked().is_none() {
                trouble.set(Some(NoCamera::Busy));
            }
        },
        PATIENCE,
    );
    let hidden = window_event_listener(leptos::ev::visibilitychange, move |_| {
        if super::hidden() {
            close();
        } else if stream.with_value(Option::is_none) {
            open();
        }
    });
    let told = move |read: Option<Read>| {
        let Some(read) = read else { return };
        outline.try_set(read.outline.clone());
        if read_at.try_set_value(js_sys::Date::now()).is_none() {
            heard.run(read);
        }
    };
    let starting = StoredValue::new(false);
    let start_again = move |video: HtmlVideoElement| {
        if starting.try_update_value(|on| std::mem::replace(on, true)) == Some(false) {
            spawn_local(async move {
                camera::play(&video).await;
                let _ = starting.try_set_value(false);
            });
        }
    };
    let look = set_interval_with_handle(
        move || {
            let (Some(video), Some(canvas)) = (video.get_untracked(), canvas.get_untracked()) else { return };
            if stream.with_value(Option::is_none) {
                return;
            }
            if video.paused() {
                return start_again(video);
            }
            let Some(reader) = reader.get_value().filter(|r| r.is_free()) else { return };
            let at = video.current_time();
            if video.video_width() == 0 || (screen && looked_at.get_value() == at) {
                return;
            }
            looked_at.set_value(at);
            if outline.with_untracked(Option::is_some) && js_sys::Date::now() - read_at.get_value() > 400.0 {
                outline.set(None);
            }
            let size = (f64::from(video.video_width()), f64::from(video.video_height()));
            if draw(&canvas, size, |c, w, h| c.draw_image_with_html_video_element_and_dw_and_dh(&video, 0.0, 0.0, w, h))
            {
                reader.look(&canvas, told);
            }
        },
        if screen { SCREEN_FRAME } else { FRAME },
    );
    on_cleanup(move || {
        gone.set_value(true);
        close();
        hidden.remove();
        if let Ok(look) = look {
            look.clear();
        }
        if let Ok(patience) = patience {
            patience.clear();
        }
    });

    let other_lens = move |_| {
        let ids = lenses.get_untracked();
        prefs.update(|p| {
            let at = ids.iter().position(|id| Some(id) == p.lens.as_ref()).unwrap_or(0);
            p.lens = ids.get((at + 1) % ids.len().max(1)).cloned();
        });
        close();
        open();
    };
    let which_lens = move || {
        let at = lenses.with(|ids| ids.iter().position(|id| prefs.with(|p| Some(id) == p.lens.as_ref())).unwrap_or(0));
        words::lens(at + 1, lenses.with(Vec::len))
    };
    view! {
        <div class="finder">
            <video node_ref=video muted=true playsinline=true aria-label=words::VIDEO></video>
            <canvas node_ref=canvas hidden></canvas>
            {move || outline.get().map(|o| view! {
                <svg class="outline" viewBox=o.view preserveAspectRatio="xMidYMid slice" aria-hidden="true"><polygon points=o.points /></svg>
            })}
            {move || trouble.get().map(|why| view! {
                <div class="finder-trouble" role="alert">
                    <p>{no_camera(why)}</p>
                    <button type="button" class="act" on:click=move |_| { trouble.set(None); open(); }>{words::TRY_AGAIN}</button>
                </div>
            })}
            {move || (lenses.with(Vec::len) > 1).then(|| view! {
                <button type="button" class="chip lens" on:click=other_lens>{which_lens}</button>
            })}
            {move || torch.get().map(|on| view! {
                <button type="button" class="chip torch" aria-pressed=on.to_string() on:click=move |_| {
                    torch.set(Some(!on));
                    if let Some(stream) = stream.get_value() {
                        spawn_local(async move { camera::torch(&stream, !on).await });
                    }
                }>{words::TORCH}</button>
            })}
        </div>
    }
}

/// Where the label was read, drawn over the picture: in pixels of what the reader was given.
#[derive(Clone, PartialEq)]
pub struct Outline {
    pub view: String,
    pub points: String,
}

/// Draws a picture onto the canvas, no larger than the reader wants it.
pub fn draw(
    canvas: &HtmlCanvasElement,
    (width, height): (f64, f64),
    with: impl FnOnce(&web_sys::CanvasRenderingContext2d, f64, f64) -> Result<(), JsValue>,
) -> bool {
    let scale = (LONGEST / width.max(height)).min(1.0);
    let (w, h) = ((width * scale).round(), (height * scale).round());
    if (f64::from(canvas.width()), f64::from(canvas.height())) != (w, h) {
        canvas.set_width(w as u32);
        canvas.set_height(h as u32);
    }
    // The pixels are read back at once: without this the browser keeps them where reading is slow.
    let options = js_sys::Object::new();
    let _ = js_sys::Reflect::set(&options, &"willReadFrequently".into(), &true.into());
    let context = canvas.get_context_with_context_options("2d", &options).ok().flatten();
    let context = context.and_then(|c| c.dyn_into::<web_sys::CanvasRenderingContext2d>().ok());
    context.is_some_and(|c| with(&c, w, h).is_ok())
}
