//! What is written today is what the format page shows; what was written once is read for ever.

mod parcel;
mod world;

use journal::Digest;
use journal::bundle::{Arrivals, Ledger, read};
use parcel::told;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

#[test]
fn the_page_shows_what_is_written() {
    let vectors = std::fs::read_to_string(at("../../public/format/vectors.json")).expect("the vectors");
    assert_eq!(vectors, told::vectors());
    let example = std::fs::read(at("../../public/format/example.zip")).expect("the example");
    // Packed by whatever version of the archiver: what is in it counts.
    assert_eq!(parcel::files(&example), parcel::files(&told::example()));
}

/// Every bundle in `tests/fixtures`, with the records it must give.
#[test]
fn bundles_of_every_form_are_read() {
    for (file, acts, short, animals, photos) in [("bundle-1.zip", 81, "5V2QJ043", 7, 1)] {
        let bytes = std::fs::read(at("tests/fixtures").join(file)).expect("the fixture");
        let bundle = read(&bytes, &mut |_, _| {}).expect("read for ever");
        let empty = Ledger::of(bundle.manifest.book, [], []);
        let arrivals = Arrivals::of(&empty, &bundle, &BTreeMap::new(), false, world::NOON).expect("taken for ever");
        let digest: Digest = arrivals.after_digest;
        assert_eq!((arrivals.new.len(), digest.short().as_str()), (acts, short), "{file}");
        assert_eq!((arrivals.after.records("animal").count(), bundle.photos.len()), (animals, photos), "{file}");
        assert_eq!(told::lines_of(&bytes), bundle.lines);
    }
}
