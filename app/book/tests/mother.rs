//! Eggs left with their mother: their window, Rounds, corrections, hatching, and taking them over into a box.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use chrono::{NaiveDateTime, TimeDelta};
use common::*;
use trade::path::{Path, Reading, Track};
use trade::species::Profile;
use trade::when::When;
use trade::window::{Cause, Question, Refusal as NoWindow, Stage, Window, window};

const CARPET: &str = "morelia-spilota";

struct Barn {
    d: Device,
    mother: AnimalId,
    vivarium: PlaceId,
    shelf: PlaceId,
}

fn barn() -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-03-01T19:00");
    let card = PlaceCard::new(PlaceWhat::Tub, "Vivarium 1".to_owned());
    let vivarium = d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new);
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(3150)));
    let shelf = PlaceId::new(places.last().expect("a shelf").id.as_str());
    let card = AnimalCard {
        name: "Briar".to_owned(),
        species: Some(CARPET.to_owned()),
        sex: Some(Sex::Female),
        ..AnimalCard::default()
    };
    let mother = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: Some(vivarium.clone()) }, AnimalId::new);
    Barn { d, mother, vivarium, shelf }
}

impl Barn {
    /// Left with her now; nobody counted them where `good` is 0.
    fn leave(&mut self, good: u32) -> FillingId {
        let mut act = ClutchPulled::start(&self.d.book, None, std::slice::from_ref(&self.mother), self.d.now);
        act.card.laid = Some(When::time(self.d.now));
        act.card.counts = Some(Counts { good, dud: 0, slug: 0 });
        act.left = true;
        self.d.make(Kind::Filling, &act, FillingId::new)
    }

    fn days(&mut self, days: i64) {
        self.d.now += TimeDelta::days(days);
    }

    /// Hourly from the first day on, for so many days.
    fn log(&mut self, place: &PlaceId, days: i64, temp: i32) -> Vec<Reading> {
        let first = at("2026-03-01T19:00");
        let readings: Vec<Reading> = (0..24 * days)
            .map(|h| Reading { at: first + TimeDelta::hours(h), temp: cc(temp + (h % 5) as i32 * 6) })
            .collect();
        let (place, source) = (place.clone(), format!("{temp}.csv"));
        self.d.act(&ReadingsImported { place, source, readings: readings.clone(), humidity: Vec::new() });
        readings
    }

    fn view(&self, id: &FillingId) -> BoxView {
        box_view(&self.d.book, id, self.d.now).expect("there")
    }

    fn window(&self, id: &FillingId) -> Window {
        self.view(id).parts[0].window.clone().expect("a window")
    }

    fn clutch(&self, nest: &FillingId) -> ClutchId {
        self.view(nest).nest.expect("a nest").clutch
    }

    fn due(&self, now: NaiveDateTime) -> Vec<DueKind> {
        rounds(&self.d.book, now).into_iter().map(|due| due.kind).collect()
    }

    fn eggs(&self, id: &FillingId) -> Vec<EggId> {
        self.d.book.eggs_in(id).iter().map(|egg| egg.id.clone()).collect()
    }
}

/// As `trade` has it of one leg after another, without any record.
fn by_hand(legs: &[(NaiveDateTime, &str, Path)], laid: When, eggs: u32, now: NaiveDateTime) -> Window {
    let model = trade::response::Model::of(&Profile::find(CARPET).expect("shipped"));
    let tracks: Vec<(NaiveDateTime, &str, Track)> =
        legs.iter().map(|(from, place, path)| (*from, *place, Track::new(path.clone(), &model))).collect();
    let legs: Vec<trade::journey::Leg<'_>> =
        tracks.iter().map(|(from, place, track)| trade::journey::Leg { from: *from, place, track }).collect();
    let asked = Question { laid, legs: &legs, eggs, none_by: None, first_pip: None, now };
    window(&model, &asked).expect("a window")
}

