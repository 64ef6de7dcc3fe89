//! Texts locked for a key, and the key locked with a passphrase.

use lock::StaysLocked;
use lock::keys::{BEGINS, Keys, open, seal, unwrap, wrap};

const DETAILS: &str = r#"{"salt":"00","content":"{\"name\":\"Rosalind Marsh\"}"}"#;

#[test]
fn a_text_opens_with_the_key_alone() {
    let (own, other) = (Keys::fresh(), Keys::fresh());
    assert_ne!(own.secret, other.secret);
    for text in ["", DETAILS, &"Zoë ".repeat(40_000)] {
        let sealed = seal(text, &own.recipient).expect("sealed");
        assert!(sealed.starts_with(BEGINS), "{}", &sealed[..40]);
        assert!(!sealed.contains("Rosalind"));
        assert_ne!(sealed, seal(text, &own.recipient).expect("sealed"), "each time anew");
        assert_eq!(open(&sealed, &own.secret).as_deref(), Ok(text));
        assert_eq!(open(&sealed, &other.secret), Err(StaysLocked::NoPassphrase));
        assert_eq!(open(&sealed, "no key"), Err(StaysLocked::Wrong));
    }
    assert!(seal(DETAILS, "age1nobody").is_err());
    assert_eq!(open(DETAILS, &own.secret), Err(StaysLocked::Unknown));
}

#[test]
fn a_new_passphrase_opens_what_was_locked_before() {
    let keys = Keys::fresh();
    let sealed = seal(DETAILS, &keys.recipient).expect("sealed");
    let first = wrap(&keys.secret, "grey kettle").expect("wrapped");
    assert!(!first.contains("AGE-SECRET-KEY"));
    assert_eq!(unwrap(&first, "grey kettles"), Err(StaysLocked::Wrong));
    let second = wrap(&unwrap(&first, "grey kettle").expect("the secret"), "nine apples").expect("wrapped");
    assert_eq!(unwrap(&second, "grey kettle"), Err(StaysLocked::Wrong));
    let secret = unwrap(&second, "nine apples").expect("the secret");
    assert_eq!(open(&sealed, &secret).as_deref(), Ok(DETAILS));
}

#[test]
fn both_are_of_the_published_format() {
    let keys = Keys::fresh();
    // What an identity file of `age` holds, locked as a file of its own: opened here by the other half of this crate.
    let wrapped = wrap(&keys.secret, "grey kettle").expect("wrapped");
    let binary = unarmored(&wrapped);
    assert!(binary.starts_with(b"age-encryption.org/v1\n-> scrypt "));
    let file = lock::unlock(&binary, "grey kettle", &mut |_, _| {}).expect("unlocked");
    assert_eq!(String::from_utf8(file).as_deref(), Ok(keys.secret.as_str()));
    assert!(keys.secret.starts_with("AGE-SECRET-KEY-1") && keys.recipient.starts_with("age1"));
    let sealed = unarmored(&seal(DETAILS, &keys.recipient).expect("sealed"));
    assert!(sealed.starts_with(b"age-encryption.org/v1\n-> X25519 "));
    assert_eq!(lock::unlock(&sealed, "grey kettle", &mut |_, _| {}), Err(StaysLocked::NoPassphrase));
}

#[test]
fn harm_is_told() {
    let keys = Keys::fresh();
    let sealed = seal(DETAILS, &keys.recipient).expect("sealed");
    let end = sealed.find("\n-----END").expect("an end");
    assert!(open(&sealed[..end], &keys.secret).is_err(), "cut off");
    let at = end - 8;
    let other = if &sealed[at..=at] == "A" { "B" } else { "A" };
    let changed = format!("{}{other}{}", &sealed[..at], &sealed[at + 1..]);
    assert!(open(&changed, &keys.secret).is_err(), "one letter changed");
}

/// The bytes under the armor: base64 (RFC 4648) between two lines.
fn unarmored(text: &str) -> Vec<u8> {
    let (mut bytes, mut bits, mut count) = (Vec::new(), 0u32, 0);
    for letter in text.lines().filter(|line| !line.starts_with("-----")).flat_map(str::bytes).filter(|b| *b != b'=') {
        let value = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            other => panic!("{other} in the armor"),
        };
        bits = bits << 6 | u32::from(value);
        count += 6;
        if count >= 8 {
            count -= 8;
            bytes.push((bits >> count) as u8);
        }
    }
    bytes
}
