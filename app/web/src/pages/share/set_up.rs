//! Where the store is, what opens it, and whether it does what is asked of it.

use crate::store::barn;
use crate::store::sharing::{has_folders, pick_folder};
use crate::ui::forms::{Choice, Faults, TextField};
use crate::words::share as words;
use desk::forms::share::{StoreForm, StoreKind};
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::store::No;
use share::wire::{StoreAt, Trial, Tried, Went};
use wasm_bindgen::JsValue;

/// The form's fields, as they are typed in.
#[derive(Clone, Copy)]
struct Fields {
    kind: RwSignal<StoreKind>,
    address: RwSignal<String>,
    user: RwSignal<String>,
    password: RwSignal<String>,
    region: RwSignal<String>,
    bucket: RwSignal<String>,
    key: RwSignal<String>,
    secret: RwSignal<String>,
    folder: RwSignal<Option<(String, JsValue)>, LocalStorage>,
}

impl Fields {
    fn new() -> Self {
        let text = || RwSignal::new(String::new());
        Self {
            kind: RwSignal::new(StoreKind::Web),
            address: text(),
            user: text(),
            password: text(),
            region: text(),
            bucket: text(),
            key: text(),
            secret: text(),
            folder: RwSignal::new_local(None),
        }
    }

    fn form(&self) -> StoreForm {
        StoreForm {
            address: self.address.get(),
            user: self.user.get(),
            password: self.password.get(),
            region: self.region.get(),
            bucket: self.bucket.get(),
            key: self.key.get(),
            secret: self.secret.get(),
        }
    }

    /// The store, where all that is needed is there.
    fn store(&self, faults: Faults) -> Option<(StoreAt, Option<JsValue>)> {
        let kind = self.kind.get_untracked();
        let secure = window().location().protocol().is_ok_and(|protocol| protocol == "https:");
        let form = faults.pass(untrack(|| self.form()).checked(kind, secure))?;
        let StoreForm { address, user, password, region, bucket, key, secret } = form;
        Some(match kind {
            StoreKind::Web => (StoreAt::Web { address, user, password }, None),
            StoreKind::Bucket => (StoreAt::Bucket { address, region, bucket, key, secret }, None),
            StoreKind::Folder => {
                let (name, folder) = self.folder.get_untracked()?;
                (StoreAt::Folder { name }, Some(folder))
            }
        })
    }
}

#[component]
pub fn SetUp() -> impl IntoView {
    let barn = barn();
    let fields = Fields::new();
    let faults = Faults::new();
    let tried = RwSignal::new(None::<Vec<Tried>>);
    let failed = RwSignal::new(None::<String>);
    let busy = RwSignal::new(false);
    // What was tried is what stands there.
    Effect::new(move |before: Option<()>| {
        fields.kind.track();
        fields.folder.track();
        fields.form();
        if before.is_some() {
            tried.set(None);
            failed.set(None);
        }
    });
    let try_it = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some((store, folder)) = fields.store(faults).filter(|_| !busy.get_untracked()) else { return };
        busy.set(true);
        tried.set(None);
        spawn_local(async move {
            match barn.try_store(store, folder).await {
                Ok(steps) => drop(tried.try_set(Some(steps))),
                Err(why) => drop(failed.try_set(Some(words::stopped(&why)))),
            }
            let _ = busy.try_set(false);
        });
    };
    let begin = move |_| {
        let Some((store, folder)) = fields.store(faults).filter(|_| !busy.get_untracked()) else { return };
        busy.set(true);
        spawn_local(async move {
            if let Err(why) = barn.begin_sharing(store, folder).await {
                let _ = failed.try_set(Some(words::stopped(&why)));
            }
            let _ = busy.try_set(false);
        });
    };
    let kinds = [
        (StoreKind::Web, words::WEB.to_owned()),
        (StoreKind::Bucket, words::BUCKET.to_owned()),
        (StoreKind::Folder, words::FOLDER.to_owned()),
    ];
    let kinds = kinds.into_iter().filter(|(kind, _)| *kind != StoreKind::Folder || has_folders()).collect();
    view! {
        <h2>{words::SET_UP}</h2>
        <form class="card stack" on:submit=try_it novalidate>
            <Choice label=words::WHERE options=kinds value=fields.kind />
            {move || match fields.kind.get() {
                StoreKind::Web => web(fields, faults),
                StoreKind::Bucket => bucket(fields, faults),
                StoreKind::Folder => folder(fields),
            }}
            <button type="submit" class="act" disabled=busy>
                {move || if busy.get() { words::TRYING } else { words::TRY }}
            </button>
            {move || tried.get().map(|steps| view! { <Steps steps /> })}
            {move || failed.get().map(|why| view! { <p class="hint bad" role="alert">{why}</p> })}
            {move || tried.get().is_some_and(|steps| works(&steps)).then(|| view! {
                <p role="status">{words::WORKS}</p>
                <button type="button" class="act main" disabled=busy on:click=begin>{words::BEGIN}</button>
            })}
        </form>
    }
}

