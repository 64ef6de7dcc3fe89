//! A starter set of traits that are well known in the trade, each with its mode and where that comes from. All of it is
//! the keeper's to change, hide or add to. A mode says how a trait is inherited, not whether it is fit to be bred.

use super::{Mode, On};

/// A shipped trait: one allele beside the normal one, at a locus of its own or of another trait.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trait {
    /// Stable text the records hold.
    pub key: &'static str,
    /// Key of a species profile.
    pub species: &'static str,
    pub name: &'static str,
    pub mode: Mode,
    /// What the look of two copies is called, of an incomplete dominant.
    pub two: &'static str,
    /// Two copies do not live.
    pub unviable: bool,
    pub on: On,
    /// The trait whose locus it shares, and how the two show together.
    pub locus_of: Option<(&'static str, Together)>,
    /// Where the mode comes from. Empty: common practice, no source.
    pub source: &'static str,
}

/// How two traits of one locus show in an animal with a copy of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Together {
    /// A look of its own, called so.
    Called(&'static str),
    /// As the trait whose locus it is.
    AsFirst,
}

const fn recessive(key: &'static str, species: &'static str, name: &'static str, source: &'static str) -> Trait {
    let (mode, on) = (Mode::Recessive, On::Autosome);
    Trait { key, species, name, mode, two: "", unviable: false, on, locus_of: None, source }
}

const fn dominant(key: &'static str, species: &'static str, name: &'static str, source: &'static str) -> Trait {
    Trait { mode: Mode::Dominant, ..recessive(key, species, name, source) }
}

const fn incomplete(key: &'static str, species: &'static str, name: &'static str, two: &'static str) -> Trait {
    Trait { mode: Mode::IncompleteDominant, two, ..recessive(key, species, name, "") }
}

const CORN: &str = "pantherophis-guttatus";
const RAT: &str = "pantherophis-obsoletus";
const CALIFORNIA: &str = "lampropeltis-californiae";
const EASTERN: &str = "lampropeltis-getula";
const FLORIDA: &str = "lampropeltis-floridana";
const HONDURAN: &str = "lampropeltis-hondurensis";
const PUEBLAN: &str = "lampropeltis-campbelli";
const HOGNOSE: &str = "heterodon-nasicus";
const BALL: &str = "python-regius";

const BECHTEL_CORN: &str = "Bechtel & Bechtel 1989, J. Heredity 80:272";
/// 29 matings; it also found a second albino locus, which a keeper of that line adds.
const BECHTEL_RAT: &str = "Bechtel & Bechtel 1985, J. Heredity 76:7";

/// All of them, species by species.
pub const TRAITS: &[Trait] = &[
    recessive("corn-amelanistic", CORN, "amelanistic", BECHTEL_CORN),
    Trait {
        locus_of: Some(("corn-amelanistic", Together::Called("ultramel"))),
        ..recessive("corn-ultra", CORN, "ultra", "")
    },
    recessive("corn-anerythristic", CORN, "anerythristic", BECHTEL_CORN),
    recessive("corn-charcoal", CORN, "charcoal", ""),
    recessive("corn-caramel", CORN, "caramel", ""),
    recessive("corn-hypomelanistic", CORN, "hypomelanistic", ""),
    recessive("corn-lavender", CORN, "lavender", "Ullate-Agote et al. 2020, PNAS 117:26307"),
    recessive("corn-diffused", CORN, "diffused", ""),
    recessive("corn-motley", CORN, "motley", ""),
    Trait { locus_of: Some(("corn-motley", Together::AsFirst)), ..recessive("corn-striped", CORN, "striped", "") },
    dominant("corn-tessera", CORN, "tessera", ""),
    recessive("rat-albino", RAT, "albino", BECHTEL_RAT),
    recessive("rat-leucistic", RAT, "leucistic", BECHTEL_RAT),
    recessive("rat-brindle", RAT, "brindle", BECHTEL_RAT),
    recessive("california-albino", CALIFORNIA, "albino", ""),
    recessive("california-lavender", CALIFORNIA, "lavender", ""),
    dominant("california-striped", CALIFORNIA, "striped", "Zweifel 1981, J. Heredity 72:238"),
    recessive("eastern-albino", EASTERN, "albino", ""),
    recessive("florida-hypomelanistic", FLORIDA, "hypomelanistic", ""),
    recessive("honduran-albino", HONDURAN, "albino", ""),
    recessive("honduran-anerythristic", HONDURAN, "anerythristic", ""),
    recessive("honduran-hypomelanistic", HONDURAN, "hypomelanistic", ""),
    recessive("pueblan-albino", PUEBLAN, "albino", ""),
    recessive("hognose-albino", HOGNOSE, "albino", ""),
    recessive("hognose-axanthic", HOGNOSE, "axanthic", ""),
    recessive("hognose-toffee", HOGNOSE, "toffee", ""),
    incomplete("hognose-arctic", HOGNOSE, "arctic", "super arctic"),
    incomplete("hognose-conda", HOGNOSE, "anaconda", "superconda"),
    recessive("ball-albino", BALL, "albino", "Brown et al. 2022, PLoS ONE 17:e0276376"),
    recessive("ball-pied", BALL, "pied", "Garcia-Elfring et al. 2023, Current Biology 33:755"),
    recessive("ball-clown", BALL, "clown", ""),
    incomplete("ball-pastel", BALL, "pastel", "super pastel"),
    dominant("ball-pinstripe", BALL, "pinstripe", ""),
    Trait { unviable: true, ..dominant("ball-spider", BALL, "spider", "") },
];

impl Trait {
    /// The shipped trait of a key.
    pub fn find(key: &str) -> Option<&'static Trait> {
        TRAITS.iter().find(|shipped| shipped.key == key)
    }
}
