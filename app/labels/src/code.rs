//! The code on a label: eight characters of Crockford Base32 (40 bits), shown in two groups of four
//! with Crockford's check symbol: `7K3Q-X2M9-R`.
//!
//! Source: Douglas Crockford, "Base 32": 32 symbols without I, L, O, U; when read, any case, hyphens
//! ignored, `o` is 0, `i` and `l` are 1; check symbol = number mod 37, with `* ~ $ = U` for 32–36.
//! Taking spaces and other dashes as hyphens is ours.

use std::fmt;
use std::str::FromStr;

/// Length of a code without its check symbol.
pub const LENGTH: usize = 8;

/// The 32 symbols in order of value, then the five that only check.
const SYMBOLS: &[u8; 37] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U";

/// A label's code. `Display` is how it is printed (`7K3Q-X2M9-R`); [`Code::id`] is the record's id;
/// `FromStr` takes what a person typed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Code([u8; LENGTH]);

/// Why a typed text is not a code. `Display` says what to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadCode {
    Empty,
    /// Fewer than eight characters; how many there were.
    TooShort(usize),
    /// More than eight and a check symbol; how many there were.
    TooLong(usize),
    /// A character that no code holds, and its place counted from 1 without dashes and spaces.
    NotASymbol {
        symbol: char,
        place: usize,
    },
    /// All symbols are possible, but they do not belong together.
    WrongCheck {
        typed: char,
        right: char,
    },
}

impl fmt::Display for BadCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "type the code under the square, like 7K3Q-X2M9-R"),
            Self::TooShort(n) => write!(f, "a code has 8 characters and a check letter; this has {n}"),
            Self::TooLong(n) => {
                write!(f, "a code has 8 characters and a check letter; this has {n}: leave out what is too much")
            }
            Self::NotASymbol { symbol: 'U' | 'u', place } => {
                write!(f, "character {place} cannot be U: codes never use it. Is it a V?")
            }
            Self::NotASymbol { symbol, place } => {
                write!(f, "character {place}, “{symbol}”, is not used in codes: only digits and letters are")
            }
            Self::WrongCheck { typed, right } => {
                write!(f, "the check letter should be {right}, not {typed}: one of the characters is wrong")
            }
        }
    }
}

impl std::error::Error for BadCode {}

/// The value 0–31 of a symbol, forgiving case and the look-alikes O, I, L.
pub(crate) fn value(symbol: char) -> Option<u8> {
    let plain = match symbol.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    SYMBOLS[..32].iter().position(|&s| char::from(s) == plain).map(|at| at as u8)
}

/// The symbol for a value; only the low five bits count.
pub(crate) fn symbol(value: u64) -> char {
    char::from(SYMBOLS[(value & 31) as usize])
}

fn is_spacing(c: char) -> bool {
    c.is_whitespace() || matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{ad}')
}

impl Code {
    /// A code from a record's id: exactly eight symbols in capitals, as the journal writes them.
    ///
    /// # Errors
    /// [`BadCode`] when `id` has another length or a character outside the alphabet.
    pub fn of(id: &str) -> Result<Self, BadCode> {
        let n = id.chars().count();
        match n {
            0 => return Err(BadCode::Empty),
            1..LENGTH => return Err(BadCode::TooShort(n)),
            LENGTH => {}
            _ => return Err(BadCode::TooLong(n)),
        }
        let mut out = [0; LENGTH];
        for (i, c) in id.chars().enumerate() {
            let at = SYMBOLS[..32].iter().position(|&s| char::from(s) == c);
            out[i] = at.ok_or(BadCode::NotASymbol { symbol: c, place: i + 1 }).map(|v| SYMBOLS[v])?;
        }
        Ok(Self(out))
    }

    /// The eight characters without dashes and check symbol: the id of the record.
    pub fn id(&self) -> &str {
        // Only ASCII symbols are ever put in.
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// The 40-bit number the symbols write.
    pub fn number(&self) -> u64 {
        self.0.iter().filter_map(|&s| value(char::from(s))).fold(0, |n, v| n << 5 | u64::from(v))
    }

    /// The check symbol: the number modulo 37.
    pub fn check(&self) -> char {
        char::from(SYMBOLS[(self.number() % 37) as usize])
    }

    /// The two groups and the check symbol apart, for where a line is too short: `["7K3Q", "X2M9-R"]`.
    pub fn halves(&self) -> [String; 2] {
        let (a, b) = self.id().split_at(LENGTH / 2);
        [a.to_owned(), format!("{b}-{}", self.check())]
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [a, b] = self.halves();
        write!(f, "{a}-{b}")
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Code({self})")
    }
}

impl FromStr for Code {
    type Err = BadCode;

