//! When a female is expected to lay, from what was last seen of her.
//!
//! A sign — a lock, ovulation, the pre-lay shed, her clutch before — begins an interval to the eggs whose usual length is
//! common practice. The logarithm of its days is taken as normal; the keeper's own intervals narrow its mean by the same
//! exact update as hatch windows, and how much clutches differ is learned alongside by holding several opinions of it
//! and weighing them by how well each foretold what came.
//!
//! Absent by design: advice on making a female lay. Past the last likely day the one to ask is a reptile veterinarian.

pub use before::{ENOUGH, SETTLED, alike, usual_shed_days};

use crate::gauss::{Gaussian, below, quantile};
use crate::species::{Kin, Profile, Span};
use crate::when::When;
use crate::window::Range;
use chrono::{NaiveDateTime, TimeDelta};

mod before;

/// What was seen of a female, from the vaguest to the most telling.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// the clutch before this one in the same season
    Laid,
    /// copulation seen; it does not say that she is gravid
    Lock,
    Ovulation,
    /// for pythons the post-ovulation shed
    PreLayShed,
}

impl Sign {
    /// All of them, vaguest first.
    pub const ALL: [Sign; 4] = [Sign::Laid, Sign::Lock, Sign::Ovulation, Sign::PreLayShed];

    /// Whether a female that showed it and has not laid in time is overdue: only what shows that she is gravid.
    pub fn is_gravid(self) -> bool {
        matches!(self, Sign::Ovulation | Sign::PreLayShed)
    }
}

/// Days from a sign to the eggs within which 95 % are thought to fall; `None` where nothing is usual.
///
/// All common practice, no source: they are wide, and the keeper's own intervals soon outweigh them.
pub fn usual_days(profile: &Profile, sign: Sign) -> Option<Span> {
    match (sign, profile.kin) {
        (Sign::PreLayShed, _) => Some(profile.pre_lay_days),
        (Sign::Ovulation, Kin::Snake) => Some((18.0, 35.0)),
        (Sign::Ovulation, Kin::Python) => Some((38.0, 60.0)),
        (Sign::Ovulation, Kin::Gecko | Kin::Lizard) => Some((10.0, 40.0)),
        (Sign::Lock, Kin::Snake) => Some((28.0, 70.0)),
        (Sign::Lock, Kin::Python) => Some((50.0, 200.0)),
        (Sign::Lock, Kin::Gecko | Kin::Lizard) => Some((14.0, 50.0)),
        (Sign::Laid, Kin::Snake) => Some((40.0, 90.0)),
        (Sign::Laid, Kin::Python) => None,
        (Sign::Laid, Kin::Gecko | Kin::Lizard) => Some((14.0, 45.0)),
    }
}

/// Whether females of a species lay a small clutch every few weeks all season long, without being asked (common practice, no
/// source).
pub fn lays_in_series(profile: &Profile) -> bool {
    matches!(profile.kin, Kin::Gecko | Kin::Lizard)
}

/// How much of the variance between intervals is between females, each of whom keeps to a mean of her own (our choice, no
/// source).
const BETWEEN_FEMALES: f64 = 0.5;
/// The shares of the usual spread that may be between clutches; the rest is not knowing this barn's mean.
const SHARES: [(f64, f64); 4] = [(0.25, 0.2), (0.45, 0.3), (0.65, 0.3), (0.85, 0.2)];
/// Standard normal above which 2.5 % lie, and above which 10 % lie.
const Z95: f64 = 1.959_963_985;
/// Further off than this many standard deviations an interval is taken for a slip of the pen.
const SLIP_SD: f64 = 5.0;

#[derive(Clone, Debug, PartialEq)]
struct Opinion {
    ln_weight: f64,
    between: f64,
    belief: Gaussian,
}

/// What is believed of one interval of one species in this barn. Cheap to clone.
#[derive(Clone, Debug, PartialEq)]
pub struct LayModel {
    opinions: Vec<Opinion>,
    own: u32,
}

/// When eggs are expected of one female.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayWindow {
    /// given that none had come by now
    pub eggs: Range,
    /// as foretold by the sign alone
    pub unlooked: Range,
    /// the keeper's own intervals it stands on
    pub own: u32,
}

impl LayModel {
    /// What is usual, before any interval of the keeper's own. `None` where nothing is.
    pub fn of(profile: &Profile, sign: Sign) -> Option<LayModel> {
        usual_days(profile, sign).map(LayModel::within)
    }

