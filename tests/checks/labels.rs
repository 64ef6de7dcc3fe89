//! Labels (checks 21 and 22): printed labels read back by readers nobody here made, zbar and OpenCV (ISO/IEC
//! 18004), from the PDF at 300 dpi, the 203 dpi bitmap and a camera frame; millimetres measured on
//! poppler's rendering; the code's check symbol by Crockford's published rules.
//!
//! Needs `zbarimg` (Debian's zbar-tools), `pdftoppm` (poppler-utils) and a Python with
//! `opencv-python-headless`, named in CANDLEMARK_PYTHON or `python3`. `cargo xtask test checks` fetches them.

use chrono::NaiveDate;
use labels::drawing::{Drawing, Mark};
use labels::payload::{Base, Day, Kind, Known, Link, Reading, Window, read};
use labels::pdf::Document;
use labels::png::bitmap;
use labels::stock::{Calibration, Dpi, ROLLS, Sheet, Size, Stock, sheets};
use labels::text::{Clutch, Face, Fact, LabelText, Line, Parents, Part};
use labels::{Code, layout};
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder for one test's files, gone with it.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let dir = std::env::temp_dir().join(format!("candlemark-labels-{name}-{}", std::process::id()));
        fs::create_dir_all(&dir).expect("a folder for temporary files");
        Self(dir)
    }

    fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, bytes).expect("room for temporary files");
        path
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // A folder left behind harms nobody.
        fs::remove_dir_all(&self.0).ok();
    }
}

fn run(program: &OsStr, comes_from: &str, args: &[&OsStr]) -> Vec<u8> {
    let shown = program.display();
    let out = Command::new(program).args(args).output().unwrap_or_else(|why| {
        panic!(
            "{shown} could not be started ({why}): install {comes_from}, or run `cargo xtask test checks`, which does"
        )
    });
    // zbarimg says with 4 that it found nothing, which the caller sees by itself.
    assert!(
        out.status.success() || out.status.code() == Some(4),
        "{shown} failed: {}\nIt comes from {comes_from}.",
        String::from_utf8_lossy(&out.stderr)
    );
    out.stdout
}

fn lines(bytes: &[u8]) -> Vec<String> {
    let mut lines: Vec<_> = String::from_utf8_lossy(bytes).lines().map(str::to_owned).collect();
    lines.sort();
    lines
}

/// All codes on some pictures, in the order of their texts.
fn zbar<P: AsRef<OsStr>>(pictures: &[P]) -> Vec<String> {
    let args = ["--quiet", "--raw", "-Sdisable", "-Sqrcode.enable"].map(OsStr::new);
    let pictures = pictures.iter().map(AsRef::as_ref);
    lines(&run(OsStr::new("zbarimg"), "Debian's zbar-tools", &args.into_iter().chain(pictures).collect::<Vec<_>>()))
}

fn python(args: &[&OsStr]) -> Vec<u8> {
    let program = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("read_labels.py");
    run(&program, "Python and its package opencv-python-headless", &[&[script.as_os_str()], args].concat())
}

/// All codes on some pictures, in the order of their texts.
fn opencv<P: AsRef<OsStr>>(pictures: &[P]) -> Vec<String> {
    lines(&python(&[OsStr::new("read")].into_iter().chain(pictures.iter().map(AsRef::as_ref)).collect::<Vec<_>>()))
}

/// The pages of a PDF as poppler renders them.
fn render(scratch: &Scratch, pdf: &[u8], dpi: &str, format: &str) -> Vec<PathBuf> {
    let file = scratch.put("labels.pdf", pdf);
    let stem = scratch.0.join("page");
    let args = [OsStr::new("-r"), OsStr::new(dpi), OsStr::new(format), file.as_os_str(), stem.as_os_str()];
    run(OsStr::new("pdftoppm"), "Debian's poppler-utils", &args);
    let mut pages: Vec<_> = fs::read_dir(&scratch.0)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|p| p.file_stem().is_some_and(|s| s.to_string_lossy().starts_with("page-")))
        .collect();
    pages.sort();
    pages
}

fn day(m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, m, d).expect("a date")
}

fn known() -> Known {
    Known {
        day: Some(Day { day: day(4, 13), unsure_days: 1 }),
        window: Some(Window { look_from: day(6, 4), likely_from: day(6, 8), likely_to: day(6, 14) }),
        eggs: Some(9),
        species: Some("KNG".into()),
        fill_to_mg: Some(1_486_000),
        number: Some("26-014".into()),
    }
}

