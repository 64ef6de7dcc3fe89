//! Every address there is, written down for the browser suite's monkey, which has to reach each of them.
//!
//! The compiler lists the variants, and the match below says how each is addressed: a page that is left out does not
//! compile, and one that the file does not know fails here.

use super::{BoxAct, GuidePart, Page, PullFrom, SeasonPart, Variant, Walking};
use book::Kind;
use std::path::Path;
use strum::IntoEnumIterator;

/// Where the address holds the id of a record of this kind.
fn id(kind: Kind) -> String {
    format!("{{{}}}", kind.word())
}

/// All ways to address a page of this variant.
fn pages(variant: Variant) -> Vec<Page> {
    use Kind::{
        Animal, Clutch, Contact, Cooling, Egg, Filling, Label, Pairing, Place, Quarantine, Species, Trait, Treatment,
    };
    match variant {
        Variant::Rounds => vec![Page::Rounds],
        Variant::Scan => vec![Page::Scan],
        Variant::Walks => vec![Page::Walks],
        Variant::Walk => Walking::ALL.iter().copied().map(Page::Walk).collect(),
        Variant::Boxes => vec![Page::Boxes],
        Variant::Box => vec![Page::Box(id(Filling))],
        Variant::BoxAct => BoxAct::ALL.iter().map(|&act| Page::BoxAct(id(Filling), act)).collect(),
        Variant::Pull => {
            let known = [PullFrom::Blank(id(Label)), PullFrom::Clutch(id(Clutch)), PullFrom::Dam(id(Animal))];
            [PullFrom::Nothing].into_iter().chain(known).map(Page::Pull).collect()
        }
        Variant::Clutch => vec![Page::Clutch(id(Clutch))],
        Variant::ClutchEdit => vec![Page::ClutchEdit(id(Clutch))],
        Variant::EggsLater => vec![Page::EggsLater(id(Clutch))],
        Variant::Measure => vec![Page::Measure(id(Clutch))],
        Variant::Animals => vec![Page::Animals],
        Variant::Many => vec![Page::Many],
        Variant::Animal => vec![Page::Animal(id(Animal))],
        Variant::AnimalNew => vec![Page::AnimalNew],
        Variant::AnimalEdit => vec![Page::AnimalEdit(id(Animal))],
        Variant::Photos => vec![Page::Photos(id(Animal))],
        Variant::Swap => vec![Page::Swap(id(Animal))],
        Variant::Pairings => vec![Page::Pairings],
        Variant::Pairing => vec![Page::Pairing(id(Pairing))],
        Variant::Breeders => vec![Page::Breeders],
        Variant::PairingEdit => vec![Page::PairingEdit(id(Pairing))],
        Variant::PairingNew => vec![Page::PairingNew(None), Page::PairingNew(Some(id(Animal)))],
        // Of some kinds the page says that there is nothing to put right, which is an answer too.
        Variant::Correct => Kind::ALL.iter().map(|&kind| Page::Correct(kind.word().to_owned(), id(kind))).collect(),
        Variant::Doubles => vec![Page::Doubles],
        Variant::Meal => vec![Page::Meal(id(Animal))],
        Variant::Leave => vec![Page::Leave(id(Animal))],
        Variant::Papers => vec![Page::Papers(id(Animal))],
        Variant::Care => vec![Page::Care],
        Variant::Treat => vec![Page::Treat(id(Animal))],
        Variant::Treatment => vec![Page::Treatment(id(Treatment))],
        Variant::TreatmentEdit => vec![Page::TreatmentEdit(id(Treatment))],
        Variant::Apart => [Animal, Place].map(|kind| Page::Apart(kind.word().to_owned(), id(kind))).to_vec(),
        Variant::Clean => [Animal, Place].map(|kind| Page::Clean(kind.word().to_owned(), id(kind))).to_vec(),
        Variant::Quarantine => vec![Page::Quarantine(id(Quarantine))],
        Variant::Cooling => vec![Page::Cooling(None), Page::Cooling(Some(id(Cooling)))],
        Variant::Babies => vec![Page::Babies(None), Page::Babies(Some(id(Clutch)))],
        Variant::Feed => vec![Page::Feed(id(Place))],
        Variant::Wishes => vec![Page::Wishes],
        Variant::ForSale => vec![Page::ForSale],
        Variant::Costs => vec![Page::Costs],
        Variant::Contact => vec![Page::Contact(id(Contact))],
        Variant::Ahead => vec![Page::Ahead],
        Variant::Egg => vec![Page::Egg(id(Egg))],
        Variant::Found => vec![Page::Found(None), Page::Found(Some(id(Animal)))],
        Variant::Places => vec![Page::Places],
        Variant::WhereIs => vec![Page::WhereIs],
        Variant::BarnSheet => vec![Page::BarnSheet],
        Variant::Place => vec![Page::Place(id(Place))],
        Variant::PlaceNew => vec![Page::PlaceNew],
        Variant::PlaceLog => vec![Page::PlaceLog(id(Place))],
        Variant::SpeciesAll => vec![Page::SpeciesAll],
        Variant::Species => vec![Page::Species(id(Species))],
        Variant::Season => vec![Page::Season],
        Variant::SeasonPart => SeasonPart::ALL.iter().copied().map(Page::SeasonPart).collect(),
        Variant::Label => [Filling, Animal, Place].map(|kind| Page::Label(kind.word().to_owned(), id(kind))).to_vec(),
        Variant::PrintLabels => vec![Page::PrintLabels],
        Variant::Labels => {
            vec![Page::Labels(format!("{}:{},{}:{}", Filling.word(), id(Filling), Animal.word(), id(Animal)))]
        }
        Variant::Printer => vec![Page::Printer],
        Variant::BlankLabels => vec![Page::BlankLabels],
        Variant::Genes => vec![Page::Genes(id(Animal))],
        Variant::Outcomes => vec![Page::Outcomes(id(Animal), id(Animal))],
        Variant::Looks => vec![Page::Looks(id(Clutch))],
        Variant::Plan => vec![Page::Plan(id(Species))],
        Variant::Traits => vec![Page::Traits(None), Page::Traits(Some(id(Species)))],
        Variant::Trait => vec![Page::Trait(id(Trait))],
        Variant::TraitNew => vec![Page::TraitNew(id(Species))],
        Variant::Daybook => vec![Page::Daybook],
        Variant::Bundles => vec![Page::Bundles],
        Variant::BundleShared => vec![Page::BundleShared],
        Variant::Share => vec![Page::Share],
        Variant::Light => vec![Page::Light],
        Variant::Join => vec![Page::Join("AXsicyI6".to_owned())],
        Variant::Sheet => vec![Page::Sheet],
        Variant::More => vec![Page::More],
        Variant::Guide => vec![Page::Guide],
        Variant::GuidePart => GuidePart::ALL.iter().copied().map(Page::GuidePart).collect(),
        Variant::Settings => vec![Page::Settings],
        Variant::FromLabel => vec![Page::FromLabel(format!("/B/{}", id(Label)))],
        Variant::Lost => vec![Page::Lost("/nowhere/at/all".to_owned())],
    }
}

