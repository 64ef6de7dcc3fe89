//! Who is set apart.

use super::*;

fn place(d: &mut Device, what: words::PlaceWhat, name: &str, within: Option<&PlaceId>) -> PlaceId {
    let card = PlaceCard { within: within.cloned(), ..PlaceCard::new(what, name) };
    d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new)
}

fn apart(d: &mut Device, of: Thing, until: &str) -> QuarantineId {
    let card =
        QuarantineCard { from: Some(when("2026-06-09")), until: until.parse().ok(), ..QuarantineCard::default() };
    d.make(Kind::Quarantine, &SetApart { things: vec![of], card }, QuarantineId::new)
}

#[test]
fn what_is_set_apart_is_asked_about_before_it_goes_anywhere() {
    use words::PlaceWhat::{Rack, Room, Tub};
    let mut d = Device::new(1);
    let (room, other) = (place(&mut d, Room, "Far room", None), place(&mut d, Room, "Long room", None));
    let rack = place(&mut d, Rack, "Rack A", Some(&room));
    let (one, two) = (place(&mut d, Tub, "A1", Some(&rack)), place(&mut d, Tub, "A2", Some(&rack)));
    let (bel, moss, wren) = (animal(&mut d, "Bel"), animal(&mut d, "Moss"), animal(&mut d, "Wren"));
    for (animal, to) in [(&bel, &one), (&moss, &other), (&wren, &other)] {
        d.act(&Moved::to_place(vec![animal.thing()], to.clone(), when("2026-06-08")));
    }
    let asked = |d: &Device, animal: &AnimalId, to: &PlaceId| {
        let act = Moved::to_place(vec![animal.thing()], to.clone(), when("2026-06-09T19:00"));
        act.doubts(&d.book, d.now).iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(asked(&d, &bel, &other), [""; 0]);
    let far = apart(&mut d, room.thing(), "2026-07-09");
    // Out of the room: asked. Within it: not. Into it: asked, of whoever was not in it.
    assert_eq!(asked(&d, &bel, &other), ["Bel is in quarantine until 9 Jul. Do it anyway?"]);
    assert_eq!(asked(&d, &bel, &two), [""; 0]);
    assert_eq!(asked(&d, &moss, &two), ["Far room is in quarantine. Bring it in anyway?"]);
    // An animal by itself: wherever it goes, and with whom.
    apart(&mut d, wren.thing(), "");
    assert_eq!(asked(&d, &wren, &other).len(), 1);
    let paired = Paired { dams: vec![wren.clone()], sires: vec![moss], when: when("2026-06-09"), note: String::new() };
    assert_eq!(paired.doubts(&d.book, d.now), [Doubt::InQuarantine { name: "Wren".into(), until: None }]);
    let sold = AnimalsPlaced {
        animals: vec![bel.clone()],
        how: words::Went::Sold,
        to: None,
        when: when("2026-06-09"),
        price: String::new(),
        note: String::new(),
    };
    assert!(matches!(sold.doubts(&d.book, d.now).as_slice(), [Doubt::InQuarantine { .. }]));
    // Twice is refused; ended before its day is asked about; once ended, nothing is asked any more.
    let again = SetApart { things: vec![wren.thing()], card: QuarantineCard::of(&d.book, &far).expect("there") };
    assert_eq!(d.draft(&again), Err(Refusal::ApartAlready { name: "Wren".into() }));
    let card =
        QuarantineCard { ended: Some(when("2026-06-09T19:00")), ..QuarantineCard::of(&d.book, &far).expect("there") };
    let end = QuarantineEdited { quarantine: far, card };
    assert_eq!(end.doubts(&d.book, d.now).len(), 1);
    d.act(&end);
    assert_eq!(asked(&d, &bel, &other), [""; 0]);
    d.undo_last();
    assert_eq!(asked(&d, &bel, &other).len(), 1, "undone, it is apart again");
}

#[test]
fn what_is_set_apart_is_done_last_and_its_last_day_stands_on_rounds() {
    use words::PlaceWhat::{Rack, Tub};
    let mut d = Device::new(1);
    let rack = place(&mut d, Rack, "Rack A", None);
    let names = ["Ann", "Bel", "Cid"];
    let animals = names.map(|name| animal(&mut d, name));
    for (n, animal) in animals.iter().enumerate() {
        let tub = place(&mut d, Tub, &format!("A{n}"), Some(&rack));
        d.act(&Moved::to_place(vec![animal.thing()], tub, when("2026-06-08")));
    }
    let all: Vec<&AnimalId> = animals.iter().collect();
    ordered(&mut d, &all, card(24, ""));
    let order = |d: &Device| due(d).into_iter().map(|(name, ..)| name).collect::<Vec<_>>();
    let fed = |d: &Device| {
        let feeding = feeding(&d.book, &rack, d.now).expect("a rack");
        feeding.animals.into_iter().map(|line| (line.name, line.apart)).collect::<Vec<_>>()
    };
    assert_eq!(order(&d), names);
    let quarantine = apart(&mut d, animals[0].thing(), "2026-06-12");
    assert_eq!(order(&d), ["Bel", "Cid", "Ann"], "in walking order, and she last");
    assert_eq!(fed(&d), [("Bel".into(), false), ("Cid".into(), false), ("Ann".into(), true)]);
    let ends = |d: &Device| rounds(&d.book, d.now).into_iter().find(|due| due.kind == DueKind::Quarantine);
    assert_eq!(ends(&d), None);
    d.now = at("2026-06-12T07:00");
    let row = ends(&d).expect("its last day");
    assert_eq!((row.name.as_str(), row.path.as_slice()), ("Ann", &["Rack A".to_owned(), "A0".to_owned()][..]));
    let rows = quarantine_rows(&d.book, d.now);
    assert_eq!((rows[0].due, rows[0].days, rows[0].animals), (true, Some(3), 1));
    // It goes on, or ends; until somebody says so it is apart.
    let stands = QuarantineCard::of(&d.book, &quarantine).expect("there");
    d.act(&QuarantineEdited {
        quarantine: quarantine.clone(),
        card: QuarantineCard { until: "2026-07-01".parse().ok(), ..stands.clone() },
    });
    assert_eq!(ends(&d), None);
    d.act(&QuarantineEdited { quarantine, card: QuarantineCard { ended: Some(when("2026-06-12")), ..stands } });
    assert_eq!((ends(&d), order(&d)), (None, names.map(str::to_owned).to_vec()));
}

#[test]
fn what_left_is_apart_no_longer_and_stands_among_what_is_over() {
    let mut d = Device::new(1);
    let (bel, moss) = (animal(&mut d, "Bel"), animal(&mut d, "Moss"));
    let [gone, stays] = [&bel, &moss].map(|animal| apart(&mut d, animal.thing(), "2026-06-12"));
    let card = AnimalCard::of(&d.book, &bel).expect("there");
    d.now = at("2026-06-11T12:00");
    let card = AnimalCard { went: Some(words::Went::Sold), went_when: Some(when("2026-06-11")), ..card };
    d.act(&AnimalEdited { animal: bel.clone(), card });
    d.now = at("2026-06-20T12:00");
    let rows = quarantine_rows(&d.book, d.now);
    let told: Vec<_> = rows.iter().map(|row| (&row.quarantine.id, row.open, row.due, row.days)).collect();
    assert_eq!(told, [(&stays, true, true, Some(11)), (&gone, false, false, Some(2))]);
    assert_eq!(rows.iter().map(|row| row.over).collect::<Vec<_>>(), [None, Some(when("2026-06-11"))]);
    // One rule for the list, for Rounds and for what is asked before a move.
    for row in &rows {
        let of = row.quarantine.of.clone().expect("of somebody");
        assert_eq!(d.book.apart(&of).is_some(), row.open, "{of}");
        let due = rounds(&d.book, d.now).into_iter().filter(|due| due.thing == row.quarantine.id.thing()).count();
        assert_eq!(due, usize::from(row.due), "{of}");
    }
}

#[test]
fn set_apart_on_two_devices_it_is_let_out_once() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    let (bel, moss) = (animal(&mut ines, "Bel"), animal(&mut ines, "Moss"));
    tobin.hear(&ines.lines);
    let hers = apart(&mut ines, bel.thing(), "2026-07-09");
    let other = apart(&mut ines, moss.thing(), "2026-07-09");
    let his = apart(&mut tobin, bel.thing(), "");
    ines.hear(&tobin.lines.clone());
    ines.now = at("2026-06-10T12:00");
    let edit = |d: &Device, quarantine: &QuarantineId, ended: Option<&str>| {
        let card = QuarantineCard::of(&d.book, quarantine).expect("there");
        let card = QuarantineCard { ended: ended.map(when), ..card };
        QuarantineEdited { quarantine: quarantine.clone(), card }
    };
    let open = |d: &Device| {
        let rows = quarantine_rows(&d.book, d.now).into_iter();
        rows.filter(|row| row.open).map(|row| row.quarantine.id).collect::<Vec<_>>()
    };
    ines.act(&edit(&ines, &hers, Some("2026-06-10T12:00")));
    assert_eq!((ines.book.apart(&bel.thing()), open(&ines)), (None, vec![other]));
    ines.undo_last();
    assert_eq!(open(&ines).len(), 3, "one tap, one undo");
    // Ended, and set apart anew: the first does not go on beside the second.
    ines.act(&edit(&ines, &his, Some("2026-06-10T12:00")));
    assert_eq!(ines.book.apart(&bel.thing()), None);
    apart(&mut ines, bel.thing(), "2026-07-20");
    let again = edit(&ines, &his, None);
    assert_eq!(ines.draft(&again), Err(Refusal::ApartAlready { name: "Bel".into() }));
}

