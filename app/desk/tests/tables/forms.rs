//! What was typed on a page → the act, or the sentence beside its field.

use crate::common::*;
use book::acts::{Act, AnimalAdded, AnimalCard, BoxEdited, BoxSetup, ClutchCard, EggCard, PairingCard};
use book::records::Counts;
use book::words::{Fate, Mix};
use book::{ClutchId, ContactId, EggId, FillingId, PlaceId};
use desk::forms::boxes::{LaterForm, SET_ON, SetupForm, taken, taken_mass};
use desk::forms::clutch::ClutchForm;
use desk::forms::eggs::{ENDED, EggForm, LeaveForm};
use desk::forms::pairing::{INTRODUCED, PairingForm};
use desk::forms::places::{NewPlace, PlaceForm, incident};
use desk::forms::pull::{BoxForm, PullForm};
use desk::forms::water::{WaterAct, WaterForm};
use desk::forms::weights::{many_weighed, offered};
use desk::forms::{How, Laid, WishForm};
use desk::{Entry, Units, Wrong};
use trade::units::{Mass, Temp};
use trade::when::When;

const METRIC: Units = Units { ounces: false, fahrenheit: false };
const US: Units = Units { ounces: true, fahrenheit: true };

fn now() -> When {
    When::day(today())
}

fn told<T: std::fmt::Debug>(built: Result<T, Wrong>) -> Vec<(String, String)> {
    let Err(Wrong(errors)) = built else { panic!("{built:?}") };
    errors.into_iter().map(|error| (error.field, error.sentence)).collect()
}

#[test]
fn a_pull_keeps_every_mass_or_says_which_it_cannot_read() {
    let mut form = pull(METRIC);
    form.boxes[0].dry.typed = "8 oz".into();
    form.boxes[0].water.typed = "0,2 l".into();
    form.boxes[1].closed.typed = "1,486".into();
    form.spent.typed = "2 lb 3 oz".into();
    let act = form.act(METRIC, today()).expect("all of it can be read");
    assert_eq!((act.boxes[0].dry, act.boxes[0].water), (Some(Mass(226_796)), Some(Mass(200_000))));
    assert_eq!(act.boxes[0].eggs, Some(vec![0, 1, 2, 3]));
    assert_eq!((act.boxes[1].dry, act.boxes[1].closed), (Some(Mass(450_123)), Some(Mass(1_486_000))));
    assert_eq!(act.boxes[1].mix, None, "both were weighed");
    // Untouched to the milligram, and on the day it was weighed.
    assert_eq!((act.card.gravid, act.card.gravid_on), (Some(Mass(1_486_777)), None));
    assert_eq!((act.card.spent, act.card.spent_on), (Some(Mass(992_233)), Some(today())));
    assert_eq!(act.card.counts, Some(Counts { good: 6, dud: 1, slug: 2 }));

    let mut form = pull(METRIC);
    form.boxes[0].water.typed = "l2,5".into();
    form.boxes[1].closed.typed = "3l.5".into();
    form.gravid.typed = "98O".into();
    form.good.typed = "1000".into();
    form.clumps = "A-Z".into();
    let fields: Vec<String> = told(form.act(METRIC, today())).into_iter().map(|(field, _)| field).collect();
    assert_eq!(fields, ["Good", "Dam before laying", "Clumps", "Box 1: water", "Box 2: box weight, lid on"]);
}

#[test]
fn a_mix_that_was_not_weighed_has_no_masses_and_one_that_was_keeps_them_for_the_next_box() {
    let mut form = pull(METRIC);
    form.boxes[0].unknown = true;
    let act = form.act(METRIC, today()).expect("read");
    assert_eq!((act.boxes[0].dry, act.boxes[0].water), (None, None));
    assert!(act.boxes[0].mix.is_some());
    let next = BoxForm::new(form.boxes[1].next(METRIC), None, Some(3), METRIC);
    assert_eq!(next.dry.glance(METRIC), Some(450_123));
    assert_eq!(next.ratio(METRIC).map(|ratio| (ratio * 1000.0).round()), Some(801.0));
}

