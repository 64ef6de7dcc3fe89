//! A spreadsheet as keepers have them: read, asked about, put right, brought in, and brought in again.

#[path = "../../../book/tests/common/mod.rs"]
mod device;

use book::acts::{AnimalAdded, AnimalCard, SheetBroughtIn};
use book::words::{PlaceWhat, Sex, Went};
use book::{AnimalId, Book};
use desk::Units;
use desk::sheet::{Column, ColumnWay, Comes, DayOrder, DayWay, Fix, Question, SheetForm, SheetFound, SheetOf};
use device::{Device, alder_lane, at, g, when};
use std::collections::BTreeMap;
use trade::money::Money;

fn table(text: &str) -> Vec<(usize, Vec<String>)> {
    (1..).zip(text.lines()).map(|(n, line)| (n, line.split('|').map(|cell| cell.trim().to_owned()).collect())).collect()
}

struct Try {
    device: Device,
    form: SheetForm,
    minted: u64,
}

impl Try {
    fn new(text: &str) -> Try {
        Try::on(Device::new(1), text)
    }

    fn on(device: Device, text: &str) -> Try {
        let mut minted = 77;
        let today = device.now.date();
        let form = SheetForm::new(table(text), &BTreeMap::new(), &device.book, Units::default(), today, &mut || {
            next(&mut minted)
        });
        Try { device, form, minted }
    }

    fn found(&self) -> SheetFound {
        self.form.read(&self.device.book, Units::default(), self.device.now)
    }

    /// What comes of each row, in short.
    fn comes(&self) -> Vec<String> {
        let short = |comes: &Comes| match comes {
            Comes::New(_) => "new".to_owned(),
            Comes::Changes(_, columns) => format!("{columns:?}"),
            Comes::Here => "here".to_owned(),
            Comes::LeftOut => "left out".to_owned(),
            Comes::Bad(why) => why.join(" "),
        };
        self.found().rows.iter().map(|row| short(&row.comes)).collect()
    }

    fn place(&self, column: Column) -> usize {
        self.form.columns.iter().position(|own| *own == Some(column)).expect("such a column")
    }

    fn fix(&mut self, column: Column, cell: &str, fix: Fix) {
        let place = self.place(column);
        self.form.fixes.insert((place, cell.to_owned()), fix);
    }

    fn bring(&mut self) -> Vec<SheetBroughtIn> {
        let found = self.found();
        let minted = &mut self.minted;
        let acts = self.form.acts(&found, &self.device.book, &mut || next(minted));
        for act in &acts {
            self.device.act(act);
        }
        acts
    }

    fn book(&self) -> &Book {
        &self.device.book
    }

    fn id(&self, code: &str) -> AnimalId {
        self.book().animals_coded(code).next().expect(code).id.clone()
    }
}

fn next(minted: &mut u64) -> journal::Id {
    *minted += 1;
    let [_, _, _, a, b, c, d, e] = minted.to_be_bytes();
    journal::Id::mint([a, b, c, d, e])
}

const BARN: &str = "Animals of the barn|||||||||||
|||||||||||
Code|Name|Species|Sex|DOB|Dam|Sire|Weight (g)|Location|Status|Price (EUR)|Notes
Y01|Ash|corn|f|12/7/2024|B07|M02|310|Rack 1 / 3|for sale|80|eats well
B07|Bel|Corn Snake|0.1|1/7/2021|||1,240|Rack 1 / 10|||
M02|Moss|Kornnatter|m|25/6/2020|||980.5|Rack 1 / 2|||
S01|Oak|BP|m|2019|||||sold||
S02|Elm|BP|m|2019|||||sold 2024||";

