//! Every act there is: which page offers it, where its date is entered, and how it is put right later. The list is matched
//! in full, so that a new act without a row does not compile; and each row is looked up in the pages' own sources.

use book::Kind;
use book::acts::ActKind;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A page's source, and what in it says so.
type At = (&'static str, &'static str);

enum Dated {
    /// A field of the page that offers it.
    There,
    /// A field of another page it is reached through.
    At(At),
    /// It happens as it is tapped; the page that puts it right has its date.
    AsTapped,
    /// It has no date: it says how things are, not that something happened.
    None,
}

enum PutRight {
    /// *Correct*, by the record it makes: linked from where it shows.
    Correct(Kind, At),
    /// A page's own form.
    On(At),
    /// It is itself what puts right; done again, it is put right.
    Again,
    /// Nothing to put right but that it was done: the daybook undoes it. Why.
    Daybook(&'static str),
    /// It cannot be undone: what it erased is gone.
    Never,
}

use Dated::*;
use PutRight::*;

const ANIMAL: &str = "pages/animals/form.rs";
const STORY: At = ("pages/animals/page.rs", "Page::Correct(line.thing");
const LINES: At = ("pages/boxes/page.rs", "Page::Correct(thing.kind");
const COOLING: &str = "pages/cooling/page.rs";
const CORRECT: &str = "pages/correct/forms.rs";
const PROMISES: &str = "pages/correct/promises.rs";
const WISH: At = ("pages/babies/wishes.rs", "Kind::Wish");
const HOLD: At = ("pages/babies/wishes.rs", "Kind::Hold");
const SETUP: At = ("pages/boxes/setup.rs", "SetupForm");
const CLUTCH: At = ("pages/clutches/edit.rs", "ClutchForm");
const EGG: At = ("pages/babies/egg.rs", "EggForm");
const PLACE: At = ("pages/places/edit.rs", "PlaceEditForm");

fn way(act: ActKind) -> (&'static [At], Dated, PutRight) {
    use ActKind::*;
    match act {
        AgainRuleSet => (&[("pages/pairings/list.rs", "again_set")], Dated::None, Again),
        AnimalAdded => (&[(ANIMAL, "AnimalAdded")], There, On((ANIMAL, "AnimalEdited"))),
        AnimalEdited => (&[(ANIMAL, "AnimalEdited")], There, Again),
        AnimalEventEdited => (&[(CORRECT, "AnimalEventEdited")], There, Again),
        AnimalEventNoted => (
            &[("pages/animals/panels.rs", "AnimalEventNoted"), ("pages/pairings/page.rs", "AnimalEventNoted")],
            There,
            PutRight::Correct(Kind::AnimalEvent, STORY),
        ),
        AnimalsPlaced => (&[("pages/babies/leave.rs", "PlacingForm")], There, On((ANIMAL, "LEFT_ON"))),
        AnimalsSeen => {
            (&[("pages/animals/many.rs", "AnimalsSeen")], There, PutRight::Correct(Kind::AnimalEvent, STORY))
        }
        AnimalsWeighed => {
            (&[("pages/animals/many.rs", "many_weighed")], There, PutRight::Correct(Kind::AnimalEvent, STORY))
        }
        BaselineReset => {
            (&[("pages/boxes/water.rs", "WaterAct::Baseline")], There, PutRight::Correct(Kind::Water, LINES))
        }
        BlankLabelsMade => (&[("pages/labels/blank.rs", "BlankLabelsMade")], Dated::None, Daybook("paper")),
        BoxCandled => (
            &[("pages/boxes/candle.rs", "BoxCandled"), ("pages/walk/acts.rs", "BoxCandled")],
            Dated::At(("pages/walk/mod.rs", "WhenFold")),
            PutRight::Correct(Kind::Candling, LINES),
        ),
        BoxEdited => (&[SETUP], There, Again),
        BoxEmptied => (&[("pages/boxes/page.rs", "BoxEmptied")], There, On(("pages/boxes/setup.rs", "EMPTIED_ON"))),
        BoxSet => (&[("pages/boxes/later.rs", "boxes::set")], There, On(("pages/boxes/setup.rs", "SET_ON"))),
        BreedingRuleSet => (&[("pages/pairings/ready.rs", "BreedingForm")], Dated::None, Again),
        CandlingEdited => (&[(CORRECT, "CandlingEdited")], There, Again),
        CleaningEdited => (&[(CORRECT, "CleaningEdited")], There, Again),
        CleaningRuleSet => (&[("pages/care/clean.rs", "cleaning_set")], Dated::None, Again),
        ClashSettled => (&[("pages/rounds/clash.rs", "ClashSettled")], Dated::None, Daybook("a choice")),
        ClutchEdited => (&[CLUTCH], There, Again),
        ClutchPulled => (&[("pages/pull/mod.rs", "PullForm")], There, On(CLUTCH)),
        ClutchesJoined => (
            &[("pages/doubles/mod.rs", "ClutchesJoined"), ("pages/clutches/edit.rs", "ClutchesJoined")],
            Dated::None,
            On(("pages/boxes/clutch.rs", "ClutchesParted")),
        ),
        ClutchesParted => (
            &[("pages/doubles/mod.rs", "ClutchesParted"), ("pages/boxes/clutch.rs", "ClutchesParted")],
            Dated::None,
            On(("pages/clutches/edit.rs", "ClutchesJoined")),
        ),
        ContactKept => (&[("pages/babies/contact.rs", "ContactKept")], Dated::None, Again),
        CoolingEdited => (
            &[("pages/cooling/form.rs", "CoolingForm"), (COOLING, "begun("), (COOLING, "ended(")],
            AsTapped,
            On(("pages/cooling/form.rs", "fn Fix")),
        ),
        CoolingRuleSet => (&[("pages/cooling/list.rs", "cooling_set")], Dated::None, Again),
        CoolingSet => (&[("pages/cooling/form.rs", "fn CoolThese")], There, On(("pages/cooling/form.rs", "fn Fix"))),
        CostEdited => (&[(PROMISES, "CostEdited")], There, Again),
        CostNoted => (
            &[("pages/money/costs.rs", "CostForm")],
            There,
            PutRight::Correct(Kind::Cost, ("pages/money/costs.rs", "Page::Correct(")),
        ),
        CurrencySet => (&[("pages/settings/page.rs", "CurrencySet")], Dated::None, Again),
        DoseEdited => (&[(CORRECT, "DoseEdited")], There, Again),
        DoseNoted => (
            &[("pages/care/treatment.rs", "DoseNoted"), ("pages/care/given.rs", "DoseNoted")],
            Dated::At(("pages/care/treatment.rs", "MomentField")),
            PutRight::Correct(Kind::Dose, ("pages/care/treatment.rs", "Page::Correct(")),
        ),
        EggEdited => (&[EGG], There, Again),
        EggFate => (&[("pages/boxes/leave.rs", "LeaveForm")], There, On(EGG)),
        EggsAdded => (&[("pages/boxes/later.rs", "LaterForm")], There, On(CLUTCH)),
        EggsCut | EggsOut | EggsPipped => (
            &[
                ("pages/boxes/hatching.rs", "EggsCut {"),
                ("pages/boxes/hatching.rs", "EggsOut {"),
                ("pages/boxes/hatching.rs", "EggsPipped {"),
            ],
            There,
            PutRight::Correct(Kind::Hatching, LINES),
        ),
        EggsFound => (&[("pages/pull/mod.rs", "EggsFound")], There, On(CLUTCH)),
        EggsMeasured => (&[("pages/clutches/measure.rs", "measured")], Dated::None, On(EGG)),
        FaceChosen => (&[("pages/animals/photos.rs", "FaceChosen")], Dated::None, Again),
        FolliclesNoted => {
            (&[("pages/animals/panels.rs", "FolliclesForm")], There, PutRight::Correct(Kind::AnimalEvent, STORY))
        }
        GenotypesNoted => (
            &[("pages/genetics/animal.rs", "GenotypesNoted"), ("pages/genetics/looks.rs", "GenotypesNoted")],
            Dated::None,
            Again,
        ),
        HatchedOut => (&[("pages/babies/hatch.rs", "HatchForm")], There, On((ANIMAL, "BORN"))),
        Held => (&[("pages/babies/leave.rs", "PlacingForm")], There, PutRight::Correct(Kind::Hold, HOLD)),
        HoldEdited => (&[(PROMISES, "HoldEdited")], There, Again),
        HoldEnded => (
            &[("pages/babies/leave.rs", "HoldEnded"), ("pages/babies/wishes.rs", "HoldEnded")],
            There,
            PutRight::Correct(Kind::Hold, HOLD),
        ),
        IncidentEdited => (&[(CORRECT, "IncidentEdited")], There, Again),
        IncidentNoted => (
            &[("pages/places/page.rs", "incident(")],
            There,
            PutRight::Correct(Kind::Incident, ("pages/places/page.rs", "Page::Correct(")),
        ),
        IncubatorAdded | PlaceAdded | RackAdded => (&[("pages/places/form.rs", "NewPlace::")], Dated::None, On(PLACE)),
        LabelPrinted | LabelsPrinted => (&[("pages/labels/print.rs", "LabelsPrinted")], Dated::None, Daybook("paper")),
        LockNoted => (
            &[("pages/pairings/page.rs", "LockNoted")],
            There,
            PutRight::Correct(Kind::LockSeen, ("pages/pairings/page.rs", "Page::Correct(")),
        ),
        MealEdited => (&[(CORRECT, "MealEdited")], There, Again),
        MealOffered | MealOutcomeSeen => (
            &[("pages/babies/meal.rs", "MealOffered"), ("pages/walk/acts.rs", "MealOutcomeSeen")],
            Dated::At(("pages/walk/mod.rs", "WhenFold")),
            PutRight::Correct(Kind::Meal, STORY),
        ),
        Moved => (
            &[
                ("pages/boxes/moving.rs", "Moved"),
                ("pages/walk/acts.rs", "Moved"),
                ("pages/animals/panels.rs", "Moved"),
                ("ui/carried.rs", "Moved"),
            ],
            Dated::At(("pages/boxes/moving.rs", "WhenFold")),
            PutRight::Correct(Kind::Move, ("pages/boxes/page.rs", "record_words::moves")),
        ),
        NoteEdited => (&[(CORRECT, "NoteEdited")], There, Again),
        Noted => (&[("pages/boxes/notes.rs", "Noted")], There, PutRight::Correct(Kind::Note, LINES)),
        OpeningEdited => (&[(CORRECT, "OpeningEdited")], There, Again),
        Paired => (&[("pages/pairings/form.rs", "Paired {")], There, On(("pages/pairings/form.rs", "PairingForm"))),
        PairingEdited => (&[("pages/pairings/form.rs", "PairingEdited")], There, Again),
        PairingEnded => {
            (&[("pages/pairings/page.rs", "PairingEnded")], There, On(("pages/pairings/form.rs", "SEPARATED")))
        }
        PersonErased => (&[("store/people.rs", "PersonErased")], Dated::None, Never),
        PersonNamed => (&[("pages/settings/page.rs", "PersonNamed")], Dated::None, Again),
        PhotoEdited => (&[(CORRECT, "PhotoEdited")], There, Again),
        PhotoTaken => (
            &[("pages/boxes/notes.rs", "PhotoTaken"), ("pages/animals/photos.rs", "PhotoTaken")],
            There,
            PutRight::Correct(Kind::Photo, ("ui/photo.rs", "Page::Correct(")),
        ),
        PlaceEdited => (&[PLACE, ("pages/heat/shelf.rs", "PlaceEdited")], Dated::None, Again),
        PriceAsked => (&[("pages/animals/panels.rs", "price_asked(")], Dated::None, Again),
        QuarantineEdited => (&[("pages/care/apart.rs", "ApartForm")], There, Again),
        RackFed => (&[("pages/babies/feed.rs", "RackFed")], There, PutRight::Correct(Kind::Meal, STORY)),
        ReadingEdited => (&[(CORRECT, "ReadingEdited")], There, Again),
        ReadingTaken => (
            &[("pages/places/page.rs", "read_now")],
            There,
            PutRight::Correct(Kind::Reading, ("pages/places/page.rs", "Page::Correct(")),
        ),
        // Its readings bring their own times.
        ReadingsImported => (
            &[("pages/heat/log.rs", "ReadingsImported")],
            Dated::None,
            PutRight::Correct(Kind::ReadingLog, ("pages/heat/shelf.rs", "Page::Correct(")),
        ),
        RecordsWithdrawn => (&[("pages/doubles/mod.rs", "RecordsWithdrawn")], Dated::None, Daybook("taken back")),
        Redated => (&[(CORRECT, "Redated")], There, Again),
        RulesSet => (&[("pages/babies/rules.rs", "rules_set")], Dated::None, Again),
        SetApart => (&[("pages/care/apart.rs", "ApartForm")], There, On(("pages/care/apart.rs", "ApartForm::new"))),
        SetPointChanged => (
            &[("pages/heat/shelf.rs", "SetPointChanged")],
            There,
            PutRight::Correct(Kind::SetPoint, ("pages/heat/shelf.rs", "Page::Correct(")),
        ),
        SetPointEdited => (&[(CORRECT, "SetPointEdited")], There, Again),
        // The rows hold the days; what came in is edited like anything else.
        SheetBroughtIn => (&[("pages/sheet/mod.rs", "save_as_one")], Dated::None, On((ANIMAL, "AnimalEdited"))),
        Snoozed => (&[("pages/rounds/mod.rs", "Snoozed")], Dated::None, Again),
        SpeciesSet => (&[("pages/heat/species.rs", "SpeciesForm")], Dated::None, Again),
        StockTaken => (
            &[("pages/walk/stock.rs", "StockTaken")],
            Dated::At(("pages/walk/mod.rs", "WhenFold")),
            PutRight::Correct(Kind::StockTaking, ("pages/walk/stock.rs", "Page::Correct(")),
        ),
        SupplySet => (&[("pages/season/needs.rs", "counts::supply")], Dated::None, Again),
        TakenOut => (
            &[("pages/boxes/setup.rs", "taken(")],
            There,
            PutRight::Correct(Kind::TakenOut, ("pages/boxes/page.rs", "record_words::taken")),
        ),
        TakenOutEdited => (&[(CORRECT, "TakenOutEdited")], There, Again),
        TraitSet => (&[("pages/genetics/traits.rs", "TraitSet")], Dated::None, Again),
        TreatmentEdited => (&[("pages/care/form.rs", "TreatmentForm")], There, Again),
        TreatmentOrdered => {
            (&[("pages/care/form.rs", "TreatmentForm")], There, On(("pages/care/form.rs", "TreatmentEdit")))
        }
        TubsCleaned => (
            &[("pages/care/clean.rs", "TubsCleaned")],
            There,
            PutRight::Correct(Kind::Cleaning, ("pages/care/clean.rs", "<Lines")),
        ),
        Unswapped => (&[("pages/animals/swap.rs", "Unswapped")], There, Again),
        WaterChecked => (
            &[("pages/boxes/water.rs", "WaterAct::Checked"), ("pages/walk/acts.rs", "WaterAct::Checked")],
            Dated::At(("pages/walk/mod.rs", "WhenFold")),
            PutRight::Correct(Kind::Water, LINES),
        ),
        WaterEdited => (&[(CORRECT, "WaterEdited")], There, Again),
        WishClosed => (&[("pages/babies/wishes.rs", "WishClosed")], There, PutRight::Correct(Kind::Wish, WISH)),
        WishEdited => (&[(PROMISES, "WishEdited")], There, Again),
        WishNoted => (&[("pages/babies/wishes.rs", "WishForm")], AsTapped, PutRight::Correct(Kind::Wish, WISH)),
        Withdrawn => (&[("pages/correct/mod.rs", "Withdrawn")], Dated::None, Daybook("taken back")),
    }
}

fn web() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../web/src")
}

