//! Pulling a clutch: the eggs counted, lettered and set in boxes, in one act. Or left with her who lies round them.

use super::boxes::{BoxSetup, Setting};
use super::clutches::{ClutchCard, check_counts};
use super::moves::row as move_row;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Clutch, Counts, Egg, Filling};
use crate::words::{ClutchCame, Fate, LaidAs};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

/// A clutch pulled: begins a clutch, or completes one whose eggs were found before.
#[derive(Clone, Debug, Default)]
pub struct ClutchPulled {
    /// The clutch to complete.
    pub clutch: Option<ClutchId>,
    /// Everything of the clutch. Its counts say how many eggs are made; without `laid` nobody saw it, and it was found when
    /// it was pulled at the latest; an empty number takes the next in the barn's own style.
    pub card: ClutchCard,
    /// Eggs stuck together, each clump as indices from 0 in the order good, dud, slug.
    pub clumps: Vec<Vec<usize>>,
    /// None is fine: the eggs are set later.
    pub boxes: Vec<BoxSetup>,
    /// They stay with their mother, where she is: `boxes` are not looked at, and nobody need have counted them.
    pub left: bool,
    /// When it was pulled and the boxes were set; `None`: now.
    pub when: Option<When>,
}

impl ClutchPulled {
    /// The form as it opens: for a clutch found before, or new under these dams.
    pub fn start(book: &Book, clutch: Option<&ClutchId>, dams: &[AnimalId], now: NaiveDateTime) -> ClutchPulled {
        let mut card = clutch.and_then(|id| ClutchCard::of(book, id)).unwrap_or_else(|| ClutchCard {
            number: book.suggest_number(now.date()),
            dams: dams.to_vec(),
            sires: book.suggest_sires(dams, now),
            came: Some(ClutchCame::Laid),
            ..ClutchCard::default()
        });
        if card.species.is_none() {
            card.species = book.suggest_species(&card.dams, &card.sires);
        }
        // Offered: who looks every day finds what was laid since (common practice, no source).
        card.laid = card.laid.or(card.found).or(Some(When::day(now.date())));
        let boxes = vec![book.suggest_setup()];
        let left = clutch.is_some_and(|clutch| book.nest(clutch).is_some());
        ClutchPulled { clutch: clutch.cloned(), card, clumps: Vec::new(), boxes, left, when: None }
    }

    fn counts(&self) -> Counts {
        self.card.counts.unwrap_or_default()
    }

    fn boxes(&self) -> &[BoxSetup] {
        if self.left { &[] } else { &self.boxes }
    }

    /// Which eggs go in which box, and into none.
    fn spread(&self) -> Result<Vec<Vec<usize>>, Refusal> {
        let counts = self.counts();
        let (shelled, all) = (counts.shelled() as usize, counts.all() as usize);
        let mut taken = vec![false; all];
        for index in self.boxes().iter().filter_map(|setup| setup.eggs.as_ref()).flatten() {
            match taken.get_mut(*index) {
                None => return Err(Refusal::TooMany { what: "eggs in the boxes", most: counts.all() }),
                Some(true) => return Err(Refusal::Twice { what: format!("Egg {}", letter(*index)) }),
                Some(slot) => *slot = true,
            }
        }
        let mut rest: Vec<usize> = (0..shelled).filter(|&i| !taken[i]).collect();
        let boxes: Vec<Vec<usize>> =
            self.boxes().iter().map(|setup| setup.eggs.clone().unwrap_or_else(|| std::mem::take(&mut rest))).collect();
        // A box must not be set, labelled and weighed with nothing to go in it.
        if boxes.iter().any(Vec::is_empty) { Err(Refusal::NoEggs) } else { Ok(boxes) }
    }

    /// Each egg's clump, by index.
    fn clump_of(&self) -> Result<BTreeMap<usize, i64>, Refusal> {
        let all = self.counts().all();
        let mut clump_of = BTreeMap::new();
        for (number, clump) in (1..).zip(&self.clumps) {
            if clump.len() < 2 {
                return Err(Refusal::Missing { what: "at least two eggs for a clump" });
            }
            for index in clump {
                if *index >= all as usize {
                    return Err(Refusal::TooMany { what: "eggs in clumps", most: all });
                }
                if clump_of.insert(*index, number).is_some() {
                    return Err(Refusal::Twice { what: format!("Egg {}", letter(*index)) });
                }
            }
        }
        Ok(clump_of)
    }
}

