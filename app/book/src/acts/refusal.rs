//! Why an act cannot be done, and what to ask before it is. Each reads as a sentence that says what to do;
//! another language words the variants itself.

use super::{lacking, still_wants};
use crate::ids::Thing;
use crate::words::Step;
use chrono::NaiveDate;
use std::fmt;
use trade::breeders::Lack;
use trade::cooling::Wants;
use trade::species::BadProfile;
use trade::units::{Mass, Temp};
use trade::when::{Point, When};

/// Why an act is not done as given. Nothing was changed.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// `what` lies after now.
    InFuture {
        what: &'static str,
    },
    /// `first` would have happened before `then`, which must come before it.
    OutOfOrder {
        first: &'static str,
        then: &'static str,
    },
    /// The act names a record that is not there.
    NoSuch {
        thing: Thing,
    },
    SireIsDam {
        name: String,
    },
    /// A parent of itself, or a place inside itself.
    InItself {
        name: String,
    },
    /// A mass must be above 0 and below 100 kg.
    BadMass {
        what: &'static str,
        mass: Mass,
    },
    /// A temperature outside what can be kept or read.
    BadTemp {
        temp: Temp,
    },
    /// More eggs than any clutch has.
    TooMany {
        what: &'static str,
        most: u32,
    },
    /// A day so long after another that it is a slip of the keyboard.
    TooFar {
        what: &'static str,
        most: &'static str,
        after: &'static str,
    },
    /// A text with more than `most` characters.
    TooLong {
        what: String,
        most: usize,
    },
    /// A day of a year that no record may have.
    NoSuchYear {
        what: String,
    },
    /// An act about eggs without any.
    NoEggs,
    EmptyBox,
    /// The box was emptied and its label retired.
    BoxClosed,
    /// The eggs lie with their mother: there is nothing to weigh.
    NoBox,
    /// The egg is not in this box.
    EggElsewhere {
        letter: String,
    },
    /// The egg's story has ended.
    EggGone {
        letter: String,
    },
    /// The same egg, place or clump twice in one act.
    Twice {
        what: String,
    },
    /// The same physical box still holds other eggs, so it would stand in two places.
    BoxInUse {
        name: String,
    },
    /// Such a thing cannot be brought to such a place.
    CannotMove {
        what: String,
    },
    /// That step of hatching was recorded before.
    AlreadyDone {
        letter: String,
        step: Step,
    },
    /// A box cannot weigh less than what was put into it.
    LighterThanFilled {
        closed: Mass,
        inside: Mass,
    },
    /// Nothing can be put there.
    CannotHold {
        name: String,
    },
    /// An id that something else already carries.
    IdTaken {
        id: String,
    },
    AlreadyPulled {
        number: String,
    },
    /// More babies than one egg can hold.
    TooManyOfOne {
        letter: String,
    },
    /// It is held for somebody already.
    HeldAlready {
        name: String,
    },
    /// It has left the barn.
    NotHere {
        name: String,
    },
    /// A percentage outside what it can be.
    BadShare {
        what: &'static str,
        most: u32,
    },
    /// A required entry is missing.
    Missing {
        what: &'static str,
    },
    /// Set apart, and not let out since.
    ApartAlready {
        name: String,
    },
    /// Cooled already, or to be.
    CooledAlready {
        name: String,
    },
    /// Nothing is known of somebody that could be erased.
    NoDetails {
        mark: String,
    },
    /// A species' figures that cannot be.
    BadFigures(BadProfile),
    /// A row of Rounds that may not be put off.
    CannotWait,
    NothingChanged,
    /// The field does not clash (any more).
    NoClash,
}

/// How a mass and a temperature are written in a sentence: as the device shows them.
pub trait Shown {
    fn mass(&self, mass: Mass) -> String;
    fn temp(&self, temp: Temp) -> String;
}

/// Grams and degrees Celsius.
struct Metric;