/// The same to the minute, and to the ninth figure: sums that grew with the readings were added in another order.
fn alike(found: &Window, expected: &Window) {
    let dates = |w: &Window| (w.first, w.last, w.unlooked, w.stage);
    assert_eq!(dates(found), dates(expected));
    let figures = |w: &Window| {
        let causes = w.why.causes.iter().map(|(cause, days)| (format!("{cause:?}"), *days));
        let whole = [("developed", w.developed), ("days read", w.why.days_read), ("ahead", w.why.ahead_c)];
        whole.map(|(what, figure)| (what.to_owned(), figure)).into_iter().chain(causes).collect::<Vec<_>>()
    };
    let (found, expected) = (figures(found), figures(expected));
    assert_eq!(found.len(), expected.len());
    for ((what, figure), (of, other)) in found.into_iter().zip(expected) {
        assert!(what == of && (figure - other).abs() < 1e-9, "{what} {figure}, {of} {other}");
    }
}

#[test]
fn left_uncounted_she_has_a_clutch_and_nobody_asks_for_a_box() {
    let mut b = barn();
    let nest = b.leave(0);
    let view = b.view(&nest);
    let of = view.nest.clone().expect("a nest");
    assert!(!of.counted);
    assert_eq!(of.mothers, [(b.mother.clone(), "Briar".to_owned())]);
    assert_eq!(view.place, Some(b.vivarium.clone()), "where she is");
    assert_eq!(view.warnings, []);
    assert_eq!(b.d.book.short_name(&nest.thing()), "26-001 with Briar");
    let clutch = clutch_view(&b.d.book, &of.clutch, b.d.now).expect("there");
    assert_eq!((clutch.counts, clutch.sum.in_book, &clutch.warnings), (None, 0, &Vec::new()));
    assert_eq!(clutch.boxes.len(), 1);
    assert_eq!(b.due(b.d.now), [], "neither box, water nor candling");
    assert_eq!(next_steps(&b.d.book, &b.mother, b.d.now), []);
    // Counted among the nests, not among the boxes.
    assert_eq!((b.d.book.open_boxes().len(), box_rows(&b.d.book, b.d.now).len()), (0, 1));
    let rows = place_rows(&b.d.book, None);
    let row = rows.iter().find(|row| row.id == b.vivarium).expect("there");
    assert_eq!((row.boxes, row.animals, row.free), (0, 1, false));
    assert_eq!(nests_with(&b.d.book, &b.mother, b.d.now).len(), 1);
    // A box set later opens as one before it was, not as this.
    assert_eq!(b.d.book.suggest_setup().medium, "");
    let weigh = WaterChecked {
        filling: nest.clone(),
        when: When::time(b.d.now),
        mass: g(1000),
        added: None,
        note: String::new(),
    };
    assert_eq!(b.d.draft(&weigh), Err(Refusal::NoBox));
    b.d.undo_last();
    assert!(b.d.book.filling(&nest).is_none());
    assert_eq!(b.d.book.clutches().len(), 0);
}

#[test]
fn without_a_dam_or_with_nothing_to_leave_it_is_refused() {
    let mut b = barn();
    let mut act = ClutchPulled::start(&b.d.book, None, &[], b.d.now);
    act.left = true;
    assert_eq!(b.d.draft(&act), Err(Refusal::Missing { what: "which dam lies round them" }));
    act.card.dams = vec![b.mother.clone()];
    act.left = false;
    assert_eq!(b.d.draft(&act), Err(Refusal::NoEggs));
}

