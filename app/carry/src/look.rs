//! Opening a bundle and saying what it would change.

use journal::bundle::{Arrivals, BadBundle, Bundle, DETAILS_ERASED, Detached, Heads, Ledger, Person, Signed, read};
use journal::{DeviceId, Digest, Fold, Hash, Id};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// What the page says of itself before a bundle is opened.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Asked {
    /// None where nothing has been written yet: the bundle's book becomes this device's.
    pub book: Option<Id>,
    #[serde(default)]
    pub joined: Vec<Id>,
    #[serde(default)]
    pub signed: BTreeMap<DeviceId, Signed>,
    /// The device asking, to find out whether somebody else writes under its id.
    #[serde(default)]
    pub own: Option<DeviceId>,
    /// Take another book's records as this barn's too.
    #[serde(default)]
    pub join: bool,
    /// Milliseconds since 1970 (UTC).
    pub wall_ms: u64,
}

/// What taking the bundle in would change, and what to keep beside its lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Looked {
    pub book: Id,
    /// Every book joined afterwards.
    pub joined: Vec<Id>,
    pub from: DeviceId,
    pub made: String,
    pub whole: bool,
    pub new: usize,
    pub known: usize,
    pub waiting: usize,
    pub changes: Vec<Change>,
    /// Kind, id and field of clashes that are not here now.
    pub clashes: Vec<(String, String, String)>,
    pub settled: usize,
    /// Devices whose clocks are more than a day ahead, with the milliseconds since 1970 they stamped last.
    pub odd_clocks: Vec<(DeviceId, u64)>,
    /// Device, its unsigned new acts, whether somebody else signed in its name.
    pub unvouched: Vec<(DeviceId, u32, bool)>,
    pub missing: Vec<(DeviceId, u32)>,
    /// Devices newly found to have been copied or restored.
    pub forks: Vec<DeviceId>,
    /// Whether this device's own id is used elsewhere, or its own later acts come back to it.
    pub own_elsewhere: bool,
    /// By kind, records before and after.
    pub counts: BTreeMap<String, (usize, usize)>,
    pub before_digest: Digest,
    pub after_digest: Digest,
    /// What the maker had, as its bundle says. Equal to ours only where both hold the same; from a bundle of form 1 it
    /// never is, so where the two differ nothing follows. None where the bundle does not say.
    #[serde(default)]
    pub their_digest: Option<Digest>,
    pub signed: BTreeMap<DeviceId, Signed>,
    /// How far the maker knows each device.
    pub heads: Heads,
    /// Details that may be stored: some line names them, and nobody erased them.
    pub people: Vec<Person>,
    /// All details erased for good, by digest: whatever is here of them is to go.
    #[serde(default)]
    pub erased: BTreeSet<Hash>,
    /// Of how many people the bundle brings word that their details were erased.
    #[serde(default)]
    pub erasing: usize,
    pub photos: usize,
}

/// What one person did.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// As the lines name them.
    pub by: String,
    /// Their name in the records, if there is one.
    pub name: Option<String>,
    pub acts: BTreeMap<String, u32>,
    pub from: String,
    pub to: String,
}

/// A bundle looked at: what is said, and what would be stored.
pub struct Parcel {
    pub looked: Looked,
    /// The new lines, a line end after each.
    pub lines: String,
    pub photos: Vec<(Hash, Vec<u8>)>,
}

/// Opens a bundle and compares it with `lines`, all this device holds.
///
/// # Errors
/// A sentence for the keeper.
pub fn look(ask: &Asked, lines: &str, file: &[u8], told: &mut dyn FnMut(usize, usize)) -> Result<Parcel, BadBundle> {
    let bundle = read(file, told)?;
    let mine = Ledger::of(ask.book.unwrap_or(bundle.manifest.book), ask.joined.iter().copied(), lines.lines());
    // A new phone has nothing to keep apart: what was joined elsewhere is joined here.
    let join = ask.join || ask.book.is_none();
    let arrivals = Arrivals::of(&mine, &bundle, &ask.signed, join, ask.wall_ms)?;
    let asked = bundle.people.iter().map(|(digest, _)| *digest);
    let detached = Detached::of(lines.lines().chain(arrivals.new.iter().map(String::as_str)), asked);
    let looked = looked(ask, mine.fold(), &bundle, &arrivals, detached);
    let mut lines = String::with_capacity(arrivals.new.iter().map(|line| line.len() + 1).sum());
    for line in &arrivals.new {
        lines.push_str(line);
        lines.push('\n');
    }
    Ok(Parcel { looked, lines, photos: bundle.photos })
}

fn looked(ask: &Asked, before: &Fold, bundle: &Bundle, arrivals: &Arrivals, detached: Detached) -> Looked {
    let (manifest, after) = (&bundle.manifest, &arrivals.after);
    let heads = manifest.devices.iter().filter_map(|(dev, device)| Some((*dev, (device.count, device.head?))));
    let own_elsewhere = ask.own.is_some_and(|own| {
        let end = |fold: &Fold| fold.chain(own).map_or((0, 0), |chain| (chain.seq, chain.held));
        end(before) != end(after) || arrivals.forks.iter().any(|fork| fork.dev == own)
    });
    let name = |by: &str| after.record("person", by).and_then(|person| person.text("name")).map(str::to_owned);
    Looked {
        book: after.book(),
        joined: after.joined().collect(),
        from: manifest.by,
        made: manifest.made.clone(),
        whole: manifest.whole,
        new: arrivals.new.len(),
        known: arrivals.known,
        waiting: arrivals.waiting,
        changes: arrivals
            .doings
            .iter()
            .map(|doing| Change {
                by: doing.by.clone(),
                name: name(&doing.by),
                acts: doing.acts.clone(),
                from: doing.from.clone(),
                to: doing.to.clone(),
            })
            .collect(),
        clashes: arrivals
            .clashes
            .iter()
            .map(|(key, field)| (key.kind.to_string(), key.id.to_string(), field.clone()))
            .collect(),
        settled: arrivals.settled,
        odd_clocks: arrivals.odd_clocks.iter().map(|odd| (odd.dev, odd.latest.ms())).collect(),
        unvouched: arrivals.unvouched.iter().map(|device| (device.dev, device.acts, device.forged)).collect(),
        missing: arrivals.missing.clone(),
        forks: arrivals.forks.iter().map(|fork| fork.dev).collect(),
        own_elsewhere,
        counts: arrivals.counts.clone(),
        before_digest: arrivals.before_digest,
        after_digest: arrivals.after_digest,
        their_digest: manifest.digest,
        signed: arrivals.signed.clone(),
        heads: heads.collect(),
        people: bundle
            .people
            .iter()
            .filter(|(digest, _)| detached.may_keep(digest))
            .map(|(_, person)| person.clone())
            .collect(),
        erasing: erasing(before, after),
        erased: detached.erased,
        photos: bundle.photos.len(),
    }
}

/// Of how many people details are erased in `after` that were not in `before`.
fn erasing(before: &Fold, after: &Fold) -> usize {
    let news = after.any_records(DETAILS_ERASED).filter(|(id, _)| before.any_record(DETAILS_ERASED, id).is_none());
    // One that says of nobody whose details they were counts for somebody of its own.
    let whose: BTreeSet<&str> = news.map(|(id, record)| record.text("contact").unwrap_or(id)).collect();
    whose.len()
}
