//! The words the page speaks: every closed list of the trade with its labels, every field of the case with its choices, and
//! the teeth with the sizes they are drawn in. The page keeps no list of its own.

use crate::drawn::Drawn;
use crate::fields::{ChoiceForm, FieldForm, field_forms};
use case::fields::{Field, ROOT, SheetAnswer};
use case::words::{Matter, Substrate};
use catalogue::Catalogue;
use catalogue::words::{
    Build, Cause, Consequence, Construct, Gap, Grade, Jaw, Material, Question, Side, Surface, Tooth,
};
use register::words::{Consequence as EventConsequence, EventKind, Fit, Grouping, Misfit, Stage};
use schemars::JsonSchema;
use serde::Serialize;

/// All words.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Words {
    /// Ways of naming teeth, the standard one first.
    pub numberings: Vec<ChoiceForm>,
    /// Teeth, quadrant by quadrant.
    pub teeth: Vec<ToothForm>,
    /// Materials.
    pub materials: Vec<ChoiceForm>,
    /// Builds.
    pub builds: Vec<ChoiceForm>,
    /// Constructs.
    pub constructs: Vec<ConstructForm>,
    /// Grades of translucency.
    pub grades: Vec<ChoiceForm>,
    /// The six questions.
    pub questions: Vec<ChoiceForm>,
    /// Substrates.
    pub substrates: Vec<ChoiceForm>,
    /// Surfaces of a crown.
    pub surfaces: Vec<ChoiceForm>,
    /// Causes of failure.
    pub causes: Vec<ChoiceForm>,
    /// What a failure leads to.
    pub consequences: Vec<ChoiceForm>,
    /// How far a value is to be trusted.
    pub bases: Vec<ChoiceForm>,
    /// Verdicts.
    pub verdicts: Vec<ChoiceForm>,
    /// What can matter.
    pub priorities: Vec<ChoiceForm>,
    /// Every field of the case.
    pub fields: Vec<WordedField>,
    /// How a try-in went.
    pub tryin_outcomes: Vec<ChoiceForm>,
    /// Why it did not fit at once.
    pub tryin_causes: Vec<ChoiceForm>,
    /// At which stage it was tried in.
    pub tryin_stages: Vec<ChoiceForm>,
    /// What can go wrong with a restoration in place, as the register has it.
    pub event_kinds: Vec<ChoiceForm>,
    /// What was done about it, lightest first.
    pub event_consequences: Vec<ChoiceForm>,
    /// By what an audit tells results apart, all together first.
    pub groupings: Vec<ChoiceForm>,
    /// Languages a paper can speak.
    pub languages: Vec<ChoiceForm>,
    /// Lights to look at colours under.
    pub lights: Vec<ChoiceForm>,
    /// Invented cases to begin with.
    pub examples: Vec<Example>,
}

/// A tooth as drawn and named.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ToothForm {
    /// Two-digit code (ISO 3950).
    pub code: u8,
    /// In words.
    pub name: String,
    /// Names by numbering.
    pub labels: Labels,
    /// `upper` or `lower`.
    pub jaw: Jaw,
    /// Side of the patient.
    pub side: Side,
    /// Place along the arch, 0 to 15 from the patient's right.
    pub place: u8,
    /// Kind of tooth.
    pub class: String,
    /// Whether it is a front tooth.
    pub front: bool,
    /// Mesiodistal width of the crown, mm.
    pub md_mm: f64,
    /// Buccolingual width of the crown, mm.
    pub bl_mm: f64,
    /// Height of the crown, mm.
    pub crown_mm: f64,
    /// Mesiodistal width at the neck, mm.
    pub neck_mm: f64,
    /// Length of the root, mm.
    pub root_mm: f64,
}

/// Names of a tooth in the numberings in use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Labels {
    /// Two-digit code (ISO 3950).
    pub iso: String,
    /// 1 to 32 from the upper right third molar round to the lower right one.
    pub universal: String,
    /// Quadrant in letters and number from the midline.
    pub quadrant: String,
}

/// A construct and what it is for.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ConstructForm {
    /// As in the case file.
    pub value: String,
    /// As printed.
    pub label: String,
    /// True where it treats a gap, false where it treats a standing tooth.
    pub gap: bool,
    /// True where it is made in a laboratory and asked all six questions.
    pub indirect: bool,
    /// How a missing tooth is drawn with it.
    pub drawn_gap: Drawn,
    /// How a standing tooth of it is drawn.
    pub drawn_tooth: Drawn,
    /// True where a bar joins neighbours.
    pub joined: bool,
}

