//! One verb to the store, over the network or in a folder.

use super::{folder, here, scope};
use js_sys::{ArrayBuffer, Uint8Array};
use share::store::{Answer, Folder, Heard, Http, No, Shop, Step, Talk, Verb};
use share::wire::StoreAt;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    AbortSignal, FileSystemDirectoryHandle, ReferrerPolicy, Request, RequestCache, RequestCredentials, RequestInit,
    RequestMode, RequestRedirect, Response,
};

/// How long an answer is waited for, in milliseconds: a little less than the machine does.
pub const PATIENCE: u32 = 280_000;
/// Somebody is looking.
pub const TRIAL: u32 = 20_000;

/// A store that can be asked.
pub enum Reached {
    Web(Shop),
    Folder(FileSystemDirectoryHandle),
}

impl Reached {
    pub fn of(store: &StoreAt, folder: Option<FileSystemDirectoryHandle>) -> Option<Reached> {
        match store {
            StoreAt::Folder { .. } => folder.map(Reached::Folder),
            StoreAt::Web { .. } | StoreAt::Bucket { .. } => store.shop().map(Reached::Web),
        }
    }

    pub async fn ask(&self, verb: Verb, patience: u32) -> Answer {
        match self {
            Reached::Web(shop) => {
                let mut talk = Talk::new(verb);
                let mut next = talk.begin(shop, here::now_ms());
                loop {
                    let heard = send(next, patience).await;
                    match talk.hear(shop, heard.as_ref(), here::now_ms()) {
                        Step::Send(http) => next = http,
                        Step::Done(answer) => return answer,
                    }
                }
            }
            Reached::Folder(root) => {
                let Some(act) = Folder::act(verb.clone()) else { return Answer::No(No::Odd(0)) };
                let done = folder::does(root, act).await;
                Folder::answer(&verb, done)
            }
        }
    }
}

/// Sends a request with no login, cookie or page of the browser's own; none where no whole answer came.
async fn send(http: Http, patience: u32) -> Option<Heard> {
    let init = RequestInit::new();
    init.set_method(http.method.name());
    init.set_mode(RequestMode::Cors);
    init.set_credentials(RequestCredentials::Omit);
    init.set_cache(RequestCache::NoStore);
    init.set_redirect(RequestRedirect::Error);
    init.set_referrer_policy(ReferrerPolicy::NoReferrer);
    init.set_signal(Some(&AbortSignal::timeout_with_u32(patience)));
    if !http.body.is_empty() {
        init.set_body(&Uint8Array::from(http.body.as_slice()));
    }
    let request = Request::new_with_str_and_init(&http.url, &init).ok()?;
    for (name, value) in &http.headers {
        request.headers().set(name, value).ok()?;
    }
    let answer: Response = JsFuture::from(scope()?.fetch_with_request(&request)).await.ok()?.dyn_into().ok()?;
    let again_s = answer.headers().get("retry-after").ok().flatten().and_then(|value| value.parse().ok());
    let body: ArrayBuffer = JsFuture::from(answer.array_buffer().ok()?).await.ok()?.dyn_into().ok()?;
    Some(Heard { status: answer.status(), again_s, body: Uint8Array::new(&body).to_vec() })
}
