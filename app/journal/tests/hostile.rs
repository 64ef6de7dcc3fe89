//! Files made to harm, damaged on the way, or not bundles at all: each is refused with a sentence, and nothing of
//! what is held changes.

mod parcel;
mod world;

use journal::Hash;
use journal::bundle::{Ledger, MAX_FILES};
use parcel::*;
use serde_json::json;
use world::*;

fn own() -> Device {
    let mut own = Device::new(9, NOON);
    own.set("animal", "A1", json!({"name": "Own"}));
    own
}

fn mine(own: &Device) -> Ledger<'_> {
    Ledger::of(book(), [], own.lines.iter().map(String::as_str))
}

/// Opening says `expected`; empty for one that opens.
fn check(what: &str, bytes: &[u8], expected: &str) {
    let own = own();
    match outcome(&mine(&own), bytes) {
        Ok(_) => assert_eq!(expected, "", "{what} opened"),
        Err(said) => assert!(!expected.is_empty() && said.contains(expected), "{what} said “{said}”, not “{expected}”"),
    }
}

fn with(change: impl FnOnce(&mut Files)) -> Vec<u8> {
    let mut files = files(&sound());
    change(&mut files);
    zipped(&files)
}

fn lines(files: &mut Files, change: impl FnOnce(&mut Vec<String>)) {
    let (_, content) = files.iter_mut().find(|(name, _)| name.starts_with("entries/")).expect("lines");
    let mut lines: Vec<String> = String::from_utf8_lossy(content).lines().map(str::to_owned).collect();
    change(&mut lines);
    *content = (lines.join("\n") + "\n").into_bytes();
}

/// The same number of bytes in another place, so that no offset changes.
fn patched(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    assert_eq!(from.len(), to.len());
    let mut out = bytes.to_vec();
    let places: Vec<usize> = (0..=out.len() - from.len()).filter(|&at| out[at..].starts_with(from)).collect();
    assert!(!places.is_empty(), "{from:?} is in it");
    places.into_iter().for_each(|at| out[at..at + to.len()].copy_from_slice(to));
    out
}

#[test]
fn what_is_no_bundle_says_so() {
    for (what, bytes, expected) in [
        ("nothing", Vec::new(), "not a bundle"),
        ("a text", b"animal,code\nBel,B07\n".to_vec(), "not a bundle"),
        ("a picture", jpeg(100), "not a bundle"),
        ("a locked one", b"age-encryption.org/v1\n-> scrypt x 15\n".to_vec(), "type its passphrase"),
        ("an empty archive", zipped(&Vec::new()), "not a bundle"),
        ("any archive", zipped(&vec![("letter.txt".into(), b"x".to_vec())]), "does not belong"),
        ("only the magic", b"PK\x03\x04".to_vec(), "damaged or was cut off"),
        ("zeros after the magic", [b"PK\x03\x04".to_vec(), vec![0; 5000]].concat(), "damaged or was cut off"),
        ("another program's", with(|files| with_manifest(files, |m| m["format"] = json!("other"))), "not a bundle"),
        ("next year's", with(|files| with_manifest(files, |m| m["version"] = json!(3))), "newer version"),
    ] {
        check(what, &bytes, expected);
    }
    check("a sound one", &sound(), "");
}

#[test]
fn names_are_on_the_list_or_refused() {
    for name in [
        "../evil.txt",
        "/etc/passwd",
        "entries/../../x.ndjson",
        "entries\\x.ndjson",
        "C:\\x",
        "entries/",
        "people/x.json",
        "photos/a.jpg",
        "entries/00000001.1-40.ndjson.exe",
        "entries/00000001.0-40.ndjson",
        "entries/00000001.2-1.ndjson",
        "entries/00000001.01-40.ndjson",
        "entries/0000000l.1-40.ndjson",
        "entries/00000001.1-100000000.ndjson",
        "bundle.json ",
        "Bundle.json",
        "README.TXT",
        ".htaccess",
        "photos/..",
        "<img src=x onerror=alert(1)>",
        "a\u{202e}b",
        "",
    ] {
        let expected = if name == "entries/" { "" } else { "does not belong" };
        check(name, &with(|files| files.push((name.to_owned(), Vec::new()))), expected);
    }
    // The archiver here writes no name twice, so one is turned into another where it stands.
    let readme2 = with(|files| files.push(("README.tx2".into(), Vec::new())));
    check("one name twice", &patched(&readme2, b"README.tx2", b"README.txt"), "two files of one name");
}

