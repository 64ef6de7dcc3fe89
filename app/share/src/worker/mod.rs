//! The worker: hears the page and the store, asks the machine what to do, and does it.

mod ask;
mod beside;
mod folder;
mod here;
mod spare;

use ask::Reached;
use here::Here;
use js_sys::{ArrayBuffer, Object, Reflect};
use share::wire::{Seen, Start, StoreAt, ToPage, ToWorker, Told, Trial, Tried, Went};
use share::{Ask, Asked, BarnKey, Event, Held, Machine, Place, Reply, vouched};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;
use web_sys::{DedicatedWorkerGlobalScope, FileSystemDirectoryHandle, MessageEvent};

/// The longest that is slept, in milliseconds: browsers count in 31 bits.
const LONGEST: u64 = 1 << 30;

/// What goes on while devices are kept in step.
struct Sharing {
    machine: Machine,
    store: Rc<Reached>,
    key: Rc<BarnKey>,
    place: Place,
    /// As the page last said.
    held: Held,
    told: Option<Told>,
    timer: Option<i32>,
    tick: Closure<dyn FnMut()>,
}

thread_local! {
    static SHARING: RefCell<Option<Sharing>> = const { RefCell::new(None) };
}

/// Listens, and tells the page that it does.
pub fn start() {
    let Some(scope) = scope() else { return };
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let data = event.data();
        let field = |name: &str| Reflect::get(&data, &name.into()).unwrap_or(JsValue::UNDEFINED);
        let folder = field("folder").dyn_into::<FileSystemDirectoryHandle>().ok();
        // The page is of the same build; a text that cannot be read is none of its.
        let file = field("file").dyn_into::<ArrayBuffer>().ok();
        if let Some(said) = field("text").as_string().and_then(|text| serde_json::from_str(&text).ok()) {
            heard(said, folder, file);
        }
    });
    scope.set_onmessage(Some(listener.as_ref().unchecked_ref()));
    listener.forget();
    post(&[("ready", &JsValue::TRUE)]);
}

fn scope() -> Option<DedicatedWorkerGlobalScope> {
    js_sys::global().dyn_into().ok()
}

fn post(parts: &[(&str, &JsValue)]) {
    let message = Object::new();
    for (name, value) in parts {
        // A plain object takes any key.
        let _ = Reflect::set(&message, &(*name).into(), value);
    }
    if let Some(scope) = scope() {
        // Posting fails only when the page is gone already.
        let _ = scope.post_message(&message);
    }
}

fn say(what: &ToPage) {
    say_with(what, None);
}

fn say_with(what: &ToPage, file: Option<ArrayBuffer>) {
    // Names, numbers and texts alone, so it can always be written.
    if let Ok(text) = serde_json::to_string(what) {
        let (text, file) = (text.into(), file.map_or(JsValue::UNDEFINED, Into::into));
        post(&[("text", &text), ("file", &file)]);
    }
}

fn heard(said: ToWorker, folder: Option<FileSystemDirectoryHandle>, file: Option<ArrayBuffer>) {
    match said {
        ToWorker::MakeKey => say(&ToPage::Key(BarnKey::fresh().secret().to_owned())),
        ToWorker::Try(store) => spawn_local(try_store(store, folder)),
        ToWorker::Start(start) => begin(*start, folder),
        ToWorker::Changed(held) => {
            SHARING.with_borrow_mut(|sharing| {
                if let Some(sharing) = sharing {
                    sharing.held = held.clone();
                }
            });
            happened(Event::Changed(held));
        }
        ToWorker::Network(there) => happened(Event::Network(there)),
        ToWorker::ByHand => happened(Event::ByHand),
        ToWorker::Renamed { dev, key } => happened(Event::Renamed { dev, key }),
        ToWorker::Answer { id, reply } => happened(Event::Answer { id, reply: reply.into() }),
        ToWorker::SayMoved { store, book, secret } => spare::say_moved(&store, book, &secret, folder),
        ToWorker::Spares => spare::list(),
        ToWorker::PutSpare { day } => spare::put(day, file),
        ToWorker::GetSpare { day } => spare::get(day),
        ToWorker::DropSpares { days } => spare::drop_days(days),
        ToWorker::Level(wanted) => beside::level(wanted),
        ToWorker::Given => beside::given(file),
        ToWorker::Taken(stored) => beside::taken(stored),
    }
}

