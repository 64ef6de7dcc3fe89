//! What a finder of this device can read and do, and the passphrase on people's details.

use crate::store::{Failed, NoBundle, Trouble};

pub const TITLE: &str = "If this phone is lost";
pub const INTRO: &str = "Records lie on this device as they are, so that they can be read in the egg room at once. Whoever finds it, and can open it, can:";
pub const READS: &str = "read all records: animals, boxes, clutches, places, who logs here, and pictures";
pub const READS_PEOPLE: &str = "read names, addresses and notes of people outside the barn";
pub const READS_PEOPLE_NOT: &str =
    "not read names, addresses and notes of people outside the barn: those are locked with your passphrase";
pub const WRITES: &str = "log in this device's name, and make bundles that the other devices take for yours";
pub const FILES: &str =
    "open bundles that lie among its files: those locked with a passphrase only with that passphrase";
pub const BEFORE: &str = "Before that";
pub const DO_SCREEN: &str =
    "Set a screen lock, with a code or a finger. It is what keeps a finder out, and it also locks what is stored.";
pub const DO_BUNDLES: &str =
    "Lock bundles with a passphrase when you make them, and hand one to another device every few days.";
pub const AFTER: &str = "Once it is gone";
pub const AFTER_LOCATE: &str = "Lock or wipe the phone from afar, if its maker offers that.";
pub const AFTER_BUNDLES: &str = "Tell everybody in the barn: take in no bundle that comes from it after that day. The other devices carry on with all they had from it. What was taken in too late can be set aside on their page Backup and sharing, which brings back what was before.";
pub const AFTER_NEW: &str =
    "On a new phone, take in a bundle from another device. It logs as a device of its own from then on.";
pub const SHARED: &str = "Same web address";
pub const SHARED_SAID: &str = "Other pages of the same web address share this storage and could read all of it. Use the app from an address of its own, or from one where you trust every page.";

pub const PHRASE_TITLE: &str = "Passphrase on people's details";
pub const LOCKED: &str = "People's details are locked";
pub const PLAIN_SAID: &str = "Names, addresses and notes of people outside the barn lie open on this device. With a passphrase they are stored locked: asked for when the app starts, and when nobody has looked at it for five minutes. Records stay readable without it.";
pub const OPEN_SAID: &str =
    "People's details are stored locked, and open to this page until it is closed or out of sight for five minutes.";
pub const SHUT_SAID: &str =
    "People's details are locked. Details can still be noted and taken in; to see them, type the passphrase.";
pub const SHUT_BUNDLE: &str =
    "People's details are locked: a bundle made now carries none. Unlock them to choose whose go along.";
pub const FORGOTTEN: &str = "Nobody can bring the details back without the passphrase: not you, not the makers of this app, not another device unless it has them too. Write it down and keep it away from this device.";
pub const LINGERS: &str =
    "What lay open before may stay in the browser's own files for a while, out of reach of this app.";
pub const TAKE_OFF_SAID: &str =
    "Without a passphrase, whoever can open this device reads the details of people outside the barn.";
pub const LOCK: &str = "Lock people's details";
pub const CHANGE: &str = "Change the passphrase";
pub const TAKE_OFF: &str = "Take the passphrase off";
pub const SHUT: &str = "Lock now";
pub const LEAVE: &str = "Leave it as it is";
pub const NOW: &str = "Passphrase now";
pub const NEW: &str = "New passphrase";
pub const AGAIN: &str = "The same again";
pub const NONE_TYPED: &str = "Type the new passphrase first.";
pub const DIFFER: &str = "The two are not the same. Look at both and type them again.";
pub const WORKING: &str = "Working…";
pub const NOW_LOCKED: &str = "People's details are stored locked from now on.";
pub const NOW_CHANGED: &str = "The new passphrase counts from now on.";
pub const NOW_PLAIN: &str = "People's details are stored open from now on.";

/// Why people's details stay as they are.
pub fn failed(why: &NoBundle) -> Option<String> {
    match why {
        NoBundle::Failed(Failed::Ended) => Some(
            "It could not be done: this device is short of memory, or the app is not whole yet. Close other pages, load this one again while online, and try once more. Nothing was changed.".into(),
        ),
        NoBundle::Trouble(Trouble::Overtaken) => {
            Some("Another tab changed people's details meanwhile. Nothing was changed here: try again.".into())
        }
        NoBundle::Trouble(trouble) => Some(super::trouble::saving(trouble)),
        NoBundle::Failed(_) => super::bundles::failed(why),
    }
}