#[test]
fn the_day_of_laying_is_asked_where_it_is_wanting() {
    let mut form = pull(METRIC);
    form.laid = Laid { how: How::Day, from: String::new(), ..form.laid };
    assert_eq!(told(form.act(METRIC, today())), [("Laid on".into(), "Laid on: choose a day.".into())]);
    form.laid = Laid { how: How::Span, from: "2026-06-28".into(), to: "2026-06-30".into(), ..form.laid };
    assert_eq!(form.act(METRIC, today()).expect("read").card.laid, "2026-06-28/2026-06-30".parse().ok());
    form.laid = Laid { how: How::Unseen, ..form.laid };
    assert_eq!(form.act(METRIC, today()).expect("read").card.laid, None);
}

#[test]
fn a_clutch_that_nobody_saw_laid_was_found_on_a_day() {
    let mut form = clutch(METRIC);
    form.laid = Laid { how: How::Unseen, ..form.laid };
    let act = |form: &ClutchForm| form.act(&clutch_card(), METRIC, today());
    assert_eq!(told(act(&form)), [("Found on".into(), "Found on: choose a day.".into())]);
    form.found = "2026-06-30".into();
    let card = act(&form).expect("read").card;
    assert_eq!((card.laid, card.found), (None, "2026-06-30".parse().ok()));
    // Opened again it says so, and a save that changes nothing keeps it.
    let again = ClutchForm::new(form.clutch, card.clone(), today(), METRIC);
    assert_eq!(again.laid.how, How::Unseen);
    assert_eq!(again.act(&card, METRIC, today()).expect("read").card, card);
}

#[test]
fn what_may_be_the_sire_stands_until_something_else_is_chosen() {
    let mut base = pull(METRIC).base;
    (base.card.unknown_male, base.card.no_male) = (true, false);
    let mut form = PullForm::new(base, None, today(), METRIC);
    let kept = |form: &PullForm| form.act(METRIC, today()).map(|act| (act.card.unknown_male, act.card.no_male));
    assert_eq!(kept(&form), Ok((true, false)));
    (form.unknown_male, form.no_male) = (false, true);
    assert_eq!(kept(&form), Ok((false, true)));

    // Of a correction each by itself: chosen here, or as somebody else wrote it meanwhile.
    let mut form = clutch(METRIC);
    let theirs = ClutchCard { unknown_male: true, sires: vec!["S".into()], ..clutch_card() };
    assert_eq!(form.act(&theirs, METRIC, today()).expect("read").card, theirs);
    form.no_male = true;
    let card = form.act(&theirs, METRIC, today()).expect("read").card;
    assert_eq!(card, ClutchCard { no_male: true, ..theirs });
}

#[test]
fn eggs_left_with_their_mother_are_asked_nothing_of_boxes() {
    let mut form = pull(METRIC);
    assert!(!form.act(METRIC, today()).expect("read").left);
    form.boxes[0].share.typed = "l2".into();
    assert!(form.act(METRIC, today()).is_err());
    form.left = true;
    let act = form.act(METRIC, today()).expect("read");
    assert!(act.left && act.boxes.is_empty());
    // The counts may be none, but what is typed there must be figures.
    (form.good.typed, form.dud.typed, form.slug.typed) = ("0".into(), String::new(), "0".into());
    assert_eq!(form.act(METRIC, today()).expect("read").card.counts, Some(Counts::default()));
    form.good.typed = "3l".into();
    assert!(form.act(METRIC, today()).is_err());
}

#[test]
fn an_eggs_page_writes_only_what_was_typed() {
    let untouched = egg(METRIC);
    assert_eq!(untouched.act(METRIC, today()).expect("read").card, untouched.card);
    assert_eq!(egg(US).act(US, today()).expect("read").card, untouched.card);
    let mut form = egg(METRIC);
    form.length.typed = "3.2 cm".into();
    let act = form.act(METRIC, today()).expect("read");
    assert_eq!(act.card, EggCard { len_um: Some(32_000), ..untouched.card.clone() });
    form.length.typed = "3l.5".into();
    assert_eq!(told(form.act(METRIC, today()))[0].0, "Length");
    form.length.typed = " ".into();
    assert_eq!(form.act(METRIC, today()).expect("cleared").card.len_um, None);
    form.length.typed = "12".into();
    assert_eq!(told(form.act(METRIC, today()))[0].0, "Width", "shorter than it is wide");
    // Somebody else weighed it meanwhile.
    let meanwhile = EggCard { mass: Some(Mass(12_000)), ..untouched.card.clone() };
    let mut form = egg(METRIC);
    (form.card, form.width.typed) = (meanwhile.clone(), "15.5".into());
    assert_eq!(form.act(METRIC, today()).expect("read").card, EggCard { wid_um: Some(15_500), ..meanwhile });
}

