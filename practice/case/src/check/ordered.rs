//! The order's own answers and the laboratory's.

use super::Look;
use crate::words::ReplyAnswer;

impl Look<'_> {
    pub(super) fn ordered(&mut self) {
        let standing = self.case.standing();
        let blocked = self.case.order.block_out.clone().unwrap_or_default();
        for tooth in blocked.into_iter().filter(|t| !standing.contains(t)) {
            let found = format!("{tooth} is to be blocked out and carries nothing here");
            self.error("order.block_out", found, "teeth that carry the restoration", "take it out, or mend the teeth");
        }
        for (i, reply) in self.case.replies.clone().iter().enumerate() {
            if reply.answer != ReplyAnswer::Accepted && reply.points.iter().all(|p| p.trim().is_empty()) {
                let path = format!("laboratory_reply[{}].points", i + 1);
                let found = format!("the laboratory {}, and not what", reply.answer.label());
                self.error(&path, found, "the points of its answer", "write each point as the laboratory gave it");
            }
        }
    }
}
