//! Does the watch keep its promises? Simulated registers in which nothing changes, and in which the odds double, judged by the exact run lengths of their charts.
//!
//! The promise: the stated run length to a false alarm is a least one for about nine baselines in ten (the aim of Gandy, Kvaløy 2013, Scand J Stat 40:647-668, doi
//! 10.1002/sjos.12006), and a doubling is seen after as many cases as theory says.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // a helper of tests fails by panicking; comparisons are printed for the validation page

use answer::World;
use register::counting::{ArmCount, ArmEvents, ClusterSums, CohortCount, Due, EndCount, Question, Totals, TryInCount};
use register::watch::{BASELINE, BASELINE_FAILED, Chart, watch};
use register::words::EventKind;
use register::{Counting, Day, Watched};
use std::collections::BTreeMap;
use std::convert::Infallible;
use survival::monitor::{cusum, run_length};

const REGISTERS: usize = 200;
const RISK: f64 = 0.04;
/// Try-ins of a day, and days of work of a month.
const A_DAY: i64 = 2;
const DAYS: i32 = 20;
const START: i32 = 2010 * 12;

/// A register that was counted already.
#[derive(Default)]
struct Counted {
    try_ins: Vec<TryInCount>,
    cohorts: Vec<CohortCount>,
}

impl Counting for Counted {
    type Error = Infallible;
    fn totals(&mut self) -> Result<Totals, Infallible> {
        Ok(Totals::default())
    }
    fn ends(&mut self, _: &Question) -> Result<Vec<EndCount>, Infallible> {
        Ok(Vec::new())
    }
    fn clusters(&mut self, _: &Question) -> Result<Vec<ClusterSums>, Infallible> {
        Ok(Vec::new())
    }
    fn try_in_counts(&mut self) -> Result<Vec<TryInCount>, Infallible> {
        Ok(self.try_ins.clone())
    }
    fn cohorts(&mut self) -> Result<Vec<CohortCount>, Infallible> {
        Ok(self.cohorts.clone())
    }
    fn arm_counts(&mut self) -> Result<(Vec<ArmCount>, Vec<ArmEvents>), Infallible> {
        Ok((Vec::new(), Vec::new()))
    }
    fn due(&mut self, _: Day, _: usize) -> Result<(Vec<Due>, i64), Infallible> {
        Ok((Vec::new(), 0))
    }
}

/// Try-ins of one laboratory over some months; the share sent back doubles its odds from the first case after the baseline where `doubles` says so.
fn try_ins(world: &World, k: usize, months: i32, doubles: bool) -> Counted {
    let (mut tried, mut failed) = (0, 0);
    let mut one = |m: i32, d: i32| {
        let sent_back = (0..A_DAY)
            .filter(|i| {
                let watched = tried >= BASELINE && failed >= BASELINE_FAILED;
                let risk = if watched && doubles { cusum::shifted_risk(RISK, 2.0) } else { RISK };
                let fails = world.uniform_at(&format!("{m} {d} {i}"), k) < risk;
                tried += 1;
                failed += usize::from(fails);
                fails
            })
            .count() as i64;
        TryInCount {
            laboratory: "A".into(),
            material: "zirconia_3y".into(),
            day: Day::of_month(START + m).plus(d),
            tried: A_DAY,
            adjusted: 0,
            sent_back,
            causes: [0, sent_back, 0, 0, 0],
        }
    };
    let mut try_ins = Vec::new();
    for m in 0..months {
        for d in 0..DAYS {
            try_ins.push(one(m, d));
        }
    }
    Counted { try_ins, cohorts: Vec::new() }
}

/// Try-ins from the baseline's last up to a day.
fn watched_until(counted: &Counted, day: Day) -> f64 {
    let (mut tried, mut failed, mut watched) = (0, 0, 0);
    for count in counted.try_ins.iter().filter(|c| c.day <= day) {
        if tried >= BASELINE && failed >= BASELINE_FAILED {
            watched += count.tried;
        }
        tried += count.tried as usize;
        failed += count.sent_back as usize;
    }
    watched as f64
}

/// Mean and its standard error.
fn mean(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0) / n).sqrt())
}

fn chart_of(mut counted: Counted, watched: Watched, laboratory: &str, false_alarm: f64, today: Day) -> Option<Chart> {
    let found = watch(&mut counted, false_alarm, today).unwrap();
    let mine = |c: &Chart| c.watched == watched && c.laboratory == laboratory && c.material.is_empty();
    found.charts.into_iter().find(mine)
}

