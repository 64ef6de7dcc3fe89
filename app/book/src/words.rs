//! The closed sets of words that fields may hold, each with the text the journal keeps.

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident $(or $other:ident)? { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)* })*) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// All of them, in the order a form offers them.
            pub const ALL: &[$name] = &[$($name::$variant,)*];

            /// The word the journal keeps.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word,)* }
            }

            /// The value of this word, if this version knows it.
            pub fn of(word: &str) -> Option<$name> {
                match word { $($word => Some($name::$variant),)* _ => None }
            }
        }

        impl Word for $name {
            const WORDS: &'static [&'static str] = &[$($word,)*];

            fn of(word: &str) -> Option<Self> {
                $name::of(word)
            }

            fn word(self) -> &'static str {
                $name::word(self)
            }

            $(fn other() -> Option<Self> {
                Some($name::$other)
            })?
        }
    )* };
}

/// A field that holds one of a closed set of words.
pub(crate) trait Word: Copy {
    /// All of them, as the journal keeps them.
    const WORDS: &'static [&'static str];

    fn of(word: &str) -> Option<Self>;

    fn word(self) -> &'static str;

    /// What a word counts as that this version does not know.
    fn other() -> Option<Self> {
        None
    }
}

words! {
    /// What a place is.
    PlaceWhat {
        Room = "room",
        Rack = "rack",
        Slot = "slot",
        Tub = "tub",
        Incubator = "incubator",
        Shelf = "shelf",
    }
    Sex {
        Female = "f",
        Male = "m",
        Unknown = "u",
    }
    /// How an animal came to the barn.
    Came {
        /// Out of an egg here, which is known.
        Egg = "egg",
        /// Out of one of several eggs.
        OneOf = "one_of",
        Bought = "bought",
        Loan = "loan",
        Unknown = "unknown",
    }
    /// How an animal left the barn.
    Went {
        Died = "died",
        Sold = "sold",
        Given = "given",
        Traded = "traded",
        Loaned = "loaned",
        Escaped = "escaped",
        Returned = "returned",
    }
    AnimalEventWhat {
        Weight = "weight",
        Shed = "shed",
        Ovulation = "ovulation",
        PreLayShed = "pre_lay_shed",
        LayBox = "lay_box",
        Note = "note",
        Treatment = "treatment",
        Straining = "straining",
        /// Felt for or seen by ultrasound, also where none were.
        Follicles = "follicles",
    }
    /// How follicles were looked for.
    LookedAs {
        Palpated = "palpated",
        Ultrasound = "ultrasound",
    }
    Side {
        Left = "left",
        Right = "right",
    }
    /// How a shell was opened by hand.
    OpenedAs {
        /// A piece of shell taken off above the air, to look in; the egg lies on.
        Window = "window",
        /// A slit to come out by.
        Slit = "slit",
    }
    /// How the skin came off.
    ShedAs {
        Whole = "whole",
        Pieces = "pieces",
        /// Some of it stayed on.
        Stuck = "stuck",
    }
    MealOutcome {
        Eaten = "eaten",
        Refused = "refused",
        Regurgitated = "regurgitated",
    }
    /// How a clutch came to the barn.
    ClutchCame {
        Laid = "laid",
        Bought = "bought",
    }
    /// What an egg was when laid.
    LaidAs {
        /// Shelled, full, white; not proven fertile.
        Good = "good",
        /// Full size, infertile.
        Dud = "dud",
        /// Undeveloped.
        Slug = "slug",
    }
    /// How an egg's story ended. An egg without a fate is still in; one with a fate of a newer version is not.
    Fate or Unknown {
        Hatched = "hatched",
        Died = "died",
        FullTermDead = "full_term_dead",
        Removed = "removed",
        Sold = "sold",
        Lost = "lost",
        Eaten = "eaten",
        Unknown = "unknown",
    }
    /// How the medium was made damp.
    Mix {
        /// Dry medium and water, both weighed.
        Mass = "mass",
        Volume = "volume",
        Premix = "premix",
        /// No medium.
        None = "none",
        Unknown = "unknown",
    }
    /// What a light through the shell showed.
    Seen {
        Veins = "veins",
        Unsure = "unsure",
        Clear = "clear",
        Dented = "dented",
        Mouldy = "mouldy",
        /// Normal in a late egg.
        Dark = "dark",
        Dead = "dead",
    }
    /// The three steps of a hatching. A cut egg is not a pip.
    Step {
        Pip = "pipped",
        Cut = "cut",
        Out = "out",
    }
    /// How a trait is inherited.
    TraitMode {
        Recessive = "recessive",
        IncompleteDominant = "incomplete_dominant",
        Dominant = "dominant",
    }
    /// Where a trait's locus lies.
    TraitOn {
        Autosome = "autosome",
        /// Females have one copy.
        Z = "z",
        /// Males have one copy.
        X = "x",
    }
    /// How two traits of one locus show together.
    Together {
        /// As a look of its own.
        Both = "both",
        /// As the trait whose locus it is.
        First = "first",
        /// As this one.
        This = "this",
    }
    /// How far a trait is seen in an animal.
    TraitSeen {
        No = "no",
        Shows = "shows",
        /// As animals with two copies of an incomplete dominant look.
        Two = "two",
    }
    /// What is known of a trait in an animal beyond its look.
    TraitKnown {
        Het = "het",
        Possible = "possible",
        Homozygous = "homozygous",
        Carries = "carries",
        Not = "not",
    }
}
impl AnimalEventWhat {
    /// Whether a skin came off: hers before laying too.
    pub fn is_shed(self) -> bool {
        matches!(self, Self::Shed | Self::PreLayShed)
    }

    /// Whether it tells when a female lays.
    pub(crate) fn tells_laying(self) -> bool {
        matches!(self, Self::Ovulation | Self::PreLayShed | Self::LayBox | Self::Straining | Self::Follicles)
    }
}
