//! A box as its page shows it, and as one row of a list.

use super::box_lines::{candling_lines, counts, hatch_lines, label_line, notes_of, nth};
use super::parts::{Parents, TrayEgg, parents, tray_egg};
use super::since::{Since, SinceWhat};
use super::water::{WaterView, water_view};
use crate::book::{Book, Written};
use crate::heat::Ask;
use crate::ids::*;
use crate::records::*;
use crate::words::*;
use chrono::{NaiveDate, NaiveDateTime};
use std::collections::BTreeMap;
use trade::path::off_as_kept;
use trade::species::Profile;
use trade::told::Told;
use trade::units::Mass;
use trade::when::When;
use trade::window::{Refusal, Window};

/// Everything a box's page shows.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxView {
    pub id: FillingId,
    /// The clutches in it, by number. Most often one.
    pub parts: Vec<ClutchPart>,
    /// Its place among the boxes of its clutch and how many they are; only for a box of one clutch over several.
    pub nth: Option<(usize, usize)>,
    pub container: Option<String>,
    /// No box: eggs left with their mother.
    pub nest: Option<Nest>,
    /// The shelf it stands at.
    pub place: Option<PlaceId>,
    /// That shelf's path, outermost first; empty when it stands nowhere.
    pub path: Vec<String>,
    pub set: Option<When>,
    /// The box was emptied: its label is retired.
    pub emptied: Option<When>,
    /// Eggs as they lie, by clutch, then letter.
    pub tray: Vec<TrayEgg>,
    pub counts: BoxCounts,
    pub water: WaterView,
    /// Newest first.
    pub candlings: Vec<CandlingLine>,
    /// Pips, cuts and hatchings, newest first.
    pub hatchings: Vec<HatchLine>,
    /// Of the box and of its clutches, newest first.
    pub notes: Vec<NoteLine>,
    /// The label printed last.
    pub label: Option<LabelLine>,
    pub warnings: Vec<BoxWarning>,
}

/// Eggs that lie with their mother, in no box.
#[derive(Clone, Debug, PartialEq)]
pub struct Nest {
    pub clutch: ClutchId,
    /// Who lies round them; several where it is not known whose they are.
    pub mothers: Vec<(AnimalId, String)>,
    /// Somebody has counted them.
    pub counted: bool,
    /// Nothing was read or set where they lie: what is assumed, give or take, °C.
    pub as_kept: Option<(f64, f64)>,
}

impl Nest {
    fn of(book: &Book, filling: &Filling) -> Option<Nest> {
        let clutch = filling.brooded.clone()?;
        let place = book.place_of(&filling.id.thing());
        let known = |place: &Place| book.temperatures(&place.id, NaiveDateTime::MIN, NaiveDateTime::MAX).is_ok();
        let unknown = place.is_some_and(|place| !known(place));
        let profile = book.clutch(&clutch).filter(|_| unknown).map(|clutch| book.clutch_profile(clutch));
        Some(Nest {
            mothers: parents(book, &clutch).dams,
            counted: book.uncounted(filling).is_none(),
            as_kept: profile.map(|profile| (profile.shelf_c, off_as_kept(&profile))),
            clutch,
        })
    }
}

/// One clutch's share of a box.
#[derive(Clone, Debug, PartialEq)]
pub struct ClutchPart {
    pub clutch: ClutchId,
    pub number: String,
    pub species: Profile,
    /// As seen in the dam, for the label.
    pub morph: Option<String>,
    pub parents: Parents,
    pub laid: Option<When>,
    /// When only the finding is known, which `laid` then repeats.
    pub laid_is_found: bool,
    /// When it was laid as candling tells it, where nobody saw it: the window goes by that.
    pub told: Option<Told>,
    pub since: Option<Since>,
    /// Its eggs in this box that may still be candled, pip or hatch.
    pub eggs: u32,
    /// The window, or why there is none.
    pub window: Result<Window, Refusal>,
}

