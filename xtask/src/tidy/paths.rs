//! The repository stands alone: no file names a path on somebody's machine or outside the tree.

use super::at;

/// Beginnings of paths that lead out; parted so that this file does not name them itself.
fn leads_out() -> [String; 5] {
    [["/ho", "me/"], ["/Use", "rs/"], ["/ro", "ot/"], ["/wo", "rk/"], ["sha", "red/"]].map(|parts| parts.concat())
}

/// Every breach in one file.
pub fn breaches(name: &str, text: &str) -> Vec<String> {
    let paths = leads_out();
    text.lines()
        .enumerate()
        .flat_map(|(i, line)| {
            paths
                .iter()
                .filter(|p| begins_a_path(line, p))
                .map(|p| {
                    at(
                        name,
                        i + 1,
                        &format!("`{p}` leads out of the repository; copy what is needed and name its source"),
                    )
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The spelling stands where a path begins or after `../`, not inside a longer name or address.
fn begins_a_path(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(i, _)| {
        let before = &line[..i];
        before.ends_with("../") || !before.ends_with(|c: char| c.is_alphanumeric() || "/._-".contains(c))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_lead_out_are_breaches_and_addresses_are_not() {
        let outside = ["see ..", "/sha", "red/x.csv"].concat();
        let machine = ["open(\"/ho", "me/a/x.csv\")"].concat();
        let address = ["https://example.org/wo", "rk/12"].concat();
        assert_eq!(breaches("a.md", &outside).len(), 1);
        assert_eq!(breaches("a.py", &machine).len(), 1);
        assert!(breaches("a.md", &address).is_empty());
    }
}
