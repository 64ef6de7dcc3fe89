//! An animal added or edited: what a label needs first, the rest folded away.

use super::panels::place_options;
use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::DateField;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, animals as words, names};
use book::acts::{AnimalAdded, AnimalCard, AnimalEdited, made};
use book::words::{Came, Sex, Went};
use book::{AnimalId, Book, ClutchId, EggId, Kind, PlaceId};
use desk::Entry;
use desk::forms::animal::{AnimalForm as Form, BORN, LEFT_ON};
use leptos::prelude::*;
use std::collections::BTreeSet;

/// Morphs offered while typing.
const MORPHS: usize = 60;

#[component]
pub fn AnimalForm(id: Option<String>) -> impl IntoView {
    let barn = barn();
    let id = id.map(AnimalId::new);
    let card = match &id {
        Some(id) => barn.peek(|book| AnimalCard::of(book, id)),
        None => Some(barn.peek(blank)),
    };
    let Some(card) = card else {
        return view! {
            <div class="page">
                <Head title=words::TITLE.to_string() back=(Page::Animals, words::TITLE.to_owned()) />
                <Empty text=words::NO_SUCH><a class="act main" href=Page::Animals.href()>{words::TO_LIST}</a></Empty>
            </div>
        }
        .into_any();
    };
    let (title, back) = match &id {
        Some(id) => {
            let name = barn.peek(|book| names::animal(book, id));
            (words::edit_title(&name), (Page::Animal(id.to_string()), name))
        }
        None => (words::NEW.to_owned(), (Page::Animals, words::TITLE.to_owned())),
    };
    view! {
        <div class="page with-acts">
            <Head title back />
            <Fields id card />
        </div>
    }
    .into_any()
}

/// A new animal is most often of the kind last added; a barn needs a female first, then a male.
fn blank(book: &Book) -> AnimalCard {
    let last = book.all_animals().max_by_key(|animal| book.written(&animal.id.thing()).map_or(0, |w| w.at_ms));
    AnimalCard {
        species: last.and_then(|animal| animal.species.clone()),
        sex: Some(first_missing(book)),
        ..AnimalCard::default()
    }
}

fn first_missing(book: &Book) -> Sex {
    let missing = |sex: Sex| !book.all_animals().any(|animal| animal.sex == Some(sex));
    [Sex::Female, Sex::Male].into_iter().find(|&sex| missing(sex)).unwrap_or(Sex::Unknown)
}

/// The fields as signals; what the form does not show stays as the card has it.
#[derive(Clone, Copy)]
struct Entered {
    code: RwSignal<String>,
    name: RwSignal<String>,
    species: RwSignal<String>,
    sex: RwSignal<Sex>,
    morph: RwSignal<String>,
    sex_how: RwSignal<String>,
    sex_sure: RwSignal<String>,
    line: RwSignal<String>,
    locality: RwSignal<String>,
    hybrid: RwSignal<String>,
    born: RwSignal<String>,
    came: RwSignal<Option<Came>>,
    /// The clutch whose eggs are offered, and the eggs tapped.
    clutch: RwSignal<String>,
    eggs: RwSignal<Vec<String>>,
    dam: RwSignal<String>,
    sire: RwSignal<String>,
    went: RwSignal<Option<Went>>,
    went_when: RwSignal<String>,
    went_why: RwSignal<String>,
    price: RwSignal<Entry>,
    note: RwSignal<String>,
    faults: Faults,
}

impl Entered {
    fn of(form: Form) -> Self {
        Self {
            code: RwSignal::new(form.code),
            name: RwSignal::new(form.name),
            species: RwSignal::new(form.species),
            sex: RwSignal::new(form.sex),
            morph: RwSignal::new(form.morph),
            sex_how: RwSignal::new(form.sex_how),
            sex_sure: RwSignal::new(form.sex_sure),
            line: RwSignal::new(form.line),
            locality: RwSignal::new(form.locality),
            hybrid: RwSignal::new(form.hybrid),
            born: RwSignal::new(form.born),
            came: RwSignal::new(form.came),
            clutch: RwSignal::new(clutch_of(&form.before.from_eggs)),
            eggs: RwSignal::new(form.eggs),
            dam: RwSignal::new(form.dam),
            sire: RwSignal::new(form.sire),
            went: RwSignal::new(form.went),
            went_when: RwSignal::new(form.went_when),
            went_why: RwSignal::new(form.went_why),
            price: RwSignal::new(form.price),
            note: RwSignal::new(form.note),
            faults: Faults::new(),
        }
    }

