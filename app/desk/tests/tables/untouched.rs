//! Every form that edits, opened on every record of a whole barn and saved as it opened: nothing changes. And opened while
//! somebody else writes every field: theirs stands.

use crate::common::{UNITS, today};
use book::acts::*;
use book::records::{Shape, Species};
use book::words::*;
use book::{Book, Kind, PlaceId, Thing};
use chrono::NaiveDateTime;
use desk::day::Moment;
use desk::forms::animal::AnimalForm;
use desk::forms::boxes::SetupForm;
use desk::forms::care::{ApartForm, TreatmentForm};
use desk::forms::clutch::ClutchForm;
use desk::forms::cooling::{self, CoolingForm};
use desk::forms::correct::*;
use desk::forms::eggs::EggForm;
use desk::forms::money::CostForm;
use desk::forms::pairing::PairingForm;
use desk::forms::places::PlaceEditForm;
use desk::forms::traits::TraitForm;
use desk::forms::weights::EventForm;
use desk::forms::{HoldForm, SpeciesForm, WishFixForm, counts};
use desk::{Units, Wrong};
use journal::{Draft, Entry, Id, Identity, Keypair, Tip, Wall, seal};
use std::collections::BTreeMap;
use trade::units::{Mass, Temp};
use trade::when::When;

/// The invented season, which holds some of everything.
pub fn barn() -> Book {
    let lines = book::demo::season(today());
    let first = Entry::read(&lines[0]).expect("readable");
    let mut book = Book::new(first.book);
    for line in &lines {
        book.take(line).expect("folds");
    }
    book
}

fn evening() -> NaiveDateTime {
    today().and_hms_opt(20, 0, 0).expect("an hour")
}

fn things(book: &Book, kind: Kind) -> Vec<Thing> {
    book.journal().records(kind.word()).map(|(id, _)| Thing::new(kind, id)).collect()
}

/// The date fields of a page that nobody touched.
fn as_it_was(when: When) -> When {
    Moment::new(Some(when), today()).get(("Happened", "At"), Some(when), today()).expect("untouched")
}

type Built = Result<Box<dyn Act>, Wrong>;

fn boxed(act: impl Act + 'static) -> Built {
    Ok(Box::new(act))
}

