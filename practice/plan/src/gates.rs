//! What comes before any choice of material: does the tooth deserve a restoration, and why did the last one fail?
//!
//! Each rule looks at one finding of one tooth and answers with a verdict and a sentence that says what to do first. The rules are
//! common practice, no source, save the ferrule (Juloski, Radovic, Goracci, Vulicevic, Ferrari 2012, J Endod 38:11-19, doi
//! 10.1016/j.joen.2011.09.024, from memory: a ferrule of 1.5-2 mm helps root-filled teeth); they never hide an option.

use crate::report::Gate;
use answer::Verdict;
use case::parts::Abutment;
use case::words::{Apical, Bone, Cracks, DryField, Grinding, Margin, Pulp, Risk, WhyReplaced};
use case::{Case, Old};
use catalogue::words::{Cause, Construct};

/// Source id of a rule of the trade.
pub const COMMON_PRACTICE: &str = "common_practice";

/// Finding of one rule.
type Finding = Option<(Verdict, String)>;

/// All findings of the case, the gravest first.
pub fn gates(case: &Case) -> Vec<Gate> {
    let mut found: Vec<Gate> = case.standing().into_iter().filter_map(|t| case.abutment(t)).map(tooth_gate).collect();
    found.extend(case.old.as_ref().and_then(|old| last_failure(case, old)));
    found.extend(mouth_gate(case));
    found.sort_by_key(|gate| match gate.verdict {
        Verdict::Unsuitable => 0,
        Verdict::NotKnown => 1,
        Verdict::WithCare => 2,
        Verdict::Suits => 3,
    });
    found
}

/// True when a tooth of the case is beyond restoring.
pub fn not_restorable(abutment: &Abutment) -> bool {
    tooth_findings(abutment).iter().any(|(verdict, _)| *verdict == Verdict::Unsuitable)
}

fn tooth_gate(abutment: &Abutment) -> Gate {
    let findings = tooth_findings(abutment);
    let verdict = findings.iter().fold(Verdict::Suits, |v, (next, _)| v.graver(*next));
    let text = if findings.is_empty() {
        "nothing found speaks against restoring it".to_owned()
    } else {
        findings.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>().join("; ")
    };
    Gate {
        question: format!("Does {} ({}) deserve a restoration?", abutment.tooth, abutment.tooth.name()),
        verdict,
        text,
        sources: vec![COMMON_PRACTICE.to_owned()],
    }
}

fn tooth_findings(a: &Abutment) -> Vec<(Verdict, String)> {
    [cracks(a), root_end(a), pulp(a), support(a), wall(a), margin(a), recession(a)].into_iter().flatten().collect()
}

fn cracks(a: &Abutment) -> Finding {
    match a.cracks? {
        Cracks::Split => Some((Verdict::Unsuitable, "the tooth or root is split: it cannot be kept".to_owned())),
        Cracks::Symptomatic => Some((
            Verdict::WithCare,
            "a crack hurts on biting: cover the cusps, and wait with the final restoration until it is free of pain"
                .to_owned(),
        )),
        Cracks::Dentine => Some((Verdict::WithCare, "a crack reaches dentine: follow it while preparing".to_owned())),
        Cracks::Nothing | Cracks::Enamel => None,
    }
}

fn root_end(a: &Abutment) -> Finding {
    match a.apical? {
        Apical::Lesion => {
            Some((Verdict::WithCare, "the root end has a lesion: treat it first and see it heal".to_owned()))
        }
        Apical::Healing => {
            Some((Verdict::WithCare, "the root end is healing: check it before the final restoration".to_owned()))
        }
        Apical::Unknown => Some((Verdict::NotKnown, "the root end is not known: take a radiograph first".to_owned())),
        Apical::Sound => None,
    }
}

fn pulp(a: &Abutment) -> Finding {
    match a.pulp? {
        Pulp::Irreversible | Pulp::Necrotic => {
            Some((Verdict::WithCare, format!("the pulp is {}: root canal treatment comes first", a.pulp?.label())))
        }
        Pulp::Unknown => Some((Verdict::NotKnown, "the pulp is not known: test it first".to_owned())),
        Pulp::Vital | Pulp::RootFilled => None,
    }
}

fn support(a: &Abutment) -> Finding {
    match (a.bone, a.mobility) {
        (_, Some(3)) => Some((Verdict::Unsuitable, "mobility grade 3: it cannot carry a restoration".to_owned())),
        (Some(Bone::HalfLost), _) | (_, Some(2)) => Some((
            Verdict::WithCare,
            "support is weak (half the bone lost or mobility grade 2): treat the gum first, and do not let it carry a gap alone"
                .to_owned(),
        )),
        (Some(Bone::ThirdLost), _) => Some((Verdict::WithCare, "a third of the bone is lost: treat the gum first".to_owned())),
        _ => None,
    }
}

