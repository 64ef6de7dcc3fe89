//! What is wanting before an animal breeds, in words: the same on pages and in questions.

use super::Shown;
use chrono::NaiveDate;
use trade::breeders::Lack;
use trade::cooling::Wants;

/// What it still wants after its cooling: `warmth until 1 Mar, 2 more meals, one more shed`. `day`: how a day is written.
pub fn still_wants(wants: &[Wants], day: &dyn Fn(NaiveDate) -> String) -> String {
    let more =
        |n: u32, one: &str, many: &str| if n == 1 { format!("one more {one}") } else { format!("{n} more {many}") };
    let said = |wants: &Wants| match wants {
        Wants::Days { until } => format!("warmth until {}", day(*until)),
        Wants::Meals { taken, of } => more(of.saturating_sub(*taken), "meal", "meals"),
        Wants::Sheds { seen, of } => more(of.saturating_sub(*seen), "shed", "sheds"),
    };
    wants.iter().map(said).collect::<Vec<_>>().join(", ")
}

/// What stands in the way of breeding, most lasting first: `old enough on 1 Jun 2028; weighs 40 g of 350 g`.
pub fn lacking(lacks: &[Lack], shown: &dyn Shown, day: &dyn Fn(NaiveDate) -> String) -> String {
    let said = |lack: &Lack| match lack {
        Lack::Age { on } => format!("old enough on {}", day(*on)),
        Lack::Born => "no day of birth noted".to_owned(),
        Lack::Weight { is, least } => format!("weighs {} of {}", shown.mass(*is), shown.mass(*least)),
        Lack::Weighing { least } => format!("to be weighed: {} at least", shown.mass(*least)),
        Lack::Meals { taken, of } => format!("meals in a row: {taken} of {of} taken"),
        Lack::NotCooled => "not cooled this season".to_owned(),
        Lack::Cool => "kept cool".to_owned(),
        Lack::Warm(wants) => format!("before pairing: {}", still_wants(wants, day)),
        Lack::Apart => "in quarantine".to_owned(),
        Lack::Treated => "being treated".to_owned(),
        Lack::Gravid => "carrying eggs".to_owned(),
    };
    lacks.iter().map(said).collect::<Vec<_>>().join("; ")
}
