//! What one cell says, in the words and marks that keepers use. A cell of nothing says nothing.

use crate::figure::{Reading, read};
use crate::measure::{Ask, Measure, Units};
use book::lower;
use book::words::{Sex, Went};
use trade::money::{Currency, Money};
use trade::species::Profile;
use trade::units::Mass;

/// What species are called besides the names that ship (common practice, from memory): English, German, Spanish.
const ALSO: [(&str, &[&str]); 14] = [
    ("python-regius", &["royal", "royal python", "königspython", "pitón real", "piton real", "python real"]),
    (
        "pantherophis-guttatus",
        &["red rat snake", "kornnatter", "serpiente del maíz", "serpiente del maiz", "culebra del maizal"],
    ),
    ("pantherophis-obsoletus", &["erdnatter"]),
    ("heterodon-nasicus", &["hognose snake", "hakennasennatter", "westliche hakennasennatter", "hognose occidental"]),
    ("lampropeltis-getula", &["kettennatter", "östliche kettennatter"]),
    ("lampropeltis-californiae", &["cal king", "california king", "kalifornische kettennatter", "rey de california"]),
    ("lampropeltis-nigrita", &["mexican black king", "mexikanische schwarze königsnatter"]),
    ("lampropeltis-triangulum", &["milksnake", "milk", "dreiecksnatter", "falsa coral"]),
    ("lampropeltis-hondurensis", &["honduran milk", "honduran milksnake"]),
    ("pituophis-catenifer", &["bullsnake", "bull snake", "gopher snake", "bullennatter"]),
    ("pituophis-melanoleucus", &["kiefernnatter"]),
    ("morelia-spilota", &["teppichpython", "rautenpython", "pitón alfombra"]),
    ("eublepharis-macularius", &["leopardgecko", "gecko leopardo"]),
    ("hemitheconyx-caudicinctus", &["fat tail", "fat-tail", "fat tailed gecko"]),
];

/// A species by its key or any of its names, or by words or initials that only one has: `corn`, `P. guttatus`, `BP`.
pub(super) fn species(all: &[(String, Profile)], text: &str) -> Result<Option<String>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let said = lower(text);
    let exactly =
        |(key, p): &&(String, Profile)| [key, &*p.name, &*p.latin, &*p.short].iter().any(|name| lower(name) == said);
    let also = || ALSO.iter().find(|(_, names)| names.contains(&said.as_str())).map(|(key, _)| (*key).to_owned());
    if let Some((key, _)) = all.iter().find(exactly) {
        return Ok(Some(key.clone()));
    }
    if let Some(key) = also() {
        return Ok(Some(key));
    }
    let words: Vec<&str> = said.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let found: Vec<&(String, Profile)> = all.iter().filter(|(_, profile)| fits(profile, &words)).collect();
    match found.as_slice() {
        [(key, _)] => Ok(Some(key.clone())),
        [] => Err(format!("No species here is called “{text}”.")),
        several => {
            let names: Vec<&str> = several.iter().take(3).map(|(_, profile)| &*profile.name).collect();
            Err(format!("“{text}” may be several species: {}…", names.join(", ")))
        }
    }
}

/// All words are among its names, one letter being that of a genus; or the one word is its initials.
fn fits(profile: &Profile, words: &[&str]) -> bool {
    let (name, latin) = (lower(&profile.name), lower(&profile.latin));
    let of = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric() && c != '\'').map(str::to_owned).collect()
    };
    let (name, latin) = (of(&name), of(&latin));
    let initials: String = name.iter().filter_map(|word| word.chars().next()).collect();
    let is_one = |word: &&str| {
        let single = word.trim_end_matches('s');
        name.iter().chain(&latin).any(|own| own == word || own == single)
            || word.chars().count() == 1 && latin.first().is_some_and(|genus| genus.starts_with(*word))
    };
    let all_one = words.iter().all(is_one) && words.iter().any(|word| word.chars().count() > 2);
    matches!(words, [one] if *one == initials && one.len() > 1) || all_one
}