/// A field with what is said of it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct WordedField {
    /// Section it stands in; empty at the top.
    pub section: String,
    /// What may stand in it.
    #[serde(flatten)]
    pub form: FieldForm,
    /// True where a case is refused without it.
    pub need: bool,
    /// Row of the sheet it belongs to; none where it only sharpens the answer.
    pub row: Option<String>,
    /// Sheets it stands on; empty: all.
    pub sheets: Vec<String>,
    /// True where only a preparation can tell it.
    pub stump: bool,
}

/// An invented case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Example {
    /// Name for `POST /api/sheets` as `example:<name>`.
    pub name: String,
    /// In one line.
    pub title: String,
}

/// The invented cases, carried inside the program.
const EXAMPLES: &[(&str, &str)] = &[
    ("bridge-45-47", include_str!("../../../examples/bridge-45-47.toml")),
    ("dark-incisor-cast-post", include_str!("../../../examples/dark-incisor-cast-post.toml")),
    ("cracked-molar", include_str!("../../../examples/cracked-molar.toml")),
    ("worn-molar", include_str!("../../../examples/worn-molar.toml")),
    ("implant-premolar", include_str!("../../../examples/implant-premolar.toml")),
    ("lost-lower-incisor", include_str!("../../../examples/lost-lower-incisor.toml")),
    ("chipped-bridge", include_str!("../../../examples/chipped-bridge.toml")),
    ("chipped-crown", include_str!("../../../examples/chipped-crown.toml")),
    ("molar-crown-ordered", include_str!("../../../examples/molar-crown-ordered.toml")),
    ("premolar-too-close", include_str!("../../../examples/premolar-too-close.toml")),
];

/// The text of an invented case.
pub fn example(name: &str) -> Option<&'static str> {
    EXAMPLES.iter().find(|e| e.0 == name).map(|e| e.1)
}

fn examples() -> Vec<Example> {
    // Each example says in its first line what it shows.
    let title = |text: &str| {
        let first = text.lines().next().unwrap_or_default().trim_start_matches(['#', ' ']);
        let told = first.trim_start_matches("Invented").trim_start_matches(", readings and all");
        told.trim_start_matches('.').trim().to_owned()
    };
    EXAMPLES.iter().map(|(name, text)| Example { name: (*name).to_owned(), title: title(text) }).collect()
}

macro_rules! list {
    ($list:ty) => {
        <$list>::ALL.iter().map(|w| ChoiceForm { value: w.word().into(), label: w.label().into() }).collect()
    };
}

/// All words, with the tooth sizes of the catalogue.
pub fn words(catalogue: &Catalogue) -> Words {
    let said = |value: &str, label: &str| ChoiceForm { value: value.into(), label: label.into() };
    Words {
        numberings: vec![
            said("iso", "two digits (ISO 3950)"),
            said("universal", "1 to 32"),
            said("quadrant", "quadrant and number"),
        ],
        teeth: Tooth::all().filter_map(|tooth| tooth_form(tooth, catalogue)).collect(),
        materials: list!(Material),
        builds: list!(Build),
        constructs: Construct::ALL
            .iter()
            .map(|c| ConstructForm {
                value: c.word().into(),
                label: c.label().into(),
                gap: c.treats() == Gap::Missing,
                indirect: c.is_indirect(),
                drawn_gap: Drawn::gap(*c),
                drawn_tooth: Drawn::tooth(*c),
                joined: c.has_pontic(),
            })
            .collect(),
        grades: list!(Grade),
        questions: list!(Question),
        substrates: list!(Substrate),
        surfaces: list!(Surface),
        causes: list!(Cause),
        consequences: list!(Consequence),
        bases: bases(),
        verdicts: {
            use answer::Verdict::{NotKnown, Suits, Unsuitable, WithCare};
            [Suits, WithCare, Unsuitable, NotKnown].iter().map(|v| said(&word_of(v), v.words())).collect()
        },
        priorities: list!(Matter),
        fields: fields(),
        tryin_outcomes: list!(Fit),
        tryin_causes: list!(Misfit),
        tryin_stages: list!(Stage),
        event_kinds: list!(EventKind),
        event_consequences: list!(EventConsequence),
        groupings: list!(Grouping),
        languages: papers::PAPERS.iter().flat_map(languages).fold(Vec::new(), each_once),
        lights: crate::swatches::lights(),
        examples: examples(),
    }
}

/// Languages a paper can speak, by their names in themselves.
fn languages(paper: &papers::Paper) -> Vec<ChoiceForm> {
    let name = |tag: &str| match tag {
        "en-GB" => "English".to_owned(),
        "de" => "Deutsch".to_owned(),
        other => other.to_owned(),
    };
    paper.languages.iter().map(|tag| ChoiceForm { value: (*tag).to_owned(), label: name(tag) }).collect()
}