#[test]
fn a_whole_barn_comes_in_with_one_look() {
    let mut sheet = Try::new(BARN);
    assert_eq!((sheet.form.what, sheet.form.above), (SheetOf::Animals, 2));
    assert!(sheet.form.columns.iter().all(Option::is_some), "{:?}", sheet.form.columns);
    let found = sheet.found();
    assert_eq!(found.unclear, []);
    assert_eq!(sheet.comes(), ["new"; 5]);
    assert_eq!(found.settled, [(4, "25/6/2020".to_owned(), DayOrder::DayFirst)]);
    // Unit and currency stand in the headings.
    let asked: Vec<&Question> = found.questions.iter().map(|(_, question)| question).collect();
    assert_eq!(asked, [&Question::WeighedOn, &Question::Places(3, "Rack 1 / 10".to_owned())]);
    // The parents come first.
    let acts = sheet.bring();
    assert_eq!(acts.len(), 1);
    let ash = sheet.id("Y01");
    let book = sheet.book();
    let animal = book.animal(&ash).expect("Ash");
    assert_eq!((animal.dam.clone(), animal.sire.clone()), (Some(sheet.id("B07")), Some(sheet.id("M02"))));
    assert_eq!((animal.born, animal.sex), (Some(when("2024-07-12")), Some(Sex::Female)));
    assert_eq!(animal.asked.map(Money::text), Some("80.00 EUR".into()));
    assert_eq!(animal.note.as_deref(), Some("eats well"));
    assert_eq!(book.weights(&sheet.id("B07"))[0].0, g(1240), "another cell says that the comma parts thousands");
    assert_eq!(book.weights(&sheet.id("M02"))[0].0, g(980) + trade::units::Mass(500));
    let sold = book.animal(&sheet.id("S01")).expect("Oak");
    assert_eq!((sold.went, sold.born), (Some(Went::Sold), Some(when("2019-01-01/2019-12-31"))));
    // A status that says the year too.
    let elm = book.animal(&sheet.id("S02")).expect("Elm");
    assert_eq!((elm.went, elm.went_when), (Some(Went::Sold), Some(when("2024-01-01/2024-12-31"))));
    // A rack with its tubs in walking order.
    let rack = book.places().into_iter().find(|place| place.name.as_deref() == Some("Rack 1")).expect("a rack").clone();
    let tubs: Vec<_> = book
        .places_in(Some(&rack.id))
        .into_iter()
        .map(|tub| (tub.what, tub.name.clone().unwrap_or_default()))
        .collect();
    assert_eq!(rack.what, Some(PlaceWhat::Rack));
    assert_eq!(tubs, ["2", "3", "10"].map(|name| (Some(PlaceWhat::Tub), name.to_owned())));
    // Brought in again, all is here.
    assert_eq!(sheet.comes(), ["here"; 5]);
    assert_eq!(sheet.found().counts(), (0, 0));
}

#[test]
fn what_a_column_leaves_open_is_asked_once() {
    let mut sheet = Try::new("Code|Born|Weight|Price\nA|5/3/24|1,240|80\nB|4/3/24|1,100|\nC|3-May|900|");
    let questions: Vec<Question> = sheet.found().questions.into_iter().map(|(_, question)| question).collect();
    assert!(
        matches!(&questions[..], [
        Question::Order(cell, ways), Question::Year(year), Question::Mark(mark), Question::Unit, Question::WeighedOn,
        Question::Currency,
    ] if cell == "5/3/24" && ways.len() == 2 && year == "3-May" && mark == "1,240"),
        "{questions:?}"
    );
    assert!(sheet.comes().iter().all(|said| said.contains("Say above")), "{:?}", sheet.comes());
    let born = sheet.place(Column::Born);
    sheet
        .form
        .ways
        .insert(born, ColumnWay { day: DayWay { order: Some(DayOrder::MonthFirst), year: Some(2023) }, mark: None });
    let weight = sheet.place(Column::Weight);
    sheet.form.ways.insert(weight, ColumnWay { day: DayWay::default(), mark: Some('.') });
    sheet.form.currency = trade::money::Currency::of("USD");
    sheet.form.weighed_on = "2026-06-01".to_owned();
    assert_eq!(sheet.comes(), ["new"; 3]);
    // Answered questions still stand there, or the answer could not be changed.
    assert_eq!(sheet.found().questions.len(), 6);
    sheet.bring();
    let book = sheet.book();
    assert_eq!(book.animal(&sheet.id("A")).and_then(|a| a.born), Some(when("2024-05-03")));
    assert_eq!(book.animal(&sheet.id("C")).and_then(|a| a.born), Some(when("2023-05-03")));
    assert_eq!(book.weights(&sheet.id("A")), [(g(1240), Some(when("2026-06-01")))]);
}

