//! The common layout of forms that show one quantity a row: label left, plot in the middle, words right; thresholds as thin rules
//! across all rows with their names above.

use crate::axis::{Scale, widest};
use crate::measure;
use crate::scene::{TYPE, WIDTH};
use crate::{Anchor, Ink, Mark, Pen, Scene, Text};

/// Height of a row, px.
pub(crate) const ROW: f64 = 16.0;

/// A limit drawn as a thin rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    /// Where, in the unit of the quantity.
    pub at: f64,
    /// What it means, in a few words.
    pub label: String,
}

/// Where label, plot and words of each row stand.
pub(crate) struct Rows {
    pub scale: Scale,
    pub words_at: f64,
}

impl Rows {
    /// Labels get what they need up to 37 % of the width, words what they need up to 31 % (a tenth more than upright text, for bold).
    pub fn new(scene: &mut Scene, labels: &[&str], words: &[&str], range: (f64, f64)) -> Self {
        let left = (1.1 * widest(labels.iter().copied(), 0.34 * WIDTH) + 14.0).max(26.0);
        let words_width = 1.1 * widest(words.iter().copied(), 0.28 * WIDTH);
        let right = if words_width > 0.0 { WIDTH - words_width - 18.0 } else { WIDTH - 16.0 };
        scene.width = WIDTH;
        Self { scale: Scale::new(range.0, range.1, left, right), words_at: right + 14.0 }
    }

    /// Room for a label, px.
    pub fn label_room(&self) -> f64 {
        self.scale.left - 12.0
    }

    /// Writes label and words of the row whose middle is at `y`.
    pub fn name(&self, scene: &mut Scene, y: f64, label: &str, words: &str, bold: bool) {
        let base = y + 0.35 * TYPE;
        let text = Text::new([0.0, base], label, self.label_room());
        scene.write(if bold { text.bold(self.label_room()) } else { text });
        let room = WIDTH - self.words_at;
        let text = Text::new([self.words_at, base], words, room);
        scene.write(if bold { text.bold(room) } else { text });
    }
}

/// Names of thresholds above the plot, each in the first line where it runs into no other, and their rules down to `bottom`.
/// Returns the height the names take; `top` is where they begin. Thresholds off the scale are left out.
pub(crate) fn thresholds(
    scene: &mut Scene,
    limits: &[Threshold],
    scale: Scale,
    top: f64,
    bottom: impl Fn(f64) -> f64,
) -> f64 {
    let mut shown: Vec<&Threshold> = limits.iter().filter(|t| scale.holds(t.at)).collect();
    shown.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut lines: Vec<f64> = Vec::new();
    let mut placed = Vec::new();
    for limit in shown {
        let x = scale.at(limit.at);
        let words = measure::shorten(&measure::clean(&limit.label), TYPE, false, WIDTH / 2.0);
        let w = measure::width(&words, TYPE, false).max(measure::columns(&words) as f64 * 6.5);
        // Beside its rule: to the right where there is room, else to the left.
        let (anchor, from, to) = if x + 4.0 + w <= WIDTH {
            (Anchor::Start, x + 4.0, x + 4.0 + w)
        } else {
            (Anchor::End, x - 4.0 - w, x - 4.0)
        };
        let line = match lines.iter().position(|end| *end + 10.0 < from) {
            Some(line) => line,
            None => {
                lines.push(0.0);
                lines.len() - 1
            }
        };
        lines[line] = to;
        placed.push((x, line, anchor, words));
    }
    let height = lines.len() as f64 * ROW;
    for (x, line, anchor, words) in placed {
        let y = top + line as f64 * ROW;
        scene.add(Mark::line([x, y + 2.0], [x, bottom(height)], Pen::dotted(Ink::Rule, 1.2)));
        let at = if anchor == Anchor::Start { x + 4.0 } else { x - 4.0 };
        scene.write(Text::new([at, y + 12.0], &words, WIDTH).anchored(anchor).ink(Ink::Quiet));
    }
    height
}
