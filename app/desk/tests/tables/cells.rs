//! Every numeric field of every form × what may be typed into it: kept, converted or refused, never dropped.

use crate::common::{ODD, UNITS, forms};
use desk::{Entry, Field, Units};
use std::cell::RefCell;
use std::collections::BTreeMap;

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

/// A comma or point before just three digits, in every figure of every form: asked, refused, or said how it was read;
/// and the small figure is taken only where the large one cannot be, or an earlier weighing tells.
#[test]
fn three_digits_behind_a_mark_are_never_read_in_silence() {
    let seen: RefCell<BTreeMap<String, u32>> = RefCell::default();
    for form in forms() {
        for units in UNITS {
            for typed in ["1,234", "1.234", "12,345", "2.500", "1 234", "123,456", "30.125"] {
                form.each(units, &|entry| {
                    let told = format!("{}, {}, {units:?}, “{typed}”", form.name, entry.ask.name());
                    let read = |typed: &str| {
                        let mut entry: Entry = entry.clone();
                        entry.typed = typed.into();
                        entry.read(units)
                    };
                    let outcome = match read(typed) {
                        Field::Value { value, how } => {
                            assert!(how.is_some(), "{told}: {value} in silence");
                            // With a zero behind, and without the mark, there is no doubt.
                            let small = read(&format!("{typed}0"));
                            let large = read(&typed.replace([',', '.', ' '], ""));
                            let is = |other: &Field<i64>| matches!(other, Field::Value { value: v, .. } if *v == value);
                            let sure = entry.ask.weighed || !matches!(large, Field::Value { .. });
                            assert!(!is(&small) || sure, "{told}: {value}");
                            "read, and said how"
                        }
                        Field::Unreadable(error) if error.sentence.contains(" may be ") => "asked",
                        Field::Unreadable(_) => "refused",
                        other => panic!("{told}: {other:?}"),
                    };
                    *seen.borrow_mut().entry(format!("{:?}: {outcome}", entry.ask.measure)).or_default() += 1;
                });
            }
        }
    }
    println!("{:#?}", seen.borrow());
    let seen = seen.into_inner();
    for wanted in ["Mass: asked", "Mass: read, and said how", "Water: asked", "Length: read, and said how"] {
        assert!(seen.contains_key(wanted), "{wanted}: {seen:?}");
    }
}
