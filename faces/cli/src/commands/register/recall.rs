//! Recalls: an uneventful one is one command, or one key in the list of those due.

use super::super::{print_json, say};
use super::enter::told;
use super::{Desk, day, word};
use crate::args::RecallArgs;
use crate::failure::Failure;
use ::register::counting::Due;
use ::register::words::Scheme;
use ::register::{Counting, Day, Score, Store};
use std::io::BufRead;
use store::Keeper;

/// Most restorations offered at once.
const MOST: usize = 500;

/// Enters recalls.
pub fn run(desk: &Desk, args: &RecallArgs) -> Result<(), Failure> {
    let mut keeper = desk.open()?;
    let on = args.day.as_deref().map(day).transpose()?.unwrap_or(desk.today);
    let mut keys = args.restoration.clone();
    if let Some(patient) = &args.patient {
        let chart = keeper.charts(std::slice::from_ref(patient))?.pop();
        let Some(chart) = chart else { return Err(Failure::Usage(format!("no patient `{patient}` in this register"))) };
        let standing = chart.restorations.iter().filter(|h| matches!(h.in_place(), Some((_, None))));
        keys.extend(standing.map(|h| h.restoration.value.key.clone()));
    }
    if keys.is_empty() {
        return go_through(desk, &mut keeper, args, on);
    }
    let scores = scores(args)?;
    let scheme = args.scheme.as_deref().map(|s| word("scheme", s, Scheme::ALL, Scheme::word)).transpose()?;
    for key in &keys {
        desk.work(&mut keeper).seen(key, on, scheme, scores.clone())?;
    }
    told(desk, &keys.join(" "), &format!("seen in place on {on}: {}", keys.join(", ")))
}

fn scores(args: &RecallArgs) -> Result<Vec<Score>, Failure> {
    let pair = |text: &String| match text.split_once('=') {
        Some((criterion, score)) => Ok(Score { criterion: criterion.trim().into(), score: score.trim().into() }),
        None => Err(Failure::Usage(format!("`{text}`: expected CRITERION=SCORE, e.g. F2=3"))),
    };
    args.score.iter().map(pair).collect()
}

/// The list of those due, longest ago first; one key each.
fn go_through(desk: &Desk, keeper: &mut Keeper, args: &RecallArgs, on: Day) -> Result<(), Failure> {
    let before = on.plus(-args.months.clamp(1, 600) * 30);
    let (due, all): (Vec<Due>, i64) = keeper.due(before, MOST)?;
    if desk.json {
        return print_json(&serde_json::json!({ "due": due, "all": all }));
    }
    if due.is_empty() {
        say(&format!("nothing is due: every standing restoration was seen since {before}"));
        return Ok(());
    }
    let are = if all == 1 { "is" } else { "are" };
    say(&format!(
        "{all} {are} due. Enter: seen, all well; s: not now; q: end. What went wrong is entered with `bisque register event`."
    ));
    let mut lines = std::io::stdin().lock().lines();
    let mut seen = 0;
    for one_due in &due {
        say(&format!(
            "{}  {}  {}  last seen {}",
            one_due.patient, one_due.restoration, one_due.teeth, one_due.last_seen
        ));
        match answer(&mut lines) {
            Answer::Seen => {
                desk.work(keeper).seen(&one_due.restoration, on, None, Vec::new())?;
                seen += 1;
            }
            Answer::NotNow => {}
            Answer::End => break,
        }
    }
    say(&format!("{seen} {} entered on {on}", if seen == 1 { "recall" } else { "recalls" }));
    Ok(())
}

/// What was answered to one that is due.
enum Answer {
    Seen,
    NotNow,
    End,
}

/// Asks until one of the keys is given; the end of the input is an end, not an answer.
fn answer(lines: &mut impl Iterator<Item = std::io::Result<String>>) -> Answer {
    loop {
        let Some(Ok(line)) = lines.next() else { return Answer::End };
        match line.trim() {
            "" => return Answer::Seen,
            "s" => return Answer::NotNow,
            "q" => return Answer::End,
            other => say(&format!("`{other}` is none of the keys: Enter: seen, all well; s: not now; q: end")),
        }
    }
}
