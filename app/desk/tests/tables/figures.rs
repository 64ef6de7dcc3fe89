//! What a typed text comes to, one row a text.

use desk::{Ask, Entry, Gather, Measure, Reading, Units, read};
use trade::money::{Currency, MOST_MINOR};

const METRIC: Units = Units { ounces: false, fahrenheit: false };
const US: Units = Units { ounces: true, fahrenheit: true };

fn value(typed: &str, ask: &Ask, units: Units) -> i64 {
    match read(typed, ask, units) {
        Reading::Value { value, .. } => value,
        other => panic!("“{typed}”: {other:?}"),
    }
}

fn how(typed: &str, ask: &Ask, units: Units) -> String {
    match read(typed, ask, units) {
        Reading::Value { how, .. } => how.unwrap_or_default(),
        other => panic!("“{typed}”: {other:?}"),
    }
}

fn refused(typed: &str, ask: &Ask, units: Units) -> String {
    match read(typed, ask, units) {
        Reading::Unreadable(sentence) => sentence,
        other => panic!("“{typed}”: {other:?}"),
    }
}

fn money(code: &str) -> Ask {
    Ask::new("Price", Measure::Money(Currency::of(code)), (1, MOST_MINOR))
}

#[test]
fn units_of_either_system_are_understood_in_either() {
    let dry = Ask::mass("Dry medium", (20, 10_000));
    let rows = [
        ("8 oz", 226_796),
        ("8oz", 226_796),
        ("8 Oz.", 226_796),
        ("8,5 oz", 240_971),
        ("312g", 312_000),
        ("312 G", 312_000),
        ("0.486 kg", 486_000),
        ("1 lb 3 oz", 538_641),
        ("1lb3oz", 538_641),
        ("2 kg 50 g", 2_050_000),
        ("450 mg", 450),
        (" 312 g ", 312_000),
        ("+5 g", 5_000),
        ("1.5 pounds", 680_389),
        ("٣١٢ g", 312_000),
        ("３１２g", 312_000),
        ("३१२", 312_000),
    ];
    for (typed, mg) in rows {
        assert_eq!(value(typed, &dry, METRIC), mg, "{typed}");
        if typed != "३१२" {
            assert_eq!(value(typed, &dry, US), mg, "{typed} where ounces are shown");
        }
    }
    assert_eq!(value("8", &dry, US), 226_796);
    let water = Ask::water("Water", (20, 10_000));
    for (typed, mg) in [("250 ml", 250_000), ("0,25 l", 250_000), ("2,5 dl", 250_000), ("25cl", 250_000), ("0", 0)] {
        assert_eq!(value(typed, &water, METRIC), mg, "{typed}");
    }
    let length = Ask::new("Length", Measure::Length, (1_000, 500_000)).likely(5_000, 150_000);
    for (typed, um) in [
        ("31,5", 31_500),
        ("4 cm", 40_000),
        ("1.5 in", 38_100),
        ("1.5\"", 38_100),
        ("1,5″", 38_100),
        ("31.25mm", 31_250),
    ] {
        assert_eq!(value(typed, &length, METRIC), um, "{typed}");
    }
    let temp = Ask::temp("Set to");
    for (typed, cc) in [
        ("82F", 2_778),
        ("82 °F", 2_778),
        ("27.8 °C", 2_780),
        ("27,8c", 2_780),
        ("27.8 ° C", 2_780),
        ("82 deg F", 2_778),
    ] {
        assert_eq!(value(typed, &temp, METRIC), cc, "{typed}");
        assert_eq!(value(typed, &temp, US), cc, "{typed}");
    }
    assert_eq!(value("82", &temp, US), 2_778);
    let step = Ask::new("Thermometer correction", Measure::Step, (-2_000, 2_000));
    for (typed, units, cc) in
        [("-0.3", METRIC, -30), ("−0,3", METRIC, -30), ("0.9 F", METRIC, 50), ("0.9", US, 50), ("–1.8 °F", US, -100)]
    {
        assert_eq!(value(typed, &step, units), cc, "{typed}");
    }
    let days = Ask::new("Days", Measure::Days, (50, 4_000));
    for (typed, tenths) in [("60", 600), ("60.5", 605), ("8 weeks", 560), ("60 d", 600)] {
        assert_eq!(value(typed, &days, METRIC), tenths, "{typed}");
    }
    let share = Ask::new("How likely", Measure::Percent, (1, 999));
    for (typed, tenths) in [("66", 660), ("66 %", 660), ("12,5%", 125), ("5‰", 5)] {
        assert_eq!(value(typed, &share, METRIC), tenths, "{typed}");
    }
}

