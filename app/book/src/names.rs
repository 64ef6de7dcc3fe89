//! How things are called, and what a form should offer first.

use crate::acts::BoxSetup;
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::{Mix, PlaceWhat};
use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta};
use trade::species::Profile;
use trade::when::When;

impl Book {
    /// An animal's name, else its code.
    pub fn animal_name(&self, id: &AnimalId) -> String {
        self.short_name(&id.thing())
    }

    /// Candidates' names in order: none when unknown.
    pub fn animal_names(&self, ids: &[AnimalId]) -> Vec<String> {
        ids.iter().map(|id| self.animal_name(id)).collect()
    }

    /// A place's names from the outermost in: "Barn", "Incubator 1", "Shelf 2".
    pub fn path_names(&self, place: &PlaceId) -> Vec<String> {
        self.path(place).into_iter().map(|place| self.place_name(place)).collect()
    }

    /// A place's own name, without those around it.
    pub fn place_name(&self, place: &Place) -> String {
        place.name.clone().unwrap_or_else(|| self.nameless(&place.id.thing()))
    }

    /// A clutch's number; of joined clutches the first number there is.
    pub fn clutch_number(&self, id: &ClutchId) -> String {
        self.short_name(&id.thing())
    }

    /// A person's own word for something, short enough for a line; what has none is called by its kind, since an id says
    /// nothing to anybody.
    pub fn short_name(&self, thing: &Thing) -> String {
        self.own_word(thing).unwrap_or_else(|| self.nameless(thing))
    }

    /// An animal's name, a clutch's number, the numbers of the clutches in a box, an egg's letter: what it was called by
    /// somebody, if it was.
    pub fn own_word(&self, thing: &Thing) -> Option<String> {
        let id = thing.id.as_str();
        // A shipped species has a name without a record.
        if thing.kind == Kind::Species {
            return Some(self.species_of(Some(id)).name.into_owned());
        }
        // A row put off is called as what it is about: see `views::Row::row`.
        if thing.kind == Kind::Snooze {
            return id.split_once('.').and_then(|(_, thing)| Some(self.short_name(&thing.parse().ok()?)));
        }
        self.row(thing).and_then(|row| row.called(self))
    }

    /// What nobody has named, by its kind.
    fn nameless(&self, thing: &Thing) -> String {
        let kind = if thing.kind == Kind::Filling { "box".to_owned() } else { thing.kind.word().replace('_', " ") };
        let why = if self.has(thing) { "without a name" } else { "that is not here" };
        format!("{kind} {why}")
    }

    /// When an egg was laid: its own moment, else its clutch's, else when the clutch was found.
    pub fn laid(&self, egg: &Egg) -> Option<When> {
        egg.laid.or_else(|| self.clutch_laid(egg.clutch.as_ref()?))
    }

    /// When an egg was laid as far as somebody knows: its own moment, else its clutch's. Never when it was found.
    pub(crate) fn laid_known(&self, egg: &Egg) -> Option<When> {
        egg.laid.or_else(|| self.same_clutch(egg.clutch.as_ref()?).iter().find_map(|clutch| clutch.laid))
    }

    /// When a clutch was laid; else when it was found, which is the latest it can have been.
    pub fn clutch_laid(&self, clutch: &ClutchId) -> Option<When> {
        let all = self.same_clutch(clutch);
        all.iter().find_map(|clutch| clutch.laid).or_else(|| all.iter().find_map(|clutch| clutch.found))
    }

    /// Who lies round the eggs of a nest: `Bel`, `Bel or Iris` where it is not known whose they are.
    pub fn mothers_of(&self, nest: &Filling) -> String {
        let dams = nest.brooded.as_ref().and_then(|id| self.clutch(id)).map(|clutch| self.animal_names(&clutch.dams));
        dams.filter(|dams| !dams.is_empty()).map_or_else(|| "the mother".to_owned(), |dams| dams.join(" or "))
    }

    /// The species of a clutch: its own, else its parents'.
    pub fn clutch_species(&self, clutch: &Clutch) -> Option<String> {
        clutch.species.clone().or_else(|| self.suggest_species(&clutch.dams, &clutch.sires))
    }

