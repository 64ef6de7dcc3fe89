//! What was noted, put right later: readings, set temperatures, incidents, water, notes, what was taken out, and the days a
//! box was set and emptied.

mod common;

use book::acts::*;
use book::records::Counts;
use book::*;
use common::*;
use trade::units::Mass;
use trade::when::When;

/// A shelf with one box, set on 1 May and looked after until 9 June.
fn barn() -> (Device, PlaceId, FillingId) {
    let mut d = Device::new(1);
    d.now = at("2026-05-01T19:00");
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(2780)));
    let shelf = PlaceId::new(places[1].id.as_str());
    let mut pull = ClutchPulled::start(&d.book, None, &[], d.now);
    pull.card.counts = Some(Counts { good: 5, dud: 0, slug: 0 });
    pull.boxes[0] = BoxSetup { shelf: Some(shelf.clone()), closed: Some(g(1500)), ..BoxSetup::default() };
    let filling = d.make(Kind::Filling, &pull, FillingId::new);
    d.now = at("2026-06-09T20:00");
    (d, shelf, filling)
}

/// The newest record of a kind.
fn last(d: &Device, kind: Kind) -> String {
    let all = d.book.journal().records(kind.word());
    all.map(|(id, _)| id.to_owned()).last().expect("one was made")
}

fn day() -> When {
    when("2026-06-09")
}

/// The box's row of Rounds and its sums are kept: they must be as a book restored anew has them.
fn same_anew(d: &Device) {
    let mut anew = Book::new(d.identity.book);
    for line in &d.lines {
        anew.take(line).expect("own lines");
    }
    let looked = |book: &Book| {
        let boxes: Vec<_> = book.fillings().map(|f| views::box_view(book, &f.id, d.now)).collect();
        let places: Vec<_> = book.places().iter().map(|p| views::place_view(book, &p.id, d.now)).collect();
        (boxes, places)
    };
    assert_eq!(looked(&d.book), looked(&anew));
}

#[test]
fn what_was_read_is_put_right_and_the_shelf_follows() {
    let (mut d, shelf, _) = barn();
    let read = ReadingTaken {
        place: shelf.clone(),
        when: when("2026-06-08"),
        temp: cc(3900),
        humidity: None,
        source: String::new(),
    };
    d.act(&read);
    let id = ReadingId::new(last(&d, Kind::Reading));
    let mut edit = ReadingEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.temp, edit.when, edit.source) = (cc(2790), when("2026-06-07"), "glass".into());
    d.act(&edit);
    let line = d.book.last_readings(&shelf, 1).remove(0);
    assert_eq!((line.temp, line.when), (cc(2790), when("2026-06-07")), "a day without a time has none");
    same_anew(&d);
    edit.temp = cc(9000);
    assert_eq!(d.draft(&edit), Err(Refusal::BadTemp { temp: cc(9000) }));
    (edit.temp, edit.when) = (cc(2790), when("2026-06-20"));
    assert!(matches!(d.draft(&edit), Err(Refusal::InFuture { .. })));

    d.act(&SetPointChanged { place: shelf.clone(), from: when("2026-06-05"), temp: cc(2950) });
    let id = SetPointId::new(last(&d, Kind::SetPoint));
    let mut edit = SetPointEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.temp, edit.from) = (cc(2850), when("2026-06-06"));
    d.act(&edit);
    assert_eq!(d.book.set_temp(&shelf), Some(cc(2850)));
    same_anew(&d);
    edit.temp = cc(-100);
    assert_eq!(d.draft(&edit), Err(Refusal::BadTemp { temp: cc(-100) }));
    edit.temp = cc(4100);
    assert_eq!(edit.doubts(&d.book, d.now), [Doubt::OddTemp { temp: cc(4100) }]);
}

#[test]
fn an_incident_ends_once_it_is_over() {
    let (mut d, shelf, _) = barn();
    let (places, from) = (vec![shelf.clone()], when("2026-06-08T03:00"));
    d.act(&IncidentNoted { places, from, to: None, what: "power cut".into(), note: String::new() });
    let id = IncidentId::new(last(&d, Kind::Incident));
    let mut edit = IncidentEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    edit.to = Some(when("2026-06-08T02:00"));
    assert!(matches!(d.draft(&edit), Err(Refusal::OutOfOrder { .. })));
    edit.to = Some(when("2026-06-08T09:10"));
    d.act(&edit);
    assert_eq!(d.book.incident(&id).and_then(|incident| incident.to), Some(when("2026-06-08T09:10")));
    same_anew(&d);
    edit.what = " ".into();
    assert_eq!(d.draft(&edit), Err(Refusal::Missing { what: "what happened" }));
}

