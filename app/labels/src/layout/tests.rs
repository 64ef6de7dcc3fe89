use super::*;
use crate::Code;
use crate::font;
use crate::png::bitmap;
use crate::stock::{ROLLS, sheets};
use crate::text::{Clutch, Face, Fact, Line, Parents};
use proptest::prelude::*;

const LINK: &str = "HTTPS://ALDERLANE.EXAMPLE/#/B/7K3QX2M9.27P1.29A46.9.KNG";

fn code() -> Code {
    Code::of("7K3QX2M9").expect("an id")
}

fn text(face: Face, notes: bool) -> LabelText {
    LabelText { face, link: LINK.into(), code: code(), notes: notes.then(|| "notes:".into()) }
}

fn parents(dam: &str, sire: &str) -> Parents {
    Parents { dam: Some(dam.into()), sire: Some(sire.into()) }
}

fn short() -> Clutch {
    Clutch {
        number: "26-014".into(),
        species: "Kingsnake".into(),
        species_short: Some("KNG".into()),
        morph: Some("desert".into()),
        parents: vec![parents("Bel", "Moss")],
        laid: Some(Fact::new("LAID", "13 Apr", "±1 d")),
        eggs: Some(Fact::new("", "9", "eggs")),
        look_from: Some(Fact::new("LOOK FROM", "4 Jun", "")),
        fill_to: Some(Fact::new("FILL TO", "1486 g", "closed")),
    }
}

fn long() -> Clutch {
    Clutch {
        number: "2026-ALDER-0147-B".into(),
        species: "San Luis Potosí kingsnake (Lampropeltis mexicana)".into(),
        species_short: Some("SLP".into()),
        morph: Some("hypomelanistic, het amelanistic, possible het anerythristic 66 %".into()),
        parents: vec![parents("Grandmother Willow of Alder Lane", "Thunderstruck Moss the Second / Ferdinand")],
        laid: Some(Fact::new("LAID", "28 Sep 2026", "±14 days")),
        eggs: Some(Fact::new("", "128", "eggs")),
        look_from: Some(Fact::new("LOOK FROM", "28 Nov 2026", "")),
        fill_to: Some(Fact::new("FILL TO", "12486.5 g", "closed")),
    }
}

fn faces() -> Vec<(&'static str, LabelText)> {
    let animal = Face::Titled {
        title: "Grandmother Willow of Alder Lane".into(),
        lines: vec![
            Line::Strong("Mexican black kingsnake, hypomelanistic, possible het albino 66 %".into()),
            Line::Plain("♀ · born 2019 · line Alder · from Barn Two, rack C, slot 14".into()),
            Line::Fact(Fact::new("RACK", "A-3", "")),
        ],
    };
    let wordless = Clutch { number: "W".repeat(40), species: "W".repeat(60), species_short: None, ..long() };
    let foreign = Clutch {
        number: "蛇-014".into(),
        species: "\u{202e}ختم 蛇 e\u{301}\u{0}".into(),
        morph: Some("  ".into()),
        ..short()
    };
    let two = Clutch {
        number: "26-014 + 26-015".into(),
        parents: vec![
            parents("Bel", "Moss"),
            Parents { dam: Some("Grandmother Willow of Alder Lane".into()), sire: None },
        ],
        ..short()
    };
    let bare = Clutch { number: "1".into(), species: "Corn snake".into(), ..Clutch::default() };
    let empty = Clutch::default();
    vec![
        ("short", text(Face::Clutch(short()), true)),
        ("long", text(Face::Clutch(long()), true)),
        ("long without notes", text(Face::Clutch(long()), false)),
        ("one endless word", text(Face::Clutch(wordless), true)),
        ("unknown characters", text(Face::Clutch(foreign), true)),
        ("two clutches", text(Face::Clutch(two), true)),
        ("bare", text(Face::Clutch(bare), false)),
        ("empty", text(Face::Clutch(empty), true)),
        ("animal", text(animal, false)),
        ("blank", text(Face::Blank { pencil: vec!["no.".into(), "laid".into(), "eggs".into()] }, true)),
        (
            "blank with a sentence",
            text(Face::Blank { pencil: vec!["what the keeper saw in the box today".into()] }, false),
        ),
    ]
}

fn sizes() -> Vec<Size> {
    let mut out: Vec<_> = ROLLS.iter().map(|&(w, h)| Size { w, h }).collect();
    out.extend(sheets().iter().step_by(2).map(|s| s.label));
    out.extend(ROLLS.iter().step_by(3).map(|&(w, h)| Size { w: h, h: w }));
    out.extend(
        [(10.0, 10.0), (12.0, 80.0), (80.0, 10.0), (100.0, 150.0), (300.0, 300.0), (20.0, 20.0)]
            .map(|(w, h)| Size { w, h }),
    );
    out
}

