//! A sound bundle, taken apart into its files and put together again with whatever was done to them.
#![allow(dead_code)]

pub mod told;

use crate::world::{Device, NOON, book, map};
use journal::bundle::{Arrivals, Bundle, Contents, Ledger, Person, read, write};
use journal::{Digest, Draft, Hash, Keypair};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// Name and content of each file, in order.
pub type Files = Vec<(String, Vec<u8>)>;

/// The smallest picture: a header that says 4 × 3, and some bytes.
pub fn jpeg(bytes: usize) -> Vec<u8> {
    let head = [0xff, 0xd8, 0xff, 0xc0, 0, 17, 8, 0, 3, 0, 4, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1];
    head.into_iter().chain((0..bytes).map(|n| (n * 7919 % 251) as u8)).collect()
}

/// Two devices' lines of every sort, details of a person, and a picture.
pub fn sound() -> Vec<u8> {
    let keypair = Keypair::from_secret(&[1; 32]);
    let mut ann = Device::new(1, NOON);
    ann.identity.key = keypair.public();
    let mut ben = Device::new(2, NOON);
    for n in 0..40 {
        // Updated half-way: lines of both forms.
        ben.old = n < 20;
        ann.set("animal", &format!("A{}", n % 7), json!({"name": "Bel", "mass_mg": n, "note": "<b>x</b>"}));
        ben.set("animal", &format!("A{}", n % 7), json!({"name": "Moss", "mass_mg": n}));
    }
    let set = ben.fold.set("kind_of_next_year", "K1", map(json!({"field_of_next_year": [1, {"a": null}]})));
    ben.act(Draft { act: "ActOfNextYear".into(), sets: vec![set], ..Draft::default() }, Some(r#""part":[15]"#));
    ben.lines.clone().iter().for_each(|line| ann.receive(line));
    let (photo, person) = (jpeg(3000), Person::new([3; 16], r#"{"name":"A. Buyer"}"#.to_owned()));
    let ledger = Ledger::of(book(), [], ann.lines.iter().map(String::as_str));
    let contents = Contents {
        by: ann.identity.dev,
        made: "2026-06-09T21:40+02:00",
        app: "0.1.0",
        signer: Some(&keypair),
        signed: &BTreeMap::new(),
        lacks: None,
        people: &[person],
        photos: &[(Hash::of(&photo), photo)],
        readme: "Records of a barn.",
    };
    write(&ledger, &contents, &mut |_, _| {}).expect("an archive")
}

pub fn files(bytes: &[u8]) -> Files {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).expect("an archive");
    (0..archive.len())
        .map(|place| {
            let mut file = archive.by_index(place).expect("a file");
            let mut content = Vec::new();
            file.read_to_end(&mut content).expect("its content");
            (file.name().expect("a name").to_string(), content)
        })
        .collect()
}

pub fn zipped(files: &Files) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        archive.start_file(name, SimpleFileOptions::default()).expect("a file");
        archive.write_all(content).expect("its content");
    }
    archive.finish().expect("an archive").into_inner()
}

/// Writes the hashes of the files of lines anew, as somebody who means harm would.
pub fn resummed(files: &mut Files) {
    let sums: BTreeMap<String, String> = files
        .iter()
        .filter(|(name, _)| name.starts_with("entries/"))
        .map(|(name, content)| (name.clone(), Hash::of(content).to_string()))
        .collect();
    with_manifest(files, |manifest| manifest["files"] = json!(sums));
}

pub fn with_manifest(files: &mut Files, change: impl FnOnce(&mut Value)) {
    for (name, content) in files {
        if name == "bundle.json"
            && let Ok(mut manifest) = serde_json::from_slice::<Value>(content)
        {
            change(&mut manifest);
            *content = manifest.to_string().into_bytes();
            return;
        }
    }
}

/// What came of opening a file and looking at what it would change.
pub fn outcome(mine: &Ledger<'_>, bytes: &[u8]) -> Result<(Bundle, Vec<String>), String> {
    let before = mine.fold().digest();
    let opened = read(bytes, &mut |_, _| {}).map_err(|bad| bad.to_string());
    let looked = opened.and_then(|bundle| {
        let arrivals = Arrivals::of(mine, &bundle, &BTreeMap::new(), false, NOON).map_err(|bad| bad.to_string())?;
        Ok((bundle, arrivals.new))
    });
    assert_eq!(mine.fold().digest(), before, "looking changes nothing");
    if let Err(said) = &looked {
        assert!(said.len() < 600 && said.ends_with(['.', ':']) && !said.chars().any(char::is_control), "{said:?}");
    }
    looked
}

/// A generator of numbers, the same in every run (SplitMix64, Steele and others 2014).
pub struct Dice(pub u64);

impl Dice {
    pub fn throw(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ z >> 31) % below.max(1) as u64) as usize
    }
}

