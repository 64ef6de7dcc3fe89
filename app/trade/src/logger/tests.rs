use super::*;
use proptest::prelude::*;

fn now() -> NaiveDateTime {
    at("2026-07-01T12:00")
}

fn at(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").expect("a fixture")
}

fn take(text: &str, told: Told) -> (Layout, Log) {
    let layout = layout(text, &told, now()).expect("rows");
    let mut intake = Intake::new(text.to_owned(), layout.clone(), 120, now());
    while intake.step(3) < 1.0 {}
    (layout, intake.finish())
}

fn shown(log: &Log) -> Vec<String> {
    log.readings.iter().map(|r| format!("{} {}", r.at.format("%Y-%m-%dT%H:%M"), r.temp.0)).collect()
}

#[test]
fn the_usual_shapes_are_read_without_asking() {
    for (what, text, expected) in [
        ("plain", "2026-06-01 12:00,27.5\n2026-06-01 13:00,27.8\n", ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"]),
        (
            "semicolons, decimal comma, day first, head",
            "Serial;A17\r\nDatum;Zeit;Temperatur °C;Feuchte %\r\n30.05.2026;23:50:00;27,5;81,0\r\n31.05.2026;00:20:30;27,8;80,5\r\n",
            ["2026-05-30T23:50 2750", "2026-05-31T00:20 2780"],
        ),
        (
            "month first by a day above 12, running number, °F by name",
            "#,Date Time,\"Temp, °F (probe 2)\",RH %\n1,06/13/26 11:00:00 PM,81.5,70\n2,06/14/26 12:30:00 AM,82.04,71\n3,06/14/26 01:00:00 AM,,70\n",
            ["2026-06-13T23:00 2750", "2026-06-14T00:30 2780"],
        ),
        (
            "tabs and quotes, unit behind the number",
            "Time\tValue\n\"2026/06/01 12:00\"\t\"27,5 °C\"\n\"2026/06/01 13:00\"\t\"27,8 °C\"\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "comma in quotes as decimal",
            "\"2026-06-01 12:00\",\"27,5\"\n\"2026-06-01 13:00\",\"27,8\"\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "ISO with a zone, two hours east here",
            "time,celsius\n2026-06-01T10:00:00Z,27.5\n2026-06-01T12:00:00+01:00,27.8\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "seconds since 1970",
            "ts,temp\n1780308000,27.5\n1780311600,27.8\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "month by name, °F by the numbers",
            "01 Jun 2026 12:00|81.5\n1 Jun 2026 13:00|82.04\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "several in one minute, newest first",
            "2026-06-01 13:00:00;27.8\n2026-06-01 12:00:40;27.6\n2026-06-01 12:00:10;27.4\n",
            ["2026-06-01T12:00 2750", "2026-06-01T13:00 2780"],
        ),
        (
            "dates told by their running on",
            "05/06/2026 12:00,27.5\n06/06/2026 12:00,27.8\n",
            ["2026-06-05T12:00 2750", "2026-06-06T12:00 2780"],
        ),
    ] {
        let (layout, log) = take(text, Told::default());
        assert_eq!(layout.asks, [], "{what}");
        assert_eq!(shown(&log), expected, "{what}: {layout:?}");
    }
}

#[test]
fn only_what_cannot_be_told_is_asked_and_the_answer_is_followed() {
    let day = "date,inside,outside\n05/06/2026 12:00,27.5,20.1\n05/06/2026 13:00,27.8,20.4\n";
    let (layout, _) = take(day, Told::default());
    assert_eq!(layout.asks, [Ask::Probe, Ask::Order]);
    let names: Vec<&str> = layout.probes.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["inside", "outside"]);
    let told = Told { probe: Some(2), unit: None, order: Some(Order::MonthFirst) };
    let (layout, log) = take(day, told);
    assert_eq!(layout.asks, []);
    assert_eq!(shown(&log), ["2026-05-06T12:00 2010", "2026-05-06T13:00 2040"]);
    let (layout, _) = take("2026-06-01 12:00,45.0\n2026-06-01 13:00,46.0\n", Told::default());
    assert_eq!(layout.asks, [Ask::Unit]);
    // June is past and December is not: only one order can be.
    let (layout, log) = take("12/06/2026 12:00,27.5\n", Told::default());
    assert_eq!((layout.asks, shown(&log)), (vec![], vec!["2026-06-12T12:00 2750".to_owned()]));
}

