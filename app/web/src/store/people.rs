//! What is known of people outside the barn: kept beside the journal under a digest, erasable for good.
//!
//! An edit leaves what stood before it here, so that undo brings it back. Details erased for good are named by a line
//! (`book::acts::PersonErased`): what is here of them is neither shown nor sent, and goes at the next chance. With a
//! passphrase they are stored locked (`vault`).

use super::{Barn, Trouble, mint};
use crate::{clock, words};
use book::ContactId;
use book::acts::{Act, PersonErased};
use journal::Hash;
use journal::bundle::{Detached, Person};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use storage::{Store, Value};

/// Somebody's details, as the keeper types them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Details {
    pub name: String,
    /// A number or an address to reach them at.
    pub reach: String,
    pub note: String,
}

impl Details {
    pub fn is_empty(&self) -> bool {
        [&self.name, &self.reach, &self.note].iter().all(|text| text.trim().is_empty())
    }
}

/// Somebody whose details are on this device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Somebody {
    pub contact: ContactId,
    /// Mark and name: `P-007 · R. Marsh`.
    pub named: String,
}

impl Barn {
    /// Keeps details under a fresh salt and gives the digest that a line may hold; none for empty ones. What the line
    /// holds already (`before`) stays where the details are the same, or are not here to be changed.
    pub async fn keep_person(&self, details: &Details, before: Option<String>) -> Result<Option<String>, Trouble> {
        if let Some(before) = before {
            let stands = self.person(&before).await;
            if stands.as_ref().map_or(details.is_empty(), |stands| stands == details) {
                return Ok(Some(before));
            }
        }
        if details.is_empty() {
            return Ok(None);
        }
        let told = |error: serde_json::Error| Trouble::Act(error.to_string());
        let person = Person::new(clock::random(), serde_json::to_string(details).map_err(told)?);
        let digest = person.digest().map(|digest| digest.to_string()).unwrap_or_default();
        let text = serde_json::to_string(&person).map_err(told)?;
        self.store_people(&[(digest.clone(), text)]).await?;
        Ok(Some(digest))
    }

    /// Details under a digest, when they are here, whole, not erased and not locked ([`Barn::shut`]).
    pub async fn person(&self, digest: &str) -> Option<Details> {
        if self.peek(|book| book.is_erased(digest)) {
            return None;
        }
        let stored = self.tab().beside(Store::People, digest).await.ok()??.text()?;
        let (_, open) = self.opened(vec![(digest.to_owned(), stored)]).await.pop()?;
        details(&whole(digest, &open)?)
    }

    /// People whose details can be read here, by their mark: those a bundle may take along.
    pub async fn people_here(&self) -> Result<Vec<Somebody>, Trouble> {
        self.sweep_people().await?;
        let kept = self.people().await?;
        let known = self.peek(|book| {
            let contacts = book.contacts().into_iter();
            contacts.map(|c| (c.id.clone(), book.contact_mark(&c.id), book.details_of(&c.id))).collect::<Vec<_>>()
        });
        let here = known.into_iter().filter_map(|(contact, mark, digests)| {
            // The one shown comes last.
            let details = digests.iter().rev().find_map(|digest| details(&whole(digest, kept.get(digest)?)?))?;
            Some(Somebody { contact, named: words::people::contact(&mark, &details.name) })
        });
        Ok(here.collect())
    }

    /// What a bundle takes along when these people were chosen.
    pub(super) async fn going_along(&self, chosen: &BTreeSet<ContactId>) -> Result<Vec<Person>, Trouble> {
        self.until_whole().await;
        let digests = self.peek(|book| book.going_along(chosen));
        if digests.is_empty() {
            return Ok(Vec::new());
        }
        let kept = self.people().await?;
        Ok(digests.iter().filter_map(|digest| whole(digest, kept.get(digest)?)).collect())
    }

    /// Those of these digests whose details can be read here now.
    pub(super) async fn readable(&self, named: &BTreeSet<Hash>) -> Result<BTreeSet<Hash>, Trouble> {
        let kept = self.people().await?;
        Ok(named.iter().filter(|digest| whole_of(&kept, digest).is_some()).copied().collect())
    }

