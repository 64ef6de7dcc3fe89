//! What the barn gives into bundles and takes out of them.

use super::carrier::{Answer, Carrier, Failed, Task};
use super::{Barn, Trouble, picture, small_key};
use crate::clock;
use crate::words;
use book::ContactId;
use book::views::{PhotoSeason, photo_season};
use carry::{Asked, Looked, Making};
use journal::DeviceId;
use journal::bundle::{Heads, Signed};
use js_sys::ArrayBuffer;
use leptos::prelude::*;
use leptos::task::spawn_local;
use light::Gap;
use std::collections::{BTreeMap, BTreeSet};
use std::pin::Pin;
use std::rc::Rc;
use storage::{Everything, Exchange, Heard, Import, Intake, Me, Store, Successor, Value};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

type Later<T> = Pin<Box<dyn Future<Output = Result<T, Trouble>>>>;

#[wasm_split(egg_room, fallible)]
fn take(barn: Barn, opened: Opened, told: Box<dyn Fn(u32)>) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.take(&opened, told).await }))
}

#[wasm_split(egg_room, fallible)]
fn put_aside(barn: Barn, import: u32, aside: bool) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().set_aside(import, aside).await }))
}

#[wasm_split(egg_room, fallible)]
fn everything(barn: Barn) -> Result<Later<(Option<Me>, Everything)>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().everything().await.map(|all| (all.me.clone(), all)) }))
}

#[wasm_split(egg_room, fallible)]
fn everything_signed(barn: Barn) -> Result<Later<(Everything, Option<Signed>)>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.everything_signed().await }))
}

