//! `bisque survive compare`.

use super::super::evidence::print_figures;
use super::super::say;
use super::{cautions, curve, draw, p_words, rows};
use crate::args::CompareArgs;
use crate::failure::Failure;
use picture::axis::figure;
use survival::cox::{Covariate, Cox, CoxTest, Ties};
use survival::log_rank;

/// p below which a difference is called more than chance.
const CLEAR: f64 = 0.05;

/// Reads, compares, tells.
pub fn run(args: &CompareArgs) -> Result<(), Failure> {
    let rows = rows::read(&args.rows, &[])?;
    let Some((codes, names)) = &rows.group else {
        return Err(Failure::Usage("what shall be compared? Give --group COL".to_owned()));
    };
    if !args.rho.is_finite() {
        return Err(Failure::Usage("--rho: give a finite number, 0 for the log-rank test".to_owned()));
    }
    let events = rows.events(args.cause.as_deref())?;
    let seen = rows.observations(&events)?;
    let strata = rows.strata.as_ref().map(|s| s.0.as_slice());
    let told = |e: &dyn std::fmt::Display| Failure::Usage(format!("{}: {e}", rows.file));
    let test = log_rank(&seen, codes, strata, args.rho).map_err(|e| told(&e))?;
    let robust = if rows.cluster.is_some() {
        Some(over_clusters(&seen, codes, names.len(), strata).map_err(|e| told(&e))?)
    } else {
        None
    };
    let p = robust.map_or(test.p, |r| r.p);
    let verdict = if p < CLEAR {
        format!(
            "The groups of `{}` differ by more than chance (p {})",
            args.rows.group.as_deref().unwrap_or(""),
            p_words(p)
        )
    } else {
        format!("No difference between the groups is shown (p {}); that is not proof that they are alike", p_words(p))
    };
    let cautions = cautions(&args.rows, &rows, events.iter().map(|&e| f64::from(e)).sum());
    if args.rows.json {
        let groups: Vec<serde_json::Value> = names
            .iter()
            .enumerate()
            .map(|(i, name)| serde_json::json!({ "group": name, "units": units(codes, i), "observed": test.observed[i], "expected": test.expected[i] }))
            .collect();
        print_figures(&serde_json::json!({ "finding": verdict, "cautions": cautions, "groups": groups,
            "log_rank": { "rho": args.rho, "chi_square": test.chi_square, "df": test.df, "p": test.p },
            "over_clusters": robust }))?;
    } else {
        say(&format!("{verdict}."));
        cautions.iter().for_each(|c| say(&format!("  {c}")));
        let width = names.iter().map(|n| n.chars().count()).max().unwrap_or(0).max(5);
        say(&format!("  {:<width$}  units  events  expected", "group"));
        for (i, name) in names.iter().enumerate() {
            let (o, e) = (figure(test.observed[i], usize::from(args.rho != 0.0)), figure(test.expected[i], 1));
            say(&format!("  {name:<width$}  {:>5}  {o:>6}  {e:>8}", units(codes, i)));
        }
        let what = if args.rho == 0.0 { "log-rank".to_owned() } else { format!("G-rho {}", args.rho) };
        say(&format!(
            "  {what}: chi-square {} on {}, p {}, rows as independent",
            figure(test.chi_square, 2),
            test.df,
            p_words(test.p)
        ));
        if let Some(r) = robust {
            say(&format!(
                "  over clusters: chi-square {} on {}, p {} (robust score test)",
                figure(r.chi_square, 2),
                r.df,
                p_words(r.p)
            ));
        }
    }
    match &args.picture {
        Some(out) => {
            let curves = curve::estimate(&rows, &events, None)?;
            draw(&curve::scene(&curves, format!("{verdict}."), args.rows.level / 100.0)?, out, args.rows.json)
        }
        None => Ok(()),
    }
}

fn units(codes: &[u32], group: usize) -> usize {
    codes.iter().filter(|&&c| c as usize == group).count()
}

/// Robust score test of group membership: the log-rank test with covariance over clusters.
fn over_clusters(
    seen: &survival::Observations<'_>,
    codes: &[u32],
    groups: usize,
    strata: Option<&[u32]>,
) -> Result<CoxTest, survival::cox::CoxError> {
    let columns: Vec<Vec<f64>> =
        (1..groups).map(|g| codes.iter().map(|&c| f64::from(u8::from(c as usize == g))).collect()).collect();
    let names: Vec<String> = (1..groups).map(|g| format!("group {}", g + 1)).collect();
    let covariates: Vec<Covariate<'_>> =
        names.iter().zip(&columns).map(|(name, values)| Covariate { name, values }).collect();
    let mut model = Cox::new(*seen, &covariates)?.with_ties(Ties::Breslow);
    if let Some(strata) = strata {
        model = model.with_strata(strata)?;
    }
    model.robust_score_test()
}