pub(super) fn sex(text: &str) -> Result<Option<Sex>, String> {
    match lower(text).as_str() {
        "" => Ok(None),
        "f" | "female" | "fem" | "w" | "weiblich" | "weibchen" | "h" | "hembra" | "0.1" | "0,1" | "0.1.0" | "♀" => {
            Ok(Some(Sex::Female))
        }
        "m" | "male" | "männlich" | "männchen" | "macho" | "1.0" | "1,0" | "1.0.0" | "♂" => Ok(Some(Sex::Male)),
        "u" | "unknown" | "unsexed" | "?" | "unbekannt" | "desconocido" | "0.0.1" | "0,0,1" => Ok(Some(Sex::Unknown)),
        _ => Err(format!("“{text}” is not a sex. Write f, m or u.")),
    }
}

/// Whether an animal is here, by what stands under *status* (words from memory). `Ok(None)`: it is.
pub(super) fn status(text: &str) -> Result<Option<Went>, String> {
    match lower(text).as_str() {
        "" | "here" | "in" | "active" | "alive" | "kept" | "keeper" | "own" | "breeder" | "holdback" | "held back"
        | "available" | "for sale" | "on hold" | "reserved" | "quarantine" | "da" | "aktiv" | "lebt" | "bestand"
        | "zuchttier" | "verfügbar" | "reserviert" | "activo" | "viva" | "vivo" | "disponible" | "reservado" => {
            Ok(None)
        }
        "sold" | "verkauft" | "vendido" | "vendida" => Ok(Some(Went::Sold)),
        "died" | "dead" | "deceased" | "†" | "tot" | "verstorben" | "gestorben" | "muerto" | "muerta" => {
            Ok(Some(Went::Died))
        }
        "given" | "given away" | "gifted" | "verschenkt" | "regalado" | "regalada" => Ok(Some(Went::Given)),
        "traded" | "swapped" | "getauscht" | "cambiado" => Ok(Some(Went::Traded)),
        "loaned" | "on loan" | "loan" | "breeding loan" | "verliehen" | "cedido" | "cedida" => Ok(Some(Went::Loaned)),
        "escaped" | "lost" | "entlaufen" | "escapado" => Ok(Some(Went::Escaped)),
        "returned" | "back" | "zurück" | "devuelto" => Ok(Some(Went::Returned)),
        _ => Err(format!("“{text}” does not say whether it is here. Write here, sold, died, given, traded or loaned.")),
    }
}

/// A cell that begins a row of sums, or a page's foot (words from memory).
pub(super) fn sums_up(text: &str) -> bool {
    let said = lower(text);
    let bare = said.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, ':' | ' ' | '=' | '.'));
    let sum = matches!(
        bare,
        "total"
            | "totals"
            | "subtotal"
            | "sub total"
            | "sub-total"
            | "grand total"
            | "sum"
            | "summe"
            | "gesamt"
            | "gesamtsumme"
            | "zwischensumme"
            | "suma"
            | "average"
            | "mean"
            | "durchschnitt"
            | "mittelwert"
            | "promedio"
            | "anzahl"
    );
    let mut words = said.split(' ');
    let page = matches!(words.next(), Some("page" | "seite" | "página" | "pagina"));
    let number = words.next().is_some_and(|word| word.parse::<u32>().is_ok());
    sum || page && number && matches!(words.next(), Some("of" | "von" | "de" | "/"))
}

/// Eggs, as many as a clutch may have.
pub(super) fn count(label: &str, text: &str) -> Result<Option<u32>, String> {
    let ask = Ask::count(label, 0, book::acts::MOST_EGGS);
    Ok(figure(text, &ask, Units::default())?.and_then(|count| u32::try_from(count).ok()))
}

/// In `unit` where the cell has none.
pub(super) fn mass(text: &str, mark: Option<char>, unit: &str) -> Result<Option<Mass>, String> {
    let ask = Ask::mass("Weight", (1, 100_000));
    let unread = || format!("“{text}” is not a weight. Write it like 310 g.");
    let plain = with_point(text, mark).ok_or_else(unread)?;
    let bare = plain.ends_with(|c: char| c.is_ascii_digit());
    let plain = if bare { format!("{plain} {unit}") } else { plain };
    Ok(figure(&plain, &ask, Units::default()).map_err(|_| unread())?.map(Mass))
}

