//! A python left with her eggs: Tobin keeps her, and entered it all last night.

use super::{Ago, Plan, Who, places::ROOM};
use crate::acts::{AnimalAdded, AnimalCard, ClutchCard, ClutchPulled, PlaceAdded, PlaceCard, ReadingsImported, made};
use crate::ids::Kind;
use crate::words::{Came, PlaceWhat, Sex};
use Who::Tobin;
use chrono::{Datelike, TimeDelta};
use trade::path::Reading;
use trade::units::Temp;
use trade::when::When;

const SPECIES: &str = "morelia-spilota";
/// Days ago she laid.
const LAID: i64 = 21;

pub(super) fn plan(plan: &mut Plan) {
    plan.add(Tobin, Ago(1, 23, 30), |season| {
        let card =
            PlaceCard { within: Some(season.place(ROOM)?), ..PlaceCard::new(PlaceWhat::Tub, "Vivarium 1".to_owned()) };
        season.make(Kind::Place, "V1", &PlaceAdded { id: None, card })
    });
    plan.add(Tobin, Ago(1, 23, 32), |season| {
        let card = AnimalCard {
            code: "CP1".to_owned(),
            name: "Briar".to_owned(),
            species: Some(SPECIES.to_owned()),
            sex: Some(Sex::Female),
            came: Some(Came::Bought),
            ..AnimalCard::default()
        };
        let place = Some(season.place("V1")?);
        season.make(Kind::Animal, "Briar", &AnimalAdded { id: None, card, place })
    });
    let (from, to) = (plan.moment(Ago(LAID + 1, 0, 20)), plan.moment(Ago(1, 22, 20)));
    plan.add(Tobin, Ago(1, 23, 34), move |season| {
        let hours = (to - from).num_hours();
        // A probe under her coils: she keeps them warmer and steadier than the air about her.
        let swing = |h: i64| [0, 8, 14, 8, 0, -8, -14, -8][(h / 3 % 8) as usize];
        let readings = (0..=hours).map(|h| Reading { at: from + TimeDelta::hours(h), temp: Temp(3070 + swing(h)) });
        let act = ReadingsImported {
            place: season.place("V1")?,
            source: "logger under her.csv".to_owned(),
            readings: readings.collect(),
            humidity: Vec::new(),
        };
        season.write(&act).map(drop)
    });
    let (laid, found) = (plan.day(LAID), When::time(plan.moment(Ago(LAID, 20, 30))));
    plan.add(Tobin, Ago(1, 23, 36), move |season| {
        let card = ClutchCard {
            number: format!("{:02}-P1", laid.year() % 100),
            dams: season.animals(&["Briar"])?,
            species: Some(SPECIES.to_owned()),
            laid: Some(When::day(laid)),
            note: "Tight round them. Not unwrapped, not counted.".to_owned(),
            ..ClutchCard::default()
        };
        let act = ClutchPulled { card, left: true, when: Some(found), ..ClutchPulled::default() };
        let drafted = season.write(&act)?;
        season.remember(made(&drafted, Kind::Clutch).ok_or("made no clutch")?, "P1");
        season.remember(made(&drafted, Kind::Filling).ok_or("made no nest")?, "P1");
        Ok(())
    });
}
