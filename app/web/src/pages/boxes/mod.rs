//! Egg boxes: the list, a box's page, and what is done at a box.

mod candle;
mod clutch;
pub mod draw;
mod hatching;
mod later;
mod leave;
mod list;
mod moving;
mod nest;
mod notes;
mod page;
mod setup;
mod water;
mod window;

pub use clutch::ClutchPage;
pub use later::EggsLater;
pub use list::{Boxes, ListBeside, lanes, strip};
pub use nest::taking;
pub use notes::NoteForm;
pub use page::{BoxPage, Lines};
pub use window::burn;

use crate::route::{BoxAct, Page};
use crate::store::barn;
use crate::ui::{Empty, Head};
use crate::words::{self, boxes as said, names};
use book::FillingId;
use leptos::prelude::*;

/// One of the acts at a box; a box that is not in the records says so.
#[component]
pub fn BoxActPage(id: String, act: BoxAct) -> impl IntoView {
    let id = FillingId::from(id.as_str());
    if barn().peek(|book| book.filling(&id).is_none()) {
        return view! { <NoBox /> }.into_any();
    }
    let nest = barn().peek(|book| book.is_nest(&id));
    match act {
        BoxAct::Water | BoxAct::Taken if nest => view! { <nest::NothingWeighed id /> }.into_any(),
        BoxAct::Candle => view! { <candle::Candle id /> }.into_any(),
        BoxAct::Water => view! { <water::Water id /> }.into_any(),
        BoxAct::Pipped => view! { <hatching::Hatching id out=false /> }.into_any(),
        BoxAct::Out => view! { <hatching::Hatching id out=true /> }.into_any(),
        BoxAct::Hatch => view! { <crate::pages::babies::HatchOut id /> }.into_any(),
        BoxAct::Move => view! { <moving::MoveBox id /> }.into_any(),
        BoxAct::Eggs => view! { <leave::EggsLeave id /> }.into_any(),
        BoxAct::Setup => view! { <setup::Setup id /> }.into_any(),
        BoxAct::Taken => view! { <setup::Taken id /> }.into_any(),
        BoxAct::Note => {
            let name = barn().peek(|book| names::filling(book, &id));
            let back = Page::Box(id.to_string());
            view! {
                <div class="page alone">
                    <Head title=said::NOTE.to_string() back=(back, name) />
                    <NoteForm about=id.thing() />
                </div>
            }
            .into_any()
        }
    }
}

#[component]
pub fn NoBox() -> impl IntoView {
    view! {
        <div class="page">
            <Empty text=said::NO_BOX><a class="act main" href=Page::Boxes.href()>{said::TITLE}</a></Empty>
            <p class="aside">{words::FROM_ANOTHER_DEVICE}</p>
        </div>
    }
}
