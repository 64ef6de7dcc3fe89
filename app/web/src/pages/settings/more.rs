//! Everything that is not on the bar, what is promised about the records, and the cautions.

use super::kept::Kept;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Caution, Head};
use crate::words::{
    care as care_words, cooling as cooling_words, genetics as gene_words, guide as guide_words, heat as heat_words,
    money as money_words, nav, settings as words,
};
use book::Book;
use desk::page::Group;
use leptos::prelude::*;

#[component]
pub fn More() -> impl IntoView {
    let barn = barn();
    let groups: [(&str, &[(Page, &str, &str)]); 4] = [
        (
            nav::group(Group::Animals),
            &[
                (Page::Babies(None), words::BABIES, words::BABIES_SAID),
                (Page::Care, care_words::TITLE, care_words::TITLE_SAID),
                (Page::Cooling(None), cooling_words::TITLE, cooling_words::TITLE_SAID),
                (Page::Wishes, words::WISHES, words::WISHES_SAID),
                (Page::Pairings, words::PAIRINGS, words::PAIRINGS_SAID),
            ],
        ),
        (
            nav::group(Group::Season),
            &[
                (Page::Ahead, words::AHEAD, words::AHEAD_SAID),
                (Page::Season, heat_words::SEASON, heat_words::SEASON_SAID),
                (Page::SpeciesAll, heat_words::SPECIES, heat_words::SPECIES_SAID),
                (Page::Traits(None), gene_words::TRAITS, gene_words::TRAITS_SAID),
            ],
        ),
        (
            nav::group(Group::Barn),
            &[
                (Page::WhereIs, words::WHERE_IS, words::WHERE_IS_SAID),
                (Page::Places, words::PLACES, words::PLACES_SAID),
                (Page::PrintLabels, words::PRINT_LABELS, words::PRINT_LABELS_SAID),
                (Page::BlankLabels, words::BLANK_LABELS, words::BLANK_LABELS_SAID),
            ],
        ),
        (
            words::RECORDS,
            &[
                (Page::Daybook, words::DAYBOOK, words::DAYBOOK_SAID),
                (Page::Bundles, words::BUNDLES, words::BUNDLES_SAID),
                (Page::Settings, words::SETTINGS, words::SETTINGS_SAID),
            ],
        ),
    ];
    let row = |page: &Page, title: &'static str, said: &'static str| {
        view! {
            <a class="row" href=page.href()>
                <span class="text"><span class="title">{title}</span><span class="aside">{said}</span></span>
            </a>
        }
    };
    let cautions = [words::CAUTION_HANDS, words::CAUTION_TRAINED, words::CAUTION_PERMITS, words::CAUTION_GUIDANCE];
    view! {
        <div class="page">
            <Head title=words::MORE.to_string() />
            {row(&Page::Guide, guide_words::TITLE, guide_words::TITLE_SAID)}
            {groups.into_iter().map(|(title, links)| view! {
                <h2>{title}</h2>
                <div class="more-rows">{links.iter().map(|(page, title, said)| row(page, title, said)).collect_view()}</div>
            }).collect_view()}
            // Only for those who write amounts down.
            {move || barn.read(Book::currency).map(|_| view! {
                <h2>{money_words::CURRENCY}</h2>
                <div class="more-rows">
                    {row(&Page::ForSale, money_words::FOR_SALE, money_words::FOR_SALE_SAID)}
                    {row(&Page::Costs, money_words::COSTS, money_words::COSTS_SAID)}
                </div>
            })}
            <Kept />
            <h2>{words::CAUTIONS}</h2>
            {cautions.into_iter().map(|text| view! { <Caution text /> }).collect_view()}
            <h2>{words::ABOUT}</h2>
            <div class="card stack">
                <p>{words::ABOUT_TEXT}</p>
                <p class="aside">{words::version(env!("CARGO_PKG_VERSION"))}</p>
                <a class="reach" href=words::LICENCES_HREF>{words::LICENCES}</a>
            </div>
        </div>
    }
}
