//! What the loggers wrote, the cut seen by them, and a shelf set anew.

use super::{Ago, Plan, Who};
use crate::acts::{ReadingsImported, SetPointChanged};
use Who::{Ines, Tobin};
use chrono::TimeDelta;
use trade::path::Reading;
use trade::units::{Humidity, Temp};

/// Shelves with a logger, and what they are set to in 0.01 °C.
const LOGGED: [(&str, i32); 3] = [("N1", 2800), ("N2", 2800), ("S1", 3150)];
/// Days ago its records begin and were brought in.
const FROM: i64 = 70;
const TO: i64 = 2;

pub(super) fn plan(plan: &mut Plan) {
    let cut = (plan.moment(Ago(20, 13, 5)), plan.moment(Ago(20, 15, 50)));
    let (from, to) = (plan.moment(Ago(FROM, 0, 10)), plan.moment(Ago(TO, 17, 10)));
    for (shelf, set) in LOGGED {
        plan.add(Tobin, Ago(TO, 18, 5), move |season| {
            let hours = (to - from).num_hours();
            let readings = (0..=hours).map(|h| from + TimeDelta::hours(h)).enumerate().map(|(h, at)| {
                // The day's swing of the room and the thermostat's own beat, about the set temperature.
                let swing = [0, 6, 11, 14, 11, 6, 0, -6, -11, -14, -11, -6][h / 2 % 12] + [3, -3, 0][h % 3];
                let cold = if (cut.0..=cut.1 + TimeDelta::hours(2)).contains(&at) { 85 } else { 0 };
                Reading { at, temp: Temp(set + swing - cold) }
            });
            let readings: Vec<Reading> = readings.collect();
            // One of them has a second column: drier by day, when the room is warm.
            let humid = |(h, reading): (usize, &Reading)| {
                let tenths = [520, 512, 505, 500, 498, 500, 506, 514, 522, 530, 533, 528][h / 2 % 12];
                (reading.at, Humidity(tenths))
            };
            let humidity = readings.iter().enumerate().filter(|_| shelf == "N1").map(humid).collect();
            let act = ReadingsImported {
                place: season.place(shelf)?,
                source: format!("logger {shelf}.csv"),
                readings,
                humidity,
            };
            season.write(&act).map(drop)
        });
    }
    plan.add(Ines, Ago(9, 20, 50), |season| {
        let act = SetPointChanged { place: season.place("S2")?, from: season.when(), temp: Temp(3100) };
        season.write(&act).map(drop)
    });
}
