//! Messages to the worker that shares, and from it.

use js_sys::{ArrayBuffer, Object, Promise, Reflect};
use share::wire::{ToPage, ToWorker};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

const PROGRAM: &str = "./share-worker_loader.js";

/// The worker; dropped, it ends at once, whatever it is doing.
pub struct Post {
    worker: Worker,
    /// What is said before it listens; none once it does. A worker hears nothing before.
    queue: Rc<RefCell<Option<Vec<Object>>>>,
    _listeners: [Closure<dyn FnMut(MessageEvent)>; 2],
}

impl Drop for Post {
    fn drop(&mut self) {
        self.end();
    }
}

impl Post {
    /// Starts it. `heard` hears what it says, with a file where one comes beside it; `failed` that it could not start, or ended.
    pub fn start(heard: impl Fn(ToPage, Option<ArrayBuffer>) + 'static, failed: impl Fn() + 'static) -> Option<Post> {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(PROGRAM, &options).ok()?;
        let queue = Rc::new(RefCell::new(Some(Vec::new())));
        let (queued, own) = (queue.clone(), worker.clone());
        let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let data = event.data();
            let field = |name: &str| Reflect::get(&data, &name.into()).unwrap_or(JsValue::UNDEFINED);
            if field("ready").is_truthy() {
                let said: Vec<Object> = queued.borrow_mut().take().unwrap_or_default();
                said.iter().for_each(|message| drop(own.post_message(message)));
            } else if let Some(said) = field("text").as_string().and_then(|text| serde_json::from_str(&text).ok()) {
                heard(said, field("file").dyn_into().ok());
            }
        });
        let failed = Closure::<dyn FnMut(MessageEvent)>::new(move |_: MessageEvent| failed());
        worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        worker.set_onerror(Some(failed.as_ref().unchecked_ref()));
        Some(Post { worker, queue, _listeners: [heard, failed] })
    }

    pub fn end(&self) {
        self.worker.set_onmessage(None);
        self.worker.set_onerror(None);
        self.worker.terminate();
    }

    /// `beside`: a folder's handle or a file's bytes, by its name.
    pub fn say(&self, what: &ToWorker, beside: Option<(&str, &JsValue)>) {
        // Names, numbers and texts alone, so it can always be written.
        let Ok(text) = serde_json::to_string(what) else { return };
        let message = Object::new();
        // A plain object takes any key.
        let _ = Reflect::set(&message, &"text".into(), &text.into());
        if let Some((name, value)) = beside {
            let _ = Reflect::set(&message, &name.into(), value);
        }
        match &mut *self.queue.borrow_mut() {
            Some(queue) => queue.push(message),
            // Posting fails only when the worker is gone, which `failed` hears.
            None => drop(self.worker.post_message(&message)),
        }
    }
}

/// One question to a worker of its own; none where it could not start.
pub async fn ask_once(what: &ToWorker, folder: Option<&JsValue>) -> Option<ToPage> {
    let answer: Rc<RefCell<Option<ToPage>>> = Rc::default();
    let mut post = None;
    let answered = Promise::new(&mut |done, failed| {
        let answer = answer.clone();
        let heard = move |said, _| {
            *answer.borrow_mut() = Some(said);
            let _ = done.call0(&JsValue::NULL);
        };
        let failed_too = failed.clone();
        post = Post::start(heard, move || drop(failed.call0(&JsValue::NULL)));
        if post.is_none() {
            let _ = failed_too.call0(&JsValue::NULL);
        }
    });
    if let Some(post) = &post {
        post.say(what, folder.map(|folder| ("folder", folder)));
    }
    // A worker that ends without an answer has none.
    let _ = JsFuture::from(answered).await;
    answer.take()
}
