//! Pieces that several views share: parents, and eggs as they lie.

use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::*;
use trade::when::When;

/// What may be the sire of a clutch besides males with a name.
pub(super) const UNKNOWN_MALE: &str = "unknown male";
pub(super) const NO_MALE: &str = "no male";

/// Candidate dams and sires by name; empty when unknown, more than one when it is not known which.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parents {
    pub dams: Vec<(AnimalId, String)>,
    pub sires: Vec<(AnimalId, String)>,
    /// Besides the males named, a male nobody knows.
    pub unknown_male: bool,
    /// Besides, no male at all.
    pub no_male: bool,
}

impl Parents {
    /// By name; empty when nobody is known.
    pub fn dam_names(&self) -> Vec<String> {
        self.dams.iter().map(|(_, name)| name.clone()).collect()
    }

    /// All that is possible, in words; empty when nothing is known.
    pub fn sire_names(&self) -> Vec<String> {
        let named = self.sires.iter().map(|(_, name)| name.as_str());
        let besides = [(self.unknown_male, UNKNOWN_MALE), (self.no_male, NO_MALE)];
        let besides = besides.into_iter().filter_map(|(possible, said)| possible.then_some(said));
        named.chain(besides).map(str::to_owned).collect()
    }
}

/// The parents of a clutch, of all its records together.
pub fn parents(book: &Book, clutch: &ClutchId) -> Parents {
    let mut parents = Parents::default();
    for clutch in book.same_clutch(clutch) {
        parents.unknown_male |= clutch.unknown_male;
        parents.no_male |= clutch.no_male;
        for (ids, named) in [(&clutch.dams, &mut parents.dams), (&clutch.sires, &mut parents.sires)] {
            for id in ids {
                if !named.iter().any(|(known, _)| known == id) {
                    named.push((id.clone(), book.animal_name(id)));
                }
            }
        }
    }
    parents
}

/// What an egg is drawn as: the last that is known of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TrayState {
    /// Never looked at.
    Laid(LaidAs),
    Seen(Seen),
    Pipped,
    Cut,
    /// Hatched.
    Out,
    /// Its story ended otherwise.
    Gone(Fate),
}

/// An egg as it lies in a box.
#[derive(Clone, Debug, PartialEq)]
pub struct TrayEgg {
    pub id: EggId,
    pub letter: String,
    pub clutch: Option<ClutchId>,
    /// Eggs of one clutch with the same number are stuck together.
    pub clump: Option<i64>,
    pub laid_as: Option<LaidAs>,
    pub seen: Option<Seen>,
    pub pipped: Option<When>,
    pub cut: Option<When>,
    pub out: Option<When>,
    pub fate: Option<Fate>,
    pub fate_why: Option<String>,
    pub state: TrayState,
    /// Without a fate: it may be candled, pip, hatch.
    pub is_in: bool,
}

pub(super) fn tray_egg(book: &Book, egg: &Egg) -> TrayEgg {
    let seen = book.last_seen(&egg.id).map(|(seen, _)| seen);
    let steps = book.steps(&egg.id);
    let (pipped, cut, out) = (steps.pip.map(|h| h.when), steps.cut.map(|h| h.when), steps.out.map(|h| h.when));
    let state = match egg.fate {
        Some(Fate::Hatched) => TrayState::Out,
        Some(fate) => TrayState::Gone(fate),
        None if out.is_some() => TrayState::Out,
        None if cut.is_some() => TrayState::Cut,
        None if pipped.is_some() => TrayState::Pipped,
        None => seen.map_or(TrayState::Laid(egg.laid_as.unwrap_or(LaidAs::Good)), TrayState::Seen),
    };
    TrayEgg {
        id: egg.id.clone(),
        letter: egg.letter.clone().unwrap_or_else(|| "?".to_owned()),
        clutch: egg.clutch.clone(),
        clump: egg.clump,
        laid_as: egg.laid_as,
        seen,
        pipped: pipped.flatten(),
        cut: cut.flatten(),
        out: out.flatten(),
        fate: egg.fate,
        fate_why: egg.fate_why.clone(),
        state,
        is_in: egg.fate.is_none(),
    }
}

/// The tray of a box: eggs last set in it, by clutch, then letter.
pub fn tray_eggs(book: &Book, filling: &FillingId) -> Vec<TrayEgg> {
    book.tray(filling).into_iter().map(|egg| tray_egg(book, egg)).collect()
}

/// The tray as eggs are told to pip or to be out: every egg where it lies, whatever was told of the others before, and
/// whether `step` may still be told of it. A slug or an egg whose story has ended keeps its place.
pub fn hatching_tray(book: &Book, filling: &FillingId, step: Step) -> Vec<(TrayEgg, bool)> {
    let waits = |egg: &TrayEgg| {
        let told = match step {
            Step::Pip => egg.pipped.is_some() || egg.out.is_some() || book.did(&egg.id, Step::Pip).is_some(),
            Step::Cut => book.did(&egg.id, Step::Cut).is_some(),
            Step::Out => egg.out.is_some(),
        };
        egg.is_in && !told && egg.laid_as != Some(LaidAs::Slug)
    };
    tray_eggs(book, filling).into_iter().map(|egg| (egg.clone(), waits(&egg))).collect()
}