#[test]
fn claims_and_bombs_do_not_count() {
    let zeros = |bytes: usize| vec![b'0'; bytes];
    for (what, bytes, expected) in [
        ("a huge readme", with(|files| files[1].1 = zeros(1 << 20)), "more than is ever read (bytes of README.txt"),
        ("a huge manifest", with(|files| files[0].1 = zeros(9 << 20)), "more than is ever read (bytes of bundle.json"),
        (
            "a bomb among the lines",
            with(|files| {
                files.iter_mut().filter(|(n, _)| n.starts_with("entries/")).for_each(|(_, c)| *c = zeros(33 << 20))
            }),
            "more than is ever read (bytes of lines",
        ),
        (
            "a bomb of a person",
            with(|files| {
                files.iter_mut().filter(|(n, _)| n.starts_with("people/")).for_each(|(_, c)| *c = zeros(1 << 20))
            }),
            "more than is ever read (bytes of a person",
        ),
        (
            "a bomb of a picture",
            with(|files| {
                files.iter_mut().filter(|(n, _)| n.starts_with("photos/")).for_each(|(_, c)| *c = zeros(5 << 20))
            }),
            "more than is ever read (bytes of a picture",
        ),
        (
            "too many files",
            with(|files| {
                let name = |n| format!("photos/{}.jpg", Hash::of(format!("{n}").as_bytes()));
                files.extend((0..=MAX_FILES).map(|n| (name(n), Vec::new())));
            }),
            "more than is ever read (files",
        ),
        (
            "a line too long",
            with(|files| {
                lines(files, |lines| lines[0] = format!("{{\"x\":\"{}\"}}", "y".repeat(1_100_000)));
                resummed(files);
            }),
            "at most 1048576 are read",
        ),
        (
            "a line too deep",
            with(|files| {
                lines(files, |lines| {
                    lines[0] = lines[0].replacen('{', &format!("{{\"x\":{}1{},", "[".repeat(40), "]".repeat(40)), 1)
                });
                resummed(files);
            }),
            "nests deeper",
        ),
        (
            "a counter too large",
            with(|files| {
                lines(files, |lines| lines[0] = lines[0].replacen("\"seq\":1", "\"seq\":100000000", 1));
                resummed(files);
            }),
            "a number from 1 to 99999999",
        ),
        (
            "a stamp too large",
            with(|files| {
                lines(files, |lines| lines[0] = lines[0].replacen("\"at\":\"", "\"at\":\"f", 1));
                resummed(files);
            }),
            "not a stamp",
        ),
    ] {
        check(what, &bytes, expected);
    }
    // 2 GB claimed for a file of a few bytes: in the archive's list and before the file itself.
    let size = (files(&sound())[1].1.len() as u32).to_le_bytes();
    let claim = patched(&sound(), &[&size[..], &10u16.to_le_bytes()].concat(), &[0xff, 0xff, 0xff, 0x7f, 10, 0]);
    check("two gigabytes claimed", &claim, "");
}

