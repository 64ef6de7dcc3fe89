//! Tubs cleaned: a rack in one tap, one of them taken out again; due by the barn's own rule, one row a rack; put right,
//! taken back.

mod common;

use book::acts::*;
use book::views::*;
use book::words::{PlaceWhat, Went};
use book::*;
use common::*;
use trade::when::When;

const CORN: &str = "pantherophis-guttatus";
const BALL: &str = "python-regius";

/// A rack of three tubs in a room: Bel in the first, Moss and Ash in the second, nobody in the third. Wren is in the room,
/// in no tub, and Stray nowhere.
struct Barn {
    d: Device,
    room: PlaceId,
    rack: PlaceId,
    tubs: [PlaceId; 3],
    bel: AnimalId,
    wren: AnimalId,
}

fn animal(d: &mut Device, name: &str, species: &str, place: Option<&PlaceId>) -> AnimalId {
    let card = AnimalCard { name: name.into(), species: Some(species.into()), ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: place.cloned() }, AnimalId::new)
}

fn barn() -> Barn {
    let mut d = Device::new(1);
    let mut place = |what, name: &str, within: Option<&PlaceId>| {
        let card = PlaceCard { within: within.cloned(), ..PlaceCard::new(what, name) };
        d.make(Kind::Place, &PlaceAdded { id: None, card }, PlaceId::new)
    };
    let room = place(PlaceWhat::Room, "Long room", None);
    let rack = place(PlaceWhat::Rack, "Rack A", Some(&room));
    let tubs = ["A1", "A2", "A3"].map(|name| place(PlaceWhat::Tub, name, Some(&rack)));
    let bel = animal(&mut d, "Bel", CORN, Some(&tubs[0]));
    animal(&mut d, "Moss", CORN, Some(&tubs[1]));
    animal(&mut d, "Ash", BALL, Some(&tubs[1]));
    let wren = animal(&mut d, "Wren", CORN, Some(&room));
    animal(&mut d, "Stray", CORN, None);
    Barn { d, room, rack, tubs, bel, wren }
}

fn rule(species: Option<&str>, days: Option<u32>) -> CleaningRuleSet {
    CleaningRuleSet { species: species.map(str::to_owned), days }
}

fn cleaned(of: &[Thing], when: When, spot: bool) -> TubsCleaned {
    TubsCleaned { of: of.to_vec(), when, spot, note: String::new() }
}

impl Barn {
    fn view(&self, of: Thing) -> CleaningView {
        cleaning_view(&self.d.book, &of, self.d.now).expect("there")
    }

    /// The rows of Rounds: of which rack, how many tubs, since when.
    fn due(&self) -> Vec<(String, u32, Option<String>)> {
        let rows = rounds(&self.d.book, self.d.now).into_iter().filter(|due| due.kind == DueKind::Cleaning);
        let said = |due: Due| match due.fact {
            Fact::Cleaning { tubs, since } => (due.name, tubs, since.map(|day| day.to_string())),
            other => panic!("{other:?}"),
        };
        rows.map(said).collect()
    }

    /// All of the rack, now.
    fn clean_rack(&mut self, spot: bool) -> Vec<CleaningId> {
        let of: Vec<Thing> = self.view(self.rack.thing()).tubs.into_iter().map(|tub| tub.of).collect();
        let act = cleaned(&of, When::time(self.d.now), spot);
        let lately = |barn: &Barn| barn.view(barn.rack.thing()).tubs.into_iter().filter_map(|tub| tub.lately).collect();
        self.d.act(&act);
        lately(self)
    }
}

fn row(name: &str, tubs: u32, since: &str) -> (String, u32, Option<String>) {
    (name.to_owned(), tubs, (!since.is_empty()).then(|| since.to_owned()))
}

#[test]
fn what_is_cleaned_of_whom() {
    let b = barn();
    let tubs = |of: Thing| -> Vec<(Thing, Vec<String>)> {
        b.view(of).tubs.into_iter().map(|tub| (tub.of, tub.names)).collect()
    };
    let [first, second, third] = b.tubs.each_ref().map(PlaceId::thing);
    let both = vec!["Ash".to_owned(), "Moss".to_owned()];
    let rack = tubs(b.rack.thing());
    assert_eq!(rack.iter().map(|(of, _)| of).collect::<Vec<_>>(), [&first, &second], "an empty tub is left out");
    let mut names = rack[1].1.clone();
    names.sort();
    assert_eq!(names, both, "two in one tub are cleaned once");
    assert_eq!(tubs(third.clone()), [(third, vec![])], "an empty one by itself");
    assert_eq!(tubs(b.bel.thing()), [(first.clone(), vec!["Bel".to_owned()])], "hers is the tub she is in");
    assert_eq!(tubs(b.wren.thing()), [(b.wren.thing(), vec!["Wren".to_owned()])], "who is in no tub stands for it");
    assert_eq!(tubs(b.room.thing()).len(), 3);
    assert!(cleaning_view(&b.d.book, &PlaceId::from("N0NE0000").thing(), b.d.now).is_none());
}