#[test]
fn her_window_is_that_of_a_box_on_the_same_readings() {
    let mut b = barn();
    let laid = When::time(b.d.now);
    let nest = b.leave(12);
    // A box of the same clutch on that very place, and on another that shows the same.
    let mut boxed = ClutchPulled::start(&b.d.book, None, &[], b.d.now);
    boxed.card.species = Some(CARPET.to_owned());
    boxed.card.laid = Some(laid);
    boxed.card.counts = Some(Counts { good: 12, dud: 0, slug: 0 });
    boxed.boxes[0].shelf = Some(b.vivarium.clone());
    let boxed = b.d.make(Kind::Filling, &boxed, FillingId::new);
    b.days(20);
    let vivarium = b.vivarium.clone();
    let readings = b.log(&vivarium, 20, 3070);
    let hers = b.window(&nest);
    alike(&hers, &b.window(&boxed));
    let path = Path::new(&readings, None, cc(0)).expect("read");
    alike(&hers, &by_hand(&[(laid.earliest(), "it", path)], laid, 12, b.d.now));
    assert!(hers.why.days_read > 19.0 && hers.stage == Stage::Before, "{:?}", hers.why);
    assert_eq!(b.view(&nest).nest.expect("a nest").as_kept, None);
    assert!(box_plot(&b.d.book, &nest, b.d.now).is_some());
}

#[test]
fn uncounted_eggs_are_as_many_as_the_species_usually_lays() {
    let mut b = barn();
    let laid = When::time(b.d.now);
    let nest = b.leave(0);
    b.days(20);
    let vivarium = b.vivarium.clone();
    let readings = b.log(&vivarium, 20, 3070);
    let path = Path::new(&readings, None, cc(0)).expect("read");
    let expected = by_hand(&[(laid.earliest(), "it", path)], laid, 0, b.d.now);
    alike(&b.window(&nest), &expected);
    let clutch = b.clutch(&nest);
    alike(&clutch_view(&b.d.book, &clutch, b.d.now).expect("there").window.expect("a window"), &expected);
}

#[test]
fn nothing_read_is_what_the_species_is_kept_at_and_wide() {
    let mut b = barn();
    let nest = b.leave(12);
    b.days(20);
    let profile = Profile::find(CARPET).expect("shipped");
    let off = 0.5 * (profile.tolerated.1 - profile.tolerated.0);
    let (kept, vague) = (b.view(&nest).nest.expect("a nest").as_kept, b.window(&nest));
    assert_eq!(kept, Some((profile.shelf_c, off)));
    assert_eq!((vague.why.mean_read_c, vague.why.ahead_c), (None, profile.shelf_c));
    assert_eq!(vague.why.causes.first().map(|cause| cause.0), Some(Cause::Assumed));
    let spread = |w: &Window| w.unlooked.outer.1 - w.unlooked.outer.0;
    // A set temperature is trusted as a shelf's is, and a reading narrows it more.
    let set = SetPointChanged { place: b.vivarium.clone(), from: When::time(at("2026-03-01T19:00")), temp: cc(3100) };
    b.d.act(&set);
    let as_set = b.window(&nest);
    assert_eq!(b.view(&nest).nest.expect("a nest").as_kept, None);
    assert_eq!(as_set.unlooked.median, vague.unlooked.median, "the same temperature");
    assert!(spread(&vague) > spread(&as_set) + TimeDelta::days(3), "{} against {}", spread(&vague), spread(&as_set));
    // A box with as little known has no window at all.
    let mut boxed = ClutchPulled::start(&b.d.book, None, &[], b.d.now);
    boxed.card.species = Some(CARPET.to_owned());
    boxed.card.laid = Some(When::time(at("2026-03-01T19:00")));
    boxed.card.counts = Some(Counts { good: 12, dud: 0, slug: 0 });
    boxed.boxes[0].shelf = None;
    let boxed = b.d.make(Kind::Filling, &boxed, FillingId::new);
    assert_eq!(b.view(&boxed).parts[0].window, Err(NoWindow::NoPlace));
}

#[test]
fn where_she_lies_is_put_right_and_not_known_is_said() {
    let mut b = barn();
    let gone = Moved {
        things: vec![b.mother.thing()],
        to: Where::Unknown,
        when: When::time(b.d.now),
        mass: None,
        note: String::new(),
    };
    b.d.act(&gone);
    let nest = b.leave(0);
    let view = b.view(&nest);
    assert_eq!((view.place.clone(), view.warnings), (None, vec![BoxWarning::NoNest]));
    assert_eq!(view.parts[0].window, Err(NoWindow::NoPlace));
    let moved = Moved::to_place(vec![nest.thing()], b.vivarium.clone(), When::time(b.d.now));
    assert_eq!(moved.doubts(&b.d.book, b.d.now), [], "no shelf is asked for");
    b.d.act(&moved);
    assert_eq!(b.view(&nest).warnings, []);
    assert!(b.view(&nest).parts[0].window.is_ok());
}

