//! The tubs of a rack cleaned in one tap, and those taken out that were not; one tub by itself; how often.

use crate::clock;
use crate::pages::boxes::Lines;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::day::Seen;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::ui::rack::{RackPage, all_here, leave_out, rack_row, taken_out};
use crate::ui::signs::act_link;
use crate::ui::{Empty, Head};
use crate::words::{
    self as all_words, animals as animal_words, babies as young_words, cleaning as words, dates, names,
    places as place_words, record,
};
use book::acts::{TubsCleaned, Withdrawn};
use book::records::CleaningRule;
use book::views::{CleaningLine, CleaningView, TubLine, cleaning_view};
use book::{Book, Kind, Thing};
use desk::forms::counts;
use leptos::prelude::*;
use trade::when::When;

/// Notes all of them but those left out; then those that were not can be taken out.
fn clean(barn: Barn, of: &Thing, left_out: &[String], (spot, note): (bool, String), when: When) {
    let Some(view) = barn.peek(|book| cleaning_view(book, of, clock::now())) else { return };
    let tubs = view.tubs.into_iter().map(|tub| tub.of).filter(|tub| !left_out.contains(&tub.to_string()));
    let tubs: Vec<Thing> = tubs.collect();
    let told = words::saved(tubs.len());
    let page = page_of(of);
    barn.save(TubsCleaned { of: tubs, when, spot, note }, told, move |_| page.go());
}

fn page_of(of: &Thing) -> Page {
    Page::Clean(of.kind.word().into(), of.id.clone())
}

/// From the page of a place: all of it at once, or first a look at each tub.
#[component]
pub fn CleanHere(of: Thing) -> impl IntoView {
    let barn = barn();
    let looked = of.clone();
    let found = Memo::new(move |_| {
        barn.read(|book| {
            let view = cleaning_view(book, &looked, clock::now())?;
            Some((view.tubs.len(), view.cleaned.is_some()))
        })
    });
    move || {
        let (tubs, cleaned) = found.get().filter(|(tubs, _)| *tubs > 0)?;
        let (of, page) = (of.clone(), page_of(&of));
        if tubs == 1 {
            let to = view! { <div class="gap">{act_link(&page, "act", words::CLEAN)}</div> };
            return Some(to.into_any());
        }
        let tap = move || clean(barn, &of, &[], Default::default(), When::time(clock::now()));
        let look = if cleaned { words::NOT_CLEANED } else { words::LOOK };
        Some(all_here(words::all(tubs), tap, look, &page))
    }
}

/// All of it, or only what was soiled.
#[component]
pub fn HowMuch(spot: RwSignal<bool>) -> impl IntoView {
    let ways = vec![(false, words::WHOLE.to_owned()), (true, words::SPOT.to_owned())];
    view! { <Choice label=words::HOW_MUCH options=ways value=spot /> }
}

#[component]
pub fn Clean(kind: String, id: String) -> impl IntoView {
    let barn = barn();
    let of = Kind::of(&kind).map(|kind| Thing::new(kind, id));
    let there = of.filter(|of| barn.peek(|book| cleaning_view(book, of, clock::now()).is_some()));
    let Some(of) = there else {
        return view! {
            <div class="page">
                <Head title=words::TITLE.to_string() back=(Page::Places, place_words::TITLE.to_owned()) />
                <Empty text=words::NO_SUCH><a class="act main" href=Page::Places.href()>{place_words::TO_LIST}</a></Empty>
            </div>
        }
        .into_any();
    };
    let looked = of.clone();
    let found = Memo::new(move |_| {
        let now = barn.now();
        barn.read(|book| cleaning_view(book, &looked, now))
    });
    let name = barn.peek(|book| called(book, &of));
    let out = RwSignal::new(Vec::<String>::new());
    let (spot, note, seen) = (RwSignal::new(false), RwSignal::new(String::new()), Seen::now());
    let tap = {
        let of = of.clone();
        Callback::new(move |()| {
            let Some(when) = seen.get() else { return };
            clean(barn, &of, &out.get_untracked(), (spot.get_untracked(), note.get_untracked()), when);
        })
    };
    let tubs = move || found.with(|f| f.as_ref().map(|f: &CleaningView| f.tubs.clone()).unwrap_or_default());
    // One tub by itself is not marked: its cleaning stands below, to be put right there.
    let several = move || found.with(|f| f.as_ref().is_some_and(|f| f.tubs.len() > 1));
    let cleaned = Memo::new(move |_| found.with(|f| f.as_ref()?.cleaned.filter(|_| several())));
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let tubs = tubs();
        let tubs = tubs.get(from..to).map(<[TubLine]>::to_vec).unwrap_or_default();
        let row = |tub: TubLine| match cleaned.get() {
            Some(like) => mark(tub, like),
            None => choose(tub, several().then_some(out)),
        };
        tubs.into_iter().map(row).collect_view().into_any()
    });
    let left = move || tubs().iter().filter(|tub| !out.with(|out| out.contains(&tub.of.to_string()))).count();
    let card = Signal::derive(move || match cleaned.get() {
        Some((when, spot)) => words::cleaned(&dates::when(when, clock::today()), spot),
        None if found.with(|f| f.as_ref().is_none_or(|f| f.tubs.is_empty())) => words::NOBODY.to_owned(),
        None if several() => words::HOW.to_owned(),
        None => words::HOW_ONE.to_owned(),
    });
    let back = (Page::of(&of).unwrap_or(Page::Places), name.clone());
    let past = move || found.with(|f| f.as_ref().map(|f| f.past.iter().map(line).collect::<Vec<_>>()));
    let listed = Memo::new(move |_| past().unwrap_or_default());
    let below = view! {
        {move || (!several()).then(|| view! { <h2>{words::PAST}</h2><Lines rows=listed.get() none=words::NEVER /> })}
        <h2>{words::RULES}</h2>
        <Rules />
    };
    view! {
        <RackPage title=words::title(&name) back card done=Signal::derive(move || cleaned.get().is_some()) seen name="tubs"
            total=Signal::derive(move || tubs().len()) show how=words::SPOT_HOW
            all=Signal::derive(move || words::one(left())) tap below=below.into_any()>
            <details>
                <summary>{words::WHAT}</summary>
                <HowMuch spot />
                <TextField label=words::NOTE value=note />
            </details>
        </RackPage>
    }
    .into_any()
}