fn wall(a: &Abutment) -> Finding {
    let (_, most) = a.ferrule?.millimetres();
    if most >= 1.5 {
        return None;
    }
    let root_filled = a.pulp == Some(Pulp::RootFilled);
    let text = format!(
        "the ferrule is {}: lengthen the crown, bring the root up, or expect more fractures and loosening{}",
        if most <= 0.0 { "missing" } else { "short (under 1.5 mm)" },
        if root_filled { " of this root-filled tooth" } else { "" }
    );
    Some((Verdict::WithCare, text))
}

fn margin(a: &Abutment) -> Finding {
    (a.margin? == Margin::Below).then(|| {
        (
            Verdict::WithCare,
            "the finish line lies below the gum: plan for dryness, and for the impression or scan".to_owned(),
        )
    })
}

fn recession(a: &Abutment) -> Finding {
    let mm = a.recession_mm?;
    (mm >= 2.0).then(|| (Verdict::WithCare, format!("recession of {mm} mm: a low finish line bares thin root dentine")))
}

/// What the end of the old restoration teaches.
fn last_failure(case: &Case, old: &Old) -> Option<Gate> {
    if old.failed_by.is_empty() {
        return None;
    }
    let lessons: Vec<&str> = old.failed_by.iter().map(|why| lesson(*why)).collect();
    let ground = case.mouth.grinding != Some(Grinding::Nothing) && case.mouth.grinding.is_some();
    let stress = old.failed_by.iter().filter_map(|w| w.cause()).any(Cause::is_stress_driven);
    let mut text = lessons.join("; ");
    if ground && stress {
        text.push_str("; grinding is part of the story: a guard belongs to the plan");
    }
    let served = old.years.map_or(String::new(), |y| format!(" after {y} years"));
    let what = old.construct.unwrap_or(Construct::Crown);
    Some(Gate {
        question: format!("Why did the last {what} fail{served}?"),
        verdict: if old.failed_by.contains(&WhyReplaced::Unknown) { Verdict::NotKnown } else { Verdict::WithCare },
        text,
        sources: vec![COMMON_PRACTICE.to_owned()],
    })
}

fn lesson(why: WhyReplaced) -> &'static str {
    match why {
        WhyReplaced::FrameworkFracture => {
            "it broke: find out where, and give that place more height or a stronger class"
        }
        WhyReplaced::Chip => {
            "its veneer chipped: a build without veneer in function, or a repair, comes before the same again"
        }
        WhyReplaced::Debonding => {
            "it came off: look at wall height and taper, or at the bond, before cementing the same again"
        }
        WhyReplaced::Caries => "caries took it: control the caries and place the margin where it can be cleaned",
        WhyReplaced::Endodontic => "the root canal took it: the new one waits for a sound root end",
        WhyReplaced::ToothFracture => "the tooth broke beneath it: ask whether the rest deserves a crown at all",
        WhyReplaced::Fit => "it never fitted: impression and try-in decide the next one",
        WhyReplaced::Looks => "its looks failed: measure the stump before the material is chosen",
        WhyReplaced::Other => "it failed for another reason: write it down",
        WhyReplaced::Unknown => "nobody knows why it failed: find out before the same is made again",
    }
}

fn mouth_gate(case: &Case) -> Option<Gate> {
    let mut text = Vec::new();
    if case.mouth.caries_risk == Some(Risk::High) {
        text.push("caries risk is high: bring it down first, whatever is made");
    }
    if case.mouth.reflux == Some(true) {
        text.push("acid reflux dissolves tooth at the margin: have it treated");
    }
    if case.mouth.dry_field == Some(DryField::No) {
        text.push("the field cannot be kept dry: nothing that is only bonded will hold");
    }
    (!text.is_empty()).then(|| Gate {
        question: "Is the mouth ready?".to_owned(),
        verdict: Verdict::WithCare,
        text: text.join("; "),
        sources: vec![COMMON_PRACTICE.to_owned()],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use case::Ferrule;
    use catalogue::words::Tooth;

    fn tooth() -> Abutment {
        Abutment::unanswered(Tooth::new(46).unwrap())
    }

    #[test]
    fn a_split_tooth_is_not_restorable_and_a_sound_one_is() {
        let mut split = tooth();
        split.cracks = Some(Cracks::Split);
        assert!(not_restorable(&split));
        assert_eq!(tooth_gate(&split).verdict, Verdict::Unsuitable);
        assert_eq!(tooth_gate(&tooth()).verdict, Verdict::Suits);
    }

    #[test]
    fn a_short_ferrule_and_a_lesion_are_both_told() {
        let mut a = tooth();
        a.ferrule = Some(Ferrule::Millimetres(1.0));
        a.apical = Some(Apical::Lesion);
        let gate = tooth_gate(&a);
        assert!(gate.text.contains("ferrule") && gate.text.contains("root end"), "{}", gate.text);
        assert_eq!(gate.verdict, Verdict::WithCare);
    }
}
