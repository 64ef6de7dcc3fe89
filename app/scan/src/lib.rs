//! Reads QR labels from a camera frame: a grey image in, the text of the code nearest the middle of the view out.
//!
//! Guarantees: no input traps it (any size, any bytes, a buffer that is too short); the work per frame is bounded
//! by counts fixed in the code, never by what the picture holds; memory is reused from frame to frame; a text is
//! given only when Reed–Solomon, the format bits and the picture agree on it.
//!
//! How: finder patterns in a few black-and-white copies; every plausible three (or two, guessing what dirt hides) are
//! tried by laying the fixed modules of a version over the grey picture and moving perspective and bend until they
//! fit; then each module's darkness is evened for light and blur, and the doubtful codewords are given up first.
//!
//! Two readers: one for labels (versions 1 to 10), one for what another device's screen shows, large and flat, a new code
//! many times a second (versions 10, 15, 20 and 25).
//!
//! Absent by design: other symbologies, Micro QR, other versions, mirrored codes, Kanji, the camera itself, any knowledge of
//! what a label's text means, and any clock (the worker measures its own time).
//!
//! # The worker
//!
//! `src/main.rs` is the same reader as a module worker. After its code has loaded it posts `{ready: true}`; the page
//! waits for that before its first frame (earlier messages would be lost). Then one message a frame:
//!
//! | to the worker | |
//! |---|---|
//! | `id` | any value; comes back unchanged |
//! | `width`, `height` | of the picture, in pixels |
//! | `screen` | true where a screen's codes are looked for, not labels |
//! | `buffer` | `ArrayBuffer`, transferred: RGBA (`width × height × 4` bytes, as from `getImageData`) or grey (`width × height` bytes) |
//!
//! | from the worker | |
//! |---|---|
//! | `id` | as sent |
//! | `text` | the label's text, or `null` when none was read |
//! | `bytes` | what a screen's code holds, as a `Uint8Array`, or `null` |
//! | `corners` | a `Float32Array` of eight: `x, y` four times, in pixels of the sent picture: top left, top right, bottom right, bottom left **of the code** as printed; `null` without text |
//! | `ms` | time taken, in milliseconds |
//! | `buffer` | the same buffer, transferred back for reuse |
//! | `error` | only when the message was not understood: a sentence; `text` is then `null` |
//!
//! The reader remembers the frame before to add faint frames up, so send frames of one camera to one worker; a
//! message `{id, forget: true}` without picture clears that memory (another camera, a still photo).

mod content;
mod correct;
mod finder;
mod grey;
mod modules;
mod pose;
mod reader;
mod symbol;
mod wanted;

pub use grey::luma;
pub use reader::Reader;

/// A code that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// The code's content.
    pub bytes: Vec<u8>,
    /// Outer corners of the code in pixels of the given image (0,0 = the outer corner of the first pixel), in the
    /// code's own order: top left, top right, bottom right, bottom left.
    pub corners: [(f32, f32); 4],
}

impl Read {
    /// The content as text: UTF-8, and bytes that are not taken as ISO 8859-1.
    pub fn text(&self) -> String {
        let latin = || self.bytes.iter().map(|&byte| char::from(byte)).collect();
        String::from_utf8(self.bytes.clone()).unwrap_or_else(|_| latin())
    }
}
