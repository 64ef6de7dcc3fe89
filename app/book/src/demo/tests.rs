use super::*;
use crate::book::Book;
use crate::ids::ClutchId;
use crate::views::{DueKind, Fact, animal_view, bays, doubled, may_go_again, measures, rounds};
use crate::words::{Fate, Step};
use std::collections::BTreeSet;
use trade::when::When;

fn day(text: &str) -> NaiveDate {
    text.parse().expect(text)
}

const TODAY: &str = "2026-06-09";

/// A third phone that takes everything, in the order given.
fn taken(lines: &[String]) -> Book {
    let entry = journal::Entry::read(lines.first().expect("a line")).expect("readable");
    let mut book = Book::new(entry.book);
    for line in lines {
        book.take(line).expect(line);
    }
    book
}

#[test]
fn every_act_is_taken_on_any_day() {
    let days = [
        "2026-06-09",
        "2024-02-29",
        "2025-12-31",
        "2026-01-01",
        "2026-03-01",
        "2000-02-29",
        "1999-12-31",
        "2099-08-17",
    ];
    let counts: BTreeSet<usize> = days
        .into_iter()
        .map(|today| {
            let season = play(day(today));
            assert_eq!(season.refused, Vec::<String>::new(), "{today}");
            let book = taken(&season.lines);
            assert_eq!(book.journal().clashes().count(), 1, "{today}");
            assert_eq!(book.journal().missing().count(), 0, "{today}");
            assert_eq!(book.oddities().count(), 0, "{today}");
            assert_eq!(book.journal().digest(), season.book_of(Who::Ines).journal().digest(), "{today}");
            assert_eq!(book.journal().digest(), season.book_of(Who::Tobin).journal().digest(), "{today}");
            season.lines.len()
        })
        .collect();
    assert_eq!(counts.len(), 1, "as many lines on any day: {counts:?}");
}

#[test]
fn a_day_outside_the_journals_clock_has_no_season() {
    assert!(season(NaiveDate::MIN).is_empty());
    assert!(season(NaiveDate::MAX).is_empty());
}

#[test]
fn the_same_day_gives_the_same_lines_and_another_day_other_phones() {
    let today = day(TODAY);
    let lines = season(today);
    assert_eq!(lines, season(today));
    let first = |lines: &[String]| journal::Entry::read(&lines[0]).expect("readable");
    let (one, other) = (first(&lines), first(&season(day("2026-06-10"))));
    assert_eq!(one.book, journal::Id::mint(BOOK));
    assert_ne!(one.dev(), other.dev(), "another day's phones are others");
}

#[test]
fn two_keepers_on_two_devices_write_until_last_night_and_no_later() {
    let lines = season(day(TODAY));
    let entries: Vec<_> = lines.iter().map(|line| journal::Entry::read(line).expect(line)).collect();
    let devices: BTreeSet<_> = entries.iter().map(|entry| (entry.dev(), entry.by.clone())).collect();
    assert_eq!(devices.len(), 2, "each device has one keeper");
    let walls: Vec<&str> = entries.iter().map(|entry| entry.wall.as_str()).collect();
    assert!(walls.is_sorted(), "in the order of the clock");
    let last = *walls.last().expect("lines");
    assert!(("2026-06-08T21:00".."2026-06-09T00:00").contains(&last), "{last}");
}

#[test]
fn the_clash_is_two_counts_of_good_eggs() {
    let book = taken(&season(day(TODAY)));
    let fold = book.journal();
    let clash = fold.clashes().next().expect("one");
    assert_eq!((&*clash.key.kind, clash.field), ("clutch", "good"));
    let mut counted: Vec<i64> = clash.heads.iter().filter_map(|head| head.value.as_i64()).collect();
    counted.sort_unstable();
    assert_eq!(counted, [9, 10]);
    let number = book.clutch(&ClutchId::new(&*clash.key.id)).and_then(|clutch| clutch.number.clone());
    assert_eq!(number.as_deref(), Some("26-18"));
}

