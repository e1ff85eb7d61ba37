//! Questions still open, ordered by how much their answer could change the choice: each possible answer is put into the case and
//! the case is ranked again.

use case::Case;
use case::parts::{Abutment, Ferrule};
use case::words::{DryField, FerruleStep, Filled, Grinding, Matter, Opposing, Pulp, Room, Substrate, Visible};
use catalogue::words::Tooth;

/// One open question with its possible answers.
pub struct Probe {
    /// Field of the case file.
    pub field: String,
    /// In plain words.
    pub question: String,
    /// Answer in words, and the case with that answer.
    pub answers: Vec<(String, Case)>,
}

/// The open questions of a case.
pub fn probes(case: &Case) -> Vec<Probe> {
    let mut open = Vec::new();
    if case.mouth.grinding.is_none() {
        open.push(probe(
            case,
            "mouth.grinding",
            "Does the patient grind or clench?",
            Grinding::ALL,
            |w| w.label(),
            |c, w| {
                c.mouth.grinding = Some(w);
            },
        ));
    }
    if case.mouth.visible.is_none() {
        open.push(probe(
            case,
            "mouth.visible",
            "How much of it is seen?",
            Visible::ALL,
            |w| w.label(),
            |c, w| {
                c.mouth.visible = Some(w);
            },
        ));
    }
    if case.mouth.dry_field.is_none() {
        open.push(probe(
            case,
            "mouth.dry_field",
            "Can it be kept dry?",
            DryField::ALL,
            |w| w.label(),
            |c, w| {
                c.mouth.dry_field = Some(w);
            },
        ));
    }
    if case.mouth.opposing.is_none() {
        open.push(probe(
            case,
            "mouth.opposing",
            "What does it bite on?",
            Opposing::ALL,
            |w| w.label(),
            |c, w| {
                c.mouth.opposing = Some(w);
            },
        ));
    }
    if case.space.millimetres().is_none() && case.space.room.is_none() {
        open.push(probe(
            case,
            "space.room",
            "How much room is there to the antagonist?",
            Room::ALL,
            |w| w.label(),
            |c, w| {
                c.space.room = Some(w);
            },
        ));
    }
    if !case.connectors().is_empty() && case.space.connector_height_mm.is_none() {
        let heights = [2.5, 3.0, 4.0, 5.0];
        open.push(probe(
            case,
            "space.connector_height_mm",
            "How high can the connector be?",
            &heights,
            |h| {
                if h < 3.0 {
                    "under 3 mm"
                } else if h < 4.0 {
                    "3 mm"
                } else if h < 5.0 {
                    "4 mm"
                } else {
                    "5 mm"
                }
            },
            |c, h| c.space.connector_height_mm = Some(h),
        ));
    }
    if case.wish.order.is_empty() && case.wish.weights.is_none() && case.wish.trades.is_none() {
        open.push(probe(
            case,
            "wish.order",
            "What matters most?",
            Matter::ALL,
            |w| w.label(),
            |c, w| c.wish.order = vec![w],
        ));
    }
    for tooth in case.standing() {
        open.extend(abutment_probes(case, tooth));
    }
    open
}

fn abutment_probes(case: &Case, tooth: Tooth) -> Vec<Probe> {
    let known = case.abutment(tooth);
    let mut open = Vec::new();
    let at = |field: &str| format!("abutment[{tooth}].{field}");
    if known.and_then(|a| a.pulp).is_none() {
        let words = [Pulp::Vital, Pulp::RootFilled];
        open.push(probe(
            case,
            &at("pulp"),
            &format!("Is the pulp of {tooth} alive?"),
            &words,
            |w| w.label(),
            move |c, w| {
                abutment_mut(c, tooth).pulp = Some(w);
            },
        ));
    }
    if known.and_then(|a| a.substrate).is_none() && known.is_none_or(|a| a.stump.is_none()) {
        let words = [Substrate::Dentine, Substrate::DiscolouredDentine, Substrate::CompositeCore, Substrate::MetalPost];
        open.push(probe(
            case,
            &at("substrate"),
            &format!("What lies beneath on {tooth}?"),
            &words,
            |w| w.label(),
            move |c, w| {
                abutment_mut(c, tooth).substrate = Some(w);
            },
        ));
    }
    if known.and_then(|a| a.ferrule).is_none() {
        let steps = FerruleStep::ALL;
        open.push(probe(
            case,
            &at("ferrule"),
            &format!("How much ferrule has {tooth}?"),
            steps,
            |w| w.label(),
            move |c, w| {
                abutment_mut(c, tooth).ferrule = Some(Ferrule::Step(w));
            },
        ));
    }
    if case.is_gap() && known.and_then(|a| a.filled).is_none() {
        let words = Filled::ALL;
        open.push(probe(
            case,
            &at("filled"),
            &format!("How much of {tooth} is filling?"),
            words,
            |w| w.label(),
            move |c, w| {
                abutment_mut(c, tooth).filled = Some(w);
            },
        ));
    }
    if known.and_then(|a| a.wall_mm).is_none() {
        let walls = [2.5, 4.0, 5.0];
        open.push(probe(
            case,
            &at("wall_mm"),
            &format!("How high will the walls of {tooth} be?"),
            &walls,
            |h| {
                if h < 3.0 {
                    "under 3 mm"
                } else if h < 4.5 {
                    "3 to 4 mm"
                } else {
                    "over 4 mm"
                }
            },
            move |c, h| abutment_mut(c, tooth).wall_mm = Some(h),
        ));
    }
    open
}

/// The state of a tooth, begun if nothing was said of it.
fn abutment_mut(case: &mut Case, tooth: Tooth) -> &mut Abutment {
    let i = match case.abutments.iter().position(|a| a.tooth == tooth) {
        Some(i) => i,
        None => {
            case.abutments.push(Abutment::unanswered(tooth));
            case.abutments.len() - 1
        }
    };
    &mut case.abutments[i]
}

fn probe<T: Copy>(
    case: &Case,
    field: &str,
    question: &str,
    answers: &[T],
    label: impl Fn(T) -> &'static str,
    set: impl Fn(&mut Case, T),
) -> Probe {
    let answers = answers
        .iter()
        .map(|&answer| {
            let mut with = case.clone();
            set(&mut with, answer);
            (label(answer).to_owned(), with)
        })
        .collect();
    Probe { field: field.to_owned(), question: question.to_owned(), answers }
}
