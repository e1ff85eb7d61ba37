//! Room now and planned, and the width of the gap.

use super::Look;
use crate::words::SpaceSource;

/// Least and largest width a missing tooth can leave, mm: the averages run from 5.0 (lower central incisor) to 11.0 (lower first
/// molar); gaps close by drift and open with spacing.
const WIDTH_MM: (f64, f64) = (2.5, 15.0);

impl Look<'_> {
    pub(super) fn room(&mut self) {
        let space = &self.case.space;
        if let (Some(now), Some(planned)) = (space.now_mm, space.planned_mm) {
            let explains = matches!(space.planned_by, Some(SpaceSource::Orthodontics | SpaceSource::Antagonist));
            if planned < now && !explains {
                let found = format!("{planned} mm are planned, less than the {now} mm there are");
                let remedy = "write planned_mm of at least now_mm, or planned_by = \"orthodontics\" or \"antagonist\" if the antagonist comes nearer";
                self.error("space.planned_mm", found, "no less room than now, or the reason", remedy);
            }
        }
        if space.planned_by == Some(SpaceSource::CrownLengthening) && space.planned_mm > space.now_mm {
            let found = "crown lengthening gives height of the wall, not room to the antagonist";
            self.warning(
                "space.planned_by",
                found,
                "a source of room",
                "name what makes the room; give the wall in wall_mm",
            );
        }
        if space.room.is_some() && space.millimetres().is_some() {
            self.warning(
                "space.room",
                "room is judged and measured",
                "one of the two",
                "take room out: the measured room is taken",
            );
        }
        self.span();
    }

    fn span(&mut self) {
        let count = self.case.missing().len() as f64;
        let Some(span) = self.case.space.span_mm else { return };
        if count == 0.0 {
            self.warning("space.span_mm", "no tooth is missing", "a gap", "take the line out");
        } else if span < WIDTH_MM.0 * count || span > WIDTH_MM.1 * count {
            let found = format!("impossible span: {span} mm for {count} missing");
            let remedy = format!(
                "measure between the neighbours' contact points: {} to {} mm are possible",
                WIDTH_MM.0 * count,
                WIDTH_MM.1 * count
            );
            self.error("space.span_mm", found, "a width that teeth can leave", remedy);
        }
    }
}
