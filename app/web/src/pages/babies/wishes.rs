//! Who would like what, with the young that could answer it; what is held; and the people.

use super::contact::named;
use super::list::baby_view;
use crate::clock;
use crate::prefs::prefs;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, Faults, Pick, Stepper, TextField};
use crate::ui::{Empty, Head, Paged, Unlock};
use crate::words::rounds::act_label;
use crate::words::{animals as animal_words, babies as said, dates, lost, money, names, promises as words};
use book::acts::{ContactKept, HoldEnded, WishClosed, made};
use book::views::{HoldRow, WishRow, baby_rows, hold_rows, wish_rows};
use book::words::Sex;
use book::{ContactId, Kind, Thing};
use desk::Entry;
use desk::forms::WishForm;
use leptos::prelude::*;

/// Animals offered for one wish.
const FITS: usize = 5;

#[component]
pub fn Wishes() -> impl IntoView {
    let barn = barn();
    let found = Memo::new(move |_| {
        barn.read(|book| {
            let now = clock::now();
            (wish_rows(book, &baby_rows(book, now)), hold_rows(book, now))
        })
    });
    let people = Memo::new(move |_| barn.read(|book| book.contacts().iter().map(|c| c.id.clone()).collect::<Vec<_>>()));
    let add = move |_| {
        barn.save(ContactKept::default(), said::CONTACT_ADDED, |draft| {
            if let Some(thing) = made(draft, Kind::Contact) {
                Page::Contact(thing.id).go();
            }
        });
    };
    // When a wish was closed or an animal let go: now, unless the fold says otherwise.
    let seen = Seen::now();
    let show_wishes = Callback::new(move |(from, to): (usize, usize)| {
        let rows = found.with(|(wishes, _)| wishes.get(from..to).map(<[WishRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(|row| wish_view(row, seen)).collect_view().into_any()
    });
    let show_holds = Callback::new(move |(from, to): (usize, usize)| {
        let rows = found.with(|(_, holds)| holds.get(from..to).map(<[HoldRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(|row| hold_view(row, seen)).collect_view().into_any()
    });
    let show_people = Callback::new(move |(from, to): (usize, usize)| {
        let ids = people.with(|people| people.get(from..to).map(<[ContactId]>::to_vec).unwrap_or_default());
        let row = |id: ContactId| {
            view! { <a class="row" href=Page::Contact(id.to_string()).href()><span class="title">{named(&id)}</span></a> }
        };
        ids.into_iter().map(row).collect_view().into_any()
    });
    view! {
        <div class="page with-acts">
            <Head title=said::WISHES.to_string() back=(Page::Babies(None), said::TITLE.to_owned()) />
            {move || {
                let (wishes, holds) = found.with(|(wishes, holds)| (wishes.len(), holds.len()));
                if wishes + holds == 0 && people.with(Vec::is_empty) {
                    return view! { <Empty text=said::NO_WISHES /> }.into_any();
                }
                view! {
                    <Paged name="wishes" total=Signal::stored(wishes) show=show_wishes />
                    {(holds > 0).then(|| view! { <h2>{said::HELD}</h2><Paged name="holds" total=Signal::stored(holds) show=show_holds /> })}
                    {(wishes + holds > 0).then(|| view! { <WhenFold seen /> })}
                }.into_any()
            }}
            {move || {
                let total = people.with(Vec::len);
                (total > 0).then(|| view! {
                    <h2>{said::PEOPLE}</h2>
                    <Unlock said=lost::SHUT_SAID />
                    <Paged name="people" total=Signal::stored(total) show=show_people />
                })
            }}
            <div class="acts"><button type="button" class="act main" on:click=add>{said::ADD_CONTACT}</button></div>
        </div>
    }
}

/// To the page that puts a wish or a promise right.
fn correct(thing: &Thing, what: &str) -> AnyView {
    let page = Page::Correct(thing.kind.word().into(), thing.id.clone());
    view! { <a class="reach aside" aria-label=words::correct_of(what) href=page.href()>{animal_words::CORRECT}</a> }
        .into_any()
}

fn wish_view(row: WishRow, seen: Seen) -> AnyView {
    let barn = barn();
    let prefs = prefs();
    let wish = row.wish.id.clone();
    let close = move |_| {
        let Some(when) = seen.get() else { return };
        barn.save(WishClosed { wish: wish.clone(), when }, said::WISH_CLOSED, |_| {});
    };
    let who = row.wish.contact.clone().map(|id| {
        let page = Page::Contact(id.to_string());
        view! { <a class="reach" href=page.href()>{named(&id)}</a> }
    });
    let more = row.fit.len().saturating_sub(FITS);
    let line = said::wish(&row);
    let put_right = correct(&Thing::new(Kind::Wish, row.wish.id.as_str()), &line);
    view! {
        <section class="card">
            <h3>{line}</h3>
            {who}
            <p class="aside">{said::wish_fits(row.fit.len(), row.held)}</p>
            {row.fit.iter().take(FITS).map(|baby| baby_view(baby, &prefs.get_untracked())).collect_view()}
            {(more > 0).then(|| view! { <p class="aside">{said::more_fit(more)}</p> })}
            <p class="spread">
                <button type="button" class="act small" on:click=close>{said::CLOSE_WISH}</button>
                {put_right}
            </p>
        </section>
    }
    .into_any()
}

fn hold_view(row: HoldRow, seen: Seen) -> AnyView {
    let barn = barn();
    let id = row.hold.id.clone();
    let put_right = correct(&Thing::new(Kind::Hold, id.as_str()), &row.animal);
    let end = move |_| {
        let Some(when) = seen.get() else { return };
        barn.save(HoldEnded { hold: id.clone(), when }, said::HOLD_ENDED, |_| {});
    };
    let animal = row.hold.animal.as_ref().map(|id| id.to_string()).unwrap_or_default();
    let until = row.hold.until.map(|day| dates::near(day, clock::today()));
    let who = row.hold.contact.as_ref().map(named);
    let paid = [row.hold.price.clone(), row.hold.deposit.map(money::deposit)];
    let label = act_label(said::LET_GO, &row.animal);
    view! {
        <div class="row linked">
            <span class="text">
                <a class="title link" href=Page::Leave(animal).href()>{row.animal.clone()}</a>
                <span>{move || who.map_or_else(|| said::KEPT_BACK.to_owned(), |who| who.get())}</span>
                <span class="aside">{said::hold_facts(until.as_deref(), paid, row.ready)}</span>
            </span>
            {put_right}
            <button type="button" class="act small" aria-label=label on:click=end>{said::LET_GO}</button>
        </div>
    }
    .into_any()
}

/// A wish of somebody known, as it is typed.
#[derive(Clone, Copy)]
pub struct Wish {
    contact: StoredValue<ContactId>,
    species: RwSignal<String>,
    what: RwSignal<String>,
    sex: RwSignal<Option<Sex>>,
    count: RwSignal<Entry>,
}

impl Wish {
    pub fn new(contact: ContactId) -> Self {
        Self {
            contact: StoredValue::new(contact),
            species: RwSignal::new(String::new()),
            what: RwSignal::new(String::new()),
            sex: RwSignal::new(None),
            count: RwSignal::new(WishForm::count()),
        }
    }

    /// As it stands.
    pub fn get(&self) -> WishForm {
        WishForm {
            contact: self.contact.get_value(),
            species: Some(self.species.get_untracked()).filter(|key| !key.is_empty()),
            what: self.what.get_untracked(),
            sex: self.sex.get_untracked(),
            count: self.count.get_untracked(),
        }
    }

    /// For the next one. The page may have gone meanwhile.
    pub fn clear(&self) {
        let _ = (self.species.try_set(String::new()), self.what.try_set(String::new()));
        let _ = (self.sex.try_set(None), self.count.try_set(WishForm::count()));
    }
}

#[component]
pub fn WishFields(wish: Wish, faults: Faults) -> impl IntoView {
    let barn = barn();
    let Wish { species, what, sex, count, .. } = wish;
    let save = move |_| {
        let Some(act) = faults.pass(wish.get().act()) else { return };
        // What is typed of the person beside it stands.
        barn.save(act, said::WISH_SAVED, move |_| wish.clear());
    };
    view! {
        <Pick label=animal_words::SPECIES options=Signal::derive(move || barn.read(names::species_choices)) value=species />
        <TextField label=WishForm::WHAT value=what faults />
        <Choice label=animal_words::SEX options=either_sex() value=sex />
        <Stepper entry=count faults />
        <button type="button" class="act" on:click=save>{said::SAVE_WISH}</button>
    }
}

/// What sex is wished for; the first is either.
pub fn either_sex() -> Vec<(Option<Sex>, String)> {
    let told = |sex| (Some(sex), animal_words::sex_choice(sex).to_owned());
    vec![(None, said::EITHER_SEX.to_owned()), told(Sex::Female), told(Sex::Male)]
}

/// The people, to choose one; the first is nobody.
pub fn people() -> Vec<(String, String)> {
    let none = (String::new(), said::NOBODY_NAMED.to_owned());
    let all = barn().read(|book| {
        book.contacts().into_iter().map(|c| (c.id.to_string(), book.contact_mark(&c.id))).collect::<Vec<_>>()
    });
    std::iter::once(none).chain(all).collect()
}
