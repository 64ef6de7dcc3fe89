//! When eggs were laid: today, yesterday, a day, between two days, or nobody saw it.

use crate::entry::Gather;
use chrono::NaiveDate;
use trade::when::{Point, When};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    Today,
    Yesterday,
    Day,
    Span,
    /// Nobody saw it: the day of finding is all that is known.
    Unseen,
}

/// What stands in the field; the two days as a date field gives them.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    pub today: NaiveDate,
    pub how: How,
    pub from: String,
    pub to: String,
}

/// Names of its fields.
pub const ON: &str = "Laid on";
pub const FROM: &str = "From";
pub const TO: &str = "To";

impl Laid {
    pub fn new(laid: Option<When>, today: NaiveDate) -> Laid {
        let (how, from, to) = match laid {
            None => (How::Unseen, today, today),
            Some(When::Span(a, b)) if a.date() != b.date() => (How::Span, a.date(), b.date()),
            Some(w) if w.date() == today => (How::Today, today, today),
            Some(w) if today.pred_opt() == Some(w.date()) => (How::Yesterday, w.date(), today),
            Some(w) => (How::Day, w.date(), today),
        };
        Laid { today, how, from: from.to_string(), to: to.to_string() }
    }

    /// `None` where nobody saw it; and where a day is wanting, which is noted.
    pub fn take(&self, gather: &mut Gather) -> Option<When> {
        let mut day = |name: &str, typed: &str| gather.need_day(name, typed, Some(self.today));
        match self.how {
            How::Today => Some(When::day(self.today)),
            How::Yesterday => Some(When::day(self.today.pred_opt().unwrap_or(self.today))),
            How::Day => day(ON, &self.from).map(When::day),
            How::Span => {
                let (from, to) = (day(FROM, &self.from), day(TO, &self.to));
                Some(When::span(Point::Day(from?), Point::Day(to?)))
            }
            How::Unseen => None,
        }
    }
}
