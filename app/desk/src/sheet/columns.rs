//! What the columns of a sheet hold, and the headings people give them.

use crate::measure::{Measure, unit_typed};
use book::lower;
use trade::money::Currency;

/// What the rows of a sheet are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SheetOf {
    Animals,
    Clutches,
}

/// What a column of a sheet holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Column {
    Code,
    Name,
    Species,
    Sex,
    Morph,
    Line,
    Locality,
    /// Day of birth or hatching.
    Born,
    Dam,
    Sire,
    Weight,
    /// Day of that weight.
    Weighed,
    /// Where it is now.
    Place,
    /// Whether it is here, or how it left.
    Status,
    /// Day it left.
    Left,
    /// Asked for it, or what it went for.
    Price,
    /// May be several columns.
    Note,
    /// The record's own id, as an export has it.
    Id,
    /// The clutch's number.
    Number,
    Laid,
    /// All of them, slugs and bad eggs among them.
    Eggs,
    Good,
    Dud,
    Slug,
    /// How many eggs hatched.
    Hatched,
}

use Column::*;

const OF_ANIMALS: &[Column] = &[
    Code, Name, Species, Sex, Morph, Line, Locality, Born, Dam, Sire, Weight, Weighed, Place, Status, Left, Price,
    Note, Id,
];
const OF_CLUTCHES: &[Column] = &[Number, Species, Dam, Sire, Laid, Eggs, Good, Dud, Slug, Hatched, Note];

/// Each column with headings people give it, in lower case: English, German, Spanish (common practice, from memory).
const HEADINGS: [(Column, &[&str]); 25] = [
    (Code, &["code", "id", "animal id", "animal code", "tag", "nr", "no", "tier", "kürzel", "código", "codigo"]),
    (Name, &["name", "animal", "animal name", "tiername", "nombre"]),
    (Species, &["species", "kind", "common name", "scientific name", "art", "spezies", "especie"]),
    (Sex, &["sex", "gender", "m", "f", "geschlecht", "geschl", "sexo"]),
    (
        Morph,
        &[
            "morph",
            "morphs",
            "look",
            "colour",
            "color",
            "phase",
            "genetics",
            "farbe",
            "farbform",
            "morphe",
            "fase",
            "morfo",
            "genética",
            "genetica",
        ],
    ),
    (Line, &["line", "bloodline", "linie", "blutlinie", "línea", "linea"]),
    (Locality, &["locality", "origin", "lokalform", "herkunft", "localidad", "origen"]),
    (
        Born,
        &[
            "born",
            "born on",
            "hatched",
            "hatched on",
            "hatch date",
            "hatchdate",
            "birth",
            "birth date",
            "birthday",
            "dob",
            "date of birth",
            "born or hatched",
            "year",
            "geboren",
            "geburtsdatum",
            "geburtstag",
            "schlupf",
            "schlupfdatum",
            "jahrgang",
            "nacido",
            "nacimiento",
            "fecha de nacimiento",
            "eclosión",
            "eclosion",
        ],
    ),
    (Dam, &["dam", "dams", "mother", "female", "female parent", "mutter", "muttertier", "weibchen", "madre", "hembra"]),
    (Sire, &["sire", "sires", "father", "male", "male parent", "vater", "vatertier", "männchen", "padre", "macho"]),
    (Weight, &["weight", "mass", "current weight", "last weight", "gewicht", "peso"]),
    (
        Weighed,
        &["weighed", "weighed on", "weight date", "date weighed", "gewogen", "gewogen am", "fecha de peso", "pesado"],
    ),
    (
        Place,
        &[
            "place",
            "location",
            "enclosure",
            "tub",
            "rack",
            "cage",
            "position",
            "standort",
            "ort",
            "platz",
            "becken",
            "lugar",
            "ubicación",
            "ubicacion",
        ],
    ),
    (Status, &["status", "went", "state", "zustand", "verbleib", "estado"]),
    (
        Left,
        &[
            "went when",
            "left",
            "left on",
            "sold on",
            "sale date",
            "date sold",
            "died on",
            "date of death",
            "abgang",
            "abgabe",
            "verkauft am",
            "salida",
            "fecha de venta",
        ],
    ),
    (Price, &["price", "price asked", "asking price", "sale price", "preis", "verkaufspreis", "precio"]),
    (
        Note,
        &[
            "note",
            "notes",
            "remark",
            "remarks",
            "comment",
            "comments",
            "notiz",
            "notizen",
            "bemerkung",
            "bemerkungen",
            "nota",
            "notas",
        ],
    ),
    (Id, &["candlemark id"]),
    (
        Number,
        &[
            "number",
            "clutch",
            "clutch number",
            "clutch no",
            "clutch id",
            "gelege",
            "gelegenummer",
            "puesta",
            "número",
            "numero",
        ],
    ),
    (
        Laid,
        &[
            "laid",
            "laid on",
            "lay date",
            "laydate",
            "date laid",
            "gelegt",
            "gelegt am",
            "legedatum",
            "ablage",
            "fecha de puesta",
        ],
    ),
    (Good, &["good", "good eggs", "fertile", "fertile eggs", "gute eier", "befruchtet", "fértiles"]),
    (Eggs, &["eggs", "all eggs", "total eggs", "egg count", "clutch size", "eier", "eizahl", "huevos"]),
    (Dud, &["dud", "duds", "bad eggs", "infertile", "unbefruchtet", "infértiles"]),
    (Slug, &["slug", "slugs", "wachseier"]),
    (Hatched, &["hatched", "babies", "hatchlings", "young", "geschlüpft", "schlüpflinge", "eclosionados", "crías"]),
];

