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
pub mod light;
pub mod money;
pub mod pairings;
pub mod places;
pub mod pull;
pub mod rounds;
pub mod scan;
pub mod season;
pub mod settings;
pub mod share;
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
        | Page::Share
        | Page::Light
        | Page::Join(..)
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

/// Makes a page in a function of its own. Each is asked for once, so all of a part would be compiled in line as one function:
/// the office's was of 180 kB of wasm.
#[inline(never)]
fn made(page: impl FnOnce() -> AnyView) -> AnyView {
    page()
}

/// What is done with wet hands: scanning, boxes, pulling a clutch; and devices in step.
#[wasm_split(egg_room, fallible)]
fn egg_room(page: Page) -> Part {
    Ok(match page {
        Page::Scan => made(move || view! { <scan::Scan /> }.into_any()),
        Page::Walks => made(move || view! { <walk::Walks /> }.into_any()),
        Page::Walk(what) => made(move || view! { <walk::Walk what /> }.into_any()),
        Page::Boxes => made(move || view! { <boxes::Boxes /> }.into_any()),
        Page::Box(id) => made(move || view! { <boxes::BoxPage id /> }.into_any()),
        Page::BoxAct(id, act) => made(move || view! { <boxes::BoxActPage id act /> }.into_any()),
        Page::Pull(from) => made(move || view! { <pull::Pull from /> }.into_any()),
        Page::Found(dam) => made(move || view! { <pull::Found dam /> }.into_any()),
        Page::Clutch(id) => made(move || view! { <boxes::ClutchPage id /> }.into_any()),
        Page::EggsLater(id) => made(move || view! { <boxes::EggsLater id /> }.into_any()),
        Page::FromLabel(raw) => made(move || view! { <scan::FromLabel raw /> }.into_any()),
        // Beside what writes, which is what it goes on with by itself.
        Page::Share => made(move || view! { <share::Share /> }.into_any()),
        // It looks as Scan does.
        Page::Light => made(move || view! { <light::Light /> }.into_any()),
        Page::Join(text) => made(move || share::join(text)),
        _ => view! { <Lost /> }.into_any(),
    })
}

/// What draws labels.
#[wasm_split(paper, fallible)]
fn paper(page: Page) -> Part {
    Ok(match page {
        Page::Label(kind, id) => labels::print_page(&format!("{kind}:{id}")),
        Page::PrintLabels => made(move || view! { <labels::PrintLabels /> }.into_any()),
        Page::Labels(things) => made(move || labels::print_page(&things)),
        Page::Printer => made(move || view! { <labels::PrinterPage /> }.into_any()),
        Page::BlankLabels => made(move || view! { <labels::BlankLabels /> }.into_any()),
        _ => view! { <Lost /> }.into_any(),
    })
}

