//! What pages show, derived from the book: facts, names and numbers, in order; the words are the pages'.

mod ahead;
mod animal;
mod babies;
mod behind;
mod box_lines;
mod box_warnings;
mod boxes;
mod breeding;
mod care;
mod cleaning;
mod clutch;
mod cooling;
mod daybook;
mod doubled;
mod genes;
mod heat;
mod her_season;
mod labels;
mod males;
mod meals;
mod measures;
mod money;
mod pairing;
mod parts;
mod photos;
mod place;
mod placing;
mod quarantine;
mod rounds;
mod search;
mod season;
mod since;
mod sum;
mod wall;
mod water;
mod whereabouts;

pub use ahead::{CalendarRow, CalendarWhat, Coming, ahead, calendar_rows};
pub use animal::{AnimalView, ClutchLine, EventLine, MealLine, NextStep, PairingLine, animal_view, next_steps};
pub use babies::{BabyRow, BabyState, Concern, FedLine, Feeding, baby_row, baby_rows, feeding, is_young};
pub use behind::{
    Behind, BehindRow, By, DaysLine, DaysPoint, Figure, LookBack, LossRow, MEAL_WITHIN, Of, Whose, days_lines, losses,
};
pub use boxes::{
    BoxCounts, BoxRow, BoxView, BoxWarning, CandlingLine, Change, ClutchPart, HatchLine, LabelLine, Nest, NoteLine,
    box_rows, box_view, nests_with,
};
pub use breeding::{
    Again, BreederRow, Breeders, Breeding, PastRecord, breeder, breeders, breeding, may_go_again, past_record,
};
pub use care::{DoseLine, TreatmentRow, TreatmentView, treatment_rows, treatment_view, treatments_of};
pub(crate) use care::{as_noted, being_treated, filled, goes_on, noted, ordered, same_order};
pub use cleaning::{CleaningLine, CleaningView, NextCleaning, TubLine, cleaning_view, tub_of};
pub use clutch::{ClutchView, ClutchWarning, EggLine, clutch_view};
pub use cooling::{
    Cold, CoolingGroup, CoolingRow, CoolingStage, CoolingTold, CoolingView, cold_at, cooling_groups, cooling_told,
    cooling_view, warming,
};
pub use daybook::{DayLine, describe, named, undone};
pub use doubled::{Doubled, Twin, doubled};
pub use genes::*;
pub use heat::{HeatDay, HeatPlot, SHELF_DAYS, box_plot, males_of_box, shelf_plot, species_rows};
pub use her_season::{After, Basis, ExpectedStep, Finding, HerSeason, SeasonStep, SeenStep};
pub use labels::{LabelChange, LyingLabel, has_label, lying_labels};
pub use males::{HerMale, NoMaleSince, her_males, no_male_since};
pub use measures::{EggSize, Measures, Others, Weighed, measures};
pub use money::{Owed, SaleRow, YearOfCosts, costs, for_sale, kinds_of_cost, owed_by, years_of};
pub use pairing::{DamLine, LockLine, PairingRow, PairingView, due_dams, pairing_rows, pairing_view};
pub use parts::{Parents, TrayEgg, TrayState, hatching_tray, parents, tray_eggs};
pub use photos::{Face, PhotoLine, PhotoSeason, face_of, photo_season, photos_of};
pub use place::{LogLine, PlaceRow, PlaceView, ReadLine, place_rows, place_view};
pub use placing::{HoldRow, Papers, Parent, WishRow, hold_rows, papers, wish_rows};
pub use quarantine::{QuarantineRow, quarantine_rows, quarantine_view};
pub(crate) use quarantine::{is_open, open_quarantines};
pub use rounds::{CoolingStep, Due, DueAct, DueKind, Fact, rounds, walk};
pub use search::{Hit, hit_of, search};
pub use season::{
    Begins, Choices, Drawn, Frees, Gathered, NeedRow, NeedWhat, Needs, Pace, Scope, Season, ShelfRow, Source,
    WeighedWish, WhatIf, gather, needs, shelf_key, weighed_wishes,
};
pub use since::{Since, SinceWhat};
pub use sum::{Sum, sum_of};
pub use wall::{WallPart, WallSpot, wall};
pub use water::{CheckLine, WaterView, water_view};
pub use whereabouts::{Bay, Spot, bays, is_tub, next_tub};
