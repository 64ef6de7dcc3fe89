//! What a reader looks for, and what that may cost.

use crate::symbol::{MAX_LABEL, ON_SCREENS};

/// Fixed modules looked at in one frame: of the codes that can be read, one in a hundred needs more.
const MOST_WORK: usize = 700_000;
/// The same for screens: their codes have more fixed modules.
const SCREEN_WORK: usize = 1_200_000;
/// Fit of the fixed modules as found below which a candidate is dropped at a glance.
const GLANCE: f32 = 0.08;

/// What is looked for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Labels: small, on anything round, dirty, and the same from frame to frame.
    Labels,
    /// What another device's screen shows: large, flat, and another one in the next frame.
    Screens,
}

impl Wanted {
    pub fn versions(self) -> Vec<usize> {
        match self {
            Wanted::Labels => (1..=MAX_LABEL).collect(),
            Wanted::Screens => ON_SCREENS.to_vec(),
        }
    }

    /// The most modules between two finders.
    pub fn span(self) -> f32 {
        match self {
            Wanted::Labels => 60.0,
            Wanted::Screens => 120.0,
        }
    }

    /// The fit at a glance below which a candidate is dropped. Of a large code seen at a slant hardly more than the
    /// finders fit as found.
    pub fn glance(self) -> f32 {
        match self {
            Wanted::Labels => GLANCE,
            Wanted::Screens => -0.1,
        }
    }

    pub fn work(self) -> usize {
        match self {
            Wanted::Labels => MOST_WORK,
            Wanted::Screens => SCREEN_WORK,
        }
    }
}
