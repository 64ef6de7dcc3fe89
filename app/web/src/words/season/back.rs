//! Looking back, in words.

use crate::prefs::Prefs;
use crate::words::{self, count, units};
use book::views::{Behind, By, Figure, Of, Whose};
use book::words::Fate;
use trade::look_back::{AgainstCurve, Slope, Verdict};
use trade::units::Mass;

pub const OF: &str = "What";
pub const BY: &str = "By";
pub const NAME: &str = "Name";
pub const FIGURE: &str = "Figure";
pub const OF_HOW_MANY: &str = "n";
pub const TOGETHER: &str = "Together";
pub const NO_FIGURES: &str = "Not enough is recorded yet to tell.";
pub const LOSSES: &str = "Losses";
pub const NO_LOSSES: &str = "No shelled egg has been lost.";
pub const DAYS_ON_TEMPERATURE: &str = "Days on temperature";
pub const NO_DAYS: &str = "No clutch has a lay date, a shelf's temperature and a first pip yet.";
pub const TEMPERATURE: &str = "Mean temperature";
pub const DAYS: &str = "Days to first pip";
pub const CLUTCHES_BEHIND: &str = "Clutches behind it";

pub fn of(of: Of) -> &'static str {
    match of {
        Of::Fertility => "Fertility",
        Of::Hatched => "Hatch rate",
        Of::Days => "Days to first pip",
        Of::BabyMass => "Baby mass",
        Of::FirstMeal => "First meals",
    }
}

pub fn of_said(of: Of) -> String {
    match of {
        Of::Fertility => "Eggs in which veins were seen (or that pipped), of those judged: laid bad or seen clear counts against; what nobody could tell does not count.".into(),
        Of::Hatched => "Eggs hatched, of good eggs, in clutches with no egg left in.".into(),
        Of::Days => "Days from lay to the first pip, where the lay date is known to two days. In a mean each dam counts once.".into(),
        Of::BabyMass => "Mass when out of the box, mean of each clutch. In a mean each dam counts once.".into(),
        Of::FirstMeal => {
            format!("Hatchlings that ate by themselves within {} days, of those followed as long.", book::views::MEAL_WITHIN)
        }
    }
}

pub fn by(by: By) -> &'static str {
    match by {
        By::Dam => "dam",
        By::Sire => "sire",
        By::Pairing => "pairing",
        By::Species => "species",
        By::Shelf => "shelf",
        By::Medium => "medium",
        By::Mix => "mix, water to dry",
        By::Year => "year",
    }
}

/// Whether the data carry a ranking, in a sentence.
pub fn verdict(found: &Behind, of_: Of, by_: By) -> String {
    let Behind { verdict, asked, .. } = *found;
    let rows = found.rows.len();
    let within = match by_ {
        By::Species => ", each dam with all of her clutches",
        By::Dam | By::Pairing => ", species against itself",
        _ => ", species against itself, each dam with her clutches",
    };
    let many = match asked {
        0 | 1 => String::new(),
        _ => format!(
            " {asked} such comparisons can be made of these records, so it takes less than one in {} to be called a difference.",
            20 * asked
        ),
    };
    let groups = match by_ {
        By::Dam => "dams",
        By::Sire => "sires",
        By::Pairing => "pairings",
        By::Species => "species",
        By::Shelf => "shelves",
        By::Medium => "media",
        By::Mix => "mixes",
        By::Year => "years",
    };
    let these = if rows == 2 { format!("These two {groups}") } else { format!("These {groups}") };
    let what = of(of_).to_lowercase();
    match verdict {
        Verdict::TooFew => {
            format!("Too few clutches to tell whether {groups} differ in {what}: in the order of their names.")
        }
        Verdict::Alike { p } => format!(
            "{these} do not differ in {what} more than chance would (as much in {} of shuffles{within}): in the order of their names.{many}",
            small(p)
        ),
        Verdict::Differ { p } => format!(
            "{these} differ in {what} more than chance would (as much in {} of shuffles{within}): highest first. That they differ does not say why.{many}",
            small(p)
        ),
    }
}

/// A share with as many digits as it takes: `23 %`, `0.4 %`, `0.01 %`.
fn small(p: f64) -> String {
    match p * 100.0 {
        p if p >= 9.5 => format!("{p:.0} %"),
        p if p >= 0.95 => format!("{p:.1} %"),
        p => format!("{p:.2} %"),
    }
}

/// `89 %`, `59.7 d`, `8.3 g`.
pub fn value(of: Of, v: f64, prefs: &Prefs) -> String {
    match of {
        Of::Days => format!("{v:.1} d"),
        Of::BabyMass => Mass::from_grams(v).map_or_else(String::new, |m| units::mass(m, prefs)),
        _ => format!("{:.0} %", v * 100.0),
    }
}

/// `57.9–59.7 d`.
pub fn interval(of: Of, ends: Option<(f64, f64)>, prefs: &Prefs) -> String {
    let Some((a, b)) = ends else { return "–".into() };
    let (a, b) = (value(of, a, prefs), value(of, b, prefs));
    match (a.rsplit_once(' '), b.rsplit_once(' ')) {
        // One unit for both.
        (Some((low, unit)), Some((_, same))) if unit == same => format!("{low}–{b}"),
        _ => format!("{a}–{b}"),
    }
}

