//! What the barn gives into bundles and takes out of them.

use super::carrier::{Answer, Carrier, Failed, Task};
use super::db::{Db, Trouble};
use super::exchange::{Exchange, Heard, Import};
use super::identity::Me;
use super::intake::Intake;
use super::whole::pause;
use super::{Barn, tabs};
use crate::clock;
use crate::words;
use book::views::{PhotoSeason, photo_season};
use book::{Book, ContactId};
use carry::{Asked, Looked, Making};
use journal::{DeviceId, Ref, Taken};
use js_sys::ArrayBuffer;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Lines folded before the page may draw again.
const AT_ONCE: usize = 2000;

/// A bundle looked at and not yet taken in.
pub struct Opened {
    pub looked: Looked,
    lines: String,
    photos: Vec<(String, JsValue)>,
    generation: u64,
}

/// Why a bundle was not made or opened.
pub enum NoBundle {
    Trouble(Trouble),
    Failed(Failed),
}

impl From<Trouble> for NoBundle {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<Failed> for NoBundle {
    fn from(failed: Failed) -> Self {
        Self::Failed(failed)
    }
}

/// Keeps the running worker where a tap on "Cancel" can end it.
pub type Running = StoredValue<Option<Rc<Carrier>>, LocalStorage>;

/// Ends what is running, if anything is.
pub fn cancel(running: Running) {
    if let Some(carrier) = running.try_get_value().flatten() {
        carrier.cancel();
    }
}

async fn run(task: Task, running: Running, told: impl Fn(u32) + 'static) -> Result<Answer, NoBundle> {
    let carrier = Rc::new(Carrier::start(task, told).ok_or(Failed::Ended)?);
    running.set_value(Some(carrier.clone()));
    let answer = carrier.answer().await;
    let _ = running.try_set_value(None);
    Ok(answer?)
}

/// Locks a bundle with a passphrase, which is kept nowhere.
pub async fn lock(
    file: ArrayBuffer,
    passphrase: String,
    running: Running,
    told: impl Fn(u32) + 'static,
) -> Result<ArrayBuffer, NoBundle> {
    let task = Task { op: "lock", ask: passphrase, file: Some(file), ..Task::default() };
    Ok(run(task, running, told).await?.file.ok_or(Failed::Ended)?)
}

/// The bundle inside a locked one.
pub async fn unlock(
    file: ArrayBuffer,
    passphrase: String,
    running: Running,
    told: impl Fn(u32) + 'static,
) -> Result<ArrayBuffer, NoBundle> {
    let task = Task { op: "unlock", ask: passphrase, file: Some(file), ..Task::default() };
    Ok(run(task, running, told).await?.file.ok_or(Failed::Ended)?)
}

impl Barn {
    /// What is known of other devices; looked up again whenever the records change.
    pub fn exchange(&self) -> Exchange {
        self.version.track();
        self.cell().borrow().exchange.clone()
    }

    /// Makes a bundle: of everything, or of what `to` lacks; with the details of the people in `along` and of nobody
    /// else. Returns the file's bytes.
    pub async fn make_bundle(
        &self,
        to: Option<DeviceId>,
        photos: bool,
        along: &BTreeSet<ContactId>,
        running: Running,
        told: impl Fn(u32) + 'static,
    ) -> Result<ArrayBuffer, NoBundle> {
        let db = self.db().await?;
        let me = self.writer(&db).await?;
        let exchange = self.cell().borrow().exchange.clone();
        let people = self.going_along(along).await?;
        let pictures = if photos { db.pictures().await? } else { Vec::new() };
        let making = Making {
            book: me.book,
            joined: exchange.joined,
            by: me.dev,
            app: env!("CARGO_PKG_VERSION").to_owned(),
            made: clock::wall().text,
            secret: me.secret,
            signed: exchange.signed,
            lacks: to.map(|to| exchange.heard.get(&to).map(|heard| heard.heads.clone()).unwrap_or_default()),
            people,
            readme: words::bundles::README.to_owned(),
        };
        let task = Task {
            op: "make",
            ask: json(&making)?,
            lines: joined(&db).await?,
            photos: buffers(pictures).await,
            ..Task::default()
        };
        Ok(run(task, running, told).await?.file.ok_or(Failed::Ended)?)
    }

