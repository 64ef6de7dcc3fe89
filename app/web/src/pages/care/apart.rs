//! An animal or a place set apart from the others, and let out again.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::DateField;
use crate::ui::forms::{Ends, Faults, TextField};
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, care as words};
use book::acts::{QuarantineCard, made};
use book::views::quarantine_view;
use book::{Kind, QuarantineId, Thing};
use desk::forms::care::{APART_SINCE, APART_UNTIL, ApartForm, ENDED};
use leptos::prelude::*;

/// The fields, as the page holds them.
#[derive(Clone, Copy)]
struct Fields {
    start: StoredValue<ApartForm>,
    from: RwSignal<String>,
    until: RwSignal<String>,
    ended: RwSignal<String>,
    why: RwSignal<String>,
    faults: Faults,
}

impl Fields {
    fn new(start: ApartForm) -> Fields {
        let text = |text: &String| RwSignal::new(text.clone());
        let (from, until, ended, why) = (text(&start.from), text(&start.until), text(&start.ended), text(&start.why));
        Fields { from, until, ended, why, faults: Faults::new(), start: StoredValue::new(start) }
    }

    fn form(&self) -> ApartForm {
        ApartForm {
            from: self.from.get_untracked(),
            until: self.until.get_untracked(),
            ended: self.ended.get_untracked(),
            why: self.why.get_untracked(),
            ..self.start.get_value()
        }
    }

    /// `ends`: it can be said when it was ended.
    fn view(self, ends: bool) -> AnyView {
        view! {
            <TextField label=words::APART_WHY value=self.why />
            <DateField label=APART_SINCE value=self.from faults=self.faults />
            <DateField label=APART_UNTIL value=self.until faults=self.faults />
            <p class="aside inset">{words::APART_UNTIL_HINT}</p>
            {ends.then(|| view! { <DateField label=ENDED value=self.ended faults=self.faults /> })}
        }
        .into_any()
    }
}

/// What is set apart has a page of its own.
fn page_of(of: Option<&Thing>) -> Page {
    of.and_then(Page::of).unwrap_or(Page::Care)
}

#[component]
pub fn Apart(kind: String, id: String) -> impl IntoView {
    let barn = barn();
    let found = Kind::of(&kind).filter(|kind| matches!(kind, Kind::Animal | Kind::Place));
    let Some(thing) = found.map(|kind| Thing::new(kind, id)) else { return none() };
    let name = barn.peek(|book| book.short_name(&thing));
    let back = (page_of(Some(&thing)), name.clone());
    let done = Callback::new(|made: Option<String>| made.map_or(Page::Care, Page::Quarantine).replace());
    view! {
        <div class="page with-acts">
            <Head title=words::apart_of(&name) back />
            <ApartThese things=vec![thing] done />
        </div>
    }
    .into_any()
}

/// One or several set apart; `done` gets the first quarantine's id.
#[component]
pub fn ApartThese(
    things: Vec<Thing>,
    done: Callback<Option<String>>,
    /// Leaves without saving.
    #[prop(optional)]
    leave: Option<Callback<()>>,
) -> impl IntoView {
    let barn = barn();
    let fields = Fields::new(ApartForm::blank(clock::today()));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let built = fields.form().set_apart(things.clone(), clock::today());
        let Some(act) = fields.faults.pass(built) else { return };
        barn.save(act, words::APART_SAVED, move |draft| {
            let _ = done.try_run(made(draft, Kind::Quarantine).map(|quarantine| quarantine.id));
        });
    };
    view! {
        <p class="aside inset">{words::APART_HOW}</p>
        <form novalidate on:submit=save>
            {fields.view(false)}
            <Caution text=words::APART_CAUTION />
            <Ends leave />
        </form>
    }
}

/// One quarantine: until when, put right, and ended.
#[component]
pub fn QuarantinePage(id: String) -> impl IntoView {
    let barn = barn();
    let id = QuarantineId::new(id);
    let Some(before) = barn.peek(|book| QuarantineCard::of(book, &id)) else { return none() };
    let (of, name) = barn.peek(|book| {
        let of = book.quarantine(&id).and_then(|quarantine| quarantine.of.clone());
        (of, book.short_name(&id.thing()))
    });
    let fields = Fields::new(ApartForm::new(before));
    let back = (page_of(of.as_ref()), name.clone());
    let looked = id.clone();
    let stands = Memo::new(move |_| barn.read(|book| quarantine_view(book, &looked, clock::now())));
    let said = move || stands.get().map(|row| words::apart_stands(&row, clock::today()));
    let goes_on = move || stands.with(|row| row.as_ref().is_some_and(|row| row.open));
    let ends = id.clone();
    let end = move |_| {
        // As it stands by now, with what is typed here and not saved yet.
        let Some(now) = barn.peek(|book| QuarantineCard::of(book, &ends)) else { return };
        let Some(act) = fields.faults.pass(fields.form().end(ends.clone(), &now, clock::now())) else { return };
        let to = page_of(of.as_ref());
        barn.save(act, words::APART_ENDED, move |_| to.replace());
    };
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        // As it stands by now: somebody else may have written meanwhile.
        let Some(now) = barn.peek(|book| QuarantineCard::of(book, &id)) else { return };
        let Some(act) = fields.faults.pass(fields.form().edit(id.clone(), &now, clock::today())) else { return };
        barn.save(act, words::APART_SAVED, |_| Page::Care.replace());
    };
    view! {
        <div class="page with-acts">
            <Head title=words::apart_of(&name) back />
            <div class="card"><p class="second">{said}</p></div>
            <form novalidate on:submit=save>
                {fields.view(true)}
                <Caution text=words::APART_CAUTION />
                <div class="acts">
                    {move || {
                        let end = end.clone();
                        goes_on().then(|| view! { <button type="button" class="act" on:click=end>{words::APART_END}</button> })
                    }}
                    <button type="submit" class="act main">{all_words::SAVE}</button>
                </div>
            </form>
        </div>
    }
    .into_any()
}

fn none() -> AnyView {
    view! {
        <div class="page">
            <Empty text=words::APART_NO_SUCH><a class="act main" href=Page::Care.href()>{words::TO_LIST}</a></Empty>
        </div>
    }
    .into_any()
}