/// What the page that edits a record comes to, untouched; `None` where no page edits records of its kind.
fn untouched(book: &Book, thing: &Thing, units: Units) -> Option<Built> {
    let (id, day) = (thing.id.as_str(), When::day(today()));
    use Kind::*;
    Some(match thing.kind {
        Animal => {
            let animal = book::AnimalId::from(id);
            let now = AnimalCard::of(book, &animal)?;
            let card = AnimalForm::new(now.clone(), book.currency()).card(&now, today());
            card.and_then(|card| boxed(AnimalEdited { animal, card }))
        }
        Place => {
            let now = PlaceCard::of(book, &id.into())?;
            PlaceEditForm::new(now.clone(), units).act(id.into(), &now, units).and_then(boxed)
        }
        Filling => {
            let now = BoxEdited::of(book, &id.into())?;
            SetupForm::new(now.clone(), units).act(&now, units, today()).and_then(boxed)
        }
        Clutch => {
            let now = ClutchCard::of(book, &id.into())?;
            ClutchForm::new(id.into(), now.clone(), today(), units).act(&now, units, today()).and_then(boxed)
        }
        Egg => {
            let now = EggCard::of(book, &id.into())?;
            EggForm::new(id.into(), now, units).act(units, today()).and_then(boxed)
        }
        Pairing => {
            let now = PairingCard::of(book, &id.into())?;
            let card = PairingForm::new(now.clone()).card(&now, today());
            card.and_then(|card| boxed(PairingEdited { pairing: id.into(), card }))
        }
        Species => {
            let now = book.own_species(&id.into())?.clone();
            SpeciesForm::new(id.into(), now.clone(), units).act(&now, units).and_then(boxed)
        }
        Trait => {
            let facts = book.trait_facts(id)?;
            let card = TraitForm::new(facts.card.clone()).card(&facts.card);
            card.and_then(|card| boxed(TraitSet { key: Some(facts.key), card }))
        }
        AnimalEvent => {
            let now = AnimalEventEdited::of(book, &id.into(), day)?;
            EventForm::new(now.clone(), units).act(as_it_was(now.when), &now, units).and_then(boxed)
        }
        Meal => {
            let now = MealEdited::of(book, &id.into(), day)?;
            boxed(MealForm::new(now.clone()).act(as_it_was(now.offered), &now))
        }
        Dose => {
            let now = DoseEdited::of(book, &id.into(), day)?;
            boxed(DoseForm::new(now.clone()).act(as_it_was(now.when), &now))
        }
        Cleaning => {
            let now = CleaningEdited::of(book, &id.into(), day)?;
            boxed(CleaningForm::new(now.clone()).act(as_it_was(now.when), &now))
        }
        Candling => {
            let now = CandlingEdited::of(book, &id.into(), day)?;
            boxed(CandlingForm::new(now.clone(), book).act(as_it_was(now.when), &now))
        }
        Reading => {
            let now = ReadingEdited::of(book, &id.into(), day)?;
            ReadingForm::new(now.clone(), units).act(as_it_was(now.when), &now, units).and_then(boxed)
        }
        SetPoint => {
            let now = SetPointEdited::of(book, &id.into(), day)?;
            SetPointForm::new(now.clone(), units).act(as_it_was(now.from), &now, units).and_then(boxed)
        }
        Incident => {
            let now = IncidentEdited::of(book, &id.into(), day)?;
            let moments = (as_it_was(now.from), now.to.map(as_it_was));
            IncidentForm::new(now.clone()).act(moments, &now).and_then(boxed)
        }
        Water => {
            let now = WaterEdited::of(book, &id.into(), day)?;
            WaterFixForm::new(now.clone(), units).act(as_it_was(now.when), &now, units).and_then(boxed)
        }
        TakenOut => {
            let now = TakenOutEdited::of(book, &id.into(), day)?;
            TakenForm::new(now.clone(), units).act(as_it_was(now.when), &now, units).and_then(boxed)
        }
        Note => {
            let now = NoteEdited::of(book, &id.into(), day)?;
            boxed(NoteForm { text: now.text.clone(), before: now.clone() }.act(as_it_was(now.when), &now))
        }
        Photo => {
            let now = PhotoEdited::of(book, &id.into(), day)?;
            boxed(PhotoForm { note: now.note.clone(), before: now.clone() }.act(as_it_was(now.when), &now))
        }
        Wish => {
            let now = WishEdited::of(book, &id.into(), day)?;
            let moments = (as_it_was(now.when), now.closed.map(as_it_was));
            WishFixForm::new(now.clone()).act(moments, &now).and_then(boxed)
        }
        Hold => {
            let now = HoldEdited::of(book, &id.into(), day)?;
            let moments = (as_it_was(now.when), now.ended.map(as_it_was));
            HoldForm::new(now.clone(), book.currency()).act("Held until", moments, &now).and_then(boxed)
        }
        Hatching if OpeningEdited::of(book, &id.into(), day).is_some() => {
            let now = OpeningEdited::of(book, &id.into(), day)?;
            boxed(OpeningForm::new(now.clone()).act(as_it_was(now.when), &now))
        }
        Treatment => {
            let now = TreatmentCard::of(book, &id.into())?;
            TreatmentForm::new(now.clone()).edit(id.into(), as_it_was(now.from?), &now, today()).and_then(boxed)
        }
        Quarantine => {
            let now = QuarantineCard::of(book, &id.into())?;
            ApartForm::new(now.clone()).edit(id.into(), &now, today()).and_then(boxed)
        }
        BreedingRule => {
            let rule = book.breeding_rule(&id.into())?;
            let (of, now) = ((rule.species.clone()?, rule.sex?), rule.rule());
            counts::BreedingForm::new(now, units).act(of, &now, units).and_then(boxed)
        }
        CleaningRule => {
            let (species, days) = book.cleaning_rule(&id.into()).map(|rule| (rule.species.clone(), rule.days))?;
            counts::cleaning_set(species, &counts::cleaning(days), days).and_then(boxed)
        }
        Cooling => {
            let now = CoolingCard::of(book, &id.into())?;
            CoolingForm::new(now.clone(), units).edit(&[(id.into(), now)], today(), units).and_then(boxed)
        }
        Cost => {
            let now = CostEdited::of(book, &id.into(), day)?;
            let form = CostForm::new(&now.card, book.currency());
            form.edit(&now, as_it_was(now.card.when), &now).and_then(boxed)
        }
        Rules => boxed(counts::rules_set(&counts::rules(book.rules()), book.rules()).ok()?),
        kind if may_redate(kind) => {
            let (when, _) = desk::correct::about(book, thing)?;
            boxed(Redated { thing: thing.clone(), when: as_it_was(when?) })
        }
        Person | LockSeen | Box | Move | Hatching | StockTaking | ReadingLog | LabelPrint | Label | Contact
        | DetailsErased | Snooze | Genotype | Supply => return None,
    })
}

