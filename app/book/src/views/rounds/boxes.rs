//! What boxes in use ask for: eggs pipped, a window that is open, water, candling.

use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::heat::Ask;
use crate::ids::*;
use crate::records::*;
use crate::views::box_warnings::PIP_HOURS;
use crate::views::boxes::{Share, shares};
use crate::views::parts::{Parents, parents};
use crate::views::water::next_water;
use crate::words::LaidAs;
use chrono::{NaiveDateTime, TimeDelta};
use std::cell::OnceCell;
use trade::water::BoxEvent;
use trade::when::When;
use trade::window::{Refusal, Stage, Window};

/// A box with an egg in it.
pub(super) struct Boxed<'a> {
    filling: &'a Filling,
    shares: Vec<(Share<'a>, Result<Ask<'a>, Refusal>)>,
    /// Eggs pipped or cut and not out, by letter, with when that was seen.
    waiting: Vec<(&'a str, Option<When>)>,
    /// One has pipped or come out.
    hatching: bool,
    /// Good eggs without a fate.
    good: bool,
    water: OnceCell<Vec<(NaiveDateTime, BoxEvent)>>,
}

/// Days between later candlings: rarely (common practice, no source). None either once a box is four fifths developed.
const CANDLE_AGAIN_DAYS: i64 = 21;

impl<'a> Boxed<'a> {
    /// `None` for one that is emptied or holds no egg any more.
    pub(super) fn of(book: &'a Book, filling: &'a Filling) -> Option<Boxed<'a>> {
        let tray = if filling.to.is_some() { Vec::new() } else { book.tray(&filling.id) };
        if tray.iter().all(|egg| egg.fate.is_some()) {
            return None;
        }
        let shares = shares(book, &tray).into_iter().map(|share| {
            let ask = book.ask(&share.eggs);
            (share, ask)
        });
        let shares: Vec<_> = shares.collect();
        let (mut waiting, mut hatching, mut good) = (Vec::new(), false, false);
        for egg in tray {
            let steps = book.steps(&egg.id);
            let when = |step: Option<&Hatching>| step.and_then(|step| step.when);
            let seen = when(steps.pip).or(when(steps.cut));
            hatching |= when(steps.pip).or(when(steps.out)).is_some();
            if egg.fate.is_none() {
                good |= !matches!(egg.laid_as, Some(LaidAs::Slug | LaidAs::Dud));
                if seen.is_some() {
                    waiting.push((egg.letter.as_deref().unwrap_or("?"), seen));
                }
            }
        }
        Some(Boxed { filling, shares, waiting, hatching, good, water: OnceCell::new() })
    }

    pub(super) fn dues(&self, dues: &mut Dues<'_>) {
        let (book, now) = (dues.book, dues.now);
        let windows = self.shares.iter().map(|(share, ask)| {
            let window = ask.as_ref().ok().and_then(|ask| book.window_at(ask, now).ok());
            (share, window)
        });
        // The clutch to be looked at first: the one with the earliest window among those with eggs still in.
        let first = windows.min_by_key(|(share, window)| {
            let median = window.as_ref().map(|window| window.first.median);
            (share.open() == 0, median.is_none(), median)
        });
        let Some((share, window)) = first else { return };
        let asks = Asks { boxed: self, share, window: window.as_ref() };
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
struct Asks<'b, 'a> {
    boxed: &'b Boxed<'a>,
    share: &'b Share<'a>,
    window: Option<&'b Window>,
}

impl Asks<'_, '_> {
    fn add(&self, dues: &mut Dues<'_>, kind: DueKind, act: DueAct, since: Option<NaiveDateTime>, fact: Fact) {
        let (book, now) = (dues.book, dues.now);
        if let Some(due) = dues.add(kind, self.boxed.filling.id.thing(), act, since, fact) {
            due.about = about(book, self.share.clutch);
            due.window = self.window.cloned();
            due.day = self.day(book, now);
        }
    }

    fn day(&self, book: &Book, now: NaiveDateTime) -> Option<i64> {
        self.share.laid(book).map(|laid| (now.date() - laid.date()).num_days())
    }

    fn pipped(&self, dues: &mut Dues<'_>) {
        let waiting = &self.boxed.waiting;
        if waiting.is_empty() {
            return;
        }
        let since = waiting.iter().filter_map(|(_, seen)| *seen).map(When::earliest).min();
        let hours = since.map_or(0, |since| (dues.now - since).num_hours().max(0));
        let letters = waiting.iter().map(|(letter, _)| (*letter).to_owned()).collect();
        let fact = Fact::PippedNotOut { letters, hours, long: hours >= PIP_HOURS };
        self.add(dues, DueKind::PippedNotOut, DueAct::Hatch, since, fact);
    }

    fn water(&self, dues: &mut Dues<'_>) {
        let (book, now, filling) = (dues.book, dues.now, self.boxed.filling);
        let events = self.boxed.water.get_or_init(|| book.water_events(&filling.id));
        let Some(next) = next_water(filling, events, self.window, now).filter(|next| *next <= now) else { return };
        let fact = Fact::Water {
            due: next,
            fill_to: trade::water::fill_to(events).ok().map(|fill_to| fill_to.mass),
            last: book.water_checks(&filling.id).next().and_then(|last| last.when),
        };
        self.add(dues, DueKind::Water, DueAct::Water, Some(next), fact);
    }

    /// The first when it tells, later ones rarely, none when late eggs are dark anyway.
    fn candle(&self, dues: &mut Dues<'_>) {
        let (book, now) = (dues.book, dues.now);
        let Some(laid) = self.share.laid(book).filter(|_| self.boxed.good) else { return };
        let usual = book.clutch_profile(self.share.clutch).candle_days.0;
        let from = laid.middle() + TimeDelta::hours((usual * 24.0) as i64);
        let candlings = book.candlings(&self.boxed.filling.id);
        let telling = candlings.filter_map(|candling| candling.when).map(When::latest).find(|&at| at >= from);
        let (since, first) = match telling {
            None => (from, true),
            Some(last) => (last + TimeDelta::days(CANDLE_AGAIN_DAYS), false),
        };
        let too_late = self.window.is_some_and(|w| {
            since > w.unlooked.likely.0 - TimeDelta::days(trade::water::QUIET_DAYS) || w.developed > 0.8
        });
        if now >= since && !too_late {
            let day = self.day(book, now).unwrap_or(0);
            self.add(dues, DueKind::Candle, DueAct::Candle, Some(since), Fact::Candle { day, first });
        }
    }
}

/// Species and parents of a clutch.
pub(super) fn about(book: &Book, clutch: &Clutch) -> String {
    let about = format!("{} {}", book.clutch_profile(clutch).short, cross(&parents(book, &clutch.id)));
    about.trim().to_owned()
}

fn cross(parents: &Parents) -> String {
    let names = |side: &[(AnimalId, String)]| side.iter().map(|(_, name)| name.clone()).collect::<Vec<_>>().join(" / ");
    match (names(&parents.dams), names(&parents.sires)) {
        (dams, sires) if dams.is_empty() && sires.is_empty() => String::new(),
        (dams, sires) => {
            let or_unknown = |text: String| if text.is_empty() { "?".to_owned() } else { text };
            format!("{} × {}", or_unknown(dams), or_unknown(sires))
        }
    }
}
