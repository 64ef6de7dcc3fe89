//! Every form, filled in as a page would open it, with its numeric fields by number.

use book::acts::*;
use book::records::{Counts, Species};
use book::words::*;
use book::{AnimalId, ClutchId, ContactId, EggId, FillingId, PlaceId};
use chrono::NaiveDate;
use desk::forms::hatch::{BabyForm, HatchForm};
use desk::forms::pull::{BoxForm, PullForm};
use desk::forms::water::{WaterAct, WaterForm};
use desk::forms::{self, clutch::ClutchForm, eggs::*, places::*, weights::*, *};
use desk::{Entry, Units, Wrong};
use std::fmt::Debug;
use trade::money::{Currency, Money};
use trade::units::{Humidity, Mass, Temp};
use trade::when::When;

pub const ODD: [&str; 12] = [
    "12,5",
    "12.5",
    "8 oz",
    "82F",
    "3l.5",
    "12..5",
    "-5",
    "1e9",
    "٣",
    "",
    "   ",
    "1234567890123456789012345678901234567890",
];

pub const UNITS: [Units; 3] = [
    Units { ounces: false, fahrenheit: false },
    Units { ounces: true, fahrenheit: true },
    Units { ounces: true, fahrenheit: false },
];

type Run = dyn Fn(Units, &dyn Fn(usize, &mut Entry)) -> Result<String, Wrong>;

pub struct Form {
    pub name: &'static str,
    run: Box<Run>,
}

impl Form {
    /// The names of its numeric fields.
    pub fn fields(&self, units: Units) -> Vec<String> {
        let names = std::cell::RefCell::new(Vec::new());
        let _ = (self.run)(units, &|_, entry| names.borrow_mut().push(entry.ask.name()));
        names.into_inner()
    }

    /// Every numeric field as the page opens it.
    pub fn each(&self, units: Units, look: &dyn Fn(&Entry)) {
        let _ = (self.run)(units, &|_, entry| look(entry));
    }

    /// Saved with one field typed over; the act as text.
    pub fn run(&self, units: Units, typed: Option<(usize, &str)>) -> Result<String, Wrong> {
        (self.run)(units, &|at, entry| {
            if let Some((_, text)) = typed.filter(|(field, _)| *field == at) {
                entry.typed = text.to_owned();
            }
        })
    }

    /// Saved with all fields typed over.
    pub fn run_all(&self, units: Units, typed: &str) -> Result<String, Wrong> {
        (self.run)(units, &|_, entry| entry.typed = typed.to_owned())
    }
}

fn text<T: Debug>(act: Result<T, Wrong>) -> Result<String, Wrong> {
    act.map(|act| format!("{act:?}"))
}

fn each(fields: &mut [&mut Entry], touch: &dyn Fn(usize, &mut Entry)) {
    for (at, entry) in fields.iter_mut().enumerate() {
        touch(at, entry);
    }
}

fn form(
    name: &'static str,
    run: impl Fn(Units, &dyn Fn(usize, &mut Entry)) -> Result<String, Wrong> + 'static,
) -> Form {
    Form { name, run: Box::new(run) }
}

pub fn today() -> NaiveDate {
    "2026-07-01".parse().expect("a day")
}

pub fn pull(units: Units) -> PullForm {
    let offered = BoxSetup { dry: Some(Mass(450_123)), water: Some(Mass(360_456)), ..BoxSetup::default() };
    let card = ClutchCard {
        number: "7".into(),
        laid: Some(When::day(today())),
        counts: Some(Counts { good: 6, dud: 1, slug: 2 }),
        gravid: Some(Mass(1_486_777)),
        ..ClutchCard::default()
    };
    let base = ClutchPulled { card, boxes: vec![offered.clone()], ..ClutchPulled::default() };
    let mut pull = PullForm::new(base, None, today(), units);
    pull.boxes = vec![BoxForm::new(offered.clone(), None, Some(1), units), BoxForm::new(offered, None, Some(2), units)];
    pull.boxes[0].share = Entry::of_count(pull.boxes[0].share.ask.clone(), 4);
    pull
}

pub fn egg(units: Units) -> EggForm {
    let card = EggCard {
        letter: "C".into(),
        len_um: Some(31_456),
        wid_um: Some(14_999),
        mass: Some(Mass(11_234)),
        ..EggCard::default()
    };
    EggForm::new(EggId::from("EGG"), card, units)
}