/// Whether all that is needed works: deleting is not.
fn works(steps: &[Tried]) -> bool {
    steps.iter().all(|tried| tried.went == Went::Well || tried.step == Trial::Delete)
}

fn web(fields: Fields, faults: Faults) -> AnyView {
    view! {
        <TextField label=StoreForm::ADDRESS value=fields.address hint=words::ADDRESS_HINT faults=faults />
        <TextField label=StoreForm::USER value=fields.user faults=faults />
        <Password label=StoreForm::PASSWORD value=fields.password faults />
    }
    .into_any()
}

fn bucket(fields: Fields, faults: Faults) -> AnyView {
    view! {
        <TextField label=StoreForm::ADDRESS value=fields.address hint=words::SERVER_HINT faults=faults />
        <TextField label=StoreForm::BUCKET value=fields.bucket faults=faults />
        <TextField label=StoreForm::REGION value=fields.region hint=words::REGION_HINT faults=faults />
        <TextField label=StoreForm::KEY value=fields.key faults=faults />
        <Password label=StoreForm::SECRET value=fields.secret faults />
    }
    .into_any()
}

fn folder(fields: Fields) -> AnyView {
    let choose = move |_| {
        spawn_local(async move {
            // Nothing chosen leaves what was.
            if let Some(chosen) = pick_folder().await {
                let _ = fields.folder.try_set(Some(chosen));
            }
        });
    };
    view! {
        <p>{words::FOLDER_HINT}</p>
        <button type="button" class="act small" on:click=choose>{words::CHOOSE_FOLDER}</button>
        {move || fields.folder.with(|folder| folder.as_ref().map(|(name, _)| view! { <p class="title">{name.clone()}</p> }))}
    }
    .into_any()
}

/// What opens the store, not shown while it is typed.
#[component]
pub fn Password(label: &'static str, value: RwSignal<String>, faults: Faults) -> impl IntoView {
    let typed = move |ev: leptos::ev::Event| {
        value.set(event_target_value(&ev));
        faults.typed(label);
    };
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="password" autocomplete="off" data-field=label prop:value=value
                aria-invalid=move || faults.at(label).is_some().to_string() on:input=typed />
            {move || faults.at(label).map(|bad| view! { <span class="hint bad" role="alert">{bad}</span> })}
        </label>
    }
}

#[component]
fn Steps(steps: Vec<Tried>) -> impl IntoView {
    let silent = steps.iter().any(|tried| tried.went == Went::No(No::Network));
    let line = |tried: &Tried| {
        let bad = !matches!(tried.went, Went::Well | Went::NotTried) && tried.step != Trial::Delete;
        view! {
            <li class:bad=bad><span class="title">{words::trial(tried.step)}</span>": "{words::went(tried)}</li>
        }
    };
    view! {
        <ol class="lines" role="status">{steps.iter().map(line).collect_view()}</ol>
        {silent.then(|| view! { <ServerSettings /> })}
    }
}

/// What to set at the server, ready to copy.
#[component]
fn ServerSettings() -> impl IntoView {
    let origin = window().location().origin().unwrap_or_default();
    view! {
        <p class="hint bad" role="alert">{words::NOBODY_THERE}</p>
        <details>
            <summary>{words::FOR_SERVER}</summary>
            <p>{words::NO_ANSWER}</p>
            {words::settings(&origin).into_iter().map(|(server, text)| view! {
                <h3>{server}</h3>
                <pre class="plain">{text}</pre>
            }).collect_view()}
            <p class="aside">{words::PLAIN_SERVER}</p>
        </details>
    }
}
