//! What is measured, its units, and how a figure looks in the device's unit.
//!
//! Every figure is a whole number of small units: milligrams, micrometres, hundredths of a degree, tenths of a percent
//! or of a day, single things, a currency's minor units.

use trade::money::{Currency, Money};
use trade::units::{Humidity, Mass, Temp};

/// The units this device shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    pub ounces: bool,
    pub fahrenheit: bool,
}

/// What a field asks for; the unit of the whole number beside each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// milligrams
    Mass,
    /// milligrams of water; millilitres and litres are understood too
    Water,
    /// micrometres
    Length,
    /// hundredths of a degree Celsius
    Temp,
    /// hundredths of a degree Celsius, a difference: 1 °C of it is 1.8 °F
    Step,
    /// single things
    Count,
    /// tenths of a percent
    Percent,
    /// tenths of a day
    Days,
    /// minor units of this currency, where none is typed; none: it has to be typed
    Money(Option<Currency>),
}

/// A unit that can be typed: its small units, and where its scale begins (°F only).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Unit {
    pub(crate) of: Measure,
    /// how many small units one of it is
    pub(crate) size: f64,
    /// what is taken off first
    pub(crate) zero: f64,
    /// as it is written in a sentence
    pub(crate) sign: &'static str,
}

/// Units by the words people type, lower case and without spaces and the full stop behind.
const TYPED: [(&str, Unit); 20] = [
    ("mg milligram milligrams", unit(Measure::Mass, 1.0, "mg")),
    ("g gram grams gramm gramme grammes", unit(Measure::Mass, 1_000.0, "g")),
    ("kg kilo kilos kilogram kilograms", unit(Measure::Mass, 1_000_000.0, "kg")),
    ("oz ounce ounces", unit(Measure::Mass, 28_349.523_125, "oz")),
    ("lb lbs pound pounds", unit(Measure::Mass, 453_592.37, "lb")),
    ("ml cc cm³ milliliter milliliters millilitre millilitres", unit(Measure::Water, 1_000.0, "ml")),
    ("cl", unit(Measure::Water, 10_000.0, "cl")),
    ("dl", unit(Measure::Water, 100_000.0, "dl")),
    ("l liter liters litre litres", unit(Measure::Water, 1_000_000.0, "l")),
    ("mm millimeter millimeters millimetre millimetres", unit(Measure::Length, 1_000.0, "mm")),
    ("cm centimeter centimeters centimetre centimetres", unit(Measure::Length, 10_000.0, "cm")),
    ("m meter meters metre metres", unit(Measure::Length, 1_000_000.0, "m")),
    ("in inch inches \" ″ ”", unit(Measure::Length, 25_400.0, "in")),
    ("ft foot feet", unit(Measure::Length, 304_800.0, "ft")),
    ("c °c ºc degc celsius °celsius", unit(Measure::Temp, 100.0, "°C")),
    ("f °f ºf degf fahrenheit °fahrenheit", FAHRENHEIT),
    ("% percent", unit(Measure::Percent, 10.0, "%")),
    ("‰", unit(Measure::Percent, 1.0, "‰")),
    ("d day days", unit(Measure::Days, 10.0, "days")),
    ("w wk wks week weeks", unit(Measure::Days, 70.0, "weeks")),
];

/// How many minor units one of a currency has.
fn minor_units(currency: Currency) -> f64 {
    match currency.decimals() {
        0 => 1.0,
        3 => 1_000.0,
        _ => 100.0,
    }
}

const FAHRENHEIT: Unit = Unit { of: Measure::Temp, size: 100.0 / 1.8, zero: 32.0, sign: "°F" };

const fn unit(of: Measure, size: f64, sign: &'static str) -> Unit {
    Unit { of, size, zero: 0.0, sign }
}

/// The unit a word means, where it is one.
pub(crate) fn unit_typed(word: &str) -> Option<Unit> {
    let word: String = word.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
    let word = word.strip_suffix('.').unwrap_or(&word);
    TYPED.iter().find(|(words, _)| words.split(' ').any(|known| known == word)).map(|(_, unit)| *unit)
}

impl Measure {
    /// The unit that is meant where none is typed, and in which a sentence speaks.
    pub(crate) fn unit(self, units: Units) -> Unit {
        match self {
            Measure::Mass | Measure::Water if units.ounces => unit(self, 28_349.523_125, "oz"),
            Measure::Mass | Measure::Water => unit(self, 1_000.0, "g"),
            Measure::Length => unit(self, 1_000.0, "mm"),
            Measure::Temp if units.fahrenheit => FAHRENHEIT,
            Measure::Step if units.fahrenheit => Unit { of: self, zero: 0.0, ..FAHRENHEIT },
            Measure::Temp | Measure::Step => unit(self, 100.0, "°C"),
            Measure::Count => unit(self, 1.0, ""),
            Measure::Percent => unit(self, 10.0, "%"),
            Measure::Days => unit(self, 10.0, "days"),
            Measure::Money(None) => unit(self, 1.0, ""),
            Measure::Money(Some(currency)) => unit(self, minor_units(currency), ""),
        }
    }

