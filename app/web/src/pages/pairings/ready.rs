//! Who is ready to breed by the barn's own rules, who nearly, who not and why; and those rules.

use crate::clock;
use crate::prefs::{prefs, units};
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Choice, Faults, Pick, Quantity};
use crate::ui::{Caution, Head, Paged};
use crate::words::{self as all_words, animals as animal_words, names, pairings as words};
use book::Book;
use book::records::BreedingRule;
use book::views::{BreederRow, Breeders as Found, breeders};
use book::words::Sex;
use desk::forms::counts::BreedingForm;
use leptos::prelude::*;
use trade::breeders::{Rule, Stand};

#[component]
pub fn Breeders() -> impl IntoView {
    let barn = barn();
    let found = Memo::new(move |_| barn.read(|book| breeders(book, clock::now())));
    let total = Signal::derive(move || found.with(|found| found.rows.len()));
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = found.with(|found| found.rows.get(from..to).map(<[BreederRow]>::to_vec).unwrap_or_default());
        headed(rows)
    });
    view! {
        <div class="page with-acts">
            <Head title=words::READY.to_string() back=(Page::Pairings, words::TITLE.to_owned()) />
            {move || found.with(nobody).map(|said| view! { <p class="quiet inset">{said}</p> })}
            <Paged name="breeders" total show />
            <p class="aside inset">{words::READY_HOW}</p>
            <Caution text=words::READY_CAUTION />
            {move || found.with(|found| view! { <Rules found=found.clone() /> })}
            <RuleForm />
        </div>
    }
}

/// Why nobody is listed.
fn nobody(found: &Found) -> Option<&'static str> {
    found.rows.is_empty().then_some(match (found.no_rule.is_empty(), found.ruled) {
        (true, _) => words::READY_NO_KIND,
        (false, true) => words::READY_NOBODY,
        (false, false) => words::READY_EMPTY,
    })
}

/// Rows under how far they are.
fn headed(rows: Vec<BreederRow>) -> AnyView {
    let mut said = None::<Stand>;
    let row = |row: BreederRow| {
        let head = (said != Some(row.stand)).then(|| view! { <h2>{words::ready_stand(row.stand)}</h2> });
        said = Some(row.stand);
        view! { {head} <Line row /> }.into_any()
    };
    rows.into_iter().map(row).collect_view().into_any()
}

#[component]
fn Line(row: BreederRow) -> impl IntoView {
    let prefs = prefs();
    let (species, sex) = (barn().peek(|book| names::species(book, &row.species)), animal_words::sex(row.sex));
    let lacks = row.lacks.clone();
    let why = move || words::lacks(&lacks, &prefs.get(), clock::today());
    view! {
        <a class="row" href=Page::Animal(row.id.to_string()).href()>
            <span class="text">
                <span class="title">{row.name.clone()}</span>
                {(!row.lacks.is_empty()).then(|| view! { <span>{why}</span> })}
                <span class="aside">{format!("{species} · {sex}")}</span>
            </span>
        </a>
    }
}

/// The rules there are, and of whom there is none.
#[component]
fn Rules(found: Found) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let said = move || {
        barn.read(|book| {
            let own = book.all_breeding_rules().filter_map(|rule| {
                let (species, sex) = (names::species(book, rule.species.as_deref()?), animal_words::sex(rule.sex?));
                let rule = rule.rule();
                rule.asks().then(|| words::breeding_rule(&species, sex, &rule, &prefs.get()))
            });
            own.collect::<Vec<_>>()
        })
    };
    let none = barn.peek(|book| {
        let named = found
            .no_rule
            .iter()
            .map(|(species, sex, n)| words::no_rule(&names::species(book, species), animal_words::sex(*sex), *n));
        named.collect::<Vec<_>>().join(", ")
    });
    view! {
        <h2>{words::READY_RULES}</h2>
        {move || said().into_iter().map(|line| view! { <p class="second inset">{line}</p> }).collect_view()}
        {(!none.is_empty()).then(|| view! { <p class="aside inset">{words::no_rules(&none)}</p> })}
    }
}

/// The rule of one species and sex, as it stands.
fn stands(book: &Book, species: &str, sex: Sex) -> Rule {
    book.breeding_rule(&BreedingRule::id_of(species, sex)).map(BreedingRule::rule).unwrap_or_default()
}

/// One rule set or changed: which species and sex, then what is asked.
#[component]
fn RuleForm() -> impl IntoView {
    let barn = barn();
    let options = barn.peek(names::species_here);
    let species = RwSignal::new(options.first().map(|(key, _)| key.clone()).unwrap_or_default());
    let sex = RwSignal::new(Sex::Female);
    let sexes = [Sex::Female, Sex::Male].map(|sex| (sex, animal_words::sex_choice(sex).to_owned())).to_vec();
    if options.is_empty() {
        return ().into_any();
    }
    view! {
        <details>
            <summary>{words::RULE_SET}</summary>
            <Pick label=words::RULE_OF options=Signal::stored(options) value=species />
            <Choice label=animal_words::SEX options=sexes value=sex />
            <RuleFields species sex />
        </details>
    }
    .into_any()
}

/// What is asked. Whoever chooses another species or sex keeps what was typed by then, and it follows what is saved.
#[component]
fn RuleFields(species: RwSignal<String>, sex: RwSignal<Sex>) -> impl IntoView {
    let barn = barn();
    let rule = move |book: &Book| stands(book, &species.get_untracked(), sex.get_untracked());
    let start = BreedingForm::new(barn.peek(rule), units());
    let (age, mass, meals) =
        (RwSignal::new(start.age.clone()), RwSignal::new(start.mass.clone()), RwSignal::new(start.meals.clone()));
    let (cooled, faults) = (RwSignal::new(start.cooled), Faults::new());
    let asks = [(false, words::COOLED_NO.to_owned()), (true, words::COOLED_YES.to_owned())].to_vec();
    let start = StoredValue::new(start);
    let form = move || BreedingForm {
        age: age.get_untracked(),
        mass: mass.get_untracked(),
        meals: meals.get_untracked(),
        cooled: cooled.get_untracked(),
        ..start.get_value()
    };
    Effect::new(move |_| {
        species.track();
        sex.track();
        let now = barn.read(rule);
        let mut form = form();
        if form.before != now {
            form.follow(now, units());
            age.set(form.age.clone());
            mass.set(form.mass.clone());
            meals.set(form.meals.clone());
            cooled.set(form.cooled);
            start.set_value(form);
        }
    });
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let of = (species.get_untracked(), sex.get_untracked());
        let Some(act) = faults.pass(form().act(of, &barn.peek(rule), units())) else { return };
        barn.save(act, words::RULE_SAVED, |_| {});
    };
    view! {
        <form novalidate on:submit=save>
            <Quantity entry=age faults />
            <Quantity entry=mass faults />
            <Quantity entry=meals faults />
            <Choice label=words::COOLED_FIRST options=asks value=cooled />
            <p class="aside">{words::READY_SOURCE}</p>
            <button type="submit" class="act">{all_words::SAVE}</button>
        </form>
    }
}
