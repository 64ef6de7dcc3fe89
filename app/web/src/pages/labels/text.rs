//! From a record to what its label says and links to.

use crate::prefs::{Prefs, folder};
use crate::words::{animals, dates, labels as said, mother, names, places, units};
use book::acts::LabelPrinted;
use book::views::{ClutchPart, Since, box_view};
use book::words::{PlaceWhat, Sex};
use book::{AnimalId, Book, FillingId, Kind, PlaceId, Thing};
use chrono::NaiveDateTime;
use labels::Code;
use labels::payload::{self, Base, Day, Known, Link};
use labels::text::{Clutch, Face, Fact, LabelText, Line, Parents};
use std::collections::BTreeMap;
use trade::when::When;

/// A label ready to be drawn, and what to record when it is printed.
#[derive(Clone)]
pub struct Ready {
    pub text: LabelText,
    /// What the square code tells besides.
    pub known: Known,
    pub printed: LabelPrinted,
    pub file_name: String,
}

/// What a kind of label can leave off. Its name and its code are always there.
pub fn parts(kind: payload::Kind) -> &'static [&'static str] {
    match kind {
        payload::Kind::EggBox => &["morph", "parents", "laid", "eggs", "look_from", "fill_to", "notes"],
        payload::Kind::Animal => &["species", "sex", "morph", "hatched", "code", "notes"],
        payload::Kind::Tub => &["species", "sex", "morph", "hatched", "parents", "notes"],
        payload::Kind::Place => &["inside", "notes"],
        payload::Kind::Blank => &[],
    }
}

/// The name by which a part of a kind is remembered as left off.
pub fn part_key(kind: payload::Kind, part: &str) -> String {
    format!("{}.{part}", kind.letter())
}

/// The kind of label a thing has; a hatchling of this barn has a tub's.
pub fn kind_of(book: &Book, thing: &Thing) -> Option<payload::Kind> {
    if thing.kind == Kind::Animal {
        let hatched = book.animal(&AnimalId::from(thing.id.as_str())).is_some_and(|a| !a.from_eggs.is_empty());
        return Some(if hatched { payload::Kind::Tub } else { payload::Kind::Animal });
    }
    let others = [(Kind::Filling, payload::Kind::EggBox), (Kind::Place, payload::Kind::Place)];
    others.into_iter().find(|(kind, _)| *kind == thing.kind).map(|(_, label)| label)
}

/// What the keeper wants to see on a kind of label.
#[derive(Clone, Copy)]
struct Shows<'a> {
    prefs: &'a Prefs,
    kind: payload::Kind,
}

impl Shows<'_> {
    fn has(&self, part: &str) -> bool {
        self.prefs.paper.shows(&part_key(self.kind, part))
    }

    fn if_has<T>(&self, part: &str, value: Option<T>) -> Option<T> {
        value.filter(|_| self.has(part))
    }

    fn notes(&self) -> Option<String> {
        self.has("notes").then(|| said::NOTES.to_owned())
    }
}

/// Where labels point: the address set for them, or where the app is open.
fn base(prefs: &Prefs) -> Result<Base, String> {
    let here = || {
        let origin = web_sys::window().and_then(|w| w.location().origin().ok()).unwrap_or_default();
        format!("{origin}{}", folder())
    };
    let address = if prefs.label_address.trim().is_empty() { here() } else { prefs.label_address.trim().to_owned() };
    Base::new(&address).map_err(|bad| bad.to_string())
}

fn code(id: &str) -> Result<Code, String> {
    Code::of(id).map_err(|_| said::NO_CODE.to_string())
}

/// The label of a thing, or a sentence that says why there is none.
pub fn ready(book: &Book, thing: &Thing, now: NaiveDateTime, prefs: &Prefs) -> Result<Ready, String> {
    let base = base(prefs)?;
    match kind_of(book, thing) {
        Some(payload::Kind::EggBox) if book.is_nest(&thing.id.as_str().into()) => Err(mother::NO_LABEL.to_owned()),
        Some(payload::Kind::EggBox) => egg_box(book, &FillingId::from(thing.id.as_str()), now, prefs, &base),
        Some(payload::Kind::Animal | payload::Kind::Tub) => {
            animal(book, &AnimalId::from(thing.id.as_str()), now, prefs, &base)
        }
        Some(payload::Kind::Place) => place(book, &PlaceId::from(thing.id.as_str()), now, prefs, &base),
        Some(payload::Kind::Blank) | None => Err(said::NO_LABEL_FOR_THIS.to_string()),
    }
}