#[test]
fn a_page_saved_as_it_opened_changes_nothing() {
    let book = barn();
    let mut seen: BTreeMap<Kind, usize> = BTreeMap::new();
    // Each in another of the units than its neighbours.
    let all = Kind::ALL.iter().flat_map(|kind| things(&book, *kind)).zip(UNITS.into_iter().cycle());
    for (thing, units) in all {
        let Some(built) = untouched(&book, &thing, units) else { continue };
        let act = built.unwrap_or_else(|wrong| panic!("{thing}, {units:?}: {wrong:?}"));
        let draft = act.draft(&book, evening(), &mut || Id::mint(*b"fresh"));
        assert_eq!(draft, Err(Refusal::NothingChanged), "{thing}, {units:?}");
        *seen.entry(thing.kind).or_default() += 1;
    }
    what_nobody_ever_set_stays_common_practice(&book);
    println!("{} pages opened and saved untouched: {seen:?}", seen.values().sum::<usize>());
    for kind in [
        Kind::Animal,
        Kind::Place,
        Kind::Filling,
        Kind::Clutch,
        Kind::Egg,
        Kind::Pairing,
        Kind::AnimalEvent,
        Kind::Meal,
        Kind::Candling,
        Kind::Reading,
        Kind::Water,
        Kind::Hatching,
        Kind::Move,
        Kind::Note,
        Kind::Wish,
        Kind::Hold,
        Kind::Treatment,
        Kind::Dose,
        Kind::Quarantine,
        Kind::Cooling,
        Kind::BreedingRule,
        Kind::Cleaning,
        Kind::CleaningRule,
        Kind::Cost,
    ] {
        assert!(seen.contains_key(&kind), "no {kind:?} was tried: {seen:?}");
    }
}

/// A word that a newer program chose reads as nothing here. A page that shows it so, saved as it opened, leaves it and
/// whatever stands on it.
#[test]
fn what_a_newer_program_wrote_stays() {
    let mut old = barn();
    // A trait of the barn's own: the season has none.
    let (mode, on) = (Some(TraitMode::IncompleteDominant), Some(TraitOn::Autosome));
    let card = TraitCard { species: "pantherophis-guttatus".into(), name: "Ember".into(), ..TraitCard::default() };
    let own = TraitSet { key: None, card: TraitCard { mode, on, two: "Super ember".into(), ..card } };
    let draft = own.draft(&old, evening(), &mut || Id::mint(*b"trait")).expect("a trait");
    take(&mut old, 8, draft);
    let mut tried: BTreeMap<Kind, usize> = BTreeMap::new();
    for &kind in Kind::ALL {
        let words: Vec<_> = kind.fields().iter().filter(|field| matches!(field.shape, Shape::Word(_))).collect();
        let holds = |thing: &&Thing, field: &str| {
            old.journal().record(kind.word(), &thing.id).is_some_and(|record| record.heads(field).last().is_some())
        };
        for field in words {
            let all = things(&old, kind);
            let Some(thing) = all.iter().find(|thing| holds(thing, field.name)) else { continue };
            let mut book = old.clone();
            newer(&mut book, thing, field.name);
            for units in UNITS {
                let Some(built) = untouched(&book, thing, units) else { continue };
                let act = built.unwrap_or_else(|wrong| panic!("{thing}, {}: {wrong:?}", field.name));
                let draft = act.draft(&book, evening(), &mut || Id::mint(*b"fresh"));
                assert_eq!(draft, Err(Refusal::NothingChanged), "{thing}, {}", field.name);
                *tried.entry(kind).or_default() += 1;
            }
        }
    }
    println!("words of a newer program left by pages of {tried:?}");
    for kind in [Kind::Animal, Kind::AnimalEvent, Kind::Meal, Kind::Egg, Kind::Filling, Kind::Place, Kind::Trait] {
        assert!(tried.contains_key(&kind), "no {kind:?} was tried: {tried:?}");
    }
}

