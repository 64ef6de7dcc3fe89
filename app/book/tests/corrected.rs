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
    let read = ReadingTaken { place: shelf.clone(), when: when("2026-06-08"), temp: cc(3900), source: String::new() };
    d.act(&read);
    let id = ReadingId::new(last(&d, Kind::Reading));
    let mut edit = ReadingEdited::of(&d.book, &id, day()).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.temp, edit.when, edit.source) = (cc(2790), when("2026-06-07"), "glass".into());
    d.act(&edit);
    let line = d.book.last_readings(&shelf, 1).remove(0);
    assert_eq!((line.temp, line.at.date()), (cc(2790), common::day("2026-06-07")));
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
