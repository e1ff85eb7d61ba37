//! Usual answers: a row of the sheet answered in one go, the most usual first. Each is only a shorter way of writing values that
//! the list of fields allows; which are usual is common practice, no source.

use crate::Case;
use crate::asked::Row;
use crate::fields::{Kind, SheetAnswer};
use crate::words::{
    AgeBand, Apical, Bone, DryField, FerruleStep, Filled, Grinding, Margin, Matter, Pulp, Room, SpaceSource, Substrate,
    Turn, WhyReplaced,
};
use catalogue::words::{Construct, Gap, Tooth};
use serde::Serialize;
use serde_json::{Value, json};

/// One value of an answer.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualValue {
    /// Field without indices, e.g. `abutment.pulp`.
    pub field: String,
    /// The tooth, for fields of an abutment.
    pub tooth: Option<Tooth>,
    /// Its value as in the case file.
    pub value: Value,
}

/// One answer to a whole row.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualAnswer {
    /// In words.
    pub label: String,
    /// What it sets.
    pub sets: Vec<UsualValue>,
}

/// Most answers offered: what a hand finds without reading a list.
const MOST: usize = 9;

/// Usual answers to a row of the case's sheet; each field of the row is still open to any other value.
pub fn usual_answers(case: &Case, row: &Row) -> Vec<UsualAnswer> {
    let on = On { standing: case.standing(), row };
    let mut answers = match row.answer {
        SheetAnswer::Planned => planned(case, &on),
        SheetAnswer::Turn => turn(&on),
        SheetAnswer::Age => AgeBand::ALL.iter().map(|a| on.all(a.label(), &[("mouth.age", json!(a))])).collect(),
        SheetAnswer::Pulp => pulp(&on),
        SheetAnswer::Beneath => beneath(&on),
        SheetAnswer::Walls => walls(&on),
        SheetAnswer::Space => space(&on),
        SheetAnswer::Grinding => grinding(&on),
        SheetAnswer::Dry => dry(&on),
        SheetAnswer::Allergies => allergies(&on),
        SheetAnswer::Matters => matters(&on),
        SheetAnswer::Colour => colour(&on),
        SheetAnswer::Support => support(&on),
        SheetAnswer::Connector => lengths(&on, "space.connector_height_mm", &[4.0, 3.5, 3.0, 2.5, 5.0], "high"),
        SheetAnswer::Axis => degrees(&on, "implant.axis_degrees", &[0.0, 5.0, 10.0, 15.0, 20.0, 25.0]),
        SheetAnswer::Height => lengths(&on, "implant.height_mm", &[7.0, 6.0, 5.0, 8.0, 9.0], "from the shoulder"),
        SheetAnswer::Gum => lengths(&on, "implant.gum_mm", &[2.0, 1.5, 1.0, 2.5, 3.0], "thick"),
        SheetAnswer::Moment | SheetAnswer::Opposing | SheetAnswer::Visible | SheetAnswer::Fixing => words(&on),
    };
    answers.truncate(MOST);
    answers
}

/// The row with the teeth that stand.
struct On<'a> {
    standing: Vec<Tooth>,
    row: &'a Row,
}

impl On<'_> {
    /// Values for the row; those of an abutment for every standing tooth. What the row does not ask is left out.
    fn all(&self, label: impl Into<String>, values: &[(&str, Value)]) -> UsualAnswer {
        let mut sets = Vec::new();
        for (field, value) in values {
            if field.starts_with("abutment.") {
                for tooth in &self.standing {
                    sets.extend(self.one(field, Some(*tooth), value));
                }
            } else {
                sets.extend(self.one(field, None, value));
            }
        }
        UsualAnswer { label: label.into(), sets }
    }

    fn one(&self, field: &str, tooth: Option<Tooth>, value: &Value) -> Option<UsualValue> {
        let name = field.rsplit('.').next().unwrap_or(field);
        let section = field.split('.').next().unwrap_or(field);
        let asked = self
            .row
            .fields
            .iter()
            .any(|a| a.field.name == name && a.tooth == tooth && (a.path.starts_with(section) || a.path == name));
        // Answering a row in one way takes its other ways back.
        (asked || value.is_null()).then(|| UsualValue { field: field.to_owned(), tooth, value: value.clone() })
    }
}

fn json_of(word: impl Serialize) -> Value {
    json!(word)
}