#[test]
fn equal_cells_are_put_right_together() {
    let mut sheet = Try::new("Code|Species|Sex|Dam\nA|Dragon|f|\nB|Dragon|both|\nC|corn|f|Nobody\nD|Wyvern|m|");
    let unclear: Vec<(String, usize, usize)> =
        sheet.found().unclear.into_iter().map(|cells| (cells.cell, cells.rows, cells.first)).collect();
    let of = |cell: &str, rows: usize, first: usize| (cell.to_owned(), rows, first);
    assert_eq!(unclear, [of("Dragon", 2, 2), of("both", 1, 3), of("Nobody", 1, 4), of("Wyvern", 1, 5)]);
    sheet.fix(Column::Species, "Dragon", Fix::As("python-regius".to_owned()));
    sheet.fix(Column::Sex, "both", Fix::As("?".to_owned()));
    sheet.fix(Column::Dam, "Nobody", Fix::As(String::new()));
    sheet.fix(Column::Species, "Wyvern", Fix::LeaveOut);
    assert_eq!(sheet.comes(), ["new", "new", "new", "left out"]);
    // They stand there still, without a fault.
    let unclear = sheet.found().unclear;
    assert!(unclear.len() == 4 && unclear.iter().all(|cells| cells.why.is_none()), "{unclear:?}");
    sheet.bring();
    assert_eq!(sheet.book().animal(&sheet.id("B")).and_then(|b| b.species.clone()).as_deref(), Some("python-regius"));
    assert_eq!(sheet.book().animals().len(), 3);
    // What is said of one column's cells is not of another's.
    assert!(sheet.form.fixes.keys().all(|(place, _)| *place > 0));
}

#[test]
fn rows_are_checked_beside_each_other() {
    let sheet = Try::new(
        "Code|Name|Sex|Born|Dam|Sire\nA|Ann|f|2020|B|\nB|Bea|f|2018|C|\nC|Cam|f|2016|A|\nD|Dan|m|2020||\nE|Eve|f|2021|D|\n\
         F|Fay|f|2017|E|\nZ|Dot|f|||\nG|Gil|m||X|\nH|Hal|m||H|\n|Ivy|f|||\n|Ivy|f|||\nK|Kim|f||Ivy|\nL|Lee|m||E|E\n|||||\nz|Zoe|f|||",
    );
    let comes = sheet.comes();
    for (row, part) in [
        (0, "descends from itself"),
        (1, "descends from itself"),
        (2, "descends from itself"),
        (3, "new"),
        (4, "Its dam, Dan · D in row 5, is male"),
        (5, "Its dam, Eve · E in row 6, does not come in"),
        (6, "new"),
        (7, "No animal here or in the sheet is called “X”"),
        (8, "“H” is the row itself"),
        (9, "new"),
        (11, "More than one animal of the sheet is called “Ivy”"),
        (12, "Dam and sire are one animal"),
        (13, "a code or a name"),
        (14, "Code “z” is already in row 8"),
    ] {
        assert!(comes[row].contains(part), "row {row}: {}", comes[row]);
    }
}

#[test]
fn a_sheet_that_was_changed_comes_back_by_its_ids() {
    let mut sheet = Try::new("Code|Name|Weight\nA|Ann|300\nB|Bea|400");
    sheet.bring();
    let (a, b) = (sheet.id("A"), sheet.id("B"));
    let text = format!(
        "Code|Name|Weight|Weighed on|Candlemark id\nA|Anna|300|2026-06-09|{a}\nB||450|2026-06-09|{b}\nC|Cleo|||\nD|Dora|||N0NE0000\n|Anni|||{a}"
    );
    let mut again = Try::on(sheet.device, &text);
    let comes = again.comes();
    assert_eq!(comes[..3], ["[Name]", "[Weight]", "new"]);
    assert_eq!(comes[3], "new", "an id of other records names nobody here");
    assert!(comes[4].contains("is already in row 2"), "{}", comes[4]);
    again.bring();
    let name = |id: &AnimalId| again.book().animal(id).and_then(|animal| animal.name.clone());
    assert_eq!((name(&a), name(&b)), (Some("Anna".into()), Some("Bea".into())), "an empty cell takes nothing away");
    assert_eq!(again.book().weights(&b).len(), 2);
    assert_eq!(again.book().weights(&a).len(), 1);
}