#[test]
fn eggs_that_leave_weigh_together_what_was_typed() {
    let eggs = ["A", "B", "C"].map(EggId::from).to_vec();
    let mut form = LeaveForm { eggs, fate: Fate::Removed, mass: LeaveForm::mass(), why: " wet ".into() };
    form.mass.typed = "8 oz".into();
    let act = form.act(METRIC, now()).expect("read");
    assert_eq!(act.masses.values().copied().sum::<Mass>(), Mass(226_796), "no milligram is lost by sharing");
    assert_eq!((act.masses.len(), act.why.as_str()), (3, "wet"));
    form.mass.typed = "8 ozz".into();
    assert_eq!(told(form.act(METRIC, now()))[0].0, "What they weigh together");
    form.mass.typed = String::new();
    assert!(form.act(METRIC, now()).expect("not weighed").masses.is_empty());
}

#[test]
fn water_is_what_the_scale_says_and_what_was_added() {
    let start = || WaterForm::new(FillingId::from("BOX"), fill_to(2_411));
    let checked = |form: &WaterForm, units| match form.act(units, now()) {
        Ok(WaterAct::Checked(act)) => (act.mass, act.added),
        other => panic!("{other:?}"),
    };
    let mut form = start();
    form.reading.typed = "1,486".into();
    assert_eq!(form.reading.how(METRIC).as_deref(), Some("Read as 1486 g."));
    form.added.offer(form.offered(METRIC), METRIC);
    assert_eq!(checked(&form, METRIC), (Mass(1_486_000), Some(Mass(925_000))));
    for (typed, added) in [
        ("0", None),
        ("", None),
        ("20", Some(Mass(20_000))),
        ("0.02 l", Some(Mass(20_000))),
        ("1 oz", Some(Mass(28_350))),
    ] {
        form.added.typed = typed.into();
        assert_eq!(checked(&form, METRIC).1, added, "{typed}");
    }
    form.added.typed = "-20".into();
    let refused = told(form.act(METRIC, now()));
    assert_eq!(refused, [("Water added".into(), "Water added: −20 g is less than zero. Type 0 or more.".into())]);
    // A reading put right offers another figure and leaves what was typed.
    (form.added.typed, form.reading.typed) = ("21".into(), "2400".into());
    form.added.offer(form.offered(METRIC), METRIC);
    assert_eq!(checked(&form, METRIC), (Mass(2_400_000), Some(Mass(21_000))));
    // What is offered in ounces is added to the milligram.
    let mut form = start();
    form.reading.typed = "2400 g".into();
    form.added.offer(form.offered(US), US);
    assert_eq!(form.added.typed, "0.39");
    assert_eq!(checked(&form, US), (Mass(2_400_000), Some(Mass(11_000))));
    let missing = told(start().act(US, now()));
    assert_eq!(missing[0].1, "The scale says: type a weight, like 8.5 oz, 1 lb 3 oz or 240 g.");
    let mut form = WaterForm { new_lid: true, ..start() };
    (form.reading.typed, form.added.typed) = ("1.5 kg".into(), "20".into());
    assert_eq!(told(form.act(METRIC, now()))[0].0, "Water added");
    form.added.typed = String::new();
    assert!(matches!(form.act(METRIC, now()), Ok(WaterAct::Baseline(act)) if act.mass == Mass(1_500_000)));
}

#[test]
fn babies_are_named_by_their_egg() {
    let mut form = hatch(&["A", "C"]);
    form.babies[0].mass.typed = "9,4".into();
    form.babies[1].mass.typed = "heavy".into();
    let wrong = told(form.act(METRIC));
    assert_eq!(wrong.len(), 1);
    assert!(wrong[0].1.starts_with("Baby C: weight: “heavy” is not a weight."), "{wrong:?}");
    form.babies[1].mass.typed = "0.3 oz".into();
    let masses: Vec<_> = form.act(METRIC).expect("read").babies.iter().map(|baby| baby.mass).collect();
    assert_eq!(masses, [Some(Mass(9_400)), Some(Mass(8_505))]);
}

