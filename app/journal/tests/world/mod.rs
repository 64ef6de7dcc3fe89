//! A made-up barn of several devices that write, copy each other, lose clocks and get cloned, and an oracle
//! that adds lines up straight from the definition.
#![allow(dead_code)]

pub mod alike;

use journal::{
    Digest, Draft, DraftSet, Entry, Fold, Hash, Head, Id, Identity, Named, PublicKey, Record, Ref, Stamp, Tip,
    WITHDRAWN, Wall, seal,
};
use proptest::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// How many devices a made-up barn has.
pub const DEVICES: usize = 5;
pub const NOON: u64 = 1_780_000_000_000;
pub const HOUR: u64 = 60 * 60 * 1000;
pub const KINDS: [&str; 3] = ["animal", "egg", "kind_of_next_year"];
pub const FIELDS: [&str; 4] = ["name", "note", "mass_mg", "field_of_next_year"];

pub fn book() -> Id {
    Id::mint([7; 5])
}

pub fn record_id(n: u8) -> String {
    Id::mint([1, 1, 1, 1, n]).to_string()
}

#[derive(Clone)]
pub struct Device {
    pub identity: Identity,
    pub tip: Tip,
    pub fold: Fold,
    pub lines: Vec<String>,
    places: HashMap<Ref, usize>,
    /// Milliseconds since 1970.
    pub wall: u64,
    /// Writes lines of form 1, as an app did that was not updated yet.
    pub old: bool,
}

impl Device {
    pub fn new(n: u8, wall: u64) -> Device {
        // The journal only carries the key, and making one takes long without optimisation.
        let key = PublicKey([n; 32]);
        let identity =
            Identity { book: book(), dev: Id::mint([0, 0, 0, 0, n]), by: format!("P{n}"), app: "0.1.0".into(), key };
        Device {
            identity,
            tip: Tip::default(),
            fold: Fold::new(book()),
            lines: Vec::new(),
            places: HashMap::new(),
            wall,
            old: false,
        }
    }

    /// Seals an act as storage would, with `extra` spliced into the line as a newer version might write it.
    pub fn act(&mut self, draft: Draft, extra: Option<&str>) -> Ref {
        let tip = Tip { clock: self.tip.clock.see(self.fold.clock(self.wall), self.wall), ..self.tip };
        let wall = Wall { ms: self.wall, text: "2026-06-09T21:40+02:00".into() };
        let sealed = seal(draft, &self.identity, &tip, &wall).expect("a draft of this world is sound");
        let line = match extra {
            Some(extra) => sealed.line.replacen('{', &format!("{{{extra},"), 1),
            None => sealed.line,
        };
        let line = if self.old { alike::form_1(&line) } else { line };
        let entry = Entry::read(&line).expect("an unknown part does not make a line unreadable");
        self.tip = Tip { prev: Some(entry.hash), ..sealed.tip };
        self.receive(&line);
        entry.reference
    }

    pub fn set(&mut self, kind: &str, id: &str, fields: Value) -> Ref {
        let set = self.fold.set(kind, id, map(fields));
        self.act(Draft { act: "Noted".into(), sets: vec![set], ..Draft::default() }, None)
    }

    pub fn receive(&mut self, line: &str) {
        let entry = Entry::read(line).expect("a sealed line reads");
        let reference = entry.reference;
        self.fold.take_entry(entry).expect("a sealed line is taken");
        if !self.places.contains_key(&reference) {
            self.places.insert(reference, self.lines.len());
            self.lines.push(line.to_owned());
        }
    }

    /// All kept entries so named.
    pub fn named(&self, named: &Named) -> Vec<Entry> {
        let found = self.places.iter().filter(|(reference, _)| named.means(reference));
        found.filter_map(|(reference, _)| self.find(reference)).collect()
    }

    pub fn find(&self, reference: &Ref) -> Option<Entry> {
        let line = self.lines.get(*self.places.get(reference)?)?;
        Some(Entry::read(line).expect("a kept line reads again"))
    }

    /// Undoes an act; says whether there was anything to undo.
    pub fn undo(&mut self, reference: &Ref) -> Option<Ref> {
        let entry = self.find(reference)?;
        let draft = self.fold.undo(&entry, |named| self.named(named)).draft?;
        Some(self.act(draft, None))
    }
}

