//! What this program reads, for other programs to be told against: `cargo run -p journal --example reads -- FILE`. Of a
//! bundle, one line of JSON: how many lines, acts that are folded, people and pictures it has. Of any other file, for
//! each line `entry`, or `refused` and why.

use journal::Entry;
use journal::bundle::{Arrivals, Ledger, read};
use std::collections::BTreeMap;
use std::error::Error;

/// 2026-06-09, 12:00 UTC.
const NOON: u64 = 1_781_006_400_000;

fn main() -> Result<(), Box<dyn Error>> {
    let name = std::env::args().nth(1).ok_or("usage: reads FILE, a bundle or lines of JSON")?;
    let bytes = std::fs::read(&name).map_err(|why| format!("{name}: {why}"))?;
    if !bytes.starts_with(b"PK") {
        for line in String::from_utf8(bytes)?.split('\n') {
            match Entry::read(line) {
                Ok(_) => println!("entry"),
                Err(why) => println!("refused {why}"),
            }
        }
        return Ok(());
    }
    let bundle = read(&bytes, &mut |_, _| {})?;
    let empty = Ledger::of(bundle.manifest.book, [], []);
    let arrivals = Arrivals::of(&empty, &bundle, &BTreeMap::new(), true, NOON)?;
    let chains: Vec<_> = arrivals.after.chains().collect();
    let stated = |dev| bundle.manifest.devices.get(&dev).map(|device| (device.count, device.head));
    let heads = chains.iter().filter(|chain| chain.folded + chain.held > 0);
    println!(
        "{}",
        serde_json::json!({
            "lines": bundle.lines.len(), "folded": chains.iter().map(|chain| chain.folded).sum::<u32>(),
            "heads": heads.clone().all(|chain| stated(chain.dev) == Some((chain.seq, chain.hash))),
            "devices": bundle.manifest.devices.len(), "people": bundle.people.len(), "photos": bundle.photos.len(),
        })
    );
    Ok(())
}
