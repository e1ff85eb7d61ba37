//! Practice and laboratory.

use super::{Field, Kind, SHARE, choices, number};
use answer::Unit;
use catalogue::words::{Build, Construct, Material};

const MONEY: Kind = Kind::Number { low: 0.0, high: 1e9, unit: Unit::Money };

const MAKES: &[Field] = &[
    Field::new(
        "material",
        Kind::Choice(choices!(Material)),
        "Which material?",
        "what can be ordered",
        "\"zirconia_3y\"",
    )
    .required(),
    Field::new("build", Kind::Choice(choices!(Build)), "Which build?", "what can be ordered", "\"monolithic\"")
        .required(),
    Field::new(
        "construct",
        Kind::Choice(choices!(Construct)),
        "Only for one construct?",
        "what can be ordered",
        "\"bridge\"",
    ),
    Field::new("fee", MONEY, "Fee a unit?", "cost", "180"),
    Field::new("days", Kind::Whole { low: 0, high: 250 }, "Working days?", "time", "7"),
];

const TAB: &[Field] = &[
    Field::new("name", Kind::Text, "Name of your own tab?", "to name it in a wish", "\"own-1\"").required(),
    Field::new("L", number(0.0, 100.0), "Lightness L*?", "wished colour", "74.0").required(),
    Field::new("a", number(-128.0, 127.0), "a*?", "wished colour", "1.0").required(),
    Field::new("b", number(-128.0, 127.0), "b*?", "wished colour", "18.0").required(),
    Field::new(
        "spread",
        number(0.0, 50.0),
        "Spread of repeated readings (standard deviation)?",
        "widens the colour answer",
        "0.5",
    ),
];

pub(super) const LABORATORY: &[Field] = &[
    Field::new("currency", Kind::Text, "In which currency?", "printed beside fees", "\"EUR\""),
    Field::new("chair_hour", MONEY, "What does an hour at the chair cost?", "cost", "240")
        .else_words("blank: no cost is computed"),
    Field::new(
        "remake_free_months",
        Kind::Number { low: 0.0, high: 240.0, unit: Unit::One },
        "For how many months does the laboratory remake without fee?",
        "cost of remakes",
        "24",
    )
    .else_words("none"),
    Field::new("remake_share", SHARE, "Which share of the fee does a later remake cost?", "cost of remakes", "1.0")
        .else_words("the whole fee"),
    Field::new("makes", Kind::Sections(MAKES), "What does it make?", "what can be ordered, at what fee", "")
        .else_words("everything, fees blank"),
    Field::new(
        "tab",
        Kind::Sections(TAB),
        "Which colour tabs of your own have you measured?",
        "to name them in a wish",
        "",
    ),
];
