//! Reading a table of published incubation durations, one treatment a row.
//!
//! Columns are found by name: `trait, family, species, authors_year, where_in_paper, regime, temp_c, temp_range_c,
//! mean, unit, n`; others are ignored.

use crate::fit_hatch::Treatment;
use crate::species::Kin;
use std::fmt;

/// One published duration.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// line in the file, the header being 1
    pub line: u64,
    pub family: String,
    pub species: String,
    /// authors and year: rows of one study share keepers, thermometers and methods
    pub study: String,
    pub place: String,
    /// °C
    pub celsius: f64,
    /// full swing over a day, °C; 0 when kept constant
    pub swing: f64,
    pub constant: bool,
    pub days: f64,
    /// eggs behind it, when told
    pub n: Option<f64>,
}

/// A row that is no usable duration, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    pub line: u64,
    pub what: String,
    pub why: Why,
}

/// Why a row is refused.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    Unreadable(String),
    NotADuration,
    NotInDays(String),
    NotANumber {
        column: &'static str,
        text: String,
    },
    /// no reptile egg takes so few or so many: a date, a rate, or a slip
    NotANumberOfDays(f64),
    UnknownFamily(String),
    OutsideLimits {
        celsius: f64,
        limits: (f64, f64),
    },
    UnknownSwing,
    NoConstantRow,
    TheKnownRow,
    Misleading(&'static str),
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(e) => write!(f, "the row cannot be read: {e}"),
            Self::NotADuration => f.write_str("not an incubation duration"),
            Self::NotInDays(u) => write!(f, "measured in “{u}”, not in days"),
            Self::NotANumber { column, text } => write!(f, "{column} is “{text}”, not a number above 0"),
            Self::NotANumberOfDays(d) => write!(f, "{d} is no number of days an egg takes (10 to 500)"),
            Self::UnknownFamily(x) => write!(f, "no figures ship for the family “{x}”"),
            Self::OutsideLimits { celsius, limits: (lo, hi) } => {
                write!(f, "{celsius} °C is outside {lo}–{hi} °C, where the model answers")
            }
            Self::UnknownSwing => f.write_str("fluctuating by an amount that is not told"),
            Self::NoConstantRow => f.write_str("its study has no usable row at a constant temperature to start from"),
            Self::TheKnownRow => f.write_str("taken as known, so not predicted"),
            Self::Misleading(why) => f.write_str(why),
        }
    }
}

/// The kin whose slopes serve a family, and the temperatures, °C, in which they are used for published rows.
pub fn kin_of(family: &str) -> Option<(Kin, (f64, f64))> {
    let is = |names: &[&str]| names.iter().any(|n| n.eq_ignore_ascii_case(family.trim()));
    if is(&[
        "Colubridae",
        "Natricidae",
        "Dipsadidae",
        "Lamprophiidae",
        "Psammophiidae",
        "Elapidae",
        "Pseudoxenodontidae",
        "Homalopsidae",
        "Pareidae",
        "Pareatidae",
    ]) {
        Some((Kin::Snake, (20.0, 33.5)))
    } else if is(&["Pythonidae", "Boidae", "Calabariidae"]) {
        Some((Kin::Python, (24.0, 34.0)))
    } else if is(&["Viperidae"]) {
        // Egg-laying vipers keep their eggs for much of development: borrowed as loosely as for pythons.
        Some((Kin::Python, (20.0, 33.5)))
    } else if is(&[
        "Gekkonidae",
        "Eublepharidae",
        "Diplodactylidae",
        "Carphodactylidae",
        "Phyllodactylidae",
        "Sphaerodactylidae",
        "Pygopodidae",
    ]) {
        Some((Kin::Gecko, (18.0, 35.0)))
    } else if is(&[
        "Agamidae",
        "Chamaeleonidae",
        "Lacertidae",
        "Scincidae",
        "Phrynosomatidae",
        "Iguanidae",
        "Dactyloidae",
        "Polychrotidae",
        "Tropiduridae",
        "Liolaemidae",
        "Crotaphytidae",
        "Teiidae",
        "Varanidae",
        "Anguidae",
        "Corytophanidae",
        "Gymnophthalmidae",
        "Leiosauridae",
        "Xantusiidae",
        "Cordylidae",
        "Gerrhosauridae",
    ]) {
        Some((Kin::Lizard, (20.0, 36.0)))
    } else {
        None
    }
}

