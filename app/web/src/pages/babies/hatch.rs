//! A box hatched out: tap the open shells, weigh the babies one after the other by digits, say what became of the
//! other eggs. One save.

use super::tubs::{free_tubs, tubs_from};
use crate::clock;
use crate::pages::boxes::draw;
use crate::prefs::units;
use crate::route::Page;
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Cell, Choice, Faults, Pick, TextField, next_field};
use crate::ui::{Caution, Head, Lasting, Tray, TrayEgg};
use crate::words::{babies as said, boxes as box_words, eggs as egg_words, names};
use book::acts::all_made;
use book::records::Egg;
use book::views::{next_tub, tray_eggs};
use book::words::{Fate, LaidAs, Went};
use book::{AnimalId, Book, EggId, FillingId, Kind, Thing};
use desk::forms::hatch::{BabyForm, HatchForm, weight};
use desk::{Entry, Measure};
use leptos::prelude::*;
use std::collections::BTreeMap;

/// What is typed about one baby.
#[derive(Clone, Copy)]
struct Line {
    key: usize,
    /// Its egg's letter.
    letter: StoredValue<String>,
    egg: StoredValue<String>,
    code: RwSignal<String>,
    mass: RwSignal<Entry>,
    looks: RwSignal<String>,
    faults: RwSignal<String>,
    went: RwSignal<Option<Went>>,
}

/// An egg a baby may be entered for: still in, or out and without a baby in the book.
fn may_hatch(book: &Book, egg: &Egg) -> bool {
    match egg.fate {
        None => egg.laid_as != Some(LaidAs::Slug),
        Some(Fate::Hatched) => book.young_of(&egg.id).next().is_none(),
        Some(_) => false,
    }
}

