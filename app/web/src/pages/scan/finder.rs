//! The camera, and beside it always a photo and the typed code.

use super::lens::{Eye, Lens, draw};
use super::reader::{Read, Reader};
use crate::clock;
use crate::words::scan as words;
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{HtmlCanvasElement, ImageBitmap};

/// A label read again within this time is the same look at it, ms.
const SAME_LOOK_MS: f64 = 2000.0;

/// The camera; `on_text` is told each label once a look, `said` is where the page says what it makes of it.
#[component]
pub fn Finder(on_text: Callback<String>, said: RwSignal<String>) -> impl IntoView {
    let eye = Eye::new(false);
    let last = StoredValue::new((String::new(), 0.0_f64));
    let heard = Callback::new(move |read: Read| {
        let now = js_sys::Date::now();
        let Some((text, at)) = last.try_get_value() else { return };
        last.set_value((read.text.clone(), now));
        if text != read.text || now - at > SAME_LOOK_MS {
            on_text.run(read.text);
        }
    });
    let photo = NodeRef::<Input>::new();
    let picked = move |_| {
        let input = photo.get_untracked();
        let file = input.as_ref().and_then(|i| i.files()).and_then(|f| f.get(0));
        let (Some(file), Some(canvas), Some(reader)) = (file, eye.canvas.get_untracked(), eye.reader.get_value())
        else {
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
    view! {
        <Lens eye heard no_camera=words::no_camera />
        <p class="scan-said" role="status" aria-live="polite">{said}</p>
        <TypedCode on_text said />
        <label class="act photo-pick">
            {words::PHOTO}
            <input node_ref=photo class="unseen" type="file" accept="image/*" on:change=picked />
        </label>
    }
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