/// The columns without which a row says nothing.
const NEEDED: [&str; 6] = ["family", "species", "authors_year", "regime", "temp_c", "mean"];

/// Reads a table, its columns divided by commas, semicolons or tabs. Rows that are no usable duration are listed, never
/// dropped in silence. `Err` says which columns the first line lacks.
pub fn read(text: &str) -> Result<(Vec<Row>, Vec<Refused>), String> {
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().next().unwrap_or_default();
    let many = |c: &char| first.matches(*c).count();
    let comma = [',', ';', '\t'].into_iter().rev().max_by_key(many).unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(comma as u8)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| format!("the first line cannot be read: {e}"))?.clone();
    let optional = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(name));
    let missing: Vec<&str> = NEEDED.into_iter().filter(|name| optional(name).is_none()).collect();
    let [Some(family), Some(species), Some(study), Some(regime), Some(temp), Some(mean)] = NEEDED.map(optional) else {
        let has: Vec<&str> = header.iter().filter(|h| !h.is_empty()).collect();
        return Err(format!(
            "the first line must name the columns; it lacks {}, and has {}",
            missing.join(", "),
            if has.is_empty() { "nothing".to_owned() } else { has.join(", ") }
        ));
    };
    let (trait_, unit, swing, n, place) =
        (optional("trait"), optional("unit"), optional("temp_range_c"), optional("n"), optional("where_in_paper"));
    let (mut rows, mut refused) = (Vec::new(), Vec::new());
    for (i, record) in reader.records().enumerate() {
        let record = match record {
            Ok(r) => r,
            Err(e) => {
                refused.push(Refused { line: i as u64 + 2, what: String::new(), why: Why::Unreadable(e.to_string()) });
                continue;
            }
        };
        let line = record.position().map_or(i as u64 + 2, csv::Position::line);
        let cell = |c: usize| record.get(c).unwrap_or("").split_whitespace().collect::<Vec<_>>().join(" ");
        let maybe = |c: Option<usize>| c.map(cell).unwrap_or_default();
        let what = format!("{}, {}, {} °C", cell(species), cell(study), cell(temp));
        let number = |c: usize, column: &'static str| match cell(c).parse::<f64>() {
            Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
            _ => Err(Why::NotANumber { column, text: cell(c) }),
        };
        let parse = || {
            if trait_.is_some_and(|c| !cell(c).eq_ignore_ascii_case("Incubation duration")) {
                return Err(Why::NotADuration);
            }
            if unit.is_some_and(|c| !["days", "day", "d"].contains(&cell(c).to_lowercase().as_str())) {
                return Err(Why::NotInDays(maybe(unit)));
            }
            let constant = cell(regime).eq_ignore_ascii_case("constant");
            let swing = maybe(swing).parse::<f64>().ok().filter(|v| *v >= 0.0);
            Ok(Row {
                line,
                family: cell(family),
                species: cell(species),
                study: cell(study),
                place: maybe(place),
                celsius: number(temp, "temp_c")?,
                // What a constant incubator wanders is not a swing.
                swing: if constant { 0.0 } else { swing.ok_or(Why::UnknownSwing)? },
                constant,
                days: number(mean, "mean").and_then(|d| match d {
                    d if (10.0..=500.0).contains(&d) => Ok(d),
                    _ => Err(Why::NotANumberOfDays(d)),
                })?,
                n: maybe(n).parse::<f64>().ok().filter(|v| *v > 0.0),
            })
        };
        match parse() {
            Ok(row) => rows.push(row),
            Err(why) => refused.push(Refused { line, what, why }),
        }
    }
    Ok((rows, refused))
}

