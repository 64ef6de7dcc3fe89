//! A label in a printer's own commands, read back into the bitmap it came from: ZPL by the crate `zpl-forge`, which nobody here
//! made (its graphic fields follow the ZPL II programming guide); TSPL, for which no such reader was found, by a reader of the
//! maker's grammar, written from memory of the TSPL/TSPL2 programming manual.

use ::labels::commands::{Language, commands};
use ::labels::payload::{Base, Kind, Known, Link};
use ::labels::png::{Bitmap, bitmap};
use ::labels::stock::{Dpi, Size, Stock};
use ::labels::text::{Face, LabelText, Line};
use ::labels::{Code, layout};
use std::collections::HashMap;
use std::sync::{Arc, Mutex};
use zpl_forge::{Barcode1DKind, FontManager, Resolution, Unit, ZplEngine, ZplForgeBackend, ZplResult};

/// The second is no whole number of bytes wide.
const SIZES: [Size; 3] = [Size { w: 62.0, h: 40.0 }, Size { w: 25.4, h: 15.0 }, Size { w: 57.0, h: 32.0 }];

/// A label with a square code and letters.
fn label(size: Size, dpi: Dpi) -> Bitmap {
    let code = Code::of("7K3QX2M9").expect("an id");
    let base = Base::new("https://barn.example/candlemark/").expect("an address");
    let link = Link::new(&base, Kind::Place, code, &Known::default());
    let face = Face::Titled { title: "Rack A · 3".into(), lines: vec![Line::Plain("Alder Lane, barn".into())] };
    let text = LabelText { face, link: link.text, code, notes: None };
    let stock = Stock::Roll { label: size, dots: Some(dpi) };
    bitmap(&layout(&text, &stock).expect("stock that can be printed on"), dpi)
}

fn each(check: impl Fn(Size, Dpi, &Bitmap)) {
    for size in SIZES {
        for dpi in [Dpi::D203, Dpi::D300] {
            let drawn = label(size, dpi);
            assert!(drawn.black.iter().any(|&black| black), "something is on it");
            check(size, dpi, &drawn);
        }
    }
}

/// Rows of bytes, highest bit first, cut to the bitmap's width; what lies beyond has to be white.
fn dots(data: &[u8], wide: usize, width: usize, black: impl Fn(bool) -> bool) -> Vec<bool> {
    let mut out = Vec::new();
    for row in data.chunks(wide) {
        let bits: Vec<bool> =
            row.iter().flat_map(|byte| (0..8).map(move |bit| byte & (0x80 >> bit) != 0)).map(&black).collect();
        assert!(bits[width..].iter().all(|black| !black), "white beyond the label");
        out.extend(&bits[..width]);
    }
    out
}

#[test]
fn tspl_says_the_same_dots() {
    each(|size, _, drawn| {
        let sent = commands(Language::Tspl, drawn, size);
        let line = |from: usize| {
            let end = sent[from..].windows(2).position(|pair| pair == b"\r\n").expect("a line ends") + from;
            (std::str::from_utf8(&sent[from..end]).expect("a command is ASCII"), end + 2)
        };
        let (paper, at) = line(0);
        let sides: Vec<f64> = paper
            .strip_prefix("SIZE ")
            .expect("the paper's size first")
            .split(',')
            .map(|side| side.strip_suffix(" mm").expect("in millimetres").parse().expect("a number"))
            .collect();
        assert_eq!(sides, [size.w, size.h]);
        let (clear, at) = line(at);
        assert_eq!(clear, "CLS");
        // BITMAP x,y,width in bytes,height in dots,mode 0 (overwrite),data
        let head = b"BITMAP ";
        assert_eq!(&sent[at..at + head.len()], head);
        let mut fields = sent[at + head.len()..].splitn(6, |&byte| byte == b',');
        let mut number = || -> usize {
            std::str::from_utf8(fields.next().expect("a field")).expect("ASCII").parse().expect("a number")
        };
        let (x, y, wide, high, mode) = (number(), number(), number(), number(), number());
        assert_eq!((x, y, mode, high), (0, 0, 0, drawn.height));
        let rest = fields.next().expect("its data");
        let (data, end) = rest.split_at(wide * high);
        assert_eq!(dots(data, wide, drawn.width, |set| !set), drawn.black, "a bit that is set stays white");
        assert_eq!(end, b"\r\nPRINT 1,1\r\n");
    });
}

