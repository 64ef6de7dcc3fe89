//! The pages, one folder each; nothing is shared between them but `ui/`.

pub mod animals;
pub mod babies;
pub mod boxes;
pub mod bundles;
pub mod care;
pub mod clutches;
pub mod cooling;
pub mod correct;
pub mod daybook;
pub mod doubles;
pub mod genetics;
pub mod guide;
pub mod heat;
pub mod labels;
pub mod pairings;
pub mod places;
pub mod pull;
pub mod rounds;
pub mod scan;
pub mod season;
pub mod settings;
pub mod sheet;
pub mod side;
pub mod walk;

use crate::app::Lost;
use crate::route::Page;
use crate::words;
use desk::page::Beside;
use leptos::prelude::*;
use leptos::reactive::computed::ScopedFuture;
use leptos::task::spawn_local;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// The page for an address. Rounds opens with the app; the others come in parts, fetched when first asked for.
///
/// Few parts: what two of them share becomes a part of its own, so their number grows fast.
pub fn show(page: Page) -> AnyView {
    match page {
        Page::Rounds => view! { <rounds::Rounds /> }.into_any(),
        Page::Lost(_) => view! { <Lost /> }.into_any(),
        Page::Scan
        | Page::Walks
        | Page::Walk(..)
        | Page::Boxes
        | Page::Box(..)
        | Page::BoxAct(..)
        | Page::Pull(..)
        | Page::Found(..)
        | Page::Clutch(..)
        | Page::EggsLater(..)
        | Page::FromLabel(..) => later(page, |page| Box::pin(egg_room(page))),
        Page::Label(..) | Page::PrintLabels | Page::Labels(..) | Page::Printer | Page::BlankLabels => {
            later(page, |page| Box::pin(paper(page)))
        }
        _ => later(page, |page| Box::pin(office(page))),
    }
}

/// The list that stays beside the records it leads to.
pub fn beside(list: Beside) -> AnyView {
    match list {
        Beside::Boxes => later(Page::Boxes, |_| Box::pin(boxes_beside())),
        Beside::Animals => later(Page::Animals, |_| Box::pin(animals_beside())),
    }
}

#[wasm_split(egg_room, fallible)]
fn boxes_beside() -> Part {
    Ok(view! { <boxes::ListBeside /> }.into_any())
}

#[wasm_split(office, fallible)]
fn animals_beside() -> Part {
    Ok(view! { <animals::ListBeside /> }.into_any())
}

/// All sections, at the side of a wide screen.
#[wasm_split(office, fallible)]
pub fn side() -> Part {
    Ok(view! { <side::Side /> }.into_any())
}

/// What a key asks for.
#[wasm_split(office, fallible)]
pub fn pressed(act: desk::keys::Act) -> Result<(), SplitLoaderError> {
    side::pressed(act);
    Ok(())
}

type Part = Result<AnyView, SplitLoaderError>;

/// What is done with wet hands: scanning, boxes, pulling a clutch.
#[wasm_split(egg_room, fallible)]
fn egg_room(page: Page) -> Part {
    Ok(match page {
        Page::Scan => view! { <scan::Scan /> }.into_any(),
        Page::Walks => view! { <walk::Walks /> }.into_any(),
        Page::Walk(what) => view! { <walk::Walk what /> }.into_any(),
        Page::Boxes => view! { <boxes::Boxes /> }.into_any(),
        Page::Box(id) => view! { <boxes::BoxPage id /> }.into_any(),
        Page::BoxAct(id, act) => view! { <boxes::BoxActPage id act /> }.into_any(),
        Page::Pull(from) => view! { <pull::Pull from /> }.into_any(),
        Page::Found(dam) => view! { <pull::Found dam /> }.into_any(),
        Page::Clutch(id) => view! { <boxes::ClutchPage id /> }.into_any(),
        Page::EggsLater(id) => view! { <boxes::EggsLater id /> }.into_any(),
        Page::FromLabel(raw) => view! { <scan::FromLabel raw /> }.into_any(),
        _ => view! { <Lost /> }.into_any(),
    })
}

/// What draws labels.
#[wasm_split(paper, fallible)]
fn paper(page: Page) -> Part {
    Ok(match page {
        Page::Label(kind, id) => labels::print_page(&format!("{kind}:{id}")),
        Page::PrintLabels => view! { <labels::PrintLabels /> }.into_any(),
        Page::Labels(things) => labels::print_page(&things),
        Page::Printer => view! { <labels::PrinterPage /> }.into_any(),
        Page::BlankLabels => view! { <labels::BlankLabels /> }.into_any(),
        _ => view! { <Lost /> }.into_any(),
    })
}