fn called(book: &Book, of: &Thing) -> String {
    if of.kind == Kind::Animal {
        names::animal(book, &of.id.as_str().into())
    } else {
        names::place(book, &of.id.as_str().into())
    }
}

fn line(cleaning: &CleaningLine) -> record::Line {
    let day = cleaning.when.map_or_else(|| all_words::UNKNOWN.to_owned(), |when| dates::when(when, clock::today()));
    (words::line(cleaning), format!("· {day}"), cleaning.id.thing())
}

fn title(tub: &TubLine) -> String {
    young_words::tub_title(&tub.tub, &tub.names.join(", "))
}

/// Before: which is left out.
fn choose(tub: TubLine, out: Option<RwSignal<Vec<String>>>) -> AnyView {
    let title = title(&tub);
    let tap = out.map(|out| leave_out(tub.of.to_string(), &title, out));
    rack_row(title, words::tub(&tub, clock::today()), tap)
}

/// After: one tap takes one out that was not cleaned, another notes it like the others again.
fn mark(tub: TubLine, (when, spot): (When, bool)) -> AnyView {
    let (barn, title) = (barn(), title(&tub));
    let (facts, cleaned) = (words::tub(&tub, clock::today()), tub.lately.is_some());
    let (of, name) = (tub.of, title.clone());
    let tap = move || {
        let told = words::marked(&name, !cleaned);
        match &tub.lately {
            Some(cleaning) => barn.save(Withdrawn { thing: cleaning.thing() }, told, |_| {}),
            None => {
                let note = String::new();
                barn.save(TubsCleaned { of: vec![of.clone()], when, spot, note }, told, |_| {});
            }
        }
    };
    let chip = taken_out(!cleaned, words::NOT_THIS, words::not_this_of(&title), tap);
    rack_row(title, facts, Some(chip))
}

/// After how many days tubs are cleaned again: the rules there are, and one set.
#[component]
pub fn Rules() -> impl IntoView {
    let barn = barn();
    let said = move || {
        barn.read(|book| {
            let named = |rule: &CleaningRule| {
                let species = rule.species.as_deref().map(|key| names::species(book, key));
                Some(words::rule(&species.unwrap_or_else(|| animal_words::capital(words::ALL)), rule.days?))
            };
            book.all_cleaning_rules().filter_map(named).collect::<Vec<_>>()
        })
    };
    let options = barn.peek(|book| {
        std::iter::once((String::new(), words::ALL.to_owned())).chain(names::species_here(book)).collect::<Vec<_>>()
    });
    let species = RwSignal::new(String::new());
    view! {
        {move || {
            let rules = said();
            if rules.is_empty() {
                view! { <p class="quiet inset">{words::NO_RULE}</p> }.into_any()
            } else {
                rules.into_iter().map(|rule| view! { <p class="second inset">{rule}</p> }).collect_view().into_any()
            }
        }}
        <p class="aside inset">{words::RULES_HOW}</p>
        <details>
            <summary>{words::RULE_SET}</summary>
            <Pick label=words::RULE_OF options=Signal::stored(options) value=species />
            {move || view! { <RuleFields species=Some(species.get()).filter(|key| !key.is_empty()) /> }}
        </details>
    }
}

/// The days of one rule, as they stand.
fn stands(book: &Book, species: Option<&str>) -> Option<u32> {
    book.cleaning_rule(&CleaningRule::id_of(species))?.days
}

#[component]
fn RuleFields(species: Option<String>) -> impl IntoView {
    let barn = barn();
    let days = RwSignal::new(counts::cleaning(barn.peek(|book| stands(book, species.as_deref()))));
    let faults = Faults::new();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let now = barn.peek(|book| stands(book, species.as_deref()));
        let built = days.with_untracked(|days| counts::cleaning_set(species.clone(), days, now));
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, words::RULE_SAVED, |_| {});
    };
    view! {
        <form novalidate on:submit=save>
            <Quantity entry=days faults />
            <p class="aside">{words::RULES_SOURCE}</p>
            <button type="submit" class="act">{all_words::SAVE}</button>
        </form>
    }
}