impl Shown for Metric {
    fn mass(&self, mass: Mass) -> String {
        format!("{} g", mass.grams())
    }

    fn temp(&self, temp: Temp) -> String {
        format!("{:.1} °C", temp.celsius())
    }
}

/// A refusal or a doubt as a sentence in the units that are shown.
struct In<'a, T>(&'a T, &'a dyn Shown);

impl Refusal {
    /// The sentence, in the units that are shown.
    pub fn told(&self, shown: &dyn Shown) -> String {
        In(self, shown).to_string()
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        In(self, &Metric).fmt(f)
    }
}

impl fmt::Display for In<'_, Refusal> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let In(refusal, shown) = self;
        match refusal {
            Refusal::InFuture { what } => {
                write!(f, "The {what} date is in the future. Choose today or an earlier day.")
            }
            Refusal::OutOfOrder { first, then } => {
                write!(f, "{} cannot come before {then}. Correct one of the two dates.", capital(first))
            }
            Refusal::NoSuch { thing } => write!(
                f,
                "The {} you chose is not on this device. Choose another, or open a bundle from the device that has it.",
                thing.kind.word().replace('_', " "),
            ),
            Refusal::SireIsDam { name } => {
                write!(f, "{name} is entered as dam and as sire. Choose another animal for one of them.")
            }
            Refusal::InItself { name } => write!(f, "{name} cannot be inside or come from itself. Choose another."),
            Refusal::BadMass { what, mass } => write!(
                f,
                "{what} can't be {}. Weigh again and enter what the scale shows, above 0 and below {}.",
                shown.mass(*mass),
                shown.mass(Mass(super::MOST_MG))
            ),
            Refusal::BadTemp { temp } => {
                let (low, high) = (shown.temp(Temp(0)), shown.temp(Temp(6_000)));
                write!(f, "The temperature can't be {}. Enter one between {low} and {high}.", shown.temp(*temp))
            }
            Refusal::TooMany { what, most } => write!(f, "That is too many {what}. Enter at most {most}."),
            Refusal::TooFar { what, most, after } => {
                write!(f, "The {what} is more than {most} after {after}. Correct it.")
            }
            Refusal::TooLong { what, most } => {
                write!(f, "The {what} is too long. Shorten it to at most {most} characters.")
            }
            Refusal::NoSuchYear { what } => {
                write!(f, "The {what} has an impossible year. Type all four digits of it.")
            }
            Refusal::NoEggs => {
                f.write_str("No egg is chosen. Enter how many there are, or tap the eggs that are meant.")
            }
            Refusal::EmptyBox => f.write_str("There is no egg in this box. Choose the box that holds the eggs."),
            Refusal::BoxClosed => f.write_str(
                "This box was emptied and its label retired. Set a new box, or undo the emptying in the daybook.",
            ),
            Refusal::NoBox => f.write_str(
                "These eggs lie with their mother: there is nothing to weigh. Take them over into a box first.",
            ),
            Refusal::EggElsewhere { letter } => {
                write!(f, "Egg {letter} is not in this box. Open the box it is in, or move it here first.")
            }
            Refusal::EggGone { letter } => {
                write!(f, "Egg {letter} is no longer in. Leave it out, or correct what became of it first.")
            }
            Refusal::Twice { what } => write!(f, "{what} is entered twice. Leave it in once."),
            Refusal::BoxInUse { name } => write!(
                f,
                "Box {name} still holds other eggs, and cannot stand in two places. Empty it first, or choose another box."
            ),
            Refusal::CannotMove { what } => {
                write!(f, "{what} cannot be brought there. Choose a place that can hold it.")
            }
            Refusal::AlreadyDone { letter, step } => {
                write!(f, "Egg {letter} is recorded as {} already. Leave it out.", step.word())
            }
            Refusal::LighterThanFilled { closed, inside } => write!(
                f,
                "The closed box ({}) cannot weigh less than the medium and water in it ({}). Correct one of them.",
                shown.mass(*closed),
                shown.mass(*inside)
            ),
            Refusal::CannotHold { name } => write!(f, "{name} is not in use. Choose another place."),
            Refusal::IdTaken { id } => {
                write!(f, "The label {id} already belongs to something else. Use another label.")
            }
            Refusal::AlreadyPulled { number } => write!(
                f,
                "Clutch {number} was already pulled. Add the eggs that came later, or edit the clutch instead."
            ),
            Refusal::TooManyOfOne { letter } => {
                write!(f, "Egg {letter} cannot have held more than two babies. Give one of them another egg.")
            }
            Refusal::HeldAlready { name } => {
                write!(f, "{name} is held already. Release the hold first, or choose another animal.")
            }
            Refusal::NotHere { name } => {
                write!(f, "{name} is no longer in the barn. Choose another, or correct how it left first.")
            }
            Refusal::BadShare { what, most } => {
                write!(f, "{what} can't be that. Enter more than 0 and at most {most} %.")
            }
            Refusal::ApartAlready { name } => {
                write!(f, "{name} is in quarantine already. Change that one, or end it first.")
            }
            Refusal::CooledAlready { name } => {
                write!(f, "{name} is cooling already, or planned to. Change that one, or end it first.")
            }
            Refusal::Missing { what } => write!(f, "Enter {what} first."),
            Refusal::NoDetails { mark } => {
                write!(f, "Nothing is kept of {mark} that could be erased: it was erased before, or never typed.")
            }
            Refusal::BadFigures(why) => bad_figures(f, why, *shown),
            Refusal::CannotWait => f.write_str("This can't be put off. It leaves Rounds once it is done."),
            Refusal::NothingChanged => f.write_str("Nothing changed, so there is nothing to save."),
            Refusal::NoClash => f.write_str("The two entries agree now; there is nothing to settle."),
        }
    }
}

