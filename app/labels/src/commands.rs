//! A label as a label printer's own commands: its dots, and nothing of the printer's fonts or codes.
//!
//! Two languages that makers publish: TSPL (`SIZE`, `CLS`, `BITMAP`, `PRINT`; from memory of the TSPL/TSPL2 programming
//! manual) and ZPL II (`^GF` graphic field; ZPL II programming guide). What finds the gap between labels stays as the printer has
//! it.

use crate::png::Bitmap;
use crate::stock::Size;

/// What a printer understands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Language {
    Tspl,
    Zpl,
}

impl Language {
    pub const ALL: [Language; 2] = [Language::Tspl, Language::Zpl];

    /// As it is called, and as it is kept.
    pub fn word(self) -> &'static str {
        match self {
            Language::Tspl => "TSPL",
            Language::Zpl => "ZPL",
        }
    }
}

/// One label, printed once. `label` is its size as it lies in the printer, mm.
pub fn commands(language: Language, bitmap: &Bitmap, label: Size) -> Vec<u8> {
    let wide = bitmap.width.div_ceil(8);
    let rows = bytes(bitmap, wide);
    match language {
        Language::Tspl => {
            let start = format!(
                "SIZE {} mm,{} mm\r\nCLS\r\nBITMAP 0,0,{wide},{},0,",
                millimetres(label.w),
                millimetres(label.h),
                bitmap.height
            );
            // Here a bit that is set stays white.
            let white = rows.iter().map(|byte| !byte);
            start.into_bytes().into_iter().chain(white).chain(*b"\r\nPRINT 1,1\r\n").collect()
        }
        Language::Zpl => {
            let all = rows.len();
            let (w, h) = (bitmap.width, bitmap.height);
            let mut out = format!("^XA^PW{w}^LL{h}^LH0,0^FO0,0^GFA,{all},{all},{wide},").into_bytes();
            out.extend(
                rows.iter()
                    .flat_map(|byte| [byte >> 4, byte & 15])
                    .map(|digit| b"0123456789ABCDEF"[usize::from(digit)]),
            );
            out.extend(b"^FS^PQ1^XZ\n");
            out
        }
    }
}

/// Eight dots a byte, the leftmost its highest bit, black being set; a row ends with white.
fn bytes(bitmap: &Bitmap, wide: usize) -> Vec<u8> {
    let mut out = vec![0; wide * bitmap.height];
    for (i, _) in bitmap.black.iter().enumerate().filter(|&(_, &black)| black) {
        let (x, y) = (i % bitmap.width, i / bitmap.width);
        out[y * wide + x / 8] |= 0x80 >> (x % 8);
    }
    out
}

/// Tenths of a millimetre, without a point where there are none.
fn millimetres(mm: f64) -> String {
    let tenths = (mm * 10.0).round() as i64;
    if tenths % 10 == 0 { format!("{}", tenths / 10) } else { format!("{}.{}", tenths / 10, tenths % 10) }
}
