//! Stops gathered over the options they concern, and those options named by what they share: their construct, material or build.

use crate::blocks::{Weight, Words};
use crate::said::{marks, sentence};
use answer::Basis;
use catalogue::words::Construct;
use plan::{PlannedOption, Report, Stop};

/// A stop or caution with all options it concerns.
pub(crate) struct Gathered<'a> {
    pub stop: &'a Stop,
    pub options: Vec<&'a PlannedOption>,
}

/// Stops of all options, each once; forbidding ones first.
pub(crate) fn gathered(report: &Report) -> Vec<Gathered<'_>> {
    let mut list: Vec<Gathered<'_>> = Vec::new();
    for option in &report.options {
        for stop in &option.stops {
            let same = |g: &&mut Gathered<'_>| {
                g.stop.id == stop.id && g.stop.text == stop.text && g.stop.forbids == stop.forbids
            };
            match list.iter_mut().find(same) {
                Some(found) => found.options.push(option),
                None => list.push(Gathered { stop, options: vec![option] }),
            }
        }
    }
    list.sort_by_key(|g| !g.stop.forbids);
    list
}

impl Gathered<'_> {
    /// How grave it is.
    pub(crate) fn weight(&self) -> Weight {
        if self.stop.forbids { Weight::Stop } else { Weight::Caution }
    }

    /// True when one of these options is concerned.
    pub(crate) fn concerns(&self, options: &[&PlannedOption]) -> bool {
        self.options.iter().any(|o| options.iter().any(|p| p.id == o.id))
    }

    /// What it says, whom it concerns, and why it was set aside.
    pub(crate) fn words(&self, report: &Report) -> Words {
        let memory = (self.stop.basis == Basis::Memory).then_some(Basis::Memory);
        let mut words = marks(Words::from(sentence(&self.stop.text)), &[], memory)
            .plain(" ")
            .quiet(format!("Concerns {}.", whom(report, &self.options)));
        for option in self.options.iter().filter(|_| self.stop.forbids) {
            if let Some(why) = &option.override_reason {
                words = words.plain(format!(" Set aside by the dentist for {}: {}", option.title, sentence(why)));
            }
        }
        words
    }
}

/// Options by what they share, e.g. `every bridge`, `bridge and crown in lithium disilicate`, `implant crown, layered`.
fn whom(report: &Report, concerned: &[&PlannedOption]) -> String {
    if concerned.len() == report.options.len() {
        return "all options".to_owned();
    }
    let mut parts: Vec<(Shared, Vec<Construct>)> = Vec::new();
    for option in concerned {
        if parts.iter().any(|(_, c)| c.contains(&option.construct)) {
            continue;
        }
        let shared = Shared::of(report, concerned, option.construct);
        match parts.iter_mut().find(|(s, _)| *s == shared) {
            Some((_, constructs)) => constructs.push(option.construct),
            None => parts.push((shared, vec![option.construct])),
        }
    }
    let said = parts.iter().map(|(shared, constructs)| {
        let names = constructs.iter().map(|c| c.label()).collect::<Vec<_>>().join(" and ");
        match shared {
            Shared::All => format!("every {names}"),
            Shared::Materials(m) => format!("{names} in {}", m.join(", ")),
            Shared::Builds(b) => format!("{names}, {}", b.join(" or ")),
            Shared::Single(b) => format!("{names} in {}", b.join("; ")),
        }
    });
    said.collect::<Vec<_>>().join("; ")
}

/// What the concerned options of one construct share.
#[derive(PartialEq)]
enum Shared {
    All,
    Materials(Vec<&'static str>),
    Builds(Vec<&'static str>),
    Single(Vec<String>),
}

impl Shared {
    fn of(report: &Report, concerned: &[&PlannedOption], construct: Construct) -> Self {
        let all: Vec<&PlannedOption> = report.options.iter().filter(|o| o.construct == construct).collect();
        let hit = |o: &PlannedOption| concerned.iter().any(|c| c.id == o.id);
        if all.iter().all(|o| hit(o)) {
            return Self::All;
        }
        // A material (or build) shared is one of which every option is concerned; together they must hold all that are.
        let whole = |key: &dyn Fn(&PlannedOption) -> &'static str| -> Option<Vec<&'static str>> {
            let mut keys: Vec<&'static str> = all.iter().filter(|o| hit(o)).map(|o| key(o)).collect();
            keys.sort_unstable();
            keys.dedup();
            all.iter().filter(|o| keys.contains(&key(o))).all(|o| hit(o)).then_some(keys)
        };
        if let Some(materials) = whole(&|o| o.material.label()) {
            return Self::Materials(materials);
        }
        if let Some(builds) = whole(&|o| o.build.label()) {
            return Self::Builds(builds);
        }
        let single = all.iter().filter(|o| hit(o)).map(|o| format!("{}, {}", o.material.label(), o.build.label()));
        Self::Single(single.collect())
    }
}
