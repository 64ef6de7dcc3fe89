//! Shelves read and set, windows that follow, and figures learned from the barn's own hatches.

mod common;

use book::acts::*;
use book::records::{Counts, Species};
use book::views::*;
use book::words::{Fate, Seen};
use book::*;
use chrono::{NaiveDateTime, TimeDelta};
use common::*;
use trade::learn::{Fell, NotLearned};
use trade::logger::packed;
use trade::path::Reading;
use trade::response::Basis;
use trade::units::Humidity;
use trade::when::{Point, When};

const KING: &str = "lampropeltis-californiae";

struct Barn {
    d: Device,
    shelves: Vec<PlaceId>,
    incubator: PlaceId,
}

fn barn() -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-03-01T19:00");
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 3, "Shelf", cc(2780)));
    let mut ids = places.into_iter().map(|thing| PlaceId::new(thing.id));
    let incubator = ids.next().expect("an incubator");
    Barn { d, shelves: ids.collect(), incubator }
}

impl Barn {
    /// Pulled now.
    fn clutch(&mut self, species: &str, shelf: usize, eggs: u32) -> FillingId {
        let mut act = ClutchPulled::start(&self.d.book, None, &[], self.d.now);
        act.card.species = Some(species.to_owned());
        act.card.laid = Some(When::time(self.d.now));
        act.card.counts = Some(Counts { good: eggs, dud: 0, slug: 0 });
        act.boxes[0].shelf = Some(self.shelves[shelf].clone());
        self.d.make(Kind::Filling, &act, FillingId::new)
    }

    fn days(&mut self, days: i64) {
        self.d.now += TimeDelta::days(days);
    }

    fn eggs(&self, filling: &FillingId) -> Vec<EggId> {
        self.d.book.eggs_in(filling).iter().map(|egg| egg.id.clone()).collect()
    }

    fn pip(&mut self, filling: &FillingId) {
        let eggs = self.eggs(filling);
        let when = Some(When::time(self.d.now));
        self.d.act(&EggsPipped { eggs, when });
    }

    fn read(&mut self, shelf: usize, temp: i32) {
        let act = ReadingTaken {
            place: self.shelves[shelf].clone(),
            when: When::time(self.d.now),
            temp: cc(temp),
            humidity: None,
            source: String::new(),
        };
        self.d.act(&act);
    }

    fn median(&self, filling: &FillingId) -> NaiveDateTime {
        let view = box_view(&self.d.book, filling, self.d.now).expect("a box");
        view.parts[0].window.as_ref().expect("a window").first.median
    }

    /// A clutch that pips after so many days and is done with.
    fn season(&mut self, days: i64) {
        let filling = self.clutch(KING, 0, 6);
        self.days(days);
        self.pip(&filling);
        let eggs = self.eggs(&filling);
        self.d.act(&EggsOut { eggs, when: Some(When::time(self.d.now)), masses: [].into() });
    }
}

fn hourly(from: &str, hours: i64, temp: i32) -> Vec<Reading> {
    (0..hours).map(|h| Reading { at: at(from) + TimeDelta::hours(h), temp: cc(temp) }).collect()
}

#[test]
fn a_file_of_readings_is_one_record_and_twice_adds_nothing() {
    let mut b = barn();
    b.days(30);
    let place = b.shelves[0].clone();
    let readings = hourly("2026-03-05T00:00", 400, 2900);
    let source = "LOGGER7.CSV".to_owned();
    let act = ReadingsImported { place: place.clone(), source, readings: readings.clone(), humidity: Vec::new() };
    let draft = b.d.act(&act);
    assert_eq!(draft.sets.len(), 1);
    assert_eq!(b.d.book.readings_at(&place), readings);
    assert_eq!(b.d.draft(&act), Err(Refusal::NothingChanged));
    let longer = ReadingsImported { readings: hourly("2026-03-05T00:00", 410, 2900), ..act.clone() };
    b.d.act(&longer);
    assert_eq!(b.d.book.readings_at(&place).len(), 410);
    assert_eq!(b.d.book.reading_logs(&place).map(|log| log.readings.len()).max(), Some(400));
    b.d.undo_last();
    assert_eq!(b.d.book.readings_at(&place), readings);
    let too_many = ReadingsImported { readings: vec![readings[0]; packed::MOST + 1], ..act };
    assert!(matches!(b.d.draft(&too_many), Err(Refusal::TooMany { .. })));
    // A snapshot brings them back.
    let again = Book::restore(&b.d.book.snapshot()).expect("whole");
    assert_eq!(again.readings_at(&place), readings);
}

