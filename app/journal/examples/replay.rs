//! Lines of several devices that do not come to one state, shrunk to the fewest that still do not:
//! `cargo run --release -p journal --example replay -- FILE…`, where each FILE is a bundle or holds one line of JSON
//! each. What is left goes to the standard output, in the order that shows the fault first.

#[path = "../tests/orders/mod.rs"]
mod orders;

use journal::{Entry, Id};
use orders::{Way, apart, ways};
use std::error::Error;
use std::process::ExitCode;

/// The lines of all files, how many each brought, and the books they are of.
struct Read {
    lines: Vec<String>,
    files: Vec<usize>,
    books: Vec<Id>,
}

fn read(names: &[String]) -> Result<Read, Box<dyn Error>> {
    let mut read = Read { lines: Vec::new(), files: Vec::new(), books: Vec::new() };
    for name in names {
        let bytes = std::fs::read(name).map_err(|why| format!("{name}: {why}"))?;
        let (lines, books) = if bytes.starts_with(b"PK") {
            let bundle = journal::bundle::read(&bytes, &mut |_, _| {}).map_err(|why| format!("{name}: {why}"))?;
            (bundle.lines, [vec![bundle.manifest.book], bundle.manifest.joined].concat())
        } else {
            let text = String::from_utf8(bytes).map_err(|_| format!("{name} is neither a bundle nor text"))?;
            let first = text.lines().next().ok_or_else(|| format!("{name} is empty"))?;
            let book = Entry::read(first).map_err(|why| format!("{name}: {why}"))?.book;
            (text.lines().map(str::to_owned).collect(), vec![book])
        };
        read.files.push(lines.len());
        read.lines.extend(lines);
        read.books.extend(books);
    }
    Ok(read)
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let names: Vec<String> = std::env::args().skip(1).collect();
    let read = read(&names)?;
    let [book, joined @ ..] = read.books.as_slice() else {
        return Err("usage: replay FILE…, each a bundle or lines of JSON".into());
    };
    let ways = ways(&read.files);
    let comes = |way: &Way| orders::real(&read.lines, way, *book, joined);
    let Some(found) = apart(&ways, &comes) else {
        eprintln!("{} lines come to one state in {} ways.", read.lines.len(), ways.len());
        return Ok(ExitCode::SUCCESS);
    };
    eprintln!("{} lines come apart; shrinking.", read.lines.len());
    let small = found.shrunk(&comes);
    let left = small.lines();
    left.iter().for_each(|line| println!("{}", read.lines[*line]));
    let number = |way: &Way| {
        let order: Vec<usize> =
            way.order.iter().filter_map(|line| Some(1 + left.iter().position(|other| other == line)?)).collect();
        format!("{order:?}, written down before the line at {:?}", way.cut)
    };
    eprintln!("{} lines are left. One way: {}. The other: {}.", left.len(), number(&small.one), number(&small.other));
    Ok(ExitCode::FAILURE)
}
