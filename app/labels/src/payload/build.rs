//! Building the link, as rich as a code of good size allows.

use super::{Kind, Known, Slot};
use crate::{Code, qr};
use qrcode::EcLevel;
use std::fmt;

/// Where the tool is served: scheme and host, and the folder there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Base {
    origin: String,
    path: String,
}

/// Why a text is no address that labels can point to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadBase {
    /// It does not begin with `https://` or `http://`.
    NoScheme,
    NoHost,
    /// A character that a link cannot hold as it is, or a name and password before the host.
    BadCharacter(char),
    /// Longer than [`Base::MAX`].
    TooLong(usize),
}

impl fmt::Display for BadBase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoScheme => write!(f, "the address for labels must begin with https://"),
            Self::NoHost => write!(f, "the address for labels needs a host, like https://alderlane.example/"),
            Self::BadCharacter(c) => {
                write!(
                    f,
                    "the address for labels cannot hold “{}”: copy it from the browser's address bar",
                    c.escape_debug()
                )
            }
            Self::TooLong(n) => write!(
                f,
                "the address for labels has {n} characters; with more than {} the square code gets too fine to print",
                Base::MAX
            ),
        }
    }
}

impl std::error::Error for BadBase {}

impl Base {
    /// Longest address taken, characters.
    pub const MAX: usize = 120;

    /// From the address of the page (as `location.href` has it; query and fragment are dropped, and
    /// `index.html` at the end).
    ///
    /// # Errors
    /// [`BadBase`] with what to do.
    pub fn new(address: &str) -> Result<Self, BadBase> {
        let address = address.trim();
        let plain = address.split(['#', '?']).next().unwrap_or_default();
        let (scheme, rest) = plain.split_once("://").ok_or(BadBase::NoScheme)?;
        if !scheme.eq_ignore_ascii_case("https") && !scheme.eq_ignore_ascii_case("http") {
            return Err(BadBase::NoScheme);
        }
        let (host, path) = rest.find('/').map_or((rest, "/"), |at| rest.split_at(at));
        if host.is_empty() || host.starts_with(':') {
            return Err(BadBase::NoHost);
        }
        let host_ok = |c: char| c.is_ascii_alphanumeric() || "-.:[]_".contains(c);
        let path_ok = |c: char| c.is_ascii_graphic() && !"\"<>\\^`{|}".contains(c);
        if let Some(c) = host.chars().find(|&c| !host_ok(c)).or_else(|| path.chars().find(|&c| !path_ok(c))) {
            return Err(BadBase::BadCharacter(c));
        }
        let path = path.strip_suffix("index.html").unwrap_or(path);
        let n = scheme.len() + 3 + host.len() + path.len();
        if n > Self::MAX {
            return Err(BadBase::TooLong(n));
        }
        Ok(Self { origin: format!("{scheme}://{host}").to_ascii_uppercase(), path: path.to_owned() })
    }
}

impl fmt::Display for Base {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.origin, self.path)
    }
}

/// A built link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// What the square code says.
    pub text: String,
    /// Known things that did not go in, because the code would have grown too fine or because the
    /// short form cannot write them.
    pub dropped: Vec<Slot>,
    /// Version of the square code (1–40): `17 + 4 × version` modules a side.
    pub version: i16,
    pub level: EcLevel,
}

/// A code stays at this version if at all possible: 29 × 29 modules.
const GOOD: i16 = 3;
/// So that a long address does not cost the label its dates: 33 × 33.
const BEARABLE: i16 = 4;

impl Link {
    /// The link for a thing: all of `known` if that stays in version 3 at level M, else as many fields
    /// as do, dropping from the end; at version 4 if the dates would not fit otherwise; the bare id at
    /// whatever version it needs if nothing does. A version that has room for it gets a higher level.
    pub fn new(base: &Base, kind: Kind, code: Code, known: &Known) -> Self {
        let slots = kind.slots();
        let fields: Vec<_> = slots.iter().map(|s| s.write(known)).collect();
        let must = slots.iter().take_while(|s| matches!(s, Slot::Day | Slot::Window)).count();
        let text_of = |n: usize| {
            let mut text = format!("{base}#/{}/{}", kind.letter(), code.id());
            let used = fields[..n].iter().rposition(Option::is_some).map_or(0, |at| at + 1);
            for field in &fields[..used] {
                text.push('.');
                text.push_str(field.as_deref().unwrap_or_default());
            }
            text
        };
        let fitting = [GOOD, BEARABLE]
            .into_iter()
            .flat_map(|cap| (must..=slots.len()).rev().map(move |n| (n, cap)))
            .find_map(|(n, cap)| {
                let (version, level) = qr::smallest(&text_of(n))?;
                (version <= cap).then_some((n, version, level))
            });
        let (kept, version, level) = fitting.unwrap_or_else(|| {
            // An address is short enough (`Base::MAX`) for some version always.
            let (v, l) = qr::smallest(&text_of(0)).unwrap_or((40, EcLevel::M));
            (0, v, l)
        });
        let dropped = slots
            .iter()
            .enumerate()
            .filter(|&(i, slot)| known_has(known, *slot) && (i >= kept || fields[i].is_none()))
            .map(|(_, &slot)| slot)
            .collect();
        Self { text: text_of(kept), dropped, version, level }
    }
}

fn known_has(known: &Known, slot: Slot) -> bool {
    match slot {
        Slot::Day => known.day.is_some(),
        Slot::Window => known.window.is_some(),
        Slot::Eggs => known.eggs.is_some(),
        Slot::Species => known.species.is_some(),
        Slot::FillTo => known.fill_to_mg.is_some(),
        Slot::Number => known.number.is_some(),
    }
}
