//! The test programs of the whole workspace, built at once: with one set of features no crate is compiled anew for each crate that is tested.

use crate::run;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Programs of integration tests by the path of their file, relative to the root.
///
/// # Errors
/// When something does not compile.
pub fn tests(root: &Path) -> Result<BTreeMap<PathBuf, String>, String> {
    let arguments =
        ["test", "--workspace", "--tests", "--no-run", "--quiet", "--message-format=json-render-diagnostics"];
    let mut programs = BTreeMap::new();
    let ended_well = run::lines(root, &run::cargo(), &arguments, |line| {
        programs.extend(serde_json::from_str(line).ok().and_then(|message| program(root, &message)));
    })?;
    if ended_well { Ok(programs) } else { Err("a test does not compile: see the messages above".into()) }
}

/// What a message of cargo says of a test program that was built.
fn program(root: &Path, message: &Value) -> Option<(PathBuf, String)> {
    let target = &message["target"];
    let is_test = target["kind"].as_array()?.iter().any(|kind| kind == "test");
    let file = Path::new(target["src_path"].as_str()?).strip_prefix(root).ok()?.to_owned();
    let program = message["executable"].as_str()?.to_owned();
    is_test.then_some((file, program))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn programs_of_integration_tests_are_told_from_libraries() {
        let root = Path::new("/here");
        let built = |kind: &str, executable: Value| json!({ "target": { "kind": [kind], "src_path": "/here/a/tests/b.rs" }, "executable": executable });
        let found = program(root, &built("test", json!("/here/target/b-1")));
        assert_eq!(found, Some((PathBuf::from("a/tests/b.rs"), "/here/target/b-1".to_owned())));
        assert_eq!(program(root, &built("lib", json!("/here/target/b-1"))), None);
        assert_eq!(program(root, &built("test", Value::Null)), None);
        assert_eq!(program(root, &json!({ "reason": "build-finished" })), None);
    }
}
