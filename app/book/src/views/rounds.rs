//! Rounds: what wants looking at now, most urgent first, in walking order within a kind.

use super::animal::{NextStep, next_steps};
use super::box_lines::counts;
use super::box_warnings::PIP_HOURS;
use super::boxes::{first_window, parts_of};
use super::parts::tray_egg;
use super::water::water_view;
use crate::book::Book;
use crate::ids::*;
use crate::lay::Lays;
use crate::words::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::{BTreeMap, BTreeSet};
use trade::lay::Sign;
use trade::units::{Mass, Temp};
use trade::when::When;
use trade::window::{Stage, Window};

/// Why something wants looking at, in order of urgency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DueKind {
    PippedNotOut,
    /// A female straining, or overdue.
    Female,
    Temperature,
    /// Eggs found and in no box yet.
    ToBox,
    /// A gravid female whose eggs may come any day.
    LayDue,
    LookTonight,
    Water,
    Candle,
    /// A pre-lay shed was seen and no lay box put in since.
    LayBox,
    Feeding,
    /// A baby that has eaten nothing for long, or lost weight.
    NotEating,
    /// A rack was fed; who refused has not been marked.
    Refusers,
    FeedRack,
    FirstShed,
    /// Somebody's animal is to be fetched, or its hold runs out.
    Hold,
    /// Young that may leave by the barn's own rule.
    Ready,
    /// A wish that a ready animal could answer.
    Wish,
    Clash,
    /// After a merge: one thing recorded twice, or in two places.
    Doubled,
    /// Acts known to exist that are not here.
    MissingActs,
}

impl DueKind {
    /// The word a put-off row is kept under, and a calendar's entry; frozen.
    fn word(self) -> &'static str {
        match self {
            DueKind::PippedNotOut => "pipped",
            DueKind::Female => "female",
            DueKind::Temperature => "temperature",
            DueKind::ToBox => "to_box",
            DueKind::LayDue => "lay_due",
            DueKind::LookTonight => "look",
            DueKind::Water => "water",
            DueKind::Candle => "candle",
            DueKind::LayBox => "lay_box",
            DueKind::Feeding => "feeding",
            DueKind::NotEating => "not_eating",
            DueKind::Refusers => "refusers",
            DueKind::FeedRack => "feed_rack",
            DueKind::FirstShed => "first_shed",
            DueKind::Hold => "hold",
            DueKind::Ready => "ready",
            DueKind::Wish => "wish",
            DueKind::Clash => "clash",
            DueKind::Doubled => "doubled",
            DueKind::MissingActs => "missing",
        }
    }

    /// Whether a row of this kind may be put off: what may cost a life may not.
    pub fn can_wait(self) -> bool {
        !matches!(
            self,
            DueKind::PippedNotOut | DueKind::Female | DueKind::Temperature | DueKind::Clash | DueKind::MissingActs
        )
    }
}

/// One row of Rounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    pub kind: DueKind,
    /// What to open.
    pub thing: Thing,
    /// What it is called.
    pub name: String,
    /// Species' short form and parents, where there are some.
    pub about: String,
    /// Where it is, outermost first.
    pub path: Vec<String>,
    /// Since when it is due; for sorting and "2 days late".
    pub since: Option<NaiveDateTime>,
    pub fact: Fact,
    /// The act one tap away.
    pub act: DueAct,
    /// Of a box: what its taper needs.
    pub window: Option<Window>,
    pub day: Option<i64>,
}

impl Due {
    /// What this row is put off under: what is due, and of which thing.
    pub fn row(&self) -> SnoozeId {
        SnoozeId::new(format!("{}.{}", self.kind.word(), self.thing))
    }
}

