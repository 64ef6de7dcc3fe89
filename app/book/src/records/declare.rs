//! How a kind of record is declared, and what follows from its declaration.

use crate::fields::Fields;
use crate::ids::{Kind, Thing, Where};
use crate::index::{Add, normal};
use crate::words::Word;
use chrono::NaiveDate;
use serde_json::Value;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::marker::PhantomData;
use trade::money::Money;
use trade::units::{Humidity, Mass, Temp};
use trade::when::When;

/// What a field holds, and in which unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    Text,
    /// Text of several sentences.
    Sentences,
    Whole,
    /// A whole number, 0 or more.
    Count,
    Flag,
    /// Milligrams.
    Mass,
    /// Hundredths of a degree Celsius.
    Temp,
    /// Tenths of a percent of relative humidity.
    Humidity,
    /// An amount and the code of its currency: `80.00 EUR`.
    Money,
    /// A day, a moment or a span of either.
    When,
    Day,
    /// `kind:id`
    Thing,
    /// A place, a filling, the dam, or unknown.
    Where,
    /// The id of a record of this kind.
    Link(Kind),
    /// One of these words.
    Word(&'static [&'static str]),
    /// Several of the same, each once.
    List(&'static Shape),
    /// One of these words for each record.
    Words(&'static Shape, &'static [&'static str]),
    /// Readings, packed by the app itself ([`trade::logger::packed`]).
    Packed,
}

impl Shape {
    /// Of a text that may hold sentences.
    pub(crate) const fn long(self) -> Shape {
        Shape::Sentences
    }
}

/// A field as declared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// What the journal calls it. Frozen.
    pub name: &'static str,
    pub shape: Shape,
    /// What a keeper calls it; empty where that is the name itself, without its unit.
    said: &'static str,
}

impl Field {
    pub(crate) const fn new(name: &'static str, shape: Shape, said: &'static str) -> Field {
        Field { name, shape, said }
    }

    /// What a keeper calls it.
    pub fn said(&self) -> Cow<'static, str> {
        match self.said {
            "" => without_unit(self.name).replace('_', " ").into(),
            said => said.into(),
        }
    }
}

/// A field's name without its unit.
pub(crate) fn without_unit(name: &str) -> &str {
    ["_mg", "_cc", "_um", "_pm", "_pct"].into_iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name)
}

/// When a record is over, so that it may be put aside once it is old ([`crate::Book::shots`]).
#[derive(Clone, Copy)]
pub(crate) enum Over {
    /// Never: few, or in use for as long as the barn is.
    Never,
    /// As soon as it is old: what was seen or done.
    Noted,
    /// As [`Over::Noted`]; of an animal that is grown or gone, after so many days.
    OfGrown(u64, fn(&crate::Book, &str) -> Option<crate::ids::AnimalId>),
    /// With all of these clutches; never with none.
    With(fn(&crate::Book, &str) -> Vec<crate::ids::ClutchId>),
}

/// What is known of every kind of record. [`record!`] writes it out.
pub(crate) trait Record: Sized {
    const FIELDS: &'static [Field];
    const OVER: Over;

    /// An empty record of this id.
    fn named(id: &str) -> Self;

