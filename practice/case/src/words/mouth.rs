//! What is said of the patient and the bite.

use catalogue::words;

words! {
    /// Age in bands.
    AgeBand {
        /// Under 18.
        Under18 = "under_18", "under 18";
        /// 18 to 29.
        From18 = "18_29", "18 to 29";
        /// 30 to 44.
        From30 = "30_44", "30 to 44";
        /// 45 to 59.
        From45 = "45_59", "45 to 59";
        /// 60 to 74.
        From60 = "60_74", "60 to 74";
        /// 75 or older.
        From75 = "75_or_older", "75 or older";
    }
}

words! {
    /// Grinding or clenching.
    Grinding {
        /// No sign.
        Nothing = "none", "none";
        /// Reported or hinted at by wear.
        Suspected = "suspected", "suspected";
        /// Seen.
        Evident = "evident", "evident";
    }
}

words! {
    /// What the restoration bites on.
    Opposing {
        /// A natural tooth.
        Enamel = "enamel", "enamel";
        /// Ceramic.
        Ceramic = "ceramic", "ceramic";
        /// Metal.
        Metal = "metal", "metal";
        /// Resin composite.
        Composite = "composite", "composite";
        /// A removable denture.
        Denture = "denture", "removable denture";
        /// A crown or bridge on implants.
        Implant = "implant", "implant-borne";
        /// Nothing.
        Nothing = "none", "nothing";
    }
}

words! {
    /// Whether the field can be kept dry while cementing.
    DryField {
        /// Easily.
        Yes = "yes", "yes";
        /// With effort.
        WithDifficulty = "with_difficulty", "with difficulty";
        /// Not at all.
        No = "no", "no";
    }
}

words! {
    /// How much of the restoration is seen.
    Visible {
        /// Not in talking or laughing.
        No = "no", "no";
        /// In laughing.
        ALittle = "a_little", "a little";
        /// Gum and all.
        HighSmileLine = "high_smile_line", "high smile line";
    }
}

words! {
    /// What the patient reacts to.
    Allergen {
        /// Nickel.
        Nickel = "nickel", "nickel";
        /// Cobalt.
        Cobalt = "cobalt", "cobalt";
        /// Chromium.
        Chromium = "chromium", "chromium";
        /// Palladium.
        Palladium = "palladium", "palladium";
        /// Gold.
        Gold = "gold", "gold";
        /// Titanium.
        Titanium = "titanium", "titanium";
        /// A metal not named.
        AnyMetal = "metal", "a metal not named";
        /// Methacrylates, as in resin cements.
        Methacrylate = "methacrylate", "methacrylate";
    }
}

impl Allergen {
    /// True for metals.
    pub fn is_metal(self) -> bool {
        self != Self::Methacrylate
    }
}

words! {
    /// Risk in three steps.
    Risk {
        /// Low.
        Low = "low", "low";
        /// In the middle.
        Middle = "middle", "middle";
        /// High.
        High = "high", "high";
    }
}

words! {
    /// What guides the jaw sideways.
    Guidance {
        /// The canines.
        Canine = "canine", "canine";
        /// Several teeth of the working side.
        Group = "group", "group";
        /// This restoration itself.
        Restoration = "restoration", "the restoration itself";
        /// Nothing holds: open bite.
        Nothing = "none", "none";
    }
}

words! {
    /// Vertical dimension of the bite.
    VerticalDimension {
        /// Stays.
        Kept = "kept", "kept";
        /// Is changed.
        Changed = "changed", "changed";
    }
}
