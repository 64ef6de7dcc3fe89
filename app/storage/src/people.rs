//! How people's details are kept: as they are, or each locked for a key that a text of the caller's names, the lock.
//! What a text holds, and locking itself, is the caller's.
//!
//! Guarantee: details are stored as the lock of that moment asks, whatever other tabs do meanwhile.

use crate::disk::{Store, Trouble, Tx, Value};
use crate::layout::PEOPLE_LOCK;
use crate::tab::{Attempt, Tab};

/// All details stored, at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct People {
    /// None where they lie as they are.
    pub lock: Option<String>,
    /// By digest.
    pub details: Vec<(String, String)>,
}

/// The lock. It is asked for when this is called.
pub(crate) fn lock_of(tx: &dyn Tx) -> impl Future<Output = Result<Option<String>, Trouble>> + use<> {
    let asked = tx.get(Store::Meta, PEOPLE_LOCK);
    async move {
        match asked.await? {
            None => Ok(None),
            // Taken for none, details would be stored open that the keeper wants locked.
            Some(Value::Other(_)) => Err(Trouble::Damaged("the lock of people's details".to_owned())),
            Some(Value::Text(text)) => Ok(Some(text)),
        }
    }
}

fn texts(all: Vec<(String, Value)>) -> Vec<(String, String)> {
    all.into_iter().filter_map(|(digest, value)| Some((digest, value.text()?))).collect()
}

async fn people_on(db: &Attempt<'_>) -> Result<People, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::People], false)?;
    let (lock, all) = (lock_of(&*tx), tx.all(Store::People));
    Ok(People { lock: lock.await?, details: texts(all.await?) })
}

impl Tab {
    /// How people's details are locked now.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] when that cannot be read.
    pub async fn people_lock(&self) -> Result<Option<String>, Trouble> {
        self.with_db(async |db| lock_of(&*db.begin(&[Store::Meta], false)?).await).await
    }

    /// All details, and how they are locked.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] when the lock cannot be read.
    pub async fn people(&self) -> Result<People, Trouble> {
        self.with_db(people_on).await
    }

    /// Keeps details by digest, as `lock` asks.
    ///
    /// # Errors
    /// [`Trouble::Overtaken`] when the lock is another by now; nothing is stored then.
    pub async fn put_people(&self, lock: Option<&str>, details: &[(String, String)]) -> Result<(), Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta, Store::People], true)?;
            if lock_of(&*tx).await?.as_deref() != lock {
                return Err(Trouble::Overtaken);
            }
            details.iter().try_for_each(|(digest, text)| tx.put(Store::People, digest, text.as_str().into()))?;
            db.commit(tx).await
        })
        .await
    }

    /// Puts another lock in place of the one `before`, and `details` in place of those there: all of it, or nothing.
    ///
    /// # Errors
    /// [`Trouble::Overtaken`] when what is stored is no longer as it was `before`.
    pub async fn relock_people(
        &self,
        before: &People,
        lock: Option<&str>,
        details: &[(String, String)],
    ) -> Result<(), Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta, Store::People], true)?;
            let (now, all) = (lock_of(&*tx), tx.all(Store::People));
            if now.await? != before.lock || texts(all.await?) != before.details {
                return Err(Trouble::Overtaken);
            }
            match lock {
                Some(lock) => tx.put(Store::Meta, PEOPLE_LOCK, lock.into())?,
                None => tx.delete(Store::Meta, PEOPLE_LOCK)?,
            }
            details.iter().try_for_each(|(digest, text)| tx.put(Store::People, digest, text.as_str().into()))?;
            db.commit(tx).await
        })
        .await?;
        self.disk.tell_tabs();
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{Intake, Successor};
    use crate::sim::Alone;
    use journal::Id;

    fn of(name: &str, text: &str) -> (String, String) {
        (name.to_owned(), text.to_owned())
    }

    #[test]
    fn details_are_stored_as_the_lock_asks_whatever_another_tab_does() {
        let alone = Alone::new();
        let disk = alone.disk.clone();
        let (one, two) = (Tab::new(disk.clone(), "keeper"), Tab::new(disk, "keeper"));
        assert_eq!(alone.wait(one.put_people(None, &[of("a", "open a")])), Ok(()));
        let before = alone.wait(one.people()).expect("read");
        assert_eq!(before, People { lock: None, details: vec![of("a", "open a")] });
        // Another tab adds somebody while this one locks what it has read.
        assert_eq!(alone.wait(two.put_people(None, &[of("b", "open b")])), Ok(()));
        let locked = [of("a", "locked a")];
        assert_eq!(alone.wait(one.relock_people(&before, Some("key"), &locked)), Err(Trouble::Overtaken));
        assert_eq!(alone.wait(one.people_lock()), Ok(None));

        let before = alone.wait(one.people()).expect("read");
        let locked = [of("a", "locked a"), of("b", "locked b")];
        assert_eq!(alone.wait(one.relock_people(&before, Some("key"), &locked)), Ok(()));
        // The other tab has not heard of it yet.
        assert_eq!(alone.wait(two.put_people(None, &[of("c", "open c")])), Err(Trouble::Overtaken));
        let somebody = [of("d", "locked d")];
        let intake = |people_lock| Intake {
            lines: "",
            photos: &[],
            people: &somebody,
            people_lock,
            erased: &[],
            epoch: 0,
            successor: Successor::Same { book: Id::mint([1; 5]) },
        };
        let taken = alone.wait(two.take_in(&intake(None), |_, _| {}, |_| {}));
        assert_eq!(taken, Err(Trouble::Overtaken));
        let now = alone.wait(two.people()).expect("read");
        assert_eq!(now, People { lock: Some("key".to_owned()), details: locked.to_vec() });
        assert_eq!(alone.wait(two.take_in(&intake(Some("key")), |_, _| {}, |_| {})), Ok(()));

        let before = alone.wait(two.people()).expect("read");
        assert_eq!(before.details.len(), 3, "the bundle's are there");
        assert_eq!(alone.wait(two.relock_people(&before, None, &[of("a", "open a")])), Ok(()));
        assert_eq!(alone.wait(one.people_lock()), Ok(None));
    }

    #[test]
    fn a_lock_that_cannot_be_read_is_not_taken_for_none() {
        let alone = Alone::new();
        let disk = alone.disk.clone();
        let tab = Tab::new(disk.clone(), "keeper");
        assert_eq!(alone.wait(tab.put_beside(Store::Meta, PEOPLE_LOCK, Value::Other(std::rc::Rc::new(())))), Ok(()));
        assert!(matches!(alone.wait(tab.put_people(None, &[of("a", "open")])), Err(Trouble::Damaged(_))));
        assert!(matches!(alone.wait(tab.people()), Err(Trouble::Damaged(_))));
    }
}
