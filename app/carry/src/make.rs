//! Making a bundle.

use journal::bundle::{Contents, Detached, Heads, Ledger, Person, Signed, write};
use journal::{ChainHead, DeviceId, Hash, Id, SignedHead, Signs};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the page says of a bundle to be made.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Making {
    pub book: Id,
    #[serde(default)]
    pub joined: Vec<Id>,
    pub by: DeviceId,
    pub app: String,
    /// Local time and offset.
    pub made: String,
    /// This device's head, signed by it: the key stays where it is. Of other lines than those given, it is of no use.
    #[serde(default)]
    pub own: Option<Signed>,
    #[serde(default)]
    pub signed: BTreeMap<DeviceId, Signed>,
    /// How far the receiver last said it knows each device; none for everything.
    #[serde(default)]
    pub lacks: Option<Heads>,
    /// Details the keeper chose to send along. Ones that no line names, or that were erased, stay behind all the same.
    #[serde(default)]
    pub people: Vec<Person>,
    pub readme: String,
}

/// The file, whole.
///
/// # Errors
/// What the archive writer says.
pub fn make(
    ask: &Making,
    lines: &str,
    photos: &[(Hash, Vec<u8>)],
    told: &mut dyn FnMut(usize, usize),
) -> Result<Vec<u8>, String> {
    write_from(&ledger(ask, lines), ask, lines, photos, told)
}

/// For another device that shows what it has: how many entries it lacks and has besides, and a bundle of those it lacks; no
/// bundle where it lacks none.
///
/// # Errors
/// What the archive writer says.
pub fn answer(
    ask: &Making,
    theirs: &Heads,
    lines: &str,
    told: &mut dyn FnMut(usize, usize),
) -> Result<((u32, u32), Option<Vec<u8>>), String> {
    let ledger = ledger(ask, lines);
    let light::Gap { give, get } = light::gap(ledger.fold(), theirs);
    let ask = Making { lacks: Some(light::known(ledger.fold(), theirs)), ..ask.clone() };
    let file = (give > 0).then(|| write_from(&ledger, &ask, lines, &[], told)).transpose()?;
    Ok(((give, get), file))
}

fn ledger<'a>(ask: &Making, lines: &'a str) -> Ledger<'a> {
    Ledger::of(ask.book, ask.joined.iter().copied(), lines.lines())
}

fn write_from(
    ledger: &Ledger<'_>,
    ask: &Making,
    lines: &str,
    photos: &[(Hash, Vec<u8>)],
    told: &mut dyn FnMut(usize, usize),
) -> Result<Vec<u8>, String> {
    let detached = Detached::of(lines.lines(), ask.people.iter().filter_map(Person::digest));
    let may_leave = |person: &&Person| person.digest().is_some_and(|digest| detached.may_keep(&digest));
    let people: Vec<Person> = ask.people.iter().filter(may_leave).cloned().collect();
    let own = ask.own.map(|Signed { count, head, signature }| {
        let head = ChainHead { book: ask.book, dev: ask.by, seq: count, hash: head };
        SignedHead { head, signature }
    });
    let contents = Contents {
        by: ask.by,
        made: &ask.made,
        app: &ask.app,
        signer: own.as_ref().map(|own| own as &dyn Signs),
        signed: &ask.signed,
        lacks: ask.lacks.as_ref(),
        people: &people,
        photos,
        readme: &ask.readme,
    };
    write(ledger, &contents, told)
}
