//! The picture an animal is known by: the newest unless another was chosen; put right, taken back, undone; the pictures of
//! the demonstration.

mod common;

use book::acts::*;
use book::views::*;
use book::*;
use common::*;
use trade::when::When;

fn barn() -> (Device, AnimalId, AnimalId) {
    let mut d = Device::new(1);
    let mut animal = |name: &str, born: Option<When>| {
        let card = AnimalCard { name: name.into(), born, ..AnimalCard::default() };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    let (bel, ash) = (animal("Bel", Some(when("2026-01-10"))), animal("Ash", None));
    (d, bel, ash)
}

fn taken(about: &AnimalId, day: &str, picture: char) -> PhotoTaken {
    let hex = String::from(picture).repeat(64);
    PhotoTaken {
        about: about.thing(),
        when: when(day),
        sha256: hex.clone(),
        digest: hex,
        width: 40,
        height: 30,
        note: String::new(),
    }
}

/// The picture of its face, and whether it was chosen.
fn face(d: &Device, id: &AnimalId) -> Option<(char, bool)> {
    face_of(&d.book, id).map(|face| (face.sha256.chars().next().expect("a hash"), face.chosen))
}

fn photo(d: &Device, id: &AnimalId, picture: char) -> PhotoId {
    let all = photos_of(&d.book, &id.thing());
    all.into_iter().find(|line| line.sha256.starts_with(picture)).expect("that photo").id
}

#[test]
fn the_newest_is_its_face_until_another_is_chosen_and_again_when_that_is_gone() {
    let (mut d, bel, _) = barn();
    assert_eq!(face(&d, &bel), None);
    d.act(&taken(&bel, "2026-05-01", 'a'));
    d.act(&taken(&bel, "2026-06-01", 'b'));
    // Older, and brought in later: the day counts, not when it was typed.
    d.act(&taken(&bel, "2026-03-01", 'c'));
    assert_eq!(face(&d, &bel), Some(('b', false)));
    let of = photos_of(&d.book, &bel.thing());
    assert_eq!(of.iter().map(|line| &line.sha256[..1]).collect::<Vec<_>>(), ["b", "a", "c"], "newest first");

    let chosen = photo(&d, &bel, 'c');
    d.act(&FaceChosen { animal: bel.clone(), photo: Some(chosen.clone()) });
    assert_eq!(face(&d, &bel), Some(('c', true)));
    d.act(&taken(&bel, "2026-06-05", 'd'));
    assert_eq!(face(&d, &bel), Some(('c', true)), "a newer one does not push a chosen one out");
    d.act(&Withdrawn { thing: chosen.thing() });
    assert_eq!(face(&d, &bel), Some(('d', false)), "what was taken back is nobody's face");
    d.act(&FaceChosen { animal: bel.clone(), photo: Some(photo(&d, &bel, 'a')) });
    d.act(&FaceChosen { animal: bel.clone(), photo: None });
    assert_eq!(face(&d, &bel), Some(('d', false)));
    let nothing = d.draft(&FaceChosen { animal: bel, photo: None }).expect_err("refused");
    assert_eq!(nothing, Refusal::NothingChanged);
}

#[test]
fn the_choice_is_undone_as_any_act() {
    let (mut d, bel, _) = barn();
    d.act(&taken(&bel, "2026-05-01", 'a'));
    d.act(&taken(&bel, "2026-06-01", 'b'));
    let chose = FaceChosen { animal: bel.clone(), photo: Some(photo(&d, &bel, 'a')) };
    d.act(&chose);
    assert_eq!(face(&d, &bel), Some(('a', true)));
    d.undo_last();
    assert_eq!(face(&d, &bel), Some(('b', false)));
}

#[test]
fn anothers_photo_is_no_face_whether_chosen_or_found_out_later() {
    let (mut d, bel, ash) = barn();
    d.act(&taken(&bel, "2026-05-01", 'a'));
    d.act(&taken(&ash, "2026-05-02", 'b'));
    let other = photo(&d, &ash, 'b');
    let why = d.draft(&FaceChosen { animal: bel.clone(), photo: Some(other) }).expect_err("refused");
    assert_eq!(why, Refusal::Missing { what: "a photo of this animal" });
    let gone = PhotoId::new("X");
    let why = d.draft(&FaceChosen { animal: bel.clone(), photo: Some(gone.clone()) }).expect_err("refused");
    assert_eq!(why, Refusal::NoSuch { thing: gone.thing() });

    // They sat in each other's tubs: what was taken since then was of the other one.
    let chosen = photo(&d, &bel, 'a');
    d.act(&FaceChosen { animal: bel.clone(), photo: Some(chosen) });
    d.act(&Unswapped { one: bel.clone(), other: ash.clone(), from: when("2026-04-01"), back: false });
    assert_eq!(face(&d, &bel), Some(('b', false)));
    assert_eq!(face(&d, &ash), Some(('a', false)));
}

#[test]
fn two_devices_that_chose_differently_still_show_one_face_and_say_so() {
    let (mut one, bel, _) = barn();
    one.act(&taken(&bel, "2026-05-01", 'a'));
    one.act(&taken(&bel, "2026-06-01", 'b'));
    let mut two = Device::new(2);
    two.hear(&one.lines);
    let before = one.lines.len();
    one.act(&FaceChosen { animal: bel.clone(), photo: Some(photo(&one, &bel, 'a')) });
    two.act(&FaceChosen { animal: bel.clone(), photo: Some(photo(&two, &bel, 'b')) });
    let (chose, chose_too) = (one.lines[before..].to_vec(), two.lines.clone());
    one.hear(&chose_too);
    two.hear(&chose);
    assert_eq!(face(&one, &bel), face(&two, &bel));
    assert!(animal_view(&one.book, &bel, one.now).expect("there").clashing);
}

#[test]
fn day_and_note_are_put_right_and_no_photo_is_before_a_birth_or_after_now() {
    let (mut d, bel, ash) = barn();
    d.act(&taken(&bel, "2026-05-01", 'a'));
    let id = photo(&d, &bel, 'a');
    let stands = PhotoEdited::of(&d.book, &id, when("2026-06-01")).expect("there");
    assert_eq!((stands.when, stands.note.as_str()), (when("2026-05-01"), ""));
    d.act(&PhotoEdited { when: when("2026-04-02"), note: " In shed. ".into(), ..stands.clone() });
    let line = photos_of(&d.book, &bel.thing()).remove(0);
    assert_eq!((line.when, line.note.as_deref()), (Some(when("2026-04-02")), Some("In shed.")));
    assert!(!may_redate(Kind::Photo), "its own form checks its date");

    let early = PhotoEdited { when: when("2026-01-01"), ..stands.clone() };
    assert!(matches!(d.draft(&early), Err(Refusal::OutOfOrder { .. })), "{:?}", d.draft(&early));
    assert!(matches!(d.draft(&taken(&bel, "2026-01-01", 'b')), Err(Refusal::OutOfOrder { .. })));
    d.act(&taken(&ash, "2019-01-01", 'c'));
    let late = PhotoEdited { when: when("2031-01-01"), ..stands };
    assert_eq!(d.draft(&late), Err(Refusal::InFuture { what: "photo" }));
}

#[test]
fn the_demonstrations_photos_are_the_pictures_that_come_with_it() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../public/demo");
    let lines = demo::season(chrono::NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day"));
    let mut book = Book::new(journal::Entry::read(&lines[0]).expect("a line").book);
    lines.iter().for_each(|line| drop(book.take(line).expect("taken")));
    let mut shown = std::collections::BTreeSet::new();
    for photo in book.all_photos() {
        let (file, _) = demo::PICTURES.iter().find(|(_, hash)| photo.sha256.as_deref() == Some(hash)).expect("a file");
        let bytes = std::fs::read(folder.join(file)).expect(file);
        assert_eq!(photo.sha256, Some(journal::Hash::of(&bytes).to_string()), "{file}");
        shown.insert(*file);
    }
    assert_eq!(shown.len(), demo::PICTURES.len(), "each is of somebody");
    let faces = book.animals().into_iter().filter_map(|animal| face_of(&book, &animal.id));
    assert_eq!(faces.filter(|face| face.chosen).count(), 1, "one is known by an older one");
}
