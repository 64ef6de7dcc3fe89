//! More, Settings, and the demonstration season.

pub const RECORDS: &str = "Records and this device";
pub const MORE: &str = "More";
pub const PAIRINGS: &str = "Pairings";
pub const PAIRINGS_SAID: &str = "Who is with whom, who is expecting eggs, who is ready to pair again or to breed";
pub const WHERE_IS: &str = "What is where";
pub const WHERE_IS_SAID: &str = "Tubs and shelves at a glance, free ones too";
pub const BABIES: &str = "Hatchlings";
pub const BABIES_SAID: &str = "From hatching to leaving: sheds, meals, who is ready";
pub const WISHES: &str = "Waiting list and holds";
pub const WISHES_SAID: &str = "Who would like what, and what is held";
pub const AHEAD: &str = "The days ahead";
pub const AHEAD_SAID: &str = "What comes due this week, and a calendar file";
pub const PLACES: &str = "Places";
pub const PLACES_SAID: &str = "Incubators, shelves, racks, tubs";
pub const DAYBOOK: &str = "Daybook";
pub const DAYBOOK_SAID: &str = "Everything done, newest first, with undo";
pub const BUNDLES: &str = "Backup and sharing";
pub const BUNDLES_SAID: &str = "Records to and from other devices, and copies to keep";
pub const BLANK_LABELS: &str = "Blank labels";
pub const BLANK_LABELS_SAID: &str = "Print them ahead, scan one to begin";
pub const SETTINGS: &str = "Settings";
pub const SETTINGS_SAID: &str = "Your name, theme, units, labels";

pub const KEPT: &str = "Records on this device";
pub const KEPT_ASKING: &str = "Asking the browser…";
pub const KEPT_YES: &str = "The browser keeps them until you remove them.";
pub const KEPT_NO: &str =
    "The browser may clear them when the device runs short of room. Put the app on the home screen, then ask again.";
pub const KEPT_UNKNOWN: &str =
    "This browser does not say whether it keeps them. Put the app on the home screen, and open it now and then.";
pub const KEPT_ASK: &str = "Ask to keep them";

pub const CAUTIONS: &str = "Cautions";
pub const CAUTION_HANDS: &str = "Wash your hands: reptiles, their eggs' medium and their tubs can carry Salmonella.";
pub const CAUTION_TRAINED: &str =
    "Medicines, sexing by probe or popping, and cutting eggs: only by or with someone trained.";
pub const CAUTION_PERMITS: &str = "Native, protected, invasive or venomous species fall under local, national and CITES rules. Know yours before you keep, move or sell.";
pub const CAUTION_GUIDANCE: &str =
    "Figures here are guidance. Local codes, a licensed veterinarian, and the animal in front of you overrule them.";

pub const ABOUT: &str = "About";
pub const ABOUT_TEXT: &str = "Candlemark is a pocket record and planning tool for people who hatch reptile eggs. It works without a network, and nothing of yours leaves this device unless you send it.";

pub const LICENCES: &str = "Licences of Candlemark and of all it is made with";
/// Made by the build, beside the app.
pub const LICENCES_HREF: &str = "./licences.html";

pub fn version(version: &str) -> String {
    format!("Version {version}")
}

pub const NAME: &str = "Your name";
pub const NAME_HINT: &str = "Shows beside what you do, here and on the other devices.";
pub const SAVE_NAME: &str = "Save name";
pub const SAVED_NAME: &str = "Name saved.";
pub const WHO: &str = "Who is logging here?";

pub fn now_logging(name: &str) -> String {
    format!("From now on {name} is written beside what is done on this device.")
}

pub const THEME: &str = "Theme";
pub const THEME_SYSTEM: &str = "Match phone";
pub const THEME_PAPER: &str = "Paper";
pub const THEME_BARN: &str = "Barn";
pub const THEME_NIGHT: &str = "Night";
pub const TEMPERATURE: &str = "Temperature";
pub const MASS: &str = "Weight";
pub const SOUND: &str = "Sound when a label is read";
pub const ON: &str = "On";
pub const OFF: &str = "Off";
pub const PRINT_LABELS: &str = "Print labels";
pub const PRINT_LABELS_SAID: &str = "Boxes, enclosures, baby tubs, places: one, many, or all without one";
pub const LABEL: &str = "Labels and papers";
pub const LABEL_ADDRESS: &str = "Address in the printed code";
pub const LABEL_ADDRESS_HINT: &str =
    "Leave it empty to use the address the app is open at now. Labels printed before keep theirs.";
pub const BREEDER: &str = "Breeder, on an animal's papers";
pub const BREEDER_HINT: &str = "Your name and how to reach you, as a buyer is to read it. It stays on this device.";
pub const LABEL_ADDRESS_BAD: &str = "An address begins with https:// and holds no spaces.";

pub const RESCUE_SAID: &str = "For when the app no longer starts, or says that records are damaged:";

pub const LOAD_DEMO: &str = "Load the Alder Lane season";
pub const LOADING_DEMO: &str = "Loading the Alder Lane season…";
pub const DEMO_SAID: &str =
    "An invented barn in full season, kept apart from your own records. Remove it with one tap.";

pub fn demo_failed(why: &str) -> String {
    format!("{why} Your own records are untouched.")
}

pub fn leaving_failed(why: &str) -> String {
    format!("The season could not be removed. {why}")
}

pub const LEAVING_DEMO: &str = "Removing the Alder Lane season…";