#[test]
fn an_animal_that_is_here_is_known_by_its_code_or_its_only_name() {
    let mut sheet = Try::new(
        "Code|Name|Species|Weight\nL1|Luna|ball python|1650\nZ1|Zeus|ball python|900\n|Ivy|corn|300\n|Ivy|corn|310",
    );
    sheet.bring();
    let luna = sheet.id("L1");
    let text = "Code|Name|Species|Weight|Weighed on\nL1|Luna|ball python|1800|2026-06-08\n|zeus||950|2026-06-08\nZ1|Hera|corn||\n\
                Z1||corn||\n|Ivy|corn|320|2026-06-08\n|Zeus||960|2026-06-09\n|Zeus|corn|200|2026-06-09";
    let mut again = Try::on(sheet.device, text);
    let comes = again.comes();
    assert_eq!(comes[0], "[Weight]", "by its code");
    assert_eq!(comes[1], "[Name, Weight]", "by its only name, in any case");
    assert!(comes[2].contains("belongs to Zeus"), "another name: {}", comes[2]);
    assert!(comes[3].contains("belongs to Zeus"), "another species: {}", comes[3]);
    assert_eq!(comes[4], "new", "two are called so: it is neither");
    assert!(comes[5].contains("is already in row 3"), "{}", comes[5]);
    assert_eq!(comes[6], "new", "another species, no code: another animal");
    again.bring();
    assert_eq!(again.book().weights(&luna).len(), 2);
    // Named by its code in one row, by its name alone in another.
    let text = "Code|Name|Weight|Weighed on\nL1||1850|2026-06-09\n|Luna|1860|2026-06-09";
    let comes = Try::on(again.device, text).comes();
    assert_eq!(comes[0], "[Weight]");
    assert!(comes[1].contains("is changed by row 2 already"), "{}", comes[1]);
}

#[test]
fn a_code_that_two_animals_have_names_neither() {
    let mut device = Device::new(1);
    for name in ["Ann", "Bea"] {
        let card = AnimalCard { code: "X1".to_owned(), name: name.to_owned(), ..AnimalCard::default() };
        device.act(&AnimalAdded { id: None, card, place: None });
    }
    let comes = Try::on(device, "Code|Weight\nX1|300").comes();
    assert!(comes[0].contains("More than one animal here has the code"), "{}", comes[0]);
}

#[test]
fn sums_and_headings_among_the_rows_are_no_records() {
    let sheet = Try::new(
        "Name|Species|Weight\nBob|corn|300\nTotal||300\nTOTAL 3|corn|\nCorn snakes:||\nSumme|5|\nPage 2 of 3||\nTotoro|corn|\nPage|corn|",
    );
    let comes = sheet.comes();
    for said in &comes[1..6] {
        assert!(said.contains("looks like a sum or a heading"), "{said}");
    }
    assert_eq!([&comes[0], &comes[6], &comes[7]], ["new"; 3]);
}

#[test]
fn eggs_are_all_of_them_and_good_ones_are_good() {
    let device = Try::new("Name|Sex\nLuna|f\nZeus|m");
    let mut animals = device;
    animals.bring();
    let text = "Clutch|Dam|Sire|Laid|Eggs|Good|Slugs\nC1|Luna|Zeus|2024-05-01|9|8|1\nC2|Luna||2025-05-01|9||2\nC3|Luna||2026-05-01|9|9|1\n\
                C4|Luna||2023-05-01|2||3\nC5|Zeus|Luna|2022-05-01|5|5|0";
    let mut sheet = Try::on(animals.device, text);
    let comes = sheet.comes();
    assert_eq!([&comes[0], &comes[1]], ["new"; 2]);
    assert!(comes[2].contains("9 eggs, but good, bad and slugs make 10"), "{}", comes[2]);
    assert!(comes[3].contains("2 eggs, but bad eggs and slugs make 3"), "{}", comes[3]);
    assert!(
        comes[4].contains("Its dam, Zeus, is male") && comes[4].contains("Its sire, Luna, is female"),
        "{}",
        comes[4]
    );
    sheet.bring();
    let counts = |number: &str| {
        let clutch = sheet.book().clutches_numbered(number).next().expect("brought in");
        let counts = clutch.counts().expect("counted");
        (counts.good, counts.slug)
    };
    assert_eq!((counts("C1"), counts("C2")), ((8, 1), (7, 2)));
}

#[test]
fn a_column_without_cells_is_not_remembered_as_left_out() {
    let said = Try::new("Name|Species|Price\nAnn|corn|").form.said();
    assert!(said.keys().any(|head| head.contains("species")));
    assert!(!said.keys().any(|head| head.contains("price")), "{said:?}");
}

