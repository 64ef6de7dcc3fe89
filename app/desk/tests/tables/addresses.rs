//! Every page's address, written and read back; and any text read as one.

use desk::page::{BoxAct, Page, PullFrom, Walking};
use proptest::prelude::*;

/// Every page, its gaps filled with an id.
fn pages(id: &str) -> Vec<Page> {
    // Of several gaps each has an id of its own, so that two that change places are seen.
    let filled = |address: &str| {
        let mut parts = address.split('*');
        let first = parts.next().unwrap_or_default().to_owned();
        parts.enumerate().fold(first, |text, (at, part)| format!("{text}{id}{at}{part}"))
    };
    Page::addresses().iter().map(|address| Page::read(&filled(address))).collect()
}

#[test]
fn every_address_is_a_pages_and_reads_back_as_it() {
    let addresses = Page::addresses();
    for page in pages("7QK2M4TA") {
        assert!(!matches!(page, Page::Lost(_) | Page::FromLabel(_)), "{page:?}");
        assert_eq!(Page::read(&page.href()), page, "{}", page.href());
        assert_eq!(Page::read(&page.to_string()), page);
    }
    for (address, page) in [
        ("/", Page::Rounds),
        ("/box/*", Page::Box("*".into())),
        ("/box/*/setup", Page::BoxAct("*".into(), BoxAct::Setup)),
        ("/walk/stock", Page::Walk(Walking::Stock)),
        ("/pull/dam/*", Page::Pull(PullFrom::Dam("*".into()))),
        ("/pairing/new/*", Page::PairingNew(Some("*".into()))),
        ("/outcomes/*/*", Page::Outcomes("*".into(), "*".into())),
    ] {
        assert!(addresses.iter().any(|known| known == address), "{address} is not listed");
        assert_eq!(page.to_string(), address);
    }
    assert!(addresses.len() > 80, "{addresses:?}");
    println!("{} addresses", addresses.len());
}

#[test]
fn what_is_no_page_is_lost_and_keeps_what_was_asked_for() {
    for text in ["nowhere", "/box/A/jump", "/walk/the-dog", "/season/winter", "/boxes/7", "/clutch/A/edit/more"] {
        assert_eq!(Page::read(text), Page::Lost(text.into()));
    }
    assert_eq!(Page::read("#/e/7QK2M4TA"), Page::FromLabel("/e/7QK2M4TA".into()));
    for text in ["", "#", "#/", "/rounds", "//"] {
        assert_eq!(Page::read(text), Page::Rounds, "{text}");
    }
}

#[test]
fn things_to_print_stand_in_the_address_as_they_are() {
    let things = [book::FillingId::from("A1").thing(), book::AnimalId::from("B2").thing()];
    assert_eq!(Page::labels_of(&things).href(), "#/labels/filling:A1,animal:B2");
    assert_eq!(Page::asked_for("filling:A1,animal:B2"), (things.to_vec(), vec![]));
    let unread = ["box7", "dragon:A1", "filling:"].map(str::to_owned).to_vec();
    assert_eq!(Page::asked_for("box7, filling:A1,dragon:A1,,filling:,animal:B2"), (things.to_vec(), unread));
}

proptest! {
    /// Whatever an id holds, a slash among it: no page is taken for another.
    #[test]
    fn any_id_reads_back(id in "\\PC{0,12}[^a-z]\\PC{0,12}") {
        for page in [Page::Box(id.clone()), Page::Trait(id.clone()), Page::Correct(id.clone(), "X".into()),
            Page::Outcomes("X".into(), id.clone()), Page::BoxAct(id.clone(), BoxAct::Hatch)] {
            prop_assert_eq!(Page::read(&page.href()), page);
        }
    }

    /// Any text is some page, and the page's own address is that page again.
    #[test]
    fn any_text_is_a_page(text in "[#/%a-z0-9A-F é*]{0,40}|.{0,60}") {
        let page = Page::read(&text);
        prop_assert_eq!(Page::read(&page.href()), page);
    }

    /// A word of an address changed, left out or put twice.
    #[test]
    fn an_address_harmed_is_a_page(at in 0usize..100, word in "[a-z]{0,8}", place in 0usize..4) {
        let addresses = Page::addresses();
        let mut words: Vec<&str> = addresses[at % addresses.len()].split('/').collect();
        words.insert(place.min(words.len()), &word);
        let page = Page::read(&words.join("/"));
        prop_assert_eq!(Page::read(&page.href()), page);
    }
}
