//! Sends what the adaptors say, and does in a folder what they say.

use share::store::{Act, Answer, Done, Folder, Found, Heard, Http, Shop, Step, Talk, Verb};
use std::cell::Cell;
use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};
use ureq::Agent;
use ureq::http::Request;

/// A store that answers.
pub trait Ask {
    fn ask(&self, verb: Verb) -> Answer;
}

pub struct Web {
    shop: Shop,
    agent: Agent,
    pub requests: Cell<u32>,
}

impl Web {
    pub fn new(shop: Shop) -> Web {
        // Access is in none of it.
        for shown in
            [format!("{shop:?}"), format!("{:?}", Talk::new(Verb::Get { path: "x".to_owned() }).begin(&shop, 0))]
        {
            assert!(!shown.contains("kettle") && !shown.contains("secret") && !shown.contains("Basic"), "{shown}");
        }
        let settings =
            Agent::config_builder().http_status_as_error(false).max_redirects(0).allow_non_standard_methods(true);
        Web { shop, agent: settings.build().into(), requests: Cell::new(0) }
    }

    fn send(&self, http: Http) -> Option<Heard> {
        self.requests.set(self.requests.get() + 1);
        let mut request = Request::builder().method(http.method.name()).uri(&http.url);
        for (name, value) in &http.headers {
            request = request.header(*name, value);
        }
        let mut answer = self.agent.run(request.body(http.body).expect("a request")).ok()?;
        let again_s = answer.headers().get("retry-after").and_then(|value| value.to_str().ok()?.parse().ok());
        let body = answer.body_mut().with_config().limit(64 << 20).read_to_vec().ok()?;
        Some(Heard { status: answer.status().as_u16(), again_s, body })
    }
}

pub fn now_ms() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970");
    u64::try_from(since.as_millis()).expect("not that late")
}

impl Ask for Web {
    fn ask(&self, verb: Verb) -> Answer {
        let mut talk = Talk::new(verb);
        let mut next = talk.begin(&self.shop, now_ms());
        loop {
            let heard = self.send(next);
            match talk.hear(&self.shop, heard.as_ref(), now_ms()) {
                Step::Send(http) => next = http,
                Step::Done(answer) => return answer,
            }
        }
    }
}

/// A folder on this computer.
pub struct Disk {
    pub root: PathBuf,
}

impl Disk {
    pub fn new(name: &str) -> Disk {
        Disk { root: crate::start::folder(name) }
    }

    fn at(&self, steps: &[String]) -> PathBuf {
        steps.iter().fold(self.root.clone(), |path, step| path.join(step))
    }

    fn does(&self, act: Act) -> std::io::Result<Done> {
        match act {
            Act::Write { steps, bytes } => {
                let path = self.at(&steps);
                fs::create_dir_all(path.parent().expect("a folder"))?;
                let beside = path.with_extension("half");
                fs::write(&beside, bytes)?;
                fs::rename(beside, path)?;
                Ok(Done::Written)
            }
            Act::Read { steps } => fs::read(self.at(&steps)).map(Done::Read),
            Act::Remove { steps } => fs::remove_file(self.at(&steps)).map(|()| Done::Written),
            Act::Names { steps } => {
                let mut found = Vec::new();
                for entry in fs::read_dir(self.at(&steps))? {
                    let entry = entry?;
                    let about = entry.metadata()?;
                    let tag = format!("{:?} {}", about.modified()?, about.len());
                    if about.is_file() {
                        found.push(Found { name: entry.file_name().to_string_lossy().into_owned(), tag: Some(tag) });
                    }
                }
                Ok(Done::Names(found))
            }
        }
    }
}

impl Ask for Disk {
    fn ask(&self, verb: Verb) -> Answer {
        let act = Folder::act(verb.clone()).expect("a path of ours");
        let done = self.does(act).unwrap_or_else(|why| match why.kind() {
            ErrorKind::NotFound => Done::Absent,
            ErrorKind::PermissionDenied => Done::Forbidden,
            ErrorKind::StorageFull => Done::Full,
            _ => Done::Away,
        });
        Folder::answer(&verb, done)
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        fs::remove_dir_all(&self.root).ok();
    }
}
