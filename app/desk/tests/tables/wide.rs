//! What a wide screen and a keyboard decide: keys, steps come back to, sections, rows walked, axes.

use desk::axis::{stand, ticks};
use desk::keys::{Act, FAST_MS, Heard, Keyboard, along};
use desk::lists::{Walk, narrow, told_apart, walk};
use desk::page::{Beside, Page, Section};
use desk::trail::Trail;
use proptest::prelude::*;

/// Slower than any reader types, ms.
const SLOW: f64 = 2.0 * FAST_MS;

#[test]
fn a_hand_asks_by_single_keys() {
    let mut keyboard = Keyboard::default();
    let mut at = 1000.0;
    for (key, act) in Act::KEYS {
        at += SLOW;
        // A question mark is typed with Shift, pressed just before.
        assert_eq!(keyboard.hear("Shift", at, false), Heard::Nothing);
        match keyboard.hear(key, at + 20.0, false) {
            Heard::Act(found) => assert!(found == act && matches!(act, Act::Next | Act::Before), "{key}"),
            Heard::Alone(found, press) => {
                assert!(found == act && keyboard.alone(press), "{key} with nothing after it");
                assert_eq!(keyboard.hear("x", at + 40.0, false), Heard::Nothing);
                assert!(!keyboard.alone(press), "{key} with a key after it");
            }
            heard => panic!("{key}: {heard:?}"),
        }
    }
    for key in ["a", "J", "Tab", "F5", "ArrowDown", "Enter", "é"] {
        at += SLOW;
        assert_eq!(keyboard.hear(key, at, false), Heard::Nothing, "{key}");
    }
}

#[test]
fn a_held_key_walks_on_and_is_no_label() {
    let mut keyboard = Keyboard::default();
    assert_eq!(keyboard.hear("j", 1000.0, false), Heard::Act(Act::Next));
    for i in 1..30 {
        assert_eq!(keyboard.hear("j", 1000.0 + 30.0 * f64::from(i), true), Heard::Act(Act::Next));
    }
    assert_eq!(keyboard.hear("Enter", 1000.0 + 30.0 * 30.0, false), Heard::Nothing);
    // A held question mark asks once.
    assert!(matches!(keyboard.hear("?", 5000.0, false), Heard::Alone(Act::Keys, _)));
    assert_eq!(keyboard.hear("?", 5500.0, true), Heard::Nothing);
}

/// What a reader types, key by key, 10 ms apart.
fn read(text: &str) -> (Vec<Heard>, Heard) {
    let mut keyboard = Keyboard::default();
    let mut at = 1000.0;
    let mut heard = Vec::new();
    for letter in text.chars() {
        at += 10.0;
        let key = keyboard.hear(&letter.to_string(), at, false);
        // Who waits hears of the next key before the time is up.
        heard.push(key);
    }
    let alone = heard.iter().any(|heard| matches!(heard, Heard::Alone(_, press) if keyboard.alone(*press)));
    assert!(!alone || text.chars().count() == 1, "{text}");
    (heard, keyboard.hear("Enter", at + 10.0, false))
}

#[test]
fn a_readers_label_is_no_row_of_keys() {
    for text in ["/B/7K3QX2M9", "https://barn.example/#/e/7QK2M4TA?j=k", "7K3Q-X2M9", "jkjkjkjk", "????////"] {
        let (heard, end) = read(text);
        assert_eq!(end, Heard::Label(text.to_owned()));
        let acts = heard.iter().skip(1).filter(|heard| **heard != Heard::Nothing).count();
        assert_eq!(acts, 0, "{text}: {heard:?}");
    }
    assert_eq!(read("7K3Q").1, Heard::Nothing, "too short for a label");
}

