//! What is known of people outside the barn: kept beside the journal under a digest, erasable for good.

use super::{Barn, Trouble};
use crate::clock;
use journal::bundle::Person;
use serde::{Deserialize, Serialize};

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

impl Barn {
    /// Keeps details under a fresh salt and gives the digest that a line may hold; none for empty ones.
    pub async fn keep_person(&self, details: &Details) -> Result<Option<String>, Trouble> {
        if details.is_empty() {
            return Ok(None);
        }
        let told = |error: serde_json::Error| Trouble::Act(error.to_string());
        let person = Person::new(clock::random(), serde_json::to_string(details).map_err(told)?);
        let digest = person.digest().map(|digest| digest.to_string()).unwrap_or_default();
        self.db().await?.put_person(&digest, &serde_json::to_string(&person).map_err(told)?).await?;
        Ok(Some(digest))
    }

    /// Details under a digest, when they are here and whole.
    pub async fn person(&self, digest: &str) -> Option<Details> {
        let text = self.db().await.ok()?.person(digest).await.ok()??;
        let person: Person = serde_json::from_str(&text).ok()?;
        let whole = person.digest().is_some_and(|own| own.to_string() == digest);
        whole.then(|| serde_json::from_str(&person.content).ok()).flatten()
    }

    pub async fn erase_person(&self, digest: &str) -> Result<(), Trouble> {
        self.db().await?.erase_person(digest).await
    }
}