/// What is taken out, with numbers and texts as a spreadsheet has them, and back in.
#[test]
fn what_is_taken_out_comes_back_and_changes_nothing() {
    let (book, now) = (alder_lane("2026-06-09"), at("2026-06-09T20:00"));
    let sheets = desk::sheet::tables(&book);
    let animals = sheets.iter().find(|sheet| sheet.word == "animal").expect("animals");
    let text = |value: &serde_json::Value| {
        value.as_str().map_or_else(|| if value.is_null() { String::new() } else { value.to_string() }, str::to_owned)
    };
    let rows: Vec<(usize, Vec<String>)> =
        (1..).zip(&animals.rows).map(|(n, row)| (n, row.iter().map(text).collect())).collect();
    let head = &rows[0].1;
    assert!(
        head.starts_with(&["Code".into(), "Name".into(), "Species".into()])
            && head.last().is_some_and(|last| last == "Candlemark id"),
        "{head:?}"
    );
    let mut minted = 5;
    let today = now.date();
    let mut form =
        SheetForm::new(rows.clone(), &BTreeMap::new(), &book, Units::default(), today, &mut || next(&mut minted));
    let found = form.read(&book, Units::default(), now);
    for row in &found.rows {
        assert_eq!(row.comes, Comes::Here, "row {} {}: {:?}", row.number, row.called, form.heads);
    }
    // A changed cell comes back as a change of that animal.
    let name = head.iter().position(|head| head == "Name").expect("names");
    form.rows[0].1[name] = "Nutmeg".to_owned();
    let found = form.read(&book, Units::default(), now);
    assert!(matches!(&found.rows[0].comes, Comes::Changes(_, columns) if *columns == [Column::Name]));
    assert_eq!(found.counts(), (1, 0));
}

#[test]
fn no_id_stands_in_a_sheet_but_in_its_last_column() {
    let book = alder_lane("2026-06-09");
    let is_id =
        |text: &str| text.len() == 8 && book.journal().kinds().any(|word| book.journal().record(word, text).is_some());
    let mut cells = 0;
    for sheet in desk::sheet::tables(&book) {
        for row in &sheet.rows[1..] {
            assert_eq!(row.len(), sheet.rows[0].len());
            let (_, row) = row.split_last().expect("an id");
            for text in row.iter().filter_map(serde_json::Value::as_str) {
                cells += 1;
                let ids: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| is_id(word)).collect();
                assert!(ids.is_empty() || sheet.word == "label_print", "{}: {text}", sheet.word);
            }
        }
    }
    assert!(cells > 5_000, "{cells}");
}

#[test]
fn clutches_come_in_with_counts_and_parents() {
    let mut animals = Try::new("Code|Name|Sex\nB07|Bel|f\nM02|Moss|m");
    animals.bring();
    let text = "Clutch|Dam|Sire|Lay date|Good|Slugs|Hatched\n24-001|Bel|M02|2024-05-02|8|1|6\n24-002|Nobody|||4||\n\
                24-003|Bel||2024-05-02|4||5\n24-004|Bel|Bel||||\n24-001|Bel|||3||\n24-006|Bel|||3l||";
    let mut sheet = Try::on(animals.device, text);
    assert_eq!(sheet.form.what, SheetOf::Clutches);
    let comes = sheet.comes();
    for (row, part) in [
        (0, "new"),
        (1, "No animal here is called “Nobody”"),
        (2, "More hatched"),
        (3, "Bel"),
        (4, "is already in row 2"),
        (5, "Good eggs"),
    ] {
        assert!(comes[row].contains(part), "row {row}: {}", comes[row]);
    }
    sheet.bring();
    assert_eq!(sheet.book().clutches_numbered("24-001").count(), 1);
    assert_eq!(sheet.comes()[0], "here");
}

#[test]
fn what_headings_were_said_to_be_is_remembered() {
    let mut sheet = Try::new("Ref|Thing|Name\nA|Acorn|Ann");
    assert_eq!(sheet.form.columns, [None, None, Some(Column::Name)]);
    sheet.form.columns = vec![Some(Column::Code), None, None];
    let said = sheet.form.said();
    let mut minted = 5;
    let book = &sheet.device.book;
    let today = sheet.device.now.date();
    let rows = table("Name|REF|Thing\nAnn|A|Acorn");
    let form = SheetForm::new(rows, &said, book, Units::default(), today, &mut || next(&mut minted));
    assert_eq!(form.columns, [None, Some(Column::Code), None]);
}