    /// The profile of a clutch's species.
    pub fn clutch_profile(&self, clutch: &Clutch) -> Profile {
        self.species_of(self.clutch_species(clutch).as_deref())
    }

    /// The species both candidates' sides agree on.
    pub fn suggest_species(&self, dams: &[AnimalId], sires: &[AnimalId]) -> Option<String> {
        let mut all = dams.iter().chain(sires).filter_map(|id| self.animal(id)?.species.clone());
        let first = all.next()?;
        all.all(|other| other == first).then_some(first)
    }

    /// Sires from the dams' pairings of the last year, the latest pairing's first.
    pub fn suggest_sires(&self, dams: &[AnimalId], now: NaiveDateTime) -> Vec<AnimalId> {
        let mut sires: Vec<AnimalId> = Vec::new();
        for dam in dams {
            // A female can keep sperm for months; a pairing of an earlier season says little.
            let recent = self.pairings_of(dam).filter(|pairing| {
                let from = pairing.when.map(When::latest);
                pairing.dams.contains(dam) && from.is_some_and(|at| at <= now && now - at < TimeDelta::days(365))
            });
            for sire in recent.flat_map(|pairing| &pairing.sires) {
                if !sires.contains(sire) {
                    sires.push(sire.clone());
                }
            }
        }
        sires
    }

    /// The next clutch number in the barn's own style: the number of the clutch numbered last, counted up, with the
    /// year put right where the number begins with one ("25-031" in 2026 → "26-001"). A new barn begins with `26-001`.
    pub fn suggest_number(&self, today: NaiveDate) -> String {
        let year = today.year() % 100;
        let mut best: Option<Style> = None;
        for clutch in self.clutches() {
            let Some(style) = clutch.number.as_deref().and_then(Style::of) else { continue };
            match &mut best {
                None => best = Some(style),
                // The newest clutch sets the style; the highest count in that style goes on.
                Some(best) if best.prefix == style.prefix && best.suffix == style.suffix => {
                    best.count = best.count.max(style.count);
                    best.width = best.width.max(style.width);
                }
                Some(_) => {}
            }
        }
        let mut next = match best {
            None => Style { prefix: format!("{year:02}-"), count: 0, width: 3, suffix: String::new() },
            Some(style) => style.in_year(today.year()),
        };
        loop {
            next.count = next.count.saturating_add(1);
            let number = next.text();
            if self.clutches_numbered(&number).next().is_none() || next.count == u64::MAX {
                return number;
            }
        }
    }

    /// How the last box was set, on the emptiest shelf of the same temperature: what a form opens with.
    pub fn suggest_setup(&self) -> BoxSetup {
        let last = self.fillings().filter(|filling| !filling.is_nest()).max_by_key(|filling| {
            let kept = self.t.fillings.get(&filling.id);
            kept.map(|kept| kept.written)
        });
        let Some(last) = last else {
            return BoxSetup { shelf: self.suggest_shelves(None).first().map(|s| s.id.clone()), ..BoxSetup::default() };
        };
        let near = self.place_of(&last.id.thing()).map(|place| place.id.clone());
        BoxSetup {
            shelf: self.suggest_shelves(near.as_ref()).first().map(|shelf| shelf.id.clone()),
            medium: last.medium.clone().unwrap_or_default(),
            mix: last.mix.or(Some(Mix::Unknown)),
            dry: last.dry,
            water: last.water,
            ..BoxSetup::default()
        }
    }

    /// Shelves in use: those set like `near` first, emptier ones before fuller ones, then in walking order.
    pub fn suggest_shelves(&self, near: Option<&PlaceId>) -> Vec<&Place> {
        let wanted = near.and_then(|id| self.set_temp(id));
        let mut shelves = self.shelves();
        if shelves.is_empty() {
            let incubator = |place: &&Place| place.what == Some(PlaceWhat::Incubator) && !place.closed;
            shelves = self.places().into_iter().filter(incubator).collect();
        }
        crate::order::sort(&mut shelves, |shelf| {
            let other = wanted.is_some() && self.set_temp(&shelf.id) != wanted;
            (other, self.things_at(&shelf.id).len())
        });
        shelves
    }