#[test]
fn humidity_stands_beside_a_temperature_and_changes_no_window() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 8);
    b.days(20);
    let place = b.shelves[0].clone();
    let readings = hourly("2026-03-05T00:00", 48, 2900);
    let dry = ReadingsImported { place: place.clone(), source: String::new(), readings, humidity: Vec::new() };
    b.d.act(&dry);
    let median = b.median(&filling);
    assert!(b.d.book.humid_days(&place).is_empty());
    b.d.undo_last();
    // Beside the first, the third, and a moment at which nothing was read.
    let at = |n: usize| dry.readings[n].at;
    let odd = at(47) + TimeDelta::minutes(1);
    let humidity = vec![(at(0), Humidity(455)), (at(2), Humidity(500)), (odd, Humidity(1000))];
    b.d.act(&ReadingsImported { humidity, ..dry });
    assert_eq!(b.median(&filling), median, "no window follows it");
    let day = |text: &str| text.parse::<chrono::NaiveDate>().expect(text);
    let days: Vec<_> = b.d.book.humid_days(&place).into_iter().collect();
    assert_eq!(days, [(day("2026-03-05"), (Humidity(455), Humidity(500)))]);
    let again = Book::restore(&b.d.book.snapshot()).expect("whole");
    assert_eq!(again.humid_days(&place), b.d.book.humid_days(&place));
    let plot = shelf_plot(&b.d.book, &place, b.d.now).expect("read");
    let shown: Vec<_> = plot.days.iter().filter_map(|day| Some((day.day, day.humidity?))).collect();
    assert_eq!(shown, days);

    // Typed by hand, put right, taken away again.
    let when = When::time(b.d.now);
    let typed = |tenths| ReadingTaken {
        place: place.clone(),
        when,
        temp: cc(2810),
        humidity: Some(Humidity(tenths)),
        source: String::new(),
    };
    assert!(matches!(b.d.draft(&typed(1001)), Err(Refusal::Missing { .. })));
    b.d.act(&typed(620));
    let id = b.d.book.readings(&place).next().expect("noted").id.clone();
    let last = |b: &Barn| b.d.book.last_readings(&place, 1).remove(0).humidity;
    assert_eq!(last(&b), Some(Humidity(620)));
    let stands = ReadingEdited::of(&b.d.book, &id, when).expect("there");
    assert_eq!(b.d.draft(&stands), Err(Refusal::NothingChanged));
    let too_damp = ReadingEdited { humidity: Some(Humidity(1001)), ..stands.clone() };
    assert!(matches!(b.d.draft(&too_damp), Err(Refusal::Missing { .. })));
    b.d.act(&ReadingEdited { humidity: None, ..stands });
    assert_eq!(last(&b), None);
    b.d.undo_last();
    assert_eq!(last(&b), Some(Humidity(620)));
}

#[test]
fn readings_and_set_points_move_the_window() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 8);
    b.days(20);
    let start = b.median(&filling);
    // What is set from now on changes the days ahead, not the days past.
    let warmer = SetPointChanged { place: b.shelves[0].clone(), from: When::time(b.d.now), temp: cc(2950) };
    b.d.act(&warmer);
    let ahead = b.median(&filling);
    b.d.undo_last();
    assert_eq!(b.median(&filling), start);
    let whole = PlaceCard { set: Some(cc(2950)), ..PlaceCard::of(&b.d.book, &b.shelves[0]).expect("there") };
    b.d.act(&PlaceEdited { place: b.shelves[0].clone(), card: whole });
    let corrected = b.median(&filling);
    assert!(corrected < ahead && ahead < start, "{corrected} {ahead} {start}");
    b.d.undo_last();
    // The incubator's own thermometer counts for a shelf without one.
    let act = ReadingsImported {
        place: b.incubator.clone(),
        source: String::new(),
        readings: hourly("2026-03-01T19:00", 480, 2950),
        humidity: Vec::new(),
    };
    b.d.act(&act);
    let read = b.median(&filling);
    assert!(read < start, "{read} {start}");
    assert_eq!(b.d.book.thermometer(&b.shelves[0]), b.incubator);
    // A thermometer known to read high.
    let card = PlaceCard { offset: Some(cc(-170)), ..PlaceCard::of(&b.d.book, &b.incubator).expect("there") };
    b.d.act(&PlaceEdited { place: b.incubator.clone(), card });
    assert!((b.median(&filling) - start).num_minutes().abs() < 60, "{} {start}", b.median(&filling));
}

