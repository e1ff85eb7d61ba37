//! Every dependency's licence against the list of those that may stand in a work under MIT or Apache-2.0.

use crate::workspace::{self, Foreign};

/// SPDX identifiers that ask no more than their own text and notice to be kept. Copyleft, per file too, is not among them.
const ALLOWED: &[&str] = &[
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "Zlib",
    "0BSD",
    "CC0-1.0",
    "Unlicense",
    "Unicode-3.0",
    "Unicode-DFS-2016",
];

/// Prints the outcome.
///
/// # Errors
/// Names every crate whose licence does not fit.
pub fn report() -> Result<(), String> {
    check(&workspace::read()?.foreign)
}

/// As [`report`], of these packages.
///
/// # Errors
/// Names every crate whose licence does not fit.
pub fn check(foreign: &[Foreign]) -> Result<(), String> {
    let misfits = misfits(foreign);
    if misfits.is_empty() {
        println!("licences: all {} dependencies fit the list", foreign.len());
        Ok(())
    } else {
        Err(format!("licences:\n  {}", misfits.join("\n  ")))
    }
}

/// One sentence for each dependency that may not stay.
pub fn misfits(foreign: &[Foreign]) -> Vec<String> {
    foreign
        .iter()
        .filter_map(|package| match &package.licence {
            None => Some(format!("{}: names no licence; expected an SPDX expression; replace it", package.name)),
            Some(expression) if !is_allowed(expression) => Some(format!(
                "{}: licence `{expression}`; expected one of {}; replace it",
                package.name,
                ALLOWED.join(", ")
            )),
            Some(_) => None,
        })
        .collect()
}

/// Whether an SPDX expression (`OR`, `AND`, `WITH`, brackets, and the older `/` for OR) can be met from the list. `AND` binds
/// tighter than `OR` (SPDX 2.3, annex D). An expression that cannot be read is not allowed.
pub fn is_allowed(expression: &str) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = tokens.as_slice();
    matches!(any_of(&mut rest), Some(true)) && rest.is_empty()
}

fn any_of(tokens: &mut &[&str]) -> Option<bool> {
    let mut allowed = all_of(tokens)?;
    while let ["OR", rest @ ..] = *tokens {
        *tokens = rest;
        allowed |= all_of(tokens)?;
    }
    Some(allowed)
}

fn all_of(tokens: &mut &[&str]) -> Option<bool> {
    let mut allowed = one(tokens)?;
    while let ["AND", rest @ ..] = *tokens {
        *tokens = rest;
        allowed &= one(tokens)?;
    }
    Some(allowed)
}

fn one(tokens: &mut &[&str]) -> Option<bool> {
    match *tokens {
        ["(", rest @ ..] => {
            *tokens = rest;
            let inner = any_of(tokens)?;
            let [")", rest @ ..] = *tokens else { return None };
            *tokens = rest;
            Some(inner)
        }
        [licence, "WITH", exception, rest @ ..] => {
            *tokens = rest;
            Some(ALLOWED.contains(&format!("{licence} WITH {exception}").as_str()))
        }
        ["AND" | "OR" | ")", ..] | [] => None,
        [licence, rest @ ..] => {
            *tokens = rest;
            Some(ALLOWED.contains(licence))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_read_as_spdx_means_them() {
        for good in [
            "MIT",
            "MIT OR GPL-3.0",
            "MIT/Apache-2.0",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception",
        ] {
            assert!(is_allowed(good), "{good}");
        }
        for bad in [
            "MPL-2.0",
            "MIT AND GPL-3.0",
            "GPL-3.0 OR MIT AND MPL-2.0",
            "",
            "MIT OR",
            "(MIT",
            "MIT Apache-2.0",
            "GPL-2.0 WITH Classpath-exception-2.0",
        ] {
            assert!(!is_allowed(bad), "{bad}");
        }
    }

    #[test]
    fn a_misfit_is_named() {
        let foreign = vec![
            Foreign { name: "good 1.0.0".into(), licence: Some("MIT".into()) },
            Foreign { name: "copyleft 2.0.0".into(), licence: Some("GPL-3.0-only".into()) },
            Foreign { name: "silent 0.1.0".into(), licence: None },
        ];
        let said = misfits(&foreign);
        assert!(said.len() == 2 && said[0].starts_with("copyleft 2.0.0") && said[1].starts_with("silent 0.1.0"));
    }

    #[test]
    fn every_dependency_of_this_workspace_fits() {
        let workspace = workspace::read().unwrap();
        assert!(workspace.foreign.len() > 5, "cargo metadata told of no dependencies");
        assert_eq!(misfits(&workspace.foreign), Vec::<String>::new());
    }
}
