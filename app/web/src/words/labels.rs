//! Labels and printing.

use labels::text::{Face, Lack, Part};

pub const TITLE: &str = "Label";
pub const PREVIEW: &str = "The label as it prints";
pub const WIDTH: &str = "Label width, mm";
pub const HEIGHT: &str = "Label height, mm";
pub const COPIES: &str = "Copies";
pub const COPIES_HOW: &str = "Two: one for the lid, one for the box.";
pub const PDF: &str = "PDF";
pub const PRINT: &str = "Print";
pub const HOW: &str = "PDF prints at exact size (choose 100 %, not “fit”). PNG is for a label printer's own app.";
pub const PRINTED: &str = "Label marked as printed.";
pub const NO_CODE: &str = "This record has no code for a label.";
pub const NO_LABEL_FOR_THIS: &str = "There is no label for this, or it is not on this device.";
pub const EMPTY_BOX: &str = "This box holds no eggs, so there is nothing to print.";
pub const BLANK_TITLE: &str = "Blank labels";
pub const BLANK_HOW: &str = "Printed ahead and stuck on boxes: scanning one begins a clutch in that box.";
pub const HOW_MANY: &str = "How many";
pub const MAKE: &str = "Make PDF";
pub const MADE: &str = "Blank labels made.";
pub const PENCIL: [&str; 4] = ["no.", "dam", "laid", "eggs"];
pub const NOTES: &str = "notes:";
pub const LAID: &str = "LAID";
pub const FOUND: &str = "FOUND";
pub const EGG: &str = "egg";
pub const EGGS: &str = "eggs";
pub const LOOK_FROM: &str = "LOOK FROM";
pub const FILL_TO: &str = "FILL TO";
pub const CLOSED: &str = "closed";

/// `62 × 40 mm`.
pub fn size(w: f64, h: f64) -> String {
    format!("{w} × {h} mm")
}

pub fn file_name(title: &str) -> String {
    let safe: String = title.chars().map(|c| if c.is_alphanumeric() || c == '-' { c } else { '_' }).take(40).collect();
    format!("label-{safe}")
}

fn part(part: Part, face: &Face) -> String {
    if let Part::Line(number) = part {
        return face.line(number).map_or_else(|| "a line".to_owned(), |line| format!("“{line}”"));
    }
    let named = match part {
        Part::Title => "the number",
        Part::Species => "the species",
        Part::Morph => "the morph",
        Part::Parents => "the parents",
        Part::Laid => "when laid",
        Part::Eggs => "the egg count",
        Part::LookFrom => "the look-from date",
        Part::FillTo => "the target weight",
        Part::Code => "the typed code",
        Part::Square => "the square code",
        Part::Notes => "the strip for pencil",
        Part::Line(_) => "a line",
    };
    named.to_owned()
}

/// What had no room on this size; nothing when all of it is there.
pub fn lacks(lacks: &[(Part, Lack)], face: &Face) -> Option<String> {
    let named = |out: bool| lacks.iter().filter(move |(_, lack)| (*lack == Lack::LeftOut) == out);
    let left: Vec<String> = named(true).map(|(p, _)| part(*p, face)).collect();
    let cut: Vec<String> = named(false).map(|(p, _)| part(*p, face)).collect();
    let mut said = Vec::new();
    if !left.is_empty() {
        said.push(format!("No room on this size for {}.", left.join(", ")));
        if lacks.iter().any(|(part, lack)| matches!((part, lack), (Part::Square, Lack::LeftOut))) {
            said.push("This label can't be scanned: type its code.".to_owned());
        }
    }
    if !cut.is_empty() {
        said.push(format!("Shortened: {}.", cut.join(", ")));
    }
    (!said.is_empty()).then(|| said.join(" "))
}
pub const NOT_GIVEN: &str = "The file could not be shared or saved. Try one of the other two.";

pub const HATCHED: &str = "HATCHED";
pub const WINDOW_GONE: &str = "there is no window now";
pub const ADDRESS_MOVED: &str = "the code holds another address of the app";

pub fn window_moved(days: i64, was: &str, is: &str) -> String {
    let way = if days < 0 { "earlier" } else { "later" };
    let days = super::count(usize::try_from(days.abs()).unwrap_or(0), "day", "days");
    format!("window moved by {days}, {way}: look from {is}, printed {was}")
}

