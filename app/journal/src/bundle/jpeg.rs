//! The header of a JPEG file: enough to refuse what no camera made before anything decodes it.
//! ITU-T T.81, annex B: markers, and the frame header's height and width.

/// The most pixels a side.
const MAX_SIDE: u16 = 8192;

/// Width and height in pixels, or why this is no picture of ours.
pub(crate) fn size(bytes: &[u8]) -> Result<(u16, u16), &'static str> {
    const BROKEN: &str = "is broken";
    if !bytes.starts_with(&[0xff, 0xd8]) {
        return Err("is not a picture");
    }
    let mut at = 2;
    loop {
        let [0xff, marker] = *bytes.get(at..at + 2).ok_or(BROKEN)? else { return Err(BROKEN) };
        // A marker may be preceded by fill bytes.
        if marker == 0xff {
            at += 1;
            continue;
        }
        let &[high, low] = bytes.get(at + 2..at + 4).ok_or(BROKEN)? else { return Err(BROKEN) };
        let length = usize::from(u16::from_be_bytes([high, low]));
        if length < 2 {
            return Err(BROKEN);
        }
        match marker {
            0xc0..=0xcf if ![0xc4, 0xc8, 0xcc].contains(&marker) => {
                let frame = bytes.get(at + 5..at + 9).ok_or(BROKEN)?;
                let &[a, b, c, d] = frame else { return Err(BROKEN) };
                let (height, width) = (u16::from_be_bytes([a, b]), u16::from_be_bytes([c, d]));
                let fits = |side: u16| (1..=MAX_SIDE).contains(&side);
                return if fits(width) && fits(height) { Ok((width, height)) } else { Err("is of an absurd size") };
            }
            // The picture begins, or ends, without saying how large it is.
            0xd9 | 0xda => return Err(BROKEN),
            _ => at += 2 + length,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::size;

    fn frame(marker: u8, height: u16, width: u16) -> Vec<u8> {
        let [a, b] = height.to_be_bytes();
        let [c, d] = width.to_be_bytes();
        vec![0xff, marker, 0, 17, 8, a, b, c, d, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1]
    }

    #[test]
    fn sizes_are_read_and_oddities_refused() {
        let start = [0xff, 0xd8];
        let app = vec![0xff, 0xe0, 0, 4, 1, 2];
        let with = |parts: &[&[u8]]| [&[&start[..]], parts].concat().concat();
        for (bytes, expected) in [
            (with(&[&frame(0xc0, 3, 4)]), Ok((4, 3))),
            (with(&[&app, &frame(0xc2, 8192, 1)]), Ok((1, 8192))),
            (with(&[&app, &[0xff], &frame(0xc0, 3, 4)]), Ok((4, 3))),
            (with(&[&frame(0xc4, 3, 4), &frame(0xc0, 5, 6)]), Ok((6, 5))),
            (with(&[&frame(0xc0, 8193, 1)]), Err("is of an absurd size")),
            (with(&[&frame(0xc0, 0, 1)]), Err("is of an absurd size")),
            (with(&[&[0xff, 0xda, 0, 2]]), Err("is broken")),
            (with(&[&[0xff, 0xe0, 0, 1]]), Err("is broken")),
            (with(&[&[0xff, 0xe0, 0xff, 0xff]]), Err("is broken")),
            (with(&[&frame(0xc0, 3, 4)[..7]]), Err("is broken")),
            (with(&[&[0]]), Err("is broken")),
            (with(&[]), Err("is broken")),
            (b"GIF89a".to_vec(), Err("is not a picture")),
            (Vec::new(), Err("is not a picture")),
        ] {
            assert_eq!(size(&bytes), expected, "{bytes:?}");
        }
    }
}
