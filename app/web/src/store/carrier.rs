//! The workers that make, open, lock and unlock bundles: bytes in, bytes out.

use js_sys::{Array, ArrayBuffer, Function, Object, Promise, Reflect};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

/// The programs' start files, beside the page.
const CARRY: &str = "./carry-worker_loader.js";
const LOCK: &str = "./lock-worker_loader.js";

/// What is sent to the worker.
#[derive(Default)]
pub struct Task {
    /// `make`, `answer`, `look`, `sheets` or `table`; the others are done by the program that locks (`lock/src/worker.rs`).
    pub op: &'static str,
    pub ask: String,
    pub lines: String,
    pub file: Option<ArrayBuffer>,
    /// Hash and ArrayBuffer of each.
    pub photos: Vec<(String, JsValue)>,
    pub texts: Vec<String>,
}

/// What comes back.
pub struct Answer {
    pub ask: String,
    pub lines: String,
    pub file: Option<ArrayBuffer>,
    pub photos: Vec<(String, JsValue)>,
    /// None for one that does not open.
    pub texts: Vec<Option<String>>,
}

/// Why there is no answer.
pub enum Failed {
    /// What the worker refused, as a sentence.
    Said(String),
    /// The bundle is of another book; the sentence says so.
    OtherBook(String),
    /// The bundle is locked with a passphrase.
    Locked(String),
    /// The keeper cancelled it.
    Cancelled,
    /// The worker could not start, or ended: too little memory, or a file that never was fetched.
    Ended,
}

/// What settles the promise of an answer.
type Settle = Rc<RefCell<Option<(Function, Function)>>>;

/// One worker for one task. Dropped, it ends at once, whatever it is doing.
pub struct Carrier {
    worker: Worker,
    answer: Promise,
    settle: Settle,
    _listeners: [Closure<dyn FnMut(MessageEvent)>; 2],
}

impl Drop for Carrier {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

fn field(object: &JsValue, name: &str) -> JsValue {
    Reflect::get(object, &name.into()).unwrap_or(JsValue::UNDEFINED)
}

/// The answer to a task that nobody cancels.
pub async fn ask(task: Task) -> Result<Answer, Failed> {
    Carrier::start(task, |_| {}).ok_or(Failed::Ended)?.answer().await
}

impl Carrier {
    /// Starts a worker and gives it the task; `told` hears the share that is done, in percent.
    pub fn start(task: Task, told: impl Fn(u32) + 'static) -> Option<Self> {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let program = if matches!(task.op, "make" | "answer" | "look" | "sheets" | "table") { CARRY } else { LOCK };
        let worker = Worker::new_with_options(program, &options).ok()?;
        let settle = Settle::default();
        let answer = {
            let settle = settle.clone();
            Promise::new(&mut move |yes, no| *settle.borrow_mut() = Some((yes, no)))
        };
        let message = message(&task);
        let heard = {
            let (settle, worker) = (settle.clone(), worker.clone());
            Closure::new(move |event: MessageEvent| {
                let data = event.data();
                if field(&data, "ready").is_truthy() {
                    // Posting fails only when the worker is gone, which the other listener hears.
                    let _ = worker.post_message(&message);
                } else if let Some(done) = field(&data, "done").as_f64() {
                    let total = field(&data, "total").as_f64().unwrap_or(1.0).max(1.0);
                    told((100.0 * done / total) as u32);
                } else if let Some((yes, _)) = settle.borrow_mut().take() {
                    let _ = yes.call1(&JsValue::NULL, &data);
                }
            })
        };
        let failed = {
            let settle = settle.clone();
            Closure::new(move |_: MessageEvent| {
                if let Some((_, no)) = settle.borrow_mut().take() {
                    let _ = no.call0(&JsValue::NULL);
                }
            })
        };
        worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        worker.set_onerror(Some(failed.as_ref().unchecked_ref()));
        Some(Self { worker, answer, settle, _listeners: [heard, failed] })
    }

    /// Ends it at once, whatever it is doing; whoever waits for the answer is told.
    pub fn cancel(&self) {
        self.worker.terminate();
        if let Some((yes, _)) = self.settle.borrow_mut().take() {
            let _ = yes.call0(&JsValue::NULL);
        }
    }

    /// Waits for the answer.
    pub async fn answer(&self) -> Result<Answer, Failed> {
        let data = JsFuture::from(self.answer.clone()).await.map_err(|_| Failed::Ended)?;
        if data.is_undefined() {
            return Err(Failed::Cancelled);
        }
        if let Some(sentence) = field(&data, "bad").as_string() {
            return Err(match field(&data, "why").as_string().as_deref() {
                Some("other-book") => Failed::OtherBook(sentence),
                Some("locked") => Failed::Locked(sentence),
                _ => Failed::Said(sentence),
            });
        }
        let photos: Array = field(&data, "photos").dyn_into().unwrap_or_default();
        let texts: Array = field(&data, "texts").dyn_into().unwrap_or_default();
        let photo = |pair: JsValue| {
            let pair: Array = pair.dyn_into().ok()?;
            Some((pair.get(0).as_string()?, pair.get(1)))
        };
        Ok(Answer {
            ask: field(&data, "ask").as_string().unwrap_or_default(),
            lines: field(&data, "lines").as_string().unwrap_or_default(),
            file: field(&data, "file").dyn_into().ok(),
            photos: photos.iter().filter_map(photo).collect(),
            texts: texts.iter().map(|text| text.as_string()).collect(),
        })
    }
}

fn message(task: &Task) -> Object {
    let photos: Array = task.photos.iter().map(|(hash, picture)| Array::of2(&hash.as_str().into(), picture)).collect();
    let texts: Array = task.texts.iter().map(|text| JsValue::from(text.as_str())).collect();
    let parts: [(&str, JsValue); 6] = [
        ("op", task.op.into()),
        ("ask", task.ask.as_str().into()),
        ("lines", task.lines.as_str().into()),
        ("file", task.file.clone().map_or(JsValue::UNDEFINED, Into::into)),
        ("photos", photos.into()),
        ("texts", texts.into()),
    ];
    let object = Object::new();
    for (name, value) in parts {
        // A plain object takes any key.
        let _ = Reflect::set(&object, &name.into(), &value);
    }
    object
}