fn each_once(mut list: Vec<ChoiceForm>, one: ChoiceForm) -> Vec<ChoiceForm> {
    if list.iter().all(|known| known.value != one.value) {
        list.push(one);
    }
    list
}

fn bases() -> Vec<ChoiceForm> {
    use answer::Basis;
    let all = [Basis::Own, Basis::Read, Basis::Computed, Basis::CommonPractice, Basis::Memory];
    all.iter().map(|b| ChoiceForm { value: word_of(b), label: b.word().to_owned() }).collect()
}

/// The word a value has in JSON.
fn word_of(value: &impl Serialize) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

fn tooth_form(tooth: Tooth, catalogue: &Catalogue) -> Option<ToothForm> {
    let size = catalogue.tooth(tooth)?;
    Some(ToothForm {
        code: tooth.code(),
        name: tooth.name(),
        labels: labels(tooth),
        jaw: tooth.jaw(),
        side: tooth.side(),
        place: tooth.place(),
        class: tooth.class().label().to_owned(),
        front: tooth.region() == catalogue::words::Region::Anterior,
        md_mm: size.mesiodistal_mm,
        bl_mm: size.buccolingual_mm,
        crown_mm: size.crown_height_mm,
        neck_mm: size.mesiodistal_cervix_mm,
        root_mm: size.root_length_mm,
    })
}

/// Names of a tooth: the numbering from 1 to 32 runs from the upper right third molar to the upper left one, then from the
/// lower left to the lower right.
fn labels(tooth: Tooth) -> Labels {
    let upper = tooth.jaw() == Jaw::Upper;
    let universal = if upper { tooth.place() + 1 } else { 32 - tooth.place() };
    let quadrant = match (upper, tooth.side()) {
        (true, Side::Right) => "UR",
        (true, Side::Left) => "UL",
        (false, Side::Left) => "LL",
        (false, Side::Right) => "LR",
    };
    Labels {
        iso: tooth.code().to_string(),
        universal: universal.to_string(),
        quadrant: format!("{quadrant}{}", tooth.number()),
    }
}

fn fields() -> Vec<WordedField> {
    let mut list = Vec::new();
    for field in ROOT {
        walk(field, "", field.name, &mut list);
    }
    list
}

fn walk(field: &Field, section: &str, path: &str, list: &mut Vec<WordedField>) {
    let colour = field.fields().iter().any(|f| f.name == "L");
    if !field.fields().is_empty() && !colour {
        for inner in field.fields() {
            walk(inner, path, &format!("{path}.{}", inner.name), list);
        }
        return;
    }
    list.extend(field_forms(path, field).into_iter().map(|form| WordedField {
        section: section.to_owned(),
        form,
        need: field.required,
        row: field.answer.map(|a: SheetAnswer| a.word().to_owned()),
        sheets: field.sheets.iter().map(|s| s.word().to_owned()).collect(),
        stump: field.at_stump,
    }));
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn numberings_name_the_same_teeth() {
        // The correspondence of ISO 3950 codes with the numbering 1 to 32 at the ends of each quadrant.
        for (code, universal, quadrant) in [
            (18, "1", "UR8"),
            (11, "8", "UR1"),
            (21, "9", "UL1"),
            (28, "16", "UL8"),
            (38, "17", "LL8"),
            (31, "24", "LL1"),
            (41, "25", "LR1"),
            (48, "32", "LR8"),
            (46, "30", "LR6"),
        ] {
            let labels = labels(Tooth::new(code).unwrap());
            assert_eq!((labels.universal.as_str(), labels.quadrant.as_str()), (universal, quadrant), "{code}");
        }
    }

    #[test]
    fn every_tooth_has_its_size_and_every_field_its_question() {
        let words = words(&Catalogue::shipped().unwrap());
        assert_eq!(words.teeth.len(), 32);
        assert!(words.teeth.iter().all(|t| t.md_mm > 4.0 && t.crown_mm > 5.0));
        assert!(
            words.fields.iter().all(|f| f.form.words.ends_with(['?', ')']) || f.form.field == "schema"),
            "a question"
        );
        assert!(words.fields.iter().any(|f| f.form.field == "abutment.stump" && f.form.kind == "colour"));
    }

    #[test]
    fn every_example_is_a_case() {
        for example in examples() {
            let text = super::example(&example.name).unwrap();
            assert!(case::Case::parse(&example.name, text).is_ok(), "{}", example.name);
            assert!(!example.title.is_empty());
        }
    }
}
