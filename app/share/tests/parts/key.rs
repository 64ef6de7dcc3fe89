//! The barn's real key: nothing is told, nothing can be changed.

use journal::Hash;
use share::{BarnKey, Beside, Place, Safe, Unfit};

#[test]
fn what_is_closed_opens_with_the_key_alone() {
    let (own, other) = (BarnKey::fresh(), BarnKey::fresh());
    let sealed = own.close(b"lines").expect("closed");
    assert_eq!(own.open(&sealed).as_deref(), Ok(b"lines".as_slice()));
    assert_eq!(other.open(&sealed), Err(Unfit::Locked));
    let again = BarnKey::read(own.secret()).expect("the same key");
    assert_eq!(again.open(&sealed).as_deref(), Ok(b"lines".as_slice()));
    assert_eq!(again.name("lines", b"x"), own.name("lines", b"x"));
    assert!(BarnKey::read("AGE-SECRET-KEY-1").is_none() && BarnKey::read("").is_none());
    let shown = format!("{own:?}");
    assert!(
        !shown.contains("AGE-SECRET")
            && !own.secret().contains(shown.trim_start_matches("BarnKey(").trim_end_matches(')'))
    );
}

#[test]
fn every_cut_and_every_changed_byte_is_told() {
    let key = BarnKey::fresh();
    let sealed = key.close(&[7; 300]).expect("closed");
    for end in 0..sealed.len() {
        assert!(key.open(&sealed[..end]).is_err(), "cut at {end}");
    }
    for at in 0..sealed.len() {
        let mut changed = sealed.clone();
        changed[at] ^= 1;
        assert!(key.open(&changed).is_err(), "changed at {at}");
    }
    // A head with thousands of recipients would keep a phone busy.
    let stanza = "-> X25519 TEiF0ypqr+bpvcqXNyCVJpL7OuwPdVwPL7KQEbFDOCc\nEmECAEcKN+n/Vs9SbWiV+Hu0r+E8R77DdWYyd83nw7U\n";
    let many = format!("age-encryption.org/v1\n{}--- xxxx\n", stanza.repeat(100));
    assert_eq!(key.open(many.as_bytes()), Err(Unfit::Harmed));
}

#[test]
fn names_say_nothing_without_the_key() {
    let (own, other) = (BarnKey::fresh(), BarnKey::fresh());
    let book = journal::Id::mint(*b"barn!");
    let picture = Hash::of(b"a picture");
    let (here, there) = (Place::of(book, &own), Place::of(book, &other));
    assert_ne!(here.folder(), there.folder(), "a new key is a new folder");
    let photo = |place: &Place, key: &BarnKey| place.beside(Beside::Photo, key, &picture);
    assert_eq!(photo(&here, &own), photo(&Place::of(book, &own), &own));
    let names = [photo(&here, &own), here.beside(Beside::Person, &own, &picture), photo(&there, &other)];
    assert!(names.iter().all(|name| !name.contains(&picture.to_string()[..8])));
    let last = |path: &String| path.rsplit('/').next().map(str::to_owned);
    assert!(last(&names[0]) != last(&names[1]) && last(&names[0]) != last(&names[2]));
}
