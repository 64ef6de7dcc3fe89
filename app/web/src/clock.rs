//! The device's clock and its randomness: the only place that asks for either.

use chrono::{NaiveDate, NaiveDateTime};
use journal::Wall;
use trade::when::Point;

/// Local wall time now, to the second.
pub fn now() -> NaiveDateTime {
    let date = js_sys::Date::new_0();
    let local_ms = date.get_time() - date.get_timezone_offset() * 60_000.0;
    chrono::DateTime::from_timestamp((local_ms / 1000.0) as i64, 0).map(|t| t.naive_utc()).unwrap_or_default()
}

pub fn today() -> NaiveDate {
    now().date()
}

/// The day on this device's calendar at a moment, in milliseconds since 1970: by the clock at Greenwich it would be
/// tomorrow already on an evening in New York. `None` for what no calendar has.
pub fn day_at(ms: u64) -> Option<NaiveDate> {
    let ms = i64::try_from(ms).ok()?;
    let east = -js_sys::Date::new(&wasm_bindgen::JsValue::from_f64(ms as f64)).get_timezone_offset();
    let local = chrono::DateTime::from_timestamp_millis(ms.checked_add((east * 60_000.0) as i64)?)?;
    Some(local.naive_utc().date())
}

/// Minutes this device is east of UTC now.
pub fn zone_minutes() -> i32 {
    -js_sys::Date::new_0().get_timezone_offset() as i32
}

/// Now, as the journal writes it: milliseconds since 1970 and local time with its offset.
pub fn wall() -> Wall {
    let east = -js_sys::Date::new_0().get_timezone_offset() as i64;
    let sign = if east < 0 { '-' } else { '+' };
    let (hours, minutes) = (east.abs() / 60, east.abs() % 60);
    Wall { ms: js_sys::Date::now() as u64, text: format!("{}{sign}{hours:02}:{minutes:02}", Point::Time(now())) }
}

/// Bytes from the browser's generator for keys and ids.
pub fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    let asked = web_sys::window().and_then(|w| w.crypto().ok()).map(|c| c.get_random_values_with_u8_array(&mut bytes));
    // Every browser that can run this page has it; without it ids would collide, so stop rather than go on.
    assert!(matches!(asked, Some(Ok(_))), "this browser gives no random numbers");
    bytes
}

/// Now by the clock at Greenwich, for files that say when they were made.
pub fn utc() -> NaiveDateTime {
    chrono::DateTime::from_timestamp((js_sys::Date::now() / 1000.0) as i64, 0)
        .map(|t| t.naive_utc())
        .unwrap_or_default()
}

/// Lets the browser do what it has to, and goes on after so many milliseconds.
pub async fn pause(ms: i32) {
    let promise = js_sys::Promise::new(&mut |done, _| {
        if let Some(window) = web_sys::window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, ms);
        }
    });
    let _ = wasm_bindgen_futures::JsFuture::from(promise).await;
}
