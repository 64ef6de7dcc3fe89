//! Many animals at once: ticked, then fed, weighed, seen, moved, treated, set apart or cooled in one act.

use crate::pages::care::{ApartThese, TreatThese};
use crate::pages::cooling::CoolThese;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, SeenField};
use crate::ui::forms::{Cell, Choice, Ends, Faults, Pick, SearchField, TextField, next_field};
use crate::ui::{Head, Paged};
use crate::words::{animals as animal_words, care as care_words, cooling as cooling_words, many as words, names};
use book::acts::{AnimalsSeen, MealOffered, Moved};
use book::words::{AnimalEventWhat, MealOutcome, PlaceWhat, ShedAs};
use book::{AnimalId, Book, PlaceId};
use desk::forms::weights::{last, many_weighed, weight_of};
use desk::{Entry, Measure};
use leptos::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Act {
    Meal,
    Weigh,
    Seen,
    Move,
    Treat,
    Apart,
    Cool,
}

/// Rooms and racks by name, and for each the places in it at any depth.
fn areas(book: &Book) -> Vec<(String, String)> {
    let holds = |what| matches!(what, Some(PlaceWhat::Room | PlaceWhat::Rack));
    let all = book.places().into_iter().filter(|place| holds(place.what) && !place.closed);
    let all = all.map(|place| (place.id.to_string(), names::place(book, &place.id)));
    std::iter::once((String::new(), words::EVERYWHERE.to_owned())).chain(all).collect()
}

/// Animals kept in an area, in walking order, those in quarantine last: `(id, name, where)`.
fn kept(book: &Book, area: &str, text: &str) -> Vec<(String, String, String)> {
    let order: BTreeMap<&PlaceId, usize> =
        book.places().into_iter().enumerate().map(|(i, place)| (&place.id, i)).collect();
    let typed = text.to_lowercase();
    let mut found: Vec<((bool, usize), (String, String, String))> = Vec::new();
    for animal in book.animals() {
        let place = book.place_of(&animal.id.thing());
        let inside =
            area.is_empty() || place.is_some_and(|p| book.path(&p.id).iter().any(|outer| outer.id.as_str() == area));
        let long = names::animal_long(book, &animal.id);
        if inside && (typed.is_empty() || long.to_lowercase().contains(&typed)) {
            // His name is the title; his code and kind stand with his place.
            let name = names::animal(book, &animal.id);
            let kind = long.strip_prefix(name.as_str()).unwrap_or(&long).trim_start_matches(" · ").to_owned();
            let at = place.map(|place| names::place(book, &place.id));
            let apart = book.apart(&animal.id.thing()).is_some();
            let last = apart.then(|| care_words::APART_LAST.to_owned());
            let at = [Some(kind).filter(|kind| !kind.is_empty()), at, last]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(" · ");
            let walk = place.and_then(|place| order.get(&place.id)).copied().unwrap_or(usize::MAX);
            found.push(((apart, walk), (animal.id.to_string(), name, at)));
        }
    }
    found.sort_by_key(|(walk, _)| *walk);
    found.into_iter().map(|(_, row)| row).collect()
}

/// What is ticked, and what is to be done.
#[derive(Clone, Copy)]
struct Picked {
    ids: RwSignal<BTreeSet<String>>,
    doing: RwSignal<Option<Act>>,
}

impl Picked {
    fn animals(&self) -> Vec<AnimalId> {
        self.ids.with_untracked(|ids| ids.iter().map(|id| AnimalId::from(id.as_str())).collect())
    }

    /// Back to the list, with what is ticked.
    fn leave(self) -> Callback<()> {
        Callback::new(move |()| self.doing.set(None))
    }
}

#[component]
pub fn Many() -> impl IntoView {
    let picked = Picked { ids: RwSignal::new(BTreeSet::new()), doing: RwSignal::new(None) };
    // What is looked for stays while an act is begun and left.
    let (area, text) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    move || match picked.doing.get() {
        None => view! { <Tick picked area text /> }.into_any(),
        Some(act) => view! { <Do picked act /> }.into_any(),
    }
}