proptest! {
    /// Whatever a reader types, at most its first letter is heard as a key, and that one does no harm.
    #[test]
    fn any_label_is_read_whole(text in "[ -~]{8,60}") {
        let (heard, end) = read(&text);
        prop_assert_eq!(end, Heard::Label(text));
        let acts: Vec<&Heard> = heard.iter().filter(|heard| matches!(heard, Heard::Act(_))).collect();
        prop_assert!(acts.iter().all(|act| matches!(act, Heard::Act(Act::Next | Act::Before))) && acts.len() <= 1);
    }

    /// Written and read again, whatever lists are called; and any text is read as something.
    #[test]
    fn a_trail_outlives_its_page(values in prop::collection::vec(("\\PC{0,12}|[a\t\n]{0,4}", "\\PC{0,12}"), 0..9), scroll in -5i32..90_000, junk in "(?s).{0,80}") {
        let mut trail = Trail::default();
        let first = trail.enter(None);
        for (name, value) in &values {
            trail.keep(name, value);
        }
        trail.leave(scroll, "#/animal/7QK2M4TA");
        trail.enter(None);
        let mut again = Trail::read(&trail.written());
        prop_assert_eq!(again.written(), trail.written());
        prop_assert!(again.enter(None) > first, "a number is not given twice");
        again.enter(Some(first));
        prop_assert_eq!(again.here().map(|step| (step.scroll, step.opened.as_str())), Some((scroll, "#/animal/7QK2M4TA")));
        if let Some((name, value)) = values.last() {
            prop_assert_eq!(again.kept(name), Some(value.as_str()));
        }
        let _ = Trail::read(&junk).written();
    }

    /// At least three numbers, all of them within, evenly apart.
    #[test]
    fn an_axis_says_more_than_two_numbers(low in -1e4..1e4f64, wide in 1e-3..1e4f64, about in 2usize..9) {
        let found = ticks(low, low + wide, about, 0.0);
        prop_assert!((3..=2 * about + 4).contains(&found.len()), "{found:?}");
        prop_assert!(found.iter().all(|v| *v >= low - wide * 1e-6 && *v <= low + wide * (1.0 + 1e-6)));
        let step = found[1] - found[0];
        prop_assert!(found.windows(2).all(|pair| ((pair[1] - pair[0]) / step - 1.0).abs() < 1e-6));
    }
}

#[test]
fn axes_are_round() {
    assert_eq!(ticks(0.0, 30.0, 4, 1.0), [0.0, 10.0, 20.0, 30.0]);
    assert_eq!(ticks(0.0, 1.0, 4, 0.0), [0.0, 0.5, 1.0]);
    assert_eq!(ticks(0.62, 0.97, 4, 0.0), [0.7, 0.8, 0.9]);
    assert!(ticks(57.0, 66.0, 4, 1.0).iter().all(|day| day.fract() == 0.0));
    assert_eq!(ticks(5.0, 5.0, 4, 1.0), [5.0]);
    assert!(ticks(f64::NAN, 5.0, 4, 1.0).is_empty());
}

#[test]
fn each_step_is_found_as_it_was_left() {
    let mut trail = Trail::default();
    let list = trail.enter(None);
    assert_eq!(trail.kept("animals"), None);
    trail.keep("animals", "60");
    trail.keep("animals", "120");
    trail.leave(840, "#/animal/A");
    let record = trail.enter(None);
    assert_ne!(list, record);
    assert_eq!((trail.here(), trail.kept("animals")), (None, None), "a new step begins at its top");
    trail.leave(12, "#/animals");
    assert_eq!(trail.enter(Some(list)), list);
    assert_eq!(trail.here().map(|step| (step.scroll, step.opened.as_str())), Some((840, "#/animal/A")));
    assert_eq!(trail.kept("animals"), Some("120"));
    assert_eq!(trail.kept("young"), None);
    // A number of an earlier visit, of which nothing is known.
    trail.enter(Some(900));
    assert_eq!(trail.here(), None);
    assert_eq!(trail.enter(None), 901);
    for _ in 0..500 {
        trail.enter(None);
        trail.leave(1, "#/");
    }
    assert!(trail.written().len() < 10_000, "the oldest steps go");
}

#[test]
fn a_list_is_walked_row_by_row_and_turned_at_its_ends() {
    for (here, rows, on, before, after, to) in [
        (None, 5, true, false, false, Walk::Row(0)),
        (None, 5, false, false, false, Walk::Row(0)),
        (None, 0, true, false, false, Walk::Stay),
        (Some(0), 5, true, false, false, Walk::Row(1)),
        (Some(4), 5, true, false, false, Walk::Stay),
        (Some(4), 5, true, false, true, Walk::TurnOn),
        (Some(1), 5, false, true, false, Walk::Row(0)),
        (Some(0), 5, false, false, true, Walk::Stay),
        (Some(0), 5, false, true, true, Walk::TurnBack),
        (Some(9), 5, false, false, false, Walk::Row(4)),
    ] {
        assert_eq!(walk(here, rows, on, before, after), to, "{here:?} of {rows}, on {on}, {before} {after}");
    }
}