pub fn fill_to(grams: i64) -> Option<trade::water::FillTo> {
    Some(trade::water::FillTo { mass: Mass(grams * 1_000), unweighed: 0 })
}

pub fn clutch_card() -> ClutchCard {
    ClutchCard {
        number: "7".into(),
        laid: Some(When::day(today())),
        gravid: Some(Mass(1_486_777)),
        gravid_on: Some(today()),
        spent: Some(Mass(1_102_333)),
        spent_on: Some(today()),
        mass: Some(Mass(301_555)),
        mass_on: Some(today()),
        counts: Some(Counts { good: 6, dud: 1, slug: 2 }),
        ..ClutchCard::default()
    }
}

pub fn clutch(units: Units) -> ClutchForm {
    ClutchForm::new(ClutchId::from("CLUTCH"), clutch_card(), today(), units)
}

pub fn hatch(letters: &[&str]) -> HatchForm {
    let baby = |letter: &&str| BabyForm {
        egg: EggId::from(*letter),
        code: format!("H-{letter}"),
        mass: forms::hatch::weight(letter, false),
        looks: String::new(),
        faults: String::new(),
        went: None,
    };
    let babies = letters.iter().map(baby).collect();
    HatchForm { filling: FillingId::from("BOX"), babies, apart: true, tubs: Vec::new(), others: Default::default() }
}

pub fn eur(minor: i64) -> Option<Money> {
    Currency::of("EUR").map(|currency| Money { minor, currency })
}

fn leave() -> PlacingForm {
    let euro = Currency::of("EUR");
    PlacingForm {
        animal: AnimalId::from("BEL"),
        agreed: "80.00 EUR".into(),
        contact: Some(ContactId::from("P")),
        until: String::new(),
        price: money::price("80.00 EUR", euro),
        deposit: money::deposit(eur(2_000), euro),
        note: String::new(),
    }
}

