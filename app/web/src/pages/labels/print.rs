//! The labels of some things: how each will look, what it says otherwise than before, and three ways onto paper.

use super::changed::changed;
use super::device::{Printer, Via, keep_language, language};
use super::stock::{DotsChoice, First, FirstFree, StockChoice};
use super::tag::Tag;
use super::text::{self, Ready};
use super::work::{Run, Work, Working};
use super::{draw, out};
use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::Head;
use crate::ui::forms::{Choice, Faults, Pick, Stepper, count as how_many};
use crate::words::{self, labels as said, printers};
use book::Thing;
use book::acts::LabelsPrinted;
use desk::forms::counts;
use desk::{Ask, Entry};
use draw::{Job, Shown, Watch};
use labels::commands::Language;
use labels::payload;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Most labels noted in one act.
const AT_ONCE: usize = 500;

/// The page for things named in the address, `kind:ID` with commas between.
pub fn print_page(things: &str) -> AnyView {
    let (things, unread) = Page::asked_for(things);
    let unread = (!unread.is_empty()).then(|| view! { <p class="card" role="alert">{said::unread(&unread)}</p> });
    if things.is_empty() {
        return view! {
            <div class="page"><Head title=said::TITLE_MANY.to_string() back=(Page::PrintLabels, said::CHOOSE_TITLE.to_string()) />
                {unread}
                <p class="card" role="alert">{said::NOTHING_TO_PRINT}</p></div>
        }
        .into_any();
    }
    view! { <Print things unread=unread.into_any() /> }.into_any()
}

/// Where a label's page leads back to: the one thing, or the choice.
fn back(barn: Barn, things: &[Thing]) -> (Page, String) {
    let [one] = things else { return (Page::PrintLabels, said::CHOOSE_TITLE.to_string()) };
    let page = Page::of(one).unwrap_or(Page::PrintLabels);
    (page, barn.peek(|book| book.short_name(one)))
}

#[component]
fn Print(things: Vec<Thing>, unread: AnyView) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let count = things.len();
    let back = back(barn, &things);
    let kinds = barn.peek(|book| {
        let mut kinds: Vec<payload::Kind> = things.iter().filter_map(|thing| text::kind_of(book, thing)).collect();
        kinds.sort();
        kinds.dedup();
        kinds
    });
    let things = StoredValue::new(things);
    let at = RwSignal::new(0usize);
    let (copies, faults) = (RwSignal::new(Entry::of_count(Ask::count(said::COPIES, 1, 20), 1)), Faults::new());
    let (work, first) = (Work::new(), First::new());
    let shown = RwSignal::new(None::<Result<(Shown, Option<String>), String>>);
    let turn = StoredValue::new(0u32);
    Effect::new(move |_| {
        let (now, i) = (prefs.get(), at.get());
        let drawn = barn.read(|book| {
            let ready = things.with_value(|things| text::ready(book, &things[i], clock::now(), &now))?;
            let some = things.with_value(|things| text::some(book, things, clock::now(), &now));
            let changed = changed(book, &ready, clock::today(), &now);
            Ok::<_, String>((ready, some, changed))
        });
        turn.update_value(|t| *t = t.wrapping_add(1));
        let mine = turn.get_value();
        spawn_local(async move {
            let made = match drawn {
                Err(why) => Err(why),
                Ok((ready, some, changed)) => {
                    let stock = now.paper.stock.stock(now.paper.dpi());
                    draw::show(ready.text, &some, &stock).await.map(|picture| (picture, changed))
                }
            };
            // Another choice may have been drawn meanwhile.
            if turn.try_get_value() == Some(mine) {
                shown.try_set(Some(made));
            }
        });
    });

    let run = move |way: Way| {
        let Some(copies) = faults.pass(copies.with_untracked(counts::one)).filter(|_| first.is_read(faults)) else {
            return;
        };
        let copies = copies as usize;
        let Some(run) = work.begin(count * copies) else { return };
        let things = things.get_value();
        let prefs = prefs;
        spawn_local(async move {
            match go(barn, things, prefs.get_untracked(), copies, way, run).await {
                Ok(Some(done)) => {
                    let used = done.prints.len() * copies;
                    if matches!(way, Way::Pdf | Way::Print) {
                        prefs.update(|p| p.paper.used(used));
                    }
                    let mut prints = done.prints;
                    let told = done.told.unwrap_or_else(|| said::printed_many(prints.len()));
                    while !prints.is_empty() {
                        let rest = prints.split_off(prints.len().min(AT_ONCE));
                        barn.save(LabelsPrinted { prints }, told.clone(), |_| {});
                        prints = rest;
                    }
                }
                Ok(None) => barn.say(said::STOPPED.into(), None),
                // Where the person chose no printer, there is nothing to say.
                Err(why) if why.is_empty() => {}
                Err(why) => barn.amiss(words::scan::sentence(&why)),
            }
        });
    };
    let cables = Via::here();
    let title = if count == 1 { said::TITLE.to_string() } else { said::how_many(count) };
    view! {
        <div class="page alone label-page">
            <Head title back />
            {unread}
            {move || shown.get().map(|shown| match shown {
                Err(why) => view! { <p class="card" role="alert">{words::scan::sentence(&why)}</p> }.into_any(),
                Ok((picture, changed)) => view! {
                    <Preview svg=picture.svg />
                    {said::lacks(&picture.lacks, &picture.face).map(|lacks| view! { <p class="card" role="status">{lacks}</p> })}
                    {changed.map(|changed| view! { <p class="aside">{changed}</p> })}
                }.into_any(),
            })}
            {(count > 1).then(|| view! {
                <div class="spread">
                    <button type="button" class="act small" aria-label=said::EARLIER on:click=move |_| at.update(|i| *i = i.saturating_sub(1))>"‹"</button>
                    <span>{move || said::which_of(at.get() + 1, count)} " · " {move || barn.read(|book| things.with_value(|things| book.short_name(&things[at.get()])))}</span>
                    <button type="button" class="act small" aria-label=said::NEXT on:click=move |_| at.update(|i| *i = (*i + 1).min(count - 1))>"›"</button>
                </div>
            })}
            <StockChoice />
            <FirstFree first faults labels=Signal::derive(move || count * how_many(copies).max(1) as usize) />
            <Stepper entry=copies faults />
            <p class="aside">{said::COPIES_HOW} " " {said::HOW}</p>
            <details>
                <summary>{said::SHOWS}</summary>
                {kinds.into_iter().map(parts_of).collect_view()}
            </details>
            <details>
                <summary>{said::PRINTER}</summary>
                <DotsChoice />
                <PrinterPick />
                <p><a href=Page::Printer.href()>{said::RULER_PAGE}</a></p>
            </details>
            {(!cables.is_empty()).then(|| view! {
                <details>
                    <summary>{printers::TITLE}</summary>
                    <p class="aside">{printers::HOW}</p>
                    <LanguagePick />
                    <div class="gap">{cables.into_iter().map(|via| {
                        let said = match via { Via::Usb => printers::BY_USB, Via::Serial => printers::BY_SERIAL };
                        view! { <button type="button" class="act" on:click=move |_| run(Way::Cable(via))>{said}</button> }
                    }).collect_view()}</div>
                </details>
            })}
            {things.with_value(|things| match things.as_slice() {
                [one] => Some(view! { <Tag thing=one.clone() /> }),
                _ => None,
            })}
            <Working work />
            <div class="acts" class:unseen=move || work.is_on()>
                <button type="button" class="act main" on:click=move |_| run(Way::Pdf)>{said::PDF}</button>
                <button type="button" class="act" on:click=move |_| run(Way::Bitmaps)>{move || said::png(prefs.get().paper.fine)}</button>
                <button type="button" class="act" on:click=move |_| run(Way::Print)>{said::PRINT}</button>
            </div>
        </div>
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    Pdf,
    Bitmaps,
    Print,
    Cable(Via),
}