    /// Notes that a bundle was handed out.
    pub async fn bundle_given(&self) -> Result<(), Trouble> {
        let now = clock::wall().ms;
        let exchange = self.db().await?.note(|exchange| exchange.made_ms = Some(now)).await?;
        self.cell().borrow_mut().exchange = exchange;
        self.version.update(|v| *v += 1);
        Ok(())
    }

    /// Opens a bundle and says what it would change. Nothing is changed.
    pub async fn open_bundle(
        &self,
        file: ArrayBuffer,
        join: bool,
        running: Running,
        told: impl Fn(u32) + 'static,
    ) -> Result<Opened, NoBundle> {
        let db = self.db().await?;
        let held = db.held().await?;
        let lines = joined(&db).await?;
        let ask = Asked {
            // A device that has written nothing belongs to no book yet.
            book: held.me.as_ref().map(|me| me.book).filter(|_| !lines.is_empty()),
            joined: held.exchange.joined.clone(),
            signed: held.exchange.signed.clone(),
            own: held.me.as_ref().map(|me| me.dev),
            join,
            wall_ms: clock::wall().ms,
        };
        let task = Task { op: "look", ask: json(&ask)?, lines, file: Some(file), ..Task::default() };
        let answer = run(task, running, told).await?;
        let looked: Looked = serde_json::from_str(&answer.ask).map_err(|error| Failed::Said(error.to_string()))?;
        Ok(Opened { looked, lines: answer.lines, photos: answer.photos, generation: held.exchange.generation })
    }

    /// Takes a bundle in: all of it, or on any trouble nothing. `told` hears the share, in percent, that is also folded.
    pub async fn take_bundle(&self, opened: &Opened, told: impl Fn(u32)) -> Result<(), Trouble> {
        self.until_whole().await;
        let (db, looked) = (self.db().await?, &opened.looked);
        let me = self.successor(looked).await?;
        let photos: Vec<(String, JsValue)> =
            opened.photos.iter().filter_map(|(hash, bytes)| Some((hash.clone(), picture(bytes)?))).collect();
        let now = clock::wall().ms;
        let intake = Intake {
            lines: &opened.lines,
            photos: &photos,
            people: &looked.people,
            erased: &looked.erased,
            me: me.as_ref(),
            generation: opened.generation,
        };
        let note = |exchange: &mut Exchange, n: u32| {
            exchange.joined = looked.joined.clone();
            exchange.signed = looked.signed.clone();
            let heard = Heard {
                made: looked.made.clone(),
                at_ms: now,
                heads: looked.heads.clone(),
                digest: looked.their_digest,
            };
            exchange.heard.insert(looked.from, heard);
            if looked.new > 0 {
                let (from, made) = (looked.from, looked.made.clone());
                exchange.imports.push(Import { n, from, made, at_ms: now, acts: looked.new, aside: false });
            }
        };
        let exchange = db.take_in(&intake, note).await?;
        tabs::tell();
        {
            let cell = self.cell();
            let mut inner = cell.borrow_mut();
            if let Some(me) = me {
                if inner.book.journal().book() != me.book {
                    inner.book = Book::new(me.book);
                }
                inner.me = Some(me);
            }
            exchange.joined.iter().for_each(|other| inner.book.join(*other));
            inner.exchange = exchange;
        }
        self.fold_in(&opened.lines, looked.new, told).await
    }

    /// Who writes here after a bundle, if that changes: on a new phone the bundle's book is taken up; a device whose
    /// id is used elsewhere goes on under a new one.
    async fn successor(&self, looked: &Looked) -> Result<Option<Me>, Trouble> {
        let me = self.cell().borrow().me.clone();
        let Some(me) = me else { return Ok(Some(Me::new(Some(looked.book), words::KEEPER))) };
        if me.book != looked.book {
            return Ok(Some(Me::new(Some(looked.book), &me.by)));
        }
        if !looked.own_elsewhere {
            return Ok(None);
        }
        let chain = self.peek(|book| book.journal().chain(me.dev));
        let continues = chain.and_then(|chain| {
            let hash = chain.hash?;
            Some(Ref { dev: me.dev, seq: chain.seq, hash }.into())
        });
        Ok(Some(Me { continues, ..Me::new(Some(me.book), &me.by) }))
    }

