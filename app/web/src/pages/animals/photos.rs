//! The photos of one animal over time, and which of them it is known by.

use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::day::{Seen, SeenField};
use crate::ui::forms::TextField;
use crate::ui::photo::{Kept, Photo, caption, keep};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, animals as animal_words, dates, names, notes as said};
use book::acts::{FaceChosen, PhotoTaken};
use book::views::{Face, PhotoLine, face_of, photos_of};
use book::{AnimalId, PhotoId};
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn AnimalPhotos(id: String) -> impl IntoView {
    let barn = barn();
    let id = AnimalId::new(id);
    let name = barn.peek(|book| names::animal(book, &id));
    if barn.peek(|book| book.animal(&id).is_none()) {
        return view! {
            <div class="page"><Empty text=animal_words::NO_SUCH><a class="act main" href=Page::Animals.href()>{animal_words::TO_LIST}</a></Empty></div>
        }
        .into_any();
    }
    let back = (Page::Animal(id.to_string()), name.clone());
    let of = StoredValue::new((id, name.clone()));
    let lines = Memo::new(move |_| of.with_value(|(id, _)| barn.read(|book| photos_of(book, &id.thing()))));
    let face = Memo::new(move |_| of.with_value(|(id, _)| barn.read(|book| face_of(book, id))));
    view! {
        <div class="page with-acts">
            <Head title=said::photos_of(&name) back />
            {move || lines.with(Vec::is_empty).then(|| view! { <Empty text=said::NO_PHOTOS /> })}
            <div class="photos large">
                // One by one: a picture that stays is not fetched anew when another comes.
                <For each=move || lines.get() key=|line| (line.id.clone(), line.when, line.note.clone()) let:line>
                    {one(line, of.get_value(), face)}
                </For>
            </div>
            {move || face.with(|face| face.as_ref().is_some_and(|face| face.chosen)).then(|| {
                let newest = move |_| choose(barn, of.with_value(|(id, _)| id.clone()), None);
                view! { <button type="button" class="act small" on:click=newest>{said::FACE_NEWEST}</button> }
            })}
            <Add of />
        </div>
    }
    .into_any()
}

fn choose(barn: Barn, animal: AnimalId, photo: Option<PhotoId>) {
    let told = if photo.is_some() { said::FACE_SAVED } else { said::FACE_NEWEST_SAVED };
    barn.save(FaceChosen { animal, photo }, told, |_| {});
}

/// A photo, its day, and whether it is the one in lists.
fn one(line: PhotoLine, (animal, name): (AnimalId, String), face: Memo<Option<Face>>) -> AnyView {
    let barn = barn();
    let when = line.when.map(|when| dates::when(when, clock::today())).unwrap_or_default();
    let (alt, caption, id) = (said::photo_of(&name, &when), caption(&line, &when), line.id.clone());
    let label = said::face_of(&when);
    let (mine, said_face) =
        (line.id.clone(), move |chosen| if chosen { said::FACE_CHOSEN } else { said::FACE_IS_NEWEST });
    let standing = move || face.with(|face| face.as_ref().filter(|face| face.photo == mine).map(|face| face.chosen));
    let shown = move || match standing() {
        Some(chosen) => view! { <p class="quiet">{said_face(chosen)}</p> }.into_any(),
        None => {
            let (animal, id) = (animal.clone(), id.clone());
            let tap = move |_| choose(barn, animal.clone(), Some(id.clone()));
            view! { <button type="button" class="act small" aria-label=label.clone() on:click=tap>{said::FACE}</button> }
                .into_any()
        }
    };
    view! { <figure><Photo line alt />{caption}{shown}</figure> }.into_any()
}

/// One chosen or taken with the camera is saved at once; on another day, and with a note, if that was said before.
#[component]
fn Add(of: StoredValue<(AnimalId, String)>) -> impl IntoView {
    let barn = barn();
    let (seen, note, busy) = (Seen::now(), RwSignal::new(String::new()), RwSignal::new(false));
    let picked = NodeRef::<Input>::new();
    let took = move |_| {
        let Some(input) = picked.get_untracked() else { return };
        let file = input.files().and_then(|files| files.get(0));
        let (Some(file), Some(when)) = (file, seen.get()) else { return input.set_value("") };
        let (about, said_of) = (of.with_value(|(id, _)| id.thing()), note.get_untracked());
        busy.set(true);
        spawn_local(async move {
            // Saved also when the page is left meanwhile.
            match keep(barn, &file).await {
                Ok(Kept { sha256, digest, width, height }) => {
                    let act = PhotoTaken { about, when, sha256, digest, width, height, note: said_of };
                    barn.save(act, said::PHOTO_SAVED, move |_| drop(note.try_set(String::new())));
                }
                Err(why) => barn.amiss(why),
            }
            // The same one may be chosen again.
            input.set_value("");
            let _ = busy.try_set(false);
        });
    };
    view! {
        <details>
            <summary>{said::PHOTO_MORE}</summary>
            <SeenField seen />
            <TextField label=animal_words::NOTE_TEXT value=note />
        </details>
        <p class="hint">{said::PHOTO_HINT}</p>
        <div class="acts">
            <label class="act main photo-pick">
                {move || if busy.get() { all_words::WORKING } else { said::ADD_PHOTO }}
                <input node_ref=picked class="unseen" type="file" accept="image/*" disabled=busy on:change=took />
            </label>
        </div>
    }
}
