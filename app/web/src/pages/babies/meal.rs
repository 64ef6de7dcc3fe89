//! A meal at one animal: ate, refused. Come to by a scan, the next scan is open when it is saved.

use crate::clock;
use crate::prefs::prefs;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::TextField;
use crate::ui::signs::{Mark, tile};
use crate::words::{self as all_words, animals as animal_words, babies as said, names};
use book::acts::{AnimalEventNoted, MealOffered, MealOutcomeSeen};
use book::views::baby_row;
use book::words::{AnimalEventWhat, MealOutcome, ShedAs};
use book::{AnimalId, Kind};
use leptos::prelude::*;
use std::cell::RefCell;

thread_local! {
    static SCANNED: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Remembers what a label led to, so that a meal there goes on with the next label.
pub fn scanned(id: &str) {
    SCANNED.with(|scanned| *scanned.borrow_mut() = Some(id.to_owned()));
}

/// What is in a tub whose label was scanned goes on like the tub.
pub fn goes_on(from: &str, to: &str) {
    if SCANNED.with(|scanned| scanned.borrow().as_deref() == Some(from)) {
        scanned(to);
    }
}

#[component]
pub fn MealPage(id: String) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let animal = AnimalId::new(id.clone());
    let by_scan = SCANNED.with(|scanned| scanned.borrow().as_deref() == Some(id.as_str()));
    let last = barn.peek(|book| book.meals(&animal).next().cloned());
    let row = barn.peek(|book| baby_row(book, &animal, clock::now()));
    let text = |of: fn(&book::records::Meal) -> &Option<String>| {
        RwSignal::new(last.as_ref().and_then(|meal| of(meal).clone()).unwrap_or_default())
    };
    let (prey, size) = (text(|m| &m.prey), text(|m| &m.size));
    // What was put into its mouth last time is not so this time, unless said.
    let how =
        RwSignal::new(last.as_ref().filter(|meal| meal.unaided()).and_then(|m| m.how.clone()).unwrap_or_default());
    let waiting = last.filter(|meal| meal.outcome.is_none()).map(|meal| meal.id);
    let pending = waiting.is_some();
    let seen = Seen::now();
    let back = Page::Animal(id.clone());
    let on = if by_scan { Page::Scan } else { back.clone() };
    let fed = animal.clone();
    let outcomes = move |outcome: MealOutcome| {
        let (animal, waiting, on) = (fed.clone(), waiting.clone(), on.clone());
        let save = move || {
            let Some(when) = seen.get() else { return };
            let (told, on) = (animal_words::saved_meal(outcome), on.clone());
            match waiting.clone() {
                Some(meal) => barn.save(MealOutcomeSeen { meal, outcome, when }, told, move |_| on.replace()),
                None => {
                    let act = MealOffered {
                        animals: vec![animal.clone()],
                        offered: when,
                        outcome: Some(outcome),
                        prey: prey.get_untracked(),
                        size: size.get_untracked(),
                        how: how.get_untracked(),
                    };
                    barn.save(act, told, move |_| on.replace());
                }
            }
        };
        let main = outcome == MealOutcome::Eaten;
        tile(Mark::meal(outcome), animal_words::meal(Some(outcome)).to_owned(), main, save)
    };
    // Who is about to shed often refuses: both are seen at the same tub, and the meal is still to be said after it.
    let sheds = RwSignal::new(false);
    let shed = move |(shed, said): (Option<ShedAs>, String)| {
        let animal = animal.clone();
        tile(Mark::Shed, said, false, move || {
            let Some(when) = seen.get() else { return };
            let (animal, what) = (animal.clone(), AnimalEventWhat::Shed);
            let act = AnimalEventNoted { animal, what, when, mass: None, shed, note: String::new() };
            barn.save(act, animal_words::saved_event(what, shed), move |_| {
                let _ = sheds.try_set(false);
            });
        })
    };
    let tiles = move || match sheds.get() {
        true => {
            let how = animal_words::shed_choices().into_iter().map(&shed).collect_view();
            let back = view! { <button type="button" class="act" on:click=move |_| sheds.set(false)>{all_words::LEAVE}</button> };
            (how, back).into_any()
        }
        false => {
            let meal = MealOutcome::ALL.iter().map(|&outcome| outcomes(outcome)).collect_view();
            let said = animal_words::event_button(AnimalEventWhat::Shed).to_owned();
            (meal, tile(Mark::Shed, said, false, move || sheds.set(true))).into_any()
        }
    };
    let there = barn.peek(|book| book.has(&book::Thing::new(Kind::Animal, id.as_str())));
    if !there {
        return super::contact::nobody(animal_words::NO_SUCH, Page::Animals, animal_words::TO_LIST);
    }
    let name = barn.peek(|book| names::animal(book, &AnimalId::new(id)));
    view! {
        <div class="page alone">
            <Head title=animal_words::meal_title(&name) back=(back, name) />
            {row.map(|row| view! {
                <p class="card">{said::row_facts(&row, &prefs.get_untracked())}</p>
                {said::prey(&row, &prefs.get_untracked()).map(|prey| view! { <p class="aside">{prey}</p> })}
            })}
            <p class="aside">{if pending { animal_words::MEAL_WAITING } else { animal_words::MEAL_NOW }}</p>
            {(!pending).then(|| view! {
                <details>
                    <summary>{animal_words::MEAL_WHAT}</summary>
                    <TextField label=animal_words::PREY value=prey />
                    <TextField label=animal_words::PREY_SIZE value=size />
                    <TextField label=animal_words::PREY_HOW value=how hint=animal_words::PREY_HOW_HINT />
                </details>
            })}
            <WhenFold seen />
            <p class="aside">{said::HATCHLINGS_FAST}</p>
            <div class="acts tiles">{tiles}</div>
        </div>
    }
    .into_any()
}