    /// Folds what a bundle brought, with room for the page to draw between.
    async fn fold_in(&self, lines: &str, total: usize, told: impl Fn(u32)) -> Result<(), Trouble> {
        let cell = self.cell();
        let mut lines = lines.lines().peekable();
        let (mut whole, mut done) = (true, 0);
        while lines.peek().is_some() {
            told((100 * done / total.max(1)).min(100) as u32);
            done += AT_ONCE;
            {
                let mut inner = cell.borrow_mut();
                for line in lines.by_ref().take(AT_ONCE) {
                    match inner.book.take(line) {
                        Ok(Taken::NeedsHistory) => whole = false,
                        Ok(Taken::Held) => inner.waiting.push(line.to_owned()),
                        _ => {}
                    }
                }
            }
            pause(0).await;
        }
        if !whole {
            // Older than the folded state: only all lines together tell where it belongs.
            return self.open().await;
        }
        self.version.update(|v| *v += 1);
        // The lines are durable: the state beside them only spares the next start their adding up.
        let barn = *self;
        spawn_local(async move { barn.keep_state().await });
        Ok(())
    }

    /// Sets a bundle's acts aside, or takes them back, and reads everything anew.
    pub async fn set_aside(&self, import: u32, aside: bool) -> Result<(), Trouble> {
        self.until_whole().await;
        self.db().await?.set_aside(import, aside).await?;
        tabs::tell();
        self.open().await?;
        // Taken back in, it may bring word of details that somebody erased.
        self.sweep_people().await
    }

    /// Everything as spreadsheets, one file a kind, in one archive. Returns the file's bytes.
    pub async fn make_sheets(&self, running: Running) -> Result<JsValue, NoBundle> {
        let db = self.db().await?;
        let held = db.held().await?;
        let book = self.peek(|book| book.journal().book());
        let ask = json(&(book, held.exchange.joined))?;
        let task = Task { op: "sheets", ask, lines: joined(&db).await?, ..Task::default() };
        Ok(run(task, running, |_| {}).await?.file.map(Into::into).ok_or(Failed::Ended)?)
    }

    /// The rows of a spreadsheet's file, the first being its headings.
    pub async fn read_table(&self, file: ArrayBuffer, running: Running) -> Result<Vec<Vec<String>>, NoBundle> {
        let task = Task { op: "table", file: Some(file), ..Task::default() };
        let answer = run(task, running, |_| {}).await?;
        Ok(serde_json::from_str(&answer.ask).map_err(|error| Failed::Said(error.to_string()))?)
    }

    /// Pictures held here, by the season they belong to.
    pub async fn photo_seasons(&self) -> Result<BTreeMap<PhotoSeason, Vec<String>>, Trouble> {
        let held: BTreeSet<String> = self.db().await?.photo_keys().await?.into_iter().collect();
        let mut seasons: BTreeMap<PhotoSeason, Vec<String>> = BTreeMap::new();
        self.peek(|book| {
            for photo in book.all_photos() {
                let Some(hash) = photo.sha256.clone().filter(|hash| held.contains(hash)) else { continue };
                seasons.entry(photo_season(book, photo)).or_default().push(hash);
            }
        });
        Ok(seasons)
    }

    /// Removes pictures from this device. The records of them stay, and say that the picture is elsewhere.
    pub async fn drop_photos(&self, hashes: &[String]) -> Result<(), Trouble> {
        self.db().await?.drop_photos(hashes).await
    }
}

async fn joined(db: &Db) -> Result<String, Trouble> {
    let mut text = db.all_lines().await?.join("\n");
    if !text.is_empty() {
        text.push('\n');
    }
    Ok(text)
}

fn json<T: serde::Serialize>(value: &T) -> Result<String, Trouble> {
    super::db::to_json(value)
}

/// Pictures as bytes; they are stored as the browser's own blobs.
async fn buffers(pictures: Vec<(String, JsValue)>) -> Vec<(String, JsValue)> {
    let mut out = Vec::with_capacity(pictures.len());
    for (hash, picture) in pictures {
        let Ok(blob) = picture.dyn_into::<web_sys::Blob>() else { continue };
        if let Ok(bytes) = JsFuture::from(blob.array_buffer()).await {
            out.push((hash, bytes));
        }
    }
    out
}

/// A picture out of a bundle, as one taken here is stored.
fn picture(bytes: &JsValue) -> Option<JsValue> {
    let options = web_sys::BlobPropertyBag::new();
    options.set_type("image/jpeg");
    let parts = js_sys::Array::of1(bytes);
    web_sys::Blob::new_with_buffer_source_sequence_and_options(&parts, &options).ok().map(Into::into)
}