    /// 95 % within so many days, as far as is known.
    fn within((from, to): Span) -> LayModel {
        let (mean, spread) = (0.5 * (from.ln() + to.ln()), (to / from).ln() / (2.0 * Z95));
        let opinions = SHARES.iter().map(|&(share, weight)| {
            let between = spread * f64::sqrt(share);
            let unknown = spread * f64::sqrt(1.0 - share);
            Opinion { ln_weight: f64::ln(weight), between, belief: Gaussian::independent(&[mean], &[unknown]) }
        });
        LayModel { opinions: opinions.collect(), own: 0 }
    }

    /// Learns from one clutch; give them in the order they were laid, so that every device comes to the same numbers.
    /// False, and nothing changed, when the eggs came before the sign or so far from what is likely that a slip is
    /// likelier.
    pub fn learn(&mut self, seen: When, laid: When) -> bool {
        let longest = days(seen.earliest(), laid.latest());
        if longest < 0.25 {
            return false;
        }
        let shortest = days(seen.latest(), laid.earliest()).clamp(0.25, longest);
        // Both noted to the minute: as good as within the hour.
        let longest = longest.max(shortest + 1.0 / 24.0);
        let (mean, sd) = self.spread();
        let middle = days(seen.middle(), laid.middle()).max(0.25).ln();
        if (middle - mean).abs() > SLIP_SD * sd {
            return false;
        }
        for opinion in &mut self.opinions {
            let noise = opinion.between * opinion.between;
            opinion.ln_weight += opinion.belief.observe(&[1.0], (shortest.ln(), longest.ln()), noise);
        }
        self.own += 1;
        true
    }

    /// What is believed of one female before any interval of her own is learned: her mean is some way from the others', and
    /// her own intervals differ less among themselves.
    #[must_use]
    pub fn of_one(&self) -> LayModel {
        let one = |opinion: &Opinion| {
            let (variance, apart) = (opinion.belief.variance_of(&[1.0]), opinion.between.powi(2) * BETWEEN_FEMALES);
            let belief = Gaussian::independent(&[opinion.belief.mean[0]], &[(variance + apart).sqrt()]);
            let between = opinion.between * (1.0 - BETWEEN_FEMALES).sqrt();
            Opinion { ln_weight: opinion.ln_weight, between, belief }
        };
        LayModel { opinions: self.opinions.iter().map(one).collect(), own: self.own }
    }

    /// The keeper's own intervals learned from.
    pub fn own(&self) -> u32 {
        self.own
    }

    /// Mean and standard deviation of the logarithm of the next interval's days.
    fn spread(&self) -> (f64, f64) {
        let top = self.opinions.iter().map(|o| o.ln_weight).fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = self.opinions.iter().map(|o| (o.ln_weight - top).exp()).collect();
        let total: f64 = weights.iter().sum();
        let taken = |of: &dyn Fn(&Opinion) -> f64| {
            self.opinions.iter().zip(&weights).map(|(o, w)| of(o) * w).sum::<f64>() / total
        };
        let mean = taken(&|o| o.belief.mean[0]);
        let variance =
            taken(&|o| o.belief.variance_of(&[1.0]) + o.between * o.between + (o.belief.mean[0] - mean).powi(2));
        (mean, variance.sqrt())
    }

    /// When eggs are expected after a sign, given that there were none by `now`.
    pub fn window(&self, seen: When, now: NaiveDateTime) -> LayWindow {
        let (mean, sd) = self.spread();
        let start = seen.middle();
        // A sign known only to some days moves the whole window by so much.
        let vague = days(seen.earliest(), seen.latest()) / 12f64.sqrt() / mean.exp();
        let sd = sd.hypot(vague);
        let at = |p: f64| {
            let minutes = (mean + sd * quantile(p)).exp().min(4000.0) * 1440.0;
            start + TimeDelta::minutes(minutes.round() as i64)
        };
        let range = |gone: f64| {
            let p = |share: f64| at(gone + share * (1.0 - gone));
            Range { median: p(0.5), likely: (p(0.1), p(0.9)), outer: (p(0.025), p(0.975)) }
        };
        let waited = days(start, now);
        let gone = if waited > 0.0 { below((waited.ln() - mean) / sd).min(0.999) } else { 0.0 };
        LayWindow { eggs: range(gone), unlooked: range(0.0), own: self.own }
    }
}