#[component]
pub fn HatchOut(id: FillingId) -> impl IntoView {
    let barn = barn();
    let today = clock::today();
    let filling = StoredValue::new(id.clone());
    let lines = RwSignal::new(Vec::<Line>::new());
    let apart = RwSignal::new(true);
    let fates = RwSignal::new(BTreeMap::<String, String>::new());
    let first_tub = RwSignal::new(barn.peek(next_tub).map(|id| id.to_string()).unwrap_or_default());
    let made = RwSignal::new(None::<Vec<AnimalId>>);
    let faults = Faults::new();
    let count = StoredValue::new(0usize);
    // What is typed about a baby lives as long as this page: the egg that is tapped is drawn anew.
    let lasting = Lasting::here();
    let seen = Seen::now();

    let codes = move || {
        let rows = lines.get_untracked();
        let all: Vec<EggId> = rows.iter().map(|line| EggId::from(line.egg.get_value().as_str())).collect();
        let eggs: Vec<Vec<EggId>> = if apart.get_untracked() {
            all.iter().map(|egg| vec![egg.clone()]).collect()
        } else {
            vec![all.clone(); all.len()]
        };
        let codes = barn.peek(|book| book.suggest_codes(&eggs, today));
        for (line, code) in rows.iter().zip(codes) {
            line.code.set(code);
        }
    };
    let add = move |egg: &str, letter: &str| {
        let key = count.get_value();
        count.set_value(key + 1);
        let twin = lines.with_untracked(|lines| lines.iter().any(|line| line.egg.with_value(|other| other == egg)));
        let line = || Line {
            key,
            letter: StoredValue::new(letter.to_owned()),
            egg: StoredValue::new(egg.to_owned()),
            code: RwSignal::new(String::new()),
            mass: RwSignal::new(weight(letter, twin)),
            looks: RwSignal::new(String::new()),
            faults: RwSignal::new(String::new()),
            went: RwSignal::new(None),
        };
        let Some(line) = lasting.make(line) else { return };
        lines.update(|lines| {
            lines.push(line);
            // By the eggs' letters, twins together: the order in which the tubs stand ready.
            lines.sort_by_key(|line| {
                let letter = line.letter.get_value();
                (letter.len(), letter, line.key)
            });
        });
    };
    let is_out = move |egg: &str| lines.with(|lines| lines.iter().any(|line| line.egg.with_value(|e| e == egg)));
    // Eggs seen out before, whose babies are not in the book yet.
    let begun: Vec<(String, String)> = barn.peek(|book| {
        let eggs = book.tray(&id).into_iter().filter(|egg| egg.fate.is_some() && may_hatch(book, egg));
        eggs.map(|egg| (egg.id.to_string(), egg.letter.clone().unwrap_or_default())).collect()
    });
    for (egg, letter) in &begun {
        add(egg, letter);
    }
    codes();

    // Every egg in its place, those included of which no baby comes any more.
    let places = Signal::derive(move || {
        barn.read(|book| {
            let tray = tray_eggs(book, &filling.get_value());
            let hatches = |egg: &TrayEgg| book.egg(&egg.id.as_str().into()).is_some_and(|egg| may_hatch(book, egg));
            let eggs = draw::all(book, &tray).into_iter();
            eggs.map(|egg| TrayEgg { still: !hatches(&egg), ..egg }).collect::<Vec<_>>()
        })
    });
    let eggs = Signal::derive(move || places.get().into_iter().filter(|egg| !egg.still).collect::<Vec<_>>());
    let tray = Signal::derive(move || {
        let shown = |egg: TrayEgg| {
            let out = is_out(&egg.id);
            let said =
                if out { egg_words::egg_said(&egg.letter, crate::ui::Sign::Out, None) } else { egg.said.clone() };
            let sign = if out { crate::ui::Sign::Out } else { egg.sign };
            TrayEgg { sign, changed: out, gone: egg.still, said, ..egg }
        };
        places.get().into_iter().map(shown).collect::<Vec<_>>()
    });
    let letter_of = move |egg: &str| {
        eggs.with_untracked(|eggs| eggs.iter().find(|e| e.id == egg).map(|e| e.letter.clone())).unwrap_or_default()
    };
    let on_egg = Callback::new(move |egg: String| {
        if is_out(&egg) {
            lines.update(|lines| lines.retain(|line| line.egg.with_value(|e| *e != egg)));
        } else {
            fates.update(|fates| drop(fates.remove(&egg)));
            add(&egg, &letter_of(&egg));
        }
        codes();
    });
    let everyone = move |_| {
        for egg in eggs.get_untracked() {
            if !is_out(&egg.id) {
                add(&egg.id, &egg.letter);
            }
        }
        codes();
    };
    let rest = Memo::new(move |_| {
        let all = barn.read(|book| {
            let left = book.eggs_in(&filling.get_value());
            left.iter().map(|egg| (egg.id.to_string(), egg.letter.clone().unwrap_or_default())).collect::<Vec<_>>()
        });
        all.into_iter().filter(|(egg, _)| !is_out(egg)).collect::<Vec<_>>()
    });

    let back = Page::Box(id.to_string());
    let save = move |_| {
        let rows = lines.get_untracked();
        let tubs = barn.peek(|book| tubs_from(book, &first_tub.get_untracked(), rows.len()));
        let baby = |line: &Line| BabyForm {
            egg: EggId::from(line.egg.get_value().as_str()),
            code: line.code.get_untracked(),
            mass: line.mass.get_untracked(),
            looks: line.looks.get_untracked(),
            faults: line.faults.get_untracked(),
            went: line.went.get_untracked(),
        };
        // Just now means: between the last look into the box and now.
        let Some(when) = seen.unless_now() else { return };
        let others = rest.get_untracked().into_iter().filter_map(|(egg, _)| {
            let fate = fates.with_untracked(|fates| fates.get(&egg).and_then(|word| Fate::of(word)))?;
            Some((EggId::from(egg.as_str()), fate))
        });
        let form = HatchForm {
            filling: filling.get_value(),
            babies: rows.iter().map(baby).collect(),
            apart: apart.get_untracked(),
            tubs,
            others: others.collect(),
        };
        let Some(mut act) = faults.pass(form.act(units())) else { return };
        act.when = when;
        barn.save(act, said::hatched_out(rows.len()), move |draft| {
            let young = all_made(draft, Kind::Animal).map(|thing| AnimalId::new(thing.id)).collect();
            made.try_set(Some(young));
        });
    };
    // Undone, the form is back as it was filled in.
    let done = Memo::new(move |_| {
        made.get().filter(|young: &Vec<AnimalId>| barn.read(|book| young.iter().all(|id| book.animal(id).is_some())))
    });
    let nothing_said = move || lines.with(Vec::is_empty) && fates.with(BTreeMap::is_empty);
    let name = barn.peek(|book| names::filling(book, &id));
    let back_again = back.clone();
    view! {
        <div class="page alone">
            <Head title=said::HATCH_OUT.to_string() back=(back.clone(), name) />
            {move || match done.get() {
                Some(young) => view! { <Done filling=filling.get_value() young back=back_again.clone() /> }.into_any(),
                None => view! {
                    <p>{said::HATCH_HOW}</p>
                    <div class="card"><Tray eggs=tray on_egg /></div>
                    <div class="gap"><button type="button" class="act small" on:click=everyone>{said::ALL_OUT}</button></div>
                    {move || (!lines.with(Vec::is_empty)).then(|| view! {
                        <h2>{said::WEIGH_EACH}</h2>
                        <For each=move || lines.get() key=|line| line.key let:line><Baby line add codes lines wrong=faults /></For>
                        {move || (lines.with(Vec::len) > 1).then(|| view! {
                            <label class="gap tick"><input type="checkbox" prop:checked=move || !apart.get()
                                on:change=move |ev| { apart.set(!event_target_checked(&ev)); codes(); } />{said::NOT_APART}</label>
                        })}
                        <Pick label=said::FIRST_TUB options=Signal::derive(move || barn.read(free_tubs)) value=first_tub />
                        <p class="aside">{said::FIRST_TUB_HOW}</p>
                    })}
                    {move || {
                        let left = rest.get();
                        (!left.is_empty()).then(|| view! { <Rest left fates /> })
                    }}
                    <p class="card" role="status">{move || {
                        let (out, rest) = (distinct(&lines.get()), rest.get());
                        let ended = fates.with(|fates| rest.iter().filter(|(egg, _)| fates.contains_key(egg)).count());
                        said::hatch_sum(lines.with(Vec::len), out, ended, rest.len() - ended)
                    }}</p>
                    <WhenFold seen />
                    <p class="aside">{box_words::OUT_CARE}</p>
                    <Caution text=said::SEX_NOT_ASKED />
                    <div class="acts"><button type="button" class="act main" disabled=nothing_said on:click=save>{move || said::save_babies(lines.with(Vec::len))}</button></div>
                }.into_any(),
            }}
        </div>
    }
}

