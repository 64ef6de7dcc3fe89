//! One row, cell by cell, and what comes of it.

use super::cells;
use super::columns::{self, Column, SheetOf};
use super::days;
use super::rows::{AnimalRow, Fault, Parent, PlaceFound, Reader, RowRead};
use super::{Comes, Fix, SheetLine, Unclear};
use book::acts::{AnimalCard, ClutchCard, SheetAnimal, SheetBroughtIn, SheetRow};
use book::records::Counts;
use book::words::{Sex, Went};
use book::{AnimalId, ClutchId, lower};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use trade::money::Money;
use trade::units::Mass;
use trade::when::When;

const DAYS_OPEN: &str = "Say above how to read its dates.";
const MARK_OPEN: &str = "Say above how to read its weights.";
const WEIGHED_OPEN: &str = "Say above when it was weighed.";
const CURRENCY_OPEN: &str = "Say above in which currency its price is.";

/// One row while it is read.
pub(super) struct Row<'a, 'b> {
    pub(super) reader: &'b Reader<'a>,
    pub(super) line: &'a SheetLine,
    pub(super) turn: usize,
    /// What its columns are to be asked first.
    pub(super) open: Vec<&'static str>,
    pub(super) bad: Vec<String>,
    pub(super) unclear: &'b mut BTreeMap<(usize, String), Unclear>,
}