fn begin(start: Start, folder: Option<FileSystemDirectoryHandle>) {
    let Start { setup, store, secret, held, kept } = start;
    let (Some(key), Some(store)) = (BarnKey::read(&secret), Reached::of(&store, folder)) else {
        return say(&ToPage::Unusable);
    };
    let key = Rc::new(key);
    let place = Place::of(setup.book, &*key);
    let machine = Machine::new(setup, key.clone(), kept.as_deref());
    let tick = Closure::new(|| happened(Event::Tick));
    let store = Rc::new(store);
    let sharing = Sharing { machine, store, key, place, held: held.clone(), told: None, timer: None, tick };
    SHARING.set(Some(sharing));
    happened(Event::Opened(held));
}

/// Something happened: what it asks for is done, and the page is told where anything stands otherwise now.
fn happened(event: Event) {
    let asked = SHARING.with_borrow_mut(|sharing| {
        sharing.as_mut().map(|sharing| {
            let asked = sharing.machine.hear(event, &mut Here);
            sharing.sleep();
            asked
        })
    });
    asked.unwrap_or_default().into_iter().for_each(perform);
    let told = SHARING.with_borrow_mut(|sharing| sharing.as_mut().and_then(Sharing::news));
    if let Some(told) = told {
        say(&ToPage::Told(told));
    }
}

impl Sharing {
    /// Comes back when the machine wants to be asked again.
    fn sleep(&mut self) {
        let Some(scope) = scope() else { return };
        if let Some(timer) = self.timer.take() {
            scope.clear_timeout_with_handle(timer);
        }
        let Some(wake) = self.machine.wake() else { return };
        let ms = wake.saturating_sub(here::now_ms()).min(LONGEST);
        let ms = i32::try_from(ms).unwrap_or(i32::MAX);
        let tick = self.tick.as_ref().unchecked_ref();
        self.timer = scope.set_timeout_with_callback_and_timeout_and_arguments_0(tick, ms).ok();
    }

    fn news(&mut self) -> Option<Told> {
        let mut notices: Vec<Seen> = Vec::new();
        for seen in self.machine.notices().map(Seen::from) {
            // Of each piece there is one.
            if !notices.contains(&seen) {
                notices.push(seen);
            }
        }
        let told = Told {
            status: self.machine.status(),
            welcome: self.machine.welcome(),
            notices,
            heard: self.machine.heard(),
        };
        (self.told.as_ref() != Some(&told)).then(|| {
            self.told = Some(told.clone());
            told
        })
    }
}

fn perform(asked: Asked) {
    let id = asked.id;
    match asked.ask {
        Ask::Store(verb) => {
            let store = SHARING.with_borrow(|sharing| sharing.as_ref().map(|sharing| sharing.store.clone()));
            let Some(store) = store else { return };
            spawn_local(async move {
                let answer = store.ask(verb, ask::PATIENCE).await;
                happened(Event::Answer { id, reply: Reply::Store(answer) });
            });
        }
        Ask::Lines { to, after, most } => say(&ToPage::Lines { id, to, after, most }),
        Ask::Holds(acts) => say(&ToPage::Holds { id, acts }),
        Ask::Sign(texts) => say(&ToPage::Sign { id, texts }),
        Ask::TakeIn(bundle) => {
            let signed = SHARING.with_borrow(|sharing| sharing.as_ref().map(|own| vouched(&bundle, &own.held)));
            say(&ToPage::TakeIn { id, lines: bundle.lines, signed: signed.unwrap_or_default() });
        }
        Ask::Keep(text) => say(&ToPage::Keep(text)),
        Ask::NewName => say(&ToPage::NewName { id }),
    }
}

/// Lists, puts, gets and deletes something of no meaning; a step after one that failed is not tried.
async fn try_store(store: StoreAt, folder: Option<FileSystemDirectoryHandle>) {
    let Some(store) = Reached::of(&store, folder) else { return say(&ToPage::Unusable) };
    let number = format!("{:016x}", here::random());
    let put = number.clone().into_bytes();
    let path = format!("candlemark-1/trial/{number}.age");
    let mut tried = Vec::new();
    let mut goes_on = true;
    for step in Trial::ALL {
        let went = match goes_on {
            true => step.judge(&store.ask(step.verb(&path, &put), ask::TRIAL).await, &put),
            false => Went::NotTried,
        };
        goes_on &= went == Went::Well;
        tried.push(Tried { step, went });
    }
    say(&ToPage::Tried(tried));
}
