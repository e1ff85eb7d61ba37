//! The option chosen, and stops set aside.

use super::Look;
use catalogue::words::Gap;

impl Look<'_> {
    pub(super) fn decided(&mut self) {
        if let Some(chosen) = self.case.chosen.clone() {
            if (chosen.construct.treats() == Gap::Missing) != self.case.is_gap() && self.case.standing().len() < 2 {
                let (there, wanted) = if self.case.is_gap() {
                    ("a gap", "a way of treating a gap")
                } else {
                    ("a standing tooth", "a way of treating a tooth")
                };
                let found = format!("{} was chosen for {there}", chosen.construct);
                self.error("chosen.construct", found, wanted, "name an option of the list");
            }
            if chosen.construct.is_indirect() && (chosen.material.is_none() || chosen.build.is_none()) {
                let found = format!("{} without material or build", chosen.construct);
                self.error(
                    "chosen.construct",
                    found,
                    "construct, material and build",
                    "write material and build as they stand in the list",
                );
            }
        }
        for (i, set_aside) in self.case.overrides.clone().iter().enumerate() {
            // Three letters are no reason, but they are the least a machine can ask for.
            if set_aside.reason.trim().chars().count() < 3 {
                let path = format!("override[{}].reason", i + 1);
                self.error(
                    &path,
                    "the reason is empty",
                    "a written reason",
                    "write why the stop may be set aside here",
                );
            }
        }
    }
}