/// The words of a row that is one choice.
fn words(on: &On<'_>) -> Vec<UsualAnswer> {
    let choices = on.row.fields.iter().filter(|a| matches!(a.field.kind, Kind::Choice(_)));
    choices
        .flat_map(|a| a.field.kind.choices().into_iter().map(|c| on.all(c.label, &[(a.path.as_str(), json!(c.word))])))
        .collect()
}

fn planned(case: &Case, on: &On<'_>) -> Vec<UsualAnswer> {
    let gap = if case.is_gap() { Gap::Missing } else { Gap::Tooth };
    let open = on.all("open: compare everything sensible", &[("restoration.kind", json!("open"))]);
    let made = |c: &&Construct| c.treats() == gap && c.is_indirect();
    let kinds = Construct::ALL.iter().filter(made);
    std::iter::once(open).chain(kinds.map(|c| on.all(c.label(), &[("restoration.kind", json_of(c))]))).collect()
}

fn turn(on: &On<'_>) -> Vec<UsualAnswer> {
    let nothing_before = &[("restoration.turn", json_of(Turn::First)), ("old", Value::Null)];
    let mut list = vec![on.all("first restoration here", nothing_before)];
    let usual = [
        WhyReplaced::Caries,
        WhyReplaced::Chip,
        WhyReplaced::FrameworkFracture,
        WhyReplaced::Debonding,
        WhyReplaced::Endodontic,
        WhyReplaced::Looks,
        WhyReplaced::Fit,
        WhyReplaced::Unknown,
    ];
    list.extend(usual.iter().map(|why| {
        let mut answer =
            on.all(format!("replacement: {}", why.label()), &[("restoration.turn", json_of(Turn::Replacement))]);
        // The section of what was there stands on the sheet only once something was there.
        let value = json!([why]);
        answer.sets.push(UsualValue { field: "old.failed_by".to_owned(), tooth: None, value });
        answer
    }));
    list
}

fn pulp(on: &On<'_>) -> Vec<UsualAnswer> {
    let every = if on.standing.len() > 1 { "all " } else { "" };
    let both = |pulp: Pulp, apical: Apical| {
        let label = format!("{every}{}, root end {}", pulp.label(), apical.label());
        on.all(label, &[("abutment.pulp", json_of(pulp)), ("abutment.apical", json_of(apical))])
    };
    let mut list = vec![both(Pulp::Vital, Apical::Sound), both(Pulp::RootFilled, Apical::Sound)];
    if let [first, second] = on.standing[..] {
        for (vital, filled) in [(first, second), (second, first)] {
            let mut answer = on.all(
                format!("{vital} vital, {filled} root-filled, root ends sound"),
                &[("abutment.apical", json_of(Apical::Sound))],
            );
            answer.sets.extend(on.one("abutment.pulp", Some(vital), &json_of(Pulp::Vital)));
            answer.sets.extend(on.one("abutment.pulp", Some(filled), &json_of(Pulp::RootFilled)));
            list.push(answer);
        }
    }
    list.extend([
        both(Pulp::RootFilled, Apical::Healing),
        both(Pulp::RootFilled, Apical::Lesion),
        both(Pulp::Irreversible, Apical::Sound),
        both(Pulp::Necrotic, Apical::Lesion),
        both(Pulp::Unknown, Apical::Unknown),
    ]);
    list
}

fn beneath(on: &On<'_>) -> Vec<UsualAnswer> {
    let every = if on.standing.len() > 1 { "all " } else { "" };
    let usual = [
        Substrate::Dentine,
        Substrate::CompositeCore,
        Substrate::AmalgamCore,
        Substrate::DiscolouredDentine,
        Substrate::FibrePost,
        Substrate::MetalPost,
        Substrate::GlassIonomerCore,
        Substrate::Unknown,
    ];
    let mut list: Vec<_> =
        usual.iter().map(|s| on.all(format!("{every}{}", s.label()), &[("abutment.substrate", json_of(s))])).collect();
    if let [first, second] = on.standing[..] {
        for (plain, core) in [(first, second), (second, first)] {
            let mut answer = on.all(format!("{plain} dentine, {core} amalgam core"), &[]);
            answer.sets.extend(on.one("abutment.substrate", Some(plain), &json_of(Substrate::Dentine)));
            answer.sets.extend(on.one("abutment.substrate", Some(core), &json_of(Substrate::AmalgamCore)));
            list.insert(1, answer);
        }
    }
    list
}