#[test]
fn one_reading_sums_its_own_shelf_and_asks_its_own_boxes() {
    let mut b = barn();
    let boxes: Vec<FillingId> = (0..30).map(|n| b.clutch(KING, n % 3, 8)).collect();
    b.days(10);
    (0..3).for_each(|shelf| b.read(shelf, 2780));
    let all = |b: &Barn| box_rows(&b.d.book, b.d.now).into_iter().map(|row| row.window).collect::<Vec<_>>();
    all(&b);
    let before = b.d.book.work();
    all(&b);
    assert_eq!(b.d.book.work(), before, "nothing changed, nothing is summed");
    b.read(1, 3100);
    let kept = all(&b);
    let work = b.d.book.work();
    assert_eq!((work.shelves - before.shelves, work.windows - before.windows, work.models), (1, 10, before.models));
    // What is kept is what would be summed anew.
    let anew = Book::restore(&b.d.book.snapshot()).expect("whole");
    let fresh: Vec<_> = box_rows(&anew, b.d.now).into_iter().map(|row| row.window).collect();
    assert_eq!(kept, fresh);
    // A box brought to another shelf asks alone; its clutch taught nothing.
    let before = b.d.book.work();
    let to = Where::Place(b.shelves[2].clone());
    b.d.act(&Moved { things: vec![boxes[0].thing()], to, when: When::time(b.d.now), mass: None, note: String::new() });
    all(&b);
    let work = b.d.book.work();
    assert_eq!((work.shelves - before.shelves, work.windows - before.windows, work.models), (0, 1, before.models));
}

#[test]
fn own_hatches_are_learned_scored_and_forgotten_again() {
    let mut b = barn();
    assert_eq!(b.d.book.model(KING).own_clutches(), 0);
    let published = b.d.book.model(KING).days_at(27.8).expect("inside");
    for _ in 0..7 {
        b.season(71);
    }
    let model = b.d.book.model(KING);
    assert_eq!(model.basis(), Basis::Own { clutches: 7 });
    let own = model.days_at(27.8).expect("inside");
    assert!(own > published + 2.0, "{published} {own}");
    let filling = b.clutch(KING, 0, 8);
    let days = (b.median(&filling) - b.d.now).num_hours() as f64 / 24.0;
    assert!((days - 71.0).abs() < 1.0, "{days}");
    // Another species learns nothing from it.
    assert_eq!(b.d.book.model("pantherophis-guttatus").own_clutches(), 0);

    let past = b.d.book.own_hatches(KING);
    assert_eq!(past.clutches.len(), 7);
    assert!(past.clutches.iter().all(|clutch| clutch.lesson.is_ok()), "{past:?}");
    let fell: Vec<Fell> = past.clutches.iter().filter_map(|clutch| clutch.fell).collect();
    // The first was foretold from published figures alone, the last from six of its kind.
    assert!(fell[0] > Fell::Likely, "{fell:?}");
    assert_eq!(fell[6], Fell::Likely);

    // A slip is named, and moves nothing to speak of.
    let before = b.d.book.model(KING).days_at(27.8).expect("inside");
    b.season(130);
    let past = b.d.book.own_hatches(KING);
    assert!(past.clutches[..7].iter().all(|clutch| clutch.doubt.is_none()), "{past:?}");
    let doubt = past.clutches[7].doubt.expect("named");
    assert!((doubt.off_days - 59.0).abs() < 4.0, "{doubt:?}");
    let after = b.d.book.model(KING).days_at(27.8).expect("inside");
    assert!((after - before).abs() < 0.5, "{before} {after}");
    assert_eq!(past.astray, []);

    // In another order of arrival, and after a restart, the numbers are the same.
    let anew = Book::restore(&b.d.book.snapshot()).expect("whole");
    assert_eq!(anew.model(KING).days_at(27.8), b.d.book.model(KING).days_at(27.8));
}

#[test]
fn a_cut_clutch_says_only_that_it_had_not_pipped() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 5);
    b.days(70);
    let eggs = b.eggs(&filling);
    b.d.act(&EggsCut { eggs, when: When::time(b.d.now), opened: None, why: String::new(), found: String::new() });
    let past = b.d.book.own_hatches(KING);
    assert_eq!((past.clutches.len(), past.clutches[0].pip, past.clutches[0].fell), (1, None, None));
    let published = past.bare.days_at(27.8).expect("inside");
    assert!(past.model.days_at(27.8).expect("inside") > published + 1.0);
}

#[test]
fn a_species_line_is_overridden_and_its_boxes_follow() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 8);
    b.days(5);
    let start = b.median(&filling);
    let mut species = Species::overriding(KING);
    species.ref_days_x10 = Some(700);
    species.ref_temp = Some(cc(2780));
    species.spread_pct = Some(3);
    species.source = Some("Alder Lane, three seasons".to_owned());
    b.d.act(&SpeciesSet { id: Some(KING.into()), species });
    let later = b.median(&filling);
    assert!((later - start).num_days() > 5, "{start} {later}");
    let keys: Vec<String> = b.d.book.all_species().into_iter().map(|(key, _)| key).collect();
    assert_eq!(keys.iter().filter(|key| *key == KING).count(), 1);
    let profile = b.d.book.species_of(Some(KING));
    assert_eq!(
        (profile.ref_days, profile.name == trade::species::Profile::find(KING).expect("built in").name),
        (70.0, true)
    );
    b.d.undo_last();
    assert_eq!(b.median(&filling), start);
}

