//! Species: the figures windows stand on, where they come from, what the barn's own clutches made of them, and the
//! keeper's own word.

use super::past::Past;
use crate::prefs::{Prefs, prefs, units as typed_units};
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::forms::{Faults, Quantity, TextField};
use crate::ui::{Empty, Head};
use crate::words::{self, heat as said, settings as settings_words};
use book::acts::{SpeciesSet, Withdrawn, made};
use book::records::Species;
use book::views::species_rows;
use book::{Book, Kind, OwnHatches, SpeciesId};
use desk::forms::SpeciesForm;
use leptos::prelude::*;
use trade::sex::males_at;
use trade::species::{Profile, SexBy};

/// Every species, those the barn keeps first.
#[component]
pub fn SpeciesList() -> impl IntoView {
    let barn = barn();
    let rows = move || {
        let rows = barn.read(species_rows);
        rows.into_iter()
            .map(|(key, profile, own)| {
                view! {
                    <a class="row" href=Page::Species(key).href()>
                        <span class="text"><span class="title">{profile.name.to_string()}</span>
                        <span class="aside">{said::whose(own, &profile.source)}</span></span>
                    </a>
                }
            })
            .collect_view()
    };
    view! {
        <div class="page">
            <Head title=said::SPECIES.to_string() back=(Page::More, settings_words::MORE.to_string()) />
            {rows}
        </div>
    }
}

#[component]
pub fn SpeciesPage(id: String) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let back = (Page::SpeciesAll, said::SPECIES.to_string());
    let known = {
        let id = id.clone();
        Memo::new(move |_| {
            barn.read(|book| {
                let own = book.own_species(&id.as_str().into()).is_some();
                (own || Profile::find(&id).is_some(), Profile::unlisted().key == id)
            })
        })
    };
    let key = StoredValue::new(id.clone());
    let title =
        Signal::derive(move || key.with_value(|key| barn.read(|book| book.species_of(Some(key)).name.to_string())));
    let latin =
        Signal::derive(move || key.with_value(|key| barn.read(|book| book.species_of(Some(key)).latin.to_string())));
    let body = move || {
        let (profile, own) =
            key.with_value(|key| barn.read(|book| (book.species_of(Some(key)), book.own_hatches(key))));
        view! { <Figures profile own prefs=prefs.get() /> }
    };
    move || {
        let (mine, unlisted) = known.get();
        if !mine && !unlisted {
            return view! { <div class="page"><Head title=said::SPECIES.to_string() back=back.clone() /><Empty text=said::NO_SPECIES><a class="act main" href=Page::SpeciesAll.href()>{said::SPECIES}</a></Empty></div> }.into_any();
        }
        view! {
            <div class="page">
                <Head title aside=latin back=back.clone() />
                {body}
                {mine.then(|| view! { <Change id=id.clone() /> })}
                <Line id=id.clone() />
            </div>
        }
        .into_any()
    }
}

/// What is believed, to begin with and now, and why.
#[component]
fn Figures(profile: Profile, own: OwnHatches, prefs: Prefs) -> impl IntoView {
    let clutches = own.model.own_clutches();
    let now = own.model.days_at(profile.ref_c);
    let (between, within) = own.model.spreads();
    let (low, high) = profile.tolerated;
    let rows = (low.ceil() as i32..=high.floor() as i32).map(|celsius| {
        let c = f64::from(celsius);
        view! {
            <tr><td class="nowrap">{said::degrees(c, &prefs)}</td><td class="nowrap">{said::days(own.bare.days_at(c))}</td>
            {(clutches > 0).then(|| view! { <td class="nowrap">{said::days(own.model.days_at(c))}</td> })}</tr>
        }
    });
    view! {
        <section class="card stack">
            <p><span class="big">{said::days(now)}</span>" "<span class="aside">{said::AT}" "{said::degrees(profile.ref_c, &prefs)}</span></p>
            <p>{said::whose(clutches, &profile.source)}</p>
            {(clutches > 0).then(|| view! { <p class="aside">{said::BEFORE}": "{said::reference(&profile, &prefs)}", "{said::source_of(&profile.source)}</p> })}
            {(clutches == 0).then(|| view! { <p class="aside">{said::reference(&profile, &prefs)}</p> })}
            <p class="aside">{said::spreads(between, within, now.unwrap_or(profile.ref_days))}</p>
            <p class="aside">{said::tolerated(&profile, &prefs)}</p>
            <table class="table">
                <thead><tr><th>{said::AT}</th><th>{said::BEFORE}</th>{(clutches > 0).then(|| view! { <th>{said::NOW}</th> })}</tr></thead>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        </section>
        {(profile.sex_by == SexBy::Temperature).then(|| sexes(&profile, &prefs))}
        <h2>{said::OWN}</h2>
        <Past own prefs=prefs.clone() />
    }
}