/// One label of each kind for an address.
fn labels_for(address: &str) -> Vec<LabelText> {
    let base = Base::new(address).expect("an address");
    let code = |id| Code::of(id).expect("an id");
    let link = |kind, code| Link::new(&base, kind, code, &known()).text;
    let clutch = Face::Clutch(Clutch {
        number: "26-014".into(),
        species: "San Luis Potosí kingsnake".into(),
        species_short: Some("SLP".into()),
        morph: Some("hypomelanistic, possible het albino 66 %".into()),
        parents: vec![Parents { dam: Some("Bel".into()), sire: Some("Moss".into()) }],
        laid: Some(Fact::new("LAID", "13 Apr", "±1 d")),
        eggs: Some(Fact::new("", "9", "eggs")),
        look_from: Some(Fact::new("LOOK FROM", "4 Jun", "")),
        fill_to: Some(Fact::new("FILL TO", "1486 g", "closed")),
    });
    let titled =
        |title: &str| Face::Titled { title: title.into(), lines: vec![Line::Plain("Alder Lane, barn".into())] };
    let blank = Face::Blank { pencil: vec!["no.".into(), "laid".into()] };
    [
        (Kind::EggBox, "7K3QX2M9", clutch),
        (Kind::Animal, "0000000Z", titled("Bel")),
        (Kind::Tub, "ZZZZZZZZ", titled("26-014-A")),
        (Kind::Place, "A1B2C3D4", titled("Rack A · 3")),
        (Kind::Blank, "QWERTY12", blank),
    ]
    .map(|(kind, id, face)| LabelText {
        face,
        link: link(kind, code(id)),
        code: code(id),
        notes: Some("notes:".into()),
    })
    .into()
}

const ADDRESSES: [&str; 3] =
    ["https://a.example/", "https://candlemark.alderlane.example/", "https://alderlane.example/barn/tools/"];
const SIZES: [(f64, f64); 4] = [(62.0, 40.0), (57.0, 32.0), (40.0, 30.0), (29.0, 62.0)];

fn draw(text: &LabelText, stock: &Stock) -> Drawing {
    layout(text, stock).expect("stock in range")
}

fn roll(w: f64, h: f64, dots: Option<Dpi>) -> Stock {
    Stock::Roll { label: Size { w, h }, dots }
}

fn pdf(pages: &[labels::pages::Page], calibration: &Calibration) -> Vec<u8> {
    let mut document = Document::new("Labels", calibration).expect("a calibration in range");
    pages.iter().for_each(|p| document.add(p));
    document.finish()
}

/// Both readers read exactly the link, and the link is the thing's.
fn read_by_both(picture: &Path, text: &LabelText, what: &str) {
    assert_eq!(zbar(&[picture]), [text.link.as_str()], "zbar on {what}");
    assert_eq!(opencv(&[picture]), [text.link.as_str()], "OpenCV on {what}");
    match read(&text.link) {
        Reading::Label(label) => assert_eq!(label.code, text.code),
        other => panic!("{} read as {other:?}", text.link),
    }
}

#[test]
fn read_from_paper_at_300_dpi() {
    for (i, (w, h)) in SIZES.into_iter().enumerate() {
        let scratch = Scratch::new(&format!("pdf-{i}"));
        let texts = labels_for(ADDRESSES[i % ADDRESSES.len()]);
        let stock = roll(w, h, None);
        let drawings: Vec<_> = texts.iter().map(|t| draw(t, &stock)).collect();
        let pages = labels::pages::pages(&drawings, &stock, 1).expect("a roll");
        let rendered = render(&scratch, &pdf(&pages, &Calibration::default()), "300", "-png");
        assert_eq!(rendered.len(), texts.len());
        for (picture, text) in rendered.iter().zip(&texts) {
            read_by_both(picture, text, &format!("{} on {w} × {h} mm", text.link));
        }
    }
}

#[test]
fn read_from_a_sheet() {
    let scratch = Scratch::new("sheet");
    let texts = labels_for(ADDRESSES[1]);
    let stock = Stock::Sheet(sheets()[2]);
    let drawings: Vec<_> = texts.iter().map(|t| draw(t, &stock)).collect();
    let pages = labels::pages::pages(&drawings, &stock, 4).expect("a sheet");
    let rendered = render(&scratch, &pdf(&pages, &Calibration::default()), "300", "-png");
    let mut expected: Vec<_> = texts.iter().map(|t| t.link.clone()).collect();
    expected.sort();
    assert_eq!(rendered.len(), 1);
    assert_eq!(zbar(&rendered), expected);
}