/// In `own` where the cell names no currency.
pub(super) fn money(text: &str, own: Option<Currency>) -> Result<Option<Money>, String> {
    let ask = Ask::new("Price", Measure::Money(own), (1, 9_999_999_999));
    let minor = figure(text, &ask, Units::default())?;
    Ok(minor.and_then(|minor| crate::money::of(text, own).map(|currency| Money { minor, currency })))
}

/// What stands where a keeper had nothing to enter.
fn is_nothing(text: &str) -> bool {
    matches!(lower(text).as_str(), "-" | "–" | "—" | "?" | "n/a" | "na" | "k.a." | "none")
}

fn figure(text: &str, ask: &Ask, units: Units) -> Result<Option<i64>, String> {
    if is_nothing(text) {
        return Ok(None);
    }
    match read(text, ask, units) {
        Reading::Empty => Ok(None),
        Reading::Value { value, .. } => Ok(Some(value)),
        Reading::Unreadable(sentence) => Err(sentence),
    }
}

/// A number as its column writes it, with a point for its decimals and a digit more, so that three of them stay decimals.
/// What stands otherwise than before three digits cannot part thousands: alone it is the decimals' mark in this cell,
/// whatever the column has. None where the marks fit no way of writing.
fn with_point(text: &str, mark: Option<char>) -> Option<String> {
    let Some(mark) = mark else { return Some(text.to_owned()) };
    let end = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
    let (number, behind) = text.split_at(end);
    let start = number.find(|c: char| c.is_ascii_digit()).unwrap_or(0);
    let (before, number) = number.split_at(start);
    let other = if mark == ',' { '.' } else { ',' };
    let whole = number.split(mark).next().unwrap_or_default();
    let mut groups = whole.split(other);
    let first = groups.next().unwrap_or_default().len();
    let mut groups = groups.peekable();
    let grouped = groups.peek().is_none() || ((1..=3).contains(&first) && groups.all(|group| group.len() == 3));
    let mark = match (grouped, number.matches([',', '.']).count()) {
        (true, _) => mark,
        (false, 1) => other,
        (false, _) => return None,
    };
    let number: String = number
        .chars()
        .filter(|c| *c == mark || !matches!(c, ',' | '.'))
        .map(|c| if c == mark { '.' } else { c })
        .collect();
    if number.matches('.').count() > 1 {
        return None;
    }
    let more = if number.contains('.') { "0" } else { "" };
    Some(format!("{before}{number}{more}{behind}"))
}