#[test]
fn a_rack_in_one_tap_but_for_one() {
    let mut b = barn();
    b.d.act(&rule(None, Some(7)));
    b.d.later(24);
    let all = b.clean_rack(false);
    assert_eq!(all.len(), 2);
    // Not this one: what was noted of it is taken back, and the others stand.
    let second = b.tubs[1].thing();
    let noted = b.d.book.cleanings(&second).next().expect("noted").id.thing();
    let not_this_one = Withdrawn { thing: noted };
    b.d.act(&not_this_one);
    assert_eq!(b.d.book.cleanings(&second).count(), 0);
    assert!(b.d.book.cleanings(&b.tubs[0].thing()).next().is_some());
    b.d.undo_last();
    assert_eq!(b.d.book.cleanings(&second).count(), 1);
    b.d.act(&not_this_one);
    let view = b.view(b.rack.thing());
    let marked: Vec<bool> = view.tubs.iter().map(|tub| tub.lately.is_some()).collect();
    assert_eq!((marked, view.cleaned), (vec![true, false], Some((When::time(b.d.now), false))));
    // Seven days after they came in, the one that was left out is due; the other, seven days after its cleaning.
    b.d.later(6 * 24);
    let (came, cleaned_on) = ("2026-06-16", "2026-06-17");
    assert_eq!(b.d.now.date().to_string(), came);
    assert_eq!(b.due(), [row("Long room", 1, came), row("Long room · Rack A", 1, came), row("Stray", 1, "")]);
    assert_eq!(b.view(b.rack.thing()).cleaned, None, "marking is for the day itself");
    b.d.later(24);
    assert_eq!(b.d.now.date().to_string(), cleaned_on);
    assert_eq!(b.due()[1], row("Long room · Rack A", 2, came));
    let whole = b.tubs.each_ref().map(PlaceId::thing);
    b.d.act(&cleaned(&whole[..2], When::time(b.d.now), false));
    assert!(b.due().iter().all(|(name, ..)| name != "Long room · Rack A"), "{:?}", b.due());
    b.d.undo_last();
    assert_eq!(b.due()[1], row("Long room · Rack A", 2, came));
}

#[test]
fn what_is_asked_is_the_barns_own_rule() {
    let mut b = barn();
    b.d.later(100 * 24);
    assert_eq!(b.due(), [], "without a rule nothing is asked");
    b.d.act(&rule(Some(BALL), Some(30)));
    assert_eq!(b.due(), [row("Long room · Rack A", 1, "2026-07-09")], "of the tub with one of that species in it");
    b.d.act(&rule(None, Some(90)));
    assert_eq!(b.due()[1], row("Long room · Rack A", 2, "2026-07-09"), "the shortest counts where two are together");
    // A spot clean is noted, and the next whole one is due all the same.
    b.clean_rack(true);
    assert_eq!(b.due()[1], row("Long room · Rack A", 2, "2026-07-09"));
    let lines = b.view(b.tubs[0].thing());
    assert_eq!(lines.past.iter().map(|line| line.spot).collect::<Vec<_>>(), [true]);
    assert_eq!((lines.tubs[0].last, lines.tubs[0].lately.is_some()), (None, true));
    b.d.act(&rule(None, None));
    b.d.act(&rule(Some(BALL), None));
    assert_eq!(b.due(), []);
    assert_eq!(b.d.draft(&rule(None, None)), Err(Refusal::NothingChanged));
    assert_eq!(b.d.draft(&rule(Some(CORN), None)), Err(Refusal::NothingChanged));
    for wrong in [rule(None, Some(0)), rule(None, Some(366)), rule(Some("a-unicorn"), Some(7))] {
        assert!(matches!(b.d.draft(&wrong), Err(Refusal::Missing { .. })), "{wrong:?}");
    }
}

#[test]
fn two_devices_write_one_rule() {
    let (mut ines, mut tobin) = (Device::new(1), Device::new(2));
    ines.act(&rule(Some(CORN), Some(7)));
    tobin.act(&rule(Some(CORN), Some(14)));
    ines.hear(&tobin.lines.clone());
    assert_eq!(ines.book.all_cleaning_rules().count(), 1);
    assert!(matches!(ines.book.cleaning_days(Some(CORN)), Some(7 | 14)));
    assert_eq!(ines.book.cleaning_days(Some(BALL)), None);
}

/// Put off until a day, and shown among what was put off.
#[test]
fn a_rack_can_wait_until_tomorrow() {
    let mut b = barn();
    b.d.act(&rule(None, Some(3)));
    b.d.later(5 * 24);
    let rack = |b: &Barn| {
        let (due, later) = walk(&b.d.book, b.d.now);
        let of = |due: &Due| due.kind == DueKind::Cleaning && due.thing == b.rack.thing();
        (due.iter().find(|due| of(due)).cloned(), later.iter().any(|(due, _)| of(due)))
    };
    let (row, later) = rack(&b);
    let row = row.expect("due");
    assert!(row.kind.can_wait() && row.act == DueAct::Clean && !later);
    b.d.act(&Snoozed { row: row.row(), until: b.d.now.date().succ_opt() });
    assert_eq!(rack(&b), (None, true));
    b.d.later(24);
    assert!(rack(&b).0.is_some());
}