/// Pieces that are likelier than noise to reach far into a reader.
const PIECES: [&str; 22] = [
    "\n",
    "\"",
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    "null",
    "-1",
    "1e999",
    "99999999",
    "100000000",
    "\\u0000",
    "\\ud800",
    "\u{1a}",
    "\"v\":2",
    "\"seq\":1",
    "withdrawn",
    "over",
    "\"prev\":\"0000000000000000000000000000000000000000000000000000000000000000\"",
    "0000000C.1.00000000",
];

/// Does one to four small harms to some bytes.
pub fn harm(dice: &mut Dice, bytes: &mut Vec<u8>) {
    for _ in 0..=dice.throw(4) {
        if bytes.is_empty() {
            return;
        }
        let at = dice.throw(bytes.len());
        let to = (at + 1 + dice.throw(40)).min(bytes.len());
        match dice.throw(7) {
            0 => bytes[at] ^= 1 << dice.throw(8),
            1 => bytes[at] = dice.throw(256) as u8,
            2 => drop(bytes.drain(at..to)),
            3 => {
                let piece = bytes[at..to].to_vec();
                let place = dice.throw(bytes.len());
                bytes.splice(place..place, piece);
            }
            4 => bytes.truncate(at),
            5 => {
                let piece = PIECES[dice.throw(PIECES.len())];
                bytes.splice(at..at, piece.bytes());
            }
            _ => {
                // One digit or letter for another keeps the shape.
                if bytes[at].is_ascii_alphanumeric() {
                    bytes[at] = b"0123456789ABCDEFabcdef"[dice.throw(22)];
                }
            }
        }
    }
}

/// Harms a bundle: its bytes, or one of its files with all sums made right again.
pub fn harmed(dice: &mut Dice, sound: &[u8], parts: &Files) -> Vec<u8> {
    if dice.throw(4) == 0 {
        let mut bytes = sound.to_vec();
        harm(dice, &mut bytes);
        return bytes;
    }
    let mut files = parts.clone();
    let place = dice.throw(files.len());
    harm(dice, &mut files[place].1);
    if files[place].0.starts_with("entries/") {
        match dice.throw(3) {
            0 => {}
            1 => resummed(&mut files),
            _ => {
                // No longer whole, so that its state is not compared; a line changed in place gets its hash right.
                resummed(&mut files);
                with_manifest(&mut files, |manifest| manifest["whole"] = json!(false));
            }
        }
    }
    zipped(&files)
}

/// Opens one harmed bundle after another. Whatever opens must be what it says it is. Returns how many opened.
pub fn shake(dice: &mut Dice, times: usize) -> usize {
    let sound = sound();
    let parts = files(&sound);
    let mut own = Device::new(9, NOON);
    own.set("animal", "A1", json!({"name": "Own"}));
    let mine = Ledger::of(book(), [], own.lines.iter().map(String::as_str));
    let mut opened = 0;
    for _ in 0..times {
        let bytes = harmed(dice, &sound, &parts);
        let Ok((bundle, new)) = outcome(&mine, &bytes) else { continue };
        opened += 1;
        for line in &new {
            journal::Entry::read(line).expect("what is taken in reads");
        }
        if bundle.manifest.whole {
            let whole = Ledger::of(bundle.manifest.book, [], bundle.lines.iter().map(String::as_str));
            let digest: Digest = whole.fold().digest();
            assert!(bundle.manifest.digest.is_none_or(|stated| stated == digest));
        }
    }
    opened
}
