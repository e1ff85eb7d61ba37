//! What the dentist adds to the plan for the laboratory, and what the laboratory answers.

use super::{Field, Kind, Sheet, choices};
use crate::words::{Alloy, Cement, Contacts, Finish, Lustre, MarginDesign, PonticForm, ReplyAnswer, Texture, Treated};

pub(super) const ORDER: &[Field] = &[
    Field::new("number", Kind::Text, "Your own number of the order?", "names it", "\"2026-017\""),
    Field::new(
        "disinfected",
        Kind::Text,
        "With what were impression and bite disinfected?",
        "the order is not complete without it",
        "\"files only\"",
    ),
    Field::new(
        "photographs",
        Kind::TextList,
        "Which photographs go with it (file names beside the case)?",
        "named in the order with a checksum",
        "[]",
    ),
    Field::new(
        "scan_unit",
        Kind::Text,
        "In which unit are the scan files?",
        "an STL file does not say",
        "\"millimetres\"",
    ),
    Field::new("shade_notes", Kind::Text, "Shade map, zones, stains?", "looks", "\"neck a little redder\""),
    Field::new("texture", Kind::Choice(choices!(Texture)), "Which surface texture?", "looks", "\"light\""),
    Field::new("lustre", Kind::Choice(choices!(Lustre)), "Which lustre?", "looks", "\"silk\""),
    Field::new(
        "block_out",
        Kind::TeethList,
        "Which stumps are to be blocked out ([]: none)?",
        "what lies under shows through",
        "[]",
    ),
    Field::new(
        "pontic_form",
        Kind::Choice(choices!(PonticForm)),
        "Which form of pontic?",
        "cleaning, looks",
        "\"ovate\"",
    )
    .only(&[Sheet::Bridge, Sheet::ResinBonded]),
    Field::new(
        "contacts",
        Kind::Choice(choices!(Contacts)),
        "Which proximal contacts?",
        "first reason of rejection",
        "\"firm\"",
    ),
    Field::new(
        "emergence",
        Kind::Text,
        "Emergence, embrasures, contour at the gum?",
        "cleaning, looks",
        "\"as the neighbour\"",
    ),
    Field::new(
        "margin_design",
        Kind::Choice(choices!(MarginDesign)),
        "Which form of the edge?",
        "fit and looks",
        "\"ceramic\"",
    ),
    Field::new(
        "finish",
        Kind::Choice(choices!(Finish)),
        "Polished or glazed where it bites?",
        "wear of the antagonist",
        "\"polished\"",
    ),
    Field::new(
        "occlusion_notes",
        Kind::Text,
        "Contact marks and scheme wanted?",
        "chipping",
        "\"light contact in the fossa, none in guidance\"",
    ),
    Field::new("alloy", Kind::Choice(choices!(Alloy)), "Which class of alloy?", "allergy, strength", "\"noble\""),
    Field::new(
        "cement",
        Kind::Choice(choices!(Cement)),
        "Which cement is planned?",
        "how the fitting surface is left",
        "\"self_adhesive_resin\"",
    ),
    Field::new("cement_colour", Kind::Text, "Colour of the cement?", "shows through thin ceramic", "\"clear\""),
    Field::new("try_in", Kind::Text, "Day of the try-in?", "time", "\"2026-04-14\""),
    Field::new("wanted_by", Kind::Text, "Day on which it is needed?", "time", "\"2026-04-21\""),
];

pub(super) const REPLY: &[Field] = &[
    Field::new(
        "order",
        Kind::Text,
        "Which order does it answer (its mark)?",
        "an answer to an older order is told",
        "\"\"",
    ),
    Field::new("date", Kind::Text, "Day of the answer?", "goes on record", "\"2026-04-02\""),
    Field::new(
        "answer",
        Kind::Choice(choices!(ReplyAnswer)),
        "Accepted, asks or deviates?",
        "goes on record against the order",
        "\"accepted\"",
    )
    .required(),
    Field::new(
        "points",
        Kind::TextList,
        "What does it ask, or what will be otherwise?",
        "goes on record against the order",
        "[]",
    ),
    Field::new(
        "fitting_surface",
        Kind::Choice(choices!(Treated)),
        "What has it done to the fitting surface?",
        "not to be etched twice",
        "\"abraded\"",
    ),
];
