//! Lists: which rows, by what was typed and chosen, and how many at a time.

use book::views::{BabyRow, BabyState, SaleRow};
use book::words::Sex;
use book::{AnimalId, Book, ClutchId};

/// Rows in the page at once, however long the list is.
pub const ROWS: usize = 60;

/// Where the rows that hold row `at` begin.
pub fn begin(at: usize) -> usize {
    at / ROWS * ROWS
}

/// The rows shown, from–to, when the list was turned to `from` and is `total` rows long by now.
pub fn shown(from: usize, total: usize) -> (usize, usize) {
    let start = from.min(begin(total.saturating_sub(1)));
    (start, (start + ROWS).min(total))
}

/// Where a step through a list leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Walk {
    /// To this one of the rows shown.
    Row(usize),
    /// The list is turned, to what comes after or before.
    TurnOn,
    TurnBack,
    Stay,
}

/// A step on or back from row `here` of `rows` shown; with no row yet, to the first. `before`, `after`: whether the list
/// goes on there.
pub fn walk(here: Option<usize>, rows: usize, on: bool, before: bool, after: bool) -> Walk {
    match (here, on) {
        (None, _) if rows > 0 => Walk::Row(0),
        (Some(at), true) if at + 1 < rows => Walk::Row(at + 1),
        (Some(_), true) if after => Walk::TurnOn,
        (Some(0), false) if before => Walk::TurnBack,
        (Some(at), false) if at > 0 && rows > 0 => Walk::Row((at - 1).min(rows - 1)),
        _ => Walk::Stay,
    }
}

/// Letters that a line of the barn sheet holds in three columns on A4, and in two; counted on a printed sheet.
const IN_THREE: usize = 30;
const IN_TWO: usize = 48;

/// Whether a sheet of rows, each as many letters long, takes less paper in three columns than in two, in which fewer rows
/// run on to a second line.
pub fn narrow(rows: impl Iterator<Item = usize>) -> bool {
    let (three, two) = rows.fold((0, 0), |(three, two), letters| {
        (three + letters.div_ceil(IN_THREE).max(1), two + letters.div_ceil(IN_TWO).max(1))
    });
    three * 2 < two * 3
}

/// Names that stand more than once get a letter, in their order: `26-08 a`, `26-08 b`.
pub fn told_apart(names: &mut [String]) {
    let all = names.to_vec();
    for (at, name) in names.iter_mut().enumerate() {
        if all.iter().filter(|other| *other == name).count() > 1 {
            let before = all[..at].iter().filter(|other| *other == name).count();
            let letter = char::from(b'a' + (before % 26) as u8);
            // Beyond the alphabet the letter comes again, with a number.
            let again = if before < 26 { String::new() } else { (before / 26 + 1).to_string() };
            name.push_str(&format!(" {letter}{again}"));
        }
    }
}

/// What is typed to search by: each word must stand somewhere in what is searched.
struct Terms(Vec<String>);

impl Terms {
    fn new(typed: &str) -> Terms {
        Terms(typed.to_lowercase().split_whitespace().map(str::to_owned).collect())
    }

    fn stand_in(&self, text: impl FnOnce() -> String) -> bool {
        if self.0.is_empty() {
            return true;
        }
        let text = text().to_lowercase();
        self.0.iter().all(|term| text.contains(term))
    }
}

/// Which animals are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    All,
    Females,
    Males,
    Left,
}

impl Show {
    pub const ALL: [Show; 4] = [Show::All, Show::Females, Show::Males, Show::Left];
}

/// Animals by name, code, morph or species; those that left only where they are asked for.
pub fn animals(book: &Book, typed: &str, show: Show) -> Vec<AnimalId> {
    let terms = Terms::new(typed);
    let mut found: Vec<_> = match show {
        Show::Left => book.all_animals().filter(|animal| !animal.is_here()).collect(),
        Show::All | Show::Females | Show::Males => book.animals(),
    };
    if show == Show::Left {
        found.sort_by_key(|animal| (animal.code.is_none(), &animal.code, &animal.name));
    }
    found.retain(|animal| {
        let right = match show {
            Show::All | Show::Left => true,
            Show::Females => animal.sex == Some(Sex::Female),
            Show::Males => animal.sex == Some(Sex::Male),
        };
        right
            && terms.stand_in(|| {
                let species = animal.species.as_ref().map(|key| book.species_of(Some(key)).name);
                let parts =
                    [animal.name.as_deref(), animal.code.as_deref(), animal.morph.as_deref(), species.as_deref()];
                parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
            })
    });
    found.into_iter().map(|animal| animal.id.clone()).collect()
}

/// Young by name, clutch, species or looks, of one state; `None`: all that are here.
pub fn young(rows: &[BabyRow], typed: &str, state: Option<BabyState>) -> Vec<BabyRow> {
    let terms = Terms::new(typed);
    let fits = |row: &&BabyRow| {
        state.map_or(row.state != BabyState::Left, |state| row.state == state)
            && terms.stand_in(|| {
                let clutch = row.clutch.as_ref().map_or("", |(_, number)| number.as_str());
                format!("{} {clutch} {} {}", row.name, row.species, row.looks.as_deref().unwrap_or(""))
            })
    };
    rows.iter().filter(fits).cloned().collect()
}

/// Animals for sale, by what was typed and by sex; of one not told yet nobody knows.
pub fn for_sale(rows: &[SaleRow], typed: &str, sex: Option<Sex>) -> Vec<SaleRow> {
    let terms = Terms::new(typed);
    let fits = |row: &&SaleRow| {
        let told = sex.is_none() || row.sex == sex;
        told && terms.stand_in(|| format!("{} {} {}", row.name, row.species, row.looks.as_deref().unwrap_or("")))
    };
    rows.iter().filter(fits).cloned().collect()
}

/// How many young there are of each state; the first are all that are here.
pub fn young_counts(rows: &[BabyRow]) -> Vec<(Option<BabyState>, usize)> {
    let count = |fits: &dyn Fn(BabyState) -> bool| rows.iter().filter(|row| fits(row.state)).count();
    let here = (None, count(&|state| state != BabyState::Left));
    std::iter::once(here).chain(BabyState::ALL.into_iter().map(|of| (Some(of), count(&|state| state == of)))).collect()
}

/// Clutches found and not boxed; of one that is in the records twice, its first record.
pub fn not_boxed(book: &Book) -> Vec<ClutchId> {
    let first = |id: &ClutchId| book.same_clutch(id).first().is_some_and(|first| first.id == *id);
    let waits = |id: &ClutchId| book.eggs_of(id).is_empty() && book.nest(id).is_none() && first(id);
    book.clutches().into_iter().map(|clutch| clutch.id.clone()).filter(waits).collect()
}
