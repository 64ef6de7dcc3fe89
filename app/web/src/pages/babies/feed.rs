//! A rack fed in one tap; afterwards, or the next day, only those who refused are tapped.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::day::Seen;
use crate::ui::forms::TextField;
use crate::ui::rack::{RackPage, all_here, leave_out, rack_row, taken_out};
use crate::ui::signs::act_link;
use crate::words::{animals as animal_words, babies as said, dates, names, places as place_words};
use book::acts::{MealOutcomeSeen, RackFed};
use book::views::{FedLine, Feeding, feeding};
use book::words::MealOutcome;
use book::{AnimalId, PlaceId};
use leptos::prelude::*;
use trade::when::When;

/// Feeds everybody who eats by now, with what each had last unless it is said; then the refusers can be marked.
fn feed(barn: Barn, place: &PlaceId, leave_out: &[String], (prey, size): (String, String), offered: When) {
    let Some(feeding) = barn.peek(|book| feeding(book, place, clock::now())) else { return };
    let eats =
        feeding.animals.into_iter().filter(|line| !line.waits && !leave_out.iter().any(|id| id == line.id.as_str()));
    let animals: Vec<AnimalId> = eats.map(|line| line.id).collect();
    let told = said::fed(animals.len());
    let act = RackFed { animals, offered, prey, size, how: String::new() };
    let page = Page::Feed(place.to_string());
    barn.save(act, told, move |_| page.go());
}

/// From the page of a place: all of it at once, or first a look at who and what.
#[component]
pub fn FeedHere(place: PlaceId) -> impl IntoView {
    let barn = barn();
    let looked = place.clone();
    let found = Memo::new(move |_| {
        barn.read(|book| {
            let feeding = feeding(book, &looked, clock::now())?;
            let alone = feeding.animals.first().filter(|_| feeding.animals.len() == 1).map(|line| line.id.to_string());
            Some((feeding.animals.iter().filter(|line| !line.waits).count(), feeding.fed.is_some(), alone))
        })
    });
    move || {
        let (mouths, fed, alone) = found.get().filter(|(mouths, _, alone)| *mouths > 0 || alone.is_some())?;
        if let Some(animal) = alone {
            // A tub with one animal in it: its meal is one tap away, and by a scan the next scan is open after it.
            super::meal::goes_on(place.as_str(), &animal);
            return Some(
                view! { <div class="gap">{act_link(&Page::Meal(animal), "act", said::MEAL)}</div> }.into_any(),
            );
        }
        let (page, place) = (Page::Feed(place.to_string()), place.clone());
        let tap = move || feed(barn, &place, &[], Default::default(), When::time(clock::now()));
        let look = if fed { said::MARK_REFUSERS } else { said::FEED_LOOK };
        Some(all_here(said::feed_all(mouths), tap, look, &page))
    }
}

#[component]
pub fn Feed(place: String) -> impl IntoView {
    let barn = barn();
    let id = PlaceId::new(place.clone());
    let looked = id.clone();
    let found = Memo::new(move |_| barn.read(|book| feeding(book, &looked, clock::now())));
    if found.with_untracked(Option::is_none) {
        return super::contact::nobody(place_words::NO_SUCH, Page::Places, place_words::TO_LIST);
    }
    let title = barn.peek(|book| names::place(book, &id));
    let out = RwSignal::new(Vec::<String>::new());
    let last = |of: fn(&book::records::Meal) -> &Option<String>| {
        let meals =
            found.with_untracked(|f| f.iter().flat_map(|f| &f.animals).map(|line| line.id.clone()).collect::<Vec<_>>());
        barn.peek(|book| meals.iter().find_map(|id| of(book.meals(id).next()?).clone())).unwrap_or_default()
    };
    let (prey, size) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let seen = Seen::now();
    let offers = StoredValue::new((vec![last(|m| &m.prey)], vec![last(|m| &m.size)]));
    let give = {
        let id = id.clone();
        Callback::new(move |()| {
            let Some(when) = seen.get() else { return };
            feed(barn, &id, &out.get_untracked(), (prey.get_untracked(), size.get_untracked()), when)
        })
    };
    let lines = move || found.with(|f| f.as_ref().map(|f: &Feeding| f.animals.clone()).unwrap_or_default());
    let fed = move || found.with(|f| f.as_ref().and_then(|f| f.fed));
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let lines = lines();
        let lines = lines.get(from..to).map(<[FedLine]>::to_vec).unwrap_or_default();
        let marking = fed().is_some();
        lines.into_iter().map(|line| if marking { mark(line) } else { choose(line, out) }).collect_view().into_any()
    });
    let mouths = move || {
        lines()
            .iter()
            .filter(|line| !line.waits && !out.with(|out| out.iter().any(|id| id == line.id.as_str())))
            .count()
    };
    let card = Signal::derive(move || match fed() {
        Some(when) => said::fed_when(&dates::when(when, clock::today())),
        None => said::FEED_HOW.to_owned(),
    });
    let (done, total) = (Signal::derive(move || fed().is_some()), Signal::derive(move || lines().len()));
    view! {
        <RackPage title=said::feed_title(&title) back=(Page::Place(place), title) card done seen
            name="mouths" total show how=said::WAITS_HOW all=Signal::derive(move || said::feed_all(mouths())) tap=give>
            <details>
                <summary>{said::FEED_WHAT}</summary>
                <TextField label=animal_words::PREY value=prey offers=offers.with_value(|offers| offers.0.clone()) />
                <TextField label=animal_words::PREY_SIZE value=size offers=offers.with_value(|offers| offers.1.clone()) />
            </details>
        </RackPage>
    }
    .into_any()
}

/// Before the feeding: who is left out.
fn choose(line: FedLine, out: RwSignal<Vec<String>>) -> AnyView {
    let tap = (!line.waits).then(|| leave_out(line.id.to_string(), &line.name, out));
    rack_row(said::tub_title(&line.tub, &line.name), said::fed_facts(&line), tap)
}

/// After the feeding: one tap marks a refusal, another takes it back.
fn mark(line: FedLine) -> AnyView {
    let barn = barn();
    let button = line.meal.clone().map(|(meal, outcome)| {
        let refused = outcome != Some(MealOutcome::Eaten);
        let name = line.name.clone();
        let save = move || {
            let outcome = if refused { MealOutcome::Eaten } else { MealOutcome::Refused };
            let act = MealOutcomeSeen { meal: meal.clone(), outcome, when: When::time(clock::now()) };
            barn.save(act, said::marked(&name, outcome), |_| {});
        };
        taken_out(refused, said::REFUSED, said::refused_of(&line.name), save)
    });
    rack_row(said::tub_title(&line.tub, &line.name), said::fed_facts(&line), button)
}
