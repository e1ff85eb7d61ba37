//! The case file as a whole.

use super::{Field, Kind, Sheet, SheetAnswer, choices};
use super::{
    abutment::ABUTMENT, implant::IMPLANT, laboratory::LABORATORY, mouth::MOUTH, order, restoration, space::SPACE,
    wish::WISH,
};
use crate::words::Moment;

/// Every field of the case file, in the order in which it is written.
pub const ROOT: &[Field] = &[
    Field::new(
        "schema",
        Kind::Whole { low: 1, high: 1 },
        "Version of this file?",
        "older files are carried over, newer ones refused",
        "1",
    )
    .required(),
    Field::new(
        "pseudonym",
        Kind::Text,
        "Under which name is the case kept (never the patient's)?",
        "heads every paper",
        "\"case-001\"",
    ),
    Field::new("invented", Kind::YesNo, "Is the case invented, readings and all?", "every paper says so", "false"),
    Field::new(
        "moment",
        Kind::Choice(choices!(Moment)),
        "Before preparation, or at the stump?",
        "only at the stump can an order be complete",
        "\"plan\"",
    )
    .required()
    .must(SheetAnswer::Moment),
    section("restoration", restoration::RESTORATION, "What is to be made?", "everything hangs on it").required(),
    section("old", restoration::OLD, "What was there before?", "what failed once fails again for the same cause"),
    Field::new(
        "abutment",
        Kind::Sections(ABUTMENT),
        "How are the teeth that carry it?",
        "whether they deserve it, and what shows through",
        "",
    )
    .only(Sheet::TEETH),
    section("space", SPACE, "How much room is there?", "each way of making it needs its own thickness"),
    section("mouth", MOUTH, "What is the mouth like?", "load, moisture, allergy, what is seen"),
    section("wish", WISH, "What does the patient want?", "the ranking weighs by it"),
    section("implant", IMPLANT, "How does the implant stand?", "screw channel, height, what shows through the gum")
        .only(Sheet::IMPLANTS),
    section(
        "laboratory",
        LABORATORY,
        "What does the laboratory make, at what fee?",
        "cost in the practice's own figures, blank until given",
    ),
    section("chosen", restoration::CHOSEN, "Which option was chosen?", "order and consent are written for it"),
    Field::new(
        "override",
        Kind::Sections(restoration::OVERRIDE),
        "Which stops are set aside, and why?",
        "goes on record",
        "",
    ),
    section("order", order::ORDER, "What else does the laboratory need to know?", "an order with gaps comes back"),
    Field::new(
        "laboratory_reply",
        Kind::Sections(order::REPLY),
        "What has the laboratory answered?",
        "goes on record against the order",
        "",
    ),
];

const fn section(name: &'static str, fields: &'static [Field], question: &'static str, why: &'static str) -> Field {
    Field::new(name, Kind::Section(fields), question, why, "")
}