#[test]
fn water_and_what_was_taken_out_move_the_mass_to_fill_to() {
    let (mut d, _, filling) = barn();
    let fill_to = |d: &Device| d.book.fill_to(&filling).map(|to| to.mass);
    let (mass, what) = (g(50), "moss".to_owned());
    d.act(&TakenOut { filling: filling.clone(), when: when("2026-05-20"), mass, what });
    assert_eq!(fill_to(&d), Some(g(1450)));
    let id = TakenOutId::new(last(&d, Kind::TakenOut));
    let mut edit = TakenOutEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    edit.mass = g(-20);
    d.act(&edit);
    assert_eq!(fill_to(&d), Some(g(1520)), "put in, not taken out");
    same_anew(&d);
    edit.mass = Mass::ZERO;
    assert!(matches!(d.draft(&edit), Err(Refusal::BadMass { .. })));
    (edit.mass, edit.when) = (g(5), when("2026-04-01"));
    assert!(matches!(d.draft(&edit), Err(Refusal::OutOfOrder { .. })), "before the box was set");

    let act = |mass, baseline| -> Box<dyn Act> {
        let (filling, when, note) = (filling.clone(), when("2026-06-01"), String::new());
        match baseline {
            true => Box::new(BaselineReset { filling, when, mass, note }),
            false => Box::new(WaterChecked { filling, when, mass, added: Some(g(10)), note }),
        }
    };
    d.act(&*act(g(1490), false));
    let id = WaterId::new(last(&d, Kind::Water));
    let mut edit = WaterEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.mass, edit.added) = (g(1500), None);
    d.act(&edit);
    let check = d.book.water_check(&id).expect("there").clone();
    assert_eq!((check.mass, check.added, check.baseline), (Some(g(1500)), None, false));
    same_anew(&d);
    edit.mass = Mass::ZERO;
    assert!(matches!(d.draft(&edit), Err(Refusal::BadMass { .. })));
    edit.mass = g(1500);
    edit.when = when("2026-04-30");
    assert!(matches!(d.draft(&edit), Err(Refusal::OutOfOrder { .. })));

    d.act(&*act(g(1600), true));
    let ids: Vec<String> = d.book.water_checks(&filling).filter(|w| w.baseline).map(|w| w.id.to_string()).collect();
    let id = WaterId::new(ids[0].as_str());
    let edit = WaterEdited { mass: g(1610), ..WaterEdited::of(&d.book, &id, day()).expect("there") };
    d.act(&edit);
    assert_eq!(fill_to(&d), Some(g(1610)), "it stays what is filled to");
    same_anew(&d);
}

#[test]
fn a_note_says_something_else_and_of_another_day() {
    let (mut d, _, filling) = barn();
    d.act(&Noted { about: filling.thing(), when: day(), text: "dented".into() });
    let id = NoteId::new(last(&d, Kind::Note));
    let mut edit = NoteEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.text, edit.when) = ("dented on top".into(), when("2026-06-02"));
    d.act(&edit);
    let note = d.book.note(&id).expect("there");
    assert_eq!((note.text.as_deref(), note.when), (Some("dented on top"), Some(when("2026-06-02"))));
    edit.text = "  ".into();
    assert_eq!(d.draft(&edit), Err(Refusal::Missing { what: "the note" }));
}

#[test]
fn the_days_a_box_was_set_and_emptied_are_put_right() {
    let (mut d, shelf, filling) = barn();
    let mut edit = BoxEdited::of(&d.book, &filling).expect("there");
    // Its eggs are noted as laid on the day it was set: that day goes first.
    let clutch = d.book.clutches_in(&filling)[0].id.clone();
    let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
    card.laid = Some(when("2026-04-28"));
    d.act(&ClutchEdited { clutch, card });
    edit.from = Some(when("2026-04-29"));
    d.act(&edit);
    let at_first = d.book.place_at(&filling.thing(), at("2026-04-30T12:00"));
    assert_eq!(at_first, Some(Where::Place(shelf)), "it stood on its shelf from then on");
    same_anew(&d);
    edit.to = Some(when("2026-04-01"));
    assert!(matches!(d.draft(&edit), Err(Refusal::OutOfOrder { .. })));
    edit.to = Some(when("2026-07-01"));
    assert!(matches!(d.draft(&edit), Err(Refusal::InFuture { .. })));
    d.act(&BoxEmptied { filling: filling.clone(), when: day() });
    let mut edit = BoxEdited::of(&d.book, &filling).expect("there");
    edit.to = Some(when("2026-06-07"));
    d.act(&edit);
    assert_eq!(d.book.filling(&filling).and_then(|f| f.to), Some(when("2026-06-07")));
    edit.to = None;
    d.act(&edit);
    assert_eq!(d.book.open_fillings().len(), 1, "in use again");
    same_anew(&d);
}