impl Column {
    /// The columns a sheet of this sort may have.
    pub fn of(what: SheetOf) -> &'static [Column] {
        match what {
            SheetOf::Animals => OF_ANIMALS,
            SheetOf::Clutches => OF_CLUTCHES,
        }
    }

    /// What a heading probably means.
    pub fn guess(what: SheetOf, heading: &str) -> Option<Column> {
        let heading = plain(heading);
        let known = HEADINGS.iter().filter(|(column, _)| Column::of(what).contains(column));
        known.clone().find(|(_, names)| names.contains(&heading.as_str())).map(|(column, _)| *column)
    }

    /// What a device remembers it by.
    pub fn key(self) -> &'static str {
        match self {
            Code => "code",
            Name => "name",
            Species => "species",
            Sex => "sex",
            Morph => "morph",
            Line => "line",
            Locality => "locality",
            Born => "born",
            Dam => "dam",
            Sire => "sire",
            Weight => "weight",
            Weighed => "weighed",
            Place => "place",
            Status => "status",
            Left => "left",
            Price => "price",
            Note => "note",
            Id => "id",
            Number => "number",
            Laid => "laid",
            Eggs => "eggs",
            Good => "good",
            Dud => "dud",
            Slug => "slug",
            Hatched => "hatched",
        }
    }

    /// Whether its cells are days.
    pub fn is_day(self) -> bool {
        matches!(self, Born | Weighed | Left | Laid)
    }
}

/// A heading in lower case, without what stands in brackets and signs around it.
pub(super) fn plain(heading: &str) -> String {
    let bare = heading.split(['(', '[', '/']).next().unwrap_or_default().replace(['_', '-'], " ");
    let bare = bare.trim_matches(|c: char| !c.is_alphanumeric());
    lower(&bare.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// The unit of a heading such as `Weight (g)`.
pub(super) fn unit_of(heading: &str) -> Option<&str> {
    in_brackets(heading).filter(|unit| unit_typed(unit).is_some_and(|unit| unit.of == Measure::Mass))
}

/// The currency of a heading such as `Price (EUR)`.
pub(super) fn currency_of(heading: &str) -> Option<Currency> {
    in_brackets(heading).and_then(|inside| crate::money::of(&format!("1 {inside}"), None))
}

fn in_brackets(heading: &str) -> Option<&str> {
    let (_, behind) = heading.split_once(['(', '['])?;
    behind.split_once([')', ']']).map(|(inside, _)| inside.trim()).filter(|inside| !inside.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_known_by_their_usual_names() {
        for (what, heading, expected) in [
            (SheetOf::Animals, "Code", Some(Code)),
            (SheetOf::Animals, " animal_id ", Some(Code)),
            (SheetOf::Animals, "DOB", Some(Born)),
            (SheetOf::Animals, "Weight (g)", Some(Weight)),
            (SheetOf::Animals, "Geschlecht:", Some(Sex)),
            (SheetOf::Animals, "Fecha de nacimiento", Some(Born)),
            (SheetOf::Animals, "Price [EUR]", Some(Price)),
            (SheetOf::Animals, "ID#", Some(Code)),
            (SheetOf::Animals, "M/F", Some(Sex)),
            (SheetOf::Animals, "Geschl.", Some(Sex)),
            (SheetOf::Animals, "Hatched", Some(Born)),
            (SheetOf::Animals, "Laid", None),
            (SheetOf::Clutches, "Dams", Some(Dam)),
            (SheetOf::Clutches, "Eggs", Some(Eggs)),
            (SheetOf::Clutches, "Clutch", Some(Number)),
            (SheetOf::Clutches, "Lay date", Some(Laid)),
            (SheetOf::Clutches, "Hatched", Some(Hatched)),
            (SheetOf::Clutches, "Weight", None),
        ] {
            assert_eq!(Column::guess(what, heading), expected, "{heading}");
        }
        for (column, _) in HEADINGS {
            assert!(OF_ANIMALS.contains(&column) || OF_CLUTCHES.contains(&column), "{column:?}");
        }
    }

    #[test]
    fn no_heading_means_two_columns_of_one_sheet() {
        for what in [SheetOf::Animals, SheetOf::Clutches] {
            let here = HEADINGS.iter().filter(|(column, _)| Column::of(what).contains(column));
            let mut all: Vec<&str> = here.flat_map(|(_, names)| names.iter().copied()).collect();
            assert!(all.iter().all(|name| plain(name) == *name), "{all:?}");
            let count = all.len();
            all.sort_unstable();
            all.dedup();
            assert_eq!(all.len(), count);
        }
    }

    #[test]
    fn a_unit_may_stand_in_the_heading() {
        assert_eq!(in_brackets("Weight (g)"), Some("g"));
        assert_eq!(in_brackets("Price [ EUR ]"), Some("EUR"));
        assert_eq!(in_brackets("Weight ()"), None);
        assert_eq!(in_brackets("Weight"), None);
        assert_eq!(
            [unit_of("Weight (lb)"), unit_of("Weight (last)"), unit_of("Weight (mm)")],
            [Some("lb"), None, None]
        );
        assert_eq!(currency_of("Price (USD)").map(|known| known.code().to_owned()), Some("USD".to_owned()));
        assert_eq!(currency_of("Price (each)"), None);
    }
}