/// `17 of 19 eggs, 4 clutches of 2 dams`, `6 of 7 judged; 1 not judged, 1 clutch`.
pub fn behind_n(of: Of, figure: Figure, unjudged: u32, clutches: &str) -> String {
    match figure {
        Figure::Rate(rate) => {
            let what = match of {
                Of::FirstMeal => "hatchlings",
                Of::Fertility => "judged",
                _ => "eggs",
            };
            let left = if unjudged > 0 { format!("; {unjudged} not judged") } else { String::new() };
            format!("{} of {} {what}{left}, {clutches}", rate.k, rate.n)
        }
        Figure::Mean(_) => clutches.to_owned(),
    }
}

/// `4 clutches of 2 dams`, `5 clutches: 3 of 2 dams, 2 of unknown dams`, `1 clutch of an unknown dam`.
pub fn whose(whose: Whose) -> String {
    let Whose { clutches, dams, unknown } = whose;
    let said = clutches_of(whose);
    let of_dams = count(dams as usize, "dam", "dams");
    let of_unknown = if unknown == 1 { "an unknown dam" } else { "unknown dams" };
    match (dams, unknown) {
        (_, 0) => format!("{said} of {of_dams}"),
        (0, _) => format!("{said} of {of_unknown}"),
        _ => format!("{said}: {} of {of_dams}, {unknown} of {of_unknown}", clutches.saturating_sub(unknown)),
    }
}

/// The same in a row: by dams, and by pairs, whose they are stands there already.
pub fn row_whose(by: By, whose_: Whose) -> String {
    if matches!(by, By::Dam | By::Pairing) { clutches_of(whose_) } else { whose(whose_) }
}

fn clutches_of(whose: Whose) -> String {
    count(whose.clutches as usize, "clutch", "clutches")
}

pub fn spans_label(of_: Of, by_: By) -> String {
    format!(
        "{} by {}, each with its 95 % interval; the upright line is all together. The table below says the same.",
        of(of_),
        by(by_)
    )
}

pub fn loss(fate: Fate, why: &str) -> String {
    let fate = words::eggs::fate(fate);
    if why.is_empty() { fate.to_owned() } else { format!("{fate}: {why}") }
}

pub fn losses_of(lost: u32, ended: u32) -> String {
    format!("{lost} of {ended} shelled eggs that are no longer in.")
}

pub fn points_label(species: &str) -> String {
    format!(
        "{species}: days to the first pip at each clutch's mean temperature, against the published curve. The table below says the same."
    )
}

/// How many questions could be asked of days on temperature, and what that asks of an answer.
pub fn days_asked(asked: usize) -> Option<String> {
    (asked > 1).then(|| {
        format!(
            "{asked} such questions can be asked of these records, so it takes less than one in {} to be called a difference.",
            20 * asked
        )
    })
}

/// The regression in sentences.
pub fn against(a: &AgainstCurve, of: Whose, prefs: &Prefs) -> String {
    let n = whose(of);
    let longer = format!("{:.1} % {}", a.longer.abs() * 100.0, if a.longer < 0.0 { "shorter" } else { "longer" });
    let first = match a.longer_interval {
        Some((low, high)) => {
            let apart = if a.verdict.ranks() { "" } else { ", not clearly different from it" };
            format!("{n}: {longer} than the published curve{apart} (95 % {} to {} %).", signed(low), signed(high))
        }
        None => format!("{n}: {longer} than the published curve; one dam alone has no interval."),
    };
    let slope = match &a.slope {
        Some(slope) => slope_said(slope, prefs),
        None => " Too few clutches, or all at one temperature: nothing can be said of its slope.".into(),
    };
    let outside = if a.outside > 0 {
        format!(
            " {} at temperatures the figures do not cover, left out.",
            count(a.outside as usize, "clutch", "clutches")
        )
    } else {
        String::new()
    };
    first + &slope + &outside
}

fn slope_said(slope: &Slope, prefs: &Prefs) -> String {
    // A degree of the keeper's own scale is a smaller step, and so is what changes with it.
    let (degree, of_celsius) = prefs.units().degree();
    let by = signed(slope.per_degree * of_celsius);
    let interval = slope.interval.map_or_else(String::new, |(low, high)| {
        format!(", 95 % {} to {}", signed(low * of_celsius), signed(high * of_celsius))
    });
    let shuffles = |p: f64| format!("as much in {} of shuffles, each dam with her clutches", small(p));
    match slope.verdict {
        Verdict::TooFew => String::new(),
        Verdict::Alike { p } => format!(
            " With temperature it changes as the curve does, as far as can be told: {by} % per {degree}{interval} ({}).",
            shuffles(p)
        ),
        Verdict::Differ { p } => format!(
            " With temperature it changes otherwise than the curve: {by} % per {degree}{interval} ({}).",
            shuffles(p)
        ),
    }
}

/// A share as `+1.4`, `−1.1`, in hundredths.
fn signed(share: f64) -> String {
    format!("{:+.1}", share * 100.0).replace('-', "−")
}