#[test]
fn a_clutch_follows_what_others_wrote_where_nobody_typed_here() {
    let card = clutch_card();
    assert_eq!(clutch(US).act(&card, US, today()).expect("read").card, card);
    let meanwhile =
        ClutchCard { spent: Some(Mass(999_999)), note: "by another".into(), number: "8".into(), ..card.clone() };
    let mut form = clutch(METRIC);
    form.weights[2].mass.typed = "310".into();
    let act = form.act(&meanwhile, METRIC, today()).expect("read");
    assert_eq!(act.card, ClutchCard { mass: Some(Mass(310_000)), ..meanwhile });
    let mut form = clutch(METRIC);
    (form.weights[0].mass.typed, form.weights[0].day) = (String::new(), "2026-06-30".into());
    assert_eq!(told(form.act(&card, METRIC, today()))[0].0, "Dam before laying");
    form.weights[0].day = "30 June".into();
    assert_eq!(told(form.act(&card, METRIC, today()))[0].0, "Dam before laying: day");
}

#[test]
fn a_wish_is_saved_with_the_person_when_any_of_it_was_filled_in() {
    let blank = WishForm {
        contact: ContactId::from("P"),
        species: None,
        what: String::new(),
        sex: None,
        count: WishForm::count(),
    };
    assert!(blank.act_if_any().expect("nothing to save").is_none());
    let wish = |change: fn(&mut WishForm)| {
        let mut form = blank.clone();
        change(&mut form);
        form.act_if_any()
    };
    let act = wish(|form| form.what = "a female, het anery".into()).expect("read").expect("a wish");
    assert_eq!((act.what.as_str(), act.count), ("a female, het anery", 1));
    assert_eq!(told(wish(|form| form.count.typed = "2".into()))[0].0, WishForm::WHAT);
    assert_eq!(told(wish(|form| (form.what, form.count.typed) = ("one".into(), "3l.5".into())))[0].0, "How many");
}

#[test]
fn shelves_and_their_temperatures_are_all_read() {
    let mut form = PlaceForm::new(Some(Temp(2_822)), METRIC);
    (form.shelves.typed, form.each[1].typed) = ("3".into(), "82F".into());
    let Ok(NewPlace::Incubator(act)) = form.act(METRIC) else { panic!("an incubator") };
    let temps: Vec<_> = act.shelves.iter().map(|(_, temp)| *temp).collect();
    assert_eq!(temps, [Some(Temp(2_822)), Some(Temp(2_778)), Some(Temp(2_822))]);
    (form.each[1].typed, form.shelves.typed) = ("820".into(), "100".into());
    let fields: Vec<String> = told(form.act(METRIC)).into_iter().map(|(field, _)| field).collect();
    assert_eq!(fields, ["Shelves, top to bottom", "Shelf 2"]);
}

#[test]
fn a_counter_counts_within_its_bounds_and_leaves_what_it_cannot_read() {
    let mut good = pull(METRIC).good;
    good.step(1);
    assert_eq!((good.typed.as_str(), good.count()), ("7", 7));
    for _ in 0..9 {
        good.step(-1);
    }
    assert_eq!(good.count(), 0);
    good.typed = "120".into();
    good.step(1);
    assert_eq!(good.count(), 120);
    good.typed = "3l.5".into();
    good.step(1);
    assert_eq!(good.typed, "3l.5");
    good.typed = " ".into();
    good.step(1);
    assert_eq!(good.count(), 1);
}

#[test]
fn nobody_weighed_is_said_at_the_first_field() {
    let rows = ["Bel", "Moss"]
        .map(|name| (book::AnimalId::from(name), Entry::blank(desk::forms::weights::weight_of(name, None))));
    assert_eq!(
        told(many_weighed(&rows, now(), METRIC)),
        [("Bel: weight".into(), "Bel: weight: type what the scale shows first.".into())]
    );
}

