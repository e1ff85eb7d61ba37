//! `bisque register audit`: what happened, with what is not known said.

use super::super::{drawn, facts, print_json, say};
use super::{Desk, pooled, word};
use crate::args::AuditArgs;
use crate::failure::Failure;
use ::register::counting::{ArmCount, Endpoint, Question};
use ::register::words::Grouping;
use ::register::{Counting, audit, funnel};
use papers::register::audit::{lines, scenes};
use std::path::Path;

/// Runs an audit.
pub fn run(desk: &Desk, args: &AuditArgs, data: Option<&Path>) -> Result<(), Failure> {
    let by = args.by.as_deref().map_or(Ok(Grouping::All), |w| word("grouping", w, Grouping::ALL, Grouping::word))?;
    let mut only = Vec::new();
    for text in &args.only {
        let Some((name, value)) = text.split_once('=') else {
            return Err(Failure::Usage(format!("`{text}`: expected GROUPING=VALUE, e.g. material=zirconia_3y")));
        };
        only.push((word("grouping", name, Grouping::ALL, Grouping::word)?, value.to_owned()));
    }
    let endpoint = if args.success { Endpoint::Success } else { Endpoint::Survival };
    let seen_since = desk.today.plus(-args.months.clamp(1, 600) * 30);
    let question = Question { endpoint, by, only, seen_since };
    let mut keeper = desk.open()?;
    let found = audit(&mut keeper, &question)?;
    let units = if by == Grouping::All { Vec::new() } else { funnel(&found) };
    let (due, overdue) = keeper.due(seen_since, 20)?;
    if let Some(out) = &args.out {
        let (arms, _) = keeper.arm_counts()?;
        let catalogue = facts(data)?;
        let expected = |mix: &[ArmCount], years| pooled::expected(&catalogue, data, mix, years);
        let n = drawn::write_all(out, scenes::<Failure>(&question, &found, &units, &arms, expected)?, args.png)?;
        if !desk.json {
            say(&format!("{n} pictures written to {}", out.display()));
        }
    }
    if desk.json {
        return print_json(&serde_json::json!({
            "endpoint": endpoint, "by": by, "level": ::register::LEVEL, "groups": found, "funnel": units,
            "overdue": overdue, "overdue_first": due
        }));
    }
    for line in lines(&found, &units, endpoint, &due, overdue, args.months) {
        say(&line);
    }
    Ok(())
}
