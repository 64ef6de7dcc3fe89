//! What is usual for a species: how long, how warm, when to look.
//!
//! A profile is a starting point. Every number of *common practice* is the keeper's to change, for a species or
//! for a line of it ([`Profile::with`]), and the keeper's own hatches soon outweigh it.

use std::borrow::Cow;
mod table;

/// Where a profile's duration comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// Published figures; the citation.
    Published(Cow<'static, str>),
    /// Common practice, no source.
    CommonPractice,
    /// No table was found for this species: borrowed from a relative or set wide; says from what.
    Surrogate(Cow<'static, str>),
    /// Entered by the keeper, in the keeper's words (may be empty).
    Keeper(Cow<'static, str>),
}

/// Which published slopes a species follows; snakes' do not serve geckos, nor colubrid limits pythons.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kin {
    /// Colubrids and elapids.
    Snake,
    Python,
    Gecko,
    /// Agamids and other lizards.
    Lizard,
}

/// What decides the sex of a hatchling.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SexBy {
    Chromosomes,
    /// See [`crate::sex`] for the table.
    Temperature,
    Unknown,
}

/// A span with both ends in it, in the unit its owner says.
pub type Span = (f64, f64);

/// What is usual for one species or line.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// stable text the records hold, such as `lampropeltis-getula`
    pub key: Cow<'static, str>,
    pub name: Cow<'static, str>,
    pub latin: Cow<'static, str>,
    /// short form for labels, at most three letters, unique among the built-in
    pub short: Cow<'static, str>,
    pub family: Cow<'static, str>,
    pub kin: Kin,
    /// median days from lay to first pip at `ref_c`
    pub ref_days: f64,
    /// °C
    pub ref_c: f64,
    /// standard deviation of what is not known of `ref_days`, percent
    pub spread_pct: f64,
    /// °C within which a window is given at all
    pub limits: Span,
    /// °C the shelf should keep to; outside it the page warns
    pub tolerated: Span,
    /// °C, what a new shelf is offered
    pub shelf_c: f64,
    /// days from pre-lay shed to eggs
    pub pre_lay_days: Span,
    /// hours from pip to out, usual
    pub pip_out_h: Span,
    /// days after lay at which the first candling tells
    pub candle_days: Span,
    /// eggs in a clutch, usual
    pub clutch: (u32, u32),
    /// days from hatching to first shed
    pub first_shed_days: Span,
    pub sex_by: SexBy,
    pub source: Source,
}

/// What a keeper changes; `None` keeps the profile's.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Changes {
    pub name: Option<String>,
    pub latin: Option<String>,
    pub short: Option<String>,
    /// 5–400 days, together with the temperature they were counted at
    pub ref_days: Option<f64>,
    /// 10–40 °C
    pub ref_c: Option<f64>,
    /// 1–50 %
    pub spread_pct: Option<f64>,
    /// °C tolerated, lower end
    pub low_c: Option<f64>,
    /// °C tolerated, upper end
    pub high_c: Option<f64>,
    pub source: Option<String>,
}

/// Why a change of a profile is refused; says what would do.
#[derive(Clone, Debug, PartialEq)]
pub enum BadProfile {
    Days(f64),
    Celsius(f64),
    Spread(f64),
    Tolerated(f64, f64),
    Short(String),
}

impl std::fmt::Display for BadProfile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Days(d) => write!(f, "{d} days from lay to pip: use 5 to 400"),
            Self::Celsius(c) => write!(f, "{c} °C is no incubation temperature: use one within the species' limits"),
            Self::Spread(s) => write!(f, "a spread of {s} %: use 1 to 50"),
            Self::Tolerated(a, b) => {
                write!(f, "tolerated from {a} to {b} °C: the lower end must be below the upper, both within 10 to 40")
            }
            Self::Short(s) => write!(f, "“{s}” is no short form: use one to three letters or digits"),
        }
    }
}

impl std::error::Error for BadProfile {}

impl Profile {
    /// The built-in profile of a key.
    pub fn find(key: &str) -> Option<Self> {
        table::find(key)
    }

    /// What an unlisted egg-laying snake gets: wide, so that nobody plans by it.
    pub fn unlisted() -> Self {
        table::unlisted()
    }

