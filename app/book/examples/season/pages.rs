//! What the pages ask that add up a whole barn: `… --example season -- pages [DAYS]`, looked at so many days after the last entry.

use super::barn::season;
use super::{SEASON, ms};
use book::Book;
use book::views::*;
use chrono::{NaiveDateTime, TimeDelta};

/// Of a line: in a book that has just been opened and has drawn Rounds, and asked once more.
type Ask<'a> = (&'a str, &'a dyn Fn(&Book, NaiveDateTime));

pub fn tell(days: i64) -> Result<(), String> {
    let barn = season(SEASON)?;
    let now = barn.now + TimeDelta::days(days);
    let shot = barn.book.snapshot();
    let drop_all = |parts: Vec<String>| drop(std::hint::black_box(parts));
    let whole = |book: &Book| gather(book, now, &WhatIf::default());
    let asks: [Ask<'_>; 18] = [
        ("boxes", &|book, now| drop(box_rows(book, now))),
        ("gather", &|book, _| drop(whole(book))),
        ("  + draw", &|book, _| drop(whole(book).draw(&Scope::All))),
        ("  + both", &|book, _| drop(whole(book).both(&Scope::All))),
        ("  + both, needs", &|book, _| {
            let gathered = whole(book);
            drop(needs(book, &gathered, &gathered.both(&Scope::All)));
        }),
        ("  + both, wishes", &|book, _| drop(weighed_wishes(book, &whole(book).both(&Scope::All)))),
        ("  + strip", &|book, _| drop(whole(book).strip(&Scope::All))),
        ("  + choices", &|book, _| drop(whole(book).choices(book))),
        ("look back", &|book, now| drop(LookBack::of(book, now))),
        ("  + hatched by shelf", &|book, now| drop(LookBack::of(book, now).behind(Of::Hatched, By::Shelf))),
        ("  + all by species", &|book, now| {
            let back = LookBack::of(book, now);
            Of::ALL.into_iter().for_each(|of| drop(back.behind(of, By::Species)));
        }),
        ("losses", &|book, _| drop(losses(book))),
        ("days", &|book, _| drop(days_lines(book))),
        ("wall", &|book, now| drop(wall(book, now))),
        ("due dams", &|book, now| drop(due_dams(book, now))),
        ("names of all", &|book, _| drop_all(book.animals().iter().map(|a| book.animal_name(&a.id)).collect())),
        ("digest", &|book, _| drop_all(vec![book.journal().digest().to_string()])),
        ("chains", &|book, _| drop(book.journal().chains().collect::<Vec<_>>())),
    ];
    for (name, ask) in asks {
        let book = Book::restore(&shot).map_err(|why| why.to_string())?;
        drop(rounds(&book, now));
        let first = ms(1, |_| ask(&book, now));
        println!("{name}: first_ms={first:.1} again_ms={:.1}", ms(5, |_| ask(&book, now)));
    }
    Ok(())
}