#[test]
fn days_are_read_or_told_at_their_field() {
    use desk::day::{Moment, UNFINISHED, seen_on};
    assert_eq!(seen_on("Day", "2026-06-30", today()), Ok("2026-06-30".parse().expect("a day")));
    for (typed, sentence) in [
        ("", "Day: choose a day."),
        (UNFINISHED, "Day: the day is not finished. Choose day, month and year, or clear it."),
        ("30.6.2026", "Day: the day is not finished. Choose day, month and year, or clear it."),
        ("2026-07-02", "Day: this day is in the future. Choose today or an earlier one."),
    ] {
        assert_eq!(told(seen_on("Day", typed, today())), [("Day".into(), sentence.into())], "{typed}");
    }
    let names = ("Happened", "At");
    // Kept with its time, and as a span, while nobody types.
    for before in ["2026-06-30T06:40", "2026-06-28/2026-06-30", "2026-06-30"] {
        let before: When = before.parse().expect("a fixture");
        assert_eq!(Moment::new(Some(before), today()).get(names, Some(before), today()), Ok(before));
    }
    let moment = |day: &str, time: &str| Moment { day: day.into(), time: time.into() }.get(names, None, today());
    assert_eq!(moment("2026-06-30", "06:40"), Ok("2026-06-30T06:40".parse().expect("a fixture")));
    assert_eq!(moment("2026-06-30", " "), Ok("2026-06-30".parse().expect("a fixture")));
    assert_eq!(told(moment("", UNFINISHED)).len(), 2);
    // Noted as it happens, however long the page stood open: the moment of the tap, unless another is typed.
    let evening = today().and_hms_opt(20, 0, 0).expect("a moment");
    let tap = |day: &str, time: &str| Moment { day: day.into(), time: time.into() }.get_at_tap(names, evening);
    assert_eq!(Moment::at_tap().get_at_tap(names, evening), Ok(When::time(evening)));
    assert_eq!(tap("", "06:40"), Ok(When::time(today().and_hms_opt(6, 40, 0).expect("a moment"))));
    assert_eq!(tap("2026-06-30", ""), Ok("2026-06-30".parse().expect("a fixture")));
    for (day, time) in [("2026-07-02", ""), (UNFINISHED, ""), ("", UNFINISHED)] {
        assert_eq!(told(tap(day, time)).len(), 1, "{day} {time}");
    }
}

fn setup(units: Units) -> SetupForm {
    let setup = BoxSetup {
        mix: Some(Mix::Mass),
        dry: Some(Mass(450_123)),
        water: Some(Mass(360_456)),
        closed: Some(Mass(1_486_777)),
        ..BoxSetup::default()
    };
    SetupForm::new(
        BoxEdited { filling: FillingId::from("BOX"), setup, name: "Blue".into(), from: None, to: None },
        units,
    )
}

fn fix(form: &SetupForm, units: Units) -> Result<BoxEdited, Wrong> {
    form.act(&form.before, units, today())
}

#[test]
fn how_a_box_was_set_stands_to_the_milligram_and_without_masses_is_not_weighed() {
    let act = fix(&setup(US), US).expect("untouched");
    assert_eq!((act.setup.dry, act.setup.water), (Some(Mass(450_123)), Some(Mass(360_456))));
    assert_eq!((act.setup.closed, act.setup.mix), (Some(Mass(1_486_777)), Some(Mix::Mass)));
    let mut form = setup(METRIC);
    form.water.typed.clear();
    form.closed.typed = "1.5 kg".into();
    let act = fix(&form, METRIC).expect("read");
    assert_eq!((act.setup.water, act.setup.closed), (None, Some(Mass(1_500_000))));
    assert_eq!(act.setup.mix, Some(Mix::Unknown));
    form.closed.typed = "1.5 kilometres".into();
    assert_eq!(told(fix(&form, METRIC))[0].0, "Box weight when set, lid on");
}

#[test]
fn what_is_put_in_is_taken_out_below_nothing_and_asks_for_its_mass() {
    let mut mass = taken_mass();
    let act = |mass: &Entry, out| taken(FillingId::from("BOX"), (mass, out), " moss ", now(), METRIC);
    assert_eq!(told(act(&mass, true))[0].0, "Its mass");
    mass.typed = "12.5".into();
    let put_in = act(&mass, false).expect("read");
    assert_eq!((put_in.mass, put_in.what.as_str()), (Mass(-12_500), "moss"));
    assert_eq!(act(&mass, true).expect("read").mass, Mass(12_500));
}

#[test]
fn later_eggs_have_a_day_of_their_own_only_where_one_is_chosen() {
    let mut form = LaterForm::new(ClutchId::from("CLUTCH"));
    form.counts[0].typed = "2".into();
    form.mass.typed = "21,4".into();
    let act = |form: &LaterForm| form.act("Laid on", now(), today(), METRIC);
    let read = act(&form).expect("read");
    assert_eq!((read.counts, read.laid, read.mass), (Counts { good: 2, dud: 0, slug: 0 }, None, Some(Mass(21_400))));
    form.laid = "2026-06-30".into();
    assert_eq!(act(&form).expect("read").laid, "2026-06-30".parse().ok());
    form.laid = desk::day::UNFINISHED.into();
    form.counts[2].typed = "two".into();
    let fields: Vec<String> = told(act(&form)).into_iter().map(|(field, _)| field).collect();
    assert_eq!(fields, ["Slugs", "Laid on"]);
    form.laid = "2026-07-02".into();
    assert!(told(act(&form))[1].1.contains("is in the future"));
}

