//! Getting a file out of the page: to the share sheet, or saved.

use js_sys::{Array, Object, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, FilePropertyBag, HtmlAnchorElement, Url};

/// Offers a file to the phone's share sheet where it takes such files, else saves it.
pub async fn give(bytes: &[u8], name: &str, mime: &str) -> Result<(), JsValue> {
    give_parts(&Array::of1(&Uint8Array::from(bytes)), name, mime).await
}

/// The same for bytes that are not this program's own: a list of buffers.
pub async fn give_parts(parts: &Array, name: &str, mime: &str) -> Result<(), JsValue> {
    let file = file(parts, name, mime)?;
    if share(&Array::of1(&file)).await {
        return Ok(());
    }
    save(ObjectUrl::of(&file)?, name)
}

/// Offers several files of one kind together; `false` where the browser does not take them.
pub async fn share_all(files: &[(String, Vec<u8>)], mime: &str) -> bool {
    let list = Array::new();
    for (name, bytes) in files {
        if let Ok(file) = file(&Array::of1(&Uint8Array::from(bytes.as_slice())), name, mime) {
            list.push(&file.into());
        }
    }
    share(&list).await
}

fn file(parts: &Array, name: &str, mime: &str) -> Result<File, JsValue> {
    let options = FilePropertyBag::new();
    options.set_type(mime);
    File::new_with_buffer_source_sequence_and_options(parts, name, &options)
}

/// Whether they were taken, or the keeper turned it down or dismissed it: nothing more to do either way. Not allowed:
/// save instead.
async fn share(files: &Array) -> bool {
    let Some(shared) = asked(files) else { return false };
    match JsFuture::from(shared).await {
        Ok(_) => true,
        Err(error) => {
            let name = Reflect::get(&error, &"name".into()).ok().and_then(|n| n.as_string());
            name.as_deref() == Some("AbortError")
        }
    }
}

fn asked(files: &Array) -> Option<js_sys::Promise> {
    let navigator: JsValue = web_sys::window()?.navigator().into();
    let function = |name: &str| Reflect::get(&navigator, &name.into()).ok()?.dyn_into::<js_sys::Function>().ok();
    // A laptop's share dialog is a detour from the file it is about to print.
    let coarse = web_sys::window()?.match_media("(pointer: coarse)").ok()??.matches();
    let data = Object::new();
    Reflect::set(&data, &"files".into(), files).ok()?;
    let can = coarse && function("canShare")?.call1(&navigator, &data).ok()?.is_truthy();
    if !can {
        return None;
    }
    function("share")?.call1(&navigator, &data).ok()?.dyn_into().ok()
}

fn save(url: ObjectUrl, name: &str) -> Result<(), JsValue> {
    let document = web_sys::window().and_then(|w| w.document()).ok_or(JsValue::NULL)?;
    let link: HtmlAnchorElement = document.create_element("a")?.dyn_into()?;
    link.set_href(url.as_str());
    link.set_download(name);
    link.click();
    // Revoked only after the browser has begun reading it.
    let revoke = Closure::once_into_js(move || drop(url));
    if let Some(window) = web_sys::window() {
        let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(revoke.unchecked_ref(), 60_000);
    }
    Ok(())
}

/// An address of something in memory, given back when it is let go of: else the browser keeps that for as long as the
/// app is open.
pub struct ObjectUrl(String);

impl ObjectUrl {
    pub fn of(blob: &Blob) -> Result<Self, JsValue> {
        Url::create_object_url_with_blob(blob).map(ObjectUrl)
    }

    pub fn of_bytes(bytes: &[u8], mime: &str) -> Result<Self, JsValue> {
        let options = BlobPropertyBag::new();
        options.set_type(mime);
        Self::of(&Blob::new_with_u8_array_sequence_and_options(&Array::of1(&Uint8Array::from(bytes)), &options)?)
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Drop for ObjectUrl {
    fn drop(&mut self) {
        let _ = Url::revoke_object_url(&self.0);
    }
}