fn parts_of(t: &LabelText) -> Vec<Part> {
    rows(t).iter().flat_map(|r| r.content.parts()).chain(t.notes.as_ref().map(|_| Part::Notes)).collect()
}

/// What every label owes: all inside, nothing over anything else, every part there or named as lacking.
fn owes(name: &str, t: &LabelText, d: &Drawing) {
    let (w, h) = (d.size.w, d.size.h);
    let what = |m: &Mark| match m {
        Mark::Square(s) => format!("square {:?}", s.bounds()),
        other => format!("{other:?}"),
    };
    let at = |m: &Mark| format!("{name} on {w} × {h}: {}", what(m));
    for mark in &d.marks {
        let b = mark.bounds();
        assert!(
            b.x >= -1e-6 && b.y >= -1e-6 && b.right() <= w + 1e-6 && b.bottom() <= h + 1e-6,
            "outside: {}",
            at(mark)
        );
        if let Mark::Text(t) = mark {
            assert!(t.size >= 1.2 - 1e-9, "too small: {}", at(mark));
        }
    }
    for (i, a) in d.marks.iter().enumerate() {
        for b in &d.marks[i + 1..] {
            assert!(!a.bounds().meets(&b.bounds()), "collide: {} and {}", at(a), at(b));
        }
    }
    for part in parts_of(t) {
        let printed = d.texts().any(|t| t.part == part);
        // A species' morph stands in the species' own words.
        let with_species = part == Part::Morph && d.texts().any(|t| t.part == Part::Species);
        let lacks = d.lacks.contains(&(part, Lack::LeftOut));
        assert!(lacks || printed || with_species, "{part:?} vanished from {name} on {w} × {h}");
        assert!(!(lacks && printed), "{part:?} is on {name} {w} × {h} and said not to be");
    }
    let typed: String = d.texts().filter(|t| t.part == Part::Code).map(|t| t.text.replace('-', "")).collect();
    assert_eq!(typed, code().to_string().replace('-', ""), "the code on {name} {w} × {h}");
    assert_eq!(d.square().is_none(), d.lacks.contains(&(Part::Square, Lack::LeftOut)));
}

#[test]
fn nothing_collides_or_vanishes() {
    for (i, size) in sizes().into_iter().enumerate() {
        let dots = [None, Some(Dpi::D203), Some(Dpi::D300)][i % 3];
        for (name, t) in faces() {
            owes(name, &t, &layout(&t, &Stock::Roll { label: size, dots }).expect("a size in range"));
        }
    }
}

#[test]
fn number_and_species_stay() {
    for size in sizes().into_iter().filter(|s| s.w * s.h >= 375.0 && s.w.min(s.h) >= 15.0) {
        for clutch in [short(), long()] {
            let d = layout(&text(Face::Clutch(clutch.clone()), true), &Stock::Roll { label: size, dots: None })
                .expect("in range");
            for part in [Part::Title, Part::Species, Part::LookFrom] {
                assert!(
                    !d.lacks.contains(&(part, Lack::LeftOut)),
                    "{part:?} of {} on {size:?}: {:?}",
                    clutch.number,
                    d.lacks
                );
            }
            let number: String = d.texts().filter(|t| t.part == Part::Title).map(|t| t.text.as_str()).collect();
            assert_eq!(number, clutch.number, "{size:?}");
        }
    }
}

#[test]
fn the_usual_label() {
    // The egg box label of 62 × 40 mm: everything on it, large.
    for dots in [None, Some(Dpi::D203), Some(Dpi::D300)] {
        let d = layout(&text(Face::Clutch(short()), true), &Stock::Roll { label: Size { w: 62.0, h: 40.0 }, dots })
            .expect("in range");
        assert_eq!(d.lacks, []);
        let square = d.square().expect("a square");
        assert!(square.module * square.matrix.side as f64 >= 20.0, "square of {} mm a module", square.module);
        let number = d.texts().find(|t| t.part == Part::Title).expect("a number");
        assert!(number.size * font::CAP >= 6.0, "figures {} mm high", number.size * font::CAP);
        let order: Vec<_> = d.texts().filter(|t| t.part != Part::Code).map(|t| (t.y, t.part)).collect();
        assert!(order.is_sorted_by_key(|&(_, part)| part), "{order:?}");
        assert!(order.is_sorted_by(|a, b| a.0 <= b.0), "{order:?}");
    }
}