/// Of a clutch: eggs in the book, still in, pipped and not out, hatched, ended otherwise; boxes in use; days since
/// the last water check of its first box and candlings of it (−1: none).
#[test]
fn the_clutches_stand_at_every_stage() {
    let today = day(TODAY);
    let book = taken(&season(today));
    let check = |number: &str, expected: [usize; 6], watered: i64, candled: usize| {
        let clutch = book.clutches_numbered(number).next().expect(number);
        let eggs = book.eggs_of(&clutch.id);
        let count = |which: &dyn Fn(&crate::records::Egg) -> bool| eggs.iter().filter(|egg| which(egg)).count();
        let still = |egg: &crate::records::Egg| egg.fate.is_none();
        let fillings = book.fillings_of(&clutch.id);
        let found = [
            eggs.len(),
            count(&still),
            count(&|egg| still(egg) && book.did(&egg.id, Step::Pip).is_some()),
            count(&|egg| egg.fate == Some(Fate::Hatched)),
            count(&|egg| egg.fate.is_some_and(|fate| fate != Fate::Hatched)),
            fillings.iter().filter(|filling| filling.to.is_none()).count(),
        ];
        assert_eq!(found, expected, "{number}");
        let first = fillings.first().map(|filling| &filling.id);
        let water = first.and_then(|id| book.water_checks(id).next()?.when);
        assert_eq!(water.map_or(-1, |when| (today - when.date()).num_days()), watered, "{number}");
        assert_eq!(first.map_or(0, |id| book.candlings(id).count()), candled, "{number}");
    };
    check("26-01", [13, 0, 0, 10, 3, 0], 26, 3); // hatched and emptied
    check("26-02", [10, 0, 0, 7, 3, 0], 22, 2);
    check("26-03", [13, 5, 2, 7, 1, 1], 17, 3); // partly hatched
    check("26-04", [15, 15, 2, 0, 0, 1], 14, 2); // pipped and not out
    check("26-05", [13, 13, 0, 0, 0, 1], 13, 3); // look tonight
    check("26-06", [11, 9, 0, 0, 2, 1], 5, 3); // two clutches in one box
    check("26-07", [7, 7, 0, 0, 0, 1], 5, 3);
    check("26-08", [22, 22, 0, 0, 0, 2], 7, 2); // over two boxes
    check("26-09", [12, 8, 0, 0, 4, 1], 2, 5); // the bad box
    check("26-10", [10, 10, 0, 0, 0, 1], 15, 2); // water due
    check("26-15", [8, 8, 0, 0, 0, 1], 3, 0); // candling due
    check("26-17", [11, 10, 0, 0, 1, 1], -1, 0); // just set
    check("26-18", [11, 10, 0, 0, 1, 1], -1, 0);
    check("26-19", [0, 0, 0, 0, 0, 0], -1, 0); // found and not boxed
}

/// What Rounds shows at 13:20 of any day, most urgent first.
#[test]
fn rounds_have_something_of_every_kind() {
    for today in [TODAY, "2024-02-29", "2025-12-31"] {
        let book = taken(&season(day(today)));
        let now = day(today).and_hms_opt(13, 20, 0).expect("a time");
        let rows = rounds(&book, now);
        let found: Vec<(DueKind, &str)> = rows.iter().map(|due| (due.kind, suffix(&due.name))).collect();
        let expected = [
            (DueKind::PippedNotOut, "04"),
            (DueKind::PippedNotOut, "03"),
            (DueKind::Female, "Yarrow"),
            (DueKind::Temperature, "Shelf 5"),
            (DueKind::Dose, "Cricket"),
            (DueKind::ToBox, "19"),
            // A gecko: two eggs every few weeks.
            (DueKind::LayDue, "Saffron"),
            (DueKind::LookTonight, "05"),
            (DueKind::Water, "10"),
            (DueKind::Candle, "15"),
            (DueKind::LayBox, "Vesper"),
            (DueKind::Feeding, "Cricket"),
            (DueKind::NotEating, "D"),
            (DueKind::FeedRack, "Rack C"),
            (DueKind::Hold, "B"),
            (DueKind::Cleaning, "Rack A"),
            (DueKind::Ready, "A"),
            (DueKind::Wish, "002"),
            (DueKind::Clash, "18"),
        ];
        assert_eq!(found, expected, "{today}");
        let hours = rows
            .iter()
            .filter_map(|due| if let Fact::PippedNotOut { hours, .. } = due.fact { Some(hours) } else { None });
        assert_eq!(hours.collect::<Vec<_>>(), [31, 16], "{today}");
    }
}

