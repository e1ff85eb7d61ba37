//! Ways told with numbers, computed options and what studies tell of the others alike.

use super::ways::{self, Ways};
use super::{Asked, Texts};
use answer::{Caveat, Interval};
use catalogue::words::Question;
use plan::PlannedOption;

/// A way with its numbers, within ten years.
pub(super) struct Told {
    /// What it is called.
    pub name: String,
    /// Share lost.
    pub lost: Option<Interval>,
    /// Share on which something is done again.
    pub again: Option<Interval>,
    /// True where little is known of it.
    pub little_known: bool,
    /// True where it is drawn too.
    pub drawn: bool,
}

/// The ways shown, then other makes of the leading ones, then alternatives that studies tell of.
pub(super) fn all(asked: &Asked<'_>, ways: &Ways<'_>) -> Vec<Told> {
    let texts = asked.texts;
    let known: Vec<&PlannedOption> = ways.shown.iter().chain(&ways.makes).copied().collect();
    let mut told: Vec<Told> = known
        .iter()
        .map(|option| Told {
            name: ways::short_name(texts, option, &known),
            lost: lost(option),
            again: option.done_again,
            little_known: little_known(option),
            drawn: ways.shown.iter().any(|o| o.id == option.id),
        })
        .collect();
    told.extend(asked.known.report.alternatives.iter().filter(|a| a.lost.is_some()).map(|a| Told {
        name: ways::construct(texts, a.construct),
        lost: a.lost,
        again: None,
        little_known: false,
        drawn: true,
    }));
    told
}

/// The risk of loss within ten years; `None` where it is not known.
pub(super) fn lost(option: &PlannedOption) -> Option<Interval> {
    option.answers.iter().find(|a| a.question == Question::Last).and_then(|a| a.value)
}

fn little_known(option: &PlannedOption) -> bool {
    let marks = |c: &Caveat| matches!(c, Caveat::LittleKnown | Caveat::MechanicsOnly | Caveat::NotComputed);
    option.loss_curve.arms < 3
        || option.answers.iter().filter(|a| a.question == Question::Last).any(|a| a.caveats.iter().any(marks))
}

impl Told {
    /// What is left of 100.
    pub(super) fn kept(&self, texts: &Texts) -> String {
        self.lost.map_or(texts.get("not_known").to_owned(), |l| texts.of_hundred(1.0 - l.mean))
    }
}