/// What went onto paper, and what is to be said of what did not.
struct Done {
    prints: Vec<book::acts::LabelPrinted>,
    told: Option<String>,
}

/// Reads what each label says, draws and hands over. `None` when stopped.
async fn go(
    barn: Barn,
    things: Vec<Thing>,
    prefs: Prefs,
    copies: usize,
    way: Way,
    run: Run,
) -> Result<Option<Done>, String> {
    let (mut all, mut left_out) = (Vec::<Ready>::new(), None::<(usize, String)>);
    for thing in &things {
        if !run.go_on(0).await {
            return Ok(None);
        }
        match barn.peek(|book| text::ready(book, thing, clock::now(), &prefs)) {
            Ok(ready) => all.push(ready),
            Err(why) => left_out = Some(left_out.map_or((1, why), |(n, first)| (n + 1, first))),
        }
    }
    let Some(first) = all.first() else {
        return Err(left_out.map_or_else(|| said::NOTHING_TO_PRINT.to_owned(), |(_, why)| why));
    };
    let paper = &prefs.paper;
    let name = if all.len() == 1 { first.file_name.clone() } else { said::file_name(&all.len().to_string()) };
    let texts = all.iter().flat_map(|ready| std::iter::repeat_n(ready.text.clone(), copies)).collect();
    let stock = paper.stock.stock(paper.dpi());
    let first = if paper.stock.grid.is_some() { paper.first.max(1) as usize } else { 1 };
    let some = barn.peek(|book| text::some(book, &things, clock::now(), &prefs));
    let job = Job { title: name.clone(), texts, some, stock, first };
    let given = match way {
        Way::Pdf => match draw::pdf(&job, &paper.calibration(), &run).await? {
            None => return Ok(None),
            Some(bytes) => out::give(&bytes, &format!("{name}.pdf"), "application/pdf").await,
        },
        Way::Bitmaps => match draw::bitmaps(&job, paper.dpi(), &run).await? {
            None => return Ok(None),
            Some(pictures) => {
                let name_of = |i: usize| {
                    let (ready, copy) = (&all[i / copies], i % copies + 1);
                    let copy = if copy == 1 { String::new() } else { format!("-{copy}") };
                    if all.len() == 1 {
                        format!("{}{copy}.png", ready.file_name)
                    } else {
                        // Numbers of two boxes of one clutch are the same; the code is not.
                        format!("{}-{}{copy}.png", ready.file_name, ready.text.code.id())
                    }
                };
                let files: Vec<(String, Vec<u8>)> =
                    pictures.into_iter().enumerate().map(|(i, bytes)| (name_of(i), bytes)).collect();
                out::give_all(&files, &format!("{name}.zip"), "image/png").await
            }
        },
        Way::Cable(via) => {
            // First: a browser lets a printer be chosen only soon after a tap.
            let printer = Printer::open(via).await.map_err(|why| why.unwrap_or_default().to_owned())?;
            let labels = match draw::commands(&job, paper.dpi(), language(), &run).await {
                Ok(Some(labels)) => labels,
                other => {
                    printer.close().await;
                    return other.map(|_| None);
                }
            };
            let (sent, why) = send(printer, &labels, &run).await;
            let done = sent / copies;
            match why {
                Some(why) if done == 0 => return Err(why),
                Some(why) => {
                    all.truncate(done);
                    let told = Some(printers::only(sent, labels.len(), &words::scan::sentence(&why)));
                    return Ok(Some(Done { prints: all.into_iter().map(|ready| ready.printed).collect(), told }));
                }
                None => Ok(()),
            }
        }
        Way::Print => match draw::pictures(&job, &run).await? {
            None => return Ok(None),
            Some(pages) => {
                let size = job.stock.page();
                out::print(&pages, size.w, size.h).await
            }
        },
    };
    given.map_err(|_| said::NOT_GIVEN.to_owned())?;
    let told = left_out.map(|(n, why)| said::left_out(n, &words::scan::sentence(&why)));
    Ok(Some(Done { prints: all.into_iter().map(|ready| ready.printed).collect(), told }))
}