#[test]
fn who_is_apart_is_done_last() {
    let mut b = barn();
    b.d.act(&rule(None, Some(1)));
    let card = QuarantineCard { from: Some(When::day(b.d.now.date())), ..QuarantineCard::default() };
    b.d.act(&SetApart { things: vec![b.bel.thing()], card: card.clone() });
    let order = |b: &Barn| b.view(b.rack.thing()).tubs.into_iter().map(|tub| (tub.tub, tub.apart)).collect::<Vec<_>>();
    // She is apart, and so is the tub she is in.
    assert_eq!(order(&b), [("A2".to_owned(), false), ("A1".to_owned(), true)]);
    b.d.later(24);
    let rows = |b: &Barn| {
        let rows = rounds(&b.d.book, b.d.now).into_iter().filter(|due| due.kind == DueKind::Cleaning);
        rows.map(|due| (due.name, due.apart)).collect::<Vec<_>>()
    };
    let (room, rack, stray) = ("Long room".to_owned(), "Long room · Rack A".to_owned(), "Stray".to_owned());
    assert_eq!(rows(&b), [(room.clone(), false), (rack.clone(), false), (stray.clone(), false)]);
    b.d.act(&SetApart { things: vec![b.rack.thing()], card });
    assert_eq!(rows(&b), [(room, false), (stray, false), (rack, true)]);
}

#[test]
fn a_cleaning_is_put_right() {
    let mut b = barn();
    b.d.act(&rule(None, Some(7)));
    b.d.later(10 * 24);
    let tub = b.tubs[0].thing();
    b.d.act(&cleaned(std::slice::from_ref(&tub), When::time(b.d.now), false));
    let id = b.d.book.cleanings(&tub).next().expect("noted").id.clone();
    let stands = CleaningEdited::of(&b.d.book, &id, when("2026-06-01")).expect("there");
    assert_eq!(b.d.draft(&stands), Err(Refusal::NothingChanged));
    b.d.act(&CleaningEdited { when: when("2026-06-12"), note: "And the water bowl.".into(), ..stands.clone() });
    assert_eq!(b.view(tub.clone()).tubs[0].next, NextCleaning::On("2026-06-19".parse().expect("a day")));
    b.d.act(&CleaningEdited { spot: true, ..CleaningEdited::of(&b.d.book, &id, stands.when).expect("there") });
    assert_eq!(b.view(tub.clone()).tubs[0].next, NextCleaning::On("2026-06-16".parse().expect("a day")));
    let tomorrow = When::time(b.d.now + chrono::TimeDelta::days(1));
    assert_eq!(
        b.d.draft(&CleaningEdited { when: tomorrow, ..stands.clone() }),
        Err(Refusal::InFuture { what: "cleaning" })
    );
    assert!(!may_redate(Kind::Cleaning), "its own form checks its date");
    let none = CleaningEdited { cleaning: "N0NE0000".into(), ..stands };
    assert!(matches!(b.d.draft(&none), Err(Refusal::NoSuch { .. })));
}

#[test]
fn what_cannot_be_or_is_unlikely() {
    let mut b = barn();
    let (now, tub) = (When::time(b.d.now), b.tubs[0].thing());
    assert!(matches!(b.d.draft(&cleaned(&[], now, false)), Err(Refusal::Missing { .. })));
    assert!(matches!(b.d.draft(&cleaned(&[tub.clone(), tub.clone()], now, false)), Err(Refusal::Twice { .. })));
    let nowhere = PlaceId::from("N0NE0000").thing();
    assert!(matches!(b.d.draft(&cleaned(&[nowhere], now, false)), Err(Refusal::NoSuch { .. })));
    b.d.act(&cleaned(std::slice::from_ref(&tub), now, false));
    let doubts = |b: &Barn, of: &[Thing], spot| cleaned(of, When::time(b.d.now), spot).doubts(&b.d.book, b.d.now);
    assert_eq!(doubts(&b, std::slice::from_ref(&tub), false), [Doubt::CleanedAlready { count: 1 }]);
    assert_eq!(doubts(&b, std::slice::from_ref(&tub), true), [], "a spot in the evening is no second tap");
    let card = AnimalCard::of(&b.d.book, &b.wren).expect("there");
    b.d.act(&AnimalEdited { animal: b.wren.clone(), card: AnimalCard { went: Some(Went::Sold), ..card } });
    assert_eq!(doubts(&b, &[b.wren.thing()], false), [Doubt::Gone { name: "Wren".into() }]);
    let view = b.view(b.wren.thing());
    assert_eq!((view.tubs.len(), view.past.len()), (0, 0));
}
