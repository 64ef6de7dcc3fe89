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

/// A currency of ISO 4217: where its code stands among all of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency(u8);

impl Currency {
    /// By its three letters, large or small.
    pub fn of(code: &str) -> Option<Currency> {
        let at = |at: &usize| CODES.get(at * 4..at * 4 + 3).is_some_and(|known| known.eq_ignore_ascii_case(code));
        let at = (0..=CODES.len() / 4).find(at)?;
        u8::try_from(at).ok().map(Currency)
    }

    /// All of them, by code.
    pub fn all() -> impl Iterator<Item = Currency> {
        CODES.split(' ').filter_map(Currency::of)
    }

    /// Its three letters, such as `EUR`.
    pub fn code(self) -> &'static str {
        let at = usize::from(self.0) * 4;
        CODES.get(at..at + 3).unwrap_or_default()
    }

    /// How many digits stand after the point: 0, 2 or 3.
    pub fn decimals(self) -> u32 {
        match self.code() {
            code if WHOLE.contains(code) => 0,
            code if THOUSANDTHS.contains(code) => 3,
            _ => 2,
        }
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
        let places = self.currency.decimals() as usize;
        let mut digits = self.minor.unsigned_abs().to_string();
        while digits.len() <= places {
            digits.insert(0, '0');
        }
        if places > 0 {
            digits.insert(digits.len() - places, '.');
        }
        if self.minor < 0 {
            digits.insert(0, '−');
        }
        digits
    }
}

/// `80.00 EUR`: so it is stored, and so it is shown.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.digits())?;
        f.write_str(" ")?;
        f.write_str(self.currency.code())
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
        let (number, code) = text.split_once(' ').ok_or(NoMoney)?;
        let currency = Currency::of(code).filter(|known| known.code() == code).ok_or(NoMoney)?;
        let places = currency.decimals() as usize;
        let (whole, part) = number.split_once('.').unwrap_or((number, ""));
        let plain = |digits: &str| digits.bytes().all(|byte| byte.is_ascii_digit());
        let all_there = part.len() == places || !number.contains('.');
        if whole.is_empty() || whole.len() > 15 || !plain(whole) || !plain(part) || !all_there {
            return Err(NoMoney);
        }
        let digits = [whole, part, &"000"[part.len().min(places)..places]].concat();
        let minor = digits.parse().ok().filter(|minor| *minor <= MOST_MINOR).ok_or(NoMoney)?;
        Ok(Money { minor, currency })
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
            assert_eq!(Currency::of(code).map(Currency::code), Some(code));
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
            "80.00 XXX",
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