    /// As it stands, over what the page was opened with.
    fn form(&self, before: AnimalCard) -> Form {
        Form {
            before,
            code: self.code.get_untracked(),
            name: self.name.get_untracked(),
            species: self.species.get_untracked(),
            sex: self.sex.get_untracked(),
            morph: self.morph.get_untracked(),
            sex_how: self.sex_how.get_untracked(),
            sex_sure: self.sex_sure.get_untracked(),
            line: self.line.get_untracked(),
            locality: self.locality.get_untracked(),
            hybrid: self.hybrid.get_untracked(),
            born: self.born.get_untracked(),
            came: self.came.get_untracked(),
            eggs: self.eggs.get_untracked(),
            dam: self.dam.get_untracked(),
            sire: self.sire.get_untracked(),
            went: self.went.get_untracked(),
            went_when: self.went_when.get_untracked(),
            went_why: self.went_why.get_untracked(),
            price: self.price.get_untracked(),
            note: self.note.get_untracked(),
        }
    }
}

#[component]
fn Fields(id: Option<AnimalId>, card: AnimalCard) -> impl IntoView {
    let barn = barn();
    let entered = Entered::of(Form::new(card.clone(), barn.peek(Book::currency)));
    let place = RwSignal::new(String::new());
    let new = id.is_none();
    let before = StoredValue::new(card);
    let own = StoredValue::new(id);

    let save = move |again: bool| {
        let form = entered.form(before.get_value());
        // As it stands by now: somebody else may have written meanwhile.
        let now = own.with_value(|own| barn.peek(|book| AnimalCard::of(book, own.as_ref()?)));
        let card = form.card(now.as_ref().unwrap_or(&form.before), clock::today());
        let Some(card) = entered.faults.pass(card) else { return };
        if let Some(animal) = own.get_value() {
            let to = Page::Animal(animal.to_string());
            return barn.save(AnimalEdited { animal, card }, words::SAVED, move |_| to.replace());
        }
        let kept_at = Some(place.get_untracked()).filter(|p| !p.is_empty()).map(PlaceId::new);
        barn.save(AnimalAdded { id: None, card, place: kept_at }, words::SAVED, move |draft| {
            if again {
                let _ = entered.code.try_set(String::new());
                let _ = entered.name.try_set(String::new());
                let _ = place.try_set(String::new());
                let _ = entered.sex.try_set(barn.peek(first_missing));
                if let Some(window) = web_sys::window() {
                    window.scroll_to_with_x_and_y(0.0, 0.0);
                }
            } else {
                made(draft, Kind::Animal).map_or(Page::Animals, |animal| Page::Animal(animal.id)).replace();
            }
        });
    };
    let submit = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        save(false);
    };
    let species = Signal::derive(move || barn.read(names::species_choices));
    let morphs: BTreeSet<String> = barn.peek(|book| book.all_animals().filter_map(|a| a.morph.clone()).collect());
    let morphs: Vec<String> = morphs.into_iter().take(MORPHS).collect();
    let places = Signal::derive(|| place_options(words::NO_PLACE));
    let sexes = [Sex::Female, Sex::Male, Sex::Unknown].map(|sex| (sex, words::sex_choice(sex).to_owned())).to_vec();
    view! {
        <form novalidate on:submit=submit>
            <div class="pair">
                <TextField label=words::NAME value=entered.name />
                <TextField label=words::CODE value=entered.code />
            </div>
            <Choice label=words::SEX options=sexes value=entered.sex />
            <Pick label=words::SPECIES options=species value=entered.species />
            <TextField label=words::MORPH value=entered.morph offers=morphs />
            {new.then(|| view! {
                <Pick label=words::PLACE options=places value=place />
            })}
            <Rest entered own=own.get_value() />
            {(!new).then(|| view! { <Left entered /> })}
            <div class="acts">
                {new.then(|| view! {
                    <button type="button" class="act" on:click=move |_| save(true)>{words::SAVE_AND_NEXT}</button>
                })}
                <button type="submit" class="act main">{all_words::SAVE}</button>
            </div>
        </form>
    }
}

#[component]
fn Rest(entered: Entered, own: Option<AnimalId>) -> impl IntoView {
    let barn = barn();
    let owned = |offers: &[&str]| offers.iter().map(|o| (*o).to_owned()).collect::<Vec<_>>();
    let came = std::iter::once((None, all_words::UNKNOWN.to_owned()));
    let came =
        came.chain([Came::Bought, Came::Egg, Came::OneOf, Came::Loan].map(|c| (Some(c), words::came(c).to_owned())));
    let came: Vec<_> = came.collect();
    let parents = move |not: Sex| {
        let own = own.clone();
        Signal::derive(move || {
            let none = (String::new(), all_words::UNKNOWN.to_owned());
            let animals = barn.read(|book| {
                let fit = book.all_animals().filter(|a| a.sex != Some(not) && Some(&a.id) != own.as_ref());
                let mut said: Vec<_> = fit.map(|a| (a.id.to_string(), names::animal_long(book, &a.id))).collect();
                said.sort_by(|a, b| a.1.cmp(&b.1));
                said
            });
            std::iter::once(none).chain(animals).collect::<Vec<_>>()
        })
    };
    view! {
        <details>
            <summary>{words::REST}</summary>
            <DateField label=BORN value=entered.born faults=entered.faults />
            <Choice label=words::CAME options=came value=entered.came />
            {move || matches!(entered.came.get(), Some(Came::Egg | Came::OneOf)).then(|| view! { <OutOf entered /> })}
            <Pick label=words::DAM options=parents(Sex::Male) value=entered.dam />
            <Pick label=words::SIRE options=parents(Sex::Female) value=entered.sire />
            <TextField label=words::LINE value=entered.line />
            <TextField label=words::LOCALITY value=entered.locality />
            <TextField label=words::HYBRID value=entered.hybrid />
            <TextField label=words::SEX_HOW value=entered.sex_how offers=owned(&words::SEX_HOW_OFFERS) />
            <TextField label=words::SEX_SURE value=entered.sex_sure offers=owned(&words::SEX_SURE_OFFERS) />
            <Caution text=words::SEX_CAUTION />
            <TextField label=words::NOTE_ABOUT value=entered.note />
        </details>
    }
}

