//! Where things stand at Alder Lane: one room, three racks of tubs, two incubators.

use super::{Ago, Plan, Who};
use crate::acts::{IncubatorAdded, PersonNamed, PlaceAdded, PlaceCard, all_made};
use crate::ids::Kind;
use crate::words::PlaceWhat;
use trade::units::Temp;

pub(super) const ROOM: &str = "Long room";
/// A rack's letter and how many tubs it has; a tub is called by both, as in `A7`.
pub(super) const RACKS: [(&str, usize); 3] = [("A", 24), ("B", 22), ("C", 24)];

/// An incubator and what its shelves are set to, top to bottom, in 0.01 °C. A shelf is called `N1` or `S2` here.
const INCUBATORS: [(&str, &str, &[i32]); 2] =
    [("N", "North cabinet", &[2800, 2800, 2800, 2780, 2750]), ("S", "South cabinet", &[3150, 3150, 2850, 2850])];

/// The season was prepared this long ago.
const SET_UP: i64 = 150;

pub(super) fn plan(plan: &mut Plan) {
    for who in Who::ALL {
        plan.add(who, Ago(SET_UP, 9, 0), move |season| {
            season.write(&PersonNamed { person: None, name: who.name().to_owned() }).map(drop)
        });
    }
    place(plan, ROOM, PlaceWhat::Room, ROOM.to_owned(), None);
    for (rack, tubs) in RACKS {
        place(plan, rack, PlaceWhat::Rack, format!("Rack {rack}"), Some(ROOM));
        for tub in 1..=tubs {
            place(plan, &format!("{rack}{tub}"), PlaceWhat::Tub, format!("{rack}{tub}"), Some(rack));
        }
    }
    for (key, name, shelves) in INCUBATORS {
        plan.add(Who::Ines, Ago(SET_UP, 9, 30), move |season| {
            let shelves = (1..).zip(shelves).map(|(n, &cc)| (format!("Shelf {n}"), Some(Temp(cc)))).collect();
            let act = IncubatorAdded { name: name.to_owned(), within: Some(season.place(ROOM)?), shelves };
            let drafted = season.write(&act)?;
            for (n, thing) in all_made(&drafted, Kind::Place).enumerate() {
                let name = if n == 0 { key.to_owned() } else { format!("{key}{n}") };
                season.remember(thing, &name);
            }
            Ok(())
        });
    }
}

fn place(plan: &mut Plan, key: &str, what: PlaceWhat, name: String, within: Option<&'static str>) {
    let key = key.to_owned();
    plan.add(Who::Ines, Ago(SET_UP, 9, 10), move |season| {
        let within = within.map(|name| season.place(name)).transpose()?;
        let act = PlaceAdded { id: None, card: PlaceCard { within, ..PlaceCard::new(what, name) } };
        season.make(Kind::Place, &key, &act)
    });
}