    /// Shows every field with its name, to be read, written or compared.
    fn each(&mut self, see: &mut dyn FnMut(&'static str, &mut dyn Holds));

    /// What it belongs to: which link, of whom, since when.
    fn links(&self, add: &mut Add<'_>);

    /// Seen or done with one's own eyes and hands of what [`Record::about`] names: it follows when two animals turn out to
    /// have been swapped.
    const SEEN: bool = false;

    /// The field that names what it is about.
    const ABOUT: Option<&'static str> = None;

    /// The field that says when it happened.
    const AT: Option<&'static str> = None;

    /// What it is about, where that is not itself.
    fn about(&self) -> Option<Thing> {
        None
    }

    /// When it happened.
    fn at(&self) -> Option<When> {
        None
    }

    /// Whether it is still in use, or in the barn.
    fn is_live(&self) -> bool {
        true
    }

    /// What a keeper calls it, short enough for a line; its id else.
    fn called(&self, _book: &crate::Book) -> Option<String> {
        None
    }

    /// Whether a search finds it, by its id.
    const FOUND: bool = false;

    /// What a search finds it by besides.
    fn found_by(&self) -> Vec<&str> {
        Vec::new()
    }

    /// Links that no field alone tells.
    fn more_links(&self, _add: &mut Add<'_>) {}

    /// Things whose whereabouts it has a say in.
    fn brings(&self) -> Vec<Thing> {
        Vec::new()
    }
}

/// What a kind declares, without its type.
pub(crate) struct Declared {
    pub(crate) fields: &'static [Field],
    pub(crate) over: Over,
    pub(crate) seen: bool,
    pub(crate) about: Option<&'static str>,
    pub(crate) at: Option<&'static str>,
    pub(crate) found: bool,
}

impl Declared {
    pub(crate) const fn of<R: Record>() -> Declared {
        Declared { fields: R::FIELDS, over: R::OVER, seen: R::SEEN, about: R::ABOUT, at: R::AT, found: R::FOUND }
    }
}

/// A kind's record in the list of kinds. [`crate::kinds`] writes it out.
pub(crate) trait Listed: Record + Clone {
    const KIND: Kind;

    fn find<'a>(book: &'a crate::Book, id: &str) -> Option<&'a Self>;
}

/// A field of the type `F` in a record `R`, to write it by.
pub(crate) struct Slot<R, F> {
    pub(crate) name: &'static str,
    of: PhantomData<fn(R, F)>,
}

impl<R, F> Slot<R, F> {
    pub(crate) const fn new(name: &'static str) -> Slot<R, F> {
        Slot { name, of: PhantomData }
    }
}

/// The type of a field.
pub(crate) trait Holds {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>);

    /// As the journal keeps it; null for nothing.
    fn put(&self) -> Value;
}

/// A type of field, known before there is one.
pub(crate) trait Shaped {
    const SHAPE: Shape;
}

/// One value of a field.
pub(crate) trait Scalar: Sized {
    const SHAPE: Shape;

    fn of(value: &Value) -> Option<Self>;

    fn put(&self) -> Value;

    /// What stands for a value that cannot be read. It is listed as odd all the same.
    fn unread(_value: &Value) -> Option<Self> {
        None
    }

    /// Whether it says anything: a text of blanks is no text.
    fn says(&self) -> bool {
        true
    }
}

impl<T: Scalar> Shaped for Option<T> {
    const SHAPE: Shape = T::SHAPE;
}

impl<T: Scalar> Holds for Option<T> {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        *self = fields.get(name, T::of, T::unread).filter(T::says);
    }

    fn put(&self) -> Value {
        self.as_ref().map_or(Value::Null, T::put)
    }
}

impl<T: Scalar> Shaped for Vec<T> {
    const SHAPE: Shape = Shape::List(&T::SHAPE);
}

/// An empty list is the same as none.
impl<T: Scalar + PartialEq> Holds for Vec<T> {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        *self = fields.list(name, T::of);
    }

    fn put(&self) -> Value {
        if self.is_empty() { Value::Null } else { self.iter().map(T::put).collect() }
    }
}

impl Shaped for bool {
    const SHAPE: Shape = Shape::Flag;
}

/// No is the same as nothing said.
impl Holds for bool {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        *self = fields.get(name, Value::as_bool, |_| None).unwrap_or(false);
    }

    fn put(&self) -> Value {
        if *self { Value::Bool(true) } else { Value::Null }
    }
}

impl<I: Scalar + Key + Ord, W: Word> Shaped for BTreeMap<I, W> {
    const SHAPE: Shape = Shape::Words(&I::SHAPE, W::WORDS);
}

impl<I: Scalar + Key + Ord + for<'t> From<&'t str>, W: Word> Holds for BTreeMap<I, W> {
    fn read(&mut self, name: &'static str, fields: &mut Fields<'_>) {
        *self = fields.map(name, W::of);
    }

    fn put(&self) -> Value {
        let words = self.iter().map(|(id, word)| (id.key().into_owned(), Value::from(word.word())));
        if self.is_empty() { Value::Null } else { Value::Object(words.collect()) }
    }
}