pub fn map(value: Value) -> Map<String, Value> {
    value.as_object().cloned().expect("an object")
}

#[derive(Clone, Debug)]
pub enum Step {
    Write { dev: usize, kind: usize, id: u8, field: usize, value: u8 },
    Pair { dev: usize, id: u8, value: u8 },
    Observe { dev: usize, value: u8 },
    Newer { dev: usize, id: u8 },
    Withdraw { dev: usize, kind: usize, id: u8 },
    Undo { dev: usize, back: usize },
    Settle { dev: usize },
    Sync { from: usize, to: usize, share: usize },
    Wall { dev: usize, hours: i64 },
    Tick { dev: usize },
    Clone { dev: usize },
    Update { dev: usize },
}

pub fn steps() -> impl Strategy<Value = Vec<Step>> {
    let dev = 0..DEVICES;
    let step = prop_oneof![
        8 => (dev.clone(), 0..3usize, 0..3u8, 0..4usize, 0..4u8)
            .prop_map(|(dev, kind, id, field, value)| Step::Write { dev, kind, id, field, value }),
        2 => (dev.clone(), 0..3u8, 0..4u8).prop_map(|(dev, id, value)| Step::Pair { dev, id, value }),
        1 => (dev.clone(), 0..4u8).prop_map(|(dev, value)| Step::Observe { dev, value }),
        1 => (dev.clone(), 0..3u8).prop_map(|(dev, id)| Step::Newer { dev, id }),
        1 => (dev.clone(), 0..3usize, 0..3u8).prop_map(|(dev, kind, id)| Step::Withdraw { dev, kind, id }),
        2 => (dev.clone(), 0..6usize).prop_map(|(dev, back)| Step::Undo { dev, back }),
        1 => dev.clone().prop_map(|dev| Step::Settle { dev }),
        6 => (dev.clone(), dev.clone(), 0..9usize).prop_map(|(from, to, share)| Step::Sync { from, to, share }),
        1 => (dev.clone(), -30_000..30_000i64).prop_map(|(dev, hours)| Step::Wall { dev, hours }),
        4 => dev.clone().prop_map(|dev| Step::Tick { dev }),
        1 => dev.clone().prop_map(|dev| Step::Clone { dev }),
        1 => dev.prop_map(|dev| Step::Update { dev }),
    ];
    prop::collection::vec(step, 1..48)
}

/// New devices, all right about the time; the first three write form 1 until they are updated.
pub fn begin() -> Vec<Device> {
    (0..DEVICES as u8).map(|n| Device { old: n < 3, ..Device::new(n, NOON) }).collect()
}

/// The devices after the steps, clones behind them.
pub fn live(steps: &[Step]) -> Vec<Device> {
    let mut devices = begin();
    for step in steps {
        walk(&mut devices, step);
    }
    devices
}