#[component]
fn Tick(picked: Picked, area: RwSignal<String>, text: RwSignal<String>) -> impl IntoView {
    let barn = barn();
    let areas = barn.peek(areas);
    let rows = Memo::new(move |_| area.with(|area| text.with(|text| barn.read(|book| kept(book, area, text)))));
    let aside = Signal::derive(move || words::chosen(picked.ids.with(BTreeSet::len)));
    let all = move |_| {
        rows.with(|rows| {
            picked.ids.update(|ids| {
                let every = rows.iter().all(|(id, ..)| ids.contains(id));
                for (id, ..) in rows {
                    if every {
                        ids.remove(id);
                    } else {
                        ids.insert(id.clone());
                    }
                }
            })
        })
    };
    let some = Callback::new(move |(from, to): (usize, usize)| {
        let shown = rows.with(|rows| rows.get(from..to).map(<[_]>::to_vec).unwrap_or_default());
        let shown = shown.into_iter().map(|(id, name, at)| {
            let mine = id.clone();
            let flip = move |_| {
                picked.ids.update(|ids| {
                    if !ids.remove(&id) {
                        ids.insert(id.clone());
                    }
                })
            };
            view! {
                <label class="row tick">
                    <input type="checkbox" prop:checked=move || picked.ids.with(|ids| ids.contains(&mine)) on:change=flip />
                    <span class="text"><span class="title">{name}</span><span class="aside">{at}</span></span>
                </label>
            }
            .into_any()
        });
        shown.collect_view().into_any()
    });
    // What is looked for elsewhere begins at its first row again.
    let list = move || {
        let name = area.with(|area| text.with(|text| format!("{area} {text}")));
        view! { <Paged name total=Signal::derive(move || rows.with(Vec::len)) show=some /> }
    };
    let act = move |act: Act, said: &'static str| {
        let none = move || picked.ids.with(BTreeSet::is_empty);
        view! { <button type="button" class="act" data-opens="" disabled=none on:click=move |_| picked.doing.set(Some(act))>{said}</button> }
            .into_any()
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() aside back=(Page::Animals, animal_words::TITLE.to_owned()) />
            <Pick label=words::WHERE options=Signal::stored(areas) value=area />
            <SearchField label=animal_words::SEARCH value=text />
            <button type="button" class="act small" disabled=move || rows.with(Vec::is_empty) on:click=all>{move || words::all(rows.with(Vec::len))}</button>
            <div class="picks">{list}</div>
            <div class="gap tight">
                {act(Act::Treat, care_words::TREAT)}
                {act(Act::Apart, care_words::APART_SET)}
                {act(Act::Cool, cooling_words::COOL)}
            </div>
            <div class="acts">
                {act(Act::Move, animal_words::MOVE)}
                {act(Act::Seen, words::SHED)}
                {act(Act::Weigh, animal_words::WEIGH)}
                {act(Act::Meal, animal_words::MEAL)}
            </div>
        </div>
    }
}

#[component]
fn Do(picked: Picked, act: Act) -> impl IntoView {
    let barn = barn();
    let animals = picked.animals();
    let title = words::act_title(
        match act {
            Act::Meal => animal_words::MEAL,
            Act::Weigh => animal_words::WEIGH,
            Act::Seen => words::SHED,
            Act::Move => animal_words::MOVE,
            Act::Treat => care_words::TREAT,
            Act::Apart => care_words::APART_SET,
            Act::Cool => cooling_words::COOL,
        },
        animals.len(),
    );
    let listed = barn.peek(|book| animals.iter().map(|id| names::animal(book, id)).collect::<Vec<_>>().join(", "));
    let shut_after = Callback::new(move |_: Option<String>| shut(picked));
    let leave = picked.leave();
    let form = match act {
        Act::Meal => view! { <Meal picked /> }.into_any(),
        Act::Weigh => {
            let done = Callback::new(move |()| shut(picked));
            view! { <WeighThese animals done leave /> }.into_any()
        }
        Act::Seen => view! { <Shed picked /> }.into_any(),
        Act::Move => view! { <Move picked /> }.into_any(),
        Act::Treat => view! { <TreatThese animals=animals done=shut_after leave /> }.into_any(),
        Act::Apart => {
            let things = animals.iter().map(AnimalId::thing).collect();
            view! { <ApartThese things done=shut_after leave /> }.into_any()
        }
        Act::Cool => {
            let done = Callback::new(|cooling: Option<String>| Page::Cooling(cooling).replace());
            view! { <CoolThese animals done leave /> }.into_any()
        }
    };
    view! {
        <div class="page with-acts">
            <Head title />
            <p class="sub">{listed}</p>
            {form}
        </div>
    }
}

/// Done: nothing is ticked any more. A save may end after its page has gone.
fn shut(picked: Picked) {
    let _ = picked.ids.try_set(BTreeSet::new());
    let _ = picked.doing.try_set(None);
}