#[test]
fn the_plot_of_a_box_shows_its_shelves_its_spike_and_how_far_it_came() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 8);
    let start = b.d.now;
    b.days(10);
    let mut readings = hourly("2026-03-01T20:00", 220, 2780);
    readings[100].temp = cc(3400);
    let place = b.shelves[0].clone();
    b.d.act(&ReadingsImported { place, source: String::new(), readings, humidity: Vec::new() });
    let cut = IncidentNoted {
        places: vec![b.incubator.clone()],
        from: When::time(start + TimeDelta::days(5)),
        to: Some(When::time(start + TimeDelta::days(5) + TimeDelta::hours(6))),
        what: "power cut".to_owned(),
        note: String::new(),
    };
    b.d.act(&cut);
    let to = Where::Place(b.shelves[1].clone());
    let when = When::time(b.d.now);
    b.d.act(&Moved { things: vec![filling.thing()], to, when, mass: None, note: String::new() });
    b.days(10);
    let plot = box_plot(&b.d.book, &filling, b.d.now).expect("temperatures");
    assert!(plot.strokes.windows(2).all(|w| (w[1].from - w[0].to).num_minutes().abs() <= 1));
    assert!(plot.strokes.iter().any(|s| s.high > 33.9 && s.read));
    assert!(plot.strokes.iter().any(|s| !s.read && s.from > b.d.now));
    let told: Vec<&str> = plot.incidents.iter().map(|i| i.2.as_str()).collect();
    assert_eq!(told, ["power cut"]);
    assert_eq!(plot.moves.len(), 1);
    let shares: Vec<f64> = plot.grown.iter().map(|point| point.1).collect();
    assert!(shares.is_sorted() && shares[0] == 0.0 && shares[shares.len() - 1] == 1.0, "{shares:?}");
    let window = box_view(&b.d.book, &filling, b.d.now).expect("a box").parts[0].window.clone().expect("a window");
    let now = plot.grown.iter().take_while(|point| point.0 <= b.d.now).last().expect("a point").1;
    assert!((now - window.developed).abs() < 0.05, "{now} {}", window.developed);
    let days = plot.days.iter().filter(|day| day.read).count();
    assert!((9..=12).contains(&days), "{days}");
    // The shelf's own plot holds the spike too; one never read has none.
    assert!(shelf_plot(&b.d.book, &b.shelves[0], b.d.now).is_some_and(|p| p.strokes.iter().any(|s| s.high > 33.9)));
    assert_eq!(shelf_plot(&b.d.book, &b.shelves[2], b.d.now), None);
}

/// What is kept of temperatures and own hatches, against a book opened anew.
#[test]
fn windows_are_those_of_a_book_opened_anew() {
    let mut b = barn();
    let agree = |b: &Barn, what: &str| {
        let anew = Book::restore(&b.d.book.snapshot()).expect("own snapshot");
        let all = |book: &Book| {
            let boxes: Vec<_> = book.fillings().map(|f| (f.id.clone(), box_view(book, &f.id, b.d.now))).collect();
            (rounds(book, b.d.now), boxes, book.model(KING))
        };
        assert_eq!(all(&b.d.book), all(&anew), "{what}");
    };
    let first = b.clutch(KING, 0, 3);
    let later = b.clutch(KING, 1, 4);
    agree(&b, "two clutches");
    b.days(58);
    let eggs = b.eggs(&first);
    for egg in &eggs[..2] {
        b.d.act(&EggsPipped { eggs: vec![egg.clone()], when: Some(When::time(b.d.now)) });
        b.days(1);
    }
    agree(&b, "two of three pipped");
    let changes = [(eggs[2].clone(), Seen::Dead)].into();
    b.d.act(&BoxCandled { filling: first.clone(), when: When::time(b.d.now), changes, note: String::new() });
    let candled = b.d.book.candlings(&first).next().expect("just seen").id.clone();
    agree(&b, "the third seen dead");
    b.d.act(&Withdrawn { thing: candled.thing() });
    agree(&b, "and not so after all");
    let sold = b.eggs(&later)[..1].to_vec();
    let (fate, when) = (Fate::Sold, When::time(b.d.now));
    b.d.act(&EggFate { eggs: sold, fate, when, why: String::new(), masses: Default::default() });
    agree(&b, "an egg sold of a clutch without a pip");
    b.read(1, 2700);
    b.days(1);
    b.read(1, 2500);
    b.d.act(&Withdrawn { thing: b.shelves[1].thing() });
    agree(&b, "a shelf whose record is gone");
    let last = b.d.book.readings(&b.shelves[1]).next().expect("just read").id.clone();
    b.d.act(&Withdrawn { thing: last.thing() });
    agree(&b, "and one of its readings");
}

