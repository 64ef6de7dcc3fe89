//! What is written today is what the format page shows; what was written once is read for ever.

mod parcel;
mod world;

use journal::Digest;
use journal::bundle::{Arrivals, BadBundle, Ledger, read};
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
    for (file, acts, short, animals, photos) in
        [("bundle-1.zip", 81, "NT83TBDT", 7, 1), ("bundle-2.zip", 81, "6F7ZZJZD", 7, 1)]
    {
        let bytes = std::fs::read(at("tests/fixtures").join(file)).expect("the fixture");
        let bundle = read(&bytes, &mut |_, _| {}).expect("read for ever");
        let empty = Ledger::of(bundle.manifest.book, [], []);
        let arrivals = Arrivals::of(&empty, &bundle, &BTreeMap::new(), false, world::NOON).expect("taken for ever");
        let digest: Digest = arrivals.after_digest;
        assert_eq!((arrivals.new.len(), digest.short().as_str()), (acts, short), "{file}");
        assert_eq!((arrivals.after.records("animal").count(), bundle.photos.len()), (animals, photos), "{file}");
        assert_eq!(told::lines_of(&bytes), bundle.lines);
        // The digest of form 1 is of another kind, so nothing follows from its being another.
        assert_eq!(bundle.manifest.digest == Some(digest), bundle.manifest.version > 1, "{file}");
    }
}

/// What a bundle of form 1 says of its state is checked as it was made.
#[test]
fn a_bundle_of_form_1_that_does_not_add_up_is_told() {
    let bytes = std::fs::read(at("tests/fixtures/bundle-1.zip")).expect("the fixture");
    let sound = read(&bytes, &mut |_, _| {}).expect("read for ever").manifest;
    let another = Some(Digest([7; 32]));
    for (digest, version, opens) in [
        (sound.digest, 1, true),
        (another, 1, false),
        (sound.digest, 2, false),
        // Nothing said of the state is nothing to be wrong about.
        (None, 1, true),
        (None, 2, true),
    ] {
        let mut files = parcel::files(&bytes);
        parcel::with_manifest(&mut files, |manifest| {
            manifest["version"] = serde_json::json!(version);
            match (digest, manifest.as_object_mut()) {
                (None, Some(parts)) => drop(parts.remove("digest")),
                _ => manifest["digest"] = serde_json::json!(digest),
            }
        });
        let told = read(&parcel::zipped(&files), &mut |_, _| {}).map(drop);
        assert_eq!(told, if opens { Ok(()) } else { Err(BadBundle::Sum { what: "state" }) }, "version {version}");
    }
}