#[test]
fn zpl_is_read_back_by_another_program() {
    each(|size, dpi, drawn| {
        let sent = String::from_utf8(commands(Language::Zpl, drawn, size)).expect("ZPL is ASCII");
        let (width, height) = (drawn.width as u32, drawn.height as u32);
        let resolution = match dpi {
            Dpi::D203 => Resolution::Dpi203,
            Dpi::D300 => Resolution::Dpi300,
        };
        let engine =
            ZplEngine::new(&sent, Unit::Dots(width), Unit::Dots(height), resolution).expect("ZPL it understands");
        let seen = Seen::default();
        engine.render(seen.clone(), &HashMap::new()).expect("drawn");
        let fields = seen.fields.lock().expect("one thread");
        let [(at, (wide, high), data)] = &fields[..] else { panic!("one field, not {}", fields.len()) };
        assert_eq!(*at, (0, 0));
        assert_eq!((*wide as usize, *high as usize), (drawn.width.div_ceil(8) * 8, drawn.height));
        assert_eq!(dots(data, drawn.width.div_ceil(8), drawn.width, |set| set), drawn.black);
        assert!(sent.contains(&format!("^PW{width}^LL{height}")), "the label's own dots");
    });
}

/// A graphic field's place and size in dots, and its bytes.
type Field = ((u32, u32), (u32, u32), Vec<u8>);

/// Notes graphic fields; anything else that is drawn is none of ours.
#[derive(Clone, Default)]
struct Seen {
    fields: Arc<Mutex<Vec<Field>>>,
}

macro_rules! none_of_ours {
    ($($name:ident($($kind:ty),*);)*) => {
        $(fn $name(&mut self, $(_: $kind),*) -> ZplResult<()> { panic!(concat!("nothing for ", stringify!($name))) })*
    };
}

impl ZplForgeBackend for Seen {
    fn setup_page(&mut self, _: f64, _: f64, _: f32) {}
    fn setup_font_manager(&mut self, _: &FontManager) {}

    fn draw_graphic_field(
        &mut self,
        x: u32,
        y: u32,
        width: u32,
        height: u32,
        data: &[u8],
        reverse: bool,
    ) -> ZplResult<()> {
        assert!(!reverse);
        self.fields.lock().expect("one thread").push(((x, y), (width, height), data.to_vec()));
        Ok(())
    }

    none_of_ours! {
        draw_text(u32, u32, char, Option<u32>, Option<u32>, char, &str, bool, Option<String>);
        draw_graphic_box(u32, u32, u32, u32, u32, char, Option<String>, u32, bool);
        draw_graphic_circle(u32, u32, u32, u32, char, Option<String>, bool);
        draw_graphic_ellipse(u32, u32, u32, u32, u32, char, Option<String>, bool);
        draw_graphic_image_custom(u32, u32, u32, u32, &str);
        draw_code128(u32, u32, char, u32, u32, char, char, char, char, &str, bool);
        draw_qr_code(u32, u32, char, u32, u32, char, u32, &str, bool);
        draw_barcode_1d(Barcode1DKind, u32, u32, char, u32, u32, f32, char, char, char, &str, bool);
        draw_graphic_diagonal(u32, u32, u32, u32, u32, char, Option<String>, char, bool);
        draw_datamatrix(u32, u32, char, u32, &str, bool);
        draw_pdf417(u32, u32, char, u32, u32, u32, &str, bool);
        draw_code39(u32, u32, char, char, u32, u32, f32, char, char, &str, bool);
    }

    fn finalize(&mut self) -> ZplResult<Vec<u8>> {
        Ok(Vec::new())
    }
}
