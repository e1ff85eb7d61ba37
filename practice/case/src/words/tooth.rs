//! What is said of one tooth and of what lies beneath.

use catalogue::words;

words! {
    /// State of the pulp.
    Pulp {
        /// Responds normally.
        Vital = "vital", "vital";
        /// Irreversibly inflamed.
        Irreversible = "irreversible", "irreversibly inflamed";
        /// Dead, not treated.
        Necrotic = "necrotic", "necrotic";
        /// Root canal filled.
        RootFilled = "root_filled", "root-filled";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

words! {
    /// State of the root end on the radiograph.
    Apical {
        /// No finding.
        Sound = "sound", "sound";
        /// A lesion that is getting smaller after treatment.
        Healing = "healing", "healing";
        /// A lesion that is not known to heal.
        Lesion = "lesion", "lesion";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

words! {
    /// What lies beneath the restoration and shows through it.
    Substrate {
        /// Dentine of ordinary colour.
        Dentine = "dentine", "dentine";
        /// Dark dentine: root-filled, stained.
        DiscolouredDentine = "discoloured_dentine", "discoloured dentine";
        /// Cast post and core, or another metal core.
        MetalPost = "cast_post", "cast post or metal core";
        /// Fibre post with a composite core.
        FibrePost = "fibre_post", "fibre post";
        /// Composite core.
        CompositeCore = "composite_core", "composite core";
        /// Amalgam core.
        AmalgamCore = "amalgam_core", "amalgam core";
        /// Glass ionomer core.
        GlassIonomerCore = "glass_ionomer_core", "glass ionomer core";
        /// Titanium abutment on an implant.
        TitaniumAbutment = "titanium_abutment", "titanium abutment";
        /// Zirconia abutment on an implant.
        ZirconiaAbutment = "zirconia_abutment", "zirconia abutment";
        /// Abutment of a gold alloy on an implant.
        GoldAbutment = "gold_abutment", "gold alloy abutment";
        /// Asked, and not known.
        Unknown = "unknown", "not known";
    }
}

impl Substrate {
    /// True for what is screwed to an implant.
    pub fn is_implant_abutment(self) -> bool {
        matches!(self, Self::TitaniumAbutment | Self::ZirconiaAbutment | Self::GoldAbutment)
    }

    /// True for metals: light does not pass, and the colour is that of its surface.
    pub fn is_metal(self) -> bool {
        matches!(self, Self::MetalPost | Self::AmalgamCore | Self::TitaniumAbutment | Self::GoldAbutment)
    }
}

words! {
    /// Dentine above the finish line, in steps.
    FerruleStep {
        /// None.
        Nothing = "none", "none";
        /// About one millimetre.
        AboutOne = "1mm", "about 1 mm";
        /// Two millimetres or more.
        TwoOrMore = "2mm_or_more", "2 mm or more";
    }
}

words! {
    /// How much of the crown is filling.
    Filled {
        /// No filling.
        Sound = "sound", "sound";
        /// Small or middling fillings.
        Small = "small", "small filling";
        /// Little but filling.
        Heavily = "heavily_filled", "heavily filled";
    }
}

words! {
    /// Cracks, shallowest first.
    Cracks {
        /// None seen.
        Nothing = "none", "none";
        /// In enamel only.
        Enamel = "enamel", "in enamel";
        /// Into dentine, no symptoms on biting.
        Dentine = "dentine", "into dentine";
        /// Pain on biting or release.
        Symptomatic = "pain_on_biting", "with pain on biting";
        /// Through the floor or down the root: the parts move.
        Split = "split", "split tooth or root";
    }
}

words! {
    /// Bone that carries the tooth.
    Bone {
        /// Full height.
        Full = "full", "full height";
        /// About a third lost.
        ThirdLost = "third_lost", "about a third lost";
        /// Half or more lost.
        HalfLost = "half_lost", "half or more lost";
    }
}

words! {
    /// The finish line against the gum.
    Margin {
        /// Above it.
        Above = "above", "above the gum";
        /// Level with it.
        At = "at", "level with the gum";
        /// Below it.
        Below = "below", "below the gum";
    }
}

words! {
    /// How an implant crown is held.
    Fixing {
        /// By a screw.
        Screw = "screw", "screw";
        /// By cement.
        Cement = "cement", "cement";
    }
}
