//! Lines from anywhere: what is read, what is refused and with which words; never a panic.

use journal::{Entry, Fold, Hash, Id, MAX_LINE, MAX_SETS, Named, Ref, Refused, Stamp};
use proptest::prelude::*;
use serde_json::{Value, json};

const BOOK: &str = "B00KB00K";

/// As form 1 names an entry, and as form 2 does.
const SHORT: &str = "7K3QX2M9.1.0a1b2c3d";
const WHOLE: &str = "7K3QX2M9.1.0a1b2c3d0a1b2c3d0a1b2c3d0a1b2c3d0a1b2c3d0a1b2c3d0a1b2c3d0a1b2c3d";

/// A sound second line of a device.
fn sound() -> Value {
    json!({
        "v": 2, "book": BOOK, "dev": "7K3QX2M9", "seq": 2, "prev": "0".repeat(64), "at": "019eadd4a1c0-0000",
        "wall": "2026-06-09T21:40+02:00", "by": "Moss", "app": "0.1.0", "act": "Noted",
        "sets": [{"kind": "note", "id": "7K3QX2M9.2.0", "f": {"text": "Bel shed"}}]
    })
}

/// A sound line with one part replaced.
fn with(path: &str, value: Value) -> String {
    let mut line = sound();
    *line.pointer_mut(path).expect("a path of the sound line") = value;
    line.to_string()
}

/// A sound line with one part more.
fn plus(part: &str, value: Value) -> String {
    let mut line = sound();
    line[part] = value;
    line.to_string()
}

fn without(part: &str) -> String {
    let mut line = sound();
    line.as_object_mut().expect("an object").remove(part);
    line.to_string()
}

fn first(part: &str, value: Value) -> String {
    let mut line = sound();
    line["seq"] = json!(1);
    line.as_object_mut().expect("an object").remove("prev");
    line["key"] = json!("0".repeat(64));
    line[part] = value;
    line.to_string()
}

fn nested(depth: usize) -> String {
    let raw = format!("{}1{}", "[".repeat(depth), "]".repeat(depth));
    sound().to_string().replacen('{', &format!("{{\"deep\":{raw},"), 1)
}

/// A line as form 1 has it.
fn old(line: &str) -> String {
    line.replace("\"v\":2", "\"v\":1")
}

/// Refused with these words, or read when there are none; never anything half.
fn check(line: &str, expected: &str) {
    match Entry::read(line) {
        Ok(_) => assert_eq!("", expected, "read, but should not be: {}", &line[..line.len().min(200)]),
        Err(refused) => {
            let words = refused.to_string();
            assert!(
                !expected.is_empty() && words.contains(expected),
                "said “{words}” instead of “{expected}” about {}",
                line.chars().take(200).collect::<String>()
            );
        }
    }
}