macro_rules! scalars {
    ($($ty:ty = $shape:ident: |$value:ident| $of:expr, |$it:ident| $put:expr;)*) => { $(
        impl Scalar for $ty {
            const SHAPE: Shape = Shape::$shape;

            fn of($value: &Value) -> Option<$ty> {
                $of
            }

            fn put(&self) -> Value {
                let $it = self;
                Value::from($put)
            }
        }
    )* };
}

scalars! {
    i64 = Whole: |value| value.as_i64(), |n| *n;
    u32 = Count: |value| value.as_u64()?.try_into().ok(), |n| *n;
    bool = Flag: |value| value.as_bool(), |yes| *yes;
    Mass = Mass: |value| value.as_i64().map(Mass), |mass| mass.0;
    Temp = Temp: |value| Some(Temp(value.as_i64()?.try_into().ok()?)), |temp| temp.0;
    Humidity = Humidity: |value| Humidity::from_tenths(value.as_i64()?), |humidity| humidity.0;
    Money = Money: |value| value.as_str()?.parse().ok(), |money| money.text();
    When = When: |value| value.as_str()?.parse().ok(), |when| when.to_string();
    NaiveDate = Day: |value| Some(value.as_str()?.parse::<When>().ok()?.date()), |day| day.to_string();
    Thing = Thing: |value| value.as_str()?.parse().ok(), |thing| thing.to_string();
    Where = Where: |value| value.as_str()?.parse().ok(), |place| place.to_string();
}

impl Scalar for String {
    const SHAPE: Shape = Shape::Text;

    fn of(value: &Value) -> Option<String> {
        value.as_str().map(str::to_owned)
    }

    fn put(&self) -> Value {
        if self.says() { Value::from(self.trim()) } else { Value::Null }
    }

    fn says(&self) -> bool {
        !self.trim().is_empty()
    }
}

impl<W: Word> Scalar for W {
    const SHAPE: Shape = Shape::Word(W::WORDS);

    fn of(value: &Value) -> Option<W> {
        W::of(value.as_str()?)
    }

    fn put(&self) -> Value {
        self.word().into()
    }

    fn unread(value: &Value) -> Option<W> {
        W::other().filter(|_| value.as_str().is_some_and(|word| !word.trim().is_empty()))
    }
}

/// The key a thing has in the index.
pub(crate) trait Key {
    fn key(&self) -> Cow<'_, str>;
}

/// What names a record.
pub(crate) trait Names: Key {
    fn named(&self) -> Thing;
}

impl Names for Thing {
    fn named(&self) -> Thing {
        self.clone()
    }
}

impl Key for Thing {
    fn key(&self) -> Cow<'_, str> {
        // Asked for every egg and animal there is: writing it out spares the machinery of formatting.
        Cow::Owned([self.kind.word(), ":", &self.id].concat())
    }
}

/// Numbers and codes.
impl Key for String {
    fn key(&self) -> Cow<'_, str> {
        normal(self).into()
    }
}

/// A record of an id, read.
pub(crate) fn read<T: Record>(fields: &mut Fields<'_>) -> T {
    let mut record = T::named(fields.id);
    record.each(&mut |name, field| field.read(name, fields));
    record
}

