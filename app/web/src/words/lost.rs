//! What a finder of this device can read and do, and the passphrase on people's details.

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
pub const AFTER_BUNDLES: &str = "Tell everybody in the barn: take in no bundle that comes from it after that day. The other devices carry on with all they had from it. What was taken in too late can be set aside on their page Bundles, which brings back what was before.";
pub const AFTER_NEW: &str =
    "On a new phone, take in a bundle from another device. It logs as a device of its own from then on.";
pub const SHARED: &str = "Same web address";
pub const SHARED_SAID: &str = "Other pages of the same web address share this storage and could read all of it. Use the app from an address of its own, or from one where you trust every page.";
