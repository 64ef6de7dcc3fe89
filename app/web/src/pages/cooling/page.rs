//! One plan: who is cooled by it and what each lost; begun, ended, weighed and put right for those that are ticked.

use super::form::{Fix, cards};
use crate::clock;
use crate::pages::animals::WeighThese;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Caution, Empty, Head, Paged};
use crate::words::{animals as animal_words, cooling as words, names};
use book::views::{CoolingRow, CoolingStage, CoolingView, cooling_view};
use book::{AnimalId, CoolingId};
use desk::forms::cooling::{begun, ended};
use leptos::prelude::*;
use std::collections::BTreeSet;
use trade::when::When;

/// What is done instead of looking.
#[derive(Clone)]
enum Doing {
    Weigh(Vec<AnimalId>),
    Fix(Vec<CoolingId>),
}

/// The plan as it stands, who is ticked, and what is being done.
#[derive(Clone, Copy)]
struct Plan {
    view: Memo<Option<CoolingView>>,
    ticked: RwSignal<BTreeSet<CoolingId>>,
    doing: RwSignal<Option<Doing>>,
}

impl Plan {
    /// Ticked ones that this is for, in the order shown.
    fn chosen(self, fits: fn(CoolingStage) -> bool) -> Vec<CoolingRow> {
        let ticked = self.ticked.get();
        let fits = |row: &&CoolingRow| fits(row.stage) && ticked.contains(&row.cooling.id);
        self.view.with(|view| view.iter().flat_map(|view| &view.rows).filter(fits).cloned().collect())
    }

    fn count(self, fits: fn(CoolingStage) -> bool) -> usize {
        self.chosen(fits).len()
    }

    fn ids(self, fits: fn(CoolingStage) -> bool) -> Vec<CoolingId> {
        untrack(|| self.chosen(fits)).into_iter().map(|row| row.cooling.id).collect()
    }
}

fn planned(stage: CoolingStage) -> bool {
    stage == CoolingStage::Planned
}

fn cool(stage: CoolingStage) -> bool {
    stage == CoolingStage::Cool
}

fn any(_: CoolingStage) -> bool {
    true
}

#[component]
pub fn CoolingPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = CoolingId::new(id);
    let view = Memo::new(move |_| barn.read(|book| cooling_view(book, &id, clock::now())));
    let ticked = view.with_untracked(|view| {
        let rows = view.as_ref().map(|view| view.rows.as_slice()).unwrap_or_default();
        let open = rows.iter().any(|row| row.stage.is_open());
        let meant = rows.iter().filter(|row| row.stage.is_open() || !open);
        meant.map(|row| row.cooling.id.clone()).collect::<BTreeSet<_>>()
    });
    let plan = Plan { view, ticked: RwSignal::new(ticked), doing: RwSignal::new(None) };
    // Asked by itself: what is half typed goes with the form when that is drawn anew, and an animal may be weighed meanwhile.
    let gone = Memo::new(move |_| view.with(Option::is_none));
    move || match plan.doing.get() {
        _ if gone.get() => view! {
            <div class="page">
                <Empty text=words::NO_SUCH>
                    <a class="act main" href=Page::Cooling(None).href()>{words::TO_LIST}</a>
                </Empty>
            </div>
        }
        .into_any(),
        None => view! { <Look plan /> }.into_any(),
        Some(Doing::Weigh(animals)) => view! { <WeighPanel plan animals /> }.into_any(),
        Some(Doing::Fix(coolings)) => {
            let shut = Callback::new(move |()| plan.doing.set(None));
            view! { <Fix coolings shut /> }.into_any()
        }
    }
}

#[component]
fn Look(plan: Plan) -> impl IntoView {
    let prefs = prefs();
    let today = clock::today();
    let title =
        Signal::derive(move || words::of(plan.view.with(|view| view.as_ref().map_or(0, |view| view.rows.len()))));
    let aside = Signal::derive(move || {
        let group = plan.view.with(|view| view.as_ref().map(|view| view.group.clone()));
        group.map(|g| words::plan((g.from, g.until), g.temp, &prefs.get(), today)).unwrap_or_default()
    });
    let stands = move || {
        let said = plan.view.with(|view| view.as_ref().map(|view| words::stands(view, today)).unwrap_or_default());
        said.into_iter().map(|line| view! { <p class="second">{line}</p> }).collect_view()
    };
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = plan.view.with(|view| view.as_ref().and_then(|view| view.rows.get(from..to)).map(<[_]>::to_vec));
        rows.unwrap_or_default().into_iter().map(|row| view! { <Line plan row /> }).collect_view().into_any()
    });
    let total = Signal::derive(move || plan.view.with(|view| view.as_ref().map_or(0, |view| view.rows.len())));
    let large = move || {
        let large = |row: &CoolingRow| row.loss.is_some_and(|loss| loss.large);
        plan.view.with(|view| view.as_ref().is_some_and(|view| view.rows.iter().any(large)))
    };
    view! {
        <div class="page with-acts">
            <Head title aside back=(Page::Cooling(None), words::TITLE.to_owned()) />
            <div class="card">{stands}</div>
            {move || large().then(|| view! { <Caution text=words::look() /> })}
            <div class="picks"><Paged name="cooled" total show /></div>
            <p class="aside inset">{words::TICKED_HOW}</p>
            <Caution text=words::CAUTION />
            <Acts plan />
        </div>
    }
}