#[test]
fn bad_rows_are_listed_with_the_reason_and_the_good_ones_kept() {
    let text = "Date,Time,Temp (C)\n2026-06-01,12:00,27.5\n2026-06-01,13:00,ERR\n2026-06-31,14:00,27.5\n2026-06-01,15:00,-127.0\n\
                2026-06-01,16:00\n2026-09-01,17:00,27.5\nEnd of data\n2026-06-01,18:00,27.8\n";
    let (layout, log) = take(text, Told::default());
    assert_eq!(layout.head, ["Date,Time,Temp (C)"]);
    assert_eq!(shown(&log), ["2026-06-01T12:00 2750", "2026-06-01T18:00 2780"]);
    let told: Vec<(usize, String)> = log.bad.iter().map(|b| (b.line, b.why.to_string())).collect();
    let expected = [
        (3, "“ERR” is no temperature"),
        (4, "“2026-06-31 14:00” is no date and time"),
        (5, "-127.0 °C is no shelf's temperature: a fault of the probe"),
        (6, "has 2 columns where 3 are needed"),
        (7, "2026-09-01 17:00 is after now: is the logger's clock right?"),
        (8, "has 1 columns where 3 are needed"),
    ];
    assert_eq!(told, expected.map(|(line, why)| (line, why.to_owned())));
    assert_eq!(log.bad_count, 6);
}

#[test]
fn what_is_no_log_is_told() {
    for (text, why) in
        [("", NoLog::Empty), (" \n\n", NoLog::Empty), ("Dear keeper,\nno readings here.\n", NoLog::NoRows)]
    {
        assert_eq!(layout(text, &Told::default(), now()), Err(why), "{text}");
    }
}

#[test]
fn bytes_become_text() {
    for (bytes, text) in [
        (&b"\xEF\xBB\xBF27 \xC2\xB0C"[..], "27 °C"),
        (b"27 \xB0C", "27 °C"),
        (b"\xFF\xFE2\x007\x00", "27"),
        (b"\xFE\xFF\x002\x007", "27"),
        (b"", ""),
    ] {
        assert_eq!(text_of(bytes), text);
    }
}

#[test]
fn a_year_of_readings_packs_to_a_letter_or_two_each() {
    let readings: Vec<Reading> = (0..50_000i64)
        .map(|i| Reading {
            at: at("2026-01-01T00:00") + TimeDelta::minutes(i * 5),
            temp: Temp(2780 + ((i as f64 / 40.0).sin() * 30.0) as i32 + (i * 7 % 11) as i32),
        })
        .collect();
    let text = packed::pack(&readings);
    assert!(text.len() <= readings.len() * 5 / 4, "{} letters", text.len());
    assert_eq!(packed::unpack(readings[0].at, &text).as_deref(), Some(&readings[..]));
}

proptest! {
    #[test]
    fn what_is_packed_comes_out_again(steps in proptest::collection::vec((1i64..100_000, -3000i32..7000), 0..60)) {
        let mut t = at("2026-01-01T00:00");
        let readings: Vec<Reading> = steps
            .into_iter()
            .map(|(minutes, cc)| {
                t += TimeDelta::minutes(minutes);
                Reading { at: t, temp: Temp(cc) }
            })
            .collect();
        let text = packed::pack(&readings);
        prop_assert!(text.bytes().all(|b| b.is_ascii_graphic() && b != b'"' && b != b'\\'));
        let from = readings.first().map_or(t, |r| r.at);
        prop_assert_eq!(packed::unpack(from, &text), Some(readings));
    }

    #[test]
    fn no_text_is_too_odd(text in "[0-9;:,./ A-Za-z°\"\n\t-]{0,300}", packed_text in "[ -~]{0,80}") {
        if let Ok(layout) = layout(&text, &Told::default(), now()) {
            let mut intake = Intake::new(text.clone(), layout, 0, now());
            while intake.step(2) < 1.0 {}
            let log = intake.finish();
            prop_assert!(log.readings.windows(2).all(|w| w[0].at < w[1].at));
        }
        let _ = packed::unpack(now(), &packed_text);
    }
}