/// How many eggs are what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BoxCounts {
    /// Without a fate.
    pub still_in: u32,
    /// Of those, by when laid.
    pub good: u32,
    pub dud: u32,
    pub slug: u32,
    /// Of those, last seen with veins, dark included: late eggs go dark.
    pub live: u32,
    pub doubtful: u32,
    pub dead: u32,
    pub pipped: u32,
    pub hatched: u32,
    pub gone: u32,
}

/// A candling: what changed in it, and what it showed in all.
#[derive(Clone, Debug, PartialEq)]
pub struct CandlingLine {
    pub id: CandlingId,
    pub when: Option<When>,
    /// Against the candling before; of the first all eggs.
    pub changes: Vec<Change>,
    /// How many eggs were seen as what.
    pub seen: BTreeMap<Seen, u32>,
    pub note: Option<String>,
    pub written: Option<Written>,
}

/// One egg seen otherwise than before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub letter: String,
    pub from: Option<Seen>,
    pub to: Seen,
}

/// A step of a hatching.
#[derive(Clone, Debug, PartialEq)]
pub struct HatchLine {
    pub id: HatchingId,
    pub egg: EggId,
    pub letter: String,
    pub step: Step,
    pub when: Option<When>,
    /// Of an egg opened by hand: how, why, and what was seen.
    pub opened: Option<OpenedAs>,
    pub why: Option<String>,
    pub found: Option<String>,
    pub written: Option<Written>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct NoteLine {
    pub id: NoteId,
    pub about: Thing,
    pub when: Option<When>,
    pub text: String,
    pub written: Option<Written>,
}

/// A label as printed, and whether what it says still holds.
#[derive(Clone, Debug, PartialEq)]
pub struct LabelLine {
    pub when: Option<When>,
    pub look_from: Option<NaiveDate>,
    pub fill_to: Option<Mass>,
    /// The window or the fill-to mass has moved since: print it anew.
    pub stale: bool,
}

/// What to heed about a box.
#[derive(Clone, Debug, PartialEq)]
pub enum BoxWarning {
    /// Its eggs disagree with the count of a clutch.
    SumOff { number: String, counted: u32, in_book: u32 },
    /// Two records clash in these things.
    Clash { things: Vec<Thing> },
    /// The temperature now is outside what the species tolerates.
    NotTolerated { celsius: f64, low: f64, high: f64 },
    /// Not on any shelf.
    NoShelf,
    /// It is not known where she lies round them.
    NoNest,
    /// Never weighed closed: water cannot be checked by mass.
    NeverWeighed,
    /// Things were taken out unweighed since the last baseline: the fill-to mass is off by theirs.
    Unweighed { times: u32 },
    /// More than a third of the shelled eggs are dead or gone bad.
    Dying { bad: u32, of: u32 },
    /// Pipped 48 hours ago or longer and not out.
    PippedLong { letters: Vec<String>, hours: i64 },
    /// Another clutch carries the same number.
    NumberTwice { number: String },
    /// No pip came, and the window has passed.
    WindowPassed,
    /// At this mean temperature published hatch rates lie this many percent below their best.
    HatchRateFalls { celsius: f64, percent: u32 },
    /// The lay date is open by so many days, which widens the window.
    LaidOpen { days: u32 },
}

/// A box in a list: enough for its row, its taper and its strip.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxRow {
    pub id: FillingId,
    pub numbers: Vec<String>,
    pub nth: Option<(usize, usize)>,
    /// Short forms of the species in it.
    pub species: Vec<String>,
    pub parents: Parents,
    /// No box: eggs left with their mother.
    pub nest: Option<Nest>,
    pub place: Option<PlaceId>,
    pub path: Vec<String>,
    pub set: Option<When>,
    /// Of the clutch whose window comes first.
    pub since: Option<Since>,
    pub window: Result<Window, Refusal>,
    pub counts: BoxCounts,
    pub fill_to: Option<Mass>,
}

