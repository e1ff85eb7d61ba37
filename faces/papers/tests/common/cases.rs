//! Plans of the invented cases that ship, and what every paper needs of them.

use case::Case;
use catalogue::Catalogue;
use papers::{Chosen, Facts, Known};
use plan::Report;
use std::sync::OnceLock;

/// The facts as shipped, read once.
pub fn catalogue() -> &'static Catalogue {
    static HELD: OnceLock<Catalogue> = OnceLock::new();
    HELD.get_or_init(|| Catalogue::shipped().unwrap())
}

/// A shipped case's text.
pub fn text(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// A case with its plan.
pub struct Planned {
    pub case: Case,
    pub report: Report,
    pub facts: Facts,
}

/// Plans a case from its text, quickly.
pub fn plan_of(name: &str, text: &str) -> Planned {
    let posterior = plan::shipped_posterior().unwrap();
    let (case, _) = Case::parse(name, text)
        .unwrap_or_else(|i| panic!("{}", i.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")));
    let settings = plan::Settings {
        seed: 3,
        fidelity: plan::Fidelity::Instant,
        today: "2026-03".into(),
        name: name.into(),
        program: "bisque test".into(),
        warnings: Vec::new(),
        changes: false,
        shown: Default::default(),
    };
    let report = plan::plan(&case, catalogue(), &posterior, &settings, &answer::NoProgress).unwrap();
    Planned { case, report, facts: Facts::of(catalogue()) }
}

#[allow(dead_code)] // tests and bench each use a part
impl Planned {
    /// The same plan with another text of its case: for what papers read from the case alone.
    pub fn with_case(&self, text: &str) -> Self {
        let (case, _) = Case::parse("case", text)
            .unwrap_or_else(|i| panic!("{}", i.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")));
        Self { case, report: self.report.clone(), facts: self.facts.clone() }
    }

    /// A shipped case.
    pub fn shipped(name: &str) -> Self {
        plan_of(name, &text(name))
    }

    /// What papers are made from, for the way the case chose or the plan's first.
    pub fn known(&self) -> Known<'_> {
        self.for_chosen(Chosen::of(&self.case, &self.report))
    }

    /// For another way, by name.
    pub fn named(&self, name: &str) -> Known<'_> {
        let chosen = Chosen::named(&self.report, name);
        self.for_chosen(chosen.unwrap_or_else(|| panic!("{name} is none of {:?}", Chosen::names(&self.report))))
    }

    fn for_chosen<'a>(&'a self, chosen: Chosen<'a>) -> Known<'a> {
        Known {
            case: &self.case,
            report: &self.report,
            chosen,
            facts: &self.facts,
            catalogue: catalogue(),
            date: "2026-03-31",
            lang: "en-GB",
            texts: &[],
            files: &[],
        }
    }
}