#[test]
fn read_from_the_bitmap_and_a_camera() {
    let scratch = Scratch::new("bitmap");
    for (i, (w, h)) in SIZES.into_iter().enumerate() {
        let dpi = [Dpi::D203, Dpi::D300][i / 3];
        for (n, text) in labels_for(ADDRESSES[i % ADDRESSES.len()]).iter().enumerate() {
            let drawing = draw(text, &roll(w, h, Some(dpi)));
            let picture = scratch.put(&format!("{i}-{n}.png"), &bitmap(&drawing, dpi).png(dpi));
            let what = format!("{} on {w} × {h} mm, {dpi:?}", text.link);
            read_by_both(&picture, text, &what);
            let frame = scratch.0.join(format!("{i}-{n}-frame.png"));
            python(&[OsStr::new("frame"), picture.as_os_str(), frame.as_os_str()]);
            read_by_both(&frame, text, &format!("a camera frame of {what}"));
        }
    }
}

/// A stock by what a keeper would call it.
fn stocks() -> Vec<(String, Stock)> {
    let rolls = ROLLS.iter().map(|&(w, h)| (format!("roll {w} × {h}"), roll(w, h, None)));
    let on = |s: Sheet| {
        format!("{} × {} of {} × {} on {} × {}", s.columns, s.rows, s.label.w, s.label.h, s.page.w, s.page.h)
    };
    rolls.chain(sheets().into_iter().map(|s| (on(s), Stock::Sheet(s)))).collect()
}

/// Nothing beyond the label's edge, and the number always there.
fn stays_inside(drawing: &Drawing, what: &str) {
    for mark in &drawing.marks {
        let b = mark.bounds();
        let inside =
            b.x >= -1e-6 && b.y >= -1e-6 && b.right() <= drawing.size.w + 1e-6 && b.bottom() <= drawing.size.h + 1e-6;
        assert!(inside, "{mark:?} beyond the edge of {what}");
    }
    assert!(drawing.texts().next().is_some(), "no writing on {what}");
}

/// The square's dots, row by row, come in runs of whole modules.
fn whole_dots(drawing: &Drawing, dpi: Dpi, what: &str) {
    let Some(square) = drawing.square() else { return };
    let dots = bitmap(drawing, dpi);
    let module = (square.module * dpi.per_mm() + 0.01).floor() as usize;
    assert!(module >= 2, "{module} dots a module on {what}");
    let around = square.bounds();
    let dot = |mm: f64| ((mm * dpi.per_mm()).round() as usize).min(dots.width.max(dots.height));
    let (left, right) = (dot(around.x), dot(around.right()).min(dots.width));
    let mut runs = 0;
    for y in dot(around.y)..dot(around.bottom()).min(dots.height) {
        let row = &dots.black[y * dots.width + left..y * dots.width + right];
        for run in row.chunk_by(|a, b| a == b).filter(|run| run[0]) {
            assert_eq!(run.len() % module, 0, "a run of {} dots at {module} a module on {what}", run.len());
            runs += 1;
        }
    }
    assert!(runs > 100, "the square of {what} is in the bitmap");
}

/// What no label has much room for.
fn longest() -> [LabelText; 2] {
    let kinds: [LabelText; 5] = labels_for(ADDRESSES[2]).try_into().map_err(|_| "not five").expect("five kinds");
    let [mut clutch, mut animal, ..] = kinds;
    clutch.face = Face::Clutch(Clutch {
        number: "2026-ALDER-0147-B + 2026-ALDER-0148-A".into(),
        species: "San Luis Potosí kingsnake (Lampropeltis mexicana)".into(),
        species_short: Some("SLP".into()),
        morph: Some("hypomelanistic, het amelanistic, possible het anerythristic 66 %".into()),
        parents: vec![Parents {
            dam: Some("Grandmother Willow of Alder Lane".into()),
            sire: Some("Thunderstruck Moss the Second or Ferdinand".into()),
        }],
        laid: Some(Fact::new("LAID", "28 Sep 2026", "±14 days")),
        eggs: Some(Fact::new("", "128", "eggs")),
        look_from: Some(Fact::new("LOOK FROM", "28 Nov 2026", "")),
        fill_to: Some(Fact::new("FILL TO", "12486.5 g", "closed")),
    });
    animal.face = Face::Titled {
        title: "Grandmother Willow of Alder Lane".into(),
        lines: vec![
            Line::Strong("Mexican black kingsnake, hypomelanistic, possible het albino 66 %".into()),
            Line::Plain("♀ · born 2019 · line Alder · from Barn Two, rack C, slot 14".into()),
        ],
    };
    [clutch, animal]
}