/// What there is to say of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Eggs pipped or cut and not out; hours since the first of them.
    PippedNotOut {
        letters: Vec<String>,
        hours: i64,
        long: bool,
    },
    Straining {
        since: When,
    },
    Overdue {
        due: NaiveDate,
        days: i64,
    },
    /// A reading off the set temperature, or beyond what a species in there tolerates.
    Temperature {
        read: Temp,
        set: Option<Temp>,
        at: Option<When>,
    },
    ToBox {
        found: Option<When>,
        eggs: Option<u32>,
    },
    /// The look-from date has come.
    LookTonight {
        stage: Stage,
        likely: (NaiveDateTime, NaiveDateTime),
    },
    Water {
        due: NaiveDateTime,
        fill_to: Option<Mass>,
        last: Option<When>,
    },
    LayDue {
        sign: Sign,
        from: NaiveDate,
        to: NaiveDate,
        own: u32,
    },
    LayBox {
        shed: When,
        from: NaiveDate,
        to: NaiveDate,
    },
    /// Day since laid; the first candling or a later one.
    Candle {
        day: i64,
        first: bool,
    },
    /// Meals refused in a row, and when one was last eaten.
    Feeding {
        refused: u32,
        eaten: Option<When>,
    },
    /// Days since it hatched.
    ShedLate {
        day: i64,
    },
    NoMeal {
        day: i64,
        refused: u32,
    },
    /// Percent of its greatest mass.
    Lost {
        pct: i64,
    },
    /// Young of this rack due a meal.
    FeedRack {
        due: u32,
    },
    Refusers {
        fed: When,
        given: u32,
    },
    Hold {
        until: NaiveDate,
        /// None: the barn's own.
        mark: Option<String>,
    },
    Ready {
        ready: u32,
    },
    /// Ready animals that would fit.
    Wish {
        ready: usize,
    },
    /// Fields that clash.
    Clash {
        fields: Vec<String>,
    },
    Doubled {
        count: u32,
    },
    MissingActs {
        count: u32,
    },
}

/// Where a row leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DueAct {
    Hatch,
    Open,
    Reading,
    Pull,
    /// Eggs found under her.
    Found,
    Candle,
    Water,
    LayBox,
    Feed,
    FeedRack,
    /// A shed seen today.
    Shed,
    Place,
    Young,
    Wishes,
    Settle,
    Mend,
    Bundles,
}

/// Everything that wants looking at, but for what was put off. Cost: one window a box, shelves summed up once.
pub fn rounds(book: &Book, now: NaiveDateTime) -> Vec<Due> {
    let mut due = all(book, now);
    due.retain(|due| !waits(book, due, now));
    due
}

/// What was put off and is due all the same, with the day on which it is shown again.
pub fn put_off(book: &Book, now: NaiveDateTime) -> Vec<(Due, NaiveDate)> {
    if !book.snoozes_after(now.date()) {
        return Vec::new();
    }
    let mut due = all(book, now);
    due.retain(|due| waits(book, due, now));
    due.into_iter().filter_map(|due| book.snoozed(&due.row()).map(|until| (due, until))).collect()
}

fn waits(book: &Book, due: &Due, now: NaiveDateTime) -> bool {
    due.kind.can_wait() && book.snoozed(&due.row()).is_some_and(|until| until > now.date())
}

pub(super) fn all(book: &Book, now: NaiveDateTime) -> Vec<Due> {
    let mut due = Vec::new();
    for filling in book.open_fillings() {
        box_dues(book, &filling.id, now, &mut due);
    }
    let mut lays = Lays::default();
    for animal in book.animals() {
        animal_dues(book, &animal.id, now, &mut lays, &mut due);
    }
    clutch_dues(book, &mut due);
    super::rounds_young::young_dues(book, now, &mut due);
    place_dues(book, now, &mut due);
    clash_dues(book, &mut due);
    let walk: BTreeMap<PlaceId, usize> =
        book.places().into_iter().enumerate().map(|(i, place)| (place.id.clone(), i)).collect();
    crate::order::sort(&mut due, |due| {
        let at = match due.thing.kind {
            Kind::Place => Some(PlaceId::new(due.thing.id.as_str())),
            _ => book.place_of(&due.thing).map(|place| place.id.clone()),
        };
        (
            due.kind,
            at.and_then(|at| walk.get(&at)).copied().unwrap_or(usize::MAX),
            due.since,
            due.name.clone(),
            due.thing.clone(),
        )
    });
    due
}