/// A field is set to a word unknown here.
fn newer(book: &mut Book, thing: &Thing, field: &str) {
    let fields = serde_json::Map::from_iter([(field.to_owned(), "of a newer program".into())]);
    let set = book.journal().set(thing.kind.word(), &thing.id, fields);
    take(book, 7, Draft { act: "Newer".to_owned(), sets: vec![set], ..Draft::default() });
}

/// The first line of one more device.
pub fn take(book: &mut Book, device: u8, draft: Draft) {
    let of = Entry::read(&book::demo::season(today())[0]).expect("readable").book;
    let key = Keypair::from_secret(&[device; 32]).public();
    let (by, app) = ("Keeper".to_owned(), "newer".to_owned());
    let writer = Identity { book: of, dev: Id::mint([device; 5]), by, app, key };
    let ms = u64::try_from(evening().and_utc().timestamp_millis()).expect("after 1970");
    let wall = Wall { ms, text: format!("{}+00:00", evening().format("%Y-%m-%dT%H:%M")) };
    let sealed = seal(draft, &writer, &Tip::default(), &wall).expect("seals");
    book.take(&sealed.line).expect("folds");
}

fn what_nobody_ever_set_stays_common_practice(book: &Book) {
    let nothing = |act: &dyn Act| act.draft(book, evening(), &mut || Id::mint(*b"fresh")).err();
    let again = counts::again_set(&counts::again(book.again_rule()), book.again_rule()).expect("untouched");
    assert_eq!(nothing(&again), Some(Refusal::NothingChanged));
    let rules = counts::rules_set(&counts::rules(book.rules()), book.rules()).expect("untouched");
    assert_eq!(nothing(&rules), Some(Refusal::NothingChanged));
    let warm = counts::cooling_set(&counts::cooling(book.cooling_rule()), book.cooling_rule()).expect("untouched");
    assert_eq!(nothing(&warm), Some(Refusal::NothingChanged));
    for (key, _) in book.all_species() {
        let id = book::SpeciesId::from(key.as_str());
        let now = book.own_species(&id).cloned().unwrap_or_else(|| Species::overriding(&key));
        for units in UNITS {
            let act = SpeciesForm::new(id.clone(), now.clone(), units).act(&now, units).expect("untouched");
            assert_eq!(nothing(&act), Some(Refusal::NothingChanged), "{key}");
        }
        for facts in book.traits_of(&key) {
            let card = TraitForm::new(facts.card.clone()).card(&facts.card).expect("untouched");
            assert_eq!(nothing(&TraitSet { key: Some(facts.key), card }), Some(Refusal::NothingChanged));
        }
    }
}

fn when(text: &str) -> When {
    text.parse().expect("a fixture")
}