/// Some labels of each kind that is printed together: all are arranged as suits these. What has none is left out.
pub fn some(book: &Book, things: &[Thing], now: NaiveDateTime, prefs: &Prefs) -> Vec<LabelText> {
    let mut kinds: BTreeMap<payload::Kind, Vec<&Thing>> = BTreeMap::new();
    for thing in things {
        if let Some(kind) = kind_of(book, thing) {
            kinds.entry(kind).or_default().push(thing);
        }
    }
    let some = kinds.values().flat_map(|of_kind| labels::spread(of_kind, SOME));
    some.filter_map(|thing| ready(book, thing, now, prefs).ok()).map(|ready| ready.text).collect()
}

/// Of each kind. Each takes as long as a label drawn, with every look at the page's preview.
const SOME: usize = 6;

/// A blank label printed ahead.
pub fn blank(id: &str, prefs: &Prefs) -> Result<LabelText, String> {
    let code = code(id)?;
    let link = Link::new(&base(prefs)?, payload::Kind::Blank, code, &Known::default());
    let pencil = said::PENCIL.iter().map(|s| (*s).to_owned()).collect();
    Ok(LabelText { face: Face::Blank { pencil }, link: link.text, code, notes: None })
}

fn egg_box(book: &Book, id: &FillingId, now: NaiveDateTime, prefs: &Prefs, base: &Base) -> Result<Ready, String> {
    let view = box_view(book, id, now).ok_or(said::NO_LABEL_FOR_THIS)?;
    let today = now.date();
    let code = code(id.as_str())?;
    let part = view.parts.iter().min_by_key(|p| p.laid.map(When::earliest)).ok_or(said::EMPTY_BOX)?;
    let window = part.window.as_ref().ok();
    let fill_to = view.water.fill_to.map(|f| f.mass);
    let number = view.parts.iter().map(|p| p.number.clone()).collect::<Vec<_>>().join(" + ");
    let eggs = view.counts.still_in;
    let known = Known {
        // Who reads it elsewhere is told that it is the lay date.
        day: part
            .since
            .and_then(Since::laid)
            .map(|w| Day { day: w.date(), unsure_days: u8::try_from(w.plus_minus_days()).unwrap_or(31).min(31) }),
        window: window.map(|w| payload::Window {
            look_from: w.look_from().min(w.first.likely.0.date()),
            likely_from: w.first.likely.0.date(),
            likely_to: w.first.likely.1.date(),
        }),
        eggs: u16::try_from(eggs).ok(),
        species: Some(part.species.short.to_string()),
        fill_to_mg: fill_to.map(|m| m.0),
        number: Some(number.clone()),
    };
    let link = Link::new(base, payload::Kind::EggBox, code, &known);
    let shows = Shows { prefs, kind: payload::Kind::EggBox };
    // Once where all clutches in the box agree, else of each in the order of their numbers.
    let of_all = |each: &dyn Fn(&ClutchPart) -> Option<String>| {
        let all: Vec<Option<String>> = view.parts.iter().map(each).collect();
        match all.first() {
            Some(first) if all.iter().all(|one| one == first) => first.clone().unwrap_or_default(),
            _ => all.into_iter().map(|one| one.unwrap_or_else(|| "?".to_owned())).collect::<Vec<_>>().join(" + "),
        }
    };
    let parents = |part: &ClutchPart| Parents { dam: named(part, true), sire: named(part, false) };
    let face = Clutch {
        number: number.clone(),
        species: of_all(&|part| Some(part.species.name.to_string())),
        species_short: Some(of_all(&|part| Some(part.species.short.to_string()))),
        morph: shows.if_has("morph", Some(of_all(&|part| part.morph.clone()))),
        parents: shows.if_has("parents", Some(view.parts.iter().map(parents).collect())).unwrap_or_default(),
        laid: shows.if_has("laid", part.laid).map(|w| {
            let aside = match w.plus_minus_days() {
                0 => String::new(),
                n => format!("±{n} d"),
            };
            Fact::new(if part.laid_is_found { said::FOUND } else { said::LAID }, &dates::day(w.date(), today), &aside)
        }),
        eggs: shows
            .if_has("eggs", Some(Fact::new("", &eggs.to_string(), if eggs == 1 { said::EGG } else { said::EGGS }))),
        look_from: shows
            .if_has("look_from", window)
            .map(|w| Fact::new(said::LOOK_FROM, &dates::day(w.look_from(), today), "")),
        fill_to: shows
            .if_has("fill_to", fill_to)
            .map(|m| Fact::new(said::FILL_TO, &units::mass(m, prefs), said::CLOSED)),
    };
    let printed = LabelPrinted {
        thing: id.thing(),
        when: When::time(now),
        payload: link.text.clone(),
        look_from: known.window.map(|w| w.look_from),
        likely_from: known.window.map(|w| w.likely_from),
        likely_to: known.window.map(|w| w.likely_to),
        fill_to,
    };
    let text = LabelText { face: Face::Clutch(face), link: link.text, code, notes: shows.notes() };
    Ok(Ready { text, known, printed, file_name: said::file_name(&number) })
}

