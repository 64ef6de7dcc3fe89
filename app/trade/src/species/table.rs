//! The built-in rows. Durations are lay to first pip at the reference temperature.
//!
//! Where a row says common practice or surrogate, no table was found: the spread is wide on purpose. A row's spread is how
//! well its species' level is known. That of a keeper's own barn about this level, which is how far published studies of
//! one species lie apart, is added to every row ([`Row::profile`]): a figure from one colony is not another's.

use super::{Kin, Profile, SexBy, Source, Span};
use crate::response::Slopes;
use std::borrow::Cow;

enum From {
    Published(&'static str),
    Practice,
    Surrogate(&'static str),
}
use From::{Practice, Published, Surrogate};

/// What a family shares.
struct Ways {
    family: &'static str,
    kin: Kin,
    limits: Span,
    tolerated: Span,
    pre_lay_days: Span,
    pip_out_h: Span,
    first_shed_days: Span,
    sex_by: SexBy,
}

pub(super) struct Row {
    key: &'static str,
    name: &'static str,
    latin: &'static str,
    short: &'static str,
    ways: &'static Ways,
    /// days, °C, spread % of the species' level
    reference: (f64, f64, f64),
    shelf_c: f64,
    clutch: (u32, u32),
    source: From,
}

// Colubrids: limits are where published durations lie. Tolerated: hatch rates fall below about 23 °C and above
// about 32 °C, kinks come earlier, so the warning stands at 31 °C. Days and hours: common practice.
static COLUBRID: Ways = Ways {
    family: "Colubridae",
    kin: Kin::Snake,
    limits: (20.0, 33.5),
    tolerated: (23.0, 31.0),
    pre_lay_days: (7.0, 14.0),
    pip_out_h: (12.0, 48.0),
    first_shed_days: (5.0, 14.0),
    sex_by: SexBy::Chromosomes,
};

// Pythons: barns keep 31–32 °C; the one published temperature used here is 29.2 °C. Limits: common practice.
static PYTHON: Ways = Ways {
    family: "Pythonidae",
    kin: Kin::Python,
    limits: (27.0, 34.0),
    tolerated: (29.5, 32.5),
    pre_lay_days: (24.0, 34.0),
    pip_out_h: (24.0, 72.0),
    first_shed_days: (7.0, 18.0),
    sex_by: SexBy::Chromosomes,
};

// Geckos incubated warm, with temperature-dependent sex.
static EUBLEPHARID: Ways = Ways {
    family: "Eublepharidae",
    kin: Kin::Gecko,
    limits: (24.0, 35.0),
    tolerated: (25.5, 33.0),
    pre_lay_days: (10.0, 30.0),
    pip_out_h: (4.0, 36.0),
    first_shed_days: (0.5, 3.0),
    sex_by: SexBy::Temperature,
};

// Geckos incubated cool.
static DIPLODACTYLID: Ways = Ways {
    family: "Diplodactylidae",
    kin: Kin::Gecko,
    limits: (18.0, 30.0),
    tolerated: (20.0, 27.5),
    pre_lay_days: (10.0, 40.0),
    pip_out_h: (4.0, 36.0),
    first_shed_days: (0.5, 3.0),
    sex_by: SexBy::Unknown,
};

// One argument a column: the table reads as a table.
#[allow(clippy::too_many_arguments)]
const fn row(
    key: &'static str,
    name: &'static str,
    latin: &'static str,
    short: &'static str,
    ways: &'static Ways,
    reference: (f64, f64, f64),
    shelf_c: f64,
    clutch: (u32, u32),
    source: From,
) -> Row {
    Row { key, name, latin, short, ways, reference, shelf_c, clutch, source }
}

const KING: &str = "kingsnakes as one barn keeps them: 56–62 days, about 60, at 82 °F (common practice)";
const MILK: &str = "milk snakes run 42–65 days across reports, temperatures rarely given (common practice)";
const RAT: &str = "kingsnakes' and rat snakes' common practice; no table by temperature was found";
const PINE: &str = "Burger 1988, Pituophis melanoleucus: 62.3 and 63.8 days at 28 °C, in the Reptile Development Database (Noble et al. 2018, Sci. Data 5:180138)";
// One study tells its species' level to about 7 %: how far studies lie apart, and a row's own scatter (priors.rs). Studies of
// one genus lie 10–20 % apart at the same temperature, so what is borrowed from a relative is wider.
const BEAUTY: &str = "Du & Ji 2008, Elaphe taeniura: 66.3 days at 27 °C";
const ROYAL: &str = "Ellis & Chappell 1987: 58–70 days, 29.2 °C the only temperature given";
const GECKO: &str = "common practice; no table of durations by temperature was found";

pub(super) static ROWS: [Row; 28] = [
    row(
        "lampropeltis-getula",
        "eastern kingsnake",
        "Lampropeltis getula",
        "EKS",
        &COLUBRID,
        (59.5, 27.8, 5.0),
        27.8,
        (6, 18),
        Practice,
    ),
    row(
        "lampropeltis-californiae",
        "California kingsnake",
        "Lampropeltis californiae",
        "CKS",
        &COLUBRID,
        (59.5, 27.8, 5.0),
        27.8,
        (4, 14),
        Practice,
    ),
    row(
        "lampropeltis-floridana",
        "Florida kingsnake",
        "Lampropeltis floridana",
        "FKS",
        &COLUBRID,
        (59.5, 27.8, 5.0),
        27.8,
        (6, 18),
        Practice,
    ),
    row(
        "lampropeltis-nigrita",
        "Mexican black kingsnake",
        "Lampropeltis nigrita",
        "MBK",
        &COLUBRID,
        (59.5, 27.8, 5.0),
        27.8,
        (4, 12),
        Practice,
    ),
    row(
        "lampropeltis-holbrooki",
        "speckled kingsnake",
        "Lampropeltis holbrooki",
        "SKS",
        &COLUBRID,
        (59.5, 27.8, 6.0),
        27.8,
        (5, 14),
        Surrogate(KING),
    ),
    row(
        "lampropeltis-splendida",
        "desert kingsnake",
        "Lampropeltis splendida",
        "DKS",
        &COLUBRID,
        (59.5, 27.8, 6.0),
        27.8,
        (5, 12),
        Surrogate(KING),
    ),
    row(
        "lampropeltis-calligaster",
        "prairie kingsnake",
        "Lampropeltis calligaster",
        "PKS",
        &COLUBRID,
        (58.0, 27.8, 8.0),
        27.8,
        (5, 16),
        Surrogate(KING),
    ),
    row(
        "lampropeltis-alterna",
        "gray-banded kingsnake",
        "Lampropeltis alterna",
        "GBK",
        &COLUBRID,
        (63.0, 27.8, 8.0),
        27.5,
        (4, 12),
        Surrogate(KING),
    ),
    row(
        "lampropeltis-pyromelana",
        "mountain kingsnake",
        "Lampropeltis pyromelana",
        "MKS",
        &COLUBRID,
        (64.0, 27.0, 9.0),
        27.0,
        (3, 8),
        Surrogate(KING),
    ),
    row(
        "lampropeltis-triangulum",
        "milk snake",
        "Lampropeltis triangulum",
        "MLK",
        &COLUBRID,
        (56.0, 27.8, 10.0),
        27.5,
        (5, 14),
        Surrogate(MILK),
    ),
    row(
        "lampropeltis-campbelli",
        "Pueblan milk snake",
        "Lampropeltis campbelli",
        "PMS",
        &COLUBRID,
        (58.0, 27.8, 9.0),
        27.5,
        (4, 12),
        Surrogate(MILK),
    ),
    row(
        "lampropeltis-hondurensis",
        "Honduran milk snake",
        "Lampropeltis hondurensis",
        "HMS",
        &COLUBRID,
        (61.0, 27.8, 8.0),
        27.8,
        (4, 12),
        Surrogate(MILK),
    ),
    row(
        "pantherophis-guttatus",
        "corn snake",
        "Pantherophis guttatus",
        "CRN",
        &COLUBRID,
        (60.0, 27.8, 8.0),
        27.8,
        (8, 24),
        Surrogate(RAT),
    ),
    row(
        "pantherophis-obsoletus",
        "black rat snake",
        "Pantherophis obsoletus",
        "BRS",
        &COLUBRID,
        (63.0, 27.8, 9.0),
        27.8,
        (8, 22),
        Surrogate(RAT),
    ),
    row(
        "pantherophis-bairdi",
        "Baird's rat snake",
        "Pantherophis bairdi",
        "BAR",
        &COLUBRID,
        (66.0, 27.8, 10.0),
        27.5,
        (5, 12),
        Surrogate(RAT),
    ),
    row(
        "pantherophis-emoryi",
        "Great Plains rat snake",
        "Pantherophis emoryi",
        "GPR",
        &COLUBRID,
        (61.0, 27.8, 9.0),
        27.8,
        (6, 18),
        Surrogate(RAT),
    ),
    row(
        "bogertophis-subocularis",
        "Trans-Pecos rat snake",
        "Bogertophis subocularis",
        "TPR",
        &COLUBRID,
        (76.0, 27.8, 12.0),
        27.5,
        (4, 10),
        Surrogate(RAT),
    ),
    row(
        "elaphe-taeniura",
        "beauty rat snake",
        "Elaphe taeniura",
        "BTY",
        &COLUBRID,
        (66.3, 27.0, 7.0),
        27.0,
        (6, 16),
        Published(BEAUTY),
    ),
    row(
        "heterodon-nasicus",
        "western hognose",
        "Heterodon nasicus",
        "WHG",
        &COLUBRID,
        (56.0, 27.8, 8.0),
        27.8,
        (8, 20),
        Surrogate("common practice, 50–62 days; no table by temperature was found"),
    ),
    row(
        "pituophis-catenifer",
        "bullsnake and gopher snake",
        "Pituophis catenifer",
        "BUL",
        &COLUBRID,
        (62.9, 28.0, 12.0),
        28.0,
        (6, 16),
        Surrogate(PINE),
    ),
    row(
        "pituophis-melanoleucus",
        "pine snake",
        "Pituophis melanoleucus",
        "PIN",
        &COLUBRID,
        (62.9, 28.0, 7.0),
        28.0,
        (4, 12),
        Published(PINE),
    ),
    row(
        "python-regius",
        "ball python",
        "Python regius",
        "BAL",
        &PYTHON,
        (58.0, 31.5, 6.0),
        31.5,
        (4, 10),
        Surrogate(ROYAL),
    ),
    row(
        "morelia-spilota",
        "carpet python",
        "Morelia spilota",
        "CPT",
        &PYTHON,
        (55.0, 31.0, 9.0),
        31.0,
        (10, 28),
        Surrogate(ROYAL),
    ),
    row(
        "antaresia-childreni",
        "Children's python",
        "Antaresia childreni",
        "CHP",
        &PYTHON,
        (53.0, 31.0, 10.0),
        31.0,
        (6, 16),
        Surrogate(ROYAL),
    ),
    row(
        "eublepharis-macularius",
        "leopard gecko",
        "Eublepharis macularius",
        "LEO",
        &EUBLEPHARID,
        (57.0, 28.0, 12.0),
        28.0,
        (1, 2),
        Surrogate(GECKO),
    ),
    row(
        "hemitheconyx-caudicinctus",
        "African fat-tailed gecko",
        "Hemitheconyx caudicinctus",
        "AFT",
        &EUBLEPHARID,
        (60.0, 28.5, 14.0),
        28.5,
        (1, 2),
        Surrogate(GECKO),
    ),
    row(
        "correlophus-ciliatus",
        "crested gecko",
        "Correlophus ciliatus",
        "CRE",
        &DIPLODACTYLID,
        (78.0, 23.5, 16.0),
        23.5,
        (1, 2),
        Surrogate(GECKO),
    ),
    row(
        "rhacodactylus-auriculatus",
        "gargoyle gecko",
        "Rhacodactylus auriculatus",
        "GRG",
        &DIPLODACTYLID,
        (72.0, 24.5, 16.0),
        24.5,
        (1, 2),
        Surrogate(GECKO),
    ),
];

static UNLISTED: Row = row(
    "unlisted",
    "unlisted snake",
    "",
    "UNL",
    &COLUBRID,
    (60.0, 28.0, 18.0),
    27.5,
    (4, 16),
    Surrogate("published colubrids and elapids run about 32–64 days at 28 °C"),
);

pub(super) fn unlisted() -> Profile {
    UNLISTED.profile()
}

pub(super) fn find(key: &str) -> Option<Profile> {
    ROWS.iter().find(|row| row.key == key).map(Row::profile)
}

impl Row {
    pub(super) fn profile(&self) -> Profile {
        let text = |s: &'static str| Cow::Borrowed(s);
        Profile {
            key: text(self.key),
            name: text(self.name),
            latin: text(self.latin),
            short: text(self.short),
            family: text(self.ways.family),
            kin: self.ways.kin,
            ref_days: self.reference.0,
            ref_c: self.reference.1,
            spread_pct: self.reference.2.hypot(100.0 * Slopes::of(self.ways.kin).study),
            limits: self.ways.limits,
            tolerated: self.ways.tolerated,
            shelf_c: self.shelf_c,
            pre_lay_days: self.ways.pre_lay_days,
            pip_out_h: self.ways.pip_out_h,
            candle_days: (7.0, 14.0),
            clutch: self.clutch,
            first_shed_days: self.ways.first_shed_days,
            sex_by: self.ways.sex_by,
            source: match self.source {
                Published(s) => Source::Published(text(s)),
                Practice => Source::CommonPractice,
                Surrogate(s) => Source::Surrogate(text(s)),
            },
        }
    }
}
