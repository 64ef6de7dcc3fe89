//! What goes on while this tab shares: tells the worker what changes here, and answers for the records.

use super::beside::Levelling;
use super::post::Post;
use super::spare::Spares;
use super::{Going, KEPT, RUNNING, Why, keep, key};
use crate::store::keys::sign_text;
use crate::store::{Barn, Trouble};
use crate::words;
use gloo_storage::{LocalStorage, Storage};
use journal::bundle::Signed;
use journal::{DeviceId, Hash, Ref};
use leptos::leptos_dom::helpers::IntervalHandle;
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::wire::{PageReply, Start, ToPage, ToWorker, Told};
use share::{Held, Invitation, Setup};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::{Rc, Weak};
use std::time::Duration;
use storage::{Branch, Exchange};
use wasm_bindgen::JsCast;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;
use web_sys::BroadcastChannel;

/// How often the line that says how long ago is said anew.
const BEAT: Duration = Duration::from_secs(30);

/// The branch that is being sent: it is asked for in parts.
struct Sending {
    to: Ref,
    after: Vec<Ref>,
    lines: Branch,
}

pub struct Shell {
    barn: Barn,
    post: Post,
    /// As the worker was last told.
    setup: RefCell<Setup>,
    held: RefCell<Held>,
    sending: RefCell<Option<Sending>>,
    pub spares: Spares,
    pub photos: Levelling,
    pub people: Levelling,
    /// What follows the records ends with it.
    owner: Owner,
    beat: Option<IntervalHandle>,
    network: Closure<dyn Fn()>,
    told: Closure<dyn Fn()>,
    channel: Option<BroadcastChannel>,
    /// Hears that another tab wrote to local storage.
    settings: Closure<dyn Fn()>,
}

impl Drop for Shell {
    fn drop(&mut self) {
        self.owner.cleanup();
        if let Some(beat) = self.beat.take() {
            beat.clear();
        }
        if let Some(channel) = &self.channel {
            channel.close();
        }
        let function = self.network.as_ref().unchecked_ref();
        for event in ["online", "offline"] {
            let _ = window().remove_event_listener_with_callback(event, function);
        }
        let _ = document().remove_event_listener_with_callback("visibilitychange", function);
        let _ = window().remove_event_listener_with_callback("storage", self.settings.as_ref().unchecked_ref());
    }
}

/// Who shares here, as it is stored: another tab may have given this device another name.
async fn setup(barn: Barn, invitation: &Invitation) -> Result<Setup, Why> {
    let known = barn.tab().signer().await.map_err(Why::Trouble)?;
    let (me, _) = known.ok_or(Why::Trouble(Trouble::Removed))?;
    let mut joined = barn.tab().exchange().joined;
    joined.push(me.book);
    if me.book != invitation.book && !joined.contains(&invitation.book) {
        return Err(Why::OtherBook);
    }
    joined.retain(|other| *other != invitation.book);
    joined.sort_unstable();
    joined.dedup();
    Ok(Setup {
        book: invitation.book,
        joined,
        writes_in: me.book,
        dev: me.dev,
        key: me.identity().map_err(Why::Trouble)?.key,
        app: env!("CARGO_PKG_VERSION").to_owned(),
        deletes: true,
    })
}

fn held(barn: Barn) -> Held {
    let exchange = barn.tab().exchange();
    barn.peek(|book| Held::of(book.journal(), &exchange.signed))
}