pub(super) fn row(book: &Book, kind: DueKind, thing: Thing, act: DueAct, fact: Fact) -> Due {
    let place = match thing.kind {
        Kind::Place => book.place(&thing.id.as_str().into()),
        _ => book.place_of(&thing),
    };
    Due {
        kind,
        name: book.short_name(&thing),
        about: String::new(),
        path: place.map(|place| book.path_names(&place.id)).unwrap_or_default(),
        since: None,
        fact,
        act,
        window: None,
        day: None,
        thing,
    }
}

/// Days between later candlings: rarely (common practice).
const CANDLE_AGAIN_DAYS: i64 = 21;

fn box_dues(book: &Book, id: &FillingId, now: NaiveDateTime, dues: &mut Vec<Due>) {
    let eggs: Vec<_> = book.tray(id).into_iter().map(|egg| tray_egg(book, egg)).collect();
    if !eggs.iter().any(|egg| egg.is_in) {
        return;
    }
    let parts = parts_of(book, id, now);
    let Some(part) = first_window(&parts) else { return };
    let window = part.window.as_ref().ok();
    let about = format!("{} {}", part.species.short, cross(&part.parents));
    let mut add = |kind, act, since: Option<NaiveDateTime>, fact| {
        dues.push(Due {
            since,
            about: about.trim().to_owned(),
            window: window.cloned(),
            day: part.day,
            ..row(book, kind, id.thing(), act, fact)
        });
    };
    let waiting: Vec<_> = eggs.iter().filter(|egg| egg.is_in && (egg.pipped.is_some() || egg.cut.is_some())).collect();
    if !waiting.is_empty() {
        let since = waiting.iter().filter_map(|egg| egg.pipped.or(egg.cut)).map(When::earliest).min();
        let hours = since.map_or(0, |since| (now - since).num_hours().max(0));
        let letters = waiting.iter().map(|egg| egg.letter.clone()).collect();
        let fact = Fact::PippedNotOut { letters, hours, long: hours >= PIP_HOURS };
        add(DueKind::PippedNotOut, DueAct::Hatch, since, fact);
    }
    let open = window.filter(|window| matches!(window.stage, Stage::Open | Stage::Passed | Stage::Hatching));
    let hatching = eggs.iter().any(|egg| egg.pipped.is_some() || egg.out.is_some());
    // Eggs still shut in a box that is hatching are looked at with the pipped ones, or on their own once those are out.
    if let Some(window) = open.filter(|_| waiting.is_empty()) {
        let range = if hatching { window.last } else { window.first };
        let fact = Fact::LookTonight { stage: window.stage, likely: range.likely };
        add(DueKind::LookTonight, DueAct::Hatch, Some(window.unlooked.likely.0), fact);
    }
    if open.is_some() || hatching {
        return;
    }
    if let Some(water) = water_view(book, id, window, now)
        && let Some(next) = water.next.filter(|next| *next <= now)
    {
        let fact = Fact::Water {
            due: next,
            fill_to: water.fill_to.map(|fill_to| fill_to.mass),
            last: water.last.and_then(|last| last.when),
        };
        add(DueKind::Water, DueAct::Water, Some(next), fact);
    }
    if let Some((since, first)) = candle_due(book, id, part.laid, part.species.candle_days, window, now)
        && counts(&eggs).good > 0
    {
        add(DueKind::Candle, DueAct::Candle, Some(since), Fact::Candle { day: part.day.unwrap_or(0), first });
    }
}

