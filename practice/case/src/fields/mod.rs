//! The list of everything a case file may hold: the one source of the names the reader knows, the templates, the JSON schema,
//! the table in `docs/case.md`, the open questions and the defaults.
//!
//! A [`Field`] is written once, in the file of its idea; [`ROOT`] is the whole tree.

mod abutment;
mod answers;
mod implant;
mod laboratory;
mod mouth;
mod order;
mod restoration;
mod root;
mod sheet;
mod space;
mod wish;

pub use answers::SheetAnswer;
pub use root::ROOT;
pub use sheet::Sheet;

use answer::{Basis, Unit};

/// One word that may be written, with its printed form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// As written in the file.
    pub word: &'static str,
    /// As printed.
    pub label: &'static str,
}

/// What may stand in a field.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// Words of one's own.
    Text,
    /// Several words of one's own.
    TextList,
    /// Whole number between two bounds, both allowed.
    Whole {
        /// Smallest.
        low: i64,
        /// Largest.
        high: i64,
    },
    /// Number between two bounds, both allowed.
    Number {
        /// Smallest.
        low: f64,
        /// Largest.
        high: f64,
        /// Unit.
        unit: Unit,
    },
    /// `true` or `false`.
    YesNo,
    /// One word of a list.
    Choice(fn() -> Vec<Choice>),
    /// Several words of a list.
    ChoiceList(fn() -> Vec<Choice>),
    /// One word of a list, or a number between two bounds.
    ChoiceOrNumber {
        /// Words.
        choices: fn() -> Vec<Choice>,
        /// Smallest number.
        low: f64,
        /// Largest number.
        high: f64,
        /// True when the number must be whole.
        whole: bool,
        /// Unit of the number.
        unit: Unit,
    },
    /// A tooth by its two-digit code (ISO 3950).
    Tooth,
    /// Several teeth.
    TeethList,
    /// A section of fields.
    Section(&'static [Field]),
    /// A section that may stand several times.
    Sections(&'static [Field]),
}

/// What is taken while a field is not answered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Taken {
    /// One value, said in words.
    Words(&'static str),
    /// A range, in the unit of the field; spread evenly.
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Everything the field allows.
    Anything,
}

/// What is taken while a field is not answered, and where that comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fallback {
    /// What.
    pub taken: Taken,
    /// How far to trust it.
    pub basis: Basis,
    /// Source id, or empty.
    pub source: &'static str,
}

/// One field of the case file.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Name as written.
    pub name: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// The question, as a person asks it.
    pub question: &'static str,
    /// What hangs on it.
    pub why: &'static str,
    /// True when the file is refused without it (in a section: without it once the section is begun).
    pub required: bool,
    /// The row of the sheet it belongs to; missing, it is an open question. `None`: it only sharpens the answer.
    pub answer: Option<SheetAnswer>,
    /// Fields of one answer with different numbers here are different ways of giving it; 0 belongs to every way.
    pub way: u8,
    /// Sheets it stands on; empty: all.
    pub sheets: &'static [Sheet],
    /// True when it can only be known after preparation.
    pub at_stump: bool,
    /// What is taken while it is not answered.
    pub fallback: Option<Fallback>,
    /// What a template writes as an example, in TOML.
    pub example: &'static str,
}

impl Field {
    /// An optional field of all sheets, known before preparation, without fallback.
    const fn new(
        name: &'static str,
        kind: Kind,
        question: &'static str,
        why: &'static str,
        example: &'static str,
    ) -> Self {
        let sheets = &[];
        let (required, answer, way, at_stump, fallback) = (false, None, 0, false, None);
        Self { name, kind, question, why, required, answer, way, sheets, at_stump, fallback, example }
    }

    const fn required(mut self) -> Self {
        self.required = true;
        self
    }

    const fn must(mut self, answer: SheetAnswer) -> Self {
        self.answer = Some(answer);
        self
    }

    const fn way(mut self, way: u8) -> Self {
        self.way = way;
        self
    }

    const fn only(mut self, sheets: &'static [Sheet]) -> Self {
        self.sheets = sheets;
        self
    }

    const fn at_stump(mut self) -> Self {
        self.at_stump = true;
        self
    }

    const fn else_anything(self) -> Self {
        self.otherwise(Taken::Anything, Basis::CommonPractice, "")
    }

    const fn else_words(self, words: &'static str) -> Self {
        self.otherwise(Taken::Words(words), Basis::CommonPractice, "")
    }

    const fn otherwise(mut self, taken: Taken, basis: Basis, source: &'static str) -> Self {
        self.fallback = Some(Fallback { taken, basis, source });
        self
    }

    /// True when it stands on a sheet.
    pub fn stands_on(&self, sheet: Sheet) -> bool {
        self.sheets.is_empty() || self.sheets.contains(&sheet)
    }

