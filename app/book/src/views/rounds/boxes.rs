//! What boxes in use ask for: eggs pipped, a window that is open, water, candling.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::heat::Ask;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::records::*;
use crate::views::box_warnings::PIP_HOURS;
use crate::views::boxes::{Share, shares_in};
use crate::views::parts::{Parents, parents};
use crate::views::since::Since;
use crate::views::water::next_water;
use crate::words::LaidAs;
use chrono::{NaiveDateTime, TimeDelta};
use std::rc::Rc;
use trade::told::Told;
use trade::water::BoxEvent;
use trade::when::When;
use trade::window::{Refusal, Stage, Window};

/// A box with an egg in it.
#[derive(Debug)]
pub(super) struct Boxed {
    filling: FillingId,
    parts: Vec<Part>,
    /// Eggs pipped or cut and not out, by letter, with when that was seen.
    waiting: Vec<(String, Option<When>)>,
    /// One has pipped or come out.
    hatching: bool,
}

/// What may make a row of a box; none for one that is emptied or holds no egg any more. A nest that nobody counted holds some.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct OfBox(pub(super) FillingId);

impl Question for OfBox {
    type Answer = Option<Boxed>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        Rc::new(book.filling(&self.0).and_then(|filling| Boxed::of(book, filling)))
    }
}

/// The window of a clutch's eggs in a box. Of a box in use by the question that is kept with it, which knows its last answer:
/// every page that shows the box asks at the same moments. It is let go of with the box.
pub(in crate::views) fn window_in(
    book: &Book,
    filling: &FillingId,
    share: &Share<'_>,
    now: NaiveDateTime,
) -> Result<Window, Refusal> {
    let kept = book.derived(&OfBox(filling.clone()));
    let part = kept.iter().flat_map(|boxed| &boxed.parts).find(|part| part.clutch == share.clutch.id);
    match part {
        Some(part) => book.window_at(part.ask.as_ref().map_err(Clone::clone)?, now),
        None => book.window_of(&share.eggs, now),
    }
}

/// When a clutch's eggs in a box were laid, where nobody saw it and candling tells. None once the box is done with.
pub(in crate::views) fn told_in(book: &Book, filling: &FillingId, clutch: &ClutchId) -> Option<Told> {
    let kept = book.derived(&OfBox(filling.clone()));
    let part = kept.iter().flat_map(|boxed| &boxed.parts).find(|part| part.clutch == *clutch)?;
    part.ask.as_ref().ok()?.told.clone()
}

/// What a box is called, and species and parents of one clutch in it: asked for once it makes a row.
#[derive(Clone, PartialEq, Eq, Hash)]
struct NamesOf {
    filling: FillingId,
    clutch: ClutchId,
}

impl Question for NamesOf {
    type Answer = (String, String);

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let about = book.clutch(&self.clutch).map(|clutch| about(book, clutch));
        same_or(before, (book.short_name(&self.filling.thing()), about.unwrap_or_default()))
    }
}

/// What happened to a box's mass: asked for once it is near its water day.
#[derive(Clone, PartialEq, Eq, Hash)]
struct WaterOf(FillingId);

impl Question for WaterOf {
    type Answer = Vec<(NaiveDateTime, BoxEvent)>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        Rc::new(book.water_events(&self.0))
    }
}

/// One clutch's share of a box.
#[derive(Debug)]
struct Part {
    clutch: ClutchId,
    since: Option<Since>,
    /// An egg of it has no fate yet.
    open: bool,
    ask: Result<Ask, Refusal>,
    /// From when on it wants candling, and whether for the first time.
    candle: Option<(NaiveDateTime, bool)>,
}

/// Days between later candlings: rarely (common practice, no source). None either once a box is four fifths developed.
const CANDLE_AGAIN_DAYS: i64 = 21;

impl Boxed {
    fn of(book: &Book, filling: &Filling) -> Option<Boxed> {
        let tray = if filling.to.is_some() { Vec::new() } else { book.tray(&filling.id) };
        if tray.iter().all(|egg| egg.fate.is_some()) && book.uncounted(filling).is_none() {
            return None;
        }
        let (mut waiting, mut hatching, mut good) = (Vec::new(), false, false);
        for egg in &tray {
            let steps = book.steps(&egg.id);
            let when = |step: Option<&Hatching>| step.and_then(|step| step.when);
            let seen = when(steps.pip).or(when(steps.cut));
            hatching |= when(steps.pip).or(when(steps.out)).is_some();
            if egg.fate.is_none() {
                good |= !matches!(egg.laid_as, Some(LaidAs::Slug | LaidAs::Dud));
                if seen.is_some() {
                    waiting.push((egg.letter.clone().unwrap_or_else(|| "?".to_owned()), seen));
                }
            }
        }
        let part = |share: Share<'_>| {
            let ask = share.ask(book, filling);
            let since = share.since(book, ask.as_ref().ok().and_then(|ask| ask.told.as_ref()));
            Part {
                clutch: share.clutch.id.clone(),
                since,
                open: share.open() > 0 || share.eggs.is_empty(),
                ask,
                candle: since
                    .filter(|_| good && !filling.is_nest())
                    .map(|since| candle(book, filling, share.clutch, since.when)),
            }
        };
        let parts = shares_in(book, filling, &tray).into_iter().map(part).collect();
        Some(Boxed { filling: filling.id.clone(), parts, waiting, hatching })
    }

    pub(super) fn dues(&self, dues: &mut Dues<'_>) {
        let (book, now) = (dues.book, dues.now);
        let windows = self.parts.iter().map(|part| {
            let window = part.ask.as_ref().ok().and_then(|ask| book.window_at(ask, now).ok());
            (part, window)
        });
        // The clutch to be looked at first: the one with the earliest window among those with eggs still in.
        let first = windows.min_by_key(|(part, window)| {
            let median = window.as_ref().map(|window| window.first.median);
            (!part.open, median.is_none(), median)
        });
        let Some((part, window)) = first else { return };
        let asks = Asks { boxed: self, part, window: window.as_ref() };
        asks.pipped(dues);
        let open = window.as_ref().filter(|w| matches!(w.stage, Stage::Open | Stage::Passed | Stage::Hatching));
        // Eggs still shut in a box that is hatching are looked at with the pipped ones, or on their own once those are
        // out.
        if let Some(window) = open.filter(|_| self.waiting.is_empty()) {
            let range = if self.hatching { window.last } else { window.first };
            let fact = Fact::LookTonight { stage: window.stage, likely: range.likely };
            asks.add(dues, DueKind::LookTonight, DueAct::Hatch, Some(window.unlooked.likely.0), fact);
        }
        if open.is_none() && !self.hatching {
            asks.water(dues);
            asks.candle(dues);
        }
    }
}

