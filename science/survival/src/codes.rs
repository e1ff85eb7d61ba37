//! Names to dense codes.

use std::collections::HashMap;
use std::hash::Hash;

/// Codes 0..m of names in order of first appearance, and the names by code.
///
/// ```
/// let (codes, names) = survival::codes_of(&["b", "a", "b"]);
/// assert_eq!((codes, names), (vec![0, 1, 0], vec!["b", "a"]));
/// ```
pub fn codes_of<T: Eq + Hash + Clone>(names: &[T]) -> (Vec<u32>, Vec<T>) {
    let mut seen: HashMap<&T, u32> = HashMap::new();
    let mut order = Vec::new();
    let codes = names
        .iter()
        .map(|name| {
            *seen.entry(name).or_insert_with(|| {
                order.push(name.clone());
                order.len() as u32 - 1
            })
        })
        .collect();
    (codes, order)
}

/// Ids to codes 0..m, in order of id where ids are few for their range, else of first appearance; with m.
pub(crate) fn dense(ids: &[u32]) -> (Vec<u32>, usize) {
    let greatest = ids.iter().copied().max().unwrap_or(0) as usize;
    if greatest < 8 * ids.len() + 1024 {
        let mut place = vec![u32::MAX; greatest + 1];
        for &id in ids {
            place[id as usize] = 0;
        }
        let mut next = 0;
        for p in place.iter_mut().filter(|p| **p == 0) {
            *p = next;
            next += 1;
        }
        return (ids.iter().map(|&id| place[id as usize]).collect(), next as usize);
    }
    let (codes, names) = codes_of(ids);
    (codes, names.len())
}
