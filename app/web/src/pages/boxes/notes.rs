//! A note about a thing, with a photo if wanted.

use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::photo::{Kept, keep};
use crate::words::{self, notes as said};
use book::Thing;
use book::acts::{Noted, PhotoTaken};
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn NoteForm(
    about: Thing,
    /// Called when saved; without it the page of the thing is gone to.
    #[prop(optional)]
    done: Option<Callback<()>>,
) -> impl IntoView {
    let barn = barn();
    let text = RwSignal::new(String::new());
    let picked = NodeRef::<Input>::new();
    let photo_name = RwSignal::new(String::new());
    let seen = Seen::now();
    let back = Page::of(&about).unwrap_or(Page::Daybook);
    let save = move |_| {
        let file = picked.get_untracked().and_then(|i| i.files()).and_then(|f| f.get(0));
        let note = text.get_untracked().trim().to_owned();
        if note.is_empty() && file.is_none() {
            return barn.amiss(said::NOTHING_YET.into());
        }
        let Some(when) = seen.get() else { return };
        let (about, back) = (about.clone(), back.clone());
        let leave = move || match done {
            // The page may have gone meanwhile.
            Some(done) => {
                let _ = done.try_run(());
            }
            None => back.replace(),
        };
        spawn_local(async move {
            if let Some(file) = file {
                match keep(barn, &file).await {
                    Ok(Kept { sha256, digest, width, height }) => {
                        let (about, note) = (about.clone(), String::new());
                        let act = PhotoTaken { about, when, sha256, digest, width, height, note };
                        let leave = leave.clone();
                        barn.save(act, said::PHOTO_SAVED, move |_| leave());
                    }
                    Err(why) => return barn.amiss(why),
                }
            }
            if !note.is_empty() {
                barn.save(Noted { about, when, text: note }, said::SAVED, move |_| leave());
            }
        });
    };
    view! {
        <label class="field"><span>{said::TEXT}</span>
            <textarea rows="4" maxlength="4000" prop:value=text on:input=move |ev| text.set(event_target_value(&ev))></textarea>
        </label>
        <label class="act photo-pick">
            {move || if photo_name.get().is_empty() { said::ADD_PHOTO.to_string() } else { photo_name.get() }}
            <input node_ref=picked class="unseen" type="file" accept="image/*" on:change=move |_| {
                let name = picked.get_untracked().and_then(|i| i.files()).and_then(|f| f.get(0)).map(|f| f.name());
                photo_name.set(name.unwrap_or_default());
            } />
        </label>
        <WhenFold seen />
        <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
    }
}