    pub(crate) fn is_money(self) -> bool {
        matches!(self, Measure::Money(_))
    }

    /// Whether a comma or point before just three digits can only part thousands: nothing that is counted has decimals, and
    /// no amount has three of them in most currencies.
    pub(crate) fn parts_thousands(self) -> bool {
        match self {
            Measure::Money(currency) => currency.is_none_or(|currency| currency.decimals() < 3),
            _ => self == Measure::Count,
        }
    }

    /// What stands beside the field, a currency too.
    pub fn beside(self, units: Units) -> String {
        match self {
            Measure::Money(Some(currency)) => currency.code().to_owned(),
            _ => self.sign(units).to_owned(),
        }
    }

    /// What stands beside the field.
    pub fn sign(self, units: Units) -> &'static str {
        self.unit(units).sign
    }

    /// A typed unit, as one of this; `None` when it measures something else.
    pub(crate) fn takes(self, typed: Unit) -> Option<Unit> {
        match (self, typed.of) {
            (Measure::Water, Measure::Mass | Measure::Water) => Some(typed),
            (Measure::Step, Measure::Temp) => Some(Unit { zero: 0.0, ..typed }),
            (own, of) => (own == of).then_some(typed),
        }
    }

    /// Digits after the point that are shown: whole grams from 100 g up, as a barn's scale shows them.
    fn places(self, value: i64, units: Units) -> u32 {
        match self {
            Measure::Mass | Measure::Water if units.ounces => 2,
            Measure::Mass | Measure::Water if value.abs() >= 100_000 => 0,
            Measure::Length => 2,
            Measure::Count | Measure::Money(_) => 0,
            _ => 1,
        }
    }

    /// An amount, to its last minor unit.
    fn money(self, minor: i64) -> Option<Money> {
        if let Measure::Money(Some(currency)) = self { Some(Money { minor, currency }) } else { None }
    }

    /// `1486`, `8.2`, `31.25`: as it stands in its box, without the unit.
    pub fn digits(self, value: i64, units: Units) -> String {
        if let Some(money) = self.money(value) {
            return money.digits();
        }
        figure(self.unit(units).shown(value), self.places(value, units)).replace('−', "-")
    }

    /// `1486 g`, `8.2 g`, `82.6 °F`, `28.0 °C`, `12`: the one way a figure is shown. Temperatures keep their tenth, as
    /// thermometers do.
    pub fn said(self, value: i64, units: Units) -> String {
        if let Some(money) = self.money(value) {
            return money.text();
        }
        let (shown, places) = (self.unit(units).shown(value), self.places(value, units));
        let digits = figure(shown, places);
        let digits = if self == Measure::Temp && !digits.contains('.') { digits + ".0" } else { digits };
        with_sign(digits, self.unit(units).sign)
    }

    /// A bound, which is a round figure: `60 °C`.
    pub(crate) fn bound(self, value: i64, units: Units) -> String {
        let exact = matches!(self, Measure::Temp | Measure::Step | Measure::Money(_));
        if exact { self.exactly(value, units) } else { self.said(value, units) }
    }

    /// To the last small unit, for a sentence that must not round: `0.486 g`.
    pub(crate) fn exactly(self, value: i64, units: Units) -> String {
        if let Some(money) = self.money(value) {
            return money.text();
        }
        let places = match self {
            Measure::Count | Measure::Money(_) => 0,
            Measure::Percent | Measure::Days => 1,
            Measure::Temp | Measure::Step => 2,
            Measure::Mass | Measure::Water | Measure::Length => 3,
        };
        with_sign(figure(self.unit(units).shown(value), places), self.unit(units).sign)
    }
}

impl Unit {
    /// Of so many small units.
    fn shown(self, value: i64) -> f64 {
        value as f64 / self.size + self.zero
    }
}

fn with_sign(digits: String, sign: &str) -> String {
    if sign.is_empty() { digits } else { format!("{digits} {sign}") }
}

/// A number with at most so many digits after the point, without zeros at its end.
pub(crate) fn figure(number: f64, places: u32) -> String {
    let scale = 10_i64.pow(places);
    let whole = (number * scale as f64).round() as i64;
    let minus = if whole < 0 { "−" } else { "" };
    let (whole, part) = (whole.unsigned_abs() / scale as u64, whole.unsigned_abs() % scale as u64);
    if part == 0 {
        return format!("{minus}{whole}");
    }
    format!("{minus}{whole}.{part:0width$}", width = places as usize).trim_end_matches('0').to_owned()
}