fn told(claim: &str, expected: &str, found: &str, hit: bool, remark: &str) {
    let word = if hit { "hit" } else { "miss" };
    println!("validation | {claim} | simulated truth | {expected} | {found} | {word} | {remark}");
}

/// Exact mean run lengths of charts at a risk, once for each design.
#[derive(Default)]
struct RunLengths(BTreeMap<[u64; 3], f64>);

impl RunLengths {
    /// Of a chart whose steps were made for one risk, at another.
    fn of(&mut self, designed_for: f64, risk: f64, limit: f64) -> f64 {
        let steps = cusum::weights(designed_for, 2.0);
        let key = [designed_for.to_bits(), risk.to_bits(), limit.to_bits()];
        *self.0.entry(key).or_insert_with(|| run_length::two_step(steps, risk, limit).unwrap())
    }
}

#[test]
fn nine_baselines_in_ten_keep_the_stated_run_length_and_false_alarms_come_as_theory_says() {
    let world = World::with_draws(21, REGISTERS);
    let (mut lengths, mut kept, mut of) = (RunLengths::default(), 0, 0);
    let (mut alarms, mut expected, mut watched) = (0.0, 0.0, 0.0);
    for k in 0..REGISTERS {
        let counted = try_ins(&world, k, 60, false);
        let end = Day::of_month(START + 60);
        let cases = watched_until(&counted, end);
        let Some(chart) = chart_of(counted, Watched::SentBack, "A", 1000.0, end) else { continue };
        let true_length = lengths.of(chart.designed_for, RISK, chart.limit);
        kept += usize::from(true_length >= 1000.0);
        of += 1;
        alarms += chart.alerts.len() as f64;
        expected += cases / true_length;
        watched += cases;
    }
    assert!(of as f64 > 0.95 * REGISTERS as f64, "{of} charts of {REGISTERS}");
    let share = 100.0 * kept as f64 / of as f64;
    // Counts are whole and the baseline ends with a failure in some: 90 % is reached to a few in a hundred; 1.5 is the standard error.
    let hit = (85.0..=97.0).contains(&share);
    let remark = format!("{of} registers of one laboratory, {:.0} % sent back, {watched:.0} try-ins", 100.0 * RISK);
    told("baselines whose chart keeps its stated run length", "about 90 %", &format!("{share:.1} %"), hit, &remark);
    // Alarms of a chart at a run length are Poisson to a good approximation: three standard errors are allowed.
    let as_told = (alarms - expected).abs() <= 3.0 * expected.sqrt() && expected > 50.0;
    let error = format!("{remark}; standard error {:.0}", expected.sqrt());
    told(
        "false alarms of charts of try-ins",
        &format!("{expected:.0} by exact run lengths"),
        &format!("{alarms:.0}"),
        as_told,
        &error,
    );
    assert!(hit && as_told, "{share} % kept; {alarms} alarms for {expected}");
}

#[test]
fn doubled_odds_are_seen_when_theory_says() {
    let world = World::with_draws(22, REGISTERS);
    let months = 80;
    let doubled = cusum::shifted_risk(RISK, 2.0);
    let (mut lengths, mut seen, mut expected) = (RunLengths::default(), Vec::new(), Vec::new());
    for k in 0..REGISTERS {
        let counted = try_ins(&world, k, months, true);
        let today = Day::of_month(START + months);
        let days = counted.try_ins.clone();
        let Some(chart) = chart_of(counted, Watched::SentBack, "A", 500.0, today) else { continue };
        let wait = lengths.of(chart.designed_for, doubled, chart.limit);
        let days = Counted { try_ins: days, cohorts: Vec::new() };
        // Charts whose baseline came out so high that they are not watched six times as long as they wait are left out: beyond that, one wait in
        // four hundred is cut short. What is left out is known from the baseline alone.
        if 6.0 * wait > watched_until(&days, today) {
            continue;
        }
        seen.push(watched_until(&days, chart.alerts.first().map_or(today, |a| a.signalled)));
        expected.push(wait);
    }
    let n = seen.len();
    assert!(n > REGISTERS / 2, "{n} charts");
    let ((seen, error), (expected, _)) = (mean(&seen), mean(&expected));
    // Three standard errors of the simulation, and half a day: within a day the order is not known.
    let hit = (seen - expected).abs() <= 3.0 * error + 0.5 * A_DAY as f64;
    let remark = format!("{n} registers, {A_DAY} try-ins a day; standard error {error:.0}");
    told("try-ins until doubled odds are seen", &format!("{expected:.0}"), &format!("{seen:.0}"), hit, &remark);
    assert!(hit, "{seen} for {expected}, standard error {error}");
}