/// The mark before the decimals of a column's numbers: where its cells tell, `Ok`; else the first cell that leaves it open.
pub(super) fn decimal_mark<'a>(cells: impl Iterator<Item = &'a str>) -> Result<Option<char>, String> {
    let mut open = None;
    for text in cells {
        let number: String = text.chars().filter(|c| c.is_ascii_digit() || matches!(c, ',' | '.')).collect();
        let number = number.trim_end_matches(['.', ',']);
        let Some(at) = number.rfind([',', '.']) else { continue };
        let (mark, behind) = (number[at..].chars().next(), number.len() - at - 1);
        let others = number[..at].contains(if mark == Some(',') { '.' } else { ',' });
        if behind != 3 || others {
            return Ok(mark);
        }
        // 1,234,567
        if number.matches([',', '.']).count() > 1 {
            return Ok(if mark == Some(',') { Some('.') } else { Some(',') });
        }
        open = open.or_else(|| Some(text.trim().to_owned()));
    }
    open.map_or(Ok(None), Err)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn species_by_what_keepers_write() {
        let all: Vec<(String, Profile)> =
            trade::species::built_in().map(|profile| (profile.key.to_string(), profile)).collect();
        for (text, expected) in [
            ("", Ok(None)),
            ("corn", Ok(Some("pantherophis-guttatus"))),
            ("Corn Snakes", Ok(Some("pantherophis-guttatus"))),
            ("CRN", Ok(Some("pantherophis-guttatus"))),
            ("P. guttatus", Ok(Some("pantherophis-guttatus"))),
            ("guttatus", Ok(Some("pantherophis-guttatus"))),
            ("Kornnatter", Ok(Some("pantherophis-guttatus"))),
            ("BP", Ok(Some("python-regius"))),
            ("royal", Ok(Some("python-regius"))),
            ("Königspython", Ok(Some("python-regius"))),
            ("hognose", Ok(Some("heterodon-nasicus"))),
            ("leopard gecko", Ok(Some("eublepharis-macularius"))),
            ("carpet", Ok(Some("morelia-spilota"))),
            ("kingsnake", Err("may be several")),
            ("python", Err("may be several")),
            ("CP", Err("may be several")),
            ("Dragon", Err("No species here is called “Dragon”")),
            ("p", Err("No species here")),
        ] {
            match (species(&all, text), expected) {
                (Ok(found), Ok(expected)) => assert_eq!(found.as_deref(), expected, "{text}"),
                (Err(said), Err(part)) => assert!(said.contains(part), "{text}: {said}"),
                (read, expected) => panic!("{text}: {read:?}, not {expected:?}"),
            }
        }
        for (key, names) in ALSO {
            assert!(all.iter().any(|(known, _)| known == key), "{key}");
            assert!(names.iter().all(|name| lower(name) == *name), "{names:?}");
        }
    }

    #[test]
    fn weights_are_read_as_their_column_writes_them() {
        let column = |cells: &[&str]| decimal_mark(cells.iter().copied());
        assert_eq!(column(&["450", "12.5", "1,240"]), Ok(Some('.')));
        assert_eq!(column(&["1.240", "12,5"]), Ok(Some(',')));
        assert_eq!(column(&["450 g", "80"]), Ok(None));
        assert_eq!(column(&["450", "1,240"]), Err("1,240".to_owned()));
        assert_eq!(column(&["1.240,50"]), Ok(Some(',')));
        for (text, mark, unit, milligrams) in [
            ("450", None, "g", 450_000),
            ("450 g", None, "oz", 450_000),
            ("1,240", Some('.'), "g", 1_240_000),
            ("1,240", Some(','), "kg", 1_240_000),
            ("1.240", Some(','), "g", 1_240_000),
            ("12,5", Some(','), "g", 12_500),
            ("1.240,5", Some(','), "g", 1_240_500),
            ("2.205 lb", Some('.'), "g", 1_000_171),
            ("16", None, "oz", 453_592),
            // Two digits behind it part no thousands, whatever the column has.
            ("0,62 kg", Some('.'), "g", 620_000),
            ("0.62 kg", Some(','), "g", 620_000),
            ("2.1", Some(','), "g", 2_100),
            ("1.5", Some(','), "g", 1_500),
        ] {
            assert_eq!(mass(text, mark, unit), Ok(Some(Mass(milligrams))), "{text} {mark:?} {unit}");
        }
        for text in ["heavy", "1,05,0", "1.2.3,4"] {
            let said = mass(text, Some('.'), "g").expect_err("no figure");
            assert!(said.contains(&format!("“{text}”")), "as it stands in the cell: {said}");
        }
        for text in ["", "-", "n/a", "?"] {
            assert_eq!(mass(text, Some('.'), "g"), Ok(None), "{text}");
        }
    }

    #[test]
    fn prices_may_name_their_currency() {
        let euro = Currency::of("EUR");
        assert_eq!(money("80", euro).map(|money| money.map(Money::text)), Ok(Some("80.00 EUR".to_owned())));
        let read = |text: &str, own| money(text, own).expect("read").expect("an amount").text();
        assert_eq!(read("£1,250", Currency::of("GBP")), "1250.00 GBP");
        assert_eq!(read("USD 1,250", euro), "1250.00 USD");
        assert_eq!(read("1.250,50 €", None), "1250.50 EUR");
        assert!(money("80", None).is_err(), "in which currency?");
        assert!(money("ask", euro).is_err());
    }
}