fn walls(on: &On<'_>) -> Vec<UsualAnswer> {
    use FerruleStep::{AboutOne, Nothing, TwoOrMore};
    let steps =
        [(4, TwoOrMore), (3, TwoOrMore), (2, TwoOrMore), (3, AboutOne), (2, AboutOne), (1, AboutOne), (0, Nothing)];
    let every = if on.standing.len() > 1 { "each " } else { "" };
    let mut list: Vec<_> = steps
        .iter()
        .map(|(walls, ferrule)| {
            let label =
                format!("{every}{walls} wall{}, ferrule {}", if *walls == 1 { "" } else { "s" }, ferrule.label());
            on.all(label, &[("abutment.walls", json!(walls)), ("abutment.ferrule", json_of(ferrule))])
        })
        .collect();
    if let [first, second] = on.standing[..] {
        for (whole, less) in [(first, second), (second, first)] {
            let mut answer = on.all(
                format!("{whole} 4 walls, {less} 3 walls, ferrule 2 mm or more"),
                &[("abutment.ferrule", json_of(TwoOrMore))],
            );
            answer.sets.extend(on.one("abutment.walls", Some(whole), &json!(4)));
            answer.sets.extend(on.one("abutment.walls", Some(less), &json!(3)));
            list.insert(1, answer);
        }
    }
    list
}

fn space(on: &On<'_>) -> Vec<UsualAnswer> {
    let ways = ["space.now_mm", "space.planned_mm", "space.planned_by"];
    let measured = |now: f64, planned: f64, by: SpaceSource| {
        let label = format!("{now} mm now, {planned} mm by {}", by.label());
        let values = [json!(now), json!(planned), json_of(by)];
        let mut sets: Vec<_> = ways.iter().copied().zip(values).collect();
        sets.push(("space.room", Value::Null));
        on.all(label, &sets)
    };
    let judged = |room: Room| {
        let mut sets: Vec<_> = ways.iter().map(|w| (*w, Value::Null)).collect();
        sets.push(("space.room", json_of(room)));
        on.all(format!("not measured: {}", room.label()), &sets)
    };
    vec![
        measured(0.0, 1.5, SpaceSource::Reduction),
        measured(0.0, 2.0, SpaceSource::Reduction),
        measured(0.0, 1.0, SpaceSource::Reduction),
        measured(0.5, 1.5, SpaceSource::Reduction),
        measured(0.0, 1.5, SpaceSource::RaisedBite),
        judged(Room::Normal),
        judged(Room::Tight),
        judged(Room::Ample),
    ]
}

fn grinding(on: &On<'_>) -> Vec<UsualAnswer> {
    let both = |grinding: Grinding, guard: bool| {
        let label = format!("{}, {}", grinding.label(), if guard { "guard worn" } else { "no guard" });
        on.all(label, &[("mouth.grinding", json_of(grinding)), ("mouth.guard_worn", json!(guard))])
    };
    vec![
        both(Grinding::Nothing, false),
        both(Grinding::Suspected, false),
        both(Grinding::Evident, false),
        both(Grinding::Suspected, true),
        both(Grinding::Evident, true),
    ]
}

fn dry(on: &On<'_>) -> Vec<UsualAnswer> {
    let asks_margin = on.row.fields.iter().any(|a| a.field.name == "margin");
    let both = |dry: DryField, margin: Margin| {
        let state = match dry {
            DryField::Yes => "dry",
            DryField::WithDifficulty => "dry with difficulty",
            DryField::No => "cannot be kept dry",
        };
        let label = if asks_margin { format!("{state}, margin {}", margin.label()) } else { state.to_owned() };
        on.all(label, &[("mouth.dry_field", json_of(dry)), ("abutment.margin", json_of(margin))])
    };
    if !asks_margin {
        return DryField::ALL.iter().map(|d| both(*d, Margin::At)).collect();
    }
    vec![
        both(DryField::Yes, Margin::At),
        both(DryField::Yes, Margin::Above),
        both(DryField::Yes, Margin::Below),
        both(DryField::WithDifficulty, Margin::At),
        both(DryField::WithDifficulty, Margin::Below),
        both(DryField::No, Margin::At),
        both(DryField::No, Margin::Below),
    ]
}