#[test]
fn rounds_says_when_to_look_and_when_it_is_late() {
    let mut b = barn();
    let nest = b.leave(0);
    let vivarium = b.vivarium.clone();
    b.days(20);
    b.log(&vivarium, 20, 3100);
    let window = b.window(&nest);
    let eve = window.unlooked.likely.0 - TimeDelta::days(1);
    assert_eq!(b.due(eve), []);
    b.d.now = window.unlooked.likely.0 + TimeDelta::hours(30);
    let due = rounds(&b.d.book, b.d.now);
    assert_eq!(due.iter().map(|due| (due.kind, due.act)).collect::<Vec<_>>(), [(DueKind::LookTonight, DueAct::Hatch)]);
    assert_eq!((&due[0].thing, &*due[0].name), (&nest.thing(), "26-001 with Briar"));
    assert_eq!(due[0].path, ["Vivarium 1"]);
    b.d.now = window.unlooked.outer.1 + TimeDelta::days(2);
    let due = rounds(&b.d.book, b.d.now);
    assert!(matches!(due[0].fact, Fact::LookTonight { stage: Stage::Passed, .. }), "{due:?}");
    let calendar = calendar_rows(&b.d.book, b.d.now);
    assert_eq!(calendar.iter().filter(|row| row.what == CalendarWhat::Hatch).count(), 1);
}

#[test]
fn counted_later_they_lay_there_from_the_first_and_hatch_out_under_her() {
    let mut b = barn();
    let laid = When::time(b.d.now);
    let nest = b.leave(0);
    let clutch = b.clutch(&nest);
    b.days(20);
    let vivarium = b.vivarium.clone();
    let readings = b.log(&vivarium, 20, 3100);
    // Counted where they lie, a slug among them.
    let mut count = ClutchPulled::start(&b.d.book, Some(&clutch), &[], b.d.now);
    assert!(count.left, "as it stands");
    count.card.counts = Some(Counts { good: 3, dud: 0, slug: 1 });
    count.card.laid = Some(laid);
    b.d.act(&count);
    assert!(b.view(&nest).nest.expect("a nest").counted);
    assert_eq!(b.eggs(&nest).len(), 4, "nobody takes a slug from under her");
    let path = Path::new(&readings, None, cc(0)).expect("read");
    alike(&b.window(&nest), &by_hand(&[(laid.earliest(), "it", path)], laid, 3, b.d.now));
    // One more is seen: it lay there too, without a move.
    let more = EggsAdded {
        clutch: clutch.clone(),
        counts: Counts { good: 1, dud: 0, slug: 0 },
        laid: None,
        when: When::time(b.d.now),
        filling: Some(nest.clone()),
        mass: None,
    };
    b.d.act(&more);
    let eggs = b.eggs(&nest);
    assert_eq!(eggs.len(), 5);
    assert!(eggs.iter().all(|egg| b.d.book.moves(&egg.thing()).next().is_none()));
    assert_eq!(b.due(b.d.now), [], "no candling is asked for");

    b.d.now = b.window(&nest).unlooked.median;
    b.d.act(&EggsPipped { eggs: eggs[..1].to_vec(), when: None });
    assert_eq!(b.due(b.d.now), [DueKind::PippedNotOut]);
    b.days(2);
    let baby =
        |egg: &EggId, code: &str| NewBaby { eggs: vec![egg.clone()], code: code.to_owned(), ..NewBaby::default() };
    let good: Vec<EggId> =
        b.d.book
            .eggs_of(&clutch)
            .iter()
            .filter(|egg| egg.laid_as == Some(LaidAs::Good))
            .map(|egg| egg.id.clone())
            .collect();
    let slug = eggs.iter().find(|egg| !good.contains(egg)).expect("a slug").clone();
    let out = HatchedOut {
        filling: nest.clone(),
        when: Some(When::time(b.d.now)),
        babies: good.iter().zip(["P1", "P2", "P3", "P4"]).map(|(egg, code)| baby(egg, code)).collect(),
        others: [(slug, (Fate::Removed, "slug".to_owned()))].into(),
    };
    b.d.act(&out);
    assert!(b.d.book.filling(&nest).expect("there").to.is_some(), "nothing is left with her");
    assert_eq!(b.due(b.d.now).into_iter().filter(|kind| *kind < DueKind::Feeding).collect::<Vec<_>>(), []);
    let sum = clutch_view(&b.d.book, &clutch, b.d.now).expect("there").sum;
    assert_eq!((sum.hatched, sum.removed, sum.still_in), (4, 1, 0));
    assert_eq!(b.d.book.own_hatches(CARPET).clutches.len(), 1, "it teaches as a box does");
}