/// Published hatch rates in the same table, of one kin, kept constant. Rows without a count of eggs are left aside;
/// shares above 1 are percent.
pub fn read_hatch_rates(text: &str, kin: Kin) -> Vec<Treatment> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let Ok(header) = reader.headers().cloned() else { return Vec::new() };
    let column = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(name));
    let columns = ["trait", "family", "regime", "temp_c", "mean", "n", "authors_year"].map(column);
    let [Some(what), Some(family), Some(regime), Some(temp), Some(mean), Some(n), Some(study)] = columns else {
        return Vec::new();
    };
    reader
        .records()
        .flatten()
        .filter(|r| {
            r.get(what).is_some_and(|t| t.eq_ignore_ascii_case("Hatching success"))
                && r.get(regime).is_some_and(|t| t.eq_ignore_ascii_case("constant"))
                && r.get(family).and_then(kin_of).is_some_and(|k| k.0 == kin)
        })
        .filter_map(|r| {
            let number = |c: usize| r.get(c)?.parse::<f64>().ok();
            let share = number(mean)?;
            let hatched = if share > 1.0 { share / 100.0 } else { share };
            let study = r.get(study).unwrap_or_default().to_owned();
            Some(Treatment { study, celsius: number(temp)?, hatched, eggs: number(n)? })
        })
        .collect()
}

/// Why a row, sound in form, would mislead a fit; found by reading the studies against each other.
pub fn misleading(row: &Row) -> Option<&'static str> {
    let study = row.study.replace('ö', "o");
    match study.as_str() {
        "Lowenborg 2010" if row.celsius < 20.0 => Some("two eggs, quicker than those 2 °C warmer"),
        "Lowenborg 2010" if row.place == "Fig. 2" => Some("the eggs of Fig. 3 again, by population"),
        "Lowenborg 2012" if row.celsius < 20.0 => Some("three eggs, ± 10 days"),
        "Burger 1987" if row.species.starts_with("Pituophis") => Some("the eggs of Burger 1988 again"),
        "Patterson 2008" => Some("dates of the year, not days from lay"),
        s if s.starts_with("Andrewartha") => Some("days per gram, not days"),
        "Burger 1991" if row.species.starts_with("Pituophis") => Some("the eggs of Burger 1988 again, rounded"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "trait,family,species,authors_year,where_in_paper,regime,temp_c,temp_range_c,mean,unit,n\n";

    #[test]
    fn every_row_is_read_or_refused_with_its_reason() {
        for (row, told) in [
            ("Incubation duration,Colubridae,Ptyas dhumnades,Lin 2010,T1,constant,24,0.6,76.7,days,18", ""),
            ("Incubation duration,Colubridae,\"Ptyas  dhumnades\",Lin 2010,T1,Constant,24,NA,76.7,days,NA", ""),
            (
                "Hatching success,Colubridae,X y,A 2000,T1,constant,24,0,0.7,Prop hatched,18",
                "not an incubation duration",
            ),
            ("Incubation duration,Colubridae,X y,A 2000,T1,constant,warm,0,70,days,18", "temp_c is “warm”"),
            ("Incubation duration,Colubridae,X y,A 2000,T1,constant,24,0,NA,days,18", "mean is “NA”"),
            ("Incubation duration,Colubridae,X y,A 2000,T1,constant,24,0,-5,days,18", "mean is “-5”"),
            ("Incubation duration,Colubridae,X y,A 2000,T1,constant,24,0,38211,days,18", "no number of days"),
            ("Incubation duration,Colubridae,X y,A 2000,T1,constant,24,0,70,days per gram,18", "not in days"),
            ("Incubation duration,Colubridae,X y,A 2000,T1,fluctuating,24,NA,70,days,18", "not told"),
            ("Incubation duration,Colubridae", "measured in “”"),
        ] {
            let (rows, refused) = read(&format!("{HEAD}{row}\n")).expect("the header");
            assert_eq!(rows.len() + refused.len(), 1, "{row}");
            let why = refused.first().map(|r| r.why.to_string()).unwrap_or_default();
            assert!(if told.is_empty() { why.is_empty() } else { why.contains(told) }, "{row}: {why}");
        }
        assert_eq!(read(HEAD).expect("the header"), (vec![], vec![]));
        for (text, told) in [
            ("a,b\n1,2\n", "lacks family, species, authors_year, regime, temp_c, mean, and has a, b"),
            ("family;species;authors_year;regime;mean\n", "lacks temp_c, and has family, species"),
            ("", "has nothing"),
        ] {
            let why = read(text).expect_err("no header");
            assert!(why.contains(told), "{why}");
        }
        let german = "family;species;authors_year;regime;temp_c;mean\nColubridae;X y;A;constant;28;60\n";
        assert_eq!(read(german).expect("the header").0.len(), 1);
    }
}
