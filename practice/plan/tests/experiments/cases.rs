//! What the papers tell, and ranges of what they do not.

use answer::{Draws, World};

/// Priors by section and name.
pub(crate) struct Priors(pub(crate) World);

impl Priors {
    pub(crate) fn get(&self, section: &str, name: &str) -> Draws {
        let [low, middle, high] = Self::three(section, name);
        self.0.triangular(&format!("{section}/{name}"), low, middle, high)
    }

    /// Even in the logarithm.
    pub(crate) fn get_ln(&self, section: &str, name: &str) -> Draws {
        let [low, middle, high] = Self::three(section, name).map(f64::ln);
        self.0.triangular(&format!("{section}/{name}"), low, middle, high).map(f64::exp)
    }

    fn three(section: &str, name: &str) -> [f64; 3] {
        let text = include_str!("../reference/priors_unreported.toml");
        let mut here = false;
        for line in text.lines() {
            if line.starts_with('[') {
                here = line.starts_with(&format!("[{section}]"));
            } else if here && line.split('=').next().map(str::trim) == Some(name) {
                let list = line.split(['[', ']']).nth(1).unwrap();
                let v: Vec<f64> = list.split(',').map(|x| x.trim().parse().unwrap()).collect();
                return [v[0], v[1], v[2]];
            }
        }
        panic!("no prior {section}/{name}")
    }
}

const CASES: &str = include_str!("../reference/validation_cases.csv");

/// All rows.
pub(crate) fn rows() -> impl Iterator<Item = &'static str> {
    CASES.lines().skip(1).filter_map(|line| line.split(',').next())
}

/// A field of a row, by the name of its column.
fn field(id: &str, column: &str) -> String {
    let line = CASES.lines().find(|l| l.starts_with(&format!("{id},"))).unwrap_or_else(|| panic!("no row {id}"));
    let at = CASES.lines().next().unwrap().split(',').position(|c| c == column).unwrap();
    let (mut fields, mut quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => fields.last_mut().unwrap().push(c),
        }
    }
    fields.swap_remove(at)
}

/// The measured mean of a row, N.
pub(crate) fn measured(id: &str) -> f64 {
    field(id, "mean").parse().unwrap_or_else(|_| panic!("row {id} has no mean"))
}

/// The study a row is from.
pub(crate) fn study(id: &str) -> String {
    field(id, "first_author") + &field(id, "year") + &field(id, "journal")
}
