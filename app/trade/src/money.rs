//! Amounts of money: whole minor units of a currency, so that sums are exact. A currency is never converted into another.

use std::fmt;
use std::str::FromStr;

/// The codes of ISO 4217 that money in use has, four letters apart: list one as published on 1 January 2026, without funds,
/// metals and units of account.
const CODES: &str = "\
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF \
    CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ \
    GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP \
    LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR \
    PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC \
    SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED VES VND VUV WST XAF XCD XCG XOF \
    XPF YER ZAR ZMW ZWG";

/// Currencies without minor units, and those with thousandths; all others have hundredths.
const WHOLE: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF";
const THOUSANDTHS: &str = "BHD IQD JOD KWD LYD OMR TND";

/// More than any amount here, in minor units.
pub const MOST_MINOR: i64 = 999_999_999_999;

/// A currency by its code of three capitals. What is typed has to be one of [`Currency::all`]; what is read may be one that came
/// later, of hundredths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

/// A list of codes, letter by letter: the first program a phone fetches reads amounts, so nothing here brings searching in
/// texts, or printing, with it.
fn codes(list: &'static str) -> impl Iterator<Item = &'static [u8]> {
    list.as_bytes().chunks(4).map(|code| code.trim_ascii_end())
}

impl Currency {
    /// One of ISO 4217 by its three letters, large or small.
    pub fn of(code: &str) -> Option<Currency> {
        let known = codes(CODES).find(|known| known.eq_ignore_ascii_case(code.as_bytes()))?;
        known.try_into().ok().map(Currency)
    }

    /// All of ISO 4217, by code.
    pub fn all() -> impl Iterator<Item = Currency> {
        codes(CODES).filter_map(|code| code.try_into().ok().map(Currency))
    }

    /// Its three letters, such as `EUR`.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// How many digits stand after the point: 0, 2 or 3.
    pub fn decimals(self) -> u32 {
        let among = |list| codes(list).any(|code| code == self.0.as_slice());
        if among(WHOLE) {
            return 0;
        }
        if among(THOUSANDTHS) { 3 } else { 2 }
    }
}

/// An amount in a currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Money {
    /// Cents of a euro, yen, thousandths of a dinar.
    pub minor: i64,
    pub currency: Currency,
}

impl Money {
    /// `80.00`, without the currency.
    pub fn digits(self) -> String {
        let places = self.currency.decimals();
        // The last one first.
        let (mut backwards, mut rest, mut at) = (Vec::new(), self.minor.unsigned_abs(), 0);
        while rest > 0 || at <= places {
            if at == places && places > 0 {
                backwards.push('.');
            }
            backwards.push(char::from(b'0' + (rest % 10) as u8));
            (rest, at) = (rest / 10, at + 1);
        }
        if self.minor < 0 {
            backwards.push('−');
        }
        backwards.into_iter().rev().collect()
    }

    /// `80.00 EUR`: so it is stored, and so it is shown.
    pub fn text(self) -> String {
        [self.digits().as_str(), " ", self.currency.code()].concat()
    }
}

/// [`Money::text`]
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text())
    }
}

/// What is no amount in a known currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoMoney;

impl fmt::Display for NoMoney {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("not an amount with its currency")
    }
}

impl std::error::Error for NoMoney {}

/// As it is stored; `80 EUR` too, as prices were typed before there were amounts.
impl FromStr for Money {
    type Err = NoMoney;

    fn from_str(text: &str) -> Result<Money, NoMoney> {
        Money::read(text).ok_or(NoMoney)
    }
}

impl Money {
    fn read(text: &str) -> Option<Money> {
        let (number, code) = text.as_bytes().split_last_chunk::<3>()?;
        let currency = Some(Currency(*code)).filter(|_| code.iter().all(u8::is_ascii_uppercase))?;
        let number = number.strip_suffix(b" ")?;
        // Digits before the point, and after it.
        let (mut minor, mut whole, mut part) = (0_i64, 0, None);
        for byte in number {
            match (*byte, &mut part) {
                (b'.', None) => part = Some(0),
                (b'0'..=b'9', part) => {
                    *part.as_mut().unwrap_or(&mut whole) += 1;
                    minor = minor.checked_mul(10)?.checked_add(i64::from(*byte - b'0'))?;
                }
                _ => return None,
            }
        }
        let places = currency.decimals();
        for _ in part.unwrap_or(0)..places {
            minor = minor.checked_mul(10)?;
        }
        let plain = whole > 0 && part.is_none_or(|part| places > 0 && part == places);
        (plain && minor <= MOST_MINOR).then_some(Money { minor, currency })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_code_is_three_letters_in_their_order() {
        let all: Vec<&str> = CODES.split(' ').collect();
        assert!(all.len() > 150 && all.is_sorted(), "{}", all.len());
        for code in all {
            assert!(code.len() == 3 && code.bytes().all(|letter| letter.is_ascii_uppercase()), "{code}");
            assert_eq!(Currency::of(code).as_ref().map(Currency::code), Some(code));
            assert_eq!(Currency::of(&code.to_lowercase()), Currency::of(code));
        }
        for none in ["", "E", "EU", "EURO", "XXX", "XAU", " EU", "UR "] {
            assert_eq!(Currency::of(none), None, "{none}");
        }
    }

    #[test]
    fn an_amount_is_read_as_it_is_written_and_in_no_other_way() {
        let read = |text: &str| text.parse::<Money>().map(|money| (money.minor, money.to_string()));
        let is = |minor: i64, text: &str| Ok((minor, text.to_owned()));
        assert_eq!(read("80.00 EUR"), is(8_000, "80.00 EUR"));
        assert_eq!(read("80 EUR"), is(8_000, "80.00 EUR"));
        assert_eq!(read("0.05 EUR"), is(5, "0.05 EUR"));
        assert_eq!(read("1200 JPY"), is(1_200, "1200 JPY"));
        assert_eq!(read("1.250 KWD"), is(1_250, "1.250 KWD"));
        assert_eq!(read("1 KWD"), is(1_000, "1.000 KWD"));
        // Of a currency that is not on the list yet.
        assert_eq!(read("7.00 NEW"), is(700, "7.00 NEW"));
        for odd in [
            "",
            "80",
            "EUR",
            "80EUR",
            "80.0 EUR",
            "80. EUR",
            ".50 EUR",
            "80.000 EUR",
            "1200.00 JPY",
            "80,00 EUR",
            "-5 EUR",
            "80.00 eur",
            "80.00  EUR",
            "80.00 EUR ",
            "8e1 EUR",
            "12345678901234567890 EUR",
            "٣ EUR",
            "10000000000.00 EUR",
        ] {
            assert_eq!(read(odd), Err(NoMoney), "{odd}");
        }
    }

    proptest! {
        #[test]
        fn nothing_is_lost_on_the_way_into_a_text_and_back(minor in 0..=MOST_MINOR, at in 0_usize..1_000) {
            let all: Vec<Currency> = Currency::all().collect();
            let money = Money { minor, currency: all[at % all.len()] };
            prop_assert_eq!(money.to_string().parse(), Ok(money));
        }
    }
}
