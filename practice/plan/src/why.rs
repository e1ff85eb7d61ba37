//! Why a number: the equation it came by, what went in, what stands for what was not given, and the sources.
//!
//! Everything here is read from a report and its case; nothing is computed. Equations are those of docs/methods/evidence.md, strength.md, colour.md and
//! anatomy.md in one line.

use crate::report::{PlannedOption, QuestionAnswer, Report};
use answer::{Basis, Source};
use catalogue::words::{Construct, Question};
use schemars::JsonSchema;
use serde::Serialize;

/// Why a number.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Why {
    /// What is asked, with its answer.
    pub title: String,
    /// How the number follows, as text.
    pub equation: String,
    /// The symbols of the equation, with their values where the report holds them.
    pub symbols: Vec<Symbol>,
    /// What went in: dimensions, findings, and what stands for what was not given.
    pub inputs: Vec<Input>,
    /// The reasons, gravest first, and what would narrow it.
    pub steps: Vec<String>,
    /// Sources.
    pub sources: Vec<Source>,
    /// Ids used that are rows of the data rather than sources.
    pub rows: Vec<String>,
    /// Weakest basis among them.
    pub basis: Option<Basis>,
}

/// A symbol of an equation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Symbol {
    /// As in the equation.
    pub symbol: String,
    /// In words.
    pub words: String,
    /// Its value with interval, in words.
    pub value: Option<String>,
}

/// What went into a number.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Input {
    /// Field of the case, or quantity.
    pub field: String,
    /// What was taken.
    pub value: String,
    /// How far to trust it.
    pub basis: Option<Basis>,
    /// True when it stands for something that was not given.
    pub default: bool,
}

/// Why an option's answer to a question is what it is; `None` where the report has no such option.
pub fn why(report: &Report, option: &str, question: Question) -> Option<Why> {
    let option = report.option(option)?;
    let answer = option.answers.iter().find(|a| a.question == question)?;
    let (equation, symbols) = equation(option, answer);
    let (sources, rows) = provenance(report, answer);
    let mut steps = answer.reasons.clone();
    steps.extend(
        answer
            .narrowed_by
            .iter()
            .map(|(name, share)| format!("{:.0} % of its spread comes from {name}", 100.0 * share)),
    );
    Some(Why {
        title: format!("{} {}: {}", question.label(), option.title, answer.words),
        equation: equation.to_owned(),
        symbols,
        inputs: inputs(report, option, question),
        steps,
        sources,
        rows,
        basis: answer.basis,
    })
}

fn interval(answer: &QuestionAnswer) -> Option<String> {
    let value = answer.value?;
    Some(format!("{} ({} to {})", value.mean, value.low, value.high))
}

fn equation(option: &PlannedOption, answer: &QuestionAnswer) -> (&'static str, Vec<Symbol>) {
    let symbol = |symbol: &str, words: &str, value: Option<String>| Symbol {
        symbol: symbol.to_owned(),
        words: words.to_owned(),
        value,
    };
    let share = |at: f64| option.loss_curve.points.iter().find(|p| p.year == at).map(|p| p.median.to_string());
    match answer.question {
        Question::Last => (
            "F(t) = 1 - exp(-sum over causes c of H_c(t)); H_c(t) = pooled hazard of a new setting x hazard ratios of the case",
            vec![
                symbol("F(10)", "risk of loss by ten years", interval(answer)),
                symbol("F(5)", "the same by five years, median", share(5.0)),
                symbol("H_c", "cumulative hazard of one cause, pooled from the studies named below", None),
            ],
        ),
        Question::Break => (
            "P(t) = 1 - exp(-H(t) x h_case / h_studies); h: mean hazard over bite loads of Weibull failure with slow crack growth",
            vec![
                symbol("P(10)", "risk of fracture by ten years", interval(answer)),
                symbol("H", "pooled hazard of fracture in patients: it sets the level", None),
                symbol("h_case / h_studies", "what mechanics says the dimensions and loads of this case change", None),
            ],
        ),
        Question::Show => (
            "dE00 = CIEDE2000(colour of the layers over what lies beneath, wish); seen: share of draws beyond the observer's limit",
            vec![
                symbol("dE00", "difference from the wish", interval(answer)),
                symbol("layers", "two-flux theory with boundaries, a draw an optical family", None),
            ],
        ),
        Question::Lose => (
            "share = 1 - V(largest stump that leaves the working thickness) / V(crown), a draw a tooth",
            vec![symbol("share", "share of the crown removed", interval(answer))],
        ),
        Question::Hold => (
            "risk = 1 - (1 - L)(1 - C); L, C: pooled risks of coming off for good and of being put back, by ten years",
            vec![symbol("risk", "risk of coming off by ten years", interval(answer))],
        ),
        Question::Cost => (
            "fee = the practice's own laboratory fee for the material; expected remakes are shown beside it, not added",
            vec![symbol("fee", "laboratory fee", interval(answer))],
        ),
    }
}

/// Fields of the case that bear on a question; a default of any other field is not repeated here.
fn bears(field: &str, question: Question) -> bool {
    let any = |words: &[&str]| words.iter().any(|w| field.contains(w));
    match question {
        Question::Last => {
            any(&["grinding", "caries", "smoking", "pulp", "walls", "ferrule", "evidence", "turn", "guard"])
        }
        Question::Break => {
            any(&["grinding", "guard", "bite", "opposing", "guidance", "space", "connector", "mechanics"])
        }
        Question::Show => any(&["substrate", "stump", "colour", "visible", "wish", "gum", "abutment.reading"]),
        Question::Lose => any(&["space", "dentine", "crown_mm", "tilt", "age", "preparation", "prepared"]),
        Question::Hold => any(&["wall", "convergence", "dry", "ferrule", "enamel", "margin", "filled"]),
        Question::Cost => any(&["laboratory"]),
    }
}

fn inputs(report: &Report, option: &PlannedOption, question: Question) -> Vec<Input> {
    let mut list: Vec<Input> = Vec::new();
    let by_size = matches!(question, Question::Break | Question::Show | Question::Lose);
    if by_size && option.construct != Construct::ImplantCrown {
        list.extend(option.dimensions.iter().map(|d| Input {
            field: d.surface.map_or(d.what.clone(), |s| format!("{}, {s}", d.what)),
            value: format!("{} {} (tested minimum {})", d.working, d.unit, d.tested_minimum),
            basis: Some(d.basis),
            default: false,
        }));
    }
    list.extend(report.defaults.iter().filter(|d| bears(&d.field, question)).map(|d| Input {
        field: d.field.clone(),
        value: d.assumed.clone(),
        basis: Some(d.basis),
        default: true,
    }));
    list
}

fn provenance(report: &Report, answer: &QuestionAnswer) -> (Vec<Source>, Vec<String>) {
    let mut sources: Vec<Source> = Vec::new();
    let mut rows = Vec::new();
    for id in &answer.sources {
        match report.sources.iter().find(|s| s.id == *id) {
            Some(source) if !sources.contains(source) => sources.push(source.clone()),
            Some(_) => {}
            None => rows.push(id.clone()),
        }
    }
    (sources, rows)
}