/// As `12:00 81.0`, in tenths.
fn damp(log: &Log) -> Vec<String> {
    log.humidity.iter().map(|(at, humidity)| format!("{} {}", at.format("%H:%M"), humidity.0)).collect()
}

#[test]
fn humidity_stands_in_a_column_of_its_name() {
    for (what, text, expected, left_out) in [
        (
            "comma, by Feuchte",
            "Datum;Zeit;Temperatur °C;Feuchte %\n31.05.2026;12:00;27,5;81,0\n31.05.2026;13:00;27,8;80,5\n",
            vec!["12:00 810", "13:00 805"],
            0,
        ),
        (
            "RH, one empty",
            "Date Time,Temp °C,RH %\n2026-06-13 12:00,27.5,70\n2026-06-13 13:00,27.6,\n",
            vec!["12:00 700"],
            0,
        ),
        (
            "its sign behind it",
            "time,celsius,humidity\n2026-06-01 12:00,27.5,45.5 %RH\n2026-06-01 13:00,27.8,46%\n",
            vec!["12:00 455", "13:00 460"],
            0,
        ),
        (
            "before the temperature",
            "time,RH,temp\n2026-06-01 12:00,45,27.5\n2026-06-01 13:00,46,27.8\n",
            vec!["12:00 450", "13:00 460"],
            0,
        ),
        (
            "none can be",
            "time,temp,RH\n2026-06-01 12:00,27.5,100.1\n2026-06-01 13:00,27.8,-1\n2026-06-01 14:00,27.8,100\n2026-06-01 15:00,27.8,ERR\n",
            vec!["14:00 1000"],
            3,
        ),
        (
            "several in one minute",
            "time,temp,RH\n2026-06-01 12:00:10,27.5,40\n2026-06-01 12:00:40,27.5,41\n",
            vec!["12:00 405"],
            0,
        ),
        ("not by its figures", "time,temp,battery %\n2026-06-01 12:00,27.5,81\n2026-06-01 13:00,27.8,80\n", vec![], 0),
    ] {
        let (layout, log) = take(text, Told::default());
        assert_eq!(layout.asks, [], "{what}");
        assert_eq!(
            (damp(&log), log.humid_bad),
            (expected.iter().map(|s| (*s).to_owned()).collect(), left_out),
            "{what}"
        );
        assert_eq!((log.bad_count, log.readings.is_empty()), (0, false), "{what}: its temperatures are kept");
    }
    // Two probes, each with its own.
    let two = "time,temp 1,rh 1,temp 2,rh 2\n2026-06-01 12:00,27.5,40,20.1,60\n2026-06-01 13:00,27.8,41,20.4,61\n";
    let of = |probe| take(two, Told { probe: Some(probe), ..Told::default() }).0.humidity.map(|probe| probe.name);
    assert_eq!((of(1).as_deref(), of(3).as_deref()), (Some("rh 1"), Some("rh 2")));
}

proptest! {
    #[test]
    fn humidity_unpacks_as_it_was_packed(tenths in prop::collection::vec(prop::option::of(0u16..=1000), 0..300)) {
        let beside: Vec<Option<Humidity>> = tenths.into_iter().map(|t| t.map(Humidity)).collect();
        prop_assert_eq!(packed::unpack_humidity(&packed::pack_humidity(&beside)), Some(beside));
    }

    #[test]
    fn no_text_unpacks_to_what_no_air_has(text in ".{0,60}") {
        let all = packed::unpack_humidity(&text).unwrap_or_default();
        prop_assert!(all.into_iter().flatten().all(|humidity| humidity.0 <= 1000));
    }
}