fn clutch_of(eggs: &[EggId]) -> String {
    let clutch = barn().peek(|book| eggs.iter().find_map(|egg| book.egg(egg)?.clutch.clone()));
    clutch.map(|clutch| clutch.to_string()).unwrap_or_default()
}

/// Clutches offered, newest first.
const CLUTCHES: usize = 200;

/// The egg it came from, or the eggs of which it was one.
#[component]
fn OutOf(entered: Entered) -> impl IntoView {
    let barn = barn();
    let clutches = barn.peek(|book| {
        let all = book.clutches().into_iter().take(CLUTCHES);
        let all = all.map(|clutch| {
            let said = format!("{} · {}", book.clutch_number(&clutch.id), book.animal_names(&clutch.dams).join(" / "));
            (clutch.id.to_string(), said)
        });
        std::iter::once((String::new(), all_words::UNKNOWN.to_owned())).chain(all).collect::<Vec<_>>()
    });
    // Another clutch: the eggs of the one before are no longer meant, and its parents are this animal's.
    Effect::new(move |was: Option<String>| {
        let now = entered.clutch.get();
        if was.is_some_and(|was| was != now) {
            entered.eggs.set(Vec::new());
            let parents = barn.peek(|book| {
                let clutch = book.clutch(&ClutchId::from(now.as_str()));
                clutch.map(|clutch| (clutch.dams.clone(), clutch.only_of().to_vec()))
            });
            if let Some((dams, sires)) = parents {
                let only = |ids: &[AnimalId]| if let [one] = ids { one.to_string() } else { String::new() };
                entered.dam.set(only(&dams));
                entered.sire.set(only(&sires));
            }
        }
        now
    });
    let chips = move || {
        let clutch = ClutchId::from(entered.clutch.get().as_str());
        let eggs = barn.peek(|book| {
            let eggs = book.eggs_of(&clutch).into_iter();
            eggs.map(|egg| (egg.id.to_string(), egg.letter.clone().unwrap_or_default())).collect::<Vec<_>>()
        });
        (!eggs.is_empty()).then(|| view! {
            <fieldset class="field">
                <legend>{words::FROM_EGGS}</legend>
                <div class="chips">{eggs.into_iter().map(|(id, letter)| {
                    let mine = id.clone();
                    let flip = move |_| entered.eggs.update(|eggs| match eggs.iter().position(|egg| *egg == id) {
                        Some(at) => {
                            eggs.remove(at);
                        }
                        None => eggs.push(id.clone()),
                    });
                    view! {
                        <button type="button" class="chip" on:click=flip
                            aria-pressed=move || entered.eggs.with(|eggs| eggs.contains(&mine)).to_string()>{letter}</button>
                    }.into_any()
                }).collect_view()}</div>
                <span class="hint">{words::FROM_EGGS_HINT}</span>
            </fieldset>
        })
    };
    view! {
        <Pick label=words::FROM_CLUTCH options=Signal::stored(clutches) value=entered.clutch />
        {chips}
    }
}

/// How it left, for an animal that is in the book already.
#[component]
fn Left(entered: Entered) -> impl IntoView {
    let options = std::iter::once((None, words::HERE.to_owned()));
    let options: Vec<_> =
        options.chain(Went::ALL.iter().map(|&how| (Some(how), words::went(how).to_owned()))).collect();
    // Whoever says that it left means today unless they say when.
    Effect::new(move |was: Option<Option<Went>>| {
        let went = entered.went.get();
        if was == Some(None) && went.is_some() && entered.went_when.with_untracked(String::is_empty) {
            entered.went_when.set(crate::clock::today().to_string());
        }
        went
    });
    view! {
        <details>
            <summary>{words::WENT}</summary>
            <Choice label=words::WENT options value=entered.went />
            {move || entered.went.get().map(|_| view! {
                <DateField label=LEFT_ON value=entered.went_when faults=entered.faults />
                <TextField label=words::WENT_WHY value=entered.went_why />
                <Quantity entry=entered.price faults=entered.faults />
            })}
        </details>
    }
}
