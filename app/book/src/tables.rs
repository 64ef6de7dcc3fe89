//! All typed records, by kind and id.
//!
//! One map's code serves all kinds: there are thirty of them, and a phone downloads what is compiled for each.

use crate::fields::Fields;
use crate::ids::*;
use crate::index::{ByHash, Indexed};
use crate::memo::{Read, note};
use crate::order::Order;
use crate::records::*;
use std::any::Any;
use std::collections::BTreeMap;
use std::fmt::Debug;
use std::marker::PhantomData;
use std::sync::Arc;

/// A record with the order of its last write, which breaks ties between things that happened at one time.
#[derive(Debug)]
pub(crate) struct Kept<T> {
    pub(crate) record: T,
    pub(crate) written: Order,
}

/// A kept record of any kind.
pub(crate) trait Row: Any + Debug + Send + Sync {
    fn indexed(&self) -> &dyn Indexed;
    fn written(&self) -> Order;
}

impl<T: Record + Indexed + Debug + Send + Sync + 'static> Row for Kept<T> {
    fn indexed(&self) -> &dyn Indexed {
        &self.record
    }

    fn written(&self) -> Order {
        self.written
    }
}

/// Rows of one kind: found by hash, gone through in order. In an ordered map alone each look-up reads a dozen ids that lie
/// anywhere in memory, and a season asks for tens of thousands.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rows {
    by_id: ByHash<Arc<str>, Arc<dyn Row>>,
    ordered: BTreeMap<Arc<str>, Arc<dyn Row>>,
}

impl Rows {
    pub(crate) fn insert(&mut self, id: &str, row: Arc<dyn Row>) {
        let id: Arc<str> = id.into();
        self.by_id.insert(id.clone(), row.clone());
        self.ordered.insert(id, row);
    }

    pub(crate) fn remove(&mut self, id: &str) -> Option<Arc<dyn Row>> {
        self.ordered.remove(id);
        self.by_id.remove(id)
    }
}

/// The records of one kind by id; shared between copies of a book.
#[derive(Clone, Debug)]
pub(crate) struct Table<I, T> {
    rows: Rows,
    of: PhantomData<(I, T)>,
}

impl<I, T> Default for Table<I, T> {
    fn default() -> Self {
        Table { rows: Rows::default(), of: PhantomData }
    }
}

impl<I: AsRef<str>, T: Record + 'static> Table<I, T> {
    pub(crate) fn get(&self, id: &I) -> Option<&Kept<T>> {
        note(|| Read::record(T::KIND, id.as_ref()));
        typed(self.rows.by_id.get(id.as_ref())?)
    }

    /// All of them, by id.
    pub(crate) fn values(&self) -> impl Iterator<Item = &Kept<T>> {
        note(|| Read::all(T::KIND));
        self.rows.ordered.values().filter_map(typed)
    }
}

pub(crate) fn typed<T: 'static>(row: &Arc<dyn Row>) -> Option<&Kept<T>> {
    (&**row as &dyn Any).downcast_ref()
}

/// Reads a record of one kind.
pub(crate) type Reader = fn(&mut Fields<'_>, Order) -> Arc<dyn Row>;

fn reader<T: Record + Indexed + Debug + Send + Sync + 'static>(
    fields: &mut Fields<'_>,
    written: Order,
) -> Arc<dyn Row> {
    Arc::new(Kept { record: T::read(fields), written })
}

macro_rules! tables {
    ($($field:ident: $id:ident => $record:ident;)*) => {
        #[derive(Clone, Debug, Default)]
        pub(crate) struct Tables { $(pub(crate) $field: Table<$id, $record>,)* }

        impl Tables {
            /// The table of a kind, and what reads a record into it.
            pub(crate) fn of(&mut self, kind: Kind) -> (&mut Rows, Reader) {
                match kind {
                    $(<$record as Record>::KIND => (&mut self.$field.rows, reader::<$record>),)*
                }
            }
        }
    };
}

tables! {
    people: PersonId => Person;
    places: PlaceId => Place;
    species: SpeciesId => Species;
    animals: AnimalId => Animal;
    events: AnimalEventId => AnimalEvent;
    meals: MealId => Meal;
    pairings: PairingId => Pairing;
    locks: LockSeenId => LockSeen;
    clutches: ClutchId => Clutch;
    eggs: EggId => Egg;
    boxes: BoxId => BoxThing;
    fillings: FillingId => Filling;
    moves: MoveId => Move;
    candlings: CandlingId => Candling;
    waters: WaterId => WaterCheck;
    taken: TakenOutId => TakenOut;
    readings: ReadingId => Reading;
    incidents: IncidentId => Incident;
    set_points: SetPointId => SetPoint;
    logs: ReadingLogId => ReadingLog;
    hatchings: HatchingId => Hatching;
    stock_takings: StockTakingId => StockTaking;
    supplies: SupplyId => Supply;
    notes: NoteId => Note;
    photos: PhotoId => Photo;
    prints: LabelPrintId => LabelPrint;
    labels: LabelId => BlankLabel;
    contacts: ContactId => Contact;
    erased: DetailsErasedId => DetailsErased;
    wishes: WishId => Wish;
    holds: HoldId => Hold;
    rules: RulesId => BarnRules;
    snoozes: SnoozeId => Snooze;
    traits: TraitId => Trait;
    genotypes: GenotypeId => Genotype;
}