/// No dot of a bitmap touches the label's edge.
fn white_edge(drawing: &Drawing, dpi: Dpi, what: &str) {
    let dots = bitmap(drawing, dpi);
    let (w, h) = (dots.width, dots.black.len() / dots.width);
    let edge = (0..w).flat_map(|x| [x, (h - 1) * w + x]).chain((0..h).flat_map(|y| [y * w, y * w + w - 1]));
    assert!(edge.into_iter().all(|i| !dots.black[i]), "ink at the edge of {what}");
}

/// What OpenCV reads at a sheet's first positions.
fn opencv_on_sheet(page: &Path, sheet: &Sheet, positions: usize) -> Vec<String> {
    let dots = |mm: f64| (mm * 300.0 / 25.4).round().max(0.0) as u32;
    let part = |i: usize| {
        let (x, y) = sheet.corner(i);
        format!("{},{},{},{}", dots(x), dots(y), dots(sheet.label.w), dots(sheet.label.h))
    };
    let parts: Vec<_> = (0..positions).map(part).collect();
    let args = [OsStr::new("parts"), page.as_os_str()].into_iter().chain(parts.iter().map(OsStr::new));
    lines(&python(&args.collect::<Vec<_>>()))
}

#[test]
fn every_kind_on_every_stock_is_read() {
    for (i, (name, stock)) in stocks().into_iter().enumerate() {
        let scratch = Scratch::new(&format!("stock-{i}"));
        let texts = labels_for(ADDRESSES[i % ADDRESSES.len()]);
        let drawings: Vec<_> = texts.iter().map(|t| draw(t, &stock)).collect();
        let links = |of: &[Drawing]| {
            let mut links: Vec<_> =
                texts.iter().zip(of).filter(|(_, d)| d.square().is_some()).map(|(t, _)| t.link.clone()).collect();
            links.sort();
            links
        };
        let expected = links(&drawings);
        // A label with no room for a square that a camera could read says so; only the smallest one has none.
        let small = stock.label().w * stock.label().h < 500.0;
        assert!(small || expected.len() == texts.len(), "a square is missing on {name}");
        for drawing in drawings.iter().filter(|d| d.square().is_none()) {
            assert!(!drawing.has_whole(Part::Square), "{name} does not say that its square is left out");
        }
        for (text, drawing) in texts.iter().zip(&drawings) {
            stays_inside(drawing, &format!("{} on {name}", text.link));
        }
        let pages = labels::pages::pages(&drawings, &stock, 1).expect("a stock");
        let rendered = render(&scratch, &pdf(&pages, &Calibration::default()), "300", "-png");
        assert_eq!(zbar(&rendered), expected, "zbar on {name}");
        match &stock {
            Stock::Roll { .. } => assert_eq!(opencv(&rendered), expected, "OpenCV on {name}"),
            Stock::Sheet(sheet) => {
                let positions = sheet.positions().min(texts.len());
                let mut first: Vec<_> = texts[..positions].iter().map(|t| t.link.clone()).collect();
                first.sort();
                assert_eq!(opencv_on_sheet(&rendered[0], sheet, positions), first, "OpenCV on {name}");
            }
        }
        let Size { w, h } = stock.label();
        for dpi in [Dpi::D203, Dpi::D300] {
            let on_dots = roll(w, h, Some(dpi));
            let drawings: Vec<_> = texts.iter().map(|t| draw(t, &on_dots)).collect();
            let mut pictures = vec![];
            for (n, (text, drawing)) in texts.iter().zip(&drawings).enumerate() {
                whole_dots(drawing, dpi, &format!("{} on {name} at {dpi:?}", text.link));
                pictures.push(scratch.put(&format!("{n}.png"), &bitmap(drawing, dpi).png(dpi)));
            }
            assert_eq!(zbar(&pictures), links(&drawings), "zbar on bitmaps of {name} at {dpi:?}");
            assert_eq!(opencv(&pictures), links(&drawings), "OpenCV on bitmaps of {name} at {dpi:?}");
            for text in longest() {
                let drawing = draw(&text, &on_dots);
                let what = format!("the longest names on {name} at {dpi:?}");
                stays_inside(&drawing, &what);
                white_edge(&drawing, dpi, &what);
            }
        }
    }
}

