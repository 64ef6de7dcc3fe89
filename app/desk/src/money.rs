//! The currency of an amount as it is typed: a code or a sign, before or behind the number.

use trade::money::Currency;

/// Signs that people type, and the currencies that have them; of several the barn's own is meant, else a question is asked.
const SIGNS: [(&str, &str); 10] = [
    ("€", "EUR"),
    ("£", "GBP EGP FKP GIP SHP SSP SYP"),
    ("$", "USD AUD BBD BMD BND BSD BZD CAD FJD GYD HKD JMD KYD LRD MXN NAD NZD SBD SGD SRD TTD TWD XCD"),
    ("¥", "JPY CNY"),
    ("kr", "DKK ISK NOK SEK"),
    ("fr", "CHF"),
    ("zł", "PLN"),
    ("kč", "CZK"),
    ("ft", "HUF"),
    ("₹", "INR"),
];

/// The number in a typed text, and the currency that is meant: the one typed, else the barn's own. A word that is none, or
/// may be several, stays with the number, which is then not read.
pub(crate) fn apart(text: &str, own: Option<Currency>) -> (String, Option<Currency>) {
    let digit = |c: char| c.is_ascii_digit();
    let (Some(first), Some(last)) = (text.find(digit), text.rfind(digit)) else { return (text.to_owned(), own) };
    let (head, behind) = (&text[..first], &text[last + 1..]);
    // .50 is half of one; the point of Fr.80 belongs to the word.
    let bare = head.trim_end_matches(['.', ',']);
    let head = if bare.ends_with(char::is_alphabetic) { head } else { bare };
    let start = head.trim_end_matches(['-', '+']).len();
    // 80,- and 80.- are whole; 1'250 is parted as in Switzerland.
    let behind = behind.strip_prefix([',', '.']).unwrap_or(behind).trim_start_matches('-').trim();
    let before = text[..start].trim();
    let number = text[start..=last].replace(['\'', '’'], "");
    let currency = match (before, behind) {
        ("", "") => return (number, own),
        (word, "") | ("", word) => meant(word, own),
        // EUR 80 €
        (one, other) => meant(one, own).filter(|currency| meant(other, own) == Some(*currency)),
    };
    match currency {
        Some(currency) => (number, Some(currency)),
        None => (text.to_owned(), own),
    }
}

fn meant(word: &str, own: Option<Currency>) -> Option<Currency> {
    let word = word.trim_end_matches('.');
    let signed = || {
        let lower = word.to_lowercase();
        let mut codes = SIGNS.iter().find(|(sign, _)| *sign == lower)?.1.split(' ').filter_map(Currency::of);
        let all: Vec<Currency> = codes.by_ref().collect();
        match all.as_slice() {
            [one] => Some(*one),
            several => own.filter(|own| several.contains(own)),
        }
    };
    Currency::of(word).or_else(signed)
}

/// The currency that was typed with an amount, or is meant where none was.
pub(crate) fn of(typed: &str, own: Option<Currency>) -> Option<Currency> {
    apart(&crate::figure::plain(typed).0, own).1
}