pub fn walk(devices: &mut Vec<Device>, step: &Step) {
    match *step {
        Step::Write { dev, kind, id, field, value } => {
            let value = if value == 0 { Value::Null } else { json!(value) };
            devices[dev].set(KINDS[kind], &record_id(id), json!({ FIELDS[field]: value }));
        }
        Step::Pair { dev, id, value } => {
            let device = &mut devices[dev];
            let fields = || map(json!({"name": value, "note": {"list": [value, "two"]}}));
            let sets =
                vec![device.fold.set("animal", &record_id(id), fields()), device.fold.set("egg", "E1", fields())];
            device.act(Draft { act: "TwoAtOnce".into(), sets, ..Draft::default() }, None);
        }
        Step::Observe { dev, value } => {
            let sets = vec![DraftSet::observation("candling", map(json!({"note": value})))];
            devices[dev].act(Draft { act: "Seen".into(), sets, ..Draft::default() }, None);
        }
        Step::Newer { dev, id } => {
            let set = devices[dev].fold.set("animal", &record_id(id), map(json!({"field_of_next_year": 1})));
            let draft =
                Draft { act: "ActOfNextYear".into(), sets: vec![set], crit: vec!["locks".into()], ..Draft::default() };
            devices[dev].act(draft, Some(r#""part":{"deep":[125,-30000000]}"#));
        }
        Step::Withdraw { dev, kind, id } => {
            let set = devices[dev].fold.withdraw(KINDS[kind], &record_id(id));
            devices[dev].act(Draft { act: "Withdrawn".into(), sets: vec![set], ..Draft::default() }, None);
        }
        Step::Undo { dev, back } => {
            let lines = &devices[dev].lines;
            let line = lines.len().checked_sub(back + 1).map(|place| lines[place].clone());
            if let Some(line) = line {
                let entry = Entry::read(&line).expect("a kept line reads again");
                devices[dev].undo(&entry.reference);
            }
        }
        Step::Settle { dev } => settle(&mut devices[dev]),
        Step::Sync { from, to, share } => {
            // Mostly all of it, else with a line missing here and there.
            let lines = devices[from].lines.clone();
            let whole = share > 2;
            lines
                .iter()
                .enumerate()
                .filter(|(n, _)| whole || (n + share) % 5 != 0)
                .for_each(|(_, line)| devices[to].receive(line));
        }
        Step::Wall { dev, hours } => devices[dev].wall = NOON.saturating_add_signed(hours * 60 * 60 * 1000),
        Step::Update { dev } => devices[dev].old = false,
        Step::Tick { dev } => devices[dev].wall += 20_000,
        Step::Clone { dev } => {
            // The copy takes the place of a device, or it would never act.
            let mut copy = devices[dev].clone();
            copy.wall += 1;
            let place = (dev + 1) % DEVICES;
            let replaced = std::mem::replace(&mut devices[place], copy);
            devices.push(replaced);
        }
    }
}

/// Writes over every clash with the value shown.
pub fn settle(device: &mut Device) {
    let sets: Vec<DraftSet> = {
        let mut by_record: BTreeMap<_, Map<String, Value>> = BTreeMap::new();
        for clash in device.fold.clashes() {
            let value = clash.heads.last().map(|head| head.value.clone()).unwrap_or_default();
            let fields = by_record.entry(clash.key.clone()).or_default();
            if clash.withdrawn.is_some() {
                fields.insert(WITHDRAWN.to_owned(), Value::Null);
            }
            fields.insert(clash.field.to_owned(), value);
        }
        // A record taken back by one and kept by another stays, with what it holds.
        by_record
            .into_iter()
            .map(|(key, mut fields)| {
                let revived = fields.get(WITHDRAWN) == Some(&Value::Null);
                if !revived && fields.get(WITHDRAWN) == Some(&Value::Bool(true)) {
                    let DraftSet { fields: all, .. } = device.fold.withdraw(&key.kind, &key.id);
                    fields = all;
                }
                device.fold.set(&key.kind, &key.id, fields)
            })
            .collect()
    };
    if !sets.is_empty() {
        device.act(Draft { act: "Settled".into(), sets, ..Draft::default() }, None);
    }
}

/// Every line anybody holds, once.
pub fn all_lines(devices: &[Device]) -> Vec<String> {
    let mut seen = HashSet::new();
    devices.iter().flat_map(|device| &device.lines).filter(|line| seen.insert(*line)).cloned().collect()
}

pub fn fold_of(lines: impl IntoIterator<Item = impl AsRef<str>>) -> Fold {
    let mut fold = Fold::new(book());
    for line in lines {
        fold.take(line.as_ref()).expect("a sealed line is taken");
    }
    fold
}

/// `lines` in the order of `keys` (cycled), some of them twice.
pub fn jumble<T: Clone>(lines: &[T], keys: &[u32]) -> Vec<T> {
    let mut keyed: Vec<(u32, usize)> = Vec::new();
    for i in 0..lines.len() {
        let key = keys[i % keys.len()].wrapping_mul(2_654_435_761).wrapping_add(i as u32 * 40_503);
        keyed.push((key, i));
        if key.is_multiple_of(3) {
            keyed.push((key.rotate_left(7), i));
        }
    }
    keyed.sort_unstable();
    keyed.into_iter().map(|(_, i)| lines[i].clone()).collect()
}

/// `lines` device after device, as bundles bring them: little is held, much is written over before it arrives.
pub fn by_device(lines: &[String], keys: &[u32]) -> Vec<String> {
    let mut keyed: Vec<(u32, u32, &String)> = lines
        .iter()
        .map(|line| {
            let Ref { dev, seq, .. } = Entry::read(line).expect("a sealed line reads").reference;
            let place = usize::from(dev.as_str().as_bytes()[7]);
            (keys[place % keys.len()].wrapping_add(place as u32), seq, line)
        })
        .collect();
    keyed.sort();
    keyed.into_iter().map(|(_, _, line)| line.clone()).collect()
}

pub type Heads = BTreeMap<(String, String, String), Vec<(Stamp, Ref, String)>>;

/// All there is to see of a state.
#[derive(Debug, PartialEq)]
pub struct View {
    digest: Digest,
    entries: Digest,
    heads: Heads,
    clashes: Vec<String>,
    chains: Vec<String>,
    forks: Vec<String>,
    odd: Vec<String>,
    locked: Vec<String>,
}

impl View {
    pub fn digests(&self) -> (Digest, Digest) {
        (self.digest, self.entries)
    }
}

pub fn view(fold: &Fold) -> View {
    View {
        digest: fold.digest(),
        entries: fold.entry_set(),
        heads: heads(fold),
        clashes: fold.clashes().map(|clash| format!("{clash:?}")).collect(),
        chains: fold.chains().map(|chain| format!("{chain:?}")).collect(),
        forks: fold.forks().map(|fork| format!("{fork:?}")).collect(),
        odd: fold.odd_clocks(NOON).map(|odd| format!("{odd:?}")).collect(),
        locked: records(fold)
            .filter(|(_, _, record)| record.read_only(&[]))
            .map(|(k, i, _)| format!("{k}:{i}"))
            .collect(),
    }
}

fn records(fold: &Fold) -> impl Iterator<Item = (&str, &str, &Record)> {
    fold.kinds().flat_map(|kind| fold.any_records(kind).map(move |(id, record)| (kind, id, record)))
}

pub fn heads(fold: &Fold) -> Heads {
    let mut out = Heads::new();
    for (kind, id, record) in records(fold) {
        for field in FIELDS.into_iter().chain([WITHDRAWN]) {
            let heads: Vec<_> = record.heads(field).iter().map(plain).collect();
            if !heads.is_empty() {
                out.insert((kind.into(), id.into(), field.into()), heads);
            }
        }
    }
    out
}

fn plain(head: &Head) -> (Stamp, Ref, String) {
    (head.at, head.reference, head.value.to_string())
}

/// What a person sees: records that are there, with their values.
pub fn visible(fold: &Fold) -> BTreeMap<String, String> {
    let there = |kind: &str| -> Vec<(String, String)> {
        fold.records(kind)
            .map(|(id, record)| (format!("{kind}:{id}"), format!("{:?}", record.fields().collect::<Vec<_>>())))
            .collect()
    };
    fold.kinds().flat_map(there).collect()
}

pub fn entries_of(lines: &[String]) -> Vec<Entry> {
    lines.iter().map(|line| Entry::read(line).expect("a sealed line reads")).collect()
}

/// The heads, straight from the definition: writes of entries whose whole chain is here, minus everything
/// in anyone's `over`.
pub fn oracle(entries: &[Entry]) -> Heads {
    let entries: HashMap<Hash, Entry> = entries.iter().map(|entry| (entry.hash, entry.clone())).collect();
    let whole = |entry: &Entry| {
        let mut entry = entry;
        while let Some(prev) = entry.prev {
            match entries.get(&prev) {
                Some(before) => entry = before,
                None => return false,
            }
        }
        true
    };
    let folded: Vec<&Entry> = entries.values().filter(|entry| whole(entry)).collect();
    let mut over = BTreeSet::new();
    for set in folded.iter().flat_map(|entry| &entry.sets) {
        for (field, refs) in &set.over {
            over.extend(refs.iter().map(|r| (set.kind.clone(), set.id.clone(), field.clone(), *r)));
        }
    }
    let mut out = Heads::new();
    for entry in folded {
        for set in &entry.sets {
            for (field, value) in &set.fields {
                let key = (set.kind.clone(), set.id.clone(), field.clone());
                let names = [Named::Whole(entry.reference), Named::Short(entry.reference.short())];
                let written_over = |named| over.contains(&(key.0.clone(), key.1.clone(), key.2.clone(), named));
                if !names.into_iter().any(written_over) {
                    out.entry(key).or_default().push((entry.at, entry.reference, value.to_string()));
                }
            }
        }
    }
    out.values_mut().for_each(|heads| heads.sort());
    out
}
