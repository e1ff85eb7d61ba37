//! One tooth that carries.

use super::{Field, Kind, READING, SHARE, Sheet, SheetAnswer, Taken, choices, degrees, millimetres, number};
use crate::words::{Apical, Bone, Cracks, FerruleStep, Filled, Margin, Pulp, Substrate};
use answer::{Basis, Unit};

const FERRULE: Kind =
    Kind::ChoiceOrNumber { choices: choices!(FerruleStep), low: 0.0, high: 8.0, whole: false, unit: Unit::Millimetres };

/// A place in the scan's own frame.
const PLACE: &[Field] = &[
    Field::new("x", number(-1000.0, 1000.0), "First coordinate, mm?", "the scan is cut to the tooth", "12.0")
        .required(),
    Field::new("y", number(-1000.0, 1000.0), "Second coordinate, mm?", "the scan is cut to the tooth", "-4.0")
        .required(),
    Field::new("z", number(-1000.0, 1000.0), "Third coordinate, mm?", "the scan is cut to the tooth", "3.0").required(),
];

/// A sound tooth and its size.
const NEIGHBOUR: &[Field] = &[
    Field::new(
        "tooth",
        Kind::Tooth,
        "Which sound tooth, best the same one of the other side?",
        "the outer form is scaled to it",
        "26",
    )
    .required(),
    Field::new(
        "crown_mm",
        millimetres(2.0, 16.0),
        "How high does its crown stand?",
        "what wear took need not be cut again",
        "7.5",
    ),
    Field::new(
        "width_mm",
        millimetres(3.0, 15.0),
        "How wide is it between its contacts?",
        "the outer form is scaled to it",
        "10.4",
    ),
];

