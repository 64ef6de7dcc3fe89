//! What one tap did in several acts is found again, from whichever of them, and undone as one.

use super::world::{Done, World};
use crate::disk::Trouble;
use crate::tab::Tab;
use journal::{Draft, Ref};
use serde_json::{Map, json};

fn named(tab: &Tab, id: &str, with: Option<Ref>) -> Draft {
    let fields = Map::from_iter([("name".to_owned(), json!(id))]);
    let set = tab.book().journal().set("animal", id, fields);
    Draft { act: "Noted".to_owned(), sets: vec![set], with, ..Draft::default() }
}

async fn story(tab: &Tab) -> Result<(), Trouble> {
    let (mut parts, mut first) = (Vec::new(), None);
    let mut alone = None;
    for n in 0..40 {
        // Another page of the device does something in between.
        if n % 7 == 3 {
            alone = Some(tab.append(named(tab, &format!("OTHER{n:03}"), None)).await?);
        }
        let part = tab.append(named(tab, &format!("SHEET{n:03}"), first)).await?;
        first.get_or_insert(part);
        parts.push(part);
    }
    for of in [&parts[0], &parts[20], &parts[39]] {
        assert_eq!(tab.deed(*of).await?, parts, "the same deed from each of its acts");
    }
    let alone = alone.expect("something was done in between");
    assert_eq!(tab.deed(alone).await?, [alone]);

    let here = |tab: &Tab| tab.book().journal().records("animal").count();
    let before = here(tab);
    let made = parts[7];
    // Undone, the undoing undone; and then, since it stands again, undone once more.
    for (of, expected) in [(0, before - 40), (1, before), (2, before - 40)] {
        let (mut undoing, mut last) = (None, None);
        let of = if of == 2 { made } else { parts[7] };
        for part in tab.deed(of).await?.into_iter().rev() {
            let (draft, left) = tab.plan_undo(part).await?.expect("it stands");
            assert_eq!(left, 0);
            let undone = tab.append(Draft { with: undoing, ..draft }).await?;
            undoing.get_or_insert(undone);
            last = Some(undone);
        }
        assert_eq!(here(tab), expected);
        // The undoing is one deed as well.
        parts = tab.deed(last.expect("undone")).await?;
        assert_eq!(parts.len(), 40);
    }
    Ok(())
}

#[test]
fn a_deed_is_found_and_undone_whole() -> Result<(), String> {
    let mut world = World::new(3);
    world.settle(0)?;
    let (&number, page) = world.pages.iter().find(|(_, page)| page.device == 0).ok_or("a page")?;
    let tab = page.tab.clone();
    world.job(number, "deed", async move { Done::Other("deed", story(&tab).await) });
    world.settle(0)?;
    let done = world.trace.iter().any(|line| line.ends_with("deed done"));
    assert!(done, "{}", world.trace.join("\n"));
    Ok(())
}