/// Two boxes set on 1 May on one shelf, of clutches laid on 20 April; another shelf.
fn two_boxes() -> (Device, [PlaceId; 2], [FillingId; 2]) {
    let mut d = Device::new(1);
    d.now = at("2026-05-01T19:00");
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 2, "Shelf", cc(2780)));
    let shelves = [1, 2].map(|n: usize| PlaceId::new(places[n].id.as_str()));
    let fillings = [0, 1].map(|_| {
        let mut pull = ClutchPulled::start(&d.book, None, &[], d.now);
        pull.card.counts = Some(Counts { good: 3, dud: 0, slug: 0 });
        (pull.card.laid, pull.when) = (Some(when("2026-04-20")), Some(when("2026-05-01")));
        pull.boxes[0] = BoxSetup { shelf: Some(shelves[0].clone()), closed: Some(g(1500)), ..BoxSetup::default() };
        d.make(Kind::Filling, &pull, FillingId::new)
    });
    d.now = at("2026-06-09T20:00");
    (d, shelves, fillings)
}

fn edited(d: &Device, filling: &FillingId, from: &str) -> BoxEdited {
    BoxEdited { from: Some(when(from)), ..BoxEdited::of(&d.book, filling).expect("there") }
}

#[test]
fn a_day_set_takes_along_what_was_done_with_it_and_nothing_else() {
    let (mut d, [low, high], [one, other]) = two_boxes();
    // The same day both were carried to another shelf, and one of them once more.
    d.act(&Moved::to_place(vec![one.thing(), other.thing()], high.clone(), when("2026-05-01")));
    d.act(&Moved::to_place(vec![one.thing()], low.clone(), when("2026-05-01")));
    d.act(&edited(&d, &one, "2026-04-28"));
    let moves = |d: &Device, id: &FillingId| -> Vec<_> { d.book.moves(&id.thing()).map(|mv| mv.when).collect() };
    let first = Some(when("2026-05-01"));
    assert_eq!(moves(&d, &one), [first, first, Some(when("2026-04-28"))]);
    assert_eq!(moves(&d, &other), [first, first], "the other box was not set then");
    assert_eq!(d.book.place_at(&other.thing(), at("2026-04-29T12:00")), None);
    same_anew(&d);
    // Once more: the same moves again.
    d.act(&edited(&d, &one, "2026-04-29"));
    assert_eq!(moves(&d, &one), [first, first, Some(when("2026-04-29"))]);
    // After a later move it would stand on its first shelf again.
    assert!(matches!(d.draft(&edited(&d, &one, "2026-05-02")), Err(Refusal::OutOfOrder { .. })));
    assert!(
        matches!(d.draft(&edited(&d, &one, "2026-04-19")), Err(Refusal::OutOfOrder { .. })),
        "the day before laying"
    );
    let forgotten = BoxEdited { from: None, ..edited(&d, &one, "2026-04-29") };
    assert!(matches!(d.draft(&forgotten), Err(Refusal::Missing { .. })));
}

