//! An invented register: 12 years, three invented laboratories, one of which drifts in year 9. For examples, tests and the watch's own proof.
//!
//! Every figure here is made up to look like a practice's (common practice, no source); nothing of it is evidence. Drawn from
//! `answer::World`, so the same seed gives the same register.

use crate::chart::Chart;
use crate::day::Day;
use crate::enter::{Rules, lay_one, writing};
use crate::keeping::Writing;
use crate::record::{Event, Kept, Patient, Recall, Record, Restoration, TryIn};
use crate::words::{Consequence, EventKind, Fit, Misfit, Stage};
use answer::World;
use catalogue::words::{Build, Construct, Material, Tooth};
use std::collections::BTreeMap;

/// Laboratories of the invented register; the last drifts.
pub const LABORATORIES: [&str; 3] = ["North", "Quay", "Mill"];

/// An invented register.
#[derive(Debug, Clone)]
pub struct Invented {
    /// Records of each patient, in an order in which they can be entered.
    pub patients: Vec<(String, Vec<Kept<Record>>)>,
    /// First day of the drift.
    pub drift_from: Day,
}

impl Invented {
    /// What a store has to write for it; what the checks refuse is left away as a practice would leave it.
    pub fn writings(self, rules: Rules<'_>) -> Vec<Writing> {
        let mut writings = Vec::new();
        for (code, records) in self.patients {
            let mut chart = Chart::new(Kept::new(Patient::of_code(&code)));
            let mut kept = records;
            kept.retain(|record| lay_one(&mut chart, record, rules).is_ok());
            if kept.iter().any(|k| matches!(k.value, Record::Patient(_))) {
                writings.push(writing(&chart, 0, kept, rules.criteria));
            }
        }
        writings
    }
}

/// Invents a register of so many restorations over twelve years that end on `today`.
pub fn invent(seed: u64, restorations: usize, today: Day) -> Invented {
    let n = restorations.max(1);
    let draws = Draws { world: World::with_draws(seed, n) };
    let start = today.plus(-(12.0 * crate::day::DAYS_A_YEAR) as i32);
    let drift_from = start.plus((8.0 * crate::day::DAYS_A_YEAR) as i32);
    let mut patients: BTreeMap<String, Mouth> = BTreeMap::new();
    for k in 0..n {
        // Restorations follow one another in time; six in ten fall to one of the patients seen lately.
        let placed =
            start.plus(((k as f64 + draws.at("day", k)) / n as f64 * 12.0 * 365.0) as i32 + 10).min(today.plus(-1));
        let who = (k as f64 * 0.55 - draws.at("patient", k) * 60.0).max(0.0) as usize;
        // Where that patient does not come any more, or has no tooth left to crown, it is the next one's.
        for who in who.. {
            let code = format!("P{who:05}");
            let frailty = (-2.0 * (1.0 - draws.at("frailty", who % n)).max(1e-9).ln()) * 0.5;
            let mouth = patients.entry(code.clone()).or_insert_with(|| Mouth::new(&code, &draws, who % n));
            if let Some(records) = one(&draws, k, &code, mouth, placed, frailty, drift_from, today) {
                mouth.records.extend(records);
                break;
            }
        }
    }
    let patients = patients.into_iter().map(|(code, mouth)| (code, mouth.finished(today))).collect();
    Invented { patients, drift_from }
}

struct Draws {
    world: World,
}

impl Draws {
    fn at(&self, field: &str, k: usize) -> f64 {
        self.world.uniform_at(field, k)
    }

    /// One of several by weight.
    fn pick<T: Copy>(&self, field: &str, k: usize, of: &[(T, f64)]) -> T {
        let total: f64 = of.iter().map(|o| o.1).sum();
        let mut left = self.at(field, k) * total;
        for (value, weight) in of {
            left -= weight;
            if left <= 0.0 {
                return *value;
            }
        }
        of[of.len() - 1].0
    }
}

/// What is known of a patient while records are made up.
struct Mouth {
    patient: Patient,
    /// Day from which nobody sees the patient any more.
    silent: Option<Day>,
    taken: Vec<Tooth>,
    records: Vec<Kept<Record>>,
    latest: Option<Day>,
}

impl Mouth {
    fn new(code: &str, draws: &Draws, k: usize) -> Self {
        let birth_year = 1940 + (draws.at("birth", k) * 50.0) as i32;
        let patient = Patient { birth_year: Some(birth_year), ..Patient::of_code(code) };
        Self { patient, silent: None, taken: Vec::new(), records: Vec::new(), latest: None }
    }

