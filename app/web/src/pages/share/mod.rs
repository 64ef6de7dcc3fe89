//! Devices kept in step through a store that they share: set up, joined, looked after.

mod access;
mod along;
mod going;
mod joining;
mod set_up;
mod spares;

use crate::route::{Go, Page};
use crate::store::barn;
use crate::store::sharing::Going;
use crate::ui::Head;
use crate::words::{bundles, share as words};
use access::TakeOut;
use along::Along;
use going::{InStep, LetIn};
use joining::{Joining, WAITS};
use leptos::prelude::*;
use set_up::SetUp;
use share::wire::Seen;
use spares::SpareCopies;

#[component]
pub fn Share() -> impl IntoView {
    let barn = barn();
    let is_on = Memo::new(move |_| barn.invitation().is_some());
    // Scanned on a device that is in step already: with a new key, say.
    let asked = RwSignal::new(WAITS.with_borrow(|text| !text.is_empty()));
    let joined = Callback::new(move |()| {
        let _ = asked.try_set(false);
    });
    // A new key comes with another device's invitation.
    let moved = Memo::new(move |_| matches!(barn.going(), Going::On(told) if told.notices.contains(&Seen::Moved)));
    let demo = if asked.get_untracked() { words::DEMO_ASKED } else { words::DEMO };
    let is_off = Memo::new(move |_| barn.going() == Going::Off);
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() back=(Page::Bundles, bundles::TITLE.to_owned()) />
            <p class="sub">{words::SAID}</p>
            <p class="sub">{words::GOES}</p>
            {move || match (barn.demo, is_on.get() && !is_off.get()) {
                (true, _) => view! { <p class="card">{demo}</p> }.into_any(),
                (_, true) => view! {
                    {move || (asked.get() || moved.get()).then(|| view! { <Joining joined /> })}
                    <InStep />
                    {move || (!moved.get()).then(|| view! { <LetIn /> })}
                    <Along /><SpareCopies /><TakeOut />
                }.into_any(),
                (_, false) => view! { <Joining joined /><SetUp /> }.into_any(),
            }}
        </div>
    }
}

/// An invitation scanned by the phone's own camera. It opens the barn's store, so it does not stay in the address.
pub fn join(text: String) -> AnyView {
    WAITS.set(text);
    request_animation_frame(|| Page::Share.replace());
    ().into_any()
}
