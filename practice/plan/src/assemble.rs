//! The report put together: what all options of a plan share, and the sources named anywhere in it.

use crate::alternatives::alternatives;
use crate::arms::arm_source;
use crate::candidates::carries_preparation;
use crate::criteria::{CRITERIA, weighing};
use crate::gates::gates;
use crate::plan::Settings;
use crate::report::{Arch, ArchUnit, DefaultUsed, OpenQuestion, PlannedOption, Ranking, Report, Role, SCHEMA};
use crate::sentence;
use crate::shared::Shared;
use crate::shares::Shares;
use answer::{Basis, Source, six_figures};
use case::Case;
use catalogue::Catalogue;
use std::collections::BTreeSet;

/// Everything about a plan in one report.
pub(crate) fn report(
    shared: &Shared<'_>,
    options: Vec<PlannedOption>,
    shares: &Shares,
    too_close: bool,
    open_questions: Vec<OpenQuestion>,
    settings: &Settings,
) -> Report {
    let (case, catalogue) = (shared.case, shared.catalogue);
    let gates = gates(case);
    let alternatives = alternatives(&shared.world, case, catalogue, shared.posterior);
    let (_, priorities) = weighing(case, catalogue);
    let mut report = Report {
        schema: SCHEMA,
        program: settings.program.clone(),
        seed: settings.seed,
        draws: shared.world.draws(),
        fidelity: settings.fidelity.word().to_owned(),
        moment: case.moment.word().to_owned(),
        case: settings.name.clone(),
        subject: subject(case),
        verdict: sentence::verdict(&options, too_close),
        too_close,
        arch: arch(case),
        gates,
        alternatives,
        ranking: Ranking {
            priorities,
            mean_weights: shares.mean_weights.map(six_figures),
            ways: shares.ways,
            anchors: anchors(catalogue),
        },
        open_questions,
        changes: None,
        case_against: None,
        set: None,
        defaults: defaults(case),
        cautions: cautions(case),
        warnings: settings.warnings.clone(),
        evidence_year: catalogue.studies().iter().filter_map(|s| s.year).max().unwrap_or(0),
        sources: Vec::new(),
        options,
    };
    report.sources = sources(&report, catalogue);
    report
}

fn subject(case: &Case) -> String {
    let list =
        |teeth: Vec<catalogue::words::Tooth>| teeth.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let (standing, missing) = (list(case.standing()), list(case.missing()));
    match (case.is_gap(), standing.is_empty()) {
        (true, true) => format!("gap at {missing}"),
        (true, false) => format!("gap at {missing}, neighbours {standing}"),
        (false, _) => format!("tooth {standing}"),
    }
}

fn arch(case: &Case) -> Arch {
    let units = case
        .units()
        .into_iter()
        .filter_map(|u| {
            let role = match u.role {
                case::Role::Retainer => Role::Retainer,
                case::Role::Pontic => Role::Pontic,
                case::Role::OnImplant => Role::Implant,
                case::Role::Neighbour => return None,
            };
            Some(ArchUnit { tooth: u.tooth, role })
        })
        .collect();
    Arch { units }
}

fn anchors(catalogue: &Catalogue) -> Vec<String> {
    CRITERIA
        .iter()
        .filter_map(|id| catalogue.values().criterion(id))
        .map(|c| format!("{}: {} worth 1, {} worth 0 ({})", c.id, c.best, c.worst, c.what))
        .collect()
}

fn defaults(case: &Case) -> Vec<DefaultUsed> {
    let mut list: Vec<DefaultUsed> = case::defaults_used(case)
        .into_iter()
        .map(|d| DefaultUsed {
            field: d.field,
            assumed: d.value,
            basis: d.basis,
            source: (!d.source.is_empty()).then_some(d.source),
        })
        .collect();
    let model = [
        ("mechanics", "studies' restorations are 1.15 times the tested minimum, spread 0.15 of the logarithm"),
        (
            "mechanics",
            "teeth under a bridge turn almost freely (springs of 20 N/mm3 around a stub); a contact is 1 mm in radius; wet strength is 0.75 to 1.0 of dry",
        ),
        ("colour", "the laboratory hits the wish over ordinary dentine (CIELAB 72, 3, 20) with its usual error"),
        ("evidence", "the setting is an average of those studied; materials are of their current generation"),
    ];
    list.extend(model.map(|(field, assumed)| DefaultUsed {
        field: field.to_owned(),
        assumed: assumed.to_owned(),
        basis: Basis::CommonPractice,
        source: None,
    }));
    if case.standing().into_iter().any(|tooth| carries_preparation(case, tooth)) {
        list.push(DefaultUsed {
            field: "preparation".to_owned(),
            assumed: "a tooth prepared before loses anything up to a third of what a sound one would".to_owned(),
            basis: Basis::CommonPractice,
            source: None,
        });
    }
    list
}

fn cautions(case: &Case) -> Vec<String> {
    let mut list = vec![
        "Decision support for licensed professionals; not a certified medical device.".to_owned(),
        "Local rules, the instructions of the material actually used, and the dentist's judgement come first."
            .to_owned(),
        "Odds are for a practice like those studied; they are not a promise to this patient.".to_owned(),
    ];
    if case.invented == Some(true) {
        list.push("This case and its readings are invented.".to_owned());
    }
    if !case.allergies_asked() {
        list.push("Allergies to metals and methacrylates were not asked: ask before anything is ordered.".to_owned());
    }
    list
}

/// All sources named anywhere in the report, arms by their publication.
fn sources(report: &Report, catalogue: &Catalogue) -> Vec<Source> {
    let mut ids: BTreeSet<&str> = BTreeSet::new();
    ids.extend(report.gates.iter().flat_map(|g| g.sources.iter().map(String::as_str)));
    ids.extend(report.alternatives.iter().flat_map(|a| a.sources.iter().map(String::as_str)));
    for option in &report.options {
        ids.extend(option.answers.iter().flat_map(|a| a.sources.iter().map(String::as_str)));
        ids.extend(option.dimensions.iter().flat_map(|d| d.sources.iter().map(String::as_str)));
        ids.extend(option.stops.iter().flat_map(|s| s.sources.iter().map(String::as_str)));
    }
    ids.extend(report.defaults.iter().filter_map(|d| d.source.as_deref()).flat_map(|s| s.split(';')).map(str::trim));
    ids.into_iter()
        .filter_map(|id| {
            let source = catalogue.source(id).cloned().or_else(|| arm_source(catalogue, id))?;
            Some(Source { id: id.to_owned(), ..source })
        })
        .collect()
}
