//! From records to the egg tray's drawing.

use crate::ui::{Sign, TrayEgg};
use crate::words::eggs as words;
use book::views::{self, TrayState, hatching_tray, tray_eggs};
use book::words::{Fate, LaidAs, Seen, Step};
use book::{Book, FillingId};

fn sign_of(seen: Seen) -> Sign {
    match seen {
        Seen::Veins => Sign::Veins,
        Seen::Unsure => Sign::Unsure,
        Seen::Clear => Sign::Clear,
        Seen::Dented => Sign::Dented,
        Seen::Mouldy => Sign::Mouldy,
        Seen::Dark => Sign::Dark,
        Seen::Dead => Sign::Dead,
    }
}

fn sign(state: TrayState) -> Sign {
    match state {
        TrayState::Laid(LaidAs::Slug) => Sign::Slug,
        TrayState::Laid(_) => Sign::Plain,
        TrayState::Seen(seen) => sign_of(seen),
        TrayState::Pipped | TrayState::Cut => Sign::Pipped,
        TrayState::Out => Sign::Out,
        TrayState::Gone(Fate::Died | Fate::FullTermDead) => Sign::Dead,
        TrayState::Gone(_) => Sign::Clear,
    }
}

/// One egg as the tray shows it; `changed` is what it is being seen as just now.
pub fn drawn(book: &Book, egg: &views::TrayEgg, changed: Option<Seen>, several_clutches: bool) -> TrayEgg {
    let sign = changed.map_or_else(|| sign(egg.state), sign_of);
    // Two clutches in one box both have an egg A: the clutch's number tells them apart.
    let letter = match egg.clutch.as_ref().filter(|_| several_clutches) {
        Some(clutch) => {
            let number = book.clutch_number(clutch);
            format!("{} {}", number.rsplit('-').next().unwrap_or_default(), egg.letter)
        }
        None => egg.letter.clone(),
    };
    TrayEgg {
        id: egg.id.to_string(),
        said: words::egg_said(&letter, sign, egg.fate),
        letter,
        sign,
        clump: egg.clump,
        gone: egg.fate.is_some(),
        changed: changed.is_some(),
        still: false,
    }
}

fn several(eggs: &[views::TrayEgg]) -> bool {
    eggs.iter().any(|e| e.clutch != eggs.first().and_then(|f| f.clutch.clone()))
}

/// Eggs drawn as last seen.
pub fn all(book: &Book, eggs: &[views::TrayEgg]) -> Vec<TrayEgg> {
    let several = several(eggs);
    eggs.iter().map(|egg| drawn(book, egg, None, several)).collect()
}

/// Every egg where it lies, some being seen anew. Those that are gone keep their places: a tray that closes up would put
/// another egg under the finger.
pub fn in_places(book: &Book, filling: &FillingId, changes: impl Fn(&views::TrayEgg) -> Option<Seen>) -> Vec<TrayEgg> {
    let eggs = tray_eggs(book, filling);
    let several = several(&eggs);
    eggs.iter().map(|egg| TrayEgg { still: !egg.is_in, ..drawn(book, egg, changes(egg), several) }).collect()
}

/// The same as last seen, for telling a step of hatching.
pub fn hatching(book: &Book, filling: &FillingId, step: Step) -> Vec<TrayEgg> {
    let eggs = hatching_tray(book, filling, step);
    let all: Vec<_> = eggs.iter().map(|(egg, _)| egg.clone()).collect();
    let several = several(&all);
    eggs.iter().map(|(egg, waits)| TrayEgg { still: !waits, ..drawn(book, egg, None, several) }).collect()
}