impl Shell {
    pub async fn start(barn: Barn, invitation: Invitation, folder: Option<JsValue>) -> Result<Rc<Shell>, Why> {
        let setup = setup(barn, &invitation).await?;
        let (held, used) = (held(barn), invitation.clone());
        let kept = LocalStorage::raw().get_item(&key(KEPT)).ok().flatten();
        let start = ToWorker::Start(Box::new(Start {
            setup: setup.clone(),
            store: invitation.store,
            secret: invitation.secret,
            held: held.clone(),
            kept,
        }));
        // What an ended worker still says is for nobody: its numbers are another one's too.
        let own: Rc<RefCell<Weak<Shell>>> = Rc::default();
        let (heard, failed) = (own.clone(), own.clone());
        let running = |own: &RefCell<Weak<Shell>>| own.borrow().upgrade().filter(Shell::is_running);
        let post = Post::start(
            move |said, file| {
                let Some(shell) = running(&heard) else { return };
                match said {
                    ToPage::Spares(_) | ToPage::SparePut(_) | ToPage::Spare { .. } => shell.hear_spares(said, file),
                    ToPage::Give { .. } | ToPage::Take { .. } | ToPage::Levelled { .. } => {
                        spawn_local(shell.hear_beside(said, file));
                    }
                    _ => spawn_local(shell.hear(said)),
                }
            },
            move || {
                if running(&failed).is_some() {
                    barn.stop_for(Why::PartMissing);
                }
            },
        );
        let post = post.ok_or(Why::PartMissing)?;
        let shell = Rc::new_cyclic(|own: &Weak<Shell>| {
            // Something may hold on to one that has ended: it hears nothing any more.
            let running = |own: &Weak<Shell>| own.upgrade().filter(Shell::is_running);
            let (network, told, settings) = (own.clone(), own.clone(), own.clone());
            Shell {
                barn,
                post,
                setup: RefCell::new(setup),
                held: RefCell::new(held),
                sending: RefCell::new(None),
                spares: Spares::default(),
                photos: Levelling::default(),
                people: Levelling::default(),
                owner: Owner::new(),
                beat: set_interval_with_handle(move || barn.say_step_again(), BEAT).ok(),
                network: Closure::new(move || running(&network).iter().for_each(|shell| shell.tell_network())),
                told: Closure::new(move || {
                    if running(&told).is_some() {
                        // A tab that nobody sees looks when it is seen again; what is shared goes on.
                        spawn_local(async move { drop(barn.catch_up().await) });
                    }
                }),
                channel: BroadcastChannel::new(&key("")).ok(),
                settings: Closure::new(move || {
                    if running(&settings).is_some() {
                        // Not from within what is heard: it may end this very shell.
                        let used = used.clone();
                        spawn_local(async move { barn.heard_of_settings(&used) });
                    }
                }),
            }
        });
        own.replace(Rc::downgrade(&shell));
        shell.listen();
        shell.post.say(&start, folder.as_ref().map(|folder| ("folder", folder)));
        shell.tell_network();
        Ok(shell)
    }

    fn is_running(self: &Rc<Self>) -> bool {
        RUNNING.with_borrow(|running| running.as_ref().is_some_and(|running| Rc::ptr_eq(running, self)))
    }

    /// Ends its worker, and whoever waits for an answer of it has none. Something may hold on to the rest for a while.
    pub fn end(&self) {
        self.spares.give_up();
        self.post.end();
    }

    fn listen(self: &Rc<Self>) {
        let function = self.network.as_ref().unchecked_ref();
        for event in ["online", "offline"] {
            let _ = window().add_event_listener_with_callback(event, function);
        }
        let _ = document().add_event_listener_with_callback("visibilitychange", function);
        let _ = window().add_event_listener_with_callback("storage", self.settings.as_ref().unchecked_ref());
        if let Some(channel) = &self.channel {
            channel.set_onmessage(Some(self.told.as_ref().unchecked_ref()));
        }
        let own = Rc::downgrade(self);
        let barn = self.barn;
        self.owner.with(move || {
            Effect::new(move |_| {
                // For a newer version in another tab: this one writes nothing any more.
                if barn.let_go.get().is_some() {
                    spawn_local(async move { barn.end_sharing_here() });
                }
            });
            Effect::new(move |before: Option<()>| {
                barn.follow();
                if before.is_some()
                    && let Some(shell) = own.upgrade()
                {
                    spawn_local(shell.tell_changes());
                }
            });
        });
    }

    pub fn say(&self, what: &ToWorker) {
        self.post.say(what, None);
    }

    pub fn say_with(&self, what: &ToWorker, beside: (&str, &JsValue)) {
        self.post.say(what, Some(beside));
    }

    /// Looks and sends at once.
    pub fn step_now(&self) {
        self.level_anew();
        self.say(&ToWorker::ByHand);
    }

    pub fn barn(&self) -> Barn {
        self.barn
    }

    /// Makes something that lives as long as this does.
    pub fn owned<T>(&self, make: impl FnOnce() -> T) -> T {
        self.owner.with(make)
    }

    fn tell_network(&self) {
        self.say(&ToWorker::Network(window().navigator().on_line()));
    }

    /// The worker hears what is held now, and who writes here.
    async fn tell_changes(self: Rc<Self>) {
        let Some(invitation) = super::settings() else { return };
        let Ok(setup) = setup(self.barn, &invitation).await else { return };
        if !self.is_running() {
            return;
        }
        let before = self.setup.replace(setup.clone());
        if (setup.writes_in, &setup.joined) != (before.writes_in, &before.joined) {
            // Another barn's records are this one's too from now on: the worker begins anew.
            super::end_running();
            return self.barn.share();
        }
        if setup.dev != before.dev {
            self.say(&ToWorker::Renamed { dev: setup.dev, key: setup.key });
        }
        let held = held(self.barn);
        if self.held.replace(held.clone()) != held {
            self.say(&ToWorker::Changed(held));
        }
    }