#[test]
fn three_digits_behind_a_mark_are_read_by_what_is_likely_or_asked() {
    let scale = Ask::mass("The scale says", (150, 13_000));
    for typed in ["1,486", "1.486", "1 486", "1\u{202f}486", "1,486 g"] {
        assert_eq!(value(typed, &scale, METRIC), 1_486_000, "{typed}");
        assert_eq!(how(typed, &scale, METRIC), "Read as 1486 g.", "{typed}");
    }
    assert_eq!(value("1,486.5", &scale, METRIC), 1_486_500);
    assert_eq!(value("1.486,5", &scale, METRIC), 1_486_500);
    assert_eq!(value("1,486,000 mg", &scale, METRIC), 1_486_000);
    assert_eq!(value("1486,500", &scale, METRIC), 1_486_500);
    assert_eq!(value("1,486 kg", &scale, METRIC), 1_486_000);
    // What eggs weigh is no reason to be sure; what this egg weighed is.
    let egg = Ask::mass("Mass when laid", (1, 300));
    assert!(refused("1,486", &egg, METRIC).starts_with("Mass when laid: “1,486” may be 1.486 g or 1486 g."));
    let weighed = egg.near(Some(trade::units::Mass(1_500)));
    assert_eq!(value("1,486", &weighed, METRIC), 1_486);
    assert_eq!(how("1,486", &weighed, METRIC), "Read as 1.486 g.");
    assert_eq!(value("0,486 kg", &scale, METRIC), 486_000);
    let any = Ask::mass("Weight", (1, 30_000));
    let asked = refused("1,486", &any, METRIC);
    assert_eq!(
        asked,
        "Weight: “1,486” may be 1.486 g or 1486 g. Type 1,4860 for the first, or leave out the comma or point for the second."
    );
    assert_eq!(value("1,4860", &any, METRIC), 1_486);
    assert_eq!(value("1486", &any, METRIC), 1_486_000);
    // Her last weight tells which.
    assert_eq!(value("1,486", &any.clone().near(Some(trade::units::Mass(1_720_000))), METRIC), 1_486_000);
    let length = Ask::new("Length", Measure::Length, (1_000, 500_000)).likely(5_000, 150_000);
    assert_eq!(value("31.250", &length, METRIC), 31_250);
    let count = Ask::count("Copies", 1, 2_000);
    assert_eq!((value("1,000", &count, METRIC), value("1.000", &count, METRIC)), (1_000, 1_000));
    assert_eq!(how("1,000", &count, METRIC), "Read as 1000.");
}

#[test]
fn refusals_name_the_field_and_speak_the_unit_in_use() {
    let dry = Ask::mass("Dry medium", (20, 10_000));
    let temp = Ask::temp("Set to");
    let good = Ask::count("Good", 0, 120);
    let rows = [
        (refused("3l.5", &dry, METRIC), "Dry medium: “3l.5” is not a weight. Type it like 312 g, 1.2 kg or 8 oz."),
        (refused("3l.5", &dry, US), "Dry medium: “3l.5” is not a weight. Type it like 8.5 oz, 1 lb 3 oz or 240 g."),
        (
            refused("82F", &dry, METRIC),
            "Dry medium: “82F” is a temperature, and this asks for a weight. Type it like 312 g, 1.2 kg or 8 oz.",
        ),
        (refused("-5", &dry, METRIC), "Dry medium: can't be −5 g. Type more than 0."),
        (refused("-5", &dry, US), "Dry medium: can't be −5 oz. Type more than 0."),
        (refused("200 kg", &dry, US), "Dry medium: 7054.792 oz is too much. The most is 3527.4 oz."),
        (refused("820", &temp, US), "Set to: 820 °F is too much. The most is 140 °F."),
        (refused("12", &temp, US), "Set to: 12 °F is too little. The least is 32 °F. For degrees Celsius type 12 C."),
        (
            refused("82", &temp, METRIC),
            "Set to: 82 °C is too much. The most is 60 °C. For degrees Fahrenheit type 82 F.",
        ),
        (refused("1000", &good, METRIC), "Good: 1000 is too much. The most is 120."),
        (refused("12,5", &good, METRIC), "Good: “12,5” is not a whole number. Type it without decimals."),
        (
            refused("-20", &Ask::water("Water added", (1, 5_000)), METRIC),
            "Water added: −20 g is less than zero. Type 0 or more.",
        ),
        (
            refused("3l.5", &Ask::mass("Weight", (1, 300)).of("Baby C"), METRIC),
            "Baby C: weight: “3l.5” is not a weight. Type it like 312 g, 1.2 kg or 8 oz.",
        ),
    ];
    for (said, expected) in rows {
        assert_eq!(said, expected);
    }
    assert_eq!(how("8 oz", &dry, METRIC), "Read as 226.796 g.");
    assert_eq!(how("226.8 g", &dry, US), "Read as 8 oz.");
    assert_eq!(how("27.8 C", &temp, US), "Read as 82.04 °F.");
    assert_eq!(how("٣", &good, METRIC), "Read as 3.");
    for plain in ["312", "312 g", "31,25"] {
        assert_eq!(how(plain, &dry, METRIC), "", "{plain}");
    }
}

