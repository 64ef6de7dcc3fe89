//! Anything of a clutch entered later or put right.

use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::day::{DateField, dated};
use crate::ui::forms::{Choice, MassField, Pick, Stepper, TextField, typed_mass};
use crate::ui::laid::{LaidField, LaidWhen};
use crate::ui::mates::{Side, SideField};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, boxes as box_words, measures as words, names, units};
use book::ClutchId;
use book::acts::{ClutchCard, ClutchEdited, ClutchesJoined};
use book::records::Counts;
use book::words::{ClutchCame, Sex};
use chrono::NaiveDate;
use leptos::prelude::*;
use trade::units::Mass;

/// A weight and its day. What was not touched stays as it was, for what is shown is rounded.
#[derive(Clone, Copy)]
struct Weighed {
    typed: RwSignal<String>,
    day: RwSignal<String>,
    before: (Option<Mass>, Option<NaiveDate>),
}

impl Weighed {
    fn new(mass: Option<Mass>, on: Option<NaiveDate>) -> Self {
        let typed = RwSignal::new(digits(mass));
        let day = RwSignal::new(on.map(|on| on.to_string()).unwrap_or_default());
        Self { typed, day, before: (mass, on) }
    }

    /// `Err` when what stands there is no number.
    fn get(&self) -> Result<(Option<Mass>, Option<NaiveDate>), ()> {
        let typed = self.typed.get_untracked();
        let mass = match typed.trim() {
            same if same == digits(self.before.0) => self.before.0,
            "" => None,
            other => Some(typed_mass(other).ok_or(())?),
        };
        // A weight without a day was most likely taken today.
        let day = self.day.get_untracked().parse().ok();
        Ok((mass, mass.and(day.or_else(|| (mass != self.before.0).then(clock::today)))))
    }
}

fn digits(mass: Option<Mass>) -> String {
    mass.map(|mass| units::mass_digits(mass, &prefs().get_untracked())).unwrap_or_default()
}

#[component]
fn WeighedField(label: &'static str, weighed: Weighed) -> impl IntoView {
    view! {
        <div class="pair">
            <MassField label value=weighed.typed />
            <DateField label=words::on(label) value=weighed.day />
        </div>
    }
}

/// Clutches offered, newest first.
const OTHERS: usize = 200;

/// Made on two phones: joined with its other record.
#[component]
fn SameAs(id: ClutchId) -> impl IntoView {
    let barn = barn();
    let other = RwSignal::new(String::new());
    let others = barn.peek(|book| {
        let own = book.same_clutch(&id);
        let all =
            book.clutches().into_iter().filter(|clutch| !own.iter().any(|same| same.id == clutch.id)).take(OTHERS);
        let all = all.map(|clutch| {
            let said = format!("{} · {}", book.clutch_number(&clutch.id), book.animal_names(&clutch.dams).join(" / "));
            (clutch.id.to_string(), said)
        });
        std::iter::once((String::new(), words::NO_OTHER.to_owned())).chain(all).collect::<Vec<_>>()
    });
    let join = move |_| {
        let chosen = other.get_untracked();
        if chosen.is_empty() {
            return barn.say(words::CHOOSE_OTHER.to_owned(), None);
        }
        let to = Page::Clutch(id.to_string());
        let act = ClutchesJoined { clutch: id.clone(), same_as: ClutchId::from(chosen.as_str()) };
        barn.save(act, all_words::doubles::JOINED, move |_| to.replace());
    };
    view! {
        <details>
            <summary>{words::SAME_AS}</summary>
            <Pick label=words::OTHER options=Signal::stored(others) value=other />
            <button type="button" class="act" on:click=join>{all_words::doubles::SAME}</button>
        </details>
    }
}