#[test]
fn lines_from_anywhere() {
    let set = |extra: &str| sound().to_string().replace("\"kind\":\"note\"", &format!("\"kind\":\"note\",{extra}"));
    let rows: Vec<(String, &str)> = vec![
        // Sound, and of a newer version.
        (sound().to_string(), ""),
        (first("sets", json!([])), ""),
        (plus("weather", json!({"rain": [15, null, true, "–"]})), ""),
        (with("/act", json!("ActOfNextYear")), ""),
        (with("/sets/0/kind", json!("kind_of_next_year")), ""),
        (with("/sets/0/f", json!({"field_of_next_year": {"a": [u64::MAX, i64::MIN]}})), ""),
        (set("\"extra\":[15]"), ""),
        (plus("crit", json!(["locks"])), ""),
        (plus("undoes", json!(WHOLE)), ""),
        (plus("undoes", json!(SHORT)), "“undoes”"),
        (old(&sound().to_string()), ""),
        (old(&plus("undoes", json!(SHORT))), ""),
        (old(&plus("undoes", json!(WHOLE))), "“undoes”"),
        (with("/sets/0/f/text", json!("<script>alert(1)</script> & \u{202e}txet\u{0}")), ""),
        // No JSON.
        (String::new(), "cannot be read"),
        (" ".into(), "cannot be read"),
        ("null".into(), "not an object"),
        ("[]".into(), "not an object"),
        ("\"v\"".into(), "not an object"),
        ("<html><body>404</body></html>".into(), "cannot be read"),
        ("{\"v\":1".into(), "cannot be read"),
        (format!("{} {{}}", sound()), "cannot be read"),
        (format!("{}\n{}", sound(), sound()), "cannot be read"),
        (format!("\u{feff}{}", sound()), "cannot be read"),
        ("{'v':1}".into(), "cannot be read"),
        (sound().to_string().replace("Bel shed", "\\ud800"), "cannot be read"),
        (sound().to_string().replace("Bel shed", "a\nb"), "cannot be read"),
        (sound().to_string().replace("\"Bel shed\"", "1e999"), "cannot be read"),
        (sound().to_string().replace("\"Bel shed\"", "NaN"), "cannot be read"),
        // Not whole, wherever it stands.
        (plus("weather", json!({"rain": [1.5, null]})), "1.5 is not a whole number"),
        (with("/sets/0/f", json!({"field_of_next_year": {"a": [-0.1]}})), "-0.1 is not a whole number"),
        (set("\"extra\":[2.0]"), "2.0 is not a whole number"),
        (sound().to_string().replace("\"Bel shed\"", "1e3"), "1000.0 is not a whole number"),
        // Twice.
        (sound().to_string().replacen('{', "{\"v\":2,", 1), "stands twice"),
        (sound().to_string().replace("{\"text\":", "{\"text\":null,\"text\":"), "stands twice"),
        (sound().to_string().replace("{\"text\":", "{\"te\\u0078t\":null,\"text\":"), "stands twice"),
        (plus("deep", json!([])).replace("\"deep\":[]", "\"deep\":[{\"a\":{\"b\":1,\"b\":1}}]"), "stands twice"),
        // Too much.
        (plus("long", json!("x".repeat(MAX_LINE))), "bytes long"),
        (nested(15), ""),
        (nested(16), "nests deeper"),
        (nested(100_000), "nests deeper"),
        (with("/sets", Value::Array(vec![json!({"kind": "n", "id": "a", "f": {}}); MAX_SETS + 1])), "at most 2048"),
        (with("/sets/0/f", (0..257).map(|n| (format!("f{n}"), json!(n))).collect()), "at most 256"),
        (plus("crit", Value::Array(vec![json!("x"); 17])), "at most 16"),
        (with("/act", json!("x".repeat(65))), "“act”"),
        (with("/by", json!("x".repeat(65))), "“by”"),
        (with("/sets/0/id", json!("x".repeat(65))), "“id”"),
        // Missing.
        (without("v"), "no “v”"),
        (without("book"), "no “book”"),
        (without("dev"), "no “dev”"),
        (without("seq"), "no “seq”"),
        (without("prev"), "no “prev”"),
        (without("at"), "no “at”"),
        (without("wall"), "no “wall”"),
        (without("by"), "no “by”"),
        (without("app"), "no “app”"),
        (without("act"), "no “act”"),
        (without("sets"), "no “sets”"),
        (with("/sets/0", json!({"id": "a", "f": {}})), "no “kind”"),
        (with("/sets/0", json!({"kind": "a", "f": {}})), "no “id”"),
        (with("/sets/0", json!({"kind": "a", "id": "a"})), "no “f”"),
        // Wrong.
        (with("/v", json!(3)), "Update this app"),
        (with("/v", json!(0)), "“v”"),
        (with("/v", json!("1")), "“v”"),
        (with("/v", json!(1.0)), "1.0 is not a whole number"),
        (with("/seq", json!(0)), "“seq”"),
        (with("/seq", json!(-1)), "“seq”"),
        (with("/seq", json!(1.5)), "1.5 is not a whole number"),
        (with("/seq", json!(100_000_000)), "“seq”"),
        (with("/seq", json!(u64::MAX)), "“seq”"),
        (with("/seq", json!(1)), "no “key”"),
        (with("/book", json!("b00kb00k")), "“book”"),
        (with("/dev", json!("7K3QX2MI")), "“dev”"),
        (with("/dev", json!("7K3QX2M")), "“dev”"),
        (with("/dev", json!(null)), "“dev”"),
        (with("/prev", json!(null)), "“prev”"),
        (with("/prev", json!("0A".repeat(32))), "“prev”"),
        (with("/at", json!("019EADD4A1C0-0000")), "“at”"),
        (with("/at", json!("019eadd4a1c00000")), "“at”"),
        (with("/at", json!(1)), "“at”"),
        (with("/wall", json!("2026-06-09 21:40")), "“wall”"),
        (with("/wall", json!("2026-06-09T21:40Z")), "“wall”"),
        (with("/by", json!("")), "“by”"),
        (with("/by", json!("Mo\nss")), "“by”"),
        (with("/app", json!({})), "“app”"),
        (with("/act", json!("<b>x</b>")), "“act”"),
        (with("/act", json!("")), "“act”"),
        (with("/sets", json!({})), "“sets”"),
        (with("/sets/0", json!([])), "“sets”"),
        (with("/sets/0/kind", json!("a b")), "“kind”"),
        (with("/sets/0/id", json!("a b")), "“id”"),
        (with("/sets/0/id", json!(7)), "“id”"),
        (with("/sets/0/f", json!([])), "“f”"),
        (with("/sets/0/f", json!({"a b": 1})), "“f”"),
        (with("/sets/0/f", json!({"": 1})), "“f”"),
        (
            with("/sets", json!([{"kind": "n", "id": "a", "f": {"x": 1}}, {"kind": "n", "id": "a", "f": {}}])),
            "one set a record",
        ),
        (set("\"over\":[]"), "“over”"),
        (set(&format!("\"over\":{{\"text\":\"{WHOLE}\"}}")), "“over”"),
        (set("\"over\":{\"text\":[7]}"), "“over”"),
        (set("\"over\":{\"text\":[\"7K3QX2M9.1\"]}"), "“over”"),
        (set(&format!("\"over\":{{\"other\":[\"{WHOLE}\"]}}")), "“over”"),
        (set(&format!("\"over\":{{\"text\":[\"{WHOLE}\"]}}")), ""),
        (set(&format!("\"over\":{{\"text\":[\"{SHORT}\"]}}")), "“over”"),
        (set(&format!("\"over\":{{\"text\":[\"{WHOLE}\",\"{SHORT}\"]}}")), "“over”"),
        (old(&set(&format!("\"over\":{{\"text\":[\"{SHORT}\"]}}"))), ""),
        (old(&set(&format!("\"over\":{{\"text\":[\"{WHOLE}\"]}}"))), "“over”"),
        (plus("crit", json!("locks")), "“crit”"),
        (plus("crit", json!(["a b"])), "“crit”"),
        (plus("undoes", json!(null)), "“undoes”"),
        (plus("continues", json!(WHOLE)), "“continues”"),
        (first("continues", json!(WHOLE)), ""),
        (first("continues", json!(SHORT)), "“continues”"),
        (old(&first("continues", json!(SHORT))), ""),
        (plus("key", json!("0".repeat(64))), "“key”"),
        (first("prev", json!("0".repeat(64))), "“prev”"),
        (first("key", json!("0")), "“key”"),
    ];
    rows.iter().for_each(|(line, expected)| check(line, expected));
}