#[test]
fn nonsense_is_never_a_figure() {
    let asks = [
        Ask::mass("A", (1, 30_000)),
        Ask::water("A", (1, 30_000)),
        Ask::new("A", Measure::Length, (0, 500_000)),
        Ask::temp("A"),
        Ask::count("A", 0, 5_000),
        Ask::new("A", Measure::Percent, (0, 1_000)),
        Ask::new("A", Measure::Days, (0, 4_000)),
    ];
    let texts = [
        "l2,5",
        "98O",
        "1 2",
        "1486 500",
        "12 34 g",
        "1.2.3",
        "1,2,3",
        "1,48,6",
        "..",
        ",",
        "-",
        "+",
        "--5",
        "5-",
        "5 oz 1 lb",
        "1 lb 3",
        "g",
        "8 fl oz",
        "8 ozz",
        "NaN",
        "inf",
        "0x10",
        "1_000",
        "1'486",
        "८ ८",
        "\u{200b}",
        "1e3",
        "8;5",
        "<b>8</b>",
        "82F 27C",
    ];
    for ask in &asks {
        for typed in texts {
            let sentence = refused(typed, ask, METRIC);
            assert!(sentence.starts_with("A: "), "{typed}: {sentence}");
        }
        for digits in [16, 20, 40, 59, 60, 61, 400] {
            refused(&"9".repeat(digits), ask, US);
        }
    }
}

#[test]
fn what_changes_per_degree_is_told_per_degree_of_the_scale_in_use() {
    let told = |fahrenheit| {
        let (degree, of_celsius) = Units { ounces: false, fahrenheit }.degree();
        // 4 % per °C from 28 to 33 °C, which is from 82.4 to 91.4 °F: a fifth in all, whatever the scale.
        let degrees = if fahrenheit { 9.0 } else { 5.0 };
        (degree, (0.04 * of_celsius * degrees - 0.2_f64).abs() < 1e-9)
    };
    assert_eq!((told(false), told(true)), (("°C", true), ("°F", true)));
}

#[test]
fn what_is_shown_is_read_back() {
    let asks = [
        Ask::mass("A", (1, 30_000)),
        Ask::new("A", Measure::Length, (0, 500_000)),
        Ask::temp("A"),
        Ask::new("A", Measure::Step, (-2_000, 2_000)),
        Ask::count("A", 0, 5_000),
        Ask::new("A", Measure::Percent, (0, 1_000)),
        Ask::new("A", Measure::Days, (0, 4_000)),
        money("EUR"),
        money("JPY"),
    ];
    let mut seen = 0;
    for ask in &asks {
        for units in [METRIC, US] {
            for value in (ask.bounds.0..ask.bounds.1).step_by(((ask.bounds.1 - ask.bounds.0) / 997).max(1) as usize) {
                seen += 1;
                let shown = ask.measure.digits(value, units);
                match read(&shown, ask, units) {
                    Reading::Value { value: again, .. } => {
                        assert_eq!(ask.measure.digits(again, units), shown, "{ask:?}")
                    }
                    // At the very ends rounding may lead beyond.
                    other => assert!(value < 1_000 || value > ask.bounds.1 - 1_000, "{shown}: {other:?}"),
                }
            }
        }
    }
    assert!(seen > 9_000, "{seen}");
}

/// What a typed amount comes to, with its currency; or the sentence.
fn amount(typed: &str, barns: &str) -> Result<String, String> {
    let mut entry = Entry::blank(money(barns));
    entry.typed = typed.to_owned();
    let mut gather = Gather::new(METRIC);
    let money = gather.money(&entry);
    gather.done(money.map(|money| money.to_string()).unwrap_or_default()).map_err(|wrong| wrong.first().to_owned())
}