fn source(file: &str) -> String {
    std::fs::read_to_string(web().join(file)).unwrap_or_else(|why| panic!("{file}: {why}"))
}

fn says((file, what): At, of: &str) {
    assert!(source(file).contains(what), "{of}: {file} does not hold “{what}” any more");
}

/// What a rack's page is made of has a field for the day itself.
const RACK: At = ("ui/rack.rs", "<WhenFold");
const FIELDS: [&str; 5] = ["<SeenField", RACK.1, "<MomentField", "<DateField", "<RackPage"];

fn has_a_date(file: &str, of: &str) {
    let text = source(file);
    assert!(FIELDS.iter().any(|field| text.contains(field)), "{of}: {file} has no field for a day");
}

#[test]
fn every_act_is_offered_dated_and_put_right() {
    let corrected = source("pages/correct/forms.rs");
    says(RACK, "a rack's page");
    let mut links: BTreeSet<&str> = BTreeSet::new();
    for act in ActKind::ALL {
        let name = act.word();
        let (offered, dated, right) = way(*act);
        assert!(!offered.is_empty(), "{name}: no page offers it");
        for at in offered {
            says(*at, name);
        }
        match dated {
            There => offered.iter().for_each(|(file, _)| has_a_date(file, name)),
            Dated::At(at) => {
                says(at, name);
                has_a_date(at.0, name);
                // A walk's panels share the walk's day; what is brought where a label was scanned is brought now.
                let shared = ["pages/care/given.rs", "pages/walk/acts.rs", "pages/walk/stock.rs", "ui/carried.rs"];
                let own = offered.iter().filter(|(file, _)| !shared.contains(file));
                own.for_each(|(file, _)| has_a_date(file, name));
            }
            AsTapped => assert!(!matches!(right, Again | Never), "{name}: tapped, and not put right elsewhere"),
            Dated::None => assert!(!matches!(right, PutRight::Correct(kind, _) if kind != Kind::ReadingLog), "{name}"),
        }
        match right {
            PutRight::Correct(kind, at) => {
                says(at, name);
                links.insert(at.0);
                let own = corrected.contains(&format!("Kind::{kind:?} =>"));
                // A logger's file is what the logger says: it can only be taken back.
                assert!(own || book::acts::may_redate(kind) || kind == Kind::ReadingLog, "{name}: {kind:?}");
            }
            On(at) => says(at, name),
            Again | Never => {}
            Daybook(why) => assert!(!why.is_empty()),
        }
    }
    println!("{} acts, put right by way of {} pages", ActKind::ALL.len(), links.len());
}

#[test]
fn the_names_of_acts_are_the_journals() {
    let mut names = BTreeSet::new();
    for act in ActKind::ALL {
        assert_eq!(ActKind::of(act.word()), Some(*act));
        assert!(names.insert(act.word()), "{act:?} twice");
    }
    // What each act writes into the journal.
    let acts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../book/src/acts");
    let mut written = BTreeSet::new();
    for file in std::fs::read_dir(acts).expect("the acts").flatten() {
        let text = std::fs::read_to_string(file.path()).expect("a source");
        for call in ["draft(\"", "unbounded(\""] {
            written.extend(text.split(call).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned));
        }
    }
    assert_eq!(written.iter().map(String::as_str).collect::<BTreeSet<_>>(), names);
}