/// How many eggs the babies came out of.
fn distinct(lines: &[Line]) -> usize {
    let mut eggs: Vec<String> = lines.iter().map(|line| line.egg.get_value()).collect();
    eggs.sort();
    eggs.dedup();
    eggs.len()
}

/// One baby: its code, the scale's digits; the rest behind a fold.
#[component]
fn Baby(
    line: Line,
    add: impl Fn(&str, &str) + Copy + Send + Sync + 'static,
    codes: impl Fn() + Copy + Send + Sync + 'static,
    lines: RwSignal<Vec<Line>>,
    wrong: Faults,
) -> impl IntoView {
    let prefs = crate::prefs::prefs();
    let twin = move |_| {
        add(&line.egg.get_value(), &line.letter.get_value());
        codes();
    };
    let drop_it = move |_| lines.update(|lines| lines.retain(|other| other.key != line.key));
    let twins = move || {
        let egg = line.egg.get_value();
        lines.with(|lines| lines.iter().filter(|other| other.egg.with_value(|e| *e == egg)).count())
    };
    let ends = [(None, said::IN_A_TUB), (Some(Went::Escaped), said::ESCAPED), (Some(Went::Died), said::DIED)];
    view! {
        <div class="card baby">
            <label class="field weigh">
                <span class="title">{move || line.code.get()}</span>
                <span class="unit-box">
                    <Cell entry=line.mass faults=wrong label=Signal::derive(move || said::weight_of(&line.code.get()))
                        on_enter=Callback::new(|ev| next_field(&ev)) />
                    <i>{move || Measure::Mass.sign(prefs.get().units())}</i>
                </span>
            </label>
            <details>
                <summary>{said::ABOUT_BABY}</summary>
                <TextField label=said::CODE value=line.code />
                <TextField label=said::LOOKS value=line.looks />
                <TextField label=said::FAULTS value=line.faults offers=said::FAULTS_OFFERED.iter().map(|f| (*f).to_owned()).collect() />
                <Choice label=said::WHERE_TO options=ends.iter().map(|(end, said)| (*end, (*said).to_owned())).collect() value=line.went />
                <div class="gap">
                    {move || if twins() < 2 {
                        view! { <button type="button" class="act small" on:click=twin>{said::TWIN}</button> }.into_any()
                    } else {
                        view! { <button type="button" class="act small" on:click=drop_it>{said::NOT_A_TWIN}</button> }.into_any()
                    }}
                </div>
            </details>
        </div>
    }
}

