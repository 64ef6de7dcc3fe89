//! The camera's picture with the label in it outlined, and beside it always a photo and the typed code.
//!
//! One stream a visit; stopped when the page is hidden or left, opened again when it is shown, told and reopened when
//! the phone takes it away.

use super::camera::{self, NoCamera};
use super::reader::{Read, Reader};
use crate::clock;
use crate::prefs::prefs;
use crate::words::scan as words;
use leptos::html::{Canvas, Input, Video};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{HtmlCanvasElement, HtmlVideoElement, ImageBitmap, MediaStream};

/// Long enough for a slow phone to show its first picture.
const PATIENCE: Duration = Duration::from_secs(12);
const FRAME: Duration = Duration::from_millis(40);
/// The longer side of what the reader is given, pixels.
const LONGEST: f64 = 1280.0;
/// A label read again within this time is the same look at it, ms.
const SAME_LOOK_MS: f64 = 2000.0;

/// The camera; `on_text` is told each label once a look, `said` is where the page says what it makes of it.
#[component]
pub fn Finder(on_text: Callback<String>, said: RwSignal<String>) -> impl IntoView {
    let prefs = prefs();
    let video = NodeRef::<Video>::new();
    let canvas = NodeRef::<Canvas>::new();
    let trouble = RwSignal::new(None::<NoCamera>);
    let stream = StoredValue::new_local(None::<MediaStream>);
    let torch = RwSignal::new(None::<bool>);
    let lenses = RwSignal::new(Vec::<String>::new());
    let outline = RwSignal::new(None::<Outline>);
    let reader = StoredValue::new_local(Reader::start().map(Rc::new));
    let last = StoredValue::new((String::new(), 0.0_f64));
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
    let heard = move |read: Option<Read>| {
        let Some(read) = read else { return };
        outline.try_set(read.outline);
        let now = js_sys::Date::now();
        let Some((text, at)) = last.try_get_value() else { return };
        last.set_value((read.text.clone(), now));
        if text != read.text || now - at > SAME_LOOK_MS {
            on_text.run(read.text);
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
            if video.video_width() == 0 {
                return;
            }
            if outline.with_untracked(Option::is_some) && js_sys::Date::now() - last.get_value().1 > 400.0 {
                outline.set(None);
            }
            let size = (f64::from(video.video_width()), f64::from(video.video_height()));
            if draw(&canvas, size, |c, w, h| c.draw_image_with_html_video_element_and_dw_and_dh(&video, 0.0, 0.0, w, h))
            {
                reader.look(&canvas, heard);
            }
        },
        FRAME,
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

    let photo = NodeRef::<Input>::new();
    let picked = move |_| {
        let input = photo.get_untracked();
        let file = input.as_ref().and_then(|i| i.files()).and_then(|f| f.get(0));
        let (Some(file), Some(canvas), Some(reader)) = (file, canvas.get_untracked(), reader.get_value()) else {
            return;
        };
        said.set(words::READING_PHOTO.into());
        spawn_local(async move {
            let read = read_photo(&file, &canvas, &reader).await;
            // The same photo may be chosen once more.
            if let Some(input) = input {
                input.set_value("");
            }
            match read {
                Err(()) => said.set(words::NOT_A_PICTURE.into()),
                Ok(None) => said.set(words::NO_CODE_IN_PHOTO.into()),
                Ok(Some(read)) => {
                    said.set(String::new());
                    // The page may have been left while the photo was read.
                    let _ = on_text.try_run(read.text);
                }
            }
        });
    };
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
                    <p>{words::no_camera(why)}</p>
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
        <p class="scan-said" role="status" aria-live="polite">{said}</p>
        <TypedCode on_text said />
        <label class="act photo-pick">
            {words::PHOTO}
            <input node_ref=photo class="unseen" type="file" accept="image/*" on:change=picked />
        </label>
    }
}

/// Where the label was read, drawn over the picture: in pixels of what the reader was given.
#[derive(Clone, PartialEq)]
pub struct Outline {
    pub view: String,
    pub points: String,
}

/// Draws a picture onto the canvas, no larger than the reader wants it.
fn draw(
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

/// What a photo holds; `Err` when it is no picture.
async fn read_photo(file: &web_sys::File, canvas: &HtmlCanvasElement, reader: &Reader) -> Result<Option<Read>, ()> {
    let window = web_sys::window().ok_or(())?;
    let asked = window.create_image_bitmap_with_blob(file).map_err(drop)?;
    let bitmap: ImageBitmap = JsFuture::from(asked).await.and_then(|b| b.dyn_into()).map_err(drop)?;
    let size = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    // The camera's last frame may still be in work.
    for _ in 0..50 {
        if reader.is_free() {
            break;
        }
        clock::pause(60).await;
    }
    reader.forget();
    let drawn = draw(canvas, size, |c, w, h| c.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, w, h));
    if !drawn {
        return Err(());
    }
    let mut look = None;
    let answered = js_sys::Promise::new(&mut |done, _| look = Some(done));
    let found: Rc<std::cell::RefCell<Option<Read>>> = Rc::default();
    let put = found.clone();
    reader.look(canvas, move |read| {
        *put.borrow_mut() = read;
        if let Some(done) = look {
            let _ = done.call0(&JsValue::NULL);
        }
    });
    let _ = JsFuture::from(answered).await;
    Ok(found.take())
}

/// The code under the square, typed: any case, with or without dashes.
#[component]
fn TypedCode(on_text: Callback<String>, said: RwSignal<String>) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let submit = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let text = typed.get_untracked();
        match text.parse::<labels::Code>() {
            Ok(code) => {
                typed.set(String::new());
                on_text.run(code.to_string());
            }
            // Someone may have pasted the whole link.
            Err(bad) => match labels::payload::read(&text) {
                labels::payload::Reading::Label(_) => {
                    typed.set(String::new());
                    on_text.run(text);
                }
                _ => said.set(words::sentence(&bad.to_string())),
            },
        }
    };
    view! {
        <form class="typed-code" novalidate on:submit=submit>
            <label class="field">
                <span>{words::TYPE_CODE}</span>
                <input type="text" class="code" autocapitalize="characters" autocomplete="off" spellcheck="false"
                    placeholder="7K3Q-X2M9-R" prop:value=typed on:input=move |ev| typed.set(event_target_value(&ev)) />
            </label>
            <button type="submit" class="act">{words::OPEN}</button>
        </form>
    }
}