impl<'a> Row<'a, '_> {
    fn heading(&self, column: Column) -> Option<&'a str> {
        self.first(column).map(|place| self.reader.form.heads[place].as_str())
    }

    fn first(&self, column: Column) -> Option<usize> {
        self.reader.places_of.get(&column).and_then(|places| places.first()).copied()
    }

    /// What stands under a column, or was said instead.
    fn text(&self, column: Column) -> &str {
        self.first(column).map_or("", |place| self.reader.form.cell(&self.line.1, place))
    }

    pub(super) fn called(&self) -> String {
        let of = match self.reader.form.what {
            SheetOf::Animals => [Column::Code, Column::Name],
            SheetOf::Clutches => [Column::Number, Column::Number],
        };
        let [code, name] = of.map(|column| self.text(column));
        match (code, name) {
            (code, name) if code == name || name.is_empty() => code.to_owned(),
            ("", name) => name.to_owned(),
            (code, name) => format!("{name} · {code}"),
        }
    }

    fn left_out(&self) -> bool {
        let form = self.reader.form;
        let out = |place: usize| {
            let cell = self.line.1.get(place).map_or("", |cell| cell.trim());
            form.columns[place].is_some() && form.fixes.get(&(place, cell.to_owned())) == Some(&Fix::LeaveOut)
        };
        (0..form.columns.len()).any(out)
    }

    /// A cell's value. What cannot be read, or was put right, is told with all cells like it.
    fn take<T: Default>(&mut self, column: Column, read: impl FnOnce(&Reader<'_>, &str) -> Result<T, Fault>) -> T {
        let Some(place) = self.first(column) else { return T::default() };
        let raw = self.line.1.get(place).map_or("", |cell| cell.trim());
        let fixed = self.reader.form.fixes.contains_key(&(place, raw.to_owned()));
        let (value, why) = match read(self.reader, self.reader.form.cell(&self.line.1, place)) {
            Ok(value) => (value, None),
            Err(Fault::Column(open)) => {
                self.open.push(open);
                return T::default();
            }
            Err(Fault::Cell(why)) => {
                self.bad.push(why.clone());
                (T::default(), Some(why))
            }
        };
        if fixed || why.is_some() {
            let number = self.line.0;
            let new = Unclear { place, column, cell: raw.to_owned(), rows: 0, first: number, why: None };
            let unclear = self.unclear.entry((place, raw.to_owned())).or_insert(new);
            unclear.rows += 1;
            unclear.why = why.or(unclear.why.take());
        }
        value
    }

    fn simple<T: Default>(&mut self, column: Column, read: impl FnOnce(&str) -> Result<T, String>) -> T {
        self.take(column, |_, text| read(text).map_err(Fault::Cell))
    }

    fn day(&mut self, column: Column) -> Option<When> {
        let place = self.first(column)?;
        self.take(column, |reader, text| {
            let way = reader.form.way(place).day;
            let day = reader.days.get(&place).map_or(Ok(None), |days| days.read(text, way, reader.now.date()));
            day.map_err(|why| why.map_or(Fault::Column(DAYS_OPEN), Fault::Cell))
        })
    }

    pub(super) fn comes(&mut self) -> Comes {
        if self.left_out() {
            // Its cells are told all the same: somebody may want it back.
            self.tell_left_out();
            return Comes::LeftOut;
        }
        if self.is_no_record() {
            let of = if self.reader.form.what == SheetOf::Animals { "an animal" } else { "a clutch" };
            return Comes::Bad(vec![format!("This looks like a sum or a heading, not like {of}.")]);
        }
        match self.reader.form.what {
            SheetOf::Animals => self.animal(),
            SheetOf::Clutches => self.clutch(),
        }
    }

    /// A row that sums others up, tells a page, or is a heading among them.
    fn is_no_record(&self) -> bool {
        let filled: Vec<&str> = self.line.1.iter().map(|cell| cell.trim()).filter(|cell| !cell.is_empty()).collect();
        let named = [Column::Code, Column::Name, Column::Number].map(|column| self.text(column));
        let alone = filled.len() == 1 && filled[0].ends_with(':');
        alone || filled.first().into_iter().chain(&named).any(|cell| cells::sums_up(cell))
    }

    fn tell_left_out(&mut self) {
        let form = self.reader.form;
        for (place, column) in form.columns.iter().enumerate() {
            let cell = self.line.1.get(place).map_or("", |cell| cell.trim()).to_owned();
            let Some(column) = *column else { continue };
            if form.fixes.get(&(place, cell.clone())) == Some(&Fix::LeaveOut) {
                let new = Unclear { place, column, cell: cell.clone(), rows: 0, first: self.line.0, why: None };
                self.unclear.entry((place, cell)).or_insert(new).rows += 1;
            }
        }
    }

    fn animal(&mut self) -> Comes {
        let known = self.known().or_else(|| self.meant());
        let stands = known.as_ref().and_then(|id| AnimalCard::of(self.reader.book, id));
        let mut card = stands.clone().unwrap_or_default();
        let parents = [card.dam.take(), card.sire.take()];
        self.words(&mut card);
        self.facts(&mut card);
        let [dam, sire] = [Column::Dam, Column::Sire].map(|column| self.parent(column));
        let [dam, sire] = [(dam, parents[0].clone()), (sire, parents[1].clone())]
            .map(|(said, stands)| said.or(stands.map(Parent::Here)));
        let price = self.price();
        let mut asked = price;
        if card.went.is_some_and(|went| went != Went::Returned) {
            asked = None;
            card.price = price.map_or(card.price, |price| price.text());
        }
        let place = self.place().filter(|_| card.went.is_none_or(|went| went == Went::Returned));
        let row = AnimalRow { known, dam, sire, place, weight: self.weight(), asked, card };
        self.animal_comes(row, stands)
    }

    /// The animal that the row is, by its own id.
    fn known(&mut self) -> Option<AnimalId> {
        self.take(Column::Id, |reader, text| {
            let id = AnimalId::from(text);
            match reader.book.animal(&id) {
                _ if text.is_empty() => Ok(None),
                Some(_) => Ok(Some(id)),
                // Of other records, or of a barn that begins anew.
                None => Ok(None),
            }
        })
    }

    /// The animal of the book that has its code; or, where the row has none, the only one of its name. One that is called
    /// otherwise, or is of another species, is another.
    fn meant(&mut self) -> Option<AnimalId> {
        let (book, code, name) = (self.reader.book, self.text(Column::Code), self.text(Column::Name));
        if code.is_empty() && name.is_empty() {
            return None;
        }
        let found = if code.is_empty() {
            self.reader.file.only_named(name)
        } else {
            let mut coded = book.animals_coded(code);
            let first = coded.next().map(|animal| animal.id.clone());
            if coded.next().is_some() {
                self.bad.push(format!("More than one animal here has the code “{code}”. Change one of them first."));
                return None;
            }
            first
        };
        let animal = book.animal(&found?)?;
        let other_name = !name.is_empty() && animal.name.as_ref().is_some_and(|own| lower(own.trim()) != lower(name));
        let species = cells::species(&self.reader.species, self.text(Column::Species)).ok().flatten();
        let other_species = species.is_some() && animal.species.is_some() && species != animal.species;
        if !other_name && !other_species {
            return Some(animal.id.clone());
        }
        if !code.is_empty() {
            let is = book.animal_name(&animal.id);
            self.bad
                .push(format!("The code “{code}” belongs to {is}, another animal that is here. Write another code."));
        }
        None
    }

    /// What is taken as it stands. An empty cell takes nothing away.
    fn words(&mut self, card: &mut AnimalCard) {
        let note = self.note();
        for (field, text) in [
            (&mut card.code, self.text(Column::Code)),
            (&mut card.name, self.text(Column::Name)),
            (&mut card.morph, self.text(Column::Morph)),
            (&mut card.line, self.text(Column::Line)),
            (&mut card.locality, self.text(Column::Locality)),
            (&mut card.note, note.as_str()),
        ] {
            if !text.is_empty() {
                text.clone_into(field);
            }
        }
    }

    /// Of several columns each says its heading.
    fn note(&self) -> String {
        let form = self.reader.form;
        let places = self.reader.places_of.get(&Column::Note).map_or(&[][..], Vec::as_slice);
        let text = |place: &usize| {
            let text = form.cell(&self.line.1, *place);
            let head = form.heads[*place].trim();
            let said = if places.len() > 1 && !head.is_empty() { format!("{head}: {text}") } else { text.to_owned() };
            (!text.is_empty()).then_some(said)
        };
        places.iter().filter_map(text).collect::<Vec<_>>().join("; ")
    }

    fn facts(&mut self, card: &mut AnimalCard) {
        let species =
            self.take(Column::Species, |reader, text| cells::species(&reader.species, text).map_err(Fault::Cell));
        card.species = species.or(card.species.take());
        card.sex = self.simple(Column::Sex, cells::sex).or(card.sex);
        card.born = finer(self.day(Column::Born), card.born);
        let said = !self.text(Column::Status).is_empty();
        let (went, when) = self.take(Column::Status, |reader, text| match cells::status(text) {
            Ok(went) => Ok((went, None)),
            Err(why) => left_in(text, reader.now.date()).ok_or(Fault::Cell(why)),
        });
        if said {
            card.went = went;
        }
        let left = self.day(Column::Left).or(when);
        if left.is_some() && card.went.is_none() {
            self.bad.push(
                "It says when it left, but not how. Write sold, died, given, traded or loaned under status.".to_owned(),
            );
        }
        card.went_when = finer(left, card.went_when).filter(|_| card.went.is_some());
    }

    fn parent(&mut self, column: Column) -> Option<Parent> {
        let turn = self.turn;
        self.take(column, |reader, text| reader.file.parent(reader.book, text, turn).map_err(Fault::Cell))
    }

    fn price(&mut self) -> Option<Money> {
        let said = self.heading(Column::Price).and_then(columns::currency_of);
        self.take(Column::Price, |reader, text| {
            let own = said.or(reader.form.currency);
            if own.is_none() && text.ends_with(|c: char| c.is_ascii_digit()) && crate::money::of(text, None).is_none() {
                return Err(Fault::Column(CURRENCY_OPEN));
            }
            cells::money(text, own).map_err(Fault::Cell)
        })
    }

    fn weight(&mut self) -> Option<(Mass, When)> {
        let unit = self.heading(Column::Weight).and_then(columns::unit_of).unwrap_or(&self.reader.form.unit);
        let mass = self.take(Column::Weight, |reader, text| match &reader.mark {
            Err(_) if text.contains([',', '.']) => Err(Fault::Column(MARK_OPEN)),
            mark => cells::mass(text, mark.as_ref().ok().copied().flatten(), unit).map_err(Fault::Cell),
        });
        let weighed = self.day(Column::Weighed);
        let mass = mass?;
        let when = weighed.or_else(|| self.reader.form.weighed_on.trim().parse::<NaiveDate>().ok().map(When::day));
        if when.is_none() {
            self.open.push(WEIGHED_OPEN);
        }
        Some((mass, when?))
    }

    fn place(&mut self) -> Option<PlaceFound> {
        self.take(Column::Place, |reader, text| reader.places.find(text, reader.form.make_places).map_err(Fault::Cell))
    }

    fn animal_comes(&mut self, mut row: AnimalRow, stands: Option<AnimalCard>) -> Comes {
        let book = self.reader.book;
        // By its code; or it came in before, and what came after it was not stored.
        let is_there = row.known.is_none()
            && (book.animals_coded(&row.card.code).next().is_some()
                || book.animal(&AnimalId::from(self.reader.form.ids[self.turn].as_str())).is_some());
        match &row.known {
            Some(id) => {
                let file = &self.reader.file;
                let twice = file.id_twice(id, self.turn).or_else(|| file.twice(self.text(Column::Code), self.turn));
                let named = || file.name_twice(self.text(Column::Name), self.turn);
                let by_name = self.text(Column::Code).is_empty() && self.text(Column::Id).is_empty();
                self.bad.extend(twice.or_else(|| by_name.then(named).flatten()));
            }
            None => self.bad.extend(self.reader.file.twice(&row.card.code, self.turn)),
        }
        if !self.bad.is_empty() || !self.open.is_empty() {
            return self.refused();
        }
        if is_there {
            return Comes::Here;
        }
        let Some((id, stands)) = row.known.clone().zip(stands) else {
            return self.checked(RowRead::Animal(Box::new(row)));
        };
        // What is here already is not written again.
        let weights = book.weights(&id);
        let stands_so = |(mass, when): &(Mass, When)| {
            weights.iter().any(|(other, at)| other == mass && at.is_some_and(|at| at.date() == when.date()))
        };
        row.weight = row.weight.filter(|weight| !stands_so(weight));
        let now = book.place_of(&id.thing()).map(|place| place.id.clone());
        row.place = row.place.filter(|place| !matches!(place, PlaceFound::Here(place) if Some(place) == now.as_ref()));
        row.asked = row.asked.filter(|asked| book.animal(&id).and_then(|animal| animal.asked) != Some(*asked));
        let changes = changes(&row, &stands);
        if changes.is_empty() {
            return Comes::Here;
        }
        match self.checked(RowRead::Animal(Box::new(row))) {
            Comes::New(row) => Comes::Changes(row, changes),
            refused => refused,
        }
    }

    fn clutch(&mut self) -> Comes {
        let species =
            self.take(Column::Species, |reader, text| cells::species(&reader.species, text).map_err(Fault::Cell));
        let parent = |row: &mut Self, column: Column| {
            let found = row.take(column, |reader, text| reader.file.here(reader.book, text).map_err(Fault::Cell));
            found.into_iter().collect::<Vec<AnimalId>>()
        };
        let (dams, sires) = (parent(self, Column::Dam), parent(self, Column::Sire));
        for (parents, what, wrong) in [(&dams, "dam", Sex::Male), (&sires, "sire", Sex::Female)] {
            let book = self.reader.book;
            for id in parents.iter().filter(|id| book.animal(id).is_some_and(|animal| animal.sex == Some(wrong))) {
                let is = if wrong == Sex::Male { "male" } else { "female" };
                self.bad.push(format!("Its {what}, {}, is {is}. Correct one of the two.", book.animal_name(id)));
            }
        }
        let laid = self.day(Column::Laid);
        let mut count = |column: Column, label: &str| self.simple(column, |text| cells::count(label, text));
        let all = count(Column::Eggs, "Eggs");
        let good = count(Column::Good, "Good eggs");
        let dud = count(Column::Dud, "Bad eggs");
        let slug = count(Column::Slug, "Slugs");
        let hatched = count(Column::Hatched, "Eggs hatched");
        let others = dud.unwrap_or(0) + slug.unwrap_or(0);
        let good = match (all, good) {
            (Some(all), Some(good)) if all != good + others => {
                self.bad
                    .push(format!("{all} eggs, but good, bad and slugs make {}. Correct one of them.", good + others));
                Some(good)
            }
            (Some(all), None) if all < others => {
                self.bad.push(format!("{all} eggs, but bad eggs and slugs make {others}. Correct one of them."));
                None
            }
            (Some(all), None) => Some(all - others),
            (_, good) => good,
        };
        let counted = good.or(dud).or(slug).is_some();
        let counts =
            counted.then(|| Counts { good: good.unwrap_or(0), dud: dud.unwrap_or(0), slug: slug.unwrap_or(0) });
        if hatched.is_some_and(|hatched| hatched > counts.map_or(0, |counts| counts.good)) {
            self.bad.push("More hatched than there were good eggs. Correct one of the two.".to_owned());
        }
        let number = self.text(Column::Number).to_owned();
        let note = self.note();
        let own = ClutchId::from(self.reader.form.ids[self.turn].as_str());
        let is_there =
            self.reader.book.clutches_numbered(&number).next().is_some() || self.reader.book.clutch(&own).is_some();
        self.bad.extend(self.reader.file.twice(&number, self.turn));
        if !self.bad.is_empty() || !self.open.is_empty() {
            return self.refused();
        }
        if is_there {
            return Comes::Here;
        }
        let card =
            ClutchCard { number, dams, sires, species, laid, found: laid, counts, note, ..ClutchCard::default() };
        self.checked(RowRead::Clutch(Box::new(card), hatched))
    }

    fn refused(&mut self) -> Comes {
        self.open.dedup();
        let open = self.open.drain(..).map(str::to_owned);
        Comes::Bad(self.bad.drain(..).chain(open).collect())
    }

    /// As the act would take it alone, without what other rows bring.
    fn checked(&mut self, row: RowRead) -> Comes {
        let id = self.reader.form.ids[self.turn].as_str();
        let alone = match &row {
            RowRead::Clutch(card, hatched) => SheetRow::Clutch(ClutchId::from(id), card.clone(), *hatched),
            RowRead::Animal(row) => SheetRow::Animal(Box::new(row.alone(id))),
        };
        let act = SheetBroughtIn { rows: vec![alone] };
        // Eggs' ids are thrown away: only whether it would be refused counts.
        let drafted =
            book::acts::Act::draft(&act, self.reader.book, self.reader.now, &mut || journal::Id::mint([0; 5]));
        match drafted {
            Ok(_) => Comes::New(row),
            Err(refusal) => Comes::Bad(vec![refusal.told(&self.reader.units)]),
        }
    }
}

