//! Icon arrays: 100 figures a group, filled row by row; the same denominator for every group; told apart by fill, not by colour.

use super::rows::ROW;
use crate::measure::{clean, wrap};
use crate::scene::{TYPE, WIDTH};
use crate::{Group, Ink, Mark, Scene, Shape, Table, Text, Undrawable, matching, not_empty};

/// Figures a row.
const ACROSS: usize = 10;
/// Distance of figures in a row, px: two cells.
const STEP: f64 = 13.0;
/// Denominator of every group.
const OF: u32 = 100;

/// One group of 100.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IconGroup {
    /// What the group stands for.
    pub label: String,
    /// How many of 100 it happens to.
    pub filled: u32,
    /// The sentence beside it; where no group has one, the picture is as narrow as its figures, to be set in large print.
    pub sentence: String,
}

/// Groups side by side, two a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IconArray {
    /// The finding, as a sentence.
    pub title: String,
    /// What happens to the filled ones.
    pub event: String,
    /// The groups.
    pub groups: Vec<IconGroup>,
}

/// Draws 100 figures for each group.
///
/// # Errors
/// [`Undrawable`] without groups or when more than 100 of 100 are filled.
pub fn icon_array(data: &IconArray) -> Result<Scene, Undrawable> {
    not_empty("groups", &data.groups)?;
    matching("filled", data.groups.iter().all(|g| g.filled <= OF), "at most 100 of 100 figures can be filled")?;
    // Counts as `13/100`: read alike in every language.
    let count = |g: &IconGroup| format!("{}/{OF}", g.filled);
    let mut table = Table::new(["", data.event.as_str()]);
    data.groups.iter().for_each(|g| table.row([g.label.clone(), count(g)]));
    let told: Vec<String> = data.groups.iter().map(|g| format!("{}: {}", g.label, count(g))).collect();
    let mut scene = Scene::new(&data.title, &format!("{}. {}.", data.event, told.join("; ")), table);

    let layout = Layout::of(&data.groups);
    scene.width = layout.width(data.groups.len());
    let mut top = 0.0;
    for pair in data.groups.chunks(2) {
        let lines = pair.iter().map(|g| layout.label(g).len()).max().unwrap_or(1);
        for (i, group) in pair.iter().enumerate() {
            scene.add(Mark::Group(Group { at: [i as f64 * layout.column, top], marks: layout.people(group, lines) }));
        }
        top += (lines + OF as usize / ACROSS + 1) as f64 * ROW;
    }
    Ok(scene.closed())
}

/// Room for a group.
struct Layout {
    /// Width of a group with the gap to the next, px.
    column: f64,
    /// Lines a label may take.
    label_lines: usize,
}

impl Layout {
    /// Half the standard width where sentences stand beside the figures, else the width of the figures.
    fn of(groups: &[IconGroup]) -> Self {
        if groups.iter().any(|g| !g.sentence.trim().is_empty()) {
            Self { column: WIDTH / 2.0, label_lines: 1 }
        } else {
            Self { column: (ACROSS + 2) as f64 * STEP, label_lines: 3 }
        }
    }

    /// Width of the whole picture, px.
    fn width(&self, groups: usize) -> f64 {
        if self.label_lines == 1 { WIDTH } else { self.column * groups.min(2) as f64 }
    }

    fn room(&self) -> f64 {
        self.column - STEP
    }

    /// The label in lines of bold type.
    fn label(&self, group: &IconGroup) -> Vec<String> {
        wrap(&clean(&group.label), TYPE, true, self.room(), self.label_lines)
    }

    /// Label, figures under `lines` of labels and, beside them, the sentence of one group.
    fn people(&self, group: &IconGroup, lines: usize) -> Vec<Mark> {
        let room = self.room();
        let mut marks: Vec<Mark> = Vec::with_capacity(OF as usize + 4);
        for (line, words) in self.label(group).iter().enumerate() {
            marks.push(Mark::Text(Text::new([0.0, 12.0 + line as f64 * ROW], words, room).bold(room)));
        }
        for i in 0..OF as usize {
            let row = (lines + i / ACROSS) as f64 + 0.5;
            let at = [(i % ACROSS) as f64 * STEP + STEP / 2.0, row * ROW];
            let filled = i < group.filled as usize;
            let (shape, ink) = if filled { (Shape::Person, Ink::Accent) } else { (Shape::PersonHollow, Ink::Rule) };
            marks.push(Mark::Point { at, radius: 6.8, shape, ink });
        }
        let left = ACROSS as f64 * STEP + STEP / 2.0;
        for (line, words) in wrap(&clean(&group.sentence), TYPE, false, room - left, 10).iter().enumerate() {
            marks.push(Mark::Text(Text::new([left, (lines + line) as f64 * ROW + 12.0], words, room - left)));
        }
        marks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn groups(counts: &[u32], sentence: &str) -> IconArray {
        let group = |(i, filled): (usize, &u32)| IconGroup {
            label: format!("a rather long name of group {i}"),
            filled: *filled,
            sentence: sentence.to_owned(),
        };
        IconArray {
            title: "So many of 100.".to_owned(),
            event: "It happened".to_owned(),
            groups: counts.iter().enumerate().map(group).collect(),
        }
    }

    /// Filled and hollow figures of each group.
    fn counted(scene: &Scene) -> Vec<(usize, usize)> {
        let of = |marks: &[Mark], wanted| {
            marks.iter().filter(|m| matches!(m, Mark::Point { shape, .. } if *shape == wanted)).count()
        };
        scene
            .marks
            .iter()
            .filter_map(|m| if let Mark::Group(g) = m { Some(&g.marks) } else { None })
            .map(|marks| (of(marks, Shape::Person), of(marks, Shape::PersonHollow)))
            .collect()
    }

    #[test]
    fn every_group_has_100_figures_of_which_as_many_are_filled_as_told() {
        for sentence in ["", "so many of them"] {
            for (a, b) in [(0, 100), (13, 7), (99, 1), (50, 50)] {
                let scene = icon_array(&groups(&[a, b, a], sentence)).unwrap();
                let expected = [a, b, a].map(|n| (n as usize, 100 - n as usize));
                assert_eq!(counted(&scene), expected);
                assert!(scene.outside().is_empty(), "{:?}", scene.outside());
            }
        }
        assert!(icon_array(&groups(&[101], "")).is_err() && icon_array(&groups(&[], "")).is_err());
    }

    /// Figures fill row by row: the filled ones are the first ones.
    #[test]
    fn filled_figures_come_first() {
        let scene = icon_array(&groups(&[23], "")).unwrap();
        let Some(Mark::Group(group)) = scene.marks.first() else { panic!("no group") };
        let shapes: Vec<Shape> = group
            .marks
            .iter()
            .filter_map(|m| if let Mark::Point { shape, .. } = m { Some(*shape) } else { None })
            .collect();
        assert!(shapes[..23].iter().all(|s| *s == Shape::Person));
        assert!(shapes[23..].iter().all(|s| *s == Shape::PersonHollow));
    }

    /// Without sentences the picture is narrower, so that it can be set larger on the same paper.
    #[test]
    fn without_sentences_it_is_as_narrow_as_its_figures() {
        assert!(icon_array(&groups(&[3, 4], "")).unwrap().width < 0.62 * WIDTH);
        assert_eq!(icon_array(&groups(&[3, 4], "told")).unwrap().width, WIDTH);
    }
}