    async fn hear(self: Rc<Self>, said: ToPage) {
        match said {
            ToPage::Lines { id, to, after, most } => {
                let lines = self.lines(to, &after, most).await;
                self.answer(id, lines.map_or(PageReply::Nothing, PageReply::Lines));
            }
            ToPage::Holds { id, acts } => {
                let holds = self.barn.tab().holds(&acts).await;
                self.answer(id, holds.map_or(PageReply::Nothing, PageReply::Holds));
            }
            ToPage::Sign { id, texts } => {
                let signatures = self.sign(&texts).await;
                self.answer(id, signatures.map_or(PageReply::Nothing, PageReply::Signed));
            }
            ToPage::TakeIn { id, lines, signed } => {
                let reply = match self.take_in(&lines, &signed).await {
                    Ok(()) => PageReply::TakenIn(held(self.barn)),
                    Err(Trouble::Act(why)) => PageReply::Refused(why),
                    // These last: said, and gone on with when somebody asks for it.
                    Err(
                        why
                        @ (Trouble::Full | Trouble::LetGo | Trouble::Removed | Trouble::Damaged(_) | Trouble::Newer),
                    ) => {
                        if self.is_running() {
                            self.barn.stop_for(Why::Trouble(why));
                        }
                        return;
                    }
                    Err(_) => PageReply::Nothing,
                };
                self.answer(id, reply);
            }
            ToPage::NewName { id } => {
                // Not done now, it is asked for again.
                if self.barn.tab().new_name().await.is_ok() {
                    self.barn.changed();
                    self.clone().tell_changes().await;
                }
                self.answer(id, PageReply::Nothing);
            }
            ToPage::Keep(text) => drop(keep(KEPT, Some(&text))),
            ToPage::Told(told) => self.tell(told),
            ToPage::Unusable => self.barn.stop_for(Why::Unusable),
            ToPage::Key(_)
            | ToPage::Tried(_)
            | ToPage::Spares(_)
            | ToPage::SparePut(_)
            | ToPage::SaidMoved
            | ToPage::Spare { .. }
            | ToPage::Give { .. }
            | ToPage::Take { .. }
            | ToPage::Levelled { .. } => {}
        }
    }

    fn answer(&self, id: u64, reply: PageReply) {
        self.say(&ToWorker::Answer { id, reply });
    }

    fn tell(self: &Rc<Self>, told: Told) {
        if let share::Status::InStep { .. } = told.status {
            self.sending.replace(None);
        }
        self.barn.set_going(Going::On(told));
        self.spare_if_due();
        self.level_if_due();
    }

    /// Lines to be sent, as many as are wanted of the branch; none where they are not all here.
    async fn lines(&self, to: Ref, after: &[Ref], most: usize) -> Result<Option<Vec<String>>, Trouble> {
        let fits = |sending: &Sending| sending.to == to && sending.after.iter().all(|act| after.contains(act));
        if !self.sending.borrow().as_ref().is_some_and(fits) {
            let lines = self.barn.tab().branch(to, after).await?;
            let sending = lines.map(|lines| Sending { to, after: after.to_vec(), lines });
            self.sending.replace(sending);
        }
        let sending = self.sending.borrow();
        let Some(Sending { lines, .. }) = &*sending else { return Ok(None) };
        let sent = |(seq, line): &(u32, String)| {
            let named = |act: &&Ref| act.dev == to.dev && act.seq == *seq;
            after.iter().filter(named).any(|act| act.hash == Hash::of(line.as_bytes()))
        };
        let from = lines.iter().rposition(sent).map_or(0, |at| at + 1);
        Ok(Some(lines[from..].iter().take(most).map(|(_, line)| line.clone()).collect()))
    }

    async fn sign(&self, texts: &[String]) -> Option<Vec<journal::Signature>> {
        let (_, signer) = self.barn.tab().signer().await.ok()??;
        let mut signatures = Vec::with_capacity(texts.len());
        for text in texts {
            signatures.push(sign_text(&signer, text).await?);
        }
        Some(signatures)
    }

    async fn take_in(&self, lines: &[String], signed: &BTreeMap<DeviceId, Signed>) -> Result<(), Trouble> {
        let tab = self.barn.tab();
        tab.arrive(lines).await?;
        // An end that is not here vouches for nothing yet.
        let here = |(dev, end): &(&DeviceId, &Signed)| tab.book().journal().holds(**dev, end.count, &end.head);
        let known = tab.exchange().signed;
        let newer = |(dev, end): &(&DeviceId, &Signed)| known.get(dev).is_none_or(|old| old.count < end.count);
        let signed: Vec<(&DeviceId, &Signed)> = signed.iter().filter(here).filter(newer).collect();
        if !signed.is_empty() {
            let note = |exchange: &mut Exchange| exchange.signed.extend(signed.iter().map(|(dev, end)| (**dev, **end)));
            tab.note(note).await?;
        }
        self.barn.changed();
        self.barn.keep_state().await;
        // Word may have come of details that somebody erased.
        self.barn.sweep_people().await
    }
}

impl Barn {
    /// How long ago is another time by now.
    fn say_step_again(&self) {
        let _ = self.step.try_set(words::share::line(&super::going().get_untracked()));
    }
}