/// Chips of all years and laboratories, a month.
const HAZARD: f64 = 0.012 / 12.0;

/// Two laboratories, 15 restorations a month each over ten years, all watched to the end; `ratio` times the hazard of chipping in the first.
fn cohorts(world: &World, k: usize, ratio: f64) -> Counted {
    let months = 120;
    let mut cells: BTreeMap<(usize, i32, i32, Option<Day>), i64> = BTreeMap::new();
    for laboratory in 0..2 {
        let hazard = if laboratory == 0 { ratio * HAZARD } else { HAZARD };
        for placed in 0..months {
            for i in 0..15 {
                let u = world.uniform_at(&format!("{laboratory} {placed} {i}"), k);
                // Placed in the middle of its month.
                let time = f64::from(placed) + 0.5 + (-u.ln() / hazard).min(1e6);
                let until = time as i32;
                let on = (until < months).then(|| Day::of_month(START + until).plus((time.fract() * 28.0) as i32));
                *cells.entry((laboratory, placed, until.min(months), on)).or_default() += 1;
            }
        }
    }
    let one = |((laboratory, placed, until, on), count): ((usize, i32, i32, Option<Day>), i64)| CohortCount {
        laboratory: ["A", "B"][laboratory].into(),
        material: "zirconia_3y".into(),
        placed: START + placed,
        until: START + until,
        trouble: on.map(|_| EventKind::Chip),
        on,
        gone: false,
        count,
    };
    Counted { try_ins: Vec::new(), cohorts: cells.into_iter().map(one).collect() }
}

/// Restoration-years of the first laboratory until the middle of a month.
fn years_until(cells: &[CohortCount], month: i32) -> f64 {
    let own = cells.iter().filter(|c| c.laboratory == "A" && c.placed <= month);
    own.map(|c| c.count as f64 * f64::from(c.until.min(month) - c.placed) / 12.0).sum()
}

/// Exact mean restoration-years to a signal of a chart of events at a monthly hazard, from slices of a hundredth of an expected event.
fn years_to_signal(lengths: &mut RunLengths, chart: &Chart, hazard: f64) -> f64 {
    let slice = 0.01;
    lengths.of(slice, slice * 12.0 * hazard / chart.designed_for, chart.limit) * slice / chart.designed_for
}

#[test]
fn charts_of_events_cry_wolf_and_see_a_doubling_when_theory_says() {
    let registers = 80;
    let world = World::with_draws(23, registers);
    let mut lengths = RunLengths::default();
    let today = Day::of_month(START + 120);
    let (mut alarms, mut expected, mut stated) = (0.0, 0.0, 0.0);
    let (mut seen, mut theory) = (Vec::new(), Vec::new());
    for k in 0..registers {
        let chart = chart_of(cohorts(&world, k, 1.0), Watched::Chip, "A", 300.0, today).unwrap();
        alarms += chart.alerts.len() as f64;
        expected += chart.cases / years_to_signal(&mut lengths, &chart, HAZARD);
        stated += chart.cases / chart.false_alarm;
        let doubled = cohorts(&world, k, 2.0);
        let cells = doubled.cohorts.clone();
        let chart = chart_of(doubled, Watched::Chip, "A", 300.0, today).unwrap();
        let at = chart.alerts.first().map_or(today, |a| a.signalled);
        seen.push(years_until(&cells, at.month_number()));
        theory.push(years_to_signal(&mut lengths, &chart, 2.0 * HAZARD));
    }
    // Counts of alarms are Poisson to a good approximation: three standard errors are allowed.
    let as_told = (alarms - expected).abs() <= 3.0 * expected.sqrt() && expected > 50.0 && expected <= stated;
    let remark =
        format!("{registers} registers of two laboratories alike, chips; standard error {:.0}", expected.sqrt());
    told(
        "false alarms of charts of events",
        &format!("{expected:.0} by exact run lengths, at most {stated:.0} as printed"),
        &format!("{alarms:.0}"),
        as_told,
        &remark,
    );
    let ((seen, error), (theory, _)) = (mean(&seen), mean(&theory));
    // Three standard errors, and half a month of the last year's exposure: months are all that is known.
    let soon = (seen - theory).abs() <= 3.0 * error + 15.0 * 120.0 / 24.0;
    let remark = format!("{registers} registers, the first laboratory's hazard doubled; standard error {error:.0}");
    told(
        "restoration-years until a doubled hazard is seen",
        &format!("{theory:.0}"),
        &format!("{seen:.0}"),
        soon,
        &remark,
    );
    assert!(as_told && soon, "{alarms} alarms for {expected} ({stated} stated); seen after {seen} for {theory}");
}