    fn finished(mut self, today: Day) -> Vec<Kept<Record>> {
        if let Some(silent) = self.silent.filter(|s| *s < today && self.latest.is_some_and(|l| l <= *s)) {
            // Every third who stays away is known to have moved.
            if silent.number() % 3 == 0 {
                self.patient.left = Some(silent);
            }
        }
        self.records.insert(0, Kept::new(Record::Patient(self.patient)));
        self.records
    }

    fn seen(&mut self, day: Day) {
        self.latest = Some(self.latest.map_or(day, |l| l.max(day)));
    }
}

const TEETH: [(u8, f64); 12] = [
    (16, 9.0),
    (26, 9.0),
    (36, 10.0),
    (46, 10.0),
    (15, 5.0),
    (25, 5.0),
    (14, 4.0),
    (24, 4.0),
    (11, 5.0),
    (21, 5.0),
    (37, 4.0),
    (47, 4.0),
];

#[allow(clippy::too_many_arguments)] // the facts of one restoration, used once
fn one(
    draws: &Draws,
    k: usize,
    code: &str,
    mouth: &mut Mouth,
    placed: Day,
    frailty: f64,
    drift_from: Day,
    today: Day,
) -> Option<Vec<Kept<Record>>> {
    let first = (0..TEETH.len()).map(|i| TEETH[(i + (draws.at("tooth", k) * 97.0) as usize) % TEETH.len()].0);
    let tooth = first.filter_map(|c| Tooth::new(c).ok()).find(|t| !mouth.taken.contains(t))?;
    if mouth.silent.is_some_and(|s| placed > s) {
        return None;
    }
    let front = tooth.number() <= 3;
    let construct = draws.pick("construct", k, &[(Construct::Crown, 7.0), (Construct::PartialCrown, 2.0)]);
    let (material, build) = draws.pick(
        "material",
        k,
        &[
            ((Material::LithiumDisilicate, Build::Monolithic), 5.0),
            ((Material::Zirconia3y, Build::Layered), if front { 4.0 } else { 2.0 }),
            ((Material::Zirconia3y, Build::Monolithic), if front { 0.5 } else { 3.0 }),
            ((Material::MetalCeramic, Build::Layered), 2.0),
        ],
    );
    let (construct, build) = match (construct, material) {
        (Construct::PartialCrown, Material::LithiumDisilicate) => (construct, build),
        _ => (Construct::Crown, build),
    };
    let laboratory = draws.pick("laboratory", k, &[(0usize, 4.0), (1, 3.0), (2, 3.0)]);
    let drifting = laboratory == 2 && placed.plus(-7) >= drift_from;
    mouth.taken.push(tooth);
    let key = format!("R{k:06}");
    let text = |t: &str| Some(t.to_owned());
    let mut records = vec![Kept::new(Record::Restoration(Restoration {
        key: key.clone(),
        patient: code.to_owned(),
        teeth: vec![tooth],
        construct,
        material,
        build,
        grade: None,
        dimensions: Vec::new(),
        laboratory: text(LABORATORIES[laboratory]),
        cement: text(if material == Material::LithiumDisilicate { "resin" } else { "glass_ionomer" }),
        operator: text(if draws.at("operator", k) < 0.6 { "op1" } else { "op2" }),
        planned: Some(placed.plus(-30)),
        ordered: Some(placed.plus(-20)),
        placed: Some(placed),
        option: None,
        note: None,
    }))];
    records.extend(try_ins(draws, k, &key, placed, [0.04, 0.045, if drifting { 0.16 } else { 0.04 }][laboratory]));
    let mouth_seen = follow(draws, k, &key, mouth, (placed, today), (material, build, construct), frailty, drifting);
    records.extend(mouth_seen);
    Some(records)
}

fn try_ins(draws: &Draws, k: usize, key: &str, placed: Day, sent_back: f64) -> Vec<Kept<Record>> {
    let fit = draws.pick(
        "fit",
        k,
        &[(Fit::AtOnce, 1.0 - sent_back * 4.0), (Fit::Adjusted, sent_back * 3.0), (Fit::SentBack, sent_back)],
    );
    let misfit = draws.pick(
        "misfit",
        k,
        &[
            (Misfit::Contact, 4.0),
            (Misfit::Margin, if sent_back > 0.1 { 9.0 } else { 2.0 }),
            (Misfit::Colour, 1.5),
            (Misfit::Bite, 2.5),
            (Misfit::Fracture, 0.3),
        ],
    );
    let record = |n: usize, day: Day, fit: Fit| {
        Kept::new(Record::TryIn(TryIn {
            key: format!("T{}.{n}", &key[1..]),
            restoration: key.to_owned(),
            day,
            stage: Stage::Finished,
            fit,
            causes: if fit == Fit::AtOnce { Vec::new() } else { vec![misfit] },
            minutes: None,
            note: None,
        }))
    };
    match fit {
        Fit::SentBack => vec![record(1, placed.plus(-7), fit), record(2, placed, Fit::AtOnce)],
        _ => vec![record(1, placed, fit)],
    }
}