#[test]
fn the_same_tap_twice_makes_the_same_records() {
    let mut sheet = Try::new(BARN);
    let found = sheet.found();
    let mut acts = || {
        let (book, minted) = (&sheet.device.book, &mut sheet.minted);
        format!("{:?}", sheet.form.acts(&found, book, &mut || next(minted)))
    };
    assert_eq!(acts(), acts());
}

/// As where an act of it could not be stored: the keeper reads what is left, and brings that in.
#[test]
fn what_came_in_before_is_not_brought_in_again() {
    let mut sheet = Try::new("Name|Weight\nAnn|300\nBea|400");
    let mut half = sheet.found();
    half.rows[1].comes = Comes::LeftOut;
    let minted = &mut sheet.minted;
    for act in sheet.form.acts(&half, &sheet.device.book, &mut || next(minted)) {
        sheet.device.act(&act);
    }
    assert_eq!(sheet.comes(), ["here", "new"]);
    sheet.bring();
    assert_eq!(sheet.comes(), ["here", "here"]);
    let ids: Vec<AnimalId> = sheet.book().animals().into_iter().map(|animal| animal.id.clone()).collect();
    assert_eq!(ids.iter().map(|id| sheet.book().weights(id).len()).collect::<Vec<_>>(), [1, 1]);
}

#[test]
fn a_unit_in_a_heading_counts_whoever_said_what_the_column_is() {
    let mut sheet = Try::new("Code|Gew (kg)|Preis (USD)\nA|1.5|80");
    assert_eq!(sheet.form.columns, [Some(Column::Code), None, Some(Column::Price)]);
    sheet.form.columns[1] = Some(Column::Weight);
    assert_eq!(sheet.comes(), ["new"]);
    sheet.bring();
    let a = sheet.id("A");
    assert_eq!(sheet.book().weights(&a)[0].0, g(1500));
    assert_eq!(sheet.book().animal(&a).and_then(|a| a.asked).map(Money::text), Some("80.00 USD".into()));
}

#[test]
fn a_place_of_many_is_no_tub() {
    let mut sheet =
        Try::new("Code|Place\nA|North wall\nB|North wall\nC|North wall\nD|Tank 1\nE|Tank 1\nF|Barn / Rack 9 / 1");
    sheet.bring();
    let mut made: Vec<(String, Option<PlaceWhat>)> =
        sheet.book().places().into_iter().map(|place| (place.name.clone().unwrap_or_default(), place.what)).collect();
    made.sort();
    let of = |name: &str, what| (name.to_owned(), Some(what));
    let expected = [
        of("1", PlaceWhat::Tub),
        of("Barn", PlaceWhat::Room),
        of("North wall", PlaceWhat::Rack),
        of("Rack 9", PlaceWhat::Rack),
        of("Tank 1", PlaceWhat::Tub),
    ];
    assert_eq!(made, expected);
}

/// No cell makes it stop, whatever column it stands in, and what is refused says why.
#[test]
fn any_cell_in_any_column_is_read_or_told() {
    const ODD: [&str; 24] = [
        "",
        " ",
        "?",
        "-",
        "0",
        "1",
        "1,234",
        "1.234,5",
        "12..5",
        "5/3/26",
        "3-May",
        "2024",
        "9999",
        "♀",
        "Rack 1 / / 3",
        "/",
        "=1+1",
        "nan",
        "1e9",
        "٣",
        "İ",
        "ſ",
        "\u{200b}",
        "4294967296",
    ];
    let mut tried = 0;
    for what in [SheetOf::Animals, SheetOf::Clutches] {
        for column in Column::of(what) {
            let mut sheet = Try::new("Code|Name\nA|Ann");
            sheet.form = {
                let rows: String = ODD.iter().map(|odd| format!("A{tried}|{odd}\n")).collect();
                Try::new(&format!("Code|Other\n{rows}")).form
            };
            let first = if what == SheetOf::Animals { Column::Code } else { Column::Number };
            sheet.form.what = what;
            sheet.form.columns = vec![Some(first).filter(|first| first != column), Some(*column)];
            for (row, cell) in sheet.found().rows.iter().zip(ODD) {
                tried += 1;
                if let Comes::Bad(why) = &row.comes {
                    assert!(
                        !why.is_empty() && why.iter().all(|why| why.ends_with(['.', '…'])),
                        "{column:?} {cell}: {why:?}"
                    );
                }
            }
        }
    }
    assert!(tried > 600, "{tried}");
}