#[test]
fn what_somebody_else_wrote_meanwhile_stands() {
    let animal = AnimalCard { name: "Bel".into(), born: Some(when("2020-07-01T06:40")), ..AnimalCard::default() };
    let theirs = AnimalCard {
        code: "A".into(),
        name: "Bell".into(),
        species: Some("x".into()),
        sex: Some(Sex::Female),
        sex_how: "a".into(),
        sex_sure: "b".into(),
        morph: "c".into(),
        line: "d".into(),
        locality: "e".into(),
        hybrid: "f".into(),
        born: Some(when("2020-07-02")),
        came: Some(Came::Loan),
        from_eggs: vec!["E".into()],
        dam: Some("D".into()),
        sire: Some("S".into()),
        went: Some(Went::Sold),
        went_when: Some(when("2026-01-01")),
        went_why: "g".into(),
        price: "80.00 EUR".into(),
        note: "h".into(),
    };
    let mut form = AnimalForm::new(animal, None);
    assert_eq!(form.card(&theirs, today()).as_ref(), Ok(&theirs));
    (form.morph, form.born) = ("amel".into(), "2020-07-03".into());
    let both = AnimalCard { morph: "amel".into(), born: Some(when("2020-07-03")), ..theirs.clone() };
    assert_eq!(form.card(&theirs, today()), Ok(both));

    let place = PlaceCard { offset: Some(Temp(-33)), ..PlaceCard::new(PlaceWhat::Shelf, "Shelf 1") };
    let theirs = PlaceCard {
        what: PlaceWhat::Shelf,
        name: "Top".into(),
        within: Some("A".into()),
        set: Some(Temp(2_811)),
        offset: Some(Temp(12)),
        order: Some(3),
        closed: true,
        keeper: Some("K".into()),
    };
    let mut form = PlaceEditForm::new(place, UNITS[1]);
    assert_eq!(form.act("P".into(), &theirs, UNITS[1]).map(|act| act.card).as_ref(), Ok(&theirs));
    form.name = "Lowest".into();
    let card = form.act(PlaceId::from("P"), &theirs, UNITS[1]).map(|act| act.card);
    assert_eq!(card, Ok(PlaceCard { name: "Lowest".into(), ..theirs }));

    let setup = BoxSetup { dry: Some(Mass(450_123)), water: Some(Mass(360_456)), ..BoxSetup::default() };
    let mine = BoxEdited { filling: "F".into(), setup, name: "7".into(), from: Some(when("2026-06-01")), to: None };
    let theirs = BoxEdited {
        filling: "F".into(),
        setup: BoxSetup {
            medium: "perlite".into(),
            mix: Some(Mix::Volume),
            dry: Some(Mass(1)),
            water: Some(Mass(2)),
            closed: Some(Mass(3)),
            note: "n".into(),
            ..BoxSetup::default()
        },
        name: "8".into(),
        from: Some(when("2026-06-02")),
        to: Some(when("2026-06-30")),
    };
    let mut form = SetupForm::new(mine, UNITS[1]);
    let saved = |form: &SetupForm| {
        let act = form.act(&theirs, UNITS[1], today()).expect("read");
        (act.setup, act.name, act.from, act.to)
    };
    assert_eq!(saved(&form), (theirs.setup.clone(), theirs.name.clone(), theirs.from, theirs.to));
    form.medium = "vermiculite".into();
    assert_eq!(saved(&form).0, BoxSetup { medium: "vermiculite".into(), ..theirs.setup.clone() });

    let theirs = PairingCard {
        dams: vec!["D".into()],
        sires: vec!["S".into()],
        when: Some(when("2026-03-01")),
        ended: Some(when("2026-03-04T08:00")),
        note: "n".into(),
    };
    assert_eq!(PairingForm::new(PairingCard::default()).card(&theirs, today()).as_ref(), Ok(&theirs));

    let theirs = TreatmentCard {
        what: "a".into(),
        dose: "b".into(),
        by: "c".into(),
        from: Some(when("2026-06-01T08:00")),
        every_hours: 12,
        until: "2026-06-10".parse().ok(),
        ended: Some(when("2026-06-05T21:00")),
        note: "n".into(),
    };
    let opened = TreatmentCard { what: "z".into(), from: Some(when("2026-06-01")), ..TreatmentCard::default() };
    let mut form = TreatmentForm::new(opened);
    let saved = |form: &TreatmentForm| form.edit("T".into(), when("2026-06-01"), &theirs, today()).map(|act| act.card);
    assert_eq!(saved(&form).as_ref(), Ok(&theirs));
    (form.unit, form.every.typed) = (desk::forms::care::Every::Days, "3".into());
    assert_eq!(saved(&form), Ok(TreatmentCard { every_hours: 72, ..theirs.clone() }));

    let theirs = QuarantineCard {
        from: Some(when("2026-06-01T08:00")),
        until: "2026-07-10".parse().ok(),
        ended: Some(when("2026-06-05T21:00")),
        why: "a".into(),
    };
    let mut form = ApartForm::new(QuarantineCard { from: Some(when("2026-06-02")), ..QuarantineCard::default() });
    let saved = |form: &ApartForm| form.edit("Q".into(), &theirs, today()).map(|act| act.card);
    assert_eq!(saved(&form).as_ref(), Ok(&theirs));
    form.until = "2026-07-20".into();
    assert_eq!(saved(&form), Ok(QuarantineCard { until: "2026-07-20".parse().ok(), ..theirs.clone() }));
    // Let out: with what is typed and not saved yet, and as another device ended it.
    let evening: NaiveDateTime = "2026-06-06T19:30:00".parse().expect("a moment");
    let ended = |form: &ApartForm, now: &QuarantineCard| form.end("Q".into(), now, evening).map(|act| act.card);
    assert_eq!(ended(&form, &theirs), saved(&form));
    form.why = "Mites.".into();
    let open = QuarantineCard { ended: None, ..theirs.clone() };
    let let_out = ended(&form, &open).expect("readable");
    assert_eq!((let_out.why.as_str(), let_out.until), ("Mites.", "2026-07-20".parse().ok()));
    assert_eq!((let_out.from, let_out.ended), (theirs.from, Some(when("2026-06-06T19:30"))));
    form.ended = "2026-06-04".into();
    assert_eq!(ended(&form, &open).map(|card| card.ended), Ok(Some(when("2026-06-04"))));
    form.from = String::new();
    assert!(saved(&form).is_err(), "since when is asked for");
    assert!(ended(&form, &open).is_err(), "since when is asked for");

    let theirs = DoseEdited { dose: "D".into(), when: when("2026-06-05T08:00"), left_out: true, note: "n".into() };
    let mine = DoseEdited { when: when("2026-06-04"), left_out: false, note: String::new(), ..theirs.clone() };
    let mut form = DoseForm::new(mine.clone());
    assert_eq!(form.act(mine.when, &theirs), theirs);
    form.note = "spat out".into();
    assert_eq!(form.act(mine.when, &theirs), DoseEdited { note: "spat out".into(), ..theirs });

    let theirs = CleaningEdited { cleaning: "C".into(), when: when("2026-06-05T08:00"), spot: true, note: "n".into() };
    let mine = CleaningEdited { when: when("2026-06-04"), spot: false, note: String::new(), ..theirs.clone() };
    let mut form = CleaningForm::new(mine.clone());
    assert_eq!(form.act(mine.when, &theirs), theirs);
    form.note = "new paper".into();
    assert_eq!(form.act(mine.when, &theirs), CleaningEdited { note: "new paper".into(), ..theirs });

    let mut days = counts::cleaning(Some(14));
    let saved = |days: &desk::Entry| counts::cleaning_set(None, days, Some(21)).map(|act| act.days);
    assert_eq!(saved(&days), Ok(Some(21)), "untouched: as it stands by now");
    days.typed = String::new();
    assert_eq!(saved(&days), Ok(None), "emptied: no rule");

    several_coolings();

    let theirs = trade::breeders::Rule {
        age_months: Some(30),
        mass: Some(trade::units::Mass(350_123)),
        meals: Some(3),
        cooled: true,
    };
    let mut form = counts::BreedingForm::new(trade::breeders::Rule { meals: Some(2), ..theirs }, UNITS[1]);
    let saved =
        |form: &counts::BreedingForm| form.act(("corn".into(), Sex::Female), &theirs, UNITS[1]).map(|act| act.rule);
    assert_eq!(saved(&form), Ok(theirs), "to the milligram");
    form.age.typed = String::new();
    form.cooled = false;
    assert_eq!(saved(&form), Ok(trade::breeders::Rule { age_months: None, cooled: false, ..theirs }));

    let theirs = CandlingEdited {
        candling: "C".into(),
        when: when("2026-06-11"),
        seen: [("A".into(), Seen::Veins), ("B".into(), Seen::Dead)].into(),
        note: "n".into(),
    };
    let seen = [("A".into(), Seen::Unsure), ("B".into(), Seen::Unsure)].into();
    let mine = CandlingEdited { when: when("2026-06-10"), seen, note: String::new(), ..theirs.clone() };
    let book = Book::new(Id::mint(*b"barn!"));
    let mut form = CandlingForm::new(mine.clone(), &book);
    assert_eq!(form.act(mine.when, &theirs), theirs);
    form.eggs[0].2 = Seen::Clear.word().to_owned();
    assert_eq!(form.act(mine.when, &theirs).seen, [("A".into(), Seen::Clear), ("B".into(), Seen::Dead)].into());
}