impl LayWindow {
    /// Whether eggs may come any day: the likely days, as foretold, have begun.
    pub fn is_open(&self, now: NaiveDateTime) -> bool {
        now >= self.unlooked.likely.0
    }

    /// Since when she is overdue, or `None`: past the last day of the outer range without eggs.
    pub fn overdue(&self, now: NaiveDateTime) -> Option<NaiveDateTime> {
        (now > self.unlooked.outer.1).then_some(self.unlooked.outer.1)
    }
}

fn days(from: NaiveDateTime, to: NaiveDateTime) -> f64 {
    (to - from).num_minutes() as f64 / 1440.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::draws::Draws;
    use chrono::NaiveDate;
    use proptest::prelude::*;

    fn at(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").expect("a fixture")
    }

    fn when(text: &str) -> When {
        text.parse().expect("a fixture")
    }

    fn profile(key: &str) -> Profile {
        Profile::find(key).expect("built in")
    }

    fn model(key: &str, sign: Sign) -> LayModel {
        LayModel::of(&profile(key), sign).expect("usual")
    }

    fn day(n: i64) -> When {
        When::day(NaiveDate::from_ymd_opt(2026, 1, 1).expect("a fixture") + TimeDelta::days(n))
    }

    #[test]
    fn the_outer_range_is_the_usual_span() {
        let check = |key: &str, sign: Sign, from: &str, to: &str| {
            let seen = when("2026-06-01T00:00");
            let window = model(key, sign).window(seen, seen.middle());
            let near = |a: NaiveDateTime, b: &str| (a - at(b)).num_minutes().abs() <= 2;
            assert!(near(window.unlooked.outer.0, from), "{key} {sign:?}: {}", window.unlooked.outer.0);
            assert!(near(window.unlooked.outer.1, to), "{key} {sign:?}: {}", window.unlooked.outer.1);
            assert_eq!((window.own, window.eggs), (0, window.unlooked));
        };
        check("lampropeltis-getula", Sign::PreLayShed, "2026-06-08T00:00", "2026-06-15T00:00");
        check("python-regius", Sign::PreLayShed, "2026-06-25T00:00", "2026-07-05T00:00");
        check("lampropeltis-getula", Sign::Ovulation, "2026-06-19T00:00", "2026-07-06T00:00");
        check("eublepharis-macularius", Sign::Laid, "2026-06-15T00:00", "2026-07-16T00:00");
        assert_eq!(LayModel::of(&profile("python-regius"), Sign::Laid), None);
    }

    #[test]
    fn every_profile_has_sane_spans_that_shorten_as_signs_tell_more() {
        for profile in crate::species::built_in() {
            let spans: Vec<Span> = Sign::ALL.iter().filter_map(|&sign| usual_days(&profile, sign)).collect();
            assert!(spans.iter().all(|(a, b)| 0.0 < *a && a < b), "{}", profile.key);
            let upper = |sign| usual_days(&profile, sign).map(|span| span.1);
            assert!(upper(Sign::Lock) > upper(Sign::Ovulation), "{}", profile.key);
            assert!(upper(Sign::Ovulation) >= upper(Sign::PreLayShed), "{}", profile.key);
        }
    }

    /// Females whose means differ, and whose intervals differ about them: each is foretold after five of her own and twenty
    /// of others.
    #[test]
    fn a_female_is_foretold_best_by_her_own_intervals() {
        let (between, within) = (0.15, 0.15);
        let mut draws = Draws::named(1, "lay");
        let mut normal = || quantile(((draws.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64);
        let mut female = || {
            let own = between * normal();
            std::array::from_fn::<i64, 6, _>(|_| ((25f64.ln() + own + within * normal()).exp().round() as i64).max(1))
        };
        let (mut held, mut hers, mut all) = (0, 0.0, 0.0);
        let females = 300;
        for _ in 0..females {
            let mut others = model("eublepharis-macularius", Sign::Laid);
            for _ in 0..20 {
                others.learn(day(0), day(female()[0]));
            }
            let mut one = others.of_one();
            let [before @ .., last] = female();
            for days in before {
                one.learn(day(0), day(days));
            }
            let laid = day(last).middle();
            let at = day(0).latest();
            let (own, species) = (one.window(day(0), at).unlooked, others.window(day(0), at).unlooked);
            held +=
                u32::from(own.likely.0 - TimeDelta::hours(12) <= laid && laid <= own.likely.1 + TimeDelta::hours(12));
            let off = |range: Range| (range.median - laid).num_hours().abs() as f64 / 24.0;
            (hers, all) = (hers + off(own), all + off(species));
        }
        let share = f64::from(held) / f64::from(females);
        assert!((0.75..=0.9).contains(&share), "80 % ranges hold {share}");
        // The least there can be is √(1.2 × 0.15² ÷ (2 × 0.15²)) = 0.77.
        assert!(hers < 0.85 * all, "her own {hers}, the species' {all}");
    }

    #[test]
    fn moments_teach_as_days_do() {
        let mut days = model("lampropeltis-getula", Sign::Ovulation);
        let mut times = days.clone();
        assert!(days.learn(day(0), day(30)));
        assert!(times.learn(when("2026-01-01T12:00"), when("2026-01-31T12:00")));
        let median = |model: &LayModel| model.window(day(0), day(0).middle()).unlooked.median;
        assert!((median(&days) - median(&times)).num_hours().abs() < 6, "{} {}", median(&days), median(&times));
        assert!(!times.learn(when("2026-01-31T12:00"), when("2026-01-01T12:00")), "eggs before the sign");
    }

    #[test]
    fn own_intervals_take_over() {
        // This barn's lay 17 days after the shed, where 7 to 14 is usual.
        let mut model = model("lampropeltis-getula", Sign::PreLayShed);
        let middle = |model: &LayModel| {
            let seen = day(0);
            days(seen.middle(), model.window(seen, seen.middle()).unlooked.median)
        };
        let wide = |model: &LayModel| {
            let range = model.window(day(0), day(0).middle()).unlooked.outer;
            days(range.0, range.1)
        };
        let (first, before) = (middle(&model), wide(&model));
        assert!((first - 9.9).abs() < 0.05, "{first}");
        let mut last = first;
        for clutch in 0..12 {
            assert!(model.learn(day(clutch * 20), day(clutch * 20 + 17)), "{clutch}");
            assert!(middle(&model) > last, "{clutch}");
            last = middle(&model);
        }
        assert_eq!(model.own(), 12);
        assert!((last - 17.0).abs() < 0.7, "{last}");
        assert!(wide(&model) < before, "{} {before}", wide(&model));
    }

    #[test]
    fn slips_teach_nothing() {
        let mut model = model("lampropeltis-getula", Sign::PreLayShed);
        let before = model.clone();
        for (shed, laid) in [(10, 2), (0, 300), (5, 4)] {
            assert!(!model.learn(day(shed), day(laid)), "{shed} {laid}");
            assert_eq!(model, before);
        }
    }

    #[test]
    fn waiting_moves_the_window_and_too_long_is_overdue() {
        let model = model("lampropeltis-getula", Sign::PreLayShed);
        let seen = when("2026-06-01T00:00");
        let check = |now: &str, open: bool, overdue: bool| {
            let window = model.window(seen, at(now));
            assert_eq!((window.is_open(at(now)), window.overdue(at(now)).is_some()), (open, overdue), "{now}");
            assert!(window.eggs.outer.0 >= at(now) || window.eggs == window.unlooked, "{now}");
            assert!(window.eggs.likely.0 <= window.eggs.median && window.eggs.median <= window.eggs.likely.1, "{now}");
        };
        check("2026-06-02T00:00", false, false);
        check("2026-06-10T00:00", true, false);
        check("2026-06-14T12:00", true, false);
        check("2026-06-15T12:00", true, true);
        let late = model.window(seen, at("2026-06-13T00:00"));
        assert!(late.eggs.median > late.unlooked.median, "none by the 13th: later than thought");
    }

    proptest! {
        #[test]
        fn windows_are_ordered_whatever_is_learned(
            intervals in prop::collection::vec((0u32..60, 0u32..3), 0..12),
            waited in 0i64..200,
            which in 0usize..4,
        ) {
            let sign = Sign::ALL[which];
            let mut model = LayModel::of(&Profile::unlisted(), sign).expect("a snake");
            for (i, (gap, about)) in intervals.iter().enumerate() {
                let from = i as i64 * 3;
                model.learn(When::about(day(from).date(), *about), day(from + i64::from(*gap)));
            }
            let window = model.window(day(0), day(waited).middle());
            for range in [window.eggs, window.unlooked] {
                prop_assert!(range.outer.0 <= range.likely.0 && range.likely.0 <= range.median);
                prop_assert!(range.median <= range.likely.1 && range.likely.1 <= range.outer.1);
            }
            prop_assert!(window.eggs.median >= window.unlooked.median);
        }
    }
}
