//! Scan: the camera reads a label and its page opens. Always beside it: a photo, and the typed code.

mod camera;
mod feel;
mod finder;
mod found;
mod keys;
mod lens;
mod reader;

pub use camera::NoCamera;
pub use feel::{hit, miss};
pub use finder::Finder;
pub use found::{FromLabel, Meant, meant};
pub use keys::{KeyReader, take_keys};
pub use lens::{Eye, Lens};
pub use reader::Read;

use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::Head;
use crate::words::scan as words;
use leptos::prelude::*;

#[component]
pub fn Scan() -> impl IntoView {
    let barn = barn();
    let said = RwSignal::new(String::new());
    let on_text = Callback::new(move |text: String| {
        if let Err(why) = heard(barn, &text) {
            said.try_set(why);
        }
    });
    view! {
        <div class="page scan">
            <Head title=words::TITLE.to_string() />
            <a class="act" href=Page::Walks.href()>{words::WALK}</a>
            <Finder on_text said />
        </div>
    }
}

/// A text was read: opens its page, or says what it is instead. Nothing but this app's own pages is ever opened.
pub fn heard(barn: Barn, text: &str) -> Result<(), String> {
    match meant(barn, text) {
        Ok(what) => {
            hit();
            if let Meant::Known(thing) = &what {
                crate::pages::babies::scanned(&thing.id);
            }
            found::follow(barn, &what.page());
            Ok(())
        }
        Err(why) => {
            miss();
            Err(why)
        }
    }
}

fn hidden() -> bool {
    web_sys::window().and_then(|w| w.document()).is_some_and(|d| d.hidden())
}