pub fn window_new(is: &str) -> String {
    format!("a window is known now: look from {is}")
}

pub fn fill_to_moved(was: &str, is: &str) -> String {
    format!("target weight {is}, printed {was}")
}

pub fn eggs_moved(was: u16, is: u16) -> String {
    format!("{is} eggs, printed {was}")
}

pub fn name_moved(was: &str, is: &str) -> String {
    format!("{is}, printed {was}")
}

/// What the label says otherwise than the last one.
pub fn since(day: Option<&str>, changes: &[String]) -> String {
    let day = day.map(|day| format!(" {day}")).unwrap_or_default();
    if changes.is_empty() {
        format!("Printed before{day}; nothing on it has changed.")
    } else {
        format!("Printed before{day}; since then {}.", changes.join("; "))
    }
}

pub const TITLE_MANY: &str = "Labels";
pub const NOTHING_TO_PRINT: &str = "There is nothing here to print a label of.";
pub const PRINTED_ON: &str = "Printed on";
pub const ANOTHER_SIZE: &str = "Another size…";
pub const OWN_ROLL: &str = "Roll";
pub const OWN_SHEET: &str = "Sheet";
pub const OWN_KIND: &str = "One label a page, or a sheet of many";
pub const PAGE_WIDTH: &str = "Page width, mm";
pub const PAGE_HEIGHT: &str = "Page height, mm";
pub const COLUMNS: &str = "Columns";
pub const ROWS: &str = "Rows";
pub const LEFT: &str = "Left edge to first label, mm";
pub const TOP: &str = "Upper edge to first label, mm";
pub const GAP_X: &str = "Gap between columns, mm";
pub const GAP_Y: &str = "Gap between rows, mm";
pub const CUT_MARKS: &str = "Draw marks for cutting by hand";
pub const KEEP_SIZE: &str = "Keep this size";
pub const FORGET_SIZE: &str = "Forget this size";
pub const SIZE_KEPT: &str = "Size kept on this device.";
pub const FIRST_FREE: &str = "First free position on the sheet";
pub const RESOLUTION: &str = "Label printer's dots";
pub const SHOWS: &str = "What the label shows";
pub const PRINTER: &str = "Printer";
pub const NO_CORRECTION: &str = "No correction";
pub const RULER_PAGE: &str = "Ruler page: check print size";
pub const EARLIER: &str = "Label before";
pub const NEXT: &str = "Label after";
pub const STOP: &str = "Stop";
pub const STOPPED: &str = "Stopped. Nothing was printed.";

pub fn dpi(fine: bool) -> &'static str {
    if fine { "300 dpi" } else { "203 dpi" }
}

pub fn png(fine: bool) -> String {
    format!("PNG {}", dpi(fine))
}

/// `3 × 7 on A4, each 63.5 × 38.1 mm`.
pub fn on_sheet(columns: usize, rows: usize, page: (f64, f64), label: (f64, f64)) -> String {
    let page = match (tenth(page.0), tenth(page.1)) {
        (210.0, 297.0) => "A4".to_owned(),
        (215.9, 279.4) => "US Letter".to_owned(),
        (wide, high) => size(wide, high),
    };
    format!("{columns} × {rows} on {page}, each {}", size(tenth(label.0), tenth(label.1)))
}

fn tenth(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}

pub fn how_many(n: usize) -> String {
    super::count(n, "label", "labels")
}

pub fn which_of(n: usize, of: usize) -> String {
    format!("{n} of {of}")
}

pub fn made_so_far(done: usize, of: usize) -> String {
    format!("{done} of {of} labels drawn…")
}

pub fn printed_many(n: usize) -> String {
    if n == 1 { PRINTED.to_owned() } else { format!("{n} labels marked as printed.") }
}

/// Of an address that names what is no thing: how many, and which.
pub fn unread(parts: &[String]) -> String {
    let some = super::count(parts.len(), "part", "parts");
    format!("{some} of this address can't be read and made no label: {}", parts.join(", "))
}

