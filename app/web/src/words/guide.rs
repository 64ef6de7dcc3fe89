//! The guide: what to do first, how a season goes, installing, labels, copies, several devices.

use crate::route::{GuidePart, Page, PullFrom, Walking};

/// One thing to do or know: what, how, and the page where it is done.
pub struct Step {
    pub what: &'static str,
    pub how: &'static str,
    pub at: Option<(Page, &'static str)>,
}

pub const TITLE: &str = "Guide";
pub const TITLE_SAID: &str = "First steps, how a season goes, copies to keep";
pub const FIRST_STEPS: &str = "First steps";
pub const NEXT: &str = "Read on";

pub fn title(part: GuidePart) -> &'static str {
    match part {
        GuidePart::Begin => FIRST_STEPS,
        GuidePart::Season => "How a season goes",
        GuidePart::Young => "From hatching to leaving",
        GuidePart::Labels => "Labels and scanning",
        GuidePart::Install => "On the home screen",
        GuidePart::Copies => "Copies to keep",
        GuidePart::Together => "Several devices",
    }
}

pub fn said(part: GuidePart) -> &'static str {
    match part {
        GuidePart::Begin => "Your barn in the app, step by step",
        GuidePart::Season => "From cooling and pairing to the first pip",
        GuidePart::Young => "Sheds, meals, who is ready, who is on hold",
        GuidePart::Labels => "Print, stick, scan; and when a label is torn",
        GuidePart::Install => "Android, iPhone and iPad, computer",
        GuidePart::Copies => "What survives a lost phone",
        GuidePart::Together => "Helpers and a laptop, without a network",
    }
}

fn step(what: &'static str, how: &'static str) -> Step {
    Step { what, how, at: None }
}

fn at(what: &'static str, how: &'static str, page: Page, name: &'static str) -> Step {
    Step { what, how, at: Some((page, name)) }
}

pub fn steps(part: GuidePart) -> Vec<Step> {
    match part {
        GuidePart::Begin => begin(),
        GuidePart::Season => season(),
        GuidePart::Young => young(),
        GuidePart::Labels => labels(),
        GuidePart::Install => install(),
        GuidePart::Copies => copies(),
        GuidePart::Together => together(),
    }
}

fn begin() -> Vec<Step> {
    vec![
        at(
            "Install the app first",
            "On an iPhone the browser's tab and the home-screen app keep separate records, so begin inside the installed app.",
            Page::GuidePart(GuidePart::Install),
            "How to install",
        ),
        at(
            "Say who you are",
            "Your name shows beside what you do. Choose °C or °F, grams or ounces there too.",
            Page::Settings,
            "Settings",
        ),
        at(
            "Add the incubators",
            "With their shelves and what each is set to. A box on a shelf takes its hatch window from that shelf's temperature.",
            Page::PlaceNew,
            "New place",
        ),
        at(
            "Add racks and enclosures",
            "A rack makes its tubs by itself, as many as you say. An animal can then be found by its tub, and a whole rack fed in one tap.",
            Page::Places,
            "Places",
        ),
        at(
            "Import a spreadsheet",
            "If you have a list of your animals. Nothing is saved before you have seen it.",
            Page::Sheet,
            "Spreadsheet",
        ),
        at(
            "Or add the animals one by one",
            "The breeders first; the rest can come later.",
            Page::AnimalNew,
            "New animal",
        ),
        step(
            "Take their photos",
            "Photos on an animal's page keeps several over time. The newest, or the one you choose, shows beside its name in lists and goes on its papers.",
        ),
        at(
            "Print labels",
            "For enclosures, tubs, shelves and doors now. A box gets its label when its clutch is pulled.",
            Page::PrintLabels,
            "Print labels",
        ),
        at("Make a first bundle", "It is the copy that survives the phone.", Page::Bundles, "Backup and sharing"),
    ]
}