/// Colubrid eggs tolerate 23 to 31 °C (`trade::species`): a shelf that keeps its set point may still be too hot for them.
#[test]
fn rounds_tell_a_shelf_beyond_what_its_eggs_tolerate() {
    let mut b = barn();
    let told = |b: &Barn| {
        let dues = rounds(&b.d.book, b.d.now).into_iter().filter(|due| due.kind == DueKind::Temperature);
        dues.map(|due| (due.thing, due.fact)).collect::<Vec<_>>()
    };
    let hot = PlaceCard { set: Some(cc(3050)), ..PlaceCard::of(&b.d.book, &b.shelves[0]).expect("there") };
    b.d.act(&PlaceEdited { place: b.shelves[0].clone(), card: hot });
    b.read(0, 3120);
    assert_eq!(told(&b), [], "an empty shelf near its set point");
    let filling = b.clutch(KING, 0, 8);
    let [(thing, Fact::Temperature { tolerated: Some((low, high)), .. })] = &told(&b)[..] else {
        panic!("{:?}", told(&b));
    };
    assert_eq!((thing, *low, *high), (&b.shelves[0].thing(), cc(2300), cc(3100)));
    b.read(0, 3090);
    assert_eq!(told(&b), [], "within both");
    b.read(0, 3120);
    assert_eq!(told(&b).len(), 1);
    let eggs = b.eggs(&filling);
    let (fate, when) = (Fate::Removed, When::time(b.d.now));
    b.d.act(&EggFate { eggs, fate, when, why: String::new(), masses: Default::default() });
    assert_eq!(told(&b), [], "the eggs are gone");
}

#[test]
fn warnings_follow_temperatures_and_dates() {
    let mut b = barn();
    let warned = |b: &Barn, filling: &FillingId| box_view(&b.d.book, filling, b.d.now).expect("a box").warnings;
    let filling = b.clutch(KING, 0, 8);
    b.days(30);
    let quiet = |w: &BoxWarning| {
        !matches!(w, BoxWarning::HatchRateFalls { .. } | BoxWarning::LaidOpen { .. } | BoxWarning::NotTolerated { .. })
    };
    assert!(warned(&b, &filling).iter().all(quiet), "{:?}", warned(&b, &filling));
    let hot = PlaceCard { set: Some(cc(3280)), ..PlaceCard::of(&b.d.book, &b.shelves[0]).expect("there") };
    b.d.act(&PlaceEdited { place: b.shelves[0].clone(), card: hot });
    let told = warned(&b, &filling);
    assert!(told.iter().any(|w| matches!(w, BoxWarning::HatchRateFalls { percent: 20.., .. })), "{told:?}");
    assert!(told.iter().any(|w| matches!(w, BoxWarning::NotTolerated { .. })), "{told:?}");

    let mut act = ClutchPulled::start(&b.d.book, None, &[], b.d.now);
    act.card.species = Some("eublepharis-macularius".to_owned());
    act.card.laid = Some(when("2026-03-20/2026-03-28"));
    act.card.counts = Some(Counts { good: 2, dud: 0, slug: 0 });
    act.boxes[0].shelf = Some(b.shelves[1].clone());
    let gecko = b.d.make(Kind::Filling, &act, FillingId::new);
    assert!(warned(&b, &gecko).contains(&BoxWarning::LaidOpen { days: 9 }), "{:?}", warned(&b, &gecko));
    // Viets 1993: none at 28 °C. None of five leaves up to 1 − 0.1^(1/6) = .319 nine times of ten, and half a degree of the
    // thermometer adds little to that.
    let (mean, males) = males_of_box(&b.d.book, &gecko, b.d.now).expect("by temperature");
    assert!((mean - 27.8).abs() < 0.01, "{mean}");
    let males = males.expect("in the table");
    let none_of_five = 1.0 - 0.1f64.powf(1.0 / 6.0);
    assert!(males.at == 0.0 && males.low == 0.0, "{males:?}");
    assert!((none_of_five - 0.001..none_of_five + 0.012).contains(&males.high), "{males:?}");
    assert_eq!(males_of_box(&b.d.book, &filling, b.d.now), None);
}

