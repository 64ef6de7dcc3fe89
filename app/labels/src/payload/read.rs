//! Reading what a camera saw or a person pasted.

use super::{Foreign, Kind, Known};
use crate::Code;
use crate::code::{self, LENGTH};

/// What a scanned text turned out to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reading {
    /// One of our labels, of this barn or another.
    Label(Label),
    /// A code with its check symbol, without a link around it: it does not say its kind.
    Bare(Code),
    /// One of our links, cut short or spoilt.
    Damaged(Damaged),
    Foreign(Foreign),
}

/// A label's link, read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    pub kind: Kind,
    pub code: Code,
    /// What the label says of its thing; older than the records, so never believed over them.
    pub known: Known,
    /// Version of the fields. 1 is this one; of a later one nothing is in `known`.
    pub version: u16,
    /// How many fields could not be understood.
    pub unread: usize,
}

/// What is left of a spoilt link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damaged {
    pub kind: Option<Kind>,
    /// Where the code should stand, in capitals and without control characters; may be empty.
    pub code: String,
}

impl std::fmt::Display for Damaged {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let advice = "type the code printed under the square";
        if self.code.is_empty() {
            write!(f, "this label's link breaks off before its code: {advice}")
        } else {
            write!(f, "this label's link is damaged (its code reads “{}”): {advice}", self.code)
        }
    }
}

/// A QR code of the largest version holds at most 7089 characters; ours are far shorter.
const LOOKED_AT: usize = 1024;
const FIELDS: usize = 32;

/// [`read`], for the bytes a reader hands over; what is not UTF-8 is taken as unknown characters.
pub fn read_bytes(bytes: &[u8]) -> Reading {
    read(&String::from_utf8_lossy(&bytes[..bytes.len().min(LOOKED_AT)]))
}

/// Says what a scanned or pasted text is. Any host, the fragment in any case, anything after the fields
/// it knows. Only the first 1024 bytes are looked at.
pub fn read(text: &str) -> Reading {
    let text = &text[..text.floor_char_boundary(LOOKED_AT)];
    let text = text.trim_matches(|c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}');
    let Some((before, fragment)) = text.split_once('#') else {
        return without_link(text);
    };
    let scheme = before.get(..8).unwrap_or(before).to_ascii_lowercase();
    if !(scheme.starts_with("https://") || scheme.starts_with("http://")) {
        return Reading::Foreign(Foreign::of(text));
    }
    from_fragment(fragment).unwrap_or_else(|| Reading::Foreign(Foreign::of(text)))
}

fn without_link(text: &str) -> Reading {
    let symbols = text.chars().filter(|c| c.is_ascii_graphic() && *c != '-').count();
    match text.parse::<Code>() {
        Ok(code) if symbols == LENGTH + 1 => Reading::Bare(code),
        _ => Reading::Foreign(Foreign::of(text)),
    }
}

fn from_fragment(fragment: &str) -> Option<Reading> {
    let mut parts = fragment.strip_prefix('/')?.splitn(2, '/');
    let mut letter = parts.next()?.chars();
    let kind = Kind::of(letter.next()?)?;
    if letter.next().is_some() {
        return None;
    }
    let rest = parts.next().unwrap_or_default();
    let end = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
    let (id, after) = rest.split_at(end);
    let n = id.chars().count();
    let whole = (n == LENGTH).then(|| id.parse::<Code>().ok()).flatten();
    let Some(code) = whole else {
        let wrong = id.chars().filter(|&c| code::value(c).is_none()).count();
        let ends = after.is_empty() || after.starts_with(['.', '\u{fffd}']);
        let plausible = ends && n <= LENGTH + 2 && wrong <= 2;
        let code = super::foreign::harmless(&id.to_uppercase());
        return plausible.then_some(Reading::Damaged(Damaged { kind: Some(kind), code }));
    };
    let mut label = Label { kind, code, known: Known::default(), version: 1, unread: 0 };
    if let Some(fields) = after.strip_prefix('.') {
        take_fields(&mut label, fields);
    }
    Some(Reading::Label(label))
}

fn take_fields(label: &mut Label, fields: &str) {
    let ours = |c: char| c.is_ascii_alphanumeric() || "-.*".contains(c);
    let mut fields: Vec<_> = fields.split(|c| !ours(c)).next().unwrap_or_default().split('.').take(FIELDS).collect();
    if let Some(version) = fields.first().and_then(|f| f.strip_prefix('*'))
        && let Ok(version) = version.parse()
    {
        label.version = version;
        fields.remove(0);
        if version != 1 {
            label.unread = fields.len();
            return;
        }
    }
    let slots = label.kind.slots();
    for (i, field) in fields.into_iter().enumerate() {
        let understood = slots.get(i).map_or(field.is_empty(), |slot| slot.take(field, &mut label.known));
        label.unread += usize::from(!understood);
    }
}