#[component]
pub fn ClutchEdit(id: String) -> impl IntoView {
    let barn = barn();
    let id = ClutchId::from(id.as_str());
    let Some(before) = barn.peek(|book| ClutchCard::of(book, &id)) else {
        return view! {
            <div class="page"><Empty text=box_words::NO_CLUTCH><a class="act main" href=Page::Boxes.href()>{box_words::TITLE}</a></Empty></div>
        }
        .into_any();
    };
    let pulled = barn.peek(|book| !book.eggs_of(&id).is_empty());
    let number = RwSignal::new(before.number.clone());
    let (dams, sires) = (Side::new(Sex::Female, &before.dams), Side::new(Sex::Male, &before.sires));
    let species = RwSignal::new(before.species.clone().unwrap_or_default());
    let laid = LaidWhen::new(before.laid.or(before.found), clock::today());
    let laid_before = laid.get().ok();
    let found = RwSignal::new(before.found.map(|when| when.date().to_string()).unwrap_or_default());
    let gravid = Weighed::new(before.gravid, before.gravid_on);
    let spent = Weighed::new(before.spent, before.spent_on);
    let whole = Weighed::new(before.mass, before.mass_on);
    let counted = before.counts.unwrap_or_default();
    let counts = [counted.good, counted.dud, counted.slug].map(RwSignal::new);
    let came = RwSignal::new(before.came == Some(ClutchCame::Bought));
    let note = RwSignal::new(before.note.clone());
    let back = (Page::Clutch(id.to_string()), before.number.clone());
    let own = id.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let laid_now = match laid.get() {
            Ok(laid) => Some(laid),
            Err(why) => return barn.say(why, None),
        };
        let (Ok(gravid), Ok(spent), Ok(whole)) = (gravid.get(), spent.get(), whole.get()) else {
            return barn.say(all_words::NOT_A_NUMBER.to_owned(), None);
        };
        let [good, dud, slug] = counts.map(|count| count.get_untracked());
        let counts = Counts { good, dud, slug };
        let bought = came.get_untracked();
        let card = ClutchCard {
            number: number.get_untracked(),
            dams: dams.ids(),
            sires: sires.ids(),
            species: Some(species.get_untracked()).filter(|species| !species.is_empty()),
            laid: if laid_now == laid_before { before.laid } else { laid_now },
            found: dated(found, before.found),
            gravid: gravid.0,
            gravid_on: gravid.1,
            spent: spent.0,
            spent_on: spent.1,
            mass: whole.0,
            mass_on: whole.1,
            counts: if before.counts.is_none() && counts.all() == 0 { None } else { Some(counts) },
            note: note.get_untracked(),
            came: if bought == (before.came == Some(ClutchCame::Bought)) {
                before.came
            } else if bought {
                Some(ClutchCame::Bought)
            } else {
                Some(ClutchCame::Laid)
            },
        };
        let to = Page::Clutch(own.to_string());
        barn.save(ClutchEdited { clutch: own.clone(), card }, words::SAVED, move |_| to.replace());
    };
    let kinds = Signal::derive(move || barn.read(names::species_choices));
    let came_options = vec![(false, words::LAID_HERE.to_owned()), (true, words::BOUGHT.to_owned())];
    view! {
        <div class="page with-acts">
            <Head title=words::EDIT_TITLE.to_string() back />
            <form on:submit=save>
                <TextField label=words::NUMBER value=number />
                <LaidField laid />
                <SideField side=dams other=sires />
                <SideField side=sires other=dams />
                <Pick label=crate::words::animals::SPECIES options=kinds value=species />
                {pulled.then(|| view! {
                    <div class="steps">
                        <Stepper label=words::GOOD value=counts[0] />
                        <Stepper label=words::DUD value=counts[1] />
                        <Stepper label=words::SLUG value=counts[2] />
                    </div>
                })}
                <WeighedField label=words::GRAVID weighed=gravid />
                <WeighedField label=words::SPENT weighed=spent />
                <WeighedField label=words::CLUTCH_MASS weighed=whole />
                <p class="aside">{words::CLUTCH_MASS_HINT}</p>
                <details>
                    <summary>{words::MORE}</summary>
                    <DateField label=words::FOUND value=found />
                    <Choice label=words::CAME options=came_options value=came />
                    <TextField label=words::NOTE value=note />
                </details>
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
            <SameAs id />
        </div>
    }
    .into_any()
}