/// Recalls about once a year, and events between them.
#[allow(clippy::too_many_arguments)] // the facts of one restoration, used once
fn follow(
    draws: &Draws,
    k: usize,
    key: &str,
    mouth: &mut Mouth,
    (placed, today): (Day, Day),
    (material, build, construct): (Material, Build, Construct),
    frailty: f64,
    drifting: bool,
) -> Vec<Kept<Record>> {
    let layered = if build == Build::Layered { 1.0 } else { 0.15 };
    let drift = if drifting { 2.5 } else { 1.0 };
    // Rates a year.
    let causes = [
        (EventKind::Chip, 0.012 * layered * drift),
        (EventKind::Debonding, if construct == Construct::PartialCrown { 0.012 } else { 0.006 }),
        (EventKind::FrameworkFracture, if material == Material::LithiumDisilicate { 0.004 } else { 0.0007 }),
        (EventKind::Caries, 0.005),
        (EventKind::Endodontic, 0.006),
        (EventKind::ToothFracture, 0.003),
        (EventKind::ReplacedOther, 0.001),
    ];
    let total: f64 = causes.iter().map(|c| c.1).sum::<f64>() * frailty.max(0.05);
    let happens = placed.plus((-(draws.at("when", k)).ln() / total * 365.25).clamp(2.0, 40_000.0) as i32);
    let kind = draws.pick("cause", k, &causes);
    let quiet_after = placed.plus((-(draws.at("quiet", k)).ln() * 14.0 * 365.25).min(40_000.0) as i32 + 400);
    let (mut records, mut day, mut n) = (Vec::new(), placed, 0usize);
    loop {
        let wait = 330 + (draws.at(&format!("wait{}", n % 16), k) * 120.0) as i32;
        day = day.plus(wait);
        n += 1;
        if day >= today || day > quiet_after {
            if quiet_after < today && mouth.silent.is_none() && draws.at("whole", k) < 0.3 {
                mouth.silent = Some(quiet_after.max(mouth.latest.unwrap_or(placed)));
            }
            mouth.seen(placed);
            return records;
        }
        if happens <= day {
            let exact = matches!(kind, EventKind::Debonding | EventKind::FrameworkFracture | EventKind::ToothFracture);
            let found = if exact { happens.plus(2).min(today) } else { day };
            let (consequence, grade) = consequence_of(draws, k, kind);
            mouth.seen(found);
            records.push(Kept::new(Record::Event(Event {
                key: format!("E{}", &key[1..]),
                restoration: key.to_owned(),
                found,
                happened: exact.then_some(happens),
                kind,
                grade,
                consequence,
                note: None,
            })));
            return records;
        }
        mouth.seen(day);
        records.push(Kept::new(Record::Recall(Recall {
            key: format!("C{}.{n}", &key[1..]),
            restoration: key.to_owned(),
            day,
            examiner: None,
            scheme: None,
            scores: Vec::new(),
            vital: None,
            note: None,
        })));
    }
}

fn consequence_of(draws: &Draws, k: usize, kind: EventKind) -> (Consequence, Option<u8>) {
    use Consequence::{Polished, PutBack, Remade, Repaired, ToothLost, ToothTreated};
    let u = draws.at("consequence", k);
    match kind {
        EventKind::Chip if u < 0.55 => (Polished, Some(1)),
        EventKind::Chip if u < 0.8 => (Repaired, Some(2)),
        EventKind::Chip => (Remade, Some(3)),
        EventKind::Debonding => (if u < 0.8 { PutBack } else { Remade }, None),
        EventKind::FrameworkFracture | EventKind::ReplacedOther => (Remade, None),
        EventKind::Endodontic => (if u < 0.85 { ToothTreated } else { ToothLost }, None),
        EventKind::ToothFracture => (if u < 0.3 { Remade } else { ToothLost }, None),
        _ => (if u < 0.5 { Repaired } else { Remade }, None),
    }
}