/// The page of a box. `None` when there is no such filling.
pub fn box_view(book: &Book, id: &FillingId, now: NaiveDateTime) -> Option<BoxView> {
    let filling = book.filling(id)?;
    let parts = parts_of(book, id, now);
    let tray: Vec<TrayEgg> = book.tray(id).into_iter().map(|egg| tray_egg(book, egg)).collect();
    let window = first_window(&parts).and_then(|part| part.window.as_ref().ok());
    let water = water_view(book, id, window, now)?;
    let place = book.place_of(&id.thing());
    let label = label_line(book, &id.thing(), window, &water);
    let mut view = BoxView {
        id: id.clone(),
        nth: nth(book, id),
        container: filling.container.as_ref().and_then(|b| book.container(b)).and_then(|b| b.name.clone()),
        nest: Nest::of(book, filling),
        place: place.map(|place| place.id.clone()),
        path: place.map(|place| book.path_names(&place.id)).unwrap_or_default(),
        set: filling.from,
        emptied: filling.to,
        counts: counts(&tray),
        candlings: candling_lines(book, id),
        hatchings: hatch_lines(book, id),
        notes: notes_of(book, std::iter::once(id.thing()).chain(parts.iter().map(|part| part.clutch.thing()))),
        parts,
        tray,
        water,
        label,
        warnings: Vec::new(),
    };
    view.warnings = super::box_warnings::warnings(book, &view, now);
    Some(view)
}

/// All boxes in use, in walking order of their shelves, then by set date.
pub fn box_rows(book: &Book, now: NaiveDateTime) -> Vec<BoxRow> {
    let walk: BTreeMap<PlaceId, usize> =
        book.places().into_iter().enumerate().map(|(i, place)| (place.id.clone(), i)).collect();
    let mut rows: Vec<BoxRow> =
        book.open_fillings().into_iter().rev().map(|filling| box_row(book, &filling.id, now)).collect();
    rows.sort_by_key(|row| row.place.as_ref().and_then(|place| walk.get(place)).copied().unwrap_or(usize::MAX));
    rows
}

pub(super) fn box_row(book: &Book, id: &FillingId, now: NaiveDateTime) -> BoxRow {
    let parts = parts_of(book, id, now);
    let tray: Vec<TrayEgg> = book.tray(id).into_iter().map(|egg| tray_egg(book, egg)).collect();
    let place = book.place_of(&id.thing());
    let first = first_window(&parts);
    let mut parents = Parents::default();
    for part in &parts {
        parents.dams.extend(part.parents.dams.iter().cloned());
        parents.sires.extend(part.parents.sires.iter().cloned());
        parents.unknown_male |= part.parents.unknown_male;
        parents.no_male |= part.parents.no_male;
    }
    crate::order::keep_first(&mut parents.dams, Clone::clone);
    crate::order::keep_first(&mut parents.sires, Clone::clone);
    let mut species: Vec<String> = parts.iter().map(|part| part.species.short.to_string()).collect();
    crate::order::keep_first(&mut species, Clone::clone);
    BoxRow {
        id: id.clone(),
        numbers: parts.iter().map(|part| part.number.clone()).collect(),
        nth: nth(book, id),
        species,
        parents,
        nest: book.filling(id).and_then(|filling| Nest::of(book, filling)),
        place: place.map(|place| place.id.clone()),
        path: place.map(|place| book.path_names(&place.id)).unwrap_or_default(),
        set: book.filling(id).and_then(|filling| filling.from),
        since: first.and_then(|part| part.since),
        window: first.map_or(Err(Refusal::NoPlace), |part| part.window.clone()),
        counts: counts(&tray),
        fill_to: book.fill_to(id).map(|fill_to| fill_to.mass),
    }
}

/// What lies with an animal, as its mother.
pub fn nests_with(book: &Book, animal: &AnimalId, now: NaiveDateTime) -> Vec<BoxRow> {
    let hers = book.clutches_of(animal).filter(|clutch| clutch.dams.contains(animal));
    let mut nests: Vec<&FillingId> = hers.filter_map(|clutch| book.nest(&clutch.id)).map(|nest| &nest.id).collect();
    crate::order::keep_first(&mut nests, |id| (*id).clone());
    nests.into_iter().map(|nest| box_row(book, nest, now)).collect()
}