/// When a candling is due: the first when it tells, later ones rarely, none when late eggs are dark anyway.
fn candle_due(
    book: &Book,
    id: &FillingId,
    laid: Option<When>,
    usual: (f64, f64),
    window: Option<&Window>,
    now: NaiveDateTime,
) -> Option<(NaiveDateTime, bool)> {
    let laid = laid?.middle();
    let from = laid + TimeDelta::hours((usual.0 * 24.0) as i64);
    let telling = book.candlings(id).filter_map(|candling| candling.when).map(When::latest).find(|&at| at >= from);
    let (since, first) = match telling {
        None => (from, true),
        Some(last) => (last + TimeDelta::days(CANDLE_AGAIN_DAYS), false),
    };
    let too_late = window
        .is_some_and(|w| since > w.unlooked.likely.0 - TimeDelta::days(trade::water::QUIET_DAYS) || w.developed > 0.8);
    (now >= since && !too_late).then_some((since, first))
}

fn cross(parents: &super::parts::Parents) -> String {
    let names = |side: &[(AnimalId, String)]| side.iter().map(|(_, name)| name.clone()).collect::<Vec<_>>().join(" / ");
    match (names(&parents.dams), names(&parents.sires)) {
        (dams, sires) if dams.is_empty() && sires.is_empty() => String::new(),
        (dams, sires) => {
            let or_unknown = |text: String| if text.is_empty() { "?".to_owned() } else { text };
            format!("{} × {}", or_unknown(dams), or_unknown(sires))
        }
    }
}

fn lay_box_in(book: &Book, id: &AnimalId, shed: When) -> bool {
    let mut boxes = book.animal_events(id).filter(|event| event.what == Some(AnimalEventWhat::LayBox));
    // The box may have gone in some days before the shed was seen.
    boxes.any(|event| event.when.is_some_and(|when| when.latest() >= shed.earliest() - TimeDelta::days(14)))
}

/// Refused this often since the last meal eaten, an animal is shown (common practice, no source).
const REFUSED: usize = 3;

fn animal_dues(book: &Book, id: &AnimalId, now: NaiveDateTime, lays: &mut Lays, dues: &mut Vec<Due>) {
    let species = || book.species_of(book.animal(id).and_then(|animal| animal.species.as_deref())).short.into_owned();
    // Whoever hatched this year does not lay; most of a barn's animals are such.
    let young = book.animal(id).is_some_and(|animal| super::is_young(animal, now.date()));
    let steps = if young { Vec::new() } else { next_steps(book, id, now, lays) };
    for step in steps {
        let (kind, act, since, fact) = match step {
            NextStep::Straining { since } => {
                (DueKind::Female, DueAct::Open, since.earliest(), Fact::Straining { since })
            }
            NextStep::Overdue { due, days, .. } => {
                (DueKind::Female, DueAct::Open, due.and_time(chrono::NaiveTime::MIN), Fact::Overdue { due, days })
            }
            NextStep::EggsDue { sign: Sign::PreLayShed, seen: shed, from, to, .. } if !lay_box_in(book, id, shed) => {
                (DueKind::LayBox, DueAct::LayBox, shed.earliest(), Fact::LayBox { shed, from, to })
            }
            NextStep::EggsDue { sign, from, to, own, open: true, .. } if sign.is_gravid() => {
                let since = from.and_time(chrono::NaiveTime::MIN);
                (DueKind::LayDue, DueAct::Found, since, Fact::LayDue { sign, from, to, own })
            }
            NextStep::EggsDue { .. } | NextStep::EggsToBox { .. } | NextStep::Gone { .. } => continue,
        };
        dues.push(Due { since: Some(since), about: species(), ..row(book, kind, id.thing(), act, fact) });
    }
    // Back to the last one eaten and no further: an animal has hundreds of meals behind it.
    let mut known = Vec::new();
    let mut refused = 0;
    for meal in book.meals(id).filter(|meal| meal.outcome.is_some()) {
        known.push(meal);
        if meal.outcome == Some(MealOutcome::Eaten) {
            break;
        }
        refused += 1;
    }
    // The season's pause of a gravid or brumating animal is no alarm; a run of refusals of late is worth a look.
    let lately = known.first().and_then(|meal| meal.offered).is_some_and(|at| now - at.latest() < TimeDelta::days(21));
    // A hatchling may take its time; a row of its own says when it is too long.
    let hatchling = known.get(refused).is_none() && young;
    if refused >= REFUSED && lately && !hatchling {
        let eaten = known.get(refused).and_then(|meal| meal.offered);
        let fact = Fact::Feeding { refused: u32::try_from(refused).unwrap_or(u32::MAX), eaten };
        let row = row(book, DueKind::Feeding, id.thing(), DueAct::Feed, fact);
        let since = known.get(refused - 1).and_then(|meal| meal.offered).map(When::earliest);
        dues.push(Due { since, about: species(), ..row });
    }
}

