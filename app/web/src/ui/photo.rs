//! Photos: kept, shown whole, and shown as a small square beside a name. What is shown is fetched once it comes near the
//! screen, and its address is given back when it goes.

use super::files::ObjectUrl;
use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::words::{self, notes as said};
use async_lock::Mutex;
use book::views::{Face as Known, PhotoLine, photos_of};
use book::{Kind, Thing};
use js_sys::{Array, Uint8Array};
use leptos::html::Span;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::cell::Cell;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, CanvasRenderingContext2d, HtmlCanvasElement, ImageBitmap, IntersectionObserver, IntersectionObserverEntry,
    IntersectionObserverInit,
};

/// The longer side of a kept photo, pixels.
const LONGEST: f64 = 1600.0;
const QUALITY: f64 = 0.82;
/// The side of a small one, pixels: 96 of the page's own on a screen of double density.
const SMALL: f64 = 192.0;
/// Photos of a box or clutch on its page, the latest.
const SHOWN: usize = 24;

/// What a photo's record says of its picture.
pub struct Kept {
    pub sha256: String,
    /// Of salt and content.
    pub digest: String,
    pub width: u32,
    pub height: u32,
}

/// Scales the picture down, drops what the camera wrote beside it, and stores it.
pub async fn keep(barn: Barn, file: &Blob) -> Result<Kept, String> {
    let no_picture = || said::NOT_A_PICTURE.to_string();
    let bitmap = decoded(file).await.ok_or_else(no_picture)?;
    let (w, h) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let scale = (LONGEST / w.max(h)).min(1.0);
    let to = ((w * scale).round().max(1.0), (h * scale).round().max(1.0));
    let blob = redrawn(&bitmap, (0.0, 0.0, w, h), to).await.ok_or_else(no_picture)?;
    let buffer = JsFuture::from(blob.array_buffer()).await.map_err(|_| no_picture())?;
    let bytes = Uint8Array::new(&buffer).to_vec();
    let sha256 = journal::Hash::of(&bytes).to_string();
    let mut salted = clock::random::<16>().to_vec();
    salted.extend_from_slice(&bytes);
    let digest = journal::Hash::of(&salted).to_string();
    barn.put_photo(&sha256, &blob).await.map_err(|t| words::trouble::saving(&t))?;
    if let Some(square) = square(&bitmap).await {
        // Without it, it is made when it is first shown.
        let _ = barn.put_small_photo(&sha256, &square).await;
    }
    Ok(Kept { sha256, digest, width: to.0 as u32, height: to.1 as u32 })
}

async fn decoded(picture: &Blob) -> Option<ImageBitmap> {
    let asked = web_sys::window()?.create_image_bitmap_with_blob(picture).ok()?;
    JsFuture::from(asked).await.ok()?.dyn_into().ok()
}

/// The middle of it.
async fn square(bitmap: &ImageBitmap) -> Option<Blob> {
    let (w, h) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let side = w.min(h);
    redrawn(bitmap, ((w - side) / 2.0, (h - side) / 2.0, side, side), (SMALL, SMALL)).await
}

/// A part of a picture (left, top, width, height) as a JPEG of another size.
async fn redrawn(bitmap: &ImageBitmap, (x, y, w, h): (f64, f64, f64, f64), to: (f64, f64)) -> Option<Blob> {
    let canvas: HtmlCanvasElement = web_sys::window()?.document()?.create_element("canvas").ok()?.dyn_into().ok()?;
    canvas.set_width(to.0 as u32);
    canvas.set_height(to.1 as u32);
    let pen: CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
    pen.draw_image_with_image_bitmap_and_sw_and_sh_and_dx_and_dy_and_dw_and_dh(
        bitmap, x, y, w, h, 0.0, 0.0, to.0, to.1,
    )
    .ok()?;
    let promise = js_sys::Promise::new(&mut |done, _| {
        let given = Closure::once_into_js(move |blob: JsValue| {
            let _ = done.call1(&JsValue::NULL, &blob);
        });
        let _ = canvas.to_blob_with_type_and_encoder_options(given.unchecked_ref(), "image/jpeg", &QUALITY.into());
    });
    JsFuture::from(promise).await.ok()?.dyn_into().ok()
}

/// A picture made small; made once, of one that came with a bundle when it is first shown.
async fn small(barn: Barn, sha256: &str) -> Option<Blob> {
    // One after another: each whole picture takes megabytes while it is made small.
    static ONE: Mutex<()> = Mutex::new(());
    if let Some(kept) = barn.small_photo(sha256).await.ok().flatten() {
        return kept.dyn_into().ok();
    }
    let _one = ONE.lock().await;
    let made = square(&decoded(&whole(barn, sha256).await?).await?).await?;
    // Where there is no room for it, it is made anew next time.
    let _ = barn.put_small_photo(sha256, &made).await;
    Some(made)
}

async fn whole(barn: Barn, sha256: &str) -> Option<Blob> {
    barn.photo(sha256).await.ok().flatten()?.dyn_into().ok()
}