#[test]
fn eggs_brought_into_a_box_as_it_was_set_come_with_its_day() {
    let (mut d, [low, _], [one, other]) = two_boxes();
    let eggs: Vec<EggId> = d.book.eggs_in(&one).iter().take(2).map(|egg| egg.id.clone()).collect();
    let setup = BoxSetup { shelf: Some(low.clone()), closed: Some(g(900)), ..BoxSetup::default() };
    let act = BoxSet { eggs: eggs.clone(), setup, when: when("2026-05-10"), mass: Some(g(60)) };
    let third = d.make(Kind::Filling, &act, FillingId::new);
    // Taken out of the first box that day by another act.
    d.act(&TakenOut { filling: one.clone(), when: when("2026-05-10"), mass: g(5), what: "moss".into() });
    d.act(&edited(&d, &third, "2026-05-06"));
    let stood = |d: &Device, day: &str| d.book.place_at(&eggs[0].thing(), at(day));
    assert_eq!(stood(&d, "2026-05-07T12:00"), Some(Where::Filling(third.clone())));
    assert_eq!(d.book.place_at(&third.thing(), at("2026-05-07T12:00")), Some(Where::Place(low)));
    let taken: Vec<_> = d.book.taken_out(&one).map(|taken| (taken.mass, taken.when)).collect();
    assert_eq!(taken, [(Some(g(5)), Some(when("2026-05-10"))), (Some(g(60)), Some(when("2026-05-06")))]);
    same_anew(&d);
    d.undo_last();
    assert_eq!(stood(&d, "2026-05-07T12:00"), None, "they lie where they were first set");
    // Once an egg was brought on, the box cannot have been set after that.
    d.act(&Moved {
        things: vec![eggs[0].thing()],
        to: Where::Filling(other),
        when: when("2026-05-20"),
        mass: None,
        note: String::new(),
    });
    assert!(matches!(d.draft(&edited(&d, &third, "2026-05-21")), Err(Refusal::OutOfOrder { .. })));
    d.act(&edited(&d, &third, "2026-05-19"));
    // The first box had its eggs by no move, and had them until the first one left: on the 19th by now.
    assert!(matches!(d.draft(&edited(&d, &one, "2026-05-21")), Err(Refusal::OutOfOrder { .. })));
    // It went on on the 20th: the first time counts, not the last.
    assert!(matches!(d.draft(&edited(&d, &one, "2026-05-20")), Err(Refusal::OutOfOrder { .. })));
    d.act(&edited(&d, &one, "2026-05-18"));
    same_anew(&d);
}

/// A meal and an animal's event, each with a word for what it was.
fn fed() -> (Device, MealId, AnimalEventId) {
    let mut d = Device::new(1);
    let card = AnimalCard { name: "Wren".into(), ..AnimalCard::default() };
    let animal = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new);
    let texts = || (String::new(), String::new(), String::new());
    let (prey, size, how) = texts();
    d.act(&RackFed { animals: vec![animal.clone()], offered: when("2026-06-01"), prey, size, how });
    let what = words::AnimalEventWhat::Shed;
    d.act(&AnimalEventNoted { shed: None, animal, what, when: when("2026-06-02"), mass: None, note: String::new() });
    let (meal, event) = (last(&d, Kind::Meal), last(&d, Kind::AnimalEvent));
    (d, MealId::new(meal), AnimalEventId::new(event))
}

#[test]
fn an_outcome_put_right_is_assumed_no_more() {
    let (mut d, meal, _) = fed();
    let edit = MealEdited::of(&d.book, &meal, day()).expect("there");
    let noted = MealEdited { note: "by the door".into(), ..edit.clone() };
    d.act(&noted);
    assert!(d.book.meal(&meal).is_some_and(|meal| meal.is_assumed()), "a note says nothing of the outcome");
    d.act(&MealEdited { outcome: Some(words::MealOutcome::Refused), ..noted });
    let now = d.book.meal(&meal).expect("there");
    assert_eq!((now.assumed, now.with_all()), (Some(false), true));
}

/// A field set by a program that knows more words than this one.
fn newer(d: &mut Device, thing: &Thing, field: &str) {
    let fields = serde_json::Map::from_iter([(field.to_owned(), "of a newer program".into())]);
    let set = d.book.journal().set(thing.kind.word(), &thing.id, fields);
    d.seal(journal::Draft { act: "Newer".into(), sets: vec![set], ..journal::Draft::default() });
}

