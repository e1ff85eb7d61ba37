//! What the patient wants.

use super::{Field, Kind, READING, SheetAnswer, choices, number};
use crate::words::{Against, Matter};

const WEIGHTS: &[Field] = &[
    Field::new("harm", number(0.0, 1000.0), "How much does it count that little goes wrong?", "ranking", "40")
        .required(),
    Field::new("looks", number(0.0, 1000.0), "How much do looks count?", "ranking", "30").required(),
    Field::new("tissue", number(0.0, 1000.0), "How much does it count that little tooth is cut?", "ranking", "20")
        .required(),
    Field::new("money", number(0.0, 1000.0), "How much does the cost count?", "ranking", "10").required(),
];

const TRADES: &[Field] = &[
    Field::new(
        "looks",
        number(0.0, 30.0),
        "How many years of its expected life would be given so that nobody sees it?",
        "ranking",
        "2",
    ),
    Field::new(
        "tissue",
        number(0.0, 30.0),
        "How many years so that hardly any tooth is cut, instead of nearly all of the crown?",
        "ranking",
        "3",
    ),
    Field::new(
        "money",
        number(0.0, 30.0),
        "How many years so that it costs a fifth of a crown instead of four crowns?",
        "ranking",
        "1",
    ),
];

pub(super) const WISH: &[Field] = &[
    Field::new(
        "order",
        Kind::ChoiceList(choices!(Matter)),
        "What matters, most important first?",
        "ranking",
        "[\"harm\", \"tissue\", \"looks\", \"money\"]",
    )
    .must(SheetAnswer::Matters)
    .way(1)
    .else_words("every way of weighing it is tried"),
    Field::new("weights", Kind::Section(WEIGHTS), "Or in weights?", "ranking", "").must(SheetAnswer::Matters).way(2),
    Field::new(
        "trades",
        Kind::Section(TRADES),
        "Or in years of expected life that would be given for it?",
        "ranking",
        "",
    )
    .must(SheetAnswer::Matters)
    .way(3),
    Field::new(
        "colour_as_neighbour",
        Kind::ChoiceList(choices!(Against)),
        "As the neighbour, with which differences ([] for the same)?",
        "what the colour is measured against",
        "[]",
    )
    .must(SheetAnswer::Colour)
    .way(1)
    .else_words("as the neighbour"),
    Field::new(
        "colour_tab",
        Kind::Text,
        "Or as which of your own tabs?",
        "what the colour is measured against",
        "\"\"",
    )
    .must(SheetAnswer::Colour)
    .way(2),
    Field::new(
        "colour",
        Kind::Section(READING),
        "Or as read by an instrument?",
        "what the colour is measured against",
        "",
    )
    .must(SheetAnswer::Colour)
    .way(3),
];
