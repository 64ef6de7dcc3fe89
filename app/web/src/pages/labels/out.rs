//! Getting labels out of the page: files to share or save, or the browser's own print.

use super::draw;
use crate::ui::files::share_all;
pub use crate::ui::files::{ObjectUrl, give};
use js_sys::{Array, Object, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// Offers several files to the share sheet, else saves them as one archive.
pub async fn give_all(files: &[(String, Vec<u8>)], archive: &str, mime: &str) -> Result<(), JsValue> {
    match files {
        [(name, bytes)] => give(bytes, name, mime).await,
        _ if share_all(files, mime).await => Ok(()),
        _ => give(&draw::packed(files), archive, "application/zip").await,
    }
}

/// The browser's print of pages of one size. They stand beside the app, which the print style leaves out; their size
/// goes into a sheet of its own, since the page's policy allows no inline styles.
pub async fn print(pages: &[String], width_mm: f64, height_mm: f64) -> Result<(), JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let document = window.document().ok_or(JsValue::NULL)?;
    let body = document.body().ok_or(JsValue::NULL)?;
    let host = document.create_element("div")?;
    host.set_class_name("paper-pages");
    let mut urls = Vec::new();
    for page in pages {
        let url = ObjectUrl::of_bytes(page.as_bytes(), "image/svg+xml")?;
        let picture = document.create_element("img")?;
        picture.set_attribute("src", url.as_str())?;
        picture.set_attribute("alt", "")?;
        host.append_child(&picture)?;
        urls.push(url);
    }
    body.append_child(&host)?;
    let pictures = host.children();
    for picture in (0..pictures.length()).filter_map(|i| pictures.item(i)) {
        let decode: js_sys::Function = Reflect::get(&picture, &"decode".into())?.dyn_into()?;
        JsFuture::from(decode.call0(&picture)?.dyn_into::<js_sys::Promise>()?).await?;
    }
    let sheet = Reflect::construct(
        &Reflect::get(&window, &"CSSStyleSheet".into())?.dyn_into::<js_sys::Function>()?,
        &Array::new(),
    )?;
    let rule = format!(
        "@page {{ size: {width_mm}mm {height_mm}mm; margin: 0; @bottom-left {{ content: none }} @bottom-right {{ content: none }} }} \
         .paper-pages img {{ width: {width_mm}mm; height: {height_mm}mm }}"
    );
    let replace: js_sys::Function = Reflect::get(&sheet, &"replaceSync".into())?.dyn_into()?;
    replace.call1(&sheet, &rule.into())?;
    let document: JsValue = document.into();
    let before = Reflect::get(&document, &"adoptedStyleSheets".into())?;
    Reflect::set(&document, &"adoptedStyleSheets".into(), &Array::of1(&sheet))?;
    // Phones return from print() while their dialog is still drawing the page.
    let put_back = Closure::once_into_js(move || {
        let _ = Reflect::set(&document, &"adoptedStyleSheets".into(), &before);
        host.remove();
        drop(urls);
    });
    let once = Object::new();
    Reflect::set(&once, &"once".into(), &true.into())?;
    let listen: js_sys::Function = Reflect::get(&window, &"addEventListener".into())?.dyn_into()?;
    listen.call3(&window, &"afterprint".into(), &put_back, &once)?;
    window.print()
}