#[test]
fn arrows_go_along_a_chart() {
    let cases = [
        ("ArrowRight", None, 3, Some(0)),
        ("ArrowLeft", None, 3, Some(2)),
        ("ArrowDown", Some(0), 3, Some(1)),
        ("ArrowRight", Some(2), 3, Some(2)),
        ("ArrowUp", Some(0), 3, Some(0)),
        ("ArrowUp", Some(7), 3, Some(2)),
        ("Home", Some(2), 3, Some(0)),
        ("End", None, 3, Some(2)),
        ("Tab", Some(1), 3, None),
        ("j", Some(1), 3, None),
        ("ArrowRight", None, 0, None),
    ];
    for (key, at, n, to) in cases {
        assert_eq!(along(key, at, n), to, "{key} at {at:?} of {n}");
    }
}

#[test]
fn rows_of_one_name_are_told_apart() {
    let mut names: Vec<String> = ["26-08", "26-09", "26-08", "26-08 + 26-09"].map(str::to_owned).to_vec();
    told_apart(&mut names);
    assert_eq!(names, ["26-08 a", "26-09", "26-08 b", "26-08 + 26-09"]);
    let mut many = vec!["26-08".to_owned(); 60];
    told_apart(&mut many);
    let each: std::collections::BTreeSet<&String> = many.iter().collect();
    assert_eq!(each.len(), 60);
}

#[test]
fn the_barn_sheet_takes_the_columns_that_need_less_paper() {
    let tubs = || std::iter::repeat_n(24, 300);
    assert!(narrow(tubs()), "short rows");
    assert!(!narrow(std::iter::repeat_n(45, 30)), "a line in two columns, two lines in three");
    assert!(narrow(tubs().chain(std::iter::repeat_n(45, 30))), "a few long ones among many");
    assert!(!narrow(std::iter::empty()), "nothing to part");
}

#[test]
fn every_page_is_of_a_section_that_stands_at_the_side() {
    let side: Vec<Section> = Section::GROUPS.iter().flat_map(|(_, sections)| sections.iter().copied()).collect();
    for address in Page::addresses() {
        let page = Page::read(&address.replace('*', "7QK2M4TA"));
        let section = page.section().unwrap_or_else(|| panic!("{address} is of no section"));
        assert!(
            section == Section::Scan || side.contains(&section),
            "{address}: {section:?} does not stand at the side"
        );
        assert!(Section::BAR.contains(&section.on_bar()), "{address}");
    }
    for section in side.iter().chain(&[Section::Scan]) {
        assert_eq!(section.page().section(), Some(*section), "its own page is of it");
    }
    assert_eq!(Page::Lost("x".into()).section(), None);
    // A list stays beside the records it leads to, and only they have it.
    for (page, beside) in [
        (Page::Boxes, Some(Beside::Boxes)),
        (Page::Box("A".into()), Some(Beside::Boxes)),
        (Page::Animal("A".into()), Some(Beside::Animals)),
        (Page::Clutch("A".into()), None),
        (Page::AnimalEdit("A".into()), None),
    ] {
        assert_eq!(page.beside(), beside, "{page:?}");
    }
}

proptest! {
    /// Names under a line: none leaves the picture or what it belongs to, no two touch, and the first is always there.
    #[test]
    fn names_under_a_line_keep_apart(names in prop::collection::vec((0i64..=340, 10i64..80), 1..12), rows in 1usize..4) {
        let found = stand(&names, 340, rows);
        prop_assert!(found.first().is_some_and(Option::is_some));
        let half = |i: usize| (names[i].1 + 1) / 2;
        let ends = |i: usize| found[i].map(|(middle, row)| (middle - half(i), middle + half(i), row));
        for (i, (at, _)) in names.iter().enumerate() {
            let Some((from, to, row)) = ends(i) else { continue };
            prop_assert!(0 <= from && to <= 340 && row < rows, "{from} to {to}");
            prop_assert!(from <= *at && *at <= to, "{:?} stands at {from} to {to}", names[i]);
            for (a, b, other) in (0..i).filter_map(ends) {
                prop_assert!(other != row || to < a || b < from, "{from} to {to} over {a} to {b}");
            }
        }
    }
}

#[test]
fn a_name_with_room_in_no_row_is_left_out() {
    let names = [(100, 40), (110, 40), (120, 40), (300, 40), (339, 40)];
    let rows = [Some((100, 0)), Some((110, 1)), None, Some((300, 0)), Some((320, 1))];
    assert_eq!(stand(&names, 340, 2), rows);
}