/// What cannot be about a species' figures.
fn bad_figures(f: &mut fmt::Formatter<'_>, why: &BadProfile, shown: &dyn Shown) -> fmt::Result {
    // What is no temperature at all is written as it is.
    let temp = |c: f64| Temp::from_celsius(c).map_or_else(|| format!("{c}"), |temp| shown.temp(temp));
    match why {
        BadProfile::Days(days) => write!(f, "Lay to pip can't take {days} days. Enter 5 to 400."),
        BadProfile::Celsius(c) => write!(
            f,
            "{} is not an incubation temperature. Enter one between the coolest and the warmest this species is kept at.",
            temp(*c)
        ),
        BadProfile::Spread(percent) => write!(f, "The spread can't be {percent} %. Enter 1 to 50."),
        BadProfile::Tolerated(low, high) => write!(
            f,
            "Tolerated from {} to {}: the first must be below the second, both between {} and {}.",
            temp(*low),
            temp(*high),
            temp(10.0),
            temp(40.0)
        ),
        BadProfile::Short(short) => write!(f, "“{short}” is not a short form. Enter one to three letters or digits."),
    }
}

/// To begin a sentence with.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| std::iter::once(first.to_ascii_uppercase()).chain(chars).collect()).unwrap_or_default()
}

impl std::error::Error for Refusal {}