#[test]
fn amounts_are_read_to_the_last_minor_unit_in_the_currency_that_is_meant() {
    let rows = [
        ("80", "EUR", "80.00 EUR"),
        ("80.5", "EUR", "80.50 EUR"),
        ("80,50", "EUR", "80.50 EUR"),
        ("€ 80", "EUR", "80.00 EUR"),
        ("€80,-", "EUR", "80.00 EUR"),
        ("80,- €", "USD", "80.00 EUR"),
        ("1.250,00", "EUR", "1250.00 EUR"),
        ("1,250.00", "EUR", "1250.00 EUR"),
        // Nobody writes thousandths of a euro, so the comma parts thousands; the field says so.
        ("1,250", "EUR", "1250.00 EUR"),
        ("1.250", "EUR", "1250.00 EUR"),
        ("1 250 EUR", "EUR", "1250.00 EUR"),
        ("CHF 1'250.50", "EUR", "1250.50 CHF"),
        ("Fr. 1’250.50", "EUR", "1250.50 CHF"),
        ("Fr.80", "EUR", "80.00 CHF"),
        (".50", "EUR", "0.50 EUR"),
        ("80.", "EUR", "80.00 EUR"),
        ("80 usd", "EUR", "80.00 USD"),
        ("$80", "CAD", "80.00 CAD"),
        ("80 kr", "SEK", "80.00 SEK"),
        ("EUR 80 €", "USD", "80.00 EUR"),
        ("1,250", "JPY", "1250 JPY"),
        ("¥1250", "JPY", "1250 JPY"),
        ("1250 JPY", "EUR", "1250 JPY"),
        ("12.5", "KWD", "12.500 KWD"),
        ("12.0625", "KWD", "KWD goes"),
        ("1.2500", "KWD", "1.250 KWD"),
        ("80 EUR", "", "80.00 EUR"),
        ("٨٠", "EUR", "80.00 EUR"),
        ("9999999999.99", "EUR", "9999999999.99 EUR"),
        ("   ", "EUR", ""),
        // Asked, or refused.
        ("1,250", "KWD", "“1,250” may be 1.250 KWD or 1250.000 KWD"),
        ("80", "", "“80” is not an amount with its currency. Type it like 80 EUR"),
        ("$80", "EUR", "“$80” is not an amount of money. Type it like 80, 80.50 or 80 USD."),
        ("$80", "", "“$80” is not an amount with its currency"),
        ("80.5", "JPY", "“80.5” is finer than JPY goes. Type it without decimals."),
        ("80.1234", "EUR", "“80.1234” is finer than EUR goes. Type it with at most 2 decimals."),
        ("80 EUR 20 USD", "EUR", "is not an amount of money"),
        ("€ 80 USD", "EUR", "is not an amount of money"),
        ("80 pounds", "EUR", "is a weight, and this asks for an amount of money"),
        ("swap for Moss", "EUR", "is not an amount of money"),
        ("80 90", "EUR", "is not an amount of money"),
        ("80-90", "EUR", "is not an amount of money"),
        ("-5", "EUR", "−5.00 EUR is too little. The least is 0.01 EUR."),
        ("0", "EUR", "0.00 EUR is too little"),
        ("10000000000", "EUR", "is too much"),
    ];
    for (typed, barns, expected) in rows {
        match amount(typed, barns) {
            Ok(said) => assert_eq!(said, expected, "{typed} in {barns}"),
            Err(sentence) => assert!(
                sentence.contains(expected) && sentence.starts_with("Price: "),
                "{typed} in {barns}: {sentence}"
            ),
        }
    }
    assert_eq!(how("1,250", &money("EUR"), METRIC), "Read as 1250.00 EUR.");
    assert_eq!(how("80 usd", &money("EUR"), METRIC), "Read as 80.00 USD.");
    assert_eq!(how("80,50", &money("EUR"), METRIC), "");
}

#[test]
fn no_amount_is_another_by_a_minor_unit() {
    // Spread over all that may be typed, with every last digit there is.
    for step in 0..20_000_i64 {
        let minor = 1 + step * 49_999_999 + step % 100;
        for code in ["EUR", "JPY"] {
            let digits = money(code).measure.digits(minor, METRIC);
            assert_eq!(value(&digits, &money(code), METRIC), minor, "{digits}");
        }
        // A zero behind says which of the two the point is.
        let digits = money("KWD").measure.digits(minor, METRIC) + "0";
        assert_eq!(value(&digits, &money("KWD"), METRIC), minor, "{digits}");
    }
}
