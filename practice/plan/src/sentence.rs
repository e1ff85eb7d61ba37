//! The verdict in one sentence.

use crate::odds::of_hundred;
use crate::report::PlannedOption;
use catalogue::words::Question;

/// What the ranking says, in one sentence for the dentist; read first.
pub fn verdict(options: &[PlannedOption], too_close: bool) -> String {
    let open: Vec<&PlannedOption> = options.iter().filter(|o| o.asked && !o.stopped).collect();
    let Some(best) = open.first() else {
        return if options.is_empty() {
            "Nothing can be computed for this case: see the alternatives.".to_owned()
        } else {
            "Every option of what was asked for is stopped: see the stops, the other ways and the alternatives."
                .to_owned()
        };
    };
    let loss = best.answers.iter().find(|a| a.question == Question::Last).and_then(|a| a.value).map(|v| v.mean);
    let odds = loss.map_or(String::new(), |p| format!("; about {} are lost by ten years", of_hundred(p)));
    let first = format!("comes first in {:.0} of 100 ways of weighing it", 100.0 * best.first_share);
    match open.get(1) {
        Some(second) if too_close => format!(
            "Too close to call: choose by laboratory and price. {} {first}, {} in {:.0}{odds}.",
            capital(&best.title),
            second.title,
            100.0 * second.first_share
        ),
        Some(second) => format!(
            "{} {first}{odds}; next is {} ({:.0} of 100).",
            capital(&best.title),
            second.title,
            100.0 * second.first_share
        ),
        None => format!("{} is the only option that is not stopped{odds}.", capital(&best.title)),
    }
}

/// With a capital letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
