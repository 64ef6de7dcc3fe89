//! Where two devices are with each other. Whose turn it is and what is taken is told by `light`.

use crate::clock;
use crate::pages::scan::{Read, hit, miss};
use crate::store::{Barn, NoBundle, Opened, Running, barn, cancel};
use crate::words::{bundles, light as words};
use journal::bundle::Heads;
use js_sys::{ArrayBuffer, Uint8Array};
use labels::qr::Matrix;
use leptos::prelude::*;
use leptos::task::spawn_local;
use light::{Gap, Here, Pace, Progress, Receiver, Seen, Stamp, Still, Took, Turn, version};
use std::rc::Rc;

#[derive(Clone)]
pub enum Step {
    Start,
    /// This device shows what it has.
    Ask {
        code: Rc<Matrix>,
        said: String,
    },
    Look,
    Working(&'static str),
    /// What the other lacks is made, and nothing is shown yet.
    Offer(Offer),
    Give(Offer),
    /// What arrived, and what its codes are referred to by.
    Arrived {
        found: Rc<Opened>,
        stamp: Stamp,
    },
    /// Nothing is left to pass, as far as is known here.
    Level(&'static str),
}

/// What the other device lacks.
#[derive(Clone)]
pub struct Offer {
    pub gap: Gap,
    pub content: Rc<Vec<u8>>,
    pub book: journal::Id,
    pub answers: Stamp,
}

#[derive(Clone, Copy)]
pub struct Walk {
    barn: Barn,
    pub step: RwSignal<Step, LocalStorage>,
    pub failed: RwSignal<Option<String>>,
    pub pace: RwSignal<Pace>,
    pub progress: RwSignal<Option<Progress>>,
    receiver: StoredValue<Receiver, LocalStorage>,
    shown: StoredValue<Vec<Stamp>>,
    running: Running,
}

impl Walk {
    pub fn new() -> Self {
        Self {
            barn: barn(),
            step: RwSignal::new_local(Step::Start),
            failed: RwSignal::new(None),
            pace: RwSignal::new(Pace::default()),
            progress: RwSignal::new(None),
            receiver: StoredValue::new_local(Receiver::new()),
            shown: StoredValue::new(Vec::new()),
            running: StoredValue::new_local(None),
        }
    }

    /// A page left is work nobody waits for.
    pub fn stop(self) {
        cancel(self.running);
    }

    /// From the beginning, and what there is to say of it.
    pub fn begin(self, said: Option<String>) {
        self.stop();
        self.receiver.update_value(Receiver::forget);
        self.progress.set(None);
        self.failed.set(said);
        self.step.set(Step::Start);
    }

    fn here(self) -> Here {
        let joined = self.barn.exchange().joined;
        let books = self.barn.peek(|book| {
            let fold = book.journal();
            let own = fold.chains().next().map(|_| fold.book());
            own.into_iter().chain(joined).collect()
        });
        Here { by: self.barn.device(), books, shown: self.shown.get_value() }
    }

    /// Shows what is here; `gap` where it is known already what the other one has.
    pub fn ask(self, gap: Option<Gap>) {
        let Here { by, books, .. } = self.here();
        let heads = self.barn.peek(|book| {
            let chains = book.journal().chains();
            chains.filter_map(|chain| Some((chain.dev, (chain.seq, chain.hash?)))).collect()
        });
        let still = Still { by, books, number: clock::random(), heads };
        let bytes = still.bytes();
        let Some(code) = version(bytes.len()).and_then(|version| Matrix::of_bytes(&bytes, version)) else { return };
        self.shown.update_value(|shown| shown.push(still.stamp()));
        self.failed.set(None);
        let said = gap.map_or_else(|| words::ASKING.to_owned(), words::ask);
        self.step.set(Step::Ask { code: Rc::new(code), said });
    }

    pub fn look(self) {
        self.receiver.update_value(Receiver::forget);
        self.progress.set(None);
        self.failed.set(None);
        self.step.set(Step::Look);
    }

    /// The camera read a code.
    pub fn read(self, read: &Read) {
        // One more picture may come after the last that was needed.
        if !matches!(self.step.get_untracked(), Step::Look) {
            return;
        }
        let Some(seen) = light::read(&read.bytes) else { return };
        if let Err(no) = self.here().heed(&seen) {
            let said = Some(words::refused(no).to_owned());
            if self.failed.get_untracked() != said {
                miss();
                self.failed.set(said);
            }
            return;
        }
        match seen {
            Seen::Still(still) => {
                hit();
                self.learn(still.heads.clone(), still.stamp());
            }
            Seen::Moving(frame) => {
                let mut took = Took::Nothing;
                self.receiver.update_value(|receiver| {
                    took = receiver.take(&frame);
                    self.progress.set(receiver.progress());
                });
                match took {
                    Took::Nothing => {}
                    // That it is done over stands until all of it is here.
                    Took::More if self.failed.with_untracked(|said| said.as_deref() == Some(words::BROKEN)) => {}
                    Took::More => self.failed.set(None),
                    Took::Broken => self.failed.set(Some(words::BROKEN.to_owned())),
                    Took::Whole(content) => {
                        hit();
                        self.open(content, frame.header.stamp());
                    }
                }
            }
            Seen::Later => {}
        }
    }

    /// Opens what arrived as the bundle that it is.
    fn open(self, content: Vec<u8>, stamp: Stamp) {
        self.failed.set(None);
        self.step.set(Step::Working(words::READING));
        let file: ArrayBuffer = Uint8Array::from(&*content).buffer();
        spawn_local(async move {
            let opened = self.barn.open_bundle(file, false, self.running, |_| {}).await;
            let _ = match opened {
                Ok(found) => self.step.try_set(Step::Arrived { found: Rc::new(found), stamp }),
                Err(why) => self.fail(&why),
            };
        });
    }

    fn fail(self, why: &NoBundle) -> Option<Step> {
        let _ = self.failed.try_set(bundles::failed(why));
        self.step.try_set(Step::Start)
    }

    /// It is known now what the other device has; `stamp` is of what it showed.
    pub fn learn(self, heads: Heads, stamp: Stamp) {
        self.failed.set(None);
        self.step.set(Step::Working(words::WORKING));
        spawn_local(async move {
            let (gap, file) = match self.barn.answer(&heads, self.running).await {
                Ok(answer) => answer,
                Err(why) => return drop(self.fail(&why)),
            };
            // The page may be gone by then.
            if self.step.try_get_untracked().is_none() {
                return;
            }
            match (gap.turn(), file) {
                (Turn::Give, Some(file)) => {
                    let content = Uint8Array::new(&file).to_vec();
                    if content.len() > light::MAX_CONTENT {
                        return self.begin(Some(words::TOO_LARGE.to_owned()));
                    }
                    let book = self.barn.peek(|book| book.journal().book());
                    self.step.set(Step::Offer(Offer { gap, content: Rc::new(content), book, answers: stamp }));
                }
                (Turn::Level, _) => self.step.set(Step::Level(words::LEVEL)),
                _ => self.ask(Some(gap)),
            }
        });
    }

    pub fn give(self, offer: &Offer) {
        self.failed.set(None);
        self.step.set(Step::Give(offer.clone()));
    }

    /// Codes are on the screen: an answer may refer to them.
    pub fn shows(self, stamp: Stamp) {
        self.shown.update_value(|shown| {
            if !shown.contains(&stamp) {
                shown.push(stamp);
            }
        });
    }

    pub fn given(self, offer: &Offer) {
        match offer.gap.given() {
            Turn::Look => self.look(),
            _ => self.step.set(Step::Level(words::GIVEN)),
        }
    }
}