/// A clutch candled on some days after it was laid: without veins, then with them, then dark.
fn candled(b: &mut Barn, laid: When, days: &[(i64, Seen)]) -> FillingId {
    let mut act = ClutchPulled::start(&b.d.book, None, &[], b.d.now);
    act.card.species = Some(KING.to_owned());
    act.card.laid = Some(laid);
    act.card.counts = Some(Counts { good: 4, dud: 0, slug: 0 });
    act.boxes[0].shelf = Some(b.shelves[0].clone());
    let filling = b.d.make(Kind::Filling, &act, FillingId::new);
    let start = b.d.now;
    for (day, seen) in days {
        b.d.now = start + TimeDelta::days(*day);
        let changes = b.eggs(&filling).into_iter().map(|egg| (egg, *seen)).collect();
        b.d.act(&BoxCandled { filling: filling.clone(), when: When::time(b.d.now), changes, note: String::new() });
    }
    filling
}

#[test]
fn a_lay_date_nobody_saw_is_told_by_candling_and_a_known_one_is_not() {
    const FRESH: [(i64, Seen); 4] = [(5, Seen::Unsure), (9, Seen::Veins), (38, Seen::Veins), (44, Seen::Dark)];
    let mut b = barn();
    let told = |b: &Barn, filling: &FillingId| {
        let view = box_view(&b.d.book, filling, b.d.now).expect("a box");
        let window = view.parts[0].window.clone().expect("a window");
        (view.parts[0].told.clone(), window)
    };
    // Laid in some three weeks before it came; veins soon after, so that it was laid some days before.
    let open = |b: &Barn| When::span(Point::Day((b.d.now - TimeDelta::days(20)).date()), Point::Day(b.d.now.date()));
    let span = open(&b);
    let alone = candled(&mut b, span, &FRESH[..2]);
    let (none, before) = told(&b, &alone);
    assert_eq!(none, None, "none of its own taught it");
    let mut dated = Vec::new();
    for _ in 0..4 {
        let day = When::time(b.d.now);
        dated.push(candled(&mut b, day, &FRESH));
    }
    let span = open(&b);
    // Not at first, and on the third day: laid about five days before it came.
    let filling = candled(&mut b, span, &[(0, Seen::Unsure), (3, Seen::Veins)]);
    let came = span.latest().date();
    let (now, window) = told(&b, &filling);
    let now = now.expect("told");
    assert_eq!((now.clutches, now.is_learned(), now.marks.len()), (4, false, 1));
    let off = (came - now.laid.date()).num_days();
    assert!((2..=8).contains(&off), "{off} {now:?}");
    assert!(span.earliest() <= now.laid.earliest() && now.laid.latest() <= span.latest());
    let wide = |window: &trade::window::Window| (window.unlooked.outer.1 - window.unlooked.outer.0).num_hours();
    assert!(wide(&window) < wide(&before), "{} {}", wide(&window), wide(&before));
    assert!((window.why.lay_days - 20.0).abs() > 5.0, "{}", window.why.lay_days);
    // The first of all follows too, now that something was learned.
    let agree = |b: &Barn, what: &str| {
        let anew = Book::restore(&b.d.book.snapshot()).expect("whole");
        for filling in [&alone, &filling] {
            assert_eq!(box_view(&anew, filling, b.d.now), box_view(&b.d.book, filling, b.d.now), "{what}");
        }
    };
    assert!(told(&b, &alone).0.is_some());
    agree(&b, "four taught it");
    // What was seen of two of the four turns out to be wrong.
    for (left, of) in dated[..2].iter().enumerate() {
        let looks: Vec<Thing> = b.d.book.candlings(of).map(|candling| candling.id.thing()).collect();
        looks.into_iter().for_each(|thing| drop(b.d.act(&Withdrawn { thing })));
        assert_eq!(told(&b, &alone).0.is_some(), left == 0, "{left}");
        agree(&b, "one fewer");
    }
    // As soon as somebody knows the day, that is what counts.
    let clutch = b.d.book.clutches_in(&filling)[0].id.clone();
    let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
    card.laid = Some(When::day(came - TimeDelta::days(15)));
    b.d.act(&ClutchEdited { clutch, card });
    let (known, window) = told(&b, &filling);
    assert_eq!((known, window.why.lay_days), (None, 1.0));
    // A day that candling contradicts by weeks is not moved either: veins on the first day.
    let day = When::time(b.d.now);
    let odd = candled(&mut b, day, &[(0, Seen::Dark)]);
    assert_eq!(told(&b, &odd).0, None);
    let plain = b.clutch(KING, 0, 4);
    assert_eq!(b.median(&odd), b.median(&plain));
    agree(&b, "one with a day after all");
}

