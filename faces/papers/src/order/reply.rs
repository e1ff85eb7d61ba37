//! The laboratory's answer: what is on record, and the form for the next one.

use crate::Known;
use crate::blocks::{Block, Weight, Words};
use case::parts::LaboratoryReply;
use case::words::ReplyAnswer;

/// What the last answer means for the order as it stands now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// No answer yet.
    None,
    /// Accepted as it stands.
    Accepted,
    /// Something is still to be answered or agreed.
    Unsettled,
    /// The last answer is to an order that has changed since.
    Outdated,
}

/// How the order stands with the laboratory.
pub(super) fn standing(known: &Known<'_>, mark: &str) -> Standing {
    match known.case.replies.last() {
        None => Standing::None,
        Some(reply) if reply.order.as_deref().is_some_and(|m| m.trim() != mark) => Standing::Outdated,
        Some(reply) if reply.answer == ReplyAnswer::Accepted => Standing::Accepted,
        Some(_) => Standing::Unsettled,
    }
}

/// Answers on record, the newest last, and what the last one means.
pub(super) fn recorded(known: &Known<'_>, mark: &str) -> Vec<Block> {
    if known.case.replies.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::List(known.case.replies.iter().map(told).collect())];
    let note = match standing(known, mark) {
        Standing::Outdated => Some("the order has changed since the last answer: send it again.".to_owned()),
        Standing::Unsettled => {
            Some("answer the laboratory before it begins; what is agreed goes into the case.".to_owned())
        }
        Standing::None | Standing::Accepted => None,
    };
    if known.case.replies.last().is_some_and(|reply| reply.order.is_none()) {
        let text = format!("the last answer names no order; make sure that it is to this one (mark {mark}).");
        blocks.push(Block::Note(Weight::Remark, text.into()));
    }
    blocks.extend(note.map(|text| Block::Note(Weight::Caution, text.into())));
    blocks
}

fn told(reply: &LaboratoryReply) -> Words {
    let date = reply.date.as_deref().unwrap_or("day not told");
    let to = reply.order.as_ref().map_or(String::new(), |m| format!(" (to mark {m})"));
    let mut words = Words::from(format!("{date}{to}: ")).strong(reply.answer.label());
    if !reply.points.is_empty() {
        words = words.plain(format!(": {}", reply.points.join("; ")));
    }
    if let Some(surface) = reply.fitting_surface {
        words = words.plain(format!("; fitting surface: {}", surface.label()));
    }
    words
}

/// The form for the laboratory's answer.
pub(super) fn form(mark: &str) -> Vec<Block> {
    vec![
        Block::Paragraph(
            format!("To order mark {mark}:  \u{25a1} accepted as ordered   \u{25a1} questions before beginning   \u{25a1} will deviate, as follows").into(),
        ),
        Block::Blank("Questions or deviations, point by point:".into(), 4),
        Block::Paragraph("Fitting surface:  \u{25a1} nothing done   \u{25a1} etched   \u{25a1} air-abraded".into()),
        Block::Blank("Laboratory, name, day:".into(), 1),
        Block::Paragraph(
            Words::default()
                .quiet("The practice records it in the case: [[laboratory_reply]] order, date, answer, points, fitting_surface."),
        ),
    ]
}