    /// Details under a digest as a bundle carries them, where they can be read here.
    pub(super) async fn readable_person(&self, digest: &Hash) -> Option<String> {
        let kept = self.people().await.ok()?;
        serde_json::to_string(&whole_of(&kept, digest)?).ok()
    }

    /// Every version of somebody's details that lines name and nobody erased, here or not.
    pub async fn versions(&self, contact: &ContactId) -> Result<BTreeSet<String>, Trouble> {
        self.until_whole().await;
        // Bundles set aside name details that may be here all the same.
        let lines = self.tab().lines(true).await?;
        let mut all = book::versions(lines.iter().map(String::as_str), contact);
        self.peek(|book| all.retain(|digest| !book.is_erased(digest)));
        Ok(all)
    }

    /// Erases somebody's details for good, every version of them, here and wherever the lines come to.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub async fn erase_for_good(&self, contact: &ContactId) -> Result<(), String> {
        let told = |trouble: Trouble| words::trouble::saving(&trouble);
        let kept: Vec<String> = self.tab().keys_beside(Store::People).await.map_err(told)?;
        loop {
            let digests = self.versions(contact).await.map_err(told)?;
            let act = PersonErased { contact: contact.clone(), digests };
            let draft = self.peek(|book| act.draft(book, clock::now(), &mut mint)).map_err(|no| no.to_string())?;
            // The line first: broken off here, the details are known to be erased, and go at the next chance.
            self.append(draft).await.map_err(told)?;
            self.sweep_people().await.map_err(told)?;
            // One act takes so many; a hostile bundle may have brought more.
            if self.peek(|book| act.digests.iter().all(|digest| book.is_erased(digest))) {
                return self.erase_unnamed(kept).await.map_err(told);
            }
        }
    }

    /// Erases those of the details `kept` that no line names: an edit that was refused in the end left them. What is
    /// being saved at this moment was not yet kept when the list was made.
    async fn erase_unnamed(&self, mut kept: Vec<String>) -> Result<(), Trouble> {
        // Bundles set aside name details that may be here all the same.
        let lines = self.tab().lines(true).await?;
        let asked = kept.iter().filter_map(|digest| digest.parse::<Hash>().ok());
        let named = Detached::of(lines.iter().map(String::as_str), asked).named;
        kept.retain(|digest| digest.parse::<Hash>().is_ok_and(|digest| !named.contains(&digest)));
        if kept.is_empty() { Ok(()) } else { self.tab().drop_beside(Store::People, &kept).await }
    }

    /// All details that can be read here now, by digest.
    async fn people(&self) -> Result<BTreeMap<String, String>, Trouble> {
        let all = self.tab().all_beside(Store::People).await?;
        let all = all.into_iter().filter_map(|(digest, value)| Some((digest, Value::text(value)?))).collect();
        Ok(self.opened(all).await.into_iter().collect())
    }

    /// Details a bundle brings, as they are to be stored, and by which lock.
    pub(super) async fn arriving(&self, people: &[Person]) -> Result<(Option<String>, Vec<(String, String)>), Trouble> {
        let stored = people
            .iter()
            .filter_map(|person| Some((person.digest()?.to_string(), serde_json::to_string(person).ok()?)));
        self.to_store(&stored.collect::<Vec<_>>()).await
    }

    /// Erases what is here of details that a line says are erased.
    pub(super) async fn sweep_people(&self) -> Result<(), Trouble> {
        self.until_whole().await;
        let mut gone: Vec<String> = self.tab().keys_beside(Store::People).await?;
        self.peek(|book| gone.retain(|digest| book.is_erased(digest)));
        self.forget_opened(&gone);
        if gone.is_empty() { Ok(()) } else { self.tab().drop_beside(Store::People, &gone).await }
    }
}

/// What is stored under a digest, if it is what the digest was made of.
fn whole(digest: &str, stored: &str) -> Option<Person> {
    let person: Person = serde_json::from_str(stored).ok()?;
    person.digest().is_some_and(|own| own.to_string() == digest).then_some(person)
}

fn whole_of(kept: &BTreeMap<String, String>, digest: &Hash) -> Option<Person> {
    let digest = digest.to_string();
    whole(&digest, kept.get(&digest)?)
}

fn details(person: &Person) -> Option<Details> {
    serde_json::from_str(&person.content).ok()
}