#[test]
fn sheets_hit_every_position() {
    const DPI: f64 = 600.0;
    for (i, sheet) in sheets().into_iter().enumerate().step_by(3) {
        let scratch = Scratch::new(&format!("positions-{i}"));
        let stock = Stock::Sheet(sheet);
        let drawing = draw(&labels_for(ADDRESSES[1])[0], &stock);
        let square = drawing.square().expect("a square");
        let drawings = vec![drawing.clone(); sheet.positions()];
        let pages = labels::pages::pages(&drawings, &stock, 1).expect("a sheet");
        assert_eq!(pages.len(), 1);
        let page = render(&scratch, &pdf(&pages, &Calibration::default()), "600", "-gray").pop().expect("a page");
        let picture = Grey::read(&page);
        for position in 0..sheet.positions() {
            let (x, y) = sheet.corner(position);
            let (x, y) = (x + square.x, y + square.y);
            let black = |mm_x: f64, mm_y: f64| picture.at(mm_x / 25.4 * DPI, mm_y / 25.4 * DPI) < 128;
            // The finder's outer column and row are black for seven modules, with white before them.
            let along = 3.5 * square.module;
            let found = [
                black(x + 0.1, y + along),
                black(x - 0.1, y + along),
                black(x + along, y + 0.1),
                black(x + along, y - 0.1),
            ];
            assert_eq!(found, [true, false, true, false], "position {} of sheet {i}", position + 1);
        }
    }
}

/// A portable greymap.
struct Grey {
    w: usize,
    h: usize,
    dots: Vec<u8>,
}

impl Grey {
    fn read(path: &Path) -> Self {
        let bytes = fs::read(path).expect("poppler's picture");
        let header: Vec<_> =
            bytes.splitn(5, |b| b.is_ascii_whitespace()).take(4).map(String::from_utf8_lossy).collect();
        let number = |i: usize| header[i].parse::<usize>().expect("a portable greymap");
        let (w, h) = (number(1), number(2));
        Self { w, h, dots: bytes[bytes.len() - w * h..].to_vec() }
    }

    fn at(&self, x: f64, y: f64) -> u8 {
        self.dots[(y as usize).min(self.h - 1) * self.w + (x as usize).min(self.w - 1)]
    }
}

#[test]
fn a_set_of_bitmaps_is_unpacked_by_python() {
    let scratch = Scratch::new("set");
    let files: Vec<(String, Vec<u8>)> = labels_for(ADDRESSES[0])
        .iter()
        .map(|text| {
            let drawing = draw(text, &roll(62.0, 40.0, Some(Dpi::D203)));
            (format!("label-{}-ü.png", text.code.id()), bitmap(&drawing, Dpi::D203).png(Dpi::D203))
        })
        .collect();
    let archive = scratch.put("labels.zip", &labels::zip::stored(&files));
    let told = lines(&python(&[OsStr::new("unpack"), archive.as_os_str(), scratch.0.as_os_str()]));
    assert_eq!(told.len(), files.len());
    for (name, bytes) in &files {
        assert_eq!(&fs::read(scratch.0.join(name)).expect("unpacked"), bytes, "{name}");
    }
}

/// The black of a page, mm from its upper left corner: left, top, right, bottom.
fn black(scratch: &Scratch, pdf: &[u8]) -> (Size, [f64; 4]) {
    const DPI: u32 = 600;
    let page = render(scratch, pdf, &DPI.to_string(), "-gray").pop().expect("a page");
    let Grey { w, h, dots } = Grey::read(&page);
    let (mut left, mut top, mut right, mut bottom) = (w, h, 0, 0);
    for (i, _) in dots.iter().enumerate().filter(|&(_, &grey)| grey < 128) {
        (left, right) = (left.min(i % w), right.max(i % w + 1));
        (top, bottom) = (top.min(i / w), bottom.max(i / w + 1));
    }
    let mm = |dots: usize| dots as f64 * 25.4 / f64::from(DPI);
    (Size { w: mm(w), h: mm(h) }, [mm(left), mm(top), mm(right), mm(bottom)])
}

