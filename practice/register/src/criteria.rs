//! The trade's open criteria for recalls, read from `data/outcome_criteria.csv`: which criteria and scores a scheme has, and what a score
//! counts as.

use crate::record::Recall;
use crate::words::Scheme;
use answer::Issue;
use catalogue::Catalogue;
use table::Row;

/// What a score counts as, lightest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Finding {
    /// As it should be, or acceptable.
    Good,
    /// In place, but something has to be done.
    NotSuccess,
    /// Lost or beyond repair.
    NotSurvival,
}

/// The criteria of all schemes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Criteria {
    /// Scheme, code, name.
    known: Vec<(Scheme, String, String)>,
    /// Scheme, score, what it counts as.
    scale: Vec<(Scheme, String, Finding)>,
}

/// Rows of the 2010 edition have no scale of their own in the table; its five scores mean what those of 2023 do.
const SHARED_SCALE: (Scheme, Scheme) = (Scheme::Fdi2010, Scheme::Fdi2023);

impl Criteria {
    /// The shipped criteria.
    ///
    /// # Errors
    /// When the tables compiled in cannot be read.
    pub fn shipped() -> Result<Self, Vec<Issue>> {
        Catalogue::shipped().map(|catalogue| Self::of(&catalogue))
    }

    /// The criteria of a catalogue.
    pub fn of(catalogue: &Catalogue) -> Self {
        let rows = catalogue.table("outcome_criteria.csv").unwrap_or_default();
        let mut criteria = Self::default();
        for (row, _) in rows {
            criteria.take(row);
        }
        let (to, from) = SHARED_SCALE;
        let shared: Vec<_> = criteria.scale.iter().filter(|s| s.0 == from).map(|s| (to, s.1.clone(), s.2)).collect();
        criteria.scale.extend(shared);
        criteria
    }

    fn take(&mut self, row: &Row) {
        let cell = |column: &str| row.maybe(column).unwrap_or_default();
        let scheme = match cell("scheme") {
            "FDI 2023" => Scheme::Fdi2023,
            "FDI 2010" => Scheme::Fdi2010,
            "modified USPHS / Ryge" => Scheme::Usphs,
            _ => return,
        };
        if cell("domain") == "all" {
            let finding = match cell("counts_as") {
                "failure of survival" => Finding::NotSurvival,
                text if text.starts_with("failure of success") => Finding::NotSuccess,
                _ => Finding::Good,
            };
            self.scale.push((scheme, cell("score").to_owned(), finding));
            return;
        }
        let code = if cell("code").is_empty() { cell("criterion") } else { cell("code") };
        if !self.known.iter().any(|k| k.0 == scheme && k.1 == code) {
            self.known.push((scheme, code.to_owned(), cell("criterion").to_owned()));
        }
    }

    /// Criteria of a scheme: code and name.
    pub fn of_scheme(&self, scheme: Scheme) -> impl Iterator<Item = (&str, &str)> {
        self.known.iter().filter(move |k| k.0 == scheme).map(|k| (k.1.as_str(), k.2.as_str()))
    }

    /// Scores of a scheme, best first.
    pub fn scores(&self, scheme: Scheme) -> impl Iterator<Item = &str> {
        self.scale.iter().filter(move |s| s.0 == scheme).map(|s| s.1.as_str())
    }

    /// The gravest finding of a recall.
    pub fn finding(&self, recall: &Recall) -> Finding {
        let Some(scheme) = recall.scheme else { return Finding::Good };
        let of = |score: &str| self.scale.iter().find(|s| s.0 == scheme && s.1 == score).map(|s| s.2);
        recall.scores.iter().filter_map(|s| of(&s.score)).max().unwrap_or(Finding::Good)
    }

    /// What is wrong with a recall's scores.
    pub fn issues(&self, recall: &Recall) -> Vec<Issue> {
        let place = |field: &str| answer::Place {
            field: format!("recall `{}`, {field}", recall.key),
            ..answer::Place::default()
        };
        let Some(scheme) = recall.scheme else {
            return if recall.scores.is_empty() {
                Vec::new()
            } else {
                vec![Issue::error(
                    place("scheme"),
                    "scores without the scheme they follow",
                    Scheme::ALL.iter().map(|s| s.word()).collect::<Vec<_>>().join(", "),
                    "name the scheme",
                )]
            };
        };
        let mut issues = Vec::new();
        for score in &recall.scores {
            if !self.of_scheme(scheme).any(|(code, _)| code == score.criterion) {
                let near = answer::nearest_name(&score.criterion, self.of_scheme(scheme).map(|k| k.0));
                let list: Vec<&str> = self.of_scheme(scheme).map(|k| k.0).collect();
                issues.push(Issue::error(
                    place("criterion"),
                    format!("`{}` is no criterion of {scheme}", score.criterion),
                    list.join(", "),
                    near.map_or("take one of these".to_owned(), |n| format!("did you mean `{n}`?")),
                ));
            }
            if !self.scores(scheme).any(|s| s == score.score) {
                issues.push(Issue::error(
                    place("score"),
                    format!("`{}` is no score of {scheme}", score.score),
                    self.scores(scheme).collect::<Vec<_>>().join(", "),
                    "write the score as the scheme does",
                ));
            }
        }
        issues
    }
}