fn clutch_dues(book: &Book, dues: &mut Vec<Due>) {
    let mut done: BTreeSet<&ClutchId> = BTreeSet::new();
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        if joined.first().is_some_and(|first| !done.insert(&first.id)) {
            continue;
        }
        let eggs: Vec<_> = joined.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
        let unboxed = eggs
            .iter()
            .filter(|egg| egg.fate.is_none() && !matches!(book.whereabouts(&egg.id.thing()), Some(Where::Filling(_))))
            .count();
        if eggs.is_empty() || unboxed > 0 {
            let eggs = (!eggs.is_empty()).then(|| u32::try_from(unboxed).unwrap_or(u32::MAX));
            let found = clutch.found.or(clutch.laid);
            let row = row(book, DueKind::ToBox, clutch.id.thing(), DueAct::Pull, Fact::ToBox { found, eggs });
            let about =
                format!("{} {}", book.clutch_profile(clutch).short, cross(&super::parts::parents(book, &clutch.id)));
            dues.push(Due { since: found.map(When::earliest), about: about.trim().to_owned(), ..row });
        }
    }
}

/// A reading this far off its set temperature is a fault (common practice, no source): 1.5 °C.
const OFF_CC: i32 = 150;
/// A reading older than this says nothing of now.
const READING_HOURS: i64 = 36;

fn place_dues(book: &Book, now: NaiveDateTime, dues: &mut Vec<Due>) {
    for place in book.places() {
        if place.closed || !matches!(place.what, Some(PlaceWhat::Incubator | PlaceWhat::Shelf)) {
            continue;
        }
        let Some(last) = book.last_readings(&place.id, 1).pop() else { continue };
        let set = book.set_temp(&place.id);
        let offset = book.offset(&place.id);
        let off = set.is_some_and(|set| (last.temp.0.saturating_add(offset.0) - set.0).abs() > OFF_CC);
        if off && now - last.at < TimeDelta::hours(READING_HOURS) {
            let fact = Fact::Temperature { read: last.temp, set, at: Some(When::time(last.at)) };
            let row = row(book, DueKind::Temperature, place.id.thing(), DueAct::Reading, fact);
            dues.push(Due { since: Some(last.at), ..row });
        }
    }
}

fn clash_dues(book: &Book, dues: &mut Vec<Due>) {
    let mut fields: BTreeMap<Thing, Vec<String>> = BTreeMap::new();
    for clash in book.journal().clashes() {
        if let Some(kind) = Kind::of(&clash.key.kind) {
            fields.entry(Thing::new(kind, &*clash.key.id)).or_default().push(clash.field.to_owned());
        }
    }
    for (thing, fields) in fields {
        dues.push(row(book, DueKind::Clash, thing, DueAct::Settle, Fact::Clash { fields }));
    }
    let doubled = u32::try_from(super::doubled::doubled(book).len()).unwrap_or(u32::MAX);
    if doubled > 0 {
        let thing = Thing::new(Kind::Clutch, "");
        let row = row(book, DueKind::Doubled, thing, DueAct::Mend, Fact::Doubled { count: doubled });
        dues.push(Due { name: String::new(), ..row });
    }
    let missing: u32 = book.journal().missing().map(|chain| chain.missing).fold(0, u32::saturating_add);
    if missing > 0 {
        // No thing of the barn's is missing, but acts; the row leads to the bundles.
        let thing = Thing::new(Kind::Person, "");
        dues.push(Due {
            name: String::new(),
            ..row(book, DueKind::MissingActs, thing, DueAct::Bundles, Fact::MissingActs { count: missing })
        });
    }
}
