//! A chart as a file: the drawing as it looks here, with its colours, as SVG or PNG.

use super::files::give;
use crate::store::barn;
use crate::words;
use js_sys::{Array, Function, Promise, Reflect, Uint8Array};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{CanvasRenderingContext2d, Element, HtmlCanvasElement};

/// What of an element's look goes with it.
const LOOK: [&str; 8] =
    ["fill", "fill-opacity", "opacity", "stroke", "stroke-width", "stroke-dasharray", "text-anchor", "font-size"];
/// Pixels of a PNG to each unit of the drawing.
const SCALE: f64 = 3.0;

/// Buttons that save the drawing with this id.
pub fn save_buttons(id: &'static str, name: &'static str) -> AnyView {
    let barn = barn();
    let save = move |png: bool| {
        spawn_local(async move {
            let given = match drawing(id) {
                Ok((svg, _, _)) if !png => give(svg.as_bytes(), &format!("{name}.svg"), "image/svg+xml").await,
                Ok((svg, wide, tall)) => match bitmap(&svg, wide, tall).await {
                    Ok(bytes) => give(&bytes, &format!("{name}.png"), "image/png").await,
                    Err(why) => Err(why),
                },
                Err(why) => Err(why),
            };
            if given.is_err() {
                barn.amiss(words::season::NOT_SAVED.to_owned());
            }
        });
    };
    view! {
        <div class="gap no-print">
            <button type="button" class="act small" on:click=move |_| save(false)>{words::season::SAVE_SVG}</button>
            <button type="button" class="act small" on:click=move |_| save(true)>{words::season::SAVE_PNG}</button>
        </div>
    }
    .into_any()
}

/// The drawing with its look written into it, and its size.
fn drawing(id: &str) -> Result<(String, f64, f64), JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let document = window.document().ok_or(JsValue::NULL)?;
    let svg = document.get_element_by_id(id).ok_or(JsValue::NULL)?;
    let copy: Element = svg.clone_node_with_deep(true)?.dyn_into()?;
    let look: Function = Reflect::get(&window, &"getComputedStyle".into())?.dyn_into()?;
    let (from, to) = (svg.query_selector_all("*")?, copy.query_selector_all("*")?);
    for i in 0..from.length() {
        let (Some(from), Some(to)) = (from.item(i), to.item(i)) else { break };
        let style = look.call1(&window, &from)?;
        let read: Function = Reflect::get(&style, &"getPropertyValue".into())?.dyn_into()?;
        let to: Element = to.dyn_into()?;
        for name in LOOK {
            if let Some(value) = read.call1(&style, &name.into())?.as_string().filter(|v| !v.is_empty()) {
                to.set_attribute(name, &value)?;
            }
        }
    }
    let sizes: Vec<f64> =
        svg.get_attribute("viewBox").unwrap_or_default().split(' ').filter_map(|n| n.parse().ok()).collect();
    let [_, _, wide, tall] = sizes[..] else { return Err(JsValue::NULL) };
    let ground = look.call1(&window, &document.body().ok_or(JsValue::NULL)?.into())?;
    let read: Function = Reflect::get(&ground, &"getPropertyValue".into())?.dyn_into()?;
    let card = read.call1(&ground, &"--card".into())?.as_string().unwrap_or_default();
    let back = document.create_element_ns(Some("http://www.w3.org/2000/svg"), "rect")?;
    for (name, value) in [("width", "100%"), ("height", "100%"), ("fill", card.trim())] {
        back.set_attribute(name, value)?;
    }
    copy.prepend_with_node_1(&back)?;
    for (name, value) in [
        ("width", wide.to_string()),
        ("height", tall.to_string()),
        ("font-family", "sans-serif".to_owned()),
        ("xmlns", "http://www.w3.org/2000/svg".to_owned()),
    ] {
        copy.set_attribute(name, &value)?;
    }
    Ok((copy.outer_html(), wide, tall))
}

async fn bitmap(svg: &str, wide: f64, tall: f64) -> Result<Vec<u8>, JsValue> {
    let document = web_sys::window().and_then(|w| w.document()).ok_or(JsValue::NULL)?;
    let image = document.create_element("img")?;
    let url = format!("data:image/svg+xml,{}", String::from(js_sys::encode_uri_component(svg)));
    image.set_attribute("src", &url)?;
    let decode: Function = Reflect::get(&image, &"decode".into())?.dyn_into()?;
    JsFuture::from(decode.call0(&image)?.dyn_into::<Promise>()?).await?;
    let canvas: HtmlCanvasElement = document.create_element("canvas")?.dyn_into()?;
    canvas.set_width((wide * SCALE) as u32);
    canvas.set_height((tall * SCALE) as u32);
    let context: CanvasRenderingContext2d = canvas.get_context("2d")?.ok_or(JsValue::NULL)?.dyn_into()?;
    let draw: Function = Reflect::get(&context, &"drawImage".into())?.dyn_into()?;
    let place = Array::of5(&image, &0.into(), &0.into(), &(wide * SCALE).into(), &(tall * SCALE).into());
    draw.apply(&context, &place)?;
    let url = canvas.to_data_url()?;
    let text = url.split_once(',').map(|(_, base64)| base64.to_owned()).ok_or(JsValue::NULL)?;
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let binary = window.atob(&text)?;
    Ok(Uint8Array::from(binary.chars().map(|c| c as u8).collect::<Vec<u8>>().as_slice()).to_vec())
}
