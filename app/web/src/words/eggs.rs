//! Eggs: what is seen, how they were laid, what became of them.

use crate::ui::Sign;
use book::words::{Fate, Seen};

pub fn seen(seen: Seen) -> &'static str {
    match seen {
        Seen::Veins => "veins",
        Seen::Unsure => "unsure",
        Seen::Clear => "clear",
        Seen::Dented => "dented",
        Seen::Mouldy => "mouldy",
        Seen::Dark => "dark",
        Seen::Dead => "dead",
    }
}

pub fn fate(fate: Fate) -> &'static str {
    match fate {
        Fate::Hatched => "hatched",
        Fate::Died => "died",
        Fate::FullTermDead => "dead in egg, full term",
        Fate::Removed => "removed",
        Fate::Sold => "sold",
        Fate::Lost => "lost",
        Fate::Eaten => "eaten",
        Fate::Unknown => "fate unknown",
    }
}

pub fn sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Plain => "not candled",
        Sign::Veins => "veins",
        Sign::Unsure => "unsure",
        Sign::Clear => "clear",
        Sign::Dented => "dented",
        Sign::Mouldy => "mouldy",
        Sign::Dark => "dark",
        Sign::Dead => "dead",
        Sign::Slug => "slug",
        Sign::Pipped => "pipped",
        Sign::Out => "out",
    }
}

/// `Egg A, veins`.
pub fn egg_said(letter: &str, drawn: Sign, ended: Option<Fate>) -> String {
    format!("Egg {letter}, {}", ended.map_or(sign(drawn), fate))
}

pub fn step(step: book::words::Step) -> &'static str {
    match step {
        book::words::Step::Pip => "pipped",
        book::words::Step::Cut => "opened by hand",
        book::words::Step::Out => "out",
    }
}