    /// This profile with the keeper's changes, under the keeper's key.
    pub fn with(mut self, key: &str, changes: &Changes) -> Result<Self, BadProfile> {
        let within = |v: f64, lo: f64, hi: f64| (lo..=hi).contains(&v);
        let own = |s: &String| Cow::Owned(s.clone());
        if let Some(d) = changes.ref_days {
            self.ref_days = if within(d, 5.0, 400.0) { d } else { return Err(BadProfile::Days(d)) };
        }
        if let Some(c) = changes.ref_c {
            self.ref_c = if within(c, self.limits.0, self.limits.1) { c } else { return Err(BadProfile::Celsius(c)) };
        }
        if let Some(s) = changes.spread_pct {
            self.spread_pct = if within(s, 1.0, 50.0) { s } else { return Err(BadProfile::Spread(s)) };
        }
        if let Some(s) = &changes.short {
            let good = (1..=3).contains(&s.chars().count()) && s.chars().all(char::is_alphanumeric);
            self.short = if good { own(s) } else { return Err(BadProfile::Short(s.clone())) };
        }
        let (low, high) = (changes.low_c.unwrap_or(self.tolerated.0), changes.high_c.unwrap_or(self.tolerated.1));
        if !(low < high && within(low, 10.0, 40.0) && within(high, 10.0, 40.0)) {
            return Err(BadProfile::Tolerated(low, high));
        }
        self.tolerated = (low, high);
        if let Some(n) = &changes.name {
            self.name = own(n);
        }
        if let Some(l) = &changes.latin {
            self.latin = own(l);
        }
        if changes.ref_days.is_some()
            || changes.spread_pct.is_some()
            || changes.ref_c.is_some()
            || changes.source.is_some()
        {
            self.source = Source::Keeper(Cow::Owned(changes.source.clone().unwrap_or_default()));
        }
        self.key = Cow::Owned(key.to_owned());
        Ok(self)
    }

    /// A round clutch size, for a window before the eggs are counted.
    pub fn usual_eggs(&self) -> u32 {
        (self.clutch.0 + self.clutch.1) / 2
    }
}

/// All built-in profiles, in the order a list shows them.
pub fn built_in() -> impl Iterator<Item = Profile> {
    table::ROWS.iter().map(table::Row::profile)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_built_in_profile_is_sane() {
        let (mut keys, mut shorts) = (HashSet::new(), HashSet::new());
        for p in built_in().chain([Profile::unlisted()]) {
            let k = p.key.clone();
            assert!(keys.insert(p.key.clone()), "{k}: key twice");
            assert!(shorts.insert(p.short.clone()), "{k}: short form twice");
            assert!((1..=3).contains(&p.short.len()) && p.short.chars().all(|c| c.is_ascii_uppercase()), "{k}");
            assert!(p.limits.0 <= p.tolerated.0 && p.tolerated.1 <= p.limits.1, "{k}: tolerated within limits");
            assert!(p.tolerated.0 <= p.shelf_c && p.shelf_c <= p.tolerated.1, "{k}: shelf is tolerated");
            assert!(p.limits.0 <= p.ref_c && p.ref_c <= p.limits.1, "{k}: reference inside limits");
            assert!((1.0..=50.0).contains(&p.spread_pct) && (20.0..=400.0).contains(&p.ref_days), "{k}");
            for (a, b) in [p.pre_lay_days, p.pip_out_h, p.candle_days, p.first_shed_days] {
                assert!(a < b, "{k}");
            }
            assert!(p.clutch.0 <= p.clutch.1 && p.usual_eggs() > 0, "{k}");
        }
        assert!(keys.len() >= 15);
    }

    #[test]
    fn a_keeper_changes_what_is_usual() {
        let base = Profile::find("lampropeltis-californiae").expect("built in");
        let own = base
            .clone()
            .with(
                "own1",
                &Changes { ref_days: Some(66.0), ref_c: Some(27.0), short: Some("CKA".into()), ..Default::default() },
            )
            .expect("sane");
        assert_eq!((own.ref_days, own.ref_c, &*own.short, &*own.key), (66.0, 27.0, "CKA", "own1"));
        assert_eq!(own.source, Source::Keeper("".into()));
        let bad = |c: Changes| base.clone().with("x", &c).expect_err("refused");
        assert_eq!(bad(Changes { ref_days: Some(0.0), ..Default::default() }), BadProfile::Days(0.0));
        assert_eq!(bad(Changes { ref_c: Some(82.0), ..Default::default() }), BadProfile::Celsius(82.0));
        assert_eq!(
            bad(Changes { low_c: Some(33.0), ..Default::default() }),
            BadProfile::Tolerated(33.0, base.tolerated.1)
        );
        assert_eq!(bad(Changes { short: Some("KING".into()), ..Default::default() }), BadProfile::Short("KING".into()));
    }
}
