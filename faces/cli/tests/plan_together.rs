//! `bisque plan` of several cases of one smile, and the case against an option that is named.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, example};
use serde_json::Value;

/// An incisor beside the one of the example, over dentine.
fn neighbour(name: &str) -> String {
    let path = std::env::temp_dir().join(format!("bisque-plan-together-{}-{name}.toml", std::process::id()));
    let text = "schema = 1\nmoment = \"plan\"\n[restoration]\nteeth = [21]\nkind = \"crown\"\n[[abutment]]\ntooth = 21\nsubstrate = \
                \"dentine\"\n[mouth]\nvisible = \"high_smile_line\"\n[wish]\ncolour_as_neighbour = []\n";
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn two_cases_are_planned_as_a_set_that_must_match() {
    let (one, other) = (example("dark-incisor-cast-post"), neighbour("set"));
    let output = bisque(&["plan", &one, &other, "--fidelity", "instant", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let reports: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(reports.as_array().unwrap().len(), 2);
    let set = &reports[0]["set"];
    assert_eq!(set["members"].as_array().unwrap().len(), 2);
    assert!(set["choices"][0]["beside"][0]["difference"]["mean"].as_f64().unwrap() > 0.0, "{set}");
    let text = bisque(&["plan", &one, &other, "--fidelity", "instant"]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("As a set") && text.contains("would be seen in"), "{text}");
    let _ = std::fs::remove_file(other);
}

#[test]
fn an_option_that_is_named_gets_the_case_against_it() {
    let case = example("bridge-45-47");
    let id = "bridge.lithium_disilicate.monolithic";
    let text = bisque(&["plan", &case, "--fidelity", "instant", "--option", id]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("The case against"), "{text}");
    let wrong = bisque(&["plan", &case, "--fidelity", "instant", "--option", "bridge.lithium_disilicate.monolitic"]);
    let complaint = String::from_utf8(wrong.stderr).unwrap();
    assert!(wrong.status.code() == Some(2) && complaint.contains(&format!("did you mean `{id}`")), "{complaint}");
}

#[test]
fn what_would_change_the_answer_is_told_in_the_terminal() {
    let text = bisque(&["plan", &example("bridge-45-47"), "--fidelity", "instant", "--changes"]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("What would change the answer, smallest change first"), "{text}");
}
