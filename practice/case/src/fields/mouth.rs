//! Patient and bite.

use super::{Field, Kind, Sheet, SheetAnswer, Taken, choices};
use crate::words::{AgeBand, Allergen, DryField, Grinding, Guidance, Opposing, Risk, VerticalDimension, Visible};
use answer::{Basis, Unit};

const AGE: Kind =
    Kind::ChoiceOrNumber { choices: choices!(AgeBand), low: 5.0, high: 110.0, whole: true, unit: Unit::Years };

pub(super) const MOUTH: &[Field] = &[
    Field::new("age", AGE, "How old is the patient?", "size of the pulp, years to serve, growth", "\"45_59\"")
        .must(SheetAnswer::Age)
        .else_anything(),
    Field::new("growing", Kind::YesNo, "Are the jaws still growing?", "no implant before growth has ended", "false")
        .only(Sheet::IMPLANTS)
        .else_words("as the age says: under 18 may be growing"),
    Field::new(
        "grinding",
        Kind::Choice(choices!(Grinding)),
        "Does the patient grind or clench?",
        "load, chips",
        "\"none\"",
    )
    .must(SheetAnswer::Grinding)
    .else_anything(),
    Field::new("guard_worn", Kind::YesNo, "Is a guard worn at night?", "load, chips", "false")
        .must(SheetAnswer::Grinding)
        .else_words("no"),
    Field::new("opposing", Kind::Choice(choices!(Opposing)), "What does it bite on?", "load, wear", "\"enamel\"")
        .must(SheetAnswer::Opposing)
        .else_words("enamel"),
    Field::new(
        "dry_field",
        Kind::Choice(choices!(DryField)),
        "Can the field be kept dry while cementing?",
        "adhesion or form must hold it",
        "\"yes\"",
    )
    .must(SheetAnswer::Dry)
    .else_anything(),
    Field::new(
        "visible",
        Kind::Choice(choices!(Visible)),
        "How much of it is seen?",
        "how much colour counts",
        "\"a_little\"",
    )
    .must(SheetAnswer::Visible)
    .else_anything(),
    Field::new(
        "allergies",
        Kind::ChoiceList(choices!(Allergen)),
        "Any reaction to metals or methacrylates ([] for none)?",
        "stops alloys or resin cements; unasked, every paper warns",
        "[]",
    )
    .must(SheetAnswer::Allergies)
    .else_words("not asked; every paper warns"),
    Field::new(
        "caries_risk",
        Kind::Choice(choices!(Risk)),
        "How high is the risk of caries?",
        "caries at the margin",
        "\"low\"",
    )
    .else_anything(),
    Field::new("smoking", Kind::YesNo, "Does the patient smoke?", "losses of bridges and implants", "false")
        .else_words("share of smokers in the studies"),
    Field::new("reflux", Kind::YesNo, "Acid reflux or erosion?", "surfaces and margins", "false").else_words("no"),
    Field::new(
        "radiotherapy",
        Kind::YesNo,
        "Radiotherapy of the jaws?",
        "extraction and implants: alternatives only",
        "false",
    )
    .else_words("no"),
    Field::new(
        "antiresorptives",
        Kind::YesNo,
        "Antiresorptive medicine?",
        "extraction and implants: alternatives only",
        "false",
    )
    .else_words("no"),
    Field::new(
        "guidance",
        Kind::Choice(choices!(Guidance)),
        "What guides the jaw sideways?",
        "sideways load",
        "\"canine\"",
    )
    .else_anything(),
    Field::new(
        "vertical_dimension",
        Kind::Choice(choices!(VerticalDimension)),
        "Is the bite kept or changed?",
        "room, adaptation",
        "\"kept\"",
    )
    .else_words("kept"),
    Field::new(
        "bite_force_n",
        Kind::Number { low: 1.0, high: 5000.0, unit: Unit::Newtons },
        "Bite force measured at the place?",
        "narrows the load",
        "350",
    )
    .otherwise(Taken::Words("distribution of bite loads of the population"), Basis::Memory, ""),
];