#[component]
fn Meal(picked: Picked) -> impl IntoView {
    let barn = barn();
    let last = barn.peek(|book| {
        let meals = picked.animals();
        meals.iter().find_map(|id| book.meals(id).next().cloned())
    });
    let text = |of: fn(&book::records::Meal) -> &Option<String>| {
        RwSignal::new(last.as_ref().and_then(|meal| of(meal).clone()).unwrap_or_default())
    };
    let (prey, size, how) = (text(|m| &m.prey), text(|m| &m.size), text(|m| &m.how));
    let outcome = RwSignal::new("eaten".to_owned());
    let seen = Seen::now();
    let outcomes = [Some(MealOutcome::Eaten), Some(MealOutcome::Refused), None];
    let outcomes =
        outcomes.map(|o| (o.map_or("", MealOutcome::word).to_owned(), animal_words::meal(o).to_owned())).to_vec();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(offered) = seen.get() else { return };
        let act = MealOffered {
            animals: picked.animals(),
            offered,
            outcome: MealOutcome::of(&outcome.get_untracked()),
            prey: prey.get_untracked(),
            size: size.get_untracked(),
            how: how.get_untracked(),
        };
        barn.save(act, words::saved(picked.animals().len()), move |_| shut(picked));
    };
    view! {
        <form novalidate on:submit=save>
            <Choice label=words::OUTCOME options=outcomes value=outcome />
            <TextField label=animal_words::PREY value=prey />
            <TextField label=animal_words::PREY_SIZE value=size />
            <TextField label=animal_words::PREY_HOW value=how hint=animal_words::PREY_HOW_HINT />
            <SeenField seen />
            <Ends leave=Some(picked.leave()) />
        </form>
    }
}

/// These on the scale, one after the other: *Enter* goes on to the next. Who was not weighed is left out.
#[component]
pub fn WeighThese(animals: Vec<AnimalId>, done: Callback<()>, leave: Callback<()>) -> impl IntoView {
    let barn = barn();
    let (unit, faults) = (Measure::Mass.sign(units()), Faults::new());
    let seen = Seen::now();
    let rows: Vec<(AnimalId, String, RwSignal<Entry>)> = barn.peek(|book| {
        let all = animals.into_iter();
        all.map(|id| {
            let name = names::animal(book, &id);
            let entry = Entry::blank(weight_of(&name, last(book, &id)));
            (id, name, RwSignal::new(entry))
        })
        .collect()
    });
    let fields = rows
        .iter()
        .map(|(_, name, value)| {
            let (entry, label) = (*value, name.clone());
            view! {
                <tr><th scope="row">{name.clone()}</th><td>
                    <Cell entry label faults on_enter=Callback::new(|ev| next_field(&ev)) />
                </td></tr>
            }
            .into_any()
        })
        .collect_view();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let typed: Vec<_> = rows.iter().map(|(id, _, entry)| (id.clone(), entry.get_untracked())).collect();
        let Some(act) = faults.pass(many_weighed(&typed, when, units())) else { return };
        let said = words::saved(act.weights.len());
        barn.save(act, said, move |_| {
            let _ = done.try_run(());
        });
    };
    view! {
        <form novalidate on:submit=save>
            <table class="table sheet">
                <thead><tr><th scope="col">{words::ANIMAL}</th><th scope="col">{animal_words::WEIGHT}" "{unit}</th></tr></thead>
                <tbody>{fields}</tbody>
            </table>
            <SeenField seen />
            <Ends leave=Some(leave) />
        </form>
    }
}

#[component]
fn Shed(picked: Picked) -> impl IntoView {
    let barn = barn();
    let (seen, note) = (Seen::now(), RwSignal::new(String::new()));
    let shed = RwSignal::new(None::<ShedAs>);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let animals = picked.animals();
        let said = words::saved(animals.len());
        let act = AnimalsSeen {
            animals,
            what: AnimalEventWhat::Shed,
            when,
            shed: shed.get_untracked(),
            note: note.get_untracked(),
        };
        barn.save(act, said, move |_| shut(picked));
    };
    view! {
        <form novalidate on:submit=save>
            <Choice label=animal_words::SHED_HOW options=animal_words::shed_choices() value=shed />
            <SeenField seen />
            <TextField label=animal_words::NOTE_TEXT value=note />
            <Ends leave=Some(picked.leave()) />
        </form>
    }
}

#[component]
fn Move(picked: Picked) -> impl IntoView {
    let barn = barn();
    let (seen, to) = (Seen::now(), RwSignal::new(String::new()));
    let options = super::panels::place_options(animal_words::NO_PLACE);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let place = to.get_untracked();
        if place.is_empty() {
            return barn.amiss(animal_words::NO_TARGET.to_owned());
        }
        let things: Vec<book::Thing> = picked.animals().iter().map(AnimalId::thing).collect();
        let said = words::saved(things.len());
        let act = Moved::to_place(things, PlaceId::new(place), when);
        barn.save(act, said, move |_| shut(picked));
    };
    view! {
        <form novalidate on:submit=save>
            <Pick label=animal_words::TO_PLACE options=Signal::stored(options) value=to />
            <SeenField seen />
            <Ends leave=Some(picked.leave()) />
        </form>
    }
}