/// Everything else.
#[wasm_split(office, fallible)]
fn office(page: Page) -> Part {
    Ok(match page {
        Page::ClutchEdit(id) => view! { <clutches::ClutchEdit id /> }.into_any(),
        Page::Measure(id) => view! { <clutches::Measure id /> }.into_any(),
        Page::Many => view! { <animals::Many /> }.into_any(),
        Page::Swap(id) => view! { <animals::Swap id /> }.into_any(),
        Page::Pairings => view! { <pairings::Pairings /> }.into_any(),
        Page::Pairing(id) => view! { <pairings::PairingPage id /> }.into_any(),
        Page::Breeders => view! { <pairings::Breeders /> }.into_any(),
        Page::PairingEdit(id) => view! { <pairings::PairingEdit id /> }.into_any(),
        Page::PairingNew(with) => view! { <pairings::PairingNew with /> }.into_any(),
        Page::Correct(kind, id) => view! { <correct::Correct kind id /> }.into_any(),
        Page::Doubles => view! { <doubles::Doubles /> }.into_any(),
        Page::WhereIs => view! { <places::WhereIs /> }.into_any(),
        Page::BarnSheet => view! { <places::BarnSheet /> }.into_any(),
        Page::Animals => view! { <animals::Animals /> }.into_any(),
        Page::Animal(id) => view! { <animals::AnimalPage id /> }.into_any(),
        Page::AnimalNew => view! { <animals::AnimalForm id=None /> }.into_any(),
        Page::AnimalEdit(id) => view! { <animals::AnimalForm id=Some(id) /> }.into_any(),
        Page::Care => view! { <care::Care /> }.into_any(),
        Page::Treat(id) => view! { <care::Treat id /> }.into_any(),
        Page::Treatment(id) => view! { <care::TreatmentPage id /> }.into_any(),
        Page::TreatmentEdit(id) => view! { <care::TreatmentEdit id /> }.into_any(),
        Page::Apart(kind, id) => view! { <care::Apart kind id /> }.into_any(),
        Page::Quarantine(id) => view! { <care::QuarantinePage id /> }.into_any(),
        Page::Clean(kind, id) => view! { <care::Clean kind id /> }.into_any(),
        Page::Cooling(None) => view! { <cooling::Coolings /> }.into_any(),
        Page::Cooling(Some(id)) => view! { <cooling::CoolingPage id /> }.into_any(),
        Page::Babies(clutch) => view! { <babies::Babies clutch /> }.into_any(),
        Page::Meal(id) => view! { <babies::MealPage id /> }.into_any(),
        Page::Leave(id) => view! { <babies::Leave id /> }.into_any(),
        Page::Papers(id) => view! { <babies::PapersPage id /> }.into_any(),
        Page::Feed(place) => view! { <babies::Feed place /> }.into_any(),
        Page::Wishes => view! { <babies::Wishes /> }.into_any(),
        Page::Contact(id) => view! { <babies::ContactPage id /> }.into_any(),
        Page::Ahead => view! { <rounds::Ahead /> }.into_any(),
        Page::Egg(id) => view! { <babies::EggPage id /> }.into_any(),
        Page::Places => view! { <places::Places /> }.into_any(),
        Page::Place(id) => view! { <places::PlacePage id /> }.into_any(),
        Page::PlaceNew => view! { <places::PlaceForm /> }.into_any(),
        Page::PlaceLog(id) => view! { <heat::LogPage id /> }.into_any(),
        Page::SpeciesAll => view! { <heat::SpeciesList /> }.into_any(),
        Page::Species(id) => view! { <heat::SpeciesPage id /> }.into_any(),
        Page::Season => view! { <season::Season /> }.into_any(),
        Page::SeasonPart(part) => season::part(part),
        Page::Genes(id) => view! { <genetics::Genes id /> }.into_any(),
        Page::Outcomes(dam, sire) => view! { <genetics::OutcomesPage dam sire /> }.into_any(),
        Page::Looks(id) => view! { <genetics::LooksPage id /> }.into_any(),
        Page::Plan(species) => view! { <genetics::PlanPage species /> }.into_any(),
        Page::Traits(species) => view! { <genetics::Traits species /> }.into_any(),
        Page::Trait(key) => view! { <genetics::TraitForm key=Some(key) species=String::new() /> }.into_any(),
        Page::TraitNew(species) => view! { <genetics::TraitForm key=None species /> }.into_any(),
        Page::Daybook => view! { <daybook::Daybook /> }.into_any(),
        Page::Sheet => view! { <sheet::Sheet /> }.into_any(),
        Page::Bundles => view! { <bundles::Bundles shared=false /> }.into_any(),
        Page::BundleShared => view! { <bundles::Bundles shared=true /> }.into_any(),
        Page::Guide => view! { <guide::Guide /> }.into_any(),
        Page::GuidePart(part) => view! { <guide::GuidePartPage part /> }.into_any(),
        Page::More => view! { <settings::More /> }.into_any(),
        Page::Settings => view! { <settings::Settings /> }.into_any(),
        _ => view! { <Lost /> }.into_any(),
    })
}

/// Shows a page of a part once the part is here, or says that it could not be fetched.
fn later(page: Page, load: fn(Page) -> std::pin::Pin<Box<dyn Future<Output = Part>>>) -> AnyView {
    // *Try again* stands in a block that the page, once it is here, takes the place of.
    let (part, lasting) = (RwSignal::new_local(None::<Part>), crate::ui::Lasting::here());
    let fetch = move || {
        let page = page.clone();
        lasting.make(|| {
            spawn_local(ScopedFuture::new(async move {
                let _ = part.try_set(Some(load(page).await));
            }))
        });
    };
    fetch();
    let shown = move || {
        part.track();
        let now = part.write_untracked().take();
        match now {
            None => view! { <div class="page"><p class="quiet">{words::OPENING}</p></div> }.into_any(),
            Some(Ok(page)) => page,
            Some(Err(_)) => {
                let fetch = fetch.clone();
                view! {
                    <div class="page">
                        <div class="banner bad" role="alert"><p>{words::PART_MISSING}</p>
                            <button type="button" class="act" on:click=move |_| fetch()>{words::TRY_AGAIN}</button>
                        </div>
                    </div>
                }
                .into_any()
            }
        }
    };
    shown.into_any()
}
