//! A meal at one animal: ate, refused. Come to by a scan, the next scan is open when it is saved.

use crate::clock;
use crate::prefs::prefs;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::TextField;
use crate::words::{animals as animal_words, babies as said, names};
use book::acts::{MealOffered, MealOutcomeSeen};
use book::views::baby_row;
use book::words::MealOutcome;
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
    let buttons = MealOutcome::ALL.iter().map(|&outcome| {
        let (animal, waiting, on) = (animal.clone(), waiting.clone(), on.clone());
        let save = move |_| {
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
        view! { <button type="button" class="act" class:main=main on:click=save>{animal_words::meal(Some(outcome))}</button> }
    });
    let buttons = buttons.collect_view();
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
            <div class="acts">{buttons}</div>
        </div>
    }
    .into_any()
}
