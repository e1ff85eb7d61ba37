//! Implant and abutment.

use super::{Choice, Field, Kind, READING, SheetAnswer, Taken, choices, degrees, millimetres};
use crate::words::{Fixing, Substrate};
use answer::Basis;

fn abutments() -> Vec<Choice> {
    let kept = Substrate::ALL.iter().filter(|s| s.is_implant_abutment() || **s == Substrate::Unknown);
    kept.map(|s| Choice { word: s.word(), label: s.label() }).collect()
}

pub(super) const IMPLANT: &[Field] = &[
    Field::new(
        "fixing",
        Kind::Choice(choices!(Fixing)),
        "Held by a screw or by cement?",
        "screw channel, cement left behind",
        "\"screw\"",
    )
    .must(SheetAnswer::Fixing)
    .else_anything(),
    Field::new(
        "axis_degrees",
        degrees(0.0, 60.0),
        "Angle between the implant's axis and the crown's?",
        "where the screw channel comes out",
        "8",
    )
    .must(SheetAnswer::Axis)
    .otherwise(Taken::Range { low: 0.0, high: 25.0 }, Basis::CommonPractice, ""),
    Field::new(
        "axis_mm",
        millimetres(-10.0, 10.0),
        "How far does the axis miss the middle of the crown (facial positive)?",
        "where the screw channel comes out",
        "0.5",
    ),
    Field::new(
        "height_mm",
        millimetres(0.0, 20.0),
        "Height from the implant's shoulder to the antagonist?",
        "room for abutment and crown",
        "6.5",
    )
    .must(SheetAnswer::Height)
    .otherwise(Taken::Range { low: 5.0, high: 9.0 }, Basis::CommonPractice, ""),
    Field::new(
        "gum_mm",
        millimetres(0.0, 8.0),
        "How thick is the gum in front of the abutment?",
        "whether the abutment shows through",
        "2.0",
    )
    .must(SheetAnswer::Gum)
    .otherwise(Taken::Range { low: 0.5, high: 3.0 }, Basis::CommonPractice, ""),
    Field::new(
        "abutment",
        Kind::Choice(abutments),
        "What is the abutment made of?",
        "what shows through",
        "\"titanium_abutment\"",
    )
    .else_anything(),
    Field::new("placed", Kind::YesNo, "Does the implant stand already?", "what can still be changed", "true"),
    Field::new("reading", Kind::Section(READING), "What colour is the abutment?", "it shows through", ""),
    Field::new("reading_own", Kind::Text, "Or which of your own readings of an abutment?", "it shows through", "\"\""),
];