impl Act for ClutchPulled {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let when = self.when.unwrap_or_else(|| When::time(now));
        not_future("pulling", when, now)?;
        let mut card = self.card.clone();
        if card.number.trim().is_empty() {
            card.number = book.suggest_number(now.date());
        }
        card.came = card.came.or(Some(ClutchCame::Laid));
        card.species = card.species.or_else(|| book.suggest_species(&card.dams, &card.sires));
        card.check(book, now)?;
        if card.laid.is_none() {
            card.found = card.found.or(Some(when));
        }
        in_order(("laying", card.laid), ("pulling", Some(when)))?;
        in_order(("finding", card.found), ("pulling", Some(when)))?;
        let counts = self.counts();
        check_counts(counts)?;
        if counts.all() == 0 && !self.left {
            return Err(Refusal::NoEggs);
        }
        // Nobody unwraps her to count: no number is not the number 0.
        card.counts = card.counts.filter(|counts| counts.all() > 0);
        if let Some(clutch) = &self.clutch {
            there(book, clutch.clone())?;
            if !book.eggs_of(clutch).is_empty() {
                return Err(Refusal::AlreadyPulled { number: card.number.trim().to_owned() });
            }
        }
        let boxes = self.spread()?;
        let clump_of = self.clump_of()?;
        let mut sets = Vec::new();
        let clutch = match &self.clutch {
            Some(id) => {
                sets.extend(card.row().change(book, id.as_str()));
                id.clone()
            }
            None => {
                let id = fresh(book, mint);
                sets.push(card.row().create(book, &id));
                ClutchId::new(id)
            }
        };
        let mut filling_of: BTreeMap<usize, FillingId> = BTreeMap::new();
        let mut late: Vec<DraftSet> = Vec::new();
        let before = self.clutch.as_ref().and_then(|id| book.nest(id));
        let nest = match before {
            Some(nest) => Some(nest.id.clone()),
            None => self.leave(book, &clutch, &card.dams, when, mint, &mut late)?,
        };
        for (i, (setup, eggs)) in self.boxes().iter().zip(&boxes).enumerate() {
            setup.check(book)?;
            let same = |other: &BoxSetup| {
                setup.container.is_some() && other.container == setup.container
                    || setup.filling.is_some() && other.filling == setup.filling
            };
            if self.boxes()[..i].iter().any(same) {
                return Err(Refusal::Twice { what: "The same box or label".to_owned() });
            }
            let Setting { id, sets } = setup.set(book, when, mint)?;
            filling_of.extend(eggs.iter().map(|&egg| (egg, id.clone())));
            late.extend(sets);
        }
        let mut brought: BTreeMap<Where, Vec<Thing>> = BTreeMap::new();
        for index in 0..counts.all() as usize {
            let egg = EggRow { clutch: &clutch, index, letter: index, counts, laid: None, when };
            let id = fresh(book, mint);
            let set_in = filling_of.get(&index);
            let row = egg.row(set_in.or(nest.as_ref()), set_in.is_some() || self.left, clump_of.get(&index).copied());
            // Taken from her: they lay with her until now.
            sets.push(match nest.as_ref().filter(|_| !self.left) {
                None => row.create(book, &id),
                Some(nest) => {
                    let to = set_in.map_or(Where::Unknown, |set_in| Where::Filling(set_in.clone()));
                    brought.entry(to).or_default().push(Thing::new(Kind::Egg, id.as_str()));
                    row.with(Egg::filling, nest).create(book, &id)
                }
            });
        }
        sets.extend(late);
        sets.extend(brought.iter().map(|(to, eggs)| move_row(eggs, to, when)));
        if let Some(nest) = before {
            in_order(("leaving them with her", nest.from), ("pulling", Some(when)))?;
            // Taken from her, they lie with her no longer.
            let end = Row::new().with(Filling::to, when);
            sets.extend(if self.left { None } else { end.change(book, nest.id.as_str()) });
        }
        draft("ClutchPulled", sets)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = self.card.doubts(book, now, self.clutch.as_ref());
        for (setup, eggs) in self.boxes().iter().zip(self.spread().unwrap_or_default()) {
            doubts.extend(setup.doubts(book, eggs.len()));
        }
        doubts
    }
}

impl ClutchPulled {
    /// A nest, where they are left with her: it begins where she is.
    fn leave(
        &self,
        book: &Book,
        clutch: &ClutchId,
        dams: &[AnimalId],
        when: When,
        mint: &mut Mint<'_>,
        late: &mut Vec<DraftSet>,
    ) -> Result<Option<FillingId>, Refusal> {
        if !self.left {
            return Ok(None);
        }
        if dams.is_empty() {
            return Err(Refusal::Missing { what: "which dam lies round them" });
        }
        let id = FillingId::new(fresh(book, mint));
        late.push(Row::new().with(Filling::brooded, clutch).with(Filling::from, when).create(book, id.as_str()));
        if let Some(place) = dams.iter().find_map(|dam| book.place_of(&dam.thing())) {
            late.push(move_row(&[id.thing()], &Where::Place(place.id.clone()), when));
        }
        Ok(Some(id))
    }
}

