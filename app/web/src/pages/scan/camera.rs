//! The phone's camera: one stream a visit, stopped when the page is left or hidden.

use js_sys::{Array, Object, Reflect};
use leptos::prelude::{Callable, Callback};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{HtmlVideoElement, MediaDeviceInfo, MediaStream, MediaStreamConstraints, MediaStreamTrack};

/// Why there is no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoCamera {
    /// The device or this address has none (plain http gives none).
    Absent,
    Refused,
    /// Another app holds it, or it does not answer.
    Busy,
    /// It was there, and the phone took it away.
    Lost,
}

fn object(pairs: &[(&str, JsValue)]) -> JsValue {
    let object = Object::new();
    for (name, value) in pairs {
        let _ = Reflect::set(&object, &(*name).into(), value);
    }
    object.into()
}

/// Opens the camera at the back, or the lens chosen before, into `video`; `lost` is told when it is taken away.
pub async fn open(video: &HtmlVideoElement, lens: Option<&str>, lost: Callback<()>) -> Result<MediaStream, NoCamera> {
    let devices = web_sys::window()
        .and_then(|w| w.navigator().media_devices().ok())
        .filter(|d| !JsValue::from(d).is_undefined())
        .ok_or(NoCamera::Absent)?;
    let ideal = |value: JsValue| object(&[("ideal", value)]);
    let lens = match lens {
        Some(id) => ("deviceId", ideal(id.into())),
        None => ("facingMode", ideal("environment".into())),
    };
    let constraints = MediaStreamConstraints::new();
    constraints.set_video(&object(&[lens, ("width", ideal(1280.into())), ("height", ideal(720.into()))]));
    let asked = devices.get_user_media_with_constraints(&constraints).map_err(|_| NoCamera::Absent)?;
    let stream: MediaStream =
        JsFuture::from(asked).await.map_err(|e| why(&e))?.dyn_into().map_err(|_| NoCamera::Busy)?;
    let taken = Rc::new(Cell::new(false));
    if let Some(track) = video_track(&stream) {
        let taken = taken.clone();
        // Not told when the page itself stops it.
        let ended = Closure::once_into_js(move || {
            taken.set(true);
            let _ = lost.try_run(());
        });
        track.set_onended(Some(ended.unchecked_ref()));
    }
    video.set_src_object(Some(&stream));
    play(video).await;
    // Taken away before its first picture: what was said of it stands.
    if taken.get() { Err(NoCamera::Lost) } else { Ok(stream) }
}

/// Starts the picture. Rejected when the page is left at once, or put aside by the browser to save power: whoever finds it
/// standing asks again.
pub async fn play(video: &HtmlVideoElement) {
    if let Ok(playing) = video.play() {
        let _ = JsFuture::from(playing).await;
    }
}

fn why(error: &JsValue) -> NoCamera {
    let name = Reflect::get(error, &"name".into()).ok().and_then(|n| n.as_string()).unwrap_or_default();
    match name.as_str() {
        "NotAllowedError" | "SecurityError" => NoCamera::Refused,
        "NotFoundError" | "OverconstrainedError" | "TypeError" => NoCamera::Absent,
        _ => NoCamera::Busy,
    }
}

pub fn stop(stream: &MediaStream) {
    for track in stream.get_tracks().iter().filter_map(|t| t.dyn_into::<MediaStreamTrack>().ok()) {
        track.set_onended(None);
        track.stop();
    }
}

/// The cameras there are, by their ids. Empty until one was allowed.
pub async fn lenses() -> Vec<String> {
    let Some(devices) = web_sys::window().and_then(|w| w.navigator().media_devices().ok()) else { return Vec::new() };
    let Ok(asked) = devices.enumerate_devices() else { return Vec::new() };
    let Ok(list) = JsFuture::from(asked).await else { return Vec::new() };
    let list = Array::from(&list);
    let devices = list.iter().filter_map(|device| device.dyn_into::<MediaDeviceInfo>().ok());
    let cameras = devices.filter(|device| device.kind() == web_sys::MediaDeviceKind::Videoinput);
    cameras.map(|device| device.device_id()).filter(|id| !id.is_empty()).collect()
}

fn video_track(stream: &MediaStream) -> Option<MediaStreamTrack> {
    stream.get_video_tracks().get(0).dyn_into().ok()
}

/// Whether the camera has a lamp that can be switched.
pub fn has_torch(stream: &MediaStream) -> bool {
    let Some(track) = video_track(stream) else { return false };
    let ask = Reflect::get(&track, &"getCapabilities".into()).ok().and_then(|f| f.dyn_into::<js_sys::Function>().ok());
    let able = ask.and_then(|f| f.call0(&track).ok());
    able.and_then(|c| Reflect::get(&c, &"torch".into()).ok()).is_some_and(|t| t.is_truthy())
}

pub async fn torch(stream: &MediaStream, on: bool) {
    let Some(track) = video_track(stream) else { return };
    let wish = object(&[("advanced", Array::of1(&object(&[("torch", on.into())])).into())]);
    if let Ok(asked) = track.apply_constraints_with_constraints(wish.unchecked_ref()) {
        // A lamp that does not light is seen by who holds the phone.
        let _ = JsFuture::from(asked).await;
    }
}
