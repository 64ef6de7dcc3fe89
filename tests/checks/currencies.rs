//! The currencies and their minor units, against ISO 4217 list one as published on 1 January 2026 by its maintenance agency (as the
//! Python package `iso4217` 1.16.20260101 carries it), without funds, metals and units of account.

use std::collections::BTreeMap;
use trade::money::Currency;

/// Minor units, and the codes that have so many digits after the point.
const LIST_ONE: [(u32, &str); 3] = [
    (0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"),
    (
        2,
        "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY \
         COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF \
         IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR \
         MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG \
         SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES \
         WST XCD XCG YER ZAR ZMW ZWG",
    ),
    (3, "BHD IQD JOD KWD LYD OMR TND"),
];

#[test]
fn each_has_the_digits_that_the_standard_gives_it() {
    let standard: BTreeMap<&str, u32> =
        LIST_ONE.iter().flat_map(|(digits, codes)| codes.split(' ').map(|code| (code, *digits))).collect();
    let ours: Vec<Currency> = Currency::all().collect();
    assert_eq!(
        ours.iter().map(|currency| (currency.code(), currency.decimals())).collect::<BTreeMap<_, _>>(),
        standard
    );
    println!("{} currencies", ours.len());
}
