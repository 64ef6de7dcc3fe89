//! Every numeric field of every form × what may be typed into it: kept, converted or refused, never dropped.

use crate::common::{ODD, UNITS, forms};
use desk::Units;

#[test]
fn nothing_typed_is_dropped() {
    let mut cells = 0;
    for form in forms() {
        for units in UNITS {
            let untouched = form.run(units, None);
            for (at, name) in form.fields(units).iter().enumerate() {
                let blank = form.run(units, Some((at, "")));
                for typed in ODD {
                    cells += 1;
                    let told = format!("{}, {name}, {units:?}, “{typed}”", form.name);
                    let result = form.run(units, Some((at, typed)));
                    let empty = typed.trim().is_empty();
                    match result {
                        Ok(act) if empty => assert_eq!(Ok(act), blank, "{told}: spaces are nothing"),
                        Ok(act) => {
                            assert_ne!(Ok(&act), untouched.as_ref(), "{told}: lost");
                            assert_ne!(Ok(&act), blank.as_ref(), "{told}: dropped");
                        }
                        Err(wrong) => {
                            // Two sides of an egg that do not fit are told at one of them.
                            let error = wrong.0.iter().find(|error| error.field == *name).or(wrong.0.first());
                            let error = error.unwrap_or_else(|| panic!("{told}: nothing is told"));
                            let fields = form.fields(units);
                            assert!(fields.contains(&error.field), "{told}: not at a field: {error:?}");
                            let sentence = &error.sentence;
                            assert!(sentence.starts_with(error.field.as_str()) || empty, "{told}: {sentence}");
                            assert!(sentence.ends_with('.'), "{told}: {sentence}");
                        }
                    }
                }
            }
        }
    }
    println!("{cells} cells tried");
    assert!(cells > 1_500, "{cells}");
}

#[test]
fn what_nobody_touches_stays_to_the_last_unit() {
    for form in forms() {
        let metric = form.run(Units::default(), None);
        for units in UNITS {
            // A page that cannot be saved as it opens says so in its own unit.
            assert_eq!(form.run(units, None).ok(), metric.clone().ok(), "{}", form.name);
        }
    }
}

#[test]
fn what_can_never_be_is_refused_everywhere() {
    for form in forms() {
        for units in UNITS {
            for (at, name) in form.fields(units).iter().enumerate() {
                for typed in
                    ["82Fx", "3l.5", "12..5", "1e9", "98O", "l2,5", "1/2", "8 - 9", "½", "१२a", &"9".repeat(40)]
                {
                    let wrong = form.run(units, Some((at, typed))).expect_err(name);
                    assert!(
                        wrong.0.iter().any(|error| error.field == *name),
                        "{}: {name}: {typed}: {wrong:?}",
                        form.name
                    );
                }
            }
        }
    }
}

#[test]
fn several_faults_are_all_told() {
    for form in forms().into_iter().filter(|form| form.fields(Units::default()).len() > 1) {
        let fields = form.fields(Units::default());
        let wrong = form.run_all(Units::default(), "12..5").expect_err(form.name);
        for name in fields {
            assert!(wrong.0.iter().any(|error| error.field == name), "{}: {name}", form.name);
        }
    }
}