/// Veins in the first egg alone say nothing of the box: the others have not come so far yet.
#[test]
fn one_early_egg_does_not_speak_for_its_box() {
    let mut b = barn();
    for _ in 0..3 {
        let day = When::time(b.d.now);
        candled(&mut b, day, &[(5, Seen::Unsure), (9, Seen::Veins)]);
    }
    let came = b.d.now;
    let found = |b: &mut Barn| {
        b.d.now = came;
        let filling = b.clutch(KING, 1, 8);
        let clutch = b.d.book.clutches_in(&filling)[0].id.clone();
        let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
        (card.laid, card.found) = (None, card.laid);
        b.d.act(&ClutchEdited { clutch, card });
        filling
    };
    let look = |b: &mut Barn, filling: &FillingId, day: i64, seen: &[Seen]| {
        b.d.now = came + TimeDelta::days(day);
        let changes = b.eggs(filling).into_iter().zip(seen.iter().copied()).collect();
        b.d.act(&BoxCandled { filling: filling.clone(), when: When::time(b.d.now), changes, note: String::new() });
    };
    let told = |b: &Barn, filling: &FillingId| {
        box_view(&b.d.book, filling, b.d.now).expect("a box").parts[0].told.clone().map(|told| told.laid)
    };
    let (early, plain) = (found(&mut b), found(&mut b));
    look(&mut b, &early, 2, &[Seen::Veins]);
    look(&mut b, &plain, 2, &[Seen::Unsure; 8]);
    assert_eq!(told(&b, &early), None, "one of eight");
    look(&mut b, &early, 6, &[Seen::Veins; 8]);
    look(&mut b, &plain, 6, &[Seen::Veins; 8]);
    assert!(told(&b, &plain).is_some(), "eight of eight");
    assert_eq!(told(&b, &early), told(&b, &plain));
    // What went off before it showed anything is not waited for, nor what was taken out.
    let lost = found(&mut b);
    look(&mut b, &lost, 2, &[Seen::Unsure; 8]);
    let mut seen = [Seen::Veins; 8];
    seen[..5].copy_from_slice(&[Seen::Dead, Seen::Mouldy, Seen::Unsure, Seen::Unsure, Seen::Unsure]);
    look(&mut b, &lost, 6, &seen);
    assert!(told(&b, &lost).is_some(), "three of six");
    let few = found(&mut b);
    look(&mut b, &few, 2, &[Seen::Unsure; 8]);
    look(&mut b, &few, 6, &[Seen::Unsure, Seen::Veins]);
    assert_eq!(told(&b, &few), None, "one of eight");
    let eggs = b.eggs(&few)[2..].to_vec();
    let (fate, when) = (Fate::Removed, When::time(b.d.now));
    b.d.act(&EggFate { eggs, fate, when, why: String::new(), masses: Default::default() });
    assert!(told(&b, &few).is_some(), "one of two");
}

#[test]
fn a_day_of_finding_is_no_lay_date_to_learn_from() {
    let mut b = barn();
    let filling = b.clutch(KING, 0, 5);
    let clutch = b.d.book.clutches_in(&filling)[0].id.clone();
    let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
    (card.laid, card.found) = (None, card.laid);
    b.d.act(&ClutchEdited { clutch: clutch.clone(), card });
    b.days(45);
    b.pip(&filling);
    let past = b.d.book.own_hatches(KING);
    assert_eq!(past.clutches.iter().map(|c| c.lesson.clone()).collect::<Vec<_>>(), [Err(NotLearned::OnlyFound)]);
    // No window that goes by that day is held against the figures either.
    assert_eq!(past.clutches.iter().map(|c| (c.foretold, c.fell)).collect::<Vec<_>>(), [(None, None)]);
    let days = |model: &trade::response::Model| model.days_at(27.8).expect("inside");
    assert!(past.model.own_clutches() == 0 && (days(&past.model) - days(&past.bare)).abs() < 1e-9);
    assert!(days_lines(&b.d.book).is_empty());
    // Once somebody knows the day it counts.
    let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
    card.laid = Some(When::day((b.d.now - TimeDelta::days(60)).date()));
    b.d.act(&ClutchEdited { clutch, card });
    let past = b.d.book.own_hatches(KING);
    assert!(past.clutches[0].lesson.is_ok() && past.model.own_clutches() == 1, "{past:?}");
    assert!(past.clutches[0].foretold.is_some() && past.clutches[0].fell.is_some(), "{past:?}");
    assert_eq!(days_lines(&b.d.book).len(), 1);
}