/// A box with the clutch in it that comes first.
struct Asks<'a> {
    boxed: &'a Boxed,
    part: &'a Part,
    window: Option<&'a Window>,
}

impl Asks<'_> {
    fn add(&self, dues: &mut Dues<'_>, kind: DueKind, act: DueAct, since: Option<NaiveDateTime>, fact: Fact) {
        let book = dues.book;
        let filling = &self.boxed.filling;
        let names = book.derived(&NamesOf { filling: filling.clone(), clutch: self.part.clutch.clone() });
        let (name, about) = &*names;
        if let Some(due) = dues.add_nameless(kind, filling.thing(), act, since, fact) {
            due.name.clone_from(name);
            due.about.clone_from(about);
            due.window = self.window.cloned();
            due.counts = self.part.since;
        }
    }

    fn pipped(&self, dues: &mut Dues<'_>) {
        let waiting = &self.boxed.waiting;
        if waiting.is_empty() {
            return;
        }
        let since = waiting.iter().filter_map(|(_, seen)| *seen).map(When::earliest).min();
        let hours = since.map_or(0, |since| (dues.now - since).num_hours().max(0));
        let letters = waiting.iter().map(|(letter, _)| letter.clone()).collect();
        let fact = Fact::PippedNotOut { letters, hours, long: hours >= PIP_HOURS };
        self.add(dues, DueKind::PippedNotOut, DueAct::Hatch, since, fact);
    }

    fn water(&self, dues: &mut Dues<'_>) {
        let (book, now) = (dues.book, dues.now);
        let Some(filling) = book.filling(&self.boxed.filling) else { return };
        let events = &*book.derived(&WaterOf(filling.id.clone()));
        let Some(next) = next_water(filling, events, self.window, now).filter(|next| *next <= now) else { return };
        let fact = Fact::Water {
            due: next,
            fill_to: trade::water::fill_to(events).ok().map(|fill_to| fill_to.mass),
            last: book.water_checks(&filling.id).next().and_then(|last| last.when),
        };
        self.add(dues, DueKind::Water, DueAct::Water, Some(next), fact);
    }

    /// None when late eggs are dark anyway.
    fn candle(&self, dues: &mut Dues<'_>) {
        let Some(((since, first), counts)) = self.part.candle.zip(self.part.since) else { return };
        let too_late = self.window.is_some_and(|w| {
            since > w.unlooked.likely.0 - TimeDelta::days(trade::water::QUIET_DAYS) || w.developed > 0.8
        });
        if dues.now >= since && !too_late {
            self.add(dues, DueKind::Candle, DueAct::Candle, Some(since), Fact::Candle { counts, first });
        }
    }
}

/// When a box wants candling next: the first time when it tells, later ones rarely; and whether it is the first.
fn candle(book: &Book, filling: &Filling, clutch: &Clutch, laid: When) -> (NaiveDateTime, bool) {
    let usual = book.clutch_profile(clutch).candle_days.0;
    let from = laid.middle() + TimeDelta::hours((usual * 24.0) as i64);
    let candlings = book.candlings(&filling.id);
    let telling = candlings.filter_map(|candling| candling.when).map(When::latest).find(|&at| at >= from);
    match telling {
        None => (from, true),
        Some(last) => (last + TimeDelta::days(CANDLE_AGAIN_DAYS), false),
    }
}

/// Species and parents of a clutch.
pub(super) fn about(book: &Book, clutch: &Clutch) -> String {
    let about = format!("{} {}", book.clutch_profile(clutch).short, cross(&parents(book, &clutch.id)));
    about.trim().to_owned()
}

fn cross(parents: &Parents) -> String {
    match (parents.dam_names().join(" / "), parents.sire_names().join(" / ")) {
        (dams, sires) if dams.is_empty() && sires.is_empty() => String::new(),
        (dams, sires) => {
            let or_unknown = |text: String| if text.is_empty() { "?".to_owned() } else { text };
            format!("{} × {}", or_unknown(dams), or_unknown(sires))
        }
    }
}
