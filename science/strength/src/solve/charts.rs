//! Fields of the trilinear level: a body whose cells meet without touching is spread over several, so that no two cells of one field share a lattice node that
//! they do not share as bodies.
//!
//! Cells that meet without touching get different labels, which then spread along links to the nearest cells without one. Both sides of a slot thus have coarse
//! levels of their own; where two labels meet in whole material the copies of a node are tied (`coarse`).

use super::lattice::Field;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// More labels than this are not given: cells that would need one are tied on coarse levels, which is slower and not wrong.
const MOST: u32 = 8;
const NONE: u32 = u32::MAX;

/// Sets the chart of every cell; body of every chart.
pub(crate) fn charts(fields: &mut [Field]) -> Vec<usize> {
    let mut bodies: Vec<usize> = (0..fields.len()).collect();
    for (body, field) in fields.iter_mut().enumerate() {
        if field.is_plain() {
            field.cells.iter_mut().for_each(|c| c.chart = body as u32);
            continue;
        }
        let labels = labels(field);
        let more = labels.iter().max().copied().unwrap_or(0);
        let next = bodies.len() as u32;
        bodies.extend((0..more).map(|_| body));
        for (cell, label) in field.cells.iter_mut().zip(labels) {
            cell.chart = if label == 0 { body as u32 } else { next + label - 1 };
        }
    }
    bodies
}

fn labels(field: &Field) -> Vec<u32> {
    let mut apart: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for classes in field.links.contested.values() {
        for (k, class) in classes.iter().enumerate() {
            for other in classes[..k].iter().flatten() {
                for cell in class {
                    apart.entry(*cell).or_default().insert(*other);
                    apart.entry(*other).or_default().insert(*cell);
                }
            }
        }
    }
    let mut labels = vec![NONE; field.cells.len()];
    let mut open = VecDeque::new();
    for first in apart.keys() {
        if labels[*first as usize] != NONE {
            continue;
        }
        let mut wave = VecDeque::from([(*first, 0)]);
        while let Some((cell, wanted)) = wave.pop_front() {
            if labels[cell as usize] != NONE {
                continue;
            }
            let taken: BTreeSet<u32> = apart[&cell].iter().map(|o| labels[*o as usize]).collect();
            let label = std::iter::once(wanted).chain(0..MOST).find(|l| !taken.contains(l)).unwrap_or(0);
            labels[cell as usize] = label;
            open.push_back(cell as usize);
            let next = field.links.beside(field, cell as usize).map(|b| b as u32);
            wave.extend(next.filter(|b| apart.contains_key(b)).map(|b| (b, label)));
        }
    }
    while let Some(cell) = open.pop_front() {
        let next: Vec<usize> = field.links.beside(field, cell).filter(|b| labels[*b] == NONE).collect();
        for b in next {
            labels[b] = labels[cell];
            open.push_back(b);
        }
    }
    labels.iter_mut().filter(|l| **l == NONE).for_each(|l| *l = 0);
    labels
}