#[test]
fn an_incident_says_what_happened() {
    let told_of = |what: &str| incident(PlaceId::from("SHELF"), (now(), None), what, String::new());
    assert_eq!(told(told_of("  ")), [("What happened".into(), "What happened: type it first.".into())]);
    let act = told_of(" power cut ").expect("said");
    assert_eq!((act.what.as_str(), act.places, act.to), ("power cut", vec![PlaceId::from("SHELF")], None));
}

#[test]
fn the_day_an_eggs_story_ended_is_kept_corrected_or_told_at_its_field() {
    let span: When = "2026-06-20/2026-06-24".parse().expect("a fixture");
    let card = EggCard { fate: Some(Fate::Died), fate_when: Some(span), ..egg(METRIC).card };
    let mut form = EggForm::new(EggId::from("EGG"), card, METRIC);
    assert_eq!(form.act(METRIC, today()).expect("untouched").card.fate_when, Some(span));
    form.card.fate_when = Some(now());
    assert_eq!(form.act(METRIC, today()).expect("untouched").card.fate_when, Some(now()), "as it stands by now");
    form.ended = "2026-06-25".into();
    assert_eq!(form.act(METRIC, today()).expect("read").card.fate_when, "2026-06-25".parse().ok());
    for typed in [desk::day::UNFINISHED, "2026-07-02"] {
        form.ended = typed.into();
        assert_eq!(told(form.act(METRIC, today()))[0].0, ENDED);
    }
}

#[test]
fn a_day_that_stands_may_be_another_and_is_not_emptied() {
    let was = Some("2026-05-01".parse().expect("a day"));
    let setup = BoxSetup::default();
    let set = BoxEdited { filling: FillingId::from("F"), setup, name: String::new(), from: was, to: None };
    let mut form = SetupForm::new(set.clone(), METRIC);
    form.from = "  ".into();
    let errors = told(form.act(&set, METRIC, today()));
    assert_eq!(errors.iter().map(|(field, _)| field.as_str()).collect::<Vec<_>>(), [SET_ON]);
    let unknown = BoxEdited { from: None, ..set };
    assert!(SetupForm::new(unknown.clone(), METRIC).act(&unknown, METRIC, today()).is_ok(), "none was ever noted");
    let pairing = PairingCard { dams: vec!["D".into()], when: was, ..PairingCard::default() };
    let mut form = PairingForm::new(pairing.clone());
    form.introduced = String::new();
    let errors = told(form.card(&pairing, today()));
    assert_eq!(errors.iter().map(|(field, _)| field.as_str()).collect::<Vec<_>>(), [INTRODUCED]);
}

#[test]
fn a_hatchling_is_offered_its_shed_first_and_nothing_of_laying() {
    use book::words::AnimalEventWhat::*;
    let mut book = crate::untouched::barn();
    let mut n = 10;
    let mut of = |born: Option<&str>, sex: Option<book::words::Sex>| {
        n += 1;
        let born = born.map(|day| day.parse().expect("a day"));
        let card = AnimalCard { name: format!("No. {n}"), born, sex, ..AnimalCard::default() };
        let act = AnimalAdded { id: None, card, place: None };
        let now = today().and_hms_opt(20, 0, 0).expect("an hour");
        let draft = act.draft(&book, now, &mut || journal::Id::mint([n; 5])).expect("an animal");
        let id = book::acts::made(&draft, book::Kind::Animal).expect("one").id;
        crate::untouched::take(&mut book, n, draft);
        offered(&book, &id.as_str().into(), today())
    };
    let days_ago = |days| (today() - chrono::TimeDelta::days(days)).to_string();
    for (born, sex) in [(Some(&*days_ago(3)), None), (Some(&*days_ago(150)), Some(book::words::Sex::Female))] {
        assert_eq!(of(born, sex), [Shed], "{born:?}");
    }
    assert_eq!(of(Some(&days_ago(900)), Some(book::words::Sex::Male)), [Shed]);
    for born in [Some(&*days_ago(900)), None] {
        let hers = of(born, Some(book::words::Sex::Female));
        assert!(hers.contains(&Ovulation) && hers.contains(&Straining), "{born:?}: {hers:?}");
    }
}