/// One egg of a count.
struct EggRow<'a> {
    clutch: &'a ClutchId,
    index: usize,
    /// Which letter it takes, from 0.
    letter: usize,
    counts: Counts,
    laid: Option<When>,
    when: When,
}

impl EggRow<'_> {
    /// Which filling it is in first, and whether it stays in one.
    fn row(&self, filling: Option<&FillingId>, stays: bool, clump: Option<i64>) -> Row<Egg> {
        let laid_as = match self.index {
            i if i < self.counts.good as usize => LaidAs::Good,
            i if i < self.counts.shelled() as usize => LaidAs::Dud,
            _ => LaidAs::Slug,
        };
        let row = Row::new()
            .with(Egg::clutch, self.clutch)
            .with(Egg::letter, letter(self.letter))
            .with(Egg::laid_as, laid_as)
            .with(Egg::laid, self.laid)
            .with(Egg::clump, clump)
            .with(Egg::filling, filling);
        // A slug that goes in no box is thrown away on the spot; it must not count as still in.
        if laid_as == LaidAs::Slug && !stays {
            return row.with(Egg::fate, Fate::Removed).with(Egg::fate_when, self.when).with(Egg::fate_why, "slug");
        }
        row
    }
}

/// A, B … Z, AA, AB …
pub(crate) fn letter(index: usize) -> String {
    let mut left = index;
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (left % 26) as u8));
        if left < 26 {
            break;
        }
        left = left / 26 - 1;
    }
    letters.iter().rev().collect()
}

/// Stragglers: eggs of a clutch laid or found after it was pulled.
#[derive(Clone, Debug)]
pub struct EggsAdded {
    pub clutch: ClutchId,
    /// How many more.
    pub counts: Counts,
    /// When these were laid, where it differs from the clutch.
    pub laid: Option<When>,
    pub when: When,
    /// The box in use that the good and dud ones go in.
    pub filling: Option<FillingId>,
    /// What they weigh together, so that the box's fill-to stays right.
    pub mass: Option<Mass>,
}

impl Act for EggsAdded {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let clutch = book.clutch(&self.clutch).ok_or_else(|| Refusal::NoSuch { thing: self.clutch.thing() })?;
        not_future("adding", self.when, now)?;
        in_order(("laying", self.laid.or(clutch.laid)), ("adding", Some(self.when)))?;
        real_mass_if("A mass", self.mass)?;
        if self.counts.all() == 0 {
            return Err(Refusal::NoEggs);
        }
        let before = clutch.counts().unwrap_or_default();
        let total = Counts {
            good: before.good.saturating_add(self.counts.good),
            dud: before.dud.saturating_add(self.counts.dud),
            slug: before.slug.saturating_add(self.counts.slug),
        };
        check_counts(self.counts)?;
        check_counts(total)?;
        let counted =
            Row::new().with(Clutch::good, total.good).with(Clutch::dud, total.dud).with(Clutch::slug, total.slug);
        let mut sets: Vec<DraftSet> = counted.change(book, self.clutch.as_str()).into_iter().collect();
        let known: Vec<Option<String>> = book.eggs_of(&self.clutch).into_iter().map(|egg| egg.letter.clone()).collect();
        let free = (0..).filter(|&i| !known.contains(&Some(letter(i))));
        for (index, letter) in (0..self.counts.all() as usize).zip(free) {
            let egg = EggRow {
                clutch: &self.clutch,
                index,
                letter,
                counts: self.counts,
                laid: self.laid.filter(|&laid| Some(laid) != clutch.laid),
                when: self.when,
            };
            // With their mother they lay from the first.
            let nest = self.filling.as_ref().filter(|filling| book.is_nest(filling));
            sets.push(egg.row(nest, nest.is_some(), None).create(book, &fresh(book, mint)));
        }
        if let Some(filling) = &self.filling {
            super::boxes::open(book, filling, "adding", self.when, now)?;
            let added: Vec<Thing> = sets
                .iter()
                .filter(|set| set.kind == Kind::Egg.word() && !set.fields.contains_key("fate"))
                .filter_map(|set| match &set.id {
                    journal::DraftId::Known(id) => Some(Thing::new(Kind::Egg, id.as_str())),
                    journal::DraftId::Observation => None,
                })
                .collect();
            if !added.is_empty() && !book.is_nest(filling) {
                let to = Where::Filling(filling.clone());
                sets.push(super::moves::row(&added, &to, self.when));
                sets.extend(super::moves::weighed_across(book, &[], &to, self.when, self.mass));
            }
        }
        draft("EggsAdded", sets)
    }
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_after_z() {
        for (index, expected) in
            [(0, "A"), (25, "Z"), (26, "AA"), (27, "AB"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")]
        {
            assert_eq!(letter(index), expected);
        }
    }
}
