//! What is said is what happened: places that stay, questions that are asked, the newest weight, eggs that do not come.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::*;
use book::words::*;
use book::*;
use common::*;
use trade::lay::Sign;
use trade::when::When;

const KING: &str = "lampropeltis-californiae";

fn barn(now: &str) -> Device {
    let mut d = Device::new(1);
    d.now = at(now);
    d
}

fn animal(d: &mut Device, name: &str, sex: Sex, born: Option<&str>) -> AnimalId {
    let card = AnimalCard {
        name: name.to_owned(),
        species: Some(KING.to_owned()),
        sex: Some(sex),
        born: born.map(when),
        ..AnimalCard::default()
    };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn tub(d: &mut Device, name: &str) -> PlaceId {
    d.make(Kind::Place, &PlaceAdded { id: None, card: PlaceCard::new(PlaceWhat::Tub, name) }, PlaceId::new)
}

fn pulled(d: &Device, dam: &AnimalId, counts: Counts) -> ClutchPulled {
    let mut act = ClutchPulled::start(&d.book, None, std::slice::from_ref(dam), d.now);
    act.card.counts = Some(counts);
    act
}

fn counted(good: u32, slug: u32) -> Counts {
    Counts { good, dud: 0, slug }
}

fn asked(d: &Device, act: &dyn Act) -> Vec<String> {
    act.doubts(&d.book, d.now).iter().map(ToString::to_string).collect()
}

#[test]
fn eggs_keep_their_places_while_they_are_told_to_pip() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(6, 1));
    act.boxes[0].eggs = Some((0..7).collect());
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let tray = |d: &Device, step| -> String {
        let eggs = hatching_tray(&d.book, &filling, step);
        eggs.iter()
            .map(|(egg, waits)| if *waits { egg.letter.clone() } else { egg.letter.to_ascii_lowercase() })
            .collect()
    };
    let egg = |d: &Device, i: usize| hatching_tray(&d.book, &filling, Step::Pip)[i].0.id.clone();
    assert_eq!(tray(&d, Step::Pip), "ABCDEFg", "a slug does not wait");
    d.now = at("2026-08-09T20:00");
    for i in [0, 2] {
        d.act(&EggsPipped { eggs: vec![egg(&d, i)], when: None });
    }
    assert_eq!(tray(&d, Step::Pip), "aBcDEFg");
    d.act(&EggsOut { eggs: vec![egg(&d, 0)], when: None, masses: Default::default() });
    let dead = vec![egg(&d, 3)];
    d.act(&EggFate {
        eggs: dead,
        fate: Fate::Died,
        when: When::time(d.now),
        why: String::new(),
        masses: Default::default(),
    });
    assert_eq!((tray(&d, Step::Pip), tray(&d, Step::Out)), ("aBcdEFg".into(), "aBCdEFg".into()));
}

#[test]
fn what_is_unlikely_of_tubs_dams_and_days_is_asked() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, Some("2022-07-01"));
    let ash = animal(&mut d, "Ash", Sex::Male, None);
    let fay = animal(&mut d, "Fay", Sex::Female, Some("2026-02-19"));
    let (one, two) = (tub(&mut d, "C1"), tub(&mut d, "C2"));
    let to = |things: Vec<Thing>, place: &PlaceId, d: &Device| {
        asked(d, &Moved::to_place(things, place.clone(), When::time(d.now)))
    };
    assert_eq!(to(vec![bel.thing()], &one, &d), Vec::<String>::new());
    d.act(&Moved::to_place(vec![bel.thing()], one.clone(), When::time(d.now)));
    let crowded = ["C1 would hold more than one animal. Put them together?"];
    assert_eq!(to(vec![ash.thing()], &one, &d), crowded);
    assert_eq!(to(vec![bel.thing(), ash.thing()], &two, &d).len(), 1, "two at once");
    // Many racks have a tub of this name.
    let rack = PlaceCard { within: Some(tub(&mut d, "Rack A")), ..PlaceCard::new(PlaceWhat::Tub, "3") };
    let third = d.make(Kind::Place, &PlaceAdded { id: None, card: rack }, PlaceId::new);
    let both = to(vec![bel.thing(), ash.thing()], &third, &d);
    assert_eq!(both, ["Rack A · 3 would hold more than one animal. Put them together?"]);
    assert_eq!(to(vec![bel.thing()], &one, &d), Vec::<String>::new(), "its own tub");
    let card = AnimalCard { name: "Ivy".into(), ..AnimalCard::default() };
    assert_eq!(asked(&d, &AnimalAdded { id: None, card, place: Some(one) }), crowded);

    let first = pulled(&d, &bel, counted(6, 0));
    assert_eq!(asked(&d, &first), Vec::<String>::new());
    let clutch = d.make(Kind::Clutch, &first, ClutchId::new);
    let second = pulled(&d, &bel, counted(4, 0));
    let again = asked(&d, &second);
    assert!(again.len() == 1 && again[0].contains("Eggs of Bel were found just before these"), "{again:?}");
    let mut later = second.clone();
    later.card.laid = Some(when("2026-04-20"));
    assert_eq!(asked(&d, &later), Vec::<String>::new(), "seven weeks between");
    // Only corrected in something else, it is not asked about again.
    d.act(&second);
    let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
    card.note = "counted twice".into();
    assert_eq!(asked(&d, &ClutchEdited { clutch, card }), Vec::<String>::new());

    let young = ["Fay was 110 days old then, too young to breed. Is that right?"];
    assert_eq!(asked(&d, &pulled(&d, &fay, counted(4, 0))), young);
    assert_eq!(asked(&d, &EggsFound::under(&d.book, &fay, d.now)), young);
    let (dams, sires) = (vec![fay], vec![ash]);
    assert_eq!(asked(&d, &Paired { dams, sires, when: When::time(d.now), note: String::new() }), young);
}