/// One clutch's eggs in a box.
pub(super) struct Share<'a> {
    pub(super) clutch: &'a Clutch,
    pub(super) eggs: Vec<&'a Egg>,
}

impl Share<'_> {
    /// The question about its eggs; of a nest that nobody counted it has none.
    pub(super) fn ask(&self, book: &Book, filling: &Filling) -> Result<Ask, Refusal> {
        if self.eggs.is_empty() { book.ask_uncounted(filling) } else { book.ask(&self.eggs) }
    }

    /// From when on they count their days.
    pub(super) fn since(&self, book: &Book, told: Option<&Told>) -> Option<Since> {
        if self.eggs.is_empty() { Since::of_clutch(book, &self.clutch.id) } else { Since::of(book, &self.eggs, told) }
    }

    /// Its eggs that may still be candled, pip or hatch.
    pub(super) fn open(&self) -> u32 {
        u32::try_from(self.eggs.iter().filter(|egg| egg.fate.is_none()).count()).unwrap_or(u32::MAX)
    }
}

/// The eggs of a tray by their clutches, in the order they lie.
pub(super) fn shares<'a>(book: &'a Book, tray: &[&'a Egg]) -> Vec<Share<'a>> {
    let mut shares: Vec<Share<'_>> = Vec::new();
    for &egg in tray {
        let Some(id) = &egg.clutch else { continue };
        if let Some(known) = shares.iter_mut().find(|share| share.clutch.id == *id) {
            known.eggs.push(egg);
        } else if let Some(clutch) = book.clutch(id) {
            shares.push(Share { clutch, eggs: vec![egg] });
        }
    }
    shares
}

/// The same of a filling in use; a nest that nobody counted is one share without eggs.
pub(super) fn shares_in<'a>(book: &'a Book, filling: &'a Filling, tray: &[&'a Egg]) -> Vec<Share<'a>> {
    let uncounted = book.uncounted(filling).map(|clutch| Share { clutch, eggs: Vec::new() });
    shares(book, tray).into_iter().chain(uncounted).collect()
}

pub(super) fn parts_of(book: &Book, id: &FillingId, now: NaiveDateTime) -> Vec<ClutchPart> {
    let tray = book.tray(id);
    let tray = if tray.is_empty() { book.eggs_ever_in(id) } else { tray };
    let part = |share: Share<'_>| {
        let Share { clutch, eggs } = &share;
        let noted = if eggs.is_empty() { Since::of_clutch(book, &clutch.id) } else { Since::noted(book, eggs) };
        let told = super::rounds::told_in(book, id, &clutch.id);
        let parents = parents(book, &clutch.id);
        let morph = parents.dams.first().and_then(|(dam, _)| book.animal(dam)?.morph.clone());
        ClutchPart {
            clutch: clutch.id.clone(),
            number: book.clutch_number(&clutch.id),
            species: book.clutch_profile(clutch),
            morph,
            parents,
            laid: noted.map(|noted| noted.when),
            laid_is_found: noted.is_some_and(|noted| noted.what == SinceWhat::Found),
            since: share.since(book, told.as_ref()),
            told,
            eggs: share.open(),
            window: super::rounds::window_in(book, id, &share, now),
        }
    };
    let Some(filling) = book.filling(id) else { return Vec::new() };
    shares_in(book, filling, &tray).into_iter().map(part).collect()
}

/// The clutch to be looked at first: the one with the earliest window among those with eggs still in.
pub(super) fn first_window(parts: &[ClutchPart]) -> Option<&ClutchPart> {
    let key = |part: &&ClutchPart| {
        let median = part.window.as_ref().ok().map(|window| window.first.median);
        (part.eggs == 0, median.is_none(), median)
    };
    parts.iter().min_by_key(key)
}