/// Everything else.
#[wasm_split(office, fallible)]
fn office(page: Page) -> Part {
    Ok(match page {
        Page::ClutchEdit(id) => made(move || view! { <clutches::ClutchEdit id /> }.into_any()),
        Page::Measure(id) => made(move || view! { <clutches::Measure id /> }.into_any()),
        Page::Many => made(move || view! { <animals::Many /> }.into_any()),
        Page::Photos(id) => made(move || view! { <animals::AnimalPhotos id /> }.into_any()),
        Page::Swap(id) => made(move || view! { <animals::Swap id /> }.into_any()),
        Page::Pairings => made(move || view! { <pairings::Pairings /> }.into_any()),
        Page::Pairing(id) => made(move || view! { <pairings::PairingPage id /> }.into_any()),
        Page::Breeders => made(move || view! { <pairings::Breeders /> }.into_any()),
        Page::PairingEdit(id) => made(move || view! { <pairings::PairingEdit id /> }.into_any()),
        Page::PairingNew(with) => made(move || view! { <pairings::PairingNew with /> }.into_any()),
        Page::Correct(kind, id) => made(move || view! { <correct::Correct kind id /> }.into_any()),
        Page::Doubles => made(move || view! { <doubles::Doubles /> }.into_any()),
        Page::WhereIs => made(move || view! { <places::WhereIs /> }.into_any()),
        Page::BarnSheet => made(move || view! { <places::BarnSheet /> }.into_any()),
        Page::Animals => made(move || view! { <animals::Animals /> }.into_any()),
        Page::Animal(id) => made(move || view! { <animals::AnimalPage id /> }.into_any()),
        Page::AnimalNew => made(move || view! { <animals::AnimalForm id=None /> }.into_any()),
        Page::AnimalEdit(id) => made(move || view! { <animals::AnimalForm id=Some(id) /> }.into_any()),
        Page::Care => made(move || view! { <care::Care /> }.into_any()),
        Page::Treat(id) => made(move || view! { <care::Treat id /> }.into_any()),
        Page::Treatment(id) => made(move || view! { <care::TreatmentPage id /> }.into_any()),
        Page::TreatmentEdit(id) => made(move || view! { <care::TreatmentEdit id /> }.into_any()),
        Page::Apart(kind, id) => made(move || view! { <care::Apart kind id /> }.into_any()),
        Page::Quarantine(id) => made(move || view! { <care::QuarantinePage id /> }.into_any()),
        Page::Clean(kind, id) => made(move || view! { <care::Clean kind id /> }.into_any()),
        Page::Cooling(None) => made(move || view! { <cooling::Coolings /> }.into_any()),
        Page::Cooling(Some(id)) => made(move || view! { <cooling::CoolingPage id /> }.into_any()),
        Page::Babies(clutch) => made(move || view! { <babies::Babies clutch /> }.into_any()),
        Page::Meal(id) => made(move || view! { <babies::MealPage id /> }.into_any()),
        Page::Leave(id) => made(move || view! { <babies::Leave id /> }.into_any()),
        Page::Papers(id) => made(move || view! { <babies::PapersPage id /> }.into_any()),
        Page::Feed(place) => made(move || view! { <babies::Feed place /> }.into_any()),
        Page::ForSale => made(move || view! { <money::ForSale /> }.into_any()),
        Page::Costs => made(move || view! { <money::Costs /> }.into_any()),
        Page::Wishes => made(move || view! { <babies::Wishes /> }.into_any()),
        Page::Contact(id) => made(move || view! { <babies::ContactPage id /> }.into_any()),
        Page::Ahead => made(move || view! { <rounds::Ahead /> }.into_any()),
        Page::Egg(id) => made(move || view! { <babies::EggPage id /> }.into_any()),
        Page::Places => made(move || view! { <places::Places /> }.into_any()),
        Page::Place(id) => made(move || view! { <places::PlacePage id /> }.into_any()),
        Page::PlaceNew => made(move || view! { <places::PlaceForm /> }.into_any()),
        Page::PlaceLog(id) => made(move || view! { <heat::LogPage id /> }.into_any()),
        Page::SpeciesAll => made(move || view! { <heat::SpeciesList /> }.into_any()),
        Page::Species(id) => made(move || view! { <heat::SpeciesPage id /> }.into_any()),
        Page::Season => made(move || view! { <season::Season /> }.into_any()),
        Page::SeasonPart(part) => made(move || season::part(part)),
        Page::Genes(id) => made(move || view! { <genetics::Genes id /> }.into_any()),
        Page::Outcomes(dam, sire) => made(move || view! { <genetics::OutcomesPage dam sire /> }.into_any()),
        Page::Looks(id) => made(move || view! { <genetics::LooksPage id /> }.into_any()),
        Page::Plan(species) => made(move || view! { <genetics::PlanPage species /> }.into_any()),
        Page::Traits(species) => made(move || view! { <genetics::Traits species /> }.into_any()),
        Page::Trait(key) => {
            made(move || view! { <genetics::TraitForm key=Some(key) species=String::new() /> }.into_any())
        }
        Page::TraitNew(species) => made(move || view! { <genetics::TraitForm key=None species /> }.into_any()),
        Page::Daybook => made(move || view! { <daybook::Daybook /> }.into_any()),
        Page::Sheet => made(move || view! { <sheet::Sheet /> }.into_any()),
        Page::Bundles => made(move || view! { <bundles::Bundles shared=false /> }.into_any()),
        Page::BundleShared => made(move || view! { <bundles::Bundles shared=true /> }.into_any()),
        Page::Guide => made(move || view! { <guide::Guide /> }.into_any()),
        Page::GuidePart(part) => made(move || view! { <guide::GuidePartPage part /> }.into_any()),
        Page::More => made(move || view! { <settings::More /> }.into_any()),
        Page::Settings => made(move || view! { <settings::Settings /> }.into_any()),
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
