//! What this device prefers, and who logs on it.

use super::lost::Lost;
use super::phrase::PeopleLock;
use crate::prefs::{Theme, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::forms::{Choice, Pick, TextField};
use crate::words::{money, names, settings as words, trouble};
use book::acts::{CurrencySet, PersonNamed, made};
use book::{Book, Kind, PersonId};
use leptos::prelude::*;
use trade::money::Currency;

#[component]
pub fn Settings() -> impl IntoView {
    let kept = RwSignal::new(None);
    view! {
        <div class="page">
            <Head title=words::SETTINGS.to_string() back=(Page::More, words::MORE.to_owned()) />
            <Who />
            <Look />
            <Labels />
            <Amounts />
            <Lost kept />
            <PeopleLock kept />
            <p class="sub">{words::RESCUE_SAID}" "<a href=trouble::RESCUE_HREF>{trouble::RESCUE}</a></p>
        </div>
    }
}

/// A signal that starts as a preference and is kept as one.
fn kept<T: Clone + PartialEq + Send + Sync + 'static>(
    from: impl FnOnce(&crate::prefs::Prefs) -> T,
    into: impl Fn(&mut crate::prefs::Prefs, T) + 'static,
) -> RwSignal<T> {
    let prefs = prefs();
    let value = RwSignal::new(prefs.with_untracked(from));
    Effect::new(move |was: Option<T>| {
        let now = value.get();
        if was.is_some_and(|was| was != now) {
            prefs.update(|p| into(p, now.clone()));
        }
        now
    });
    value
}

fn said<T: Copy>(options: &[(T, &str)]) -> Vec<(T, String)> {
    options.iter().map(|(value, said)| (*value, (*said).to_owned())).collect()
}

#[component]
fn Look() -> impl IntoView {
    let theme = kept(|p| p.theme, |p, theme| p.theme = theme);
    let fahrenheit = kept(|p| p.fahrenheit, |p, on| p.fahrenheit = on);
    let ounces = kept(|p| p.ounces, |p, on| p.ounces = on);
    let sound = kept(|p| p.sound, |p, on| p.sound = on);
    let themes = said(&[
        (Theme::System, words::THEME_SYSTEM),
        (Theme::Paper, words::THEME_PAPER),
        (Theme::Barn, words::THEME_BARN),
        (Theme::Night, words::THEME_NIGHT),
    ]);
    view! {
        <div data-now="">
            <Choice label=words::THEME options=themes value=theme />
            <Choice label=words::TEMPERATURE options=said(&[(false, "°C"), (true, "°F")]) value=fahrenheit />
            <Choice label=words::MASS options=said(&[(false, "g"), (true, "oz")]) value=ounces />
            <Choice label=words::SOUND options=said(&[(true, words::ON), (false, words::OFF)]) value=sound />
        </div>
    }
}

#[component]
fn Labels() -> impl IntoView {
    let address = kept(
        |p| p.label_address.clone(),
        |p, address| {
            // Half-typed or mistyped, it must not get onto paper.
            if address.is_empty() || is_address(&address) {
                p.label_address = address.trim().to_owned();
            }
        },
    );
    let breeder = kept(|p| p.breeder.clone(), |p, breeder| p.breeder = breeder);
    let bad = move || address.with(|a| !a.is_empty() && !is_address(a));
    view! {
        <h2>{words::LABEL}</h2>
        // One that is bad is not kept for labels, and may be typed on later.
        <div data-now=move || (!bad()).then_some("")>
            <TextField label=words::LABEL_ADDRESS value=address hint=words::LABEL_ADDRESS_HINT />
        </div>
        {move || bad().then(|| view! { <p class="warn" role="alert">{words::LABEL_ADDRESS_BAD}</p> })}
        <div data-now=""><TextField label=words::BREEDER value=breeder hint=words::BREEDER_HINT /></div>
    }
}

/// Whether the barn writes amounts down, and in which currency; the same on all its devices.
#[component]
fn Amounts() -> impl IntoView {
    let barn = barn();
    let stands = Memo::new(move |_| barn.read(Book::currency));
    let code = |currency: Option<Currency>| currency.map(|known| known.code().to_owned()).unwrap_or_default();
    let chosen = RwSignal::new(code(stands.get_untracked()));
    // Somebody else may have set it meanwhile, or this is undone.
    Effect::new(move |_| chosen.set(code(stands.get())));
    Effect::new(move |was: Option<String>| {
        let now = chosen.get();
        let currency = Currency::of(&now);
        if was.is_some_and(|was| was != now) && currency != stands.get_untracked() {
            barn.save(CurrencySet { currency }, money::CURRENCY_SAVED, |_| {});
        }
        now
    });
    let none = (String::new(), money::CURRENCY_NONE.to_owned());
    let all = Currency::all().map(|known| (known.code().to_owned(), known.code().to_owned()));
    let options: Vec<_> = std::iter::once(none).chain(all).collect();
    view! {
        <div data-now=""><Pick label=money::CURRENCY options=Signal::stored(options) value=chosen /></div>
        <p class="aside">{money::CURRENCY_HOW}</p>
    }
}

fn is_address(typed: &str) -> bool {
    let typed = typed.trim();
    let host = typed.strip_prefix("https://").or_else(|| typed.strip_prefix("http://"));
    host.is_some_and(|host| !host.is_empty() && !host.starts_with('/')) && !typed.contains(char::is_whitespace)
}

/// Everyone who ever said their name here or on another device, and a new one.
#[component]
fn Who() -> impl IntoView {
    let barn = barn();
    let name = RwSignal::new(String::new());
    let me = RwSignal::new(barn.writes_as().unwrap_or_default());
    let people = move || {
        barn.read(|book| {
            let people = book.people().into_iter().filter(|p| p.name.is_some());
            people.map(|p| (p.id.to_string(), names::person(book, p.id.as_str()))).collect::<Vec<_>>()
        })
    };
    let become_one = move |id: String, said: String| {
        leptos::task::spawn_local(async move {
            match barn.write_as(&id).await {
                Ok(()) => {
                    let _ = me.try_set(id);
                    barn.say(words::now_logging(&said), None);
                }
                Err(why) => barn.amiss(trouble::saving(&why)),
            }
        });
    };
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let typed = name.get_untracked().trim().to_owned();
        barn.save(PersonNamed { person: None::<PersonId>, name: typed.clone() }, words::SAVED_NAME, move |draft| {
            let _ = name.try_set(String::new());
            if let Some(person) = made(draft, Kind::Person) {
                become_one(person.id, typed);
            }
        });
    };
    view! {
        {move || {
            let people = people();
            (!people.is_empty()).then(|| view! {
                <fieldset class="field" data-now="">
                    <legend>{words::WHO}</legend>
                    <div class="chips">{people.into_iter().map(|(id, said)| {
                        let (mine, shown) = (id.clone(), said.clone());
                        view! {
                            <button type="button" class="chip" aria-pressed=move || me.with(|me| *me == mine).to_string()
                                on:click=move |_| become_one(id.clone(), said.clone())>{shown}</button>
                        }
                    }).collect_view()}</div>
                </fieldset>
            })
        }}
        <form novalidate on:submit=save>
            <TextField label=words::NAME value=name hint=words::NAME_HINT />
            <button type="submit" class="act">{words::SAVE_NAME}</button>
        </form>
    }
}