pub fn left_out(n: usize, why: &str) -> String {
    let some = super::count(n, "thing has", "things have");
    format!("{some} no label here. {why}")
}

pub fn shows_part(key: &str) -> &'static str {
    match key {
        "species" => "Species",
        "sex" => "Sex",
        "morph" => "Morph",
        "parents" => "Dam × sire",
        "laid" => "Laid",
        "eggs" => "Egg count",
        "look_from" => "Look-from date",
        "fill_to" => "Target weight",
        "code" => "Animal's code",
        "hatched" => "Hatched",
        "inside" => "Where it is",
        "notes" => "Strip for pencil",
        _ => "Line",
    }
}

pub const CHOOSE_TITLE: &str = "Print labels";
pub const OF_WHAT: &str = "Labels of";
pub const BOXES: &str = "Egg boxes";
pub const ENCLOSURES: &str = "Enclosures";
pub const TUBS: &str = "Baby tubs";
pub const PLACES: &str = "Places";
pub const WHICH_PLACES: &str = "Which places";
pub const ALL_PLACES: &str = "All places";
pub const ROOMS: &str = "Rooms, racks, incubators";
pub const SHELVES: &str = "Shelves";
pub const ALL_TUBS: &str = "Tubs and slots";
pub const WHICH: &str = "Which";
pub const WITHOUT: &str = "Without one yet";
pub const WRONG: &str = "Out of date";
pub const EVERY: &str = "All";
pub const CHOOSE_ALL: &str = "Choose all";
pub const CHOOSE_NONE: &str = "Choose none";
pub const NONE_WITHOUT: &str = "Everything of this kind has a label.";
pub const NONE_WRONG: &str = "Every printed window is still right.";
pub const NONE_AT_ALL: &str = "There is nothing of this kind yet.";

pub fn print_chosen(n: usize) -> String {
    if n == 0 { "Choose some".to_owned() } else { format!("Print {}", how_many(n)) }
}

pub fn more_rows(n: usize) -> String {
    format!("Show {n} more")
}

pub const LYING: &str = "Out-of-date labels";
pub const PRINT_THEM: &str = "Print these again";

/// `Box says look from 4 Jun; it is now 6 Jun`.
pub fn lying(printed: Option<&str>, now: Option<&str>) -> String {
    match (printed, now) {
        (Some(printed), Some(now)) => format!("Label says look from {printed}; now {now}"),
        (None, Some(now)) => format!("Label has no window; look from {now}"),
        (Some(printed), None) => format!("Label says look from {printed}; no window now"),
        (None, None) => String::new(),
    }
}

pub const PRINTER_TITLE: &str = "Check print size";
pub const PRINTER_HOW: &str = "Print the ruler page at 100 %, lay a ruler on it and type what you measure. Labels for this printer are then moved and stretched to come out right.";
pub const GET_RULER: &str = "Ruler page as PDF";
pub const PRINTER_NAME: &str = "Name of the printer";
pub const KEEP_PRINTER: &str = "Keep for this printer";
pub const PRINTER_KEPT: &str = "Kept on this device and used from now on.";
pub const NAME_PRINTER: &str = "Give the printer a name, so that it can be chosen again.";
pub const FORGET_PRINTER: &str = "Forget";
pub const PRINTERS: &str = "Printers measured";
pub const FROM_LEFT: &str = "Paper's left edge to the upright line, mm";
pub const FROM_TOP: &str = "Paper's upper edge to the level line, mm";

pub fn ruler_across(mm: f64) -> String {
    format!("Level ruler from 0 to {mm}, mm")
}

pub fn ruler_down(mm: f64) -> String {
    format!("Upright ruler from 0 to {mm}, mm")
}

/// `moved 1.2 mm right, 0.5 mm up; 99.2 % wide, 100.0 % high`.
pub fn correction(right: f64, down: f64, scale: (f64, f64)) -> String {
    let x = if right < 0.0 { "left" } else { "right" };
    let y = if down < 0.0 { "up" } else { "down" };
    format!(
        "moved {:.1} mm {x}, {:.1} mm {y}; {:.1} % wide, {:.1} % high",
        right.abs(),
        down.abs(),
        scale.0 * 100.0,
        scale.1 * 100.0
    )
}