/// What became of the eggs no baby came out of.
#[component]
fn Rest(left: Vec<(String, String)>, fates: RwSignal<BTreeMap<String, String>>) -> impl IntoView {
    const FATES: [Fate; 7] =
        [Fate::FullTermDead, Fate::Died, Fate::Removed, Fate::Sold, Fate::Lost, Fate::Eaten, Fate::Unknown];
    let options = || {
        let still = (String::new(), said::STILL_IN.to_owned());
        std::iter::once(still).chain(FATES.iter().map(|f| (f.word().to_owned(), egg_words::fate(*f).to_owned())))
    };
    let ids: Vec<String> = left.iter().map(|(egg, _)| egg.clone()).collect();
    let set = move |eggs: &[String], word: String| {
        fates.update(|fates| {
            for egg in eggs {
                if word.is_empty() {
                    fates.remove(egg);
                } else {
                    fates.insert(egg.clone(), word.clone());
                }
            }
        })
    };
    let picker = move |label: String, eggs: Vec<String>| {
        let now = eggs.clone();
        view! {
            <label class="field"><span>{label}</span>
                <select on:change=move |ev| set(&eggs, event_target_value(&ev))
                    prop:value=move || fates.with(|fates| now.first().and_then(|egg| fates.get(egg).cloned()).unwrap_or_default())>
                    {options().map(|(word, said)| view! { <option value=word>{said}</option> }).collect_view()}
                </select>
            </label>
        }
        .into_any()
    };
    let several = left.len() > 1;
    view! {
        <h2>{said::OTHER_EGGS}</h2>
        {picker(if several { said::all_others(left.len()) } else { said::egg(&left[0].1) }, ids)}
        {several.then(|| view! {
            <details>
                <summary>{said::EACH_EGG}</summary>
                {left.into_iter().map(|(egg, letter)| picker(said::egg(&letter), vec![egg])).collect_view()}
            </details>
        })}
    }
}

/// Saved: what became of every egg, and the tub labels.
#[component]
fn Done(filling: FillingId, young: Vec<AnimalId>, back: Page) -> impl IntoView {
    let barn = barn();
    let id = filling.clone();
    let (story, closed) = barn.peek(|book| {
        (said::box_story(&tray_eggs(book, &id)), book.filling(&id).is_some_and(|filling| filling.to.is_some()))
    });
    // Whoever is in a tub gets its label; the dead and the escaped get none.
    let labels: Vec<(Thing, String)> = barn.peek(|book| {
        let here = young.iter().filter(|id| book.animal(id).is_some_and(|animal| animal.is_here()));
        here.map(|id| (id.thing(), book.animal_name(id))).collect()
    });
    let things: Vec<Thing> = labels.iter().map(|(thing, _)| thing.clone()).collect();
    view! {
        <p class="card" role="status">{story}</p>
        {closed.then(|| view! { <p class="card">{said::CLOSED_ITSELF}</p> })}
        {(!labels.is_empty()).then(|| view! {
            <h2>{said::TUB_LABELS}</h2>
            <div class="gap"><a class="act" href=Page::labels_of(&things).href()>{said::print_labels(things.len())}</a></div>
            <div class="gap">{labels.into_iter().map(|(thing, name)| view! {
                <a class="act small" href=Page::Label("animal".into(), thing.id.to_string()).href()>{name}</a>
            }).collect_view()}</div>
        })}
        <div class="acts">
            <a class="act main" href=Page::Babies(None).href()>{said::TO_BABIES}</a>
            <a class="act" href=back.href()>{said::TO_BOX}</a>
        </div>
    }
}