fn allergies(on: &On<'_>) -> Vec<UsualAnswer> {
    let none = on.all("none", &[("mouth.allergies", json!([]))]);
    let field = on.row.fields.iter().map(|a| a.field.kind.choices()).next().unwrap_or_default();
    std::iter::once(none)
        .chain(field.iter().map(|c| on.all(c.label, &[("mouth.allergies", json!([c.word]))])))
        .collect()
}

fn matters(on: &On<'_>) -> Vec<UsualAnswer> {
    use Matter::{Harm, Looks, Money, Tissue};
    let orders = [
        [Harm, Tissue, Looks, Money],
        [Harm, Looks, Tissue, Money],
        [Looks, Harm, Tissue, Money],
        [Tissue, Harm, Looks, Money],
        [Harm, Money, Tissue, Looks],
        [Money, Harm, Tissue, Looks],
    ];
    orders
        .iter()
        .map(|order| {
            let label = order.iter().map(|m| m.label()).collect::<Vec<_>>().join(", then ");
            let sets = [("wish.order", json!(order)), ("wish.weights", Value::Null), ("wish.trades", Value::Null)];
            on.all(label, &sets)
        })
        .collect()
}

fn colour(on: &On<'_>) -> Vec<UsualAnswer> {
    let others = [("wish.colour_tab", Value::Null), ("wish.colour", Value::Null)];
    let neighbour = |label: &str, differences: Value| {
        let mut sets = vec![("wish.colour_as_neighbour", differences)];
        sets.extend(others.clone());
        on.all(label, &sets)
    };
    let mut list = vec![neighbour("as the neighbour", json!([]))];
    let field = on.row.fields.iter().find(|a| a.field.name == "colour_as_neighbour");
    let choices = field.map(|a| a.field.kind.choices()).unwrap_or_default();
    list.extend(choices.iter().map(|c| neighbour(&format!("as the neighbour, {}", c.label), json!([c.word]))));
    list
}

fn support(on: &On<'_>) -> Vec<UsualAnswer> {
    let every = |label: &str, mobility: i64, bone: Bone, tilt: f64, filled: Filled| {
        let asks_filled = on.row.fields.iter().any(|a| a.field.name == "filled");
        let label = if asks_filled { format!("{label}, {}", filled.label()) } else { label.to_owned() };
        on.all(
            label,
            &[
                ("abutment.mobility", json!(mobility)),
                ("abutment.bone", json_of(bone)),
                ("abutment.tilt_degrees", json!(tilt)),
                ("abutment.filled", json_of(filled)),
            ],
        )
    };
    let mut list = vec![
        every("firm, full bone, upright", 0, Bone::Full, 0.0, Filled::Sound),
        every("firm, full bone, upright", 0, Bone::Full, 0.0, Filled::Small),
        every("firm, full bone, leaning 10 degrees", 0, Bone::Full, 10.0, Filled::Small),
        every("firm, a third of the bone lost, upright", 0, Bone::ThirdLost, 0.0, Filled::Small),
        every("mobility 1, a third of the bone lost, upright", 1, Bone::ThirdLost, 0.0, Filled::Small),
        every("mobility 1, half of the bone lost, upright", 1, Bone::HalfLost, 0.0, Filled::Heavily),
    ];
    // Without the question of fillings the first two are the same answer.
    list.dedup_by(|a, b| a.sets == b.sets);
    if let [first, second] = on.standing[..] {
        for (straight, leaning) in [(first, second), (second, first)] {
            let mut answer = every("", 0, Bone::Full, 0.0, Filled::Small);
            answer.label = format!("firm, full bone; {straight} upright, {leaning} leaning 15 degrees");
            for set in answer.sets.iter_mut().filter(|s| s.field == "abutment.tilt_degrees" && s.tooth == Some(leaning))
            {
                set.value = json!(15.0);
            }
            list.insert(1, answer);
        }
    }
    list
}

fn lengths(on: &On<'_>, field: &str, sizes: &[f64], how: &str) -> Vec<UsualAnswer> {
    sizes.iter().map(|mm| on.all(format!("{mm} mm {how}"), &[(field, json!(mm))])).collect()
}

fn degrees(on: &On<'_>, field: &str, sizes: &[f64]) -> Vec<UsualAnswer> {
    sizes.iter().map(|d| on.all(format!("{d} degrees"), &[(field, json!(d))])).collect()
}