    /// True for a section that is answered as a whole: it may be left out, but once begun it must be complete.
    pub fn is_whole(&self) -> bool {
        matches!(self.kind, Kind::Section(fields) if !self.required && fields.iter().any(|f| f.required))
    }

    /// The fields of a section; empty for all else.
    pub fn fields(&self) -> &'static [Field] {
        match self.kind {
            Kind::Section(fields) | Kind::Sections(fields) => fields,
            _ => &[],
        }
    }
}

impl Kind {
    /// Unit of the number it takes, if any.
    pub fn unit(&self) -> Option<Unit> {
        match self {
            Self::Number { unit, .. } | Self::ChoiceOrNumber { unit, .. } => Some(*unit),
            _ => None,
        }
    }

    /// Words that may be written; empty where none are fixed.
    pub fn choices(&self) -> Vec<Choice> {
        match self {
            Self::Choice(list) | Self::ChoiceList(list) | Self::ChoiceOrNumber { choices: list, .. } => list(),
            _ => Vec::new(),
        }
    }

    /// What is expected, in words for messages and documents.
    pub fn expectation(&self) -> String {
        let words = |list: &dyn Fn() -> Vec<Choice>| {
            list().iter().map(|c| format!("\"{}\"", c.word)).collect::<Vec<_>>().join(", ")
        };
        let with_unit = |unit: &Unit| match unit {
            Unit::One | Unit::Share | Unit::Money => String::new(),
            Unit::Degrees => " degrees".to_owned(),
            Unit::Years => " years".to_owned(),
            other => format!(" {other}"),
        };
        match self {
            Self::Text => "words in quotation marks".into(),
            Self::TextList => "a list of words in quotation marks".into(),
            Self::Whole { low, high } if low == high => low.to_string(),
            Self::Whole { low, high } => format!("a whole number from {low} to {high}"),
            Self::Number { low, high, unit } => format!("a number from {low} to {high}{}", with_unit(unit)),
            Self::YesNo => "true or false".into(),
            Self::Choice(list) => format!("one of {}", words(list)),
            Self::ChoiceList(list) => format!("a list of {}", words(list)),
            Self::ChoiceOrNumber { choices, low, high, whole, unit } => {
                let number = if *whole { "a whole number" } else { "a number" };
                format!("one of {}, or {number} from {low} to {high}{}", words(choices), with_unit(unit))
            }
            Self::Tooth => "a tooth by its two-digit code: 11-18, 21-28, 31-38, 41-48".into(),
            Self::TeethList => "a list of teeth by two-digit codes, e.g. [45, 46, 47]".into(),
            Self::Section(_) => "a section".into(),
            Self::Sections(_) => "a section in double brackets".into(),
        }
    }
}

/// The words of a closed list as a kind's choices.
macro_rules! choices {
    ($list:ty) => {
        || <$list>::ALL.iter().map(|w| $crate::fields::Choice { word: w.word(), label: w.label() }).collect()
    };
}
use choices;

/// A number of millimetres between two bounds.
const fn millimetres(low: f64, high: f64) -> Kind {
    Kind::Number { low, high, unit: Unit::Millimetres }
}

/// A number of degrees between two bounds.
const fn degrees(low: f64, high: f64) -> Kind {
    Kind::Number { low, high, unit: Unit::Degrees }
}

/// A pure number between two bounds.
const fn number(low: f64, high: f64) -> Kind {
    Kind::Number { low, high, unit: Unit::One }
}

/// A share, 0 to 1.
const SHARE: Kind = Kind::Number { low: 0.0, high: 1.0, unit: Unit::Share };

/// A colour read by an instrument.
const READING: &[Field] = &[
    Field::new("L", number(0.0, 100.0), "Lightness L*?", "colour through the restoration", "62.0").required(),
    Field::new("a", number(-128.0, 127.0), "a* (green to red)?", "colour through the restoration", "3.0").required(),
    Field::new("b", number(-128.0, 127.0), "b* (blue to yellow)?", "colour through the restoration", "16.0").required(),
    Field::new(
        "spread",
        number(0.0, 50.0),
        "How far did repeated readings lie apart (standard deviation)?",
        "widens the colour answer",
        "1.5",
    )
    .otherwise(Taken::Range { low: 1.0, high: 3.0 }, Basis::CommonPractice, ""),
    Field::new(
        "instrument",
        Kind::Text,
        "Read with what?",
        "goes on record; instruments differ",
        "\"contact spectrophotometer\"",
    ),
];

/// The field at a path without indices, e.g. `abutment.ferrule`.
pub fn find(path: &str) -> Option<&'static Field> {
    let mut fields = ROOT;
    let mut found = None;
    for name in path.split('.') {
        found = Some(fields.iter().find(|f| f.name == name)?);
        fields = found.map_or(&[], Field::fields);
    }
    found
}