fn named(part: &ClutchPart, dam: bool) -> Option<String> {
    let names = if dam { part.parents.dam_names() } else { part.parents.sire_names() };
    (!names.is_empty()).then(|| names.join(" or "))
}

fn titled(
    thing: Thing,
    title: String,
    lines: Vec<Line>,
    link: Link,
    (code, known): (Code, Known),
    now: NaiveDateTime,
    notes: Option<String>,
) -> Ready {
    let printed = LabelPrinted {
        thing,
        when: When::time(now),
        payload: link.text.clone(),
        look_from: None,
        likely_from: None,
        likely_to: None,
        fill_to: None,
    };
    let file_name = said::file_name(&title);
    let text = LabelText { face: Face::Titled { title, lines }, link: link.text, code, notes };
    Ready { text, known, printed, file_name }
}

/// An animal's enclosure, or the tub of one that hatched here.
fn animal(book: &Book, id: &AnimalId, now: NaiveDateTime, prefs: &Prefs, base: &Base) -> Result<Ready, String> {
    let animal = book.animal(id).ok_or(said::NO_LABEL_FOR_THIS)?;
    let kind = kind_of(book, &id.thing()).unwrap_or(payload::Kind::Animal);
    let shows = Shows { prefs, kind };
    let code = code(id.as_str())?;
    let title = names::animal(book, id);
    let short = animal.species.as_ref().map(|s| book.species_of(Some(s)).short.to_string());
    let hatched = animal.born.filter(|_| kind == payload::Kind::Tub);
    let [looks, genes] = book.traits_once(id).map(|said| said.filter(|said| *said != title));
    let sex = animal.sex.filter(|sex| *sex != Sex::Unknown).map(|sex| animals::sex(sex).to_owned());
    let first = [shows.if_has("sex", sex), shows.if_has("morph", looks)];
    let first = first.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let known = Known {
        species: short,
        number: animal.code.clone().or(Some(title.clone())),
        day: hatched
            .map(|w| Day { day: w.date(), unsure_days: u8::try_from(w.plus_minus_days()).unwrap_or(31).min(31) }),
        ..Known::default()
    };
    let text = |part: &str, text: Option<String>| shows.if_has(part, text.filter(|t| !t.is_empty() && *t != title));
    let names_of = |ids: &[AnimalId]| ids.iter().map(|id| names::animal(book, id)).collect::<Vec<_>>().join(" or ");
    let parents = animal.dam.iter().chain(&animal.sire).cloned().collect::<Vec<_>>();
    let lines = [
        text("species", animal.species.as_ref().map(|s| names::species(book, s))).map(Line::Strong),
        (!first.is_empty()).then_some(Line::Plain(first)),
        text("morph", genes).map(Line::Plain),
        text("code", animal.code.clone()).filter(|_| kind == payload::Kind::Animal).map(Line::Plain),
        shows.if_has("hatched", animal.born).map(|w| Line::Fact(Fact::new(said::HATCHED, &dates::full_when(w), ""))),
        text("parents", (kind == payload::Kind::Tub).then(|| names_of(&parents).replace(" or ", " × ")))
            .map(Line::Plain),
    ];
    let link = Link::new(base, kind, code, &known);
    Ok(titled(
        id.thing(),
        title.clone(),
        lines.into_iter().flatten().collect(),
        link,
        (code, known),
        now,
        shows.notes(),
    ))
}

fn place(book: &Book, id: &PlaceId, now: NaiveDateTime, prefs: &Prefs, base: &Base) -> Result<Ready, String> {
    let place = book.place(id).ok_or(said::NO_LABEL_FOR_THIS)?;
    let shows = Shows { prefs, kind: payload::Kind::Place };
    let code = code(id.as_str())?;
    let path = book.path_names(id);
    // On a door or a shelf `3` alone says little; a tub's number is what is looked for.
    let title = match place.what {
        Some(PlaceWhat::Tub | PlaceWhat::Slot) | None => book.place_name(place),
        Some(PlaceWhat::Room | PlaceWhat::Rack | PlaceWhat::Incubator | PlaceWhat::Shelf) => places::called(place),
    };
    let outer = &path[..path.len().saturating_sub(1)];
    let inside = shows.if_has("inside", (!outer.is_empty()).then(|| names::path(outer))).map(Line::Plain);
    let known = Known { number: place.name.clone(), ..Known::default() };
    let link = Link::new(base, payload::Kind::Place, code, &known);
    Ok(titled(id.thing(), title, inside.into_iter().collect(), link, (code, known), now, shows.notes()))
}