#[test]
fn references_and_stamps_have_one_text() {
    let read = |text: &str| text.parse::<Named>().map(|r| r.to_string()).ok();
    for text in ["7K3QX2M9.1.00000000", "00000000.99999999.ffffffff", WHOLE] {
        assert_eq!(read(text).as_deref(), Some(text));
    }
    assert!(WHOLE.parse::<Ref>().is_ok());
    assert!(SHORT.parse::<Ref>().is_err(), "a reference is exact");
    let (whole, short): (Named, Named) = (WHOLE.parse().expect("whole"), SHORT.parse().expect("short"));
    let meant = whole.whole().expect("exact");
    let other = Ref { hash: Hash::of(b"another"), ..meant };
    assert!(whole.means(&meant) && short.means(&meant) && !whole.means(&other) && !short.means(&other));
    for named in [whole, short] {
        assert_eq!((named.range().contains(&meant), named.range().contains(&other)), (true, false));
    }
    let longer = format!("{WHOLE}0");
    let upper = WHOLE.to_uppercase();
    for text in [
        "",
        ".",
        "..",
        "7K3QX2M9.1",
        "7K3QX2M9.0.00000000",
        "7K3QX2M9.01.00000000",
        "7K3QX2M9.+1.00000000",
        "7K3QX2M9.1.0000000",
        "7K3QX2M9.1.000000000",
        &WHOLE[..WHOLE.len() - 1],
        &longer,
        &upper,
        "7K3QX2M9.1.0000000G",
        "7K3QX2M9.1.ABCDEF00",
        "7K3QX2M9.1.00000000.",
        "7K3QX2M9.100000000.00000000",
        "7k3qx2m9.1.00000000",
        " 7K3QX2M9.1.00000000",
        "7K3QX2M9.¹.00000000",
    ] {
        assert_eq!(read(text), None, "{text:?}");
    }
    let stamps = ["000000000000-0000", "019eadd4a1c0-0001", "019eadd4a1c1-0000", "ffffffffffff-ffff"];
    for pair in stamps.windows(2) {
        let [a, b]: [Stamp; 2] = [pair[0].parse().expect("a stamp"), pair[1].parse().expect("a stamp")];
        assert!(a < b && pair[0] < pair[1], "{a} sorts as its text does");
        assert_eq!(b.to_string(), pair[1]);
    }
}