/// Label by label to the printer, until it takes no more or somebody stops it: how many went, and why no more did.
async fn send(printer: Printer, labels: &[Vec<u8>], run: &Run) -> (usize, Option<String>) {
    for (sent, label) in labels.iter().enumerate() {
        if !run.go_on(sent).await {
            printer.close().await;
            return (sent, Some(printers::STOPPED.to_owned()));
        }
        if let Err(why) = printer.send(label).await {
            printer.give_up().await;
            return (sent, Some(why.to_owned()));
        }
    }
    printer.close().await;
    (labels.len(), None)
}

/// What the printer at this device understands.
#[component]
fn LanguagePick() -> impl IntoView {
    let chosen = RwSignal::new(language());
    Effect::new(move |before: Option<()>| {
        let now = chosen.get();
        if before.is_some() {
            keep_language(now);
        }
    });
    let options = Language::ALL.into_iter().map(|language| (language, language.word().to_owned())).collect();
    view! { <div data-now=""><Choice label=printers::LANGUAGE options value=chosen /></div> }
}

/// The same drawing as the print, as a picture.
#[component]
fn Preview(svg: String) -> impl IntoView {
    let url = StoredValue::new_local(out::ObjectUrl::of_bytes(svg.as_bytes(), "image/svg+xml").ok());
    let src = url.with_value(|url| url.as_ref().map(|url| url.as_str().to_owned()));
    src.map(|src| view! { <img class="label-paper" src=src alt=said::PREVIEW /> })
}

/// What a kind of label shows, to be ticked.
fn parts_of(kind: payload::Kind) -> impl IntoView {
    let prefs = prefs();
    let kind_said = match kind {
        payload::Kind::EggBox => said::BOXES,
        payload::Kind::Animal => said::ENCLOSURES,
        payload::Kind::Tub => said::TUBS,
        _ => said::PLACES,
    };
    view! {
        <fieldset class="field" data-now="">
            <legend>{kind_said}</legend>
            {text::parts(kind).iter().map(|part| {
                let key = text::part_key(kind, part);
                let set_key = key.clone();
                view! {
                    <label class="gap tick">
                        <input type="checkbox" prop:checked=move || prefs.with(|p| p.paper.shows(&key))
                            on:change=move |ev| prefs.update(|p| p.paper.set_shown(&set_key, event_target_checked(&ev))) />
                        {said::shows_part(part)}
                    </label>
                }
            }).collect_view()}
        </fieldset>
    }
}

/// Whose correction is used.
#[component]
fn PrinterPick() -> impl IntoView {
    let prefs = prefs();
    let chosen = RwSignal::new(prefs.with_untracked(|p| p.paper.printer.clone().unwrap_or_default()));
    Effect::new(move |before: Option<()>| {
        let name = chosen.get();
        if before.is_some() {
            prefs.update(|p| p.paper.printer = (!name.is_empty()).then_some(name));
        }
    });
    let options = Signal::derive(move || {
        let none = (String::new(), said::NO_CORRECTION.to_owned());
        let named =
            prefs.with(|p| p.paper.printers.iter().map(|p| (p.name.clone(), p.name.clone())).collect::<Vec<_>>());
        std::iter::once(none).chain(named).collect::<Vec<_>>()
    });
    view! { <div data-now=""><Pick label=said::PRINTER options value=chosen /></div> }
}
