//! Naming a scanned text that is none of ours, without repeating anything it should not.

use std::fmt;

/// What a foreign code holds. Nothing of it is opened or kept; `Display` is one short harmless line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Foreign {
    Empty,
    /// A web address; its host, shortened.
    Web(String),
    /// Network name and password: neither is repeated.
    WiFi,
    Contact,
    Event,
    Email,
    Phone,
    Message,
    Position,
    /// Another kind of link; its scheme.
    Link(String),
    /// Plain text; its beginning, without control characters.
    Text(String),
}

/// Longest piece of a foreign text that is repeated, characters.
const SHOWN: usize = 32;

pub(super) fn harmless(text: &str) -> String {
    let kept = |c: &char| {
        !c.is_control()
            && !matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fffd}' | '\u{e0000}'..='\u{e007f}')
    };
    let mut chars = text.trim().chars().filter(kept);
    let mut out: String = chars.by_ref().take(SHOWN).collect();
    if chars.next().is_some() {
        out.push('…');
    }
    out
}

impl Foreign {
    pub(super) fn of(text: &str) -> Self {
        let text = text.trim();
        let upper: String = text.chars().take(24).collect::<String>().to_ascii_uppercase();
        let begins = |p: &str| upper.starts_with(p);
        match () {
            () if text.is_empty() => Self::Empty,
            () if begins("HTTP://") || begins("HTTPS://") => {
                let rest = text.split_once("://").map_or("", |(_, rest)| rest);
                let authority = rest.split(['/', '?', '#', '\\']).next().unwrap_or_default();
                let host = authority.rsplit('@').next().unwrap_or_default();
                Self::Web(harmless(&host.to_ascii_lowercase()))
            }
            () if begins("WIFI:") => Self::WiFi,
            () if begins("BEGIN:VCARD") || begins("MECARD:") => Self::Contact,
            () if begins("BEGIN:VEVENT") || begins("BEGIN:VCALENDAR") => Self::Event,
            () if begins("MAILTO:") || begins("MATMSG:") || begins("SMTP:") => Self::Email,
            () if begins("TEL:") => Self::Phone,
            () if begins("SMS:") || begins("SMSTO:") || begins("MMSTO:") => Self::Message,
            () if begins("GEO:") => Self::Position,
            () => match upper.split_once(':') {
                Some((scheme, _)) if is_scheme(scheme) => Self::Link(scheme.to_ascii_lowercase()),
                _ => Self::Text(harmless(text)),
            },
        }
    }
}

fn is_scheme(s: &str) -> bool {
    s.len() > 1
        && s.starts_with(|c: char| c.is_ascii_alphabetic())
        && s.bytes().all(|b| b.is_ascii_alphanumeric() || b"+-.".contains(&b))
}

impl fmt::Display for Foreign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "an empty code"),
            Self::Web(host) if host.is_empty() => write!(f, "a web address"),
            Self::Web(host) => write!(f, "a web address at {host}"),
            Self::WiFi => write!(f, "a Wi-Fi network"),
            Self::Contact => write!(f, "a person's contact card"),
            Self::Event => write!(f, "a calendar event"),
            Self::Email => write!(f, "an e-mail address"),
            Self::Phone => write!(f, "a telephone number"),
            Self::Message => write!(f, "a text message"),
            Self::Position => write!(f, "a place on a map"),
            Self::Link(scheme) => write!(f, "a “{scheme}” link"),
            Self::Text(t) if t.is_empty() => write!(f, "a text with nothing to show"),
            Self::Text(t) => write!(f, "the text “{t}”"),
        }
    }
}