/// Declares a kind of record.
///
/// ```text
/// record! {
///     /// A meal offered, and later what became of it.
///     Meal MealId {
///         animal: Option<AnimalId> = "animal",
///         mass: Option<Mass> = "mass_mg" => "weight",
///         note: Option<String> = "note" long,
///     }
///     over Over::Noted;
///     seen animal at offered;
///     link Meals { animal by offered }
///         /// Newest first.
///         meals(AnimalId);
/// }
/// ```
///
/// - `animal: … = "animal"`: a field, its type and what the journal calls it. The type says the unit; after `=>`
///   stands what a keeper calls it, where that is not the name; `long` lets a text hold sentences.
/// - `over`: when it leaves what a start reads first.
/// - `seen`: it was seen or done, of what this field names, at that moment. `about`: it is about that, in some other way.
/// - `found`: a search finds it by its id, and by what these fields hold.
/// - `link`: it is reached by what these fields name, in order of these dates; the method of `Book` that finds it. Several
///   fields or dates are parted by commas; the first date that is there counts.
/// - `also { … }`: methods of [`Record`] that the declaration cannot say.
///
/// It expands to the struct with an `id` before the fields, to a constant for each field to write it by (`Meal::animal`), to
/// `impl Record` with a line for each field in `FIELDS` and in `each` and one for each link in `links`, and to the methods
/// of `Book`.
macro_rules! record {
    (
        $(#[$doc:meta])* $record:ident $id:ident {
            $($(#[$about:meta])* $field:ident: $ty:ty = $name:literal $(=> $said:literal)? $($long:ident)?,)*
        }
        over $over:expr;
        $(seen $seen:ident at $seen_at:ident;)?
        $(about $of:ident $(at $at:ident)?;)?
        $(found by id $(, $word:ident)*;)?
        $(
            link $link:ident { $($by:ident),* $(by $($date:ident),+)? }
                $($(#[$order:meta])* $find:ident($key:ty))?;
        )*
        $(also { $($item:tt)* })?
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct $record {
            pub id: $id,
            $($(#[$about])* pub $field: $ty,)*
        }

        /// Its fields, to write them by.
        #[allow(non_upper_case_globals, dead_code)]
        impl $record {
            $(pub(crate) const $field: $crate::records::Slot<$record, $ty> = $crate::records::Slot::new($name);)*
        }

        impl $crate::records::Record for $record {
            const FIELDS: &'static [$crate::records::Field] = &[$(
                $crate::records::Field::new(
                    $name,
                    <$ty as $crate::records::Shaped>::SHAPE$(.$long())?,
                    concat!($($said)?),
                ),
            )*];
            const OVER: $crate::records::Over = $over;
            $(
                const SEEN: bool = true;
                const ABOUT: Option<&'static str> = Some(Self::$seen.name);
                const AT: Option<&'static str> = Some(Self::$seen_at.name);
            )?
            $(
                const ABOUT: Option<&'static str> = Some(Self::$of.name);
                $(const AT: Option<&'static str> = Some(Self::$at.name);)?
            )?

            fn named(id: &str) -> Self {
                Self { id: id.into(), ..Self::default() }
            }

            #[allow(unused_variables)]
            fn each(&mut self, see: &mut dyn FnMut(&'static str, &mut dyn $crate::records::Holds)) {
                $(see($name, &mut self.$field);)*
            }

            #[allow(unused_variables)]
            fn links(&self, add: &mut $crate::index::Add<'_>) {
                $({
                    let when: Option<trade::when::When> = None$($(.or(self.$date))+)?;
                    $(for named in self.$by.iter() {
                        add($crate::index::Link::$link, &$crate::records::Key::key(named), when);
                    })*
                })*
                self.more_links(add);
            }

            $($crate::records::found! { $($word)* })?
            $($crate::records::about! { $seen $seen_at })?
            $($crate::records::about! { $of $($at)? })?

            $($($item)*)?
        }

        impl $crate::Book {
            $($(
                $(#[$order])*
                pub fn $find<'a>(&'a self, of: &$key) -> impl Iterator<Item = &'a $record> + use<'a> {
                    self.linked($crate::index::Link::$link, &$crate::records::Key::key(of))
                }
            )?)*
        }
    };
}
pub(crate) use record;

/// What a record is about, and when it happened.
macro_rules! about {
    ($of:ident $($at:ident)?) => {
        fn about(&self) -> Option<$crate::Thing> {
            self.$of.iter().next().map($crate::records::Names::named)
        }

        $(fn at(&self) -> Option<trade::when::When> {
            self.$at
        })?
    };
}
pub(crate) use about;

/// That a search finds a record by its id, and by what these fields hold.
macro_rules! found {
    ($($word:ident)*) => {
        const FOUND: bool = true;

        fn found_by(&self) -> Vec<&str> {
            let words: &[&Option<String>] = &[$(&self.$word,)*];
            words.iter().filter_map(|word| word.as_deref()).collect()
        }
    };
}
pub(crate) use found;