impl AnimalRow {
    fn alone(&self, id: &str) -> SheetAnimal {
        let here = |parent: &Option<Parent>| match parent {
            Some(Parent::Here(id)) => Some(id.clone()),
            _ => None,
        };
        SheetAnimal {
            id: self.known.clone().unwrap_or_else(|| AnimalId::from(id)),
            card: AnimalCard { dam: here(&self.dam), sire: here(&self.sire), ..self.card.clone() },
            place: match &self.place {
                Some(PlaceFound::Here(place)) => Some(place.clone()),
                _ => None,
            },
            weight: self.weight,
            asked: self.asked,
        }
    }
}

/// How it left and when, in one cell: `sold 2024`.
fn left_in(text: &str, today: NaiveDate) -> Option<(Option<Went>, Option<When>)> {
    let (word, day) = text.trim().rsplit_once(' ')?;
    let went = cells::status(word.trim_end_matches([' ', ',', ':'])).ok()??;
    Some((Some(went), Some(days::plain(day, today)?)))
}

/// A day of the sheet, unless what stands is of that day and knows the time too.
fn finer(said: Option<When>, stands: Option<When>) -> Option<When> {
    match (said, stands) {
        (Some(said), Some(stands)) if said.days() == stands.days() => Some(stands),
        (said, stands) => said.or(stands),
    }
}