/// Something unlikely but possible: asked once, done when confirmed.
#[derive(Clone, Debug, PartialEq)]
pub enum Doubt {
    /// A female whose eggs were left with her.
    WithHerEggs {
        name: String,
    },
    /// A baby beside others of its clutch.
    BabyFar {
        mass: Mass,
        others: Mass,
    },
    /// Far from what it was or should be.
    MassFar {
        what: &'static str,
        now: Mass,
        before: Mass,
    },
    /// Another clutch carries this number.
    NumberTaken {
        number: String,
    },
    /// Another animal carries this code.
    CodeTaken {
        code: String,
    },
    /// Recorded as of the other sex.
    OtherSex {
        name: String,
    },
    /// Parents of different species.
    SpeciesDiffer,
    /// Longer ago than fits the act.
    LongAgo {
        what: &'static str,
        days: i64,
    },
    /// Outside what eggs are kept at.
    OddTemp {
        temp: Temp,
    },
    /// Long before the earliest day it is likely.
    Early {
        likely_from: NaiveDate,
    },
    /// Fewer or more eggs than usual can be.
    OddCount {
        count: u32,
    },
    /// The shelf is outside an incubator.
    NotAShelf {
        name: String,
    },
    /// Some eggs of a clump are taken along and these are not.
    ClumpSplit {
        letters: String,
    },
    /// Eggs without a fate in a box about to be emptied.
    EggsLeft {
        count: u32,
    },
    /// The eggs counted do not agree with the eggs in the book.
    SumOff {
        counted: u32,
        in_book: u32,
    },
    /// Babies not told apart are not as many as the eggs they came from.
    BabiesOff {
        babies: usize,
        eggs: usize,
    },
    /// The egg has a baby in the book already.
    Twin {
        letter: String,
    },
    SlugHatched {
        letter: String,
    },
    /// Another animal is kept there.
    Occupied {
        name: String,
    },
    /// Some babies get a tub, and these none.
    NoTub {
        codes: Vec<String>,
    },
    /// A parent that hatched too lately to breed.
    TooYoung {
        name: String,
        days: i64,
    },
    /// Somebody was offered a meal not long ago.
    FedAlready {
        count: usize,
    },
    /// By the barn's own rule it is not ready to leave.
    NotReady {
        names: String,
    },
    /// It is held for somebody else.
    HeldForOther {
        name: String,
    },
    /// Of several animals weighed, one is less than half or more than twice what it was.
    WeightFar {
        name: String,
        now: Mass,
    },
    /// The animal had left the barn by then.
    Gone {
        name: String,
    },
    /// The two are together already.
    TogetherAlready {
        name: String,
    },
    /// Eggs of this female were found so few days from these.
    FoundAlready {
        name: String,
        number: String,
    },
    /// Two records of one clutch that do not look alike.
    NotAlike {
        what: &'static str,
    },
    /// The same was ordered before, and goes on: each of them would ask for its doses.
    OrderedAlready {
        what: String,
        of: usize,
    },
    /// The dose that this one would count for was given already.
    DosedAlready {
        what: String,
        last: When,
    },
    /// Set apart from the others, until a day if one was said.
    InQuarantine {
        name: String,
        until: Option<NaiveDate>,
    },
    /// The place is set apart, and who comes was not in it.
    IntoQuarantine {
        name: String,
    },
    /// Cool, or to be so soon that nothing is digested any more.
    NoFood {
        names: String,
    },
    /// Put with another while it is cool.
    StillCool {
        name: String,
    },
    /// By the barn's own rule too soon after its cooling to be paired.
    NotWarm {
        name: String,
        wants: Vec<Wants>,
    },
    /// By the barn's own rule not ready to breed.
    NotToBreed {
        /// Each, and what stands in its way.
        of: Vec<(String, Vec<Lack>)>,
    },
    /// A veterinarian's order for them goes on.
    BeingTreated {
        names: String,
    },
    /// Far from what animals are cooled at.
    OddCool {
        temp: Temp,
    },
    /// The treatment was over by then.
    DosedLate {
        what: String,
    },
    /// Its first dose was not due yet, and this one will not count as it.
    DosedEarly {
        what: String,
        first: NaiveDate,
    },
    /// Doses given while two animals sat in each other's place: the other of them got what is noted of the one.
    DosesStay {
        doses: usize,
    },
    /// Tubs that were cleaned just before.
    CleanedAlready {
        count: usize,
    },
    /// Doses noted by the times that were ordered would be counted by others.
    TimesMoved {
        what: String,
        doses: usize,
    },
}

impl Doubt {
    /// The question, in the units that are shown.
    pub fn told(&self, shown: &dyn Shown) -> String {
        In(self, shown).to_string()
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        In(self, &Metric).fmt(f)
    }
}