/// The published shares, at every half degree that has one.
fn sexes(profile: &Profile, prefs: &Prefs) -> Option<AnyView> {
    let all = (40..=72).map(|half| f64::from(half) / 2.0).filter_map(|c| Some((c, males_at(profile, c, 0.5).ok()?)));
    let rows: Vec<_> = all
        .map(|(c, males)| view! { <tr><td class="nowrap">{said::degrees(c, prefs)}</td><td class="nowrap">{said::males_row(&males)}</td></tr> })
        .collect();
    (!rows.is_empty()).then(|| {
        view! {
            <h2>{said::SEX_TITLE}</h2>
            <section class="card">
                <p class="aside">{said::sex_hint(prefs)}</p>
                <table class="table"><thead><tr><th>{said::AT}</th><th>{said::MALES}</th></tr></thead><tbody>{rows}</tbody></table>
            </section>
        }
        .into_any()
    })
}

/// The keeper's own word on it.
#[component]
fn Change(id: String) -> impl IntoView {
    let barn = barn();
    let shipped = Profile::find(&id).is_some();
    let key = StoredValue::new(id.clone());
    let own = move |book: &Book| key.with_value(|key| book.own_species(&key.as_str().into()).cloned());
    let stands = move |book: &Book| own(book).unwrap_or_else(|| key.with_value(|key| Species::overriding(key)));
    let is_own = Memo::new(move |_| barn.read(|book| own(book).is_some()));
    let start = SpeciesForm::new(SpeciesId::from(id.as_str()), barn.peek(stands), typed_units());
    let faults = Faults::new();
    let name = RwSignal::new(start.name.clone());
    let [days, spread] = [&start.days, &start.spread].map(|entry| RwSignal::new(entry.clone()));
    let temps = start.temps.each_ref().map(|entry| RwSignal::new(entry.clone()));
    let source = RwSignal::new(start.source.clone());
    let start = StoredValue::new(start);
    let form = move || SpeciesForm {
        name: name.get_untracked(),
        days: days.get_untracked(),
        temps: temps.map(|temp| temp.get_untracked()),
        spread: spread.get_untracked(),
        source: source.get_untracked(),
        ..start.get_value()
    };
    // The page stays once it is saved: each field follows what stands, or nobody could put it back.
    Effect::new(move |_| {
        let now = barn.read(stands);
        let mut form = form();
        if form.start != now {
            form.follow(now, typed_units());
            name.set(form.name.clone());
            days.set(form.days.clone());
            temps.into_iter().zip(&form.temps).for_each(|(field, temp)| field.set(temp.clone()));
            spread.set(form.spread.clone());
            source.set(form.source.clone());
            start.set_value(form);
        }
    });
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let form = form();
        // As it stands by now: somebody else may have written meanwhile.
        let now = barn.peek(own);
        let Some(act) = faults.pass(form.act(now.as_ref().unwrap_or(&form.start), typed_units())) else { return };
        barn.save(act, said::SAVED, |_| ());
    };
    let back = move |_| {
        let thing = key.with_value(|k| SpeciesId::from(k.as_str()).thing());
        barn.save(Withdrawn { thing }, said::SAVED, |_| Page::SpeciesAll.go());
    };
    view! {
        <details>
            <summary>{said::CHANGE}</summary>
            <form novalidate on:submit=save>
                <p class="aside">{said::CHANGE_HINT}</p>
                {(!shipped).then(|| view! { <TextField label=said::LINE_NAME value=name /> })}
                <Quantity entry=days faults />
                <Quantity entry=temps[0] faults />
                <Quantity entry=spread faults />
                <Quantity entry=temps[1] faults />
                <Quantity entry=temps[2] faults />
                <TextField label=said::SOURCE value=source />
                <button type="submit" class="act main">{words::SAVE}</button>
            </form>
            {move || (shipped && is_own.get()).then(|| view! { <button type="button" class="act small" on:click=back>{said::BACK_TO_SHIPPED}</button> })}
        </details>
    }
}

/// A line that borrows from this species.
#[component]
fn Line(id: String) -> impl IntoView {
    let barn = barn();
    let name = RwSignal::new(String::new());
    let base =
        barn.peek(|book| book.own_species(&id.as_str().into()).and_then(|own| own.profile.clone())).unwrap_or(id);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let species = Species { name: Some(name.get_untracked()), ..Species::overriding(&base) };
        barn.save(SpeciesSet { id: None, species }, said::LINE_SAVED, |draft| {
            if let Some(line) = made(draft, Kind::Species) {
                Page::Species(line.id).go();
            }
        });
    };
    view! {
        <details>
            <summary>{said::LINE}</summary>
            <form novalidate on:submit=save>
                <p class="aside">{said::LINE_HINT}</p>
                <TextField label=said::LINE_NAME value=name />
                <button type="submit" class="act main">{said::LINE_SAVE}</button>
            </form>
        </details>
    }
}
