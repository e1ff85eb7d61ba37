//! What every paper is made from: the case as given, the report computed of it, and the way of treating it the papers are for.

use crate::Facts;
use crate::consent::Texts;
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Construct, Tooth};
use plan::{Alternative, PlannedOption, Report};

/// Everything a paper may draw on. A paper computes nothing: each figure is one of these.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The case as given.
    pub case: &'a Case,
    /// What was computed of it.
    pub report: &'a Report,
    /// The way of treating it the papers are for.
    pub chosen: Chosen<'a>,
    /// What pictures need.
    pub facts: &'a Facts,
    /// Rows with their sources: steps, dimensions, what an order must hold.
    pub catalogue: &'a Catalogue,
    /// The day the papers are of, `year-month-day`.
    pub date: &'a str,
    /// Language wished for (BCP 47); a paper that does not speak it comes in British English.
    pub lang: &'a str,
    /// Languages of the practice's own, beside the shipped ones.
    pub texts: &'a [Texts],
    /// What stands in the photographs and scans the order names.
    pub files: &'a [Fingerprint],
}

impl Known<'_> {
    /// Teeth that carry the way chosen: those it prepares, else all that stand; none for a crown on an implant.
    pub fn carriers(&self) -> Vec<Tooth> {
        match self.chosen.option() {
            Some(option) if option.construct == Construct::ImplantCrown => Vec::new(),
            Some(option) if !option.preparation.is_empty() => {
                let carries = |t: &Tooth| option.preparation.iter().any(|p| p.tooth == *t);
                self.case.standing().into_iter().filter(carries).collect()
            }
            _ => self.case.standing(),
        }
    }
}

/// A file that goes with the order, told by its contents.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fingerprint {
    /// Name as the case gives it.
    pub name: String,
    /// SHA-256 of its contents in hexadecimal; `None` where the file was not found.
    pub sha256: Option<String>,
}

/// The way of treating it that papers are for.
#[derive(Debug, Clone, Copy)]
pub enum Chosen<'a> {
    /// One of the options that were computed.
    Option(&'a PlannedOption),
    /// One that is named and not computed, e.g. a repair.
    Alternative(&'a Alternative),
    /// Nothing can be offered: neither option nor alternative.
    Nothing,
}

impl<'a> Chosen<'a> {
    /// By name: the id of an option, or the word of an alternative's construct. `None` where the report holds neither.
    pub fn named(report: &'a Report, name: &str) -> Option<Self> {
        let option = report.option(name).map(Self::Option);
        option.or_else(|| report.alternatives.iter().find(|a| a.construct.word() == name).map(Self::Alternative))
    }

    /// What the case says was chosen; else the first option that is not stopped; else the first alternative.
    pub fn of(case: &Case, report: &'a Report) -> Self {
        let said = case.chosen.as_ref().and_then(|chosen| {
            let option = plan::chosen(report, chosen).map(Self::Option);
            option
                .or_else(|| report.alternatives.iter().find(|a| a.construct == chosen.construct).map(Self::Alternative))
        });
        let first = || report.options.iter().find(|o| !o.stopped).map(Self::Option);
        said.or_else(first).or_else(|| report.alternatives.first().map(Self::Alternative)).unwrap_or(Self::Nothing)
    }

    /// Names that [`Chosen::named`] knows, options first.
    pub fn names(report: &Report) -> Vec<String> {
        let alternatives = report.alternatives.iter().map(|a| a.construct.word().to_owned());
        report.options.iter().map(|o| o.id.clone()).chain(alternatives).collect()
    }

    /// Its name as [`Chosen::named`] takes it; empty for nothing.
    pub fn name(self) -> &'a str {
        match self {
            Self::Option(o) => &o.id,
            Self::Alternative(a) => a.construct.word(),
            Self::Nothing => "",
        }
    }

    /// In words.
    pub fn title(self) -> &'a str {
        match self {
            Self::Option(o) => &o.title,
            Self::Alternative(a) => &a.title,
            Self::Nothing => "nothing that can be offered",
        }
    }

    /// Its construct.
    pub fn construct(self) -> Option<Construct> {
        match self {
            Self::Option(o) => Some(o.construct),
            Self::Alternative(a) => Some(a.construct),
            Self::Nothing => None,
        }
    }

    /// The option, where it is one that was computed.
    pub fn option(self) -> Option<&'a PlannedOption> {
        match self {
            Self::Option(option) => Some(option),
            Self::Alternative(_) | Self::Nothing => None,
        }
    }
}