#[test]
fn let_out_of_one_quarantine_the_longest_of_them_is_asked_about() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    let bel = animal(&mut ines, "Bel");
    tobin.hear(&ines.lines);
    let short = apart(&mut ines, bel.thing(), "2026-06-12");
    apart(&mut tobin, bel.thing(), "2026-07-09");
    ines.hear(&tobin.lines.clone());
    ines.now = at("2026-06-12T20:00");
    let card = QuarantineCard::of(&ines.book, &short).expect("there");
    let end = QuarantineEdited { quarantine: short, card: QuarantineCard { ended: Some(when("2026-06-12")), ..card } };
    let longest = [Doubt::InQuarantine { name: "Bel".into(), until: Some(day("2026-07-09")) }];
    assert_eq!(end.doubts(&ines.book, ines.now), longest);
    // Wherever it is told until when, it is the longest.
    assert_eq!(ines.book.apart(&bel.thing()).and_then(|quarantine| quarantine.until), Some(day("2026-07-09")));
    ines.now = at("2026-07-09T20:00");
    assert_eq!(end.doubts(&ines.book, ines.now), []);
}

#[test]
fn a_move_typed_late_is_not_asked_about_by_a_quarantine_that_began_since() {
    let mut d = Device::new(1);
    let (bel, far) = (animal(&mut d, "Bel"), place(&mut d, words::PlaceWhat::Room, "Far room", None));
    apart(&mut d, bel.thing(), "");
    let asked = |d: &Device, at: &str| Moved::to_place(vec![bel.thing()], far.clone(), when(at)).doubts(&d.book, d.now);
    assert_eq!((asked(&d, "2026-06-08"), asked(&d, "2026-06-09").len()), (vec![], 1));
}
