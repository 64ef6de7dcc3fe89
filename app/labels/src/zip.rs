//! Several files in one ZIP archive (PKWARE's APPNOTE, the parts every reader knows): stored as they are, since PNGs
//! do not deflate further. Names are ASCII or UTF-8; no dates, so that the same labels give the same bytes.

use crate::png::crc;

/// One name and its bytes after another. More than 65 535 files, or 4 GB, are not for labels: what is over is left out.
pub fn stored(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let (mut out, mut directory) = (Vec::new(), Vec::new());
    let files = &files[..files.len().min(usize::from(u16::MAX))];
    for (name, bytes) in files {
        let short = |n: usize| u16::try_from(n).unwrap_or(u16::MAX).to_le_bytes();
        let long = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes();
        // Version 2.0; the flag for UTF-8 names; stored; 1 January 1980.
        let about = [
            &[20, 0, 0, 8, 0, 0, 0, 0, 0x21, 0][..],
            &crc(bytes).to_le_bytes(),
            &long(bytes.len()),
            &long(bytes.len()),
            &short(name.len()),
            &[0, 0],
        ]
        .concat();
        directory.extend_from_slice(b"PK\x01\x02\x14\0");
        directory.extend_from_slice(&about);
        directory.extend_from_slice(&[0; 10]);
        directory.extend_from_slice(&long(out.len()));
        directory.extend_from_slice(name.as_bytes());
        out.extend_from_slice(b"PK\x03\x04");
        out.extend_from_slice(&about);
        out.extend_from_slice(name.as_bytes());
        out.extend_from_slice(bytes);
    }
    let count = (files.len() as u16).to_le_bytes();
    let (size, start) = ((directory.len() as u32).to_le_bytes(), (out.len() as u32).to_le_bytes());
    out.extend_from_slice(&directory);
    out.extend_from_slice(b"PK\x05\x06\0\0\0\0");
    for part in [&count[..], &count, &size, &start, &[0, 0]] {
        out.extend_from_slice(part);
    }
    out
}
