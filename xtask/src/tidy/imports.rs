//! Which crate may import which: exactly this list, for normal, build and test dependencies alike.
//!
//! A crate of the workspace that is not in the list, stands in another folder than the list says, or imports more than the
//! list allows, is a breach. The list holds crates that are still to come, so that their place is fixed before they are.

use crate::workspace::Workspace;

/// Folder, crate, and what it may import.
type Place = (&'static str, &'static str, &'static [&'static str]);

/// The house, floor by floor from the ground. `*` means every crate of the floors beneath and of its own floor.
pub const HOUSE: &[Place] = &[
    ("ground", "numerics", &[]),
    ("ground", "answer", &["numerics"]),
    ("ground", "table", &["answer"]),
    ("ground", "picture", &[]),
    ("science", "colour", &["numerics", "answer"]),
    ("science", "evidence", &["numerics", "answer"]),
    ("science", "survival", &["numerics", "answer"]),
    ("science", "shape", &["numerics", "answer"]),
    ("science", "strength", &["numerics", "answer", "shape"]),
    ("practice", "catalogue", &["table", "answer"]),
    ("practice", "case", &["catalogue", "table", "answer"]),
    ("practice", "anatomy", &["case", "catalogue", "shape", "answer", "numerics"]),
    (
        "practice",
        "plan",
        &["case", "anatomy", "catalogue", "colour", "evidence", "strength", "shape", "answer", "numerics"],
    ),
    ("practice", "register", &["case", "catalogue", "survival", "evidence", "table", "answer", "numerics"]),
    ("faces", "store", &["register", "plan", "answer"]),
    ("faces", "papers", &["plan", "register", "picture", "case", "catalogue", "answer"]),
    ("faces", "print", &["papers"]),
    ("faces", "cli", &["*"]),
    ("faces", "web", &["*"]),
    ("", "xtask", &[]),
];

/// The sideways imports drawn in the house; every other import goes down a floor.
#[cfg(test)]
const SIDEWAYS: &[(&str, &str)] = &[
    ("answer", "numerics"),
    ("table", "answer"),
    ("strength", "shape"),
    ("case", "catalogue"),
    ("anatomy", "case"),
    ("anatomy", "catalogue"),
    ("plan", "anatomy"),
    ("plan", "case"),
    ("plan", "catalogue"),
    ("register", "case"),
    ("register", "catalogue"),
    ("print", "papers"),
];

/// One sentence for each import or crate out of place.
pub fn breaches(workspace: &Workspace) -> Vec<String> {
    let mut breaches = Vec::new();
    for member in &workspace.members {
        let Some((floor, _, allowed)) = HOUSE.iter().find(|(_, name, _)| *name == member.name) else {
            breaches.push(format!(
                "{}: crate `{}` has no place in the house; give it one in xtask/src/tidy/imports.rs and ARCHITECTURE.md",
                member.folder, member.name
            ));
            continue;
        };
        let expected = if floor.is_empty() { member.name.clone() } else { format!("{floor}/{}", member.name) };
        if member.folder != expected {
            breaches.push(format!("{}: crate `{}` belongs in {expected}", member.folder, member.name));
        }
        for import in &member.imports {
            if !allowed.contains(&"*") && !allowed.contains(&import.as_str()) {
                breaches.push(format!(
                    "{}/Cargo.toml: `{}` imports `{import}`; it may import {}",
                    member.folder,
                    member.name,
                    if allowed.is_empty() { "none of ours".to_owned() } else { allowed.join(", ") }
                ));
            }
        }
    }
    breaches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workspace::Member;

    fn house_of(folder: &str, name: &str, imports: &[&str]) -> Workspace {
        let imports = imports.iter().map(|i| (*i).to_owned()).collect();
        let member =
            Member { name: name.into(), folder: folder.into(), imports, tests: Vec::new(), has_benches: false };
        Workspace { root: ".".into(), target: ".".into(), members: vec![member], foreign: Vec::new() }
    }

    #[test]
    fn the_list_itself_goes_down_or_along_a_drawn_arrow() {
        let height = |name: &str| {
            let (floor, ..) =
                HOUSE.iter().find(|(_, n, _)| *n == name).unwrap_or_else(|| panic!("{name} is not listed"));
            ["ground", "science", "practice", "faces"].iter().position(|f| f == floor)
        };
        for (_, name, allowed) in HOUSE {
            for import in allowed.iter().filter(|i| **i != "*") {
                assert!(
                    height(import) < height(name) || SIDEWAYS.contains(&(name, import)),
                    "{name} -> {import} neither goes down nor along an arrow"
                );
            }
        }
    }

    #[test]
    fn an_import_too_many_a_stranger_and_a_wrong_folder_are_breaches() {
        assert!(breaches(&house_of("science/colour", "colour", &["answer", "numerics"])).is_empty());
        assert_eq!(breaches(&house_of("science/colour", "colour", &["catalogue"])).len(), 1);
        assert_eq!(breaches(&house_of("science/evidence", "evidence", &["strength"])).len(), 1);
        assert_eq!(breaches(&house_of("ground/utils", "utils", &[])).len(), 1);
        assert_eq!(breaches(&house_of("practice/colour", "colour", &[])).len(), 1);
        assert!(breaches(&house_of("faces/cli", "cli", &["plan", "shape"])).is_empty());
    }
}