#[test]
fn whole_dots() {
    for dpi in [Dpi::D203, Dpi::D300] {
        for (w, h) in ROLLS {
            let d = layout(&text(Face::Clutch(short()), true), &Stock::Roll { label: Size { w, h }, dots: Some(dpi) })
                .expect("in range");
            let s = d.square().expect("a square");
            for mm in [s.module, s.x, s.y] {
                let dots = mm * dpi.per_mm();
                assert!((dots - dots.round()).abs() < 1e-6, "{mm} mm is {dots} dots on {w} × {h}");
            }
            let b = bitmap(&d, dpi);
            let module = (s.module * dpi.per_mm()).round() as usize;
            let (x0, y0) = ((s.x * dpi.per_mm()).round() as usize, (s.y * dpi.per_mm()).round() as usize);
            let quiet = QUIET * module;
            for y in 0..s.matrix.side * module + 2 * quiet {
                for x in 0..s.matrix.side * module + 2 * quiet {
                    let inside = x >= quiet && y >= quiet;
                    let dark = inside && s.matrix.is_dark((x - quiet) / module, (y - quiet) / module);
                    let black = b.black[(y0 + y - quiet) * b.width + x0 + x - quiet];
                    let in_code = inside && (y - quiet) / module < s.matrix.side;
                    assert_eq!(black, dark && in_code, "dot {x},{y} of the square on {w} × {h}");
                }
            }
        }
    }
}

#[test]
fn a_link_too_long_for_a_square_leaves_the_code() {
    let mut t = text(Face::Clutch(short()), true);
    t.link = "x".repeat(3000);
    let d = layout(&t, &Stock::Roll { label: Size { w: 62.0, h: 40.0 }, dots: None }).expect("in range");
    assert!(d.lacks.contains(&(Part::Square, Lack::LeftOut)));
    owes("too long", &t, &d);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]
    #[test]
    fn any_text_on_any_size(w in 10.0..300.0_f64, h in 10.0..300.0_f64, number in "\\PC{0,30}", species in "\\PC{0,40}", morph in "\\PC{1,30}",
        dam in "\\PC{0,30}", value in "\\PC{0,30}", aside in "\\PC{0,30}") {
        let fact = Some(Fact::new("LAID", &value, &aside));
        let clutch = Clutch { number, species, morph: Some(morph), parents: vec![parents(&dam, "Moss"), parents("Bel", &dam)], laid: fact.clone(), look_from: fact, ..short() };
        let t = text(Face::Clutch(clutch), true);
        let stock = Stock::Roll { label: Size { w, h }, dots: None };
        // By itself, and arranged as suits others: it is drawn so whether it was among those or not.
        let own = layout(&t, &stock).expect("in range");
        let (with, without) = ([text(Face::Clutch(short()), true), t.clone()], [text(Face::Clutch(long()), true)]);
        let alike = [&with[..], &without[..]].map(|some| Alike::of(some, &stock).expect("in range").layout(&t));
        for d in std::iter::once(&own).chain(&alike) {
            for mark in &d.marks {
                let b = mark.bounds();
                prop_assert!(b.x >= -1e-6 && b.y >= -1e-6 && b.right() <= w + 1e-6 && b.bottom() <= h + 1e-6, "{mark:?}");
            }
            for (i, a) in d.marks.iter().enumerate() {
                for b in &d.marks[i + 1..] {
                    prop_assert!(!a.bounds().meets(&b.bounds()), "{a:?} {b:?}");
                }
            }
            prop_assert!(d.lacks.len() <= own.lacks.len(), "{:?} {:?}", d.lacks, own.lacks);
        }
    }
}

/// A bundle may bring a name as long as a line of the journal.
#[test]
fn a_name_without_end_is_set_as_its_beginning() {
    let of = |length: usize| {
        let name = "Wide Word ".chars().cycle().take(length).collect::<String>();
        let clutch =
            Clutch { number: name.clone(), species: name.clone(), parents: vec![parents(&name, "Moss")], ..long() };
        let lines = vec![Line::Strong(name.clone()), Line::Fact(Fact::new("RACK", &name, &name))];
        [Face::Clutch(clutch), Face::Titled { title: name, lines }].map(|face| text(face, true))
    };
    for stock in [Stock::Roll { label: Size { w: 62.0, h: 29.0 }, dots: None }, Stock::Sheet(sheets()[0])] {
        for (endless, beginning) in of(200_000).iter().zip(&of(401)) {
            let drawn = layout(endless, &stock).expect("a label");
            assert_eq!(drawn.marks, layout(beginning, &stock).expect("a label").marks);
            let cut = |&(part, _): &(Part, Lack)| part == Part::Title;
            assert!(drawn.lacks.iter().any(cut), "{:?}", drawn.lacks);
            let set: usize = drawn.marks.iter().map(|m| if let Mark::Text(t) = m { t.text.len() } else { 0 }).sum();
            assert!(set < 4_000, "{set} bytes are set");
        }
    }
}