#[test]
fn what_cannot_be_read_here_stays_with_its_moment() {
    let (mut d, meal, event) = fed();
    newer(&mut d, &meal.thing(), "outcome");
    newer(&mut d, &event.thing(), "what");
    let edit = MealEdited::of(&d.book, &meal, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    let draft = d.act(&MealEdited { note: "n".into(), ..edit });
    assert_eq!(draft.sets[0].fields.keys().collect::<Vec<_>>(), ["note"]);
    let edit = AnimalEventEdited::of(&d.book, &event, day()).expect("there");
    let draft = d.act(&AnimalEventEdited { when: when("2026-06-03"), ..edit });
    assert_eq!(draft.sets[0].fields.keys().collect::<Vec<_>>(), ["when"]);
}

#[test]
fn how_it_shed_is_noted_put_right_and_told_with_the_interval() {
    use words::{AnimalEventWhat::*, ShedAs};
    let (mut d, _, first) = fed();
    let animal = d.book.animal_event(&first).and_then(|event| event.animal.clone()).expect("hers");
    let noted = |what, day: &str, shed| {
        let (animal, when, note) = (animal.clone(), when(day), String::new());
        AnimalEventNoted { animal, what, when, mass: None, shed, note }
    };
    for (what, day, shed) in [
        (Shed, "2026-03-01", Some(ShedAs::Whole)),
        (PreLayShed, "2026-04-05", Some(ShedAs::Stuck)),
        // A way of shedding says nothing of anything else.
        (Treatment, "2026-04-06", Some(ShedAs::Stuck)),
    ] {
        d.act(&noted(what, day, shed));
    }
    let sheds = |d: &Device| {
        let view = views::animal_view(&d.book, &animal, d.now).expect("there");
        let sheds: Vec<_> = view.sheds.iter().map(|shed| (shed.what, shed.shed)).collect();
        (sheds, view.shed_spacing.map(|found| (found.middle, found.gaps)))
    };
    let told = [(Some(Shed), None), (Some(PreLayShed), Some(ShedAs::Stuck)), (Some(Shed), Some(ShedAs::Whole))];
    // From 1 March to 5 April 35 days, and to 2 June 58.
    assert_eq!(sheds(&d), (told.to_vec(), Some((35, 2))));
    let treated = d.book.animal_events(&animal).find(|event| event.what == Some(Treatment)).expect("noted");
    assert_eq!(treated.shed, None);
    let edit = AnimalEventEdited::of(&d.book, &first, day()).expect("there");
    d.act(&AnimalEventEdited { shed: Some(ShedAs::Pieces), ..edit.clone() });
    assert_eq!(sheds(&d).0[0], (Some(Shed), Some(ShedAs::Pieces)));
    d.undo_last();
    assert_eq!(sheds(&d).0[0], (Some(Shed), None));
    d.act(&AnimalEventEdited { shed: Some(ShedAs::Pieces), ..edit });
    let edit = AnimalEventEdited::of(&d.book, &first, day()).expect("there");
    d.act(&AnimalEventEdited { what: Straining, ..edit });
    assert_eq!(d.book.animal_event(&first).and_then(|event| event.shed), None, "it was no shed");
    assert_eq!(sheds(&d).1, None);
}

#[test]
fn figures_that_cannot_be_are_told_in_the_unit_in_use() {
    struct Us;
    impl Shown for Us {
        fn mass(&self, mass: Mass) -> String {
            format!("{} oz", mass.ounces())
        }
        fn temp(&self, temp: trade::units::Temp) -> String {
            format!("{:.1} °F", temp.fahrenheit())
        }
    }
    let (mut d, ..) = barn();
    let key = "lampropeltis-californiae";
    let species = records::Species { low: Some(cc(3000)), high: Some(cc(2000)), ..records::Species::overriding(key) };
    let refused = d.draft(&SpeciesSet { id: Some(key.into()), species }).expect_err("the wrong way round");
    let said = refused.told(&Us);
    assert!(said.contains("86.0 °F") && said.contains("68.0 °F") && !said.contains("°C"), "{said}");
}

#[test]
fn an_egg_opened_by_hand_says_how_why_and_what_was_seen() {
    use words::{OpenedAs, Step};
    let (mut d, _, filling) = barn();
    let egg = d.book.eggs_in(&filling)[0].id.clone();
    let act = EggsCut {
        eggs: vec![egg.clone()],
        when: when("2026-06-08"),
        opened: Some(OpenedAs::Window),
        why: "sweating".into(),
        found: "alive".into(),
    };
    d.act(&act);
    let id = HatchingId::new(last(&d, Kind::Hatching));
    let mut edit = OpeningEdited::of(&d.book, &id, day()).expect("opened");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.opened, edit.found, edit.when) = (Some(OpenedAs::Slit), "alive, veins".into(), when("2026-06-07"));
    d.act(&edit);
    let line = views::box_view(&d.book, &filling, d.now).expect("there").hatchings.remove(0);
    let told = (line.opened, line.why.as_deref(), line.found.as_deref(), line.when);
    assert_eq!(told, (Some(OpenedAs::Slit), Some("sweating"), Some("alive, veins"), Some(when("2026-06-07"))));
    assert_eq!(d.book.hatching(&id).and_then(|step| step.step), Some(Step::Cut), "it tells nothing of when it pips");
    edit.when = when("2026-04-01");
    assert!(matches!(d.draft(&edit), Err(Refusal::OutOfOrder { .. })), "before laying");
    // A pip is put right in its day alone.
    let pipped = EggsPipped { eggs: vec![d.book.eggs_in(&filling)[1].id.clone()], when: Some(when("2026-06-09")) };
    d.act(&pipped);
    let pips = d.book.hatchings(&pipped.eggs[0]).next().map(|pip| pip.id.clone()).expect("pipped");
    assert_eq!(OpeningEdited::of(&d.book, &pips, day()), None);
}