/// A bundle looked at and not yet taken in.
#[derive(Clone)]
pub struct Opened {
    pub looked: Rc<Looked>,
    lines: Rc<str>,
    photos: Rc<Vec<(String, JsValue)>>,
    /// The epoch of the records it was compared with, and who wrote here then.
    epoch: u64,
    own: Option<DeviceId>,
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
        self.tab().exchange()
    }

    /// What is stored, at one moment.
    async fn everything(&self) -> Result<Everything, Trouble> {
        Ok(everything(*self).await.map_err(|_| Trouble::PartMissing)?.await?.1)
    }

    /// Makes a bundle: of everything, or of what `to` lacks; with the details of the people in `along` and of nobody
    /// else. Where lines were harmed or lost, [`Barn::harms`] says it. Returns the file's bytes.
    pub async fn make_bundle(
        &self,
        to: Option<DeviceId>,
        photos: bool,
        along: &BTreeSet<ContactId>,
        running: Running,
        told: impl Fn(u32) + 'static,
    ) -> Result<ArrayBuffer, NoBundle> {
        let (making, exchange, lines) = self.making().await?;
        let people = self.going_along(along).await?;
        let pictures = match photos {
            true => self.tab().all_beside(Store::Photos).await?,
            false => Vec::new(),
        };
        let pictures = pictures.into_iter().filter(|(hash, _)| hash.parse::<journal::Hash>().is_ok());
        let pictures = pictures.filter_map(|(hash, value)| Some((hash, picture(value)?))).collect();
        let lacks = to.map(|to| exchange.heard.get(&to).map(|heard| heard.heads.clone()).unwrap_or_default());
        let making = Making { lacks, people, readme: words::bundles::README.to_owned(), ..making };
        let task = Task { op: "make", ask: json(&making)?, lines, photos: buffers(pictures).await, ..Task::default() };
        Ok(run(task, running, told).await?.file.ok_or(Failed::Ended)?)
    }

    /// What any bundle from here says, with what is known of other devices, and all lines.
    async fn making(&self) -> Result<(Making, Exchange, String), Trouble> {
        let writer = self.writer().await?;
        let signed = everything_signed(*self).await.map_err(|_| Trouble::PartMissing)?;
        let (Everything { me, exchange, lines, .. }, own) = signed.await?;
        let me = me.unwrap_or(writer);
        let making = Making {
            book: me.book,
            joined: exchange.joined.clone(),
            by: me.dev,
            app: env!("CARGO_PKG_VERSION").to_owned(),
            made: clock::wall().text,
            own,
            signed: exchange.signed.clone(),
            lacks: None,
            people: Vec::new(),
            readme: String::new(),
        };
        Ok((making, exchange, lines))
    }

    /// What passes between this device and one that says it has this much, and a bundle of what it lacks, where it lacks
    /// anything: without photos and people's details.
    pub async fn answer(&self, theirs: &Heads, running: Running) -> Result<(Gap, Option<ArrayBuffer>), NoBundle> {
        // Nothing to give makes no barn of its own.
        if self.peek(|book| book.journal().chains().next().is_none()) {
            let get = theirs.values().fold(0, |sum: u32, (seq, _)| sum.saturating_add(*seq));
            return Ok((Gap { give: 0, get }, None));
        }
        let (making, _, lines) = self.making().await?;
        let task = Task { op: "answer", ask: json(&(making, theirs))?, lines, ..Task::default() };
        let answer = run(task, running, |_| {}).await?;
        let (give, get) = serde_json::from_str(&answer.ask).map_err(|error| Failed::Said(error.to_string()))?;
        Ok((Gap { give, get }, answer.file))
    }

    /// Notes that a bundle was handed out.
    pub async fn bundle_given(&self) -> Result<(), Trouble> {
        let now = clock::wall().ms;
        self.tab().note(|exchange| exchange.made_ms = Some(now)).await?;
        self.changed();
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
        let all = self.everything().await?;
        let own = all.me.as_ref().map(|me| me.dev);
        let ask = Asked {
            // A device that has written nothing belongs to no book yet.
            book: all.me.as_ref().map(|me| me.book).filter(|_| !all.lines.is_empty()),
            joined: all.exchange.joined,
            signed: all.exchange.signed,
            own,
            join,
            wall_ms: clock::wall().ms,
        };
        let task = Task { op: "look", ask: json(&ask)?, lines: all.lines, file: Some(file), ..Task::default() };
        let answer = run(task, running, told).await?;
        let looked: Looked = serde_json::from_str(&answer.ask).map_err(|error| Failed::Said(error.to_string()))?;
        let (looked, lines, photos) = (Rc::new(looked), answer.lines.into(), Rc::new(answer.photos));
        Ok(Opened { looked, lines, photos, epoch: all.covered.epoch, own })
    }

    /// Takes a bundle in: all of it, or on any trouble nothing. `told` hears the share, in percent, that is also folded.
    pub async fn take_bundle(&self, opened: &Opened, told: impl Fn(u32) + 'static) -> Result<(), Trouble> {
        take(*self, opened.clone(), Box::new(told)).await.map_err(|_| Trouble::PartMissing)?.await?;
        self.changed();
        // The lines are durable: the state beside them only spares the next start their adding up.
        let barn = *self;
        spawn_local(async move { barn.keep_state().await });
        Ok(())
    }

    async fn take(&self, opened: &Opened, told: impl Fn(u32)) -> Result<(), Trouble> {
        let looked = &opened.looked;
        let photos: Vec<(String, Value)> = opened
            .photos
            .iter()
            .filter_map(|(hash, bytes)| Some((hash.clone(), Value::Other(Rc::new(blob(bytes)?)))))
            .collect();
        let (people_lock, people) = self.arriving(&looked.people).await?;
        let erased: Vec<String> = looked.erased.iter().map(ToString::to_string).collect();
        let successor = match opened.own {
            Some(dev) if looked.own_elsewhere => Successor::Renamed { book: looked.book, dev },
            _ => Successor::Same { book: looked.book },
        };
        let intake = Intake {
            lines: &opened.lines,
            photos: &photos,
            people: &people,
            people_lock: people_lock.as_deref(),
            erased: &erased,
            epoch: opened.epoch,
            successor,
        };
        let now = clock::wall().ms;
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
        self.tab().take_in(&intake, note, told).await
    }

    /// Sets a bundle's acts aside, or takes them back, and reads everything anew.
    pub async fn set_aside(&self, import: u32, aside: bool) -> Result<(), Trouble> {
        put_aside(*self, import, aside).await.map_err(|_| Trouble::PartMissing)?.await?;
        self.changed();
        let barn = *self;
        spawn_local(async move { barn.keep_state().await });
        // Taken back in, it may bring word of details that somebody erased.
        self.sweep_people().await
    }

    /// Everything as spreadsheets, one file a kind, in one archive. Returns the file's bytes.
    pub async fn make_sheets(&self, running: Running) -> Result<JsValue, NoBundle> {
        self.until_whole().await;
        let sheets = self.peek(desk::sheet::tables);
        let named: Vec<_> = sheets.into_iter().map(|sheet| (words::sheets::file(&sheet.word), sheet.rows)).collect();
        let task = Task { op: "sheets", ask: json(&named)?, ..Task::default() };
        Ok(run(task, running, |_| {}).await?.file.map(Into::into).ok_or(Failed::Ended)?)
    }

    /// The rows of a spreadsheet's file, each with its number.
    pub async fn read_table(&self, file: ArrayBuffer, running: Running) -> Result<Vec<(usize, Vec<String>)>, NoBundle> {
        let task = Task { op: "table", file: Some(file), ..Task::default() };
        let answer = run(task, running, |_| {}).await?;
        Ok(serde_json::from_str(&answer.ask).map_err(|error| Failed::Said(error.to_string()))?)
    }

    /// Pictures held here, by the season they belong to.
    pub async fn photo_seasons(&self) -> Result<BTreeMap<PhotoSeason, Vec<String>>, Trouble> {
        let held: BTreeSet<String> = self.tab().keys_beside(Store::Photos).await?.into_iter().collect();
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
        let both: Vec<String> = hashes.iter().flat_map(|hash| [hash.clone(), small_key(hash)]).collect();
        self.tab().drop_beside(Store::Photos, &both).await
    }
}

fn json<T: serde::Serialize>(value: &T) -> Result<String, Trouble> {
    serde_json::to_string(value).map_err(|error| Trouble::Act(error.to_string()))
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
pub(super) fn blob(bytes: &JsValue) -> Option<JsValue> {
    let options = web_sys::BlobPropertyBag::new();
    options.set_type("image/jpeg");
    let parts = js_sys::Array::of1(bytes);
    web_sys::Blob::new_with_buffer_source_sequence_and_options(&parts, &options).ok().map(Into::into)
}
