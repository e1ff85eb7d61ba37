//! Room for the restoration.

use super::{Field, Kind, Sheet, SheetAnswer, Taken, choices, millimetres};
use crate::words::{Room, SpaceSource};
use answer::Basis;

pub(super) const SPACE: &[Field] = &[
    Field::new("now_mm", millimetres(0.0, 15.0), "How much room is there now?", "what must still be gained", "0.0")
        .must(SheetAnswer::Space)
        .way(1)
        .otherwise(Taken::Range { low: 0.0, high: 1.0 }, Basis::CommonPractice, ""),
    Field::new(
        "planned_mm",
        millimetres(0.0, 15.0),
        "How much room will there be?",
        "each way of making it needs its own thickness",
        "1.5",
    )
    .must(SheetAnswer::Space)
    .way(1)
    .otherwise(Taken::Range { low: 1.0, high: 2.0 }, Basis::CommonPractice, ""),
    Field::new(
        "planned_by",
        Kind::Choice(choices!(SpaceSource)),
        "Where does the planned room come from?",
        "whether tooth is cut for it",
        "\"reduction\"",
    )
    .must(SheetAnswer::Space)
    .way(1)
    .else_words("reduction of the tooth"),
    Field::new(
        "room",
        Kind::Choice(choices!(Room)),
        "Not measured: is the room tight, normal or ample?",
        "each way of making it needs its own thickness",
        "\"normal\"",
    )
    .must(SheetAnswer::Space)
    .way(2),
    Field::new(
        "connector_height_mm",
        millimetres(0.5, 12.0),
        "How high may the connector be, marginal ridge to papilla?",
        "strength grows with the square of it",
        "4.0",
    )
    .must(SheetAnswer::Connector)
    .only(Sheet::GAPS)
    .otherwise(Taken::Range { low: 2.5, high: 4.5 }, Basis::CommonPractice, ""),
    Field::new(
        "connector_width_mm",
        millimetres(0.5, 10.0),
        "How wide may the connector be, cheek to tongue?",
        "strength grows with it",
        "4.0",
    )
    .only(Sheet::GAPS)
    .otherwise(Taken::Range { low: 2.5, high: 4.5 }, Basis::CommonPractice, ""),
    Field::new(
        "span_mm",
        millimetres(2.0, 80.0),
        "How wide is the gap between its neighbours?",
        "stress grows with it",
        "10.5",
    )
    .only(&[Sheet::Bridge, Sheet::ResinBonded, Sheet::Implant])
    .otherwise(Taken::Words("average crown widths of the missing teeth"), Basis::Read, "ash_nelson"),
];
