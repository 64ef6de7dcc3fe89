//! The clock and the randomness of the browser.

use js_sys::Date;
use share::Around;

pub struct Here;

pub fn now_ms() -> u64 {
    Date::now() as u64
}

/// By the browser's generator; where it fails, by its other one: only names of trials and waits depend on it here.
pub fn random() -> u64 {
    let mut bytes = [0; 8];
    match getrandom::getrandom(&mut bytes) {
        Ok(()) => u64::from_be_bytes(bytes),
        Err(_) => (js_sys::Math::random() * 2f64.powi(53)) as u64,
    }
}

impl Around for Here {
    fn now_ms(&self) -> u64 {
        now_ms()
    }

    fn wall(&self) -> String {
        let now = Date::new_0();
        let east = -now.get_timezone_offset() as i64;
        let sign = if east < 0 { '-' } else { '+' };
        let (hours, minutes) = (east.abs() / 60, east.abs() % 60);
        format!(
            "{:04}-{:02}-{:02}T{:02}:{:02}{sign}{hours:02}:{minutes:02}",
            now.get_full_year(),
            now.get_month() + 1,
            now.get_date(),
            now.get_hours(),
            now.get_minutes(),
        )
    }

    fn random(&mut self) -> u64 {
        random()
    }
}