/// What a field asks for, and what it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// As it stands above the field.
    pub label: String,
    /// Whose it is, where several look alike: `Baby C`, `Box 2`.
    pub of: String,
    pub measure: Measure,
    /// The least and the most that is taken, in small units.
    pub bounds: (i64, i64),
    /// What is likely here: tells `1,486` from 1.486.
    pub likely: (i64, i64),
    /// What is likely is known from an earlier figure of the same thing, not from what such things are like.
    pub weighed: bool,
    /// The figure must be a multiple of this many small units: 10 for whole percents.
    pub grain: i64,
}

/// 100 kg: as the acts take it.
const MOST_MG: i64 = 99_999_999;

impl Ask {
    /// A figure within bounds, all of them likely.
    pub fn new(label: impl Into<String>, measure: Measure, bounds: (i64, i64)) -> Ask {
        Ask { label: label.into(), of: String::new(), measure, bounds, likely: bounds, weighed: false, grain: 1 }
    }

    /// A mass above 0 and below 100 kg; `likely` in grams.
    pub fn mass(label: impl Into<String>, likely: (i64, i64)) -> Ask {
        Ask::new(label, Measure::Mass, (1, MOST_MG)).likely(likely.0 * 1_000, likely.1 * 1_000)
    }

    /// Water, none to 100 kg; `likely` in grams.
    pub fn water(label: impl Into<String>, likely: (i64, i64)) -> Ask {
        Ask::new(label, Measure::Water, (0, MOST_MG)).likely(likely.0 * 1_000, likely.1 * 1_000)
    }

    /// A temperature of a shelf, 0–60 °C.
    pub fn temp(label: impl Into<String>) -> Ask {
        Ask::new(label, Measure::Temp, (0, 6_000))
    }

    /// How many.
    pub fn count(label: impl Into<String>, least: u32, most: u32) -> Ask {
        Ask::new(label, Measure::Count, (i64::from(least), i64::from(most)))
    }

    /// Whose it is.
    pub fn of(mut self, of: impl Into<String>) -> Ask {
        self.of = of.into();
        self
    }

    /// What is likely, in small units.
    pub fn likely(mut self, low: i64, high: i64) -> Ask {
        self.likely = (low, high);
        self
    }

    /// A weight is likely within ten times what was weighed last, either way.
    pub fn near(self, last: Option<Mass>) -> Ask {
        match last {
            Some(last) => Ask { weighed: true, ..self.likely(last.0 / 9, last.0.saturating_mul(9)) },
            None => self,
        }
    }

    /// Only multiples of so many small units.
    pub fn grain(mut self, grain: i64) -> Ask {
        self.grain = grain;
        self
    }

    /// `Baby C: weight`, `Dry medium`.
    pub fn name(&self) -> String {
        if self.of.is_empty() {
            return self.label.clone();
        }
        let mut letters = self.label.chars();
        let first = letters.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
        format!("{}: {first}{}", self.of, letters.as_str())
    }
}

impl Units {
    /// `1486 g`, `52.42 oz`.
    pub fn mass(self, mass: Mass) -> String {
        Measure::Mass.said(mass.0, self)
    }

    /// `28.1 °C`, `82.6 °F`.
    pub fn temp(self, temp: Temp) -> String {
        Measure::Temp.said(i64::from(temp.0), self)
    }

    /// Relative humidity: `62.5 %`.
    pub fn humidity(self, humidity: Humidity) -> String {
        Measure::Percent.said(i64::from(humidity.0), self)
    }

    /// A difference in temperature, in hundredths of a degree Celsius: `0.5 °C`, `0.9 °F`.
    pub fn step(self, hundredths: i64) -> String {
        Measure::Step.said(hundredths, self)
    }

    /// A degree of the scale in use, and how much of a degree Celsius it is: what something changes by per degree is told
    /// per that one.
    pub fn degree(self) -> (&'static str, f64) {
        if self.fahrenheit { ("°F", 1.0 / 1.8) } else { ("°C", 1.0) }
    }

    /// Of micrometres: `31.25 mm`.
    pub fn length(self, micrometres: i64) -> String {
        Measure::Length.said(micrometres, self)
    }
}

impl book::acts::Shown for Units {
    fn mass(&self, mass: Mass) -> String {
        Units::mass(*self, mass)
    }

    fn temp(&self, temp: Temp) -> String {
        Units::temp(*self, temp)
    }
}