#[test]
fn no_baby_is_left_without_a_tub_unasked() {
    let mut d = barn("2026-04-10T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let filling = d.make(Kind::Filling, &pulled(&d, &bel, counted(4, 0)), FillingId::new);
    let (one, two) = (tub(&mut d, "C1"), tub(&mut d, "C2"));
    d.now = at("2026-06-15T20:00");
    let eggs: Vec<EggId> = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
    let out = |tubs: [Option<&PlaceId>; 4]| {
        let baby = |(i, tub): (usize, Option<&PlaceId>)| NewBaby {
            eggs: vec![eggs[i].clone()],
            code: format!("K{i}"),
            place: tub.cloned(),
            ..NewBaby::default()
        };
        let babies = tubs.into_iter().enumerate().map(baby).collect();
        HatchedOut { filling: filling.clone(), when: None, babies, others: Default::default() }
    };
    let short = asked(&d, &out([Some(&one), Some(&two), None, None]));
    assert_eq!(short, ["No tub is free for 2 of the babies, so they would be in none: K2, K3. Save anyway?"]);
    assert_eq!(asked(&d, &out([None; 4])), Vec::<String>::new(), "no tub was chosen at all");
    let shared = asked(&d, &out([Some(&one), Some(&one), Some(&two), Some(&two)]));
    assert_eq!(shared.len(), 2, "{shared:?}");
    let mut escaped = out([Some(&one), Some(&two), None, None]);
    escaped.babies[2].went = Some(Went::Escaped);
    escaped.babies[3].went = Some(Went::Died);
    assert_eq!(asked(&d, &escaped), Vec::<String>::new());
}

#[test]
fn the_current_weight_is_the_one_weighed_last() {
    let mut d = barn("2026-11-29T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(6, 0));
    act.card.laid = Some(when("2026-11-05"));
    (act.card.gravid, act.card.gravid_on) = (Some(g(2310)), Some(day("2026-11-02")));
    let clutch = d.make(Kind::Clutch, &act, ClutchId::new);
    let weight = |d: &Device| animal_view(&d.book, &bel, d.now).expect("there").weight;
    assert_eq!(weight(&d), Some((g(2310), Some(when("2026-11-02")))), "weighed, if only with her clutch");
    let event = |day: &str, grams| AnimalEventNoted {
        shed: None,
        animal: bel.clone(),
        what: AnimalEventWhat::Weight,
        when: when(day),
        mass: Some(g(grams)),
        note: String::new(),
    };
    d.act(&event("2026-11-02", 2310));
    let mut card = ClutchCard::of(&d.book, &clutch).expect("there");
    (card.spent, card.spent_on) = (Some(g(1720)), Some(day("2026-11-06")));
    d.act(&ClutchEdited { clutch: clutch.clone(), card: card.clone() });
    let view = animal_view(&d.book, &bel, d.now).expect("there");
    assert_eq!(view.weight, Some((g(1720), Some(when("2026-11-06")))));
    assert_eq!(view.weights.len(), 2, "one weighing noted twice is one: {:?}", view.weights);
    // Both on the day of laying: after the eggs she weighs less.
    (card.gravid_on, card.spent_on) = (Some(day("2026-11-05")), Some(day("2026-11-05")));
    d.act(&ClutchEdited { clutch, card });
    assert_eq!(weight(&d).map(|(mass, _)| mass), Some(g(1720)));
    // Written last, weighed first.
    d.act(&event("2026-10-01", 1900));
    assert_eq!(weight(&d).map(|(mass, _)| mass), Some(g(1720)));
    assert_eq!(asked(&d, &event("2026-11-29", 1800)), Vec::<String>::new());
}

#[test]
fn an_untouched_candling_says_unsure_and_leaves_slugs_out() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let mut act = pulled(&d, &bel, counted(2, 1));
    act.boxes[0].eggs = Some(vec![0, 1, 2]);
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let candled = |d: &mut Device, changes: &[(usize, Seen)]| {
        let eggs: Vec<EggId> = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
        let changes = changes.iter().map(|(i, seen)| (eggs[*i].clone(), *seen)).collect();
        d.later(24);
        d.act(&BoxCandled { filling: filling.clone(), when: When::time(d.now), changes, note: String::new() });
        eggs.iter().map(|egg| d.book.last_seen(egg).map(|(seen, _)| seen)).collect::<Vec<_>>()
    };
    assert!(d.book.never_candled(&filling));
    assert_eq!(candled(&mut d, &[]), [Some(Seen::Unsure), Some(Seen::Unsure), None]);
    assert!(!d.book.never_candled(&filling));
    assert_eq!(candled(&mut d, &[(0, Seen::Veins)]), [Some(Seen::Veins), Some(Seen::Unsure), None]);
    assert_eq!(candled(&mut d, &[]), [Some(Seen::Veins), Some(Seen::Unsure), None]);
}

#[test]
fn eggs_that_never_come_are_waited_for_no_more() {
    let mut d = barn("2026-08-20T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let moss = animal(&mut d, "Moss", Sex::Male, None);
    let act = Paired { dams: vec![bel.clone()], sires: vec![moss], when: when("2026-08-18"), note: String::new() };
    let pairing = d.make(Kind::Pairing, &act, PairingId::new);
    d.act(&LockNoted { pairing: pairing.clone(), when: when("2026-08-20") });
    d.act(&PairingEnded { pairing, when: when("2026-08-20") });
    let next = |d: &Device| animal_view(&d.book, &bel, d.now).expect("there").next;
    let waits = |d: &Device| pairing_rows(&d.book, d.now).remove(0).waits();
    d.now = at("2026-10-20T20:00");
    assert!(matches!(next(&d).as_slice(), [NextStep::EggsDue { .. }]), "{:?}", next(&d));
    assert!(waits(&d));
    // 28 to 70 days after a lock: on the 29th of October it closes, and it says so.
    for now in ["2026-10-31T20:00", "2026-11-29T20:00"] {
        d.now = at(now);
        let [NextStep::NoEggs { by, .. }] = next(&d)[..] else { panic!("{now}: {:?}", next(&d)) };
        assert_eq!(by, day("2026-10-29"), "{now}");
        assert!(!waits(&d), "{now}");
    }
    d.now = at("2027-01-20T20:00");
    assert_eq!(next(&d), [], "another season");
}

#[test]
fn looks_typed_as_words_are_offered_and_never_count_as_entered() {
    let mut d = barn("2026-06-09T20:00");
    let mut corn = |name: &str, sex, morph: &str| {
        let card = AnimalCard {
            name: name.to_owned(),
            species: Some("pantherophis-guttatus".to_owned()),
            sex: Some(sex),
            morph: morph.to_owned(),
            ..AnimalCard::default()
        };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    let bel = corn("Bel", Sex::Female, "amel het anery");
    let moss = corn("Moss", Sex::Male, "");
    let all = [
        ("normal", vec![]),
        ("Amelanistic Motley, 66% poss het Lavender", vec!["amelanistic", "motley", "poss het lavender 66 %"]),
        ("tessera possible het hypo", vec!["tessera", "poss het hypo 50 %"]),
        ("DH amel/anery", vec!["het amel", "het anery"]),
        // Two names begin so; a word of two letters says nothing.
        ("ultr an", vec!["ultr"]),
        ("a pretty one", vec![]),
    ];
    let typed = |d: &Device, id: &AnimalId| -> Vec<String> {
        d.book.typed_traits(id).into_iter().map(|one| one.words).collect()
    };
    let read: Vec<(AnimalId, Vec<&str>)> =
        all.into_iter().map(|(morph, words)| (corn(morph, Sex::Unknown, morph), words)).collect();
    for (id, words) in read {
        assert_eq!(typed(&d, &id), words, "{:?}", d.book.animal(&id).and_then(|a| a.morph.clone()));
    }
    assert_eq!(typed(&d, &bel), ["amel", "het anery"]);

    let said = |d: &Device, id| d.book.genotype_said(id);
    assert_eq!((said(&d, &bel), said(&d, &moss)), (genes::Genotype::NotEntered, genes::Genotype::NotEntered));
    let can = |d: &Device| outcomes(&d.book, &bel, &moss, 16, None).expect("both there");
    assert!(can(&d).not_entered() && can(&d).rows.is_empty(), "not “normal 100 %”: {:?}", can(&d).rows);

    // One tap enters what is offered, and it is offered no more.
    let offered = d.book.typed_traits(&bel).remove(1).line;
    d.act(&GenotypesNoted { lines: vec![offered], when: When::day(d.now.date()) });
    assert_eq!(typed(&d, &bel), ["amel"]);
    assert_eq!(said(&d, &bel), genes::Genotype::Carries("het anerythristic".into()));
    assert_eq!(said(&d, &moss), genes::Genotype::NotEntered);
    assert!(!can(&d).not_entered() && !can(&d).rows.is_empty());
    let normal = GenotypeLine {
        animal: Some(moss.clone()),
        of_trait: "corn-anerythristic".into(),
        seen: Some(TraitSeen::No),
        known: Some(TraitKnown::Not),
        ..GenotypeLine::default()
    };
    d.act(&GenotypesNoted { lines: vec![normal], when: When::day(d.now.date()) });
    assert_eq!(said(&d, &moss), genes::Genotype::Normal);
}

/// Undoes acts of one deed, the last first, as the pages do; how many acts that took.
fn undo_deed(d: &mut Device, of: &journal::Entry) -> usize {
    let entries: Vec<journal::Entry> =
        d.lines.iter().map(|line| journal::Entry::read(line).expect("own line")).collect();
    let lookup = |named: &journal::Named| -> Vec<journal::Entry> {
        entries.iter().filter(|entry| named.means(&entry.reference)).cloned().collect()
    };
    let (mut first, mut acts) = (None, 0);
    for part in journal::deed(of, entries.iter()).into_iter().rev() {
        let entry = entries.iter().find(|entry| entry.reference == part).expect("kept");
        let Some(draft) = d.book.journal().undo(entry, lookup).draft else { continue };
        let line = d.seal(journal::Draft { with: first, ..draft });
        first.get_or_insert(journal::Entry::read(&line).expect("own line").reference);
        acts += 1;
    }
    acts
}

fn last(d: &Device) -> journal::Entry {
    journal::Entry::read(d.lines.last().expect("acted")).expect("own line")
}

#[test]
fn a_sheet_of_two_thousand_rows_is_undone_in_one_go() {
    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let row = |n: usize| {
        let card = AnimalCard {
            code: format!("K{n:04}"),
            name: format!("Animal {n}"),
            species: Some(KING.to_owned()),
            sex: Some(Sex::Female),
            morph: "amelanistic het anerythristic".to_owned(),
            line: "Alder Lane".to_owned(),
            locality: "Riverside County, of the older line".to_owned(),
            born: Some(when("2021-07-01")),
            dam: Some(bel.clone()),
            note: "bought at the autumn show, eats well".to_owned(),
            ..AnimalCard::default()
        };
        let id = AnimalId::from(format!("K{n:07}").as_str());
        let weight = Some((g(400), when("2026-06-01")));
        SheetRow::Animal(Box::new(SheetAnimal { id, card, place: None, weight, asked: None }))
    };
    let here = |d: &Device| d.book.animals().len();
    let parts = SheetBroughtIn::parts((0..2000).map(row).collect());
    assert_eq!(parts.iter().map(|part| part.rows.len()).sum::<usize>(), 2000);
    assert!((2..9).contains(&parts.len()), "{}", parts.len());
    let mut first = None;
    for part in &parts {
        let draft = d.draft(part).expect("good rows");
        let line = d.seal(journal::Draft { with: first, ..draft });
        first.get_or_insert(journal::Entry::read(&line).expect("own line").reference);
    }
    assert_eq!(here(&d), 2001);
    let brought = last(&d);
    assert_eq!(undo_deed(&mut d, &brought), parts.len());
    assert_eq!(here(&d), 1, "all of it, and nothing else");
    // The undo is one deed as well, and so on.
    for expected in [2001, 1] {
        let undo = last(&d);
        assert_eq!(undo_deed(&mut d, &undo), parts.len());
        assert_eq!(here(&d), expected);
    }
    assert!(d.lines.iter().all(|line| line.len() <= journal::MAX_LINE));
}

#[test]
fn the_daybook_knows_what_stands_undone_and_names_no_ids() {
    // Newest first: act 1, undone by 2, that undone by 3, act 1 undone again by 4.
    let acts = |newest: &[(u32, Option<u32>)]| undone(newest).into_iter().collect::<Vec<_>>();
    assert_eq!(acts(&[(2, Some(1)), (1, None)]), [1]);
    assert_eq!(acts(&[(3, Some(2)), (2, Some(1)), (1, None)]), [2]);
    assert_eq!(acts(&[(4, Some(3)), (3, Some(2)), (2, Some(1)), (1, None)]), [1, 3], "undone by undoing the redoing");
    assert_eq!(acts(&[(4, Some(1)), (3, Some(2)), (2, Some(1)), (1, None)]), [1, 2, 3], "4 alone says it");

    let mut d = barn("2026-06-09T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, None);
    let added = last(&d);
    assert_eq!(named(&d.book, bel.as_str()).as_deref(), Some("Bel"));
    assert_eq!(named(&d.book, &bel.thing().to_string()).as_deref(), Some("Bel"));
    for text in ["Bel", "animal:nobody", "26-001", "a.b.c", "ABCDEFGH"] {
        assert_eq!(named(&d.book, text), None, "{text}");
    }
    undo_deed(&mut d, &added);
    assert_eq!(named(&d.book, bel.as_str()).as_deref(), Some("animal that is not here"));
    let said = |d: &Device, entry: &journal::Entry| -> Vec<String> {
        describe(&d.book, entry).subjects.into_iter().map(|(_, name)| name).collect()
    };
    assert_eq!((said(&d, &added), said(&d, &last(&d))), (vec!["Bel".to_owned()], vec![]));
    let back = last(&d);
    undo_deed(&mut d, &back);
    assert_eq!(d.book.animals().len(), 1);
    assert_eq!(undo_deed(&mut d, &added), 1, "what stands again can be undone again");
    assert_eq!(d.book.animals().len(), 0);
}

#[test]
fn candlings_pips_and_meals_are_dated_and_corrected_later() {
    let mut d = barn("2026-04-10T20:00");
    let bel = animal(&mut d, "Bel", Sex::Female, Some("2022-07-01"));
    let filling = d.make(Kind::Filling, &pulled(&d, &bel, counted(2, 0)), FillingId::new);
    let eggs: Vec<EggId> = d.book.eggs_in(&filling).iter().map(|egg| egg.id.clone()).collect();
    d.now = at("2026-06-15T20:00");
    // Sunday's paper, typed on Monday.
    let candled = |when: &str, seen| {
        let changes = [(eggs[0].clone(), seen)].into();
        BoxCandled { filling: filling.clone(), when: common::when(when), changes, note: String::new() }
    };
    d.act(&candled("2026-06-14", Seen::Clear));
    d.act(&candled("2026-06-01", Seen::Veins));
    let seen = |d: &Device, egg: usize| d.book.last_seen(&eggs[egg]).map(|(seen, _)| seen);
    assert_eq!(seen(&d, 0), Some(Seen::Clear), "typed last, seen first");
    let newest = d.book.candlings(&filling).next().expect("two").id.clone();
    let mut edited = CandlingEdited::of(&d.book, &newest, When::day(d.now.date())).expect("there");
    assert_eq!((edited.when, edited.seen[&eggs[0]]), (when("2026-06-14"), Seen::Clear));
    edited.seen.insert(eggs[0].clone(), Seen::Dark);
    edited.when = when("2026-06-13");
    d.act(&edited);
    assert_eq!(
        (seen(&d, 0), d.book.last_seen(&eggs[0]).and_then(|(_, c)| c.when)),
        (Some(Seen::Dark), Some(when("2026-06-13")))
    );
    assert!(d.draft(&edited).is_err_and(|why| why == Refusal::NothingChanged));
    for bad in ["2026-04-01", "2026-06-20"] {
        let act = CandlingEdited { when: when(bad), ..edited.clone() };
        assert!(d.draft(&act).is_err(), "{bad}: before the box was set, or not yet");
        assert!(d.draft(&Redated { thing: newest.thing(), when: when(bad) }).is_err(), "{bad}");
    }
    d.act(&EggsPipped { eggs: vec![eggs[0].clone()], when: Some(when("2026-06-14")) });
    let pip = d.book.did(&eggs[0], Step::Pip).expect("pipped").id.clone();
    d.act(&Redated { thing: pip.thing(), when: when("2026-06-12") });
    assert_eq!(d.book.did(&eggs[0], Step::Pip).and_then(|pip| pip.when), Some(when("2026-06-12")));
    let (animals, offered) = (vec![bel.clone()], when("2026-06-10"));
    let outcome = Some(MealOutcome::Eaten);
    d.act(&MealOffered { animals, offered, outcome, prey: "mouse".into(), size: String::new(), how: String::new() });
    let meal = d.book.meals(&bel).next().expect("a meal").id.clone();
    let mut edited = MealEdited::of(&d.book, &meal, When::day(d.now.date())).expect("there");
    edited.offered = when("2026-06-09");
    d.act(&edited);
    assert_eq!(d.book.meals(&bel).next().and_then(|meal| meal.offered), Some(when("2026-06-09")));
}

/// A gecko lays two eggs every few weeks: the next are expected from her own intervals until they do not come.
#[test]
fn who_lays_in_series_is_waited_for_after_each_clutch() {
    let mut d = barn("2026-04-01T08:00");
    let pip = animal(&mut d, "Pip", Sex::Female, None);
    let mut gecko = AnimalCard::of(&d.book, &pip).expect("there");
    gecko.species = Some("eublepharis-macularius".to_owned());
    d.act(&AnimalEdited { animal: pip.clone(), card: gecko });
    let next = |d: &Device| animal_view(&d.book, &pip, d.now).expect("there").next;
    let lays = |d: &mut Device, day: &str| {
        d.now = at(&format!("{day}T08:00"));
        let clutch = d.make(Kind::Clutch, &EggsFound::under(&d.book, &pip, d.now), ClutchId::new);
        let act = ClutchPulled::start(&d.book, Some(&clutch), &[], d.now);
        d.act(&ClutchPulled { card: ClutchCard { counts: Some(counted(2, 0)), ..act.card.clone() }, ..act });
    };
    let median = |d: &Device| d.book.outlook(&pip, d.now).expect("waited for").window.unlooked.median;
    lays(&mut d, "2026-04-01");
    // 14 to 45 days is usual, so about 25.
    assert!(matches!(next(&d).as_slice(), [NextStep::EggsDue { sign: Sign::Laid, own: 0, .. }]), "{:?}", next(&d));
    assert!((at("2026-04-24T00:00")..at("2026-04-29T00:00")).contains(&median(&d)), "{}", median(&d));
    for day in ["2026-04-19", "2026-05-07", "2026-05-25"] {
        lays(&mut d, day);
    }
    // Hers come every 18 days.
    assert!((at("2026-06-11T00:00")..at("2026-06-15T00:00")).contains(&median(&d)), "{}", median(&d));
    let series = d.book.series(&pip, d.now);
    assert_eq!(series.iter().map(|one| one.days).collect::<Vec<_>>(), [None, Some(18), Some(18), Some(18)]);
    let due = |d: &Device| rounds(&d.book, d.now).into_iter().any(|due| due.kind == DueKind::LayDue);
    d.now = at("2026-06-01T20:00");
    assert!(!due(&d));
    d.now = at("2026-06-13T20:00");
    assert!(due(&d));
    // None come: she is waited for no more, and it is said.
    d.now = at("2026-07-20T20:00");
    assert!(matches!(next(&d).as_slice(), [NextStep::NoEggs { sign: Sign::Laid, .. }]), "{:?}", next(&d));
    assert!(!due(&d));
    // What follows on an older clutch says nothing of a pairing begun since.
    let moss = animal(&mut d, "Moss", Sex::Male, None);
    let act = Paired { dams: vec![pip.clone()], sires: vec![moss], when: when("2026-07-20"), note: String::new() };
    d.make(Kind::Pairing, &act, PairingId::new);
    assert_eq!(pairing_rows(&d.book, d.now).remove(0).next, []);
    d.now = at("2026-09-20T20:00");
    assert_eq!((next(&d), d.book.series(&pip, d.now)), (vec![], vec![]), "the season is over");
}
