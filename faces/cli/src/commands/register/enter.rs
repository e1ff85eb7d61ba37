//! Entering single things: a restoration, a try-in, an event, what became of a patient.

use super::super::{print_json, say};
use super::{Desk, day, word};
use crate::args::{EventArgs, PlaceArgs, TryInArgs};
use crate::failure::Failure;
use crate::files;
use ::plan::Report;
use ::register::trade::{Build, Construct, Material, tooth};
use ::register::words::{Consequence, EventKind, Fit, Misfit, Stage};
use ::register::{Day, Done, Event, Restoration, TryIn};

/// Enters a restoration that was ordered or placed.
pub fn place(desk: &Desk, args: &PlaceArgs) -> Result<(), Failure> {
    let mut keeper = desk.open()?;
    let on = args.day.as_deref().map(day).transpose()?.unwrap_or(desk.today);
    if let Some(key) = &args.restoration {
        let also = |value: &mut Restoration| {
            value.cement = args.cement.clone().or(value.cement.take());
            value.operator = args.operator.clone().or(value.operator.take());
        };
        return entered(desk, desk.work(&mut keeper).place_ordered(key, on, args.correct, also)?);
    }
    let Some(patient) = &args.patient else {
        return Err(Failure::Usage(
            "whose? Give --patient CODE (a pseudonym with a digit), or --restoration KEY".into(),
        ));
    };
    let report = args.plan.as_deref().map(read_plan).transpose()?;
    let mut restoration = from_plan_and_words(args, patient, report.as_ref())?;
    match args.ordered.as_deref() {
        Some("today") => restoration.ordered = Some(desk.today),
        Some(text) => restoration.ordered = Some(day(text)?),
        None => restoration.placed = Some(on),
    }
    entered(desk, desk.work(&mut keeper).place(restoration)?)
}

/// Constructs that a laboratory makes: what a register keeps.
fn made_outside() -> Vec<Construct> {
    Construct::ALL.iter().copied().filter(|c| c.is_indirect()).collect()
}

fn read_plan(path: &std::path::Path) -> Result<Report, Failure> {
    let text = files::read(path)?;
    serde_json::from_str(&text).map_err(|e| {
        Failure::Usage(format!("{}: no plan ({e}); make one with `bisque plan CASE --json`", path.display()))
    })
}

fn from_plan_and_words(args: &PlaceArgs, patient: &str, report: Option<&Report>) -> Result<Restoration, Failure> {
    let option = match (report, &args.option) {
        (Some(report), Some(id)) => {
            let found = report.options.iter().find(|o| o.id == *id);
            Some(found.ok_or_else(|| {
                let list: Vec<&str> = report.options.iter().map(|o| o.id.as_str()).collect();
                Failure::Usage(format!("the plan has no option `{id}`; it has {}", list.join(", ")))
            })?)
        }
        (Some(report), None) => report.options.first(),
        (None, _) => None,
    };
    let need = |what: &str| Failure::Usage(format!("which {what}? Give --plan FILE, or --{what}"));
    let teeth = match (&args.teeth, report) {
        (Some(text), _) => text
            .split(['.', ',', '-', ' '])
            .map(|t| {
                tooth(t).ok_or_else(|| Failure::Usage(format!("`{t}` names no permanent tooth (ISO 3950), e.g. 46")))
            })
            .collect::<Result<Vec<_>, _>>()?,
        (None, Some(report)) => report.arch.units.iter().map(|u| u.tooth).collect(),
        (None, None) => return Err(need("teeth")),
    };
    let construct = match &args.construct {
        Some(text) => word("construct", text, &made_outside(), Construct::word)?,
        None => option.map(|o| o.construct).ok_or_else(|| need("construct"))?,
    };
    let material = match &args.material {
        Some(text) => word("material", text, Material::ALL, Material::word)?,
        None => option.map(|o| o.material).ok_or_else(|| need("material"))?,
    };
    let build = match &args.build {
        Some(text) => word("build", text, Build::ALL, Build::word)?,
        None => option.map(|o| o.build).ok_or_else(|| need("build"))?,
    };
    let dimensions = option.map_or(Vec::new(), ::plan::PlannedOption::named_dimensions);
    Ok(Restoration {
        key: String::new(),
        patient: patient.to_owned(),
        teeth,
        construct,
        material,
        build,
        grade: option.and_then(|o| o.grade),
        dimensions,
        laboratory: args.laboratory.clone(),
        cement: args.cement.clone(),
        operator: args.operator.clone(),
        planned: None,
        ordered: None,
        placed: None,
        option: option.map(|o| o.id.clone()),
        note: args.note.clone(),
    })
}

