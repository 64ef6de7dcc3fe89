//! Of several tabs one shares: the one that holds a lock of the browser's. Where there are no such locks every tab does,
//! which costs requests and does no harm.

use super::key;
use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};

thread_local! {
    /// Gives the lock back; there while this tab holds it.
    static HELD: RefCell<Option<Function>> = const { RefCell::new(None) };
    /// It is asked for already.
    static ASKED: Cell<bool> = const { Cell::new(false) };
}

pub fn is_held() -> bool {
    HELD.with_borrow(Option::is_some)
}

pub fn let_go() {
    if let Some(done) = HELD.take() {
        let _ = done.call0(&JsValue::NULL);
    }
}

/// Runs `then` once this tab holds the lock; where it waits for that already, nothing more.
pub fn take(then: impl FnOnce() + 'static) {
    if ASKED.replace(true) {
        return;
    }
    let mut then = Some(then);
    let mut run = move || {
        ASKED.set(false);
        // Held until the promise is settled.
        let held = Promise::new(&mut |done, _| HELD.set(Some(done)));
        if let Some(then) = then.take() {
            then();
        }
        held
    };
    let locks = || {
        let navigator = Reflect::get(&js_sys::global(), &"navigator".into()).ok()?;
        let locks = Reflect::get(&navigator, &"locks".into()).ok().filter(|locks| !locks.is_undefined())?;
        let request: Function = Reflect::get(&locks, &"request".into()).ok()?.dyn_into().ok()?;
        Some((locks, request))
    };
    let Some((locks, request)) = locks() else {
        let _ = run();
        return;
    };
    let name = JsValue::from(key("share"));
    let held = Closure::once_into_js(run);
    if let Ok(asked) = request.call2(&locks, &name, &held) {
        // Refused when the page is on its way out.
        let ignored = Closure::once_into_js(|_: JsValue| {});
        if let (Ok(asked), Some(ignored)) = (asked.dyn_into::<Promise>(), ignored.dyn_ref::<Function>()) {
            let _ = Reflect::get(&asked, &"catch".into())
                .ok()
                .and_then(|catch| catch.dyn_into::<Function>().ok())
                .and_then(|catch| catch.call1(&asked, ignored).ok());
        }
    }
}
