//! Wall time and greatest memory of whole plans, each in a fresh process, and the crates' own benches.

use crate::{run, workspace};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const REPEATS: usize = 5;

/// # Errors
/// When the build, a plan or a bench fails.
pub fn bench() -> Result<(), String> {
    let workspace = workspace::read()?;
    let root = workspace.root.as_path();
    run::straight(root, &run::cargo(), &["build", "--release", "--package", "cli"])?;
    let program = workspace.target.join("release").join("bisque");
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("`bisque plan CASE --json`, {threads} threads, {REPEATS} fresh processes each, median");
    println!("{:<40} {:>8} {:>10} {:>10}", "case", "fidelity", "time", "memory");
    for case in cases(root)? {
        for fidelity in ["instant", "quick"] {
            let name = case.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            let mut runs =
                (0..REPEATS).map(|_| plan_once(root, &program, &case, fidelity)).collect::<Result<Vec<_>, _>>()?;
            runs.sort_by_key(|r| r.time);
            let memory = runs.iter().map(|r| r.peak_kib).max().unwrap_or(0);
            let time = runs[runs.len() / 2].time.as_secs_f64() * 1e3;
            println!("{name:<40} {fidelity:>8} {time:>7.0} ms {:>7.1} MB", memory as f64 / 1024.0);
        }
    }
    for member in workspace.members.iter().filter(|m| m.has_benches) {
        run::straight(root, &run::cargo(), &["bench", "--package", &member.name])?;
    }
    Ok(())
}

struct Run {
    time: Duration,
    /// Greatest resident set seen, KiB; 0 where the system does not tell.
    peak_kib: u64,
}

/// The example cases that are meant to be planned: those named `wrong-*` are meant to be refused.
fn cases(root: &Path) -> Result<Vec<PathBuf>, String> {
    let folder = std::fs::read_dir(root.join("examples")).map_err(|e| format!("examples/ cannot be read: {e}"))?;
    let mut cases: Vec<PathBuf> = folder
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .filter(|p| !p.file_name().is_some_and(|n| n.to_string_lossy().starts_with("wrong")))
        .collect();
    cases.sort();
    Ok(cases)
}

fn plan_once(root: &Path, program: &Path, case: &Path, fidelity: &str) -> Result<Run, String> {
    let start = Instant::now();
    let mut child = Command::new(program)
        .arg("plan")
        .arg(case)
        .args(["--json", "--fidelity", fidelity])
        .current_dir(root)
        .stdout(Stdio::null())
        .spawn()
        .map_err(|e| format!("could not start {}: {e}", program.display()))?;
    let status = format!("/proc/{}/status", child.id());
    let mut peak_kib = 0;
    loop {
        if let Ok(text) = std::fs::read_to_string(&status) {
            peak_kib = peak_kib.max(peak_in(&text));
        }
        match child.try_wait().map_err(|e| format!("lost the plan of {}: {e}", case.display()))? {
            Some(code) if code.success() => return Ok(Run { time: start.elapsed(), peak_kib }),
            Some(code) => return Err(format!("plan of {} ended with {code}", case.display())),
            None => std::thread::sleep(Duration::from_millis(1)),
        }
    }
}

/// `VmHWM` of a process status text, KiB.
fn peak_in(status: &str) -> u64 {
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()?.parse().ok()).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_greatest_memory_is_read_from_the_status_text() {
        assert_eq!(peak_in("Name:\tx\nVmHWM:\t   12345 kB\nVmRSS:\t 1 kB\n"), 12345);
        assert_eq!(peak_in("Name:\tx\n"), 0);
    }
}