/// One animal: how it stands, what it weighed, and what it wants.
#[component]
fn Line(plan: Plan, row: CoolingRow) -> impl IntoView {
    let prefs = prefs();
    let today = clock::today();
    let id = row.cooling.id.clone();
    let mine = id.clone();
    let flip = move |_| {
        plan.ticked.update(|ticked| {
            if !ticked.remove(&id) {
                ticked.insert(id.clone());
            }
        })
    };
    let large = row.loss.is_some_and(|loss| loss.large);
    let place = (!row.path.is_empty()).then(|| names::path(&row.path));
    let stands = [Some(words::stage(&row, today)), place].into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let meal = words::meal(&row, today);
    let wants = row.wants.as_ref().map(|wants| words::wants(wants, today));
    let weights = {
        let row = row.clone();
        move || words::weights(&row, &prefs.get(), today)
    };
    view! {
        <label class="row tick" class:urgent=large>
            <input type="checkbox" prop:checked=move || plan.ticked.with(|ticked| ticked.contains(&mine)) on:change=flip />
            <span class="text">
                <span class="title">{row.name.clone()}</span>
                <span class="aside">{stands}</span>
                <span>{weights}</span>
                {meal.map(|said| view! { <span class="aside">{said}</span> })}
                {wants.map(|said| view! { <span class="aside">{said}</span> })}
            </span>
        </label>
    }
}

#[component]
fn Acts(plan: Plan) -> impl IntoView {
    let barn = barn();
    let begin = move |_| {
        let cards = cards(&plan.ids(planned));
        let said = words::begun(cards.len());
        barn.save(begun(cards, When::time(clock::now())), said, |_| {});
    };
    let off = move |_| {
        let cards = cards(&plan.ids(planned));
        barn.save(ended(cards, When::time(clock::now())), words::CALLED_OFF, |_| {});
    };
    let end = move |_| {
        let rows = untrack(|| plan.chosen(cool));
        let (ids, animals): (Vec<_>, Vec<_>) = rows.into_iter().map(|row| (row.cooling.id, row.animal)).unzip();
        let said = words::ended(ids.len());
        barn.save(ended(cards(&ids), When::time(clock::now())), said, move |_| {
            let _ = plan.doing.try_set(Some(Doing::Weigh(animals)));
        });
    };
    let weigh = move |_| {
        let animals = untrack(|| plan.chosen(any)).into_iter().map(|row| row.animal).collect();
        plan.doing.set(Some(Doing::Weigh(animals)));
    };
    let fix = move |_| plan.doing.set(Some(Doing::Fix(plan.ids(any))));
    let none = move || plan.count(any) == 0;
    view! {
        <div class="gap tight">
            <button type="button" class="act" disabled=none on:click=fix>{words::FIX}</button>
            {move || (plan.count(planned) > 0).then(|| view! {
                <button type="button" class="act" on:click=off>{words::CALL_OFF}</button>
            })}
        </div>
        <div class="acts">
            <button type="button" class="act" disabled=none on:click=weigh>{words::WEIGH}</button>
            {move || (plan.count(cool) > 0).then(|| view! {
                <button type="button" class="act main" on:click=end>{words::END}</button>
            })}
            {move || (plan.count(planned) > 0).then(|| view! {
                <button type="button" class="act main" on:click=begin>{words::BEGIN}</button>
            })}
        </div>
    }
}

/// Each on the scale, one after the other.
#[component]
fn WeighPanel(plan: Plan, animals: Vec<AnimalId>) -> impl IntoView {
    let title = crate::words::many::act_title(animal_words::WEIGH, animals.len());
    let shut = Callback::new(move |()| plan.doing.set(None));
    view! {
        <div class="page with-acts">
            <Head title />
            <WeighThese animals done=shut leave=shut />
        </div>
    }
}
