//! Lists: every row is reached, once, and what is shown is what was asked for.

use crate::common::today;
use book::Book;
use book::views::{BabyState, baby_rows};
use book::words::Sex;
use desk::daybook::{Lines, Wanted};
use desk::lists::{ROWS, Show, animals, begin, not_boxed, shown, young, young_counts};
use journal::Entry;

fn season() -> (Book, Vec<String>) {
    let lines = book::demo::season(today());
    let mut book = Book::new(Entry::read(&lines[0]).expect("readable").book);
    for line in &lines {
        book.take(line).expect("folds");
    }
    (book, lines)
}

#[test]
fn a_day_half_typed_asks_for_nothing_yet() {
    let wanted = |day: &str| Wanted::whole(day, "On");
    assert_eq!(wanted(""), Ok(()));
    assert_eq!(wanted("2026-06-09"), Ok(()));
    for begun in [desk::day::UNFINISHED, "2026-06", "2026-06-31", "0026-06-09", "2201-01-01"] {
        let Err(wrong) = wanted(begun) else { panic!("{begun} was taken for a day") };
        assert!(wrong.0.iter().all(|error| error.field == "On"), "{wrong:?}");
    }
}

#[test]
fn turning_a_list_shows_every_row_once() {
    for total in 0..4 * ROWS {
        let (mut from, mut seen) = (0, Vec::new());
        loop {
            let (start, end) = shown(from, total);
            assert!(end - start <= ROWS && end <= total, "{from} of {total}");
            seen.extend(start..end);
            if end >= total {
                break;
            }
            from = end;
        }
        assert_eq!(seen, (0..total).collect::<Vec<_>>(), "{total}");
        for at in 0..total {
            let (start, end) = shown(begin(at), total);
            assert!((start..end).contains(&at), "row {at} of {total} is on the page it opens");
        }
        // The list became shorter meanwhile.
        let (start, end) = shown(10 * ROWS, total);
        assert!(end == total && (total == 0 || start < end));
    }
}

#[test]
fn animals_and_young_are_found_by_what_is_typed_and_chosen() {
    let (book, _) = season();
    let all = animals(&book, "", Show::All);
    let of = |show| animals(&book, "", show);
    assert_eq!(all.len(), book.animals().len());
    assert!(of(Show::Females).iter().all(|id| book.animal(id).and_then(|a| a.sex) == Some(Sex::Female)));
    assert!(of(Show::Left).iter().all(|id| !book.animal(id).expect("listed").is_here()));
    assert!(of(Show::Females).len() + of(Show::Males).len() <= all.len());
    for id in &all {
        let name = book.animal_name(id);
        let mixed: String = name.chars().rev().flat_map(char::to_uppercase).rev().collect();
        assert!(animals(&book, &format!("  {mixed} "), Show::All).contains(id), "{name} by its name");
    }
    assert!(animals(&book, "no such animal anywhere", Show::All).is_empty());
    let both = |a: &str, b: &str| animals(&book, &format!("{a} {b}"), Show::All);
    let (one, other) = (animals(&book, "bel", Show::All), animals(&book, "snake", Show::All));
    let meet: Vec<_> = one.iter().filter(|id| other.contains(id)).cloned().collect();
    assert_eq!(both("bel", "snake"), meet, "each word narrows");

    let rows = baby_rows(&book, today().and_hms_opt(20, 0, 0).expect("an hour"));
    let counts = young_counts(&rows);
    assert_eq!(counts.len(), BabyState::ALL.len() + 1);
    for (state, n) in &counts {
        assert_eq!(young(&rows, "", *state).len(), *n, "{state:?}");
    }
    let each: usize = counts[1..].iter().map(|(_, n)| n).sum();
    assert_eq!(each, rows.len(), "every one is of one state");
    assert!(not_boxed(&book).iter().all(|id| book.eggs_of(id).is_empty()));
}

#[test]
fn the_daybook_shows_what_was_asked_for_newest_first() {
    let (book, lines) = season();
    let mut mixed: Vec<String> =
        lines.iter().rev().step_by(2).chain(lines.iter().rev().skip(1).step_by(2)).cloned().collect();
    mixed.push("no line at all".into());
    let all = Lines::of(mixed);
    assert_eq!(all.newest.len(), lines.len() + 1);
    assert_eq!(all.newest.last().map(String::as_str), Some("no line at all"));
    let days: Vec<String> = all.newest.iter().filter_map(|line| Some(Entry::read(line).ok()?.at.to_string())).collect();
    assert!(days.windows(2).all(|pair| pair[0] >= pair[1]));
    let fitting = |wanted: Wanted| all.fitting(&wanted.find(&book));
    assert_eq!(fitting(Wanted::default()).len(), all.newest.len());
    let bel = fitting(Wanted { thing: "Bel".into(), ..Wanted::default() });
    assert!(!bel.is_empty() && bel.len() < all.newest.len());
    assert!(fitting(Wanted { thing: "nobody of that name".into(), ..Wanted::default() }).is_empty());
    let day = |day: &str| fitting(Wanted { day: day.into(), ..Wanted::default() });
    let some = Entry::read(&lines[lines.len() / 2]).expect("a line").wall;
    assert!(!day(&some[..10]).is_empty() && day("1999-01-01").is_empty());
    for at in day(&some[..10]) {
        assert!(all.newest[at].contains(&some[..10]));
    }
}