/// An observer, disconnected when the page goes.
struct Watch {
    observer: IntersectionObserver,
    /// What it calls, as long as it may.
    _heard: Closure<dyn FnMut(Array, IntersectionObserver)>,
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.observer.disconnect();
    }
}

/// Runs `then` once the element comes near the screen.
fn when_near(node: NodeRef<Span>, then: impl FnOnce() + 'static) {
    let watch = StoredValue::new_local(None::<Watch>);
    let then = std::rc::Rc::new(Cell::new(Some(then)));
    Effect::new(move |_| {
        let Some(element) = node.get() else { return };
        let then = then.clone();
        let heard = move |entries: Array, observer: IntersectionObserver| {
            let near = |entry: JsValue| entry.unchecked_into::<IntersectionObserverEntry>().is_intersecting();
            if entries.iter().any(near) {
                observer.disconnect();
                if let Some(then) = then.take() {
                    then();
                }
            }
        };
        let heard = Closure::<dyn FnMut(Array, IntersectionObserver)>::new(heard);
        let options = IntersectionObserverInit::new();
        options.set_root_margin("200px");
        let made = IntersectionObserver::new_with_options(heard.as_ref().unchecked_ref(), &options);
        if let Ok(observer) = made {
            observer.observe(&element);
            watch.set_value(Some(Watch { observer, _heard: heard }));
        }
    });
}

/// A picture on the page: nothing asked for yet, not here or not to be read, or its address.
type Shown = RwSignal<Option<Option<ObjectUrl>>, LocalStorage>;

fn image(shown: Shown, alt: String) -> impl IntoView {
    move || {
        let src = shown.with(|shown| shown.as_ref()?.as_ref().map(|url| url.as_str().to_owned()));
        src.map(|src| view! { <img src=src alt=alt.clone() on:error=move |_| shown.set(Some(None)) /> })
    }
}

/// What an animal is known by, as a small square; nothing at all where the picture is not on this device. `alt`: what a
/// screen reader says; nothing in a row that has the name beside it. `paper`: at once, since a sheet is printed whole.
#[component]
pub fn Face(face: Known, #[prop(optional, into)] alt: String, #[prop(optional)] paper: bool) -> impl IntoView {
    let (barn, node) = (barn(), NodeRef::<Span>::new());
    let shown: Shown = RwSignal::new_local(None);
    let fetch = move || {
        spawn_local(async move {
            let url = small(barn, &face.sha256).await.and_then(|blob| ObjectUrl::of(&blob).ok());
            // With the page gone it comes back, and its address with it.
            let _ = shown.try_set(Some(url));
        })
    };
    match paper {
        true => fetch(),
        false => when_near(node, fetch),
    }
    let none = move || shown.with(|shown| matches!(shown, Some(None)));
    view! { <span class="photo face" hidden=none node_ref=node>{image(shown, alt)}</span> }
}

/// A whole picture. `paper`: at once, and without a word where it is not here.
#[component]
pub fn Photo(line: PhotoLine, #[prop(into)] alt: String, #[prop(optional)] paper: bool) -> impl IntoView {
    let (barn, node) = (barn(), NodeRef::<Span>::new());
    let shown: Shown = RwSignal::new_local(None);
    let fetch = move || {
        spawn_local(async move {
            let url = whole(barn, &line.sha256).await.and_then(|blob| ObjectUrl::of(&blob).ok());
            let _ = shown.try_set(Some(url));
        })
    };
    match paper {
        true => fetch(),
        false => when_near(node, fetch),
    }
    let none = Signal::derive_local(move || shown.with(|shown| matches!(shown, Some(None))));
    // Its room is kept free, so that nothing below moves when it comes.
    let ratio = (line.width > 0 && line.height > 0).then(|| format!("{} / {}", line.width, line.height));
    view! {
        <span class="photo" hidden=move || none.get() style:aspect-ratio=ratio node_ref=node>{image(shown, alt)}</span>
        {move || (none.get() && !paper).then(|| view! { <p class="aside">{said::PHOTO_ELSEWHERE}</p> })}
    }
}

/// A photo's day, what is said of it, and the way to put both right.
pub fn caption(line: &PhotoLine, when: &str) -> AnyView {
    let label = words::animals::correct_of(said::PHOTO, when);
    let page = Page::Correct(Kind::Photo.word().into(), line.id.to_string());
    view! {
        <figcaption class="aside spread"><span>{when.to_owned()}</span>
            <a class="reach" aria-label=label href=page.href()>{words::animals::CORRECT}</a></figcaption>
        {line.note.clone().map(|note| view! { <p>{note}</p> })}
    }
    .into_any()
}

/// The photos of a thing, newest first.
#[component]
pub fn Photos(about: Thing) -> impl IntoView {
    let today = clock::today();
    let (name, photos) = barn().peek(|book| (book.short_name(&about), photos_of(book, &about)));
    view! {
        <div class="photos">
            {photos.into_iter().take(SHOWN).map(|line| {
                let when = line.when.map(|when| words::dates::when(when, today)).unwrap_or_default();
                let (alt, caption) = (said::photo_of(&name, &when), caption(&line, &when));
                view! { <figure><Photo line alt />{caption}</figure> }
            }).collect_view()}
        </div>
    }
}
