//! Locked and unlocked; opened by nobody else; harm told; read as another program wrote it.

use lock::{MOST_WORK, StaysLocked, WORK, lock, unlock};

const PHRASE: &str = "grey kettle under nine apples";
/// Made with the reference implementation (`age` 1.1.1, in Go) of [`INSIDE`], with [`PHRASE`].
const FOREIGN: &[u8] = include_bytes!("fixtures/locked-by-age-1.1.1.age");
/// A bundle as it was then; the example in `public/format` changes with the format.
const INSIDE: &[u8] = include_bytes!("fixtures/inside.zip");
/// Made by the same program for a key.
const FOR_A_KEY: &[u8] = include_bytes!("fixtures/for-a-key.age");

fn locked(bytes: &[u8]) -> Vec<u8> {
    lock(bytes, PHRASE, &mut |_, _| {}).expect("a machine with randomness")
}

fn unlocked(file: &[u8], passphrase: &str) -> Result<Vec<u8>, StaysLocked> {
    unlock(file, passphrase, &mut |_, _| {})
}

/// The header's line of the passphrase: `-> scrypt SALT WORK`.
fn work(file: &[u8]) -> u8 {
    let header = String::from_utf8_lossy(&file[..200.min(file.len())]).into_owned();
    let line = header.lines().nth(1).expect("a second line");
    line.rsplit(' ').next().and_then(|work| work.parse().ok()).expect("a work factor")
}

#[test]
fn what_is_locked_opens_with_its_passphrase_alone() {
    for bytes in [b"".to_vec(), b"PK".to_vec(), (0..=255).cycle().take(3 * 65_536 + 17).collect()] {
        let file = locked(&bytes);
        assert!(file.starts_with(b"age-encryption.org/v1\n"));
        assert_eq!(work(&file), WORK);
        assert_eq!(unlocked(&file, PHRASE), Ok(bytes.clone()));
        assert_eq!(unlocked(&file, "grey kettle under nine apple"), Err(StaysLocked::Wrong));
        assert_eq!(unlocked(&file, ""), Err(StaysLocked::Wrong));
        assert_ne!(file, locked(&bytes), "each time with a salt of its own");
    }
}

#[test]
fn progress_is_told_to_the_end() {
    let bytes = vec![7; 5 << 20];
    let mut heard = Vec::new();
    let file = lock(&bytes, PHRASE, &mut |done, total| heard.push((done, total))).expect("locked");
    assert_eq!((heard.len(), heard.last()), (6, Some(&(bytes.len(), bytes.len()))));
    heard.clear();
    unlock(&file, PHRASE, &mut |done, total| heard.push((done, total))).expect("unlocked");
    assert!(heard.is_sorted() && heard.len() >= 6, "{heard:?}");
}

#[test]
fn a_file_of_another_program_opens() {
    assert_eq!(unlocked(FOREIGN, PHRASE).as_deref(), Ok(INSIDE));
    assert_eq!(unlocked(FOREIGN, "grey"), Err(StaysLocked::Wrong));
}

#[test]
fn harm_is_told_wherever_it_is() {
    let bytes: Vec<u8> = (0..=255).cycle().take(70_000).collect();
    let file = locked(&bytes);
    let text = |needle: &[u8]| file.windows(needle.len()).position(|part| part == needle).expect("in the header");
    let body = text(b"\n--- ") + 50;
    for (what, at) in [("the nonce", body), ("the first piece", body + 1000), ("the last piece", file.len() - 1)] {
        let mut harmed = file.clone();
        harmed[at] ^= 1;
        assert_eq!(unlocked(&harmed, PHRASE), Err(StaysLocked::Harmed), "{what}");
    }
    for end in [body + 20, body + 65_000, file.len() - 20_000, file.len() - 1] {
        assert_eq!(unlocked(&file[..end], PHRASE), Err(StaysLocked::Harmed), "cut at {end} of {}", file.len());
    }
    // In the wrapped key a changed letter cannot be told from a wrong passphrase.
    for end in 0..body - 60 {
        assert!(unlocked(&file[..end], PHRASE).is_err(), "cut at {end}");
    }
    assert_eq!(unlocked(b"PK\x03\x04 something else", PHRASE), Err(StaysLocked::Unknown));
    assert_eq!(unlocked(FOR_A_KEY, PHRASE), Err(StaysLocked::NoPassphrase));
}

#[test]
fn work_without_end_is_refused_before_it_begins() {
    let file = locked(b"small");
    let line = format!(" {WORK}\n");
    let at = file.windows(line.len()).position(|part| part == line.as_bytes()).expect("the work factor");
    for asked in [MOST_WORK + 1, 30, 63, 64, 255] {
        let mut greedy = file[..at].to_vec();
        greedy.extend_from_slice(format!(" {asked}\n").as_bytes());
        greedy.extend_from_slice(&file[at + line.len()..]);
        let begun = std::time::Instant::now();
        let told = unlocked(&greedy, PHRASE).expect_err("refused");
        assert!(matches!(told, StaysLocked::TooHard | StaysLocked::Unknown), "{asked}: {told:?}");
        assert!(begun.elapsed().as_secs() < 20, "{asked}: {:?}", begun.elapsed());
    }
}
