//! What is to be made, what it replaces, and what was decided.

use super::{Choice, Field, Kind, Sheet, SheetAnswer, choices, number};
use crate::words::{Temporary, Turn, WhyReplaced};
use catalogue::words::{Build, Construct, Material};

fn wanted() -> Vec<Choice> {
    let open = Choice { word: "open", label: "open: compare everything sensible" };
    std::iter::once(open).chain(Construct::ALL.iter().map(|c| Choice { word: c.word(), label: c.label() })).collect()
}

pub(super) const RESTORATION: &[Field] = &[
    Field::new(
        "teeth",
        Kind::TeethList,
        "Which teeth does it cover, standing and missing?",
        "place, load, what is seen",
        "[36]",
    )
    .required()
    .must(SheetAnswer::Planned),
    Field::new("missing", Kind::TeethList, "Which of them are missing?", "pontics, span", "[46]").only(&[
        Sheet::Bridge,
        Sheet::ResinBonded,
        Sheet::Implant,
    ]),
    Field::new(
        "kind",
        Kind::Choice(wanted),
        "What is planned?",
        "open compares everything; alternatives stand in the list anyway",
        "\"open\"",
    )
    .must(SheetAnswer::Planned)
    .else_words("open: everything sensible is compared"),
    Field::new("cantilever", Kind::YesNo, "May the pontic hang free at one end?", "load on the one abutment", "false")
        .only(Sheet::GAPS)
        .else_words("no"),
    Field::new(
        "turn",
        Kind::Choice(choices!(Turn)),
        "First restoration here, or a replacement?",
        "less tooth is left each time",
        "\"first\"",
    )
    .must(SheetAnswer::Turn)
    .else_words("first"),
    Field::new(
        "temporary",
        Kind::Choice(choices!(Temporary)),
        "What is worn until it is ready?",
        "work order, time",
        "\"chairside\"",
    ),
    Field::new("scans", Kind::TextList, "Which scan files are at hand?", "named in the work order", "[]"),
];

pub(super) const OLD: &[Field] = &[
    Field::new("construct", Kind::Choice(choices!(Construct)), "What was it?", "what failed here before", "\"crown\""),
    Field::new(
        "material",
        Kind::Choice(choices!(Material)),
        "Of what was it made?",
        "what failed here before",
        "\"metal_ceramic\"",
    ),
    Field::new("build", Kind::Choice(choices!(Build)), "How was it built?", "what failed here before", "\"layered\""),
    Field::new(
        "failed_by",
        Kind::ChoiceList(choices!(WhyReplaced)),
        "Why must it be replaced?",
        "the same cause is likelier next time",
        "[\"secondary_caries\"]",
    )
    .must(SheetAnswer::Turn)
    .else_words("not known"),
    Field::new("years", number(0.0, 80.0), "How many years did it serve?", "how soon it failed", "7"),
];

pub(super) const CHOSEN: &[Field] = &[
    Field::new(
        "construct",
        Kind::Choice(choices!(Construct)),
        "Which construct?",
        "order and consent are written for it",
        "\"crown\"",
    )
    .required(),
    Field::new(
        "material",
        Kind::Choice(choices!(Material)),
        "Which material?",
        "order and consent are written for it",
        "\"lithium_disilicate\"",
    ),
    Field::new(
        "build",
        Kind::Choice(choices!(Build)),
        "Which build?",
        "order and consent are written for it",
        "\"monolithic\"",
    ),
    Field::new("reason", Kind::Text, "Why this one?", "goes on record", "\"\""),
];

pub(super) const OVERRIDE: &[Field] = &[
    Field::new("stop", Kind::Text, "Which stop, as printed?", "only that one is set aside", "\"space_below_minimum\"")
        .required(),
    Field::new(
        "reason",
        Kind::Text,
        "Why may it be set aside here?",
        "goes on record",
        "\"build-up planned in the same session\"",
    )
    .required(),
];
