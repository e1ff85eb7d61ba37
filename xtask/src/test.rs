//! Everything that must hold before work is handed on, cheapest first; ends with `N passed, M failed`.

use crate::{licences, page, postgres, run, tidy, workspace};
use std::path::Path;

/// # Errors
/// When a step before the tests fails, or any test.
pub fn test() -> Result<(), String> {
    let workspace = workspace::read()?;
    let (root, cargo) = (workspace.root.as_path(), run::cargo());
    println!("[1/7] system packages: PostgreSQL, installed with apt-get when it is absent");
    let server = postgres::start();
    match &server {
        Ok(server) => println!("a private server for the tests of the store at {}", server.address),
        Err(reason) => println!("PostgreSQL WILL NOT BE TESTED: {reason}"),
    }
    println!("[2/7] format");
    run::straight(root, &cargo, &["fmt", "--all", "--check"])?;
    println!("[3/7] lints");
    run::straight(root, &cargo, &["clippy", "--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"])?;
    println!("[4/7] tidy");
    tidy::report()?;
    println!("[5/7] licences, and whether the built page is of today's sources");
    licences::report()?;
    page::fresh(root)?;
    println!("[6/7] tests");
    let (mut count, mut ended_well) = all_tests(root, &cargo, server.as_ref().ok())?;
    println!("[7/7] the page in a browser");
    let browser = page::test(root, &workspace.target.join("debug/bisque"));
    match &browser {
        Ok((page, well)) => {
            count = Count { passed: count.passed + page.passed, failed: count.failed + page.failed };
            ended_well &= well;
        }
        Err(reason) => println!("THE PAGE WAS NOT TESTED: {reason}"),
    }
    if let Err(reason) = &server {
        println!("PostgreSQL WAS NOT TESTED: {reason}");
    }
    println!("{} passed, {} failed", count.passed, count.failed);
    match (count.failed, ended_well, count.passed) {
        (0, true, 1..) => Ok(()),
        (0, true, 0) => Err("no test ran: that is a fault of the workspace, not a success".into()),
        (0, false, _) => Err("a run failed although no test did: see the messages above".into()),
        (failed, ..) => Err(format!("{failed} tests failed: see the messages above")),
    }
}

/// Tests counted over all of a run's result lines.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Passed.
    pub passed: usize,
    /// Failed.
    pub failed: usize,
}

impl Count {
    /// Adds a line of the form `test result: ok. 3 passed; 0 failed; ...`; other lines count nothing.
    pub fn add(&mut self, line: &str) {
        let Some(rest) = line.trim_start().strip_prefix("test result:") else { return };
        let number_before = |word: &str| -> usize {
            let words: Vec<&str> = rest.split([' ', ';', '.']).filter(|w| !w.is_empty()).collect();
            words.windows(2).find(|w| w[1] == word).and_then(|w| w[0].parse().ok()).unwrap_or(0)
        };
        self.passed += number_before("passed");
        self.failed += number_before("failed");
    }
}

/// Property tests draw the same cases in every run, so that a run says something of the change and nothing of luck. `PROPTEST_RNG_SEED` in the environment
/// draws others; what those find is a defect like any other.
const PROPERTY_SEED: &str = "20260101";

/// Runs every test to the end; shows failures and each crate's result line, keeps quiet of the tests that passed.
fn all_tests(root: &Path, cargo: &str, server: Option<&postgres::Server>) -> Result<(Count, bool), String> {
    let mut count = Count::default();
    let address = server.map(|s| format!("env.BISQUE_TEST_POSTGRES=\"{}\"", s.address));
    let seed = format!("env.PROPTEST_RNG_SEED=\"{PROPERTY_SEED}\"");
    let mut arguments: Vec<&str> = address.iter().chain([&seed]).flat_map(|a| ["--config", a]).collect();
    arguments.extend(["test", "--workspace", "--no-fail-fast"]);
    let ended_well = run::lines(root, cargo, &arguments, |line| {
        count.add(line);
        let passed = line.starts_with("test ") && (line.ends_with("... ok") || line.ends_with("should panic ... ok"));
        let noise = line.trim().is_empty() || (line.starts_with("running ") && line.contains("test"));
        if !passed && !noise {
            println!("{line}");
        }
    })?;
    Ok((count, ended_well))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn result_lines_add_up() {
        let mut count = Count::default();
        count.add("running 4 tests");
        count.add("test result: ok. 4 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.01s");
        count.add("test result: FAILED. 2 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s");
        assert_eq!(count, Count { passed: 6, failed: 3 });
    }
}
