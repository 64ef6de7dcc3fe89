//! What a veterinarian ordered: due on Rounds, given, missed, asked about when it is given twice. Who is set apart: done
//! last, asked about before it is moved.

mod apart;
#[path = "../common/mod.rs"]
mod common;
mod doses;
mod orders;

use book::acts::*;
use book::views::*;
use book::*;
use common::*;

fn animal(d: &mut Device, name: &str) -> AnimalId {
    let card = AnimalCard { name: name.into(), ..AnimalCard::default() };
    d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
}

fn card(every_hours: u32, until: &str) -> TreatmentCard {
    TreatmentCard {
        what: "Drops".into(),
        dose: "one, left eye".into(),
        by: "The practice".into(),
        from: Some(when("2026-06-09T08:00")),
        every_hours,
        until: until.parse().ok(),
        ..TreatmentCard::default()
    }
}

fn ordered(d: &mut Device, animals: &[&AnimalId], card: TreatmentCard) -> Vec<TreatmentId> {
    let act = TreatmentOrdered { animals: animals.iter().map(|id| (*id).clone()).collect(), card };
    d.all(Kind::Treatment, &act).into_iter().map(|thing| TreatmentId::new(thing.id)).collect()
}

fn given(treatment: &TreatmentId, at: &str) -> DoseNoted {
    DoseNoted { treatment: treatment.clone(), when: when(at), left_out: false, note: String::new() }
}

/// How a treatment stands: given, left out, missed, given twice, before the first and after the last; of how many.
fn stands(d: &Device, treatment: &TreatmentId) -> ([u32; 6], Option<u32>) {
    let row = treatment_view(&d.book, treatment, d.now).expect("there").row;
    ([row.given, row.left_out, row.standing.missed, row.twice, row.before, row.after], row.of)
}

/// What Rounds says of doses.
fn dose_rows(d: &Device) -> Vec<Due> {
    rounds(&d.book, d.now).into_iter().filter(|due| due.kind == DueKind::Dose).collect()
}

/// Of each dose due: the animal's name, what, and how many before were missed.
fn due(d: &Device) -> Vec<(String, String, u32)> {
    let doses = dose_rows(d).into_iter();
    let said = |due: Due| match due.fact {
        Fact::Dose { what, missed, .. } => (due.name, what, missed),
        other => panic!("{other:?}"),
    };
    doses.map(said).collect()
}
