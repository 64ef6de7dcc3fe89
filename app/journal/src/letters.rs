//! Hashes in letters, for snapshots: base64url of RFC 4648 without padding, a third shorter than hex.

use crate::id::Hash;

/// Six bits each; of a hash's last letter four.
const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
/// How many of them a hash is written with.
pub(crate) const LETTERS_OF_HASH: usize = 43;

pub(crate) fn write_letters(out: &mut String, hash: &Hash) {
    let mut text = [0; LETTERS_OF_HASH];
    for (letters, bytes) in text.chunks_mut(4).zip(hash.0.chunks(3)) {
        let mut bits = bytes.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (32 - 8 * bytes.len());
        for letter in letters {
            *letter = LETTERS[(bits >> 26) as usize];
            bits <<= 6;
        }
    }
    // Letters alone, so the text is always whole.
    out.push_str(std::str::from_utf8(&text).unwrap_or_default());
}

/// What a byte counts as a letter; above 63 for what is none. A table, since a start reads some hundred thousand letters.
const VALUES: [u8; 256] = {
    let mut values = [0xff; 256];
    let mut n = 0;
    while n < LETTERS.len() {
        values[LETTERS[n] as usize] = n as u8;
        n += 1;
    }
    values
};

/// None unless these are the very letters that a hash is written with.
pub(crate) fn read_letters(text: &[u8]) -> Option<Hash> {
    let mut hash = [0; 32];
    let mut seen = 0;
    for (bytes, letters) in hash.chunks_mut(3).zip(text.chunks(4)) {
        let mut bits = 0;
        for letter in letters {
            let value = VALUES[usize::from(*letter)];
            seen |= value;
            bits = bits << 6 | u32::from(value);
        }
        bits <<= 24 - 6 * letters.len();
        let [_, all @ ..] = bits.to_be_bytes();
        bytes.copy_from_slice(&all[..bytes.len()]);
        // The last letter has bits to spare, which say nothing.
        if bits & (0xff_ffff >> (8 * bytes.len())) != 0 {
            return None;
        }
    }
    (seen < 64).then_some(Hash(hash))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_has_one_text() {
        // The last: `printf abc | sha256sum | xxd -r -p | basenc --base64url`.
        for (hash, expected) in [
            (Hash([0; 32]), "A".repeat(43)),
            (Hash([0xff; 32]), "_".repeat(42) + "8"),
            (Hash::of(b"abc"), "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0".to_owned()),
        ] {
            let mut text = String::new();
            write_letters(&mut text, &hash);
            assert_eq!(text, expected);
            assert_eq!(read_letters(text.as_bytes()), Some(hash));
            for wrong in ["=", "*", "é", "\n"] {
                assert_eq!(read_letters(&format!("{wrong}{text}").as_bytes()[..43]), None);
            }
            // One bit more than a hash has.
            let more = char::from(LETTERS[usize::from(VALUES[usize::from(text.as_bytes()[42])]) | 1]);
            assert_eq!(read_letters(format!("{}{more}", &text[..42]).as_bytes()), None);
        }
    }
}