#[test]
fn what_was_altered_is_told() {
    for (what, bytes, expected) in [
        (
            "a line changed",
            with(|files| lines(files, |lines| lines[3] = lines[3].replacen("Bel", "Ben", 1))),
            "a file of lines is not what the bundle says",
        ),
        (
            "a line changed and summed anew",
            with(|files| {
                lines(files, |lines| lines[3] = lines[3].replacen("Bel", "Ben", 1));
                resummed(files);
            }),
            "Act 5 of device 00000001 does not follow",
        ),
        (
            "the last line changed and summed anew",
            with(|files| {
                lines(files, |lines| lines[39] = lines[39].replacen("Bel", "Ben", 1));
                resummed(files);
            }),
            "number of acts is not what the bundle says",
        ),
        (
            "a line taken out",
            with(|files| {
                lines(files, |lines| drop(lines.remove(7)));
                resummed(files);
            }),
            "Act 9 of device 00000001 does not follow",
        ),
        (
            "the last line taken out",
            with(|files| {
                lines(files, |lines| drop(lines.pop()));
                resummed(files);
            }),
            "number of acts is not what the bundle says",
        ),
        (
            "a line twice",
            with(|files| {
                lines(files, |lines| lines.insert(4, lines[3].clone()));
                resummed(files);
            }),
            "stands where it does not belong",
        ),
        (
            "lines swapped",
            with(|files| {
                lines(files, |lines| lines.swap(4, 5));
                resummed(files);
            }),
            "stands where it does not belong",
        ),
        (
            "another device's line",
            with(|files| {
                lines(files, |lines| lines[3] = lines[3].replacen("\"dev\":\"00000001\"", "\"dev\":\"00000005\"", 1));
                resummed(files);
            }),
            "stands where it does not belong",
        ),
        (
            "a name twice in one line",
            with(|files| {
                lines(files, |lines| lines[3] = lines[3].replacen('{', "{\"v\":1,", 1));
                resummed(files);
            }),
            "stands twice",
        ),
        (
            "a file of lines left out",
            with(|files| files.retain(|(name, _)| !name.contains("00000001"))),
            "list of files",
        ),
        ("no bundle.json", with(|files| drop(files.remove(0))), "not a bundle"),
        ("a broken bundle.json", with(|files| files[0].1.truncate(200)), "says about itself"),
        (
            "a name twice in bundle.json",
            with(|files| files[0].1 = [b"{\"app\":\"2\",", &files[0].1[1..]].concat()),
            "stands twice",
        ),
        (
            "another digest",
            with(|files| with_manifest(files, |m| m["digest"] = json!("0".repeat(64)))),
            "state is not what",
        ),
        (
            "a head that is none",
            with(|files| with_manifest(files, |m| m["devices"]["00000001"]["head"] = json!("0".repeat(64)))),
            "number of acts",
        ),
        ("another book", with(|files| with_manifest(files, |m| m["book"] = json!("00000009"))), "does not belong"),
        (
            "a picture changed",
            with(|files| files.iter_mut().filter(|(n, _)| n.starts_with("photos/")).for_each(|(_, c)| c[500] ^= 1)),
            "is not the one that was taken",
        ),
        (
            "no picture at all",
            with(|files| files.push((format!("photos/{}.jpg", Hash::of(b"GIF89a")), b"GIF89a".to_vec()))),
            "is not a picture",
        ),
        (
            "a broken picture",
            with(|files| files.push((format!("photos/{}.jpg", Hash::of(&jpeg(9)[..10])), jpeg(9)[..10].to_vec()))),
            "is broken",
        ),
        (
            "details of a person changed",
            with(|files| files.iter_mut().filter(|(n, _)| n.starts_with("people/")).for_each(|(_, c)| c[60] ^= 1)),
            "are not the ones",
        ),
    ] {
        check(what, &bytes, expected);
    }
}

#[test]
fn cut_off_anywhere_it_is_refused() {
    let sound = sound();
    for end in (0..sound.len()).step_by(1000).chain([sound.len() - 1, sound.len() - 22, 1, 21]) {
        let expected = if end < 2 { "not a bundle" } else { "damaged or was cut off" };
        check(&format!("{end} bytes of {}", sound.len()), &sound[..end], expected);
    }
}

#[test]
fn markup_is_only_text() {
    let own = own();
    let (bundle, new) = outcome(&mine(&own), &sound()).expect("markup is no harm");
    assert_eq!(new.len(), bundle.lines.len());
    assert!(new.iter().any(|line| line.contains("<b>x</b>")), "it comes as it was written");
}

#[test]
fn harmed_in_a_thousand_ways_it_never_does_harm() {
    let opened = shake(&mut Dice(20_260_609), 1500);
    // Harm to the readme, to an unread byte of the archive, to unknown content of a last line: those may open.
    assert!((5..700).contains(&opened), "{opened} of 1500 opened");
}
