//! Spreadsheets brought in: good rows kept, bad ones told why.

mod common;

use book::acts::{Column, SheetBroughtIn, SheetOf, SheetRow, read_sheet};
use book::words::{Fate, Sex};
use common::*;

fn rows(text: &[&str]) -> Vec<Vec<String>> {
    text.iter().map(|line| line.split('|').map(str::to_owned).collect()).collect()
}

#[test]
fn animals_then_clutches_come_in_and_bad_rows_say_why() {
    let mut barn = Device::new(1);
    let columns = [Column::Code, Column::Name, Column::Species, Column::Sex, Column::Born].map(Some);
    let sheet = rows(&[
        "B07|Bel|Corn snake|f|2021-07-01",
        "M02|Moss||1.0|1 Jul 2020",
        "|||f|",
        "X1|Ash|Dragon||",
        "X2|Elm||both|",
        "X3|Oak|||01/02/2022",
        "X4|Fir|||2031-01-01",
    ]);
    let read = read_sheet(&barn.book, SheetOf::Animals, &columns, &sheet, barn.now);
    let expected = [
        "",
        "",
        "a code or a name",
        "No species here is called “Dragon”",
        "Write f, m or u",
        "two different days",
        "birth",
    ];
    for (row, expected) in read.iter().zip(expected) {
        match row {
            Ok(_) => assert_eq!(expected, ""),
            Err(said) => assert!(!expected.is_empty() && said.contains(expected), "{said}"),
        }
    }
    let good: Vec<SheetRow> = read.into_iter().flatten().collect();
    barn.act(&SheetBroughtIn { rows: good });
    let bel = barn.book.animals_coded("b07").next().expect("Bel").clone();
    assert_eq!((bel.name.as_deref(), bel.sex), (Some("Bel"), Some(Sex::Female)));
    let again = read_sheet(&barn.book, SheetOf::Animals, &columns, &sheet[..1], barn.now);
    assert!(again[0].as_ref().is_err_and(|said| said.contains("is here already")));

    let columns =
        [Column::Number, Column::Dam, Column::Sire, Column::Laid, Column::Good, Column::Slug, Column::Hatched];
    let sheet = rows(&[
        "24-001|Bel|M02|2024-05-02|8|1|6",
        "24-002|Nobody|||4||",
        "24-003|Bel||2024-05-02|4||5",
        "24-004|Bel|Bel|||||",
    ]);
    let read = read_sheet(&barn.book, SheetOf::Clutches, &columns.map(Some), &sheet, barn.now);
    let said: Vec<String> = read.iter().filter_map(|row| row.as_ref().err().cloned()).collect();
    assert!(said[0].contains("No animal here is called “Nobody”"), "{said:?}");
    assert!(said[1].contains("More hatched"), "{said:?}");
    assert_eq!(said.len(), 3, "a dam is not her own mate: {said:?}");
    let good: Vec<SheetRow> = read.into_iter().flatten().collect();
    assert_eq!(good.iter().map(SheetRow::records).collect::<Vec<_>>(), [10]);
    barn.act(&SheetBroughtIn { rows: good });
    let clutch = barn.book.clutches_numbered("24-001").next().expect("the clutch").clone();
    assert_eq!(clutch.dams, [bel.id]);
    let fates: Vec<Option<Fate>> = barn.book.eggs_of(&clutch.id).iter().map(|egg| egg.fate).collect();
    let of = |fate| fates.iter().filter(|egg| **egg == Some(fate)).count();
    assert_eq!((of(Fate::Hatched), of(Fate::Unknown), of(Fate::Removed)), (6, 2, 1));
}