impl fmt::Display for In<'_, Doubt> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let In(doubt, shown) = self;
        match doubt {
            Doubt::MassFar { what, now, before } => {
                write!(f, "{what} is {}, and was {} before. Is that right?", shown.mass(*now), shown.mass(*before))
            }
            Doubt::WithHerEggs { name } => write!(f, "{name} has eggs with her. Do it anyway?"),
            Doubt::BabyFar { mass, others } => {
                write!(f, "A baby weighs {} and the others {}. Is that right?", shown.mass(*mass), shown.mass(*others))
            }
            Doubt::NumberTaken { number } => write!(f, "There is a clutch {number} already. Use this number twice?"),
            Doubt::CodeTaken { code } => write!(f, "There is an animal {code} already. Use this code twice?"),
            Doubt::OtherSex { name } => write!(f, "{name} is recorded as the other sex. Is that right?"),
            Doubt::SpeciesDiffer => f.write_str("The parents are of different species. Is that right?"),
            Doubt::LongAgo { what, days } => write!(f, "The {what} date is {days} days ago. Is that right?"),
            Doubt::OddTemp { temp } => {
                write!(f, "{} is outside what eggs are kept at. Is that right?", shown.temp(*temp))
            }
            Doubt::Early { likely_from } => {
                write!(f, "That is early: likely from {} on. Is that right?", likely_from.format("%-d %b"))
            }
            Doubt::OddCount { count } => write!(f, "{count} eggs is unusual for one clutch. Is that right?"),
            Doubt::NotAShelf { name } => {
                write!(f, "{name} is not a shelf of an incubator. Put the box there anyway?")
            }
            Doubt::ClumpSplit { letters } => {
                write!(f, "Stuck together with {letters}: a clump stays whole. Part them anyway?")
            }
            Doubt::EggsLeft { count } => {
                write!(
                    f,
                    "{count} eggs in this box have no outcome yet; they would be saved as unknown. Empty it anyway?"
                )
            }
            Doubt::BabiesOff { babies, eggs } => {
                write!(f, "{babies} babies out of {eggs} eggs: did one escape, or were there twins? Save as it is?")
            }
            Doubt::Twin { letter } => write!(f, "Egg {letter} already has a baby. A twin?"),
            Doubt::SlugHatched { letter } => write!(f, "Egg {letter} was laid as a slug. Did it really hatch?"),
            Doubt::Occupied { name } => write!(f, "{name} would hold more than one animal. Put them together?"),
            Doubt::NoTub { codes } => match codes.as_slice() {
                [one] => write!(f, "No tub is free for {one}, so it would be in none. Save anyway?"),
                many => write!(
                    f,
                    "No tub is free for {} of the babies, so they would be in none: {}. Save anyway?",
                    many.len(),
                    many.join(", ")
                ),
            },
            Doubt::TooYoung { name, days } => {
                write!(f, "{name} was {days} days old then, too young to breed. Is that right?")
            }
            Doubt::FedAlready { count } => {
                write!(f, "{count} of them were offered a meal in the last twelve hours. Feed them again?")
            }
            Doubt::NotReady { names } => {
                write!(f, "Not ready by the barn's own rule: {names}. Mark as gone anyway?")
            }
            Doubt::HeldForOther { name } => write!(f, "{name} is held for somebody else. Mark as gone anyway?"),
            Doubt::WeightFar { name, now } => {
                write!(f, "{name} at {} is far from the weight before. Is that right?", shown.mass(*now))
            }
            Doubt::Gone { name } => write!(f, "{name} had left the barn by then. Is that right?"),
            Doubt::TogetherAlready { name } => {
                write!(f, "{name} is with him already. Note another introduction anyway?")
            }
            Doubt::FoundAlready { name, number } => {
                write!(f, "Eggs of {name} were found just before these, as clutch {number}. Is this another clutch?")
            }
            Doubt::NotAlike { what } => write!(f, "The two records have different {what}. One clutch anyway?"),
            Doubt::OrderedAlready { what, of: 1 } => write!(
                f,
                "{what}: this is noted already, and goes on. A second treatment asks for its doses a second time. Note it \
                 anyway?"
            ),
            Doubt::OrderedAlready { what, of } => write!(
                f,
                "{what}: this is noted already for {of} of them, and goes on. A second treatment asks for its doses a second \
                 time. Note it anyway?"
            ),
            Doubt::DosedAlready { what, last } => {
                let last = match last {
                    When::At(Point::Time(at)) => at.format("%-d %b, %H:%M"),
                    When::At(Point::Day(_)) | When::Span(..) => last.date().format("%-d %b"),
                };
                write!(f, "{what}: given already on {last}. Note another dose anyway?")
            }
            Doubt::InQuarantine { name, until: Some(until) } => {
                write!(f, "{name} is in quarantine until {}. Do it anyway?", until.format("%-d %b"))
            }
            Doubt::InQuarantine { name, until: None } => write!(f, "{name} is in quarantine. Do it anyway?"),
            Doubt::IntoQuarantine { name } => write!(f, "{name} is in quarantine. Bring it in anyway?"),
            Doubt::NoFood { names } => write!(
                f,
                "Kept cool, or soon to be: {names}. What is eaten then may not be digested (common practice, no source). Feed anyway?"
            ),
            Doubt::StillCool { name } => write!(f, "{name} is being cooled. Pair anyway?"),
            Doubt::NotWarm { name, wants } => {
                let wants = still_wants(wants, &|day| day.format("%-d %b").to_string());
                write!(f, "{name} comes out of cooling, and by the barn's own rule still needs {wants}. Pair anyway?")
            }
            Doubt::NotToBreed { of } => {
                let day = |day: NaiveDate| day.format("%-d %b %Y").to_string();
                let said = |(name, lacks): &(String, Vec<Lack>)| format!("{name} ({})", lacking(lacks, *shown, &day));
                let of: Vec<String> = of.iter().map(said).collect();
                write!(f, "Not ready to breed by the barn's own rule: {}. Pair anyway?", of.join(", "))
            }
            Doubt::BeingTreated { names } => write!(f, "Being treated: {names}. Pair anyway?"),
            Doubt::OddCool { temp } => {
                write!(f, "{} is far from what animals are cooled at. Is that right?", shown.temp(*temp))
            }
            Doubt::DosedLate { what } => write!(f, "{what}: the treatment was over by then. Note a dose anyway?"),
            Doubt::DosedEarly { what, first } => {
                let first = first.format("%-d %b");
                write!(f, "{what}: the first dose is due on {first}, and this would not count as it. Note it anyway?")
            }
            Doubt::DosesStay { doses } => {
                let given = if *doses == 1 { "A dose was".to_owned() } else { format!("{doses} doses were") };
                write!(
                    f,
                    "{given} given in that time, to the other animal than the one it was ordered for. Treatments stay as \
                     they are noted: tell the veterinarian, and put them right by hand. Go on?"
                )
            }
            Doubt::CleanedAlready { count } => {
                let tubs = if *count == 1 { "One of them was".to_owned() } else { format!("{count} of them were") };
                write!(f, "{tubs} cleaned within half a day of this. Note it again anyway?")
            }
            Doubt::TimesMoved { what, doses } => {
                let noted = if *doses == 1 { "the dose that is noted" } else { "the doses that are noted" };
                write!(
                    f,
                    "{what}: {noted} would be counted by the new times, and some would stand as missed. If other times were \
                     ordered meanwhile, end this treatment and note a new one: that keeps what was given. Change it \
                     anyway?"
                )
            }
            Doubt::SumOff { counted, in_book } => {
                write!(f, "{counted} eggs were counted and {in_book} are recorded. Keep the new count?")
            }
        }
    }
}
