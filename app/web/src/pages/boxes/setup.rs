//! How a box was set, put right; and what is taken out of it or put in, so that the fill-to mass stays right.

use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, MassField, TextField, typed_mass};
use crate::words::animals::BAD_DAY;
use crate::words::{self, boxes as said, names, pull as pull_words, units};
use book::FillingId;
use book::acts::{BoxEdited, BoxSetup, TakenOut};
use book::words::Mix;
use leptos::prelude::*;
use trade::units::Mass;

/// A mass as it stood in its field: typed anew, taken away, or as before to the last milligram.
fn corrected(typed: RwSignal<String>, shown: &str, before: Option<Mass>) -> Result<Option<Mass>, ()> {
    typed.with_untracked(|typed| match typed.trim() {
        same if same == shown => Ok(before),
        "" => Ok(None),
        other => typed_mass(other).map(Some).ok_or(()),
    })
}

#[component]
pub fn Setup(id: FillingId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs().get_untracked());
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let Some(before) = barn.peek(|book| BoxEdited::of(book, &id)) else { return ().into_any() };
    let shown = |mass: Option<Mass>| mass.map(|mass| units::mass_digits(mass, &prefs)).unwrap_or_default();
    let set = &before.setup;
    let masses = [set.dry, set.water, set.closed].map(|mass| (mass, shown(mass)));
    let [dry, water, closed] = masses.clone().map(|(_, shown)| RwSignal::new(shown));
    let (medium, note) = (RwSignal::new(set.medium.clone()), RwSignal::new(set.note.clone()));
    let own = RwSignal::new(before.name.clone());
    let known: Vec<String> = barn.peek(|book| book.boxes().into_iter().filter_map(|b| b.name.clone()).collect());
    let to = back.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let read = |field: RwSignal<String>, at: usize| corrected(field, &masses[at].1, masses[at].0);
        let (Ok(dry), Ok(water), Ok(closed)) = (read(dry, 0), read(water, 1), read(closed, 2)) else {
            return barn.say(words::NOT_A_NUMBER.to_owned(), None);
        };
        // Weighed masses say how it was mixed; without them what was said before stands.
        let mix = match (dry, water) {
            (Some(_), Some(_)) => Some(Mix::Mass),
            _ => before.setup.mix.filter(|mix| *mix != Mix::Mass).or(Some(Mix::Unknown)),
        };
        let setup = BoxSetup {
            medium: medium.get_untracked(),
            note: note.get_untracked(),
            mix,
            dry,
            water,
            closed,
            ..before.setup.clone()
        };
        let act = BoxEdited { filling: before.filling.clone(), setup, name: own.get_untracked() };
        let to = to.clone();
        barn.save(act, said::SETUP_SAVED, move |_| to.replace());
    };
    view! {
        <div class="page alone">
            <Head title=said::SETUP.to_string() back=(back, name) />
            <p class="aside">{said::SETUP_HOW}</p>
            <form on:submit=save>
                <TextField label=pull_words::MEDIUM value=medium />
                <div class="pair"><MassField label=pull_words::DRY value=dry /><MassField label=pull_words::WATER value=water /></div>
                <MassField label=said::CLOSED_AT_SETUP value=closed />
                <TextField label=said::BOX_NAME value=own offers=known hint=said::BOX_NAME_HOW />
                <TextField label=said::NOTE value=note />
                <div class="acts"><button type="submit" class="act main">{words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}

#[component]
pub fn Taken(id: FillingId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let (what, mass) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (out, seen) = (RwSignal::new(true), Seen::now());
    let to = back.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return barn.say(BAD_DAY.to_owned(), None) };
        let Some(mass) = mass.with_untracked(|typed| typed_mass(typed)) else {
            return barn.say(words::NOT_A_NUMBER.to_owned(), None);
        };
        let out = out.get_untracked();
        let told = said::taken(&units::mass(mass, &prefs.get_untracked()), out);
        let mass = if out { mass } else { Mass::ZERO - mass };
        let act = TakenOut { filling: id.clone(), when, mass, what: what.get_untracked().trim().to_owned() };
        let to = to.clone();
        barn.save(act, told, move |_| to.replace());
    };
    let ways = vec![(true, said::TAKEN_OUT.to_owned()), (false, said::PUT_IN.to_owned())];
    view! {
        <div class="page alone">
            <Head title=said::TAKEN.to_string() back=(back, name) />
            <p class="aside">{said::TAKEN_HOW}</p>
            <form on:submit=save>
                <Choice label=said::TAKEN_WHICH options=ways value=out />
                <TextField label=said::TAKEN_WHAT value=what />
                <MassField label=said::TAKEN_MASS value=mass />
                <WhenFold seen />
                <div class="acts"><button type="submit" class="act main">{words::SAVE}</button></div>
            </form>
        </div>
    }
}