#[test]
fn taken_over_into_a_box_both_histories_count() {
    for counted in [true, false] {
        let mut b = barn();
        let laid = When::time(b.d.now);
        let nest = b.leave(if counted { 6 } else { 0 });
        let clutch = b.clutch(&nest);
        b.days(20);
        let taken = b.d.now;
        let setup = BoxSetup {
            shelf: Some(b.shelf.clone()),
            medium: "perlite".to_owned(),
            closed: Some(g(900)),
            ..BoxSetup::default()
        };
        let boxed = if counted {
            let eggs = b.eggs(&nest);
            let act = BoxSet { eggs, setup, when: When::time(taken), mass: None };
            b.d.make(Kind::Filling, &act, FillingId::new)
        } else {
            let mut act = ClutchPulled::start(&b.d.book, Some(&clutch), &[], taken);
            act.card.counts = Some(Counts { good: 6, dud: 0, slug: 2 });
            act.card.laid = Some(laid);
            (act.boxes, act.left) = (vec![setup], false);
            b.d.make(Kind::Filling, &act, FillingId::new)
        };
        assert_eq!(b.d.book.filling(&nest).expect("there").to, Some(When::time(taken)), "she has none left");
        assert_eq!(b.eggs(&boxed).len(), 6);
        assert!(b.view(&boxed).nest.is_none());
        let fill_to = b.d.book.fill_to(&boxed).map(|fill_to| (fill_to.mass, fill_to.unweighed));
        assert_eq!(fill_to, Some((g(900), 0)), "what was put in as it was set was weighed with it");
        assert_eq!((b.view(&boxed).nth, b.d.book.short_name(&boxed.thing())), (None, "26-001".to_owned()));
        b.days(15);
        let vivarium = b.vivarium.clone();
        let readings = b.log(&vivarium, 20, 3020);
        let hers = Path::new(&readings, None, cc(0)).expect("read");
        let shelf = Path::new(&[], Some(cc(3150)), cc(0)).expect("set");
        let expected =
            by_hand(&[(at("2026-03-01T19:00"), "hers", hers), (taken, "shelf", shelf.clone())], laid, 6, b.d.now);
        alike(&b.window(&boxed), &expected);
        let never = by_hand(&[(at("2026-03-01T19:00"), "shelf", shelf)], laid, 6, b.d.now);
        assert!(expected.unlooked.median > never.unlooked.median + TimeDelta::days(1), "her cooler days count");
        assert_eq!(clutch_view(&b.d.book, &clutch, b.d.now).expect("there").boxes.len(), 2);
        // The rows of a box are back.
        assert_eq!(b.due(b.d.now), [DueKind::Water, DueKind::Candle]);
    }
}