/// Enters how a try-in went.
pub fn try_in(desk: &Desk, args: &TryInArgs) -> Result<(), Failure> {
    let causes = args.cause.iter().map(|c| word("cause", c, Misfit::ALL, Misfit::word));
    let record = TryIn {
        key: String::new(),
        restoration: args.restoration.clone(),
        day: args.day.as_deref().map(day).transpose()?.unwrap_or(desk.today),
        stage: word("stage", &args.stage, Stage::ALL, Stage::word)?,
        fit: word("outcome of a try-in", &args.fit, Fit::ALL, Fit::word)?,
        causes: causes.collect::<Result<_, _>>()?,
        minutes: args.minutes,
        note: None,
    };
    entered(desk, desk.work(&mut desk.open()?).try_in(record)?)
}

/// Enters an event, or what became of a patient.
pub fn event(desk: &Desk, args: &EventArgs) -> Result<(), Failure> {
    let mut keeper = desk.open()?;
    if let Some(patient) = &args.patient {
        let [died, left] = [&args.died, &args.left].map(|d| d.as_deref().map(day).transpose());
        return entered(desk, desk.work(&mut keeper).gone(patient, died?, left?)?);
    }
    let (Some(restoration), Some(kind), Some(consequence)) = (&args.restoration, &args.kind, &args.consequence) else {
        return Err(Failure::Usage(
            "give restoration, what happened and what was done, e.g. `bisque register event R20260331-46 veneer_chip polished`"
                .into(),
        ));
    };
    let record = Event {
        key: String::new(),
        restoration: restoration.clone(),
        found: args.found.as_deref().map(day).transpose()?.unwrap_or(desk.today),
        happened: args.happened.as_deref().map(day).transpose()?,
        kind: word("event", kind, EventKind::ALL, EventKind::word)?,
        grade: args.grade,
        consequence: word("consequence", consequence, Consequence::ALL, Consequence::word)?,
        note: args.note.clone(),
    };
    entered(desk, desk.work(&mut keeper).event(record)?)
}

/// Who changed a record.
pub fn history(desk: &Desk, kind: &str, key: &str) -> Result<(), Failure> {
    let kind = word("kind of record", kind, &["patient", "restoration", "try_in", "recall", "event"], |w| w)?;
    let lines = desk.open()?.history(kind, key)?;
    if desk.json {
        return print_json(&lines);
    }
    for line in &lines {
        let at = Day::from_number(i32::try_from(line.at_ms.div_euclid(86_400_000)).unwrap_or(0));
        let before = line.before.as_deref().unwrap_or("new");
        say(&format!("version {} on {at} by {}; before: {before}", line.version, line.who));
    }
    if lines.is_empty() {
        say("no line of its own: it came in with a batch, or is not there");
    }
    Ok(())
}

fn entered(desk: &Desk, done: Done) -> Result<(), Failure> {
    told(desk, &done.key, &done.words)
}

/// Says what was done.
pub fn told(desk: &Desk, key: &str, words: &str) -> Result<(), Failure> {
    if desk.json {
        return print_json(&serde_json::json!({ "key": key, "done": words }));
    }
    say(words);
    Ok(())
}
