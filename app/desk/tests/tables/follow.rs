//! A form that stays on its page once it is saved follows what stands, and keeps what is half typed.

use desk::forms::{SpeciesForm, counts};
use desk::{Ask, Entry, Units};
use trade::units::Mass;

const METRIC: Units = Units { ounces: false, fahrenheit: false };

#[test]
fn a_rule_that_was_saved_can_be_put_back_on_the_same_page() {
    let saved = |fields: &[Entry; 3], now| counts::cooling_set(fields, now).expect("read").rule;
    let usual = trade::cooling::USUAL;
    let mut fields = counts::cooling(usual);
    fields[1].typed = "3".into();
    let now = saved(&fields, usual);
    assert_eq!(now.meals, 3);
    let follow = |fields: &mut [Entry; 3], now| {
        for (field, stands) in fields.iter_mut().zip(counts::cooling(now)) {
            field.follow(stands.stands(), METRIC);
        }
    };
    fields[2].typed = "l".into();
    follow(&mut fields, now);
    assert_eq!(fields.each_ref().map(|field| field.typed.as_str()), ["14", "3", "l"], "half typed, it stays");
    fields[2].typed = "1".into();
    fields[1].typed = "2".into();
    assert_eq!(saved(&fields, now), usual);
    // Undone from the message: what nobody typed over goes back with it.
    let mut fields = counts::cooling(now);
    follow(&mut fields, usual);
    assert_eq!(saved(&fields, usual), usual);
    // What was typed comes to what stands: it is no longer typed, and follows whoever writes next.
    let mut mass = Entry::of_mass(Ask::mass("Weight", (5, 30_000)), None, METRIC);
    mass.typed = "0.35 kg".into();
    mass.follow(Some(350_000), METRIC);
    assert_eq!((mass.typed.as_str(), mass.untouched()), ("350", true));

    let own = book::records::Species::overriding("pantherophis-guttatus");
    let changed = |form: &SpeciesForm, now| form.act(now, METRIC).expect("read").species;
    let mut form = SpeciesForm::new("pantherophis-guttatus".into(), own.clone(), METRIC);
    (form.days.typed, form.source) = ("64".into(), "own records".into());
    let stands = changed(&form, &own);
    form.follow(stands.clone(), METRIC);
    (form.days.typed, form.source) = (String::new(), String::new());
    let back = changed(&form, &stands);
    assert_eq!((back.ref_days_x10, back.source), (None, None));
}

#[test]
fn a_rule_for_breeding_keeps_what_was_typed_when_another_species_is_chosen() {
    let corn = trade::breeders::Rule { age_months: Some(30), mass: Some(Mass(350_000)), ..Default::default() };
    let other = trade::breeders::Rule { mass: Some(Mass(900_000)), meals: Some(3), cooled: true, ..Default::default() };
    let of = || ("corn".to_owned(), book::words::Sex::Female);
    let mut form = counts::BreedingForm::new(corn, METRIC);
    form.age.typed = "36".into();
    form.follow(other, METRIC);
    let set = |form: &counts::BreedingForm, now| form.act(of(), now, METRIC).expect("read").rule;
    assert_eq!(set(&form, &other), trade::breeders::Rule { age_months: Some(36), ..other });
    // Saved, and put back.
    let now = set(&form, &other);
    form.cooled = false;
    let now = trade::breeders::Rule { cooled: false, ..now };
    form.follow(now, METRIC);
    (form.age.typed, form.cooled) = (String::new(), true);
    assert_eq!(set(&form, &now), other);
}