#[test]
fn taking_them_over_is_undone_in_one_step() {
    let mut b = barn();
    let nest = b.leave(6);
    b.days(3);
    let eggs = b.eggs(&nest);
    let act = BoxSet { eggs: eggs.clone(), setup: BoxSetup::default(), when: When::time(b.d.now), mass: None };
    let boxed = b.d.make(Kind::Filling, &act, FillingId::new);
    assert!(b.eggs(&nest).is_empty());
    b.d.undo_last();
    assert_eq!((b.eggs(&nest), b.d.book.filling(&nest).and_then(|nest| nest.to)), (eggs.clone(), None));
    assert!(b.d.book.filling(&boxed).is_none());
    // Some of them stay: she lies on.
    let act = BoxSet { eggs: eggs[..4].to_vec(), ..act };
    b.d.act(&act);
    assert_eq!(b.d.book.filling(&nest).and_then(|nest| nest.to), None);
    assert_eq!(b.eggs(&nest).len(), 2);
}

#[test]
fn taken_but_not_boxed_they_are_asked_for() {
    let mut b = barn();
    let nest = b.leave(0);
    let clutch = b.clutch(&nest);
    b.days(2);
    let mut act = ClutchPulled::start(&b.d.book, Some(&clutch), &[], b.d.now);
    act.card.counts = Some(Counts { good: 5, dud: 0, slug: 0 });
    act.card.laid = act.card.laid.or(Some(When::time(at("2026-03-01T19:00"))));
    (act.boxes, act.left) = (Vec::new(), false);
    b.d.act(&act);
    assert_eq!(b.due(b.d.now), [DueKind::ToBox]);
    assert!(b.d.book.nest(&clutch).is_none());
}

#[test]
fn since_when_is_put_right_with_its_place() {
    let mut b = barn();
    b.days(5);
    let nest = b.leave(4);
    let mut edit = BoxEdited::of(&b.d.book, &nest).expect("there");
    edit.from = Some(When::day(b.d.now.date()));
    edit.setup.note = "tight round them".to_owned();
    b.d.act(&edit);
    let record = b.d.book.filling(&nest).expect("there");
    assert_eq!((record.from, record.note.as_deref()), (edit.from, Some("tight round them")));
    assert!(record.is_nest());
    assert_eq!(b.d.book.moves(&nest.thing()).next().and_then(|mv| mv.when), edit.from);
    b.d.undo_last();
    assert_eq!(b.d.book.filling(&nest).expect("there").note, None);
}

#[test]
fn who_has_eggs_with_her_is_asked_about_before_she_goes() {
    let mut b = barn();
    let nest = b.leave(6);
    b.days(1);
    let when = When::time(b.d.now);
    let card = PlaceCard::new(PlaceWhat::Tub, "Vivarium 2".to_owned());
    let other = b.d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new);
    let asked = Doubt::WithHerEggs { name: "Briar".to_owned() };
    let alone = Moved::to_place(vec![b.mother.thing()], other.clone(), when);
    assert_eq!(alone.doubts(&b.d.book, b.d.now), std::slice::from_ref(&asked));
    let both = Moved::to_place(vec![b.mother.thing(), nest.thing()], other, when);
    assert_eq!(both.doubts(&b.d.book, b.d.now), [], "her eggs go with her");
    let (animals, price, note) = (vec![b.mother.clone()], String::new(), String::new());
    let sold = AnimalsPlaced { animals, how: Went::Sold, to: None, when, price, note };
    assert_eq!(sold.doubts(&b.d.book, b.d.now), [asked]);
}

#[test]
fn a_pip_long_before_its_time_is_asked_about_with_a_window_or_without() {
    let mut b = barn();
    let nest = b.leave(6);
    let eggs = vec![b.eggs(&nest)[0].clone()];
    let pipped = |when| EggsPipped { eggs: eggs.clone(), when };
    let early = |b: &Barn, when| matches!(pipped(when).doubts(&b.d.book, b.d.now)[..], [Doubt::Early { .. }]);
    // Nobody reads a thermometer where she lies.
    assert!(early(&b, None));
    b.days(60);
    assert!(!early(&b, None));
    assert!(early(&b, Some(When::day(at("2026-03-05T12:00").date()))), "late paper of a day before its time");
}