fn season() -> Vec<Step> {
    vec![
        at(
            "Cool those that need it",
            "Many at once: from when to when, how cold, the last meal before. Weights before and after show what each lost.",
            Page::Cooling(None),
            "Cooling",
        ),
        at(
            "See who is ready",
            "By your own rule for each species and sex: age, weight, condition. The others say why.",
            Page::Breeders,
            "Ready to breed",
        ),
        at("Pair", "Note who is put with whom, and each lock you see.", Page::Pairings, "Pairings"),
        step(
            "Note what you see of her",
            "Follicles with their size, ovulation and the shed before laying, with Seen on her page. Her season stands there on one line, with what is expected next; Rounds says when eggs are likely.",
        ),
        at(
            "Pull the clutch",
            "Lift without turning, count good eggs and slugs, choose the shelf. Weigh dry medium and water once if you can: with the closed box's weight, the app says later how much water to add.",
            Page::Pull(PullFrom::Nothing),
            "Pull a clutch",
        ),
        step(
            "Or leave the eggs with her",
            "Pythons lie round their eggs: tick Left with her when you pull the clutch, counted or not. Its window goes by what is read where she lies; Rounds says when to look, and the eggs can be taken over into a box later.",
        ),
        step(
            "Name each possible sire",
            "When you pull the clutch, or later with Edit clutch. Males of earlier seasons stand there with when each was last with her, beside an unknown male and none. What the babies look like says how likely each is.",
        ),
        at(
            "Label the lid",
            "Save, then label prints it. A blank label printed ahead works too: scan it to begin.",
            Page::BlankLabels,
            "Blank labels",
        ),
        at(
            "Do the Rounds every day",
            "Top to bottom, most urgent first: what is done goes from the list, what can wait is put off.",
            Page::Rounds,
            "Rounds",
        ),
        at(
            "Clean the tubs",
            "Say how often, for all or for one species. Rounds then has a row for each rack: cleaned in one tap, but for those you take out.",
            Page::Care,
            "How often",
        ),
        at(
            "Read the thermometers",
            "A reading a day, or logger data, with its humidity if it has that. The hatch window follows the temperature the shelf really had, and says how far it may be off.",
            Page::Places,
            "Places",
        ),
        at(
            "Candle with the camera open",
            "Scan a lid. If all eggs are alike or as last time, one tap notes it and the next lid can be scanned; else open the box and tap each egg.",
            Page::Walk(Walking::Candle),
            "Candle",
        ),
        at(
            "Weigh for water",
            "Put the closed box on the scale; the app says how much to add.",
            Page::Walk(Walking::Water),
            "Water",
        ),
        step(
            "When they pip",
            "Tap the eggs that have. A baby may rest in the opened egg for a day or more: common practice is to leave it. Opening eggs is for someone trained, and the record says who did it and why.",
        ),
        at(
            "Look back",
            "What hatched, what did not, and which shelf, mix or pairing did better, with how sure that is.",
            Page::SeasonPart(crate::route::SeasonPart::Back),
            "Look back",
        ),
    ]
}

fn young() -> Vec<Step> {
    vec![
        step(
            "Hatch out",
            "On the box's page: each baby's weight and tub, and what became of the other eggs. Every egg is accounted for.",
        ),
        at(
            "First sheds and meals",
            "A shed is two taps, a meal too; or feed a whole rack and then mark who refused.",
            Page::Babies(None),
            "Hatchlings",
        ),
        step(
            "Ready to leave",
            "By your own rule for the species: so many meals, sheds, grams. Ready ones come first; the others say why.",
        ),
        at(
            "Waiting list and holds",
            "Who would like what, and who is promised to whom, until when.",
            Page::Wishes,
            "Waiting list and holds",
        ),
        at(
            "Prices, if you write them down",
            "Choose a currency in Settings. Then an animal has a price, a promise its deposit, and More leads to what is for sale, also on paper, and to costs.",
            Page::Settings,
            "Settings",
        ),
        step("Papers", "What goes with an animal prints from its page: hatch date, parents, meals, weights."),
        step(
            "Before it goes",
            "Native, protected, invasive or venomous species fall under local, national and CITES rules. Know yours before you move or sell.",
        ),
    ]
}

