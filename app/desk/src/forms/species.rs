//! The keeper's own word on a species.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};
use book::SpeciesId;
use book::acts::SpeciesSet;
use book::records::Species;

/// All that the page asks.
#[derive(Clone, Debug)]
pub struct SpeciesForm {
    pub id: SpeciesId,
    pub start: Species,
    pub name: String,
    pub days: Entry,
    /// Counted at, coolest, warmest.
    pub temps: [Entry; 3],
    pub spread: Entry,
    pub source: String,
}

impl SpeciesForm {
    pub fn new(id: SpeciesId, start: Species, units: Units) -> SpeciesForm {
        let temp = |label, stands| Entry::of_temp(Ask::new(label, Measure::Temp, (1_000, 4_000)), stands, units);
        SpeciesForm {
            id,
            name: start.name.clone().unwrap_or_default(),
            days: Entry::new(
                Ask::new("Days from lay to first pip", Measure::Days, (50, 4_000)),
                start.ref_days_x10,
                units,
            ),
            temps: [
                temp("counted at", start.ref_temp),
                temp("Tolerated, coolest", start.low),
                temp("Tolerated, warmest", start.high),
            ],
            // Kept in whole percents.
            spread: Entry::new(
                Ask::new("Give or take, percent", Measure::Percent, (10, 500)).grain(10),
                start.spread_pct.map(|pct| pct.saturating_mul(10)),
                units,
            ),
            source: start.source.clone().unwrap_or_default(),
            start,
        }
    }

    /// It stands otherwise by now, as it does after a save: what was typed and not saved stays.
    pub fn follow(&mut self, stands: Species, units: Units) {
        let now = SpeciesForm::new(self.id.clone(), stands, units);
        let text = |typed: &mut String, was: &Option<String>, now: &String| {
            if typed.trim() == was.as_deref().unwrap_or_default() {
                typed.clone_from(now);
            }
        };
        text(&mut self.name, &self.start.name, &now.name);
        text(&mut self.source, &self.start.source, &now.source);
        self.days.follow(now.days.stands(), units);
        self.spread.follow(now.spread.stands(), units);
        for (temp, now) in self.temps.iter_mut().zip(&now.temps) {
            temp.follow(now.stands(), units);
        }
        self.start = now.start;
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, now: &Species, units: Units) -> Result<SpeciesSet, Wrong> {
        let mut gather = Gather::new(units);
        let text = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let ref_days_x10 = gather.take(&self.days);
        let [ref_temp, low, high] = self.temps.each_ref().map(|temp| gather.temp(temp));
        if let (Some(low), Some(high)) = (low, high)
            && low >= high
        {
            let name = self.temps[2].ask.name();
            gather.note(name.clone(), format!("{name}: this must be above the coolest."));
        }
        let typed = Species {
            name: text(&self.name).or(self.start.name.clone()),
            ref_days_x10,
            ref_temp,
            spread_pct: gather.take(&self.spread).map(|permille| permille / 10),
            low,
            high,
            source: text(&self.source),
            ..self.start.clone()
        };
        let species = kept!(Species {
            id, name, latin, short, profile, ref_days_x10, ref_temp, spread_pct, low, high, source,
        }: typed, self.start, now);
        gather.done(SpeciesSet { id: Some(self.id.clone()), species })
    }
}