#[test]
fn millimetres_are_papers() {
    let near = |got: f64, expected: f64, what: &str| {
        assert!((got - expected).abs() <= 0.1, "{what}: {got:.3} mm where {expected:.3} were drawn");
    };
    let moved = Calibration { right: 2.0, down: -1.0, ..Calibration::default() };
    let shrunk = Calibration { scale_x: 0.98, scale_y: 0.95, ..Calibration::default() };
    for (i, c) in [Calibration::default(), moved, shrunk].iter().enumerate() {
        let scratch = Scratch::new(&format!("mm-{i}"));
        let size = Size { w: 62.0, h: 40.0 };
        let mut page = labels::pages::ruler(size);
        // A letter's ink is narrower than its advance: the rulers' own strokes are measured.
        page.placed[0].drawing.to_mut().marks.retain(|m| matches!(m, Mark::Rect(_)));
        let bounds: Vec<_> = page.placed[0].drawing.marks.iter().map(|m| m.bounds()).collect();
        let ends = |f: fn(f64, f64) -> f64, of: fn(&labels::drawing::Rect) -> f64| {
            bounds.iter().map(of).reduce(f).expect("marks")
        };
        let (paper, [left, top, right, bottom]) = black(&scratch, &pdf(&[page.clone()], c));
        near(paper.w, size.w, "the page's width");
        near(paper.h, size.h, "the page's height");
        near(left, ends(f64::min, |b| b.x) * c.scale_x + c.right, "left");
        near(top, ends(f64::min, |b| b.y) * c.scale_y + c.down, "top");
        near(right, ends(f64::max, |b| b.right()) * c.scale_x + c.right, "right");
        near(bottom, ends(f64::max, |b| b.bottom()) * c.scale_y + c.down, "bottom");
    }
}

// Crockford, "Base 32": the check symbol is the number modulo 37, written with the 32 symbols and * ~ $ = U.
// The symbols below were also written by an implementation of someone else's (base32-crockford 0.3.0).
#[test]
fn check_symbols() {
    let rows = [
        ("00000000", 0, '0'),
        ("00000007", 7, '7'),
        ("00000010", 32, '*'),
        ("00000011", 33, '~'),
        ("00000012", 34, '$'),
        ("00000013", 35, '='),
        ("00000014", 36, 'U'),
        ("00000015", 37, '0'),
        ("0000016J", 1234, 'D'),
        ("7K3QX2M9", 261_044_996_745, 'B'),
        ("ZZZZZZZZ", 1_099_511_627_775, 'F'),
    ];
    for (id, number, symbol) in rows {
        let code = Code::of(id).expect("an id");
        assert_eq!((code.number(), code.check()), (number, symbol), "{id}");
        assert_eq!(format!("{id}{symbol}").to_lowercase().parse(), Ok(code), "{id} typed with its symbol");
    }
}

// The same source: any case; hyphens ignored; o is 0, i and l are 1; u is not used. "Detects wrong-symbol and
// transposed-symbol errors."
#[test]
fn reading_rules_and_what_the_check_symbol_catches() {
    const SYMBOLS: &str = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    for (typed, same) in
        [("oO0ilIL1", "00011111"), ("abcd-efgh", "ABCDEFGH"), ("a-b-c-d-e-f-g-h", "ABCDEFGH"), ("jkmnpqrs", "JKMNPQRS")]
    {
        assert_eq!(typed.parse(), Code::of(same), "{typed}");
    }
    assert!("7K3QU2M9".parse::<Code>().is_err());
    for id in ["7K3QX2M9", "00000000", "ZZZZZZZZ", "A1B2C3D4"] {
        let check = Code::of(id).expect("an id").check();
        let refused = |changed: String| {
            let typed = format!("{changed}{check}");
            assert!(typed.parse::<Code>().is_err(), "{typed} passes for {id}");
        };
        for (at, right) in id.char_indices() {
            for wrong in SYMBOLS.chars().filter(|&c| c != right) {
                refused(format!("{}{wrong}{}", &id[..at], &id[at + 1..]));
            }
            if let Some(next) = id[at + 1..].chars().next().filter(|&next| next != right) {
                refused(format!("{}{next}{right}{}", &id[..at], &id[at + 2..]));
            }
        }
    }
}
