//! The name a person probably meant.

/// The candidate nearest to `written` by edit distance (insert, delete, change, swap of neighbours), if it is near enough to
/// be a slip: at most a third of the longer name's letters, and at least one in common. Case and `-`/`_`/space are not told apart.
pub fn nearest_name<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = fold(written);
    candidates
        .into_iter()
        .map(|name| (distance(&plain, &fold(name)), name))
        .filter(|(d, name)| *d * 3 <= plain.len().max(name.chars().count()))
        .min_by_key(|(d, name)| (*d, name.len()))
        .map(|(_, name)| name)
}

fn fold(name: &str) -> Vec<char> {
    // Names longer than 100 letters are nobody's slip; the cut bounds the work on hostile input.
    name.chars().take(100).map(|c| if matches!(c, '-' | ' ') { '_' } else { c.to_ascii_lowercase() }).collect()
}

/// Optimal string alignment distance.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = change.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised_and_strangers_are_not() {
        let names = ["ferrule", "walls", "grinding", "space_now_mm"];
        assert_eq!(nearest_name("ferule", names), Some("ferrule"));
        assert_eq!(nearest_name("Space-now_mm", names), Some("space_now_mm"));
        assert_eq!(nearest_name("girnding", names), Some("grinding"));
        assert_eq!(nearest_name("colour", names), None);
        assert_eq!(nearest_name("", names), None);
    }
}
