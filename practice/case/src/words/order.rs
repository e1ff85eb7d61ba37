//! What an order tells the laboratory beside the plan, and what the laboratory answers.

use catalogue::words;

words! {
    /// Surface texture.
    Texture {
        /// Smooth.
        Smooth = "smooth", "smooth";
        /// A little relief.
        Light = "light", "light";
        /// Strong relief.
        Marked = "marked", "marked";
    }
}

words! {
    /// Lustre.
    Lustre {
        /// Low.
        Matt = "matt", "matt";
        /// In the middle.
        Silk = "silk", "silk";
        /// High.
        High = "high", "high";
    }
}

words! {
    /// Form of a pontic where it meets the gum.
    PonticForm {
        /// Rounded into a shaped hollow of the gum.
        Ovate = "ovate", "ovate";
        /// Touches the ridge on the facial side only.
        ModifiedRidgeLap = "modified_ridge_lap", "modified ridge lap";
        /// Touches the top of the ridge at a point.
        Conical = "conical", "conical";
        /// Stands off the ridge.
        Hygienic = "hygienic", "hygienic, off the ridge";
    }
}

words! {
    /// Proximal contacts wanted.
    Contacts {
        /// A strip is just held.
        Light = "light", "light: shim stock just held";
        /// A strip is held firmly.
        Firm = "firm", "firm: shim stock held, floss snaps through";
        /// Left open.
        Open = "open", "open";
    }
}

words! {
    /// Form of the edge.
    MarginDesign {
        /// Ceramic to the edge.
        Ceramic = "ceramic", "ceramic to the edge";
        /// Porcelain to the edge over metal cut back.
        PorcelainButt = "porcelain_butt", "porcelain to the edge";
        /// A metal collar all round.
        MetalCollar = "metal_collar", "metal collar";
        /// A metal collar on the tongue side only.
        LingualCollar = "lingual_collar", "metal collar on the tongue side";
        /// Metal to the edge.
        Metal = "metal", "metal to the edge";
    }
}

words! {
    /// Finish of the surfaces that bite.
    Finish {
        /// Polished.
        Polished = "polished", "polished";
        /// Glazed.
        Glazed = "glazed", "glazed";
    }
}

words! {
    /// Cement planned.
    Cement {
        /// Resin with its own adhesive.
        AdhesiveResin = "adhesive_resin", "adhesive resin";
        /// Self-adhesive resin.
        SelfAdhesiveResin = "self_adhesive_resin", "self-adhesive resin";
        /// Resin-modified glass ionomer.
        ResinModifiedGlassIonomer = "resin_modified_glass_ionomer", "resin-modified glass ionomer";
        /// Glass ionomer.
        GlassIonomer = "glass_ionomer", "glass ionomer";
        /// Zinc phosphate.
        ZincPhosphate = "zinc_phosphate", "zinc phosphate";
        /// Held by a screw.
        Screwed = "screwed", "none: screwed";
    }
}

words! {
    /// Class of alloy.
    Alloy {
        /// High noble.
        HighNoble = "high_noble", "high noble";
        /// Noble.
        Noble = "noble", "noble";
        /// Base metal.
        Base = "base", "base metal";
        /// Titanium.
        Titanium = "titanium", "titanium";
    }
}

words! {
    /// What the laboratory answers.
    ReplyAnswer {
        /// Makes it as ordered.
        Accepted = "accepted", "accepted";
        /// Asks before it begins.
        Asks = "asks", "asks";
        /// Makes something else than ordered.
        Deviates = "deviates", "deviates";
    }
}

words! {
    /// What the laboratory has done to the fitting surface.
    Treated {
        /// Nothing.
        Nothing = "nothing", "nothing";
        /// Etched.
        Etched = "etched", "etched";
        /// Air-abraded.
        Abraded = "abraded", "air-abraded";
    }
}