/// All forms there are.
pub fn forms() -> Vec<Form> {
    let now = || When::day(today());
    vec![
        form("pull", |units, touch| {
            let mut form = pull(units);
            let [one, two] = form.boxes.as_mut_slice() else { unreachable!() };
            let mut fields = vec![&mut form.good, &mut form.dud, &mut form.slug, &mut form.gravid, &mut form.spent];
            fields.extend([&mut one.share, &mut one.dry, &mut one.water, &mut one.closed]);
            fields.extend([&mut two.dry, &mut two.water, &mut two.closed]);
            each(&mut fields, touch);
            text(form.act(units, today()))
        }),
        form("box set before", |units, touch| {
            let setup = BoxSetup {
                dry: Some(Mass(450_123)),
                water: Some(Mass(360_456)),
                closed: Some(Mass(1_486_777)),
                ..BoxSetup::default()
            };
            let before = BoxEdited { filling: FillingId::from("BOX"), setup, name: "7".into(), from: None, to: None };
            let mut form = boxes::SetupForm::new(before, units);
            each(&mut [&mut form.dry, &mut form.water, &mut form.closed], touch);
            text(form.act(&form.before, units, today()))
        }),
        form("taken out of a box", move |units, touch| {
            let mut mass = boxes::taken_mass();
            each(&mut [&mut mass], touch);
            text(boxes::taken(FillingId::from("BOX"), (&mass, false), "a sample", now(), units))
        }),
        form("eggs that came later", move |units, touch| {
            let mut form = boxes::LaterForm::new(ClutchId::from("CLUTCH"));
            let [good, dud, slug] = &mut form.counts;
            each(&mut [good, dud, slug, &mut form.mass], touch);
            text(form.act("Laid on", now(), today(), units))
        }),
        form("another box", move |units, touch| {
            let mut form = pull(units).boxes.swap_remove(1);
            each(&mut [&mut form.dry, &mut form.water, &mut form.closed], touch);
            text(boxes::set(&form, vec![EggId::from("A")], now(), units))
        }),
        form("egg", |units, touch| {
            let mut form = egg(units);
            each(&mut [&mut form.length, &mut form.width, &mut form.mass], touch);
            text(form.act(units, today()))
        }),
        form("measure", |units, touch| {
            let mut rows = ["A", "B"].map(|letter| {
                let EggForm { mut length, mut width, mut mass, egg, .. } = egg(units);
                for entry in [&mut length, &mut width, &mut mass] {
                    entry.ask.of = format!("Egg {letter}");
                }
                MeasureRow { egg, length, width, mass }
            });
            let [a, b] = &mut rows;
            let mut fields = vec![&mut a.length, &mut a.width, &mut a.mass];
            fields.extend([&mut b.length, &mut b.width, &mut b.mass]);
            each(&mut fields, touch);
            text(measured(&rows, units))
        }),
        form("eggs leave", move |units, touch| {
            let mut mass = LeaveForm::mass();
            each(&mut [&mut mass], touch);
            let eggs = vec![EggId::from("A"), EggId::from("B")];
            text(LeaveForm { eggs, fate: Fate::Removed, mass, why: String::new() }.act(units, now()))
        }),
        form("water", move |units, touch| {
            let mut form = WaterForm::new(FillingId::from("BOX"), fill_to(1_486));
            form.reading.typed = "1470 g".into();
            form.added.offer(form.offered(units), units);
            each(&mut [&mut form.reading, &mut form.added], touch);
            text(form.act(units, now()))
        }),
        form("first weighing", move |units, touch| {
            let mut form = WaterForm::new(FillingId::from("BOX"), None);
            each(&mut [&mut form.reading], touch);
            let act = form.act(units, now());
            if let Ok(act) = &act {
                assert!(matches!(act, WaterAct::Baseline(_)), "{act:?}");
            }
            text(act)
        }),
        form("weight", move |units, touch| {
            let mut entry = Entry::blank(weight(Some(Mass(88_000))));
            each(&mut [&mut entry], touch);
            text(weighed(AnimalId::from("BEL"), &entry, now(), units))
        }),
        form("many weights", move |units, touch| {
            let mut rows = ["Bel", "Moss"].map(|name| (AnimalId::from(name), Entry::blank(weight_of(name, None))));
            rows[0].1.typed = "150 g".into();
            let [(_, bel), (_, moss)] = &mut rows;
            each(&mut [bel, moss], touch);
            text(many_weighed(&rows, now(), units))
        }),
        form("corrected weight", move |units, touch| {
            let before = AnimalEventEdited {
                event: "EVENT".into(),
                what: AnimalEventWhat::Weight,
                when: now(),
                mass: Some(Mass(1_720_432)),
                shed: None,
                looked: None,
                side: None,
                follicle_um: Some(18_543),
                follicles: Some(6),
                note: String::new(),
            };
            let mut form = EventForm::new(before, units);
            each(&mut [&mut form.mass, &mut form.size, &mut form.count], touch);
            text(form.act(now(), &form.before, units))
        }),
        form("follicles", move |units, touch| {
            let mut form = FolliclesForm::new(Some(LookedAs::Ultrasound));
            each(&mut [&mut form.size, &mut form.count], touch);
            text(form.act(AnimalId::from("BEL"), now(), units))
        }),
        form("hatch out", |units, touch| {
            let mut form = hatch(&["A", "C"]);
            let [a, c] = form.babies.as_mut_slice() else { unreachable!() };
            each(&mut [&mut a.mass, &mut c.mass], touch);
            text(form.act(units))
        }),
        form("clutch", |units, touch| {
            let mut form = clutch(units);
            let mut fields: Vec<&mut Entry> = form.weights.iter_mut().map(|weighed| &mut weighed.mass).collect();
            fields.extend(form.counts.iter_mut());
            each(&mut fields, touch);
            text(form.act(&clutch_card(), units, today()))
        }),
        form("reading", move |units, touch| {
            let (mut entry, mut humid) = (reading(), humidity(Some(Humidity(455))));
            each(&mut [&mut entry, &mut humid], touch);
            text(read_now(PlaceId::from("SHELF"), (&entry, &humid), now(), units))
        }),
        form("set anew", |units, touch| {
            let mut entry = set_to();
            each(&mut [&mut entry], touch);
            text(set_anew(&entry, units))
        }),
        form("place", |units, touch| {
            let card = PlaceCard { offset: Some(Temp(-33)), ..PlaceCard::new(PlaceWhat::Shelf, "Shelf 1") };
            let mut form = PlaceEditForm::new(card, units);
            each(&mut [&mut form.offset], touch);
            text(form.act(PlaceId::from("SHELF"), &form.before, units))
        }),
        form("new incubator", |units, touch| {
            let mut form = PlaceForm { name: "A".into(), ..PlaceForm::new(Some(Temp(2_822)), units) };
            let mut fields = vec![&mut form.shelves, &mut form.set];
            fields.extend(form.each.iter_mut().take(2));
            each(&mut fields, touch);
            text(form.act(units))
        }),
        form("new rack", |units, touch| {
            let mut form = PlaceForm { what: PlaceWhat::Rack, ..PlaceForm::new(None, units) };
            each(&mut [&mut form.tubs], touch);
            text(form.act(units))
        }),
        form("new shelf", |units, touch| {
            let mut form = PlaceForm { what: PlaceWhat::Shelf, ..PlaceForm::new(Some(Temp(2_822)), units) };
            each(&mut [&mut form.set], touch);
            text(form.act(units))
        }),
        form("rules for young", |_, touch| {
            let now = trade::raising::Rules { sheds: 1, meals: 4, prey_pct: (10, 15), feed_days: 6 };
            let mut fields = counts::rules(now);
            each(&mut fields.iter_mut().collect::<Vec<_>>(), touch);
            text(counts::rules_set(&fields, now))
        }),
        form("rule for a second clutch", |_, touch| {
            let now = trade::again::Rule { meals: 4, ..trade::again::USUAL };
            let mut fields = counts::again(now);
            each(&mut fields.iter_mut().collect::<Vec<_>>(), touch);
            text(counts::again_set(&fields, now))
        }),
        form("treatment", move |_, touch| {
            let mut form = care::TreatmentForm { what: "an ointment".into(), ..care::TreatmentForm::blank() };
            each(&mut [&mut form.every], touch);
            text(form.order(vec![AnimalId::from("BEL")], now(), today()))
        }),
        form("rule after cooling", |_, touch| {
            let now = trade::cooling::Rule { meals: 4, ..trade::cooling::USUAL };
            let mut fields = counts::cooling(now);
            each(&mut fields.iter_mut().collect::<Vec<_>>(), touch);
            text(counts::cooling_set(&fields, now))
        }),
        form("rule for breeding", |units, touch| {
            let now = trade::breeders::Rule { age_months: Some(24), ..trade::breeders::Rule::default() };
            let mut form = counts::BreedingForm::new(now, units);
            each(&mut [&mut form.age, &mut form.mass, &mut form.meals], touch);
            text(form.act(("corn".into(), Sex::Female), &now, units))
        }),
        form("rule for cleaning", |_, touch| {
            let mut entry = counts::cleaning(Some(14));
            each(&mut [&mut entry], touch);
            text(counts::cleaning_set(Some("corn".into()), &entry, Some(14)))
        }),
        form("cooling", move |units, touch| {
            let mut form = cooling::CoolingForm::blank(today(), units);
            each(&mut [&mut form.temp, &mut form.fast], touch);
            text(form.set(vec![AnimalId::from("BEL")], today(), units))
        }),
        form("supplies", |_, touch| {
            let mut entry = counts::have("There are", "Tubs", Some(40));
            each(&mut [&mut entry], touch);
            text(counts::supply("tubs".into(), &entry))
        }),
        form("wish", |_, touch| {
            let mut form = WishForm {
                contact: ContactId::from("P"),
                species: None,
                what: "a female".into(),
                sex: None,
                count: WishForm::count(),
            };
            each(&mut [&mut form.count], touch);
            text(form.act())
        }),
        form("price asked", |_, touch| {
            let mut entry = money::asked(eur(8_000), Currency::of("EUR"));
            each(&mut [&mut entry], touch);
            text(money::price_asked(AnimalId::from("BEL"), &entry))
        }),
        form("cost", move |_, touch| {
            let mut form = money::CostForm { what: "feed".into(), ..money::CostForm::blank(None) };
            form.amount.typed = "80 EUR".into();
            each(&mut [&mut form.amount], touch);
            text(form.act(now()))
        }),
        form("cost put right", move |_, touch| {
            let (what, amount, note) = ("feed".to_owned(), eur(8_000), String::new());
            let before = CostEdited { cost: "C".into(), card: CostCard { when: now(), what, amount, note } };
            let mut form = money::CostForm::new(&before.card, None);
            each(&mut [&mut form.amount], touch);
            text(form.edit(&before, now(), &before))
        }),
        form("promise", |_, touch| {
            let mut form = leave();
            each(&mut [&mut form.price, &mut form.deposit], touch);
            text(form.held("Held until", None))
        }),
        form("placed", |_, touch| {
            let mut form = leave();
            each(&mut [&mut form.price], touch);
            text(form.placed(("Left on", "2026-07-01"), Went::Sold, today()))
        }),
        form("promise put right", move |_, touch| {
            let (contact, until, note) = (None, None, String::new());
            let (price, deposit) = ("80.00 EUR".to_owned(), eur(2_000));
            let before =
                HoldEdited { hold: "H".into(), contact, until, price, deposit, note, when: now(), ended: None };
            let mut form = HoldForm::new(before, None);
            each(&mut [&mut form.price, &mut form.deposit], touch);
            text(form.act("Held until", (now(), None), &form.before))
        }),
        form("wish put right", move |_, touch| {
            let (wish, when) = ("W".into(), now());
            let (sex, what) = (None, "a female".to_owned());
            let before = WishEdited { wish, species: None, sex, what, count: 2, when, closed: None };
            let mut form = WishFixForm::new(before);
            each(&mut [&mut form.count], touch);
            text(form.act((now(), None), &form.before))
        }),
        form("species", |units, touch| {
            let start = Species {
                ref_days_x10: Some(603),
                ref_temp: Some(Temp(2_811)),
                spread_pct: Some(4),
                low: Some(Temp(2_444)),
                high: Some(Temp(3_111)),
                ..Species::overriding("corn_snake")
            };
            let mut form = SpeciesForm::new("corn_snake".into(), start, units);
            let [at, low, high] = &mut form.temps;
            each(&mut [&mut form.days, at, low, high, &mut form.spread], touch);
            text(form.act(&form.start, units))
        }),
        form("chance of a het", |_, touch| {
            let mut entry = chance(None);
            each(&mut [&mut entry], touch);
            text(permille(&entry))
        }),
        form("trait", |_, touch| {
            let card = TraitCard { recombination_pm: Some(150), linked_to: Some("x".into()), ..TraitCard::default() };
            let mut form = traits::TraitForm::new(card);
            each(&mut [&mut form.share], touch);
            text(form.card(&form.before))
        }),
        form("reading put right", move |units, touch| {
            let (temp, humidity) = (Temp(2_811), Some(Humidity(455)));
            let before = ReadingEdited { reading: "R".into(), when: now(), temp, humidity, source: String::new() };
            let mut form = correct::ReadingForm::new(before, units);
            each(&mut [&mut form.temp, &mut form.humidity], touch);
            text(form.act(now(), &form.before, units))
        }),
        form("set temperature put right", move |units, touch| {
            let before = SetPointEdited { set_point: "S".into(), from: now(), temp: Temp(2_811) };
            let mut form = correct::SetPointForm::new(before, units);
            each(&mut [&mut form.temp], touch);
            text(form.act(now(), &form.before, units))
        }),
        form("water put right", move |units, touch| {
            let (mass, added) = (Mass(1_486_432), Some(Mass(20_123)));
            let before = WaterEdited { water: "W".into(), when: now(), mass, added, note: String::new() };
            let mut form = correct::WaterFixForm::new(before, units);
            each(&mut [&mut form.mass, &mut form.added], touch);
            text(form.act(now(), &form.before, units))
        }),
        form("taken out put right", move |units, touch| {
            let before = TakenOutEdited { taken: "T".into(), when: now(), mass: Mass(-12_345), what: "moss".into() };
            let mut form = correct::TakenForm::new(before, units);
            each(&mut [&mut form.mass], touch);
            text(form.act(now(), &form.before, units))
        }),
        form("label size", |_, touch| {
            let mut entries = [mm("Label width", Some(62_000)), mm("Label height", Some(40_000))];
            each(&mut entries.iter_mut().collect::<Vec<_>>(), touch);
            text(millimetres([&entries[0], &entries[1]]))
        }),
        form("copies", |_, touch| {
            let mut entry = Entry::of_count(desk::Ask::count("Copies", 1, 20), 1);
            each(&mut [&mut entry], touch);
            text(counts::one(&entry))
        }),
    ]
}