    /// Ready figures for a count of good eggs: the barn's own usual counts for the species first, then around the
    /// species' usual. At most six, rising.
    pub fn suggest_counts(&self, species: Option<&str>) -> Vec<u32> {
        let usual = self.species_of(species).usual_eggs();
        let mut seen: Vec<(u32, usize)> = Vec::new();
        for clutch in self.clutches() {
            let Some(good) = clutch.good.filter(|&good| good > 0) else { continue };
            if self.clutch_species(clutch).as_deref() == species {
                match seen.iter_mut().find(|(count, _)| *count == good) {
                    Some((_, times)) => *times += 1,
                    None => seen.push((good, 1)),
                }
            }
        }
        crate::order::sort(&mut seen, |&(count, times)| (std::cmp::Reverse(times), count));
        let around =
            [0i64, -1, 1, -2, 2, 3].map(|by| i64::from(usual) + by).into_iter().filter_map(|n| u32::try_from(n).ok());
        let mut counts: Vec<u32> = Vec::new();
        for count in seen.into_iter().map(|(count, _)| count).chain(around) {
            if count > 0 && counts.len() < 6 && !counts.contains(&count) {
                counts.push(count);
            }
        }
        counts.sort_unstable();
        counts
    }

    /// Media used so far, the latest first.
    pub fn suggest_media(&self) -> Vec<String> {
        let mut media: Vec<String> = Vec::new();
        let mut fillings: Vec<&Filling> = self.fillings().collect();
        crate::order::sort(&mut fillings, |filling| std::cmp::Reverse(filling.from.map(When::earliest)));
        for medium in fillings.into_iter().filter_map(|filling| filling.medium.clone()) {
            if !media.contains(&medium) {
                media.push(medium);
            }
        }
        media
    }
}

/// A number or code taken apart at its last run of digits.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Style {
    pub(crate) prefix: String,
    pub(crate) count: u64,
    /// Digits, leading zeros included.
    width: usize,
    suffix: String,
}

impl Style {
    pub(crate) fn of(number: &str) -> Option<Style> {
        let number = number.trim();
        let end = number.rfind(|c: char| c.is_ascii_digit())? + 1;
        let start = number[..end]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |at| at + number[at..].chars().next().map_or(1, char::len_utf8));
        // More digits than a count has are something else, such as a date.
        let count = number[start..end].parse().ok().filter(|_| end - start <= 6)?;
        Some(Style { prefix: number[..start].to_owned(), count, width: end - start, suffix: number[end..].to_owned() })
    }

    /// Begun anew when the prefix begins with another year than this one.
    pub(crate) fn in_year(self, year: i32) -> Style {
        let digits: String = self.prefix.chars().take_while(char::is_ascii_digit).collect();
        let (full, short) = (year.to_string(), format!("{:02}", year % 100));
        let now = match digits.len() {
            2 => short,
            4 => full,
            _ => return self,
        };
        if digits == now {
            return self;
        }
        let prefix = format!("{now}{}", &self.prefix[digits.len()..]);
        Style { prefix, count: 0, ..self }
    }

    /// The number that comes so many later.
    pub(crate) fn plus(&self, by: u64) -> String {
        Style { count: self.count.saturating_add(by), ..self.clone() }.text()
    }

    fn text(&self) -> String {
        format!("{}{:0width$}{}", self.prefix, self.count, self.suffix, width = self.width)
    }
}

#[cfg(test)]
mod tests {
    use super::Style;

    #[test]
    fn a_number_counts_up_in_its_own_style() {
        for (number, year, expected) in [
            ("26-014", 2026, "26-015"),
            ("26-099", 2026, "26-100"),
            ("25-031", 2026, "26-001"),
            ("2025/7", 2026, "2026/1"),
            ("C9", 2026, "C10"),
            ("7", 2026, "8"),
            ("K-003b", 2026, "K-004b"),
            ("26é9", 2026, "26é10"),
        ] {
            let mut style = Style::of(number).expect(number).in_year(year);
            style.count += 1;
            assert_eq!(style.text(), expected, "{number}");
        }
        assert_eq!(Style::of("none"), None);
        assert_eq!(Style::of("20260609"), None);
    }
}
