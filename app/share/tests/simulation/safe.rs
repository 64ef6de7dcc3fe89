//! A key that costs nothing: what it closes is marked with the key and a checksum. Names are hashes, as the barn's are.

use journal::Hash;
use share::{Safe, Unfit};

pub struct Cheap(pub u64);

impl Cheap {
    fn mark(&self, plain: &[u8]) -> [u8; 16] {
        let hash = Hash::of(plain).0;
        let key = self.0.to_be_bytes();
        std::array::from_fn(|n| if n < 8 { key[n] } else { hash[n] })
    }
}

impl Safe for Cheap {
    fn close(&self, plain: &[u8]) -> Result<Vec<u8>, String> {
        Ok([&self.mark(plain), plain].concat())
    }

    fn open(&self, sealed: &[u8]) -> Result<Vec<u8>, Unfit> {
        let (mark, plain) = sealed.split_at_checked(16).ok_or(Unfit::Harmed)?;
        if mark[..8] != self.0.to_be_bytes() {
            return Err(Unfit::Locked);
        }
        if mark != self.mark(plain) { Err(Unfit::Harmed) } else { Ok(plain.to_vec()) }
    }

    fn name(&self, purpose: &str, text: &[u8]) -> [u8; 16] {
        let whole = Hash::of(&[&self.0.to_be_bytes(), purpose.as_bytes(), b"\n", text].concat()).0;
        std::array::from_fn(|n| whole[n])
    }
}