#[test]
fn another_books_lines_wait_for_a_join() {
    let own: Id = "7K3QX2M9".parse().expect("an id");
    let other: Id = BOOK.parse().expect("an id");
    let mut fold = Fold::new(own);
    let line = first("by", json!("Moss"));
    assert_eq!(fold.take(&line), Err(Refused::OtherBook { book: other }));
    assert_eq!(fold.chains().count(), 0);
    fold.join(other);
    fold.take(&line).expect("joined");
    assert!(fold.record("note", "7K3QX2M9.2.0").is_some());
    let restored = Fold::restore(&fold.snapshot()).expect("whole");
    assert_eq!(restored.clone().take(&line), Ok(journal::Taken::Already));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// A sound line with bytes cut out, doubled or replaced: read or refused, and refused changes nothing.
    #[test]
    fn damaged_lines_never_panic(from in 0..400usize, len in 0..40usize, put in "[\\PC\\x00-\\x1f]{0,12}") {
        let line = sound().to_string();
        let chars: Vec<char> = line.chars().collect();
        let from = from.min(chars.len());
        let to = (from + len).min(chars.len());
        let damaged: String = chars[..from].iter().copied().chain(put.chars()).chain(chars[to..].iter().copied()).collect();
        let mut fold = Fold::new(BOOK.parse().expect("an id"));
        if fold.take(&damaged).is_err() {
            prop_assert_eq!(fold.digest(), Fold::new(BOOK.parse().expect("an id")).digest());
            prop_assert_eq!(fold.chains().count(), 0);
        } else {
            prop_assert!(Entry::read(&damaged).is_ok());
        }
        let _ = Fold::restore(&damaged);
    }
}