#[test]
fn an_animal_that_came_back_left_on_no_day() {
    let left = AnimalCard {
        name: "Bel".into(),
        went: Some(Went::Loaned),
        went_when: Some(when("2026-05-01")),
        went_why: "for a season".into(),
        price: "80.00 EUR".into(),
        ..AnimalCard::default()
    };
    let mut form = AnimalForm::new(left.clone(), None);
    form.went_when = desk::day::UNFINISHED.into();
    assert!(form.card(&left, today()).is_err(), "the day is asked while it is away");
    form.went = None;
    let back = form.card(&left, today()).expect("the day is not asked");
    assert_eq!((back.went, back.went_when, back.went_why.as_str(), back.price.as_str()), (None, None, "", ""));
    assert_eq!(back.name, "Bel");
}

/// Several put right together: each keeps what nobody touched.
fn several_coolings() {
    let card = |began: Option<&str>, note: &str| CoolingCard {
        from: Some(when("2026-06-01")),
        until: "2026-06-08".parse().ok(),
        temp: Some(trade::units::Temp(1234)),
        fast_days: Some(10),
        began: began.map(when),
        ended: None,
        note: note.into(),
    };
    let theirs = [("A".into(), card(Some("2026-06-01T08:00"), "a")), ("B".into(), card(None, "b"))];
    let units = UNITS[1];
    let mut form = CoolingForm::new(card(None, "a"), units);
    let saved = |form: &CoolingForm| form.edit(&theirs, today(), units).map(|act| act.cards);
    assert_eq!(saved(&form).as_deref(), Ok(&theirs[..]), "to the hundredth of a degree");
    form.until = "2026-06-20".into();
    form.temp.typed = "50".into();
    let moved = |card: &CoolingCard| CoolingCard {
        until: "2026-06-20".parse().ok(),
        temp: Some(trade::units::Temp(1000)),
        ..card.clone()
    };
    let expected = theirs.each_ref().map(|(id, card): &(book::CoolingId, CoolingCard)| (id.clone(), moved(card)));
    assert_eq!(saved(&form).as_deref(), Ok(&expected[..]));
    form.from = String::new();
    assert!(saved(&form).is_err(), "a first day is asked for");
    // Each has its own note and its own beginning: nobody's is shown as everybody's, and none is lost.
    let cards = theirs.each_ref().map(|(_, card): &(book::CoolingId, CoolingCard)| card.clone());
    let mut form = CoolingForm::of_several(&cards, units);
    assert_eq!((form.differ.as_slice(), form.note.as_str()), (&[cooling::BEGAN, cooling::NOTE][..], ""));
    assert_eq!(saved(&form).as_deref(), Ok(&theirs[..]));
    form.note = "moved to the cellar".into();
    let notes = saved(&form).map(|cards| cards.into_iter().map(|(_, card)| card.note).collect::<Vec<_>>());
    assert_eq!(notes, Ok(vec!["a; moved to the cellar".into(), "b; moved to the cellar".into()]));
    form.note = String::new();
    form.began = "2026-06-02".into();
    let began =
        saved(&form).map(|cards| cards.into_iter().map(|(_, card)| (card.began, card.note)).collect::<Vec<_>>());
    assert_eq!(began, Ok(["a", "b"].map(|note| (Some(when("2026-06-02")), note.to_owned())).to_vec()));
    // The same for all, it is put right for all.
    let alike = cards.map(|card| CoolingCard { note: "a".into(), began: None, ..card });
    let mut form = CoolingForm::of_several(&alike, units);
    assert_eq!((form.differ.len(), form.note.as_str()), (0, "a"));
    form.note = "b".into();
    let ids = ["A", "B"].map(book::CoolingId::from);
    let stand: Vec<_> = ids.into_iter().zip(alike).collect();
    let put = form.edit(&stand, today(), units).map(|act| act.cards.into_iter().all(|(_, card)| card.note == "b"));
    assert_eq!(put, Ok(true));
    // Begun and ended from a tap: what was noted before stays.
    let at = when("2026-06-09T08:00");
    let begun = cooling::begun(theirs.to_vec(), at).cards;
    assert_eq!(
        begun.iter().map(|(_, card)| card.began).collect::<Vec<_>>(),
        [Some(when("2026-06-01T08:00")), Some(at)]
    );
    let ended = cooling::ended(begun, at).cards;
    assert!(ended.iter().all(|(_, card)| card.ended == Some(at)));
}