/// The grown animals' year: weights over the seasons, intervals of the barn's own, measures, a second clutch.
#[test]
fn the_grown_animals_have_a_year() {
    for today in [TODAY, "2024-02-29", "2025-12-31"] {
        let book = taken(&season(day(today)));
        let now = day(today).and_hms_opt(13, 20, 0).expect("a time");
        let named = |name: &str| {
            let animal = book.all_animals().find(|animal| animal.name.as_deref() == Some(name));
            animal.expect(name).id.clone()
        };
        let bel = animal_view(&book, &named("Bel"), now).expect("there");
        assert!(bel.weights.len() >= 6, "{:?}", bel.weights);
        assert_eq!((bel.past.clutches, bel.past.eggs, bel.past.hatched), (1, 13, 7));
        let again = may_go_again(&book, now);
        let may: Vec<String> =
            again.iter().filter(|(_, again)| again.wants.is_empty()).map(|(id, _)| book.animal_name(id)).collect();
        assert_eq!(may, ["Bel"], "{today}");
        let own = |name: &str| book.outlook(&named(name), now).map(|o| o.window.own);
        assert_eq!((own("Vesper"), own("Yarrow")), (Some(1), Some(1)), "{today}");
        let measured = |number: &str| {
            let clutch = book.clutches().into_iter().find(|c| c.number.as_deref().is_some_and(|n| n.ends_with(number)));
            measures(&book, &clutch.expect(number).id)
        };
        let (first, second) = (measured("-03"), measured("-17"));
        assert!(first.relative.is_some() && first.size.is_some() && first.hers.is_none());
        assert_eq!(second.hers.map(|others| others.clutches), Some(1));
        assert_eq!(doubled(&book), vec![], "{today}");
        assert!(bays(&book).iter().any(|bay| bay.free() > 0));
    }
}

/// A clutch's number without its year, a place's name without where it is.
fn suffix(name: &str) -> &str {
    name.rsplit(['-', '·']).next().unwrap_or(name).trim()
}

#[test]
fn the_barn_has_what_pages_must_cope_with() {
    let today = day(TODAY);
    let book = taken(&season(today));
    let clutch = |number: &str| book.clutches_numbered(number).next().expect(number);
    let named = |name: &str| {
        let animal = book.all_animals().find(|animal| animal.name.as_deref() == Some(name));
        animal.expect(name).id.clone()
    };
    assert_eq!(book.clutches().len(), 39, "twenty, and last year's");
    let corn = book.model("pantherophis-guttatus");
    assert_eq!(corn.own_clutches(), 9, "last year's and this year's that pipped");
    assert!((55..=70).contains(&book.animals().len()), "{}", book.animals().len());
    assert_eq!(book.shelves().len(), 9);
    assert_eq!(book.clutches_of(&named("Marigold")).count(), 2, "a second clutch");
    assert_eq!(clutch("26-11").sires.len(), 2, "two candidate sires");
    assert_eq!(clutch("26-11").laid.map(When::plus_minus_days), Some(2));
    assert_eq!(clutch("26-12").sires.len(), 0, "sire unknown");
    let clumped = book.eggs_of(&clutch("26-10").id).iter().filter(|egg| egg.clump == Some(1)).count();
    assert_eq!(clumped, 6, "a clump");
    let refused = book.meals(&named("Cricket")).take_while(|m| m.outcome == Some(crate::words::MealOutcome::Refused));
    assert_eq!(refused.count(), 8, "a non-feeder");
    let shelves = book.shelves();
    let warmest = shelves.iter().flat_map(|shelf| book.readings(&shelf.id)).filter_map(|reading| reading.temp).max();
    assert_eq!(warmest, Some(trade::units::Temp(3320)), "a shelf too warm");
    let this_year = today - TimeDelta::days(200);
    let nests = book.fillings().filter(|filling| filling.is_nest()).count();
    assert_eq!(nests, 1, "eggs left with their mother");
    let boxes = book.fillings().filter(|filling| !filling.is_nest());
    let set = boxes.filter(|filling| filling.from.is_some_and(|from| from.date() > this_year));
    let prints = set.map(|filling| book.label_prints(&filling.id.thing()).count()).min();
    assert_eq!(prints, Some(1), "each box has its label");
    assert!(book.all_animals().filter_map(|animal| animal.name.as_ref()).any(|name| name.len() > 40));
}