pub(super) const ABUTMENT: &[Field] = &[
    Field::new("tooth", Kind::Tooth, "Which tooth?", "ties the answers to the restoration", "36").required(),
    Field::new("prepared", Kind::YesNo, "Is it prepared already?", "what can still be changed", "false")
        .else_words("as the moment says"),
    Field::new(
        "pulp",
        Kind::Choice(choices!(Pulp)),
        "How is the pulp?",
        "a dead or dying pulp is treated first",
        "\"vital\"",
    )
    .must(SheetAnswer::Pulp)
    .else_anything(),
    Field::new(
        "apical",
        Kind::Choice(choices!(Apical)),
        "How is the root end on the radiograph?",
        "a lesion is treated first",
        "\"sound\"",
    )
    .must(SheetAnswer::Pulp)
    .else_anything(),
    Field::new(
        "substrate",
        Kind::Choice(choices!(Substrate)),
        "What lies beneath?",
        "it shows through, and it holds or does not",
        "\"dentine\"",
    )
    .must(SheetAnswer::Beneath)
    .else_words("any substrate, dark grey among them"),
    Field::new(
        "walls",
        Kind::Whole { low: 0, high: 4 },
        "How many walls of dentine are left?",
        "hold, and whether the tooth deserves it",
        "3",
    )
    .must(SheetAnswer::Walls)
    .else_anything(),
    Field::new(
        "ferrule",
        FERRULE,
        "How much dentine stands above the finish line?",
        "a tooth without it breaks",
        "\"2mm_or_more\"",
    )
    .must(SheetAnswer::Walls)
    .else_anything(),
    Field::new(
        "filled",
        Kind::Choice(choices!(Filled)),
        "How much of the crown is filling?",
        "a wing needs enamel; a vital tooth needs walls",
        "\"small\"",
    )
    .must(SheetAnswer::Support)
    .only(&[Sheet::ResinBonded])
    .else_anything(),
    Field::new(
        "enamel_share",
        SHARE,
        "What share of the surface to be bonded is enamel?",
        "wings hold on enamel",
        "0.9",
    )
    .only(Sheet::TEETH)
    .else_anything(),
    Field::new(
        "cracks",
        Kind::Choice(choices!(Cracks)),
        "Are there cracks?",
        "whether the tooth deserves it",
        "\"none\"",
    )
    .else_words("none"),
    Field::new(
        "mobility",
        Kind::Whole { low: 0, high: 3 },
        "How mobile is it (grade 0 to 3)?",
        "load of a bridge, hold of a wing",
        "0",
    )
    .must(SheetAnswer::Support)
    .only(Sheet::GAPS)
    .else_anything(),
    Field::new("bone", Kind::Choice(choices!(Bone)), "How much bone carries it?", "load of a bridge", "\"full\"")
        .must(SheetAnswer::Support)
        .only(Sheet::GAPS)
        .else_anything(),
    Field::new(
        "tilt_degrees",
        degrees(0.0, 60.0),
        "How far does it lean against the path of placement?",
        "more is cut, the pulp is nearer",
        "5",
    )
    .must(SheetAnswer::Support)
    .only(Sheet::GAPS)
    .otherwise(Taken::Range { low: 0.0, high: 20.0 }, Basis::CommonPractice, ""),
    Field::new(
        "recession_mm",
        millimetres(0.0, 15.0),
        "How far has the gum receded?",
        "dark margins show, roots are narrower",
        "0",
    )
    .else_words("none"),
    Field::new(
        "margin",
        Kind::Choice(choices!(Margin)),
        "Where does the finish line lie against the gum?",
        "dry cementing, caries at the margin",
        "\"at\"",
    )
    .must(SheetAnswer::Dry)
    .else_anything(),
    Field::new(
        "wall_mm",
        millimetres(0.0, 12.0),
        "How high is the prepared wall, or will it be?",
        "hold by form",
        "4.0",
    )
    .otherwise(Taken::Range { low: 1.9, high: 5.3 }, Basis::Read, "tiu2015"),
    Field::new(
        "crown_mm",
        millimetres(0.0, 16.0),
        "How high is the clinical crown?",
        "wall left after preparation",
        "7.5",
    )
    .otherwise(Taken::Words("average crown of the tooth"), Basis::Read, "ash_nelson"),
    Field::new(
        "dentine_mm",
        millimetres(0.0, 8.0),
        "How much dentine covers the pulp at the nearest place (radiograph)?",
        "whether the pulp survives preparation",
        "2.5",
    )
    .otherwise(Taken::Words("wide range by tooth"), Basis::CommonPractice, ""),
    Field::new(
        "occlusal_depth_mm",
        millimetres(0.0, 6.0),
        "How deep was the chewing surface prepared?",
        "thickness that is really there",
        "1.5",
    )
    .at_stump(),
    Field::new(
        "facial_depth_mm",
        millimetres(0.0, 5.0),
        "How deep was the facial surface prepared?",
        "thickness that is really there",
        "1.2",
    )
    .at_stump(),
    Field::new(
        "margin_depth_mm",
        millimetres(0.0, 4.0),
        "How deep is the finish line?",
        "thickness that is really there",
        "0.8",
    )
    .at_stump(),
    Field::new(
        "convergence_degrees",
        degrees(0.0, 90.0),
        "How far do opposite walls converge in all?",
        "hold by form",
        "12",
    )
    .at_stump()
    .otherwise(Taken::Range { low: 10.0, high: 26.7 }, Basis::Read, "goodacre2001;guth2013"),
    Field::new(
        "scan",
        Kind::Text,
        "Which file is the scan of the tooth as it stands?",
        "what is cut is measured on the tooth itself",
        "\"tooth-46.stl\"",
    )
    .else_words("the average form of the tooth"),
    Field::new(
        "wax_up",
        Kind::Text,
        "Which file is the wax-up, or the outer form that is wished?",
        "an outer form that adds spares tooth",
        "\"wax-up-46.stl\"",
    )
    .else_words("the tooth as it stands"),
    Field::new(
        "scan_place",
        Kind::Section(PLACE),
        "Where on the chewing surface, where the scan shows more than this tooth?",
        "the scan is cut to the tooth",
        "",
    ),
    Field::new(
        "sound_neighbour",
        Kind::Section(NEIGHBOUR),
        "Which sound tooth shows how large it should be?",
        "without a wax-up the outer form is scaled to it",
        "",
    ),
    Field::new("stump", Kind::Section(READING), "What colour is the stump?", "it shows through", "").at_stump(),
    Field::new("stump_own", Kind::Text, "Or which of your own readings of a stump?", "it shows through", "\"\"")
        .at_stump(),
];