#[test]
fn days_count_from_what_is_known_of_the_laying_wherever_they_stand() {
    let mut b = barn();
    for _ in 0..3 {
        let day = When::time(b.d.now);
        candled(&mut b, day, &[(5, Seen::Unsure), (9, Seen::Veins)]);
    }
    let came = b.d.now;
    let noted = |b: &mut Barn, laid: Option<When>, found: Option<When>| {
        b.d.now = came;
        let filling = b.clutch(KING, 1, 4);
        let clutch = b.d.book.clutches_in(&filling)[0].id.clone();
        let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
        (card.laid, card.found) = (laid, found);
        b.d.act(&ClutchEdited { clutch, card });
        filling
    };
    // As its page, its row in lists and its row in Rounds say it.
    let since = |b: &Barn, filling: &FillingId| {
        let page = box_view(&b.d.book, filling, b.d.now).expect("a box").parts[0].since;
        let row = box_rows(&b.d.book, b.d.now).into_iter().find(|row| row.id == *filling).expect("a row").since;
        assert_eq!(page, row);
        for due in rounds(&b.d.book, b.d.now).iter().filter(|due| due.thing == filling.thing()) {
            assert_eq!(due.counts, page);
            if let Fact::Candle { counts, .. } = due.fact {
                assert_eq!(Some(counts), page);
            }
        }
        page.expect("laid or found")
    };
    let whole = came.date() - TimeDelta::days(1);
    let day = noted(&mut b, Some(When::day(whole)), None);
    let span = When::span(Point::Day(whole - TimeDelta::days(20)), Point::Day(whole));
    let weeks = noted(&mut b, Some(span), None);
    let found = noted(&mut b, None, Some(When::time(came)));
    b.d.now = came + TimeDelta::days(30);
    let asked = |b: &Barn, filling: &FillingId| {
        let dues = rounds(&b.d.book, b.d.now);
        let of = |due: &&Due| due.thing == filling.thing() && matches!(due.fact, Fact::Candle { .. });
        dues.iter().filter(of).count()
    };
    assert_eq!(asked(&b, &found), 1, "the test looks at a row of Rounds");
    assert_eq!(since(&b, &day), Since { when: When::day(whole), what: SinceWhat::Laid });
    assert_eq!(since(&b, &weeks), Since { when: span, what: SinceWhat::LaidAbout });
    assert_eq!(since(&b, &found), Since { when: When::time(came), what: SinceWhat::Found });
    assert_eq!((since(&b, &found).days(b.d.now), since(&b, &found).laid()), (30, None));
    // As the season's strip says it.
    let strip = gather(&b.d.book, b.d.now, &WhatIf::default()).strip(&Scope::All);
    for filling in [&day, &weeks, &found] {
        let number = b.d.book.clutch_number(&b.d.book.clutches_in(filling)[0].id);
        let row = strip.iter().find(|row| row.name == number).expect("a row");
        assert_eq!(row.since, since(&b, filling));
    }
    for (day, seen) in [(2, Seen::Unsure), (5, Seen::Veins)] {
        b.d.now = came + TimeDelta::days(day);
        let changes = b.eggs(&found).into_iter().map(|egg| (egg, seen)).collect();
        b.d.act(&BoxCandled { filling: found.clone(), when: When::time(b.d.now), changes, note: String::new() });
    }
    b.d.now = came + TimeDelta::days(30);
    let page = box_view(&b.d.book, &found, b.d.now).expect("a box");
    let told = page.parts[0].told.clone().expect("told").laid;
    assert_eq!(since(&b, &found), Since { when: told, what: SinceWhat::LaidAbout });
    assert!(since(&b, &found).days(b.d.now) > 30 && since(&b, &found).laid() == Some(told), "{told:?}");
    assert!(page.parts[0].laid_is_found && page.parts[0].laid == Some(When::time(came)), "what was noted still stands");
    assert_eq!(asked(&b, &found), 1, "asked for again three weeks after it told");
}

/// Days are those between two days somebody knows: a lay date open by weeks stands in no mean of them, and no table.
#[test]
fn days_go_by_lay_dates_that_are_known() {
    let mut b = barn();
    for open in [0, 1, 2, 20] {
        let came = b.d.now;
        let filling = b.clutch(KING, 0, 4);
        let clutch = b.d.book.clutches_in(&filling)[0].id.clone();
        let mut card = ClutchCard::of(&b.d.book, &clutch).expect("there");
        card.laid = Some(When::span(Point::Day((came - TimeDelta::days(open)).date()), Point::Day(came.date())));
        b.d.act(&ClutchEdited { clutch, card });
        b.days(70);
        b.pip(&filling);
        b.d.now = came + TimeDelta::days(1);
    }
    b.days(100);
    // Of whole days: open by one, by two, by three and by weeks.
    let looked = LookBack::of(&b.d.book, b.d.now).behind(Of::Days, By::Species);
    assert!(matches!(looked.all, Some(Figure::Mean(mean)) if mean.clutches == 2), "{:?}", looked.all);
    let lines = days_lines(&b.d.book);
    assert_eq!(lines.iter().map(|line| line.points.len()).collect::<Vec<_>>(), [2]);
    // Nobody knows their dams: they may be of one or of two.
    let whose = Whose { clutches: 2, dams: 0, unknown: 2 };
    assert_eq!((looked.whose, looked.rows[0].whose, lines[0].whose), (whose, whose, whose));
}
