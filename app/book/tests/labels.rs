//! Printed labels against the records of today.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::{LabelChange, box_view, has_label, lying_labels};
use book::*;
use common::*;
use trade::when::When;

struct Barn {
    d: Device,
    filling: FillingId,
    colder: PlaceId,
}

/// A clutch pulled into a box at 28 °C, its label printed; and a shelf at 24 °C.
fn barn() -> Barn {
    let mut d = Device::new(1);
    d.now = at("2026-04-10T19:00");
    let card = AnimalCard {
        name: "Bel".to_owned(),
        species: Some("lampropeltis-californiae".to_owned()),
        ..AnimalCard::default()
    };
    let bel = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new);
    let warm = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator A", 1, "Shelf", cc(2800)));
    let cold = d.all(Kind::Place, &IncubatorAdded::with_shelves("Incubator B", 1, "Shelf", cc(2400)));
    let shelf = |places: &[Thing]| PlaceId::new(places[1].id.as_str());
    let mut pull = ClutchPulled::start(&d.book, None, &[bel], d.now);
    pull.card.counts = Some(Counts { good: 6, dud: 0, slug: 0 });
    pull.boxes[0].shelf = Some(shelf(&warm));
    pull.boxes[0].dry = Some(g(200));
    pull.boxes[0].water = Some(g(200));
    pull.boxes[0].closed = Some(g(1486));
    let filling = d.make(Kind::Filling, &pull, FillingId::new);
    let mut barn = Barn { d, filling, colder: shelf(&cold) };
    barn.print();
    barn
}

impl Barn {
    fn printed(&self) -> LabelPrinted {
        let view = box_view(&self.d.book, &self.filling, self.d.now).expect("a box");
        let window = view.parts[0].window.as_ref().expect("a window");
        LabelPrinted {
            thing: self.filling.thing(),
            when: When::time(self.d.now),
            payload: "HTTPS://ALDERLANE.EXAMPLE/#/B/7K3QX2M9".to_owned(),
            look_from: Some(window.look_from()),
            likely_from: None,
            likely_to: None,
            fill_to: view.water.fill_to.map(|fill_to| fill_to.mass),
        }
    }

    fn print(&mut self) {
        let print = self.printed();
        self.d.act(&LabelsPrinted { prints: vec![print] });
    }

    fn lying(&self) -> Vec<book::views::LyingLabel> {
        lying_labels(&self.d.book, self.d.now)
    }

    /// Whether the box's own page says to print anew.
    fn stale(&self) -> bool {
        let view = box_view(&self.d.book, &self.filling, self.d.now).expect("a box");
        view.label.expect("a label").stale
    }

    fn cool_down(&mut self) {
        let to = Where::Place(self.colder.clone());
        let (things, when) = (vec![self.filling.thing()], When::time(self.d.now));
        self.d.act(&Moved { things, to, when, mass: None, note: String::new() });
        self.d.later(24 * 10);
    }
}

#[test]
fn a_label_holds_until_the_window_moves() {
    let mut b = barn();
    assert_eq!(b.lying(), []);
    assert!(!b.stale());
    let was = b.printed().look_from;
    b.cool_down();
    let is = b.printed().look_from;
    assert!(is > was, "{is:?} is later than {was:?}");
    let lying = b.lying();
    assert_eq!(lying.len(), 1);
    assert_eq!(lying[0].change, LabelChange::LookFrom { printed: was, now: is });
    assert_eq!(lying[0].path, ["Incubator B", "Shelf 1"]);
    b.print();
    assert_eq!(b.lying(), []);
}

#[test]
fn an_emptied_box_has_retired_its_label() {
    let mut b = barn();
    b.cool_down();
    assert_eq!(b.lying().len(), 1);
    for egg in b.d.book.eggs_in(&b.filling).into_iter().map(|egg| egg.id.clone()).collect::<Vec<_>>() {
        let when = When::time(b.d.now);
        b.d.act(&EggFate {
            eggs: vec![egg],
            fate: book::words::Fate::Sold,
            when,
            why: String::new(),
            masses: Default::default(),
        });
    }
    b.d.act(&BoxEmptied { filling: b.filling.clone(), when: When::time(b.d.now) });
    assert_eq!(b.lying(), []);
}

#[test]
fn water_taken_changes_the_fill_to_but_is_no_wrong_window() {
    let mut b = barn();
    let when = When::time(b.d.now);
    b.d.act(&TakenOut { filling: b.filling.clone(), when, mass: g(24), what: "two eggs".to_owned() });
    assert_eq!(b.printed().fill_to, Some(g(1462)));
    assert!(b.stale());
    assert_eq!(b.lying(), []);
}

#[test]
fn what_was_printed_or_begun_from_a_blank_has_a_label() {
    let mut b = barn();
    assert!(has_label(&b.d.book, &b.filling.thing()));
    assert!(!has_label(&b.d.book, &b.colder.thing()));
    let blank = b.d.all(Kind::Label, &BlankLabelsMade { count: 1 });
    let card = AnimalCard { name: "Moss".to_owned(), ..AnimalCard::default() };
    let id = Some(AnimalId::new(blank[0].id.as_str()));
    let moss = b.d.make(Kind::Animal, &AnimalAdded { id, card, place: None }, AnimalId::new);
    assert!(has_label(&b.d.book, &moss.thing()));
}

#[test]
fn many_are_one_entry_and_none_is_refused() {
    let mut b = barn();
    let place = |id: &PlaceId| LabelPrinted { thing: id.thing(), look_from: None, fill_to: None, ..b.printed() };
    let prints = vec![b.printed(), place(&b.colder)];
    let draft = b.d.act(&LabelsPrinted { prints });
    assert_eq!((draft.act.as_str(), draft.sets.len()), ("LabelsPrinted", 2));
    assert!(has_label(&b.d.book, &b.colder.thing()));
    assert!(matches!(b.d.draft(&LabelsPrinted { prints: vec![] }), Err(Refusal::Missing { .. })));
    let many = vec![b.printed(); 501];
    assert!(matches!(b.d.draft(&LabelsPrinted { prints: many }), Err(Refusal::TooMany { .. })));
    // The longest run still fits into one line of the journal.
    b.d.act(&LabelsPrinted { prints: vec![b.printed(); 500] });
}

#[test]
fn what_was_not_seen_is_kept_with_its_day() {
    let mut b = barn();
    let take = |d: &mut Device, place: Option<&PlaceId>, seen: &FillingId, missing: &[FillingId]| {
        let (when, place) = (When::time(d.now), place.cloned());
        d.act(&StockTaken { place, when, seen: vec![seen.clone()], missing: missing.to_vec() });
    };
    assert_eq!(b.d.book.last_stock_taking(None), None);
    let (filling, colder) = (b.filling.clone(), b.colder.clone());
    take(&mut b.d, None, &filling, &[]);
    b.d.later(24);
    take(&mut b.d, Some(&colder), &filling, &[]);
    let last = |b: &Barn, place: Option<&PlaceId>| b.d.book.last_stock_taking(place).map(|s| (s.when, s.seen.len()));
    let day = |b: &Barn, back: i64| Some(When::time(b.d.now - chrono::TimeDelta::hours(back)));
    assert_eq!(last(&b, None), Some((day(&b, 24), 1)));
    assert_eq!(last(&b, Some(&b.colder)), Some((day(&b, 0), 1)));
    b.d.undo_last();
    assert_eq!(last(&b, Some(&b.colder)), None);
}