/// A line a page: its name here, and its address.
fn written() -> String {
    let rows = Variant::iter().flat_map(|variant| pages(variant).into_iter().map(move |page| (variant, page)));
    // An address writes braces as bytes; the monkey puts an id in place of them.
    let address = |page: &Page| page.to_string().replace("%7B", "{").replace("%7D", "}");
    let rows: Vec<String> =
        rows.map(|(variant, page)| format!("  [\"{variant:?}\", \"{}\"]", address(&page))).collect();
    format!("[\n{}\n]\n", rows.join(",\n"))
}

#[test]
fn every_address_is_read_as_it_is_written() {
    for page in Variant::iter().flat_map(pages) {
        assert_eq!(Page::read(&page.to_string()), page);
    }
}

/// Its record may be undone while it stands. Species may be the shipped ones, and a blank label is no record yet.
#[test]
fn a_page_of_one_record_knows_which() {
    let mut checked = 0;
    for page in Variant::iter().flat_map(pages) {
        let address = page.to_string().replace("%7B", "{").replace("%7D", "}");
        let mut named = address.split(['{', '}']).skip(1).step_by(2);
        let (Some(kind), None) = (named.next(), named.next()) else { continue };
        if ![Kind::Species, Kind::Label].map(Kind::word).contains(&kind) {
            assert_eq!(page.about().map(|thing| thing.kind.word()), Some(kind), "{address}");
            checked += 1;
        }
    }
    assert!(checked > 40, "{checked} pages");
}

/// `CANDLEMARK_WRITE=1 cargo test -p desk every_page` writes the file.
#[test]
fn every_page_is_known_to_the_monkey() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/browser/monkey/pages.json");
    if std::env::var_os("CANDLEMARK_WRITE").is_some() {
        std::fs::write(&file, written()).expect("the file can be written");
    }
    let known = std::fs::read_to_string(&file).expect("the file of pages");
    assert_eq!(known, written(), "run CANDLEMARK_WRITE=1 cargo test -p desk every_page");
}
