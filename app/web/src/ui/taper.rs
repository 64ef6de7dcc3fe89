//! The taper: a slim candle that burns down from lay to the end of the hatch window, the likely days a warm
//! band near its foot, today the flame. The page says the same in words beside it.

use super::strip::decimal;
use leptos::prelude::*;

/// Where today and the likely days lie between laying (0) and the end of the outer window (1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burn {
    pub now: f64,
    pub likely: Option<(f64, f64)>,
}

impl Burn {
    /// From days since laying: today, likely first and last, outer last.
    pub fn of_days(today: f64, likely: Option<(f64, f64)>, end: f64) -> Self {
        let share = |d: f64| (d / end.max(1.0)).clamp(0.0, 1.0);
        Self { now: share(today), likely: likely.map(|(a, b)| (share(a), share(b))) }
    }
}

const TOP: f64 = 26.0;
const FOOT: f64 = 122.0;

#[component]
pub fn Taper(
    burn: Burn,
    /// Height in pixels; the width follows.
    #[prop(default = 56)]
    height: u32,
) -> impl IntoView {
    let y = |share: f64| TOP + (FOOT - TOP) * share;
    let said = |length: f64| decimal(length, 1);
    let flame = y(burn.now);
    let band = burn.likely.map(|(from, to)| (said(y(from)), said((y(to) - y(from)).max(5.0))));
    let flicker = format!("translate(30 {})", said(flame - 1.0));
    view! {
        <svg class="taper" viewBox="0 0 60 130" height=height width=height * 60 / 130 aria-hidden="true">
            <rect class="spent" x="20" y=said(TOP) width="20" height=said(FOOT - TOP) rx="4" />
            <rect class="wax" x="20" y=said(flame) width="20" height=said((FOOT - flame).max(0.0)) rx="3" />
            {band.map(|(top, tall)| view! { <rect class="window" x="9" y=top width="42" height=tall rx="2.5" /> })}
            <path class="flame" d="M0 -20 C8 -10 9 -6 9 -2 A9 9 0 0 1 -9 -2 C-9 -6 -6 -11 0 -20 Z"
                transform=flicker />
            <line class="foot" x1="6" y1=said(FOOT + 2.5) x2="54" y2=said(FOOT + 2.5) />
        </svg>
    }
}
