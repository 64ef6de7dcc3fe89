//! A clutch pulled.

use super::clump;
use super::laid::Laid;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{BoxSetup, ClutchPulled, MOST_EGGS};
use book::records::Counts;
use book::words::Mix;
use book::{AnimalId, FillingId, PlaceId};
use chrono::NaiveDate;

pub const CLUMPS: &str = "Clumps";

/// One box: how it is set, and what it weighs.
#[derive(Clone, Debug)]
pub struct BoxForm {
    /// As offered from last time, with what the form does not ask.
    pub base: BoxSetup,
    pub shelf: Option<PlaceId>,
    pub medium: String,
    pub dry: Entry,
    pub water: Entry,
    pub closed: Entry,
    /// The mix was not weighed: `dry` and `water` are not asked.
    pub unknown: bool,
    /// How many of the good and dud eggs, where there are several boxes.
    pub share: Entry,
}

impl BoxForm {
    /// As offered from last time; a scanned blank label's id goes to it. `number` where there are several boxes.
    pub fn new(offered: BoxSetup, label: Option<FillingId>, number: Option<usize>, units: Units) -> BoxForm {
        let of = number.map(|n| format!("Box {n}")).unwrap_or_default();
        let entry = |ask: Ask, stands| Entry::of_mass(ask.of(of.clone()), stands, units);
        BoxForm {
            shelf: offered.shelf.clone(),
            medium: offered.medium.clone(),
            dry: entry(Ask::mass("Dry medium", (20, 10_000)), offered.dry),
            water: entry(Ask { bounds: (1, 99_999_999), ..Ask::water("Water", (20, 10_000)) }, offered.water),
            closed: entry(Ask::mass("Box weight, lid on", (50, 30_000)), None),
            unknown: matches!(offered.mix, Some(Mix::Unknown | Mix::None | Mix::Premix | Mix::Volume)),
            share: Entry::of_count(Ask::count("Eggs in this box", 0, 2 * MOST_EGGS).of(of), 0),
            base: BoxSetup { filling: label, closed: None, ..offered },
        }
    }

    /// Grams of water to one gram dry, as it stands.
    pub fn ratio(&self, units: Units) -> Option<f64> {
        let (dry, water) = (self.dry.glance(units)?, self.water.glance(units)?);
        (dry > 0).then(|| water as f64 / dry as f64)
    }

    pub(super) fn take(&self, gather: &mut Gather, eggs: Option<Vec<usize>>) -> BoxSetup {
        let mix = self.base.mix.filter(|mix| *mix != Mix::Mass).unwrap_or(Mix::Unknown);
        let (dry, water) = if self.unknown { (None, None) } else { (gather.mass(&self.dry), gather.mass(&self.water)) };
        BoxSetup {
            shelf: self.shelf.clone(),
            medium: self.medium.trim().to_owned(),
            mix: self.unknown.then_some(mix),
            dry,
            water,
            closed: gather.mass(&self.closed),
            eggs,
            ..self.base.clone()
        }
    }

    /// To offer for one more box.
    pub fn next(&self, units: Units) -> BoxSetup {
        BoxSetup { container: None, ..self.take(&mut Gather::new(units), None) }
    }
}

/// All that the page asks.
#[derive(Clone, Debug)]
pub struct PullForm {
    pub base: ClutchPulled,
    pub number: String,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    pub unknown_male: bool,
    pub no_male: bool,
    pub species: Option<String>,
    pub laid: Laid,
    pub good: Entry,
    pub dud: Entry,
    pub slug: Entry,
    pub gravid: Entry,
    pub spent: Entry,
    pub note: String,
    pub clumps: String,
    pub boxes: Vec<BoxForm>,
    /// The eggs are boxed later.
    pub later: bool,
    /// They stay with their mother: of boxes nothing is asked, and nobody need have counted them.
    pub left: bool,
}

impl PullForm {
    /// As it opens, from [`ClutchPulled::start`].
    pub fn new(base: ClutchPulled, label: Option<FillingId>, today: NaiveDate, units: Units) -> PullForm {
        let card = &base.card;
        let counts = card.counts.unwrap_or_default();
        let count = |label, n| Entry::of_count(Ask::count(label, 0, MOST_EGGS), n);
        let boxes = base.boxes.iter().map(|setup| BoxForm::new(setup.clone(), label.clone(), None, units)).collect();
        PullForm {
            number: card.number.clone(),
            dams: card.dams.clone(),
            sires: card.sires.clone(),
            unknown_male: card.unknown_male,
            no_male: card.no_male,
            species: card.species.clone(),
            laid: Laid::new(card.laid, today),
            good: count("Good", counts.good),
            dud: count("Bad eggs", counts.dud),
            slug: count("Slugs", counts.slug),
            gravid: Entry::of_mass(Ask::mass("Dam before laying", (5, 30_000)).near(card.gravid), card.gravid, units),
            spent: Entry::of_mass(Ask::mass("Dam after laying", (5, 30_000)).near(card.spent), card.spent, units),
            note: card.note.clone(),
            clumps: String::new(),
            boxes,
            later: false,
            left: base.left,
            base,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units, today: NaiveDate) -> Result<ClutchPulled, Wrong> {
        let mut gather = Gather::new(units);
        let mut act = self.base.clone();
        let card = &mut act.card;
        card.number = self.number.trim().to_owned();
        card.dams = self.dams.clone();
        card.sires = self.sires.clone();
        (card.unknown_male, card.no_male) = (self.unknown_male, self.no_male);
        card.species = self.species.clone();
        card.laid = self.laid.take(&mut gather);
        let counts =
            Counts { good: gather.count(&self.good), dud: gather.count(&self.dud), slug: gather.count(&self.slug) };
        card.counts = Some(counts);
        let mut weighed = |entry: &Entry, on: Option<NaiveDate>| {
            let mass = gather.mass(entry);
            (mass, if entry.untouched() { on } else { mass.map(|_| today) })
        };
        (card.gravid, card.gravid_on) = weighed(&self.gravid, card.gravid_on);
        (card.spent, card.spent_on) = weighed(&self.spent, card.spent_on);
        card.note = self.note.clone();
        match clump::read(&self.clumps, counts.all()) {
            Ok(clumps) => act.clumps = clumps,
            Err(why) => gather.note(CLUMPS, why),
        }
        act.left = self.left;
        act.boxes = if self.later || self.left { Vec::new() } else { self.setups(&mut gather) };
        gather.done(act)
    }

    /// With several boxes each takes its share of eggs, the last one the rest.
    fn setups(&self, gather: &mut Gather) -> Vec<BoxSetup> {
        let (mut next, last) = (0, self.boxes.len().saturating_sub(1));
        let share = |(i, form): (usize, &BoxForm)| {
            let eggs = (i < last).then(|| {
                let from = next;
                next += gather.count(&form.share) as usize;
                (from..next).collect()
            });
            form.take(gather, eggs)
        };
        self.boxes.iter().enumerate().map(share).collect()
    }

    /// What is wrong with the letters typed, as they stand.
    pub fn clumps_wrong(typed: &str, all: u32) -> Option<String> {
        clump::read(typed, all).err()
    }
}

/// Names a field of a box anew, when a second box comes to the first.
pub fn number_box(entry: &mut Entry, number: usize) {
    entry.ask.of = format!("Box {number}");
}