fn labels() -> Vec<Step> {
    vec![
        at(
            "Measure your printer once",
            "A ruler page shows how far it shifts and shrinks; labels then land where they should.",
            Page::Printer,
            "Printer",
        ),
        at(
            "Print",
            "One label, many, or all that have none: on label sheets, or as single labels.",
            Page::PrintLabels,
            "Print labels",
        ),
        at(
            "Scan",
            "Hold the label before the camera; its page opens. In the dark use Light, or the Night theme, red on black.",
            Page::Scan,
            "Scan",
        ),
        step(
            "A torn label",
            "Type the code that stands under the square, or find the record by name on Rounds. Then print the label again: the code stays the same.",
        ),
        step(
            "A phone's own camera works too",
            "The code is a link to this app. It opens the record where the app has been opened before.",
        ),
        step(
            "A scanner with a cable",
            "One that types like a keyboard opens the record from any page, while no field waits for typing.",
        ),
        at(
            "Is everything there?",
            "Scan all boxes; the ones not seen are listed.",
            Page::Walk(Walking::Stock),
            "Stock-taking",
        ),
    ]
}

fn install() -> Vec<Step> {
    vec![
        step(
            "Android",
            "Open the app's address in the browser. In the browser's menu choose Install app, or Add to Home screen.",
        ),
        step(
            "iPhone and iPad",
            "Open the address in Safari. Tap Share, then Add to Home Screen. Begin inside the installed app, not in the tab.",
        ),
        step(
            "Computer",
            "In the address bar look for the sign to install; on a Mac in Safari, File, Add to Dock. A bookmark does as well.",
        ),
        step(
            "Then once with a network",
            "Open it and wait a little: it keeps a copy of itself, and says so if that fails. From then on everything works without a network, in the barn too.",
        ),
        at(
            "Ask the browser to keep the records",
            "More says whether it will. A browser short of room may clear what it was not asked to keep.",
            Page::More,
            "More",
        ),
        step("New versions", "The app says when one is ready. Your records stay."),
    ]
}

fn copies() -> Vec<Step> {
    vec![
        at(
            "Make a bundle",
            "One file with all records. Names and addresses of people go into it only if you choose them. Every few days in season; Rounds reminds you kindly.",
            Page::Bundles,
            "Backup and sharing",
        ),
        step(
            "Send it off this device",
            "By mail to yourself, onto a stick, into a folder that is copied elsewhere. A copy on the same phone is lost with it.",
        ),
        step(
            "Lock it",
            "A passphrase makes it unreadable to others. Nobody can open it without: write the passphrase on paper.",
        ),
        step(
            "Try it once",
            "Open the bundle on another device before you need it. What it holds is shown before anything is changed.",
        ),
        step(
            "When the app does not start",
            "The rescue page beside it reads what the browser keeps and gives it out as a bundle. The page that tells of it has the link, and Settings too.",
        ),
    ]
}

fn together() -> Vec<Step> {
    vec![
        at(
            "Begin with one bundle",
            "On the new device: open the bundle of one that has the records. Now both keep the same barn.",
            Page::Bundles,
            "Backup and sharing",
        ),
        step("Each writes on its own", "No network is needed, and nobody waits for anybody."),
        at(
            "Or let them agree by themselves",
            "Where there is a network now and then: through a folder on a server of yours that all devices reach. One code lets another device in.",
            Page::Share,
            "Keep devices in step",
        ),
        at(
            "Or by light",
            "Where there is no network: one device shows codes on its screen, the other looks at them with its camera.",
            Page::Light,
            "By light",
        ),
        step(
            "Swap bundles",
            "In any order, as often as you like, the same one twice too. Devices that have each other's entries hold the same records.",
        ),
        step(
            "When two wrote different things",
            "Rounds shows both, with who and when. Choose one; the other stays in the daybook.",
        ),
        at("Who did what", "The daybook has every entry with its name, and undo.", Page::Daybook, "Daybook"),
        step(
            "People's details stay",
            "Names and addresses of buyers leave a device only when you choose them for a bundle.",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_says_something_and_leads_somewhere() {
        for &part in GuidePart::ALL {
            let steps = steps(part);
            assert!(steps.len() >= 5, "{}", title(part));
            assert!(steps.iter().any(|step| step.at.is_some()), "{}", title(part));
            assert!(steps.iter().all(|step| step.how.ends_with('.') && !step.what.ends_with('.')));
        }
    }
}
