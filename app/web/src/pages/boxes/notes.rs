//! A note about a thing, with a photo if wanted; and the photos of a thing.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::day::{Seen, WhenFold};
use crate::words::{self, notes as said};
use book::acts::{Noted, PhotoTaken};
use book::{Kind, Thing};
use js_sys::Uint8Array;
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, HtmlCanvasElement, ImageBitmap, Url};

/// The longer side of a kept photo, pixels.
const LONGEST: f64 = 1600.0;
const QUALITY: f64 = 0.82;

#[component]
pub fn NoteForm(
    about: Thing,
    /// Called when saved; without it the page of the thing is gone to.
    #[prop(optional)]
    done: Option<Callback<()>>,
) -> impl IntoView {
    let barn = barn();
    let text = RwSignal::new(String::new());
    let picked = NodeRef::<Input>::new();
    let photo_name = RwSignal::new(String::new());
    let seen = Seen::now();
    let back = Page::of(&about).unwrap_or(Page::Daybook);
    let save = move |_| {
        let file = picked.get_untracked().and_then(|i| i.files()).and_then(|f| f.get(0));
        let note = text.get_untracked().trim().to_owned();
        if note.is_empty() && file.is_none() {
            return barn.amiss(said::NOTHING_YET.into());
        }
        let Some(when) = seen.get() else { return };
        let (about, back) = (about.clone(), back.clone());
        let leave = move || match done {
            // The page may have gone meanwhile.
            Some(done) => {
                let _ = done.try_run(());
            }
            None => back.replace(),
        };
        spawn_local(async move {
            if let Some(file) = file {
                match keep_photo(barn, &file).await {
                    Ok((sha256, digest, width, height)) => {
                        let act = PhotoTaken { about: about.clone(), when, sha256, digest, width, height };
                        let leave = leave.clone();
                        barn.save(act, said::PHOTO_SAVED, move |_| leave());
                    }
                    Err(why) => return barn.amiss(why),
                }
            }
            if !note.is_empty() {
                barn.save(Noted { about, when, text: note }, said::SAVED, move |_| leave());
            }
        });
    };
    view! {
        <label class="field"><span>{said::TEXT}</span>
            <textarea rows="4" maxlength="4000" prop:value=text on:input=move |ev| text.set(event_target_value(&ev))></textarea>
        </label>
        <label class="act photo-pick">
            {move || if photo_name.get().is_empty() { said::ADD_PHOTO.to_string() } else { photo_name.get() }}
            <input node_ref=picked class="unseen" type="file" accept="image/*" on:change=move |_| {
                let name = picked.get_untracked().and_then(|i| i.files()).and_then(|f| f.get(0)).map(|f| f.name());
                photo_name.set(name.unwrap_or_default());
            } />
        </label>
        <WhenFold seen />
        <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
    }
}

/// Scales the picture down, drops what the camera wrote beside it, and stores it. Its SHA-256, the digest of salt
/// and content, width, height.
async fn keep_photo(barn: Barn, file: &web_sys::File) -> Result<(String, String, u32, u32), String> {
    let not_a_picture = |_: JsValue| said::NOT_A_PICTURE.to_string();
    let window = web_sys::window().ok_or_else(|| said::NOT_A_PICTURE.to_string())?;
    let asked = window.create_image_bitmap_with_blob(file).map_err(not_a_picture)?;
    let bitmap: ImageBitmap = JsFuture::from(asked).await.map_err(not_a_picture)?.dyn_into().map_err(not_a_picture)?;
    let (w, h) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let scale = (LONGEST / w.max(h)).min(1.0);
    let (w, h) = ((w * scale).round().max(1.0), (h * scale).round().max(1.0));
    let canvas = canvas(w as u32, h as u32).ok_or_else(|| said::NOT_A_PICTURE.to_string())?;
    let context = canvas.get_context("2d").map_err(not_a_picture)?.ok_or_else(|| said::NOT_A_PICTURE.to_string())?;
    let context: web_sys::CanvasRenderingContext2d = context.dyn_into().map_err(|_| said::NOT_A_PICTURE.to_string())?;
    context.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, w, h).map_err(not_a_picture)?;
    let blob = jpeg(&canvas).await.ok_or_else(|| said::NOT_A_PICTURE.to_string())?;
    let buffer = JsFuture::from(blob.array_buffer()).await.map_err(not_a_picture)?;
    let bytes = Uint8Array::new(&buffer).to_vec();
    let sha256 = journal::Hash::of(&bytes).to_string();
    let mut salted = clock::random::<16>().to_vec();
    salted.extend_from_slice(&bytes);
    let digest = journal::Hash::of(&salted).to_string();
    let stored = barn.put_photo(&sha256, &blob).await;
    stored.map_err(|t| words::trouble::saving(&t))?;
    Ok((sha256, digest, w as u32, h as u32))
}

fn canvas(width: u32, height: u32) -> Option<HtmlCanvasElement> {
    let canvas: HtmlCanvasElement = web_sys::window()?.document()?.create_element("canvas").ok()?.dyn_into().ok()?;
    canvas.set_width(width);
    canvas.set_height(height);
    Some(canvas)
}

async fn jpeg(canvas: &HtmlCanvasElement) -> Option<Blob> {
    let promise = js_sys::Promise::new(&mut |done, _| {
        let given = Closure::once_into_js(move |blob: JsValue| {
            let _ = done.call1(&JsValue::NULL, &blob);
        });
        let _ = canvas.to_blob_with_type_and_encoder_options(given.unchecked_ref(), "image/jpeg", &QUALITY.into());
    });
    JsFuture::from(promise).await.ok()?.dyn_into().ok()
}

/// The photos of a thing, newest first.
#[component]
pub fn Photos(about: Thing) -> impl IntoView {
    let barn = barn();
    let today = clock::today();
    let photos = barn.peek(|book| {
        let photos = book.photos(&about).filter_map(|photo| {
            let when = photo.when.map(|when| words::dates::when(when, today)).unwrap_or_default();
            Some((photo.sha256.clone()?, when, photo.id.to_string()))
        });
        photos.take(24).collect::<Vec<_>>()
    });
    view! {
        <div class="photos">
            {photos.into_iter().map(|(sha256, when, id)| {
                let label = words::animals::correct_of(said::PHOTO, &when);
                let page = Page::Correct(Kind::Photo.word().into(), id);
                view! {
                    <figure>
                        <OnePhoto sha256 />
                        <figcaption class="aside spread"><span>{when}</span>
                            <a class="reach" aria-label=label href=page.href()>{words::animals::CORRECT}</a></figcaption>
                    </figure>
                }
            }).collect_view()}
        </div>
    }
}

#[component]
fn OnePhoto(sha256: String) -> impl IntoView {
    let barn = barn();
    let url = RwSignal::new(None::<Result<String, ()>>);
    spawn_local(async move {
        let blob = barn.photo(&sha256).await.ok().flatten().and_then(|b| b.dyn_into::<Blob>().ok());
        let made = blob.and_then(|b| Url::create_object_url_with_blob(&b).ok()).ok_or(());
        url.try_set(Some(made));
    });
    on_cleanup(move || {
        if let Some(Some(Ok(url))) = url.try_get_untracked() {
            let _ = Url::revoke_object_url(&url);
        }
    });
    move || match url.get() {
        None => ().into_any(),
        Some(Ok(url)) => view! { <img src=url alt=said::PHOTO loading="lazy" /> }.into_any(),
        Some(Err(())) => view! { <p class="aside">{said::PHOTO_ELSEWHERE}</p> }.into_any(),
    }
}