/// What is another by the sheet than it stands.
fn changes(row: &AnimalRow, stands: &AnimalCard) -> Vec<Column> {
    let card = &row.card;
    let parent = |now: &Option<Parent>, before: &Option<AnimalId>| match now {
        Some(Parent::Here(id)) => Some(id) != before.as_ref(),
        Some(Parent::Row(_)) => true,
        None => false,
    };
    [
        (Column::Code, card.code != stands.code),
        (Column::Name, card.name != stands.name),
        (Column::Species, card.species != stands.species),
        (Column::Sex, card.sex != stands.sex),
        (Column::Morph, card.morph != stands.morph),
        (Column::Line, card.line != stands.line),
        (Column::Locality, card.locality != stands.locality),
        (Column::Born, card.born != stands.born),
        (Column::Dam, parent(&row.dam, &stands.dam)),
        (Column::Sire, parent(&row.sire, &stands.sire)),
        (Column::Weight, row.weight.is_some()),
        (Column::Place, row.place.is_some()),
        (Column::Status, card.went != stands.went),
        (Column::Left, card.went_when != stands.went_when),
        (Column::Price, row.asked.is_some() || card.price != stands.price),
        (Column::Note, card.note != stands.note),
    ]
    .into_iter()
    .filter(|(_, differs)| *differs)
    .map(|(column, _)| column)
    .collect()
}