    /// Reads what a person typed: any case, dashes and spaces anywhere or nowhere, O for 0, I or L for 1,
    /// with or without the check symbol (checked when it is there).
    fn from_str(typed: &str) -> Result<Self, BadCode> {
        let mut out = [0; LENGTH];
        let mut check = None;
        let mut n = 0;
        for c in typed.chars().filter(|&c| !is_spacing(c)) {
            if n < LENGTH {
                let v = value(c).ok_or(BadCode::NotASymbol { symbol: c, place: n + 1 })?;
                out[n] = SYMBOLS[usize::from(v)];
            } else if n == LENGTH {
                check = Some(c);
            }
            n += 1;
        }
        match n {
            0 => return Err(BadCode::Empty),
            1..LENGTH => return Err(BadCode::TooShort(n)),
            _ if n > LENGTH + 1 => return Err(BadCode::TooLong(n)),
            _ => {}
        }
        let code = Self(out);
        let right = code.check();
        match check {
            None => Ok(code),
            Some(typed) => {
                let plain = value(typed).map_or(typed.to_ascii_uppercase(), |v| symbol(v.into()));
                if plain == right {
                    Ok(code)
                } else if SYMBOLS.contains(&u8::try_from(plain).unwrap_or(0)) {
                    Err(BadCode::WrongCheck { typed: plain, right })
                } else {
                    Err(BadCode::NotASymbol { symbol: typed, place: LENGTH + 1 })
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(typed: &str, expected: Result<&str, BadCode>) {
        assert_eq!(typed.parse::<Code>().map(|c| c.to_string()), expected.map(str::to_owned), "{typed:?}");
    }

    #[test]
    fn typed_codes() {
        let shown = Code::of("7K3QX2M9").expect("an id").to_string();
        let letter = shown.chars().last().expect("a check symbol");
        check(&shown, Ok(&shown));
        check("7K3QX2M9", Ok(&shown));
        check("  7k3q x2m9 ", Ok(&shown));
        check("7-K-3-Q-X-2-M-9", Ok(&shown));
        check("7K3Q–X2M9", Ok(&shown));
        check(&shown.to_lowercase(), Ok(&shown));
        check(
            "OIL00000",
            Ok("0110-0000-~".replace('~', &Code::of("01100000").expect("id").check().to_string()).as_str()),
        );
        check("", Err(BadCode::Empty));
        check(" - ", Err(BadCode::Empty));
        check("7K3Q", Err(BadCode::TooShort(4)));
        check("7K3QX2M9RR", Err(BadCode::TooLong(10)));
        check("7K3QU2M9", Err(BadCode::NotASymbol { symbol: 'U', place: 5 }));
        check("7K3Q-é2M9", Err(BadCode::NotASymbol { symbol: 'é', place: 5 }));
        check("7K3QX2M9?", Err(BadCode::NotASymbol { symbol: '?', place: 9 }));
        check("7K3QX2M8R", Err(BadCode::WrongCheck { typed: 'R', right: Code::of("7K3QX2M8").expect("id").check() }));
        assert_eq!(
            BadCode::WrongCheck { typed: 'S', right: letter }.to_string(),
            format!("the check letter should be {letter}, not S: one of the characters is wrong")
        );
    }

    #[test]
    fn ids_are_strict() {
        for bad in ["7k3qx2m9", "7K3Q-X2M", "O0000000", "7K3QX2M", "7K3QX2M9R", "", "ÄÄÄÄÄÄÄÄ"] {
            assert!(Code::of(bad).is_err(), "{bad}");
        }
    }

    proptest! {
        #[test]
        fn anything_typed_is_read_or_refused(s in ".{0,40}") {
            if let Ok(code) = s.parse::<Code>() {
                prop_assert_eq!(code.to_string().parse::<Code>(), Ok(code));
                prop_assert_eq!(Code::of(code.id()), Ok(code));
            }
        }
    }
}
