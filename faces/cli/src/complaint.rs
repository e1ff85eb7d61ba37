//! Errors as a person reads them: where, what stands there, what was expected, what to write.

use crate::failure::Failure;
use answer::{Issue, Severity};

/// Prints a failure to standard error.
pub fn print(failure: &Failure) {
    match failure {
        Failure::Input { issues, text } => {
            for issue in issues {
                eprint!("{}", issue_text(issue, text.as_deref()));
            }
            let errors = issues.iter().filter(|i| i.is_error()).count();
            eprintln!("{errors} {} to mend; nothing was written", if errors == 1 { "error" } else { "errors" });
        }
        other => eprintln!("error: {other}"),
    }
}

/// Prints warnings to standard error.
pub fn print_warnings(issues: &[Issue], text: &str) {
    for issue in issues {
        eprint!("{}", issue_text(issue, Some(text)));
    }
}

/// One issue with the line it points at.
fn issue_text(issue: &Issue, text: Option<&str>) -> String {
    let word = match issue.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let mut out = format!("{word}: {}: {}\n", issue.place, issue.found);
    let line = issue.place.line.and_then(|n| text?.lines().nth(n.checked_sub(1)?).map(|l| (n, l)));
    if let Some((number, line)) = line {
        let shown: String = line.chars().take(160).collect();
        out.push_str(&format!("  {number:>4} | {shown}\n"));
    }
    out.push_str(&format!("  expected: {}\n  do: {}\n", issue.expected, issue.remedy));
    out
}
