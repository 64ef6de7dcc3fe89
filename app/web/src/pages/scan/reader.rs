//! The reader of labels, and of what another device's screen shows, in its worker: one frame in flight, buffers reused.

use super::lens::Outline;
use js_sys::{Array, ArrayBuffer, Float32Array, Object, Reflect, Uint8Array, Uint8ClampedArray};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{HtmlCanvasElement, MessageEvent, Worker, WorkerOptions, WorkerType};

/// The worker's start file, beside the page.
const WORKER: &str = "./scan-worker_loader.js";

pub struct Reader {
    screen: bool,
    worker: Worker,
    ready: Rc<Cell<bool>>,
    busy: Rc<Cell<bool>>,
    waiting: Rc<RefCell<Option<Heard>>>,
    _message: Closure<dyn FnMut(MessageEvent)>,
}

type Heard = Box<dyn FnOnce(Option<Read>)>;

/// What was read, and where in the picture it was.
pub struct Read {
    /// Of a label.
    pub text: String,
    /// Of a screen.
    pub bytes: Vec<u8>,
    pub outline: Option<Outline>,
}

fn field(object: &JsValue, name: &str) -> JsValue {
    Reflect::get(object, &name.into()).unwrap_or(JsValue::UNDEFINED)
}

impl Reader {
    /// Starts the worker, for labels or for what another device's screen shows; `None` where the browser has none.
    pub fn start(screen: bool) -> Option<Self> {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(WORKER, &options).ok()?;
        let ready = Rc::new(Cell::new(false));
        let busy = Rc::new(Cell::new(false));
        let waiting: Rc<RefCell<Option<Heard>>> = Rc::default();
        let message = Closure::new({
            let (ready, busy, waiting) = (ready.clone(), busy.clone(), waiting.clone());
            move |ev: MessageEvent| {
                let data = ev.data();
                if field(&data, "ready").is_truthy() {
                    ready.set(true);
                    return;
                }
                busy.set(false);
                if let Some(heard) = waiting.borrow_mut().take() {
                    heard(read(&data));
                }
            }
        });
        worker.set_onmessage(Some(message.as_ref().unchecked_ref()));
        Some(Self { screen, worker, ready, busy, waiting, _message: message })
    }

    pub fn is_free(&self) -> bool {
        self.ready.get() && !self.busy.get()
    }

    /// Sends what the canvas shows; `heard` is told what was read, or that nothing was. Skipped while busy.
    pub fn look(&self, canvas: &HtmlCanvasElement, heard: impl FnOnce(Option<Read>) + 'static) {
        if !self.is_free() {
            return;
        }
        if let Some((message, buffer)) = picture(canvas, self.screen) {
            *self.waiting.borrow_mut() = Some(Box::new(heard));
            self.busy.set(self.worker.post_message_with_transfer(&message, &Array::of1(&buffer)).is_ok());
        }
    }

    /// What is sent next has nothing to do with what came before.
    pub fn forget(&self) {
        let message = Object::new();
        let set = Reflect::set(&message, &"forget".into(), &true.into());
        if set.is_ok() {
            let _ = self.worker.post_message(&message);
        }
    }
}

fn read(data: &JsValue) -> Option<Read> {
    let text = field(data, "text").as_string();
    let bytes = field(data, "bytes").dyn_into::<Uint8Array>().ok().map(|bytes| bytes.to_vec());
    let nothing = text.is_none() && bytes.is_none();
    let read = || Read { text: text.unwrap_or_default(), bytes: bytes.unwrap_or_default(), outline: outline(data) };
    (!nothing).then(read)
}

/// The code's corners, with the picture's size, which comes back with them.
fn outline(data: &JsValue) -> Option<Outline> {
    let corners: Float32Array = field(data, "corners").dyn_into().ok()?;
    let id = field(data, "id").as_string()?;
    let points = corners.to_vec().chunks(2).map(|p| format!("{:.0},{:.0}", p[0], p[1])).collect::<Vec<_>>().join(" ");
    Some(Outline { view: id, points })
}

impl Drop for Reader {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

fn picture(canvas: &HtmlCanvasElement, screen: bool) -> Option<(Object, ArrayBuffer)> {
    let (width, height) = (canvas.width(), canvas.height());
    let context: web_sys::CanvasRenderingContext2d = canvas.get_context("2d").ok()??.dyn_into().ok()?;
    let data = context.get_image_data(0.0, 0.0, f64::from(width), f64::from(height)).ok()?;
    let pixels: Uint8ClampedArray = field(&data, "data").dyn_into().ok()?;
    let buffer = pixels.buffer();
    let message = Object::new();
    for (name, value) in [
        ("id", format!("0 0 {width} {height}").into()),
        ("width", width.into()),
        ("height", height.into()),
        ("screen", screen.into()),
        ("buffer", JsValue::from(&buffer)),
    ] {
        Reflect::set(&message, &name.into(), &value).ok()?;
    }
    Some((message, buffer))
}
